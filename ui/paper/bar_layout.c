/* SPDX-License-Identifier: ISC */
#include "ui/paper/bar_layout.h"

#include "ui/model/music_signs.h"
#include "ui/paper/labels.h"
#include "ui/paper/pen.h"

#include <assert.h>
#include <math.h>
#include <string.h>

_Static_assert(RL_SYMBOLS_MAX <= INT16_MAX && RL_SOUNDS_MAX <= INT16_MAX,
               "a slot has its symbol and sound as int16_t");
_Static_assert(RL_LANE_NOTES_MAX <= UINT16_MAX, "a sound has its notes as uint16_t");
_Static_assert(RL_BAR_BEATS_MAX <= UINT8_MAX, "a slot has its beat as uint8_t");

const double rl_bar_figure_size = 12.5, rl_bar_degree_size = 8.5, rl_bar_count_size = 8.5;

/* Points: between slots, and at the edges of the bar. */
static const double gap = 2.5, pad_left = 5, pad_right = 2;

/* ---- words ---- */

const RlLaneNote *
rl_bar_layout_note(const RlBarLayout *const b, const RlSongSound *const s, const int i)
{
  return &b->sheet->lane->note[s->note[i]];
}

void
rl_bar_figures(const RlBarLayout *const b, const RlSongSound *const s, const bool draws,
               RlText *const text)
{
  for (int i = 0; i < s->notes; ++i) {
    const RlTab tab = rl_bar_layout_note(b, s, i)->tab;
    char        one[16];
    RlText      hole = rl_text_in(one, sizeof(one));
    if (rl_technique_draws((RlTechnique)tab.technique) == draws) {
      rl_tab_write(tab.hole, (RlTechnique)tab.technique, &hole);
      rl_text_add(text, text->used ? "+" : "");
      rl_text_add(text, one + draws); /* without its sign: the row says it */
    }
  }
}

void
rl_bar_degree(const RlBarLayout *const b, const RlSongSound *const s, RlText *const text)
{
  rl_music_signs(rl_degree_name((RlDegree)rl_bar_layout_note(b, s, s->notes - 1)->degree), text);
}

void
rl_bar_count(const RlBarSlot *const s, RlText *const text)
{
  if (s->part) {
    rl_text_add(text, rl_rhythm_word(s->parts, s->part));
  } else {
    rl_text_add_int(text, s->beat + 1);
  }
}

/* ---- slots ---- */

static double
symbol_width(const RlSymbol *const s)
{
  const bool flag = s->value >= RL_EIGHTH_NOTE && !s->beam && s->sound >= 0;
  return 8 + (s->dot ? 4 : 0) + (flag ? 5 : 0);
}

static double
slot_needs(const RlBarLayout *const b, const RlBarSlot *const s)
{
  char   words[RL_LABEL_SIZE];
  double most = s->symbol < 0 ? 0 : symbol_width(&b->symbol[s->symbol]);
  if (s->sound >= 0) {
    for (int draws = 0; draws < 2; ++draws) {
      RlText text = rl_text_in(words, sizeof(words));
      rl_bar_figures(b, &b->sound[s->sound], draws, &text);
      most = fmax(most, rl_pen_width_estimate(words, rl_bar_figure_size));
    }
    RlText text = rl_text_in(words, sizeof(words));
    rl_bar_degree(b, &b->sound[s->sound], &text);
    most = fmax(most, rl_pen_width_estimate(words, rl_bar_degree_size));
  }
  if (s->counted) {
    RlText text = rl_text_in(words, sizeof(words));
    rl_bar_count(s, &text);
    most = fmax(most, rl_pen_width_estimate(words, rl_bar_count_size));
  }
  return most + gap;
}

/* The slot at a tick, a new one if there is none. */
static RlBarSlot *
slot_at(RlBarLayout *const b, const int32_t at)
{
  int i = b->slots;
  assert(b->slots < RL_BAR_SLOTS_MAX);
  while (i > 0 && b->slot[i - 1].at > at) {
    --i;
  }
  if (i > 0 && b->slot[i - 1].at == at) {
    return &b->slot[i - 1];
  }
  memmove(&b->slot[i + 1], &b->slot[i], sizeof(RlBarSlot) * (size_t)(b->slots - i));
  ++b->slots;
  b->slot[i] = (RlBarSlot){.at = at, .symbol = -1, .sound = -1};
  return &b->slot[i];
}

