// SPDX-License-Identifier: Apache-2.0
/**
 * @file blondel.hpp
 * C++17 over blondel.h: handles that free themselves, failures as exceptions. Nothing more: every
 * member is one call of the C function of the same name, and blondel.h says what it does.
 *
 * - Classes own their handle and move; a Site also copies (it is shared, not cloned).
 * - A call that fails throws blondel::Error with the status and all items of the error.
 * - `Name` takes a string literal or a std::string: text that ends with NUL.
 * - Texts that the C function lends come back as std::string_view and live as long as the object
 *   they came from; composed texts come back as std::string.
 * - Rows come back as the structs of blondel.h.
 */
#ifndef BLONDEL_BLONDEL_HPP
#define BLONDEL_BLONDEL_HPP

#include <blondel/blondel.h>

#include <array>
#include <complex>
#include <cstddef>
#include <cstdint>
#include <exception>
#include <functional>
#include <memory>
#include <new>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace blondel {

/// Text that ends with NUL, lent for one call.
class Name {
public:
    /// Of a literal or any other text that ends with NUL.
    Name(const char* text) noexcept : text_(text) {}
    /// Of a string.
    Name(const std::string& text) noexcept : text_(text.c_str()) {}
    /// The text.
    const char* c_str() const noexcept { return text_; }

private:
    const char* text_;
};

/// What a failed call says. what() is the message of the first item.
class Error : public std::runtime_error {
public:
    /// One item of the error; see bln_error.
    struct Item {
        bln_status status;     ///< bln_error_status()
        std::string message;   ///< bln_error_message()
        std::string subject;   ///< bln_error_subject()
        std::string pointer;   ///< bln_error_pointer()
        std::uint64_t line;    ///< bln_error_line()
        std::uint64_t column;  ///< bln_error_column()
        std::uint64_t byte;    ///< bln_error_byte()
    };

    /// Copies the items; @p error stays the caller's.
    Error(bln_status status, const bln_error* error) : std::runtime_error(first(status, error)), status_(status) {
        auto items = std::make_shared<std::vector<Item>>();
        for (std::size_t i = 0; i < bln_error_count(error); ++i)
            items->push_back({bln_error_status(error, i), bln_error_message(error, i), bln_error_subject(error, i),
                              bln_error_pointer(error, i), bln_error_line(error, i), bln_error_column(error, i),
                              bln_error_byte(error, i)});
        items_ = std::move(items);
    }
    /// Status of the call.
    bln_status status() const noexcept { return status_; }
    /// bln_status_name().
    std::string_view status_name() const noexcept { return bln_status_name(status_); }
    /// All items; the first decided the status.
    const std::vector<Item>& items() const noexcept { return *items_; }

private:
    static std::string first(bln_status status, const bln_error* error) {
        return bln_error_count(error) > 0 ? bln_error_message(error, 0) : bln_status_name(status);
    }
    bln_status status_;
    std::shared_ptr<const std::vector<Item>> items_;  // shared: copying an exception must not throw
};

/// A ratio of two integers.
struct Ratio {
    std::int64_t num = 0;  ///< numerator
    std::int64_t den = 1;  ///< denominator
};
/// A key with its ratio: item of a `terms` or `passes` field.
struct Term {
    std::string key;  ///< id, or conductor of a pass
    Ratio weight;     ///< its ratio
};
/// Called now and then by long calls; return false to stop. May throw: the exception reaches the caller.
using Progress = std::function<bool(std::uint64_t done, std::uint64_t total)>;

// What the members below share; not for use.
/// @cond
namespace detail {

template <auto Free>
struct Freer {
    template <class T>
    void operator()(T* handle) const noexcept {
        Free(handle);
    }
};
template <class T, auto Free>
using Handle = std::unique_ptr<T, Freer<Free>>;

[[noreturn]] inline void fail(bln_status status, bln_error* error) {
    const Handle<bln_error, bln_error_free> owner(error);
    if (status == BLN_E_NO_MEMORY) throw std::bad_alloc();
    throw Error(status, error);
}

/// Calls a function whose last parameter is the error.
template <class Function, class... Arguments>
void call(Function function, Arguments... arguments) {
    bln_error* error = nullptr;
    const bln_status status = function(arguments..., &error);
    if (status != BLN_OK) fail(status, error);
}
/// Calls a function whose last parameters are one output and the error.
template <class Out, class Function, class... Arguments>
Out get(Function function, Arguments... arguments) {
    Out out{};
    call(function, arguments..., &out);
    return out;
}
/// The same for a struct that states its size.
template <class Row, class Function, class... Arguments>
Row row(Function function, Arguments... arguments) {
    Row out{};
    out.size = sizeof(Row);
    call(function, arguments..., &out);
    return out;
}
/// The same for a composed text.
template <class Function, class... Arguments>
std::string text(Function function, Arguments... arguments) {
    const Handle<bln_text, bln_text_free> out(get<bln_text*>(function, arguments...));
    return std::string(bln_text_data(out.get()), bln_text_size(out.get()));
}
inline std::string_view view(const char* text) { return text != nullptr ? std::string_view(text) : std::string_view(); }

/// Carries an exception of a progress callback across C.
struct Watch {
    const Progress* progress;
    std::exception_ptr thrown;
    static std::int32_t ask(void* user, std::uint64_t done, std::uint64_t total) {
        auto* self = static_cast<Watch*>(user);
        try {
            return (*self->progress)(done, total) ? 0 : 1;
        } catch (...) {
            self->thrown = std::current_exception();
            return 1;
        }
    }
};
/// Calls a function whose last parameters are progress, user, one output and the error.
template <class Out, class Function, class... Arguments>
Out watched(const Progress& progress, Function function, Arguments... arguments) {
    Watch watch{&progress, nullptr};
    bln_error* error = nullptr;
    Out out{};
    const bln_status status =
        function(arguments..., progress ? &Watch::ask : nullptr, static_cast<void*>(&watch), &out, &error);
    if (watch.thrown) {
        bln_error_free(error);
        std::rethrow_exception(watch.thrown);
    }
    if (status != BLN_OK) fail(status, error);
    return out;
}

/// Arrays of keys and ratios, as the C functions take them.
struct TermArrays {
    std::vector<const char*> keys;
    std::vector<std::int64_t> nums, dens;
    explicit TermArrays(const std::vector<Term>& terms) {
        for (const Term& term : terms) {
            keys.push_back(term.key.c_str());
            nums.push_back(term.weight.num);
            dens.push_back(term.weight.den);
        }
    }
};
/// Arrays of ratios.
struct Ratios {
    std::vector<std::int64_t> nums, dens;
    explicit Ratios(std::size_t n) : nums(n, 0), dens(n, 1) {}
    explicit Ratios(const std::vector<Ratio>& ratios) {
        for (const Ratio& r : ratios) {
            nums.push_back(r.num);
            dens.push_back(r.den);
        }
    }
    std::vector<Ratio> list() const {
        std::vector<Ratio> out;
        for (std::size_t i = 0; i < nums.size(); ++i) out.push_back({nums[i], dens[i]});
        return out;
    }
};
/// Arrays of complex numbers, real and imaginary parts apart.
struct Parts {
    std::vector<double> re, im;
    explicit Parts(std::size_t n) : re(n), im(n) {}
    explicit Parts(const std::vector<std::complex<double>>& numbers) {
        for (const std::complex<double>& z : numbers) {
            re.push_back(z.real());
            im.push_back(z.imag());
        }
    }
    std::vector<std::complex<double>> list() const {
        std::vector<std::complex<double>> out;
        for (std::size_t i = 0; i < re.size(); ++i) out.emplace_back(re[i], im[i]);
        return out;
    }
};
inline std::vector<const char*> pointers(const std::vector<std::string>& texts) {
    std::vector<const char*> out;
    out.reserve(texts.size());
    for (const std::string& text : texts) out.push_back(text.c_str());
    return out;
}

}  // namespace detail
/// @endcond

// ---- versions, time, field table -------------------------------------------------------------

/// bln_version_number().
inline std::uint32_t version_number() noexcept { return bln_version_number(); }
/// bln_version_text().
inline std::string_view version_text() noexcept { return bln_version_text(); }
/// bln_abi_number().
inline std::uint32_t abi_number() noexcept { return bln_abi_number(); }

/// bln_instant_parse().
inline bln_instant instant(Name text) { return detail::get<bln_instant>(bln_instant_parse, text.c_str()); }
/// bln_instant_text().
inline std::string instant_text(bln_instant at) { return detail::text(bln_instant_text, at); }

/// bln_kind_count(), bln_kind_at().
inline std::vector<bln_kind> kinds() {
    std::vector<bln_kind> out;
    for (std::size_t i = 0; i < bln_kind_count(); ++i) out.push_back(bln_kind_at(i));
    return out;
}
/// bln_kind_name().
inline std::string_view kind_name(bln_kind kind) noexcept { return bln_kind_name(kind); }
/// bln_kind_collection().
inline std::string_view kind_collection(bln_kind kind) noexcept { return bln_kind_collection(kind); }
/// bln_field_count(), bln_field_at().
inline std::vector<bln_field_info> fields(bln_kind kind) {
    std::vector<bln_field_info> out;
    for (std::size_t i = 0; i < bln_field_count(kind); ++i)
        out.push_back(detail::row<bln_field_info>(bln_field_at, kind, i));
    return out;
}
/// A word of a choice field and its meaning.
inline std::pair<std::string_view, std::string_view> field_choice(bln_kind kind, Name field, std::size_t i) {
    const char *word = nullptr, *doc = nullptr;
    detail::call(bln_field_choice, kind, field.c_str(), i, &word, &doc);
    return {word, doc};
}
/// bln_schema().
inline std::string schema() { return detail::text(bln_schema); }
/// bln_limits_default().
inline bln_limits limits_default() { return detail::row<bln_limits>(bln_limits_default); }

/// bln_json_canonical().
inline std::string json_canonical(std::string_view json, const bln_limits* limits = nullptr) {
    return detail::text(bln_json_canonical, json.data(), json.size(), limits);
}
/// bln_json_patch_apply().
inline std::string json_patch_apply(std::string_view document, std::string_view patch,
                                    const bln_limits* limits = nullptr) {
    return detail::text(bln_json_patch_apply, document.data(), document.size(), patch.data(), patch.size(), limits);
}

/// An assignment's validity with nothing stated; set what is known.
inline bln_when always() noexcept {
    bln_when when{};
    when.size = sizeof when;
    when.from = BLN_BEGIN_OF_TIME;
    when.to = BLN_END_OF_TIME;
    when.recorded_at = BLN_BEGIN_OF_TIME;
    return when;
}

// ---- record ------------------------------------------------------------------------------------

