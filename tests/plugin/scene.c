/* SPDX-License-Identifier: ISC */
#include "scene.h"

#include <lv2/atom/util.h>
#include <lv2/midi/midi.h>
#include <lv2/patch/patch.h>
#include <lv2/time/time.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* ---- checks ---- */

const char *check_about;

static void
failed(const char *const file, const int line)
{
  if (check_about) {
    print_error("in: %s\n", check_about);
  }
  _fail(file, line);
}

void
check_near(const double got, const double want, const double most, const char *const what,
           const char *const file, const int line)
{
  if (!(fabs(got - want) <= most)) {
    print_error("%s is %.9g, not %.9g\n", what, got, want);
    failed(file, line);
  }
}

void
check_text(const char *const got, const char *const want, const char *const what,
           const char *const file, const int line)
{
  if (!got || !want || strcmp(got, want) != 0) {
    print_error("%s is \"%.300s\", not \"%.300s\"\n", what, got ? got : "(nothing)",
                want ? want : "(nothing)");
    failed(file, line);
  }
}

void
check_has(const char *const got, const char *const part, const char *const what,
          const char *const file, const int line)
{
  if (!got || !strstr(got, part)) {
    print_error("%s is \"%.300s\", without \"%s\"\n", what, got ? got : "(nothing)", part);
    failed(file, line);
  }
}

void
check_shows(const Scene *const s, const int chorus, const int bar, const double beat,
            const char *const file, const int line)
{
  const bool right = s->chorus == chorus && s->bar == bar && fabs(s->beat - beat) <= 1e-5;
  if (!right) {
    print_error("shows chorus %g, bar %g, beat %.7g, not %d, %d, %.7g\n", s->chorus, s->bar,
                s->beat, chorus, bar, beat);
    failed(file, line);
  }
}

/* ---- what is told ---- */

#define RL(name) "urn:reedlamp:" name

static void *
grown(void *const array, const size_t count, size_t *const room, const size_t size)
{
  if (count < *room) {
    return array;
  }
  *room            = *room ? *room * 2 : 64;
  void *const more = realloc(array, *room * size);
  assert_non_null(more);
  return more;
}

/* The value of a key, of that type and size at least. */
static const LV2_Atom *
field(const LV2_Atom_Object *const object, const LV2_URID key, const LV2_URID type,
      const uint32_t size, const char *const name)
{
  const LV2_Atom *value = NULL;
  lv2_atom_object_get(object, key, &value, 0);
  if (!value || value->type != type || value->size < size) {
    fail_msg("%s is %s", name, value ? "of another type" : "missing");
  }
  return value;
}

typedef enum { INTEGER, REAL, STRING } Kind;

/* What a Place says, and where it is written down. */
static const struct {
  const char *name;
  Kind        kind;
  size_t      at;
} fields[PLACE_FIELDS] = {
  {"lit", INTEGER, offsetof(Place, lit)},
  {"rolling", INTEGER, offsetof(Place, rolling)},
  {"part", INTEGER, offsetof(Place, part)},
  {"chorus", INTEGER, offsetof(Place, chorus)},
  {"bar", INTEGER, offsetof(Place, bar)},
  {"bars", INTEGER, offsetof(Place, bars)},
  {"beats", INTEGER, offsetof(Place, beats)},
  {"unit", INTEGER, offsetof(Place, unit)},
  {"song_key", INTEGER, offsetof(Place, song_key)},
  {"target_hole", INTEGER, offsetof(Place, hole)},
  {"target_note", INTEGER, offsetof(Place, note)},
  {"tempo", REAL, offsetof(Place, tempo)},
  {"beat", REAL, offsetof(Place, beat)},
  {"sure", REAL, offsetof(Place, sure)},
  {"beats_to_next", REAL, offsetof(Place, to_next)},
  {"now", STRING, offsetof(Place, now)},
  {"next", STRING, offsetof(Place, next)},
  {"now_degree", STRING, offsetof(Place, now_degree)},
  {"next_degree", STRING, offsetof(Place, next_degree)},
  {"target_technique", STRING, offsetof(Place, technique)},
  {"target_degree", STRING, offsetof(Place, degree)},
};

