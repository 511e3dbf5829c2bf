/* SPDX-License-Identifier: Apache-2.0 */
/* The audit of a whole building through the C interface: the record against the rules, every point's arrangement
 * of meter elements against the theorem, the live readings against the record, the energy against the mains.
 *
 *   audit SITE.json [--readings FILE.csv] [--intervals FILE.csv]
 *
 * Ends with 0 when nothing is wrong, 1 when something is, 2 when the audit could not be carried out. */
#include <stdlib.h>
#include <string.h>

#include "audit.h"

enum { NOTHING_WRONG = 0, SOMETHING_WRONG = 1, NOT_CARRIED_OUT = 2 };

/* Everything the audit holds; freed in one place. */
struct audit {
    bln_site* site;
    bln_view* view;
    bln_report *check, *live_report, *energy_report;
    bln_readings* readings;
    bln_live* live;
    bln_intervals* intervals;
    bln_statement* statement;
    struct items items;
    struct bills bills;
    struct proofs proofs;
};

static void free_audit(struct audit* a) {
    free(a->items.row);
    free(a->bills.row);
    bln_report_free(a->check);
    bln_report_free(a->live_report);
    bln_report_free(a->energy_report);
    bln_statement_free(a->statement);
    bln_intervals_free(a->intervals);
    bln_live_free(a->live);
    bln_readings_free(a->readings);
    bln_view_free(a->view);
    bln_site_free(a->site);
}

static bool read_record(struct audit* a, const char* path) {
    bln_error* error = NULL;
    size_t size;
    char* json = read_file(path, &size);
    if (json == NULL) return false;
    const bln_status status = bln_site_read(json, size, NULL, &a->site, &error);
    free(json);
    return worked(status, &error, path) &&
           worked(bln_view_new(a->site, BLN_END_OF_TIME, BLN_END_OF_TIME, &a->view, &error), &error, "view") &&
           worked(bln_check(a->view, NULL, NULL, NULL, &a->check, &error), &error, "check") &&
           add_report(&a->items, a->check, a->site, a->view);
}

static bool judge_readings(struct audit* a, const char* path) {
    bln_error* error = NULL;
    size_t size;
    char* csv = read_file(path, &size);
    if (csv == NULL) return false;
    const bln_status status = bln_readings_read_csv(csv, size, NULL, &a->readings, &error);
    free(csv);
    return worked(status, &error, path) &&
           worked(bln_live_check(a->view, a->readings, NULL, NULL, NULL, &a->live, &error), &error, "live check") &&
           worked(bln_live_report(a->live, &a->live_report, &error), &error, "live check") &&
           add_report(&a->items, a->live_report, a->site, a->view);
}

static bool add_up_energy(struct audit* a, const char* path) {
    /* What the file does not say itself: quarter hours, stamped at their start, in counts of 1/10 Wh. */
    const bln_interval_rule rule = {
        .size = sizeof rule, .stamp = BLN_STAMP_START, .duration = INT64_C(900000000), .wh_num = 1, .wh_den = 10};
    bln_error* error = NULL;
    size_t size;
    char* csv = read_file(path, &size);
    if (csv == NULL) return false;
    const bln_status status = bln_intervals_read_csv(&rule, csv, size, NULL, &a->intervals, &error);
    free(csv);
    if (!worked(status, &error, path) ||
        !worked(bln_rollup(a->site, BLN_END_OF_TIME, a->intervals, NULL, NULL, NULL, &a->statement, &error), &error,
                "roll-up") ||
        !worked(bln_statement_report(a->statement, &a->energy_report, &error), &error, "roll-up"))
        return false;
    a->bills.days = (double)bln_intervals_count(a->intervals) * (double)rule.duration / 86400e6;
    return add_report(&a->items, a->energy_report, a->site, a->view) &&
           compare_bills(a->site, a->view, a->check, a->intervals, a->live, a->statement, &a->bills);
}

static size_t count_findings(const bln_report* report, int32_t severity, int32_t verdict) {
    size_t n = 0;
    for (size_t i = 0; i < bln_report_count(report); ++i) {
        bln_finding finding = {.size = sizeof finding};
        if (bln_report_at(report, i, &finding, NULL) == BLN_OK && finding.severity == severity &&
            finding.verdict == verdict)
            ++n;
    }
    return n;
}

/* Points whose readings say something other than the record, or nothing at all. */
static size_t list_points(const bln_live* live, int32_t proof, char* names, size_t room) {
    size_t n = 0;
    for (size_t i = 0; i < bln_live_point_count(live); ++i) {
        bln_live_point point = {.size = sizeof point};
        if (bln_live_point_at(live, i, &point, NULL) != BLN_OK || point.proof != proof) continue;
        append(names, room, "%s%s", n > 0 ? ", " : "", point.point);
        ++n;
    }
    return n;
}

static void owner_on_record(const struct audit* a, char* line, size_t room) {
    const size_t wrong = count_findings(a->check, BLN_ERROR, BLN_WRONG);
    const size_t look = count_findings(a->check, BLN_WARNING, BLN_WRONG);
    append(line, room, "%zu error%s in the record", wrong, wrong == 1 ? "" : "s");
    if (look > 0) append(line, room, ", %zu thing%s to look at", look, look == 1 ? "" : "s");
    append(line, room, ".");
}