/// One assignment of a field: when it holds [texts lent by the site] and its value as JSON.
struct Assignment {
    bln_when when;      ///< when it holds
    std::string value;  ///< as JSON
};

/// A frozen record. Copies share it.
class Site {
public:
    /// Takes over a handle.
    explicit Site(bln_site* owned) noexcept : handle_(owned) {}
    /// bln_site_keep().
    Site(const Site& other) noexcept : handle_(bln_site_keep(other.handle_.get())) {}
    /// Moves the handle.
    Site(Site&&) noexcept = default;
    /// bln_site_keep().
    Site& operator=(const Site& other) noexcept {
        handle_.reset(bln_site_keep(other.handle_.get()));
        return *this;
    }
    /// Moves the handle.
    Site& operator=(Site&&) noexcept = default;
    /// bln_site_free().
    ~Site() = default;
    /// bln_site_read().
    static Site read(std::string_view json, const bln_limits* limits = nullptr) {
        return Site(detail::get<bln_site*>(bln_site_read, json.data(), json.size(), limits));
    }

    /// bln_site_json().
    std::string json(std::int32_t style = BLN_JSON_READABLE) const { return detail::text(bln_site_json, get(), style); }
    /// bln_site_digest().
    std::string digest() const { return detail::text(bln_site_digest, get()); }
    /// JSON Patch from this site to @p after.
    std::string difference(const Site& after) const { return detail::text(bln_site_difference, get(), after.get()); }
    /// bln_site_count().
    std::size_t count(bln_kind kind) const noexcept { return bln_site_count(get(), kind); }
    /// bln_site_id().
    std::string_view id(bln_kind kind, std::size_t i) const noexcept {
        return detail::view(bln_site_id(get(), kind, i));
    }
    /// bln_site_find().
    std::int64_t find(bln_kind kind, Name id) const noexcept { return bln_site_find(get(), kind, id.c_str()); }
    /// bln_site_history(), bln_site_assignment().
    std::vector<Assignment> history(bln_kind kind, Name id, Name field) const {
        std::vector<Assignment> out;
        const auto n = detail::get<std::size_t>(bln_site_history, get(), kind, id.c_str(), field.c_str());
        for (std::size_t i = 0; i < n; ++i) {
            bln_when when = always();
            std::string value = detail::text(bln_site_assignment, get(), kind, id.c_str(), field.c_str(), i, &when);
            out.push_back({when, std::move(value)});
        }
        return out;
    }
    /// The handle.
    const bln_site* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_site, bln_site_free> handle_;
};

/// A record under edit. In the setters, @p when null: the value replaces all assignments.
class Draft {
public:
    Draft() : handle_(detail::get<bln_draft*>(bln_draft_new)) {}
    /// bln_draft_of().
    explicit Draft(const Site& site) : handle_(detail::get<bln_draft*>(bln_draft_of, site.get())) {}
    /// Takes over a handle.
    explicit Draft(bln_draft* owned) noexcept : handle_(owned) {}
    /// bln_draft_read().
    static Draft read(std::string_view json, const bln_limits* limits = nullptr) {
        return Draft(detail::get<bln_draft*>(bln_draft_read, json.data(), json.size(), limits));
    }

    /// bln_draft_add().
    void add(bln_kind kind, Name id) { detail::call(bln_draft_add, get(), kind, id.c_str()); }
    /// bln_draft_remove().
    void remove(bln_kind kind, Name id) { detail::call(bln_draft_remove, get(), kind, id.c_str()); }
    /// bln_draft_set_text().
    void set_text(bln_kind kind, Name id, Name field, Name value, const bln_when* when = nullptr) {
        detail::call(bln_draft_set_text, get(), kind, id.c_str(), field.c_str(), value.c_str(), when);
    }
    /// bln_draft_set_integer().
    void set_integer(bln_kind kind, Name id, Name field, std::int64_t value, const bln_when* when = nullptr) {
        detail::call(bln_draft_set_integer, get(), kind, id.c_str(), field.c_str(), value, when);
    }
    /// bln_draft_set_real().
    void set_real(bln_kind kind, Name id, Name field, double value, const bln_when* when = nullptr) {
        detail::call(bln_draft_set_real, get(), kind, id.c_str(), field.c_str(), value, when);
    }
    /// bln_draft_set_ratio().
    void set_ratio(bln_kind kind, Name id, Name field, Ratio value, const bln_when* when = nullptr) {
        detail::call(bln_draft_set_ratio, get(), kind, id.c_str(), field.c_str(), value.num, value.den, when);
    }
    /// bln_draft_set_integers().
    void set_integers(bln_kind kind, Name id, Name field, const std::vector<std::int64_t>& values,
                      const bln_when* when = nullptr) {
        detail::call(bln_draft_set_integers, get(), kind, id.c_str(), field.c_str(), values.data(), values.size(),
                     when);
    }
    /// bln_draft_set_texts().
    void set_texts(bln_kind kind, Name id, Name field, const std::vector<std::string>& values,
                   const bln_when* when = nullptr) {
        const std::vector<const char*> texts = detail::pointers(values);
        detail::call(bln_draft_set_texts, get(), kind, id.c_str(), field.c_str(), texts.data(), texts.size(), when);
    }
    /// bln_draft_set_terms().
    void set_terms(bln_kind kind, Name id, Name field, const std::vector<Term>& values,
                   const bln_when* when = nullptr) {
        const detail::TermArrays terms(values);
        detail::call(bln_draft_set_terms, get(), kind, id.c_str(), field.c_str(), terms.keys.data(), terms.nums.data(),
                     terms.dens.data(), values.size(), when);
    }
    /// bln_draft_clear().
    void clear(bln_kind kind, Name id, Name field) {
        detail::call(bln_draft_clear, get(), kind, id.c_str(), field.c_str());
    }
    /// bln_draft_set_ext().
    void set_ext(bln_kind kind, Name id, std::string_view json) {
        detail::call(bln_draft_set_ext, get(), kind, id.c_str(), json.data(), json.size());
    }
    /// bln_draft_patch().
    void patch(std::string_view json_patch, const bln_limits* limits = nullptr) {
        detail::call(bln_draft_patch, get(), json_patch.data(), json_patch.size(), limits);
    }
    /// bln_draft_merge().
    void merge(const Draft& from, std::int32_t mode = BLN_MERGE_REFUSE) {
        detail::call(bln_draft_merge, get(), static_cast<const bln_draft*>(from.handle_.get()), mode);
    }
    /// bln_draft_freeze().
    Site freeze() const { return Site(detail::get<bln_site*>(bln_draft_freeze, handle_.get())); }
    /// The handle.
    bln_draft* get() noexcept { return handle_.get(); }

private:
    detail::Handle<bln_draft, bln_draft_free> handle_;
};

/// The record as of one instant.
class View {
public:
    /// bln_view_new().
    explicit View(const Site& site, bln_instant valid = BLN_END_OF_TIME, bln_instant known = BLN_END_OF_TIME)
        : handle_(detail::get<bln_view*>(bln_view_new, site.get(), valid, known)) {}

    /// bln_view_text().
    std::string_view text(bln_kind kind, Name id, Name field) const {
        return detail::get<const char*>(bln_view_text, get(), kind, id.c_str(), field.c_str());
    }
    /// bln_view_integer().
    std::int64_t integer(bln_kind kind, Name id, Name field) const {
        return detail::get<std::int64_t>(bln_view_integer, get(), kind, id.c_str(), field.c_str());
    }
    /// bln_view_real().
    double real(bln_kind kind, Name id, Name field) const {
        return detail::get<double>(bln_view_real, get(), kind, id.c_str(), field.c_str());
    }
    /// bln_view_ratio().
    Ratio ratio(bln_kind kind, Name id, Name field) const {
        Ratio out;
        detail::call(bln_view_ratio, get(), kind, id.c_str(), field.c_str(), &out.num, &out.den);
        return out;
    }
    /// bln_view_size().
    std::size_t size(bln_kind kind, Name id, Name field) const {
        return detail::get<std::size_t>(bln_view_size, get(), kind, id.c_str(), field.c_str());
    }
    /// bln_view_item_integer().
    std::int64_t item_integer(bln_kind kind, Name id, Name field, std::size_t i) const {
        return detail::get<std::int64_t>(bln_view_item_integer, get(), kind, id.c_str(), field.c_str(), i);
    }
    /// bln_view_item_text().
    std::string_view item_text(bln_kind kind, Name id, Name field, std::size_t i) const {
        return detail::get<const char*>(bln_view_item_text, get(), kind, id.c_str(), field.c_str(), i);
    }
    /// bln_view_item_term().
    Term item_term(bln_kind kind, Name id, Name field, std::size_t i) const {
        const char* key = nullptr;
        Ratio weight;
        detail::call(bln_view_item_term, get(), kind, id.c_str(), field.c_str(), i, &key, &weight.num, &weight.den);
        return {key, weight};
    }
    /// bln_view_json().
    std::string json(bln_kind kind, Name id, Name field) const {
        return detail::text(bln_view_json, get(), kind, id.c_str(), field.c_str());
    }
    /// The handle.
    const bln_view* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_view, bln_view_free> handle_;
};

// ---- the metering form -------------------------------------------------------------------------

/// What a form needs to know of one of its conductors; see bln_form_conductor_at().
struct FormConductor {
    std::int32_t terminal = 0;  ///< BLN_TERMINAL_...
    std::size_t load = 0;       ///< number of its load
    bool counted = true;        ///< whether its energy is the point's
    std::string_view circuit;   ///< id [lent by the form]
    std::int32_t pole = 0;      ///< 1, 2, 3; 0: neutral
};
/// One element of a form; see bln_form_element_at().
struct FormElement {
    std::vector<Ratio> volts;  ///< by terminal
    std::vector<Ratio> amps;   ///< by conductor
    Ratio weight;              ///< its weight
    std::string_view channel;  ///< id [lent by the form]
};
/// What had to be assumed, or what stopped the building; see bln_form_note_at().
struct FormNote {
    std::string_view code;  ///< slug
    bool stops = false;     ///< whether the form could not be built for this
    bln_kind kind = 0;      ///< kind of the entity it is about
    std::string_view id;    ///< its id [lent by the form]
    std::string_view doc;   ///< one sentence
};
/// Registered minus true as a matrix; see bln_form_residual().
struct Residual {
    std::size_t rows = 0;                       ///< voltages
    std::size_t columns = 0;                    ///< currents
    std::int32_t reference = 0;                 ///< terminal against which the voltages count
    std::vector<std::int32_t> row_terminal;     ///< terminal of each row
    std::vector<std::size_t> column_conductor;  ///< conductor of each column
    std::vector<Ratio> entries;                 ///< row by row
};

