#include "generated_site.hpp"

#include <array>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

namespace support {
namespace {

struct ServiceRow {
    const char* kind;
    const char* phases;  ///< of the bus, row by row
    bool neutral;
    double volts_ln, volts_ll;  ///< 0: the service has no such voltage
};

// Nominal systems in use: common practice, no source.
constexpr std::array<ServiceRow, 7> services{{
    {"single_phase_two_wire", "A", true, 230, 0},
    {"single_phase_three_wire", "AB", true, 120, 240},
    {"two_legs_of_wye", "AB", true, 120, 208},
    {"four_wire_wye", "ABC", true, 277, 480},
    {"three_wire_delta", "ABC", false, 0, 480},
    {"high_leg_delta", "ABC", true, 120, 240},
    {"corner_grounded_delta", "ABC", false, 0, 240},
}};
constexpr int rows_of_panel = 23;     // ours; no maker's count
constexpr int inputs_of_device = 34;  // ours; no maker's count; two connectors

using Terms = std::vector<std::pair<std::string, std::int64_t>>;

class Builder {
public:
    explicit Builder(std::uint32_t seed) : random_(seed * 2654435761U + 1) {
        bln_error* err = nullptr;
        done(bln_draft_new(&draft_, &err), err);
        text(BLN_KIND_SITE, "", "name", "generated");
        profile("four-terminals", {"A", "B", "C", "N"});
        profile("three-terminals", {"A", "B", "C"});
        for (const std::int64_t primary : {60, 120, 240, 1200}) add_type("T" + std::to_string(primary), primary);
        add(BLN_KIND_PREMISES, "house");
        text(BLN_KIND_PREMISES, "house", "occupancy", "common");
        instant("E1", "at", 1767225600000000);
        text(BLN_KIND_EVIDENCE, "E1", "what", "inspection");
        for (std::size_t s = 0; s < services.size(); ++s) add_service(s);
    }
    void add_points(std::size_t n) {
        for (std::size_t i = 0; i < n; ++i) add_point(i, i % services.size());
        for (std::size_t s = 0; s < services.size(); ++s) add_rollup(s);
    }
    [[nodiscard]] bln_draft* take() const { return draft_; }

private:
    struct State {
        std::string id, panel, bus, device;
        int panels = 0, devices = 0;
        int row = rows_of_panel, column = 1;  ///< next free row; both columns full: a new panel
        int input = inputs_of_device;         ///< last used input; full: a new device
        Terms points;
    };
    struct Pole {
        char phase;
        int number;
    };

    static void done(bln_status status, bln_error* err) {
        if (status == BLN_OK) return;
        std::fprintf(stderr, "generated site: %s\n", bln_error_message(err, 0));
        std::exit(2);
    }
    std::uint32_t draw(std::uint32_t below) {  // a linear congruential generator: the same everywhere
        random_ = random_ * 1664525U + 1013904223U;
        return (random_ >> 8U) % below;
    }

