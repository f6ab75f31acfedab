/* SPDX-License-Identifier: ISC */
#include "ui/controller/training.h"

#include "ui/controller/controller_state.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double lag = 0.1; /* seconds that news of the plugin may take at most */

void
rl_controller_set_tries_folder(RlController *const c, const char *const folder)
{
  RlText text = rl_text_in(c->training.folder, sizeof(c->training.folder));
  rl_text_add(&text, folder ? folder : "");
}

/* ---- the file ---- */

static void
problem_say(RlController *const c, const char *const what, const int why)
{
  RlText text = rl_text_in(c->notice, sizeof(c->notice));
  rl_text_add(&text, what);
  rl_file_why(why, &text);
  rl_text_add(&text, ". Its folder: ");
  rl_file_name_write(c->training.folder, &text);
  c->redraw.all = true;
}

static void
file_read(RlController *const c)
{
  RlTraining *const t   = &c->training;
  const int         why = rl_tries_file_read(t->folder, &t->tries);
  t->read               = true;
  rl_tries_sum(&t->tries, &t->more);
  if (why) {
    problem_say(c, "Your tries cannot be read: ", why);
    t->folder[0] = '\0'; /* it is not written over */
  }
}

static void
note_begin(RlController *const c)
{
  RlTraining *const  t    = &c->training;
  RlTriesNote *const note = (RlTriesNote *)calloc(1, sizeof(RlTriesNote));
  if (note) {
    memcpy(note->folder, t->folder, sizeof(note->folder));
    note->more = t->more;
    t->noting  = rl_tries_note_begin(note);
  }
  if (note && t->noting) {
    t->note = note;
    memset(&t->more, 0, sizeof(t->more));
  } else {
    free(note); /* with the next try */
  }
}

static void
note_take(RlController *const c)
{
  RlTraining *const t = &c->training;
  if (t->note->why) {
    rl_tries_sum(&t->more, &t->note->more);
    if (!t->failed) {
      problem_say(c, "Your tries cannot be kept: ", t->note->why);
    }
  }
  t->failed = t->note->why != 0;
  t->wait   = t->failed;
  rl_background_end(t->noting);
  t->noting = NULL;
  t->note   = NULL;
}

/* One note at a time; what comes meanwhile goes with the next. After a failure the next try begins
   it again. */
static void
notes_advance(RlController *const c)
{
  RlTraining *const t = &c->training;
  if (t->noting && rl_background_done(t->noting)) {
    note_take(c);
  }
  if (t->folder[0] && t->fresh && !t->noting && !t->wait) {
    t->fresh = false;
    note_begin(c);
  }
}

/* The last note is written though nobody waits for it. */
void
rl_training_close(RlController *const c)
{
  RlTraining *const t = &c->training;
  rl_background_end(t->noting);
  t->noting = NULL;
  t->wait   = false;
  notes_advance(c);
  rl_background_end(t->noting);
}

/* ---- what is aimed at ---- */

static void
missed_count(RlController *const c)
{
  RlTriedNote  missed[RL_HOLES * RL_TECHNIQUES];
  const RlHarp harp = rl_harp_make(rl_view_harp(&c->view));
  c->view.trainer.missed =
    rl_tries_missed(&c->training.tries, &harp, rl_view_player(&c->view), missed);
}

static RlAim
aim_of(const RlController *const c, const int hole, const int technique)
{
  return rl_aim_at(rl_view_harp(&c->view), hole, (RlTechnique)technique, c->view.trainer.temper,
                   rl_view_key(&c->view));
}

static bool
can(const RlController *const c, const RlAim *const aim)
{
  return aim->midi && rl_player_can(rl_view_player(&c->view), (RlTechnique)aim->technique);
}

/* The first bend that most players learn and this one can make; else the note of hole 4. */
static RlAim
aim_first(const RlController *const c)
{
  static const struct {
    uint8_t hole, technique;
  } first[] = {{4, RL_DRAW_1}, {3, RL_DRAW_1}, {2, RL_DRAW_1}, {1, RL_DRAW_1},
               {6, RL_DRAW_1}, {8, RL_BLOW_1}, {10, RL_BLOW_1}};
  for (size_t i = 0; i < sizeof(first) / sizeof(first[0]); ++i) {
    const RlAim aim = aim_of(c, first[i].hole, first[i].technique);
    if (can(c, &aim)) {
      return aim;
    }
  }
  return aim_of(c, 4, RL_DRAW);
}

