/* SPDX-License-Identifier: ISC */
#include "plugin/rt/notify.h"

#include "plugin/protocol/patch.h"
#include "plugin/protocol/ports.h"
#include "plugin/protocol/techniques.h"

#include <math.h>
#include <string.h>

enum {
  PLACE_BYTES     = 680, /* what a Place comes to at most, without what can be left out */
  HEARING_BYTES   = 160,
  PLAYED_BYTES    = 400,
  HIT_BYTES       = 280,
  PICTURE_BYTES   = 400, /* without its cells */
  PICTURE_COLUMNS = 48   /* in one part */
};

_Static_assert(sizeof(LV2_Atom_Sequence) + PLACE_BYTES + RL_PATCH_SET_BYTES + RL_PROPERTY_MOST <=
                 RL_ATOM_PORT_SIZE,
               "the port that hosts are asked for does not hold the longest property");

void
rl_notify_init(RlNotify *const n, LV2_URID_Map *const map, const RlUris *const uris)
{
  memset(n, 0, sizeof(*n));
  n->uris = uris;
  lv2_atom_forge_init(&n->forge, map);
}

/* Room for an event of `size` bytes? Opens the sequence at the first. */
static bool
fits(RlNotify *const n, const uint32_t size)
{
  if (!n->open) {
    if (n->capacity < sizeof(LV2_Atom_Sequence) + size) {
      return false;
    }
    lv2_atom_forge_set_buffer(&n->forge, (uint8_t *)n->port, n->capacity);
    n->open = lv2_atom_forge_sequence_head(&n->forge, &n->sequence, 0) != 0;
  }
  return n->open && n->forge.size - n->forge.offset >= size;
}

/* A property whose value is one number, in one piece: the forge would write key, value and what
   fills up to eight bytes one by one. */
typedef struct {
  LV2_Atom_Property_Body head;
  union {
    int32_t whole;
    float   real;
  } value;
  uint32_t fill;
} Number;

_Static_assert(sizeof(Number) == 24, "a property in an object fills whole groups of eight bytes");

static bool
put_int(LV2_Atom_Forge *const f, const LV2_URID key, const int value)
{
  const Number n = {{key, 0, {sizeof(n.value), f->Int}}, {.whole = value}, 0};
  return lv2_atom_forge_raw(f, &n, sizeof(n));
}

static bool
put_float(LV2_Atom_Forge *const f, const LV2_URID key, const double value)
{
  const Number n = {{key, 0, {sizeof(n.value), f->Float}}, {.real = (float)value}, 0};
  return lv2_atom_forge_raw(f, &n, sizeof(n));
}

static bool
put_text(LV2_Atom_Forge *const f, const LV2_URID key, const RlText *const text)
{
  return lv2_atom_forge_key(f, key) && lv2_atom_forge_string(f, text->to, (uint32_t)text->used);
}

static bool
put_chord(LV2_Atom_Forge *const f, const LV2_URID name_key, const LV2_URID degree_key,
          const RlFollower *const follower, const int change)
{
  char   buffers[2][RL_CHORD_SIZE];
  RlText name   = rl_text_in(buffers[0], RL_CHORD_SIZE);
  RlText degree = rl_text_in(buffers[1], RL_CHORD_SIZE);
  if (change >= 0) {
    const RlHarmony h =
      rl_harmony_of(rl_form_chord(&follower->snapshot->form, change), follower->key);
    rl_harmony_name(&h, &name);
    rl_harmony_degree(&h, &degree);
  }
  return put_text(f, name_key, &name) && put_text(f, degree_key, &degree);
}

static bool
put_target(LV2_Atom_Forge *const f, const RlUris *const u, const RlTarget target)
{
  const char *const degree = target.hole ? rl_degree_name((RlDegree)target.degree) : "";
  const char *const how    = target.hole ? rl_technique_name((RlTechnique)target.technique) : "";
  return put_int(f, u->rl_target_hole, target.hole) && put_int(f, u->rl_target_note, target.note) &&
         lv2_atom_forge_key(f, u->rl_target_technique) &&
         lv2_atom_forge_string(f, how, (uint32_t)strlen(how)) &&
         lv2_atom_forge_key(f, u->rl_target_degree) &&
         lv2_atom_forge_string(f, degree, (uint32_t)strlen(degree));
}

