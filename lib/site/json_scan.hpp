// A strict walk over a JSON text (RFC 8259): what it accepts is UTF-8 without byte order mark,
// has no key twice in one object, holds only finite numbers, and keeps to its limits.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "power/failure.hpp"

namespace bln {

/// What a text may need at most.
struct JsonLimits {
    std::uint32_t max_depth = 64;
    std::uint64_t max_bytes = std::uint64_t{1} << 30U;
};
/// No text may nest deeper than this, whatever its limits say: trees are freed recursively.
inline constexpr std::uint32_t json_depth_ceiling = 1000;

/// Line and column (in bytes, both from 1) of an offset.
struct Place {
    std::uint64_t line = 1, column = 1;
};

/// Finds places; fast when it is asked for ascending offsets.
class PlaceFinder {
public:
    explicit PlaceFinder(std::string_view text) noexcept : text_(text) {}
    [[nodiscard]] Place find(std::size_t offset) noexcept;

private:
    std::string_view text_;
    std::size_t at_ = 0, line_start_ = 0;
    std::uint64_t line_ = 1;
};

/// Receives the walk. Texts and keys lie in the scan's work buffer, each followed by a NUL, and
/// stay valid as long as the buffer; numbers are slices of the source.
class JsonHandler {
public:
    virtual void null() = 0;
    virtual void boolean(bool value) = 0;
    virtual void number(std::string_view text) = 0;
    virtual void string(std::string_view text) = 0;
    virtual void begin_object() = 0;
    virtual void key(std::string_view text) = 0;
    virtual void end_object() = 0;
    virtual void begin_array() = 0;
    virtual void end_array() = 0;

protected:
    ~JsonHandler() = default;
};

/// One walk. Throws Failure with pointer, line, column and byte: BLN_E_SIZE, BLN_E_ENCODING (also
/// for U+0000), BLN_E_SYNTAX, BLN_E_DUPLICATE, BLN_E_DEPTH, BLN_E_NOT_FINITE (NaN, Infinity, and
/// numbers beyond a double), and whatever the handler throws.
class JsonScan {
public:
    /// @param work  source.size() + 1 bytes that receive the texts; must outlive what the handler keeps
    JsonScan(std::string_view source, char* work, const JsonLimits& limits);
    void run(JsonHandler& handler);

    [[nodiscard]] std::string_view source() const noexcept { return source_; }
    /// First byte of the current token, and the byte after it.
    [[nodiscard]] std::size_t begin() const noexcept { return begin_; }
    [[nodiscard]] std::size_t end() const noexcept { return end_; }
    /// JSON Pointer of the current value; at an object's begin and end that of the object.
    /// @param up  leaves out so many of the last parts
    [[nodiscard]] std::string pointer(std::size_t up = 0) const;
    /// An error at the current token.
    [[nodiscard]] ErrorItem item(bln_status status, std::string message);
    [[nodiscard]] ErrorItem item_at(std::size_t offset, bln_status status, std::string message);
    [[noreturn]] void fail(bln_status status, std::string message);
    [[noreturn]] void fail_at(std::size_t offset, bln_status status, std::string message);

private:
    struct Key {
        std::string_view text;
        std::uint32_t hash;
    };
    struct Frame {
        bool object;
        std::uint32_t first_key;  // of this object in keys_
        std::uint32_t big;        // 1 + table of this object in tables_, or 0 while it is small
        std::uint64_t index;      // of the current item of an array
    };
    struct Events;

    void check_encoding();
    void enter(bool object);
    void leave();
    void add_key(std::string_view key);
    void add_to_table(Frame& frame);
    void value_done() noexcept {
        if (!frames_.empty()) ++frames_.back().index;
    }
    void check_decoded(std::string_view text);
    void check_finite(std::string_view number);
    [[noreturn]] void syntax_error(int code, std::size_t offset);

    std::string_view source_;
    char* work_;
    JsonLimits limits_;
    PlaceFinder places_;
    std::size_t begin_ = 0, end_ = 0;
    std::vector<Frame> frames_;
    std::vector<Key> keys_;
    std::vector<std::vector<std::uint32_t>> tables_;
    std::uint32_t tables_used_ = 0;
};

/// A JSON number as a double: nearest value, underflow to zero. False when it is not finite.
[[nodiscard]] bool json_real(std::string_view number, double& out) noexcept;
/// A JSON number that is whole and fits 64 bits, in whatever form (7, 7.0, 70e-1).
/// false: it is not whole, or does not fit; json_whole() tells which.
[[nodiscard]] bool json_integer(std::string_view number, std::int64_t& out) noexcept;
/// Whether a JSON number has no fractional part.
[[nodiscard]] bool json_whole(std::string_view number) noexcept;

}  // namespace bln
