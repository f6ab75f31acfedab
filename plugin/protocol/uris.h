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
#define RL_URI(name)  "urn:reedlamp:" name

/* Ardour's own field in time:Position: how fast run() is called against the transport. */
#define RL_ARDOUR_SCALE "http://ardour.org/lv2/time#scale"

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
  X(rl_chart, RL_URI("chart"))                                                                     \
  X(rl_chart_file, RL_URI("chart_file"))                                                           \
  X(rl_take, RL_URI("take"))                                                                       \
  X(rl_taking, RL_URI("taking"))                                                                   \
  X(rl_plan, RL_URI("plan"))                                                                       \
  X(rl_osc_to, RL_URI("osc_to"))                                                                   \
  X(rl_problem, RL_URI("problem"))                                                                 \
  X(rl_bar_one, RL_URI("bar_one"))                                                                 \
  X(rl_bar_one_axis, RL_URI("bar_one_axis"))                                                       \
  X(rl_bar_one_start, RL_URI("bar_one_start"))                                                     \
  X(rl_Place, RL_URI("Place"))                                                                     \
  X(rl_lit, RL_URI("lit"))                                                                         \
  X(rl_rolling, RL_URI("rolling"))                                                                 \
  X(rl_tempo, RL_URI("tempo"))                                                                     \
  X(rl_part, RL_URI("part"))                                                                       \
  X(rl_chorus, RL_URI("chorus"))                                                                   \
  X(rl_bar, RL_URI("bar"))                                                                         \
  X(rl_bars, RL_URI("bars"))                                                                       \
  X(rl_beat, RL_URI("beat"))                                                                       \
  X(rl_beats, RL_URI("beats"))                                                                     \
  X(rl_unit, RL_URI("unit"))                                                                       \
  X(rl_sure, RL_URI("sure"))                                                                       \
  X(rl_song_key, RL_URI("song_key"))                                                               \
  X(rl_now, RL_URI("now"))                                                                         \
  X(rl_next, RL_URI("next"))                                                                       \
  X(rl_now_degree, RL_URI("now_degree"))                                                           \
  X(rl_next_degree, RL_URI("next_degree"))                                                         \
  X(rl_beats_to_next, RL_URI("beats_to_next"))                                                     \
  X(rl_target_hole, RL_URI("target_hole"))                                                         \
  X(rl_target_technique, RL_URI("target_technique"))                                               \
  X(rl_target_degree, RL_URI("target_degree"))                                                     \
  X(rl_target_note, RL_URI("target_note"))

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
