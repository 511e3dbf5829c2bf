#include "plan/site_problem.hpp"

#include <algorithm>

namespace bln::plan {
namespace {

class Builder {
public:
    Builder(const View& view, const Request& request) : view_(view), request_(request) {}

    SiteProblem build() {
        out_.problem.rules = request_.rules;
        out_.circuits = circuits_to_place(view_, request_, errors_);
        choose(request_.profiles, Kind::profile, view_.profile.size(), out_.profiles);
        choose(request_.devices, Kind::device, view_.device.size(), out_.devices);
        choose(request_.ct_types, Kind::ct_type, view_.ct_type.size(), out_.ct_types);
        errors_.raise();
        find_used();
        make_units();
        errors_.raise();
        make_profiles();
        make_devices();
        make_pins();
        errors_.raise();
        return std::move(out_);
    }

private:
    void error(bln_status status, std::string message, std::string_view subject, std::string pointer = {}) {
        errors_.add({status, std::move(message), std::string(subject), std::move(pointer)});
    }

    /// Positions of the entities that the request names, or of all.
    void choose(const std::optional<std::vector<Named>>& named, Kind kind, std::size_t all,
                std::vector<std::int32_t>& out) {
        if (!named) {
            for (std::size_t i = 0; i < all; ++i) out.push_back(static_cast<std::int32_t>(i));
            return;
        }
        for (const Named& n : *named) {
            const std::int32_t at = view_.model().find(kind, n.id);
            if (at < 0)
                error(BLN_E_NO_ENTITY, "there is no " + std::string(info(kind).name) + " \"" + n.id + "\"", n.id,
                      n.pointer);
            else if (std::find(out.begin(), out.end(), at) != out.end())
                error(BLN_E_VALUE, n.id + " stands twice", n.id, n.pointer);
            else
                out.push_back(at);
        }
    }

    /// Inputs that are taken: a channel stands there that has a CT or belongs to a point.
    void find_used() {
        used_.resize(view_.device.size());
        std::vector<char> in_point(view_.channel.size(), 0);
        for (const as_of::point& p : view_.point)
            for (const Term& t : p.elements)
                if (t.ref.resolved()) in_point[static_cast<std::size_t>(t.ref.at)] = 1;
        for (std::size_t i = 0; i < view_.channel.size(); ++i) {
            const as_of::channel& c = view_.channel[i];
            if (!c.device.resolved() || !c.input) continue;
            const int input = static_cast<int>(*c.input);
            if (c.cts.empty() && in_point[i] == 0)
                out_.spare_channels.emplace(std::pair(c.device.at, input), static_cast<std::int32_t>(i));
            else
                used_[static_cast<std::size_t>(c.device.at)].push_back(input);
        }
    }

    const as_of::profile* profile_of(const as_of::device& d) const {
        return d.profile.resolved() ? &view_.profile[static_cast<std::size_t>(d.profile.at)] : nullptr;
    }

    /// Output of the CTs of a circuit: that of CTs which hang already, else the one that was asked for, else the
    /// only one that the devices and profiles of its service take.
    Output output_of(const CircuitToPlace& c, std::int32_t service) {
        Output hung = Output::unknown;
        for (const std::int32_t ct : c.cts) {
            if (ct < 0) continue;
            const Ref& type = view_.ct[static_cast<std::size_t>(ct)].type;
            if (type.resolved()) hung = view_.ct_type[static_cast<std::size_t>(type.at)].output;
        }
        if (hung != Output::unknown) return hung;
        if (request_.output != Output::unknown) return request_.output;
        Output only = Output::unknown;
        bool several = false;
        const auto see = [&](Output kind) {
            if (kind == Output::unknown) return;
            several = several || (only != Output::unknown && only != kind);
            only = kind;
        };
        for (const std::int32_t p : out_.profiles) see(view_.profile[static_cast<std::size_t>(p)].input_kind);
        for (const std::int32_t d : out_.devices) {
            const as_of::device& device = view_.device[static_cast<std::size_t>(d)];
            if (const as_of::profile* p = profile_of(device); p != nullptr && device.service.at == service)
                see(p->input_kind);
        }
        if (several && !told_) {
            told_ = true;
            error(BLN_E_VALUE, "the devices and profiles at hand take CTs of several outputs: say which by \"output\"",
                  view_.service[static_cast<std::size_t>(service)].id, "/output");
        }
        return only;
    }

