/* SPDX-License-Identifier: ISC */
#include "contents.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "below.h"

static const char mark[] = "# Coilwright results 1: SHA-256 of each file";
enum { DIGEST_DIGITS = 2 * CW_SHA256_BYTES, NAMED = 3 };

/* ---- names ---- */

static bool is_name_byte(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '.' || c == '_' ||
           c == '-';
}

/* One or two parts that stay below the directory. */
static bool is_name(const char *name)
{
    int parts = 1;
    for (size_t i = 0; name[i]; i++) {
        bool begins = i == 0 || name[i - 1] == '/';
        if (name[i] == '/' ? begins : !is_name_byte(name[i]) || (begins && name[i] == '.')) {
            return false;
        }
        parts += name[i] == '/';
    }
    size_t length = strlen(name);
    return length > 0 && length < CW_CONTENTS_NAME_BYTES && name[length - 1] != '/' && parts <= 2 &&
           strcmp(name, CW_CONTENTS_NAME) != 0;
}

struct cw_contents_item *cw_contents_add(struct cw_contents *list, const char *name)
{
    if (!is_name(name)) {
        errno = EINVAL;
        return NULL;
    }
    struct cw_contents_item *more = realloc(list->item, sizeof *more * (list->count + 1));
    if (!more) {
        return NULL;
    }
    list->item = more;
    struct cw_contents_item *item = &more[list->count++];
    memset(item, 0, sizeof *item);
    snprintf(item->name, sizeof item->name, "%s", name);
    return item;
}

void cw_contents_free(struct cw_contents *list)
{
    free(list->item);
    memset(list, 0, sizeof *list);
}

/* The directory that the file is in. \return a descriptor to close, or -1 */
static int directory_of(int directory, const char *name, const char **leaf)
{
    char part[CW_CONTENTS_NAME_BYTES];
    const char *slash = strchr(name, '/');
    *leaf = slash ? slash + 1 : name;
    snprintf(part, sizeof part, "%.*s", slash ? (int)(slash - name) : 1, slash ? name : ".");
    return cw_below_directory(directory, part);
}

static void add_odd(struct cw_odd *odd, const char *name)
{
    size_t used = strlen(odd->text);
    if (odd->count < NAMED) {
        snprintf(odd->text + used, sizeof odd->text - used, "%s'%.100s'", used ? ", " : "", name);
    }
    odd->count++;
}

static void count_odd(struct cw_odd *odd)
{
    size_t used = strlen(odd->text);
    if (odd->count > NAMED) {
        snprintf(odd->text + used, sizeof odd->text - used, " and %d more", odd->count - NAMED);
    }
}

/* ---- the list as text ---- */

static int digit_of(char c) { return c >= '0' && c <= '9' ? c - '0' : c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1; }

static bool read_digest(const char *text, unsigned char digest[CW_SHA256_BYTES])
{
    for (int i = 0; i < CW_SHA256_BYTES; i++) {
        int high = digit_of(text[2 * i]), low = high < 0 ? -1 : digit_of(text[2 * i + 1]);
        if (low < 0) {
            return false;
        }
        digest[i] = (unsigned char)(high << 4 | low);
    }
    return true;
}

/* "DIGEST  NAME" */
static bool read_line(const char *line, struct cw_contents *list)
{
    unsigned char digest[CW_SHA256_BYTES];
    if (!read_digest(line, digest) || strncmp(line + DIGEST_DIGITS, "  ", 2) != 0) {
        return false;
    }
    struct cw_contents_item *item = cw_contents_add(list, line + DIGEST_DIGITS + 2);
    if (item) {
        memcpy(item->digest, digest, sizeof digest);
    }
    return item != NULL;
}

/* \return 0, or the line that is no part of a list */
static int read_lines(char *text, struct cw_contents *list)
{
    int number = 1;
    for (char *line = text; *line; number++) {
        char *end = line + strcspn(line, "\n");
        bool ends = *end == '\n';
        *end = '\0';
        if (!ends || (number == 1 ? strcmp(line, mark) != 0 : !read_line(line, list))) {
            return number;
        }
        line = end + 1;
    }
    return number == 1;
}

