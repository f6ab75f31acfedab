/* SPDX-License-Identifier: ISC */
#include "ear.h"

#include "../plugin/scene.h"

#include <arpa/inet.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

enum { LARGEST = 1400, LOGGED = 1 << 15 };

/* ---- bytes ---- */

typedef struct {
  const uint8_t *at;
  size_t         left;
} Bytes;

static uint32_t
word(Bytes *const b)
{
  assert_true(b->left >= 4);
  const uint32_t value = (uint32_t)b->at[0] << 24 | (uint32_t)b->at[1] << 16 |
                         (uint32_t)b->at[2] << 8 | (uint32_t)b->at[3];
  b->at += 4;
  b->left -= 4;
  return value;
}

/* Ends with one to four NULs, on a boundary of four. */
static const char *
text(Bytes *const b)
{
  const char *const start = (const char *)b->at;
  const void *const nul   = memchr(b->at, '\0', b->left);
  assert_non_null(nul);
  const size_t length = (size_t)((const uint8_t *)nul - b->at);
  const size_t padded = (length + 4) / 4 * 4;
  assert_true(padded <= b->left);
  for (size_t i = length; i < padded; ++i) {
    assert_int_equal(b->at[i], 0);
  }
  b->at += padded;
  b->left -= padded;
  return start;
}

/* ---- messages ---- */

static void
argument(Bytes *const b, const char type, char *const words, const size_t room)
{
  const size_t      used = strlen(words);
  char *const       to   = words + used;
  const char *const gap  = used ? " " : "";
  uint32_t          bits;
  float             real;
  switch (type) {
  case 'i':
    snprintf(to, room - used, "%s%d", gap, (int32_t)word(b));
    break;
  case 'f':
    bits = word(b);
    memcpy(&real, &bits, sizeof(real));
    snprintf(to, room - used, "%s%.6g", gap, (double)real);
    break;
  case 's':
    snprintf(to, room - used, "%s\"%s\"", gap, text(b));
    break;
  default:
    fail_msg("an argument of type %c", type);
  }
}

/* plugin/OSC.md: what stands behind which address. */
static const char *
types_of(const char *const path)
{
  static const char *const table[][2] = {
    {"/reedlamp/transport", ",iffi"},  {"/reedlamp/place", ",iiiff"},
    {"/reedlamp/chord", ",ssssf"},     {"/reedlamp/target", ",issif"},
    {"/reedlamp/harp", ",ssis"},       {"/reedlamp/chart", ",iis"},
    {"/reedlamp/plan", ",iis"},        {"/reedlamp/phrase", ",iffissis"},
    {"/reedlamp/sure", ",fs"},         {"/reedlamp/tuning", ",fi"},
    {"/reedlamp/key_heard", ",sf"},    {"/reedlamp/show", ",i"},
    {"/reedlamp/chorus", ",iiiiiiis"}, {"/reedlamp/loop", ",ff"},
    {"/reedlamp/heard", ",isifff"},    {"/reedlamp/hit", ",siifisi"},
    {"/reedlamp/practice", ",iis"},
  };
  for (size_t i = 0; i < sizeof(table) / sizeof(table[0]); ++i) {
    if (!strcmp(path, table[i][0])) {
      return table[i][1];
    }
  }
  int  hole = 0;
  char technique[16];
  assert_int_equal(sscanf(path, "/reedlamp/lamp/%d/%15[a-z0-9]", &hole, technique), 2);
  assert_in_range(hole, 1, 10);
  return ",fssii";
}

static void
message(Ear *const ear, Bytes b, const uint64_t when)
{
  static char       words[LOGGED];
  const char *const path  = text(&b);
  const char *const types = text(&b);
  assert_string_equal(types, types_of(path));
  words[0] = '\0';
  for (const char *t = types + 1; *t; ++t) {
    argument(&b, *t, words, sizeof(words));
  }
  assert_int_equal(b.left, 0);
  if (ear->count == ear->room) {
    ear->room  = ear->room ? 2 * ear->room : 256;
    ear->heard = (Heard *)realloc(ear->heard, ear->room * sizeof(Heard));
    assert_non_null(ear->heard);
  }
  ear->heard[ear->count++] = (Heard){when, ear->packets, strdup(path), strdup(words)};
}

/* "#bundle", a time tag, then elements: a size and so many bytes, here always a message. */
static void
packet(Ear *const ear, Bytes b)
{
  assert_true(b.left <= LARGEST && b.left % 4 == 0);
  assert_string_equal(text(&b), "#bundle");
  uint64_t when = (uint64_t)word(&b) << 32;
  when |= word(&b);
  assert_true(b.left > 0);
  while (b.left) {
    const uint32_t size = word(&b);
    assert_true(size <= b.left && size % 4 == 0);
    assert_int_equal(b.at[0], '/');
    message(ear, (Bytes){b.at, size}, when);
    b.at += size;
    b.left -= size;
  }
}

/* ---- the ear ---- */

void
ear_open(Ear *const ear, const char *const host)
{
  static const int   large = 1 << 22;
  struct sockaddr_in at    = {.sin_family = AF_INET};
  socklen_t          size  = sizeof(at);
  memset(ear, 0, sizeof(*ear));
  assert_int_equal(inet_pton(AF_INET, host, &at.sin_addr), 1);
  ear->socket = socket(AF_INET, SOCK_DGRAM | SOCK_NONBLOCK, 0);
  assert_true(ear->socket >= 0);
  setsockopt(ear->socket, SOL_SOCKET, SO_RCVBUF, &large, sizeof(large));
  assert_int_equal(bind(ear->socket, (const struct sockaddr *)&at, sizeof(at)), 0);
  assert_int_equal(getsockname(ear->socket, (struct sockaddr *)&at, &size), 0);
  ear->port = ntohs(at.sin_port);
}

void
ear_hear(Ear *const ear)
{
  static uint8_t bytes[1 << 16];
  for (ssize_t n; (n = recv(ear->socket, bytes, sizeof(bytes), 0)) >= 0; ++ear->packets) {
    packet(ear, (Bytes){bytes, (size_t)n});
    ear->largest = (size_t)n > ear->largest ? (size_t)n : ear->largest;
  }
}

void
ear_forget(Ear *const ear)
{
  for (size_t i = 0; i < ear->count; ++i) {
    free(ear->heard[i].path);
    free(ear->heard[i].words);
  }
  ear->count = ear->packets = ear->largest = 0;
}

void
ear_close(Ear *const ear)
{
  ear_forget(ear);
  free(ear->heard);
  close(ear->socket);
}

size_t
ear_count(const Ear *const ear, const char *const path)
{
  size_t count = 0;
  for (size_t i = 0; i < ear->count; ++i) {
    count += !strncmp(ear->heard[i].path, path, strlen(path));
  }
  return count;
}

const char *
ear_last(const Ear *const ear, const char *const path)
{
  for (size_t i = ear->count; i > 0; --i) {
    if (!strcmp(ear->heard[i - 1].path, path)) {
      return ear->heard[i - 1].words;
    }
  }
  return NULL;
}
