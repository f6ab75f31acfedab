/* SPDX-License-Identifier: ISC */
#include "plugin/demo/by_ear.h"

#include "plugin/demo/backing.h"
#include "plugin/host/host.h"
#include "plugin/protocol/ports.h"

#include "ui/window/plugin_events.h"

#include <lv2/atom/util.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RATE = 48000, BLOCK = 256, BLOCKS_EACH = RATE / 2 / BLOCK, LINE = 160 };

static const float unknown_tempo = 100; /* the host's, which is not the song's */

typedef struct {
  const RlByEar *what;
  RlHost        *host;
  RlUris         uris;
  int64_t        frame; /* the first of the block that runs */
  int            bar, chorus, bars, wrong;
  double         first; /* seconds until the first bar was known */
} Scene;

/* Where the grid has the song at a frame, in felt beats. */
static double
grid(const Scene *const s, const int64_t frame)
{
  return (double)frame / RATE * s->what->form->tempo / 60;
}

static void
bar_say(Scene *const s, const RlPlaceReport *const t, const int64_t frame)
{
  const RlForm *const f      = s->what->form;
  const double        length = f->starts[RL_AXIS_FELT][f->bars];
  const double        heard  = (t->chorus - 1) * length + f->starts[RL_AXIS_FELT][t->bar - 1] +
                       (t->beat - 1) * rl_meter_felt(t->beats, t->unit) / t->beats;
  const double off = heard - grid(s, frame);
  char         line[LINE];
  s->wrong += fabs(off) > 0.5;
  s->first = s->bars++ ? s->first : (double)frame / RATE;
  if (s->bars > f->bars) {
    return; /* a chorus of lines is enough */
  }
  snprintf(line, sizeof(line), "%6.1f s  %4d %4d  %-5s %-5s  %3.0f %% sure  %s\n",
           (double)frame / RATE, t->chorus, t->bar, t->now, t->now_degree, 100 * t->sure,
           fabs(off) > 0.5 ? "the grid has it elsewhere" : "as the grid has it");
  s->what->say(s->what->data, line);
}

static void
hear(void *const data, const char *const symbol, const int64_t frame, const LV2_Atom *const atom)
{
  Scene *const    s = (Scene *)data;
  RlPluginMessage m;
  if (strcmp(symbol, "notify") != 0 ||
      rl_plugin_event_read(&s->uris, atom, lv2_atom_total_size(atom), &m) !=
        RL_PLUGIN_EVENT_PLACE) {
    return;
  }
  const RlPlaceReport *const t = &m.report;
  const bool                 known =
    t->part == RL_PART_CHORUS && t->rolling && t->bar > 0 && t->chorus <= s->what->choruses;
  if (known && (t->bar != s->bar || t->chorus != s->chorus)) {
    bar_say(s, t, s->frame + frame);
  }
  s->bar    = known ? t->bar : 0;
  s->chorus = known ? t->chorus : 0;
}

static LV2_URID
map_uri(LV2_URID_Map_Handle host, const char *const uri)
{
  return rl_host_map((RlHost *)host, uri);
}

static bool
scene_open(Scene *const s)
{
  const RlHostChoice choice = {s->what->bundles, RL_PLUGIN_URI, RATE, BLOCK,
                               RL_HOST_AFTER,    false,         0};
  s->host                   = rl_host_open(&choice);
  if (!s->host) {
    return false;
  }
  rl_uris_map(&s->uris, &(LV2_URID_Map){s->host, map_uri}, RL_PLUGIN_URI);
  rl_host_activate(s->host);
  rl_host_listen(s->host, hear, s);
  rl_host_send_text(s->host, 0, RL_URI("chart"), LV2_ATOM__String, s->what->chart);
  rl_host_set(s->host, "clock", 2);
  rl_host_run(s->host, 0);
  rl_host_run(s->host, 0);
  return true;
}

/* Faster than in real time, but no faster than it can be heard. */
static void
track_play(Scene *const s, const RlTrack *const track)
{
  const float rolls    = 1;
  float      *sides[2] = {rl_host_audio(s->host, "in_left"), rl_host_audio(s->host, "in_right")};
  for (int64_t i = 0; (i + 1) * BLOCK <= (int64_t)track->frames; ++i) {
    s->frame                 = i * BLOCK;
    const RlHostPosition now = {
      .frame = &s->frame, .speed = &rolls, .beats_per_minute = &unknown_tempo};
    for (int k = 0; k < BLOCK; ++k) {
      sides[0][k] = track->sound[2 * (s->frame + k)];
      sides[1][k] = track->sound[2 * (s->frame + k) + 1];
    }
    rl_host_send_position(s->host, 0, &now);
    rl_host_run(s->host, BLOCK);
    if (i % BLOCKS_EACH == 0) {
      rl_host_rest(1);
    }
  }
}

bool
rl_by_ear_play(const RlByEar *const what)
{
  Scene   s = {.what = what};
  RlTrack track;
  char    line[LINE];
  if (!rl_backing_read(what->track, &track) || !scene_open(&s)) {
    return false;
  }
  what->say(what->data, "\nBy ear: the backing track again, and nobody says where its bars are.\n"
                        "    time chorus bar chord\n");
  track_play(&s, &track);
  const bool cannot = rl_host_get(s.host, "hearing") == RL_HEARING_CANNOT;
  rl_host_close(s.host);
  free(track.sound);
  if (cannot) {
    what->say(what->data, "This build has no ear: install libkissfft-dev and build again.\n");
    return true;
  }
  snprintf(
    line, sizeof(line),
    "Heard %d bars of %d, the first after %.0f seconds; %d elsewhere than the grid has them.\n",
    s.bars, what->choruses * what->form->bars, s.first, s.wrong);
  what->say(what->data, line);
  return s.bars > 0 && !s.wrong;
}
