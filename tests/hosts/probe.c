/* SPDX-License-Identifier: ISC */
/* A probe for tests in real hosts: an LV2 library that stands in for Reedlamp, passes every call on
   to the real one, and records what the host reports and what the plugin answers.

   cc -std=c11 -O1 -Wall -Wextra -shared -fPIC -o probe.so probe.c $(pkg-config --cflags lv2) -ldl

     REEDLAMP_TRACE=FILE   where to write; a second instance beside the first writes FILE.2, and so
                           on (an ended one's number is used again; who never ran writes nothing)
     REEDLAMP_REAL=SO      the real library; without it audio is copied, notify stays empty

   The host is given the real instance as its handle, so state, worker and options work unwrapped;
   a small table says what belongs to which. run() only copies bytes into a buffer allocated at
   instantiate; they are formatted at deactivate and cleanup, when the whole file is rewritten.

   The file, a record a line, fields apart by one space:
     # words                    about the file
     A | D                      activate, deactivate
     B number begin length      a block; begin is the sum of the lengths before it
     C tap bar_one stop         these inputs, when one of them is not 0
     M offset type ...          an event on midi_in
     I offset type ...          an event on control
     N offset type ...          an event on notify
     E offset type ...          an event on midi_out
     O chorus form_bar form_beat position sure heard_hole heard_technique heard_level
                                outputs after run(), every block
   MIDI goes on with its bytes in hex, any other event with its size, then an object with `key Kind
   value` for each property and the rest with `- Kind value`. Strings are quoted with \" \\ \n as C
   does, other control bytes as \xHH; URIs under a known prefix are shortened (time:frame), others
   stand in <>. */
#include <dlfcn.h>
#include <inttypes.h>
#include <lv2/atom/atom.h>
#include <lv2/atom/util.h>
#include <lv2/core/lv2.h>
#include <lv2/midi/midi.h>
#include <lv2/patch/patch.h>
#include <lv2/time/time.h>
#include <lv2/urid/urid.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { PORTS = 43, MOST = 64, ROOM = 96 << 20 };

/* The ports of plugin/protocol/ports.c, by their stereo index; the mono plugin lacks those marked
 * so. */
typedef enum { ATOM_IN, ATOM_OUT, AUDIO_IN, AUDIO_OUT, VALUE } Kind;
static const struct {
  const char *symbol;
  Kind        kind;
  bool        stereo_only;
} port_table[PORTS] = {
  {"control", ATOM_IN, 0},       {"notify", ATOM_OUT, 0},
  {"in_left", AUDIO_IN, 0},      {"in_right", AUDIO_IN, 1},
  {"out_left", AUDIO_OUT, 0},    {"out_right", AUDIO_OUT, 1},
  {"harp_in", AUDIO_IN, 0},      {"midi_out", ATOM_OUT, 0},
  {"enabled", VALUE, 0},         {"freewheel", VALUE, 0},
  {"song_key", VALUE, 0},        {"harp_key", VALUE, 0},
  {"harp_register", VALUE, 0},   {"tuning", VALUE, 0},
  {"start_bar", VALUE, 0},       {"count_by", VALUE, 0},
  {"clock", VALUE, 0},           {"tap", VALUE, 0},
  {"bar_one", VALUE, 0},         {"stop", VALUE, 0},
  {"bend_depth", VALUE, 0},      {"blow_bend_depth", VALUE, 0},
  {"overblows", VALUE, 0},       {"send_osc", VALUE, 0},
  {"capture", VALUE, 0},         {"chorus", VALUE, 0},
  {"form_bar", VALUE, 0},        {"form_beat", VALUE, 0},
  {"position", VALUE, 0},        {"sure", VALUE, 0},
  {"midi_in", ATOM_IN, 0},       {"half_time", VALUE, 0},
  {"double_time", VALUE, 0},     {"hearing", VALUE, 0},
  {"cents", VALUE, 0},           {"key_heard", VALUE, 0},
  {"key_sure", VALUE, 0},        {"show", VALUE, 0},
  {"harp_from", VALUE, 0},       {"heard_hole", VALUE, 0},
  {"heard_technique", VALUE, 0}, {"heard_cents", VALUE, 0},
  {"heard_level", VALUE, 0},
};
enum {
  CONTROL   = 0,
  NOTIFY    = 1,
  MIDI_OUT  = 7,
  FREEWHEEL = 9,
  TAP       = 17,
  BAR_ONE,
  STOP,
  CHORUS  = 25,
  MIDI_IN = 30,

