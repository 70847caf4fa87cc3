/* SPDX-License-Identifier: ISC */
#include "zip.h"

#include <string.h>

uint32_t cw_crc32(const void *bytes, size_t count)
{
    const unsigned char *b = bytes;
    uint32_t crc = 0xffffffffu;
    for (size_t i = 0; i < count; i++) {
        crc ^= b[i];
        for (int bit = 0; bit < 8; bit++) {
            crc = crc >> 1 ^ (crc & 1u ? 0xedb88320u : 0u);
        }
    }
    return ~crc;
}

/* Lowest byte first. */
static void put(FILE *stream, uint32_t value, int bytes)
{
    for (int i = 0; i < bytes; i++) {
        fputc((int)(value >> (8 * i) & 255u), stream);
    }
}

/* What both headers of a file share: version needed, flags (UTF-8 name), stored, no time, 1 January 1980. */
static void put_common(FILE *stream, uint32_t crc, uint32_t size, uint32_t name)
{
    put(stream, 10, 2);
    put(stream, 0x800, 2);
    put(stream, 0, 2);
    put(stream, 0, 2);
    put(stream, 0x21, 2);
    put(stream, crc, 4);
    put(stream, size, 4);
    put(stream, size, 4);
    put(stream, name, 2);
    put(stream, 0, 2);
}

void cw_zip_print(FILE *stream, const char *name, const void *bytes, size_t count)
{
    uint32_t crc = cw_crc32(bytes, count), size = (uint32_t)count, length = (uint32_t)strlen(name);
    put(stream, 0x04034b50u, 4); /* the file */
    put_common(stream, crc, size, length);
    fputs(name, stream);
    fwrite(bytes, 1, count, stream);
    put(stream, 0x02014b50u, 4); /* the directory */
    put(stream, 20, 2);
    put_common(stream, crc, size, length);
    put(stream, 0, 2); /* comment */
    put(stream, 0, 4); /* disk, attributes */
    put(stream, 0, 4);
    put(stream, 0, 4); /* where the file begins */
    fputs(name, stream);
    put(stream, 0x06054b50u, 4); /* the end */
    put(stream, 0, 4);
    put(stream, 1, 2);
    put(stream, 1, 2);
    put(stream, 46 + length, 4);
    put(stream, 30 + length + size, 4);
    put(stream, 0, 2);
}
