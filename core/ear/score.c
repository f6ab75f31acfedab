/* SPDX-License-Identifier: ISC */
#include "core/ear/score.h"

#include "core/meter/meter.h"

#include <math.h>
#include <string.h>

static bool
quality_has(const RlQuality quality, const int semitones)
{
  return rl_quality_tone(quality, semitones) != RL_DEGREES;
}

static RlChordType
type_of(const RlQuality q)
{
  if (quality_has(q, 3) && !quality_has(q, 4)) {
    return quality_has(q, 6) && !quality_has(q, 7) ? RL_TYPE_DIMINISHED : RL_TYPE_MINOR;
  }
  return quality_has(q, 10) ? RL_TYPE_DOMINANT : RL_TYPE_MAJOR;
}

static RlScoreChord
chord_of(const RlForm *const form, const RlChord chord)
{
  const RlHarmony h     = rl_harmony_of(chord, form->key);
  const int       tonic = rl_spelling_class(form->key.tonic);
  if (!h.sounding) {
    return (RlScoreChord){RL_CHORD_TYPES, 0, 0};
  }
  const int root = rl_harmony_root(&h), bass = h.has_bass ? rl_spelling_class(h.bass) : root;
  return (RlScoreChord){(uint8_t)type_of(h.quality), (uint8_t)rl_pitch_class(root - tonic),
                        (uint8_t)rl_pitch_class(bass - tonic)};
}

/* The index of a chord in the score, added if it is new; -1: no room. */
static int
chord_index(RlScore *const s, const RlScoreChord c)
{
  int i = 0;
  while (i < s->chords && memcmp(&s->chord[i], &c, sizeof(c)) != 0) {
    ++i;
  }
  if (i == s->chords && i < RL_SCORE_CHORDS_MAX) {
    s->chord[s->chords++] = c;
  }
  return i < RL_SCORE_CHORDS_MAX ? i : -1;
}

static RlBeatKind
kind_of(const int beat, const int felt)
{
  return beat == 0 ? RL_BEAT_FIRST : felt == 4 && beat == 2 ? RL_BEAT_MIDDLE : RL_BEAT_OTHER;
}

static bool
bar_add(RlScore *const s, const RlForm *const form, const int index)
{
  const RlBar *const bar  = &form->bar[index];
  const int          felt = (int)lround(rl_meter_felt(bar->beats, bar->unit));
  RlChord            now  = rl_form_chord(form, bar->first_change);
  int                next = 0;
  if (s->beats + felt > RL_SCORE_BEATS_MAX) {
    return false;
  }
  for (int b = 0; b < felt; ++b) {
    while (next < bar->chords &&
           form->chord[bar->first_chord + next].beat * felt <= b * bar->beats) {
      now = form->chord[bar->first_chord + next++].chord;
    }
    const int chord = chord_index(s, chord_of(form, now));
    if (chord < 0) {
      return false;
    }
    s->beat[s->beats++] =
      (RlScoreBeat){(uint16_t)index, (uint8_t)b, (uint8_t)kind_of(b, felt), (uint8_t)chord, 0, 0};
  }
  return true;
}

/* The seat of a beat, added if it is new; one of its kind if there is no room. */
static int
seat_index(RlScore *const s, const RlScoreBeat *const beat)
{
  int like = 0;
  for (int i = 0; i < s->seats; ++i) {
    like = s->seat[i].kind == beat->kind ? i : like;
    if (s->seat[i].kind == beat->kind && s->seat[i].in_bar == beat->in_bar) {
      return i;
    }
  }
  if (s->seats == RL_SCORE_SEATS_MAX) {
    return like;
  }
  s->seat[s->seats] = (RlScoreSeat){beat->in_bar, beat->kind, 0};
  return s->seats++;
}

static void
seats_find(RlScore *const s)
{
  for (int b = 0; b < s->beats; ++b) {
    const int  seats  = s->seats;
    const bool first  = (s->beat[b].seat = (uint8_t)seat_index(s, &s->beat[b])) == seats;
    const int  before = s->beat[b ? b - 1 : 0].seat;
    s->seat[s->beat[b].seat].before = first ? (uint8_t)before : s->seat[s->beat[b].seat].before;
  }
  s->seat[s->beat[0].seat].before = s->beat[s->beats - 1].seat;
}

static void
stands_find(RlScore *const s)
{
  for (int b = 0; b < s->beats; ++b) {
    const bool goes_on = s->beat[b].chord == s->beat[b ? b - 1 : s->beats - 1].chord;
    const bool bar     = s->beat[b].in_bar == 0;
    s->beat[b].stand   = (uint8_t)(goes_on ? bar ? RL_STAND_BAR : RL_STAND_ON
                                   : bar   ? RL_STAND_NEW_BAR
                                           : RL_STAND_NEW);
  }
}

/* Quarters in a felt beat of a bar. */
static double
beat_quarters(const RlBar *const bar)
{
  return 4.0 * bar->beats / bar->unit / rl_meter_felt(bar->beats, bar->unit);
}

bool
rl_score_read(const RlForm *const form, RlScore *const s)
{
  memset(s, 0, sizeof(*s));
  s->bars = form->bars;
  for (int i = 0; i < form->bars; ++i) {
    if (fabs(beat_quarters(&form->bar[i]) - beat_quarters(&form->bar[0])) > 1e-9 ||
        !bar_add(s, form, i)) {
      return false;
    }
  }
  if (s->beats > 0) {
    seats_find(s);
    stands_find(s);
  }
  return s->beats > 0;
}

int
rl_score_class(const RlScoreChord chord, const int tonic)
{
  return chord.type * 12 + rl_pitch_class(chord.root + tonic);
}
