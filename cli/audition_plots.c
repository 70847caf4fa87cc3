/* SPDX-License-Identifier: ISC */
#include "audition_plots.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "curve.h"
#include "message.h"
#include "plot_curve.h"
#include "plot_file.h"
#include "plot_model.h"
#include "resonance.h"
#include "setup.h"
#include "slope.h"
#include "transfer.h"

/* As many curves as can be told apart in one picture. */
enum { CURVES_MOST = 6 };

/* Add the response of a setup to the plot. */
static void plot_setup(struct cw_plot *plot, const char *label, const struct cw_setup *setup, bool faint)
{
    struct cw_curve curve;
    cw_curve_init(&curve, setup, NULL);
    struct cw_plot_curve *drawn = cw_plot_curve_add(plot, label, &curve, faint);
    if (!drawn) {
        return;
    }
    struct cw_resonance resonance = cw_resonance_of(setup, &curve.response);
    struct cw_peak peak = cw_peak_of(&curve.response, &resonance);
    drawn->peak = !faint && peak.hz >= CW_PLOT_HZ_LOW && peak.hz <= CW_PLOT_HZ_HIGH;
    drawn->peak_hz = peak.hz;
    drawn->peak_value = drawn->peak ? cw_curve_db(&curve, peak.hz) : 0.0;
    drawn->peak_over = peak.db;
}

/* Put in what the coils' places add. */
static void add_places(struct cw_plot_curve *drawn, const struct cw_audition *audition, size_t index)
{
    struct cw_slope slope;
    if (!cw_sound_slope(audition, &audition->sound[index], audition->rate, &slope)) {
        return;
    }
    for (int i = 0; i < CW_PLOT_POINTS; i++) {
        drawn->value[i] += 10.0 * log10(cw_slope_power(&slope, cw_plot_hz(i)));
    }
    drawn->peak = false; /* the network's own, which is not where this curve tops */
}

static void plot_sound(struct cw_plot *plot, const struct cw_audition *audition, size_t index)
{
    size_t at = plot->count;
    plot_setup(plot, audition->sound[index].label, &audition->sound[index].setup, false);
    if (at < plot->count) {
        add_places(&plot->curve[at], audition, index);
    }
}

/* The recorded-through setup stands behind the candidates. */
static bool save_plot(struct cw_plot *plot, const struct cw_audition *audition, const char *path,
                      struct cw_plot_size size)
{
    if (audition->has_recorded) {
        plot_setup(plot, audition->recorded_label, &audition->sound[0].setup, true);
    }
    const struct cw_plot *pages[1] = {plot};
    return path && cw_plot_save(pages, 1, path, size, true);
}

/* All candidates in one picture. */
static bool plot_all(struct cw_plot *plot, const struct cw_audition *audition, const char *path)
{
    cw_plot_clear(plot);
    cw_plot_text(plot->title, "Level at the amplifier");
    size_t shown = CW_PLOT_CURVES - 1; /* one is kept for what the recording went through */
    if (audition->count - 1 > shown) {
        char title[80];
        snprintf(title, sizeof title, "Level at the amplifier: the first %zu of %zu candidates", shown,
                 audition->count - 1);
        cw_plot_text(plot->title, title);
    }
    for (size_t i = 1; i < audition->count && i <= shown; i++) {
        plot_sound(plot, audition, i);
    }
    return save_plot(plot, audition, path, (struct cw_plot_size){1000.0, 560.0, 1.0});
}

/* The two candidates of a comparison. */
static bool plot_pair(struct cw_plot *plot, const struct cw_audition *audition, size_t index, struct cw_folder *folder)
{
    const struct cw_pair *pair = &audition->pair[index];
    char name[64];
    snprintf(name, sizeof name, CW_DIR_PLOTS "/comparison-%02zu.svg", index + 1);
    cw_plot_clear(plot);
    cw_plot_text(plot->title, pair->label);
    plot_sound(plot, audition, pair->a);
    if (pair->b != pair->a) {
        plot_sound(plot, audition, pair->b);
    }
    return save_plot(plot, audition, cw_folder_file(folder, name), (struct cw_plot_size){1000.0, 400.0, 1.0});
}

/* A few candidates, as what they differ by from the first. \return the first that is not in it */
static size_t fill_differences(struct cw_plot *plot, const struct cw_audition *audition, size_t from)
{
    size_t to = from + CURVES_MOST < audition->count ? from + CURVES_MOST : audition->count;
    double base[CW_PLOT_POINTS];
    cw_plot_clear(plot);
    plot_sound(plot, audition, 1);
    memcpy(base, plot->curve[0].value, sizeof base);
    cw_plot_clear(plot);
    plot->axis = CW_PLOT_DIFFERENCE;
    snprintf(plot->title, sizeof plot->title, "Difference to the first candidate");
    for (size_t i = from; i < to; i++) {
        plot_sound(plot, audition, i);
        struct cw_plot_curve *drawn = &plot->curve[plot->count - 1];
        drawn->peak = false;
        for (int k = 0; k < CW_PLOT_POINTS; k++) {
            drawn->value[k] -= base[k];
        }
    }
    return to;
}

static bool draw_differences(struct cw_plot *plot, struct cw_audition *audition)
{
    const struct cw_plot_size size = {900.0, 380.0, 1.0};
    size_t most = audition->count / CURVES_MOST + 1;
    audition->picture = calloc(most, sizeof *audition->picture);
    if (!audition->picture) {
        cw_error_memory();
        return false;
    }
    for (size_t i = 2; i < audition->count && audition->pictures < most;) {
        i = fill_differences(plot, audition, i);
        if (!cw_plot_png(plot, size, &audition->picture[audition->pictures++])) {
            return false;
        }
    }
    return true;
}

bool cw_audition_plots(struct cw_audition *audition, struct cw_folder *folder)
{
    struct cw_plot *plot = malloc(sizeof *plot);
    if (!plot) {
        cw_error_memory();
        return false;
    }
    bool good = plot_all(plot, audition, cw_folder_file(folder, "response.svg")) &&
                plot_all(plot, audition, cw_folder_file(folder, "response.png"));
    for (size_t i = 0; good && i < audition->pairs; i++) {
        good = plot_pair(plot, audition, i, folder);
    }
    good = good && draw_differences(plot, audition);
    free(plot);
    return good;
}
