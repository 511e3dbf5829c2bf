// Writes JSON value by value, indented by two.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "site/json_text.hpp"

namespace bln::plan {

class JsonOut {
public:
    void open(char bracket) {
        item();
        out_ += bracket;
        ++depth_;
        first_ = true;
    }
    void close(char bracket) {
        --depth_;
        if (!first_) line();
        out_ += bracket;
        first_ = false;
    }
    JsonOut& key(std::string_view name) {
        item();
        append_json_string(out_, name);
        out_ += ": ";
        keyed_ = true;
        return *this;
    }
    void text(std::string_view value) {
        item();
        append_json_string(out_, value);
    }
    void integer(std::int64_t value) {
        item();
        out_ += std::to_string(value);
    }
    void number(double value) {
        item();
        append_json_number(out_, value);
    }
    void member(std::string_view name, std::string_view value) { key(name).text(value); }
    void member(std::string_view name, std::int64_t value) { key(name).integer(value); }
    [[nodiscard]] std::string take() { return out_ + "\n"; }

private:
    void line() {
        out_ += '\n';
        out_.append(2 * depth_, ' ');
    }
    void item() {
        if (keyed_) {
            keyed_ = false;
            return;
        }
        if (!first_) out_ += ',';
        if (depth_ > 0) line();
        first_ = false;
    }
    std::string out_;
    std::size_t depth_ = 0;
    bool first_ = true, keyed_ = false;
};

}  // namespace bln::plan
