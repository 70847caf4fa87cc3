/* SPDX-License-Identifier: ISC */
#include "record.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "attributes.h"
#include "journal.h"

const char *const cw_verdict_word[3] = {"pass", "too close", "fail"};

struct cw_records cw_records_none(void)
{
    struct cw_records records = {.count = 0};
    memset(records.head, '0', sizeof records.head - 1);
    return records;
}

void cw_record_figures(const double computed[CW_BENCH_READINGS], double kept[CW_BENCH_READINGS])
{
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        char text[32];
        snprintf(text, sizeof text, "%.7g", computed[i]);
        kept[i] = isnan(computed[i]) ? computed[i] : strtod(text, NULL);
    }
}

/* A line under way; length is past its room once something did not fit. */
struct line {
    char *text;
    size_t length;
};

static void add(struct line *line, const char *format, ...) CW_PRINTF(2, 3);

static void add(struct line *line, const char *format, ...)
{
    va_list arguments;
    if (line->length >= CW_RECORD_LINE) {
        return;
    }
    va_start(arguments, format);
    line->length += (size_t)vsnprintf(line->text + line->length, CW_RECORD_LINE - line->length, format, arguments);
    va_end(arguments);
}

static void add_text(struct line *line, const char *key, const char *value)
{
    char field[CW_RECORD_TITLE * 8];
    add(line, "\t%s=%s", key, cw_journal_field(value, field, sizeof field));
}

static void add_number(struct line *line, const char *key, double value)
{
    char text[32] = "";
    for (int digits = 15; digits <= 17 && !isnan(value); digits++) { /* the fewest that give it back */
        snprintf(text, sizeof text, "%.*g", digits, value);
        if (strtod(text, NULL) == value) {
            break;
        }
    }
    add(line, "\t%s=%s", key, text);
}

size_t cw_record_print(const struct cw_record *record, size_t number, char text[CW_RECORD_LINE])
{
    static const char *const name[CW_BENCH_READINGS] = {"resistance_ohm", "inductance_henry", "resonance_hz"};
    const struct cw_coil_reading *r = &record->reading;
    struct line line = {text, 0};
    add(&line, "%zu\t%s\treading", number, record->recorded);
    add_text(&line, "date", record->date);
    add_text(&line, "title", record->title);
    add_text(&line, "revision", record->revision);
    add_text(&line, "fingerprint", record->fingerprint);
    add_text(&line, "spool", record->spool);
    add_text(&line, "winder", record->winder);
    add_text(&line, "serial", record->serial);
    add_number(&line, "resistance_ohm", r->resistance);
    add_number(&line, "celsius", r->celsius);
    add_number(&line, "inductance_henry", r->inductance);
    add_text(&line, "mode", r->parallel_mode ? "parallel" : "series");
    add_number(&line, "frequency_hz", r->hz);
    add_number(&line, "resonance_hz", r->resonance);
    add_number(&line, "load_farad", record->load_farad);
    add_number(&line, "load_ohm", record->load_ohm);
    for (int i = 0; i < CW_BENCH_READINGS; i++) {
        char key[40];
        snprintf(key, sizeof key, "corrected_%s", name[i]);
        add_number(&line, key, record->corrected[i]);
        snprintf(key, sizeof key, "predicted_%s", name[i]);
        add_number(&line, key, record->predicted[i]);
    }
    add_text(&line, "verdict", cw_verdict_word[record->verdict]);
    return line.length < CW_RECORD_LINE ? line.length : 0;
}

bool cw_records_follow(struct cw_records *records, const struct cw_record *record)
{
    char line[CW_RECORD_LINE], chain[CW_SHA256_TEXT];
    size_t length = cw_record_print(record, records->count + 1, line);
    if (length == 0) {
        return false;
    }
    cw_journal_chain(records->head, line, length, chain);
    memcpy(records->head, chain, sizeof chain);
    records->count++;
    return true;
}

bool cw_head_matches(const char *head, const char *digits)
{
    enum { LEAST = 16 };
    size_t length = strlen(digits);
    return length >= LEAST && length < CW_SHA256_TEXT && strncmp(head, digits, length) == 0;
}
