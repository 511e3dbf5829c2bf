// An install sheet as comma-separated values (RFC 4180).
#include <initializer_list>

#include "plan/sheet.hpp"

namespace bln::plan {
namespace {

void cell(std::string& to, std::string_view text, bool first) {
    if (!first) to += ',';
    // A spreadsheet takes a cell that begins with one of these for a formula.
    const bool formula =
        !text.empty() && !valid_id(text) && std::string_view("=+-@\t").find(text.front()) != std::string_view::npos;
    if (!formula && text.find_first_of(",\"\r\n") == std::string_view::npos) {
        to += text;
        return;
    }
    to += '"';
    if (formula) to += '\'';
    for (const char c : text) {
        if (c == '"') to += '"';
        to += c;
    }
    to += '"';
}

void line(std::string& to, std::initializer_list<std::string_view> cells) {
    bool first = true;
    for (const std::string_view c : cells) {
        cell(to, c, first);
        first = false;
    }
}

std::string digits(std::int64_t n) { return n > 0 ? std::to_string(n) : std::string(); }

}  // namespace

std::string sheet_csv(const View& view, const Sheet& sheet) {
    std::string out;
    line(out, {"panel.id", "device.id", "connector", "channel.input", "channel.id", "circuit.id", "circuit.name",
               "space", "pole", "conductor", "ct.id", "ct_type.id", "output", "mark_faces", "leads",
               "channel.reference", "point.id", "premises.id"});
    for (const ToRecord& r : record_of_channel) cell(out, r.key, false);
    out += "\r\n";
    for (const SheetPanel& p : sheet.panels)
        for (const SheetDevice& d : p.devices)
            for (const SheetRow& r : d.rows) {
                const auto i = [](std::int32_t at) { return static_cast<std::size_t>(at); };
                const as_of::circuit* circuit = r.circuit < 0 ? nullptr : &view.circuit[i(r.circuit)];
                const as_of::ct* ct = r.ct < 0 ? nullptr : &view.ct[i(r.ct)];
                const as_of::point* point = r.point < 0 ? nullptr : &view.point[i(r.point)];
                const std::string_view none;
                line(out,
                     {p.panel < 0 ? none : view.panel[i(p.panel)].id, view.device[i(d.device)].id, digits(r.connector),
                      digits(r.input), view.channel[i(r.channel)].id, circuit == nullptr ? none : circuit->id,
                      circuit == nullptr ? none : circuit->name, digits(r.space), digits(r.pole), r.conductor,
                      ct == nullptr ? none : ct->id, ct == nullptr ? none : ct->type.id,
                      ct == nullptr || !ct->type.resolved() ? none : bln::word_of(view.ct_type[i(ct->type.at)].output),
                      r.faces, r.exchanged ? "exchanged" : "straight", r.reference, point == nullptr ? none : point->id,
                      point == nullptr ? none : point->premises.id});
                for (std::size_t k = 0; k < std::size(record_of_channel); ++k) cell(out, "", false);
                out += "\r\n";
            }
    return out;
}

}  // namespace bln::plan
