/* SPDX-License-Identifier: ISC */
#include "plugin/worker/setting.h"

#include "plugin/shared/address.h"
#include "plugin/worker/music.h"
#include "plugin/worker/takes.h"

#include <stdlib.h>

/* ---- values ---- */

void
rl_setting_text(RlDocument *const document, const RlProperty property, const RlSlice text)
{
  RlSnapshot *const m                 = &document->master;
  char *const       to[RL_PROPERTIES] = {[RL_CHART_FILE] = m->chart_file,
                                         [RL_PLAN]       = m->plan,
                                         [RL_TAKE]       = m->take,
                                         [RL_OSC_TO]     = m->osc_to,
                                         [RL_PRACTICE]   = m->practice};
  RlText            out               = rl_text_in(to[property], rl_properties[property].most + 1);
  rl_text_add_slice(&out, text);
  ++m->version[property];
}

void
rl_setting_problem(RlDocument *const document, const RlAbout about, const char *const words)
{
  RlText problem = rl_text_in(document->master.problem, RL_PROBLEM_SIZE);
  rl_problems_set(&document->problems, about, words);
  rl_problems_write(&document->problems, &problem);
  ++document->master.version[RL_PROBLEM];
}

/* ---- in words ---- */

/* `osc_to: not a text of up to 1023 bytes; send addresses as a String`. */
static void
refusal_write(const RlProperty property, RlText *const text)
{
  const RlPropertyInfo *const info = &rl_properties[property];
  rl_text_add(text, info->symbol);
  if (info->access & RL_WRITE) {
    rl_text_add(text, info->path ? ": not a path of up to " : ": not a text of up to ");
    rl_text_add_int(text, info->most);
    rl_text_add(text, " bytes; send ");
    rl_text_add(text, info->object);
    rl_text_add(text, info->path ? " as a Path" : " as a String");
  } else {
    rl_text_add(text, ": can only be read");
  }
}

void
rl_setting_refuse(RlDocument *const document, const RlProperty property)
{
  char   words[RL_REASON_SIZE];
  RlText text = rl_text_in(words, sizeof(words));
  refusal_write(property, &text);
  rl_setting_problem(document, rl_problems_about(property), words);
}

void
rl_setting_lose(RlDocument *const document, const RlProperty property)
{
  const RlPropertyInfo *const info = &rl_properties[property];
  char                        words[RL_REASON_SIZE];
  RlText                      text = rl_text_in(words, sizeof(words));
  if (!(info->access & RL_WRITE)) {
    rl_setting_refuse(document, property);
    return;
  }
  rl_text_add(&text, info->symbol);
  rl_text_add(&text, ": too much at once, the last ");
  rl_text_add(&text, info->noun);
  rl_text_add(&text, " was not received; send it again");
  rl_setting_problem(document, rl_problems_about(property), words);
}

/* ---- setting ---- */

/* A chart of its own comes from no file. */
static void
chart_set(RlDocument *const document, const RlSlice text)
{
  if (rl_music_chart_set(document, text, "") && document->master.chart_file[0]) {
    rl_setting_text(document, RL_CHART_FILE, rl_slice(""));
  }
}

static void
plan_set(RlDocument *const document, const RlSlice text)
{
  rl_music_plan_set(document, text, "plan: ");
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

/* The good addresses of a list hold. */
static void
osc_to_set(RlDocument *const document, const RlSlice text)
{
  if (text.length >= RL_ADDRESS_SIZE || rl_slice_bad_byte(text) >= 0) {
    rl_setting_refuse(document, RL_OSC_TO);
    return;
  }
  char          words[RL_PROBLEM_SIZE];
  RlText        problem = rl_text_in(words, sizeof(words));
  const RlSlice bad     = address_bad(text);
  if (bad.length) {
    rl_text_add(&problem, "osc_to: no such address \"");
    rl_text_add_slice(&problem, bad);
    rl_text_add(&problem, "\"; write host:port, the port 1 to 65535: 127.0.0.1:9911");
  }
  rl_setting_text(document, RL_OSC_TO, text);
  rl_setting_problem(document, RL_ABOUT_OSC_TO, words);
}

/* Bar 1 is where the start bar says again. */
static void
bar_one_edit(RlDocument *const document, const RlSlice text)
{
  const bool forget = rl_slice_is(text, "forget");
  rl_setting_problem(document, RL_ABOUT_BAR_ONE,
                     forget ? "" : "bar_one_edit: write forget; bar_one says where bar 1 is");
  if (forget) {
    document->master.bar_one = (RlBarOne){0};
    ++document->master.bar_one_edits;
  }
}

/* The auditioner sees to it, outside the document's lock. */
static void
hear_take(RlDocument *const document, const RlSlice text)
{
  char *const kept = (char *)malloc(text.length + 1);
  if (kept) {
    RlText out = rl_text_in(kept, text.length + 1);
    rl_text_add_slice(&out, text);
  }
  free(document->hear_take);
  document->hear_take = kept;
  ++document->hear_takes;
}

void
rl_setting_set(RlDocument *const document, const RlProperty property, const RlSlice text)
{
  static void (*const set[RL_PROPERTIES])(RlDocument *,
                                          RlSlice) = {[RL_CHART]        = chart_set,
                                                      [RL_CHART_FILE]   = rl_music_chart_file_set,
                                                      [RL_PLAN]         = plan_set,
                                                      [RL_TAKE]         = rl_takes_set,
                                                      [RL_OSC_TO]       = osc_to_set,
                                                      [RL_TAKE_EDIT]    = rl_takes_edit,
                                                      [RL_BAR_ONE_EDIT] = bar_one_edit,
                                                      [RL_PRACTICE]     = rl_practice_set,
                                                      [RL_LIFT]         = rl_lifts_ask,
                                                      [RL_HEAR_TAKE]    = hear_take};
  if (set[property]) {
    set[property](document, text);
  }
}
