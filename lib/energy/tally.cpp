// From exact sums to the rows of a statement.
#include <cmath>
#include <limits>

#include "energy/findings.hpp"

namespace bln::energy {
namespace {

/// Import and export of a row whose net is already rounded: they must differ by it, and what is nothing stays
/// nothing.
void split(Wide in, Wide ex, std::int64_t net, Rational scale, const std::string& id, std::int64_t& to_in,
           std::int64_t& to_ex) {
    Wide import = 0, other = 0;
    if (ex == 0) {
        import = net;
    } else if (in == 0) {
        other = -Wide{net};
    } else {
        other = rounded(ex, scale, id);
        import = Wide{net} + other;
    }
    // A net that went to nothing, or below it, by the rounding across the parties.
    if (import < 0) other -= import, import = 0;
    if (other < 0) import -= other, other = 0;
    constexpr Wide most = std::numeric_limits<std::int64_t>::max();
    if (import > most || other > most) energy_overflow(id);
    to_in = static_cast<std::int64_t>(import);
    to_ex = static_cast<std::int64_t>(other);
}

/// Apparent energy and power factor, where they can be stated.
template <class Row>
void state_apparent(const RowTally& t, Rational scale, const std::string& id, Row& row) {
    if (t.both == 0) return;
    row.both = t.both;
    row.apparent = rounded(t.apparent, scale / Rational(1024), id);
    const auto p = static_cast<double>(t.both_p), q = static_cast<double>(t.both_q);
    if (const double s = std::hypot(p, q); s > 0) row.power_factor = p / s;
}

/// Energies of tenures; where a row has several, import and export of the row are their sums.
void fill_tenures(const Inputs& in, Statement& out) {
    const Rational scale = in.engine.scale();
    const bool exact = scale == Rational(1);
    const std::vector<TenureTally> tallies = in.engine.tenures();
    for (std::size_t i = 0; i < tallies.size(); ++i) {
        const TenureTally& t = tallies[i];
        StatementRow& row = out.rows[t.row];
        const Holder& holder = in.ledger.holders[t.holder];
        Tenure& one = out.tenures.emplace_back();
        one.row = t.row;
        one.premises = holder.premises;
        one.occupancy = holder.occupancy;
        one.occupant = holder.occupant;
        one.from = t.from;
        one.to = t.to;
        one.net = exact ? rounded(t.sums.net, scale, row.id) : t.given;
        one.net_q = exact ? rounded(t.sums.net_q, scale, row.id) : t.given_q;
        split(t.sums.import_p, t.sums.export_p, one.net, scale, row.id, one.import_p, one.export_p);
        split(t.sums.import_q, t.sums.export_q, one.net_q, scale, row.id, one.import_q, one.export_q);
        if (in.engine.reactive() && row.bar == ApparentBar::none) state_apparent(t.sums, scale, row.id, one);
        one.missing = t.sums.quality.back();
        for (std::size_t k = 0; k < quality_codes.size(); ++k)
            (quality_codes[k].measured ? one.measured : one.flagged) += t.sums.quality[k];
        one.divided = t.divided;
        one.flagged_net = rounded(t.sums.flagged_net, scale, row.id);
    }
    for (std::size_t i = 0, end = 0; i < out.tenures.size(); i = end) {
        for (end = i + 1; end < out.tenures.size() && out.tenures[end].row == out.tenures[i].row;) ++end;
        if (end == i + 1) continue;
        StatementRow& row = out.rows[out.tenures[i].row];
        Wide import_p = 0, import_q = 0;
        for (std::size_t k = i; k < end; ++k) import_p += out.tenures[k].import_p, import_q += out.tenures[k].import_q;
        constexpr Wide most = std::numeric_limits<std::int64_t>::max();
        if (import_p > most || import_p - row.net > most || import_q > most || import_q - row.net_q > most)
            energy_overflow(row.id);
        row.import_p = static_cast<std::int64_t>(import_p);
        row.export_p = static_cast<std::int64_t>(import_p - row.net);
        row.import_q = static_cast<std::int64_t>(import_q);
        row.export_q = static_cast<std::int64_t>(import_q - row.net_q);
    }
}

}  // namespace

void fill_rows(const Inputs& in, Statement& out) {
    const Program& program = in.engine.program();
    const Rational scale = in.engine.scale();
    out.quantum = in.engine.quantum();
    for (const LedgerPart& part : in.ledger.parts)
        if (!part.outside) out.versions.push_back({part.from, part.to});
    out.rows.reserve(program.ids.size());
    for (std::size_t r = 0; r < program.ids.size(); ++r) {
        const RowTally& t = in.engine.tally(r);
        StatementRow row;
        row.kind = program.kinds[r];
        row.id = program.ids[r];
        row.premises = program.premises[r];
        row.bar = program.bars[r];
        row.net = in.engine.net(r);
        split(t.import_p, t.export_p, row.net, scale, row.id, row.import_p, row.export_p);
        row.net_q = in.engine.net_q(r);
        split(t.import_q, t.export_q, row.net_q, scale, row.id, row.import_q, row.export_q);
        if (in.engine.reactive() && row.bar == ApparentBar::none) state_apparent(t, scale, row.id, row);
        row.missing = t.quality.back();
        row.mixed = t.mixed;
        for (std::size_t k = 0; k < row.quality.size(); ++k) {
            row.quality[k] = t.quality[k];
            (quality_codes[k].measured ? row.measured : row.flagged) += t.quality[k];
        }
        row.flagged_net = rounded(t.flagged_net, scale, row.id);
        out.rows.push_back(std::move(row));
    }
    fill_tenures(in, out);
}

}  // namespace bln::energy
