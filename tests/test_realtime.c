/* SPDX-License-Identifier: ISC */
/* What run() asks of the system: nothing. Allocations and locks are counted by functions of their
 * names that stand before the C library's; system calls by a filter of the kernel (seccomp) that turns
 * each one into a signal. Both counts are proved to count.
 *
 * Called with arguments, `test_realtime SIGNAL BLOCK BLOCKS`, it runs the plugin on a signal; then
 * tests/test_realtime.sh has callgrind count the instructions inside measured_run(). */
#define _GNU_SOURCE /* MAP_ANONYMOUS, syscall numbers */

#include <dlfcn.h>
#include <float.h>
#include <math.h>
#include <pthread.h>
#include <semaphore.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "host.h"
#include "instance.h"
#include "shelf.h"

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define SANITIZED 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
#define SANITIZED 1
#endif
#endif

/* ---- the plugin at work ----------------------------------------------------------------------- */

enum { FRAMES = 4096 };

static float in[FRAMES], out[FRAMES];

static float signal_at(const char *name, int i, uint32_t *seed)
{
    if (strcmp(name, "noise") == 0) {
        return (float)(host_random_unit(seed) - 0.5);
    }
    if (strcmp(name, "sine") == 0) {
        return (float)sin(0.1 * i);
    }
    if (strcmp(name, "square") == 0) {
        return i / 50 % 2 ? -1.0f : 1.0f;
    }
    if (strcmp(name, "denormal") == 0) {
        return FLT_MIN / 16.0f;
    }
    if (strcmp(name, "decay") == 0) {
        return i == 0 ? 1.0f : 0.0f;
    }
    if (strcmp(name, "nan") == 0) {
        return i % 3 ? NAN : INFINITY;
    }
    if (strcmp(name, "loud") == 0) {
        return i % 2 ? -FLT_MAX : FLT_MAX;
    }
    return 0.0f;
}

static void fill(const char *name)
{
    uint32_t seed = 99;
    for (int i = 0; i < FRAMES; i++) {
        in[i] = signal_at(name, i, &seed);
    }
}

/* The name that callgrind is told to count in. */
void measured_run(struct host *host, size_t n);
__attribute__((noinline)) void measured_run(struct host *host, size_t n) { host_run(host, in, out, n, 0); }

static struct host *busy_host(double rate)
{
    struct host *host = host_new(rate);
    assert_non_null(host);
    host_set(host, "a_coils", 1);
    host_set(host, "a_split", 1);
    host_set(host, "a_split_by", 3);
    host_set(host, "a_tone", 7);
    host_set(host, "rec_inductance", 2.5f);
    host_set(host, "b_volume", 5);
    return host;
}

static int run_for_callgrind(const char *name, size_t block, int blocks)
{
    struct host *host = busy_host(48000);
    fill(name);
    host_run(host, in, out, block, 0); /* takes the controls */
    for (int i = 0; i < blocks; i++) {
        measured_run(host, block);
        if (i == 0 && strcmp(name, "decay") == 0) {
            fill("silence");
        }
    }
    host_free(host);
    return 0;
}

/* ---- counting ---------------------------------------------------------------------------------- */

/* Shared with the child that runs under the filter. */
static struct counts {
    volatile int armed, allocations, locks, calls, last_call, done;
} * counts;

#ifndef SANITIZED

#define COUNT(what)                                                                                                    \
    do {                                                                                                               \
        if (counts && counts->armed) {                                                                                 \
            counts->what++;                                                                                            \
        }                                                                                                              \
    } while (0)
#define SEEN __attribute__((visibility("default")))

/* glibc's own names of its allocator. */
extern void *__libc_malloc(size_t), *__libc_calloc(size_t, size_t), *__libc_realloc(void *, size_t);
extern void *__libc_memalign(size_t, size_t);
extern void __libc_free(void *);

static int (*real_lock)(pthread_mutex_t *), (*real_trylock)(pthread_mutex_t *), (*real_wait)(sem_t *);

static void *next_of(const char *name) { return dlsym(RTLD_NEXT, name); }
#define FIND(pointer, name) (pointer ? (void)0 : (void)(*(void **)&pointer = next_of(name)))

