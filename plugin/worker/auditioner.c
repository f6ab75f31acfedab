/* SPDX-License-Identifier: ISC */
#include "plugin/worker/auditioner.h"

#include "core/abc/abc.h"
#include "core/capture/notate.h"
#include "core/voice/upsample.h"
#include "core/voice/voice.h"
#include "plugin/protocol/hear_take.h"
#include "plugin/worker/slower.h"

#include <math.h>
#include <stdlib.h>

static const double usual_tempo = 120; /* where nobody says */

static const char no_memory[] = "not enough memory to play it; close another program and ask again";

static const char no_memory_at_all[] =
  "hear_take: not enough memory; close another program and ask again";

/* What one request needs. */
typedef struct {
  RlHearTake      take;
  RlPhrase        phrase;
  RlAbcError      error;
  RlVoiceHow      how;
  RlRecord        record;                 /* `sound` NULL: none */
  RlAuditionLoan *loan;                   /* NULL: nothing is to be heard */
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
  rl_text_add(&words, "hear_take: ");
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

/* ---- what it takes ---- */

/* Reads the tune, if there is to be one; the frames that it takes, -1 if it cannot be played. */
static int64_t
voice_prepare(Job *const job, const double rate)
{
  const RlHearTake *const take = &job->take;
  if (!take->tune.length) {
    wrong_at(job, take->line, 0, "write the tune in ABC below, from X: on");
    return -1;
  }
  if (!rl_abc_read(take->tune, &job->phrase, &job->error)) {
    wrong_at(job, take->line - 1 + job->error.line, job->error.column, job->error.reason);
    return -1;
  }
  job->how = (RlVoiceHow){.rate  = rate,
                          .tempo = take->tempo ? take->tempo : usual_tempo,
                          .speed = rl_speed_factor(take->speed),
                          .swing = rl_notated_swing(job->phrase.fields)};
  return rl_voice_frames(&job->phrase, &job->how);
}

/* The same at the speed that is wanted. */
static bool
record_slow(Job *const job)
{
  RlRecord *const r     = &job->record;
  const double    speed = rl_speed_factor(job->take.speed);
  const size_t    room  = (size_t)((double)r->samples / speed);
  if (speed >= 1) {
    return true;
  }
  float *const slow = (float *)malloc((room + 1) * sizeof(float));
  const bool   good = slow && rl_slower(r->sound, r->samples, r->rate, speed, slow, room);
  free(r->sound);
  r->sound   = slow;
  r->samples = room;
  if (!good) {
    wrong(job, no_memory);
  }
  return good;
}

/* Fetches the record, if it is wanted; the frames that it takes, -1 if it cannot be played. */
static int64_t
record_prepare(Job *const job, const RlAuditioner *const a)
{
  if (job->take.speed != RL_SPEED_FULL && !rl_slower_can()) {
    wrong(job, "built without SoundTouch it plays records at full speed only; ask for speed: 1");
    return -1;
  }
  const char *const why = a->records.fetch(a->records.data, job->take.title, &job->record);
  if (why) {
    wrong(job, why);
    return -1;
  }
  return record_slow(job)
           ? (int64_t)rl_upsample_count(job->record.samples, job->record.rate, a->rate)
           : -1;
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

/* No click at either end. */
static void
ends_soften(float *const sound, const uint32_t frames, const double rate)
{
  static const double fade = 0.02; /* seconds */
  const uint32_t      most = (uint32_t)(fade * rate);
  for (uint32_t i = 0; i < most && i < frames; ++i) {
    const float gain = (float)i / (float)most;
    sound[i] *= gain;
    sound[frames - 1 - i] *= gain;
  }
}

/* As loud as the voice, so that both can be compared; its peaks stay below half of full scale, and
   what is next to silence stays quiet. */
static void
loudness_set(float *const sound, const uint32_t frames)
{
  static const float loudest = 0.5F, most = 10;
  double             sum  = 0;
  float              peak = 1e-9F;
  for (uint32_t i = 0; i < frames; ++i) {
    sum += (double)sound[i] * (double)sound[i];
    peak = fmaxf(peak, fabsf(sound[i]));
  }
  const double level = sqrt(sum / (frames + 1e-9)) + 1e-9;
  const float  gain  = fminf(fminf((float)(RL_VOICE_LEVEL / level), loudest / peak), most);
  for (uint32_t i = 0; i < frames; ++i) {
    sound[i] *= gain;
  }
}

static void
record_play(const RlRecord *const r, const double rate, float *const sound, const uint32_t frames)
{
  rl_upsample(r->sound, r->samples, r->rate, rate, sound, frames);
  loudness_set(sound, frames);
  ends_soften(sound, frames, rate);
}

static void
sound_make(Job *const job, const RlAuditioner *const a)
{
  static const double apart = 0.4; /* seconds between tune and record */
  const RlHearVerb    verb  = job->take.verb;
  const bool          tune = verb != RL_HEAR_RECORD, record = verb != RL_HEAR_PLAY;
  const int64_t       voiced   = tune ? voice_prepare(job, a->rate) : 0;
  const int64_t       recorded = voiced >= 0 && record ? record_prepare(job, a) : 0;
  const int64_t       begins   = voiced + (tune && record ? (int64_t)(apart * a->rate) : 0);
  job->loan = voiced >= 0 && recorded >= 0 ? loan_make(job, begins + recorded, a->rate) : NULL;
  if (!job->loan) {
    return;
  }
  RlAuditionLoan *const loan = job->loan;
  if (tune) {
    rl_voice_play(&job->phrase, &job->how, loan->sound, loan->frames);
    ends_soften(loan->sound, loan->frames < voiced ? loan->frames : (uint32_t)voiced, a->rate);
  }
  if (record && begins < loan->frames) {
    record_play(&job->record, a->rate, loan->sound + begins, loan->frames - (uint32_t)begins);
  }
}

static void
job_do(Job *const job, const char *const asked, const RlAuditioner *const a)
{
  const char   *why;
  const RlSlice text = rl_slice(asked);
  if (rl_slice_bad_byte(text) >= 0) {
    wrong(job, "no text in UTF-8; send it as one");
  } else if (!rl_hear_take_read(text, &job->take, &why)) {
    wrong_at(job, job->take.line, 0, why);
  } else if (job->take.verb != RL_HEAR_STOP) {
    sound_make(job, a);
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
  char *const text = rl_document_hear_take(document, &a->heeded);
  Job *const  job  = (Job *)malloc(sizeof(Job));
  if (!job || !text) {
    free(job);
    free(text);
    rl_document_problem(document, RL_ABOUT_HEAR_TAKE, no_memory_at_all);
    return;
  }
  job->loan     = NULL;
  job->record   = (RlRecord){0};
  job->words[0] = '\0';
  job_do(job, text, a);
  if (job->loan) {
    lend(a, job->loan);
  }
  rl_document_problem(document, RL_ABOUT_HEAR_TAKE, job->words); /* the snapshot after the loan */
  free(job->record.sound);
  free(job);
  free(text);
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
rl_auditioner_open(RlAuditioner *const a, const double rate, const RlRecordSource records)
{
  pthread_mutex_init(&a->lock, NULL);
  a->rate    = rate;
  a->records = records;
}

void
rl_auditioner_work(RlAuditioner *const a, RlDocument *const document)
{
  pthread_mutex_lock(&a->lock);
  fetch(a, document);
  if (rl_document_hear_takes(document) != a->heeded) {
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
