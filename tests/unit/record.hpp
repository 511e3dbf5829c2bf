// Writes a small record field by field, for tests of what follows from a view.
#pragma once

#include <catch2/catch.hpp>
#include <memory>
#include <string_view>
#include <utility>
#include <vector>

#include "site/view.hpp"

namespace bln::test {

class Record {
public:
    Record() = default;
    Record(const Record& other) : model_(other.model_->clone()), kind_(other.kind_), at_(other.at_) {}
    Record(Record&&) = default;
    Record& operator=(const Record&) = delete;
    Record& operator=(Record&&) = default;
    ~Record() = default;

    /// Adds an entity (once) and makes it the one that the setters write to.
    Record& on(Kind kind, std::string_view id) {
        kind_ = kind;
        const std::int32_t at = model_->find(kind, id);
        at_ = at >= 0 ? static_cast<std::uint32_t>(at) : model_->add(kind, id);
        return *this;
    }
    Record& text(std::string_view field, std::string_view value) {
        Value v;
        v.text = value;
        return put(field, v);
    }
    Record& choice(std::string_view field, std::string_view word) {
        Value v;
        v.integer = row(field).choices->find(word);
        REQUIRE(v.integer >= 0);
        return put(field, v);
    }
    Record& flag(std::string_view field, bool value) {
        Value v;
        v.integer = value ? 1 : 0;
        return put(field, v);
    }
    Record& clear(std::string_view field) {
        model_->clear(kind_, at_, static_cast<std::size_t>(info(kind_).find(field)));
        return *this;
    }
    Record& integer(std::string_view field, std::int64_t value) {
        Value v;
        v.integer = value;
        return put(field, v);
    }
    Record& real(std::string_view field, double value) {
        Value v;
        v.real = value;
        return put(field, v);
    }
    Record& ratio(std::string_view field, Rational value) {
        Value v;
        v.rational = value;
        return put(field, v);
    }
    Record& integers(std::string_view field, const std::vector<std::int64_t>& value) {
        Value v;
        v.integers = value;
        return put(field, v);
    }
    Record& texts(std::string_view field, const std::vector<std::string_view>& value) {
        Value v;
        v.texts = value;
        return put(field, v);
    }
    Record& terms(std::string_view field, const std::vector<std::pair<std::string_view, Rational>>& value) {
        std::vector<TermText> items;
        for (const auto& [key, weight] : value) items.push_back({key, weight});
        Value v;
        v.terms = items;
        return put(field, v);
    }
    /// The record as it stands now, frozen.
    [[nodiscard]] View view() const {
        return {std::shared_ptr<const Model>(model_->clone()), end_of_time, end_of_time};
    }
    [[nodiscard]] static std::int32_t at(const View& view, Kind kind, std::string_view id) {
        const std::int32_t found = view.model().find(kind, id);
        REQUIRE(found >= 0);
        return found;
    }

private:
    [[nodiscard]] const FieldInfo& row(std::string_view field) const {
        const int i = info(kind_).find(field);
        REQUIRE(i >= 0);
        return info(kind_).fields[i];
    }
    Record& put(std::string_view field, const Value& value) {
        CHECK(objection(row(field), value) == "");
        model_->set(kind_, at_, static_cast<std::size_t>(info(kind_).find(field)), value);
        return *this;
    }

    std::unique_ptr<Model> model_ = std::make_unique<Model>();
    Kind kind_ = Kind::site;
    std::uint32_t at_ = 0;
};

}  // namespace bln::test
