// Tests on site as evidence: each multiplies the likelihood of every placement.
#pragma once

#include <array>
#include <span>
#include <string_view>
#include <vector>

#include "proof/prove.hpp"
#include "proof/shape.hpp"
#include "site/view.hpp"

namespace bln::infer {

/// Logarithms of what the tests multiply.
struct TestWeights {
    bool any = false;
    std::vector<std::vector<double>> base;       ///< by element and base class: where the CT is
    std::vector<double> dead, plain, elsewhere;  ///< by element: what a clamp says; another circuit
    std::vector<std::array<double, 2>> ratio;    ///< by element and ratio
    std::vector<double> here;                    ///< by element: on its own circuit
};

struct TestedLoad {
    const View& view;
    const Shape& shape;
    std::span<const std::int32_t> channels;  ///< by element
    std::string_view circuit;
    const as_of::service& service;
};

/// Bit e: element e has a test, so that its classes have to be told apart by what tests see.
[[nodiscard]] std::uint32_t tested(const View& view, std::span<const std::int32_t> channels,
                                   std::span<const ProofTest> tests) noexcept;
[[nodiscard]] TestWeights weigh(const TestedLoad& load, std::span<const ProofTest> tests, const Policy& policy);
/// Throws BLN_E_VALUE, BLN_E_NOT_FINITE.
void check_tests(std::span<const ProofTest> tests);

}  // namespace bln::infer
