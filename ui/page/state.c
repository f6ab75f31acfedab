/* SPDX-License-Identifier: ISC */
#include "ui/page/state.h"

#include "core/text/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A sender whose clock was put back is believed again after so many seconds. */
static const double older_by_mistake = 5;
static const double blur             = 0.01; /* seconds: of times brought to our clock */

/* ---- what a message may say ---- */

/* A short text in printable ASCII without quotes, as all names are. */
static bool
name_take(char to[RL_PAGE_STATE_NAME], const char *const from)
{
  const size_t length = strlen(from);
  for (size_t i = 0; i < length; ++i) {
    if (from[i] < ' ' || from[i] > '~' || from[i] == '"' || from[i] == '\\') {
      return false;
    }
  }
  if (length >= RL_PAGE_STATE_NAME) {
    return false;
  }
  memcpy(to, from, length + 1);
  return true;
}

static bool
within(const double value, const double least, const double most)
{
  return value >= least && value <= most; /* no NaN is */
}

static bool
transport_take(RlPageState *const h, const RlOscArg *const a)
{
  if (!within((double)a[1].f, 0, 10000) || !within((double)a[2].f, 0, 1024) ||
      !within(a[3].i, 0, 128)) {
    return false;
  }
  h->rolling = a[0].i != 0;
  h->tempo   = a[1].f;
  h->beats   = a[2].f;
  h->unit    = a[3].i;
  return true;
}

static bool
place_take(RlPageState *const h, const RlOscArg *const a)
{
  if (!within(a[0].i, 0, 9999) || !within(a[1].i, -9999, 9999) || !within(a[2].i, 0, 9999) ||
      !within((double)a[3].f, 0, 1025) || !within((double)a[4].f, 0, 1)) {
    return false;
  }
  h->chorus = a[0].i;
  h->bar    = a[1].i;
  h->bars   = a[2].i;
  h->beat   = a[3].f;
  h->sure   = a[4].f;
  return true;
}

/* Names go in together or not at all. */
static bool
names_take(char *const to[], const RlOscArg from[], const int count)
{
  char names[4][RL_PAGE_STATE_NAME];
  for (int i = 0; i < count; ++i) {
    if (!name_take(names[i], from[i].s)) {
      return false;
    }
  }
  for (int i = 0; i < count; ++i) {
    memcpy(to[i], names[i], RL_PAGE_STATE_NAME);
  }
  return true;
}

static bool
chord_take(RlPageState *const h, const RlOscArg *const a)
{
  char *const to[] = {h->now, h->next, h->now_degree, h->next_degree};
  if (!within((double)a[4].f, 0, 1e6) || !names_take(to, a, 4)) {
    return false;
  }
  h->left = a[4].f;
  return true;
}

static bool
harp_take(RlPageState *const h, const RlOscArg *const a)
{
  char *const    to[]    = {h->harp, h->tuning, h->song_key};
  const RlOscArg names[] = {a[0], a[1], a[3]};
  if (!within(a[2].i, 0, 12) || !names_take(to, names, 3)) {
    return false;
  }
  h->position = a[2].i;
  return true;
}

/* ---- long texts ---- */

/* All parts have come: numbered from 1, or (a sender may count so) from 0. */
static bool
parts_whole(const RlPageStateParts *const p, int *const first)
{
  const uint64_t all = (UINT64_C(1) << p->parts) - 1;
  *first             = (p->came & all) == all ? 0 : 1;
  return (p->came >> *first & all) == all;
}

static bool
text_finish(RlPageStateText *const t, const int first)
{
  const RlPageStateParts *const p      = &t->coming;
  size_t                        length = 0;
  char                          text[RL_PAGE_STATE_TEXT + 1];
  for (int i = first; i < first + p->parts; ++i) {
    if (length + p->length[i] > RL_PAGE_STATE_TEXT) {
      return false;
    }
    memcpy(text + length, p->text + p->start[i], p->length[i]);
    length += p->length[i];
  }
  text[length] = '\0';
  if (rl_slice_bad_byte((RlSlice){text, length}) >= 0) {
    return false;
  }
  if (!t->number || length != t->length || memcmp(text, t->text, length) != 0) {
    memcpy(t->text, text, length + 1);
    t->length = length;
    ++t->number;
  }
  return true;
}

