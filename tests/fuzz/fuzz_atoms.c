/* SPDX-License-Identifier: ISC */
/* Feeds run() anything: events as raw bytes, events that are well formed but say wild things,
   control ports that hold any float, any block length, any room on `notify`, ports left unconnected
   or sharing buffers, a worker that comes late. What comes out must be what README.md promises.
   A libFuzzer harness (see tests/fuzz/seeds.sh for a corpus to begin with):

     clang -std=c11 -D_POSIX_C_SOURCE=200809L -g -O2 -Icore \
       -fsanitize=fuzzer,address,undefined,float-cast-overflow -fno-sanitize-recover=all \
       -Wl,--wrap=malloc,--wrap=calloc,--wrap=strdup,--wrap=free,--wrap=rl_target_line_find \
       tests/fuzz/fuzz_atoms.c tests/fuzz/pool.c plugin/(the plugin's).c core/(all).c -lm \
       -o fuzz_atoms
     fuzz_atoms -max_len=512 CORPUS

   With -fno-sanitize-coverage=trace-cmp it runs twice as many inputs in the same time.

   RL_PLANTED_BUG, defined for one build only (with -Wl,--wrap=rl_property_next), takes one check of
   a size out of the plugin, so that one can see the fuzzer find it: a fuzzer that finds nothing
   there finds nothing anywhere. */
#include "inside.h"

#include <sanitizer/asan_interface.h>

#include <math.h>

int LLVMFuzzerInitialize(int *argc, char ***argv);
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#ifdef RL_PLANTED_BUG
bool __wrap_rl_property_next(RlWalk *walk, LV2_URID *key, RlAtom *value);
void __asan_on_error(void);

static bool believed; /* a size that is more than is left */

/* The planted bug's own message, for run.py. */
void
__asan_on_error(void)
{
  if (believed) {
    fputs("fuzz_atoms: planted: the size in the head of a property was believed\n", stderr);
  }
}

/* Believes what the head of a property says about the length of its value. */
bool
__wrap_rl_property_next(RlWalk *const walk, LV2_URID *const key, RlAtom *const value)
{
  uint32_t head[4];
  if (walk->left < sizeof(head)) {
    return false;
  }
  memcpy(head, walk->at, sizeof(head));
  const uint32_t size = (head[2] + 7U) & ~7U;
  const uint32_t step = size < walk->left - 16 ? size + 16 : walk->left;
  believed            = believed || head[2] > walk->left - 16;
  *key                = head[0];
  *value              = (RlAtom){walk->at + 16, head[2], head[3]};
  *walk               = (RlWalk){walk->at + step, walk->left - step};
  return true;
}
#endif

enum { FRAMES_MAX = 2048, EVENTS_SIZE = 1 << 16, NOTIFY_SIZE = 1 << 16, STEPS_MAX = 256 };

/* A port buffer; all of it poisoned but what the port may touch. */
typedef struct {
  _Alignas(16) char bytes[EVENTS_SIZE + 64];
  char    *at;   /* where the port's atom begins: hosts know 4-byte boundaries too */
  uint32_t used; /* of an input: bytes, head included */
} Buffer;

static Instance instances[2];
static Buffer   events[2], notify, midi_out; /* `control` and `midi_in` */
static uint32_t notify_capacity, midi_capacity;
static uint32_t left_side[FRAMES_MAX], right_side[FRAMES_MAX]; /* the track, any bits */
static uint32_t in[2][FRAMES_MAX + 1], out[2][FRAMES_MAX + 1], silence[FRAMES_MAX + 1];
static float    control[RL_PORTS];

/* What this input is about. */
static Instance *now;
static RlUris   *uris;
static bool      mono;

/* ---- the line: the dearest part of a chart and of a change of the harp ---- */

static bool line_wanted; /* by half of the inputs; without it no chord has a target */

void __real_rl_target_line_find(const RlForm *form, RlKey key, const RlHarp *harp, RlPlayer player,
                                RlTargetLineWorkspace *room, RlTargetLine *line);
void __wrap_rl_target_line_find(const RlForm *form, RlKey key, const RlHarp *harp, RlPlayer player,
                                RlTargetLineWorkspace *room, RlTargetLine *line);

void
__wrap_rl_target_line_find(const RlForm *const form, const RlKey key, const RlHarp *const harp,
                           const RlPlayer player, RlTargetLineWorkspace *const room,
                           RlTargetLine *const line)
{
  if (line_wanted) {
    __real_rl_target_line_find(form, key, harp, player, room, line);
  }
}