/// Potentials by terminal; bit t of `known`: terminal t is given.
struct Potentials {
    std::array<double, BLN_TERMINAL_COUNT> re{};  ///< V
    std::array<double, BLN_TERMINAL_COUNT> im{};  ///< V
    std::uint32_t known = 0;                      ///< which are given
};
/// The largest errors, and the state that produces the one that was found; see bln_form_bound().
struct WorstCase {
    bln_bound bound{};                       ///< the largest errors
    Potentials volts;                        ///< voltages that produce `attained`
    std::vector<std::complex<double>> amps;  ///< currents that do, by conductor
};
/// A new voltage reference of an element; see bln_form_repoint().
struct Pointing {
    std::int32_t plus = -1;   ///< terminal, or -1: it stays
    std::int32_t minus = -1;  ///< terminal, or -1: it stays
    Ratio weight{1, 1};       ///< of the element then
};

/// Elements round a load, put together by hand.
class Arrangement {
public:
    /// bln_arrangement_new().
    explicit Arrangement(Name service) : handle_(detail::get<bln_arrangement*>(bln_arrangement_new, service.c_str())) {}
    /// bln_arrangement_set().
    void set(Name field, Name word) { detail::call(bln_arrangement_set, handle_.get(), field.c_str(), word.c_str()); }
    /// bln_arrangement_load().
    void load(Name conductors) { detail::call(bln_arrangement_load, handle_.get(), conductors.c_str()); }
    /// bln_arrangement_floating().
    std::int32_t floating() { return detail::get<std::int32_t>(bln_arrangement_floating, handle_.get()); }
    /// bln_arrangement_element(). @p volts: one ratio for each of the ::BLN_TERMINAL_COUNT terminals.
    void element(const std::vector<Ratio>& volts, const std::vector<Ratio>& amps, Ratio weight = {1, 1}) {
        if (volts.size() != BLN_TERMINAL_COUNT) throw std::invalid_argument("a voltage row has one ratio a terminal");
        const detail::Ratios v(volts), i(amps);
        detail::call(bln_arrangement_element, handle_.get(), v.nums.data(), v.dens.data(), i.nums.data(), i.dens.data(),
                     amps.size(), weight.num, weight.den);
    }
    /// bln_arrangement_use().
    void use(Name name) { detail::call(bln_arrangement_use, handle_.get(), name.c_str()); }
    /// bln_arrangement_name_count(), bln_arrangement_name_at(): each name and what it is.
    static std::vector<std::pair<std::string_view, std::string_view>> names() {
        std::vector<std::pair<std::string_view, std::string_view>> out;
        for (std::size_t i = 0; i < bln_arrangement_name_count(); ++i) {
            const char *name = nullptr, *doc = nullptr;
            detail::call(bln_arrangement_name_at, i, &name, &doc);
            out.emplace_back(name, doc);
        }
        return out;
    }
    /// The handle.
    const bln_arrangement* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_arrangement, bln_arrangement_free> handle_;
};

/// What elements register, against what the load takes.
class Form {
public:
    /// bln_form_of_arrangement().
    explicit Form(const Arrangement& arrangement)
        : handle_(detail::get<bln_form*>(bln_form_of_arrangement, arrangement.get())) {}
    /// bln_form_of_point().
    Form(const View& view, Name point, bool neutral = true)
        : handle_(detail::get<bln_form*>(bln_form_of_point, view.get(), point.c_str(), neutral ? 1 : 0)) {}

    /// bln_form_built().
    bool built() const noexcept { return bln_form_built(get()) != 0; }
    /// bln_form_note_count(), bln_form_note_at().
    std::vector<FormNote> notes() const {
        std::vector<FormNote> out;
        for (std::size_t i = 0; i < bln_form_note_count(get()); ++i) {
            const char *code = nullptr, *id = nullptr, *doc = nullptr;
            std::int32_t stops = 0;
            bln_kind kind = 0;
            detail::call(bln_form_note_at, get(), i, &code, &stops, &kind, &id, &doc);
            out.push_back({code, stops != 0, kind, id, doc});
        }
        return out;
    }
    /// bln_form_conductor_count(), bln_form_conductor_at().
    std::vector<FormConductor> conductors() const {
        std::vector<FormConductor> out(bln_form_conductor_count(get()));
        for (std::size_t k = 0; k < out.size(); ++k) {
            const char* circuit = nullptr;
            std::int32_t counted = 0;
            detail::call(bln_form_conductor_at, get(), k, &out[k].terminal, &out[k].load, &counted, &circuit,
                         &out[k].pole);
            out[k].counted = counted != 0;
            out[k].circuit = circuit;
        }
        return out;
    }
    /// bln_form_element_count().
    std::size_t element_count() const noexcept { return bln_form_element_count(get()); }
    /// bln_form_element_at().
    FormElement element(std::size_t e) const {
        FormElement out;
        detail::Ratios volts(BLN_TERMINAL_COUNT), amps(bln_form_conductor_count(get()));
        const char* channel = nullptr;
        detail::call(bln_form_element_at, get(), e, volts.nums.data(), volts.dens.data(), amps.nums.data(),
                     amps.dens.data(), &out.weight.num, &out.weight.den, &channel);
        out.volts = volts.list();
        out.amps = amps.list();
        out.channel = channel;
        return out;
    }
    /// bln_form_exact().
    bool exact() const { return detail::get<std::int32_t>(bln_form_exact, get()) != 0; }
    /// bln_form_fewest_elements().
    std::size_t fewest_elements() const { return detail::get<std::size_t>(bln_form_fewest_elements, get()); }
    /// bln_form_residual().
    Residual residual() const {
        Residual out;
        const auto ask = [&](std::int32_t* rows, std::size_t* columns, std::int64_t* num, std::int64_t* den,
                             std::size_t room) {
            detail::call(bln_form_residual, get(), &out.rows, &out.columns, &out.reference, rows, columns, num, den,
                         room);
        };
        ask(nullptr, nullptr, nullptr, nullptr, 0);
        out.row_terminal.resize(out.rows);
        out.column_conductor.resize(out.columns);
        detail::Ratios entries(out.rows * out.columns);
        ask(out.row_terminal.data(), out.column_conductor.data(), entries.nums.data(), entries.dens.data(),
            entries.nums.size());
        out.entries = entries.list();
        return out;
    }
    /// bln_form_words().
    std::string words(std::int32_t what) const { return detail::text(bln_form_words, get(), what); }
    /// bln_form_nominal(): orders that are right, and of these those without any voltage.
    std::pair<std::uint32_t, std::uint32_t> nominal() const {
        std::uint32_t right = 0, without = 0;
        detail::call(bln_form_nominal, get(), &right, &without);
        return {right, without};
    }
    /// bln_form_registration(): real and imaginary part of the factor.
    std::pair<double, double> registration(std::size_t from, std::size_t to) const {
        double re = 0, im = 0;
        detail::call(bln_form_registration, get(), from, to, &re, &im);
        return {re, im};
    }
    /// bln_form_realise(): the weights, or nothing; @p unique, when wanted: whether they are the only ones.
    std::optional<std::vector<Ratio>> realise(bool* unique = nullptr) const {
        detail::Ratios weights(element_count());
        std::int32_t found = 0, only = 0;
        detail::call(bln_form_realise, get(), weights.nums.data(), weights.dens.data(), &found, &only);
        if (unique != nullptr) *unique = only != 0;
        if (found == 0) return std::nullopt;
        return weights.list();
    }
    /// bln_form_evaluate().
    void evaluate(std::size_t rows, const std::vector<bln_column>& volts, const std::vector<bln_column>& amps,
                  const bln_out_column* registered, const bln_out_column* truth = nullptr,
                  const bln_out_column* elements = nullptr) const {
        if (volts.size() != 2 * BLN_TERMINAL_COUNT || amps.size() != 2 * bln_form_conductor_count(get()))
            throw std::invalid_argument("two columns a terminal and two a conductor are needed");
        detail::call(bln_form_evaluate, get(), rows, volts.data(), amps.data(), registered, truth, elements);
    }
    /// bln_form_json().
    std::string json() const { return detail::text(bln_form_json, get()); }
    /// bln_form_nominal_volts().
    Potentials nominal_volts(std::int32_t order, double unit) const {
        Potentials out;
        detail::call(bln_form_nominal_volts, get(), order, unit, out.re.data(), out.im.data(), &out.known);
        return out;
    }
    /// bln_form_bound(). @p spread: one a terminal; @p amps: one a conductor; @p weights: one an element, or none.
    WorstCase bound(const Potentials& at, const std::array<double, BLN_TERMINAL_COUNT>& spread,
                    const std::vector<double>& amps, const std::vector<std::complex<double>>& weights = {}) const {
        if (amps.size() != bln_form_conductor_count(get()) || (!weights.empty() && weights.size() != element_count()))
            throw std::invalid_argument("one limit a conductor and one weight an element are needed");
        const detail::Parts w(weights);
        detail::Parts currents(amps.size());
        WorstCase out;
        out.bound.size = sizeof out.bound;
        detail::call(bln_form_bound, get(), at.re.data(), at.im.data(), at.known, spread.data(), amps.data(),
                     weights.empty() ? nullptr : w.re.data(), weights.empty() ? nullptr : w.im.data(), &out.bound,
                     out.volts.re.data(), out.volts.im.data(), currents.re.data(), currents.im.data());
        out.volts.known = at.known;
        out.amps = currents.list();
        return out;
    }
    /// bln_form_reuse(): bits BLN_REUSE_...
    std::uint32_t reuse(std::uint32_t terminals = 0) const {
        std::uint32_t ways = 0;
        detail::call(bln_form_reuse, get(), terminals, &ways);
        return ways;
    }
    /// bln_form_repoint(): the elements' new voltages, or nothing.
    std::optional<std::vector<Pointing>> repoint(std::uint32_t terminals = 0, bool weights = false) const {
        std::vector<std::int32_t> plus(element_count()), minus(element_count());
        detail::Ratios weight(element_count());
        std::int32_t found = 0;
        detail::call(bln_form_repoint, get(), terminals, weights ? 1 : 0, plus.data(), minus.data(), weight.nums.data(),
                     weight.dens.data(), &found);
        if (found == 0) return std::nullopt;
        std::vector<Pointing> out;
        for (std::size_t e = 0; e < plus.size(); ++e)
            out.push_back({plus[e], minus[e], {weight.nums[e], weight.dens[e]}});
        return out;
    }
    /// bln_form_recompute(): complex weights at @p at, or (nullptr) at nominal voltages; or nothing.
    std::optional<std::vector<std::complex<double>>> recompute(const Potentials* at = nullptr) const {
        detail::Parts weights(element_count());
        std::int32_t found = 0;
        detail::call(bln_form_recompute, get(), at == nullptr ? nullptr : at->re.data(),
                     at == nullptr ? nullptr : at->im.data(), at == nullptr ? 0U : at->known, weights.re.data(),
                     weights.im.data(), &found);
        if (found == 0) return std::nullopt;
        return weights.list();
    }
    /// bln_form_fault(): the form with one more fault in the wiring.
    Form fault(Name kind, std::int32_t element = -1, std::int32_t x = -1, std::int32_t y = -1,
               Ratio ratio = {1, 1}) const {
        return Form(detail::get<bln_form*>(bln_form_fault, get(), kind.c_str(), element, x, y, ratio.num, ratio.den));
    }
    /// bln_form_balanced().
    std::complex<double> balanced(std::int32_t element = -1) const {
        double re = 0, im = 0;
        detail::call(bln_form_balanced, get(), element, &re, &im);
        return {re, im};
    }
    /// The handle.
    const bln_form* get() const noexcept { return handle_.get(); }

private:
    friend class Hypotheses;
    explicit Form(bln_form* handle) : handle_(handle) {}

