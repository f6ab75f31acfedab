/* SPDX-License-Identifier: ISC */
/* The bundle as a host reads it, against what plugin/PORTS.md says, typed here a second time.
   Vocabularies: lv2plug.in/ns/lv2core and /ns/ext/{atom,patch,port-groups,port-props,
   presets,resize-port,state,urid,worker}. The index -> symbol order is also held against
   plugin/protocol/ports.c, which the plugin itself goes by. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "plugin/protocol/ports.h"

#include <lilv/lilv.h>
#include <lv2/atom/atom.h>
#include <lv2/core/lv2.h>
#include <lv2/midi/midi.h>
#include <lv2/patch/patch.h>
#include <lv2/port-groups/port-groups.h>
#include <lv2/port-props/port-props.h>
#include <lv2/presets/presets.h>
#include <lv2/resize-port/resize-port.h>
#include <lv2/state/state.h>
#include <lv2/time/time.h>
#include <lv2/urid/urid.h>
#include <lv2/worker/worker.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- what PORTS.md says ---- */

typedef enum { ATOM_IN, ATOM_OUT, AUDIO_IN, AUDIO_OUT, IN, OUT } Kind;

enum {
  WHOLE    = 1 << 0, /* "int" */
  CHOICE   = 1 << 1, /* "enum" */
  TOGGLED  = 1 << 2,
  TRIGGER  = 1 << 3,
  OPTIONAL = 1 << 4,
  SIDE     = 1 << 5
};

enum { NONE = -1, MINIMUM_SIZE = 32768 };

/* midi_in stands apart: Ardour gives a track's plugin no transport when the
   port it comes on also takes MIDI, so foot switches got a port of their own, appended and
   optional. */
