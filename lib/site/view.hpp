// The record as of one instant: one plain struct per entity, references resolved.
//
// A view answers "what held at `valid`, as far as was known at `known`". Rules, form and
// proof use views only; energy walks the views between breakpoints.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "site/model.hpp"

namespace bln {

/// A reference: position in the kind's vector of the view, or -1 with the id as written
/// (dangling) or an empty id (absent).
struct Ref {
    std::int32_t at = -1;
    std::string_view id;
    [[nodiscard]] bool given() const noexcept { return !id.empty(); }
    [[nodiscard]] bool resolved() const noexcept { return at >= 0; }
};

struct Term {
    Ref ref;
    Rational weight;
};

/// One conductor through a CT: pole 1, 2, 3 of its circuit, 0 = neutral, -1 = not stated.
struct Pass {
    Ref circuit;
    int pole = -1;
    Rational turns;
};

// Type of the member of a view struct for each type of the field table. An absent text has a
// null data(); lists that are absent and lists that are empty both have no items, and a bit of
// `given` tells them apart.
#define BLN_MEMBER_text(argument) std::string_view
#define BLN_MEMBER_ref(argument) Ref
#define BLN_MEMBER_choice(argument) ::bln::argument
#define BLN_MEMBER_boolean(argument) std::optional<bool>
#define BLN_MEMBER_integer(argument) std::optional<std::int64_t>
#define BLN_MEMBER_real(argument) std::optional<double>
#define BLN_MEMBER_rational(argument) std::optional<Rational>
#define BLN_MEMBER_instant(argument) std::optional<Instant>
#define BLN_MEMBER_integers(argument) std::span<const std::int64_t>
#define BLN_MEMBER_texts(argument) std::span<const std::string_view>
#define BLN_MEMBER_refs(argument) std::span<const Ref>
#define BLN_MEMBER_terms(argument) std::span<const Term>
#define BLN_MEMBER_passes(argument) std::span<const Pass>
#define BLN_INIT_choice(argument) = ::bln::argument::unknown
#define BLN_INIT_text(argument)
#define BLN_INIT_ref(argument)
#define BLN_INIT_boolean(argument)
#define BLN_INIT_integer(argument)
#define BLN_INIT_real(argument)
#define BLN_INIT_rational(argument)
#define BLN_INIT_instant(argument)
#define BLN_INIT_integers(argument)
#define BLN_INIT_texts(argument)
#define BLN_INIT_refs(argument)
#define BLN_INIT_terms(argument)
#define BLN_INIT_passes(argument)

namespace as_of {
#define BLN_MEMBER(name, type, argument, dated, layer, unit, low, high, doc) \
    BLN_MEMBER_##type(argument) name BLN_INIT_##type(argument);
#define BLN_VIEW_STRUCT(kind, key, number, doc)                                                     \
    struct kind {                                                                                   \
        std::string_view id;                                                                        \
        std::uint64_t given = 0; /**< bit i: field i of the table has a value at the instant */     \
        BLN_FIELDS_##kind(BLN_MEMBER) [[nodiscard]] bool has(field_of::kind field) const noexcept { \
            return (given >> static_cast<unsigned>(field) & 1U) != 0;                               \
        }                                                                                           \
    };
BLN_KINDS(BLN_VIEW_STRUCT)
#undef BLN_VIEW_STRUCT
#undef BLN_MEMBER
}  // namespace as_of

/// Immutable; any number of threads may read one view.
class View {
public:
    /// Keeps @p model alive. Throws std::bad_alloc only.
    View(std::shared_ptr<const Model> model, Instant valid, Instant known);

    [[nodiscard]] const Model& model() const noexcept { return *model_; }
    [[nodiscard]] const std::shared_ptr<const Model>& shared_model() const noexcept { return model_; }
    [[nodiscard]] Instant valid() const noexcept { return valid_; }
    [[nodiscard]] Instant known() const noexcept { return known_; }

    // One vector per kind, positions equal to those of the model.
#define BLN_VIEW_MEMBER(kind, key, number, doc) std::vector<as_of::kind> kind;
    BLN_KINDS(BLN_VIEW_MEMBER)
#undef BLN_VIEW_MEMBER

private:
    std::shared_ptr<const Model> model_;
    Instant valid_;
    Instant known_;
    Arena arena_;
};

/// The assignment of @p cell that holds at @p valid as known at @p known, or null. Where several
/// do, the one recorded last wins, then the one that begins last, then the one written last.
[[nodiscard]] const Assignment* holding(const Cell& cell, Instant valid, Instant known) noexcept;

}  // namespace bln