  HEARD_HOLE      = 39,
  HEARD_TECHNIQUE = 40,
  HEARD_LEVEL     = 42
};

/* What run() leaves behind: a head, then `size` bytes, padded to 8. */
typedef struct {
  uint32_t mark, size;
  int64_t  where;
} Record;

typedef struct {
  LV2_Handle            real; /* what the host holds: the real instance, or this struct */
  const LV2_Descriptor *over; /* the real descriptor, or NULL */
  bool                  mono;
  int                   number;
  double                rate;
  void                 *port[PORTS]; /* by stereo index */
  LV2_URID_Map         *map;
  LV2_URID_Unmap       *unmap;
  LV2_URID t_int, t_long, t_float, t_double, t_bool, t_urid, t_string, t_path, t_uri, t_object,
    t_blank, t_sequence, t_midi;
  uint8_t *buffer;
  size_t   used, lost;
  uint64_t blocks;
  int64_t  frames;
} Trace;

static _Atomic(Trace *) traces[MOST];
static void            *library; /* the real one; stays open */

static Trace *
trace_of(LV2_Handle h)
{
  for (int i = 0; i < MOST; i++) {
    Trace *t = atomic_load(&traces[i]);
    if (t && t->real == h)
      return t;
  }
  return NULL;
}

/* ---- writing down, audio thread ---- */

static void
keep(Trace *t, char mark, int64_t where, const void *bytes, uint32_t size)
{
  const size_t all = sizeof(Record) + ((size + 7u) & ~(size_t)7u);
  if (t->lost || t->used + all > ROOM) {
    t->lost++;
    return;
  }
  const Record r = {(uint32_t)mark, size, where};
  memcpy(t->buffer + t->used, &r, sizeof r);
  if (size)
    memcpy(t->buffer + t->used + sizeof r, bytes, size);
  t->used += all;
}

static void
keep_events(Trace *t, char mark, const LV2_Atom_Sequence *s)
{
  if (!s || s->atom.type != t->t_sequence)
    return;
  LV2_ATOM_SEQUENCE_FOREACH(s, e)
  keep(t, mark, e->time.frames, &e->body, (uint32_t)sizeof e->body + e->body.size);
}

static float
value(const Trace *t, int port)
{
  return t->port[port] ? *(const float *)t->port[port] : 0.0f;
}

/* ---- making words of it, main thread ---- */

static const struct {
  const char *name, *uri;
} prefixes[] = {
  {"time", LV2_TIME_PREFIX},   {"atom", LV2_ATOM_PREFIX},     {"midi", LV2_MIDI_PREFIX},
  {"patch", LV2_PATCH_PREFIX}, {"reedlamp", "urn:reedlamp:"},
};

static void
put_urid(FILE *f, const Trace *t, LV2_URID u)
{
  const char *uri = u && t->unmap ? t->unmap->unmap(t->unmap->handle, u) : NULL;
  if (!u) {
    fputs("-", f);
    return;
  }
  if (!uri) {
    fprintf(f, "urid:%" PRIu32, u);
    return;
  }
  for (size_t i = 0; i < sizeof prefixes / sizeof *prefixes; i++) {
    const size_t n = strlen(prefixes[i].uri);
    if (!strncmp(uri, prefixes[i].uri, n)) {
      fprintf(f, "%s:%s", prefixes[i].name, uri + n);
      return;
    }
  }
  fprintf(f, "<%s>", uri);
}

static void
put_text(FILE *f, const char *s, uint32_t size)
{
  fputc('"', f);
  for (uint32_t i = 0; i < size && s[i]; i++) {
    const unsigned char c = (unsigned char)s[i];
    if (c == '"' || c == '\\')
      fprintf(f, "\\%c", c);
    else if (c == '\n')
      fputs("\\n", f);
    else if (c < 32 || c == 127)
      fprintf(f, "\\x%02x", c);
    else
      fputc(c, f);
  }
  fputc('"', f);
}

