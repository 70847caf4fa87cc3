/* SPDX-License-Identifier: ISC */
#include "fit_told.h"

#include <math.h>
#include <string.h>

#include "fit_figures.h"
#include "fit_request.h"
#include "fit_verdict.h"
#include "instrument.h"
#include "numbers.h"
#include "one_port.h"
#include "plot_file.h"
#include "plot_model.h"
#include "polynomial.h"
#include "wire.h"

/* How each figure is written: its scale to what the printer takes. */
static const struct {
    const char *name, *symbol;
    const char *(*print)(double value, char *text, size_t size);
    double scale;
} form[CW_TOLD] = {
    [CW_TOLD_RESISTANCE] = {"DC resistance at 20 °C", "resistance", cw_print_ohms, 1e-3},
    [CW_TOLD_L_120] = {"inductance at 120 Hz", "l_120", cw_print_henry, 1.0},
    [CW_TOLD_L_3K] = {"inductance at 3 kHz", "l_3k", cw_print_henry, 1.0},
    [CW_TOLD_LOSS] = {"loss at 3 kHz (a resistance across the inductance)", "loss", cw_print_ohms, 1e-3},
    [CW_TOLD_CAPACITANCE] = {"capacitance", "capacitance", cw_print_farads, 1e9},
    [CW_TOLD_VOLUME_POT] = {"volume pot", "volume_pot", cw_print_ohms, 1e-3},
    [CW_TOLD_TONE_POT] = {"tone pot", "tone_pot", cw_print_ohms, 1e-3},
    [CW_TOLD_TONE_CAP] = {"tone capacitor", "tone_cap", cw_print_farads, 1e9},
};

static const double curve_hz[] = {200.0, 1000.0, 2000.0, 3000.0, 4000.0, 6000.0, 10000.0};
enum { CURVE = sizeof curve_hz / sizeof curve_hz[0] };

/* A figure; the resistance at 20 degrees. */
static bool told_of(const struct cw_fitting *f, int id, struct cw_told *told)
{
    bool is = cw_instrument_told(&f->request, &f->fit, (enum cw_told_id)id, told);
    if (id == CW_TOLD_RESISTANCE) {
        double cool = 1.0 / cw_wire_resistance_ratio(f->celsius);
        told->value *= cool;
        told->low *= cool;
        told->high *= cool;
    }
    return is;
}

/* ---- what would tell more ------------------------------------------------------------------------ */

static const struct {
    struct cw_instrument_take take;
    const char *words;
} further[] = {{{NULL, false, 5.0, 10.0}, "a take with volume at half"},
               {{NULL, false, 10.0, 0.0}, "a take with tone at 0"},
               {{NULL, true, 10.0, 10.0}, "a take at the pickup's own leads"}};

static void print_further(const struct cw_fitting *f, int id, FILE *stream)
{
    const char *words = NULL;
    double best = 0.2; /* wider is of no use */
    for (size_t i = 0; i < sizeof further / sizeof further[0]; i++) {
        double width = cw_instrument_after(&f->request, &f->fit, &further[i].take, (enum cw_told_id)id);
        if (width < 0.8 * best && !(further[i].take.leads && words)) { /* the instrument stays closed if it can */
            best = width;
            words = further[i].words;
        }
    }
    if (words) {
        fprintf(stream, "; %s would tell it to ±%.2g %%", words, 100.0 * best);
    }
}

static void print_untold_one(const struct cw_fitting *f, int id, const struct cw_told *told, FILE *stream)
{
    if (told->marked_only) {
        fprintf(stream, "Not told by these takes: %s", form[id].name);
        if (id >= CW_TOLD_VOLUME_POT) {
            fputs(" (its mark and tolerance rule the interval)", stream);
        }
        if (id == CW_TOLD_LOSS || id == CW_TOLD_VOLUME_POT) {
            fputs("; with volume at 10 pot and loss act as one number", stream);
        }
    } else {
        fprintf(stream, "Told within this interval, not closer: %s", form[id].name);
    }
    if (told->by_form) {
        fputs("; half the interval would rest on the model's form alone", stream);
    }
    print_further(f, id, stream);
    fputs("\n", stream);
}

