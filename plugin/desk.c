#include "desk.h"

#include "address.h"

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

bool
rl_hand_same(const RlHand *const a, const RlHand *const b)
{
  return a->harp.key == b->harp.key && a->harp.range == b->harp.range &&
         a->harp.tuning == b->harp.tuning && a->player.draw_bends == b->player.draw_bends &&
         a->player.blow_bends == b->player.blow_bends &&
         a->player.overblows == b->player.overblows && a->song_key == b->song_key;
}

const char *
rl_score_text(const RlScore *const score, const RlProperty property)
{
  const char *const texts[RL_PROPERTIES] = {
    [RL_CHART] = score->form.text, [RL_CHART_FILE] = score->chart_file,
    [RL_PLAN] = score->plan,       [RL_TAKE] = score->take,
    [RL_OSC_TO] = score->osc_to,   [RL_PROBLEM] = score->problem,
  };
  return texts[property];
}

RlKey
rl_score_key(const RlScore *const score, const int song_key)
{
  const RlKey *const written = &score->form.key;
  return rl_key_named(song_key < 12 ? song_key : rl_spelling_class(written->tonic), written->minor);
}

/* ---- the page ---- */

static void
publish(RlDesk *const desk)
{
  RlScore *const page = (RlScore *)malloc(sizeof(RlScore));
  if (page) { /* without memory the band plays on from the old page */
    memcpy(page, &desk->master, sizeof(*page));
    free(atomic_exchange(&desk->outbox, page));
  }
}

RlScore *
rl_desk_take(RlDesk *const desk)
{
  return atomic_load_explicit(&desk->outbox, memory_order_relaxed)
           ? atomic_exchange(&desk->outbox, NULL)
           : NULL;
}

void
rl_desk_free(RlScore *const score)
{
  free(score);
}

static void
line_write(RlDesk *const desk)
{
  RlScore *const    m    = &desk->master;
  const RlHarp      harp = rl_harp_make(m->hand.harp);
  RlLineRoom *const room = (RlLineRoom *)malloc(sizeof(RlLineRoom));
  memset(&m->line, 0, sizeof(m->line));
  if (room) {
    rl_line_find(&m->form, rl_score_key(m, m->hand.song_key), &harp, m->hand.player, room,
                 &m->line);
  }
  free(room);
}

/* ---- properties ---- */

/* What is said of a text that cannot be used. */
static const char *const refusals[RL_PROPERTIES] = {
  [RL_CHART]      = "chart: not a text of up to 16384 bytes; send the chart as a String",
  [RL_CHART_FILE] = "chart_file: not a path of up to 4095 bytes; send it as a Path",
  [RL_PLAN]       = "plan: not a text of up to 16384 bytes; send the plan as a String",
  [RL_TAKE]       = "take: not a text of up to 16384 bytes; send it as a String",
  [RL_OSC_TO]     = "osc_to: not a text of up to 1023 bytes; send addresses as a String",
  [RL_PROBLEM]    = "problem: can only be read",
};

/* What is said of one that there was no room for. */
static const char *const losses[RL_PROPERTIES] = {
  [RL_CHART]      = "chart: too much at once, the last chart was not heard; send it again",
  [RL_CHART_FILE] = "chart_file: too much at once, the last path was not heard; send it again",
  [RL_PLAN]       = "plan: too much at once, the last plan was not heard; send it again",
  [RL_TAKE]       = "take: too much at once, the last one was not heard; send it again",
  [RL_OSC_TO]     = "osc_to: too much at once, the last address was not heard; send it again",
  [RL_PROBLEM]    = "problem: can only be read",
};

static void
text_set(RlDesk *const desk, const RlProperty property, char *const to, const size_t room,
         const RlSlice text)
{
  RlText out = rl_text_in(to, room);
  rl_text_add_slice(&out, text);
  ++desk->master.version[property];
}