/* LV2 atom: a String's size counts its NUL. */
static const char *
text_of(const LV2_Atom *const value)
{
  const char *const text = (const char *)(value + 1);
  assert_true(value->size > 0);
  assert_int_equal(text[value->size - 1], '\0');
  assert_int_equal(strlen(text), value->size - 1);
  return text;
}

static void
field_take(const Scene *const s, const LV2_Atom_Object *const o, const int i, Place *const p)
{
  const Urids *const    u       = &s->urids;
  const LV2_URID        types[] = {u->integer, u->real, u->string};
  const Kind            kind    = fields[i].kind;
  char *const           to      = (char *)p + fields[i].at;
  const LV2_Atom *const value =
    field(o, u->field[i], types[kind], kind == STRING ? 1 : 4, fields[i].name);
  int32_t whole;
  float   real;
  if (kind == INTEGER) {
    memcpy(&whole, value + 1, sizeof(whole));
    memcpy(to, &whole, sizeof(whole));
  } else if (kind == REAL) {
    memcpy(&real, value + 1, sizeof(real));
    assert_true(isfinite(real));
    memcpy(to, &(double){(double)real}, sizeof(double));
  } else {
    assert_true(value->size <= sizeof(p->now));
    memcpy(to, text_of(value), value->size);
  }
}

static void
place_hear(Scene *const s, const int64_t frame, const LV2_Atom_Object *const o)
{
  s->place       = (Place *)grown(s->place, s->places, &s->place_room, sizeof(Place));
  Place *const p = &s->place[s->places++];
  memset(p, 0, sizeof(*p));
  assert_true(sizeof(int64_t) + sizeof(LV2_Atom) + o->atom.size < EVENT_MAX);
  p->frame = s->now + frame;
  for (int i = 0; i < PLACE_FIELDS; ++i) {
    field_take(s, o, i, p);
  }
  const LV2_Atom *taking = NULL; /* said while it is not 0 */
  lv2_atom_object_get(o, s->urids.taking, &taking, 0);
  if (taking) {
    assert_int_equal(taking->type, s->urids.integer);
    memcpy(&p->taking, taking + 1, sizeof(int32_t));
    assert_true(p->taking > 0);
  }
  const LV2_Atom *sounds = NULL; /* said while it is 1 */
  lv2_atom_object_get(o, s->urids.sounds, &sounds, 0);
  p->sounds = sounds ? ((const LV2_Atom_Int *)sounds)->body : 0;
  assert_true(!sounds || (sounds->type == s->urids.integer && p->sounds == 1));
  const LV2_Atom *show = NULL; /* said where it is not 4 */
  lv2_atom_object_get(o, s->urids.show, &show, 0);
  p->show = show ? ((const LV2_Atom_Int *)show)->body : 4;
  assert_true(!show || (show->type == s->urids.integer && p->show >= 1 && p->show <= 3));
  double *const lay[] = {&p->bar_one_at, &p->bar_one_quarters, &p->loop_from, &p->loop_to};
  for (int i = 0; i < 4; ++i) {
    const LV2_Atom *value = NULL;
    lv2_atom_object_get(o, s->urids.lay[i], &value, 0);
    assert_true(!value || value->type == s->urids.real);
    *lay[i] = value ? (double)((const LV2_Atom_Float *)value)->body : (double)NAN;
  }
}

static const char *
uri_in(const Scene *const s, const LV2_Atom_Object *const object, const LV2_URID key)
{
  LV2_URID              urid;
  const LV2_Atom *const value =
    field(object, key, s->urids.urid, sizeof(urid), rl_host_unmap(s->host, key));
  memcpy(&urid, value + 1, sizeof(urid));
  const char *const uri = rl_host_unmap(s->host, urid);
  assert_non_null(uri);
  return uri;
}

