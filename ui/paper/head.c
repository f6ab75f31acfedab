/* SPDX-License-Identifier: ISC */
#include "ui/paper/head.h"

#include "ui/paper/labels.h"
#include "ui/paper/pen.h"

#include <math.h>
#include <string.h>

enum { HARP_WIDTH = 190 /* points */, TITLE_SIZE = 1024 };

/* ---- the song ---- */

/* Does it contain the word, which is lower case, in any case? */
static bool
slice_has(const RlSlice slice, const char *const word)
{
  const size_t n     = strlen(word);
  bool         found = false;
  for (size_t i = 0; i + n <= slice.length && !found; ++i) {
    size_t k = 0;
    while (k < n && (slice.at[i + k] | 0x20) == word[k]) {
      ++k;
    }
    found = k == n;
  }
  return found;
}

static void
song_write(const RlSheet *const sheet, RlText *const text)
{
  const RlForm *const f = sheet->form;
  rl_text_add(text, "Song in ");
  rl_label_key(sheet->key, text);
  rl_text_add(text, ", ");
  rl_label_count(f->bars, " bar", " bars", text);
  rl_text_add(text, ", ");
  rl_text_add_int(text, f->meter_beats);
  rl_text_add(text, "/");
  rl_text_add_int(text, f->meter_unit);
  if (f->tempo > 0) {
    rl_text_add(text, ", ");
    rl_text_add_int(text, lround(f->tempo));
    rl_text_add(text, " beats a minute");
  }
}

/* The feel; the sheet writes swung eighths as even ones, so it says so. */
static void
feel_write(const RlForm *const f, RlText *const text)
{
  static const char *const swung[] = {"swing", "swung", "shuffle"};
  const RlSlice            feel    = rl_form_text(f, f->feel);
  const bool               threes  = rl_meter_felt(f->meter_beats, f->meter_unit) < f->meter_beats;
  bool                     swings  = false;
  for (int i = 0; i < 3; ++i) {
    swings = swings || slice_has(feel, swung[i]);
  }
  if (feel.length) {
    rl_text_add(text, "Feel: ");
    rl_text_add_slice(text, feel);
    rl_text_add(text, ".");
  }
  rl_text_add(text, threes   ? " Each beat is three eighths."
                    : swings ? " Swing the eighths: the first is longer."
                             : "");
}

/* How the song begins and ends. */
static void
form_write(const RlForm *const f, RlText *const text)
{
  if (f->lead_in) {
    rl_text_add(text, text->used ? " " : "");
    rl_text_add(text, "Lead-in: ");
    rl_label_count(f->lead_in, " bar", " bars", text);
    if (f->lead_in_from) {
      rl_text_add(text, ", like the form from bar ");
      rl_text_add_int(text, f->lead_in_from);
    }
    rl_text_add(text, ".");
  }
  if (f->choruses) {
    rl_text_add(text, text->used ? " " : "");
    rl_label_count(f->choruses, " chorus", " choruses", text);
    rl_text_add(text, f->ending_bars ? ", then the ending." : ", then the song ends.");
  }
}

/* ---- the player ---- */

/* `2 half steps`, `none`. */
static void
depth_write(const int depth, RlText *const text)
{
  if (depth) {
    rl_label_count(depth, " half step", " half steps", text);
  } else {
    rl_text_add(text, "none");
  }
}

static void
player_write(const RlSheet *const sheet, RlText *const text)
{
  const RlPlayer m = sheet->player;
  rl_text_add(text, rl_tuning_name(sheet->harp.tuning));
  rl_text_add(text, " tuning, ");
  if (!m.draw_bends && !m.blow_bends) {
    rl_text_add(text, "no bends");
  } else if (m.draw_bends == m.blow_bends) {
    rl_text_add(text, "bends to ");
    depth_write(m.draw_bends, text);
  } else {
    rl_text_add(text, "draw bends: ");
    depth_write(m.draw_bends, text);
    rl_text_add(text, ", blow: ");
    depth_write(m.blow_bends, text);
  }
  rl_text_add(text, m.overblows ? ", overblows" : ", no overblows");
}

/* The width of the title's box. */
static double
title_width(const RlFlow *const f)
{
  return f->text.w - HARP_WIDTH - 10;
}

static const double title_small = 12;

/* Is the title too long for two small lines? By the estimate, which needs no font. */
static bool
title_long(const RlFlow *const f)
{
  char   words[TITLE_SIZE];
  RlText text = rl_text_in(words, sizeof(words));
  rl_text_add_slice(&text, rl_form_text(f->sheet->form, f->sheet->form->title));
  return rl_pen_width_estimate(words, title_small) > 2 * title_width(f);
}

