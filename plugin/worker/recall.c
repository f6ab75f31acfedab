/* SPDX-License-Identifier: ISC */
#include "plugin/worker/recall.h"

#include <math.h>
#include <string.h>

static const double early = 0.125; /* quarters: so little before the first bar is meant for it */
static const double slack = 1e-6;

static RlRecalled
recalled(const RlTakeEvent *const e)
{
  RlRecalled m = {.at        = e->at,
                  .tempo     = e->tempo,
                  .stretch   = e->stretch,
                  .hole      = e->hole,
                  .technique = e->technique,
                  .source    = e->source};
  memcpy(m.bytes, e->bytes, sizeof(m.bytes));
  return m;
}

static RlTakeEvent
event_of(const RlRecalled *const m)
{
  RlTakeEvent e = {.kind      = RL_TAKE_MIDI,
                   .at        = m->at,
                   .tempo     = m->tempo,
                   .stretch   = m->stretch,
                   .hole      = m->hole,
                   .technique = m->technique,
                   .source    = m->source};
  memcpy(e.bytes, m->bytes, sizeof(e.bytes));
  return e;
}

void
rl_recall_hear(RlRecall *const r, const RlTakeEvent *const event)
{
  if (event->kind == RL_TAKE_MIDI) {
    r->message[r->count++ % RL_RECALL_MAX] = recalled(event);
  } else if (event->kind == RL_TAKE_STRETCH) {
    r->over    = event->stretch;
    r->over_at = event->at;
  }
}

void
rl_recall_forget(RlRecall *const r)
{
  r->count = 0;
}

static unsigned
oldest(const RlRecall *const r)
{
  return r->count > RL_RECALL_MAX ? r->count - RL_RECALL_MAX : 0;
}

static const RlRecalled *
message(const RlRecall *const r, const unsigned n)
{
  return &r->message[n % RL_RECALL_MAX];
}

static bool
begins(const RlRecalled *const m)
{
  return m->bytes[0] >> 4 == 0x9 && m->bytes[2] > 0;
}

static bool
is_setting(const RlRecalled *const m)
{
  return m->bytes[0] >> 4 == 0xB || m->bytes[0] >> 4 == 0xE;
}

/* Where it is all to come from: which stretch, and where it has come to. */
typedef struct {
  uint16_t stretch;
  double   end;
  bool     any;
} Part;

/* The newest stretch in which a note of that source began, but for `not`. */
static Part
newest(const RlRecall *const r, const uint8_t source, const int not )
{
  for (unsigned n = r->count; n > oldest(r); --n) {
    const RlRecalled *const m = message(r, n - 1);
    if (begins(m) && m->source == source && m->stretch != not ) {
      const bool known = r->over == m->stretch;
      return (Part){m->stretch, known ? r->over_at : m->at + 1, true};
    }
  }
  return (Part){0};
}

static bool
has_notes(const RlRecall *const r, const uint8_t source, const uint16_t stretch)
{
  bool any = false;
  for (unsigned n = oldest(r); n < r->count; ++n) {
    const RlRecalled *const m = message(r, n);
    any                       = any || (begins(m) && m->source == source && m->stretch == stretch);
  }
  return any;
}

/* In the first bar after a break what came before it is meant, if anything was played there. */
static Part
part_find(const RlRecall *const r, const RlForm *const form, const RlTakeEvent *const last)
{
  const Part    before = newest(r, last->source, last->stretch);
  const RlPlace place  = rl_form_locate(form, RL_AXIS_QUARTERS, last->at, slack);
  const double  bar    = place.beats > 0 ? place.beats * 4.0 / place.unit : 4;
  const bool    now    = has_notes(r, last->source, last->stretch);
  const bool    young  = last->at - last->from < bar - slack;
  return now && !(young && before.any) ? (Part){last->stretch, last->at, true} : before;
}

double
rl_recall_begin(const RlForm *const form, const double end, const bool four_bars)
{
  const RlPlace here = rl_form_locate(form, RL_AXIS_QUARTERS, end, slack);
  const double  bars = four_bars ? 4 : form->bars;
  const double  line = end - here.beat * 4.0 / fmax(here.unit, 1);
  const bool    late = here.beats > 0 && 2 * here.beat >= here.beats;
  double        head = late ? line + here.beats * 4.0 / here.unit : line;
  for (int i = 0; i < (int)bars; ++i) { /* bars may be of several lengths */
    const RlPlace before = rl_form_locate(form, RL_AXIS_QUARTERS, head - 0.01, 0);
    head -= before.beats > 0 ? before.beats * 4.0 / before.unit : 4;
  }
  return head;
}

bool
rl_recall_take(const RlRecall *const r, const RlForm *const form, const RlTakeEvent *const last,
               RlTranscribed *const over)
{
  const Part   part   = part_find(r, form, last);
  const double from   = rl_recall_begin(form, part.end, last->four_bars) - early;
  double       tempos = 0;
  rl_take_begin(&over->take);
  over->lost = 0;
  for (unsigned n = oldest(r); part.any && n < r->count; ++n) {
    RlRecalled m  = *message(r, n);
    const bool in = m.stretch == part.stretch && m.at >= from && m.at <= part.end + slack;
    if (m.source != last->source || !(in || (is_setting(&m) && !over->take.notes))) {
      continue;
    }
    m.at                     = in ? m.at : from; /* the bender stands as it was left */
    const RlTakeEvent played = event_of(&m);
    rl_transcriber_message(&over->take, &played);
    tempos += in && begins(&m) ? (double)m.tempo : 0;
  }
  rl_take_end(&over->take, part.end);
  over->tempo = over->take.notes ? fmin(fmax(tempos / over->take.notes, 10), 1000) : 0;
  return over->take.notes > 0;
}
