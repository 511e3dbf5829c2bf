/* SPDX-License-Identifier: Apache-2.0 */
/* Where in the building something is, and what to be careful about there. */
#include <stdlib.h>
#include <string.h>

#include "audit.h"

const char* text_of(const bln_view* view, bln_kind kind, const char* id, const char* field) {
    const char* out = "";
    if (bln_view_text(view, kind, id, field, &out, NULL) != BLN_OK) return "";
    return out;
}

int64_t integer_of(const bln_view* view, bln_kind kind, const char* id, const char* field, int64_t otherwise) {
    int64_t out;
    return bln_view_integer(view, kind, id, field, &out, NULL) == BLN_OK ? out : otherwise;
}

size_t size_of(const bln_view* view, bln_kind kind, const char* id, const char* field) {
    size_t out;
    return bln_view_size(view, kind, id, field, &out, NULL) == BLN_OK ? out : 0;
}

const char* key_of(const bln_view* view, bln_kind kind, const char* id, const char* field, size_t i) {
    const char* key;
    int64_t num, den;
    if (bln_view_item_text(view, kind, id, field, i, &key, NULL) == BLN_OK) return key;
    if (bln_view_item_term(view, kind, id, field, i, &key, &num, &den, NULL) == BLN_OK) return key;
    return "";
}

bool circuit_of(const bln_view* view, bln_kind kind, const char* id, char circuit[80]) {
    const char* key = id;
    if (kind == BLN_KIND_CHANNEL) {
        id = key = key_of(view, BLN_KIND_CHANNEL, id, "cts", 0);
        kind = BLN_KIND_CT;
    }
    if (kind == BLN_KIND_CT) key = key_of(view, BLN_KIND_CT, id, "passes", 0);
    if (kind == BLN_KIND_POINT) key = key_of(view, BLN_KIND_POINT, id, "circuits", 0);
    if (kind != BLN_KIND_CT && kind != BLN_KIND_POINT && kind != BLN_KIND_CIRCUIT) key = "";
    circuit[0] = '\0';
    append(circuit, 80, "%.*s", (int)strcspn(key, ":"), key);
    return circuit[0] != '\0';
}

const char* point_of(const bln_site* site, const bln_view* view, const char* channel) {
    for (size_t i = 0; i < bln_site_count(site, BLN_KIND_POINT); ++i) {
        const char* point = bln_site_id(site, BLN_KIND_POINT, i);
        const size_t n = size_of(view, BLN_KIND_POINT, point, "elements");
        for (size_t k = 0; k < n; ++k)
            if (strcmp(key_of(view, BLN_KIND_POINT, point, "elements", k), channel) == 0) return point;
    }
    return "";
}

/* Findings that are settled in record and files, whatever they are about: no cover comes off. */
static bool at_a_desk(const char* code) {
    static const char* const beginnings[] = {"circuit-never-rolled-up",
                                             "circuit-rolled-up-twice",
                                             "rollup-",
                                             "meter-supply-billed",
                                             "point-without-",
                                             "point-incomplete",
                                             "dangling-",
                                             "circuit-in-two-points",
                                             "interval-",
                                             "registers-disagree",
                                             "scaling-",
                                             "ratio-applied",
                                             "channel-divided-twice",
                                             "channel-not-billed",
                                             "main-",
                                             "sum-above-main",
                                             "sum-below-main",
                                             "not-checked"};
    for (size_t i = 0; i < sizeof beginnings / sizeof *beginnings; ++i)
        if (strncmp(code, beginnings[i], strlen(beginnings[i])) == 0) return true;
    return false;
}

static void find_place(struct item* item, const bln_site* site, const bln_view* view) {
    item->panel = item->circuit = -1;
    if (at_a_desk(item->finding.code)) return;
    for (size_t j = 0; j < item->finding.subject_count; ++j) {
        bln_kind kind;
        const char* id;
        char circuit[80];
        if (bln_report_subject(item->report, item->at, j, &kind, &id, NULL) != BLN_OK) continue;
        if (kind == BLN_KIND_PANEL) item->panel = bln_site_find(site, kind, id);
        if (circuit_of(view, kind, id, circuit)) {
            item->circuit = bln_site_find(site, BLN_KIND_CIRCUIT, circuit);
            item->panel = bln_site_find(site, BLN_KIND_PANEL, text_of(view, BLN_KIND_CIRCUIT, circuit, "panel"));
        }
        if (item->panel >= 0) return;
    }
}

bool add_report(struct items* items, const bln_report* report, const bln_site* site, const bln_view* view) {
    const size_t n = bln_report_count(report);
    if (items->count + n > items->room) {
        struct item* more = realloc(items->row, (items->count + n) * sizeof *more);
        if (more == NULL) {
            fputs("out of memory\n", stderr);
            return false;
        }
        items->row = more;
        items->room = items->count + n;
    }
    for (size_t i = 0; i < n; ++i) {
        struct item* item = &items->row[items->count];
        item->report = report;
        item->at = i;
        item->finding.size = sizeof item->finding;
        bln_error* error = NULL;
        if (!worked(bln_report_at(report, i, &item->finding, &error), &error, "finding")) return false;
        find_place(item, site, view);
        ++items->count;
    }
    return true;
}