static bool
text_take(RlPageStateText *const t, const RlOscArg *const a, const uint64_t tag)
{
  RlPageStateParts *const p      = &t->coming;
  const size_t            length = strlen(a[2].s);
  const int               part   = a[0].i;
  int                     first;
  if (a[1].i < 1 || a[1].i >= RL_PAGE_STATE_PARTS || part < 0 || part > a[1].i) {
    return false;
  }
  const bool again = tag == RL_OSC_AT_ONCE && p->came >> part & 1;
  if (tag != p->tag || a[1].i != p->parts || again) { /* what is missing will not come */
    p->tag   = tag;
    p->parts = a[1].i;
    p->came  = 0;
    p->used  = 0;
  }
  if (p->came >> part & 1 || length > RL_PAGE_STATE_TEXT - p->used) {
    return false;
  }
  p->start[part]  = (uint16_t)p->used;
  p->length[part] = (uint16_t)length;
  memcpy(p->text + p->used, a[2].s, length);
  p->used += length;
  p->came |= UINT64_C(1) << part;
  return !parts_whole(p, &first) || text_finish(t, first);
}

/* ---- lamps ---- */

/* `/reedlamp/lamp/10/draw2`: pupils light their own harps; what counts here is whether the
   plugin's are lit at all. */
static bool
lamp_take(RlPageState *const h, const char *const where, const RlOscArg *const a)
{
  const char *const slash  = strchr(where, '/');
  const RlSlice     number = {where, slash ? (size_t)(slash - where) : 0};
  const int         hole   = rl_slice_number(number);
  if (hole < 1 || hole > RL_HOLES || !within((double)a[0].f, 0, 1)) {
    return false;
  }
  for (int how = 0; how < RL_TECHNIQUES; ++how) {
    if (!strcmp(slash + 1, rl_technique_name((RlTechnique)how))) {
      h->lamp[hole - 1][how] = a[0].f;
      return true;
    }
  }
  return false;
}

static bool
lit(const RlPageState *const h)
{
  bool any = !h->told[RL_PAGE_STATE_LAMPS];
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    any = any || h->lamp[i / RL_TECHNIQUES][i % RL_TECHNIQUES] > 0;
  }
  return any;
}

/* ---- taking ---- */

static const char lamp_prefix[] = "/reedlamp/lamp/";

static const struct {
  const char *address, *types;
} table[RL_PAGE_STATE_KINDS] = {
  [RL_PAGE_STATE_TRANSPORT] = {"/reedlamp/transport", "iffi"},
  [RL_PAGE_STATE_PLACE]     = {"/reedlamp/place", "iiiff"},
  [RL_PAGE_STATE_CHORD]     = {"/reedlamp/chord", "ssssf"},
  [RL_PAGE_STATE_HARP]      = {"/reedlamp/harp", "ssis"},
  [RL_PAGE_STATE_LAMPS]     = {lamp_prefix, "fssii"},
  [RL_PAGE_STATE_CHART]     = {"/reedlamp/chart", "iis"},
  [RL_PAGE_STATE_PLAN]      = {"/reedlamp/plan", "iis"},
};

static RlPageStateKind
kind_of(const RlOscMessage *const m)
{
  int kind = 0;
  while (
    kind < RL_PAGE_STATE_KINDS &&
    (strcmp(m->types, table[kind].types) != 0 ||
     (kind == RL_PAGE_STATE_LAMPS ? strncmp(m->address, lamp_prefix, sizeof(lamp_prefix) - 1) != 0
                                  : strcmp(m->address, table[kind].address) != 0))) {
    ++kind;
  }
  return (RlPageStateKind)kind;
}

