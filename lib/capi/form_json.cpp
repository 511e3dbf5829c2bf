// A form as one JSON object.
#include "capi/form.hpp"
#include "power/form_words.hpp"
#include "power/nominal.hpp"
#include "power/realise.hpp"
#include "site/json_text.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

class Writer {
public:
    void open(char c) {
        out_ += c;
        first_ = true;
    }
    void close(char c) {
        out_ += c;
        first_ = false;
    }
    void key(std::string_view name) {
        next();
        append_json_string(out_, name);
        out_ += ':';
        first_ = true;
    }
    void text(std::string_view value) {
        next();
        append_json_string(out_, value);
    }
    void number(double value) {
        next();
        append_json_number(out_, value);
    }
    void whole(std::int64_t value) {
        next();
        out_ += std::to_string(value);
    }
    void truth(bool value) {
        next();
        out_ += value ? "true" : "false";
    }
    /// As in site files: an integer, or "p/q".
    void ratio(const Rational& r) {
        if (r.den() == 1)
            whole(r.num());
        else
            text(r.text());
    }
    void begin(char c) {
        next();
        open(c);
    }
    std::string take() { return std::move(out_); }

private:
    void next() {
        if (!first_) out_ += ',';
        first_ = false;
    }
    std::string out_;
    bool first_ = true;
};

void notes(Writer& w, const bln_form& form) {
    w.key("notes");
    w.begin('[');
    for (const FormNote& n : form.point.notes) {
        w.begin('{');
        w.key("code");
        w.text(info(n.code).slug);
        w.key("stops");
        w.truth(info(n.code).stops);
        w.key("kind");
        w.text(info(n.kind).name);
        w.key("id");
        w.text(n.id);
        if (n.gap != Gap::none) {
            w.key("gap");
            w.text(word_of(n.gap));
        }
        w.key("text");
        w.text(info(n.code).doc);
        w.close('}');
    }
    w.close(']');
}

void conductors(Writer& w, const bln_form& form, const Form& f) {
    w.key("conductors");
    w.begin('[');
    for (std::size_t k = 0; k < f.conductors().size(); ++k) {
        const LoadConductor& c = f.conductors()[k];
        w.begin('{');
        w.key("name");
        w.text(current_name(f, k, form.names));
        w.key("on");
        w.text(word_of(c.on));
        w.key("load");
        w.whole(c.load);
        if (form.view) {
            w.key("circuit");
            w.text(circuit_of(form, k));
            w.key("pole");
            w.whole(form.point.origin[k].pole);
        }
        w.key("counted");
        w.truth(f.counted(c.load));
        w.close('}');
    }
    w.close(']');
}

void elements(Writer& w, const bln_form& form, const Form& f) {
    w.key("elements");
    w.begin('[');
    for (std::size_t e = 0; e < f.elements().size(); ++e) {
        w.begin('{');
        if (form.view) {
            w.key("channel");
            w.text(channel_of(form, e));
        }
        w.key("volts");
        w.begin('{');
        for (std::size_t t = 0; t < terminal_count; ++t) {
            if (f.elements()[e].volts[t].is_zero()) continue;
            w.key(terminal_name(t));
            w.ratio(f.elements()[e].volts[t]);
        }
        w.close('}');
        w.key("amps");
        w.begin('[');
        for (const Rational& b : f.amps(e)) w.ratio(b);
        w.close(']');
        w.key("weight");
        w.ratio(f.elements()[e].weight);
        w.close('}');
    }
    w.close(']');
}

void residual(Writer& w, const bln_form& form, const Form& f) {
    const Residual r = f.residual();
    w.key("residual");
    w.begin('{');
    w.key("reference");
    w.text(terminal_name(r.reference));
    w.key("rows");
    w.begin('[');
    for (std::size_t i = 0; i < r.d.rows(); ++i) w.text(terminal_name(r.row_terminal[i]));
    w.close(']');
    w.key("columns");
    w.begin('[');
    for (const std::uint32_t k : r.column_conductor) w.text(current_name(f, k, form.names));
    w.close(']');
    w.key("matrix");
    w.begin('[');
    for (std::size_t i = 0; i < r.d.rows(); ++i) {
        w.begin('[');
        for (std::size_t j = 0; j < r.d.columns(); ++j) w.ratio(r.d.at(i, j));
        w.close(']');
    }
    w.close(']');
    w.close('}');
}

void orders(Writer& w, std::string_view key, std::uint16_t bits) {
    w.key(key);
    w.begin('[');
    for (int h = 1; h <= highest_order; ++h)
        if ((bits >> h & 1U) != 0) w.whole(h);
    w.close(']');
}

void nominal(Writer& w, const bln_form& form, const Form& f) {
    const NominalOrders o = nominal_orders(f);
    if (!o.known) return;
    w.key("nominal");
    w.begin('{');
    orders(w, "right_orders", o.right);
    orders(w, "wrong_orders", o.failing());
    orders(w, "orders_without_voltage", o.without);
    w.key("registration");
    w.begin('[');
    for (std::size_t x = 0; x < f.conductors().size(); ++x)
        for (std::size_t y = x + 1; y < f.conductors().size(); ++y) {
            const auto factor = registration(f, x, y);
            if (!factor) continue;
            w.begin('{');
            w.key("from");
            w.text(current_name(f, x, form.names));
            w.key("to");
            w.text(current_name(f, y, form.names));
            w.key("re");
            w.number(factor->value().real());
            w.key("im");
            w.number(factor->value().imag());
            w.close('}');
        }
    w.close(']');
    w.close('}');
}

void weights(Writer& w, const Form& f) {
    const auto solution = realise(f);
    w.key("real_weights");
    w.begin('{');
    w.key("found");
    w.truth(solution.has_value());
    if (solution) {
        w.key("unique");
        w.truth(solution->unique);
        w.key("weights");
        w.begin('[');
        for (const Rational& x : solution->x) w.ratio(x);
        w.close(']');
    }
    w.close('}');
}

}  // namespace

extern "C" {

bln_status bln_form_json(const bln_form* form, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const bln_form& handle = required(form, "form");
        Writer w;
        w.open('{');
        w.key("built");
        w.truth(handle.point.built);
        notes(w, handle);
        if (handle.point.built) {
            const Form& f = handle.point.form;
            conductors(w, handle, f);
            elements(w, handle, f);
            w.key("exact");
            w.truth(f.exact());
            w.key("fewest_elements");
            w.whole(static_cast<std::int64_t>(f.fewest_elements()));
            w.key("registered");
            w.text(registered_text(f, handle.names));
            w.key("error");
            w.text(error_text(f, handle.names));
            w.key("condition");
            w.text(condition_text(f, handle.names));
            w.key("verdict");
            w.text(verdict_text(f));
            residual(w, handle, f);
            nominal(w, handle, f);
            weights(w, f);
        }
        w.close('}');
        return text_of(w.take());
    });
}

}  // extern "C"
