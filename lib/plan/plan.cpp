#include "plan/plan.hpp"

#include <fmt/format.h>
#include <algorithm>
#include <unordered_set>

#include "plan/site_problem.hpp"
#include "site/canonical.hpp"
#include "site/json_tree.hpp"
#include "site/sha256.hpp"
#include "site/writer.hpp"

namespace bln::plan {
namespace {

/// Ids that are not in the record.
class NewIds {
public:
    explicit NewIds(const Model& model) : model_(model) {}
    /// "meter-1", "meter-2" and so on, whichever is the first that is not taken.
    std::string next_device() {
        while (true)
            if (std::string id = "meter-" + std::to_string(++devices_); free(Kind::device, id)) return id;
    }
    /// @p wanted, or with a number behind it where that is taken or no id.
    std::string make(Kind kind, const std::string& wanted, std::string_view otherwise) {
        if (valid_id(wanted) && free(kind, wanted)) return wanted;
        const std::string base = wanted.size() <= 56 && valid_id(wanted) ? wanted : std::string(otherwise);
        for (int n = 2;; ++n)
            if (std::string id = base + "-" + std::to_string(n); free(kind, id)) return id;
    }

private:
    bool free(Kind kind, const std::string& id) {
        return model_.find(kind, id) < 0 && taken_.insert(std::string(info(kind).name) + ":" + id).second;
    }
    const Model& model_;
    std::unordered_set<std::string> taken_;
    int devices_ = 0;
};

int connector_of(const std::vector<int>& groups, int input) {
    int connector = 1;
    for (const int g : groups) {
        if (input <= g) break;
        input -= g;
        ++connector;
    }
    return connector;
}

class Outcome {
public:
    Outcome(Plan& plan, const SiteProblem& problem, const Allocation& allocation)
        : plan_(plan), view_(*plan.view), site_(problem), allocation_(allocation), ids_(view_.model()) {}

    void placements() {
        devices();
        for (std::size_t u = 0; u < site_.circuits.size(); ++u) unit(u);
        for (PlanDevice& d : plan_.devices) d.free -= d.placed;
        // Devices at hand that got nothing say nothing to a reader.
        std::erase_if(plan_.devices, [](const PlanDevice& d) { return d.placed == 0 && !d.added; });
    }

    void conflicts() {
        for (const Constraint& c : allocation_.conflict) plan_.conflicts.push_back(told(c));
    }

private:
    void devices() {
        for (std::size_t i = 0; i < site_.devices.size(); ++i) {
            const as_of::device& d = view_.device[static_cast<std::size_t>(site_.devices[i])];
            const PlacedDevice& placed = site_.problem.devices[i];
            std::vector<int> used = placed.used;
            std::sort(used.begin(), used.end());
            used.erase(std::unique(used.begin(), used.end()), used.end());
            const int inputs = all(placed.groups);
            plan_.devices.push_back({std::string(d.id), std::string(d.profile.id), std::string(d.service.id), false,
                                     inputs, 0, inputs - static_cast<int>(used.size())});
            groups_.push_back(&placed.groups);
        }
        std::size_t named = 0;
        for (const NewDevice& d : allocation_.added) {
            const ProfileChoice& profile = site_.problem.profiles[d.profile];
            const PoolKey& pool = site_.pools[static_cast<std::size_t>(d.pool)];
            std::string id = named < plan_.request.device_ids.size()
                                 ? ids_.make(Kind::device, plan_.request.device_ids[named++], "meter")
                                 : ids_.next_device();
            const int inputs = all(profile.groups);
            plan_.devices.push_back({std::move(id), std::string(profile.id),
                                     std::string(view_.service[static_cast<std::size_t>(pool.service)].id), true,
                                     inputs, 0, inputs});
            groups_.push_back(&profile.groups);
        }
    }

    static int all(const std::vector<int>& groups) {
        int n = 0;
        for (const int g : groups) n += g;
        return n;
    }

    void unit(std::size_t u) {
        const CircuitToPlace& c = site_.circuits[u];
        const as_of::circuit& circuit = view_.circuit[static_cast<std::size_t>(c.circuit)];
        const Placement& placement = allocation_.placements[u];
        const auto at = static_cast<std::size_t>(placement.device);
        PlanDevice& device = plan_.devices[at];
        const bool fresh_point = c.point < 0;
        const std::string point = fresh_point ? ids_.make(Kind::point, std::string(circuit.id), "point")
                                              : std::string(view_.point[static_cast<std::size_t>(c.point)].id);
        const auto first = placement.inputs.begin();
        std::vector<int> inputs(first, first + static_cast<std::ptrdiff_t>(c.elements.size()));
        std::sort(inputs.begin(), inputs.end());
        for (std::size_t e = 0; e < c.elements.size(); ++e) {
            PlanRow row;
            row.point = point;
            row.new_point = fresh_point;
            row.circuit = circuit.id;
            row.panel = circuit.panel.id;
            row.device = device.id;
            row.pole = c.elements[e].pole;
            row.conductor = bln::word_of(c.elements[e].on);
            row.reference = c.elements[e].reference;
            row.input = inputs[e];
            row.connector = connector_of(*groups_[at], row.input);
            channel(row, at);
            ct(row, c, e, at);
            plan_.rows.push_back(std::move(row));
            ++device.placed;
        }
    }

