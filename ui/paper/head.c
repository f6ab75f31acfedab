/* SPDX-License-Identifier: ISC */
/* The sheet's words: what song this is, for whom, how to read it, and where phrases come from. */
#include "ui/model/music_signs.h"
#include "ui/paper/inside.h"

#include <math.h>
#include <string.h>

/* ---- the song ---- */

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
key_write(const RlKey key, RlText *const text)
{
  char   ascii[RL_NAME_SIZE];
  RlText name = rl_text_in(ascii, sizeof(ascii));
  rl_key_write(key, &name);
  rl_music_signs(ascii, text);
}

static void
counted_write(const int count, const char *const one, const char *const more, RlText *const text)
{
  rl_text_add_int(text, count);
  rl_text_add(text, count == 1 ? one : more);
}

static void
song_write(const RlSheet *const p, RlText *const text)
{
  const RlForm *const f = p->form;
  rl_text_add(text, "Song in ");
  key_write(p->key, text);
  rl_text_add(text, ", ");
  counted_write(f->bars, " bar", " bars", text);
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

/* How it feels; swung eighths are written even, so that is said. */
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
                    : swings ? " Of two eighths the first is longer (swung)."
                             : "");
}

/* How the song begins and ends. */
static void
course_write(const RlForm *const f, RlText *const text)
{
  if (f->lead_in) {
    rl_text_add(text, text->used ? " " : "");
    rl_text_add(text, "Lead-in: ");
    counted_write(f->lead_in, " bar", " bars", text);
    if (f->lead_in_from) {
      rl_text_add(text, " as from bar ");
      rl_text_add_int(text, f->lead_in_from);
    }
    rl_text_add(text, ".");
  }
  if (f->choruses) {
    rl_text_add(text, text->used ? " " : "");
    counted_write(f->choruses, " chorus", " choruses", text);
    rl_text_add(text, f->ending_bars ? ", then the ending." : ", then it is over.");
  }
}

/* ---- the player ---- */

void
rl_paper_harp(const RlSheet *const p, RlText *const text)
{
  static const char *const ordinals[] = {"1st", "2nd", "3rd", "4th",  "5th",  "6th",
                                         "7th", "8th", "9th", "10th", "11th", "12th"};
  const int position = rl_harp_position(p->harp.key, rl_spelling_class(p->key.tonic));
  rl_text_add(text, p->harp.range < 0 ? "low " : p->harp.range > 0 ? "high " : "");
  key_write(rl_key_named(p->harp.key, false), text);
  rl_text_add(text, " harp, ");
  rl_text_add(text, ordinals[position - 1]);
  rl_text_add(text, " position");
}

/* `2 half steps`, `none`. */
static void
depth_write(const int depth, RlText *const text)
{
  if (depth) {
    counted_write(depth, " half step", " half steps", text);
  } else {
    rl_text_add(text, "none");
  }
}

