/* SPDX-License-Identifier: ISC */
#include "ui/model/view.h"

#include "core/chart/form_loop.h"

#include <assert.h>
#include <math.h>

_Static_assert((int)RL_REPORT_TEXT_SIZE >= (int)RL_CHORD_SIZE, "a report holds any chord");

RlHarpChoice
rl_view_harp(const RlView *const v)
{
  return (RlHarpChoice){.key    = (uint8_t)v->port[RL_PORT_HARP_KEY],
                        .range  = (int8_t)v->port[RL_PORT_HARP_REGISTER],
                        .tuning = (RlTuning)v->port[RL_PORT_TUNING]};
}

RlPlayer
rl_view_player(const RlView *const v)
{
  return (RlPlayer){.draw_bends = (uint8_t)v->port[RL_PORT_BEND_DEPTH],
                    .blow_bends = (uint8_t)v->port[RL_PORT_BLOW_BEND_DEPTH],
                    .overblows  = v->port[RL_PORT_OVERBLOWS] > 0};
}

RlKey
rl_view_key(const RlView *const v)
{
  enum { AS_WRITTEN = 12 };
  const bool heard = v->port[RL_PORT_SONG_KEY] > AS_WRITTEN;
  const int  said  = v->report.bars > 0 ? v->report.song_key : AS_WRITTEN;
  const int  port  = heard ? said : (int)v->port[RL_PORT_SONG_KEY];
  return v->form ? rl_form_key(v->form, port) : rl_key_named(port < 12 ? port : 7, false);
}

RlShow
rl_view_show(const RlView *const v)
{
  return v->report.show ? (RlShow)v->report.show : RL_SHOW_ALL;
}

bool
rl_view_grown(const RlView *const v)
{
  return v->port[RL_PORT_SHOW_GROWS] > 0 && (float)v->report.show > v->port[RL_PORT_SHOW];
}

bool
rl_view_by_ear(const RlView *const v)
{
  return v->port[RL_PORT_CLOCK] > 1;
}

bool
rl_view_bar_one(const RlView *const v)
{
  return v->report.bar_one_at != 0 || v->report.bar_one_quarters != 0;
}

bool
rl_view_placed(const RlView *const v)
{
  return v->report.part != RL_PART_NOWHERE && v->report.beats > 0;
}

int
rl_view_index(const RlView *const v)
{
  const RlPlaceReport *const t       = &v->report;
  const RlForm *const        f       = v->form;
  const bool                 sounds  = t->part == RL_PART_CHORUS || t->part == RL_PART_ENDING;
  const int                  lead_in = f && t->part == RL_PART_LEAD_IN && f->lead_in_from
                                         ? f->lead_in_from - 1 + f->lead_in + t->bar
                                         : -1;
  const int                  index   = sounds ? t->bar - 1 : lead_in;
  return f && index >= 0 && index < f->bars + f->ending_bars ? index : -1;
}

/* Felt beats in one beat of the meter. */
static double
felt(const RlView *const v)
{
  const RlPlaceReport *const t = &v->report;
  return rl_view_placed(v) ? rl_meter_felt(t->beats, t->unit) / t->beats : 1;
}

double
rl_view_felt(const RlView *const v)
{
  return rl_view_placed(v) ? (v->report.beat - 1) * felt(v) : 0;
}

double
rl_view_felt_beats(const RlView *const v)
{
  return rl_view_placed(v) ? rl_meter_felt(v->report.beats, v->report.unit) : 1;
}

double
rl_view_to_next(const RlView *const v)
{
  return v->report.beats_to_next * felt(v);
}

double
rl_view_fill(const RlView *const v)
{
  const RlPlace place = rl_view_place(v);
  const double  left  = rl_view_to_next(v);
  const double  lasts = place.index < 0 ? 0 : rl_form_felt_since_chord(v->form, &place) + left;
  const double  soon  = lasts > 0 && lasts < 4 ? lasts : 4;
  return v->report.next[0] && left < soon ? fmin(1, 1 - left / soon) : 0;
}

RlPlace
rl_view_place(const RlView *const v)
{
  const RlPlaceReport *const t = &v->report;
  return (RlPlace){.part   = rl_view_placed(v) ? t->part : RL_PART_NOWHERE,
                   .chorus = t->chorus,
                   .bar    = t->bar,
                   .index  = rl_view_index(v),
                   .beat   = t->beat - 1,
                   .beats  = t->beats,
                   .unit   = t->unit};
}