/* LV2 patch: a Set holds the subject, the property and its value; a property told must have the
   type that the Turtle says it has. */
static void
property_hear(Scene *const s, const int64_t frame, const LV2_Atom_Object *const o)
{
  const Urids *const u        = &s->urids;
  const char *const  property = uri_in(s, o, u->property);
  const bool         path     = !strcmp(property, RL("chart_file"));
  assert_string_equal(uri_in(s, o, u->subject), s->mono ? MONO : STEREO);
  const LV2_Atom *const value = field(o, u->value, path ? u->path : u->string, 1, property);
  s->told                     = (Told *)grown(s->told, s->tolds, &s->told_room, sizeof(Told));
  Told *const t               = &s->told[s->tolds++];
  t->frame                    = s->now + frame;
  t->text                     = strdup(text_of(value));
  snprintf(t->property, sizeof(t->property), "%s", property);
}

/* MIDI 1.0: a status byte, and its data bytes below 128. */
static void
midi_hear(Scene *const s, const int64_t frame, const LV2_Atom *const atom)
{
  assert_int_equal(atom->type, s->urids.midi);
  assert_int_equal(atom->size, 3);
  assert_true(frame >= s->latest_midi);
  assert_true(frame < (s->block ? s->block : 1));
  s->latest_midi = frame;
  s->midi        = (Midi *)grown(s->midi, s->midis, &s->midi_room, sizeof(Midi));
  Midi *const m  = &s->midi[s->midis++];
  m->frame       = s->now + frame;
  memcpy(m->bytes, atom + 1, sizeof(m->bytes));
  assert_true(m->bytes[0] >= 0x80 && m->bytes[1] < 128 && m->bytes[2] < 128);
}

static void
urids_map(Scene *const s)
{
  const struct {
    LV2_URID   *to;
    const char *uri;
  } all[] = {{&s->urids.midi, LV2_MIDI__MidiEvent},
             {&s->urids.object, LV2_ATOM__Object},
             {&s->urids.integer, LV2_ATOM__Int},
             {&s->urids.real, LV2_ATOM__Float},
             {&s->urids.string, LV2_ATOM__String},
             {&s->urids.urid, LV2_ATOM__URID},
             {&s->urids.path, LV2_ATOM__Path},
             {&s->urids.place, RL("Place")},
             {&s->urids.set, LV2_PATCH__Set},
             {&s->urids.subject, LV2_PATCH__subject},
             {&s->urids.property, LV2_PATCH__property},
             {&s->urids.value, LV2_PATCH__value},
             {&s->urids.taking, RL("taking")},
             {&s->urids.sounds, RL("sounds")},
             {&s->urids.vector, LV2_ATOM__Vector},
             {&s->urids.twice, LV2_ATOM__Double},
             {&s->urids.played, RL("Played")},
             {&s->urids.hit, RL("Hit")},
             {&s->urids.picture, RL("Picture")},
             {&s->urids.title, RL("title")},
             {&s->urids.cells, RL("cells")},
             {&s->urids.chunk, LV2_ATOM__Chunk},
             {&s->urids.picture_number[0], RL("rows")},
             {&s->urids.picture_number[1], RL("lowest")},
             {&s->urids.picture_number[2], RL("columns")},
             {&s->urids.picture_number[3], RL("first")},
             {&s->urids.picture_number[4], RL("begins")},
             {&s->urids.picture_number[5], RL("ends")},
             {&s->urids.hit_field[0], RL("target")},
             {&s->urids.hit_field[1], RL("chorus")},
             {&s->urids.hit_field[2], RL("bar")},
             {&s->urids.hit_field[3], RL("beat")},
             {&s->urids.hit_field[4], RL("quarters")},
             {&s->urids.hit_field[5], RL("hole")},
             {&s->urids.hit_field[6], RL("technique")},
             {&s->urids.hit_field[7], RL("note")},
             {&s->urids.list[0], RL("holes")},
             {&s->urids.list[1], RL("techniques")},
             {&s->urids.list[2], RL("notes")},
             {&s->urids.list[3], RL("off")},
             {&s->urids.number[0], RL("level")},
             {&s->urids.number[1], RL("sure")},
             {&s->urids.number[2], RL("heard_at")},
             {&s->urids.number[3], RL("since")},
             {&s->urids.number[4], RL("chorus")},
             {&s->urids.number[5], RL("bar")},
             {&s->urids.number[6], RL("beat")},
             {&s->urids.show, RL("show")},
             {&s->urids.lay[0], RL("bar_one_at")},
             {&s->urids.lay[1], RL("bar_one_quarters")},
             {&s->urids.lay[2], RL("loop_from")},
             {&s->urids.lay[3], RL("loop_to")},
             {&s->urids.hearing, RL("Hearing")},
             {&s->urids.heard[HEARING_STATE], RL("hearing")},
             {&s->urids.heard[HEARING_CENTS], RL("cents")},
             {&s->urids.heard[HEARING_KEY], RL("key_heard")},
             {&s->urids.heard[HEARING_KEY_SURE], RL("key_sure")}};
  for (size_t i = 0; i < sizeof(all) / sizeof(all[0]); ++i) {
    *all[i].to = rl_host_map(s->host, all[i].uri);
  }
  for (int i = 0; i < PLACE_FIELDS; ++i) {
    char uri[64];
    snprintf(uri, sizeof(uri), RL("%s"), fields[i].name);
    s->urids.field[i] = rl_host_map(s->host, uri);
  }
}

