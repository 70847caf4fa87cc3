/* SPDX-License-Identifier: ISC */
/* Directories of results, and what else may stand where they go: nothing is lost that is not ours. */
#define _GNU_SOURCE

#include <fcntl.h>
#include <glob.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "folder.h"
#include "message.h"

enum { LINE = 600 };
static char scratch[200];
static char said[LINE]; /* the first message of the last attempt */

/* ---- a directory to work in ---- */

static int enter(void **state)
{
    (void)state;
    snprintf(scratch, sizeof scratch, "/tmp/coilwright-folder-XXXXXX");
    assert_non_null(mkdtemp(scratch));
    return chdir(scratch);
}

static int leave(void **state)
{
    char command[500];
    (void)state;
    snprintf(command, sizeof command, "chmod -R u+rwx '%s' && rm -rf '%s'", scratch, scratch);
    return chdir("/") || system(command);
}

static void put(const char *path, const char *text)
{
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

static bool holds(const char *path, const char *text)
{
    char found[200] = "";
    FILE *file = fopen(path, "r");
    size_t n = file ? fread(found, 1, sizeof found - 1, file) : 0;
    if (file) {
        fclose(file);
    }
    return file && n == strlen(text) && memcmp(found, text, n) == 0;
}

static bool there(const char *path)
{
    struct stat status;
    return lstat(path, &status) == 0;
}

static int hidden(void)
{
    glob_t found;
    int count = glob(".coilwright-*", 0, NULL, &found) == 0 ? (int)found.gl_pathc : 0;
    globfree(&found);
    return count;
}

/* ---- results of a run ---- */

static bool begin(struct cw_folder *folder, const char *path, bool force)
{
    said[0] = '\0';
    cw_message_keep(said, sizeof said);
    bool good = cw_folder_open(folder, path, force);
    cw_message_keep(NULL, 0);
    return good;
}

static void fill(struct cw_folder *folder, const char *text)
{
    static const char *const names[] = {"table.csv", "sound/one.wav", "sound/two.wav"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        const char *path = cw_folder_file(folder, names[i]);
        assert_non_null(path);
        put(path, text);
    }
}

static bool finish(struct cw_folder *folder)
{
    cw_message_keep(said, sizeof said);
    bool good = cw_folder_commit(folder);
    cw_message_keep(NULL, 0);
    return good;
}

static bool write_results(const char *path, bool force, const char *text)
{
    struct cw_folder folder;
    if (!begin(&folder, path, force)) {
        assert_int_equal(hidden(), 0);
        return false;
    }
    fill(&folder, text);
    return finish(&folder);
}

static bool complete(const char *directory, const char *text)
{
    char command[400], path[200];
    snprintf(command, sizeof command, "cd '%s' && sha256sum --quiet --strict -c contents.txt 2>/dev/null", directory);
    snprintf(path, sizeof path, "%s/sound/two.wav", directory);
    return system(command) == 0 && holds(path, text);
}

static void assert_said(const char *words)
{
    if (!strstr(said, words)) {
        fail_msg("expected a message with \"%s\", found \"%s\"", words, said);
    }
}

/* Whatever stands at "results" is refused, with these words, within seconds. */
static void assert_refused(const char *words)
{
    struct cw_folder folder;
    alarm(20);
    bool opened = begin(&folder, "results", true);
    alarm(0);
    if (opened) {
        cw_folder_abandon(&folder);
    }
    assert_false(opened);
    assert_said(words);
    assert_int_equal(hidden(), 0);
}

/* ---- tests ---- */

static void replaced(void **state)
{
    (void)state;
    assert_true(write_results("results", false, "first"));
    assert_true(complete("results", "first"));
    assert_false(write_results("results", false, "second"));
    assert_said("is there already");
    assert_true(write_results("results///", true, "second"));
    assert_true(complete("results", "second"));
    assert_string_equal(said, "");
    assert_int_equal(hidden(), 0);
    /* A file that was deleted is no loss. */
    assert_int_equal(unlink("results/table.csv"), 0);
    assert_true(write_results("results", true, "third"));
    assert_true(complete("results", "third"));
    struct stat status;
    assert_int_equal(stat("results", &status), 0);
    assert_int_equal(status.st_mode & 0777, 0755);
}

static void abandoned(void **state)
{
    struct cw_folder folder;
    (void)state;
    assert_true(write_results("results", false, "first"));
    assert_true(begin(&folder, "results", true));
    fill(&folder, "second");
    cw_folder_abandon(&folder);
    cw_folder_abandon(&folder); /* zeroed by now */
    assert_true(complete("results", "first"));
    assert_int_equal(hidden(), 0);
}

/* A list that names a file through a link out of the directory. */
static void link_within(void **state)
{
    (void)state;
    put("take.wav", "mine");
    assert_int_equal(mkdir("results", 0777), 0);
    assert_int_equal(symlink("..", "results/x"), 0);
    put("results/contents.txt", "x/take.wav\nx\n");
    assert_refused("line 1 of its contents.txt");
    assert_true(holds("take.wav", "mine"));
}

/* The same with a list that is right in every other way: our own results, their directory swapped. */
static void link_for_directory(void **state)
{
    (void)state;
    assert_true(write_results("results", false, "first"));
    assert_int_equal(rename("results/sound", "sound"), 0);
    assert_int_equal(symlink("../sound", "results/sound"), 0);
    assert_refused("'sound' in it");
    assert_true(holds("sound/one.wav", "first"));
}

static void link_for_file(void **state)
{
    (void)state;
    assert_true(write_results("results", false, "first"));
    assert_int_equal(rename("results/table.csv", "table.csv"), 0);
    assert_int_equal(symlink("../table.csv", "results/table.csv"), 0);
    assert_refused("'table.csv' in it");
    assert_true(holds("table.csv", "first"));
}

/* Any directory with a file list of that name: the mark is missing. */
static void somebody_elses_list(void **state)
{
    (void)state;
    assert_int_equal(mkdir("results", 0777), 0);
    put("results/photo", "mine");
    put("results/contents.txt", "photo\n");
    assert_refused("line 1 of its contents.txt");
    assert_true(holds("results/photo", "mine"));
    put("results/contents.txt", "# Coilwright results 1: SHA-256 of each file\n"
                                "0000000000000000000000000000000000000000000000000000000000000000  photo\n");
    assert_refused("'photo' changed since");
    assert_true(holds("results/photo", "mine"));
}

static void bad_lists(void **state)
{
    static const char *const lines[] = {"../take.wav", "/etc/x",  "a/../b",  "a/b/c",  "a//b",
                                        "a/",          ".hidden", "",        "a\tb",   "contents.txt",
                                        "a b",         "..",      "sound/.", "\x1b[8m"};
    char text[300];
    (void)state;
    put("take.wav", "mine");
    assert_int_equal(mkdir("results", 0777), 0);
    put("results/own", "mine");
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        snprintf(text, sizeof text,
                 "# Coilwright results 1: SHA-256 of each file\n"
                 "0000000000000000000000000000000000000000000000000000000000000000  %s\n",
                 lines[i]);
        put("results/contents.txt", text);
        assert_refused("line 2 of its contents.txt");
    }
    put("results/contents.txt", "# Coilwright results 1: SHA-256 of each file"); /* no line's end */
    assert_refused("line 1 of its contents.txt");
    assert_true(holds("take.wav", "mine"));
}

