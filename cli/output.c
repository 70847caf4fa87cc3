/* SPDX-License-Identifier: ISC */
#define _DEFAULT_SOURCE /* flock(); realpath() */

#include "output.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "below.h"
#include "claims.h"
#include "journal.h"
#include "message.h"

static struct cw_output *volatile unfinished;
static const int guarded[] = {SIGINT, SIGTERM, SIGHUP};
enum { GUARDED = sizeof guarded / sizeof guarded[0] };

/* How long a pipe may wait for somebody to read it, 2 s, and a process for its turn, 10 s. */
enum { STEP_MS = 20, PIPE_STEPS = 100, TURN_STEPS = 500 };
static const struct timespec step = {.tv_nsec = STEP_MS * 1000000};

/* Only async-signal-safe calls here. The list is never half-edited: edits block these signals. */
static void remove_unfinished(int number)
{
    for (struct cw_output *o = unfinished; o; o = o->next) {
        unlink(o->temporary);
    }
    signal(number, SIG_DFL);
    raise(number);
}

void cw_output_guard(void)
{
    struct sigaction action;
    memset(&action, 0, sizeof action);
    sigemptyset(&action.sa_mask);
    for (int i = 0; i < GUARDED; i++) {
        struct sigaction old;
        /* A signal that is ignored, as under nohup, stays so. */
        if (sigaction(guarded[i], NULL, &old) == 0 && old.sa_handler != SIG_IGN) {
            action.sa_handler = remove_unfinished;
            sigaction(guarded[i], &action, NULL);
        }
    }
    action.sa_handler = SIG_IGN;
    sigaction(SIGPIPE, &action, NULL);
    sigaction(SIGXFSZ, &action, NULL);
}

static void block_signals(sigset_t *old)
{
    sigset_t set;
    sigemptyset(&set);
    for (int i = 0; i < GUARDED; i++) {
        sigaddset(&set, guarded[i]);
    }
    sigprocmask(SIG_BLOCK, &set, old);
}

static void list_remove(struct cw_output *output)
{
    struct cw_output *o = unfinished;
    if (o == output) {
        unfinished = output->next;
        return;
    }
    for (; o; o = o->next) {
        if (o->next == output) {
            o->next = output->next;
            return;
        }
    }
}

static void free_names(struct cw_output *output)
{
    free(output->path);
    free(output->target);
    free(output->temporary);
    memset(output, 0, sizeof *output);
}

/* The file that the path stands for: links are followed, so that force replaces what they name. */
static char *resolve(const char *path)
{
    char *real = realpath(path, NULL);
    return real ? real : strdup(path);
}

static char *temporary_for(const char *target)
{
    const char *slash = strrchr(target, '/');
    int directory = slash ? (int)(slash - target) + 1 : 0;
    size_t size = (size_t)directory + sizeof ".coilwright-XXXXXX";
    char *name = malloc(size);
    if (name) {
        snprintf(name, size, "%.*s.coilwright-XXXXXX", directory, target);
    }
    return name;
}

/* mkstemp() makes files for the owner only; give what an ordinary new file would have. */
static void ordinary_mode(int descriptor)
{
    mode_t mask = umask(0);
    umask(mask);
    (void)fchmod(descriptor, 0666 & ~mask);
}

/* Records that are only ever appended to: replaced, nothing shows what they held. */
static const struct {
    const char *first, *what;
    size_t length;
} records[] = {
    {CW_JOURNAL_FIRST, "a journal", sizeof CW_JOURNAL_FIRST - 1},
    {"SQLite format 3", "a database", sizeof "SQLite format 3"},
};

