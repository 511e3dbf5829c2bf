// Roll-up over a period, and of intervals that come as a stream.
#include "capi/energy.hpp"
#include "capi/sized.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

Period period_of(const bln_rollup_period& given) {
    Period out;
    out.from = given.from;
    out.to = given.to;
    out.known = given.known;
    if (given.quantum_num == 0 && given.quantum_den == 0) return out;
    if (given.quantum_num <= 0 || given.quantum_den <= 0)
        throw Failure(BLN_E_RANGE, "a count of the period stands for no positive energy");
    out.quantum = Rational(given.quantum_num, given.quantum_den);
    return out;
}

Policy limits_of(const bln_policy* policy) {
    if (policy != nullptr && policy->domain != BLN_POLICY_ENERGY)
        throw Failure(BLN_E_ARGUMENT, "the policy belongs to another domain than BLN_POLICY_ENERGY");
    return policy == nullptr ? Policy(energy_policy()) : policy->values;
}

std::vector<Column> columns_of(const bln_column* columns, std::size_t n, const char* name) {
    std::vector<Column> out;
    if (columns == nullptr) return out;
    out.reserve(n);
    for (std::size_t i = 0; i < n; ++i) out.emplace_back(columns[i], name);
    return out;
}

}  // namespace

extern "C" {

bln_status bln_rollup_over(const bln_site* site, const bln_rollup_period* period, const bln_intervals* intervals,
                           const bln_policy* policy, bln_progress progress, void* user, bln_statement** out,
                           bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const bln_site& record = required(site, "site");
        const Period asked = period == nullptr ? Period() : period_of(take(period, "period"));
        const bln_intervals& counts = required(intervals, "intervals");
        return holding<bln_statement>(std::make_shared<const Statement>(
            roll_up(record.model, asked, counts.core, limits_of(policy), Progress(progress, user))));
    });
}

bln_status bln_rollup_stream_new(const bln_site* site, const bln_rollup_period* period, const bln_interval_rule* rule,
                                 bln_instant first, const char* const* ids, size_t id_count, uint32_t flags,
                                 const bln_policy* policy, bln_rollup_stream** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const bln_site& record = required(site, "site");
        const Period asked = period_of(take(period, "period"));
        bln_interval_rule given = take(rule, "rule");
        given.stamp = BLN_STAMP_START;
        if ((flags & ~std::uint32_t{BLN_STREAM_REACTIVE | BLN_STREAM_DIGEST}) != 0)
            throw Failure(BLN_E_RANGE, "a flag that no stream knows");
        std::vector<std::string_view> names(id_count);
        for (std::size_t i = 0; i < id_count; ++i) names[i] = required_text((&required(ids, "ids"))[i], "an id");
        auto made = std::make_unique<bln_rollup_stream>();
        made->core = std::make_unique<RollupStream>(record.model, asked, IntervalRule::of(given), first, names,
                                                    (flags & BLN_STREAM_REACTIVE) != 0,
                                                    (flags & BLN_STREAM_DIGEST) != 0, limits_of(policy));
        return made;
    });
}

size_t bln_rollup_stream_intervals(const bln_rollup_stream* stream) BLN_NOEXCEPT {
    return stream == nullptr ? 0 : stream->core->count();
}
size_t bln_rollup_stream_done(const bln_rollup_stream* stream) BLN_NOEXCEPT {
    return stream == nullptr ? 0 : stream->core->done();
}
size_t bln_rollup_stream_rows(const bln_rollup_stream* stream) BLN_NOEXCEPT {
    return stream == nullptr ? 0 : stream->core->rows();
}
const char* bln_rollup_stream_row(const bln_rollup_stream* stream, size_t i) BLN_NOEXCEPT {
    return i >= bln_rollup_stream_rows(stream) ? nullptr : stream->core->program().ids[i].c_str();
}

bln_status bln_rollup_stream_push(bln_rollup_stream* stream, const bln_rollup_block* block, const bln_rollup_rows* rows,
                                  bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        RollupStream& core = *required(stream, "stream").core;
        const bln_rollup_block given = take(block, "block");
        const std::size_t n = core.channels();
        const std::vector<Column> p = columns_of(given.net_p, n, "net_p"), q = columns_of(given.net_q, n, "net_q"),
                                  quality = columns_of(given.quality, n, "quality");
        BlockRows into;
        if (rows != nullptr) {
            const bln_rollup_rows wanted = take(rows, "rows");
            if (wanted.stride < given.intervals)
                throw Failure(BLN_E_RANGE, "the rows have room for " + std::to_string(wanted.stride) +
                                               " items; the block has " + std::to_string(given.intervals));
            into.stride = wanted.stride;
            into.net = wanted.net;
            into.net_q = wanted.net_q;
            into.complete = wanted.complete;
            into.quality = wanted.quality;
        }
        core.push({given.intervals, p, q, quality}, into);
    });
}

bln_status bln_rollup_stream_finish(const bln_rollup_stream* stream, bln_statement** out,
                                    bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        return holding<bln_statement>(std::make_shared<const Statement>(required(stream, "stream").core->finish()));
    });
}

void bln_rollup_stream_free(bln_rollup_stream* stream) BLN_NOEXCEPT { delete stream; }

}  // extern "C"
