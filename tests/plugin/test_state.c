/* SPDX-License-Identifier: ISC */
/* Sessions and presets. Sources: plugin/PORTS.md; the LV2 state and presets
   vocabularies (lv2plug.in/ns/ext/state, …/presets), state:threadSafeRestore above all: restore()
   may come at any time, also during run(). */
#include "scene.h"

#include "core/chart/form.h"

#include <lilv/lilv.h>
#include <lv2/atom/atom.h>
#include <lv2/core/lv2.h>
#include <lv2/presets/presets.h>
#include <lv2/state/state.h>

#include <math.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char two_bars[]   = "key: C\n| I7 | IV7 |\n";
static const char three_bars[] = "key: D\n| I7 | IV7 | V7 |\n";
static const char broken[]     = "title: written by a newer version\nkey: C\n| I7 | I7hyper |\n";

/* ---- sessions by hand ---- */

/* A session that holds `state`, the inside of a blank node in Turtle. free() it. */
static char *
session_with(const char *const state)
{
  static const char form[] = "@prefix atom: <" LV2_ATOM_PREFIX "> .\n"
                             "@prefix lv2: <" LV2_CORE_PREFIX "> .\n"
                             "@prefix pset: <" LV2_PRESETS_PREFIX "> .\n"
                             "@prefix rl: <urn:reedlamp:> .\n"
                             "@prefix state: <" LV2_STATE_PREFIX "> .\n"
                             "@prefix xsd: <http://www.w3.org/2001/XMLSchema#> .\n"
                             "<urn:reedlamp:saved> a pset:Preset ;\n"
                             "  lv2:appliesTo <urn:reedlamp:plugin> ; state:state [ %s ] .\n";
  const size_t      room   = sizeof(form) + strlen(state);
  char *const       text   = (char *)malloc(room);
  assert_non_null(text);
  snprintf(text, room, form, state);
  return text;
}

static char *
session_with_chart(const char *const chart, const char *const more)
{
  const size_t room  = strlen(chart) + strlen(more) + 64;
  char *const  inner = (char *)malloc(room);
  assert_non_null(inner);
  snprintf(inner, room, "rl:chart \"\"\"%s\"\"\" ; %s", chart, more);
  char *const session = session_with(inner);
  free(inner);
  return session;
}

/* ---- what a session holds ---- */

/* A plugin that only looks at what it is given to restore. */
typedef struct {
  char    *uri[256];
  size_t   uris;
  LV2_URID key;
  char    *value;
  size_t   size;
  LV2_URID type;
} Reader;

static LV2_URID
reader_map(void *const handle, const char *const uri)
{
  Reader *const r = (Reader *)handle;
  for (size_t i = 0; i < r->uris; ++i) {
    if (!strcmp(r->uri[i], uri)) {
      return (LV2_URID)i + 1;
    }
  }
  assert_true(r->uris < COUNT(r->uri));
  r->uri[r->uris++] = strdup(uri);
  return (LV2_URID)r->uris;
}

static LV2_State_Status
reader_restore(const LV2_Handle handle, const LV2_State_Retrieve_Function retrieve,
               const LV2_State_Handle state, const uint32_t flags,
               const LV2_Feature *const *const features)
{
  Reader *const     r = (Reader *)handle;
  uint32_t          found_flags;
  const void *const value = retrieve(state, r->key, &r->size, &r->type, &found_flags);
  (void)flags;
  (void)features;
  if (value) {
    r->value = (char *)malloc(r->size + 1);
    assert_non_null(r->value);
    memcpy(r->value, value, r->size);
    r->value[r->size] = '\0';
  }
  return LV2_STATE_SUCCESS;
}

static const void *
reader_extension(const char *const uri)
{
  static const LV2_State_Interface interface = {NULL, reader_restore};
  return strcmp(uri, LV2_STATE__interface) ? NULL : &interface;
}

/* The value of urn:reedlamp:`key` in a session and the URI of its type; NULL if it holds none.
 * free() it. */
static char *
session_value(const char *const session, const char *const key, char type[128])
{
  static const LV2_Descriptor descriptor = {.URI            = "urn:example:reader",
                                            .extension_data = reader_extension};
  Reader                      reader     = {.value = NULL};
  LV2_URID_Map                map        = {&reader, reader_map};
  LilvWorld *const            world      = lilv_world_new();
  LilvInstance                instance   = {&descriptor, &reader, NULL};
  LilvState *const            state      = lilv_state_new_from_string(world, &map, session);
  char                        uri[128];
  assert_non_null(state);
  snprintf(uri, sizeof(uri), "urn:reedlamp:%s", key);
  reader.key = reader_map(&reader, uri);
  lilv_state_restore(state, &instance, NULL, NULL, 0, NULL);
  if (reader.value && type) {
    snprintf(type, 128, "%s", reader.uri[reader.type - 1]);
  }
  lilv_state_free(state);
  lilv_world_free(world);
  for (size_t i = 0; i < reader.uris; ++i) {
    free(reader.uri[i]);
  }
  return reader.value;
}