bool
rl_view_loop(const RlView *const v, double *const now, RlPlace *const start)
{
  static const double        slack = 1e-3;
  const RlPlaceReport *const t     = &v->report;
  const RlPlace              place = rl_view_place(v);
  if (!v->form || !(t->loop_to > t->loop_from) || place.index < 0) {
    return false;
  }
  *now   = rl_form_bars_to(v->form, &place);
  *start = rl_form_locate(v->form, RL_AXIS_BARS, t->loop_from, slack);
  return *now < t->loop_to;
}

int
rl_view_next_bar(const RlView *const v)
{
  static const double slack = 1e-3; /* of a bar: places come as floats */
  const RlPlace       place = rl_view_place(v);
  if (!v->form || !rl_view_placed(v) || !v->report.next[0]) {
    return -1;
  }
  const RlChordsAt along = rl_form_chords_at(v->form, &place);
  int              bar   = along.next < 0 ? -1 : v->form->change[along.next].bar;
  RlPlace          start;
  double           now;
  if (rl_view_loop(v, &now, &start)) {
    const RlFormLoop loop = {RL_AXIS_BARS, v->report.loop_from, v->report.loop_to};
    rl_form_loop_chords(v->form, &loop, now, slack, along, &bar);
  }
  return bar;
}

static int
takes_of(const RlView *const v)
{
  return v->phrases.takes ? v->phrases.takes->phrase_count : 0;
}

int
rl_view_phrases(const RlView *const v)
{
  return takes_of(v) + (v->phrases.library ? v->phrases.library->count : 0);
}

bool
rl_view_searches(const RlView *const v)
{
  const RlViewList *const l = &v->phrases.list;
  return (v->phrases.query && *v->phrases.query) || l->order || l->over || l->length || l->hard;
}

int
rl_view_listed(const RlView *const v)
{
  return rl_view_searches(v) ? v->phrases.found_count : rl_view_phrases(v);
}

int
rl_view_listed_phrase(const RlView *const v, const int place)
{
  assert(place >= 0 && place < rl_view_listed(v));
  return rl_view_searches(v) ? v->phrases.found[place] : place;
}

bool
rl_view_is_take(const RlView *const v, const int phrase)
{
  return phrase >= 0 && phrase < takes_of(v);
}

/* By the line that says how sure its notes are (core/phrase/sure.h). */
bool
rl_view_lifted(const RlView *const v)
{
  const int selected = v->phrases.selected;
  if (!rl_view_is_take(v, selected)) {
    return false;
  }
  RlSlice rest   = rl_view_phrase_tune(v, selected);
  bool    lifted = false;
  while (rest.length && !lifted) {
    lifted            = rl_slice_begins(rest, "N:sure ");
    const size_t line = rl_slice_until(rest, "\n");
    rest              = rl_slice_after(rest, line < rest.length ? line + 1 : line);
  }
  return lifted;
}

bool
rl_view_types_phrase(const RlView *const v)
{
  return v->edit.kind == RL_EDIT_TITLE || v->edit.kind == RL_EDIT_REMARK ||
         v->edit.kind == RL_EDIT_FEEL;
}

bool
rl_view_corrects(const RlView *const v)
{
  return v->screen == RL_SCREEN_PHRASES && v->phrases.panel == RL_PHRASE_PANEL_EDIT &&
         v->phrases.onsets > 0;
}

int
rl_view_perhaps(const RlView *const v)
{
  int perhaps = 0;
  for (int i = 0; i < v->phrases.onsets; ++i) {
    perhaps += v->phrases.onset[i].perhaps;
  }
  return perhaps;
}

bool
rl_view_phrase_is_midi(const RlView *const v, const int phrase)
{
  return phrase >= takes_of(v) && phrase < rl_view_phrases(v) &&
         v->phrases.library->phrase[phrase - takes_of(v)].midi;
}

bool
rl_view_phrase_is_own(const RlView *const v, const int phrase)
{
  assert(phrase >= 0 && phrase < rl_view_phrases(v));
  return rl_view_is_take(v, phrase) || v->phrases.library->phrase[phrase - takes_of(v)].own;
}

