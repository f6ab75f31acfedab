/* SPDX-License-Identifier: ISC */
/* Events for the plugin's atom inputs. */
#include "plugin/host/inside.h"
#include "plugin/protocol/patch.h"

#include <lv2/atom/util.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void
rl_host_send(RlHost *const host, const char *const symbol, const int64_t frame,
             const LV2_Atom *const atom)
{
  RlHostPort *const        p    = rl_host_port(host, symbol);
  LV2_Atom_Sequence *const s    = (LV2_Atom_Sequence *)p->buffer;
  const uint32_t           size = (uint32_t)sizeof(LV2_Atom_Event) + lv2_atom_pad_size(atom->size);
  if (sizeof(LV2_Atom) + s->atom.size + size > p->size) {
    fprintf(stderr, "too much for one block on \"%s\"\n", symbol);
    abort();
  }
  char *const at = (char *)p->buffer + sizeof(LV2_Atom) + s->atom.size;
  memcpy(at, &frame, sizeof(frame));
  memcpy(at + sizeof(frame), atom, sizeof(LV2_Atom) + atom->size);
  s->atom.size += size;
}

typedef union {
  LV2_Atom atom;
  uint8_t  bytes[1 << 16];
} Scratch;

static void
put_long(LV2_Atom_Forge *const f, const LV2_URID key, const int64_t *const value)
{
  if (value) {
    lv2_atom_forge_key(f, key);
    lv2_atom_forge_long(f, *value);
  }
}

static void
put_float(LV2_Atom_Forge *const f, const LV2_URID key, const float *const value)
{
  if (value) {
    lv2_atom_forge_key(f, key);
    lv2_atom_forge_float(f, *value);
  }
}

static void
put_double(LV2_Atom_Forge *const f, const LV2_URID key, const double *const value)
{
  if (value) {
    lv2_atom_forge_key(f, key);
    lv2_atom_forge_double(f, *value);
  }
}

static void
put_int(LV2_Atom_Forge *const f, const LV2_URID key, const int32_t *const value)
{
  if (value) {
    lv2_atom_forge_key(f, key);
    lv2_atom_forge_int(f, *value);
  }
}

void
rl_host_send_position(RlHost *const host, const int64_t frame, const RlHostPosition *const p)
{
  Scratch               scratch;
  const RlUris *const   u = &host->uris;
  LV2_Atom_Forge *const f = &host->forge;
  LV2_Atom_Forge_Frame  object;
  lv2_atom_forge_set_buffer(f, scratch.bytes, sizeof(scratch));
  lv2_atom_forge_object(f, &object, 0, u->time_Position);
  put_long(f, u->time_frame, p->frame);
  put_float(f, u->time_speed, p->speed);
  put_float(f, u->time_barBeat, p->bar_beat);
  put_long(f, u->time_bar, p->bar);
  put_double(f, u->time_beat, p->beat);
  put_int(f, u->time_beatUnit, p->beat_unit);
  put_float(f, u->time_beatsPerBar, p->beats_per_bar);
  put_float(f, u->time_beatsPerMinute, p->beats_per_minute);
  lv2_atom_forge_pop(f, &object);
  rl_host_send(host, "control", frame, &scratch.atom);
}

void
rl_host_send_midi(RlHost *const host, const char *const symbol, const int64_t frame,
                  const uint8_t bytes[3])
{
  Scratch scratch;
  scratch.atom = (LV2_Atom){3, host->uris.midi_MidiEvent};
  memcpy(scratch.bytes + sizeof(LV2_Atom), bytes, 3);
  rl_host_send(host, symbol, frame, &scratch.atom);
}

void
rl_host_send_text(RlHost *const host, const int64_t frame, const char *const property,
                  const char *const type, const char *const text)
{
  Scratch            scratch;
  const RlPatchValue value = {0, rl_host_map(host, property), rl_host_map(host, type), text,
                              (uint32_t)strlen(text)};
  lv2_atom_forge_set_buffer(&host->forge, scratch.bytes, sizeof(scratch));
  rl_patch_set(&host->forge, &host->uris, &value);
  rl_host_send(host, "control", frame, &scratch.atom);
}

void
rl_host_send_get(RlHost *const host, const int64_t frame, const char *const property)
{
  Scratch scratch;
  lv2_atom_forge_set_buffer(&host->forge, scratch.bytes, sizeof(scratch));
  rl_patch_get(&host->forge, &host->uris, property ? rl_host_map(host, property) : 0);
  rl_host_send(host, "control", frame, &scratch.atom);
}
