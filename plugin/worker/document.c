/* SPDX-License-Identifier: ISC */
#include "plugin/worker/document.h"

#include "plugin/shared/address.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static const char default_chart[] = "title: Twelve-bar\n"
                                    "key: G\n"
                                    "meter: 4/4\n"
                                    "| I7  | %   | %  | %  |\n"
                                    "| IV7 | %   | I7 | %  |\n"
                                    "| V7  | IV7 | I7 | V7 |\n";

static const char default_osc_to[] = "127.0.0.1:9911";

/* ---- the page ---- */

static void
publish(RlDocument *const document)
{
  RlSnapshot *const page = (RlSnapshot *)malloc(sizeof(RlSnapshot));
  if (page) { /* without memory the processor plays on from the old page */
    memcpy(page, &document->master, sizeof(*page));
    free(atomic_exchange(&document->outbox, page));
  }
}

void
rl_document_free(RlSnapshot *const snapshot)
{
  free(snapshot);
}

static void
line_write(RlDocument *const document)
{
  RlSnapshot *const            m    = &document->master;
  const RlHarp                 harp = rl_harp_make(m->hand.harp);
  RlTargetLineWorkspace *const room =
    (RlTargetLineWorkspace *)malloc(sizeof(RlTargetLineWorkspace));
  memset(&m->line, 0, sizeof(m->line));
  if (room) {
    rl_target_line_find(&m->form, rl_snapshot_key(m, m->hand.song_key), &harp, m->hand.player, room,
                        &m->line);
  }
  free(room);
}

/* ---- properties ---- */

/* Something about a property, for a person to read. */
typedef struct {
  char words[RL_PROBLEM_SIZE];
} Sentence;

/* What is said of a value that cannot be used. */
static Sentence
refusal(const RlProperty property)
{
  const RlPropertyInfo *const info = &rl_properties[property];
  Sentence                    said;
  RlText                      text = rl_text_in(said.words, sizeof(said.words));
  rl_text_add(&text, info->symbol);
  if (info->access & RL_WRITE) {
    rl_text_add(&text, info->path ? ": not a path of up to " : ": not a text of up to ");
    rl_text_add_int(&text, info->most);
    rl_text_add(&text, " bytes; send ");
    rl_text_add(&text, info->object);
    rl_text_add(&text, info->path ? " as a Path" : " as a String");
  } else {
    rl_text_add(&text, ": can only be read");
  }
  return said;
}

/* What is said of one that there was no room for. */
static Sentence
loss(const RlProperty property)
{
  const RlPropertyInfo *const info = &rl_properties[property];
  Sentence                    said;
  RlText                      text = rl_text_in(said.words, sizeof(said.words));
  rl_text_add(&text, info->symbol);
  rl_text_add(&text, ": too much at once, the last ");
  rl_text_add(&text, info->noun);
  rl_text_add(&text, " was not heard; send it again");
  return info->access & RL_WRITE ? said : refusal(property);
}

static void
text_set(RlDocument *const document, const RlProperty property, char *const to, const size_t room,
         const RlSlice text)
{
  RlText out = rl_text_in(to, room);
  rl_text_add_slice(&out, text);
  ++document->master.version[property];
}

static void
problem_add(RlText *const problem, const char *const text)
{
  rl_text_add(problem, problem->used && text[0] ? "; " : "");
  rl_text_add(problem, text);
}

/* What is wrong with the last chart, with the last address, with those that are sent to. */
static void
problem_join(RlDocument *const document)
{
  RlText problem = rl_text_in(document->master.problem, RL_PROBLEM_SIZE);
  problem_add(&problem, document->chart_problem);
  problem_add(&problem, document->plan_problem);
  problem_add(&problem, document->lane_problem);
  problem_add(&problem, document->take_problem);
  problem_add(&problem, document->osc_problem);
  problem_add(&problem, document->trouble);
  ++document->master.version[RL_PROBLEM];
}

static void
problem_set(RlDocument *const document, const RlProperty about, const char *const text)
{
  char *const own = about == RL_OSC_TO ? document->osc_problem
                    : about == RL_PLAN ? document->plan_problem
                    : about == RL_TAKE ? document->take_problem
                                       : document->chart_problem;
  RlText      out = rl_text_in(own, RL_PROBLEM_SIZE);
  rl_text_add(&out, text);
  problem_join(document);
}

static void
unread_forget(char **const unread)
{
  free(*unread);
  *unread = NULL;
}

/* ---- the lane ---- */

