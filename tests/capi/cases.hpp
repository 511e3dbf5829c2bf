// What the jobs of the case folders share. The format is written down in tests/cases/README.md.
#pragma once

#include <catch2/catch.hpp>
#include <filesystem>
#include <initializer_list>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

#include "blondel/blondel.h"

namespace cases {

using Json = nlohmann::json;

struct Case {
    std::string name;  ///< family/folder
    std::filesystem::path folder;
    Json json;  ///< case.json

    /// A file beside case.json, as bytes.
    [[nodiscard]] std::string file(const std::string& name) const;
};

[[nodiscard]] std::string bytes_of(const std::filesystem::path& path);
/// Fails the case when @p object has a key outside @p allowed or lacks one of @p required.
void keys(const Json& object, std::initializer_list<std::string_view> required,
          std::initializer_list<std::string_view> allowed);

struct Free {
    void operator()(bln_site* x) const noexcept { bln_site_free(x); }
    void operator()(bln_view* x) const noexcept { bln_view_free(x); }
    void operator()(bln_policy* x) const noexcept { bln_policy_free(x); }
    void operator()(bln_report* x) const noexcept { bln_report_free(x); }
    void operator()(bln_text* x) const noexcept { bln_text_free(x); }
    void operator()(bln_error* x) const noexcept { bln_error_free(x); }
};
template <class T>
using Held = std::unique_ptr<T, Free>;

/// Fails the case with the error's own words unless @p status is BLN_OK.
void ok(bln_status status, bln_error* error);
/// Text of a text object, which is freed.
[[nodiscard]] std::string taken(bln_text* text);

/// Compares the findings of a report with "expect": what is missing and what is extra both fail.
void compare_findings(const bln_report* report, const Json& expect);

/// A job checks one case. It must make at least one assertion.
using Job = void (*)(const Case&);
void check_job(const Case&);

}  // namespace cases
