/* SPDX-License-Identifier: ISC */
#include "ui/page/pupil.h"

#include "core/chart/form_loop.h"

#include <math.h>
#include <stddef.h>

/* What site/core.js counts on when it reads memory. */
_Static_assert(sizeof(RlPupilLamp) == 10, "LAMP in core.js");
_Static_assert(offsetof(RlPupilPlace, part) == 32 && sizeof(RlPupilPlace) == 32 + 12 * 4,
               "PLACE in core.js");
_Static_assert(sizeof(RlPupilNote) == 12, "NOTE in core.js");
_Static_assert(offsetof(RlPupilLane, note) == 8 * 4, "BAR in core.js");
_Static_assert(RL_HOLES == 10 && RL_TECHNIQUES == 10, "HOLES and TECHNIQUES in core.js");
_Static_assert(RL_TUNINGS == 6, "TUNINGS in words.js, their range in settings.js and index.html");
_Static_assert(RL_BAR_CHORDS_MAX == 8, "names of a bar's chords in chart.js and lane.js");
_Static_assert(RL_DEGREES <= 32, "RL_PUPIL_DEGREE_NOTE");
_Static_assert((int)RL_PLAN_MAX <= (int)RL_CHART_MAX, "a plan fits into the buffer for texts");

/* All that a page knows: there is one pupil to a page. */
static struct {
  char                  text[RL_CHART_MAX + 1];
  bool                  has_form, has_plan;
  RlForm                form;
  RlPlan                plan;
  RlKey                 key;
  RlHarpChoice          choice;
  RlHarp                harp;
  RlPlayer              player;
  RlHarmony             now, next;
  int                   show, sounding; /* rl_pupil_show(); 0: all */
  RlTargetLine          line;
  RlTargetLineWorkspace line_workspace;
  RlLane                lane;
  RlLaneWorkspace       lane_workspace;
  RlPupilLane           lane_bar;
  RlPupilLamp           lamp[RL_HOLES][RL_TECHNIQUES];
  RlPupilPlace          place;
  RlFormLoop            loop; /* of the host, in bars; both ends 0: none */
  uint8_t               bar[4];
} pupil;

static int
clamped(const int value, const int least, const int most)
{
  return value < least ? least : value > most ? most : value;
}

char *
rl_pupil_text(void)
{
  return pupil.text;
}

int
rl_pupil_chart(const int length)
{
  RlChartError error;
  pupil.has_form = rl_chart_read((RlSlice){pupil.text, (size_t)clamped(length, 0, RL_CHART_MAX)},
                                 &pupil.form, &error);
  return pupil.has_form;
}

int
rl_pupil_plan(const int length)
{
  const RlSlice text = {pupil.text, (size_t)clamped(length, 0, RL_PLAN_MAX)};
  RlPlanError   error;
  pupil.has_plan = rl_plan_read(text, &pupil.lane_workspace.phrase, &pupil.plan, &error) &&
                   pupil.plan.planned_count > 0;
  return pupil.has_plan;
}

void
rl_pupil_key(const int tonic, const int minor)
{
  const bool  written = pupil.has_form && pupil.form.key.minor;
  const RlKey key     = rl_key_named(tonic, minor < 0 ? written : minor > 0);
  const RlKey own     = pupil.has_form ? rl_form_key(&pupil.form, tonic) : key;
  pupil.key           = own.minor == key.minor ? own : key;
}

void
rl_pupil_player(const int key, const int range, const int tuning, const int draw_bends,
                const int blow_bends, const int overblows)
{
  pupil.choice = (RlHarpChoice){.key    = (uint8_t)clamped(key, 0, 11),
                                .range  = (int8_t)clamped(range, -1, 1),
                                .tuning = (RlTuning)clamped(tuning, 0, RL_TUNINGS - 1)};
  pupil.player = (RlPlayer){.draw_bends = (uint8_t)clamped(draw_bends, 0, 3),
                            .blow_bends = (uint8_t)clamped(blow_bends, 0, 3),
                            .overblows  = overblows != 0};
  pupil.harp   = rl_harp_make(pupil.choice);
}

void
rl_pupil_line(void)
{
  if (pupil.has_form) {
    rl_target_line_find(&pupil.form, pupil.key, &pupil.harp, pupil.player, &pupil.line_workspace,
                        &pupil.line);
  }
  if (pupil.has_form && pupil.has_plan) {
    rl_lane_make(&pupil.plan, &pupil.form, pupil.key, pupil.choice, pupil.player,
                 &pupil.lane_workspace, &pupil.lane);
  }
}

int
rl_pupil_position(void)
{
  return rl_harp_position(pupil.choice.key, rl_spelling_class(pupil.key.tonic));
}

/* ---- lamps ---- */