/* What of the plan there is no place for, in words. */
static void
lane_judge(RlDocument *const document, const bool made)
{
  const RlLane *const lane = &document->master.lane;
  RlText              text = rl_text_in(document->lane_problem, sizeof(document->lane_problem));
  if (!made) {
    rl_text_add(&text, "plan: no memory to fit the phrases; close something and set it again");
  } else if (lane->left_over) {
    rl_text_add(&text, "plan: ");
    rl_text_add_int(&text, lane->left_over);
    rl_text_add(&text, " of its phrases stand on bars or beats that this chart does not have");
  } else if (lane->too_many) {
    rl_text_add(&text, "plan: more than 2048 notes; the last phrases are left out");
  }
  problem_join(document);
}

static void
lane_write(RlDocument *const document)
{
  RlSnapshot *const      m = &document->master;
  RlLaneWorkspace *const room =
    document->plan ? (RlLaneWorkspace *)malloc(sizeof(RlLaneWorkspace)) : NULL;
  m->lane.notes = m->lane.left_over = m->lane.too_many = 0;
  if (room) {
    rl_lane_make(document->plan, &m->form, rl_snapshot_key(m, m->hand.song_key), m->hand.harp,
                 m->hand.player, room, &m->lane);
  }
  lane_judge(document, room || !document->plan);
  free(room);
}

static void
plan_keep(RlDocument *const document, RlPlan *const plan, const RlSlice text)
{
  free(document->plan);
  document->plan = plan->planned_count ? plan : NULL;
  if (!document->plan) {
    free(plan);
  }
  text_set(document, RL_PLAN, document->master.plan, sizeof(document->master.plan), text);
  lane_write(document);
}

/* A plan or takes read: the caller's to free. NULL, and what is wrong becomes the problem of
 * `about`. */
static RlPlan *
plan_read(RlDocument *const document, const RlProperty about, const RlSlice text,
          const char *const what)
{
  RlPlanError     error;
  RlPlan *const   plan = (RlPlan *)malloc(sizeof(RlPlan));
  RlPhrase *const room = (RlPhrase *)malloc(sizeof(RlPhrase));
  const bool      good = plan && room && rl_plan_read(text, room, plan, &error);
  char            buffer[RL_PROBLEM_SIZE];
  RlText          problem = rl_text_in(buffer, sizeof(buffer));
  rl_text_add(&problem, good ? "" : what);
  if (!plan || !room) {
    rl_text_add(&problem, "no memory to read it; close something and set it again");
  } else if (!good) {
    rl_plan_error_write(&error, &problem);
  }
  problem_set(document, about, buffer);
  free(good ? NULL : plan);
  free(room);
  return good ? plan : NULL;
}

static bool
plan_set(RlDocument *const document, const RlSlice text, const char *const what)
{
  RlPlan *const plan = plan_read(document, RL_PLAN, text, what);
  if (plan) {
    plan_keep(document, plan, text);
    unread_forget(&document->unread_plan);
  }
  return plan;
}

/* ---- takes ---- */

static bool
takes_keep(RlDocument *const document, const RlTranscribed done, const RlText *const text)
{
  if (done.over) {
    text_set(document, RL_TAKE, document->master.take, sizeof(document->master.take),
             (RlSlice){text->to, text->used});
  }
  if (done.over || done.problem) {
    problem_set(document, RL_TAKE, done.problem ? done.problem : "");
  }
  return done.over || done.problem;
}

/* `event`: NULL when the chart is about to change. */
static bool
take_hear(RlDocument *const document, const RlTakeEvent *const event)
{
  RlSnapshot *const m = &document->master;
  const RlSong song   = {&m->form, rl_snapshot_key(m, m->hand.song_key), m->take, document->plan};
  char *const  room   = (char *)malloc(RL_PLAN_MAX + 1);
  bool         news   = false;
  if (room) {
    RlText              text = rl_text_in(room, RL_PLAN_MAX + 1);
    const RlTranscribed done = event
                                 ? rl_transcriber_hear(&document->transcriber, event, &song, &text)
                                 : rl_transcriber_finish(&document->transcriber, &song, &text);
    news                     = takes_keep(document, done, &text);
  }
  free(room);
  return news;
}

