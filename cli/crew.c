/* SPDX-License-Identifier: ISC */
#include "crew.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <unistd.h>

#include "folder.h"
#include "message.h"
#include "progress.h"

/* Every thread holds files open and a processor busy. */
enum { THREADS_MAX = 16, LINE_BYTES = 2048 };

/* A job needs some blocks of audio on its stack; the system's default would ask for more address
 * space than a small machine may give. */
static const size_t STACK_BYTES = 512 * 1024;

static struct {
    bool (*work)(void *data, size_t job);
    void *data;
    size_t count;
    atomic_size_t next, done;
    atomic_bool failed;
    pthread_mutex_t talk; /* of the two below */
    char line[LINE_BYTES];
    bool has_line;
} crew = {.talk = PTHREAD_MUTEX_INITIALIZER};

bool cw_crew_stopped(void) { return atomic_load(&crew.failed) || cw_folder_interrupted(); }

void cw_crew_progress(const char *what, double share)
{
    /* Whoever comes while another shows it has nothing to add. */
    if (pthread_mutex_trylock(&crew.talk) == 0) {
        cw_progress(what, ((double)atomic_load(&crew.done) + share) / (double)crew.count);
        pthread_mutex_unlock(&crew.talk);
    }
}

/* One disk that fills up fails every job: only the first message is kept. */
static void keep_line(const char *line)
{
    pthread_mutex_lock(&crew.talk);
    if (!crew.has_line && *line) {
        snprintf(crew.line, sizeof crew.line, "%s", line);
        crew.has_line = true;
    }
    pthread_mutex_unlock(&crew.talk);
}

static void *work_through(void *unused)
{
    char line[LINE_BYTES] = "";
    (void)unused;
    cw_message_keep(line, sizeof line);
    for (size_t job; !cw_crew_stopped() && (job = atomic_fetch_add(&crew.next, 1)) < crew.count;) {
        if (!crew.work(crew.data, job)) {
            atomic_store(&crew.failed, true);
            keep_line(line);
        }
        atomic_fetch_add(&crew.done, 1);
    }
    cw_message_keep(NULL, 0);
    return NULL;
}

size_t cw_crew_threads(void)
{
    long processors = sysconf(_SC_NPROCESSORS_ONLN);
    return processors < 1 ? 1 : processors > THREADS_MAX ? THREADS_MAX : (size_t)processors;
}

bool cw_crew(size_t count, bool (*work)(void *data, size_t job), void *data)
{
    pthread_t thread[THREADS_MAX];
    pthread_attr_t attributes;
    size_t started = 0, wanted = cw_crew_threads() < count ? cw_crew_threads() : count;
    crew.work = work;
    crew.data = data;
    crew.count = count;
    atomic_store(&crew.next, 0);
    atomic_store(&crew.done, 0);
    atomic_store(&crew.failed, false);
    crew.has_line = false;
    if (pthread_attr_init(&attributes) == 0) {
        pthread_attr_setstacksize(&attributes, STACK_BYTES);
        while (started + 1 < wanted && pthread_create(&thread[started], &attributes, work_through, NULL) == 0) {
            started++;
        }
        pthread_attr_destroy(&attributes);
    }
    work_through(NULL); /* the caller lends a hand */
    for (size_t i = 0; i < started; i++) {
        pthread_join(thread[i], NULL);
    }
    if (crew.has_line) {
        cw_progress_end();
        cw_message_show(crew.line);
    }
    return !cw_crew_stopped();
}