static bool
same_aim(const RlAim *const a, const RlAim *const b)
{
  return a->hole == b->hole && a->technique == b->technique && a->midi == b->midi &&
         fabsf(a->cents - b->cents) < 0.1F && fabsf(a->room - b->room) < 0.1F;
}

static void
aim_set(RlController *const c, const RlAim aim)
{
  if (!same_aim(&aim, &c->training.trainer.aim)) {
    rl_trainer_begin(&c->training.trainer, aim);
    c->view.trainer.sounds = false;
  }
}

void
rl_training_refresh(RlController *const c)
{
  const RlAim *const now = &c->training.trainer.aim;
  if (c->view.screen == RL_SCREEN_TRAINER) {
    const RlAim again = now->hole ? aim_of(c, now->hole, now->technique) : *now;
    aim_set(c, now->hole && can(c, &again) ? again : aim_first(c));
    missed_count(c);
  }
}

void
rl_training_open(RlController *const c)
{
  if (!c->training.read) {
    file_read(c);
  }
  rl_training_refresh(c);
}

void
rl_training_aim(RlController *const c, const int note)
{
  aim_set(c, aim_of(c, note / RL_TECHNIQUES, note % RL_TECHNIQUES));
}

void
rl_training_missed(RlController *const c)
{
  RlTriedNote        missed[RL_HOLES * RL_TECHNIQUES];
  const RlHarp       harp = rl_harp_make(rl_view_harp(&c->view));
  const RlAim *const aim  = &c->training.trainer.aim;
  const int n    = rl_tries_missed(&c->training.tries, &harp, rl_view_player(&c->view), missed);
  int       next = 0;
  for (int i = 0; i < n; ++i) {
    next = missed[i].hole == aim->hole && missed[i].technique == aim->technique ? i + 1 : next;
  }
  if (n && c->view.screen == RL_SCREEN_TRAINER) {
    aim_set(c, aim_of(c, missed[next % n].hole, missed[next % n].technique));
  }
}

void
rl_training_temper(RlController *const c)
{
  c->view.trainer.temper = c->view.trainer.temper == RL_JUST ? RL_TEMPERED : RL_JUST;
  rl_training_refresh(c);
}

/* ---- what is heard ---- */

static void
try_count(RlController *const c)
{
  RlTraining *const  t    = &c->training;
  const RlAim *const aim  = &t->trainer.aim;
  const bool         held = rl_try_held(&t->trainer.last[0]);
  rl_tries_add(&t->tries, aim->hole, (RlTechnique)aim->technique, held);
  rl_tries_add(&t->more, aim->hole, (RlTechnique)aim->technique, held);
  t->fresh = true;
  t->wait  = false;
  missed_count(c);
  c->redraw.all = true;
}

/* The aimed note among those that sound. */
static void
heard(RlController *const c, const double at)
{
  RlViewTrainer *const v   = &c->view.trainer;
  float                off = 0;
  v->sounds                = false;
  for (int i = 0; i < c->view.played.count && !v->sounds; ++i) {
    const RlPlayedSound *const n = &c->view.played.note[i];
    v->sounds =
      rl_aim_hears(&c->training.trainer.aim, n->hole, n->technique, n->midi, (float)n->cents, &off);
  }
  v->off = (double)off;
  if (rl_trainer_hear(&c->training.trainer, at, v->sounds, off)) {
    try_count(c);
  }
}

void
rl_training_hear(RlController *const c, const RlPlayedReport *const played, const double now)
{
  c->view.played          = *played;
  c->training.heard_at    = played->heard_at;
  c->training.received_at = now;
  if (c->view.screen == RL_SCREEN_TRAINER) {
    heard(c, played->heard_at);
  }
}

void
rl_training_advance(RlController *const c, const double now)
{
  RlTraining *const t     = &c->training;
  const double      since = now - t->received_at - lag; /* without news */
  notes_advance(c);
  if (since > 0) {
    c->view.played.heard_at = t->heard_at + since;
  }
  if (c->view.screen == RL_SCREEN_TRAINER && since > 0) {
    heard(c, t->heard_at + since);
  }
}
