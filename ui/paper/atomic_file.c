/* SPDX-License-Identifier: ISC */
#include "ui/paper/atomic_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum {
  SUFFIX_SIZE = 40, /* bytes: a process id and a number, with their punctuation */
  TRIES       = 100
};

/* Opens a new file. Not by mkstemp(): that gives it mode 0600, and the umask, from which the usual
   mode follows, can only be read by setting it, which belongs to the whole process. */
static int
temporary_open(const char *const path, char *const name, const size_t size)
{
  int to = -1;
  errno  = EEXIST;
  for (int i = 0; to < 0 && errno == EEXIST && i < TRIES; ++i) {
    snprintf(name, size, "%s.%ld-%d", path, (long)getpid(), i);
    to = open(name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  }
  return to;
}

const char *
rl_atomic_file_write(const char *const path, const RlBytes *const bytes, char **const temporary)
{
  const size_t size = strlen(path) + SUFFIX_SIZE;
  char *const  name = (char *)malloc(size);
  *temporary        = NULL;
  if (!name) {
    return "not enough memory";
  }
  const int to = temporary_open(path, name, size);
  if (to < 0) {
    free(name);
    return strerror(errno);
  }
  *temporary            = name;
  const char *const why = rl_bytes_write(to, bytes) ? NULL : strerror(errno);
  return close(to) == 0 || why ? why : strerror(errno);
}
