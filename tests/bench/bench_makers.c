/* SPDX-License-Identifier: ISC */
/* The same rows on processors of several makers: those of the machine at hand as this run measured them, those of
 * others as they were last measured there. A file keeps them, a line each: maker, date, what was measured, figure. */
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "bench.h"

enum { ROWS_MAX = 64, WHAT = 96, FIGURE = 96, MAKER = 32 };

struct row {
    char maker[MAKER], date[16], what[WHAT], figure[FIGURE];
};

static struct row kept[ROWS_MAX];
static int count;

static void maker_of(char maker[MAKER])
{
    char line[256], vendor[MAKER] = "other";
    FILE *file = fopen("/proc/cpuinfo", "r");
    while (file && fgets(line, sizeof line, file) && sscanf(line, "vendor_id : %31s", vendor) != 1) {
    }
    if (file) {
        fclose(file);
    }
    const char *name = strcmp(vendor, "AuthenticAMD") == 0   ? "AMD"
                       : strcmp(vendor, "GenuineIntel") == 0 ? "Intel"
                                                             : vendor;
    snprintf(maker, MAKER, "%s", name);
}

void bench_remember(const char *what, double value, const char *unit)
{
    struct row *row = &kept[count];
    const time_t now = time(NULL);
    if (count == ROWS_MAX) {
        return;
    }
    count++;
    maker_of(row->maker);
    strftime(row->date, sizeof row->date, "%Y-%m-%d", gmtime(&now));
    snprintf(row->what, sizeof row->what, "%s", what);
    snprintf(row->figure, sizeof row->figure, "%.3g %s", value, unit);
}

/* Rows of other makers from the file; those of the maker at hand are this run's. */
static void read_others(const char *path, const char *here)
{
    char line[256];
    FILE *file = fopen(path, "r");
    while (file && count < ROWS_MAX && fgets(line, sizeof line, file)) {
        struct row *row = &kept[count];
        if (sscanf(line, "%31[^\t]\t%15[^\t]\t%95[^\t]\t%95[^\n]", row->maker, row->date, row->what, row->figure) ==
                4 &&
            strcmp(row->maker, here) != 0) {
            count++;
        }
    }
    if (file) {
        fclose(file);
    }
}

static void write_rows(const char *path)
{
    char work[256];
    snprintf(work, sizeof work, "%s.new", path);
    FILE *file = fopen(work, "w");
    for (int i = 0; file && i < count; i++) {
        fprintf(file, "%s\t%s\t%s\t%s\n", kept[i].maker, kept[i].date, kept[i].what, kept[i].figure);
    }
    if (!file || fclose(file) != 0 || rename(work, path) != 0) {
        fprintf(stderr, "bench: cannot write %s\n", path);
        exit(1);
    }
}

static bool same_row(int i, int k) { return strcmp(kept[i].what, kept[k].what) == 0; }

/* A line for each thing that was measured, at its first row. */
static void print_line(int at, const char *here)
{
    char own[FIGURE] = "", others[3 * FIGURE] = "";
    for (int i = 0; i < at; i++) {
        if (same_row(i, at)) {
            return;
        }
    }
    for (int i = at; i < count; i++) {
        if (same_row(i, at) && strcmp(kept[i].maker, here) == 0) {
            snprintf(own, sizeof own, "%s", kept[i].figure);
        } else if (same_row(i, at)) {
            const size_t used = strlen(others);
            snprintf(others + used, sizeof others - used, "%s%s, %s: %s", used ? "; " : "", kept[i].maker, kept[i].date,
                     kept[i].figure);
        }
    }
    bench_text("| %s | %s | %s |\n", kept[at].what, *own ? own : "not measured", *others ? others : "not measured");
}

void bench_makers(const char *path)
{
    char here[MAKER];
    maker_of(here);
    read_others(path, here);
    bench_text(
        "\n## Makers of processors\n\nThis machine's processor is by %s. Of others stands what was last measured "
        "there, with its date; later changes are not in it.\n\n| measured | %s, this run | others, last measured "
        "|\n|---|--:|---|\n",
        here, here);
    for (int i = 0; i < count; i++) {
        print_line(i, here);
    }
    write_rows(path);
}
