/* SPDX-License-Identifier: ISC */
#include "message.h"

#include <stdio.h>

#include "escape.h"

enum { LINE_MAX_BYTES = 1024 };

/* Where this thread's messages go instead of standard error; NULL: nowhere else. */
static _Thread_local struct {
    char *line;
    size_t size;
} kept;

void cw_message_keep(char *line, size_t size)
{
    kept.line = line;
    kept.size = size;
}

void cw_message_show(const char *line)
{
    if (!kept.line) {
        fprintf(stderr, "%s\n", line);
    } else if (!*kept.line) {
        snprintf(kept.line, kept.size, "%s", line);
    }
}

void cw_message(const char *where, const char *format, va_list arguments)
{
    char line[4 * LINE_MAX_BYTES];
    vsnprintf(line, sizeof line, format, arguments);
    char whole[5 * LINE_MAX_BYTES], shown[2 * LINE_MAX_BYTES];
    snprintf(whole, sizeof whole, "coilwright%s: %s", where, line);
    cw_message_show(cw_show(whole, shown, sizeof shown));
}

void cw_error(const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    cw_message("", format, arguments);
    va_end(arguments);
}

void cw_error_at(const char *file, unsigned line, const char *format, ...)
{
    char where[LINE_MAX_BYTES];
    if (line) {
        snprintf(where, sizeof where, ": %s:%u", file, line);
    } else {
        snprintf(where, sizeof where, ": %s", file);
    }
    va_list arguments;
    va_start(arguments, format);
    cw_message(where, format, arguments);
    va_end(arguments);
}

void cw_error_memory(void) { cw_error("out of memory"); }
