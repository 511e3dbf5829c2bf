/* SPDX-License-Identifier: Apache-2.0 */
/* Is every point's arrangement of meter elements exact? The form answers in ratios: a proof, no tolerance. */
#include <string.h>

#include "audit.h"

enum verdict { EXACT, INEXACT, UNKNOWN };

static bool verdict_of(const bln_form* form, enum verdict* out) {
    int32_t exact = 0;
    bln_error* error = NULL;
    *out = UNKNOWN;
    if (!bln_form_built(form)) return true;
    if (!worked(bln_form_exact(form, &exact, &error), &error, "form")) return false;
    *out = exact ? EXACT : INEXACT;
    return true;
}

bool prove_points(const bln_site* site, const bln_view* view, struct proofs* out) {
    bool good = true;
    for (size_t i = 0; good && i < bln_site_count(site, BLN_KIND_POINT); ++i) {
        bln_form* form = NULL;
        bln_error* error = NULL;
        enum verdict verdict = UNKNOWN;
        const char* point = bln_site_id(site, BLN_KIND_POINT, i);
        good = worked(bln_form_of_point(view, point, 1, &form, &error), &error, point) && verdict_of(form, &verdict);
        out->exact += verdict == EXACT;
        out->inexact += verdict == INEXACT;
        out->unknown += verdict == UNKNOWN;
        bln_form_free(form);
    }
    return good;
}

bool is_exact(const bln_view* view, const char* point) {
    bln_form* form = NULL;
    enum verdict verdict = UNKNOWN;
    if (bln_form_of_point(view, point, 1, &form, NULL) == BLN_OK) (void)verdict_of(form, &verdict);
    bln_form_free(form);
    return verdict == EXACT;
}

static bool print_words(const bln_form* form, int32_t what, const char* first) {
    bln_text* text = NULL;
    bln_error* error = NULL;
    if (!worked(bln_form_words(form, what, &text, &error), &error, "form")) return false;
    if (bln_text_size(text) > 0) wrap(first, bln_text_data(text));
    bln_text_free(text);
    return true;
}

static bool print_inexact(const bln_form* form, const bln_view* view, const char* point) {
    size_t fewest = 0;
    int64_t num[64], den[64];
    int32_t found = 0;
    char line[200] = "";
    bln_error* error = NULL;
    const size_t n = bln_form_element_count(form);
    printf("  %s\n", point);
    if (!print_words(form, BLN_FORM_VERDICT, "    verdict     ") ||
        !print_words(form, BLN_FORM_REGISTERED, "    registers   ") ||
        !print_words(form, BLN_FORM_ERROR, "    error       ") ||
        !print_words(form, BLN_FORM_CONDITION, "    that error  ") ||
        !worked(bln_form_fewest_elements(form, &fewest, &error), &error, point))
        return false;
    append(line, sizeof line, "%zu; %zu would do for this load.", n, fewest);
    wrap("    elements    ", line);
    if (n > 64 || !print_bound(form, view)) return n > 64;
    if (!worked(bln_form_realise(form, num, den, &found, NULL, &error), &error, point)) return false;
    line[0] = '\0';
    for (size_t e = 0; found && e < n; ++e) {
        const char* channel = "";
        if (!worked(bln_form_element_at(form, e, NULL, NULL, NULL, NULL, NULL, NULL, &channel, &error), &error, point))
            return false;
        append(line, sizeof line, "%s%s x %lld", e > 0 ? ", " : "", channel, (long long)num[e]);
        if (den[e] != 1) append(line, sizeof line, "/%lld", (long long)den[e]);
    }
    if (found) wrap("    software    ", line);
    return found || print_uses(form);
}

static bool print_unknown(const bln_form* form, const char* point) {
    bln_error* error = NULL;
    printf("  %s: not known\n", point);
    for (size_t i = 0; i < bln_form_note_count(form); ++i) {
        const char *doc = "", *id = "";
        int32_t stops = 0;
        char first[100] = "";
        if (!worked(bln_form_note_at(form, i, NULL, &stops, NULL, &id, &doc, &error), &error, point)) return false;
        append(first, sizeof first, "    %s: ", id);
        if (stops) wrap(first, doc);
    }
    return true;
}

bool print_proofs(const bln_site* site, const bln_view* view) {
    char exact[4000] = "";
    size_t count = 0;
    bool good = true;
    puts("\nPROOF OF THE ARRANGEMENTS  In ratios, for any load and any waveform; no tolerance.");
    for (size_t i = 0; good && i < bln_site_count(site, BLN_KIND_POINT); ++i) {
        bln_form* form = NULL;
        bln_error* error = NULL;
        enum verdict verdict = UNKNOWN;
        const char* point = bln_site_id(site, BLN_KIND_POINT, i);
        good = worked(bln_form_of_point(view, point, 1, &form, &error), &error, point) && verdict_of(form, &verdict);
        if (good && verdict == EXACT) append(exact, sizeof exact, "%s%s", count++ > 0 ? ", " : "", point);
        if (good && verdict == INEXACT) good = print_inexact(form, view, point);
        if (good && verdict == UNKNOWN) good = print_unknown(form, point);
        bln_form_free(form);
    }
    if (good && count > 0) wrap("  exact: ", exact);
    return good;
}
