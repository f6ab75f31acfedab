/* SPDX-License-Identifier: ISC */
#include "plugin/worker/practice_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

void
rl_practice_file_path(RlText *const path)
{
  const char *const data = getenv("XDG_DATA_HOME"); /* XDG Base Directory Specification */
  const char *const home = getenv("HOME");
  if (data && data[0] == '/') {
    rl_text_add(path, data);
  } else if (home && home[0] == '/') {
    rl_text_add(path, home);
    rl_text_add(path, "/.local/share");
  } else {
    return;
  }
  rl_text_add(path, "/reedlamp/practice.txt");
}

/* Makes the folders above a file, as far as they are not there. */
static void
folders_make(const char *const path)
{
  char   folder[RL_PRACTICE_PATH_SIZE];
  RlText text = rl_text_in(folder, sizeof(folder));
  rl_text_add(&text, path);
  for (char *at = strchr(folder + 1, '/'); at; at = strchr(at + 1, '/')) {
    *at = '\0';
    mkdir(folder, 0777);
    *at = '/';
  }
}

/* A plain file, opened without waiting: a named pipe would block. */
static int
plain_open(const char *const path, const int flags)
{
  struct stat is;
  const int   file = open(path, flags | O_NONBLOCK | O_NOCTTY | O_CLOEXEC, 0666);
  if (file >= 0 && (fstat(file, &is) != 0 || !S_ISREG(is.st_mode))) {
    close(file);
    errno = EINVAL;
    return -1;
  }
  return file;
}

/* Does the file end within a line, since somebody was cut short? */
static bool
is_torn(const int file)
{
  const off_t size = lseek(file, 0, SEEK_END);
  char        last = '\n';
  return size > 0 && pread(file, &last, 1, size - 1) == 1 && last != '\n';
}

const char *
rl_practice_file_append(const char *const path, const RlSlice line)
{
  enum { LINE = 4096 };
  char   whole[LINE];
  RlText text = rl_text_in(whole, sizeof(whole));
  if (!path[0]) {
    return "there is no folder for it; set HOME or XDG_DATA_HOME";
  }
  folders_make(path);
  const int file = plain_open(path, O_RDWR | O_APPEND | O_CREAT);
  if (file < 0) {
    return errno == EINVAL ? "not a regular file; move it away" : strerror(errno);
  }
  rl_text_add(&text, is_torn(file) ? "\n" : "");
  rl_text_add_slice(&text, line);
  errno              = 0;
  const ssize_t gone = write(file, text.to, text.used);
  const int     why  = errno;
  close(file);
  return gone == (ssize_t)text.used ? NULL : why ? strerror(why) : "no room for a whole line";
}

RlSlice
rl_practice_file_read(const char *const path, char *const to)
{
  const int   file = path[0] ? plain_open(path, O_RDONLY) : -1;
  const off_t size = file >= 0 ? lseek(file, 0, SEEK_END) : 0;
  const off_t from = size > RL_PRACTICE_FILE_MOST ? size - RL_PRACTICE_FILE_MOST : 0;
  size_t      used = 0;
  ssize_t     n    = file >= 0 ? 1 : 0;
  while (n > 0 && used < RL_PRACTICE_FILE_MOST) {
    n = pread(file, to + used, RL_PRACTICE_FILE_MOST - used, from + (off_t)used);
    used += n > 0 ? (size_t)n : 0;
  }
  if (file >= 0) {
    close(file);
  }
  const RlSlice all  = {to, used};
  const size_t  torn = from > 0 ? rl_slice_until(all, "\n") + 1 : 0;
  return rl_slice_after(all, torn < used ? torn : from > 0 ? used : 0);
}
