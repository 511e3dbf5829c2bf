#include "site/json_scan.hpp"

#include <rapidjson/reader.h>

#include <algorithm>
#include <cstring>
#include <new>

#include "power/wide.hpp"
#include "site/json_text.hpp"
#include "site/utf8.hpp"

namespace bln {
namespace {

/// RapidJSON does not look at what its allocator returns.
struct ThrowingAllocator {
    [[maybe_unused]] static const bool kNeedFree = true;
    void* Malloc(std::size_t n) {
        if (n == 0) return nullptr;
        return ::operator new(n);
    }
    void* Realloc(void* old, std::size_t old_size, std::size_t n) {
        void* p = Malloc(n);
        if (old != nullptr && p != nullptr) std::memcpy(p, old, std::min(old_size, n));
        Free(old);
        return p;
    }
    static void Free(void* p) { ::operator delete(p); }
};

/// In-place stream over the work buffer. (The library's own one keeps a local copy while it reads
/// a token, so that positions could not be asked for inside an event.)
struct WorkStream {
    using Ch = char;
    char* src;
    char* head;
    char* dst = nullptr;

    explicit WorkStream(char* text) noexcept : src(text), head(text) {}
    [[nodiscard]] char Peek() const noexcept { return *src; }
    char Take() noexcept { return *src++; }
    [[nodiscard]] std::size_t Tell() const noexcept { return static_cast<std::size_t>(src - head); }
    char* PutBegin() noexcept { return dst = src; }
    void Put(char c) noexcept { *dst++ = c; }
    void Flush() noexcept {}
    [[nodiscard]] std::size_t PutEnd(const char* begin) const noexcept { return static_cast<std::size_t>(dst - begin); }
};

std::uint64_t mix(std::uint64_t a, std::uint64_t b) noexcept {
    const UWide product = UWide{a} * b;
    return static_cast<std::uint64_t>(product) ^ static_cast<std::uint64_t>(product >> 64U);
}

// Seeded with an address, so that nobody can write a file whose keys all fall together; results
// never depend on it.
std::uint32_t hash_of(std::string_view key, std::uint64_t seed) noexcept {
    std::uint64_t h = seed ^ key.size();
    const char* p = key.data();
    std::size_t n = key.size();
    for (; n >= 8; n -= 8, p += 8) {
        std::uint64_t part = 0;
        std::memcpy(&part, p, 8);
        h = mix(h ^ part, 0x9E3779B97F4A7C15ULL);
    }
    std::uint64_t part = 0;
    if (n > 0) std::memcpy(&part, p, n);
    h = mix(h ^ part, 0xD6E8FEB86659FD93ULL);
    return static_cast<std::uint32_t>(h ^ (h >> 32U));
}

constexpr std::size_t small_object = 16;

const char* explain(int code) noexcept {
    using namespace rapidjson;
    switch (code) {
        case kParseErrorDocumentEmpty:
            return "a value is expected, but the text ends or a stray character follows";
        case kParseErrorDocumentRootNotSingular:
            return "something follows the end of the JSON text";
        case kParseErrorObjectMissName:
            return "a key in double quotes is expected here";
        case kParseErrorObjectMissColon:
            return "a colon is expected after the key";
        case kParseErrorObjectMissCommaOrCurlyBracket:
            return "a comma or } is expected after the value";
        case kParseErrorArrayMissCommaOrSquareBracket:
            return "a comma or ] is expected after the item";
        case kParseErrorStringUnicodeEscapeInvalidHex:
            return "four hexadecimal digits are expected after \\u";
        case kParseErrorStringEscapeInvalid:
            return "an invalid escape, or a control character that has to be escaped";
        case kParseErrorStringMissQuotationMark:
            return "the closing quote of a text is missing";
        case kParseErrorNumberMissFraction:
            return "a digit is expected after the decimal point";
        case kParseErrorNumberMissExponent:
            return "a digit is expected in the exponent";
        default:
            return "a value is expected here: a text, number, true, false, object or array";
    }
}

/// NaN and Infinity are not JSON, but people and programs write them; they get their own status.
bool names_no_number(std::string_view source, std::size_t offset) noexcept {
    const auto word_at = [&](std::size_t from) {
        std::size_t to = from;
        while (to < source.size() && ((source[to] | 0x20) >= 'a' && (source[to] | 0x20) <= 'z')) ++to;
        std::string_view word = source.substr(from, to - from);
        const auto is = [&](std::string_view name) {
            return word.size() == name.size() && std::equal(word.begin(), word.end(), name.begin(), [](char a, char b) {
                       return static_cast<char>(a | 0x20) == b;
                   });
        };
        return is("nan") || is("inf") || is("infinity");
    };
    // The reader stops inside the word where it shares letters with a literal ("nan" and "null").
    std::size_t from = std::min(offset, source.size());
    while (from > 0 && ((source[from - 1] | 0x20) >= 'a' && (source[from - 1] | 0x20) <= 'z')) --from;
    if (from < source.size() && (source[from] == '-' || source[from] == '+')) ++from;
    return word_at(from);
}

}  // namespace

Place PlaceFinder::find(std::size_t offset) noexcept {
    offset = std::min(offset, text_.size());
    if (offset < at_) {
        at_ = line_start_ = 0;
        line_ = 1;
    }
    while (at_ < offset) {
        const void* hit = std::memchr(text_.data() + at_, '\n', offset - at_);
        if (hit == nullptr) break;
        at_ = static_cast<std::size_t>(static_cast<const char*>(hit) - text_.data()) + 1;
        line_start_ = at_;
        ++line_;
    }
    at_ = offset;
    return {line_, offset - line_start_ + 1};
}

/// What RapidJSON calls; keeps the position and the path, then passes the event on.
struct JsonScan::Events {
    using Ch = char;
    JsonScan& scan;
    JsonHandler& handler;
    WorkStream& stream;

