/* SPDX-License-Identifier: ISC */
#include "learn.h"

#include <assert.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "constants.h"
#include "lanes.h"

enum {
    N = CW_LEARN_POINTS,
    TAKEN = 2 * N,
    STAGES = 6 /* five of radix 4, and the weighting */,
    IDLE = STAGES + 1,
    BLOCK = 4 /* parts */
};

static const double PLAYING_LUFS = -60.0;                /* parts below are no playing */
static const double GATE_LUFS = -70.0, GATE_RATIO = 0.1; /* ITU-R BS.1770-4; -10 LU */
static const double FADING = 0.996;                      /* a part: by e in 25 s */
static const double PART = 0.1;                          /* s */
static const double LOWEST = 25.0;                       /* Hz: what is below is no string */

/* Bins of each band: its third of an octave; the lowest takes what is below it. */
static void find_bins(struct cw_learn *l, double step)
{
    for (int i = 0; i <= CW_LOUDNESS_BANDS; i++) {
        double edge = i == 0 ? LOWEST : 1000.0 * pow(10.0, 0.1 * (i - 11.5));
        l->first[i] = (int)fmin(ceil(edge / step), N / 2.0);
    }
}

void cw_learn_init(struct cw_learn *l, double rate)
{
    assert(rate >= 8000.0 && rate <= 384000.0);
    memset(l, 0, sizeof *l);
    for (l->thinning = 1; rate > 72000.0 * l->thinning; l->thinning *= 2) {
    }
    const double step = rate / l->thinning / N; /* Hz from bin to bin */
    double square = 0.0;
    for (int i = 0; i < N; i++) {
        double turn = CW_TAU * i / N, window = 0.5 - 0.5 * cos(turn);
        l->cosine[i] = (float)cos(turn);
        l->sine[i] = (float)sin(turn);
        l->window[i] = (float)window;
        square += window * window;
    }
    for (int p = 0; p < N / 4; p++) {
        l->twice[0][p] = l->cosine[2 * p];
        l->twice[1][p] = l->sine[2 * p];
        l->thrice[0][p] = l->cosine[3 * p];
        l->thrice[1][p] = l->sine[3 * p];
    }
    for (int k = 1; k < N / 2; k++) {
        l->weight[k] = (float)(cw_loudness_k_power(k * step) / (N * square));
    }
    find_bins(l, step);
    l->hz_step = (float)step;
    l->pairs_in_part = (int)floor(PART * rate / (TAKEN * l->thinning) + 0.5);
    l->pairs_in_part += l->pairs_in_part == 0;
    cw_learn_pause(l);
}

void cw_learn_pause(struct cw_learn *l)
{
    l->taken = 0;
    l->stage = IDLE;
    l->pairs = 0;
    memset(l->part, 0, sizeof l->part);
    memset(l->part_place, 0, sizeof l->part_place);
    memset(l->part_square, 0, sizeof l->part_square);
}

/* The places of the bands' power go on from where they were, as heavy as all parts that were kept. */
void cw_learn_restore(struct cw_learn *l, const struct cw_learned *learned)
{
    l->learned = *learned;
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        l->sum[i] = 0.0;
        for (int k = 0; k < learned->count; k++) {
            l->sum[i] += (double)learned->power[i][k];
        }
        l->place[i] = l->sum[i] * learned->hz[i];
        l->square[i] = l->sum[i] * (learned->hz[i] * learned->hz[i] + learned->spread[i] * learned->spread[i]);
    }
    cw_learn_pause(l);
}

/* A complex transform in self-sorting order (T. G. Stockham, 1966), a stage at a time. */
#define KERNEL(name) name##_4
#define LANES 4
#include "learn_kernel.inc"

#define KERNEL(name) name##_8
#define LANES 8
#include "learn_kernel.inc"

/* LUFS as a mean square. */
static double square_of(double lufs) { return pow(10.0, 0.1 * (lufs + 0.691)); }

typedef float four __attribute__((vector_size(16)));

typedef int32_t four_masks __attribute__((vector_size(16)));

INLINE float sum_of(four v) { return (v[0] + v[1]) + (v[2] + v[3]); }

