/* SPDX-License-Identifier: ISC */
/* Capture: which MIDI messages belong to a take, where along the song they came, and when the take
   is over. The audio thread's; real-time safe. What becomes of them is the transcriber's business
   (transcriber.h). */
#ifndef RL_PLUGIN_RT_CAPTURE_H
#define RL_PLUGIN_RT_CAPTURE_H

#include "plugin/rt/follower.h"
#include "plugin/rt/stretch.h"
#include "plugin/shared/take_event.h"

typedef enum {
  RL_CAPTURE_OFF,
  RL_CAPTURE_ARMED, /**< waits for the first note while the music rolls */
  RL_CAPTURE_ON     /**< a take is being played */
} RlCaptureState;

/** The state; zeroed at the beginning. */
typedef struct {
  RlCaptureState state;
  bool           ending; /* as soon as there is room to say so */
  bool           chart_changed;
  bool           track;                  /* the take is what is heard of the track: */
  int64_t        began;                  /* since that frame */
  double         until;                  /* quarters: the form comes round */
  double         reached;                /* quarters: the take has come so far */
  double         ahead;                  /* quarters: where the next stretch should begin */
  double         until_next, ahead_next; /* of the take that a note held over a jump begins */
  unsigned       notes, lost;
  struct {
    double  at;
    uint8_t channel, key;
    bool    held;
  } last; /* note */
} RlCapture;

/** The trigger: arms; disarms; ends the take. True if `event` is to be told, and told it must be:
   see rl_capture_told(). */
bool rl_capture_press(RlCapture *capture, RlTakeEvent *event);

/** A MIDI message of up to 3 bytes, now. True if `event` is to be told. */
bool rl_capture_hear(RlCapture *capture, const RlFollower *follower, const uint8_t *bytes,
                     uint32_t size, RlTakeEvent *event);

/** Is armed, and what is heard of the track counts: a take begins as soon as the music moves. */
void rl_capture_listen(RlCapture *capture, const RlFollower *follower);

/** The same where no take is played: true if the message would belong to one. */
bool rl_capture_would_hear(const RlFollower *follower, const uint8_t *bytes, uint32_t size,
                           RlTakeEvent *event);

/** The next `frames` frames (rl_follower_straight() at most) are about to pass. True if the take is
   over: because the trigger said so or the form has come round; or because the music stands still
   or is elsewhere, and then the next note begins another one. A note just before a loop's end, held
   over it, is that next note: it came early. One just before the form comes round is heard out, a
   bar at most. */
bool rl_capture_pass(RlCapture *capture, const RlFollower *follower, int64_t frames,
                     RlTakeEvent *event);

/** Another chart comes: the take is over, the next note begins another one. */
void rl_capture_chart_changes(RlCapture *capture);

/** Whether `event` could be told. One that says that a take is over is tried again. */
void rl_capture_told(RlCapture *capture, const RlTakeEvent *event, bool told);

/** For those who watch: 0 off, 1 armed, 2 and more: a take with so many notes and two. */
static inline int
rl_capture_shown(const RlCapture *const capture)
{
  return capture->state == RL_CAPTURE_ON ? 2 + (int)capture->notes : (int)capture->state;
}

#endif
