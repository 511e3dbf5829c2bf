// Where rules put what they find.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "rules/rule.hpp"
#include "site/view.hpp"

namespace bln::rules {

/// Collects findings, coverage, and the facts that rules looked for in vain.
class Verdicts {
public:
    explicit Verdicts(const View& view) : view_(view) {}

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

    /// Adds one note for each field that was looked for in vain, then hands out the report, sorted.
    [[nodiscard]] Report finish(bool notes, std::size_t examples);

private:
    struct Missing {
        std::vector<bool> entities;
        std::size_t count = 0;
        std::vector<std::string_view> rules;
    };
    Finding& add(Verdict verdict);
    void add_notes(std::size_t examples);

    const View& view_;
    const Rule* rule_ = nullptr;
    std::vector<Finding> findings_;
    std::vector<Coverage> coverage_;
    std::vector<std::vector<Missing>> missing_ = std::vector<std::vector<Missing>>(kind_count);
};

/// Code of the notes of Verdicts::finish().
inline constexpr std::string_view not_checked_code = "not-checked";

}  // namespace bln::rules
