#include "site/reader.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include "site/units.hpp"
#include "site/value_reader.hpp"

namespace bln {
namespace {

/// The innermost open container that is being read (not skipped).
enum class In : std::uint8_t {
    nothing,       // before the file's object
    top,           // the file's object
    collection,    // an object keyed by id
    entity,        // one entity
    field_object,  // an object as a value, before its first key: terms, or the dated form
    list,          // integers, texts or refs
    terms,         // terms or passes
    dated,         // {"dated": ...}
    dated_list,    // its list
    assignment     // one item of it
};

/// What the next value is.
enum class Next : std::uint8_t {
    ignored,
    version,
    ext,
    collection,
    entity,
    field,
    item,
    term,
    dated_or_term,
    dated_list,
    assignment,
    from,
    to,
    recorded_at,
    reason,
    evidence,
    value
};

class SiteReader final : public JsonHandler {
public:
    SiteReader(JsonScan& scan, Model& model) : scan_(scan), model_(model) {}

    void null() override { scalar({Scalar::Kind::null, false, {}}); }
    void boolean(bool value) override { scalar({Scalar::Kind::boolean, value, {}}); }
    void number(std::string_view text) override { scalar({Scalar::Kind::number, false, text}); }
    void string(std::string_view text) override { scalar({Scalar::Kind::string, false, text}); }
    void key(std::string_view text) override;
    void begin_object() override;
    void end_object() override;
    void begin_array() override;
    void end_array() override;

    /// Throws when errors were collected, or the version is missing.
    void finish();
    [[nodiscard]] std::vector<ErrorItem>& errors() noexcept { return errors_; }

private:
    void scalar(const Scalar& s);
    void key_of_file(std::string_view text);
    void key_of_entity(std::string_view text);
    void key_of_field_object(std::string_view text);
    void key_of_assignment(std::string_view text);
    void add_term(const Scalar& s);
    void add_item(const Scalar& s);

    void begin_entity();
    void begin_assignment();
    void end_assignment();
    void end_dated();
    void end_terms();
    void end_list();
    void end_ext();
    void put_entity();
    void finish_value();

    /// Good while a field is read; between fields field_ may belong to another kind.
    [[nodiscard]] const FieldInfo& row() const noexcept { return info(kind_).fields[field_]; }
    [[nodiscard]] bool weighted() const noexcept { return row().type == Type::terms || row().type == Type::passes; }
    [[nodiscard]] bool listed() const noexcept {
        return row().type == Type::integers || row().type == Type::texts || row().type == Type::refs;
    }
    [[nodiscard]] In around_value() const noexcept {
        if (in_assignment_) return In::assignment;
        return around_field();
    }
    [[nodiscard]] In around_field() const noexcept { return kind_ == Kind::site ? In::top : In::entity; }
    void skip() noexcept { skipped_ = 1; }
    void wrong(ErrorItem item);
    void wrong(bln_status status, std::string message) { wrong(scan_.item(status, std::move(message))); }
    void wrong(Trouble&& t) { wrong(t.status, std::move(t.message)); }
    void wrong_container(std::string_view found);

    JsonScan& scan_;
    Model& model_;
    In in_ = In::nothing;
    Next next_ = Next::ignored;
    std::uint32_t skipped_ = 0;  // open containers of a value that is not read
    bool version_ = false;
    bool keeping_ext_ = false;
    bool in_assignment_ = false;
    bool has_value_ = false;

    Kind kind_ = Kind::site;
    std::string_view id_;
    std::uint32_t at_ = 0;
    std::size_t field_ = 0;
    std::size_t hint_ = 0;  // files mostly keep the order of the table
    std::size_t value_begin_ = 0, ext_begin_ = 0, assignment_begin_ = 0;
    std::string_view key_;
    std::size_t errors_before_ = 0;  // of the history that is read