/* Kind and value of one atom; false where the atom is too small for its type. */
static void
put_atom(FILE *f, const Trace *t, const LV2_Atom *a)
{
  const void *b = LV2_ATOM_BODY_CONST(a);
  int32_t     i32;
  int64_t     i64;
  float       f32;
  double      f64;
  uint32_t    u32;
  if (a->type == t->t_int && a->size >= 4) {
    memcpy(&i32, b, 4);
    fprintf(f, "Int %" PRId32, i32);
  } else if (a->type == t->t_bool && a->size >= 4) {
    memcpy(&i32, b, 4);
    fprintf(f, "Bool %" PRId32, i32);
  } else if (a->type == t->t_long && a->size >= 8) {
    memcpy(&i64, b, 8);
    fprintf(f, "Long %" PRId64, i64);
  } else if (a->type == t->t_float && a->size >= 4) {
    memcpy(&f32, b, 4);
    fprintf(f, "Float %.9g", (double)f32);
  } else if (a->type == t->t_double && a->size >= 8) {
    memcpy(&f64, b, 8);
    fprintf(f, "Double %.17g", f64);
  } else if (a->type == t->t_urid && a->size >= 4) {
    memcpy(&u32, b, 4);
    fputs("URID ", f);
    put_urid(f, t, u32);
  } else if (a->type == t->t_string) {
    fputs("String ", f);
    put_text(f, b, a->size);
  } else if (a->type == t->t_path) {
    fputs("Path ", f);
    put_text(f, b, a->size);
  } else if (a->type == t->t_uri) {
    fputs("URI ", f);
    put_text(f, b, a->size);
  } else {
    put_urid(f, t, a->type);
    fprintf(f, " size=%" PRIu32, a->size);
  }
}

static void
put_event(FILE *f, const Trace *t, char mark, int64_t where, const LV2_Atom *a)
{
  fprintf(f, "%c %" PRId64 " ", mark, where);
  if ((a->type == t->t_object || a->type == t->t_blank) &&
      a->size >= sizeof(LV2_Atom_Object_Body)) {
    const LV2_Atom_Object *o = (const LV2_Atom_Object *)a;
    put_urid(f, t, o->body.otype);
    fprintf(f, " %" PRIu32, a->size);
    LV2_ATOM_OBJECT_FOREACH(o, p)
    {
      fputc(' ', f);
      put_urid(f, t, p->key);
      fputc(' ', f);
      put_atom(f, t, &p->value);
    }
  } else if (a->type == t->t_midi) {
    put_urid(f, t, a->type);
    for (uint32_t i = 0; i < a->size; i++)
      fprintf(f, " %02x", ((const uint8_t *)LV2_ATOM_BODY_CONST(a))[i]);
  } else {
    put_urid(f, t, a->type);
    fprintf(f, " %" PRIu32 " - ", a->size);
    put_atom(f, t, a);
  }
  fputc('\n', f);
}

static void
write_down(const Trace *t)
{
  const char *name = getenv("REEDLAMP_TRACE");
  char        path[4096];
  if (!name || !*name || !t->blocks)
    return;
  if (t->number > 1)
    snprintf(path, sizeof path, "%s.%d", name, t->number);
  else
    snprintf(path, sizeof path, "%s", name);
  FILE *f = fopen(path, "w");
  if (!f) {
    fprintf(stderr, "probe: cannot write %s\n", path);
    return;
  }
  fprintf(f, "# reedlamp trace 1\n# plugin %s\n# rate %.9g\n# real %d\n",
          t->mono ? "urn:reedlamp:mono" : "urn:reedlamp:plugin", t->rate, t->over != NULL);
  for (size_t at = 0; at < t->used;) {
    Record r;
    memcpy(&r, t->buffer + at, sizeof r);
    const uint8_t *body = t->buffer + at + sizeof r;
    at += sizeof r + ((r.size + 7u) & ~(size_t)7u);
    switch (r.mark) {
    case 'B': {
      int64_t n;
      memcpy(&n, body, 8);
      uint32_t length;
      memcpy(&length, body + 8, 4);
      fprintf(f, "B %" PRId64 " %" PRId64 " %" PRIu32 "\n", n, r.where, length);
      break;
    }
    case 'C':
    case 'O': {
      float v[8];
      memcpy(v, body, r.size);
      fputc((char)r.mark, f);
      for (size_t i = 0; i < r.size / sizeof *v; i++)
        fprintf(f, " %.9g", (double)v[i]);
      fputc('\n', f);
      break;
    }
    case 'M':
    case 'I':
    case 'N':
    case 'E':
      put_event(f, t, (char)r.mark, r.where, (const LV2_Atom *)body);
      break;
    default:
      fprintf(f, "%c\n", (char)r.mark);
    }
  }
  if (t->lost)
    fprintf(f, "# buffer full, %zu records lost\n", t->lost);
  fclose(f);
}

