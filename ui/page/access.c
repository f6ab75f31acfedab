/* SPDX-License-Identifier: ISC */
#include "ui/page/access.h"

#include "ui/page/files.h"

#include <stdint.h>
#include <string.h>
#include <strings.h>
#include <sys/random.h>

/* 32 of them: five bits each, sixty in all. */
static const char letters[] = "abcdefghijkmnpqrstuvwxyz23456789";

const RlAccessRefusal rl_access_refusals[RL_ACCESS_ANSWERS] = {
  [RL_ACCESS_SLASH]     = {302, "The page's address ends with a slash.\n"},
  [RL_ACCESS_NOTHING]   = {404, "Nothing here. Is the address complete?\n"},
  [RL_ACCESS_NO_HOST]   = {421, "This is not an address that the page goes by.\n"},
  [RL_ACCESS_NO_METHOD] = {405, "The page only shows; it takes nothing.\n"},
};

void
rl_access_host(RlAccess *const door, const char *const name)
{
  if (door->hosts < RL_ACCESS_HOSTS && strlen(name) < RL_ACCESS_NAME) {
    memcpy(door->host[door->hosts++], name, strlen(name) + 1);
  }
}

bool
rl_access_lock(RlAccess *const door)
{
  uint8_t random[RL_ACCESS_KEY];
  if (getrandom(random, sizeof(random), 0) != (ssize_t)sizeof(random)) {
    return false;
  }
  for (int i = 0; i < RL_ACCESS_KEY; ++i) {
    door->key[i] = letters[random[i] % 32];
  }
  return true;
}

static bool
host_known(const RlAccess *const door, const char *const host)
{
  for (int i = 0; i < door->hosts; ++i) {
    if (!strcasecmp(door->host[i], host)) {
      return true;
    }
  }
  return false;
}

/* What follows `/key` in the path, or NULL. How long it takes does not tell how much was right. */
static const char *
after_key(const RlAccess *const door, const char *const path)
{
  const size_t  length = strlen(door->key);
  unsigned char wrong  = 0;
  if (!length) {
    return path;
  }
  if (strlen(path) < length + 1) {
    return NULL;
  }
  for (size_t i = 0; i < length; ++i) {
    wrong |= (unsigned char)(path[i + 1] ^ door->key[i]);
  }
  return wrong || path[0] != '/' ? NULL : path + length + 1;
}

static const struct {
  const char    *path;
  RlAccessAnswer answer;
} rooms[] = {
  {"", RL_ACCESS_SLASH},     {"/news", RL_ACCESS_NEWS}, {"/chart", RL_ACCESS_CHART},
  {"/plan", RL_ACCESS_PLAN}, {"/time", RL_ACCESS_TIME}, {"/sheet.pdf", RL_ACCESS_SHEET},
};

RlAccessAnswer
rl_access_judge(const RlAccess *const door, const char *const method, const char *const path,
                const char *const host, const int hosts, int *const file)
{
  if (strcmp(method, "GET") != 0 && strcmp(method, "HEAD") != 0) {
    return RL_ACCESS_NO_METHOD;
  }
  if (hosts != 1 || !host || !host_known(door, host)) {
    return RL_ACCESS_NO_HOST;
  }
  const char *const rest = after_key(door, path);
  if (!rest) {
    return RL_ACCESS_NOTHING;
  }
  for (size_t i = 0; i < sizeof(rooms) / sizeof(rooms[0]); ++i) {
    if (!strcmp(rest, rooms[i].path)) {
      return rooms[i].answer;
    }
  }
  for (*file = 0; *file < rl_files_count; ++*file) {
    if (!strcmp(rest, rl_files[*file].path)) {
      return RL_ACCESS_FILE;
    }
  }
  return RL_ACCESS_NOTHING;
}
