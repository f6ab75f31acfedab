/* SPDX-License-Identifier: ISC */
#include "plugin/osc/bundle.h"

#include "plugin/osc/post.h"
#include "plugin/protocol/ports.h"

#include <math.h>
#include <string.h>

/* ---- one address each ---- */

static bool
transport_changed(const RlOscUpdate *const n)
{
  static const float      least = 0.001F; /* beats a minute: less is the clock's own trembling */
  const RlOscState *const a     = n->was;
  const RlOscState *const b     = n->now;
  return a->rolling != b->rolling || fabsf(a->tempo - b->tempo) >= least || a->beats != b->beats ||
         a->unit != b->unit;
}

static lo_message
transport(const RlOscState *const s)
{
  RL_OSC_MESSAGE("iffi", s->rolling, (double)s->tempo, (double)s->beats, s->unit);
}

static bool
place_changed(const RlOscUpdate *const n)
{
  const RlOscState *const a = n->was;
  const RlOscState *const b = n->now;
  return n->moved || a->chorus != b->chorus || a->bar != b->bar || a->bars != b->bars ||
         a->sure != b->sure;
}

static lo_message
place(const RlOscState *const s)
{
  RL_OSC_MESSAGE("iiiff", s->chorus, s->bar, s->bars, (double)s->beat, (double)s->sure);
}

static bool
chord_changed(const RlOscUpdate *const n)
{
  const RlOscState *const a = n->was;
  const RlOscState *const b = n->now;
  return n->leaped || strcmp(a->now, b->now) != 0 || strcmp(a->next, b->next) != 0 ||
         strcmp(a->now_degree, b->now_degree) != 0 || strcmp(a->next_degree, b->next_degree) != 0;
}

static lo_message
chord(const RlOscState *const s)
{
  RL_OSC_MESSAGE("ssssf", s->now, s->next, s->now_degree, s->next_degree, (double)s->beats_to_next);
}

/* Told with every chord: the beats until it are the same. */
static bool
target_changed(const RlOscUpdate *const n)
{
  const RlTarget a = n->was->target;
  const RlTarget b = n->now->target;
  return chord_changed(n) || a.hole != b.hole || a.technique != b.technique ||
         a.degree != b.degree || a.note != b.note;
}

static lo_message
target(const RlOscState *const s)
{
  const RlTarget    t      = s->target;
  const char *const how    = t.hole ? rl_technique_name((RlTechnique)t.technique) : "";
  const char *const degree = t.hole ? rl_degree_name((RlDegree)t.degree) : "";
  RL_OSC_MESSAGE("issif", t.hole, how, degree, t.note, (double)s->beats_to_next);
}

static bool
harp_changed(const RlOscUpdate *const n)
{
  const RlOscState *const a = n->was;
  const RlOscState *const b = n->now;
  return strcmp(a->harp_key, b->harp_key) != 0 || strcmp(a->song_key, b->song_key) != 0 ||
         a->tuning != b->tuning || a->position != b->position;
}

static lo_message
harp(const RlOscState *const s)
{
  RL_OSC_MESSAGE("ssis", s->harp_key, rl_tuning_name(s->tuning), s->position, s->song_key);
}

static bool
show_changed(const RlOscUpdate *const n)
{
  return n->was->show != n->now->show;
}

static lo_message
show(const RlOscState *const s)
{
  RL_OSC_MESSAGE("i", (int)s->show);
}

/* While the song is followed by ear, and once after. */
static bool
hearing_told(const RlOscUpdate *const n)
{
  return n->now->hearing != RL_HEARING_OFF || (n->was && n->was->hearing != RL_HEARING_OFF);
}

static bool
sure_changed(const RlOscUpdate *const n)
{
  return n->was->sure != n->now->sure || n->was->hearing != n->now->hearing;
}

static lo_message
sure(const RlOscState *const s)
{
  RL_OSC_MESSAGE("fs", (double)s->sure, rl_ports[RL_PORT_HEARING].points[s->hearing]);
}

/* Following by ear begins or ends: then all that it tells is sent. */
static bool
hearing_turned(const RlOscUpdate *const n)
{
  return (n->was->hearing == RL_HEARING_OFF) != (n->now->hearing == RL_HEARING_OFF);
}

