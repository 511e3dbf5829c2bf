// Functions over readings and intervals that may need memory.
#include <algorithm>
#include <array>
#include <cstdint>
#include <string>

#include "scenario.hpp"

namespace {

bln_column column(const void* data, std::int64_t stride, std::int32_t type) { return {data, stride, nullptr, type, 0}; }

template <class Row>
Row sized() {
    Row row{};
    row.size = sizeof row;
    return row;
}

bln_status try_readings_new(Fixture& f, bln_error** e) {
    static const char* const channels[] = {"D.1", "D.2"};
    static const double watts[] = {2380, 2140};
    auto columns = sized<bln_readings_columns>();
    columns.watts = column(watts, sizeof(double), BLN_TYPE_F64);
    return made<bln_readings>(f, bln_readings_free,
                              [&](bln_readings** out) { return bln_readings_new(2, channels, &columns, out, e); });
}

bln_status try_readings_read_csv(Fixture& f, bln_error** e) {
    return made<bln_readings>(f, bln_readings_free, [&](bln_readings** out) {
        return bln_readings_read_csv(readings_csv.data(), readings_csv.size(), nullptr, out, e);
    });
}

bln_status try_live_check(Fixture& f, bln_error** e) {
    return made<bln_live>(f, bln_live_free, [&](auto out) {
        return bln_live_check(f.view, f.readings, nullptr, nullptr, nullptr, out, e);
    });
}

bln_status try_live_channel_at(Fixture& f, bln_error** e) {
    auto row = sized<bln_live_channel>();
    return bln_live_channel_at(f.live, 0, &row, e);
}

bln_status try_live_point_at(Fixture& f, bln_error** e) {
    auto row = sized<bln_live_point>();
    return bln_live_point_at(f.live, 0, &row, e);
}

bln_status try_live_sum_at(Fixture& f, bln_error** e) {
    auto row = sized<bln_live_sum>();
    return bln_live_sum_at(f.live, 0, &row, e);
}

bln_status try_live_report(Fixture& f, bln_error** e) {
    return made<bln_report>(f, bln_report_free, [&](auto out) { return bln_live_report(f.live, out, e); });
}

bln_status try_intervals_new(Fixture& f, bln_error** e) {
    static const char* const ids[] = {"D.1", "D.2"};
    static const std::int64_t channel[] = {0, 1, 0};
    static const std::int64_t at[] = {0, 0, 900'000'000};
    static const std::int64_t net[] = {5, 6, 7};
    auto columns = sized<bln_interval_columns>();
    columns.channel = column(channel, 8, BLN_TYPE_I64);
    columns.at = column(at, 8, BLN_TYPE_I64);
    columns.net_p = column(net, 8, BLN_TYPE_I64);
    return made<bln_intervals>(f, bln_intervals_free, [&](bln_intervals** out) {
        return bln_intervals_new(&interval_rule, ids, 2, 3, &columns, out, e);
    });
}

bln_status try_intervals_read_csv(Fixture& f, bln_error** e) {
    return made<bln_intervals>(f, bln_intervals_free, [&](bln_intervals** out) {
        return bln_intervals_read_csv(&interval_rule, intervals_csv.data(), intervals_csv.size(), nullptr, out, e);
    });
}

bln_interval_columns three_rows() {
    static const std::int64_t channel[] = {0, 0, 0};
    static const std::int64_t at[] = {0, 900'000'000, 1'800'000'000};
    static const std::int64_t count[] = {990, 5, 15};
    auto columns = sized<bln_interval_columns>();
    columns.channel = column(channel, 8, BLN_TYPE_I64);
    columns.at = column(at, 8, BLN_TYPE_I64);
    columns.import_p = column(count, 8, BLN_TYPE_I64);
    return columns;
}

const std::string registers = R"({"modulus":1000,"max_watts":500,"exchanges":[{"channel":"D.1","register":"import_p",)"
                              R"("at":"1970-01-01T00:20:00Z","last":10,"first":12}]})";

bln_status try_intervals_new_registers(Fixture& f, bln_error** e) {
    static const char* const ids[] = {"D.1"};
    const bln_interval_columns columns = three_rows();
    return made<bln_intervals>(f, bln_intervals_free, [&](bln_intervals** out) {
        return bln_intervals_new_registers(&interval_rule, registers.data(), registers.size(), ids, 1, 3, &columns, out,
                                           e);
    });
}

bln_status try_intervals_new_wide(Fixture& f, bln_error** e) {
    static const char* const ids[] = {"D.1", "D.2"};
    const bln_interval_columns columns = three_rows();
    const bln_column counts[] = {columns.import_p, columns.import_p};
    return made<bln_intervals>(f, bln_intervals_free, [&](bln_intervals** out) {
        return bln_intervals_new_wide(&interval_rule, BLN_QUANTITY_NET_P, ids, 2, 3, &columns.at, counts, nullptr, out,
                                      e);
    });
}

/// A wide file with a comma for a point, quality, and two rows that contradict one another.
const std::string wide_csv = "Zeit;D.1;D.2;wie\r\n0;1,5;2;valid\r\n900;\"3\";4;8\r\n900;5;4;8\r\n";
const std::string wide_map =
    R"({"delimiter":";","decimal":",","time":"epoch_seconds","wh_per_unit":2,"encoding":"iso-8859-1",)"
    R"("columns":{"Zeit":"start","wie":"quality","D.1":{"is":"net_p","channel":"D.1"}},"others":"net_p"})";

bln_status read_wide(bln_intervals** out, bln_error** e) {
    return bln_intervals_read_csv_map(&interval_rule, wide_map.data(), wide_map.size(), wide_csv.data(),
                                      wide_csv.size(), nullptr, out, e);
}

bln_status try_intervals_read_csv_map(Fixture& f, bln_error** e) {
    return made<bln_intervals>(f, bln_intervals_free, [&](bln_intervals** out) { return read_wide(out, e); });
}

/// A reader that failed is of no use, so each try makes its own.
bln_status read_blocks(bool keep, bln_interval_reader** out, bln_error** e) {
    bln_status status =
        bln_interval_reader_new(&interval_rule, wide_map.data(), wide_map.size(), keep ? 1 : 0, nullptr, out, e);
    for (std::size_t at = 0; status == BLN_OK && at < wide_csv.size(); at += 7)
        status =
            bln_interval_reader_push(*out, wide_csv.data() + at, std::min<std::size_t>(7, wide_csv.size() - at), e);
    return status;
}

bln_status try_interval_reader_new(Fixture& f, bln_error** e) {
    return made<bln_interval_reader>(f, bln_interval_reader_free, [&](bln_interval_reader** out) {
        return bln_interval_reader_new(&interval_rule, wide_map.data(), wide_map.size(), 1, nullptr, out, e);
    });
}

bln_status try_interval_reader_push(Fixture&, bln_error** e) {
    bln_interval_reader* reader = nullptr;
    const bln_status status = read_blocks(true, &reader, e);
    bln_interval_reader_free(reader);
    return status;
}

bln_status try_interval_reader_finish(Fixture& f, bln_error** e) {
    bln_interval_reader* reader = nullptr;
    const bln_status status = made<bln_intervals>(f, bln_intervals_free, [&](bln_intervals** out) {
        *out = nullptr;
        const bln_status read = read_blocks(true, &reader, e);
        return read != BLN_OK ? read : bln_interval_reader_finish(reader, out, e);
    });
    bln_interval_reader_free(reader);
    return status;
}

bln_status try_interval_reader_take(Fixture&, bln_error** e) {
    bln_interval_reader* reader = nullptr;
    bln_status status = read_blocks(false, &reader, e);
    static std::int64_t at[8];
    auto rows = sized<bln_interval_rows>();
    rows.at = {at, 8, nullptr, BLN_TYPE_I64, 0};
    std::size_t taken = 0;
    if (status == BLN_OK) status = bln_interval_reader_take(reader, &rows, 8, &taken, e);
    if (status == BLN_OK) status = bln_interval_reader_check(reader, e);
    bln_interval_reader_free(reader);
    return status;
}

/// Something about intervals that have everything.
template <class Call>
bln_status of_wide(Call&& call, bln_error** e) {
    bln_intervals* intervals = nullptr;
    bln_status status = read_wide(&intervals, e);
    if (status == BLN_OK) status = call(intervals);
    bln_intervals_free(intervals);
    return status;
}

bln_status try_intervals_series(Fixture&, bln_error** e) {
    static std::int64_t counts[4];
    const bln_out_column into{counts, 8, nullptr, BLN_TYPE_I64, 0};
    return of_wide([&](auto x) { return bln_intervals_series(x, 0, BLN_QUANTITY_NET_P, &into, 4, e); }, e);
}

bln_status try_intervals_quality(Fixture&, bln_error** e) {
    std::array<std::uint8_t, 4> codes{};
    return of_wide([&](auto x) { return bln_intervals_quality(x, 0, codes.data(), codes.size(), e); }, e);
}

bln_status try_intervals_arrival(Fixture&, bln_error** e) {
    auto row = sized<bln_interval_arrival>();
    return of_wide([&](auto x) { return bln_intervals_arrival(x, 0, &row, e); }, e);
}

bln_status try_intervals_note(Fixture&, bln_error** e) {
    auto row = sized<bln_interval_note>();
    return of_wide([&](auto x) { return bln_intervals_note(x, 0, &row, e); }, e);
}

bln_status try_rollup(Fixture& f, bln_error** e) {
    return made<bln_statement>(f, bln_statement_free, [&](auto out) {
        return bln_rollup(f.site, BLN_END_OF_TIME, f.intervals, nullptr, nullptr, nullptr, out, e);
    });
}

bln_status try_rollup_over(Fixture& f, bln_error** e) {
    return made<bln_statement>(f, bln_statement_free, [&](auto out) {
        return bln_rollup_over(f.site, &stream_day, f.intervals, nullptr, nullptr, nullptr, out, e);
    });
}

bln_status try_rollup_stream_new(Fixture& f, bln_error** e) {
    return made<bln_rollup_stream>(f, bln_rollup_stream_free, [&](auto out) { return open_stream(f.site, out, e); });
}

bln_status try_rollup_stream_push(Fixture& f, bln_error** e) {
    bln_rollup_stream* stream = nullptr;
    bln_status status = open_stream(f.site, &stream, e);
    if (status == BLN_OK) {
        status = push_stream(stream, e);
        // A block that was refused leaves the stream as it was.
        f.outputs_right = f.outputs_right && bln_rollup_stream_done(stream) == (status == BLN_OK ? 96 : 0);
    }
    bln_rollup_stream_free(stream);
    return status;
}

bln_status try_rollup_stream_finish(Fixture& f, bln_error** e) {
    return made<bln_statement>(f, bln_statement_free,
                               [&](auto out) { return bln_rollup_stream_finish(f.stream, out, e); });
}

bln_status try_statement_period(Fixture& f, bln_error** e) {
    auto row = sized<bln_rollup_period>();
    return bln_statement_period(f.statement, &row, e);
}

bln_status try_statement_quality(Fixture& f, bln_error** e) {
    std::uint64_t n = 0;
    return bln_statement_quality(f.statement, 0, 0, &n, e);
}

bln_status try_statement_column(Fixture& f, bln_error** e) {
    static std::int64_t net[64];
    const bln_out_column into{net, 8, nullptr, BLN_TYPE_I64, 0};
    return bln_statement_column(f.statement, BLN_OF_ROW_NET, &into, 64, e);
}

bln_status try_statement_record_digest(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_statement_record_digest(f.statement, out, e); });
}