/* A title of two lines, cut where it is longer. */
static void
title_cut(const RlFlow *const f, RlRect box, const char *const words)
{
  const RlStyle style = {title_small, RL_BOLD, RL_INK_PRINT, RL_LEFT};
  const RlRect  upper = rl_rect_cut_top(&box, box.h / 2);
  char          first[RL_LABEL_SIZE], rest[RL_LABEL_SIZE];
  RlText        one = rl_text_in(first, sizeof(first));
  size_t        fit = 0;
  for (size_t n = 1; n < strlen(words); ++n) { /* whole words */
    if (words[n] == ' ') {
      one = rl_text_in(first, sizeof(first));
      rl_text_add_slice(&one, (RlSlice){words, n});
      fit = rl_write_width(&f->paint, style, first) <= box.w ? n : fit;
    }
  }
  one = rl_text_in(first, sizeof(first));
  rl_text_add_slice(&one, (RlSlice){words, fit ? fit : strlen(words)});
  rl_pen_shorten(&f->paint, style, box.w, &one);
  rl_write(&f->paint, upper, style, first);
  RlText two = rl_text_in(rest, sizeof(rest));
  rl_text_add(&two, fit ? words + fit + 1 : "");
  rl_pen_shorten(&f->paint, style, box.w, &two);
  rl_write(&f->paint, box, style, rest);
}

/* In large letters; a title too long for that in two small lines. One too long for these is cut,
   and stands below in full. */
static void
title_draw(const RlFlow *const f, const RlRect box)
{
  static const double squeeze = 1.3; /* a line may be shrunk by that much */
  const RlStyle       large   = {23, RL_BOLD, RL_INK_PRINT, RL_LEFT};
  const RlStyle       small   = {title_small, RL_BOLD, RL_INK_PRINT, RL_LEFT};
  const RlForm *const form    = f->sheet->form;
  char                words[RL_LABEL_SIZE];
  RlText              text = rl_text_in(words, sizeof(words));
  rl_text_add_slice(&text, rl_form_text(form, form->title));
  rl_text_add(&text, text.used ? "" : "Untitled");
  if (title_long(f)) {
    title_cut(f, box, words);
  } else if (rl_write_width(&f->paint, large, words) > squeeze * box.w) {
    rl_write_lines(&f->paint, box, small, words, 2);
  } else {
    rl_write(&f->paint, box, large, words);
  }
}

static void
head_draw(RlFlow *const f)
{
  const RlSheet *const sheet = f->sheet;
  char                 words[RL_LABEL_SIZE];
  RlRect               box;
  RlText               text = rl_text_in(words, sizeof(words));
  if (!rl_flow_reserve(f, 42, &box)) {
    return;
  }
  RlRect       top    = rl_rect_cut_top(&box, 28);
  RlRect       below  = rl_rect_cut_top(&box, 13);
  const RlRect harp   = rl_rect_cut_right(&top, HARP_WIDTH);
  const RlRect player = rl_rect_cut_right(&below, 285);
  top.w -= 10;
  below.w -= 10;
  title_draw(f, top);
  text = rl_text_in(words, sizeof(words));
  rl_label_harp(sheet, &text);
  rl_pen_write(&f->paint, harp, 15, RL_BOLD, RL_RIGHT, words);
  text = rl_text_in(words, sizeof(words));
  song_write(sheet, &text);
  rl_pen_write(&f->paint, below, 10, RL_PLAIN, RL_LEFT, words);
  text = rl_text_in(words, sizeof(words));
  player_write(sheet, &text);
  rl_pen_write(&f->paint, player, 9, RL_PLAIN, RL_RIGHT, words);
}

void
rl_head_add(RlFlow *const f)
{
  char   words[TITLE_SIZE];
  RlText text = rl_text_in(words, sizeof(words));
  RlRect gap;
  head_draw(f);
  if (title_long(f)) {
    rl_text_add(&text, "Title: ");
    rl_text_add_slice(&text, rl_form_text(f->sheet->form, f->sheet->form->title));
    rl_flow_paragraph(f, 10, words);
    text = rl_text_in(words, sizeof(words));
  }
  feel_write(f->sheet->form, &text);
  form_write(f->sheet->form, &text);
  rl_flow_paragraph(f, 10, words);
  rl_flow_reserve(f, 2 + 6 * f->spacing, &gap);
}
