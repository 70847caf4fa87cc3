/* SPDX-License-Identifier: ISC */
#include "near.h"

#include <ctype.h>
#include <string.h>

enum { LETTERS = 63 };

static char plain(char c) { return c == '_' || c == ' ' ? '-' : (char)tolower((unsigned char)c); }

static size_t length_of(const char *text)
{
    size_t length = strlen(text);
    return length < LETTERS ? length : LETTERS;
}

static size_t least(size_t a, size_t b) { return a < b ? a : b; }

size_t cw_edit_distance(const char *a, const char *b)
{
    size_t rows = length_of(a), columns = length_of(b);
    size_t row[3][LETTERS + 1]; /* the last three, in turn */
    for (size_t c = 0; c <= columns; c++) {
        row[0][c] = c;
    }
    for (size_t r = 1; r <= rows; r++) {
        size_t *now = row[r % 3], *last = row[(r + 2) % 3], *before = row[(r + 1) % 3];
        now[0] = r;
        for (size_t c = 1; c <= columns; c++) {
            size_t change = plain(a[r - 1]) != plain(b[c - 1]);
            now[c] = least(least(last[c], now[c - 1]) + 1, last[c - 1] + change);
            bool swapped = r > 1 && c > 1 && plain(a[r - 1]) == plain(b[c - 2]) && plain(a[r - 2]) == plain(b[c - 1]);
            if (swapped) {
                now[c] = least(now[c], before[c - 2] + 1);
            }
        }
    }
    return row[rows % 3][columns];
}

/* Whether a stands in b from the beginning or a dash to a dash or the end. */
static bool is_part(const char *a, const char *b)
{
    size_t length = strlen(a);
    for (const char *at = b; *at; at++) {
        bool begins = at == b || plain(at[-1]) == '-';
        size_t same = 0;
        while (begins && same < length && plain(at[same]) == plain(a[same]) && at[same]) {
            same++;
        }
        if (begins && same == length && (at[same] == '\0' || plain(at[same]) == '-')) {
            return true;
        }
    }
    return false;
}

bool cw_is_near(const char *a, const char *b)
{
    size_t length = length_of(a), distance = cw_edit_distance(a, b);
    size_t limit = length <= 5 ? 1 : 2;
    return (distance <= limit && 2 * distance < length) || (length >= 3 && is_part(a, b));
}

void cw_nearest_try(struct cw_nearest *nearest, const char *typed, const char *word)
{
    size_t distance = cw_edit_distance(typed, word);
    if (cw_is_near(typed, word) && (!nearest->word || distance < nearest->distance)) {
        *nearest = (struct cw_nearest){word, distance};
    }
}