    // ---- setters -----------------------------------------------------------------------------
    void add(bln_kind kind, const std::string& id) {
        bln_error* err = nullptr;
        done(bln_draft_add(draft_, kind, id.c_str(), &err), err);
    }
    void text(bln_kind kind, const std::string& id, const char* field, const std::string& value) {
        bln_error* err = nullptr;
        done(bln_draft_set_text(draft_, kind, id.c_str(), field, value.c_str(), nullptr, &err), err);
    }
    void instant(const std::string& id, const char* field, std::int64_t value) {
        add(BLN_KIND_EVIDENCE, id);
        integer(BLN_KIND_EVIDENCE, id, field, value);
    }
    void integer(bln_kind kind, const std::string& id, const char* field, std::int64_t value) {
        bln_error* err = nullptr;
        done(bln_draft_set_integer(draft_, kind, id.c_str(), field, value, nullptr, &err), err);
    }
    void real(bln_kind kind, const std::string& id, const char* field, double value) {
        bln_error* err = nullptr;
        done(bln_draft_set_real(draft_, kind, id.c_str(), field, value, nullptr, &err), err);
    }
    void integers(bln_kind kind, const std::string& id, const char* field, const std::vector<std::int64_t>& values) {
        bln_error* err = nullptr;
        done(bln_draft_set_integers(draft_, kind, id.c_str(), field, values.data(), values.size(), nullptr, &err), err);
    }
    void texts(bln_kind kind, const std::string& id, const char* field, const std::vector<std::string>& values) {
        std::vector<const char*> list;
        for (const std::string& v : values) list.push_back(v.c_str());
        bln_error* err = nullptr;
        done(bln_draft_set_texts(draft_, kind, id.c_str(), field, list.data(), list.size(), nullptr, &err), err);
    }
    void terms(bln_kind kind, const std::string& id, const char* field, const Terms& values) {
        std::vector<const char*> names;
        std::vector<std::int64_t> weights;
        for (const auto& [key, weight] : values) {
            names.push_back(key.c_str());
            weights.push_back(weight);
        }
        bln_error* err = nullptr;
        done(bln_draft_set_terms(draft_, kind, id.c_str(), field, names.data(), weights.data(), nullptr, names.size(),
                                 nullptr, &err),
             err);
    }