static bool
tuning_changed(const RlOscUpdate *const n)
{
  return hearing_turned(n) || n->was->tuned != n->now->tuned || n->was->cents != n->now->cents;
}

static lo_message
tuning(const RlOscState *const s)
{
  RL_OSC_MESSAGE("fi", (double)s->cents, s->tuned);
}

static bool
key_heard_changed(const RlOscUpdate *const n)
{
  return hearing_turned(n) || strcmp(n->was->key_heard, n->now->key_heard) != 0 ||
         n->was->key_sure != n->now->key_sure;
}

static lo_message
key_heard(const RlOscState *const s)
{
  RL_OSC_MESSAGE("sf", s->key_heard, (double)s->key_sure);
}

static bool
loop_changed(const RlOscUpdate *const n)
{
  static const float      least = 0.001F; /* of a bar: less is rounding */
  const RlOscState *const a     = n->was;
  const RlOscState *const b     = n->now;
  return fabsf(a->loop_from - b->loop_from) >= least || fabsf(a->loop_to - b->loop_to) >= least;
}

static lo_message
loop(const RlOscState *const s)
{
  RL_OSC_MESSAGE("ff", (double)s->loop_from, (double)s->loop_to);
}

static const struct {
  const char *path;
  bool (*changed)(const RlOscUpdate *update);
  lo_message (*message)(const RlOscState *state);
  bool (*told)(const RlOscUpdate *update); /* NULL: always */
} addresses[] = {
  {"/reedlamp/transport", transport_changed, transport, NULL},
  {"/reedlamp/place", place_changed, place, NULL},
  {"/reedlamp/chord", chord_changed, chord, NULL},
  {"/reedlamp/target", target_changed, target, NULL},
  {"/reedlamp/harp", harp_changed, harp, NULL},
  {"/reedlamp/show", show_changed, show, NULL},
  {"/reedlamp/sure", sure_changed, sure, hearing_told},
  {"/reedlamp/tuning", tuning_changed, tuning, hearing_told},
  {"/reedlamp/key_heard", key_heard_changed, key_heard, hearing_told},
  {"/reedlamp/loop", loop_changed, loop, NULL},
};

/* ---- lamps ---- */

static bool
lamp_changed(const RlLamp *const a, const RlLamp *const b)
{
  return a->note != b->note || a->worth.role != b->worth.role ||
         a->worth.degree != b->worth.degree || a->worth.brightness != b->worth.brightness ||
         a->worth.blue != b->worth.blue;
}

static lo_message
lamp(const RlLamp *const l)
{
  const RlWorth     w      = l->worth;
  const char *const degree = w.degree < RL_DEGREES ? rl_degree_name(w.degree) : "";
  RL_OSC_MESSAGE("fssii", (double)w.brightness, rl_role_name(w.role), degree, l->note, w.blue);
}

static void
lamp_add(RlOscPost *const p, const int hole, const RlTechnique technique, const RlLamp *const l)
{
  char   buffer[64];
  RlText path = rl_text_in(buffer, sizeof(buffer));
  rl_text_add(&path, "/reedlamp/lamp/");
  rl_text_add_int(&path, hole);
  rl_text_add(&path, "/");
  rl_text_add(&path, rl_technique_name(technique));
  rl_osc_post_add(p, path.to, lamp(l));
}

/* One that the harp no longer has goes out once. */
static void
lamps_add(RlOscPost *const p, const RlOscUpdate *const n)
{
  const RlLamp none = {0, rl_worth_out};
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    for (int how = 0; how < RL_TECHNIQUES; ++how) {
      const RlLamp *const now = &n->now->lamps.lamp[hole][how];
      const RlLamp *const was = n->was ? &n->was->lamps.lamp[hole][how] : &none;
      if (now->note && (n->full || lamp_changed(was, now))) {
        lamp_add(p, hole + 1, (RlTechnique)how, now);
      } else if (!now->note && was->note) {
        lamp_add(p, hole + 1, (RlTechnique)how, &none);
      }
    }
  }
}

/* ---- phrases ---- */

static lo_message
phrase_note(const RlBegunNote *const p, const char *const title)
{
  RL_OSC_MESSAGE("iffissis", p->bar, (double)p->beat, (double)p->beats, p->hole,
                 rl_technique_name((RlTechnique)p->technique), rl_degree_name((RlDegree)p->degree),
                 p->note, title);
}

