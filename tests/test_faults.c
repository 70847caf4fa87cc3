/* SPDX-License-Identifier: ISC */
/* Each command while memory, or a file, is refused: the first request, the second, and so on to the
 * last. It ends with one line and leaves the directory as it was, or does all of its work.
 *
 * Only requests of the program's own code are refused: the linker puts the functions below before the
 * C library's there (tests/campaign.mk), and leaves lilv, serd, cairo and the rest alone. Each attempt is
 * a process of its own, so that a crash is seen and, under a sanitizer, what leaks.
 * CW_FAULTS_ALL=1 tries every request; else some 80 of each command, spread evenly. */
#define _GNU_SOURCE /* nftw() */

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <ftw.h>
#include <limits.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "audio.h"
#include "candidate.h"
#include "command.h"
#include "output.h"
#include "preset_save.h"
#include "setup.h"

/* ---- requests that fail ------------------------------------------------------------------------ */

static _Atomic long requests; /* audition works in several threads */
static long refused;          /* the one that is refused; 0 for none */

static bool refuse(int reason)
{
    if (++requests != refused) {
        return false;
    }
    errno = reason;
    return true;
}

/* The linker's names: __wrap_NAME is called for NAME, __real_NAME is the C library's. */
#define WRAP(type, name, parameters, arguments, reason)                                                                \
    type __real_##name parameters;                                                                                     \
    type __wrap_##name parameters;                                                                                     \
    type __wrap_##name parameters { return refuse(reason) ? 0 : __real_##name arguments; }
WRAP(void *, malloc, (size_t n), (n), ENOMEM)
WRAP(void *, calloc, (size_t n, size_t m), (n, m), ENOMEM)
WRAP(void *, realloc, (void *p, size_t n), (p, n), ENOMEM)
WRAP(char *, strdup, (const char *s), (s), ENOMEM)
WRAP(char *, strndup, (const char *s, size_t n), (s, n), ENOMEM)
WRAP(FILE *, fopen, (const char *path, const char *mode), (path, mode), EMFILE)
WRAP(FILE *, fdopen, (int descriptor, const char *mode), (descriptor, mode), ENOMEM)
WRAP(DIR *, opendir, (const char *path), (path), EMFILE)
WRAP(char *, mkdtemp, (char *path), (path), EACCES)
int __real_mkstemp(char *path);
int __wrap_mkstemp(char *path);
int __wrap_mkstemp(char *path) { return refuse(EACCES) ? -1 : __real_mkstemp(path); }

/* ---- a directory to work in --------------------------------------------------------------------- */

static char scratch[PATH_MAX];

static void make_preset(const char *path, bool pair)
{
    struct cw_setup one, two;
    cw_setup_defaults(&one);
    one.value[CW_P_COILS] = CW_COILS_SERIES;
    two = one;
    two.value[CW_P_SPLIT] = 1;
    const struct cw_setup *setups[CW_SETUPS] = {NULL, &one, pair ? &two : NULL};
    assert_true(cw_candidate_save(path, "Test", "A remark", setups, true));
}

static void make_recording(const char *path)
{
    static float samples[24000];
    struct cw_audio_out out;
    for (int i = 0; i < 24000; i++) {
        samples[i] = (float)((i * 7919) % 2001 - 1000) * 4e-4f;
    }
    assert_true(cw_audio_create(&out, path, 24000, false, 24000));
    assert_true(cw_audio_write(&out, samples, 24000));
    assert_true(cw_audio_finish(&out));
}

/* What is below the current directory: each entry as one number made of its name and what it holds. */
enum { ENTRIES_MAX = 64 };
struct listing {
    size_t count;
    uint64_t entry[ENTRIES_MAX];
};

static struct listing *listing;

/* FNV-1a (G. Fowler, L. C. Noll, K.-P. Vo). */
static uint64_t mixed(uint64_t hash, int byte) { return (hash ^ (unsigned char)byte) * 1099511628211u; }

static int add_entry(const char *path, const struct stat *status, int kind, struct FTW *walk)
{
    uint64_t hash = 14695981039346656037u;
    (void)status;
    (void)walk;
    for (const char *c = path; *c; c++) {
        hash = mixed(hash, *c);
    }
    FILE *file = kind == FTW_F ? fopen(path, "rb") : NULL;
    for (int c; file && (c = fgetc(file)) != EOF;) {
        hash = mixed(hash, c);
    }
    if (file) {
        fclose(file);
    }
    assert_true(listing->count < ENTRIES_MAX);
    listing->entry[listing->count++] = hash;
    return 0;
}

