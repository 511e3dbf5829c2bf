/* SPDX-License-Identifier: Apache-2.0 */
/* Numbers behind the verdicts: what the mains carry, how far an arrangement can be off, how past energy is put right,
 * and how near a sum can come to its main at all. */
#include <math.h>
#include <string.h>

#include "audit.h"

static const double stray_percent = 5; /* voltages within this of nominal: the service range of most networks */
static const double degree = 0.017453292519943295;

/* Nominal volts between phase and neutral of the service that an element's device hangs on; 0 when unknown. */
static double unit_volts(const bln_view* view, const char* channel) {
    const char* device = text_of(view, BLN_KIND_CHANNEL, channel, "device");
    const char* service = text_of(view, BLN_KIND_DEVICE, device, "service");
    double volts = 0;
    return bln_view_real(view, BLN_KIND_SERVICE, service, "volts_ln", &volts, NULL) == BLN_OK ? volts : 0;
}

static const char* channel_of(const bln_form* form, size_t element) {
    const char* channel = "";
    if (bln_form_element_at(form, element, NULL, NULL, NULL, NULL, NULL, NULL, &channel, NULL) != BLN_OK) return "";
    return channel;
}

/* Nominal potentials of the form's service, in V. */
struct volts {
    double re[BLN_TERMINAL_COUNT], im[BLN_TERMINAL_COUNT];
    uint32_t known;
};
static bool nominal(const bln_form* form, const bln_view* view, struct volts* v) {
    const double unit = bln_form_element_count(form) > 0 ? unit_volts(view, channel_of(form, 0)) : 0;
    return unit > 0 && bln_form_nominal_volts(form, 1, unit, v->re, v->im, &v->known, NULL) == BLN_OK;
}

/* Most that each conductor can carry: what its breaker lets through; the neutral what the others leave. */
static bool breaker_amps(const bln_form* form, const bln_view* view, double* amps) {
    for (size_t k = 0; k < bln_form_conductor_count(form); ++k) {
        const char* circuit = "";
        int32_t terminal = 0, pole = 0;
        if (bln_form_conductor_at(form, k, &terminal, NULL, NULL, &circuit, &pole, NULL) != BLN_OK) return false;
        if (pole < 1)
            amps[k] = INFINITY;
        else if (bln_view_real(view, BLN_KIND_CIRCUIT, circuit, "breaker_amps", &amps[k], NULL) != BLN_OK)
            return false;
    }
    return true;
}

bool print_uses(const bln_form* form) {
    uint32_t ways = 0;
    bln_error* error = NULL;
    const char* say = "None of these channels can give it: an element is missing.";
    if (!worked(bln_form_reuse(form, 0, &ways, &error), &error, "other use")) return false;
    if ((ways & BLN_REUSE_REWEIGH) != 0)
        say = NULL; /* the weights are printed */
    else if ((ways & BLN_REUSE_REPOINT) != 0)
        say = "Other voltage references on the same channels make it exact.";
    else if ((ways & BLN_REUSE_REPOINT_REWEIGH) != 0)
        say = "Other voltage references and weights on the same channels make it exact.";
    else if ((ways & BLN_REUSE_RECOMPUTE) != 0)
        say = "Not exactly; P and signed Q of the channels give the truth while voltages are nominal.";
    if (say != NULL) wrap("    software    ", say);
    return true;
}

bool print_bound(const bln_form* form, const bln_view* view) {
    double amps[64], spread[BLN_TERMINAL_COUNT] = {0};
    struct volts v;
    char line[300] = "";
    bln_bound bound = {.size = sizeof bound};
    bln_error* error = NULL;
    if (bln_form_conductor_count(form) > 64 || !nominal(form, view, &v) || !breaker_amps(form, view, amps)) return true;
    for (int t = BLN_TERMINAL_A; t <= BLN_TERMINAL_C; ++t) spread[t] = hypot(v.re[t], v.im[t]) * stray_percent / 100;
    const bln_status status =
        bln_form_bound(form, v.re, v.im, v.known, spread, amps, NULL, NULL, &bound, NULL, NULL, NULL, NULL, &error);
    if (status == BLN_E_ABSENT) { /* the error depends on a potential that nothing fixes: there is no bound */
        bln_error_free(error);
        return true;
    }
    if (!worked(status, &error, "bound")) return false;
    append(line, sizeof line,
           "With what the breakers let through and voltages within %.0f %% of nominal, never more than %.2f kVA; the "
           "worst case that a search finds is %.2f kVA.",
           stray_percent, bound.total / 1000, bound.attained / 1000);
    wrap("    how far     ", line);
    return true;
}

