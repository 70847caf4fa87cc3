/* SPDX-License-Identifier: ISC */
#include "settings_text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "escape.h"
#include "paper.h"

static const char first_line[] = "coilwright settings ";
enum { VERSION = 1, LINE_BYTES = 512 };

/* ---- writing ------------------------------------------------------------------------------------ */

static void put_value(struct cw_paper *paper, const struct cw_param_info *info, double value)
{
    char text[80];
    if (info->flags & (CW_ENUM | CW_TOGGLE)) {
        cw_paper_print(paper, "%s %s\n", info->symbol, cw_value_print(info, value, text, sizeof text));
    } else {
        const char *unit = cw_unit_symbol(info->unit);
        cw_paper_print(paper, "%s %.9g%s%s\n", info->symbol, value, *unit ? " " : "", unit);
    }
}

size_t cw_settings_text(const char *name, const struct cw_setup *setup, char *text, size_t size)
{
    struct cw_paper paper = {.text = text, .size = size};
    char shown[CW_SETTINGS_NAME_BYTES];
    cw_paper_print(&paper, "%s%d\nname %s\n", first_line, VERSION, cw_show(name, shown, sizeof shown));
    for (int i = 0; i < CW_PARAMS; i++) {
        put_value(&paper, &cw_param_info[i], setup->value[i]);
    }
    cw_paper_print(&paper, "end %d\n", CW_PARAMS);
    return paper.length;
}

/* ---- reading ------------------------------------------------------------------------------------ */

/* Length of a blank: a space, a tab, CR, or a no-break space (U+00A0); 0 where there is none. */
static size_t blank_length(const char *at)
{
    return *at == ' ' || *at == '\t' || *at == '\r' ? 1 : strncmp(at, "\xc2\xa0", 2) == 0 ? 2 : 0;
}

/* One line as it was written: without marks of quotation and blanks around, each blank within a space.
 * Returns where the next one begins, NULL behind the last; what is too long is cut. */
static const char *next_line(const char *at, char line[LINE_BYTES])
{
    size_t length = 0, used = 0;
    while (*at == '>' || blank_length(at) > 0) {
        at += *at == '>' ? 1 : blank_length(at);
    }
    for (; *at && *at != '\n'; at++) {
        size_t blank = blank_length(at);
        if (length + 1 < LINE_BYTES) {
            line[length++] = blank ? ' ' : *at;
        }
        at += blank > 1 ? blank - 1 : 0;
        used = blank ? used : length;
    }
    line[used] = '\0';
    return *at ? at + 1 : NULL;
}

static bool is_first(const char *line) { return strncmp(line, first_line, sizeof first_line - 1) == 0; }

bool cw_settings_found(const char *text)
{
    char line[LINE_BYTES];
    while (text) {
        text = next_line(text, line);
        if (is_first(line)) {
            return true;
        }
    }
    return false;
}

static bool wrong(struct cw_settings_fault *fault, const char *expected, const char *found)
{
    char shown[64];
    snprintf(fault->why, sizeof fault->why, "expected %s, found '%s'", expected, cw_show(found, shown, sizeof shown));
    return false;
}

static bool take_value(char *line, struct cw_settings *settings, struct cw_settings_fault *fault)
{
    char *gap = strchr(line, ' ');
    if (gap) {
        *gap = '\0';
    }
    int id = cw_param_find(line);
    if (id < 0 || !gap) {
        return wrong(fault, "the symbol of a setup's parameter and its value", line);
    }
    if (settings->set[id]) {
        return wrong(fault, "each parameter once", line);
    }
    char why[CW_WHY_SIZE];
    if (!cw_value_parse(&cw_param_info[id], gap + 1, &settings->setup.value[id], why)) {
        snprintf(fault->why, sizeof fault->why, "%s: %s", cw_param_info[id].symbol, why);
        return false;
    }
    settings->set[id] = true;
    return true;
}

/* The last line: has all come? */
static bool complete(const char *line, int count, struct cw_settings_fault *fault)
{
    char *end, expected[64];
    long told = strtol(line + sizeof "end", &end, 10);
    if (*end == '\0' && told == count) {
        return true;
    }
    snprintf(expected, sizeof expected, "'end %d' after %d values", count, count);
    return wrong(fault, expected, line);
}

/* A message may hold an answer and what it answers to: which of them is meant nobody can tell. */
static bool is_last(const char *behind, struct cw_settings_fault *fault)
{
    return !behind || !cw_settings_found(behind) || wrong(fault, "one set of settings", "a second one further on");
}

/* An empty name loses the blank before it, as every line's end does. */
static bool is_name(const char *line) { return strncmp(line, "name ", 5) == 0 || strcmp(line, "name") == 0; }

/* The lines behind the first. */
static bool take_lines(const char *text, struct cw_settings *settings, struct cw_settings_fault *fault)
{
    char line[LINE_BYTES] = "";
    int count = 0;
    while (text) {
        text = next_line(text, line);
        fault->line++;
        if (strncmp(line, "end ", 4) == 0) {
            return complete(line, count, fault) && is_last(text, fault);
        }
        if (is_name(line) && count == 0) {
            cw_text_fit(line[4] ? line + 5 : "", settings->name, sizeof settings->name);
        } else if (*line && !take_value(line, settings, fault)) {
            return false;
        } else {
            count += *line != '\0';
        }
    }
    return wrong(fault, "'end' and the number of values behind the last of them", "the end of the text");
}

bool cw_settings_read(const char *text, struct cw_settings *settings, struct cw_settings_fault *fault)
{
    char line[LINE_BYTES];
    memset(settings, 0, sizeof *settings);
    memset(fault, 0, sizeof *fault);
    cw_setup_defaults(&settings->setup);
    do {
        text = next_line(text, line);
        fault->line++;
    } while (text && !is_first(line));
    if (!is_first(line)) {
        return wrong(fault, "a line 'coilwright settings 1'", line);
    }
    if (strcmp(line + sizeof first_line - 1, "1") != 0) {
        return wrong(fault, "settings of version 1", line + sizeof first_line - 1);
    }
    if (!text) {
        return wrong(fault, "values behind the first line", "the end of the text");
    }
    return take_lines(text, settings, fault);
}
