// The JSON form of time-of-use tables. Every table must say of every minute of its time which bin it falls into,
// exactly once: what is left open or said twice would be noticed on the bill only.
#include <algorithm>
#include <set>

#include "energy/time_of_use.hpp"
#include "site/json_tree.hpp"
#include "site/sha256.hpp"

namespace bln::energy {
namespace {

constexpr std::array<std::string_view, day_kinds> day_words = {"mon", "tue", "wed", "thu",
                                                               "fri", "sat", "sun", "holiday"};
constexpr std::array<int, 12> month_days = {31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

std::string clock_text(std::int64_t us) {
    const auto minutes = static_cast<int>(us / (60 * second_us));
    const auto two = [](int v) { return std::string(v < 10 ? "0" : "") + std::to_string(v); };
    return two(minutes / 60) + ":" + two(minutes % 60);
}

}  // namespace

class TimeOfUseReader {
public:
    TimeOfUseReader(std::string_view json, const JsonLimits& limits) : document_(parse_json(json, limits)) {}

    TimeOfUse read() {
        const Json& root = document_.root;
        members(root, {"time_of_use", "bins", "tables"}, {"name", "holidays"});
        if (text(*root.find("time_of_use")) != "1")
            fail(*root.find("time_of_use"), BLN_E_FORMAT, "this library reads version \"1\" of time-of-use tables");
        if (const Json* name = root.find("name")) out_.name_ = text(*name);
        bins(list(*root.find("bins")));
        if (const Json* days = root.find("holidays")) holidays(list(*days));
        tables(list(*root.find("tables")));
        return std::move(out_);
    }

private:
    [[noreturn]] void fail(const Json& at, bln_status status, std::string why) const {
        document_.fail(at, status, std::move(why));
    }
    void members(const Json& object, std::initializer_list<std::string_view> needed,
                 std::initializer_list<std::string_view> allowed) const {
        if (!object.is_object())
            fail(object, BLN_E_TYPE, "an object is expected, not " + std::string(json_kind_name(object.kind)));
        for (std::size_t i = 0; i < object.keys.size(); ++i) {
            const std::string& key = object.keys[i];
            if (std::find(needed.begin(), needed.end(), key) == needed.end() &&
                std::find(allowed.begin(), allowed.end(), key) == allowed.end())
                fail(object.items[i], BLN_E_FIELD, "there is no member \"" + key + "\" here");
        }
        for (const std::string_view key : needed)
            if (object.find(key) == nullptr)
                fail(object, BLN_E_ABSENT, "the member \"" + std::string(key) + "\" is missing");
    }
    const std::string& text(const Json& at) const {
        if (!at.is_string()) fail(at, BLN_E_TYPE, "a text is expected, not " + std::string(json_kind_name(at.kind)));
        return at.text;
    }
    const Json& list(const Json& at) const {
        if (!at.is_array()) fail(at, BLN_E_TYPE, "a list is expected, not " + std::string(json_kind_name(at.kind)));
        if (at.items.empty() && &at != document_.root.find("holidays")) fail(at, BLN_E_VALUE, "the list is empty");
        return at;
    }
    std::int64_t date(const Json& at) const {
        try {
            return read_date(text(at), "the date");
        } catch (const Failure& f) {
            if (f.items().front().line > 0) throw;
            fail(at, BLN_E_VALUE, f.items().front().message);
        }
    }
    int number(const Json& at, std::size_t from) const {
        const std::string& t = at.text;
        if (t[from] < '0' || t[from] > '9' || t[from + 1] < '0' || t[from + 1] > '9') return -1;
        return (t[from] - '0') * 10 + (t[from + 1] - '0');
    }
    std::int64_t clock(const Json& at) const {
        const std::string& t = text(at);
        const int hour = t.size() == 5 && t[2] == ':' ? number(at, 0) : -1;
        const int minute = hour >= 0 ? number(at, 3) : -1;
        if (minute < 0 || minute > 59 || hour * 60 + minute > 1440)
            fail(at, BLN_E_VALUE, "a time of day is written from 00:00 to 24:00");
        return (hour * 60 + minute) * 60 * second_us;
    }
    int month_day(const Json& at) const {
        const std::string& t = text(at);
        const int month = t.size() == 5 && t[2] == '-' ? number(at, 0) : -1;
        const int day = month >= 1 && month <= 12 ? number(at, 3) : -1;
        if (day < 1 || day > month_days[static_cast<std::size_t>(month - 1)])
            fail(at, BLN_E_VALUE, "a day of the year is written as month and day, like 04-01");
        return month * 100 + day;
    }