static void
session_holds(const char *const session, const char *const key, const char *const type,
              const char *const text)
{
  char        found[128] = "";
  char *const value      = session_value(session, key, found);
  TEXT(value, text);
  TEXT(found, type);
  free(value);
}

/* ---- helpers ---- */

static void
open_quiet(Scene *const s, const RlHostWorker worker)
{
  RlHostChoice choice = scene_choice(STEREO);
  choice.worker       = worker;
  scene_open(s, &choice);
}

static void
restored(Scene *const s, const char *const session)
{
  assert_true(rl_host_restore(s->host, session));
}

static void
form_is(Scene *const s, const int bars, const char *const first)
{
  const Report report = parked_at(0, 0);
  scene_report(s, 0, &report);
  rl_host_send_get(s->host, 0, NULL);
  scene_run(s, 16);
  SAME(scene_last(s)->bars, bars);
  TEXT(scene_last(s)->now, first);
}

/* ---- saving and restoring ---- */

static void
what_was_set_comes_back_before_the_plugin_is_activated(void **state)
{
  static const char *const uris[] = {STEREO, MONO};
  (void)state;
  for (size_t i = 0; i < COUNT(uris); ++i) {
    Scene              a;
    Scene              b;
    const RlHostChoice choice = scene_choice(uris[i]);
    scene_open(&a, &choice);
    rl_host_activate(a.host);
    scene_settle(&a);
    scene_chart(&a, two_bars);
    scene_send(&a, 0, "osc_to", "10.0.0.7:9000");
    rl_host_set(a.host, "start_bar", 1);
    rl_host_set(a.host, "harp_key", 5);
    rl_host_set(a.host, "song_key", 10);
    scene_settle(&a);
    char *const session = rl_host_save(a.host);
    assert_non_null(session);
    session_holds(session, "chart", LV2_ATOM__String, two_bars);
    session_holds(session, "osc_to", LV2_ATOM__String, "10.0.0.7:9000");
    assert_null(session_value(session, "problem", NULL));
    scene_open(&b, &choice);
    restored(&b, session);
    rl_host_activate(b.host);
    scene_run(&b, 16);
    TEXT(scene_told(&b, "chart"), two_bars); /* the window hears of it without asking */
    TEXT(scene_told(&b, "osc_to"), "10.0.0.7:9000");
    TEXT(scene_told(&b, "problem"), "");
    SAME(rl_host_get(b.host, "harp_key"), 5);
    scene_settle(&b);
    form_is(&b, 2, "Bb7");
    SAME(b.position, 12); /* Bb on an F harp: F is its fifth, once around and back */
    char *const again = rl_host_save(b.host);
    TEXT(again, session);
    free(again);
    free(session);
    scene_end(&b);
    scene_end(&a);
  }
}

static void
a_session_restored_between_two_blocks_is_in_force_in_the_next(void **state)
{
  Scene s;
  (void)state;
  char *const two   = session_with_chart(two_bars, "rl:osc_to \"127.0.0.1:1\"");
  char *const three = session_with_chart(three_bars, "rl:osc_to \"127.0.0.1:2\"");
  scene_begin(&s);
  const Report start = rolling_at(1, 0);
  scene_report(&s, 0, &start);
  scene_run(&s, 100);
  for (int i = 0; i < 20; ++i) {
    restored(&s, i % 2 ? two : three);
    const int64_t at = s.now;
    scene_run(&s, 100);
    SAME(scene_last(&s)->bars, i % 2 ? 2 : 3);
    SAME(scene_last(&s)->frame, at);
    TEXT(scene_told(&s, "chart"), i % 2 ? two_bars : three_bars);
    TEXT(scene_told(&s, "osc_to"), i % 2 ? "127.0.0.1:1" : "127.0.0.1:2");
    SHOWS(&s, 1, 2, 1 + (100.0 * (i + 2) - 1) / 24000); /* and the music goes on */
  }
  free(three);
  free(two);
  scene_end(&s);
}

/* ---- while running ---- */

typedef struct {
  RlHost         *host;
  char           *session[2];
  int             times;
  atomic_bool     done;
  pthread_mutex_t ports; /* the host's own values: saved here, set there */
} Restorer;

static void *
restore_on_and_on(void *const data)
{
  Restorer *const r = (Restorer *)data;
  for (int i = 0; i < r->times; ++i) {
    if (!rl_host_restore(r->host, r->session[i % 2])) {
      break;
    }
    if (i % 50 == 49) {
      pthread_mutex_lock(&r->ports);
      free(rl_host_save(r->host));
      pthread_mutex_unlock(&r->ports);
    }
  }
  atomic_store(&r->done, true);
  return NULL;
}

