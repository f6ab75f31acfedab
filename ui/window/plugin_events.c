/* SPDX-License-Identifier: ISC */
#include "ui/window/plugin_events.h"

#include "ui/window/picture_event.h"

#include "plugin/protocol/patch.h"
#include "plugin/protocol/techniques.h"

#include <math.h>
#include <string.h>

typedef enum { WHOLE, REAL, TRUTH, WORDS, PART, HOLE, NOTE, DEGREE, TECHNIQUE } Kind;

/* A field of urn:reedlamp:Place: where its key is in RlUris, and its value in RlPlaceReport. */
typedef struct {
  size_t key, at;
  Kind   kind;
} Field;

#define FIELD(name, kind)                                                                          \
  {                                                                                                \
    offsetof(RlUris, rl_##name), offsetof(RlPlaceReport, name), kind                               \
  }
#define TARGET(key, name, kind)                                                                    \
  {                                                                                                \
    offsetof(RlUris, rl_##key), offsetof(RlPlaceReport, name), kind                                \
  }

static const Field fields[] = {FIELD(lit, TRUTH),
                               FIELD(rolling, TRUTH),
                               FIELD(tempo, REAL),
                               FIELD(part, PART),
                               FIELD(chorus, WHOLE),
                               FIELD(bar, WHOLE),
                               FIELD(bars, WHOLE),
                               FIELD(beat, REAL),
                               FIELD(beats, WHOLE),
                               FIELD(unit, WHOLE),
                               FIELD(sure, REAL),
                               FIELD(song_key, WHOLE),
                               FIELD(now, WORDS),
                               FIELD(now_degree, WORDS),
                               FIELD(next, WORDS),
                               FIELD(next_degree, WORDS),
                               FIELD(beats_to_next, REAL),
                               TARGET(target_hole, target.hole, HOLE),
                               TARGET(target_technique, target.technique, TECHNIQUE),
                               TARGET(target_degree, target.degree, DEGREE),
                               TARGET(target_note, target.note, NOTE),
                               FIELD(taking, WHOLE),
                               FIELD(sounds, TRUTH),
                               FIELD(bar_one_at, REAL),
                               FIELD(bar_one_quarters, REAL),
                               FIELD(loop_from, REAL),
                               FIELD(loop_to, REAL),
                               FIELD(show, WHOLE),
                               TARGET(landed_hole, landed.hole, HOLE),
                               TARGET(landed_technique, landed.technique, TECHNIQUE)};

enum {
  FIELDS   = sizeof(fields) / sizeof(fields[0]),
  OPTIONAL = 9 /* the last fields: 0 where they are missing */
};

_Static_assert((int)FIELDS <= 32, "place_read() keeps a bit for each field");

/* Text into RL_REPORT_TEXT_SIZE bytes. Longer text is not from our plugin: false. */
static bool
words_read(const RlAtom *const atom, const RlUris *const u, char *const to)
{
  const uint32_t length = rl_string_length(atom);
  if (atom->type != u->atom_String || length >= RL_REPORT_TEXT_SIZE) {
    return false;
  }
  memcpy(to, atom->body, length);
  to[length] = '\0';
  return true;
}

static const char *
technique_word(const int i)
{
  return rl_technique_name((RlTechnique)i);
}

static const char *
degree_word(const int i)
{
  return rl_degree_name((RlDegree)i);
}

/* The index of a word among `count` names, `count` if it is none. */
static int
word_index(const char *const word, const char *(*const name)(int), const int count)
{
  int i = 0;
  while (i < count && strcmp(word, name(i)) != 0) {
    ++i;
  }
  return i;
}

/* Writes the index of a word into one byte. An empty word is index 0: there is no target. */
static bool
index_read(const char *const word, const bool technique, void *const to)
{
  const int count = technique ? (int)RL_TECHNIQUES : (int)RL_DEGREES;
  const int index = *word ? word_index(word, technique ? technique_word : degree_word, count) : 0;
  const uint8_t byte = (uint8_t)index;
  if (index < count) {
    memcpy(to, &byte, sizeof(byte));
  }
  return index < count;
}

/* Writes a whole number, if it fits the type of its field. Musical ranges (bars, beats) are limited
   where the report is shown: ui/controller/place.c. */
static bool
whole_read(const Kind kind, const double number, void *const to)
{
  static const int most[] = {
    [WHOLE] = 1000000, [TRUTH] = 1, [PART] = RL_PART_OVER, [HOLE] = RL_HOLES, [NOTE] = 127};
  const int     value = (int)number;
  const uint8_t byte  = (uint8_t)value;
  const bool    truth = value != 0;
  const RlPart  part  = (RlPart)value;
  if (value > most[kind] || value < (kind == WHOLE ? -most[kind] : 0)) {
    return false;
  }
  switch (kind) {
  case TRUTH:
    memcpy(to, &truth, sizeof(truth));
    break;
  case PART:
    memcpy(to, &part, sizeof(part));
    break;
  case WHOLE:
    memcpy(to, &value, sizeof(value));
    break;
  default:
    memcpy(to, &byte, sizeof(byte));
    break;
  }
  return true;
}

static bool
number_read(const Kind kind, const RlAtom *const atom, const RlUris *const u, void *const to)
{
  double number = 0;
  if (!rl_number(atom, u, &number) || !(fabs(number) < 1e9)) {
    return false;
  }
  if (kind != REAL) {
    return whole_read(kind, number, to);
  }
  memcpy(to, &number, sizeof(number));
  return true;
}

static bool
field_read(const Field *const field, const RlAtom *const atom, const RlUris *const u,
           RlPlaceReport *const report)
{
  char *const to = (char *)report + field->at;
  char        word[RL_REPORT_TEXT_SIZE];
  switch (field->kind) {
  case WORDS:
    return words_read(atom, u, to);
  case TECHNIQUE:
  case DEGREE:
    return words_read(atom, u, word) && index_read(word, field->kind == TECHNIQUE, to);
  default:
    return number_read(field->kind, atom, u, to);
  }
}

/* The index of the field that a key stands for, FIELDS if none. */
static size_t
field_of(const RlUris *const u, const LV2_URID key)
{
  size_t i = 0;
  for (; i < FIELDS; ++i) {
    LV2_URID ours;
    memcpy(&ours, (const char *)u + fields[i].key, sizeof(ours));
    if (ours == key) {
      break;
    }
  }
  return i;
}

/* False if a field is missing that must be there. */
static bool
place_read(const RlUris *const u, RlWalk walk, RlPlaceReport *const report)
{
  uint32_t read = 0;
  LV2_URID key;
  RlAtom   value;
  memset(report, 0, sizeof(*report));
  while (rl_property_next(&walk, &key, &value)) {
    const size_t i = field_of(u, key);
    if (i < FIELDS && field_read(&fields[i], &value, u, report)) {
      read |= 1U << i;
    }
  }
  const uint32_t must = (1U << (FIELDS - OPTIONAL)) - 1U;
  return (read & must) == must;
}

/* A field that is missing keeps what stands for unknown. */
static void
hearing_read(const RlUris *const u, RlWalk walk, RlHearingReport *const h)
{
  LV2_URID key;
  RlAtom   value;
  *h = (RlHearingReport){.key = RL_KEY_NOT_HEARD};
  while (rl_property_next(&walk, &key, &value)) {
    double number = 0;
    if (!rl_number(&value, u, &number) || !(fabs(number) <= 100)) {
      continue;
    }
    if (key == u->rl_hearing && number >= 0 && number < RL_HEARINGS) {
      h->state = (RlHearingState)number;
    } else if (key == u->rl_cents) {
      h->tuned = true;
      h->cents = (int)lround(number);
    } else if (key == u->rl_key_heard && number >= 0 && number < 12) {
      h->key = (int)number;
    } else if (key == u->rl_key_sure && number >= 0 && number <= 1) {
      h->key_sure = number;
    }
  }
}

/* ---- what the player plays ---- */

/* As many numbers as a vector has, of four bytes each; -1 if it is none, or has more than `most`.
 */
static int
vector_read(const RlAtom *const atom, const RlUris *const u, const LV2_URID of, const int most,
            void *const to)
{
  LV2_Atom_Vector_Body head = {0, 0};
  if (atom->type != u->atom_Vector || atom->size < sizeof(head)) {
    return -1;
  }
  memcpy(&head, atom->body, sizeof(head));
  const uint32_t bytes = atom->size - (uint32_t)sizeof(head);
  if (head.child_type != of || head.child_size != 4 || bytes % 4 || bytes / 4 > (uint32_t)most) {
    return -1;
  }
  memcpy(to, atom->body + sizeof(head), bytes);
  return (int)(bytes / 4);
}

/* What a Played says, list by list. */
typedef struct {
  int32_t hole[RL_PLAYED_NOTES], technique[RL_PLAYED_NOTES], midi[RL_PLAYED_NOTES];
  float   off[RL_PLAYED_NOTES];
  int     count[4]; /* of each list, -1: it is not there */
} PlayedLists;

static void
lists_read(const RlUris *const u, RlWalk walk, PlayedLists *const l)
{
  const struct {
    LV2_URID key, of;
    void    *to;
  } lists[] = {{u->rl_holes, u->atom_Int, l->hole},
               {u->rl_techniques, u->atom_Int, l->technique},
               {u->rl_notes, u->atom_Int, l->midi},
               {u->rl_off, u->atom_Float, l->off}};
  LV2_URID key;
  RlAtom   value;
  *l = (PlayedLists){.count = {-1, -1, -1, -1}};
  while (rl_property_next(&walk, &key, &value)) {
    for (int i = 0; i < 4; ++i) {
      if (key == lists[i].key) {
        l->count[i] = vector_read(&value, u, lists[i].of, RL_PLAYED_NOTES, lists[i].to);
      }
    }
  }
}

/* False if the lists differ in length, or a note is none. */
static bool
notes_read(const PlayedLists *const l, RlPlayedReport *const p)
{
  bool good = l->count[0] >= 0;
  for (int i = 1; i < 4; ++i) {
    good = good && l->count[i] == l->count[0];
  }
  p->count = good ? l->count[0] : 0;
  for (int i = 0; i < p->count; ++i) {
    p->note[i] = (RlPlayedSound){l->hole[i], rl_technique_numbered(l->technique[i]), l->midi[i],
                                 (double)l->off[i]};
    good       = good && l->hole[i] >= 1 && l->hole[i] <= RL_HOLES && l->midi[i] > 0 &&
           l->midi[i] <= 127 && p->note[i].technique < RL_TECHNIQUES && fabsf(l->off[i]) < 1e4F;
  }
  return good;
}

static bool
played_read(const RlUris *const u, const RlWalk walk, RlPlayedReport *const p)
{
  const struct {
    LV2_URID key;
    double  *to;
  } numbers[]        = {{u->rl_level, &p->level},
                        {u->rl_sure, &p->sure},
                        {u->rl_heard_at, &p->heard_at},
                        {u->rl_since, &p->since},
                        {u->rl_beat, &p->beat}};
  int         when   = 0; /* how many say the time */
  double      chorus = 0, bar = 0;
  RlWalk      rest = walk;
  LV2_URID    key;
  RlAtom      value;
  PlayedLists lists;
  *p = (RlPlayedReport){0};
  while (rl_property_next(&rest, &key, &value)) {
    double number = 0;
    if (!rl_number(&value, u, &number) || !(fabs(number) < 1e9)) {
      continue;
    }
    for (size_t i = 0; i < sizeof(numbers) / sizeof(numbers[0]); ++i) {
      *numbers[i].to = key == numbers[i].key ? number : *numbers[i].to;
    }
    when += key == u->rl_heard_at || key == u->rl_since;
    chorus = key == u->rl_chorus && fabs(number) < 1e6 ? number : chorus;
    bar    = key == u->rl_bar && fabs(number) < 1e6 ? number : bar;
  }
  p->chorus = (int)chorus;
  p->bar    = (int)bar;
  lists_read(u, walk, &lists);
  return notes_read(&lists, p) && when >= 2;
}

/* False if what must be there is missing. */
static bool
hit_read(const RlUris *const u, RlWalk walk, RlHitReport *const h)
{
  double   target = -1, hole = 0, technique = -1;
  LV2_URID key;
  RlAtom   value;
  *h = (RlHitReport){.quarters = (double)NAN};
  while (rl_property_next(&walk, &key, &value)) {
    double number = 0;
    if (rl_number(&value, u, &number) && fabs(number) < 1e9) {
      target      = key == u->rl_target ? number : target;
      hole        = key == u->rl_hole ? number : hole;
      technique   = key == u->rl_technique ? number : technique;
      h->quarters = key == u->rl_quarters ? number : h->quarters;
    }
  }
  h->target    = target > 0;
  h->hole      = (int)hole;
  h->technique = rl_technique_numbered((int)technique);
  return target >= 0 && h->hole >= 1 && h->hole <= RL_HOLES && h->technique < RL_TECHNIQUES &&
         isfinite(h->quarters);
}

static bool
text_read(const RlUris *const u, const RlWalk walk, RlPluginMessage *const m)
{
  const RlPatch    patch    = rl_patch_read(walk, u);
  const RlProperty property = rl_property_of(patch.property, u);
  const RlAtom     value    = patch.value;
  const bool       text     = value.type == u->atom_String || value.type == u->atom_Path;
  if (property == RL_PROPERTIES || !value.body || !text || !rl_patch_ours(&patch, u)) {
    return false;
  }
  m->which  = property;
  m->text   = value.body;
  m->length = rl_string_length(&value);
  return true;
}

RlPluginEvent
rl_plugin_event_read(const RlUris *const u, const void *const bytes, const uint32_t size,
                     RlPluginMessage *const m)
{
  LV2_Atom head;
  LV2_URID otype;
  RlWalk   walk;
  if (!bytes || size < sizeof(head)) {
    return RL_PLUGIN_EVENT_NOTHING;
  }
  memcpy(&head, bytes, sizeof(head));
  const RlAtom atom = {(const char *)bytes + sizeof(head), head.size, head.type};
  if (head.size > size - sizeof(head) || !rl_object(&atom, u, &walk, &otype)) {
    return RL_PLUGIN_EVENT_NOTHING;
  }
  if (otype == u->rl_Place) {
    return place_read(u, walk, &m->report) ? RL_PLUGIN_EVENT_PLACE : RL_PLUGIN_EVENT_NOTHING;
  }
  if (otype == u->rl_Hearing) {
    hearing_read(u, walk, &m->hearing);
    return RL_PLUGIN_EVENT_HEARING;
  }
  if (otype == u->rl_Played) {
    return played_read(u, walk, &m->played) ? RL_PLUGIN_EVENT_PLAYED : RL_PLUGIN_EVENT_NOTHING;
  }
  if (otype == u->rl_Hit) {
    return hit_read(u, walk, &m->hit) ? RL_PLUGIN_EVENT_HIT : RL_PLUGIN_EVENT_NOTHING;
  }
  if (otype == u->rl_Picture) {
    return rl_picture_event_read(u, walk, &m->picture) ? RL_PLUGIN_EVENT_PICTURE
                                                       : RL_PLUGIN_EVENT_NOTHING;
  }
  return otype == u->patch_Set && text_read(u, walk, m) ? RL_PLUGIN_EVENT_TEXT
                                                        : RL_PLUGIN_EVENT_NOTHING;
}
