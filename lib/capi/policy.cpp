// Policies: limits and switches, by key or from JSON.
#include <utility>
#include <vector>

#include "capi/policies.hpp"
#include "capi/sized.hpp"
#include "site/json_tree.hpp"
#include "site/reader.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

/// Sets every key of the document; lists what is wrong with it.
void read_keys(const JsonDocument& document, Policy& values) {
    if (!document.root.is_object()) document.fail(document.root, BLN_E_TYPE, "a policy is one object of numbers");
    std::vector<ErrorItem> errors;
    for (std::size_t i = 0; i < document.root.items.size() && errors.size() < most_errors; ++i) {
        const std::string& key = document.root.keys[i];
        const Json& value = document.root.items[i];
        if (values.find(key) >= 0 && !value.is_number()) {
            errors.push_back(document.item(value, BLN_E_TYPE, key + " is a number"));
            continue;
        }
        try {
            values.set(key, value.real());
        } catch (const Failure& f) {
            errors.push_back(document.item(value, f.items().front().status, f.items().front().message));
        }
    }
    if (!errors.empty()) throw Failure(std::move(errors));
}

}  // namespace

extern "C" {

bln_status bln_policy_new(int32_t domain, bln_policy** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const std::span<const PolicyKey> table = policy_table(domain);
        if (table.empty()) throw Failure(BLN_E_RANGE, "there is no policy domain " + std::to_string(domain));
        return std::make_unique<bln_policy>(bln_policy{domain, Policy(table)});
    });
}

bln_status bln_policy_set(bln_policy* policy, const char* key, double value, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] { required(policy, "policy").values.set(required_text(key, "key"), value); });
}

bln_status bln_policy_get(const bln_policy* policy, const char* key, double* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        double& target = required(out, "out");
        target = required(policy, "policy").values.get(required_text(key, "key"));
    });
}

bln_status bln_policy_read(bln_policy* policy, const char* json, size_t n, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        Policy& values = required(policy, "policy").values;
        const JsonDocument document = parse_json(required_bytes(json, n, "json"));
        Policy changed = values;
        read_keys(document, changed);
        std::swap(values, changed);
    });
}

size_t bln_policy_count(int32_t domain) BLN_NOEXCEPT { return policy_table(domain).size(); }

bln_status bln_policy_at(int32_t domain, size_t i, bln_policy_info* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        (void)required(out, "out");
        const PolicyKey& row = item_at(policy_table(domain), i, "key");
        hand_out(out,
                 bln_policy_info{0, 0, row.key.data(), row.unit.data(), row.doc.data(), row.source.data(), row.initial,
                                 row.low, row.high},
                 "out");
    });
}

void bln_policy_free(bln_policy* policy) BLN_NOEXCEPT { delete policy; }

}  // extern "C"
