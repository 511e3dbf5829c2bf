// Functions of the proof that may need memory.
#include "scenario.hpp"

namespace {

template <class T>
T sized() {
    T out{};
    out.size = sizeof(T);
    return out;
}

bln_status try_new(Fixture& f, bln_error** e) {
    auto test = sized<bln_proof_test>();
    test.kind = BLN_TEST_INSPECTION;
    test.channel = "D.1";
    test.conductor = "A";
    test.sign = 1;
    return made<bln_proof>(f, bln_proof_free, [&](auto out) {
        return bln_proof_new(f.view, f.readings, &test, 1, nullptr, nullptr, nullptr, out, e);
    });
}

bln_status try_point_at(Fixture& f, bln_error** e) {
    auto row = sized<bln_proof_point>();
    return bln_proof_point_at(f.proof, 0, &row, e);
}

bln_status try_class_at(Fixture& f, bln_error** e) {
    auto row = sized<bln_proof_class>();
    return bln_proof_class_at(f.proof, f.proven_point, 0, &row, e);
}

bln_status try_member_at(Fixture& f, bln_error** e) {
    const char *words = nullptr, *leads = nullptr;
    std::size_t placements = 0;
    return bln_proof_member_at(f.proof, f.proven_point, 0, 0, &words, &leads, &placements, e);
}

bln_status try_placement_at(Fixture& f, bln_error** e) {
    auto row = sized<bln_proof_placement>();
    return bln_proof_placement_at(f.proof, f.proven_point, 0, 0, 0, &row, e);
}

bln_status try_not_excluded_at(Fixture& f, bln_error** e) {
    const char* words = nullptr;
    return bln_proof_not_excluded_at(f.proof, f.proven_point, 0, &words, e);
}

bln_status try_report(Fixture& f, bln_error** e) {
    return made<bln_report>(f, bln_report_free, [&](auto out) { return bln_proof_report(f.proof, out, e); });
}

const Scenario rows[] = {
    {"bln_proof_new", try_new},
    {"bln_proof_point_at", try_point_at},
    {"bln_proof_class_at", try_class_at},
    {"bln_proof_member_at", try_member_at},
    {"bln_proof_placement_at", try_placement_at},
    {"bln_proof_not_excluded_at", try_not_excluded_at},
    {"bln_proof_report", try_report},
};

}  // namespace

std::span<const Scenario> proof_scenarios() { return rows; }
