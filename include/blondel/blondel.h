/* SPDX-License-Identifier: Apache-2.0 */
/**
 * @file blondel.h
 * The C interface of Blondel: is a multi-tenant building metered so that every billing point
 * gets exactly the energy it used?
 *
 * This header is the specification. What it does not name is not part of the interface.
 *
 * @par Conventions (they hold for every function unless its text says otherwise)
 * - C99; compiles as C and as C++. Text is UTF-8 and NUL-terminated; file contents (JSON, CSV)
 *   come as pointer and byte count and need no NUL.
 * - A function that can fail returns ::bln_status and takes, last, `bln_error **err`, which may
 *   be NULL. On failure an error object is stored there, owned by the caller; on success
 *   `*err` is left alone. A failed call changes nothing, and stores NULL in its output handle.
 * - `[caller frees]` marks what the caller owns; `[borrowed from X]` lives as long as X;
 *   `[borrowed for the call]` is not kept. Nothing is ever freed with C's free().
 * - Every `_free` accepts NULL, cannot fail, may be called from any thread and in any order:
 *   an object keeps alive what it was made from.
 * - Immutable objects (site, view, form, report, result) may be used by any number of threads
 *   at once. Drafts, policies and forms under construction belong to one thread at a time.
 *   There is no global state: no last error, no set-up call, no clock, file, locale,
 *   environment, output, or thread.
 * - Structs that the library fills start with `size`: set it to sizeof of the struct as you
 *   know it. Later versions append fields; the library never writes beyond `size`.
 * - Numbers of enums are explicit and leave gaps; new ones may arrive, so keep a default branch.
 * - Power into the load is positive, lagging reactive power is positive, the angle is that of the
 *   voltage minus that of the current; quadrants as in IEC 62053-23. A CT's direction is positive
 *   from source to load, on mains and branches alike. Units stand in names.
 * - Time is microseconds since 1970-01-01 UTC (::bln_instant).
 * - NULL for a required pointer is ::BLN_E_ARGUMENT. Any function that allocates can return
 *   ::BLN_E_NO_MEMORY; these two are not repeated below.
 */
#ifndef BLONDEL_BLONDEL_H
#define BLONDEL_BLONDEL_H

#include <stddef.h>
#include <stdint.h>

/** @def BLN_API
 * Marks what the library exports. Define BLN_STATIC to link the static library on Windows. */
/** @def BLN_NOEXCEPT
 * `noexcept` in C++: no exception ever leaves the library. */
#if defined(BLN_STATIC)
#define BLN_API
#elif defined(_WIN32) && defined(BLN_BUILDING)
#define BLN_API __declspec(dllexport)
#elif defined(_WIN32)
#define BLN_API __declspec(dllimport)
#elif defined(__GNUC__)
#define BLN_API __attribute__((visibility("default")))
#else
#define BLN_API
#endif

