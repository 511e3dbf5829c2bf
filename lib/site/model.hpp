// The record as it was written: entities of each kind with their dated fields.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "site/arena.hpp"
#include "site/value.hpp"

namespace bln {

/// Ids of one kind -> position. Open addressing over positions; ids are not copied.
class IdIndex {
public:
    [[nodiscard]] std::int32_t find(std::string_view id, const std::vector<Entity>& in) const noexcept;
    /// Adds position @p at, whose id must not be present yet. Strong guarantee.
    void insert(std::uint32_t at, const std::vector<Entity>& in);
    void rebuild(const std::vector<Entity>& in);
    void reserve(std::size_t n, const std::vector<Entity>& in);

private:
    std::vector<std::uint32_t> slots_;  // position + 1; 0 = free
    std::size_t used_ = 0;
};

/// A record. Editable through its members by one thread at a time; shared as `const`.
/// Every member that throws leaves the model as it was.
class Model {
public:
    Model();
    explicit Model(std::size_t bytes_expected);
    /// A compact deep copy.
    [[nodiscard]] std::unique_ptr<Model> clone() const;

    [[nodiscard]] const std::vector<Entity>& entities(Kind kind) const noexcept {
        return collections_[static_cast<std::size_t>(kind)].entities;
    }
    /// Position of @p id, or -1.
    [[nodiscard]] std::int32_t find(Kind kind, std::string_view id) const noexcept {
        const auto& c = collections_[static_cast<std::size_t>(kind)];
        return c.index.find(id, c.entities);
    }

    /// Adds an entity without fields. Throws BLN_E_VALUE for a malformed id, BLN_E_EXISTS for
    /// one that is there already.
    std::uint32_t add(Kind kind, std::string_view id);
    /// Throws BLN_E_NO_ENTITY.
    void remove(Kind kind, std::string_view id);
    /// Replaces all assignments of a field by one that always held.
    void set(Kind kind, std::uint32_t at, std::size_t field, const Value& value);
    /// Appends a dated assignment. Throws BLN_E_VALUE when there is an objection to its dates.
    void assign(Kind kind, std::uint32_t at, std::size_t field, const Assignment& a);
    void clear(Kind kind, std::uint32_t at, std::size_t field);
    /// Keeps @p json as it is; the caller has checked that it is one JSON object.
    void set_ext(Kind kind, std::uint32_t at, std::string_view json);

    /// For readers that already own arena memory: takes cells as they are, ascending by field.
    Arena& arena() noexcept { return *arena_; }
    void put_cells(Kind kind, std::uint32_t at, std::span<const Cell> cells) noexcept;
    /// Same as add(), for an id that already lies in the arena and whose grammar was checked.
    /// Returns -1 when it is there already.
    std::int32_t add_in_arena(Kind kind, std::string_view id);

    /// Instants at which any assignment known at @p known begins or ends, ascending, unique.
    [[nodiscard]] std::vector<Instant> breakpoints(Instant known) const;

private:
    struct Collection {
        std::vector<Entity> entities;
        IdIndex index;
    };
    void replace_cell(Kind kind, std::uint32_t at, std::size_t field, std::span<const Assignment> a);
    Value copy(Type type, const Value& v);
    Assignment copy(Type type, const Assignment& a);

    std::unique_ptr<Arena> arena_;
    std::array<Collection, kind_count> collections_;
};

/// [A-Za-z0-9._-]{1,64}
[[nodiscard]] bool valid_id(std::string_view id) noexcept;

/// Why @p value may not stand in @p field (range, choice, emptiness, grammar of keys), or an
/// empty text. One function for file, setters and patches, so that all refuse the same things.
[[nodiscard]] std::string objection(const FieldInfo& field, const Value& value);

/// Whether a text field lists phases: one to three different letters of A, B, C.
[[nodiscard]] bool holds_phases(const FieldInfo& field) noexcept;

/// The same for the dates and sources of an assignment; its value is not looked at.
[[nodiscard]] std::string objection(const FieldInfo& field, const Assignment& assignment);

/// Splits "circuit" or "circuit:pole" of a `passes` key. pole: 1, 2, 3; 0 = N; -1 = not given.
/// Returns false when the grammar is broken.
[[nodiscard]] bool split_pass(std::string_view key, std::string_view& circuit, int& pole) noexcept;

}  // namespace bln
