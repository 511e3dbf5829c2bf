#include "site/finding.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace bln {
namespace {

/// Four significant digits are what a meter shows; whole numbers stay whole.
std::string spoken(const Fact& f) {
    if (!f.is_number) return f.text;
    std::string t = f.value == static_cast<double>(static_cast<long long>(f.value)) && std::abs(f.value) < 1e15
                        ? fmt::format("{}", static_cast<long long>(f.value))
                        : fmt::format("{:.4g}", f.value);
    if (f.unit.empty()) return t;
    return t + (f.unit == "%" ? "\u00a0" : " ") + f.unit;
}

std::string place(std::string_view name, const Finding& finding, bool& found) {
    found = true;
    const auto subject = [&](std::size_t i) -> std::string {
        if (i < finding.subjects.size()) return finding.subjects[i].id;
        found = false;
        return {};
    };
    if (name == "subject") return subject(0);
    if (name == "subject2") return subject(1);
    if (name == "subject3") return subject(2);
    for (const Fact& f : finding.facts)
        if (f.name == name) return spoken(f);
    found = false;
    return {};
}

}  // namespace

std::string Finding::identity() const {
    std::vector<std::string> parts;
    parts.reserve(subjects.size());
    for (const Subject& s : subjects) parts.push_back(std::string(info(s.kind).name) + ":" + s.id);
    std::sort(parts.begin(), parts.end());
    std::string out(code);
    out += '|';
    for (std::size_t i = 0; i < parts.size(); ++i) {
        if (i > 0) out += ',';
        out += parts[i];
    }
    out += '|';
    out += discriminator;
    return out;
}

void Report::sort() {
    std::stable_sort(findings.begin(), findings.end(),
                     [](const Finding& a, const Finding& b) { return a.severity > b.severity; });
}

std::string fill(std::string_view pattern, const Finding& finding) {
    std::string out;
    for (std::size_t i = 0; i < pattern.size();) {
        const std::size_t open = pattern.find('{', i);
        const std::size_t close = open == std::string_view::npos ? open : pattern.find('}', open);
        if (close == std::string_view::npos) {
            out += pattern.substr(i);
            break;
        }
        out += pattern.substr(i, open - i);
        bool found = false;
        const std::string text = place(pattern.substr(open + 1, close - open - 1), finding, found);
        out += found ? std::string_view(text) : pattern.substr(open, close - open + 1);
        i = close + 1;
    }
    return out;
}

std::string pointer_to(Kind kind, std::string_view id, std::string_view field) {
    std::string out;
    if (kind != Kind::site) {
        out += '/';
        out += info(kind).collection;
        out += '/';
        out += id;
    }
    if (!field.empty()) {
        out += '/';
        out += field;
    }
    return out;
}

}  // namespace bln
