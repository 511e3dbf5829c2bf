#include "plan/schedule.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <set>
#include <tuple>

#include "plan/cell_value.hpp"
#include "site/csv.hpp"
#include "site/error_list.hpp"
#include "site/utf16.hpp"

namespace bln::plan {
namespace {

constexpr std::size_t none = static_cast<std::size_t>(-1);

/// References that a line implies when it names both entities.
struct Implied {
    Kind kind;
    std::string_view field;
    Kind target;
};
constexpr Implied implied[] = {{Kind::panel, "service", Kind::service},   {Kind::circuit, "panel", Kind::panel},
                               {Kind::ct, "type", Kind::ct_type},         {Kind::device, "profile", Kind::profile},
                               {Kind::channel, "device", Kind::device},   {Kind::channel, "cts", Kind::ct},
                               {Kind::point, "premises", Kind::premises}, {Kind::point, "circuits", Kind::circuit},
                               {Kind::point, "elements", Kind::channel}};

std::string_view trimmed(std::string_view s) {
    while (!s.empty() && (s.front() == ' ' || s.front() == '\t')) s.remove_prefix(1);
    while (!s.empty() && (s.back() == ' ' || s.back() == '\t')) s.remove_suffix(1);
    return s;
}

class ScheduleReader {
public:
    ScheduleReader(const ScheduleMap& map, std::string_view csv, std::uint64_t max_bytes)
        : map_(map), scanner_(csv, max_bytes, {map.delimiter, map.encoding == ScheduleEncoding::latin1}) {}

    std::unique_ptr<Model> read() {
        if (!scanner_.next()) throw Failure(BLN_E_SYNTAX, "the table is empty");
        read_header();
        errors_.raise();
        find_ids();
        errors_.raise();
        bool more = map_.header ? scanner_.next() : true;
        for (; more; more = scanner_.next()) line();
        put_lists();
        errors_.raise();
        return model_->clone();
    }

private:
    struct Column {
        std::size_t at;
        Target target;
    };
    /// Where the id of a kind comes from.
    struct IdSource {
        std::size_t column = none;
        const Pattern* pattern = nullptr;
        bool used = false;  ///< the map speaks of this kind
        std::size_t place = 0;
    };
    using Place = std::tuple<Kind, std::uint32_t, int>;
    struct List {
        std::vector<std::string> keys;
        std::vector<Rational> weights;
        std::vector<std::int64_t> integers;
        std::map<std::string, Rational, std::less<>> seen_keys;
        std::set<std::int64_t> seen_integers;
        ErrorItem place;
    };

    void error(bln_status status, std::string message, std::size_t cell, std::string_view subject = {}) {
        errors_.add(scanner_.error(status, std::move(message), cell, subject));
    }
    IdSource& source(Kind kind) { return sources_[static_cast<std::size_t>(kind)]; }

    void read_header() {
        for (std::size_t i = 0; i < scanner_.size(); ++i) {
            std::string name = map_.header ? std::string(trimmed(scanner_.cell(i))) : std::to_string(i + 1);
            if (map_.header && std::find(names_.begin(), names_.end(), name) != names_.end() && !name.empty())
                error(BLN_E_DUPLICATE, "column \"" + name + "\" stands twice", i, name);
            place_column(i, name);
            names_.push_back(std::move(name));
        }
        for (const auto& [name, target] : map_.columns)
            if (std::find(names_.begin(), names_.end(), name) == names_.end())
                error(BLN_E_FIELD, "the table has no column \"" + name + "\", which the map names", none, name);
    }
    void place_column(std::size_t i, const std::string& name) {
        if (std::find(map_.ignored.begin(), map_.ignored.end(), name) != map_.ignored.end()) return;
        for (const auto& [column, target] : map_.columns)
            if (column == name) return columns_.push_back({i, target});
        if (Target target; map_.named_by_field && Target::parse(name, target)) return columns_.push_back({i, target});
        const bool in_pattern =
            std::any_of(map_.ids.begin(), map_.ids.end(),
                        [&](const Pattern& p) { return p.text.find("{" + name + "}") != std::string::npos; }) ||
            std::any_of(map_.constants.begin(), map_.constants.end(),
                        [&](const Pattern& p) { return p.text.find("{" + name + "}") != std::string::npos; });
        if (map_.others_refused && !in_pattern && !name.empty())
            error(BLN_E_FIELD, "the map does not say what column \"" + name + "\" is", i, name);
    }

