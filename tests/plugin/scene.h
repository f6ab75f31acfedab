/* SPDX-License-Identifier: ISC */
/* A scene: the plugin in the embedded host, a transport to play it, and everything it says, taken
   apart and written down. What every plugin may be held to at every moment (events in order and
   inside their block, outputs in their ranges, whole numbers whole, all fields there in their
   types) is checked here, in every block of every test. Sources: plugin/PORTS.md; the LV2 atom,
   patch and time vocabularies (lv2plug.in/ns/ext). */
#ifndef SCENE_H
#define SCENE_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "plugin/host/host.h"

#include <lv2/atom/forge.h>
#include <stdbool.h>

#define STEREO "urn:reedlamp:plugin"
#define MONO   "urn:reedlamp:mono"

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

enum {
  RATE      = 48000,
  MAX_BLOCK = 1 << 17,
  EVENT_MAX = 700 /**< bytes of a Place; hosts drop longer ones */
};

/** A Place as it was told. */
typedef struct {
  int64_t frame; /**< since scene_forget() */
  int     lit, rolling, part, chorus, bar, bars, beats, unit, song_key;
  int     taking; /**< 0 where it is not said */
  int     sounds; /**< 0 where it is not said */
  int     show;   /**< 4 where it is not said */
  double  tempo, beat, sure, to_next;
  char    now[40], now_degree[40], next[40], next_degree[40];
  double  bar_one_at, bar_one_quarters, loop_from, loop_to; /**< NAN where they are not said */
  int     hole, note;
  char    technique[40], degree[40]; /**< of the target */
} Place;

/** A property as it was told. */
typedef struct {
  int64_t frame;
  char    property[64]; /**< its URI */
  char   *text;
} Told;

/** A MIDI event as it was played. */
typedef struct {
  int64_t frame;
  uint8_t bytes[3];
} Midi;

/** A Hearing as it was told; its numbers, in the order of the fields. */
enum { HEARING_STATE, HEARING_CENTS, HEARING_KEY, HEARING_KEY_SURE, HEARING_FIELDS };

enum { PLACE_FIELDS = 21 };

/** A Played as it was told. */
typedef struct {
  int64_t frame;
  int     count, hole[3], technique[3], note[3];
  double  off[3], level, sure, at, since;
  double  chorus, bar, beat; /**< NAN where they are not said */
} Played;

/** A Hit as it was told. */
typedef struct {
  int64_t frame;
  double  target, chorus, bar, beat, quarters, hole, technique, note;
} Hit;

enum { HIT_FIELDS = 8 };

/** A Picture as it was told, part by part. */
typedef struct {
  char    title[64];
  int     rows, lowest, columns, parts;
  int     told; /**< columns of it */
  double  begins, ends;
  uint8_t cell[512 * 72];
} Picture;

enum { PICTURE_NUMBERS = 6 };

enum { PLAYED_LISTS = 4, PLAYED_NUMBERS = 7, PLAYED_LEAST = 4 /**< said always */ };

/** URIDs that are needed often. */
typedef struct {
  LV2_URID midi, object, integer, real, string, urid, path, place, set, subject, property, value;
  LV2_URID field[PLACE_FIELDS];
  LV2_URID hit, hit_field[HIT_FIELDS];
  LV2_URID picture, title, cells, chunk, picture_number[PICTURE_NUMBERS];
  LV2_URID played, list[PLAYED_LISTS], number[PLAYED_NUMBERS], vector, twice;
  LV2_URID taking, sounds, hearing, heard[HEARING_FIELDS];
  LV2_URID show;
  LV2_URID lay[4]; /**< bar_one_at, bar_one_quarters, loop_from, loop_to */
} Urids;

/** The scene. */
typedef struct {
  RlHost  *host;
  Urids    urids;
  bool     mono;
  int64_t  now;                               /**< frame at which the next block begins */
  uint32_t block;                             /**< length of the block that runs */
  int64_t  latest;                            /**< of the last event of this block */
  double   chorus, bar, beat, position, sure; /**< the outputs at its end */
  double   by_ear, cents, key_heard, key_sure;
  double   heard_hole, heard_technique, heard_cents, heard_level;
  Played  *played;
  size_t   playeds, played_room;
  Hit     *hit;
  size_t   hits, hit_room;
  Picture  picture;
  Place   *place;
  size_t   places, place_room;
  Told    *told;
  size_t   tolds, told_room;
  Midi    *midi;
  size_t   midis, midi_room;
  int64_t  latest_midi;
  int      hearings;                /**< how often it was told how following by ear goes */
  bool     tuned;                   /**< the last one told `cents` */
  double   hearing[HEARING_FIELDS]; /**< the last one */
} Scene;

/** 48 kHz, blocks of up to 131072 frames, the worker after every block. */
RlHostChoice scene_choice(const char *uri);

