/* SPDX-License-Identifier: ISC */
/* Memory that runs out, anywhere off the audio thread: each request fails once, and each time it is
   said in words, nothing of what was there is lost, nothing leaks, and the same thing done again
   works. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../failing_memory.h"
#include "plugin/lv2/state.h"
#include "plugin/osc/sender.h"
#include "plugin/worker/session.h"

#include <arpa/inet.h>
#include <lo/lo.h>
#include <lv2/core/lv2.h>
#include <lv2/worker/worker.h>
#include <netinet/in.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

static const char chart[] = "key: A\n| I7 | IV7 | I7 | V7 |\n";
static const char plan[]  = "bar 1: Heron\n\nX:1\nT:Heron\nK:A\nA4 c4|\n";
static const char take[]  = "taken: 2\nbar 2: Take 2\n\nX:1\nT:Take 2\nK:A\nE8|\n";

static RlDocument document;
static RlRing     ring;

/* ---- what is done ---- */

static void
set(const RlProperty property, const char *const text)
{
  rl_document_set(&document, property, rl_slice(text));
}

static void
ask(const RlAsk what, const void *const body, const uint32_t size)
{
  const RlAskHead head = {what, 0, size, document.master.bar_one_version};
  assert_true(rl_ring_write(&ring, &head, sizeof(head), body, size));
}

static void
take_event(const RlTakeEventKind kind, const double at, const uint8_t status)
{
  const RlTakeEvent event = {
    .at = at, .tempo = 120, .kind = (uint8_t)kind, .bytes = {status, 64, 80}};
  ask(RL_ASK_TAKE, &event, sizeof(event));
}

static void
nothing(void)
{
}

static void
chart_set(void)
{
  set(RL_CHART, chart);
}

static void
file_set(void)
{
  static const char path[] = "reedlamp-memory.chart";
  FILE *const       file   = fopen(path, "w");
  assert_non_null(file);
  assert_true(fputs(chart, file) >= 0);
  fclose(file);
  set(RL_CHART_FILE, path);
  unlink(path);
}

static void
plan_set(void)
{
  set(RL_PLAN, plan);
}

static void
hand_ask(void)
{
  const RlHand hand = {.harp = {.key = 7}, .player = {2, 2, true}, .song_key = 9};
  ask(RL_ASK_HAND, &hand, sizeof(hand));
  rl_document_answer(&document, &ring);
}

static void
take_play(void)
{
  take_event(RL_TAKE_BEGINS, 0, 0);
  take_event(RL_TAKE_MIDI, 1, 0x90);
  take_event(RL_TAKE_MIDI, 2, 0x80);
  rl_document_answer(&document, &ring);
}

static void
take_end(void)
{
  take_event(RL_TAKE_ENDS, 2, 0);
  rl_document_answer(&document, &ring);
}

static void
take_again(void)
{
  take_play();
  take_end();
}

static void
take_set(void)
{
  set(RL_TAKE, take);
}

static void
take_drop(void)
{
  set(RL_TAKE_EDIT, "drop: Take 2\ntaken: 2\n");
}

static void
take_set_again(void)
{
  take_set();
  take_drop();
}

static void
restore(const char *const chart_text, const char *const plan_text)
{
  RlSession session      = {.bar_one = {0}};
  session.text[RL_CHART] = rl_slice(chart_text);
  session.text[RL_PLAN]  = rl_slice(plan_text);
  session.text[RL_TAKE]  = rl_slice(take);
  rl_session_restore(&document, &session);
}

static void
session_restore(void)
{
  restore(chart, plan);
}

/* Of a later version. */
static void
session_restore_unread(void)
{
  restore("| H7 |\n", "bar 0: Heron\n");
}

/* ---- each request fails once ---- */

typedef struct {
  const char *name;
  void (*prepare)(void);
  void (*run)(void);
  void (*again)(void); /* with memory: nothing is wrong then */
  const char *said;    /* in every problem */
} Path;

