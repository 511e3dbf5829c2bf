#include <cmath>

#include "energy/energy.hpp"
#include "energy/findings.hpp"
#include "site/json_text.hpp"
#include "site/sha256.hpp"
#include "site/writer.hpp"

namespace bln {
namespace {

class Json {
public:
    void open(char bracket) {
        comma();
        out_ += bracket;
        first_ = true;
    }
    void close(char bracket) {
        out_ += bracket;
        first_ = false;
    }
    void key(std::string_view name) {
        comma();
        append_json_string(out_, name);
        out_ += ':';
        first_ = true;
    }
    void text(std::string_view name, std::string_view value) {
        key(name);
        append_json_string(out_, value);
        first_ = false;
    }
    /// Counts are written as texts: a reader of JSON may keep only 53 bits of a number.
    void count(std::string_view name, std::int64_t value) { text(name, std::to_string(value)); }
    void whole(std::string_view name, std::uint64_t value) {
        key(name);
        out_ += std::to_string(value);
        first_ = false;
    }
    void real(std::string_view name, double value) {
        key(name);
        append_json_number(out_, std::isfinite(value) ? value : 0);
        first_ = false;
    }
    std::string take() { return std::move(out_); }

private:
    void comma() {
        if (!first_) out_ += ',';
        first_ = false;
    }
    std::string out_;
    bool first_ = true;
};

std::string_view word(Verdict v) {
    switch (v) {
        case Verdict::wrong:
            return "wrong";
        case Verdict::undecided:
            return "undecided";
        case Verdict::not_checked:
            return "not_checked";
        case Verdict::right:
            return "right";
    }
    return "undecided";
}

void write_row(Json& j, const Statement& s, const StatementRow& r) {
    j.open('{');
    j.text("kind", word_of(r.kind));
    j.text("id", r.id);
    if (!r.premises.empty()) j.text("premises", r.premises);
    j.count("net", r.net);
    j.count("import_p", r.import_p);
    j.count("export_p", r.export_p);
    j.count("net_q", r.net_q);
    j.count("import_q", r.import_q);
    j.count("export_q", r.export_q);
    j.real("net_kwh", energy::kwh(s, r.net));
    if (r.both > 0) {
        j.count("apparent", r.apparent);
        j.whole("apparent_intervals", r.both);
        j.real("power_factor", r.power_factor);
    }
    if (r.bar != ApparentBar::none && r.kind != RowKind::unallocated) j.text("apparent_not_stated", word_of(r.bar));
    j.whole("measured", r.measured);
    j.whole("flagged", r.flagged);
    j.whole("missing", r.missing);
    j.whole("mixed", r.mixed);
    j.count("flagged_net", r.flagged_net);
    j.key("quality");
    j.open('{');
    for (std::size_t k = 0; k < r.quality.size(); ++k)
        if (r.quality[k] > 0) j.whole(quality_codes[k].word, r.quality[k]);
    j.close('}');
    j.close('}');
}

void write_tenure(Json& j, const Statement& s, const Tenure& t) {
    j.open('{');
    j.text("kind", word_of(s.rows[t.row].kind));
    j.text("id", s.rows[t.row].id);
    if (!t.premises.empty()) j.text("premises", t.premises);
    if (t.occupancy != Occupancy::unknown) j.text("occupancy", word_of(t.occupancy));
    if (!t.occupant.empty()) j.text("occupant", t.occupant);
    j.text("from", energy::when(t.from));
    j.text("to", energy::when(t.to));
    j.count("net", t.net);
    j.count("import_p", t.import_p);
    j.count("export_p", t.export_p);
    j.count("net_q", t.net_q);
    j.count("import_q", t.import_q);
    j.count("export_q", t.export_q);
    j.real("net_kwh", energy::kwh(s, t.net));
    if (t.both > 0) {
        j.count("apparent", t.apparent);
        j.whole("apparent_intervals", t.both);
        j.real("power_factor", t.power_factor);
    }
    j.whole("measured", t.measured);
    j.whole("flagged", t.flagged);
    j.whole("missing", t.missing);
    j.whole("divided", t.divided);
    j.count("flagged_net", t.flagged_net);
    j.close('}');
}

/// What makes the statement repeatable: record, what was known, input, library.
void write_origin(Json& j, const Statement& s) {
    j.text("library", BLN_VERSION_TEXT);
    if (s.model != nullptr) j.text("record_sha256", sha256_text(write_site(*s.model, JsonStyle::canonical)));
    if (s.period.known != end_of_time) j.text("known", energy::when(s.period.known));
    if (const std::string digest = input_digest(s); !digest.empty()) j.text("intervals_sha256", digest);
    j.key("record_versions");
    j.open('[');
    for (const Version& v : s.versions) {
        j.open('{');
        j.text("from", energy::when(v.from));
        j.text("to", energy::when(v.to));
        j.close('}');
    }
    j.close(']');
}

}  // namespace

std::string_view word_of(RowKind kind) noexcept {
    switch (kind) {
        case RowKind::point:
            return "point";
        case RowKind::check:
            return "check";
        case RowKind::rollup:
            return "rollup";
        case RowKind::unallocated:
            return "unallocated";
    }
    return "point";
}

std::string_view word_of(ApparentBar bar) noexcept {
    switch (bar) {
        case ApparentBar::none:
            return "";
        case ApparentBar::reweighted:
            return "reweighted_channel";
        case ApparentBar::summed_current:
            return "summed_currents";
        case ApparentBar::of_a_part:
            return "part_without";
    }
    return "";
}

std::string statement_json(const Statement& s) {
    Json j;
    j.open('{');
    j.text("blondel_statement", "1");
    write_origin(j, s);
    j.text("quantum_wh", s.quantum.text());
    j.whole("intervals", s.count());
    if (s.count() > 0) {
        j.text("from", energy::when(s.period.from));
        j.text("to", energy::when(s.period.to));
    }
    j.key("rows");
    j.open('[');
    for (const StatementRow& r : s.rows) write_row(j, s, r);
    j.close(']');
    j.key("tenures");
    j.open('[');
    for (const Tenure& t : s.tenures) write_tenure(j, s, t);
    j.close(']');
    j.key("reconciliations");
    j.open('[');
    for (const Reconciliation& r : s.reconciliations) {
        j.open('{');
        j.text("rollup", r.rollup);
        j.text("main", r.main);
        j.text("verdict", word(r.verdict));
        j.count("main_net", r.main_net);
        j.count("sum_net", r.sum_net);
        j.whole("intervals", r.intervals);
        j.whole("left_out", r.left_out);
        j.real("difference_percent", r.difference_percent);
        j.real("tolerance_percent", r.tolerance_percent);
        j.close('}');
    }
    j.close(']');
    j.key("suspicions");
    j.open('[');
    for (const Suspicion& x : s.suspicions) {
        j.open('{');
        j.text("rollup", x.rollup);
        j.text("point", x.point);
        j.text("channel", x.channel);
        j.text("hypothesis", x.hypothesis);
        j.real("missing_wh", x.missing_wh);
        j.real("explained", x.explained);
        j.close('}');
    }
    j.close(']');
    j.close('}');
    return j.take();
}

}  // namespace bln