/* What a Hearing says: numbers in their types and ranges, `cents` only once it is known. */
static void
hearing_hear(Scene *const s, const LV2_Atom_Object *const object)
{
  static const double low[]  = {0, -50, -1, 0};
  static const double high[] = {7, 50, 11, 1};
  unsigned            said   = 0;
  assert_true(sizeof(LV2_Atom) + object->atom.size <= EVENT_MAX);
  LV2_ATOM_OBJECT_FOREACH(object, p)
  {
    int i = 0;
    while (i < HEARING_FIELDS && p->key != s->urids.heard[i]) {
      ++i;
    }
    assert_true(i < HEARING_FIELDS && !(said & (1U << i)));
    const bool whole = i == HEARING_STATE || i == HEARING_KEY;
    assert_int_equal(p->value.type, whole ? s->urids.integer : s->urids.real);
    s->hearing[i] = whole ? ((const LV2_Atom_Int *)&p->value)->body
                          : (double)((const LV2_Atom_Float *)&p->value)->body;
    assert_true(s->hearing[i] >= low[i] && s->hearing[i] <= high[i]);
    said |= 1U << i;
  }
  s->tuned = said & (1U << HEARING_CENTS);
  assert_int_equal(said | 1U << HEARING_CENTS, (1U << HEARING_FIELDS) - 1);
  ++s->hearings;
}

/* A Vector of at most three numbers. */
static int
list_take(const Scene *const s, const LV2_Atom_Object *const o, const int i, Played *const p)
{
  const LV2_Atom_Vector *const v =
    (const LV2_Atom_Vector *)field(o, s->urids.list[i], s->urids.vector, 8, "a list of Played");
  const int      count = (int)((v->atom.size - 8) / 4);
  int32_t *const to[]  = {p->hole, p->technique, p->note};
  assert_int_equal(v->body.child_size, 4);
  assert_int_equal(v->body.child_type, i < 3 ? s->urids.integer : s->urids.real);
  assert_in_range(count, 0, 3);
  for (int n = 0; n < count; ++n) {
    float real;
    if (i < 3) {
      memcpy(&to[i][n], (const char *)(v + 1) + n * 4, 4);
    } else {
      memcpy(&real, (const char *)(v + 1) + n * 4, 4);
      p->off[n] = (double)real;
    }
  }
  return count;
}

