// The voltmeter phase test.
#include "plan/phase_test.hpp"

#include "capi/sized.hpp"

struct bln_phase_test {
    std::shared_ptr<const bln::PhaseTest> core;
};

using namespace bln;
using namespace bln::capi;

namespace {

const PhaseTest& core(const bln_phase_test* test) { return *required(test, "test").core; }

/// Words of the tables are literals, hence NUL-terminated.
const char* word(Conductor c) { return c == Conductor::none ? "" : word_of(c).data(); }

std::unique_ptr<bln_phase_test> make(const bln_view* view, const char* service,
                                     const std::vector<PhaseReading>& readings, const bln_policy* policy) {
    const View& v = *required(view, "view").view;
    if (policy != nullptr && policy->domain != BLN_POLICY_PHASE_TEST)
        throw Failure(BLN_E_ARGUMENT, "the policy belongs to another domain than BLN_POLICY_PHASE_TEST");
    const Policy limits = policy == nullptr ? Policy(phase_test_policy()) : policy->values;
    const std::string_view id = service == nullptr ? std::string_view{} : required_text(service, "service");
    return holding<bln_phase_test>(std::make_shared<const PhaseTest>(phase_test(v, id, readings, limits)));
}

}  // namespace

extern "C" {

bln_status bln_phase_test_new(const bln_view* view, const char* service, size_t n, const char* const* conductors,
                              const char* const* references, const bln_column* volts, const bln_policy* policy,
                              bln_phase_test** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        std::vector<std::string_view> from(n), to(n);
        for (std::size_t i = 0; i < n; ++i) {
            from[i] = required_text((&required(conductors, "conductors"))[i], "a conductor");
            to[i] = required_text((&required(references, "references"))[i], "a reference");
        }
        return make(view, service, phase_readings(from, to, Column(required(volts, "volts"), "volts")), policy);
    });
}

bln_status bln_phase_test_read_csv(const bln_view* view, const char* service, const char* csv, size_t n,
                                   const bln_limits* limits, const bln_policy* policy, bln_phase_test** out,
                                   bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        return make(view, service, phase_readings_csv(required_bytes(csv, n, "csv"), most_bytes(limits)), policy);
    });
}

bln_status bln_phase_test_sheet(const bln_view* view, const char* panel, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        return text_of(phase_sheet_csv(*required(view, "view").view, required_text(panel, "panel")));
    });
}

size_t bln_phase_test_count(const bln_phase_test* test) BLN_NOEXCEPT {
    return test == nullptr ? 0 : test->core->rows.size();
}

bln_status bln_phase_test_at(const bln_phase_test* test, size_t i, bln_phase_row* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const PhaseRow& r = item_at(core(test).rows, i, "conductor");
        bln_phase_row row{};
        row.verdict = static_cast<std::int32_t>(r.verdict);
        row.conductor = r.conductor.c_str();
        row.circuit = r.circuit.c_str();
        row.panel = r.panel.c_str();
        row.phase = word(r.phase);
        row.candidates = r.candidates.c_str();
        row.recorded = word(r.recorded);
        row.detail = r.detail.c_str();
        row.cause_text = info(r.cause).what.data();
        row.next = r.next.c_str();
        row.next_reference = r.next_reference.c_str();
        row.space = r.space;
        row.pole = r.pole;
        row.cause = static_cast<std::int32_t>(r.cause);
        row.readings = r.readings;
        row.drop_volts = r.drop_volts;
        hand_out(out, row, "out");
    });
}

size_t bln_phase_test_panel_count(const bln_phase_test* test) BLN_NOEXCEPT {
    return test == nullptr ? 0 : test->core->panels.size();
}

bln_status bln_phase_test_panel_at(const bln_phase_test* test, size_t i, bln_phase_panel* out,
                                   bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const PhasePanel& p = item_at(core(test).panels, i, "panel");
        hand_out(out,
                 bln_phase_panel{0, static_cast<std::int32_t>(p.verdict), p.panel.c_str(), p.recorded.c_str(),
                                 p.measured.c_str(), p.next.c_str(), p.offset, p.reversed ? 1 : 0, p.tested, p.agree},
                 "out");
    });
}

bln_status bln_phase_test_report(const bln_phase_test* test, bln_report** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        auto made = std::make_unique<bln_report>();
        made->report = core(test).report;
        return made;
    });
}

bln_status bln_phase_test_text(const bln_phase_test* test, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(phase_test_text(core(test))); });
}

void bln_phase_test_free(bln_phase_test* test) BLN_NOEXCEPT { delete test; }

}  // extern "C"