    detail::Handle<bln_form, bln_form_free> handle_;
};

/// bln_fault_kind_count(), bln_fault_kind_at(): each kind of fault and what it is.
inline std::vector<std::pair<std::string_view, std::string_view>> fault_kinds() {
    std::vector<std::pair<std::string_view, std::string_view>> out;
    for (std::size_t i = 0; i < bln_fault_kind_count(); ++i) {
        const char *name = nullptr, *doc = nullptr;
        detail::call(bln_fault_kind_at, i, &name, &doc);
        out.emplace_back(name, doc);
    }
    return out;
}
/// bln_correction_curve(): a factor for each angle, or nothing where none helps.
inline std::vector<std::optional<double>> correction_curve(std::complex<double> factor,
                                                           const std::vector<double>& angle_deg) {
    std::vector<double> k(angle_deg.size());
    std::vector<std::uint8_t> defined(angle_deg.size());
    detail::call(bln_correction_curve, factor.real(), factor.imag(), k.size(), angle_deg.data(), k.data(),
                 defined.data());
    std::vector<std::optional<double>> out(k.size());
    for (std::size_t i = 0; i < k.size(); ++i)
        if (defined[i] != 0) out[i] = k[i];
    return out;
}
/// bln_ratio_spread().
inline double ratio_spread(std::complex<double> x, std::complex<double> y, double spread_x, double spread_y) {
    return detail::get<double>(bln_ratio_spread, x.real(), x.imag(), y.real(), y.imag(), spread_x, spread_y);
}
/// bln_correction_limit(). @p volts and @p amps: as many of one as of the other.
inline double correction_limit(double volt_amperes, double spread, const std::vector<double>& volts = {},
                               const std::vector<double>& amps = {}) {
    if (volts.size() != amps.size()) throw std::invalid_argument("harmonic voltages and currents come in pairs");
    return detail::get<double>(bln_correction_limit, volt_amperes, spread, volts.size(), volts.data(), amps.data());
}

/// Where a hypothesis puts the CT of one element; see bln_hypotheses_at().
struct Placement {
    std::int32_t on = -1;        ///< conductor; -1: none; -2: the conductors of the record
    std::int32_t also = -1;      ///< second conductor in the window, or -1
    std::int32_t sign = 1;       ///< 1 as recorded, -1 reversed
    std::int32_t also_sign = 1;  ///< sense of the second conductor against the first
    Ratio ratio{1, 1};           ///< true over configured
};

/// All wirings that may stand behind one record.
class Hypotheses {
public:
    /// bln_hypotheses_new(). @p kinds: bits BLN_HYPOTHESIS_...; @p ratios: true over configured, 1 alone when empty.
    explicit Hypotheses(const Form& form, std::uint32_t kinds = BLN_HYPOTHESIS_REVERSED,
                        const std::vector<Ratio>& ratios = {})
        : conductors_(bln_form_conductor_count(form.get())) {
        const detail::Ratios list(ratios);
        bln_hypothesis_options options{};
        options.size = sizeof options;
        options.kinds = kinds;
        options.ratio_num = ratios.empty() ? nullptr : list.nums.data();
        options.ratio_den = ratios.empty() ? nullptr : list.dens.data();
        options.ratios = ratios.size();
        handle_ = detail::Handle<bln_hypotheses, bln_hypotheses_free>(
            detail::get<bln_hypotheses*>(bln_hypotheses_new, form.get(), &options));
    }
    /// bln_hypotheses_count().
    std::size_t size() const noexcept { return bln_hypotheses_count(get()); }
    /// bln_hypotheses_at().
    Placement at(std::size_t i, std::size_t element) const {
        Placement p;
        detail::call(bln_hypotheses_at, get(), i, element, &p.on, &p.also, &p.sign, &p.also_sign, &p.ratio.num,
                     &p.ratio.den);
        return p;
    }
    /// bln_hypotheses_reads(): voltages that multiply the conjugate currents, by conductor.
    std::vector<std::complex<double>> reads(std::size_t i, std::size_t element) const {
        detail::Parts z(conductors_);
        detail::call(bln_hypotheses_reads, get(), i, element, z.re.data(), z.im.data());
        return z.list();
    }
    /// bln_hypotheses_words().
    std::string words(std::size_t i) const { return detail::text(bln_hypotheses_words, get(), i); }
    /// bln_hypotheses_form().
    Form form(std::size_t i) const { return Form(detail::get<bln_form*>(bln_hypotheses_form, get(), i)); }
    /// bln_hypotheses_classes(): the class of each; @p count, when wanted: how many classes.
    std::vector<std::uint32_t> classes(std::int32_t sees = BLN_SEES_EACH, std::int32_t over = BLN_OVER_ANY,
                                       std::uint32_t* count = nullptr) const {
        std::vector<std::uint32_t> of(size());
        std::uint32_t n = 0;
        detail::call(bln_hypotheses_classes, get(), sees, over, of.data(), &n);
        if (count != nullptr) *count = n;
        return of;
    }
    /// The handle.
    const bln_hypotheses* get() const noexcept { return handle_.get(); }

private:
    std::size_t conductors_;
    detail::Handle<bln_hypotheses, bln_hypotheses_free> handle_;
};

// ---- policies and findings ---------------------------------------------------------------------

/// Limits and switches of one domain.
class Policy {
public:
    /// bln_policy_new().
    explicit Policy(std::int32_t domain) : handle_(detail::get<bln_policy*>(bln_policy_new, domain)) {}
    /// bln_policy_set().
    void set(Name key, double value) { detail::call(bln_policy_set, handle_.get(), key.c_str(), value); }
    /// bln_policy_get().
    double value(Name key) const { return detail::get<double>(bln_policy_get, get(), key.c_str()); }
    /// bln_policy_read().
    void read(std::string_view json) { detail::call(bln_policy_read, handle_.get(), json.data(), json.size()); }
    /// bln_policy_count(), bln_policy_at().
    static std::vector<bln_policy_info> keys(std::int32_t domain) {
        std::vector<bln_policy_info> out;
        for (std::size_t i = 0; i < bln_policy_count(domain); ++i)
            out.push_back(detail::row<bln_policy_info>(bln_policy_at, domain, i));
        return out;
    }
    /// The handle.
    const bln_policy* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_policy, bln_policy_free> handle_;
};

/// The handle of an optional policy.
inline const bln_policy* get(const Policy* policy) noexcept { return policy != nullptr ? policy->get() : nullptr; }

/// Texts of findings in one language.
class Catalogue {
public:
    /// bln_catalogue_english().
    static std::string english() { return detail::text(bln_catalogue_english); }
    /// bln_catalogue_read().
    static Catalogue read(std::string_view json) {
        return Catalogue(detail::get<bln_catalogue*>(bln_catalogue_read, json.data(), json.size()));
    }
    /// The handle.
    const bln_catalogue* get() const noexcept { return handle_.get(); }

private:
    explicit Catalogue(bln_catalogue* owned) noexcept : handle_(owned) {}
    detail::Handle<bln_catalogue, bln_catalogue_free> handle_;
};

/// A list of findings.
class Report {
public:
    /// Takes over a handle.
    explicit Report(bln_report* owned) noexcept : handle_(owned) {}
    /// bln_report_count().
    std::size_t count() const noexcept { return bln_report_count(get()); }
    /// bln_report_at().
    bln_finding at(std::size_t i) const { return detail::row<bln_finding>(bln_report_at, get(), i); }
    /// Subject @p j of finding @p i: kind and id.
    std::pair<bln_kind, std::string_view> subject(std::size_t i, std::size_t j) const {
        bln_kind kind = 0;
        const char* id = nullptr;
        detail::call(bln_report_subject, get(), i, j, &kind, &id);
        return {kind, id};
    }
    /// bln_report_fact().
    bln_fact fact(std::size_t i, std::size_t j) const { return detail::row<bln_fact>(bln_report_fact, get(), i, j); }
    /// bln_report_identity().
    std::string identity(std::size_t i) const { return detail::text(bln_report_identity, get(), i); }
    /// bln_report_text().
    std::string text(std::size_t i, std::int32_t what, const Catalogue* catalogue = nullptr) const {
        return detail::text(bln_report_text, get(), i, what, catalogue != nullptr ? catalogue->get() : nullptr);
    }
    /// bln_report_json().
    std::string json() const { return detail::text(bln_report_json, get()); }
    /// The handle.
    const bln_report* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_report, bln_report_free> handle_;
};

/// bln_check().
inline Report check(const View& view, const Policy* policy = nullptr, const Progress& progress = {}) {
    return Report(detail::watched<bln_report*>(progress, bln_check, view.get(), get(policy)));
}

// ---- live check --------------------------------------------------------------------------------

/// Readings of channels.
class Readings {
public:
    /// bln_readings_new().
    Readings(const std::vector<std::string>& channels, const bln_readings_columns& columns) {
        const std::vector<const char*> ids = detail::pointers(channels);
        handle_.reset(detail::get<bln_readings*>(bln_readings_new, ids.size(), ids.data(), &columns));
    }
    /// bln_readings_read_csv().
    static Readings read_csv(std::string_view csv, const bln_limits* limits = nullptr) {
        return Readings(detail::get<bln_readings*>(bln_readings_read_csv, csv.data(), csv.size(), limits));
    }
    /// bln_readings_count().
    std::size_t count() const noexcept { return bln_readings_count(get()); }
    /// The handle.
    const bln_readings* get() const noexcept { return handle_.get(); }

private:
    explicit Readings(bln_readings* owned) noexcept : handle_(owned) {}
    detail::Handle<bln_readings, bln_readings_free> handle_;
};