static RlHarmony
harmony_read(const char *const at, const int length)
{
  RlChord chord;
  return length > 0 && rl_chord_read((RlSlice){at, (size_t)length}, &chord) == RL_CHORD_OK
           ? rl_harmony_of(rl_chord_in_key(chord, pupil.key), pupil.key)
           : (RlHarmony){.sounding = false};
}

static RlTarget
target_of(const int change)
{
  const int changes = pupil.has_form ? pupil.form.changes + pupil.form.ending_changes : 0;
  return change >= 0 && change < changes ? pupil.line.target[change] : (RlTarget){0};
}

static RlShow
shown(void)
{
  return pupil.show ? (RlShow)pupil.show : RL_SHOW_ALL;
}

static RlPupilLamp
lamp_of(const RlLamp *const lamp, const RlTechnique how, const bool lit, const bool target)
{
  const RlWorth coming =
    rl_worth_shown(rl_worth_of(lamp->note, &pupil.next, pupil.key), shown(), target);
  const bool    reached = rl_player_can(pupil.player, how);
  const RlWorth worth   = lamp->worth;
  return (RlPupilLamp){
    .note        = lamp->note,
    .reached     = reached,
    .role        = lit       ? (uint8_t)worth.role
                   : reached ? RL_ROLE_OFF
                             : RL_ROLE_REACH,
    .brightness  = lit ? (uint8_t)lroundf(worth.brightness * 10) : 0,
    .degree      = (uint8_t)worth.degree,
    .blue        = lit && worth.blue,
    .comes       = lit && pupil.next.sounding && coming.role >= RL_ROLE_CHORD && reached,
    .next_degree = (uint8_t)coming.degree,
    .draws       = rl_technique_draws(how),
  };
}

void
rl_pupil_show(const int show, const int change)
{
  pupil.show     = clamped(show, 0, RL_SHOW_ALL);
  pupil.sounding = change;
}

void
rl_pupil_chords(const int now, const int next, const int lit, const int change)
{
  const int first       = clamped(now, 0, RL_CHORD_SIZE);
  pupil.now             = harmony_read(pupil.text, first);
  pupil.next            = harmony_read(pupil.text + first, clamped(next, 0, RL_CHORD_SIZE));
  RlLamps        lamps  = rl_lamps_light(&pupil.harp, pupil.player, &pupil.now, pupil.key);
  const RlTarget target = lit ? target_of(change) : (RlTarget){0};
  const RlTarget landed = target_of(pupil.sounding);
  rl_lamps_show(&lamps, shown(), landed.hole, landed.technique);
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    for (int how = 0; how < RL_TECHNIQUES; ++how) {
      const RlLamp *const lamp  = &lamps.lamp[hole][how];
      RlPupilLamp *const  to    = &pupil.lamp[hole][how];
      const bool          lands = lamp->note && target.hole == hole + 1 && target.technique == how;
      *to        = lamp->note ? lamp_of(lamp, (RlTechnique)how, lit, lands) : (RlPupilLamp){0};
      to->target = lands;
    }
  }
}

const RlPupilLamp *
rl_pupil_lamps(void)
{
  return pupil.lamp[0];
}

/* ---- places ---- */

/* Quarter notes from the first beat of bar 1 in chorus 1; NAN where the form has no such place. */
static double
quarters_at(const RlForm *const f, const int chorus, const int bar, const double beat)
{
  const bool before  = bar < -f->lead_in || !f->lead_in_from;
  const int  lead_in = before ? 0 : f->lead_in_from - 1 + f->lead_in + bar;
  const int  index   = bar < 0 ? lead_in : bar - 1;
  if (bar == 0 || bar < -9999 || (bar > 0 && chorus <= 0) || index >= f->bars + f->ending_bars) {
    return (double)NAN;
  }
  const RlPlace place = {.part   = bar < 0 ? RL_PART_LEAD_IN : RL_PART_CHORUS,
                         .chorus = chorus,
                         .bar    = bar,
                         .index  = index,
                         .unit   = f->bar[index].unit};
  return rl_form_quarters(f, &place, beat);
}

void
rl_pupil_loop(const double from, const double to)
{
  pupil.loop = (RlFormLoop){RL_AXIS_BARS, from, to};
}

/* Is a place, where a bar sounds, behind `from` and before the loop's end? Both in bars. */
static bool
in_loop(const RlPlace *const place, const double from)
{
  const double at = place->index < 0 ? (double)NAN : rl_form_bars_to(&pupil.form, place);
  return at >= from && at < pupil.loop.to;
}

/* The chords around a place, those of the loop inside one, and the bar in which the next one
   comes. */
static RlChordsAt
chords_at(const RlPlace *const place, int *const next_bar)
{
  static const double slack = 1e-3; /* of a bar */
  const RlForm *const f     = &pupil.form;
  const RlChordsAt    along = rl_form_chords_at(f, place);
  *next_bar                 = along.next < 0 ? -1 : f->change[along.next].bar;
  return in_loop(place, pupil.loop.from - slack)
           ? rl_form_loop_chords(f, &pupil.loop, rl_form_bars_to(f, place), slack, along, next_bar)
           : along;
}

