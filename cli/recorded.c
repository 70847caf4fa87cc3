/* SPDX-License-Identifier: ISC */
#include "recorded.h"

#include <stdlib.h>

#include "audio.h"
#include "message.h"
#include "output.h"
#include "sweep.h"

void cw_recorded_free(struct cw_recorded *held)
{
    free(held->channel[0]);
    free(held->channel[1]);
    *held = (struct cw_recorded){0};
}

/* Longest take, seconds: a sweep of 30 s and some handling. */
static const double LONGEST = 120.0;

static bool read_channel(const char *path, int channel, struct cw_recorded *held)
{
    struct cw_audio_in in = {0};
    if (!cw_audio_open(&in, path, channel)) {
        return false;
    }
    if (in.channels != 2) {
        cw_error_at(path, 0, "expected two channels (1 the output, 2 the node), found %d", in.channels);
        cw_audio_close(&in);
        return false;
    }
    if (in.bits > 0 && in.bits < 16) {
        cw_error_at(path, 0, "expected 16 bits a sample or more, found %d: record with 24 bits", in.bits);
        cw_audio_close(&in);
        return false;
    }
    size_t most = (size_t)(LONGEST * in.rate), room = 0, frames = 0;
    float *samples = NULL;
    long got = 1;
    while (got > 0 && frames <= most) {
        if (frames + CW_AUDIO_BLOCK > room) {
            room = room ? 2 * room : 64 * CW_AUDIO_BLOCK;
            float *more = realloc(samples, room * sizeof *samples);
            if (!more) {
                cw_error_memory();
                got = -1;
                break;
            }
            samples = more;
        }
        got = cw_audio_read(&in, samples + frames);
        frames += got > 0 ? (size_t)got : 0;
    }
    if (got > 0) {
        cw_error_at(path, 0, "expected a take of at most %.0f s, found a longer one", LONGEST);
    }
    if (got == 0 && channel > 1 && frames != held->frames) { /* it is still being recorded */
        cw_error_at(path, 0, "expected %zu samples in channel %d too, found %zu: changed while it was read",
                    held->frames, channel, frames);
        got = -1;
    }
    held->channel[channel - 1] = samples;
    held->frames = frames;
    held->rate = in.rate;
    cw_audio_close(&in);
    return got == 0;
}

bool cw_recorded_read(const char *path, struct cw_recorded *held)
{
    return read_channel(path, 1, held) && read_channel(path, 2, held);
}

static bool write_blocks(struct cw_audio_out *out, const struct cw_recorded *held)
{
    float block[CW_AUDIO_BLOCK];
    for (size_t i = 0; i < held->frames; i++) {
        size_t at = 2 * i % CW_AUDIO_BLOCK;
        block[at] = held->channel[0][i];
        block[at + 1] = held->channel[1][i];
        bool full = at + 2 == CW_AUDIO_BLOCK || i + 1 == held->frames;
        if (full && !cw_audio_write(out, block, at + 2)) {
            return false;
        }
    }
    return true;
}

bool cw_recorded_write(const char *path, const struct cw_recorded *held, bool force)
{
    struct cw_output output;
    struct cw_audio_out out = {0};
    if (!cw_output_plain(path, "a take") || !cw_output_open(&output, path, force)) {
        return false;
    }
    if (!cw_audio_create_stereo(&out, cw_output_take_name(&output), (int)held->rate, (long long)held->frames) ||
        !write_blocks(&out, held) || !cw_audio_finish(&out)) {
        cw_audio_drop(&out);
        cw_output_abandon(&output);
        return false;
    }
    return cw_output_commit(&output);
}

static struct cw_recorded_take take_of(const struct cw_recorded *held)
{
    return (struct cw_recorded_take){held->channel[0], held->channel[1], held->frames, held->rate};
}

bool cw_recorded_ratio(const char *path, double seconds, const struct cw_recorded *silence, struct cw_ratio *ratio)
{
    struct cw_recorded held = {0};
    struct cw_sweep sweep;
    cw_sweep_init(&sweep);
    sweep.seconds = seconds;
    bool good = cw_recorded_read(path, &held);
    if (good && silence && silence->rate != held.rate) {
        cw_error_at(path, 0, "expected the rate of the silent take, %.0f Hz, found %.0f Hz", silence->rate, held.rate);
        good = false;
    }
    if (good && silence && silence->frames + silence->frames / 8 < held.frames) {
        cw_error_at(path, 0, "expected a silent take about as long as this one, %.1f s, found %.1f s",
                    (double)held.frames / held.rate, (double)silence->frames / silence->rate);
        good = false;
    }
    if (good) {
        struct cw_recorded_take take = take_of(&held),
                                quiet = silence ? take_of(silence) : (struct cw_recorded_take){0};
        enum cw_take_fault fault = cw_ratio_of(&sweep, &take, silence ? &quiet : NULL, ratio);
        if (fault != CW_TAKE_GOOD) {
            cw_error_at(path, 0, "%s", cw_take_fault_words(fault));
        }
        good = fault == CW_TAKE_GOOD;
    }
    cw_recorded_free(&held);
    return good;
}
