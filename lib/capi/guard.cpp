#include "capi/guard.hpp"

#include "site/utf8.hpp"

namespace bln::capi {
namespace {

// Reporting that memory ran out must not need memory.
bln_error& no_memory() noexcept {
    static bln_error constant{{}, true};
    return constant;
}

}  // namespace

bln_status report(bln_error** err, std::vector<ErrorItem>&& items) noexcept {
    const bln_status status = items.empty() ? BLN_E_INTERNAL : items.front().status;
    if (err == nullptr) return status;
    auto* e = new (std::nothrow) bln_error;
    if (e == nullptr) {
        *err = &no_memory();
        return status;
    }
    e->items = std::move(items);
    *err = e;
    return status;
}

bln_status report(bln_error** err, bln_status status, const char* message) noexcept {
    if (err == nullptr) return status;
    try {
        std::vector<ErrorItem> items(1);
        items.front().status = status;
        items.front().message = message;
        return report(err, std::move(items));
    } catch (...) {
        *err = &no_memory();
        return status;
    }
}

bln_status report_no_memory(bln_error** err) noexcept {
    if (err != nullptr) *err = &no_memory();
    return BLN_E_NO_MEMORY;
}

std::string_view required_text(const char* text, const char* name) {
    const std::string_view view(&required(text, name));
    if (!valid_utf8(view)) throw Failure(BLN_E_ENCODING, std::string(name) + " is not UTF-8");
    return view;
}

std::string_view required_bytes(const char* data, std::size_t n, const char* name) {
    if (n == 0) return {"", 0};
    return {&required(data, name), n};
}

}  // namespace bln::capi

using bln::ErrorItem;

namespace {

const ErrorItem* item(const bln_error* error, size_t i) noexcept {
    return error == nullptr || i >= error->items.size() ? nullptr : &error->items[i];
}

}  // namespace

extern "C" {

size_t bln_error_count(const bln_error* error) BLN_NOEXCEPT {
    if (error == nullptr) return 0;
    return error->fixed ? 1 : error->items.size();
}
bln_status bln_error_status(const bln_error* error, size_t i) BLN_NOEXCEPT {
    if (error != nullptr && error->fixed && i == 0) return BLN_E_NO_MEMORY;
    const ErrorItem* e = item(error, i);
    return e == nullptr ? BLN_OK : e->status;
}
const char* bln_error_message(const bln_error* error, size_t i) BLN_NOEXCEPT {
    if (error != nullptr && error->fixed && i == 0) return "out of memory";
    const ErrorItem* e = item(error, i);
    return e == nullptr ? "" : e->message.c_str();
}
const char* bln_error_subject(const bln_error* error, size_t i) BLN_NOEXCEPT {
    const ErrorItem* e = item(error, i);
    return e == nullptr ? "" : e->subject.c_str();
}
const char* bln_error_pointer(const bln_error* error, size_t i) BLN_NOEXCEPT {
    const ErrorItem* e = item(error, i);
    return e == nullptr ? "" : e->pointer.c_str();
}
uint64_t bln_error_line(const bln_error* error, size_t i) BLN_NOEXCEPT {
    const ErrorItem* e = item(error, i);
    return e == nullptr ? 0 : e->line;
}
uint64_t bln_error_column(const bln_error* error, size_t i) BLN_NOEXCEPT {
    const ErrorItem* e = item(error, i);
    return e == nullptr ? 0 : e->column;
}
uint64_t bln_error_byte(const bln_error* error, size_t i) BLN_NOEXCEPT {
    const ErrorItem* e = item(error, i);
    return e == nullptr ? 0 : e->byte;
}
void bln_error_free(bln_error* error) BLN_NOEXCEPT {
    if (error != nullptr && !error->fixed) delete error;
}

}  // extern "C"
