/* SPDX-License-Identifier: ISC */
/* A journal: any text; and one that was written, of which a byte is changed or the end is cut off. What does not
 * hold is found at the entry where it was changed, and what was whole before it still counts. */
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "journal.h"
#include "sha256.h"

enum { ENTRIES = 5, VALUE = 40, FIELD = 12 * VALUE, TEXT = ENTRIES * (FIELD + 200) };

/* A field is one: no tab and no line's end in it, whatever the value was. */
static void take_field(struct fuzz_bytes *bytes, char field[FIELD])
{
    char value[VALUE + 1];
    size_t length = fuzz_byte(bytes) % VALUE;
    for (size_t i = 0; i < length; i++) {
        value[i] = (char)fuzz_byte(bytes);
    }
    value[length] = '\0';
    cw_journal_field(value, field, FIELD);
    FUZZ_REQUIRE(!strpbrk(field, "\t\n\r"));
    FUZZ_REQUIRE(strlen(field) >= strlen(value) || !*value);
}

/* \param end where each entry's line ends */
static size_t write_journal(struct fuzz_bytes *bytes, char text[TEXT], size_t end[ENTRIES + 1])
{
    char field[FIELD], chain[CW_SHA256_TEXT];
    struct cw_journal journal;
    FUZZ_REQUIRE(cw_journal_check("", 0, &journal)); /* the head of nothing */
    size_t length = (size_t)snprintf(text, TEXT, "%s", CW_JOURNAL_FIRST);
    end[0] = length;
    for (int i = 0; i < ENTRIES; i++) {
        take_field(bytes, field);
        size_t body =
            (size_t)snprintf(text + length, TEXT - length, "%d\t2026-11-26T08:00:00Z\tseal\tbecause=%s", i + 1, field);
        cw_journal_chain(journal.head, text + length, body, chain);
        memcpy(journal.head, chain, sizeof chain);
        length += body;
        length += (size_t)snprintf(text + length, TEXT - length, "\tchain=%s\n", chain);
        end[i + 1] = length;
    }
    FUZZ_REQUIRE(cw_journal_check(text, length, &journal) && journal.count == ENTRIES);
    FUZZ_REQUIRE(cw_journal_torn(text, length) == 0 && cw_journal_had(text, length, ENTRIES, journal.head));
    return length;
}

/* The entries that are whole before a place. */
static size_t whole(const size_t end[ENTRIES + 1], size_t place)
{
    size_t count = 0;
    while (count < ENTRIES && end[count + 1] <= place) {
        count++;
    }
    return count;
}

static void change(struct fuzz_bytes *bytes, char *text, size_t length, const size_t end[ENTRIES + 1])
{
    struct cw_journal journal;
    size_t place = fuzz_word(bytes) % length;
    char to = (char)fuzz_byte(bytes), from = text[place];
    text[place] = to;
    bool holds = cw_journal_check(text, length, &journal);
    FUZZ_REQUIRE(holds == (to == from));
    FUZZ_REQUIRE(holds || journal.count == (place < end[0] ? 0 : whole(end, place)));
    FUZZ_REQUIRE(holds || (journal.line == (place < end[0] ? 1 : journal.count + 2) && *journal.why));
}

static void cut(struct fuzz_bytes *bytes, const char *text, size_t length, const size_t end[ENTRIES + 1])
{
    struct cw_journal journal;
    size_t place = fuzz_word(bytes) % length, torn = cw_journal_torn(text, place);
    FUZZ_REQUIRE(torn <= place && place - torn == (place < end[0] ? 0 : end[whole(end, place)]));
    FUZZ_REQUIRE(cw_journal_check(text, place - torn, &journal));
    FUZZ_REQUIRE(journal.count == (place < end[0] ? 0 : whole(end, place)));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static char text[TEXT];
    struct fuzz_bytes bytes = {data, size};
    struct cw_journal journal;
    size_t end[ENTRIES + 1];
    unsigned mode = fuzz_byte(&bytes) % 3;
    if (mode == 0) {
        size_t torn = cw_journal_torn((const char *)bytes.at, bytes.left);
        FUZZ_REQUIRE(torn <= bytes.left);
        bool holds = cw_journal_check((const char *)bytes.at, bytes.left, &journal);
        FUZZ_REQUIRE(holds == (journal.line == 0));
        return 0;
    }
    size_t length = write_journal(&bytes, text, end);
    (mode == 1 ? change(&bytes, text, length, end) : cut(&bytes, text, length, end));
    return 0;
}
