/* SPDX-License-Identifier: ISC */
/* A tape for tests in real hosts: an LV2 plugin that plays a recording along the host's transport,
   frame by frame, and nothing while that stands. The recording lies at the song's beginning.

     REEDLAMP_TAPE=FILE   a WAV file: mono, 16 bit, at the host's rate

   The same once more with one channel, for a microphone's track. */
#include <lv2/atom/atom.h>
#include <lv2/atom/util.h>
#include <lv2/core/lv2.h>
#include <lv2/time/time.h>
#include <lv2/urid/urid.h>

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CONTROL, IN_LEFT, IN_RIGHT, OUT_LEFT, OUT_RIGHT, PORTS, HEAD = 44 /* bytes */ };

typedef struct {
  bool     mono;
  void    *port[PORTS];
  int16_t *tape;
  int64_t  frames, at;
  bool     rolls;
  LV2_URID position, frame, speed, number, real;
} Tape;

static bool
tape_load(Tape *const t)
{
  const char *const path = getenv("REEDLAMP_TAPE");
  FILE *const       file = path ? fopen(path, "rb") : NULL;
  if (!file) {
    return false;
  }
  fseek(file, 0, SEEK_END);
  t->frames = (ftell(file) - HEAD) / (long)sizeof(int16_t);
  fseek(file, HEAD, SEEK_SET);
  t->tape = malloc((size_t)t->frames * sizeof(int16_t));
  const bool good =
    t->tape && fread(t->tape, sizeof(int16_t), (size_t)t->frames, file) == (size_t)t->frames;
  fclose(file);
  return good;
}

static LV2_Handle
instantiate(const LV2_Descriptor *const descriptor, const double rate, const char *const path,
            const LV2_Feature *const *const features)
{
  (void)rate;
  (void)path;
  Tape *const         t   = calloc(1, sizeof(Tape));
  const LV2_URID_Map *map = NULL;
  for (int i = 0; features[i]; ++i) {
    map = !strcmp(features[i]->URI, LV2_URID__map) ? features[i]->data : map;
  }
  if (!t || !map || !tape_load(t)) {
    free(t);
    return NULL;
  }
  t->mono     = !strcmp(descriptor->URI, "urn:reedlamp:tape-mono");
  t->position = map->map(map->handle, LV2_TIME__Position);
  t->frame    = map->map(map->handle, LV2_TIME__frame);
  t->speed    = map->map(map->handle, LV2_TIME__speed);
  t->number   = map->map(map->handle, LV2_ATOM__Long);
  t->real     = map->map(map->handle, LV2_ATOM__Float);
  return t;
}

static void
connect_port(const LV2_Handle handle, const uint32_t port, void *const data)
{
  static const uint32_t mono[] = {CONTROL, IN_LEFT, OUT_LEFT, PORTS, PORTS};
  Tape *const           t      = handle;
  const uint32_t        which  = port < PORTS && t->mono ? mono[port] : port;
  if (which < PORTS) {
    t->port[which] = data;
  }
}

static void
report_hear(Tape *const t, const LV2_Atom_Object *const object)
{
  const LV2_Atom *frame = NULL;
  const LV2_Atom *speed = NULL;
  lv2_atom_object_get(object, t->frame, &frame, t->speed, &speed, 0);
  if (frame && frame->type == t->number) {
    t->at = ((const LV2_Atom_Long *)frame)->body;
  }
  if (speed && speed->type == t->real) {
    t->rolls = ((const LV2_Atom_Float *)speed)->body > 0;
  }
}

static void
play(Tape *const t, uint32_t *const done, const uint32_t until)
{
  float *const left  = t->port[OUT_LEFT];
  float *const right = t->port[OUT_RIGHT];
  for (; *done < until; ++*done) {
    const bool sounds = t->rolls && t->at >= 0 && t->at < t->frames;
    left[*done]       = sounds ? (float)t->tape[t->at] / 32768 : 0;
    if (right) {
      right[*done] = left[*done];
    }
    t->at += t->rolls;
  }
}

static void
run(const LV2_Handle handle, const uint32_t frames)
{
  Tape *const                    t      = handle;
  const LV2_Atom_Sequence *const events = t->port[CONTROL];
  uint32_t                       done   = 0;
  LV2_ATOM_SEQUENCE_FOREACH(events, e)
  {
    const LV2_Atom_Object *const object = (const LV2_Atom_Object *)&e->body;
    play(t, &done, (uint32_t)e->time.frames);
    if (object->body.otype == t->position) {
      report_hear(t, object);
    }
  }
  play(t, &done, frames);
}

static void
cleanup(const LV2_Handle handle)
{
  free(((Tape *)handle)->tape);
  free(handle);
}

static const LV2_Descriptor descriptors[] = {
  {"urn:reedlamp:tape", instantiate, connect_port, NULL, run, NULL, cleanup, NULL},
  {"urn:reedlamp:tape-mono", instantiate, connect_port, NULL, run, NULL, cleanup, NULL}};

LV2_SYMBOL_EXPORT const LV2_Descriptor *
lv2_descriptor(const uint32_t index)
{
  return index < 2 ? &descriptors[index] : NULL;
}
