/* SPDX-License-Identifier: ISC */
#include "ui/window/x_guard.h"

#include <stdatomic.h>

static _Atomic(XErrorHandler) handler_before;
static _Thread_local Display *guarded;
static _Thread_local bool     guarded_all;

static int
error_caught(Display *const display, XErrorEvent *const event)
{
  const XErrorHandler before = atomic_load(&handler_before);
  return guarded_all || display == guarded || !before ? 0 : before(display, event);
}

RlXGuard
rl_x_guard_up(Display *const display)
{
  const RlXGuard g = {XSetErrorHandler(error_caught), guarded, guarded_all};
  guarded          = display;
  guarded_all      = !display;
  if (g.handler != error_caught) {
    atomic_store(&handler_before, g.handler);
  }
  return g;
}

void
rl_x_guard_down(const RlXGuard *const g)
{
  XSetErrorHandler(g->handler);
  guarded     = g->display;
  guarded_all = g->all;
}

RlGlCurrent
rl_gl_current(void)
{
  return (RlGlCurrent){glXGetCurrentDisplay(), glXGetCurrentDrawable(), glXGetCurrentReadDrawable(),
                       glXGetCurrentContext()};
}

void
rl_gl_restore(const RlGlCurrent *const before)
{
  const RlGlCurrent after = rl_gl_current();
  if (before->context && after.context != before->context) {
    glXMakeContextCurrent(before->display, before->draw, before->read, before->context);
  } else if (!before->context && after.context) {
    glXMakeCurrent(after.display, None, NULL);
  }
}
