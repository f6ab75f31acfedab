/* SPDX-License-Identifier: ISC */
#include "ui/page/state.h"

#include "core/text/text.h"

#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

/* Seconds. A sender whose clock was set back is accepted again after that time. */
static const double set_back_max = 5;
static const double inexactness  = 0.01; /* of times brought to our clock */

/* ---- values of a message ---- */

/* Copies printable ASCII without quotes and backslashes, so that it can go into JSON as it is.
   False if it is none. */
static bool
words_read(char *const to, const size_t size, const char *const from)
{
  const size_t length = strlen(from);
  for (size_t i = 0; i < length; ++i) {
    if (from[i] < ' ' || from[i] > '~' || from[i] == '"' || from[i] == '\\') {
      return false;
    }
  }
  if (length >= size) {
    return false;
  }
  memcpy(to, from, length + 1);
  return true;
}

static bool
name_read(char to[RL_PAGE_STATE_NAME_SIZE], const char *const from)
{
  return words_read(to, RL_PAGE_STATE_NAME_SIZE, from);
}

static bool
within(const double value, const double least, const double most)
{
  return value >= least && value <= most; /* false for NaN */
}

static bool
transport_apply(RlPageState *const s, const RlOscArg *const a)
{
  if (!within((double)a[1].f, 0, 10000) || !within((double)a[2].f, 0, 1024) ||
      !within(a[3].i, 0, 128)) {
    return false;
  }
  s->rolling = a[0].i != 0;
  s->tempo   = a[1].f;
  s->beats   = a[2].f;
  s->unit    = a[3].i;
  return true;
}

static bool
place_apply(RlPageState *const s, const RlOscArg *const a)
{
  if (!within(a[0].i, 0, 9999) || !within(a[1].i, -9999, 9999) || !within(a[2].i, 0, 9999) ||
      !within((double)a[3].f, 0, 1025) || !within((double)a[4].f, 0, 1)) {
    return false;
  }
  s->chorus     = a[0].i;
  s->bar        = a[1].i;
  s->bars       = a[2].i;
  s->beat       = a[3].f;
  s->confidence = a[4].f;
  return true;
}

/* Up to 4 names, all of them or none. */
static bool
names_read(char *const to[], const RlOscArg from[], const int count)
{
  enum { NAMES_MAX = 4 };
  assert(count <= NAMES_MAX);
  char names[NAMES_MAX][RL_PAGE_STATE_NAME_SIZE];
  for (int i = 0; i < count; ++i) {
    if (!name_read(names[i], from[i].s)) {
      return false;
    }
  }
  for (int i = 0; i < count; ++i) {
    memcpy(to[i], names[i], RL_PAGE_STATE_NAME_SIZE);
  }
  return true;
}

static bool
chord_apply(RlPageState *const s, const RlOscArg *const a)
{
  char *const to[] = {s->now, s->next, s->now_degree, s->next_degree};
  if (!within((double)a[4].f, 0, 1e6) || !names_read(to, a, 4)) {
    return false;
  }
  s->left = a[4].f;
  return true;
}

static bool
loop_apply(RlPageState *const s, const RlOscArg *const a)
{
  const double from = (double)a[0].f, to = (double)a[1].f;
  if (!within(from, -1e6, 1e6) || !within(to, -1e6, 1e6) || to < from) {
    return false;
  }
  s->loop_from = a[0].f;
  s->loop_to   = a[1].f;
  return true;
}

static bool
harp_apply(RlPageState *const s, const RlOscArg *const a)
{
  char *const    to[]    = {s->harp, s->tuning, s->song_key};
  const RlOscArg names[] = {a[0], a[1], a[3]};
  if (!within(a[2].i, 0, 12) || !names_read(to, names, 3)) {
    return false;
  }
  s->position = a[2].i;
  return true;
}

static bool
show_apply(RlPageState *const s, const RlOscArg *const a)
{
  const bool good = within(a[0].i, 1, 4);
  s->show         = good ? a[0].i : s->show;
  return good;
}

/* ---- long texts ---- */

