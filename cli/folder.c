/* SPDX-License-Identifier: ISC */
#define _XOPEN_SOURCE 700 /* realpath() */

#include "folder.h"

#include <dirent.h>
#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "message.h"

static const char LIST_NAME[] = "contents.txt";
enum { LINE_BYTES = 512 };

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
        snprintf(path, size, "%s/%s", directory, name);
    } else {
        cw_error_memory();
    }
    return path;
}

static bool is_dots(const char *name) { return strcmp(name, ".") == 0 || strcmp(name, "..") == 0; }

/* A name from a list that stays below the directory. */
static bool harmless(const char *name)
{
    return *name && *name != '/' && !strstr(name, "..") && strlen(name) < LINE_BYTES - 1;
}

static char **read_list(const char *directory, size_t *count)
{
    char **list = NULL;
    *count = 0;
    char *path = joined(directory, LIST_NAME);
    FILE *file = path ? fopen(path, "r") : NULL;
    free(path);
    if (!file) {
        return NULL;
    }
    char line[LINE_BYTES];
    while (fgets(line, sizeof line, file)) {
        line[strcspn(line, "\n")] = '\0';
        char **more = harmless(line) ? realloc(list, sizeof *list * (*count + 1)) : NULL;
        if (!more) {
            continue;
        }
        list = more;
        list[*count] = strdup(line);
        *count += list[*count] != NULL;
    }
    fclose(file);
    return list;
}

static void free_list(char **list, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        free(list[i]);
    }
    free(list);
}

/* Is the file, or a file below the directory of that name, on the list? */
static bool listed(char *const *list, size_t count, const char *name)
{
    size_t length = strlen(name);
    for (size_t i = 0; i < count; i++) {
        if (strncmp(list[i], name, length) == 0 && (list[i][length] == '\0' || list[i][length] == '/')) {
            return true;
        }
    }
    return strcmp(name, LIST_NAME) == 0;
}

/* Look for anything below the directory that no list names. \param below "" or "NAME/" */
static bool only_listed(const char *directory, const char *below, char *const *list, size_t count,
                        char stranger[LINE_BYTES])
{
    char *path = joined(directory, below);
    DIR *entries = path ? opendir(path) : NULL;
    free(path);
    bool clean = entries != NULL;
    for (struct dirent *entry; clean && (entry = readdir(entries));) {
        char name[LINE_BYTES];
        if (is_dots(entry->d_name)) {
            continue;
        }
        int length = snprintf(name, sizeof name, "%s%s", below, entry->d_name);
        clean = length > 0 && length < LINE_BYTES && listed(list, count, name);
        char *whole = clean ? joined(directory, name) : NULL;
        struct stat status;
        if (whole && lstat(whole, &status) == 0 && S_ISDIR(status.st_mode)) {
            char deeper[LINE_BYTES + 1];
            snprintf(deeper, sizeof deeper, "%s/", name);
            clean = strlen(deeper) < LINE_BYTES && only_listed(directory, deeper, list, count, stranger);
        } else if (!clean) {
            snprintf(stranger, LINE_BYTES, "%s", name);
        }
        free(whole);
    }
    if (entries) {
        closedir(entries);
    }
    return clean;
}

/* Remove the files of a list, then the directories they stood in, then the directory. */
static void remove_listed(const char *directory, char *const *list, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        char *path = joined(directory, list[i]);
        if (path) {
            unlink(path);
        }
        free(path);
    }
    char *path = joined(directory, LIST_NAME);
    if (path) {
        unlink(path);
    }
    free(path);
    for (size_t i = 0; i < count; i++) {
        char *inner = joined(directory, list[i]);
        char *slash = inner ? strrchr(inner, '/') : NULL;
        if (slash && strchr(list[i], '/')) {
            *slash = '\0';
            rmdir(inner);
        }
        free(inner);
    }
    rmdir(directory);
}

