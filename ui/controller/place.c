/* SPDX-License-Identifier: ISC */
#include "ui/controller/place.h"

#include "ui/controller/controller_state.h"

#include <assert.h>
#include <math.h>
#include <string.h>

static const double fade_time = 0.12; /* seconds that lamps take to change */

/* The musical ranges of a report, which comes from outside: a host may pass on anything. What
   cannot be shown is left out; numbers are limited to what a song can have. */
static RlPlaceReport
limited(RlPlaceReport r)
{
  enum { MOST = 99999 };
  char *const   texts[]   = {r.now, r.now_degree, r.next, r.next_degree};
  double *const numbers[] = {&r.tempo,         &r.beat,       &r.sure,
                             &r.beats_to_next, &r.bar_one_at, &r.bar_one_quarters,
                             &r.loop_from,     &r.loop_to};
  for (int i = 0; i < 4; ++i) {
    if (rl_slice_bad_byte(rl_slice(texts[i])) >= 0) {
      texts[i][0] = '\0';
    }
  }
  for (int i = 0; i < 8; ++i) {
    *numbers[i] = isfinite(*numbers[i]) ? fmin(fmax(*numbers[i], -1e6), 1e6) : 0;
  }
  int *const wholes[] = {&r.chorus, &r.bar, &r.bars};
  for (int i = 0; i < 3; ++i) {
    *wholes[i] = *wholes[i] < -MOST ? -MOST : *wholes[i] > MOST ? MOST : *wholes[i];
  }
  r.song_key = r.song_key < 0 || r.song_key > 11 ? 12 : r.song_key;
  r.beats    = r.beats < 0 || r.beats > RL_BAR_BEATS_MAX ? 0 : r.beats;
  r.unit     = r.unit < 1 ? 1 : r.unit;
  r.part     = r.part > RL_PART_OVER ? RL_PART_NOWHERE : r.part;
  r.show     = r.show < RL_SHOW_TARGETS || r.show > RL_SHOW_ALL ? (int)RL_SHOW_ALL : r.show;
  r.landed.hole =
    r.landed.hole > RL_HOLES || r.landed.technique >= RL_TECHNIQUES ? 0 : r.landed.hole;
  r.target.hole =
    r.target.hole > RL_HOLES || r.target.technique >= RL_TECHNIQUES ? 0 : r.target.hole;
  return r;
}

/* A chart with another number of bars puts bar 1 back where the start bar says. That is said: the
   chart and the place that has gone come one just after the other, in any order. */
void
rl_place_bar_one(RlController *const c)
{
  RlPlaceState *const p = &c->place;
  if (p->bar_one_went && c->form.bars != p->bar_one_bars) {
    RlText notice = rl_text_in(c->notice, sizeof(c->notice));
    rl_text_add(&notice,
                "The chart has another number of bars, so bar 1 is at the start bar again. "
                "Press “bar one is now” when it begins.");
    p->bar_one_went = false;
  }
}

void
rl_place_receive(RlController *const c, const RlPlaceReport *const raw, const double now)
{
  const RlPlaceReport        report  = limited(*raw);
  const RlPlaceReport *const last    = &c->place.report;
  const bool                 rolls   = report.rolling && last->rolling && report.lit && last->lit;
  const bool                 another = strcmp(report.now_degree, last->now_degree) != 0;
  const bool                 placed  = rl_view_placed(&c->view);
  c->view.report                     = report;
  if (rolls && another && last->now_degree[0] && !c->view.calm) {
    memcpy(c->view.change.before, last->now_degree, sizeof(c->view.change.before));
    c->place.fade_from = now;
  } else if (another) {
    c->view.change.before[0] = '\0';
  }
  c->redraw.all = c->redraw.all || report.bar_one_at != last->bar_one_at ||
                  report.bar_one_quarters != last->bar_one_quarters || report.show != last->show;
  c->place.bar_one_went = (last->bar_one_at != 0 && report.bar_one_at == 0) ||
                          (last->bar_one_quarters != 0 && report.bar_one_quarters == 0);
  c->place.report       = report;
  c->place.received_at  = now;
  c->view.told          = true;
  c->place.bar_one_bars = rl_view_bar_one(&c->view) ? c->form.bars : c->place.bar_one_bars;
  rl_place_bar_one(c);
  c->redraw.all = c->redraw.all || placed != rl_view_placed(&c->view);
}

void
rl_place_advance(RlController *const c, const double now)
{
  RlPlaceReport *const r      = &c->view.report;
  RlViewChange *const  change = &c->view.change;
  *r                          = c->place.report;
  if (r->rolling && r->tempo > 0 && rl_view_placed(&c->view)) {
    /* never into the next beat: it counts only once the plugin has reported it */
    const double end    = floor(r->beat) + 1 - 1e-3;
    const double passed = fmin((now - c->place.received_at) * r->tempo / 60, end - r->beat);
    r->beat += passed;
    r->beats_to_next = fmax(0, r->beats_to_next - passed);
  }
  change->fade = change->before[0] ? fmin(1, fmax(0, (now - c->place.fade_from) / fade_time)) : 1;
  if (change->fade >= 1) {
    change->before[0] = '\0';
  }
}
