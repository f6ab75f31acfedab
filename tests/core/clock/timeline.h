/* SPDX-License-Identifier: ISC */
/* A song in exact arithmetic and hosts of every manner that play it: the judge of core/clock.

   A place in the song is a whole number of grains, and every tempo moves a whole number of grains
   in a quarter of a frame, so that nothing here is ever rounded but what a host itself rounds on
   its way into a report. Sources: the LV2 time vocabulary (lv2plug.in/ns/ext/time) for the fields;
   jack/types.h for bar, beat and tick; Standard MIDI Files 1.0 for tempi in microseconds a quarter;
   runs of real hosts on Debian 12 (jalv 1.6.6 with JACK2 1.9.21, Ardour 7.3) for their manners. */
#ifndef TIMELINE_H
#define TIMELINE_H

#include "core/clock/clock.h"

#include <stdbool.h>
#include <stdint.h>

/* ---- dice ---- */

/** A seeded source of chance (splitmix64, public domain, S. Vigna): the same everywhere. */
typedef struct {
  uint64_t state;
} TlDice;

/** 0 up to (not incl.) `sides`. */
int64_t tl_throw(TlDice *dice, int64_t sides);

/* ---- the song ---- */

__extension__ typedef __int128 TlGrains;

enum { TL_PARTS = 4 /**< of a frame: half speed moves half frames */ };

/** From a whole frame on. */
typedef struct {
  int64_t  from;
  TlGrains at;    /**< there */
  int64_t  pace;  /**< grains a part */
  int64_t  first; /**< the pace that a host shows which doesn't know ramps */
  int      ramp;  /**< > 0: the number of the ramp that this is a step of */
  int      note;  /**< the tempo's own: quarters are 4 / note; for hosts that have such */
} TlTempo;

/** From a bar line on. */
typedef struct {
  int64_t  bar;
  TlGrains at;
  int      beats, unit;
} TlMeter;

enum { TL_TEMPI = 1 << 15, TL_METERS = 1 << 10 };

/** The song. The first tempo and meter hold before it too. */
typedef struct {
  int     rate;
  int     tempi, meters;
  TlTempo tempo[TL_TEMPI];
  TlMeter meter[TL_METERS];
  int     ramps;
} TlSong;

/** Where the music is. */
typedef struct {
  int64_t  bar;
  int      beats, unit;
  TlGrains at;             /**< since the song's frame 0 */
  TlGrains in_bar, length; /**< since the bar line; of the bar */
  int64_t  pace;           /**< grains a part */
  int      tempo, meter;   /**< indices */
} TlPlace;

/** An empty song: 4/4 from bar 0 on, 120 quarters a minute. */
void tl_song_init(TlSong *song, int rate);

/** Tempo from `frame` on: `sixteens` / 65536 quarters a minute, which a float holds exactly. */
void tl_song_tempo(TlSong *song, int64_t frame, int64_t sixteens);

/** Tempo from `frame` on in microseconds a quarter, of tl_song_micros. */
void tl_song_micros(TlSong *song, int64_t frame, int64_t micros);

/** A number of microseconds a quarter that keeps grains whole. */
int64_t tl_micros(TlDice *dice);

/** An even ramp in `steps` from the tempo so far to `sixteens` at `to`. */
void tl_song_ramp(TlSong *song, int64_t from, int64_t to, int64_t sixteens);

/** Meter from `bar` on. */
void tl_song_meter(TlSong *song, int64_t bar, int beats, int unit);

/** Where the music is `parts` into the song. `near` (may be NULL): a place to search from. */
TlPlace tl_song_at(const TlSong *song, int64_t parts, const TlPlace *near);

/** Grains in a quarter. */
int64_t tl_quarter(const TlSong *song);

/** Quarters from the downbeat of `bar` to `at`, correctly rounded. */
double tl_quarters_since(const TlSong *song, int64_t bar, TlGrains at);

/** The bar line of `bar`. */
TlGrains tl_bar_line(const TlSong *song, int64_t bar);

