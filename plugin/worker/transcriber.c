/* SPDX-License-Identifier: ISC */
#include "plugin/worker/transcriber.h"

#include "core/abc/abc.h"
#include "core/arrange/plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const char rl_transcriber_no_memory[] =
  "take: no memory to change it; close something and do it again";

static const char no_memory[] =
  "take: no memory to write it down; close something and play it again";
static const char too_fast[] =
  "take: more MIDI at once than could be heard; some of it is missing, play it again";
static const char too_long[] = "take: longer than there is room for; play less of it at a time";
static const char unread[] =
  "take: the takes before could not be read; they stand among the takes as comments";
static const char no_room[] = "take: no room for more takes, the oldest went; keep or discard some";

void
rl_transcriber_drop(RlTranscriber *const s)
{
  free(s->take);
  s->take = NULL;
}

static void
begin(RlTranscriber *const s)
{
  s->tempos      = 0;
  s->tempo_count = 0;
  s->last        = 0;
  if (s->take) {
    rl_take_again(s->take);
  } else if ((s->take = (RlTake *)malloc(sizeof(RlTake)))) {
    rl_take_begin(s->take);
  }
}

/* ---- writing ---- */

typedef struct {
  RlNotateWorkspace notate;
  RlNotated         notated;
  RlPhrase          phrase;
  RlPlan            plan, there;
  RlPlanError       error;
  char              abc[RL_ABC_MAX], text[RL_PLAN_MAX + 1];
} Room;

static void
name(RlNotated *const notated, const RlPlan *const takes, const RlPlan *const plan)
{
  int n = 0;
  do {
    RlText title = rl_text_in(notated->phrase.title, RL_PHRASE_TITLE_SIZE);
    rl_text_add(&title, "Take ");
    rl_text_add_int(&title, ++n);
  } while (rl_plan_find(takes, notated->phrase.title) >= 0 ||
           (plan && rl_plan_find(plan, notated->phrase.title) >= 0));
  RlText fields = rl_text_in(notated->phrase.fields, RL_PHRASE_FIELDS_SIZE);
  rl_text_add(&fields, "N:");
  rl_notated_say(notated, &fields);
  rl_text_add(&fields, "\n");
}

/* Takes that cannot be read (of another version, or a hand has been at them) stay there as
   comments, as far as there is room. */
static void
comment(const char *const takes, RlText *const out, Room *const r)
{
  RlSlice rest = rl_slice(takes);
  *out         = rl_text_in(r->text, sizeof(r->text) / 2);
  while (rest.length) {
    const size_t n = rl_slice_until(rest, "\n");
    rl_text_add(out, "# ");
    rl_text_add_slice(out, (RlSlice){rest.at, n});
    rl_text_add(out, "\n");
    rest = rl_slice_after(rest, n + 1);
  }
  if (out->used + 1 >= out->size ||
      !rl_plan_read(rl_slice(r->text), &r->phrase, &r->plan, &r->error)) {
    *out = rl_text_in(r->text, sizeof(r->text));
    rl_plan_read(rl_slice(""), &r->phrase, &r->plan, &r->error);
  }
}

static void
plan_again(Room *const r)
{
  rl_plan_read(rl_slice(r->text), &r->phrase, &r->plan, &r->error);
}

/* One more; while there is no room the oldest go. NULL, or what became of that. */
static const char *
take_add(Room *const r, const RlPlanned *const where, const char *const title, const RlSlice tune,
         RlText *const text)
{
  const char *problem = NULL;
  while (rl_plan_add(&r->plan, where, title, tune, text)) {
    if (!r->plan.phrase_count) {
      return too_long;
    }
    RlText fewer = rl_text_in(r->text, sizeof(r->text));
    rl_plan_drop(&r->plan, 0, &fewer);
    plan_again(r);
    problem = no_room;
  }
  return problem;
}

/* Says in the takes how many there have been. */
static void
count_write(Room *const r, const unsigned taken)
{
  RlText text = rl_text_in(r->text, sizeof(r->text));
  if (rl_plan_count(&r->plan, taken < UINT16_MAX ? (int)taken : UINT16_MAX, &text)) {
    plan_again(r);
  }
}

/* The takes before, less the oldest while there is no room, and the new one. */
static const char *
takes_write(RlTranscriber *const s, Room *const r, const RlSong *const song, RlText *const text)
{
  const RlPlanned where   = {.bar = (uint16_t)r->notated.bar, .move = RL_MOVE_CHORD};
  const char     *problem = NULL;
  RlAbcError      wrong;
  RlText          abc    = rl_text_in(r->abc, sizeof(r->abc));
  RlText          before = rl_text_in(r->text, sizeof(r->text));
  rl_text_add(&before, song->takes);
  if (!rl_plan_read(rl_slice(r->text), &r->phrase, &r->plan, &r->error)) {
    comment(song->takes, &before, r);
    problem = unread;
  }
  name(&r->notated, &r->plan, song->plan);
  const RlSlice tune = rl_abc_tune(&r->notated.phrase, &abc);
  if (!rl_abc_read(tune, &r->phrase, &wrong)) { /* more bars than a tune has */
    return too_long;
  }
  count_write(r, s->taken + 1);
  const char *const less = take_add(r, &where, r->notated.phrase.title, tune, text);
  if (text->used) {
    memcpy(s->title[++s->taken % RL_PLAN_PHRASES_MAX], r->notated.phrase.title,
           RL_PHRASE_TITLE_SIZE);
  }
  return less ? less : problem;
}

