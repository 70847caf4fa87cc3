/* SPDX-License-Identifier: ISC */
#include "date.h"

#include <stdlib.h>
#include <time.h>

#include "message.h"

bool cw_today(char text[CW_DATE_TEXT])
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
    return gmtime_r(&now, &day) && strftime(text, CW_DATE_TEXT, "%Y-%m-%d", &day) == CW_DATE_TEXT - 1;
}
