/* SPDX-License-Identifier: ISC */
#define _POSIX_C_SOURCE 200809L /* open_memstream(), fmemopen() */

#include "blind_key.h"

#include <errno.h>
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "answer_code.h"
#include "escape.h"
#include "input.h"
#include "message.h"

/* Eight candidates and 62 trials take a tenth of it. */
enum { KEY_MOST = 1 << 16 };

/* What is proved more loosely is not proved. */
static const double LEVEL_MOST = 0.2;

static void print_candidate(FILE *stream, const char *what, const struct cw_key_candidate *candidate)
{
    fprintf(stream, "%s %s %s\n", what, candidate->digest, candidate->label);
}

void cw_key_print(FILE *stream, const struct cw_key *key)
{
    const struct cw_letter *letter = &key->letter;
    fputs("coilwright key 1\nsalt ", stream);
    for (int i = 0; i < CW_SALT_WORDS; i++) {
        fprintf(stream, "%08" PRIx32, key->salt[i]);
    }
    fprintf(stream, "\nletter %07" PRIx32 "\nquestion %s\nlevel %g\nrecording %s\n", letter->id,
            cw_question_word[letter->question], letter->level, key->recording);
    for (int i = 0; i < letter->candidates; i++) {
        print_candidate(stream, "candidate", &key->candidate[i]);
    }
    if (key->has_reference) {
        print_candidate(stream, "reference", &key->reference);
    }
    fprintf(stream, "trials %d\n", letter->count);
    for (int i = 0; i < letter->count; i++) {
        fprintf(stream, "trial %d %d %d\n", i + 1, letter->trial[i].first + 1, letter->trial[i].second + 1);
    }
}

/* As it is written. Reports and returns NULL where memory runs out. */
static char *text_of(const struct cw_key *key, size_t *size)
{
    char *written = NULL;
    FILE *stream = open_memstream(&written, size);
    if (stream) {
        cw_key_print(stream, key);
    }
    if (!stream || fclose(stream) != 0) {
        free(written);
        cw_error_memory();
        return NULL;
    }
    return written;
}

bool cw_key_digest(const struct cw_key *key, char text[CW_SHA256_TEXT])
{
    size_t size = 0;
    unsigned char digest[CW_SHA256_BYTES];
    char *written = text_of(key, &size);
    if (!written) {
        return false;
    }
    cw_sha256(written, size, digest);
    cw_sha256_print(digest, text);
    free(written);
    return true;
}

/* The lines of a key, one after another. */
struct reader {
    FILE *file;
    const char *path;
    unsigned line;
    char text[512];
};

static bool wrong(struct reader *in, const char *expected)
{
    cw_error_at(in->path, in->line, "expected %s", expected);
    return false;
}

/* The rest of the next line, which begins with a word. */
static const char *next_line(struct reader *in, const char *word)
{
    size_t length = strlen(word);
    in->line++;
    if (!fgets(in->text, sizeof in->text, in->file)) {
        in->text[0] = '\0';
    }
    in->text[strcspn(in->text, "\n")] = '\0';
    return strncmp(in->text, word, length) == 0 && in->text[length] == ' ' ? in->text + length + 1 : NULL;
}

static bool take_candidate(const char *rest, struct cw_key_candidate *candidate)
{
    if (!rest || strlen(rest) < CW_SHA256_TEXT || rest[CW_SHA256_TEXT - 1] != ' ' ||
        strspn(rest, "0123456789abcdef") != CW_SHA256_TEXT - 1) {
        return false;
    }
    memcpy(candidate->digest, rest, CW_SHA256_TEXT - 1);
    candidate->digest[CW_SHA256_TEXT - 1] = '\0';
    cw_show(rest + CW_SHA256_TEXT, candidate->label, sizeof candidate->label);
    return true;
}

/* A whole number within limits, with a blank or the end behind it. */
static bool take_number(const char **at, int least, int most, int *number)
{
    char *end;
    errno = 0;
    long value = strtol(*at, &end, 10);
    bool good = end > *at && errno == 0 && value >= least && value <= most && (*end == ' ' || *end == '\0');
    *at = end;
    *number = good ? (int)value : 0;
    return good;
}

static bool read_salt(struct reader *in, struct cw_key *key)
{
    const char *rest = next_line(in, "salt");
    if (!rest || strspn(rest, "0123456789abcdef") != 8 * CW_SALT_WORDS || rest[8 * CW_SALT_WORDS]) {
        return wrong(in, "salt and 64 hexadecimal digits");
    }
    for (int i = 0; i < CW_SALT_WORDS; i++) {
        char word[9];
        snprintf(word, sizeof word, "%.8s", rest + (size_t)8 * (size_t)i);
        key->salt[i] = (uint32_t)strtoul(word, NULL, 16);
    }
    return true;
}

