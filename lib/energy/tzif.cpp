// Reads TZif bytes (RFC 9636, section 3). What the RFC forbids is refused, with its byte.
#include <algorithm>

#include "energy/zone.hpp"
#include "power/failure.hpp"
#include "site/instant.hpp"
#include "site/sha256.hpp"

namespace bln::energy {

class TzifReader {
public:
    TzifReader(std::string_view name, std::string_view bytes) : name_(name), bytes_(bytes) {}

    void read(Zone& zone) {
        Header h = header();
        const char version = h.version;
        if (version != '\0') {
            skip(block_size(h, 4), "the block of 32-bit times");
            h = header();
            if (h.version != version) fail(at_ - 40, BLN_E_VALUE, "the two headers state different versions");
            block(zone, h, 8);
            footer(zone, version >= '3');
        } else {
            block(zone, h, 4);
        }
        if (at_ != bytes_.size()) fail(at_, BLN_E_SYNTAX, "bytes follow the end of the file");
        agree(zone);
    }

private:
    struct Header {
        char version = 0;
        std::uint32_t ut = 0, standard = 0, leap = 0, times = 0, types = 0, letters = 0;
    };

    [[noreturn]] void fail(std::size_t byte, bln_status status, const std::string& why) const {
        ErrorItem item{status, "the rules of zone " + std::string(name_) + " cannot be read: " + why, {}, {}};
        item.line = 1;
        item.column = byte + 1;
        item.byte = byte;
        throw Failure(std::move(item));
    }
    std::string_view take(std::size_t n, const char* what) {
        if (n > bytes_.size() - at_) fail(bytes_.size(), BLN_E_SYNTAX, std::string("the bytes end within ") + what);
        at_ += n;
        return bytes_.substr(at_ - n, n);
    }
    void skip(std::size_t n, const char* what) { (void)take(n, what); }
    static std::uint64_t number(std::string_view big_endian) noexcept {
        std::uint64_t v = 0;
        for (const char c : big_endian) v = v << 8U | static_cast<unsigned char>(c);
        return v;
    }
    std::uint32_t word(const char* what) { return static_cast<std::uint32_t>(number(take(4, what))); }

    Header header() {
        const std::size_t from = at_;
        if (take(4, "the header") != "TZif") fail(from, BLN_E_SYNTAX, "they do not begin with \"TZif\"");
        Header h;
        h.version = take(1, "the header")[0];
        if (h.version != '\0' && (h.version < '2' || h.version > '4'))
            fail(from + 4, BLN_E_FORMAT, "the version is none of 1 to 4");
        skip(15, "the header");
        h.ut = word("the header");
        h.standard = word("the header");
        h.leap = word("the header");
        h.times = word("the header");
        h.types = word("the header");
        h.letters = word("the header");
        return h;
    }
    static std::size_t block_size(const Header& h, std::size_t time) noexcept {
        return std::size_t{h.times} * (time + 1) + std::size_t{h.types} * 6 + h.letters +
               std::size_t{h.leap} * (time + 4) + h.standard + h.ut;
    }