/* Some hosts drop events of 700 bytes and more, or give no more to write in: where the chords'
   names are so long that there is no room for so many numbers, what can be done without is left
   out. */
static bool
has_room(const LV2_Atom_Forge *const f, const uint32_t from, const uint32_t numbers)
{
  enum { TOO_LONG = 700 };
  const uint32_t more = numbers * (uint32_t)sizeof(Number);
  return f->offset - from + more < TOO_LONG && f->size - f->offset >= more;
}

/* How much is shown, where that is not all. */
static bool
put_show(LV2_Atom_Forge *const f, const RlUris *const u, const RlShow show)
{
  return show == RL_SHOW_ALL || put_int(f, u->rl_show, (int)show);
}

/* Where targets alone are shown, that of the chord now. */
static bool
put_landed(LV2_Atom_Forge *const f, const RlUris *const u, const RlFollower *const follower,
           const uint32_t from)
{
  enum { NUMBERS = 3 }; /* the hole, and a technique's name is shorter than two */
  const RlTarget    landed = rl_follower_target(follower, follower->now.chords.now);
  const char *const how    = rl_technique_name((RlTechnique)landed.technique);
  if (follower->settings.show != RL_SHOW_TARGETS || !landed.hole || !has_room(f, from, NUMBERS)) {
    return true;
  }
  return put_int(f, u->rl_landed_hole, landed.hole) &&
         lv2_atom_forge_key(f, u->rl_landed_technique) &&
         lv2_atom_forge_string(f, how, (uint32_t)strlen(how));
}

/* Where bar 1 was put, and the host's loop; only while there is one. */
static bool
put_lay(LV2_Atom_Forge *const f, const RlUris *const u, const RlFollower *const follower,
        const uint32_t from)
{
  const RlBarOne *const one   = rl_follower_bar_one(follower);
  const bool            bars  = one && one->axis == RL_AXIS_BARS;
  const bool            loops = rl_loop_holds(&follower->loop, &follower->at);
  if (one && has_room(f, from, 1) &&
      !put_float(f, bars ? u->rl_bar_one_at : u->rl_bar_one_quarters,
                 bars ? one->at + 1 : one->at)) {
    return false;
  }
  if (!loops || !has_room(f, from, 2)) {
    return true;
  }
  const RlLoopBars loop = rl_loop_bars(&follower->loop, &follower->snapshot->form, &follower->at);
  return put_float(f, u->rl_loop_from, loop.from) && put_float(f, u->rl_loop_to, loop.to);
}

bool
rl_notify_place(RlNotify *const n, const int64_t frame, const RlFollower *const follower,
                const bool lit, const int taking, const bool sounds)
{
  const RlUris *const     u      = n->uris;
  LV2_Atom_Forge *const   f      = &n->forge;
  const RlPlace *const    place  = &follower->now.place;
  const RlChordsAt *const chords = &follower->now.chords;
  LV2_Atom_Forge_Frame    object;
  if (!fits(n, PLACE_BYTES)) {
    return false;
  }
  const uint32_t from = f->offset;
  const bool     whole =
    lv2_atom_forge_frame_time(f, frame) && lv2_atom_forge_object(f, &object, 0, u->rl_Place) &&
    put_int(f, u->rl_lit, lit) && put_int(f, u->rl_rolling, follower->now.rolling) &&
    (!taking || put_int(f, u->rl_taking, taking)) &&
    put_float(f, u->rl_tempo, follower->now.tempo) && put_int(f, u->rl_part, (int)place->part) &&
    put_int(f, u->rl_chorus, place->chorus) && put_int(f, u->rl_bar, place->bar) &&
    put_int(f, u->rl_bars, follower->snapshot->form.bars) &&
    put_float(f, u->rl_beat, (double)rl_follower_shown_beat(follower)) &&
    put_int(f, u->rl_beats, place->beats) && put_int(f, u->rl_unit, place->unit) &&
    put_float(f, u->rl_sure, (double)follower->now.sure) &&
    put_int(f, u->rl_song_key, rl_spelling_class(follower->key.tonic)) &&
    put_chord(f, u->rl_now, u->rl_now_degree, follower, chords->now) &&
    put_chord(f, u->rl_next, u->rl_next_degree, follower, chords->next) &&
    put_float(f, u->rl_beats_to_next, rl_follower_beats_to_next(follower)) &&
    put_target(f, u, rl_follower_target(follower, chords->next)) &&
    put_show(f, u, follower->settings.show) && put_lay(f, u, follower, from) &&
    put_landed(f, u, follower, from) &&
    (!sounds || !has_room(f, from, 1) || put_int(f, u->rl_sounds, 1));
  lv2_atom_forge_pop(f, &object);
  return whole;
}

