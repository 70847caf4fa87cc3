/* SPDX-License-Identifier: ISC */
/* Command lines: every command with any words. The input is text, one word a line, the first of them
 * the command. Words cannot leave the scratch directory: a slash becomes an underline. Whatever
 * happens, the exit status is one of three and nothing unfinished is left. */

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "audio.h"
#include "candidate.h"
#include "command.h"
#include "fuzz.h"
#include "output.h"
#include "preset_save.h"
#include "setup.h"

enum { WORDS_MAX = 40, WORD_MAX = 400 };
/* No command writes more than this: a full disk is met often, and a plot of any size is short. */
enum { FILE_LIMIT = 1 << 18 };

static const struct cw_command commands[] = {
#define CW_COMMAND(name, who, summary) {#name, who, summary, cw_cmd_##name, cw_usage_##name},
#include "commands.def"
#undef CW_COMMAND
};
enum { COMMANDS = sizeof commands / sizeof commands[0] };

static void make_preset(const char *path, bool pair, int coils)
{
    struct cw_setup one, two;
    cw_setup_defaults(&one);
    one.value[CW_P_COILS] = coils;
    two = one;
    two.value[CW_P_SPLIT] = 1;
    const struct cw_setup *setups[CW_SETUPS] = {NULL, &one, pair ? &two : NULL};
    FUZZ_REQUIRE(cw_candidate_save(path, "Test", NULL, setups, true));
}

static void make_recording(const char *path)
{
    struct cw_audio_out out;
    float samples[8000];
    for (int i = 0; i < 8000; i++) {
        samples[i] = (float)((i * 7919) % 2001 - 1000) * 4e-4f;
    }
    FUZZ_REQUIRE(cw_audio_create(&out, path, 8000, false, 8000));
    FUZZ_REQUIRE(cw_audio_write(&out, samples, 8000) && cw_audio_finish(&out));
}

static void make_broken(const char *path)
{
    FILE *file = fopen(path, "w");
    FUZZ_REQUIRE(file && fputs("<> a <b> ; ", file) >= 0 && fclose(file) == 0);
}

static void make_one(const char *path) { make_preset(path, false, CW_COILS_ONE); }
static void make_series(const char *path) { make_preset(path, false, CW_COILS_SERIES); }
static void make_pair(const char *path) { make_preset(path, true, CW_COILS_SERIES); }

/* What the words may name. A command may replace them: then they are made anew. */
enum { INPUTS = 5 };
static const char *const inputs[INPUTS] = {"a.ttl", "s.ttl", "p.ttl", "broken.ttl", "di.wav"};
static void (*const make_input[INPUTS])(const char *) = {make_one, make_series, make_pair, make_broken, make_recording};
static ino_t inode[INPUTS];

static void renew_inputs(void)
{
    struct stat status;
    for (int i = 0; i < INPUTS; i++) {
        if (stat(inputs[i], &status) != 0 || status.st_ino != inode[i]) {
            make_input[i](inputs[i]);
            FUZZ_REQUIRE(stat(inputs[i], &status) == 0);
            inode[i] = status.st_ino;
        }
    }
}

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    fuzz_enter_scratch();
    cw_output_guard();
    renew_inputs();
    struct rlimit limit = {FILE_LIMIT, FILE_LIMIT};
    setrlimit(RLIMIT_FSIZE, &limit);
    return 0;
}

static int words_of(char *text, char **words)
{
    int count = 0;
    for (char *at = text; at && count < WORDS_MAX;) {
        char *end = strchr(at, '\n');
        if (end) {
            *end = '\0';
        }
        if (strlen(at) > WORD_MAX) {
            at[WORD_MAX] = '\0';
        }
        words[count++] = at;
        at = end ? end + 1 : NULL;
    }
    words[count] = NULL;
    return count;
}

static void stay_here(char *text)
{
    for (char *slash; (slash = strchr(text, '/'));) {
        *slash = '_';
    }
    for (char *dots; (dots = strstr(text, ".."));) {
        *dots = '_';
    }
    for (char *unfinished; (unfinished = strstr(text, ".coilwright-"));) {
        *unfinished = '_'; /* an output of that name is no leftover */
    }
}

/* Long renders are work, not faults: a length or a rate of many digits is cut. */
static void keep_short(char *text)
{
    int digits = 0;
    for (; *text; text++) {
        digits = *text >= '0' && *text <= '9' ? digits + 1 : 0;
        if (digits > 5) {
            *text = '.';
        }
    }
}

static void require_nothing_unfinished(void)
{
    DIR *directory = opendir(".");
    for (struct dirent *entry; (entry = readdir(directory));) {
        FUZZ_REQUIRE(strncmp(entry->d_name, ".coilwright-", 12) != 0);
    }
    closedir(directory);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *words[WORDS_MAX + 1], *text = malloc(size + 1);
    memcpy(text, data, size);
    text[size] = '\0';
    stay_here(text);
    keep_short(text);
    int count = words_of(text, words);
    for (int i = 0; i < COMMANDS; i++) {
        if (strcmp(words[0], commands[i].name) == 0) {
            int status = commands[i].run(count, words);
            FUZZ_REQUIRE(status == CW_DONE || status == CW_FAILED || status == CW_BAD_USAGE);
            clearerr(stdout);
            require_nothing_unfinished();
            fuzz_clear_scratch(inputs, INPUTS);
            renew_inputs();
        }
    }
    free(text);
    return 0;
}
