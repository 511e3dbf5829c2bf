// The one exception type of the core. It carries what the C error object shows.
#pragma once

#include <cstddef>
#include <cstdint>
#include <exception>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "blondel/blondel.h"

namespace bln {

/// One thing that went wrong: a status number for programs, a place and a message for people.
struct ErrorItem {
    bln_status status = BLN_E_INTERNAL;
    std::string message;
    std::string subject;     ///< id of the entity it is about, or empty
    std::string pointer;     ///< JSON Pointer (RFC 6901) into the text or record, or empty
    std::uint64_t line = 0;  ///< 1-based, 0 = no place in a text
    std::uint64_t column = 0;
    std::uint64_t byte = 0;  ///< 0-based offset; meaningful when line > 0
};

/// Thrown when a call cannot be carried out. Findings about a site are never exceptions.
class Failure : public std::exception {
public:
    explicit Failure(ErrorItem item) { items_.push_back(std::move(item)); }
    explicit Failure(std::vector<ErrorItem> items) : items_(std::move(items)) {}
    Failure(bln_status status, std::string message, std::string subject = {}, std::string pointer = {}) {
        items_.push_back({status, std::move(message), std::move(subject), std::move(pointer)});
    }
    /// Never empty: the first item decides the status of the call.
    [[nodiscard]] const std::vector<ErrorItem>& items() const noexcept { return items_; }
    [[nodiscard]] std::vector<ErrorItem>& items() noexcept { return items_; }
    [[nodiscard]] const char* what() const noexcept override { return items_.front().message.c_str(); }

private:
    std::vector<ErrorItem> items_;
};

}  // namespace bln