/* Power, and its moments by the bin, counted from the band's first. */
INLINE void add_band(struct cw_learn *l, int i, float sum, float place, float square)
{
    const double step = (double)l->hz_step, first = l->first[i], p = (double)sum, m = (double)place;
    l->part[i] += p;
    l->part_place[i] += (m + first * p) * step;
    l->part_square[i] += ((double)square + first * (2.0 * m + first * p)) * step * step;
}

/* The power of both frames in bands. Bins of one side, two frames: the sum is the mean square of one. */
INLINE void sum_up(struct cw_learn *l)
{
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        const int first = l->first[i], count = l->first[i + 1] - first;
        const four end = {(float)count, (float)count, (float)count, (float)count};
        four sum = {0.0f}, place = {0.0f}, square = {0.0f}, bin = {0.0f, 1.0f, 2.0f, 3.0f};
        for (int k = 0; k < count; k += 4) { /* what is read past the band counts as 0 */
            const four_masks p = (four_masks) * (const stored_4 *)(l->power + first + k) & (bin < end);
            sum += (four)p;
            place += (four)p * bin;
            square += (four)p * bin * bin;
            bin += 4.0f;
        }
        add_band(l, i, sum_of(sum), sum_of(place), sum_of(square));
    }
}

/* One sample of every `apart`, which is a constant where all are taken: then they are neighbours. */
INLINE void weigh_samples(float *restrict to, const float *x, const float *window, int count, const int apart)
{
    for (int i = 0; i < count; i++) {
        to[i] = x[i * apart] * window[i];
    }
}

/* Samples go to the first frame (the real part), then to the second (the imaginary part). A step lies in one. */
INLINE void take(struct cw_learn *l, const float *x)
{
    const int count = CW_LEARN_STEP / l->thinning;
    float *next = l->next + l->taken;
    const float *window = l->window + l->taken % N;
    if (l->thinning == 1) {
        weigh_samples(next, x, window, count, 1);
    } else {
        weigh_samples(next, x, window, count, l->thinning);
    }
    l->taken += count;
}

/* What a step does with vectors. */
static void work(struct cw_learn *l, const float *x)
{
    if (l->stage < STAGES) {
        transform_4(l);
    } else if (l->stage == STAGES) {
        sum_up(l);
    }
    take(l, x);
}

CW_FOUR_LANES static void work_wide(struct cw_learn *l, const float *x)
{
    if (l->stage < STAGES) {
        transform_8(l);
    } else if (l->stage == STAGES) {
        sum_up(l);
    }
    take(l, x);
}

/* Where in its band the power lies, of the part and those before. */
static void place_bands(struct cw_learn *l)
{
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        l->sum[i] = l->sum[i] * FADING + l->part[i];
        l->place[i] = l->place[i] * FADING + l->part_place[i] / l->pairs_in_part;
        l->square[i] = l->square[i] * FADING + l->part_square[i] / l->pairs_in_part;
        const bool known = l->sum[i] > 1e-20;
        const double hz = known ? l->place[i] / l->sum[i] : 0.0;
        l->learned.hz[i] = hz;
        l->learned.spread[i] = known ? sqrt(fmax(l->square[i] / l->sum[i] - hz * hz, 0.0)) : 0.0;
    }
}

/* A part is full: keep it if it is playing. */
static bool keep_part(struct cw_learn *l)
{
    double all = 0.0;
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        l->part[i] /= l->pairs_in_part;
        all += l->part[i];
    }
    bool playing = all > square_of(PLAYING_LUFS) && all < 1e30; /* false for NaN */
    struct cw_learned *learned = &l->learned;
    for (int i = 0; playing && i < CW_LOUDNESS_BANDS; i++) {
        learned->power[i][learned->at] = (float)l->part[i];
    }
    if (playing) {
        place_bands(l);
        learned->at = (learned->at + 1) % CW_LEARN_PARTS;
        learned->count += learned->count < CW_LEARN_PARTS;
    }
    l->pairs = 0;
    memset(l->part, 0, sizeof l->part);
    memset(l->part_place, 0, sizeof l->part_place);
    memset(l->part_square, 0, sizeof l->part_square);
    return playing;
}

bool cw_learn_step(struct cw_learn *l, const float x[CW_LEARN_STEP])
{
    if (cw_has_four_lanes()) {
        work_wide(l, x);
    } else {
        work(l, x);
    }
    const bool summed = l->stage == STAGES;
    l->pairs += summed;
    l->stage += l->stage <= STAGES;
    if (l->taken == TAKEN) {
        l->taken = l->stage = 0; /* the first stage comes before the next samples */
    }
    return summed && l->pairs == l->pairs_in_part && keep_part(l);
}