/* ---- ports ---- */

static void
buffer_begin(Buffer *const b, const unsigned offset)
{
  __asan_poison_memory_region(b->bytes, sizeof(b->bytes));
  b->at   = b->bytes + (offset & 1 ? 4 : 8);
  b->used = 0;
}

static void
events_clear(Buffer *const b)
{
  const LV2_Atom_Sequence head = {{8, uris->atom_Sequence}, {0, 0}};
  __asan_poison_memory_region(b->at, b->used);
  __asan_unpoison_memory_region(b->at, sizeof(head));
  memcpy(b->at, &head, sizeof(head));
  b->used = sizeof(head);
}

static void
events_add(Buffer *const b, const void *const bytes, const size_t size)
{
  if (size && b->used + size <= EVENTS_SIZE) {
    __asan_unpoison_memory_region(b->at + b->used, size);
    memcpy(b->at + b->used, bytes, size);
    b->used += (uint32_t)size;
    const uint32_t body = b->used - (uint32_t)sizeof(LV2_Atom);
    memcpy(b->at, &body, sizeof(body));
  }
}

/* The capacity is what lies behind the atom's head (specification of atom:AtomPort). */
static void
output_open(Buffer *const b, const uint32_t capacity)
{
  const LV2_Atom head = {capacity, 0};
  const uint32_t room = capacity + (uint32_t)sizeof(head);
  __asan_unpoison_memory_region(b->at, room);
  memcpy(b->at, &head, sizeof(head));
  b->used = room;
}

static void
output_close(Buffer *const b)
{
  __asan_poison_memory_region(b->at, b->used);
}

/* The index of every port, by [mono]; UINT32_MAX where mono has none. */
static uint32_t indices[2][RL_PORTS];

static void
indices_find(void)
{
  memset(indices, 0xFF, sizeof(indices));
  for (uint32_t which = 0; which < 2; ++which) {
    for (uint32_t i = 0; rl_port_at(i, which) != RL_PORTS; ++i) {
      indices[which][rl_port_at(i, which)] = i;
    }
  }
}

static void
connect_to(const RlPort port, void *const data)
{
  descriptor()->connect_port(now->processor, indices[mono][port], data);
}

/* How the sides share buffers; see audio_check(). */
typedef enum { APART, IN_PLACE, CROSSED, IN_UNCONNECTED, OUT_UNCONNECTED, WIRINGS } Wiring;

static Wiring wiring;

static void
audio_connect(const Wiring to)
{
  wiring = to;
  connect_to(RL_PORT_IN_LEFT, to == IN_UNCONNECTED ? NULL : in[0]);
  connect_to(RL_PORT_IN_RIGHT, to == IN_UNCONNECTED ? NULL : in[1]);
  uint32_t *const outs[WIRINGS][2] = {[APART]           = {out[0], out[1]},
                                      [IN_PLACE]        = {in[0], in[1]},
                                      [CROSSED]         = {in[1], in[0]},
                                      [IN_UNCONNECTED]  = {out[0], out[1]},
                                      [OUT_UNCONNECTED] = {NULL, NULL}};
  connect_to(RL_PORT_OUT_LEFT, outs[to][0]);
  connect_to(RL_PORT_OUT_RIGHT, outs[to][1]);
}

static void
ports_connect(void)
{
  audio_connect(APART);
  for (int port = RL_FIRST_INPUT; port < RL_PORTS; ++port) {
    control[port] = rl_ports[port].standard;
    connect_to((RlPort)port, &control[port]);
  }
  connect_to(RL_PORT_HARP_IN, silence);
  connect_to(RL_PORT_CONTROL, events[0].at);
  connect_to(RL_PORT_MIDI_IN, events[1].at);
  connect_to(RL_PORT_NOTIFY, notify.at);
  connect_to(RL_PORT_MIDI_OUT, midi_out.at);
}

/* ---- what came out ---- */

static bool
within(const double value, const double low, const double high)
{
  return value >= low && value <= high; /* false for what is not a number */
}

static bool
whole(const RlPort port)
{
  const double value = (double)control[port];
  return within(value, (double)rl_ports[port].low, (double)rl_ports[port].high) &&
         floor(value) == value;
}

