/* SPDX-License-Identifier: ISC */
#include "day.h"

#include <string.h>

/* \p count digits as a number; -1 where one is none. */
static int number_of(const char *digits, int count)
{
    int number = 0;
    for (int i = 0; i < count; i++) {
        if (digits[i] < '0' || digits[i] > '9') {
            return -1;
        }
        number = 10 * number + (digits[i] - '0');
    }
    return number;
}

bool cw_date_is(const char *text)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    if (strlen(text) != sizeof "2026-11-26" - 1 || text[4] != '-' || text[7] != '-') {
        return false;
    }
    int year = number_of(text, 4), month = number_of(text + 5, 2), day = number_of(text + 8, 2);
    bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    return year >= 0 && month >= 1 && month <= 12 && day >= 1 && day <= days[month - 1] + (month == 2 && leap);
}
