#include "power/fault.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include "power/failure.hpp"

namespace bln {
namespace {

constexpr FaultInfo table[] = {
    {FaultKind::reversed, "reversed", "the CT, or its two leads, turned round"},
    {FaultKind::on_conductor, "on_conductor", "the CT hangs on another conductor"},
    {FaultKind::exchanged, "exchanged", "two CTs at one another's inputs; unequal ratios are a fault of their own"},
    {FaultKind::also_round, "also_round", "a second conductor passes the window of the CT"},
    {FaultKind::ratio, "ratio", "the true ratio is another than the configured one"},
    {FaultKind::dead, "dead", "no current arrives: open or shorted secondary, dead channel, CT round nothing"},
    {FaultKind::volts_exchanged, "volts_exchanged", "two voltage leads of the device exchanged"},
    {FaultKind::volts_rotated, "volts_rotated", "three voltage leads of the device moved on by one"},
    {FaultKind::landed, "landed", "a voltage lead landed on another conductor"},
    {FaultKind::missing, "missing", "a voltage lead without voltage, such as behind a blown fuse"},
    {FaultKind::floating, "floating", "a voltage lead landed on nothing, at an unknown potential"},
    {FaultKind::star, "star", "the common lead landed on nothing, at the star point of equal inputs"},
    {FaultKind::reference, "reference", "another voltage than the one that is meant"},
};

/// Rows of a form that can be changed, and what they hang on.
struct Rows {
    explicit Rows(const Form& form) : conductors(form.conductors().size()) {
        for (std::size_t e = 0; e < form.elements().size(); ++e) {
            elements.push_back(form.elements()[e]);
            amps.insert(amps.end(), form.amps(e).begin(), form.amps(e).end());
        }
    }
    [[nodiscard]] Rational* row(std::size_t e) { return amps.data() + e * conductors; }

    std::size_t conductors;
    std::vector<Element> elements;
    std::vector<Rational> amps;
};

Form rebuilt(const Form& form, const Rows& rows, std::size_t floating) {
    Form out(form.supply());
    std::size_t load = 0;
    for (const LoadConductor& c : form.conductors()) {
        for (; out.loads() <= c.load; ++load) out.add_load(form.counted(load));
        out.add_conductor(c.on);
    }
    while (out.floating() < floating) out.add_floating();
    for (std::size_t e = 0; e < rows.elements.size(); ++e)
        out.add_element(rows.elements[e].volts, std::span(rows.amps).subspan(e * rows.conductors, rows.conductors),
                        rows.elements[e].weight);
    return out;
}

class Change {
public:
    Change(const Form& form, const Fault& fault) : form_(form), fault_(fault), rows_(form) {
        const auto n = static_cast<int>(rows_.elements.size());
        if (fault.element < every_element || fault.element >= n)
            throw Failure(BLN_E_RANGE, "element " + std::to_string(fault.element) + ": there are " + std::to_string(n));
    }

    Form apply() {
        switch (fault_.kind) {
            case FaultKind::reversed:
                each([](VoltageRow&, std::span<Rational> b) { scale(b, Rational(-1)); });
                break;
            case FaultKind::dead:
                each([](VoltageRow&, std::span<Rational> b) { scale(b, Rational(0)); });
                break;
            case FaultKind::ratio:
                if (!(Rational(0) < fault_.ratio)) throw Failure(BLN_E_RANGE, "a ratio of ratios is above 0");
                each([&](VoltageRow&, std::span<Rational> b) { scale(b, Rational(1) / fault_.ratio); });
                break;
            case FaultKind::on_conductor:
            case FaultKind::also_round:
            case FaultKind::exchanged:
                currents();
                break;
            default:
                voltages();
        }
        return rebuilt(form_, rows_, floating_);
    }

private:
    static void scale(std::span<Rational> b, const Rational& factor) {
        for (Rational& x : b) x = x * factor;
    }
    template <class Action>
    void each(Action action) {
        for (std::size_t e = 0; e < rows_.elements.size(); ++e)
            if (fault_.element == every_element || static_cast<std::size_t>(fault_.element) == e)
                action(rows_.elements[e].volts, {rows_.row(e), rows_.conductors});
    }
    [[nodiscard]] std::size_t one_element() const {
        if (fault_.element == every_element) throw Failure(BLN_E_VALUE, "this fault is one of a single element");
        return static_cast<std::size_t>(fault_.element);
    }
    static std::size_t within(int i, std::size_t count, const char* what) {
        if (i < 0 || static_cast<std::size_t>(i) >= count)
            throw Failure(BLN_E_RANGE,
                          std::string(what) + " " + std::to_string(i) + ": there are " + std::to_string(count));
        return static_cast<std::size_t>(i);
    }
    [[nodiscard]] std::size_t terminal(int t) const {
        const std::size_t at = within(t, terminal_count, "terminal");
        if (!form_.has_terminal(at)) throw Failure(BLN_E_RANGE, "the form has no such voltage terminal");
        return at;
    }
    static void differ(std::size_t a, std::size_t b) {
        if (a == b) throw Failure(BLN_E_VALUE, "a fault between two things names one twice");
    }

