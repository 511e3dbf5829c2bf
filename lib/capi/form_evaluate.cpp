// Columns of phasors through a form, block by block: no allocation for a row.
#include "power/evaluate.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "capi/form.hpp"
#include "site/column.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

constexpr std::size_t block = Evaluator::block;

/// One phasor in columns, gathered a block at a time.
struct Source {
    Column re, im;
    bool zero = false;                  ///< 0 throughout
    std::vector<std::uint32_t> others;  ///< not given: minus the sum of these
    std::vector<double> real = std::vector<double>(block);
    std::vector<double> imaginary = std::vector<double>(block);

    void gather(std::size_t first, std::size_t n, std::uint8_t* good) {
        if (!re.given()) return;
        for (std::size_t i = 0; i < n; ++i) {
            const bool there = re.has(first + i) && im.has(first + i);
            real[i] = there ? re.real(first + i) : 0;
            imaginary[i] = there ? im.real(first + i) : 0;
            if (!there || !std::isfinite(real[i]) || !std::isfinite(imaginary[i])) {
                good[i] = 0;
                real[i] = imaginary[i] = 0;
            }
        }
    }
};

Source source(const bln_column* columns, std::size_t at, const char* kind) {
    Source s;
    s.re = Column(columns[2 * at], kind);
    s.im = Column(columns[2 * at + 1], kind);
    if (s.re.given() != s.im.given())
        throw Failure(BLN_E_ARGUMENT, std::string(kind) + " " + std::to_string(at) + " has one part of two");
    return s;
}

struct Sink {
    OutColumn re, im;
    explicit Sink(const bln_out_column* columns, const char* name) : re(required(columns, name)), im(columns[1]) {
        if (re.whole() || im.whole()) throw Failure(BLN_E_TYPE, std::string(name) + " are columns of f64");
    }
    void put(std::size_t row, double p, double q, bool good) const noexcept {
        constexpr double nan = std::numeric_limits<double>::quiet_NaN();
        re.put(row, good ? p : nan);
        im.put(row, good ? q : nan);
        re.present(row, good);
        im.present(row, good);
    }
};

class Job {
public:
    Job(const Form& form, const bln_column* volts, const bln_column* amps) : evaluator_(form) {
        for (std::size_t t = 0; t < terminal_count; ++t) {
            Source s = evaluator_.uses_terminal(t) ? source(volts, t, "volts") : Source{};
            s.zero = !s.re.given();
            const bool may_be_zero = t == index_of(Conductor::N) || t == index_of(Conductor::G);
            if (s.zero && evaluator_.uses_terminal(t) && !may_be_zero)
                throw Failure(BLN_E_ARGUMENT, "the form uses the voltage of terminal " + std::to_string(t));
            volts_.push_back(std::move(s));
        }
        const auto conductors = form.conductors();
        for (std::size_t k = 0; k < conductors.size(); ++k) amps_.push_back(source(amps, k, "amps"));
        for (std::size_t k = 0; k < conductors.size(); ++k) {
            if (amps_[k].re.given()) continue;
            for (std::size_t j = 0; j < conductors.size(); ++j) {
                if (j == k || conductors[j].load != conductors[k].load) continue;
                if (!amps_[j].re.given()) throw Failure(BLN_E_ARGUMENT, "two conductors of one load have no current");
                amps_[k].others.push_back(static_cast<std::uint32_t>(j));
            }
        }
        for (const Source& s : volts_) volt_blocks_.push_back({s.real.data(), s.imaginary.data()});
        for (const Source& s : amps_) amp_blocks_.push_back({s.real.data(), s.imaginary.data()});
    }

    void run(std::size_t first, std::size_t n, const Sink& registered, const Sink* truth,
             const std::vector<Sink>& each) {
        std::uint8_t good[block];
        std::fill_n(good, n, std::uint8_t{1});
        for (Source& s : volts_) s.gather(first, n, good);
        for (Source& s : amps_) s.gather(first, n, good);
        for (Source& s : amps_) {
            if (s.re.given()) continue;
            std::fill_n(s.real.begin(), n, 0.0);
            std::fill_n(s.imaginary.begin(), n, 0.0);
            for (const std::uint32_t j : s.others)
                for (std::size_t i = 0; i < n; ++i) {
                    s.real[i] -= amps_[j].real[i];
                    s.imaginary[i] -= amps_[j].imaginary[i];
                }
        }
        double sum_re[block] = {}, sum_im[block] = {}, re[block], im[block];
        for (std::size_t e = 0; e < evaluator_.elements(); ++e) {
            evaluator_.element(e, n, volt_blocks_.data(), amp_blocks_.data(), {re, im});
            for (std::size_t i = 0; i < n; ++i) {
                sum_re[i] += re[i];
                sum_im[i] += im[i];
            }
            if (!each.empty())
                for (std::size_t i = 0; i < n; ++i) each[e].put(first + i, re[i], im[i], good[i] != 0);
        }
        for (std::size_t i = 0; i < n; ++i) registered.put(first + i, sum_re[i], sum_im[i], good[i] != 0);
        if (truth == nullptr) return;
        evaluator_.truth(n, volt_blocks_.data(), amp_blocks_.data(), {re, im});
        for (std::size_t i = 0; i < n; ++i) truth->put(first + i, re[i], im[i], good[i] != 0);
    }

    [[nodiscard]] std::size_t elements() const noexcept { return evaluator_.elements(); }

private:
    Evaluator evaluator_;
    std::vector<Source> volts_, amps_;
    std::vector<PhasorBlock> volt_blocks_, amp_blocks_;
};

}  // namespace

extern "C" {

bln_status bln_form_evaluate(const bln_form* form, size_t rows, const bln_column* volts, const bln_column* amps,
                             const bln_out_column* registered, const bln_out_column* truth,
                             const bln_out_column* elements, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        Job job(built(form), &required(volts, "volts"), &required(amps, "amps"));
        const Sink total(registered, "registered");
        std::vector<Sink> real;
        if (truth != nullptr) real.emplace_back(truth, "truth");
        std::vector<Sink> each;
        if (elements != nullptr)
            for (std::size_t e = 0; e < job.elements(); ++e) each.emplace_back(elements + 2 * e, "elements");
        for (std::size_t first = 0; first < rows; first += block)
            job.run(first, std::min(block, rows - first), total, real.empty() ? nullptr : real.data(), each);
    });
}

}  // extern "C"