    void at(std::size_t begin, std::size_t end) const noexcept {
        scan.begin_ = begin;
        scan.end_ = end;
    }
    void word(std::size_t size) const noexcept { at(stream.Tell() - size, stream.Tell()); }
    [[nodiscard]] bool done() const noexcept {
        scan.value_done();
        return true;
    }
    [[nodiscard]] std::string_view text(const char* s, rapidjson::SizeType n) const {
        const auto begin = static_cast<std::size_t>(s - stream.head) - 1;
        at(begin, stream.Tell());
        const std::string_view t(s, n);
        const std::size_t raw = stream.Tell() - begin - 2;
        if (raw != n) scan.check_decoded(t);  // only escapes make it shorter
        return t;
    }

    bool Null() const {
        word(4);
        handler.null();
        return done();
    }
    bool Bool(bool value) const {
        word(value ? 4 : 5);
        handler.boolean(value);
        return done();
    }
    bool RawNumber(const char* /*where*/, rapidjson::SizeType n, bool /*copy*/) const {
        word(n);
        const std::string_view t = scan.source_.substr(scan.begin_, n);
        scan.check_finite(t);
        handler.number(t);
        return done();
    }
    bool String(const char* s, rapidjson::SizeType n, bool /*copy*/) const {
        handler.string(text(s, n));
        return done();
    }
    bool Key(const char* s, rapidjson::SizeType n, bool /*copy*/) const {
        const std::string_view t = text(s, n);
        scan.add_key(t);
        handler.key(t);
        return true;
    }
    [[nodiscard]] bool start(bool object) const {
        at(stream.Tell(), stream.Tell() + 1);
        if (scan.frames_.size() >= scan.limits_.max_depth)
            scan.fail(BLN_E_DEPTH,
                      "nested deeper than the limit of " + std::to_string(scan.limits_.max_depth) + " levels");
        if (object)
            handler.begin_object();
        else
            handler.begin_array();
        scan.enter(object);
        return true;
    }
    [[nodiscard]] bool finish(bool object) const {
        at(stream.Tell(), stream.Tell() + 1);
        scan.leave();
        if (object)
            handler.end_object();
        else
            handler.end_array();
        return done();
    }
    bool StartObject() const { return start(true); }
    bool EndObject(rapidjson::SizeType /*n*/) const { return finish(true); }
    bool StartArray() const { return start(false); }
    bool EndArray(rapidjson::SizeType /*n*/) const { return finish(false); }