static void
values_check(void)
{
  const RlPlace *const place = &now->processor->follower.now.place;
  const double         beat  = (double)control[RL_PORT_FORM_BEAT];
  DEMAND(place->part == RL_PART_NOWHERE || (place->beat >= 0 && place->beat < place->beats));
  DEMAND(whole(RL_PORT_CHORUS));
  DEMAND(whole(RL_PORT_FORM_BAR));
  DEMAND(whole(RL_PORT_POSITION));
  DEMAND(within((double)control[RL_PORT_SURE], 0, 1));
  DEMAND(beat == 0 || within(beat, 1, 33));
  DEMAND(beat == 0 || beat < place->beats + 1);
  DEMAND((beat == 0) == (control[RL_PORT_FORM_BAR] == 0));
  DEMAND(control[RL_PORT_SURE] > 0 || beat == 0);
  DEMAND(whole(RL_PORT_HEARING));
  DEMAND(whole(RL_PORT_KEY_HEARD));
  DEMAND(within((double)control[RL_PORT_CENTS], -50, 50));
  DEMAND(within((double)control[RL_PORT_KEY_SURE], 0, 1));
  DEMAND(whole(RL_PORT_HEARD_HOLE));
  DEMAND(whole(RL_PORT_HEARD_TECHNIQUE));
  DEMAND(within((double)control[RL_PORT_HEARD_CENTS], -100, 100));
  DEMAND(within((double)control[RL_PORT_HEARD_LEVEL], -120, 0));
}

static void
audio_check(const uint32_t frames)
{
  const size_t    size  = frames * sizeof(float);
  uint32_t *const left  = wiring == IN_PLACE ? in[0] : wiring == CROSSED ? in[1] : out[0];
  uint32_t *const right = wiring == IN_PLACE ? in[1] : wiring == CROSSED ? in[0] : out[1];
  const bool      heard = wiring == APART || wiring == IN_PLACE || (wiring == CROSSED && !mono);
  DEMAND(!heard || !memcmp(left, left_side, size));
  DEMAND(!heard || mono || !memcmp(right, right_side, size));
  DEMAND(out[0][frames] == 0 && out[1][frames] == 0); /* nothing written past the end */
  if (wiring == CROSSED) {
    memcpy(in[0], left_side, size);
    memcpy(in[1], right_side, size);
  }
}

static void
audio_clear(const uint32_t frames)
{
  memset(out[0], 0, (frames + 1) * sizeof(float));
  memset(out[1], 0, (frames + 1) * sizeof(float));
}

/* A well-formed object of known types, its texts ended, its numbers finite. Returns its properties.
 */
static int
object_check(const LV2_Atom_Object *const object)
{
  int count = 0;
  LV2_ATOM_OBJECT_FOREACH(object, p)
  {
    const char *const end  = (const char *)&object->body + object->atom.size;
    const LV2_URID    type = p->value.type;
    const char *const body = (const char *)LV2_ATOM_BODY_CONST(&p->value);
    DEMAND(body + p->value.size <= end);
    DEMAND(p->key && p->key <= urids && !p->context);
    if (type == uris->atom_String || type == uris->atom_Path) {
      DEMAND(p->value.size && !body[p->value.size - 1] && strlen(body) == p->value.size - 1);
      DEMAND(rl_slice_bad_byte(rl_slice(body)) < 0 || p->key == uris->patch_value);
    } else if (type == uris->atom_Float) {
      DEMAND(p->value.size == 4 && isfinite(((const LV2_Atom_Float *)&p->value)->body));
    } else if (type == uris->atom_Double) {
      DEMAND(p->value.size == 8 && isfinite(((const LV2_Atom_Double *)&p->value)->body));
    } else if (type == uris->atom_Vector) { /* of at most three numbers of four bytes */
      DEMAND(p->value.size >= 8 && p->value.size <= 20 && p->value.size % 4 == 0);
    } else {
      DEMAND((type == uris->atom_Int || type == uris->atom_URID) && p->value.size == 4);
    }
    ++count;
  }
  return count;
}

/* What is neither a place nor a property: has it all that it should? */
static bool
other_check(const LV2_URID type, const int count)
{
  enum { HEARING = 3, PLAYED = 8, HIT = 8 };
  const bool hearing = type == uris->rl_Hearing, played = type == uris->rl_Played;
  const bool hit = type == uris->rl_Hit;
  DEMAND(!hearing || count == HEARING || count == HEARING + 1); /* `cents` once they are known */
  DEMAND(!played || count == PLAYED || count == PLAYED + 3);    /* where it began */
  DEMAND(!hit || count == HIT);
  return hearing || played || hit;
}

typedef struct {
  int places, sets;
} Told;

