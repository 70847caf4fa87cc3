/* SPDX-License-Identifier: ISC */
#define _XOPEN_SOURCE 700 /* realpath(), open_memstream() */

#include "journal_entry.h"

#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "claims.h"
#include "date.h"
#include "digest_file.h"
#include "escape.h"
#include "fingerprint.h"
#include "journal.h"
#include "output.h"
#include "sha256.h"
#include "show.h"

enum { PATH = 4096, JOURNAL_MOST = 1 << 28 };

/* ---- which journal ---- */

bool cw_journal_take(const struct cw_args *args, int id, struct cw_journal_request *request)
{
    if (id == CW_OPT_JOURNAL) {
        request->file = args->value;
    } else if (id == CW_OPT_BECAUSE) {
        request->because = args->value;
    }
    return id == CW_OPT_JOURNAL || id == CW_OPT_BECAUSE;
}

/* $XDG_CONFIG_HOME/coilwright/journal, by default under ~/.config (XDG Base Directory Specification); empty where there
 * is no home. Reports and returns false where the path is too long for a file of the system's. */
static bool configuration(char directory[PATH], char file[PATH + 32])
{
    const char *config = getenv("XDG_CONFIG_HOME"), *home = getenv("HOME");
    const bool by_home = !config || *config != '/';
    const char *above = by_home ? home : config;
    *file = '\0';
    if (!above || *above != '/') {
        return true;
    }
    int length = snprintf(directory, PATH, "%s%s", above, by_home ? "/.config" : "");
    if (length < 0 || snprintf(file, PATH + 32, "%s/coilwright/journal", directory) >= PATH || length >= PATH) {
        cw_error("%s: expected a path of at most %d bytes, found %zu", by_home ? "HOME" : "XDG_CONFIG_HOME", PATH - 32,
                 strlen(above));
        return false;
    }
    return true;
}