static void
a_session_may_be_restored_at_any_moment_of_run(void **state)
{
  enum { TIMES = 3000 };
  Scene     s;
  pthread_t thread;
  Restorer  restorer = {.times = TIMES, .ports = PTHREAD_MUTEX_INITIALIZER};
  (void)state;
  open_quiet(&s, RL_HOST_THREADED);
  restorer.host       = s.host;
  restorer.session[0] = session_with_chart(two_bars, "rl:osc_to \"127.0.0.1:1\"");
  restorer.session[1] = session_with_chart(three_bars, "rl:osc_to \"127.0.0.1:2\"");
  rl_host_activate(s.host);
  const Report start = rolling_at(0, 0);
  scene_report(&s, 0, &start);
  scene_run(&s, 64);
  assert_int_equal(pthread_create(&thread, NULL, restore_on_and_on, &restorer), 0);
  int64_t blocks = 1;
  while (!atomic_load(&restorer.done)) {
    if (blocks % 5000 == 0) { /* so that the worker works too */
      pthread_mutex_lock(&restorer.ports);
      rl_host_set(s.host, "harp_key", (float)(blocks / 5000 % 12));
      pthread_mutex_unlock(&restorer.ports);
    }
    if (blocks % 1999 == 0) {
      scene_send(&s, 0, "osc_to", "127.0.0.1:3");
    }
    scene_run(&s, 64);
    SAME(s.sure, 1); /* the music goes on whatever happens */
    const int bar = (int)s.bar;
    assert_true(bar >= 1 && bar <= 12);
    if (++blocks % 500 == 0) {
      for (size_t i = 0; i < s.places;
           ++i) { /* a snapshot is whole: its bars and its chords belong together */
        const int bars = s.place[i].bars;
        assert_true(bars == 2 || bars == 3 || bars == 12);
        assert_int_equal(s.place[i].song_key, bars == 2 ? 0 : bars == 3 ? 2 : 7);
        assert_true(strchr(bars == 2   ? "CF"
                           : bars == 3 ? "DGA"
                                       : "GCD",
                           s.place[i].now[0]) != NULL);
      }
      const int64_t now = s.now;
      scene_forget(&s);
      s.now = now;
    }
  }
  pthread_join(thread, NULL);
  TEXT(scene_ask(&s, "chart"), (TIMES - 1) % 2 ? three_bars : two_bars); /* the last one holds */
  form_is(&s, 3, "D7");
  assert_true(blocks > 1000);
  free(restorer.session[0]);
  free(restorer.session[1]);
  scene_end(&s);
}

/* The same without run(): a session that is loaded and loaded again before anything plays. */
static void
sessions_restored_one_over_the_other_leave_the_last(void **state)
{
  Scene s;
  (void)state;
  open_quiet(&s, RL_HOST_AFTER);
  char *const two   = session_with_chart(two_bars, "");
  char *const three = session_with_chart(three_bars, "");
  for (int i = 0; i < 100; ++i) {
    restored(&s, i % 2 ? two : three);
  }
  rl_host_activate(s.host);
  scene_run(&s, 16);
  TEXT(scene_told(&s, "chart"), two_bars);
  form_is(&s, 2, "C7");
  free(three);
  free(two);
  scene_end(&s);
}

/* ---- what is strange ---- */

/* A newer version's session: what is known is kept, what is not does no harm. */
static void
keys_that_are_not_known_do_not_disturb_those_that_are(void **state)
{
  Scene       s;
  char *const session = session_with_chart(
    three_bars,
    "rl:osc_to \"127.0.0.1:9000\" ; rl:phrases \"X:1\" ; rl:loudness 0.5 ; rl:colours ( 1 2 3 ) ;"
    "<urn:example:other> \"nothing of ours\" ; rl:problem \"a problem of long ago\" ; rl:chart2 7");
  (void)state;
  open_quiet(&s, RL_HOST_AFTER);
  restored(&s, session);
  rl_host_activate(s.host);
  scene_run(&s, 16);
  TEXT(scene_told(&s, "chart"), three_bars);
  TEXT(scene_told(&s, "osc_to"), "127.0.0.1:9000");
  TEXT(scene_told(&s, "problem"), "");
  form_is(&s, 3, "D7");
  free(session);
  scene_end(&s);
}

static void
a_value_of_the_wrong_type_is_as_good_as_none(void **state)
{
  static const char *const values[] = {
    "rl:chart 42 ; rl:osc_to \"127.0.0.1:9000\"",
    "rl:chart 0.5 ; rl:chart_file 3 ; rl:osc_to \"127.0.0.1:9000\"",
    "rl:chart <urn:example:uri> ; rl:osc_to \"127.0.0.1:9000\" ; rl:bar_one \"now\" ; "
    "rl:bar_one_axis \"bars\"",
    "rl:chart true ; rl:osc_to \"127.0.0.1:9000\" ; rl:bar_one 7 ; rl:bar_one_axis 0 ; "
    "rl:bar_one_start 0.5",
    "rl:chart \"x\"^^atom:Path ; rl:osc_to \"127.0.0.1:9000\"",
    "rl:osc_to \"127.0.0.1:9000\" ; rl:bar_one \"1e300\"^^xsd:double ; rl:bar_one_axis 0 ; "
    "rl:bar_one_start 1",
    "rl:osc_to \"127.0.0.1:9000\" ; rl:bar_one \"3.0\"^^xsd:double ; rl:bar_one_axis 77 ; "
    "rl:bar_one_start 1",
  };
  (void)state;
  for (size_t i = 0; i < COUNT(values); ++i) {
    Scene       s;
    char *const session = session_with(values[i]);
    check_about         = values[i];
    open_quiet(&s, RL_HOST_AFTER);
    rl_host_activate(s.host);
    scene_settle(&s);
    scene_chart(&s, two_bars);
    restored(&s, session);
    scene_run(&s, 16);
    check_about = values[i];
    TEXT(scene_told(&s, "osc_to"), "127.0.0.1:9000");
    TEXT(scene_ask(&s, "chart"), two_bars);
    form_is(&s, 2, "C7");
    free(session);
    scene_end(&s);
  }
}

