// What registers can do, as JSON says it, and what one step of a register means.
#include "energy/column_map.hpp"
#include "energy/registers.hpp"
#include "site/instant.hpp"
#include "site/json_tree.hpp"

namespace bln {
namespace {

class RuleReader {
public:
    explicit RuleReader(std::string_view json) : document_(parse_json(json)) {}

    RegisterRule read() {
        const Json& root = document_.root;
        if (!root.is_object()) fail(root, BLN_E_TYPE, "a register rule is an object");
        for (std::size_t i = 0; i < root.keys.size(); ++i)
            if (!limit(root.keys[i], root.items[i], rule_.usual) && root.keys[i] != "channels" &&
                root.keys[i] != "exchanges")
                fail(root.items[i], BLN_E_FIELD, "a register rule has no key \"" + root.keys[i] + "\"");
        if (const Json* channels = root.find("channels"); channels != nullptr) read_channels(*channels);
        if (const Json* exchanges = root.find("exchanges"); exchanges != nullptr) read_exchanges(*exchanges);
        return std::move(rule_);
    }

private:
    [[noreturn]] void fail(const Json& at, bln_status status, std::string message) const {
        document_.fail(at, status, std::move(message));
    }
    std::int64_t whole(const Json& j, std::int64_t least) const {
        std::int64_t n = 0;
        if (!j.is_number()) fail(j, BLN_E_TYPE, "an integer is expected");
        if (!json_integer(j.text, n) || n < least)
            fail(j, BLN_E_VALUE, "an integer of at least " + std::to_string(least) + " is expected");
        return n;
    }
    bool limit(std::string_view key, const Json& j, RegisterLimits& to) const {
        if (key == "modulus")
            to.modulus = whole(j, 2);
        else if (key == "max_watts")
            to.max_watts = whole(j, 1);
        else if (key == "jitter")
            to.jitter = whole(j, 0);
        else
            return false;
        return true;
    }
    void read_channels(const Json& j) {
        if (!j.is_object()) fail(j, BLN_E_TYPE, "channels is an object: id to limits");
        for (std::size_t i = 0; i < j.keys.size(); ++i) {
            const Json& one = j.items[i];
            if (!one.is_object()) fail(one, BLN_E_TYPE, "the limits of a channel are an object");
            RegisterLimits limits = rule_.usual;
            for (std::size_t k = 0; k < one.keys.size(); ++k)
                if (!limit(one.keys[k], one.items[k], limits))
                    fail(one.items[k], BLN_E_FIELD, "there is no limit \"" + one.keys[k] + "\"");
            rule_.channels.emplace_back(j.keys[i], limits);
        }
    }
    void read_exchanges(const Json& j) {
        if (!j.is_array()) fail(j, BLN_E_TYPE, "exchanges is an array");
        for (const Json& one : j.items) {
            if (!one.is_object()) fail(one, BLN_E_TYPE, "an exchange is an object");
            RegisterExchange x;
            unsigned seen = 0;
            for (std::size_t k = 0; k < one.keys.size(); ++k) {
                const Json& v = one.items[k];
                const std::string& key = one.keys[k];
                if ((key == "channel" || key == "register" || key == "at") && !v.is_string())
                    fail(v, BLN_E_TYPE, "a text is expected");
                if (key == "channel") {
                    x.channel = v.text;
                    seen |= 1;
                } else if (key == "register") {
                    if (!quantity_of(v.text, x.quantity))
                        fail(v, BLN_E_VALUE, "there is no register \"" + v.text + "\"");
                    seen |= 2;
                } else if (key == "at") {
                    if (const std::string_view why = read_instant(v.text, x.at); !why.empty())
                        fail(v, BLN_E_VALUE, std::string(why));
                    seen |= 4;
                } else if (key == "last") {
                    x.last = whole(v, INT64_MIN);
                    seen |= 8;
                } else if (key == "first") {
                    x.first = whole(v, INT64_MIN);
                    seen |= 16;
                } else if (key != "reason" && key != "evidence") {
                    fail(v, BLN_E_FIELD, "an exchange has no key \"" + key + "\"");
                }
            }
            if (seen != 31) fail(one, BLN_E_VALUE, "an exchange needs channel, register, at, last and first");
            rule_.exchanges.push_back(std::move(x));
        }
    }