static const struct {
  int         index, mono; /* NONE: not there */
  const char *symbol;
  Kind        kind;
  double      low, high, standard;
  unsigned    flags;
  const char *designation;
} reference[] = {
  {0, 0, "control", ATOM_IN, 0, 0, 0, OPTIONAL, LV2_CORE__control},
  {1, 1, "notify", ATOM_OUT, 0, 0, 0, OPTIONAL, LV2_CORE__control},
  {2, 2, "in_left", AUDIO_IN, 0, 0, 0, 0, NULL},
  {3, NONE, "in_right", AUDIO_IN, 0, 0, 0, 0, NULL},
  {4, 3, "out_left", AUDIO_OUT, 0, 0, 0, 0, NULL},
  {5, NONE, "out_right", AUDIO_OUT, 0, 0, 0, 0, NULL},
  {6, 4, "harp_in", AUDIO_IN, 0, 0, 0, OPTIONAL | SIDE, NULL},
  {7, 5, "midi_out", ATOM_OUT, 0, 0, 0, OPTIONAL, NULL},
  {8, 6, "enabled", IN, 0, 1, 1, TOGGLED, LV2_CORE__enabled},
  {9, 7, "freewheel", IN, 0, 1, 0, TOGGLED, LV2_CORE__freeWheeling},
  {10, 8, "song_key", IN, 0, 13, 12, CHOICE, NULL},
  {11, 9, "harp_key", IN, 0, 11, 0, CHOICE, NULL},
  {12, 10, "harp_register", IN, -1, 1, 0, WHOLE, NULL},
  {13, 11, "tuning", IN, 0, 5, 0, CHOICE, NULL},
  {14, 12, "start_bar", IN, -999, 9999, 1, WHOLE, NULL},
  {15, 13, "count_by", IN, 0, 1, 0, CHOICE, NULL},
  {16, 14, "clock", IN, 0, 2, 0, CHOICE, NULL},
  {17, 15, "tap", IN, 0, 1, 0, TOGGLED | TRIGGER, NULL},
  {18, 16, "bar_one", IN, 0, 1, 0, TOGGLED | TRIGGER, NULL},
  {19, 17, "stop", IN, 0, 1, 0, TOGGLED | TRIGGER, NULL},
  {20, 18, "bend_depth", IN, 0, 3, 3, WHOLE, NULL},
  {21, 19, "blow_bend_depth", IN, 0, 3, 3, WHOLE, NULL},
  {22, 20, "overblows", IN, 0, 1, 0, TOGGLED, NULL},
  {23, 21, "send_osc", IN, 0, 1, 0, TOGGLED, NULL},
  {24, 22, "capture", IN, 0, 1, 0, TOGGLED | TRIGGER, NULL},
  {25, 23, "chorus", OUT, 0, 9999, (double)NAN, WHOLE, NULL},
  {26, 24, "form_bar", OUT, -9999, 512, (double)NAN, WHOLE, NULL},
  {27, 25, "form_beat", OUT, 0, 33, (double)NAN, 0, NULL},
  {28, 26, "position", OUT, 1, 12, (double)NAN, WHOLE, NULL},
  {29, 27, "sure", OUT, 0, 1, (double)NAN, 0, NULL},
  {30, 28, "midi_in", ATOM_IN, 0, 0, 0, OPTIONAL, NULL},
  {31, 29, "half_time", IN, 0, 1, 0, TOGGLED | TRIGGER | OPTIONAL, NULL},
  {32, 30, "double_time", IN, 0, 1, 0, TOGGLED | TRIGGER | OPTIONAL, NULL},
  {33, 31, "hearing", OUT, 0, 7, (double)NAN, CHOICE | OPTIONAL, NULL},
  {34, 32, "cents", OUT, -50, 50, (double)NAN, OPTIONAL, NULL},
  {35, 33, "key_heard", OUT, -1, 11, (double)NAN, CHOICE | OPTIONAL, NULL},
  {36, 34, "key_sure", OUT, 0, 1, (double)NAN, OPTIONAL, NULL},
  {37, 35, "show", IN, 1, 4, 4, CHOICE | OPTIONAL, NULL},
  {38, 36, "harp_from", IN, 0, 2, 0, CHOICE | OPTIONAL, NULL},
  {39, 37, "heard_hole", OUT, 0, 10, (double)NAN, WHOLE | OPTIONAL, NULL},
  {40, 38, "heard_technique", OUT, 0, 9, (double)NAN, CHOICE | OPTIONAL, NULL},
  {41, 39, "heard_cents", OUT, -100, 100, (double)NAN, OPTIONAL, NULL},
  {42, 40, "heard_level", OUT, -120, 0, (double)NAN, OPTIONAL, NULL},
  {43, 41, "keep_last", IN, 0, 1, 0, TOGGLED | TRIGGER | OPTIONAL, NULL},
  {44, 42, "keep_last_length", IN, 0, 1, 0, CHOICE | OPTIONAL, NULL},
  {45, 43, "capture_from", IN, 0, 2, 0, CHOICE | OPTIONAL, NULL},
  {46, 44, "show_grows", IN, 0, 1, 0, TOGGLED | OPTIONAL, NULL},
};

enum { ROWS = sizeof(reference) / sizeof(reference[0]) };

/* Section 5: the keys by name; section 6: the tunings. */
static const char *const keys[12]   = {"C",  "Db", "D",  "Eb", "E",  "F",
                                       "F#", "G",  "Ab", "A",  "Bb", "B"};
static const char *const tunings[6] = {"Richter",       "raised third blow", "country",
                                       "natural minor", "harmonic minor",    "solo"};

/* ---- the bundle ---- */

static LilvWorld        *world;
static const LilvPlugin *plugins[2]; /* stereo, mono */

static LilvNode *
uri(const char *const text)
{
  return lilv_new_uri(world, text);
}

