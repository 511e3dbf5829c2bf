#include "energy/column_map.hpp"

#include "energy/quality.hpp"
#include "site/json_tree.hpp"
#include "site/model.hpp"

namespace bln {

bool quantity_of(std::string_view word, Quantity& out) noexcept {
    for (std::size_t q = 0; q < quantity_count; ++q)
        if (word == word_of(static_cast<Quantity>(q))) {
            out = static_cast<Quantity>(q);
            return true;
        }
    return false;
}

ColumnMap ColumnMap::plain() {
    ColumnMap map;
    map.columns.push_back({"channel", {CellKind::channel, Quantity::net_p, {}}});
    map.columns.push_back({"start", {CellKind::start, Quantity::net_p, {}}});
    map.columns.push_back({"end", {CellKind::end, Quantity::net_p, {}}});
    map.columns.push_back({"quality", {CellKind::quality, Quantity::net_p, {}}});
    for (std::size_t q = 0; q < quantity_count; ++q) {
        const auto quantity = static_cast<Quantity>(q);
        map.columns.push_back({std::string(word_of(quantity)), {CellKind::quantity, quantity, {}}});
    }
    return map;
}

namespace {

class MapReader {
public:
    explicit MapReader(std::string_view json) : document_(parse_json(json)) {}

    ColumnMap read() {
        const Json& root = document_.root;
        if (!root.is_object()) fail(root, BLN_E_TYPE, "a column map is an object");
        for (std::size_t i = 0; i < root.keys.size(); ++i) member(root.keys[i], root.items[i]);
        if (root.find("columns") == nullptr) {
            ColumnMap names = ColumnMap::plain();
            map_.columns = std::move(names.columns);
        }
        return std::move(map_);
    }

private:
    [[noreturn]] void fail(const Json& at, bln_status status, std::string message) const {
        document_.fail(at, status, std::move(message));
    }
    const std::string& text(const Json& j) const {
        if (!j.is_string()) fail(j, BLN_E_TYPE, "a text is expected");
        return j.text;
    }
    bool truth(const Json& j) const {
        if (!j.is(Json::Kind::boolean)) fail(j, BLN_E_TYPE, "true or false is expected");
        return j.truth;
    }
    /// Position of a word in a list.
    std::size_t word(const Json& j, std::initializer_list<std::string_view> words) const {
        std::size_t i = 0;
        std::string list;
        for (const std::string_view w : words) {
            if (text(j) == w) return i;
            list.append(i++ == 0 ? "" : ", ").append(w);
        }
        fail(j, BLN_E_VALUE, "\"" + j.text + "\" is none of " + list);
    }

    void member(std::string_view key, const Json& j) {
        if (key == "delimiter")
            delimiter(j);
        else if (key == "encoding")
            map_.dialect.latin1 = word(j, {"utf-8", "iso-8859-1"}) == 1;
        else if (key == "decimal")
            map_.decimal = word(j, {".", ","}) == 0 ? '.' : ',';
        else if (key == "header")
            map_.header = truth(j);
        else if (key == "time")
            map_.time = static_cast<TimeForm>(word(j, {"rfc3339", "epoch_seconds", "epoch_micros"}));
        else if (key == "wh_per_unit")
            map_.wh_per_unit = ratio(j);
        else if (key == "columns")
            columns(j);
        else if (key == "others")
            others(j);
        else if (key == "channels")
            channels(j);
        else if (key == "unlisted_channels")
            map_.unlisted_refused = word(j, {"take", "refuse"}) == 1;
        else if (key == "quality")
            quality(j);
        else if (key == "registers")
            map_.registers = std::string(document_.source.substr(j.begin, j.end - j.begin));
        else
            fail(j, BLN_E_FIELD, "a column map has no key \"" + std::string(key) + "\"");
    }

