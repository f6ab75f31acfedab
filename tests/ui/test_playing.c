/* SPDX-License-Identifier: ISC */
/* From sound to the bend trainer: a synthetic reed on the plugin's microphone, what the plugin
   tells on `notify`, what the window says of it. The truth is the pitch that the sound was made
   with. Source: plugin/PORTS.md, core/trainer/README.md. */
#include "plugin/host/host.h"
#include "ui/controller/controller.h"
#include "ui/layout/layout.h"
#include "ui/model/fields.h"
#include "ui/window/plugin_events.h"

#include <lv2/atom/util.h>

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { RATE = 48000, BLOCK = 256, WIDTH = 1280, HEIGHT = 720 };

typedef struct {
  RlHost       *host;
  RlController *controller;
  RlUris        uris;
  double        now;   /* seconds */
  double        phase; /* of the reed, in turns */
  int           told;
} Stage;

static void
set_port(void *const data, const RlPort port, const float value)
{
  const Stage *const s = (const Stage *)data;
  if (s->host) {
    rl_host_set(s->host, rl_ports[port].symbol, value);
  }
}

static void
set_text(void *const data, const RlProperty which, const char *const text)
{
  (void)data;
  (void)which;
  (void)text;
}

static LV2_URID
map_uri(LV2_URID_Map_Handle host, const char *const uri)
{
  return rl_host_map((RlHost *)host, uri);
}

static void
hear(void *const data, const char *const symbol, const int64_t frame, const LV2_Atom *const atom)
{
  Stage *const    s = (Stage *)data;
  RlPluginMessage m;
  if (strcmp(symbol, "notify") == 0 &&
      rl_plugin_event_read(&s->uris, atom, lv2_atom_total_size(atom), &m) ==
        RL_PLUGIN_EVENT_PLAYED) {
    rl_controller_hear_played(s->controller, &m.played, s->now + (double)frame / RATE);
    ++s->told;
  }
}

static void
begin(Stage *const s)
{
  const char *const        bundles = getenv("RL_BUNDLES");
  const RlHostChoice       choice  = {.bundles   = bundles ? bundles : "lv2",
                                      .uri       = RL_MONO_URI,
                                      .rate      = RATE,
                                      .max_block = BLOCK,
                                      .worker    = RL_HOST_AFTER};
  const RlControllerPlugin plugin  = {s, set_port, set_text};
  memset(s, 0, sizeof(*s));
  s->host       = rl_host_open(&choice);
  s->controller = rl_controller_new(&plugin, 1, NULL);
  assert_non_null(s->host);
  assert_non_null(s->controller);
  rl_uris_map(&s->uris, &(LV2_URID_Map){s->host, map_uri}, RL_MONO_URI);
  rl_host_listen(s->host, hear, s);
  rl_host_activate(s->host);
}

static void
end(Stage *const s)
{
  rl_controller_free(s->controller);
  rl_host_close(s->host);
}

/* A block of a reed at a pitch in MIDI numbers; at 0 silence. Eight partials that fall 4 dB an
   octave. */
static void
block_run(Stage *const s, const double midi)
{
  float *const in = rl_host_audio(s->host, "in_left");
  RlRect       damage[RL_DAMAGE_MAX];
  for (int i = 0; i < BLOCK; ++i) {
    s->phase += midi > 0 ? 440 * pow(2, (midi - 69) / 12) / RATE : 0;
    in[i] = 0;
    for (int n = 1; n <= 8 && midi > 0; ++n) {
      in[i] += (float)(0.06 * pow(n, -0.66) * sin(6.283185307179586 * n * s->phase + n * n));
    }
  }
  rl_host_run(s->host, BLOCK);
  s->now += (double)BLOCK / RATE;
  rl_controller_changed(s->controller, s->now, WIDTH, HEIGHT, damage);
}

static void
key(Stage *const s, const int which)
{
  rl_controller_input(s->controller, &(RlInput){.kind = RL_INPUT_KEY, .key = which}, s->now);
}

static void
click_on(Stage *const s, const RlActionKind kind, const int value)
{
  static RlLayout layout;
  rl_layout_make(&layout, rl_controller_view(s->controller), WIDTH, HEIGHT);
  for (int i = 0; i < layout.spots; ++i) {
    if (layout.spot[i].action.kind == kind && layout.spot[i].action.value == value) {
      const RlRect at    = layout.spot[i].at;
      RlInput      press = {.kind = RL_INPUT_PRESS, .x = at.x + at.w / 2, .y = at.y + at.h / 2};
      rl_controller_input(s->controller, &press, s->now);
      press.kind = RL_INPUT_RELEASE;
      rl_controller_input(s->controller, &press, s->now);
      return;
    }
  }
  fail_msg("nowhere to click");
}

static void
about(const char *const what, const double got, const double truth, const double by)
{
  print_message("%s %.2f, truly %.2f\n", what, got, truth);
  if (!(fabs(got - truth) <= by)) {
    fail_msg("%s: %g, not %g to within %g", what, got, truth, by);
  }
}

