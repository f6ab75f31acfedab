/* SPDX-License-Identifier: ISC */
/* Feeds what the window hears of the plugin: atoms as a host may hand them over. Raw bytes, texts
   that are set, and objects of our own types whose properties come in any order, of any type, any
   number of times, with sizes that may lie. What is taken for true must be within its bounds and
   inside the atom. A libFuzzer harness; the first byte chooses which of them, and where in memory
   the atom lies.

   RL_PLANTED_BUG, defined for one build only, believes the length of a text that has no NUL to be a
   byte more, so that one can see the fuzzer find it. */
#include "demand.h"
#include "feed.h"
#include "plugin/protocol/properties.h"
#include "ui/window/plugin_events.h"

#include <lv2/atom/util.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { KEYS = (int)(sizeof(RlUris) / sizeof(LV2_URID)), ROOM = 1 << 16, HIT = 6, PLAYED = 7 };

static RlUris uris;
static char   atom[ROOM];

/* Every URI is one more than the one before. */
static LV2_URID
map_uri(LV2_URID_Map_Handle handle, const char *const uri)
{
  (void)uri;
  return ++*(LV2_URID *)handle;
}

static void
uris_map(void)
{
  static LV2_URID last;
  LV2_URID_Map    map = {&last, map_uri};
  if (!uris.own) {
    rl_uris_map(&uris, &map, RL_PLUGIN_URI);
  }
}

/* ---- objects ---- */

static uint32_t
add(const uint32_t at, const void *const bytes, const uint32_t size)
{
  if (size <= ROOM - at) {
    memcpy(atom + at, bytes, size);
    return at + size;
  }
  return at;
}

static uint32_t
urid_of(Feed *const feed)
{
  const unsigned key = feed_byte(feed);
  return key < KEYS ? key + 1 : 0;
}

/* A property: key, type, a value of 4, 8 or any number of bytes; one in 16 lies about its size. */
static uint32_t
property_add(Feed *const feed, uint32_t at)
{
  static const uint8_t zeros[8];
  const uint8_t       *bytes;
  const unsigned       shape   = feed_byte(feed);
  const LV2_URID       type[3] = {uris.atom_Int, uris.atom_Float, uris.atom_String};
  const uint32_t       head[2] = {urid_of(feed), 0};
  const LV2_URID       kind    = shape % 4 < 3 ? type[shape % 4] : urid_of(feed);
  const size_t         wanted  = shape % 4 == 2 ? feed_byte(feed) : shape & 4U ? 8 : 4;
  const size_t         n       = feed_some(feed, wanted, &bytes);
  const uint32_t body[2] = {(uint32_t)(shape >> 4U == 15 ? n + feed_byte(feed) * 257U : n), kind};
  at                     = add(at, head, sizeof(head));
  at                     = add(at, body, sizeof(body));
  at                     = n ? add(at, bytes, (uint32_t)n) : at;
  return add(at, zeros, (uint32_t)((8 - n % 8) % 8));
}

/* Notes that sound, as lists that may be too long, or not as long as each other. */
static uint32_t
lists_add(Feed *const feed, uint32_t at)
{
  const LV2_URID list[4] = {uris.rl_holes, uris.rl_techniques, uris.rl_notes, uris.rl_off};
  const unsigned count   = feed_byte(feed) % 5;
  for (int i = 0; i < 4; ++i) {
    const unsigned odd     = feed_byte(feed);
    const uint32_t n       = odd < 16 ? odd % 5 : count;
    const uint32_t head[6] = {list[i],          0, 8 + 4 * n,
                              uris.atom_Vector, 4, i < 3 ? uris.atom_Int : uris.atom_Float};
    at                     = add(at, head, sizeof(head));
    for (uint32_t k = 0; k < n + n % 2; ++k) {
      const float    off    = (float)feed_byte(feed) - 128;
      const uint32_t number = odd == 255 ? (uint32_t)feed_bytes(feed, 4) : 1 + feed_byte(feed) % 12;
      at                    = i < 3 ? add(at, &number, 4) : add(at, &off, 4);
    }
  }
  return at;
}

/* Where its properties go. */
static uint32_t
object_begin(const LV2_URID otype)
{
  const LV2_Atom_Object_Body object = {0, otype};
  return add(sizeof(LV2_Atom), &object, sizeof(object));
}

