/* SPDX-License-Identifier: ISC */
#include "ui/controller/harp_chooser.h"

#include "ui/controller/controller_state.h"

#include <assert.h>
#include <string.h>

/* `what`: the file cannot be `read` or `written`. */
static void
file_problem(RlController *const c, const char *const what)
{
  RlText text = rl_text_in(c->harps.problem, sizeof(c->harps.problem));
  rl_text_add(&text, "harps: cannot be ");
  rl_text_add(&text, what);
  rl_text_add(&text, "; your harps will be lost when you close the session. The file is in ");
  rl_text_add(&text, c->harps.folder);
  c->view.problem = c->problem[0] ? c->problem : c->harps.problem;
}

static const char *
folder_of(const RlController *const c)
{
  return c->harps.folder[0] ? c->harps.folder : NULL;
}

void
rl_harps_open(RlController *const c, const char *const folder)
{
  if (folder && strlen(folder) < sizeof(c->harps.folder)) {
    memcpy(c->harps.folder, folder, strlen(folder) + 1);
  }
  if (!rl_owned_harps_read(&c->harps.owned, folder_of(c))) {
    file_problem(c, "read");
    c->harps.folder[0] = '\0'; /* so that it is not written over */
  }
}

int
rl_harps_candidates(const RlController *const c, RlHarpChoice choices[RL_OWNED_MAX])
{
  const RlHarpChoice mine = rl_view_harp(&c->view);
  int                n    = rl_owned_harps_list(&c->harps.owned, choices);
  if (n == 0) {
    for (; n < RL_KEYS; ++n) {
      choices[n] = (RlHarpChoice){(uint8_t)n, mine.range, mine.tuning};
    }
  }
  return n;
}

static bool
owns_any(const RlController *const c)
{
  RlHarpChoice choices[RL_OWNED_MAX];
  return rl_owned_harps_list(&c->harps.owned, choices) > 0;
}

void
rl_harps_rank(RlController *const c)
{
  RlHarpChoice        choices[RL_OWNED_MAX];
  RlViewHarps *const  shown  = &c->view.harps;
  const RlForm *const form   = c->view.form;
  const RlHarpChoice  mine   = rl_view_harp(&c->view);
  const RlPlayer      player = rl_view_player(&c->view);
  const RlKey         key    = rl_view_key(&c->view);
  shown->owned               = c->harps.owned.keys[mine.range + 1][mine.tuning];
  shown->count               = form ? rl_harps_candidates(c, choices) : 0;
  shown->shift               = (RlShift){0};
  if (form) {
    rl_finder_rank(form, key, choices, shown->count, player, c->harps.ranked);
    if (owns_any(c)) {
      shown->shift = rl_finder_shift(form, key, player, c->harps.ranked, shown->count);
    }
  }
}

void
rl_harps_show(RlController *const c)
{
  rl_owned_harps_read(&c->harps.owned, folder_of(c));
  rl_harps_rank(c);
}

void
rl_harps_toggle_owned(RlController *const c, const int key)
{
  assert(key >= 0 && key < RL_KEYS);
  const RlHarpChoice mine = rl_view_harp(&c->view);
  const uint16_t     bit  = (uint16_t)(1U << key);
  uint16_t *const    keys = &c->harps.owned.keys[mine.range + 1][mine.tuning];
  const bool         owns = *keys & bit;
  rl_owned_harps_read(&c->harps.owned, folder_of(c)); /* another window may have ticked some */
  *keys = (uint16_t)(owns ? *keys & ~bit : *keys | bit);
  if (!rl_owned_harps_write(&c->harps.owned, folder_of(c)) && folder_of(c)) {
    file_problem(c, "written");
  }
  rl_harps_rank(c);
}

void
rl_harps_set(RlController *const c, const RlHarpChoice choice)
{
  rl_settings_set(c, RL_PORT_HARP_KEY, choice.key);
  rl_settings_set(c, RL_PORT_HARP_REGISTER, choice.range);
  rl_settings_set(c, RL_PORT_TUNING, (float)choice.tuning);
}

void
rl_harps_use(RlController *const c, const int n)
{
  if (n < c->view.harps.count) {
    rl_harps_set(c, c->harps.ranked[n].choice);
  }
}
