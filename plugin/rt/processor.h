/* SPDX-License-Identifier: ISC */
/* The audio thread: one block after the other. Real-time safe but for rl_processor_init(). */
#ifndef RL_PLUGIN_RT_PROCESSOR_H
#define RL_PLUGIN_RT_PROCESSOR_H

#include "plugin/protocol/atoms.h"
#include "plugin/protocol/ports.h"
#include "plugin/protocol/uris.h"
#include "plugin/rt/audition.h"
#include "plugin/rt/capture.h"
#include "plugin/rt/follower.h"
#include "plugin/rt/harp_ear.h"
#include "plugin/rt/harp_hits.h"
#include "plugin/rt/harp_notes.h"
#include "plugin/rt/listening.h"
#include "plugin/rt/midi_out.h"
#include "plugin/rt/midi_thru.h"
#include "plugin/rt/notify.h"
#include "plugin/rt/osc_publisher.h"
#include "plugin/rt/stretch.h"
#include "plugin/rt/track_out.h"
#include "plugin/rt/trigger.h"
#include "plugin/shared/request.h"
#include "plugin/shared/ring.h"

#include <lv2/worker/worker.h>

enum { RL_REPORT_FIELDS = 8 };

/** Of what is still to be told, besides the text properties. */
#define RL_TELL_PICTURE (1U << 31U)

/** Everything the audio thread touches. */
typedef struct {
  void               *port[RL_PORTS];
  uint32_t            raw[RL_PORTS]; /* the control inputs as they stood in the ports, bit by bit */
  float               input[RL_PORTS];     /* the same as they can be used */
  float               output[RL_PORTS];    /* what the control outputs say */
  unsigned            found;               /* how far things had changed when they were found */
  float               unplugged[RL_PORTS]; /* what a control port without a host reads or writes */
  bool                read;                /* they have been */
  RlTrigger           trigger[RL_PEDALS];
  int64_t             passed;    /* frames that have been played in all */
  unsigned            restoring; /* blocks for which a host may still be moving its ports */
  uint32_t            last_block, longest_block; /* frames, since the transport started anew */
  RlFace              face;
  bool                wake;     /* the worker has something to do */
  bool                hand_due; /* the document does not know the hand yet */
  unsigned            changes;  /* another number: tell the place even if it looks the same */
  unsigned            tell;     /* text properties still to be told, a bit each */
  RlUris              uris;
  LV2_URID            report_key[RL_REPORT_FIELDS];
  RlFollower          follower;
  RlListening         listening;
  unsigned            listened; /* of its changes, when last heeded */
  bool                tell_hearing;
  RlHarpEar           harp_ear;
  RlHarpHits          harp_hits;
  RlAudition          audition;
  RlTrackOut          track;
  bool                hears;   /* the player, or the track for takes: harp_ear.busy, track.wanted */
  RlPicture          *picture; /* being told; NULL: none is */
  uint32_t            picture_at; /* up to that column */
  RlNotify            notify;
  RlSnapshot         *snapshot;
  RlSnapshot         *retired; /* to be freed by the worker as soon as the ring has room */
  RlHand              asked_for;
  RlChangeDetector    window;    /* and others on `notify` */
  RlOscPublisher      publisher; /* and those who hear OSC */
  RlMidiOut           midi_out;
  RlMidiThru          midi_thru;
  RlCapture           capture;
  RlStretch           stretch;
  RlHarpNotes         harp_notes;
  unsigned            bar_ones; /* of the follower's, when the document last heard of it */
  unsigned            lost;     /* text properties that the ring had no room for, a bit each */
  RlRing             *ring;
  RlOutbox           *outbox;
  LV2_Worker_Schedule schedule;
  _Atomic uint32_t    bare; /* rl_processor_unplugged() */
} RlProcessor;

/** Sets up a zeroed processor. `own` is the URI of the plugin, `rate` in frames a second. The
   processor plays from the snapshots in `outbox`, asks the document for things through `ring`,
   tells the OSC sender what is true through `mailbox`, the listener over `desk` when to listen,
   and the worker over `harp_desk` which ear for the player it needs, over `track_desk` whether to
   keep the track; over `audition_desk` it is lent what is to be listened to. */
void rl_processor_init(RlProcessor *processor, LV2_URID_Map *map,
                       const LV2_Worker_Schedule *schedule, const char *own, double rate,
                       RlRing *ring, RlOutbox *outbox, RlMailbox *mailbox, RlListenDesk *desk,
                       RlHarpEarDesk *harp_desk, RlAuditionDesk *audition_desk,
                       RlLendDesk *track_desk);

/** Connects a port; NULL leaves it unplugged. */
void rl_processor_connect(RlProcessor *processor, RlPort port, void *data);