/* May the directory that stands there be replaced? */
static bool replaceable(const char *path, bool force)
{
    size_t count;
    char stranger[LINE_BYTES] = "";
    if (only_listed(path, "", NULL, 0, stranger) && !stranger[0]) {
        return true; /* empty */
    }
    if (!force) {
        cw_error_at(path, 0, "is there already (--force replaces it)");
        return false;
    }
    char **list = read_list(path, &count);
    bool ours = only_listed(path, "", list, count, stranger);
    free_list(list, count);
    if (!ours) {
        cw_error_at(path, 0, "expected a directory of earlier results to replace, found '%s' in it, which is none",
                    stranger);
    }
    return ours;
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

static bool choose_target(struct cw_folder *folder, bool force)
{
    struct stat status;
    if (stat(folder->path, &status) != 0) {
        folder->target = strdup(folder->path);
        if (!folder->target) {
            cw_error_memory();
        }
        return folder->target != NULL;
    }
    if (!S_ISDIR(status.st_mode)) {
        cw_error_at(folder->path, 0, "expected a directory to write, found a file");
        return false;
    }
    folder->replaces = true;
    folder->target = realpath(folder->path, NULL);
    if (!folder->target) {
        cw_error_at(folder->path, 0, "cannot write here: %s", strerror(errno));
        return false;
    }
    return replaceable(folder->path, force);
}

static bool make_temporary(struct cw_folder *folder)
{
    const char *slash = strrchr(folder->target, '/');
    int directory = slash ? (int)(slash - folder->target) + 1 : 0;
    size_t size = (size_t)directory + sizeof ".coilwright-XXXXXX";
    folder->temporary = malloc(size);
    if (!folder->temporary) {
        cw_error_memory();
        return false;
    }
    snprintf(folder->temporary, size, "%.*s.coilwright-XXXXXX", directory, folder->target);
    if (!mkdtemp(folder->temporary)) {
        cw_error_at(folder->path, 0, "cannot write here: %s", strerror(errno));
        free(folder->temporary);
        folder->temporary = NULL;
        return false;
    }
    mode_t mask = umask(0);
    umask(mask);
    chmod(folder->temporary, 0777 & ~mask);
    return true;
}

static void free_folder(struct cw_folder *folder)
{
    free_list(folder->file, folder->count);
    free(folder->path);
    free(folder->target);
    free(folder->temporary);
    memset(folder, 0, sizeof *folder);
}

bool cw_folder_open(struct cw_folder *folder, const char *path, bool force)
{
    memset(folder, 0, sizeof *folder);
    if (!*path) {
        cw_error("expected a directory to write, found an empty name");
        return false;
    }
    folder->path = without_slashes(path);
    guard();
    if (!folder->path || !choose_target(folder, force) || !make_temporary(folder)) {
        free_folder(folder);
        unguard();
        return false;
    }
    return true;
}

static bool make_parent(const char *path)
{
    char *parent = strdup(path);
    char *slash = parent ? strrchr(parent, '/') : NULL;
    bool good = slash != NULL;
    if (slash) {
        *slash = '\0';
        good = mkdir(parent, 0777) == 0 || errno == EEXIST;
    }
    free(parent);
    return good;
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
    if (strchr(name, '/') && !make_parent(path)) {
        cw_error_at(folder->path, 0, "cannot write here: %s", strerror(errno));
        free(path);
        return NULL;
    }
    return folder->file[folder->count++] = path;
}

/* Names as they stand on the list: below the directory. */
static const char *below(const struct cw_folder *folder, size_t i)
{
    return folder->file[i] + strlen(folder->temporary) + 1;
}

static bool write_list(struct cw_folder *folder)
{
    char *path = joined(folder->temporary, LIST_NAME);
    if (!path) {
        return false;
    }
    FILE *file = fopen(path, "w");
    bool good = file != NULL;
    for (size_t i = 0; good && i < folder->count; i++) {
        if (access(folder->file[i], F_OK) == 0) {
            good = fprintf(file, "%s\n", below(folder, i)) > 0;
        }
    }
    if (file) {
        good = fclose(file) == 0 && good;
    }
    free(path);
    if (!good) {
        cw_error_at(folder->path, 0, "cannot write: %s", strerror(errno));
    }
    return good;
}

/* Swap with what stands there and remove that. */
static bool put_in_place(struct cw_folder *folder)
{
    if (!folder->replaces || rename(folder->temporary, folder->target) == 0) {
        return folder->replaces || rename(folder->temporary, folder->target) == 0;
    }
    size_t size = strlen(folder->temporary) + sizeof "-old";
    char *old = malloc(size);
    if (!old) {
        return false;
    }
    snprintf(old, size, "%s-old", folder->temporary);
    bool good = rename(folder->target, old) == 0;
    if (good && rename(folder->temporary, folder->target) != 0) {
        int reason = errno;
        rename(old, folder->target);
        errno = reason;
        good = false;
    } else if (good) {
        size_t count;
        char **list = read_list(old, &count);
        remove_listed(old, list, count);
        free_list(list, count);
    }
    free(old);
    return good;
}

static void remove_own(struct cw_folder *folder)
{
    size_t start = strlen(folder->temporary) + 1;
    for (size_t i = 0; i < folder->count; i++) {
        memmove(folder->file[i], folder->file[i] + start, strlen(folder->file[i] + start) + 1);
    }
    remove_listed(folder->temporary, folder->file, folder->count);
}

bool cw_folder_commit(struct cw_folder *folder)
{
    bool good = !cw_folder_interrupted() && write_list(folder);
    if (good && !put_in_place(folder)) {
        cw_error_at(folder->path, 0, "cannot write here: %s", strerror(errno));
        good = false;
    }
    if (!good) {
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