/* Quantities of one main from P and Q of its channels, at nominal voltages. */
static bool print_load(const bln_form* form, const bln_view* view, const bln_live* live, const char* point) {
    static const bln_quantity wanted[] = {BLN_Q_P,         BLN_Q_Q1,        BLN_Q_S_VECTOR,   BLN_Q_S_ARITHMETIC,
                                          BLN_Q_PF_VECTOR, BLN_Q_I_NEUTRAL, BLN_Q_UNBALANCE_I};
    enum { COUNT = sizeof wanted / sizeof *wanted };
    double v[6] = {0}, i[6] = {0}, value[COUNT];
    uint8_t why[COUNT];
    struct volts u;
    char line[300] = "", first[80] = "";
    bln_error* error = NULL;
    bln_phasor_columns columns = {.size = sizeof columns, .form = BLN_PHASORS_RECTANGULAR};
    const size_t n = bln_form_element_count(form);
    if (n != 3 || !nominal(form, view, &u)) return true;
    for (size_t e = 0; e < n; ++e) {
        int64_t num[BLN_TERMINAL_COUNT], den[BLN_TERMINAL_COUNT];
        const char* channel = channel_of(form, e);
        bool read = false;
        if (!worked(bln_form_element_at(form, e, num, den, NULL, NULL, NULL, NULL, NULL, &error), &error, point))
            return false;
        for (int t = 0; t < BLN_TERMINAL_COUNT; ++t) {
            v[2 * e] += (double)num[t] / (double)den[t] * u.re[t];
            v[2 * e + 1] += (double)num[t] / (double)den[t] * u.im[t];
        }
        for (size_t k = 0; k < bln_live_channel_count(live); ++k) {
            bln_live_channel c = {.size = sizeof c};
            if (bln_live_channel_at(live, k, &c, NULL) != BLN_OK || strcmp(c.channel, channel) != 0) continue;
            if ((c.given & BLN_LIVE_HAS_WATTS) == 0 || (c.given & BLN_LIVE_HAS_VARS) == 0) continue;
            /* I = (S / V)* */
            const double size = v[2 * e] * v[2 * e] + v[2 * e + 1] * v[2 * e + 1];
            i[2 * e] = (v[2 * e] * c.watts + v[2 * e + 1] * c.vars) / size;
            i[2 * e + 1] = (v[2 * e + 1] * c.watts - v[2 * e] * c.vars) / size;
            read = true;
        }
        if (!read) return true;
    }
    for (size_t k = 0; k < 6; ++k) {
        columns.v[k] = (bln_column){&v[k], sizeof v[k], NULL, BLN_TYPE_F64, 0};
        columns.i[k] = (bln_column){&i[k], sizeof i[k], NULL, BLN_TYPE_F64, 0};
    }
    if (!worked(bln_quantities_of_phasors(&columns, 1, 3, 4, wanted, COUNT, value, why, &error), &error, point))
        return false;
    append(first, sizeof first, "  %-14s ", point);
    append(line, sizeof line, "%.1f kW, %.1f kvar; %.1f kVA by vector, %.1f phase by phase", value[0] / 1000,
           value[1] / 1000, value[2] / 1000, value[3] / 1000);
    if (why[4] == BLN_DEFINED) append(line, sizeof line, "; power factor %.2f", value[4]);
    append(line, sizeof line, "; neutral %.0f A", value[5]);
    if (why[6] == BLN_DEFINED) append(line, sizeof line, "; current unbalance %.0f %%", 100 * value[6]);
    wrap(first, line);
    return true;
}