    void find_ids() {
        const auto use = [&](const Target& t, std::size_t place) {
            IdSource& s = source(t.kind);
            if (!s.used) s.place = place;
            s.used = true;
        };
        for (const Column& c : columns_) {
            use(c.target, c.at);
            if (c.target.field < 0) source(c.target.kind).column = c.at;
        }
        for (const Pattern& p : map_.constants) {
            use(p.target, 0);
            if (p.target.field < 0) source(p.target.kind).pattern = &p;
        }
        for (const Pattern& p : map_.ids) {
            use(p.target, 0);
            source(p.target.kind).pattern = &p;
        }
        for (std::size_t k = 0; k < kind_count; ++k) {
            const IdSource& s = sources_[k];
            if (s.used && s.column == none && s.pattern == nullptr)
                error(BLN_E_FIELD, "nothing says the id of the " + std::string(info(static_cast<Kind>(k)).name),
                      s.place);
        }
    }

    /// A pattern with its columns filled in; false when one of them is empty.
    bool fill(const Pattern& pattern, std::string& out) {
        out.clear();
        bool whole = true;
        for (std::size_t i = 0; i < pattern.text.size();) {
            const std::size_t end = pattern.text[i] == '{' ? pattern.text.find('}', i) : std::string::npos;
            if (end == std::string::npos) {
                out += pattern.text[i++];
                continue;
            }
            const std::string_view name = std::string_view(pattern.text).substr(i + 1, end - i - 1);
            const auto at = std::find(names_.begin(), names_.end(), name);
            const std::string_view cell = at == names_.end()
                                              ? std::string_view()
                                              : trimmed(scanner_.cell(static_cast<std::size_t>(at - names_.begin())));
            whole = whole && !cell.empty();
            out += cell;
            i = end + 1;
        }
        return whole;
    }

    void line() {
        bool blank = true;
        for (std::size_t i = 0; i < scanner_.size(); ++i) blank = blank && trimmed(scanner_.cell(i)).empty();
        if (blank) return;
        if (scanner_.size() != names_.size())
            return error(BLN_E_SYNTAX,
                         "the line has " + std::to_string(scanner_.size()) + " cells, and the first has " +
                             std::to_string(names_.size()),
                         std::min(scanner_.size(), names_.size()));
        for (std::size_t k = 0; k < kind_count; ++k) identify(static_cast<Kind>(k));
        for (const Column& c : columns_)
            if (c.target.field >= 0) field(c.target, trimmed(scanner_.cell(c.at)), c.at);
        for (const Pattern& p : map_.constants) {
            std::string text;
            if (p.target.field >= 0 && fill(p, text)) field(p.target, text, 0);
        }
        for (const Implied& i : implied) imply(i);
    }

    /// Finds or adds the entity of a kind that this line speaks of.
    void identify(Kind kind) {
        const auto k = static_cast<std::size_t>(kind);
        here_[k] = -1;
        const IdSource& s = sources_[k];
        if (!s.used) return;
        std::string id;
        std::size_t place = s.column == none ? 0 : s.column;
        if (s.column != none) {
            id = trimmed(scanner_.cell(s.column));
        } else if (fill(*s.pattern, id)) {
            // Signs that no id has part what stands together in a cell.
            for (char& c : id)
                if (!valid_id(std::string_view(&c, 1))) c = '-';
        } else {
            id.clear();
        }
        if (id.empty()) {
            const bool said = std::any_of(columns_.begin(), columns_.end(), [&](const Column& c) {
                return c.target.kind == kind && c.target.field >= 0 && !trimmed(scanner_.cell(c.at)).empty();
            });
            if (said)
                error(BLN_E_VALUE, "the line says something of a " + std::string(info(kind).name) + " without its id",
                      place);
            return;
        }
        if (!valid_id(id))
            return error(BLN_E_VALUE, "\"" + id + "\" is not an id: 1 to 64 of A-Z a-z 0-9 . _ -", place, id);
        const std::int32_t at = model_->find(kind, id);
        here_[k] = at >= 0 ? at : static_cast<std::int32_t>(model_->add(kind, id));
    }

    void field(const Target& target, std::string_view cell, std::size_t place) {
        const std::int32_t at = here_[static_cast<std::size_t>(target.kind)];
        if (cell.empty() || at < 0) return;
        CellValue value;
        if (const Trouble trouble = read_cell(map_, target, cell, value))
            return error(trouble.status, std::string(target.info()->name) + ": " + trouble.message, place,
                         model_->entities(target.kind)[static_cast<std::size_t>(at)].id);
        put(target, static_cast<std::uint32_t>(at), value, place);
    }

