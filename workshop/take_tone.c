/* SPDX-License-Identifier: ISC */
#include "take_tone.h"

#include <math.h>
#include <string.h>

#include "audible.h"
#include "band_grid.h"
#include "circuit.h"
#include "coil.h"
#include "leads.h"
#include "resonance.h"
#include "setup.h"
#include "transfer.h"

/* ---- the recordings ------------------------------------------------------------------------------- */

/* A recording falls into so many parts, by whose scatter its spectrum is judged. */
enum { PARTS = 8 };

/* A part of a take that is quieter than that under the whole is a pause: mean square. */
static const double PAUSE = 1e-3;

static const double HEARD_DB = 60.0;

/* Nothing is heard in a band below this, dB of full scale: digital silence with a little dither. */
static const double SILENT_DB = -110.0;

/* Share of each of the take's frequencies in a band: the filter of audible.h. */
static void filter(const double *hz, int count, double centre, double weight[CW_TAKE_BANDS])
{
    double p = 4.0 * centre / (24.7 * (0.00437 * centre + 1.0));
    for (int i = 0; i < count; i++) {
        double pg = p * fabs(hz[i] / centre - 1.0);
        weight[i] = (1.0 + pg) * exp(-pg);
    }
}

/* Mean power of each of the take's frequencies over one part. */
static double part_power(const struct cw_take *take, int part, double power[CW_TAKE_BANDS])
{
    size_t from = take->blocks * (size_t)part / PARTS, end = take->blocks * (size_t)(part + 1) / PARTS;
    double sum = 0.0;
    memset(power, 0, CW_TAKE_BANDS * sizeof *power);
    for (size_t block = from; block < end; block++) {
        const float *row = take->power + block * (size_t)take->bands;
        for (int i = 0; i < take->bands; i++) {
            power[i] += (double)row[i];
            sum += (double)row[i];
        }
    }
    return end > from ? sum / (double)(end - from) : 0.0;
}

/* Bands of one take: level in dB, and the standard deviation of that by its parts. */
struct spectrum {
    double level[CW_AUDIBLE_BANDS], spread[CW_AUDIBLE_BANDS], top;
    double power[CW_TAKE_BANDS];
};

static void spectrum_of(const struct cw_take *take, struct spectrum *spectrum)
{
    static const double nothing = 1e-30;
    double power[PARTS][CW_TAKE_BANDS], loud[PARTS], mean = 0.0, weight[CW_TAKE_BANDS];
    for (int part = 0; part < PARTS; part++) {
        loud[part] = part_power(take, part, power[part]);
        mean += loud[part] / PARTS;
        for (int i = 0; i < take->bands; i++) {
            spectrum->power[i] = (part > 0 ? spectrum->power[i] : 0.0) + power[part][i];
        }
    }
    spectrum->top = -HUGE_VAL;
    for (int band = 0; band < CW_AUDIBLE_BANDS; band++) {
        double whole = 0.0, sum = 0.0, squares = 0.0;
        int parts = 0;
        filter(take->hz, take->bands, cw_audible_hz(band), weight);
        for (int part = 0; part < PARTS; part++) {
            double in_band = nothing;
            for (int i = 0; i < take->bands; i++) {
                in_band += weight[i] * power[part][i];
            }
            whole += in_band;
            if (loud[part] > PAUSE * mean) {
                double db = 10.0 * log10(in_band / loud[part]);
                sum += db;
                squares += db * db;
                parts++;
            }
        }
        double variance = parts > 1 ? (squares - sum * sum / parts) / (parts - 1) : HUGE_VAL;
        spectrum->level[band] = 10.0 * log10(whole);
        spectrum->spread[band] = sqrt(fmax(variance, 0.0) / (parts > 0 ? parts : 1));
        spectrum->top = fmax(spectrum->top, spectrum->level[band]);
    }
}

