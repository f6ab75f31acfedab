/* SPDX-License-Identifier: ISC */
#include "plugin/worker/takes.h"

#include "core/capture/notate.h"
#include "plugin/worker/setting.h"

#include <stdlib.h>
#include <string.h>

static const char too_fast[] =
  "take: more MIDI at once than could be received; some of it is missing, play it again";

/* Memory to write a take down in. */
typedef struct {
  RlNotateWorkspace   notate;
  RlNotated           notated;
  RlTakeListWorkspace list;
} Workspace;

static RlTakeListWorkspace *
workspace(void)
{
  return (RlTakeListWorkspace *)malloc(sizeof(RlTakeListWorkspace));
}

/* The takes are as `work` has them, if they have `changed`, and so is the problem with them. */
static void
result_adopt(RlDocument *const document, const bool changed, const RlTakeListWorkspace *const work)
{
  if (changed) {
    rl_setting_text(document, RL_TAKE, rl_slice(work->result));
  }
  rl_setting_problem(document, RL_ABOUT_TAKE, work->problem);
}

static void
problem_set(RlDocument *const document, const char *const words)
{
  rl_setting_problem(document, RL_ABOUT_TAKE, words);
}

static bool
notate(const RlDocument *const document, Workspace *const w)
{
  const RlTranscribed *const over = &document->transcribed;
  const RlSnapshot *const    m    = &document->master;
  if (!(over->tempo > 0) || !rl_notate(&over->take, &m->form, rl_snapshot_key(m, m->hand.song_key),
                                       over->tempo, &w->notate, &w->notated)) {
    return false;
  }
  rl_notated_fields(&over->take, &w->notated);
  return true;
}

/* One more take. True if there was room for it; the problem says what else there is to say. */
static bool
take_add(RlDocument *const document, RlNotated *const notated, RlTakeListWorkspace *const list,
         const char *const problem)
{
  const bool added = rl_take_list_add(&document->takes, document->master.take, &notated->phrase,
                                      notated->bar, document->plan, list);
  result_adopt(document, added, list);
  if (added) {
    rl_lifts_title_taken(&document->lifts, notated->phrase.title);
  }
  if (problem && !list->problem[0]) {
    problem_set(document, problem);
  }
  return added;
}

static const char no_memory_to_write[] =
  "take: not enough memory to write it down; close another program and play it again";

/* Writes down the take that is over; true if the takes or the problem have changed. */
static bool
write_down(RlDocument *const document)
{
  const RlTranscribed *const over = &document->transcribed;
  Workspace *const           w    = (Workspace *)malloc(sizeof(Workspace));
  bool                       told = true;
  if (!w) {
    problem_set(document, no_memory_to_write);
  } else if (notate(document, w)) {
    take_add(document, &w->notated, &w->list, over->lost ? too_fast : NULL);
  } else if (over->lost) {
    problem_set(document, too_fast);
  } else {
    told = false;
  }
  free(w);
  return told;
}

/* ---- lifted ---- */

void
rl_takes_lifted(RlDocument *const document, RlNotated *const notated, RlPicture *const picture,
                const RlLiftedHow how)
{
  static const char *const problems[] = {
    [RL_LIFTED_SHORT] = "take: its beginning is missing; the last 60 seconds of the track are kept",
    [RL_LIFTED_LOST] =
      "take: some of the track could not be kept; what was played there is missing, play it again"};
  RlTakeListWorkspace *const work = workspace();
  if (!work) {
    problem_set(document, no_memory_to_write);
    free(picture);
  } else if (take_add(document, notated, work, problems[how]) && picture) {
    memcpy(picture->title, notated->phrase.title, sizeof(picture->title));
    rl_lifts_picture_keep(&document->lifts, picture);
  } else {
    free(picture);
  }
  free(work);
}

/* ---- what was just played ---- */

/* What was just played, though nothing was armed. */
static bool
last_keep(RlDocument *const document, const RlTakeEvent *const event)
{
  static const char *const nothing[] = {
    "take: nothing was played in the last chorus; play while the music rolls, then press",
    "take: nothing was played in the last four bars; play while the music rolls, then press"};
  if (rl_recall_take(&document->recall, &document->master.form, event, &document->transcribed)) {
    return write_down(document);
  }
  problem_set(document, nothing[event->four_bars]);
  return true;
}

bool
rl_takes_hear(RlDocument *const document, const RlTakeEvent *const event)
{
  rl_recall_hear(&document->recall, event);
  if (event->source == RL_FROM_TRACK) {
    rl_transcriber_hear(&document->transcriber, event, &document->transcribed);
    return rl_lifts_hear(document, event);
  }
  return event->kind == RL_TAKE_LAST
           ? last_keep(document, event)
           : rl_transcriber_hear(&document->transcriber, event, &document->transcribed) &&
               write_down(document);
}

void
rl_takes_finish(RlDocument *const document)
{
  rl_recall_forget(&document->recall);
  rl_practice_forget(document);
  if (rl_transcriber_finish(&document->transcriber, &document->transcribed)) {
    write_down(document);
  }
}

/* ---- set, edited, restored ---- */

static const char no_memory[] =
  "take: not enough memory to change it; close another program and do it again";

void
rl_takes_set(RlDocument *const document, const RlSlice text)
{
  RlTakeListWorkspace *const work = workspace();
  if (work) {
    result_adopt(document, rl_take_list_set(&document->takes, document->master.take, text, work),
                 work);
  } else {
    problem_set(document, no_memory);
  }
  free(work);
}

void
rl_takes_edit(RlDocument *const document, const RlSlice text)
{
  RlTakeListWorkspace *const work = workspace();
  if (work) {
    result_adopt(document, rl_take_list_edit(&document->takes, document->master.take, text, work),
                 work);
  } else {
    problem_set(document, no_memory);
  }
  free(work);
}

/* What cannot be read is kept all the same, if it is text at all, so that nothing is lost. */
void
rl_takes_restore(RlDocument *const document, const RlSlice text)
{
  RlTakeListWorkspace *const work    = workspace();
  const bool                 is_text = text.length <= RL_PLAN_MAX && rl_slice_bad_byte(text) < 0;
  if (work) {
    rl_take_list_restore(&document->takes, text, work);
  }
  problem_set(
    document,
    work ? work->problem
         : "the saved takes: not enough memory to read it; close another program and set it again");
  free(work);
  rl_setting_text(document, RL_TAKE, is_text ? text : rl_slice(""));
}
