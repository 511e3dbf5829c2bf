// Functions over what is known before power is on that may need memory.
#include <cstdint>

#include "scenario.hpp"

namespace {

bln_status try_expect(Fixture& f, bln_error** e) {
    return made<bln_expect>(f, bln_expect_free,
                            [&](bln_expect** out) { return bln_expect_new(f.view, nullptr, out, e); });
}
bln_status try_expect_at(Fixture& f, bln_error** e) {
    bln_expect_row row{};
    row.size = sizeof row;
    return bln_expect_at(f.expect, 0, &row, e);
}
bln_status try_expect_text(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_expect_text(f.expect, out, e); });
}
bln_status try_expect_csv(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_expect_csv(f.expect, out, e); });
}

bln_status try_phase(Fixture& f, bln_error** e) {
    static const char* const conductors[] = {"flat-1:1", "flat-1:1", "P/5", "P/5"};
    static const char* const references[] = {"A", "B", "flat-1:1", "G"};
    static const double volts[] = {208, 1, 208, 120};
    const bln_column column = {volts, 8, nullptr, BLN_TYPE_F64, 0};
    return made<bln_phase_test>(f, bln_phase_test_free, [&](bln_phase_test** out) {
        return bln_phase_test_new(f.view, "S", 4, conductors, references, &column, nullptr, out, e);
    });
}
bln_status try_phase_csv(Fixture& f, bln_error** e) {
    return made<bln_phase_test>(f, bln_phase_test_free, [&](bln_phase_test** out) {
        return bln_phase_test_read_csv(f.view, nullptr, phase_csv.data(), phase_csv.size(), nullptr, nullptr, out, e);
    });
}
bln_status try_phase_sheet(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_phase_test_sheet(f.view, "P", out, e); });
}
bln_status try_phase_at(Fixture& f, bln_error** e) {
    bln_phase_row row{};
    row.size = sizeof row;
    return bln_phase_test_at(f.phase_test, 0, &row, e);
}
bln_status try_phase_panel_at(Fixture& f, bln_error** e) {
    bln_phase_panel row{};
    row.size = sizeof row;
    return bln_phase_test_panel_at(f.phase_test, 0, &row, e);
}
bln_status try_phase_report(Fixture& f, bln_error** e) {
    return made<bln_report>(f, bln_report_free,
                            [&](bln_report** out) { return bln_phase_test_report(f.phase_test, out, e); });
}
bln_status try_phase_text(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_phase_test_text(f.phase_test, out, e); });
}

bln_status try_trace(Fixture& f, bln_error** e) {
    static const char* const ids[] = {"a", "b", "c", "d", "e"};
    static const std::int32_t rules[] = {BLN_SWITCH_MAY, BLN_SWITCH_ASK, BLN_SWITCH_NEVER, BLN_SWITCH_MAY,
                                         BLN_SWITCH_MAY};
    const bln_trace_options options = {sizeof(bln_trace_options), BLN_TRACE_CORRECT, 0};
    return made<bln_trace>(f, bln_trace_free,
                           [&](bln_trace** out) { return bln_trace_new(5, ids, nullptr, rules, &options, out, e); });
}
bln_status try_trace_of_view(Fixture& f, bln_error** e) {
    return made<bln_trace>(f, bln_trace_free,
                           [&](bln_trace** out) { return bln_trace_of_view(f.view, "P", nullptr, out, e); });
}
bln_status try_trace_about(Fixture& f, bln_error** e) {
    bln_trace_info row{};
    row.size = sizeof row;
    return bln_trace_about(f.trace, &row, e);
}
bln_status try_trace_at(Fixture& f, bln_error** e) {
    bln_trace_breaker row{};
    row.size = sizeof row;
    return bln_trace_at(f.trace, 0, &row, e);
}
bln_status try_trace_json(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_trace_json(f.trace, out, e); });
}
bln_status try_trace_text(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_trace_text(f.trace, out, e); });
}
bln_status try_decode(Fixture& f, bln_error** e) {
    static const char* const channels[] = {"D.1", "D.1", "D.2"};
    static const std::int32_t step[] = {1, 2, 1};
    static const double before[] = {5, 5, 4}, off[] = {0, 5, 2};
    bln_trace_columns columns{};
    columns.size = sizeof columns;
    columns.step = {step, 4, nullptr, BLN_TYPE_I32, 0};
    columns.before = {before, 8, nullptr, BLN_TYPE_F64, 0};
    columns.off = {off, 8, nullptr, BLN_TYPE_F64, 0};
    return made<bln_trace_result>(f, bln_trace_result_free, [&](bln_trace_result** out) {
        return bln_trace_decode(f.trace, f.view, 3, channels, &columns, nullptr, out, e);
    });
}
bln_status try_decode_csv(Fixture& f, bln_error** e) {
    return made<bln_trace_result>(f, bln_trace_result_free, [&](bln_trace_result** out) {
        return bln_trace_decode_csv(f.trace, nullptr, trace_csv.data(), trace_csv.size(), nullptr, nullptr, out, e);
    });
}
bln_status try_result_at(Fixture& f, bln_error** e) {
    bln_trace_row row{};
    row.size = sizeof row;
    return bln_trace_result_at(f.trace_result, 0, &row, e);
}
bln_status try_result_report(Fixture& f, bln_error** e) {
    return made<bln_report>(f, bln_report_free,
                            [&](bln_report** out) { return bln_trace_result_report(f.trace_result, out, e); });
}
bln_status try_result_text(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_trace_result_text(f.trace_result, out, e); });
}
bln_status try_natural(Fixture& f, bln_error** e) {
    static const char* const channels[] = {"D.1", "D.2"};
    static const double amps[] = {0, 5, 5, 0, 0, 6, 6, 0, 7};
    const bln_column column = {amps, 8, nullptr, BLN_TYPE_F64, 0};
    const bln_column columns[] = {column, column};
    static const char* const circuits[] = {"flat-1", "flat-1"};
    static const std::uint64_t at[] = {1, 3};
    return made_text(f, [&](bln_text** out) {
        return bln_trace_natural(2, channels, 9, columns, 2, circuits, at, nullptr, out, e);
    });
}

const Scenario rows[] = {
    {"bln_trace_new", try_trace},
    {"bln_trace_of_view", try_trace_of_view},
    {"bln_trace_about", try_trace_about},
    {"bln_trace_at", try_trace_at},
    {"bln_trace_json", try_trace_json},
    {"bln_trace_text", try_trace_text},
    {"bln_trace_decode", try_decode},
    {"bln_trace_decode_csv", try_decode_csv},
    {"bln_trace_result_at", try_result_at},
    {"bln_trace_result_report", try_result_report},
    {"bln_trace_result_text", try_result_text},
    {"bln_trace_natural", try_natural},
    {"bln_expect_new", try_expect},
    {"bln_expect_at", try_expect_at},
    {"bln_expect_text", try_expect_text},
    {"bln_expect_csv", try_expect_csv},
    {"bln_phase_test_new", try_phase},
    {"bln_phase_test_read_csv", try_phase_csv},
    {"bln_phase_test_sheet", try_phase_sheet},
    {"bln_phase_test_at", try_phase_at},
    {"bln_phase_test_panel_at", try_phase_panel_at},
    {"bln_phase_test_report", try_phase_report},
    {"bln_phase_test_text", try_phase_text},
};

}  // namespace

std::span<const Scenario> field_test_scenarios() { return rows; }