static lo_message
phrase_rest(void)
{
  RL_OSC_MESSAGE("iffissis", 0, 0.0, 0.0, 0, "", "", 0, "");
}

/* What sounds of the phrases now; hole 0 where nothing does. */
static void
phrase_add(RlOscPost *const p, const RlOscState *const s)
{
  static const char path[] = "/reedlamp/phrase";
  for (int i = 0; i < s->sounding; ++i) {
    rl_osc_post_add(p, path, phrase_note(&s->note[i], s->title));
  }
  if (!s->sounding) {
    rl_osc_post_add(p, path, phrase_rest());
  }
}

/* ---- the player ---- */

static lo_message
heard_note(const RlPlayed *const p, const int i)
{
  const RlPlayedNote *const n = &p->note[i];
  RL_OSC_MESSAGE("isifff", n->hole, rl_technique_name((RlTechnique)n->technique), n->midi,
                 (double)n->cents, (double)p->level, (double)p->sure);
}

static lo_message
heard_rest(void)
{
  RL_OSC_MESSAGE("isifff", 0, "", 0, 0.0, 0.0, 0.0);
}

static void
heard_add(RlOscPost *const p, const RlPlayed *const played)
{
  static const char path[] = "/reedlamp/heard";
  for (int i = 0; i < played->count; ++i) {
    rl_osc_post_add(p, path, heard_note(played, i));
  }
  if (!played->count) {
    rl_osc_post_add(p, path, heard_rest());
  }
}

/* While the player is heard, and once after. */
static void
heard_tell(RlOscPost *const p, const RlOscUpdate *const n)
{
  const RlHeardNow *const now = &n->now->heard;
  const RlHeardNow *const was = n->was ? &n->was->heard : NULL;
  const bool              due = n->full || !was || was->changes != now->changes;
  if (due && (now->listens || (was && was->listens))) {
    heard_add(p, &now->played);
  }
}

static lo_message
hit_message(const RlHitTold *const h)
{
  RL_OSC_MESSAGE("siifisi", h->target ? "target" : "planned", h->chorus, h->bar, (double)h->beat,
                 h->hole, rl_technique_name((RlTechnique)h->technique), h->note);
}

/* Those that are new; who hears us for the first time is not told of what was before. */
static void
hits_tell(RlOscPost *const p, const RlOscUpdate *const n)
{
  const RlHitsTold *const now   = &n->now->hits;
  const unsigned          known = n->was ? n->was->hits.count : now->count;
  for (unsigned i = rl_hits_first_untold(now, known); i != now->count; ++i) {
    rl_osc_post_add(p, "/reedlamp/hit", hit_message(&now->last[i % RL_HITS_TOLD]));
  }
}

/* ---- all of it ---- */

bool
rl_osc_write(const RlOscUpdate *const update, const RlOscOut out, void *const data)
{
  RlOscPost   p = rl_osc_post(update->when, out, data);
  RlOscUpdate n = *update;
  n.full        = n.full || !n.was;
  for (size_t i = 0; i < sizeof(addresses) / sizeof(addresses[0]); ++i) {
    const bool told = !addresses[i].told || addresses[i].told(&n);
    if (told && (n.full || addresses[i].changed(&n))) {
      rl_osc_post_add(&p, addresses[i].path, addresses[i].message(n.now));
    }
  }
  if (n.full || n.was->notes != n.now->notes) {
    phrase_add(&p, n.now);
  }
  heard_tell(&p, &n);
  hits_tell(&p, &n);
  lamps_add(&p, &n);
  rl_osc_post_flush(&p);
  return p.whole;
}

bool
rl_osc_write_last(const int64_t when, const RlOscState *const end, const RlOscOut out,
                  void *const data)
{
  RlOscPost         p = rl_osc_post(when, out, data);
  const RlOscUpdate n = {.when = when, .now = end, .full = true};
  rl_osc_post_add(&p, addresses[0].path, transport(end));
  phrase_add(&p, end);
  heard_tell(&p, &n);
  lamps_add(&p, &n);
  rl_osc_post_flush(&p);
  return p.whole;
}
