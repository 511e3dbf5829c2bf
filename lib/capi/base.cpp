// Versions, status names, texts.
#include "capi/handles.hpp"

extern "C" {

uint32_t bln_version_number(void) BLN_NOEXCEPT { return BLN_VERSION_NUMBER; }
const char* bln_version_text(void) BLN_NOEXCEPT { return BLN_VERSION_TEXT; }
uint32_t bln_abi_number(void) BLN_NOEXCEPT { return BLN_ABI_NUMBER; }

const char* bln_status_name(bln_status status) BLN_NOEXCEPT {
    switch (status) {
        case BLN_OK:
            return "ok";
        case BLN_E_ARGUMENT:
            return "argument";
        case BLN_E_RANGE:
            return "range";
        case BLN_E_NAME:
            return "name";
        case BLN_E_CANCELLED:
            return "cancelled";
        case BLN_E_STATE:
            return "state";
        case BLN_E_SYNTAX:
            return "syntax";
        case BLN_E_ENCODING:
            return "encoding";
        case BLN_E_DEPTH:
            return "depth";
        case BLN_E_SIZE:
            return "size";
        case BLN_E_DUPLICATE:
            return "duplicate";
        case BLN_E_FORMAT:
            return "format";
        case BLN_E_CONVENTION:
            return "convention";
        case BLN_E_TYPE:
            return "type";
        case BLN_E_UNIT:
            return "unit";
        case BLN_E_FIELD:
            return "field";
        case BLN_E_VALUE:
            return "value";
        case BLN_E_EXISTS:
            return "exists";
        case BLN_E_NO_ENTITY:
            return "no_entity";
        case BLN_E_ABSENT:
            return "absent";
        case BLN_E_PATCH:
            return "patch";
        case BLN_E_PATCH_TEST:
            return "patch_test";
        case BLN_E_OVERFLOW:
            return "overflow";
        case BLN_E_NOT_FINITE:
            return "not_finite";
        case BLN_E_NO_MEMORY:
            return "no_memory";
        case BLN_E_INTERNAL:
            return "internal";
        default:
            return "unknown";
    }
}

const char* bln_text_data(const bln_text* text) BLN_NOEXCEPT { return text == nullptr ? "" : text->data.c_str(); }
size_t bln_text_size(const bln_text* text) BLN_NOEXCEPT { return text == nullptr ? 0 : text->data.size(); }
void bln_text_free(bln_text* text) BLN_NOEXCEPT { delete text; }

}  // extern "C"
