// Options of an install sheet.
#include <algorithm>

#include "plan/sheet.hpp"
#include "site/json_reading.hpp"

namespace bln::plan {
namespace {

class OptionsReader : JsonReading {
public:
    OptionsReader(const View& view, std::string_view json) : JsonReading(json), view_(view) {}

    SheetOptions read() {
        object(root(), "options are an object");
        for (std::size_t i = 0; i < root().keys.size(); ++i) member(root().keys[i], root().items[i]);
        return std::move(out_);
    }

private:
    void ids(const Json& j, Kind kind, std::vector<std::string>& out, bool& some) {
        some = true;
        for (const Json& item : list(j)) {
            if (view_.model().find(kind, text(item)) < 0)
                fail(item, BLN_E_NO_ENTITY, "there is no " + std::string(info(kind).name) + " \"" + item.text + "\"");
            out.push_back(item.text);
        }
        std::sort(out.begin(), out.end());
    }
    void member(std::string_view key, const Json& j) {
        if (key == "panels") return ids(j, Kind::panel, out_.panels, out_.some_panels);
        if (key == "devices") return ids(j, Kind::device, out_.devices, out_.some_devices);
        if (key == "points") return ids(j, Kind::point, out_.points, out_.some_points);
        if (key == "title")
            out_.title = text(j);
        else if (key == "spare_percent")
            out_.spare_percent = percent(j);
        else
            fail(j, BLN_E_FIELD, "a sheet has no option \"" + std::string(key) + "\"");
    }
    const View& view_;
    SheetOptions out_;
};

}  // namespace

SheetOptions SheetOptions::read(const View& view, std::string_view json) { return OptionsReader(view, json).read(); }

}  // namespace bln::plan
