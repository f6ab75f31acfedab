/* SPDX-License-Identifier: ISC */
/* One bar's notes: rhythm over tab over degrees over the count, all in the same slots. */
#include "ui/model/music_signs.h"
#include "ui/paper/inside.h"

#include <math.h>
#include <string.h>

/* Sizes of words, and what stands where in a strip. */
static const double figure_size = 12.5, degree_size = 8.5, count_size = 8.5;
static const double gap = 2.5, pad_left = 5, pad_right = 2;

enum { FIGURE_HIGH = 11, DEGREE_TOP = 56, DEGREE_HIGH = 10, COUNT_TOP = 66, COUNT_HIGH = 10 };

/* ---- what stands there ---- */

static const RlLaneNote *
note_of(const RlBarNotes *const b, const RlPaperSound *const s, const int i)
{
  return &b->sheet->lane->note[s->note[i]];
}

void
rl_bar_figures(const RlLane *const lane, const RlPaperSound *const s, const bool draws,
               RlText *const text)
{
  for (int i = 0; i < s->notes; ++i) {
    const RlTab tab = lane->note[s->note[i]].tab;
    char        one[16];
    RlText      hole = rl_text_in(one, sizeof(one));
    if (rl_technique_draws((RlTechnique)tab.technique) == draws) {
      rl_tab_write(tab.hole, (RlTechnique)tab.technique, &hole);
      rl_text_add(text, text->used ? "+" : "");
      rl_text_add(text, one + draws); /* without its sign: the row says it */
    }
  }
}

/* The degree of the highest. */
static void
degree_write(const RlBarNotes *const b, const RlPaperSound *const s, RlText *const text)
{
  rl_music_signs(rl_degree_name((RlDegree)note_of(b, s, s->notes - 1)->degree), text);
}

static void
count_write(const RlSlot *const s, RlText *const text)
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
slot_needs(const RlBarNotes *const b, const RlSlot *const s)
{
  char   words[RL_PAPER_WORDS];
  double most = s->symbol < 0 ? 0 : symbol_width(&b->symbol[s->symbol]);
  if (s->sound >= 0) {
    for (int draws = 0; draws < 2; ++draws) {
      RlText text = rl_text_in(words, sizeof(words));
      rl_bar_figures(b->sheet->lane, &b->sound[s->sound], draws, &text);
      most = fmax(most, rl_paper_about(words, figure_size));
    }
    RlText text = rl_text_in(words, sizeof(words));
    degree_write(b, &b->sound[s->sound], &text);
    most = fmax(most, rl_paper_about(words, degree_size));
  }
  if (s->counted) {
    RlText text = rl_text_in(words, sizeof(words));
    count_write(s, &text);
    most = fmax(most, rl_paper_about(words, count_size));
  }
  return most + gap;
}

/* The slot at a tick, a new one if there is none. */
static RlSlot *
slot_at(RlBarNotes *const b, const int32_t at)
{
  int i = b->slots;
  while (i > 0 && b->slot[i - 1].at > at) {
    --i;
  }
  if (i > 0 && b->slot[i - 1].at == at) {
    return &b->slot[i - 1];
  }
  memmove(&b->slot[i + 1], &b->slot[i], sizeof(RlSlot) * (size_t)(b->slots - i));
  ++b->slots;
  b->slot[i] = (RlSlot){.at = at, .symbol = -1, .sound = -1};
  return &b->slot[i];
}

static void
slots_make(RlBarNotes *const b)
{
  const RlPlace *const p    = &b->bar.place;
  const int32_t        beat = rl_rhythm_beat(p->beats, p->unit);
  const int            felt = (int)rl_meter_felt(p->beats, p->unit);
  b->slots                  = 0;
  for (int i = 0; i < b->symbols; ++i) {
    const RlSymbol *const s    = &b->symbol[i];
    RlSlot *const         slot = slot_at(b, s->at);
    slot->symbol               = (int16_t)i;
    slot->sound                = s->from ? -1 : s->sound;
  }
  for (int n = 0; n < felt; ++n) {
    const int parts = rl_rhythm_count(p->beats, p->unit, n, b->symbol, b->symbols);
    for (int part = 0; part < parts; ++part) {
      RlSlot *const slot = slot_at(b, n * beat + beat / parts * part);
      slot->beat         = (uint8_t)n;
      slot->parts        = (uint8_t)parts;
      slot->part         = (uint8_t)part;
      slot->counted      = true;
    }
  }
  for (int i = 0; i < b->slots; ++i) {
    b->slot[i].needs = slot_needs(b, &b->slot[i]);
  }
}