SEEN void *malloc(size_t n)
{
    COUNT(allocations);
    return __libc_malloc(n);
}
SEEN void *calloc(size_t n, size_t m)
{
    COUNT(allocations);
    return __libc_calloc(n, m);
}
SEEN void *realloc(void *p, size_t n)
{
    COUNT(allocations);
    return __libc_realloc(p, n);
}
SEEN void *aligned_alloc(size_t a, size_t n)
{
    COUNT(allocations);
    return __libc_memalign(a, n);
}
SEEN void free(void *p)
{
    COUNT(allocations);
    __libc_free(p);
}
SEEN int pthread_mutex_lock(pthread_mutex_t *m)
{
    COUNT(locks);
    FIND(real_lock, "pthread_mutex_lock");
    return real_lock(m);
}
SEEN int pthread_mutex_trylock(pthread_mutex_t *m)
{
    COUNT(locks);
    FIND(real_trylock, "pthread_mutex_trylock");
    return real_trylock(m);
}
SEEN int sem_wait(sem_t *s)
{
    COUNT(locks);
    FIND(real_wait, "sem_wait");
    return real_wait(s);
}

#if defined(__linux__) && (defined(__x86_64__) || defined(__aarch64__))
#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <sys/prctl.h>
#include <sys/syscall.h>
#define FILTERED 1

static void on_call(int number, siginfo_t *info, void *context)
{
    (void)number;
    (void)context;
    counts->calls++;
    counts->last_call = info->si_syscall;
}

/* Every call but the two that end things becomes SIGSYS, and is not done. There is no way back, so a
 * child does it. */
static void forbid_calls(void)
{
    struct sock_filter filter[] = {
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, nr)),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_exit_group, 2, 0),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_rt_sigreturn, 1, 0),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_TRAP),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW),
    };
    struct sock_fprog program = {sizeof filter / sizeof filter[0], filter};
    struct sigaction action;
    memset(&action, 0, sizeof action);
    action.sa_sigaction = on_call;
    action.sa_flags = SA_SIGINFO;
    sigaction(SIGSYS, &action, NULL);
    if (prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) != 0 || prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &program) != 0) {
        _exit(77);
    }
}
#endif
#endif

#ifdef FILTERED

/* A session with 12 s learned. */
static void fill_shelf(struct shelf *shelf)
{
    struct host *host = busy_host(48000);
    host_set(host, "level_match", 1);
    fill("noise");
    for (int i = 0; i < 12 * 48000 / FRAMES + 1; i++) {
        host_run(host, in, out, FRAMES, 256);
    }
    assert_true(host_get(host, "match_by") == 1.0f);
    shelf_save(host, shelf);
    host_free(host);
}

/* A window looks at the sound, and a session was restored that run() has not taken over yet. */
static void watch(struct host *host, struct shelf *shelf)
{
    const struct cw_instance_interface *of = lilv_instance_get_extension_data(host_instance(host), CW_INSTANCE_URI);
    of->listen(lilv_instance_get_handle(host_instance(host)), true);
    host_set(host, "level_match", 1);
    if (shelf_restore(host, shelf) != LV2_STATE_SUCCESS) {
        _exit(1);
    }
}

/* Runs `work` in a child under the filter with the counts armed; with a shelf, watched and restored from it. */
static void counted(void (*work)(struct host *), double rate, struct shelf *shelf)
{
    struct host *host = busy_host(rate);
    memset((void *)counts, 0, sizeof *counts);
    fflush(stdout);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        /* Calls are bound and pages are there before counting starts. */
        fill("noise");
        host_run(host, in, out, FRAMES, 64);
        if (shelf) {
            watch(host, shelf);
        }
        forbid_calls();
        counts->armed = 1;
        work(host);
        counts->armed = 0;
        counts->done = 1;
        _exit(0);
    }
    int status;
    waitpid(child, &status, 0);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 77) {
        host_free(host);
        skip();
    }
    host_free(host);
    if (!counts->done) {
        fail_msg("the child ended early: status %d, %d calls, last %d", status, counts->calls, counts->last_call);
    }
}

static void assert_nothing(void)
{
    if (counts->allocations || counts->locks || counts->calls) {
        fail_msg("%d allocations, %d locks, %d system calls (last: number %d)", counts->allocations, counts->locks,
                 counts->calls, counts->last_call);
    }
}