    void block(Zone& zone, const Header& h, std::size_t time) {
        const std::size_t from = at_;
        if (h.types == 0 || h.types > 256) fail(from - 8, BLN_E_VALUE, "there are no local time types, or too many");
        if (h.letters == 0) fail(from - 4, BLN_E_VALUE, "there are no designations");
        if (h.ut != 0 && h.ut != h.types) fail(from - 24, BLN_E_VALUE, "not every type has a UT indicator");
        if (h.standard != 0 && h.standard != h.types)
            fail(from - 20, BLN_E_VALUE, "not every type has a standard indicator");
        if (h.leap != 0)
            fail(from - 16, BLN_E_FORMAT,
                 "they count leap seconds, which instants of this library do not; hand in the rules without them");
        if (block_size(h, time) > bytes_.size() - at_)
            fail(bytes_.size(), BLN_E_SYNTAX, "the bytes end within the data");
        times(zone, h, time);
        types(zone, h);
        indicators(h);
    }
    void times(Zone& zone, const Header& h, std::size_t time) {
        std::int64_t last = 0;
        zone.changes_.resize(h.times);
        for (std::uint32_t i = 0; i < h.times; ++i) {
            const std::uint64_t raw = number(take(time, "the times"));
            const auto t = time == 8 ? static_cast<std::int64_t>(raw)
                                     : std::int64_t{static_cast<std::int32_t>(static_cast<std::uint32_t>(raw))};
            if (i > 0 && t <= last) fail(at_ - time, BLN_E_VALUE, "the times of change do not ascend");
            last = t;
            // Times before or after all that can be written stand for "always before" and "never".
            constexpr std::int64_t most = 9'000'000'000'000;
            zone.changes_[i].at = std::clamp(t, -most, most) * second_us;
        }
        for (std::uint32_t i = 0; i < h.times; ++i) {
            const auto type = static_cast<std::uint8_t>(take(1, "the types of change")[0]);
            if (type >= h.types) fail(at_ - 1, BLN_E_VALUE, "a change names a type that is not there");
            zone.changes_[i].type = type;
        }
    }
    void types(Zone& zone, const Header& h) {
        const std::size_t letters = at_ + std::size_t{h.types} * 6;
        const std::string_view all = bytes_.substr(letters, h.letters);
        for (std::uint32_t i = 0; i < h.types; ++i) {
            const std::size_t from = at_;
            ZoneType t;
            t.offset = static_cast<std::int32_t>(word("the types"));
            if (t.offset < -89'999 || t.offset > 93'599)
                fail(from, BLN_E_VALUE, "an offset from UTC is beyond -25 or +26 hours");
            const char dst = take(1, "the types")[0];
            if (dst != 0 && dst != 1) fail(from + 4, BLN_E_VALUE, "an indicator of summer time is neither 0 nor 1");
            t.dst = dst == 1;
            const auto at = static_cast<std::uint8_t>(take(1, "the types")[0]);
            if (at >= h.letters) fail(from + 5, BLN_E_VALUE, "a type names a designation that is not there");
            const std::size_t end = all.find('\0', at);
            if (end == std::string_view::npos) fail(letters + at, BLN_E_VALUE, "a designation has no end");
            t.letters = all.substr(at, end - at);
            for (const char c : t.letters)
                if (c < 0x21 || c > 0x7E) fail(letters + at, BLN_E_VALUE, "a designation is not plain ASCII");
            zone.types_.push_back(std::move(t));
        }
        skip(h.letters, "the designations");
    }
    void indicators(const Header& h) {
        const std::string_view standard = take(h.standard, "the indicators");
        const std::string_view ut = take(h.ut, "the indicators");
        for (std::size_t i = 0; i < standard.size(); ++i)
            if (standard[i] != 0 && standard[i] != 1)
                fail(at_ - h.ut - h.standard + i, BLN_E_VALUE, "a standard indicator is neither 0 nor 1");
        for (std::size_t i = 0; i < ut.size(); ++i) {
            if (ut[i] != 0 && ut[i] != 1) fail(at_ - h.ut + i, BLN_E_VALUE, "a UT indicator is neither 0 nor 1");
            if (ut[i] == 1 && (standard.empty() || standard[i] != 1))
                fail(at_ - h.ut + i, BLN_E_VALUE, "a UT indicator is set without its standard indicator");
        }
    }
    void footer(Zone& zone, bool wide_hours) {
        if (take(1, "the footer")[0] != '\n') fail(at_ - 1, BLN_E_SYNTAX, "the footer does not begin with a line feed");
        const std::size_t end = bytes_.find('\n', at_);
        if (end == std::string_view::npos) fail(bytes_.size(), BLN_E_SYNTAX, "the bytes end within the footer");
        const std::string_view text = take(end - at_, "the footer");
        rule_at_ = end - text.size();
        skip(1, "the footer");
        if (text.empty()) return;
        for (const char c : text)
            if (c < 0x20 || c > 0x7E) fail(rule_at_, BLN_E_VALUE, "the rule for later years is not plain ASCII");
        try {
            zone.rule_ = read_posix_rule(text, wide_hours);
        } catch (const Failure& f) {
            fail(rule_at_, BLN_E_VALUE, f.items().front().message);
        }
        zone.has_rule_ = true;
    }
    /// RFC 9636, section 3.3: the rule must say of the last change what its type says.
    void agree(const Zone& zone) const {
        if (!zone.has_rule_ || zone.changes_.empty()) return;
        const Instant last = zone.changes_.back().at;
        if (last < first_instant + 3 * day_us || last > last_instant - 3 * day_us) return;
        const ZoneType& ruled = zone.rule_.at(last / second_us);
        const ZoneType& listed = zone.types_[zone.changes_.back().type];
        if (ruled.offset != listed.offset || ruled.dst != listed.dst || ruled.letters != listed.letters)
            fail(rule_at_, BLN_E_VALUE, "the rule for later years contradicts the last listed change");
    }

    std::string_view name_, bytes_;
    std::size_t at_ = 0, rule_at_ = 0;
};

namespace {

/// Names of the IANA database: parts of letters, digits and ._+- between slashes (theory.html, "Names of timezones").
bool zone_name(std::string_view name) noexcept {
    if (name.empty() || name.size() > 255 || name.front() == '/' || name.back() == '/') return false;
    for (std::size_t i = 0; i < name.size(); ++i) {
        const char c = name[i];
        const bool part = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '.' ||
                          c == '_' || c == '+' || c == '-';
        if (!part && (c != '/' || name[i - 1] == '/')) return false;
    }
    return name.find("..") == std::string_view::npos;
}

}  // namespace

Zone Zone::read(std::string_view name, std::string_view bytes, std::string_view version) {
    if (!zone_name(name))
        throw Failure(BLN_E_VALUE, "\"" + std::string(name) + "\" is no name of a time zone, such as Europe/Berlin");
    if (version.empty())
        throw Failure(BLN_E_VALUE, "the version of the zone rules is empty: results could not say what they rest on");
    Zone zone;
    zone.name_ = name;
    zone.version_ = version;
    TzifReader(name, bytes).read(zone);
    zone.digest_ = sha256_text(bytes);
    return zone;
}

}  // namespace bln::energy