static void
problem_add(RlText *const problem, const char *const text)
{
  rl_text_add(problem, problem->used && text[0] ? "; " : "");
  rl_text_add(problem, text);
}

/* What is wrong with the last chart, with the last address, with those that are sent to. */
static void
problem_join(RlDesk *const desk)
{
  RlText problem = rl_text_in(desk->master.problem, RL_PROBLEM_ROOM);
  problem_add(&problem, desk->chart_problem);
  problem_add(&problem, desk->plan_problem);
  problem_add(&problem, desk->lane_problem);
  problem_add(&problem, desk->take_problem);
  problem_add(&problem, desk->osc_problem);
  problem_add(&problem, desk->trouble);
  ++desk->master.version[RL_PROBLEM];
}

static void
problem_set(RlDesk *const desk, const RlProperty about, const char *const text)
{
  char *const own = about == RL_OSC_TO ? desk->osc_problem
                    : about == RL_PLAN ? desk->plan_problem
                    : about == RL_TAKE ? desk->take_problem
                                       : desk->chart_problem;
  RlText      out = rl_text_in(own, RL_PROBLEM_ROOM);
  rl_text_add(&out, text);
  problem_join(desk);
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
lane_judge(RlDesk *const desk, const bool made)
{
  const RlLane *const lane = &desk->master.lane;
  RlText              text = rl_text_in(desk->lane_problem, sizeof(desk->lane_problem));
  if (!made) {
    rl_text_add(&text, "plan: no memory to fit the phrases; close something and set it again");
  } else if (lane->left_over) {
    rl_text_add(&text, "plan: ");
    rl_text_add_int(&text, lane->left_over);
    rl_text_add(&text, " of its phrases stand on bars or beats that this chart does not have");
  } else if (lane->too_many) {
    rl_text_add(&text, "plan: more than 2048 notes; the last phrases are left out");
  }
  problem_join(desk);
}

static void
lane_write(RlDesk *const desk)
{
  RlScore *const    m    = &desk->master;
  RlLaneRoom *const room = desk->plan ? (RlLaneRoom *)malloc(sizeof(RlLaneRoom)) : NULL;
  m->lane.notes = m->lane.left_over = m->lane.too_many = 0;
  if (room) {
    rl_lane_make(desk->plan, &m->form, rl_score_key(m, m->hand.song_key), m->hand.harp,
                 m->hand.player, room, &m->lane);
  }
  lane_judge(desk, room || !desk->plan);
  free(room);
}

static void
plan_keep(RlDesk *const desk, RlPlan *const plan, const RlSlice text)
{
  free(desk->plan);
  desk->plan = plan->planned_count ? plan : NULL;
  if (!desk->plan) {
    free(plan);
  }
  text_set(desk, RL_PLAN, desk->master.plan, sizeof(desk->master.plan), text);
  lane_write(desk);
}

/* A plan or takes read: the caller's to free. NULL, and what is wrong becomes the problem of
 * `about`. */
static RlPlan *
plan_read(RlDesk *const desk, const RlProperty about, const RlSlice text, const char *const what)
{
  RlPlanError     error;
  RlPlan *const   plan = (RlPlan *)malloc(sizeof(RlPlan));
  RlPhrase *const room = (RlPhrase *)malloc(sizeof(RlPhrase));
  const bool      good = plan && room && rl_plan_read(text, room, plan, &error);
  char            buffer[RL_PROBLEM_ROOM];
  RlText          problem = rl_text_in(buffer, sizeof(buffer));
  rl_text_add(&problem, good ? "" : what);
  if (!plan || !room) {
    rl_text_add(&problem, "no memory to read it; close something and set it again");
  } else if (!good) {
    rl_plan_error_write(&error, &problem);
  }
  problem_set(desk, about, buffer);
  free(good ? NULL : plan);
  free(room);
  return good ? plan : NULL;
}

static bool
plan_set(RlDesk *const desk, const RlSlice text, const char *const what)
{
  RlPlan *const plan = plan_read(desk, RL_PLAN, text, what);
  if (plan) {
    plan_keep(desk, plan, text);
    unread_forget(&desk->unread_plan);
  }
  return plan;
}

/* ---- takes ---- */

static bool
takes_keep(RlDesk *const desk, const RlScribed done, const RlText *const text)
{
  if (done.over) {
    text_set(desk, RL_TAKE, desk->master.take, sizeof(desk->master.take),
             (RlSlice){text->to, text->used});
  }
  if (done.over || done.problem) {
    problem_set(desk, RL_TAKE, done.problem ? done.problem : "");
  }
  return done.over || done.problem;
}

/* `event`: NULL when the chart is about to change. */
static bool
take_hear(RlDesk *const desk, const RlTakeEvent *const event)
{
  RlScore *const m    = &desk->master;
  const RlSong   song = {&m->form, rl_score_key(m, m->hand.song_key), m->take, desk->plan};
  char *const    room = (char *)malloc(RL_PLAN_MAX + 1);
  bool           news = false;
  if (room) {
    RlText          text = rl_text_in(room, RL_PLAN_MAX + 1);
    const RlScribed done = event ? rl_scribe_hear(&desk->scribe, event, &song, &text)
                                 : rl_scribe_turn(&desk->scribe, &song, &text);
    news                 = takes_keep(desk, done, &text);
  }
  free(room);
  return news;
}

/* Takes as the window sends them back: kept, discarded or changed by hand. */
static void
take_set(RlDesk *const desk, const RlSlice sent)
{
  RlPlan *const plan = plan_read(desk, RL_TAKE, sent, "take: ");
  char *const   room = (char *)malloc(RL_PLAN_MAX + 1);
  if (plan && room) {
    RlText            text = rl_text_in(room, RL_PLAN_MAX + 1);
    const char *const less = rl_scribe_merge(&desk->scribe, plan, desk->master.take, &text);
    takes_keep(desk, (RlScribed){text.used || !less, less}, &text);
  } else if (plan) {
    problem_set(desk, RL_TAKE, rl_scribe_no_memory);
  }
  free(plan);
  free(room);
}

/* What cannot be read is kept all the same, if it is text at all, so that nothing is lost. */
static void
take_restore(RlDesk *const desk, const RlSlice text)
{
  const bool    is_text = text.length <= RL_PLAN_MAX && rl_slice_bad_byte(text) < 0;
  RlPlan *const plan    = plan_read(desk, RL_TAKE, text, "the saved takes: ");
  if (plan) {
    rl_scribe_count(&desk->scribe, plan);
  }
  free(plan);
  text_set(desk, RL_TAKE, desk->master.take, sizeof(desk->master.take),
           is_text ? text : rl_slice(""));
}

/* ---- the chart ---- */

/* The same text once more is no change: nothing that hangs on the chart is forgotten. */
static bool
chart_is(const RlDesk *const desk, const RlSlice text)
{
  const RlForm *const form = &desk->master.form;
  return form->bars && text.length == form->text_length &&
         !memcmp(text.at, form->text, text.length);
}

static void
chart_take(RlDesk *const desk, const RlForm *const form)
{
  take_hear(desk, NULL);
  memcpy(&desk->master.form, form, sizeof(*form));
  ++desk->master.version[RL_CHART];
  desk->master.bar_one = (RlBarOne){0};
  line_write(desk);
  lane_write(desk);
}

/* `what` goes before the reason: a file's name, or nothing. */
static bool
chart_set(RlDesk *const desk, const RlSlice text, const char *const what)
{
  RlChartError  error;
  RlForm *const form = (RlForm *)malloc(sizeof(RlForm));
  if (!form) {
    problem_set(desk, RL_CHART, "no memory to read the chart; close something and set it again");
    return false;
  }
  const bool good = rl_chart_read(text, form, &error);
  if (good) {
    if (!chart_is(desk, text)) {
      chart_take(desk, form);
    }
    unread_forget(&desk->unread);
    problem_set(desk, RL_CHART, "");
  } else {
    char   buffer[RL_PROBLEM_ROOM];
    RlText problem = rl_text_in(buffer, sizeof(buffer));
    rl_text_add(&problem, what);
    rl_text_add(&problem, *what ? ": " : "");
    rl_chart_error_write(&error, &problem);
    problem_set(desk, RL_CHART, buffer);
  }
  free(form);
  return good;
}

static void
file_problem(RlDesk *const desk, const char *const path, const char *const why)
{
  char   buffer[RL_PROBLEM_ROOM];
  RlText problem = rl_text_in(buffer, sizeof(buffer));
  rl_text_add(&problem, path);
  rl_text_add(&problem, ": ");
  rl_text_add(&problem, why);
  rl_text_add(&problem, "; choose a text file with a chart");
  problem_set(desk, RL_CHART, buffer);
}

/* A pipe or a device might keep the worker waiting for ever. */
static bool
may_wait(const char *const path)
{
  struct stat file;
  return !stat(path, &file) && !S_ISREG(file.st_mode) && !S_ISDIR(file.st_mode);
}

static void
chart_file_read(RlDesk *const desk, const char *const path)
{
  if (may_wait(path)) {
    file_problem(desk, path, "not an ordinary file");
    return;
  }
  char *const  text = (char *)malloc(RL_CHART_MAX + 1);
  FILE *const  file = text ? fopen(path, "rb") : NULL;
  const size_t n    = file ? fread(text, 1, RL_CHART_MAX + 1, file) : 0;
  if (!file || ferror(file)) {
    file_problem(desk, path, text ? strerror(errno) : "no memory");
  } else if (chart_set(desk, (RlSlice){text, n}, path)) {
    text_set(desk, RL_CHART_FILE, desk->master.chart_file, RL_PATH_MAX, rl_slice(path));
  }
  if (file) {
    fclose(file);
  }
  free(text);
}

static void
chart_file_set(RlDesk *const desk, const RlSlice path)
{
  char   buffer[RL_PATH_MAX];
  RlText text = rl_text_in(buffer, sizeof(buffer));
  rl_text_add_slice(&text, path);
  if (!path.length) {
    text_set(desk, RL_CHART_FILE, desk->master.chart_file, RL_PATH_MAX, path);
  } else if (path.length >= RL_PATH_MAX) {
    file_problem(desk, "chart_file", "the path is longer than 4095 bytes");
  } else {
    chart_file_read(desk, buffer);
  }
}

/* The first word that is no address; an empty slice if all are. */
static RlSlice
address_bad(RlSlice list)
{
  RlSlice  host;
  uint16_t port;
  RlSlice  word = rl_address_take(&list);
  while (word.length && rl_address_read(word, &host, &port)) {
    word = rl_address_take(&list);
  }
  return word;
}

static void
osc_to_set(RlDesk *const desk, const RlSlice text)
{
  char    buffer[RL_PROBLEM_ROOM];
  RlText  problem = rl_text_in(buffer, sizeof(buffer));
  RlSlice bad     = {text.at, 0};
  if (text.length >= RL_ADDRESS_MAX || rl_slice_bad_byte(text) >= 0) {
    rl_text_add(&problem, refusals[RL_OSC_TO]);
  } else if ((bad = address_bad(text)).length) {
    rl_text_add(&problem, "osc_to: no such address \"");
    rl_text_add_slice(&problem, bad);
    rl_text_add(&problem, "\"; write host:port, the port 1 to 65535: 127.0.0.1:9911");
  }
  if (!problem.used || bad.length) { /* the good addresses of a list hold */
    text_set(desk, RL_OSC_TO, desk->master.osc_to, RL_ADDRESS_MAX, text);
  }
  problem_set(desk, RL_OSC_TO, buffer);
}

static void
property_set(RlDesk *const desk, const RlProperty property, const RlSlice text)
{
  switch (property) {
  case RL_CHART:
    if (chart_set(desk, text, "") && desk->master.chart_file[0]) {
      text_set(desk, RL_CHART_FILE, desk->master.chart_file, RL_PATH_MAX, rl_slice(""));
    }
    break;
  case RL_CHART_FILE:
    chart_file_set(desk, text);
    break;
  case RL_PLAN:
    plan_set(desk, text, "plan: ");
    break;
  case RL_TAKE:
    take_set(desk, text);
    break;
  case RL_OSC_TO:
    osc_to_set(desk, text);
    break;
  default:
    break;
  }
}

/* ---- what the audio thread asks ---- */

/* A body too long to be any of ours cannot be in the ring: the writer refuses it first. */
static bool
body_answer(RlDesk *const desk, const RlAskHead head, const char *const body)
{
  RlScore    *old;
  RlTakeEvent event;
  const bool  stale = head.session != desk->master.bar_one_version;
  if (stale && head.ask != RL_ASK_HAND && head.ask != RL_ASK_FREE) {
    return false; /* a session has been restored since: it replaces what was asked before */
  }
  switch (head.ask) {
  case RL_ASK_PROPERTY:
    property_set(desk, (RlProperty)head.property, (RlSlice){body, head.size});
    return true;
  case RL_ASK_REFUSE:
    problem_set(desk, (RlProperty)head.property, refusals[head.property]);
    return true;
  case RL_ASK_LOST:
    problem_set(desk, (RlProperty)head.property, losses[head.property]);
    return true;
  case RL_ASK_HAND:
    memcpy(&desk->master.hand, body, sizeof(RlHand));
    line_write(desk);
    lane_write(desk);
    return true;
  case RL_ASK_BAR_ONE:
    memcpy(&desk->master.bar_one, body, sizeof(RlBarOne));
    return false; /* the audio thread knows it already */
  case RL_ASK_TAKE:
    memcpy(&event, body, sizeof(event));
    return take_hear(desk, &event);
  case RL_ASK_FREE:
    memcpy(&old, body, sizeof(old));
    free(old);
    return false;
  default:
    return false;
  }
}

void
rl_desk_answer(RlDesk *const desk, RlRing *const ring)
{
  RlAskHead   head;
  bool        changed = false;
  char *const body    = (char *)malloc(RL_CHART_MAX + 1);
  pthread_mutex_lock(&desk->lock);
  while (body && rl_ring_read(ring, &head, sizeof(head)) && rl_ring_read(ring, body, head.size)) {
    changed = body_answer(desk, head, body) || changed;
  }
  if (changed) {
    publish(desk);
  }
  pthread_mutex_unlock(&desk->lock);
  free(body);
}

void
rl_desk_set(RlDesk *const desk, const RlProperty property, const RlSlice text)
{
  pthread_mutex_lock(&desk->lock);
  property_set(desk, property, text);
  publish(desk);
  pthread_mutex_unlock(&desk->lock);
}

/* ---- the sender ---- */

static void
plan_copy(const RlDesk *const desk, RlDeskTexts *const texts)
{
  const RlPlan *const plan = desk->plan;
  memcpy(texts->plan, desk->master.plan, sizeof(texts->plan));
  for (int i = 0; plan && i < plan->planned_count; ++i) {
    memcpy(texts->title[i], plan->phrase[plan->planned[i].phrase].title, sizeof(texts->title[i]));
  }
}

bool
rl_desk_texts(RlDesk *const desk, RlDeskTexts *const texts)
{
  pthread_mutex_lock(&desk->lock);
  const RlScore *const m      = &desk->master;
  const bool           chart  = texts->version[RL_CHART] != m->version[RL_CHART];
  const bool           osc_to = texts->version[RL_OSC_TO] != m->version[RL_OSC_TO];
  if (chart) {
    memcpy(texts->chart, m->form.text, sizeof(texts->chart));
  }
  if (texts->version[RL_PLAN] != m->version[RL_PLAN]) {
    plan_copy(desk, texts);
  }
  if (osc_to) {
    memcpy(texts->osc_to, m->osc_to, sizeof(texts->osc_to));
  }
  memcpy(texts->version, m->version, sizeof(texts->version));
  pthread_mutex_unlock(&desk->lock);
  return osc_to;
}

void
rl_desk_trouble(RlDesk *const desk, const char *const text)
{
  pthread_mutex_lock(&desk->lock);
  RlText out = rl_text_in(desk->trouble, RL_PROBLEM_ROOM);
  rl_text_add(&out, text);
  problem_join(desk);
  publish(desk);
  pthread_mutex_unlock(&desk->lock);
}

/* ---- sessions ---- */

static void
chart_restore(RlDesk *const desk, const RlSaved *const saved)
{
  if (saved->chart && !chart_set(desk, rl_slice(saved->chart), "the saved chart")) {
    unread_forget(&desk->unread);
    desk->unread = strdup(saved->chart);
  }
  if (saved->chart && saved->chart_file) {
    text_set(desk, RL_CHART_FILE, desk->master.chart_file, RL_PATH_MAX,
             rl_slice(saved->chart_file));
  } else if (saved->chart_file) {
    chart_file_set(desk, rl_slice(saved->chart_file));
  } else if (saved->chart) {
    text_set(desk, RL_CHART_FILE, desk->master.chart_file, RL_PATH_MAX, rl_slice(""));
  }
}

void
rl_desk_restore(RlDesk *const desk, const RlSaved *const saved)
{
  pthread_mutex_lock(&desk->lock);
  chart_restore(desk, saved);
  if (saved->plan && !plan_set(desk, rl_slice(saved->plan), "the saved plan: ")) {
    unread_forget(&desk->unread_plan);
    desk->unread_plan = strdup(saved->plan);
  }
  if (saved->take) {
    take_restore(desk, rl_slice(saved->take));
  }
  if (saved->osc_to) {
    property_set(desk, RL_OSC_TO, rl_slice(saved->osc_to));
  }
  desk->master.bar_one = saved->bar_one;
  ++desk->master.bar_one_version;
  publish(desk);
  pthread_mutex_unlock(&desk->lock);
}

void
rl_desk_save(RlDesk *const desk, void (*const save)(void *, const RlSaved *), void *const data)
{
  pthread_mutex_lock(&desk->lock);
  const RlScore *const m     = &desk->master;
  const RlSaved        saved = {desk->unread ? desk->unread : m->form.text,
                         m->chart_file,
                         desk->unread_plan ? desk->unread_plan : m->plan,
                         m->take,
                         m->osc_to,
                         m->bar_one};
  save(data, &saved);
  pthread_mutex_unlock(&desk->lock);
}

bool
rl_desk_open(RlDesk *const desk)
{
  memset(desk, 0, sizeof(*desk));
  pthread_mutex_init(&desk->lock, NULL);
  desk->master.hand = (RlHand){.player = {3, 3, false}, .song_key = 12};
  if (!chart_set(desk, rl_slice(default_chart), "")) {
    return false;
  }
  property_set(desk, RL_OSC_TO, rl_slice(default_osc_to));
  publish(desk);
  return atomic_load(&desk->outbox) != NULL;
}

void
rl_desk_close(RlDesk *const desk)
{
  free(atomic_exchange(&desk->outbox, NULL));
  free(desk->unread);
  free(desk->unread_plan);
  free(desk->plan);
  rl_scribe_drop(&desk->scribe);
  pthread_mutex_destroy(&desk->lock);
}
