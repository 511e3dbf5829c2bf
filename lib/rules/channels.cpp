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
    for (std::size_t i = 0; i < c.view.channel.size(); ++i) {
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
    struct Input {
        std::int32_t device;
        std::int64_t number;
        std::uint32_t channel;
        auto operator<=>(const Input&) const = default;
    };
    std::vector<Input> inputs;
    inputs.reserve(c.view.channel.size());
    for (std::uint32_t i = 0; i < c.view.channel.size(); ++i) {
        const auto& channel = c.view.channel[i];
        if (c.channel_uses[i].empty() && channel.cts.empty()) continue;
        if (!channel.device.given()) out.lacks(Kind::channel, i, field_of::channel::device);
        if (!channel.input) out.lacks(Kind::channel, i, field_of::channel::input);
        if (channel.device.resolved() && channel.input) inputs.push_back({channel.device.at, *channel.input, i});
    }
    std::sort(inputs.begin(), inputs.end());
    std::size_t first = 0;  // of the channels on the same input
    for (std::size_t i = 0; i < inputs.size(); ++i) {
        const auto& channel = c.view.channel[inputs[i].channel];
        if (inputs[i].device != inputs[first].device || inputs[i].number != inputs[first].number) first = i;
        if (first == i) {
            out.right();
            continue;
        }
        out.wrong()
            .about(Kind::channel, channel.id)
            .about(Kind::channel, c.view.channel[inputs[first].channel].id)
            .about(Kind::device, channel.device.id)
            .number("input", static_cast<double>(inputs[i].number), "")
            .at(pointer_to(Kind::channel, channel.id, "input"));
    }
}

}  // namespace bln::rules
