// A draft of a correct generated site that is going to be spoiled, and the site as it was.
#pragma once

#include <cstdint>
#include <map>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "blondel/blondel.h"

namespace support {

using Terms = std::vector<std::pair<std::string, std::int64_t>>;

/// Reads answer from the correct site; writes go to the draft. A call that fails ends the program with a message.
class Spoiled {
public:
    Spoiled(const bln_site* site, std::uint32_t seed);
    Spoiled(const Spoiled&) = delete;
    Spoiled& operator=(const Spoiled&) = delete;
    ~Spoiled();

    // ---- the correct site ------------------------------------------------------------------------
    [[nodiscard]] std::vector<std::string> ids(bln_kind kind) const;
    [[nodiscard]] std::string text(bln_kind kind, const std::string& id, const char* field) const;
    [[nodiscard]] std::int64_t integer(bln_kind kind, const std::string& id, const char* field) const;
    [[nodiscard]] double real(bln_kind kind, const std::string& id, const char* field) const;
    [[nodiscard]] std::vector<std::int64_t> integers(bln_kind kind, const std::string& id, const char* field) const;
    [[nodiscard]] Terms terms(bln_kind kind, const std::string& id, const char* field) const;
    /// Billing points, in an order that the seed chooses. Their circuit and premises have the same id; the first two
    /// letters are the service; CTs and channels are named <circuit>.<pole>.
    [[nodiscard]] const std::vector<std::string>& points() const noexcept { return points_; }
    [[nodiscard]] std::vector<std::string> channels(const std::string& point) const;
    [[nodiscard]] static std::string service(const std::string& id) { return id.substr(0, 2); }
    /// A space of a panel that no breaker takes and that stands on @p phase; 0: none.
    [[nodiscard]] std::int64_t free_space(const std::string& panel, char phase) const;
    /// Phase of each space of a panel, by the pattern of its bus.
    [[nodiscard]] char phase_of(const std::string& panel, std::int64_t space) const;
    std::uint32_t draw(std::uint32_t below);

    // ---- the draft -------------------------------------------------------------------------------
    void add(bln_kind kind, const std::string& id);
    void remove(bln_kind kind, const std::string& id);
    void clear(bln_kind kind, const std::string& id, const char* field);
    void set(bln_kind kind, const std::string& id, const char* field, const std::string& value,
             const bln_when* when = nullptr);
    void set(bln_kind kind, const std::string& id, const char* field, std::int64_t value);
    void set(bln_kind kind, const std::string& id, const char* field, double value, const bln_when* when = nullptr);
    void set(bln_kind kind, const std::string& id, const char* field, const std::vector<std::int64_t>& values);
    void set(bln_kind kind, const std::string& id, const char* field, const std::vector<std::string>& values);
    void set(bln_kind kind, const std::string& id, const char* field, const Terms& terms, std::int64_t denominator = 1);
    void set_ratio(bln_kind kind, const std::string& id, const char* field, std::int64_t above, std::int64_t below);
    /// Copies every field of an entity to a new one.
    void copy(bln_kind kind, const std::string& from, const std::string& to);

    [[nodiscard]] const bln_draft* draft() const noexcept { return draft_; }

private:
    bln_draft* draft_ = nullptr;
    bln_view* view_ = nullptr;
    const bln_site* site_;
    std::uint32_t random_;
    std::vector<std::string> points_;
};

}  // namespace support
