/* SPDX-License-Identifier: ISC */
#include "plugin/worker/document.h"

#include "plugin/worker/music.h"
#include "plugin/worker/setting.h"
#include "plugin/worker/takes.h"

#include <stdlib.h>
#include <string.h>

static const char default_osc_to[] = "127.0.0.1:9911";

void
rl_document_free(RlSnapshot *const snapshot)
{
  free(snapshot);
}

/* ---- what the audio thread asks ---- */

_Static_assert(sizeof(RlAskHead) + RL_PROPERTY_MOST < RL_RING_SIZE,
               "the longest property does not go through the ring");
_Static_assert(sizeof(RlHand) <= RL_PROPERTY_MOST && sizeof(RlBarOne) <= RL_PROPERTY_MOST &&
                 sizeof(RlTakeEvent) <= RL_PROPERTY_MOST,
               "a request's body is longer than the buffer it is read into");

static void
snapshot_return(RlDocument *const document)
{
  RlSnapshot *old;
  memcpy(&old, document->body, sizeof(old));
  rl_snapshot_pool_return(&document->pool, old);
}

static void
hand_set(RlDocument *const document)
{
  memcpy(&document->master.hand, document->body, sizeof(RlHand));
  rl_music_line(document);
  rl_music_lane(document);
}

static bool
take_hear(RlDocument *const document)
{
  RlTakeEvent event;
  memcpy(&event, document->body, sizeof(event));
  const bool taken = rl_takes_hear(document, &event);
  return rl_practice_hear(document, &event) || taken;
}

static void
picture_return(RlDocument *const document)
{
  RlPicture *told;
  memcpy(&told, document->body, sizeof(told));
  free(told);
}

/* The hand is the audio thread's, and what it gives back is gone. */
static bool
outlasts_session(const uint32_t ask)
{
  return ask == RL_ASK_HAND || ask == RL_ASK_FREE || ask == RL_ASK_FREE_PICTURE;
}

/* True if anything has changed that the audio thread must know. What was asked before a session was
   restored no longer counts: the session replaces it. */
static bool
body_answer(RlDocument *const document, const RlAskHead *const head)
{
  const RlProperty property = (RlProperty)head->property;
  const bool       stale    = head->session != document->master.bar_one_version;
  if (stale && !outlasts_session(head->ask)) {
    return false;
  }
  switch (head->ask) {
  case RL_ASK_PROPERTY:
    rl_setting_set(document, property, (RlSlice){document->body, head->size});
    return true;
  case RL_ASK_REFUSE:
    rl_setting_refuse(document, property);
    return true;
  case RL_ASK_LOST:
    rl_setting_lose(document, property);
    return true;
  case RL_ASK_HAND:
    hand_set(document);
    return true;
  case RL_ASK_BAR_ONE:
    memcpy(&document->master.bar_one, document->body, sizeof(RlBarOne));
    return false; /* the audio thread knows it already */
  case RL_ASK_TAKE:
    return take_hear(document);
  case RL_ASK_FREE:
    snapshot_return(document);
    return false;
  case RL_ASK_FREE_PICTURE:
    picture_return(document);
    return false;
  default:
    return false;
  }
}

/* Nothing longer than the body can be in the ring: the writer refuses it first. */
void
rl_document_answer(RlDocument *const document, RlRing *const ring)
{
  RlAskHead head;
  pthread_mutex_lock(&document->lock);
  bool changed = document->pool.due;
  while (rl_ring_read(ring, &head, sizeof(head)) && rl_ring_read(ring, document->body, head.size)) {
    changed = body_answer(document, &head) || changed;
  }
  if (changed) {
    rl_snapshot_pool_put(&document->pool, &document->master);
  }
  pthread_mutex_unlock(&document->lock);
}

void
rl_document_set(RlDocument *const document, const RlProperty property, const RlSlice text)
{
  pthread_mutex_lock(&document->lock);
  rl_setting_set(document, property, text);
  rl_snapshot_pool_put(&document->pool, &document->master);
  pthread_mutex_unlock(&document->lock);
}

/* ---- the sender ---- */

static void
plan_copy(const RlDocument *const document, RlDocumentTexts *const texts)
{
  const RlPlan *const plan = document->plan;
  memcpy(texts->plan, document->master.plan, sizeof(texts->plan));
  for (int i = 0; plan && i < plan->planned_count; ++i) {
    memcpy(texts->title[i], plan->phrase[plan->planned[i].phrase].title, sizeof(texts->title[i]));
  }
}

