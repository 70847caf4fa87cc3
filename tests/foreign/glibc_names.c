/* SPDX-License-Identifier: ISC */
/* What Debian's libraries, which are built with the GNU C library, ask of it and musl does not have: the checked forms
 * of common functions, which end the program where the room told is too small (Linux Standard Base Core 5.0,
 * "Interfaces for libc"), and a few extensions. With these they load beside musl, whose types on x86-64 are the same;
 * `make check-foreign` so has the program with musl where no library is built for it.
 */
#define _GNU_SOURCE
#include <fcntl.h>
#include <limits.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static void fits(size_t size, size_t room)
{
    if (size > room) {
        abort();
    }
}

/* ---- formatted output ---- */

int __vfprintf_chk(FILE *to, int flag, const char *format, va_list values)
{
    (void)flag;
    return vfprintf(to, format, values);
}

int __vsnprintf_chk(char *to, size_t size, int flag, size_t room, const char *format, va_list values)
{
    (void)flag;
    fits(size, room);
    return vsnprintf(to, size, format, values);
}

/* A function of this name whose values are its `...`, handed on to CALL. */
#define PRINTS(name, parameters, call)                                                                                 \
    int name parameters                                                                                                \
    {                                                                                                                  \
        va_list values;                                                                                                \
        va_start(values, format);                                                                                      \
        (void)flag;                                                                                                    \
        const int printed = call;                                                                                      \
        va_end(values);                                                                                                \
        return printed;                                                                                                \
    }

PRINTS(__fprintf_chk, (FILE * to, int flag, const char *format, ...), vfprintf(to, format, values))
PRINTS(__printf_chk, (int flag, const char *format, ...), vprintf(format, values))
PRINTS(__asprintf_chk, (char **to, int flag, const char *format, ...), vasprintf(to, format, values))
PRINTS(__snprintf_chk, (char *to, size_t size, int flag, size_t room, const char *format, ...),
       __vsnprintf_chk(to, size, flag, room, format, values))
PRINTS(__sprintf_chk, (char *to, int flag, size_t room, const char *format, ...),
       __vsnprintf_chk(to, room < INT_MAX ? room : INT_MAX, flag, room, format, values))

/* ---- memory and text ---- */

void *__memcpy_chk(void *to, const void *from, size_t size, size_t room)
{
    fits(size, room);
    return memcpy(to, from, size);
}

void *__memset_chk(void *to, int byte, size_t size, size_t room)
{
    fits(size, room);
    return memset(to, byte, size);
}

void __explicit_bzero_chk(void *to, size_t size, size_t room)
{
    fits(size, room);
    explicit_bzero(to, size);
}

char *__strcpy_chk(char *to, const char *from, size_t room) { return __memcpy_chk(to, from, strlen(from) + 1, room); }

char *__strncpy_chk(char *to, const char *from, size_t size, size_t room)
{
    fits(size, room);
    memset(to, 0, size);
    return memcpy(to, from, strnlen(from, size));
}

char *__strncat_chk(char *to, const char *from, size_t most, size_t room)
{
    const size_t before = strlen(to), size = strnlen(from, most);
    fits(before + size + 1, room);
    memcpy(to + before, from, size);
    to[before + size] = '\0';
    return to;
}

char *__strcat_chk(char *to, const char *from, size_t room) { return __strncat_chk(to, from, SIZE_MAX, room); }

/* ---- files ---- */

ssize_t __read_chk(int file, void *to, size_t size, size_t room)
{
    fits(size, room);
    return read(file, to, size);
}

char *__realpath_chk(const char *path, char *to, size_t room)
{
    fits(PATH_MAX, room);
    return realpath(path, to);
}

int __open_2(const char *path, int flags) { return open(path, flags); }

int fcntl64(int file, int what, ...)
{
    va_list value;
    va_start(value, what);
    void *given = va_arg(value, void *);
    va_end(value);
    return fcntl(file, what, given);
}

long __fdelt_chk(long file)
{
    fits((size_t)file + 1, 1024);
    return file / 64;
}

/* ---- the rest ---- */

_Noreturn void __longjmp_chk(jmp_buf place, int value) { longjmp(place, value); }

int __register_atfork(void (*before)(void), void (*parent)(void), void (*child)(void), void *library)
{
    (void)before, (void)parent, (void)child, (void)library; /* of a random source that nothing here asks */
    return 0;
}

/* Fontconfig's choice of an order in which to look through its levels: any numbers will do. */
int initstate_r(unsigned seed, char *room, size_t size, void *state)
{
    (void)room, (void)size, (void)state;
    srand(seed);
    return 0;
}

int random_r(void *state, int32_t *number)
{
    (void)state;
    *number = rand();
    return 0;
}
