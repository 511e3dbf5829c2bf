// Columns of numbers that a caller owns: any stride, any of six types, a bit for each item.
#pragma once

#include <cmath>
#include <cstdint>
#include <cstring>
#include <string>
#include <string_view>

#include "power/failure.hpp"

namespace bln {

/// Reads one `bln_column`. Items are fetched bytewise, so that no alignment is asked of the caller.
class Column {
public:
    Column() = default;
    /// Throws BLN_E_RANGE for an unknown type or a stride of 0.
    Column(const bln_column& from, std::string_view name) : from_(from), name_(name) {
        if (from_.data == nullptr) return;
        switch (from_.type) {
            case BLN_TYPE_U8:
            case BLN_TYPE_I16:
            case BLN_TYPE_I32:
            case BLN_TYPE_I64:
            case BLN_TYPE_F32:
            case BLN_TYPE_F64:
                break;
            default:
                throw Failure(BLN_E_RANGE, "column " + std::string(name_) + " has no known type");
        }
        if (from_.stride == 0) throw Failure(BLN_E_RANGE, "column " + std::string(name_) + " has a stride of 0");
    }

    [[nodiscard]] bool given() const noexcept { return from_.data != nullptr; }
    [[nodiscard]] bool whole() const noexcept { return from_.type != BLN_TYPE_F32 && from_.type != BLN_TYPE_F64; }
    [[nodiscard]] std::string_view name() const noexcept { return name_; }
    [[nodiscard]] std::int32_t type() const noexcept { return from_.type; }
    /// The items, if they lie one behind the other as @p type, aligned for it; null otherwise.
    [[nodiscard]] const void* packed(std::int32_t type) const noexcept {
        const std::size_t width = type == BLN_TYPE_U8 ? 1 : 8;
        const bool fits = from_.type == type && static_cast<std::size_t>(from_.stride) == width &&
                          reinterpret_cast<std::uintptr_t>(from_.data) % width == 0;
        return fits ? from_.data : nullptr;
    }
    /// A bit for each item, or null: all are there.
    [[nodiscard]] const std::uint8_t* validity() const noexcept { return from_.validity; }
    /// Whether item @p i is there. False for an absent column.
    [[nodiscard]] bool has(std::size_t i) const noexcept {
        return given() && (from_.validity == nullptr || (from_.validity[i / 8] >> (i % 8) & 1U) != 0);
    }
    /// Item of a column whose type is whole().
    [[nodiscard]] std::int64_t integer(std::size_t i) const noexcept {
        switch (from_.type) {
            case BLN_TYPE_U8:
                return item<std::uint8_t>(i);
            case BLN_TYPE_I16:
                return item<std::int16_t>(i);
            case BLN_TYPE_I32:
                return item<std::int32_t>(i);
            default:
                return item<std::int64_t>(i);
        }
    }
    /// Item of any type as a double; an int64 beyond 2^53 is rounded.
    [[nodiscard]] double real(std::size_t i) const noexcept {
        if (from_.type == BLN_TYPE_F64) return item<double>(i);
        if (from_.type == BLN_TYPE_F32) return static_cast<double>(item<float>(i));
        return static_cast<double>(integer(i));
    }
    /// Throws BLN_E_TYPE for floats: counts are exact.
    const Column& counts() const {
        if (given() && !whole())
            throw Failure(BLN_E_TYPE, "column " + std::string(name_) + " holds floats; counts are integers");
        return *this;
    }
    /// Throws BLN_E_TYPE unless the column holds instants.
    const Column& instants() const {
        if (given() && from_.type != BLN_TYPE_I64)
            throw Failure(BLN_E_TYPE,
                          "column " + std::string(name_) + " holds no int64 microseconds since 1970-01-01 UTC");
        return *this;
    }

private:
    template <class T>
    [[nodiscard]] T item(std::size_t i) const noexcept {
        T out;
        std::memcpy(&out, static_cast<const char*>(from_.data) + static_cast<std::ptrdiff_t>(i) * from_.stride,
                    sizeof out);
        return out;
    }
    bln_column from_{};
    std::string_view name_;
};

/// Writes one `bln_out_column`.
class OutColumn {
public:
    /// Throws BLN_E_TYPE unless the type is I64 or F64, BLN_E_ARGUMENT without data, BLN_E_RANGE for a stride of 0.
    explicit OutColumn(const bln_out_column& into) : into_(into) {
        if (into_.data == nullptr) throw Failure(BLN_E_ARGUMENT, "the output column has no data");
        if (into_.type != BLN_TYPE_I64 && into_.type != BLN_TYPE_F64)
            throw Failure(BLN_E_TYPE, "the output column holds neither int64 nor double");
        if (into_.stride == 0) throw Failure(BLN_E_RANGE, "the output column has a stride of 0");
    }
    [[nodiscard]] bool whole() const noexcept { return into_.type == BLN_TYPE_I64; }
    void put(std::size_t i, std::int64_t v) const noexcept { write(i, v); }
    void put(std::size_t i, double v) const noexcept { write(i, v); }
    void present(std::size_t i, bool yes) const noexcept {
        if (into_.validity == nullptr) return;
        const auto bit = static_cast<std::uint8_t>(1U << (i % 8));
        std::uint8_t& byte = into_.validity[i / 8];
        byte = static_cast<std::uint8_t>(yes ? byte | bit : byte & ~bit);
    }

private:
    template <class T>
    void write(std::size_t i, T v) const noexcept {
        std::memcpy(static_cast<char*>(into_.data) + static_cast<std::ptrdiff_t>(i) * into_.stride, &v, sizeof v);
    }
    bln_out_column into_;
};

}  // namespace bln
