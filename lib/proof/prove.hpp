// Proof of points from live readings: which wirings explain what each point reads, and how surely.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "power/progress.hpp"
#include "proof/readings.hpp"
#include "site/finding.hpp"
#include "site/policy.hpp"
#include "site/view.hpp"

namespace bln {

enum class PointVerdict : std::uint8_t {
    proven = 10,      ///< as recorded, and nothing else explains the readings
    likely = 20,      ///< as recorded is by far the most probable
    open = 30,        ///< several explanations
    wrong = 40,       ///< not as recorded
    not_loaded = 50,  ///< too little current to say anything
    not_judged = 60,  ///< no reading that counts, or a fact of the record is missing
};

enum class TestKind : std::uint8_t {
    voltmeter = 10,   ///< `value` V between the conductor in the CT and voltage terminal `conductor` of its device
    clamp = 20,       ///< `value` A round the conductor in the CT while the channel reads `before` A
    known_load = 30,  ///< a resistive load of `value` W switched on at pole `conductor` of `circuit`: the channel's
                      ///< readings change by `watts` and `vars`
    switching = 40,   ///< the breaker of `circuit` switched off: the channel reads `before` A, then `after` A
    inspection = 50,  ///< somebody looked: the CT is round `conductor`, its direction against the record is `sign`
};
/// A test on one channel.
struct ProofTest {
    TestKind kind = TestKind::voltmeter;
    std::string channel, conductor, circuit;
    double value = 0, before = 0, after = 0, watts = 0, vars = 0;
    std::int32_t sign = 0;  ///< 1, -1; 0: not seen
};

/// Where one element's CT hangs in one explanation.
struct ProofPlacement {
    std::string channel;
    std::string conductor;  ///< A, B, C, N; "none": it has no current; "recorded": several, as recorded
    std::string also;       ///< second conductor, or "none"
    std::string ratio;      ///< true over configured: "1", "2", "1/2"
    std::int32_t sign = 1;  ///< against the record
    bool dead = false;
    bool foreign = false;  ///< a conductor of another circuit
};
struct ProofMember {
    std::string words;  ///< "element 2 on C, reversed"
    std::string leads;  ///< of these, what is said of the device's voltage leads, or empty
    std::vector<ProofPlacement> placements;
};
/// Explanations that no reading tells apart.
struct ProofClass {
    double probability = 0, likelihood_ratio = 0;  ///< ratio: against the best
    bool is_record = false;
    std::vector<ProofMember> members;
};
struct PointProof {
    std::string point;
    PointVerdict verdict = PointVerdict::not_judged;
    double probability = 0;  ///< of the class that is named first
    double record_probability = 0;
    std::uint32_t snapshots = 0, elements = 0, loaded = 0;
    std::vector<ProofClass> classes;        ///< best first
    std::vector<std::string> not_excluded;  ///< what stays possible beside them
    std::string evidence;                   ///< why, in words with the numbers
};

struct SiteProof {
    std::vector<PointProof> points;  ///< positions equal to those of the record
    Report report;
};

/// Throws BLN_E_VALUE, BLN_E_NOT_FINITE (a test that says nothing that is defined), BLN_E_CANCELLED, std::bad_alloc.
[[nodiscard]] SiteProof prove(const View& view, const Readings& readings, std::span<const ProofTest> tests,
                              const Policy& policy, const Progress& progress = {});

/// English texts of the findings of the proof that the live check does not have.
[[nodiscard]] std::span<const Message> proof_messages() noexcept;
/// Keys of the domain BLN_POLICY_PROOF.
[[nodiscard]] std::span<const PolicyKey> proof_policy() noexcept;

}  // namespace bln
