/* SPDX-License-Identifier: ISC */
/* A plugin for a controller under test that takes whatever is set and does nothing with it. */
#ifndef RL_TESTS_UI_DEAF_PLUGIN_H
#define RL_TESTS_UI_DEAF_PLUGIN_H

#include "ui/controller/controller.h"

static inline void
deaf_port(void *const data, const RlPort port, const float value)
{
  (void)data;
  (void)port;
  (void)value;
}

static inline void
deaf_text(void *const data, const RlProperty which, const char *const text)
{
  (void)data;
  (void)which;
  (void)text;
}

static const RlControllerPlugin deaf_plugin = {NULL, deaf_port, deaf_text};

#endif