    void put(const Target& target, std::uint32_t at, CellValue& value, std::size_t place) {
        const FieldInfo& f = *target.info();
        const std::string_view id = model_->entities(target.kind)[at].id;
        if (CellValue::is_list(f.type)) return add_to_list(target, at, value, place);
        if (f.type == Type::text || f.type == Type::ref) value.value.text = value.text;
        if (const std::string why = objection(f, value.value); !why.empty())
            return error(BLN_E_VALUE, std::string(f.name) + ": " + why, place, id);
        const auto field = static_cast<std::size_t>(target.field);
        const Cell* there = model_->entities(target.kind)[at].find(field);
        if (there == nullptr || there->assignments.empty())
            model_->set(target.kind, at, field, value.value);
        else if (!same(f.type, there->assignments.front().value, value.value))
            error(BLN_E_VALUE, std::string(f.name) + " of " + std::string(id) + " contradicts an earlier line", place,
                  id);
    }

    void add_to_list(const Target& target, std::uint32_t at, const CellValue& value, std::size_t place) {
        const auto [where, fresh] = lists_.try_emplace(Place{target.kind, at, target.field});
        List& list = where->second;
        const std::string_view id = model_->entities(target.kind)[at].id;
        if (fresh) list.place = scanner_.error(BLN_E_VALUE, {}, place, id);
        for (const std::int64_t n : value.integers)
            if (list.seen_integers.insert(n).second) list.integers.push_back(n);
        for (std::size_t i = 0; i < value.keys.size(); ++i) {
            const auto [seen, added] = list.seen_keys.emplace(value.keys[i], value.weights[i]);
            if (added) {
                list.keys.push_back(value.keys[i]);
                list.weights.push_back(value.weights[i]);
            } else if (!(seen->second == value.weights[i])) {
                error(
                    BLN_E_VALUE,
                    std::string(target.info()->name) + ": " + value.keys[i] + " has another weight on an earlier line",
                    place, id);
            }
        }
    }

    void imply(const Implied& i) {
        const std::int32_t at = here_[static_cast<std::size_t>(i.kind)];
        const std::int32_t to = here_[static_cast<std::size_t>(i.target)];
        if (at < 0 || to < 0) return;
        const Target target{i.kind, info(i.kind).find(i.field)};
        const auto states = [&](const Target& t) { return t == target; };
        if (std::any_of(columns_.begin(), columns_.end(), [&](const Column& c) { return states(c.target); }) ||
            std::any_of(map_.constants.begin(), map_.constants.end(),
                        [&](const Pattern& p) { return states(p.target); }))
            return;
        CellValue value;
        value.text = model_->entities(i.target)[static_cast<std::size_t>(to)].id;
        value.keys.push_back(value.text);
        value.weights.emplace_back(1);
        put(target, static_cast<std::uint32_t>(at), value, sources_[static_cast<std::size_t>(i.kind)].place);
    }

    void put_lists() {
        for (auto& [place, list] : lists_) {
            const auto& [kind, at, field] = place;
            const FieldInfo& f = info(kind).fields[field];
            Value value;
            std::vector<std::string_view> texts(list.keys.begin(), list.keys.end());
            std::vector<TermText> terms;
            for (std::size_t i = 0; i < list.keys.size(); ++i) terms.push_back({list.keys[i], list.weights[i]});
            value.integers = list.integers;
            if (f.type == Type::texts || f.type == Type::refs) value.texts = texts;
            if (f.type == Type::terms || f.type == Type::passes) value.terms = terms;
            if (const std::string why = objection(f, value); !why.empty()) {
                list.place.message = std::string(f.name) + ": " + why;
                errors_.add(list.place);
            } else {
                model_->set(kind, at, static_cast<std::size_t>(field), value);
            }
        }
    }

    const ScheduleMap& map_;
    CsvScanner scanner_;
    ErrorList errors_;
    std::vector<std::string> names_;
    std::vector<Column> columns_;
    std::array<IdSource, kind_count> sources_{};
    std::array<std::int32_t, kind_count> here_{};  // entity of each kind on this line, or -1
    std::map<Place, List> lists_;
    std::unique_ptr<Model> model_ = std::make_unique<Model>();
};

}  // namespace

std::unique_ptr<Model> read_schedule(const ScheduleMap& map, std::string_view csv, std::uint64_t max_bytes) {
    const bool wide = map.encoding == ScheduleEncoding::utf16le || map.encoding == ScheduleEncoding::utf16be;
    if (!wide) return ScheduleReader(map, csv, max_bytes).read();
    if (csv.size() > max_bytes)
        throw Failure(BLN_E_SIZE, "the text has " + std::to_string(csv.size()) + " bytes; the limit is " +
                                      std::to_string(max_bytes));
    const std::string text = utf8_of_utf16(csv, map.encoding == ScheduleEncoding::utf16be);
    return ScheduleReader(map, text, text.size()).read();
}

}  // namespace bln::plan
