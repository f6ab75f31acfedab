/* SPDX-License-Identifier: ISC */
#include "ui/paper/atomic_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { SUFFIX_ROOM = 40, TRIES = 100 };

bool
rl_bytes_write(const int to, const RlBytes *const bytes)
{
  size_t done = 0;
  while (done < bytes->length) {
    const ssize_t n = write(to, bytes->at + done, bytes->length - done);
    if (n < 0 && errno != EINTR) {
      return false;
    }
    done += n > 0 ? (size_t)n : 0;
  }
  return true;
}

/* A file of a name that nobody has: not by mkstemp(), which leaves it to its owner alone, and the
   umask that would put that right can only be read by setting it. */
static int
beside_open(const char *const path, char *const name, const size_t room)
{
  int to = -1;
  errno  = EEXIST;
  for (int i = 0; to < 0 && errno == EEXIST && i < TRIES; ++i) {
    snprintf(name, room, "%s.%ld-%d", path, (long)getpid(), i);
    to = open(name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  }
  return to;
}

const char *
rl_atomic_file_write(const char *const path, const RlBytes *const bytes, char **const beside)
{
  const size_t room = strlen(path) + SUFFIX_ROOM;
  char *const  name = (char *)malloc(room);
  *beside           = NULL;
  if (!name) {
    return "no memory";
  }
  const int to = beside_open(path, name, room);
  if (to < 0) {
    free(name);
    return strerror(errno);
  }
  *beside               = name;
  const char *const why = rl_bytes_write(to, bytes) ? NULL : strerror(errno);
  return close(to) == 0 || why ? why : strerror(errno);
}
