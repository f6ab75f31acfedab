#include "door.h"

#include "files.h"

#include <stdint.h>
#include <string.h>
#include <strings.h>
#include <sys/random.h>

/* 32 of them: five bits each, sixty in all. */
static const char letters[] = "abcdefghijkmnpqrstuvwxyz23456789";

const RlDoorRefusal rl_door_refusals[RL_DOOR_ANSWERS] = {
  [RL_DOOR_SLASH]     = {302, "The page's address ends with a slash.\n"},
  [RL_DOOR_NOTHING]   = {404, "Nothing here. Is the address complete?\n"},
  [RL_DOOR_NO_HOST]   = {421, "This is not an address that the page goes by.\n"},
  [RL_DOOR_NO_METHOD] = {405, "The page only shows; it takes nothing.\n"},
};

void
rl_door_host(RlDoor *const door, const char *const name)
{
  if (door->hosts < RL_DOOR_HOSTS && strlen(name) < RL_DOOR_NAME) {
    memcpy(door->host[door->hosts++], name, strlen(name) + 1);
  }
}

bool
rl_door_lock(RlDoor *const door)
{
  uint8_t random[RL_DOOR_KEY];
  if (getrandom(random, sizeof(random), 0) != (ssize_t)sizeof(random)) {
    return false;
  }
  for (int i = 0; i < RL_DOOR_KEY; ++i) {
    door->key[i] = letters[random[i] % 32];
  }
  return true;
}

static bool
host_known(const RlDoor *const door, const char *const host)
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
after_key(const RlDoor *const door, const char *const path)
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
  const char  *path;
  RlDoorAnswer answer;
} rooms[] = {
  {"", RL_DOOR_SLASH},     {"/news", RL_DOOR_NEWS}, {"/chart", RL_DOOR_CHART},
  {"/plan", RL_DOOR_PLAN}, {"/time", RL_DOOR_TIME}, {"/sheet.pdf", RL_DOOR_SHEET},
};

RlDoorAnswer
rl_door_judge(const RlDoor *const door, const char *const method, const char *const path,
              const char *const host, const int hosts, int *const file)
{
  if (strcmp(method, "GET") != 0 && strcmp(method, "HEAD") != 0) {
    return RL_DOOR_NO_METHOD;
  }
  if (hosts != 1 || !host || !host_known(door, host)) {
    return RL_DOOR_NO_HOST;
  }
  const char *const rest = after_key(door, path);
  if (!rest) {
    return RL_DOOR_NOTHING;
  }
  for (size_t i = 0; i < sizeof(rooms) / sizeof(rooms[0]); ++i) {
    if (!strcmp(rest, rooms[i].path)) {
      return rooms[i].answer;
    }
  }
  for (*file = 0; *file < rl_files_count; ++*file) {
    if (!strcmp(rest, rl_files[*file].path)) {
      return RL_DOOR_FILE;
    }
  }
  return RL_DOOR_NOTHING;
}