void
rl_bar_notes(const RlSheet *const p, const RlPaperBar *const bar, const int chorus,
             RlBarNotes *const b)
{
  RlSound sound[RL_SOUNDS_MAX];
  b->sheet   = p;
  b->bar     = *bar;
  b->sounds  = rl_paper_sounds(p, bar, chorus, b->sound);
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
rl_bar_needs(const RlBarNotes *const b)
{
  double sum = b->slots ? pad_left + pad_right : 0;
  for (int i = 0; i < b->slots; ++i) {
    sum += b->slot[i].needs;
  }
  return sum;
}

static int32_t
slot_lasts(const RlBarNotes *const b, const int i)
{
  const double length = b->bar.to - b->bar.from;
  return (i + 1 < b->slots ? b->slot[i + 1].at : (int32_t)lround(length)) - b->slot[i].at;
}

/* How wide all slots are if time takes `pace` points a tick and nothing less than it needs. */
static double
slots_spread(RlBarNotes *const b, const double pace, const double shrink)
{
  double sum = 0;
  for (int i = 0; i < b->slots; ++i) {
    RlSlot *const s = &b->slot[i];
    s->x            = sum;
    s->w            = fmax(s->needs * shrink, pace * slot_lasts(b, i));
    sum += s->w;
  }
  return sum;
}

static void
slots_place(RlBarNotes *const b, const RlRect cell)
{
  enum { STEPS = 40 };
  const double wide   = cell.w - pad_left - pad_right;
  const double needs  = rl_bar_needs(b) - pad_left - pad_right;
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
  for (int i = 0; i < b->slots; ++i) { /* from here on all as wide, so that middles keep the pace */
    RlSlot *const s = &b->slot[i];
    s->x += cell.x + pad_left;
    s->needs = fmin(widest, s->w) - gap * shrink;
  }
}

static double
x_of(const RlBarNotes *const b, const RlRect cell, const double ticks)
{
  int i = 0;
  while (i + 1 < b->slots && b->slot[i + 1].at <= ticks) {
    ++i;
  }
  const RlSlot *const s = &b->slot[i];
  const double        x = s->x + (ticks - s->at) / slot_lasts(b, i) * s->w;
  return fmax(cell.x, fmin(x, cell.x + cell.w));
}

/* ---- drawing ---- */

static RlRect
row_of(const RlSlot *const s, const RlRect cell, const double top, const double high)
{
  return (RlRect){s->x, cell.y + top, s->needs, high};
}

static void
words_draw(const RlPaint *const p, const RlBarNotes *const b, const RlSlot *const s,
           const RlRect cell)
{
  static const double above = RL_TAB_LINE - 2 - FIGURE_HIGH, below = RL_TAB_LINE + 2;
  char                words[RL_PAPER_WORDS];
  RlText              text = rl_text_in(words, sizeof(words));
  for (int draws = 0; s->sound >= 0 && draws < 2; ++draws) {
    text = rl_text_in(words, sizeof(words));
    rl_bar_figures(b->sheet->lane, &b->sound[s->sound], draws, &text);
    rl_paper_write(p, row_of(s, cell, draws ? below : above, FIGURE_HIGH), figure_size * b->shrink,
                   RL_BOLD, RL_MIDDLE, words);
  }
  if (s->sound >= 0) {
    text = rl_text_in(words, sizeof(words));
    degree_write(b, &b->sound[s->sound], &text);
    rl_paper_write(p, row_of(s, cell, DEGREE_TOP, DEGREE_HIGH), degree_size * b->shrink, RL_PLAIN,
                   RL_MIDDLE, words);
  }
  if (s->counted) {
    text = rl_text_in(words, sizeof(words));
    count_write(s, &text);
    rl_paper_write(p, row_of(s, cell, COUNT_TOP, COUNT_HIGH), count_size * b->shrink,
                   s->sound >= 0 ? RL_BOLD : RL_PLAIN, RL_MIDDLE, words);
  }
}

/* On the line, as long as it sounds; hollow where it is another note, slanted into a scoop. */
static void
stroke_draw(const RlPaint *const p, const RlBarNotes *const b, const RlPaperSound *const s,
            const RlRect cell)
{
  static const double     thick = 2.4;
  const RlLaneNote *const n     = note_of(b, s, 0);
  const double            y     = cell.y + RL_TAB_LINE;
  const double            from  = s->sound.at < 0 ? cell.x : x_of(b, cell, s->sound.at);
  const double            end   = x_of(b, cell, s->sound.at + s->sound.lasts);
  const bool   slur = n->articulation & RL_ARTICULATION_SLUR && !(n->tab.marks & RL_TAB_NO_SLUR);
  const RlRect box  = {from, y - thick / 2, fmax(end - from - (slur ? 0 : 2), thick), thick};
  if (n->tab.marks & RL_TAB_IS_REPLACED) {
    rl_fill_box(p, box, thick / 2, RL_INK_PAPER);
    rl_edge_box(p, box, thick / 2, 0.8, RL_INK_PRINT);
  } else {
    rl_fill_box(p, box, thick / 2, RL_INK_PRINT);
  }
  if (n->articulation & RL_ARTICULATION_SCOOP && s->sound.at >= 0) {
    rl_paper_line(p, from - 3.5, y + 6, from + 1, y, 1.4);
  }
}

void
rl_bar_draw(const RlPaint *const p, RlBarNotes *const b, const RlRect cell)
{
  if (!b->sounds) {
    return;
  }
  slots_place(b, cell);
  for (int i = 0; i < b->sounds; ++i) {
    stroke_draw(p, b, &b->sound[i], cell);
  }
  for (int i = 0; i < b->slots; ++i) {
    words_draw(p, b, &b->slot[i], cell);
  }
  rl_notes_draw(p, b, cell.y, cell);
}
