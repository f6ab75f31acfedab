/* SPDX-License-Identifier: ISC */
/* Ends the program with a message when a thread, while it says that it is inside run(), asks for
   memory, takes a lock, touches a file or a socket, prints, sleeps or makes a thread. Preloaded
   (LD_PRELOAD) into a program that calls rl_rt_enter() and rl_rt_leave() around run(); see
   rt_run.c. Not for programs built with sanitizers, which stand in the same place. */
#define _GNU_SOURCE      /* RTLD_NEXT and a few of the functions below */
#undef _FILE_OFFSET_BITS /* the names below are meant as they stand, large files or not */
#undef _FORTIFY_SOURCE
#ifndef __NO_INLINE__
#define __NO_INLINE__ 1 /* nor as inline functions of stdio.h */
#endif

#include <dlfcn.h>
#include <execinfo.h>
#include <fcntl.h>
#include <malloc.h>
#include <poll.h>
#include <pthread.h>
#include <sched.h>
#include <semaphore.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

/* The interposed functions must be seen from outside, whatever the build says of others. */
#pragma GCC visibility push(default)

void rl_rt_enter(void);
void rl_rt_leave(void);

static _Thread_local bool inside __attribute__((tls_model("initial-exec")));

void
rl_rt_enter(void)
{
  inside = true;
}

void
rl_rt_leave(void)
{
  inside = false;
}

static void
put(const char *const text)
{
  const ssize_t written = write(STDERR_FILENO, text, strlen(text));
  (void)written;
}

static void
check(const char *const name)
{
  void *frames[32];
  if (inside) {
    inside = false;
    put("inside run(): ");
    put(name);
    put("()\n");
    backtrace_symbols_fd(frames, backtrace(frames, 32), STDERR_FILENO);
    abort();
  }
}

/* The function of that name behind this one. */
static void *
behind(const char *const name)
{
  void *const function = dlsym(RTLD_NEXT, name);
  if (!function) {
    inside = false;
    put("no such function: ");
    put(name);
    put("\n");
    abort();
  }
  return function;
}

/* ---- memory ----
   dlsym() itself asks for memory, so these go to the C library by its own names for them. */

void *__libc_malloc(size_t size);
void *__libc_calloc(size_t count, size_t size);
void *__libc_realloc(void *memory, size_t size);
void *__libc_memalign(size_t alignment, size_t size);
void  __libc_free(void *memory);

void *
malloc(const size_t size)
{
  check("malloc");
  return __libc_malloc(size);
}

void *
calloc(const size_t count, const size_t size)
{
  check("calloc");
  return __libc_calloc(count, size);
}

void *
realloc(void *const memory, const size_t size)
{
  check("realloc");
  return __libc_realloc(memory, size);
}

void *
memalign(const size_t alignment, const size_t size)
{
  check("memalign");
  return __libc_memalign(alignment, size);
}

void *
aligned_alloc(const size_t alignment, const size_t size)
{
  check("aligned_alloc");
  return __libc_memalign(alignment, size);
}

int
posix_memalign(void **const memory, const size_t alignment, const size_t size)
{
  check("posix_memalign");
  *memory = __libc_memalign(alignment, size);
  return *memory ? 0 : 12; /* ENOMEM */
}

void
free(void *const memory)
{
  check("free");
  __libc_free(memory);
}

/* ---- all the others ---- */

