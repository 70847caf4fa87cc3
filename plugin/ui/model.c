/* SPDX-License-Identifier: ISC */
#include "model.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "acts.h"
#include "circuit.h"
#include "coil.h"
#include "control.h"
#include "places.h"
#include "plot_model.h"
#include "resonance.h"
#include "seals.h"
#include "slope.h"

const char *const cw_model_short[CW_SETUPS] = {"Recorded", "A", "B"};

/* A report of the plugin may be this late behind a change, s. */
static const double report_delay = 0.25;

/* The slope of the places is all but the same at every rate; it is shown for this one, Hz. */
static const double SHOWN_RATE = 48000.0;

int cw_model_style(enum cw_which which)
{
    static const int style[CW_SETUPS] = {[CW_A] = 0, [CW_B] = 1, [CW_REC] = 2};
    return style[which];
}

static double *value_of(struct cw_model *model, const struct cw_control *control)
{
    return control->global ? &model->controls.global[control->id]
                           : &model->controls.setup[control->which].value[control->id];
}

/* The plugin reads its ports in single precision. */
static double as_port(double value) { return (double)(float)value; }

void cw_model_init(struct cw_model *model)
{
    memset(model, 0, sizeof *model);
    cw_controls_defaults(&model->controls);
    for (int port = CW_PORT_GLOBAL; port < CW_PORT_METER; port++) {
        struct cw_control control;
        cw_control_of(port, &control);
        double *value = value_of(model, &control);
        *value = as_port(*value);
    }
    for (int which = 0; which < CW_SETUPS; which++) {
        model->stale[which] = true;
        model->changed[which] = -1.0;
        model->level[which] = NAN;
    }
    model->placed_stale = true;
    cw_model_update(model);
}

double cw_model_value(const struct cw_model *model, int port)
{
    struct cw_control control;
    if (!cw_control_of(port, &control)) {
        return 0.0;
    }
    return control.global ? model->controls.global[control.id] : model->controls.setup[control.which].value[control.id];
}

bool cw_model_set(struct cw_model *model, int port, double value)
{
    struct cw_control control;
    if (!cw_control_of(port, &control)) {
        return false;
    }
    double *place = value_of(model, &control);
    double clean = as_port(cw_param_clean(control.info, value, *place));
    if (clean == *place) {
        return false;
    }
    *place = clean;
    model->placed_stale = true;
    for (int which = 0; which < CW_SETUPS; which++) {
        bool concerned = control.global ? control.id == CW_G_MAINS || control.id == CW_G_LEVEL_BY_PLAYED
                                        : (int)control.which == which;
        if (concerned) {
            model->stale[which] = true;
            model->changed[which] = model->now;
        }
    }
    return true;
}

/* Only the plugin knows what was played: its word is shown, whenever it comes. */
static bool level_is_reported(const struct cw_model *model, enum cw_which which)
{
    return model->controls.global[CW_G_LEVEL_BY_PLAYED] > 0.0 && model->match_by == CW_MATCH_BY_PLAYED &&
           isfinite(model->level[which]) && cw_split_acts(&model->controls.setup[which]);
}

static bool report_level(struct cw_model *model, enum cw_which which, double value)
{
    double *shown = &model->figures[which].value[CW_M_LEVEL];
    model->level[which] = value;
    if (!level_is_reported(model, which) || value == *shown) {
        return false;
    }
    *shown = value;
    return true;
}

static bool report_status(struct cw_model *model, int port, double value)
{
    const enum cw_match_by by = value > 0.5 ? CW_MATCH_BY_PLAYED : CW_MATCH_BY_ASSUMED;
    const bool news = port == cw_port_of_status(CW_S_MATCH_BY) && by != model->match_by;
    model->match_by = news ? by : model->match_by;
    for (int which = 0; which < CW_SETUPS; which++) {
        model->stale[which] = model->stale[which] || news;
    }
    return news;
}

bool cw_model_report(struct cw_model *model, int port, double value)
{
    if (port >= CW_PORT_STATUS) {
        return report_status(model, port, value);
    }
    if (port < CW_PORT_METER || !isfinite(value)) {
        return false;
    }
    int which = (port - CW_PORT_METER) / CW_METERS;
    if ((port - CW_PORT_METER) % CW_METERS == CW_M_LEVEL && model->controls.global[CW_G_LEVEL_BY_PLAYED] > 0.0) {
        return report_level(model, (enum cw_which)which, value);
    }
    double *shown = &model->figures[which].value[(port - CW_PORT_METER) % CW_METERS];
    /* The port holds it in single precision. */
    bool same = fabs(value - *shown) <= 1e-6 * fmax(1.0, fabs(*shown));
    if (same || model->stale[which] || model->now - model->changed[which] < report_delay) {
        return false;
    }
    *shown = value;
    return true;
}

