/* SPDX-License-Identifier: ISC */
/* Hosts that offer little: no worker, no URIs, features without a URI (lv2file 0.95 passes one),
   ports left unconnected. Sources: plugin/PORTS.md; LV2 core (a connection may be NULL where it is
   optional; a plugin must cope with features it does not know), …/ext/log for where words go. */
#include "scene.h"

#include <lilv/lilv.h>
#include <lv2/log/log.h>
#include <lv2/state/state.h>

#include <math.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { FRAMES = 64, SAID = 4096 };

static LilvWorld        *world;
static const LilvPlugin *plugins[3];

static int
world_open(void **const state)
{
  char              folder[4096];
  const char *const bundles = getenv("RL_BUNDLES");
  (void)state;
  world = lilv_world_new();
  assert_non_null(bundles);
  snprintf(folder, sizeof(folder), "%s/reedlamp.lv2/", bundles);
  LilvNode *const path = lilv_new_file_uri(world, NULL, folder);
  lilv_world_load_bundle(world, path);
  lilv_node_free(path);
  static const char *const uris[] = {STEREO, MONO, "urn:reedlamp:plain"};
  for (int i = 0; i < 3; ++i) {
    LilvNode *const uri = lilv_new_uri(world, uris[i]);
    plugins[i]          = lilv_plugins_get_by_uri(lilv_world_get_all_plugins(world), uri);
    lilv_node_free(uri);
    assert_non_null(plugins[i]);
  }
  return 0;
}

static int
world_close(void **const state)
{
  (void)state;
  lilv_world_free(world);
  return 0;
}

/* ---- a host by hand: which 0 is stereo, 1 mono, 2 plain ---- */

/* What the plugin has put into the host's log. */
typedef struct {
  char            text[SAID];
  pthread_mutex_t lock;
} Log;

static int
log_vprintf(const LV2_Log_Handle handle, const LV2_URID type, const char *const format,
            va_list args)
{
  Log *const log = (Log *)handle;
  (void)type;
  pthread_mutex_lock(&log->lock);
  const size_t used = strlen(log->text);
  const int    n    = vsnprintf(log->text + used, SAID - used, format, args);
  pthread_mutex_unlock(&log->lock);
  return n;
}

/* The plugin's logger calls the other one. */
static int
log_printf(const LV2_Log_Handle handle, const LV2_URID type, const char *const format, ...)
{
  (void)handle;
  (void)type;
  fail_msg("printf() is called: %s", format);
  return 0;
}

static bool
log_has(Log *const log, const char *const words)
{
  pthread_mutex_lock(&log->lock);
  const bool has = strstr(log->text, words);
  pthread_mutex_unlock(&log->lock);
  return has;
}

static LV2_URID
map_uri(const LV2_URID_Map_Handle handle, const char *const uri)
{
  LV2_URID hash = 5381;
  (void)handle;
  for (const char *c = uri; *c; ++c) {
    hash = hash * 33 + (unsigned char)*c;
  }
  return hash ? hash : 1;
}

/* An instance, and what it can be connected to. */
typedef struct {
  LilvInstance *instance;
  Log           log;
  LV2_Log_Log   words;
  float         in[2][FRAMES], out[2][FRAMES];
} Bare;

static uint32_t
index_of(const int which, const char *const symbol)
{
  LilvNode *const       name = lilv_new_string(world, symbol);
  const LilvPort *const port = lilv_plugin_get_port_by_symbol(plugins[which], name);
  lilv_node_free(name);
  assert_non_null(port);
  return lilv_port_get_index(plugins[which], port);
}

static void
bare_open(Bare *const b, const int which, const bool maps)
{
  static LV2_URID_Map      map        = {NULL, map_uri};
  const LV2_Feature        nameless   = {NULL, NULL};
  const LV2_Feature        words      = {LV2_LOG__log, &b->words};
  const LV2_Feature        uris       = {LV2_URID__map, &map};
  const LV2_Feature *const features[] = {&nameless, &words, maps ? &uris : NULL, NULL};
  memset(b, 0, sizeof(*b));
  pthread_mutex_init(&b->log.lock, NULL);
  b->words    = (LV2_Log_Log){&b->log, log_printf, log_vprintf};
  b->instance = lilv_plugin_instantiate(plugins[which], 48000, features);
  assert_non_null(b->instance);
  for (int i = 0; i < FRAMES; ++i) {
    b->in[0][i]  = (float)(i + 1);
    b->in[1][i]  = (float)-(i + 1);
    b->out[0][i] = b->out[1][i] = 77;
  }
}

static void
bare_close(Bare *const b)
{
  lilv_instance_deactivate(b->instance);
  lilv_instance_free(b->instance);
  pthread_mutex_destroy(&b->log.lock);
}

/* Runs a millisecond apart until the log has these words; fails after ten seconds. */
static void
bare_await(Bare *const b, const char *const words)
{
  static const struct timespec pause = {0, 1000000};
  for (int i = 0; i < 10000 && !log_has(&b->log, words); ++i) {
    lilv_instance_run(b->instance, FRAMES);
    nanosleep(&pause, NULL);
  }
  HAS(b->log.text, words);
}