static bool read_question(struct reader *in, struct cw_letter *letter)
{
    const char *rest = next_line(in, "letter");
    char *end;
    letter->id = rest ? (uint32_t)strtoul(rest, &end, 16) : 0;
    if (!rest || strlen(rest) != 7 || *end || letter->id >= 1u << 26) {
        return wrong(in, "letter and 7 hexadecimal digits");
    }
    rest = next_line(in, "question");
    letter->question = CW_QUESTIONS;
    for (int i = 0; rest && i < CW_QUESTIONS; i++) {
        letter->question = strcmp(rest, cw_question_word[i]) == 0 ? (enum cw_question)i : letter->question;
    }
    if (letter->question == CW_QUESTIONS) {
        return wrong(in, "question and prefer, brighter, nearer or differ");
    }
    rest = next_line(in, "level");
    letter->level = rest ? strtod(rest, &end) : 0.0;
    return (rest && *end == '\0' && letter->level > 0.0 && letter->level <= LEVEL_MOST) ||
           wrong(in, "level and a probability of at most 0.2");
}

/* Candidates, perhaps a reference, and the number of trials, which the line after them tells. */
static bool read_candidates(struct reader *in, struct cw_key *key)
{
    struct cw_letter *letter = &key->letter;
    const char *rest = next_line(in, "recording");
    if (!rest || strspn(rest, "0123456789abcdef") != CW_SHA256_TEXT - 1 || rest[CW_SHA256_TEXT - 1]) {
        return wrong(in, "recording and its SHA-256");
    }
    snprintf(key->recording, sizeof key->recording, "%s", rest);
    while ((rest = next_line(in, "candidate")) != NULL) {
        if (letter->candidates == CW_LETTER_CANDIDATES ||
            !take_candidate(rest, &key->candidate[letter->candidates++])) {
            return wrong(in, "at most 8 candidates, each with a SHA-256 and a name");
        }
    }
    key->has_reference = strncmp(in->text, "reference ", 10) == 0;
    if (key->has_reference && !take_candidate(in->text + 10, &key->reference)) {
        return wrong(in, "reference, a SHA-256 and a name");
    }
    if (key->has_reference) {
        next_line(in, "trials");
    }
    rest = in->text + strlen("trials ");
    return (letter->candidates >= 2 && strncmp(in->text, "trials ", 7) == 0 &&
            take_number(&rest, 1, CW_ANSWERS_MAX, &letter->count) && !*rest) ||
           wrong(in, "two candidates or more, then trials and their number");
}

static bool read_trials(struct reader *in, struct cw_letter *letter)
{
    for (int i = 0; i < letter->count; i++) {
        int number = 0, first = 0, second = 0;
        const char *rest = next_line(in, "trial");
        if (!rest || !take_number(&rest, i + 1, i + 1, &number) || !take_number(&rest, 1, letter->candidates, &first) ||
            !take_number(&rest, 1, letter->candidates, &second) || *rest) {
            return wrong(in, "trial, its number and two candidates");
        }
        letter->trial[i] = (struct cw_trial){first - 1, second - 1};
    }
    in->line++;
    return fgetc(in->file) == EOF || wrong(in, "the end after the last trial");
}

/* A key is the bytes that were committed to: what could be written otherwise and say the same, or be seen otherwise
 * than it is read, is none. An editor may take away the last line's end. */
static bool is_as_written(const char *path, const struct cw_key *key, const char *text, size_t length)
{
    size_t size = 0, at = 0;
    unsigned line = 1;
    char *written = text_of(key, &size);
    if (!written) {
        return false;
    }
    while (at < size && at < length && written[at] == text[at]) {
        line += text[at++] == '\n';
    }
    bool good = at == length && (at == size || (at + 1 == size && length > 0));
    if (!good) {
        cw_error_at(path, line, "expected this line of a key as coilwright blind writes it, found it otherwise");
    }
    free(written);
    return good;
}

bool cw_key_read(const char *path, struct cw_key *key, char digest[CW_SHA256_TEXT])
{
    size_t length;
    memset(key, 0, sizeof *key);
    char *text = cw_input_text(path, "a key of a letter (coilwright key 1)", KEY_MOST, &length);
    struct reader in = {.file = text ? fmemopen(text, length, "r") : NULL, .path = path};
    if (!in.file) {
        if (text) {
            cw_error_memory();
        }
        free(text);
        return false;
    }
    if (digest) {
        unsigned char bytes[CW_SHA256_BYTES];
        cw_sha256(text, length, bytes);
        cw_sha256_print(bytes, digest);
    }
    bool good = next_line(&in, "coilwright") && strcmp(in.text, "coilwright key 1") == 0;
    good = good ? read_salt(&in, key) && read_question(&in, &key->letter) && read_candidates(&in, key) &&
                      read_trials(&in, &key->letter)
                : wrong(&in, "a key of a letter (coilwright key 1)");
    good = good && is_as_written(path, key, text, length);
    fclose(in.file);
    free(text);
    return good;
}