bool cw_learned_enough(const struct cw_learned *learned) { return learned->count >= CW_LEARN_ENOUGH; }

void cw_learned_hz(const struct cw_learned *learned, int band, double hz[2])
{
    const bool known = learned->hz[band] > 0.0 && cw_learned_enough(learned);
    const double middle = known ? learned->hz[band] : cw_loudness_centre(band);
    const double spread = known ? learned->spread[band] : 0.0;
    hz[0] = middle - spread;
    hz[1] = middle + spread;
}

/* Mean of the blocks that are above the gate, times their number, and that number. */
static double sum_above(const double *block, int count, double gate, int *above)
{
    double sum = 0.0;
    *above = 0;
    for (int i = 0; i < count; i++) {
        sum += block[i] > gate ? block[i] : 0.0;
        *above += block[i] > gate;
    }
    return sum;
}

/* Gated loudness of blocks, as a mean square; where all are below the gate, their mean. */
static double gated(const double *block, int count)
{
    int above;
    double sum = sum_above(block, count, square_of(GATE_LUFS), &above);
    if (above == 0) {
        return sum_above(block, count, 0.0, &above) / count;
    }
    sum = sum_above(block, count, fmax(square_of(GATE_LUFS), GATE_RATIO * sum / above), &above);
    return sum / above;
}

/* Blocks of what was heard through a response, one from each part on, oldest first. \return their number */
static int blocks_through(const struct cw_learned *learned, const float power[CW_LOUDNESS_BANDS], double *block)
{
    float part[CW_LEARN_PARTS] = {0.0f};
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        for (int k = 0; k < CW_LEARN_PARTS; k++) { /* the lot, for speed */
            part[k] += learned->power[i][k] * power[i];
        }
    }
    const int first = learned->count < CW_LEARN_PARTS ? 0 : learned->at, count = learned->count - BLOCK + 1;
    for (int k = 0; k < count; k++) {
        float sum = 0.0f;
        for (int m = 0; m < BLOCK; m++) {
            sum += part[(first + k + m) % CW_LEARN_PARTS];
        }
        block[k] = (double)sum / BLOCK;
    }
    return count;
}

double cw_learned_ratio(const struct cw_learned *learned, const double power[CW_LOUDNESS_BANDS])
{
    double block[CW_LEARN_PARTS], assumed = 0.0;
    float through[CW_LOUDNESS_BANDS], flat[CW_LOUDNESS_BANDS];
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        assumed += cw_loudness_weight(i) * power[i];
        through[i] = (float)power[i];
        flat[i] = 1.0f;
    }
    if (!cw_learned_enough(learned)) {
        return assumed;
    }
    const double loud = gated(block, blocks_through(learned, through, block));
    return loud / gated(block, blocks_through(learned, flat, block));
}

double cw_learned_through(const struct cw_learned *learned, cw_learned_power *power, const void *of)
{
    double mean[CW_LOUDNESS_BANDS];
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        double hz[2];
        cw_learned_hz(learned, i, hz);
        const double below = power(of, hz[0]), above = hz[1] > hz[0] ? power(of, hz[1]) : below;
        mean[i] = 0.5 * (below + above);
    }
    return cw_learned_ratio(learned, mean);
}

bool cw_learned_valid(const struct cw_learned *learned)
{
    const bool full = learned->count == CW_LEARN_PARTS;
    if (learned->count < 0 || learned->count > CW_LEARN_PARTS || learned->at < 0 || learned->at >= CW_LEARN_PARTS ||
        (!full && learned->at != learned->count)) {
        return false;
    }
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        if (!(learned->spread[i] >= 0.0 && learned->spread[i] <= learned->hz[i] && learned->hz[i] < 20000.0)) {
            return false;
        }
    }
    for (int k = 0; k < learned->count; k++) {
        double all = 0.0;
        for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
            if (!(learned->power[i][k] >= 0.0f)) {
                return false;
            }
            all += (double)learned->power[i][k];
        }
        if (!(all > 0.0 && all < 1e30)) {
            return false;
        }
    }
    return true;
}
