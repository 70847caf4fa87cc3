#include "split_take.h"

#include <kiss_fftr.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "audio.h"
#include "loudness.h"
#include "message.h"
#include "progress.h"

/* Frames of 100 ms under a Hann window, 25 ms apart: four make up a segment of 100 ms, and four
 * segments a block of BS.1770. Windows that overlap by three quarters weigh every sample alike. */
enum { FRAMES_A_SECOND = 40, FRAMES_A_SEGMENT = 4, SEGMENTS_A_BLOCK = 4 };

static const double LOWEST_HZ = 15.0, HIGHEST_HZ = 22000.0, BANDS_AN_OCTAVE = 24.0;
static const double TAU = 6.28318530717958647692;

/* Analysis under way. */
struct analysis {
    struct cw_take *take;
    struct cw_audio_in in;
    size_t length;       /* samples of a frame, even */
    kiss_fftr_cfg fft;
    float *window, *frame;
    kiss_fft_cpx *bins;
    int *band_of;        /* of each bin, -1 for none */
    double *weight;      /* of each bin: K-weighting over the recorded-through response, and scale */
    float *samples;      /* of the file, from sample `base` on */
    size_t held, base;
    bool ended;
    size_t room;         /* segments that fit into take->power */
};

static void drop(struct analysis *a)
{
    cw_audio_close(&a->in);
    kiss_fftr_free(a->fft);
    free(a->window);
    free(a->frame);
    free(a->bins);
    free(a->band_of);
    free(a->weight);
    free(a->samples);
}

/* Bins to bands, and the frequency of each band. */
static void lay_out_bands(struct analysis *a)
{
    struct cw_take *take = a->take;
    double step = a->in.rate / (double)a->length;
    double edge = 0.0;
    int members = 0;
    take->bands = 0;
    for (size_t k = 0; k <= a->length / 2; k++) {
        double hz = (double)k * step;
        a->band_of[k] = -1;
        if (hz < LOWEST_HZ || hz > HIGHEST_HZ) {
            continue;
        }
        if (hz >= edge && take->bands < CW_TAKE_BANDS) {
            edge = hz * exp2(1.0 / BANDS_AN_OCTAVE);
            take->hz[take->bands++] = 0.0;
            members = 0;
        }
        int band = take->bands - 1;
        a->band_of[k] = band;
        take->hz[band] = (take->hz[band] * members + hz) / (members + 1);
        members++;
    }
}

/* Mean square of a frame = sum over bins of 2 |X|^2 / (length * sum of window^2). */
static void lay_out_weights(struct analysis *a, const struct cw_transfer *recorded)
{
    double square = 0.0, step = a->in.rate / (double)a->length;
    for (size_t i = 0; i < a->length; i++) {
        a->window[i] = (float)(0.5 - 0.5 * cos(TAU * (double)i / (double)a->length));
        square += (double)a->window[i] * (double)a->window[i];
    }
    for (size_t k = 0; k <= a->length / 2; k++) {
        double hz = (double)k * step, through = recorded ? cw_transfer_power(recorded, hz) : 1.0;
        a->weight[k] = a->band_of[k] < 0 || !(through > 0.0)
                           ? 0.0
                           : 2.0 * cw_loudness_k_power(hz) / ((double)a->length * square * through);
    }
}

static bool prepare(struct analysis *a, const struct cw_transfer *recorded)
{
    size_t n = a->length = 2 * (size_t)((double)a->in.rate * 0.05 + 0.5);
    a->fft = kiss_fftr_alloc((int)n, 0, NULL, NULL);
    a->window = malloc(n * sizeof *a->window);
    a->frame = malloc(n * sizeof *a->frame);
    a->bins = malloc((n / 2 + 1) * sizeof *a->bins);
    a->band_of = malloc((n / 2 + 1) * sizeof *a->band_of);
    a->weight = malloc((n / 2 + 1) * sizeof *a->weight);
    a->samples = malloc((n + 2 * CW_AUDIO_BLOCK) * sizeof *a->samples);
    if (!a->fft || !a->window || !a->frame || !a->bins || !a->band_of || !a->weight || !a->samples) {
        cw_error_memory();
        return false;
    }
    lay_out_bands(a);
    lay_out_weights(a, recorded);
    return true;
}

/* Read on until sample `end` is held or the file has ended; forget what lies before `start`. */
static bool hold(struct analysis *a, size_t start, size_t end)
{
    size_t gone = start > a->base ? start - a->base : 0;
    gone = gone < a->held ? gone : a->held;
    memmove(a->samples, a->samples + gone, (a->held - gone) * sizeof *a->samples);
    a->held -= gone;
    a->base += gone;
    while (!a->ended && a->base + a->held < end) {
        long got = cw_audio_read(&a->in, a->samples + a->held);
        if (got < 0) {
            return false;
        }
        a->held += (size_t)got;
        a->ended = got == 0;
    }
    return true;
}

