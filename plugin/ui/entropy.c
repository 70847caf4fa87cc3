/* SPDX-License-Identifier: ISC */
#include "entropy.h"

#include <stdio.h>

bool cw_entropy_coin(bool *heads)
{
    FILE *source = fopen("/dev/urandom", "rb");
    const int byte = source ? getc(source) : EOF;
    if (source) {
        fclose(source);
    }
    if (byte == EOF) {
        return false;
    }
    *heads = byte & 1;
    return true;
}
