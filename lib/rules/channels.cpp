// One current input counts once.
#include <map>
#include <utility>

#include "rules/context.hpp"
#include "rules/rules.hpp"
#include "rules/verdicts.hpp"

namespace bln::rules {

// Several points may divide a channel as long as the parts make one whole. A negative share takes
// away what another point measures downstream, so it is no part. Points that bill nobody may look on.
void channel_used_twice(const Context& c, Verdicts& out) {
    for (std::size_t i = 0; i < c.view.channel.size(); ++i) {
        std::optional<Rational> total{0};
        std::vector<std::uint32_t> points;
        for (const Use& u : c.channel_uses[i]) {
            if (!c.bills(u.point) || !(Rational(0) < u.share)) continue;
            points.push_back(u.point);
            if (total) total = sum(*total, u.share);
        }
        if (points.empty()) continue;
        if (points.size() == 1 || (total && *total == Rational(1))) {
            out.right();
            continue;
        }
        const auto& channel = c.view.channel[i];
        Finding& f = total ? out.wrong() : out.undecided();
        f.about(Kind::channel, channel.id);
        std::vector<std::string> names;
        for (const std::uint32_t p : points) {
            f.about(Kind::point, c.view.point[p].id);
            names.emplace_back(c.view.point[p].id);
        }
        f.word("points", listed(names));
        if (total) f.number("measured", total->real(), "").word("shares", total->text());
        f.number("expected", 1, "");
        f.at(pointer_to(Kind::point, c.view.point[points.back()].id, "elements"));
    }
}

void input_used_twice(const Context& c, Verdicts& out) {
    // Inputs of a device are few or many; a map per record is small beside the record.
    std::map<std::pair<std::int32_t, std::int64_t>, std::uint32_t> first;
    for (std::uint32_t i = 0; i < c.view.channel.size(); ++i) {
        const auto& channel = c.view.channel[i];
        if (c.channel_uses[i].empty() && channel.cts.empty()) continue;
        if (!channel.device.given()) out.lacks(Kind::channel, i, field_of::channel::device);
        if (!channel.input) out.lacks(Kind::channel, i, field_of::channel::input);
        if (!channel.device.resolved() || !channel.input) continue;
        const auto [at, is_new] = first.try_emplace({channel.device.at, *channel.input}, i);
        if (is_new) {
            out.right();
            continue;
        }
        out.wrong()
            .about(Kind::channel, channel.id)
            .about(Kind::channel, c.view.channel[at->second].id)
            .about(Kind::device, channel.device.id)
            .number("input", static_cast<double>(*channel.input), "")
            .at(pointer_to(Kind::channel, channel.id, "input"));
    }
}

}  // namespace bln::rules