#ifdef __cplusplus
#define BLN_NOEXCEPT noexcept
extern "C" {
#else
#define BLN_NOEXCEPT
#endif

/** @defgroup versions Versions
 * @{ */

/** Version of this header: major * 1000000 + minor * 1000 + patch. */
#define BLN_VERSION_NUMBER 1000
/** Version of this header as text. */
#define BLN_VERSION_TEXT "0.1.0"
/** Number of the binary interface; equals the library's SOVERSION. Promised from 1.0 on. */
#define BLN_ABI_NUMBER 0
/** Version of the site file format that this library writes. */
#define BLN_FORMAT_VERSION "1"

/** Version of the library that is loaded, as ::BLN_VERSION_NUMBER. */
BLN_API uint32_t bln_version_number(void) BLN_NOEXCEPT;
/** Version of the library that is loaded, as text [static]. */
BLN_API const char *bln_version_text(void) BLN_NOEXCEPT;
/** ::BLN_ABI_NUMBER of the library that is loaded. */
BLN_API uint32_t bln_abi_number(void) BLN_NOEXCEPT;

/** @} @defgroup errors Status and error
 * @{ */

/** How a call went. 32 bits on every platform; the values below name them. The hundreds are
 *  bands: 1xx the call, 2xx text that cannot be read, 3xx the record, 4xx arithmetic,
 *  9xx the library. New numbers stay inside a band; fall back on it. Numbers are never reused. */
typedef int32_t bln_status;
enum {
    BLN_OK = 0,            /**< done */
    BLN_E_ARGUMENT = 100,  /**< NULL where something is required, or a struct size too small */
    BLN_E_RANGE = 104,     /**< a number outside what the function accepts, or an index past the end */
    BLN_E_NAME = 108,      /**< no kind, field, option, policy key or choice has this name */
    BLN_E_CANCELLED = 112, /**< the progress callback asked to stop */
    BLN_E_STATE = 116,     /**< the object is not in a state in which the call makes sense */
    BLN_E_SYNTAX = 200,    /**< the text does not follow its grammar */
    BLN_E_ENCODING = 204,  /**< the text is not UTF-8, or holds U+0000 */
    BLN_E_DEPTH = 208,     /**< nested deeper than the limit */
    BLN_E_SIZE = 212,      /**< longer than the limit */
    BLN_E_DUPLICATE = 216, /**< a key stands twice in one object */
    BLN_E_FORMAT = 220,    /**< the file does not state a format version that this library reads */
    BLN_E_CONVENTION = 224,/**< angles or signed power factors without a stated convention */
    BLN_E_TYPE = 300,      /**< a value of another type than the field's */
    BLN_E_UNIT = 304,      /**< the quantity is known, but in another unit */
    BLN_E_FIELD = 308,     /**< no such field, outside `ext` */
    BLN_E_VALUE = 312,     /**< type right, value outside the field's range, choices or grammar */
    BLN_E_EXISTS = 316,    /**< an entity of this kind and id is there already */
    BLN_E_NO_ENTITY = 320, /**< no entity of this kind and id */
    BLN_E_ABSENT = 324,    /**< the field has no value at this instant */
    BLN_E_PATCH = 330,     /**< the patch cannot be applied */
    BLN_E_PATCH_TEST = 334,/**< a `test` of the patch failed: the record is not what the patch relies on */
    BLN_E_OVERFLOW = 400,  /**< the exact result does not fit */
    BLN_E_NOT_FINITE = 404,/**< NaN or infinity where a number is required */
    BLN_E_NO_MEMORY = 900, /**< out of memory */
    BLN_E_INTERNAL = 904   /**< a defect of the library; please report it */
};

/** Short fixed name of a status, such as "no_memory" [static]; "unknown" for a number that this
 *  version does not know. */
BLN_API const char *bln_status_name(bln_status status) BLN_NOEXCEPT;

/** Details of one failed call: one or more items, the first of which decided the status. Belongs to
 *  whoever received it. Every accessor accepts NULL and then returns 0 or "". The message is for
 *  people and may change in any release: never parse it. */
typedef struct bln_error bln_error;

/** Number of items; at least 1. Field and table errors of one text are all listed, up to 100. */
BLN_API size_t bln_error_count(const bln_error *error) BLN_NOEXCEPT;
/** Status of item @p i; ::BLN_OK past the end. */
BLN_API bln_status bln_error_status(const bln_error *error, size_t i) BLN_NOEXCEPT;
/** One line for people [borrowed from the error]. */
BLN_API const char *bln_error_message(const bln_error *error, size_t i) BLN_NOEXCEPT;
/** Id of the entity it is about, or "" [borrowed from the error]. */
BLN_API const char *bln_error_subject(const bln_error *error, size_t i) BLN_NOEXCEPT;
/** JSON Pointer (RFC 6901) to the place in the text or record, or "" [borrowed from the error]. */
BLN_API const char *bln_error_pointer(const bln_error *error, size_t i) BLN_NOEXCEPT;
/** Line in the text, from 1; 0 where there is no place. */
BLN_API uint64_t bln_error_line(const bln_error *error, size_t i) BLN_NOEXCEPT;
/** Column in that line, in bytes from 1. */
BLN_API uint64_t bln_error_column(const bln_error *error, size_t i) BLN_NOEXCEPT;
/** Offset in the text, in bytes from 0. */
BLN_API uint64_t bln_error_byte(const bln_error *error, size_t i) BLN_NOEXCEPT;
/** Frees an error object. */
BLN_API void bln_error_free(bln_error *error) BLN_NOEXCEPT;

/** @} @defgroup text Composed text
 * @{ */

/** A text that the library composed. Immutable. */
typedef struct bln_text bln_text;
/** The text, NUL-terminated [borrowed from the text]; "" for NULL. */
BLN_API const char *bln_text_data(const bln_text *text) BLN_NOEXCEPT;
/** Its length in bytes, without the NUL. */
BLN_API size_t bln_text_size(const bln_text *text) BLN_NOEXCEPT;
/** Frees a text. */
BLN_API void bln_text_free(bln_text *text) BLN_NOEXCEPT;

/** @} @defgroup time Time
 * @{ */

/** Microseconds since 1970-01-01 00:00 UTC. */
typedef int64_t bln_instant;
/** Before everything. */
#define BLN_BEGIN_OF_TIME INT64_MIN
/** After everything; as a knowledge time: all that is known. */
#define BLN_END_OF_TIME INT64_MAX

/** Reads an RFC 3339 instant with Z or an offset, such as 2026-03-01T00:00:00Z. ::BLN_E_VALUE. */
BLN_API bln_status bln_instant_parse(const char *text, bln_instant *out, bln_error **err) BLN_NOEXCEPT;
/** Writes an instant as RFC 3339 in UTC [caller frees]. ::BLN_E_RANGE outside years 0001 to 9999. */
BLN_API bln_status bln_instant_text(bln_instant at, bln_text **out, bln_error **err) BLN_NOEXCEPT;

/** @} @defgroup columns Columns
 * @{ */

/** Type of the items of a column. */
enum {
    BLN_TYPE_U8 = 10, /**< unsigned, 8 bits */
    BLN_TYPE_I16 = 20, /**< signed, 16 bits */
    BLN_TYPE_I32 = 30, /**< signed, 32 bits */
    BLN_TYPE_I64 = 40, /**< signed, 64 bits */
    BLN_TYPE_F32 = 50, /**< IEEE 754, 32 bits */
    BLN_TYPE_F64 = 60 /**< IEEE 754, 64 bits */
};

/** A column of numbers that the caller owns [borrowed for the call]. */
typedef struct bln_column {
    const void *data;        /**< first item; NULL: the whole column is absent */
    int64_t stride;          /**< bytes from one item to the next; may be negative, not 0 */
    const uint8_t *validity; /**< bit i (least significant first) set: item i is present; NULL: all are */
    int32_t type;            /**< BLN_TYPE_... */
    int32_t reserved;        /**< 0 */
} bln_column;

/** A column that the library fills, in memory of the caller. */
typedef struct bln_out_column {
    void *data;        /**< first item */
    int64_t stride;    /**< bytes from one item to the next */
    uint8_t *validity; /**< receives one bit an item (least significant first); NULL: not wanted */
    int32_t type;      /**< BLN_TYPE_... */
    int32_t reserved;  /**< 0 */
} bln_out_column;

/** Called now and then by long calls, on the calling thread. Return 0 to go on; anything else ends
 *  the call with ::BLN_E_CANCELLED. @p total may be 0 while it is not known. Must not throw. */
typedef int32_t (*bln_progress)(void *user, uint64_t done, uint64_t total);

/** @} @defgroup table The field table
 * @{ */

/** Kinds of entity of a site record. */
typedef int32_t bln_kind;
enum {
    BLN_KIND_SITE = 10,
    BLN_KIND_SERVICE = 20,
    BLN_KIND_PANEL = 30,
    BLN_KIND_CIRCUIT = 40,
    BLN_KIND_CT_TYPE = 50,
    BLN_KIND_CT = 60,
    BLN_KIND_PROFILE = 70,
    BLN_KIND_DEVICE = 80,
    BLN_KIND_CHANNEL = 90,
    BLN_KIND_PREMISES = 100,
    BLN_KIND_POINT = 110,
    BLN_KIND_ROLLUP = 120,
    BLN_KIND_EVIDENCE = 130,
    BLN_KIND_WAIVER = 140
};

/** Types of field. */
enum {
    BLN_FIELD_TEXT = 10,     /**< text */
    BLN_FIELD_REF = 20,      /**< id of an entity of the target kind */
    BLN_FIELD_CHOICE = 30,   /**< one word of a closed list */
    BLN_FIELD_BOOLEAN = 40,  /**< 0 or 1 */
    BLN_FIELD_INTEGER = 50,  /**< 64-bit integer */
    BLN_FIELD_REAL = 60,     /**< finite double */
    BLN_FIELD_RATIONAL = 70, /**< ratio of two integers */
    BLN_FIELD_INSTANT = 80,  /**< ::bln_instant */
    BLN_FIELD_INTEGERS = 90, /**< list of integers */
    BLN_FIELD_TEXTS = 100,   /**< list of texts */
    BLN_FIELD_REFS = 110,    /**< list of ids of the target kind, without repetition */
    BLN_FIELD_TERMS = 120,   /**< ids of the target kind, each with a ratio */
    BLN_FIELD_PASSES = 130   /**< conductors through a CT ("circuit" or "circuit:pole"), each with signed turns */
};

/** Layers of a record. */
enum { BLN_LAYER_PLAN = 10, BLN_LAYER_AS_BUILT = 20, BLN_LAYER_CONFIGURED = 30 };

/** One row of the field table; texts [static]. */
typedef struct bln_field_info {
    uint32_t size;          /**< in: sizeof(bln_field_info) */
    int32_t type;           /**< BLN_FIELD_... */
    const char *name;       /**< name in files and setters */
    const char *unit;       /**< unit of a number, or "" */
    const char *doc;        /**< meaning, for people */
    int32_t layer;          /**< BLN_LAYER_... */
    int32_t dated;          /**< 1: a history of assignments; 0: a timeless fact */
    bln_kind target;        /**< kind that refs and terms name; 0 where there is none */
    int32_t choice_count;   /**< number of words of a choice */
    double low;             /**< least number; low and high both 0: any finite */
    double high;            /**< greatest number */
} bln_field_info;

/** Number of kinds. */
BLN_API size_t bln_kind_count(void) BLN_NOEXCEPT;
/** Kind number @p i, or 0 past the end. */
BLN_API bln_kind bln_kind_at(size_t i) BLN_NOEXCEPT;
/** Name of a kind, such as "circuit" [static]; "" when there is none. */
BLN_API const char *bln_kind_name(bln_kind kind) BLN_NOEXCEPT;
/** Key of its collection in a site file, such as "circuits" [static]; "" for the site itself. */
BLN_API const char *bln_kind_collection(bln_kind kind) BLN_NOEXCEPT;
/** Number of fields of a kind; 0 for none. */
BLN_API size_t bln_field_count(bln_kind kind) BLN_NOEXCEPT;
/** Row @p i of the field table of @p kind. ::BLN_E_NAME, ::BLN_E_RANGE. */
BLN_API bln_status bln_field_at(bln_kind kind, size_t i, bln_field_info *out, bln_error **err) BLN_NOEXCEPT;
/** Word @p i of a choice field, and what it means [static; either may be NULL]. ::BLN_E_NAME, ::BLN_E_RANGE. */
BLN_API bln_status bln_field_choice(bln_kind kind, const char *field, size_t i, const char **word,
                                    const char **doc, bln_error **err) BLN_NOEXCEPT;
/** JSON Schema (2020-12) of a site file, generated from the table [caller frees]. */
BLN_API bln_status bln_schema(bln_text **out, bln_error **err) BLN_NOEXCEPT;

/** @} @defgroup draft Draft: a record under edit
 * @{ */

/** A site record that can be edited. One thread at a time. */
typedef struct bln_draft bln_draft;
/** A frozen site record. Immutable, shared by any number of threads. */
typedef struct bln_site bln_site;

/** Limits of texts that are read. NULL means the defaults, which bln_limits_default() gives. */
typedef struct bln_limits {
    uint32_t size;       /**< in: sizeof(bln_limits) */
    uint32_t max_depth;  /**< deepest nesting of arrays and objects, 1 to 1000; else ::BLN_E_RANGE */
    uint64_t max_bytes;  /**< longest text */
} bln_limits;
/** Fills @p out with the defaults: depth 64, 1 GiB. */
BLN_API bln_status bln_limits_default(bln_limits *out, bln_error **err) BLN_NOEXCEPT;

/** Makes an empty draft [caller frees]. */
BLN_API bln_status bln_draft_new(bln_draft **out, bln_error **err) BLN_NOEXCEPT;
/** Reads a site file [caller frees].
 *  A syntax error ends the reading; errors of single fields are all listed, up to 100. Wrong facts
 *  (dangling references, contradictions, gaps) are not errors: they load and become findings.
 *  @param json   [borrowed for the call] @p n bytes of UTF-8, without byte order mark
 *  @param limits may be NULL
 *  @return the 2xx and 3xx statuses, each with its place */
BLN_API bln_status bln_draft_read(const char *json, size_t n, const bln_limits *limits, bln_draft **out,
                                  bln_error **err) BLN_NOEXCEPT;
/** Makes a draft that holds what @p site holds [caller frees]. */
BLN_API bln_status bln_draft_of(const bln_site *site, bln_draft **out, bln_error **err) BLN_NOEXCEPT;
/** Frees a draft; sites made from it live on. */
BLN_API void bln_draft_free(bln_draft *draft) BLN_NOEXCEPT;

/** Adds an entity without fields. @p id: [A-Za-z0-9._-]{1,64}, unique in its kind.
 *  ::BLN_E_NAME (kind; the site itself cannot be added), ::BLN_E_VALUE (id), ::BLN_E_EXISTS. */
BLN_API bln_status bln_draft_add(bln_draft *draft, bln_kind kind, const char *id, bln_error **err) BLN_NOEXCEPT;
/** Removes an entity with all its fields. References to it are left and become findings.
 *  ::BLN_E_NAME, ::BLN_E_NO_ENTITY. */
BLN_API bln_status bln_draft_remove(bln_draft *draft, bln_kind kind, const char *id, bln_error **err) BLN_NOEXCEPT;

/** When an assignment holds and where it comes from: valid in [from, to), known from recorded_at on. */
typedef struct bln_when {
    uint32_t size;           /**< in: sizeof(bln_when) */
    uint32_t reserved;       /**< 0 */
    bln_instant from;        /**< ::BLN_BEGIN_OF_TIME: always before */
    bln_instant to;          /**< ::BLN_END_OF_TIME: open */
    bln_instant recorded_at; /**< ::BLN_BEGIN_OF_TIME: not stated */
    const char *reason;      /**< NULL or "": not stated */
    const char *evidence;    /**< id of an evidence entity; NULL or "": none */
} bln_when;

/* The setters. `when` NULL: the value replaces all assignments of the field and always holds.
 * Otherwise the assignment is appended; history is kept. For the site's own fields `id` is "".
 * Statuses of all: BLN_E_NAME (kind), BLN_E_NO_ENTITY, BLN_E_FIELD, BLN_E_TYPE (another setter is
 * the field's), BLN_E_VALUE (range, choice, grammar; dated assignment of a timeless field;
 * from >= to), BLN_E_ENCODING. */

/** Sets a text, ref or choice field. */
BLN_API bln_status bln_draft_set_text(bln_draft *draft, bln_kind kind, const char *id, const char *field,
                                      const char *value, const bln_when *when, bln_error **err) BLN_NOEXCEPT;
/** Sets an integer, boolean (0 or 1) or instant field. */
BLN_API bln_status bln_draft_set_integer(bln_draft *draft, bln_kind kind, const char *id, const char *field,
                                         int64_t value, const bln_when *when, bln_error **err) BLN_NOEXCEPT;
/** Sets a real field. ::BLN_E_NOT_FINITE. */
BLN_API bln_status bln_draft_set_real(bln_draft *draft, bln_kind kind, const char *id, const char *field,
                                      double value, const bln_when *when, bln_error **err) BLN_NOEXCEPT;
/** Sets a rational field to num/den, den not 0. */
BLN_API bln_status bln_draft_set_ratio(bln_draft *draft, bln_kind kind, const char *id, const char *field,
                                       int64_t num, int64_t den, const bln_when *when, bln_error **err) BLN_NOEXCEPT;
/** Sets a list of integers. */
BLN_API bln_status bln_draft_set_integers(bln_draft *draft, bln_kind kind, const char *id, const char *field,
                                          const int64_t *values, size_t n, const bln_when *when,
                                          bln_error **err) BLN_NOEXCEPT;
/** Sets a list of texts or of refs. */
BLN_API bln_status bln_draft_set_texts(bln_draft *draft, bln_kind kind, const char *id, const char *field,
                                       const char *const *values, size_t n, const bln_when *when,
                                       bln_error **err) BLN_NOEXCEPT;
/** Sets terms or passes: @p n keys with the ratios nums[i]/dens[i]; @p dens NULL means all 1. */
BLN_API bln_status bln_draft_set_terms(bln_draft *draft, bln_kind kind, const char *id, const char *field,
                                       const char *const *keys, const int64_t *nums, const int64_t *dens, size_t n,
                                       const bln_when *when, bln_error **err) BLN_NOEXCEPT;
/** Removes all assignments of a field: it becomes unknown. */
BLN_API bln_status bln_draft_clear(bln_draft *draft, bln_kind kind, const char *id, const char *field,
                                   bln_error **err) BLN_NOEXCEPT;
/** Sets the free part of an entity: one JSON object that the library keeps and never reads. "" removes it. */
BLN_API bln_status bln_draft_set_ext(bln_draft *draft, bln_kind kind, const char *id, const char *json, size_t n,
                                     bln_error **err) BLN_NOEXCEPT;
/** Applies a JSON Patch (RFC 6902) to the record as its file would read. All or nothing.
 *  A patch that remedies something begins with `test` of what it relies on and appends to the history of
 *  a field, "/circuits/C1/breaker_amps/dated/-"; a field without a history is in plain form and is
 *  replaced by the dated form that begins with its plain value.
 *  ::BLN_E_PATCH and ::BLN_E_PATCH_TEST with the place in the patch; what bln_draft_read() returns for
 *  the result, with the pointer into the record and without a line. */
BLN_API bln_status bln_draft_patch(bln_draft *draft, const char *patch, size_t n, const bln_limits *limits,
                                   bln_error **err) BLN_NOEXCEPT;
/** Freezes what the draft holds now [caller frees]. The draft stays as it is and may be edited on.
 *  Never fails for what the record says or lacks. */
BLN_API bln_status bln_draft_freeze(const bln_draft *draft, bln_site **out, bln_error **err) BLN_NOEXCEPT;

/** @} @defgroup site Site: a frozen record
 * @{ */

/** Reads and freezes in one step; see bln_draft_read(). */
BLN_API bln_status bln_site_read(const char *json, size_t n, const bln_limits *limits, bln_site **out,
                                 bln_error **err) BLN_NOEXCEPT;
/** Adds a holder; free once more for each. Returns @p site. */
BLN_API bln_site *bln_site_keep(bln_site *site) BLN_NOEXCEPT;
/** Drops a holder. */
BLN_API void bln_site_free(bln_site *site) BLN_NOEXCEPT;

/** How a site is written. */
enum {
    BLN_JSON_READABLE = 10, /**< one entity a line, fields in the order of the table */
    BLN_JSON_CANONICAL = 20 /**< RFC 8785 */
};
/** Writes the site file [caller frees]; reading it gives an equal site. ::BLN_E_RANGE (style). */
BLN_API bln_status bln_site_json(const bln_site *site, int32_t style, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** SHA-256 over the canonical file, 64 hexadecimal digits [caller frees]. */
BLN_API bln_status bln_site_digest(const bln_site *site, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** JSON Patch that turns @p before into @p after, one operation a line [caller frees]; "[]" when they are
 *  equal. Where a history only grew, the new assignments are appended to it; every other field that
 *  changed is replaced. The order of entities says nothing. */
BLN_API bln_status bln_site_difference(const bln_site *before, const bln_site *after, bln_text **out,
                                       bln_error **err) BLN_NOEXCEPT;
/** Number of entities of a kind; 0 for no such kind. */
BLN_API size_t bln_site_count(const bln_site *site, bln_kind kind) BLN_NOEXCEPT;
/** Id number @p i of a kind, in the order of the record [borrowed from the site]; NULL past the end. */
BLN_API const char *bln_site_id(const bln_site *site, bln_kind kind, size_t i) BLN_NOEXCEPT;
/** Position of an id in its kind, or -1. Valid for this site only. */
BLN_API int64_t bln_site_find(const bln_site *site, bln_kind kind, const char *id) BLN_NOEXCEPT;
/** Number of assignments of a field; 0 when it is unknown. ::BLN_E_NAME, ::BLN_E_NO_ENTITY, ::BLN_E_FIELD. */
BLN_API bln_status bln_site_history(const bln_site *site, bln_kind kind, const char *id, const char *field,
                                    size_t *count, bln_error **err) BLN_NOEXCEPT;
/** Assignment @p i of a field: when it holds [texts borrowed from the site] and its value as JSON
 *  [caller frees; @p value may be NULL]. As bln_site_history(), and ::BLN_E_RANGE. */
BLN_API bln_status bln_site_assignment(const bln_site *site, bln_kind kind, const char *id, const char *field,
                                       size_t i, bln_when *when, bln_text **value, bln_error **err) BLN_NOEXCEPT;

/** @} @defgroup view View: the record as of one instant
 * @{ */

/** What held at one instant, as known at another. Immutable. */
typedef struct bln_view bln_view;
/** Makes the view [caller frees].
 *  @param valid instant in the world; ::BLN_END_OF_TIME: what holds from the last change on
 *  @param known only what was recorded up to here counts; ::BLN_END_OF_TIME: all */
BLN_API bln_status bln_view_new(const bln_site *site, bln_instant valid, bln_instant known, bln_view **out,
                                bln_error **err) BLN_NOEXCEPT;
/** Frees a view. */
BLN_API void bln_view_free(bln_view *view) BLN_NOEXCEPT;

/* The getters. Statuses of all: BLN_E_NAME, BLN_E_NO_ENTITY, BLN_E_FIELD, BLN_E_TYPE (another getter is
 * the field's), BLN_E_ABSENT (no value at this instant), BLN_E_RANGE (item past the end). */

/** A text, ref or choice [borrowed from the view]. */
BLN_API bln_status bln_view_text(const bln_view *view, bln_kind kind, const char *id, const char *field,
                                 const char **out, bln_error **err) BLN_NOEXCEPT;
/** An integer, boolean or instant. */
BLN_API bln_status bln_view_integer(const bln_view *view, bln_kind kind, const char *id, const char *field,
                                    int64_t *out, bln_error **err) BLN_NOEXCEPT;
/** A real. */
BLN_API bln_status bln_view_real(const bln_view *view, bln_kind kind, const char *id, const char *field, double *out,
                                 bln_error **err) BLN_NOEXCEPT;
/** A rational, in lowest terms. */
BLN_API bln_status bln_view_ratio(const bln_view *view, bln_kind kind, const char *id, const char *field, int64_t *num,
                                  int64_t *den, bln_error **err) BLN_NOEXCEPT;
/** Number of items of a list, terms or passes. */
BLN_API bln_status bln_view_size(const bln_view *view, bln_kind kind, const char *id, const char *field, size_t *out,
                                 bln_error **err) BLN_NOEXCEPT;
/** Item @p i of a list of integers. */
BLN_API bln_status bln_view_item_integer(const bln_view *view, bln_kind kind, const char *id, const char *field,
                                         size_t i, int64_t *out, bln_error **err) BLN_NOEXCEPT;
/** Item @p i of a list of texts or refs [borrowed from the view]. */
BLN_API bln_status bln_view_item_text(const bln_view *view, bln_kind kind, const char *id, const char *field, size_t i,
                                      const char **out, bln_error **err) BLN_NOEXCEPT;
/** Item @p i of terms or passes: its key [borrowed from the view] and ratio. */
BLN_API bln_status bln_view_item_term(const bln_view *view, bln_kind kind, const char *id, const char *field, size_t i,
                                      const char **key, int64_t *num, int64_t *den, bln_error **err) BLN_NOEXCEPT;
/** Any field as JSON [caller frees]. */
BLN_API bln_status bln_view_json(const bln_view *view, bln_kind kind, const char *id, const char *field,
                                 bln_text **out, bln_error **err) BLN_NOEXCEPT;

/** @} @defgroup policy Policies: limits that the user may set
 * @{ */

/** Limits and switches of one domain. One thread at a time while it is set; read-only in use. */
typedef struct bln_policy bln_policy;
/** Domains. */
enum {
    BLN_POLICY_CHECK = 10, /**< rules over the record */
    BLN_POLICY_LIVE = 20,  /**< readings against the record */
    BLN_POLICY_ENERGY = 30, /**< roll-up and reconciliation */
    BLN_POLICY_PHASE_TEST = 70, /**< voltmeter phase test */
    BLN_POLICY_TRACE = 80, /**< tracing of circuits */
    BLN_POLICY_PROOF = 40  /**< proof of points from live readings */
};
/** One key of a domain; texts [static]. */
typedef struct bln_policy_info {
    uint32_t size;       /**< in: sizeof(bln_policy_info) */
    uint32_t reserved;   /**< 0 */
    const char *key;     /**< name */
    const char *unit;    /**< unit, or "" */
    const char *doc;     /**< meaning */
    const char *source;  /**< where the default comes from */
    double initial;      /**< default */
    double low;          /**< least value */
    double high;         /**< greatest value */
} bln_policy_info;
/** Makes a policy with all defaults [caller frees]. ::BLN_E_RANGE (domain). */
BLN_API bln_status bln_policy_new(int32_t domain, bln_policy **out, bln_error **err) BLN_NOEXCEPT;
/** Sets one key. ::BLN_E_NAME, ::BLN_E_VALUE (range), ::BLN_E_NOT_FINITE. */
BLN_API bln_status bln_policy_set(bln_policy *policy, const char *key, double value, bln_error **err) BLN_NOEXCEPT;
/** Gets one key. ::BLN_E_NAME. */
BLN_API bln_status bln_policy_get(const bln_policy *policy, const char *key, double *out, bln_error **err) BLN_NOEXCEPT;
/** Sets keys from one JSON object {"key": number}. All or nothing. */
BLN_API bln_status bln_policy_read(bln_policy *policy, const char *json, size_t n, bln_error **err) BLN_NOEXCEPT;
/** Number of keys of a domain; 0 for none. */
BLN_API size_t bln_policy_count(int32_t domain) BLN_NOEXCEPT;
/** Key @p i of a domain. ::BLN_E_RANGE. */
BLN_API bln_status bln_policy_at(int32_t domain, size_t i, bln_policy_info *out, bln_error **err) BLN_NOEXCEPT;
/** Frees a policy. */
BLN_API void bln_policy_free(bln_policy *policy) BLN_NOEXCEPT;

/** @} @defgroup report Findings
 * @{ */

/** A list of findings with what was covered. Immutable. */
typedef struct bln_report bln_report;
/** Severities. */
enum { BLN_ERROR = 30, BLN_WARNING = 20, BLN_NOTE = 10 };
/** Verdicts. */
enum {
    BLN_WRONG = 10,       /**< proven wrong */
    BLN_UNDECIDED = 20,   /**< the facts at hand do not decide it */
    BLN_NOT_CHECKED = 30, /**< facts are missing that the check needs */
    BLN_RIGHT = 40        /**< proven right */
};
/** One finding; texts [borrowed from the report]. Its identity is code, subjects and discriminator,
 *  never numbers or prose. */
typedef struct bln_finding {
    uint32_t size;             /**< in: sizeof(bln_finding) */
    int32_t severity;          /**< BLN_ERROR, BLN_WARNING, BLN_NOTE */
    int32_t verdict;           /**< BLN_WRONG, ... */
    uint32_t subject_count;    /**< entities it is about; the first is the one to look at */
    uint32_t fact_count;       /**< typed numbers and words */
    uint32_t reserved;         /**< 0 */
    const char *code;          /**< slug, such as "channel-used-twice" */
    const char *discriminator; /**< tells apart findings of one code about the same subjects, or "" */
    const char *pointer;       /**< JSON Pointer into the site file, or "" */
    const char *source;        /**< where a limit comes from, or "" */
    const char *waiver;        /**< id of the waiver of the record that accepts it, or "" */
    const char *reason;        /**< reason that the waiver gives, or "" */
} bln_finding;
/** One number or word of a finding; texts [borrowed from the report]. */
typedef struct bln_fact {
    uint32_t size;      /**< in: sizeof(bln_fact) */
    int32_t is_number;  /**< 1: value and unit count; 0: text counts */
    const char *name;   /**< such as "measured", "expected", "limit" */
    const char *unit;   /**< unit of value, or "" */
    const char *text;   /**< the word, or "" */
    double value;       /**< the number */
} bln_fact;
/** Number of findings. */
BLN_API size_t bln_report_count(const bln_report *report) BLN_NOEXCEPT;
/** Finding @p i; errors come first, then in the order of the record. ::BLN_E_RANGE. */
BLN_API bln_status bln_report_at(const bln_report *report, size_t i, bln_finding *out, bln_error **err) BLN_NOEXCEPT;
/** Subject @p j of finding @p i: kind and id [borrowed from the report]. ::BLN_E_RANGE. */
BLN_API bln_status bln_report_subject(const bln_report *report, size_t i, size_t j, bln_kind *kind, const char **id,
                                      bln_error **err) BLN_NOEXCEPT;
/** Fact @p j of finding @p i. ::BLN_E_RANGE. */
BLN_API bln_status bln_report_fact(const bln_report *report, size_t i, size_t j, bln_fact *out,
                                   bln_error **err) BLN_NOEXCEPT;
/** Identity of finding @p i [caller frees]: "code|kind:id,kind:id|discriminator", subjects sorted. ::BLN_E_RANGE. */
BLN_API bln_status bln_report_identity(const bln_report *report, size_t i, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** The whole report as one JSON object [caller frees]: "blondel_report" ("1"), "library" (version), "site_sha256"
 *  (bln_site_digest() of the record, or ""), "inputs" ({name, sha256}), "findings" ({code, severity, verdict, subjects
 *  {kind, id}, discriminator, pointer, source, waiver, reason, facts {name, value, unit} or {name, text}, identity}), "coverage" ({code,
 *  right, wrong, undecided, not_checked}). Words are those of the enums in lower case, such as "not_checked". */
BLN_API bln_status bln_report_json(const bln_report *report, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** Frees a report. */
BLN_API void bln_report_free(bln_report *report) BLN_NOEXCEPT;

/** Texts of findings in one language. Immutable. */
typedef struct bln_catalogue bln_catalogue;
/** What a catalogue says of a finding. */
enum {
    BLN_TEXT_TITLE = 10,  /**< a few words */
    BLN_TEXT_BODY = 20,   /**< what was found, with the numbers */
    BLN_TEXT_ACTION = 30  /**< what to do, with cautions */
};
/** The built-in English catalogue as JSON, to be translated [caller frees]. */
BLN_API bln_status bln_catalogue_english(bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** Reads a catalogue in the form that bln_catalogue_english() writes [caller frees]; codes and texts that it lacks
 *  stay English. @return the 2xx statuses, ::BLN_E_TYPE, ::BLN_E_FIELD, ::BLN_E_NAME (no such code), ::BLN_E_VALUE
 *  (a {place} that the English text does not have), each with its place */
BLN_API bln_status bln_catalogue_read(const char *json, size_t n, bln_catalogue **out, bln_error **err) BLN_NOEXCEPT;
/** Frees a catalogue. */
BLN_API void bln_catalogue_free(bln_catalogue *catalogue) BLN_NOEXCEPT;
/** Text of finding @p i [caller frees]. @p catalogue NULL: English. ::BLN_E_RANGE. */
BLN_API bln_status bln_report_text(const bln_report *report, size_t i, int32_t what, const bln_catalogue *catalogue,
                                   bln_text **out, bln_error **err) BLN_NOEXCEPT;

/** @} @defgroup form The metering form
 * What a set of metering elements registers, against what the load takes, in exact ratios.
 *
 * Conductors carry currents i into the load; in every load they sum to zero. Terminals are the potentials
 * v that elements refer to. Element e registers w (a'v)(b'i): a is its voltage row over the terminals (it sums
 * to zero), b its current row over the conductors, w its weight. The truth is the sum of v(k) i(k). Registered
 * equals true at every instant and for any waveform just when the residual, registered minus true over the
 * voltages and currents that the topology allows, is the zero matrix: Blondel's theorem as a test without
 * tolerance (docs/theory/form.md). Complex power of phasors is V times the conjugate of I.
 * Apparent power is not of this kind: never derive VA or VA demand from re-weighted or summed channels.
 * @{ */

/** Terminals. Floating commons are points of unknown potential that elements share. */
enum {
    BLN_TERMINAL_A = 0,
    BLN_TERMINAL_B = 1,
    BLN_TERMINAL_C = 2,
    BLN_TERMINAL_N = 3,
    BLN_TERMINAL_G = 4,
    BLN_TERMINAL_FLOATING = 5, /**< the first of up to three floating commons: 5, 6, 7 */
    BLN_TERMINAL_COUNT = 8     /**< length of a voltage row */
};

/** Elements round a load, put together by hand. One thread at a time. */
typedef struct bln_arrangement bln_arrangement;
/** A form. Immutable. */
typedef struct bln_form bln_form;

/** Begins an arrangement on a service [caller frees].
 *  @param service word of the field `kind` of a service, such as "four_wire_wye". ::BLN_E_NAME */
BLN_API bln_status bln_arrangement_new(const char *service, bln_arrangement **out, bln_error **err) BLN_NOEXCEPT;
/** Sets what a kind leaves open: `legs`, `high_leg`, `grounded_phase` or `rotation` of the service, by the words of
 *  those fields. ::BLN_E_NAME (field or word), ::BLN_E_STATE once there is a load. */
BLN_API bln_status bln_arrangement_set(bln_arrangement *arrangement, const char *field, const char *word,
                                       bln_error **err) BLN_NOEXCEPT;
/** Adds a load by the letters of its conductors, such as "ABN". Conductors count from 0 through all loads, in
 *  the order given. ::BLN_E_VALUE (no letters, or a conductor that the service lacks), ::BLN_E_STATE after an element. */
BLN_API bln_status bln_arrangement_load(bln_arrangement *arrangement, const char *conductors, bln_error **err) BLN_NOEXCEPT;
/** Adds a floating common; its terminal number. ::BLN_E_RANGE beyond three. */
BLN_API bln_status bln_arrangement_floating(bln_arrangement *arrangement, int32_t *terminal, bln_error **err) BLN_NOEXCEPT;
/** Adds an element. Rows are ratios num[i]/den[i]; a NULL den means all 1.
 *  @param volts_num,volts_den ::BLN_TERMINAL_COUNT coefficients, summing to zero
 *  @param amps_num,amps_den   one coefficient for each of the @p conductors conductors: signed turns through the CT
 *                             over the ratio that the device was told
 *  @return ::BLN_E_VALUE (sum, terminal that is not there), ::BLN_E_ARGUMENT (@p conductors), ::BLN_E_RANGE (den 0),
 *          ::BLN_E_OVERFLOW */
BLN_API bln_status bln_arrangement_element(bln_arrangement *arrangement, const int64_t *volts_num,
                                           const int64_t *volts_den, const int64_t *amps_num, const int64_t *amps_den,
                                           size_t conductors, int64_t weight_num, int64_t weight_den,
                                           bln_error **err) BLN_NOEXCEPT;
/** Adds the elements of a named arrangement round the first load. ::BLN_E_NAME, ::BLN_E_VALUE (it is not for such a
 *  load or service). */
BLN_API bln_status bln_arrangement_use(bln_arrangement *arrangement, const char *name, bln_error **err) BLN_NOEXCEPT;
/** Number of named arrangements. */
BLN_API size_t bln_arrangement_name_count(void) BLN_NOEXCEPT;
/** Name @p i, such as "two_wattmeter", and what it is [static; either may be NULL]. ::BLN_E_RANGE. */
BLN_API bln_status bln_arrangement_name_at(size_t i, const char **name, const char **doc, bln_error **err) BLN_NOEXCEPT;
/** Frees an arrangement; forms made from it live on. */
BLN_API void bln_arrangement_free(bln_arrangement *arrangement) BLN_NOEXCEPT;

/** The form of an arrangement as it stands [caller frees]. ::BLN_E_STATE without a load. */
BLN_API bln_status bln_form_of_arrangement(const bln_arrangement *arrangement, bln_form **out, bln_error **err) BLN_NOEXCEPT;
/** The form of a metering point of the record [caller frees]. A record that does not suffice is no failure: the form
 *  then is not built (bln_form_built()) and its notes say why.
 *  @param neutral 1: a load of two or three poles whose neutral is not recorded is taken to have one (the cautious
 *                 reading: what is exact with a neutral is exact without); 0: to have none
 *  @return ::BLN_E_NO_ENTITY, ::BLN_E_RANGE (@p neutral) */
BLN_API bln_status bln_form_of_point(const bln_view *view, const char *point, int32_t neutral, bln_form **out,
                                     bln_error **err) BLN_NOEXCEPT;
/** Frees a form. */
BLN_API void bln_form_free(bln_form *form) BLN_NOEXCEPT;

/** 1: the form is there; 0: facts are missing or contradict, and every function below but the notes and
 *  bln_form_json() gives ::BLN_E_STATE (or 0). */
BLN_API int32_t bln_form_built(const bln_form *form) BLN_NOEXCEPT;
/** Number of notes: what had to be assumed, and what stopped the building. */
BLN_API size_t bln_form_note_count(const bln_form *form) BLN_NOEXCEPT;
/** Note @p i. Each output may be NULL. ::BLN_E_RANGE.
 *  @param code  slug such as "ct-direction-assumed" [static]
 *  @param stops 1: the form could not be built for this
 *  @param kind,id entity it is about [id borrowed from the form]
 *  @param doc   one sentence [static] */
BLN_API bln_status bln_form_note_at(const bln_form *form, size_t i, const char **code, int32_t *stops, bln_kind *kind,
                                    const char **id, const char **doc, bln_error **err) BLN_NOEXCEPT;

/** Number of conductors of all loads; 0 when not built. */
BLN_API size_t bln_form_conductor_count(const bln_form *form) BLN_NOEXCEPT;
/** Conductor @p k. Each output may be NULL. ::BLN_E_RANGE.
 *  @param terminal at whose potential it stands, BLN_TERMINAL_...
 *  @param load     number of its load, from 0
 *  @param counted  0: a circuit whose conductors reach a CT of the point without being the point's
 *  @param circuit  id of its circuit [borrowed from the form]; "" in an arrangement
 *  @param pole     1, 2, 3; 0: neutral; -1: grounded phase as the return of a single pole */
BLN_API bln_status bln_form_conductor_at(const bln_form *form, size_t k, int32_t *terminal, size_t *load,
                                         int32_t *counted, const char **circuit, int32_t *pole,
                                         bln_error **err) BLN_NOEXCEPT;
/** Number of elements; 0 when not built. */
BLN_API size_t bln_form_element_count(const bln_form *form) BLN_NOEXCEPT;
/** Element @p e. Each output may be NULL. ::BLN_E_RANGE.
 *  @param volts_num,volts_den room for ::BLN_TERMINAL_COUNT
 *  @param amps_num,amps_den   room for bln_form_conductor_count()
 *  @param channel             id of its channel [borrowed from the form]; "" in an arrangement */
BLN_API bln_status bln_form_element_at(const bln_form *form, size_t e, int64_t *volts_num, int64_t *volts_den,
                                       int64_t *amps_num, int64_t *amps_den, int64_t *weight_num, int64_t *weight_den,
                                       const char **channel, bln_error **err) BLN_NOEXCEPT;

/** Whether registered = true for every voltage and current that the topology allows: 1 or 0.
 *  ::BLN_E_OVERFLOW: the exact numbers do not fit 64 bits (of all functions that compute from the form). */
BLN_API bln_status bln_form_exact(const bln_form *form, int32_t *out, bln_error **err) BLN_NOEXCEPT;
/** Fewest elements that can be exact for the loads that count: the rank of the true form. */
BLN_API bln_status bln_form_fewest_elements(const bln_form *form, size_t *out, bln_error **err) BLN_NOEXCEPT;
/** Registered minus true as a matrix: entry (r, c) is the coefficient of V(r) times the conjugate of I(c). Row r is the
 *  voltage of terminal row_terminal[r] against @p reference; column c the current of conductor column_conductor[c]; the
 *  conductors that are not listed are given by the others of their load. Call with NULL arrays for the size.
 *  @param num,den          room for rows * columns, row by row; NULL: not wanted (as for the two lists)
 *  @param capacity         items that num and den hold. ::BLN_E_RANGE when too few */
BLN_API bln_status bln_form_residual(const bln_form *form, size_t *rows, size_t *columns, int32_t *reference,
                                     int32_t *row_terminal, size_t *column_conductor, int64_t *num, int64_t *den,
                                     size_t capacity, bln_error **err) BLN_NOEXCEPT;

/** What a form can say in words. */
enum {
    BLN_FORM_REGISTERED = 10, /**< formula of what is registered */
    BLN_FORM_ERROR = 20,      /**< closed form of registered minus true, or "0" */
    BLN_FORM_CONDITION = 30,  /**< when that error vanishes */
    BLN_FORM_VERDICT = 40,    /**< one sentence: exact, right at nominal voltages, or wrong */
    BLN_FORM_CORRECTION = 50  /**< how the readings S1, S2, ... of the elements, without weights, give the truth, if they do */
};
/** One of them [caller frees]. Voltages count against the neutral where there is one; I_Sigma is the sum of three phase
 *  currents. ::BLN_E_RANGE (@p what). */
BLN_API bln_status bln_form_words(const bln_form *form, int32_t what, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** Exactness while the voltages are nominal, by harmonic order 1 to 15: bit h is order h.
 *  @param right   orders at which registered = true for every current
 *  @param without of these, the orders at which an ideal supply has no voltage at all; may be NULL
 *  @return ::BLN_E_ABSENT when the kind of the service is not known */
BLN_API bln_status bln_form_nominal(const bln_form *form, uint32_t *right, uint32_t *without, bln_error **err) BLN_NOEXCEPT;
/** Factor F = S_registered / S_true for a load between two conductors of one load, at nominal voltages of the
 *  fundamental. For a load of angle phi, P_registered / P_true = re - im * tan(phi).
 *  @return ::BLN_E_ABSENT when there is no voltage between them or it is not known, ::BLN_E_RANGE */
BLN_API bln_status bln_form_registration(const bln_form *form, size_t from, size_t to, double *re, double *im,
                                         bln_error **err) BLN_NOEXCEPT;
/** Real weights on the elements, in place of their own, with which the form is exact for every load.
 *  @param num,den room for one ratio for each element
 *  @param found   0: there are none; then no factors on the channels help, an element is missing
 *  @param unique  1: they are the only ones; may be NULL */
BLN_API bln_status bln_form_realise(const bln_form *form, int64_t *num, int64_t *den, int32_t *found, int32_t *unique,
                                    bln_error **err) BLN_NOEXCEPT;
/** Registered and true complex power for columns of phasors.
 *  Every array holds pairs of columns: real part, imaginary part. An item that is absent or not finite, in any column that
 *  the form uses, makes the row absent: validity 0 and NaN in the outputs.
 *  @param rows       number of snapshots
 *  @param volts      2 * ::BLN_TERMINAL_COUNT columns in V, potentials against any one datum; NULL data: 0 V
 *                    throughout, which only N and G may be (for others: ::BLN_E_ARGUMENT)
 *  @param amps       2 * bln_form_conductor_count() columns in A into the load; NULL data of one conductor of a load:
 *                    what the others leave
 *  @param registered 2 columns in W and var, type f64
 *  @param truth      2 columns in W and var, or NULL
 *  @param elements   2 * bln_form_element_count() columns, each element with its weight, or NULL
 *  @return ::BLN_E_ARGUMENT, ::BLN_E_TYPE (outputs), ::BLN_E_RANGE (column) */
BLN_API bln_status bln_form_evaluate(const bln_form *form, size_t rows, const bln_column *volts, const bln_column *amps,
                                     const bln_out_column *registered, const bln_out_column *truth,
                                     const bln_out_column *elements, bln_error **err) BLN_NOEXCEPT;
/** Everything above as one JSON object [caller frees]. */
BLN_API bln_status bln_form_json(const bln_form *form, bln_text **out, bln_error **err) BLN_NOEXCEPT;

/** @} @defgroup quantities Quantities
 * Voltages, currents, powers, distortion, sequences and unbalance, from phasors, harmonic spectra or sampled waveforms.
 *
 * Phasors are RMS values. Formulas and their sources: docs/theory/quantities.md. Every result has a reason beside
 * it: a quantity that does not exist (a power factor without current, an angle without voltage) is 0 with a reason other
 * than ::BLN_DEFINED, and never a NaN. Where the caller wants no reasons (NULL), a quantity that does not exist is
 * ::BLN_E_ABSENT. NaN and infinity in an input are ::BLN_E_NOT_FINITE with the place in the message.
 * @{ */

/** Number of a quantity; see bln_quantity_at(). Numbers are never reused. */
typedef int32_t bln_quantity;
enum {
    BLN_Q_FREQUENCY = 100,        /**< Hz; waveforms only */
    BLN_Q_V_RMS = 110,            /**< V, all orders */
    BLN_Q_I_RMS = 112,            /**< A, all orders */
    BLN_Q_V1 = 114,               /**< V, fundamental */
    BLN_Q_I1 = 116,               /**< A, fundamental */
    BLN_Q_V_DC = 118,             /**< V, mean */
    BLN_Q_I_DC = 120,             /**< A, mean */
    BLN_Q_ANGLE = 122,            /**< degrees, fundamental voltage minus current, -180 to 180 */
    BLN_Q_P = 130,                /**< W, all orders; of a channel or the sum of three phases */
    BLN_Q_Q1 = 132,               /**< var of the fundamental, lagging positive; of a channel or the sum */
    BLN_Q_QUADRANT = 134,         /**< 1 to 4 as IEC 62053-23 counts them, from P and Q1; an axis belongs to the quadrant
                                       that begins there, counter-clockwise */
    BLN_Q_S = 140,                /**< VA, V times I */
    BLN_Q_N = 142,                /**< var, non-active power (Fryze), sqrt(S^2 - P^2) */
    BLN_Q_Q_BUDEANU = 144,        /**< var, sum of V I sin(phi) over the orders */
    BLN_Q_D_BUDEANU = 146,        /**< VA, sqrt(S^2 - P^2 - QB^2) */
    BLN_Q_Q_QUARTER = 148,        /**< var, mean of the current times the voltage of a quarter cycle before: reactive power
                                       for the fundamental alone */
    BLN_Q_PF = 150,               /**< P/S, with the sign of P */
    BLN_Q_PF1 = 152,              /**< displacement power factor P1/S1, with the sign of P1 */
    BLN_Q_S1 = 160,               /**< VA, fundamental */
    BLN_Q_P1 = 162,               /**< W, fundamental; of a channel or the sum */
    BLN_Q_PH = 164,               /**< W, P - P1; of a channel or the sum */
    BLN_Q_SN = 166,               /**< VA, sqrt(S^2 - S1^2) */
    BLN_Q_DI = 168,               /**< var, current distortion power V1 IH */
    BLN_Q_DV = 170,               /**< var, voltage distortion power VH I1 */
    BLN_Q_SH = 172,               /**< VA, VH IH */
    BLN_Q_DH = 174,               /**< var, sqrt(SH^2 - PH^2) */
    BLN_Q_THD_V = 180,            /**< VH/V1, with VH^2 = V^2 - V1^2 */
    BLN_Q_THD_I = 182,            /**< IH/I1 */
    BLN_Q_S_VECTOR = 200,         /**< VA, sqrt(P^2 + Q1^2) of the sums */
    BLN_Q_S_ARITHMETIC = 202,     /**< VA, sum of V I */
    BLN_Q_S_EFFECTIVE = 204,      /**< VA, 3 Ve Ie */
    BLN_Q_V_EFFECTIVE = 206,      /**< V, Ve */
    BLN_Q_I_EFFECTIVE = 208,      /**< A, Ie */
    BLN_Q_PF_VECTOR = 210,        /**< P over the vector apparent power */
    BLN_Q_PF_ARITHMETIC = 212,    /**< P over the arithmetic apparent power */
    BLN_Q_PF_EFFECTIVE = 214,     /**< P over the effective apparent power */
    BLN_Q_S1_EFFECTIVE = 220,     /**< VA, 3 Ve1 Ie1 of the fundamental */
    BLN_Q_SN_EFFECTIVE = 222,     /**< VA, sqrt(Se^2 - Se1^2) */
    BLN_Q_V_AB = 230,             /**< V between A and B */
    BLN_Q_V_BC = 232,             /**< V between B and C */
    BLN_Q_V_CA = 234,             /**< V between C and A */
    BLN_Q_I_NEUTRAL = 236,        /**< A, RMS of the sum of the phase currents */
    BLN_Q_V_ZERO = 240,           /**< V, zero sequence of the fundamental */
    BLN_Q_V_ZERO_DEG = 241,       /**< its angle */
    BLN_Q_V_POSITIVE = 242,       /**< V, positive sequence */
    BLN_Q_V_POSITIVE_DEG = 243,   /**< its angle */
    BLN_Q_V_NEGATIVE = 244,       /**< V, negative sequence */
    BLN_Q_V_NEGATIVE_DEG = 245,   /**< its angle */
    BLN_Q_I_ZERO = 246,           /**< A, zero sequence */
    BLN_Q_I_ZERO_DEG = 247,       /**< its angle */
    BLN_Q_I_POSITIVE = 248,       /**< A, positive sequence */
    BLN_Q_I_POSITIVE_DEG = 249,   /**< its angle */
    BLN_Q_I_NEGATIVE = 250,       /**< A, negative sequence */
    BLN_Q_I_NEGATIVE_DEG = 251,   /**< its angle */
    BLN_Q_UNBALANCE_V = 260,      /**< negative over positive sequence voltage */
    BLN_Q_UNBALANCE_V_ZERO = 262, /**< zero over positive sequence voltage */
    BLN_Q_UNBALANCE_I = 264,      /**< negative over positive sequence current */
    BLN_Q_UNBALANCE_LINE = 266,   /**< greatest deviation of a line voltage from their mean, over the mean
                                       (NEMA and ANSI definition, from memory) */
    BLN_Q_UNBALANCE_LINES = 268   /**< negative over positive sequence from the RMS line voltages alone */
};
/** Why a quantity has no value. */
enum {
    BLN_DEFINED = 0,              /**< it has one */
    BLN_UNDEFINED_INPUT = 1,      /**< what it needs was not given, such as orders or a frequency */
    BLN_UNDEFINED_VOLTAGE = 2,    /**< the voltage is zero */
    BLN_UNDEFINED_CURRENT = 3,    /**< the current is zero */
    BLN_UNDEFINED_POWER = 4,      /**< P and Q1 are both zero */
    BLN_UNDEFINED_FUNDAMENTAL = 5,/**< the fundamental that it refers to is zero */
    BLN_UNDEFINED_SEQUENCE = 6,   /**< the positive sequence that it refers to is zero */
    BLN_UNDEFINED_TRIANGLE = 7,   /**< no triangle has three such line voltages */
    BLN_UNDEFINED_SCOPE = 8       /**< a quantity of one channel asked of three phases, or the reverse */
};
/** What a quantity is of; bits. */
enum { BLN_SCOPE_CHANNEL = 1, BLN_SCOPE_THREE_PHASE = 2 };
/** One row of the table of quantities; texts [static]. */
typedef struct bln_quantity_info {
    uint32_t size;         /**< in: sizeof(bln_quantity_info) */
    bln_quantity quantity; /**< BLN_Q_... */
    const char *name;      /**< name, such as "s_effective" */
    const char *unit;      /**< unit, or "" for a ratio or number */
    const char *doc;       /**< meaning, for people */
    int32_t scope;         /**< bits BLN_SCOPE_... */
    int32_t reserved;      /**< 0 */
} bln_quantity_info;
/** Number of quantities. */
BLN_API size_t bln_quantity_count(void) BLN_NOEXCEPT;
/** Row @p i of the table. ::BLN_E_RANGE. */
BLN_API bln_status bln_quantity_at(size_t i, bln_quantity_info *out, bln_error **err) BLN_NOEXCEPT;

/** What the magnitudes of a spectrum are. */
enum {
    BLN_VALUES_RMS = 10,  /**< RMS */
    BLN_VALUES_PEAK = 20  /**< peak: divided by the root of 2, order 0 excepted */
};
/** Orders of a voltage and a current, rectangular, at one common time [borrowed for the call]. */
typedef struct bln_spectrum {
    uint32_t size;         /**< in: sizeof(bln_spectrum) */
    int32_t values;        /**< BLN_VALUES_... */
    size_t count;          /**< items of each column */
    bln_column order;      /**< whole numbers from 0 (direct) on, each once; 1 is the fundamental */
    bln_column v_re;       /**< V */
    bln_column v_im;       /**< V; absent: 0 */
    bln_column i_re;       /**< A */
    bln_column i_im;       /**< A; absent: 0 */
} bln_spectrum;
/** Quantities of one channel from its spectrum.
 *  @param wanted numbers of @p count quantities
 *  @param values room for @p count values
 *  @param why    room for @p count reasons, or NULL
 *  @return ::BLN_E_NAME (quantity), ::BLN_E_VALUE (order below 0; direct part with an imaginary part),
 *  ::BLN_E_DUPLICATE (order), ::BLN_E_RANGE (values, column), ::BLN_E_ABSENT (an item of a column; see above),
 *  ::BLN_E_NOT_FINITE */
BLN_API bln_status bln_quantities_of_spectrum(const bln_spectrum *spectrum, const bln_quantity *wanted, size_t count,
                                              double *values, uint8_t *why, bln_error **err) BLN_NOEXCEPT;
/** Quantities of three phases from their spectra, with one common time.
 *  @param phases 3 spectra: A, B, C. Three wires: voltages against any one datum
 *  @param wires  3 or 4: which form of the effective voltage and current. ::BLN_E_RANGE
 *  @return as bln_quantities_of_spectrum() */
BLN_API bln_status bln_quantities_of_three_spectra(const bln_spectrum *phases, int32_t wires, const bln_quantity *wanted,
                                                   size_t count, double *values, uint8_t *why,
                                                   bln_error **err) BLN_NOEXCEPT;

/** How phasors are written. */
enum {
    BLN_PHASORS_RECTANGULAR = 10, /**< real and imaginary part */
    BLN_PHASORS_POLAR = 20        /**< magnitude and angle in degrees, all angles against one reference and
                                       counter-clockwise: stating this form states the convention */
};
/** Phasors of the fundamental, one item a row [borrowed for the call]. */
typedef struct bln_phasor_columns {
    uint32_t size;   /**< in: sizeof(bln_phasor_columns) */
    int32_t form;    /**< BLN_PHASORS_...; anything else is ::BLN_E_CONVENTION */
    bln_column v[6]; /**< V: two columns a phase, A first; of one channel only the first two */
    bln_column i[6]; /**< A: likewise */
} bln_phasor_columns;
/** Quantities of phasors, row by row.
 *  @param phases 1 or 3; a third and fourth column of one phase must be absent. ::BLN_E_RANGE
 *  @param wires  3 or 4 with three phases, else 0. ::BLN_E_RANGE
 *  @param values room for @p rows * @p count values, row after row
 *  @param why    room for as many reasons, or NULL
 *  @return ::BLN_E_CONVENTION, ::BLN_E_NAME, ::BLN_E_ARGUMENT (column absent), ::BLN_E_RANGE, ::BLN_E_ABSENT,
 *  ::BLN_E_NOT_FINITE, ::BLN_E_VALUE (negative magnitude). Bad rows are listed, up to 100; then nothing is written */
BLN_API bln_status bln_quantities_of_phasors(const bln_phasor_columns *columns, size_t rows, int32_t phases,
                                             int32_t wires, const bln_quantity *wanted, size_t count, double *values,
                                             uint8_t *why, bln_error **err) BLN_NOEXCEPT;
/** P, Q and S of channel snapshots, for millions of rows: one pass, no allocation. Safe in several threads on parts of
 *  the rows, as long as no two of them write the same byte.
 *  @param v  2 columns, real and imaginary part in V, type f64 or f32
 *  @param i  2 columns in A
 *  @param p,q,s outputs in W, var (lagging positive), VA, type f64 or f32; NULL: not wanted. Their validity is set
 *  @return ::BLN_E_TYPE, ::BLN_E_RANGE, ::BLN_E_ARGUMENT, ::BLN_E_NOT_FINITE (bad rows are listed, up to 100; they are
 *  0 with validity 0, and all other rows are right), ::BLN_E_ABSENT (a column with validity has an item that is not
 *  there, likewise) */
BLN_API bln_status bln_power_of_snapshots(size_t rows, const bln_column *v, const bln_column *i, const bln_out_column *p,
                                          const bln_out_column *q, const bln_out_column *s, bln_error **err) BLN_NOEXCEPT;
/** Unbalance of three line voltages by their RMS values.
 *  @param deviation greatest deviation from the mean, over the mean (NEMA and ANSI definition, from memory); may be NULL
 *  @param sequence  negative over positive sequence; may be NULL
 *  @return ::BLN_E_NOT_FINITE, ::BLN_E_VALUE (negative), ::BLN_E_ABSENT (all zero; no triangle has such sides) */
BLN_API bln_status bln_unbalance_of_lines(double v_ab, double v_bc, double v_ca, double *deviation, double *sequence,
                                          bln_error **err) BLN_NOEXCEPT;

/** Order of sign and sum in import and export registers. */
enum {
    BLN_REGISTER_NET_THEN_SPLIT = 10, /**< elements are summed, then split by sign: right for a point of any phases */
    BLN_REGISTER_CLAMP_EACH = 20,     /**< WRONG, to model meters that do so: each element is split, then summed;
                                           over-registers loads between lines and loads of low power factor */
    BLN_REGISTER_ABSOLUTE = 30        /**< WRONG, to model meters that do so: magnitudes are summed; hides reversed CTs */
};
/** Energy of one point from the powers of its elements.
 *  @param watts      @p elements columns of @p rows items in W, import positive
 *  @param hours      duration of one row, above 0
 *  @param policy     BLN_REGISTER_...
 *  @param right      1 if that policy is right for billing, 0 if it is wrong; may be NULL
 *  @param import_wh,export_wh energies in Wh, not negative
 *  @return ::BLN_E_NAME (policy), ::BLN_E_RANGE (hours, column), ::BLN_E_ABSENT, ::BLN_E_NOT_FINITE, ::BLN_E_OVERFLOW */
BLN_API bln_status bln_import_export(const bln_column *watts, size_t elements, size_t rows, double hours, int32_t policy,
                                     int32_t *right, double *import_wh, double *export_wh, bln_error **err) BLN_NOEXCEPT;

/** A stream of sampled waveforms. One thread at a time. Its memory is one window of samples, whatever is pushed. */
typedef struct bln_wave bln_wave;
/** What is sampled; arrays [borrowed for the call]. */
typedef struct bln_wave_plan {
    uint32_t size;               /**< in: sizeof(bln_wave_plan) */
    int32_t highest_order;       /**< highest harmonic order; -1: all below half the rate, at most 50; 0: no spectra,
                                      then quantities of orders are ::BLN_UNDEFINED_INPUT */
    double samples_per_second;   /**< sampling rate, the same for all signals */
    double nominal_hz;           /**< the frequency is looked for within 15 % of it */
    double frequency_hz;         /**< the frequency, where it is known; 0: estimated in every window */
    uint32_t cycles;             /**< whole cycles of a window, 2 to 10000 (1 with a known frequency); 0: about 0.2 s */
    uint32_t reference;          /**< signal that the frequency is estimated from: a voltage */
    size_t signals;              /**< number of signals */
    const int32_t *type;         /**< type of each signal: ::BLN_TYPE_I16, I32, F32 or F64 */
    const double *scale;         /**< V or A of one unit of its samples; NULL: 1 for all */
    size_t channels;             /**< number of channels */
    const uint32_t *voltage;     /**< signal of the voltage of each channel */
    const uint32_t *current;     /**< signal of the current of each channel */
    size_t groups;               /**< number of groups of three phases */
    const uint32_t *group;       /**< 4 numbers a group: channels of A, B, C, and 3 or 4 wires */
} bln_wave_plan;
/** One window; numbers of samples count from the first ever pushed. */
typedef struct bln_wave_window {
    uint32_t size;             /**< in: sizeof(bln_wave_window) */
    uint32_t cycles;           /**< whole cycles in it */
    uint64_t number;           /**< from 0 */
    double start_samples;      /**< start; between samples where cycles are no whole number of them */
    double length_samples;     /**< length; the next window begins where this one ends */
    double frequency_hz;       /**< frequency it was cut by */
    int32_t frequency_measured;/**< 0: the reference had no fundamental; the latest or nominal frequency stands in */
    uint32_t highest_order;    /**< highest order of its spectra */
} bln_wave_window;
/** Makes a stream [caller frees].
 *  @return ::BLN_E_RANGE (too few samples in a cycle; an order not below half the sampling rate; an index), ::BLN_E_TYPE,
 *  ::BLN_E_VALUE (scale), ::BLN_E_ARGUMENT */
BLN_API bln_status bln_wave_new(const bln_wave_plan *plan, bln_wave **out, bln_error **err) BLN_NOEXCEPT;
/** Takes samples until a window is complete or all are taken. Call again with the rest.
 *  @param samples one column a signal, of the plan's types, any stride
 *  @param first   item of the columns to begin with
 *  @param n       items after it that are there
 *  @param taken   how many were taken; may be 0 with a window that earlier samples complete
 *  @param ready   1: a window is complete; its results stay until the next call
 *  @return ::BLN_E_ARGUMENT (@p signals is not the plan's), ::BLN_E_TYPE, ::BLN_E_RANGE (column), ::BLN_E_ABSENT (a
 *  sample that is not there), ::BLN_E_NOT_FINITE, ::BLN_E_STATE after bln_wave_finish(). Then nothing was taken */
BLN_API bln_status bln_wave_push(bln_wave *wave, const bln_column *samples, size_t signals, size_t first, size_t n,
                                 size_t *taken, int32_t *ready, bln_error **err) BLN_NOEXCEPT;
/** Ends the stream with a shorter window, of the whole cycles that are left.
 *  @param ready     1: there is such a window
 *  @param remainder samples that are in no window; may be NULL
 *  @return ::BLN_E_ABSENT: the whole stream held less than a cycle (two, while the frequency is estimated);
 *  ::BLN_E_STATE the second time */
BLN_API bln_status bln_wave_finish(bln_wave *wave, int32_t *ready, double *remainder, bln_error **err) BLN_NOEXCEPT;
/** The latest window. ::BLN_E_STATE before the first. */
BLN_API bln_status bln_wave_window_at(const bln_wave *wave, bln_wave_window *out, bln_error **err) BLN_NOEXCEPT;
/** Quantities of channels in the latest window: @p n channels from @p first on.
 *  @param values room for @p n * @p count values, channel after channel
 *  @param why    room for as many reasons, or NULL
 *  @return ::BLN_E_STATE, ::BLN_E_RANGE, ::BLN_E_NAME, ::BLN_E_ABSENT */
BLN_API bln_status bln_wave_channels(const bln_wave *wave, size_t first, size_t n, const bln_quantity *wanted,
                                     size_t count, double *values, uint8_t *why, bln_error **err) BLN_NOEXCEPT;
/** As bln_wave_channels(), of groups. */
BLN_API bln_status bln_wave_groups(const bln_wave *wave, size_t first, size_t n, const bln_quantity *wanted, size_t count,
                                   double *values, uint8_t *why, bln_error **err) BLN_NOEXCEPT;
/** RMS phasors of one signal in the latest window, orders 0 to the window's highest_order; time begins with the window.
 *  @param re,im room for highest_order + 1 numbers each, @p capacity. ::BLN_E_RANGE when too few, ::BLN_E_STATE */
BLN_API bln_status bln_wave_spectrum(const bln_wave *wave, size_t signal, double *re, double *im, size_t capacity,
                                     bln_error **err) BLN_NOEXCEPT;
/** Frees a stream. */
BLN_API void bln_wave_free(bln_wave *wave) BLN_NOEXCEPT;

/** @} @defgroup bounds Bounds of an arrangement's error, and other uses of its channels
 * How far registered can stray from true while voltages stay near given ones and currents within limits, and
 * what else the channels at hand could give (docs/theory/form.md). Potentials count against any one datum.
 * @{ */

/** Nominal potentials of a harmonic order. Each output has room for ::BLN_TERMINAL_COUNT.
 *  @param order from 1
 *  @param unit  V of the first phase against its neutral (of a delta: against its star point; of a high-leg delta: half the
 *               tapped winding), rms
 *  @param known bit t: the potential of terminal t is fixed; of others re and im are 0
 *  @return ::BLN_E_ABSENT when the kind of the service is not known, ::BLN_E_RANGE (order), ::BLN_E_NOT_FINITE */
BLN_API bln_status bln_form_nominal_volts(const bln_form *form, int32_t order, double unit, double *re, double *im,
                                          uint32_t *known, bln_error **err) BLN_NOEXCEPT;
/** Largest errors, in VA. They hold for the error of active power as well. */
typedef struct bln_bound {
    uint32_t size;               /**< in: sizeof(bln_bound) */
    uint32_t reserved;           /**< 0 */
    double total;                /**< no admissible state has a greater error: at_voltages + from_spread */
    double at_voltages;          /**< largest error at the voltages as given: tight */
    double from_spread;          /**< what the spread of the voltages can add */
    double attained_at_voltages; /**< error that admissible currents do produce at the given voltages */
    double attained;             /**< error that admissible currents and voltages do produce: the worst case that was found */
} bln_bound;
/** Largest |registered - true| over all currents |i(k)| <= amps[k] that sum to zero in every load, and all
 *  potentials within spread[t] of the given ones.
 *  @param re,im,known           ::BLN_TERMINAL_COUNT potentials in V; bit t of @p known: terminal t is given
 *  @param spread                ::BLN_TERMINAL_COUNT distances in V, not negative
 *  @param amps                  A, one limit for each conductor; INFINITY for at most one of a load: what the others leave
 *  @param weights_re,weights_im complex weights in place of the elements' own, or both NULL
 *  @param volts_re,volts_im     potentials of the worst case that was found: room for ::BLN_TERMINAL_COUNT, or NULL
 *  @param amps_re,amps_im       its currents: room for one for each conductor, or NULL
 *  @return ::BLN_E_ABSENT (the error depends on a potential that is not given; two currents of a load without limit),
 *          ::BLN_E_VALUE (negative), ::BLN_E_NOT_FINITE */
BLN_API bln_status bln_form_bound(const bln_form *form, const double *re, const double *im, uint32_t known,
                                  const double *spread, const double *amps, const double *weights_re,
                                  const double *weights_im, bln_bound *out, double *volts_re, double *volts_im,
                                  double *amps_re, double *amps_im, bln_error **err) BLN_NOEXCEPT;

/** Ways to use the channels at hand, as bits. None of them: an element is missing. */
enum {
    BLN_REUSE_AS_IS = 1,            /**< exact already */
    BLN_REUSE_REPOINT = 2,          /**< other voltage references or labels: exact; bln_form_repoint() */
    BLN_REUSE_REWEIGH = 4,          /**< other real weights: exact; bln_form_realise() */
    BLN_REUSE_REPOINT_REWEIGH = 8,  /**< other references and weights: exact */
    BLN_REUSE_RECOMPUTE = 16        /**< complex weights, at nominal voltages of the fundamental alone, with a bound;
                                         bln_form_recompute(). Needs signed P and Q of each channel */
};
/** Which of them there are.
 *  @param terminals bit t: the device has a lead on terminal t; 0: those that the elements refer to */
BLN_API bln_status bln_form_reuse(const bln_form *form, uint32_t terminals, uint32_t *ways, bln_error **err) BLN_NOEXCEPT;
/** New voltage references with which the form is exact; as few change as can be.
 *  @param terminals  as in bln_form_reuse()
 *  @param weights    1: the weights of changed elements may change as well; 0: not
 *  @param plus,minus terminals of the new voltage of each element, or -1 where it stays; not NULL
 *  @param num,den    weight of each element then; may be NULL
 *  @param found      0: there are none
 *  @return ::BLN_E_RANGE (@p weights) */
BLN_API bln_status bln_form_repoint(const bln_form *form, uint32_t terminals, int32_t weights, int32_t *plus,
                                    int32_t *minus, int64_t *num, int64_t *den, int32_t *found, bln_error **err) BLN_NOEXCEPT;
/** Complex weights on S = P + jQ of each element, in place of its own weight, that give the true complex power of every
 *  load: at the potentials given, or (re and im NULL) at the nominal ones. Give them to bln_form_bound() for what they
 *  promise when voltages stray. They hold for the fundamental alone, and need the sign of Q.
 *  @param re,im,known           as in bln_form_bound()
 *  @param weights_re,weights_im room for one for each element
 *  @param found                 0: there are none, or a potential that matters is not known */
BLN_API bln_status bln_form_recompute(const bln_form *form, const double *re, const double *im, uint32_t known,
                                      double *weights_re, double *weights_im, int32_t *found, bln_error **err) BLN_NOEXCEPT;

/** @} @defgroup faults Wiring faults: transforms of a form, corrections, look-alikes
 * A wiring fault changes what is physical (which conductor, direction, ratio, where a voltage lead is landed); what is
 * configured stays. The result is a form again, so that bln_form_words(), bln_form_registration(), bln_form_realise(),
 * bln_form_recompute() and bln_form_bound() say what the fault does and how far it can be corrected: exactly by
 * realise (1, -1, ratios of CTs), at nominal voltages by recompute. See docs/theory/faults.md. Results support,
 * and never replace, licensed practice; work on live panels is for qualified people.
 * @{ */

/** Number of kinds of fault. */
BLN_API size_t bln_fault_kind_count(void) BLN_NOEXCEPT;
/** Kind @p i, such as "reversed", and what it is [static; either may be NULL]. ::BLN_E_RANGE. */
BLN_API bln_status bln_fault_kind_at(size_t i, const char **name, const char **doc, bln_error **err) BLN_NOEXCEPT;
/** The form with one more fault in the wiring [caller frees]. Faults compose: apply one to the result of another.
 *  | kind | x, y, ratio |
 *  | --- | --- |
 *  | reversed, dead | - |
 *  | ratio | ratio: true ratio of the CT over the configured one, above 0; n turns through the window: 1/n |
 *  | on_conductor | conductor x, where it is meant to hang; conductor y, where it hangs |
 *  | also_round | conductor y, which passes the window as well; ratio: 1 in the same sense, -1 against |
 *  | exchanged | y: the other element |
 *  | volts_exchanged | terminals x and y |
 *  | volts_rotated | ratio 1: leads A, B, C on B, C, A; -1: on C, A, B |
 *  | landed | lead of terminal x on terminal y |
 *  | missing, floating, star | terminal x |
 *  | reference | terminals x, y: the voltage of x against y |
 *  @param element number of the element, or -1: every element that the fault can touch (a fault of the whole device)
 *  @param x,y     as above; otherwise not looked at
 *  @return ::BLN_E_NAME (kind), ::BLN_E_RANGE (what is not there; ratio), ::BLN_E_VALUE (the CT is not on x; one thing
 *  twice; the kind needs one element) */
BLN_API bln_status bln_form_fault(const bln_form *form, const char *kind, int32_t element, int32_t x, int32_t y,
                                  int64_t num, int64_t den, bln_form **out, bln_error **err) BLN_NOEXCEPT;
/** Factor F = S_registered / S_true for a load of equal impedances on the first load's phases, at nominal voltages of the
 *  fundamental. For a load of angle phi, P_registered / P_true = re - im * tan(phi).
 *  @param element of this element alone, over the whole load's power; -1: of the weighted sum
 *  @return ::BLN_E_ABSENT when a voltage that matters is not known, ::BLN_E_RANGE */
BLN_API bln_status bln_form_balanced(const bln_form *form, int32_t element, double *re, double *im, bln_error **err) BLN_NOEXCEPT;
/** What active power has to be multiplied by, as a curve over the angle of the load: K = cos(phi) / Re(F e^(j phi)).
 *  @param re,im     factor F = S_registered / S_true
 *  @param n         angles
 *  @param angle_deg voltage minus current, degrees
 *  @param factor    room for n
 *  @param defined   room for n: 0 where nothing is registered, so that no factor helps (factor is 0 then)
 *  @return ::BLN_E_NOT_FINITE */
BLN_API bln_status bln_correction_curve(double re, double im, size_t n, const double *angle_deg, double *factor,
                                        uint8_t *defined, bln_error **err) BLN_NOEXCEPT;
/** Largest |change| of the ratio V(y)/V(x) of two voltage phasors (V) that stay within their spreads (V).
 *  @return ::BLN_E_VALUE (a spread below 0, or that of x reaches to 0 V), ::BLN_E_NOT_FINITE */
BLN_API bln_status bln_ratio_spread(double x_re, double x_im, double y_re, double y_im, double spread_x, double spread_y,
                                    double *out, bln_error **err) BLN_NOEXCEPT;
/** Limit in W of the error left in active power that was corrected by a ratio of voltages:
 *  |S| spread + 2 sum V(h) I(h) over harmonics h >= 2.
 *  @param volt_amperes   |S| as registered
 *  @param spread         of the ratio; bln_ratio_spread()
 *  @param volts,amps     rms of @p n harmonics, V and A; the greater of the two voltages of an order
 *  @return ::BLN_E_VALUE (negative), ::BLN_E_NOT_FINITE */
BLN_API bln_status bln_correction_limit(double volt_amperes, double spread, size_t n, const double *volts,
                                        const double *amps, double *out, bln_error **err) BLN_NOEXCEPT;

/** All wirings that may stand behind one record. Immutable. */
typedef struct bln_hypotheses bln_hypotheses;
/** Kinds of wiring to consider, as bits of `kinds`; without any: CTs on any phase conductor of the loads. */
enum {
    BLN_HYPOTHESIS_REVERSED = 1,        /**< either direction */
    BLN_HYPOTHESIS_NEUTRAL = 2,         /**< CTs round neutral or ground as well */
    BLN_HYPOTHESIS_TWO_CONDUCTORS = 4,  /**< windows with two conductors */
    BLN_HYPOTHESIS_DEAD = 8,            /**< elements without current */
    BLN_HYPOTHESIS_EACH_ONCE = 16,      /**< no two CTs round the same conductor */
    BLN_HYPOTHESIS_LEAD_ORDERS = 32,    /**< the device's phase leads in any order */
    BLN_HYPOTHESIS_LEAD_MISSING = 64,   /**< one phase lead without voltage */
    BLN_HYPOTHESIS_COMMON_FLOATING = 128 /**< the N lead landed on nothing */
};
/** What to consider. */
typedef struct bln_hypothesis_options {
    uint32_t size;             /**< in: sizeof(bln_hypothesis_options) */
    uint32_t kinds;            /**< bits BLN_HYPOTHESIS_... */
    const int64_t *ratio_num;  /**< true over configured ratios to consider, above 0; NULL: 1 alone */
    const int64_t *ratio_den;  /**< denominators; NULL: all 1 */
    size_t ratios;             /**< how many, up to 255 */
} bln_hypothesis_options;
/** What is looked at. */
enum {
    BLN_SEES_EACH = 10,  /**< P and Q of every element */
    BLN_SEES_TOTAL = 20, /**< P and Q of the weighted sum */
    BLN_SEES_SHAPE = 30  /**< P and Q of every element, size and angle of the load being unknown; with ::BLN_OVER_BALANCED */
};
/** Over which states of supply and load. */
enum {
    BLN_OVER_ANY = 10,     /**< every voltage and current that the topology allows */
    BLN_OVER_NOMINAL = 20, /**< nominal voltages of the fundamental, every current */
    BLN_OVER_BALANCED = 30 /**< nominal voltages, equal impedances of any angle on the phases of the first load */
};
/** Lists the wirings of a form [caller frees]. An element whose CT sees several conductors keeps them together.
 *  @return ::BLN_E_SIZE (more than 1,048,576), ::BLN_E_VALUE (a ratio, a lead that the service lacks, a record that puts
 *  two CTs round one conductor where each may stand once), ::BLN_E_RANGE (@p kinds) */
BLN_API bln_status bln_hypotheses_new(const bln_form *form, const bln_hypothesis_options *options, bln_hypotheses **out,
                                      bln_error **err) BLN_NOEXCEPT;
/** How many; 0 for NULL. Hypothesis 0 is the record itself. */
BLN_API size_t bln_hypotheses_count(const bln_hypotheses *hypotheses) BLN_NOEXCEPT;
/** Where hypothesis @p i puts the CT of an element. Each output may be NULL. ::BLN_E_RANGE.
 *  @param on        conductor; -1: none (dead); -2: the conductors of the record, together
 *  @param also      second conductor in the window, or -1
 *  @param sign      1 as recorded, -1 reversed
 *  @param also_sign sense of the second conductor against the first
 *  @param ratio_num,ratio_den true over configured ratio */
BLN_API bln_status bln_hypotheses_at(const bln_hypotheses *hypotheses, size_t i, size_t element, int32_t *on,
                                     int32_t *also, int32_t *sign, int32_t *also_sign, int64_t *ratio_num,
                                     int64_t *ratio_den, bln_error **err) BLN_NOEXCEPT;
/** What an element reads under hypothesis @p i at nominal voltages: S = sum of z(k) I(k)*, without its weight.
 *  @param re,im z by conductor, in units of the first phase's nominal voltage: room for bln_form_conductor_count()
 *  @return ::BLN_E_ABSENT (a voltage that is not known), ::BLN_E_RANGE */
BLN_API bln_status bln_hypotheses_reads(const bln_hypotheses *hypotheses, size_t i, size_t element, double *re,
                                        double *im, bln_error **err) BLN_NOEXCEPT;
/** Hypothesis @p i in words [caller frees]: "as recorded", "element 2 on C, reversed". ::BLN_E_RANGE. */
BLN_API bln_status bln_hypotheses_words(const bln_hypotheses *hypotheses, size_t i, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** The form of hypothesis @p i [caller frees]. ::BLN_E_RANGE. */
BLN_API bln_status bln_hypotheses_form(const bln_hypotheses *hypotheses, size_t i, bln_form **out, bln_error **err) BLN_NOEXCEPT;
/** Which hypotheses no reading tells apart: an exact comparison, without tolerance.
 *  @param sees,over BLN_SEES_..., BLN_OVER_...
 *  @param of        class of each hypothesis, numbered from 0 in order of first appearance: room for
 *                   bln_hypotheses_count(), or NULL
 *  @param count     number of classes
 *  @return ::BLN_E_ABSENT (nominal voltages that matter are not known), ::BLN_E_VALUE (shape, not balanced),
 *          ::BLN_E_RANGE, ::BLN_E_OVERFLOW */
BLN_API bln_status bln_hypotheses_classes(const bln_hypotheses *hypotheses, int32_t sees, int32_t over, uint32_t *of,
                                          uint32_t *count, bln_error **err) BLN_NOEXCEPT;
/** Frees them. */
BLN_API void bln_hypotheses_free(bln_hypotheses *hypotheses) BLN_NOEXCEPT;

/** @} @defgroup check Rules over the record
 * @{ */

/** Checks a view against every rule of the catalogue [caller frees the report].
 *  A wrong site is a result: the call succeeds and the report says so.
 *  @param policy   of ::BLN_POLICY_CHECK, or NULL for the defaults
 *  @param progress may be NULL
 *  @return ::BLN_E_CANCELLED, ::BLN_E_ARGUMENT (policy of another domain) */
BLN_API bln_status bln_check(const bln_view *view, const bln_policy *policy, bln_progress progress, void *user,
                             bln_report **out, bln_error **err) BLN_NOEXCEPT;

/** @} @defgroup live Live check: readings against the record
 * @{ */

/** A set of readings of channels. Immutable once made. */
typedef struct bln_readings bln_readings;
/** What an angle between voltage and current means. */
enum {
    BLN_ANGLE_V_MINUS_I = 10, /**< angle of the voltage minus that of the current: lagging is positive */
    BLN_ANGLE_I_MINUS_V = 20  /**< angle of the current minus that of the voltage: lagging is negative */
};
/** What the sign of a power factor means. */
enum {
    BLN_PF_UNSIGNED = 10,     /**< a magnitude, 0 to 1: says nothing about direction or lag */
    BLN_PF_SIGN_OF_WATTS = 20,/**< negative while active power is negative; says nothing about lag */
    BLN_PF_LAG_POSITIVE = 30, /**< positive: lagging, negative: leading; the sign of the watts is another column's */
    BLN_PF_LEAD_POSITIVE = 40 /**< positive: leading, negative: lagging; the sign of the watts is another column's */
};
/** Columns of readings [borrowed for the call], each with one item a row. A column whose data is NULL
 *  is absent; an item whose validity bit is 0 is unknown. Powers are those of the fundamental where the
 *  meter tells it apart, with the sign that the meter reports after its own polarity setting. */
typedef struct bln_readings_columns {
    uint32_t size;                   /**< in: sizeof(bln_readings_columns) */
    int32_t angle_convention;        /**< BLN_ANGLE_...; required with angle_deg */
    int32_t power_factor_convention; /**< BLN_PF_...; required with power_factor */
    uint32_t reserved;               /**< 0 */
    bln_column at;                   /**< ::BLN_TYPE_I64, ::bln_instant; absent: all rows are of one instant */
    bln_column volts;                /**< V, not negative */
    bln_column amps;                 /**< A, not negative */
    bln_column watts;                /**< W, signed */
    bln_column vars;                 /**< var, signed, lagging positive */
    bln_column volt_amps;            /**< VA, not negative */
    bln_column power_factor;         /**< -1 to 1 */
    bln_column angle_deg;            /**< degrees, any turn */
} bln_readings_columns;
/** Makes readings from columns [caller frees]. Whether a channel is in a record is not asked here.
 *  @param n        rows
 *  @param channels @p n ids of channels
 *  @return ::BLN_E_CONVENTION (angles or power factors without theirs), ::BLN_E_TYPE (time not int64),
 *  ::BLN_E_NOT_FINITE, ::BLN_E_VALUE (id; negative magnitude; power factor beyond 1), ::BLN_E_RANGE
 *  (convention, column type, stride). All bad items are listed, up to 100; line = row from 1. */
BLN_API bln_status bln_readings_new(size_t n, const char *const *channels, const bln_readings_columns *columns,
                                    bln_readings **out, bln_error **err) BLN_NOEXCEPT;
/** Makes readings from CSV (RFC 4180, UTF-8, a byte order mark is skipped) [caller frees].
 *  The first record names the columns, in any order: channel (required), at (RFC 3339), volts, amps, watts,
 *  vars, volt_amps; angle_v_minus_i_deg or angle_i_minus_v_deg; one of power_factor_unsigned,
 *  power_factor_sign_of_watts, power_factor_lag_positive, power_factor_lead_positive. An empty cell is unknown.
 *  @return ::BLN_E_SYNTAX, ::BLN_E_ENCODING, ::BLN_E_SIZE; ::BLN_E_CONVENTION (a column named angle_deg, angle or
 *  power_factor); ::BLN_E_FIELD (a column of another name, or none named channel), ::BLN_E_UNIT (a known
 *  quantity in another unit), ::BLN_E_DUPLICATE (a column twice); ::BLN_E_VALUE, ::BLN_E_NOT_FINITE. Cell
 *  errors are all listed, up to 100. */
BLN_API bln_status bln_readings_read_csv(const char *csv, size_t n, const bln_limits *limits, bln_readings **out,
                                         bln_error **err) BLN_NOEXCEPT;
/** Number of rows; 0 for NULL. */
BLN_API size_t bln_readings_count(const bln_readings *readings) BLN_NOEXCEPT;
/** Frees readings. */
BLN_API void bln_readings_free(bln_readings *readings) BLN_NOEXCEPT;

/** What a live check found. Immutable. */
typedef struct bln_live bln_live;
/** How surely a channel reads as the record says. */
enum {
    BLN_PROOF_WRONG = 10,      /**< it reads as if wired otherwise */
    BLN_PROOF_UNDECIDED = 20,  /**< the readings allow more than one explanation, or contradict themselves */
    BLN_PROOF_NOT_PROVEN = 30, /**< no load, or no reading that says anything */
    BLN_PROOF_LIKELY = 35,     /**< inside the band; an unusual load on another conductor would look the same */
    BLN_PROOF_RIGHT = 40       /**< inside the band, and no other wiring would read so */
};
/** Bits of `given` in ::bln_live_channel. */
enum { BLN_LIVE_HAS_WATTS = 1, BLN_LIVE_HAS_VARS = 2, BLN_LIVE_HAS_ANGLE = 4, BLN_LIVE_HAS_BAND = 8 };
/** One channel of a live check; texts [borrowed from the result]. */
typedef struct bln_live_channel {
    uint32_t size;         /**< in: sizeof(bln_live_channel) */
    int32_t proof;         /**< BLN_PROOF_... */
    const char *channel;   /**< id */
    const char *point;     /**< id of the first point that it is an element of, or "" */
    const char *reads_as;  /**< wirings that explain the angle: "as recorded", "reversed", "on phase B",
                                "on phase B, reversed", several joined by " or ", or "" */
    int64_t row;           /**< row of the readings that was judged, or -1 */
    int32_t loaded;        /**< 1: enough load for a verdict */
    uint32_t given;        /**< bits BLN_LIVE_HAS_...: which of the numbers below count */
    double watts;          /**< W, signed */
    double vars;           /**< var, signed */
    double angle_deg;      /**< angle that was judged, voltage minus current, -180 to 180 */
    double band_low_deg;   /**< least angle that the recorded wiring and load kind explain */
    double band_high_deg;  /**< greatest such angle; may exceed 180 when the band crosses it */
} bln_live_channel;
/** One point of a live check; texts [borrowed from the result]. */
typedef struct bln_live_point {
    uint32_t size;           /**< in: sizeof(bln_live_point) */
    int32_t proof;           /**< the weakest of its channels */
    const char *point;       /**< id */
    uint32_t channels;       /**< channels that make it */
    uint32_t read;           /**< of these, with a reading of active power */
    uint32_t loaded;         /**< of these, with enough load */
    uint32_t reserved;       /**< 0 */
    double watts;            /**< W, sum of what was read, weighted as configured */
    double vars;             /**< var, sum of what was read, weighted as configured */
} bln_live_point;
/** One comparison of branches with the main that feeds them; texts [borrowed from the result]. */
typedef struct bln_live_sum {
    uint32_t size;           /**< in: sizeof(bln_live_sum) */
    int32_t verdict;         /**< BLN_RIGHT, BLN_WRONG, BLN_UNDECIDED, or BLN_NOT_CHECKED when a circuit is not read */
    const char *main;        /**< id of the main circuit */
    const char *phase;       /**< "A", "B", "C", or "" for all of them together */
    double main_watts;       /**< W */
    double branch_watts;     /**< W, sum of the circuits below */
    double tolerance_watts;  /**< W, from the policy */
    uint32_t circuits;       /**< circuits below that main */
    uint32_t unread;         /**< of these, not read completely */
} bln_live_sum;

/** Judges readings against a view [caller frees]. A wrong wiring is a result: the call succeeds.
 *  Where one channel has several rows, the row with the greatest load is judged. Sums compare the
 *  latest instant.
 *  @param policy   of ::BLN_POLICY_LIVE, or NULL for the defaults
 *  @param progress may be NULL
 *  @return ::BLN_E_CANCELLED, ::BLN_E_ARGUMENT (policy of another domain) */
BLN_API bln_status bln_live_check(const bln_view *view, const bln_readings *readings, const bln_policy *policy,
                                  bln_progress progress, void *user, bln_live **out, bln_error **err) BLN_NOEXCEPT;
/** Number of channel rows: every channel of the record, in its order; 0 for NULL. */
BLN_API size_t bln_live_channel_count(const bln_live *live) BLN_NOEXCEPT;
/** Channel row @p i. ::BLN_E_RANGE. */
BLN_API bln_status bln_live_channel_at(const bln_live *live, size_t i, bln_live_channel *out,
                                       bln_error **err) BLN_NOEXCEPT;
/** Number of point rows: every point of the record, in its order; 0 for NULL. */
BLN_API size_t bln_live_point_count(const bln_live *live) BLN_NOEXCEPT;
/** Point row @p i. ::BLN_E_RANGE. */
BLN_API bln_status bln_live_point_at(const bln_live *live, size_t i, bln_live_point *out, bln_error **err) BLN_NOEXCEPT;
/** Number of sums; 0 for NULL. */
BLN_API size_t bln_live_sum_count(const bln_live *live) BLN_NOEXCEPT;
/** Sum @p i. ::BLN_E_RANGE. */
BLN_API bln_status bln_live_sum_at(const bln_live *live, size_t i, bln_live_sum *out, bln_error **err) BLN_NOEXCEPT;
/** What was found, as findings [caller frees]. */
BLN_API bln_status bln_live_report(const bln_live *live, bln_report **out, bln_error **err) BLN_NOEXCEPT;
/** Frees a result. */
BLN_API void bln_live_free(bln_live *live) BLN_NOEXCEPT;

/** @} @defgroup proof Proof of points from live readings
 * Which wirings explain what the elements of a point read, how probable each is, and what would settle the rest
 * (docs/theory/proof.md). Results support, and never replace, licensed practice and the rules of the local metrology
 * authority.
 * @{ */

/** Verdicts. They speak of conductor, direction and voltage reference of every element; a wrong ratio shows only where
 *  poles are coupled, or by a clamp. */
enum {
    BLN_POINT_PROVEN = 10,     /**< as recorded, and no other wiring explains the readings */
    BLN_POINT_LIKELY = 20,     /**< as recorded is by far the most probable */
    BLN_POINT_OPEN = 30,       /**< several wirings explain the readings, or none does */
    BLN_POINT_WRONG = 40,      /**< not as recorded */
    BLN_POINT_NOT_LOADED = 50, /**< too little current to say anything */
    BLN_POINT_NOT_JUDGED = 60  /**< no reading that counts, or a fact of the record is missing */
};
/** Kinds of tests on site. */
enum {
    BLN_TEST_VOLTMETER = 10, /**< `value` V between the conductor in the CT and voltage terminal `conductor` */
    BLN_TEST_CLAMP = 20,     /**< `value` A by a clamp meter round the conductor in the CT; the channel reads `before` A */
    BLN_TEST_KNOWN_LOAD = 30,/**< a resistive load of `value` W was switched on at pole `conductor` of `circuit`; the
                                  channel's readings changed by `watts` and `vars` */
    BLN_TEST_SWITCHING = 40, /**< the breaker of `circuit` was switched off; the channel read `before` A, then `after` A */
    BLN_TEST_INSPECTION = 50 /**< somebody looked: the CT is round `conductor`, its direction is `sign` */
};
/** One test on one channel; texts [borrowed for the call]. */
typedef struct bln_proof_test {
    uint32_t size;         /**< in: sizeof(bln_proof_test) */
    int32_t kind;          /**< BLN_TEST_... */
    const char *channel;   /**< id */
    const char *conductor; /**< A, B, C, N or G, as the kind says; NULL or "": not stated */
    const char *circuit;   /**< id, as the kind says; NULL or "": not stated */
    double value;          /**< V, A or W, as the kind says; not negative */
    double before;         /**< A */
    double after;          /**< A */
    double watts;          /**< W, signed */
    double vars;           /**< var, signed */
    int32_t sign;          /**< inspection: 1 as recorded, -1 the other way round, 0 not seen */
    uint32_t reserved;     /**< 0 */
} bln_proof_test;

/** What was found out about every point of a record. Immutable. */
typedef struct bln_proof bln_proof;
/** One point; texts [borrowed from the result]. */
typedef struct bln_proof_point {
    uint32_t size;             /**< in: sizeof(bln_proof_point) */
    int32_t verdict;           /**< BLN_POINT_... */
    const char *point;         /**< id */
    const char *evidence;      /**< why, in words with the numbers */
    double probability;        /**< of the class that is named first; 0 when there is none */
    double record_probability; /**< that all is as recorded */
    uint32_t class_count;      /**< classes that explain the readings: ::bln_proof_class_at */
    uint32_t excluded_not;     /**< further possibilities: ::bln_proof_not_excluded_at */
    uint32_t snapshots;        /**< instants that were read */
    uint32_t elements;         /**< elements */
    uint32_t loaded;           /**< of these, with enough load in one snapshot at least */
    uint32_t reserved;         /**< 0 */
} bln_proof_point;
/** One class of wirings that no reading tells apart; texts [borrowed from the result]. */
typedef struct bln_proof_class {
    uint32_t size;           /**< in: sizeof(bln_proof_class) */
    int32_t is_record;       /**< 1: "as recorded" is in it */
    double probability;      /**< 0 to 1 */
    double likelihood_ratio; /**< against the best class, whatever the priors */
    const char *words;       /**< its simplest wiring, such as "element 2 on C, reversed" */
    uint32_t members;        /**< wirings in it, 64 at most */
    uint32_t reserved;       /**< 0 */
} bln_proof_class;
/** Where one CT is in one wiring of a class; texts [borrowed from the result]. */
typedef struct bln_proof_placement {
    uint32_t size;         /**< in: sizeof(bln_proof_placement) */
    int32_t sign;          /**< 1, or -1: reversed against the record */
    const char *channel;   /**< id */
    const char *conductor; /**< A, B, C, N; "none": without current; "recorded": several, as recorded */
    const char *also;      /**< second conductor in the window, or "none" */
    const char *ratio;     /**< true over configured: "1", "2", "1/2" */
    int32_t dead;          /**< 1: without current */
    int32_t foreign;       /**< 1: the conductor is another circuit's */
} bln_proof_placement;

/** Infers the wiring of every point from readings, and from tests where there are any [caller frees]. Rows of one point
 *  within the policy's snapshot_seconds are one snapshot. Settings of the record count as configured: a reversal that
 *  a setting undoes is right. A wrong wiring is a result: the call succeeds.
 *  @param tests    @p n tests, or NULL
 *  @param policy   of ::BLN_POLICY_PROOF, or NULL for the defaults
 *  @param progress may be NULL
 *  @return ::BLN_E_CANCELLED, ::BLN_E_ARGUMENT (policy of another domain), ::BLN_E_RANGE (kind of a test),
 *  ::BLN_E_VALUE, ::BLN_E_NOT_FINITE (numbers of a test) */
BLN_API bln_status bln_proof_new(const bln_view *view, const bln_readings *readings, const bln_proof_test *tests,
                                 size_t n, const bln_policy *policy, bln_progress progress, void *user,
                                 bln_proof **out, bln_error **err) BLN_NOEXCEPT;
/** Number of points: every point of the record, in its order; 0 for NULL. */
BLN_API size_t bln_proof_point_count(const bln_proof *proof) BLN_NOEXCEPT;
/** Point @p i. ::BLN_E_RANGE. */
BLN_API bln_status bln_proof_point_at(const bln_proof *proof, size_t i, bln_proof_point *out,
                                      bln_error **err) BLN_NOEXCEPT;
/** Class @p k of point @p i, the most probable first. ::BLN_E_RANGE. */
BLN_API bln_status bln_proof_class_at(const bln_proof *proof, size_t i, size_t k, bln_proof_class *out,
                                      bln_error **err) BLN_NOEXCEPT;
/** Wiring @p m of a class [texts borrowed from the result]. ::BLN_E_RANGE.
 *  @param words      all of it
 *  @param leads      of these, what is said of the device's voltage leads, or ""
 *  @param placements number of elements that have one */
BLN_API bln_status bln_proof_member_at(const bln_proof *proof, size_t i, size_t k, size_t m, const char **words,
                                       const char **leads, size_t *placements, bln_error **err) BLN_NOEXCEPT;
/** Placement @p e of wiring @p m of a class. ::BLN_E_RANGE. */
BLN_API bln_status bln_proof_placement_at(const bln_proof *proof, size_t i, size_t k, size_t m, size_t e,
                                          bln_proof_placement *out, bln_error **err) BLN_NOEXCEPT;
/** Possibility @p k beside the classes of point @p i [borrowed from the result]: less likely wirings, and what no
 *  reading can show. ::BLN_E_RANGE. */
BLN_API bln_status bln_proof_not_excluded_at(const bln_proof *proof, size_t i, size_t k, const char **words,
                                             bln_error **err) BLN_NOEXCEPT;
/** What was found, as findings [caller frees]. */
BLN_API bln_status bln_proof_report(const bln_proof *proof, bln_report **out, bln_error **err) BLN_NOEXCEPT;
/** Frees a result. */
BLN_API void bln_proof_free(bln_proof *proof) BLN_NOEXCEPT;

/** @} @defgroup energy Energy: intervals, roll-up, reconciliation
 * @{ */

/** Energy of channels in equal intervals. Immutable once made. */
typedef struct bln_intervals bln_intervals;
/** What the time beside an interval is. */
enum {
    BLN_STAMP_START = 10, /**< its start */
    BLN_STAMP_END = 20    /**< its end; the start is one duration earlier */
};
/** Where counts were read. What the record's `scaled_by` names has scaled them already when it stands before or at
 *  that place in the order device, head end, billing; otherwise the roll-up applies the configured ratio, once. */
enum {
    BLN_READ_FROM_DEVICE = 10,   /**< the registers of the device */
    BLN_READ_FROM_HEAD_END = 20, /**< what the reading system hands on */
    BLN_READ_FROM_BILLING = 30   /**< what the billing system holds */
};
/** What holds for every row of an interval file. */
typedef struct bln_interval_rule {
    uint32_t size;        /**< in: sizeof(bln_interval_rule) */
    int32_t stamp;        /**< BLN_STAMP_... */
    int64_t duration;     /**< microseconds, more than 0 */
    int64_t wh_num;       /**< watt-hours (and var-hours) of one count: numerator, more than 0 */
    int64_t wh_den;       /**< denominator, more than 0 */
    int32_t read_from;    /**< BLN_READ_FROM_...; 0: the device */
    int32_t reserved;     /**< 0 */
} bln_interval_rule;
/** Columns of intervals [borrowed for the call], one item a row; ::BLN_TYPE_I64, I32, I16 or U8, never floats:
 *  counts are exact. A column whose data is NULL is absent; an item whose validity bit is 0 is missing. */
typedef struct bln_interval_columns {
    uint32_t size;        /**< in: sizeof(bln_interval_columns) */
    uint32_t reserved;    /**< 0 */
    bln_column channel;   /**< position in the list of ids */
    bln_column at;        /**< ::BLN_TYPE_I64, ::bln_instant, as the rule's stamp says */
    bln_column net_p;     /**< active energy, import minus export, in counts */
    bln_column net_q;     /**< reactive energy, lagging positive, in counts */
    bln_column import_p;  /**< active energy into the load, in counts, not negative */
    bln_column export_p;  /**< active energy out of the load, in counts, not negative */
    bln_column import_q;  /**< reactive energy into the load, in counts, not negative */
    bln_column export_q;  /**< reactive energy out of the load, in counts, not negative */
    bln_column q1;        /**< reactive energy of quadrant I (IEC 62053-23), in counts, not negative */
    bln_column q2;        /**< the same of quadrant II */
    bln_column q3;        /**< the same of quadrant III */
    bln_column q4;        /**< the same of quadrant IV */
    bln_column apparent;  /**< apparent energy as the device forms it, in counts (of VAh), not negative */
    bln_column quality;   /**< quality code of the row: 0, 7 to 11, 13, 14, 17 to 19, QualityOfReading of the ESPI
                               schema (NAESB REQ.21) */
} bln_interval_columns;
/** Makes intervals from columns in long form, in any order of rows [caller frees].
 *  @param ids    @p id_count ids of channels, each once
 *  @return ::BLN_E_TYPE (floats), ::BLN_E_VALUE (id; position of a channel; an interval that does not lie on the
 *  grid of the first row; negative register), ::BLN_E_DUPLICATE (id), ::BLN_E_RANGE (rule, column type, stride),
 *  ::BLN_E_OVERFLOW (time), ::BLN_E_SIZE (a span of time far beyond the rows). All bad rows are listed, up to 100. */
BLN_API bln_status bln_intervals_new(const bln_interval_rule *rule, const char *const *ids, size_t id_count, size_t n,
                                     const bln_interval_columns *columns, bln_intervals **out,
                                     bln_error **err) BLN_NOEXCEPT;
/** Makes intervals from CSV in long form (RFC 4180, UTF-8, a byte order mark is skipped) [caller frees].
 *  The first record names the columns, in any order: channel; start (or end, when the rule's stamp is
 *  ::BLN_STAMP_END), RFC 3339; and any of net_p, net_q, import_p, export_p, integers. An empty cell is missing.
 *  @return ::BLN_E_SYNTAX, ::BLN_E_ENCODING, ::BLN_E_SIZE, ::BLN_E_FIELD, ::BLN_E_UNIT, ::BLN_E_DUPLICATE (column),
 *  and what bln_intervals_new() returns. Cell errors are all listed, up to 100. */
BLN_API bln_status bln_intervals_read_csv(const bln_interval_rule *rule, const char *csv, size_t n,
                                          const bln_limits *limits, bln_intervals **out, bln_error **err) BLN_NOEXCEPT;
/** Makes intervals from cumulative registers in long form, rows in any order [caller frees]: `at` is the time of a
 *  reading, and energy is what lies between two readings that are one duration apart, on the grid that most readings
 *  lie on. Each step must be explained by the rule, or its energy is left out and a note tells why; nothing is
 *  guessed. Sums over the intervals and the gaps of a register equal its last reading minus its first, exactly,
 *  rollovers and exchanges counted.
 *  @param registers JSON of a register rule [borrowed for the call], @p registers_size bytes, all keys optional:
 *  `modulus` (counts after which a register starts from 0), `max_watts` (most the channel can carry, as the register
 *  counts), `jitter` (counts by which a reading may fall back without meaning anything; 1), `channels` (id to an
 *  object of these three), `exchanges` (array of {channel, register, at, last, first}: an exchange or reset that
 *  somebody has seen, with the last reading of the old register and the first of the new one).
 *  A rollover is accepted only where the energy is at most 1.1 * max_watts * time and the time is less than
 *  modulus / max_watts (common practice, no source for the 1.1).
 *  @return what bln_intervals_new() returns; for the rule the 2xx and 3xx statuses with their place;
 *  ::BLN_E_NO_ENTITY (an exchange of what has no readings); ::BLN_E_VALUE (a reading past the modulus) */
BLN_API bln_status bln_intervals_new_registers(const bln_interval_rule *rule, const char *registers,
                                               size_t registers_size, const char *const *ids, size_t id_count, size_t n,
                                               const bln_interval_columns *columns, bln_intervals **out,
                                               bln_error **err) BLN_NOEXCEPT;
/** Quantities that a count counts. */
enum {
    BLN_QUANTITY_NET_P = 0,
    BLN_QUANTITY_NET_Q = 1,
    BLN_QUANTITY_IMPORT_P = 2,
    BLN_QUANTITY_EXPORT_P = 3,
    BLN_QUANTITY_IMPORT_Q = 4,
    BLN_QUANTITY_EXPORT_Q = 5,
    BLN_QUANTITY_Q1 = 6,
    BLN_QUANTITY_Q2 = 7,
    BLN_QUANTITY_Q3 = 8,
    BLN_QUANTITY_Q4 = 9,
    BLN_QUANTITY_APPARENT = 10
};
/** Makes intervals from columns in wide form: one instant a row, one column a channel [caller frees].
 *  @param quantity BLN_QUANTITY_... of all columns
 *  @param at       @p n instants, ::BLN_TYPE_I64, as the rule's stamp says, in any order
 *  @param counts   @p id_count columns of @p n counts
 *  @param quality  @p id_count columns of @p n quality codes, or NULL
 *  @return what bln_intervals_new() returns */
BLN_API bln_status bln_intervals_new_wide(const bln_interval_rule *rule, int32_t quantity, const char *const *ids,
                                          size_t id_count, size_t n, const bln_column *at, const bln_column *counts,
                                          const bln_column *quality, bln_intervals **out,
                                          bln_error **err) BLN_NOEXCEPT;
/** Makes intervals from CSV whose columns a map explains [caller frees].
 *  @param map JSON of a column map [borrowed for the call], @p map_size bytes, all keys optional:
 *  - `delimiter` (","), `decimal` ("." or ","), `encoding` ("utf-8" or "iso-8859-1")
 *  - `header` (true; false: columns are called "1", "2", ...)
 *  - `time`: "rfc3339" (with Z or an offset), "epoch_seconds", "epoch_micros"
 *  - `wh_per_unit`: Wh (varh, VAh) of a 1 in the file, an integer or "p/q": decimal numbers then become counts of the
 *    rule, exactly or not at all; absent: numbers are counts
 *  - `columns`: name in the file to what it is: "channel", "start", "end", "quality", "ignored", or a quantity
 *    (net_p, net_q, import_p, export_p, import_q, export_q, q1, q2, q3, q4, apparent). {"is": quantity, "channel": id}
 *    makes the file wide. Absent: the names are these words
 *  - `others`: columns that are not named: "refuse", "ignore", or a quantity, each column being a channel
 *  - `channels`: name in the file to id; `unlisted_channels`: "take" or "refuse"
 *  - `quality`: word in the file to a quality code (number or word); codes and their words are known
 *  - `registers`: a register rule as in bln_intervals_new_registers(): the numbers are readings, start or end (one
 *    of them) their time
 *  Where start and end both stand in a file, they must be one duration apart.
 *  @return what bln_intervals_read_csv() returns; for the map the 2xx and 3xx statuses with their place, subject
 *  "map"; ::BLN_E_NO_ENTITY (a channel that the map refuses) */
BLN_API bln_status bln_intervals_read_csv_map(const bln_interval_rule *rule, const char *map, size_t map_size,
                                              const char *csv, size_t n, const bln_limits *limits, bln_intervals **out,
                                              bln_error **err) BLN_NOEXCEPT;

/** Reads CSV that comes in blocks of bytes, cut anywhere. One thread at a time. */
typedef struct bln_interval_reader bln_interval_reader;
/** Makes a reader [caller frees].
 *  @param map  as in bln_intervals_read_csv_map(); NULL with @p map_size 0: the columns have our names
 *  @param keep 1: rows are laid out for bln_interval_reader_finish(), in memory that grows with the energy, not with
 *  the text; 0: rows are for bln_interval_reader_take(), in memory that does not grow at all
 *  @param limits may be NULL; max_bytes holds for the whole stream (default: no limit) */
BLN_API bln_status bln_interval_reader_new(const bln_interval_rule *rule, const char *map, size_t map_size,
                                           int32_t keep, const bln_limits *limits, bln_interval_reader **out,
                                           bln_error **err) BLN_NOEXCEPT;
/** Adds @p n bytes [borrowed for the call]. With keep 0, take rows before pushing more, or they pile up.
 *  @return ::BLN_E_SIZE; ::BLN_E_STATE (after the end, or after a call that failed); with keep 1 what
 *  bln_intervals_read_csv_map() returns for syntax, encoding, header and span. Refused cells are no failure here */
BLN_API bln_status bln_interval_reader_push(bln_interval_reader *reader, const char *bytes, size_t n,
                                            bln_error **err) BLN_NOEXCEPT;
/** Says that nothing more comes, and with keep 1 makes the intervals [caller frees].
 *  @param out with keep 0 NULL
 *  @return ::BLN_E_STATE; with keep 1 what bln_intervals_read_csv_map() returns, refused cells included */
BLN_API bln_status bln_interval_reader_finish(bln_interval_reader *reader, bln_intervals **out,
                                              bln_error **err) BLN_NOEXCEPT;
/** Where rows go: columns of ::BLN_TYPE_I64 in memory of the caller; one whose data is NULL is not wanted. The
 *  validity of a quantity tells which rows have it. */
typedef struct bln_interval_rows {
    uint32_t size;           /**< in: sizeof(bln_interval_rows) */
    uint32_t reserved;       /**< 0 */
    bln_out_column channel;  /**< position among bln_interval_reader_channel() */
    bln_out_column at;       /**< start of the interval; of a register, time of the reading */
    bln_out_column line;     /**< line of the text, from 1 */
    bln_out_column quality;  /**< code; not valid where the row names none */
    bln_out_column quantity[11]; /**< by BLN_QUANTITY_... */
} bln_interval_rows;
/** Hands out up to @p room rows. @p taken 0: everything that was pushed has been read.
 *  @return ::BLN_E_STATE (keep 1, or after a call that failed); ::BLN_E_SYNTAX, ::BLN_E_ENCODING, ::BLN_E_FIELD and the other
 *  statuses of a header; ::BLN_E_TYPE, ::BLN_E_RANGE (stride). Refused records are left out */
BLN_API bln_status bln_interval_reader_take(bln_interval_reader *reader, const bln_interval_rows *into, size_t room,
                                            size_t *taken, bln_error **err) BLN_NOEXCEPT;
/** Number of channels seen so far; 0 for NULL. */
BLN_API size_t bln_interval_reader_channels(const bln_interval_reader *reader) BLN_NOEXCEPT;
/** Id of channel @p i [borrowed from the reader until the next push or take]; NULL past the end. */
BLN_API const char *bln_interval_reader_channel(const bln_interval_reader *reader, size_t i) BLN_NOEXCEPT;
/** Number of cells and records refused so far; 0 for NULL. */
BLN_API uint64_t bln_interval_reader_refused(const bln_interval_reader *reader) BLN_NOEXCEPT;
/** ::BLN_OK while nothing was refused; otherwise the status of the first refused cell, with the first 100 of them. */
BLN_API bln_status bln_interval_reader_check(const bln_interval_reader *reader, bln_error **err) BLN_NOEXCEPT;
/** Frees a reader; intervals made by it live on. */
BLN_API void bln_interval_reader_free(bln_interval_reader *reader) BLN_NOEXCEPT;

/** Writes the counts of one channel, bln_intervals_count() items; a validity bit of 0 marks what is missing.
 *  @param channel  position of the channel
 *  @param quantity BLN_QUANTITY_...
 *  @param into     ::BLN_TYPE_I64
 *  @param n        room of @p into in items
 *  @return ::BLN_E_RANGE (channel, quantity, stride, room), ::BLN_E_TYPE, ::BLN_E_ABSENT (no row has the quantity) */
BLN_API bln_status bln_intervals_series(const bln_intervals *intervals, size_t channel, int32_t quantity,
                                        const bln_out_column *into, size_t n, bln_error **err) BLN_NOEXCEPT;
/** Writes the quality codes of one channel, bln_intervals_count() items of @p out; 0 (valid) where none was given.
 *  @return ::BLN_E_RANGE (channel, room), ::BLN_E_ABSENT (no row names one) */
BLN_API bln_status bln_intervals_quality(const bln_intervals *intervals, size_t channel, uint8_t *out, size_t n,
                                         bln_error **err) BLN_NOEXCEPT;
/** How the rows of a channel came. */
typedef struct bln_interval_arrival {
    uint32_t size;         /**< in: sizeof(bln_interval_arrival) */
    uint32_t reserved;     /**< 0 */
    uint64_t rows;         /**< all of them */
    uint64_t repeated;     /**< rows that say again what another one said */
    uint64_t out_of_order; /**< rows earlier than one before them */
} bln_interval_arrival;
/** How the rows of channel @p i came. ::BLN_E_RANGE. */
BLN_API bln_status bln_intervals_arrival(const bln_intervals *intervals, size_t i, bln_interval_arrival *out,
                                         bln_error **err) BLN_NOEXCEPT;
/** What a note is about. */
enum {
    BLN_NOTE_CONFLICT = 10,  /**< two rows contradict one another; neither counts */
    BLN_NOTE_ROLLOVER = 20,  /**< a register passed its last count; added */
    BLN_NOTE_JITTER = 30,    /**< a register read a little less than before; counted as unchanged */
    BLN_NOTE_EXCHANGE = 40,  /**< a register was exchanged or reset, as the rule says */
    BLN_NOTE_GAP = 50,       /**< readings between are missing: the energy is known, but of no one interval */
    BLN_NOTE_BACKWARDS = 60, /**< a register read less and nothing explains it for certain; left out */
    BLN_NOTE_TOO_FAST = 70,  /**< a register read more than its channel can have carried; left out */
    BLN_NOTE_TOO_LONG = 80,  /**< time enough for a register to pass its last count more than once; left out */
    BLN_NOTE_CUT_OFF = 90    /**< the text ends within a line: its last number may have lost digits */
};
/** Something about the rows that no error is, and that somebody should know; texts [borrowed from the intervals]. */
typedef struct bln_interval_note {
    uint32_t size;        /**< in: sizeof(bln_interval_note) */
    int32_t kind;         /**< BLN_NOTE_... */
    const char *channel;  /**< id, or "" */
    int32_t quantity;     /**< BLN_QUANTITY_..., or -1 */
    int32_t reserved;     /**< 0 */
    bln_instant from;     /**< start of the interval, or time of the reading before */
    bln_instant to;       /**< end of the interval, or time of the reading after */
    int64_t before;       /**< reading, or count of the first row */
    int64_t after;        /**< reading, or count of the second row */
    int64_t energy;       /**< counts between two readings; 0 where they are left out */
} bln_interval_note;
/** Number of notes; 0 for NULL. */
BLN_API size_t bln_intervals_notes(const bln_intervals *intervals) BLN_NOEXCEPT;
/** Note @p i: conflicts, then steps of registers, channel after channel. ::BLN_E_RANGE. */
BLN_API bln_status bln_intervals_note(const bln_intervals *intervals, size_t i, bln_interval_note *out,
                                      bln_error **err) BLN_NOEXCEPT;
/** Number of channels: all ids that were given with columns, or those that stand in the CSV; 0 for NULL. */
BLN_API size_t bln_intervals_channels(const bln_intervals *intervals) BLN_NOEXCEPT;
/** Id of channel @p i [borrowed from the intervals]; NULL past the end. */
BLN_API const char *bln_intervals_channel(const bln_intervals *intervals, size_t i) BLN_NOEXCEPT;
/** Number of intervals from the first to the last; 0 for NULL. */
BLN_API size_t bln_intervals_count(const bln_intervals *intervals) BLN_NOEXCEPT;
/** Start of the first interval; 0 when there is none. */
BLN_API bln_instant bln_intervals_first(const bln_intervals *intervals) BLN_NOEXCEPT;
/** Frees intervals. */
BLN_API void bln_intervals_free(bln_intervals *intervals) BLN_NOEXCEPT;

/** Energy of every point and roll-up of a site, exact. Immutable. */
typedef struct bln_statement bln_statement;
/** Kinds of statement row. */
enum {
    BLN_ROW_POINT = 10,      /**< a billing or main point: they and the unallocated rest divide the channels */
    BLN_ROW_CHECK = 20,      /**< a point of use `check`: stated, not part of the division */
    BLN_ROW_ROLLUP = 30,     /**< a roll-up */
    BLN_ROW_UNALLOCATED = 40 /**< what no billing or main point takes of one channel; negative: taken more than once */
};
/** One row of a statement; texts [borrowed from the statement]. Energies are counts of the statement's quantum. */
typedef struct bln_statement_row {
    uint32_t size;        /**< in: sizeof(bln_statement_row) */
    int32_t kind;         /**< BLN_ROW_... */
    const char *id;       /**< of the point, the roll-up, or the channel that is not allocated */
    const char *premises; /**< of a point at the last interval, or ""; for those before see ::bln_tenure */
    int64_t net;          /**< import - export */
    int64_t import_p;     /**< sum over the intervals in which the row's net is positive: its elements are summed first */
    int64_t export_p;     /**< sum over the intervals in which it is negative, as a positive number */
    int64_t net_q;        /**< reactive energy, of the channels that have it */
    uint64_t intervals;   /**< intervals of the statement */
    uint64_t missing;     /**< of these, with an element missing: the numbers then hold only the known part */
    uint64_t mixed;       /**< of these, split because the record changed, or the period ends, within them */
    int64_t import_q;     /**< reactive energy of the intervals in which the row's net is lagging (IEC 62053-23: quadrants I, II) */
    int64_t export_q;     /**< of those in which it is leading, as a positive number; net_q = import_q - export_q */
    int64_t apparent;     /**< apparent energy in counts of VAh: sum over the intervals of sqrt(P^2 + Q^2), P and Q being the
                               row's sums (vector volt-amperes), over @ref apparent_intervals. Never from registers of VA */
    uint64_t apparent_intervals; /**< intervals in which P and Q are complete; 0: apparent energy is not stated */
    double power_factor;  /**< P / sqrt(P^2 + Q^2) of the energies of these intervals; negative when exported; 0: not stated */
    int32_t apparent_bar; /**< BLN_BAR_...: why apparent energy cannot be stated */
    int32_t worst_quality;/**< code of the worst interval that is there; -1 when none is */
    uint64_t measured;    /**< intervals that are complete and measured throughout */
    uint64_t flagged;     /**< intervals that are complete, but estimated, edited, derived, divided or questionable in a part */
    int64_t flagged_net;  /**< net energy of these; measured + flagged + missing = intervals */
} bln_statement_row;
/** The energy of one point while one holder paid for it; texts [borrowed from the statement]. Tenures follow one
 *  another without gaps: net, import and export of those of a row add up to the row, to the last count. A change of the
 *  point's premises, or of their occupant or occupancy, ends a tenure; an interval that it cuts is divided by time. */
typedef struct bln_tenure {
    uint32_t size;         /**< in: sizeof(bln_tenure) */
    uint32_t reserved;     /**< 0 */
    uint64_t row;          /**< position of the point's row in the statement */
    const char *premises;  /**< id, or "": nobody's */
    const char *occupancy; /**< word of the field `occupancy`, or "" [static] */
    const char *occupant;  /**< who is billed, or "" */
    bln_instant from;      /**< begin: of the tenure, or of the period */
    bln_instant to;        /**< end, exclusive */
    int64_t net;           /**< import - export, in counts of the statement's quantum */
    int64_t import_p;      /**< as that of a row */
    int64_t export_p;      /**< likewise */
    int64_t net_q;         /**< reactive energy */
    int64_t import_q;      /**< likewise */
    int64_t export_q;      /**< likewise */
    int64_t apparent;      /**< as that of a row, over whole intervals only */
    uint64_t apparent_intervals; /**< intervals in which P and Q are complete; 0: apparent energy is not stated */
    double power_factor;   /**< over the same intervals; 0: not stated */
    uint64_t measured;     /**< whole intervals that are complete and measured throughout */
    uint64_t flagged;      /**< whole intervals that are complete, but not measured in a part */
    uint64_t missing;      /**< whole intervals with an element missing */
    uint64_t divided;      /**< intervals that it shares with the tenure before or after: their parts are derived */
    int64_t flagged_net;   /**< net energy of the flagged intervals and of its parts of divided ones */
} bln_tenure;
/** Why apparent energy is not stated. It is no sum of products: weights that are right for P are wrong for VA. */
enum {
    BLN_BAR_NONE = 0,            /**< nothing bars it */
    BLN_BAR_REWEIGHTED = 10,     /**< a channel has a multiplier, or a share other than 1 */
    BLN_BAR_SUMMED_CURRENT = 20, /**< an input adds the currents of several conductors */
    BLN_BAR_OF_A_PART = 30       /**< a roll-up with such a point, or with a coefficient other than 1 or -1 */
};
/** What of a row bln_statement_series() writes. */
enum {
    BLN_SERIES_NET = 10,   /**< net active energy */
    BLN_SERIES_NET_Q = 20, /**< net reactive energy */
    BLN_SERIES_QUALITY = 30/**< quality code of the worst part (::BLN_TYPE_I64 only) */
};
/** What of all rows bln_statement_column() writes: members of ::bln_statement_row. */
enum {
    BLN_OF_ROW_KIND = 10, BLN_OF_ROW_NET = 20, BLN_OF_ROW_IMPORT_P = 30, BLN_OF_ROW_EXPORT_P = 40,
    BLN_OF_ROW_NET_Q = 50, BLN_OF_ROW_IMPORT_Q = 60, BLN_OF_ROW_EXPORT_Q = 70, BLN_OF_ROW_APPARENT = 80,
    BLN_OF_ROW_APPARENT_INTERVALS = 90, BLN_OF_ROW_POWER_FACTOR = 100, BLN_OF_ROW_MEASURED = 110,
    BLN_OF_ROW_FLAGGED = 120, BLN_OF_ROW_MISSING = 130, BLN_OF_ROW_MIXED = 140, BLN_OF_ROW_FLAGGED_NET = 150
};
/** Which time is rolled up, as far as was known when, in which counts. */
typedef struct bln_rollup_period {
    uint32_t size;        /**< in: sizeof(bln_rollup_period) */
    uint32_t reserved;    /**< 0 */
    bln_instant from;     /**< begin, inclusive; ::BLN_BEGIN_OF_TIME: of the first interval */
    bln_instant to;       /**< end, exclusive; ::BLN_END_OF_TIME: of the last interval. An interval that a border cuts is
                               divided by time, so that periods that meet add up to the whole */
    bln_instant known;    /**< only what was recorded up to here counts; ::BLN_END_OF_TIME: all. With the instant of an
                               issued statement it comes out again, whatever was corrected since */
    int64_t quantum_num;  /**< Wh of one count handed out: numerator; 0: the greatest that makes every energy whole */
    int64_t quantum_den;  /**< denominator; 0 with a numerator of 0 */
} bln_rollup_period;
/** One reconciliation of a roll-up with its main; texts [borrowed from the statement]. Energies are counts of
 *  the quantum, summed over the intervals in which both are complete. */
typedef struct bln_reconciliation {
    uint32_t size;            /**< in: sizeof(bln_reconciliation) */
    int32_t verdict;          /**< BLN_RIGHT within the tolerance, BLN_UNDECIDED up to three times it, BLN_WRONG
                                   beyond, BLN_NOT_CHECKED when nothing can be compared */
    const char *rollup;       /**< id */
    const char *main;         /**< id of the main point */
    int64_t main_net;         /**< energy of the main */
    int64_t sum_net;          /**< energy of the roll-up */
    uint64_t intervals;       /**< intervals compared */
    uint64_t left_out;        /**< intervals in which something is missing */
    double difference_percent;/**< (sum - main) / main * 100; 0 when the main has none */
    double tolerance_percent; /**< of the roll-up, or of the policy */
} bln_reconciliation;
/** One explanation of the difference between a main and its roll-up that fits the intervals; texts [borrowed from
 *  the statement]. A suspicion, never a proof: other causes can have the same profile. */
typedef struct bln_suspicion {
    uint32_t size;          /**< in: sizeof(bln_suspicion) */
    uint32_t reserved;      /**< 0 */
    const char *rollup;     /**< id */
    const char *point;      /**< id of the point that the channel belongs to, or "" */
    const char *channel;    /**< id of the channel */
    const char *hypothesis; /**< "reversed", "on the next lagging phase", ... [static] */
    double missing_wh;      /**< rough energy in Wh that the sum lacks because of it: the point is billed that much
                                 too little; negative: too much */
    double explained;       /**< part of the variation of the difference that it explains, 0 to 1 */
} bln_suspicion;

/** Rolls intervals up through the dated record [caller frees]. Every interval uses the record as it held then;
 *  an interval in which the record changes is divided by time. For every interval, the sum over the rows of kind
 *  ::BLN_ROW_POINT and ::BLN_ROW_UNALLOCATED equals the sum over the channels, exactly.
 *  Registers count primary energy where the device's `scaled_by` is absent or `device`; otherwise the channel's
 *  configured ratio is applied.
 *  @param known    only what was recorded up to here counts; ::BLN_END_OF_TIME: all
 *  @param policy   of ::BLN_POLICY_ENERGY, or NULL for the defaults
 *  @param progress may be NULL
 *  @return ::BLN_E_OVERFLOW (an exact energy needs more than 64 bits), ::BLN_E_CANCELLED, ::BLN_E_ARGUMENT (policy of
 *  another domain) */
BLN_API bln_status bln_rollup(const bln_site *site, bln_instant known, const bln_intervals *intervals,
                              const bln_policy *policy, bln_progress progress, void *user, bln_statement **out,
                              bln_error **err) BLN_NOEXCEPT;
/** As bln_rollup(), over a period and in counts of a stated quantum [caller frees]. Rounding is cumulative in time: what
 *  is handed out up to any time is the exact energy of all parties (rows of kind ::BLN_ROW_POINT and
 *  ::BLN_ROW_UNALLOCATED), rounded half upwards and divided among them by largest remainder, ties by id. So intervals
 *  add up to the period, parties to the total, and no row is further than one count from its exact energy; an interval
 *  can be one count below nothing. Roll-ups with whole coefficients add what their parts were given. Intervals of the
 *  period without counts are missing.
 *  @param period NULL: as bln_rollup() with all that is known
 *  @return ::BLN_E_RANGE (period, quantum), ::BLN_E_SIZE (a period far beyond the counts), and what bln_rollup() returns */
BLN_API bln_status bln_rollup_over(const bln_site *site, const bln_rollup_period *period, const bln_intervals *intervals,
                                   const bln_policy *policy, bln_progress progress, void *user, bln_statement **out,
                                   bln_error **err) BLN_NOEXCEPT;

/** A roll-up of intervals that come in blocks. Its memory does not grow with time. Belongs to one thread at a time. */
typedef struct bln_rollup_stream bln_rollup_stream;
enum {
    BLN_STREAM_REACTIVE = 1, /**< blocks bring reactive energy */
    BLN_STREAM_DIGEST = 2    /**< keep a digest of all that comes; it does not depend on the size of the blocks */
};
/** The next intervals of every channel [borrowed for the call]; one column a channel, in the order of the ids. Packed
 *  ::BLN_TYPE_I64 (and ::BLN_TYPE_U8 for quality) is read where it lies; other integers are copied. NULL: all missing
 *  (quality: all valid, code 0). Validity bits as in any column. */
typedef struct bln_rollup_block {
    uint32_t size;             /**< in: sizeof(bln_rollup_block) */
    uint32_t reserved;         /**< 0 */
    size_t intervals;          /**< items of every column */
    const bln_column *net_p;   /**< active energy, import minus export, in counts */
    const bln_column *net_q;   /**< reactive energy, lagging positive, in counts */
    const bln_column *quality; /**< codes of ESPI QualityOfReading: 0, 7, 8, 9, 10, 11, 13, 14, 17, 18, 19 */
} bln_rollup_block;
/** Where the intervals of every row go: item i of row r is at [r * stride + i]. NULL members are not wanted. */
typedef struct bln_rollup_rows {
    uint32_t size;        /**< in: sizeof(bln_rollup_rows) */
    uint32_t reserved;    /**< 0 */
    size_t stride;        /**< items from one row to the next, at least those of the block */
    int64_t *net;         /**< counts of the quantum */
    int64_t *net_q;       /**< likewise; untouched in a stream without reactive energy */
    uint8_t *complete;    /**< 1, or 0 where an element is missing */
    uint8_t *quality;     /**< code of the worst part */
} bln_rollup_rows;
/** Opens a stream [caller frees].
 *  @param period both ends are required
 *  @param rule   duration and Wh per count; the stamp does not matter
 *  @param first  start of the first interval; the period begins in it
 *  @param flags  BLN_STREAM_..., added
 *  @return ::BLN_E_VALUE, ::BLN_E_DUPLICATE (ids), ::BLN_E_RANGE (period, rule, quantum, flags), ::BLN_E_OVERFLOW,
 *  ::BLN_E_ARGUMENT (policy of another domain) */
BLN_API bln_status bln_rollup_stream_new(const bln_site *site, const bln_rollup_period *period,
                                         const bln_interval_rule *rule, bln_instant first, const char *const *ids,
                                         size_t id_count, uint32_t flags, const bln_policy *policy,
                                         bln_rollup_stream **out, bln_error **err) BLN_NOEXCEPT;
/** Intervals of the period; 0 for NULL. */
BLN_API size_t bln_rollup_stream_intervals(const bln_rollup_stream *stream) BLN_NOEXCEPT;
/** Intervals that have come; 0 for NULL. */
BLN_API size_t bln_rollup_stream_done(const bln_rollup_stream *stream) BLN_NOEXCEPT;
/** Rows of the statement to come; 0 for NULL. */
BLN_API size_t bln_rollup_stream_rows(const bln_rollup_stream *stream) BLN_NOEXCEPT;
/** Id of row @p i [borrowed from the stream]; NULL past the end. */
BLN_API const char *bln_rollup_stream_row(const bln_rollup_stream *stream, size_t i) BLN_NOEXCEPT;
/** Takes the next intervals. A block that is refused leaves the stream as it was; what it wrote to @p rows is void.
 *  @param rows may be NULL
 *  @return ::BLN_E_RANGE (more intervals than the period lacks; stride), ::BLN_E_TYPE (floats), ::BLN_E_VALUE (a number
 *  that is no quality code), ::BLN_E_OVERFLOW */
BLN_API bln_status bln_rollup_stream_push(bln_rollup_stream *stream, const bln_rollup_block *block,
                                          const bln_rollup_rows *rows, bln_error **err) BLN_NOEXCEPT;
/** The statement, once all intervals have come [caller frees]: rows, reconciliations and findings as those of
 *  bln_rollup_over(), without series and suspicions. ::BLN_E_STATE before that. */
BLN_API bln_status bln_rollup_stream_finish(const bln_rollup_stream *stream, bln_statement **out,
                                            bln_error **err) BLN_NOEXCEPT;
/** Frees a stream. */
BLN_API void bln_rollup_stream_free(bln_rollup_stream *stream) BLN_NOEXCEPT;

/** Period of a statement: first and last instant and what was known. */
BLN_API bln_status bln_statement_period(const bln_statement *statement, bln_rollup_period *out,
                                        bln_error **err) BLN_NOEXCEPT;
/** How many intervals of row @p i have the quality code @p code as their worst. ::BLN_E_RANGE (row), ::BLN_E_VALUE. */
BLN_API bln_status bln_statement_quality(const bln_statement *statement, size_t i, int32_t code, uint64_t *out,
                                         bln_error **err) BLN_NOEXCEPT;
/** Writes one member of every row, bln_statement_count() items.
 *  @param what BLN_OF_ROW_...
 *  @param into ::BLN_TYPE_I64, or ::BLN_TYPE_F64: energies then in Wh, rounded. The validity bit is 0 where apparent
 *  energy or power factor are not stated
 *  @return ::BLN_E_RANGE (what, room, stride), ::BLN_E_TYPE (power factor as integer) */
BLN_API bln_status bln_statement_column(const bln_statement *statement, int32_t what, const bln_out_column *into,
                                        size_t n, bln_error **err) BLN_NOEXCEPT;
/** SHA-256 of the record (its canonical JSON) as text [caller frees]. */
BLN_API bln_status bln_statement_record_digest(const bln_statement *statement, bln_text **out,
                                               bln_error **err) BLN_NOEXCEPT;
/** SHA-256 of rule, channels and counts that went in, as text [caller frees]; empty for a stream without
 *  ::BLN_STREAM_DIGEST. Reads all counts again. */
BLN_API bln_status bln_statement_input_digest(const bln_statement *statement, bln_text **out,
                                              bln_error **err) BLN_NOEXCEPT;
/** The rows as CSV (RFC 4180), one line each with period and quantum [caller frees]. */
BLN_API bln_status bln_statement_csv(const bln_statement *statement, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** Size of one count of the statement in Wh: num/den. */
BLN_API bln_status bln_statement_quantum(const bln_statement *statement, int64_t *num, int64_t *den,
                                         bln_error **err) BLN_NOEXCEPT;
/** Number of rows; 0 for NULL. */
BLN_API size_t bln_statement_count(const bln_statement *statement) BLN_NOEXCEPT;
/** Row @p i: points, then roll-ups, both in the order of the record, then what is unallocated. ::BLN_E_RANGE. */
BLN_API bln_status bln_statement_at(const bln_statement *statement, size_t i, bln_statement_row *out,
                                    bln_error **err) BLN_NOEXCEPT;
/** Writes what row @p i used in each interval, bln_intervals_count() items. A validity bit of 0 marks an interval in
 *  which an element is missing; its item holds the known part.
 *  @param what BLN_SERIES_...
 *  @param into type ::BLN_TYPE_I64 (exact counts of the quantum) or ::BLN_TYPE_F64 (Wh, rounded)
 *  @param n    room of @p into in items
 *  @return ::BLN_E_RANGE (row, what, stride 0, room), ::BLN_E_TYPE, ::BLN_E_STATE (a statement of a stream) */
BLN_API bln_status bln_statement_series(const bln_statement *statement, size_t i, int32_t what,
                                        const bln_out_column *into, size_t n, bln_error **err) BLN_NOEXCEPT;
/** Number of tenures: one for each point, and one more for each change of its holder in the period; 0 for NULL. */
BLN_API size_t bln_statement_tenures(const bln_statement *statement) BLN_NOEXCEPT;
/** Tenure @p i, in the order of the rows and of time. ::BLN_E_RANGE. */
BLN_API bln_status bln_statement_tenure(const bln_statement *statement, size_t i, bln_tenure *out,
                                        bln_error **err) BLN_NOEXCEPT;
/** The tenures as CSV (RFC 4180), one line each with its time and the quantum [caller frees]. */
BLN_API bln_status bln_statement_tenures_csv(const bln_statement *statement, bln_text **out,
                                             bln_error **err) BLN_NOEXCEPT;
/** Number of reconciliations: one for each roll-up that names a main, and each main it names; 0 for NULL. */
BLN_API size_t bln_statement_reconciliations(const bln_statement *statement) BLN_NOEXCEPT;
/** Reconciliation @p i. ::BLN_E_RANGE. */
BLN_API bln_status bln_statement_reconciliation(const bln_statement *statement, size_t i, bln_reconciliation *out,
                                                bln_error **err) BLN_NOEXCEPT;
/** Number of suspicions; 0 for NULL. */
BLN_API size_t bln_statement_suspicions(const bln_statement *statement) BLN_NOEXCEPT;
/** Suspicion @p i, the one that explains most first. ::BLN_E_RANGE. */
BLN_API bln_status bln_statement_suspicion(const bln_statement *statement, size_t i, bln_suspicion *out,
                                           bln_error **err) BLN_NOEXCEPT;
/** What was found, as findings [caller frees]. */
BLN_API bln_status bln_statement_report(const bln_statement *statement, bln_report **out, bln_error **err) BLN_NOEXCEPT;
/** The whole statement as JSON: period, quantum, rows, tenures, reconciliations, suspicions, versions of the record, digests of
 *  record and input, library version [caller frees]. Reads all counts again for the digest. */
BLN_API bln_status bln_statement_json(const bln_statement *statement, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** Frees a statement. */
BLN_API void bln_statement_free(bln_statement *statement) BLN_NOEXCEPT;

/** @} @defgroup calendar Calendars: zone rules, local time, billing periods, time of use
 * @{ */

/** Rules of one time zone. Immutable. */
typedef struct bln_zone bln_zone;
/** Reads zone rules from the bytes of a TZif file (RFC 9636; versions 1 to 4) [caller frees]. The library holds no
 *  zone rules of its own and reads no file: results say which rules they rest on.
 *  @param name    name in the IANA database, such as "Europe/Berlin"
 *  @param tzif    [borrowed for the call] @p n bytes
 *  @param version edition of the rules, such as "2026a"; it stands in every result; not empty
 *  @return ::BLN_E_VALUE (name, version; what RFC 9636 forbids), ::BLN_E_SYNTAX (not TZif, truncated, bytes left over),
 *  ::BLN_E_FORMAT (version of the format; leap seconds), the last two and the second kind of the first with the byte */
BLN_API bln_status bln_zone_read(const char *name, const void *tzif, size_t n, const char *version, bln_zone **out,
                                 bln_error **err) BLN_NOEXCEPT;
/** The zone's name [borrowed from the zone]; "" for NULL. */
BLN_API const char *bln_zone_name(const bln_zone *zone) BLN_NOEXCEPT;
/** Edition of the rules as it was given [borrowed from the zone]; "" for NULL. */
BLN_API const char *bln_zone_version(const bln_zone *zone) BLN_NOEXCEPT;
/** SHA-256 of the TZif bytes, 64 hexadecimal digits [borrowed from the zone]; "" for NULL. */
BLN_API const char *bln_zone_digest(const bln_zone *zone) BLN_NOEXCEPT;
/** Whether the zone is the one that the record names (the site's `zone`). ::BLN_E_VALUE when it is another one,
 *  ::BLN_E_ABSENT when the record names none. */
BLN_API bln_status bln_zone_matches(const bln_zone *zone, const bln_site *site, bln_error **err) BLN_NOEXCEPT;

/** What a clock on the wall shows. */
typedef struct bln_local {
    uint32_t size;              /**< in: sizeof(bln_local) */
    int32_t year;               /**< 1 to 9999 */
    int32_t month;              /**< 1 to 12 */
    int32_t day;                /**< 1 to 31 */
    int32_t hour;               /**< 0 to 23 */
    int32_t minute;             /**< 0 to 59 */
    int32_t second;             /**< 0 to 59 */
    int32_t microsecond;        /**< 0 to 999999 */
    int32_t weekday;            /**< 1 Monday to 7 Sunday */
    int32_t offset_seconds;     /**< local time minus UTC */
    int32_t summer;             /**< 1: the rules call it daylight saving time */
    int32_t repeated;           /**< 1: the clock showed this time before; the second of two instants */
    const char *letters;        /**< such as "CEST" [borrowed from the zone] */
} bln_local;
/** Local time of an instant. ::BLN_E_RANGE (years 0001 to 9999), ::BLN_E_ABSENT (beyond rules that have no rule for
 *  later years). */
BLN_API bln_status bln_zone_local(const bln_zone *zone, bln_instant at, bln_local *out, bln_error **err) BLN_NOEXCEPT;

/** The instants at which a clock shows one local time. */
typedef struct bln_moments {
    uint32_t size;       /**< in: sizeof(bln_moments) */
    int32_t count;       /**< 1; 2 where clocks were put back; 0 where they were put forward over it */
    bln_instant earlier; /**< the first of them; where count is 0, the instant at which it was skipped */
    bln_instant later;   /**< the last of them; otherwise as earlier */
} bln_moments;
/** Instants of a local time such as "2026-10-25T02:30:00", without an offset. Nothing is guessed: a repeated
 *  time has two, a skipped one has none. ::BLN_E_VALUE (text), ::BLN_E_RANGE, ::BLN_E_ABSENT. */
BLN_API bln_status bln_zone_moments(const bln_zone *zone, const char *local, bln_moments *out,
                                    bln_error **err) BLN_NOEXCEPT;

/** Calendar periods; all begin at a local midnight. */
enum {
    BLN_PERIOD_DAY = 10,
    BLN_PERIOD_WEEK = 20,    /**< from Monday (ISO 8601) */
    BLN_PERIOD_MONTH = 30,
    BLN_PERIOD_QUARTER = 40, /**< from January, April, July, October */
    BLN_PERIOD_YEAR = 50
};
/** The calendar period [from, to) that holds a local date such as "2026-10-25". Where midnight is repeated the day
 *  begins at the first one, where it is skipped, when the clocks were put forward; periods of one kind divide all
 *  time. A day that a zone skipped has from = to. For periods between given dates, take `from` of the days of both.
 *  ::BLN_E_VALUE (text), ::BLN_E_RANGE (period; year), ::BLN_E_ABSENT. */
BLN_API bln_status bln_zone_period(const bln_zone *zone, int32_t period, const char *date, bln_instant *from,
                                   bln_instant *to, bln_error **err) BLN_NOEXCEPT;
/** Frees a zone. */
BLN_API void bln_zone_free(bln_zone *zone) BLN_NOEXCEPT;

/** A time-of-use table. Immutable. */
typedef struct bln_tou bln_tou;
/** Reads a time-of-use table from JSON [caller frees]: bins by name, and for dates, seasons and kinds of day the
 *  ranges of local wall time that fall into each; the form is described in the guide "Calendars". Every minute of the
 *  time for which the table holds must fall into exactly one bin. Holidays are data: a list of dates.
 *  @param json   [borrowed for the call] @p n bytes of UTF-8
 *  @param limits may be NULL
 *  @return the 2xx statuses; ::BLN_E_FORMAT (version), ::BLN_E_FIELD (unknown member), ::BLN_E_ABSENT (missing member;
 *  a kind of day without ranges), ::BLN_E_TYPE, ::BLN_E_NAME (bin, kind of day), ::BLN_E_DUPLICATE, ::BLN_E_VALUE (dates,
 *  times, gaps, overlaps, empty lists), each with its place */
BLN_API bln_status bln_tou_read(const char *json, size_t n, const bln_limits *limits, bln_tou **out,
                                bln_error **err) BLN_NOEXCEPT;
/** Number of bins; 0 for NULL. */
BLN_API size_t bln_tou_bins(const bln_tou *tou) BLN_NOEXCEPT;
/** Name of bin @p i [borrowed from the table]; NULL past the end. */
BLN_API const char *bln_tou_bin(const bln_tou *tou, size_t i) BLN_NOEXCEPT;
/** Position of the bin into which a local time such as "2026-10-25T02:30:00" falls. ::BLN_E_VALUE (text),
 *  ::BLN_E_ABSENT (the table does not hold on that date). */
BLN_API bln_status bln_tou_at(const bln_tou *tou, const char *local, size_t *out, bln_error **err) BLN_NOEXCEPT;
/** Frees a table. */
BLN_API void bln_tou_free(bln_tou *tou) BLN_NOEXCEPT;

/** Energy in equal intervals, one after the other [borrowed for the call], as bln_statement_series() writes it. */
typedef struct bln_equal_series {
    uint32_t size;       /**< in: sizeof(bln_equal_series) */
    uint32_t reserved;   /**< 0 */
    bln_instant first;   /**< start of the first interval */
    int64_t duration;    /**< of an interval in microseconds, 1 to 366 days */
    uint64_t count;      /**< intervals */
    int64_t wh_num;      /**< watt-hours (and var-hours) of one count: numerator, more than 0 */
    int64_t wh_den;      /**< denominator, more than 0 */
    bln_column p;        /**< net active energy in counts, never floats. An item whose validity bit is 0 is incomplete:
                              what it holds counts as the known part, so it holds 0 where nothing is known */
    bln_column q;        /**< net reactive energy in the same counts; data NULL: there is none */
} bln_equal_series;
/** What happens with an interval in which the bin changes. */
enum {
    BLN_STRADDLE_REFUSE = 10, /**< the call is refused */
    BLN_STRADDLE_DIVIDE = 20  /**< its energy is divided by time, exactly, and it is counted as divided */
};
/** Energy divided among the bins of a table. Immutable. */
typedef struct bln_bins bln_bins;
/** One bin; texts [borrowed from the result]. */
typedef struct bln_bin_row {
    uint32_t size;        /**< in: sizeof(bln_bin_row) */
    uint32_t reserved;    /**< 0 */
    const char *bin;      /**< its name */
    int64_t count;        /**< energy in whole counts: the bins add up to the total, by largest remainder (ties by
                               name ascending) */
    int64_t whole;        /**< exact energy in counts is whole + num/den, 0 <= num < den */
    int64_t num;          /**< see whole */
    int64_t den;          /**< see whole */
    uint64_t intervals;   /**< intervals wholly in the bin */
    uint64_t divided;     /**< intervals of which the bin has a part */
    uint64_t missing;     /**< of both, the incomplete ones */
    int64_t time;         /**< elapsed time in microseconds; the hour that a day has more or less is in it */
} bln_bin_row;
/** Divides energy among the bins of a table by the local wall time of each interval's start [caller frees]. Active
 *  energy (`p`) is divided; `q` is not looked at. The sum of the bins is the sum of the series, exactly.
 *  @param straddle BLN_STRADDLE_...
 *  @return ::BLN_E_VALUE (an interval straddles a boundary and is refused), ::BLN_E_ABSENT (table or zone say nothing
 *  about some day), ::BLN_E_RANGE (straddle; duration, stride, years), ::BLN_E_TYPE (floats), ::BLN_E_OVERFLOW */
BLN_API bln_status bln_tou_divide(const bln_tou *tou, const bln_zone *zone, const bln_equal_series *series,
                                  int32_t straddle, bln_bins **out, bln_error **err) BLN_NOEXCEPT;
/** Number of bins; 0 for NULL. */
BLN_API size_t bln_bins_count(const bln_bins *bins) BLN_NOEXCEPT;
/** Bin @p i, in the order of the table. ::BLN_E_RANGE. */
BLN_API bln_status bln_bins_at(const bln_bins *bins, size_t i, bln_bin_row *out, bln_error **err) BLN_NOEXCEPT;
/** Sum of the series, and so of the bins, in counts; 0 for NULL. */
BLN_API int64_t bln_bins_total(const bln_bins *bins) BLN_NOEXCEPT;
/** The result as JSON, with zone, edition and digest of the rules, digest of the table [caller frees]. */
BLN_API bln_status bln_bins_json(const bln_bins *bins, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** Frees a result. */
BLN_API void bln_bins_free(bln_bins *bins) BLN_NOEXCEPT;

/** @} @defgroup demand Demand
 * @{ */

/** How demand is formed: the average power over a window. Windows stand on a grid of steps from local midnight. Where
 *  clocks are set by something else than whole steps, the grid begins anew and the cut windows are incomplete. */
typedef struct bln_demand_rule {
    uint32_t size;       /**< in: sizeof(bln_demand_rule) */
    uint32_t reserved;   /**< 0 */
    int64_t window;      /**< length in microseconds, at most a day: 15, 30 or 60 minutes are usual */
    int64_t step;        /**< from one window to the next: equal to the window for block demand, a divisor of it for
                              rolling demand (15 minutes by steps of 5 are usual); divides a day; a multiple of the
                              intervals' duration */
} bln_demand_rule;
/** Kinds of demand. */
enum {
    BLN_DEMAND_ACTIVE = 10,   /**< W: net active energy of the window / its length */
    BLN_DEMAND_APPARENT = 20  /**< VA by the vector definition (IEEE 1459-2010, 3.2.2.6): root of P^2 + Q^2 of the
                                   window; never the sum of the apparent power of parts */
};
/** Demand of one series. Immutable. */
typedef struct bln_demand bln_demand;
/** One window. Energies are counts of the series. */
typedef struct bln_demand_window {
    uint32_t size;        /**< in: sizeof(bln_demand_window) */
    int32_t complete;     /**< 1: all its intervals are complete and it is as long as the rule says; only such a
                               window is billable */
    bln_instant from;     /**< start */
    bln_instant to;       /**< end */
    int64_t p;            /**< active energy */
    int64_t q;            /**< reactive energy; 0 without */
    int32_t complete_q;   /**< 1: complete, reactive energy too */
    uint32_t reserved;    /**< 0 */
    double watts;         /**< demand; exactly p * bln_demand_scale() */
    double voltamperes;   /**< apparent demand; 0 unless complete_q */
} bln_demand_window;
/** A maximum of demand. */
typedef struct bln_peak {
    uint32_t size;        /**< in: sizeof(bln_peak) */
    int32_t any;          /**< 1: there is a billable window; 0: the next three members say nothing */
    uint64_t window;      /**< its position; the earliest of equal ones */
    bln_instant from;     /**< its start */
    double value;         /**< W or VA */
    uint64_t billable;    /**< windows that were compared */
    uint64_t left_out;    /**< windows that are incomplete */
    uint64_t straddling;  /**< of bln_demand_peak_in_bin(): windows of which only a part lies in the bin */
} bln_peak;
/** Forms the demand of a series [caller frees].
 *  @param zone NULL: the grid begins at midnight UTC
 *  @return ::BLN_E_RANGE (window, step; a step that does not begin and end with intervals), ::BLN_E_ABSENT (zone),
 *  ::BLN_E_TYPE (floats), ::BLN_E_OVERFLOW */
BLN_API bln_status bln_demand_new(const bln_demand_rule *rule, const bln_zone *zone, const bln_equal_series *series,
                                  bln_demand **out, bln_error **err) BLN_NOEXCEPT;
/** Number of windows, the incomplete ones too; 0 for NULL. */
BLN_API size_t bln_demand_count(const bln_demand *demand) BLN_NOEXCEPT;
/** Window @p i, ascending by start. ::BLN_E_RANGE. */
BLN_API bln_status bln_demand_at(const bln_demand *demand, size_t i, bln_demand_window *out,
                                 bln_error **err) BLN_NOEXCEPT;
/** Position of the window that begins at @p from, or -1. With the start of another demand's peak it gives the
 *  coincident demand. */
BLN_API int64_t bln_demand_find(const bln_demand *demand, bln_instant from) BLN_NOEXCEPT;
/** Watts of one count in a window, exactly num/den. */
BLN_API bln_status bln_demand_scale(const bln_demand *demand, int64_t *num, int64_t *den, bln_error **err) BLN_NOEXCEPT;
/** The largest demand among the windows that lie in [from, to), such as a billing period of bln_zone_period().
 *  @param kind BLN_DEMAND_...
 *  @return ::BLN_E_RANGE (kind), ::BLN_E_ABSENT (apparent demand without reactive energy) */
BLN_API bln_status bln_demand_peak(const bln_demand *demand, int32_t kind, bln_instant from, bln_instant to,
                                   bln_peak *out, bln_error **err) BLN_NOEXCEPT;
/** The same among the windows that lie wholly in one bin of a time-of-use table: on-peak demand and the like. A window
 *  in which the bin changes belongs to no bin; it is counted as straddling.
 *  @param bin position of the bin, below bln_tou_bins()
 *  @return what bln_demand_peak() returns; ::BLN_E_RANGE (bin), ::BLN_E_ABSENT (table or zone say nothing about some
 *  day) */
BLN_API bln_status bln_demand_peak_in_bin(const bln_demand *demand, int32_t kind, bln_instant from, bln_instant to,
                                          const bln_tou *tou, const bln_zone *zone, size_t bin, bln_peak *out,
                                          bln_error **err) BLN_NOEXCEPT;
/** The peaks of [from, to) as JSON, with definitions, rule and edition of the zone [caller frees]. */
BLN_API bln_status bln_demand_json(const bln_demand *demand, bln_instant from, bln_instant to, bln_text **out,
                                   bln_error **err) BLN_NOEXCEPT;
/** Frees a demand. */
BLN_API void bln_demand_free(bln_demand *demand) BLN_NOEXCEPT;

/** @} @defgroup apportion Apportionment of common energy
 * @{ */

/** By what the whole is divided. */
enum {
    BLN_SHARE_EQUAL = 10, /**< equal shares of all who take part */
    BLN_SHARE_AREA = 20,  /**< floor area */
    BLN_SHARE_USE = 30,   /**< own energy, handed in as weights */
    BLN_SHARE_GIVEN = 40  /**< given weights */
};
/** What is divided, and how. */
typedef struct bln_share_rule {
    uint32_t size;       /**< in: sizeof(bln_share_rule) */
    int32_t method;      /**< BLN_SHARE_... */
    int64_t total;       /**< whole counts: of a quantum of energy, or of the smallest coin; may be negative */
    bln_instant from;    /**< the period [from, to) */
    bln_instant to;      /**< its end */
    const char *unit;    /**< of a count, for the words of the working; NULL: "counts" */
} bln_share_rule;
/** Kinds of key. */
enum {
    BLN_KEY_WEIGHT = 10,   /**< num/den is the weight, not negative. ::BLN_SHARE_EQUAL takes every weight as 1 */
    BLN_KEY_EXCLUDED = 20, /**< takes no part, whatever its weight; its share goes to the others */
    BLN_KEY_CAP = 30       /**< takes at most num counts of the whole period (of either sign); den 1, undated. What is
                                beyond goes to the others in proportion */
};
/** One key of one party, valid in [from, to) [borrowed for the call]. */
typedef struct bln_share_key {
    uint32_t size;       /**< in: sizeof(bln_share_key) */
    int32_t kind;        /**< BLN_KEY_... */
    const char *id;      /**< of the party */
    bln_instant from;    /**< ::BLN_BEGIN_OF_TIME: always before */
    bln_instant to;      /**< ::BLN_END_OF_TIME: open */
    int64_t num;         /**< value: numerator */
    int64_t den;         /**< denominator, more than 0 */
    const char *reason;  /**< of an exclusion, for the working; NULL: not stated */
} bln_share_key;
/** A division of a whole, with its working. Immutable. */
typedef struct bln_apportionment bln_apportionment;
/** What one party gets; texts [borrowed from the result]. */
typedef struct bln_share_part {
    uint32_t size;       /**< in: sizeof(bln_share_part) */
    int32_t extra;       /**< 1: one count more than the exact part rounded down */
    const char *id;      /**< of the party */
    int64_t part;        /**< whole counts; the parts add up to the total */
    double exact;        /**< part before rounding */
    double remainder;    /**< exact minus its floor, from 0 up to 1 */
    const char *ratio;   /**< the exact part as "p" or "p/q" */
    int64_t cap;         /**< in counts, or -1 */
    int32_t capped;      /**< 1: the cap is what it gets */
    uint32_t reserved;   /**< 0 */
} bln_share_part;
/** Kinds of step of a working. */
enum {
    BLN_STEP_SPAN = 10,     /**< a part of the period in which no key changes */
    BLN_STEP_WEIGHT = 20,   /**< weight of a party in it, as a part of all weights */
    BLN_STEP_EXCLUDED = 30, /**< a party that takes no part in it */
    BLN_STEP_SHARE = 40,    /**< exact part of the whole, over all spans */
    BLN_STEP_CAP = 50,      /**< a party that reaches its cap */
    BLN_STEP_ROUNDING = 60  /**< what a party gets in whole counts */
};
/** One step of a working; texts [borrowed from the result]. */
typedef struct bln_share_step {
    uint32_t size;       /**< in: sizeof(bln_share_step) */
    int32_t kind;        /**< BLN_STEP_... */
    const char *id;      /**< of the party, or "" */
    bln_instant from;    /**< when it holds */
    bln_instant to;      /**< its end */
    double value;        /**< the number of the step, rounded */
    const char *exact;   /**< the same as "p" or "p/q", or "" */
    const char *words;   /**< one sentence in English */
} bln_share_step;
/** Divides a whole among parties [caller frees]. In each span in which no key changes, the whole goes by time, and
 *  within it by weight; caps are applied to the sum. Rounded by largest remainder with ties by id ascending, floor
 *  towards minus infinity for negative wholes: the parts add up to the total exactly, none is a count or more from its
 *  exact value, and the order of the keys does not matter. Arithmetic is exact, of any length.
 *  @param site  NULL, or the record whose premises are the parties. Then ::BLN_SHARE_EQUAL and ::BLN_SHARE_AREA take
 *               their weights from it (premises whose occupancy is `common` are excluded; vacant ones take part, for
 *               the owner), and every key must name premises of it
 *  @param known what was recorded up to here counts; without a record of no meaning
 *  @param keys  @p n keys; may be NULL when @p n is 0
 *  @return ::BLN_E_VALUE (dates; negative weight; all weights zero; a cap that is dated or not whole; caps that cannot
 *  hold the whole), ::BLN_E_DUPLICATE (two weights at once, two caps), ::BLN_E_ABSENT (nobody; premises without area),
 *  ::BLN_E_NO_ENTITY, ::BLN_E_RANGE (method, kind, den), ::BLN_E_OVERFLOW */
BLN_API bln_status bln_apportion(const bln_share_rule *rule, const bln_site *site, bln_instant known,
                                 const bln_share_key *keys, size_t n, bln_apportionment **out,
                                 bln_error **err) BLN_NOEXCEPT;
/** Number of parties; 0 for NULL. */
BLN_API size_t bln_apportionment_count(const bln_apportionment *result) BLN_NOEXCEPT;
/** Party @p i, ascending by id. ::BLN_E_RANGE. */
BLN_API bln_status bln_apportionment_at(const bln_apportionment *result, size_t i, bln_share_part *out,
                                        bln_error **err) BLN_NOEXCEPT;
/** Number of steps of the working; 0 for NULL. */
BLN_API size_t bln_apportionment_steps(const bln_apportionment *result) BLN_NOEXCEPT;
/** Step @p i of the working. ::BLN_E_RANGE. */
BLN_API bln_status bln_apportionment_step(const bln_apportionment *result, size_t i, bln_share_step *out,
                                          bln_error **err) BLN_NOEXCEPT;
/** The working in words, one step a line [caller frees]. */
BLN_API bln_status bln_apportionment_words(const bln_apportionment *result, bln_text **out,
                                           bln_error **err) BLN_NOEXCEPT;
/** Parts and working as JSON [caller frees]. */
BLN_API bln_status bln_apportionment_json(const bln_apportionment *result, bln_text **out,
                                          bln_error **err) BLN_NOEXCEPT;
/** Frees a result. */
BLN_API void bln_apportionment_free(bln_apportionment *result) BLN_NOEXCEPT;

/** @} @defgroup json JSON in general
 *  What the library does with its own files, for any JSON text. No key may stand twice in one object,
 *  and no number may be beyond a 64-bit double.
 * @{ */

/** Writes a JSON text in its one canonical form, RFC 8785 [caller frees]: equal content gives equal
 *  bytes. Numbers count as 64-bit doubles; digits beyond one are lost, as the RFC wants it.
 *  @param json   [borrowed for the call] @p n bytes of UTF-8, without byte order mark
 *  @param limits may be NULL
 *  @return the 2xx statuses and ::BLN_E_NOT_FINITE, each with its place */
BLN_API bln_status bln_json_canonical(const char *json, size_t n, const bln_limits *limits, bln_text **out,
                                      bln_error **err) BLN_NOEXCEPT;
/** Applies a JSON Patch (RFC 6902) to a JSON text and writes the result without spaces [caller frees].
 *  Members keep their order and numbers their digits. The whole document can be replaced, not removed.
 *  @param document [borrowed for the call] @p document_size bytes of UTF-8
 *  @param patch    [borrowed for the call] @p patch_size bytes of UTF-8
 *  @param limits   may be NULL; max_bytes also bounds the memory by which the patch may let the document
 *                  grow: each `copy` can double it, so set it where patches come from strangers
 *  @return ::BLN_E_PATCH and ::BLN_E_PATCH_TEST with the place in the patch, such as "/3/path" for its
 *          fourth operation; the 2xx statuses and ::BLN_E_NOT_FINITE of both texts, with the subject
 *          "document" or "patch" */
BLN_API bln_status bln_json_patch_apply(const char *document, size_t document_size, const char *patch,
                                        size_t patch_size, const bln_limits *limits, bln_text **out,
                                        bln_error **err) BLN_NOEXCEPT;

/** @} @defgroup uncertainty Accuracy classes and uncertainty
 * What ratio and phase errors do to power, what a class allows at a load, and how uncertainties combine in points,
 *  sums and
 * main minus branches (docs/theory/uncertainty.md). Uncertainties are standard uncertainties as in JCGM 100:2008
 *  (GUM); a limit
 * a counts as rectangular, u = a / sqrt(3). Who prints an expanded uncertainty multiplies by the coverage factor k
 * and states it; k = 2 is usual.
 * @{ */

/** What an accuracy class is a class of. */
enum {
    BLN_CLASS_CURRENT_TRANSFORMER = 10, /**< IEC 61869-2, IEEE C57.13, C57.13.6 */
    BLN_CLASS_ACTIVE_METER = 20,        /**< IEC 62053-21, IEC 62053-22, ANSI C12.20 */
    BLN_CLASS_REACTIVE_METER = 30       /**< IEC 62053-23 */
};
/** What limits are stated: bits. */
enum {
    BLN_LIMIT_RATIO = 1, /**< ratio error of current */
    BLN_LIMIT_PHASE = 2, /**< phase displacement */
    BLN_LIMIT_POWER = 4  /**< error of power or energy */
};
/** A class that the library knows. */
typedef struct bln_accuracy_class {
    uint32_t size;        /**< in: sizeof(bln_accuracy_class) */
    int32_t of;           /**< BLN_CLASS_... */
    int32_t states;       /**< BLN_LIMIT_... */
    int32_t from_memory;  /**< 1: numbers were not seen in a source; confirm them against the standard */
    const char *name;     /**< as the standard writes it, such as "0.5S" [static] */
    const char *standard; /**< [static] */
    const char *source;   /**< where the numbers were taken from [static] */
} bln_accuracy_class;
/** Greatest errors at a load. Also an input: then `source` is not read and any limits may stand in it. */
typedef struct bln_accuracy_limits {
    uint32_t size;        /**< in: sizeof(bln_accuracy_limits) */
    int32_t states;       /**< BLN_LIMIT_...: which of the numbers below count */
    int32_t from_memory;  /**< as in ::bln_accuracy_class */
    uint32_t reserved;    /**< 0 */
    double ratio_percent; /**< % */
    double phase_minutes; /**< minutes of arc */
    double power_percent; /**< % */
    const char *source;   /**< [static] */
} bln_accuracy_limits;
/** Number of classes. */
BLN_API size_t bln_accuracy_class_count(void) BLN_NOEXCEPT;
/** Class @p i. ::BLN_E_RANGE. */
BLN_API bln_status bln_accuracy_class_at(size_t i, bln_accuracy_class *out, bln_error **err) BLN_NOEXCEPT;
/** Limits of a class at a load. A transformer's are taken on the straight line between its test currents (common
 *  practice, no
 *  source); a meter's hold from one test current to the next, and between tested power factors the wider one holds.
 *  @param of            BLN_CLASS_...; ::BLN_E_NAME
 *  @param name          class as its standard writes it; ::BLN_E_NAME
 *  @param percent       current in percent of the rated current; ::BLN_E_RANGE below 0
 *  @param angle_degrees load angle, -180 to 180; ::BLN_E_RANGE
 *  @return ::BLN_E_ABSENT where the class states nothing for such a load, ::BLN_E_NOT_FINITE */
BLN_API bln_status bln_accuracy_limit(int32_t of, const char *name, double percent, double angle_degrees,
                                      bln_accuracy_limits *out, bln_error **err) BLN_NOEXCEPT;

/** Errors of the transformers of one element. Phase: a secondary that leads its primary is positive. */
typedef struct bln_element_errors {
    uint32_t size;               /**< in: sizeof(bln_element_errors) */
    uint32_t reserved;           /**< 0 */
    double volts_ratio_percent;  /**< % */
    double volts_phase_minutes;  /**< minutes of arc */
    double amps_ratio_percent;   /**< % */
    double amps_phase_minutes;   /**< minutes of arc */
} bln_element_errors;
/** What they do to power, registered minus true. */
typedef struct bln_power_errors {
    uint32_t size;       /**< in: sizeof(bln_power_errors) */
    uint32_t reserved;   /**< 0 */
    double watts;        /**< exact: Re of S((1+e_V)(1+e_I) exp j(d_V - d_I) - 1) */
    double vars;         /**< exact: Im of the same */
    double watts_linear; /**< first order: P(e_V + e_I) + Q(d_I - d_V) */
    double vars_linear;  /**< first order: Q(e_V + e_I) - P(d_I - d_V) */
} bln_power_errors;
/** Error of the power of one element that takes @p watts and @p vars. ::BLN_E_NOT_FINITE, ::BLN_E_OVERFLOW. */
BLN_API bln_status bln_power_error(double watts, double vars, const bln_element_errors *errors, bln_power_errors *out,
                                   bln_error **err) BLN_NOEXCEPT;

/** What limits mean for the power of one element. */
typedef struct bln_power_uncertainty_result {
    uint32_t size;       /**< in: sizeof(bln_power_uncertainty_result) */
    int32_t vars_known;  /**< 0: the limits say nothing of reactive power, and the two numbers of vars are 0 */
    int32_t from_memory; /**< 1: a limit is from memory */
    uint32_t reserved;   /**< 0 */
    double watts;        /**< standard uncertainty, W */
    double watts_ct;     /**< the CT's part of it */
    double watts_meter;  /**< the meter's part of it */
    double watts_limit;  /**< greatest error, W, every limit reached at once */
    double vars;         /**< standard uncertainty, var */
    double vars_limit;   /**< greatest error, var */
} bln_power_uncertainty_result;
/** Uncertainty of the power of one element from limits of its CT and its meter; either may be NULL: free of error.
 *  @return ::BLN_E_ABSENT when the CT's limits state no phase displacement and @p vars is not 0 (a class such as 3
 *          or 5 is
 *          not fit for the energy of inductive loads), ::BLN_E_RANGE (a negative limit), ::BLN_E_NOT_FINITE,
 *  ::BLN_E_OVERFLOW */
BLN_API bln_status bln_power_uncertainty(double watts, double vars, const bln_accuracy_limits *ct,
                                         const bln_accuracy_limits *meter, bln_power_uncertainty_result *out,
                                         bln_error **err) BLN_NOEXCEPT;

/** A value with its standard uncertainty in two parts, in the unit of the value. */
typedef struct bln_uncertain {
    uint32_t size;     /**< in: sizeof(bln_uncertain) */
    uint32_t reserved; /**< 0 */
    double value;      /**< the value */
    double random;     /**< what averages out in sums */
    double shared;     /**< what does not */
    double combined;   /**< root of the sum of both squares */
} bln_uncertain;
/** Sum of coefficient times value: random parts add by squares; shared parts add within a group, with the sign of
 *  their term,
 *  and groups by squares. Main minus branches is such a sum with coefficients 1 and -1.
 *  @param coefficient NULL: all 1
 *  @param value,random,shared @p n numbers each; random or shared may be NULL: all 0
 *  @param group       NULL: all in one group
 *  @return ::BLN_E_NOT_FINITE, ::BLN_E_RANGE (a negative uncertainty), ::BLN_E_OVERFLOW */
BLN_API bln_status bln_uncertainty_combine(size_t n, const double *coefficient, const double *value,
                                           const double *random, const double *shared, const uint32_t *group,
                                           bln_uncertain *out, bln_error **err) BLN_NOEXCEPT;
/** Combined standard uncertainty of a function of correlated quantities (JCGM 100:2008, 5.2.2).
 *  @param sensitivity partial derivatives, @p n
 *  @param uncertainty standard uncertainties, @p n
 *  @param correlation @p n times @p n, row by row; NULL: independent. ::BLN_E_ARGUMENT unless symmetric with diagonal 1
 *  @return ::BLN_E_RANGE (negative uncertainty, correlation outside -1..1, or such that the variance would be
 *          negative), ::BLN_E_NOT_FINITE, ::BLN_E_OVERFLOW */
BLN_API bln_status bln_uncertainty_propagate(size_t n, const double *sensitivity, const double *uncertainty,
                                             const double *correlation, double *out, bln_error **err) BLN_NOEXCEPT;

/** Uncertainty of a point of the record. */
typedef struct bln_point_uncertainty_result {
    uint32_t size;       /**< in: sizeof(bln_point_uncertainty_result) */
    int32_t from_memory; /**< 1: a limit is from memory */
    double watts;        /**< sum of the loads, W */
    double vars;         /**< the same, var */
    double uncertainty;  /**< standard uncertainty of watts, W */
    double limit;        /**< greatest error that the classes allow, W */
} bln_point_uncertainty_result;
/** Uncertainty of a point's active power from the classes of its CT types (`ct_type.accuracy_class`) and of its devices
 *  (`profile.accuracy_class`). CTs err independently; elements of one device err together.
 *  @param watts,vars @p n each, as registered, in the order of the point's elements; ::BLN_E_ARGUMENT for another @p n
 *  @param amps       in the primary of each element's CT, times its turns
 *  @return ::BLN_E_NO_ENTITY; ::BLN_E_ABSENT with the place in the record: a class, rating or CT is not recorded, a
 *          channel
 *          adds several CTs, or the class states nothing at this load; ::BLN_E_NAME: a class that the library does not
 *          know; ::BLN_E_NOT_FINITE, ::BLN_E_RANGE */
BLN_API bln_status bln_point_uncertainty(const bln_view *view, const char *point, size_t n, const double *watts,
                                         const double *vars, const double *amps, bln_point_uncertainty_result *out,
                                         bln_error **err) BLN_NOEXCEPT;

/** Load at which the classes are read for a sum. */
typedef struct bln_sum_assumption {
    uint32_t size;         /**< in: sizeof(bln_sum_assumption) */
    uint32_t reserved;     /**< 0 */
    double percent;        /**< current of every CT in percent of its rating */
    double angle_degrees;  /**< load angle of every element */
    double shared_percent; /**< standard uncertainty that all points of one CT type and profile share, % of energy */
} bln_sum_assumption;
/** Uncertainty of a roll-up and of its difference from the main. */
typedef struct bln_sum_uncertainty {
    uint32_t size;                 /**< in: sizeof(bln_sum_uncertainty) */
    int32_t has_main;              /**< 0: the roll-up names no main; the numbers of main and difference are 0 */
    int32_t from_memory;           /**< 1: a limit is from memory */
    uint32_t reserved;             /**< 0 */
    double sum;                    /**< energy of the roll-up */
    double sum_random;             /**< random part of its standard uncertainty */
    double sum_shared;             /**< shared part */
    double main;                   /**< energy of the main */
    double main_combined;          /**< its standard uncertainty */
    double difference;             /**< sum minus main */
    double difference_combined;    /**< its standard uncertainty */
} bln_sum_uncertainty;
/** Uncertainty of a roll-up against its main, from the classes in the record. A point counts as if all its energy
 *  went through
 *  the element with the widest limits: no share of load among elements is wider. What nobody meters, losses and clocks
 *  are not in it. Units are those of @p energies.
 *  @param points,energies ids and energies, @p n each: all points of the roll-up, and its main
 *  @return as bln_point_uncertainty(); ::BLN_E_ABSENT for a point without an energy as well, ::BLN_E_VALUE when the
 *          roll-up adds itself or a point has two energies, ::BLN_E_OVERFLOW */
BLN_API bln_status bln_rollup_uncertainty(const bln_view *view, const char *rollup, const bln_sum_assumption *assumption,
                                          size_t n, const char *const *points, const double *energies,
                                          bln_sum_uncertainty *out, bln_error **err) BLN_NOEXCEPT;

/** @} @defgroup references Phase sequence and voltage references
 * Which conductors do the voltage terminals of a device stand on? (docs/guides/references.md) Voltage
 * terminals are live: only a qualified person measures there, with an instrument of the right category.
 * Magnitudes see neither the sequence nor a rotation by one place: what they leave open is listed, with the
 *  measurement that
 * comes next.
 * @{ */

/** A phase sequence. */
enum {
    BLN_SEQUENCE_UNDETERMINED = 10, /**< too unbalanced, or too alike, to tell */
    BLN_SEQUENCE_ABC = 20,          /**< B lags A */
    BLN_SEQUENCE_ACB = 30           /**< B leads A */
};
/** Sequence of three phasors against one datum, by their symmetrical components: the greater has to be at least
 *  twice the
 *  other.
 *  @param re,im     real and imaginary parts of A, B, C, V
 *  @param positive,negative magnitudes of the two components, V; may be NULL
 *  @return ::BLN_E_NOT_FINITE, ::BLN_E_VALUE (all three zero) */
BLN_API bln_status bln_phase_sequence(const double *re, const double *im, int32_t *sequence, double *positive,
                                      double *negative, bln_error **err) BLN_NOEXCEPT;
/** Sequence from two voltmeter readings: a capacitor on A and two equal resistors on B and C, whose resistance is
 *  about the
 *  capacitor's reactance, joined in a star that is landed nowhere. The greater voltage stands on the phase that
 *  follows A.
 *  Plain voltage readings between conductors cannot tell the sequence.
 *  @param volts_b,volts_c across the resistors, V; undetermined when they differ by less than a fifth
 *  @return ::BLN_E_NOT_FINITE, ::BLN_E_RANGE (negative), ::BLN_E_VALUE (both zero) */
BLN_API bln_status bln_phase_sequence_indicator(double volts_b, double volts_c, int32_t *sequence,
                                                bln_error **err) BLN_NOEXCEPT;

/** Voltages of a device's terminals. */
typedef struct bln_terminal_voltages {
    uint32_t size;        /**< in: sizeof(bln_terminal_voltages) */
    uint32_t given;       /**< bits 0 to 2: to_neutral of A, B, C; 3 to 5: between A-B, B-C, C-A; 6: the phasors */
    double to_neutral[3]; /**< from terminals A, B, C to the device's neutral terminal, V; of a delta with a grounded
                               phase: to ground */
    double between[3];    /**< A-B, B-C, C-A, V */
    double re[3];         /**< phasors of A, B, C against the neutral terminal, or any one datum without a neutral */
    double im[3];         /**< their imaginary parts */
} bln_terminal_voltages;
/** What the landing of a device's terminals can be: all explanations by a single mistake, as JSON [caller frees]:
 *  {"explanations": [{"landing", "terminals", "deviation", "meaning", "next"}], "ambiguous"}. `landing` is right,
 *  swapped,
 *  rotated, neutral_exchanged, neutral_floating, lost, tied, other_service or unexplained; `terminals` such as
 *  "A=B B=A C=C N=N" ("-": on nothing); `deviation` per unit of the voltage between phases; `next` the measurement
 *  that decides.
 *  @param arrangement carries the service as recorded; its loads and elements do not matter
 *  @param volts       nominal: phase to neutral (of a high-leg delta: of a low leg); without a neutral, between
 *                     phases. Above 0
 *  @param tolerance   per unit of the voltage between phases, above 0 and below 0.5; 0.08 is usual (common practice,
 *                     no source)
 *  @return ::BLN_E_ABSENT (nothing measured), ::BLN_E_VALUE (a voltage that the service does not have),
 *          ::BLN_E_RANGE, ::BLN_E_NOT_FINITE */
BLN_API bln_status bln_references_recognise(const bln_arrangement *arrangement, double volts,
                                            const bln_terminal_voltages *measured, double tolerance, bln_text **out,
                                            bln_error **err) BLN_NOEXCEPT;
/** The same from nine voltages between a device's terminals A, B, C and the conductors A, B, C of a three-phase source
 *  that is known, with bonded neutrals. Displaced transformers show: 30 degrees give 0.52, 1.41 and 1.93 times the
 *  phase
 *  voltage. Each explanation has besides `displaced` (degrees) and `reversed` (the terminals have the other
 *  sequence). Its
 *  mirror image, both sequences exchanged and the displacement negated, gives the same voltages.
 *  @param volts    nominal phase to neutral, V
 *  @param rotation sequence of the known source, "ABC" or "ACB"; ::BLN_E_NAME
 *  @param measured nine magnitudes: from terminal A to A, B, C; from terminal B; from terminal C
 *  @return ::BLN_E_RANGE, ::BLN_E_NOT_FINITE */
BLN_API bln_status bln_references_cross(double volts, const char *rotation, const double *measured, double tolerance,
                                        bln_text **out, bln_error **err) BLN_NOEXCEPT;

/** @} @defgroup plan Allocation: circuits to inputs of devices
 * Which circuit goes to which inputs of which device, before anything is hung (docs/guides/allocation.md).
 *
 * The number of added devices is least, and that is proven (unless a search over points of several circuits is cut
 * short, which the result says). Then count, in the order that the request states: few inputs on the added devices, and
 * the order of the panels, so that a person can follow the inputs with a finger along the breakers.
 * @{ */

/** An allocation, or the constraints that prevent one. Immutable. */
typedef struct bln_plan bln_plan;
/** Constraints that may conflict. */
enum {
    BLN_CONFLICT_ROOM = 10,             /**< no device and no profile takes the circuit at all */
    BLN_CONFLICT_DEVICES = 20,          /**< no profile may be added, and the devices at hand have too little room */
    BLN_CONFLICT_MOST_NEW_DEVICES = 30, /**< `most_new_devices` */
    BLN_CONFLICT_SPARE_PERCENT = 40,    /**< `spare_percent` */
    BLN_CONFLICT_SPARE_PER_DEVICE = 50, /**< `spare_per_device` */
    BLN_CONFLICT_WHOLE_CONNECTORS = 60, /**< circuits stay within one connector (`across_connectors` false) */
    BLN_CONFLICT_WHOLE_POINTS = 70,     /**< circuits of a point stay on one device (`split_points` false) */
    BLN_CONFLICT_RESERVED = 80,         /**< `reserved`; the subject is the device */
    BLN_CONFLICT_PIN = 90               /**< `pins`; the subject is the circuit */
};
/** What an allocation is; texts [borrowed from the plan]. */
typedef struct bln_plan_info {
    uint32_t size;              /**< in: sizeof(bln_plan_info) */
    int32_t found;              /**< 1: rows and devices; 0: conflicts */
    int32_t proven;             /**< 1: no fewer devices would do, or no smaller set of constraints conflicts */
    int32_t wishes_proven;      /**< 1: the wishes are met as well as they can be, in their order */
    const char *site_sha256;    /**< digest of the record */
    const char *request_sha256; /**< digest of all that was asked: record, instants of the view, canonical request */
} bln_plan_info;
/** One input of a device; texts [borrowed from the plan]. */
typedef struct bln_plan_row {
    uint32_t size;         /**< in: sizeof(bln_plan_row) */
    int32_t pole;          /**< pole of the circuit whose conductor goes through the CT, from 1 */
    int32_t input;         /**< input of the device, from 1 */
    int32_t connector;     /**< connector of the device, from 1 */
    int32_t new_channel;   /**< 1: the record has no such channel yet */
    int32_t new_ct;        /**< 1: a CT is to be hung; 0: it hangs already, or `ct` is "" */
    int32_t new_point;     /**< 1: the record has no such point yet */
    int32_t reserved;      /**< 0 */
    const char *point;     /**< point that the circuit belongs to */
    const char *panel;     /**< panel of the circuit */
    const char *circuit;   /**< circuit */
    const char *conductor; /**< "A", "B" or "C": the conductor of that pole */
    const char *device;    /**< device */
    const char *channel;   /**< channel */
    const char *reference; /**< word of the field `reference` of a channel */
    const char *ct;        /**< CT; "": the record has no CT types to choose from */
    const char *ct_type;   /**< its type: the smallest rating not below the breaker's (common practice, no source) */
} bln_plan_row;
/** One device of an allocation; texts [borrowed from the plan]. */
typedef struct bln_plan_device {
    uint32_t size;       /**< in: sizeof(bln_plan_device) */
    int32_t added;       /**< 1: the record has no such device yet */
    int32_t inputs;      /**< inputs in all */
    int32_t placed;      /**< inputs that this plan wires */
    int32_t free;        /**< inputs that stay free */
    uint32_t reserved;   /**< 0 */
    const char *id;      /**< device */
    const char *profile; /**< its profile */
    const char *service; /**< service that its voltage terminals are landed on */
} bln_plan_device;
/** One constraint of a conflict; texts [borrowed from the plan]. */
typedef struct bln_plan_conflict {
    uint32_t size;       /**< in: sizeof(bln_plan_conflict) */
    int32_t kind;        /**< BLN_CONFLICT_... */
    const char *subject; /**< circuit or device, or "" */
    const char *words;   /**< in English */
} bln_plan_conflict;

/** Allocates circuits of a record to inputs of devices [caller frees]. A request that cannot be met is a result, not
 *  an error.
 *
 *  The request is one JSON object; all keys may be left out:
 *  - `points`, `circuits`: lists of ids. A circuit that belongs to a point brings its point; one that does not gets a
 *    point of its own. Without both: all points that have circuits and no elements.
 *  - `profiles`: that may be added; default: all of the record. `devices`: that may be used; default: all.
 *    `most_new_devices`; `device_ids`: of added devices, in order.
 *  - `ct_types`: that may be hung; default: all. `output`: word of a CT output, needed where devices for several are at
 *    hand. `elements`: "per_pole" (each conductor to neutral; default) or "fewest" (between lines where no neutral
 *    carries load current).
 *  - `pins`: {circuit: {"device", "inputs"}}, `inputs` may be left out. `reserved`: {device: [inputs]}.
 *    `spare_per_device`: the last inputs of every added device that stay free. `spare_percent`: share of all inputs that
 *    stays free, 0 to 100.
 *  - `across_connectors` (false): a circuit may straddle connectors where that saves a device. `split_points` (false):
 *    circuits of a point may be on several devices. `one_panel_per_device` (false).
 *  - `order`: ["fewest_inputs", "panel_order"] or the reverse: what counts first once devices are fewest. `walk`:
 *    "by_number" (spaces ascending; default) or "by_side" (left column, then right).
 *  - `from`, `recorded_at` (RFC 3339), `reason`: of the assignments that are written.
 *
 *  @return the 2xx statuses, ::BLN_E_FIELD, ::BLN_E_TYPE, ::BLN_E_VALUE, ::BLN_E_RANGE with their place in the request;
 *  ::BLN_E_NO_ENTITY (an id that the record does not have); ::BLN_E_ABSENT with the place in the record that does not say
 *  what the elements of a circuit follow from. All such errors are listed. */
BLN_API bln_status bln_plan_new(const bln_view *view, const char *request, size_t n, bln_plan **out,
                                bln_error **err) BLN_NOEXCEPT;
/** Frees a plan. */
BLN_API void bln_plan_free(bln_plan *plan) BLN_NOEXCEPT;
/** What it is. */
BLN_API bln_status bln_plan_about(const bln_plan *plan, bln_plan_info *out, bln_error **err) BLN_NOEXCEPT;
/** Number of rows. */
BLN_API size_t bln_plan_count(const bln_plan *plan) BLN_NOEXCEPT;
/** Row @p i, in the order of the panels. ::BLN_E_RANGE. */
BLN_API bln_status bln_plan_at(const bln_plan *plan, size_t i, bln_plan_row *out, bln_error **err) BLN_NOEXCEPT;
/** Number of devices. */
BLN_API size_t bln_plan_devices(const bln_plan *plan) BLN_NOEXCEPT;
/** Device @p i: first those of the record that are used, then those that are added. ::BLN_E_RANGE. */
BLN_API bln_status bln_plan_device_at(const bln_plan *plan, size_t i, bln_plan_device *out, bln_error **err) BLN_NOEXCEPT;
/** Number of constraints that cannot be met together; 0 when an allocation was found. */
BLN_API size_t bln_plan_conflicts(const bln_plan *plan) BLN_NOEXCEPT;
/** Constraint @p i. ::BLN_E_RANGE. */
BLN_API bln_status bln_plan_conflict_at(const bln_plan *plan, size_t i, bln_plan_conflict *out,
                                        bln_error **err) BLN_NOEXCEPT;
/** In words, device by device [caller frees]. */
BLN_API bln_status bln_plan_text(const bln_plan *plan, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** All of it as one JSON object [caller frees]; keys as the members of the structs. */
BLN_API bln_status bln_plan_json(const bln_plan *plan, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** JSON Patch (RFC 6902) that writes the allocation into the record [caller frees]: devices, CTs, channels, and the elements
 *  of the points. It begins with tests of what the plan relies on. ::BLN_E_STATE (nothing was found; or a field that
 *  changes has a history and the request has no `from`), ::BLN_E_VALUE (dates). */
BLN_API bln_status bln_plan_patch(const bln_plan *plan, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** The record with the allocation in it [caller frees]. As bln_plan_patch(). */
BLN_API bln_status bln_plan_draft(const bln_plan *plan, bln_draft **out, bln_error **err) BLN_NOEXCEPT;

/** @} @defgroup sheet Install sheet, and schedules as CSV
 * What an installer takes along, and what comes back (docs/guides/install-sheet.md).
 * @{ */

/** Forms of an install sheet. */
enum {
    BLN_SHEET_JSON = 10, /**< one JSON object: cautions, panels with their channels, materials, fields to fill by hand */
    BLN_SHEET_TEXT = 20, /**< plain text, no line longer than 100 characters but for names */
    BLN_SHEET_CSV = 30   /**< one line a channel (RFC 4180, CRLF), with empty columns to fill by hand */
};
/** Writes the install sheet of a record [caller frees]: panel by panel and device by device in the order of work, each
 *  channel with connector, circuit, space, pole, conductor, CT type, the side that the mark faces, reference, point and
 *  premises; the list of materials by CT type; cautions by CT output; what to record.
 *
 *  Options are one JSON object; all keys may be left out: `panels`, `devices`, `points`: lists of ids that the sheet is
 *  confined to; `spare_percent`: spare CTs in the list of materials, rounded up for each type (0 to 100; default 5,
 *  common practice, no source); `title`: a text.
 *  @param form BLN_SHEET_...; ::BLN_E_NAME
 *  @return the 2xx statuses, ::BLN_E_FIELD, ::BLN_E_TYPE, ::BLN_E_VALUE, ::BLN_E_RANGE, ::BLN_E_NO_ENTITY with their place
 *  in the options */
BLN_API bln_status bln_plan_sheet(const bln_view *view, const char *options, size_t n, int32_t form, bln_text **out,
                                  bln_error **err) BLN_NOEXCEPT;

/** Reads a schedule of panels, circuits, CTs, channels or points from CSV into a draft [caller frees], which
 *  bln_draft_merge() adds to a record.
 *
 *  The map is one JSON object that says which column is what:
 *  - `columns`: {name in the file: "kind.field" or "kind.id"}, such as "circuit.breaker_amps"; "ignored" for a column that
 *    says nothing. A line that names a circuit and a panel makes the circuit's `panel` that panel; so with panel and service,
 *    device and profile, CT and type, channel and device or CT, point and premises, circuits, channels. Lists grow.
 *  - `ids`: {kind: pattern} for kinds without an id column, such as {"circuit": "{Panel}-{Space}"}: names of columns in
 *    braces.
 *  - `constants`: {"kind.field" or "kind.id": text} for what holds on every line.
 *  - `words`: {"kind.field": {word in the file: word of the field}}, for choices and booleans.
 *  - `delimiter` (","), `encoding` ("utf-8", "utf-16le", "utf-16be" or "iso-8859-1"; a byte order mark is skipped),
 *    `decimal` ("." or ","), `header` (true; otherwise columns are named "1", "2", ...), `others` ("refuse" or "ignore":
 *    columns that the map does not name), `list` (" ", "-", "/", ";" or "+": what stands between the items of a list;
 *    default any of these).
 *
 *  Empty cells say nothing. Lines that name the same entity add to it; a contradiction is an error.
 *  @param map   NULL: columns named "kind.field"
 *  @return the 2xx statuses; ::BLN_E_FIELD, ::BLN_E_TYPE, ::BLN_E_UNIT, ::BLN_E_VALUE with their place in the map, or in the
 *  table with line and column: those of the table are all listed, up to 100 */
BLN_API bln_status bln_schedule_read_csv(const char *map, size_t map_size, const char *csv, size_t n,
                                         const bln_limits *limits, bln_draft **out, bln_error **err) BLN_NOEXCEPT;

/** What to do about fields in which two drafts differ. */
enum {
    BLN_MERGE_REFUSE = 10, /**< an error; all are listed, up to 100 */
    BLN_MERGE_REPLACE = 20 /**< the second draft wins */
};
/** Adds entities and fields of one draft to another. All or nothing.
 *  @param mode BLN_MERGE_...; ::BLN_E_NAME
 *  @return ::BLN_E_EXISTS with subject and pointer for each field that both have with different values */
BLN_API bln_status bln_draft_merge(bln_draft *into, const bln_draft *from, int32_t mode, bln_error **err) BLN_NOEXCEPT;

/** @} @defgroup expect Expected readings, before power is on
 * What every channel should read, from the record as it is built (docs/guides/expected-readings.md). Angles come out
 * of the metering form of each channel: legs of loads between lines, high-leg legs and grounded phases included. The
 * bands are those that bln_live_check() holds readings to.
 * @{ */

/** A sheet of expected readings. Immutable. */
typedef struct bln_expect bln_expect;
/** What is known of a channel. */
enum {
    BLN_EXPECT_KNOWN = 10,      /**< the numbers count */
    BLN_EXPECT_ZERO_VOLTS = 20, /**< its reference lies between conductors of one potential (grounded phase): 0 V, 0 W */
    BLN_EXPECT_NO_CURRENT = 30, /**< the currents through its CT cancel at any load: the arrangement cannot measure */
    BLN_EXPECT_UNKNOWN = 40     /**< the record lacks a fact: see why */
};
/** What was assumed, and what is peculiar. Bits. */
enum {
    BLN_EXPECT_ROTATION_ASSUMED = 1,  /**< the sequence is not recorded and matters: taken as ABC */
    BLN_EXPECT_DIRECTION_ASSUMED = 2, /**< which way the CT faces is not recorded: taken as right */
    BLN_EXPECT_RATIO_ASSUMED = 4,     /**< configured ratio or rating is not recorded: taken as equal */
    BLN_EXPECT_NEUTRAL_ASSUMED = 8,   /**< whether a neutral goes to the load is not recorded: taken as present */
    BLN_EXPECT_CLASS_UNKNOWN = 16,    /**< the CT's accuracy class is not recorded, or not in the table */
    BLN_EXPECT_CLASS_SILENT = 32,     /**< the class promises nothing of the phase displacement */
    BLN_EXPECT_BEYOND_BREAKER = 64,   /**< the least load exceeds the rating of the breaker: the CT is too large */
    BLN_EXPECT_BEYOND_HEATER = 128,   /**< the least load exceeds a portable heater (policy `heater_watts`) */
    BLN_EXPECT_SERVICE_ASSUMED = 256, /**< the service of the device is not recorded: taken as the only one */
    BLN_EXPECT_TERMINALS_ASSUMED = 512 /**< the device's voltage terminals are not recorded: taken as named */
};
/** Which limit asks for the most load. */
enum {
    BLN_LEAST_BY_RATING = 10, /**< policy `load_percent` of the rated primary current */
    BLN_LEAST_BY_FLOOR = 20,  /**< policy `load_amps` */
    BLN_LEAST_BY_NOISE = 30,  /**< policies `noise_percent` and `noise_times` */
    BLN_LEAST_BY_POWER = 40,  /**< policy `load_volt_amps` */
    BLN_LEAST_BY_CLASS = 50   /**< the CT's class keeps its phase displacement within policy `guard_deg` from here on */
};
/** What one channel should read; texts [borrowed from the sheet]. Numbers count in state ::BLN_EXPECT_KNOWN. */
typedef struct bln_expect_row {
    uint32_t size;          /**< in: sizeof(bln_expect_row) */
    int32_t state;          /**< BLN_EXPECT_KNOWN, ... */
    const char *channel;    /**< id */
    const char *device;     /**< id, or "" */
    const char *circuit;    /**< id of the first circuit through its CTs, or "" */
    const char *point;      /**< id of the first point that uses it, or "" */
    const char *conductors; /**< those through its CTs, such as "A" or "A-B" */
    const char *reference;  /**< as configured, such as "A-N", or "" */
    const char *load;       /**< kind of load of that circuit, or "" */
    const char *why;        /**< of ::BLN_EXPECT_UNKNOWN: the missing fact; else "" */
    int64_t input;          /**< of the device; 0: not recorded */
    uint32_t flags;         /**< BLN_EXPECT_..._ASSUMED, ... */
    int32_t sign;           /**< of the active power: 1 or -1; 0: the band allows either */
    int32_t least_by;       /**< BLN_LEAST_BY_... */
    int32_t load_phases;    /**< 1, or 3: only a three-phase load drives current through its CT */
    double offset_low_deg;  /**< least that reference and arrangement add to the load's own angle */
    double offset_high_deg; /**< the most; more than the least where a neutral takes part */
    double angle_low_deg;   /**< angle of the voltage minus that of the current, as the channel reads it */
    double angle_high_deg;  /**< the band may reach beyond 180 */
    double heater_low_deg;  /**< the same with a heater in place of the load */
    double heater_high_deg; /**< its upper end */
    double volts;           /**< nominal, across its reference; 0: not recorded */
    double volts_low;       /**< less than this is a finding of bln_live_check() */
    double volts_high;      /**< and more than this */
    double gate_amps;       /**< least current in the conductor at which bln_live_check() judges it, A */
    double least_amps;      /**< least current at which the class of the CT stands behind the angle, too, A */
    double least_watts;     /**< load at unity power factor that draws least_amps, W */
    double load_volts;      /**< voltage of that load, V: pole to neutral, or between poles */
} bln_expect_row;
/** Makes the sheet: one row for each channel, in the order of the record [caller frees].
 *  @param policy of the domain ::BLN_POLICY_LIVE; NULL: all defaults
 *  @return ::BLN_E_ARGUMENT (policy of another domain). What the record lacks is a row, never an error. */
BLN_API bln_status bln_expect_new(const bln_view *view, const bln_policy *policy, bln_expect **out,
                                  bln_error **err) BLN_NOEXCEPT;
/** Number of rows. */
BLN_API size_t bln_expect_count(const bln_expect *expect) BLN_NOEXCEPT;
/** Row @p i. ::BLN_E_RANGE. */
BLN_API bln_status bln_expect_at(const bln_expect *expect, size_t i, bln_expect_row *out, bln_error **err) BLN_NOEXCEPT;
/** The sheet for people, by device and input, with cautions [caller frees]. */
BLN_API bln_status bln_expect_text(const bln_expect *expect, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** The sheet as CSV (RFC 4180) with a header; columns have the names of the members above [caller frees]. */
BLN_API bln_status bln_expect_csv(const bln_expect *expect, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** Frees a sheet. */
BLN_API void bln_expect_free(bln_expect *expect) BLN_NOEXCEPT;

/** @} @defgroup phase_test Voltmeter phase test
 * On which phase does a conductor stand? (docs/guides/phase-test.md) Voltages between conductors and known references
 * say it for every kind of service, without load: the same phase reads about 0 V, another the voltage between phases
 * (in a 120/208 V panel about 208 V). These conductors are live: only a qualified person measures there, with an
 * instrument of the right category, proven before and after. Zero volts does not prove a conductor dead.
 * @{ */

/** What a phase test found. Immutable. */
typedef struct bln_phase_test bln_phase_test;
/** Verdicts on one conductor. */
enum {
    BLN_PHASE_IMPOSSIBLE = 10, /**< its readings fit no conductor of the service, or contradict one another */
    BLN_PHASE_AMBIGUOUS = 20,  /**< they fit several, or nothing shows that the probe touched */
    BLN_PHASE_NOT_TESTED = 30, /**< nothing usable was read */
    BLN_PHASE_LIKELY = 35,     /**< one conductor fits; the full set of voltages was not read */
    BLN_PHASE_PROVEN = 40      /**< about 0 V to one phase, and the full voltage to each of the others */
};
/** What readings mean that do not settle a phase. */
enum {
    BLN_PHASE_CAUSE_NONE = 0,           /**< nothing to say */
    BLN_PHASE_CAUSE_DEAD = 10,          /**< about 0 V everywhere: not energized, or a probe is off */
    BLN_PHASE_CAUSE_ZERO_ALONE = 20,    /**< about 0 V and no other voltage: an open probe reads the same */
    BLN_PHASE_CAUSE_TIED = 30,          /**< about 0 V to two different phases: references tied or fed back */
    BLN_PHASE_CAUSE_FLOATING = 40,      /**< part of the voltage everywhere: an open conductor */
    BLN_PHASE_CAUSE_DISPLACED = 50,     /**< another transformer, displaced by a multiple of 30 degrees */
    BLN_PHASE_CAUSE_THIRD_PHASE = 60,   /**< the phase that a two-leg service does not have */
    BLN_PHASE_CAUSE_OTHER_SYSTEM = 70,  /**< a source of another nominal voltage */
    BLN_PHASE_CAUSE_CONTRADICTION = 80, /**< readings against other conductors contradict one another */
    BLN_PHASE_CAUSE_UNEXPLAINED = 90    /**< none of these */
};
/** One conductor; texts [borrowed from the test]. */
typedef struct bln_phase_row {
    uint32_t size;              /**< in: sizeof(bln_phase_row) */
    int32_t verdict;            /**< BLN_PHASE_PROVEN, ... */
    const char *conductor;      /**< as it was named */
    const char *circuit;        /**< id, where the name is one of the record, or "" */
    const char *panel;          /**< id, or "" */
    const char *phase;          /**< "A", "B", "C", or "N" for the neutral; "": not settled */
    const char *candidates;     /**< all that the readings allow, such as "AB" */
    const char *recorded;       /**< phase by the record, or "" */
    const char *detail;         /**< the readings, where they fit nothing */
    const char *cause_text;     /**< what they mean, in words, or "" */
    const char *next;           /**< the measurement that comes next, in words, or "" */
    const char *next_reference; /**< its reference, where it is one */
    int64_t space;              /**< of the panel; 0: none */
    int32_t pole;               /**< of the circuit; 0: none */
    int32_t cause;              /**< BLN_PHASE_CAUSE_... */
    uint32_t readings;          /**< that name it */
    uint32_t reserved;          /**< 0 */
    double drop_volts;          /**< read to its own phase; 0: not read */
} bln_phase_row;
/** Verdicts on the bus of a panel. */
enum {
    BLN_PANEL_MIXED = 10,      /**< its conductors follow no order of the phases */
    BLN_PANEL_ROTATED = 15,    /**< they follow another order than the record's */
    BLN_PANEL_UNDECIDED = 20,  /**< more than one order fits: see next */
    BLN_PANEL_NOT_TESTED = 30, /**< no phase of any of its spaces is known */
    BLN_PANEL_AS_RECORDED = 40 /**< they follow the recorded order, and no other */
};
/** One panel; texts [borrowed from the test]. */
typedef struct bln_phase_panel {
    uint32_t size;        /**< in: sizeof(bln_phase_panel) */
    int32_t verdict;      /**< BLN_PANEL_AS_RECORDED, ... */
    const char *panel;    /**< id */
    const char *recorded; /**< phases of the bus from the first row on, such as "ABC" */
    const char *measured; /**< the same as measured: what to record as `bus`; "": not decided */
    const char *next;     /**< the measurement that decides, or "" */
    int32_t offset;       /**< rows by which the pattern is moved on: 0, 1, 2 */
    int32_t reversed;     /**< 1: the pattern runs the other way */
    uint32_t tested;      /**< conductors whose phase is known */
    uint32_t agree;       /**< of them, those that follow the measured order */
} bln_phase_panel;

/** Works out phases from voltages [caller frees]. Conductors are named "circuit:pole" (a circuit of one pole: its id
 *  will do) or "panel/space" as in the record, or in any other way: then there is nothing to compare. A reference is
 *  A, B, C, N or G, a terminal that is known to stand on that conductor, or another conductor. Readings that cannot be
 *  are findings, with the smallest set of readings that contradict one another.
 *  @param service    id of the service of the references; NULL: the only one of the record
 *  @param n          number of readings; conductors, references and volts have so many
 *  @param volts      magnitudes, V; an absent item was not measured
 *  @param policy     of the domain ::BLN_POLICY_PHASE_TEST; NULL: all defaults
 *  @return ::BLN_E_NO_ENTITY (service), ::BLN_E_ABSENT (its kind or voltage; several services and none named),
 *          ::BLN_E_VALUE (negative, a name empty, over 140 bytes or measured against itself, a conductor named like a
 *          reference), ::BLN_E_NOT_FINITE, ::BLN_E_ARGUMENT (policy of another domain) */
BLN_API bln_status bln_phase_test_new(const bln_view *view, const char *service, size_t n, const char *const *conductors,
                                      const char *const *references, const bln_column *volts, const bln_policy *policy,
                                      bln_phase_test **out, bln_error **err) BLN_NOEXCEPT;
/** The same from CSV with the columns conductor, reference, volts; expected_volts and note may be there. A row without
 *  volts was not measured. The 2xx statuses as well, each with its place. */
BLN_API bln_status bln_phase_test_read_csv(const bln_view *view, const char *service, const char *csv, size_t n,
                                           const bln_limits *limits, const bln_policy *policy, bln_phase_test **out,
                                           bln_error **err) BLN_NOEXCEPT;
/** A sheet to fill in, as such CSV: each pole of each circuit of a panel against every reference, with the voltage
 *  that the record foretells [caller frees]. ::BLN_E_NO_ENTITY, ::BLN_E_ABSENT. */
BLN_API bln_status bln_phase_test_sheet(const bln_view *view, const char *panel, bln_text **out,
                                        bln_error **err) BLN_NOEXCEPT;
/** Number of conductors, in the order in which readings name them. */
BLN_API size_t bln_phase_test_count(const bln_phase_test *test) BLN_NOEXCEPT;
/** Conductor @p i. ::BLN_E_RANGE. */
BLN_API bln_status bln_phase_test_at(const bln_phase_test *test, size_t i, bln_phase_row *out,
                                     bln_error **err) BLN_NOEXCEPT;
/** Number of panels of which a conductor was measured, in the order of the record. */
BLN_API size_t bln_phase_test_panel_count(const bln_phase_test *test) BLN_NOEXCEPT;
/** Panel @p i. ::BLN_E_RANGE. */
BLN_API bln_status bln_phase_test_panel_at(const bln_phase_test *test, size_t i, bln_phase_panel *out,
                                           bln_error **err) BLN_NOEXCEPT;
/** Findings [caller frees]. */
BLN_API bln_status bln_phase_test_report(const bln_phase_test *test, bln_report **out, bln_error **err) BLN_NOEXCEPT;
/** The result for people, with cautions [caller frees]. */
BLN_API bln_status bln_phase_test_text(const bln_phase_test *test, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** Frees a phase test. */
BLN_API void bln_phase_test_free(bln_phase_test *test) BLN_NOEXCEPT;

/** @} @defgroup trace Tracing circuits
 * Which breaker feeds which channel, where no record says so? (docs/guides/tracing.md) First see what loads that switch
 * by themselves say; then switch breakers off in steps. Every channel is read by itself: each breaker gets a word, one
 * bit a step, and the steps in which a channel's current falls spell the word of its breaker. Switching interrupts
 * people: ask first; never switch off life safety or medical equipment. A breaker that is off does not make a conductor
 * dead.
 * @{ */

/** A plan of switching steps. Immutable. */
typedef struct bln_trace bln_trace;
/** Whether a breaker may be switched off. */
enum {
    BLN_SWITCH_MAY = 10,  /**< yes */
    BLN_SWITCH_ASK = 20,  /**< after its user agreed: it is switched, and listed */
    BLN_SWITCH_NEVER = 30 /**< no: it is left on */
};
/** What the words of a plan can stand. */
enum {
    BLN_TRACE_PLAIN = 10,  /**< nothing: a load that changes by itself during a step can name a wrong breaker */
    BLN_TRACE_DETECT = 20, /**< one wrong step is noticed; one step more than plain, where the limit does not bind */
    BLN_TRACE_CORRECT = 30 /**< one wrong step is put right */
};
/** What a plan has to keep to. */
typedef struct bln_trace_options {
    uint32_t size;     /**< in: sizeof(bln_trace_options) */
    int32_t check;     /**< BLN_TRACE_PLAIN, ... */
    uint64_t most_off; /**< breakers that may be off at once; 0: any number; 1: one by one */
} bln_trace_options;
/** What a plan is. */
typedef struct bln_trace_info {
    uint32_t size;        /**< in: sizeof(bln_trace_info) */
    uint32_t steps;       /**< number of steps; plain and without a limit: log2(traced + 1), rounded up */
    uint32_t least_steps; /**< no plan under these conditions has fewer; plain plans reach it always */
    uint32_t most_off;    /**< greatest number of breakers off in one step */
    uint32_t distance;    /**< steps in which any two words differ at least: 1, 2 or 3 */
    uint32_t traced;      /**< breakers that are switched */
} bln_trace_info;
/** One breaker of a plan; texts [borrowed from the plan]. */
typedef struct bln_trace_breaker {
    uint32_t size;    /**< in: sizeof(bln_trace_breaker) */
    int32_t rule;     /**< BLN_SWITCH_MAY, ... */
    const char *id;   /**< as given */
    const char *word; /**< one sign a step: 1 where it is off, else 0; "": left on */
    const char *why;  /**< it is left on, or "" */
    int32_t poles;    /**< 1 to 3 */
    int32_t reserved; /**< 0 */
} bln_trace_breaker;
/** Makes a plan [caller frees]. The same input gives the same plan.
 *  @param n        number of breakers; ids, poles and rules have so many
 *  @param poles    1 to 3 each; NULL: 1 each
 *  @param rules    BLN_SWITCH_...; NULL: all may be switched off
 *  @param options  NULL: ::BLN_TRACE_DETECT, any number off at once
 *  @return ::BLN_E_VALUE (not an id, or twice), ::BLN_E_RANGE (poles, rule, check), ::BLN_E_SIZE (more than 4096 to
 *          switch) */
BLN_API bln_status bln_trace_new(size_t n, const char *const *ids, const int32_t *poles, const int32_t *rules,
                                 const bln_trace_options *options, bln_trace **out, bln_error **err) BLN_NOEXCEPT;
/** Makes a plan of the circuits of a panel (NULL: of all panels) [caller frees]. Left on are mains and whatever feeds a
 *  panel, supplies of the metering, spares, and circuits whose field `switch_off` is `never`. Where that field is
 *  absent, its user is to be asked. ::BLN_E_NO_ENTITY, and as above. */
BLN_API bln_status bln_trace_of_view(const bln_view *view, const char *panel, const bln_trace_options *options,
                                     bln_trace **out, bln_error **err) BLN_NOEXCEPT;
/** What the plan is. */
BLN_API bln_status bln_trace_about(const bln_trace *trace, bln_trace_info *out, bln_error **err) BLN_NOEXCEPT;
/** Number of breakers, those left on included. */
BLN_API size_t bln_trace_count(const bln_trace *trace) BLN_NOEXCEPT;
/** Breaker @p i. ::BLN_E_RANGE. */
BLN_API bln_status bln_trace_at(const bln_trace *trace, size_t i, bln_trace_breaker *out, bln_error **err) BLN_NOEXCEPT;
/** The plan as JSON [caller frees]: {"check", "most_off_allowed", "steps", "least_steps", "most_off", "distance",
 *  "breakers": [{"id", "poles", "rule", "word", "why"}], "off": [[id, ...] a step]}. */
BLN_API bln_status bln_trace_json(const bln_trace *trace, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** The plan for people, step by step, with cautions [caller frees]. */
BLN_API bln_status bln_trace_text(const bln_trace *trace, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** Frees a plan. */
BLN_API void bln_trace_free(bln_trace *trace) BLN_NOEXCEPT;

/** Readings before and during steps, one item a row in each column [borrowed for the call]. */
typedef struct bln_trace_columns {
    uint32_t size;     /**< in: sizeof(bln_trace_columns) */
    uint32_t reserved; /**< 0 */
    bln_column step;   /**< number of the step, from 1 */
    bln_column before; /**< current of the channel before the step, A; an absent item was not read */
    bln_column off;    /**< current while the breakers of the step are off, A */
    bln_column noise;  /**< standard deviation of one reading, A; absent: by policy */
} bln_trace_columns;
/** What readings say. Immutable. */
typedef struct bln_trace_result bln_trace_result;
/** Verdicts on one channel. */
enum {
    BLN_TRACED_CONTRADICTORY = 10, /**< its readings contradict one another, or the poles of a breaker */
    BLN_TRACED_UNDECIDED = 20,     /**< two explanations are too close */
    BLN_TRACED_NOT_PROVEN = 30,    /**< it carried no load */
    BLN_TRACED_NOT_AMONG = 32,     /**< it fell with none of these breakers */
    BLN_TRACED_LIKELY = 35,        /**< a breaker, with one wrong step put right */
    BLN_TRACED_PROVEN = 40         /**< a breaker */
};
/** Why. */
enum {
    BLN_TRACE_CAUSE_NONE = 0,          /**< nothing to say */
    BLN_TRACE_CAUSE_NO_LOAD = 10,      /**< no load that its noise would let fall be seen */
    BLN_TRACE_CAUSE_NO_WORD = 20,      /**< it fell in steps that belong to no breaker */
    BLN_TRACE_CAUSE_TWO_BREAKERS = 30, /**< it fell in parts: conductors of two breakers run through its CT */
    BLN_TRACE_CAUSE_PARTLY = 40,       /**< it fell in parts, and no two breakers explain it */
    BLN_TRACE_CAUSE_CORRECTED = 50,    /**< one step disagrees and was put right */
    BLN_TRACE_CAUSE_TOO_LITTLE = 60,   /**< the steps read do not tell two breakers apart */
    BLN_TRACE_CAUSE_TOO_MANY = 70      /**< more channels follow its breaker than the breaker has poles */
};
/** One channel; texts [borrowed from the result]. */
typedef struct bln_trace_row {
    uint32_t size;          /**< in: sizeof(bln_trace_row) */
    int32_t verdict;        /**< BLN_TRACED_... */
    const char *channel;    /**< id */
    const char *breaker;    /**< the best explanation; "": none of the breakers */
    const char *second;     /**< the other of two breakers in one CT, or the next best of an undecided channel */
    const char *read;       /**< one sign a step: 1 fell, 0 stayed, p fell in part, - nothing usable */
    const char *cause_text; /**< in words, or "" */
    int32_t cause;          /**< BLN_TRACE_CAUSE_... */
    uint32_t steps;         /**< steps with a usable reading */
    uint32_t wrong_steps;   /**< of them, those that disagree with the best explanation */
    uint32_t reserved;      /**< 0 */
    double nats;            /**< log-likelihood by which the best explanation beats the next */
    double probability;     /**< of the best explanation, all breakers and none being equally likely before */
    double share;           /**< of two breakers: of the current that belongs to `breaker` */
    double amps;            /**< mean before the steps, A */
} bln_trace_row;
/** Decodes readings [caller frees]. Readings that cannot be explained are findings.
 *  @param view    its record is compared with what is found; may be NULL
 *  @param policy  of the domain ::BLN_POLICY_TRACE; NULL: all defaults
 *  @return ::BLN_E_VALUE (not an id, no such step, negative), ::BLN_E_NOT_FINITE, ::BLN_E_ARGUMENT (policy of another
 *          domain) */
BLN_API bln_status bln_trace_decode(const bln_trace *trace, const bln_view *view, size_t n, const char *const *channels,
                                    const bln_trace_columns *columns, const bln_policy *policy, bln_trace_result **out,
                                    bln_error **err) BLN_NOEXCEPT;
/** The same from CSV with the columns channel, step, before_amps, off_amps; noise_amps and note may be there. The 2xx
 *  statuses as well, each with its place. */
BLN_API bln_status bln_trace_decode_csv(const bln_trace *trace, const bln_view *view, const char *csv, size_t n,
                                        const bln_limits *limits, const bln_policy *policy, bln_trace_result **out,
                                        bln_error **err) BLN_NOEXCEPT;
/** Number of channels, in the order in which they are first read. */
BLN_API size_t bln_trace_result_count(const bln_trace_result *result) BLN_NOEXCEPT;
/** Channel @p i. ::BLN_E_RANGE. */
BLN_API bln_status bln_trace_result_at(const bln_trace_result *result, size_t i, bln_trace_row *out,
                                       bln_error **err) BLN_NOEXCEPT;
/** Findings [caller frees]. */
BLN_API bln_status bln_trace_result_report(const bln_trace_result *result, bln_report **out,
                                           bln_error **err) BLN_NOEXCEPT;
/** The result for people, with cautions [caller frees]. */
BLN_API bln_status bln_trace_result_text(const bln_trace_result *result, bln_text **out, bln_error **err) BLN_NOEXCEPT;
/** Frees a result. */
BLN_API void bln_trace_result_free(bln_trace_result *result) BLN_NOEXCEPT;

/** What loads that switch by themselves say, before anything is switched, as JSON [caller frees]: {"channels": [{"id",
 *  "steps": [[sample, amps], ...]}], "together": [[id, ...]], "matches": [{"circuit", "channel", "events", "hits",
 *  "nats"}]}. Channels stand together that step at the same samples by as much: poles of one circuit. A match is a
 *  channel that steps with the events of a circuit more often than chance would have it (policy `accept_nats`).
 *  @param channels ids, n of them; amps has a column of so many samples for each, A; a gap holds the last value
 *  @param events   number of events: somebody saw that circuit switch between sample at[i] - 1 and at[i]
 *  @return ::BLN_E_VALUE (not an id, an event beyond the samples), ::BLN_E_NOT_FINITE, ::BLN_E_ARGUMENT */
BLN_API bln_status bln_trace_natural(size_t n, const char *const *channels, size_t samples, const bln_column *amps,
                                     size_t events, const char *const *circuits, const uint64_t *at,
                                     const bln_policy *policy, bln_text **out, bln_error **err) BLN_NOEXCEPT;

/** @} */

/** @defgroup standards Limits of standards
 *  Supply voltages, errors that the law allows, burdens and conductors, as data with their sources. Accuracy classes are
 *  handed out by bln_accuracy_class_at() and bln_accuracy_limit().
 *  @{ */

/** A limit; texts are static. */
typedef struct bln_limit {
    uint32_t size;         /**< in: sizeof(bln_limit) */
    int32_t from_memory;   /**< 1: not seen in a source; confirm it against the standard before money depends on it */
    double low;            /**< least value; equal to high where the standard gives one value */
    double high;           /**< greatest value */
    const char *key;       /**< "ansi-c84.1/208Y120/ll/A-service": standard, subject, condition */
    const char *quantity;  /**< what is limited */
    const char *condition; /**< when it holds */
    const char *unit;      /**< "V", "%", "VA", "ohm/km" */
    const char *standard;  /**< "ANSI C84.1" */
    const char *source;    /**< where the numbers were taken from */
} bln_limit;
/** Number of limits. */
BLN_API size_t bln_limit_count(void) BLN_NOEXCEPT;
/** Limit @p i. ::BLN_E_RANGE. */
BLN_API bln_status bln_limit_at(size_t i, bln_limit *out, bln_error **err) BLN_NOEXCEPT;
/** The limit of this key. ::BLN_E_NAME. */
BLN_API bln_status bln_limit_find(const char *key, bln_limit *out, bln_error **err) BLN_NOEXCEPT;
/** Greatest resistance of one metre of one plain copper conductor of class 1 or 2 (IEC 60228; sizes up to 1 mm2 and the
 *  change with temperature, 0.393 % per degree, from memory). Between sizes: that of the next smaller one, by area.
 *  @param mm2        cross-section, above 0
 *  @param celsius    temperature, -100 to 300 degrees; 20 is that of the standard
 *  @param ohms_per_m ohms per metre
 *  @return ::BLN_E_RANGE, ::BLN_E_NOT_FINITE */
BLN_API bln_status bln_copper_resistance(double mm2, double celsius, double *ohms_per_m, bln_error **err) BLN_NOEXCEPT;
/** Area of a wire of an American wire gauge: diameter 0.005 in x 92^((36 - n) / 39) (ASTM B258, from memory; agrees with
 *  the wire table of T. R. Kuphaldt, Lessons in Electric Circuits, vol. I).
 *  @param gauge "4/0" to "1/0", or "1" to "40"; ::BLN_E_NAME */
BLN_API bln_status bln_gauge_area(const char *gauge, double *mm2, bln_error **err) BLN_NOEXCEPT;

/** @} */

/** @defgroup recheck Checking while editing
 *  A check that follows the edits of a draft at the cost of what they can reach, and findings compared by identity.
 *  @{ */

/** A check that is kept up to date. One thread at a time; the draft must not be edited during a call. */
typedef struct bln_recheck bln_recheck;
/** Checks the draft as bln_check() checks a view, and remembers it [caller frees]. The draft may be edited and freed
 *  afterwards.
 *  @param valid,known as for bln_view_new()
 *  @param policy      of ::BLN_POLICY_CHECK, copied; NULL: the defaults
 *  @return ::BLN_E_ARGUMENT (policy of another domain), ::BLN_E_CANCELLED */
BLN_API bln_status bln_recheck_new(const bln_draft *draft, bln_instant valid, bln_instant known,
                                   const bln_policy *policy, bln_progress progress, void *user, bln_recheck **out,
                                   bln_error **err) BLN_NOEXCEPT;
/** Follows the edits of the draft since the last call. An edited field costs what it can reach. A whole check is made
 *  where an entity was added or removed, a patch was applied or another draft is given, and where a service, what feeds a
 *  panel, or nested roll-ups changed. What is reported is the same in any case. After a failed call the next one makes a
 *  whole check.
 *  @param appeared,gone,changed findings that are new, are no longer found, or are found with other facts, severity or
 *                  waiver; compared by identity [caller frees each]; each may be NULL. Their coverage is empty.
 *  @return ::BLN_E_CANCELLED */
BLN_API bln_status bln_recheck_update(bln_recheck *recheck, const bln_draft *draft, bln_progress progress, void *user,
                                      bln_report **appeared, bln_report **gone, bln_report **changed,
                                      bln_error **err) BLN_NOEXCEPT;
/** The whole report as of the last update, as bln_check() would give it but for the order of findings about one entity
 *  [caller frees]. A draft has no digest. */
BLN_API bln_status bln_recheck_report(const bln_recheck *recheck, bln_report **out, bln_error **err) BLN_NOEXCEPT;
/** Entities that the last update looked at; all of them after a whole check. 0 for NULL. */
BLN_API uint64_t bln_recheck_reached(const bln_recheck *recheck) BLN_NOEXCEPT;
/** Frees it. */
BLN_API void bln_recheck_free(bln_recheck *recheck) BLN_NOEXCEPT;
/** Compares two reports by the identity of their findings: never by numbers or texts.
 *  @param appeared,gone,changed as for bln_recheck_update() */
BLN_API bln_status bln_report_compare(const bln_report *before, const bln_report *after, bln_report **appeared,
                                      bln_report **gone, bln_report **changed, bln_error **err) BLN_NOEXCEPT;

/** @} */

#ifdef __cplusplus
}
#endif
#endif
