/* SPDX-License-Identifier: Apache-2.0 */
/* What the parts of the month program share, beside audit.h. */
#ifndef MONTH_H
#define MONTH_H

#include "audit.h"

/* One billing period and what was rolled up over it. */
struct month {
    bln_site* site;
    bln_view* view; /* the record as it held last in the month */
    bln_zone* zone;
    bln_tou* tariff;
    bln_instant from, to; /* local midnights */
    bln_intervals* intervals;
    bln_statement* exact; /* in the greatest energy that makes every count whole */
    bln_statement* bill;  /* in tenths of a kilowatt-hour, which is what the lines below show */
    bln_report* report;
};

/* A local time such as "17 Nov 10:20 EST". */
const char* local_text(const struct month* m, bln_instant at, char room[40]);

/* month_bills.c: who held what from when to when, what he pays for, what is in no bill. */
bool print_tenures(const struct month* m);
bool print_totals(const struct month* m);
/* month_peaks.c: energy by the time of day, and the highest demand in each bin. */
bool print_peaks(const struct month* m);

#endif
