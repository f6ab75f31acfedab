/* SPDX-License-Identifier: ISC */
/* Setting the document's text properties, and saying what is wrong with them. The document's lock
   is held. */
#ifndef RL_PLUGIN_WORKER_SETTING_H
#define RL_PLUGIN_WORKER_SETTING_H

#include "plugin/worker/document.h"

/** Sets a property to what somebody has sent. */
void rl_setting_set(RlDocument *document, RlProperty property, RlSlice text);

/** Says of a property that what was sent cannot be used, that there was no room for it. */
void rl_setting_refuse(RlDocument *document, RlProperty property);
void rl_setting_lose(RlDocument *document, RlProperty property);

/** The value of a property is another text, which is told. */
void rl_setting_text(RlDocument *document, RlProperty property, RlSlice text);

/** What is wrong about something, "" for nothing; all that is wrong is told. */
void rl_setting_problem(RlDocument *document, RlAbout about, const char *words);

#endif
