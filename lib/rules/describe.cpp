#include "rules/describe.hpp"

#include <algorithm>
#include <array>

#include "power/failure.hpp"
#include "power/form_words.hpp"
#include "power/nominal.hpp"
#include "rules/context.hpp"
#include "site/finding.hpp"

namespace bln::rules {
namespace {

/// Smallest and greatest part of the true energy that a load between two conductors registers.
struct Range {
    double least = 1, greatest = 1;
    bool any = false;
};

// Power factors that small circuits show most of the time; the angle matters as soon as currents and
// voltages of different phases meet.
constexpr std::array tangents{0.0, 0.4843221048378525};  // of acos(1) and acos(0.9)

Range registered_range(const Form& form) {
    Range out;
    const auto conductors = form.conductors();
    for (std::size_t i = 0; i < conductors.size(); ++i) {
        if (!form.counted(conductors[i].load)) continue;
        for (std::size_t j = i + 1; j < conductors.size(); ++j) {
            if (conductors[j].load != conductors[i].load) continue;
            const std::optional<Quadratic> f = registration(form, i, j);
            if (!f) continue;
            for (const double tangent : tangents) {
                const double part = f->value().real() - f->value().imag() * tangent;
                out.least = out.any ? std::min(out.least, part) : part;
                out.greatest = out.any ? std::max(out.greatest, part) : part;
                out.any = true;
            }
        }
    }
    return out;
}

}  // namespace

void describe_error(const Context& c, const Diagnosis& d, Finding& f) {
    std::vector<std::string_view> names;
    for (const auto circuit : d.form->circuit) names.push_back(c.view.circuit[static_cast<std::size_t>(circuit)].id);
    f.number("elements", static_cast<double>(d.intended.elements().size()), "");
    f.number("needed", static_cast<double>(d.intended.fewest_elements()), "");
    try {
        f.word("registered", registered_text(d.intended, names));
        f.word("error", error_text(d.intended, names));
        f.word("condition", condition_text(d.intended, names));
        const Range range = registered_range(d.intended);
        if (range.any)
            f.number("least", range.least * 100, "%").number("greatest", range.greatest * 100, "%");
        else
            f.word("least", "?").word("greatest", "?");
    } catch (const Failure&) {
        f.facts.resize(2);
        for (const char* name : {"registered", "error", "condition", "least", "greatest"}) f.word(name, "?");
    }
}

void say_parts(const Context& c, const Parts& parts, Finding& f) {
    std::vector<std::string> names;
    for (const std::uint32_t p : parts.points) {
        f.about(Kind::point, c.view.point[p].id);
        names.emplace_back(c.view.point[p].id);
    }
    f.word("points", listed(names));
    if (parts.total)
        f.number("measured", parts.total->real(), "").word("shares", parts.total->text());
    else
        f.word("measured", "more than can be counted");
    f.number("expected", 1, "");
}

}  // namespace bln::rules
