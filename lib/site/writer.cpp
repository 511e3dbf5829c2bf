#include "site/writer.hpp"

#include <algorithm>
#include <vector>

#include "site/canonical.hpp"
#include "site/entity_lines.hpp"
#include "site/instant.hpp"
#include "site/json_text.hpp"
#include "site/value_json.hpp"

namespace bln {
namespace {

bool has_terms(const FieldInfo& field) noexcept { return field.type == Type::terms || field.type == Type::passes; }

/// Opens up compact JSON: a space after each comma and colon that separates.
void append_spaced(std::string& to, std::string_view compact) {
    bool quoted = false;
    for (std::size_t i = 0; i < compact.size(); ++i) {
        const char c = compact[i];
        to += c;
        if (quoted && c == '\\')
            to += compact[++i];
        else if (c == '"')
            quoted = !quoted;
        else if (!quoted && (c == ',' || c == ':'))
            to += ' ';
    }
}

void append_value(std::string& to, const FieldInfo& field, const Value& value, JsonStyle style) {
    if (style == JsonStyle::readable) {
        std::string compact;
        append_value_json(compact, field, value);
        append_spaced(to, compact);
    } else if (has_terms(field) && value.terms.size() > 1) {
        std::vector<TermText> terms(value.terms.begin(), value.terms.end());
        std::sort(terms.begin(), terms.end(), [](const TermText& a, const TermText& b) { return a.key < b.key; });
        Value sorted = value;
        sorted.terms = terms;
        append_value_json(to, field, sorted);
    } else {
        append_value_json(to, field, value);
    }
}

/// Members of one JSON object: key, colon, and commas where they belong.
class Members {
public:
    Members(std::string& to, JsonStyle style) : to_(to), style_(style) { to_ += '{'; }
    std::string& key(std::string_view name) {
        const bool readable = style_ == JsonStyle::readable;
        if (!first_) to_ += readable ? ", " : ",";
        first_ = false;
        to_ += '"';
        to_ += name;
        to_ += readable ? "\": " : "\":";
        return to_;
    }
    void end() { to_ += '}'; }

private:
    std::string& to_;
    JsonStyle style_;
    bool first_ = true;
};

/// Keys of an entity in the order in which a canonical file has them; -1 stands for ext.
struct KeyOrder {
    explicit KeyOrder(Kind kind) {
        const KindInfo& k = info(kind);
        keys.reserve(k.field_count + 1);
        for (std::size_t i = 0; i < k.field_count; ++i) keys.emplace_back(k.fields[i].name, static_cast<int>(i));
        keys.emplace_back("ext", -1);
        std::sort(keys.begin(), keys.end());
    }
    std::vector<std::pair<std::string_view, int>> keys;
};

void append_canonical_entity(std::string& to, Kind kind, const Entity& entity, const KeyOrder& order) {
    Members members(to, JsonStyle::canonical);
    for (const auto& [name, field] : order.keys) {
        if (field < 0) {
            if (!entity.ext.empty()) append_ext(members.key(name), entity.ext, JsonStyle::canonical);
        } else if (const Cell* cell = shown(entity, static_cast<std::size_t>(field))) {
            append_field(members.key(name), info(kind).fields[field], *cell, JsonStyle::canonical);
        }
    }
    members.end();
}

void append_canonical_collection(std::string& to, Kind kind, const std::vector<Entity>& entities) {
    const KeyOrder order(kind);
    std::vector<const Entity*> sorted;
    sorted.reserve(entities.size());
    for (const Entity& e : entities) sorted.push_back(&e);
    std::sort(sorted.begin(), sorted.end(), [](const Entity* a, const Entity* b) { return a->id < b->id; });
    Members members(to, JsonStyle::canonical);
    for (const Entity* e : sorted) append_canonical_entity(members.key(e->id), kind, *e, order);
    members.end();
}

std::string write_canonical(const Model& model) {
    const Entity& site = model.entities(Kind::site).front();
    enum class Part : std::uint8_t { version, collection, field, ext };
    struct Key {
        std::string_view name;
        Part part;
        std::size_t index;
    };
    std::vector<Key> keys{{"blondel", Part::version, 0}};
    for (std::size_t i = 1; i < kind_count; ++i)
        if (!model.entities(static_cast<Kind>(i)).empty())
            keys.push_back({info(static_cast<Kind>(i)).collection, Part::collection, i});
    const KindInfo& k = info(Kind::site);
    for (std::size_t i = 0; i < k.field_count; ++i)
        if (shown(site, i) != nullptr) keys.push_back({k.fields[i].name, Part::field, i});
    if (!site.ext.empty()) keys.push_back({"ext", Part::ext, 0});
    std::sort(keys.begin(), keys.end(), [](const Key& a, const Key& b) { return a.name < b.name; });

    std::string out;
    Members members(out, JsonStyle::canonical);
    for (const Key& key : keys) {
        members.key(key.name);
        switch (key.part) {
            case Part::version:
                append_json_string(out, BLN_FORMAT_VERSION);
                break;
            case Part::collection:
                append_canonical_collection(out, static_cast<Kind>(key.index),
                                            model.entities(static_cast<Kind>(key.index)));
                break;
            case Part::field:
                append_field(out, k.fields[key.index], *shown(site, key.index), JsonStyle::canonical);
                break;
            case Part::ext:
                append_ext(out, site.ext, JsonStyle::canonical);
                break;
        }
    }
    members.end();
    return out;
}

std::string write_readable(const Model& model) {
    const Entity& site = model.entities(Kind::site).front();
    const KindInfo& k = info(Kind::site);
    std::string out = "{\n  \"blondel\": \"" BLN_FORMAT_VERSION "\"";
    const auto key = [&out](std::string_view name) {
        out += ",\n  \"";
        out += name;
        out += "\": ";
    };
    for (std::size_t f = 0; f < k.field_count; ++f) {
        const Cell* cell = shown(site, f);
        if (cell == nullptr) continue;
        key(k.fields[f].name);
        append_field(out, k.fields[f], *cell, JsonStyle::readable);
    }
    for (std::size_t i = 1; i < kind_count; ++i) {
        const auto kind = static_cast<Kind>(i);
        if (model.entities(kind).empty()) continue;
        key(info(kind).collection);
        out += '{';
        append_entity_lines(out, kind, model.entities(kind));
        out += '}';
    }
    if (!site.ext.empty()) {
        key("ext");
        append_ext(out, site.ext, JsonStyle::readable);
    }
    out += "\n}\n";
    return out;
}

}  // namespace

bool written_plain(const Cell& cell) noexcept {
    return cell.assignments.size() == 1 && cell.assignments.front().plain();
}

void append_assignment(std::string& to, const FieldInfo& field, const Assignment& a, JsonStyle style) {
    Members members(to, style);
    const auto instant = [&](std::string_view name, Instant at, Instant absent) {
        if (at == absent) return;
        members.key(name) += '"';
        append_instant(to, at);
        to += '"';
    };
    const auto text = [&](std::string_view name, std::string_view value) {
        if (!value.empty()) append_json_string(members.key(name), value);
    };
    if (style == JsonStyle::canonical) {
        text("evidence", a.evidence);
        instant("from", a.from, begin_of_time);
        text("reason", a.reason);
        instant("recorded_at", a.recorded_at, begin_of_time);
        instant("to", a.to, end_of_time);
    } else {
        instant("from", a.from, begin_of_time);
        instant("to", a.to, end_of_time);
        instant("recorded_at", a.recorded_at, begin_of_time);
        text("reason", a.reason);
        text("evidence", a.evidence);
    }
    append_value(members.key("value"), field, a.value, style);
    members.end();
}

void append_field(std::string& to, const FieldInfo& field, const Cell& cell, JsonStyle style) {
    if (written_plain(cell)) {
        append_value(to, field, cell.assignments.front().value, style);
        return;
    }
    Members members(to, style);
    members.key("dated") += '[';
    bool first = true;
    for (const Assignment& a : cell.assignments) {
        if (!first) to += style == JsonStyle::readable ? ", " : ",";
        first = false;
        append_assignment(to, field, a, style);
    }
    to += ']';
    members.end();
}

void append_entity(std::string& to, Kind kind, const Entity& entity, JsonStyle style) {
    if (style == JsonStyle::canonical) {
        append_canonical_entity(to, kind, entity, KeyOrder(kind));
        return;
    }
    Members members(to, style);
    for (std::size_t f = 0; f < info(kind).field_count; ++f)
        if (const Cell* cell = shown(entity, f))
            append_field(members.key(info(kind).fields[f].name), info(kind).fields[f], *cell, style);
    if (!entity.ext.empty()) append_ext(members.key("ext"), entity.ext, style);
    members.end();
}

void append_ext(std::string& to, std::string_view ext, JsonStyle style) {
    if (style == JsonStyle::readable) {
        to += ext;
        return;
    }
    JsonLimits limits;  // it was read within the limits of its caller
    limits.max_depth = json_depth_ceiling;
    limits.max_bytes = ext.size();
    append_canonical(to, parse_json(ext, limits).root);
}

std::string write_site(const Model& model, JsonStyle style) {
    return style == JsonStyle::canonical ? write_canonical(model) : write_readable(model);
}

}  // namespace bln