/* The take of that title among those there, if the ones sent do not know it. */
static const char *
take_rescue(Room *const r, const char *const title, RlText *const text)
{
  const int at = title[0] ? rl_plan_find(&r->there, title) : -1;
  if (at < 0 || rl_plan_find(&r->plan, title) >= 0) {
    return NULL;
  }
  int put = 0;
  while (put < r->there.planned_count && r->there.planned[put].phrase != at) {
    ++put;
  }
  const RlPlanned where =
    put < r->there.planned_count ? r->there.planned[put] : (RlPlanned){.bar = 1};
  const char *const less = take_add(r, &where, title, rl_plan_tune(&r->there, at), text);
  if (text->used) {
    RlText whole = rl_text_in(r->text, sizeof(r->text));
    rl_text_add(&whole, text->to);
    plan_again(r);
  }
  *text = rl_text_in(text->to, text->size);
  return less;
}

const char *
rl_transcriber_merge(RlTranscriber *const s, const RlPlan *const sent, const char *const takes,
                     RlText *const text)
{
  const unsigned known = sent->taken_line ? sent->taken : s->taken;
  const unsigned oldest =
    s->taken - (s->taken < RL_PLAN_PHRASES_MAX ? s->taken : RL_PLAN_PHRASES_MAX);
  const char *problem = NULL;
  Room *const r       = (Room *)malloc(sizeof(Room));
  if (!r) {
    return rl_transcriber_no_memory;
  }
  if (rl_plan_read(rl_slice(takes), &r->phrase, &r->there, &r->error)) {
    r->plan = *sent;
    if (s->taken) {
      count_write(r, s->taken);
    }
    for (unsigned n = known > oldest ? known : oldest; n < s->taken; ++n) {
      const char *const less = take_rescue(r, s->title[(n + 1) % RL_PLAN_PHRASES_MAX], text);
      problem                = less ? less : problem;
    }
    rl_text_add(text, r->plan.text);
  } else {
    rl_text_add(text, sent->text);
  }
  free(r);
  return problem;
}

void
rl_transcriber_count(RlTranscriber *const s, const RlPlan *const restored)
{
  s->taken = restored->taken;
  memset(s->title, 0, sizeof(s->title));
}

static RlTranscribed
finish(RlTranscriber *const s, const double at, const unsigned lost, const RlSong *const song,
       RlText *const text)
{
  RlTranscribed done  = {false, lost ? too_fast : NULL};
  Room *const   room  = (Room *)malloc(sizeof(Room));
  const double  tempo = s->tempo_count ? fmin(fmax(s->tempos / s->tempo_count, 10), 1000) : 0;
  rl_take_end(s->take, at);
  if (!room) {
    done.problem = no_memory;
  } else if (tempo > 0 &&
             rl_notate(s->take, song->form, song->key, tempo, &room->notate, &room->notated)) {
    const char *const problem = takes_write(s, room, song, text);
    done.over                 = text->used > 0;
    done.problem              = problem ? problem : done.problem;
  }
  free(room);
  return done;
}

/* ---- hearing ---- */

/* Without the memory for it they stay where they are. */
static RlTake *
early_notes(RlTranscriber *const s, const RlTakeEvent *const event)
{
  static const double slack = 1e-6; /* `early` is a float */
  RlTake *const       next  = event->early > 0 ? (RlTake *)malloc(sizeof(RlTake)) : NULL;
  if (next) {
    rl_take_split(s->take, event->at - (double)event->early - slack, event->to - event->at, next);
  }
  return next;
}

static RlTranscribed
over(RlTranscriber *const s, const RlTakeEvent *const event, const RlSong *const song,
     RlText *const text)
{
  RlTake *const       next = s->take ? early_notes(s, event) : NULL;
  const RlTranscribed done =
    s->take ? finish(s, event->at, event->lost, song, text) : (RlTranscribed){false, NULL};
  if (event->news == RL_TAKE_ENDS) {
    rl_transcriber_drop(s);
    return done;
  }
  begin(s);
  if (next) {
    free(s->take);
    s->take        = next;
    s->tempos      = (double)event->tempo;
    s->tempo_count = event->tempo > 0;
    s->last        = event->to;
  }
  return done;
}

RlTranscribed
rl_transcriber_hear(RlTranscriber *const s, const RlTakeEvent *const event,
                    const RlSong *const song, RlText *const text)
{
  RlTranscribed done = {false, NULL};
  switch (event->news) {
  case RL_TAKE_BEGINS:
    begin(s);
    break;
  case RL_TAKE_DROPPED:
    rl_transcriber_drop(s);
    break;
  case RL_TAKE_PAUSES:
  case RL_TAKE_ENDS:
    done = over(s, event, song, text);
    break;
  default:
    if (s->take) {
      rl_take_midi(s->take, event->at, event->bytes, sizeof(event->bytes));
      s->last = event->at;
      s->tempos += event->tempo > 0 ? (double)event->tempo : 0;
      s->tempo_count += event->tempo > 0;
    }
    break;
  }
  return done;
}

RlTranscribed
rl_transcriber_finish(RlTranscriber *const s, const RlSong *const song, RlText *const text)
{
  RlTranscribed done = {false, NULL};
  if (s->take && s->take->notes) {
    done = finish(s, s->last, 0, song, text);
    begin(s);
  }
  return done;
}
