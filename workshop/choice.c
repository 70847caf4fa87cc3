/* SPDX-License-Identifier: ISC */
#include "choice.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "near.h"
#include "split_kind.h"

enum { WORDS = 8, WORD_SIZE = 24, LONG_LIST = 8 };

/* A text as its words: small letters, broken at blanks and dashes and between letters and digits. */
struct words {
    size_t count;
    char word[WORDS][WORD_SIZE];
};

static bool is_digit(const char *c)
{
    return isdigit((unsigned char)*c) || ((*c == '.' || *c == ',') && isdigit((unsigned char)c[1]));
}

static bool is_gap(char c) { return c == ' ' || c == '-' || c == '_'; }

/* \return false where it has more words, or longer ones, than any entry */
static bool split(const char *text, struct words *words)
{
    words->count = 0;
    while (*text) {
        if (is_gap(*text)) {
            text++;
            continue;
        }
        size_t used = 0;
        bool number = is_digit(text);
        if (words->count == WORDS) {
            return false;
        }
        char *word = words->word[words->count++];
        while (*text && !is_gap(*text) && is_digit(text) == number) {
            if (used + 1 == WORD_SIZE) {
                return false;
            }
            word[used++] = *text == ',' ? '.' : (char)tolower((unsigned char)*text);
            text++;
        }
        word[used] = '\0';
    }
    return words->count > 0;
}

/* Alloys are numbered by Roman numerals as well; 0 for other words. */
static int roman(const char *word)
{
    static const struct {
        const char *word;
        int number;
    } row[] = {{"ii", 2}, {"iii", 3}, {"iv", 4}, {"v", 5}, {"viii", 8}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        if (strcmp(word, row[i].word) == 0) {
            return row[i].number;
        }
    }
    return 0;
}

static bool is_number(const char *word) { return isdigit((unsigned char)word[0]); }

/* The number that a word is: "42", "42.50", "two"; below 0 for others. Whatever the locale. */
static double number_of(const char *word)
{
    static const char *const names[] = {"one", "two"};
    for (int i = 0; i < 2; i++) {
        if (strcmp(word, names[i]) == 0) {
            return i + 1;
        }
    }
    if (!is_number(word)) {
        return roman(word) ? roman(word) : -1.0;
    }
    double number = 0.0, place = 1.0;
    for (const char *c = word; *c; c++) {
        if (*c == '.') {
            place = 0.1;
        } else if (place < 1.0) {
            number += place * (*c - '0');
            place /= 10.0;
        } else {
            number = 10.0 * number + (*c - '0');
        }
    }
    return number;
}

static bool same_word(const char *a, const char *b)
{
    double number = number_of(a);
    return strcmp(a, b) == 0 || (number >= 0.0 && number == number_of(b));
}

static bool has_word(const struct words *words, const char *word)
{
    for (size_t i = 0; i < words->count; i++) {
        if (same_word(words->word[i], word)) {
            return true;
        }
    }
    return false;
}

static bool within(const struct words *part, const struct words *whole)
{
    for (size_t i = 0; i < part->count; i++) {
        if (!has_word(whole, part->word[i])) {
            return false;
        }
    }
    return true;
}

/* Whether the entries are known by their numbers: each label holds its value. */
static bool own_numbers(const struct cw_param_info *info)
{
    for (size_t i = 0; i < info->point_count; i++) {
        struct words label;
        bool found = false;
        split(info->points[i].label, &label);
        for (size_t w = 0; w < label.count; w++) {
            found = found || (is_number(label.word[w]) && number_of(label.word[w]) == info->points[i].value);
        }
        if (!found) {
            return false;
        }
    }
    return info->point_count > 0;
}

/* Kinds of split have a word of their own for the command line. */
static bool kind_word(const struct cw_param_info *info, const char *text, double *value)
{
    for (int by = 0; info == &cw_param_info[CW_P_SPLIT_BY] && by < CW_SPLIT_KINDS; by++) {
        if (strcmp(cw_split_kind[by].word, text) == 0) {
            *value = by;
            return true;
        }
    }
    return false;
}

bool cw_choice_read(const struct cw_param_info *info, const char *text, double *value)
{
    struct words typed, label;
    size_t found = 0, parts = 0;
    if (kind_word(info, text, value)) {
        return true;
    }
    if (!split(text, &typed)) {
        return false;
    }
    if (typed.count == 1 && (is_number(typed.word[0]) || roman(typed.word[0])) && !own_numbers(info)) {
        return false;
    }
    for (size_t i = 0; i < info->point_count; i++) {
        split(info->points[i].label, &label);
        if (!within(&typed, &label)) {
            continue;
        }
        if (within(&label, &typed)) {
            *value = info->points[i].value;
            return true;
        }
        found = i;
        parts++;
    }
    if (parts == 1) {
        *value = info->points[found].value;
    }
    return parts == 1;
}

/* Text that grows; what does not fit is cut. */
static void append(char *text, size_t size, const char *more)
{
    size_t used = strlen(text);
    snprintf(text + used, size - used, "%s", more);
}

const char *cw_choice_ask(const struct cw_param_info *info, const char *text, char *ask, size_t size)
{
    struct words typed, label;
    const char *meant[WORDS];
    size_t count = 0;
    bool read = split(text, &typed);
    for (size_t i = 0; read && i < info->point_count && count < WORDS; i++) {
        split(info->points[i].label, &label);
        if (within(&typed, &label)) {
            meant[count++] = info->points[i].label;
        }
    }
    if (count == 0) {
        struct cw_nearest nearest = {0};
        for (size_t i = 0; i < info->point_count; i++) {
            cw_nearest_try(&nearest, text, info->points[i].label);
        }
        count = nearest.word != NULL;
        meant[0] = nearest.word;
    }
    ask[0] = '\0';
    for (size_t i = 0; i < count; i++) {
        append(ask, size, i == 0 ? "" : i + 1 == count ? " or " : ", ");
        append(ask, size, meant[i]);
    }
    append(ask, size, count ? "?" : "");
    return ask;
}

const char *cw_choice_list(const struct cw_param_info *info, char *text, size_t size)
{
    const struct cw_point *points = info->points;
    size_t count = info->point_count;
    if (count > LONG_LIST) {
        snprintf(text, size, "%s to %s, with half sizes", points[0].label, points[count - 1].label);
        return text;
    }
    text[0] = '\0';
    for (size_t i = 0; i < count; i++) {
        append(text, size, i == 0 ? "" : i + 1 == count ? " or " : ", ");
        append(text, size, points[i].label);
    }
    return text;
}

const char *cw_choice_word(const struct cw_point *point, char *text, size_t size)
{
    snprintf(text, size, "%s", point->label);
    for (char *c = text; *c; c++) {
        *c = is_gap(*c) ? '-' : (char)tolower((unsigned char)*c);
    }
    return text;
}
