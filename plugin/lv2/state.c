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
put_text(Saving *const s, const LV2_URID key, const char *const text, const LV2_URID type)
{
  put(s, key, text, strlen(text) + 1, type);
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

static void
put_path(Saving *const s, const char *const path)
{
  char *const abstract = s->map_path ? s->map_path->abstract_path(s->map_path->handle, path) : NULL;
  put_text(s, s->uris->rl_chart_file, abstract ? abstract : path, s->uris->atom_Path);
  if (abstract) {
    path_free(s->free_path, abstract);
  }
}

static void
save_all(void *const data, const RlSaved *const saved)
{
  Saving *const       s = (Saving *)data;
  const RlUris *const u = s->uris;
  put_text(s, u->rl_chart, saved->chart, u->atom_String);
  put_text(s, u->rl_plan, saved->plan, u->atom_String);
  put_text(s, u->rl_take, saved->take, u->atom_String);
  put_text(s, u->rl_osc_to, saved->osc_to, u->atom_String);
  if (saved->chart_file[0]) {
    put_path(s, saved->chart_file);
  }
  if (saved->bar_one.set) {
    put(s, u->rl_bar_one, &saved->bar_one.at, sizeof(double), u->atom_Double);
    put(s, u->rl_bar_one_axis, &saved->bar_one.axis, sizeof(int32_t), u->atom_Int);
    put(s, u->rl_bar_one_start, &saved->bar_one.start_bar, sizeof(int32_t), u->atom_Int);
  }
}

LV2_State_Status
rl_state_save(RlDocument *const document, const RlUris *const uris,
              const LV2_State_Store_Function store, const LV2_State_Handle state,
              const LV2_State_Map_Path *const map_path, const LV2_State_Free_Path *const free_path)
{
  Saving saving = {uris, store, state, map_path, free_path, LV2_STATE_SUCCESS};
  rl_document_save(document, save_all, &saving);
  return saving.status;
}

/* ---- restoring ---- */

typedef struct {
  LV2_State_Retrieve_Function retrieve;
  LV2_State_Handle            state;
} Session;

/* The value of a key if it has that type, NULL otherwise. */
static const void *
get(const Session *const s, const LV2_URID key, const LV2_URID type, size_t *const size)
{
  uint32_t          found_type = 0;
  uint32_t          flags      = 0;
  const void *const value      = s->retrieve(s->state, key, size, &found_type, &flags);
  return value && found_type == type ? value : NULL;
}

/* A copy of a text, NULL if there is none. It may come without its NUL. */
static char *
get_text(const Session *const s, const LV2_URID key, const LV2_URID type)
{
  size_t            size  = 0;
  const char *const value = (const char *)get(s, key, type, &size);
  char *const       text  = value ? (char *)malloc(size + 1) : NULL;
  if (text) {
    memcpy(text, value, size);
    text[size] = '\0';
  }
  return text;
}

static bool
get_number(const Session *const s, const LV2_URID key, const LV2_URID type, void *const to,
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
get_bar_one(const Session *const s, const RlUris *const u)
{
  RlBarOne b = {0};
  b.set      = get_number(s, u->rl_bar_one, u->atom_Double, &b.at, sizeof(b.at)) &&
          get_number(s, u->rl_bar_one_axis, u->atom_Int, &b.axis, sizeof(b.axis)) &&
          get_number(s, u->rl_bar_one_start, u->atom_Int, &b.start_bar, sizeof(b.start_bar)) &&
          fabs(b.at) < 1e9 && (b.axis == RL_AXIS_BARS || b.axis == RL_AXIS_QUARTERS);
  return b.set ? b : (RlBarOne){0};
}

/* The path on this machine of one that a session holds. */
static char *
path_here(char *const stored, const LV2_State_Map_Path *const map_path,
          const LV2_State_Free_Path *const free_path)
{
  char *const path = stored && map_path ? map_path->absolute_path(map_path->handle, stored) : NULL;
  char *const copy = path ? strdup(path) : NULL;
  if (path) {
    path_free(free_path, path);
  }
  if (copy) {
    free(stored);
  }
  return copy ? copy : stored;
}

LV2_State_Status
rl_state_restore(RlDocument *const document, const RlUris *const uris,
                 const LV2_State_Retrieve_Function retrieve, const LV2_State_Handle state,
                 const LV2_State_Map_Path *const  map_path,
                 const LV2_State_Free_Path *const free_path)
{
  const Session session = {retrieve, state};
  char *const   chart   = get_text(&session, uris->rl_chart, uris->atom_String);
  char *const   plan    = get_text(&session, uris->rl_plan, uris->atom_String);
  char *const   take    = get_text(&session, uris->rl_take, uris->atom_String);
  char *const   osc_to  = get_text(&session, uris->rl_osc_to, uris->atom_String);
  char *const   stored  = get_text(&session, uris->rl_chart_file, uris->atom_Path);
  char *const   file    = path_here(stored, map_path, free_path);
  const RlSaved saved   = {chart, file, plan, take, osc_to, get_bar_one(&session, uris)};
  rl_document_restore(document, &saved);
  free(chart);
  free(plan);
  free(take);
  free(osc_to);
  free(file);
  return LV2_STATE_SUCCESS;
}