bool print_loads(const bln_site* site, const bln_view* view, const bln_live* live) {
    bool good = true;
    puts("\nLOAD OF THE MAINS  When the readings were taken; voltages as nominal.");
    for (size_t i = 0; good && i < bln_site_count(site, BLN_KIND_POINT); ++i) {
        bln_form* form = NULL;
        bln_error* error = NULL;
        const char* point = bln_site_id(site, BLN_KIND_POINT, i);
        if (strcmp(text_of(view, BLN_KIND_POINT, point, "use"), "main") != 0) continue;
        good = worked(bln_form_of_point(view, point, 1, &form, &error), &error, point) &&
               (!bln_form_built(form) || print_load(form, view, live, point));
        bln_form_free(form);
    }
    return good;
}

/* Conductor of the form on phase `letter` of the circuit of `like`; -1 when there is none. */
static int32_t on_phase(const bln_form* form, char letter) {
    for (size_t k = 0; k < bln_form_conductor_count(form); ++k) {
        int32_t terminal = -1, counted = 0, pole = 0;
        if (bln_form_conductor_at(form, k, &terminal, NULL, &counted, NULL, &pole, NULL) == BLN_OK && counted &&
            pole >= 1 && terminal == letter - 'A')
            return (int32_t)k;
    }
    return -1;
}

/* The conductor on which the record hangs the CT of an element; -1 unless it is one. */
static int32_t recorded_on(const bln_form* form, size_t element) {
    int64_t num[64], den[64];
    int32_t found = -1;
    const size_t n = bln_form_conductor_count(form);
    if (n > 64 || bln_form_element_at(form, element, NULL, NULL, num, den, NULL, NULL, NULL, NULL) != BLN_OK) return -1;
    for (size_t k = 0; k < n; ++k)
        if (num[k] != 0) found = found < 0 ? (int32_t)k : -2;
    return found < 0 ? -1 : found;
}

/* The form with the CT of one element as `way` says: "on phase B, reversed". NULL when the form has no such conductor.
 */
static bln_form* wired(const bln_form* form, size_t element, const char* way) {
    const char* phase = strstr(way, "on phase ");
    const int32_t e = (int32_t)element;
    bln_form *moved = NULL, *turned = NULL;
    if (phase != NULL) {
        const int32_t x = recorded_on(form, element), y = on_phase(form, phase[9]);
        if (bln_form_fault(form, "on_conductor", e, x, y, 1, 1, &moved, NULL) != BLN_OK) return NULL;
        form = moved;
    }
    if (strstr(way, "reversed") == NULL) return moved;
    (void)bln_form_fault(form, "reversed", e, 0, 0, 1, 1, &turned, NULL);
    bln_form_free(moved);
    return turned;
}

enum { MAX_WRONG = 6, WAY = 60 };
struct wrong {
    const char* channel;
    const char* ways; /* joined by " or " */
    size_t element;
};

/* The first way of a list; returns what follows. */
static const char* next_way(const char* ways, char way[WAY]) {
    const char* end = strstr(ways, " or ");
    way[0] = '\0';
    append(way, WAY, "%.*s", (int)(end != NULL ? end - ways : (long)strlen(ways)), ways);
    return end != NULL ? end + 4 : ways + strlen(ways);
}

/* Every combination of what explains the wrong channels of a point: how its elements then give the truth. */
static bool print_ways(const bln_form* form, const struct wrong* wrong, size_t n, const char* said) {
    char way[WAY];
    bln_text* text = NULL;
    bln_error* error = NULL;
    bool good = true;
    if (n == 0) {
        char first[200] = "";
        append(first, sizeof first, "    %s: ", said);
        if (!worked(bln_form_words(form, BLN_FORM_CORRECTION, &text, &error), &error, "correction")) return false;
        wrap(first, bln_text_data(text));
        bln_text_free(text);
        return true;
    }
    for (const char* ways = wrong->ways; good && *ways != '\0';) {
        char so_far[200] = "";
        ways = next_way(ways, way);
        bln_form* next = wired(form, wrong->element, way);
        append(so_far, sizeof so_far, "%s%s%s %s", said, said[0] != '\0' ? "; " : "", wrong->channel, way);
        if (next != NULL) good = print_ways(next, wrong + 1, n - 1, so_far);
        bln_form_free(next);
    }
    return good;
}