bln_status try_statement_input_digest(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_statement_input_digest(f.statement, out, e); });
}

bln_status try_statement_csv(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_statement_csv(f.statement, out, e); });
}

bln_status try_statement_quantum(Fixture& f, bln_error** e) {
    std::int64_t num = 0;
    std::int64_t den = 0;
    return bln_statement_quantum(f.statement, &num, &den, e);
}

bln_status try_statement_at(Fixture& f, bln_error** e) {
    auto row = sized<bln_statement_row>();
    return bln_statement_at(f.statement, 0, &row, e);
}

bln_status try_statement_series(Fixture& f, bln_error** e) {
    static std::int64_t net[4096];
    bln_out_column into{};
    into.data = net;
    into.stride = 8;
    into.type = BLN_TYPE_I64;
    return bln_statement_series(f.statement, 0, BLN_SERIES_NET, &into, 4096, e);
}

bln_status try_statement_tenure(Fixture& f, bln_error** e) {
    auto row = sized<bln_tenure>();
    return bln_statement_tenure(f.statement, 0, &row, e);
}

bln_status try_statement_tenures_csv(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_statement_tenures_csv(f.statement, out, e); });
}

bln_status try_statement_reconciliation(Fixture& f, bln_error** e) {
    auto row = sized<bln_reconciliation>();
    return bln_statement_reconciliation(f.statement, 0, &row, e);
}

