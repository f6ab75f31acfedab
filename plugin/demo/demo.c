/* SPDX-License-Identifier: ISC */
/* The demo: a band at a ferry landing plays three choruses, the plugin follows in the embedded
   host, and every bar becomes a line that a harmonica player can read. Usage: demo BUNDLES CHART
   FOLDER */
#include "core/chart/chart.h"
#include "core/harmony/lamps.h"
#include "plugin/demo/backing.h"
#include "plugin/demo/by_ear.h"
#include "plugin/demo/pictures.h"
#include "plugin/host/host.h"
#include "plugin/host/live.h"

#include "ui/window/plugin_events.h"

#include <lv2/atom/util.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RATE = 48000, BLOCK = 256, CHORUSES = 3, TEXT_SIZE = 128, PATH_SIZE = 4096 };

/* What the player said before: a C harp, bends but no overblows. */
static const RlHarpChoice harp_choice = {0, 0, RL_RICHTER};
static const RlPlayer     player      = {3, 3, false};

typedef struct {
  RlHost     *host;
  RlForm      form;
  FILE       *file;
  RlHarp      harp;
  int         last_chorus, last_bar;
  char        last_chord[TEXT_SIZE];
  RlUris      uris;
  int64_t     frame; /* the first of the block that runs */
  RlPictures *pictures;
} Demo;

/* ---- the lines ---- */

static void
say(const Demo *const d, const char *const text)
{
  fputs(text, stdout);
  fputs(text, d->file);
}

/* The lamps of some brightnesses as tab, lowest hole first. */
static void
lit_write(const RlLamps *const lamps, const float from, const float to, RlText *const text)
{
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    for (int how = 0; how < RL_TECHNIQUES; ++how) {
      const RlLamp *const lamp = &lamps->lamp[hole][how];
      if (lamp->note && lamp->worth.brightness >= from && lamp->worth.brightness < to) {
        rl_text_add(text, text->used ? " " : "");
        rl_tab_write(hole + 1, (RlTechnique)how, text);
      }
    }
  }
}

static void
target_write(const RlTarget *const target, RlText *const text)
{
  if (target->hole) {
    rl_tab_write(target->hole, (RlTechnique)target->technique, text);
    rl_text_add(text, " = ");
    rl_text_add(text, rl_degree_name((RlDegree)target->degree));
  }
}

/* The chord that sounds, by its name as a degree: the plugin and the core speak the same chords. */
static RlHarmony
harmony_of(const Demo *const d, const RlPlaceReport *const t)
{
  RlChord chord;
  rl_chord_read(rl_slice(t->now_degree), &chord);
  return rl_harmony_of(rl_chord_in_key(chord, d->form.key), d->form.key);
}

static void
line_say(const Demo *const d, const RlPlaceReport *const t, const bool new_bar)
{
  char            target[TEXT_SIZE], guide[TEXT_SIZE], chord[TEXT_SIZE], safe[TEXT_SIZE];
  char            where[TEXT_SIZE], line[10 * TEXT_SIZE];
  const RlHarmony now   = harmony_of(d, t);
  const RlLamps   lamps = rl_lamps_light(&d->harp, player, &now, d->form.key);
  RlText          land  = rl_text_in(target, sizeof(target));
  RlText          top   = rl_text_in(guide, sizeof(guide));
  RlText          tones = rl_text_in(chord, sizeof(chord));
  RlText          rest  = rl_text_in(safe, sizeof(safe));
  target_write(&t->target, &land);
  lit_write(&lamps, 1.0F, 2.0F, &top);
  lit_write(&lamps, 0.7F, 1.0F, &tones);
  lit_write(&lamps, 0.5F, 0.7F, &rest);
  if (new_bar) {
    snprintf(where, sizeof(where), "%4d %4d", t->chorus, t->bar);
  } else {
    snprintf(where, sizeof(where), "  beat %.0f", t->beat);
  }
  snprintf(line, sizeof(line), "%9s  %-5s %-5s %-5s in %-2.0f  %-10s  %-24s | %-26s | %s\n", where,
           t->now, t->now_degree, t->next, t->beats_to_next, target, guide, chord, safe);
  say(d, line);
}