    void make_units() {
        std::map<PoolKey, int> pools;
        std::map<std::pair<int, int>, int> blocks;
        for (const CircuitToPlace& c : out_.circuits) {
            const as_of::circuit& circuit = view_.circuit[static_cast<std::size_t>(c.circuit)];
            PoolKey key{service_of(view_, c.circuit).at, Output::unknown, -1};
            key.output = output_of(c, key.service);
            if (request_.one_panel_per_device) key.panel = circuit.panel.at;
            const auto [pool, fresh] = pools.emplace(key, static_cast<int>(out_.pools.size()));
            if (fresh) out_.pools.push_back(key);
            int block = -1;
            if (c.point >= 0 && !request_.split_points)
                block = blocks.emplace(std::pair(c.point, pool->second), static_cast<int>(blocks.size())).first->second;
            out_.problem.units.push_back({circuit.id, static_cast<int>(c.elements.size()), pool->second, block});
        }
    }

    /// Whether a profile can measure every circuit of a pool.
    [[nodiscard]] bool serves(const as_of::profile& p, std::size_t pool) const {
        const PoolKey& key = out_.pools[pool];
        if (p.input_kind != Output::unknown && key.output != Output::unknown && p.input_kind != key.output)
            return false;
        const as_of::service& service = view_.service[static_cast<std::size_t>(key.service)];
        for (std::size_t i = 0; i < out_.circuits.size(); ++i) {
            if (out_.problem.units[i].pool != static_cast<int>(pool)) continue;
            const CircuitToPlace& c = out_.circuits[i];
            for (std::size_t e = 0; e < c.elements.size(); ++e) {
                if (!has_terminal(p, c.elements[e].on) || !has_terminal(p, c.elements[e].common)) return false;
                const std::optional<double> volts = nominal_volts(service, c.elements[e]);
                if (volts && p.volts_ln_min && *volts < *p.volts_ln_min) return false;
                if (volts && p.volts_ln_max && *volts > *p.volts_ln_max) return false;
                if (c.cts[e] < 0 && !view_.ct_type.empty() &&
                    choose_ct_type(view_, out_.ct_types, key.output,
                                   view_.circuit[static_cast<std::size_t>(c.circuit)].breaker_amps, p.full_scale) < 0)
                    return false;
            }
        }
        return true;
    }
    static bool has_terminal(const as_of::profile& p, Conductor c) {
        return p.references.empty() ||
               std::find(p.references.begin(), p.references.end(), word_of(c)) != p.references.end();
    }
    [[nodiscard]] bool serves(std::int32_t profile, std::size_t pool) {
        const auto [at, fresh] = serves_.emplace(std::pair(profile, pool), false);
        if (fresh) at->second = serves(view_.profile[static_cast<std::size_t>(profile)], pool);
        return at->second;
    }

    void make_profiles() {
        std::vector<std::int32_t> kept;
        for (const std::int32_t at : out_.profiles) {
            const as_of::profile& p = view_.profile[static_cast<std::size_t>(at)];
            ProfileChoice choice{p.id, groups_of(p), {}};
            if (choice.groups.empty()) continue;
            for (std::size_t pool = 0; pool < out_.pools.size(); ++pool)
                if (serves(at, pool)) choice.pools.push_back(static_cast<int>(pool));
            if (choice.pools.empty()) continue;
            kept.push_back(at);
            out_.problem.profiles.push_back(std::move(choice));
        }
        out_.profiles = std::move(kept);
    }

    /// Panel that a device serves: of the circuits it measures already, else of the circuit that feeds it.
    std::vector<std::int32_t> panels_of_devices() const {
        std::vector<std::int32_t> out(view_.device.size(), -1);
        for (std::size_t d = 0; d < out.size(); ++d)
            if (const Ref& supply = view_.device[d].supply; supply.resolved())
                out[d] = view_.circuit[static_cast<std::size_t>(supply.at)].panel.at;
        for (const as_of::channel& c : view_.channel)
            for (const Term& t : c.cts) {
                if (!c.device.resolved() || !t.ref.resolved()) continue;
                for (const Pass& pass : view_.ct[static_cast<std::size_t>(t.ref.at)].passes)
                    if (pass.circuit.resolved())
                        out[static_cast<std::size_t>(c.device.at)] =
                            view_.circuit[static_cast<std::size_t>(pass.circuit.at)].panel.at;
            }
        return out;
    }