/** Opens it; fails the test if it cannot be. Not yet activated. */
void scene_open(Scene *scene, const RlHostChoice *choice);

/** Opens the stereo plugin, activates it, and lets it settle. */
void scene_begin(Scene *scene);
void scene_end(Scene *scene);

/** Forgets what was said; the next block begins at frame 0. */
void scene_forget(Scene *scene);

/** One block. */
void scene_run(Scene *scene, uint32_t frames);

/** `frames` in blocks of `block`, the last one shorter. */
void scene_play(Scene *scene, int64_t frames, uint32_t block);

/** Four short blocks, so that worker and window are done; then forgets. */
void scene_settle(Scene *scene);

/** Runs short blocks, a millisecond apart, until the property is told as `text`; fails after ten
   seconds. For worker threads. */
void scene_await(Scene *scene, const char *property, const char *text);

/** Sends a property (`chart`, …) as String, or as Path where it is one. */
void scene_send(Scene *scene, int64_t offset, const char *property, const char *text);

/** Sets a chart that must be a good one, and settles. */
void scene_chart(Scene *scene, const char *text);

/** The newest value told of a property, NULL if it was not told. */
const char *scene_told(const Scene *scene, const char *property);

/** How often it was told. */
int scene_times_told(const Scene *scene, const char *property);

/** Asks for a property and returns what is told. */
const char *scene_ask(Scene *scene, const char *property);

/** The last Place told; the test fails without one. */
const Place *scene_last(const Scene *scene);

/** Sends MIDI: a controller on channel `channel` (from 0). */
void scene_controller(Scene *scene, const char *port, int64_t offset, int channel, int controller,
                      int value);

/** A trigger port goes up for one block and down for the next, `frames` each. */
void scene_press(Scene *scene, const char *port, uint32_t frames);

/* ---- atoms by hand ---- */

/** Begins an object on `forge`, whose buffer is `bytes` long. */
typedef struct {
  LV2_URID_Map         map;
  LV2_Atom_Forge       forge;
  LV2_Atom_Forge_Frame frame;
  RlHost              *host;
  union {
    LV2_Atom atom;
    uint8_t  bytes[1 << 16];
  } at;
} Letter;

void letter_begin(Letter *letter, Scene *scene, const char *type);
void letter_key(Letter *letter, const char *key);
void letter_urid(Letter *letter, const char *uri);
/** Sends it on `control`. */
void letter_send(Letter *letter, int64_t offset);

/* ---- the transport ---- */

enum {
  SAY_FRAME    = 1 << 0,
  SAY_SPEED    = 1 << 1,
  SAY_BAR      = 1 << 2,
  SAY_BAR_BEAT = 1 << 3,
  SAY_METER    = 1 << 4, /**< beatsPerBar and beatUnit */
  SAY_TEMPO    = 1 << 5,
  SAY_BEAT     = 1 << 6,
  SAY_PLACE    = SAY_FRAME | SAY_BAR | SAY_BAR_BEAT,
  SAY_PLAIN    = SAY_PLACE | SAY_SPEED | SAY_METER | SAY_TEMPO /**< what hosts send: all but beat */
};

/** A report. */
typedef struct {
  unsigned said; /**< SAY_… */
  int64_t  frame, bar;
  double   speed, bar_beat, beat, tempo;
  int      beats, unit; /**< the meter */
} Report;

void scene_report(Scene *scene, int64_t offset, const Report *report);

/** A plain report: 4/4, rolling at 120 quarters a minute (24000 frames a beat), at a bar from 0. */
Report rolling_at(int64_t bar, double bar_beat);

/** The same, parked. */
Report parked_at(int64_t bar, double bar_beat);

/** Reports so at a beat from 0, and after a stop runs a block. */
void scene_roll(Scene *scene, int beat);
void scene_stop(Scene *scene, int beat);

/* ---- checks that say where they stand ---- */

/** What is going on, printed where a check fails; NULL for nothing. */
extern const char *check_about;

void check_near(double got, double want, double most, const char *what, const char *file, int line);
void check_text(const char *got, const char *want, const char *what, const char *file, int line);
void check_has(const char *got, const char *part, const char *what, const char *file, int line);
void check_shows(const Scene *scene, int chorus, int bar, double beat, const char *file, int line);

#define NEAR(got, want, most)                                                                      \
  check_near((double)(got), (double)(want), (most), #got, __FILE__, __LINE__)
#define SAME(got, want) check_near((double)(got), (double)(want), 0, #got, __FILE__, __LINE__)
#define TEXT(got, want) check_text((got), (want), #got, __FILE__, __LINE__)
#define HAS(got, part)  check_has((got), (part), #got, __FILE__, __LINE__)
/** The outputs at the end of the last block; the beat within a quarter of a frame at 120. */
#define SHOWS(scene, chorus, bar, beat)                                                            \
  check_shows((scene), (chorus), (bar), (beat), __FILE__, __LINE__)

#endif
