// What the tests of single rules share.
#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include "record.hpp"
#include "rules/check.hpp"

namespace bln::test {

inline Report checked(const Record& record) {
    const View view = record.view();
    return check(view, Policy(rules_policy()));
}

/// "code: first subject, second subject, ..." of every finding that is no note.
inline std::vector<std::string> found(const Record& record) {
    std::vector<std::string> out;
    for (const Finding& f : checked(record).findings) {
        if (f.severity == Severity::note) continue;
        std::string line(f.code);
        line += ':';
        for (const Subject& s : f.subjects) line += ' ' + s.id;
        out.push_back(line);
    }
    return out;
}

/// The findings of one code.
inline std::vector<Finding> only(const Record& record, std::string_view code) {
    std::vector<Finding> out;
    for (const Finding& f : checked(record).findings)
        if (f.code == code) out.push_back(f);
    return out;
}

}  // namespace bln::test