static void
an_empty_session_changes_nothing(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_chart(&s, two_bars);
  scene_send(&s, 0, "osc_to", "127.0.0.1:9000");
  scene_settle(&s);
  char *const session = session_with("");
  restored(&s, session);
  scene_run(&s, 16);
  TEXT(scene_ask(&s, "chart"), two_bars);
  TEXT(scene_ask(&s, "osc_to"), "127.0.0.1:9000");
  TEXT(scene_ask(&s, "problem"), "");
  free(session);
  scene_end(&s);
}

/* An older version meets a newer one's chart. PORTS.md: the form before it stays in force. The
   user's work must survive the visit. */
static void
a_chart_that_cannot_be_read_is_saved_again_as_it_came(void **state)
{
  static const char past_the_limit[] = "| I7 |\n#";
  char              long_chart[20001];
  const char *const charts[] = {broken, "", long_chart};
  (void)state;
  memset(long_chart, 'x', sizeof(long_chart) - 1);
  memcpy(long_chart, past_the_limit, sizeof(past_the_limit) - 1);
  long_chart[sizeof(long_chart) - 1] = '\0';
  for (size_t i = 0; i < COUNT(charts); ++i) {
    Scene       s;
    char *const session = session_with_chart(charts[i], "");
    open_quiet(&s, RL_HOST_AFTER);
    if (i == 1) { /* a session may come before or after the plugin plays */
      rl_host_activate(s.host);
      scene_settle(&s);
    }
    restored(&s, session);
    rl_host_activate(s.host);
    scene_run(&s, 16);
    assert_true(strlen(scene_told(&s, "problem")) > 0);
    if (charts[i] == broken) {
      HAS(scene_told(&s, "problem"), "line 3, bar 2");
    }
    form_is(&s, 12, "G7");
    char *again = rl_host_save(s.host);
    session_holds(again, "chart", LV2_ATOM__String, charts[i]);
    free(again);
    scene_send(&s, 0, "osc_to", "127.0.0.1:9000"); /* whatever else is changed meanwhile */
    rl_host_set(s.host, "harp_key", 3);
    scene_send(&s, 0, "chart", "| also wrong |");
    scene_settle(&s);
    again = rl_host_save(s.host);
    session_holds(again, "chart", LV2_ATOM__String, charts[i]);
    session_holds(again, "osc_to", LV2_ATOM__String, "127.0.0.1:9000");
    free(again);
    scene_chart(&s, two_bars); /* until there is a good one */
    again = rl_host_save(s.host);
    session_holds(again, "chart", LV2_ATOM__String, two_bars);
    free(again);
    free(session);
    scene_end(&s);
  }
}

/* CHART.md, Rules: a session from before there were rules gets the line that says so where its
   chart would mean something else today, and keeps it; a newer one says nothing. */
static void
an_older_session_keeps_the_rules_it_was_written_under(void **state)
{
  static const struct {
    const char *chart, *more, *line, *now;
  } cases[] = {
    {"key: Am\n| VI7 |\n", "", "chart-rules: 1\n", "F#7"},
    {"key: G\n| V7/V |\n", "", "chart-rules: 1\n", "D7/D"},
    {"key: Am\n| bVI7 | | V7 |\n", "", "chart-rules: 1\n", "F7"},
    {"key: Am\n| bVI7 | V7 |\n", "", "", "F7"},
    {"key: Am\n| VI7 |\n", "rl:chart_rules 2", "", "F7"},
    {"key: G\n| V7/V |\n", "rl:chart_rules 2", "", "A7"},
  };
  (void)state;
  for (size_t i = 0; i < COUNT(cases); ++i) {
    Scene       s;
    char        chart[128];
    char *const session = session_with_chart(cases[i].chart, cases[i].more);
    snprintf(chart, sizeof(chart), "%s%s", cases[i].line, cases[i].chart);
    open_quiet(&s, RL_HOST_AFTER);
    restored(&s, session);
    rl_host_activate(s.host);
    scene_run(&s, 16);
    TEXT(scene_told(&s, "problem"), "");
    TEXT(scene_told(&s, "chart"), chart);
    const Report report = parked_at(0, 0);
    scene_report(&s, 0, &report);
    rl_host_send_get(s.host, 0, NULL);
    scene_run(&s, 16);
    TEXT(scene_last(&s)->now, cases[i].now);
    char *const again = rl_host_save(s.host);
    session_holds(again, "chart", LV2_ATOM__String, chart);
    free(again);
    free(session);
    scene_end(&s);
  }
}