/* The one line of the configuration. \return false where it is none (errno, 0 for a line of another kind) */
static bool read_configuration(const char *file, char line[PATH])
{
    int descriptor = open(file, O_RDONLY | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    ssize_t length = descriptor >= 0 ? read(descriptor, line, PATH - 1) : -1;
    int reason = errno;
    if (descriptor >= 0) {
        close(descriptor);
    }
    errno = reason;
    if (length < 0) {
        return false;
    }
    line[length] = '\0';
    char *end = strchr(line, '\n');
    errno = 0;
    if (!end || *line != '/') {
        return false;
    }
    *end = '\0';
    return true;
}

bool cw_journal_configured(char **path)
{
    char directory[PATH], file[PATH + 32], line[PATH];
    *path = NULL;
    if (!configuration(directory, file)) {
        return false;
    }
    if (!*file) {
        return true;
    }
    if (!read_configuration(file, line)) {
        bool none = errno == ENOENT || errno == ENOTDIR;
        if (!none) {
            cw_error_at(file, 0, "expected the name of the journal, found %s (--journal - does without)",
                        errno ? strerror(errno) : "something else");
        }
        return none;
    }
    *path = strdup(line);
    if (!*path) {
        cw_error_memory();
    }
    return *path != NULL;
}

/* From whatever directory a command is run. Reports and returns NULL on failure. */
static char *whole_path(const char *file)
{
    char here[PATH] = "";
    if (*file != '/' && !getcwd(here, sizeof here)) {
        cw_error_at(file, 0, "expected a name from / on, since this directory has none: %s", strerror(errno));
        return NULL;
    }
    size_t room = strlen(here) + strlen(file) + 2;
    char *path = malloc(room);
    if (path) {
        snprintf(path, room, "%s%s%s", here, *here ? "/" : "", file);
    } else {
        cw_error_memory();
    }
    return path;
}

/* ---- the file ---- */

/* Read all of an open file. */
static char *read_all(int file, const char *path, size_t *length)
{
    struct stat status;
    if (fstat(file, &status) != 0 || !S_ISREG(status.st_mode) || status.st_size > JOURNAL_MOST) {
        cw_error_at(path, 0, "expected a journal, found something else");
        return NULL;
    }
    char *text = malloc((size_t)status.st_size + 1);
    *length = 0;
    if (!text) {
        cw_error_memory();
        return NULL;
    }
    for (ssize_t n; *length < (size_t)status.st_size &&
                    (n = pread(file, text + *length, (size_t)status.st_size - *length, (off_t)*length)) > 0;) {
        *length += (size_t)n;
    }
    text[*length] = '\0';
    return text;
}

char *cw_journal_text(const char *path, size_t *length)
{
    int file = open(path, O_RDONLY | O_NOCTTY | O_NONBLOCK);
    if (file < 0 && errno == ENOENT) {
        *length = 0;
        return strdup("");
    }
    if (file < 0) {
        cw_error_at(path, 0, "cannot read: %s", strerror(errno));
        return NULL;
    }
    char *text = read_all(file, path, length);
    close(file);
    return text;
}

/* Whether all of it holds but a last line that was cut off. \param torn bytes of that, which belong to no entry */
static bool holds(const char *path, const char *text, size_t length, struct cw_journal *journal, size_t *torn)
{
    *torn = cw_journal_torn(text, length);
    if (cw_journal_check(text, length - *torn, journal)) {
        return true;
    }
    cw_error_at(path, (unsigned)journal->line, "the journal is kept as it is: %s", journal->why);
    return false;
}

/* Append in one write and bring it to the disk; what was written of it in vain is taken back. */
static bool append(int file, const char *path, const char *text, size_t length, size_t at)
{
    errno = 0;
    ssize_t written = pwrite(file, text, length, (off_t)at);
    if (written == (ssize_t)length && fsync(file) == 0) {
        return true;
    }
    cw_error_at(path, 0, "cannot write: %s", errno ? strerror(errno) : "no space left");
    if (ftruncate(file, (off_t)at) != 0) {
        cw_error_at(path, 0, "cannot take back what was written of an entry");
    }
    return false;
}

/* One program at a time; a lock goes with the file's closing. */
static bool lock(int file)
{
    struct flock whole = {.l_type = F_WRLCK, .l_whence = SEEK_SET};
    while (fcntl(file, F_SETLKW, &whole) != 0) {
        if (errno != EINTR) {
            return false;
        }
    }
    return true;
}

/* ---- an entry ---- */

bool cw_journal_chosen(const char *file, char **path)
{
    if (!file) {
        return cw_journal_configured(path);
    }
    bool none = strcmp(file, "-") == 0;
    *path = none ? NULL : strdup(file);
    if (!none && !*path) {
        cw_error_memory();
    }
    return none || *path;
}

/* Whether it could be written to, or made, at this moment. */
static bool writable(const char *path)
{
    char *above = strdup(path);
    char *slash = above ? strrchr(above, '/') : NULL;
    if (slash) {
        slash[slash == above] = '\0';
    }
    bool good = access(path, F_OK) == 0 ? access(path, W_OK) == 0 : access(slash ? above : ".", W_OK | X_OK) == 0;
    if (!good) {
        cw_error_at(path, 0, "cannot write here: %s", strerror(errno));
    }
    free(above);
    return good;
}

bool cw_journal_ready(const struct cw_journal_request *request)
{
    struct cw_journal journal;
    size_t length, torn;
    char *path;
    if (!cw_journal_chosen(request->file, &path)) {
        return false;
    }
    char *text = path ? cw_journal_text(path, &length) : NULL;
    bool good = !path || (text && holds(path, text, length, &journal, &torn) && writable(path) && cw_claim_read(path));
    free(text);
    free(path);
    return good;
}

/* ---- naming it once ---- */

/* A name that a line holds, of a journal that holds or is not there yet. */
static bool usable(const char *path)
{
    if (strchr(path, '\n')) {
        cw_error_at(path, 0, "expected a name in one line");
        return false;
    }
    return cw_journal_ready(&(struct cw_journal_request){.file = path});
}

static bool forget(const char *where)
{
    if (remove(where) == 0 || errno == ENOENT) {
        return true;
    }
    cw_error_at(where, 0, "cannot be removed: %s", strerror(errno));
    return false;
}

bool cw_journal_configure(const char *file)
{
    char directory[PATH], where[PATH + 32], own[PATH + 16];
    struct cw_output output;
    if (!configuration(directory, where)) {
        return false;
    }
    if (!*where) {
        cw_error("no configuration: HOME is not set");
        return false;
    }
    if (strcmp(file, "-") == 0) {
        return forget(where);
    }
    char *path = whole_path(file);
    snprintf(own, sizeof own, "%s/coilwright", directory);
    bool good = path && usable(path);
    if (good) {
        mkdir(directory, 0700);
        mkdir(own, 0700);
        good = cw_output_open(&output, where, true);
    }
    if (good) {
        fprintf(output.stream, "%s\n", path);
        good = cw_output_commit(&output);
    }
    free(path);
    return good;
}

/* ---- what is noted ---- */

bool cw_entry_begin(struct cw_entry *entry, const struct cw_journal_request *request, const char *command)
{
    *entry = (struct cw_entry){0};
    if (!cw_journal_chosen(request->file, &entry->path)) {
        return false;
    }
    if (!entry->path) {
        return true;
    }
    entry->stream = open_memstream(&entry->text, &entry->size);
    if (!entry->stream) {
        cw_error_memory();
        cw_entry_drop(entry);
        return false;
    }
    fprintf(entry->stream, "\t%s", command);
    if (request->because) {
        cw_entry_add(entry, "because", "%s", request->because);
    }
    return true;
}

void cw_entry_add(struct cw_entry *entry, const char *key, const char *format, ...)
{
    va_list arguments, again;
    if (!entry->stream) {
        return;
    }
    va_start(arguments, format);
    va_copy(again, arguments);
    int length = vsnprintf(NULL, 0, format, again);
    va_end(again);
    size_t size = length < 0 ? 1 : (size_t)length + 1, room = CW_PIECE_BYTES * size;
    char *value = malloc(size), *field = malloc(room);
    if (value && field && length >= 0) {
        vsnprintf(value, size, format, arguments);
        fprintf(entry->stream, "\t%s=%s", key, cw_journal_field(value, field, room));
    } else {
        entry->failed = true;
    }
    va_end(arguments);
    free(value);
    free(field);
}

void cw_entry_add_file(struct cw_entry *entry, const char *key, const char *path)
{
    char digest[CW_SHA256_TEXT];
    if (entry->stream && path) {
        bool read = access(path, R_OK) == 0 && cw_digest_file(path, digest);
        cw_entry_add(entry, key, "%s%s%s", path, read ? " " : "", read ? digest : "");
    }
}

void cw_entry_add_setup(struct cw_entry *entry, const char *key, const char *label, const struct cw_setup *setup)
{
    unsigned char digest[CW_SHA256_BYTES];
    char hex[CW_SHA256_TEXT];
    if (entry->stream) {
        cw_fingerprint(setup, digest);
        cw_entry_add(entry, key, "%s %s", label, cw_sha256_print(digest, hex));
    }
}

/* The whole line: its number and time in front, its chain behind. */
static char *line_of(const struct cw_entry *entry, struct cw_journal *journal, bool first, size_t torn, size_t *length)
{
    char now[CW_NOW_TEXT], chain[CW_SHA256_TEXT], *line = NULL;
    FILE *stream = cw_now(now) ? open_memstream(&line, length) : NULL;
    if (!stream) {
        return NULL;
    }
    size_t from = first ? sizeof CW_JOURNAL_FIRST - 1 : 0;
    fputs(first ? CW_JOURNAL_FIRST : "", stream);
    fprintf(stream, "%zu\t%s%s", journal->count + 1, now, entry->text);
    if (torn > 0) {
        fprintf(stream, "\ttorn=%zu bytes before", torn);
    }
    if (fflush(stream) == 0) {
        cw_journal_chain(journal->head, line + from, *length - from, chain);
        fprintf(stream, "\tchain=%s\n", chain);
        memcpy(journal->head, chain, sizeof chain);
    }
    if (fclose(stream) != 0) {
        free(line);
        return NULL;
    }
    return line;
}

/* A last entry that lacks no more than its line's end, as an editor may take it away, gets it back. */
static bool complete(int file, char *text, struct cw_journal *journal, size_t *length)
{
    struct cw_journal whole;
    text[*length] = '\n'; /* over the zero behind it */
    if (!cw_journal_check(text, *length + 1, &whole) || pwrite(file, "\n", 1, (off_t)*length) != 1) {
        return false;
    }
    *journal = whole;
    ++*length;
    return true;
}

/* A program that died, or a full disk, left a part of a line. Nobody was told that it is there. */
static bool mend(int file, const char *path, char *text, struct cw_journal *journal, size_t *torn, size_t *length)
{
    if (*torn > 0 && complete(file, text, journal, length)) {
        *torn = 0;
    }
    if (*torn == 0) {
        return true;
    }
    *length -= *torn;
    if (ftruncate(file, (off_t)*length) != 0) {
        cw_error_at(path, 0, "cannot write: %s", strerror(errno));
        return false;
    }
    cw_error_at(path, (unsigned)journal->count + 2,
                "an entry was cut off while it was written: its %zu bytes are taken off, which the next one notes",
                *torn);
    return true;
}

static bool append_entry(const struct cw_entry *entry, int file, struct cw_journal *journal)
{
    size_t length, line_length, torn;
    char *text = lock(file) ? read_all(file, entry->path, &length) : NULL;
    bool good = text && holds(entry->path, text, length, journal, &torn) &&
                mend(file, entry->path, text, journal, &torn, &length);
    char *line = good ? line_of(entry, journal, length == 0, torn, &line_length) : NULL;
    if (good && !line) {
        cw_error_memory();
    }
    good = line && append(file, entry->path, line, line_length, length);
    free(line);
    free(text);
    return good;
}

bool cw_entry_append(struct cw_entry *entry, struct cw_journal *journal)
{
    *journal = (struct cw_journal){.count = 0};
    if (!entry->stream) {
        return true;
    }
    bool good = fclose(entry->stream) == 0 && !entry->failed;
    entry->stream = NULL;
    if (!good) {
        errno = ENOMEM;
    }
    int file = good ? open(entry->path, O_RDWR | O_CREAT | O_NOCTTY | O_NONBLOCK, 0666) : -1;
    if (file < 0) {
        cw_error_at(entry->path, 0, "cannot write here: %s", strerror(errno));
    }
    good = file >= 0 && append_entry(entry, file, journal);
    if (file >= 0) {
        close(file);
    }
    if (!good) {
        cw_error_at(entry->path, 0, "has no entry of this, which was done all the same");
    }
    journal->count = good ? journal->count + 1 : 0;
    return good;
}

void cw_entry_say(const struct cw_entry *entry, const struct cw_journal *journal, FILE *stream)
{
    if (journal->count > 0) {
        fprintf(stream, "Entry %zu of the journal ", journal->count);
        cw_print_shown(stream, entry->path);
        fprintf(stream, ", head %.16s\n", journal->head);
    }
}

bool cw_entry_finish(struct cw_entry *entry, FILE *stream)
{
    struct cw_journal journal;
    bool good = cw_entry_append(entry, &journal);
    if (stream) {
        cw_entry_say(entry, &journal, stream);
    }
    cw_entry_drop(entry);
    return good;
}

void cw_entry_drop(struct cw_entry *entry)
{
    if (entry->stream) {
        fclose(entry->stream);
    }
    free(entry->text);
    free(entry->path);
    *entry = (struct cw_entry){0};
}