// NOLINTBEGIN(bugprone-macro-parentheses): types, parameters and arguments, with parentheses of
// their own
#define GUARD(type, name, parameters, arguments)                                                   \
  type name parameters                                                                             \
  {                                                                                                \
    static type(*real) parameters;                                                                 \
    check(#name);                                                                                  \
    if (!real) {                                                                                   \
      *(void **)&real = behind(#name);                                                             \
    }                                                                                              \
    return real arguments;                                                                         \
  }

GUARD(int, pthread_mutex_lock, (pthread_mutex_t * m), (m))
GUARD(int, pthread_mutex_trylock, (pthread_mutex_t * m), (m))
GUARD(int, pthread_mutex_timedlock, (pthread_mutex_t * m, const struct timespec *t), (m, t))
GUARD(int, pthread_mutex_unlock, (pthread_mutex_t * m), (m))
GUARD(int, pthread_cond_wait, (pthread_cond_t * c, pthread_mutex_t *m), (c, m))
GUARD(int, pthread_cond_timedwait,
      (pthread_cond_t * c, pthread_mutex_t *m, const struct timespec *t), (c, m, t))
GUARD(int, pthread_cond_signal, (pthread_cond_t * c), (c))
GUARD(int, pthread_cond_broadcast, (pthread_cond_t * c), (c))
GUARD(int, pthread_rwlock_rdlock, (pthread_rwlock_t * l), (l))
GUARD(int, pthread_rwlock_tryrdlock, (pthread_rwlock_t * l), (l))
GUARD(int, pthread_rwlock_wrlock, (pthread_rwlock_t * l), (l))
GUARD(int, pthread_rwlock_trywrlock, (pthread_rwlock_t * l), (l))
GUARD(int, pthread_rwlock_unlock, (pthread_rwlock_t * l), (l))
GUARD(int, pthread_spin_lock, (pthread_spinlock_t * l), (l))
GUARD(int, pthread_barrier_wait, (pthread_barrier_t * b), (b))
GUARD(int, pthread_once, (pthread_once_t * o, void (*f)(void)), (o, f))
GUARD(int, pthread_join, (pthread_t t, void **r), (t, r))
GUARD(int, pthread_create, (pthread_t * t, const pthread_attr_t *a, void *(*f)(void *), void *d),
      (t, a, f, d))
GUARD(int, sem_wait, (sem_t * s), (s))
GUARD(int, sem_trywait, (sem_t * s), (s))
GUARD(int, sem_timedwait, (sem_t * s, const struct timespec *t), (s, t))
GUARD(int, sem_post, (sem_t * s), (s))

GUARD(FILE *, fopen, (const char *path, const char *mode), (path, mode))
GUARD(FILE *, fopen64, (const char *path, const char *mode), (path, mode))
GUARD(FILE *, fdopen, (int f, const char *mode), (f, mode))
GUARD(int, fclose, (FILE * f), (f))
GUARD(size_t, fread, (void *to, size_t size, size_t count, FILE *f), (to, size, count, f))
GUARD(size_t, fwrite, (const void *from, size_t size, size_t count, FILE *f),
      (from, size, count, f))
GUARD(char *, fgets, (char *to, int size, FILE *f), (to, size, f))
GUARD(int, fflush, (FILE * f), (f))
GUARD(ssize_t, read, (int f, void *to, size_t size), (f, to, size))
GUARD(ssize_t, write, (int f, const void *from, size_t size), (f, from, size))
GUARD(int, close, (int f), (f))
GUARD(int, unlink, (const char *path), (path))
GUARD(int, poll, (struct pollfd * f, nfds_t count, int timeout), (f, count, timeout))
GUARD(void *, mmap, (void *at, size_t size, int protection, int flags, int f, off_t offset),
      (at, size, protection, flags, f, offset))
GUARD(void *, mmap64, (void *at, size_t size, int protection, int flags, int f, off64_t offset),
      (at, size, protection, flags, f, offset))
GUARD(int, munmap, (void *at, size_t size), (at, size))
GUARD(void *, dlopen, (const char *path, int mode), (path, mode))

GUARD(int, socket, (int domain, int type, int protocol), (domain, type, protocol))
GUARD(int, connect, (int s, __CONST_SOCKADDR_ARG to, socklen_t size), (s, to, size))
GUARD(int, bind, (int s, __CONST_SOCKADDR_ARG to, socklen_t size), (s, to, size))
GUARD(ssize_t, send, (int s, const void *from, size_t size, int flags), (s, from, size, flags))
GUARD(ssize_t, sendto,
      (int s, const void *from, size_t size, int flags, __CONST_SOCKADDR_ARG to, socklen_t n),
      (s, from, size, flags, to, n))
GUARD(ssize_t, sendmsg, (int s, const struct msghdr *message, int flags), (s, message, flags))
GUARD(ssize_t, recv, (int s, void *to, size_t size, int flags), (s, to, size, flags))
GUARD(ssize_t, recvfrom,
      (int s, void *to, size_t size, int flags, __SOCKADDR_ARG from, socklen_t *n),
      (s, to, size, flags, from, n))

GUARD(int, vprintf, (const char *format, va_list list), (format, list))
GUARD(int, vfprintf, (FILE * f, const char *format, va_list list), (f, format, list))
GUARD(int, vsprintf, (char *to, const char *format, va_list list), (to, format, list))
GUARD(int, vsnprintf, (char *to, size_t room, const char *format, va_list list),
      (to, room, format, list))
GUARD(int, puts, (const char *text), (text))
GUARD(int, fputs, (const char *text, FILE *f), (text, f))
GUARD(int, fputc, (int c, FILE *f), (c, f))
GUARD(int, putchar, (int c), (c))

GUARD(unsigned, sleep, (unsigned seconds), (seconds))
GUARD(int, usleep, (useconds_t microseconds), (microseconds))
GUARD(int, nanosleep, (const struct timespec *wanted, struct timespec *left), (wanted, left))
GUARD(int, clock_nanosleep,
      (clockid_t clock, int flags, const struct timespec *wanted, struct timespec *left),
      (clock, flags, wanted, left))
GUARD(int, sched_yield, (void), ())

// NOLINTEND(bugprone-macro-parentheses)

/* ---- those with a list of arguments ---- */

// NOLINTBEGIN(clang-analyzer-valist.Uninitialized): with -fno-builtin the analyser does not know
// va_start()

// NOLINTBEGIN(bugprone-macro-parentheses): names, parameters and arguments, which have their own

/* The mode of a new file, which open() has only where its flags say that it makes one. */
#define MODE(mode, last)                                                                           \
  unsigned mode = 0;                                                                               \
  if (O_CREAT & (last)) {                                                                          \
    va_list list;                                                                                  \
    va_start(list, last);                                                                          \
    mode = va_arg(list, unsigned);                                                                 \
    va_end(list);                                                                                  \
  }

#define GUARD_OPEN(name, parameters, types, arguments)                                             \
  int name parameters                                                                              \
  {                                                                                                \
    static int(*real) types;                                                                       \
    check(#name);                                                                                  \
    MODE(mode, flags)                                                                              \
    if (!real) {                                                                                   \
      *(void **)&real = behind(#name);                                                             \
    }                                                                                              \
    return real arguments;                                                                         \
  }

// NOLINTEND(bugprone-macro-parentheses)

GUARD_OPEN(open, (const char *path, int flags, ...), (const char *, int, ...), (path, flags, mode))
GUARD_OPEN(open64, (const char *path, int flags, ...), (const char *, int, ...),
           (path, flags, mode))
GUARD_OPEN(openat, (int at, const char *path, int flags, ...), (int, const char *, int, ...),
           (at, path, flags, mode))
GUARD_OPEN(openat64, (int at, const char *path, int flags, ...), (int, const char *, int, ...),
           (at, path, flags, mode))

/* The call with its list behind the last named argument. */
#define LISTED(call, last)                                                                         \
  va_list list;                                                                                    \
  va_start(list, last);                                                                            \
  const int result = call;                                                                         \
  va_end(list);                                                                                    \
  return result;

int
printf(const char *const format, ...)
{
  check("printf");
  LISTED(vprintf(format, list), format)
}

int
fprintf(FILE *const file, const char *const format, ...)
{
  check("fprintf");
  LISTED(vfprintf(file, format, list), format)
}

int
sprintf(char *const to, const char *const format, ...)
{
  check("sprintf");
  LISTED(vsprintf(to, format, list), format)
}

int
snprintf(char *const to, const size_t room, const char *const format, ...)
{
  check("snprintf");
  LISTED(vsnprintf(to, room, format, list), format)
}

/* What a build with _FORTIFY_SOURCE calls instead (the names are the C library's). */

int __printf_chk(int flag, const char *format, ...);
int __fprintf_chk(FILE *file, int flag, const char *format, ...);
int __sprintf_chk(char *to, int flag, size_t size, const char *format, ...);
int __snprintf_chk(char *to, size_t room, int flag, size_t size, const char *format, ...);

int
__printf_chk(const int flag, const char *const format, ...)
{
  (void)flag;
  check("printf");
  LISTED(vprintf(format, list), format)
}

int
__fprintf_chk(FILE *const file, const int flag, const char *const format, ...)
{
  (void)flag;
  check("fprintf");
  LISTED(vfprintf(file, format, list), format)
}

int
__sprintf_chk(char *const to, const int flag, const size_t size, const char *const format, ...)
{
  (void)flag;
  check("sprintf");
  LISTED(vsnprintf(to, size, format, list), format)
}

int
__snprintf_chk(char *const to, const size_t room, const int flag, const size_t size,
               const char *const format, ...)
{
  (void)flag;
  (void)size;
  check("snprintf");
  LISTED(vsnprintf(to, room, format, list), format)
}

// NOLINTEND(clang-analyzer-valist.Uninitialized)

#pragma GCC visibility pop
