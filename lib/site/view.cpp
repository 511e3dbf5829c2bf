#include "site/view.hpp"

#include "site/refill.hpp"

namespace bln {
namespace {

/// Turns stored values into members of the view structs.
class Resolver {
public:
    Resolver(const Model& model, Arena& arena) : model_(model), arena_(arena) {}

    [[nodiscard]] Ref resolve(Kind target, std::string_view id) const noexcept { return {model_.find(target, id), id}; }
    void text(const Value& v, std::string_view& out, Kind) const { out = v.text; }
    void ref(const Value& v, Ref& out, Kind target) const { out = resolve(target, v.text); }
    template <class E>
    void choice(const Value& v, E& out, Kind) const {
        out = static_cast<E>(v.integer);
    }
    void boolean(const Value& v, std::optional<bool>& out, Kind) const { out = v.integer != 0; }
    void integer(const Value& v, std::optional<std::int64_t>& out, Kind) const { out = v.integer; }
    void instant(const Value& v, std::optional<Instant>& out, Kind) const { out = v.integer; }
    void real(const Value& v, std::optional<double>& out, Kind) const { out = v.real; }
    void rational(const Value& v, std::optional<Rational>& out, Kind) const { out = v.rational; }
    void integers(const Value& v, std::span<const std::int64_t>& out, Kind) const { out = v.integers; }
    void texts(const Value& v, std::span<const std::string_view>& out, Kind) const { out = v.texts; }
    void refs(const Value& v, std::span<const Ref>& out, Kind target) const {
        Ref* p = arena_.array<Ref>(v.texts.size());
        for (std::size_t i = 0; i < v.texts.size(); ++i) p[i] = resolve(target, v.texts[i]);
        out = {p, v.texts.size()};
    }
    void terms(const Value& v, std::span<const Term>& out, Kind target) const {
        Term* p = arena_.array<Term>(v.terms.size());
        for (std::size_t i = 0; i < v.terms.size(); ++i) p[i] = {resolve(target, v.terms[i].key), v.terms[i].weight};
        out = {p, v.terms.size()};
    }
    void passes(const Value& v, std::span<const Pass>& out, Kind target) const {
        Pass* p = arena_.array<Pass>(v.terms.size());
        for (std::size_t i = 0; i < v.terms.size(); ++i) {
            std::string_view circuit;
            int pole = -1;
            (void)split_pass(v.terms[i].key, circuit, pole);  // grammar was checked when it was stored
            p[i] = {resolve(target, circuit), pole, v.terms[i].weight};
        }
        out = {p, v.terms.size()};
    }

private:
    const Model& model_;
    Arena& arena_;
};

#define BLN_ASSIGN(name, type, argument, dated, layer, unit, low, high, doc) \
    case field_of_kind::name:                                                \
        resolver.type(value, out.name, row.target);                          \
        break;
#define BLN_FILL(kind, key, number, doc)                                                             \
    void fill(const Resolver& resolver, std::size_t field, const FieldInfo& row, const Value& value, \
              as_of::kind& out) {                                                                    \
        using field_of_kind = field_of::kind;                                                        \
        switch (static_cast<field_of_kind>(field)) { BLN_FIELDS_##kind(BLN_ASSIGN) }                 \
        out.given |= std::uint64_t{1} << field;                                                      \
    }
BLN_KINDS(BLN_FILL)
#undef BLN_FILL
#undef BLN_ASSIGN

template <class T>
void fill_all(const Model& model, Kind kind, Instant valid, Instant known, Arena& arena, std::vector<T>& out) {
    const std::vector<Entity>& entities = model.entities(kind);
    const FieldInfo* rows = info(kind).fields;
    const Resolver resolver(model, arena);
    out.resize(entities.size());
    for (std::size_t i = 0; i < entities.size(); ++i) {
        out[i].id = entities[i].id;
        for (const Cell& cell : entities[i].cells)
            if (const Assignment* a = holding(cell, valid, known))
                fill(resolver, cell.field, rows[cell.field], a->value, out[i]);
    }
}

}  // namespace

void refill(View& view, Kind kind, std::uint32_t at, Arena& arena) {
    const Entity& entity = view.model().entities(kind)[at];
    const FieldInfo* rows = info(kind).fields;
    const Resolver resolver(view.model(), arena);
    const auto read = [&](auto& out) {
        out = {};
        out.id = entity.id;
        for (const Cell& cell : entity.cells)
            if (const Assignment* a = holding(cell, view.valid(), view.known()))
                fill(resolver, cell.field, rows[cell.field], a->value, out);
    };
    switch (kind) {
#define BLN_REFILL(kind, key, number, doc) \
    case Kind::kind:                       \
        read(view.kind[at]);               \
        break;
        BLN_KINDS(BLN_REFILL)
#undef BLN_REFILL
    }
}

const Assignment* holding(const Cell& cell, Instant valid, Instant known) noexcept {
    const Assignment* best = nullptr;
    for (const Assignment& a : cell.assignments) {
        if (a.recorded_at > known || valid < a.from || valid >= a.to) {
            // The end of time is an instant after every dated end, so an open end includes it.
            const bool open_end = valid == end_of_time && a.to == end_of_time;
            if (a.recorded_at > known || valid < a.from || !open_end) continue;
        }
        if (best == nullptr || a.recorded_at > best->recorded_at ||
            (a.recorded_at == best->recorded_at && a.from >= best->from))
            best = &a;
    }
    return best;
}

View::View(std::shared_ptr<const Model> model, Instant valid, Instant known)
    : model_(std::move(model)), valid_(valid), known_(known) {
#define BLN_FILL_KIND(kind, key, number, doc) fill_all(*model_, Kind::kind, valid_, known_, arena_, this->kind);
    BLN_KINDS(BLN_FILL_KIND)
#undef BLN_FILL_KIND
}

}  // namespace bln