/* ---- the plugin the host sees ---- */

static const LV2_Descriptor *
real_descriptor(const char *uri)
{
  const char *name = getenv("REEDLAMP_REAL");
  if (!name || !*name)
    return NULL;
  if (!library && !(library = dlopen(name, RTLD_NOW | RTLD_LOCAL))) {
    fprintf(stderr, "probe: %s\n", dlerror());
    return NULL;
  }
  LV2_Descriptor_Function get;
  *(void **)&get = dlsym(library, "lv2_descriptor");
  for (uint32_t i = 0; get; i++) {
    const LV2_Descriptor *d = get(i);
    if (!d)
      break;
    if (!strcmp(d->URI, uri))
      return d;
  }
  fprintf(stderr, "probe: no %s in %s\n", uri, name);
  return NULL;
}

static void
forget(Trace *t)
{
  free(t->buffer);
  free(t);
}

static LV2_Handle
instantiate(const LV2_Descriptor *d, double rate, const char *bundle,
            const LV2_Feature *const *features)
{
  Trace *t = calloc(1, sizeof *t);
  if (!t)
    return NULL;
  t->buffer = malloc(ROOM);
  t->mono   = !strcmp(d->URI, "urn:reedlamp:mono");
  t->rate   = rate;
  for (int i = 0; features && features[i]; i++) {
    if (!features[i]->URI) /* lv2file 0.95 */
      continue;
    if (!strcmp(features[i]->URI, LV2_URID__map))
      t->map = features[i]->data;
    if (!strcmp(features[i]->URI, LV2_URID__unmap))
      t->unmap = features[i]->data;
  }
  if (!t->buffer || !t->map) {
    forget(t);
    return NULL;
  }
#define MAP(field, uri) t->field = t->map->map(t->map->handle, uri)
  MAP(t_int, LV2_ATOM__Int);
  MAP(t_long, LV2_ATOM__Long);
  MAP(t_float, LV2_ATOM__Float);
  MAP(t_double, LV2_ATOM__Double);
  MAP(t_bool, LV2_ATOM__Bool);
  MAP(t_urid, LV2_ATOM__URID);
  MAP(t_string, LV2_ATOM__String);
  MAP(t_path, LV2_ATOM__Path);
  MAP(t_uri, LV2_ATOM__URI);
  MAP(t_object, LV2_ATOM__Object);
  MAP(t_blank, LV2_ATOM__Blank);
  MAP(t_sequence, LV2_ATOM__Sequence);
  MAP(t_midi, LV2_MIDI__MidiEvent);
#undef MAP
  const char *name = getenv("REEDLAMP_REAL");
  if (name && *name) {
    if (!(t->over = real_descriptor(d->URI))) {
      forget(t);
      return NULL;
    }
    char folder[4096];
    snprintf(folder, sizeof folder, "%s", name);
    char *slash = strrchr(folder, '/');
    if (slash)
      slash[1] = 0;
    t->real = t->over->instantiate(t->over, rate, slash ? folder : bundle, features);
    if (!t->real) {
      forget(t);
      return NULL;
    }
  } else
    t->real = t;
  for (int i = 0; i < MOST; i++) {
    Trace *none = NULL;
    t->number   = i + 1;
    if (atomic_compare_exchange_strong(&traces[i], &none, t))
      return t->real;
  }
  fprintf(stderr, "probe: more than %d instances\n", MOST);
  if (t->over)
    t->over->cleanup(t->real);
  forget(t);
  return NULL;
}