/* A second pickup at the jack, its own volume at 10, only adds to L and C: to be told from one it must not stand
 * behind the same part of the volume track. */
static void print_second(const struct cw_fitting *f, FILE *stream)
{
    bool told = false;
    for (int t = 0; t < f->request.takes; t++) {
        const struct cw_instrument_take *take = &f->request.take[t];
        told |= take->leads || take->volume < 10.0;
    }
    if (!told) {
        fputs(
            "Hardly told by these takes: whether a second pickup is on, which with volume at 10 looks like one; a take "
            "with volume at half shows one that has a pot of its own\n",
            stream);
    }
}

static void print_untold(const struct cw_fitting *f, FILE *stream)
{
    print_second(f, stream);
    for (int id = 0; id < CW_TOLD; id++) {
        struct cw_told told;
        if (told_of(f, id, &told) && (told.marked_only || told.by_form)) {
            print_untold_one(f, id, &told, stream);
        }
    }
    fputs("Never told by an impedance: winding against wiring capacitance, two coils of one pickup apart, level, "
          "turns,\nwire, magnet, and how the string's voltage falls through core and cover.\n",
          stream);
}

/* ---- figures ------------------------------------------------------------------------------------- */

static void print_figures(const struct cw_fitting *f, FILE *stream)
{
    fputs("Figures with their 95 % intervals:\n", stream);
    for (int id = 0; id < CW_TOLD; id++) {
        struct cw_told told;
        char value[40] = "none", low[40], high[40];
        if (!told_of(f, id, &told)) {
            continue;
        }
        double scale = form[id].scale;
        form[id].print(scale * told.low, low, sizeof low);
        if (isfinite(told.value)) {
            form[id].print(scale * told.value, value, sizeof value);
        }
        if (!isfinite(told.high)) {
            fprintf(stream, "  %s: %s, at least %s\n", form[id].name, value, low);
        } else if (told.high > 1.1 * told.low) {
            fprintf(stream, "  %s: %s, %s to %s\n", form[id].name, value, low,
                    form[id].print(scale * told.high, high, sizeof high));
        } else {
            fprintf(stream, "  %s: %s ±%.2g %%\n", form[id].name, value, 100.0 * (told.high / told.value - 1.0));
        }
    }
}

/* Half of an interval as it is quoted: two decimals, and never none. */
static double quoted(const struct cw_told *told) { return fmax(told->high - told->value, 0.01); }

static void print_curve(const struct cw_fitting *f, FILE *stream)
{
    fprintf(stream, "Response over the EMF with %.0f pF and %.3g Mohm at the jack, ± 95 %%:\n", 1e12 * f->load.farad,
            1e-6 * f->load.ohm);
    for (int i = 0; i < CURVE; i++) {
        struct cw_told own = cw_instrument_told_response(&f->request, &f->fit, false, f->load, curve_hz[i]);
        struct cw_told bare = cw_instrument_told_response(&f->request, &f->fit, true, f->load, curve_hz[i]);
        char hz[24];
        fprintf(stream, "  %-8s  this instrument %7.2f ±%.2f dB   without controls %7.2f ±%.2f dB\n",
                cw_print_hz(curve_hz[i], hz, sizeof hz), own.value, quoted(&own), bare.value, quoted(&bare));
    }
}

/* ---- verdict ------------------------------------------------------------------------------------- */

static void print_marks(const struct cw_fitting *f, FILE *stream)
{
    const struct cw_marked *mark[] = {&f->request.volume_pot, &f->request.tone_pot, &f->request.tone_cap};
    for (int i = 0; i < 3; i++) {
        int id = CW_TOLD_VOLUME_POT + i;
        struct cw_told told;
        if (told_of(f, id, &told) && fabs(cw_fit_off_mark(&f->request, &f->fit, (enum cw_told_id)id)) > 1.5) {
            char value[40], marked[40];
            fprintf(stream, "In doubt: the %s comes out as %s, marked %s: is the mark right, is it wired so?\n",
                    form[id].name, form[id].print(form[id].scale * told.value, value, sizeof value),
                    form[id].print(form[id].scale * mark[i]->value, marked, sizeof marked));
        }
    }
}

