#include "operators.hpp"

#include <algorithm>

namespace support {
namespace {

Wanted nowhere() { return {}; }

std::string channel(const std::string& id) { return "channel:" + id; }
std::string circuit(const std::string& id) { return "circuit:" + id; }
std::string ct(const std::string& id) { return "ct:" + id; }
std::string point(const std::string& id) { return "point:" + id; }

std::size_t poles(const Spoiled& s, const std::string& p) { return s.integers(BLN_KIND_CIRCUIT, p, "spaces").size(); }
bool neutral(const Spoiled& s, const std::string& p) { return s.integer(BLN_KIND_CIRCUIT, p, "neutral") != 0; }
bool common(const Spoiled& s, const std::string& p) { return s.text(BLN_KIND_CIRCUIT, p, "role") == "common"; }
std::string panel(const Spoiled& s, const std::string& p) { return s.text(BLN_KIND_CIRCUIT, p, "panel"); }
std::string main_of(const std::string& p) { return Spoiled::service(p) + "-main"; }
std::string type_of(const Spoiled& s, const std::string& p) {
    return s.text(BLN_KIND_CT, s.channels(p).front(), "type");
}

/// The first point, in the order of the seed, that lends itself to it.
template <class Fits>
std::string some(const Spoiled& s, Fits fits) {
    for (const std::string& p : s.points())
        if (fits(p)) return p;
    return {};
}
std::string any(const Spoiled& s) { return s.points().front(); }

/// Another point of the same service.
std::string neighbour(const Spoiled& s, const std::string& p) {
    return some(s, [&](const std::string& q) { return q != p && Spoiled::service(q) == Spoiled::service(p); });
}
/// A point that has a neighbour.
std::string paired(const Spoiled& s) {
    return some(s, [&](const std::string& p) { return !neighbour(s, p).empty(); });
}

/// A CT type of its own for one CT.
void retype(Spoiled& s, const std::string& id, const char* field, const std::string& value) {
    s.copy(BLN_KIND_CT_TYPE, s.text(BLN_KIND_CT, id, "type"), "T-new");
    s.set(BLN_KIND_CT_TYPE, "T-new", field, value);
    s.set(BLN_KIND_CT, id, "type", std::string("T-new"));
}

Terms without(Terms terms, const std::string& id) {
    terms.erase(std::remove_if(terms.begin(), terms.end(), [&](const auto& t) { return t.first == id; }), terms.end());
    return terms;
}

bln_when from_2026() {
    bln_when when{};
    when.size = sizeof when;
    when.from = 1767225600000000;
    when.to = BLN_END_OF_TIME;
    when.recorded_at = BLN_BEGIN_OF_TIME;
    return when;
}

Wanted clamp(Spoiled& s, std::int64_t calibrated, const std::string& about, const char* code) {
    s.add(BLN_KIND_EVIDENCE, "E2");
    s.set(BLN_KIND_EVIDENCE, "E2", "what", std::string("clamp"));
    s.set(BLN_KIND_EVIDENCE, "E2", "at", std::int64_t{1767225600000000});
    s.set(BLN_KIND_EVIDENCE, "E2", "calibrated_at", calibrated);
    s.set(BLN_KIND_EVIDENCE, "E2", "about", std::vector<std::string>{about});
    return {code, "evidence:E2"};
}
constexpr std::int64_t recently = 1751328000000000;  // 2025-07-01

constexpr Operator rows[] = {
    // ---- identity, references, dates -------------------------------------------------------------
    {"lose-premises", "the premises of a point vanish",
     [](Spoiled& s) -> Wanted {
         const std::string p = some(s, [&](const auto& q) { return !common(s, q); });
         if (p.empty()) return nowhere();
         s.remove(BLN_KIND_PREMISES, p);
         return {"dangling-reference", point(p)};
     }},
    {"lose-circuit", "the circuit of a point vanishes",
     [](Spoiled& s) -> Wanted {
         s.remove(BLN_KIND_CIRCUIT, any(s));
         return {"dangling-reference", point(any(s))};
     }},
    {"lose-ct", "the CT of a channel vanishes",
     [](Spoiled& s) -> Wanted {
         const std::string k = s.channels(any(s)).front();
         s.remove(BLN_KIND_CT, k);
         return {"dangling-reference", channel(k)};
     }},
    {"lose-channel", "a channel of a point vanishes",
     [](Spoiled& s) -> Wanted {
         s.remove(BLN_KIND_CHANNEL, s.channels(any(s)).back());
         return {"dangling-reference", point(any(s))};
     }},
    {"lose-device", "a device vanishes",
     [](Spoiled& s) -> Wanted {
         const std::string k = s.channels(any(s)).front();
         s.remove(BLN_KIND_DEVICE, s.text(BLN_KIND_CHANNEL, k, "device"));
         return {"dangling-reference", channel(k)};
     }},
    {"copy-serial", "a serial number is copied to another CT",
     [](Spoiled& s) -> Wanted {
         if (paired(s).empty()) return nowhere();
         const std::string a = s.channels(paired(s)).front(), b = s.channels(neighbour(s, paired(s))).front();
         s.set(BLN_KIND_CT, a, "serial", s.text(BLN_KIND_CT, b, "serial"));
         return {"serial-used-twice", ct(a)};
     }},
    {"lose-evidence", "a rating rests on evidence that is not there",
     [](Spoiled& s) -> Wanted {
         bln_when when = from_2026();
         when.evidence = "E99";
         s.set(BLN_KIND_CIRCUIT, any(s), "breaker_amps", s.real(BLN_KIND_CIRCUIT, any(s), "breaker_amps"), &when);
         return {"evidence-missing", circuit(any(s))};
     }},
    {"two-histories", "two ratings hold from the same day on",
     [](Spoiled& s) -> Wanted {
         const bln_when when = from_2026();
         s.clear(BLN_KIND_CIRCUIT, any(s), "breaker_amps");
         s.set(BLN_KIND_CIRCUIT, any(s), "breaker_amps", 16.0, &when);
         s.set(BLN_KIND_CIRCUIT, any(s), "breaker_amps", s.real(BLN_KIND_CIRCUIT, any(s), "breaker_amps") + 1, &when);
         return {"history-contradiction", circuit(any(s))};
     }},
    {"stale-date", "a fact ended and nothing followed",
     [](Spoiled& s) -> Wanted {
         bln_when when = from_2026();
         when.from = BLN_BEGIN_OF_TIME;
         when.to = 1767225600000000;
         s.clear(BLN_KIND_CIRCUIT, any(s), "breaker_amps");
         s.set(BLN_KIND_CIRCUIT, any(s), "breaker_amps", 16.0, &when);
         return {"history-gap", circuit(any(s))};
     }},
    {"stale-calibration", "a reading of an instrument that was calibrated years before",
     [](Spoiled& s) -> Wanted {
         return clamp(s, 1609459200000000, ct(s.channels(any(s)).front()), "calibration-expired");
     }},
    {"evidence-of-nothing", "evidence about a CT that the record does not have",
     [](Spoiled& s) -> Wanted { return clamp(s, recently, "ct:nowhere", "evidence-about-nothing"); }},
    // ---- panels and circuits ---------------------------------------------------------------------
    {"same-space", "a breaker is entered in the space of another one",
     [](Spoiled& s) -> Wanted {
         for (const std::string& p : s.points())
             for (const std::string& q : s.points()) {
                 if (p == q || panel(s, p) != panel(s, q) || poles(s, p) != poles(s, q)) continue;
                 const auto a = s.integers(BLN_KIND_CIRCUIT, p, "spaces"),
                            b = s.integers(BLN_KIND_CIRCUIT, q, "spaces");
                 if (s.phase_of(panel(s, p), a.front()) != s.phase_of(panel(s, q), b.front())) continue;
                 s.set(BLN_KIND_CIRCUIT, p, "spaces", b);
                 return {"space-used-twice", circuit(p)};
             }
         return nowhere();
     }},
    {"shift-a-pole", "one pole of a breaker is entered some rows away",
     [](Spoiled& s) -> Wanted {
         for (const std::string& p : s.points()) {
             auto spaces = s.integers(BLN_KIND_CIRCUIT, p, "spaces");
             if (spaces.size() < 2) continue;
             const std::int64_t to = s.free_space(panel(s, p), s.phase_of(panel(s, p), spaces.back()));
             if (to == 0) continue;
             spaces.back() = to;
             s.set(BLN_KIND_CIRCUIT, p, "spaces", spaces);
             return {"poles-not-adjacent", circuit(p)};
         }
         return nowhere();
     }},
    {"shift-all-poles", "a breaker is entered one row away",
     [](Spoiled& s) -> Wanted {
         for (const std::string& p : s.points()) {
             auto spaces = s.integers(BLN_KIND_CIRCUIT, p, "spaces");
             const auto own = s.channels(p);
             // The voltages have to tell: one of them is to neutral, or there is one between two phases.
             if (!s.text(BLN_KIND_CIRCUIT, p, "phases").empty() || Spoiled::service(p) == "S1") continue;
             if (spaces.back() + 2 > s.integer(BLN_KIND_PANEL, panel(s, p), "spaces")) continue;
             if (s.text(BLN_KIND_CHANNEL, own.front(), "reference").back() != 'N') continue;
             if (own.size() == spaces.size() && spaces.size() > 2) continue;  // no neutral: three commons are as good
             if (Spoiled::service(p) == "S6" && spaces.size() == 1) continue;
             if (!neutral(s, p)) continue;
             for (std::int64_t& space : spaces) space += 2;
             s.set(BLN_KIND_CIRCUIT, p, "spaces", spaces);
             return {"reference-of-another-phase", point(p)};
         }
         return nowhere();
     }},
    {"beyond-the-panel", "a breaker is entered in a space that the panel does not have",
     [](Spoiled& s) -> Wanted {
         auto spaces = s.integers(BLN_KIND_CIRCUIT, any(s), "spaces");
         for (std::int64_t& space : spaces) space += 46;
         s.set(BLN_KIND_CIRCUIT, any(s), "spaces", spaces);
         return {"pole-contradiction", circuit(any(s))};
     }},
    {"rotate-phases", "the stated phases of a breaker are rotated against its spaces",
     [](Spoiled& s) -> Wanted {
         // To neutral the voltages tell one story; between phases they may tell several.
         const std::string p = some(s, [&](const auto& q) {
             return poles(s, q) > 1 && s.text(BLN_KIND_CHANNEL, s.channels(q).front(), "reference").back() == 'N';
         });
         if (p.empty()) return nowhere();
         std::string phases;
         for (const std::int64_t space : s.integers(BLN_KIND_CIRCUIT, p, "spaces"))
             phases += s.phase_of(panel(s, p), space);
         std::rotate(phases.begin(), phases.begin() + 1, phases.end());
         s.set(BLN_KIND_CIRCUIT, p, "phases", phases);
         return {"phases-differ-from-panel", circuit(p)};
     }},
    {"feeder-loses-a-pole", "the main is entered with one pole less than its panels have phases",
     [](Spoiled& s) -> Wanted {
         const std::string p =
             some(s, [&](const auto& q) { return s.text(BLN_KIND_CIRCUIT, main_of(q), "phases").size() > 1; });
         std::string phases = s.text(BLN_KIND_CIRCUIT, main_of(p), "phases");
         phases.pop_back();
         s.set(BLN_KIND_CIRCUIT, main_of(p), "phases", phases);
         return {"bus-phase-not-fed", circuit(main_of(p))};
     }},
    {"high-leg-load", "a single-pole load is moved to the high leg",
     [](Spoiled& s) -> Wanted {
         for (const std::string& p : s.points()) {
             if (Spoiled::service(p) != "S6" || poles(s, p) != 1 || !s.text(BLN_KIND_CIRCUIT, p, "phases").empty())
                 continue;
             const std::int64_t to = s.free_space(panel(s, p), 'B');
             if (to == 0) continue;
             s.set(BLN_KIND_CIRCUIT, p, "spaces", std::vector<std::int64_t>{to});
             s.set(BLN_KIND_CHANNEL, s.channels(p).front(), "reference", std::string("B-N"));
             return {"high-leg-to-neutral", circuit(p)};
         }
         return nowhere();
     }},
    {"panels-in-a-circle", "a panel is fed from a circuit behind it",
     [](Spoiled& s) -> Wanted {
         const std::string p = any(s), q = p + "-back";
         s.add(BLN_KIND_PANEL, "P-new");
         s.set(BLN_KIND_PANEL, "P-new", "service", Spoiled::service(p));
         s.set(BLN_KIND_PANEL, "P-new", "fed_from", p);
         std::string bus;
         for (const std::int64_t space : s.integers(BLN_KIND_CIRCUIT, p, "spaces"))
             bus += s.phase_of(panel(s, p), space);
         s.set(BLN_KIND_PANEL, "P-new", "bus", bus);
         s.add(BLN_KIND_CIRCUIT, q);
         s.set(BLN_KIND_CIRCUIT, q, "panel", std::string("P-new"));
         s.set(BLN_KIND_CIRCUIT, q, "role", std::string("main"));
         s.set(BLN_KIND_PANEL, panel(s, p), "fed_from", q);
         return {"panel-feeds-itself", circuit(q)};
     }},
    {"small-main", "the rating of a main is entered without its last digits",
     [](Spoiled& s) -> Wanted {
         s.set(BLN_KIND_CIRCUIT, main_of(any(s)), "breaker_amps", 10.0);
         return {"breaker-larger-than-feeder", circuit(any(s))};
     }},
    {"billed-spare", "a circuit that is billed is called a spare",
     [](Spoiled& s) -> Wanted {
         s.set(BLN_KIND_CIRCUIT, any(s), "role", std::string("spare"));
         return {"role-contradiction", circuit(any(s))};
     }},
    {"neutral-of-a-delta", "a circuit of a service without neutral gets one",
     [](Spoiled& s) -> Wanted {
         const std::string p = some(s, [](const auto& q) { return q[1] == '5' || q[1] == '7'; });
         if (p.empty()) return nowhere();
         s.set(BLN_KIND_CIRCUIT, p, "neutral", std::int64_t{1});
         return {"phase-not-in-service", circuit(p)};
     }},
    // ---- CTs -------------------------------------------------------------------------------------
    {"larger-breaker", "the breaker is larger than the CT",
     [](Spoiled& s) -> Wanted {
         s.set(BLN_KIND_CIRCUIT, any(s), "breaker_amps", 66.0);
         return {"ct-smaller-than-breaker", circuit(any(s))};
     }},
    {"retype-output", "a CT is exchanged for one with a voltage output",
     [](Spoiled& s) -> Wanted {
         const std::string k = s.channels(any(s)).front();
         retype(s, k, "output", "millivolts");
         return {"output-not-for-input", ct(k)};
     }},
    {"retype-larger", "the CTs of a circuit are exchanged for much larger ones",
     [](Spoiled& s) -> Wanted {
         const std::string p = some(s, [&](const auto& q) { return type_of(s, q) == "T60"; });
         for (const std::string& k : s.channels(p)) {
             s.set(BLN_KIND_CT, k, "type", std::string("T1200"));
             s.set(BLN_KIND_CHANNEL, k, "primary_amps", std::int64_t{1200});
         }
         return {"least-current-not-measured", circuit(p)};
     }},
    {"retype-core", "one CT of a point has a solid core",
     [](Spoiled& s) -> Wanted {
         const std::string p = some(s, [&](const auto& q) { return s.channels(q).size() > 1; });
         if (p.empty()) return nowhere();
         retype(s, s.channels(p).front(), "core", "solid");
         return {"mixed-cores", point(p)};
     }},
    {"retype-rating", "one CT of a circuit has another rating, and the ratio of its channel follows",
     [](Spoiled& s) -> Wanted {
         const std::string p =
             some(s, [&](const auto& q) { return s.channels(q).size() > 1 && type_of(s, q) == "T60"; });
         if (p.empty()) return nowhere();
         const std::string k = s.channels(p).front();
         s.set(BLN_KIND_CT, k, "type", std::string("T120"));
         s.set(BLN_KIND_CHANNEL, k, "primary_amps", std::int64_t{120});
         return {"mixed-ratings", circuit(p)};
     }},
    {"class-of-no-standard", "a class is written as a data sheet says it",
     [](Spoiled& s) -> Wanted {
         retype(s, s.channels(any(s)).front(), "accuracy_class", "0.5 %");
         return {"class-unknown", "ct_type:T-new"};
     }},
    {"class-3", "a billing point has a CT of class 3",
     [](Spoiled& s) -> Wanted {
         const std::string k = s.channels(any(s)).front();
         retype(s, k, "accuracy_class", "3");
         return {"class-not-for-billing", ct(k)};
     }},
    {"agree-on-more", "an accuracy is agreed that the classes cannot keep",
     [](Spoiled& s) -> Wanted {
         s.set(BLN_KIND_POINT, any(s), "accuracy_percent", 0.5);
         return {"accuracy-not-met", point(any(s))};
     }},
    {"half-a-parallel-set", "one of two parallel conductors runs outside of the CT",
     [](Spoiled& s) -> Wanted {
         const std::string k = s.channels(any(s)).front();
         s.set(BLN_KIND_CIRCUIT, any(s), "conductors", std::int64_t{2});
         for (const std::string& each : s.channels(any(s)))
             s.set(BLN_KIND_CT, each, "conductors", std::int64_t{each == k ? 1 : 2});
         return {"parallel-partly-enclosed", channel(k)};
     }},
    {"thick-conductors", "the conductors do not fit the window",
     [](Spoiled& s) -> Wanted {
         s.set(BLN_KIND_CIRCUIT, any(s), "conductor_mm", 40.0);
         return {"window-too-small", ct(s.channels(any(s)).front())};
     }},
    {"long-leads", "the leads are as long as the building",
     [](Spoiled& s) -> Wanted {
         const std::string k = s.channels(any(s)).front();
         s.set(BLN_KIND_CT, k, "lead_m", 120.0);
         return {"burden-too-high", ct(k)};
     }},
    {"round-the-cable", "a CT surrounds all conductors of a circuit",
     [](Spoiled& s) -> Wanted {
         const std::string p = some(s, [&](const auto& q) { return poles(s, q) > 1; });
         if (p.empty()) return nowhere();
         s.set(BLN_KIND_CIRCUIT, p, "conductor_mm", 2.0);  // a cable that fits the window
         const std::string k = s.channels(p).front();
         const std::int64_t turns = s.terms(BLN_KIND_CT, k, "passes").front().second;
         Terms all;
         for (std::size_t i = 1; i <= poles(s, p); ++i) all.emplace_back(p + ":" + std::to_string(i), turns);
         if (neutral(s, p)) all.emplace_back(p + ":N", turns);
         s.set(BLN_KIND_CT, k, "passes", all);
         return {"ct-round-whole-circuit", ct(k)};
     }},
    {"round-the-neutral", "a CT hangs on the neutral of a single-pole circuit",
     [](Spoiled& s) -> Wanted {
         const std::string p = some(s, [&](const auto& q) { return poles(s, q) == 1; });
         if (p.empty()) return nowhere();
         const std::string k = s.channels(p).front();
         s.set(BLN_KIND_CT, k, "passes", Terms{{p + ":N", -s.terms(BLN_KIND_CT, k, "passes").front().second}});
         return {"ct-round-neutral", ct(k)};
     }},
    {"pole-that-is-not-there", "a CT is said to surround a third pole of a smaller circuit",
     [](Spoiled& s) -> Wanted {
         const std::string p = some(s, [&](const auto& q) { return poles(s, q) < 3; });
         const std::string k = s.channels(p).front();
         s.set(BLN_KIND_CT, k, "passes", Terms{{p + ":3", 1}});
         return {"ct-on-missing-conductor", ct(k)};
     }},
    {"land-nothing", "the CT of a channel is not entered",
     [](Spoiled& s) -> Wanted {
         const std::string k = s.channels(any(s)).front();
         s.clear(BLN_KIND_CHANNEL, k, "cts");
         return {"ct-on-no-channel", ct(k)};
     }},
    // ---- direction and ratio -----------------------------------------------------------------------
    {"turn-a-ct", "a CT hangs the other way round",
     [](Spoiled& s) -> Wanted {
         const std::string k = s.channels(any(s)).front();
         s.set(BLN_KIND_CT, k, "mark_faces",
               std::string(s.text(BLN_KIND_CT, k, "mark_faces") == "source" ? "load" : "source"));
         return {"direction-differs", channel(k)};
     }},
    {"exchange-leads", "the leads of a CT are exchanged",
     [](Spoiled& s) -> Wanted {
         const std::string k = s.channels(any(s)).back();
         s.set(BLN_KIND_CHANNEL, k, "cts", Terms{{k, -s.terms(BLN_KIND_CHANNEL, k, "cts").front().second}});
         return {"direction-differs", channel(k)};
     }},
    {"invert-polarity", "a polarity setting is changed",
     [](Spoiled& s) -> Wanted {
         const std::string k = s.channels(any(s)).front();
         s.set(BLN_KIND_CHANNEL, k, "polarity",
               std::string(s.text(BLN_KIND_CHANNEL, k, "polarity") == "inverted" ? "normal" : "inverted"));
         return {"direction-differs", channel(k)};
     }},
    {"triple-ratio", "a ratio is entered three times as large",
     [](Spoiled& s) -> Wanted {
         const std::string k = s.channels(any(s)).front();
         s.set(BLN_KIND_CHANNEL, k, "primary_amps", 3 * s.integer(BLN_KIND_CHANNEL, k, "primary_amps"));
         return {"ratio-differs", channel(k)};
     }},
    {"one-more-turn", "the conductor runs through the CT once more",
     [](Spoiled& s) -> Wanted {
         // Of a circuit that the CT still fits, so that the ratio is the only mistake.
         const std::string p = some(s, [&](const auto& q) {
             const auto turns = s.terms(BLN_KIND_CT, s.channels(q).front(), "passes").front().second;
             return s.real(BLN_KIND_CIRCUIT, q, "breaker_amps") * static_cast<double>(turns + 1) <=
                    60.0 * static_cast<double>(turns);
         });
         if (p.empty()) return nowhere();
         const std::string k = s.channels(p).front();
         Terms passes = s.terms(BLN_KIND_CT, k, "passes");
         ++passes.front().second;
         s.set(BLN_KIND_CT, k, "passes", passes);
         return {"ratio-differs", channel(k)};
     }},
    // ---- channels and devices ----------------------------------------------------------------------
    {"same-input", "two channels are entered on one input",
     [](Spoiled& s) -> Wanted {
         for (const std::string& p : s.points()) {
             const std::string a = s.channels(p).front();
             for (const std::string& q : s.points()) {
                 const std::string b = s.channels(q).back();
                 if (p == q || s.text(BLN_KIND_CHANNEL, a, "device") != s.text(BLN_KIND_CHANNEL, b, "device")) continue;
                 s.set(BLN_KIND_CHANNEL, a, "input", s.integer(BLN_KIND_CHANNEL, b, "input"));
                 return {"input-used-twice", channel(a)};
             }
         }
         return nowhere();
     }},
    {"input-35", "a channel stands on an input that the device does not have",
     [](Spoiled& s) -> Wanted {
         const std::string k = s.channels(any(s)).front();
         s.set(BLN_KIND_CHANNEL, k, "input", std::int64_t{35});
         return {"input-beyond-device", channel(k)};
     }},
    {"miscount-connectors", "a connector of a profile is entered one input short",
     [](Spoiled& s) -> Wanted {
         s.set(BLN_KIND_PROFILE, "four-terminals", "groups", std::vector<std::int64_t>{17, 16});
         return {"groups-contradict", "profile:four-terminals"};
     }},
    {"small-full-scale", "the device measures less than the CTs give",
     [](Spoiled& s) -> Wanted {
         const std::string k = s.channels(any(s)).front();
         s.set(BLN_KIND_PROFILE, s.text(BLN_KIND_DEVICE, s.text(BLN_KIND_CHANNEL, k, "device"), "profile"),
               "full_scale", 12.0);
         return {"full-scale-exceeded", channel(k)};
     }},
    {"split-a-point", "one channel of a point moves to another device",
     [](Spoiled& s) -> Wanted {
         const std::string p = some(s, [&](const auto& q) { return s.channels(q).size() > 1; });
         if (p.empty()) return nowhere();
         const std::string k = s.channels(p).back();
         s.copy(BLN_KIND_DEVICE, s.text(BLN_KIND_CHANNEL, k, "device"), "D-new");
         s.set(BLN_KIND_CHANNEL, k, "device", std::string("D-new"));
         return {"point-over-devices", point(p)};
     }},
    {"cross-connectors", "one channel of a point moves to the other connector",
     [](Spoiled& s) -> Wanted {
         for (const std::string& p : s.points()) {
             if (s.channels(p).size() < 2) continue;
             const std::string k = s.channels(p).back(), device = s.text(BLN_KIND_CHANNEL, k, "device");
             std::vector<bool> used(35, false);
             for (const std::string& other : s.ids(BLN_KIND_CHANNEL))
                 if (s.text(BLN_KIND_CHANNEL, other, "device") == device)
                     used[static_cast<std::size_t>(s.integer(BLN_KIND_CHANNEL, other, "input"))] = true;
             const bool second = s.integer(BLN_KIND_CHANNEL, k, "input") > 17;
             for (std::int64_t i = second ? 1 : 18; i <= (second ? 17 : 34); ++i) {
                 if (used[static_cast<std::size_t>(i)]) continue;
                 s.set(BLN_KIND_CHANNEL, k, "input", i);
                 return {"point-over-groups", point(p)};
             }
         }
         return nowhere();
     }},
    {"scale-twice", "the billing system multiplies once more by the ratio",
     [](Spoiled& s) -> Wanted {
         const std::string k = s.channels(any(s)).front();
         s.set(BLN_KIND_DEVICE, s.text(BLN_KIND_CHANNEL, k, "device"), "scaled_by", std::string("device"));
         s.set_ratio(BLN_KIND_CHANNEL, k, "register_factor", 3, 4);
         return {"scaled-twice", channel(k)};
     }},
    {"scale-never", "nobody applies the ratios of a device",
     [](Spoiled& s) -> Wanted {
         const std::string d = s.text(BLN_KIND_CHANNEL, s.channels(any(s)).front(), "device");
         s.set(BLN_KIND_DEVICE, d, "scaled_by", std::string("none"));
         return {"scaled-by-nobody", "device:" + d};
     }},
    {"no-fuses", "the voltage leads of a device have no protection",
     [](Spoiled& s) -> Wanted {
         const std::string d = s.text(BLN_KIND_CHANNEL, s.channels(any(s)).front(), "device");
         s.set(BLN_KIND_DEVICE, d, "leads_protected", std::int64_t{0});
         return {"voltage-leads-unprotected", "device:" + d};
     }},
    // ---- voltages ----------------------------------------------------------------------------------
    {"wrong-voltage", "the voltage between phases is entered a fifth too high",
     [](Spoiled& s) -> Wanted {
         const std::string p =
             some(s, [](const auto& q) { return q[1] == '2' || q[1] == '3' || q[1] == '4' || q[1] == '6'; });
         if (p.empty()) return nowhere();
         const std::string id = Spoiled::service(p);
         s.set(BLN_KIND_SERVICE, id, "volts_ll", 1.2 * s.real(BLN_KIND_SERVICE, id, "volts_ll"));
         return {"service-voltages-contradict", "service:" + id};
     }},
    {"device-for-more-volts", "the device measures from a higher voltage on",
     [](Spoiled& s) -> Wanted {
         s.set(BLN_KIND_PROFILE, "four-terminals", "volts_ln_min", 590.0);
         const std::string p = some(s, [](const auto& q) { return q[1] != '5' && q[1] != '7'; });
         if (p.empty()) return nowhere();
         return {"reference-out-of-range", channel(s.channels(p).front())};
     }},
    {"another-phase", "the voltage of a channel is that of another phase",
     [](Spoiled& s) -> Wanted {
         const std::string p = some(s, [&](const auto& q) {
             const std::string r = s.text(BLN_KIND_CHANNEL, s.channels(q).front(), "reference");
             return q[1] != '1' && r.back() == 'N';
         });
         if (p.empty()) return nowhere();
         const std::string k = s.channels(p).front();
         s.set(BLN_KIND_CHANNEL, k, "reference",
               std::string(s.text(BLN_KIND_CHANNEL, k, "reference") == "A-N" ? "B-N" : "A-N"));
         return {"reference-of-another-phase", point(p)};
     }},
    {"another-service", "the voltage terminals of a device are landed on another service",
     [](Spoiled& s) -> Wanted {
         const std::string p = some(s, [](const auto& q) { return q[1] == '4'; });
         if (p.empty()) return nowhere();
         const std::string k = s.channels(p).front();
         s.set(BLN_KIND_DEVICE, s.text(BLN_KIND_CHANNEL, k, "device"), "service", std::string("S6"));
         return {"reference-from-another-service", channel(k)};
     }},
    {"land-nowhere", "a voltage terminal is not landed",
     [](Spoiled& s) -> Wanted {
         const std::string p = some(s, [](const auto& q) { return q[1] != '5' && q[1] != '7'; });
         if (p.empty()) return nowhere();
         const std::string k = s.channels(p).front(), r = s.text(BLN_KIND_CHANNEL, k, "reference");
         std::vector<std::string> landed{"A", "B", "C", "N"};
         for (std::string& on : landed)
             if (on == r.substr(0, 1)) on = "none";
         s.set(BLN_KIND_DEVICE, s.text(BLN_KIND_CHANNEL, k, "device"), "landed", landed);
         return {"terminal-not-landed", channel(k)};
     }},
    {"land-too-few", "the landing of a device names fewer conductors than it has terminals",
     [](Spoiled& s) -> Wanted {
         const std::string d = s.text(BLN_KIND_CHANNEL, s.channels(any(s)).front(), "device");
         s.set(BLN_KIND_DEVICE, d, "landed", std::vector<std::string>{"A", "B"});
         return {"landing-contradiction", "device:" + d};
     }},
    // ---- points and bills --------------------------------------------------------------------------
    {"drop-an-element", "a channel is left out of its point",
     [](Spoiled& s) -> Wanted {
         Terms elements = s.terms(BLN_KIND_POINT, any(s), "elements");
         elements.pop_back();
         s.set(BLN_KIND_POINT, any(s), "elements", elements);
         return {"pole-unmetered", circuit(any(s))};
     }},
    {"double-one-leg", "two legs with a neutral, one CT that is counted double",
     [](Spoiled& s) -> Wanted {
         const std::string p =
             some(s, [&](const auto& q) { return (q[1] == '3' || q[1] == '4') && poles(s, q) == 2 && neutral(s, q); });
         if (p.empty()) return nowhere();
         const auto own = s.channels(p);
         s.set(BLN_KIND_POINT, p, "elements", Terms{{own[0], 1}});
         s.set_ratio(BLN_KIND_CHANNEL, own[0], "multiplier", 2, 1);
         s.remove(BLN_KIND_CHANNEL, own[1]);
         s.remove(BLN_KIND_CT, own[1]);
         return {"elements-too-few", point(p)};
     }},
    {"lend-a-channel", "a channel of another point is counted as well",
     [](Spoiled& s) -> Wanted {
         const std::string p = paired(s);
         if (p.empty()) return nowhere();
         const std::string k = s.channels(neighbour(s, p)).front();
         Terms elements = s.terms(BLN_KIND_POINT, p, "elements");
         elements.emplace_back(k, 1);
         s.set(BLN_KIND_POINT, p, "elements", elements);
         return {"channel-used-twice", channel(k)};
     }},
    {"exchange-points", "the channels of two points are exchanged",
     [](Spoiled& s) -> Wanted {
         const std::string p = paired(s);
         if (p.empty()) return nowhere();
         const std::string q = neighbour(s, p);
         s.set(BLN_KIND_POINT, p, "elements", s.terms(BLN_KIND_POINT, q, "elements"));
         s.set(BLN_KIND_POINT, q, "elements", s.terms(BLN_KIND_POINT, p, "elements"));
         return {"measures-another-circuit", point(p)};
     }},
    {"bill-nobody", "a billing point names no premises",
     [](Spoiled& s) -> Wanted {
         s.clear(BLN_KIND_POINT, any(s), "premises");
         return {"point-without-premises", point(any(s))};
     }},
    {"bill-the-meters", "the supply of the meters is in a tenant's bill",
     [](Spoiled& s) -> Wanted {
         const std::string p = some(s, [&](const auto& q) { return !common(s, q); });
         if (p.empty()) return nowhere();
         s.set(BLN_KIND_CIRCUIT, p, "role", std::string("meter_supply"));
         return {"meter-supply-billed", circuit(p)};
     }},
    {"bill-the-corridor", "the corridor is in a tenant's bill",
     [](Spoiled& s) -> Wanted {
         const std::string p = some(s, [&](const auto& q) { return !common(s, q); });
         if (p.empty()) return nowhere();
         s.set(BLN_KIND_CIRCUIT, p, "role", std::string("common"));
         return {"common-billed-to-tenant", circuit(p)};
     }},
    {"forget-a-tenant", "premises are let, and no point bills them",
     [](Spoiled& s) -> Wanted {
         s.add(BLN_KIND_PREMISES, "new");
         s.set(BLN_KIND_PREMISES, "new", "occupancy", std::string("tenant"));
         return {"premises-without-point", "premises:new"};
     }},
    {"two-bills", "a circuit stands in two points",
     [](Spoiled& s) -> Wanted {
         // Circuits of one kind: other poles, or a common load in a tenant's point, would be further mistakes.
         const std::string p = some(s, [&](const auto& q) {
             const std::string n = neighbour(s, q);
             return !n.empty() && poles(s, q) == poles(s, n) && neutral(s, q) == neutral(s, n) &&
                    common(s, q) == common(s, n);
         });
         if (p.empty()) return nowhere();
         s.set(BLN_KIND_POINT, p, "circuits", std::vector<std::string>{p, neighbour(s, p)});
         return {"circuit-in-two-points", circuit(neighbour(s, p))};
     }},
    // ---- sums --------------------------------------------------------------------------------------
    {"drop-from-the-sum", "a point is left out of its roll-up",
     [](Spoiled& s) -> Wanted {
         const std::string r = Spoiled::service(any(s));
         s.set(BLN_KIND_ROLLUP, r, "points", without(s.terms(BLN_KIND_ROLLUP, r, "points"), any(s)));
         return {"circuit-never-rolled-up", point(any(s))};
     }},
    {"wrong-sign", "a point is subtracted from its roll-up",
     [](Spoiled& s) -> Wanted {
         const std::string r = Spoiled::service(any(s));
         Terms points = s.terms(BLN_KIND_ROLLUP, r, "points");
         for (auto& [id, weight] : points)
             if (id == any(s)) weight = -1;
         s.set(BLN_KIND_ROLLUP, r, "points", points);
         return {"circuit-subtracted", circuit(any(s))};
     }},
    {"half-a-sum", "all coefficients of a roll-up are halves",
     [](Spoiled& s) -> Wanted {
         const std::string r = Spoiled::service(any(s));
         s.set(BLN_KIND_ROLLUP, r, "points", s.terms(BLN_KIND_ROLLUP, r, "points"), 2);
         return {"circuit-counted-in-part", circuit(any(s))};
     }},
    {"add-the-main", "the main is added to what it feeds",
     [](Spoiled& s) -> Wanted {
         const std::string r = Spoiled::service(any(s));
         Terms points = s.terms(BLN_KIND_ROLLUP, r, "points");
         points.emplace_back(main_of(any(s)), 1);
         s.set(BLN_KIND_ROLLUP, r, "points", points);
         return {"circuit-rolled-up-twice", circuit(any(s))};
     }},
    {"sum-of-itself", "a roll-up adds itself",
     [](Spoiled& s) -> Wanted {
         const std::string r = Spoiled::service(any(s));
         s.set(BLN_KIND_ROLLUP, r, "rollups", Terms{{r, 1}});
         return {"rollup-in-itself", "rollup:" + r};
     }},
    {"behind-another-main", "a circuit moves to a panel behind another main",
     [](Spoiled& s) -> Wanted {
         const std::string p = some(s, [&](const auto& q) { return s.text(BLN_KIND_CIRCUIT, q, "phases").empty(); });
         s.add(BLN_KIND_PANEL, "P-new");
         s.set(BLN_KIND_PANEL, "P-new", "service", Spoiled::service(p));
         s.set(BLN_KIND_PANEL, "P-new", "fed_from", std::string("M-new"));
         if (!s.text(BLN_KIND_PANEL, panel(s, p), "bus").empty())
             s.set(BLN_KIND_PANEL, "P-new", "bus", s.text(BLN_KIND_PANEL, panel(s, p), "bus"));
         s.add(BLN_KIND_CIRCUIT, "M-new");
         s.set(BLN_KIND_CIRCUIT, "M-new", "panel", std::string("P-new"));
         s.set(BLN_KIND_CIRCUIT, "M-new", "phases", s.text(BLN_KIND_CIRCUIT, main_of(p), "phases"));
         s.set(BLN_KIND_CIRCUIT, "M-new", "role", std::string("main"));
         s.set(BLN_KIND_CIRCUIT, p, "panel", std::string("P-new"));
         return {"main-does-not-cover", point(p)};
     }},
};

}  // namespace

std::span<const Operator> operators() noexcept { return rows; }

}  // namespace support