static double
number_take(const Scene *const s, const LV2_Atom_Object *const o, const int i)
{
  const LV2_Atom *value = NULL;
  lv2_atom_object_get(o, s->urids.number[i], &value, 0);
  assert_true(value || i >= PLAYED_LEAST);
  if (!value) {
    return (double)NAN;
  }
  assert_int_equal(value->type, i == 4 || i == 5   ? s->urids.integer
                                : i == 2 || i == 3 ? s->urids.twice
                                                   : s->urids.real);
  return value->type == s->urids.integer ? ((const LV2_Atom_Int *)value)->body
         : value->type == s->urids.twice ? ((const LV2_Atom_Double *)value)->body
                                         : (double)((const LV2_Atom_Float *)value)->body;
}

/* What a Played says: as many of each list, from the lowest hole up, all in their ranges. */
static void
played_hear(Scene *const s, const int64_t frame, const LV2_Atom_Object *const o)
{
  s->played       = (Played *)grown(s->played, s->playeds, &s->played_room, sizeof(Played));
  Played *const p = &s->played[s->playeds++];
  memset(p, 0, sizeof(*p));
  p->frame           = s->now + frame;
  p->count           = list_take(s, o, 0, p);
  double *const to[] = {&p->level, &p->sure, &p->at, &p->since, &p->chorus, &p->bar, &p->beat};
  assert_true(sizeof(int64_t) + sizeof(LV2_Atom) + o->atom.size < EVENT_MAX);
  for (int i = 1; i < PLAYED_LISTS; ++i) {
    assert_int_equal(list_take(s, o, i, p), p->count);
  }
  for (int i = 0; i < PLAYED_NUMBERS; ++i) {
    *to[i] = number_take(s, o, i);
  }
  for (int i = 0; i < p->count; ++i) {
    assert_in_range(p->hole[i], i ? p->hole[i - 1] + 1 : 1, 10);
    assert_in_range(p->technique[i], 0, 9);
    assert_in_range(p->note[i], 1, 127);
    assert_true(fabs(p->off[i]) < 200);
  }
  assert_true(p->sure >= 0 && p->sure <= 1.0001 && p->at >= p->since && p->since >= 0);
}

/* What a Hit says: all of it, in its types and ranges. */
static void
hit_hear(Scene *const s, const int64_t frame, const LV2_Atom_Object *const o)
{
  static const double low[]  = {0, 0, -9999, 1, -1e6, 1, 0, 1};
  static const double high[] = {1, 9999, 512, 33, 1e6, 10, 9, 127};
  const Urids *const  u      = &s->urids;
  s->hit                     = (Hit *)grown(s->hit, s->hits, &s->hit_room, sizeof(Hit));
  Hit *const h               = &s->hit[s->hits++];
  h->frame                   = s->now + frame;
  double *const to[]         = {&h->target,   &h->chorus, &h->bar,       &h->beat,
                                &h->quarters, &h->hole,   &h->technique, &h->note};
  for (int i = 0; i < HIT_FIELDS; ++i) {
    const LV2_URID        type  = i == 3 ? u->real : i == 4 ? u->twice : u->integer;
    const LV2_Atom *const value = field(o, u->hit_field[i], type, 4, "a field of Hit");
    *to[i]                      = i == 3   ? (double)((const LV2_Atom_Float *)value)->body
                                  : i == 4 ? ((const LV2_Atom_Double *)value)->body
                                           : ((const LV2_Atom_Int *)value)->body;
    assert_true(*to[i] >= low[i] && *to[i] <= high[i]);
  }
}

