// The pieces of a live check, in the order in which they run.
#pragma once

#include <vector>

#include "proof/live.hpp"
#include "proof/wiring.hpp"

namespace bln::proof {

using namespace live_at;

struct Inputs {
    const View& view;
    const Readings& readings;
    const Policy& policy;
    std::vector<ChannelWiring> wiring;           ///< of each channel of the record
    std::vector<std::int32_t> point_of;          ///< first point of each channel, or -1
    std::vector<std::vector<std::size_t>> rows;  ///< rows of each channel of the record that count
};

/// Says what is wrong with the rows themselves, and gathers those that count.
void judge_rows(Inputs& in, Live& out);
void judge_channel(const Inputs& in, std::size_t channel, Live& out);
void judge_points(const Inputs& in, Live& out);
void judge_sums(const Inputs& in, Live& out);
/// Active power of a row, from what is given.
[[nodiscard]] std::optional<double> watts_of(const Reading& r) noexcept;

}  // namespace bln::proof