static char *read_all(int file, size_t size)
{
    char *text = malloc(size + 1);
    size_t length = 0;
    ssize_t n = 1;
    while (text && length < size && (n = read(file, text + length, size - length)) > 0) {
        length += (size_t)n;
    }
    if (!text || n < 0) {
        free(text);
        return NULL;
    }
    text[length] = '\0';
    return text;
}

int cw_contents_read(int directory, struct cw_contents *list)
{
    struct stat status;
    memset(list, 0, sizeof *list);
    int file = cw_below_file(directory, CW_CONTENTS_NAME, &status);
    if (file < 0) {
        return -1;
    }
    if (status.st_size > CW_CONTENTS_MAX_BYTES) {
        close(file);
        errno = EFBIG;
        return -1;
    }
    char *text = read_all(file, (size_t)status.st_size);
    close(file);
    if (!text) {
        return -1;
    }
    int line = read_lines(text, list);
    free(text);
    if (line) {
        cw_contents_free(list);
    }
    return line;
}

static bool print_list(int directory, const struct cw_contents *list)
{
    char text[CW_SHA256_TEXT];
    int file = openat(directory, CW_CONTENTS_NAME, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, (mode_t)0666);
    FILE *stream = file < 0 ? NULL : fdopen(file, "w");
    if (!stream) {
        int reason = errno;
        if (file >= 0) {
            close(file);
        }
        errno = reason;
        return false;
    }
    bool good = fprintf(stream, "%s\n", mark) > 0;
    for (size_t i = 0; good && i < list->count; i++) {
        good = fprintf(stream, "%s  %s\n", cw_sha256_print(list->item[i].digest, text), list->item[i].name) > 0;
    }
    good = fflush(stream) == 0 && good && cw_below_durable(file);
    return fclose(stream) == 0 && good;
}

/* The directories in which the files stand, and the one above them. */
static bool keep_directories(int directory, const struct cw_contents *list)
{
    const char *leaf;
    for (size_t i = 0; i < list->count; i++) {
        int inner = directory_of(directory, list->item[i].name, &leaf);
        bool good = inner >= 0 && cw_below_durable(inner);
        if (inner >= 0) {
            close(inner);
        }
        if (!good) {
            return false;
        }
    }
    return cw_below_durable(directory);
}

bool cw_contents_write(int directory, struct cw_contents *list, bool (*stop)(void))
{
    size_t kept = 0;
    for (size_t i = 0; i < list->count; i++) {
        const char *leaf;
        struct cw_contents_item item = list->item[i];
        int inner = directory_of(directory, item.name, &leaf);
        bool good = inner >= 0 && cw_below_digest(inner, leaf, true, stop, item.digest);
        bool gone = errno == ENOENT;
        if (inner >= 0) {
            close(inner);
        }
        if (!good && !gone) {
            return false;
        }
        if (good) {
            list->item[kept++] = item;
        }
    }
    list->count = kept;
    return print_list(directory, list) && keep_directories(directory, list);
}

/* ---- the list and what is there ---- */

static bool names_file(const struct cw_contents *list, const char *name)
{
    for (size_t i = 0; list && i < list->count; i++) {
        if (strcmp(list->item[i].name, name) == 0) {
            return true;
        }
    }
    return list && strcmp(name, CW_CONTENTS_NAME) == 0;
}

static bool names_directory(const struct cw_contents *list, const char *name)
{
    size_t length = strlen(name);
    for (size_t i = 0; list && i < list->count; i++) {
        if (strncmp(list->item[i].name, name, length) == 0 && list->item[i].name[length] == '/') {
            return true;
        }
    }
    return false;
}