bln_status try_statement_suspicion(Fixture& f, bln_error** e) {
    auto row = sized<bln_suspicion>();
    return bln_statement_suspicion(f.statement, 0, &row, e);
}

bln_status try_statement_report(Fixture& f, bln_error** e) {
    return made<bln_report>(f, bln_report_free, [&](auto out) { return bln_statement_report(f.statement, out, e); });
}

bln_status try_statement_json(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_statement_json(f.statement, out, e); });
}

const Scenario rows[] = {
    {"bln_readings_new", try_readings_new},
    {"bln_readings_read_csv", try_readings_read_csv},
    {"bln_live_check", try_live_check},
    {"bln_live_channel_at", try_live_channel_at},
    {"bln_live_point_at", try_live_point_at},
    {"bln_live_sum_at", try_live_sum_at},
    {"bln_live_report", try_live_report},
    {"bln_intervals_new", try_intervals_new},
    {"bln_intervals_read_csv", try_intervals_read_csv},
    {"bln_intervals_new_registers", try_intervals_new_registers},
    {"bln_intervals_new_wide", try_intervals_new_wide},
    {"bln_intervals_read_csv_map", try_intervals_read_csv_map},
    {"bln_interval_reader_new", try_interval_reader_new},
    {"bln_interval_reader_push", try_interval_reader_push},
    {"bln_interval_reader_finish", try_interval_reader_finish},
    {"bln_interval_reader_take", try_interval_reader_take},
    {"bln_interval_reader_check", try_interval_reader_take},
    {"bln_intervals_series", try_intervals_series},
    {"bln_intervals_quality", try_intervals_quality},
    {"bln_intervals_arrival", try_intervals_arrival},
    {"bln_intervals_note", try_intervals_note},
    {"bln_rollup", try_rollup},
    {"bln_rollup_over", try_rollup_over},
    {"bln_rollup_stream_new", try_rollup_stream_new},
    {"bln_rollup_stream_push", try_rollup_stream_push},
    {"bln_rollup_stream_finish", try_rollup_stream_finish},
    {"bln_statement_period", try_statement_period},
    {"bln_statement_quality", try_statement_quality},
    {"bln_statement_column", try_statement_column},
    {"bln_statement_record_digest", try_statement_record_digest},
    {"bln_statement_input_digest", try_statement_input_digest},
    {"bln_statement_csv", try_statement_csv},
    {"bln_statement_quantum", try_statement_quantum},
    {"bln_statement_at", try_statement_at},
    {"bln_statement_series", try_statement_series},
    {"bln_statement_tenure", try_statement_tenure},
    {"bln_statement_tenures_csv", try_statement_tenures_csv},
    {"bln_statement_reconciliation", try_statement_reconciliation},
    {"bln_statement_suspicion", try_statement_suspicion},
    {"bln_statement_report", try_statement_report},
    {"bln_statement_json", try_statement_json},
};

}  // namespace

std::span<const Scenario> live_and_energy_scenarios() { return rows; }