int cw_tone_compare(const struct cw_take *mine, const struct cw_take *theirs, struct cw_tone_bands *bands)
{
    struct spectrum one, other;
    int heard = 0;
    spectrum_of(mine, &one);
    spectrum_of(theirs, &other);
    for (int i = 0; i < CW_AUDIBLE_BANDS; i++) {
        bands->level[i] = other.level[i] - one.level[i];
        bands->spread[i] = hypot(hypot(one.spread[i], other.spread[i]), CW_TONE_HAND_DB);
        bands->heard[i] = one.level[i] > fmax(one.top - HEARD_DB, SILENT_DB) &&
                          other.level[i] > fmax(other.top - HEARD_DB, SILENT_DB);
        heard += bands->heard[i];
    }
    bands->count = mine->bands;
    memcpy(bands->hz, mine->hz, sizeof bands->hz);
    memcpy(bands->power, one.power, sizeof bands->power);
    return heard;
}

/* ---- the fit ---------------------------------------------------------------------------------------- */

/* Inductance and loss are tried over these factors, evenly in logarithms. */
enum { INDUCTANCES = 81, LOSSES = 33 };
static const double INDUCTANCE_FACTOR = 5.0, LOSS_FACTOR = 12.0;

/* Bands lie half a Cam apart, and one filter is about a Cam wide: two neighbours count as one. */
static const double BANDS_COUNTED = 0.5;

/* One try. */
struct trial {
    struct cw_setup setup;
    double off, chi2, left;
};

/* What a try is held against: the spectrum of mine as each band hears it. */
struct model {
    const struct cw_tone_bands *bands;
    struct cw_setup mine;
    double heard[CW_AUDIBLE_BANDS][CW_TAKE_BANDS]; /* power, by band and frequency, over |H|^2 of mine */
    double before[CW_AUDIBLE_BANDS];               /* dB */
};

/* A pickup by its values at the leads, whatever it is known by. */
static struct cw_setup by_values(const struct cw_setup *setup)
{
    struct cw_setup values = *setup;
    struct cw_lead_values leads;
    if (setup->value[CW_P_COIL_FROM] != CW_FROM_WINDING) {
        return values;
    }
    struct cw_setup whole = *setup;
    whole.value[CW_P_SPLIT] = 0.0;
    cw_lead_values_of(&whole, NULL, &leads);
    const struct {
        enum cw_param_id id;
        double value;
    } is[] = {{CW_P_COIL_FROM, CW_FROM_MEASURED},
              {CW_P_INDUCTANCE, leads.value[CW_LEAD_INDUCTANCE]},
              {CW_P_INDUCTANCE_AT, CW_BENCH_HZ},
              {CW_P_RESISTANCE, 1e-3 * leads.value[CW_LEAD_RESISTANCE]},
              {CW_P_CAPACITANCE, 1e12 * leads.value[CW_LEAD_CAPACITANCE]},
              {CW_P_LOSS, 1e-3 * leads.value[CW_LEAD_LOSS]},
              {CW_P_CORE_SHARE, 0.0},
              {CW_P_COVER, CW_COVER_NONE}};
    for (size_t i = 0; i < sizeof is / sizeof is[0]; i++) {
        values.value[is[i].id] = cw_param_clean(&cw_param_info[is[i].id], is[i].value, is[i].value);
    }
    return values;
}

static struct cw_transfer transfer_of(const struct cw_setup *setup)
{
    struct cw_pickup pickup;
    struct cw_transfer h;
    cw_coil_solve(setup, &pickup);
    cw_circuit_transfer(setup, &pickup, CW_DRIVE_STRING, &h);
    return h;
}

/* Of the phrase as it was played: a band's skirt hears what is loud below it, and a phrase falls steeply. */
static void open_model(struct model *model, const struct cw_setup *mine, const struct cw_tone_bands *bands)
{
    double weight[CW_TAKE_BANDS], string[CW_TAKE_BANDS] = {0.0}; /* the phrase without the pickup */
    struct cw_transfer h = transfer_of(mine);
    model->bands = bands;
    model->mine = *mine;
    for (int i = 0; i < bands->count; i++) {
        string[i] = bands->power[i] / cw_transfer_power(&h, bands->hz[i]);
    }
    for (int band = 0; band < CW_AUDIBLE_BANDS; band++) {
        double sum = 1e-30;
        filter(bands->hz, bands->count, cw_audible_hz(band), weight);
        for (int i = 0; i < bands->count; i++) {
            sum += weight[i] * bands->power[i];
            model->heard[band][i] = weight[i] * string[i];
        }
        model->before[band] = 10.0 * log10(sum);
    }
}

