/* SPDX-License-Identifier: ISC */
#include "ui/draw/hearing.h"

#include "ui/model/music_signs.h"

#include <math.h>
#include <stdlib.h>

enum { HEARD_KEY = 13, IN_TUNE = 4 /* cents that nobody minds: our own judgement */ };

/* By RlHearingState: two lines for the corner, a sentence for the box. */
static const struct {
  const char *first, *second, *sentence;
} states[RL_HEARINGS] = {
  [RL_HEARING_OFF]     = {"Play the recording:", "its sound tells the bar", "Waiting for sound."},
  [RL_HEARING_WAITS]   = {"Play the recording:", "its sound tells the bar", "Waiting for sound."},
  [RL_HEARING_LISTENS] = {"Listening:", "the bar comes when it is sure",
                          "Listening. To help it, tap the beat; on bar 1 press bar one is now."},
  [RL_HEARING_FOUND]   = {"Listening:", "the bar comes when it is sure", "Found it."},
  [RL_HEARING_LOST]    = {"Lost it: on bar 1", "press bar one is now",
                          "Lost it. On bar 1 press bar one is now, or tap the tempo."},
  [RL_HEARING_LATE]    = {"Too slow to listen:", "sound was left out",
                          "This machine is too slow: sound was left out."},
  [RL_HEARING_CHART]   = {"No ear for this form:", "set clock to host or taps",
                          "The ear needs up to 640 felt beats of one length and up to 64 chords."},
  [RL_HEARING_CANNOT]  = {"It cannot listen here:", "set clock to host or taps",
                          "No memory, a sample rate outside 22.05 to 192 kHz, or built without."},
};

void
rl_hearing_corner(const RlView *const v, const char **const first, const char **const second)
{
  *first  = states[v->hearing.state].first;
  *second = states[v->hearing.state].second;
}

static void
percent_add(RlText *const text, const double share)
{
  rl_text_add_int(text, lround(100 * share));
  rl_text_add(text, " % sure.");
}

static void
key_add(const RlView *const v, RlText *const text)
{
  char   name[RL_NAME_SIZE];
  RlText ascii = rl_text_in(name, sizeof(name));
  if ((int)v->port[RL_PORT_SONG_KEY] != HEARD_KEY) {
    return;
  }
  if (v->hearing.key == RL_KEY_NOT_HEARD) {
    rl_text_add(text, " The key is not heard yet.");
    return;
  }
  rl_key_write(rl_key_named(v->hearing.key, v->form && v->form->key.minor), &ascii);
  rl_text_add(text, " Key ");
  rl_music_signs(name, text);
  rl_text_add(text, ", ");
  percent_add(text, v->hearing.key_sure);
}

void
rl_hearing_tuning(const RlView *const v, RlText *const text)
{
  const int cents = v->hearing.cents;
  if (!v->hearing.tuned || abs(cents) <= IN_TUNE) {
    return;
  }
  rl_text_add(text, "Recording ");
  rl_text_add_int(text, abs(cents));
  rl_text_add(text, cents > 0 ? " cents sharp" : " cents flat");
  rl_text_add(text, " of your harp: shift it by ");
  rl_text_add(text, cents > 0 ? "−" : "+");
  rl_text_add_int(text, abs(cents));
  rl_text_add(text, " cents.");
}

void
rl_hearing_words(const RlView *const v, char words[RL_HEARING_WORDS_SIZE])
{
  const RlHearingState state = v->hearing.state;
  RlText               text  = rl_text_in(words, RL_HEARING_WORDS_SIZE);
  if (state == RL_HEARING_FOUND && rl_view_placed(v)) {
    rl_text_add(&text, "Found it, ");
    percent_add(&text, v->report.sure);
  } else {
    rl_text_add(&text, states[state == RL_HEARING_FOUND ? RL_HEARING_LISTENS : state].sentence);
  }
  if (state != RL_HEARING_CHART && state != RL_HEARING_CANNOT) {
    key_add(v, &text);
    rl_text_add(&text, " ");
    rl_hearing_tuning(v, &text);
  }
}

void
rl_draw_hearing(const RlScene *const s)
{
  const RlRect box = s->layout->hearing;
  char         words[RL_HEARING_WORDS_SIZE];
  if (box.w > 0 && rl_paint_wants(&s->paint, box)) {
    rl_hearing_words(s->view, words);
    rl_write_lines(&s->paint, box,
                   (RlStyle){s->layout->value * 0.94, RL_PLAIN, RL_INK_QUIET, RL_LEFT}, words,
                   box.h > 60 ? 3 : 2);
  }
}