static int
bundle_open(void **const state)
{
  (void)state;
  const char *const folder = getenv("RL_BUNDLES");
  char              path[4096];
  if (!folder) {
    print_error("RL_BUNDLES is not set; give the folder that holds reedlamp.lv2\n");
    return -1;
  }
  snprintf(path, sizeof(path), "%s/reedlamp.lv2/", folder);
  world                  = lilv_world_new();
  LilvNode *const bundle = lilv_new_file_uri(world, NULL, path);
  lilv_world_load_bundle(world, bundle);
  lilv_node_free(bundle);
  for (int mono = 0; mono < 2; ++mono) {
    LilvNode *const name = uri(mono ? "urn:reedlamp:mono" : "urn:reedlamp:plugin");
    plugins[mono]        = lilv_plugins_get_by_uri(lilv_world_get_all_plugins(world), name);
    lilv_node_free(name);
    if (!plugins[mono]) {
      print_error("no %s plugin in %s\n", mono ? "mono" : "stereo", path);
      return -1;
    }
  }
  return 0;
}

static int
bundle_close(void **const state)
{
  (void)state;
  lilv_world_free(world);
  return 0;
}

/* The values of a predicate of a plugin, `…|…|`, in no order; how many. */
static unsigned
plugin_values(const LilvPlugin *const plugin, const char *const predicate, char *const to,
              const size_t room)
{
  LilvNode *const  node   = uri(predicate);
  LilvNodes *const values = lilv_plugin_get_value(plugin, node);
  size_t           used   = 0;
  to[0]                   = '\0';
  LILV_FOREACH(nodes, i, values)
  {
    used += (size_t)snprintf(to + used, room - used, "%s|",
                             lilv_node_as_string(lilv_nodes_get(values, i)));
    assert_true(used < room);
  }
  const unsigned count = lilv_nodes_size(values);
  lilv_nodes_free(values);
  lilv_node_free(node);
  return count;
}

/* Exactly these values, whatever their order. */
static void
plugin_says(const LilvPlugin *const plugin, const char *const predicate,
            const char *const *const wanted, const unsigned count)
{
  char said[2048];
  assert_int_equal(plugin_values(plugin, predicate, said, sizeof(said)), count);
  for (unsigned i = 0; i < count; ++i) {
    char one[256];
    snprintf(one, sizeof(one), "%s|", wanted[i]);
    if (!strstr(said, one)) {
      fail_msg("%s is %s, without %s", predicate, said, wanted[i]);
    }
  }
}

/* ---- ports ---- */

static bool
port_is(const LilvPlugin *const plugin, const LilvPort *const port, const char *const class_uri)
{
  LilvNode *const node = uri(class_uri);
  const bool      is   = lilv_port_is_a(plugin, port, node);
  lilv_node_free(node);
  return is;
}

static bool
port_has(const LilvPlugin *const plugin, const LilvPort *const port, const char *const property)
{
  LilvNode *const node = uri(property);
  const bool      has  = lilv_port_has_property(plugin, port, node);
  lilv_node_free(node);
  return has;
}

/* Is `value` among the values of a predicate of the port? NULL: has it any at all? */
static bool
port_says(const LilvPlugin *const plugin, const LilvPort *const port, const char *const predicate,
          const char *const value)
{
  LilvNode *const  node   = uri(predicate);
  LilvNodes *const values = lilv_port_get_value(plugin, port, node);
  bool             says   = false;
  LILV_FOREACH(nodes, i, values)
  {
    says = says || !value || !strcmp(lilv_node_as_string(lilv_nodes_get(values, i)), value);
  }
  lilv_nodes_free(values);
  lilv_node_free(node);
  return says;
}

/* The port of a row, or NULL where the plugin has none. */
static const LilvPort *
row_port(const int row, const int mono)
{
  const int index = mono ? reference[row].mono : reference[row].index;
  if (index == NONE) {
    return NULL;
  }
  const LilvPort *const port = lilv_plugin_get_port_by_index(plugins[mono], (uint32_t)index);
  if (!port) {
    fail_msg("no port %d, %s", index, reference[row].symbol);
  }
  return port;
}

