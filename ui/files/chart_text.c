/* SPDX-License-Identifier: ISC */
#include "ui/files/chart_text.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* Reads to the end of the file, or until there is no room. 0, or an errno. */
static int
bytes_read(const int from, RlChartText *const text)
{
  const size_t most = sizeof(text->text) - 1;
  ssize_t      got  = 1;
  text->length      = 0;
  while (text->length < most && got > 0) {
    got = read(from, text->text + text->length, most - text->length);
    got = got < 0 && errno == EINTR ? 1 : got;
    text->length += got > 0 ? (size_t)got : 0;
  }
  text->text[text->length] = '\0';
  return got < 0 ? errno : 0;
}

/* A pipe or a device is opened without waiting, and not read. */
int
rl_chart_text_read(const char *const path, RlChartText *const text)
{
  struct stat file;
  const int   from = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC | O_NOCTTY);
  int         why  = from < 0 ? errno : 0;
  text->length     = 0;
  text->text[0]    = '\0';
  if (from >= 0) {
    why = fstat(from, &file)       ? errno
          : S_ISDIR(file.st_mode)  ? EISDIR
          : !S_ISREG(file.st_mode) ? EINVAL
                                   : bytes_read(from, text);
    close(from);
  }
  return why;
}

bool
rl_chart_text_is(const RlChartText *const text, const RlChartText *const other)
{
  return text->length == other->length && !memcmp(text->text, other->text, text->length);
}

void
rl_file_why(const int error, RlText *const text)
{
  static const struct {
    int         error;
    const char *words;
  } known[] = {
    {ENOENT, "not found; was it moved or deleted?"},
    {ENOTDIR, "not found; was it moved or deleted?"},
    {EACCES, "you have no permission; choose another folder, or change its permissions"},
    {EPERM, "you have no permission; choose another folder, or change its permissions"},
    {EROFS, "it can only be read; save it under another name, or in another folder"},
    {EISDIR, "it is a folder; choose a file"},
    {EINVAL, "not a regular file; choose a text file with a chart"},
    {ENAMETOOLONG, "its name is too long; choose a shorter one"},
    {ENOSPC, "the disk is full; free some space, or save it in another folder"},
    {EDQUOT, "your share of the disk is full; free some space, or save it in another folder"},
    {EFBIG, "the disk is full; free some space, or save it in another folder"},
    {EIO, "the disk reports an error; save it in another folder"},
    {ENOMEM, "not enough memory; close another program and try again"},
    {ELOOP, "its links lead in a circle; choose another file"},
  };
  for (size_t i = 0; i < sizeof(known) / sizeof(known[0]); ++i) {
    if (known[i].error == error) {
      rl_text_add(text, known[i].words);
      return;
    }
  }
  char words[128] = "";
  rl_text_add(text,
              strerror_r(error, words, sizeof(words)) ? "the system reports an error" : words);
  rl_text_add(text, "; choose another file or folder");
}

bool
rl_path_lies_in(const char *const path, const char *const folder)
{
  const size_t n = strlen(folder);
  return n && !strncmp(path, folder, n) && path[n] == '/';
}

void
rl_file_name_write(const char *const name, RlText *const text)
{
  RlSlice rest = rl_slice(name);
  for (ptrdiff_t bad; (bad = rl_slice_bad_byte(rest)) >= 0;) {
    rl_text_add_slice(text, (RlSlice){rest.at, (size_t)bad});
    rl_text_add(text, "?");
    rest = rl_slice_after(rest, (size_t)bad + 1);
  }
  rl_text_add_slice(text, rest);
}
