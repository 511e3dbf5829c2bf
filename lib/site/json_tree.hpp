// A JSON text as a tree, for what is small and read as a whole: patches, policies, catalogues,
// readings. Site files do not pass through here (site/reader.hpp).
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "site/json_scan.hpp"

namespace bln {

/// One value. Copies are deep. Objects keep the order of their keys; numbers keep their text.
struct Json {
    enum class Kind : unsigned char { null, boolean, number, string, array, object };
    static constexpr std::size_t no_place = static_cast<std::size_t>(-1);

    Kind kind = Kind::null;
    bool truth = false;             ///< of a boolean
    std::size_t begin = no_place;   ///< first byte in the text that it was read from
    std::size_t end = no_place;     ///< byte after the last
    std::string text;               ///< of a string, decoded; of a number, as written
    std::vector<std::string> keys;  ///< of an object; keys[i] names items[i]
    std::vector<Json> items;        ///< of an array or object

    [[nodiscard]] static Json of_string(std::string_view text);
    [[nodiscard]] static Json of_number(double value);  ///< finite
    [[nodiscard]] static Json of_integer(std::int64_t value);
    [[nodiscard]] static Json of_boolean(bool value);
    [[nodiscard]] static Json of_array() { return of_kind(Kind::array); }
    [[nodiscard]] static Json of_object() { return of_kind(Kind::object); }

    [[nodiscard]] bool is(Kind k) const noexcept { return kind == k; }
    [[nodiscard]] bool is_object() const noexcept { return kind == Kind::object; }
    [[nodiscard]] bool is_array() const noexcept { return kind == Kind::array; }
    [[nodiscard]] bool is_string() const noexcept { return kind == Kind::string; }
    [[nodiscard]] bool is_number() const noexcept { return kind == Kind::number; }
    /// Member of an object, or null.
    [[nodiscard]] const Json* find(std::string_view key) const noexcept;
    [[nodiscard]] Json* find(std::string_view key) noexcept;
    /// Adds or replaces a member.
    Json& set(std::string_view key, Json value);
    /// The value of a number; numbers that were read are finite.
    [[nodiscard]] double real() const noexcept;

private:
    static Json of_kind(Kind k) {
        Json j;
        j.kind = k;
        return j;
    }
};

/// "an object", "a text" and so on, for messages.
[[nodiscard]] std::string_view json_kind_name(Json::Kind kind) noexcept;

/// Equal as RFC 6902 (section 4.6) defines it: numbers by value, objects without regard to order.
[[nodiscard]] bool equal(const Json& a, const Json& b);

/// A tree with the text that it came from, so that errors can name the place.
struct JsonDocument {
    std::string_view source;  ///< borrowed
    Json root;

    /// JSON Pointer of a node of this tree.
    [[nodiscard]] std::string pointer_of(const Json& node) const;
    [[nodiscard]] ErrorItem item(const Json& node, bln_status status, std::string message) const;
    [[noreturn]] void fail(const Json& node, bln_status status, std::string message) const;
};

/// Reads one JSON text. Throws what JsonScan throws.
[[nodiscard]] JsonDocument parse_json(std::string_view source, const JsonLimits& limits = {});

/// Without spaces, keys in the order of the tree, numbers as their text.
[[nodiscard]] std::string to_json(const Json& value);
void append_json(std::string& out, const Json& value);

}  // namespace bln
