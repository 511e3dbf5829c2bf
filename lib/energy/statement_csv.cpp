// The rows of a statement as CSV (RFC 4180).
#include "energy/energy.hpp"
#include "energy/findings.hpp"
#include "site/json_text.hpp"

namespace bln {

std::string statement_csv(const Statement& s) {
    std::string out =
        "kind,id,premises,from,to,quantum_wh,net,import_p,export_p,net_q,import_q,export_q,apparent,"
        "apparent_intervals,power_factor,intervals,measured,flagged,missing,mixed,flagged_net\r\n";
    const std::string time = s.count() == 0 ? "," : energy::when(s.period.from) + ',' + energy::when(s.period.to);
    const auto add = [&](auto v) { out += ',' + std::to_string(v); };
    for (const StatementRow& r : s.rows) {
        // Ids hold no comma, quote or line end.
        out += std::string(word_of(r.kind)) + ',' + r.id + ',' + r.premises + ',' + time + ',' + s.quantum.text();
        for (const std::int64_t v : {r.net, r.import_p, r.export_p, r.net_q, r.import_q, r.export_q}) add(v);
        if (r.both > 0) {
            add(r.apparent), add(r.both);
            out += ',';
            append_json_number(out, r.power_factor);
        } else {
            out += ",,,";
        }
        add(static_cast<std::uint64_t>(s.count()));
        for (const std::uint64_t v : {r.measured, r.flagged, r.missing, r.mixed}) add(v);
        add(r.flagged_net);
        out += "\r\n";
    }
    return out;
}

}  // namespace bln
