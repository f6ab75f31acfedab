/* SPDX-License-Identifier: ISC */
#include "ui/controller/settings.h"

#include "ui/controller/controller_state.h"

#include <assert.h>

static const double hold_time = 0.08; /* seconds that a trigger stays at 1 */

void
rl_settings_set(RlController *const c, const RlPort port, const float value)
{
  assert(port >= 0 && port < RL_PORTS);
  rl_undo_set_port(c, port, value);
  rl_controller_refresh(c);
}

void
rl_settings_step(RlController *const c, const RlField field, const int by)
{
  enum { ONE_DOWN = 1, ONE_UP = 2 }; /* entries of the start bar's list */
  const int count  = rl_field_choices(field);
  const int chosen = rl_field_chosen(&c->view, field);
  const int n      = field == RL_FIELD_START_BAR ? (by < 0 ? ONE_DOWN : ONE_UP)
                     : chosen < 0                ? 0
                                                 : (chosen + by + count) % count;
  rl_settings_set(c, rl_field_port(field), rl_field_to(&c->view, field, n));
}

void
rl_settings_choose(RlController *const c, const int n)
{
  const RlField field = (RlField)c->view.edit.list;
  if (n >= rl_field_choices(field)) { /* bar 1 is where the start bar says again */
    c->plugin.set_text(c->plugin.data, RL_BAR_ONE_EDIT, "forget");
    rl_editing_end(c);
    return;
  }
  rl_settings_set(c, rl_field_port(field), rl_field_to(&c->view, field, n));
  if (field == RL_FIELD_START_BAR) {
    rl_editing_open_list(c, RL_FIELD_START_BAR);
  } else {
    rl_editing_end(c);
  }
}

void
rl_settings_trigger(RlController *const c, const RlPort port, const double now)
{
  RlSettings *const s = &c->settings;
  if (s->trigger != RL_PORTS) {
    rl_settings_set(c, s->trigger, 0);
  }
  s->trigger    = port;
  s->release_at = now + hold_time;
  rl_settings_set(c, port, 1);
}

void
rl_settings_tap(RlController *const c, const double now)
{
  if (c->view.port[RL_PORT_CLOCK] <= 0 && !rl_view_placed(&c->view)) {
    rl_settings_set(c, RL_PORT_CLOCK, 1);
  }
  rl_settings_trigger(c, RL_PORT_TAP, now);
}

void
rl_settings_advance(RlController *const c, const double now)
{
  const RlPort port = c->settings.trigger;
  if (port != RL_PORTS && now >= c->settings.release_at) {
    c->settings.trigger = RL_PORTS;
    rl_settings_set(c, port, 0);
  }
}