/// Readings against the record.
class Live {
public:
    /// bln_live_check().
    Live(const View& view, const Readings& readings, const Policy* policy = nullptr, const Progress& progress = {})
        : handle_(
              detail::watched<bln_live*>(progress, bln_live_check, view.get(), readings.get(), blondel::get(policy))) {}
    /// bln_live_channel_count().
    std::size_t channel_count() const noexcept { return bln_live_channel_count(get()); }
    /// bln_live_channel_at().
    bln_live_channel channel(std::size_t i) const {
        return detail::row<bln_live_channel>(bln_live_channel_at, get(), i);
    }
    /// bln_live_point_count().
    std::size_t point_count() const noexcept { return bln_live_point_count(get()); }
    /// bln_live_point_at().
    bln_live_point point(std::size_t i) const { return detail::row<bln_live_point>(bln_live_point_at, get(), i); }
    /// bln_live_sum_count().
    std::size_t sum_count() const noexcept { return bln_live_sum_count(get()); }
    /// bln_live_sum_at().
    bln_live_sum sum(std::size_t i) const { return detail::row<bln_live_sum>(bln_live_sum_at, get(), i); }
    /// bln_live_report().
    Report report() const { return Report(detail::get<bln_report*>(bln_live_report, get())); }
    /// The handle.
    const bln_live* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_live, bln_live_free> handle_;
};

// ---- proof -------------------------------------------------------------------------------------

/// Which wirings explain what the points read.
class Proof {
public:
    /// bln_proof_new().
    Proof(const View& view, const Readings& readings, const std::vector<bln_proof_test>& tests = {},
          const Policy* policy = nullptr, const Progress& progress = {})
        : handle_(detail::watched<bln_proof*>(progress, bln_proof_new, view.get(), readings.get(), tests.data(),
                                              tests.size(), blondel::get(policy))) {}
    /// bln_proof_point_count().
    std::size_t point_count() const noexcept { return bln_proof_point_count(get()); }
    /// bln_proof_point_at().
    bln_proof_point point(std::size_t i) const { return detail::row<bln_proof_point>(bln_proof_point_at, get(), i); }
    /// bln_proof_class_at().
    bln_proof_class class_at(std::size_t i, std::size_t k) const {
        return detail::row<bln_proof_class>(bln_proof_class_at, get(), i, k);
    }
    /// One wiring of a class.
    struct Member {
        std::string_view words;      ///< all of it
        std::string_view leads;      ///< what is said of the voltage leads, or empty
        std::size_t placements = 0;  ///< elements that have a placement
    };
    /// bln_proof_member_at().
    Member member(std::size_t i, std::size_t k, std::size_t m) const {
        const char *words = nullptr, *leads = nullptr;
        std::size_t placements = 0;
        detail::call(bln_proof_member_at, get(), i, k, m, &words, &leads, &placements);
        return {words, leads, placements};
    }
    /// bln_proof_placement_at().
    bln_proof_placement placement(std::size_t i, std::size_t k, std::size_t m, std::size_t e) const {
        return detail::row<bln_proof_placement>(bln_proof_placement_at, get(), i, k, m, e);
    }
    /// bln_proof_not_excluded_at().
    std::string_view not_excluded(std::size_t i, std::size_t k) const {
        const char* words = nullptr;
        detail::call(bln_proof_not_excluded_at, get(), i, k, &words);
        return words;
    }
    /// bln_proof_report().
    Report report() const { return Report(detail::get<bln_report*>(bln_proof_report, get())); }
    /// The handle.
    const bln_proof* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_proof, bln_proof_free> handle_;
};

// ---- energy ------------------------------------------------------------------------------------

/// Energy of channels in equal intervals.
class Intervals {
public:
    /// bln_intervals_new().
    Intervals(const bln_interval_rule& rule, const std::vector<std::string>& channels, std::size_t rows,
              const bln_interval_columns& columns) {
        const std::vector<const char*> ids = detail::pointers(channels);
        handle_.reset(detail::get<bln_intervals*>(bln_intervals_new, &rule, ids.data(), ids.size(), rows, &columns));
    }
    /// bln_intervals_read_csv().
    static Intervals read_csv(const bln_interval_rule& rule, std::string_view csv, const bln_limits* limits = nullptr) {
        return Intervals(detail::get<bln_intervals*>(bln_intervals_read_csv, &rule, csv.data(), csv.size(), limits));
    }
    /// bln_intervals_new_registers(). @p registers is the JSON of a register rule.
    static Intervals of_registers(const bln_interval_rule& rule, std::string_view registers,
                                  const std::vector<std::string>& channels, std::size_t rows,
                                  const bln_interval_columns& columns) {
        const std::vector<const char*> ids = detail::pointers(channels);
        return Intervals(detail::get<bln_intervals*>(bln_intervals_new_registers, &rule, registers.data(),
                                                     registers.size(), ids.data(), ids.size(), rows, &columns));
    }
    /// bln_intervals_new_wide(). One column of counts for each channel; @p quality is empty or has as many.
    static Intervals of_wide(const bln_interval_rule& rule, std::int32_t quantity,
                             const std::vector<std::string>& channels, std::size_t rows, const bln_column& at,
                             const std::vector<bln_column>& counts, const std::vector<bln_column>& quality = {}) {
        if (counts.size() != channels.size() || (!quality.empty() && quality.size() != channels.size()))
            throw Error(BLN_E_RANGE, nullptr);
        const std::vector<const char*> ids = detail::pointers(channels);
        return Intervals(detail::get<bln_intervals*>(bln_intervals_new_wide, &rule, quantity, ids.data(), ids.size(),
                                                     rows, &at, counts.data(),
                                                     quality.empty() ? nullptr : quality.data()));
    }
    /// bln_intervals_read_csv_map(). @p map is the JSON of a column map.
    static Intervals read_csv(const bln_interval_rule& rule, std::string_view map, std::string_view csv,
                              const bln_limits* limits) {
        return Intervals(detail::get<bln_intervals*>(bln_intervals_read_csv_map, &rule, map.data(), map.size(),
                                                     csv.data(), csv.size(), limits));
    }
    /// bln_intervals_series().
    void series(std::size_t channel, std::int32_t quantity, const bln_out_column& into, std::size_t room) const {
        detail::call(bln_intervals_series, get(), channel, quantity, &into, room);
    }
    /// bln_intervals_quality().
    void quality(std::size_t channel, std::uint8_t* out, std::size_t room) const {
        detail::call(bln_intervals_quality, get(), channel, out, room);
    }
    /// bln_intervals_arrival().
    bln_interval_arrival arrival(std::size_t channel) const {
        return detail::row<bln_interval_arrival>(bln_intervals_arrival, get(), channel);
    }
    /// bln_intervals_notes().
    std::size_t notes() const noexcept { return bln_intervals_notes(get()); }
    /// bln_intervals_note().
    bln_interval_note note(std::size_t i) const { return detail::row<bln_interval_note>(bln_intervals_note, get(), i); }
    /// bln_intervals_channels().
    std::size_t channels() const noexcept { return bln_intervals_channels(get()); }
    /// bln_intervals_channel().
    std::string_view channel(std::size_t i) const noexcept { return detail::view(bln_intervals_channel(get(), i)); }
    /// bln_intervals_count().
    std::size_t count() const noexcept { return bln_intervals_count(get()); }
    /// bln_intervals_first().
    bln_instant first() const noexcept { return bln_intervals_first(get()); }
    /// The handle.
    const bln_intervals* get() const noexcept { return handle_.get(); }

private:
    friend class IntervalReader;
    explicit Intervals(bln_intervals* owned) noexcept : handle_(owned) {}
    detail::Handle<bln_intervals, bln_intervals_free> handle_;
};

/// CSV that comes in blocks of bytes, cut anywhere.
class IntervalReader {
public:
    /// bln_interval_reader_new().
    IntervalReader(const bln_interval_rule& rule, std::string_view map, bool keep, const bln_limits* limits = nullptr)
        : handle_(detail::get<bln_interval_reader*>(bln_interval_reader_new, &rule, map.data(), map.size(),
                                                    keep ? 1 : 0, limits)) {}
    /// bln_interval_reader_push().
    void push(std::string_view bytes) { detail::call(bln_interval_reader_push, get(), bytes.data(), bytes.size()); }
    /// bln_interval_reader_finish() of a reader that keeps its rows.
    Intervals intervals() { return Intervals(detail::get<bln_intervals*>(bln_interval_reader_finish, get())); }
    /// bln_interval_reader_finish() of a reader that hands its rows out.
    void finish() { detail::call(bln_interval_reader_finish, get(), static_cast<bln_intervals**>(nullptr)); }
    /// bln_interval_reader_take().
    std::size_t take(const bln_interval_rows& into, std::size_t room) {
        return detail::get<std::size_t>(bln_interval_reader_take, get(), &into, room);
    }
    /// bln_interval_reader_channels().
    std::size_t channels() const noexcept { return bln_interval_reader_channels(get()); }
    /// bln_interval_reader_channel().
    std::string_view channel(std::size_t i) const noexcept {
        return detail::view(bln_interval_reader_channel(get(), i));
    }
    /// bln_interval_reader_refused().
    std::uint64_t refused() const noexcept { return bln_interval_reader_refused(get()); }
    /// bln_interval_reader_check(): throws when something was refused.
    void check() const { detail::call(bln_interval_reader_check, get()); }
    /// The handle.
    bln_interval_reader* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_interval_reader, bln_interval_reader_free> handle_;
};

