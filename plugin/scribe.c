#include "scribe.h"

#include "abc.h"
#include "plan.h"

#include <math.h>
#include <stdlib.h>

static const char no_memory[] =
  "take: no memory to write it down; close something and play it again";
static const char too_fast[] =
  "take: more MIDI at once than could be heard; some of it is missing, play it again";
static const char too_long[] = "take: longer than there is room for; play less of it at a time";
static const char unread[] =
  "take: the takes before could not be read; they stand among the takes as comments";
static const char no_room[] = "take: no room for more takes, the oldest went; keep or discard some";

void
rl_scribe_drop(RlScribe *const s)
{
  free(s->take);
  s->take = NULL;
}

static void
begin(RlScribe *const s)
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
  RlNotateRoom notate;
  RlNotated    notated;
  RlPhrase     phrase;
  RlPlan       plan;
  RlPlanError  error;
  char         abc[RL_ABC_MAX], text[RL_PLAN_MAX + 1];
} Room;

static void
name(RlNotated *const notated, const RlPlan *const takes, const RlPlan *const plan)
{
  int n = 0;
  do {
    RlText title = rl_text_in(notated->phrase.title, RL_PHRASE_TITLE_ROOM);
    rl_text_add(&title, "Take ");
    rl_text_add_int(&title, ++n);
  } while (rl_plan_find(takes, notated->phrase.title) >= 0 ||
           (plan && rl_plan_find(plan, notated->phrase.title) >= 0));
  RlText fields = rl_text_in(notated->phrase.fields, RL_PHRASE_FIELDS_ROOM);
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
  if (out->used + 1 >= out->room ||
      !rl_plan_read(rl_slice(r->text), &r->phrase, &r->plan, &r->error)) {
    *out = rl_text_in(r->text, sizeof(r->text));
    rl_plan_read(rl_slice(""), &r->phrase, &r->plan, &r->error);
  }
}

/* The takes before, less the oldest while there is no room, and the new one. */
static const char *
takes_write(Room *const r, const RlSong *const song, RlText *const text)
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
  while (rl_plan_add(&r->plan, &where, r->notated.phrase.title, tune, text)) {
    if (!r->plan.phrase_count) {
      return too_long;
    }
    before = rl_text_in(r->text, sizeof(r->text));
    rl_plan_drop(&r->plan, 0, &before);
    rl_plan_read(rl_slice(r->text), &r->phrase, &r->plan, &r->error);
    problem = no_room;
  }
  return problem;
}

static RlScribed
finish(RlScribe *const s, const double at, const unsigned lost, const RlSong *const song,
       RlText *const text)
{
  RlScribed    done  = {false, lost ? too_fast : NULL};
  Room *const  room  = (Room *)malloc(sizeof(Room));
  const double tempo = s->tempo_count ? fmin(fmax(s->tempos / s->tempo_count, 10), 1000) : 0;
  rl_take_end(s->take, at);
  if (!room) {
    done.problem = no_memory;
  } else if (tempo > 0 &&
             rl_notate(s->take, song->form, song->key, tempo, &room->notate, &room->notated)) {
    const char *const problem = takes_write(room, song, text);
    done.over                 = text->used > 0;
    done.problem              = problem ? problem : done.problem;
  }
  free(room);
  return done;
}

/* ---- hearing ---- */

RlScribed
rl_scribe_hear(RlScribe *const s, const RlTakeEvent *const event, const RlSong *const song,
               RlText *const text)
{
  RlScribed done = {false, NULL};
  switch (event->news) {
  case RL_TAKE_BEGINS:
    begin(s);
    break;
  case RL_TAKE_DROPPED:
    rl_scribe_drop(s);
    break;
  case RL_TAKE_PAUSES:
  case RL_TAKE_ENDS:
    if (s->take) {
      done = finish(s, event->at, event->lost, song, text);
    }
    if (event->news == RL_TAKE_PAUSES) {
      begin(s);
    } else {
      rl_scribe_drop(s);
    }
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

RlScribed
rl_scribe_turn(RlScribe *const s, const RlSong *const song, RlText *const text)
{
  RlScribed done = {false, NULL};
  if (s->take && s->take->notes) {
    done = finish(s, s->last, 0, song, text);
    begin(s);
  }
  return done;
}
