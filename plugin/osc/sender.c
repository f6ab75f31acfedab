/* SPDX-License-Identifier: ISC */
#include "plugin/osc/sender.h"

#include "plugin/osc/bundle.h"
#include "plugin/shared/frame_clock.h"

#include <math.h>
#include <string.h>

static const int64_t stale = 500000000; /* nanoseconds */

/* ---- packets ---- */

typedef struct {
  RlReceivers *receivers;
  RlWho        who;
} Round;

static void
out(void *const data, const void *const packet, const size_t size)
{
  const Round *const r = (const Round *)data;
  rl_receivers_send(r->receivers, r->who, packet, size);
}

static bool
text_send(const RlOscSnapshot *const snapshot, const char *const path, const char *const text,
          Round round)
{
  return rl_osc_write_text(snapshot->when, path, rl_slice(text), out, &round);
}

/* The long texts, and the last chorus: what changed, or `all`. */
static bool
texts_send(const RlSender *const s, const RlOscSnapshot *const snapshot, Round round,
           const bool all)
{
  const RlDocumentTexts *const t    = &s->texts;
  const bool                   song = all || snapshot->chart != s->chart;
  const bool                   plan = all || snapshot->plan != s->plan;
  const bool                   more = all || t->version[RL_PRACTICE] != s->practice;
  bool whole = !song || text_send(snapshot, "/reedlamp/chart", t->chart, round);
  whole      = (!plan || text_send(snapshot, "/reedlamp/plan", t->plan, round)) && whole;
  whole =
    (!more || !t->practised || rl_osc_write_chorus(snapshot->when, &t->chorus, out, &round)) &&
    whole;
  return (!(more || song) || text_send(snapshot, "/reedlamp/practice", t->practice, round)) &&
         whole;
}

static bool
round_send(const RlSender *const s, const RlOscUpdate *const what,
           const RlOscSnapshot *const snapshot, Round round, const bool all)
{
  RlOscUpdate told = *what;
  told.full        = all;
  if (!rl_receivers_any(round.receivers, round.who)) {
    return true;
  }
  const bool state = rl_osc_write(&told, out, &round);
  return texts_send(s, snapshot, round, all) && state;
}

static void
last_send(RlSender *const s, const int64_t when, Round round)
{
  rl_osc_state_end(&s->was);
  rl_osc_write_last(when, &s->was, out, &round);
}

/* ---- snapshots ---- */

/* Is the next chord elsewhere than it would be had the music run on? */
static bool
leaped(const RlOscSnapshot *const was, const RlOscSnapshot *const now)
{
  static const double least = 0.05; /* beats */
  const double        run   = was->beats_per_frame * (double)(now->frame - was->frame);
  return now->follows &&
         fabs((double)was->beats_to_next - run - (double)now->beats_to_next) > least;
}

/* Those no longer named are told that it is over for them. */
static void
receivers_list(RlSender *const s, const int64_t when)
{
  RlReceivers *const rs  = &s->receivers;
  RlOscState         end = s->was;
  rl_receivers_set(rs, rl_slice(s->texts.osc_to));
  if (s->on && rl_receivers_any(rs, RL_RECEIVERS_LEAVING)) {
    rl_osc_state_end(&end);
    rl_osc_write_last(when, &end, out, &(Round){rs, RL_RECEIVERS_LEAVING});
  }
  rl_receivers_part(rs);
  s->listed = true;
}

/* Of the phrase that sounds; a plan that the document has changed since has other ones. */
static const char *
title_of(const RlSender *const s, const RlOscSnapshot *const snapshot)
{
  const bool known = snapshot->sounding && snapshot->plan == s->texts.version[RL_PLAN];
  return known ? s->texts.title[snapshot->note[0].planned] : "";
}

static void
on_send(RlSender *const s, const RlOscSnapshot *const snapshot)
{
  RlReceivers *const rs   = &s->receivers;
  const RlOscState   now  = rl_osc_state_of(snapshot, title_of(s, snapshot));
  const RlOscUpdate  what = {.when   = snapshot->when,
                             .was    = s->on ? &s->was : NULL,
                             .now    = &now,
                             .moved  = snapshot->moved,
                             .leaped = leaped(&s->latest, snapshot)};
  if (!s->listed) {
    receivers_list(s, snapshot->when);
  }
  if (snapshot->full) {
    rl_receivers_check(rs);
  }
  rl_receivers_try(rs);
  const RlWho behind = snapshot->full ? RL_RECEIVERS_ALL : RL_RECEIVERS_BEHIND;
  const bool  all    = round_send(s, &what, snapshot, (Round){rs, behind}, true);
  const bool  some =
    snapshot->full || round_send(s, &what, snapshot, (Round){rs, RL_RECEIVERS_KNOWING}, false);
  s->whole = all && some;
  rl_receivers_told(rs, s->whole);
  s->was      = now;
  s->chart    = snapshot->chart;
  s->plan     = snapshot->plan;
  s->practice = s->texts.version[RL_PRACTICE];
  s->latest   = *snapshot;
  s->on       = true;
}

static void
snapshot_send(RlSender *const s, const RlOscSnapshot *const snapshot)
{
  if (!snapshot->last) {
    on_send(s, snapshot);
    return;
  }
  if (s->on) {
    last_send(s, snapshot->when, (Round){&s->receivers, RL_RECEIVERS_ALL});
  }
  rl_receivers_close(&s->receivers);
  s->whole  = true;
  s->on     = false;
  s->listed = false;
}

/* Passes over those that come too late, unless they are the newest; what they wanted is wanted
   still. */
static void
mailbox_empty(RlSender *const s, RlMailbox *const mailbox)
{
  RlOscSnapshot snapshot, next = {0};
  bool          more = rl_mailbox_pop(mailbox, &snapshot);
  const int64_t late = rl_frame_clock_now() - stale;
  while (more) {
    more = rl_mailbox_pop(mailbox, &next);
    if (more && snapshot.when < late && !snapshot.last) {
      next.full  = !next.last && (next.full || snapshot.full);
      next.moved = next.moved || snapshot.moved;
    } else {
      snapshot_send(s, &snapshot);
    }
    snapshot = next;
  }
}

/* ---- all together ---- */

static void
problem_tell(RlSender *const s, RlDocument *const document)
{
  char   buffer[RL_PROBLEM_SIZE];
  RlText text = rl_text_in(buffer, sizeof(buffer));
  rl_receivers_problem(&s->receivers, &text);
  if (!s->whole) {
    rl_text_add(&text, text.used ? "; " : "");
    rl_text_add(&text, "osc_to: not enough memory to send everything; close another program");
  }
  if (strcmp(s->problem, text.to) != 0) {
    memcpy(s->problem, text.to, text.used + 1);
    rl_document_problem(document, RL_ABOUT_RECEIVERS, text.to);
  }
}

void
rl_sender_work(RlSender *const s, RlMailbox *const mailbox, RlDocument *const document)
{
  pthread_mutex_lock(&s->lock);
  if (rl_document_texts(document, &s->texts)) {
    s->listed = false;
  }
  mailbox_empty(s, mailbox);
  problem_tell(s, document);
  pthread_mutex_unlock(&s->lock);
}

void
rl_sender_open(RlSender *const s)
{
  pthread_mutex_init(&s->lock, NULL);
  s->whole = true;
}

void
rl_sender_close(RlSender *const s)
{
  rl_receivers_close(&s->receivers);
  pthread_mutex_destroy(&s->lock);
}