static void
player_write(const RlSheet *const p, RlText *const text)
{
  const RlPlayer m = p->player;
  rl_text_add(text, rl_tuning_name(p->harp.tuning));
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

/* Large; a long one in two lines. */
static void
title_draw(const RlFlow *const f, const RlRect box)
{
  static const double squeeze = 1.3;
  const RlStyle       large   = {23, RL_BOLD, RL_INK_PRINT, RL_LEFT};
  const RlStyle       small   = {12, RL_BOLD, RL_INK_PRINT, RL_LEFT};
  const RlForm *const form    = f->sheet->form;
  char                words[RL_PAPER_WORDS];
  RlText              text = rl_text_in(words, sizeof(words));
  rl_text_add_slice(&text, rl_form_text(form, form->title));
  rl_text_add(&text, text.used ? "" : "Untitled");
  if (rl_write_width(&f->paint, large, words) > squeeze * box.w) {
    rl_write_lines(&f->paint, box, small, words, 2);
  } else {
    rl_write(&f->paint, box, large, words);
  }
}

static void
head_flow(RlFlow *const f)
{
  const RlSheet *const p = f->sheet;
  char                 words[RL_PAPER_WORDS];
  RlRect               box;
  RlText               text = rl_text_in(words, sizeof(words));
  if (!rl_flow_reserve(f, 42, &box)) {
    return;
  }
  RlRect       top    = rl_rect_cut_top(&box, 28);
  RlRect       below  = rl_rect_cut_top(&box, 13);
  const RlRect harp   = rl_rect_cut_right(&top, 190);
  const RlRect player = rl_rect_cut_right(&below, 285);
  top.w -= 10;
  below.w -= 10;
  title_draw(f, top);
  text = rl_text_in(words, sizeof(words));
  rl_paper_harp(p, &text);
  rl_paper_write(&f->paint, harp, 15, RL_BOLD, RL_RIGHT, words);
  text = rl_text_in(words, sizeof(words));
  song_write(p, &text);
  rl_paper_write(&f->paint, below, 10, RL_PLAIN, RL_LEFT, words);
  text = rl_text_in(words, sizeof(words));
  player_write(p, &text);
  rl_paper_write(&f->paint, player, 9, RL_PLAIN, RL_RIGHT, words);
}

void
rl_paper_head(RlFlow *const f)
{
  char   words[RL_PAPER_WORDS];
  RlText text = rl_text_in(words, sizeof(words));
  RlRect gap;
  head_flow(f);
  feel_write(f->sheet->form, &text);
  course_write(f->sheet->form, &text);
  rl_flow_words(f, 10, words);
  rl_flow_reserve(f, 2 + 6 * f->tight, &gap);
}

/* ---- how the tab is read ---- */

static bool
any_note(const RlSheet *const p, const unsigned articulation, const unsigned mark, const bool over)
{
  bool any = false;
  for (int i = 0; i < p->lane->notes && !any; ++i) {
    const RlLaneNote *const n = &p->lane->note[i];
    any                       = (n->articulation & articulation) || (n->tab.marks & mark) ||
          (over && (n->tab.technique == RL_OVERBLOW || n->tab.technique == RL_OVERDRAW));
  }
  return any;
}

static bool
any_together(const RlLane *const lane)
{
  bool any = false;
  for (int i = 0; i + 1 < lane->notes && !any; ++i) {
    any = lane->note[i].at == lane->note[i + 1].at &&
          lane->note[i].planned == lane->note[i + 1].planned;
  }
  return any;
}

static void
tab_say(RlFlow *const f)
{
  const RlSheet *const p = f->sheet;
  char                 words[2 * RL_PAPER_WORDS];
  RlText               text = rl_text_in(words, sizeof(words));
  rl_text_add(&text, "Number above the line: blow that hole. Below the line: draw. Each stroke ' "
                     "bends it half a step down. ");
  rl_text_add(&text, any_together(p->lane) ? "2+3: both at once. " : "");
  rl_text_add(&text, any_note(p, 0, 0, true) ? "o: overblow; drawn: overdraw. " : "");
  rl_text_add(&text,
              any_note(p, RL_ARTICULATION_SCOOP, 0, false) ? "/ before it: scoop into it. " : "");
  rl_text_add(&text, "The line is thick as long as the note lasts");
  rl_text_add(&text, any_note(p, 0, RL_TAB_IS_REPLACED, false)
                       ? ", hollow where it is another note than in the phrase. "
                       : ". ");
  rl_text_add(&text, "Under the tab: the note's degree against the chord (R is the root), then the "
                     "count, bold where a note begins.");
  rl_flow_words(f, 8.5, words);
}

/* ---- where each phrase comes from ---- */

/* By what it was moved, and from where to where. */
static void
move_write(const RlSheet *const p, const RlPlanned *const planned, RlText *const text)
{
  const RlPhrase *const phrase = &p->workspace->phrase;
  const RlHarmony       before = rl_harmony_of(phrase->chord[0].chord, p->key);
  rl_text_add(text, rl_move_name((RlMove)planned->move));
  if (planned->move == RL_MOVE_CHORD && p->workspace->over[0].sounding) {
    char   from[RL_CHORD_SIZE], to[RL_CHORD_SIZE];
    RlText was = rl_text_in(from, sizeof(from));
    RlText is  = rl_text_in(to, sizeof(to));
    rl_harmony_name(&before, &was);
    rl_harmony_name(&p->workspace->over[0], &is);
    rl_text_add(text, strcmp(from, to) != 0 ? ", from " : ", which is its own: ");
    rl_music_signs(from, text);
    rl_text_add(text, strcmp(from, to) != 0 ? " to " : "");
    rl_music_signs(strcmp(from, to) != 0 ? to : "", text);
  } else if (planned->move == RL_MOVE_KEY) {
    rl_text_add(text, ", from ");
    key_write(phrase->key, text);
    rl_text_add(text, " to ");
    key_write(p->key, text);
  }
}

static void
more_write(const int count, const char *const one, const char *const more, RlText *const text)
{
  if (count) {
    rl_text_add(text, "; ");
    counted_write(count, one, more, text);
  }
}

/* What became of its notes. */
static void
fate_write(const RlSheet *const p, const int planned, RlText *const text)
{
  int played   = 0;
  int followed = 0;
  int replaced = 0;
  int octaves  = 0;
  for (int i = 0; i < p->lane->notes; ++i) {
    const RlLaneNote *const n = &p->lane->note[i];
    if (n->planned == planned) {
      octaves = played ? octaves : n->tab.octaves;
      followed += n->followed;
      replaced += (n->tab.marks & RL_TAB_IS_REPLACED) != 0;
      ++played;
    }
  }
  if (octaves) {
    rl_text_add(text, octaves == 1 || octaves == -1 ? "; an octave " : "; two octaves or more ");
    rl_text_add(text, octaves > 0 ? "higher" : "lower");
  }
  more_write(followed, " note follows the chord", " notes follow the chord", text);
  more_write(replaced, " note is another one (hollow)", " notes are other ones (hollow)", text);
  more_write(p->workspace->phrase.notes - played, " note is left out", " notes are left out", text);
}

static void
phrase_say(RlFlow *const f, const int planned)
{
  const RlSheet *const   p = f->sheet;
  const RlPlanned *const n = &p->plan->planned[planned];
  char                   words[RL_PAPER_WORDS];
  RlText                 text = rl_text_in(words, sizeof(words));
  if (rl_lane_move(p->plan, planned, p->form, p->key, p->workspace)) {
    const RlPlanned where = {
      .bar = n->bar, .beat = n->beat, .choruses = n->choruses, .move = RL_MOVE_CHORD};
    rl_plan_line(&where, p->plan->phrase[n->phrase].title, &text);
    rl_text_add(&text, ", ");
    move_write(p, n, &text);
    fate_write(p, planned, &text);
    rl_flow_words(f, 8.5, words);
  }
}

void
rl_paper_reading(RlFlow *const f)
{
  const RlSheet *const p = f->sheet;
  RlRect               gap;
  if (!p->lane || !p->lane->notes) {
    return;
  }
  rl_flow_reserve(f, 2 + 4 * f->tight, &gap);
  tab_say(f);
  for (int bar = 1; bar <= p->form->bars + p->form->ending_bars; ++bar) {
    for (int i = 0; i < p->plan->planned_count; ++i) {
      if (p->plan->planned[i].bar == bar) {
        phrase_say(f, i);
      }
    }
  }
}
