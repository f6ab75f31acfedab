/* Preloaded: aborts on any call, inside run(), that an audio thread must not make. rt_run.c tells
 * it when. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <pthread.h>
#include <semaphore.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

static _Thread_local int inside;

void rl_rt_enter(void);
void rl_rt_leave(void);

void
rl_rt_enter(void)
{
  inside = 1;
}

void
rl_rt_leave(void)
{
  inside = 0;
}

static void
refuse(const char *const name)
{
  if (inside) {
    inside                   = 0;
    static const char said[] = " called inside run()\n";
    if (write(STDERR_FILENO, name, strlen(name)) < 0 ||
        write(STDERR_FILENO, said, sizeof(said) - 1) < 0) {
      _exit(3);
    }
    abort();
  }
}

static void *
real(const char *const name)
{
  const int was        = inside;
  inside               = 0;
  void *const function = dlsym(RTLD_NEXT, name);
  inside               = was;
  return function;
}

/* glibc's own names for its allocator: there is no bootstrapping through dlsym. */
extern void *__libc_malloc(size_t);
extern void *__libc_calloc(size_t, size_t);
extern void *__libc_realloc(void *, size_t);
extern void *__libc_memalign(size_t, size_t);
extern void  __libc_free(void *);

void *
malloc(const size_t size)
{
  refuse("malloc");
  return __libc_malloc(size);
}

void *
calloc(const size_t count, const size_t size)
{
  refuse("calloc");
  return __libc_calloc(count, size);
}

void *
realloc(void *const old, const size_t size)
{
  refuse("realloc");
  return __libc_realloc(old, size);
}

void
free(void *const old)
{
  refuse("free");
  __libc_free(old);
}

void *
aligned_alloc(const size_t alignment, const size_t size)
{
  refuse("aligned_alloc");
  return __libc_memalign(alignment, size);
}

int
posix_memalign(void **const to, const size_t alignment, const size_t size)
{
  refuse("posix_memalign");
  *to = __libc_memalign(alignment, size);
  return *to ? 0 : 12;
}

/* What is refused is passed on by this shape otherwise. */
#define GUARD(result, name, parameters, arguments)                                                 \
  result name parameters                                                                           \
  {                                                                                                \
    result(*function) parameters;                                                                  \
    void *const found = real(#name);                                                               \
    refuse(#name);                                                                                 \
    memcpy(&function, &found, sizeof(function));                                                   \
    return function arguments;                                                                     \
  }

GUARD(int, pthread_mutex_lock, (pthread_mutex_t * m), (m))
GUARD(int, pthread_mutex_trylock, (pthread_mutex_t * m), (m))
GUARD(int, pthread_rwlock_rdlock, (pthread_rwlock_t * l), (l))
GUARD(int, pthread_rwlock_wrlock, (pthread_rwlock_t * l), (l))
GUARD(int, pthread_cond_wait, (pthread_cond_t * c, pthread_mutex_t *m), (c, m))
GUARD(int, pthread_create, (pthread_t * t, const pthread_attr_t *a, void *(*f)(void *), void *d),
      (t, a, f, d))
GUARD(int, sem_wait, (sem_t * s), (s))
GUARD(FILE *, fopen, (const char *path, const char *mode), (path, mode))
GUARD(int, fclose, (FILE * file), (file))
GUARD(ssize_t, read, (int fd, void *to, size_t n), (fd, to, n))
GUARD(int, close, (int fd), (fd))
GUARD(int, puts, (const char *text), (text))
GUARD(int, fputs, (const char *text, FILE *file), (text, file))
GUARD(size_t, fwrite, (const void *from, size_t size, size_t n, FILE *file), (from, size, n, file))
GUARD(int, vfprintf, (FILE * file, const char *format, va_list list), (file, format, list))
GUARD(int, vsnprintf, (char *to, size_t n, const char *format, va_list list), (to, n, format, list))
GUARD(int, socket, (int domain, int type, int protocol), (domain, type, protocol))
GUARD(ssize_t, send, (int fd, const void *from, size_t n, int flags), (fd, from, n, flags))
GUARD(ssize_t, sendto,
      (int fd, const void *from, size_t n, int flags, const struct sockaddr *to, socklen_t size),
      (fd, from, n, flags, to, size))
GUARD(int, connect, (int fd, const struct sockaddr *to, socklen_t size), (fd, to, size))
GUARD(int, usleep, (useconds_t time), (time))
GUARD(unsigned, sleep, (unsigned time), (time))
GUARD(int, nanosleep, (const struct timespec *time, struct timespec *rest), (time, rest))

int
open(const char *const path, const int flags, ...)
{
  va_list list;
  int (*function)(const char *, int, ...);
  void *const found = real("open");
  refuse("open");
  memcpy(&function, &found, sizeof(function));
  va_start(list, flags);
  const int fd = function(path, flags, va_arg(list, int));
  va_end(list);
  return fd;
}

int
printf(const char *const format, ...)
{
  va_list list;
  refuse("printf");
  va_start(list, format);
  const int n = vfprintf(stdout, format, list);
  va_end(list);
  return n;
}

int
fprintf(FILE *const file, const char *const format, ...)
{
  va_list list;
  refuse("fprintf");
  va_start(list, format);
  const int n = vfprintf(file, format, list);
  va_end(list);
  return n;
}

int
snprintf(char *const to, const size_t room, const char *const format, ...)
{
  va_list list;
  refuse("snprintf");
  va_start(list, format);
  const int n = vsnprintf(to, room, format, list);
  va_end(list);
  return n;
}
