/* SPDX-License-Identifier: ISC */
/* An ear: a UDP port of this machine, and every packet that comes there taken apart by the letter
   of OSC 1.0 (Wright, 2002), without liblo. A packet that is not right fails the test. */
#ifndef EAR_H
#define EAR_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/** A message as it came. */
typedef struct {
  uint64_t when;   /**< the time tag of its bundle */
  size_t   packet; /**< which packet it came in, from 0 */
  char    *path;
  char    *words; /**< its arguments: `1 0.5 "text"` */
} Heard;

typedef struct {
  int      socket;
  uint16_t port;
  Heard   *heard;
  size_t   count, room;
  size_t   packets, largest; /* since ear_forget() */
} Ear;

/** Opens one on `host` (an address in numbers). */
void ear_open(Ear *ear, const char *host);
void ear_close(Ear *ear);

/** Hears everything that has come so far. */
void ear_hear(Ear *ear);
void ear_forget(Ear *ear);

/** How many messages there were whose address begins so. */
size_t ear_count(const Ear *ear, const char *path);

/** The arguments of the last message to that address; NULL if there was none. */
const char *ear_last(const Ear *ear, const char *path);

#endif
