/* SPDX-License-Identifier: ISC */
#include "jobs.h"

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
} jobs = {.talk = PTHREAD_MUTEX_INITIALIZER};

bool cw_jobs_stopped(void) { return atomic_load(&jobs.failed) || cw_folder_interrupted(); }

void cw_jobs_progress(const char *what, double share)
{
    /* Whoever comes while another shows it has nothing to add. */
    if (pthread_mutex_trylock(&jobs.talk) == 0) {
        cw_progress(what, ((double)atomic_load(&jobs.done) + share) / (double)jobs.count);
        pthread_mutex_unlock(&jobs.talk);
    }
}

/* One disk that fills up fails every job: only the first message is kept. */
static void keep_line(const char *line)
{
    pthread_mutex_lock(&jobs.talk);
    if (!jobs.has_line && *line) {
        snprintf(jobs.line, sizeof jobs.line, "%s", line);
        jobs.has_line = true;
    }
    pthread_mutex_unlock(&jobs.talk);
}

static void *work_through(void *unused)
{
    char line[LINE_BYTES] = "";
    (void)unused;
    cw_message_keep(line, sizeof line);
    for (size_t job; !cw_jobs_stopped() && (job = atomic_fetch_add(&jobs.next, 1)) < jobs.count;) {
        if (!jobs.work(jobs.data, job)) {
            atomic_store(&jobs.failed, true);
            keep_line(line);
        }
        atomic_fetch_add(&jobs.done, 1);
    }
    cw_message_keep(NULL, 0);
    return NULL;
}

size_t cw_jobs_threads(void)
{
    long processors = sysconf(_SC_NPROCESSORS_ONLN);
    return processors < 1 ? 1 : processors > THREADS_MAX ? THREADS_MAX : (size_t)processors;
}

bool cw_jobs_run(size_t count, bool (*work)(void *data, size_t job), void *data)
{
    pthread_t thread[THREADS_MAX];
    pthread_attr_t attributes;
    size_t started = 0, wanted = cw_jobs_threads() < count ? cw_jobs_threads() : count;
    jobs.work = work;
    jobs.data = data;
    jobs.count = count;
    atomic_store(&jobs.next, 0);
    atomic_store(&jobs.done, 0);
    atomic_store(&jobs.failed, false);
    jobs.has_line = false;
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
    if (jobs.has_line) {
        cw_progress_end();
        cw_message_show(jobs.line);
    }
    return !cw_jobs_stopped();
}
