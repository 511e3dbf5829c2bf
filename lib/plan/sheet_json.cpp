// An install sheet as JSON.
#include "plan/json_out.hpp"
#include "plan/sheet.hpp"

namespace bln::plan {
namespace {

template <class List>
auto& at(const List& list, std::int32_t i) {
    return list[static_cast<std::size_t>(i)];
}

class Json {
public:
    Json(const View& view, const Sheet& sheet) : view_(view), sheet_(sheet) {}

    std::string write(std::string_view library) {
        out_.open('{');
        out_.member("blondel_sheet", "1");
        out_.member("library", library);
        out_.member("title", sheet_.title);
        texts("cautions", sheet_.cautions);
        out_.key("panels").open('[');
        for (const SheetPanel& p : sheet_.panels) panel(p);
        out_.close(']');
        out_.key("materials").open('{');
        cts();
        profiles();
        out_.close('}');
        out_.key("record").open('{');
        record("device", record_of_device);
        record("channel", record_of_channel);
        out_.close('}');
        out_.close('}');
        return out_.take();
    }

private:
    void texts(std::string_view key, const std::vector<std::string>& list) {
        out_.key(key).open('[');
        for (const std::string& t : list) out_.text(t);
        out_.close(']');
    }
    template <std::size_t n>
    void record(std::string_view key, const ToRecord (&list)[n]) {
        out_.key(key).open('{');
        for (const ToRecord& r : list) out_.member(r.key, r.words);
        out_.close('}');
    }
    void panel(const SheetPanel& p) {
        out_.open('{');
        if (p.panel >= 0) {
            const as_of::panel& panel = at(view_.panel, p.panel);
            out_.member("panel", panel.id);
            out_.member("name", panel.name);
            out_.member("location", panel.location);
        } else {
            out_.member("panel", "");
        }
        texts("cautions", p.cautions);
        out_.key("devices").open('[');
        for (const SheetDevice& d : p.devices) device(d);
        out_.close(']');
        out_.close('}');
    }
    void device(const SheetDevice& d) {
        const as_of::device& device = at(view_.device, d.device);
        out_.open('{');
        out_.member("device", device.id);
        out_.member("name", device.name);
        out_.member("serial", device.serial);
        out_.member("profile", device.profile.id);
        out_.member("service", device.service.id);
        out_.key("rows").open('[');
        for (const SheetRow& r : d.rows) row(r);
        out_.close(']');
        out_.close('}');
    }
    void row(const SheetRow& r) {
        out_.open('{');
        out_.member("channel", at(view_.channel, r.channel).id);
        out_.member("input", r.input);
        out_.member("connector", r.connector);
        if (r.circuit >= 0) {
            out_.member("circuit", at(view_.circuit, r.circuit).id);
            out_.member("circuit_name", at(view_.circuit, r.circuit).name);
        }
        if (r.space > 0) out_.member("space", r.space);
        if (r.pole > 0) out_.member("pole", r.pole);
        out_.member("conductor", r.conductor);
        if (r.ct >= 0) {
            const as_of::ct& ct = at(view_.ct, r.ct);
            out_.member("ct", ct.id);
            out_.member("ct_type", ct.type.id);
            if (ct.type.resolved()) {
                const as_of::ct_type& type = at(view_.ct_type, ct.type.at);
                out_.member("output", bln::word_of(type.output));
                if (type.primary_amps) out_.member("primary_amps", *type.primary_amps);
                if (type.secondary) out_.member("secondary", *type.secondary);
            }
        }
        out_.member("mark_faces", r.faces);
        out_.member("leads", r.exchanged ? "exchanged" : "straight");
        out_.member("reference", r.reference);
        if (r.point >= 0) {
            const as_of::point& point = at(view_.point, r.point);
            out_.member("point", point.id);
            out_.member("premises", point.premises.id);
            if (point.premises.resolved()) out_.member("premises_name", at(view_.premises, point.premises.at).name);
        }
        out_.close('}');
    }
    void cts() {
        out_.key("cts").open('[');
        for (const Material& m : sheet_.cts) {
            out_.open('{');
            out_.member("ct_type", m.type < 0 ? std::string_view() : at(view_.ct_type, m.type).id);
            if (m.type >= 0) {
                const as_of::ct_type& t = at(view_.ct_type, m.type);
                out_.member("name", t.name);
                if (t.primary_amps) out_.member("primary_amps", *t.primary_amps);
                out_.member("output", bln::word_of(t.output));
            }
            out_.member("count", m.count);
            out_.member("spare", m.spare);
            out_.close('}');
        }
        out_.close(']');
    }
    void profiles() {
        out_.key("devices").open('[');
        for (const Material& m : sheet_.profiles) {
            out_.open('{');
            out_.member("profile", at(view_.profile, m.type).id);
            out_.member("name", at(view_.profile, m.type).name);
            out_.member("count", m.count);
            out_.close('}');
        }
        out_.close(']');
    }

    const View& view_;
    const Sheet& sheet_;
    JsonOut out_;
};

}  // namespace

std::string sheet_json(const View& view, const Sheet& sheet, std::string_view library_version) {
    return Json(view, sheet).write(library_version);
}

}  // namespace bln::plan
