/* SPDX-License-Identifier: ISC */
/* Recordings: whatever the bytes, one complaint or finite samples, as many as were promised, and the
 * same when read a second time. */
#include <math.h>
#include <string.h>

#include "audio.h"
#include "constants.h"
#include "fuzz.h"

static long long read_all(struct cw_audio_in *in, double *sum)
{
    float block[CW_AUDIO_BLOCK];
    long n;
    *sum = 0.0;
    while ((n = cw_audio_read(in, block)) > 0) {
        FUZZ_REQUIRE(n <= CW_AUDIO_BLOCK);
        for (long i = 0; i < n; i++) {
            FUZZ_REQUIRE(isfinite(block[i]));
            *sum += (double)block[i];
        }
        if (in->at > 1000000) { /* a short file may promise, and FLAC deliver, very many zeros */
            return -1;
        }
    }
    return n < 0 ? -1 : in->at;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size < 1) {
        return 0;
    }
    struct cw_audio_in in;
    if (!cw_audio_open(&in, fuzz_file(data + 1, size - 1), data[0] % 4)) {
        return 0;
    }
    FUZZ_REQUIRE(in.rate >= CW_RATE_MIN && in.rate <= CW_RATE_MAX);
    FUZZ_REQUIRE(in.channel >= 1 && in.channel <= in.channels);
    double sum;
    long long count = read_all(&in, &sum);
    if (count >= 0) {
        FUZZ_REQUIRE(count > 0 && (in.frames < 0 || count == in.frames));
    }
    cw_audio_close(&in);
    return 0;
}
