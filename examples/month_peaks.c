/* SPDX-License-Identifier: Apache-2.0 */
/* Energy of the mains by the tariff's bins, and the highest demand of a quarter of an hour in each. */
#include <stdlib.h>
#include <string.h>

#include "month.h"

/* The intervals of one row as the calendar functions take them; data and bits are freed by the caller. */
static bool series_of(const struct month* m, size_t row, bln_equal_series* out, int64_t** data, uint8_t** bits) {
    const int64_t duration = INT64_C(900000000);
    const size_t n = (size_t)((m->to - m->from) / duration);
    bln_error* error = NULL;
    *data = calloc(n + 1, sizeof **data);
    *bits = calloc(n / 8 + 1, 1);
    const bln_out_column into = {.data = *data, .stride = sizeof **data, .validity = *bits, .type = BLN_TYPE_I64};
    *out = (bln_equal_series){.size = sizeof *out, .first = m->from, .duration = duration, .count = n};
    out->p = (bln_column){.data = *data, .stride = sizeof **data, .validity = *bits, .type = BLN_TYPE_I64};
    return *data != NULL && *bits != NULL &&
           worked(bln_statement_quantum(m->exact, &out->wh_num, &out->wh_den, &error), &error, "quantum") &&
           worked(bln_statement_series(m->exact, row, BLN_SERIES_NET, &into, n, &error), &error, "series");
}

static bool print_main(const struct month* m, const char* id, const bln_equal_series* series) {
    const bln_demand_rule rule = {.size = sizeof rule, .window = INT64_C(900000000), .step = INT64_C(900000000)};
    const double unit = (double)series->wh_num / (double)series->wh_den / 1000;
    bln_bins* bins = NULL;
    bln_demand* demand = NULL;
    bln_error* error = NULL;
    bool good = worked(bln_tou_divide(m->tariff, m->zone, series, BLN_STRADDLE_DIVIDE, &bins, &error), &error, id) &&
                worked(bln_demand_new(&rule, m->zone, series, &demand, &error), &error, id);
    for (size_t i = 0; good && i < bln_bins_count(bins); ++i) {
        bln_bin_row row = {.size = sizeof row};
        bln_peak peak = {.size = sizeof peak};
        char at[40];
        good = worked(bln_bins_at(bins, i, &row, &error), &error, id) &&
               worked(bln_demand_peak_in_bin(demand, BLN_DEMAND_ACTIVE, m->from, m->to, m->tariff, m->zone, i, &peak,
                                             &error),
                      &error, id);
        if (!good) break;
        printf("  %-14.14s %-9.9s %5.0f h %9.1f kWh   ", i == 0 ? id : "", row.bin, (double)row.time / 3600e6,
               (double)row.count * unit);
        if (peak.any) printf("%7.1f kW at %-16s", peak.value / 1000, local_text(m, peak.from, at));
        if (peak.left_out > 0) printf("  %llu not billable", (unsigned long long)peak.left_out);
        putchar('\n');
    }
    if (good)
        printf("  %-14s together  %5.0f h %9.1f kWh\n", "", (double)(m->to - m->from) / 3600e6,
               (double)bln_bins_total(bins) * unit);
    bln_demand_free(demand);
    bln_bins_free(bins);
    return good;
}

bool print_peaks(const struct month* m) {
    bool good = true;
    puts("\nTHE MAINS BY THE TIME OF DAY  (highest demand of a complete quarter of an hour)");
    for (size_t i = 0; good && i < bln_statement_count(m->exact); ++i) {
        bln_statement_row row = {.size = sizeof row};
        bln_equal_series series;
        int64_t* data = NULL;
        uint8_t* bits = NULL;
        if (bln_statement_at(m->exact, i, &row, NULL) != BLN_OK || row.kind != BLN_ROW_POINT ||
            strcmp(text_of(m->view, BLN_KIND_POINT, row.id, "use"), "main") != 0)
            continue;
        good = series_of(m, i, &series, &data, &bits) && print_main(m, row.id, &series);
        free(bits);
        free(data);
    }
    return good;
}
