// Frozen records: read, shared, asked for ids and histories. Writing them is in writing.cpp.
#include "capi/lookup.hpp"
#include "site/reader.hpp"
#include "site/value_json.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

const Model& model_of(const bln_site* site) { return *required(site, "site").model; }

/// Never NULL, so that callers can print it.
const char* shown(std::string_view text) noexcept { return text.empty() ? "" : text.data(); }

std::span<const Assignment> history(const Model& model, const Spot& spot) noexcept {
    const Cell* cell = spot.entity(model).find(spot.field);
    return cell == nullptr ? std::span<const Assignment>{} : cell->assignments;
}

}  // namespace

extern "C" {

bln_status bln_site_read(const char* json, size_t n, const bln_limits* limits, bln_site** out,
                         bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const std::string_view text = required_bytes(json, n, "json");
        auto site = std::make_unique<bln_site>();
        site->model = read_site(text, json_limits(limits));
        return site;
    });
}

bln_site* bln_site_keep(bln_site* site) BLN_NOEXCEPT {
    if (site != nullptr) site->holders.fetch_add(1, std::memory_order_relaxed);
    return site;
}

void bln_site_free(bln_site* site) BLN_NOEXCEPT {
    if (site != nullptr && site->holders.fetch_sub(1, std::memory_order_acq_rel) == 1) delete site;
}

size_t bln_site_count(const bln_site* site, bln_kind kind) BLN_NOEXCEPT {
    const int k = kind_by_number(kind);
    return site == nullptr || k < 0 ? 0 : site->model->entities(static_cast<Kind>(k)).size();
}

const char* bln_site_id(const bln_site* site, bln_kind kind, size_t i) BLN_NOEXCEPT {
    return i < bln_site_count(site, kind) ? shown(site->model->entities(static_cast<Kind>(kind_by_number(kind)))[i].id)
                                          : nullptr;
}

int64_t bln_site_find(const bln_site* site, bln_kind kind, const char* id) BLN_NOEXCEPT {
    const int k = kind_by_number(kind);
    return site == nullptr || k < 0 || id == nullptr ? -1 : site->model->find(static_cast<Kind>(k), id);
}

bln_status bln_site_history(const bln_site* site, bln_kind kind, const char* id, const char* field, size_t* count,
                            bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Model& model = model_of(site);
        std::size_t& target = required(count, "count");
        target = history(model, find_spot(model, kind, id, field)).size();
    });
}

bln_status bln_site_assignment(const bln_site* site, bln_kind kind, const char* id, const char* field, size_t i,
                               bln_when* when, bln_text** value, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        if (value != nullptr) *value = nullptr;
        const Model& model = model_of(site);
        (void)required(when, "when");
        const Spot spot = find_spot(model, kind, id, field);
        const Assignment& a = item_at(history(model, spot), i, "assignment");
        std::unique_ptr<bln_text> text;
        if (value != nullptr) {
            text = text_of({});
            append_value_json(text->data, spot.row(), a.value);
        }
        hand_out(when, bln_when{0, 0, a.from, a.to, a.recorded_at, shown(a.reason), shown(a.evidence)}, "when");
        if (value != nullptr) *value = text.release();
    });
}

}  // extern "C"
