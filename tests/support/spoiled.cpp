#include "spoiled.hpp"

#include <algorithm>
#include <cstdio>
#include <cstdlib>

namespace support {
namespace {

void done(bln_status status, bln_error* err) {
    if (status == BLN_OK) return;
    std::fprintf(stderr, "spoiled site: %s\n", bln_error_message(err, 0));
    std::exit(2);
}

}  // namespace

Spoiled::Spoiled(const bln_site* site, std::uint32_t seed) : site_(site), random_(seed * 747796405U + 2891336453U) {
    bln_error* err = nullptr;
    done(bln_draft_of(site, &draft_, &err), err);
    done(bln_view_new(site, BLN_END_OF_TIME, BLN_END_OF_TIME, &view_, &err), err);
    for (const std::string& id : ids(BLN_KIND_POINT))
        if (text(BLN_KIND_POINT, id, "use") != "main") points_.push_back(id);
    for (std::size_t i = points_.size(); i > 1; --i)
        std::swap(points_[i - 1], points_[draw(static_cast<std::uint32_t>(i))]);
}

Spoiled::~Spoiled() {
    bln_draft_free(draft_);
    bln_view_free(view_);
}

std::uint32_t Spoiled::draw(std::uint32_t below) {
    random_ = random_ * 1664525U + 1013904223U;
    return (random_ >> 8U) % below;
}

std::vector<std::string> Spoiled::ids(bln_kind kind) const {
    std::vector<std::string> out;
    for (std::size_t i = 0; i < bln_site_count(site_, kind); ++i) out.emplace_back(bln_site_id(site_, kind, i));
    return out;
}

std::string Spoiled::text(bln_kind kind, const std::string& id, const char* field) const {
    const char* out = "";
    return bln_view_text(view_, kind, id.c_str(), field, &out, nullptr) == BLN_OK ? out : "";
}

std::int64_t Spoiled::integer(bln_kind kind, const std::string& id, const char* field) const {
    std::int64_t out = 0;
    bln_error* err = nullptr;
    done(bln_view_integer(view_, kind, id.c_str(), field, &out, &err), err);
    return out;
}

double Spoiled::real(bln_kind kind, const std::string& id, const char* field) const {
    double out = 0;
    bln_error* err = nullptr;
    done(bln_view_real(view_, kind, id.c_str(), field, &out, &err), err);
    return out;
}

std::vector<std::int64_t> Spoiled::integers(bln_kind kind, const std::string& id, const char* field) const {
    std::vector<std::int64_t> out;
    std::size_t n = 0;
    if (bln_view_size(view_, kind, id.c_str(), field, &n, nullptr) != BLN_OK) return out;
    for (std::size_t i = 0; i < n; ++i) {
        std::int64_t value = 0;
        bln_error* err = nullptr;
        done(bln_view_item_integer(view_, kind, id.c_str(), field, i, &value, &err), err);
        out.push_back(value);
    }
    return out;
}

Terms Spoiled::terms(bln_kind kind, const std::string& id, const char* field) const {
    Terms out;
    std::size_t n = 0;
    if (bln_view_size(view_, kind, id.c_str(), field, &n, nullptr) != BLN_OK) return out;
    for (std::size_t i = 0; i < n; ++i) {
        const char* key = nullptr;
        std::int64_t num = 0, den = 1;
        bln_error* err = nullptr;
        done(bln_view_item_term(view_, kind, id.c_str(), field, i, &key, &num, &den, &err), err);
        out.emplace_back(key, num);
    }
    return out;
}

std::vector<std::string> Spoiled::channels(const std::string& point) const {
    std::vector<std::string> out;
    for (const auto& [id, weight] : terms(BLN_KIND_POINT, point, "elements")) out.push_back(id);
    return out;
}

char Spoiled::phase_of(const std::string& panel, std::int64_t space) const {
    std::string bus = text(BLN_KIND_PANEL, panel, "bus");
    if (bus.empty()) bus = text(BLN_KIND_CIRCUIT, service(panel) + "-main", "phases");
    return bus[static_cast<std::size_t>((space - 1) / 2) % bus.size()];
}

std::int64_t Spoiled::free_space(const std::string& panel, char phase) const {
    std::set<std::int64_t> used;
    for (const std::string& id : ids(BLN_KIND_CIRCUIT))
        if (text(BLN_KIND_CIRCUIT, id, "panel") == panel)
            for (const std::int64_t s : integers(BLN_KIND_CIRCUIT, id, "spaces")) used.insert(s);
    for (std::int64_t s = integer(BLN_KIND_PANEL, panel, "spaces"); s > 0; --s)
        if (used.count(s) == 0 && phase_of(panel, s) == phase) return s;
    return 0;
}

void Spoiled::add(bln_kind kind, const std::string& id) {
    bln_error* err = nullptr;
    done(bln_draft_add(draft_, kind, id.c_str(), &err), err);
}
void Spoiled::remove(bln_kind kind, const std::string& id) {
    bln_error* err = nullptr;
    done(bln_draft_remove(draft_, kind, id.c_str(), &err), err);
}
void Spoiled::clear(bln_kind kind, const std::string& id, const char* field) {
    bln_error* err = nullptr;
    done(bln_draft_clear(draft_, kind, id.c_str(), field, &err), err);
}
void Spoiled::set(bln_kind kind, const std::string& id, const char* field, const std::string& value,
                  const bln_when* when) {
    bln_error* err = nullptr;
    done(bln_draft_set_text(draft_, kind, id.c_str(), field, value.c_str(), when, &err), err);
}
void Spoiled::set(bln_kind kind, const std::string& id, const char* field, std::int64_t value) {
    bln_error* err = nullptr;
    done(bln_draft_set_integer(draft_, kind, id.c_str(), field, value, nullptr, &err), err);
}
void Spoiled::set(bln_kind kind, const std::string& id, const char* field, double value, const bln_when* when) {
    bln_error* err = nullptr;
    done(bln_draft_set_real(draft_, kind, id.c_str(), field, value, when, &err), err);
}
void Spoiled::set(bln_kind kind, const std::string& id, const char* field, const std::vector<std::int64_t>& values) {
    bln_error* err = nullptr;
    done(bln_draft_set_integers(draft_, kind, id.c_str(), field, values.data(), values.size(), nullptr, &err), err);
}
void Spoiled::set(bln_kind kind, const std::string& id, const char* field, const std::vector<std::string>& values) {
    std::vector<const char*> list;
    for (const std::string& v : values) list.push_back(v.c_str());
    bln_error* err = nullptr;
    done(bln_draft_set_texts(draft_, kind, id.c_str(), field, list.data(), list.size(), nullptr, &err), err);
}
void Spoiled::set(bln_kind kind, const std::string& id, const char* field, const Terms& terms,
                  std::int64_t denominator) {
    std::vector<const char*> names;
    std::vector<std::int64_t> above, below;
    for (const auto& [key, weight] : terms) {
        names.push_back(key.c_str());
        above.push_back(weight);
        below.push_back(denominator);
    }
    bln_error* err = nullptr;
    done(bln_draft_set_terms(draft_, kind, id.c_str(), field, names.data(), above.data(), below.data(), names.size(),
                             nullptr, &err),
         err);
}

void Spoiled::set_ratio(bln_kind kind, const std::string& id, const char* field, std::int64_t above,
                        std::int64_t below) {
    bln_error* err = nullptr;
    done(bln_draft_set_ratio(draft_, kind, id.c_str(), field, above, below, nullptr, &err), err);
}

void Spoiled::copy(bln_kind kind, const std::string& from, const std::string& to) {
    add(kind, to);
    if (kind == BLN_KIND_DEVICE) {
        for (const char* field : {"profile", "service", "scaled_by"}) set(kind, to, field, text(kind, from, field));
        set(kind, to, "leads_protected", std::int64_t{1});
    } else if (kind == BLN_KIND_CT_TYPE) {
        for (const char* field : {"output", "accuracy_class", "core", "mark_faces"})
            set(kind, to, field, text(kind, from, field));
        for (const char* field : {"primary_amps", "secondary"}) set(kind, to, field, integer(kind, from, field));
        for (const char* field : {"window_mm", "burden_va"}) set(kind, to, field, real(kind, from, field));
    } else {
        std::fprintf(stderr, "spoiled site: no copy of this kind\n");
        std::exit(2);
    }
}

}  // namespace support
