/* SPDX-License-Identifier: ISC */
/* What the parts of `drive` share: see drive.c. */
#ifndef RL_TESTS_WINDOW_DRIVE_H
#define RL_TESTS_WINDOW_DRIVE_H

#include <lv2/ui/ui.h>
/* Last: it brings macros that the headers of LV2 would trip over. */
#include <X11/Xlib.h>

/* One opened window. */
typedef struct {
  Window                      parent, child;
  LV2UI_Handle                handle;
  const LV2UI_Idle_Interface *idle;
  const LV2UI_Resize         *resize;
  unsigned                    asked; /* writes seen */
} Opened;

extern Display *rl_drive_display;

/** Says what is wrong, and ends. */
void rl_drive_fail(const char *what);

/** Opens a window and idles a little; ends where it does not open. */
Opened *rl_drive_opened_surely(void);
void    rl_drive_closed(Opened *opened);

/** Idles so many times; not 0 once the window says that it was closed. */
int rl_drive_idle(Opened *opened, int times);

/** Tells it a chart, as the plugin does; each time another one than the time before. */
void rl_drive_chart_tell(const Opened *opened);

/** The test `focus`. */
void rl_drive_focus(void);

#endif
