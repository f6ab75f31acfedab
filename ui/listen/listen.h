/* SPDX-License-Identifier: ISC */
/* reedlamp-listen: finds the bars of a form in a recording, looking both ways, and writes them; or
   lifts the phrase that a horn plays in it. */
#ifndef RL_UI_LISTEN_LISTEN_H
#define RL_UI_LISTEN_LISTEN_H

#include "core/chart/form.h"
#include "core/ear/phrase/lift.h"
#include "ui/clip/sound.h"
#include "ui/listen/trust.h"

#include <stdio.h>

/** How the program ends: its exit status. */
typedef enum {
  RL_LISTEN_DONE,
  RL_LISTEN_INPUT, /**< the chart or the sound is wrong, or cannot be read */
  RL_LISTEN_USAGE, /**< the command line is not understood */
  RL_LISTEN_OUTPUT /**< what was found cannot be written */
} RlListenEnd;

/** What is written. */
typedef enum {
  RL_LISTEN_MIDI,
  RL_LISTEN_BARS,
  RL_LISTEN_BEATS,
  RL_LISTEN_CLICK,
  RL_LISTEN_NOTES,
  RL_LISTEN_ABC,
  RL_LISTEN_FORMATS
} RlListenFormat;

/** What the command line asks for. */
typedef struct {
  const char    *sound, *chart, *output; /**< output NULL: standard output */
  RlListenFormat format;
  bool           has_format;
  bool           has_key;
  RlKey          key;
  double         tempo;    /**< felt beats a minute, 0: to be found */
  bool           lift;     /**< a phrase is wanted, not the bars */
  double         from, to; /**< seconds: where it is; to HUGE_VAL: up to the end */
  bool           has_at;
  double         at; /**< seconds: bar 1 of the chart begins */
  RlLiftFeel     feel;
  bool           anyway; /**< what fits best is written though the form is not heard */
  const char    *said;   /**< help or version, to be printed instead */
} RlListenOptions;

/** A beat that was found. */
typedef struct {
  double seconds;
  int    chorus, bar; /**< from 1 */
  int    beat;        /**< felt, from 1 */
  double sure;        /**< 0..1 */
} RlFoundBeat;

/** What was found. */
typedef struct {
  RlFoundBeat *beat;
  int          beats;
  double       tempo, cents, key_sure;
  int          key;
  double       sign[RL_TRUST_SIGNS], ahead; /**< what the trust goes by */
  RlTrust      trust;
  double       other_tempo;  /**< the next best; 0: none is near */
  int          other_halves; /**< half beats that the form lies later in the next best place */
  double       other_at;     /**< seconds: there the form begins, once; NAN: nowhere */
  double       swing; /**< where the off-beat lies in a felt beat, 0.5 straight; 0: unknown */
} RlFound;

/** Prints `reedlamp-listen: WHERE: WHY`; returns `end`. */
RlListenEnd rl_listen_complain(RlListenEnd end, const char *where, const char *why);

RlListenEnd rl_listen_options(int count, char *const *arguments, RlListenOptions *options);
RlListenEnd rl_listen_chart(const char *path, RlForm *form);

/** The whole recording; free its samples. */
RlListenEnd rl_listen_sound(const char *path, RlRecording *recording);

/** The seconds asked for, at most all of them; free clip->left. */
RlListenEnd rl_listen_clip(const RlListenOptions *options, RlClip *clip);

/** Lifts the phrase and writes it; `form` NULL: without a chart. */
RlListenEnd rl_listen_lift(const RlListenOptions *options, const RlForm *form);

/** Follows it, forward and back; free found->beat. */
RlListenEnd rl_listen_follow(const RlListenOptions *options, const RlForm *form,
                             const RlRecording *recording, RlFound *found);

/** Writes a file whole or not at all. */
RlListenEnd rl_listen_write(const RlListenOptions *options, const RlForm *form,
                            const RlRecording *recording, const RlFound *found);

/** The same for anything: `fill` writes to `path`, NULL for standard output; false: it could not.
 */
RlListenEnd rl_listen_output(const char *output, bool (*fill)(void *what, const char *path),
                             void       *what);

/** Opens `path`, NULL for standard output, and closes what `put` has written; false if that could
    not be. */
bool rl_listen_file(const char *path, bool (*put)(void *what, FILE *file), void *what);

/** Writes each format to an open file; false if it cannot be written. */
bool rl_listen_midi(FILE *file, const RlForm *form, const RlFound *found);
bool rl_listen_text(FILE *file, const RlFound *found, bool beats);
bool rl_listen_click(const char *path, const RlRecording *recording, const RlFound *found);

#endif