static void
head_say(const Demo *const d)
{
  char          line[512];
  const RlSlice title = rl_form_text(&d->form, d->form.title);
  snprintf(line, sizeof(line),
           "%.*s, %.0f beats a minute, key of G, on a C harp: position %d\n"
           "Tab: 4 blow, -4 draw, ' bent down half a step. Land on: the note to reach when the "
           "next chord comes.\n\n",
           (int)title.length, title.at, d->form.tempo, rl_harp_position(0, 7));
  say(d, line);
  say(d, "chorus bar chord       next         land on     thirds and sevenths      | root, fifth, "
         "others       | safe and blue\n");
}

static void
place_say(Demo *const d, const RlPlaceReport *const t)
{
  const bool new_bar = t->chorus != d->last_chorus || t->bar != d->last_bar;
  if (t->chorus < 1 || t->chorus > CHORUSES || (!new_bar && !strcmp(t->now, d->last_chord))) {
    return;
  }
  line_say(d, t, new_bar);
  d->last_chorus = t->chorus;
  d->last_bar    = t->bar;
  snprintf(d->last_chord, sizeof(d->last_chord), "%s", t->now);
}

static void
text_show(const Demo *const d, const RlPluginMessage *const m)
{
  static char text[RL_CHART_MAX + 1];
  RlText      whole = rl_text_in(text, sizeof(text));
  rl_text_add_slice(&whole, (RlSlice){m->text, m->length});
  rl_pictures_hear_text(d->pictures, m->which, text);
}

static void
hear(void *const data, const char *const symbol, const int64_t frame, const LV2_Atom *const atom)
{
  Demo *const         d = (Demo *)data;
  RlPluginMessage     m;
  const RlPluginEvent heard =
    strcmp(symbol, "notify") ? RL_PLUGIN_EVENT_NOTHING
                             : rl_plugin_event_read(&d->uris, atom, lv2_atom_total_size(atom), &m);
  if (heard == RL_PLUGIN_EVENT_TEXT) {
    text_show(d, &m);
  } else if (heard == RL_PLUGIN_EVENT_PLACE) {
    rl_pictures_hear_place(d->pictures, &m.report, (double)(d->frame + frame) / RATE);
    place_say(d, &m.report);
  }
}

/* ---- the music ---- */

static bool
chart_load(Demo *const d, const char *const path, char *const text, const size_t room)
{
  RlChartError error;
  char         message[RL_REASON_SIZE + 64];
  RlText       out  = rl_text_in(message, sizeof(message));
  FILE *const  file = fopen(path, "rb");
  const size_t n    = file ? fread(text, 1, room - 1, file) : 0;
  text[n]           = '\0';
  if (file) {
    fclose(file);
  }
  if (!file || !rl_chart_read((RlSlice){text, n}, &d->form, &error)) {
    if (file) {
      rl_chart_error_write(&error, &out);
    }
    fprintf(stderr, "%s: %s\n", path, file ? message : "cannot be read");
    return false;
  }
  return true;
}

/* Plays the form as a host does that reports in every block. */
static void
play(Demo *const d)
{
  const int64_t bars   = (int64_t)CHORUSES * d->form.bars;
  const float   meter  = d->form.meter_beats;
  const int32_t unit   = d->form.meter_unit;
  const float   tempo  = (float)d->form.tempo;
  const float   rolls  = 1;
  const double  frames = RATE * 60.0 / d->form.tempo * d->form.meter_beats; /* in a bar */
  for (int64_t frame = 0; (double)frame < (double)bars * frames; frame += BLOCK) {
    const int64_t bar  = (int64_t)floor((double)frame / frames);
    const float   beat = (float)(((double)frame / frames - (double)bar) * d->form.meter_beats);
    const RlHostPosition now = {&frame, &bar, &rolls, &beat, &meter, &tempo, NULL, &unit};
    rl_host_send_position(d->host, 0, &now);
    d->frame = frame;
    rl_host_run(d->host, BLOCK);
    rl_pictures_pass(d->pictures, (double)(frame + BLOCK) / RATE);
  }
}

