/* SPDX-License-Identifier: ISC */
#include "ui/model/owned_harps.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static const char *const registers[RL_REGISTERS] = {"low", "standard", "high"};

enum { PATH_SIZE = 4200 };

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
line_read(RlOwnedHarps *const owned, const RlSlice line)
{
  const size_t    colon = rl_slice_until(line, ":");
  uint16_t *const keys  = keys_named(owned, rl_slice_trim((RlSlice){line.at, colon}));
  RlSlice         rest  = rl_slice_trim(rl_slice_after(line, colon + 1));
  while (keys && rest.length) {
    const size_t n = rl_slice_until(rest, " ");
    RlKey        key;
    if (rl_key_read((RlSlice){rest.at, n}, &key) && !key.minor) {
      *keys |= (uint16_t)(1U << rl_spelling_class(key.tonic));
    }
    rest = rl_slice_trim(rl_slice_after(rest, n));
  }
}

bool
rl_owned_harps_read(RlOwnedHarps *const owned, const char *const folder)
{
  char path[PATH_SIZE], line[256];
  memset(owned, 0, sizeof(*owned));
  if (!folder || snprintf(path, sizeof(path), "%s/harps", folder) >= PATH_SIZE) {
    return true;
  }
  FILE *const file = fopen(path, "r");
  if (!file) {
    return errno == ENOENT || errno == ENOTDIR;
  }
  while (fgets(line, sizeof(line), file)) {
    RlSlice slice = rl_slice(line);
    slice.length  = rl_slice_until(slice, "\n");
    line_read(owned, rl_slice_trim(slice));
  }
  const bool whole = !ferror(file);
  fclose(file);
  return whole;
}

static void
lines_write(const RlOwnedHarps *const owned, FILE *const file)
{
  for (int r = 0; r < RL_REGISTERS; ++r) {
    for (int t = 0; t < RL_TUNINGS; ++t) {
      if (owned->keys[r][t]) {
        fprintf(file, "%s, %s:", registers[r], rl_tuning_name((RlTuning)t));
      }
      for (int key = 0; key < 12; ++key) {
        char   name[RL_NAME_SIZE];
        RlText text = rl_text_in(name, sizeof(name));
        rl_key_write(rl_key_named(key, false), &text);
        if (owned->keys[r][t] >> key & 1) {
          fprintf(file, " %s", name);
        }
      }
      fputs(owned->keys[r][t] ? "\n" : "", file);
    }
  }
}

/* Creates the folder, and those it lies in. */
static void
folders_make(const char *const folder)
{
  char path[PATH_SIZE];
  for (size_t n = 1; n < strlen(folder) + 1; ++n) {
    if (folder[n] == '/' || !folder[n]) {
      memcpy(path, folder, n);
      path[n] = '\0';
      mkdir(path, 0777);
    }
  }
}

bool
rl_owned_harps_write(const RlOwnedHarps *const owned, const char *const folder)
{
  char path[PATH_SIZE], fresh[PATH_SIZE];
  if (!folder || snprintf(path, sizeof(path), "%s/harps", folder) >= PATH_SIZE ||
      snprintf(fresh, sizeof(fresh), "%s/harps.new", folder) >= PATH_SIZE) {
    return false;
  }
  folders_make(folder);
  FILE *const file = fopen(fresh, "w");
  if (!file) {
    return false;
  }
  lines_write(owned, file);
  const bool whole = !ferror(file);
  return !fclose(file) && whole && !rename(fresh, path);
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
