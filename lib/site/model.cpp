#include "site/model.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include "power/failure.hpp"
#include "site/instant.hpp"

namespace bln {
namespace {

std::size_t slot_of(std::string_view id, std::size_t slots) noexcept {
    return std::hash<std::string_view>{}(id) & (slots - 1);
}

bool phase_pattern(std::string_view s, std::size_t least, std::size_t most) noexcept {
    if (s.size() < least || s.size() > most) return false;
    for (std::size_t i = 0; i < s.size(); ++i) {
        if (s[i] < 'A' || s[i] > 'C') return false;
        if (s.find(s[i], i + 1) != std::string_view::npos) return false;
    }
    return true;
}

std::string out_of_range(const FieldInfo& f, const std::string& value) {
    const auto number = [](double v) {
        std::string t = std::to_string(v);
        t.erase(t.find_last_not_of('0') + 1);
        if (t.back() == '.') t.pop_back();
        return t;
    };
    std::string unit(f.unit);
    if (!unit.empty()) unit.insert(0, " ");
    return value + " is outside " + number(f.low) + " to " + number(f.high) + unit;
}

bool bounded(const FieldInfo& f) noexcept { return f.low != 0 || f.high != 0; }
bool inside(const FieldInfo& f, double v) noexcept { return !bounded(f) || (v >= f.low && v <= f.high); }

template <class Items, class Key>
std::string repeated(const Items& items, Key key) {
    // Nearly every list is short: no memory for those.
    if (items.size() <= 24) {
        for (std::size_t i = 1; i < items.size(); ++i)
            for (std::size_t j = 0; j < i; ++j)
                if (key(items[i]) == key(items[j])) return std::string(key(items[i])) + " stands twice in the list";
        return {};
    }
    std::vector<std::string_view> seen;
    seen.reserve(items.size());
    for (const auto& item : items) seen.push_back(key(item));
    std::sort(seen.begin(), seen.end());
    const auto twice = std::adjacent_find(seen.begin(), seen.end());
    return twice == seen.end() ? std::string() : std::string(*twice) + " stands twice in the list";
}

std::string not_an_id(std::string_view text) {
    return "\"" + std::string(text) + "\" is not an id: 1 to 64 of A-Z a-z 0-9 . _ -";
}

std::string objection_to_text(const FieldInfo& f, std::string_view text) {
    if (text.find('\0') != std::string_view::npos) return "a text cannot hold the character U+0000";
    if (f.type == Type::ref && !valid_id(text)) return not_an_id(text);
    if (holds_phases(f) && !phase_pattern(text, 1, 3)) return "phases are one to three different letters of A, B, C";
    return {};
}

std::string objection_to_terms(const FieldInfo& f, std::span<const TermText> terms) {
    for (const TermText& t : terms) {
        std::string_view circuit = t.key;
        int pole = -1;
        const bool good = f.type == Type::passes ? split_pass(t.key, circuit, pole) : valid_id(t.key);
        if (!good)
            return "\"" + std::string(t.key) + "\" is not " +
                   (f.type == Type::passes ? "circuit or circuit:1, :2, :3 or :N" : "an id");
        if (t.weight.is_zero()) return "the weight of " + std::string(t.key) + " is zero";
        if (f.type == Type::passes && t.weight.den() != 1)
            return "turns of " + std::string(t.key) + " are whole numbers";
        if (!inside(f, t.weight.real())) return out_of_range(f, t.weight.text());
    }
    return repeated(terms, [](const TermText& t) { return t.key; });
}

}  // namespace

bool valid_id(std::string_view id) noexcept {
    if (id.empty() || id.size() > 64) return false;
    return std::all_of(id.begin(), id.end(), [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '.' || c == '_' ||
               c == '-';
    });
}

bool holds_phases(const FieldInfo& field) noexcept { return field.name == "bus" || field.name == "phases"; }

bool split_pass(std::string_view key, std::string_view& circuit, int& pole) noexcept {
    const std::size_t colon = key.find(':');
    circuit = key.substr(0, colon);
    pole = -1;
    if (!valid_id(circuit)) return false;
    if (colon == std::string_view::npos) return true;
    const std::string_view p = key.substr(colon + 1);
    if (p.size() != 1) return false;
    if (p[0] == 'N')
        pole = 0;
    else if (p[0] >= '1' && p[0] <= '3')
        pole = p[0] - '0';
    else
        return false;
    return true;
}

std::string objection(const FieldInfo& f, const Value& v) {
    switch (f.type) {
        case Type::text:
        case Type::ref:
            return objection_to_text(f, v.text);
        case Type::choice:
            if (v.integer < 0 || v.integer >= static_cast<std::int64_t>(f.choices->size))
                return "not one of the words of this field";
            return {};
        case Type::boolean:
            return v.integer == 0 || v.integer == 1 ? std::string() : "a boolean is 0 or 1";
        case Type::instant:
            return writable(v.integer) ? std::string() : "an instant outside the years 0001 to 9999";
        case Type::integer:
            return inside(f, static_cast<double>(v.integer)) ? std::string()
                                                             : out_of_range(f, std::to_string(v.integer));
        case Type::real:
            if (!std::isfinite(v.real)) return "not a finite number";
            return inside(f, v.real) ? std::string() : out_of_range(f, std::to_string(v.real));
        case Type::rational:
            if (v.rational.is_zero()) return "a weight of zero says nothing: leave the field out";
            return inside(f, v.rational.real()) ? std::string() : out_of_range(f, v.rational.text());
        case Type::integers:
            for (const std::int64_t i : v.integers)
                if (!inside(f, static_cast<double>(i))) return out_of_range(f, std::to_string(i));
            return {};
        case Type::texts:
            for (const std::string_view t : v.texts)
                if (t.find('\0') != std::string_view::npos) return "a text cannot hold the character U+0000";
            return {};
        case Type::refs:
            for (const std::string_view t : v.texts)
                if (!valid_id(t)) return not_an_id(t);
            return repeated(v.texts, [](std::string_view t) { return t; });
        case Type::terms:
        case Type::passes:
            return objection_to_terms(f, v.terms);
    }
    return {};
}

std::string objection(const FieldInfo& f, const Assignment& a) {
    if (!f.dated && !a.plain()) return std::string(f.name) + " is a timeless fact and takes no dates";
    if (a.from >= a.to) return "an assignment has to begin before it ends";
    const bool from = a.from == begin_of_time || writable(a.from);
    const bool to = a.to == end_of_time || writable(a.to);
    const bool recorded = a.recorded_at == begin_of_time || writable(a.recorded_at);
    if (!from || !to || !recorded) return "an instant outside the years 0001 to 9999";
    if (!a.evidence.empty() && !valid_id(a.evidence)) return not_an_id(a.evidence);
    if (a.reason.find('\0') != std::string_view::npos) return "a text cannot hold the character U+0000";
    return {};
}

bool same(Type type, const Value& a, const Value& b) noexcept {
    const auto equal = [](const auto& x, const auto& y) { return std::equal(x.begin(), x.end(), y.begin(), y.end()); };
    switch (type) {
        case Type::text:
        case Type::ref:
            return a.text == b.text;
        case Type::choice:
        case Type::boolean:
        case Type::integer:
        case Type::instant:
            return a.integer == b.integer;
        case Type::real:
            return a.real == b.real;
        case Type::rational:
            return a.rational == b.rational;
        case Type::integers:
            return equal(a.integers, b.integers);
        case Type::texts:
        case Type::refs:
            return equal(a.texts, b.texts);
        case Type::terms:
        case Type::passes:
            return std::equal(
                a.terms.begin(), a.terms.end(), b.terms.begin(), b.terms.end(),
                [](const TermText& x, const TermText& y) { return x.key == y.key && x.weight == y.weight; });
    }
    return false;
}

std::int32_t IdIndex::find(std::string_view id, const std::vector<Entity>& in) const noexcept {
    if (slots_.empty()) return -1;
    for (std::size_t s = slot_of(id, slots_.size());; s = (s + 1) & (slots_.size() - 1)) {
        if (slots_[s] == 0) return -1;
        if (in[slots_[s] - 1].id == id) return static_cast<std::int32_t>(slots_[s] - 1);
    }
}

void IdIndex::reserve(std::size_t n, const std::vector<Entity>& in) {
    std::size_t want = 16;
    while (want < 2 * n) want *= 2;
    if (want <= slots_.size()) return;
    std::vector<std::uint32_t> old(want, 0);
    old.swap(slots_);
    for (const std::uint32_t entry : old) {
        if (entry == 0) continue;
        std::size_t s = slot_of(in[entry - 1].id, slots_.size());
        while (slots_[s] != 0) s = (s + 1) & (slots_.size() - 1);
        slots_[s] = entry;
    }
}

void IdIndex::insert(std::uint32_t at, const std::vector<Entity>& in) {
    reserve(used_ + 1, in);
    std::size_t s = slot_of(in[at].id, slots_.size());
    while (slots_[s] != 0) s = (s + 1) & (slots_.size() - 1);
    slots_[s] = at + 1;
    ++used_;
}

void IdIndex::rebuild(const std::vector<Entity>& in) {
    // The table only ever grows, so clearing and filling it again cannot fail.
    std::fill(slots_.begin(), slots_.end(), 0U);
    used_ = 0;
    for (std::uint32_t i = 0; i < in.size(); ++i) insert(i, in);
}

Model::Model() : Model(4096) {}

Model::Model(std::size_t bytes_expected) : arena_(std::make_unique<Arena>(bytes_expected)) {
    // The site itself is the one entity of its kind, with an empty id.
    add_in_arena(Kind::site, std::string_view{"", 0});
}

std::unique_ptr<Model> Model::clone() const {
    auto out = std::make_unique<Model>();
    std::vector<Cell> cells;
    for (std::size_t k = 0; k < kind_count; ++k) {
        const Kind kind = static_cast<Kind>(k);
        const FieldInfo* rows = info(kind).fields;
        const auto& from = collections_[k].entities;
        out->collections_[k].index.reserve(from.size(), out->collections_[k].entities);
        out->collections_[k].entities.reserve(from.size());
        for (std::uint32_t i = 0; i < from.size(); ++i) {
            if (kind != Kind::site) out->add_in_arena(kind, out->arena_->copy(from[i].id));
            cells.clear();
            for (const Cell& c : from[i].cells) {
                Assignment* a = out->arena_->array<Assignment>(c.assignments.size());
                for (std::size_t j = 0; j < c.assignments.size(); ++j)
                    a[j] = out->copy(rows[c.field].type, c.assignments[j]);
                cells.push_back({c.field, {a, c.assignments.size()}});
            }
            out->put_cells(kind, i, out->arena_->copy(std::span<const Cell>(cells)));
            if (!from[i].ext.empty()) out->set_ext(kind, i, from[i].ext);
        }
    }
    return out;
}

std::int32_t Model::add_in_arena(Kind kind, std::string_view id) {
    Collection& c = collections_[static_cast<std::size_t>(kind)];
    if (c.index.find(id, c.entities) >= 0) return -1;
    const auto at = static_cast<std::uint32_t>(c.entities.size());
    c.entities.push_back({id, {}, {}});
    try {
        c.index.insert(at, c.entities);
    } catch (...) {
        c.entities.pop_back();
        throw;
    }
    return static_cast<std::int32_t>(at);
}

std::uint32_t Model::add(Kind kind, std::string_view id) {
    if (kind == Kind::site) throw Failure(BLN_E_NAME, "a record has exactly one site");
    if (!valid_id(id)) throw Failure(BLN_E_VALUE, not_an_id(id), std::string(id));
    if (find(kind, id) >= 0)
        throw Failure(BLN_E_EXISTS, std::string(info(kind).name) + " " + std::string(id) + " is there already",
                      std::string(id));
    return static_cast<std::uint32_t>(add_in_arena(kind, arena_->copy(id)));
}

void Model::remove(Kind kind, std::string_view id) {
    if (kind == Kind::site) throw Failure(BLN_E_NAME, "the site itself cannot be removed");
    Collection& c = collections_[static_cast<std::size_t>(kind)];
    const std::int32_t at = c.index.find(id, c.entities);
    if (at < 0)
        throw Failure(BLN_E_NO_ENTITY, "there is no " + std::string(info(kind).name) + " " + std::string(id),
                      std::string(id));
    c.entities.erase(c.entities.begin() + at);
    c.index.rebuild(c.entities);
}

Value Model::copy(Type type, const Value& v) {
    Value out = v;
    switch (type) {
        case Type::text:
        case Type::ref:
            out.text = arena_->copy(v.text);
            break;
        case Type::integers:
            out.integers = arena_->copy(v.integers);
            break;
        case Type::texts:
        case Type::refs: {
            std::string_view* p = arena_->array<std::string_view>(v.texts.size());
            for (std::size_t i = 0; i < v.texts.size(); ++i) p[i] = arena_->copy(v.texts[i]);
            out.texts = {p, v.texts.size()};
            break;
        }
        case Type::terms:
        case Type::passes: {
            TermText* p = arena_->array<TermText>(v.terms.size());
            for (std::size_t i = 0; i < v.terms.size(); ++i) p[i] = {arena_->copy(v.terms[i].key), v.terms[i].weight};
            out.terms = {p, v.terms.size()};
            break;
        }
        default:
            break;
    }
    return out;
}

Assignment Model::copy(Type type, const Assignment& a) {
    Assignment out = a;
    if (!a.reason.empty()) out.reason = arena_->copy(a.reason);
    if (!a.evidence.empty()) out.evidence = arena_->copy(a.evidence);
    out.value = copy(type, a.value);
    return out;
}

void Model::put_cells(Kind kind, std::uint32_t at, std::span<const Cell> cells) noexcept {
    collections_[static_cast<std::size_t>(kind)].entities[at].cells = cells;
}

void Model::replace_cell(Kind kind, std::uint32_t at, std::size_t field, std::span<const Assignment> assignments) {
    const std::span<const Cell> old = collections_[static_cast<std::size_t>(kind)].entities[at].cells;
    Cell* cells = arena_->array<Cell>(old.size() + 1);
    std::size_t n = 0;
    bool placed = assignments.empty();
    for (const Cell& c : old) {
        if (!placed && c.field >= field) {
            cells[n++] = {static_cast<std::uint16_t>(field), assignments};
            placed = true;
        }
        if (c.field != field) cells[n++] = c;
    }
    if (!placed) cells[n++] = {static_cast<std::uint16_t>(field), assignments};
    put_cells(kind, at, {cells, n});
}

void Model::set(Kind kind, std::uint32_t at, std::size_t field, const Value& value) {
    Assignment* a = arena_->array<Assignment>(1);
    a->value = copy(info(kind).fields[field].type, value);
    replace_cell(kind, at, field, {a, 1});
}

void Model::assign(Kind kind, std::uint32_t at, std::size_t field, const Assignment& added) {
    const FieldInfo& row = info(kind).fields[field];
    if (std::string why = objection(row, added); !why.empty()) throw Failure(BLN_E_VALUE, std::move(why));
    const Entity& e = collections_[static_cast<std::size_t>(kind)].entities[at];
    const Cell* old = e.find(field);
    const std::size_t n = old == nullptr || !row.dated ? 0 : old->assignments.size();
    Assignment* a = arena_->array<Assignment>(n + 1);
    for (std::size_t i = 0; i < n; ++i) a[i] = old->assignments[i];
    a[n] = copy(row.type, added);
    replace_cell(kind, at, field, {a, n + 1});
}

void Model::clear(Kind kind, std::uint32_t at, std::size_t field) { replace_cell(kind, at, field, {}); }

void Model::set_ext(Kind kind, std::uint32_t at, std::string_view json) {
    collections_[static_cast<std::size_t>(kind)].entities[at].ext =
        json.empty() ? std::string_view{} : arena_->copy(json);
}

std::vector<Instant> Model::breakpoints(Instant known) const {
    std::vector<Instant> out;
    for (const Collection& c : collections_)
        for (const Entity& e : c.entities)
            for (const Cell& cell : e.cells)
                for (const Assignment& a : cell.assignments) {
                    if (a.recorded_at > known) continue;
                    if (a.from != begin_of_time) out.push_back(a.from);
                    if (a.to != end_of_time) out.push_back(a.to);
                }
    std::sort(out.begin(), out.end());
    out.erase(std::unique(out.begin(), out.end()), out.end());
    return out;
}

}  // namespace bln
