/* SPDX-License-Identifier: ISC */
/* make bench: the figures of docs/bench.md, each with what it is compared with in the same run. */
#include "bench.h"

#include <math.h>
#include <spawn.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/utsname.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "biquad.h"
#include "circuit.h"
#include "coil.h"
#include "preset_load.h"
#include "setup.h"
#include "transfer.h"

extern char **environ;

char bench_directory[64];

static void give_up(const char *what, const char *which)
{
    fprintf(stderr, "bench: %s: %s\n", what, which);
    exit(1);
}

const char *bench_path(const char *name)
{
    static char path[8][128];
    static unsigned at;
    char *next = path[at++ % 8];
    snprintf(next, sizeof path[0], "%s/%s", bench_directory, name);
    return next;
}

/* ---- clocks -------------------------------------------------------------------------------- */

static double seconds(clockid_t clock)
{
    struct timespec t;
    clock_gettime(clock, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

double bench_processor(void) { return seconds(CLOCK_THREAD_CPUTIME_ID); }
double bench_wall(void) { return seconds(CLOCK_MONOTONIC); }

static double seconds_of(struct timeval t) { return (double)t.tv_sec + 1e-6 * (double)t.tv_usec; }

/* Processor time of all children that have ended. */
static double of_children(void)
{
    struct rusage usage;
    getrusage(RUSAGE_CHILDREN, &usage);
    return seconds_of(usage.ru_utime) + seconds_of(usage.ru_stime);
}

struct bench_took bench_program(const char *const *argv)
{
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, "/dev/null", 0, 0);
    posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", 1, 0);
    posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, "/dev/null", 1, 0);
    pid_t child;
    int status = 0;
    double wall = bench_wall(), processor = of_children();
    /* The prototype is older than const. */
    bool good = posix_spawnp(&child, argv[0], &actions, NULL, (char *const *)(const void *)argv, environ) == 0 &&
                waitpid(child, &status, 0) == child && WIFEXITED(status) && WEXITSTATUS(status) == 0;
    posix_spawn_file_actions_destroy(&actions);
    if (!good) {
        give_up("failed", argv[0]);
    }
    return (struct bench_took){bench_wall() - wall, of_children() - processor};
}

bool bench_has(const char *program)
{
    char command[128];
    snprintf(command, sizeof command, "command -v %s >/dev/null 2>&1", program);
    return system(command) == 0;
}

/* ---- medians --------------------------------------------------------------------------------- */

