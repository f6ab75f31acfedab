/* SPDX-License-Identifier: ISC */
#include "plugin/rt/capture.h"

#include <math.h>
#include <string.h>

enum { BARS_MOST = 120 }; /* of a phrase, with a little to spare */

static const double leap = 0.25; /* quarters: off by more, and the music is elsewhere; a tempo told
                                    late, and how the clock makes up for it, come to less */

/* A note that comes so little before a loop's end or the form's was meant for what comes then. */
static const double early_most_ms = 90, early_most = 0.125 /* quarters */;

static RlTakeEvent
event_of(const RlTakeEventKind kind, const double at, const float tempo)
{
  return (RlTakeEvent){.at = at, .tempo = tempo, .kind = (uint8_t)kind};
}

/* ---- the trigger ---- */

bool
rl_capture_press(RlCapture *const c, RlTakeEvent *const event)
{
  switch (c->state) {
  case RL_CAPTURE_OFF:
    *c     = (RlCapture){.state = RL_CAPTURE_ARMED};
    *event = event_of(RL_TAKE_BEGINS, 0, 0);
    return true;
  case RL_CAPTURE_ARMED:
    c->state = RL_CAPTURE_OFF;
    *event   = event_of(RL_TAKE_DISARMED, 0, 0);
    return true;
  default:
    c->ending = true; /* told when the next stretch passes */
    return false;
  }
}

void
rl_capture_chart_changes(RlCapture *const c)
{
  c->chart_changed = c->state == RL_CAPTURE_ON;
}

/* ---- messages ---- */

typedef enum { NOTHING, SETTING, NOTE, NOTE_END } Kind;

/* Data entry and RPN, and what ends notes. Breath, wheels and pedals come by the hundred a second.
 */
static bool
control_counts(const uint8_t control)
{
  return control == 6 || control == 38 || control == 100 || control == 101 || control == 120 ||
         control >= 123;
}

/* What a message is to a take: a note, a setting of the bender (heard while nothing rolls too), or
   nothing. */
static Kind
kind_of(const uint8_t *const bytes, const uint32_t size)
{
  static const Kind kinds[16] = {[0x8] = NOTE_END, [0x9] = NOTE, [0xB] = SETTING, [0xE] = SETTING};
  const Kind        kind      = size == 3 ? kinds[bytes[0] >> 4] : NOTHING;
  return kind == NOTE && !bytes[2]                                  ? NOTE_END
         : bytes[0] >> 4 == 0xB && !control_counts(bytes[1] & 127U) ? NOTHING
                                                                    : kind;
}

/* The form comes round a chorus behind the bar of the first note; behind the next one where the
   note lies in the second half of its bar (a pickup, or one on the beat that came early); behind
   bar 1 where it lies before it. */
static void
take_begin(RlCapture *const c, const RlFollower *const f, const double at)
{
  const RlForm *const  form = &f->snapshot->form;
  const RlPlace *const here = &f->now.place;
  const double         bar  = here->beats * 4.0 / here->unit;
  const double         head = at - rl_follower_beat(f) * 4 / here->unit;
  const bool           late = 2 * rl_follower_beat(f) >= here->beats;
  const double         from = fmax(late ? head + bar : head, 0);
  c->state                  = RL_CAPTURE_ON;
  c->until = fmin(from + form->starts[RL_AXIS_QUARTERS][form->bars], head + BARS_MOST * bar);
  c->ahead = c->reached = at;
}

static void
last_note(RlCapture *const c, const double at, const Kind kind, const uint8_t *const bytes)
{
  const uint8_t channel = bytes[0] & 0xFU;
  if (kind == NOTE) {
    c->last.at      = at;
    c->last.channel = channel;
    c->last.key     = bytes[1];
    c->last.held    = true;
  } else if (channel == c->last.channel) {
    const bool all = bytes[0] >> 4 == 0xB && (bytes[1] == 120 || bytes[1] >= 123);
    c->last.held   = c->last.held && !all && !(kind == NOTE_END && bytes[1] == c->last.key);
  }
}

/* Is a note held that came just before `at`? */
static bool
early(const RlCapture *const c, const RlFollower *const f, const double at)
{
  const double most = fmin(early_most, early_most_ms / 60000 * (double)rl_music_tempo(f));
  return c->last.held && at - c->last.at < most;
}

/* Where the take is over at last: later than the form comes round if a note is to be heard out. */
static double
last_place(const RlCapture *const c, const RlFollower *const f)
{
  const RlPlace *const here = &f->now.place;
  return c->until + (early(c, f, c->until) ? here->beats * 4.0 / here->unit : 0);
}

bool
rl_capture_would_hear(const RlFollower *const f, const uint8_t *const bytes, const uint32_t size,
                      RlTakeEvent *const event)
{
  const Kind kind  = kind_of(bytes, size);
  const bool rolls = rl_music_moves(f);
  if (kind == NOTHING || (kind != SETTING && !rolls)) {
    return false;
  }
  *event = event_of(RL_TAKE_MIDI, rolls ? rl_music_quarters(f) : 0, rolls ? rl_music_tempo(f) : 0);
  memcpy(event->bytes, bytes, sizeof(event->bytes));
  return true;
}