/* Takes as the window sends them back: kept, discarded or changed by hand. */
static void
take_set(RlDocument *const document, const RlSlice sent)
{
  RlPlan *const plan = plan_read(document, RL_TAKE, sent, "take: ");
  char *const   room = (char *)malloc(RL_PLAN_MAX + 1);
  if (plan && room) {
    RlText            text = rl_text_in(room, RL_PLAN_MAX + 1);
    const char *const less =
      rl_transcriber_merge(&document->transcriber, plan, document->master.take, &text);
    takes_keep(document, (RlTranscribed){text.used || !less, less}, &text);
  } else if (plan) {
    problem_set(document, RL_TAKE, rl_transcriber_no_memory);
  }
  free(plan);
  free(room);
}

/* What cannot be read is kept all the same, if it is text at all, so that nothing is lost. */
static void
take_restore(RlDocument *const document, const RlSlice text)
{
  const bool    is_text = text.length <= RL_PLAN_MAX && rl_slice_bad_byte(text) < 0;
  RlPlan *const plan    = plan_read(document, RL_TAKE, text, "the saved takes: ");
  if (plan) {
    rl_transcriber_count(&document->transcriber, plan);
  }
  free(plan);
  text_set(document, RL_TAKE, document->master.take, sizeof(document->master.take),
           is_text ? text : rl_slice(""));
}

/* ---- the chart ---- */

/* The same text once more is no change: nothing that hangs on the chart is forgotten. */
static bool
chart_is(const RlDocument *const document, const RlSlice text)
{
  const RlForm *const form = &document->master.form;
  return form->bars && text.length == form->text_length &&
         !memcmp(text.at, form->text, text.length);
}

static void
chart_take(RlDocument *const document, const RlForm *const form)
{
  take_hear(document, NULL);
  memcpy(&document->master.form, form, sizeof(*form));
  ++document->master.version[RL_CHART];
  document->master.bar_one = (RlBarOne){0};
  line_write(document);
  lane_write(document);
}

/* `what` goes before the reason: a file's name, or nothing. */
static bool
chart_set(RlDocument *const document, const RlSlice text, const char *const what)
{
  RlChartError  error;
  RlForm *const form = (RlForm *)malloc(sizeof(RlForm));
  if (!form) {
    problem_set(document, RL_CHART,
                "no memory to read the chart; close something and set it again");
    return false;
  }
  const bool good = rl_chart_read(text, form, &error);
  if (good) {
    if (!chart_is(document, text)) {
      chart_take(document, form);
    }
    unread_forget(&document->unread);
    problem_set(document, RL_CHART, "");
  } else {
    char   buffer[RL_PROBLEM_SIZE];
    RlText problem = rl_text_in(buffer, sizeof(buffer));
    rl_text_add(&problem, what);
    rl_text_add(&problem, *what ? ": " : "");
    rl_chart_error_write(&error, &problem);
    problem_set(document, RL_CHART, buffer);
  }
  free(form);
  return good;
}

static void
file_problem(RlDocument *const document, const char *const path, const char *const why)
{
  char   buffer[RL_PROBLEM_SIZE];
  RlText problem = rl_text_in(buffer, sizeof(buffer));
  rl_text_add(&problem, path);
  rl_text_add(&problem, ": ");
  rl_text_add(&problem, why);
  rl_text_add(&problem, "; choose a text file with a chart");
  problem_set(document, RL_CHART, buffer);
}

/* A pipe or a device might keep the worker waiting for ever. */
static bool
may_wait(const char *const path)
{
  struct stat file;
  return !stat(path, &file) && !S_ISREG(file.st_mode) && !S_ISDIR(file.st_mode);
}

static void
chart_file_read(RlDocument *const document, const char *const path)
{
  if (may_wait(path)) {
    file_problem(document, path, "not an ordinary file");
    return;
  }
  char *const  text = (char *)malloc(RL_CHART_MAX + 1);
  FILE *const  file = text ? fopen(path, "rb") : NULL;
  const size_t n    = file ? fread(text, 1, RL_CHART_MAX + 1, file) : 0;
  if (!file || ferror(file)) {
    file_problem(document, path, text ? strerror(errno) : "no memory");
  } else if (chart_set(document, (RlSlice){text, n}, path)) {
    text_set(document, RL_CHART_FILE, document->master.chart_file, RL_PATH_SIZE, rl_slice(path));
  }
  if (file) {
    fclose(file);
  }
  free(text);
}

static void
chart_file_set(RlDocument *const document, const RlSlice path)
{
  char   buffer[RL_PATH_SIZE];
  RlText text = rl_text_in(buffer, sizeof(buffer));
  rl_text_add_slice(&text, path);
  if (!path.length) {
    text_set(document, RL_CHART_FILE, document->master.chart_file, RL_PATH_SIZE, path);
  } else if (path.length >= RL_PATH_SIZE) {
    file_problem(document, "chart_file", "the path is longer than 4095 bytes");
  } else {
    chart_file_read(document, buffer);
  }
}

