/* SPDX-License-Identifier: ISC */
/* Standard MIDI Files (MIDI Manufacturers Association, RP-001), types 0 and 1: their events in
   order of time, and their parts as phrases. Files are not trusted: whatever the bytes are, nothing
   outside them is read. No heap, no state; not for the audio thread; any other thread. */
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
  RL_SMF_MIDI,  /**< a channel message: `size` of `bytes`, 2 or 3 */
  RL_SMF_TEMPO, /**< `value`: microseconds a quarter note, above 0 */
  RL_SMF_METER, /**< bytes[0] (1 to 255) over the note value bytes[1] (1 to 32) */
  RL_SMF_KEY,   /**< bytes[0]: sharps + 7, 0 to 14; bytes[1]: 1 minor, 0 major */
  RL_SMF_NAME,  /**< the track's, in `text`: any bytes */
  RL_SMF_OTHER  /**< anything else: text, system exclusive … */
} RlSmfKind;

/** An event. Members that its kind does not name are 0. */
typedef struct {
  RlSmfKind kind;
  uint64_t  ticks;    /**< from the beginning, in the file's unit */
  double    quarters; /**< from the beginning; in a file that counts frames, by its tempo */
  int       track;    /**< from 0 */
  uint8_t   bytes[3], size;
  uint32_t  value;
  RlSlice   text; /**< a slice of the file */
} RlSmfEvent;

/** Why a file cannot be read. */
typedef struct {
  size_t      at; /**< byte, from 0 */
  const char *reason;
} RlSmfError;

/** A file being read; all its members are private. About 4 KiB. */
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
    uint8_t  running; /* status of the last channel message, for those that leave it out; 0: none */
    bool     over;
  } track[RL_SMF_TRACKS_MAX];
} RlSmf;

/** Begins to read `file`, which must stay where it is. False, and `error` says why, if it is not a
    file that can be read. */
bool rl_smf_open(RlSmf *smf, RlSlice file, RlSmfError *error);

/** The next event in order of time; of the same time in order of tracks. Returns 1, 0 at the end,
   or -1 if the file is broken, and `error` says where. */
int rl_smf_next(RlSmf *smf, RlSmfEvent *event, RlSmfError *error);

/** Appends `byte 22: …`. */
void rl_smf_error_write(const RlSmfError *error, RlText *text);

/** A part: the notes of one channel in one track. */
typedef struct {
  uint8_t track, channel;
  RlSlice name; /**< of the track; may be empty, and no well-formed UTF-8 */
} RlSmfPart;

/** The parts that have notes, in order of their first one, without percussion (channel 10, General
    MIDI): the first RL_SMF_PARTS_MAX into `part`, which has space for as many. Returns how many the
    file has, which may be more, or -1 if it is broken, and `error` says where. */
int rl_smf_parts(RlSlice file, RlSmfPart *part, RlSmfError *error);

/** Scratch memory, from the caller; need not be cleared. About 240 KiB. */
typedef struct {
  RlSmf             smf;
  RlTake            take;
  RlForm            form;
  RlNotateWorkspace notate;
  RlNotated         notated;
  char              chart[RL_CHART_MAX];
} RlSmfWorkspace;

/** Writes one part down as a phrase without a title, into workspace->notated. If file and `form`
   are in the same meter throughout, bar 1 of the file is bar 1 of `form`, and the chords are the
    form's. Else, or with `form` NULL, the part is quantised along the file's own meters, over the
    tonic of its key signature; where it has none, over that of `key`, in which the song sounds.
    False, and `error` says why, if the file is broken, too long, or the part has no notes. */
bool rl_smf_phrase(RlSlice file, RlSmfPart part, const RlForm *form, RlKey key,
                   RlSmfWorkspace *workspace, RlSmfError *error);

#endif
