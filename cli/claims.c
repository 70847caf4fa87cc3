/* SPDX-License-Identifier: ISC */
#include "claims.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "message.h"

/* Where a file stands, and what it is if it is there. */
struct place {
    bool exists, above;
    dev_t device, above_device;
    ino_t inode, above_inode;
};

struct claim {
    char *path;
    bool written, promised;
    struct place place;
};

/* Under the lock, since several recordings are read at a time; the paths stay where they are until all is forgotten. */
static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static struct claim *claims;
static size_t count;

static const char *name_of(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

static bool look_above(const char *path, struct stat *status)
{
    char *above = strdup(path);
    char *slash = above ? strrchr(above, '/') : NULL;
    if (slash) {
        slash[slash == above] = '\0';
    }
    bool found = above && stat(slash ? above : ".", status) == 0;
    free(above);
    return found;
}

static struct place look(const char *path)
{
    struct stat status;
    struct place place = {.exists = stat(path, &status) == 0};
    if (place.exists) {
        place.device = status.st_dev;
        place.inode = status.st_ino;
    }
    place.above = look_above(path, &status);
    if (place.above) {
        place.above_device = status.st_dev;
        place.above_inode = status.st_ino;
    }
    return place;
}

/* Whether a claimed file is still the one with that device and inode: one that is gone may have left its inode to
 * another. */
static bool is_still(const struct claim *claim, dev_t device, ino_t inode)
{
    struct stat now;
    return claim->place.exists && claim->place.device == device && claim->place.inode == inode &&
           stat(claim->path, &now) == 0 && now.st_dev == device && now.st_ino == inode;
}

static bool same_name(const struct claim *claim, const struct place *place, const char *path)
{
    return claim->place.above && place->above && claim->place.above_device == place->above_device &&
           claim->place.above_inode == place->above_inode && strcmp(name_of(claim->path), name_of(path)) == 0;
}

void cw_claims_forget(void)
{
    for (size_t i = 0; i < count; i++) {
        free(claims[i].path);
    }
    free(claims);
    claims = NULL;
    count = 0;
}

static struct claim *find(const char *path, bool written)
{
    for (size_t i = 0; i < count; i++) {
        if (claims[i].written == written && strcmp(claims[i].path, path) == 0) {
            return &claims[i];
        }
    }
    return NULL;
}

static bool add(const char *path, bool written, const struct place *place)
{
    struct claim *known = find(path, written);
    if (known) {
        known->place = *place;
        return true;
    }
    char *copy = strdup(path);
    struct claim *more = copy ? realloc(claims, (count + 1) * sizeof *claims) : NULL;
    if (!more) {
        free(copy);
        cw_error_memory();
        return false;
    }
    claims = more;
    claims[count++] = (struct claim){.path = copy, .written = written, .place = *place};
    return true;
}

bool cw_claim_read(const char *path)
{
    struct place place = look(path);
    pthread_mutex_lock(&lock);
    bool good = add(path, false, &place);
    pthread_mutex_unlock(&lock);
    return good;
}

/* The claim that a place is, by whatever name, but for the promise that is being kept; NULL for none. */
static const struct claim *claimed(const char *path, const struct place *place, const struct claim *kept)
{
    for (size_t i = 0; i < count; i++) {
        if (&claims[i] == kept) {
            continue;
        }
        if ((place->exists && is_still(&claims[i], place->device, place->inode)) ||
            same_name(&claims[i], place, path)) {
            return &claims[i];
        }
    }
    return NULL;
}

static bool claim_write(const char *path, const char *shown, bool promise)
{
    struct place place = look(path);
    pthread_mutex_lock(&lock);
    struct claim *own = promise ? NULL : find(path, true);
    const struct claim *taken = claimed(path, &place, own && own->promised ? own : NULL);
    if (taken) {
        cw_error_at(shown, 0,
                    taken->written ? "expected a file for each thing that is written, found that of '%s' again"
                                   : CW_CLAIM_MESSAGE,
                    taken->path);
    }
    bool good = !taken && add(path, true, &place);
    if (good) {
        find(path, true)->promised = promise;
    }
    pthread_mutex_unlock(&lock);
    return good;
}

bool cw_claim_write(const char *path, const char *shown) { return claim_write(path, shown, false); }

bool cw_claim_promise(const char *path, const char *shown) { return claim_write(path, shown, true); }

const char *cw_claimed_name(const struct stat *status)
{
    const char *name = NULL;
    pthread_mutex_lock(&lock);
    for (size_t i = 0; i < count && !name; i++) {
        if (!claims[i].written && is_still(&claims[i], status->st_dev, status->st_ino)) {
            name = claims[i].path;
        }
    }
    pthread_mutex_unlock(&lock);
    return name;
}