/// Energy of every point and roll-up.
class Statement {
public:
    /// bln_rollup().
    Statement(const Site& site, const Intervals& intervals, bln_instant known = BLN_END_OF_TIME,
              const Policy* policy = nullptr, const Progress& progress = {})
        : handle_(detail::watched<bln_statement*>(progress, bln_rollup, site.get(), known, intervals.get(),
                                                  blondel::get(policy))) {}
    /// bln_rollup_over().
    Statement(const Site& site, const bln_rollup_period& period, const Intervals& intervals,
              const Policy* policy = nullptr, const Progress& progress = {})
        : handle_(detail::watched<bln_statement*>(progress, bln_rollup_over, site.get(), &period, intervals.get(),
                                                  blondel::get(policy))) {}
    /// bln_statement_period().
    bln_rollup_period period() const { return detail::row<bln_rollup_period>(bln_statement_period, get()); }
    /// bln_statement_quality().
    std::uint64_t quality(std::size_t i, std::int32_t code) const {
        return detail::get<std::uint64_t>(bln_statement_quality, get(), i, code);
    }
    /// bln_statement_column().
    void column(std::int32_t what, const bln_out_column& into, std::size_t room) const {
        detail::call(bln_statement_column, get(), what, &into, room);
    }
    /// bln_statement_record_digest().
    std::string record_digest() const { return detail::text(bln_statement_record_digest, get()); }
    /// bln_statement_input_digest().
    std::string input_digest() const { return detail::text(bln_statement_input_digest, get()); }
    /// bln_statement_csv().
    std::string csv() const { return detail::text(bln_statement_csv, get()); }
    /// Watt-hours of one count.
    Ratio quantum() const {
        Ratio out;
        detail::call(bln_statement_quantum, get(), &out.num, &out.den);
        return out;
    }
    /// bln_statement_count().
    std::size_t count() const noexcept { return bln_statement_count(get()); }
    /// bln_statement_at().
    bln_statement_row at(std::size_t i) const { return detail::row<bln_statement_row>(bln_statement_at, get(), i); }
    /// bln_statement_series().
    void series(std::size_t i, std::int32_t what, const bln_out_column& into, std::size_t room) const {
        detail::call(bln_statement_series, get(), i, what, &into, room);
    }
    /// bln_statement_tenures().
    std::size_t tenures() const noexcept { return bln_statement_tenures(get()); }
    /// bln_statement_tenure().
    bln_tenure tenure(std::size_t i) const { return detail::row<bln_tenure>(bln_statement_tenure, get(), i); }
    /// bln_statement_tenures_csv().
    std::string tenures_csv() const { return detail::text(bln_statement_tenures_csv, get()); }
    /// bln_statement_reconciliations().
    std::size_t reconciliations() const noexcept { return bln_statement_reconciliations(get()); }
    /// bln_statement_reconciliation().
    bln_reconciliation reconciliation(std::size_t i) const {
        return detail::row<bln_reconciliation>(bln_statement_reconciliation, get(), i);
    }
    /// bln_statement_suspicions().
    std::size_t suspicions() const noexcept { return bln_statement_suspicions(get()); }
    /// bln_statement_suspicion().
    bln_suspicion suspicion(std::size_t i) const {
        return detail::row<bln_suspicion>(bln_statement_suspicion, get(), i);
    }
    /// bln_statement_report().
    Report report() const { return Report(detail::get<bln_report*>(bln_statement_report, get())); }
    /// bln_statement_json().
    std::string json() const { return detail::text(bln_statement_json, get()); }
    /// The handle.
    const bln_statement* get() const noexcept { return handle_.get(); }

private:
    friend class RollupStream;
    explicit Statement(bln_statement* owned) noexcept : handle_(owned) {}
    detail::Handle<bln_statement, bln_statement_free> handle_;
};

/// A roll-up of intervals that come in blocks.
class RollupStream {
public:
    /// bln_rollup_stream_new().
    RollupStream(const Site& site, const bln_rollup_period& period, const bln_interval_rule& rule, bln_instant first,
                 const std::vector<std::string>& channels, std::uint32_t flags = 0, const Policy* policy = nullptr) {
        const std::vector<const char*> ids = detail::pointers(channels);
        handle_.reset(detail::get<bln_rollup_stream*>(bln_rollup_stream_new, site.get(), &period, &rule, first,
                                                      ids.data(), ids.size(), flags, blondel::get(policy)));
    }
    /// bln_rollup_stream_intervals().
    std::size_t intervals() const noexcept { return bln_rollup_stream_intervals(get()); }
    /// bln_rollup_stream_done().
    std::size_t done() const noexcept { return bln_rollup_stream_done(get()); }
    /// bln_rollup_stream_rows().
    std::size_t rows() const noexcept { return bln_rollup_stream_rows(get()); }
    /// bln_rollup_stream_row().
    std::string_view row(std::size_t i) const noexcept { return detail::view(bln_rollup_stream_row(get(), i)); }
    /// bln_rollup_stream_push().
    void push(const bln_rollup_block& block, const bln_rollup_rows* rows = nullptr) {
        detail::call(bln_rollup_stream_push, handle_.get(), &block, rows);
    }
    /// bln_rollup_stream_finish().
    Statement finish() const { return Statement(detail::get<bln_statement*>(bln_rollup_stream_finish, get())); }
    /// The handle.
    const bln_rollup_stream* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_rollup_stream, bln_rollup_stream_free> handle_;
};

// ---- calendars, demand, apportionment -------------------------------------------------------------

/// Rules of one time zone.
class Zone {
public:
    /// bln_zone_read().
    Zone(const std::string& name, std::string_view tzif, const std::string& version)
        : handle_(detail::get<bln_zone*>(bln_zone_read, name.c_str(), static_cast<const void*>(tzif.data()),
                                         tzif.size(), version.c_str())) {}
    /// bln_zone_name().
    std::string_view name() const noexcept { return bln_zone_name(get()); }
    /// bln_zone_version().
    std::string_view version() const noexcept { return bln_zone_version(get()); }
    /// bln_zone_digest().
    std::string_view digest() const noexcept { return bln_zone_digest(get()); }
    /// bln_zone_matches(): throws unless the record names this zone.
    void check(const Site& site) const { detail::call(bln_zone_matches, get(), site.get()); }
    /// bln_zone_local().
    bln_local local(bln_instant at) const { return detail::row<bln_local>(bln_zone_local, get(), at); }
    /// bln_zone_moments().
    bln_moments moments(const std::string& local) const {
        return detail::row<bln_moments>(bln_zone_moments, get(), local.c_str());
    }
    /// bln_zone_period(): [first, second).
    std::pair<bln_instant, bln_instant> period(std::int32_t period, const std::string& date) const {
        std::pair<bln_instant, bln_instant> out;
        detail::call(bln_zone_period, get(), period, date.c_str(), &out.first, &out.second);
        return out;
    }
    /// The handle.
    const bln_zone* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_zone, bln_zone_free> handle_;
};

/// Energy divided among the bins of a time-of-use table.
class Bins {
public:
    /// bln_bins_count().
    std::size_t count() const noexcept { return bln_bins_count(get()); }
    /// bln_bins_at().
    bln_bin_row at(std::size_t i) const { return detail::row<bln_bin_row>(bln_bins_at, get(), i); }
    /// bln_bins_total().
    std::int64_t total() const noexcept { return bln_bins_total(get()); }
    /// bln_bins_json().
    std::string json() const { return detail::text(bln_bins_json, get()); }
    /// The handle.
    const bln_bins* get() const noexcept { return handle_.get(); }

private:
    friend class TimeOfUse;
    explicit Bins(bln_bins* owned) noexcept : handle_(owned) {}
    detail::Handle<bln_bins, bln_bins_free> handle_;
};

/// A time-of-use table.
class TimeOfUse {
public:
    /// bln_tou_read().
    explicit TimeOfUse(std::string_view json, const bln_limits* limits = nullptr)
        : handle_(detail::get<bln_tou*>(bln_tou_read, json.data(), json.size(), limits)) {}
    /// bln_tou_bins().
    std::size_t bins() const noexcept { return bln_tou_bins(get()); }
    /// bln_tou_bin().
    std::string_view bin(std::size_t i) const noexcept { return detail::view(bln_tou_bin(get(), i)); }
    /// bln_tou_at().
    std::size_t at(const std::string& local) const {
        return detail::get<std::size_t>(bln_tou_at, get(), local.c_str());
    }
    /// bln_tou_divide().
    Bins divide(const Zone& zone, const bln_equal_series& series, std::int32_t straddle = BLN_STRADDLE_REFUSE) const {
        return Bins(detail::get<bln_bins*>(bln_tou_divide, get(), zone.get(), &series, straddle));
    }
    /// The handle.
    const bln_tou* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_tou, bln_tou_free> handle_;
};

/// Demand of one series.
class Demand {
public:
    /// bln_demand_new(); no zone: the grid begins at midnight UTC.
    Demand(const bln_demand_rule& rule, const bln_equal_series& series, const Zone* zone = nullptr)
        : handle_(detail::get<bln_demand*>(bln_demand_new, &rule, zone == nullptr ? nullptr : zone->get(), &series)) {}
    /// bln_demand_count().
    std::size_t count() const noexcept { return bln_demand_count(get()); }
    /// bln_demand_at().
    bln_demand_window at(std::size_t i) const { return detail::row<bln_demand_window>(bln_demand_at, get(), i); }
    /// bln_demand_find(): -1 when no window begins there.
    std::int64_t find(bln_instant from) const noexcept { return bln_demand_find(get(), from); }
    /// bln_demand_scale(): watts of one count.
    Ratio scale() const {
        Ratio out;
        detail::call(bln_demand_scale, get(), &out.num, &out.den);
        return out;
    }
    /// bln_demand_peak().
    bln_peak peak(std::int32_t kind, bln_instant from = BLN_BEGIN_OF_TIME, bln_instant to = BLN_END_OF_TIME) const {
        return detail::row<bln_peak>(bln_demand_peak, get(), kind, from, to);
    }
    /// bln_demand_peak_in_bin().
    bln_peak peak_in_bin(std::int32_t kind, const TimeOfUse& table, const Zone& zone, std::size_t bin,
                         bln_instant from = BLN_BEGIN_OF_TIME, bln_instant to = BLN_END_OF_TIME) const {
        return detail::row<bln_peak>(bln_demand_peak_in_bin, get(), kind, from, to, table.get(), zone.get(), bin);
    }
    /// bln_demand_json().
    std::string json(bln_instant from = BLN_BEGIN_OF_TIME, bln_instant to = BLN_END_OF_TIME) const {
        return detail::text(bln_demand_json, get(), from, to);
    }
    /// The handle.
    const bln_demand* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_demand, bln_demand_free> handle_;
};

/// A division of a whole among parties.
class Apportionment {
public:
    /// bln_apportion().
    Apportionment(const bln_share_rule& rule, const std::vector<bln_share_key>& keys, const Site* site = nullptr,
                  bln_instant known = BLN_END_OF_TIME)
        : handle_(detail::get<bln_apportionment*>(bln_apportion, &rule, site == nullptr ? nullptr : site->get(), known,
                                                  keys.data(), keys.size())) {}
    /// bln_apportionment_count().
    std::size_t count() const noexcept { return bln_apportionment_count(get()); }
    /// bln_apportionment_at().
    bln_share_part at(std::size_t i) const { return detail::row<bln_share_part>(bln_apportionment_at, get(), i); }
    /// bln_apportionment_steps().
    std::size_t steps() const noexcept { return bln_apportionment_steps(get()); }
    /// bln_apportionment_step().
    bln_share_step step(std::size_t i) const { return detail::row<bln_share_step>(bln_apportionment_step, get(), i); }
    /// bln_apportionment_words().
    std::string words() const { return detail::text(bln_apportionment_words, get()); }
    /// bln_apportionment_json().
    std::string json() const { return detail::text(bln_apportionment_json, get()); }
    /// The handle.
    const bln_apportionment* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_apportionment, bln_apportionment_free> handle_;
};
// ---- uncertainty -----------------------------------------------------------------------------------

