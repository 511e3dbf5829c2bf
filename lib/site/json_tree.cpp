#include "site/json_tree.hpp"

#include <algorithm>
#include <memory>

#include "site/json_text.hpp"

namespace bln {
namespace {

class Builder final : public JsonHandler {
public:
    Builder(const JsonScan& scan, Json& root) : scan_(scan), root_(root) {}

    void null() override { add(Json::Kind::null); }
    void boolean(bool value) override { add(Json::Kind::boolean).truth = value; }
    void number(std::string_view text) override { add(Json::Kind::number).text = text; }
    void string(std::string_view text) override { add(Json::Kind::string).text = text; }
    void key(std::string_view text) override { open_.back()->keys.emplace_back(text); }
    void begin_object() override { open(Json::Kind::object); }
    void begin_array() override { open(Json::Kind::array); }
    void end_object() override { close(); }
    void end_array() override { close(); }

private:
    Json& add(Json::Kind kind) {
        // Only the last item of an open node grows, so the pointers in open_ stay good.
        Json& j = open_.empty() ? root_ : open_.back()->items.emplace_back();
        j.kind = kind;
        j.begin = scan_.begin();
        j.end = scan_.end();
        return j;
    }
    void open(Json::Kind kind) {
        Json& j = add(kind);
        open_.push_back(&j);
    }
    void close() {
        open_.back()->end = scan_.end();
        open_.pop_back();
    }

    const JsonScan& scan_;
    Json& root_;
    std::vector<Json*> open_;
};

bool find_path(const Json& from, const Json& node, std::string& out) {
    if (&from == &node) return true;
    for (std::size_t i = 0; i < from.items.size(); ++i) {
        const std::size_t size = out.size();
        append_pointer_token(out, from.is_object() ? from.keys[i] : std::to_string(i));
        if (find_path(from.items[i], node, out)) return true;
        out.resize(size);
    }
    return false;
}

}  // namespace

Json Json::of_string(std::string_view text) {
    Json j = of_kind(Kind::string);
    j.text = text;
    return j;
}
Json Json::of_number(double value) {
    Json j = of_kind(Kind::number);
    append_json_number(j.text, value);
    return j;
}
Json Json::of_integer(std::int64_t value) {
    Json j = of_kind(Kind::number);
    j.text = std::to_string(value);
    return j;
}
Json Json::of_boolean(bool value) {
    Json j = of_kind(Kind::boolean);
    j.truth = value;
    return j;
}

const Json* Json::find(std::string_view key) const noexcept {
    const auto k = std::find(keys.begin(), keys.end(), key);
    return k == keys.end() ? nullptr : &items[static_cast<std::size_t>(k - keys.begin())];
}
Json* Json::find(std::string_view key) noexcept { return const_cast<Json*>(std::as_const(*this).find(key)); }

Json& Json::set(std::string_view key, Json value) {
    if (Json* old = find(key)) return *old = std::move(value);
    keys.reserve(keys.size() + 1);
    items.push_back(std::move(value));
    try {
        keys.emplace_back(key);
    } catch (...) {
        items.pop_back();
        throw;
    }
    return items.back();
}

double Json::real() const noexcept {
    double value = 0;
    (void)json_real(text, value);
    return value;
}

std::string_view json_kind_name(Json::Kind kind) noexcept {
    switch (kind) {
        case Json::Kind::null:
            return "null";
        case Json::Kind::boolean:
            return "true or false";
        case Json::Kind::number:
            return "a number";
        case Json::Kind::string:
            return "a text";
        case Json::Kind::array:
            return "an array";
        case Json::Kind::object:
            return "an object";
    }
    return "";
}

bool equal(const Json& a, const Json& b) {
    if (a.kind != b.kind) return false;
    switch (a.kind) {
        case Json::Kind::null:
            return true;
        case Json::Kind::boolean:
            return a.truth == b.truth;
        case Json::Kind::string:
            return a.text == b.text;
        case Json::Kind::number: {
            if (a.text == b.text) return true;
            std::int64_t x = 0;
            std::int64_t y = 0;
            const bool whole = json_integer(a.text, x);
            if (whole != json_integer(b.text, y)) return false;
            return whole ? x == y : a.real() == b.real();
        }
        case Json::Kind::array:
            return std::equal(a.items.begin(), a.items.end(), b.items.begin(), b.items.end(),
                              [](const Json& x, const Json& y) { return equal(x, y); });
        case Json::Kind::object: {
            if (a.items.size() != b.items.size()) return false;
            if (a.keys == b.keys)
                return std::equal(a.items.begin(), a.items.end(), b.items.begin(),
                                  [](const Json& x, const Json& y) { return equal(x, y); });
            // Same keys in another order: meet them sorted.
            const auto sorted = [](const Json& j) {
                std::vector<std::size_t> order(j.keys.size());
                for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
                std::sort(order.begin(), order.end(),
                          [&](std::size_t x, std::size_t y) { return j.keys[x] < j.keys[y]; });
                return order;
            };
            const auto left = sorted(a);
            const auto right = sorted(b);
            for (std::size_t i = 0; i < left.size(); ++i)
                if (a.keys[left[i]] != b.keys[right[i]] || !equal(a.items[left[i]], b.items[right[i]])) return false;
            return true;
        }
    }
    return false;
}

std::string JsonDocument::pointer_of(const Json& node) const {
    std::string out;
    (void)find_path(root, node, out);
    return out;
}

ErrorItem JsonDocument::item(const Json& node, bln_status status, std::string message) const {
    ErrorItem e{status, std::move(message), {}, pointer_of(node)};
    if (node.begin != Json::no_place) {
        const Place place = PlaceFinder(source).find(node.begin);
        e.line = place.line;
        e.column = place.column;
        e.byte = node.begin;
    }
    return e;
}

void JsonDocument::fail(const Json& node, bln_status status, std::string message) const {
    throw Failure(item(node, status, std::move(message)));
}

JsonDocument parse_json(std::string_view source, const JsonLimits& limits) {
    JsonDocument out{source, {}};
    // Checked before anything is allocated for it.
    const bool fits = source.size() <= limits.max_bytes;
    const std::unique_ptr<char[]> work(new char[fits ? source.size() + 1 : 1]);
    JsonScan scan(source, work.get(), limits);
    Builder builder(scan, out.root);
    scan.run(builder);
    return out;
}

void append_json(std::string& out, const Json& value) {
    switch (value.kind) {
        case Json::Kind::null:
            out += "null";
            break;
        case Json::Kind::boolean:
            out += value.truth ? "true" : "false";
            break;
        case Json::Kind::number:
            out += value.text;
            break;
        case Json::Kind::string:
            append_json_string(out, value.text);
            break;
        case Json::Kind::array:
        case Json::Kind::object: {
            const bool object = value.is_object();
            out += object ? '{' : '[';
            for (std::size_t i = 0; i < value.items.size(); ++i) {
                if (i > 0) out += ',';
                if (object) {
                    append_json_string(out, value.keys[i]);
                    out += ':';
                }
                append_json(out, value.items[i]);
            }
            out += object ? '}' : ']';
        }
    }
}

std::string to_json(const Json& value) {
    std::string out;
    append_json(out, value);
    return out;
}

}  // namespace bln
