/* The audio thread: one block after the other. Real-time safe but for rl_band_init(). */
#ifndef RL_BAND_H
#define RL_BAND_H

#include "air.h"
#include "atoms.h"
#include "capture.h"
#include "desk.h"
#include "leader.h"
#include "midi_out.h"
#include "notify.h"
#include "ports.h"
#include "uris.h"

#include <lv2/worker/worker.h>

enum { RL_REPORT_FIELDS = 8 };

/** Everything the audio thread touches. */
typedef struct {
  void               *port[RL_PORTS];
  uint32_t            raw[RL_PORTS]; /* the control inputs as they stood in the ports, bit by bit */
  float               input[RL_PORTS];     /* the same as they can be used */
  float               unplugged[RL_PORTS]; /* what a control port without a host reads or writes */
  bool                read;                /* they have been */
  bool                mono;
  bool                wake;     /* the worker has something to do */
  bool                hand_due; /* the desk does not know the hand yet */
  unsigned            changes;  /* another number: tell the place even if it looks the same */
  unsigned            tell;     /* text properties still to be told, a bit each */
  RlUris              uris;
  LV2_URID            report_key[RL_REPORT_FIELDS];
  RlLeader            leader;
  RlNotify            notify;
  RlScore            *score;
  RlScore            *retired; /* to be freed by the worker as soon as the ring has room */
  RlHand              asked_for;
  RlAudience          window; /* and others on `notify` */
  RlAir               air;    /* and those who hear OSC */
  RlMidiOut           midi_out;
  RlCapture           capture;
  unsigned            bar_ones; /* of the leader's, when the desk last heard of it */
  unsigned            lost;     /* text properties that the ring had no room for, a bit each */
  RlRing             *ring;
  RlDesk             *desk;
  LV2_Worker_Schedule schedule;
} RlBand;

/** Sets up a zeroed band. `own` is the URI of the plugin, `rate` in frames a second. The band plays
    from the pages of `desk`, asks it through `ring`, and puts news for the sender into `mailbox`.
 */
void rl_band_init(RlBand *band, LV2_URID_Map *map, const LV2_Worker_Schedule *schedule,
                  const char *own, double rate, RlRing *ring, RlDesk *desk, RlMailbox *mailbox);

/** Connects a port; NULL leaves it unplugged. */
void rl_band_connect(RlBand *band, RlPort port, void *data);

/** The transport starts anew: forgets where the music was. */
void rl_band_restart(RlBand *band);

/** One block, with every port connected that must be. */
void rl_band_run(RlBand *band, uint32_t frames);

/** Heeds one event of an atom input, now. */
void rl_band_hear(RlBand *band, const RlAtom *atom);

/** Learns the keys of a transport report; once, when the URIs are mapped. */
void rl_band_know_fields(RlBand *band);

/** A foot switch goes down, now. */
void rl_band_pedal(RlBand *band, RlPedal pedal);

/** Hears a MIDI message for the take, now. */
void rl_band_note(RlBand *band, const uint8_t *bytes, uint32_t size);

/** Puts a request into the ring and sees to it that the worker is woken; false if there is no room.
 */
bool rl_band_ask(RlBand *band, RlAskHead head, const void *body);

#endif
