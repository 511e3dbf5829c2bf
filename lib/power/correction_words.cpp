// How the readings of the elements give the truth, in one line.
#include <fmt/format.h>

#include <cmath>

#include "power/form_words.hpp"
#include "power/realise.hpp"
#include "power/recompute.hpp"

namespace bln {
namespace {

std::string decimal(double x) {
    std::string out = fmt::format("{:.3f}", std::abs(x));
    while (out.back() == '0') out.pop_back();
    if (out.back() == '.') out.pop_back();
    return out;
}

/// A sum of terms with signs between them.
class Sum {
public:
    void add(bool negative, const std::string& factor, std::size_t element) {
        out_ += out_.empty() ? (negative ? "−" : "") : (negative ? " − " : " + ");
        if (factor != "1") out_ += factor + "·";
        out_ += "S" + std::to_string(element + 1);
    }
    [[nodiscard]] const std::string& text() const noexcept { return out_; }

private:
    std::string out_;
};

}  // namespace

std::string correction_text(const Form& form) {
    if (form.elements().empty()) return "There is no element to correct.";
    Sum sum;
    if (const auto real = realise(form)) {
        for (std::size_t e = 0; e < real->x.size(); ++e)
            if (!real->x[e].is_zero())
                sum.add(real->x[e].num() < 0, ratio_text(real->x[e].num() < 0 ? -real->x[e] : real->x[e]), e);
        return "S = " + sum.text() + ", exact for every load";
    }
    if (const auto turned = recompute(form)) {
        for (std::size_t e = 0; e < turned->size(); ++e) {
            const Quadratic& q = (*turned)[e];
            if (q.is_zero()) continue;
            if (q.y.is_zero()) {
                sum.add(q.x.num() < 0, ratio_text(q.x.num() < 0 ? -q.x : q.x), e);
                continue;
            }
            const std::complex<double> z = q.value();
            const bool negative = z.real() < 0 || (q.x.is_zero() && z.imag() < 0);
            const double imaginary = negative ? -z.imag() : z.imag();
            std::string factor = q.x.is_zero() ? "" : decimal(z.real()) + (imaginary < 0 ? "−" : "+");
            factor += "j" + decimal(imaginary);
            sum.add(negative, q.x.is_zero() ? factor : "(" + factor + ")", e);
        }
        return "S = " + sum.text() + ", at nominal voltages and of the fundamental only; it needs P and signed Q";
    }
    return "No factors on what the elements read give the truth.";
}

}  // namespace bln
