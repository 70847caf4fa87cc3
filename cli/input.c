/* SPDX-License-Identifier: ISC */
#include "input.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "claims.h"
#include "message.h"

/* How long a pipe may wait for somebody to write to it, ms. */
enum { PIPE_WAIT = 2000, PIPES = 16 };

/* What came through pipes, by the name that was asked for. */
static struct piped {
    char *path, *text;
    size_t length;
} piped[PIPES];
static size_t pipes;

void cw_input_forget(void)
{
    cw_claims_forget();
    for (size_t i = 0; i < pipes; i++) {
        free(piped[i].path);
        free(piped[i].text);
    }
    pipes = 0;
}

/* Without waiting, whatever it is: a pipe that nobody writes to would wait for ever. */
static int open_any(const char *path, const char *expected, struct stat *status)
{
    int file = open(path, O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
    if (file < 0 || fstat(file, status) != 0) {
        cw_error_at(path, 0, "cannot read: %s", strerror(errno));
    } else if (!S_ISREG(status->st_mode) && !S_ISFIFO(status->st_mode)) {
        cw_error_at(path, 0, "expected %s, found a %s", expected, S_ISDIR(status->st_mode) ? "directory" : "device");
    } else if (cw_claim_read(path)) {
        return file;
    }
    if (file >= 0) {
        close(file);
    }
    return -1;
}

FILE *cw_input_open(const char *path, const char *expected)
{
    struct stat status;
    int file = open_any(path, expected, &status);
    if (file >= 0 && !S_ISREG(status.st_mode)) {
        cw_error_at(path, 0, "expected %s in a file, found a pipe", expected);
        close(file);
        file = -1;
    }
    FILE *stream = file >= 0 ? fdopen(file, "rb") : NULL;
    if (file >= 0 && !stream) {
        close(file);
        cw_error_memory();
    }
    return stream;
}

/* Bytes of a pipe; waits only while somebody may write to it. \return -1 on failure (errno) */
static ssize_t read_pipe(int file, char *to, size_t room, bool begun)
{
    struct pollfd wait = {.fd = file, .events = POLLIN};
    for (bool first = !begun;; first = false) {
        ssize_t n = read(file, to, room);
        if (n > 0 || (n == 0 && !first) || (n < 0 && errno != EAGAIN && errno != EINTR)) {
            return n;
        }
        /* No bytes: the end, or nobody there yet; EAGAIN: somebody is, who takes his time. */
        (void)poll(&wait, 1, n == 0 ? PIPE_WAIT : -1);
    }
}

/* All of it, or one byte more than \p most. */
static char *read_all(int file, bool is_pipe, size_t most, size_t *length)
{
    char *text = malloc(most + 2);
    ssize_t n = 1;
    for (*length = 0; text && *length <= most && n > 0; *length += n > 0 ? (size_t)n : 0) {
        size_t room = most + 1 - *length;
        n = is_pipe ? read_pipe(file, text + *length, room, *length > 0) : read(file, text + *length, room);
        if (n < 0 && errno == EINTR) {
            n = 1;
            continue;
        }
    }
    if (text && n < 0) {
        free(text);
        return NULL;
    }
    if (!text) {
        errno = ENOMEM;
    }
    return text;
}

static char *copy(const char *text, size_t length)
{
    char *to = malloc(length + 1);
    if (to) {
        memcpy(to, text, length);
        to[length] = '\0';
    } else {
        cw_error_memory();
    }
    return to;
}

static const struct piped *find_piped(const char *path)
{
    for (size_t i = 0; i < pipes; i++) {
        if (strcmp(piped[i].path, path) == 0) {
            return &piped[i];
        }
    }
    return NULL;
}

static bool keep_piped(const char *path, const char *text, size_t length)
{
    struct piped keep = {strdup(path), copy(text, length), length};
    if (pipes == PIPES || !keep.path || !keep.text) {
        cw_error_at(path, 0, "cannot be kept: too many pipes, or out of memory");
        free(keep.path);
        free(keep.text);
        return false;
    }
    piped[pipes++] = keep;
    return true;
}

static bool fits(const char *path, const char *expected, size_t most, size_t length, bool is_pipe)
{
    if (length == 0) {
        cw_error_at(path, 0, "expected %s, found %s", expected,
                    is_pipe ? "a pipe that nobody wrote to" : "an empty file");
    } else if (length > most) {
        cw_error_at(path, 0, "expected %s of at most %zu KiB, found more", expected, most / 1024);
    }
    return length > 0 && length <= most;
}

char *cw_input_text(const char *path, const char *expected, size_t most, size_t *length)
{
    struct stat status;
    const struct piped *known = find_piped(path);
    if (known) {
        *length = known->length;
        return fits(path, expected, most, *length, true) ? copy(known->text, *length) : NULL;
    }
    int file = open_any(path, expected, &status);
    if (file < 0) {
        return NULL;
    }
    bool is_pipe = S_ISFIFO(status.st_mode);
    /* A file of the kernel's has no size. */
    bool sized = !is_pipe && status.st_size > 0 && (unsigned long long)status.st_size < most;
    char *text = read_all(file, is_pipe, sized ? (size_t)status.st_size : most, length);
    int reason = errno;
    close(file);
    if (!text) {
        cw_error_at(path, 0, "cannot read: %s", strerror(reason));
        return NULL;
    }
    text[*length] = '\0';
    if (fits(path, expected, most, *length, is_pipe) && (!is_pipe || keep_piped(path, text, *length))) {
        return text;
    }
    free(text);
    return NULL;
}