/* What a Picture says: its parts from left to right, whole columns, the same of all else. */
static void
picture_hear(Scene *const s, const LV2_Atom_Object *const o)
{
  const Urids *const u = &s->urids;
  Picture *const     p = &s->picture;
  double             number[PICTURE_NUMBERS];
  const LV2_Atom    *title = NULL, *cells = NULL;
  for (int i = 0; i < PICTURE_NUMBERS; ++i) {
    const LV2_Atom *const value =
      field(o, u->picture_number[i], i < 4 ? u->integer : u->real, 4, "a field of Picture");
    number[i] =
      i < 4 ? ((const LV2_Atom_Int *)value)->body : (double)((const LV2_Atom_Float *)value)->body;
  }
  lv2_atom_object_get(o, u->title, &title, u->cells, &cells, 0);
  assert_true(title && title->type == u->string && title->size <= sizeof(p->title));
  assert_true(cells && cells->type == u->chunk && cells->size > 0);
  const int first = (int)number[3], count = (int)cells->size / 72;
  if (!first) {
    memset(p, 0, sizeof(*p));
    memcpy(p->title, title + 1, title->size);
    p->rows    = (int)number[0];
    p->lowest  = (int)number[1];
    p->columns = (int)number[2];
    p->begins  = number[4];
    p->ends    = number[5];
  }
  assert_string_equal(p->title, (const char *)(title + 1));
  assert_int_equal(p->rows, 72);
  assert_true(first == p->told && (int)cells->size == count * 72 && first + count <= p->columns);
  assert_true(p->columns == (int)number[2] && p->columns <= 512 && p->begins < p->ends);
  memcpy(p->cell + (size_t)first * 72, cells + 1, cells->size);
  p->told += count;
  ++p->parts;
}

static void
hear(void *const data, const char *const symbol, const int64_t frame, const LV2_Atom *const atom)
{
  Scene *const                 s      = (Scene *)data;
  const LV2_Atom_Object *const object = (const LV2_Atom_Object *)atom;
  if (!strcmp(symbol, "midi_out")) {
    midi_hear(s, frame, atom);
    return;
  }
  assert_string_equal(symbol, "notify");
  assert_true(frame >= s->latest);
  assert_true(frame < (s->block ? s->block : 1));
  assert_int_equal(atom->type, s->urids.object);
  s->latest = frame;
  if (object->body.otype == s->urids.place) {
    place_hear(s, frame, object);
  } else if (object->body.otype == s->urids.hearing) {
    hearing_hear(s, object);
  } else if (object->body.otype == s->urids.played) {
    played_hear(s, frame, object);
  } else if (object->body.otype == s->urids.hit) {
    hit_hear(s, frame, object);
  } else if (object->body.otype == s->urids.picture) {
    picture_hear(s, object);
  } else {
    assert_int_equal(object->body.otype, s->urids.set);
    property_hear(s, frame, object);
  }
}

/* ---- the scene ---- */

RlHostChoice
scene_choice(const char *const uri)
{
  return (RlHostChoice){.uri = uri, .rate = RATE, .max_block = MAX_BLOCK};
}

void
scene_open(Scene *const s, const RlHostChoice *const wish)
{
  RlHostChoice choice = *wish;
  memset(s, 0, sizeof(*s));
  check_about    = NULL;
  choice.bundles = getenv("RL_BUNDLES");
  if (!choice.bundles) {
    fail_msg("RL_BUNDLES is not set; give the folder that holds reedlamp.lv2");
  }
  s->mono = !strcmp(choice.uri, MONO);
  s->host = rl_host_open(&choice);
  assert_non_null(s->host);
  urids_map(s);
  rl_host_listen(s->host, hear, s);
}

void
scene_begin(Scene *const s)
{
  const RlHostChoice choice = scene_choice(STEREO);
  scene_open(s, &choice);
  rl_host_activate(s->host);
  scene_settle(s);
}

void
scene_forget(Scene *const s)
{
  for (size_t i = 0; i < s->tolds; ++i) {
    free(s->told[i].text);
  }
  s->tolds   = 0;
  s->places  = 0;
  s->midis   = 0;
  s->playeds = 0;
  s->hits    = 0;
  s->now     = 0;
}

void
scene_end(Scene *const s)
{
  scene_forget(s);
  rl_host_close(s->host);
  free(s->place);
  free(s->told);
  free(s->midi);
  free(s->played);
  free(s->hit);
}

