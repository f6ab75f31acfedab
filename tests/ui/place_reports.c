/* SPDX-License-Identifier: ISC */
#include "place_reports.h"

RlPlaceReport
rl_report_at(const RlView *const v, const RlPart part, const int chorus, const int bar,
             const int index, const int beat)
{
  const RlForm *const f           = v->form;
  const RlBar *const  at          = &f->bar[index < 0 ? 0 : index];
  const RlPlace       here        = {.part   = part,
                                     .chorus = chorus,
                                     .bar    = bar,
                                     .index  = index,
                                     .beat   = beat,
                                     .beats  = at->beats,
                                     .unit   = at->unit};
  RlPlaceReport       t           = {.lit      = true,
                                     .rolling  = true,
                                     .part     = part,
                                     .chorus   = chorus,
                                     .bar      = bar,
                                     .bars     = f->bars,
                                     .beats    = at->beats,
                                     .unit     = at->unit,
                                     .song_key = 7,
                                     .tempo    = 120,
                                     .beat     = beat + 1,
                                     .sure     = 1};
  const RlChordsAt    turn        = rl_form_chords_at(f, &here);
  char *const         names[2][2] = {{t.now, t.now_degree}, {t.next, t.next_degree}};
  for (int i = 0; i < 2; ++i) {
    const int change = i ? turn.next : turn.now;
    if (change >= 0) {
      const RlHarmony h      = rl_harmony_of(rl_form_chord(f, change), rl_view_key(v));
      RlText          name   = rl_text_in(names[i][0], RL_REPORT_TEXT_SIZE);
      RlText          degree = rl_text_in(names[i][1], RL_REPORT_TEXT_SIZE);
      rl_harmony_name(&h, &name);
      rl_harmony_degree(&h, &degree);
    }
  }
  t.beats_to_next = turn.next >= 0 ? turn.beats_to_next : 0;
  t.target        = (RlTarget){.hole      = (uint8_t)(1 + (bar + 20) % 10),
                               .technique = bar % 2 ? RL_DRAW : RL_BLOW,
                               .degree    = RL_DEGREE_3,
                               .note      = 60};
  return t;
}

RlPlaceReport
rl_report_beat(const RlView *const v, int beat)
{
  const RlForm *const f       = v->form;
  const int           lead_in = f->lead_in;
  for (int bar = -lead_in; bar < 2 * f->bars + f->ending_bars; ++bar) {
    const bool   ending = bar >= 2 * f->bars;
    const int    index  = bar < 0  ? (f->lead_in_from ? f->lead_in_from - 1 + lead_in + bar : -1)
                          : ending ? bar - f->bars
                                   : bar % f->bars;
    const int    beats  = f->bar[index < 0 ? 0 : index].beats;
    const RlPart part   = bar < 0 ? RL_PART_LEAD_IN : ending ? RL_PART_ENDING : RL_PART_CHORUS;
    const int    chorus = bar < 0 ? 0 : ending ? 2 : 1 + bar / f->bars;
    if (beat < beats) {
      return rl_report_at(v, part, chorus, bar < 0 ? bar : index + 1, index, beat);
    }
    beat -= beats;
  }
  RlPlaceReport over = rl_report_at(v, RL_PART_OVER, 2, 0, -1, 0);
  over.now[0] = over.now_degree[0] = over.next[0] = over.next_degree[0] = '\0';
  over.target.hole                                                      = 0;
  return over;
}