static void list_here(struct listing *to)
{
    listing = to;
    to->count = 0;
    nftw(".", add_entry, 16, FTW_PHYS);
}

/* Is everything on this list on that one? */
static bool within_listing(const struct listing *some, const struct listing *all)
{
    for (size_t i = 0; i < some->count; i++) {
        bool found = false;
        for (size_t k = 0; k < all->count; k++) {
            found = found || some->entry[i] == all->entry[k];
        }
        if (!found) {
            return false;
        }
    }
    return true;
}

static int remove_output(const char *path, const struct stat *status, int kind, struct FTW *walk)
{
    (void)status;
    (void)kind;
    bool ours = walk->level == 0 ||
                (walk->level == 1 &&
                 (strcmp(path, "./s.ttl") == 0 || strcmp(path, "./p.ttl") == 0 || strcmp(path, "./di.wav") == 0));
    return ours ? 0 : remove(path);
}

static void clear(void) { nftw(".", remove_output, 16, FTW_DEPTH | FTW_PHYS); }

static int enter_scratch(void **state)
{
    (void)state;
    char bundle[PATH_MAX];
    snprintf(scratch, sizeof scratch, "%s/coilwright-faults-XXXXXX",
             access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    if (getenv("LV2_PATH") == NULL) { /* run by hand */
        assert_non_null(realpath("build/lv2", bundle));
        setenv("LV2_PATH", bundle, 1);
    }
    assert_non_null(mkdtemp(scratch));
    assert_int_equal(chdir(scratch), 0);
    make_preset("s.ttl", false);
    make_preset("p.ttl", true);
    make_recording("di.wav");
    return 0;
}

static int leave_scratch(void **state)
{
    (void)state;
    clear();
    unlink("s.ttl");
    unlink("p.ttl");
    unlink("di.wav");
    return chdir("/") || rmdir(scratch);
}

/* ---- attempts ----------------------------------------------------------------------------------- */

enum { WORDS = 16, LINE = 400 };

struct attempt {
    int status; /* as of waitpid() */
    int lines;
    char line[LINE];
};

static const char *const error_name = "/proc/self/fd/%d";

static void read_errors(int descriptor, struct attempt *a)
{
    char name[40];
    snprintf(name, sizeof name, error_name, descriptor);
    FILE *file = fopen(name, "r");
    a->lines = 0;
    a->line[0] = '\0';
    for (char line[LINE]; file && fgets(line, sizeof line, file); a->lines++) {
        memcpy(a->line, line, sizeof line);
    }
    if (file) {
        fclose(file);
    }
}

/* \param counter where the child writes how many requests there were */
static struct attempt try_command(int (*command)(int, char **), char **words, long nth, int counter)
{
    struct attempt a;
    FILE *errors = tmpfile();
    assert_non_null(errors);
    fflush(NULL);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        int count = 0;
        /* cmocka takes a crash for a failed test and goes on */
        static const int crashes[] = {SIGSEGV, SIGABRT, SIGBUS, SIGFPE, SIGILL};
        for (size_t i = 0; i < sizeof crashes / sizeof crashes[0]; i++) {
            signal(crashes[i], SIG_DFL);
        }
        dup2(fileno(errors), 2);
        if (!freopen("/dev/null", "w", stdout)) {
            _exit(98);
        }
        fclose(errors);
        while (words[count]) {
            count++;
        }
        cw_output_guard();
        requests = 0;
        refused = nth;
        int status = command(count, words);
        refused = 0;
        long count_made = requests;
        if (counter >= 0 && write(counter, &count_made, sizeof count_made) != sizeof count_made) {
            _exit(99);
        }
        exit(status); /* not _exit(): a sanitizer looks for leaks here */
    }
    waitpid(child, &a.status, 0);
    read_errors(fileno(errors), &a);
    fclose(errors);
    return a;
}

static long count_requests(int (*command)(int, char **), char **words, struct listing *done)
{
    int ends[2];
    long count = 0;
    assert_int_equal(pipe(ends), 0);
    struct attempt a = try_command(command, words, 0, ends[1]);
    if (a.status != 0) {
        fail_msg("%s: does not work without any fault: status %d, %s", words[0], a.status, a.line);
    }
    assert_int_equal(read(ends[0], &count, sizeof count), sizeof count);
    close(ends[0]);
    close(ends[1]);
    list_here(done);
    clear();
    return count;
}