static struct cw_peak trace(const struct cw_setup *setup, const struct cw_pickup *pickup, enum cw_drive drive,
                            double db[CW_PLOT_POINTS], double *peak_db)
{
    struct cw_transfer h;
    cw_circuit_transfer(setup, pickup, drive, &h);
    for (int i = 0; i < CW_PLOT_POINTS; i++) {
        db[i] = cw_transfer_db(&h, cw_plot_hz(i));
    }
    struct cw_setup as_driven = *setup;
    as_driven.value[CW_P_SPLIT] = drive == CW_DRIVE_UNSPLIT ? 0.0 : setup->value[CW_P_SPLIT];
    struct cw_resonance resonance = cw_resonance_of(&as_driven, &h);
    struct cw_peak peak = cw_peak_of(&h, &resonance);
    *peak_db = cw_transfer_db(&h, peak.hz);
    return peak;
}

static void work_out(struct cw_model *model, enum cw_which which)
{
    const struct cw_setup *setup = &model->controls.setup[which];
    struct cw_path *path = &model->path[which];
    struct cw_pickup pickup;
    cw_coil_solve(setup, &pickup);
    path->pickup = pickup;
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &path->sum);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_HUM, &path->difference);
    path->peak = trace(setup, &pickup, CW_DRIVE_STRING, path->db, &path->peak_db);
    path->split = cw_split_acts(setup);
    if (path->split) {
        path->unsplit_peak = trace(setup, &pickup, CW_DRIVE_UNSPLIT, path->unsplit, &path->unsplit_peak_db);
    }
    path->no_cable = cw_no_cable_of(setup, &pickup);
    cw_figures_of(setup, model->controls.global[CW_G_MAINS], &model->figures[which]);
    if (level_is_reported(model, which)) {
        model->figures[which].value[CW_M_LEVEL] = model->level[which];
    }
}

/* What the plugin puts in for the coils' places, by the same functions. */
static void place(struct cw_model *model)
{
    const struct cw_controls *c = &model->controls;
    bool on = c->global[CW_G_STRING_PLACES] > 0.0 && c->global[CW_G_UNDO_RECORDING] > 0.0;
    for (int which = CW_A; which <= CW_B; which++) {
        struct cw_slope slope;
        bool any = on && cw_slope_between(&c->setup[which], &c->setup[CW_REC], &model->means[which],
                                          &model->means[CW_REC], SHOWN_RATE, &slope);
        for (int i = 0; i < CW_PLOT_POINTS; i++) {
            model->placed[which][i] = any ? 10.0 * log10(cw_slope_power(&slope, cw_plot_hz(i))) : 0.0;
        }
    }
}

void cw_model_update(struct cw_model *model)
{
    if (model->placed_stale) {
        place(model);
        model->placed_stale = false;
    }
    cw_seals_judge(&model->seals, model->controls.setup);
    for (int which = 0; which < CW_SETUPS; which++) {
        if (model->stale[which]) {
            work_out(model, (enum cw_which)which);
            model->stale[which] = false;
        }
    }
}

double cw_model_level(const struct cw_model *model, enum cw_which which, double hz)
{
    const double *db = model->path[which].db;
    double at = (CW_PLOT_POINTS - 1) * log(hz / CW_PLOT_HZ_LOW) / log(CW_PLOT_HZ_HIGH / CW_PLOT_HZ_LOW);
    int i = (int)fmin(fmax(at, 0.0), CW_PLOT_POINTS - 2.0);
    return db[i] + (at - i) * (db[i + 1] - db[i]);
}

/* ---- the partials of a chosen string ---- */

/* dB over the network's own answer. */
static double comb_db(const struct cw_setup *setup, const struct cw_path *path, int string, double hz)
{
    return 10.0 * log10(cw_place_partial(setup, &path->pickup, &path->sum, &path->difference, string, hz));
}

/* Beside a curve of the plot: what each partial of the candidate's string does, against another setup that heard the
 * same string, or alone. */
