/* SPDX-License-Identifier: ISC */
/* The phones of hall.c, and what is counted of them. */
#ifndef RL_TESTS_PAGE_PHONES_H
#define RL_TESTS_PAGE_PHONES_H

#include <netinet/in.h>
#include <stdbool.h>
#include <stddef.h>

enum {
  BEATS    = 4096, /* that are remembered */
  BLOCK    = 4096, /* bytes of an answer looked at together */
  LATE_MAX = 1 << 22
};

static const double near = 0.011; /* of a beat, for a place to be one */

typedef struct {
  int    chorus, bar;
  double beat, at; /* sent, in seconds on the monotonic clock */
} Beat;

typedef enum { NEWS, ASK, KINDS } Kind;

struct Phone;

typedef struct {
  Kind          kind;
  int           socket; /* -1: none */
  bool          sent;   /* is the request on its way? */
  bool          body;   /* has the head of the answer been read? */
  size_t        have;
  char          text[BLOCK + 1];
  struct Phone *phone;
} Connection;

typedef struct Phone {
  Connection to[KINDS];
  bool       open;     /* states come */
  int        tries;    /* since one came */
  double     due;      /* when to connect again; 0: not now */
  double     ask;      /* when to ask for something next */
  double     gone;     /* since when nothing came; 0: it does */
  double     heard;    /* when the last state came */
  long       beat;     /* the last one that came; -1: none since it was opened */
  bool       has_text; /* the chart, asked for once a connection */
} Phone;

typedef struct {
  struct sockaddr_in osc, server;
  const char        *path, *name;
  int                epoll, ear, count;
  Phone             *phone;
  Beat               beat[BEATS];
  long               beats;  /* heard so far */
  double             packet; /* when the one being read was sent */
  bool               end;
} Hall;

/** Of the present phase. */
typedef struct {
  char   name[32];
  double began;
  long   beats, missed, lost, refused, came_back, asked;
  double away, gap; /* the longest, in seconds */
  size_t lates;
  float *late; /* milliseconds */
} Phase;

extern Hall  hall;
extern Phase phase;

/** Seconds on the monotonic clock. */
double now(void);

/** Makes `hall.count` phones, which connect one after the other. False without memory. */
bool phones_make(void);

/** The clock goes on. */
void phone_tick(Phone *phone, double time);

/** Something can be read or written. */
void connection_ready(Connection *connection, unsigned events);

#endif
