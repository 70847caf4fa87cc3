/* SPDX-License-Identifier: ISC */
#include "wrap.h"

#include <stdarg.h>
#include <stdbool.h>
#include <string.h>

static size_t width_of(const char *text, size_t bytes)
{
    size_t width = 0;
    for (size_t i = 0; i < bytes; i++) {
        width += ((unsigned char)text[i] & 0xc0) != 0x80;
    }
    return width;
}

size_t cw_text_width(const char *text) { return width_of(text, strlen(text)); }

static void next_line(FILE *stream, size_t indent) { fprintf(stream, "\n%*s", (int)indent, ""); }

void cw_wrap(FILE *stream, const char *text, size_t column, size_t indent, size_t width)
{
    bool first = true; /* of its line */
    while (*text) {
        if (*text == '\n' && (text[1] == '\n' || text[1] == ' ')) {
            next_line(stream, text[1] == '\n' ? 0 : indent);
            size_t kept = text[1] == ' ' ? strcspn(text + 1, "\n") : 0;
            fprintf(stream, "%.*s", (int)kept, text + 1);
            text += 1 + kept;
            column = indent + width; /* what follows begins a line */
            first = false;
            continue;
        }
        text += strspn(text, " \n");
        size_t length = strcspn(text, " \n"), wide = width_of(text, length);
        if (!first && column + 1 + wide > width) {
            next_line(stream, indent);
            column = indent;
        } else if (!first) {
            fputc(' ', stream);
            column++;
        }
        fprintf(stream, "%.*s", (int)length, text);
        column += wide;
        text += length;
        first = false;
    }
    fputc('\n', stream);
}

void cw_wrap_format(FILE *stream, size_t width, const char *format, ...)
{
    char text[1024];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    cw_wrap(stream, text, 0, 0, width);
}
