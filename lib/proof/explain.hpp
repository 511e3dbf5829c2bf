// Explanations in words, and as places of CTs.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "proof/posterior.hpp"
#include "proof/prove.hpp"

namespace bln::infer {

/// One load of a point, with everything that was found out about it.
struct Group {
    const Shape* shape = nullptr;      ///< as recorded
    std::vector<const Shape*> mapped;  ///< by map of the device's voltage leads; the first as recorded
    std::vector<std::string> leads;    ///< words of each map
    Load load = Load::unknown;
    std::int32_t circuit = -1;
    std::vector<std::size_t> elements;  ///< positions in the point
    std::vector<std::string> channels;  ///< ids, by element
    std::vector<Sight> sights;
    std::vector<std::int32_t> channel_at;  ///< positions of the channels in the view
    Posterior posterior;
    PointVerdict verdict = PointVerdict::not_judged;
    std::string why;  ///< what stands in the way of a better verdict
};

inline constexpr std::size_t most_members = 64;

/// The shape that an explanation speaks of.
[[nodiscard]] inline const Shape& shape_of(const Group& g, const Explained& x) noexcept {
    return x.map == 0 || g.mapped.empty() ? *g.shape : *g.mapped[static_cast<std::size_t>(x.map)];
}
/// Members of a class: all placements that read alike.
[[nodiscard]] std::vector<ProofMember> members_of(const Group& group, const Explained& x);
/// Words of its simplest member.
[[nodiscard]] std::string words_of(const Group& group, const Explained& x);
/// "K1 reads 1,234 W and 321 var (14.6 deg)", for each element; then the load angles of the record.
[[nodiscard]] std::string evidence_of(const Group& group, const Readings& readings);
/// Angle of the load in degrees that an explanation asks of an element, in its snapshot of greatest load; and
/// whether there is one.
[[nodiscard]] bool load_angle(const Group& group, const Explained& x, std::size_t element, double& degrees);

}  // namespace bln::infer
