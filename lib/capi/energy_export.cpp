// What a statement says as columns, CSV and digests.
#include "capi/energy.hpp"
#include "capi/sized.hpp"
#include "site/column.hpp"
#include "site/sha256.hpp"
#include "site/writer.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

const Statement& core(const bln_statement* statement) { return *required(statement, "statement").core; }

/// One member of a row: an energy in counts, or a mere number.
struct Member {
    std::int64_t value = 0;
    bool energy = false;
    bool stated = true;
};

Member member_of(const StatementRow& r, std::int32_t what) {
    const auto number = [](std::uint64_t v) { return Member{static_cast<std::int64_t>(v), false, true}; };
    switch (what) {
        case BLN_OF_ROW_KIND:
            return {static_cast<std::int64_t>(r.kind), false, true};
        case BLN_OF_ROW_NET:
            return {r.net, true, true};
        case BLN_OF_ROW_IMPORT_P:
            return {r.import_p, true, true};
        case BLN_OF_ROW_EXPORT_P:
            return {r.export_p, true, true};
        case BLN_OF_ROW_NET_Q:
            return {r.net_q, true, true};
        case BLN_OF_ROW_IMPORT_Q:
            return {r.import_q, true, true};
        case BLN_OF_ROW_EXPORT_Q:
            return {r.export_q, true, true};
        case BLN_OF_ROW_APPARENT:
            return {r.apparent, true, r.both > 0};
        case BLN_OF_ROW_APPARENT_INTERVALS:
            return number(r.both);
        case BLN_OF_ROW_MEASURED:
            return number(r.measured);
        case BLN_OF_ROW_FLAGGED:
            return number(r.flagged);
        case BLN_OF_ROW_MISSING:
            return number(r.missing);
        case BLN_OF_ROW_MIXED:
            return number(r.mixed);
        case BLN_OF_ROW_FLAGGED_NET:
            return {r.flagged_net, true, true};
        default:
            throw Failure(BLN_E_RANGE, "there is no such member of a row");
    }
}

}  // namespace

extern "C" {

bln_status bln_statement_period(const bln_statement* statement, bln_rollup_period* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Statement& s = core(statement);
        hand_out(out,
                 bln_rollup_period{0, 0, s.period.from, s.period.to, s.period.known, s.quantum.num(), s.quantum.den()},
                 "out");
    });
}

bln_status bln_statement_quality(const bln_statement* statement, size_t i, int32_t code, uint64_t* out,
                                 bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const StatementRow& row = item_at(core(statement).rows, i, "row");
        const int rank = code < 0 || code > 255 ? -1 : quality_rank(static_cast<std::uint8_t>(code));
        if (rank < 0) throw Failure(BLN_E_VALUE, std::to_string(code) + " is no quality code");
        required(out, "out") = row.quality[static_cast<std::size_t>(rank)];
    });
}

bln_status bln_statement_column(const bln_statement* statement, int32_t what, const bln_out_column* into, size_t n,
                                bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Statement& s = core(statement);
        const OutColumn column(required(into, "into"));
        if (n < s.rows.size())
            throw Failure(BLN_E_RANGE, "the output column has room for " + std::to_string(n) + " items; there are " +
                                           std::to_string(s.rows.size()));
        if (what == BLN_OF_ROW_POWER_FACTOR && column.whole())
            throw Failure(BLN_E_TYPE, "a power factor is no integer");
        const double wh = s.quantum.real();
        for (std::size_t r = 0; r < s.rows.size(); ++r) {
            if (what == BLN_OF_ROW_POWER_FACTOR) {
                column.put(r, s.rows[r].power_factor);
                column.present(r, s.rows[r].both > 0);
                continue;
            }
            const Member m = member_of(s.rows[r], what);
            if (column.whole())
                column.put(r, m.value);
            else
                column.put(r, static_cast<double>(m.value) * (m.energy ? wh : 1));
            column.present(r, m.stated);
        }
    });
}

bln_status bln_statement_record_digest(const bln_statement* statement, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err,
                  [&] { return text_of(sha256_text(write_site(*core(statement).model, JsonStyle::canonical))); });
}

bln_status bln_statement_input_digest(const bln_statement* statement, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(input_digest(core(statement))); });
}

bln_status bln_statement_csv(const bln_statement* statement, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(statement_csv(core(statement))); });
}

}  // extern "C"