// NOLINTBEGIN(bugprone-macro-parentheses): the names that are declared
#define FOR_EACH_PORT(row, mono, port)                                                             \
  for (int mono = 0; mono < 2; ++mono)                                                             \
    for (int row = 0; row < ROWS; ++row)                                                           \
      for (const LilvPort *port = row_port(row, mono); port; port = NULL)
// NOLINTEND(bugprone-macro-parentheses)

static void
every_index_has_the_symbol_the_reference_gives_it(void **state)
{
  (void)state;
  FOR_EACH_PORT(row, mono, port)
  {
    assert_string_equal(lilv_node_as_string(lilv_port_get_symbol(plugins[mono], port)),
                        reference[row].symbol);
  }
  assert_int_equal(lilv_plugin_get_num_ports(plugins[0]), ROWS);
  assert_int_equal(lilv_plugin_get_num_ports(plugins[1]), ROWS - 2);
}

static void
every_port_is_of_its_kind_and_no_other(void **state)
{
  static const struct {
    const char *type;
    bool        input;
  } kinds[] = {[ATOM_IN] = {LV2_ATOM__AtomPort, true},   [ATOM_OUT] = {LV2_ATOM__AtomPort, false},
               [AUDIO_IN] = {LV2_CORE__AudioPort, true}, [AUDIO_OUT] = {LV2_CORE__AudioPort, false},
               [IN] = {LV2_CORE__ControlPort, true},     [OUT] = {LV2_CORE__ControlPort, false}};
  static const char *const types[] = {LV2_ATOM__AtomPort, LV2_CORE__AudioPort,
                                      LV2_CORE__ControlPort, LV2_CORE__CVPort};
  (void)state;
  FOR_EACH_PORT(row, mono, port)
  {
    const Kind kind = reference[row].kind;
    for (unsigned i = 0; i < 4; ++i) {
      assert_int_equal(port_is(plugins[mono], port, types[i]), !strcmp(types[i], kinds[kind].type));
    }
    assert_int_equal(port_is(plugins[mono], port, LV2_CORE__InputPort), kinds[kind].input);
    assert_int_equal(port_is(plugins[mono], port, LV2_CORE__OutputPort), !kinds[kind].input);
  }
}

static double
number_of(const LilvNode *const node, const char *const symbol)
{
  if (!node) {
    fail_msg("%s has no range or default", symbol);
  }
  return (double)lilv_node_as_float(node);
}

static void
ranges_and_defaults_are_the_reference_s(void **state)
{
  (void)state;
  FOR_EACH_PORT(row, mono, port)
  {
    LilvNode *standard = NULL;
    LilvNode *low      = NULL;
    LilvNode *high     = NULL;
    if (reference[row].kind != IN && reference[row].kind != OUT) {
      continue;
    }
    lilv_port_get_range(plugins[mono], port, &standard, &low, &high);
    assert_true(number_of(low, reference[row].symbol) == reference[row].low);
    assert_true(number_of(high, reference[row].symbol) == reference[row].high);
    if (reference[row].kind == IN) { /* the reference gives outputs no default */
      assert_true(number_of(standard, reference[row].symbol) == reference[row].standard);
    }
    lilv_node_free(standard);
    lilv_node_free(low);
    lilv_node_free(high);
  }
}

static void
whole_numbers_toggles_triggers_choices_and_options_are_marked(void **state)
{
  static const struct {
    unsigned    flag;
    const char *property;
  } marks[] = {{TOGGLED, LV2_CORE__toggled},
               {TRIGGER, LV2_PORT_PROPS__trigger},
               {OPTIONAL, LV2_CORE__connectionOptional},
               {SIDE, LV2_CORE_PREFIX "isSideChain"}};
  (void)state;
  FOR_EACH_PORT(row, mono, port)
  {
    for (unsigned i = 0; i < sizeof(marks) / sizeof(marks[0]); ++i) {
      const bool wanted = reference[row].flags & marks[i].flag;
      if (port_has(plugins[mono], port, marks[i].property) != wanted) {
        fail_msg("%s: %s is %s", reference[row].symbol, marks[i].property,
                 wanted ? "missing" : "too much");
      }
    }
    if (reference[row].flags & WHOLE) {
      assert_true(port_has(plugins[mono], port, LV2_CORE__integer));
    }
    if (reference[row].flags & CHOICE) {
      assert_true(port_has(plugins[mono], port, LV2_CORE__enumeration));
    }
    if (reference[row].kind == OUT && !(reference[row].flags & (WHOLE | CHOICE))) {
      assert_false(port_has(plugins[mono], port, LV2_CORE__integer));
    }
  }
}

