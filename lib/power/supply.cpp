#include "power/supply.hpp"

namespace bln {
namespace {

/// a^k, a = 1 at 120 degrees.
Quadratic turn(int k) {
    switch (((k % 3) + 3) % 3) {
        case 1:
            return {Rational(-1, 2), Rational(1, 2)};
        case 2:
            return {Rational(-1, 2), Rational(-1, 2)};
        default:
            return {Rational(1), Rational(0)};
    }
}

/// Position of a phase after @p first in cyclic order A, B, C.
int after(Conductor first, Conductor c) {
    return (static_cast<int>(index_of(c)) - static_cast<int>(index_of(first)) + 3) % 3;
}

}  // namespace

NominalVoltages nominal_voltages(const Supply& supply, int order) {
    constexpr std::array phases{Conductor::A, Conductor::B, Conductor::C};
    NominalVoltages out;
    if (supply.nominal == NominalKind::none) return out;
    const bool triplen = order % 3 == 0;
    const bool delta = supply.nominal == NominalKind::delta || supply.nominal == NominalKind::high_leg;
    out.any = !(delta && triplen);
    const int sense = supply.acb ? order : -order;

    bool first = true;
    for (const Conductor c : phases) {
        if (!supply.bonding.has(c)) continue;
        Quadratic& u = out.u[index_of(c)];
        out.known[index_of(c)] = true;
        if (!out.any) continue;  // no voltage of this order: all zero
        switch (supply.nominal) {
            case NominalKind::single:
                u = {Rational(1), Rational(0)};
                break;
            case NominalKind::centre_tap:
                u = {Rational(first ? 1 : -1), Rational(0)};
                break;
            case NominalKind::wye:
            case NominalKind::delta:
                u = turn(sense * after(Conductor::A, c));
                break;
            case NominalKind::high_leg: {
                // In the frame in which the two low legs stand at +1 and -1. The leg that follows the high
                // leg in cyclic order is C where the high leg is B; the one before it, A, is at +1.
                const int place = after(supply.high_leg, c);
                if (place == 0) {
                    // v_high = j sqrt(3) (-1) for sequence ABC and order 1; the other sequence, and
                    // orders 2, 5, 8, ..., turn it round.
                    const bool forward = (order % 3 == 1) != supply.acb;
                    u = {Rational(0), Rational(forward ? -1 : 1)};
                } else {
                    u = {Rational(place == 2 ? 1 : -1), Rational(0)};
                }
                break;
            }
            case NominalKind::none:
                break;
        }
        first = false;
    }

    // Against the grounded phase of a delta, where there is one.
    const Conductor reference = supply.reference;
    if (reference != Conductor::none && reference != Conductor::N) {
        const Quadratic datum = out.u[index_of(reference)];
        for (const Conductor c : phases)
            if (out.known[index_of(c)]) out.u[index_of(c)] = out.u[index_of(c)] - datum;
    }
    for (const Conductor c : {Conductor::N, Conductor::G}) out.known[index_of(c)] = supply.bonding.bonded(c, reference);
    return out;
}

}  // namespace bln