/* Quotes, backslashes, tabs, CR LF, signs beyond ASCII: a session gives back every byte. */
static void
every_byte_of_a_chart_comes_back(void **state)
{
  static const char odd[] = "# \"quoted\" \\ back \\n slash '''\r\n\ttitle:\tB\xE2\x99\xAD "
                            "\xF0\x9D\x84\x9E \r\nkey: B\xE2\x99\xAD\r\n"
                            "note: \"\"\" ]  ;  . \r\n| I\xC3\xB8 | IV7 |\r\n\r\n";
  Scene             a;
  Scene             b;
  (void)state;
  scene_begin(&a);
  scene_send(&a, 0, "chart", "| I7 | IV7 |\r\n# a \"quote\" at the end\"");
  scene_settle(&a);
  char *session = rl_host_save(a.host);
  session_holds(session, "chart", LV2_ATOM__String, "| I7 | IV7 |\r\n# a \"quote\" at the end\"");
  free(session);
  scene_send(&a, 0, "chart", odd);
  scene_run(&a, 16);
  scene_run(&a, 16);
  if (!scene_told(&a, "chart")) {
    fail_msg("%s", scene_told(&a, "problem"));
  }
  session = rl_host_save(a.host);
  open_quiet(&b, RL_HOST_AFTER);
  restored(&b, session);
  rl_host_activate(b.host);
  scene_run(&b, 16);
  TEXT(scene_told(&b, "chart"), odd);
  free(session);
  scene_end(&b);
  scene_end(&a);
}

/* ---- files ---- */

static char path[200];

static void
path_make(const char *const text)
{
  const char *const where = getenv("TMPDIR");
  snprintf(path, sizeof(path), "%.150s/reedlamp-XXXXXX", where ? where : "/tmp");
  const int file = mkstemp(path);
  assert_true(file >= 0);
  assert_int_equal(write(file, text, strlen(text)), (ssize_t)strlen(text));
  close(file);
}

static void
a_session_plays_its_chart_even_when_the_file_is_gone_or_another(void **state)
{
  Scene a;
  (void)state;
  for (int gone = 0; gone < 2; ++gone) {
    path_make(two_bars);
    scene_begin(&a);
    scene_send(&a, 0, "chart_file", path);
    scene_settle(&a);
    form_is(&a, 2, "C7");
    char *const session = rl_host_save(a.host);
    scene_end(&a);
    session_holds(session, "chart", LV2_ATOM__String, two_bars);
    if (gone) {
      unlink(path);
    } else {
      FILE *const file = fopen(path, "wb");
      assert_non_null(file);
      fputs(three_bars, file);
      fclose(file);
    }
    Scene b;
    open_quiet(&b, RL_HOST_AFTER);
    restored(&b, session);
    rl_host_activate(b.host);
    scene_run(&b, 16);
    TEXT(scene_told(&b, "chart"), two_bars);
    TEXT(scene_told(&b, "chart_file"), path);
    TEXT(scene_told(&b, "problem"), "");
    form_is(&b, 2, "C7");
    free(session);
    scene_end(&b);
    unlink(path);
  }
}

static void
a_session_with_nothing_but_a_file_reads_it(void **state)
{
  char inner[256];
  (void)state;
  for (int gone = 0; gone < 2; ++gone) {
    Scene s;
    path_make(three_bars);
    snprintf(inner, sizeof(inner), "rl:chart_file \"%s\"^^atom:Path", path);
    char *const session = session_with(inner);
    if (gone) {
      unlink(path);
    }
    open_quiet(&s, RL_HOST_AFTER);
    restored(&s, session);
    rl_host_activate(s.host);
    scene_run(&s, 16);
    if (gone) {
      HAS(scene_told(&s, "problem"), path);
      form_is(&s, 12, "G7");
    } else {
      TEXT(scene_told(&s, "chart"), three_bars);
      TEXT(scene_told(&s, "chart_file"), path);
      form_is(&s, 3, "D7");
    }
    free(session);
    scene_end(&s);
    unlink(path);
  }
}

/* ---- bar one ---- */

static void
a_session_without_a_bar_one_takes_back_the_one_said_since(void **state)
{
  Scene        s;
  const Report report = parked_at(6, 0);
  (void)state;
  scene_begin(&s);
  scene_report(&s, 0, &report);
  scene_run(&s, 16);
  char *const session = rl_host_save(s.host);
  scene_press(&s, "bar_one", 16);
  SAME(s.bar, 1);
  scene_settle(&s);
  char *const later = rl_host_save(s.host);
  restored(&s, session);
  scene_settle(&s);
  SAME(s.bar, 7);
  restored(&s, later); /* and back again */
  scene_settle(&s);
  SAME(s.bar, 1);
  free(later);
  free(session);
  scene_end(&s);
}