/// bln_accuracy_class_count(), bln_accuracy_class_at().
inline std::vector<bln_accuracy_class> accuracy_classes() {
    std::vector<bln_accuracy_class> out;
    for (std::size_t i = 0; i < bln_accuracy_class_count(); ++i)
        out.push_back(detail::row<bln_accuracy_class>(bln_accuracy_class_at, i));
    return out;
}
/// bln_accuracy_limit().
inline bln_accuracy_limits accuracy_limit(std::int32_t of, Name name, double percent, double angle_degrees) {
    return detail::row<bln_accuracy_limits>(bln_accuracy_limit, of, name.c_str(), percent, angle_degrees);
}
/// bln_power_error().
inline bln_power_errors power_error(double watts, double vars, const bln_element_errors& errors) {
    return detail::row<bln_power_errors>(bln_power_error, watts, vars, &errors);
}
/// bln_power_uncertainty().
inline bln_power_uncertainty_result power_uncertainty(double watts, double vars, const bln_accuracy_limits* ct,
                                                      const bln_accuracy_limits* meter) {
    return detail::row<bln_power_uncertainty_result>(bln_power_uncertainty, watts, vars, ct, meter);
}
/// bln_uncertainty_combine().
inline bln_uncertain uncertainty_combine(std::size_t n, const double* coefficient, const double* value,
                                         const double* random, const double* shared, const std::uint32_t* group) {
    return detail::row<bln_uncertain>(bln_uncertainty_combine, n, coefficient, value, random, shared, group);
}
/// bln_uncertainty_propagate().
inline double uncertainty_propagate(std::size_t n, const double* sensitivity, const double* uncertainty,
                                    const double* correlation = nullptr) {
    return detail::get<double>(bln_uncertainty_propagate, n, sensitivity, uncertainty, correlation);
}
/// bln_point_uncertainty().
inline bln_point_uncertainty_result point_uncertainty(const View& view, Name point, std::size_t n, const double* watts,
                                                      const double* vars, const double* amps) {
    return detail::row<bln_point_uncertainty_result>(bln_point_uncertainty, view.get(), point.c_str(), n, watts, vars,
                                                     amps);
}
/// bln_rollup_uncertainty().
inline bln_sum_uncertainty rollup_uncertainty(const View& view, Name rollup, const bln_sum_assumption& assumption,
                                              std::size_t n, const char* const* points, const double* energies) {
    return detail::row<bln_sum_uncertainty>(bln_rollup_uncertainty, view.get(), rollup.c_str(), &assumption, n, points,
                                            energies);
}

// ---- references -----------------------------------------------------------------------------------

/// bln_phase_sequence(): BLN_SEQUENCE_...; the magnitudes of the components where wanted.
inline std::int32_t phase_sequence(const double* re, const double* im, double* positive = nullptr,
                                   double* negative = nullptr) {
    std::int32_t out = 0;
    detail::call(bln_phase_sequence, re, im, &out, positive, negative);
    return out;
}
/// bln_phase_sequence_indicator().
inline std::int32_t phase_sequence_indicator(double volts_b, double volts_c) {
    return detail::get<std::int32_t>(bln_phase_sequence_indicator, volts_b, volts_c);
}
/// bln_references_recognise().
inline std::string references_recognise(const Arrangement& arrangement, double volts,
                                        const bln_terminal_voltages& measured, double tolerance) {
    return detail::text(bln_references_recognise, arrangement.get(), volts, &measured, tolerance);
}
/// bln_references_cross().
inline std::string references_cross(double volts, Name rotation, const double* measured, double tolerance) {
    return detail::text(bln_references_cross, volts, rotation.c_str(), measured, tolerance);
}

/// Names, units and scopes of all quantities.
inline std::vector<bln_quantity_info> quantities() {
    std::vector<bln_quantity_info> out(bln_quantity_count());
    for (std::size_t i = 0; i < out.size(); ++i) out[i] = detail::row<bln_quantity_info>(bln_quantity_at, i);
    return out;
}
/// Values and reasons, row after row; one item of each for every quantity that was asked for.
struct Quantities {
    std::vector<double> values;     ///< 0 where there is none
    std::vector<std::uint8_t> why;  ///< BLN_DEFINED or BLN_UNDEFINED_...
    /// Room for @p items.
    explicit Quantities(std::size_t items) : values(items), why(items) {}
};
/// bln_quantities_of_spectrum().
inline Quantities quantities_of_spectrum(const bln_spectrum& spectrum, const std::vector<bln_quantity>& wanted) {
    Quantities out(wanted.size());
    detail::call(bln_quantities_of_spectrum, &spectrum, wanted.data(), wanted.size(), out.values.data(),
                 out.why.data());
    return out;
}
/// bln_quantities_of_three_spectra(); @p phases are three.
inline Quantities quantities_of_three_spectra(const bln_spectrum* phases, std::int32_t wires,
                                              const std::vector<bln_quantity>& wanted) {
    Quantities out(wanted.size());
    detail::call(bln_quantities_of_three_spectra, phases, wires, wanted.data(), wanted.size(), out.values.data(),
                 out.why.data());
    return out;
}
/// bln_quantities_of_phasors().
inline Quantities quantities_of_phasors(const bln_phasor_columns& columns, std::size_t rows, std::int32_t phases,
                                        std::int32_t wires, const std::vector<bln_quantity>& wanted) {
    Quantities out(rows * wanted.size());
    detail::call(bln_quantities_of_phasors, &columns, rows, phases, wires, wanted.data(), wanted.size(),
                 out.values.data(), out.why.data());
    return out;
}
/// bln_power_of_snapshots(); outputs may be NULL.
inline void power_of_snapshots(std::size_t rows, const bln_column* v, const bln_column* i, const bln_out_column* p,
                               const bln_out_column* q, const bln_out_column* s) {
    detail::call(bln_power_of_snapshots, rows, v, i, p, q, s);
}
/// bln_unbalance_of_lines(): deviation from the mean, and negative over positive sequence.
inline std::pair<double, double> unbalance_of_lines(double v_ab, double v_bc, double v_ca) {
    std::pair<double, double> out;
    detail::call(bln_unbalance_of_lines, v_ab, v_bc, v_ca, &out.first, &out.second);
    return out;
}
/// Energy of one point; see bln_import_export().
struct ImportExport {
    double import_wh = 0;    ///< Wh
    double export_wh = 0;    ///< Wh
    std::int32_t right = 0;  ///< 0: the policy is a wrong one
};
/// bln_import_export().
inline ImportExport import_export(const std::vector<bln_column>& watts, std::size_t rows, double hours,
                                  std::int32_t policy = BLN_REGISTER_NET_THEN_SPLIT) {
    ImportExport out;
    detail::call(bln_import_export, watts.data(), watts.size(), rows, hours, policy, &out.right, &out.import_wh,
                 &out.export_wh);
    return out;
}

/// A stream of sampled waveforms.
class Wave {
public:
    /// bln_wave_new().
    explicit Wave(const bln_wave_plan& plan) : handle_(detail::get<bln_wave*>(bln_wave_new, &plan)) {}
    /// bln_wave_push(): samples taken, and whether a window is complete.
    std::pair<std::size_t, bool> push(const std::vector<bln_column>& samples, std::size_t first, std::size_t n) {
        std::size_t taken = 0;
        std::int32_t ready = 0;
        detail::call(bln_wave_push, handle_.get(), samples.data(), samples.size(), first, n, &taken, &ready);
        return {taken, ready != 0};
    }
    /// bln_wave_finish(): whether there is a last window, and the samples in none.
    std::pair<bool, double> finish() {
        std::int32_t ready = 0;
        double remainder = 0;
        detail::call(bln_wave_finish, handle_.get(), &ready, &remainder);
        return {ready != 0, remainder};
    }
    /// bln_wave_window_at().
    bln_wave_window window() const { return detail::row<bln_wave_window>(bln_wave_window_at, get()); }
    /// bln_wave_channels().
    Quantities channels(std::size_t first, std::size_t n, const std::vector<bln_quantity>& wanted) const {
        Quantities out(n * wanted.size());
        detail::call(bln_wave_channels, get(), first, n, wanted.data(), wanted.size(), out.values.data(),
                     out.why.data());
        return out;
    }
    /// bln_wave_groups().
    Quantities groups(std::size_t first, std::size_t n, const std::vector<bln_quantity>& wanted) const {
        Quantities out(n * wanted.size());
        detail::call(bln_wave_groups, get(), first, n, wanted.data(), wanted.size(), out.values.data(), out.why.data());
        return out;
    }
    /// bln_wave_spectrum(): real and imaginary parts.
    std::pair<std::vector<double>, std::vector<double>> spectrum(std::size_t signal) const {
        std::vector<double> re(window().highest_order + 1U), im(re.size());
        detail::call(bln_wave_spectrum, get(), signal, re.data(), im.data(), re.size());
        return {re, im};
    }
    /// The handle.
    const bln_wave* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_wave, bln_wave_free> handle_;
};

// ---- plan ----------------------------------------------------------------------------------------

/// An allocation of circuits to inputs of devices, or the constraints that prevent one.
class Plan {
public:
    /// bln_plan_new().
    explicit Plan(const View& view, std::string_view request = "{}")
        : handle_(detail::get<bln_plan*>(bln_plan_new, view.get(), request.data(), request.size())) {}
    /// bln_plan_about().
    bln_plan_info about() const { return detail::row<bln_plan_info>(bln_plan_about, get()); }
    /// bln_plan_count().
    std::size_t count() const noexcept { return bln_plan_count(get()); }
    /// bln_plan_at().
    bln_plan_row at(std::size_t i) const { return detail::row<bln_plan_row>(bln_plan_at, get(), i); }
    /// bln_plan_devices().
    std::size_t devices() const noexcept { return bln_plan_devices(get()); }
    /// bln_plan_device_at().
    bln_plan_device device(std::size_t i) const { return detail::row<bln_plan_device>(bln_plan_device_at, get(), i); }
    /// bln_plan_conflicts().
    std::size_t conflicts() const noexcept { return bln_plan_conflicts(get()); }
    /// bln_plan_conflict_at().
    bln_plan_conflict conflict(std::size_t i) const {
        return detail::row<bln_plan_conflict>(bln_plan_conflict_at, get(), i);
    }
    /// bln_plan_text().
    std::string text() const { return detail::text(bln_plan_text, get()); }
    /// bln_plan_json().
    std::string json() const { return detail::text(bln_plan_json, get()); }
    /// bln_plan_patch().
    std::string patch() const { return detail::text(bln_plan_patch, get()); }
    /// bln_plan_draft().
    Draft draft() const { return Draft(detail::get<bln_draft*>(bln_plan_draft, get())); }
    /// The handle.
    const bln_plan* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_plan, bln_plan_free> handle_;
};

