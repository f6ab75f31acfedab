/* SPDX-License-Identifier: ISC */
/* Standard MIDI Files (MIDI Manufacturers Association, RP-001), types 0 and 1: their messages in
   order of time, and their parts as takes. Reads within what it is given, whatever it is. No heap;
   any thread but audio. */
#ifndef RL_CORE_CAPTURE_SMF_H
#define RL_CORE_CAPTURE_SMF_H

#include "core/capture/notate.h"

enum {
  RL_SMF_MAX        = 1 << 22, /**< bytes of a file */
  RL_SMF_TRACKS_MAX = 128,
  RL_SMF_PARTS_MAX  = 32
};

/** What an event is. */
typedef enum {
  RL_SMF_MIDI,  /**< a channel message, in `bytes` */
  RL_SMF_TEMPO, /**< `value`: microseconds a quarter note */
  RL_SMF_METER, /**< bytes[0] over bytes[1], the note value itself */
  RL_SMF_KEY,   /**< bytes[0]: sharps + 7; bytes[1]: 1 minor */
  RL_SMF_NAME,  /**< of the track; `text` */
  RL_SMF_OTHER  /**< anything else: text, system exclusive … */
} RlSmfKind;

typedef struct {
  RlSmfKind kind;
  uint64_t  ticks;    /**< as the file counts them */
  double    quarters; /**< from the beginning; in a file that counts frames, by its tempo */
  int       track;    /**< from 0 */
  uint8_t   bytes[3], size;
  uint32_t  value;
  RlSlice   text;
} RlSmfEvent;

/** Why a file cannot be read. */
typedef struct {
  size_t      at; /**< byte, from 0 */
  const char *reason;
} RlSmfError;

/** A file being read. About 6 KiB. */
typedef struct {
  RlSlice  file;
  int      type;
  int      division;     /**< ticks a quarter; 0: it counts frames */
  double   tick_seconds; /**< where it counts frames */
  uint32_t tempo;        /**< microseconds a quarter, as far as it has been read */
  uint64_t ticks;        /**< of the event last read */
  double   quarters;
  int      tracks;
  struct {
    size_t   at, end;
    uint64_t ticks;   /* of the event at `at` */
    uint8_t  running; /* status, 0: none */
    bool     over;
  } track[RL_SMF_TRACKS_MAX];
} RlSmf;

/** Begins to read. False, and `error` says why, if it is no file that can be read. */
bool rl_smf_open(RlSmf *smf, RlSlice file, RlSmfError *error);

/** The next event in order of time, of one time in order of tracks. 1; 0 at the end; -1 if it is
   broken, and `error` says where. */
int rl_smf_next(RlSmf *smf, RlSmfEvent *event, RlSmfError *error);

/** Appends `byte 22: …`. */
void rl_smf_error_write(const RlSmfError *error, RlText *text);

/** A part: the notes of one channel in one track. */
typedef struct {
  uint8_t track, channel;
  RlSlice name; /**< of the track; may be empty, and no well-formed UTF-8 */
} RlSmfPart;

/** The parts that have notes, percussion (channel 10) left out, at most RL_SMF_PARTS_MAX. -1:
 * broken. */
int rl_smf_parts(RlSlice file, RlSmfPart *part, RlSmfError *error);

/** Room to work in, from the caller: no need to clear it. About 350 KiB. */
typedef struct {
  RlSmf             smf;
  RlTake            take;
  RlForm            form;
  RlNotateWorkspace notate;
  RlNotated         notated;
  char              chart[RL_CHART_MAX];
} RlSmfWorkspace;

/** Writes one part down as a phrase without a title, into room->notated. Bar 1 of the file is bar 1
   of `form`, whose chords it was played over, as long as both count in the same meter; else (or
   with `form` NULL) it is quantised along the file's own meters, over the tonic of its key
   signature, or of `key`, in which the song sounds, where it has none. False, and `error` says why,
   if it is broken or there is nothing in it. */
bool rl_smf_phrase(RlSlice file, RlSmfPart part, const RlForm *form, RlKey key,
                   RlSmfWorkspace *room, RlSmfError *error);

#endif