/* Have all parts come? They are numbered from 1, or by some senders from 0: then `first` is 0. */
static bool
parts_whole(const RlPageStateParts *const p, int *const first)
{
  const uint64_t all = (UINT64_C(1) << p->parts) - 1;
  *first             = (p->received & all) == all ? 0 : 1;
  return (p->received >> *first & all) == all;
}

/* FNV-1a (Fowler, Noll, Vo; draft-eastlake-fnv). */
static uint32_t
sum_of(const char *const text, const size_t length)
{
  uint32_t sum = 2166136261u;
  for (size_t i = 0; i < length; ++i) {
    sum = (sum ^ (unsigned char)text[i]) * 16777619u;
  }
  return sum;
}

/* Puts the parts together; the text gets a new number if it differs from the one before. */
static bool
text_finish(RlPageStateText *const t, const int first)
{
  const RlPageStateParts *const p      = &t->incoming;
  size_t                        length = 0;
  char                          text[RL_PAGE_STATE_TEXT_MAX + 1];
  for (int i = first; i < first + p->parts; ++i) {
    if (length + p->length[i] > RL_PAGE_STATE_TEXT_MAX) {
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
    t->sum    = sum_of(text, length);
    ++t->number;
  }
  return true;
}

static bool
text_apply(RlPageStateText *const t, const RlOscArg *const a, const uint64_t tag)
{
  RlPageStateParts *const p      = &t->incoming;
  const size_t            length = strlen(a[2].s);
  const int               part   = a[0].i;
  int                     first;
  if (a[1].i < 1 || a[1].i >= RL_PAGE_STATE_PARTS_MAX || part < 0 || part > a[1].i) {
    return false;
  }
  const bool again = tag == RL_OSC_IMMEDIATELY && p->received >> part & 1;
  if (tag != p->tag || a[1].i != p->parts || again) { /* the parts still missing will not come */
    p->tag      = tag;
    p->parts    = a[1].i;
    p->received = 0;
    p->used     = 0;
  }
  if (p->received >> part & 1 || length > RL_PAGE_STATE_TEXT_MAX - p->used) {
    return false;
  }
  p->start[part]  = (uint16_t)p->used;
  p->length[part] = (uint16_t)length;
  memcpy(p->text + p->used, a[2].s, length);
  p->used += length;
  p->received |= UINT64_C(1) << part;
  return !parts_whole(p, &first) || text_finish(t, first);
}

/* ---- lamps ---- */

/* `/reedlamp/lamp/10/draw2`. Pages light lamps for the pupil's own harp; what counts here is
   whether any of the plugin's are lit. */
static bool
lamp_apply(RlPageState *const s, const char *const where, const RlOscArg *const a)
{
  const char *const slash  = strchr(where, '/');
  const RlSlice     number = {where, slash ? (size_t)(slash - where) : 0};
  const int         hole   = rl_slice_number(number);
  if (hole < 1 || hole > RL_HOLES || !within((double)a[0].f, 0, 1)) {
    return false;
  }
  for (int how = 0; how < RL_TECHNIQUES; ++how) {
    if (!strcmp(slash + 1, rl_technique_name((RlTechnique)how))) {
      s->lamp[hole - 1][how] = a[0].f;
      return true;
    }
  }
  return false;
}

/* Is any lamp lit? Yes as long as none has been sent. Where little is shown none may be, and the
   plugin goes on. */
static bool
lit(const RlPageState *const s)
{
  bool any = !s->known[RL_PAGE_STATE_LAMPS] || (s->rolling && s->show && s->show < 4);
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    any = any || s->lamp[i / RL_TECHNIQUES][i % RL_TECHNIQUES] > 0;
  }
  return any;
}

/* ---- applying ---- */

static const char lamp_prefix[] = "/reedlamp/lamp/";