    JsonDocument document_;
    RegisterRule rule_;
};

/// a*b*c*d, or the greatest number where it does not fit.
Wide product(std::int64_t a, std::int64_t b, std::int64_t c, std::int64_t d) noexcept {
    constexpr Wide most = static_cast<Wide>(~UWide{0} >> 1U);
    Wide out = Wide{a} * b;
    if (__builtin_mul_overflow(out, Wide{c}, &out) || __builtin_mul_overflow(out, Wide{d}, &out)) return most;
    return out;
}

}  // namespace

RegisterRule RegisterRule::read(std::string_view json) { return RuleReader(json).read(); }

const RegisterLimits& RegisterRule::of(std::string_view channel) const noexcept {
    for (const auto& [id, limits] : channels)
        if (id == channel) return limits;
    return usual;
}

RegisterMove register_move(std::int64_t before, std::int64_t after, std::int64_t elapsed, bool one_way,
                           const RegisterLimits& limits, const Rational& wh_per_count) noexcept {
    constexpr std::int64_t hour = 3'600'000'000;  // microseconds
    const Wide d = Wide{after} - before;
    const Wide r = limits.modulus;
    const bool bounded = limits.max_watts > 0;
    const Wide size = d < 0 ? -d : d;
    if (size > INT64_MAX) return {false, false, one_way && d < 0 ? StepKind::backwards : StepKind::too_fast, 0};
    // Energy within 1.1 * max_watts * elapsed, both sides in the same unit.
    const auto within = [&](Wide counts) {
        return product(static_cast<std::int64_t>(counts), wh_per_count.num(), hour, 10) <=
               product(limits.max_watts, elapsed, wh_per_count.den(), 11);
    };
    // Time too short for max_watts to bring a whole modulus (half of one where the sign is open as well).
    const bool once = bounded && r > 0 &&
                      product(limits.max_watts, elapsed, wh_per_count.den(), one_way ? 1 : 2) <
                          product(limits.modulus, wh_per_count.num(), hour, 1);
    if (one_way) {
        if (d < 0 && -d <= limits.jitter) return {true, false, StepKind::jitter, 0};
        if (r > 0 && d > 0 && r - d <= limits.jitter) return {true, false, StepKind::jitter, 0};
        if (bounded && r > 0 && !once) return {false, false, StepKind::too_long, 0};
        if (d >= 0) {
            if (bounded && !within(d)) return {false, false, StepKind::too_fast, 0};
            return {true, true, StepKind::gap, static_cast<std::int64_t>(d)};
        }
        if (once && within(d + r)) return {true, false, StepKind::rollover, static_cast<std::int64_t>(d + r)};
        return {false, false, StepKind::backwards, 0};
    }
    if (r == 0) {
        if (bounded && !within(size)) return {false, false, StepKind::too_fast, 0};
        return {true, true, StepKind::gap, static_cast<std::int64_t>(d)};
    }
    if (bounded && !once) return {false, false, StepKind::too_long, 0};
    Wide shortest = d % r;
    if (shortest * 2 > r) shortest -= r;
    if (shortest * 2 < -r) shortest += r;
    if (shortest == d) {
        if (bounded && !within(size)) return {false, false, StepKind::too_fast, 0};
        return {true, true, StepKind::gap, static_cast<std::int64_t>(d)};
    }
    // Without a bound on the power nobody can tell a long way from a short one.
    if (!once || !within(shortest < 0 ? -shortest : shortest)) return {false, false, StepKind::backwards, 0};
    return {true, false, StepKind::rollover, static_cast<std::int64_t>(shortest)};
}

}  // namespace bln
