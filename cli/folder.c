/* SPDX-License-Identifier: ISC */
#define _DEFAULT_SOURCE /* flock(); realpath() */

#include "folder.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "below.h"
#include "claims.h"
#include "message.h"

static const char HIDDEN[] = ".coilwright-";

/* Signals: from open to the end they only leave a note. */
static const int guarded[] = {SIGINT, SIGTERM, SIGHUP};
enum { GUARDED = sizeof guarded / sizeof guarded[0] };
static volatile sig_atomic_t signal_number;
static struct sigaction before[GUARDED];

static void note_signal(int number) { signal_number = number; }

/* The second signal of a kind acts at once: SA_RESETHAND. */
static void guard(void)
{
    struct sigaction action;
    memset(&action, 0, sizeof action);
    sigemptyset(&action.sa_mask);
    action.sa_handler = note_signal;
    action.sa_flags = (int)SA_RESETHAND;
    signal_number = 0;
    signal(SIGXFSZ, SIG_IGN); /* a file that may not grow further is an error of the write */
    for (int i = 0; i < GUARDED; i++) {
        if (sigaction(guarded[i], NULL, &before[i]) == 0 && before[i].sa_handler != SIG_IGN) {
            sigaction(guarded[i], &action, NULL);
        }
    }
}

static void unguard(void)
{
    for (int i = 0; i < GUARDED; i++) {
        sigaction(guarded[i], &before[i], NULL);
    }
    if (signal_number) {
        raise(signal_number);
    }
}

bool cw_folder_interrupted(void) { return signal_number != 0; }

static char *joined(const char *directory, const char *name)
{
    size_t size = strlen(directory) + strlen(name) + 2;
    char *path = malloc(size);
    if (path) {
        snprintf(path, size, "%s%s%s", directory, strcmp(directory, "/") == 0 ? "" : "/", name);
    } else {
        cw_error_memory();
    }
    return path;
}

/* The name of the temporary directory within the one above. */
static const char *hidden_name(const struct cw_folder *folder) { return strrchr(folder->temporary, '/') + 1; }

static bool cannot_write(const struct cw_folder *folder)
{
    cw_error_at(folder->path, 0, "cannot write here: %s", strerror(errno));
    return false;
}

/* ---- what stands there ---- */

static bool read_replaced(struct cw_folder *folder)
{
    int line = cw_contents_read(folder->old, &folder->replaced);
    if (line < 0 && errno == ENOMEM) {
        cw_error_memory();
        return false;
    }
    if (line > 0) {
        cw_error_at(folder->path, 0,
                    "expected a directory of earlier results to replace, found that line %d of its " CW_CONTENTS_NAME
                    " is not of this program's",
                    line);
    }
    return line <= 0;
}

/* Results may be what a command reads: then they stay. */
static bool is_read(const struct cw_folder *folder)
{
    for (size_t i = 0; i < folder->replaced.count; i++) {
        struct stat status;
        const char *name = fstatat(folder->old, folder->replaced.item[i].name, &status, AT_SYMLINK_NOFOLLOW) == 0
                               ? cw_claimed_name(&status)
                               : NULL;
        if (name) {
            cw_error_at(folder->path, 0,
                        "expected another directory to replace than that of '%s', which this command "
                        "needs itself",
                        name);
            return true;
        }
    }
    return false;
}

/* May the directory be replaced? */
static bool replaceable(struct cw_folder *folder, bool force)
{
    struct cw_odd odd;
    cw_contents_strangers(folder->old, NULL, &odd);
    if (odd.count == 0) {
        return true; /* empty */
    }
    if (!force) {
        cw_error_at(folder->path, 0, "is there already (--force replaces it)");
        return false;
    }
    if (!read_replaced(folder)) {
        return false;
    }
    cw_contents_strangers(folder->old, &folder->replaced, &odd);
    if (odd.count) {
        cw_error_at(folder->path, 0, "expected a directory of earlier results to replace, found %s in it, which %s",
                    odd.text, odd.count == 1 ? "is none" : "are none");
        return false;
    }
    if (!cw_contents_changed(folder->old, &folder->replaced, cw_folder_interrupted, &odd)) {
        cw_error_at(folder->path, 0, "interrupted, nothing written");
        return false;
    }
    if (odd.count) {
        cw_error_at(folder->path, 0, "expected earlier results as they were written, found %s changed since", odd.text);
    }
    return odd.count == 0 && !is_read(folder);
}

static char *without_slashes(const char *path)
{
    char *text = strdup(path);
    if (!text) {
        cw_error_memory();
    }
    for (size_t n = text ? strlen(text) : 0; n > 1 && text[n - 1] == '/'; n--) {
        text[n - 1] = '\0';
    }
    return text;
}

