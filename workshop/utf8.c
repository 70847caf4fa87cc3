/* SPDX-License-Identifier: ISC */
#include "utf8.h"

#include <stdbool.h>

size_t cw_utf8_length(const char *text)
{
    const unsigned char *c = (const unsigned char *)text;
    if (c[0] < 0x80) {
        return 1;
    }
    size_t length = c[0] >= 0xf0 ? 4 : c[0] >= 0xe0 ? 3 : 2;
    if (c[0] < 0xc2 || c[0] > 0xf4) {
        return 0;
    }
    for (size_t i = 1; i < length; i++) {
        if ((c[i] & 0xc0) != 0x80) {
            return 0;
        }
    }
    bool overlong = (c[0] == 0xe0 && c[1] < 0xa0) || (c[0] == 0xf0 && c[1] < 0x90);
    bool outside = (c[0] == 0xed && c[1] > 0x9f) || (c[0] == 0xf4 && c[1] > 0x8f);
    return overlong || outside ? 0 : length;
}
