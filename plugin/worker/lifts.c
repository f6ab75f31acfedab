/* SPDX-License-Identifier: ISC */
#include "plugin/worker/lifts.h"

#include "plugin/worker/setting.h"

#include <stdlib.h>
#include <string.h>

/* ---- wanted ---- */

static void
want_name(const RlLiftWant *const want, RlText *const text)
{
  if (want->kind != RL_LIFT_WANT_BARS) {
    rl_text_add(text, "take: ");
    return;
  }
  rl_text_add(text, want->first < want->last ? "lift: bars " : "lift: bar ");
  rl_text_add_int(text, want->first);
  if (want->first < want->last) {
    rl_text_add(text, " to ");
    rl_text_add_int(text, want->last);
  }
  rl_text_add(text, ": ");
}

void
rl_lift_want_wrong(const RlLiftWant *const want, const char *const why, char words[RL_REASON_SIZE])
{
  RlText text = rl_text_in(words, RL_REASON_SIZE);
  want_name(want, &text);
  rl_text_add(&text, why);
}

static void
want_problem(RlDocument *const document, const RlLiftWant *const want, const char *const why)
{
  char words[RL_REASON_SIZE];
  rl_lift_want_wrong(want, why, words);
  rl_setting_problem(document, RL_ABOUT_TAKE, words);
}

/* True if the problem has changed. */
static bool
want_add(RlDocument *const document, const RlLiftWant *const want)
{
  RlLifts *const l = &document->lifts;
  if (l->count == RL_LIFTS_DUE) {
    want_problem(document, want, "too much at once; wait a moment and ask again");
    return true;
  }
  l->want[l->count++] = *want;
  return false;
}

bool
rl_lifts_hear(RlDocument *const document, const RlTakeEvent *const event)
{
  const bool last = event->kind == RL_TAKE_LAST;
  if (!last && event->kind != RL_TAKE_PAUSES && event->kind != RL_TAKE_ENDS) {
    return false;
  }
  const RlLiftWant want = {.kind      = last ? RL_LIFT_WANT_LAST : RL_LIFT_WANT_FRAMES,
                           .from      = (int64_t)event->from,
                           .at        = (int64_t)event->at,
                           .four_bars = event->four_bars,
                           .pauses    = event->kind == RL_TAKE_PAUSES};
  return want_add(document, &want);
}

/* ---- pictures ---- */

static RlPicture **
picture_find(RlLifts *const l, const RlSlice title)
{
  for (int i = 0; i < RL_LIFTS_PICTURES; ++i) {
    if (l->picture[i] && rl_slice_is(title, l->picture[i]->title)) {
      return &l->picture[i];
    }
  }
  return NULL;
}

void
rl_lifts_title_taken(RlLifts *const l, const char *const title)
{
  RlPicture **const old = picture_find(l, rl_slice(title));
  if (old) {
    free(*old);
    *old = NULL;
  }
}

void
rl_lifts_picture_keep(RlLifts *const l, RlPicture *const picture)
{
  RlPicture **const oldest = &l->picture[l->pictures++ % RL_LIFTS_PICTURES];
  free(*oldest);
  *oldest = picture;
}

const RlPicture *
rl_lifts_picture(RlLifts *const l, const RlSlice title)
{
  RlPicture **const found = picture_find(l, title);
  return found ? *found : NULL;
}

/* A copy of it is told, since another take may get this title meanwhile. */
static void
picture_ask(RlDocument *const document, const RlSlice title)
{
  RlPicture **const found = picture_find(&document->lifts, title);
  RlPicture *const  copy  = found ? (RlPicture *)malloc(sizeof(*copy)) : NULL;
  if (copy) {
    memcpy(copy, *found, sizeof(*copy));
    free(atomic_exchange(&document->pool.outbox.picture, copy));
  }
  rl_setting_problem(
    document, RL_ABOUT_TAKE,
    copy    ? ""
    : found ? "lift: not enough memory for the picture; close another program and ask again"
            : rl_lift_no_picture);
}

/* ---- the property ---- */

void
rl_lifts_ask(RlDocument *const document, const RlSlice text)
{
  RlLiftAsk ask;
  if (!rl_lift_ask_read(text, &ask)) {
    rl_setting_problem(document, RL_ABOUT_TAKE, "lift: write bars: 3-6, or picture: Take 2");
  } else if (ask.kind == RL_LIFT_ASK_PICTURE) {
    picture_ask(document, ask.title);
  } else {
    const RlLiftWant want = {.kind = RL_LIFT_WANT_BARS, .first = ask.first, .last = ask.last};
    if (ask.last > document->master.form.bars) {
      want_problem(document, &want, "the form has no such bar; choose bars that it has");
    } else {
      want_add(document, &want);
    }
  }
}

void
rl_lifts_close(RlLifts *const l)
{
  for (int i = 0; i < RL_LIFTS_PICTURES; ++i) {
    free(l->picture[i]);
  }
}
