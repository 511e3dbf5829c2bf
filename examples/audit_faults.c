/* SPDX-License-Identifier: Apache-2.0 */
/* What a wiring fault that the readings show has cost.
 *
 * A channel whose CT hangs on phase X while its voltage is Y registers S = V_Y I*; true is V_X I* = (V_X / V_Y) S,
 * so active and reactive energy together give the true energy while the voltages are balanced. Where the readings
 * leave several explanations, the one is taken with which the sum comes nearest to the main: an estimate. */
#include <math.h>
#include <string.h>

#include "audit.h"

enum { MAX_FAULTS = 6, MAX_WAYS = 4 };

struct fault {
    const char *channel, *point;
    char way[MAX_WAYS][40];
    double missing_kwh[MAX_WAYS]; /* true minus registered */
    size_t ways, best;
};

/* Energy of one channel, active and reactive, through a point of its own. */
static bool energy_of(const bln_site* site, const bln_intervals* intervals, const char* channel, double* p, double* q) {
    static const char* const point = "audit.one-channel";
    const int64_t one = 1;
    bln_draft* draft = NULL;
    bln_site* copy = NULL;
    bln_statement* statement = NULL;
    bln_error* error = NULL;
    int64_t num = 0, den = 1;
    bool good =
        worked(bln_draft_of(site, &draft, &error), &error, channel) &&
        worked(bln_draft_add(draft, BLN_KIND_POINT, point, &error), &error, channel) &&
        worked(bln_draft_set_terms(draft, BLN_KIND_POINT, point, "elements", &channel, &one, NULL, 1, NULL, &error),
               &error, channel) &&
        worked(bln_draft_freeze(draft, &copy, &error), &error, channel) &&
        worked(bln_rollup(copy, BLN_END_OF_TIME, intervals, NULL, NULL, NULL, &statement, &error), &error, channel) &&
        worked(bln_statement_quantum(statement, &num, &den, &error), &error, channel);
    for (size_t i = 0; good && i < bln_statement_count(statement); ++i) {
        bln_statement_row row = {.size = sizeof row};
        if (bln_statement_at(statement, i, &row, NULL) != BLN_OK || strcmp(row.id, point) != 0) continue;
        *p = (double)row.net * (double)num / (double)den / 1000;
        *q = (double)row.net_q * (double)num / (double)den / 1000;
    }
    bln_statement_free(statement);
    bln_site_free(copy);
    bln_draft_free(draft);
    return good;
}

/* Fills the ways from words such as "reversed or on phase B, reversed". Needs a voltage to neutral on a wye. */
static void read_ways(struct fault* fault, const bln_view* view, const char* words, double p, double q) {
    const char* device = text_of(view, BLN_KIND_CHANNEL, fault->channel, "device");
    const char* service = text_of(view, BLN_KIND_DEVICE, device, "service");
    const char* reference = text_of(view, BLN_KIND_CHANNEL, fault->channel, "reference");
    const bool wye = strcmp(text_of(view, BLN_KIND_SERVICE, service, "kind"), "four_wire_wye") == 0;
    const double turn = strcmp(text_of(view, BLN_KIND_SERVICE, service, "rotation"), "ACB") == 0 ? 1 : -1;
    while (*words != '\0' && fault->ways < MAX_WAYS) {
        const char* end = strstr(words, " or ");
        char* way = fault->way[fault->ways];
        way[0] = '\0';
        append(way, sizeof fault->way[0], "%.*s", (int)(end != NULL ? end - words : (long)strlen(words)), words);
        const char* phase = strstr(way, "on phase ");
        const double sign = strstr(way, "reversed") != NULL ? -1 : 1;
        double angle = 0;
        bool known = true;
        if (phase != NULL) {
            known = wye && reference[0] >= 'A' && reference[0] <= 'C' && strcmp(reference + 1, "-N") == 0;
            angle = turn * 2.0943951 * (double)(phase[9] - reference[0]);
        }
        if (known) fault->missing_kwh[fault->ways++] = sign * (cos(angle) * p - sin(angle) * q) - p;
        words = end != NULL ? end + 4 : words + strlen(words);
    }
}

/* Kilowatt-hours by which the sums that name a main stay away from it, with these ways. */
static double away(const struct fault* faults, const size_t* way, size_t n, const bln_view* view,
                   const bln_statement* statement) {
    double total = 0;
    int64_t num = 0, den = 1;
    if (bln_statement_quantum(statement, &num, &den, NULL) != BLN_OK) return 0;
    for (size_t i = 0; i < bln_statement_reconciliations(statement); ++i) {
        bln_reconciliation r = {.size = sizeof r};
        if (bln_statement_reconciliation(statement, i, &r, NULL) != BLN_OK) continue;
        double short_kwh = (double)(r.main_net - r.sum_net) * (double)num / (double)den / 1000;
        for (size_t f = 0; f < n; ++f)
            for (size_t k = 0; k < size_of(view, BLN_KIND_ROLLUP, r.rollup, "points"); ++k)
                if (strcmp(key_of(view, BLN_KIND_ROLLUP, r.rollup, "points", k), faults[f].point) == 0)
                    short_kwh -= faults[f].missing_kwh[way[f]];
        total += fabs(short_kwh);
    }
    return total;
}

bool estimate_faults(const bln_site* site, const bln_view* view, const bln_intervals* intervals, const bln_live* live,
                     const bln_statement* statement, struct bills* bills) {
    struct fault faults[MAX_FAULTS];
    size_t n = 0, way[MAX_FAULTS] = {0};
    double least = INFINITY;
    memset(faults, 0, sizeof faults);
    for (size_t i = 0; i < bln_live_channel_count(live) && n < MAX_FAULTS; ++i) {
        bln_live_channel c = {.size = sizeof c};
        double p = 0, q = 0;
        if (bln_live_channel_at(live, i, &c, NULL) != BLN_OK || c.proof != BLN_PROOF_WRONG) continue;
        faults[n].channel = c.channel;
        faults[n].point = c.point;
        if (!energy_of(site, intervals, c.channel, &p, &q)) return false;
        read_ways(&faults[n], view, c.reads_as, p, q);
        if (faults[n].ways > 0) ++n;
    }
    for (bool more = n > 0; more;) { /* every combination, counted like a number of n digits */
        const double now = away(faults, way, n, view, statement);
        if (now < least) {
            least = now;
            for (size_t f = 0; f < n; ++f) faults[f].best = way[f];
        }
        size_t digit = 0;
        while (digit < n && ++way[digit] == faults[digit].ways) way[digit++] = 0;
        more = digit < n;
    }
    for (size_t f = 0; f < n; ++f)
        for (size_t i = 0; i < bills->count; ++i) {
            struct bill* bill = &bills->row[i];
            if (strcmp(bill->point, faults[f].point) != 0) continue;
            bill->should_be_kwh += faults[f].missing_kwh[faults[f].best];
            bill->suspected = true;
            append(bill->because, sizeof bill->because, "%s%s %s", bill->because[0] != '\0' ? "; " : "",
                   faults[f].channel, faults[f].way[faults[f].best]);
        }
    return true;
}
