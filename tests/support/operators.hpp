// Mistakes that real records hold, each as an operator that puts one into a correct site.
#pragma once

#include <span>
#include <string>

#include "spoiled.hpp"

namespace support {

/// What a spoiled site must say: a code, and one of the subjects as kind:id (empty: any).
struct Wanted {
    std::string code, subject;
    [[nodiscard]] bool none() const noexcept { return code.empty(); }
};

struct Operator {
    const char* name;
    const char* does;
    /// Puts the mistake into the draft; nothing when the site has no place for it.
    Wanted (*spoil)(Spoiled&);
};

[[nodiscard]] std::span<const Operator> operators() noexcept;

}  // namespace support
