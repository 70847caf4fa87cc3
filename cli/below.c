/* SPDX-License-Identifier: ISC */
#define _GNU_SOURCE /* syscall() */

#include "below.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <unistd.h>
#ifdef __linux__
#include <sys/syscall.h>
#endif

enum { PIECE = 1 << 16 };

int cw_below_directory(int directory, const char *name)
{
    return openat(directory, name, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
}

int cw_below_file(int directory, const char *name, struct stat *status)
{
    int file = openat(directory, name, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
    if (file < 0) {
        return -1;
    }
    if (fstat(file, status) != 0 || !S_ISREG(status->st_mode)) {
        close(file);
        errno = EINVAL;
        return -1;
    }
    return file;
}

bool cw_below_durable(int descriptor)
{
    return fsync(descriptor) == 0 || errno == EINVAL || errno == ENOTSUP || errno == EROFS;
}

static bool digest_of(int file, bool (*stop)(void), unsigned char digest[CW_SHA256_BYTES])
{
    static unsigned char piece[PIECE];
    struct cw_sha256 sha;
    ssize_t n;
    cw_sha256_start(&sha);
    while ((n = read(file, piece, sizeof piece)) != 0) {
        if (stop()) {
            errno = EINTR;
            return false;
        }
        if (n < 0 && errno != EINTR) {
            return false;
        }
        cw_sha256_add(&sha, piece, n > 0 ? (size_t)n : 0);
    }
    cw_sha256_finish(&sha, digest);
    return true;
}

bool cw_below_digest(int directory, const char *name, bool durable, bool (*stop)(void),
                     unsigned char digest[CW_SHA256_BYTES])
{
    struct stat status;
    int file = cw_below_file(directory, name, &status);
    if (file < 0) {
        return false;
    }
    bool good = digest_of(file, stop, digest) && (!durable || cw_below_durable(file));
    int reason = errno;
    close(file);
    errno = reason;
    return good;
}

/* RENAME_EXCHANGE of Linux, renameat2(2). */
static int exchange_at_once(int directory, const char *one, const char *other)
{
#ifdef SYS_renameat2
    return (int)syscall(SYS_renameat2, directory, one, directory, other, 2u);
#else
    (void)directory;
    (void)one;
    (void)other;
    errno = ENOSYS;
    return -1;
#endif
}

static bool exchange_in_steps(int directory, const char *one, const char *other)
{
    char aside[256];
    int length = snprintf(aside, sizeof aside, "%s-old", one);
    if (length < 0 || (size_t)length >= sizeof aside) {
        errno = ENAMETOOLONG;
        return false;
    }
    if (renameat(directory, other, directory, aside) != 0) {
        return false;
    }
    if (renameat(directory, one, directory, other) != 0) {
        int reason = errno;
        renameat(directory, aside, directory, other);
        errno = reason;
        return false;
    }
    /* Should this fail, the one that was replaced keeps the third name. */
    (void)!renameat(directory, aside, directory, one);
    return true;
}

bool cw_below_exchange(int directory, const char *one, const char *other)
{
    if (exchange_at_once(directory, one, other) == 0) {
        return true;
    }
    bool unknown = errno == ENOSYS || errno == EINVAL || errno == ENOTSUP || errno == EPERM;
    return unknown && exchange_in_steps(directory, one, other);
}
