/* SPDX-License-Identifier: Apache-2.0 */
/* The energy of one month, from registers to bills, through the C interface: the record as it changed on the way, the
 * month by the local clock, the tariff's bins, the common parts divided by area and days.
 *
 *   month SITE.json REGISTERS.csv MAP.json ZONE-FILE EDITION TARIFF.json YYYY-MM
 *
 * Ends with 0, or with 2 when it could not be carried out. */
#include <stdlib.h>
#include <string.h>

#include "month.h"

static const int64_t hour = INT64_C(3600000000);

static void free_month(struct month* m) {
    bln_report_free(m->report);
    bln_statement_free(m->bill);
    bln_statement_free(m->exact);
    bln_intervals_free(m->intervals);
    bln_tou_free(m->tariff);
    bln_zone_free(m->zone);
    bln_view_free(m->view);
    bln_site_free(m->site);
}

const char* local_text(const struct month* m, bln_instant at, char room[40]) {
    static const char* const names[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                        "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    bln_local t = {.size = sizeof t};
    if (bln_zone_local(m->zone, at, &t, NULL) != BLN_OK) return "?";
    snprintf(room, 40, "%d %s %02d:%02d %.8s", t.day, names[t.month - 1], t.hour, t.minute, t.letters);
    return room;
}

static bool read_files(struct month* m, char** files) {
    bln_error* error = NULL;
    size_t size;
    char* text = read_file(files[0], &size);
    bool good = text != NULL && worked(bln_site_read(text, size, NULL, &m->site, &error), &error, files[0]);
    free(text);
    if (!good || !worked(bln_view_new(m->site, BLN_BEGIN_OF_TIME, BLN_END_OF_TIME, &m->view, &error), &error, "view"))
        return false;
    text = read_file(files[3], &size);
    good = text != NULL &&
           worked(bln_zone_read(text_of(m->view, BLN_KIND_SITE, "", "zone"), text, size, files[4], &m->zone, &error),
                  &error, files[3]);
    free(text);
    if (!good) return false;
    text = read_file(files[5], &size);
    good = text != NULL && worked(bln_tou_read(text, size, NULL, &m->tariff, &error), &error, files[5]);
    free(text);
    return good;
}

static bool add_up(struct month* m, char** files) {
    /* Registers in watt-hours, read at the end of every quarter of an hour. */
    const bln_interval_rule rule = {
        .size = sizeof rule, .stamp = BLN_STAMP_START, .duration = hour / 4, .wh_num = 1, .wh_den = 1};
    bln_rollup_period period = {.size = sizeof period, .known = BLN_END_OF_TIME};
    bln_error* error = NULL;
    char date[16];
    size_t size, map_size;
    char* csv = read_file(files[1], &size);
    char* map = read_file(files[2], &map_size);
    bool good = csv != NULL && map != NULL &&
                worked(bln_intervals_read_csv_map(&rule, map, map_size, csv, size, NULL, &m->intervals, &error), &error,
                       files[1]);
    free(map);
    free(csv);
    if (!good) return false;
    snprintf(date, sizeof date, "%.7s-01", files[6]);
    if (!worked(bln_zone_period(m->zone, BLN_PERIOD_MONTH, date, &m->from, &m->to, &error), &error, files[6]))
        return false;
    period.from = m->from;
    period.to = m->to;
    if (!worked(bln_rollup_over(m->site, &period, m->intervals, NULL, NULL, NULL, &m->exact, &error), &error,
                "roll-up"))
        return false;
    period.quantum_num = 100;
    period.quantum_den = 1;
    bln_view_free(m->view);
    m->view = NULL;
    return worked(bln_rollup_over(m->site, &period, m->intervals, NULL, NULL, NULL, &m->bill, &error), &error,
                  "roll-up") &&
           worked(bln_statement_report(m->exact, &m->report, &error), &error, "report") &&
           worked(bln_view_new(m->site, m->to - 1, BLN_END_OF_TIME, &m->view, &error), &error, "view");
}

/* The month by the local clock, and its days that are longer or shorter than others. */
static bool print_calendar(const struct month* m) {
    char from[40], to[40], date[24];
    bln_error* error = NULL;
    printf("\nTHE MONTH  (%s, edition %s)\n", bln_zone_name(m->zone), bln_zone_version(m->zone));
    printf("  %s to %s: %lld hours, %lld quarters of an hour.\n", local_text(m, m->from, from),
           local_text(m, m->to, to), (long long)((m->to - m->from) / hour),
           (long long)((m->to - m->from) / (hour / 4)));
    for (bln_instant at = m->from; at < m->to;) {
        bln_local day = {.size = sizeof day};
        bln_instant begin, end;
        if (!worked(bln_zone_local(m->zone, at, &day, &error), &error, "local time")) return false;
        snprintf(date, sizeof date, "%04d-%02d-%02d", day.year, day.month, day.day);
        if (!worked(bln_zone_period(m->zone, BLN_PERIOD_DAY, date, &begin, &end, &error), &error, date)) return false;
        if (end - begin != 24 * hour)
            printf("  %s had %.1f hours: its clock was set. Every quarter of an hour counts, and counts once.\n", date,
                   (double)(end - begin) / (double)hour);
        at = end;
    }
    return true;
}

/* Is there a finding of the same kind before? */
static bool told_before(const bln_report* report, size_t i, const char* code) {
    for (size_t k = 0; k < i; ++k) {
        bln_finding earlier = {.size = sizeof earlier};
        if (bln_report_at(report, k, &earlier, NULL) == BLN_OK && strcmp(earlier.code, code) == 0) return true;
    }
    return false;
}

/* Of whom the same was found. */
static void print_others(const bln_report* report, size_t i, const char* code) {
    char names[600] = "";
    for (size_t k = i + 1; k < bln_report_count(report); ++k) {
        bln_finding other = {.size = sizeof other};
        bln_kind kind;
        const char* id;
        if (bln_report_at(report, k, &other, NULL) != BLN_OK || strcmp(other.code, code) != 0 ||
            bln_report_subject(report, k, 0, &kind, &id, NULL) != BLN_OK)
            continue;
        append(names, sizeof names, "%s%s", *names ? ", " : "", id);
    }
    if (*names) wrap("         likewise: ", names);
}

/* Everything that was found, in the words of the catalogue; each kind of thing once in full. */
static bool print_notes(const struct month* m) {
    puts("\nWHAT THE RECORD AND THE REGISTERS TELL");
    for (size_t i = 0; i < bln_report_count(m->report); ++i) {
        bln_finding finding = {.size = sizeof finding};
        bln_text *text = NULL, *action = NULL;
        bln_error* error = NULL;
        if (bln_report_at(m->report, i, &finding, NULL) == BLN_OK && told_before(m->report, i, finding.code)) continue;
        const bool good = worked(bln_report_at(m->report, i, &finding, &error), &error, "report") &&
                          worked(bln_report_text(m->report, i, BLN_TEXT_BODY, NULL, &text, &error), &error, "text") &&
                          worked(bln_report_text(m->report, i, BLN_TEXT_ACTION, NULL, &action, &error), &error, "text");
        if (good) {
            wrap(finding.severity == BLN_NOTE ? "  note   " : "  LOOK   ", bln_text_data(text));
            print_others(m->report, i, finding.code);
            if (finding.severity != BLN_NOTE) wrap("         ", bln_text_data(action));
        }
        bln_text_free(action);
        bln_text_free(text);
        if (!good) return false;
    }
    return true;
}

int main(int argc, char** argv) {
    struct month m = {0};
    bool good = argc == 8;
    if (!good) {
        fputs("usage: month SITE.json REGISTERS.csv MAP.json ZONE-FILE EDITION TARIFF.json YYYY-MM\n", stderr);
        return 2;
    }
    good = read_files(&m, argv + 1) && add_up(&m, argv + 1);
    if (good) {
        printf("%s: the energy of %s\n", text_of(m.view, BLN_KIND_SITE, "", "name"), argv[7]);
        good = print_calendar(&m) && print_tenures(&m) && print_totals(&m) && print_peaks(&m);
        if (good) print_reconciliations(m.site, m.view, m.exact, m.intervals);
        good = good && print_notes(&m);
    }
    free_month(&m);
    return good ? 0 : 2;
}