/** The transport starts anew: forgets where the music was. */
void rl_processor_restart(RlProcessor *processor);

/** One block. Any port may be unplugged. */
void rl_processor_run(RlProcessor *processor, uint32_t frames);

/** Does the host run faster than real time, so that run() may take as long as it needs? */
static inline bool
rl_processor_freewheels(const RlProcessor *const processor)
{
  return processor->input[RL_PORT_FREEWHEEL] > 0;
}

/** Which of `control` and `notify` the host had left unplugged at the first block, a bit each
    (1 << RlPort), the first time it is asked after that; 0 later. Any thread. */
uint32_t rl_processor_unplugged(RlProcessor *processor);

/** Reads the control inputs, at least one of which has moved. */
void rl_processor_inputs_read(RlProcessor *processor);

/** Takes the settings from them, as they were read. */
void rl_processor_settings_read(RlProcessor *processor);

/** Heeds the events of both atom inputs up to the `last` frame of the block; time passes to each of
    them, from frame `at` on. */
void rl_processor_events_hear(RlProcessor *processor, int64_t *at, int64_t last);

/** Learns the keys of a transport report; once, when the URIs are mapped. */
void rl_processor_know_fields(RlProcessor *processor);

/** A foot switch goes down, now. */
void rl_processor_pedal(RlProcessor *processor, RlPedal pedal);

/** Writes the control outputs: the place now, and how following by ear goes. */
void rl_processor_outputs_write(RlProcessor *processor);

/** A block begins while the player is heard or the track kept: takes what the worker has lent. */
void rl_processor_ears_begin(RlProcessor *processor);

/** What is heard of the track in the next `frames` frames from `frame` of the block on is handed
    on; a take begins that waits for it. */
void rl_processor_track_hear(RlProcessor *processor, int64_t frame, int64_t frames);

/** Time passes up to `frame` of the block. What is new is told just before it does, so that of
    several things that happen at one frame the last holds. */
void rl_processor_pass(RlProcessor *processor, int64_t *at, int64_t frame);

/** Time is about to pass while the player is heard, phrases play, a take is played or the place is
   new: sees to them at `frame` of the block, and returns how many of the next `frames` may pass
   until it must again. */
int64_t rl_processor_heed(RlProcessor *processor, int64_t frame, int64_t frames);

/** Are those who watch yet to be told of the place, or found not to care? */
static inline bool
rl_processor_place_is_new(const RlProcessor *const processor)
{
  return processor->changes != processor->window.changes ||
         processor->follower.looks != processor->window.looks;
}

/** Then: tells them, if there is room. */
void rl_processor_place_tell(RlProcessor *processor, int64_t frame);

/** Tells the text properties still to be told, as far as there is room. */
void rl_processor_properties_tell(RlProcessor *processor, int64_t frame);

/** A chorus, or a stretch played without a break, is told if it is over. */
void rl_processor_stretch_pass(RlProcessor *processor);

/** A note that was heard begins or ends. */
void rl_processor_harp_note(RlProcessor *processor, const RlHarpNoteEvent *heard);

/** The take, if there is one, is over if it should be before the next `frames` pass. */
void rl_processor_take_pass(RlProcessor *processor, int64_t frames);

/** Copies the sound of a block from its inputs to its outputs. */
void rl_processor_sound_pass(const RlProcessor *processor, uint32_t frames);

/** Adds what is listened to on request to the outputs; while the music stands. */
void rl_processor_audition(RlProcessor *processor, uint32_t frames);

/** A block begins: reads what was heard. True if there is something new besides the place. */
bool rl_processor_news_read(RlProcessor *processor);

/** Tells how following by ear goes, if there is room. */
void rl_processor_hearing_tell(RlProcessor *processor, int64_t frame);

/** Time is about to pass from one frame of the block to another: the listener gets the sound. */
void rl_processor_sound_hear(RlProcessor *processor, int64_t from, int64_t to);

/** The player is heard from frame `at` of the block on, for `frames` at most; what is new is told.
   Returns how many of them may pass until it must be called again. */
int64_t rl_processor_harp_hear(RlProcessor *processor, int64_t at, int64_t frames);

/** Tells what the player plays and hits, as far as there is room. */
void rl_processor_heard_tell(RlProcessor *processor, int64_t frame);

/** Hears a MIDI message for the take, now. */
void rl_processor_note(RlProcessor *processor, const uint8_t *bytes, uint32_t size);

/** Puts a request into the ring and sees to it that the worker is woken; false if there is no room.
 */
bool rl_processor_ask(RlProcessor *processor, RlAskHead head, const void *body);

#endif