/** The first whole frame at or behind `at`. */
int64_t tl_frame_of(const TlSong *song, TlGrains at);

/* ---- the hosts ---- */

/** How bar_beat and bar are made. */
typedef enum { TL_EXACT, TL_JACK, TL_ARDOUR } TlForm;

/** What a beat of the tempo is. */
typedef enum { TL_OF_METER, TL_OF_QUARTER, TL_OF_ITS_OWN } TlNote;

/** A host's manner. */
typedef struct {
  const char *name;
  TlForm      form;
  TlNote      note;
  bool        every_block;  /**< else only what has changed makes it speak */
  bool        at_its_frame; /**< a change is told where it happens; else in the next block */
  bool        only_changed; /**< leaves out the fields that are as they were */
  bool        every_step;   /**< tells each step of a ramp */
  bool        even_stopped; /**< repeats itself while stopped */
  bool        whole_blocks; /**< starts, stops and jumps between blocks only */
  bool        splits;       /**< makes two calls of a block in which a loop turns */
  bool        shrinks;      /**< at half speed halves the blocks, not the steps */
  bool        dyadic;       /**< only tempi that a float holds */
  bool        one_meter;    /**< a change of meter would go untold */
  bool        has_speed;    /**< other speeds than 0 and 1 */
  bool        has_before;   /**< bars before the first */
  unsigned    fields;       /**< RL_SAID_… that it knows */
} TlManner;

/** All of them. */
extern const TlManner tl_manners[];
extern const int      tl_manner_count;

/** A stretch of the transport. */
typedef struct {
  int64_t from;   /**< frames since the host began */
  int64_t song;   /**< parts into the song there */
  int     speed;  /**< parts a frame, 0 stopped */
  bool    shrunk; /**< blocks are halved */
  bool    loop;   /**< begins where a loop turns */
} TlStretch;

enum { TL_STRETCHES = 4096, TL_REPORTS = 128 };

/** One call of run(). */
typedef struct {
  int frames, reports;
  struct {
    int      at;
    RlReport report;
  } report[TL_REPORTS];
} TlCall;

/** Where the host is at some frame. */
typedef struct {
  bool    rolling;
  int     stretch;
  int     speed;
  TlPlace place;
} TlTruth;

/** A host. */
typedef struct {
  const TlManner *manner;
  const TlSong   *song;
  TlDice          dice;
  int             block; /**< frames; < 0: any number up to -block, by chance */
  int             stretches;
  TlStretch       stretch[TL_STRETCHES];
  int64_t         end; /* frames */

  int64_t  now;       /* where the next call begins */
  int      grid_left; /* frames */
  int      skip;      /* calls that will say nothing */
  bool     told;      /* anything yet */
  TlTruth  last;      /* as it was told */
  RlReport said;
} TlHost;

/** A host of that manner at the song's frame 0, stopped. */
void tl_host_init(TlHost *host, const TlManner *manner, const TlSong *song, int block,
                  uint64_t seed);

/** From `from` (frames, not before the last one's) on, the transport does this. */
void tl_host_stretch(TlHost *host, int64_t from, int64_t song_frame, int speed);

/** From `from` on it goes on where it is, at `speed` parts a frame. */
void tl_host_go(TlHost *host, int64_t from, int speed);

/** Makes `frames` of a transport by chance: stops, jumps, loops, speeds that the manner knows. */
void tl_host_wander(TlHost *host, int64_t frames);

/** The next call of run(); false at the end. */
bool tl_host_call(TlHost *host, TlCall *call);

/** The truth at a frame since the host began. `near` may be NULL. */
TlTruth tl_host_truth(const TlHost *host, int64_t frame, const TlTruth *near);

/** Was the transport moved between these two, rather than started, stopped or run through? */
bool tl_host_jumped(const TlHost *host, const TlTruth *from, const TlTruth *to);

/** A song by chance, long enough for `seconds`, as the manner allows. */
void tl_song_wander(TlSong *song, TlDice *dice, int rate, int seconds, const TlManner *manner);

#endif
