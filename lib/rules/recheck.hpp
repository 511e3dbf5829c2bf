// A check that is kept up to date while its record is edited, at the cost of what the edits can reach.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <unordered_map>
#include <vector>

#include "power/progress.hpp"
#include "rules/context.hpp"
#include "rules/verdicts.hpp"
#include "site/finding.hpp"

namespace bln {

/// Findings of two states of a record, compared by identity: never by numbers or texts.
struct FindingChanges {
    std::vector<Finding> appeared, gone;
    std::vector<Finding> changed;  ///< the same finding with other facts, severity or waiver, as it is now
};

/// Compares two lists of findings.
[[nodiscard]] FindingChanges compare(const std::vector<Finding>& before, const std::vector<Finding>& after);

class Recheck {
public:
    /// Checks everything once. @p model may be edited afterwards, by one thread, and never during a call.
    Recheck(std::shared_ptr<const Model> model, Instant valid, Instant known, Policy policy, const Progress& progress);

    Recheck(const Recheck&) = delete;  // the context looks at members
    Recheck& operator=(const Recheck&) = delete;

    /// Follows the edits since the last call. A field of an entity costs what it can reach; an entity that was added or
    /// removed, another record, and a change of a service, of what feeds a panel or of nested roll-ups cost a whole
    /// check. Says whether it was one. After a failure the next call checks everything.
    bool update(std::shared_ptr<const Model> model, FindingChanges& changes, const Progress& progress);
    /// As check() would give it.
    [[nodiscard]] Report report() const;
    [[nodiscard]] std::uint64_t last_reached() const noexcept { return reached_; }

private:
    struct Edit {
        Kind kind;
        std::uint32_t at;
    };
    void whole(const Progress& progress);
    /// False where entities were added, removed or replaced.
    [[nodiscard]] bool find_edits(std::vector<Edit>& out) const;
    void remember();
    void follow(const std::vector<Edit>& edits, const rules::Some& some, FindingChanges& changes);
    void detach(const Edit& e);
    void attach(const Edit& e);
    void store(Finding f);
    [[nodiscard]] std::vector<Finding> notes_of(const std::vector<rules::Lack>& of) const;

    std::shared_ptr<const Model> model_;
    Instant valid_, known_;
    Policy policy_;
    std::unique_ptr<View> view_;
    std::unique_ptr<Arena> arena_;
    std::unique_ptr<rules::Context> context_;
    rules::AllSeen seen_;
    std::unordered_multimap<std::string, Finding> findings_;
    std::map<rules::Lack, std::uint32_t> lacks_;
    std::vector<Coverage> coverage_;
    std::uint64_t reached_ = 0;
    bool broken_ = true;
};

}  // namespace bln
