// Import and export from the powers of elements, by the order of sign and sum.
#pragma once

#include <cstddef>
#include <cstdint>

#include "power/failure.hpp"

namespace bln {

/// Numbers are those of the C interface.
enum class RegisterPolicy : std::int32_t {
    net_then_split = 10,  ///< elements are summed, then split by sign: correct for a polyphase point
    clamp_each = 20,      ///< wrong: each element at zero or above before the sum
    absolute = 30,        ///< wrong: the magnitude of each element
};

/// Neumaier's sum: energy of a year of seconds keeps its last digits.
class Total {
public:
    void add(double x) noexcept {
        const double t = sum_ + x;
        rest_ += (sum_ < 0 ? -sum_ : sum_) >= (x < 0 ? -x : x) ? (sum_ - t) + x : (x - t) + sum_;
        sum_ = t;
    }
    [[nodiscard]] double value() const noexcept { return sum_ + rest_; }

private:
    double sum_ = 0, rest_ = 0;
};

/// Registers of one point; powers in W, energies in Wh.
class Registers {
public:
    explicit Registers(RegisterPolicy policy) noexcept : policy_(policy) {}
    void begin() noexcept { net_ = up_ = down_ = 0; }
    void element(double watts) noexcept {
        net_ += watts;
        (watts > 0 ? up_ : down_) += watts > 0 ? watts : -watts;
    }
    void end(double hours) noexcept {
        double in = up_ + down_, out = 0;
        if (policy_ == RegisterPolicy::net_then_split) {
            in = net_ > 0 ? net_ : 0;
            out = net_ < 0 ? -net_ : 0;
        } else if (policy_ == RegisterPolicy::clamp_each) {
            in = up_;
            out = down_;
        }
        import_.add(in * hours);
        export_.add(out * hours);
    }
    [[nodiscard]] double import_wh() const noexcept { return import_.value(); }
    [[nodiscard]] double export_wh() const noexcept { return export_.value(); }

private:
    RegisterPolicy policy_;
    double net_ = 0, up_ = 0, down_ = 0;
    Total import_, export_;
};

}  // namespace bln