    void bins(const Json& from) {
        if (from.items.size() > 1000) fail(from, BLN_E_SIZE, "there are more than 1000 bins");
        for (const Json& item : from.items) {
            const std::string& name = text(item);
            if (name.empty()) fail(item, BLN_E_VALUE, "a bin has no name");
            if (std::find(out_.bins_.begin(), out_.bins_.end(), name) != out_.bins_.end())
                fail(item, BLN_E_DUPLICATE, "the bin \"" + name + "\" stands twice in the list");
            out_.bins_.push_back(name);
        }
    }
    std::uint16_t bin(const Json& at) const {
        const auto found = std::find(out_.bins_.begin(), out_.bins_.end(), text(at));
        if (found == out_.bins_.end()) fail(at, BLN_E_NAME, "\"" + at.text + "\" does not stand in the list of bins");
        return static_cast<std::uint16_t>(found - out_.bins_.begin());
    }
    void holidays(const Json& from) {
        std::set<std::int64_t> seen;
        for (const Json& item : from.items)
            if (!seen.insert(date(item)).second)
                fail(item, BLN_E_DUPLICATE, "the holiday " + item.text + " stands twice in the list");
        out_.holidays_.assign(seen.begin(), seen.end());
    }
    void tables(const Json& from) {
        for (const Json& item : from.items) {
            members(item, {"seasons"}, {"from", "to"});
            TimeOfUse::Table table;
            const Json* begin = item.find("from");
            const Json* end = item.find("to");
            table.from = begin == nullptr ? days_of(1, 1, 1) : date(*begin);
            table.to = end == nullptr ? days_of(10'000, 1, 1) : date(*end);
            if (table.from >= table.to) fail(item, BLN_E_VALUE, "the table ends before it begins");
            for (const TimeOfUse::Table& other : out_.tables_)
                if (table.from < other.to && other.from < table.to)
                    fail(item, BLN_E_VALUE,
                         "two tables hold on " + date_text(std::max(table.from, other.from)) +
                             ": tables may not overlap");
            seasons(table, list(*item.find("seasons")));
            out_.tables_.push_back(std::move(table));
        }
        std::sort(out_.tables_.begin(), out_.tables_.end(),
                  [](const TimeOfUse::Table& a, const TimeOfUse::Table& b) { return a.from < b.from; });
    }
    void seasons(TimeOfUse::Table& table, const Json& from) {
        for (const Json& item : from.items) {
            members(item, {"days"}, {"name", "from", "to"});
            TimeOfUse::Season season;
            if (const Json* name = item.find("name")) season.name = text(*name);
            const Json* begin = item.find("from");
            const Json* end = item.find("to");
            if ((begin == nullptr) != (end == nullptr))
                fail(item, BLN_E_ABSENT, "a season has both \"from\" and \"to\", or neither");
            if (begin != nullptr) {
                season.from = month_day(*begin);
                season.to = month_day(*end);
            }
            days(season, list(*item.find("days")));
            table.seasons.push_back(std::move(season));
        }
        for (int month = 1; month <= 12; ++month)
            for (int day = 1; day <= month_days[static_cast<std::size_t>(month - 1)]; ++day) {
                const auto holding = std::count_if(table.seasons.begin(), table.seasons.end(),
                                                   [&](const auto& s) { return s.holds(month * 100 + day); });
                if (holding == 1) continue;
                const std::string when = date_text(days_of(2000, month, day)).substr(5);
                fail(from, BLN_E_VALUE,
                     holding == 0 ? "no season holds on " + when : "more than one season holds on " + when);
            }
    }
    void days(TimeOfUse::Season& season, const Json& from) {
        std::array<bool, day_kinds> given{};
        for (const Json& item : from.items) {
            members(item, {"on"}, {"ranges", "rest"});
            out_.days_.push_back(ranges(item));
            for (const Json& word : list(*item.find("on")).items)
                for (const std::size_t kind : kinds(word)) {
                    if (given[kind]) fail(word, BLN_E_DUPLICATE, std::string(day_words[kind]) + " has ranges already");
                    given[kind] = true;
                    season.day[kind] = static_cast<std::uint32_t>(out_.days_.size() - 1);
                }
        }
        for (std::size_t kind = 0; kind < day_kinds; ++kind)
            if (!given[kind]) fail(from, BLN_E_ABSENT, "there are no ranges for " + std::string(day_words[kind]));
    }
    std::vector<std::size_t> kinds(const Json& word) const {
        const std::string& name = text(word);
        if (name == "weekday") return {0, 1, 2, 3, 4};
        if (name == "weekend") return {5, 6};
        const auto found = std::find(day_words.begin(), day_words.end(), name);
        if (found == day_words.end())
            fail(word, BLN_E_NAME, "a kind of day is mon, tue, wed, thu, fri, sat, sun, weekday, weekend or holiday");
        return {static_cast<std::size_t>(found - day_words.begin())};
    }
    std::vector<TimeOfUse::Range> ranges(const Json& day) const {
        struct Given {
            std::int64_t from, to;
            std::uint16_t bin;
            const Json* at;
        };
        std::vector<Given> given;
        if (const Json* all = day.find("ranges"))
            for (const Json& item : list(*all).items) {
                members(item, {"from", "to", "bin"}, {});
                const Given g{clock(*item.find("from")), clock(*item.find("to")), bin(*item.find("bin")), &item};
                if (g.from >= g.to)
                    fail(item, BLN_E_VALUE, "the range ends before it begins; one over midnight is written as two");
                given.push_back(g);
            }
        std::sort(given.begin(), given.end(), [](const Given& a, const Given& b) { return a.from < b.from; });
        const Json* rest = day.find("rest");
        const std::uint16_t rest_bin = rest == nullptr ? std::uint16_t{0} : bin(*rest);
        std::vector<TimeOfUse::Range> out;
        std::int64_t at = 0;
        const auto fill = [&](std::int64_t to) {
            if (at == to) return;
            if (rest == nullptr)
                fail(day, BLN_E_VALUE,
                     "no range holds from " + clock_text(at) + " to " + clock_text(to) + ", and there is no \"rest\"");
            out.push_back({to, rest_bin});
        };
        for (const Given& g : given) {
            if (g.from < at) fail(*g.at, BLN_E_VALUE, "two ranges hold at " + clock_text(g.from));
            fill(g.from);
            out.push_back({g.to, g.bin});
            at = g.to;
        }
        fill(day_us);
        return out;
    }

    JsonDocument document_;
    TimeOfUse out_;
};

TimeOfUse TimeOfUse::read(std::string_view json, const JsonLimits& limits) {
    TimeOfUse out = TimeOfUseReader(json, limits).read();
    out.digest_ = sha256_text(json);
    return out;
}

}  // namespace bln::energy