static void print_strange(const struct cw_fitting *f, FILE *stream)
{
    for (int id = 0; id < CW_TOLD_VOLUME_POT; id++) {
        struct cw_told told;
        int strange = cw_fit_strange(&f->fit, (enum cw_told_id)id);
        if (strange != 0 && told_of(f, id, &told)) {
            char value[40];
            fprintf(stream,
                    "In doubt: the %s comes out as %s, %s than a pickup has: is a pickup connected, are the curve's "
                    "units right (kohm taken for ohm)?\n",
                    form[id].name, form[id].print(form[id].scale * told.value, value, sizeof value),
                    strange > 0 ? "more" : "less");
        }
    }
}

static void print_chi(const struct cw_fitting *f, FILE *stream)
{
    char words[60];
    fprintf(stream, "Chi-squared over degrees of freedom: %.2f (%d); by take:", f->fit.chi_square, f->fit.freedom);
    for (int t = 0; t < f->request.takes; t++) {
        fprintf(stream, "%s %.2f (%s)", t ? "," : "", f->fit.chi_take[t],
                cw_fit_take_words(&f->take[t], words, sizeof words));
    }
    fputs("\n", stream);
}

static void print_noise(const struct cw_fitting *f, FILE *stream)
{
    double noise = 0.0;
    for (int t = 0; t < f->request.takes; t++) {
        noise = fmax(noise, f->fit.noise_take[t]);
    }
    if (f->fit.noise_guessed) {
        fprintf(stream,
                "Noise estimated from the curve itself, as a file states no errors: by how its points scatter, %.2g %% "
                "of the\nvoltage behind 100 kohm at most. A verdict by it is weaker than one by errors that were "
                "measured.\n",
                100.0 * noise);
    }
}

static void print_verdict(const struct cw_fitting *f, FILE *stream)
{
    static const char *const verdict[] = {
        [CW_FIT_NOISY] =
            "none. The curve has more noise than any usable take (2 % of the voltage behind 100 kohm, 34 dB "
            "under it):\nany circuit would explain it. Do not rely on the figures.",
        [CW_FIT_WRONG] = "this circuit does not fit. One pickup, one volume and one tone control do not explain the "
                         "takes: is a second\npickup or a preamplifier on, a part wired otherwise, a take named with "
                         "the wrong controls? Do not rely on the figures.",
        [CW_FIT_STRANGE] = "the curves are met, but by parts that are not to be believed (below). Do not rely on the "
                           "figures.",
        [CW_FIT_ONE_SIDE] = "in doubt. What the circuit leaves of the curves is no noise, it goes one way over "
                            "stretches of them: is\nsomething else connected? Do not rely on the intervals.",
        [CW_FIT_LOOSE] = "the circuit fits less well than the noise lets expect; the intervals are widened by it.",
        [CW_FIT_EXPLAINED] = "the circuit explains the takes",
    };
    enum cw_fit_verdict is = cw_fit_verdict_of(&f->request, &f->fit);
    print_chi(f, stream);
    fprintf(stream, "Verdict: %s", verdict[is]);
    if (is == CW_FIT_EXPLAINED) {
        fprintf(stream, "%s.", f->fit.metal ? ", with metal around the coils (a cover or base plate)" : "");
    }
    fputs("\n", stream);
    print_noise(f, stream);
    print_strange(f, stream);
    print_marks(f, stream);
}

