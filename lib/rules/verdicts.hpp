// Where rules put what they find.
#pragma once

#include <compare>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "rules/rule.hpp"
#include "rules/scope.hpp"
#include "site/view.hpp"

namespace bln::rules {

/// A fact that a rule looked for in vain.
struct Lack {
    std::uint32_t kind, field, entity;
    std::uint32_t rule;  ///< position in the catalogue
    auto operator<=>(const Lack&) const = default;
};

/// Collects findings, coverage, and the facts that rules looked for in vain.
class Verdicts {
public:
    /// @param some the entities to look at; null: all. It must outlive the run.
    /// @param former the record's fields before edits that the view does not show yet; null: as they are
    explicit Verdicts(const View& view, const Some* some = nullptr, const AllSeen* former = nullptr)
        : view_(view), some_(some), former_(former) {}

    /// The entities of a kind that this run looks at.
    [[nodiscard]] Each over(Kind kind) const noexcept {
        const auto k = static_cast<std::size_t>(kind);
        if (some_ == nullptr) return {nullptr, view_.model().entities(kind).size()};
        // An empty list has no address, and no address means every position.
        return (*some_)[k].empty() ? Each{nullptr, 0} : Each{(*some_)[k].data(), (*some_)[k].size()};
    }
    /// Whether this run looks at everything.
    [[nodiscard]] bool whole() const noexcept { return some_ == nullptr; }

    /// All that the record says of an entity, histories included: what the view does not show.
    [[nodiscard]] std::span<const Cell> cells(Kind kind, std::uint32_t at) const noexcept {
        if (former_ == nullptr) return view_.model().entities(kind)[at].cells;
        const Seen& seen = (*former_)[static_cast<std::size_t>(kind)][at];
        return {seen.cells, seen.count};
    }

    /// All that follows belongs to @p rule.
    void begin(const Rule& rule);

    void right(std::uint64_t times = 1) noexcept { coverage_.back().right += times; }
    /// A new finding of the rule's code and severity. The reference holds until the next call.
    Finding& wrong();
    /// The facts at hand do not decide it.
    Finding& undecided();
    /// Not checked, because a field of an entity has no usable value.
    void lacks(Kind kind, std::size_t entity, std::size_t field);
    template <class Field>
    void lacks(Kind kind, std::size_t entity, Field field) {
        lacks(kind, entity, static_cast<std::size_t>(field));
    }

    /// Not checked, for a reason that is the finding of another rule.
    void skip() noexcept { ++coverage_.back().not_checked; }

    // What was collected, in the order in which it was said.
    [[nodiscard]] std::vector<Finding>& findings() noexcept { return findings_; }
    [[nodiscard]] std::vector<Coverage>& coverage() noexcept { return coverage_; }
    [[nodiscard]] const std::vector<Lack>& lacking() const noexcept { return lacking_; }

private:
    Finding& add(Verdict verdict);

    const View& view_;
    const Some* some_;
    const AllSeen* former_;
    const Rule* rule_ = nullptr;
    std::vector<Finding> findings_;
    std::vector<Coverage> coverage_;
    std::vector<Lack> lacking_;
};

/// Code of the notes of not_checked_note().
inline constexpr std::string_view not_checked_code = "not-checked";

/// A record that lacks one field in a thousand places is told so once, with the rules that wait for it.
/// @param of all lacks of one field, ascending; an entity and a rule may stand in it more than once
[[nodiscard]] Finding not_checked_note(const View& view, std::span<const Lack> of, std::size_t examples);

/// Errors first, then in the order of the record; rules about the same entity in catalogue order.
void sort_findings(const View& view, std::vector<Finding>& findings);

}  // namespace bln::rules