    void make_devices() {
        const std::vector<std::int32_t> panels = panels_of_devices();
        std::vector<std::int32_t> kept;
        for (const std::int32_t at : out_.devices) {
            const as_of::device& d = view_.device[static_cast<std::size_t>(at)];
            const as_of::profile* p = profile_of(d);
            if (p == nullptr) continue;
            PlacedDevice device{d.id, groups_of(*p), -1, {}, {}};
            if (device.groups.empty()) continue;
            int inputs = 0;
            for (const int g : device.groups) inputs += g;
            for (const int i : used_[static_cast<std::size_t>(at)])
                if (i <= inputs) device.used.push_back(i);
            for (std::size_t pool = 0; pool < out_.pools.size() && device.pool < 0; ++pool) {
                const PoolKey& key = out_.pools[pool];
                if (d.service.at != key.service) continue;
                if (key.panel >= 0 && panels[static_cast<std::size_t>(at)] != key.panel) continue;
                if (serves(d.profile.at, pool)) device.pool = static_cast<int>(pool);
            }
            device_at_.emplace(d.id, kept.size());
            kept.push_back(at);
            out_.problem.devices.push_back(std::move(device));
        }
        out_.devices = std::move(kept);
    }

    /// Position of a device that the request speaks of.
    std::optional<std::size_t> device(const Named& n) {
        const auto found = device_at_.find(n.id);
        if (found != device_at_.end()) return found->second;
        const bool there = view_.model().find(Kind::device, n.id) >= 0;
        error(there ? BLN_E_VALUE : BLN_E_NO_ENTITY,
              there ? "device " + n.id + " may not be used, or its profile does not say what inputs it has"
                    : "there is no device \"" + n.id + "\"",
              n.id, n.pointer);
        return std::nullopt;
    }
    void check_inputs(std::size_t device, const std::vector<int>& inputs, const Named& at) {
        int all = 0;
        for (const int g : out_.problem.devices[device].groups) all += g;
        for (const int i : inputs)
            if (i > all)
                error(BLN_E_VALUE, at.id + ": there is no input " + std::to_string(i) + " on the device", at.id,
                      at.pointer);
    }

    void make_pins() {
        std::map<std::string_view, std::size_t> units;
        for (std::size_t i = 0; i < out_.problem.units.size(); ++i) units.emplace(out_.problem.units[i].id, i);
        for (const PinWish& wish : request_.pins) {
            const auto unit = units.find(wish.circuit.id);
            const std::optional<std::size_t> at = device(wish.device);
            if (unit == units.end()) {
                error(BLN_E_VALUE, "circuit " + wish.circuit.id + " is pinned, and is not to be placed",
                      wish.circuit.id, wish.circuit.pointer);
                continue;
            }
            if (!wish.inputs.empty() && wish.inputs.size() != out_.circuits[unit->second].elements.size())
                error(BLN_E_VALUE,
                      "circuit " + wish.circuit.id + " needs " +
                          std::to_string(out_.circuits[unit->second].elements.size()) + " inputs, and " +
                          std::to_string(wish.inputs.size()) + " are pinned",
                      wish.circuit.id, wish.circuit.pointer);
            if (!at) continue;
            check_inputs(*at, wish.inputs, wish.circuit);
            out_.problem.pins.push_back({unit->second, *at, wish.inputs});
        }
        for (const Reservation& r : request_.reserved)
            if (const std::optional<std::size_t> at = device(r.device)) {
                check_inputs(*at, r.inputs, r.device);
                std::vector<int>& reserved = out_.problem.devices[*at].reserved;
                reserved.insert(reserved.end(), r.inputs.begin(), r.inputs.end());
            }
    }

    const View& view_;
    const Request& request_;
    ErrorList errors_;
    SiteProblem out_;
    std::vector<std::vector<int>> used_;  // by device of the view
    std::map<std::pair<std::int32_t, std::size_t>, bool> serves_;
    std::map<std::string_view, std::size_t> device_at_;
    bool told_ = false;
};

}  // namespace

std::vector<int> groups_of(const as_of::profile& profile) {
    constexpr std::int64_t most = 10'000;
    std::vector<int> out;
    std::int64_t all = 0;
    for (const std::int64_t g : profile.groups) {
        all += g;
        // More inputs than any device has: the record is wrong, and says nothing that could be counted on.
        if (all > most) return {};
        out.push_back(static_cast<int>(g));
    }
    if (out.empty() && profile.inputs) out.push_back(static_cast<int>(*profile.inputs));
    return out;
}

SiteProblem site_problem(const View& view, const Request& request) { return Builder(view, request).build(); }

}  // namespace bln::plan
