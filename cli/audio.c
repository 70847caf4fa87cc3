/* SPDX-License-Identifier: ISC */
#include "audio.h"

#include <errno.h>
#include <math.h>
#include <sndfile.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "claims.h"
#include "message.h"

/* What a program writes as the size of a WAV file's audio when it cannot know it (a pipe). */
static const uint32_t UNKNOWN_SIZE = 0xffffffffu;

/* Of full scale: whole numbers of 32 bits that were written as float are below it; of more, powers overflow. */
static const float LOUDEST = 1e10f;

/* More chunks than any sound file has: a file of zeros is not walked to its end. */
enum { CHUNKS_MAX = 10000 };

static uint32_t word_at(const unsigned char *b, bool big_endian)
{
    return big_endian ? (uint32_t)b[0] << 24 | (uint32_t)b[1] << 16 | (uint32_t)b[2] << 8 | b[3]
                      : (uint32_t)b[3] << 24 | (uint32_t)b[2] << 16 | (uint32_t)b[1] << 8 | b[0];
}

/* Walk the chunks of a RIFF or AIFF file to its audio. libsndfile quietly takes what is there of a
 * file that was cut short; a person wants to know. */
static bool audio_chunk_complete(FILE *file, const char *path, long long file_size, bool aiff)
{
    const char *wanted = aiff ? "SSND" : "data";
    long long at = 12;
    unsigned char head[8];
    for (int i = 0; i < CHUNKS_MAX && fseeko(file, (off_t)at, SEEK_SET) == 0 && fread(head, 1, 8, file) == 8; i++) {
        uint32_t size = word_at(head + 4, aiff);
        if (memcmp(head, wanted, 4) == 0) {
            long long there = file_size - at - 8;
            if (size != UNKNOWN_SIZE && (long long)size > there) {
                cw_error_at(path, 0, "cut short: expected %lu bytes of audio, found %lld", (unsigned long)size, there);
                return false;
            }
            return true;
        }
        at += 8 + (long long)size + (size & 1);
    }
    return true; /* libsndfile says what is wrong with it */
}

/* Is all of the audio there that the file claims to hold? \param known it begins like a sound file */
static bool complete(const char *path, long long size, bool *known)
{
    FILE *file = fopen(path, "rb");
    if (!file) {
        cw_error_at(path, 0, "cannot read: %s", strerror(errno));
        return false;
    }
    unsigned char head[12];
    bool good = true;
    *known = false;
    if (fread(head, 1, sizeof head, file) == sizeof head) {
        bool aiff = memcmp(head, "FORM", 4) == 0, riff = memcmp(head, "RIFF", 4) == 0;
        *known = aiff || riff || memcmp(head, "RF64", 4) == 0 || memcmp(head, "fLaC", 4) == 0;
        if (aiff || riff) {
            good = audio_chunk_complete(file, path, size, aiff);
        }
    }
    fclose(file);
    return good;
}

static bool regular(const char *path, long long *size)
{
    struct stat status;
    if (stat(path, &status) != 0) {
        cw_error_at(path, 0, "cannot read: %s", strerror(errno));
        return false;
    }
    if (!S_ISREG(status.st_mode) || status.st_size == 0) {
        cw_error_at(path, 0, "expected an audio file, found %s",
                    S_ISDIR(status.st_mode)   ? "a directory"
                    : S_ISREG(status.st_mode) ? "an empty file"
                                              : "a device or pipe");
        return false;
    }
    *size = (long long)status.st_size;
    return true;
}

/* Bits of a sample; 0 for float, -1 for a kind that is not read. */
static int bits_of(int format)
{
    switch (format & SF_FORMAT_SUBMASK) {
    case SF_FORMAT_PCM_S8:
    case SF_FORMAT_PCM_U8: return 8;
    case SF_FORMAT_PCM_16: return 16;
    case SF_FORMAT_PCM_24: return 24;
    case SF_FORMAT_PCM_32: return 32;
    case SF_FORMAT_FLOAT:
    case SF_FORMAT_DOUBLE: return 0;
    default: return -1;
    }
}