static void
slots_make(RlBarLayout *const b)
{
  const RlPlace *const p    = &b->bar.place;
  const int32_t        beat = rl_rhythm_beat(p->beats, p->unit);
  const int            felt = (int)rl_meter_felt(p->beats, p->unit);
  b->slots                  = 0;
  for (int i = 0; i < b->symbols; ++i) {
    const RlSymbol *const s    = &b->symbol[i];
    RlBarSlot *const      slot = slot_at(b, s->at);
    slot->symbol               = (int16_t)i;
    slot->sound                = s->from ? -1 : s->sound;
  }
  for (int n = 0; n < felt; ++n) {
    const int parts = rl_rhythm_count(p->beats, p->unit, n, b->symbol, b->symbols);
    assert(parts >= 1 && parts <= RL_BAR_PARTS_MAX);
    for (int part = 0; part < parts; ++part) {
      RlBarSlot *const slot = slot_at(b, n * beat + beat / parts * part);
      slot->beat            = (uint8_t)n;
      slot->parts           = (uint8_t)parts;
      slot->part            = (uint8_t)part;
      slot->counted         = true;
    }
  }
  for (int i = 0; i < b->slots; ++i) {
    b->slot[i].needs = slot_needs(b, &b->slot[i]);
  }
}

void
rl_bar_layout_make(const RlSheet *const sheet, const RlSongBar *const bar, const int chorus,
                   RlBarLayout *const b)
{
  RlSound sound[RL_SOUNDS_MAX];
  b->sheet   = sheet;
  b->bar     = *bar;
  b->sounds  = rl_song_sounds(sheet, bar, chorus, b->sound);
  b->symbols = b->slots = 0;
  for (int i = 0; i < b->sounds; ++i) {
    sound[i] = b->sound[i].sound;
  }
  if (b->sounds) {
    b->symbols = rl_rhythm_write(bar->place.beats, bar->place.unit, sound, b->sounds, b->symbol);
    slots_make(b);
  }
}

double
rl_bar_layout_width(const RlBarLayout *const b)
{
  double sum = b->slots ? pad_left + pad_right : 0;
  for (int i = 0; i < b->slots; ++i) {
    sum += b->slot[i].needs;
  }
  return sum;
}

static int32_t
slot_lasts(const RlBarLayout *const b, const int i)
{
  const double length = b->bar.to - b->bar.from;
  return (i + 1 < b->slots ? b->slot[i + 1].at : (int32_t)lround(length)) - b->slot[i].at;
}

/* Places the slots from 0 on, each `pace` points a tick wide but no less than it needs; how wide
   all of them are. */
static double
slots_spread(RlBarLayout *const b, const double pace, const double shrink)
{
  double sum = 0;
  for (int i = 0; i < b->slots; ++i) {
    RlBarSlot *const s = &b->slot[i];
    s->x               = sum;
    s->w               = fmax(s->needs * shrink, pace * slot_lasts(b, i));
    sum += s->w;
  }
  return sum;
}

void
rl_bar_layout_place(RlBarLayout *const b, const RlRect cell)
{
  enum { STEPS = 40 };
  assert(b->slots > 0 && b->bar.to > b->bar.from);
  const double wide   = cell.w - pad_left - pad_right;
  const double needs  = rl_bar_layout_width(b) - pad_left - pad_right;
  const double shrink = needs > wide ? wide / needs : 1;
  double       low    = 0;
  double       high   = wide / (b->bar.to - b->bar.from);
  for (int i = 0; i < STEPS && shrink >= 1; ++i) {
    const double middle = (low + high) / 2;
    if (slots_spread(b, middle, 1) > wide) {
      high = middle;
    } else {
      low = middle;
    }
  }
  slots_spread(b, low, shrink);
  b->shrink     = shrink;
  double widest = 0;
  for (int i = 0; i < b->slots; ++i) {
    widest = fmax(widest, b->slot[i].needs);
  }
  for (int i = 0; i < b->slots; ++i) { /* columns are alike, so that their middles keep the pace */
    RlBarSlot *const s = &b->slot[i];
    s->x += cell.x + pad_left;
    s->column = fmin(widest, s->w) - gap * shrink;
  }
}

double
rl_bar_layout_x(const RlBarLayout *const b, const RlRect cell, const double ticks)
{
  int i = 0;
  assert(b->slots > 0);
  while (i + 1 < b->slots && b->slot[i + 1].at <= ticks) {
    ++i;
  }
  const RlBarSlot *const s = &b->slot[i];
  const double           x = s->x + (ticks - s->at) / slot_lasts(b, i) * s->w;
  return fmax(cell.x, fmin(x, cell.x + cell.w));
}