/* The worker may be late: what the feet said before a session came is not part of that session. */
static void
a_pedal_on_its_way_to_the_worker_does_not_reach_into_the_next_session(void **state)
{
  Scene        s;
  Scene        again;
  const Report report = parked_at(6, 0);
  (void)state;
  scene_begin(&s);
  char *const session = session_with_chart(two_bars, "");
  scene_report(&s, 0, &report);
  scene_run(&s, 16);
  rl_host_set(s.host, "bar_one", 1);
  rl_host_run_bare(s.host, 16); /* and no turn for the worker */
  restored(&s, session);
  rl_host_set(s.host, "bar_one", 0);
  scene_settle(&s);
  SHOWS(&s, 4, 1, 1); /* bar 7 of a song of two */
  char *const saved = rl_host_save(s.host);
  assert_null(session_value(saved, "bar_one", NULL));
  open_quiet(&again, RL_HOST_AFTER);
  restored(&again, saved);
  rl_host_activate(again.host);
  scene_report(&again, 0, &report);
  scene_settle(&again);
  SHOWS(&again, 4, 1, 1);
  free(saved);
  free(session);
  scene_end(&again);
  scene_end(&s);
}

static void
nor_does_a_chart_on_its_way_to_the_worker(void **state)
{
  Scene s;
  (void)state;
  scene_begin(&s);
  char *const session = session_with_chart(two_bars, "");
  scene_send(&s, 0, "chart", three_bars);
  scene_send(&s, 0, "osc_to", "127.0.0.1:1");
  rl_host_run_bare(s.host, 16);
  rl_host_connect(s.host, "harp_in", NULL, 0); /* which also empties the inputs */
  restored(&s, session);
  scene_run(&s, 16);
  scene_settle(&s);
  TEXT(scene_ask(&s, "chart"), two_bars);
  form_is(&s, 2, "C7");
  free(session);
  scene_end(&s);
}

/* But the harp is a port's business, and no session takes it back. */
static void
a_harp_on_its_way_to_the_worker_still_gets_its_targets(void **state)
{
  Scene        s;
  const Report report = parked_at(0, 0);
  (void)state;
  scene_begin(&s);
  char *const session = session_with_chart("key: C\n| V7 | I7 |\n", "");
  scene_report(&s, 0, &report);
  scene_run(&s, 16);
  rl_host_set(s.host, "harp_key", 7);
  rl_host_run_bare(s.host, 16);
  restored(&s, session);
  for (int i = 0; i < 4; ++i) {
    scene_run(&s, 16);
  }
  SAME(scene_last(&s)->hole,
       3); /* as worked out by hand in test_follow_settings: draw 3 bent by two, E */
  TEXT(scene_last(&s)->technique, "draw2");
  free(session);
  scene_end(&s);
}

/* The order in which hosts do it differs: state first and then the ports' values, or the other way.
 */
static void
a_bar_one_comes_back_whether_its_start_bar_comes_before_it_or_after(void **state)
{
  static const char bar_one[] =
    "rl:bar_one \"6.0\"^^xsd:double ; rl:bar_one_axis 0 ; rl:bar_one_start 5";
  const Report report = parked_at(7, 0);
  (void)state;
  for (int order = 0; order < 3; ++order) {
    Scene       s;
    char *const session = session_with_chart(two_bars, bar_one);
    open_quiet(&s, RL_HOST_AFTER);
    if (order == 0) {
      rl_host_set(s.host, "start_bar", 5);
    }
    restored(&s, session);
    rl_host_activate(s.host);
    if (order == 2) { /* a few blocks in between, in which it was said for another start bar */
      scene_report(&s, 0, &report);
      scene_settle(&s);
      SHOWS(&s, 4, 2, 1);
    }
    rl_host_set(s.host, "start_bar", 5);
    scene_report(&s, 0, &report);
    scene_settle(&s);
    SHOWS(&s, 1, 2, 1);
    free(session);
    scene_end(&s);
  }
}

/* ---- presets ---- */

static LilvWorld *presets_world;
static LilvNodes *presets;

static int
presets_find(void **const state)
{
  char              bundle[4096];
  const char *const folder = getenv("RL_BUNDLES");
  (void)state;
  if (!folder) {
    print_error("RL_BUNDLES is not set; give the folder that holds reedlamp.lv2\n");
    return -1;
  }
  snprintf(bundle, sizeof(bundle), "%s/reedlamp.lv2/", folder);
  presets_world          = lilv_world_new();
  LilvNode *const where  = lilv_new_file_uri(presets_world, NULL, bundle);
  LilvNode *const plugin = lilv_new_uri(presets_world, STEREO);
  LilvNode *const type   = lilv_new_uri(presets_world, LV2_PRESETS__Preset);
  lilv_world_load_bundle(presets_world, where);
  const LilvPlugin *const found =
    lilv_plugins_get_by_uri(lilv_world_get_all_plugins(presets_world), plugin);
  presets = found ? lilv_plugin_get_related(found, type) : NULL;
  lilv_node_free(type);
  lilv_node_free(plugin);
  lilv_node_free(where);
  return presets && lilv_nodes_size(presets) > 0 ? 0 : -1;
}

static int
presets_free(void **const state)
{
  (void)state;
  lilv_nodes_free(presets);
  lilv_world_free(presets_world);
  unlink(path); /* a test that failed left it */
  return 0;
}