void bench_pair(struct bench_pairs *pairs, double ours, double other)
{
    if (pairs->count < BENCH_REPEATS_MAX) {
        pairs->ours[pairs->count] = ours;
        pairs->other[pairs->count] = other;
        pairs->count++;
    }
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

double bench_quantile(double *values, int count, double share)
{
    qsort(values, (size_t)count, sizeof *values, by_value);
    return values[(int)(share * (double)(count - 1) + 0.5)];
}

static double median_of(const double *values, int count)
{
    double copy[BENCH_REPEATS_MAX];
    memcpy(copy, values, (size_t)count * sizeof *values);
    return bench_quantile(copy, count, 0.5);
}

/* ---- the table ------------------------------------------------------------------------------- */

static FILE *page;
static char page_path[256], page_work[272];

void bench_open(const char *path)
{
    snprintf(page_path, sizeof page_path, "%s", path);
    snprintf(page_work, sizeof page_work, "%s.new", path);
    page = fopen(page_work, "w");
    if (!page) {
        give_up("cannot write", page_work);
    }
}

void bench_close(void)
{
    if (fclose(page) != 0 || rename(page_work, page_path) != 0) {
        give_up("cannot write", page_path);
    }
}

void bench_text(const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    vfprintf(page, format, arguments);
    va_end(arguments);
    va_start(arguments, format);
    vprintf(format, arguments);
    va_end(arguments);
    fflush(stdout);
}

void bench_comparisons(void)
{
    bench_text("\n| measured | Coilwright | against | it takes | its time over ours | middle half | limit | first |\n"
               "|---|--:|---|--:|--:|--:|--:|---|\n");
}

void bench_figures(void) { bench_text("\n| measured | figure | limit |\n|---|--:|--:|\n"); }

static const char *digits(double value)
{
    static char text[8][32];
    static unsigned at;
    char *next = text[at++ % 8];
    int decimals = fabs(value) >= 100.0 ? 0 : fabs(value) >= 10.0 ? 1 : 2;
    snprintf(next, sizeof text[0], "%.*f", decimals, value);
    return next;
}

void bench_compare(const char *what, const char *with, const struct bench_pairs *pairs, double scale, const char *unit,
                   double wanted)
{
    double ratio[BENCH_REPEATS_MAX];
    for (int i = 0; i < pairs->count; i++) {
        ratio[i] = pairs->other[i] / pairs->ours[i];
    }
    double low = bench_quantile(ratio, pairs->count, 0.25), middle = bench_quantile(ratio, pairs->count, 0.5);
    double high = bench_quantile(ratio, pairs->count, 0.75);
    char limit[64] = "";
    if (wanted > 0.0) {
        snprintf(limit, sizeof limit, "at least %s: %s", digits(wanted), middle >= wanted ? "met" : "missed");
    }
    bench_text("| %s | %s %s | %s | %s %s | %s | %s to %s | %s | %s |\n", what,
               digits(scale * median_of(pairs->ours, pairs->count)), unit, with,
               digits(scale * median_of(pairs->other, pairs->count)), unit, digits(middle), digits(low), digits(high),
               limit, middle > 1.0 ? "yes" : "no");
}

void bench_figure(const char *what, double value, const char *unit, double most)
{
    char limit[64] = "";
    if (most > 0.0) {
        snprintf(limit, sizeof limit, "at most %s: %s", digits(most), value <= most ? "met" : "missed");
    }
    bench_text("| %s | %s %s | %s |\n", what, digits(value), unit, limit);
}

/* ---- the setting ----------------------------------------------------------------------------- */

void bench_controls(struct cw_controls *controls)
{
    struct cw_file file;
    if (!cw_file_load(BENCH_PRESET, &file)) {
        exit(1);
    }
    *controls = file.controls;
    cw_file_free(&file);
}

void bench_sections(double rate, struct cw_sections *sections)
{
    struct cw_controls controls;
    struct cw_transfer transfer[CW_SETUPS];
    bench_controls(&controls);
    for (int i = 0; i < CW_SETUPS; i++) {
        struct cw_pickup pickup;
        cw_coil_solve(&controls.setup[i], &pickup);
        cw_circuit_transfer(&controls.setup[i], &pickup, CW_DRIVE_STRING, &transfer[i]);
    }
    cw_digital_design(&transfer[CW_A], &transfer[CW_REC], rate, controls.global[CW_G_BOOST_LIMIT], sections);
}

/* ---- the machine ----------------------------------------------------------------------------- */

static void first_line_of(const char *command, char *line, size_t size)
{
    FILE *pipe = popen(command, "r");
    line[0] = '\0';
    if (pipe) {
        if (!fgets(line, (int)size, pipe)) {
            line[0] = '\0';
        }
        pclose(pipe);
    }
    line[strcspn(line, "\n")] = '\0';
}

static void name_machine(void)
{
    struct utsname system_name;
    char processor[160], program[160];
    double load[3] = {0, 0, 0};
    time_t now = time(NULL);
    char day[32];
    const char *flags = getenv("CW_FLAGS");
    uname(&system_name);
    first_line_of("sed -n 's/^model name[^:]*: *//p' /proc/cpuinfo", processor, sizeof processor);
    first_line_of("cut -d' ' -f1 /proc/loadavg", program, sizeof program);
    load[0] = atof(program);
    strftime(day, sizeof day, "%Y-%m-%d", gmtime(&now));
    bench_text("Machine: %s, %ld processors, %s %s; load at the start %.1f; %s.\n",
               *processor ? processor : "processor not named", sysconf(_SC_NPROCESSORS_ONLN), system_name.sysname,
               system_name.machine, load[0], day);
#if defined(__clang__)
    bench_text("Compiler: clang %s", __clang_version__);
#else
    bench_text("Compiler: gcc %s", __VERSION__);
#endif
    bench_text(", flags %s.\n", flags ? flags : "not known");
    static const char *const ask[][2] = {{"sox", "sox --version | sed 's/.*v//'"},
                                         {"ffmpeg", "ffmpeg -version | sed 's/ffmpeg version //; s/ .*//'"},
                                         {"ngspice", "ngspice --version | sed -n 's/.*ngspice-\\([0-9.]*\\).*/\\1/p'"}};
    bench_text("Compared with:");
    for (size_t i = 0; i < sizeof ask / sizeof ask[0]; i++) {
        program[0] = '\0';
        if (bench_has(ask[i][0])) {
            first_line_of(ask[i][1], program, sizeof program);
        }
        bench_text("%s %s %s", i ? "," : "", ask[i][0], *program ? program : "(not here: its rows are missing)");
    }
    bench_text(".\n");
}

static void introduce(void)
{
    struct cw_sections at48, at96;
    bench_sections(48000, &at48);
    bench_sections(96000, &at96);
    bench_text("# Speed\n\nWritten by `make bench`; all figures of one run on one machine.\n\n");
    name_machine();
    bench_text(
        "\nBoth sides of a comparison are measured in turn, many times, in this run: the table has the median of "
        "each, the\nmedian of the ratios of neighbours, and between what limits the middle half of these ratios lies. "
        "A "
        "ratio above 1 means that\nCoilwright is faster. Times are processor time unless stated, so that other work "
        "on the machine counts little;\nwhat shares a core with it unseen, as another guest of a rented machine, does: "
        "it holds vectors up and a scalar loop hardly.\n\nPreset: `" BENCH_PRESET
        "`, candidate A heard with the recording undone, B "
        "standing by: %d sections at 48 kHz, %d at 96 kHz.\n",
        at48.count, at96.count);
}

int main(int argc, char **argv)
{
    if (argc == 5 && strcmp(argv[1], "--play") == 0) {
        bench_play(argv[2], strtoul(argv[3], NULL, 10), strtoul(argv[4], NULL, 10));
        return 0;
    }
    if (argc != 3) {
        fprintf(stderr, "usage: bench PAGE.md MAKERS.txt\n       bench --play run|biquad BLOCK FRAMES\n");
        return 2;
    }
    strcpy(bench_directory, "/tmp/coilwright-bench-XXXXXX");
    if (!mkdtemp(bench_directory)) {
        give_up("cannot make", bench_directory);
    }
    bench_open(argv[1]);
    introduce();
    bench_run_against_loops();
    bench_run_parts();
    bench_instructions(argv[0]);
    bench_run_against_programs();
    bench_run_against_spice();
    bench_run_worst();
    bench_design();
    bench_search();
    bench_spread();
    bench_match();
    bench_window();
    bench_audition();
    bench_makers(argv[2]);
    bench_close();
    char command[128];
    snprintf(command, sizeof command, "rm -rf '%s'", bench_directory);
    return system(command) == 0 ? 0 : 1;
}
