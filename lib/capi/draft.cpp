// Drafts: made, filled entity by entity, frozen. The setters of fields are in setters.cpp.
#include "capi/lookup.hpp"
#include "site/json_tree.hpp"
#include "site/reader.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

std::unique_ptr<bln_draft> draft_of(std::unique_ptr<Model> model) {
    auto draft = std::make_unique<bln_draft>();
    draft->model = std::move(model);
    return draft;
}

/// The `ext` of an entity stands inside three objects of the file, which has to stay within the default depth.
constexpr std::uint32_t around_ext = 3;

/// The text of one object, without spaces around it.
std::string_view ext_text(std::string_view json) {
    JsonLimits limits;
    limits.max_depth -= around_ext;
    const JsonDocument document = parse_json(json, limits);
    if (!document.root.is_object()) document.fail(document.root, BLN_E_TYPE, "ext is one JSON object");
    return json.substr(document.root.begin, document.root.end - document.root.begin);
}

}  // namespace

extern "C" {

bln_status bln_limits_default(bln_limits* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const JsonLimits initial;
        hand_out(out, bln_limits{0, initial.max_depth, initial.max_bytes}, "out");
    });
}

bln_status bln_draft_new(bln_draft** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [] { return draft_of(std::make_unique<Model>()); });
}

bln_status bln_draft_read(const char* json, size_t n, const bln_limits* limits, bln_draft** out,
                          bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return draft_of(read_site(required_bytes(json, n, "json"), json_limits(limits))); });
}

bln_status bln_draft_of(const bln_site* site, bln_draft** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return draft_of(required(site, "site").model->clone()); });
}

void bln_draft_free(bln_draft* draft) BLN_NOEXCEPT { delete draft; }

bln_status bln_draft_add(bln_draft* draft, bln_kind kind, const char* id, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        Model& model = *required(draft, "draft").model;
        const std::string_view name = required_text(id, "id");
        model.add(kind_of(kind), name);
    });
}

bln_status bln_draft_remove(bln_draft* draft, bln_kind kind, const char* id, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        Model& model = *required(draft, "draft").model;
        const std::string_view name = required_text(id, "id");
        model.remove(kind_of(kind), name);
    });
}

bln_status bln_draft_clear(bln_draft* draft, bln_kind kind, const char* id, const char* field,
                           bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        Model& model = *required(draft, "draft").model;
        const Spot spot = find_spot(model, kind, id, field);
        model.clear(spot.kind, spot.at, spot.field);
    });
}

bln_status bln_draft_set_ext(bln_draft* draft, bln_kind kind, const char* id, const char* json, size_t n,
                             bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        Model& model = *required(draft, "draft").model;
        const std::string_view name = required_text(id, "id");
        const std::string_view text = required_bytes(json, n, "json");
        const Kind k = kind_of(kind);
        const std::uint32_t at = find_entity(model, k, name);
        model.set_ext(k, at, text.empty() ? text : ext_text(text));
    });
}

bln_status bln_draft_freeze(const bln_draft* draft, bln_site** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        auto site = std::make_unique<bln_site>();
        site->model = required(draft, "draft").model->clone();
        return site;
    });
}

}  // extern "C"
