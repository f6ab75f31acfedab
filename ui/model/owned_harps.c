/* SPDX-License-Identifier: ISC */
#define _DEFAULT_SOURCE /* realpath() */
#include "ui/model/owned_harps.h"

#include "core/text/text.h"
#include "ui/files/chart_save.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static const char *const registers[RL_REGISTERS] = {"low", "standard", "high"};

enum {
  PATH_SIZE   = 4200,
  LINE_SIZE   = 256,
  OTHERS_SIZE = 8192, /* bytes of lines that are not ours */
  OWN_SIZE    = RL_REGISTERS * RL_TUNINGS * 128
};

/* The keys of the register and tuning that `head` names, `standard, Richter`; NULL if it
   names none. */
static uint16_t *
keys_named(RlOwnedHarps *const owned, const RlSlice head)
{
  for (int r = 0; r < RL_REGISTERS; ++r) {
    for (int t = 0; t < RL_TUNINGS; ++t) {
      char   words[64];
      RlText text = rl_text_in(words, sizeof(words));
      rl_text_add(&text, registers[r]);
      rl_text_add(&text, ", ");
      rl_text_add(&text, rl_tuning_name((RlTuning)t));
      if (rl_slice_is(head, words)) {
        return &owned->keys[r][t];
      }
    }
  }
  return NULL;
}

static void
keys_read(uint16_t *const keys, RlSlice rest)
{
  while (rest.length) {
    const size_t n = rl_slice_until(rest, " ");
    RlKey        key;
    if (rl_key_read((RlSlice){rest.at, n}, &key) && !key.minor) {
      *keys |= (uint16_t)(1U << rl_spelling_class(key.tonic));
    }
    rest = rl_slice_trim(rl_slice_after(rest, n));
  }
}

/* Reads a line; one that names no register and tuning goes to `others` as it is. False: there is no
   room for it. */
static bool
line_read(RlOwnedHarps *const owned, const RlSlice whole, RlText *const others)
{
  const RlSlice   line  = rl_slice_trim(whole);
  const size_t    colon = rl_slice_until(line, ":");
  uint16_t *const keys  = keys_named(owned, rl_slice_trim((RlSlice){line.at, colon}));
  if (keys) {
    keys_read(keys, rl_slice_trim(rl_slice_after(line, colon + 1)));
  } else if (others) {
    const bool fits = whole.length + 1 < others->size - others->used;
    rl_text_add_slice(others, whole);
    rl_text_add(others, "\n");
    return fits;
  }
  return true;
}

static bool
path_write(const char *const folder, char path[PATH_SIZE])
{
  return folder && snprintf(path, PATH_SIZE, "%s/harps", folder) < PATH_SIZE;
}

/* As rl_owned_harps_read(), with the lines that say nothing of harps. */
static bool
file_read(RlOwnedHarps *const owned, const char *const path, RlText *const others)
{
  char         line[LINE_SIZE];
  RlOwnedHarps found = {0};
  bool         fits  = true;
  FILE *const  file  = fopen(path, "r");
  if (!file) {
    return errno == ENOENT || errno == ENOTDIR;
  }
  while (fgets(line, sizeof(line), file)) {
    RlSlice slice = rl_slice(line);
    slice.length  = rl_slice_until(slice, "\n");
    fits          = line_read(&found, slice, others) && fits;
  }
  const bool whole = !ferror(file);
  fclose(file);
  if (whole && fits) {
    *owned = found;
  } else if (!fits) {
    errno = EFBIG;
  }
  return whole && fits;
}

bool
rl_owned_harps_read(RlOwnedHarps *const owned, const char *const folder)
{
  char path[PATH_SIZE];
  return !path_write(folder, path) || file_read(owned, path, NULL);
}

static void
lines_write(const RlOwnedHarps *const owned, RlText *const text)
{
  for (int r = 0; r < RL_REGISTERS; ++r) {
    for (int t = 0; t < RL_TUNINGS; ++t) {
      if (owned->keys[r][t]) {
        rl_text_add(text, registers[r]);
        rl_text_add(text, ", ");
        rl_text_add(text, rl_tuning_name((RlTuning)t));
        rl_text_add(text, ":");
      }
      for (int key = 0; key < 12; ++key) {
        char   name[RL_NAME_SIZE];
        RlText to = rl_text_in(name, sizeof(name));
        rl_key_write(rl_key_named(key, false), &to);
        if (owned->keys[r][t] >> key & 1) {
          rl_text_add(text, " ");
          rl_text_add(text, name);
        }
      }
      rl_text_add(text, owned->keys[r][t] ? "\n" : "");
    }
  }
}

bool
rl_owned_harps_write(const RlOwnedHarps *const owned, const char *const folder)
{
  char         path[PATH_SIZE], words[OTHERS_SIZE + OWN_SIZE], kept[OTHERS_SIZE];
  RlText       text = rl_text_in(words, sizeof(words)), others = rl_text_in(kept, sizeof(kept));
  RlOwnedHarps before;
  struct stat  is;
  if (!path_write(folder, path) || !file_read(&before, path, &others)) {
    return false;
  }
  rl_text_add(&text, kept);
  lines_write(owned, &text);
  rl_folders_make(folder);
  char *const real  = realpath(path, NULL); /* so that a link stays one */
  const bool  there = real && stat(real, &is) == 0;
  errno = rl_file_replace(real ? real : path, (RlSlice){words, text.used}, there ? &is : NULL);
  const bool good = !errno;
  free(real);
  return good;
}

int
rl_owned_harps_list(const RlOwnedHarps *const owned, RlHarpChoice choices[RL_OWNED_MAX])
{
  int n = 0;
  for (int r = 0; r < RL_REGISTERS; ++r) {
    for (int t = 0; t < RL_TUNINGS; ++t) {
      for (int key = 0; key < 12; ++key) {
        if (owned->keys[r][t] >> key & 1) {
          choices[n++] = (RlHarpChoice){(uint8_t)key, (int8_t)(r - 1), (RlTuning)t};
        }
      }
    }
  }
  return n;
}
