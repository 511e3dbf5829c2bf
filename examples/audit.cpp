// SPDX-License-Identifier: Apache-2.0
// The audit in C++: the same library, with handles that free themselves and failures as exceptions.
//
//   audit_cpp SITE.json [READINGS.csv]
//
// Ends with 0 when nothing is wrong, 1 when something is, 2 when the audit could not be carried out.
#include <blondel/blondel.hpp>

#include <fstream>
#include <iostream>
#include <iterator>

namespace {

std::string read_file(const char* path) {
    std::ifstream file(path, std::ios::binary);
    if (!file) throw std::runtime_error(std::string(path) + ": cannot be opened");
    std::string text{std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
    if (file.bad()) throw std::runtime_error(std::string(path) + ": cannot be read");
    return text;
}

/// Prints what is wrong or undecided; how many of them.
std::size_t print(const blondel::Report& report) {
    std::size_t printed = 0;
    for (std::size_t i = 0; i < report.count(); ++i) {
        if (report.at(i).severity < BLN_WARNING) continue;
        std::cout << "  " << report.text(i, BLN_TEXT_TITLE) << "\n    " << report.text(i, BLN_TEXT_BODY) << "\n    "
                  << report.text(i, BLN_TEXT_ACTION) << "\n";
        ++printed;
    }
    return printed;
}

std::size_t prove(const blondel::Site& site, const blondel::View& view) {
    std::size_t inexact = 0;
    for (std::size_t i = 0; i < site.count(BLN_KIND_POINT); ++i) {
        const std::string point(site.id(BLN_KIND_POINT, i));
        const blondel::Form form(view, point);
        if (form.built() && form.exact()) continue;
        ++inexact;
        std::cout << "  " << point << ": "
                  << (form.built() ? form.words(BLN_FORM_VERDICT) + " Error: " + form.words(BLN_FORM_ERROR) + "."
                                   : "not known, facts are missing")
                  << "\n";
    }
    return inexact;
}

}  // namespace

int main(int argc, char** argv) try {
    if (argc < 2 || argc > 3) {
        std::cerr << "usage: audit_cpp SITE.json [READINGS.csv]\n";
        return 2;
    }
    const blondel::Site site = blondel::Site::read(read_file(argv[1]));
    const blondel::View view(site);
    std::cout << "The record\n";
    std::size_t wrong = print(blondel::check(view));
    std::cout << "Arrangements that are not exact\n";
    wrong += prove(site, view);
    if (argc == 3) {
        std::cout << "The readings\n";
        wrong += print(blondel::Live(view, blondel::Readings::read_csv(read_file(argv[2]))).report());
    }
    return wrong > 0 ? 1 : 0;
} catch (const blondel::Error& error) {
    for (const blondel::Error::Item& item : error.items())
        std::cerr << "line " << item.line << ", column " << item.column << ": " << item.message << "\n";
    return 2;
} catch (const std::exception& error) {
    std::cerr << error.what() << "\n";
    return 2;
}
