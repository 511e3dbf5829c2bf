// Keys of an apportionment from the premises of a record.
#include <algorithm>

#include "energy/apportion.hpp"
#include "power/failure.hpp"
#include "site/finding.hpp"
#include "site/instant.hpp"
#include "site/json_text.hpp"
#include "site/view.hpp"

namespace bln::energy {
namespace {

/// The decimal number that the record shows, exactly: 125.5 is 251/2.
Rational decimal(double value, const std::string& id) {
    const std::string text = json_number(value);
    std::int64_t num = 0, den = 1;
    bool fraction = false;
    for (const char c : text) {
        if (c == '.') {
            fraction = true;
            continue;
        }
        const bool digit = c >= '0' && c <= '9';
        if (!digit || __builtin_mul_overflow(num, std::int64_t{10}, &num) ||
            __builtin_add_overflow(num, std::int64_t{c - '0'}, &num) ||
            (fraction && __builtin_mul_overflow(den, std::int64_t{10}, &den)))
            throw Failure(BLN_E_OVERFLOW, "the area of premises " + id + " has too many digits: " + text, id,
                          pointer_to(Kind::premises, id, "area_m2"));
    }
    return {num, den};
}

bool excluded(const std::vector<ShareKey>& given, const ShareKey& key) {
    return std::any_of(given.begin(), given.end(), [&key](const ShareKey& g) {
        return g.kind == KeyKind::excluded && g.id == key.id && g.from <= key.from && g.to >= key.to;
    });
}

}  // namespace

std::vector<ShareKey> keys_of_premises(const std::shared_ptr<const Model>& model, Instant known, const ShareRule& rule,
                                       const std::vector<ShareKey>& given) {
    std::vector<Instant> edges{rule.from};
    for (const Instant at : model->breakpoints(known))
        if (at > rule.from && at < rule.to) edges.push_back(at);
    edges.push_back(rule.to);
    std::vector<ShareKey> keys;
    std::vector<std::size_t> last(model->entities(Kind::premises).size(), static_cast<std::size_t>(-1));
    for (std::size_t s = 0; s + 1 < edges.size(); ++s) {
        const View view(model, edges[s], known);
        for (std::size_t i = 0; i < view.premises.size(); ++i) {
            const as_of::premises& p = view.premises[i];
            ShareKey key;
            key.id = p.id;
            key.from = edges[s];
            key.to = edges[s + 1];
            if (p.occupancy == Occupancy::common) {
                key.kind = KeyKind::excluded;
                key.reason = "the record says that these premises are common";
            } else if (rule.method == ShareMethod::area) {
                if (!p.area_m2 && excluded(given, key)) continue;
                if (!p.area_m2)
                    throw Failure(BLN_E_ABSENT,
                                  "premises " + key.id + " have no area at " + instant_text(edges[s]) +
                                      ": enter it, or exclude them",
                                  key.id, pointer_to(Kind::premises, key.id, "area_m2"));
                key.value = decimal(*p.area_m2, key.id);
            }
            // One key for as long as nothing changes, so that the working shows only real changes.
            if (last[i] != static_cast<std::size_t>(-1)) {
                ShareKey& before = keys[last[i]];
                if (before.kind == key.kind && before.value == key.value) {
                    before.to = key.to;
                    continue;
                }
            }
            last[i] = keys.size();
            keys.push_back(std::move(key));
        }
    }
    return keys;
}

void check_premises(const Model& model, const std::vector<ShareKey>& keys) {
    for (const ShareKey& k : keys)
        if (model.find(Kind::premises, k.id) < 0)
            throw Failure(BLN_E_NO_ENTITY, "the record has no premises " + k.id, k.id);
}

}  // namespace bln::energy
