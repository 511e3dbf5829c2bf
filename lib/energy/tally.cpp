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
        if (in.engine.reactive() && row.bar == ApparentBar::none && t.both > 0) {
            row.both = t.both;
            row.apparent = rounded(t.apparent, scale / Rational(1024), row.id);
            const auto p = static_cast<double>(t.both_p), q = static_cast<double>(t.both_q);
            if (const double s = std::hypot(p, q); s > 0) row.power_factor = p / s;
        }
        row.missing = t.quality.back();
        row.mixed = t.mixed;
        for (std::size_t k = 0; k < row.quality.size(); ++k) {
            row.quality[k] = t.quality[k];
            (quality_codes[k].measured ? row.measured : row.flagged) += t.quality[k];
        }
        row.flagged_net = rounded(t.flagged_net, scale, row.id);
        out.rows.push_back(std::move(row));
    }
}

}  // namespace bln::energy