static Told
notify_check(const uint32_t frames)
{
  enum { PLACE_PROPERTIES = 21, SET_PROPERTIES = 3, PLACE_BYTES = 700 };
  static _Alignas(8) char        copy[NOTIFY_SIZE + 8]; /* the port's own may stand anywhere */
  const LV2_Atom_Sequence *const s    = (const LV2_Atom_Sequence *)copy;
  const int64_t                  last = frames ? (int64_t)frames - 1 : 0;
  int64_t                        from = 0;
  Told                           told = {0, 0};
  memcpy(copy, notify.at, sizeof(LV2_Atom));
  DEMAND(s->atom.type == uris->atom_Sequence);
  DEMAND(s->atom.size <= notify_capacity);
  memcpy(copy, notify.at, sizeof(LV2_Atom) + s->atom.size);
  if (s->atom.size < sizeof(s->body)) {
    DEMAND(s->atom.size == 0 && notify_capacity < sizeof(*s));
    return told;
  }
  DEMAND(s->body.unit == 0);
  const char *const end = (const char *)&s->body + s->atom.size;
  LV2_ATOM_SEQUENCE_FOREACH(s, event)
  {
    const int64_t                frame  = event->time.frames;
    const LV2_Atom_Object *const object = (const LV2_Atom_Object *)&event->body;
    DEMAND((const char *)(event + 1) + event->body.size <= end);
    DEMAND(frame >= from && frame <= last);
    DEMAND(event->body.type == uris->atom_Object);
    const int  count = object_check(object);
    const bool place = object->body.otype == uris->rl_Place;
    if (other_check(object->body.otype, count)) {
      from = frame;
      continue;
    }
    DEMAND(place || object->body.otype == uris->patch_Set);
    /* properties that a place has only at times */
    const LV2_URID keys[] = {
      uris->rl_taking,      uris->rl_bar_one_at,       uris->rl_bar_one_quarters,
      uris->rl_loop_from,   uris->rl_loop_to,          uris->rl_show,
      uris->rl_landed_hole, uris->rl_landed_technique, uris->rl_sounds};
    int more = 0;
    for (size_t i = 0; i < sizeof(keys) / sizeof(keys[0]); ++i) {
      const LV2_Atom *found = NULL;
      lv2_atom_object_get(object, keys[i], &found, 0);
      more += found != NULL;
    }
    DEMAND(count == (place ? PLACE_PROPERTIES + more : SET_PROPERTIES));
    DEMAND(!place || sizeof(LV2_Atom_Event) + event->body.size < PLACE_BYTES);
    told.places += place;
    told.sets += !place;
    from = frame;
  }
  return told;
}

/* Whole messages (notes of the plan, or what came in) in order, inside the block and the port's
 * capacity. */
static void
midi_out_check(const uint32_t frames)
{
  LV2_Atom head;
  int64_t  from = 0;
  if (!now->processor->port[RL_PORT_MIDI_OUT]) {
    return;
  }
  memcpy(&head, midi_out.at, sizeof(head));
  DEMAND(head.type == uris->atom_Sequence);
  if (midi_capacity < sizeof(LV2_Atom_Sequence)) {
    DEMAND(!head.size);
    return;
  }
  DEMAND(head.size >= 8 && sizeof(head) + head.size <= midi_capacity);
  for (uint32_t at = 8; at < head.size;) {
    LV2_Atom_Event       event; /* the port is aligned to four bytes only */
    const uint8_t *const midi = (const uint8_t *)midi_out.at + sizeof(head) + at + sizeof(event);
    DEMAND(head.size - at >= sizeof(event));
    memcpy(&event, midi_out.at + sizeof(head) + at, sizeof(event));
    at += (uint32_t)sizeof(event) + ((event.body.size + 7U) & ~7U);
    DEMAND(event.body.type == uris->midi_MidiEvent && event.body.size && at <= head.size);
    DEMAND(event.time.frames >= from && event.time.frames < (frames ? frames : 1));
    DEMAND(midi[0] >= 0x80 && (event.body.size != 3 || (midi[1] < 128 && midi[2] < 128)));
    from = event.time.frames;
  }
}