static void
connect_port(LV2_Handle h, uint32_t port, void *data)
{
  Trace *t = trace_of(h);
  if (t->over)
    t->over->connect_port(h, port, data);
  for (uint32_t i = 0, index = 0; i < PORTS; i++) {
    if (t->mono && port_table[i].stereo_only)
      continue;
    if (index++ == port) {
      t->port[i] = data;
      return;
    }
  }
}

static void
activate(LV2_Handle h)
{
  Trace *t = trace_of(h);
  keep(t, 'A', 0, NULL, 0);
  if (t->over && t->over->activate)
    t->over->activate(h);
}

static void
dumb_run(Trace *t, uint32_t n)
{
  for (int i = 0; i < PORTS; i++) {
    LV2_Atom_Sequence *s = t->port[i];
    if (port_table[i].kind == ATOM_OUT && s) {
      s->atom.type = t->t_sequence;
      s->atom.size = sizeof s->body;
      s->body.unit = s->body.pad = 0;
    }
    if (port_table[i].kind == AUDIO_OUT && t->port[i] && t->port[i - 2] &&
        t->port[i] != t->port[i - 2])
      memmove(t->port[i], t->port[i - 2], n * sizeof(float));
  }
}

static void
run(LV2_Handle h, uint32_t n)
{
  Trace *t = trace_of(h);
  struct {
    uint64_t number;
    uint32_t length, pad;
  } block = {t->blocks++, n, 0};
  keep(t, 'B', t->frames, &block, sizeof block);
  t->frames += n;
  const float in[] = {value(t, TAP), value(t, BAR_ONE), value(t, STOP)};
  if (in[0] != 0 || in[1] != 0 || in[2] != 0)
    keep(t, 'C', 0, in, sizeof in);
  keep_events(t, 'M', t->port[MIDI_IN]);
  keep_events(t, 'I', t->port[CONTROL]);
  if (t->over)
    t->over->run(h, n);
  else
    dumb_run(t, n);
  keep_events(t, 'N', t->port[NOTIFY]);
  keep_events(t, 'E', t->port[MIDI_OUT]);
  float out[8];
  for (int i = 0; i < 5; i++)
    out[i] = value(t, CHORUS + i);
  out[5] = value(t, HEARD_HOLE);
  out[6] = value(t, HEARD_TECHNIQUE);
  out[7] = value(t, HEARD_LEVEL);
  keep(t, 'O', 0, out, sizeof out);
}

static void
deactivate(LV2_Handle h)
{
  Trace *t = trace_of(h);
  if (t->over && t->over->deactivate)
    t->over->deactivate(h);
  keep(t, 'D', 0, NULL, 0);
  write_down(t);
}

static void
cleanup(LV2_Handle h)
{
  Trace *t = trace_of(h);
  for (int i = 0; i < MOST; i++) {
    Trace *me = t;
    if (atomic_compare_exchange_strong(&traces[i], &me, NULL))
      break;
  }
  write_down(t);
  if (t->over)
    t->over->cleanup(h);
  forget(t);
}

static const void *
extension(const char *plugin, const char *uri)
{
  const LV2_Descriptor *d = real_descriptor(plugin);
  return d && d->extension_data ? d->extension_data(uri) : NULL;
}
static const void *
extension_stereo(const char *uri)
{
  return extension("urn:reedlamp:plugin", uri);
}
static const void *
extension_mono(const char *uri)
{
  return extension("urn:reedlamp:mono", uri);
}

static const LV2_Descriptor stereo = {
  "urn:reedlamp:plugin", instantiate, connect_port, activate, run, deactivate, cleanup,
  extension_stereo};
static const LV2_Descriptor mono = {"urn:reedlamp:mono", instantiate, connect_port,  activate, run,
                                    deactivate,          cleanup,     extension_mono};

LV2_SYMBOL_EXPORT const LV2_Descriptor *
lv2_descriptor(uint32_t index)
{
  return index == 0 ? &stereo : index == 1 ? &mono : NULL;
}