static bool
values_take(RlPageState *const h, const RlPageStateKind kind, const RlOscMessage *const m)
{
  switch (kind) {
  case RL_PAGE_STATE_TRANSPORT:
    return transport_take(h, m->arg);
  case RL_PAGE_STATE_PLACE:
    return place_take(h, m->arg);
  case RL_PAGE_STATE_CHORD:
    return chord_take(h, m->arg);
  case RL_PAGE_STATE_HARP:
    return harp_take(h, m->arg);
  case RL_PAGE_STATE_LAMPS:
    return lamp_take(h, m->address + sizeof(lamp_prefix) - 1, m->arg);
  case RL_PAGE_STATE_CHART:
    return text_take(&h->chart, m->arg, m->time);
  case RL_PAGE_STATE_PLAN:
    return text_take(&h->plan, m->arg, m->time);
  default:
    return false;
  }
}

/* Has something newer of this kind been told? A sender whose clock was put back is believed, for
   what it says is later by ours. */
static bool
is_late(const RlPageState *const h, const RlPageStateKind kind, const uint64_t tag, const double at)
{
  return tag != RL_OSC_AT_ONCE && tag < h->tag[kind] && at < h->at[kind] + blur &&
         at > h->at[kind] - older_by_mistake;
}

bool
rl_page_state_apply(RlPageState *const h, const RlOscMessage *const m, const double at,
                    const double now)
{
  const RlPageStateKind kind = kind_of(m);
  if (kind == RL_PAGE_STATE_KINDS) {
    return false;
  }
  if (is_late(h, kind, m->time, at) || !values_take(h, kind, m)) {
    return false;
  }
  h->told[kind] = true;
  h->at[kind]   = at;
  h->tag[kind]  = m->time;
  h->last       = now;
  return true;
}

/* ---- writing ---- */

typedef struct {
  char  *to;
  size_t used;
} Out;

#define PUT(out, ...)                                                                              \
  ((out)->used +=                                                                                  \
   (size_t)snprintf((out)->to + (out)->used, RL_PAGE_STATE_JSON - (out)->used, __VA_ARGS__))

static void
place_put(const RlPageState *const h, Out *const o)
{
  if (h->told[RL_PAGE_STATE_PLACE]) {
    PUT(o, ",\"place\":[%.2f,%d,%d,%d,%.5g,%.3g]", 1e3 * h->at[RL_PAGE_STATE_PLACE], h->chorus,
        h->bar, h->bars, (double)h->beat, (double)h->sure);
  } else {
    PUT(o, ",\"place\":null");
  }
}

static void
chord_put(const RlPageState *const h, Out *const o)
{
  if (h->told[RL_PAGE_STATE_CHORD]) {
    PUT(o, ",\"chord\":[%.2f,\"%s\",\"%s\",\"%s\",\"%s\",%.6g]", 1e3 * h->at[RL_PAGE_STATE_CHORD],
        h->now, h->next, h->now_degree, h->next_degree, (double)h->left);
  } else {
    PUT(o, ",\"chord\":null");
  }
}

static void
harp_put(const RlPageState *const h, Out *const o)
{
  if (h->told[RL_PAGE_STATE_HARP]) {
    PUT(o, ",\"harp\":[\"%s\",\"%s\",%d,\"%s\"]", h->harp, h->tuning, h->position, h->song_key);
  } else {
    PUT(o, ",\"harp\":null");
  }
}

size_t
rl_page_state_write(const RlPageState *const h, const double now, char *const json)
{
  Out        o   = {json, 0};
  const bool any = h->last > 0;
  PUT(&o, "{\"sent\":%.2f,\"quiet\":%.0f,\"lit\":%s", 1e3 * now, any ? 1e3 * (now - h->last) : -1.0,
      lit(h) ? "true" : "false");
  if (h->told[RL_PAGE_STATE_TRANSPORT]) {
    PUT(&o, ",\"transport\":[%s,%.7g,%.5g,%d]", h->rolling ? "true" : "false", (double)h->tempo,
        (double)h->beats, h->unit);
  } else {
    PUT(&o, ",\"transport\":null");
  }
  place_put(h, &o);
  chord_put(h, &o);
  harp_put(h, &o);
  PUT(&o, ",\"sheets\":%s,\"chart\":%u,\"plan\":", h->sheets ? "true" : "false", h->chart.number);
  if (h->plan.number) {
    PUT(&o, "%u}", h->plan.length ? h->plan.number : 0);
  } else {
    PUT(&o, "null}");
  }
  return o.used;
}
