/* SPDX-License-Identifier: ISC */
#include "clip.h"

#include <math.h>
#include <sndfile.h>
#include <string.h>

#include "audio.h"
#include "message.h"

static const uint32_t SEED = 2463534242u; /* of G. Marsaglia, "Xorshift RNGs", J. Stat. Software 8(14), 2003 */

static sf_count_t file_length(void *data) { return (sf_count_t)((const struct cw_clip *)data)->bytes->count; }

static sf_count_t file_tell(void *data) { return (sf_count_t)((const struct cw_clip *)data)->at; }

static sf_count_t file_seek(sf_count_t offset, int whence, void *data)
{
    struct cw_clip *clip = data;
    sf_count_t from = whence == SEEK_CUR   ? (sf_count_t)clip->at
                      : whence == SEEK_END ? (sf_count_t)clip->bytes->count
                                           : 0;
    if (from + offset < 0) {
        return -1;
    }
    clip->at = (size_t)(from + offset);
    return (sf_count_t)clip->at;
}

static sf_count_t file_read(void *to, sf_count_t count, void *data)
{
    struct cw_clip *clip = data;
    size_t rest = clip->at < clip->bytes->count ? clip->bytes->count - clip->at : 0;
    size_t n = (size_t)count < rest ? (size_t)count : rest;
    memcpy(to, clip->bytes->data + clip->at, n);
    clip->at += n;
    return (sf_count_t)n;
}

static sf_count_t file_write(const void *from, sf_count_t count, void *data)
{
    struct cw_clip *clip = data;
    if (!cw_bytes_put(clip->bytes, clip->at, from, (size_t)count)) {
        return 0;
    }
    clip->at += (size_t)count;
    return count;
}

bool cw_clip_start(struct cw_clip *clip, struct cw_bytes *bytes, bool fine, int rate, long long frames)
{
    SF_VIRTUAL_IO memory = {file_length, file_seek, file_read, file_write, file_tell};
    SF_INFO info;
    double level = 1.0; /* the smallest file */
    memset(&info, 0, sizeof info);
    info.samplerate = rate;
    info.channels = 1;
    info.format = SF_FORMAT_FLAC | (fine ? SF_FORMAT_PCM_24 : SF_FORMAT_PCM_16);
    *clip = (struct cw_clip){.bytes = bytes, .random = SEED, .left = frames, .fine = fine};
    clip->handle = sf_open_virtual(&memory, SFM_WRITE, &info, clip);
    if (!clip->handle) {
        cw_error("the page's sound cannot be made: %s", sf_strerror(NULL));
        return false;
    }
    sf_command(clip->handle, SFC_SET_COMPRESSION_LEVEL, &level, sizeof level);
    return true;
}

/* -0.5 to 0.5. */
static double next_noise(uint32_t *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 17;
    *state ^= *state << 5;
    return (double)*state / 4294967296.0 - 0.5;
}

/* The nearest whole number of steps, of which full scale has 2^(bits - 1). */
static int to_steps(double scaled, int bits)
{
    double most = (double)(1 << (bits - 1));
    return (int)lrint(scaled > most - 1.0 ? most - 1.0 : scaled < -most ? -most : scaled);
}

/* As libsndfile takes it: in the upper bits. */
static int to_whole(struct cw_clip *clip, float sample)
{
    if (clip->fine) {
        return to_steps((double)sample * 8388608.0, 24) * (1 << 8);
    }
    double noise = next_noise(&clip->random);
    noise += next_noise(&clip->random);
    return to_steps(sample == 0.0f ? 0.0 : (double)sample * 32768.0 + noise, 16) * (1 << 16);
}

bool cw_clip_add(struct cw_clip *clip, const float *samples, size_t n)
{
    int whole[CW_AUDIO_BLOCK];
    n = clip->left < (long long)n ? (size_t)clip->left : n;
    for (size_t at = 0; at < n;) {
        size_t count = n - at < CW_AUDIO_BLOCK ? n - at : CW_AUDIO_BLOCK;
        for (size_t i = 0; i < count; i++) {
            whole[i] = to_whole(clip, samples[at + i]);
        }
        if (sf_write_int(clip->handle, whole, (sf_count_t)count) != (sf_count_t)count) {
            cw_error_memory();
            return false;
        }
        at += count;
    }
    clip->left -= (long long)n;
    return true;
}

bool cw_clip_finish(struct cw_clip *clip)
{
    SNDFILE *handle = clip->handle;
    clip->handle = NULL;
    if (handle && sf_close(handle) != 0) {
        cw_error_memory();
        return false;
    }
    return true;
}

void cw_clip_drop(struct cw_clip *clip)
{
    if (clip->handle) {
        sf_close(clip->handle);
    }
    clip->handle = NULL;
}

enum { MARKER = 4, BLOCK_HEAD = 4, STREAM_INFO = 34, MD5_AT = 18, SIZES_AT = 4, SIZES = 6, PADDING = 1, LAST = 0x80 };

/* Where the metadata ends and the frames begin. */
static size_t audio_at(const struct cw_bytes *bytes)
{
    size_t at = MARKER;
    bool last = false;
    while (!last && at + BLOCK_HEAD <= bytes->count) {
        const unsigned char *head = bytes->data + at;
        last = (head[0] & LAST) != 0;
        at += BLOCK_HEAD + ((size_t)head[1] << 16 | (size_t)head[2] << 8 | head[3]);
    }
    return at < bytes->count ? at : bytes->count;
}

size_t cw_clip_audio_bytes(const struct cw_bytes *bytes) { return bytes->count - audio_at(bytes); }

bool cw_clip_make_alike(struct cw_bytes *bytes, size_t audio)
{
    size_t from = audio_at(bytes), here = bytes->count - from, padding = audio - here;
    struct cw_bytes alike = {0};
    unsigned char head[MARKER + BLOCK_HEAD + STREAM_INFO];
    const unsigned char block[BLOCK_HEAD] = {LAST | PADDING, (unsigned char)(padding >> 16),
                                             (unsigned char)(padding >> 8), (unsigned char)padding};
    memcpy(head, bytes->data, sizeof head);
    head[MARKER] = 0; /* stream information, not the last block */
    memset(head + MARKER + BLOCK_HEAD + SIZES_AT, 0, SIZES);
    memset(head + MARKER + BLOCK_HEAD + MD5_AT, 0, STREAM_INFO - MD5_AT);
    size_t start = sizeof head + sizeof block + padding;
    bool good = cw_bytes_put(&alike, 0, head, sizeof head) && cw_bytes_put(&alike, sizeof head, block, sizeof block) &&
                cw_bytes_put(&alike, start, bytes->data + from, here);
    cw_bytes_free(good ? bytes : &alike);
    if (good) {
        *bytes = alike;
    } else {
        cw_error_memory();
    }
    return good;
}