/* ---- the tests ---- */

static void
with_no_port_connected_it_runs_and_says_so(void **state)
{
  (void)state;
  for (int mono = 0; mono < 2; ++mono) {
    Bare b;
    bare_open(&b, mono, true);
    lilv_instance_activate(b.instance);
    lilv_instance_run(b.instance, FRAMES);
    lilv_instance_run(b.instance, 0);
    bare_await(&b, "\"notify\" unconnected");
    assert_true(log_has(&b.log, "\"control\" unconnected"));
    assert_true(log_has(&b.log, "no worker (worker:schedule)"));
    bare_close(&b);
  }
}

static void
each_port_may_be_the_only_one(void **state)
{
  (void)state;
  for (int mono = 0; mono < 2; ++mono) {
    const uint32_t ports = lilv_plugin_get_num_ports(plugins[mono]);
    for (uint32_t i = 0; i < ports; ++i) {
      _Alignas(8) char buffer[FRAMES * sizeof(float)] = {0}; /* an empty atom, silence, or 0 */
      Bare             b;
      bare_open(&b, mono, true);
      lilv_instance_connect_port(b.instance, i, buffer);
      lilv_instance_activate(b.instance);
      lilv_instance_run(b.instance, FRAMES);
      lilv_instance_run(b.instance, FRAMES);
      bare_close(&b);
    }
  }
}

/* lv2apply 0.24.14 passes no feature at all, and connects atom ports to a single float. */
static void
without_uris_sound_passes_and_atom_ports_are_left_alone(void **state)
{
  static const char *const atoms[] = {"control", "notify", "midi_out", "midi_in"};
  (void)state;
  for (int mono = 0; mono < 2; ++mono) {
    Bare  b;
    float value[4] = {1, 2, 3, 4};
    bare_open(&b, mono, false);
    assert_true(log_has(&b.log, "maps no URIs (urid:map)"));
    for (int i = 0; i < 4; ++i) {
      lilv_instance_connect_port(b.instance, index_of(mono, atoms[i]), &value[i]);
    }
    lilv_instance_connect_port(b.instance, index_of(mono, "in_left"), b.in[0]);
    lilv_instance_connect_port(b.instance, index_of(mono, "out_left"), b.out[0]);
    lilv_instance_activate(b.instance);
    lilv_instance_run(b.instance, FRAMES);
    assert_memory_equal(b.in[0], b.out[0], sizeof(b.in[0]));
    for (int i = 0; i < 4; ++i) {
      SAME(value[i], i + 1);
    }
    bare_close(&b);
  }
}

static LV2_State_Status
store(LV2_State_Handle handle, const uint32_t key, const void *const value, const size_t size,
      const uint32_t type, const uint32_t flags)
{
  (void)handle, (void)key, (void)value, (void)size, (void)type, (void)flags;
  fail_msg("something is stored under a key that has no name");
  return LV2_STATE_SUCCESS;
}

static const void *
retrieve(LV2_State_Handle handle, const uint32_t key, size_t *const size, uint32_t *const type,
         uint32_t *const flags)
{
  (void)handle, (void)key, (void)size, (void)type, (void)flags;
  fail_msg("something is looked for under a key that has no name");
  return NULL;
}

static void
without_uris_no_session_is_saved_or_restored(void **state)
{
  Bare b;
  (void)state;
  bare_open(&b, 0, false);
  const LV2_State_Interface *const sessions =
    (const LV2_State_Interface *)lilv_instance_get_extension_data(b.instance, LV2_STATE__interface);
  const LV2_Handle plugin = lilv_instance_get_handle(b.instance);
  assert_int_equal(sessions->save(plugin, store, NULL, 0, NULL), LV2_STATE_ERR_NO_FEATURE);
  assert_int_equal(sessions->restore(plugin, retrieve, NULL, 0, NULL), LV2_STATE_ERR_NO_FEATURE);
  bare_close(&b);
}

/* Hosts that know only sound and controls have the plain plugin: tapped, it runs. */
static void
the_plain_plugin_passes_sound_and_can_be_tapped(void **state)
{
  Bare  b;
  float clock  = 1;
  float tap    = 0;
  float chorus = 0;
  (void)state;
  bare_open(&b, 2, false);
  lilv_instance_connect_port(b.instance, index_of(2, "in_left"), b.in[0]);
  lilv_instance_connect_port(b.instance, index_of(2, "out_left"), b.out[0]);
  lilv_instance_connect_port(b.instance, index_of(2, "clock"), &clock);
  lilv_instance_connect_port(b.instance, index_of(2, "tap"), &tap);
  lilv_instance_connect_port(b.instance, index_of(2, "chorus"), &chorus);
  lilv_instance_activate(b.instance);
  for (int block = 0; block < 4 * 375 + 10; ++block) { /* four taps, half a second apart */
    tap = block % 375 == 1;
    lilv_instance_run(b.instance, FRAMES);
    assert_memory_equal(b.in[0], b.out[0], sizeof(b.in[0]));
  }
  SAME(chorus, 1);
  assert_false(log_has(&b.log, "unconnected"));
  bare_close(&b);
}