    void currents() {
        const std::size_t e = one_element();
        Rational* b = rows_.row(e);
        if (fault_.kind == FaultKind::exchanged) {
            const std::size_t other = within(fault_.y, rows_.elements.size(), "element");
            differ(e, other);
            std::swap_ranges(b, b + rows_.conductors, rows_.row(other));
            return;
        }
        const std::size_t y = within(fault_.y, rows_.conductors, "conductor");
        if (fault_.kind == FaultKind::on_conductor) {
            const std::size_t x = within(fault_.x, rows_.conductors, "conductor");
            differ(x, y);
            if (b[x].is_zero()) throw Failure(BLN_E_VALUE, "the CT does not hang on that conductor");
            b[y] += std::exchange(b[x], Rational(0));
            return;
        }
        if (!(fault_.ratio == Rational(1)) && !(fault_.ratio == Rational(-1)))
            throw Failure(BLN_E_VALUE, "a second conductor passes the window in the sense 1 or -1");
        const Rational* first = std::find_if(b, b + rows_.conductors, [](const Rational& x) { return !x.is_zero(); });
        if (first == b + rows_.conductors) throw Failure(BLN_E_VALUE, "the CT hangs on no conductor");
        const Rational turns = *first;
        b[y] += turns * fault_.ratio;
    }

    void voltages() {
        const std::size_t x = fault_.kind == FaultKind::volts_rotated ? 0 : terminal(fault_.x);
        std::size_t y = 0;
        switch (fault_.kind) {
            case FaultKind::volts_exchanged:
                differ(x, y = terminal(fault_.y));
                each([&](VoltageRow& a, std::span<Rational>) { std::swap(a[x], a[y]); });
                break;
            case FaultKind::volts_rotated: {
                for (const int t : {0, 1, 2}) (void)terminal(t);
                const bool back = fault_.ratio == Rational(-1);
                if (!back && !(fault_.ratio == Rational(1)))
                    throw Failure(BLN_E_VALUE, "leads are moved on in the sense 1 or -1");
                each([&](VoltageRow& a, std::span<Rational>) {
                    a = back ? VoltageRow{a[1], a[2], a[0], a[3], a[4], a[5], a[6], a[7]}
                             : VoltageRow{a[2], a[0], a[1], a[3], a[4], a[5], a[6], a[7]};
                });
                break;
            }
            case FaultKind::landed:
                differ(x, y = terminal(fault_.y));
                move(x, y);
                break;
            case FaultKind::missing:
                each([&](VoltageRow& a, std::span<Rational>) {
                    if (!a[x].is_zero()) a = {};
                });
                break;
            case FaultKind::floating:
                if (first_floating + floating_ == terminal_count)
                    throw Failure(BLN_E_RANGE, "more than three floating commons in one form");
                move(x, first_floating + floating_++);
                break;
            case FaultKind::star:
                for (const int t : {0, 1, 2}) (void)terminal(t);
                if (x < 3) throw Failure(BLN_E_VALUE, "a phase lead is no common");
                each([&](VoltageRow& a, std::span<Rational>) {
                    const Rational third = std::exchange(a[x], Rational(0)) * Rational(1, 3);
                    for (const std::size_t t : {std::size_t{0}, std::size_t{1}, std::size_t{2}}) a[t] += third;
                });
                break;
            default:
                differ(x, y = terminal(fault_.y));
                rows_.elements[one_element()].volts = voltage_between(x, y);
        }
    }
    void move(std::size_t from, std::size_t to) {
        each([&](VoltageRow& a, std::span<Rational>) { a[to] += std::exchange(a[from], Rational(0)); });
    }

    const Form& form_;
    const Fault& fault_;
    Rows rows_;
    std::size_t floating_ = form_.floating();
};

}  // namespace

std::span<const FaultInfo> fault_kinds() noexcept { return table; }

Form with_fault(const Form& form, const Fault& fault) { return Change(form, fault).apply(); }

Form with_faults(const Form& form, std::span<const Fault> faults) {
    Form out = form;
    for (const Fault& f : faults) out = with_fault(out, f);
    return out;
}

}  // namespace bln
