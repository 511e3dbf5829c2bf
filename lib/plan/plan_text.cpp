// A plan in words and as JSON.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "plan/plan.hpp"
#include "site/json_text.hpp"

namespace bln::plan {
namespace {

constexpr std::pair<ConstraintKind, std::string_view> words[] = {{ConstraintKind::room, "room"},
                                                                 {ConstraintKind::devices, "devices"},
                                                                 {ConstraintKind::most_new_devices, "most_new_devices"},
                                                                 {ConstraintKind::spare_percent, "spare_percent"},
                                                                 {ConstraintKind::spare_per_device, "spare_per_device"},
                                                                 {ConstraintKind::whole_groups, "whole_connectors"},
                                                                 {ConstraintKind::whole_points, "whole_points"},
                                                                 {ConstraintKind::reserved, "reserved"},
                                                                 {ConstraintKind::pin, "pin"}};

void member(std::string& to, std::string_view key, std::string_view text) {
    if (to.back() != '{') to += ", ";
    append_json_string(to, key);
    to += ": ";
    append_json_string(to, text);
}
void member(std::string& to, std::string_view key, std::int64_t n) {
    if (to.back() != '{') to += ", ";
    fmt::format_to(std::back_inserter(to), "\"{}\": {}", key, n);
}
void truth(std::string& to, std::string_view key, bool yes) {
    if (to.back() != '{') to += ", ";
    fmt::format_to(std::back_inserter(to), "\"{}\": {}", key, yes);
}

template <class List, class One>
void list(std::string& to, std::string_view key, const List& items, One&& one) {
    fmt::format_to(std::back_inserter(to), ",\n  \"{}\": [", key);
    bool first = true;
    for (const auto& item : items) {
        to += first ? "\n    {" : ",\n    {";
        first = false;
        one(item);
        to += '}';
    }
    to += first ? "]" : "\n  ]";
}

/// Rows of each device by input.
std::map<std::string_view, std::vector<const PlanRow*>> by_device(const Plan& plan) {
    std::map<std::string_view, std::vector<const PlanRow*>> out;
    for (const PlanRow& row : plan.rows) out[row.device].push_back(&row);
    for (auto& [device, rows] : out)
        std::sort(rows.begin(), rows.end(), [](const PlanRow* a, const PlanRow* b) { return a->input < b->input; });
    return out;
}

}  // namespace

std::string_view word_of(ConstraintKind kind) noexcept {
    for (const auto& [k, word] : words)
        if (k == kind) return word;
    return "unknown";
}

std::string plan_json(const Plan& plan, std::string_view library_version) {
    std::string out = "{\n  \"blondel_plan\": \"1\"";
    const auto top = [&](std::string_view key, std::string_view text) {
        fmt::format_to(std::back_inserter(out), ",\n  \"{}\": ", key);
        append_json_string(out, text);
    };
    top("library", library_version);
    top("site_sha256", plan.site_sha256);
    top("request_sha256", plan.request_sha256);
    fmt::format_to(std::back_inserter(out), ",\n  \"found\": {},\n  \"proven\": {},\n  \"wishes_proven\": {}",
                   plan.found, plan.proven, plan.wishes_proven);
    list(out, "devices", plan.devices, [&](const PlanDevice& d) {
        member(out, "id", d.id);
        member(out, "profile", d.profile);
        member(out, "service", d.service);
        truth(out, "added", d.added);
        member(out, "inputs", d.inputs);
        member(out, "placed", d.placed);
        member(out, "free", d.free);
    });
    list(out, "rows", plan.rows, [&](const PlanRow& r) {
        member(out, "point", r.point);
        member(out, "panel", r.panel);
        member(out, "circuit", r.circuit);
        member(out, "pole", r.pole);
        member(out, "conductor", r.conductor);
        member(out, "device", r.device);
        member(out, "connector", r.connector);
        member(out, "input", r.input);
        member(out, "channel", r.channel);
        member(out, "reference", bln::word_of(r.reference));
        member(out, "ct", r.ct);
        member(out, "ct_type", r.ct_type);
        truth(out, "new_point", r.new_point);
        truth(out, "new_channel", r.new_channel);
        truth(out, "new_ct", r.new_ct);
    });
    list(out, "conflicts", plan.conflicts, [&](const PlanConflict& c) {
        member(out, "kind", word_of(c.kind));
        member(out, "subject", c.subject);
        member(out, "words", c.words);
    });
    return out + "\n}\n";
}

std::string plan_text(const Plan& plan) {
    std::string out;
    const auto to = std::back_inserter(out);
    if (!plan.found) {
        fmt::format_to(to, "Nothing fits. These cannot be met together{}:\n",
                       plan.proven ? "" : " (a smaller set may exist; the search was cut short)");
        for (const PlanConflict& c : plan.conflicts) fmt::format_to(to, "  - {}\n", c.words);
        return out;
    }
    const auto added =
        std::count_if(plan.devices.begin(), plan.devices.end(), [](const PlanDevice& d) { return d.added; });
    fmt::format_to(to, "{} channels on {} device{}, {} of them new; {}.\n", plan.rows.size(), plan.devices.size(),
                   plan.devices.size() == 1 ? "" : "s", added,
                   plan.proven ? "no fewer would do" : "whether fewer would do was not proven");
    const auto rows = by_device(plan);
    for (const PlanDevice& d : plan.devices) {
        fmt::format_to(to, "\n{}: profile {}, {} inputs, {} to wire, {} stay free{}\n", d.id, d.profile, d.inputs,
                       d.placed, d.free, d.added ? " (new)" : "");
        const auto mine = rows.find(d.id);
        if (mine == rows.end()) continue;
        for (const PlanRow* r : mine->second)
            fmt::format_to(to, "  connector {} input {:>3}  {} pole {} ({})  {}  {}\n", r->connector, r->input,
                           r->circuit, r->pole, r->conductor, bln::word_of(r->reference),
                           r->ct_type.empty() ? "CT to be chosen" : "CT " + r->ct_type);
    }
    return out;
}

}  // namespace bln::plan