static bool
is_control_output(const int which, const uint32_t index)
{
  LilvNode *const       control = lilv_new_uri(world, LV2_CORE__ControlPort);
  LilvNode *const       output  = lilv_new_uri(world, LV2_CORE__OutputPort);
  const LilvPort *const port    = lilv_plugin_get_port_by_index(plugins[which], index);
  const bool            is =
    lilv_port_is_a(plugins[which], port, control) && lilv_port_is_a(plugins[which], port, output);
  lilv_node_free(control);
  lilv_node_free(output);
  return is;
}

/* Nothing is new from one block to the next, but the host has cleared what it lends, or lends
   something else. */
static void
every_control_output_is_written_in_every_block(void **state)
{
  enum { BLOCKS = 4, PORTS = 64 };
  (void)state;
  for (int which = 0; which < 3; ++which) {
    const uint32_t ports = lilv_plugin_get_num_ports(plugins[which]);
    float          out[BLOCKS][PORTS];
    Bare           b;
    int            outputs = 0;
    bare_open(&b, which, true);
    assert_true(ports <= PORTS);
    lilv_instance_activate(b.instance);
    for (int block = 0; block < BLOCKS; ++block) {
      for (uint32_t i = 0; i < ports; ++i) {
        out[block][i] = NAN;
        if (is_control_output(which, i)) {
          lilv_instance_connect_port(b.instance, i, &out[block][i]);
        }
      }
      lilv_instance_run(b.instance, FRAMES);
    }
    for (uint32_t i = 0; i < ports; ++i) {
      for (int block = 0; block < BLOCKS && is_control_output(which, i); ++block) {
        SAME(out[block][i], out[0][i]); /* NAN is not even the same as itself */
        ++outputs;
      }
    }
    assert_true(outputs >= 9 * BLOCKS);
    bare_close(&b);
  }
}

/* An output without its input is silent, not whatever was in the buffer. */
static void
an_output_whose_input_is_unconnected_is_silent(void **state)
{
  static const char *const ins[]  = {"in_left", "in_right"};
  static const char *const outs[] = {"out_left", "out_right"};
  static const float       silence[FRAMES];
  (void)state;
  for (int only = 0; only < 2; ++only) {
    for (int shared = 0; shared < 2; ++shared) {
      Bare b;
      bare_open(&b, 0, true);
      float *const other = shared ? b.in[only] : b.out[!only];
      float        was[FRAMES];
      memcpy(was, b.in[only], sizeof(was));
      lilv_instance_connect_port(b.instance, index_of(0, ins[only]), b.in[only]);
      lilv_instance_connect_port(b.instance, index_of(0, outs[only]), b.out[only]);
      lilv_instance_connect_port(b.instance, index_of(0, outs[!only]), other);
      lilv_instance_activate(b.instance);
      lilv_instance_run(b.instance, FRAMES);
      assert_memory_equal(b.out[only], was, sizeof(was));
      assert_memory_equal(other, silence, sizeof(silence));
      bare_close(&b);
    }
  }
}

/* Without a worker, and faster than real time: what is asked in one block is there in the next. */
static void
while_freewheeling_nothing_waits_for_the_thread(void **state)
{
  static const char chart[] = "key: C\n| I7 | IV7 |\n";
  Scene             s;
  RlHostChoice      choice = scene_choice(STEREO);
  (void)state;
  choice.worker = RL_HOST_NONE;
  scene_open(&s, &choice);
  rl_host_activate(s.host);
  rl_host_set(s.host, "freewheel", 1);
  scene_run(&s, FRAMES);
  for (int i = 0; i < 100; ++i) {
    scene_forget(&s);
    scene_send(&s, 0, "chart", i % 2 ? chart : "| I | IV | V |");
    scene_run(&s, FRAMES);
    scene_run(&s, FRAMES);
    TEXT(scene_told(&s, "chart"), i % 2 ? chart : "| I | IV | V |");
    SAME(scene_last(&s)->bars, i % 2 ? 2 : 3);
  }
  scene_end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(with_no_port_connected_it_runs_and_says_so),
    cmocka_unit_test(each_port_may_be_the_only_one),
    cmocka_unit_test(without_uris_sound_passes_and_atom_ports_are_left_alone),
    cmocka_unit_test(without_uris_no_session_is_saved_or_restored),
    cmocka_unit_test(the_plain_plugin_passes_sound_and_can_be_tapped),
    cmocka_unit_test(every_control_output_is_written_in_every_block),
    cmocka_unit_test(an_output_whose_input_is_unconnected_is_silent),
    cmocka_unit_test(while_freewheeling_nothing_waits_for_the_thread),
  };
  return cmocka_run_group_tests(tests, world_open, world_close);
}
