// Proof of points from live readings.
#include <vector>

#include "capi/live.hpp"
#include "capi/sized.hpp"
#include "proof/prove.hpp"

struct bln_proof {
    std::shared_ptr<const bln::SiteProof> core;
};

using namespace bln;
using namespace bln::capi;

namespace {

const PointProof& point_of(const bln_proof* proof, std::size_t i) {
    return item_at(required(proof, "proof").core->points, i, "point");
}
const ProofClass& class_of(const bln_proof* proof, std::size_t i, std::size_t k) {
    return item_at(point_of(proof, i).classes, k, "class");
}
const ProofMember& member_of(const bln_proof* proof, std::size_t i, std::size_t k, std::size_t m) {
    return item_at(class_of(proof, i, k).members, m, "member");
}

std::vector<ProofTest> tests_of(const bln_proof_test* tests, std::size_t n) {
    std::vector<ProofTest> out;
    const char* at = n == 0 ? nullptr : reinterpret_cast<const char*>(&required(tests, "tests"));
    for (std::size_t i = 0; i < n; ++i) {
        // Rows stand as far apart as the caller's struct is long.
        const auto* row = reinterpret_cast<const bln_proof_test*>(at + i * tests->size);
        const bln_proof_test t = take(row, "tests");
        if (t.kind != BLN_TEST_VOLTMETER && t.kind != BLN_TEST_CLAMP && t.kind != BLN_TEST_KNOWN_LOAD &&
            t.kind != BLN_TEST_SWITCHING && t.kind != BLN_TEST_INSPECTION)
            throw Failure(BLN_E_RANGE, "test " + std::to_string(i + 1) + ": there is no such kind of test");
        out.push_back({static_cast<TestKind>(t.kind), std::string(required_text(t.channel, "channel")),
                       t.conductor == nullptr ? "" : t.conductor, t.circuit == nullptr ? "" : t.circuit, t.value,
                       t.before, t.after, t.watts, t.vars, t.sign});
    }
    return out;
}

}  // namespace

extern "C" {

bln_status bln_proof_new(const bln_view* view, const bln_readings* readings, const bln_proof_test* tests, size_t n,
                         const bln_policy* policy, bln_progress progress, void* user, bln_proof** out,
                         bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const View& v = *required(view, "view").view;
        const Readings& r = *required(readings, "readings").core;
        if (policy != nullptr && policy->domain != BLN_POLICY_PROOF)
            throw Failure(BLN_E_ARGUMENT, "the policy belongs to another domain than BLN_POLICY_PROOF");
        const Policy limits = policy == nullptr ? Policy(proof_policy()) : policy->values;
        return holding<bln_proof>(
            std::make_shared<const SiteProof>(prove(v, r, tests_of(tests, n), limits, Progress(progress, user))));
    });
}

size_t bln_proof_point_count(const bln_proof* proof) BLN_NOEXCEPT {
    return proof == nullptr ? 0 : proof->core->points.size();
}

bln_status bln_proof_point_at(const bln_proof* proof, size_t i, bln_proof_point* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const PointProof& p = point_of(proof, i);
        hand_out(
            out,
            bln_proof_point{0, static_cast<std::int32_t>(p.verdict), p.point.c_str(), p.evidence.c_str(), p.probability,
                            p.record_probability, static_cast<std::uint32_t>(p.classes.size()),
                            static_cast<std::uint32_t>(p.not_excluded.size()), p.snapshots, p.elements, p.loaded, 0},
            "out");
    });
}

bln_status bln_proof_class_at(const bln_proof* proof, size_t i, size_t k, bln_proof_class* out,
                              bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const ProofClass& c = class_of(proof, i, k);
        hand_out(out,
                 bln_proof_class{0, c.is_record ? 1 : 0, c.probability, c.likelihood_ratio, c.members[0].words.c_str(),
                                 static_cast<std::uint32_t>(c.members.size()), 0},
                 "out");
    });
}

bln_status bln_proof_member_at(const bln_proof* proof, size_t i, size_t k, size_t m, const char** words,
                               const char** leads, size_t* placements, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const ProofMember& member = member_of(proof, i, k, m);
        required(words, "words") = member.words.c_str();
        required(leads, "leads") = member.leads.c_str();
        required(placements, "placements") = member.placements.size();
    });
}

bln_status bln_proof_placement_at(const bln_proof* proof, size_t i, size_t k, size_t m, size_t e,
                                  bln_proof_placement* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const ProofPlacement& p = item_at(member_of(proof, i, k, m).placements, e, "placement");
        hand_out(out,
                 bln_proof_placement{0, p.sign, p.channel.c_str(), p.conductor.c_str(), p.also.c_str(), p.ratio.c_str(),
                                     p.dead ? 1 : 0, p.foreign ? 1 : 0},
                 "out");
    });
}

bln_status bln_proof_not_excluded_at(const bln_proof* proof, size_t i, size_t k, const char** words,
                                     bln_error** err) BLN_NOEXCEPT {
    return guarded(
        err, [&] { required(words, "words") = item_at(point_of(proof, i).not_excluded, k, "possibility").c_str(); });
}

bln_status bln_proof_report(const bln_proof* proof, bln_report** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        auto made = std::make_unique<bln_report>();
        made->report = required(proof, "proof").core->report;
        return made;
    });
}

void bln_proof_free(bln_proof* proof) BLN_NOEXCEPT { delete proof; }

}  // extern "C"
