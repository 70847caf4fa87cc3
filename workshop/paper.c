/* SPDX-License-Identifier: ISC */
#include "paper.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void cw_paper_put(struct cw_paper *paper, const char *bytes, size_t count)
{
    size_t room = paper->length + 1 < paper->size ? paper->size - paper->length - 1 : 0;
    size_t fits = count < room ? count : room;
    if (fits > 0) {
        memcpy(paper->text + paper->length, bytes, fits);
        paper->text[paper->length + fits] = '\0';
    }
    paper->length += count;
}

void cw_paper_print(struct cw_paper *paper, const char *format, ...)
{
    char piece[512];
    va_list arguments;
    va_start(arguments, format);
    int length = vsnprintf(piece, sizeof piece, format, arguments);
    va_end(arguments);
    if (length > 0) {
        cw_paper_put(paper, piece, (size_t)length < sizeof piece ? (size_t)length : sizeof piece - 1);
    }
}
