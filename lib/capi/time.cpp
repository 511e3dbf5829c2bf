// Instants as text.
#include "capi/handles.hpp"
#include "site/instant.hpp"

using namespace bln;
using namespace bln::capi;

extern "C" {

bln_status bln_instant_parse(const char* text, bln_instant* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        bln_instant& target = required(out, "out");
        const std::string_view given = required_text(text, "text");
        const std::string_view why = read_instant(given, target);
        if (!why.empty()) throw Failure(BLN_E_VALUE, "\"" + std::string(given) + "\": " + std::string(why));
    });
}

bln_status bln_instant_text(bln_instant at, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(instant_text(at)); });
}

}  // extern "C"
