/* SPDX-License-Identifier: ISC */
#include "core/phrase/phrase.h"

#include <assert.h>
#include <stdint.h>

_Static_assert(RL_PHRASE_CHORDS_MAX <= UINT8_MAX, "a note stores its chord in a byte");
_Static_assert(RL_PHRASE_NOTES_MAX <= UINT16_MAX, "a phrase counts its notes in 16 bits");

static int
root_of(const RlPhrase *const p, const int chord)
{
  const RlWritten root = p->chord[chord].chord.root;
  return rl_spelling_class((RlSpelling){root.step, root.alter});
}

int
rl_phrase_pitch(const RlPhrase *const p, const RlPhraseNote *const note)
{
  assert(note->chord < p->chords);
  return 60 + root_of(p, note->chord) + note->above;
}

const char *
rl_move_name(const RlMove move)
{
  static const char *const names[] = {"with the chord", "with the key", "as it is"};
  _Static_assert(sizeof(names) / sizeof(names[0]) == RL_MOVES, "a name for every move");
  assert(move < RL_MOVES);
  return names[move];
}

/* ---- by how many semitones ---- */

/* The interval of that class nearest to `near`, the lower one of two. */
static int
nearest(const int semitones, const int near)
{
  return near - 6 + rl_pitch_class(semitones - near + 6);
}

static void
moves_find(const RlPhrase *const p, const RlMove move, const RlKey key, const RlHarmony *const over,
           int *const by)
{
  const int tonics = rl_spelling_class(key.tonic) - rl_spelling_class(p->key.tonic);
  const int all    = move == RL_MOVE_KEY ? nearest(tonics, 0) : 0;
  int       first  = 0;
  for (int c = 0; c < p->chords; ++c) {
    const bool roots = move == RL_MOVE_CHORD && over[c].sounding;
    by[c]            = roots ? nearest(rl_harmony_root(&over[c]) - root_of(p, c), first)
                       : c && move == RL_MOVE_CHORD ? by[c - 1]
                                                    : all;
    first            = c ? first : by[0];
  }
}

/* ---- tones that follow the chord ---- */

/* Semitones above the root of the tone with that function, -1 if the chord has none. */
static int
tone_of(const RlQuality quality, const RlFunction function)
{
  RlDegree  tone[RL_DEGREES];
  const int tones = rl_quality_tones(quality, tone);
  for (int t = 0; t < tones; ++t) {
    if (rl_degree_function(tone[t]) == function) {
      return rl_degree_semitones(tone[t]);
    }
  }
  return -1;
}

/* Semitones from a tone of one quality to the tone of the same function in another; 0 if there is
   none. */
static int
tone_shift(const int above, const RlQuality was, const RlQuality is)
{
  static const RlFunction functions[] = {RL_FUNCTION_THIRD, RL_FUNCTION_FIFTH, RL_FUNCTION_SEVENTH};
  for (int f = 0; f < 3; ++f) {
    const int from = tone_of(was, functions[f]);
    const int to   = tone_of(is, functions[f]);
    if (from >= 0 && to >= 0 && rl_pitch_class(above) == from) {
      return to - from;
    }
  }
  return 0;
}

void
rl_phrase_move(const RlPhrase *const p, const RlMove move, const RlKey key,
               const RlHarmony *const over, RlNote *const notes)
{
  assert(move < RL_MOVES && p->chords <= RL_PHRASE_CHORDS_MAX);
  int by[RL_PHRASE_CHORDS_MAX];
  moves_find(p, move, key, over, by);
  for (int i = 0; i < p->notes; ++i) {
    const RlPhraseNote *const n    = &p->note[i];
    const bool                same = move != RL_MOVE_CHORD || !over[n->chord].sounding;
    const int                 more =
      same ? 0 : tone_shift(n->above, p->chord[n->chord].chord.quality, over[n->chord].quality);
    notes[i] = (RlNote){.at           = n->at,
                        .lasts        = n->lasts,
                        .pitch        = (int16_t)(rl_phrase_pitch(p, n) + by[n->chord] + more),
                        .chord        = n->chord,
                        .articulation = n->articulation,
                        .followed     = more != 0};
  }
}