/* What stands there is a record. \return its name, or NULL */
static const char *record_at(const char *target)
{
    char found[sizeof CW_JOURNAL_FIRST];
    int file = open(target, O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
    ssize_t length = file >= 0 ? read(file, found, sizeof found) : 0;
    if (file >= 0) {
        close(file);
    }
    for (size_t i = 0; i < sizeof records / sizeof records[0]; i++) {
        if (length >= (ssize_t)records[i].length && memcmp(found, records[i].first, records[i].length) == 0) {
            return records[i].what;
        }
    }
    return NULL;
}

/* Whether the file may be written, or what stands there replaced, whatever force says. \param look later, not now */
static bool allowed(const struct cw_output *output, bool look)
{
    const char *record = record_at(output->target);
    if (record) {
        cw_error_at(output->path, 0, "is %s, which is never replaced, with --force neither", record);
        return false;
    }
    return (look ? cw_claim_promise : cw_claim_write)(output->target, output->path);
}

static bool open_temporary(struct cw_output *output, bool look)
{
    output->target = resolve(output->path);
    if (output->target && !allowed(output, look)) {
        return false;
    }
    output->temporary = output->target ? temporary_for(output->target) : NULL;
    if (!output->temporary) {
        cw_error_memory();
        return false;
    }
    sigset_t old;
    block_signals(&old);
    int descriptor = mkstemp(output->temporary);
    if (descriptor >= 0) {
        output->next = unfinished;
        unfinished = output;
    }
    int reason = errno;
    sigprocmask(SIG_SETMASK, &old, NULL);
    if (descriptor < 0) {
        cw_error_at(output->path, 0, "cannot write here: %s", strerror(reason));
        return false;
    }
    ordinary_mode(descriptor);
    output->stream = fdopen(descriptor, "w+");
    if (!output->stream) {
        close(descriptor);
        cw_output_abandon(output);
        cw_error_memory();
        return false;
    }
    return true;
}

/* A device, or a pipe that somebody reads; one that nobody reads would wait for ever. */
static FILE *open_device(const char *path)
{
    int file = -1;
    for (int i = 0; i < PIPE_STEPS && file < 0; i++) {
        file = open(path, O_WRONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
        if (file < 0 && errno != ENXIO) {
            return NULL;
        }
        if (file < 0) {
            nanosleep(&step, NULL);
        }
    }
    if (file < 0 || fcntl(file, F_SETFL, 0) != 0) {
        errno = ENXIO;
        return NULL;
    }
    return fdopen(file, "w");
}

static bool open_in_place(struct cw_output *output)
{
    output->stream = strcmp(output->path, "-") == 0 ? stdout : open_device(output->path);
    if (!output->stream && errno == ENXIO) {
        cw_error_at(output->path, 0, "cannot write here: nobody reads this pipe");
    } else if (!output->stream) {
        cw_error_at(output->path, 0, "cannot write here: %s", strerror(errno));
    }
    return output->stream != NULL;
}

bool cw_output_directory(const char *path)
{
    struct stat there;
    if (mkdir(path, 0777) != 0 && !(stat(path, &there) == 0 && S_ISDIR(there.st_mode))) {
        cw_error_at(path, 0, "cannot be made a directory: %s", strerror(errno));
        return false;
    }
    if (access(path, W_OK | X_OK) != 0) {
        cw_error_at(path, 0, "cannot write here: %s", strerror(errno));
        return false;
    }
    return true;
}

bool cw_output_plain(const char *path, const char *what)
{
    struct stat status;
    bool plain = lstat(path, &status) != 0 || S_ISREG(status.st_mode);
    if (!plain) {
        cw_error_at(path, 0, "expected %s to replace, found %s", what,
                    S_ISLNK(status.st_mode) ? "a link" : "something else");
    }
    return plain;
}

static bool begin(struct cw_output *output, const char *path, bool force, bool look)
{
    memset(output, 0, sizeof *output);
    struct stat status;
    bool is_stdout = strcmp(path, "-") == 0;
    bool exists = !is_stdout && stat(path, &status) == 0;
    bool directory = exists && S_ISDIR(status.st_mode);
    bool regular = exists && S_ISREG(status.st_mode);
    if (!*path || directory || (regular && !force)) {
        cw_error_at(*path ? path : "output file", 0, "%s",
                    !*path      ? "expected a file name, found an empty one"
                    : directory ? "expected a file to write, found a directory"
                                : "is there already (--force replaces it)");
        return false;
    }
    output->force = force;
    output->path = strdup(path);
    if (!output->path) {
        cw_error_memory();
        return false;
    }
    bool in_place = is_stdout || (exists && !regular);
    bool opened = !in_place ? open_temporary(output, look) : look || open_in_place(output);
    if (!opened) {
        free_names(output);
    }
    return opened;
}

bool cw_output_open(struct cw_output *output, const char *path, bool force)
{
    return begin(output, path, force, false);
}

bool cw_outputs_ready(const char *const *path, size_t count, bool force)
{
    bool good = true;
    for (size_t i = 0; i < count && good; i++) {
        struct cw_output output = {0};
        good = !path[i] || begin(&output, path[i], force, true);
        cw_output_abandon(&output);
    }
    return good;
}

/* The directory that a file stands in; NULL where memory runs out. */
static char *directory_of(const char *path)
{
    char *directory = strdup(path);
    char *slash = directory ? strrchr(directory, '/') : NULL;
    if (slash) {
        slash[slash == directory] = '\0';
    } else if (directory) {
        free(directory);
        directory = strdup(".");
    }
    return directory;
}

int cw_output_turn(const char *path)
{
    char *directory = directory_of(path);
    int turn = directory ? open(directory, O_RDONLY | O_DIRECTORY | O_CLOEXEC) : -1;
    free(directory);
    bool taken = turn >= 0 && flock(turn, LOCK_EX | LOCK_NB) == 0;
    for (int i = 0; turn >= 0 && !taken && errno == EWOULDBLOCK && i < TURN_STEPS; i++) {
        nanosleep(&step, NULL);
        taken = flock(turn, LOCK_EX | LOCK_NB) == 0;
    }
    if (turn >= 0 && !taken) {
        close(turn);
    }
    return taken ? turn : -1;
}

bool cw_output_write(struct cw_output *output, const void *bytes, size_t count)
{
    bool good = fwrite(bytes, 1, count, output->stream) == count;
    if (!good && !output->reason) {
        output->reason = errno;
    }
    return good;
}

const char *cw_output_take_name(struct cw_output *output)
{
    if (output->stream && output->stream != stdout) {
        fclose(output->stream);
    }
    output->stream = NULL;
    if (output->temporary) {
        return output->temporary;
    }
    return strcmp(output->path, "-") == 0 ? "/dev/stdout" : output->path;
}

static bool close_stream(struct cw_output *output)
{
    FILE *stream = output->stream;
    output->stream = NULL;
    if (!stream) {
        return true;
    }
    bool good = !ferror(stream);
    /* What a stream failed of long ago, errno still tells where nothing else failed since. */
    errno = good ? 0 : output->reason ? output->reason : errno;
    good = good && fflush(stream) == 0;
    if (stream != stdout) {
        good = fclose(stream) == 0 && good;
    }
    if (!good) {
        cw_error_at(strcmp(output->path, "-") == 0 ? "standard output" : output->path, 0, "cannot write: %s",
                    errno ? strerror(errno) : "write error");
    }
    return good;
}

/* Brings a file, or a directory's names, to the disk: a name that outlives a power cut must not stand for an
 * empty file. It is opened anew, since a library may have written and closed it. */
static bool make_durable(const char *name, int flags)
{
    int descriptor = open(name, flags | O_RDONLY | O_CLOEXEC);
    if (descriptor < 0) {
        return false;
    }
    bool good = cw_below_durable(descriptor);
    int reason = errno;
    close(descriptor);
    errno = reason;
    return good;
}

/* The names of the directory that the target stands in. What is published by now is not taken back where
 * this fails. */
static void make_name_durable(const char *target)
{
    char *directory = directory_of(target);
    if (directory) {
        (void)!make_durable(directory, O_DIRECTORY);
    }
    free(directory);
}

static bool settle_file(const struct cw_output *output)
{
    if (make_durable(output->temporary, 0)) {
        return true;
    }
    cw_error_at(output->path, 0, "cannot write: %s", strerror(errno));
    return false;
}

/* What was not known when the output was begun: that the command reads the file. */
static bool is_read(const struct cw_output *output)
{
    struct stat status;
    const char *name = stat(output->target, &status) == 0 ? cw_claimed_name(&status) : NULL;
    if (name) {
        cw_error_at(output->path, 0, CW_CLAIM_MESSAGE, name);
    }
    return name != NULL;
}

/* Without force the name must still be free at this moment: link() refuses what rename() would
 * replace. File systems without hard links fall back to a look and a rename. */
static bool publish(const struct cw_output *output)
{
    if (!settle_file(output)) {
        return false;
    }
    if (!output->force) {
        if (link(output->temporary, output->target) == 0) {
            unlink(output->temporary);
            return true;
        }
        if (errno == EEXIST || access(output->target, F_OK) == 0) {
            cw_error_at(output->path, 0, "is there already (--force replaces it)");
            return false;
        }
    }
    if (is_read(output)) {
        return false;
    }
    if (rename(output->temporary, output->target) == 0) {
        return true;
    }
    cw_error_at(output->path, 0, "cannot write here: %s", strerror(errno));
    return false;
}

bool cw_output_settle(struct cw_output *output)
{
    return close_stream(output) && (!output->temporary || settle_file(output));
}

bool cw_output_clear(const struct cw_output *output)
{
    if (!output->temporary || !output->force) {
        return true;
    }
    if (unlink(output->target) != 0 && errno != ENOENT) {
        cw_error_at(output->path, 0, "cannot replace: %s", strerror(errno));
        return false;
    }
    make_name_durable(output->target);
    return true;
}

bool cw_output_commit(struct cw_output *output)
{
    bool good = close_stream(output);
    if (output->temporary) {
        sigset_t old;
        block_signals(&old);
        good = good && publish(output);
        if (good) {
            make_name_durable(output->target);
        } else {
            unlink(output->temporary);
        }
        list_remove(output);
        sigprocmask(SIG_SETMASK, &old, NULL);
    }
    free_names(output);
    return good;
}

void cw_output_abandon(struct cw_output *output)
{
    if (output->stream && output->stream != stdout) {
        fclose(output->stream);
    }
    output->stream = NULL;
    if (output->temporary) {
        sigset_t old;
        block_signals(&old);
        unlink(output->temporary);
        list_remove(output);
        sigprocmask(SIG_SETMASK, &old, NULL);
    }
    free_names(output);
}

bool cw_stdout_finish(void)
{
    if (ferror(stdout) || fflush(stdout) != 0) {
        cw_error_at("standard output", 0, "cannot write: %s", errno ? strerror(errno) : "write error");
        return false;
    }
    return true;
}