static const Path paths[] = {
  {"a chart", nothing, chart_set, chart_set, "not enough memory"},
  {"a chart's file", nothing, file_set, file_set, "not enough memory"},
  {"a plan", nothing, plan_set, plan_set, "not enough memory"},
  {"a chart under a plan", plan_set, chart_set, chart_set, "not enough memory"},
  {"a harp", plan_set, hand_ask, hand_ask, "not enough memory"},
  {"a take's end", take_play, take_end, take_again, "take: not enough memory to write it down"},
  {"takes", nothing, take_set, take_set, "take: not enough memory to change it"},
  {"an edit of a take", take_set, take_drop, take_set_again,
   "take: not enough memory to change it"},
  {"a session", nothing, session_restore, session_restore, "not enough memory"},
};

static void
opened(void)
{
  memset(&ring, 0, sizeof(ring));
  assert_true(rl_document_open(&document));
}

static void
closed(void)
{
  rl_document_close(&document);
  assert_int_equal(failing_memory_live(), 0);
}

static int
requests_of(const Path *const path)
{
  opened();
  path->prepare();
  failing_memory_at(-1);
  path->run();
  const int asked = failing_memory_asked();
  assert_string_equal(document.master.problem, "");
  closed();
  return asked;
}

static void
each_failure_is_said_and_can_be_made_good(void **state)
{
  (void)state;
  for (size_t p = 0; p < sizeof(paths) / sizeof(paths[0]); ++p) {
    const int requests = requests_of(&paths[p]);
    assert_true(requests > 0);
    for (int n = 0; n < requests; ++n) {
      opened();
      paths[p].prepare();
      failing_memory_at(n);
      paths[p].run();
      assert_true(failing_memory_asked() > n);
      if (!strstr(document.master.problem, paths[p].said)) {
        fail_msg("%s, request %d: \"%s\"", paths[p].name, n, document.master.problem);
      }
      RlSnapshot *const snapshot = rl_outbox_pop(&document.pool.outbox); /* and it is told */
      assert_non_null(snapshot);
      assert_string_equal(snapshot->problem, document.master.problem);
      rl_document_free(snapshot);
      failing_memory_at(-1);
      paths[p].again();
      if (document.master.problem[0]) {
        fail_msg("%s, request %d, again: \"%s\"", paths[p].name, n, document.master.problem);
      }
      closed();
    }
  }
}

static void
without_memory_no_document_opens(void **state)
{
  (void)state;
  failing_memory_at(-1);
  opened();
  const int requests = failing_memory_asked();
  closed();
  int failed = 0;
  for (int n = 0; n < requests; ++n) {
    failing_memory_at(n);
    if (rl_document_open(&document)) { /* without targets yet, and that is said */
      assert_non_null(strstr(document.master.problem, "not enough memory"));
    } else {
      ++failed;
    }
    failing_memory_at(-1);
    closed();
  }
  assert_true(failed >= 3); /* the chart, the first snapshot, the one in reserve */
}

static void
no_event_of_a_take_asks_for_memory(void **state)
{
  (void)state;
  opened();
  failing_memory_at(0);
  take_play();
  take_event(RL_TAKE_MIDI, 3, 0x90);
  take_event(RL_TAKE_MIDI, 3.5, 0xE0);
  rl_document_answer(&document, &ring);
  assert_int_equal(failing_memory_asked(), 0);
  failing_memory_at(-1);
  take_end();
  assert_non_null(strstr(document.master.take, "2 notes"));
  closed();
}

/* A change for which there is no snapshot waits until one comes back. */
static void
a_snapshot_that_cannot_be_had_is_only_late(void **state)
{
  (void)state;
  opened();
  RlSnapshot *const first = rl_outbox_pop(&document.pool.outbox);
  set(RL_OSC_TO, "127.0.0.1:1");
  RlSnapshot *const second = rl_outbox_pop(&document.pool.outbox);
  failing_memory_at(0);
  set(RL_OSC_TO, "127.0.0.1:2");
  failing_memory_at(-1);
  assert_null(rl_outbox_pop(&document.pool.outbox));
  ask(RL_ASK_FREE, &first, sizeof(first));
  rl_document_answer(&document, &ring);
  RlSnapshot *const third = rl_outbox_pop(&document.pool.outbox);
  assert_ptr_equal(third, first);
  assert_string_equal(third->osc_to, "127.0.0.1:2");
  rl_document_free(second);
  rl_document_free(third);
  closed();
}

