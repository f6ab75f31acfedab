/* SPDX-License-Identifier: ISC */
#include "plugin/lv2/state.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
  const RlUris              *uris;
  LV2_State_Store_Function   store;
  LV2_State_Handle           state;
  const LV2_State_Map_Path  *map_path;
  const LV2_State_Free_Path *free_path;
  LV2_State_Status           status;
} Saving;

static void
put(Saving *const s, const LV2_URID key, const void *const value, const size_t size,
    const LV2_URID type)
{
  const LV2_State_Status status =
    s->store(s->state, key, value, size, type, LV2_STATE_IS_POD | LV2_STATE_IS_PORTABLE);
  s->status = s->status == LV2_STATE_SUCCESS ? status : s->status;
}

static void
put_text(Saving *const s, const RlProperty property, const char *const text)
{
  put(s, rl_property_urid(property, s->uris), text, strlen(text) + 1,
      rl_property_type(property, s->uris));
}

static void
path_free(const LV2_State_Free_Path *const free_path, char *const path)
{
  if (free_path) {
    free_path->free_path(free_path->handle, path);
  } else {
    free(path);
  }
}

/* A path as the host would have it in a session. */
static void
put_path(Saving *const s, const RlProperty property, const char *const path)
{
  char *const abstract = s->map_path ? s->map_path->abstract_path(s->map_path->handle, path) : NULL;
  put_text(s, property, abstract ? abstract : path);
  if (abstract) {
    path_free(s->free_path, abstract);
  }
}

static void
save_all(void *const data, const RlSession *const session)
{
  Saving *const         s       = (Saving *)data;
  const RlUris *const   u       = s->uris;
  const RlBarOne *const bar_one = &session->bar_one;
  for (int p = 0; p < RL_PROPERTIES; ++p) {
    const RlSlice text = session->text[p];
    if (text.at && !rl_properties[p].path) {
      put_text(s, (RlProperty)p, text.at);
    } else if (text.at && text.length) {
      put_path(s, (RlProperty)p, text.at);
    }
  }
  if (session->chart_rules > 1) {
    put(s, u->rl_chart_rules, &session->chart_rules, sizeof(int32_t), u->atom_Int);
  }
  if (bar_one->set) {
    put(s, u->rl_bar_one, &bar_one->at, sizeof(double), u->atom_Double);
    put(s, u->rl_bar_one_axis, &bar_one->axis, sizeof(int32_t), u->atom_Int);
    put(s, u->rl_bar_one_start, &bar_one->start_bar, sizeof(int32_t), u->atom_Int);
  }
}

LV2_State_Status
rl_state_save(RlDocument *const document, const RlUris *const uris,
              const LV2_State_Store_Function store, const LV2_State_Handle state,
              const LV2_State_Map_Path *const map_path, const LV2_State_Free_Path *const free_path)
{
  Saving saving = {uris, store, state, map_path, free_path, LV2_STATE_SUCCESS};
  rl_session_save(document, save_all, &saving);
  return saving.status;
}

/* ---- restoring ---- */

typedef struct {
  LV2_State_Retrieve_Function retrieve;
  LV2_State_Handle            state;
} Saved;

/* The value of a key if it has that type, NULL otherwise. */
static const void *
get(const Saved *const s, const LV2_URID key, const LV2_URID type, size_t *const size)
{
  uint32_t          found_type = 0;
  uint32_t          flags      = 0;
  const void *const value      = s->retrieve(s->state, key, size, &found_type, &flags);
  return value && found_type == type ? value : NULL;
}

/* A text, `ended` if its NUL came along; `at` NULL if there is none. The host keeps it until the
   restore is over. */
static RlSlice
get_text(const Saved *const s, const LV2_URID key, const LV2_URID type, bool *const ended)
{
  size_t            size  = 0;
  const char *const value = (const char *)get(s, key, type, &size);
  const void *const nul   = value ? memchr(value, '\0', size) : NULL;
  *ended                  = nul;
  return (RlSlice){value, nul ? (size_t)((const char *)nul - value) : value ? size : 0};
}

static bool
get_number(const Saved *const s, const LV2_URID key, const LV2_URID type, void *const to,
           const size_t size)
{
  size_t            found = 0;
  const void *const value = get(s, key, type, &found);
  if (!value || found < size) {
    return false;
  }
  memcpy(to, value, size);
  return true;
}

static RlBarOne
get_bar_one(const Saved *const s, const RlUris *const u)
{
  RlBarOne one = {0};
  one.set =
    get_number(s, u->rl_bar_one, u->atom_Double, &one.at, sizeof(one.at)) &&
    get_number(s, u->rl_bar_one_axis, u->atom_Int, &one.axis, sizeof(one.axis)) &&
    get_number(s, u->rl_bar_one_start, u->atom_Int, &one.start_bar, sizeof(one.start_bar)) &&
    fabs(one.at) < 1e9 && (one.axis == RL_AXIS_BARS || one.axis == RL_AXIS_QUARTERS);
  return one.set ? one : (RlBarOne){0};
}

/* Sessions from before there were rules say nothing. */
static int
get_chart_rules(const Saved *const s, const RlUris *const u)
{
  int32_t rules = 1;
  get_number(s, u->rl_chart_rules, u->atom_Int, &rules, sizeof(rules));
  return rules;
}

/* The path on this machine of one that a session holds; the host's to free. NULL: as it is stored.
 */
static char *
path_here(const RlSlice stored, const bool ended, const LV2_State_Map_Path *const map_path)
{
  char   path[RL_PATH_SIZE];
  RlText text = rl_text_in(path, sizeof(path));
  rl_text_add_slice(&text, stored);
  const bool whole = ended || text.used == stored.length;
  return map_path && stored.length && whole
           ? map_path->absolute_path(map_path->handle, ended ? stored.at : path)
           : NULL;
}

LV2_State_Status
rl_state_restore(RlDocument *const document, const RlUris *const uris,
                 const LV2_State_Retrieve_Function retrieve, const LV2_State_Handle state,
                 const LV2_State_Map_Path *const  map_path,
                 const LV2_State_Free_Path *const free_path)
{
  const Saved saved         = {retrieve, state};
  RlSession   session       = {.bar_one = get_bar_one(&saved, uris)};
  session.chart_rules       = get_chart_rules(&saved, uris);
  bool ended[RL_PROPERTIES] = {false};
  for (int p = 0; p < RL_PROPERTIES; ++p) {
    if (rl_properties[p].access & RL_SAVED) {
      session.text[p] = get_text(&saved, rl_property_urid((RlProperty)p, uris),
                                 rl_property_type((RlProperty)p, uris), &ended[p]);
    }
  }
  char *const path = path_here(session.text[RL_CHART_FILE], ended[RL_CHART_FILE], map_path);
  if (path) {
    session.text[RL_CHART_FILE] = rl_slice(path);
  }
  rl_session_restore(document, &session);
  if (path) {
    path_free(free_path, path);
  }
  return LV2_STATE_SUCCESS;
}
