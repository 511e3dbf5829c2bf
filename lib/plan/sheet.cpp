#include "plan/sheet.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "plan/cautions.hpp"
#include "plan/site_problem.hpp"
#include "site/topology.hpp"

namespace bln::plan {
namespace {

class SheetMaker {
public:
    SheetMaker(const View& view, const SheetOptions& options) : view_(view), options_(options) {
        point_of_.assign(view.channel.size(), -1);
        for (std::size_t p = 0; p < view.point.size(); ++p)
            for (const Term& t : view.point[p].elements)
                if (t.ref.resolved()) point_of_[static_cast<std::size_t>(t.ref.at)] = static_cast<std::int32_t>(p);
    }

    Sheet make() {
        // Panels and devices in the order of the record; what has no panel comes last.
        std::map<std::pair<std::int32_t, std::int32_t>, std::vector<SheetRow>> rows;
        for (std::size_t c = 0; c < view_.channel.size(); ++c) {
            const as_of::channel& channel = view_.channel[c];
            if (!channel.device.resolved() || !wanted(c)) continue;
            if (channel.cts.empty() && point_of_[c] < 0) continue;  // a spare input
            if (channel.cts.empty()) add(rows, row_of(c, nullptr));
            for (const Term& t : channel.cts) add(rows, row_of(c, &t));
        }
        Sheet out;
        out.title = options_.title;
        if (out.title.empty()) out.title = view_.site.front().name;
        out.cautions = general_cautions();
        for (auto& [place, list] : rows) {
            const std::int32_t panel = place.first == last_panel ? -1 : place.first;
            if (out.panels.empty() || out.panels.back().panel != panel) out.panels.push_back({panel, {}, {}});
            std::stable_sort(list.begin(), list.end(),
                             [](const SheetRow& a, const SheetRow& b) { return a.input < b.input; });
            out.panels.back().devices.push_back({place.second, std::move(list)});
        }
        for (SheetPanel& p : out.panels) p.cautions = panel_cautions(view_, p);
        materials(out);
        return out;
    }

private:
    static constexpr std::int32_t last_panel = 0x7fffffff;

    void add(std::map<std::pair<std::int32_t, std::int32_t>, std::vector<SheetRow>>& rows, const SheetRow& row) {
        const std::int32_t panel = row.circuit < 0 ? -1 : view_.circuit[static_cast<std::size_t>(row.circuit)].panel.at;
        if (options_.some_panels &&
            (panel < 0 || !has(options_.panels, view_.panel[static_cast<std::size_t>(panel)].id)))
            return;
        const std::int32_t device = view_.channel[static_cast<std::size_t>(row.channel)].device.at;
        rows[{panel < 0 ? last_panel : panel, device}].push_back(row);
    }
    static bool has(const std::vector<std::string>& list, std::string_view id) {
        return std::binary_search(list.begin(), list.end(), id);
    }
    [[nodiscard]] bool wanted(std::size_t channel) const {
        if (options_.some_devices && !has(options_.devices, view_.channel[channel].device.id)) return false;
        if (!options_.some_points) return true;
        return point_of_[channel] >= 0 &&
               has(options_.points, view_.point[static_cast<std::size_t>(point_of_[channel])].id);
    }

    SheetRow row_of(std::size_t at, const Term* term) const {
        const as_of::channel& channel = view_.channel[at];
        SheetRow row;
        row.channel = static_cast<std::int32_t>(at);
        row.point = point_of_[at];
        row.input = channel.input ? static_cast<int>(*channel.input) : 0;
        row.connector = connector(channel.device.at, row.input);
        if (channel.reference != Reference::unknown) row.reference = bln::word_of(channel.reference);
        if (term == nullptr || !term->ref.resolved()) {
            if (row.point >= 0)
                if (const auto circuits = view_.point[static_cast<std::size_t>(row.point)].circuits;
                    circuits.size() == 1)
                    row.circuit = circuits[0].at;
            return row;
        }
        row.ct = term->ref.at;
        row.exchanged = term->weight < Rational(0);
        const as_of::ct& ct = view_.ct[static_cast<std::size_t>(row.ct)];
        Side faces = ct.mark_faces;
        if (faces == Side::unknown && ct.type.resolved())
            faces = view_.ct_type[static_cast<std::size_t>(ct.type.at)].mark_faces;
        if (faces != Side::unknown) row.faces = bln::word_of(faces);
        if (ct.passes.empty() || !ct.passes[0].circuit.resolved()) return row;
        row.circuit = ct.passes[0].circuit.at;
        const as_of::circuit& circuit = view_.circuit[static_cast<std::size_t>(row.circuit)];
        const PolePhases poles = pole_phases(view_, row.circuit);
        row.pole = ct.passes[0].pole < 0 && pole_count(circuit) == 1 ? 1 : std::max(ct.passes[0].pole, 0);
        if (ct.passes[0].pole == 0) row.conductor = "N";
        if (row.pole >= 1 && row.pole <= poles.count && poles.pole[static_cast<std::size_t>(row.pole - 1)].known())
            row.conductor = bln::word_of(poles.pole[static_cast<std::size_t>(row.pole - 1)].phase);
        if (row.pole >= 1 && static_cast<std::size_t>(row.pole) <= circuit.spaces.size())
            row.space = circuit.spaces[static_cast<std::size_t>(row.pole - 1)];
        return row;
    }

    [[nodiscard]] int connector(std::int32_t device, int input) const {
        const Ref& profile = view_.device[static_cast<std::size_t>(device)].profile;
        if (!profile.resolved() || input < 1) return 0;
        int connector = 1;
        for (const int g : groups_of(view_.profile[static_cast<std::size_t>(profile.at)])) {
            if (input <= g) return connector;
            input -= g;
            ++connector;
        }
        return 0;
    }

    void materials(Sheet& out) const {
        std::map<std::int32_t, std::int64_t> cts, profiles;
        std::vector<std::int32_t> seen, devices;
        for (const SheetPanel& p : out.panels)
            for (const SheetDevice& d : p.devices) {
                devices.push_back(d.device);
                for (const SheetRow& r : d.rows)
                    if (r.ct >= 0) seen.push_back(r.ct);
            }
        const auto unique = [](std::vector<std::int32_t>& v) {
            std::sort(v.begin(), v.end());
            v.erase(std::unique(v.begin(), v.end()), v.end());
        };
        unique(seen);
        unique(devices);
        for (const std::int32_t ct : seen) ++cts[view_.ct[static_cast<std::size_t>(ct)].type.at];
        for (const std::int32_t d : devices) ++profiles[view_.device[static_cast<std::size_t>(d)].profile.at];
        for (const auto& [type, n] : cts) {
            const double spare = std::ceil(static_cast<double>(n) * options_.spare_percent / 100 - 1e-9);
            out.cts.push_back({type, n, static_cast<std::int64_t>(spare)});
        }
        for (const auto& [profile, n] : profiles)
            if (profile >= 0) out.profiles.push_back({profile, n, 0});
    }

    const View& view_;
    const SheetOptions& options_;
    std::vector<std::int32_t> point_of_;
};

}  // namespace

Sheet make_sheet(const View& view, const SheetOptions& options) { return SheetMaker(view, options).make(); }

}  // namespace bln::plan
