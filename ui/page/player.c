/* SPDX-License-Identifier: ISC */
#include "ui/page/player.h"

#include "core/harmony/harp.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double often  = 0.095; /* seconds between two places of a needle */
static const double lately = 1.5;   /* seconds for which a hit is told */
static const double deaf   = 5;     /* seconds without a word after which nobody hears */

static bool
within(const double value, const double least, const double most)
{
  return value >= least && value <= most; /* false for NaN */
}

static int
technique_of(const char *const name)
{
  int how = 0;
  while (how < RL_TECHNIQUES && strcmp(name, rl_technique_name((RlTechnique)how)) != 0) {
    ++how;
  }
  return how;
}

/* Notes of one bundle stand together. */
bool
rl_page_player_heard(RlPagePlayer *const p, const RlOscMessage *const m, const double now)
{
  RlPageNotes *const    c    = &p->heard;
  const RlOscArg *const a    = m->arg;
  const int             hole = a[0].i;
  const int             how  = hole ? technique_of(a[1].s) : 0;
  const bool            more = m->time != RL_OSC_IMMEDIATELY && m->time == p->tag && c->count > 0 &&
                    c->count < RL_PAGE_NOTES_MAX && hole > c->note[c->count - 1].hole;
  if (!within(hole, 0, RL_HOLES) || how == RL_TECHNIQUES || !within(a[2].i, 0, 127) ||
      !within((double)a[3].f, -1000, 1000)) {
    return false;
  }
  c->count = hole == 0 ? 0 : more ? c->count + 1 : 1;
  if (hole) {
    c->note[c->count - 1] = (RlPageNote){hole, how, a[2].i, (int)lround((double)a[3].f)};
  }
  p->tag   = m->time;
  p->known = true;
  p->last  = now;
  return true;
}

bool
rl_page_player_hit(RlPagePlayer *const p, const RlOscMessage *const m, const double now)
{
  const RlOscArg *const a      = m->arg;
  const bool            target = !strcmp(a[0].s, "target");
  if (!(target || !strcmp(a[0].s, "planned")) || !within(a[1].i, 0, 9999) ||
      !within(a[2].i, -9999, 9999) || !within((double)a[3].f, 0, 1025)) {
    return false;
  }
  p->hit[p->hits++ % RL_PAGE_HITS_MAX] = (RlPageHit){a[1].i, a[2].i, a[3].f, target, now};
  return true;
}

/* As the page has it: so far that it shows. */
static bool
bent(const RlPageNote *const note)
{
  return note->how > RL_DRAW || abs(note->cents) >= 25;
}

bool
rl_page_player_news(RlPagePlayer *const p, const double now)
{
  const RlPageNotes *const a = &p->heard;
  const RlPageNotes *const b = &p->told;
  const bool               bends =
    a->count == 1 && now - p->told_at > often && (bent(&a->note[0]) || bent(&b->note[0]));
  bool news = a->count != b->count;
  for (int i = 0; i < a->count && !news; ++i) {
    const RlPageNote x = a->note[i], y = b->note[i];
    const bool       same = x.hole == y.hole && x.how == y.how && x.note == y.note;
    news                  = !same || (bends && x.cents != y.cents);
  }
  if (news) {
    p->told    = *a;
    p->told_at = now;
  }
  return news;
}

#define PUT(...) (used += (size_t)snprintf(to + used, size - used, __VA_ARGS__))

size_t
rl_page_player_write(const RlPagePlayer *const p, const double now, char *const to,
                     const size_t size)
{
  const char *gap  = "";
  size_t      used = 0;
  if (!p->known || now - p->last > deaf) {
    return 0;
  }
  PUT(",\"heard\":[");
  for (int i = 0; i < p->heard.count; ++i) {
    const RlPageNote n = p->heard.note[i];
    PUT("%s[%d,%d,%d,%d]", i ? "," : "", n.hole, n.how, n.note, n.cents);
  }
  PUT("],\"hits\":[");
  for (unsigned i = p->hits > RL_PAGE_HITS_MAX ? p->hits - RL_PAGE_HITS_MAX : 0; i < p->hits; ++i) {
    const RlPageHit h = p->hit[i % RL_PAGE_HITS_MAX];
    if (now - h.at < lately) {
      PUT("%s[%u,%d,%d,%.5g,%d]", gap, i + 1, h.chorus, h.bar, (double)h.beat, h.target);
      gap = ",";
    }
  }
  PUT("]");
  return used;
}
