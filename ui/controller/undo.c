/* SPDX-License-Identifier: ISC */
#include "ui/controller/undo.h"

#include "ui/controller/controller_state.h"
#include "ui/controller/undo_takes.h"
#include "ui/model/fields.h"

#include <stdlib.h>
#include <string.h>

static const double one_turn = 1; /* seconds between two values of a setting that are one step */

/* ---- what was sent ---- */

static void
sent_remove(RlSent *const s, const int count)
{
  for (int i = 0; i < count; ++i) {
    free(s->text[i]);
  }
  s->count -= count;
  memmove(s->text, s->text + count, (size_t)s->count * sizeof(s->text[0]));
}

static void
sent_add(RlSent *const s, const char *const text)
{
  if (s->count == RL_UNDO_SENT) {
    sent_remove(s, 1);
  }
  s->text[s->count] = strdup(text);
  s->count += s->text[s->count] != NULL;
}

/* As the plugin said last. */
static const char *
text_heard(const RlController *const c, const RlProperty which)
{
  return which == RL_CHART    ? (c->view.form ? c->form.text : "")
         : which == RL_PLAN   ? c->plan.text
         : which == RL_TAKE   ? c->takes.text
         : which == RL_OSC_TO ? c->osc_to
                              : "";
}

const char *
rl_undo_text(const RlController *const c, const RlProperty which)
{
  const RlSent *const s = &c->undo.sent[which];
  return s->count ? s->text[s->count - 1] : text_heard(c, which);
}

/* ---- the steps ---- */

static void
change_free(const RlUndoChange *const change)
{
  free(change->file);
  free(change->text_was);
  free(change->text_is);
}

static void
changes_remove(RlUndo *const u, const int from, const int to)
{
  for (int i = from; i < to; ++i) {
    change_free(&u->change[i]);
  }
  memmove(u->change + from, u->change + to, (size_t)(u->count - to) * sizeof(u->change[0]));
  u->count -= to - from;
  u->done -= u->done > from ? (u->done < to ? u->done : to) - from : 0;
}

/* The end of the step that begins there. */
static int
step_end(const RlUndo *const u, const int from)
{
  int to = from;
  while (to < u->count && u->change[to].step == u->change[from].step) {
    ++to;
  }
  return to;
}

/* The beginning of the step that ends there. */
static int
step_begin(const RlUndo *const u, const int to)
{
  int from = to;
  while (from > 0 && u->change[from - 1].step == u->change[to - 1].step) {
    --from;
  }
  return from;
}

static int
steps_count(const RlUndo *const u)
{
  int steps = 0;
  for (int at = 0; at < u->count; at = step_end(u, at)) {
    ++steps;
  }
  return steps;
}

static size_t
length_of(const char *const text)
{
  return text ? strlen(text) : 0;
}

/* Bytes of all texts of files. */
static size_t
files_size(const RlUndo *const u)
{
  size_t size = 0;
  for (int i = 0; i < u->count; ++i) {
    size +=
      u->change[i].file ? length_of(u->change[i].text_was) + length_of(u->change[i].text_is) : 0;
  }
  return size;
}

static void
offers_tell(RlController *const c)
{
  c->view.undo = c->undo.done > 0;
  c->view.redo = c->undo.done < c->undo.count;
}

void
rl_undo_free(RlController *const c)
{
  changes_remove(&c->undo, 0, c->undo.count);
  for (int i = 0; i < RL_PROPERTIES; ++i) {
    sent_remove(&c->undo.sent[i], c->undo.sent[i].count);
  }
}

void
rl_undo_input(RlController *const c, const double now)
{
  ++c->undo.step;
  c->undo.now = now;
}

/* What was undone cannot be done again after a change. */
static void
change_add(RlController *const c, const RlUndoChange *const change)
{
  RlUndo *const u = &c->undo;
  changes_remove(u, u->done, u->count);
  if (u->count == RL_UNDO_CHANGES) {
    changes_remove(u, 0, step_end(u, 0));
  }
  u->change[u->count]      = *change;
  u->change[u->count].step = u->step;
  u->done                  = ++u->count;
  u->changed_at            = u->now;
  while (steps_count(u) > RL_UNDO_STEPS || (files_size(u) > RL_UNDO_BYTES && steps_count(u) > 1)) {
    changes_remove(u, 0, step_end(u, 0));
  }
  offers_tell(c);
}

/* The change that a new value of a port belongs to; NULL: none. */
static RlUndoChange *
change_going_on(RlUndo *const u, const RlPort port)
{
  RlUndoChange *const last  = u->done ? &u->change[u->done - 1] : NULL;
  const bool          alone = last && step_begin(u, u->done) == u->done - 1;
  return alone && u->done == u->count && last->port == (int)port &&
             u->now - u->changed_at < one_turn
           ? last
           : NULL;
}