/* plugin/PORTS.md: the ranges of the outputs. */
static const struct {
  const char *symbol;
  double      low, high;
  bool        whole;
  size_t      at;
} outputs[] = {{"chorus", 0, 9999, true, offsetof(Scene, chorus)},
               {"form_bar", -9999, 512, true, offsetof(Scene, bar)},
               {"form_beat", 0, 33, false, offsetof(Scene, beat)},
               {"position", 1, 12, true, offsetof(Scene, position)},
               {"sure", 0, 1, false, offsetof(Scene, sure)},
               {"hearing", 0, 7, true, offsetof(Scene, by_ear)},
               {"cents", -50, 50, true, offsetof(Scene, cents)},
               {"key_heard", -1, 11, true, offsetof(Scene, key_heard)},
               {"key_sure", 0, 1, false, offsetof(Scene, key_sure)},
               {"heard_hole", 0, 10, true, offsetof(Scene, heard_hole)},
               {"heard_technique", 0, 9, true, offsetof(Scene, heard_technique)},
               {"heard_cents", -100, 100, false, offsetof(Scene, heard_cents)},
               {"heard_level", -120, 0, false, offsetof(Scene, heard_level)}};

static void
outputs_take(Scene *const s)
{
  for (size_t i = 0; i < sizeof(outputs) / sizeof(outputs[0]); ++i) {
    const double value = (double)rl_host_get(s->host, outputs[i].symbol);
    memcpy((char *)s + outputs[i].at, &value, sizeof(value));
    if (!(value >= outputs[i].low && value <= outputs[i].high) ||
        (outputs[i].whole && value != floor(value))) {
      fail_msg("%s is %g", outputs[i].symbol, value);
    }
  }
}

void
scene_run(Scene *const s, const uint32_t frames)
{
  assert_true(frames <= MAX_BLOCK);
  s->block  = frames;
  s->latest = s->latest_midi = 0;
  rl_host_run(s->host, frames);
  outputs_take(s);
  s->now += frames;
}

void
scene_play(Scene *const s, int64_t frames, const uint32_t block)
{
  for (; frames > 0; frames -= block) {
    scene_run(s, frames < (int64_t)block ? (uint32_t)frames : block);
  }
}

void
scene_settle(Scene *const s)
{
  for (int i = 0; i < 4; ++i) {
    scene_run(s, 16);
  }
  scene_forget(s);
}

void
scene_await(Scene *const s, const char *const property, const char *const text)
{
  const struct timespec pause = {0, 1000000};
  for (int i = 0; i < 10000; ++i) {
    const char *const told = scene_told(s, property);
    if (told && !strcmp(told, text)) {
      return;
    }
    scene_run(s, 16);
    nanosleep(&pause, NULL);
  }
  fail_msg("%s was not told", property);
}

void
scene_send(Scene *const s, const int64_t offset, const char *const property, const char *const text)
{
  char uri[64];
  snprintf(uri, sizeof(uri), RL("%s"), property);
  rl_host_send_text(s->host, offset, uri,
                    strcmp(property, "chart_file") ? LV2_ATOM__String : LV2_ATOM__Path, text);
}

const char *
scene_told(const Scene *const s, const char *const property)
{
  for (size_t i = s->tolds; i > 0; --i) {
    if (!strcmp(s->told[i - 1].property + strlen(RL("")), property)) {
      return s->told[i - 1].text;
    }
  }
  return NULL;
}

int
scene_times_told(const Scene *const s, const char *const property)
{
  int times = 0;
  for (size_t i = 0; i < s->tolds; ++i) {
    times += !strcmp(s->told[i].property + strlen(RL("")), property);
  }
  return times;
}

const char *
scene_ask(Scene *const s, const char *const property)
{
  char uri[64];
  snprintf(uri, sizeof(uri), RL("%s"), property);
  scene_settle(s);
  rl_host_send_get(s->host, 0, uri);
  scene_run(s, 16);
  const char *const told = scene_told(s, property);
  assert_non_null(told);
  return told;
}

void
scene_chart(Scene *const s, const char *const text)
{
  scene_send(s, 0, "chart", text);
  scene_run(s, 16);
  TEXT(scene_ask(s, "problem"), "");
  TEXT(scene_ask(s, "chart"), text);
  scene_settle(s);
}