static LV2_URID
map_uri(LV2_URID_Map_Handle host, const char *const uri)
{
  return rl_host_map((RlHost *)host, uri);
}

static bool
open_all(Demo *const d, const char *const bundles, const char *const chart,
         const char *const folder)
{
  static char        text[RL_CHART_MAX + 1];
  char               path[PATH_SIZE], book[PATH_SIZE], charts[PATH_SIZE];
  const RlHostChoice choice = {bundles, RL_PLUGIN_URI, RATE, BLOCK, RL_HOST_AFTER, false, 0};
  snprintf(path, sizeof(path), "%s/ferry-street.txt", folder);
  d->harp = rl_harp_make(harp_choice);
  d->file = fopen(path, "w");
  snprintf(book, sizeof(book), "%s/reedlamp.lv2/phrases.abc", bundles);
  snprintf(charts, sizeof(charts), "%s/reedlamp.lv2/charts", bundles);
  d->pictures = rl_pictures_open(folder, book, charts);
  if (!d->file || !d->pictures || !chart_load(d, chart, text, sizeof(text)) ||
      !(d->host = rl_host_open(&choice))) {
    fprintf(stderr, d->file ? "the demo cannot go on\n" : "cannot write in the demo's folder\n");
    return false;
  }
  rl_uris_map(&d->uris, &(LV2_URID_Map){d->host, map_uri}, RL_PLUGIN_URI);
  rl_host_activate(d->host);
  rl_host_listen(d->host, hear, d);
  rl_host_send_text(d->host, 0, RL_URI("chart"), LV2_ATOM__String, text);
  rl_host_run(d->host, 0);
  rl_host_run(d->host, 0);
  rl_pictures_pass(d->pictures, 0);
  return true;
}

/* The same song once more, on the screen. Without a display the pictures must do. */
static void
screen(const Demo *const d, const char *const bundles, const char *const track)
{
  const RlForm *const f     = &d->form;
  const double        felt  = rl_meter_felt(f->meter_beats, f->meter_unit);
  const double        tempo = f->tempo / felt * f->meter_beats; /* in the meter's own beats */
  const RlTransport   t     = {RATE, BLOCK, f->meter_beats, f->meter_unit, tempo};
  const double        bars  = CHORUSES * f->bars;
  if (!getenv("DISPLAY")) {
    puts("\nNo display, so no window: see its pictures.");
    return;
  }
  RlLive *const live = rl_live_open(d->host, bundles, NULL);
  if (live) {
    rl_live_play(live, d->host, &t, RATE * 60 / f->tempo * felt * bars, track);
    rl_live_close(live);
  }
}

static void
say_by_ear(void *const data, const char *const line)
{
  say((const Demo *)data, line);
}

/* The chart's text is the form's own. */
static bool
hear_track(Demo *const d, const char *const bundles, const char *const track)
{
  const RlByEar what = {bundles, track, d->form.text, &d->form, CHORUSES, d, say_by_ear};
  return rl_by_ear_play(&what);
}

static bool
demo(const char *const bundles, const char *const chart, const char *const folder)
{
  static Demo d;
  char        path[PATH_SIZE];
  if (!open_all(&d, bundles, chart, folder)) {
    return false;
  }
  head_say(&d);
  play(&d);
  rl_host_listen(d.host, NULL, NULL);
  snprintf(path, sizeof(path), "%s/ferry-street.wav", folder);
  const bool drawn = rl_pictures_close(d.pictures);
  const bool heard = rl_backing_write(&d.form, CHORUSES, path) && hear_track(&d, bundles, path);
  const bool good  = !fclose(d.file) && drawn && heard;
  if (good) {
    screen(&d, bundles, path);
  }
  rl_host_close(d.host);
  return good;
}

int
main(const int argc, char **const argv)
{
  if (argc != 4) {
    fputs("usage: demo BUNDLES CHART FOLDER\n", stderr);
    return EXIT_FAILURE;
  }
  return demo(argv[1], argv[2], argv[3]) ? EXIT_SUCCESS : EXIT_FAILURE;
}