static bool container_known(int format)
{
    switch (format & SF_FORMAT_TYPEMASK) {
    case SF_FORMAT_WAV:
    case SF_FORMAT_WAVEX:
    case SF_FORMAT_RF64:
    case SF_FORMAT_W64:
    case SF_FORMAT_AIFF:
    case SF_FORMAT_FLAC: return true;
    default: return false;
    }
}

static bool acceptable(const char *path, const SF_INFO *info, int channel)
{
    if (!container_known(info->format) || bits_of(info->format) < 0) {
        cw_error_at(path, 0, "expected WAV, FLAC or AIFF with whole-number or float samples, found another kind");
    } else if (info->samplerate < CW_RATE_MIN || info->samplerate > CW_RATE_MAX) {
        cw_error_at(path, 0, "expected a sample rate from %d to %d Hz, found %d", CW_RATE_MIN, CW_RATE_MAX,
                    info->samplerate);
    } else if (channel == 0 && info->channels != 1) {
        cw_error_at(path, 0, "expected a mono recording, found %d channels (--channel chooses one)", info->channels);
    } else if (channel > info->channels && info->channels == 1) {
        cw_error_at(path, 0, "expected channel 1, the only one, found %d", channel);
    } else if (channel > info->channels) {
        cw_error_at(path, 0, "expected a channel from 1 to %d, found %d", info->channels, channel);
    } else if (info->frames == 0) {
        cw_error_at(path, 0, "expected a recording, found no samples in it");
    } else {
        return true;
    }
    return false;
}

bool cw_audio_open(struct cw_audio_in *in, const char *path, int channel)
{
    memset(in, 0, sizeof *in);
    long long size;
    bool known;
    if (!regular(path, &size) || !complete(path, size, &known) || !cw_claim_read(path)) {
        return false;
    }
    SF_INFO info;
    memset(&info, 0, sizeof info);
    SNDFILE *handle = sf_open(path, SFM_READ, &info);
    if (!handle) {
        cw_error_at(path, 0, "expected WAV, FLAC or AIFF, found %s",
                    known ? "a header that makes no sense or is cut short" : "another kind of file");
        return false;
    }
    in->path = path;
    in->handle = handle;
    if (!acceptable(path, &info, channel)) {
        cw_audio_close(in);
        return false;
    }
    in->frame = malloc(sizeof(float) * CW_AUDIO_BLOCK * (size_t)info.channels);
    if (!in->frame) {
        cw_error_memory();
        cw_audio_close(in);
        return false;
    }
    in->rate = info.samplerate;
    in->channels = info.channels;
    in->channel = channel ? channel : 1;
    in->bits = bits_of(info.format);
    in->frames = info.frames == SF_COUNT_MAX ? -1 : (long long)info.frames;
    return true;
}

static bool take_channel(struct cw_audio_in *in, float *out, long n)
{
    for (long i = 0; i < n; i++) {
        out[i] = in->frame[i * in->channels + in->channel - 1];
        if (!isfinite(out[i])) {
            cw_error_at(in->path, 0, "expected numbers, found %s at sample %lld", isnan(out[i]) ? "NaN" : "infinity",
                        in->at + i + 1);
            return false;
        }
        if (fabsf(out[i]) > LOUDEST) {
            cw_error_at(in->path, 0, "expected samples up to %g times full scale, found %g at sample %lld",
                        (double)LOUDEST, (double)out[i], in->at + i + 1);
            return false;
        }
    }
    return true;
}

long cw_audio_read(struct cw_audio_in *in, float *out)
{
    long n = (long)sf_readf_float(in->handle, in->frame, CW_AUDIO_BLOCK);
    if (n <= 0) {
        if (in->at == 0 || sf_error(in->handle) != SF_ERR_NO_ERROR || (in->frames >= 0 && in->at < in->frames)) {
            cw_error_at(in->path, 0, "cut short or damaged: expected %lld samples, found %lld", in->frames, in->at);
            return -1;
        }
        return 0;
    }
    if (!take_channel(in, out, n)) {
        return -1;
    }
    in->at += n;
    return n;
}

