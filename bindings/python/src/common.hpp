// What every part of the binding needs: handles, failed calls, texts, progress.
#pragma once

#include <pybind11/complex.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include <cstdint>
#include <exception>
#include <string>
#include <string_view>
#include <utility>

#include "blondel/blondel.h"

namespace py = pybind11;

namespace binding {

/// Owns one C handle. Freeing is allowed from any thread, with or without the GIL.
template <class T, void (*Free)(T*)>
class Handle {
public:
    Handle() = default;
    Handle(Handle&& other) noexcept : handle_(std::exchange(other.handle_, nullptr)) {}
    Handle& operator=(Handle&& other) noexcept {
        std::swap(handle_, other.handle_);
        return *this;
    }
    Handle(const Handle&) = delete;
    Handle& operator=(const Handle&) = delete;
    ~Handle() { Free(handle_); }
    [[nodiscard]] T* get() const noexcept { return handle_; }
    /// Where the C function that makes the object puts it.
    [[nodiscard]] T** out() noexcept { return &handle_; }

private:
    T* handle_ = nullptr;
};

inline void free_text(bln_text* t) { bln_text_free(t); }
inline void free_draft(bln_draft* d) { bln_draft_free(d); }
inline void free_site(bln_site* s) { bln_site_free(s); }
inline void free_view(bln_view* v) { bln_view_free(v); }
inline void free_policy(bln_policy* p) { bln_policy_free(p); }
inline void free_report(bln_report* r) { bln_report_free(r); }
inline void free_catalogue(bln_catalogue* c) { bln_catalogue_free(c); }
inline void free_readings(bln_readings* r) { bln_readings_free(r); }
inline void free_live(bln_live* l) { bln_live_free(l); }
inline void free_proof(bln_proof* p) { bln_proof_free(p); }
inline void free_intervals(bln_intervals* i) { bln_intervals_free(i); }
inline void free_statement(bln_statement* s) { bln_statement_free(s); }
inline void free_stream(bln_rollup_stream* s) { bln_rollup_stream_free(s); }
inline void free_arrangement(bln_arrangement* a) { bln_arrangement_free(a); }
inline void free_form(bln_form* f) { bln_form_free(f); }
inline void free_zone(bln_zone* z) { bln_zone_free(z); }
inline void free_tou(bln_tou* t) { bln_tou_free(t); }
inline void free_bins(bln_bins* b) { bln_bins_free(b); }
inline void free_demand(bln_demand* d) { bln_demand_free(d); }
inline void free_apportionment(bln_apportionment* a) { bln_apportionment_free(a); }
inline void free_hypotheses(bln_hypotheses* h) { bln_hypotheses_free(h); }
inline void free_plan(bln_plan* p) { bln_plan_free(p); }
using Plan = Handle<bln_plan, free_plan>;
using Text = Handle<bln_text, free_text>;
using Draft = Handle<bln_draft, free_draft>;
using Site = Handle<bln_site, free_site>;
using View = Handle<bln_view, free_view>;
using Policy = Handle<bln_policy, free_policy>;
using Report = Handle<bln_report, free_report>;
using Catalogue = Handle<bln_catalogue, free_catalogue>;
using Arrangement = Handle<bln_arrangement, free_arrangement>;
using Form = Handle<bln_form, free_form>;
using Hypotheses = Handle<bln_hypotheses, free_hypotheses>;
using Readings = Handle<bln_readings, free_readings>;
using Live = Handle<bln_live, free_live>;
using Proof = Handle<bln_proof, free_proof>;
using Intervals = Handle<bln_intervals, free_intervals>;
using Statement = Handle<bln_statement, free_statement>;
using Stream = Handle<bln_rollup_stream, free_stream>;
using Zone = Handle<bln_zone, free_zone>;
using TimeOfUse = Handle<bln_tou, free_tou>;
using Bins = Handle<bln_bins, free_bins>;
using Demand = Handle<bln_demand, free_demand>;
using Apportionment = Handle<bln_apportionment, free_apportionment>;

/// Raises the Python exception of a failed call and frees the error object.
[[noreturn]] void raise(bln_status status, bln_error* err);
/// Raises the exception of a status for something the binding itself refuses.
[[noreturn]] void refuse(bln_status status, const std::string& message, const std::string& subject = {},
                         const std::string& pointer = {});

/// Runs `f(bln_error**)` and raises when it fails.
template <class F>
void call(F&& f) {
    bln_error* err = nullptr;
    const bln_status status = f(&err);
    if (status != BLN_OK) raise(status, err);
}

/// The same without the GIL: for calls that may take long and touch no Python object.
template <class F>
void call_unlocked(F&& f) {
    bln_error* err = nullptr;
    bln_status status = BLN_OK;
    {
        const py::gil_scoped_release unlocked;
        status = f(&err);
    }
    if (status != BLN_OK) raise(status, err);
}

inline py::str to_str(const char* text) { return py::str(text == nullptr ? "" : text); }
inline py::str to_str(const Text& text) { return py::str(bln_text_data(text.get()), bln_text_size(text.get())); }

/// A text that `f(bln_text**, bln_error**)` composes.
template <class F>
py::str text_from(F&& f) {
    Text text;
    call([&](bln_error** err) { return f(text.out(), err); });
    return to_str(text);
}

/// NUL-terminated UTF-8 of a Python text. A U+0000 inside would cut it short, so it is refused.
class CText {
public:
    explicit CText(const py::handle& value, const char* what);
    [[nodiscard]] const char* get() const noexcept { return text_.c_str(); }

private:
    std::string text_;
};

/// Bytes of a str, or of an object with a contiguous byte buffer; keeps it alive and unmoved.
class Bytes {
public:
    explicit Bytes(const py::object& source);
    ~Bytes();
    Bytes(const Bytes&) = delete;
    Bytes& operator=(const Bytes&) = delete;
    [[nodiscard]] const char* data() const noexcept { return data_; }
    [[nodiscard]] std::size_t size() const noexcept { return size_; }

private:
    py::object source_;
    Py_buffer buffer_{};
    bool held_ = false;
    const char* data_ = "";
    std::size_t size_ = 0;
};

/// A Python int (or what has __index__) in 64 bits; bool is refused.
std::int64_t to_int64(const py::handle& value, const char* what);
/// Numerator and denominator of an int or Fraction; float is refused: it is not exact.
std::pair<std::int64_t, std::int64_t> to_ratio(const py::handle& value, const char* what);
py::object to_fraction(std::int64_t num, std::int64_t den);
/// Microseconds of an aware datetime or an int; None is @p absent.
bln_instant to_instant(const py::handle& value, bln_instant absent, const char* what);
/// Aware datetime in UTC; None for both ends of time; an int where datetime cannot hold it.
py::object from_instant(bln_instant at);

/// Passes the library's progress on to a Python callable, and lets Ctrl-C end a long call.
class Progress {
public:
    explicit Progress(py::object callable) : callable_(std::move(callable)) {}
    [[nodiscard]] static bln_progress function() noexcept { return &trampoline; }
    [[nodiscard]] void* user() noexcept { return this; }
    /// As call_unlocked(); an exception of the callable goes on to the caller as it was.
    template <class F>
    void run(F&& f) {
        bln_error* err = nullptr;
        bln_status status = BLN_OK;
        {
            const py::gil_scoped_release unlocked;
            status = f(&err);
        }
        if (failure_) {
            bln_error_free(err);
            std::rethrow_exception(failure_);
        }
        if (status != BLN_OK) raise(status, err);
    }

private:
    static std::int32_t trampoline(void* user, std::uint64_t done, std::uint64_t total);
    py::object callable_;
    std::exception_ptr failure_;
};

/// A row of the field table, or false when the kind has no such field.
bool find_field(bln_kind kind, const char* name, bln_field_info& info);
/// Number of a kind by its name ("circuit") or collection ("circuits").
bln_kind to_kind(const py::handle& kind);

void bind_table(py::module_& m);
void bind_draft(py::module_& m);
void bind_site(py::module_& m);
void bind_view(py::module_& m);
void bind_policy(py::module_& m);
void bind_report(py::module_& m);
void bind_form(py::module_& m);
void bind_bounds(py::class_<Form>& form);
void bind_faults(py::module_& m, py::class_<Form>& form);
void bind_json(py::module_& m);
void bind_live(py::module_& m);
void bind_proof(py::module_& m);
void bind_quantities(py::module_& m);
void bind_energy(py::module_& m);
void bind_rollup(py::module_& m);
void bind_calendar(py::module_& m);
void bind_uncertainty(py::module_& m);
void bind_recheck(py::module_& m);
void bind_plan(py::module_& m);
void bind_field_tests(py::module_& m);
void bind_intervals(py::module_& m);

}  // namespace binding
