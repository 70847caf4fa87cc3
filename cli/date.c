/* SPDX-License-Identifier: ISC */
#include "date.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "message.h"

bool cw_now(char text[CW_NOW_TEXT])
{
    const char *given = getenv("SOURCE_DATE_EPOCH");
    time_t now = time(NULL);
    struct tm day;
    if (given) {
        const long long year_10000 = 253402300800;
        char *end;
        long long seconds = strtoll(given, &end, 10);
        if (end == given || *end || seconds < 0 || seconds >= year_10000) {
            cw_error("SOURCE_DATE_EPOCH: expected seconds since 1970, found '%s'", given);
            return false;
        }
        now = (time_t)seconds;
    }
    return gmtime_r(&now, &day) && strftime(text, CW_NOW_TEXT, "%Y-%m-%dT%H:%M:%SZ", &day) == CW_NOW_TEXT - 1;
}

bool cw_today(char text[CW_DATE_TEXT])
{
    char now[CW_NOW_TEXT];
    if (!cw_now(now)) {
        return false;
    }
    memcpy(text, now, CW_DATE_TEXT - 1);
    text[CW_DATE_TEXT - 1] = '\0';
    return true;
}