static const struct {
  const char *address, *types;
} addresses[RL_PAGE_STATE_KINDS] = {
  [RL_PAGE_STATE_TRANSPORT] = {"/reedlamp/transport", "iffi"},
  [RL_PAGE_STATE_PLACE]     = {"/reedlamp/place", "iiiff"},
  [RL_PAGE_STATE_CHORD]     = {"/reedlamp/chord", "ssssf"},
  [RL_PAGE_STATE_HARP]      = {"/reedlamp/harp", "ssis"},
  [RL_PAGE_STATE_LAMPS]     = {lamp_prefix, "fssii"},
  [RL_PAGE_STATE_CHART]     = {"/reedlamp/chart", "iis"},
  [RL_PAGE_STATE_PLAN]      = {"/reedlamp/plan", "iis"},
  [RL_PAGE_STATE_PRACTICE]  = {"/reedlamp/practice", "iis"},
  [RL_PAGE_STATE_HEARING]   = {"/reedlamp/sure", "fs"},
  [RL_PAGE_STATE_SHOW]      = {"/reedlamp/show", "i"},
  [RL_PAGE_STATE_CHORUS]    = {"/reedlamp/chorus", "iiiiiiis"},
  [RL_PAGE_STATE_LOOP]      = {"/reedlamp/loop", "ff"},
  [RL_PAGE_STATE_HEARD]     = {"/reedlamp/heard", "isifff"},
  [RL_PAGE_STATE_HIT]       = {"/reedlamp/hit", "siifisi"},
};

/* RL_PAGE_STATE_KINDS if it is none of the plugin's. */
static RlPageStateKind
kind_of(const RlOscMessage *const m)
{
  int kind = 0;
  while (
    kind < RL_PAGE_STATE_KINDS &&
    (strcmp(m->types, addresses[kind].types) != 0 ||
     (kind == RL_PAGE_STATE_LAMPS ? strncmp(m->address, lamp_prefix, sizeof(lamp_prefix) - 1) != 0
                                  : strcmp(m->address, addresses[kind].address) != 0))) {
    ++kind;
  }
  return (RlPageStateKind)kind;
}

static bool
message_apply(RlPageState *const s, const RlPageStateKind kind, const RlOscMessage *const m,
              const double now)
{
  switch (kind) {
  case RL_PAGE_STATE_TRANSPORT:
    return transport_apply(s, m->arg);
  case RL_PAGE_STATE_PLACE:
    return place_apply(s, m->arg);
  case RL_PAGE_STATE_CHORD:
    return chord_apply(s, m->arg);
  case RL_PAGE_STATE_HARP:
    return harp_apply(s, m->arg);
  case RL_PAGE_STATE_LAMPS:
    return lamp_apply(s, m->address + sizeof(lamp_prefix) - 1, m->arg);
  case RL_PAGE_STATE_CHART:
    return text_apply(&s->chart, m->arg, m->time);
  case RL_PAGE_STATE_PLAN:
    return text_apply(&s->plan, m->arg, m->time);
  case RL_PAGE_STATE_PRACTICE:
    return text_apply(&s->practice, m->arg, m->time);
  case RL_PAGE_STATE_HEARING:
    return name_read(s->hearing, m->arg[1].s);
  case RL_PAGE_STATE_CHORUS:
    return words_read(s->practised, sizeof(s->practised), m->arg[7].s);
  case RL_PAGE_STATE_SHOW:
    return show_apply(s, m->arg);
  case RL_PAGE_STATE_LOOP:
    return loop_apply(s, m->arg);
  case RL_PAGE_STATE_HEARD:
    return rl_page_player_heard(&s->player, m, now);
  case RL_PAGE_STATE_HIT:
    return rl_page_player_hit(&s->player, m, now);
  default:
    return false;
  }
}

/* Has something newer of this kind come already? A sender whose clock was set back is accepted: by
   our clock its message is later. */
static bool
is_late(const RlPageState *const s, const RlPageStateKind kind, const uint64_t tag, const double at)
{
  return tag != RL_OSC_IMMEDIATELY && tag < s->tag[kind] && at < s->at[kind] + inexactness &&
         at > s->at[kind] - set_back_max;
}

