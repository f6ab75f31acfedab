/* SPDX-License-Identifier: ISC */
/* A file written whole or not at all: a new one in the same folder, which is then renamed. */
#define _DEFAULT_SOURCE /* struct stat.st_mtim, fchown() */
#include "ui/files/chart_save.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

int
rl_folders_make(const char *const folder)
{
  char         path[RL_PATH_SIZE];
  const size_t length = strlen(folder);
  if (length >= sizeof(path)) {
    return ENAMETOOLONG;
  }
  for (size_t n = 1; n <= length; ++n) {
    if (folder[n] == '/' || !folder[n]) {
      memcpy(path, folder, n);
      path[n] = '\0';
      if (mkdir(path, 0777) && errno != EEXIST && n == length) {
        return errno;
      }
    }
  }
  return 0;
}

/* The new file's name does not hang on the other's: that one may be as long as names can be. Not by
   mkstemp(), which gives it mode 0600. */
static int
temporary_open(const char *const path, char name[RL_PATH_SIZE])
{
  enum { TRIES = 100 };
  const char *const slash  = strrchr(path, '/');
  const int         folder = slash ? (int)(slash - path) : 0;
  int               to     = -1;
  errno                    = EEXIST;
  for (int i = 0; to < 0 && errno == EEXIST && i < TRIES; ++i) {
    if (snprintf(name, RL_PATH_SIZE, "%.*s/.reedlamp-%ld-%d", folder, path, (long)getpid(), i) >=
        RL_PATH_SIZE) {
      errno = ENAMETOOLONG;
      return -1;
    }
    to = open(name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  }
  return to;
}

/* 0, or an errno. */
static int
bytes_write(const int to, RlSlice bytes)
{
  while (bytes.length) {
    const ssize_t wrote = write(to, bytes.at, bytes.length);
    if (wrote < 0 && errno != EINTR) {
      return errno;
    }
    bytes = rl_slice_after(bytes, wrote > 0 ? (size_t)wrote : 0);
  }
  return 0;
}

/* Gives the new file the owner and the mode of the other. 0, or an errno. */
static int
nature_copy(const int to, const struct stat *const from)
{
  struct stat is;
  if (fstat(to, &is)) {
    return errno;
  }
  const bool   same = is.st_uid == from->st_uid && is.st_gid == from->st_gid;
  const mode_t mode = from->st_mode & 07777;
  return (!same && fchown(to, from->st_uid, from->st_gid)) ||
             ((!same || (is.st_mode & 07777) != mode) && fchmod(to, mode))
           ? errno
           : 0;
}

/* Has nobody changed the file since? Where there should be none one is made, so that nobody else
   can. 0, or an errno. */
static int
place_hold(const char *const path, const struct stat *const before)
{
  struct stat is;
  if (!before->st_nlink) {
    const int place = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    return place < 0 || close(place) ? errno == EEXIST ? EBUSY : errno : 0;
  }
  return stat(path, &is) ? errno
         : is.st_dev != before->st_dev || is.st_ino != before->st_ino ||
             is.st_size != before->st_size || is.st_mtim.tv_sec != before->st_mtim.tv_sec ||
             is.st_mtim.tv_nsec != before->st_mtim.tv_nsec
           ? EBUSY
           : 0;
}

/* That the new name stays after a power cut. What cannot be synchronised is left to the system. */
static void
folder_sync(const char *const path)
{
  char              folder[RL_PATH_SIZE];
  const char *const slash = strrchr(path, '/');
  if (slash && (size_t)(slash - path) + 2 < sizeof(folder)) {
    snprintf(folder, sizeof(folder), "%.*s/", (int)(slash - path), path);
    const int at = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (at >= 0) {
      fsync(at);
      close(at);
    }
  }
}

int
rl_file_replace(const char *const path, const RlSlice bytes, const struct stat *const before)
{
  char      temporary[RL_PATH_SIZE];
  const int to = temporary_open(path, temporary);
  if (to < 0) {
    return errno;
  }
  int why = bytes_write(to, bytes);
  why     = why || !before || !before->st_nlink ? why : nature_copy(to, before);
  why     = why ? why : fsync(to) && errno != EINVAL ? errno : 0; /* some file systems cannot */
  why     = close(to) && !why ? errno : why;
  why     = why || !before ? why : place_hold(path, before);
  const bool held = !why && before && !before->st_nlink;
  if (!why && rename(temporary, path)) {
    why = errno;
    if (held) {
      unlink(path);
    }
  }
  if (why) {
    unlink(temporary);
  } else {
    folder_sync(path);
  }
  return why;
}
