/* SPDX-License-Identifier: ISC */
#include "plugin/rt/stretch.h"

#include <math.h>

static const double leap  = 0.25; /* quarters: off by more, and the music is elsewhere */
static const double least = 1;    /* quarter: of less nothing is told */
static const double late  = 0.5;  /* felt beat */

bool
rl_music_moves(const RlFollower *const f)
{
  const RlPart part = f->now.place.part;
  return f->now.rolling && f->now.beats_per_frame >= 0 && part != RL_PART_NOWHERE &&
         part != RL_PART_OVER;
}

double
rl_music_quarters(const RlFollower *const f)
{
  return rl_form_quarters(&f->snapshot->form, &f->now.place, rl_follower_beat(f));
}

float
rl_music_tempo(const RlFollower *const f)
{
  return (float)(f->now.tempo * 4 / f->now.place.unit);
}

/* Where the music would be now had it gone on. */
static double
due(const RlStretch *const s, const RlFollower *const f)
{
  return s->at + s->rate * (double)(f->clock.now - s->frame);
}

static bool
over(RlStretch *const s, const double to, RlTakeEvent *const event)
{
  *event = (RlTakeEvent){
    .kind = RL_TAKE_STRETCH, .at = to, .from = s->from, .tempo = s->tempo, .stretch = s->number};
  const bool worth = s->played && to - s->from >= least;
  s->from          = to;
  return worth;
}

static double
late_quarters(const RlFollower *const f)
{
  const RlPlace *const p = &f->now.place;
  return p->beats > 0 ? late * p->beats * 4.0 / p->unit / rl_meter_felt(p->beats, p->unit) : late;
}

static void
begin(RlStretch *const s, const RlFollower *const f)
{
  s->on     = true;
  s->played = false;
  s->from   = fmax(0, rl_music_quarters(f));
}

static void
look_taken(RlStretch *const s, const RlFollower *const f, const double at)
{
  const RlPlace *const p = &f->now.place;
  s->at                  = at;
  s->rate                = f->now.beats_per_frame * 4 / p->unit;
  s->frame               = f->clock.now;
  s->tempo               = rl_music_tempo(f);
}

bool
rl_stretch_look(RlStretch *const s, const RlFollower *const f, const bool counts,
                RlTakeEvent *const event)
{
  const RlForm *const form   = &f->snapshot->form;
  const double        chorus = form->starts[RL_AXIS_QUARTERS][form->bars];
  const bool          moves  = counts && rl_music_moves(f) && f->now.place.part != RL_PART_ENDING;
  const double        at     = moves ? rl_music_quarters(f) : 0;
  const double        led    = due(s, f);
  const bool          broken = s->on && (!moves || fabs(at - led) > leap);
  const double        end    = broken ? led : at;
  const double        line   = (floor(s->from / chorus + 1e-9) + 1) * chorus;
  if (s->on && end >= line && (broken || end >= line + late_quarters(f))) {
    if (over(s, line, event)) {
      return true;
    }
  }
  if (broken) {
    const bool told = over(s, end, event);
    rl_stretch_forget(s);
    if (told) {
      return true;
    }
  }
  if (moves) {
    if (!s->on) {
      begin(s, f);
    }
    look_taken(s, f, at);
  }
  s->looks = f->looks;
  return false;
}

void
rl_stretch_forget(RlStretch *const s)
{
  s->number += s->on;
  s->on = false;
}
