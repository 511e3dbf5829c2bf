/* SPDX-License-Identifier: Apache-2.0 */
/* Who is mis-billed, by roughly how much.
 *
 * Two sources, kept apart. First the record itself: its as-built layer says which CT hangs on which circuit,
 * which way and with what ratio, so the same registers can be summed once as configured and once as built; the
 * difference is exact. Second, what the record does not know: wiring faults that the live readings show
 * (audit_faults.c), or, without readings, what a roll-up lacks against its main: it has a profile over the week, and
 * the library says which fault of which channel would leave that profile. Both are estimates, and marked. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "audit.h"

static const double small_kwh = 0.05; /* less than a display shows */

static double kwh(const bln_statement* statement, int64_t counts) {
    int64_t num = 0, den = 1;
    if (bln_statement_quantum(statement, &num, &den, NULL) != BLN_OK) return 0;
    return (double)counts * (double)num / (double)den / 1000;
}

/* Points take the channels whose CTs surround their circuits. A point that shares channels is left as it is. */
static bool re_point(const bln_site* site, const bln_view* view, bln_draft* draft) {
    bool good = true;
    for (size_t i = 0; good && i < bln_site_count(site, BLN_KIND_POINT); ++i) {
        const char* point = bln_site_id(site, BLN_KIND_POINT, i);
        const char* keys[64];
        int64_t ones[64];
        size_t n = 0;
        bool whole = true;
        for (size_t k = 0; k < size_of(view, BLN_KIND_POINT, point, "elements"); ++k) {
            const char* key;
            int64_t num = 0, den = 0;
            (void)bln_view_item_term(view, BLN_KIND_POINT, point, "elements", k, &key, &num, &den, NULL);
            whole = whole && num == den;
        }
        for (size_t k = 0; k < bln_site_count(site, BLN_KIND_CHANNEL) && n < 64; ++k) {
            const char* channel = bln_site_id(site, BLN_KIND_CHANNEL, k);
            char circuit[80];
            if (!circuit_of(view, BLN_KIND_CHANNEL, channel, circuit)) continue;
            for (size_t c = 0; c < size_of(view, BLN_KIND_POINT, point, "circuits"); ++c)
                if (strcmp(key_of(view, BLN_KIND_POINT, point, "circuits", c), circuit) == 0) {
                    keys[n] = channel;
                    ones[n++] = 1;
                }
        }
        bln_error* error = NULL;
        if (n > 0 && whole)
            good =
                worked(bln_draft_set_terms(draft, BLN_KIND_POINT, point, "elements", keys, ones, NULL, n, NULL, &error),
                       &error, point);
    }
    return good;
}

/* Gives the elements of one point the weights that make it exact, where there are such weights. */
static bool re_weigh(const bln_view* view, const char* point, bln_draft* draft) {
    bln_form* form = NULL;
    bln_error* error = NULL;
    const char* keys[64];
    int64_t num[64], den[64];
    int32_t exact = 0, found = 0;
    bool good = worked(bln_form_of_point(view, point, 1, &form, &error), &error, point);
    const size_t n = bln_form_element_count(form);
    if (good && bln_form_built(form) && n <= 64) {
        good = worked(bln_form_exact(form, &exact, &error), &error, point) &&
               (exact || worked(bln_form_realise(form, num, den, &found, NULL, &error), &error, point));
        for (size_t e = 0; good && found && e < n; ++e) {
            int64_t times = 1, over = 1; /* the channel's own multiplier stays where it is */
            good = worked(bln_form_element_at(form, e, NULL, NULL, NULL, NULL, NULL, NULL, &keys[e], &error), &error,
                          point);
            if (!good) break;
            (void)bln_view_ratio(view, BLN_KIND_CHANNEL, keys[e], "multiplier", &times, &over, NULL);
            num[e] *= over;
            den[e] *= times;
        }
        if (good && found)
            good =
                worked(bln_draft_set_terms(draft, BLN_KIND_POINT, point, "elements", keys, num, den, n, NULL, &error),
                       &error, point);
    }
    bln_form_free(form);
    return good;
}

/* The record as it would be configured if one followed its as-built layer. */
static bool as_built(const bln_site* site, const bln_view* view, bln_site** out) {
    bln_draft* draft = NULL;
    bln_site* pointed = NULL;
    bln_view* pointed_view = NULL;
    bln_error* error = NULL;
    bool good = worked(bln_draft_of(site, &draft, &error), &error, "copy of the record") &&
                re_point(site, view, draft) &&
                worked(bln_draft_freeze(draft, &pointed, &error), &error, "copy of the record") &&
                worked(bln_view_new(pointed, BLN_END_OF_TIME, BLN_END_OF_TIME, &pointed_view, &error), &error, "view");
    for (size_t i = 0; good && i < bln_site_count(site, BLN_KIND_POINT); ++i)
        good = re_weigh(pointed_view, bln_site_id(site, BLN_KIND_POINT, i), draft);
    good = good && worked(bln_draft_freeze(draft, out, &error), &error, "copy of the record");
    bln_view_free(pointed_view);
    bln_site_free(pointed);
    bln_draft_free(draft);
    return good;
}

