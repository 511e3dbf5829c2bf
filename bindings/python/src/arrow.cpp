// Intervals from Arrow's C data interface (PyCapsule protocol): columns are read where they lie. Only what comes in
// several batches is joined, and only the text of channels is turned into numbers.
#include <bit>
#include <cstring>
#include <map>
#include <unordered_map>

#include "intervals.hpp"

// The two structs of the C data interface and the one of the C stream interface, as their specification prints them.
struct ArrowSchema {
    const char* format;
    const char* name;
    const char* metadata;
    int64_t flags;
    int64_t n_children;
    ArrowSchema** children;
    ArrowSchema* dictionary;
    void (*release)(ArrowSchema*);
    void* private_data;
};
struct ArrowArray {
    int64_t length;
    int64_t null_count;
    int64_t offset;
    int64_t n_buffers;
    int64_t n_children;
    const void** buffers;
    ArrowArray** children;
    ArrowArray* dictionary;
    void (*release)(ArrowArray*);
    void* private_data;
};
struct ArrowArrayStream {
    int (*get_schema)(ArrowArrayStream*, ArrowSchema* out);
    int (*get_next)(ArrowArrayStream*, ArrowArray* out);
    const char* (*get_last_error)(ArrowArrayStream*);
    void (*release)(ArrowArrayStream*);
    void* private_data;
};