/* `at`: behind its last property; says that it is `more` longer. */
static uint32_t
object_end(const uint32_t at, const LV2_URID type, const uint32_t more)
{
  const LV2_Atom head = {at - (uint32_t)sizeof(head) + more, type};
  memcpy(atom, &head, sizeof(head));
  return at;
}

static uint32_t
object_make(Feed *const feed, const unsigned how)
{
  const LV2_URID otypes[4] = {uris.rl_Place, uris.patch_Set, uris.rl_Hearing, urid_of(feed)};
  const bool     played    = how % 8 == PLAYED;
  const LV2_URID otype     = how % 8 == HIT ? uris.rl_Hit : otypes[how / 8 % 4];
  const LV2_URID type      = how / 32 % 4 ? uris.atom_Object : uris.atom_Blank;
  uint32_t       at        = object_begin(played ? uris.rl_Played : otype);
  at                       = played ? lists_add(feed, at) : at;
  while (feed->left) {
    at = property_add(feed, at);
  }
  return object_end(at, type, how / 128 ? feed_byte(feed) : 0);
}

/* A Place with everything that a place must say, so that the rest of the input may spoil it. */
static uint32_t
place_make(Feed *const feed)
{
  Feed           whole    = *feed;
  const LV2_URID real[]   = {uris.rl_tempo, uris.rl_beat, uris.rl_sure, uris.rl_beats_to_next};
  const LV2_URID text[]   = {uris.rl_now,         uris.rl_now_degree,       uris.rl_next,
                             uris.rl_next_degree, uris.rl_target_technique, uris.rl_target_degree};
  const LV2_URID number[] = {uris.rl_lit,         uris.rl_rolling,    uris.rl_part,
                             uris.rl_chorus,      uris.rl_bar,        uris.rl_bars,
                             uris.rl_beats,       uris.rl_unit,       uris.rl_song_key,
                             uris.rl_target_hole, uris.rl_target_note};
  uint32_t       at       = object_begin(uris.rl_Place);
  for (size_t i = 0; i < sizeof(real) / sizeof(real[0]); ++i) {
    const uint32_t property[4] = {real[i], 0, sizeof(float), uris.atom_Float};
    const uint32_t value[2]    = {(uint32_t)feed_bytes(&whole, 4), 0};
    at                         = add(add(at, property, sizeof(property)), value, sizeof(value));
  }
  for (size_t i = 0; i < sizeof(number) / sizeof(number[0]); ++i) {
    const uint32_t property[4] = {number[i], 0, sizeof(int32_t), uris.atom_Int};
    const uint32_t value[2]    = {i < 2 ? 1 : feed_byte(&whole) % 13, 0};
    at                         = add(add(at, property, sizeof(property)), value, sizeof(value));
  }
  for (size_t i = 0; i < sizeof(text) / sizeof(text[0]); ++i) {
    const uint32_t property[4] = {text[i], 0, 1, uris.atom_String};
    const uint32_t value[2]    = {0, 0};
    at                         = add(add(at, property, sizeof(property)), value, sizeof(value));
  }
  while (feed->left) {
    at = property_add(feed, at);
  }
  return object_end(at, uris.atom_Object, 0);
}

/* A text that is set, so that the rest of the input is its bytes, without a NUL of its own; one in
   16 lies about its size. */
static uint32_t
text_make(Feed *const feed)
{
  const RlProperty which       = (RlProperty)(feed_byte(feed) % RL_PROPERTIES);
  const unsigned   lie         = feed_byte(feed);
  const uint32_t   n           = (uint32_t)feed->left;
  const uint32_t   property[6] = {
      uris.patch_property, 0, sizeof(LV2_URID), uris.atom_URID, rl_property_urid(which, &uris), 0};
  const uint32_t value[4] = {uris.patch_value, 0, lie % 16 == 15 ? n + lie : n,
                             rl_property_type(which, &uris)};
  uint32_t       at       = object_begin(uris.patch_Set);
  at                      = add(add(at, property, sizeof(property)), value, sizeof(value));
  return object_end(add(at, feed->at, n), uris.atom_Object, 0);
}

/* ---- what must hold ---- */

static void
words_check(const char *const words)
{
  DEMAND(memchr(words, '\0', RL_REPORT_TEXT_SIZE));
}