static struct bill* bill_of(struct bills* bills, const char* point) {
    for (size_t i = 0; i < bills->count; ++i)
        if (strcmp(bills->row[i].point, point) == 0) return &bills->row[i];
    return NULL;
}

static bool feeds_the_metering(const bln_view* view, const char* point) {
    const char* circuit = key_of(view, BLN_KIND_POINT, point, "circuits", 0);
    return strcmp(text_of(view, BLN_KIND_CIRCUIT, circuit, "role"), "meter_supply") == 0;
}

/* Does the point stand in a roll-up? True as well when the site has none. */
static bool rolled_up(const bln_site* site, const bln_view* view, const char* point) {
    const size_t n = bln_site_count(site, BLN_KIND_ROLLUP);
    for (size_t i = 0; i < n; ++i) {
        const char* rollup = bln_site_id(site, BLN_KIND_ROLLUP, i);
        for (size_t k = 0; k < size_of(view, BLN_KIND_ROLLUP, rollup, "points"); ++k)
            if (strcmp(key_of(view, BLN_KIND_ROLLUP, rollup, "points", k), point) == 0) return true;
    }
    return n == 0;
}

/* The title of the first rule that is broken at the point. */
static void explain(struct bill* bill, const bln_view* view, const bln_report* check) {
    char mine[80];
    const bool has_circuit = circuit_of(view, BLN_KIND_POINT, bill->point, mine);
    for (size_t i = 0; i < bln_report_count(check); ++i) {
        bln_finding finding = {.size = sizeof finding};
        bln_text* title = NULL;
        bool about = false;
        if (bln_report_at(check, i, &finding, NULL) != BLN_OK || finding.severity != BLN_ERROR) continue;
        for (size_t j = 0; j < finding.subject_count && !about; ++j) {
            bln_kind kind;
            const char* id;
            char circuit[80];
            if (bln_report_subject(check, i, j, &kind, &id, NULL) != BLN_OK) continue;
            about = (kind == BLN_KIND_POINT && strcmp(id, bill->point) == 0) ||
                    (has_circuit && circuit_of(view, kind, id, circuit) && strcmp(circuit, mine) == 0);
        }
        if (!about || bln_report_text(check, i, BLN_TEXT_TITLE, NULL, &title, NULL) != BLN_OK) continue;
        append(bill->because, sizeof bill->because, "%s", bln_text_data(title));
        bln_text_free(title);
        return;
    }
    append(bill->because, sizeof bill->because, "Configured otherwise than built");
}

bool mis_billed(const struct bill* bill) {
    return bill->unknown || fabs(bill->billed_kwh - bill->should_be_kwh) > small_kwh;
}

/* Unknown ones first among those that are wrong: nobody can put a figure to them. */
static int by_difference(const void* left, const void* right) {
    const struct bill *a = left, *b = right;
    if (a->unknown != b->unknown) return a->unknown ? -1 : 1;
    const double x = fabs(a->billed_kwh - a->should_be_kwh), y = fabs(b->billed_kwh - b->should_be_kwh);
    return x > y ? -1 : x < y;
}