static Told
block_run(const uint32_t frames)
{
  output_open(&notify, notify_capacity);
  output_open(&midi_out, midi_capacity);
  for (int port = RL_PORT_CHORUS; port < RL_PORTS; ++port) {
    control[port] = rl_ports[port].kind == RL_KIND_OUT ? (float)NAN : control[port];
  }
  audio_clear(frames);
  instance_run(now, frames);
  values_check();
  audio_check(frames);
  midi_out_check(frames);
  const Told told = now->processor->port[RL_PORT_NOTIFY] ? notify_check(frames) : (Told){0, 0};
  output_close(&notify);
  output_close(&midi_out);
  events_clear(&events[0]);
  events_clear(&events[1]);
  return told;
}

/* ---- events that are well formed, whatever they say ---- */

typedef union {
  LV2_Atom      atom;
  unsigned char bytes[1 << 15];
} Scratch;

static LV2_Atom_Forge forge;
static Scratch        scratch;

static int64_t
any_frame(Feed *const feed)
{
  static const int64_t wild[] = {INT64_MIN, -1, INT64_MAX, 1 << 30, FRAMES_MAX, UINT32_MAX};
  const unsigned       how    = feed_byte(feed);
  return how < 250 ? (int64_t)(how & 1 ? how / 2 : how * 8) : wild[how - 250];
}

static double
any_number(Feed *const feed, const unsigned how)
{
  static const double values[] = {
    0,    1,     2,      3,     4,     6,           7,        8,         12,   16,    32,
    -1,   0.5,   0.25,   1.5,   3.999, 120,         123.4,    10000,     1e5,  48000, 1e6,
    1e18, 1e300, 5e-324, -1e18, -0.0,  (double)NAN, HUGE_VAL, -HUGE_VAL, 0.125};
  enum { VALUES = sizeof(values) / sizeof(values[0]) };
  double raw;
  if (how < VALUES) {
    return values[how];
  }
  const uint64_t bits = feed_bytes(feed, 8);
  memcpy(&raw, &bits, sizeof(raw));
  return raw;
}

static int64_t
long_of(const double value)
{
  return value >= 9e18 ? INT64_MAX : value > -9e18 ? (int64_t)value : INT64_MIN;
}

static int32_t
int_of(const double value)
{
  return value >= 2147483647.0 ? INT32_MAX : value > -2147483648.0 ? (int32_t)value : INT32_MIN;
}

/* A value of a type that one might meet: its own most of the time. */
static void
any_value(Feed *const feed, const LV2_URID own)
{
  const unsigned how     = feed_byte(feed);
  const LV2_URID types[] = {own,
                            own,
                            own,
                            uris->atom_Int,
                            uris->atom_Long,
                            uris->atom_Float,
                            uris->atom_Double,
                            uris->atom_String};
  const LV2_URID type    = types[how >> 5];
  const double   value   = any_number(feed, how & 31);
  if (type == uris->atom_Int) {
    lv2_atom_forge_int(&forge, int_of(value));
  } else if (type == uris->atom_Long) {
    lv2_atom_forge_long(&forge, long_of(value));
  } else if (type == uris->atom_Float) {
    lv2_atom_forge_float(&forge, (float)value);
  } else if (type == uris->atom_Double) {
    lv2_atom_forge_double(&forge, value);
  } else {
    lv2_atom_forge_string(&forge, "4", 1);
  }
}

/* A lie that the next event tells: one of its words (sizes, types, keys and all) is another one. */
typedef struct {
  bool     set, added;
  unsigned word;
  uint32_t value;
  uint32_t cut; /* bytes that are missing at the end */
} Lie;

static Lie lie;

static void
lie_set(Feed *const feed)
{
  static const uint32_t values[] = {
    0, 1, 3, 4, 7, 8, 9, 16, 64, 4096, INT32_MAX, UINT32_MAX - 7, UINT32_MAX};
  enum { VALUES = sizeof(values) / sizeof(values[0]) };
  const unsigned how  = feed_byte(feed);
  lie.set             = true;
  const unsigned word = feed_byte(feed); /* any, or the size of one of the first properties */
  lie.word            = word & 128 ? 6 + 6 * (word & 15) : word;
  lie.added           = how & 128;
  lie.value           = (how & 15) < VALUES ? values[how & 15] : (uint32_t)feed_bytes(feed, 4);
  lie.cut             = how & 64 ? (how >> 4 & 3) * 4 + 4 : 0;
}

static void
lie_tell(void)
{
  const uint32_t words = ((uint32_t)sizeof(LV2_Atom) + scratch.atom.size) / 4;
  uint32_t       value;
  if (lie.set) {
    memcpy(&value, scratch.bytes + lie.word % words * 4, sizeof(value));
    value = lie.added ? value + lie.value : lie.value;
    memcpy(scratch.bytes + lie.word % words * 4, &value, sizeof(value));
  }
}