bool
rl_notify_hearing(RlNotify *const n, const int64_t frame, const RlHearingState state,
                  const RlNews *const news)
{
  const RlUris *const   u = n->uris;
  LV2_Atom_Forge *const f = &n->forge;
  LV2_Atom_Forge_Frame  object;
  if (!fits(n, HEARING_BYTES)) {
    return false;
  }
  const bool whole =
    lv2_atom_forge_frame_time(f, frame) && lv2_atom_forge_object(f, &object, 0, u->rl_Hearing) &&
    put_int(f, u->rl_hearing, (int)state) &&
    (!news->tuned || put_float(f, u->rl_cents, (double)news->cents)) &&
    put_int(f, u->rl_key_heard, news->key) && put_float(f, u->rl_key_sure, (double)news->key_sure);
  lv2_atom_forge_pop(f, &object);
  return whole;
}

static bool
put_vector(LV2_Atom_Forge *const f, const LV2_URID key, const LV2_URID type, const int count,
           const void *const values)
{
  return lv2_atom_forge_key(f, key) &&
         lv2_atom_forge_vector(f, sizeof(int32_t), type, (uint32_t)count, values);
}

static bool
put_notes(LV2_Atom_Forge *const f, const RlUris *const u, const RlPlayed *const played)
{
  int32_t hole[RL_REED_TOGETHER], technique[RL_REED_TOGETHER], note[RL_REED_TOGETHER];
  float   off[RL_REED_TOGETHER];
  for (int i = 0; i < played->count; ++i) {
    hole[i]      = played->note[i].hole;
    technique[i] = rl_technique_number((RlTechnique)played->note[i].technique);
    note[i]      = played->note[i].midi;
    off[i]       = played->note[i].cents;
  }
  return put_vector(f, u->rl_holes, f->Int, played->count, hole) &&
         put_vector(f, u->rl_techniques, f->Int, played->count, technique) &&
         put_vector(f, u->rl_notes, f->Int, played->count, note) &&
         put_vector(f, u->rl_off, f->Float, played->count, off);
}

static bool
put_double(LV2_Atom_Forge *const f, const LV2_URID key, const double value)
{
  return lv2_atom_forge_key(f, key) && lv2_atom_forge_double(f, value);
}

static bool
put_begun(LV2_Atom_Forge *const f, const RlUris *const u, const RlHeardNow *const heard)
{
  return !heard->played.count || !heard->bar ||
         (put_int(f, u->rl_chorus, heard->chorus) && put_int(f, u->rl_bar, heard->bar) &&
          put_float(f, u->rl_beat, (double)heard->beat));
}