static void in_blocks(struct host *host)
{
    static const size_t blocks[] = {0, 1, 7, 16, 64, 256, 1024, 4096};
    for (size_t i = 0; i < sizeof blocks / sizeof blocks[0]; i++) {
        host_run(host, in, out, blocks[i] ? FRAMES : 0, blocks[i]);
    }
}

static void steady(struct host *host) { in_blocks(host); }

static void any_signal(struct host *host)
{
    static const char *const names[] = {"silence", "nan", "loud", "denormal", "decay", "square"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        fill(names[i]);
        in_blocks(host);
    }
}

static void flips(struct host *host)
{
    for (int i = 0; i < 60; i++) {
        host_set(host, i % 2 ? "listen" : "undo_recording", (float)(i % 3));
        host_set(host, "enabled", i % 5 ? 1.0f : 0.0f);
        host_set(host, "level_match", (float)(i % 2));
        host_run(host, in, out, 640, 64);
    }
}

/* Every control at once, each block, over its whole range; NaN and far outside now and then. */
static void everything_moves(struct host *host)
{
    uint32_t seed = 7;
    for (int round = 0; round < 300; round++) {
        for (size_t port = 0; port < host_ports(host); port++) {
            if (!host_is_control_input(host, port)) {
                continue;
            }
            float lo, hi, preset;
            host_range(host, port, &lo, &hi, &preset);
            float value = lo + (hi - lo) * (float)host_random_unit(&seed);
            uint32_t odd = host_random(&seed) % 50;
            host_set(host, host_symbol(host, port), odd == 0 ? NAN : odd == 1 ? 1e38f : odd == 2 ? -INFINITY : value);
        }
        host_run(host, in, out, 256, 64);
    }
}

static void restarts(struct host *host)
{
    for (int i = 0; i < 10; i++) {
        host_restart(host); /* activate() is not bound to it, but keeps it as well */
        host_run(host, in, out, 512, 64);
    }
}

/* Ends early where the session is not gone by. */
static void takes_over(struct host *host)
{
    memset(in, 0, sizeof in);
    host_run(host, in, out, 256, 64);
    if (host_get(host, "match_by") != 1.0f) {
        _exit(1);
    }
}

static void test_nothing_is_asked_for(void **state)
{
    (void)state;
    static void (*const works[])(struct host *) = {steady, any_signal, flips, everything_moves, restarts};
    static const double rates[] = {44100, 96000};
    struct shelf shelf;
    fill_shelf(&shelf);
    for (size_t i = 0; i < sizeof works / sizeof works[0]; i++) {
        for (size_t r = 0; r < 2; r++) {
            counted(works[i], rates[r], NULL);
            assert_nothing();
            counted(works[i], rates[r], &shelf);
            assert_nothing();
        }
    }
    /* What was restored is taken over there, before anything was heard. */
    counted(takes_over, 48000, &shelf);
    assert_nothing();
    shelf_clear(&shelf);
}

/* --- the counts count --- */

static pthread_mutex_t mutex = PTHREAD_MUTEX_INITIALIZER;
static void *volatile somewhere;

static void sins(struct host *host)
{
    (void)host;
    somewhere = malloc(100);
    free(somewhere);
    pthread_mutex_lock(&mutex);
    pthread_mutex_unlock(&mutex);
    (void)getppid();
}

static void test_each_is_seen(void **state)
{
    (void)state;
    pthread_mutex_lock(&mutex); /* finds the real one, which may allocate */
    pthread_mutex_unlock(&mutex);
    counted(sins, 48000, NULL);
    assert_int_equal(counts->allocations, 2);
    assert_int_equal(counts->locks, 1);
    assert_int_equal(counts->calls, 1);
    assert_int_equal(counts->last_call, SYS_getppid);
}

#else

static void test_nothing_is_asked_for(void **state)
{
    (void)state;
    skip();
}

static void test_each_is_seen(void **state)
{
    (void)state;
    skip();
}

#endif

int main(int argc, char **argv)
{
    if (argc == 4) {
        return run_for_callgrind(argv[1], (size_t)atoi(argv[2]), atoi(argv[3]));
    }
    counts = mmap(NULL, sizeof *counts, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (counts == MAP_FAILED) {
        return 1;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_nothing_is_asked_for),
        cmocka_unit_test(test_each_is_seen),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
