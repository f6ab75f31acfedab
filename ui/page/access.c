/* SPDX-License-Identifier: ISC */
#include "ui/page/access.h"

#include "ui/page/files.h"

#include <assert.h>
#include <stdint.h>
#include <string.h>
#include <strings.h>
#include <sys/random.h>

/* Five bits a letter; those that look alike are left out. */
enum { LETTERS = 32 };
static const char letters[] = "abcdefghijkmnpqrstuvwxyz23456789";

_Static_assert(sizeof(letters) - 1 == LETTERS,
               "a random byte modulo the letters favours none of them");

const RlAccessRefusal rl_access_refusals[RL_ACCESS_ANSWERS] = {
  [RL_ACCESS_REDIRECT]     = {302, "The page's address ends with a slash.\n"},
  [RL_ACCESS_NOT_FOUND]    = {404, "Nothing here. Is the address complete?\n"},
  [RL_ACCESS_WRONG_HOST]   = {421, "This page does not answer to that host name.\n"},
  [RL_ACCESS_WRONG_METHOD] = {405, "This page is read-only.\n"},
};

void
rl_access_add_host(RlAccess *const access, const char *const name)
{
  if (access->hosts < RL_ACCESS_HOSTS_MAX && strlen(name) < RL_ACCESS_HOST_SIZE) {
    memcpy(access->host[access->hosts++], name, strlen(name) + 1);
  }
}

bool
rl_access_make_key(RlAccess *const access)
{
  uint8_t random[RL_ACCESS_KEY_LENGTH];
  if (getrandom(random, sizeof(random), 0) != (ssize_t)sizeof(random)) {
    return false;
  }
  for (int i = 0; i < RL_ACCESS_KEY_LENGTH; ++i) {
    access->key[i] = letters[random[i] % LETTERS];
  }
  return true;
}

static bool
host_known(const RlAccess *const access, const char *const host)
{
  for (int i = 0; i < access->hosts; ++i) {
    if (!strcasecmp(access->host[i], host)) {
      return true;
    }
  }
  return false;
}

/* What follows `/key` in the path, or NULL if the key is wrong. Compares in constant time, so that
   a key cannot be guessed letter by letter. */
static const char *
after_key(const RlAccess *const access, const char *const path)
{
  const size_t  length = strlen(access->key);
  unsigned char wrong  = 0;
  if (!length) {
    return path;
  }
  if (strlen(path) < length + 1) {
    return NULL;
  }
  for (size_t i = 0; i < length; ++i) {
    wrong |= (unsigned char)(path[i + 1] ^ access->key[i]);
  }
  return wrong || path[0] != '/' ? NULL : path + length + 1;
}

static const struct {
  const char    *path;
  RlAccessAnswer answer;
} routes[] = {
  {"", RL_ACCESS_REDIRECT},  {"/news", RL_ACCESS_STREAM}, {"/chart", RL_ACCESS_CHART},
  {"/plan", RL_ACCESS_PLAN}, {"/time", RL_ACCESS_TIME},   {"/sheet.pdf", RL_ACCESS_SHEET},
};

RlAccessAnswer
rl_access_judge(const RlAccess *const access, const char *const method, const char *const path,
                const char *const host, const int hosts, int *const file)
{
  assert(hosts >= 0);
  if (strcmp(method, "GET") != 0 && strcmp(method, "HEAD") != 0) {
    return RL_ACCESS_WRONG_METHOD;
  }
  if (hosts != 1 || !host || !host_known(access, host)) {
    return RL_ACCESS_WRONG_HOST;
  }
  const char *const rest = after_key(access, path);
  if (!rest) {
    return RL_ACCESS_NOT_FOUND;
  }
  for (size_t i = 0; i < sizeof(routes) / sizeof(routes[0]); ++i) {
    if (!strcmp(rest, routes[i].path)) {
      return routes[i].answer;
    }
  }
  for (*file = 0; *file < rl_files_count; ++*file) {
    if (!strcmp(rest, rl_files[*file].path)) {
      return RL_ACCESS_FILE;
    }
  }
  return RL_ACCESS_NOT_FOUND;
}