void cw_fit_told_print(const struct cw_fitting *f, FILE *stream)
{
    const struct cw_instrument *i = &f->fit.best;
    print_verdict(f, stream);
    print_figures(f, stream);
    fprintf(stream, "  as a circuit: La %.3g H, Le %.3g H", i->la, i->le);
    if (i->per_k > 1e-9) {
        fprintf(stream, ", K %.3g, T %.2g ms", 1.0 / i->per_k, 1e3 * i->skin_time);
    }
    if (i->per_r > 1e-9) {
        fprintf(stream, ", R %.3g kohm", 1e-3 / i->per_r);
    }
    if (f->fit.metal) {
        fprintf(stream, ", metal %.3g H at %.3g kHz", i->metal, 1e-3 * i->metal_corner);
    }
    fputs(" (nearly collinear: rely on the figures above)\n", stream);
    print_curve(f, stream);
    fprintf(stream,
            "Reduced to the core's branches: at most %.3f dB of impedance (100 Hz to 20 kHz) and %.3f dB of "
            "response\n(to 10 kHz) away from the fit.\n",
            f->reduced.impedance, f->reduced.response);
    print_untold(f, stream);
}

void cw_fit_told_csv(const struct cw_fitting *f, FILE *stream)
{
    struct cw_told told;
    fprintf(stream, "doubt,%d,%.6g,%.6g\n", cw_fit_verdict_of(&f->request, &f->fit) < CW_FIT_LOOSE, f->fit.chi_square,
            CW_FIT_DOUBTED);
    fprintf(stream, "reduction,%.6g,%.6g\n", f->reduced.impedance, f->reduced.response);
    for (int id = 0; id < CW_TOLD; id++) {
        if (told_of(f, id, &told)) {
            fprintf(stream, "%s,%.9g,%.9g,%.9g,%d,%d\n", form[id].symbol, told.value, told.low, told.high,
                    told.marked_only, told.by_form);
        }
    }
    for (int i = 0; i < 2 * CURVE; i++) {
        told = cw_instrument_told_response(&f->request, &f->fit, i % 2, f->load, curve_hz[i / 2]);
        fprintf(stream, "%s@%.0f,%.6g,%.6g,%.6g,0,%d\n", i % 2 ? "bare" : "own", curve_hz[i / 2], told.value, told.low,
                told.high, told.by_form);
    }
}

/* ---- residuals ----------------------------------------------------------------------------------- */

/* Measured over fitted magnitude, dB, straight between the curve's points. */
static double residual_db(const struct cw_fitting *f, int take, double hz)
{
    const struct cw_one_port *curve = &f->take[take].curve;
    size_t i = 1;
    while (i + 1 < curve->count && curve->point[i].hz < hz) {
        i++;
    }
    const struct cw_one_port_point *a = &curve->point[i - 1], *b = &curve->point[i];
    if (hz < a->hz || hz > b->hz) {
        return NAN;
    }
    double part = (hz - a->hz) / (b->hz - a->hz), db[2];
    for (int end = 0; end < 2; end++) {
        const struct cw_one_port_point *p = end ? b : a;
        struct cw_complex z = cw_instrument_loaded(&f->fit.best, f->fit.standing[take], f->request.load[take], p->hz);
        db[end] = 20.0 * log10(hypot(p->re, p->im) / hypot(z.re, z.im));
    }
    return db[0] + part * (db[1] - db[0]);
}

bool cw_fit_told_plot(const struct cw_fitting *f, const char *path, bool force)
{
    struct cw_plot *plot = cw_plot_new(CW_PLOT_DIFFERENCE, "Impedance, measured against fitted");
    if (!plot) {
        return false;
    }
    for (int t = 0; t < f->request.takes; t++) {
        char words[60];
        struct cw_plot_curve *curve = cw_plot_add(plot, cw_fit_take_words(&f->take[t], words, sizeof words));
        for (int i = 0; i < CW_PLOT_POINTS; i++) {
            curve->value[i] = residual_db(f, t, cw_plot_hz(i));
        }
    }
    return cw_plot_save_one(plot, path, (struct cw_plot_size){900, 540, 1}, force);
}