bool
rl_document_texts(RlDocument *const document, RlDocumentTexts *const texts)
{
  pthread_mutex_lock(&document->lock);
  const RlSnapshot *const m      = &document->master;
  const bool              chart  = texts->version[RL_CHART] != m->version[RL_CHART];
  const bool              osc_to = texts->version[RL_OSC_TO] != m->version[RL_OSC_TO];
  if (chart) {
    memcpy(texts->chart, m->form.text, sizeof(texts->chart));
  }
  if (texts->version[RL_PLAN] != m->version[RL_PLAN]) {
    plan_copy(document, texts);
  }
  if (chart || texts->version[RL_PRACTICE] != m->version[RL_PRACTICE]) {
    texts->practised = rl_practice_tell(document, texts->practice, &texts->chorus);
  }
  if (osc_to) {
    memcpy(texts->osc_to, m->osc_to, sizeof(texts->osc_to));
  }
  memcpy(texts->version, m->version, sizeof(texts->version));
  pthread_mutex_unlock(&document->lock);
  return osc_to;
}

unsigned
rl_document_form(RlDocument *const document, RlForm *const form)
{
  pthread_mutex_lock(&document->lock);
  *form                  = document->master.form;
  const unsigned version = document->master.version[RL_CHART];
  pthread_mutex_unlock(&document->lock);
  return version;
}

unsigned
rl_document_hear_takes(RlDocument *const document)
{
  pthread_mutex_lock(&document->lock);
  const unsigned asked = document->hear_takes;
  pthread_mutex_unlock(&document->lock);
  return asked;
}

char *
rl_document_hear_take(RlDocument *const document, unsigned *const asked)
{
  pthread_mutex_lock(&document->lock);
  char *const text    = document->hear_take;
  *asked              = document->hear_takes;
  document->hear_take = NULL;
  pthread_mutex_unlock(&document->lock);
  return text;
}

void
rl_document_problem(RlDocument *const document, const RlAbout about, const char *const text)
{
  pthread_mutex_lock(&document->lock);
  rl_setting_problem(document, about, text);
  rl_snapshot_pool_put(&document->pool, &document->master);
  pthread_mutex_unlock(&document->lock);
}

/* ---- the track lifted ---- */

bool
rl_document_lift_due(RlDocument *const document)
{
  pthread_mutex_lock(&document->lock);
  const bool due = document->lifts.count > 0;
  pthread_mutex_unlock(&document->lock);
  return due;
}

bool
rl_document_lift_next(RlDocument *const document, RlLiftDue *const due)
{
  pthread_mutex_lock(&document->lock);
  RlLifts *const    l   = &document->lifts;
  RlSnapshot *const m   = &document->master;
  const bool        any = l->count > 0;
  if (any) {
    due->want    = l->want[0];
    due->form    = m->form;
    due->key     = rl_snapshot_key(m, m->hand.song_key);
    due->chart   = m->version[RL_CHART];
    due->session = m->bar_one_version;
    memmove(&l->want[0], &l->want[1], (RL_LIFTS_DUE - 1) * sizeof(l->want[0]));
    --l->count;
  }
  pthread_mutex_unlock(&document->lock);
  return any;
}

void
rl_document_lifted(RlDocument *const document, const unsigned session, RlNotated *const notated,
                   RlPicture *const picture, const RlLiftedHow how)
{
  pthread_mutex_lock(&document->lock);
  if (session == document->master.bar_one_version) {
    rl_takes_lifted(document, notated, picture, how);
    rl_snapshot_pool_put(&document->pool, &document->master);
  } else {
    free(picture);
  }
  pthread_mutex_unlock(&document->lock);
}

bool
rl_document_lift_where(RlDocument *const document, const RlSlice title, RlLiftWhere *const where)
{
  pthread_mutex_lock(&document->lock);
  const RlPicture *const p = rl_lifts_picture(&document->lifts, title);
  *where                   = p ? (RlLiftWhere){p->keeping, p->first, p->samples} : (RlLiftWhere){0};
  pthread_mutex_unlock(&document->lock);
  return p;
}

/* ---- opening ---- */

bool
rl_document_open(RlDocument *const document)
{
  memset(document, 0, sizeof(*document));
  pthread_mutex_init(&document->lock, NULL);
  document->master.hand = (RlHand){.player = {3, 3, false}, .song_key = 12};
  if (!rl_music_chart_set(document, rl_slice(rl_chart_default), "")) {
    return false;
  }
  rl_setting_set(document, RL_OSC_TO, rl_slice(default_osc_to));
  rl_snapshot_pool_put(&document->pool, &document->master);
  return !document->pool.due && rl_snapshot_pool_open(&document->pool);
}

void
rl_document_close(RlDocument *const document)
{
  rl_snapshot_pool_close(&document->pool);
  free(document->unread_chart);
  free(document->unread_plan);
  free(document->plan);
  free(document->hear_take);
  rl_lifts_close(&document->lifts);
  pthread_mutex_destroy(&document->lock);
}
