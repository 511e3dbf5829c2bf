/* SPDX-License-Identifier: Apache-2.0 */
/* Who held what from when to when, and what he pays for. Every number is a whole count of 0.1 kWh: lines add up to
 * their sums, to the last digit. */
#include <stdlib.h>
#include <string.h>

#include "month.h"

/* One who pays: an occupant of premises, for a part of the month or all of it. */
struct payer {
    char id[96]; /* of the premises, with a number where they have several */
    const char *premises, *occupancy, *occupant;
    bln_instant from, to;
    int64_t own, share;
    bool common;
};
struct payers {
    struct payer* row;
    size_t count, room;
};

static double kwh(int64_t tenths) { return (double)tenths / 10; }

static const char* holder_text(const bln_tenure* t, char room[64]) {
    snprintf(room, 64, "%.24s%s%.24s", t->occupancy, *t->occupancy && *t->occupant ? ", " : "", t->occupant);
    return *t->premises ? room : "nobody";
}

bool print_tenures(const struct month* m) {
    const size_t n = bln_statement_tenures(m->bill);
    puts("\nWHO HELD WHAT, WHERE IT CHANGED  (kWh; the parts are the whole)");
    for (size_t i = 0, end; i < n; i = end) {
        bln_error* error = NULL;
        bln_tenure t = {.size = sizeof t}, next = {.size = sizeof next};
        bln_statement_row row = {.size = sizeof row};
        if (!worked(bln_statement_tenure(m->bill, i, &t, &error), &error, "tenure") ||
            !worked(bln_statement_at(m->bill, (size_t)t.row, &row, &error), &error, "row"))
            return false;
        for (end = i + 1; end < n; ++end)
            if (bln_statement_tenure(m->bill, end, &next, NULL) != BLN_OK || next.row != t.row) break;
        if (end == i + 1) continue;
        for (size_t k = i; k < end; ++k) {
            char from[40], to[40], holder[64];
            if (!worked(bln_statement_tenure(m->bill, k, &t, &error), &error, "tenure")) return false;
            printf("  %-10.10s %-16s to %-16s  %-22.22s %8.1f%s\n", k == i ? row.id : "", local_text(m, t.from, from),
                   local_text(m, t.to, to), holder_text(&t, holder), kwh(t.net),
                   t.divided > 0 ? "  1/4 h divided" : "");
        }
        printf("  %-10.10s %-60s %8.1f\n", "", "together, as the point's row says", kwh(row.net));
    }
    return true;
}

static struct payer* payer_of(struct payers* all, const bln_tenure* t) {
    size_t others = 0;
    for (size_t i = 0; i < all->count; ++i) {
        struct payer* p = &all->row[i];
        if (strcmp(p->premises, t->premises) != 0) continue;
        if (strcmp(p->occupant, t->occupant) == 0 && strcmp(p->occupancy, t->occupancy) == 0) return p;
        ++others;
    }
    if (all->count == all->room) {
        struct payer* more = realloc(all->row, (all->room = all->room * 2 + 16) * sizeof *more);
        if (more == NULL) return NULL;
        all->row = more;
    }
    struct payer* p = &all->row[all->count++];
    memset(p, 0, sizeof *p);
    snprintf(p->id, sizeof p->id, others > 0 ? "%.64s.%zu" : "%.64s", t->premises, others + 1);
    p->premises = t->premises;
    p->occupancy = t->occupancy;
    p->occupant = t->occupant;
    p->from = t->from;
    p->to = t->to;
    p->common = strcmp(t->occupancy, "common") == 0;
    return p;
}

/* The common energy goes by area, and by time where the occupant changed. */
static bool share_common(const struct month* m, struct payers* all, int64_t common) {
    const bln_share_rule rule = {.size = sizeof rule,
                                 .method = BLN_SHARE_GIVEN,
                                 .total = common,
                                 .from = m->from,
                                 .to = m->to,
                                 .unit = "tenths of a kWh"};
    bln_share_key* keys = calloc(all->count + 1, sizeof *keys);
    bln_apportionment* shares = NULL;
    bln_error* error = NULL;
    size_t n = 0;
    for (size_t i = 0; keys != NULL && i < all->count; ++i) {
        double area = 0;
        if (all->row[i].common ||
            bln_view_real(m->view, BLN_KIND_PREMISES, all->row[i].premises, "area_m2", &area, NULL) != BLN_OK)
            continue;
        keys[n++] = (bln_share_key){.size = sizeof *keys,
                                    .kind = BLN_KEY_WEIGHT,
                                    .id = all->row[i].id,
                                    .from = all->row[i].from,
                                    .to = all->row[i].to,
                                    .num = (int64_t)(area * 100 + 0.5),
                                    .den = 100};
    }
    const bool good = keys != NULL && worked(bln_apportion(&rule, NULL, BLN_END_OF_TIME, keys, n, &shares, &error),
                                             &error, "common parts");
    for (size_t i = 0; good && i < bln_apportionment_count(shares); ++i) {
        bln_share_part part = {.size = sizeof part};
        if (bln_apportionment_at(shares, i, &part, NULL) != BLN_OK) continue;
        for (size_t k = 0; k < all->count; ++k)
            if (strcmp(all->row[k].id, part.id) == 0) all->row[k].share = part.part;
    }
    bln_apportionment_free(shares);
    free(keys);
    return good;
}

bool print_totals(const struct month* m) {
    struct payers all = {0};
    bln_error* error = NULL;
    int64_t common = 0, own = 0, share = 0;
    bool good = true;
    for (size_t i = 0; good && i < bln_statement_tenures(m->bill); ++i) {
        bln_tenure t = {.size = sizeof t};
        bln_statement_row row = {.size = sizeof row};
        good = worked(bln_statement_tenure(m->bill, i, &t, &error), &error, "tenure") &&
               worked(bln_statement_at(m->bill, (size_t)t.row, &row, &error), &error, "row");
        if (!good || row.kind != BLN_ROW_POINT || *t.premises == '\0') continue;
        struct payer* p = payer_of(&all, &t);
        if (p == NULL) {
            fputs("out of memory\n", stderr);
            good = false;
            break;
        }
        p->own += t.net;
        if (t.from < p->from) p->from = t.from;
        if (t.to > p->to) p->to = t.to;
        if (p->common) common += t.net;
    }
    good = good && share_common(m, &all, common);
    if (good) {
        puts("\nWHO PAYS FOR WHAT  (kWh; common parts by floor area, and by time where the occupant changed)");
        puts("  premises            occupant           from    to          own   + common     = bill");
    }
    for (size_t i = 0; good && i < all.count; ++i) {
        const struct payer* p = &all.row[i];
        char from[40], to[40];
        if (p->common) continue;
        own += p->own;
        share += p->share;
        local_text(m, p->from, from);
        local_text(m, p->to, to);
        printf("  %-18.18s  %-16.16s  %-6.6s  %-6.6s %8.1f   %8.1f   %8.1f\n",
               text_of(m->view, BLN_KIND_PREMISES, p->premises, "name"), p->occupant, from, to, kwh(p->own),
               kwh(p->share), kwh(p->own + p->share));
    }
    if (good) {
        printf("  %-52s %8.1f   %8.1f   %8.1f\n", "together", kwh(own), kwh(share), kwh(own + share));
        printf("  The common parts took %.1f kWh: the shares are the whole.\n", kwh(common));
    }
    free(all.row);
    return good;
}
