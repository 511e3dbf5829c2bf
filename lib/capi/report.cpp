// Findings as typed rows, as text and as JSON.
#include <iterator>

#include "capi/handles.hpp"
#include "capi/messages.hpp"
#include "site/json_text.hpp"
#include "site/sha256.hpp"
#include "site/writer.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

/// Item @p i of a list that the header calls @p name.
template <class T>
const T& item(const std::vector<T>& list, size_t i, const char* name) {
    if (i >= list.size())
        throw Failure(BLN_E_RANGE, std::string("there is no ") + name + " " + std::to_string(i) + "; the count is " +
                                       std::to_string(list.size()));
    return list[i];
}

const Finding& finding(const bln_report* report, size_t i) {
    return item(required(report, "report").report.findings, i, "finding");
}

/// Codes and sources are literals, hence NUL-terminated; an empty view may have no data.
const char* literal(std::string_view text) { return text.empty() ? "" : text.data(); }

std::string_view word(Severity s) {
    switch (s) {
        case Severity::error:
            return "error";
        case Severity::warning:
            return "warning";
        case Severity::note:
            return "note";
    }
    return "note";
}

std::string_view word(Verdict v) {
    switch (v) {
        case Verdict::wrong:
            return "wrong";
        case Verdict::undecided:
            return "undecided";
        case Verdict::not_checked:
            return "not_checked";
        case Verdict::right:
            return "right";
    }
    return "undecided";
}

void member(std::string& out, std::string_view key, std::string_view text) {
    append_json_string(out, key);
    out += ':';
    append_json_string(out, text);
}

template <class List, class Each>
void array(std::string& out, std::string_view key, const List& list, Each&& each) {
    append_json_string(out, key);
    out += ":[";
    bool first = true;
    for (const auto& x : list) {
        if (!first) out += ',';
        first = false;
        each(x);
    }
    out += ']';
}

void write(std::string& out, const Fact& f) {
    out += '{';
    member(out, "name", f.name);
    if (f.is_number) {
        out += ",\"value\":";
        append_json_number(out, f.value);
        out += ',';
        member(out, "unit", f.unit);
    } else {
        out += ',';
        member(out, "text", f.text);
    }
    out += '}';
}

void write(std::string& out, const Finding& f) {
    out += '{';
    member(out, "code", f.code);
    out += ',';
    member(out, "severity", word(f.severity));
    out += ',';
    member(out, "verdict", word(f.verdict));
    out += ',';
    array(out, "subjects", f.subjects, [&](const Subject& s) {
        out += '{';
        member(out, "kind", info(s.kind).name);
        out += ',';
        member(out, "id", s.id);
        out += '}';
    });
    out += ',';
    member(out, "discriminator", f.discriminator);
    out += ',';
    member(out, "pointer", f.pointer);
    out += ',';
    member(out, "source", f.source);
    out += ',';
    member(out, "waiver", f.waiver);
    out += ',';
    member(out, "reason", f.reason);
    out += ',';
    array(out, "facts", f.facts, [&](const Fact& x) { write(out, x); });
    out += ',';
    member(out, "identity", f.identity());
    out += '}';
}

void write(std::string& out, const Coverage& c) {
    out += '{';
    member(out, "code", c.code);
    out += ",\"right\":" + std::to_string(c.right) + ",\"wrong\":" + std::to_string(c.wrong) +
           ",\"undecided\":" + std::to_string(c.undecided) + ",\"not_checked\":" + std::to_string(c.not_checked) + '}';
}

std::string json_of(const bln_report& of) {
    const Report& r = of.report;
    const std::string digest = r.site_digest.empty() && of.model != nullptr
                                   ? sha256_text(write_site(*of.model, JsonStyle::canonical))
                                   : r.site_digest;
    std::string out = "{";
    member(out, "blondel_report", "1");
    out += ',';
    member(out, "library", BLN_VERSION_TEXT);
    out += ',';
    member(out, "site_sha256", digest);
    out += ',';
    array(out, "inputs", r.input_digests, [&](const auto& d) {
        out += '{';
        member(out, "name", d.first);
        out += ',';
        member(out, "sha256", d.second);
        out += '}';
    });
    out += ',';
    array(out, "findings", r.findings, [&](const Finding& f) { write(out, f); });
    out += ',';
    array(out, "coverage", r.coverage, [&](const Coverage& c) { write(out, c); });
    out += '}';
    return out;
}

}  // namespace

extern "C" {

size_t bln_report_count(const bln_report* report) BLN_NOEXCEPT {
    return report == nullptr ? 0 : report->report.findings.size();
}

bln_status bln_report_at(const bln_report* report, size_t i, bln_finding* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Finding& f = finding(report, i);
        bln_finding row{};
        row.severity = static_cast<int32_t>(f.severity);
        row.verdict = static_cast<int32_t>(f.verdict);
        row.subject_count = static_cast<uint32_t>(f.subjects.size());
        row.fact_count = static_cast<uint32_t>(f.facts.size());
        row.code = literal(f.code);
        row.discriminator = f.discriminator.c_str();
        row.pointer = f.pointer.c_str();
        row.source = literal(f.source);
        row.waiver = f.waiver.c_str();
        row.reason = f.reason.c_str();
        hand_out(out, row, "out");
    });
}

bln_status bln_report_subject(const bln_report* report, size_t i, size_t j, bln_kind* kind, const char** id,
                              bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Subject& s = item(finding(report, i).subjects, j, "subject");
        bln_kind& to_kind = required(kind, "kind");
        required(id, "id") = s.id.c_str();
        to_kind = info(s.kind).number;
    });
}

bln_status bln_report_fact(const bln_report* report, size_t i, size_t j, bln_fact* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Fact& f = item(finding(report, i).facts, j, "fact");
        bln_fact row{};
        row.is_number = f.is_number ? 1 : 0;
        row.name = f.name.c_str();
        row.unit = f.unit.c_str();
        row.text = f.text.c_str();
        row.value = f.value;
        hand_out(out, row, "out");
    });
}

bln_status bln_report_identity(const bln_report* report, size_t i, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(finding(report, i).identity()); });
}

bln_status bln_report_json(const bln_report* report, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(json_of(required(report, "report"))); });
}

void bln_report_free(bln_report* report) BLN_NOEXCEPT { delete report; }

}  // extern "C"