/* Into the directory above and the name in it. */
static bool take_apart(struct cw_folder *folder, const char *path)
{
    const char *slash = strrchr(path, '/');
    folder->name = strdup(slash ? slash + 1 : path);
    folder->above = slash == path ? strdup("/") : slash ? strndup(path, (size_t)(slash - path)) : strdup(".");
    if (!folder->name || !folder->above) {
        cw_error_memory();
        return false;
    }
    folder->parent = open(folder->above, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    return folder->parent >= 0 || cannot_write(folder);
}

/* Is the program at work in it, or below it? */
static bool holds_this(const char *directory)
{
    char *here = realpath(".", NULL);
    size_t length = strlen(directory);
    bool within = here && strncmp(here, directory, length) == 0 &&
                  (here[length] == '\0' || here[length] == '/' || strcmp(directory, "/") == 0);
    free(here);
    return within;
}

static bool choose_existing(struct cw_folder *folder, bool force)
{
    char *whole = realpath(folder->path, NULL);
    if (!whole) {
        return cannot_write(folder);
    }
    bool within = holds_this(whole);
    if (within) {
        cw_error_at(folder->path, 0, "expected a directory to write, found the one that this is at work in");
    }
    bool good = !within && take_apart(folder, whole);
    free(whole);
    if (!good) {
        return false;
    }
    folder->old = cw_below_directory(folder->parent, folder->name);
    return folder->old >= 0 ? replaceable(folder, force) : cannot_write(folder);
}

static bool choose_place(struct cw_folder *folder, bool force)
{
    struct stat status;
    if (stat(folder->path, &status) == 0 && S_ISDIR(status.st_mode)) {
        return choose_existing(folder, force);
    }
    if (lstat(folder->path, &status) == 0) {
        cw_error_at(folder->path, 0, "expected a directory to write, found a %s",
                    S_ISLNK(status.st_mode) ? "link to something else" : "file");
        return false;
    }
    return take_apart(folder, folder->path);
}

/* ---- beginning ---- */

/* A directory of a run that did not come to its end: hidden, of this user's, and locked by nobody. */
static bool is_stale(int parent, const char *name, const char *own)
{
    struct stat status;
    if (strncmp(name, HIDDEN, sizeof HIDDEN - 1) != 0 || strcmp(name, own) == 0) {
        return false;
    }
    int directory = cw_below_directory(parent, name);
    bool stale = directory >= 0 && fstat(directory, &status) == 0 && status.st_uid == geteuid() &&
                 flock(directory, LOCK_SH | LOCK_NB) == 0;
    if (directory >= 0) {
        close(directory);
    }
    return stale;
}

static void name_stale(const struct cw_folder *folder)
{
    int again = cw_below_directory(folder->parent, ".");
    DIR *entries = again < 0 ? NULL : fdopendir(again);
    if (!entries) {
        if (again >= 0) {
            close(again);
        }
        return;
    }
    for (struct dirent *entry; (entry = readdir(entries));) {
        if (is_stale(folder->parent, entry->d_name, hidden_name(folder))) {
            cw_error_at(folder->above, 0,
                        "'%s' is left of a run that was cut off: remove it if nothing in it is wanted", entry->d_name);
        }
    }
    closedir(entries);
}

static bool make_temporary(struct cw_folder *folder)
{
    char name[sizeof HIDDEN + 6];
    snprintf(name, sizeof name, "%sXXXXXX", HIDDEN);
    folder->temporary = joined(folder->above, name);
    if (!folder->temporary) {
        return false;
    }
    if (!mkdtemp(folder->temporary)) {
        cannot_write(folder);
        free(folder->temporary);
        folder->temporary = NULL;
        return false;
    }
    folder->own = cw_below_directory(folder->parent, hidden_name(folder));
    if (folder->own < 0) {
        cannot_write(folder);
        unlinkat(folder->parent, hidden_name(folder), AT_REMOVEDIR);
        return false;
    }
    flock(folder->own, LOCK_EX | LOCK_NB); /* held until the end of the run: not stale */
    name_stale(folder);
    return true;
}

static void close_one(int descriptor)
{
    if (descriptor >= 0) {
        close(descriptor);
    }
}

static void free_folder(struct cw_folder *folder)
{
    for (size_t i = 0; i < folder->count; i++) {
        free(folder->file[i]);
    }
    free(folder->file);
    cw_contents_free(&folder->contents);
    cw_contents_free(&folder->replaced);
    close_one(folder->parent);
    close_one(folder->own);
    close_one(folder->old);
    free(folder->path);
    free(folder->above);
    free(folder->name);
    free(folder->temporary);
    memset(folder, 0, sizeof *folder);
}

bool cw_folder_open(struct cw_folder *folder, const char *path, bool force)
{
    memset(folder, 0, sizeof *folder);
    folder->parent = folder->own = folder->old = -1;
    if (!*path) {
        cw_error("expected a directory to write, found an empty name");
        memset(folder, 0, sizeof *folder);
        return false;
    }
    folder->path = without_slashes(path);
    guard();
    if (!folder->path || !choose_place(folder, force) || !make_temporary(folder)) {
        free_folder(folder);
        unguard();
        return false;
    }
    return true;
}

static bool make_inner(const struct cw_folder *folder, const char *name)
{
    char part[CW_CONTENTS_NAME_BYTES];
    const char *slash = strchr(name, '/');
    snprintf(part, sizeof part, "%.*s", slash ? (int)(slash - name) : 0, name);
    return !slash || mkdirat(folder->own, part, 0777) == 0 || errno == EEXIST;
}

const char *cw_folder_file(struct cw_folder *folder, const char *name)
{
    char **more = realloc(folder->file, sizeof *folder->file * (folder->count + 1));
    if (!more) {
        cw_error_memory();
        return NULL;
    }
    folder->file = more;
    char *path = joined(folder->temporary, name);
    if (!path) {
        return NULL;
    }
    if (!cw_contents_add(&folder->contents, name) || !make_inner(folder, name)) {
        cannot_write(folder);
        free(path);
        return NULL;
    }
    return folder->file[folder->count++] = path;
}

/* ---- the end ---- */

static bool write_contents(struct cw_folder *folder)
{
    mode_t mask = umask(0);
    umask(mask);
    bool good = cw_contents_write(folder->own, &folder->contents, cw_folder_interrupted) &&
                fchmod(folder->own, 0777 & ~mask) == 0;
    if (!good && !cw_folder_interrupted()) {
        cw_error_at(folder->path, 0, "cannot write: %s", strerror(errno));
    }
    return good;
}

/* A name for what is left of the old directory: "NAME-kept", "NAME-kept-2" ... */
static bool keep_rest(const struct cw_folder *folder, const char *hidden, char *name, size_t size)
{
    for (int i = 1; i < 100; i++) {
        char number[8] = "";
        if (i > 1) {
            snprintf(number, sizeof number, "-%d", i);
        }
        int length = snprintf(name, size, "%s-kept%s", folder->name, number);
        if (length < 0 || (size_t)length >= size) {
            return false;
        }
        /* Making it finds out whether the name is free; a directory may take the place of an empty one. */
        if (mkdirat(folder->parent, name, 0777) == 0) {
            bool moved = renameat(folder->parent, hidden, folder->parent, name) == 0;
            if (!moved) {
                unlinkat(folder->parent, name, AT_REMOVEDIR);
            }
            return moved;
        }
    }
    return false;
}

/* The old directory has the hidden name now. What came into it since it was looked at is kept. */
static void remove_replaced(struct cw_folder *folder)
{
    struct cw_odd odd;
    char kept[256];
    const char *hidden = hidden_name(folder);
    cw_contents_remove(folder->old, &folder->replaced, true, cw_folder_interrupted);
    if (unlinkat(folder->parent, hidden, AT_REMOVEDIR) == 0) {
        return;
    }
    int reason = errno;
    cw_contents_strangers(folder->old, NULL, &odd);
    if (odd.count == 0) {
        cw_error_at(folder->above, 0, "'%s' cannot be removed: %s", hidden, strerror(reason));
        return;
    }
    bool moved = keep_rest(folder, hidden, kept, sizeof kept);
    cw_error_at(folder->path, 0, "replaced, but %s in it came or changed meanwhile: kept in '%s'", odd.text,
                moved ? kept : hidden);
}

/* Does the name still stand for the directory that was looked at? */
static bool still_there(const struct cw_folder *folder)
{
    struct stat now, then;
    return fstatat(folder->parent, folder->name, &now, AT_SYMLINK_NOFOLLOW) == 0 && fstat(folder->old, &then) == 0 &&
           now.st_dev == then.st_dev && now.st_ino == then.st_ino;
}

static bool put_in_place(struct cw_folder *folder)
{
    if (folder->old < 0) {
        return renameat(folder->parent, hidden_name(folder), folder->parent, folder->name) == 0 || cannot_write(folder);
    }
    if (!still_there(folder)) {
        cw_error_at(folder->path, 0, "was replaced by something else meanwhile: nothing written");
        return false;
    }
    if (is_read(folder)) {
        return false;
    }
    if (!cw_below_exchange(folder->parent, hidden_name(folder), folder->name)) {
        return cannot_write(folder);
    }
    cw_below_durable(folder->parent);
    remove_replaced(folder);
    return true;
}

static void remove_own(struct cw_folder *folder)
{
    cw_contents_remove(folder->own, &folder->contents, false, cw_folder_interrupted);
    if (unlinkat(folder->parent, hidden_name(folder), AT_REMOVEDIR) != 0) {
        cw_error_at(folder->above, 0, "'%s' cannot be removed: %s", hidden_name(folder), strerror(errno));
    }
}

bool cw_folder_commit(struct cw_folder *folder)
{
    bool good = !cw_folder_interrupted() && write_contents(folder) && put_in_place(folder);
    if (good) {
        cw_below_durable(folder->parent);
    } else {
        remove_own(folder);
    }
    free_folder(folder);
    unguard();
    return good;
}

void cw_folder_abandon(struct cw_folder *folder)
{
    if (folder->temporary) {
        remove_own(folder);
        free_folder(folder);
        unguard();
    }
}
