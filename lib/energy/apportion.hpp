// Common energy (or money) divided among parties in whole counts that add up to the whole.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "power/rational.hpp"
#include "site/model.hpp"

namespace bln::energy {

enum class ShareMethod : std::uint8_t { equal = 10, area = 20, use = 30, given = 40 };
[[nodiscard]] std::string_view word_of(ShareMethod method) noexcept;

/// What one key says of a party, in [from, to).
enum class KeyKind : std::uint8_t {
    weight = 10,    ///< its weight, not negative
    excluded = 20,  ///< it takes no part, whatever its weight
    cap = 30        ///< it takes at most so many counts (whole), for the whole period
};

struct ShareKey {
    KeyKind kind = KeyKind::weight;
    std::string id;
    Instant from = begin_of_time, to = end_of_time;
    Rational value{1};
    std::string reason;
};

struct ShareRule {
    ShareMethod method = ShareMethod::given;
    std::int64_t total = 0;  ///< counts; may be negative
    Instant from = 0, to = 0;
    std::string unit;  ///< of a count, for words
};

struct SharePart {
    std::string id;
    std::int64_t part = 0;    ///< whole counts
    double exact = 0;         ///< before rounding
    double remainder = 0;     ///< exact minus its floor, 0 to 1
    std::string exact_ratio;  ///< "p/q"
    bool extra = false;       ///< got one count more than its floor
    bool capped = false;
    std::int64_t cap = -1;  ///< counts, or -1
};

enum class StepKind : std::uint8_t { span = 10, weight = 20, excluded = 30, share = 40, cap = 50, rounding = 60 };
[[nodiscard]] std::string_view word_of(StepKind kind) noexcept;

/// One line of the working.
struct ShareStep {
    StepKind kind = StepKind::span;
    std::string id;
    Instant from = 0, to = 0;
    double value = 0;
    std::string exact;  ///< the same as a ratio
    std::string words;
};

struct Apportionment {
    ShareRule rule;
    std::vector<SharePart> parts;  ///< ascending by id
    std::vector<ShareStep> steps;
};

/// Throws BLN_E_VALUE (negative weight; all weights zero; caps that cannot hold the whole; dates; caps that are dated
/// or not whole), BLN_E_DUPLICATE (two weights or caps of one party at once), BLN_E_ABSENT (nobody).
[[nodiscard]] Apportionment apportion(ShareRule rule, std::vector<ShareKey> keys);

/// Weights of all premises of a record, for the methods equal and area: common premises are excluded, vacant ones take
/// part. Throws BLN_E_ABSENT for premises without an area that @p given does not exclude.
[[nodiscard]] std::vector<ShareKey> keys_of_premises(const std::shared_ptr<const Model>& model, Instant known,
                                                     const ShareRule& rule, const std::vector<ShareKey>& given);
/// Throws BLN_E_NO_ENTITY for a key that names no premises of the record.
void check_premises(const Model& model, const std::vector<ShareKey>& keys);

[[nodiscard]] std::string apportionment_json(const Apportionment& a);
/// The working in words, one step a line.
[[nodiscard]] std::string apportionment_words(const Apportionment& a);

}  // namespace bln::energy