bool compare_bills(const bln_site* site, const bln_view* view, const bln_report* check, const bln_intervals* intervals,
                   const bln_live* live, const bln_statement* statement, struct bills* out) {
    bln_site* other = NULL;
    bln_view* other_view = NULL;
    bln_statement* truth = NULL;
    bln_error* error = NULL;
    const size_t rows = bln_statement_count(statement);
    bool good = as_built(site, view, &other) &&
                worked(bln_view_new(other, BLN_END_OF_TIME, BLN_END_OF_TIME, &other_view, &error), &error, "view") &&
                worked(bln_rollup(other, BLN_END_OF_TIME, intervals, NULL, NULL, NULL, &truth, &error), &error,
                       "roll-up as built");
    out->row = calloc(rows > 0 ? rows : 1, sizeof *out->row);
    good = good && out->row != NULL;
    for (size_t i = 0; good && i < rows; ++i) {
        bln_statement_row row = {.size = sizeof row}, right = {.size = sizeof right};
        if (!worked(bln_statement_at(statement, i, &row, &error), &error, "statement") ||
            !worked(bln_statement_at(truth, i, &right, &error), &error, "statement")) {
            good = false;
            break;
        }
        if (row.kind != BLN_ROW_POINT || row.premises[0] == '\0') continue;
        struct bill* bill = &out->row[out->count++];
        append(bill->point, sizeof bill->point, "%s", row.id);
        append(bill->premises, sizeof bill->premises, "%s", row.premises);
        bill->billed_kwh = kwh(statement, row.net);
        bill->should_be_kwh = kwh(truth, right.net);
        if (feeds_the_metering(view, row.id)) bill->should_be_kwh = 0;
        if (!rolled_up(site, view, row.id)) bill->billed_kwh = 0;
        bill->unknown = !is_exact(other_view, row.id);
        if (mis_billed(bill)) explain(bill, view, check);
    }
    /* Readings tell more than the profile of the energy; without them there are the suspicions. */
    if (good && live != NULL) good = estimate_faults(site, view, intervals, live, statement, out);
    for (size_t i = 0; good && live == NULL && i < bln_statement_suspicions(statement); ++i) {
        bln_suspicion suspicion = {.size = sizeof suspicion};
        if (!worked(bln_statement_suspicion(statement, i, &suspicion, &error), &error, "suspicion")) good = false;
        struct bill* bill = good ? bill_of(out, suspicion.point) : NULL;
        if (bill == NULL || (mis_billed(bill) && !bill->suspected)) continue;
        bill->should_be_kwh += suspicion.missing_wh / 1000;
        bill->suspected = true;
        append(bill->because, sizeof bill->because, "%s%s %s", bill->because[0] ? "; " : "", suspicion.channel,
               suspicion.hypothesis);
    }
    if (good && out->count > 0) qsort(out->row, out->count, sizeof *out->row, by_difference);
    bln_statement_free(truth);
    bln_view_free(other_view);
    bln_site_free(other);
    return good;
}

void print_bills(const struct bills* bills, const bln_view* view) {
    size_t wrong = 0;
    while (wrong < bills->count && mis_billed(&bills->row[wrong])) ++wrong;
    printf("\nWHO IS MIS-BILLED  (kWh in %.1f days)\n", bills->days);
    if (wrong == 0) {
        puts("  Nobody, as far as record and registers show.");
        return;
    }
    puts("  point         premises             billed  should be  too much  why");
    for (size_t i = 0; i < wrong; ++i) {
        const struct bill* bill = &bills->row[i];
        char first[120] = "";
        append(first, sizeof first, "  %-13.13s %-17.17s %9.1f ", bill->point,
               text_of(view, BLN_KIND_PREMISES, bill->premises, "name"), bill->billed_kwh);
        if (bill->unknown)
            append(first, sizeof first, " not known              ");
        else
            append(first, sizeof first, "%s%8.1f  %+9.1f  ", bill->suspected ? "~" : " ", bill->should_be_kwh,
                   bill->billed_kwh - bill->should_be_kwh);
        wrap(first, bill->because);
    }
    puts("  Figures follow from record and registers. ~ means: estimated, see the guide.");
}

void print_reconciliations(const bln_site* site, const bln_view* view, const bln_statement* statement,
                           const bln_intervals* intervals) {
    const size_t n = bln_statement_reconciliations(statement);
    if (n > 0) puts("\nAGAINST THE MAINS  (kWh)");
    if (n > 0) puts("  roll-up     main               main        sum  difference   U k=2  limit  verdict");
    for (size_t i = 0; i < n; ++i) {
        bln_reconciliation r = {.size = sizeof r};
        if (bln_statement_reconciliation(statement, i, &r, NULL) != BLN_OK) continue;
        const char* verdict = r.verdict == BLN_RIGHT       ? "agrees"
                              : r.verdict == BLN_WRONG     ? "does not agree"
                              : r.verdict == BLN_UNDECIDED ? "undecided: look again"
                                                           : "nothing to compare";
        char expanded[20] = "      -";
        double percent = 0;
        if (uncertainty_percent(site, view, statement, r.rollup, &percent)) {
            expanded[0] = '\0';
            append(expanded, sizeof expanded, "%6.2f%%", percent);
        }
        printf("  %-11.11s %-13.13s %9.1f  %9.1f    %+7.2f%% %s  %4.1f%%  %s\n", r.rollup, r.main,
               kwh(statement, r.main_net), kwh(statement, r.sum_net), r.difference_percent, expanded,
               r.tolerance_percent, verdict);
        if (r.left_out > 0)
            printf("  %12s %llu of %llu intervals left out: something is missing in them\n", "",
                   (unsigned long long)r.left_out, (unsigned long long)bln_intervals_count(intervals));
    }
    if (n > 0)
        wrap("  U: ",
             "what the accuracy classes leave open (k = 2), CTs at a fifth of their rating. A difference beyond U "
             "has another cause: losses, what nobody meters, or a fault.");
}
