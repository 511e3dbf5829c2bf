#include "plan/schedule_map.hpp"

#include "site/json_reading.hpp"

namespace bln::plan {

std::string Target::name() const {
    const FieldInfo* f = info();
    return std::string(bln::info(kind).name) + "." + std::string(f == nullptr ? std::string_view("id") : f->name);
}

bool Target::parse(std::string_view text, Target& out) noexcept {
    const std::size_t dot = text.find('.');
    if (dot == std::string_view::npos) return false;
    const int kind = find_kind(text.substr(0, dot));
    // The site is one, and has no id.
    if (kind < 0 || static_cast<Kind>(kind) == Kind::site) return false;
    out.kind = static_cast<Kind>(kind);
    const std::string_view field = text.substr(dot + 1);
    out.field = field == "id" ? -1 : bln::info(out.kind).find(field);
    return out.field >= 0 || field == "id";
}

namespace {

class MapReader : JsonReading {
public:
    using JsonReading::JsonReading;

    ScheduleMap read() {
        object(root(), "a schedule map is an object");
        for (std::size_t i = 0; i < root().keys.size(); ++i) member(root().keys[i], root().items[i]);
        map_.named_by_field = root().find("columns") == nullptr;
        return std::move(map_);
    }

private:
    Target target(const std::string& name, const Json& at) const {
        Target out;
        if (!Target::parse(name, out))
            fail(at, BLN_E_FIELD,
                 "\"" + name + "\" is no field: write kind.field or kind.id, such as circuit.breaker_amps");
        return out;
    }

    void member(std::string_view key, const Json& j) {
        if (key == "delimiter")
            delimiter(j);
        else if (key == "encoding")
            map_.encoding = static_cast<ScheduleEncoding>(word(j, {"utf-8", "utf-16le", "utf-16be", "iso-8859-1"}));
        else if (key == "decimal")
            map_.decimal = word(j, {".", ","}) == 0 ? '.' : ',';
        else if (key == "header")
            map_.header = truth(j);
        else if (key == "others")
            map_.others_refused = word(j, {"refuse", "ignore"}) == 0;
        else if (key == "list")
            map_.list = std::string(1, " -/;+"[word(j, {" ", "-", "/", ";", "+"})]);
        else if (key == "columns")
            columns(j);
        else if (key == "ids")
            ids(j);
        else if (key == "constants")
            constants(j);
        else if (key == "words")
            words(j);
        else
            fail(j, BLN_E_FIELD, "a schedule map has no key \"" + std::string(key) + "\"");
    }

    void delimiter(const Json& j) {
        if (text(j).size() != 1) fail(j, BLN_E_VALUE, "a delimiter is one character of ASCII");
        map_.delimiter = j.text[0];
        try {
            CsvStream({map_.delimiter, false}, 0);
        } catch (const Failure& f) {
            fail(j, BLN_E_VALUE, f.what());
        }
    }
    void columns(const Json& j) {
        object(j);
        for (std::size_t i = 0; i < j.keys.size(); ++i) {
            const Json& is = j.items[i];
            if (text(is) == "ignored") {
                map_.ignored.push_back(j.keys[i]);
                continue;
            }
            const Target t = target(is.text, is);
            for (const auto& [name, other] : map_.columns)
                if (other == t) fail(is, BLN_E_VALUE, "column \"" + name + "\" is " + is.text + " already");
            map_.columns.emplace_back(j.keys[i], t);
        }
    }
    void ids(const Json& j) {
        object(j);
        for (std::size_t i = 0; i < j.keys.size(); ++i)
            map_.ids.push_back({target(j.keys[i] + ".id", j.items[i]), text(j.items[i])});
    }
    void constants(const Json& j) {
        object(j);
        for (std::size_t i = 0; i < j.keys.size(); ++i)
            map_.constants.push_back({target(j.keys[i], j.items[i]), text(j.items[i])});
    }
    void words(const Json& j) {
        object(j);
        for (std::size_t i = 0; i < j.keys.size(); ++i) {
            const Json& list = object(j.items[i]);
            WordList out{target(j.keys[i], list), {}};
            for (std::size_t k = 0; k < list.keys.size(); ++k)
                out.words.emplace_back(list.keys[k], text(list.items[k]));
            map_.words.push_back(std::move(out));
        }
    }

    ScheduleMap map_;
};

}  // namespace

ScheduleMap ScheduleMap::read(std::string_view json) { return MapReader(json).read(); }

}  // namespace bln::plan