/* ---- sessions ---- */

static void
saved_texts(void *const data, const RlSession *const session)
{
  const RlSlice *const want = (const RlSlice *)data;
  for (int p = RL_CHART; p <= RL_PLAN; ++p) {
    if (want[p].at) {
      assert_string_equal(session->text[p].at, want[p].at);
    }
  }
}

/* What cannot be read is saved again as it came, or it is said that it would be lost. */
static void
an_unread_session_is_kept_or_named(void **state)
{
  (void)state;
  opened();
  failing_memory_at(-1);
  session_restore_unread();
  const int requests            = failing_memory_asked();
  RlSlice   want[RL_PROPERTIES] = {
      [RL_CHART] = rl_slice("| H7 |\n"), [RL_PLAN] = rl_slice("bar 0: Heron\n")};
  rl_session_save(&document, saved_texts, want);
  closed();
  for (int n = 0; n < requests; ++n) {
    opened();
    failing_memory_at(n);
    session_restore_unread();
    failing_memory_at(-1);
    assert_non_null(strstr(document.master.problem, "memory"));
    if (!strstr(document.master.problem,
                "session: not enough memory to keep what could not be read")) {
      rl_session_save(&document, saved_texts, want);
    }
    failing_memory_at(0);
    rl_session_save(&document, saved_texts, (RlSlice[RL_PROPERTIES]){0});
    assert_int_equal(failing_memory_asked(), 0); /* saving asks for none */
    failing_memory_at(-1);
    closed();
  }
}

/* ---- OSC ---- */

lo_message __real_lo_message_new(void);
lo_message __wrap_lo_message_new(void);
lo_bundle  __real_lo_bundle_new(lo_timetag when);
lo_bundle  __wrap_lo_bundle_new(lo_timetag when);

static int messages, message_fails = -1;

lo_message
__wrap_lo_message_new(void)
{
  return messages++ == message_fails ? NULL : __real_lo_message_new();
}

lo_bundle
__wrap_lo_bundle_new(const lo_timetag when)
{
  return messages++ == message_fails ? NULL : __real_lo_bundle_new(when);
}

static int
socket_open(struct sockaddr_in *const at)
{
  socklen_t size      = sizeof(*at);
  const int s         = socket(AF_INET, SOCK_DGRAM | SOCK_NONBLOCK, 0);
  *at                 = (struct sockaddr_in){.sin_family = AF_INET};
  at->sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  assert_int_equal(bind(s, (struct sockaddr *)at, sizeof(*at)), 0);
  assert_int_equal(getsockname(s, (struct sockaddr *)at, &size), 0);
  return s;
}

static size_t
bytes_heard(const int s)
{
  char    packet[2048];
  size_t  bytes = 0;
  ssize_t got   = 0;
  while ((got = recv(s, packet, sizeof(packet), 0)) > 0) {
    bytes += (size_t)got;
  }
  return bytes;
}

static void
tell_once(RlSender *const sender, RlMailbox *const mailbox)
{
  RlOscSnapshot snapshot = {.when = INT64_MAX / 2, .sounds = true, .bar = 1, .bars = 4};
  snapshot.chart         = document.master.version[RL_CHART];
  snapshot.plan          = document.master.version[RL_PLAN];
  assert_true(rl_mailbox_put(mailbox, &snapshot));
  rl_sender_work(sender, mailbox, &document);
}

/* What was not sent is said, and sent with the next snapshot. */
static void
osc_without_memory_is_said_and_made_good(void **state)
{
  static RlSender    sender;
  static RlMailbox   mailbox;
  struct sockaddr_in at;
  char               to[32];
  (void)state;
  const int s = socket_open(&at);
  snprintf(to, sizeof(to), "127.0.0.1:%d", ntohs(at.sin_port));
  size_t whole = 0;
  int    most  = 1;
  for (int n = -1; n < most; ++n) {
    memset(&sender, 0, sizeof(sender));
    memset(&mailbox, 0, sizeof(mailbox));
    opened();
    set(RL_OSC_TO, to);
    rl_sender_open(&sender);
    messages      = 0;
    message_fails = n;
    tell_once(&sender, &mailbox);
    most               = n < 0 ? messages : most;
    message_fails      = -1;
    const size_t bytes = bytes_heard(s);
    whole              = n < 0 ? bytes : whole;
    if (n >= 0) {
      assert_true(bytes < whole);
      assert_non_null(
        strstr(document.master.problem, "osc_to: not enough memory to send everything"));
      tell_once(&sender, &mailbox);
      assert_true(bytes_heard(s) == whole);
    }
    assert_string_equal(document.master.problem, "");
    rl_sender_close(&sender);
    closed();
  }
  assert_true(whole > 0 && most > 10);
  close(s);
}