/* Opens the trainer, has it listen to the track, aims at draw 3 bent one step (A4 on a C harp). */
static void
trainer_open(Stage *const s)
{
  for (int i = 0; i < 20; ++i) {
    block_run(s, 0);
  }
  key(s, 'd');
  block_run(s, 0);
  click_on(s, RL_ACTION_FIELD_OPEN, RL_FIELD_HARP_FROM);
  block_run(s, 0);
  click_on(s, RL_ACTION_FIELD_CHOOSE, 2);
  rl_controller_hear_port(s->controller, RL_PORT_HARP_FROM, rl_host_get(s->host, "harp_from"));
  block_run(s, 0);
  click_on(s, RL_ACTION_AIM, 3 * RL_TECHNIQUES + (int)RL_DRAW_2);
  for (int i = 0; i < 100; ++i) {
    block_run(s, 0);
  }
}

/* From the plain note down in 0.4 s, then held for two seconds. */
static void
bend_play(Stage *const s, const double cents, const double hz, const double wide)
{
  const double start = s->now;
  while (s->now - start < 2.4) {
    const double t    = s->now - start;
    const double way  = fmin(1, t / 0.4);
    const double held = fmax(0, t - 0.6);
    block_run(s, 71 - way * (2 - cents / 100) +
                   wide / 100 * fmin(1, held * 4) * sin(6.283185307179586 * hz * held));
  }
  for (int i = 0; i < 150; ++i) {
    block_run(s, 0);
  }
}

static void
a_bend_in_sound_is_a_try_in_the_window(void **state)
{
  Stage s;
  (void)state;
  begin(&s);
  trainer_open(&s);
  for (int i = -2; i <= 2; ++i) {
    const double cents = 6 * i;
    bend_play(&s, cents, 5, 0);
    const RlTrainer *const t = rl_controller_view(s.controller)->trainer.on;
    assert_int_equal(t->count, i + 3);
    assert_int_equal(t->last[0].reached, RL_REACHED_FROM_ABOVE);
    about("seconds", (double)t->last[0].seconds, 2.4, 0.12);
    about("mean", (double)t->last[0].mean, cents, 2);
    about("held within 20", (double)t->last[0].longest[RL_ROUGH], 2.05, 0.12);
    about("reached in", (double)t->last[0].reached_in, 0.36, 0.08);
    assert_true(t->last[0].vibrato_seconds == 0);
  }
  end(&s);
}

static void
vibrato_in_sound_is_told(void **state)
{
  static const double rates[] = {4, 5.2, 6.5};
  Stage               s;
  (void)state;
  begin(&s);
  trainer_open(&s);
  for (size_t i = 0; i < sizeof(rates) / sizeof(rates[0]); ++i) {
    bend_play(&s, 0, rates[i], 20);
    const RlTry *const one = &rl_controller_view(s.controller)->trainer.on->last[0];
    assert_true(one->vibrato_seconds > 0.3F);
    about("rate", (double)one->vibrato.hz, rates[i], 0.2);
    about("depth", (double)one->vibrato.cents, 20, 2);
  }
  end(&s);
}

/* Hole 6 of a C harp blown, then overblown: three half steps up at once. */
static void
an_overblow_in_sound_is_a_try_too(void **state)
{
  Stage s;
  (void)state;
  begin(&s);
  set_port(&s, RL_PORT_OVERBLOWS, 1);
  rl_controller_hear_port(s.controller, RL_PORT_OVERBLOWS, 1);
  trainer_open(&s);
  click_on(&s, RL_ACTION_AIM, 6 * RL_TECHNIQUES + (int)RL_OVERBLOW);
  for (int i = 0; i < 80; ++i) {
    block_run(&s, 79); /* G5, blow 6 */
  }
  for (int i = 0; i < 300; ++i) {
    block_run(&s, 82.35); /* Bb5: the blue third of G, 5 cents under the middle of its zone */
  }
  for (int i = 0; i < 100; ++i) {
    block_run(&s, 0);
  }
  const RlTrainer *const t = rl_controller_view(s.controller)->trainer.on;
  assert_int_equal(t->count, 1);
  assert_int_equal(t->last[0].reached, RL_REACHED_FROM_BELOW);
  about("mean", (double)t->last[0].mean, -5, 5); /* the ear is good for five cents */
  about("held within 10", (double)t->last[0].longest[RL_NEAR], 1.6, 0.12);
  end(&s);
}

static void
silence_tells_nothing_and_its_end_is_heard(void **state)
{
  Stage s;
  (void)state;
  begin(&s);
  trainer_open(&s);
  const int before = s.told;
  for (int i = 0; i < 400; ++i) {
    block_run(&s, 0);
  }
  assert_int_equal(s.told, before);
  assert_int_equal(rl_controller_view(s.controller)->played.count, 0);
  for (int i = 0; i < 60; ++i) {
    block_run(&s, 71);
  }
  assert_int_equal(rl_controller_view(s.controller)->played.count, 1);
  assert_int_equal(rl_controller_view(s.controller)->played.note[0].hole, 3);
  assert_true(rl_controller_view(s.controller)->played.note[0].technique == RL_DRAW);
  end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_bend_in_sound_is_a_try_in_the_window),
    cmocka_unit_test(vibrato_in_sound_is_told),
    cmocka_unit_test(an_overblow_in_sound_is_a_try_too),
    cmocka_unit_test(silence_tells_nothing_and_its_end_is_heard),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