/* The label of a value, NULL without one. Labels are the plugin's, good as long as the world is. */
static const char *
label_of(const LilvScalePoints *const points, const double value)
{
  LILV_FOREACH(scale_points, i, points)
  {
    const LilvScalePoint *const point = lilv_scale_points_get(points, i);
    if ((double)lilv_node_as_float(lilv_scale_point_get_value(point)) == value) {
      return lilv_node_as_string(lilv_scale_point_get_label(point));
    }
  }
  return NULL;
}

static void
every_choice_has_a_name_for_each_of_its_values_and_for_no_other(void **state)
{
  (void)state;
  FOR_EACH_PORT(row, mono, port)
  {
    if (!(reference[row].flags & CHOICE)) {
      continue;
    }
    LilvScalePoints *const points = lilv_port_get_scale_points(plugins[mono], port);
    assert_non_null(points);
    assert_true(lilv_scale_points_size(points) == reference[row].high - reference[row].low + 1);
    for (int v = (int)reference[row].low; v <= (int)reference[row].high; ++v) {
      const char *const label = label_of(points, v);
      assert_non_null(label);
      assert_true(label[0] != '\0');
      if (strstr(reference[row].symbol, "_key") && v < 12) {
        assert_string_equal(label, keys[v]); // NOLINT(clang-analyzer-core.CallAndMessage): v >= 0
      }
      if (!strcmp(reference[row].symbol, "tuning")) {
        assert_string_equal(label, tunings[v]); // NOLINT(clang-analyzer-core.CallAndMessage): v < 6
      }
    }
    lilv_scale_points_free(points);
  }
}

static void
control_enabled_and_free_wheeling_are_designated(void **state)
{
  static const char *const designations[] = {LV2_CORE__control, LV2_CORE__enabled,
                                             LV2_CORE__freeWheeling, LV2_CORE__latency};
  (void)state;
  FOR_EACH_PORT(row, mono, port)
  {
    for (unsigned i = 0; i < 4; ++i) {
      const bool wanted =
        reference[row].designation && !strcmp(reference[row].designation, designations[i]);
      assert_int_equal(port_says(plugins[mono], port, LV2_CORE__designation, designations[i]),
                       wanted);
    }
    assert_false(port_has(plugins[mono], port, LV2_CORE__reportsLatency));
  }
  assert_false(lilv_plugin_has_latency(plugins[0]));
  assert_false(lilv_plugin_has_latency(plugins[1]));
}

static void
atom_ports_ask_for_32768_bytes_and_say_what_they_carry(void **state)
{
  static const struct {
    const char *symbol, *carries;
  } supports[] = {{"control", LV2_TIME__Position},
                  {"control", LV2_PATCH__Message},
                  {"notify", LV2_PATCH__Message},
                  {"midi_out", LV2_MIDI__MidiEvent},
                  {"midi_in", LV2_MIDI__MidiEvent}};
  (void)state;
  FOR_EACH_PORT(row, mono, port)
  {
    if (reference[row].kind != ATOM_IN && reference[row].kind != ATOM_OUT) {
      continue;
    }
    LilvNode *const key  = uri(LV2_RESIZE_PORT__minimumSize);
    LilvNode *const size = lilv_port_get(plugins[mono], port, key);
    assert_non_null(size);
    assert_int_equal(lilv_node_as_int(size), MINIMUM_SIZE);
    lilv_node_free(size);
    lilv_node_free(key);
    assert_true(port_says(plugins[mono], port, LV2_ATOM__bufferType, LV2_ATOM__Sequence));
    for (unsigned i = 0; i < sizeof(supports) / sizeof(supports[0]); ++i) {
      if (!strcmp(supports[i].symbol, reference[row].symbol)) {
        assert_true(port_says(plugins[mono], port, LV2_ATOM__supports, supports[i].carries));
      }
    }
  }
}