const Place *
scene_last(const Scene *const s)
{
  assert_true(s->places > 0);
  return &s->place[s->places - 1];
}

void
scene_controller(Scene *const s, const char *const port, const int64_t offset, const int channel,
                 const int controller, const int value)
{
  /* MIDI 1.0: Bn is a control change on channel n + 1. */
  const uint8_t bytes[3] = {(uint8_t)(0xB0 + channel), (uint8_t)controller, (uint8_t)value};
  rl_host_send_midi(s->host, port, offset, bytes);
}

void
scene_press(Scene *const s, const char *const port, const uint32_t frames)
{
  rl_host_set(s->host, port, 1);
  scene_run(s, frames);
  rl_host_set(s->host, port, 0);
  scene_run(s, frames);
}

/* ---- atoms by hand ---- */

static LV2_URID
letter_map(void *const handle, const char *const uri)
{
  return rl_host_map((RlHost *)handle, uri);
}

void
letter_begin(Letter *const l, Scene *const s, const char *const type)
{
  l->host = s->host;
  l->map  = (LV2_URID_Map){s->host, letter_map};
  lv2_atom_forge_init(&l->forge, &l->map);
  lv2_atom_forge_set_buffer(&l->forge, l->at.bytes, sizeof(l->at));
  lv2_atom_forge_object(&l->forge, &l->frame, 0, rl_host_map(s->host, type));
}

void
letter_key(Letter *const l, const char *const key)
{
  lv2_atom_forge_key(&l->forge, rl_host_map(l->host, key));
}

void
letter_urid(Letter *const l, const char *const uri)
{
  lv2_atom_forge_urid(&l->forge, rl_host_map(l->host, uri));
}

void
letter_send(Letter *const l, const int64_t offset)
{
  lv2_atom_forge_pop(&l->forge, &l->frame);
  rl_host_send(l->host, "control", offset, &l->at.atom);
}

/* ---- the transport ---- */

void
scene_report(Scene *const s, const int64_t offset, const Report *const r)
{
  const float          speed    = (float)r->speed;
  const float          bar_beat = (float)r->bar_beat;
  const float          beats    = (float)r->beats;
  const float          tempo    = (float)r->tempo;
  const int32_t        unit     = r->unit;
  const RlHostPosition position = {.frame            = r->said & SAY_FRAME ? &r->frame : NULL,
                                   .bar              = r->said & SAY_BAR ? &r->bar : NULL,
                                   .speed            = r->said & SAY_SPEED ? &speed : NULL,
                                   .bar_beat         = r->said & SAY_BAR_BEAT ? &bar_beat : NULL,
                                   .beats_per_bar    = r->said & SAY_METER ? &beats : NULL,
                                   .beat_unit        = r->said & SAY_METER ? &unit : NULL,
                                   .beats_per_minute = r->said & SAY_TEMPO ? &tempo : NULL,
                                   .beat             = r->said & SAY_BEAT ? &r->beat : NULL};
  rl_host_send_position(s->host, offset, &position);
}

Report
rolling_at(const int64_t bar, const double bar_beat)
{
  return (Report){.said     = SAY_PLAIN,
                  .frame    = llround(((double)bar * 4 + bar_beat) * 24000),
                  .bar      = bar,
                  .speed    = 1,
                  .bar_beat = bar_beat,
                  .tempo    = 120,
                  .beats    = 4,
                  .unit     = 4};
}

Report
parked_at(const int64_t bar, const double bar_beat)
{
  Report report = rolling_at(bar, bar_beat);
  report.speed  = 0;
  return report;
}

void
scene_roll(Scene *const s, const int beat)
{
  const Report report = rolling_at(beat / 4, beat % 4);
  scene_report(s, 0, &report);
}

void
scene_stop(Scene *const s, const int beat)
{
  const Report report = parked_at(beat / 4, beat % 4);
  scene_report(s, 0, &report);
  scene_run(s, 64);
}
