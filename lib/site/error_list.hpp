// Collects the errors of a text or table so that they can be told all at once.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "power/failure.hpp"

namespace bln {

/// Up to `most` errors; throws them together.
class ErrorList {
public:
    static constexpr std::size_t most = 100;

    [[nodiscard]] bool full() const noexcept { return items_.size() >= most; }
    [[nodiscard]] bool empty() const noexcept { return items_.empty(); }
    void add(ErrorItem item) {
        if (!full()) items_.push_back(std::move(item));
    }
    /// An error of row @p row (from 1) of a table that came as columns.
    void row(bln_status status, std::string message, std::uint64_t row, std::string_view subject = {}) {
        if (!full()) items_.push_back({status, std::move(message), std::string(subject), {}, row, 0, 0});
    }
    void raise() {
        if (!items_.empty()) throw Failure(std::move(items_));
    }

private:
    std::vector<ErrorItem> items_;
};

}  // namespace bln