/* The sequence ends so many bytes earlier. */
static void
events_cut(Buffer *const b, const uint32_t bytes)
{
  const uint32_t least = (uint32_t)sizeof(LV2_Atom_Sequence);
  const uint32_t end   = b->used - least > bytes ? b->used - bytes : least;
  const uint32_t body  = end - (uint32_t)sizeof(LV2_Atom);
  __asan_poison_memory_region(b->at + end, b->used - end);
  memcpy(b->at, &body, sizeof(body));
  b->used = end;
}

static void
event_send(Buffer *const to, const int64_t frame)
{
  static const char pad[8] = {0};
  const uint32_t    size   = (uint32_t)sizeof(LV2_Atom) + scratch.atom.size;
  lie_tell();
  events_add(to, &frame, sizeof(frame));
  events_add(to, &scratch, size);
  events_add(to, pad, (8 - (size & 7)) & 7);
  if (lie.set) {
    events_cut(to, lie.cut);
  }
  lie.set = false;
}

static void
report_send(Feed *const feed)
{
  const struct {
    LV2_URID key, type;
  } fields[] = {
    {uris->time_frame, uris->atom_Long},        {uris->time_bar, uris->atom_Long},
    {uris->time_speed, uris->atom_Float},       {uris->time_barBeat, uris->atom_Float},
    {uris->time_beat, uris->atom_Double},       {uris->time_beatUnit, uris->atom_Int},
    {uris->time_beatsPerBar, uris->atom_Float}, {uris->time_beatsPerMinute, uris->atom_Float},
    {uris->ardour_scale, uris->atom_Float},
  };
  const int64_t        frame = any_frame(feed);
  const uint64_t       said  = feed_bytes(feed, 2);
  LV2_Atom_Forge_Frame object;
  lv2_atom_forge_set_buffer(&forge, scratch.bytes, sizeof(scratch));
  lv2_atom_forge_object(&forge, &object, 0, uris->time_Position);
  for (unsigned i = 0; i < sizeof(fields) / sizeof(fields[0]); ++i) {
    if (said >> i & 1) {
      lv2_atom_forge_key(&forge, fields[i].key);
      any_value(feed, fields[i].type);
    }
  }
  lv2_atom_forge_pop(&forge, &object);
  event_send(&events[0], frame);
}

/* A text of the input's own, or a long one; it may say that it is longer than it is. */
static void
text_put(Feed *const feed, const LV2_URID type, const unsigned how)
{
  static char    filler[1 << 14];
  const uint8_t *bytes;
  const size_t   wanted = (size_t)feed_bytes(feed, 2);
  const uint32_t more   = how & 8 ? feed_byte(feed) : 0;
  const size_t   n = how & 1 ? wanted % sizeof(filler) : feed_some(feed, wanted % 20000, &bytes);
  lv2_atom_forge_atom(&forge, (uint32_t)n + !(how & 2) + more, type);
  if (how & 1) {
    memset(filler, how & 4 ? 'A' : '|', sizeof(filler));
    bytes = (const uint8_t *)filler;
  }
  if (n) {
    lv2_atom_forge_raw(&forge, bytes, (uint32_t)n);
  }
  lv2_atom_forge_raw(&forge, "", !(how & 2));
  lv2_atom_forge_pad(&forge, (uint32_t)n + !(how & 2));
}

static void
patch_send(Feed *const feed)
{
  const LV2_URID otypes[]     = {uris->patch_Set, uris->patch_Set, uris->patch_Get, uris->rl_Place};
  const LV2_URID properties[] = {uris->rl_chart,
                                 uris->rl_plan,
                                 uris->rl_chart_file,
                                 uris->rl_osc_to,
                                 uris->rl_problem,
                                 uris->rl_take_edit,
                                 0,
                                 uris->rl_take};
  const LV2_URID subjects[]   = {0, uris->own, 0, uris->rl_chart};
  const LV2_URID types[] = {uris->atom_String, uris->atom_Path, uris->atom_String, uris->atom_Int};
  const int64_t  frame   = any_frame(feed);
  const unsigned what    = feed_byte(feed);
  const unsigned how     = feed_byte(feed);
  const LV2_URID subject = subjects[how >> 6];
  LV2_Atom_Forge_Frame object;
  lv2_atom_forge_set_buffer(&forge, scratch.bytes, sizeof(scratch));
  lv2_atom_forge_object(&forge, &object, 0, otypes[what & 3]);
  if (subject) {
    lv2_atom_forge_key(&forge, uris->patch_subject);
    lv2_atom_forge_urid(&forge, subject);
  }
  if (!(what & 32)) {
    lv2_atom_forge_key(&forge, uris->patch_property);
    lv2_atom_forge_urid(&forge, properties[what >> 2 & 7]);
  }
  if (!(what & 64)) {
    lv2_atom_forge_key(&forge, uris->patch_value);
    text_put(feed, types[how >> 4 & 3], how);
  }
  lv2_atom_forge_pop(&forge, &object);
  event_send(&events[0], frame);
}

