/* SPDX-License-Identifier: ISC */
#include "bytes.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

static bool make_room(struct cw_bytes *bytes, size_t wanted)
{
    size_t room = bytes->room ? bytes->room : 4096;
    if (wanted <= bytes->room) {
        return true;
    }
    while (room < wanted) {
        room += room / 2;
    }
    unsigned char *more = realloc(bytes->data, room);
    if (!more) {
        return false;
    }
    bytes->data = more;
    bytes->room = room;
    return true;
}

bool cw_bytes_put(struct cw_bytes *bytes, size_t at, const void *from, size_t count)
{
    if (count > SIZE_MAX / 4 || at > SIZE_MAX / 4 || !make_room(bytes, at + count)) {
        return false;
    }
    if (at > bytes->count) {
        memset(bytes->data + bytes->count, 0, at - bytes->count);
    }
    if (count > 0) {
        memcpy(bytes->data + at, from, count);
    }
    bytes->count = at + count > bytes->count ? at + count : bytes->count;
    return true;
}

void cw_bytes_free(struct cw_bytes *bytes)
{
    free(bytes->data);
    memset(bytes, 0, sizeof *bytes);
}

void cw_base64_print(FILE *stream, const void *bytes, size_t count)
{
    static const char sign[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    const unsigned char *b = bytes;
    for (size_t i = 0; i < count; i += 3) {
        size_t there = count - i;
        unsigned long word = (unsigned long)b[i] << 16 | (there > 1 ? (unsigned long)b[i + 1] << 8 : 0) |
                             (there > 2 ? (unsigned long)b[i + 2] : 0);
        char four[4] = {sign[word >> 18], sign[word >> 12 & 63], there > 1 ? sign[word >> 6 & 63] : '=',
                        there > 2 ? sign[word & 63] : '='};
        fwrite(four, 1, sizeof four, stream);
    }
}