int
rl_view_phrase_left(const RlView *const v, const int phrase)
{
  assert(phrase >= 0 && phrase < rl_view_phrases(v));
  return rl_view_is_take(v, phrase) ? 0 : v->phrases.library->phrase[phrase - takes_of(v)].left;
}

const char *
rl_view_phrase_title(const RlView *const v, const int phrase)
{
  assert(phrase >= 0 && phrase < rl_view_phrases(v));
  return rl_view_is_take(v, phrase) ? v->phrases.takes->phrase[phrase].title
                                    : v->phrases.library->phrase[phrase - takes_of(v)].title;
}

RlSlice
rl_view_phrase_tune(const RlView *const v, const int phrase)
{
  assert(phrase >= 0 && phrase < rl_view_phrases(v));
  return rl_view_is_take(v, phrase) ? rl_plan_tune(v->phrases.takes, phrase)
                                    : rl_library_tune(v->phrases.library, phrase - takes_of(v));
}

bool
rl_view_chosen(const RlView *const v, int *const first, int *const last)
{
  *first = v->bars.from < v->bars.to ? v->bars.from : v->bars.to;
  *last  = v->bars.from < v->bars.to ? v->bars.to : v->bars.from;
  return v->bars.chosen && v->form && *first >= 0 && *last < v->form->bars;
}

bool
rl_view_sounds(const RlView *const v, const int note)
{
  bool sounds = false;
  for (int i = 0; i < v->played.count; ++i) {
    const RlPlayedSound *const n = &v->played.note[i];
    sounds                       = sounds || n->hole * RL_TECHNIQUES + (int)n->technique == note;
  }
  return sounds;
}

bool
rl_view_blue_zone(const RlView *const v, const int midi, float *const low, float *const high)
{
  const RlKey key = rl_view_key(v);
  RlChord     chord;
  if (!rl_blue_zone(midi, key, low, high)) {
    return false;
  }
  if (rl_view_placed(v) && rl_chord_read(rl_slice(v->report.now_degree), &chord) == RL_CHORD_OK) {
    const RlHarmony now = rl_harmony_of(rl_chord_in_key(chord, key), key);
    return rl_worth_of(midi, &now, key).role < RL_ROLE_CHORD;
  }
  return true;
}

RlTechnique
rl_view_heard_as(const RlView *const v, const RlPlayedSound *const n, double *const cents)
{
  const RlHarp harp = rl_harp_make(rl_view_harp(v));
  *cents            = n->cents;
  for (int how = 0; how < RL_TECHNIQUES; ++how) {
    const RlTechnique t    = (RlTechnique)how;
    const int         midi = harp.note[n->hole - 1][how];
    const double      off  = 100.0 * (n->midi - midi) + n->cents;
    float             low, high;
    if (midi && rl_technique_bend(t) && rl_technique_draws(t) == rl_technique_draws(n->technique) &&
        rl_view_blue_zone(v, midi, &low, &high) && off > 0 && off <= (double)high) {
      *cents = off;
      return t;
    }
  }
  return n->technique;
}

bool
rl_view_listens(const RlView *const v)
{
  return v->port[RL_PORT_HARP_FROM] > 0;
}

bool
rl_view_hit(const RlView *const v, const int hole, const RlTechnique technique, const double ticks)
{
  static const double slack = 0.01; /* quarters: places come as floats */
  bool                hit   = false;
  for (int i = 0; i < v->hits.count; ++i) {
    const RlHitReport *const h = &v->hits.hit[i];
    hit = hit || (!h->target && h->hole == hole && h->technique == technique &&
                  fabs(h->quarters - ticks / RL_TICKS) < slack);
  }
  return hit;
}

bool
rl_view_has_lane(const RlView *const v)
{
  return v->form && v->plan && v->lane && v->plan->planned_count > 0;
}

static bool
searches_charts(const RlView *const v)
{
  return v->charts.query && *v->charts.query;
}

int
rl_view_charts_listed(const RlView *const v)
{
  return !v->charts.list ? 0 : searches_charts(v) ? v->charts.found_count : v->charts.list->count;
}

int
rl_view_listed_chart(const RlView *const v, const int place)
{
  assert(place >= 0 && place < rl_view_charts_listed(v));
  return searches_charts(v) ? v->charts.found[place] : place;
}