void
rl_undo_set_port(RlController *const c, const RlPort port, const float value)
{
  const float         was      = c->view.port[port];
  RlUndoChange *const going_on = change_going_on(&c->undo, port);
  c->view.port[port]           = value;
  c->plugin.set_port(c->plugin.data, port, value);
  if ((rl_ports[port].flags & RL_TRIGGER) || was == value) {
    return;
  }
  if (going_on && going_on->is == was) {
    going_on->is       = value;
    c->undo.changed_at = c->undo.now;
    if (going_on->was == value) { /* turned there and back */
      changes_remove(&c->undo, c->undo.count - 1, c->undo.count);
      offers_tell(c);
    }
  } else {
    change_add(c, &(RlUndoChange){.port = (int)port, .was = was, .is = value});
  }
}

/* Without memory there are no steps any more: better none than wrong ones. */
void
rl_undo_note_text(RlController *const c, const RlProperty which, const char *const text)
{
  const char *const was    = rl_undo_text(c, which);
  RlUndoChange      change = {.port = RL_PORTS, .text = which};
  if (!strcmp(was, text)) {
    return;
  }
  change.text_was = strdup(was);
  change.text_is  = strdup(text);
  if (change.text_was && change.text_is) {
    change_add(c, &change);
    sent_add(&c->undo.sent[which], text);
  } else {
    change_free(&change);
    changes_remove(&c->undo, 0, c->undo.count);
    offers_tell(c);
  }
}

void
rl_undo_note_file(RlController *const c, const char *const name, const char *const was,
                  const char *const is)
{
  RlUndoChange change = {.port     = RL_PORTS,
                         .text     = RL_PROPERTIES,
                         .file     = strdup(name),
                         .text_was = was ? strdup(was) : NULL,
                         .text_is  = is ? strdup(is) : NULL};
  if (change.file && (!was || change.text_was) && (!is || change.text_is)) {
    change_add(c, &change);
  } else {
    change_free(&change);
    changes_remove(&c->undo, 0, c->undo.count);
    offers_tell(c);
  }
}

void
rl_undo_open_chart(RlController *const c, const char *const path)
{
  c->undo.opens = true;
  c->plugin.set_text(c->plugin.data, RL_CHART_FILE, path);
}

void
rl_undo_send_text(RlController *const c, const RlProperty which, const char *const text)
{
  rl_undo_note_text(c, which, text);
  c->plugin.set_text(c->plugin.data, which, text);
}

/* ---- what is heard ---- */

/* The chart that was in the file. */
static void
opened_hear(RlController *const c, const char *const text)
{
  RlUndo *const u = &c->undo;
  ++u->step;
  rl_undo_note_text(c, RL_CHART, text);
  if (u->done && u->change[u->done - 1].step == u->step) {
    u->change[u->done - 1].opened = true;
  }
  u->opens = false;
}

/* One of those sent comes back: those before it were overtaken by it. Something else that is new
   is somebody else's, or was in a file. Whether that could be opened is told after what was in it.
 */
void
rl_undo_hear_text(RlController *const c, const RlProperty which, const char *const text)
{
  RlSent *const s = &c->undo.sent[which];
  int           i = 0;
  while (i < s->count && strcmp(s->text[i], text) != 0) {
    ++i;
  }
  if (i < s->count) {
    sent_remove(s, i + 1);
  } else if (strcmp(text, text_heard(c, which)) != 0) {
    if (c->undo.opens && which == RL_CHART) {
      opened_hear(c, text);
    }
    sent_remove(s, s->count);
  }
  c->undo.opens = c->undo.opens && which != RL_CHART_FILE && which != RL_PROBLEM;
}

/* ---- undoing ---- */

static bool
same_thing(const RlUndoChange *const a, const RlUndoChange *const b)
{
  return a->port == b->port && (a->port < RL_PORTS || a->text == b->text) && !a->file == !b->file &&
         (!a->file || !strcmp(a->file, b->file));
}

/* All steps that changed it. */
static void
thing_forget(RlController *const c, const RlUndoChange thing)
{
  RlUndo *const u = &c->undo;
  for (int from = 0; from < u->count;) {
    const int to   = step_end(u, from);
    bool      with = false;
    for (int i = from; i < to; ++i) {
      with = with || same_thing(&u->change[i], &thing);
    }
    if (with) {
      changes_remove(u, from, to);
    }
    from = with ? from : to;
  }
  offers_tell(c);
}

void
rl_undo_forget_file(RlController *const c, const char *const name)
{
  char *const file = strdup(name);
  thing_forget(c, (RlUndoChange){.port = RL_PORTS, .text = RL_PROPERTIES, .file = file});
  free(file);
}