    void channel(PlanRow& row, std::size_t device) {
        if (device < site_.devices.size()) {
            const auto spare = site_.spare_channels.find({site_.devices[device], row.input});
            if (spare != site_.spare_channels.end()) {
                row.channel = view_.channel[static_cast<std::size_t>(spare->second)].id;
                return;
            }
        }
        row.new_channel = true;
        row.channel = ids_.make(Kind::channel, fmt::format("{}-{:02}", row.device, row.input), "channel");
    }

    void ct(PlanRow& row, const CircuitToPlace& c, std::size_t e, std::size_t device) {
        if (c.cts[e] >= 0) {
            const as_of::ct& hung = view_.ct[static_cast<std::size_t>(c.cts[e])];
            row.ct = hung.id;
            row.ct_type = hung.type.id;
            return;
        }
        const std::int32_t profile = device < site_.devices.size()
                                         ? view_.device[static_cast<std::size_t>(site_.devices[device])].profile.at
                                         : site_.profiles[allocation_.added[device - site_.devices.size()].profile];
        const PoolKey& pool = site_.pools[static_cast<std::size_t>(site_.problem.units[unit_of(row.circuit)].pool)];
        const std::int32_t type = choose_ct_type(view_, site_.ct_types, pool.output,
                                                 view_.circuit[static_cast<std::size_t>(c.circuit)].breaker_amps,
                                                 view_.profile[static_cast<std::size_t>(profile)].full_scale);
        if (type < 0) return;  // a record without CT types: the CT is left open
        row.new_ct = true;
        row.ct_type = view_.ct_type[static_cast<std::size_t>(type)].id;
        row.ct = ids_.make(Kind::ct, row.circuit + "." + std::string(row.conductor), "ct");
    }
    std::size_t unit_of(std::string_view circuit) {
        // Rows come unit by unit.
        while (site_.problem.units[last_unit_].id != circuit) ++last_unit_;
        return last_unit_;
    }

    PlanConflict told(const Constraint& c) const {
        const AllocationRules& rules = site_.problem.rules;
        const auto unit = [&](std::size_t i) { return std::string(site_.problem.units[i].id); };
        const auto device = [&](std::size_t i) { return std::string(site_.problem.devices[i].id); };
        switch (c.kind) {
            case ConstraintKind::room: {
                const as_of::circuit& circuit = view_.circuit[static_cast<std::size_t>(site_.circuits[c.at].circuit)];
                std::string words = fmt::format(
                    "no device and no profile takes circuit {} ({} inputs): look at service, CT output, voltage "
                    "terminals, voltage range and number of inputs",
                    unit(c.at), site_.circuits[c.at].elements.size());
                if (circuit.breaker_amps)
                    words += fmt::format("; and there must be a CT type of at least {} A", *circuit.breaker_amps);
                return {c.kind, unit(c.at), words};
            }
            case ConstraintKind::devices:
                return {c.kind,
                        {},
                        "the devices at hand have too few free inputs, and no profile may be added that serves all of "
                        "the rest"};
            case ConstraintKind::most_new_devices:
                return {c.kind, {}, fmt::format("at most {} devices are added", rules.most_new_devices)};
            case ConstraintKind::spare_percent:
                return {c.kind, {}, fmt::format("{} % of all inputs stay free", rules.spare_percent)};
            case ConstraintKind::spare_per_device:
                return {c.kind,
                        {},
                        fmt::format("the last {} inputs of every added device stay free", rules.spare_per_device)};
            case ConstraintKind::whole_groups:
                return {c.kind, {}, "no circuit straddles two connectors"};
            case ConstraintKind::whole_points:
                return {c.kind, {}, "all circuits of a point are on one device"};
            case ConstraintKind::reserved:
                return {c.kind, device(c.at),
                        fmt::format("reserved inputs of device {} stay free: {}", device(c.at),
                                    fmt::join(site_.problem.devices[c.at].reserved, ", "))};
            default: {
                const Pin& pin = site_.problem.pins[c.at];
                std::string words =
                    fmt::format("circuit {} is pinned to device {}", unit(pin.unit), device(pin.device));
                if (!pin.inputs.empty())
                    words += fmt::format(", input{} {}", pin.inputs.size() > 1 ? "s" : "", fmt::join(pin.inputs, ", "));
                return {c.kind, unit(pin.unit), words};
            }
        }
    }

    Plan& plan_;
    const View& view_;
    const SiteProblem& site_;
    const Allocation& allocation_;
    NewIds ids_;
    std::vector<const std::vector<int>*> groups_;
    std::size_t last_unit_ = 0;
};

}  // namespace

Plan make_plan(std::shared_ptr<const View> view, std::string_view request) {
    Plan plan;
    plan.view = std::move(view);
    plan.request = Request::read(request);
    const SiteProblem problem = site_problem(*plan.view, plan.request);
    const Allocation allocation = allocate(problem.problem);
    plan.found = allocation.found;
    plan.proven = allocation.proven;
    plan.wishes_proven = allocation.wishes_proven;
    Outcome outcome(plan, problem, allocation);
    if (plan.found)
        outcome.placements();
    else
        outcome.conflicts();
    plan.site_sha256 = sha256_text(write_site(plan.view->model(), JsonStyle::canonical));
    const auto when = [](Instant at) { return std::to_string(at); };
    plan.request_sha256 = sha256_text(plan.site_sha256 + "\n" + when(plan.view->valid()) + "\n" +
                                      when(plan.view->known()) + "\n" + plan.request.canonical);
    return plan;
}

}  // namespace bln::plan