/* The first word that is no address; an empty slice if all are. */
static RlSlice
address_bad(RlSlice list)
{
  RlSlice  host;
  uint16_t port;
  RlSlice  word = rl_address_next(&list);
  while (word.length && rl_address_read(word, &host, &port)) {
    word = rl_address_next(&list);
  }
  return word;
}

static void
osc_to_set(RlDocument *const document, const RlSlice text)
{
  char    buffer[RL_PROBLEM_SIZE];
  RlText  problem = rl_text_in(buffer, sizeof(buffer));
  RlSlice bad     = {text.at, 0};
  if (text.length >= RL_ADDRESS_SIZE || rl_slice_bad_byte(text) >= 0) {
    rl_text_add(&problem, refusal(RL_OSC_TO).words);
  } else if ((bad = address_bad(text)).length) {
    rl_text_add(&problem, "osc_to: no such address \"");
    rl_text_add_slice(&problem, bad);
    rl_text_add(&problem, "\"; write host:port, the port 1 to 65535: 127.0.0.1:9911");
  }
  if (!problem.used || bad.length) { /* the good addresses of a list hold */
    text_set(document, RL_OSC_TO, document->master.osc_to, RL_ADDRESS_SIZE, text);
  }
  problem_set(document, RL_OSC_TO, buffer);
}

static void
property_set(RlDocument *const document, const RlProperty property, const RlSlice text)
{
  switch (property) {
  case RL_CHART:
    if (chart_set(document, text, "") && document->master.chart_file[0]) {
      text_set(document, RL_CHART_FILE, document->master.chart_file, RL_PATH_SIZE, rl_slice(""));
    }
    break;
  case RL_CHART_FILE:
    chart_file_set(document, text);
    break;
  case RL_PLAN:
    plan_set(document, text, "plan: ");
    break;
  case RL_TAKE:
    take_set(document, text);
    break;
  case RL_OSC_TO:
    osc_to_set(document, text);
    break;
  default:
    break;
  }
}

/* ---- what the audio thread asks ---- */

/* A body too long to be any of ours cannot be in the ring: the writer refuses it first. */
static bool
body_answer(RlDocument *const document, const RlAskHead head, const char *const body)
{
  RlSnapshot *old;
  RlTakeEvent event;
  const bool  stale = head.session != document->master.bar_one_version;
  if (stale && head.ask != RL_ASK_HAND && head.ask != RL_ASK_FREE) {
    return false; /* a session has been restored since: it replaces what was asked before */
  }
  switch (head.ask) {
  case RL_ASK_PROPERTY:
    property_set(document, (RlProperty)head.property, (RlSlice){body, head.size});
    return true;
  case RL_ASK_REFUSE:
    problem_set(document, (RlProperty)head.property, refusal((RlProperty)head.property).words);
    return true;
  case RL_ASK_LOST:
    problem_set(document, (RlProperty)head.property, loss((RlProperty)head.property).words);
    return true;
  case RL_ASK_HAND:
    memcpy(&document->master.hand, body, sizeof(RlHand));
    line_write(document);
    lane_write(document);
    return true;
  case RL_ASK_BAR_ONE:
    memcpy(&document->master.bar_one, body, sizeof(RlBarOne));
    return false; /* the audio thread knows it already */
  case RL_ASK_TAKE:
    memcpy(&event, body, sizeof(event));
    return take_hear(document, &event);
  case RL_ASK_FREE:
    memcpy(&old, body, sizeof(old));
    free(old);
    return false;
  default:
    return false;
  }
}

void
rl_document_answer(RlDocument *const document, RlRing *const ring)
{
  RlAskHead   head;
  bool        changed = false;
  char *const body    = (char *)malloc(RL_CHART_MAX + 1);
  pthread_mutex_lock(&document->lock);
  while (body && rl_ring_read(ring, &head, sizeof(head)) && rl_ring_read(ring, body, head.size)) {
    changed = body_answer(document, head, body) || changed;
  }
  if (changed) {
    publish(document);
  }
  pthread_mutex_unlock(&document->lock);
  free(body);
}

void
rl_document_set(RlDocument *const document, const RlProperty property, const RlSlice text)
{
  pthread_mutex_lock(&document->lock);
  property_set(document, property, text);
  publish(document);
  pthread_mutex_unlock(&document->lock);
}