static void
midi_send(Feed *const feed)
{
  const int64_t  frame   = any_frame(feed);
  const unsigned how     = feed_byte(feed);
  const uint8_t  bytes[] = {(uint8_t)(how & 16 ? feed_byte(feed) : 0xB0),
                            (uint8_t)(how & 32 ? feed_byte(feed) : 80 + (how & 3)),
                            (uint8_t)(how & 64 ? feed_byte(feed) : 127)};
  scratch.atom           = (LV2_Atom){how & 8 ? how & 3 : 3, uris->midi_MidiEvent};
  memcpy(scratch.bytes + sizeof(LV2_Atom), bytes, sizeof(bytes));
  event_send(&events[how >> 7], frame);
}

/* A head that makes sense around bytes that need not. */
static void
body_send(Feed *const feed)
{
  const LV2_URID types[] = {uris->atom_Object, uris->atom_Blank, uris->midi_MidiEvent,
                            uris->atom_Sequence};
  const int64_t  frame   = any_frame(feed);
  const unsigned how     = feed_byte(feed);
  const uint8_t *bytes;
  const size_t   n = feed_some(feed, how & 63, &bytes);
  scratch.atom     = (LV2_Atom){(uint32_t)n, types[how >> 6]};
  if (n) {
    memcpy(scratch.bytes + sizeof(LV2_Atom), bytes, n);
  }
  event_send(&events[0], frame);
}

static void
raw_send(Feed *const feed)
{
  const unsigned how = feed_byte(feed);
  const uint8_t *bytes;
  const size_t   n = feed_some(feed, how & 127, &bytes);
  events_add(&events[how >> 7], bytes, n);
}

/* ---- the rest of a host ---- */

/* The n-th control input, round and round. */
static RlPort
input_nth(const unsigned n)
{
  RlPort   inputs[RL_PORTS];
  unsigned count = 0;
  for (int port = RL_FIRST_INPUT; port < RL_PORTS; ++port) {
    if (rl_port_is_input((RlPort)port)) {
      inputs[count++] = (RlPort)port;
    }
  }
  return inputs[n % count];
}

static void
port_set(Feed *const feed)
{
  const RlPort   port = input_nth(feed_byte(feed));
  const unsigned how  = feed_byte(feed);
  const float    low  = rl_ports[port].low;
  const float    high = rl_ports[port].high;
  control[port] =
    how & 128 ? (float)any_number(feed, how & 31) : low + fmodf((float)(how & 127), high - low + 1);
}

/* Leaves a port unconnected, or connects it again. */
static void
port_connect(Feed *const feed)
{
  const unsigned      which   = feed_byte(feed);
  const bool          off     = which & 128;
  Buffer *const       to[]    = {&events[0], &events[1], &notify, &midi_out};
  static const RlPort ports[] = {RL_PORT_CONTROL, RL_PORT_MIDI_IN, RL_PORT_NOTIFY,
                                 RL_PORT_MIDI_OUT};
  if (which & 64) {
    connect_to(ports[which & 3], off ? NULL : to[which & 3]->at);
  } else {
    audio_connect((Wiring)((which & 63) % WIRINGS));
  }
}

static void
room_set(Feed *const feed)
{
  static const uint32_t rooms[] = {32768, 4096, 0,   7,   8,    15,         16,
                                   24,    64,   700, 720, 1400, NOTIFY_SIZE};
  enum { ROOMS = sizeof(rooms) / sizeof(rooms[0]) };
  const unsigned how = feed_byte(feed);
  notify_capacity    = how < ROOMS ? rooms[how] : (uint32_t)feed_bytes(feed, 2);
  midi_capacity      = how & 128 ? notify_capacity : 4096;
}

