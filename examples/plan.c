/* SPDX-License-Identifier: Apache-2.0 */
/* A renovation is planned: which new circuit goes to which input of which meter, and the sheet for the installer.
 *
 *   plan SITE.json CHANGES.json REQUEST.json
 *
 * CHANGES.json is a JSON Patch that adds the new circuits and points; REQUEST.json says what may be used (see
 * bln_plan_new()). Ends with 0 when the plan stands, 1 when nothing fits, 2 when it could not be worked out. */
#include <stdlib.h>
#include <string.h>

#include "audit.h"

enum { PLANNED = 0, NOTHING_FITS = 1, NOT_CARRIED_OUT = 2 };

/* Everything the program holds; freed in one place. */
struct planning {
    bln_draft *draft, *planned_draft;
    bln_site *site, *planned;
    bln_view *view, *planned_view;
    bln_plan* plan;
    bln_report* report;
};

static void free_planning(struct planning* p) {
    bln_report_free(p->report);
    bln_plan_free(p->plan);
    bln_view_free(p->planned_view);
    bln_view_free(p->view);
    bln_site_free(p->planned);
    bln_site_free(p->site);
    bln_draft_free(p->planned_draft);
    bln_draft_free(p->draft);
}

/* Freezes a draft and looks at it as it is from the last change on. */
static bool look_at(const bln_draft* draft, bln_site** site, bln_view** view) {
    bln_error* error = NULL;
    return worked(bln_draft_freeze(draft, site, &error), &error, "record") &&
           worked(bln_view_new(*site, BLN_END_OF_TIME, BLN_END_OF_TIME, view, &error), &error, "view");
}

static bool read_changed_site(struct planning* p, const char* site_path, const char* changes_path) {
    bln_error* error = NULL;
    size_t size, changes_size;
    char* site = read_file(site_path, &size);
    char* changes = site == NULL ? NULL : read_file(changes_path, &changes_size);
    const bool good = changes != NULL &&
                      worked(bln_draft_read(site, size, NULL, &p->draft, &error), &error, site_path) &&
                      worked(bln_draft_patch(p->draft, changes, changes_size, NULL, &error), &error, changes_path) &&
                      look_at(p->draft, &p->site, &p->view);
    free(site);
    free(changes);
    return good;
}

static bool make_plan(struct planning* p, const char* path) {
    bln_error* error = NULL;
    size_t size;
    char* request = read_file(path, &size);
    if (request == NULL) return false;
    const bln_status status = bln_plan_new(p->view, request, size, &p->plan, &error);
    free(request);
    return worked(status, &error, path);
}

static bool print_text(bln_status status, bln_text* text, bln_error* error, const char* what) {
    if (!worked(status, &error, what)) return false;
    fputs(bln_text_data(text), stdout);
    bln_text_free(text);
    return true;
}

/* Errors that the rules find in the planned record and not in the record before. */
static bool check_planned(struct planning* p) {
    bln_error* error = NULL;
    if (!worked(bln_check(p->planned_view, NULL, NULL, NULL, &p->report, &error), &error, "check")) return false;
    size_t errors = 0;
    for (size_t i = 0; i < bln_report_count(p->report); ++i) {
        bln_finding finding = {.size = sizeof finding};
        if (bln_report_at(p->report, i, &finding, NULL) == BLN_OK && finding.severity == BLN_ERROR) ++errors;
    }
    printf("\nThe record with the plan in it breaks %zu rules.\n\n", errors);
    return true;
}

/* The sheet of the points that are new. */
static bool print_sheet(struct planning* p) {
    char options[4000] = "{\"title\": \"";
    append(options, sizeof options, "%s\", \"points\": [", "Second floor, renovation");
    const char* last = "";
    for (size_t i = 0; i < bln_plan_count(p->plan); ++i) {
        bln_plan_row row = {.size = sizeof row};
        if (bln_plan_at(p->plan, i, &row, NULL) != BLN_OK || strcmp(row.point, last) == 0) continue;
        append(options, sizeof options, "%s\"%s\"", *last == '\0' ? "" : ", ", row.point);
        last = row.point;
    }
    append(options, sizeof options, "]}");
    bln_error* error = NULL;
    bln_text* sheet = NULL;
    const bln_status status = bln_plan_sheet(p->planned_view, options, strlen(options), BLN_SHEET_TEXT, &sheet, &error);
    return print_text(status, sheet, error, "sheet");
}

static int run(struct planning* p, char** arguments) {
    if (!read_changed_site(p, arguments[1], arguments[2]) || !make_plan(p, arguments[3])) return NOT_CARRIED_OUT;
    bln_error* error = NULL;
    bln_text* text = NULL;
    const bln_status status = bln_plan_text(p->plan, &text, &error);
    if (!print_text(status, text, error, "plan")) return NOT_CARRIED_OUT;
    if (bln_plan_conflicts(p->plan) > 0) return NOTHING_FITS;
    if (!worked(bln_plan_draft(p->plan, &p->planned_draft, &error), &error, "plan") ||
        !look_at(p->planned_draft, &p->planned, &p->planned_view) || !check_planned(p) || !print_sheet(p))
        return NOT_CARRIED_OUT;
    return PLANNED;
}

int main(int count, char** arguments) {
    if (count != 4) {
        fprintf(stderr, "usage: plan SITE.json CHANGES.json REQUEST.json\n");
        return NOT_CARRIED_OUT;
    }
    struct planning planning = {0};
    const int result = run(&planning, arguments);
    free_planning(&planning);
    return result;
}
