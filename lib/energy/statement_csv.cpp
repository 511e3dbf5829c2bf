// The rows of a statement, and its tenures, as CSV (RFC 4180).
#include "energy/energy.hpp"
#include "energy/findings.hpp"
#include "site/json_text.hpp"

namespace bln {
namespace {

/// A cell that may hold anything.
std::string csv_cell(std::string_view text) {
    if (text.find_first_of(",\"\r\n") == std::string_view::npos) return std::string(text);
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"') out += c;
        out += c;
    }
    return out + '"';
}

}  // namespace

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

std::string tenures_csv(const Statement& s) {
    std::string out =
        "kind,id,premises,occupancy,occupant,from,to,quantum_wh,net,import_p,export_p,net_q,import_q,export_q,apparent,"
        "apparent_intervals,power_factor,measured,flagged,missing,divided,flagged_net\r\n";
    const auto add = [&](auto v) { out += ',' + std::to_string(v); };
    for (const Tenure& t : s.tenures) {
        const StatementRow& row = s.rows[t.row];
        out += std::string(word_of(row.kind)) + ',' + row.id + ',' + t.premises + ',';
        if (t.occupancy != Occupancy::unknown) out += word_of(t.occupancy);
        out += ',' + csv_cell(t.occupant) + ',';
        out += s.count() == 0 ? "," : energy::when(t.from) + ',' + energy::when(t.to);
        out += ',' + s.quantum.text();
        for (const std::int64_t v : {t.net, t.import_p, t.export_p, t.net_q, t.import_q, t.export_q}) add(v);
        if (t.both > 0) {
            add(t.apparent), add(t.both);
            out += ',';
            append_json_number(out, t.power_factor);
        } else {
            out += ",,,";
        }
        for (const std::uint64_t v : {t.measured, t.flagged, t.missing, t.divided}) add(v);
        add(t.flagged_net);
        out += "\r\n";
    }
    return out;
}

}  // namespace bln
