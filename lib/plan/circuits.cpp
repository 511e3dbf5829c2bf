// Which circuits a request is about, what each needs, and in which order a person walks them.
#include <algorithm>
#include <unordered_map>

#include "plan/site_problem.hpp"
#include "site/json_text.hpp"

namespace bln::plan {
namespace {

class Collector {
public:
    Collector(const View& view, const Request& request, ErrorList& errors)
        : view_(view), request_(request), errors_(errors), points_of_(view.circuit.size()) {
        for (std::size_t p = 0; p < view.point.size(); ++p)
            for (const Ref& c : view.point[p].circuits)
                if (c.resolved()) points_of_[static_cast<std::size_t>(c.at)].push_back(static_cast<std::int32_t>(p));
    }

    std::vector<CircuitToPlace> collect() {
        if (request_.points)
            for (const Named& n : *request_.points) add_named_point(n);
        if (request_.circuits)
            for (const Named& n : *request_.circuits) add_named_circuit(n);
        if (!request_.points && !request_.circuits)
            for (std::size_t p = 0; p < view_.point.size(); ++p)
                if (view_.point[p].elements.empty() && !view_.point[p].circuits.empty())
                    add_point(static_cast<std::int32_t>(p), "");
        find_cts();
        std::stable_sort(out_.begin(), out_.end(), [&](const CircuitToPlace& a, const CircuitToPlace& b) {
            return place_of(a.circuit) < place_of(b.circuit);
        });
        return std::move(out_);
    }

private:
    void error(bln_status status, std::string message, std::string_view subject, std::string pointer) {
        errors_.add({status, std::move(message), std::string(subject), std::move(pointer)});
    }
    std::string pointer_to_circuit(std::int32_t at, std::string_view field) const {
        std::string out = "/circuits";
        append_pointer_token(out, view_.circuit[static_cast<std::size_t>(at)].id);
        append_pointer_token(out, field);
        return out;
    }

    void add_named_point(const Named& n) {
        const std::int32_t at = view_.model().find(Kind::point, n.id);
        if (at < 0) return error(BLN_E_NO_ENTITY, "there is no point \"" + n.id + "\"", n.id, n.pointer);
        add_point(at, n.pointer);
    }

    void add_point(std::int32_t at, const std::string& pointer) {
        const as_of::point& p = view_.point[static_cast<std::size_t>(at)];
        if (!p.elements.empty())
            return error(BLN_E_VALUE, "point " + std::string(p.id) + " has its elements already", p.id, pointer);
        if (p.circuits.empty())
            return error(BLN_E_VALUE, "point " + std::string(p.id) + " names no circuit", p.id, pointer);
        for (const Ref& c : p.circuits) {
            if (c.resolved())
                add_circuit(c.at, at, pointer);
            else
                error(BLN_E_NO_ENTITY,
                      "there is no circuit \"" + std::string(c.id) + "\", which point " + std::string(p.id) + " names",
                      p.id, pointer);
        }
    }

    void add_named_circuit(const Named& n) {
        const std::int32_t at = view_.model().find(Kind::circuit, n.id);
        if (at < 0) return error(BLN_E_NO_ENTITY, "there is no circuit \"" + n.id + "\"", n.id, n.pointer);
        const std::vector<std::int32_t>& points = points_of_[static_cast<std::size_t>(at)];
        if (points.empty()) return add_circuit(at, -1, n.pointer);
        for (const std::int32_t p : points)
            if (seen_.find(at) == seen_.end()) add_point(p, n.pointer);
    }

    void add_circuit(std::int32_t at, std::int32_t point, const std::string& pointer) {
        const std::string id(view_.circuit[static_cast<std::size_t>(at)].id);
        if (const auto [where, fresh] = seen_.emplace(at, point); !fresh) {
            if (where->second == point) return;
            return error(BLN_E_VALUE, "circuit " + id + " belongs to two points of the request", id, pointer);
        }
        ElementsOf needs = elements_of(view_, at, request_.fewest_elements);
        if (needs.no_return)
            return error(BLN_E_VALUE,
                         "circuit " + id +
                             " has one pole on a service without a neutral: nothing is known to carry its current back",
                         id, pointer_to_circuit(at, "neutral"));
        if (needs.gap != Gap::none)
            return error(BLN_E_ABSENT, "what circuit " + id + " needs is not known: " + std::string(word_of(needs.gap)),
                         id,
                         pointer_to_circuit(at, needs.gap == Gap::poles_absent || needs.gap == Gap::poles_count ||
                                                        needs.gap == Gap::space_beyond
                                                    ? "spaces"
                                                    : "panel"));
        const std::size_t n = needs.elements.size();
        out_.push_back({at, point, std::move(needs.elements), std::vector<std::int32_t>(n, -1)});
    }

    /// CTs that hang round one conductor of a circuit and are wired to nothing.
    void find_cts() {
        std::vector<char> wired(view_.ct.size(), 0);
        for (const as_of::channel& c : view_.channel)
            for (const Term& t : c.cts)
                if (t.ref.resolved()) wired[static_cast<std::size_t>(t.ref.at)] = 1;
        std::unordered_map<std::int32_t, std::vector<std::int32_t>> by_circuit;
        for (std::size_t i = 0; i < view_.ct.size(); ++i)
            if (wired[i] == 0 && view_.ct[i].passes.size() == 1 && view_.ct[i].passes[0].circuit.resolved())
                by_circuit[view_.ct[i].passes[0].circuit.at].push_back(static_cast<std::int32_t>(i));
        for (CircuitToPlace& c : out_) {
            const auto found = by_circuit.find(c.circuit);
            if (found == by_circuit.end()) continue;
            for (std::size_t e = 0; e < c.elements.size(); ++e)
                for (const std::int32_t ct : found->second) {
                    const Pass& pass = view_.ct[static_cast<std::size_t>(ct)].passes[0];
                    if (pass.pole == c.elements[e].pole || (pass.pole < 0 && c.elements.size() == 1)) c.cts[e] = ct;
                }
        }
    }

    /// Panel, column and number of the first space.
    [[nodiscard]] std::array<std::int64_t, 3> place_of(std::int32_t at) const {
        const as_of::circuit& c = view_.circuit[static_cast<std::size_t>(at)];
        std::int64_t space = 0, column = 0;
        if (!c.spaces.empty()) space = *std::min_element(c.spaces.begin(), c.spaces.end());
        if (request_.by_side && c.panel.resolved() && space > 0) {
            const Numbering n = view_.panel[static_cast<std::size_t>(c.panel.at)].numbering;
            if (n == Numbering::two_columns || n == Numbering::unknown) column = space % 2 == 0 ? 1 : 0;
            if (n == Numbering::two_columns_mirrored) column = space % 2 == 0 ? 0 : 1;
        }
        return {c.panel.at, column, space};
    }

    const View& view_;
    const Request& request_;
    ErrorList& errors_;
    std::vector<std::vector<std::int32_t>> points_of_;
    std::unordered_map<std::int32_t, std::int32_t> seen_;  // circuit -> point
    std::vector<CircuitToPlace> out_;
};

}  // namespace

std::vector<CircuitToPlace> circuits_to_place(const View& view, const Request& request, ErrorList& errors) {
    return Collector(view, request, errors).collect();
}

}  // namespace bln::plan
