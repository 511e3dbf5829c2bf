// What a check says. Rules, proof and energy all speak through these types.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "site/fields.hpp"

namespace bln {

class View;

enum class Severity : std::uint8_t { note = 10, warning = 20, error = 30 };
enum class Verdict : std::uint8_t { wrong = 10, undecided = 20, not_checked = 30, right = 40 };

struct Subject {
    Kind kind;
    std::string id;
};

/// A number with its unit, or a word.
struct Fact {
    std::string name;
    bool is_number = false;
    double value = 0;
    std::string unit;
    std::string text;
};

/// One finding. Prose comes from the catalogue; here are only facts.
struct Finding {
    std::string_view code;  ///< slug; must outlive the report (string literals do)
    Severity severity = Severity::error;
    Verdict verdict = Verdict::wrong;
    std::vector<Subject> subjects;
    std::vector<Fact> facts;
    std::string discriminator;
    std::string pointer;
    std::string_view source;  ///< where a limit comes from; must outlive the report
    std::string waiver;       ///< id of the waiver that accepts it, or empty
    std::string reason;       ///< that the waiver gives

    Finding& about(Kind kind, std::string_view id) {
        subjects.push_back({kind, std::string(id)});
        return *this;
    }
    Finding& number(std::string_view name, double value, std::string_view unit) {
        facts.push_back({std::string(name), true, value, std::string(unit), {}});
        return *this;
    }
    Finding& word(std::string_view name, std::string_view text) {
        facts.push_back({std::string(name), false, 0, {}, std::string(text)});
        return *this;
    }
    Finding& at(std::string json_pointer) {
        pointer = std::move(json_pointer);
        return *this;
    }
    /// "code|kind:id,kind:id|discriminator" with the subjects sorted.
    [[nodiscard]] std::string identity() const;
};

/// How often one check was decided, could not be, or lacked facts.
struct Coverage {
    std::string_view code;
    std::uint64_t right = 0, wrong = 0, undecided = 0, not_checked = 0;
};

struct Report {
    std::vector<Finding> findings;
    std::vector<Coverage> coverage;
    std::string site_digest;                                         ///< of the record, or empty
    std::vector<std::pair<std::string, std::string>> input_digests;  ///< name, SHA-256

    /// Errors first, then warnings, then notes; stable otherwise.
    void sort();
};

/// One row of a message catalogue. In the texts, {name} stands for a fact (a number is written
/// with its unit) and {subject}, {subject2}, {subject3} for the subjects.
struct Message {
    std::string_view code;
    std::string_view title;
    std::string_view body;
    std::string_view action;
};

enum class TextPart : std::uint8_t { title = 10, body = 20, action = 30 };

/// Fills the places of @p pattern from @p finding. A place that no fact fills stays as written.
[[nodiscard]] std::string fill(std::string_view pattern, const Finding& finding);

/// "/circuits/LP1-01/breaker_amps"; @p field may be empty.
[[nodiscard]] std::string pointer_to(Kind kind, std::string_view id, std::string_view field = {});

}  // namespace bln
