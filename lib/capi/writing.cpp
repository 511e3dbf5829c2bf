// A record as text: file, digest, difference; patches; JSON in general.
#include "capi/handles.hpp"
#include "site/schema.hpp"

using bln::capi::create;
using bln::capi::text_of;

extern "C" {

bln_status bln_schema(bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [] { return text_of(bln::site_schema()); });
}

}  // extern "C"