/* How much louder each band would be, dB. */
static void change_of(const struct model *model, const struct cw_setup *setup, double change[CW_AUDIBLE_BANDS])
{
    double power[CW_TAKE_BANDS];
    struct cw_transfer h = transfer_of(setup);
    for (int i = 0; i < model->bands->count; i++) {
        power[i] = cw_transfer_power(&h, model->bands->hz[i]);
    }
    for (int band = 0; band < CW_AUDIBLE_BANDS; band++) {
        double sum = 1e-30;
        for (int i = 0; i < model->bands->count; i++) {
            sum += model->heard[band][i] * power[i];
        }
        change[band] = 10.0 * log10(sum) - model->before[band];
    }
}

static struct cw_setup with(const struct cw_setup *mine, double inductance, double loss)
{
    const struct {
        enum cw_param_id id;
        double by;
    } factor[] = {{CW_P_INDUCTANCE, inductance}, {CW_P_LOSS, loss}};
    struct cw_setup setup = *mine;
    for (size_t i = 0; i < sizeof factor / sizeof factor[0]; i++) {
        double value = mine->value[factor[i].id];
        setup.value[factor[i].id] = cw_param_clean(&cw_param_info[factor[i].id], value * factor[i].by, value);
    }
    return setup;
}

static double weight_of(const struct cw_tone_bands *bands, int band)
{
    return bands->heard[band] ? BANDS_COUNTED / (bands->spread[band] * bands->spread[band]) : 0.0;
}

/* What the hand may lean, octaves above where it begins. */
static double lean_of(int band) { return fmax(log2(cw_audible_hz(band) / CW_TONE_TILT_HZ), 0.0); }

/* Level and lean that fit the differences best, the lean held by what is expected of it: two linear unknowns. */
static void settle(const struct cw_tone_bands *bands, const double *change, double *off, double *lean)
{
    double w = 0.0, wt = 0.0, wtt = 1.0 / (CW_TONE_TILT_DB * CW_TONE_TILT_DB), wd = 0.0, wtd = 0.0;
    for (int i = 0; i < CW_AUDIBLE_BANDS; i++) {
        double weight = weight_of(bands, i), t = lean_of(i), d = bands->level[i] - change[i];
        w += weight;
        wt += weight * t;
        wtt += weight * t * t;
        wd += weight * d;
        wtd += weight * t * d;
    }
    *lean = (w * wtd - wt * wd) / (w * wtt - wt * wt);
    *off = (wd - *lean * wt) / w;
}

/* Mine with another inductance and loss, the level and lean that then fit best, and what is left. */
static void try_values(const struct model *model, double inductance, double loss, struct trial *trial)
{
    const struct cw_tone_bands *bands = model->bands;
    double change[CW_AUDIBLE_BANDS], lean, squares = 0.0;
    int heard = 0;
    *trial = (struct trial){.setup = with(&model->mine, inductance, loss)};
    change_of(model, &trial->setup, change);
    settle(bands, change, &trial->off, &lean);
    trial->chi2 = lean * lean / (CW_TONE_TILT_DB * CW_TONE_TILT_DB);
    for (int i = 0; i < CW_AUDIBLE_BANDS; i++) {
        double d = bands->level[i] - change[i] - trial->off - lean * lean_of(i);
        trial->chi2 += weight_of(bands, i) * d * d;
        squares += bands->heard[i] ? d * d : 0.0;
        heard += bands->heard[i];
    }
    trial->left = sqrt(squares / heard);
}