namespace binding {

namespace {

/// Releases what it holds, once.
template <class T>
struct Owned {
    T value{};
    Owned() = default;
    Owned(Owned&& other) noexcept : value(other.value) { other.value.release = nullptr; }
    Owned(const Owned&) = delete;
    ~Owned() {
        if (value.release != nullptr) value.release(&value);
    }
};

template <class T>
T* in_capsule(const py::handle& capsule, const char* name) {
    void* pointer = PyCapsule_GetPointer(capsule.ptr(), name);
    if (pointer == nullptr) throw py::error_already_set();
    return static_cast<T*>(pointer);
}

/// A schema and its batches, which stay where their owner put them.
class Table {
public:
    explicit Table(const py::object& source) {
        if (py::hasattr(source, "__arrow_c_stream__")) {
            const py::object capsule = source.attr("__arrow_c_stream__")();
            read_stream(*in_capsule<ArrowArrayStream>(capsule, "arrow_array_stream"));
        } else if (py::hasattr(source, "__arrow_c_array__")) {
            const py::tuple pair = source.attr("__arrow_c_array__")();
            auto* schema = in_capsule<ArrowSchema>(pair[0], "arrow_schema");
            auto* array = in_capsule<ArrowArray>(pair[1], "arrow_array");
            schema_.value = std::exchange(*schema, ArrowSchema{});
            batches_.emplace_back();
            batches_.back().value = std::exchange(*array, ArrowArray{});
        } else {
            refuse(BLN_E_TYPE, std::string(Py_TYPE(source.ptr())->tp_name) +
                                   " has neither __arrow_c_stream__ nor __arrow_c_array__");
        }
        if (std::strcmp(schema_.value.format, "+s") != 0) refuse(BLN_E_TYPE, "this is one column, and no table");
        for (const auto& batch : batches_) rows_ += static_cast<std::size_t>(batch.value.length);
    }
    [[nodiscard]] std::size_t rows() const noexcept { return rows_; }
    [[nodiscard]] std::size_t size() const noexcept { return static_cast<std::size_t>(schema_.value.n_children); }
    [[nodiscard]] const ArrowSchema& column(std::size_t i) const noexcept { return *schema_.value.children[i]; }
    [[nodiscard]] std::size_t batches() const noexcept { return batches_.size(); }
    [[nodiscard]] const ArrowArray& batch(std::size_t b) const noexcept { return batches_[b].value; }

private:
    void read_stream(ArrowArrayStream& stream) {
        const auto check = [&](int code) {
            if (code == 0) return;
            const char* why = stream.get_last_error(&stream);
            refuse(BLN_E_TYPE, std::string("the Arrow stream failed: ") + (why == nullptr ? "" : why));
        };
        check(stream.get_schema(&stream, &schema_.value));
        for (;;) {
            Owned<ArrowArray> batch;
            check(stream.get_next(&stream, &batch.value));
            if (batch.value.release == nullptr) return;
            batches_.push_back(std::move(batch));
        }
    }
    Owned<ArrowSchema> schema_;
    std::vector<Owned<ArrowArray>> batches_;
    std::size_t rows_ = 0;
};

bool bit_at(const void* bits, std::int64_t i) noexcept {
    return (static_cast<const std::uint8_t*>(bits)[i / 8] >> (i % 8) & 1U) != 0;
}
bool valid_at(const ArrowArray& a, std::int64_t i) noexcept {
    return a.buffers[0] == nullptr || bit_at(a.buffers[0], a.offset + i);
}

std::size_t item_size(std::int32_t type) {
    switch (type) {
        case BLN_TYPE_U8:
            return 1;
        case BLN_TYPE_I16:
            return 2;
        case BLN_TYPE_I32:
            return 4;
        default:
            return 8;
    }
}

/// BLN_TYPE_... of a column of numbers; refuses what cannot be read in place.
std::int32_t number_type(const ArrowSchema& schema, bool time) {
    const std::string_view f = schema.format;
    if (time) {
        if (f.substr(0, 4) == "tsu:" && f.size() > 4) return BLN_TYPE_I64;
        if (f == "tsu:")
            refuse(BLN_E_TYPE, std::string(schema.name) + " names no zone: timestamps are instants, so give them UTC");
        if (f.substr(0, 2) == "ts")
            refuse(BLN_E_UNIT, std::string(schema.name) + " does not hold microseconds: cast it to timestamp[us]");
    }
    if (f == "l") return BLN_TYPE_I64;
    if (!time) {
        if (f == "i") return BLN_TYPE_I32;
        if (f == "s") return BLN_TYPE_I16;
        if (f == "C") return BLN_TYPE_U8;
    }
    refuse(BLN_E_TYPE, std::string(schema.name) + " has the Arrow format " + schema.format +
                           (time ? "; a time is timestamp[us] with a zone, or int64 microseconds"
                                 : "; counts are int64, int32, int16 or uint8, never floats"));
}

/// One column of the table as the C interface takes it.
struct Taken {
    bln_column column{};
    std::vector<char> joined;
    std::vector<std::uint8_t> bits;
};

void take_numbers(const Table& table, std::size_t i, bool time, Taken& out) {
    const std::int32_t type = number_type(table.column(i), time);
    const std::size_t size = item_size(type);
    static const std::int64_t nothing = 0;
    out.column = {&nothing, static_cast<std::int64_t>(size), nullptr, type, 0};
    bool nulls = false, aligned = true;
    for (std::size_t b = 0; b < table.batches(); ++b) {
        const ArrowArray& a = *table.batch(b).children[i];
        nulls = nulls || (a.null_count != 0 && a.buffers[0] != nullptr);
        aligned = aligned && a.offset % 8 == 0;
    }
    const auto first = [&](const ArrowArray& a) {
        return static_cast<const char*>(a.buffers[1]) + a.offset * static_cast<std::int64_t>(size);
    };
    if (table.batches() == 1 && table.rows() > 0) {
        const ArrowArray& a = *table.batch(0).children[i];
        out.column.data = first(a);
        if (nulls && aligned) out.column.validity = static_cast<const std::uint8_t*>(a.buffers[0]) + a.offset / 8;
        if (!nulls || aligned) return;
    } else if (table.rows() > 0) {
        out.joined.reserve(table.rows() * size);
        for (std::size_t b = 0; b < table.batches(); ++b) {
            const ArrowArray& a = *table.batch(b).children[i];
            out.joined.insert(out.joined.end(), first(a), first(a) + a.length * static_cast<std::int64_t>(size));
        }
        out.column.data = out.joined.data();
    }
    if (!nulls) return;
    out.bits.assign((table.rows() + 7) / 8, 0);
    std::size_t row = 0;
    for (std::size_t b = 0; b < table.batches(); ++b) {
        const ArrowArray& a = *table.batch(b).children[i];
        for (std::int64_t k = 0; k < a.length; ++k, ++row)
            if (valid_at(a, k)) out.bits[row / 8] = static_cast<std::uint8_t>(out.bits[row / 8] | 1U << (row % 8));
    }
    out.column.validity = out.bits.data();
}

/// Texts of one array, of any of the three layouts.
std::string_view text_at(const char* format, const ArrowArray& a, std::int64_t i) {
    const std::int64_t at = a.offset + i;
    if (format[0] == 'v') {
        struct View {
            std::int32_t length;
            char prefix[4];
            std::int32_t buffer, offset;
        };
        const View& v = static_cast<const View*>(a.buffers[1])[at];
        if (v.length <= 12) return {v.prefix, static_cast<std::size_t>(v.length)};
        return {static_cast<const char*>(a.buffers[2 + v.buffer]) + v.offset, static_cast<std::size_t>(v.length)};
    }
    const auto* bytes = static_cast<const char*>(a.buffers[2]);
    if (format[0] == 'U') {
        const auto* offsets = static_cast<const std::int64_t*>(a.buffers[1]);
        return {bytes + offsets[at], static_cast<std::size_t>(offsets[at + 1] - offsets[at])};
    }
    const auto* offsets = static_cast<const std::int32_t*>(a.buffers[1]);
    return {bytes + offsets[at], static_cast<std::size_t>(offsets[at + 1] - offsets[at])};
}
bool is_text(std::string_view format) { return format == "u" || format == "U" || format == "vu"; }

/// The channel of each row as a position in a list of ids.
class Channels {
public:
    Channels(const Table& table, std::size_t column) {
        const ArrowSchema& schema = table.column(column);
        index_.reserve(table.rows());
        for (std::size_t b = 0; b < table.batches(); ++b) {
            const ArrowArray& a = *table.batch(b).children[column];
            if (schema.dictionary != nullptr)
                take_codes(schema, a);
            else if (is_text(schema.format))
                for (std::int64_t i = 0; i < a.length; ++i)
                    index_.push_back(valid_at(a, i) ? number(text_at(schema.format, a, i)) : -1);
            else
                refuse(BLN_E_TYPE, std::string(schema.name) + " has the Arrow format " + schema.format +
                                       "; channels are texts, or a dictionary of texts");
        }
        for (const std::string& id : ids_) pointers_.push_back(id.c_str());
    }
    [[nodiscard]] const char* const* ids() const noexcept { return pointers_.data(); }
    [[nodiscard]] std::size_t count() const noexcept { return ids_.size(); }
    [[nodiscard]] bln_column column() const noexcept {
        static const std::int32_t nothing = 0;
        return {index_.empty() ? &nothing : index_.data(), 4, nullptr, BLN_TYPE_I32, 0};
    }

private:
    std::int32_t number(std::string_view id) {
        if (last_ >= 0 && ids_[static_cast<std::size_t>(last_)] == id) return last_;
        const auto [at, fresh] = by_id_.emplace(std::string(id), static_cast<std::int32_t>(ids_.size()));
        if (fresh) {
            if (id.find('\0') != std::string_view::npos) refuse(BLN_E_ENCODING, "a channel holds U+0000");
            ids_.emplace_back(id);
        }
        return last_ = at->second;
    }
    void take_codes(const ArrowSchema& schema, const ArrowArray& a) {
        if (!is_text(schema.dictionary->format))
            refuse(BLN_E_TYPE, std::string(schema.name) + " is a dictionary of something else than texts");
        std::vector<std::int32_t> numbers;
        for (std::int64_t k = 0; k < a.dictionary->length; ++k)
            numbers.push_back(valid_at(*a.dictionary, k) ? number(text_at(schema.dictionary->format, *a.dictionary, k))
                                                         : -1);
        for (std::int64_t i = 0; i < a.length; ++i) {
            const std::int64_t code = valid_at(a, i) ? code_at(schema.format[0], a, a.offset + i) : -1;
            index_.push_back(code < 0 || code >= a.dictionary->length ? -1 : numbers[static_cast<std::size_t>(code)]);
        }
    }
    static std::int64_t code_at(char format, const ArrowArray& a, std::int64_t at) {
        const void* data = a.buffers[1];
        switch (format) {
            case 'c':
                return static_cast<const std::int8_t*>(data)[at];
            case 'C':
                return static_cast<const std::uint8_t*>(data)[at];
            case 's':
                return static_cast<const std::int16_t*>(data)[at];
            case 'S':
                return static_cast<const std::uint16_t*>(data)[at];
            case 'i':
                return static_cast<const std::int32_t*>(data)[at];
            case 'I':
                return static_cast<const std::uint32_t*>(data)[at];
            default:
                return static_cast<const std::int64_t*>(data)[at];
        }
    }
    std::vector<std::int32_t> index_;
    std::vector<std::string> ids_;
    std::vector<const char*> pointers_;
    std::unordered_map<std::string, std::int32_t> by_id_;
    std::int32_t last_ = -1;
};

}  // namespace

Intervals intervals_from_arrow(const py::object& source, const py::object& quantity, const py::dict& names,
                               const py::tuple& rule_words, const py::object& rule_of_registers) {
    const bln_interval_rule rule = rule_of(rule_words);
    const Table table(source);
    std::map<std::string, std::string> meaning;  // name in the table: what it is
    for (const auto& [from, to] : names) meaning[from.cast<std::string>()] = to.cast<std::string>();
    std::map<std::string, Taken> taken;
    std::unique_ptr<Channels> channels;
    std::vector<std::unique_ptr<Taken>> counts;
    std::vector<std::string> wide_ids;
    for (std::size_t i = 0; i < table.size(); ++i) {
        const std::string name = table.column(i).name == nullptr ? "" : table.column(i).name;
        std::string what = meaning.count(name) != 0 ? meaning[name] : name;
        if (what == "ignored") continue;
        if (what == "start" || what == "end") what = "at";
        if (what != "at" && !quantity.is_none()) {
            counts.push_back(std::make_unique<Taken>());
            take_numbers(table, i, false, *counts.back());
            wide_ids.push_back(what);
            continue;
        }
        if (taken.count(what) != 0 || (what == "channel" && channels != nullptr))
            refuse(BLN_E_DUPLICATE, "two columns are " + what);
        if (what == "channel") {
            channels = std::make_unique<Channels>(table, i);
            continue;
        }
        if (what != "at" && what != "quality") quantity_number(what);
        take_numbers(table, i, what == "at", taken[what]);
    }
    if (taken.count("at") == 0) refuse(BLN_E_FIELD, "there is no column at, start or end");
    Intervals intervals;
    if (!quantity.is_none()) {
        std::vector<const char*> ids;
        std::vector<bln_column> columns;
        for (const std::string& id : wide_ids) ids.push_back(id.c_str());
        for (const auto& c : counts) columns.push_back(c->column);
        const std::int32_t number = quantity_number(quantity.cast<std::string>());
        call_unlocked([&](bln_error** err) {
            return bln_intervals_new_wide(&rule, number, ids.data(), ids.size(), table.rows(), &taken["at"].column,
                                          columns.data(), nullptr, intervals.out(), err);
        });
        return intervals;
    }
    if (channels == nullptr) refuse(BLN_E_FIELD, "there is no column channel");
    bln_interval_columns row{};
    row.size = sizeof row;
    row.channel = channels->column();
    const auto given = [&](const char* name) { return taken.count(name) != 0 ? taken[name].column : bln_column{}; };
    row.at = given("at");
    row.quality = given("quality");
    row.net_p = given("net_p");
    row.net_q = given("net_q");
    row.import_p = given("import_p");
    row.export_p = given("export_p");
    row.import_q = given("import_q");
    row.export_q = given("export_q");
    row.q1 = given("q1");
    row.q2 = given("q2");
    row.q3 = given("q3");
    row.q4 = given("q4");
    row.apparent = given("apparent");
    const std::unique_ptr<Bytes> json =
        rule_of_registers.is_none() ? nullptr : std::make_unique<Bytes>(rule_of_registers);
    call_unlocked([&](bln_error** err) {
        return json == nullptr
                   ? bln_intervals_new(&rule, channels->ids(), channels->count(), table.rows(), &row, intervals.out(),
                                       err)
                   : bln_intervals_new_registers(&rule, json->data(), json->size(), channels->ids(), channels->count(),
                                                 table.rows(), &row, intervals.out(), err);
    });
    return intervals;
}

}  // namespace binding