/* Or Ardour sends an audio track no time:Position (measured in tests/hosts). */
static void
the_transport_comes_on_a_port_that_takes_no_midi(void **state)
{
  (void)state;
  for (int mono = 0; mono < 2; ++mono) {
    assert_false(
      port_says(plugins[mono], row_port(0, mono), LV2_ATOM__supports, LV2_MIDI__MidiEvent));
  }
}

static void
left_and_right_of_the_stereo_plugin_are_two_groups_and_know_their_sides(void **state)
{
  static const struct {
    int         row;
    const char *side;
  } sides[] = {{2, LV2_PORT_GROUPS__left},
               {3, LV2_PORT_GROUPS__right},
               {4, LV2_PORT_GROUPS__left},
               {5, LV2_PORT_GROUPS__right}};
  LilvNode       *group[4];
  LilvNode *const key = uri(LV2_PORT_GROUPS__group);
  (void)state;
  for (int i = 0; i < 4; ++i) {
    const LilvPort *const port = row_port(sides[i].row, 0);
    assert_true(port_says(plugins[0], port, LV2_CORE__designation, sides[i].side));
    group[i] = lilv_port_get(plugins[0], port, key);
    assert_non_null(group[i]);
  }
  assert_true(lilv_node_equals(group[0], group[1]));
  assert_true(lilv_node_equals(group[2], group[3]));
  assert_false(lilv_node_equals(group[0], group[2]));
  for (int i = 0; i < 4; ++i) {
    lilv_node_free(group[i]);
  }
  lilv_node_free(key);
}

/* ---- the table in the code ---- */

static void
the_code_counts_its_ports_as_the_turtle_does(void **state)
{
  (void)state;
  for (int mono = 0; mono < 2; ++mono) {
    const uint32_t count = lilv_plugin_get_num_ports(plugins[mono]);
    for (uint32_t i = 0; i < count; ++i) {
      const LilvPort *const port = lilv_plugin_get_port_by_index(plugins[mono], i);
      const RlPort          ours = rl_port_at(i, mono);
      assert_true(ours < RL_PORTS);
      assert_string_equal(rl_ports[ours].symbol,
                          lilv_node_as_string(lilv_port_get_symbol(plugins[mono], port)));
    }
    assert_int_equal(rl_port_at(count, mono), RL_PORTS);
    assert_int_equal(rl_port_at(UINT32_MAX, mono), RL_PORTS);
  }
}

/* ---- the plugins ---- */

/* What hosts that know only sound and controls are offered: guitarix lists nothing with more inputs
   than outputs, lv2proc nothing with an atom port or with a feature that it must have. */
static void
the_plain_plugin_is_the_mono_one_without_atoms_and_side_chain(void **state)
{
  LilvNode *const         name  = uri("urn:reedlamp:plain");
  const LilvPlugin *const plain = lilv_plugins_get_by_uri(lilv_world_get_all_plugins(world), name);
  uint32_t                index = 0;
  char                    values[1024];
  (void)state;
  lilv_node_free(name);
  assert_non_null(plain);
  assert_true(lilv_plugin_verify(plain));
  for (int row = 0; row < ROWS; ++row) {
    const Kind kind  = reference[row].kind;
    const bool there = kind != ATOM_IN && kind != ATOM_OUT && !(reference[row].flags & SIDE) &&
                       reference[row].mono != NONE;
    if (!there) {
      continue;
    }
    const LilvPort *const port = lilv_plugin_get_port_by_index(plain, index);
    assert_non_null(port);
    assert_string_equal(lilv_node_as_string(lilv_port_get_symbol(plain, port)),
                        reference[row].symbol);
    assert_string_equal(rl_ports[rl_port_at(index++, RL_FACE_PLAIN)].symbol, reference[row].symbol);
  }
  assert_int_equal(lilv_plugin_get_num_ports(plain), index);
  assert_int_equal(rl_port_at(index, RL_FACE_PLAIN), RL_PORTS);
  assert_int_equal(plugin_values(plain, LV2_CORE__requiredFeature, values, sizeof(values)), 0);
  assert_int_equal(plugin_values(plain, LV2_PATCH__writable, values, sizeof(values)), 0);
}