    // ---- the site ----------------------------------------------------------------------------
    void profile(const std::string& id, const std::vector<std::string>& references) {
        add(BLN_KIND_PROFILE, id);
        integer(BLN_KIND_PROFILE, id, "inputs", inputs_of_device);
        const std::vector<std::int64_t> groups(2, inputs_of_device / 2);
        integers(BLN_KIND_PROFILE, id, "groups", groups);
        text(BLN_KIND_PROFILE, id, "input_kind", "milliamps");
        text(BLN_KIND_PROFILE, id, "accuracy_class", "1");
        real(BLN_KIND_PROFILE, id, "full_scale", 96);
        real(BLN_KIND_PROFILE, id, "volts_ln_min", 90);
        real(BLN_KIND_PROFILE, id, "volts_ln_max", 600);
        real(BLN_KIND_PROFILE, id, "input_ohms", 1);
        texts(BLN_KIND_PROFILE, id, "references", references);
    }
    void add_service(std::size_t s) {
        State& state = state_[s];
        const ServiceRow& row = services[s];
        state.id = "S" + std::to_string(s + 1);
        add(BLN_KIND_SERVICE, state.id);
        text(BLN_KIND_SERVICE, state.id, "kind", row.kind);
        if (row.volts_ln > 0) real(BLN_KIND_SERVICE, state.id, "volts_ln", row.volts_ln);
        if (row.volts_ll > 0) real(BLN_KIND_SERVICE, state.id, "volts_ll", row.volts_ll);
        new_panel(s);
        const std::string main = state.id + "-main";
        add(BLN_KIND_CIRCUIT, main);
        text(BLN_KIND_CIRCUIT, main, "panel", state.panel);
        text(BLN_KIND_CIRCUIT, main, "phases", row.phases);
        text(BLN_KIND_CIRCUIT, main, "role", "main");
        real(BLN_KIND_CIRCUIT, main, "breaker_amps", 1000);
        real(BLN_KIND_CIRCUIT, main, "conductor_mm", 28);
        integer(BLN_KIND_CIRCUIT, main, "conductors", 1);
        integer(BLN_KIND_CIRCUIT, main, "neutral", row.neutral ? 1 : 0);
        std::vector<Pole> poles;
        for (const char* p = row.phases; *p != 0; ++p) poles.push_back({*p, static_cast<int>(poles.size()) + 1});
        add(BLN_KIND_POINT, main);
        text(BLN_KIND_POINT, main, "use", "main");
        texts(BLN_KIND_POINT, main, "circuits", {main});
        terms(BLN_KIND_POINT, main, "elements", elements(s, main, poles, row.neutral, {"T1200", 1200, 1, 1}));
    }
    void new_panel(std::size_t s) {
        State& state = state_[s];
        state.panel = state.id + "-P" + std::to_string(++state.panels);
        state.row = 0;
        state.column = 0;
        add(BLN_KIND_PANEL, state.panel);
        text(BLN_KIND_PANEL, state.panel, "service", state.id);
        text(BLN_KIND_PANEL, state.panel, "fed_from", state.id + "-main");
        integer(BLN_KIND_PANEL, state.panel, "spaces", std::int64_t{2} * rows_of_panel);
        if (draw(3) == 0) text(BLN_KIND_PANEL, state.panel, "numbering", "two_columns_mirrored");
        // The bus may begin with any phase; the sequence stays.
        const std::string phases = services[s].phases;
        const std::size_t first = draw(static_cast<std::uint32_t>(phases.size()));
        state.bus = phases.substr(first) + phases.substr(0, first);
        if (first != 0 || draw(2) == 0) text(BLN_KIND_PANEL, state.panel, "bus", state.bus);
    }
    /// Spaces for a breaker, in one column of a panel; what does not fit is left free.
    std::vector<std::int64_t> place(std::size_t s, int poles) {
        State& state = state_[s];
        if (state.row + poles > rows_of_panel) {
            if (state.column == 1) {
                new_panel(s);
            } else {
                state.column = 1;
                state.row = 0;
            }
        }
        std::vector<std::int64_t> out;
        for (int i = 0; i < poles; ++i) out.push_back(std::int64_t{2} * state.row++ + state.column + 1);
        return out;
    }
    [[nodiscard]] std::vector<Pole> poles_at(std::size_t s, const std::vector<std::int64_t>& spaces) const {
        const std::string& phases = state_[s].bus;
        std::vector<Pole> out;
        for (const std::int64_t space : spaces)
            out.push_back(
                {phases[static_cast<std::size_t>((space - 1) / 2) % phases.size()], static_cast<int>(out.size()) + 1});
        return out;
    }
    void add_point(std::size_t n, std::size_t s) {
        const ServiceRow& row = services[s];
        const int most = static_cast<int>(std::string(row.phases).size());
        int count = static_cast<int>(draw(static_cast<std::uint32_t>(most))) + 1;
        if (count == 1 && !row.neutral) count = 2;
        std::vector<std::int64_t> spaces = place(s, count);
        std::vector<Pole> poles = poles_at(s, spaces);
        // No load stands between the high leg and neutral: that breaker gets a second pole.
        if (count == 1 && s == 5 && poles.front().phase == 'B') {
            spaces = place(s, 2);
            poles = poles_at(s, spaces);
        }
        const bool neutral = row.neutral && (poles.size() == 1 || draw(2) == 0);
        const std::string id = state_[s].id + "-" + std::to_string(n + 1);
        add(BLN_KIND_CIRCUIT, id);
        text(BLN_KIND_CIRCUIT, id, "panel", state_[s].panel);
        bln_error* err = nullptr;
        done(bln_draft_set_integers(draft_, BLN_KIND_CIRCUIT, id.c_str(), "spaces", spaces.data(), spaces.size(),
                                    nullptr, &err),
             err);
        rating_of_breaker(id);
        real(BLN_KIND_CIRCUIT, id, "conductor_mm", 9);
        const std::int64_t parallel = draw(8) == 0 ? 2 : 1;
        integer(BLN_KIND_CIRCUIT, id, "conductors", parallel);
        if (draw(5) == 0) {
            std::string phases;
            for (const Pole& p : poles) phases += p.phase;
            text(BLN_KIND_CIRCUIT, id, "phases", phases);
        }
        const bool common = draw(10) == 0;
        text(BLN_KIND_CIRCUIT, id, "role", common ? "common" : "premises");
        integer(BLN_KIND_CIRCUIT, id, "neutral", neutral ? 1 : 0);
        if (!common) {
            add(BLN_KIND_PREMISES, id);
            text(BLN_KIND_PREMISES, id, "occupancy", "tenant");
        }
        add(BLN_KIND_POINT, id);
        text(BLN_KIND_POINT, id, "premises", common ? "house" : id);
        real(BLN_KIND_POINT, id, "accuracy_percent", 3);
        texts(BLN_KIND_POINT, id, "circuits", {id});
        // Turns make a small CT of a large one.
        const std::int64_t turns = draw(9) == 0 ? 4 : draw(9) == 0 ? 2 : 1;
        terms(BLN_KIND_POINT, id, "elements",
              elements(s, id, poles, neutral, {"T" + std::to_string(60 * turns), 60 * turns, turns, parallel}));
        state_[s].points.push_back({id, 1});
        if (draw(12) == 0) add_spare(s, id);
    }
    /// Some ratings were looked at, and some have been others before.
    void rating_of_breaker(const std::string& id) {
        const double amps = 16 + 4 * draw(10);
        bln_error* err = nullptr;
        if (draw(6) != 0) return real(BLN_KIND_CIRCUIT, id, "breaker_amps", amps);
        bln_when when{};
        when.size = sizeof when;
        when.from = BLN_BEGIN_OF_TIME;
        when.to = 1767225600000000;  // 2026-01-01
        when.recorded_at = BLN_BEGIN_OF_TIME;
        done(bln_draft_set_real(draft_, BLN_KIND_CIRCUIT, id.c_str(), "breaker_amps", 16, &when, &err), err);
        when.from = when.to;
        when.to = BLN_END_OF_TIME;
        when.evidence = "E1";
        done(bln_draft_set_real(draft_, BLN_KIND_CIRCUIT, id.c_str(), "breaker_amps", amps, &when, &err), err);
    }
    void add_spare(std::size_t s, const std::string& after) {
        if (state_[s].row == rows_of_panel) return;
        const std::string id = after + "-spare";
        add(BLN_KIND_CIRCUIT, id);
        text(BLN_KIND_CIRCUIT, id, "panel", state_[s].panel);
        integers(BLN_KIND_CIRCUIT, id, "spaces", place(s, 1));
        text(BLN_KIND_CIRCUIT, id, "role", "spare");
    }
    struct Chosen {
        std::string type;
        std::int64_t primary, turns, parallel;
    };
    /// With neutral: every phase against N. Without: all but the last against the last, Blondel's
    /// n - 1; or, where there is a neutral at the panel, every phase against it.
    Terms elements(std::size_t s, const std::string& circuit, const std::vector<Pole>& poles, bool neutral,
                   const Chosen& chosen) {
        const bool to_neutral = neutral || (services[s].neutral && draw(2) == 0);
        const std::size_t count = to_neutral ? poles.size() : poles.size() - 1;
        make_room(s, static_cast<int>(count));
        Terms out;
        for (std::size_t i = 0; i < count; ++i) {
            const std::string common(1, to_neutral ? 'N' : poles.back().phase);
            out.push_back({channel(s, circuit, poles, poles[i], common, chosen), 1});
        }
        return out;
    }
    /// The channels of a point stay on one connector of one device.
    void make_room(std::size_t s, int count) {
        State& state = state_[s];
        constexpr int half = inputs_of_device / 2;
        if (state.input < half && state.input + count > half) state.input = half;
        if (state.input + count > inputs_of_device) new_device(s);
    }
    std::string channel(std::size_t s, const std::string& circuit, const std::vector<Pole>& poles, const Pole& pole,
                        const std::string& common, const Chosen& chosen) {
        State& state = state_[s];
        const std::string id = circuit + "." + std::to_string(pole.number);
        const bool reversed = draw(8) == 0;  // and set right again by one of two means
        const bool leads = reversed && draw(2) == 0;
        add(BLN_KIND_CT, id);
        text(BLN_KIND_CT, id, "type", chosen.type);
        text(BLN_KIND_CT, id, "serial", "N" + std::to_string(++serial_));
        integer(BLN_KIND_CT, id, "conductors", chosen.parallel);
        real(BLN_KIND_CT, id, "lead_m", 2 + draw(6));
        real(BLN_KIND_CT, id, "lead_mm2", 1);
        terms(BLN_KIND_CT, id, "passes",
              {{poles.size() == 1 ? circuit : circuit + ":" + std::to_string(pole.number), chosen.turns}});
        text(BLN_KIND_CT, id, "mark_faces", reversed ? "load" : "source");
        add(BLN_KIND_CHANNEL, id);
        text(BLN_KIND_CHANNEL, id, "device", state.device);
        integer(BLN_KIND_CHANNEL, id, "input", ++state.input);
        terms(BLN_KIND_CHANNEL, id, "cts", {{id, leads ? -1 : 1}});
        text(BLN_KIND_CHANNEL, id, "reference", std::string(1, pole.phase) + "-" + common);
        if (reversed && !leads) text(BLN_KIND_CHANNEL, id, "polarity", "inverted");
        integer(BLN_KIND_CHANNEL, id, "primary_amps", chosen.primary / chosen.turns);
        integer(BLN_KIND_CHANNEL, id, "secondary", 80);
        return id;
    }
    void add_type(const std::string& type, std::int64_t primary) {
        add(BLN_KIND_CT_TYPE, type);
        integer(BLN_KIND_CT_TYPE, type, "primary_amps", primary);
        integer(BLN_KIND_CT_TYPE, type, "secondary", 80);
        text(BLN_KIND_CT_TYPE, type, "output", "milliamps");
        text(BLN_KIND_CT_TYPE, type, "mark_faces", "source");
        text(BLN_KIND_CT_TYPE, type, "accuracy_class", "0.5S");
        text(BLN_KIND_CT_TYPE, type, "core", "split");
        real(BLN_KIND_CT_TYPE, type, "window_mm", 32);
        real(BLN_KIND_CT_TYPE, type, "burden_va", 0.01);
    }
    void new_device(std::size_t s) {
        State& state = state_[s];
        state.device = state.id + "-D" + std::to_string(++state.devices);
        state.input = 0;
        add(BLN_KIND_DEVICE, state.device);
        text(BLN_KIND_DEVICE, state.device, "profile", services[s].neutral ? "four-terminals" : "three-terminals");
        text(BLN_KIND_DEVICE, state.device, "service", state.id);
        text(BLN_KIND_DEVICE, state.device, "scaled_by", "device");
        text(BLN_KIND_DEVICE, state.device, "serial", "N" + std::to_string(++serial_));
        integer(BLN_KIND_DEVICE, state.device, "leads_protected", 1);
    }
    void add_rollup(std::size_t s) {
        if (state_[s].points.empty()) return;
        add(BLN_KIND_ROLLUP, state_[s].id);
        terms(BLN_KIND_ROLLUP, state_[s].id, "points", state_[s].points);
        text(BLN_KIND_ROLLUP, state_[s].id, "against", state_[s].id + "-main");
    }

    bln_draft* draft_ = nullptr;
    std::uint32_t random_;
    std::array<State, services.size()> state_;
    int serial_ = 0;
};

}  // namespace

bln_draft* generated_draft(std::size_t points, std::uint32_t seed) {
    Builder builder(seed);
    builder.add_points(points);
    return builder.take();
}

bln_site* generated_site(std::size_t points, std::uint32_t seed) {
    bln_draft* draft = generated_draft(points, seed);
    bln_site* site = nullptr;
    bln_error* err = nullptr;
    if (bln_draft_freeze(draft, &site, &err) != BLN_OK) {
        std::fprintf(stderr, "generated site: %s\n", bln_error_message(err, 0));
        std::exit(2);
    }
    bln_draft_free(draft);
    return site;
}

}  // namespace support
