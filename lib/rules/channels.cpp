// One current input counts once.
#include <algorithm>
#include <compare>

#include "rules/context.hpp"
#include "rules/describe.hpp"
#include "rules/rules.hpp"
#include "rules/verdicts.hpp"

namespace bln::rules {

// Several points may divide a channel as long as the parts make one whole. Points that bill nobody may look on.
void channel_used_twice(const Context& c, Verdicts& out) {
    for (const std::uint32_t i : out.over(Kind::channel)) {
        const Parts parts = c.parts_of_channel(i);
        if (parts.points.empty()) continue;
        if (parts.whole()) {
            out.right();
            continue;
        }
        Finding& f = parts.total ? out.wrong() : out.undecided();
        f.about(Kind::channel, c.view.channel[i].id);
        say_parts(c, parts, f);
        f.at(pointer_to(Kind::point, c.view.point[parts.points.back()].id, "elements"));
    }
}

void input_used_twice(const Context& c, Verdicts& out) {
    const View& v = c.view;
    const auto counts = [&](std::uint32_t i) { return !c.channel_uses[i].empty() || !v.channel[i].cts.empty(); };
    for (const std::uint32_t i : out.over(Kind::channel)) {
        if (!counts(i)) continue;
        if (!v.channel[i].device.given()) out.lacks(Kind::channel, i, field_of::channel::device);
        if (!v.channel[i].input) out.lacks(Kind::channel, i, field_of::channel::input);
    }
    struct Input {
        std::int64_t number;
        std::uint32_t channel;
        auto operator<=>(const Input&) const = default;
    };
    std::vector<Input> inputs;
    for (const std::uint32_t d : out.over(Kind::device)) {
        inputs.clear();
        for (const std::uint32_t i : c.device_channels[d])
            if (counts(i) && v.channel[i].input) inputs.push_back({*v.channel[i].input, i});
        std::sort(inputs.begin(), inputs.end());
        std::size_t first = 0;  // of the channels on the same input
        for (std::size_t i = 0; i < inputs.size(); ++i) {
            if (inputs[i].number != inputs[first].number) first = i;
            if (first == i) {
                out.right();
                continue;
            }
            const auto& channel = v.channel[inputs[i].channel];
            out.wrong()
                .about(Kind::channel, channel.id)
                .about(Kind::channel, v.channel[inputs[first].channel].id)
                .about(Kind::device, v.device[d].id)
                .number("input", static_cast<double>(inputs[i].number), "")
                .at(pointer_to(Kind::channel, channel.id, "input"));
        }
    }
}

}  // namespace bln::rules
