// What the readers of small JSON objects have in common: requests, maps, options.
#pragma once

#include <initializer_list>
#include <string>
#include <string_view>

#include "site/json_tree.hpp"

namespace bln {

/// A document whose values are taken with a status and place for every mistake.
class JsonReading {
public:
    /// Throws what parse_json() throws.
    explicit JsonReading(std::string_view json) : document_(parse_json(json)) {}

protected:
    [[nodiscard]] const Json& root() const noexcept { return document_.root; }
    [[noreturn]] void fail(const Json& at, bln_status status, std::string message) const {
        document_.fail(at, status, std::move(message));
    }
    [[nodiscard]] std::string pointer_of(const Json& at) const { return document_.pointer_of(at); }

    /// Throws BLN_E_TYPE with @p what.
    const Json& object(const Json& j, const char* what = "an object is expected") const {
        if (!j.is_object()) fail(j, BLN_E_TYPE, what);
        return j;
    }
    const std::vector<Json>& list(const Json& j) const {
        if (!j.is_array()) fail(j, BLN_E_TYPE, "a list is expected");
        return j.items;
    }
    const std::string& text(const Json& j) const {
        if (!j.is_string()) fail(j, BLN_E_TYPE, "a text is expected");
        return j.text;
    }
    bool truth(const Json& j) const {
        if (!j.is(Json::Kind::boolean)) fail(j, BLN_E_TYPE, "true or false is expected");
        return j.truth;
    }
    int whole(const Json& j, std::int64_t low, std::int64_t high) const {
        std::int64_t n = 0;
        if (!j.is_number() || !json_integer(j.text, n)) fail(j, BLN_E_TYPE, "a whole number is expected");
        if (n < low || n > high)
            fail(j, BLN_E_RANGE, "it runs from " + std::to_string(low) + " to " + std::to_string(high));
        return static_cast<int>(n);
    }
    double percent(const Json& j) const {
        if (!j.is_number()) fail(j, BLN_E_TYPE, "a number is expected");
        if (!(j.real() >= 0 && j.real() <= 100)) fail(j, BLN_E_RANGE, "it runs from 0 to 100");
        return j.real();
    }
    /// Position of a word in a list.
    std::size_t word(const Json& j, std::initializer_list<std::string_view> words) const {
        std::size_t i = 0;
        std::string all;
        for (const std::string_view w : words) {
            if (text(j) == w) return i;
            all.append(i++ == 0 ? "" : ", ").append(w);
        }
        fail(j, BLN_E_VALUE, "\"" + j.text + "\" is none of " + all);
    }

private:
    JsonDocument document_;
};

}  // namespace bln
