#include "proof/rows.hpp"

#include <algorithm>
#include <cmath>

namespace bln::proof {
namespace {

Finding& add(Report& report, std::string_view code, Severity severity, Verdict verdict) {
    Finding& f = report.findings.emplace_back();
    f.code = code;
    f.severity = severity;
    f.verdict = verdict;
    return f;
}

}  // namespace

SortedRows sort_rows(const View& view, const Readings& readings, double percent, Report& report) {
    SortedRows out;
    out.of_channel.resize(view.channel.size());
    out.spoiled.resize(view.channel.size());
    out.contradicts.resize(readings.rows().size());
    std::vector<std::int32_t> known;
    for (const std::string& id : readings.channels()) {
        known.push_back(view.model().find(Kind::channel, id));
        if (known.back() < 0)
            add(report, "reading-channel-unknown", Severity::error, Verdict::wrong).about(Kind::channel, id);
    }
    for (std::size_t i = 0; i < readings.rows().size(); ++i) {
        const Reading& r = readings.rows()[i];
        if (known[r.channel] < 0) {
            ++out.unknown;
            continue;
        }
        out.of_channel[static_cast<std::size_t>(known[r.channel])].push_back(i);
        const auto s = r.has(Measured::volt_amps) ? r.of(Measured::volt_amps)
                       : r.has(Measured::volts) && r.has(Measured::amps)
                           ? std::optional<double>(*r.of(Measured::volts) * *r.of(Measured::amps))
                           : std::nullopt;
        if (const auto p = r.of(Measured::watts); p && s && std::abs(*p) > *s * (1 + percent / 100) + 1) {
            out.contradicts[i] = true;
            Finding& f = add(report, "power-above-apparent", Severity::error, Verdict::wrong);
            f.about(Kind::channel, readings.channels()[r.channel]);
            f.number("measured", std::abs(*p), "W").number("limit", *s, "VA");
            f.number("row", static_cast<double>(i + 1), "");
            f.discriminator = std::to_string(i + 1);
        }
    }
    for (std::size_t c = 0; c < out.of_channel.size(); ++c) {
        std::vector<std::size_t>& rows = out.of_channel[c];
        std::stable_sort(rows.begin(), rows.end(),
                         [&](std::size_t a, std::size_t b) { return readings.rows()[a].at < readings.rows()[b].at; });
        std::size_t same = 0;
        bool contradicts = false;
        std::vector<std::size_t> kept;
        for (std::size_t i = 0; i < rows.size();) {
            std::size_t j = i + 1;
            const Reading& first = readings.rows()[rows[i]];
            bool differ = false;
            for (; j < rows.size() && readings.rows()[rows[j]].at == first.at; ++j) {
                const Reading& other = readings.rows()[rows[j]];
                differ = differ || other.given != first.given || other.value != first.value;
                ++same;
            }
            if (!differ) kept.push_back(rows[i]);
            contradicts = contradicts || differ;
            i = j;
        }
        out.spoiled[c] = contradicts;
        if (same > 0) {
            Finding& f =
                add(report, contradicts ? "reading-contradicted" : "reading-repeated",
                    contradicts ? Severity::error : Severity::note, contradicts ? Verdict::wrong : Verdict::right);
            f.about(Kind::channel, view.channel[c].id).number("count", static_cast<double>(same), "");
        }
        rows = std::move(kept);
    }
    return out;
}

}  // namespace bln::proof