static void
run_some(Feed *const feed)
{
  static const uint32_t lengths[] = {64, 256, 1024, 0, 1, 46, 105, 151};
  const unsigned        how       = feed_byte(feed);
  const uint32_t        frames =
    how & 128 ? (uint32_t)feed_bytes(feed, 2) % (FRAMES_MAX + 1) : lengths[how & 7];
  for (unsigned n = 1 + (how >> 3 & 3); n; --n) {
    block_run(frames);
  }
}

static void
work_some(Feed *const feed)
{
  schedule_fails = feed_byte(feed) & 1;
  instance_work(now);
}

static void
restart(Feed *const feed)
{
  (void)feed;
  descriptor()->activate(now->processor);
}

/* Something that is no sequence on the port. */
static void
type_send(Feed *const feed)
{
  const LV2_Atom head = {(uint32_t)(feed_byte(feed) & 15),
                         uris->atom_Sequence + (feed_byte(feed) & 1)};
  memcpy(events[0].at, &head, sizeof(head));
}

typedef void (*Step)(Feed *feed);

static const Step steps[] = {run_some,  report_send, patch_send, midi_send, port_set,
                             work_some, raw_send,    body_send,  room_set,  port_connect,
                             restart,   type_send,   lie_set,    lie_set};

/* How many properties can be read. */
static int
properties_read(void)
{
  int count = 0;
  for (int p = 0; p < RL_PROPERTIES; ++p) {
    count += (rl_properties[p].access & RL_READ) != 0;
  }
  return count;
}

/* Whatever came, it still answers who asks it about all its properties. */
static void
answer_demand(void)
{
  LV2_Atom_Forge_Frame object;
  notify_capacity = NOTIFY_SIZE;
  midi_capacity   = 4096;
  connect_to(RL_PORT_CONTROL, events[0].at);
  connect_to(RL_PORT_NOTIFY, notify.at);
  lv2_atom_forge_set_buffer(&forge, scratch.bytes, sizeof(scratch));
  lv2_atom_forge_object(&forge, &object, 0, uris->patch_Get);
  lv2_atom_forge_pop(&forge, &object);
  events_clear(&events[0]);
  events_clear(&events[1]);
  lie.set = false;
  event_send(&events[0], 0);
  const Told told = block_run(1);
  DEMAND(told.sets == properties_read());
  DEMAND(told.places == 1);
}

/* ---- the fuzzer's side ---- */

int
LLVMFuzzerInitialize(int *const argc, char ***const argv)
{
  static LV2_URID_Map map = {NULL, map_uri};
  (void)argc;
  (void)argv;
  line_wanted   = true;
  uint32_t bits = 1;
  for (int i = 0; i < FRAMES_MAX; ++i) {
    left_side[i] = bits = bits * 1664525 + 1013904223;
    right_side[i] = bits = bits * 1664525 + 1013904223;
  }
  indices_find();
  instance_open(&instances[0], false);
  instance_open(&instances[1], true);
  lv2_atom_forge_init(&forge, &map);
  return 0;
}

int
LLVMFuzzerTestOneInput(const uint8_t *const data, const size_t size)
{
  enum { SECOND_TO_NONE = 6 };
#ifdef RL_PLANTED_BUG
  believed = false;
#endif
  Feed           feed = {data, size};
  const unsigned how  = feed_byte(&feed);
  const uint32_t ring = how & 2 ? RL_RING_SIZE - (uint32_t)feed_byte(&feed) : 0;
  mono                = how & 1;
  now                 = &instances[mono];
  uris                = &now->processor->uris;
  line_wanted         = !(how & 128);
  schedule_fails      = false;
  lie                 = (Lie){0};
  notify_capacity     = 32768;
  midi_capacity       = 32768;
  memcpy(in[0], left_side, sizeof(left_side));
  memcpy(in[1], right_side, sizeof(right_side));
  instance_reset(now, ring + (how & 4 ? UINT32_MAX - 4 * RL_RING_SIZE + 1 : 0));
  buffer_begin(&events[0], how >> 3);
  buffer_begin(&events[1], how >> 4);
  buffer_begin(&notify, how >> 5);
  buffer_begin(&midi_out, how >> 6);
  events_clear(&events[0]);
  events_clear(&events[1]);
  ports_connect();
  descriptor()->activate(now->processor);
  for (int i = 0; feed.left && i < STEPS_MAX; ++i) {
    steps[feed_byte(&feed) % (sizeof(steps) / sizeof(steps[0]))](&feed);
  }
  block_run(64);
  answer_demand();
  instance_reset(now, 0);
  DEMAND(pool_live() == SECOND_TO_NONE);
  return 0;
}