void cw_audio_close(struct cw_audio_in *in)
{
    if (in->handle) {
        sf_close(in->handle);
    }
    free(in->frame);
    memset(in, 0, sizeof *in);
}

static bool create(struct cw_audio_out *out, const char *path, int rate, int channels, bool is_float, long long frames)
{
    memset(out, 0, sizeof *out);
    const long long limit = 4000000000LL;
    SF_INFO info;
    memset(&info, 0, sizeof info);
    info.samplerate = rate;
    info.channels = channels;
    info.format = (frames * channels * (is_float ? 4 : 3) > limit ? SF_FORMAT_RF64 : SF_FORMAT_WAV) |
                  (is_float ? SF_FORMAT_FLOAT : SF_FORMAT_PCM_24);
    out->path = path;
    out->is_float = is_float;
    out->integer = malloc(sizeof *out->integer * CW_AUDIO_BLOCK);
    out->handle = out->integer ? sf_open(path, SFM_WRITE, &info) : NULL;
    if (!out->handle) {
        cw_error_at(path, 0, "cannot write: %s", out->integer ? sf_strerror(NULL) : "out of memory");
        cw_audio_drop(out);
        return false;
    }
    /* The peak chunk holds the time of day: two renders would differ. */
    sf_command(out->handle, SFC_SET_ADD_PEAK_CHUNK, NULL, SF_FALSE);
    return true;
}

bool cw_audio_create(struct cw_audio_out *out, const char *path, int rate, bool is_float, long long frames)
{
    return create(out, path, rate, 1, is_float, frames);
}

bool cw_audio_create_stereo(struct cw_audio_out *out, const char *path, int rate, long long frames)
{
    return create(out, path, rate, 2, true, frames);
}

/* 24 bits at the top of 32, as libsndfile wants them; scaled as it scales when reading. */
static int to_24_bits(float sample)
{
    const double least = -8388608.0, most = 8388607.0;
    double scaled = (double)sample * 8388608.0;
    scaled = scaled > most    ? most
             : scaled > least ? scaled
                              : least; /* a call of fmin() would cost more than all else */
    return (int)lrint(scaled) * 256;
}

static bool write_block(struct cw_audio_out *out, const float *samples, size_t n)
{
    sf_count_t written;
    if (out->is_float) {
        written = sf_write_float(out->handle, samples, (sf_count_t)n);
    } else {
        for (size_t i = 0; i < n; i++) {
            out->integer[i] = to_24_bits(samples[i]);
        }
        written = sf_write_int(out->handle, out->integer, (sf_count_t)n);
    }
    if (written != (sf_count_t)n) {
        cw_error_at(out->path, 0, "cannot write: %s", errno ? strerror(errno) : sf_strerror(out->handle));
        return false;
    }
    return true;
}

bool cw_audio_write(struct cw_audio_out *out, const float *samples, size_t n)
{
    errno = 0;
    for (size_t at = 0; at < n; at += CW_AUDIO_BLOCK) {
        size_t rest = n - at;
        if (!write_block(out, samples + at, rest < CW_AUDIO_BLOCK ? rest : CW_AUDIO_BLOCK)) {
            return false;
        }
    }
    return true;
}

bool cw_audio_finish(struct cw_audio_out *out)
{
    SNDFILE *handle = out->handle;
    out->handle = NULL;
    bool good = handle && sf_close(handle) == 0;
    if (!good) {
        cw_error_at(out->path, 0, "cannot write to the end of the file");
    }
    cw_audio_drop(out);
    return good;
}

void cw_audio_drop(struct cw_audio_out *out)
{
    if (out->handle) {
        sf_close(out->handle);
    }
    free(out->integer);
    memset(out, 0, sizeof *out);
}
