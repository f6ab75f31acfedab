/* SPDX-License-Identifier: ISC */
#include "plugin/worker/auditioner.h"

#include "core/abc/abc.h"
#include "core/capture/notate.h"
#include "core/voice/voice.h"
#include "plugin/protocol/hear_take.h"

#include <stdlib.h>

static const double usual_tempo = 120; /* where nobody says */

static const char no_memory[] =
  "hear_take: not enough memory to play it; close another program and ask again";

/* What one request needs. */
typedef struct {
  RlHearTake      take;
  RlPhrase        phrase;
  RlAbcError      error;
  RlAuditionLoan *loan; /* NULL: nothing is to be heard */
  char            text[RL_PLAN_MAX + 1];
  char            words[RL_PROBLEM_SIZE]; /* what is wrong; empty: nothing */
} Job;

/* ---- in words ---- */

static void
wrong_at(Job *const job, const int line, const int column, const char *const why)
{
  RlText words = rl_text_in(job->words, sizeof(job->words));
  rl_text_add(&words, "hear_take: line ");
  rl_text_add_int(&words, line);
  rl_text_add(&words, column ? ", column " : "");
  if (column) {
    rl_text_add_int(&words, column);
  }
  rl_text_add(&words, ": ");
  rl_text_add(&words, why);
}

static void
wrong(Job *const job, const char *const why)
{
  RlText words = rl_text_in(job->words, sizeof(job->words));
  rl_text_add(&words, why);
}

static void
cut_say(Job *const job, const double rate)
{
  RlText words = rl_text_in(job->words, sizeof(job->words));
  rl_text_add(&words, "hear_take: too long to be played whole, only the first ");
  rl_text_add_int(&words, (int64_t)(RL_AUDITION_FRAMES / rate));
  rl_text_add(&words, " seconds of it are; play it faster, or a shorter phrase");
}

/* ---- sound ---- */

/* Silent; `frames` are cut to what may be. */
static RlAuditionLoan *
loan_make(Job *const job, const int64_t frames, const double rate)
{
  const bool            whole = frames <= RL_AUDITION_FRAMES;
  const uint32_t        room  = whole ? (uint32_t)frames : RL_AUDITION_FRAMES;
  RlAuditionLoan *const loan =
    (RlAuditionLoan *)calloc(1, sizeof(RlAuditionLoan) + room * sizeof(float));
  if (!loan) {
    wrong(job, no_memory);
    return NULL;
  }
  loan->frames = room;
  if (!whole) {
    cut_say(job, rate);
  }
  return loan;
}

/* Where it is cut it ends softly all the same. */
static void
end_soften(RlAuditionLoan *const loan, const double rate)
{
  static const double fade = 0.02; /* seconds */
  const uint32_t      most = (uint32_t)(fade * rate);
  for (uint32_t i = 0; i < most && i < loan->frames; ++i) {
    loan->sound[loan->frames - 1 - i] *= (float)i / (float)most;
  }
}

static void
voice_play(Job *const job, const double rate)
{
  const RlHearTake *const take = &job->take;
  if (!take->tune.length) {
    wrong_at(job, take->line, 0, "write the tune in ABC below, from X: on");
    return;
  }
  if (!rl_abc_read(take->tune, &job->phrase, &job->error)) {
    wrong_at(job, take->line - 1 + job->error.line, job->error.column, job->error.reason);
    return;
  }
  const RlVoiceHow how = {.rate  = rate,
                          .tempo = take->tempo ? take->tempo : usual_tempo,
                          .speed = rl_speed_factor(take->speed),
                          .swing = rl_notated_swing(job->phrase.fields)};
  job->loan            = loan_make(job, rl_voice_frames(&job->phrase, &how), rate);
  if (job->loan) {
    rl_voice_play(&job->phrase, &how, job->loan->sound, job->loan->frames);
    end_soften(job->loan, rate);
  }
}

static void
job_do(Job *const job, const double rate)
{
  const char     *why;
  const RlSlice   text = rl_slice(job->text);
  const ptrdiff_t bad  = rl_slice_bad_byte(text);
  if (bad >= 0) {
    wrong(job, "hear_take: no text in UTF-8; send it as one");
  } else if (!rl_hear_take_read(text, &job->take, &why)) {
    wrong_at(job, job->take.line, 0, why);
  } else if (job->take.verb == RL_HEAR_PLAY) {
    voice_play(job, rate);
  }
}

/* ---- lending ---- */

static void
lend(RlAuditioner *const a, RlAuditionLoan *const loan)
{
  a->number    = a->number == UINT32_MAX ? 1 : a->number + 1;
  a->out       = true;
  loan->number = a->number;
  atomic_store(&a->desk.wanted, a->number);
  atomic_store(&a->desk.offered, loan);
}

static void
answer(RlAuditioner *const a, RlDocument *const document)
{
  Job *const job = (Job *)malloc(sizeof(Job));
  if (!job) {
    a->heeded = rl_document_hear_take(document, NULL);
    rl_document_problem(document, RL_ABOUT_HEAR_TAKE, no_memory);
    return;
  }
  job->loan     = NULL;
  job->words[0] = '\0';
  a->heeded     = rl_document_hear_take(document, job->text);
  job_do(job, a->rate);
  if (job->loan) {
    lend(a, job->loan);
  }
  rl_document_problem(document, RL_ABOUT_HEAR_TAKE, job->words); /* the snapshot after the loan */
  free(job);
}

/* What has come back is freed. */
static void
fetch(RlAuditioner *const a, RlDocument *const document)
{
  RlAuditionLoan *const back = atomic_exchange(&a->desk.returned, NULL);
  if (back && back->refused) {
    rl_document_problem(document, RL_ABOUT_HEAR_TAKE,
                        "hear_take: not while the music rolls; stop it and ask again");
  }
  a->out = a->out && !back;
  free(back);
}

/* Nothing is wanted any more; what nobody has taken yet comes back at once. */
static void
call_in(RlAuditioner *const a)
{
  atomic_store(&a->desk.wanted, 0);
  RlAuditionLoan *const untaken = atomic_exchange(&a->desk.offered, NULL);
  a->out                        = a->out && !untaken;
  free(untaken);
}

void
rl_auditioner_open(RlAuditioner *const a, const double rate)
{
  pthread_mutex_init(&a->lock, NULL);
  a->rate = rate;
}

void
rl_auditioner_work(RlAuditioner *const a, RlDocument *const document)
{
  pthread_mutex_lock(&a->lock);
  fetch(a, document);
  if (rl_document_hear_take(document, NULL) != a->heeded) {
    call_in(a);
    if (!a->out) {
      answer(a, document);
    }
  }
  pthread_mutex_unlock(&a->lock);
}

void
rl_auditioner_close(RlAuditioner *const a, RlAuditionLoan *const lent)
{
  free(lent);
  free(atomic_exchange(&a->desk.returned, NULL));
  free(atomic_exchange(&a->desk.offered, NULL));
  pthread_mutex_destroy(&a->lock);
}
