// Which entities a run of the rules looks at: all of them, or those that an edit may have touched.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "site/fields.hpp"
#include "site/model.hpp"

namespace bln::rules {

/// Positions 0..n-1, or the positions of a list.
class Each {
public:
    Each(const std::uint32_t* list, std::size_t n) noexcept : list_(list), n_(n) {}
    class Iterator {
    public:
        Iterator(const std::uint32_t* list, std::size_t at) noexcept : list_(list), at_(at) {}
        std::uint32_t operator*() const noexcept {
            return list_ == nullptr ? static_cast<std::uint32_t>(at_) : list_[at_];
        }
        Iterator& operator++() noexcept {
            ++at_;
            return *this;
        }
        bool operator!=(const Iterator& other) const noexcept { return at_ != other.at_; }

    private:
        const std::uint32_t* list_;
        std::size_t at_;
    };
    [[nodiscard]] Iterator begin() const noexcept { return {list_, 0}; }
    [[nodiscard]] Iterator end() const noexcept { return {list_, n_}; }

private:
    const std::uint32_t* list_;
    std::size_t n_;
};

/// Entities of each kind, ascending. A rule judges an entity by what it reads of its neighbours; so a run over
/// every entity that an edit can reach says all that the edit changes.
using Some = std::array<std::vector<std::uint32_t>, kind_count>;

/// The fields of an entity as an earlier look found them; memory of a record never moves, so an address tells.
struct Seen {
    const char* id;
    const Cell* cells;
    std::size_t count;
};
using AllSeen = std::array<std::vector<Seen>, kind_count>;

}  // namespace bln::rules