static void widen(struct cw_tone_figure *figure, double value)
{
    figure->low = fmin(figure->low, value);
    figure->high = fmax(figure->high, value);
}

static void figures_of(const struct cw_setup *setup, double *resonance, double *peak)
{
    struct cw_transfer h = transfer_of(setup);
    struct cw_resonance found = cw_resonance_of(setup, &h);
    *resonance = found.hz;
    *peak = cw_peak_of(&h, &found).db;
}

/* Through pink noise, as two responses are compared elsewhere. */
static void levels_of(const struct cw_band_grid *grid, const struct cw_setup *setup, double level[CW_AUDIBLE_BANDS])
{
    struct cw_transfer h = transfer_of(setup);
    double power[CW_BAND_GRID_POINTS];
    cw_band_grid_power(grid, &h, power);
    cw_band_grid_levels(grid, power, level);
}

static void take_best(const struct trial *best, struct cw_tone *tone)
{
    double resonance, peak, inductance = best->setup.value[CW_P_INDUCTANCE];
    figures_of(&best->setup, &resonance, &peak);
    *tone = (struct cw_tone){.setup = best->setup,
                             .level = best->off,
                             .resonance = {resonance, resonance, resonance},
                             .peak = {peak, peak, peak},
                             .inductance = {inductance, inductance, inductance},
                             .left = best->left};
}

/* A try that the recordings allow. \param best levels of the best one */
static void allow(const struct cw_band_grid *grid, const struct cw_setup *setup, const double best[CW_AUDIBLE_BANDS],
                  int step, struct cw_tone *tone)
{
    double resonance, peak, level[CW_AUDIBLE_BANDS];
    figures_of(setup, &resonance, &peak);
    levels_of(grid, setup, level);
    widen(&tone->resonance, resonance);
    widen(&tone->peak, peak);
    widen(&tone->inductance, setup->value[CW_P_INDUCTANCE]);
    tone->open_low = tone->open_low || step == 0;
    tone->open_high = tone->open_high || step == INDUCTANCES - 1;
    tone->unsure = fmax(tone->unsure, fabs(cw_audible_of(level, best).worst));
}

static double inductance_at(int step) { return pow(INDUCTANCE_FACTOR, 2.0 * step / (INDUCTANCES - 1) - 1.0); }
static double loss_at(int step) { return pow(LOSS_FACTOR, 2.0 * step / (LOSSES - 1) - 1.0); }

/* Two standard deviations, wider where more is left than the bands' spread explains. */
static double most_of(const struct cw_tone_bands *bands, double least)
{
    double counted = 0.0;
    for (int i = 0; i < CW_AUDIBLE_BANDS; i++) {
        counted += bands->heard[i] ? BANDS_COUNTED : 0.0;
    }
    return least + 4.0 * fmax(1.0, least / fmax(counted - 3.0, 1.0));
}

void cw_tone_fit(const struct cw_setup *mine, const struct cw_tone_bands *bands, struct cw_tone *tone)
{
    struct cw_band_grid grid;
    struct model model;
    struct trial best = {.chi2 = HUGE_VAL}, trial;
    double chi2[INDUCTANCES * LOSSES], level[CW_AUDIBLE_BANDS];
    struct cw_setup values = by_values(mine);
    cw_band_grid_init(&grid);
    open_model(&model, &values, bands);
    for (int i = 0; i < INDUCTANCES * LOSSES; i++) {
        try_values(&model, inductance_at(i / LOSSES), loss_at(i % LOSSES), &trial);
        chi2[i] = trial.chi2;
        best = trial.chi2 < best.chi2 ? trial : best;
    }
    take_best(&best, tone);
    levels_of(&grid, &best.setup, level);
    for (int i = 0; i < INDUCTANCES * LOSSES; i++) {
        if (chi2[i] <= most_of(bands, best.chi2)) {
            struct cw_setup allowed = with(&values, inductance_at(i / LOSSES), loss_at(i % LOSSES));
            allow(&grid, &allowed, level, i / LOSSES, tone);
        }
    }
}
