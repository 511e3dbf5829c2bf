#include "power/realise.hpp"

namespace bln {

std::optional<Solution> realise(const Form& form) {
    const Form::Frame f = form.frame();
    const Matrix truth = form.truth(f);
    const std::size_t equations = f.rows * f.columns;
    const std::size_t unknowns = form.elements().size();
    Matrix system(equations, unknowns);
    for (std::size_t e = 0; e < unknowns; ++e) {
        Matrix product(f.rows, f.columns);
        form.add_registered(f, e, Rational(1), product);
        for (std::size_t r = 0; r < f.rows; ++r)
            for (std::size_t c = 0; c < f.columns; ++c) system.at(r * f.columns + c, e) = product.at(r, c);
    }
    Small<Rational, 20> y;
    for (std::size_t r = 0; r < f.rows; ++r)
        for (std::size_t c = 0; c < f.columns; ++c) y.push_back(truth.at(r, c));
    return solve(system, y.span());
}

}  // namespace bln