bool
rl_page_state_apply(RlPageState *const s, const RlOscMessage *const m, const double at,
                    const double now)
{
  const RlPageStateKind kind = kind_of(m);
  if (kind == RL_PAGE_STATE_KINDS) {
    return false;
  }
  if (is_late(s, kind, m->time, at) || !message_apply(s, kind, m, now)) {
    return false;
  }
  s->known[kind] = true;
  s->at[kind]    = at;
  s->tag[kind]   = m->time;
  s->last        = now;
  return kind != RL_PAGE_STATE_HEARD;
}

/* ---- writing ---- */

typedef struct {
  char  *to;
  size_t used;
} Out;

#define PUT(out, ...)                                                                              \
  ((out)->used +=                                                                                  \
   (size_t)snprintf((out)->to + (out)->used, RL_PAGE_STATE_JSON_SIZE - (out)->used, __VA_ARGS__))

static void
place_write(const RlPageState *const s, Out *const o)
{
  if (s->known[RL_PAGE_STATE_PLACE]) {
    PUT(o, ",\"place\":[%.2f,%d,%d,%d,%.5g,%.3g]", 1e3 * s->at[RL_PAGE_STATE_PLACE], s->chorus,
        s->bar, s->bars, (double)s->beat, (double)s->confidence);
  } else {
    PUT(o, ",\"place\":null");
  }
}

static void
chord_write(const RlPageState *const s, Out *const o)
{
  if (s->known[RL_PAGE_STATE_CHORD]) {
    PUT(o, ",\"chord\":[%.2f,\"%s\",\"%s\",\"%s\",\"%s\",%.6g]", 1e3 * s->at[RL_PAGE_STATE_CHORD],
        s->now, s->next, s->now_degree, s->next_degree, (double)s->left);
  } else {
    PUT(o, ",\"chord\":null");
  }
}

static void
harp_write(const RlPageState *const s, Out *const o)
{
  if (s->known[RL_PAGE_STATE_HARP]) {
    PUT(o, ",\"harp\":[\"%s\",\"%s\",%d,\"%s\"]", s->harp, s->tuning, s->position, s->song_key);
  } else {
    PUT(o, ",\"harp\":null");
  }
}

size_t
rl_page_state_write(const RlPageState *const s, const double now, char *const json)
{
  Out        o   = {json, 0};
  const bool any = s->last > 0;
  PUT(&o, "{\"sent\":%.2f,\"quiet\":%.0f,\"lit\":%s", 1e3 * now, any ? 1e3 * (now - s->last) : -1.0,
      lit(s) ? "true" : "false");
  if (s->known[RL_PAGE_STATE_TRANSPORT]) {
    PUT(&o, ",\"transport\":[%s,%.7g,%.5g,%d]", s->rolling ? "true" : "false", (double)s->tempo,
        (double)s->beats, s->unit);
  } else {
    PUT(&o, ",\"transport\":null");
  }
  place_write(s, &o);
  chord_write(s, &o);
  if (s->loop_to > s->loop_from) {
    PUT(&o, ",\"loop\":[%.7g,%.7g]", (double)s->loop_from, (double)s->loop_to);
  }
  if (s->known[RL_PAGE_STATE_HEARING]) {
    PUT(&o, ",\"hearing\":\"%s\"", s->hearing);
  }
  if (s->practised[0]) {
    PUT(&o, ",\"chorus\":\"%s\"", s->practised);
  }
  if (s->show) {
    PUT(&o, ",\"show\":%d", s->show);
  }
  harp_write(s, &o);
  o.used += rl_page_player_write(&s->player, now, o.to + o.used, RL_PAGE_STATE_JSON_SIZE - o.used);
  PUT(&o, ",\"from\":%" PRIu32 ",\"sums\":[%" PRIu32 ",%" PRIu32 ",%" PRIu32 "]", s->from,
      s->chart.sum, s->plan.sum, s->practice.length ? s->practice.sum : 0);
  PUT(&o, ",\"sheets\":%s,\"chart\":%u,\"plan\":", s->sheets ? "true" : "false", s->chart.number);
  if (s->plan.number) {
    PUT(&o, "%u}", s->plan.length ? s->plan.number : 0);
  } else {
    PUT(&o, "null}");
  }
  assert(o.used < RL_PAGE_STATE_JSON_SIZE);
  return o.used;
}
