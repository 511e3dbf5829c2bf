// Policy keys of the proof: priors, load angles by kind, coupling, noise, thresholds.
#include "proof/proof_policy.hpp"

#include "proof/prove.hpp"

namespace bln {
namespace infer {
namespace {

constexpr std::string_view practice = "common practice, no source", ours = "our choice";
// A training text of the US Navy and a note on field testing put wrongly wired meters at 5 to 10 %; how that divides
// among the faults has no source.
constexpr std::string_view base =
    "sum within the published base rate of 5 to 10 %; division: common practice, no source";

#define BLN_SHARE(kind, words, value) \
    { "share." kind, "", "share of " words " among loads whose kind is not stated", practice, value, 0, 1 }
#define BLN_MEAN(kind, words, value) \
    { "angle." kind ".mean_deg", "deg", "usual load angle of " words, practice, value, -180, 180 }
#define BLN_SPREAD(kind, words, value) \
    { "angle." kind ".sd_deg", "deg", "standard deviation of the load angle of " words, practice, value, 0.5, 90 }
#define BLN_ONE(kind, words, value)                                                                                \
    {                                                                                                              \
        "agree." kind ".one", "", "probability that the poles of " words " have one angle and nearly one current", \
            practice, value, 0, 1                                                                                  \
    }
#define BLN_SIMILAR(kind, words, value)                                                                               \
    {                                                                                                                 \
        "agree." kind ".similar", "",                                                                                 \
            "probability that they are only similar; otherwise each is on its own (" words ")", practice, value, 0, 1 \
    }
#define BLN_SIMPLE(M, r, e, m, l, d, c, h, g, x)                                                                  \
    M("resistive", "heaters", r), M("electronic", "power supplies and lighting", e),                              \
        M("motor", "motors at working load", m), M("light_motor", "motors that run unloaded", l),                 \
        M("drive", "frequency converters", d), M("corrected", "loads with capacitors", c),                        \
        M("charging", "rectifiers with power-factor correction", h), M("generation", "generation, exporting", g), \
        M("mixed", "several kinds", x)
#define BLN_EVERY(M, r, e, m, l, d, c, h, g, x, u) \
    BLN_SIMPLE(M, r, e, m, l, d, c, h, g, x), M("not_stated", "loads of unknown kind", u)

// In the order of key::At.
constexpr PolicyKey keys[] = {
    {"set_factor", "", "a class is reported while its likelihood is at least the best one's divided by this", ours, 20,
     1, 1e6},
    {"listed_factor", "",
     "a class is listed as not excluded while its likelihood is at least the best one's divided by this", ours, 1000, 1,
     1e9},
    {"proven_factor", "",
     "likelihood of the record over that of every class of another wiring, for proven", ours, 10, 1,
     1e6},
    {"proven_probability", "", "least probability of the record for proven", ours, 0.99, 0.5, 1},
    {"likely_probability", "", "least probability of the record for likely", ours, 0.8, 0.5, 1},
    {"wrong_probability", "", "greatest probability of the record for wrong", ours, 0.05, 0, 0.5},
    {"extra_factor", "",
     "how much better a wrong ratio or two conductors must explain the readings than the same wiring without, to be "
     "reported as a class",
     ours, 5, 1, 1e6},
    {"snapshot_seconds", "s", "rows of one point within this time are one snapshot", ours, 2, 0, 86400},
    {"load_percent", "%", "least current that says anything, in percent of the rated primary current", practice, 1, 0,
     100},
    {"load_amps", "A", "least current that says anything", ours, 0.05, 0, 1000},
    {"load_volt_amps", "VA", "least apparent power that says anything, where there is no current", ours, 10, 0, 100000},
    {"contradiction_percent", "%", "how far quantities of one row may disagree before the row is set aside", ours, 3, 0,
     100},
    {"noise_percent", "%",
     "standard deviation of the size of one reading: class of CT and meter, and change of load between two channels of "
     "one snapshot",
     practice, 1.5, 0.01, 50},
    {"noise_degrees", "deg", "the same for its angle", practice, 1.5, 0.01, 30},
    {"odd_share", "", "probability that a reading of a snapshot has nothing to do with the usual angle of its load",
     ours, 0.001, 0.0001, 0.5},
    {"agree.one_deg", "deg", "standard deviation of the angle among poles that agree", practice, 3, 0.5, 30},
    {"agree.one_percent", "%", "standard deviation of the current among poles that agree", practice, 5, 0.5, 100},
    {"agree.similar_deg", "deg", "standard deviation of the angle among similar poles", practice, 12, 1, 60},
    {"agree.similar_percent", "%", "standard deviation of the current among similar poles", practice, 35, 1, 200},
    {"agree.separate_factor", "", "standard deviation of the natural logarithm of the current among poles on their own",
     practice, 1, 0.1, 5},
    {"agree.between_lines", "", "share of loads between lines on circuits with neutral, for each pole on its own",
     practice, 0.2, 0, 1},
    {"idle.separate", "", "probability that one pole of a loaded circuit with neutral takes nothing", practice, 0.1, 0,
     1},
    {"idle.one", "", "the same where the poles agree", practice, 0.002, 0, 1},
    {"fault.reversed_one", "", "prior of one reversed element", base, 0.022, 0, 1},
    {"fault.reversed_some", "", "prior of several reversed elements, not all", base, 0.003, 0, 1},
    {"fault.reversed_all", "", "prior of all elements reversed", base, 0.006, 0, 1},
    {"fault.exchanged", "", "prior of two exchanged CTs", base, 0.014, 0, 1},
    {"fault.rotated", "", "prior of three CTs shifted by one place", base, 0.006, 0, 1},
    {"fault.rotated_reversed", "", "prior of three CTs shifted by one place and all reversed", base, 0.002, 0, 1},
    {"fault.wrong_conductor", "", "prior of one CT on a conductor that is not its own", base, 0.012, 0, 1},
    {"fault.moved_reversed", "", "share of misplaced CTs that are reversed as well", practice, 0.12, 0, 1},
    {"fault.wild", "", "prior of all other placements together", base, 0.001, 0, 1},
    {"fault.dead", "", "prior of one element without current: open or shorted CT, dead channel", base, 0.006, 0, 1},
    {"fault.ratio", "", "prior of one wrong ratio", base, 0.008, 0, 1},
    {"fault.elsewhere", "", "prior of one CT on the same phase of another circuit: no reading of angles shows it", base,
     0.005, 0, 1},
    {"fault.leads_exchanged", "", "prior of two exchanged voltage leads of a device", base, 0.004, 0, 1},
    {"fault.leads_rotated", "", "prior of three voltage leads of a device shifted by one place", base, 0.002, 0, 1},
    {"foreign.own_kind", "",
     "probability that a conductor of another phase carries the circuit's own load: circuit on another phase than "
     "recorded",
     practice, 0.7, 0, 1},
    {"fault.unmodelled", "", "prior of anything else: readings of another site, an unknown supply", ours, 0.001, 0, 1},
    {"test.wrong", "", "probability that a test was made or written down wrongly", practice, 0.02, 0.0001, 0.5},
    {"test.percent", "%", "standard deviation of what a clamp meter or a known load says", practice, 5, 0.1, 50},
    {"tail.stated", "", "share of load angles anywhere between -90 and 90 degrees although the kind is stated",
     "common practice, no source: 5 % there", 0.02, 0, 1},
    {"tail.unstated", "", "share of load angles anywhere between -90 and 90 degrees, of loads of unknown kind",
     "common practice, no source", 0.05, 0, 1},
    {"tail.export", "", "share of angles anywhere on the circle: unstated generation", practice, 0.001, 0, 1},
    BLN_SIMPLE(BLN_MEAN, 0, 0, 35, 68, 5, -14, 0, 180, 15),
    BLN_SIMPLE(BLN_SPREAD, 2.5, 12, 7, 8, 6, 10, 3, 7, 14),
    BLN_SIMPLE(BLN_SHARE, 0.24, 0.22, 0.16, 0.03, 0.06, 0.03, 0.06, 0.002, 0.2),
    BLN_EVERY(BLN_ONE, 0.5, 0.15, 0.93, 0.93, 0.85, 0.5, 0.8, 0.85, 0.3, 0.4),
    BLN_EVERY(BLN_SIMILAR, 0.25, 0.4, 0.05, 0.05, 0.1, 0.3, 0.12, 0.1, 0.35, 0.3),
};
static_assert(sizeof keys / sizeof keys[0] == key::count);

}  // namespace
}  // namespace infer

std::span<const PolicyKey> proof_policy() noexcept { return infer::keys; }

}  // namespace bln
