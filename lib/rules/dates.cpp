// Histories, evidence and serial numbers: the record against itself.
#include <algorithm>
#include <unordered_map>

#include "rules/context.hpp"
#include "rules/policy.hpp"
#include "rules/rules.hpp"
#include "rules/verdicts.hpp"
#include "site/instant.hpp"

namespace bln::rules {
namespace {

/// Calls @p look(kind, entity, field, cell) for every field that has a history or a source.
template <class Look>
void each_cell(const Context& c, Verdicts& out, Look look) {
    for (std::size_t k = 0; k < kind_count; ++k) {
        const Kind kind = static_cast<Kind>(k);
        const auto& entities = c.view.model().entities(kind);
        for (const std::uint32_t i : out.over(kind))
            for (const Cell& cell : out.cells(kind, i))
                if (cell.assignments.size() > 1 || !cell.assignments.front().plain())
                    look(kind, entities[i], info(kind).fields[cell.field], cell);
    }
}

Finding& about_field(Finding& f, Kind kind, const Entity& e, const FieldInfo& field) {
    f.about(kind, e.id);
    f.discriminator = std::string(field.name);
    f.word("field", field.name).word("kind", info(kind).name);
    return f.at(pointer_to(kind, e.id, field.name));
}

std::string date(Instant at) { return writable(at) ? instant_text(at) : std::string("a time beyond the calendar"); }

constexpr std::int64_t day = std::int64_t{86400} * 1000000;

}  // namespace

void evidence_missing(const Context& c, Verdicts& out) {
    each_cell(c, out, [&](Kind kind, const Entity& e, const FieldInfo& field, const Cell& cell) {
        for (const Assignment& a : cell.assignments) {
            if (a.evidence.empty() || a.recorded_at > c.view.known()) continue;
            if (c.view.model().find(Kind::evidence, a.evidence) >= 0) {
                out.right();
                continue;
            }
            Finding& f = about_field(out.wrong(), kind, e, field);
            f.discriminator += "=" + std::string(a.evidence);
            f.word("names", a.evidence);
        }
    });
}

// Of two values that begin and were written down at the same instants, neither is the later word.
void history_contradiction(const Context& c, Verdicts& out) {
    std::vector<const Assignment*> known;
    each_cell(c, out, [&](Kind kind, const Entity& e, const FieldInfo& field, const Cell& cell) {
        if (cell.assignments.size() < 2) return;
        known.clear();
        for (const Assignment& a : cell.assignments)
            if (a.recorded_at <= c.view.known()) known.push_back(&a);
        std::stable_sort(known.begin(), known.end(), [](const Assignment* a, const Assignment* b) {
            return a->recorded_at != b->recorded_at ? a->recorded_at < b->recorded_at : a->from < b->from;
        });
        for (std::size_t i = 1; i < known.size(); ++i) {
            const Assignment &a = *known[i - 1], &b = *known[i];
            if (a.recorded_at != b.recorded_at || a.from != b.from || same(field.type, a.value, b.value)) continue;
            about_field(out.wrong(), kind, e, field)
                .word("from", a.from == begin_of_time ? std::string("the beginning") : date(a.from));
            return;
        }
        out.right();
    });
}

// A fact that ended, or that nothing is known of in between: until it is entered, nothing that waits for it is checked.
void history_gap(const Context& c, Verdicts& out) {
    std::vector<const Assignment*> known;
    each_cell(c, out, [&](Kind kind, const Entity& e, const FieldInfo& field, const Cell& cell) {
        if (!field.dated) return;
        known.clear();
        for (const Assignment& a : cell.assignments)
            if (a.recorded_at <= c.view.known()) known.push_back(&a);
        if (known.empty()) return;
        std::sort(known.begin(), known.end(),
                  [](const Assignment* a, const Assignment* b) { return a->from < b->from; });
        Instant until = known.front()->to;
        bool gap = false;
        for (const Assignment* a : known) {
            gap = a->from > until && until <= c.view.valid();
            if (gap) break;
            until = std::max(until, a->to);
        }
        if (!gap && (until == end_of_time || until > c.view.valid())) return out.right();
        about_field(out.wrong(), kind, e, field).word("until", date(until));
    });
}

void evidence_about_nothing(const Context& c, Verdicts& out) {
    for (const std::uint32_t i : out.over(Kind::evidence)) {
        const as_of::evidence& x = c.view.evidence[i];
        for (const std::string_view text : x.about) {
            const std::size_t colon = text.find(':');
            const int kind = find_kind(text.substr(0, colon));
            std::string_view id = colon == std::string_view::npos ? std::string_view() : text.substr(colon + 1);
            const std::size_t next = id.find(':');
            const std::string_view field = next == std::string_view::npos ? std::string_view() : id.substr(next + 1);
            id = id.substr(0, next);
            const bool there = kind >= 0 && c.view.model().find(static_cast<Kind>(kind), id) >= 0 &&
                               (field.empty() || info(static_cast<Kind>(kind)).find(field) >= 0);
            if (there) {
                out.right();
                continue;
            }
            Finding& f = out.wrong();
            f.about(Kind::evidence, x.id).word("names", text);
            f.discriminator = std::string(text);
            f.at(pointer_to(Kind::evidence, x.id, "about"));
        }
    }
}

void calibration_expired(const Context& c, Verdicts& out) {
    const double limit = c.policy[calibration_days];
    for (const std::uint32_t i : out.over(Kind::evidence)) {
        const as_of::evidence& x = c.view.evidence[i];
        if (x.what != EvidenceKind::voltmeter && x.what != EvidenceKind::clamp) continue;
        if (!x.at) out.lacks(Kind::evidence, i, field_of::evidence::at);
        if (!x.calibrated_at) out.lacks(Kind::evidence, i, field_of::evidence::calibrated_at);
        if (!x.at || !x.calibrated_at) continue;
        const double days = static_cast<double>(*x.at / day) - static_cast<double>(*x.calibrated_at / day);
        if (days >= 0 && days <= limit) {
            out.right();
            continue;
        }
        Finding& f = out.wrong();
        f.about(Kind::evidence, x.id).number("measured", days, "d").number("limit", limit, "d");
        f.word("instrument", x.instrument.empty() ? std::string_view("the instrument") : x.instrument);
        f.source = "common practice, no source";
        f.at(pointer_to(Kind::evidence, x.id, "calibrated_at"));
    }
}

namespace {

/// One serial number on two things means that one of them was not read off, but copied.
template <class Entity>
void same_serial(const std::vector<Entity>& all, Kind kind, Verdicts& out) {
    const auto say = [&](std::uint32_t i, std::uint32_t first) {
        out.wrong()
            .about(kind, all[i].id)
            .about(kind, all[first].id)
            .word("kind", info(kind).name)
            .word("serial", all[i].serial)
            .at(pointer_to(kind, all[i].id, "serial"));
    };
    std::unordered_map<std::string_view, std::uint32_t> seen;
    for (const std::uint32_t i : out.over(kind)) {
        if (all[i].serial.empty()) continue;
        std::uint32_t first = i;
        if (out.whole())
            first = seen.emplace(all[i].serial, i).first->second;
        else
            for (std::uint32_t j = 0; j < i && first == i; ++j)
                if (all[j].serial == all[i].serial) first = j;
        if (first == i)
            out.right();
        else
            say(i, first);
    }
}

}  // namespace

void serial_used_twice(const Context& c, Verdicts& out) {
    same_serial(c.view.ct, Kind::ct, out);
    same_serial(c.view.device, Kind::device, out);
}

}  // namespace bln::rules
