/* SPDX-License-Identifier: ISC */
/* Every URI the plugin speaks, mapped once into one struct. */
#ifndef RL_PLUGIN_PROTOCOL_URIS_H
#define RL_PLUGIN_PROTOCOL_URIS_H

#include <lv2/atom/atom.h>
#include <lv2/midi/midi.h>
#include <lv2/patch/patch.h>
#include <lv2/time/time.h>
#include <lv2/urid/urid.h>

#define RL_PLUGIN_URI "urn:reedlamp:plugin"
#define RL_MONO_URI   "urn:reedlamp:mono"
#define RL_PLAIN_URI  "urn:reedlamp:plain"
#define RL_URI(name)  "urn:reedlamp:" name

/* Ardour's own field in time:Position: how fast run() is called against the transport. */
#define RL_ARDOUR_SCALE "http://ardour.org/lv2/time#scale"

/* Each of our own has the name that its URI has. */
#define RL_OWN(X, name) X(rl_##name, RL_URI(#name))

#define RL_URIS(X)                                                                                 \
  X(atom_Blank, LV2_ATOM__Blank)                                                                   \
  X(atom_Bool, LV2_ATOM__Bool)                                                                     \
  X(atom_Double, LV2_ATOM__Double)                                                                 \
  X(atom_Float, LV2_ATOM__Float)                                                                   \
  X(atom_Int, LV2_ATOM__Int)                                                                       \
  X(atom_Long, LV2_ATOM__Long)                                                                     \
  X(atom_Object, LV2_ATOM__Object)                                                                 \
  X(atom_Path, LV2_ATOM__Path)                                                                     \
  X(atom_Sequence, LV2_ATOM__Sequence)                                                             \
  X(atom_String, LV2_ATOM__String)                                                                 \
  X(atom_URID, LV2_ATOM__URID)                                                                     \
  X(atom_Vector, LV2_ATOM__Vector)                                                                 \
  X(midi_MidiEvent, LV2_MIDI__MidiEvent)                                                           \
  X(patch_Get, LV2_PATCH__Get)                                                                     \
  X(patch_Set, LV2_PATCH__Set)                                                                     \
  X(patch_property, LV2_PATCH__property)                                                           \
  X(patch_subject, LV2_PATCH__subject)                                                             \
  X(patch_value, LV2_PATCH__value)                                                                 \
  X(time_Position, LV2_TIME__Position)                                                             \
  X(time_bar, LV2_TIME__bar)                                                                       \
  X(time_barBeat, LV2_TIME__barBeat)                                                               \
  X(time_beat, LV2_TIME__beat)                                                                     \
  X(time_beatUnit, LV2_TIME__beatUnit)                                                             \
  X(time_beatsPerBar, LV2_TIME__beatsPerBar)                                                       \
  X(time_beatsPerMinute, LV2_TIME__beatsPerMinute)                                                 \
  X(time_frame, LV2_TIME__frame)                                                                   \
  X(time_speed, LV2_TIME__speed)                                                                   \
  X(ardour_scale, RL_ARDOUR_SCALE)                                                                 \
  RL_OWN(X, chart)                                                                                 \
  RL_OWN(X, chart_file)                                                                            \
  RL_OWN(X, take)                                                                                  \
  RL_OWN(X, taking)                                                                                \
  RL_OWN(X, plan)                                                                                  \
  RL_OWN(X, osc_to)                                                                                \
  RL_OWN(X, problem)                                                                               \
  RL_OWN(X, bar_one)                                                                               \
  RL_OWN(X, bar_one_axis)                                                                          \
  RL_OWN(X, chart_rules)                                                                           \
  RL_OWN(X, bar_one_start)                                                                         \
  RL_OWN(X, Place)                                                                                 \
  RL_OWN(X, lit)                                                                                   \
  RL_OWN(X, rolling)                                                                               \
  RL_OWN(X, tempo)                                                                                 \
  RL_OWN(X, part)                                                                                  \
  RL_OWN(X, chorus)                                                                                \
  RL_OWN(X, bar)                                                                                   \
  RL_OWN(X, bars)                                                                                  \
  RL_OWN(X, beat)                                                                                  \
  RL_OWN(X, beats)                                                                                 \
  RL_OWN(X, unit)                                                                                  \
  RL_OWN(X, sure)                                                                                  \
  RL_OWN(X, song_key)                                                                              \
  RL_OWN(X, now)                                                                                   \
  RL_OWN(X, next)                                                                                  \
  RL_OWN(X, now_degree)                                                                            \
  RL_OWN(X, next_degree)                                                                           \
  RL_OWN(X, beats_to_next)                                                                         \
  RL_OWN(X, target_hole)                                                                           \
  RL_OWN(X, target_technique)                                                                      \
  RL_OWN(X, target_degree)                                                                         \
  RL_OWN(X, target_note)                                                                           \
  RL_OWN(X, take_edit)                                                                             \
  RL_OWN(X, bar_one_edit)                                                                          \
  RL_OWN(X, bar_one_at)                                                                            \
  RL_OWN(X, bar_one_quarters)                                                                      \
  RL_OWN(X, loop_from)                                                                             \
  RL_OWN(X, loop_to)                                                                               \
  RL_OWN(X, Hearing)                                                                               \
  RL_OWN(X, hearing)                                                                               \
  RL_OWN(X, cents)                                                                                 \
  RL_OWN(X, key_heard)                                                                             \
  RL_OWN(X, key_sure)                                                                              \
  RL_OWN(X, show)                                                                                  \
  RL_OWN(X, landed_hole)                                                                           \
  RL_OWN(X, landed_technique)                                                                      \
  RL_OWN(X, Played)                                                                                \
  RL_OWN(X, holes)                                                                                 \
  RL_OWN(X, techniques)                                                                            \
  RL_OWN(X, notes)                                                                                 \
  RL_OWN(X, off)                                                                                   \
  RL_OWN(X, level)                                                                                 \
  RL_OWN(X, heard_at)                                                                              \
  RL_OWN(X, since)                                                                                 \
  RL_OWN(X, Hit)                                                                                   \
  RL_OWN(X, target)                                                                                \
  RL_OWN(X, quarters)                                                                              \
  RL_OWN(X, hole)                                                                                  \
  RL_OWN(X, technique)                                                                             \
  RL_OWN(X, note)                                                                                  \
  RL_OWN(X, practice)                                                                              \
  RL_OWN(X, lift)                                                                                  \
  RL_OWN(X, Picture)                                                                               \
  RL_OWN(X, title)                                                                                 \
  RL_OWN(X, lowest)                                                                                \
  RL_OWN(X, rows)                                                                                  \
  RL_OWN(X, columns)                                                                               \
  RL_OWN(X, first)                                                                                 \
  RL_OWN(X, begins)                                                                                \
  RL_OWN(X, ends)                                                                                  \
  RL_OWN(X, cells)                                                                                 \
  RL_OWN(X, hear_take)                                                                             \
  RL_OWN(X, sounds)

typedef struct {
#define X(name, uri) LV2_URID name;
  RL_URIS(X)
#undef X
  LV2_URID own; /* the URI of this plugin: stereo or mono */
} RlUris;

static inline void
rl_uris_map(RlUris *const uris, LV2_URID_Map *const map, const char *const own)
{
#define X(name, uri) uris->name = map->map(map->handle, uri);
  RL_URIS(X)
#undef X
  uris->own = map->map(map->handle, own);
}

#endif