static void strange_lists(void **state)
{
    (void)state;
    assert_int_equal(mkdir("results", 0777), 0);
    assert_int_equal(symlink("/dev/zero", "results/contents.txt"), 0);
    assert_refused("'contents.txt' in it");
    assert_int_equal(unlink("results/contents.txt"), 0);
    assert_int_equal(mkfifo("results/contents.txt", 0666), 0);
    assert_refused("'contents.txt' in it");
    assert_int_equal(unlink("results/contents.txt"), 0);
    put("results/contents.txt", "");
    assert_refused("line 1 of its contents.txt");
    assert_int_equal(truncate("results/contents.txt", (off_t)1 << 32), 0); /* holes */
    put("results/own", "mine");
    assert_refused("'own' in it");
}

/* Devices, pipes and strangers below an otherwise good list. */
static void strangers(void **state)
{
    (void)state;
    assert_true(write_results("results", false, "first"));
    assert_int_equal(mkfifo("results/sound/pipe", 0666), 0);
    assert_refused("'sound/pipe' in it, which is none");
    assert_int_equal(unlink("results/sound/pipe"), 0);
    put("results/a", "mine");
    assert_int_equal(mkdir("results/b", 0777), 0);
    put("results/sound/c", "mine");
    put("results/d", "mine");
    assert_refused(" and 1 more in it, which are none");
}