static void
both_plugins_are_analysers_with_their_names_and_an_isc_licence(void **state)
{
  static const char *const names[] = {"Reedlamp", "Reedlamp mono"};
  static const char *const types[] = {LV2_CORE__AnalyserPlugin, LV2_CORE__Plugin};
  (void)state;
  for (int mono = 0; mono < 2; ++mono) {
    char            licence[256];
    LilvNode *const name = lilv_plugin_get_name(plugins[mono]);
    assert_non_null(name);
    assert_string_equal(lilv_node_as_string(name), names[mono]);
    lilv_node_free(name);
    plugin_says(plugins[mono], LILV_NS_RDF "type", types, 2);
    /* LV2 core asks for a URI; this is the one it and lv2_validate name for the ISC licence. */
    assert_int_equal(plugin_values(plugins[mono], LILV_NS_DOAP "license", licence, sizeof(licence)),
                     1);
    assert_string_equal(licence, "http://opensource.org/licenses/isc|");
    assert_true(lilv_plugin_verify(plugins[mono]));
  }
}

static void
map_is_required_and_a_worker_only_wanted(void **state)
{
  static const char *const required[]  = {LV2_URID__map};
  static const char *const interface[] = {LV2_STATE__interface, LV2_WORKER__interface};
  (void)state;
  for (int mono = 0; mono < 2; ++mono) {
    char optional[1024];
    plugin_says(plugins[mono], LV2_CORE__requiredFeature, required, 1);
    plugin_says(plugins[mono], LV2_CORE__extensionData, interface, 2);
    plugin_values(plugins[mono], LV2_CORE__optionalFeature, optional, sizeof(optional));
    assert_non_null(strstr(optional, LV2_STATE__threadSafeRestore "|"));
    assert_non_null(strstr(optional, LV2_WORKER__schedule "|"));
    assert_null(strstr(optional, LV2_CORE__inPlaceBroken));
  }
}

static void
charts_files_and_addresses_can_be_written_and_the_problem_only_read(void **state)
{
  static const char *const writable[] = {"urn:reedlamp:chart",  "urn:reedlamp:chart_file",
                                         "urn:reedlamp:plan",   "urn:reedlamp:take",
                                         "urn:reedlamp:osc_to", "urn:reedlamp:practice"};
  static const char *const readable[] = {"urn:reedlamp:problem"};
  static const struct {
    const char *property, *range;
  } ranges[] = {
    {"urn:reedlamp:chart", LV2_ATOM__String},  {"urn:reedlamp:chart_file", LV2_ATOM__Path},
    {"urn:reedlamp:plan", LV2_ATOM__String},   {"urn:reedlamp:take", LV2_ATOM__String},
    {"urn:reedlamp:osc_to", LV2_ATOM__String}, {"urn:reedlamp:problem", LV2_ATOM__String}};
  (void)state;
  for (int mono = 0; mono < 2; ++mono) {
    plugin_says(plugins[mono], LV2_PATCH__writable, writable, 6);
    plugin_says(plugins[mono], LV2_PATCH__readable, readable, 1);
    /* its Turtle is loaded now: what the properties are stands in it */
    for (unsigned i = 0; i < 4; ++i) {
      LilvNode *const property = uri(ranges[i].property);
      LilvNode *const key      = uri(LILV_NS_RDFS "range");
      LilvNode *const named    = uri(LILV_NS_RDFS "label");
      LilvNode *const range    = lilv_world_get(world, property, key, NULL);
      LilvNode *const label    = lilv_world_get(world, property, named, NULL);
      assert_non_null(range);
      assert_non_null(label); /* hosts without our window show it */
      assert_string_equal(lilv_node_as_uri(range), ranges[i].range);
      lilv_node_free(label);
      lilv_node_free(range);
      lilv_node_free(named);
      lilv_node_free(key);
      lilv_node_free(property);
    }
  }
}