// NOLINTBEGIN(bugprone-macro-parentheses): the names that are declared
#define FOR_EACH_PRESET(uri)                                                                       \
  for (LilvIter *at_ = lilv_nodes_begin(presets); !lilv_nodes_is_end(presets, at_);                \
       at_           = lilv_nodes_next(presets, at_))                                              \
    for (const char *uri = lilv_node_as_uri(lilv_nodes_get(presets, at_)); uri; uri = NULL)
// NOLINTEND(bugprone-macro-parentheses)

typedef struct {
  int song_key, count_by, others;
} PresetPorts;

static void
preset_port(const char *const symbol, void *const data, const void *const value,
            const uint32_t size, const uint32_t type)
{
  PresetPorts *const p = (PresetPorts *)data;
  (void)value;
  (void)size;
  (void)type;
  p->song_key += !strcmp(symbol, "song_key");
  p->count_by += !strcmp(symbol, "count_by");
  p->others += strcmp(symbol, "song_key") != 0 && strcmp(symbol, "count_by") != 0;
}

/* PORTS.md: presets hold chart, song_key, count_by. */
static void
a_preset_holds_a_chart_a_song_key_and_count_by_and_nothing_else(void **state)
{
  static const char *const never[] = {"chart_file", "osc_to",       "problem",
                                      "bar_one",    "bar_one_axis", "bar_one_start"};
  (void)state;
  FOR_EACH_PRESET(uri)
  {
    Reader          reader = {.value = NULL};
    PresetPorts     ports  = {0, 0, 0};
    LV2_URID_Map    map    = {&reader, reader_map};
    LilvNode *const node   = lilv_new_uri(presets_world, uri);
    lilv_world_load_resource(presets_world, node);
    LilvState *const preset = lilv_state_new_from_world(presets_world, &map, node);
    assert_non_null(preset);
    check_about = uri;
    lilv_state_emit_port_values(preset, preset_port, &ports);
    SAME(ports.song_key, 1);
    SAME(ports.count_by, 1);
    SAME(ports.others, 0);
    /* every URI that was met is one of LV2's own, the chart, or nothing of the player's */
    for (size_t i = 0; i < COUNT(never); ++i) {
      char other[64];
      snprintf(other, sizeof(other), "urn:reedlamp:%s", never[i]);
      for (size_t k = 0; k < reader.uris; ++k) {
        assert_string_not_equal(reader.uri[k], other);
      }
    }
    size_t ours = 0;
    for (size_t k = 0; k < reader.uris; ++k) {
      ours += !strncmp(reader.uri[k], "urn:reedlamp:", 13);
      free(reader.uri[k]);
    }
    SAME(ours, 2); /* the chart and its rules: state properties are mapped as they are read */
    lilv_state_free(preset);
    lilv_node_free(node);
  }
}

/* PORTS.md: never the player's harp, means, OSC, start_bar or enabled. */
static void
a_preset_leaves_the_player_s_own_settings_alone(void **state)
{
  static const struct {
    const char *symbol;
    float       value;
  } own[] = {{"harp_key", 5},        {"harp_register", -1}, {"tuning", 2},   {"bend_depth", 1},
             {"blow_bend_depth", 2}, {"overblows", 1},      {"send_osc", 1}, {"start_bar", 9},
             {"enabled", 0},         {"clock", 1}};
  Scene s;
  (void)state;
  scene_begin(&s);
  scene_send(&s, 0, "osc_to", "10.0.0.7:9000");
  for (size_t i = 0; i < COUNT(own); ++i) {
    rl_host_set(s.host, own[i].symbol, own[i].value);
  }
  scene_settle(&s);
  FOR_EACH_PRESET(uri)
  {
    check_about = uri;
    assert_true(rl_host_preset(s.host, uri));
    scene_settle(&s);
    for (size_t i = 0; i < COUNT(own); ++i) {
      SAME(rl_host_get(s.host, own[i].symbol), own[i].value);
    }
    TEXT(scene_ask(&s, "osc_to"), "10.0.0.7:9000");
    TEXT(scene_ask(&s, "problem"), "");
  }
  scene_end(&s);
}

/* The bar and beat that follow a place in a song that goes on. */
static void
step(Place *const p)
{
  p->beat = floor(p->beat + 1e-6) + 1;
  if (p->beat > p->beats) {
    p->beat = 1;
    p->bar += 1;
    if (p->bar == 0) {
      p->bar    = 1;
      p->chorus = 1;
    } else if (p->part == RL_PART_CHORUS && p->bar > p->bars) {
      p->bar = 1;
      p->chorus += 1;
    }
  }
}

