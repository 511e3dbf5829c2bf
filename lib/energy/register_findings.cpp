// What was not plain in cumulative registers, told once for each register and kind.
#include <algorithm>
#include <map>
#include <tuple>

#include "energy/findings.hpp"

namespace bln::energy {
namespace {

struct StepWords {
    StepKind kind;
    std::string_view code;
    Severity severity;
    Verdict verdict;
};

constexpr StepWords kinds[] = {
    {StepKind::rollover, "register-rollover", Severity::note, Verdict::right},
    {StepKind::jitter, "register-jitter", Severity::note, Verdict::right},
    {StepKind::exchange, "register-exchanged", Severity::note, Verdict::right},
    {StepKind::gap, "register-gap", Severity::warning, Verdict::wrong},
    {StepKind::backwards, "register-backwards", Severity::warning, Verdict::undecided},
    {StepKind::too_fast, "register-too-fast", Severity::warning, Verdict::undecided},
    {StepKind::too_long, "register-too-long", Severity::warning, Verdict::undecided},
};

/// Steps of one kind in one register.
struct Steps {
    const RegisterStep* first = nullptr;
    std::uint64_t count = 0;
    double wh = 0;
    Instant to = begin_of_time;
};

/// Wh of one count of a channel at an instant.
double wh_at(const Ledger& ledger, std::uint32_t channel, Instant at) {
    const LedgerPart* part = &ledger.parts.front();
    for (const LedgerPart& p : ledger.parts)
        if (p.from <= at) part = &p;
    return part->wh_per_count[channel].real();
}

}  // namespace

void judge_registers(const Inputs& in, Statement& out) {
    if (in.intervals == nullptr || in.intervals->steps().empty()) return;
    std::map<std::tuple<std::uint32_t, Quantity, StepKind>, Steps> all;
    for (const RegisterStep& s : in.intervals->steps()) {
        Steps& to = all[{s.channel, s.quantity, s.kind}];
        if (to.first == nullptr || s.from < to.first->from) to.first = &s;
        ++to.count;
        to.to = std::max(to.to, s.to);
        to.wh += static_cast<double>(s.energy) * wh_at(in.ledger, s.channel, s.from);
    }
    for (const auto& [key, steps] : all) {
        const StepKind kind = std::get<2>(key);
        const auto row =
            std::find_if(std::begin(kinds), std::end(kinds), [&](const StepWords& k) { return k.kind == kind; });
        if (row == std::end(kinds)) continue;
        Finding& f = out.report.findings.emplace_back();
        f.code = row->code;
        f.severity = row->severity;
        f.verdict = row->verdict;
        const std::string& id = in.grid.channels[std::get<0>(key)];
        f.about(Kind::channel, id);
        f.word("register", word_of(std::get<1>(key)));
        f.number("count", static_cast<double>(steps.count), "");
        f.word("at", when(steps.first->to)).word("from", when(steps.first->from)).word("to", when(steps.to));
        f.number("before", static_cast<double>(steps.first->before), "counts");
        f.number("after", static_cast<double>(steps.first->after), "counts");
        f.number("energy", steps.wh / 1000, "kWh");
        f.discriminator = word_of(std::get<1>(key));
    }
}

}  // namespace bln::energy