static int by_place(const void* left, const void* right) {
    const struct item *a = left, *b = right;
    if (a->panel != b->panel) return a->panel < b->panel ? -1 : 1;
    if (a->circuit != b->circuit) return a->circuit < b->circuit ? -1 : 1;
    if (a->finding.severity != b->finding.severity) return a->finding.severity > b->finding.severity ? -1 : 1;
    return strcmp(a->finding.code, b->finding.code);
}

void sort_items(struct items* items) {
    if (items->count > 0) qsort(items->row, items->count, sizeof *items->row, by_place);
}

static void print_panel(const bln_view* view, const char* panel) {
    const char* service = text_of(view, BLN_KIND_PANEL, panel, "service");
    const char* parts[] = {text_of(view, BLN_KIND_PANEL, panel, "name"),
                           text_of(view, BLN_KIND_PANEL, panel, "location"),
                           text_of(view, BLN_KIND_SERVICE, service, "name")};
    char line[300] = "";
    append(line, sizeof line, "PANEL %s.", panel);
    for (size_t i = 0; i < sizeof parts / sizeof *parts; ++i)
        if (*parts[i]) append(line, sizeof line, " %s.", parts[i]);
    putchar('\n');
    wrap("", line);
}

/* Cautions that belong to this panel: its high leg, and the output of the CTs that would be touched. */
static void print_cautions(const struct items* items, size_t from, size_t to, const bln_view* view, const char* panel) {
    const char* service = text_of(view, BLN_KIND_PANEL, panel, "service");
    bool current = false, voltage = false;
    for (size_t i = from; i < to; ++i)
        for (size_t j = 0; j < items->row[i].finding.subject_count; ++j) {
            bln_kind kind;
            const char* id;
            if (bln_report_subject(items->row[i].report, items->row[i].at, j, &kind, &id, NULL) != BLN_OK) continue;
            if (kind == BLN_KIND_CHANNEL) id = key_of(view, kind, id, "cts", 0);
            if (kind != BLN_KIND_CHANNEL && kind != BLN_KIND_CT) continue;
            const char* output = text_of(view, BLN_KIND_CT_TYPE, text_of(view, BLN_KIND_CT, id, "type"), "output");
            current = current || strcmp(output, "amps") == 0 || strcmp(output, "milliamps") == 0;
            voltage = voltage || strcmp(output, "millivolts") == 0 || strcmp(output, "rogowski_millivolts") == 0;
        }
    if (strcmp(text_of(view, BLN_KIND_SERVICE, service, "kind"), "high_leg_delta") == 0) {
        const char* leg = text_of(view, BLN_KIND_SERVICE, service, "high_leg");
        char line[200] = "";
        double volts = 0;
        append(line, sizeof line, "Phase %s is the high leg", *leg ? leg : "B");
        if (bln_view_real(view, BLN_KIND_SERVICE, service, "volts_ln", &volts, NULL) == BLN_OK)
            append(line, sizeof line, ": about %.0f V to neutral, not %.0f V", 1.7320508 * volts, volts);
        append(line, sizeof line, ".");
        wrap("  Caution: ", line);
    }
    if (current)
        wrap("  Caution: ",
             "The CTs named here have a current output. Never open a secondary under load: short it "
             "at its terminals first, then move leads, then take the short away.");
    if (voltage)
        wrap("  Caution: ",
             "The CTs named here have a voltage output: their leads may be moved, but the conductor "
             "through the window is live.");
}

static void print_circuit(const bln_view* view, const char* circuit) {
    char line[300] = "";
    double amps;
    append(line, sizeof line, "%s", text_of(view, BLN_KIND_CIRCUIT, circuit, "name"));
    if (bln_view_real(view, BLN_KIND_CIRCUIT, circuit, "breaker_amps", &amps, NULL) == BLN_OK)
        append(line, sizeof line, ", %.0f A", amps);
    const size_t poles = size_of(view, BLN_KIND_CIRCUIT, circuit, "spaces");
    for (size_t i = 0; i < poles; ++i) {
        int64_t space;
        if (bln_view_item_integer(view, BLN_KIND_CIRCUIT, circuit, "spaces", i, &space, NULL) == BLN_OK)
            append(line, sizeof line, "%s%d", i > 0 ? "-" : poles > 1 ? ", spaces " : ", space ", (int)space);
    }
    printf("  %s  ", circuit);
    wrap("", line);
}

