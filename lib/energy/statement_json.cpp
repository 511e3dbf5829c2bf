#include <cmath>

#include "energy/energy.hpp"
#include "energy/findings.hpp"
#include "site/json_text.hpp"

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

std::string_view word(RowKind k) {
    switch (k) {
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

}  // namespace

std::string statement_json(const Statement& s) {
    Json j;
    j.open('{');
    j.text("library", BLN_VERSION_TEXT);
    j.text("quantum_wh", s.quantum.text());
    j.whole("intervals", s.count());
    if (s.count() > 0) {
        j.text("from", energy::when(s.intervals->first()));
        j.text("to", energy::when(s.intervals->start(s.count())));
    }
    j.key("rows");
    j.open('[');
    for (const StatementRow& r : s.rows) {
        j.open('{');
        j.text("kind", word(r.kind));
        j.text("id", r.id);
        if (!r.premises.empty()) j.text("premises", r.premises);
        j.count("net", r.net);
        j.count("import_p", r.import_p);
        j.count("export_p", r.export_p);
        j.count("net_q", r.net_q);
        j.real("net_kwh", energy::kwh(s, r.net));
        j.whole("missing", r.missing);
        j.whole("mixed", r.mixed);
        j.close('}');
    }
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