/* Add the bands of the frame that begins at a sample; silence stands around the recording. */
static void add_frame(struct analysis *a, long long start, float *row)
{
    for (size_t i = 0; i < a->length; i++) {
        long long at = start + (long long)i - (long long)a->base;
        bool inside = at >= 0 && at < (long long)a->held;
        a->frame[i] = inside ? a->samples[at] * a->window[i] : 0.0f;
    }
    kiss_fftr(a->fft, a->frame, a->bins);
    for (size_t k = 0; k <= a->length / 2; k++) {
        if (a->band_of[k] >= 0) {
            double re = (double)a->bins[k].r, im = (double)a->bins[k].i;
            row[a->band_of[k]] += (float)(a->weight[k] * (re * re + im * im) / FRAMES_A_SEGMENT);
        }
    }
}

static float *next_row(struct analysis *a)
{
    struct cw_take *take = a->take;
    size_t bands = (size_t)take->bands;
    if (take->segments == a->room) {
        size_t room = a->room ? 2 * a->room : 256;
        float *more = realloc(take->power, room * bands * sizeof *more);
        if (!more) {
            cw_error_memory();
            return NULL;
        }
        take->power = more;
        a->room = room;
    }
    float *row = take->power + take->segments * bands;
    memset(row, 0, bands * sizeof *row);
    return row;
}

/* \return 1 where a whole segment was added, 0 at the end, -1 on failure */
static int add_segment(struct analysis *a)
{
    double rate = a->in.rate;
    size_t first = a->take->segments * FRAMES_A_SEGMENT;
    size_t end = (size_t)((double)(first + FRAMES_A_SEGMENT) * rate / FRAMES_A_SECOND + 0.5);
    float *row = next_row(a);
    if (!row) {
        return -1;
    }
    for (int i = 0; i < FRAMES_A_SEGMENT; i++) {
        double centre = ((double)first + i + 0.5) * rate / FRAMES_A_SECOND;
        long long start = (long long)floor(centre + 0.5) - (long long)a->length / 2;
        if (!hold(a, start > 0 ? (size_t)start : 0, (size_t)(start + (long long)a->length))) {
            return -1;
        }
        add_frame(a, start, row);
    }
    if (a->ended && a->base + a->held < end) {
        return 0; /* not whole: BS.1770 leaves it out */
    }
    a->take->segments++;
    if (a->in.frames > 0) {
        cw_progress("Measuring the recording", (double)end / (double)a->in.frames);
    }
    return 1;
}

static bool analyse(struct analysis *a, const char *path, const struct cw_transfer *recorded)
{
    if (!prepare(a, recorded)) {
        return false;
    }
    int more;
    while ((more = add_segment(a)) > 0) {
    }
    cw_progress_end();
    if (more < 0) {
        return false;
    }
    if (a->take->segments < SEGMENTS_A_BLOCK) {
        cw_error_at(path, 0, "expected at least 0.4 s of sound, found less");
        return false;
    }
    a->take->block = malloc(a->take->segments * sizeof *a->take->block);
    if (!a->take->block) {
        cw_error_memory();
    }
    return a->take->block != NULL;
}

bool cw_take_load(struct cw_take *take, const char *path, int channel, const struct cw_transfer *recorded)
{
    struct analysis a = {.take = take};
    memset(take, 0, sizeof *take);
    bool good = cw_audio_open(&a.in, path, channel) && analyse(&a, path, recorded);
    drop(&a);
    if (!good) {
        cw_take_free(take);
    }
    return good;
}

void cw_take_free(struct cw_take *take)
{
    free(take->power);
    free(take->block);
    memset(take, 0, sizeof *take);
}

/* Mean of the blocks that are at or above a mean square; 0 where there are none. */
static double mean_above(const double *block, size_t count, double gate)
{
    double sum = 0.0;
    size_t n = 0;
    for (size_t i = 0; i < count; i++) {
        if (block[i] >= gate) {
            sum += block[i];
            n++;
        }
    }
    return n ? sum / (double)n : 0.0;
}

double cw_take_loudness(const struct cw_take *take, const struct cw_transfer *h)
{
    double through[CW_TAKE_BANDS];
    for (int b = 0; b < take->bands; b++) {
        through[b] = cw_transfer_power(h, take->hz[b]);
    }
    const float *row = take->power;
    for (size_t s = 0; s < take->segments; s++, row += take->bands) {
        double sum = 0.0;
        for (int b = 0; b < take->bands; b++) {
            sum += through[b] * (double)row[b];
        }
        take->block[s] = sum;
    }
    size_t blocks = take->segments - (SEGMENTS_A_BLOCK - 1);
    for (size_t i = 0; i < blocks; i++) {
        double sum = 0.0;
        for (int k = 0; k < SEGMENTS_A_BLOCK; k++) {
            sum += take->block[i + (size_t)k];
        }
        take->block[i] = sum / SEGMENTS_A_BLOCK;
    }
    double gate = pow(10.0, (-70.0 + 0.691) / 10.0);
    double relative = 0.1 * mean_above(take->block, blocks, gate);
    double mean = mean_above(take->block, blocks, fmax(gate, relative));
    return mean > 0.0 ? -0.691 + 10.0 * log10(mean) : -HUGE_VAL;
}