    void delimiter(const Json& j) {
        if (text(j).size() != 1) fail(j, BLN_E_VALUE, "a delimiter is one character of ASCII");
        map_.dialect.delimiter = j.text[0];
        try {
            CsvStream(map_.dialect, 0);
        } catch (const Failure& f) {
            fail(j, BLN_E_VALUE, f.what());
        }
    }
    Rational ratio(const Json& j) const {
        std::int64_t num = 0, den = 1;
        bool good = false;
        if (j.is_number()) {
            good = json_integer(j.text, num);
        } else if (j.is_string()) {
            const std::size_t slash = j.text.find('/');
            good = slash != std::string::npos && json_integer(j.text.substr(0, slash), num) &&
                   json_integer(j.text.substr(slash + 1), den);
        }
        if (!good || num <= 0 || den <= 0) fail(j, BLN_E_VALUE, "a positive integer or \"p/q\" is expected");
        return {num, den};
    }
    std::string id(const Json& j) const {
        if (!valid_id(text(j))) fail(j, BLN_E_VALUE, "\"" + j.text + "\" is not an id: 1 to 64 of A-Z a-z 0-9 . _ -");
        return j.text;
    }

    ColumnUse use(const Json& j) const {
        const Json* is = &j;
        ColumnUse out;
        if (j.is_object()) {
            is = j.find("is");
            if (is == nullptr) fail(j, BLN_E_VALUE, "it does not say what the column is");
            for (std::size_t i = 0; i < j.keys.size(); ++i) {
                if (j.keys[i] == "channel")
                    out.channel = id(j.items[i]);
                else if (j.keys[i] != "is")
                    fail(j.items[i], BLN_E_FIELD, "a column has no key \"" + j.keys[i] + "\"");
            }
        }
        if (quantity_of(text(*is), out.quantity)) {
            out.kind = CellKind::quantity;
            return out;
        }
        std::string words = "\"" + is->text + "\" is none of ignored, channel, start, end, quality";
        for (std::size_t q = 0; q < quantity_count; ++q) words.append(", ").append(word_of(static_cast<Quantity>(q)));
        constexpr std::pair<std::string_view, CellKind> kinds[] = {{"ignored", CellKind::ignored},
                                                                   {"channel", CellKind::channel},
                                                                   {"start", CellKind::start},
                                                                   {"end", CellKind::end},
                                                                   {"quality", CellKind::quality}};
        for (const auto& [name, kind] : kinds)
            if (is->text == name) {
                if (!out.channel.empty() && kind != CellKind::quality)
                    fail(j, BLN_E_VALUE, "only a quantity or a quality belongs to a channel");
                out.kind = kind;
                return out;
            }
        fail(*is, BLN_E_VALUE, std::move(words));
    }
    void columns(const Json& j) {
        if (!j.is_object()) fail(j, BLN_E_TYPE, "columns is an object: name in the file to what it is");
        for (std::size_t i = 0; i < j.keys.size(); ++i) map_.columns.push_back({j.keys[i], use(j.items[i])});
    }
    void others(const Json& j) {
        if (text(j) == "refuse") return;
        map_.others_refused = false;
        if (j.text == "ignore") return;
        if (!quantity_of(j.text, map_.others.quantity))
            fail(j, BLN_E_VALUE,
                 "others is refuse, ignore, or the quantity whose channels the columns are named after");
        map_.others.kind = CellKind::quantity;
    }
    void channels(const Json& j) {
        if (!j.is_object()) fail(j, BLN_E_TYPE, "channels is an object: name in the file to id");
        for (std::size_t i = 0; i < j.keys.size(); ++i) map_.channels.emplace_back(j.keys[i], id(j.items[i]));
    }
    void quality(const Json& j) {
        if (!j.is_object()) fail(j, BLN_E_TYPE, "quality is an object: word in the file to code");
        for (std::size_t i = 0; i < j.keys.size(); ++i) {
            const Json& to = j.items[i];
            std::int64_t code = -1;
            if (to.is_number()) {
                if (!json_integer(to.text, code)) code = -1;
            } else {
                for (const QualityCode& q : quality_codes)
                    if (text(to) == q.word) code = q.code;
            }
            if (code < 0 || code > 255 || quality_rank(static_cast<std::uint8_t>(code)) < 0)
                fail(to, BLN_E_VALUE, "\"" + to.text + "\" is no quality code");
            map_.quality.emplace_back(j.keys[i], static_cast<std::uint8_t>(code));
        }
    }

    JsonDocument document_;
    ColumnMap map_;
};

}  // namespace

ColumnMap ColumnMap::read(std::string_view json) { return MapReader(json).read(); }

}  // namespace bln