    // Numbers arrive as text; the reader still wants these to exist.
    static bool Int(int) { return false; }
    static bool Uint(unsigned) { return false; }
    static bool Int64(std::int64_t) { return false; }
    static bool Uint64(std::uint64_t) { return false; }
    static bool Double(double) { return false; }
};

JsonScan::JsonScan(std::string_view source, char* work, const JsonLimits& limits)
    : source_(source), work_(work), limits_(limits), places_(source) {
    limits_.max_depth = std::min(limits_.max_depth, json_depth_ceiling);
    // Lengths inside the reader have 32 bits.
    limits_.max_bytes = std::min<std::uint64_t>(limits_.max_bytes, 0xFFFFFFF0U);
}

void JsonScan::check_encoding() {
    if (source_.size() >= 3 && std::memcmp(source_.data(), "\xEF\xBB\xBF", 3) == 0)
        fail_at(0, BLN_E_ENCODING, "the text begins with a byte order mark; UTF-8 needs none");
    const std::size_t bad = invalid_utf8(source_);
    if (bad != std::string_view::npos) fail_at(bad, BLN_E_ENCODING, "the text is not UTF-8 from here on");
    const std::size_t nul = source_.find('\0');
    if (nul != std::string_view::npos) fail_at(nul, BLN_E_ENCODING, "the text holds the character U+0000");
}

void JsonScan::run(JsonHandler& handler) {
    if (source_.size() > limits_.max_bytes)
        fail_at(0, BLN_E_SIZE,
                "the text has " + std::to_string(source_.size()) + " bytes; the limit is " +
                    std::to_string(limits_.max_bytes));
    check_encoding();
    if (source_.find_first_not_of(" \t\r\n") == std::string_view::npos)
        fail_at(source_.size(), BLN_E_SYNTAX, "the text is empty");
    std::memcpy(work_, source_.data(), source_.size());
    work_[source_.size()] = '\0';

    using namespace rapidjson;
    ThrowingAllocator allocator;
    GenericReader<UTF8<>, UTF8<>, ThrowingAllocator> reader(&allocator);
    WorkStream stream(work_);
    Events events{*this, handler, stream};
    constexpr unsigned flags = kParseInsituFlag | kParseIterativeFlag | kParseNumbersAsStringsFlag;
    const ParseResult result = reader.Parse<flags>(stream, events);
    if (result.IsError()) syntax_error(result.Code(), result.Offset());
}

void JsonScan::syntax_error(int code, std::size_t offset) {
    using namespace rapidjson;
    if (code == kParseErrorStringUnicodeSurrogateInvalid)
        fail_at(offset, BLN_E_ENCODING, "half of a surrogate pair is no character");
    if (code == kParseErrorNumberTooBig) fail_at(offset, BLN_E_NOT_FINITE, "the number is beyond a 64-bit double");
    if (code == kParseErrorValueInvalid && names_no_number(source_, offset))
        fail_at(offset, BLN_E_NOT_FINITE, "NaN and Infinity are no numbers; leave the field out when it is unknown");
    const bool ended = offset >= source_.size();
    fail_at(offset, BLN_E_SYNTAX, ended ? std::string("the text ends too early: ") + explain(code) : explain(code));
}

void JsonScan::enter(bool object) { frames_.push_back({object, static_cast<std::uint32_t>(keys_.size()), 0, 0}); }

void JsonScan::leave() {
    if (frames_.back().big != 0) --tables_used_;
    keys_.resize(frames_.back().first_key);
    frames_.pop_back();
}

void JsonScan::add_key(std::string_view key) {
    Frame& frame = frames_.back();
    const std::uint32_t hash = hash_of(key, reinterpret_cast<std::uintptr_t>(work_));
    const std::size_t n = keys_.size() - frame.first_key;
    const Key* first = nullptr;
    if (frame.big == 0) {
        for (std::size_t i = frame.first_key; i < keys_.size(); ++i)
            if (keys_[i].hash == hash && keys_[i].text == key) first = &keys_[i];
    } else {
        const auto& table = tables_[frame.big - 1];
        const std::size_t mask = table.size() - 1;
        for (std::size_t s = hash & mask; table[s] != 0; s = (s + 1) & mask) {
            const Key& k = keys_[frame.first_key + table[s] - 1];
            if (k.hash == hash && k.text == key) first = &k;
        }
    }
    if (first != nullptr) {
        // Look up the first one on the side: places are fast in ascending order only.
        const auto offset = static_cast<std::size_t>(first->text.data() - work_) - 1;
        const std::uint64_t line = PlaceFinder(source_).find(offset).line;
        keys_.push_back({key, hash});  // so that the pointer names it
        fail(BLN_E_DUPLICATE, "the key \"" + std::string(key) +
                                  "\" stands twice in this object; the first is in line " + std::to_string(line));
    }
    keys_.push_back({key, hash});
    if (n + 1 > small_object) add_to_table(frame);
}

void JsonScan::add_to_table(Frame& frame) {
    const std::size_t n = keys_.size() - frame.first_key;
    if (frame.big == 0) {
        if (tables_used_ == tables_.size()) tables_.emplace_back();
        tables_[tables_used_].clear();
        frame.big = ++tables_used_;
    }
    auto& table = tables_[frame.big - 1];
    std::size_t from = n - 1;
    if (table.size() < 2 * n) {
        table.assign(std::max<std::size_t>(table.size() * 2, 64), 0);
        from = 0;
    }
    const std::size_t mask = table.size() - 1;
    for (std::size_t i = from; i < n; ++i) {
        std::size_t s = keys_[frame.first_key + i].hash & mask;
        while (table[s] != 0) s = (s + 1) & mask;
        table[s] = static_cast<std::uint32_t>(i + 1);
    }
}

void JsonScan::check_decoded(std::string_view text) {
    if (text.find('\0') != std::string_view::npos) fail(BLN_E_ENCODING, "a text cannot hold the character U+0000");
    if (!valid_utf8(text)) fail(BLN_E_ENCODING, "half of a surrogate pair is no character");
}

void JsonScan::check_finite(std::string_view number) {
    // 300 digits without an exponent stay below the greatest double.
    if (number.size() <= 300 && number.find_first_of("eE") == std::string_view::npos) return;
    double ignored = 0;
    if (!json_real(number, ignored)) fail(BLN_E_NOT_FINITE, "the number is beyond a 64-bit double");
}

std::string JsonScan::pointer(std::size_t up) const {
    std::string out;
    for (std::size_t f = 0; f + up < frames_.size(); ++f) {
        const Frame& frame = frames_[f];
        if (!frame.object) {
            append_pointer_token(out, std::to_string(frame.index));
            continue;
        }
        const std::size_t last = f + 1 < frames_.size() ? frames_[f + 1].first_key : keys_.size();
        if (last > frame.first_key) append_pointer_token(out, keys_[last - 1].text);
    }
    return out;
}

ErrorItem JsonScan::item_at(std::size_t offset, bln_status status, std::string message) {
    const Place place = places_.find(offset);
    return {status, std::move(message), {}, pointer(), place.line, place.column, offset};
}
ErrorItem JsonScan::item(bln_status status, std::string message) { return item_at(begin_, status, std::move(message)); }
void JsonScan::fail_at(std::size_t offset, bln_status status, std::string message) {
    throw Failure(item_at(offset, status, std::move(message)));
}
void JsonScan::fail(bln_status status, std::string message) { fail_at(begin_, status, std::move(message)); }

}  // namespace bln