static void owner_on_proof(const struct audit* a, char* line, size_t room) {
    append(line, room, "%zu of %zu points register exactly what their circuits use, by proof", a->proofs.exact,
           bln_site_count(a->site, BLN_KIND_POINT));
    if (a->proofs.inexact > 0) append(line, room, "; %zu do not", a->proofs.inexact);
    if (a->proofs.unknown > 0) append(line, room, "; %zu cannot be judged, facts are missing", a->proofs.unknown);
    append(line, room, ", if the CTs hang as recorded.");
}

static void owner_on_wiring(const struct audit* a, char* line, size_t room) {
    char names[400] = "";
    if (a->live == NULL)
        append(line, room, "No readings were given: nobody knows whether the CTs hang as recorded.");
    else if (list_points(a->live, BLN_PROOF_WRONG, names, sizeof names) > 0)
        append(line, room, "By the readings, wired otherwise than the record says: %s.", names);
    else
        append(line, room, "No reading contradicts the record.");
}

static void owner_on_money(const struct audit* a, char* line, size_t room) {
    size_t named = 0, wrong = 0;
    if (a->statement == NULL) {
        append(line, room, "No energy was given: nothing can be said about bills.");
        return;
    }
    for (size_t i = 0; i < a->bills.count; ++i) {
        const struct bill* bill = &a->bills.row[i];
        const double over = bill->billed_kwh - bill->should_be_kwh;
        if (!mis_billed(bill)) continue;
        ++wrong;
        if (bill->unknown || named == 4) continue;
        append(line, room, "%s%s %.0f kWh too %s", named++ > 0 ? ", " : "", bill->point, over > 0 ? over : -over,
               over > 0 ? "much" : "little");
    }
    if (wrong > named) append(line, room, "%s%zu more", named > 0 ? ", and " : "", wrong - named);
    append(line, room, wrong > 0 ? " in %.1f days." : "Nobody is mis-billed in %.1f days, as far as this can show.",
           a->bills.days);
}

static void owner_on_open(const struct audit* a, char* line, size_t room) {
    char names[400] = "";
    if (a->live == NULL) {
        append(line, room, "Whatever the record says and nobody has measured.");
        return;
    }
    const size_t silent = list_points(a->live, BLN_PROOF_NOT_PROVEN, names, sizeof names);
    if (silent > 0)
        append(line, room, "No load, so nothing proven, at %s.", names);
    else
        append(line, room, "Every point had load when it was read.");
    append(line, room, " Two CTs of one phase exchanged between tenants would not show.");
}

/* Five lines. */
static void print_owner(const struct audit* a) {
    static const struct {
        const char* label;
        void (*say)(const struct audit*, char*, size_t);
    } lines[] = {{"  1 Record  ", owner_on_record},
                 {"  2 Proof   ", owner_on_proof},
                 {"  3 Wiring  ", owner_on_wiring},
                 {"  4 Money   ", owner_on_money},
                 {"  5 Open    ", owner_on_open}};
    puts("\nFOR THE OWNER");
    for (size_t i = 0; i < sizeof lines / sizeof *lines; ++i) {
        char line[900] = "";
        lines[i].say(a, line, sizeof line);
        wrap(lines[i].label, line);
    }
}

/* Notes, and what was not checked for want of facts, are no reason to end with 1. */
static bool anything_wrong(const struct audit* a) {
    for (size_t i = 0; i < a->items.count; ++i) {
        const bln_finding* finding = &a->items.row[i].finding;
        if (finding->severity >= BLN_WARNING && (finding->verdict == BLN_WRONG || finding->verdict == BLN_UNDECIDED))
            return true;
    }
    return a->proofs.inexact > 0;
}

int main(int argc, char** argv) {
    struct audit a = {0};
    const char *site = NULL, *readings = NULL, *intervals = NULL;
    int result = NOT_CARRIED_OUT;
    for (int i = 1; i < argc; ++i) {
        if (strcmp(argv[i], "--readings") == 0 && i + 1 < argc)
            readings = argv[++i];
        else if (strcmp(argv[i], "--intervals") == 0 && i + 1 < argc)
            intervals = argv[++i];
        else if (argv[i][0] != '-' && site == NULL)
            site = argv[i];
        else
            site = NULL, i = argc;
    }
    if (site == NULL) {
        fputs("usage: audit SITE.json [--readings FILE.csv] [--intervals FILE.csv]\n", stderr);
        return NOT_CARRIED_OUT;
    }
    if (read_record(&a, site) && prove_points(a.site, a.view, &a.proofs) &&
        (readings == NULL || judge_readings(&a, readings)) && (intervals == NULL || add_up_energy(&a, intervals))) {
        sort_items(&a.items);
        printf("%s: audit of the metering\n", text_of(a.view, BLN_KIND_SITE, "", "name"));
        print_owner(&a);
        if (a.statement != NULL) {
            print_bills(&a.bills, a.view);
            print_reconciliations(a.site, a.view, a.statement, a.intervals);
        }
        print_items(&a.items, a.site, a.view);
        if (a.live == NULL && !print_before(a.site, a.view)) goto end;
        if (a.live != NULL && !print_inference(a.view, a.readings)) goto end;
        if ((a.live == NULL || (print_corrections(a.view, a.live) && print_loads(a.site, a.view, a.live))) &&
            print_proofs(a.site, a.view))
            result = anything_wrong(&a) ? SOMETHING_WRONG : NOTHING_WRONG;
    }
end:
    free_audit(&a);
    return result;
}
