/* SPDX-License-Identifier: ISC */
#include "progress.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

static int shown_percent = -1;
static char shown_text[64];

void cw_progress(const char *what, double share)
{
    int percent = (int)(100.0 * share);
    bool same = percent == shown_percent && strncmp(shown_text, what, sizeof shown_text - 1) == 0;
    if (same || !isatty(STDERR_FILENO)) {
        return;
    }
    shown_percent = percent;
    snprintf(shown_text, sizeof shown_text, "%s", what);
    fprintf(stderr, "\r\033[K%s %d %%", shown_text, percent);
    fflush(stderr);
}

void cw_progress_end(void)
{
    if (shown_percent >= 0) {
        fputs("\r\033[K", stderr);
        fflush(stderr);
        shown_percent = -1;
    }
}
