/* SPDX-License-Identifier: Apache-2.0 */
/* What every channel should read once power is on, told before; and how few steps trace a panel whose records are lost.
 */
#include <math.h>
#include <string.h>

#include "audit.h"

/* A channel that is healthy and does not look it. */
static bool odd(const bln_expect_row* r) {
    return r->state == BLN_EXPECT_ZERO_VOLTS ||
           (r->state == BLN_EXPECT_KNOWN && (fabs(r->offset_low_deg) > 1 || fabs(r->offset_high_deg) > 1));
}

static void print_odd(const bln_expect_row* r) {
    char line[300] = "";
    append(line, sizeof line, "%s (%s, reference %s): ", r->channel, r->circuit, r->reference);
    if (r->state == BLN_EXPECT_ZERO_VOLTS)
        append(line, sizeof line, "0 V and 0 W, the grounded phase");
    else if (r->offset_low_deg == r->offset_high_deg)
        append(line, sizeof line, "%+.0f degrees beside the load's own angle", r->offset_low_deg);
    else
        append(line, sizeof line, "%+.0f to %+.0f degrees beside the load's own angle", r->offset_low_deg,
               r->offset_high_deg);
    wrap("    ", line);
}

static bool print_sheet(const bln_view* view) {
    enum { SHOWN = 4 };
    bln_expect* sheet = NULL;
    bln_error* error = NULL;
    if (!worked(bln_expect_new(view, NULL, &sheet, &error), &error, "expected readings")) return false;
    size_t known = 0, odd_ones = 0, heater = 0, shown = 0;
    for (size_t i = 0; i < bln_expect_count(sheet); ++i) {
        bln_expect_row r = {.size = sizeof r};
        if (bln_expect_at(sheet, i, &r, NULL) != BLN_OK) continue;
        known += r.state != BLN_EXPECT_UNKNOWN;
        odd_ones += odd(&r);
        heater += r.state == BLN_EXPECT_KNOWN && (r.flags & BLN_EXPECT_BEYOND_HEATER) == 0;
    }
    char line[400] = "";
    append(line, sizeof line,
           "%zu of %zu channels are foretold: volts, sign and band of angle. At %zu of them a portable heater is "
           "enough to prove the channel. %zu will look odd and be healthy%s",
           known, bln_expect_count(sheet), heater, odd_ones, odd_ones > 0 ? ", such as" : ".");
    wrap("  ", line);
    for (size_t i = 0; i < bln_expect_count(sheet) && shown < SHOWN; ++i) {
        bln_expect_row r = {.size = sizeof r};
        if (bln_expect_at(sheet, i, &r, NULL) != BLN_OK || !odd(&r)) continue;
        print_odd(&r);
        ++shown;
    }
    bln_expect_free(sheet);
    return true;
}

/* The panel with most circuits to switch. */
static bool print_tracing(const bln_site* site, const bln_view* view) {
    bln_trace_info most = {.size = sizeof most};
    const char* panel = NULL;
    for (size_t i = 0; i < bln_site_count(site, BLN_KIND_PANEL); ++i) {
        const char* id = bln_site_id(site, BLN_KIND_PANEL, i);
        bln_trace* plan = NULL;
        bln_error* error = NULL;
        bln_trace_info about = {.size = sizeof about};
        if (!worked(bln_trace_of_view(view, id, NULL, &plan, &error), &error, id)) return false;
        if (bln_trace_about(plan, &about, NULL) == BLN_OK && about.traced > most.traced) {
            most = about;
            panel = id;
        }
        bln_trace_free(plan);
    }
    if (panel == NULL) return true;
    char line[400] = "";
    append(line, sizeof line,
           "Were the records of panel %s lost, %u switching steps would tell the breaker of every channel with load, "
           "%u of its breakers at a time off, and one load that changes by itself would be noticed. Ask first; never "
           "switch off life safety or medical equipment.",
           panel, most.steps, most.most_off);
    wrap("  ", line);
    return true;
}

bool print_before(const bln_site* site, const bln_view* view) {
    puts("\nBEFORE POWER IS ON");
    return print_sheet(view) && print_tracing(site, view);
}
