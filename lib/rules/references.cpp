// References that lead nowhere, in any field of the table.
#include "rules/context.hpp"
#include "rules/rules.hpp"
#include "rules/verdicts.hpp"

namespace bln::rules {
namespace {

struct Place {
    Kind kind;
    std::string_view id;
    const FieldInfo& field;
};

void look(const Place& at, Verdicts& out, const Ref& ref) {
    if (!ref.given()) return;
    if (ref.resolved()) {
        out.right();
        return;
    }
    Finding& f = out.wrong();
    f.about(at.kind, at.id);
    f.discriminator = std::string(at.field.name) + "=" + std::string(ref.id);
    f.word("field", at.field.name).word("kind", info(at.field.target).name).word("names", ref.id);
    f.at(pointer_to(at.kind, at.id, at.field.name));
}
void look(const Place& at, Verdicts& out, std::span<const Ref> refs) {
    for (const Ref& r : refs) look(at, out, r);
}
void look(const Place& at, Verdicts& out, std::span<const Term> terms) {
    for (const Term& t : terms) look(at, out, t.ref);
}
void look(const Place& at, Verdicts& out, std::span<const Pass> passes) {
    for (const Pass& p : passes) look(at, out, p.circuit);
}
/// Fields that refer to nothing.
template <class T>
void look(const Place&, Verdicts&, const T&) {}

#define BLN_LOOK(name, type, argument, dated, layer, unit, low, high, doc) \
    look({kind, e.id, rows[static_cast<std::size_t>(fields::name)]}, out, e.name);
#define BLN_LOOK_ALL(kind_name, key, number, doc)                                \
    void look_through(const std::vector<as_of::kind_name>& all, Verdicts& out) { \
        using fields = field_of::kind_name;                                      \
        constexpr Kind kind = Kind::kind_name;                                   \
        const FieldInfo* rows = info(kind).fields;                               \
        for (const std::uint32_t i : out.over(kind)) {                           \
            const as_of::kind_name& e = all[i];                                  \
            BLN_FIELDS_##kind_name(BLN_LOOK)                                     \
        }                                                                        \
    }
BLN_KINDS(BLN_LOOK_ALL)
#undef BLN_LOOK_ALL
#undef BLN_LOOK

}  // namespace

void dangling_reference(const Context& c, Verdicts& out) {
#define BLN_LOOK_KIND(kind, key, number, doc) look_through(c.view.kind, out);
    BLN_KINDS(BLN_LOOK_KIND)
#undef BLN_LOOK_KIND
}

}  // namespace bln::rules
