#include "rules/sums.hpp"

namespace bln::rules {
namespace {

enum class Mark : std::uint8_t { fresh, open, done };

}  // namespace

/// Depth first without recursion: a record may nest as deep as it likes.
Nesting nesting_of(const View& v) {
    const std::size_t n = v.rollup.size();
    Nesting out{std::vector<bool>(n, true), std::vector<bool>(n, false), {}};
    std::vector<Mark> mark(n, Mark::fresh);
    struct Frame {
        std::uint32_t at;
        std::size_t next;
    };
    std::vector<Frame> path;
    for (std::uint32_t start = 0; start < n; ++start) {
        if (mark[start] != Mark::fresh) continue;
        path.push_back({start, 0});
        mark[start] = Mark::open;
        while (!path.empty()) {
            Frame& top = path.back();
            const auto inner = v.rollup[top.at].rollups;
            if (top.next == inner.size()) {
                mark[top.at] = Mark::done;
                if (!out.circular[top.at]) out.order.push_back(top.at);
                path.pop_back();
                continue;
            }
            const Ref& ref = inner[top.next++].ref;
            if (!ref.resolved()) continue;
            const auto to = static_cast<std::uint32_t>(ref.at);
            out.root[to] = out.root[to] && to == top.at;
            if (mark[to] == Mark::open) {
                for (std::size_t k = path.size(); k-- > 0;) {
                    out.circular[path[k].at] = true;
                    if (path[k].at == to) break;
                }
            } else if (mark[to] == Mark::fresh) {
                mark[to] = Mark::open;
                path.push_back({to, 0});
            }
        }
    }
    return out;
}

}  // namespace bln::rules