bool
rl_notify_played(RlNotify *const n, const int64_t frame, const RlHeardNow *const heard)
{
  const RlUris *const   u      = n->uris;
  const RlPlayed *const played = &heard->played;
  LV2_Atom_Forge *const f      = &n->forge;
  LV2_Atom_Forge_Frame  object;
  if (!fits(n, PLAYED_BYTES)) {
    return false;
  }
  const bool whole =
    lv2_atom_forge_frame_time(f, frame) && lv2_atom_forge_object(f, &object, 0, u->rl_Played) &&
    put_notes(f, u, played) && put_float(f, u->rl_level, (double)played->level) &&
    put_float(f, u->rl_sure, (double)played->sure) &&
    put_double(f, u->rl_heard_at, (double)played->frame / heard->rate) &&
    put_double(f, u->rl_since, (double)played->since / heard->rate) && put_begun(f, u, heard);
  lv2_atom_forge_pop(f, &object);
  return whole;
}

bool
rl_notify_hit(RlNotify *const n, const int64_t frame, const RlHitTold *const hit)
{
  const RlUris *const   u = n->uris;
  LV2_Atom_Forge *const f = &n->forge;
  LV2_Atom_Forge_Frame  object;
  if (!fits(n, HIT_BYTES)) {
    return false;
  }
  const bool whole =
    lv2_atom_forge_frame_time(f, frame) && lv2_atom_forge_object(f, &object, 0, u->rl_Hit) &&
    put_int(f, u->rl_target, hit->target) && put_int(f, u->rl_chorus, hit->chorus) &&
    put_int(f, u->rl_bar, hit->bar) && put_float(f, u->rl_beat, (double)hit->beat) &&
    put_double(f, u->rl_quarters, hit->quarters) && put_int(f, u->rl_hole, hit->hole) &&
    put_int(f, u->rl_technique, rl_technique_number((RlTechnique)hit->technique)) &&
    put_int(f, u->rl_note, hit->note);
  lv2_atom_forge_pop(f, &object);
  return whole;
}

uint32_t
rl_notify_picture(RlNotify *const n, const int64_t frame, const RlPicture *const p,
                  const uint32_t first)
{
  const RlUris *const   u     = n->uris;
  LV2_Atom_Forge *const f     = &n->forge;
  const uint32_t        left  = (uint32_t)p->columns - first;
  const uint32_t        count = left < PICTURE_COLUMNS ? left : PICTURE_COLUMNS;
  const uint32_t        bytes = count * RL_LIFT_PICTURE_ROWS;
  LV2_Atom_Forge_Frame  object;
  if (!fits(n, PICTURE_BYTES + bytes)) {
    return 0;
  }
  const bool whole =
    lv2_atom_forge_frame_time(f, frame) && lv2_atom_forge_object(f, &object, 0, u->rl_Picture) &&
    lv2_atom_forge_key(f, u->rl_title) &&
    lv2_atom_forge_string(f, p->title, (uint32_t)strlen(p->title)) &&
    put_int(f, u->rl_rows, RL_LIFT_PICTURE_ROWS) &&
    put_int(f, u->rl_lowest, RL_LIFT_PICTURE_LOWEST) && put_int(f, u->rl_columns, p->columns) &&
    put_float(f, u->rl_begins, (double)p->begins) && put_float(f, u->rl_ends, (double)p->ends) &&
    put_int(f, u->rl_first, (int)first) && lv2_atom_forge_key(f, u->rl_cells) &&
    lv2_atom_forge_atom(f, bytes, f->Chunk) &&
    lv2_atom_forge_write(f, p->cell + (size_t)first * RL_LIFT_PICTURE_ROWS, bytes);
  lv2_atom_forge_pop(f, &object);
  return whole ? count : 0;
}

bool
rl_notify_property(RlNotify *const n, const int64_t frame, const RlProperty property,
                   const RlSnapshot *const snapshot)
{
  const RlPatchValue value =
    rl_patch_value(property, rl_snapshot_text(snapshot, property), n->uris);
  return fits(n, RL_PATCH_SET_BYTES + value.length) &&
         lv2_atom_forge_frame_time(&n->forge, frame) && rl_patch_set(&n->forge, n->uris, &value);
}