static void
play_three_choruses(Scene *const s, const char *const uri)
{
  static char first[2048][48]; /* chord, next and target at every beat of chorus 1 */
  Report      start = rolling_at(0, 0);
  size_t      beats = 0;
  size_t      at    = 0;
  check_about       = uri;
  start.tempo       = 480; /* 6000 frames a beat */
  scene_report(s, 0, &start);
  while (s->now < 6000 * 4 * 150 && (!s->places || scene_last(s)->chorus < 4) &&
         (!s->places || scene_last(s)->part != RL_PART_OVER)) {
    scene_run(s, 4096);
  }
  assert_true(s->places > 0);
  assert_true(scene_last(s)->chorus == 4 || scene_last(s)->part == RL_PART_OVER);
  Place expected = s->place[0];
  SAME(expected.beat, 1);
  assert_true(expected.chorus == 1 ? expected.bar == 1 : expected.bar < 0);
  for (size_t i = 0; i < s->places && s->place[i].chorus < 4 && s->place[i].part <= RL_PART_CHORUS;
       ++i) {
    const Place *const p = &s->place[i];
    SAME(p->chorus, expected.chorus);
    SAME(p->bar, expected.bar);
    NEAR(p->beat, expected.beat, 1e-3);
    SAME(p->sure, 1);
    if (p->part == RL_PART_CHORUS) {
      char here[48];
      assert_true(p->now[0] != '\0' && p->now_degree[0] != '\0');
      assert_true(!p->next[0] == (p->to_next == 0) && p->to_next >= 0);
      assert_true(strcmp(p->now, p->next) != 0);
      assert_true(p->hole > 0 || !strcmp(p->next, "N.C.") || !p->next[0]);
      assert_true(p->hole >= 0 && p->hole <= 10);
      snprintf(here, sizeof(here), "%.16s %.16s %d %.9s", p->now, p->next, p->hole, p->technique);
      if (p->chorus == 1) {
        assert_true(beats < COUNT(first));
        memcpy(first[beats++], here, sizeof(here));
      } else if (p->chorus == 2) { /* every chorus is like the first */
        assert_true(at < beats);
        TEXT(here, first[at++]);
      }
    }
    expected = *p;
    step(&expected);
  }
  assert_int_equal(at, beats);
}

/* Bars in a chorus as the presets' names say it; the crooked blues has twelve and a half: thirteen.
 */
static void
every_preset_plays_three_choruses(void **state)
{
  static const struct {
    const char *part;
    int         bars;
  } lengths[] = {{"preset:twelve-bar", 12},
                 {"preset:eight-bar", 8},
                 {"preset:sixteen-bar", 16},
                 {"preset:crooked-blues", 13},
                 {"preset:aaba", 32}};
  Scene s;
  int   known = 0;
  (void)state;
  FOR_EACH_PRESET(uri)
  {
    scene_begin(&s);
    rl_host_set(s.host, "song_key", 3);
    rl_host_set(s.host, "count_by", 1);
    assert_true(rl_host_preset(s.host, uri));
    check_about = uri;
    SAME(rl_host_get(s.host, "song_key"), 12);
    SAME(rl_host_get(s.host, "count_by"),
         strstr(uri, "crooked") != NULL); /* its bars are of two lengths */
    scene_run(&s, 16);
    TEXT(scene_told(&s, "problem"), "");
    assert_true(strlen(scene_told(&s, "chart")) > 0);
    scene_settle(&s);
    play_three_choruses(&s, uri);
    for (size_t i = 0; i < COUNT(lengths); ++i) {
      if (strstr(uri, lengths[i].part)) {
        SAME(scene_last(&s)->bars, lengths[i].bars);
        ++known;
      }
    }
    scene_end(&s);
  }
  assert_true(known >= 8);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(what_was_set_comes_back_before_the_plugin_is_activated),
    cmocka_unit_test(a_session_restored_between_two_blocks_is_in_force_in_the_next),
    cmocka_unit_test(a_session_may_be_restored_at_any_moment_of_run),
    cmocka_unit_test(sessions_restored_one_over_the_other_leave_the_last),
    cmocka_unit_test(keys_that_are_not_known_do_not_disturb_those_that_are),
    cmocka_unit_test(a_value_of_the_wrong_type_is_as_good_as_none),
    cmocka_unit_test(an_empty_session_changes_nothing),
    cmocka_unit_test(a_chart_that_cannot_be_read_is_saved_again_as_it_came),
    cmocka_unit_test(an_older_session_keeps_the_rules_it_was_written_under),
    cmocka_unit_test(every_byte_of_a_chart_comes_back),
    cmocka_unit_test(a_session_plays_its_chart_even_when_the_file_is_gone_or_another),
    cmocka_unit_test(a_session_with_nothing_but_a_file_reads_it),
    cmocka_unit_test(a_session_without_a_bar_one_takes_back_the_one_said_since),
    cmocka_unit_test(a_pedal_on_its_way_to_the_worker_does_not_reach_into_the_next_session),
    cmocka_unit_test(nor_does_a_chart_on_its_way_to_the_worker),
    cmocka_unit_test(a_harp_on_its_way_to_the_worker_still_gets_its_targets),
    cmocka_unit_test(a_bar_one_comes_back_whether_its_start_bar_comes_before_it_or_after),
    cmocka_unit_test(a_preset_holds_a_chart_a_song_key_and_count_by_and_nothing_else),
    cmocka_unit_test(a_preset_leaves_the_player_s_own_settings_alone),
    cmocka_unit_test(every_preset_plays_three_choruses),
  };
  return cmocka_run_group_tests_name("plugin/lv2/state", tests, presets_find, presets_free);
}
