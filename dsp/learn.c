/* SPDX-License-Identifier: ISC */
#include "learn.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include "constants.h"
#include "lanes.h"

enum { N = CW_LEARN_POINTS, TAKEN = 2 * N, STAGES = 5 /* of radix 4 */, IDLE = STAGES + 1, BLOCK = 4 /* parts */ };

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
    }
    cw_learn_pause(l);
}

/* Samples go to the first frame (the real part), then to the second (the imaginary part). A step lies in one. */
static void take(struct cw_learn *l, const float *x)
{
    const int count = CW_LEARN_STEP / l->thinning;
    float *next = l->next + l->taken;
    const float *window = l->window + l->taken % N;
    for (int i = 0; i < count; i++) {
        next[i] = x[i * l->thinning] * window[i];
    }
    l->taken += count;
}

/* Four neighbours side by side. */
typedef float four __attribute__((vector_size(16)));

INLINE four load(const float *x)
{
    four v;
    memcpy(&v, x, sizeof v);
    return v;
}

INLINE void store(float *x, four v) { memcpy(x, &v, sizeof v); }

/* Butterflies of radix 4 of four neighbours, from the frames of one side, at `from`, to those of the other, at `to`
 * and three more places that lie so far apart. Twiddles of once, twice and three times the angle. */
INLINE void butterflies(struct cw_learn *l, int side, int from, int to, int apart, const four c[3], const four s[3])
{
    const float *re = l->re[side] + from, *im = l->im[side] + from;
    float *out_re = l->re[!side] + to, *out_im = l->im[!side] + to;
    const four ar = load(re), ai = load(im), br = load(re + N / 4), bi = load(im + N / 4);
    const four cr = load(re + N / 2), ci = load(im + N / 2), dr = load(re + 3 * N / 4), di = load(im + 3 * N / 4);
    const four sum_r = ar + cr, sum_i = ai + ci, less_r = ar - cr, less_i = ai - ci;
    const four other_r = br + dr, other_i = bi + di, turned_r = di - bi, turned_i = br - dr;
    const four one_r = less_r - turned_r, one_i = less_i - turned_i;
    const four two_r = sum_r - other_r, two_i = sum_i - other_i;
    const four three_r = less_r + turned_r, three_i = less_i + turned_i;
    store(out_re, sum_r + other_r);
    store(out_im, sum_i + other_i);
    store(out_re + apart, one_r * c[0] + one_i * s[0]);
    store(out_im + apart, one_i * c[0] - one_r * s[0]);
    store(out_re + 2 * apart, two_r * c[1] + two_i * s[1]);
    store(out_im + 2 * apart, two_i * c[1] - two_r * s[1]);
    store(out_re + 3 * apart, three_r * c[2] + three_i * s[2]);
    store(out_im + 3 * apart, three_i * c[2] - three_r * s[2]);
}

/* Four rows of four become columns. */
INLINE void turn(float *x)
{
    const four a = load(x), b = load(x + 4), c = load(x + 8), d = load(x + 12);
    const four ab = __builtin_shufflevector(a, b, 0, 4, 1, 5), ba = __builtin_shufflevector(a, b, 2, 6, 3, 7);
    const four cd = __builtin_shufflevector(c, d, 0, 4, 1, 5), dc = __builtin_shufflevector(c, d, 2, 6, 3, 7);
    store(x, __builtin_shufflevector(ab, cd, 0, 1, 4, 5));
    store(x + 4, __builtin_shufflevector(ab, cd, 2, 3, 6, 7));
    store(x + 8, __builtin_shufflevector(ba, dc, 0, 1, 4, 5));
    store(x + 12, __builtin_shufflevector(ba, dc, 2, 3, 6, 7));
}

INLINE four all(float x) { return (four){x, x, x, x}; }

/* The first stage: no two butterflies share their twiddles, and what they make lies side by side. So each makes
 * four rows first, which are then turned into columns. */
static void first_stage(struct cw_learn *l)
{
    for (int p = 0; p < N / 4; p += 4) {
        const four c[3] = {load(l->cosine + p), load(l->twice[0] + p), load(l->thrice[0] + p)};
        const four s[3] = {load(l->sine + p), load(l->twice[1] + p), load(l->thrice[1] + p)};
        butterflies(l, 0, p, 4 * p, 4, c, s);
        turn(l->re[1] + 4 * p);
        turn(l->im[1] + 4 * p);
    }
}

/* A later stage of the transform in self-sorting order (T. G. Stockham, 1966): `count` neighbours share theirs. */
static void later_stage(struct cw_learn *l)
{
    const int count = 1 << (2 * l->stage), side = l->stage & 1;
    for (int at = 0; at < N / 4; at += count) {
        const four c[3] = {all(l->cosine[at]), all(l->cosine[2 * at]), all(l->cosine[3 * at])};
        const four s[3] = {all(l->sine[at]), all(l->sine[2 * at]), all(l->sine[3 * at])};
        for (int q = 0; q < count; q += 4) {
            butterflies(l, side, at + q, 4 * at + q, count, c, s);
        }
    }
}

static void transform(struct cw_learn *l)
{
    if (l->stage == 0) {
        first_stage(l);
    } else {
        later_stage(l);
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
        four sum = all(0.0f), place = all(0.0f);
        int k = l->first[i];
        for (; k + 4 <= l->first[i + 1]; k += 4) {
            const four p = load(power + k), bin = {(float)k, (float)(k + 1), (float)(k + 2), (float)(k + 3)};
            sum += p;
            place += p * bin;
        }
        for (; k < l->first[i + 1]; k++) {
            sum[0] += power[k];
            place[0] += power[k] * (float)k;
        }
        l->part[i] += (double)(sum[0] + sum[1] + sum[2] + sum[3]);
        l->part_place[i] += (double)((place[0] + place[1] + place[2] + place[3]) * l->hz_step);
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
    if (l->taken == TAKEN) {
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
    const bool full = learned->count == CW_LEARN_PARTS;
    if (learned->count < 0 || learned->count > CW_LEARN_PARTS || learned->at < 0 || learned->at >= CW_LEARN_PARTS ||
        (!full && learned->at != learned->count)) {
        return false;
    }
    for (int i = 0; i < CW_LOUDNESS_BANDS; i++) {
        if (!(learned->hz[i] >= 0.0 && learned->hz[i] < 20000.0)) {
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
