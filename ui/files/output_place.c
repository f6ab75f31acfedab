/* SPDX-License-Identifier: ISC */
#include "ui/files/output_place.h"

#include <stddef.h>
#include <unistd.h>

const char *
rl_output_place_wrong(const char *const path, const struct stat *const is)
{
  if (!S_ISREG(is->st_mode)) {
    return "not a regular file; name another, or - for standard output";
  }
  /* Root may write any: so its mode is asked too. */
  return access(path, W_OK) != 0 || !(is->st_mode & (S_IWUSR | S_IWGRP | S_IWOTH))
           ? "read-only; name another file, or make it writable"
           : NULL;
}
