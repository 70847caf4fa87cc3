/* SPDX-License-Identifier: ISC */
/** \file audio.h
 * Audio files, read and written in blocks, one channel.
 *
 * Read: WAV (RIFF, RF64, Wave64), AIFF and FLAC; 8 to 32-bit whole numbers or float; 8 to 384 kHz.
 * Written: WAV, 24-bit or 32-bit float; RF64 where it would pass 4 GB.
 * Every failure is reported in one line that names the file.
 */
#ifndef CW_AUDIO_H
#define CW_AUDIO_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "constants.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Frames that a caller should handle at a time. */
enum { CW_AUDIO_BLOCK = 4096 };

/** A file being read. Zeroed is closed. */
struct cw_audio_in {
    const char *path;
    void *handle;     /**< of libsndfile */
    float *frame;     /**< a block of all channels */
    int rate;         /**< Hz */
    int channels;     /**< in the file */
    int channel;      /**< the one that is read, from 1 */
    int bits;         /**< of a sample; 0 for float */
    long long frames; /**< as the file claims; -1 where it does not say */
    long long at;     /**< frames read so far */
};

/** Open a file for reading.
 * \param path    must outlive the reader
 * \param channel 1 or above; 0 where the file must have one channel only */
bool cw_audio_open(struct cw_audio_in *in, const char *path, int channel);

/** Read up to CW_AUDIO_BLOCK samples of the channel.
 * \return samples read, 0 at the end, -1 on failure: a file cut short, a sample that is no number, or that is beyond
 * 1e10 of full scale. */
long cw_audio_read(struct cw_audio_in *in, float *out);

void cw_audio_close(struct cw_audio_in *in);

/** A WAV file being written. Zeroed is closed. */
struct cw_audio_out {
    const char *path;
    void *handle;
    bool is_float;
    int *integer; /**< a block of 24-bit samples */
};

/** Begin a file at \p path, replacing what is there.
 * \param path   must outlive the writer
 * \param frames how many are expected; decides the kind of header only */
bool cw_audio_create(struct cw_audio_out *out, const char *path, int rate, bool is_float, long long frames);

/** Likewise a file of two channels and 32-bit float, for samples of both in turn. */
bool cw_audio_create_stereo(struct cw_audio_out *out, const char *path, int rate, long long frames);

/** Write \p n samples, any number; of two channels an even one. A 24-bit file holds -1 to 1 - 2^-23; what is beyond is
 * cut off, so the caller lowers it first. A 24-bit recording read by cw_audio_read() is written bit for bit. */
bool cw_audio_write(struct cw_audio_out *out, const float *samples, size_t n);

/** Complete the file. \return false where it could not be completed. */
bool cw_audio_finish(struct cw_audio_out *out);

/** Close without a word, complete or not; harmless when closed. */
void cw_audio_drop(struct cw_audio_out *out);

#ifdef __cplusplus
}
#endif
#endif
