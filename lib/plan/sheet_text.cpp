// An install sheet as plain text.
#include <fmt/format.h>

#include <algorithm>

#include "plan/sheet.hpp"

namespace bln::plan {
namespace {

template <class List>
auto& at(const List& list, std::int32_t i) {
    return list[static_cast<std::size_t>(i)];
}

class Text {
public:
    Text(const View& view, const Sheet& sheet) : view_(view), sheet_(sheet) {}

    std::string write() {
        say("Install sheet: {}\n\n", sheet_.title.empty() ? std::string_view("(no name)") : sheet_.title);
        for (const std::string& c : sheet_.cautions) wrap("! ", c);
        for (const SheetPanel& p : sheet_.panels) panel(p);
        materials();
        return std::move(out_);
    }

private:
    static constexpr std::size_t columns = 100;

    template <class... A>
    void say(fmt::format_string<A...> format, A&&... arguments) {
        fmt::format_to(std::back_inserter(out_), format, std::forward<A>(arguments)...);
    }
    /// Breaks between words; continues under the first word.
    void wrap(std::string_view first, std::string_view words) {
        out_ += first;
        std::size_t used = first.size();
        bool begun = false;
        while (!words.empty()) {
            const std::size_t end = std::min(words.find(' '), words.size());
            if (begun && used + 1 + end > columns) {
                out_ += '\n';
                out_.append(first.size(), ' ');
                used = first.size();
                begun = false;
            }
            if (begun) out_ += ' ', ++used;
            out_ += words.substr(0, end);
            used += end;
            begun = true;
            words.remove_prefix(std::min(end + 1, words.size()));
        }
        out_ += '\n';
    }

    void panel(const SheetPanel& p) {
        if (p.panel < 0) {
            say("\nCHANNELS WHOSE PANEL IS NOT RECORDED\n");
        } else {
            const as_of::panel& panel = at(view_.panel, p.panel);
            say("\nPANEL {}", panel.id);
            for (const std::string_view word : {panel.name, panel.location})
                if (!word.empty()) say(", {}", word);
            out_ += '\n';
        }
        for (const std::string& c : p.cautions) wrap("  ! ", c);
        for (const SheetDevice& d : p.devices) device(d);
    }

    void device(const SheetDevice& d) {
        const as_of::device& device = at(view_.device, d.device);
        say("\n  Device {}", device.id);
        if (!device.name.empty()) say(", {}", device.name);
        if (device.profile.given()) say(", profile {}", device.profile.id);
        if (!device.serial.empty()) say(", serial {}", device.serial);
        out_ += '\n';
        say("  {:<9} {:<12} {:>5} {:<6} {:<10} {:<11} {:<6} {}\n", "conn/inp", "circuit", "space", "pole", "CT",
            "mark to", "ref.", "point, premises");
        for (const SheetRow& r : d.rows) row(r);
        wrap("  To record of the device: ", list(record_of_device));
        wrap("  To record of each CT: ", list(record_of_channel));
    }
    template <std::size_t n>
    static std::string list(const ToRecord (&items)[n]) {
        std::string out;
        for (const ToRecord& r : items) {
            if (!out.empty()) out += "; ";
            out += r.words;
        }
        return out + ".";
    }

    void row(const SheetRow& r) {
        const std::string input = fmt::format("{}/{:02}", r.connector, r.input);
        const std::string space = r.space > 0 ? std::to_string(r.space) : std::string("-");
        const std::string pole = fmt::format("{} {}", r.pole > 0 ? std::to_string(r.pole) : "-", r.conductor);
        std::string who;
        if (r.point >= 0) {
            const as_of::point& point = at(view_.point, r.point);
            who = point.id;
            if (point.premises.given() && point.premises.id != point.id) who += fmt::format(", {}", point.premises.id);
        }
        say("  {:<9} {:<12} {:>5} {:<6} {:<10} {:<11} {:<6} {}{}\n", input,
            r.circuit < 0 ? std::string_view("-") : at(view_.circuit, r.circuit).id, space, pole,
            r.ct < 0 || !at(view_.ct, r.ct).type.given() ? std::string_view("-") : at(view_.ct, r.ct).type.id,
            r.faces.empty() ? std::string_view("?") : r.faces,
            r.reference.empty() ? std::string_view("?") : r.reference, who, r.exchanged ? " (leads exchanged)" : "");
    }

    void materials() {
        if (sheet_.cts.empty() && sheet_.profiles.empty()) return;
        say("\nMATERIALS\n");
        for (const Material& m : sheet_.cts) {
            std::string_view name = "CTs whose type is not recorded", id;
            if (m.type >= 0) {
                name = at(view_.ct_type, m.type).name;
                id = at(view_.ct_type, m.type).id;
            }
            say("  {:>4} CT {}{}{}, and {} spare\n", m.count, id, id.empty() || name.empty() ? "" : ": ", name,
                m.spare);
        }
        for (const Material& m : sheet_.profiles) {
            const as_of::profile& p = at(view_.profile, m.type);
            say("  {:>4} device{} of profile {}{}{} on this sheet\n", m.count, m.count == 1 ? "" : "s", p.id,
                p.name.empty() ? "" : ": ", p.name);
        }
    }

    const View& view_;
    const Sheet& sheet_;
    std::string out_;
};

}  // namespace

std::string sheet_text(const View& view, const Sheet& sheet) { return Text(view, sheet).write(); }

}  // namespace bln::plan
