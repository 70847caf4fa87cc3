/* SPDX-License-Identifier: ISC */
#include "journal.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "escape.h"

static const char nothing[] = "0000000000000000000000000000000000000000000000000000000000000000";
static const char mark[] = "\tchain=";

void cw_journal_chain(const char *head, const char *body, size_t length, char chain[CW_SHA256_TEXT])
{
    unsigned char digest[CW_SHA256_BYTES];
    struct cw_sha256 sha;
    cw_sha256_start(&sha);
    cw_sha256_add(&sha, head, CW_SHA256_TEXT - 1);
    cw_sha256_add(&sha, "\n", 1);
    cw_sha256_add(&sha, body, length);
    cw_sha256_finish(&sha, digest);
    cw_sha256_print(digest, chain);
}

/* The body of a line that ends in a chain. \return its length, or 0 */
static size_t body_of(const char *line, size_t length)
{
    size_t tail = sizeof mark - 1 + CW_SHA256_TEXT - 1;
    return length > tail && memcmp(line + length - tail, mark, sizeof mark - 1) == 0 ? length - tail : 0;
}

static bool wrong(struct cw_journal *journal, size_t line, const char *why)
{
    journal->line = line;
    snprintf(journal->why, sizeof journal->why, "%s", why);
    return false;
}

/* Times of one form are in the order of their letters. */
static void keep_time(struct cw_journal *journal, const char *text, size_t length)
{
    char time[sizeof journal->time];
    snprintf(time, sizeof time, "%.*s", length < sizeof time ? (int)length : (int)sizeof time - 1, text);
    if (journal->back == 0 && strcmp(time, journal->time) < 0) {
        journal->back = journal->count;
    }
    memcpy(journal->time, time, sizeof time);
}

/* One entry; without its line's end. */
static bool follow(struct cw_journal *journal, const char *line, size_t length)
{
    char chain[CW_SHA256_TEXT], number[24];
    size_t body = body_of(line, length);
    int digits = snprintf(number, sizeof number, "%zu\t", journal->count + 1);
    if (memchr(line, '\0', length)) {
        return wrong(journal, journal->count + 2, "a byte that no text holds");
    }
    if (body == 0) {
        return wrong(journal, journal->count + 2, "no entry: it does not end in its chain");
    }
    if (body < (size_t)digits || memcmp(line, number, (size_t)digits) != 0) {
        return wrong(journal, journal->count + 2, "not the entry that is next: one was taken out, put in or moved");
    }
    cw_journal_chain(journal->head, line, body, chain);
    if (memcmp(chain, line + length - (CW_SHA256_TEXT - 1), CW_SHA256_TEXT - 1) != 0) {
        return wrong(journal, journal->count + 2, "the chain breaks here: this entry or one before it was changed");
    }
    memcpy(journal->head, chain, sizeof chain);
    journal->count++;
    keep_time(journal, line + digits, body - (size_t)digits);
    return true;
}

/* Follow as far as \p most entries. */
static bool walk(const char *text, size_t length, size_t most, struct cw_journal *journal)
{
    const char *at = text, *end = text + length;
    *journal = (struct cw_journal){.count = 0};
    memcpy(journal->head, nothing, sizeof nothing);
    if (length == 0) {
        return true;
    }
    if (length < sizeof CW_JOURNAL_FIRST - 1 || memcmp(text, CW_JOURNAL_FIRST, sizeof CW_JOURNAL_FIRST - 1) != 0) {
        return wrong(journal, 1, "not the first line of a journal");
    }
    at += sizeof CW_JOURNAL_FIRST - 1;
    while (at < end && journal->count < most) {
        const char *lf = memchr(at, '\n', (size_t)(end - at));
        if (!lf) {
            return wrong(journal, journal->count + 2, "cut off: no line's end");
        }
        if (!follow(journal, at, (size_t)(lf - at))) {
            return false;
        }
        at = lf + 1;
    }
    return true;
}

bool cw_journal_check(const char *text, size_t length, struct cw_journal *journal)
{
    return walk(text, length, (size_t)-1, journal);
}

size_t cw_journal_torn(const char *text, size_t length)
{
    size_t torn = 0, first = sizeof CW_JOURNAL_FIRST - 1;
    if (memcmp(text, CW_JOURNAL_FIRST, length < first ? length : first) != 0) {
        return 0;
    }
    while (torn < length && text[length - torn - 1] != '\n') {
        torn++;
    }
    return torn;
}

bool cw_journal_had(const char *text, size_t length, size_t number, const char *head)
{
    enum { LEAST = 16 };
    struct cw_journal journal;
    size_t digits = strlen(head);
    return walk(text, length, number, &journal) && journal.count == number && digits >= LEAST &&
           digits < CW_SHA256_TEXT && strncmp(journal.head, head, digits) == 0;
}

const char *cw_journal_field(const char *value, char *to, size_t size)
{
    char piece[CW_PIECE_BYTES];
    size_t used = 0;
    to[0] = '\0';
    while (*value) {
        static const char plain[] = "\\\t\n\r", letter[] = "\\tnr";
        const char *special = strchr(plain, *value);
        if (special) {
            snprintf(piece, sizeof piece, "\\%c", letter[special - plain]);
            value++;
        } else {
            cw_show_piece(&value, piece);
        }
        size_t length = strlen(piece);
        if (used + length + 1 > size) {
            break;
        }
        memcpy(to + used, piece, length + 1);
        used += length;
    }
    return to;
}