/* \param part "" or the directory that this one is, as "NAME/" */
static void look(int directory, const char *part, const struct cw_contents *list, struct cw_odd *odd)
{
    int again = cw_below_directory(directory, ".");
    DIR *entries = again < 0 ? NULL : fdopendir(again);
    if (!entries) {
        add_odd(odd, *part ? part : ".");
        if (again >= 0) {
            close(again);
        }
        return;
    }
    for (struct dirent *entry; (entry = readdir(entries));) {
        char name[CW_CONTENTS_NAME_BYTES + sizeof entry->d_name + 2];
        struct stat status;
        if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0) {
            continue;
        }
        snprintf(name, sizeof name, "%s%s", part, entry->d_name);
        bool known = fstatat(directory, entry->d_name, &status, AT_SYMLINK_NOFOLLOW) == 0;
        bool folder = known && S_ISDIR(status.st_mode) && !*part && names_directory(list, name);
        int inner = folder ? cw_below_directory(directory, name) : -1;
        if (inner >= 0) {
            strcat(name, "/");
            look(inner, name, list, odd);
            close(inner);
        } else if (!known || !S_ISREG(status.st_mode) || !names_file(list, name)) {
            add_odd(odd, name);
        }
    }
    closedir(entries);
}

void cw_contents_strangers(int directory, const struct cw_contents *list, struct cw_odd *odd)
{
    memset(odd, 0, sizeof *odd);
    look(directory, "", list, odd);
    count_odd(odd);
}

/* Is the file there, and as it was written? */
static bool unchanged(int directory, const char *leaf, const struct cw_contents_item *item, bool (*stop)(void))
{
    unsigned char digest[CW_SHA256_BYTES];
    return cw_below_digest(directory, leaf, false, stop, digest) && memcmp(digest, item->digest, sizeof digest) == 0;
}

bool cw_contents_changed(int directory, struct cw_contents *list, bool (*stop)(void), struct cw_odd *odd)
{
    memset(odd, 0, sizeof *odd);
    for (size_t i = 0; i < list->count && !stop(); i++) {
        struct cw_contents_item *item = &list->item[i];
        const char *leaf;
        int inner = directory_of(directory, item->name, &leaf);
        if (inner >= 0 && fstatat(inner, leaf, &item->seen, AT_SYMLINK_NOFOLLOW) == 0 &&
            !unchanged(inner, leaf, item, stop)) {
            add_odd(odd, item->name);
        }
        if (inner >= 0) {
            close(inner);
        }
    }
    count_odd(odd);
    return !stop();
}

/* Nothing was written to the file since: the system keeps the time of the last change of any kind. */
static bool same_as_seen(const struct stat *now, const struct stat *seen)
{
    return now->st_dev == seen->st_dev && now->st_ino == seen->st_ino && now->st_size == seen->st_size &&
           now->st_ctim.tv_sec == seen->st_ctim.tv_sec && now->st_ctim.tv_nsec == seen->st_ctim.tv_nsec;
}

static void remove_item(int directory, const struct cw_contents_item *item, bool written, bool (*stop)(void))
{
    const char *leaf;
    struct stat now;
    int inner = directory_of(directory, item->name, &leaf);
    if (inner < 0) {
        return;
    }
    bool file = fstatat(inner, leaf, &now, AT_SYMLINK_NOFOLLOW) == 0 && S_ISREG(now.st_mode);
    if (file && (!written || same_as_seen(&now, &item->seen) || unchanged(inner, leaf, item, stop))) {
        unlinkat(inner, leaf, 0);
    }
    close(inner);
}

static void remove_directories(int directory, const struct cw_contents *list)
{
    for (size_t i = 0; i < list->count; i++) {
        char part[CW_CONTENTS_NAME_BYTES];
        const char *slash = strchr(list->item[i].name, '/');
        if (slash) {
            snprintf(part, sizeof part, "%.*s", (int)(slash - list->item[i].name), list->item[i].name);
            unlinkat(directory, part, AT_REMOVEDIR);
        }
    }
}

void cw_contents_remove(int directory, const struct cw_contents *list, bool written, bool (*stop)(void))
{
    struct stat status;
    for (size_t i = 0; i < list->count; i++) {
        remove_item(directory, &list->item[i], written, stop);
    }
    if (fstatat(directory, CW_CONTENTS_NAME, &status, AT_SYMLINK_NOFOLLOW) == 0 && S_ISREG(status.st_mode)) {
        unlinkat(directory, CW_CONTENTS_NAME, 0);
    }
    remove_directories(directory, list);
}
