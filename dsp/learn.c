/* SPDX-License-Identifier: ISC */
#include "learn.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include "constants.h"

enum { N = CW_LEARN_POINTS, STAGES = 5 /* of radix 4 */, IDLE = STAGES + 1, BLOCK = 4 /* parts */ };

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
    l->thinning = rate > 72000.0 ? (int)floor(rate / 48000.0 + 0.5) : 1;
    const double step = rate / l->thinning / N; /* Hz from bin to bin */
    double square = 0.0;
    for (int i = 0; i < N; i++) {
        double turn = CW_TAU * i / N, window = 0.5 - 0.5 * cos(turn);
        l->cosine[i] = (float)cos(turn);
        l->sine[i] = (float)sin(turn);
        l->window[i] = (float)window;
        square += window * window;
    }
    for (int k = 1; k < N / 2; k++) {
        l->weight[k] = (float)(cw_loudness_k_power(k * step) / (N * square));
    }
    find_bins(l, step);
    l->hz_step = (float)step;
    l->pairs_in_part = (int)floor(PART * rate / (2.0 * N * l->thinning) + 0.5);
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
}

/* Samples go to the first frame (the real part), then to the second (the imaginary part). */
static void take(struct cw_learn *l, const float *x)
{
    for (int i = 0; i < CW_LEARN_STEP; i += l->thinning) {
        l->next[l->taken] = x[i] * l->window[l->taken % N];
        l->taken++;
    }
}

/* One row of the butterflies of a stage: `count` neighbours that share their twiddles. From the frames at `from` to
 * those at `to`. */
static void butterflies(struct cw_learn *l, int side, int from, int to, int count, int turn)
{
    const float *restrict re = l->re[side] + from, *restrict im = l->im[side] + from;
    float *restrict out_re = l->re[!side] + to, *restrict out_im = l->im[!side] + to;
    const float c1 = l->cosine[turn], s1 = l->sine[turn], c2 = l->cosine[2 * turn], s2 = l->sine[2 * turn];
    const float c3 = l->cosine[3 * turn], s3 = l->sine[3 * turn];
    for (int q = 0; q < count; q++) {
        const float ar = re[q], ai = im[q], br = re[q + N / 4], bi = im[q + N / 4];
        const float cr = re[q + N / 2], ci = im[q + N / 2], dr = re[q + 3 * N / 4], di = im[q + 3 * N / 4];
        const float sum_r = ar + cr, sum_i = ai + ci, less_r = ar - cr, less_i = ai - ci;
        const float other_r = br + dr, other_i = bi + di, turned_r = di - bi, turned_i = br - dr;
        const float one_r = less_r - turned_r, one_i = less_i - turned_i;
        const float two_r = sum_r - other_r, two_i = sum_i - other_i;
        const float three_r = less_r + turned_r, three_i = less_i + turned_i;
        out_re[q] = sum_r + other_r;
        out_im[q] = sum_i + other_i;
        out_re[q + count] = one_r * c1 + one_i * s1;
        out_im[q + count] = one_i * c1 - one_r * s1;
        out_re[q + 2 * count] = two_r * c2 + two_i * s2;
        out_im[q + 2 * count] = two_i * c2 - two_r * s2;
        out_re[q + 3 * count] = three_r * c3 + three_i * s3;
        out_im[q + 3 * count] = three_i * c3 - three_r * s3;
    }
}

/* A stage of the transform in self-sorting order (T. G. Stockham, 1966), of radix 4. */
static void transform(struct cw_learn *l)
{
    const int count = 1 << (2 * l->stage);
    for (int p = 0; p < N / 4 / count; p++) {
        butterflies(l, l->stage & 1, p * count, 4 * p * count, count, p * count);
    }
    l->stage++;
}

/* LUFS as a mean square. */
static double square_of(double lufs) { return pow(10.0, 0.1 * (lufs + 0.691)); }

/* The power of both frames in bands; of two real frames that went through as one, bin k of both is in k and N - k.
 * Bins of one side, two frames: the sum is the mean square of one. */
static void sum_up(struct cw_learn *l)
{
    const float *re = l->re[STAGES & 1], *im = l->im[STAGES & 1];
    float power[N / 2];
    for (int k = 1; k < N / 2; k++) {
        int m = N - k;
        power[k] = l->weight[k] * (re[k] * re[k] + im[k] * im[k] + re[m] * re[m] + im[m] * im[m]);
    }
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) { /* bands follow one another */
        float sum = 0.0f, place = 0.0f;
        for (int k = l->first[i]; k < l->first[i + 1]; k++) {
            sum += power[k];
            place += power[k] * (float)k;
        }
        l->part[i] += (double)sum;
        l->part_place[i] += (double)(place * l->hz_step);
    }
}

/* Where in its band the power lies, of the part and those before. */
static void place_bands(struct cw_learn *l)
{
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        l->sum[i] = l->sum[i] * FADING + l->part[i];
        l->place[i] = l->place[i] * FADING + l->part_place[i] / l->pairs_in_part;
        l->learned.hz[i] = l->sum[i] > 1e-20 ? l->place[i] / l->sum[i] : 0.0;
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
    return playing;
}

bool cw_learn_step(struct cw_learn *l, const float x[CW_LEARN_STEP])
{
    bool news = false;
    if (l->stage < STAGES) {
        transform(l);
    } else if (l->stage == STAGES) {
        l->stage = IDLE;
        sum_up(l);
        l->pairs++;
        news = l->pairs == l->pairs_in_part && keep_part(l);
    }
    take(l, x);
    if (l->taken + CW_LEARN_STEP / l->thinning > 2 * N) {
        l->taken = l->stage = 0;
        memcpy(l->re[0], l->next, sizeof l->re[0]);
        memcpy(l->im[0], l->next + N, sizeof l->im[0]);
    }
    return news;
}

bool cw_learned_enough(const struct cw_learned *learned) { return learned->count >= CW_LEARN_ENOUGH; }

double cw_learned_hz(const struct cw_learned *learned, int band)
{
    const double hz = learned->hz[band];
    return hz > 0.0 && cw_learned_enough(learned) ? hz : cw_loudness_centre(band);
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

bool cw_learned_valid(const struct cw_learned *learned)
{
    if (learned->count < 0 || learned->count > CW_LEARN_PARTS || learned->at < 0 || learned->at >= CW_LEARN_PARTS) {
        return false;
    }
    for (int k = 0; k < learned->count; k++) {
        double all = 0.0;
        for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
            if (!(learned->power[i][k] >= 0.0f && learned->hz[i] >= 0.0 && learned->hz[i] < 20000.0)) {
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
