/* SPDX-License-Identifier: Apache-2.0 */
/* Which wirings explain what every point reads: the posterior behind "right", "wrong" and "not known". */
#include <string.h>

#include "audit.h"

enum { SHOWN = 3 };

static const char* word_of(int32_t verdict) {
    switch (verdict) {
        case BLN_POINT_WRONG:
            return "WRONG";
        case BLN_POINT_OPEN:
            return "OPEN";
        default:
            return "";
    }
}

/* Points of one verdict, on a line of their own. */
static bool list(const bln_proof* proof, int32_t verdict, const char* first) {
    char names[2000] = "";
    bln_error* error = NULL;
    size_t n = 0;
    for (size_t i = 0; i < bln_proof_point_count(proof); ++i) {
        bln_proof_point p = {.size = sizeof p};
        if (!worked(bln_proof_point_at(proof, i, &p, &error), &error, "proof")) return false;
        if (p.verdict == verdict) append(names, sizeof names, "%s%s", n++ > 0 ? ", " : "", p.point);
    }
    if (n > 0) wrap(first, names);
    return true;
}

static bool print_point(const bln_proof* proof, size_t i, const bln_proof_point* p) {
    bln_error* error = NULL;
    printf("  %s  %s\n", p->point, word_of(p->verdict));
    wrap("    ", p->evidence);
    for (uint32_t k = 0; k < p->class_count; ++k) {
        bln_proof_class c = {.size = sizeof c};
        char line[400] = "";
        if (!worked(bln_proof_class_at(proof, i, k, &c, &error), &error, p->point)) return false;
        append(line, sizeof line, "%s%s", c.words, c.is_record ? " (nothing to touch)" : "");
        printf("    %5.1f %%  ", 100 * c.probability);
        wrap("", line);
    }
    for (uint32_t k = 0; k < p->excluded_not && k < SHOWN; ++k) {
        const char* words = NULL;
        if (!worked(bln_proof_not_excluded_at(proof, i, k, &words, &error), &error, p->point)) return false;
        wrap(k == 0 ? "    not excluded: " : "                  ", words);
    }
    return true;
}

bool print_inference(const bln_view* view, const bln_readings* readings) {
    bln_proof* proof = NULL;
    bln_error* error = NULL;
    if (!worked(bln_proof_new(view, readings, NULL, 0, NULL, NULL, NULL, &proof, &error), &error, "proof"))
        return false;
    puts("\nWHAT THE READINGS PROVE  Every wiring of every point is weighed, with a prior for each fault.");
    bool good =
        list(proof, BLN_POINT_PROVEN, "  proven right  ") && list(proof, BLN_POINT_LIKELY, "  likely right  ") &&
        list(proof, BLN_POINT_NOT_LOADED, "  no load       ") && list(proof, BLN_POINT_NOT_JUDGED, "  not judged    ");
    for (size_t i = 0; good && i < bln_proof_point_count(proof); ++i) {
        bln_proof_point p = {.size = sizeof p};
        good = worked(bln_proof_point_at(proof, i, &p, &error), &error, "proof");
        if (good && *word_of(p.verdict)) good = print_point(proof, i, &p);
    }
    wrap("  ",
         "Proven speaks of conductor, direction and voltage of every CT. It does not see a wrong ratio of a whole "
         "point, nor two CTs of one phase exchanged between points: a clamp meter and switching one load do.");
    bln_proof_free(proof);
    return good;
}