const RlPupilPlace *
rl_pupil_place(const int chorus, const int bar, const double beat, const double quarters)
{
  const RlForm *const f = &pupil.form;
  const double at = pupil.has_form ? quarters_at(f, chorus, bar, beat) + quarters : (double)NAN;
  if (!(fabs(at) < 1e9)) {
    return NULL;
  }
  const RlPlace    place = rl_form_locate(f, RL_AXIS_QUARTERS, at, 1e-4);
  int              next_bar;
  const RlChordsAt chords = chords_at(&place, &next_bar);
  const double     felt   = place.beats ? rl_meter_felt(place.beats, place.unit) / place.beats : 1;
  pupil.place             = (RlPupilPlace){
                .beat       = place.beat,
                .felt       = place.beat * felt,
                .left       = chords.next < 0 ? 0 : chords.beats_to_next * felt,
                .lasts      = chords.next < 0 || place.index < 0
                                ? 0
                                : rl_form_felt_since_chord(f, &place) + chords.beats_to_next * felt,
                .part       = (int32_t)place.part,
                .chorus     = place.chorus,
                .bar        = place.bar,
                .index      = place.index,
                .beats      = place.beats,
                .unit       = place.unit,
                .felt_beats = (int32_t)ceil(rl_meter_felt(place.beats, place.unit) - 1e-9),
                .now        = chords.now,
                .next       = chords.next,
                .next_bar   = next_bar,
                .bars       = f->bars,
                .choruses   = f->choruses,
  };
  return &pupil.place;
}

/* ---- the lane ---- */

static RlPupilNote
note_of(const RlLaneNote *const n, const double at, const double lasts, const double beats)
{
  const bool replaced = n->tab.marks & RL_TAB_IS_REPLACED;
  const bool slur     = n->articulation & RL_ARTICULATION_SLUR && !(n->tab.marks & RL_TAB_NO_SLUR);
  const bool scoop    = n->articulation & RL_ARTICULATION_SCOOP;
  const bool fall     = n->articulation & RL_ARTICULATION_FALL;
  return (RlPupilNote){.at     = (float)(at * beats),
                       .lasts  = (float)(lasts * beats),
                       .hole   = n->tab.hole,
                       .how    = n->tab.technique,
                       .degree = n->degree,
                       .looks  = (uint8_t)(replaced * RL_PUPIL_REPLACED | slur * RL_PUPIL_SLUR |
                                          scoop * RL_PUPIL_SCOOP | fall * RL_PUPIL_FALL)};
}

static void
lane_fill(const RlLaneBar *const bar, RlPupilLane *const to)
{
  const RlPlace *const p     = &bar->place;
  const double         beats = p->unit / (4.0 * RL_TICKS); /* in a tick */
  RlLaneOnset          n     = rl_lane_first(&pupil.lane, &pupil.form, bar->from);
  *to                        = (RlPupilLane){.part    = (int32_t)p->part,
                                             .bar     = p->bar - (p->part == RL_PART_ENDING ? pupil.form.bars : 0),
                                             .index   = p->index,
                                             .beats   = p->beats,
                                             .unit    = p->unit,
                                             .answers = p->bar > 0 && rl_plan_answers(&pupil.plan, p->bar),
                                             .planned = -1};
  for (; n.index >= 0 && n.at < bar->to && to->notes < RL_PUPIL_NOTES;
       n = rl_lane_next(&pupil.lane, &pupil.form, n)) {
    const RlLaneNote *const note = &pupil.lane.note[n.index];
    to->planned                  = to->notes ? to->planned : note->planned;
    to->note[to->notes++]        = note_of(note, n.at - bar->from, n.lasts, beats);
  }
}

const RlPupilLane *
rl_pupil_lane(const int chorus, const int bar, const int ahead)
{
  enum { MOST = 4 };
  const RlForm *const f = &pupil.form;
  RlLaneBar           bars[MOST];
  RlPlace             place = {.part = RL_PART_NOWHERE, .index = -1};
  if (!pupil.has_form || !pupil.has_plan || ahead < 0 || ahead >= MOST) {
    return NULL;
  }
  if (bar) {
    const double at = quarters_at(f, chorus, bar, 0);
    if (!(fabs(at) < 1e9)) {
      return NULL;
    }
    place = rl_form_locate(f, RL_AXIS_QUARTERS, at, 1e-4);
  }
  const int count = in_loop(&place, floor(pupil.loop.from))
                      ? rl_lane_bars_in_loop(f, &pupil.loop, &place, ahead + 1, bars)
                      : rl_lane_bars(f, &place, ahead + 1, bars);
  if (count <= ahead) {
    return NULL;
  }
  lane_fill(&bars[ahead], &pupil.lane_bar);
  return &pupil.lane_bar;
}