/* Each preset is named and found from both plugins. (What it holds is test_state's business.) */
static void
every_preset_has_a_name_of_its_own_and_serves_both_plugins(void **state)
{
  LilvNode *const  type         = uri(LV2_PRESETS__Preset);
  LilvNode *const  named        = uri(LILV_NS_RDFS "label");
  LilvNodes *const stereo       = lilv_plugin_get_related(plugins[0], type);
  LilvNodes *const mono         = lilv_plugin_get_related(plugins[1], type);
  char             labels[8192] = "|";
  (void)state;
  assert_true(lilv_nodes_size(stereo) >= 16);
  assert_int_equal(lilv_nodes_size(stereo), lilv_nodes_size(mono));
  LILV_FOREACH(nodes, i, stereo)
  {
    const LilvNode *const preset = lilv_nodes_get(stereo, i);
    char                  one[256];
    assert_true(lilv_nodes_contains(mono, preset));
    assert_int_equal(strncmp(lilv_node_as_uri(preset), "urn:reedlamp:", 13), 0);
    lilv_world_load_resource(world, preset);
    LilvNode *const label = lilv_world_get(world, preset, named, NULL);
    assert_non_null(label);
    snprintf(one, sizeof(one), "|%s|", lilv_node_as_string(label));
    assert_true(strlen(one) > 2);
    assert_null(strstr(labels, one)); /* hosts show presets by label */
    assert_true(strlen(labels) + strlen(one) < sizeof(labels));
    strcat(labels, one + 1); // NOLINT(clang-analyzer-security.insecureAPI.strcpy): see above
    lilv_node_free(label);
  }
  lilv_nodes_free(stereo);
  lilv_nodes_free(mono);
  lilv_node_free(named);
  lilv_node_free(type);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(every_index_has_the_symbol_the_reference_gives_it),
    cmocka_unit_test(every_port_is_of_its_kind_and_no_other),
    cmocka_unit_test(ranges_and_defaults_are_the_reference_s),
    cmocka_unit_test(whole_numbers_toggles_triggers_choices_and_options_are_marked),
    cmocka_unit_test(every_choice_has_a_name_for_each_of_its_values_and_for_no_other),
    cmocka_unit_test(control_enabled_and_free_wheeling_are_designated),
    cmocka_unit_test(atom_ports_ask_for_32768_bytes_and_say_what_they_carry),
    cmocka_unit_test(the_transport_comes_on_a_port_that_takes_no_midi),
    cmocka_unit_test(left_and_right_of_the_stereo_plugin_are_two_groups_and_know_their_sides),
    cmocka_unit_test(the_code_counts_its_ports_as_the_turtle_does),
    cmocka_unit_test(both_plugins_are_analysers_with_their_names_and_an_isc_licence),
    cmocka_unit_test(the_plain_plugin_is_the_mono_one_without_atoms_and_side_chain),
    cmocka_unit_test(map_is_required_and_a_worker_only_wanted),
    cmocka_unit_test(charts_files_and_addresses_can_be_written_and_the_problem_only_read),
    cmocka_unit_test(every_preset_has_a_name_of_its_own_and_serves_both_plugins),
  };
  return cmocka_run_group_tests_name("plugin/protocol/ports", tests, bundle_open, bundle_close);
}