/* What a correction by a ratio of voltages leaves open, per 1 VA of the channel, while both stay within 2 %. */
static double left_over(void) {
    double out = 0;
    const bln_status status = bln_ratio_spread(1, 0, cos(120 * degree), sin(120 * degree), 0.02, 0.02, &out, NULL);
    return status == BLN_OK ? out : 1;
}

/* Wrong channels of a point, with their elements. */
static size_t wrong_channels(const bln_form* form, const bln_live* live, const char* point,
                             struct wrong out[MAX_WRONG]) {
    size_t n = 0;
    for (size_t i = 0; i < bln_live_channel_count(live) && n < MAX_WRONG; ++i) {
        bln_live_channel c = {.size = sizeof c};
        if (bln_live_channel_at(live, i, &c, NULL) != BLN_OK || c.proof != BLN_PROOF_WRONG) continue;
        if (strcmp(c.point, point) != 0 || c.reads_as[0] == '\0') continue;
        for (size_t e = 0; e < bln_form_element_count(form); ++e)
            if (n < MAX_WRONG && strcmp(channel_of(form, e), c.channel) == 0)
                out[n++] = (struct wrong){c.channel, c.reads_as, e};
    }
    return n;
}

bool print_corrections(const bln_view* view, const bln_live* live) {
    bool good = true, any = false;
    for (size_t i = 0; good && i < bln_live_point_count(live); ++i) {
        bln_live_point p = {.size = sizeof p};
        bln_form* form = NULL;
        bln_error* error = NULL;
        struct wrong wrong[MAX_WRONG];
        if (bln_live_point_at(live, i, &p, NULL) != BLN_OK || p.proof != BLN_PROOF_WRONG) continue;
        if (!worked(bln_form_of_point(view, p.point, 1, &form, &error), &error, p.point)) return false;
        const size_t n = bln_form_built(form) ? wrong_channels(form, live, p.point, wrong) : 0;
        if (n > 0) {
            if (!any)
                puts("\nHOW PAST ENERGY IS PUT RIGHT  S1, S2, ...: P + jQ of the point's channels, as registered.");
            any = true;
            printf("  %s\n", p.point);
            good = print_ways(form, wrong, n, "");
        }
        bln_form_free(form);
    }
    if (good && any) {
        char line[400] = "";
        append(
            line, sizeof line,
            "A factor with j takes P from Q: while voltages stay within 2 %% of nominal it is off by at most %.1f %% "
            "of that channel's VA, and by twice the power of the harmonics. Which line holds, a test at the panel "
            "shows. Correcting bills may need the consent of the authority.",
            100 * left_over());
        wrap("  ", line);
    }
    return good;
}

bool uncertainty_percent(const bln_site* site, const bln_view* view, const bln_statement* statement, const char* rollup,
                         double* out) {
    enum { MOST = 256 };
    const char* points[MOST];
    double energies[MOST];
    size_t n = 0;
    const bln_sum_assumption load = {.size = sizeof load, .percent = 20, .angle_degrees = 30, .shared_percent = 0.2};
    bln_sum_uncertainty u = {.size = sizeof u};
    if (bln_site_count(site, BLN_KIND_POINT) > MOST) return false;
    for (; n < bln_site_count(site, BLN_KIND_POINT); ++n) { /* a point without a row registers nothing for anybody */
        points[n] = bln_site_id(site, BLN_KIND_POINT, n);
        energies[n] = 0;
    }
    for (size_t i = 0; i < bln_statement_count(statement); ++i) {
        bln_statement_row row = {.size = sizeof row};
        size_t at = 0;
        if (bln_statement_at(statement, i, &row, NULL) != BLN_OK || row.kind != BLN_ROW_POINT) continue;
        while (at < n && strcmp(points[at], row.id) != 0) ++at; /* one row for each who had the point in turn */
        if (at < n) energies[at] += (double)row.net;
    }
    if (bln_rollup_uncertainty(view, rollup, &load, n, points, energies, &u, NULL) != BLN_OK) return false;
    if (!u.has_main || u.main == 0) return false;
    *out = 200 * u.difference_combined / fabs(u.main); /* k = 2 */
    return true;
}
