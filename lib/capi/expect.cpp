// Expected readings.
#include "capi/expect.hpp"

#include "capi/sized.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

const Expected& core(const bln_expect* expect) { return *required(expect, "expect").core; }

/// Words of the tables are literals, hence NUL-terminated; an absent one has no data.
const char* literal(std::string_view word) { return word.empty() ? "" : word.data(); }

}  // namespace

extern "C" {

bln_status bln_expect_new(const bln_view* view, const bln_policy* policy, bln_expect** out,
                          bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const bln_view& v = required(view, "view");
        if (policy != nullptr && policy->domain != BLN_POLICY_LIVE)
            throw Failure(BLN_E_ARGUMENT, "the policy belongs to another domain than BLN_POLICY_LIVE");
        const Policy limits = policy == nullptr ? Policy(live_policy()) : policy->values;
        auto made = std::make_shared<Expected>();
        made->view = v.view;
        made->rows = expected_readings(*v.view, limits);
        return holding<bln_expect>(std::shared_ptr<const Expected>(std::move(made)));
    });
}

size_t bln_expect_count(const bln_expect* expect) BLN_NOEXCEPT {
    return expect == nullptr ? 0 : expect->core->rows.size();
}

bln_status bln_expect_at(const bln_expect* expect, size_t i, bln_expect_row* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const ExpectedRow& r = item_at(core(expect).rows, i, "channel");
        bln_expect_row row{};
        row.state = static_cast<std::int32_t>(r.state);
        row.channel = r.channel.c_str();
        row.device = r.device.c_str();
        row.circuit = r.circuit.c_str();
        row.point = r.point.c_str();
        row.conductors = r.conductors.c_str();
        row.reference = literal(r.reference);
        row.load = r.load == Load::unknown ? "" : word_of(r.load).data();
        row.why = r.why.c_str();
        row.input = r.input;
        row.flags = r.flags;
        row.sign = r.sign;
        row.least_by = static_cast<std::int32_t>(r.least_by);
        row.load_phases = r.load_phases;
        row.offset_low_deg = r.offset_low_deg;
        row.offset_high_deg = r.offset_high_deg;
        row.angle_low_deg = r.angle_low_deg;
        row.angle_high_deg = r.angle_high_deg;
        row.heater_low_deg = r.heater_low_deg;
        row.heater_high_deg = r.heater_high_deg;
        row.volts = r.volts;
        row.volts_low = r.volts_low;
        row.volts_high = r.volts_high;
        row.gate_amps = r.gate_amps;
        row.least_amps = r.least_amps;
        row.least_watts = r.least_watts;
        row.load_volts = r.load_volts;
        hand_out(out, row, "out");
    });
}

bln_status bln_expect_text(const bln_expect* expect, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const Expected& e = core(expect);
        return text_of(expected_text(*e.view, e.rows));
    });
}

bln_status bln_expect_csv(const bln_expect* expect, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(expected_csv(core(expect).rows)); });
}

void bln_expect_free(bln_expect* expect) BLN_NOEXCEPT { delete expect; }

}  // extern "C"