static void
thing_write(const RlUndoChange *const change, RlText *const text)
{
  static const char *const texts[RL_PROPERTIES] = {[RL_CHART]  = "the chart",
                                                   [RL_PLAN]   = "the plan",
                                                   [RL_TAKE]   = "the takes",
                                                   [RL_OSC_TO] = "the addresses for OSC"};
  if (change->port < RL_PORTS) {
    rl_text_add(text, "the setting ");
    rl_text_add(text, rl_ports[change->port].name);
  } else if (change->file) {
    rl_file_name_write(change->file, text);
  } else {
    rl_text_add(text, texts[change->text] ? texts[change->text] : "");
  }
}

static void
refuse_changed(RlController *const c, const RlUndoChange *const change)
{
  RlText words = rl_text_in(c->notice, sizeof(c->notice));
  rl_text_add(&words, "Something else has changed ");
  thing_write(change, &words);
  rl_text_add(&words, " since: those steps can no longer be undone or done again.");
  if (change->file) {
    rl_undo_forget_file(c, change->file);
  } else {
    thing_forget(c, *change);
  }
}

static void
refuse(RlController *const c, const char *const why)
{
  RlText words = rl_text_in(c->notice, sizeof(c->notice));
  rl_text_add(&words, why);
}

static RlUndoAnswer
file_check(const RlController *const c, const RlUndoChange *const change, const bool back)
{
  const char *const from = back ? change->text_is : change->text_was;
  char *const       now  = rl_phrase_files_text(c, change->file);
  const bool        same = from && now ? !strcmp(from, now) : !from && !now;
  free(now);
  return same ? RL_UNDO_CAN : RL_UNDO_CHANGED;
}

/* Has it the value that the change gave it (or, to do it again, took from it)? For the takes
   `takes` gets what they will be. */
static RlUndoAnswer
change_check(const RlController *const c, const RlUndoChange *const change, const bool back,
             char *const takes, const char **const why)
{
  if (change->port < RL_PORTS) {
    return c->view.port[change->port] == (back ? change->is : change->was) ? RL_UNDO_CAN
                                                                           : RL_UNDO_CHANGED;
  }
  if (change->file) {
    return file_check(c, change, back);
  }
  const char *const from = back ? change->text_is : change->text_was;
  const char *const now  = rl_undo_text(c, change->text);
  if (change->text == RL_TAKE) {
    return rl_undo_takes(now, from, back ? change->text_was : change->text_is, takes, why);
  }
  return strcmp(now, from) != 0 ? RL_UNDO_CHANGED : RL_UNDO_CAN;
}

static void
change_send(RlController *const c, const RlUndoChange *const change, const bool back,
            const char *const takes)
{
  if (change->port < RL_PORTS) {
    const float value          = back ? change->was : change->is;
    c->view.port[change->port] = value;
    c->plugin.set_port(c->plugin.data, (RlPort)change->port, value);
    return;
  }
  if (change->file) {
    rl_editing_error(c, "");
    const char *const why =
      rl_phrase_files_put(c, change->file, back ? change->text_was : change->text_is);
    rl_editing_error(c, why ? why : "");
    return;
  }
  const char *const text = change->text == RL_TAKE ? takes
                           : back                  ? change->text_was
                                                   : change->text_is;
  if (change->opened) { /* neither chart is known to be in the other one's file */
    c->origin.file[0] = '\0';
  }
  sent_add(&c->undo.sent[change->text], text);
  c->plugin.set_text(c->plugin.data, change->text, text);
}

/* Can the whole step be done? Says why not. */
static bool
step_check(RlController *const c, const int from, const int to, const bool back, char *const takes)
{
  for (int i = from; i < to; ++i) {
    const char        *why    = "";
    const RlUndoAnswer answer = change_check(c, &c->undo.change[i], back, takes, &why);
    if (answer == RL_UNDO_CHANGED) {
      refuse_changed(c, &c->undo.change[i]);
    } else if (answer == RL_UNDO_NOT_NOW) {
      refuse(c, why);
    }
    if (answer != RL_UNDO_CAN) {
      return false;
    }
  }
  return true;
}

static void
step_do(RlController *const c, const int from, const int to, const bool back)
{
  RlUndo *const u     = &c->undo;
  char *const   takes = (char *)malloc(RL_PLAN_MAX + 1);
  if (!takes) {
    refuse(c, "Not enough memory; close another program and do it again.");
  } else if (step_check(c, from, to, back, takes)) {
    for (int i = 0; i < to - from; ++i) {
      change_send(c, &u->change[back ? to - 1 - i : from + i], back, takes);
    }
    u->done       = back ? from : to;
    u->changed_at = -one_turn; /* what comes next is a step of its own */
  }
  free(takes);
  offers_tell(c);
  rl_controller_refresh(c);
}

void
rl_undo_back(RlController *const c)
{
  if (c->undo.done > 0) {
    step_do(c, step_begin(&c->undo, c->undo.done), c->undo.done, true);
  }
}

void
rl_undo_again(RlController *const c)
{
  if (c->undo.done < c->undo.count) {
    step_do(c, c->undo.done, step_end(&c->undo, c->undo.done), false);
  }
}
