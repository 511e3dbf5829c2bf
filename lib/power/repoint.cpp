#include "power/repoint.hpp"

#include <algorithm>
#include <bit>

#include "power/realise.hpp"
#include "power/recompute.hpp"

namespace bln {
namespace {

constexpr std::size_t most_subsets_of = 12;

std::uint32_t terminals_in_use(const Form& form) {
    std::uint32_t bits = 0;
    for (const Element& e : form.elements())
        for (std::size_t t = 0; t < terminal_count; ++t)
            if (!e.volts[t].is_zero()) bits |= 1U << t;
    return bits;
}

class Search {
public:
    Search(const Form& form, std::uint32_t terminals, bool weights)
        : form_(form),
          terminals_(terminals != 0 ? terminals : terminals_in_use(form)),
          weights_(weights),
          frame_(form.frame()),
          truth_(form.truth(frame_)) {}

    /// Re-points the elements of a subset, the others staying as they are.
    std::optional<std::vector<Pointing>> change(std::span<const std::size_t> subset) const {
        Matrix rest(frame_.rows, frame_.columns);
        for (std::size_t e = 0; e < form_.elements().size(); ++e)
            if (std::find(subset.begin(), subset.end(), e) == subset.end())
                form_.add_registered(frame_, e, form_.elements()[e].weight, rest);
        Matrix currents(frame_.columns, subset.size());
        for (std::size_t s = 0; s < subset.size(); ++s) {
            const auto b = form_.amps(subset[s]);
            for (std::size_t k = 0; k < b.size(); ++k)
                if (frame_.column[k] >= 0)
                    currents.at(static_cast<std::size_t>(frame_.column[k]), s) =
                        form_.elements()[subset[s]].weight * (b[k] - b[frame_.eliminated[form_.conductors()[k].load]]);
        }
        Matrix rows(frame_.rows, subset.size());
        for (std::size_t r = 0; r < frame_.rows; ++r) {
            Small<Rational, 20> missing;
            for (std::size_t c = 0; c < frame_.columns; ++c) missing.push_back(truth_.at(r, c) - rest.at(r, c));
            const auto x = solve(currents, missing.span());
            if (!x || !x->unique) return std::nullopt;
            for (std::size_t s = 0; s < subset.size(); ++s) rows.at(r, s) = x->x[s];
        }
        std::vector<Pointing> out(form_.elements().size());
        for (std::size_t e = 0; e < out.size(); ++e) out[e].weight = form_.elements()[e].weight;
        for (std::size_t s = 0; s < subset.size(); ++s)
            if (!pair_of(rows, s, out[subset[s]])) return std::nullopt;
        return out;
    }

private:
    /// The terminal that stands for a row of the frame (-1: its reference) and may be used; -1: there is none.
    [[nodiscard]] int terminal_of(int row) const {
        for (std::size_t t = 0; t < terminal_count; ++t) {
            if ((terminals_ >> t & 1U) == 0 || !form_.has_terminal(t)) continue;
            if (frame_.row[t] == row) return static_cast<int>(t);
        }
        return -1;
    }
    /// Whether column @p s is one voltage between two terminals, and between which.
    bool pair_of(const Matrix& rows, std::size_t s, Pointing& out) const {
        int plus = -1, minus = -1;
        Rational scale;
        for (std::size_t r = 0; r < rows.rows(); ++r) {
            const Rational& x = rows.at(r, s);
            if (x.is_zero()) continue;
            int& side = Rational(0) < x ? plus : minus;
            const Rational size = Rational(0) < x ? x : -x;
            if (side >= 0 || (!scale.is_zero() && !(size == scale))) return false;
            side = static_cast<int>(r);
            scale = size;
        }
        if (scale.is_zero() || (!weights_ && !(scale == Rational(1)))) return false;
        const int p = terminal_of(plus), m = terminal_of(minus);
        if (p < 0 || m < 0) return false;
        out = {static_cast<std::uint8_t>(p), static_cast<std::uint8_t>(m), out.weight * scale, true};
        return true;
    }

    const Form& form_;
    std::uint32_t terminals_;
    bool weights_;
    Form::Frame frame_;
    Matrix truth_;
};

}  // namespace

std::optional<std::vector<Pointing>> repoint(const Form& form, std::uint32_t terminals, bool weights) {
    const std::size_t n = form.elements().size();
    if (form.exact()) {
        std::vector<Pointing> kept(n);
        for (std::size_t e = 0; e < n; ++e) kept[e].weight = form.elements()[e].weight;
        return kept;
    }
    const Search search(form, terminals, weights);
    std::vector<std::size_t> subset;
    const auto all_of_size = [&](std::size_t size) -> std::optional<std::vector<Pointing>> {
        for (std::uint32_t bits = 1; bits < 1U << n; ++bits) {
            if (static_cast<std::size_t>(std::popcount(bits)) != size) continue;
            subset.clear();
            for (std::size_t e = 0; e < n; ++e)
                if ((bits >> e & 1U) != 0) subset.push_back(e);
            if (auto found = search.change(subset)) return found;
        }
        return std::nullopt;
    };
    if (n <= most_subsets_of) {
        for (std::size_t size = 1; size <= n; ++size)
            if (auto found = all_of_size(size)) return found;
        return std::nullopt;
    }
    for (std::size_t e = 0; e < n; ++e) {
        subset.assign(1, e);
        if (auto found = search.change(subset)) return found;
    }
    subset.clear();
    for (std::size_t e = 0; e < n; ++e) subset.push_back(e);
    return search.change(subset);
}

std::uint32_t reuse(const Form& form, std::uint32_t terminals) {
    if (form.exact()) return reuse_as_is;
    std::uint32_t ways = 0;
    if (repoint(form, terminals, false)) ways |= reuse_repoint;
    if (realise(form)) ways |= reuse_reweigh;
    if (repoint(form, terminals, true)) ways |= reuse_repoint_reweigh;
    if (recompute(form)) ways |= reuse_recompute;
    return ways;
}

}  // namespace bln