    Value value_;
    Assignment assignment_;
    // Filled anew for every list, entity and history; their memory stays.
    std::vector<std::int64_t> integers_;
    std::vector<std::string_view> texts_;
    std::vector<TermText> terms_;
    std::vector<Assignment> history_;
    std::vector<Cell> cells_;
    std::vector<Cell> site_cells_;
    std::vector<ErrorItem> errors_;
};

void SiteReader::wrong(ErrorItem item) {
    item.subject = id_;
    errors_.push_back(std::move(item));
    if (errors_.size() >= most_errors) throw Failure(std::move(errors_));
}

void SiteReader::key(std::string_view text) {
    if (skipped_ != 0) return;
    switch (in_) {
        case In::top:
            return key_of_file(text);
        case In::collection:
            next_ = Next::entity;
            key_ = text;
            if (!valid_id(text)) {
                wrong(BLN_E_VALUE, "\"" + std::string(text) + "\" is not an id: 1 to 64 of A-Z a-z 0-9 . _ -");
                next_ = Next::ignored;
            }
            return;
        case In::entity:
            return key_of_entity(text);
        case In::field_object:
            return key_of_field_object(text);
        case In::terms:
            key_ = text;
            next_ = Next::term;
            return;
        case In::dated:
            wrong(BLN_E_FIELD, "\"dated\" stands alone in its object; found \"" + std::string(text) + "\" beside it");
            next_ = Next::ignored;
            return;
        case In::assignment:
            return key_of_assignment(text);
        default:
            next_ = Next::ignored;
    }
}

void SiteReader::key_of_file(std::string_view text) {
    if (text == "blondel") {
        next_ = Next::version;
        return;
    }
    const int collection = find_collection(text);
    if (collection < 0) return key_of_entity(text);
    kind_ = static_cast<Kind>(collection);
    next_ = Next::collection;
}

void SiteReader::key_of_entity(std::string_view text) {
    const KindInfo& kind = info(kind_);
    next_ = Next::field;
    if (hint_ < kind.field_count && kind.fields[hint_].name == text) {
        field_ = hint_++;
        return;
    }
    const int f = kind.find(text);
    if (f >= 0) {
        field_ = static_cast<std::size_t>(f);
        hint_ = field_ + 1;
        return;
    }
    if (text == "ext") {
        next_ = Next::ext;
        return;
    }
    next_ = Next::ignored;
    const std::string named = "\"" + std::string(text) + "\"";
    if (const FieldInfo* known = other_unit_of(kind, text)) {
        wrong(BLN_E_UNIT, named + ": this quantity is " + std::string(known->name) + ", in " +
                              std::string(known->unit.empty() ? "the unit of its name" : known->unit));
        return;
    }
    std::string message = kind_ == Kind::site ? "a site file has no collection or field " + named
                                              : "a " + std::string(kind.name) + " has no field " + named;
    message += "; what is not in the table belongs into \"ext\". Its fields: ";
    for (std::size_t i = 0; i < kind.field_count; ++i) message.append(i == 0 ? "" : ", ").append(kind.fields[i].name);
    wrong(BLN_E_FIELD, std::move(message));
}

void SiteReader::key_of_field_object(std::string_view text) {
    const bool terms = weighted();
    if (text == "dated" && row().dated) {
        // An entity may be called "dated"; then a weight follows and not a list.
        next_ = terms ? Next::dated_or_term : Next::dated_list;
        key_ = text;
        in_ = terms ? In::terms : In::dated;
        return;
    }
    if (terms) {
        in_ = In::terms;
        key_ = text;
        next_ = Next::term;
        return;
    }
    ErrorItem item = scan_.item_at(value_begin_, BLN_E_TYPE, "expected " + expected(row()) + ", found an object");
    if (text == "dated") {
        item.status = BLN_E_VALUE;
        item.message = std::string(row().name) + " is a timeless fact and takes no dates";
    }
    item.pointer = scan_.pointer(1);
    in_ = around_field();
    skip();
    wrong(std::move(item));
}

void SiteReader::key_of_assignment(std::string_view text) {
    if (text == "value")
        next_ = Next::value;
    else if (text == "from")
        next_ = Next::from;
    else if (text == "to")
        next_ = Next::to;
    else if (text == "recorded_at")
        next_ = Next::recorded_at;
    else if (text == "reason")
        next_ = Next::reason;
    else if (text == "evidence")
        next_ = Next::evidence;
    else {
        next_ = Next::ignored;
        wrong(BLN_E_FIELD, "an assignment has no \"" + std::string(text) +
                               "\", only from, to, recorded_at, reason, evidence and value");
    }
}

void SiteReader::scalar(const Scalar& s) {
    if (skipped_ != 0) return;
    if (in_ == In::list) return add_item(s);
    if (in_ == In::dated_list) return wrong(BLN_E_TYPE, "expected an assignment: an object with \"value\"");
    Trouble t;
    switch (next_) {
        case Next::field:
        case Next::value:
            value_begin_ = scan_.begin();
            value_ = Value{};
            has_value_ = true;
            t = take_scalar(row(), s, value_);
            if (!t) return finish_value();
            break;
        case Next::term:
        case Next::dated_or_term:
            return add_term(s);
        case Next::from:
            t = take_instant(s, assignment_.from);
            break;
        case Next::to:
            t = take_instant(s, assignment_.to);
            break;
        case Next::recorded_at:
            t = take_instant(s, assignment_.recorded_at);
            break;
        case Next::reason:
            t = take_text(s, assignment_.reason);
            break;
        case Next::evidence:
            t = take_text(s, assignment_.evidence);
            if (!t && !valid_id(assignment_.evidence))
                t = {BLN_E_VALUE, "\"" + std::string(s.text) + "\" is not an id: 1 to 64 of A-Z a-z 0-9 . _ -"};
            break;
        case Next::version:
            if (s.kind != Scalar::Kind::string || s.text != BLN_FORMAT_VERSION)
                scan_.fail(BLN_E_FORMAT, "this library reads files that state \"blondel\": \"" BLN_FORMAT_VERSION "\"");
            version_ = true;
            break;
        case Next::ext:
            t = {BLN_E_TYPE, "ext is an object"};
            break;
        case Next::collection:
            t = {BLN_E_TYPE, std::string(info(kind_).collection) + " is an object keyed by id"};
            break;
        case Next::entity:
            t = {BLN_E_TYPE, "a " + std::string(info(kind_).name) + " is an object"};
            break;
        case Next::dated_list:
            t = {BLN_E_TYPE, "\"dated\" is a list of assignments"};
            break;
        default:
            break;
    }
    if (in_ == In::nothing) scan_.fail(BLN_E_TYPE, "a site file is one object");
    if (t) wrong(std::move(t));
    if (next_ == Next::collection) kind_ = Kind::site;
}

void SiteReader::add_item(const Scalar& s) {
    if (row().type == Type::integers) {
        std::int64_t i = 0;
        if (Trouble t = take_integer(row(), s, i)) return wrong(std::move(t));
        integers_.push_back(i);
        return;
    }
    std::string_view text;
    if (Trouble t = take_text(s, text)) return wrong(std::move(t));
    texts_.push_back(text);
}

void SiteReader::add_term(const Scalar& s) {
    TermText term{key_, {}};
    if (Trouble t = take_ratio(s, term.weight)) return wrong(std::move(t));
    terms_.push_back(term);
}

void SiteReader::wrong_container(std::string_view found) {
    skip();
    std::string wanted;
    switch (next_) {
        case Next::version:
            scan_.fail(BLN_E_FORMAT, "this library reads files that state \"blondel\": \"" BLN_FORMAT_VERSION "\"");
        case Next::ext:
            wanted = "an object";
            break;
        case Next::collection:
            wanted = "an object keyed by id";
            kind_ = Kind::site;
            break;
        case Next::entity:
        case Next::assignment:
            wanted = "an object";
            break;
        case Next::dated_list:
            wanted = "a list of assignments";
            break;
        case Next::field:
        case Next::value:
            has_value_ = true;
            wanted = expected(row());
            break;
        case Next::item:
            wanted = row().type == Type::integers ? "a whole number" : "a text";
            break;
        case Next::term:
        case Next::dated_or_term:
            wanted = "a whole number, or a ratio such as \"1/2\"";
            break;
        case Next::from:
        case Next::to:
        case Next::recorded_at:
            wanted = "an instant such as \"2026-03-01T00:00:00Z\"";
            break;
        case Next::reason:
        case Next::evidence:
            wanted = "a text";
            break;
        case Next::ignored:
            return;
    }
    wrong(BLN_E_TYPE, "expected " + wanted + ", found " + std::string(found));
}

void SiteReader::begin_object() {
    if (skipped_ != 0) {
        ++skipped_;
        return;
    }
    if (in_ == In::nothing) {
        in_ = In::top;
        return;
    }
    switch (next_) {
        case Next::collection:
            in_ = In::collection;
            return;
        case Next::entity:
            return begin_entity();
        case Next::ext:
            keeping_ext_ = true;
            ext_begin_ = scan_.begin();
            return skip();
        case Next::assignment:
            return begin_assignment();
        case Next::field:
            value_begin_ = scan_.begin();
            terms_.clear();
            in_ = In::field_object;
            return;
        case Next::value:
            if (!weighted()) break;
            has_value_ = true;
            value_begin_ = scan_.begin();
            terms_.clear();
            in_ = In::terms;
            return;
        default:
            break;
    }
    wrong_container("an object");
}

void SiteReader::end_object() {
    if (skipped_ != 0) {
        if (--skipped_ == 0 && keeping_ext_) end_ext();
        return;
    }
    switch (in_) {
        case In::collection:
            kind_ = Kind::site;
            hint_ = info(Kind::site).field_count;
            in_ = In::top;
            break;
        case In::entity:
            put_entity();
            break;
        case In::field_object:
            if (weighted()) return end_terms();
            in_ = around_field();
            wrong(scan_.item_at(value_begin_, BLN_E_TYPE, "expected " + expected(row()) + ", found an object"));
            break;
        case In::terms:
            end_terms();
            break;
        case In::dated:
            end_dated();
            break;
        case In::assignment:
            end_assignment();
            break;
        default:
            break;
    }
}

void SiteReader::begin_array() {
    if (skipped_ != 0) {
        ++skipped_;
        return;
    }
    if (in_ == In::nothing) scan_.fail(BLN_E_TYPE, "a site file is one object, not a list");
    switch (next_) {
        case Next::field:
        case Next::value:
            if (!listed()) break;
            has_value_ = true;
            value_begin_ = scan_.begin();
            integers_.clear();
            texts_.clear();
            in_ = In::list;
            next_ = Next::item;
            return;
        case Next::dated_or_term:
        case Next::dated_list:
            history_.clear();
            errors_before_ = errors_.size();
            in_ = In::dated_list;
            next_ = Next::assignment;
            return;
        default:
            break;
    }
    wrong_container("a list");
}

void SiteReader::end_array() {
    if (skipped_ != 0) {
        --skipped_;
        return;
    }
    if (in_ == In::list)
        end_list();
    else
        in_ = In::dated;
}

void SiteReader::begin_entity() {
    id_ = key_;
    at_ = static_cast<std::uint32_t>(model_.add_in_arena(kind_, id_));
    cells_.clear();
    hint_ = 0;
    in_ = In::entity;
}

void SiteReader::put_entity() {
    const auto by_field = [](const Cell& a, const Cell& b) { return a.field < b.field; };
    if (!std::is_sorted(cells_.begin(), cells_.end(), by_field)) std::sort(cells_.begin(), cells_.end(), by_field);
    model_.put_cells(kind_, at_, model_.arena().copy(std::span<const Cell>(cells_)));
    id_ = {};
    in_ = In::collection;
}

void SiteReader::end_ext() {
    keeping_ext_ = false;
    model_.set_ext(kind_, kind_ == Kind::site ? 0 : at_, scan_.source().substr(ext_begin_, scan_.end() - ext_begin_));
}

void SiteReader::begin_assignment() {
    assignment_ = Assignment{};
    assignment_begin_ = scan_.begin();
    in_assignment_ = true;
    has_value_ = false;
    in_ = In::assignment;
}

void SiteReader::end_assignment() {
    in_ = In::dated_list;
    in_assignment_ = false;
    next_ = Next::assignment;
    if (!has_value_) return wrong(scan_.item_at(assignment_begin_, BLN_E_VALUE, "an assignment needs a \"value\""));
    if (std::string why = objection(row(), assignment_); !why.empty())
        return wrong(scan_.item_at(assignment_begin_, BLN_E_VALUE, std::move(why)));
    history_.push_back(assignment_);
}

void SiteReader::end_dated() {
    in_ = around_field();
    if (history_.empty()) {
        if (errors_.size() == errors_before_)
            wrong(
                scan_.item_at(value_begin_, BLN_E_VALUE, "\"dated\" holds no assignment; leave the field out instead"));
        return;
    }
    auto& cells = kind_ == Kind::site ? site_cells_ : cells_;
    cells.push_back({static_cast<std::uint16_t>(field_), model_.arena().copy(std::span<const Assignment>(history_))});
}

void SiteReader::end_terms() {
    in_ = around_value();
    value_ = Value{};
    value_.terms = model_.arena().copy(std::span<const TermText>(terms_));
    finish_value();
}

void SiteReader::end_list() {
    in_ = around_value();
    value_ = Value{};
    if (row().type == Type::integers)
        value_.integers = model_.arena().copy(std::span<const std::int64_t>(integers_));
    else
        value_.texts = model_.arena().copy(std::span<const std::string_view>(texts_));
    finish_value();
}

void SiteReader::finish_value() {
    if (std::string why = objection(row(), value_); !why.empty())
        return wrong(scan_.item_at(value_begin_, BLN_E_VALUE, std::move(why)));
    if (in_assignment_) {
        assignment_.value = value_;
        return;
    }
    Assignment* a = model_.arena().array<Assignment>(1);
    a->value = value_;
    auto& cells = kind_ == Kind::site ? site_cells_ : cells_;
    cells.push_back({static_cast<std::uint16_t>(field_), {a, 1}});
}

void SiteReader::finish() {
    if (!version_)
        scan_.fail_at(0, BLN_E_FORMAT, "the file does not state its format: \"blondel\": \"" BLN_FORMAT_VERSION "\"");
    if (!errors_.empty()) throw Failure(std::move(errors_));
    std::sort(site_cells_.begin(), site_cells_.end(), [](const Cell& a, const Cell& b) { return a.field < b.field; });
    model_.put_cells(Kind::site, 0, model_.arena().copy(std::span<const Cell>(site_cells_)));
}

}  // namespace

std::unique_ptr<Model> read_site(std::string_view json, const JsonLimits& limits) {
    // A text beyond its limit is refused before memory is taken for it.
    const bool fits = json.size() <= limits.max_bytes;
    // Values take more room than their text, but a huge text may hold one huge value.
    const std::size_t room = json.size() + std::min<std::size_t>(json.size() * 3, std::size_t{1} << 26U) + 4096;
    auto model = std::make_unique<Model>(fits ? room : 64);
    char* work = model->arena().bytes(fits ? json.size() + 1 : 1);
    JsonScan scan(json, work, limits);
    SiteReader reader(scan, *model);
    try {
        scan.run(reader);
        reader.finish();
    } catch (Failure& f) {
        // What ended the reading decides the status; the fields found wrong before it follow.
        for (ErrorItem& e : reader.errors())
            if (f.items().size() < most_errors) f.items().push_back(std::move(e));
        throw;
    }
    return model;
}

}  // namespace bln