/* ---- the chart ---- */

int
rl_pupil_bars(void)
{
  return pupil.has_form ? pupil.form.bars + pupil.form.ending_bars : 0;
}

const uint8_t *
rl_pupil_bar(const int index)
{
  const RlForm *const f = &pupil.form;
  if (index < 0 || index >= rl_pupil_bars()) {
    return NULL;
  }
  const RlBar *const b     = &f->bar[index];
  const bool         opens = index == 0 || index == f->bars || b->section != b[-1].section;
  const bool         ends  = index == f->bars - 1 || index == rl_pupil_bars() - 1;
  pupil.bar[0]             = b->chords;
  pupil.bar[1]             = b->beats;
  pupil.bar[2]             = b->unit;
  pupil.bar[3]             = (uint8_t)(opens | ends << 1);
  return pupil.bar;
}

/* ---- names ---- */

static void
chord_name(const RlChord chord, const bool degree, RlText *const text)
{
  const RlHarmony h = rl_harmony_of(chord, pupil.key);
  if (degree) {
    rl_harmony_degree(&h, text);
  } else {
    rl_harmony_name(&h, text);
  }
}

static void
bar_name(const int n, const bool degree, RlText *const text)
{
  const RlForm *const f     = &pupil.form;
  const int           bar   = n / RL_BAR_CHORDS_MAX;
  const int           chord = n % RL_BAR_CHORDS_MAX;
  if (n >= 0 && bar < rl_pupil_bars() && chord < f->bar[bar].chords) {
    chord_name(f->chord[f->bar[bar].first_chord + chord].chord, degree, text);
  }
}

static void
change_name(const int n, const bool degree, RlText *const text)
{
  if (pupil.has_form && n >= 0 && n < pupil.form.changes + pupil.form.ending_changes) {
    chord_name(rl_form_chord(&pupil.form, n), degree, text);
  }
}

static void
section_name(const int bar, RlText *const text)
{
  const RlForm *const f = &pupil.form;
  if (bar >= 0 && bar < rl_pupil_bars() && f->bar[bar].section < f->sections) {
    rl_text_add_slice(text, rl_form_text(f, f->section[f->bar[bar].section]));
  }
}

/* The note that a degree is against the chord now, or from 32 on the next one; against the key
   where there is no chord. */
static void
degree_note(const int n, RlText *const text)
{
  const RlHarmony *const h    = n < 32 ? &pupil.now : &pupil.next;
  const RlSpelling       root = h->sounding ? h->root : pupil.key.tonic;
  if (n >= 0 && n % 32 < RL_DEGREES) {
    rl_spelling_write(rl_degree_spelling((RlDegree)(n % 32), root), text);
  }
}

int
rl_pupil_name(const int which, const int n)
{
  const RlForm *const f    = &pupil.form;
  RlText              text = rl_text_in(pupil.text, sizeof(pupil.text));
  switch ((RlPupilName)which) {
  case RL_PUPIL_TITLE:
  case RL_PUPIL_FEEL:
    if (pupil.has_form) {
      rl_text_add_slice(&text, rl_form_text(f, which == RL_PUPIL_TITLE ? f->title : f->feel));
    }
    break;
  case RL_PUPIL_KEY:
    rl_key_write(pupil.key, &text);
    break;
  case RL_PUPIL_NOW:
  case RL_PUPIL_NOW_DEGREE:
    change_name(n, which == RL_PUPIL_NOW_DEGREE, &text);
    break;
  case RL_PUPIL_BAR:
  case RL_PUPIL_BAR_DEGREE:
    bar_name(n, which == RL_PUPIL_BAR_DEGREE, &text);
    break;
  case RL_PUPIL_SECTION:
    section_name(n, &text);
    break;
  case RL_PUPIL_DEGREE:
    rl_text_add(&text, n >= 0 && n < RL_DEGREES ? rl_degree_name((RlDegree)n) : "");
    break;
  case RL_PUPIL_DEGREE_NOTE:
    degree_note(n, &text);
    break;
  case RL_PUPIL_ROLE:
    rl_text_add(&text, n >= 0 && n < RL_ROLES ? rl_role_name((RlRole)n) : "");
    break;
  case RL_PUPIL_TUNING:
    rl_text_add(&text, n >= 0 && n < RL_TUNINGS ? rl_tuning_name((RlTuning)n) : "");
    break;
  case RL_PUPIL_PHRASE:
    if (pupil.has_plan && n >= 0 && n < pupil.plan.planned_count) {
      rl_text_add(&text, pupil.plan.phrase[pupil.plan.planned[n].phrase].title);
    }
    break;
  }
  return (int)text.used;
}
