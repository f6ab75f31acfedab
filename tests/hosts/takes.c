/* SPDX-License-Identifier: ISC */
/* Phrases to be played to a host and taken down by the plugin, and the judge of what came of them.

     takes play SEED COUNT          what to play: lines
       S BAR:4:4:TEMPO              a segment for timebase
       E FRAME BYTE BYTE BYTE       an event for player: each phrase between two presses of the
                                    foot switch (CC 83)
       T FRAME                      when everything is over
     takes judge SEED COUNT < TEXT  the property `take` after that: how many of how many notes have
                                    their place, length and pitch, and what the plugin says of the
                                    swing

   Every phrase is two random bars (tests/core/capture/played.h) at a tempo of its own, late
   by 10 ms, uneven by 15 ms or 3 % of a beat, straight or swung .55 to .70; a bar of rest behind
   it. Phrase k begins with bar 1 + 3k of the DAW (from 0). */
#include "../core/capture/played.h"
#include "core/arrange/plan.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RATE = 48000, BARS = 3, FORM = 12, MOST = 31 /* segments that timebase takes, less one */ };

typedef struct {
  RlPhrase phrase;
  Played   how;
} Song;

static Song song;

/* Phrase k, the same every time. */
static void
song_make(const unsigned seed, const int k)
{
  unsigned chance    = (seed * 1000 + (unsigned)k) * 2654435761U; /* neighbours are nothing alike */
  const double tempo = floor(60 + played_random(&chance) * 160);
  const bool   swung = k % 2;
  song.how           = (Played){tempo, swung ? 0.55 + played_random(&chance) * 0.15 : 0.5, 10,
                                fmin(15, 0.03 * 60000 / tempo), chance + 7};
  played_invent(&chance, 2, false, swung, tempo, &song.phrase);
}

static double
beat_frames(void)
{
  return RATE * 60.0 / song.how.tempo;
}

/* The foot goes down half a beat before the phrase's bar, by the tempo before it, and again in its
 * last bar. */
static void
play(const unsigned seed, const int count)
{
  static PlayedEvent event[PLAYED_MAX];
  double             from;
  song_make(seed, 0);
  from = 4 * beat_frames();
  printf("S 0:4:4:%g\n", song.how.tempo);
  for (int k = 0; k < count; ++k) {
    const double before = k ? beat_frames() : 0;
    song_make(seed, k);
    const double beat = beat_frames();
    printf("S %d:4:4:%g\n", 1 + BARS * k, song.how.tempo);
    printf("E %.0f 176 83 127\n", from - (k ? before : beat) / 2);
    const int n = played_events(&song.phrase, 0, song.how, event);
    for (int i = 0; i < n; ++i) {
      printf("E %.0f %d %d %d\n", fmax(from + event[i].at * beat, from - beat / 3),
             event[i].bytes[0], event[i].bytes[1], event[i].bytes[2]);
    }
    from += 4 * BARS * beat;
    printf("E %.0f 176 83 127\n", from - 2 * beat);
  }
  printf("T %.0f\n", from + RATE / 4.0);
}

/* Quarters from where the phrase was played to where it is said to stand: within half a form. */
static int32_t
shift(const int k, const int bar)
{
  const int bars = ((bar - 1 - (1 + BARS * k)) % FORM + FORM + FORM / 2) % FORM - FORM / 2;
  return bars * 4 * RL_TICKS;
}

static int
right(const RlPhrase *const written, const int32_t by)
{
  int n = 0;
  for (int i = 0; i < song.phrase.notes; ++i) {
    const RlPhraseNote *const played = &song.phrase.note[i];
    for (int w = 0; w < written->notes; ++w) {
      const RlPhraseNote *const note = &written->note[w];
      const bool same = note->at + by == played->at && note->lasts == played->lasts &&
                        rl_phrase_pitch(written, note) == rl_phrase_pitch(&song.phrase, played);
      if (same) {
        ++n;
        break;
      }
    }
  }
  return n;
}

static int
judge(const unsigned seed, const int count)
{
  static char     text[RL_PLAN_MAX + 1];
  static RlPlan   plan;
  static RlPhrase written;
  RlPlanError     error;
  int             notes = 0, good = 0;
  const size_t    size = fread(text, 1, RL_PLAN_MAX, stdin);
  if (!rl_plan_read((RlSlice){text, size}, &written, &plan, &error)) {
    fprintf(stderr, "takes: line %d: %s\n", error.line, error.reason);
    return 1;
  }
  if (plan.phrase_count != count || plan.planned_count != count) {
    fprintf(stderr, "takes: %d takes, not %d\n", plan.phrase_count, count);
    return 1;
  }
  for (int k = 0; k < count; ++k) {
    song_make(seed, k);
    rl_plan_phrase(&plan, plan.planned[k].phrase, &written);
    const int n = right(&written, shift(k, plan.planned[k].bar));
    if (n < song.phrase.notes) {
      fprintf(stderr, "%s: %d of %d at %g, swing %.2f\n", written.title, n, song.phrase.notes,
              song.how.tempo, song.how.swing);
    }
    notes += song.phrase.notes;
    good += n;
  }
  printf("%d %d\n", good, notes);
  return 0;
}

int
main(const int argc, char **const argv)
{
  const unsigned seed  = argc == 4 ? (unsigned)atoi(argv[2]) : 0;
  const int      count = argc == 4 ? atoi(argv[3]) : 0;
  if (count < 1 || count > MOST) {
    fprintf(stderr, "takes: see the head of takes.c\n");
    return 2;
  }
  if (!strcmp(argv[1], "judge")) {
    return judge(seed, count);
  }
  play(seed, count);
  return 0;
}
