/* SPDX-License-Identifier: ISC */
#include "ui/paper/legend.h"

#include "ui/model/music_signs.h"
#include "ui/paper/labels.h"
#include "ui/paper/song.h"

#include <assert.h>
#include <string.h>

/* ---- how the tab is read ---- */

/* Has any note one of these articulations, one of these marks or, with `over`, is it an overblow or
   overdraw? */
static bool
any_note(const RlSheet *const sheet, const unsigned articulation, const unsigned mark,
         const bool over)
{
  bool any = false;
  for (int i = 0; i < sheet->lane->notes && !any; ++i) {
    const RlLaneNote *const n = &sheet->lane->note[i];
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

/* Does the pupil answer in any bar? */
static bool
any_answer(const RlSheet *const sheet)
{
  bool any = false;
  for (int bar = 1; bar <= sheet->form->bars + sheet->form->ending_bars && !any; ++bar) {
    any = sheet->plan && rl_plan_answers(sheet->plan, bar);
  }
  return any;
}

static void
tab_write(const RlSheet *const sheet, RlText *const text)
{
  rl_text_add(text, "Number above the line: blow that hole; below: draw. Each ' bends it half "
                    "a step down. ");
  rl_text_add(text, any_together(sheet->lane) ? "2+3: both at once. " : "");
  rl_text_add(text, any_note(sheet, 0, 0, true) ? "o: overblow; below the line: overdraw. " : "");
  rl_text_add(
    text, any_note(sheet, RL_ARTICULATION_SCOOP, 0, false) ? "/ before it: scoop into it. " : "");
  rl_text_add(text,
              any_note(sheet, RL_ARTICULATION_FALL, 0, false) ? "\\ behind it: let it fall. " : "");
  rl_text_add(text, "The line is thick while the note lasts");
  rl_text_add(text, any_note(sheet, 0, RL_TAB_IS_REPLACED, false)
                      ? ", hollow where the note differs from the phrase. "
                      : ". ");
  rl_text_add(text,
              "Under the tab: the degree against the chord (R: the root), then the count, bold "
              "where a note begins. ");
}

void
rl_legend_key_add(RlFlow *const f)
{
  const RlSheet *const sheet   = f->sheet;
  const bool           tab     = sheet->lane && sheet->lane->notes;
  const bool           answers = any_answer(sheet);
  char                 words[2 * RL_LABEL_SIZE];
  RlText               text = rl_text_in(words, sizeof(words));
  RlRect               gap;
  if (!tab && !answers) {
    return;
  }
  if (tab) {
    tab_write(sheet, &text);
  }
  rl_text_add(&text, answers ? "answer: the pupil plays." : "");
  rl_flow_reserve(f, 2 + 4 * f->spacing, &gap);
  rl_flow_paragraph(f, 8.5, words);
}

/* ---- what became of each phrase ---- */

/* How it was moved, and from where to where; false if its chord is that of the bar already. */
static bool
move_write(const RlSheet *const sheet, const RlPlanned *const planned, RlText *const text)
{
  const RlPhrase *const phrase = &sheet->workspace->phrase;
  const RlHarmony       before = rl_harmony_of(phrase->chord[0].chord, sheet->key);
  rl_text_add(text, rl_move_name((RlMove)planned->move));
  if (planned->move == RL_MOVE_CHORD && sheet->workspace->over[0].sounding) {
    char   from[RL_CHORD_SIZE], to[RL_CHORD_SIZE];
    RlText was = rl_text_in(from, sizeof(from));
    RlText is  = rl_text_in(to, sizeof(to));
    rl_harmony_name(&before, &was);
    rl_harmony_name(&sheet->workspace->over[0], &is);
    const bool moved = strcmp(from, to) != 0;
    rl_text_add(text, moved ? ", from " : ", already over ");
    rl_music_signs(from, text);
    rl_text_add(text, moved ? " to " : "");
    rl_music_signs(moved ? to : "", text);
    return moved;
  }
  if (planned->move == RL_MOVE_KEY) {
    rl_text_add(text, ", from ");
    rl_label_key(phrase->key, text);
    rl_text_add(text, " to ");
    rl_label_key(sheet->key, text);
  }
  return true;
}

static void
optional_count_write(const int count, const char *const one, const char *const more,
                     RlText *const text)
{
  if (count) {
    rl_text_add(text, "; ");
    rl_label_count(count, one, more, text);
  }
}

/* What of its tune a phrase has no room for. */
static void
left_write(const RlPlan *const plan, const int phrase, RlText *const text)
{
  char   words[RL_LABEL_SIZE * 4];
  RlText left = rl_text_in(words, sizeof(words));
  rl_abc_left_write(&plan->phrase[phrase].left, &left);
  rl_text_add(text, left.used ? "; " : "");
  rl_text_add(text, words);
}

/* What became of its notes: moved by octaves, changed for the chord, replaced, left out. */
static void
changes_write(const RlSheet *const sheet, const int planned, RlText *const text)
{
  const RlLanePhrase *const own      = &sheet->lane->phrase[planned];
  int                       followed = 0;
  int                       replaced = 0;
  int                       octaves  = 0;
  for (int i = own->first; i < own->first + own->notes; ++i) {
    const RlLaneNote *const n = &sheet->lane->note[i];
    octaves                   = i > own->first ? octaves : n->tab.octaves;
    followed += n->followed;
    replaced += (n->tab.marks & RL_TAB_IS_REPLACED) != 0;
  }
  if (octaves) {
    rl_text_add(text, octaves == 1 || octaves == -1 ? "; an octave " : "; two octaves or more ");
    rl_text_add(text, octaves > 0 ? "higher" : "lower");
  }
  optional_count_write(followed, " note changed to fit the chord",
                       " notes changed to fit the chord", text);
  optional_count_write(replaced, " note replaced (hollow)", " notes replaced (hollow)", text);
  optional_count_write(sheet->workspace->phrase.notes - own->notes, " note left out",
                       " notes left out", text);
}

/* Where another phrase, or the end of the song, cuts it short or plays in its place. */
static void
cuts_write(const RlSheet *const sheet, const int planned, RlText *const text)
{
  RlSongCut cuts[RL_SONG_VERSIONS_MAX];
  const int count = rl_song_cuts(sheet, planned, cuts);
  for (int i = 0; i < count; ++i) {
    const RlLaneFate *const fate = &cuts[i].fate;
    const bool              all  = fate->lost == sheet->lane->phrase[planned].notes;
    rl_text_add(text, all ? "; not played" : "; cut short");
    rl_text_add(text, cuts[i].name[0] ? " in " : "");
    rl_text_add(text, cuts[i].name);
    rl_text_add(text, all ? ", because of " : " by ");
    if (fate->by >= 0) {
      const RlPlanned *const by    = &sheet->plan->planned[fate->by];
      const RlPlanned        where = {.bar = by->bar, .beat = by->beat, .move = RL_MOVE_CHORD};
      rl_plan_line(&where, sheet->plan->phrase[by->phrase].title, text);
    } else {
      rl_text_add(text, "the end of the song");
    }
    if (!all) {
      optional_count_write(fate->lost, " note is lost", " notes are lost", text);
    }
  }
}

static void
phrase_add(RlFlow *const f, const int planned)
{
  const RlSheet *const sheet = f->sheet;
  assert(planned >= 0 && planned < sheet->plan->planned_count);
  enum { WORDS_SIZE = 4096 };
  const RlPlanned *const n = &sheet->plan->planned[planned];
  char                   words[WORDS_SIZE];
  RlText                 text = rl_text_in(words, sizeof(words));
  if (rl_lane_move(sheet->plan, planned, sheet->form, sheet->key, sheet->workspace)) {
    const RlPlanned where = {
      .bar = n->bar, .beat = n->beat, .choruses = n->choruses, .move = RL_MOVE_CHORD};
    rl_plan_line(&where, sheet->plan->phrase[n->phrase].title, &text);
    rl_text_add(&text, ", ");
    const bool   moved = move_write(sheet, n, &text);
    const size_t said  = text.used;
    changes_write(sheet, planned, &text);
    rl_text_add(&text, !moved && text.used == said ? ", unchanged" : "");
    left_write(sheet->plan, n->phrase, &text);
    cuts_write(sheet, planned, &text);
    rl_flow_paragraph(f, 8.5, words);
  }
}

/* Of two phrases of one title one is never played. */
static void
twice_add(RlFlow *const f)
{
  const RlPlan *const plan = f->sheet->plan;
  const int           at   = rl_plan_twice(plan);
  char                words[RL_LABEL_SIZE];
  RlText              text = rl_text_in(words, sizeof(words));
  if (at >= 0) {
    rl_text_add(&text, "Two phrases of the plan have the title ");
    rl_text_add(&text, plan->phrase[at].title);
    rl_text_add(&text, ": the first is meant.");
    rl_flow_paragraph(f, 8.5, words);
  }
}

void
rl_legend_add(RlFlow *const f)
{
  const RlSheet *const sheet = f->sheet;
  if (!sheet->lane || !sheet->lane->notes) {
    return;
  }
  for (int bar = 1; bar <= sheet->form->bars + sheet->form->ending_bars; ++bar) {
    for (int i = 0; i < sheet->plan->planned_count; ++i) {
      if (sheet->plan->planned[i].bar == bar) {
        phrase_add(f, i);
      }
    }
  }
  twice_add(f);
}
