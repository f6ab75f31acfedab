/* SPDX-License-Identifier: ISC */
/* Sessions: the document's properties as LV2 state. Any thread but the audio thread's. */
#ifndef RL_PLUGIN_LV2_STATE_H
#define RL_PLUGIN_LV2_STATE_H

#include "plugin/protocol/uris.h"
#include "plugin/worker/session.h"

#include <lv2/state/state.h>

/** Stores every property. `map_path` and `free_path` may be NULL: paths are then stored as they
 * are. */
LV2_State_Status rl_state_save(RlDocument *document, const RlUris *uris,
                               LV2_State_Store_Function store, LV2_State_Handle state,
                               const LV2_State_Map_Path  *map_path,
                               const LV2_State_Free_Path *free_path);

/** Takes from a session what it knows and can use; the rest of it is left alone. */
LV2_State_Status rl_state_restore(RlDocument *document, const RlUris *uris,
                                  LV2_State_Retrieve_Function retrieve, LV2_State_Handle state,
                                  const LV2_State_Map_Path  *map_path,
                                  const LV2_State_Free_Path *free_path);

#endif