/* ---- the sender ---- */

static void
plan_copy(const RlDocument *const document, RlDocumentTexts *const texts)
{
  const RlPlan *const plan = document->plan;
  memcpy(texts->plan, document->master.plan, sizeof(texts->plan));
  for (int i = 0; plan && i < plan->planned_count; ++i) {
    memcpy(texts->title[i], plan->phrase[plan->planned[i].phrase].title, sizeof(texts->title[i]));
  }
}

bool
rl_document_texts(RlDocument *const document, RlDocumentTexts *const texts)
{
  pthread_mutex_lock(&document->lock);
  const RlSnapshot *const m      = &document->master;
  const bool              chart  = texts->version[RL_CHART] != m->version[RL_CHART];
  const bool              osc_to = texts->version[RL_OSC_TO] != m->version[RL_OSC_TO];
  if (chart) {
    memcpy(texts->chart, m->form.text, sizeof(texts->chart));
  }
  if (texts->version[RL_PLAN] != m->version[RL_PLAN]) {
    plan_copy(document, texts);
  }
  if (osc_to) {
    memcpy(texts->osc_to, m->osc_to, sizeof(texts->osc_to));
  }
  memcpy(texts->version, m->version, sizeof(texts->version));
  pthread_mutex_unlock(&document->lock);
  return osc_to;
}

void
rl_document_osc_problem(RlDocument *const document, const char *const text)
{
  pthread_mutex_lock(&document->lock);
  RlText out = rl_text_in(document->trouble, RL_PROBLEM_SIZE);
  rl_text_add(&out, text);
  problem_join(document);
  publish(document);
  pthread_mutex_unlock(&document->lock);
}

/* ---- sessions ---- */

static void
chart_restore(RlDocument *const document, const RlSaved *const saved)
{
  if (saved->chart && !chart_set(document, rl_slice(saved->chart), "the saved chart")) {
    unread_forget(&document->unread);
    document->unread = strdup(saved->chart);
  }
  if (saved->chart && saved->chart_file) {
    text_set(document, RL_CHART_FILE, document->master.chart_file, RL_PATH_SIZE,
             rl_slice(saved->chart_file));
  } else if (saved->chart_file) {
    chart_file_set(document, rl_slice(saved->chart_file));
  } else if (saved->chart) {
    text_set(document, RL_CHART_FILE, document->master.chart_file, RL_PATH_SIZE, rl_slice(""));
  }
}

void
rl_document_restore(RlDocument *const document, const RlSaved *const saved)
{
  pthread_mutex_lock(&document->lock);
  chart_restore(document, saved);
  if (saved->plan && !plan_set(document, rl_slice(saved->plan), "the saved plan: ")) {
    unread_forget(&document->unread_plan);
    document->unread_plan = strdup(saved->plan);
  }
  if (saved->take) {
    take_restore(document, rl_slice(saved->take));
  }
  if (saved->osc_to) {
    property_set(document, RL_OSC_TO, rl_slice(saved->osc_to));
  }
  document->master.bar_one = saved->bar_one;
  ++document->master.bar_one_version;
  publish(document);
  pthread_mutex_unlock(&document->lock);
}

void
rl_document_save(RlDocument *const document, void (*const save)(void *, const RlSaved *),
                 void *const       data)
{
  pthread_mutex_lock(&document->lock);
  const RlSnapshot *const m     = &document->master;
  const RlSaved           saved = {document->unread ? document->unread : m->form.text,
                         m->chart_file,
                         document->unread_plan ? document->unread_plan : m->plan,
                         m->take,
                         m->osc_to,
                         m->bar_one};
  save(data, &saved);
  pthread_mutex_unlock(&document->lock);
}

bool
rl_document_open(RlDocument *const document)
{
  memset(document, 0, sizeof(*document));
  pthread_mutex_init(&document->lock, NULL);
  document->master.hand = (RlHand){.player = {3, 3, false}, .song_key = 12};
  if (!chart_set(document, rl_slice(default_chart), "")) {
    return false;
  }
  property_set(document, RL_OSC_TO, rl_slice(default_osc_to));
  publish(document);
  return atomic_load(&document->outbox) != NULL;
}

void
rl_document_close(RlDocument *const document)
{
  free(atomic_exchange(&document->outbox, NULL));
  free(document->unread);
  free(document->unread_plan);
  free(document->plan);
  rl_transcriber_drop(&document->transcriber);
  pthread_mutex_destroy(&document->lock);
}