bool
rl_capture_hear(RlCapture *const c, const RlFollower *const f, const uint8_t *const bytes,
                const uint32_t size, RlTakeEvent *const event)
{
  const Kind kind  = kind_of(bytes, size);
  const bool rolls = rl_music_moves(f);
  if (c->state == RL_CAPTURE_OFF || c->ending || kind == NOTHING || (kind != SETTING && !rolls)) {
    return false;
  }
  if (c->chart_changed) {
    c->lost += kind == NOTE;
    return false;
  }
  const double at = c->state == RL_CAPTURE_ON ? fmax(rl_music_quarters(f), c->reached)
                    : rolls                   ? rl_music_quarters(f)
                                              : 0;
  if (c->state == RL_CAPTURE_ARMED && kind == NOTE) {
    take_begin(c, f, at);
  }
  if (c->state == RL_CAPTURE_ON && at >= (kind == NOTE ? c->until : last_place(c, f))) {
    return false;
  }
  c->notes += kind == NOTE;
  last_note(c, at, kind, bytes);
  *event = event_of(RL_TAKE_MIDI, at, rolls ? rl_music_tempo(f) : 0);
  memcpy(event->bytes, bytes, sizeof(event->bytes));
  return true;
}

void
rl_capture_listen(RlCapture *const c, const RlFollower *const f)
{
  if (c->state == RL_CAPTURE_ARMED && rl_music_moves(f)) {
    take_begin(c, f, rl_music_quarters(f));
    c->track = true;
    c->began = f->clock.now;
  }
}

/* ---- the end ---- */

/* Why a take is over; RL_TAKE_MIDI if it goes on. */
static RlTakeEventKind
over(const RlCapture *const c, const RlFollower *const f)
{
  return c->ending ? RL_TAKE_ENDS
         : c->chart_changed || !rl_music_moves(f) || fabs(rl_music_quarters(f) - c->ahead) > leap
           ? RL_TAKE_PAUSES
         : rl_music_quarters(f) >= last_place(c, f) ? RL_TAKE_ENDS
                                                    : RL_TAKE_MIDI;
}

/* The music is elsewhere and goes on: a note that came just before is the first of another take. */
static void
carry(RlCapture *const c, const RlFollower *const f, RlTakeEvent *const event)
{
  RlCapture next = {0};
  if (event->kind == RL_TAKE_PAUSES && !c->chart_changed && rl_music_moves(f) &&
      event->at <= c->until && early(c, f, event->at)) {
    take_begin(&next, f, rl_music_quarters(f));
    event->to     = next.ahead;
    event->tempo  = rl_music_tempo(f);
    event->early  = (float)(event->at - c->last.at);
    c->until_next = next.until;
    c->ahead_next = next.ahead;
  }
}

bool
rl_capture_pass(RlCapture *const c, const RlFollower *const f, const int64_t frames,
                RlTakeEvent *const event)
{
  const RlTakeEventKind kind = c->state == RL_CAPTURE_ON ? over(c, f) : RL_TAKE_MIDI;
  if (kind != RL_TAKE_MIDI) {
    *event      = event_of(kind, fmin(c->ahead, last_place(c, f)), 0);
    event->lost = (uint16_t)fmin(c->lost, UINT16_MAX);
    carry(c, f, event);
    if (c->track) {
      event->source = RL_FROM_TRACK;
      event->from   = (double)c->began;
      event->at     = (double)f->clock.now;
    }
    return true;
  }
  if (c->state == RL_CAPTURE_ON) {
    c->reached = fmax(c->reached, rl_music_quarters(f));
    c->ahead =
      rl_music_quarters(f) + f->now.beats_per_frame * 4 / f->now.place.unit * (double)frames;
  }
  return false;
}

/* What becomes of capture when a take is over. */
static RlCapture
after(const RlCapture *const c, const RlTakeEvent *const event)
{
  RlCapture next = {.state = event->kind == RL_TAKE_PAUSES ? RL_CAPTURE_ARMED : RL_CAPTURE_OFF};
  if (event->early > 0) {
    next.state   = RL_CAPTURE_ON;
    next.until   = c->until_next;
    next.ahead   = c->ahead_next;
    next.reached = c->ahead_next;
    next.notes   = 1;
    next.last    = c->last;
    next.last.at = c->ahead_next - (double)event->early;
  }
  return next;
}

void
rl_capture_told(RlCapture *const c, const RlTakeEvent *const event, const bool told)
{
  if (told && (event->kind == RL_TAKE_PAUSES || event->kind == RL_TAKE_ENDS)) {
    *c = after(c, event);
  } else if (!told && event->kind == RL_TAKE_BEGINS) {
    c->state = RL_CAPTURE_OFF; /* as if it had not been pressed */
  } else {
    c->lost += event->kind == RL_TAKE_MIDI && !told;
    c->chart_changed = c->chart_changed || event->kind == RL_TAKE_PAUSES;
  }
}