static void
told_check(const RlPlaceReport *const t)
{
  DEMAND(t->part >= RL_PART_NOWHERE && t->part <= RL_PART_OVER);
  DEMAND(isfinite(t->tempo) && isfinite(t->beat) && isfinite(t->sure) &&
         isfinite(t->beats_to_next));
  DEMAND(t->target.hole <= RL_HOLES && t->target.technique < RL_TECHNIQUES &&
         t->target.degree < RL_DEGREES && t->target.note <= 127);
  words_check(t->now);
  words_check(t->now_degree);
  words_check(t->next);
  words_check(t->next_degree);
}

static void
played_check(const RlPlayedReport *const p)
{
  DEMAND(p->count >= 0 && p->count <= RL_PLAYED_NOTES);
  DEMAND(isfinite(p->heard_at) && isfinite(p->since) && isfinite(p->beat) && isfinite(p->level));
  for (int i = 0; i < p->count; ++i) {
    DEMAND(p->note[i].hole >= 1 && p->note[i].hole <= RL_HOLES && isfinite(p->note[i].cents));
    DEMAND(p->note[i].technique < RL_TECHNIQUES && p->note[i].midi > 0 && p->note[i].midi <= 127);
  }
}

static void
text_check(const RlPluginMessage *const m, const char *const from, const uint32_t size)
{
  unsigned sum = 0;
  DEMAND(m->which >= RL_CHART && m->which < RL_PROPERTIES);
  DEMAND(m->text >= from && m->length <= size && m->text + m->length <= from + size);
  for (uint32_t i = 0; i < m->length + PLANTED * (m->length > 8); ++i) {
    sum += (unsigned char)m->text[i];
  }
  DEMAND(!m->length || sum); /* no NUL before its end */
}

/* Its cells lie inside the atom, all of them. */
static void
picture_check(const RlViewPicturePart *const p, const char *const bytes, const uint32_t used)
{
  const char *const cells = (const char *)p->cell;
  DEMAND(p->rows > 0 && p->rows <= RL_VIEW_PICTURE_ROWS && p->count > 0 && p->first >= 0);
  DEMAND(p->first + p->count <= p->columns && p->columns <= RL_VIEW_PICTURE_COLUMNS);
  DEMAND(cells >= bytes && cells + p->rows * p->count <= bytes + used);
  DEMAND(p->ends > p->begins && memchr(p->title, '\0', sizeof(p->title)));
}

int
LLVMFuzzerTestOneInput(const uint8_t *const data, const size_t size)
{
  if (size < 1 || size > ROOM / 8) {
    return 0;
  }
  uris_map();
  Feed           feed  = {data + 1, size - 1};
  const unsigned how   = data[0];
  const unsigned shape = how % 8;
  const uint32_t used  = shape == 0  ? add(0, data + 1, (uint32_t)size - 1)
                         : shape < 3 ? place_make(&feed)
                         : shape < 4 ? text_make(&feed)
                                     : object_make(&feed, how);
  /* the atom ends where its memory does; it may begin anywhere */
  const uint32_t  odd  = how / 8 % 8;
  char *const     room = (char *)malloc(used + odd + 1);
  RlPluginMessage m;
  DEMAND(room);
  memcpy(room + odd, atom, used);
  char *const exact = (char *)realloc(room, used + odd ? used + odd : 1);
  DEMAND(exact);
  const RlPluginEvent heard = rl_plugin_event_read(&uris, exact + odd, used, &m);
  if (heard == RL_PLUGIN_EVENT_PLACE) {
    told_check(&m.report);
  } else if (heard == RL_PLUGIN_EVENT_HEARING) {
    DEMAND(m.hearing.state < RL_HEARINGS && m.hearing.key >= -1 && m.hearing.key < 12);
    DEMAND(m.hearing.cents >= -100 && m.hearing.cents <= 100 && m.hearing.key_sure >= 0);
    DEMAND(m.hearing.key_sure <= 1);
  } else if (heard == RL_PLUGIN_EVENT_PLAYED) {
    played_check(&m.played);
  } else if (heard == RL_PLUGIN_EVENT_HIT) {
    DEMAND(m.hit.hole >= 1 && m.hit.hole <= RL_HOLES && isfinite(m.hit.quarters));
    DEMAND(m.hit.technique < RL_TECHNIQUES);
  } else if (heard == RL_PLUGIN_EVENT_PICTURE) {
    picture_check(&m.picture, exact + odd, used);
  } else if (heard == RL_PLUGIN_EVENT_TEXT) {
    text_check(&m, exact + odd, used);
  }
  free(exact);
  return 0;
}