static void
a_name_that_cannot_be_looked_up_is_named(void **state)
{
  static RlReceivers receivers;
  char               words[RL_PROBLEM_SIZE];
  RlText             text = rl_text_in(words, sizeof(words));
  (void)state;
  rl_receivers_set(&receivers, rl_slice("stage.invalid:9911"));
  failing_memory_at(0);
  rl_receivers_try(&receivers);
  failing_memory_at(-1);
  rl_receivers_problem(&receivers, &text);
  assert_string_equal(
    words, "osc_to: stage.invalid:9911: not enough memory to look it up; close another program");
  rl_receivers_close(&receivers);
  assert_int_equal(failing_memory_live(), 0);
}

/* ---- the plugin ---- */

static LV2_URID
map_uri(LV2_URID_Map_Handle handle, const char *const uri)
{
  LV2_URID hash = 5381;
  (void)handle;
  for (const char *c = uri; *c; ++c) {
    hash = hash * 33 + (unsigned char)*c;
  }
  return hash ? hash : 1;
}

static LV2_Worker_Status
schedule(LV2_Worker_Schedule_Handle handle, const uint32_t size, const void *const data)
{
  (void)handle;
  (void)size;
  (void)data;
  return LV2_WORKER_SUCCESS;
}

static const void *
retrieve(LV2_State_Handle handle, const uint32_t key, size_t *const size, uint32_t *const type,
         uint32_t *const flags)
{
  const bool wanted = key == map_uri(NULL, RL_URI("chart"));
  (void)handle;
  *size  = sizeof(chart);
  *type  = map_uri(NULL, LV2_ATOM__String);
  *flags = 0;
  return wanted ? chart : NULL;
}

/* An instance that cannot be had is none; what is restored into one is there, or the problem says
   why not. */
static void
an_instance_opens_and_restores_or_leaves_nothing(void **state)
{
  LV2_URID_Map               map        = {NULL, map_uri};
  LV2_Worker_Schedule        later      = {NULL, schedule};
  const LV2_Feature          a          = {LV2_URID__map, &map};
  const LV2_Feature          b          = {LV2_WORKER__schedule, &later};
  const LV2_Feature *const   features[] = {&a, &b, NULL};
  const LV2_Descriptor      *d          = lv2_descriptor(0);
  const LV2_State_Interface *sessions =
    (const LV2_State_Interface *)d->extension_data(LV2_STATE__interface);
  int refused = 0;
  int n       = 0;
  (void)state;
  for (bool more = true; more; ++n) {
    failing_memory_at(n);
    const LV2_Handle plugin = d->instantiate(d, 48000, "", features);
    if (plugin) {
      assert_int_equal(sessions->restore(plugin, retrieve, NULL, 0, features), LV2_STATE_SUCCESS);
      more = failing_memory_asked() > n;
      d->cleanup(plugin);
    }
    refused += !plugin;
    failing_memory_at(-1);
    assert_int_equal(failing_memory_live(), 0);
  }
  assert_true(refused >= 4 && n > 6);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(each_failure_is_said_and_can_be_made_good),
    cmocka_unit_test(without_memory_no_document_opens),
    cmocka_unit_test(no_event_of_a_take_asks_for_memory),
    cmocka_unit_test(a_snapshot_that_cannot_be_had_is_only_late),
    cmocka_unit_test(an_unread_session_is_kept_or_named),
    cmocka_unit_test(osc_without_memory_is_said_and_made_good),
    cmocka_unit_test(a_name_that_cannot_be_looked_up_is_named),
    cmocka_unit_test(an_instance_opens_and_restores_or_leaves_nothing),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