/// bln_plan_sheet().
inline std::string plan_sheet(const View& view, std::int32_t form, std::string_view options = "{}") {
    return detail::text(bln_plan_sheet, view.get(), options.data(), options.size(), form);
}
/// bln_schedule_read_csv(); an empty map is none.
inline Draft schedule_read_csv(std::string_view map, std::string_view csv, const bln_limits* limits = nullptr) {
    return Draft(detail::get<bln_draft*>(bln_schedule_read_csv, map.empty() ? nullptr : map.data(), map.size(),
                                         csv.data(), csv.size(), limits));
}

// ---- expected readings -------------------------------------------------------------------------

/// What every channel should read.
class Expect {
public:
    /// bln_expect_new().
    explicit Expect(const View& view, const Policy* policy = nullptr)
        : handle_(detail::get<bln_expect*>(bln_expect_new, view.get(), blondel::get(policy))) {}
    /// bln_expect_count().
    std::size_t count() const noexcept { return bln_expect_count(get()); }
    /// bln_expect_at().
    bln_expect_row at(std::size_t i) const { return detail::row<bln_expect_row>(bln_expect_at, get(), i); }
    /// bln_expect_text().
    std::string text() const { return detail::text(bln_expect_text, get()); }
    /// bln_expect_csv().
    std::string csv() const { return detail::text(bln_expect_csv, get()); }
    /// The handle.
    const bln_expect* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_expect, bln_expect_free> handle_;
};

// ---- voltmeter phase test ------------------------------------------------------------------------

/// Phases of conductors, from voltages.
class PhaseTest {
public:
    /// bln_phase_test_new(). @p service empty: the only one.
    PhaseTest(const View& view, const std::string& service, const std::vector<std::string>& conductors,
              const std::vector<std::string>& references, const bln_column& volts, const Policy* policy = nullptr) {
        const std::vector<const char*> from = detail::pointers(conductors), to = detail::pointers(references);
        handle_.reset(detail::get<bln_phase_test*>(bln_phase_test_new, view.get(), named(service), from.size(),
                                                   from.data(), to.data(), &volts, blondel::get(policy)));
    }
    /// bln_phase_test_read_csv().
    static PhaseTest read_csv(const View& view, const std::string& service, std::string_view csv,
                              const bln_limits* limits = nullptr, const Policy* policy = nullptr) {
        return PhaseTest(detail::get<bln_phase_test*>(bln_phase_test_read_csv, view.get(), named(service), csv.data(),
                                                      csv.size(), limits, blondel::get(policy)));
    }
    /// bln_phase_test_sheet().
    static std::string sheet(const View& view, Name panel) {
        return detail::text(bln_phase_test_sheet, view.get(), panel.c_str());
    }
    /// bln_phase_test_count().
    std::size_t count() const noexcept { return bln_phase_test_count(get()); }
    /// bln_phase_test_at().
    bln_phase_row at(std::size_t i) const { return detail::row<bln_phase_row>(bln_phase_test_at, get(), i); }
    /// bln_phase_test_panel_count().
    std::size_t panel_count() const noexcept { return bln_phase_test_panel_count(get()); }
    /// bln_phase_test_panel_at().
    bln_phase_panel panel(std::size_t i) const {
        return detail::row<bln_phase_panel>(bln_phase_test_panel_at, get(), i);
    }
    /// bln_phase_test_report().
    Report report() const { return Report(detail::get<bln_report*>(bln_phase_test_report, get())); }
    /// bln_phase_test_text().
    std::string text() const { return detail::text(bln_phase_test_text, get()); }
    /// The handle.
    const bln_phase_test* get() const noexcept { return handle_.get(); }

private:
    explicit PhaseTest(bln_phase_test* owned) noexcept : handle_(owned) {}
    static const char* named(const std::string& id) { return id.empty() ? nullptr : id.c_str(); }
    detail::Handle<bln_phase_test, bln_phase_test_free> handle_;
};

// ---- tracing ---------------------------------------------------------------------------------------

/// What readings before and during the steps of a plan say.
class TraceResult {
public:
    /// Takes over a handle.
    explicit TraceResult(bln_trace_result* owned) noexcept : handle_(owned) {}
    /// bln_trace_result_count().
    std::size_t count() const noexcept { return bln_trace_result_count(get()); }
    /// bln_trace_result_at().
    bln_trace_row at(std::size_t i) const { return detail::row<bln_trace_row>(bln_trace_result_at, get(), i); }
    /// bln_trace_result_report().
    Report report() const { return Report(detail::get<bln_report*>(bln_trace_result_report, get())); }
    /// bln_trace_result_text().
    std::string text() const { return detail::text(bln_trace_result_text, get()); }
    /// The handle.
    const bln_trace_result* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_trace_result, bln_trace_result_free> handle_;
};

/// A plan of switching steps.
class Trace {
public:
    /// bln_trace_new(). @p poles and @p rules may be empty.
    explicit Trace(const std::vector<std::string>& ids, const std::vector<std::int32_t>& poles = {},
                   const std::vector<std::int32_t>& rules = {}, const bln_trace_options* options = nullptr) {
        const std::vector<const char*> names = detail::pointers(ids);
        handle_.reset(detail::get<bln_trace*>(bln_trace_new, names.size(), names.data(),
                                              poles.empty() ? nullptr : poles.data(),
                                              rules.empty() ? nullptr : rules.data(), options));
    }
    /// bln_trace_of_view(). @p panel empty: all panels.
    static Trace of_view(const View& view, const std::string& panel = {}, const bln_trace_options* options = nullptr) {
        return Trace(detail::get<bln_trace*>(bln_trace_of_view, view.get(), panel.empty() ? nullptr : panel.c_str(),
                                             options));
    }
    /// bln_trace_about().
    bln_trace_info about() const { return detail::row<bln_trace_info>(bln_trace_about, get()); }
    /// bln_trace_count().
    std::size_t count() const noexcept { return bln_trace_count(get()); }
    /// bln_trace_at().
    bln_trace_breaker at(std::size_t i) const { return detail::row<bln_trace_breaker>(bln_trace_at, get(), i); }
    /// bln_trace_json().
    std::string json() const { return detail::text(bln_trace_json, get()); }
    /// bln_trace_text().
    std::string text() const { return detail::text(bln_trace_text, get()); }
    /// bln_trace_decode(). @p view may be null.
    TraceResult decode(const View* view, const std::vector<std::string>& channels, const bln_trace_columns& columns,
                       const Policy* policy = nullptr) const {
        const std::vector<const char*> ids = detail::pointers(channels);
        return TraceResult(detail::get<bln_trace_result*>(bln_trace_decode, get(),
                                                          view != nullptr ? view->get() : nullptr, ids.size(),
                                                          ids.data(), &columns, blondel::get(policy)));
    }
    /// bln_trace_decode_csv(). @p view may be null.
    TraceResult decode_csv(const View* view, std::string_view csv, const bln_limits* limits = nullptr,
                           const Policy* policy = nullptr) const {
        return TraceResult(detail::get<bln_trace_result*>(bln_trace_decode_csv, get(),
                                                          view != nullptr ? view->get() : nullptr, csv.data(),
                                                          csv.size(), limits, blondel::get(policy)));
    }
    /// bln_trace_natural(): events as circuit and sample.
    static std::string natural(const std::vector<std::string>& channels, std::size_t samples,
                               const std::vector<bln_column>& amps,
                               const std::vector<std::pair<std::string, std::uint64_t>>& events = {},
                               const Policy* policy = nullptr) {
        const std::vector<const char*> ids = detail::pointers(channels);
        std::vector<const char*> circuits;
        std::vector<std::uint64_t> at;
        for (const auto& [circuit, sample] : events) {
            circuits.push_back(circuit.c_str());
            at.push_back(sample);
        }
        return detail::text(bln_trace_natural, ids.size(), ids.data(), samples, amps.data(), at.size(), circuits.data(),
                            at.data(), blondel::get(policy));
    }
    /// The handle.
    const bln_trace* get() const noexcept { return handle_.get(); }

private:
    explicit Trace(bln_trace* owned) noexcept : handle_(owned) {}
    detail::Handle<bln_trace, bln_trace_free> handle_;
};

// ---- limits of standards ---------------------------------------------------------------------------

/// bln_limit_count(), bln_limit_at().
inline std::vector<bln_limit> limits() {
    std::vector<bln_limit> out;
    for (std::size_t i = 0; i < bln_limit_count(); ++i) out.push_back(detail::row<bln_limit>(bln_limit_at, i));
    return out;
}
/// bln_limit_find().
inline bln_limit limit(Name key) { return detail::row<bln_limit>(bln_limit_find, key.c_str()); }
/// bln_copper_resistance(): ohms per metre.
inline double copper_resistance(double mm2, double celsius = 20) {
    return detail::get<double>(bln_copper_resistance, mm2, celsius);
}
/// bln_gauge_area(): mm2.
inline double gauge_area(Name gauge) { return detail::get<double>(bln_gauge_area, gauge.c_str()); }

// ---- checking while editing ------------------------------------------------------------------------

/// Findings of two states of a record, compared by identity.
struct Changes {
    Report appeared;  ///< not there before
    Report gone;      ///< no longer there
    Report changed;   ///< the same finding with other facts, severity or waiver
};
/// bln_report_compare().
inline Changes compare(const Report& before, const Report& after) {
    bln_report *appeared = nullptr, *gone = nullptr, *changed = nullptr;
    detail::call(bln_report_compare, before.get(), after.get(), &appeared, &gone, &changed);
    return {Report(appeared), Report(gone), Report(changed)};
}

/// A check that follows the edits of a draft.
class Recheck {
public:
    /// bln_recheck_new().
    explicit Recheck(Draft& draft, bln_instant valid = BLN_END_OF_TIME, bln_instant known = BLN_END_OF_TIME,
                     const Policy* policy = nullptr)
        : handle_(detail::get<bln_recheck*>(bln_recheck_new, draft.get(), valid, known,
                                            policy != nullptr ? policy->get() : nullptr, nullptr, nullptr)) {}
    /// bln_recheck_update().
    Changes update(Draft& draft) {
        bln_report *appeared = nullptr, *gone = nullptr, *changed = nullptr;
        detail::call(bln_recheck_update, handle_.get(), draft.get(), nullptr, nullptr, &appeared, &gone, &changed);
        return {Report(appeared), Report(gone), Report(changed)};
    }
    /// bln_recheck_report().
    Report report() const { return Report(detail::get<bln_report*>(bln_recheck_report, get())); }
    /// bln_recheck_reached().
    std::uint64_t reached() const noexcept { return bln_recheck_reached(get()); }
    /// The handle.
    const bln_recheck* get() const noexcept { return handle_.get(); }

private:
    detail::Handle<bln_recheck, bln_recheck_free> handle_;
};

}  // namespace blondel

#endif
