#include "site/difference.hpp"

#include <algorithm>
#include <vector>

#include "site/entity_lines.hpp"
#include "site/json_text.hpp"
#include "site/json_tree.hpp"
#include "site/writer.hpp"

namespace bln {
namespace {

/// Terms are the members of an object: their order says nothing.
bool same_written(const FieldInfo& field, const Value& a, const Value& b) {
    if (same(field.type, a, b)) return true;
    if ((field.type != Type::terms && field.type != Type::passes) || a.terms.size() != b.terms.size()) return false;
    const auto sorted = [](const Value& v) {
        std::vector<TermText> terms(v.terms.begin(), v.terms.end());
        std::sort(terms.begin(), terms.end(), [](const TermText& x, const TermText& y) { return x.key < y.key; });
        return terms;
    };
    const auto x = sorted(a);
    const auto y = sorted(b);
    return std::equal(x.begin(), x.end(), y.begin(),
                      [](const TermText& s, const TermText& t) { return s.key == t.key && s.weight == t.weight; });
}

bool same_written(const FieldInfo& field, const Assignment& a, const Assignment& b) {
    return a.from == b.from && a.to == b.to && a.recorded_at == b.recorded_at && a.reason == b.reason &&
           a.evidence == b.evidence && same_written(field, a.value, b.value);
}

bool begins_with(const FieldInfo& field, const Cell& longer, const Cell& shorter) {
    return shorter.assignments.size() <= longer.assignments.size() &&
           std::equal(shorter.assignments.begin(), shorter.assignments.end(), longer.assignments.begin(),
                      [&](const Assignment& a, const Assignment& b) { return same_written(field, a, b); });
}

bool same_ext(std::string_view a, std::string_view b) {
    if (a == b) return true;
    if (a.empty() || b.empty()) return false;
    JsonLimits limits;
    limits.max_depth = json_depth_ceiling;
    limits.max_bytes = std::max(a.size(), b.size());
    return equal(parse_json(a, limits).root, parse_json(b, limits).root);
}

class Operations {
public:
    void remove(std::string_view path) {
        begin("remove", path);
        out_ += '}';
    }
    /// Begins an operation; the caller appends the value to what this returns, then calls end().
    std::string& value_at(std::string_view op, std::string_view path) {
        begin(op, path);
        out_ += ", \"value\": ";
        return out_;
    }
    void end() { out_ += '}'; }
    std::string take() {
        if (out_.empty()) return "[]";
        return "[\n" + out_ + "\n]\n";
    }

private:
    void begin(std::string_view op, std::string_view path) {
        if (!out_.empty()) out_ += ",\n";
        out_ += "  {\"op\": \"";
        out_ += op;
        out_ += "\", \"path\": ";
        append_json_string(out_, path);
    }
    std::string out_;
};

std::string below(std::string_view path, std::string_view token) {
    std::string out(path);
    append_pointer_token(out, token);
    return out;
}

void compare_field(Operations& ops, const std::string& path, const FieldInfo& field, const Cell* before,
                   const Cell* after) {
    if (before == nullptr && after == nullptr) return;
    if (after == nullptr) return ops.remove(path);
    if (before != nullptr && begins_with(field, *after, *before)) {
        if (before->assignments.size() == after->assignments.size()) return;
        if (!written_plain(*before)) {
            for (const Assignment& a : after->assignments.subspan(before->assignments.size())) {
                append_assignment(ops.value_at("add", path + "/dated/-"), field, a, JsonStyle::readable);
                ops.end();
            }
            return;
        }
    }
    append_field(ops.value_at(before == nullptr ? "add" : "replace", path), field, *after, JsonStyle::readable);
    ops.end();
}

void compare_entity(Operations& ops, const std::string& path, Kind kind, const Entity& before, const Entity& after) {
    const KindInfo& k = info(kind);
    for (std::size_t f = 0; f < k.field_count; ++f)
        compare_field(ops, below(path, k.fields[f].name), k.fields[f], shown(before, f), shown(after, f));
    if (same_ext(before.ext, after.ext)) return;
    if (after.ext.empty()) return ops.remove(below(path, "ext"));
    append_ext(ops.value_at(before.ext.empty() ? "add" : "replace", below(path, "ext")), after.ext,
               JsonStyle::readable);
    ops.end();
}

void add_collection(Operations& ops, const std::string& path, Kind kind, const std::vector<Entity>& entities) {
    std::string& out = ops.value_at("add", path);
    char open = '{';
    for (const Entity& e : entities) {
        out += open;
        out += open == '{' ? "\"" : " \"";
        open = ',';
        out += e.id;
        out += "\": ";
        append_entity(out, kind, e, JsonStyle::readable);
    }
    out += '}';
    ops.end();
}

}  // namespace

std::string site_difference(const Model& before, const Model& after) {
    Operations ops;
    compare_entity(ops, "", Kind::site, before.entities(Kind::site).front(), after.entities(Kind::site).front());
    for (std::size_t i = 1; i < kind_count; ++i) {
        const auto kind = static_cast<Kind>(i);
        const std::vector<Entity>& old = before.entities(kind);
        const std::vector<Entity>& now = after.entities(kind);
        const std::string path = below("", info(kind).collection);
        // A file leaves out a collection that holds nothing.
        if (old.empty() && now.empty()) continue;
        if (now.empty()) {
            ops.remove(path);
            continue;
        }
        if (old.empty()) {
            add_collection(ops, path, kind, now);
            continue;
        }
        for (const Entity& e : old)
            if (after.find(kind, e.id) < 0) ops.remove(below(path, e.id));
        for (const Entity& e : now) {
            const std::string place = below(path, e.id);
            const std::int32_t at = before.find(kind, e.id);
            if (at >= 0) {
                compare_entity(ops, place, kind, old[static_cast<std::size_t>(at)], e);
            } else {
                append_entity(ops.value_at("add", place), kind, e, JsonStyle::readable);
                ops.end();
            }
        }
    }
    return ops.take();
}

}  // namespace bln
