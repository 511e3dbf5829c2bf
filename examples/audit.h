/* SPDX-License-Identifier: Apache-2.0 */
/* What the parts of the audit program share. It uses nothing of the library but <blondel/blondel.h>. */
#ifndef AUDIT_H
#define AUDIT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include <blondel/blondel.h>

#define COLUMNS 100 /* no line is longer */

/* audit_text.c: files in, lines out. */

/* Reads a whole file; NULL after saying why not. The caller frees it with free(). */
char* read_file(const char* path, size_t* size);
/* True when the call went well. Otherwise says what failed, item by item, and frees the error. The error is handed by
 * its place: the arguments beside the call are read before or after it, as the compiler likes. */
bool worked(bln_status status, bln_error** error, const char* what);
/* Writes text in lines of at most COLUMNS: `first` before the first, spaces of the same width after. */
void wrap(const char* first, const char* text);
/* Adds to a text that is cut, never overrun. */
void append(char* to, size_t room, const char* format, ...);

/* audit_place.c: where in the building something is. */

/* A field as text; "" when it is unknown. Lives as long as the view. */
const char* text_of(const bln_view* view, bln_kind kind, const char* id, const char* field);
int64_t integer_of(const bln_view* view, bln_kind kind, const char* id, const char* field, int64_t otherwise);
size_t size_of(const bln_view* view, bln_kind kind, const char* id, const char* field);
/* Key i of a terms, passes, refs or texts field; "" past the end. */
const char* key_of(const bln_view* view, bln_kind kind, const char* id, const char* field, size_t i);
/* Circuit that a CT surrounds, whose CT a channel reads, or that a point measures first. */
bool circuit_of(const bln_view* view, bln_kind kind, const char* id, char circuit[80]);
/* The point that has a channel among its elements; "" when there is none. */
const char* point_of(const bln_site* site, const bln_view* view, const char* channel);

/* One finding and the place at which a technician deals with it. */
struct item {
    const bln_report* report;
    size_t at;
    int64_t panel; /* position in the record; -1: at a desk */
    int64_t circuit;
    bln_finding finding;
};
struct items {
    struct item* row;
    size_t count, room;
};
/* Adds the findings of a report; false when out of memory. */
bool add_report(struct items* items, const bln_report* report, const bln_site* site, const bln_view* view);
/* In the order in which panels would be opened: desk first, then as the record lists panels and circuits. */
void sort_items(struct items* items);
/* Writes all items under headings, with the cautions of each panel. */
void print_items(const struct items* items, const bln_site* site, const bln_view* view);

/* audit_energy.c: who pays for what. */

/* What one point is billed, and what the same registers say when the record's own as-built layer is followed. */
struct bill {
    char point[80], premises[80];
    double billed_kwh, should_be_kwh;
    bool suspected; /* from a suspicion of the reconciliation, not from the record */
    bool unknown;   /* an element is missing: nobody can say what it should be */
    char because[200];
};
struct bills {
    struct bill* row;
    size_t count;
    double days;
};
/* Compares, largest difference first. `check` tells why. */
bool compare_bills(const bln_site* site, const bln_view* view, const bln_report* check, const bln_intervals* intervals,
                   const bln_live* live, const bln_statement* statement, struct bills* out);
bool mis_billed(const struct bill* bill);
/* The table for the owner, largest first. */
void print_bills(const struct bills* bills, const bln_view* view);
void print_reconciliations(const bln_site* site, const bln_view* view, const bln_statement* statement,
                           const bln_intervals* intervals);

/* audit_faults.c: adds what the wiring faults that the readings show have cost. */
bool estimate_faults(const bln_site* site, const bln_view* view, const bln_intervals* intervals, const bln_live* live,
                     const bln_statement* statement, struct bills* bills);

/* audit_power.c: the numbers behind the verdicts. */

/* Power, volt-amperes, neutral current and unbalance of the three-phase mains, from the readings. */
bool print_loads(const bln_site* site, const bln_view* view, const bln_live* live);
/* Whether and how the channels at hand could give the truth, where weights alone do not. */
bool print_uses(const bln_form* form);
/* How far an arrangement that is not exact can be off. */
bool print_bound(const bln_form* form, const bln_view* view);
/* How the energy that was registered under a fault gives the truth. */
bool print_corrections(const bln_view* view, const bln_live* live);
/* Expanded uncertainty (k = 2) of a roll-up minus its main, in percent of the main; false when the classes are unknown.
 */
bool uncertainty_percent(const bln_site* site, const bln_view* view, const bln_statement* statement, const char* rollup,
                         double* out);

/* audit_before.c: what the readings should be, and how to trace what nobody recorded. */
bool print_before(const bln_site* site, const bln_view* view);

/* audit_proof.c: which wirings explain the readings. */

/* Verdict, evidence and look-alikes of every point that is not right, and lists of the others. */
bool print_inference(const bln_view* view, const bln_readings* readings);

/* audit_form.c: is every point's arrangement of meter elements exact? */

struct proofs {
    size_t exact, inexact, unknown;
};
/* Counts. */
bool prove_points(const bln_site* site, const bln_view* view, struct proofs* out);
/* Is the point exact as configured? False as well when that is not known. */
bool is_exact(const bln_view* view, const char* point);
/* What is not exact, with its error; then the list of what is. */
bool print_proofs(const bln_site* site, const bln_view* view);

#endif
