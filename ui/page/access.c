/* SPDX-License-Identifier: ISC */
#include "ui/page/access.h"

#include "ui/page/files.h"

#include <assert.h>
#include <stdint.h>
#include <stdio.h>
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
  return rl_words_make(access->words);
}

void
rl_access_write_keys(const RlAccess *const access, char text[RL_ACCESS_KEYS_SIZE])
{
  snprintf(text, RL_ACCESS_KEYS_SIZE, "%s-%s", access->key, access->words);
}

bool
rl_access_read_keys(RlAccess *const access, const char *const text)
{
  const size_t length = strspn(text, letters);
  if (length != RL_ACCESS_KEY_LENGTH || text[length] != '-' ||
      !rl_words_read(text + length, access->words) || !rl_words_known(access->words)) {
    return false;
  }
  memcpy(access->key, text, length);
  access->key[length] = '\0';
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

/* Compares in constant time, so that a key cannot be guessed letter by letter. */
static bool
same(const char *const given, const char *const wanted, const size_t length)
{
  unsigned char wrong = 0;
  for (size_t i = 0; i < length; ++i) {
    wrong |= (unsigned char)(given[i] ^ wanted[i]);
  }
  return !wrong;
}

/* What follows `/key` in the path, or NULL if the key is wrong. */
static const char *
after_key(const RlAccess *const access, const char *const path)
{
  const size_t length = strlen(access->key);
  return strlen(path) > length && path[0] == '/' && same(path + 1, access->key, length)
           ? path + length + 1
           : NULL;
}

/* Without the key: words that were typed, at the door or as the address. */
static RlAccessAnswer
stranger_judge(const RlAccess *const access, const RlAccessRequest *const r)
{
  char        words[RL_WORDS_SIZE];
  const bool  front = !strcmp(r->path, "/");
  const char *typed = front && r->words ? r->words : r->path + (r->path[0] == '/');
  if (rl_words_read(typed, words)) {
    return same(words, access->words, RL_WORDS_SIZE) ? RL_ACCESS_RIGHT_WORDS
                                                     : RL_ACCESS_WRONG_WORDS;
  }
  return front ? RL_ACCESS_DOOR : RL_ACCESS_NOT_FOUND;
}

static const struct {
  const char    *path;
  RlAccessAnswer answer;
} routes[] = {
  {"", RL_ACCESS_REDIRECT},  {"/news", RL_ACCESS_STREAM},       {"/chart", RL_ACCESS_CHART},
  {"/plan", RL_ACCESS_PLAN}, {"/time", RL_ACCESS_TIME},         {"/sheet.pdf", RL_ACCESS_SHEET},
  {"/code", RL_ACCESS_CODE}, {"/practice", RL_ACCESS_PRACTICE},
};

RlAccessAnswer
rl_access_judge(const RlAccess *const access, const RlAccessRequest *const r, int *const file)
{
  assert(r->hosts >= 0);
  if (strcmp(r->method, "GET") != 0 && strcmp(r->method, "HEAD") != 0) {
    return RL_ACCESS_WRONG_METHOD;
  }
  if (r->hosts != 1 || !r->host || !host_known(access, r->host)) {
    return RL_ACCESS_WRONG_HOST;
  }
  const char *rest = r->path;
  if (*access->key && !(rest = after_key(access, r->path))) {
    return stranger_judge(access, r);
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