/* A command that writes two files may have finished the first: what is there is complete in any case. */
static void judge(const struct attempt *a, char *const *words, long nth, const struct listing *done)
{
    struct listing now;
    list_here(&now);
    if (!WIFEXITED(a->status)) {
        fail_msg("%s: request %ld refused: ended by signal %d", words[0], nth, WTERMSIG(a->status));
    }
    int status = WEXITSTATUS(a->status);
    if (!within_listing(&now, done)) {
        fail_msg("%s: request %ld refused: status %d, something half-done was left: %s", words[0], nth, status,
                 a->line);
    }
    if (status == CW_DONE && now.count != done->count) {
        fail_msg("%s: request %ld refused: says that all is done, but it is not: %s", words[0], nth, a->line);
    }
    /* While the words are still being read, short memory is told as bad usage. */
    bool told = status == CW_FAILED || (status == CW_BAD_USAGE && strstr(a->line, "out of memory"));
    if (status != CW_DONE && (!told || a->lines != 1 || strncmp(a->line, "coilwright: ", 12) != 0)) {
        fail_msg("%s: request %ld refused: status %d, %d lines: %s", words[0], nth, status, a->lines, a->line);
    }
}

static void refuse_each(int (*command)(int, char **), const char *const *given)
{
    static char copy[WORDS][80];
    char *words[WORDS + 1] = {NULL};
    for (int i = 0; i < WORDS && given[i]; i++) {
        words[i] = copy[i]; /* a command may write to its words, as to those of main() */
        snprintf(copy[i], sizeof copy[i], "%s", given[i]);
    }
    clear();
    struct listing done;
    long count = count_requests(command, words, &done), tries = getenv("CW_FAULTS_ALL") ? count
                                                                : getenv("CW_BRIEF")    ? 20
                                                                                        : 80;
    assert_true(count > 0);
    double step = count > tries ? (double)count / (double)tries : 1.0;
    long failed = 0;
    for (double at = 1.0; at <= (double)count; at += step) {
        struct attempt a = try_command(command, words, (long)at, -1);
        judge(&a, words, (long)at, &done);
        failed += a.status != 0;
        clear();
    }
    printf("%s %s: %ld requests, every %.1fth refused, %ld ended with status 1\n", words[0], words[1], count, step,
           failed);
    assert_true(failed > 0);
}

#define WITH(...) ((const char *const[]){__VA_ARGS__, NULL})

static void test_response(void **state)
{
    (void)state;
    refuse_each(cw_cmd_response,
                WITH("response", "s.ttl", "p.ttl", "--recorded", "s.ttl", "-o", "t.txt", "--plot", "x.svg"));
    refuse_each(cw_cmd_response,
                WITH("response", "--leads", "s.ttl", "--set", "coil_from=winding", "--csv", "-o", "t.csv"));
    refuse_each(cw_cmd_response, WITH("response", "--at", "100,1k", "p.ttl#b", "--impedance", "--set", "tone=5"));
}

static void test_impulse(void **state)
{
    (void)state;
    refuse_each(cw_cmd_impulse, WITH("impulse", "p.ttl#a", "--recorded", "s.ttl", "-o", "x.wav", "--length", "5000"));
}

static void test_new(void **state)
{
    (void)state;
    refuse_each(cw_cmd_new, WITH("new", "-o", "n.ttl", "-b", "s.ttl", "-m", "resistance=7.9k@24", "--label", "New"));
    refuse_each(cw_cmd_new, WITH("new", "-o", "n.lv2", "--against", "s.ttl", "--tone", "5"));
}

static void test_compare(void **state)
{
    (void)state;
    refuse_each(cw_cmd_compare, WITH("compare", "s.ttl", "-v", "volume=5,cable_length=10", "-o", "t.txt"));
}

static void test_split(void **state)
{
    (void)state;
    refuse_each(cw_cmd_split, WITH("split", "s.ttl", "--level", "75%", "--by", "tap", "-o", "out"));
    refuse_each(cw_cmd_split, WITH("split", "s.ttl", "--level", "75%", "--by", "resistor", "--di", "di.wav", "--csv"));
}

static void test_audition(void **state)
{
    (void)state;
    refuse_each(cw_cmd_audition, WITH("audition", "p.ttl", "--di", "di.wav", "-o", "out", "--recorded", "s.ttl"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_response), cmocka_unit_test(test_impulse), cmocka_unit_test(test_new),
        cmocka_unit_test(test_compare),  cmocka_unit_test(test_split),   cmocka_unit_test(test_audition),
    };
    return cmocka_run_group_tests(tests, enter_scratch, leave_scratch);
}
