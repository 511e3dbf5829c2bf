// A record as text: file, digest, difference; patches; JSON in general.
#include "capi/handles.hpp"
#include "capi/lookup.hpp"
#include "capi/sized.hpp"
#include "site/canonical.hpp"
#include "site/difference.hpp"
#include "site/json_patch.hpp"
#include "site/record_patch.hpp"
#include "site/schema.hpp"
#include "site/sha256.hpp"
#include "site/writer.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

JsonStyle style_of(std::int32_t style) {
    if (style == BLN_JSON_READABLE) return JsonStyle::readable;
    if (style == BLN_JSON_CANONICAL) return JsonStyle::canonical;
    throw Failure(BLN_E_RANGE, "there is no JSON style " + std::to_string(style));
}

/// Parses one of two texts; an error says which.
JsonDocument parse_named(std::string_view text, const JsonLimits& limits, const char* name) {
    try {
        return parse_json(text, limits);
    } catch (Failure& failure) {
        for (ErrorItem& item : failure.items()) item.subject = name;
        throw;
    }
}

}  // namespace

extern "C" {

bln_status bln_schema(bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [] { return text_of(site_schema()); });
}

bln_status bln_site_json(const bln_site* site, int32_t style, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(write_site(*required(site, "site").model, style_of(style))); });
}

bln_status bln_site_digest(const bln_site* site, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        return text_of(sha256_text(write_site(*required(site, "site").model, JsonStyle::canonical)));
    });
}

bln_status bln_site_difference(const bln_site* before, const bln_site* after, bln_text** out,
                               bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        return text_of(site_difference(*required(before, "before").model, *required(after, "after").model));
    });
}

bln_status bln_draft_patch(bln_draft* draft, const char* patch, size_t n, const bln_limits* limits,
                           bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        bln_draft& d = required(draft, "draft");
        d.model = patched(*d.model, required_bytes(patch, n, "patch"), json_limits(limits));
    });
}

bln_status bln_json_canonical(const char* json, size_t n, const bln_limits* limits, bln_text** out,
                              bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        return text_of(canonical(parse_json(required_bytes(json, n, "json"), json_limits(limits)).root));
    });
}

bln_status bln_json_patch_apply(const char* document, size_t document_size, const char* patch, size_t patch_size,
                                const bln_limits* limits, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const JsonLimits most = json_limits(limits);
        Json tree = parse_named(required_bytes(document, document_size, "document"), most, "document").root;
        const JsonDocument operations = parse_named(required_bytes(patch, patch_size, "patch"), most, "patch");
        return text_of(to_json(patched(std::move(tree), operations, most)));
    });
}

}  // extern "C"