static void changed(void **state)
{
    (void)state;
    assert_true(write_results("results", false, "first"));
    put("results/sound/two.wav", "FIRST");
    assert_refused("found 'sound/two.wav' changed since");
    assert_true(holds("results/sound/two.wav", "FIRST"));
    put("results/sound/two.wav", "first");
    assert_true(write_results("results", true, "second"));
}

/* Files that come, or change, after the look and before the exchange. */
static void comes_meanwhile(void **state)
{
    struct cw_folder folder;
    (void)state;
    assert_true(write_results("results", false, "first"));
    assert_int_equal(mkdir("results-kept", 0777), 0);
    assert_true(begin(&folder, "results", true));
    fill(&folder, "second");
    put("results/notes.txt", "mine");
    put("results/sound/one.wav", "FIRST");
    assert_true(finish(&folder));
    assert_said("kept in 'results-kept-2'");
    assert_said("'notes.txt'");
    assert_true(complete("results", "second"));
    assert_true(holds("results-kept-2/notes.txt", "mine") && holds("results-kept-2/sound/one.wav", "FIRST"));
    assert_false(there("results-kept-2/table.csv") || there("results-kept-2/contents.txt"));
    assert_int_equal(hidden(), 0);
}

static void place_taken_meanwhile(void **state)
{
    struct cw_folder folder;
    (void)state;
    assert_true(begin(&folder, "results", false));
    fill(&folder, "first");
    assert_int_equal(mkdir("results", 0777), 0);
    put("results/mine", "mine");
    assert_false(finish(&folder));
    assert_true(holds("results/mine", "mine"));
    assert_int_equal(hidden(), 0);
    /* One that was looked at, and another one in its place. */
    assert_true(write_results("other", false, "first"));
    assert_true(begin(&folder, "other", true));
    fill(&folder, "second");
    assert_int_equal(rename("other", "moved"), 0);
    assert_int_equal(rename("results", "other"), 0);
    assert_false(finish(&folder));
    assert_said("was replaced by something else");
    assert_true(holds("other/mine", "mine") && complete("moved", "first"));
    assert_int_equal(hidden(), 0);
}

static void stale_ones_named(void **state)
{
    (void)state;
    assert_int_equal(mkdir(".coilwright-AAAAAA", 0777), 0);
    int busy = open(".coilwright-AAAAAA", O_RDONLY | O_DIRECTORY);
    assert_int_equal(flock(busy, LOCK_EX), 0);
    assert_true(write_results("results", false, "first"));
    assert_string_equal(said, ""); /* a run at work */
    close(busy);
    assert_true(write_results("results", true, "second"));
    assert_said("'.coilwright-AAAAAA' is left of a run that was cut off");
    assert_true(there(".coilwright-AAAAAA"));
}

static void odd_places(void **state)
{
    (void)state;
    assert_int_equal(mkdir("results", 0777), 0);
    assert_int_equal(chdir("results"), 0);
    assert_false(write_results(".", true, "first"));
    assert_said("the one that this is at work in");
    assert_false(write_results("..", true, "first"));
    assert_false(write_results("/", true, "first"));
    assert_false(write_results("../results", true, "first"));
    assert_int_equal(chdir(".."), 0);
    assert_int_equal(symlink("gone", "dangling"), 0);
    assert_false(write_results("dangling", true, "first"));
    assert_said("found a link");
    assert_false(write_results("no/such", true, "first"));
    assert_said("cannot write here");
    /* A link that the person names is followed. */
    assert_int_equal(symlink("results", "by-link"), 0);
    assert_true(write_results("by-link", false, "first"));
    assert_true(complete("results", "first"));
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, enter, leave)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(replaced),      TEST(abandoned),        TEST(link_within),         TEST(link_for_directory),
        TEST(link_for_file), TEST(bad_lists),        TEST(somebody_elses_list), TEST(strange_lists),
        TEST(strangers),     TEST(changed),          TEST(comes_meanwhile),     TEST(place_taken_meanwhile),
        TEST(odd_places),    TEST(stale_ones_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
