// Which wirings explain what the points read.
#include <vector>

#include "common.hpp"

namespace binding {

namespace {

/// What one row of a test is made from: kind, channel, conductor, circuit, value, before, after, watts, vars, sign.
using TestRow = std::tuple<std::int32_t, std::string, std::string, std::string, double, double, double, double, double,
                           std::int32_t>;

Proof proof_new(const View& view, const Readings& readings, const std::vector<TestRow>& tests, const Policy* policy,
                const py::object& progress) {
    std::vector<bln_proof_test> rows;
    for (const TestRow& t : tests) {
        for (const std::string* text : {&std::get<1>(t), &std::get<2>(t), &std::get<3>(t)})
            if (text->find('\0') != std::string::npos) refuse(BLN_E_VALUE, "a text of a test holds U+0000");
        bln_proof_test row{};
        row.size = sizeof row;
        row.kind = std::get<0>(t);
        row.channel = std::get<1>(t).c_str();
        row.conductor = std::get<2>(t).c_str();
        row.circuit = std::get<3>(t).c_str();
        row.value = std::get<4>(t);
        row.before = std::get<5>(t);
        row.after = std::get<6>(t);
        row.watts = std::get<7>(t);
        row.vars = std::get<8>(t);
        row.sign = std::get<9>(t);
        rows.push_back(row);
    }
    Proof proof;
    Progress reporter(progress);
    reporter.run([&](bln_error** err) {
        return bln_proof_new(view.get(), readings.get(), rows.data(), rows.size(),
                             policy == nullptr ? nullptr : policy->get(), Progress::function(), reporter.user(),
                             proof.out(), err);
    });
    return proof;
}

py::tuple placement(const Proof& proof, std::size_t i, std::size_t k, std::size_t m, std::size_t e) {
    bln_proof_placement p{};
    p.size = sizeof p;
    call([&](bln_error** err) { return bln_proof_placement_at(proof.get(), i, k, m, e, &p, err); });
    return py::make_tuple(to_str(p.channel), to_str(p.conductor), to_str(p.also), p.sign, to_str(p.ratio), p.dead != 0,
                          p.foreign != 0);
}

py::tuple class_row(const Proof& proof, std::size_t i, std::size_t k) {
    bln_proof_class c{};
    c.size = sizeof c;
    call([&](bln_error** err) { return bln_proof_class_at(proof.get(), i, k, &c, err); });
    py::list members;
    for (std::size_t m = 0; m < c.members; ++m) {
        const char *words = nullptr, *leads = nullptr;
        std::size_t n = 0;
        call([&](bln_error** err) { return bln_proof_member_at(proof.get(), i, k, m, &words, &leads, &n, err); });
        py::list placements;
        for (std::size_t e = 0; e < n; ++e) placements.append(placement(proof, i, k, m, e));
        members.append(py::make_tuple(to_str(words), placements, to_str(leads)));
    }
    return py::make_tuple(c.probability, c.likelihood_ratio, c.is_record != 0, members);
}

py::list points(const Proof& proof) {
    py::list rows;
    for (std::size_t i = 0; i < bln_proof_point_count(proof.get()); ++i) {
        bln_proof_point p{};
        p.size = sizeof p;
        call([&](bln_error** err) { return bln_proof_point_at(proof.get(), i, &p, err); });
        py::list classes, more;
        for (std::size_t k = 0; k < p.class_count; ++k) classes.append(class_row(proof, i, k));
        for (std::size_t k = 0; k < p.excluded_not; ++k) {
            const char* words = nullptr;
            call([&](bln_error** err) { return bln_proof_not_excluded_at(proof.get(), i, k, &words, err); });
            more.append(to_str(words));
        }
        rows.append(py::make_tuple(to_str(p.point), p.verdict, p.probability, p.record_probability, p.snapshots,
                                   p.elements, p.loaded, classes, more, to_str(p.evidence)));
    }
    return rows;
}

}  // namespace

void bind_proof(py::module_& m) {
    m.attr("POLICY_PROOF") = static_cast<int>(BLN_POLICY_PROOF);
    m.attr("POINT") = py::dict(
        py::arg("proven") = static_cast<int>(BLN_POINT_PROVEN), py::arg("likely") = static_cast<int>(BLN_POINT_LIKELY),
        py::arg("open") = static_cast<int>(BLN_POINT_OPEN), py::arg("wrong") = static_cast<int>(BLN_POINT_WRONG),
        py::arg("not_loaded") = static_cast<int>(BLN_POINT_NOT_LOADED),
        py::arg("not_judged") = static_cast<int>(BLN_POINT_NOT_JUDGED));
    m.attr("TEST") = py::dict(py::arg("voltmeter") = static_cast<int>(BLN_TEST_VOLTMETER),
                              py::arg("clamp") = static_cast<int>(BLN_TEST_CLAMP),
                              py::arg("known_load") = static_cast<int>(BLN_TEST_KNOWN_LOAD),
                              py::arg("switching") = static_cast<int>(BLN_TEST_SWITCHING),
                              py::arg("inspection") = static_cast<int>(BLN_TEST_INSPECTION));
    py::class_<Proof>(m, "Proof").def("points", &points).def("report", [](const Proof& proof) {
        Report report;
        call([&](bln_error** err) { return bln_proof_report(proof.get(), report.out(), err); });
        return report;
    });
    m.def("proof_new", &proof_new);
}

}  // namespace binding