static void add_partials(struct cw_plot *plot, const struct cw_model *model, enum cw_which which,
                         const enum cw_which *against)
{
    const struct cw_setup *setup = model->controls.setup;
    const int string = (int)setup[which].value[CW_P_STRING] - 1, curve = (int)plot->count - 1;
    struct cw_plot_partials *to = &plot->partials[plot->partials[0].count > 0];
    if (string < 0 || !(model->controls.global[CW_G_STRING_PLACES] > 0.0)) {
        return;
    }
    const double open = cw_string_pitch(string);
    to->curve = curve;
    for (int n = 1; n <= CW_PLOT_PARTIALS && n * open <= CW_PLOT_HZ_HIGH; n++) {
        const double hz = n * open;
        double db = cw_model_level(model, which, hz) + comb_db(&setup[which], &model->path[which], string, hz);
        if (against) {
            db -= cw_model_level(model, *against, hz) + comb_db(&setup[*against], &model->path[*against], string, hz);
        }
        to->hz[to->count] = hz;
        to->value[to->count++] = db;
    }
    char label[CW_PLOT_TEXT];
    snprintf(label, sizeof label, "%s; dots: partials of string %d", plot->curve[curve].label, string + 1);
    cw_plot_text(plot->curve[curve].label, label);
}

static struct cw_plot_curve *add(struct cw_plot *plot, const char *label, enum cw_which which)
{
    struct cw_plot_curve *curve = cw_plot_add(plot, label);
    curve->style = cw_model_style(which);
    return curve;
}

static void add_level(struct cw_plot *plot, const struct cw_path *path, enum cw_which which)
{
    struct cw_plot_curve *curve = add(plot, cw_model_short[which], which);
    memcpy(curve->value, path->db, sizeof curve->value);
    curve->peak = path->peak.hz > 0.0;
    curve->peak_hz = path->peak.hz;
    curve->peak_value = path->peak_db;
    curve->peak_over = path->peak.db;
    curve->faint = which == CW_REC;
}

/* One path against another, as heard: with what the coils' places add. */
static void add_difference(struct cw_plot *plot, const char *label, const struct cw_model *model, enum cw_which which,
                           enum cw_which against)
{
    struct cw_plot_curve *curve = add(plot, label, which);
    const double *of = model->path[which].db, *from = model->path[against].db;
    for (int i = 0; i < CW_PLOT_POINTS; i++) {
        curve->value[i] = of[i] - from[i] + (model->placed[which][i] - model->placed[against][i]);
    }
}

static void add_unsplit(struct cw_plot *plot, const char *label, const struct cw_path *path, enum cw_which which,
                        const double *against)
{
    if (path->split) {
        struct cw_plot_curve *curve = add(plot, label, which);
        for (int i = 0; i < CW_PLOT_POINTS; i++) {
            curve->value[i] = path->unsplit[i] - (against ? against[i] : 0.0);
        }
        curve->faint = true;
    }
}

/* Two splits of one pickup: one curve of it, not two that hide one another. */
static bool same_unsplit(const struct cw_path *a, const struct cw_path *b)
{
    for (int i = 0; a->split && b->split && i < CW_PLOT_POINTS; i++) {
        if (!(fabs(a->unsplit[i] - b->unsplit[i]) < 1e-3)) {
            return false;
        }
    }
    return a->split && b->split;
}

static void add_all_unsplit(struct cw_plot *plot, const struct cw_path path[CW_SETUPS], enum cw_view_kind view)
{
    const double *against = view == CW_VIEW_LEVEL ? NULL : path[CW_REC].db;
    if (same_unsplit(&path[CW_A], &path[CW_B])) {
        add_unsplit(plot, "A and B, unsplit", &path[CW_A], CW_A, against);
    } else {
        add_unsplit(plot, "A, unsplit", &path[CW_A], CW_A, against);
        add_unsplit(plot, "B, unsplit", &path[CW_B], CW_B, against);
    }
    if (view == CW_VIEW_LEVEL) {
        add_unsplit(plot, "Recorded, unsplit", &path[CW_REC], CW_REC, NULL);
    }
}

void cw_model_plot(const struct cw_model *model, enum cw_view_kind view, struct cw_plot *plot)
{
    static const enum cw_which recorded = CW_REC;
    const struct cw_path *path = model->path;
    cw_plot_clear(plot);
    plot->dark = true;
    plot->axis = view == CW_VIEW_LEVEL ? CW_PLOT_LEVEL : CW_PLOT_DIFFERENCE;
    if (view == CW_VIEW_B_TO_A) {
        static const enum cw_which a = CW_A;
        add_difference(plot, "B against A", model, CW_B, CW_A);
        add_partials(plot, model, CW_B, &a);
        return;
    }
    for (int which = CW_A; which <= CW_B; which++) {
        if (view == CW_VIEW_LEVEL) {
            add_level(plot, &path[which], (enum cw_which)which);
            add_partials(plot, model, (enum cw_which)which, NULL);
        } else {
            add_difference(plot, cw_model_short[which], model, (enum cw_which)which, CW_REC);
            add_partials(plot, model, (enum cw_which)which, &recorded);
        }
    }
    if (view == CW_VIEW_LEVEL) {
        add_level(plot, &path[CW_REC], CW_REC);
    }
    add_all_unsplit(plot, path, view);
}
