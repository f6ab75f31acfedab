/* SPDX-License-Identifier: ISC */
#include "ui/paper/bar.h"

#include "ui/paper/labels.h"
#include "ui/paper/notes.h"
#include "ui/paper/pen.h"

#include <assert.h>
#include <math.h>

/* Points, as those in bar.h. */
enum { FIGURE_HEIGHT = 11, DEGREE_TOP = 56, DEGREE_HEIGHT = 10, COUNT_TOP = 66, COUNT_HEIGHT = 10 };

_Static_assert(COUNT_TOP + (int)COUNT_HEIGHT <= (int)RL_BAR_STRIP_HEIGHT,
               "the count stands inside its strip");
_Static_assert((int)RL_BAR_TAB_FOOT <= (int)DEGREE_TOP, "degrees stand below the tab");

static RlRect
row_of(const RlBarSlot *const s, const RlRect cell, const double top, const double high)
{
  return (RlRect){s->x, cell.y + top, s->column, high};
}

static void
words_draw(const RlPaint *const p, const RlBarLayout *const b, const RlBarSlot *const s,
           const RlRect cell)
{
  static const double above = RL_BAR_TAB_LINE - 2 - FIGURE_HEIGHT, below = RL_BAR_TAB_LINE + 2;
  char                words[RL_LABEL_SIZE];
  RlText              text = rl_text_in(words, sizeof(words));
  for (int draws = 0; s->sound >= 0 && draws < 2; ++draws) {
    text = rl_text_in(words, sizeof(words));
    rl_bar_figures(b, &b->sound[s->sound], draws, &text);
    rl_pen_write(p, row_of(s, cell, draws ? below : above, FIGURE_HEIGHT),
                 rl_bar_figure_size * b->shrink, RL_BOLD, RL_MIDDLE, words);
  }
  if (s->sound >= 0) {
    text = rl_text_in(words, sizeof(words));
    rl_bar_degree(b, &b->sound[s->sound], &text);
    rl_pen_write(p, row_of(s, cell, DEGREE_TOP, DEGREE_HEIGHT), rl_bar_degree_size * b->shrink,
                 RL_PLAIN, RL_MIDDLE, words);
  }
  if (s->counted) {
    text = rl_text_in(words, sizeof(words));
    rl_bar_count(s, &text);
    rl_pen_write(p, row_of(s, cell, COUNT_TOP, COUNT_HEIGHT), rl_bar_count_size * b->shrink,
                 s->sound >= 0 ? RL_BOLD : RL_PLAIN, RL_MIDDLE, words);
  }
}

/* A sound as a thick piece of the line, as long as it lasts; hollow where it is another note than
   in the phrase, a short slant before it for a scoop, and for a fall behind it, in the bar in which
   it ends. */
static void
stroke_draw(const RlPaint *const p, const RlBarLayout *const b, const RlSongSound *const s,
            const RlRect cell)
{
  static const double     thick = 2.4;
  const RlLaneNote *const n     = rl_bar_layout_note(b, s, 0);
  const double            y     = cell.y + RL_BAR_TAB_LINE;
  const double            from  = s->sound.at < 0 ? cell.x : rl_bar_layout_x(b, cell, s->sound.at);
  const double            end   = rl_bar_layout_x(b, cell, s->sound.at + s->sound.lasts);
  const bool   slur = n->articulation & RL_ARTICULATION_SLUR && !(n->tab.marks & RL_TAB_NO_SLUR);
  const RlRect box  = {from, y - thick / 2, fmax(end - from - (slur ? 0 : 2), thick), thick};
  if (n->tab.marks & RL_TAB_IS_REPLACED) {
    rl_fill_box(p, box, thick / 2, RL_INK_PAPER);
    rl_edge_box(p, box, thick / 2, 0.8, RL_INK_PRINT);
  } else {
    rl_fill_box(p, box, thick / 2, RL_INK_PRINT);
  }
  if (n->articulation & RL_ARTICULATION_SCOOP && s->sound.at >= 0) {
    rl_pen_line(p, from - 3.5, y + 6, from + 1, y, 1.4);
  }
  if (n->articulation & RL_ARTICULATION_FALL &&
      s->sound.at + s->sound.lasts <= lround(b->bar.to - b->bar.from)) {
    rl_pen_line(p, box.x + box.w - 1, y, box.x + box.w + 3.5, y + 6, 1.4);
  }
}

void
rl_bar_draw(const RlPaint *const p, RlBarLayout *const b, const RlRect cell)
{
  assert(cell.w > 0);
  if (!b->sounds) {
    return;
  }
  rl_bar_layout_place(b, cell);
  for (int i = 0; i < b->sounds; ++i) {
    stroke_draw(p, b, &b->sound[i], cell);
  }
  for (int i = 0; i < b->slots; ++i) {
    words_draw(p, b, &b->slot[i], cell);
  }
  rl_notes_draw(p, b, cell.y, cell);
}
