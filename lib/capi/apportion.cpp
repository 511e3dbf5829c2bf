// Apportionment: parts and working.
#include "capi/calendar.hpp"
#include "capi/sized.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

const energy::Apportionment& core(const bln_apportionment* result) { return required(result, "result").core; }

energy::ShareRule rule_of(const bln_share_rule* from) {
    const bln_share_rule r = take(from, "rule");
    switch (r.method) {
        case BLN_SHARE_EQUAL:
        case BLN_SHARE_AREA:
        case BLN_SHARE_USE:
        case BLN_SHARE_GIVEN:
            break;
        default:
            throw Failure(BLN_E_RANGE, "there is no such method of apportionment");
    }
    return {static_cast<energy::ShareMethod>(r.method), r.total, r.from, r.to,
            r.unit == nullptr ? std::string() : std::string(required_text(r.unit, "rule->unit"))};
}

energy::ShareKey key_of(const bln_share_key& from) {
    const bln_share_key k = take(&from, "a key");
    if (k.kind != BLN_KEY_WEIGHT && k.kind != BLN_KEY_EXCLUDED && k.kind != BLN_KEY_CAP)
        throw Failure(BLN_E_RANGE, "there is no such kind of key");
    energy::ShareKey key;
    key.kind = static_cast<energy::KeyKind>(k.kind);
    key.id = required_text(k.id, "the id of a key");
    key.from = k.from;
    key.to = k.to;
    if (key.kind != energy::KeyKind::excluded) {
        if (k.den <= 0) throw Failure(BLN_E_RANGE, "the denominator of a key is not positive", key.id);
        key.value = Rational(k.num, k.den);
    }
    if (k.reason != nullptr) key.reason = required_text(k.reason, "the reason of a key");
    return key;
}

}  // namespace

extern "C" {

bln_status bln_apportion(const bln_share_rule* rule, const bln_site* site, bln_instant known, const bln_share_key* keys,
                         size_t n, bln_apportionment** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        energy::ShareRule wanted = rule_of(rule);
        std::vector<energy::ShareKey> given;
        given.reserve(n);
        for (std::size_t i = 0; i < n; ++i) given.push_back(key_of((&required(keys, "keys"))[i]));
        if (site != nullptr) {
            energy::check_premises(*site->model, given);
            if (wanted.method == energy::ShareMethod::equal || wanted.method == energy::ShareMethod::area) {
                std::vector<energy::ShareKey> premises = energy::keys_of_premises(site->model, known, wanted, given);
                given.insert(given.end(), std::make_move_iterator(premises.begin()),
                             std::make_move_iterator(premises.end()));
            }
        }
        auto made = std::make_unique<bln_apportionment>();
        made->core = energy::apportion(std::move(wanted), std::move(given));
        return made;
    });
}
size_t bln_apportionment_count(const bln_apportionment* result) BLN_NOEXCEPT {
    return result == nullptr ? 0 : result->core.parts.size();
}
bln_status bln_apportionment_at(const bln_apportionment* result, size_t i, bln_share_part* out,
                                bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const energy::SharePart& p = item_at(core(result).parts, i, "party");
        hand_out(out,
                 bln_share_part{0, p.extra ? 1 : 0, p.id.c_str(), p.part, p.exact, p.remainder, p.exact_ratio.c_str(),
                                p.cap, p.capped ? 1 : 0, 0},
                 "out");
    });
}
size_t bln_apportionment_steps(const bln_apportionment* result) BLN_NOEXCEPT {
    return result == nullptr ? 0 : result->core.steps.size();
}
bln_status bln_apportionment_step(const bln_apportionment* result, size_t i, bln_share_step* out,
                                  bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const energy::ShareStep& s = item_at(core(result).steps, i, "step");
        hand_out(out,
                 bln_share_step{0, static_cast<std::int32_t>(s.kind), s.id.c_str(), s.from, s.to, s.value,
                                s.exact.c_str(), s.words.c_str()},
                 "out");
    });
}
bln_status bln_apportionment_words(const bln_apportionment* result, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(energy::apportionment_words(core(result))); });
}
bln_status bln_apportionment_json(const bln_apportionment* result, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(energy::apportionment_json(core(result))); });
}
void bln_apportionment_free(bln_apportionment* result) BLN_NOEXCEPT { delete result; }

}  // extern "C"