/* Where the leads of a channel's CT end: connector and position, counted through the profile's groups. */
static void print_channel(const bln_view* view, const char* channel) {
    const char* device = text_of(view, BLN_KIND_CHANNEL, channel, "device");
    const char* profile = text_of(view, BLN_KIND_DEVICE, device, "profile");
    const char* ct = key_of(view, BLN_KIND_CHANNEL, channel, "cts", 0);
    const int64_t input = integer_of(view, BLN_KIND_CHANNEL, channel, "input", 0);
    char line[300] = "";
    int64_t connector = 0, left = input, size = 0;
    for (size_t g = 0;
         left > 0 && bln_view_item_integer(view, BLN_KIND_PROFILE, profile, "groups", g, &size, NULL) == BLN_OK; ++g) {
        ++connector;
        if (left <= size) break;
        left -= size;
    }
    append(line, sizeof line, "%s = %s", channel, device);
    if (connector > 0)
        append(line, sizeof line, ", connector %d, place %d", (int)connector, (int)left);
    else if (input > 0)
        append(line, sizeof line, ", input %d", (int)input);
    if (*ct) append(line, sizeof line, "; CT %s", ct);
    if (*text_of(view, BLN_KIND_CHANNEL, channel, "reference"))
        append(line, sizeof line, "; voltage %s", text_of(view, BLN_KIND_CHANNEL, channel, "reference"));
    wrap("      channel ", line);
}

static void print_text(const struct item* item, int32_t what, const char* first) {
    bln_text* text = NULL;
    bln_error* error = NULL;
    if (!worked(bln_report_text(item->report, item->at, what, NULL, &text, &error), &error, item->finding.code)) return;
    if (bln_text_size(text) > 0) wrap(first, bln_text_data(text));
    bln_text_free(text);
}

/* Ids of the first subjects of items [from, to); of the site itself, what the finding is about. */
static void print_likewise(const struct items* items, size_t from, size_t to) {
    char line[2000] = "";
    for (size_t i = from; i < to; ++i) {
        bln_kind kind;
        const char* id;
        if (bln_report_subject(items->row[i].report, items->row[i].at, 0, &kind, &id, NULL) == BLN_OK)
            append(line, sizeof line, "%s%s", i > from ? ", " : "", *id ? id : items->row[i].finding.discriminator);
    }
    wrap("      Likewise: ", line);
}

static void print_item(const struct item* item, const bln_view* view) {
    const char* word = item->finding.severity == BLN_ERROR     ? "WRONG"
                       : item->finding.severity == BLN_WARNING ? "LOOK AT"
                                                               : "NOTE";
    char first[40] = "";
    append(first, sizeof first, "    %s: ",
           item->finding.verdict == BLN_UNDECIDED     ? "UNDECIDED"
           : item->finding.verdict == BLN_NOT_CHECKED ? "NOT CHECKED"
                                                      : word);
    print_text(item, BLN_TEXT_TITLE, first);
    for (size_t j = 0; j < item->finding.subject_count; ++j) {
        bln_kind kind;
        const char* id;
        if (item->panel >= 0 && bln_report_subject(item->report, item->at, j, &kind, &id, NULL) == BLN_OK &&
            kind == BLN_KIND_CHANNEL)
            print_channel(view, id);
    }
    print_text(item, BLN_TEXT_BODY, "      ");
    print_text(item, BLN_TEXT_ACTION, "      Do: ");
}

static void print_before_covers(void) {
    puts("\nBEFORE ANY COVER COMES OFF");
    wrap("  ",
         "Work on panels is for qualified people, under local code and the rules of their employer. Lock off "
         "first; where live work cannot be avoided, wear arc-flash protection. A reading of zero does not prove "
         "a conductor dead. What follows supports, and never replaces, licensed practice; a change of "
         "configuration may need the approval of the metrology authority.");
}

void print_items(const struct items* items, const bln_site* site, const bln_view* view) {
    int64_t panel = -2, circuit = -2;
    if (items->count > 0 && items->row[items->count - 1].panel >= 0) print_before_covers();
    for (size_t i = 0; i < items->count; ++i) {
        const struct item* item = &items->row[i];
        if (item->panel != panel) {
            size_t end = i;
            while (end < items->count && items->row[end].panel == item->panel) ++end;
            panel = item->panel;
            circuit = -2;
            if (panel < 0) {
                puts("\nAT THE DESK. No cover needs to come off for these.");
            } else {
                const char* id = bln_site_id(site, BLN_KIND_PANEL, (size_t)panel);
                print_panel(view, id);
                print_cautions(items, i, end, view, id);
            }
        }
        if (item->circuit != circuit) {
            circuit = item->circuit;
            if (circuit >= 0) print_circuit(view, bln_site_id(site, BLN_KIND_CIRCUIT, (size_t)circuit));
        }
        print_item(item, view);
        /* What is not an error is told once and then listed. */
        size_t same = i + 1;
        while (item->finding.severity != BLN_ERROR && same < items->count && items->row[same].panel == panel &&
               items->row[same].finding.severity == item->finding.severity &&
               strcmp(items->row[same].finding.code, item->finding.code) == 0)
            ++same;
        if (same > i + 1) print_likewise(items, i + 1, same);
        i = same - 1;
    }
}
