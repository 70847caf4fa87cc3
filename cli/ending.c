/* SPDX-License-Identifier: ISC */
#include "ending.h"

#include <string.h>
#include <strings.h>

bool cw_ends_in(const char *name, const char *ending)
{
    size_t length = strlen(name), tail = strlen(ending);
    return length > tail && strcasecmp(name + length - tail, ending) == 0;
}
