// A rule is one small function and one row of data.
#pragma once

#include <cstdint>
#include <span>
#include <string_view>

#include "site/finding.hpp"

namespace bln::rules {

class Context;
class Verdicts;

/// What a rule guards; the documentation groups by it.
enum class Family : std::uint8_t { record, channels, cts, poles, arrangement, wiring, billing, sums };

[[nodiscard]] std::string_view word_of(Family family) noexcept;

struct Rule {
    std::string_view code;  ///< slug; the code of its findings
    Family family;
    Severity severity;  ///< of a proven wrong
    void (*run)(const Context&, Verdicts&);
    std::string_view asks;  ///< the question that it answers, for the documentation
};

/// Every rule, in the order in which they run.
[[nodiscard]] std::span<const Rule> catalogue() noexcept;

}  // namespace bln::rules
