// What an apportionment says: JSON and words.
#include "blondel/blondel.h"
#include "energy/apportion.hpp"
#include "site/instant.hpp"
#include "site/json_text.hpp"

namespace bln::energy {

std::string apportionment_json(const Apportionment& a) {
    std::string out = "{\"library\":" + json_string(BLN_VERSION_TEXT);
    const auto text = [&out](std::string_view name, std::string_view value) {
        out += ",\"" + std::string(name) + "\":";
        append_json_string(out, value);
    };
    text("method", word_of(a.rule.method));
    text("from", instant_text(a.rule.from));
    text("to", instant_text(a.rule.to));
    text("unit", a.rule.unit);
    text("total", std::to_string(a.rule.total));
    out += ",\"parts\":[";
    for (std::size_t i = 0; i < a.parts.size(); ++i) {
        const SharePart& p = a.parts[i];
        out += i == 0 ? "{\"id\":" : ",{\"id\":";
        append_json_string(out, p.id);
        text("part", std::to_string(p.part));
        text("exact", p.exact_ratio);
        out += ",\"remainder\":" + json_number(p.remainder);
        out += p.extra ? ",\"extra\":true" : ",\"extra\":false";
        out += p.capped ? ",\"capped\":true" : ",\"capped\":false";
        if (p.cap >= 0) text("cap", std::to_string(p.cap));
        out += '}';
    }
    out += "],\"working\":[";
    for (std::size_t i = 0; i < a.steps.size(); ++i) {
        const ShareStep& s = a.steps[i];
        out += i == 0 ? "{\"step\":" : ",{\"step\":";
        append_json_string(out, word_of(s.kind));
        if (!s.id.empty()) text("id", s.id);
        text("from", instant_text(s.from));
        text("to", instant_text(s.to));
        if (!s.exact.empty()) {
            text("exact", s.exact);
            out += ",\"value\":" + json_number(s.value);
        }
        text("words", s.words);
        out += '}';
    }
    return out += "]}";
}

std::string apportionment_words(const Apportionment& a) {
    std::string out = std::to_string(a.rule.total) + " " + a.rule.unit + " are divided by " +
                      (a.rule.method == ShareMethod::equal  ? "equal shares"
                       : a.rule.method == ShareMethod::area ? "area"
                       : a.rule.method == ShareMethod::use  ? "use"
                                                            : "given weights") +
                      ", from " + instant_text(a.rule.from) + " to " + instant_text(a.rule.to) + ".\n";
    for (const ShareStep& s : a.steps) out += s.words + '\n';
    return out;
}

}  // namespace bln::energy
