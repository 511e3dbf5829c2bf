// The closed form of an error: as few products of a voltage and a current as there can be.
#pragma once

#include <span>
#include <vector>

#include "power/form.hpp"

namespace bln {

/// factor * (volts . V) * (amps . I)*; both linear forms have whole coefficients without common
/// divisor, the first of them positive.
struct Product {
    Rational factor;
    Small<Rational, 8> volts;  ///< by row of the residual
    Small<Rational, 8> amps;   ///< by column of the residual
};

/// Writes the residual as a sum of rank-many products. Their voltage forms are linearly independent, and
/// so are their current forms: the error vanishes for every load just when all voltage forms do, and at
/// every voltage just when all current forms do.
[[nodiscard]] std::vector<Product> factorise(const Residual& residual);

/// Divides @p form by its content with the sign of its first coefficient, which is returned.
Rational make_primitive(std::span<Rational> form);

}  // namespace bln
