/* SPDX-License-Identifier: ISC */
/* Feeds restore() anything: values of any type and size, texts without their end, charts good and
   bad, paths to files that are there, that are not, that cannot be read; before running and in the
   middle of it, once or twice, with and without a host that maps paths, with memory running out.
   What was restored must be what is saved, and a second instance that restores what was saved must
   save the same. A libFuzzer harness (see tests/fuzz/seeds.sh for a corpus to begin with):

     clang -std=c11 -D_POSIX_C_SOURCE=200809L -g -O2 -Icore \
       -fsanitize=fuzzer,address,undefined,float-cast-overflow -fno-sanitize-recover=all \
       -Wl,--wrap=malloc,--wrap=calloc,--wrap=strdup,--wrap=free,--wrap=fopen,--wrap=rl_target_line_find
   \
       tests/fuzz/fuzz_state.c tests/fuzz/pool.c plugin/(the plugin's).c core/(all).c -lm \
       -o fuzz_state
     fuzz_state -max_len=512 CORPUS

   With -fno-sanitize-coverage=trace-cmp it runs twice as many inputs in the same time.

   RL_PLANTED_BUG, defined for one build only (with -Wl,--wrap=rl_slice_bad_byte), takes the check
   for UTF-8 out of the plugin, so that one can see the fuzzer find it. */
#include "inside.h"

#include <lv2/state/state.h>

#include <errno.h>
#include <math.h>

int LLVMFuzzerInitialize(int *argc, char ***argv);
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#ifdef RL_PLANTED_BUG
ptrdiff_t __wrap_rl_slice_bad_byte(RlSlice slice);

ptrdiff_t
__wrap_rl_slice_bad_byte(const RlSlice slice)
{
  (void)slice;
  return -1;
}
#endif

/* ---- a session ---- */

enum {
  CHART,
  OSC_TO,
  CHART_FILE,
  BAR_ONE,
  BAR_ONE_AXIS,
  BAR_ONE_START,
  CHART_RULES,
  PLAN,
  TAKE,
  PRACTICE,
  KEYS
};

typedef struct {
  char    *value; /* exactly `size` bytes of their own; NULL: the session says nothing */
  size_t   size;
  LV2_URID type;
} Value;

typedef struct {
  Value            value[KEYS];
  LV2_State_Status fails; /* what store() says on the second call */
  int              stored;
} Session;

static Instance      instances[2];
static const RlUris *uris;
static LV2_URID      keys[KEYS], types[KEYS];

static int
key_find(const LV2_URID urid)
{
  int key = 0;
  while (key < KEYS && keys[key] != urid) {
    ++key;
  }
  return key;
}

/* `ended`: with a NUL behind the bytes. */
static void
value_set(Value *const v, const void *const bytes, const size_t size, const bool ended,
          const LV2_URID type)
{
  v->value = (char *)malloc(size || ended ? size + ended : 1);
  v->size  = size + ended;
  v->type  = type;
  DEMAND(v->value);
  if (size) {
    memcpy(v->value, bytes, size);
  }
  if (ended) {
    v->value[size] = '\0';
  }
}

static void
session_free(Session *const s)
{
  for (int i = 0; i < KEYS; ++i) {
    free(s->value[i].value);
  }
  *s = (Session){0};
}

static const void *
retrieve(LV2_State_Handle handle, const uint32_t urid, size_t *const size, uint32_t *const type,
         uint32_t *const flags)
{
  const Session *const s   = (const Session *)handle;
  const int            key = key_find(urid);
  if (key == KEYS) {
    return NULL;
  }
  *size  = s->value[key].size;
  *type  = s->value[key].type;
  *flags = 0;
  return s->value[key].value;
}

static LV2_State_Status
store(LV2_State_Handle handle, const uint32_t urid, const void *const value, const size_t size,
      const uint32_t type, const uint32_t flags)
{
  Session *const s   = (Session *)handle;
  const int      key = key_find(urid);
  DEMAND(key < KEYS);
  DEMAND(!s->value[key].value); /* each once */
  DEMAND(value && type == types[key]);
  DEMAND(flags == (LV2_STATE_IS_POD | LV2_STATE_IS_PORTABLE));
  value_set(&s->value[key], value, size, false, type);
  return ++s->stored == 2 ? s->fails : LV2_STATE_SUCCESS;
}

/* ---- a host's paths ---- */

/* An abstract path is the path behind "a:". */
static char *
path_abstract(LV2_State_Map_Path_Handle handle, const char *const path)
{
  char *const abstract = handle ? NULL : (char *)malloc(strlen(path) + 3);
  if (abstract) {
    memcpy(abstract, "a:", 2); // NOLINT(bugprone-not-null-terminated-result): the path follows
    memcpy(abstract + 2, path, strlen(path) + 1);
  }
  return abstract;
}

static char *
path_absolute(LV2_State_Map_Path_Handle handle, const char *const path)
{
  const size_t skip   = strncmp(path, "a:", 2) ? 0 : 2;
  const size_t length = strlen(path + skip);
  char *const  copy   = handle ? NULL : (char *)malloc(length + 1);
  if (copy) {
    memcpy(copy, path + skip, length + 1);
  }
  return copy;
}

static void
path_free(LV2_State_Free_Path_Handle handle, char *const path)
{
  (void)handle;
  free(path);
}

typedef enum { NO_PATHS, PATHS, PATHS_TO_FREE, PATHS_THAT_FAIL } Paths;

static const LV2_Feature *const *
features(const Paths paths)
{
  static int                       fails;
  static const LV2_State_Map_Path  maps[2] = {{NULL, path_abstract, path_absolute},
                                              {&fails, path_abstract, path_absolute}};
  static LV2_State_Free_Path       frees   = {NULL, path_free};
  static LV2_Feature               map, free_path;
  static const LV2_Feature *const  all[] = {&map, &free_path, NULL};
  static const LV2_Feature *const *none  = &all[2];
  // NOLINTNEXTLINE(performance-no-int-to-ptr): takes const away
  void *const mapper = (void *)(uintptr_t)&maps[paths == PATHS_THAT_FAIL];
  map                = (LV2_Feature){LV2_STATE__mapPath, mapper};
  free_path          = (LV2_Feature){paths == PATHS ? "urn:other" : LV2_STATE__freePath, &frees};
  return paths == NO_PATHS ? none : all;
}

/* ---- files: what lies at a path is for its first letter to say ---- */

static char   file_text[RL_CHART_MAX + 2];
static size_t file_length;
static bool   restoring; /* the fuzzer itself opens files too */

FILE *__wrap_fopen(const char *path, const char *mode);
FILE *__real_fopen(const char *path, const char *mode);

FILE *
__wrap_fopen(const char *const path, const char *const mode)
{
  if (!restoring) {
    return __real_fopen(path, mode);
  }
  DEMAND(!strcmp(mode, "rb"));
  if (*path == 'f') {
    return fmemopen(file_text, file_length, mode);
  }
  if (*path == 'd') {
    return __real_fopen("/", mode); /* opens, and then cannot be read */
  }
  errno = ENOENT;
  return NULL;
}

/* ---- the line: of no account to a session, and the dearest part of a chart ---- */

static bool line_wanted;

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

/* ---- the plugin ---- */

static const LV2_State_Interface *state;

static float control[RL_PORTS];

static _Alignas(8) char events[4096], notify[32768];

static LV2_Atom_Forge forge;

static void
ports_connect(const Instance *const i)
{
  uint32_t index = 0;
  for (int port; (port = (int)rl_port_at(index, false)) != RL_PORTS; ++index) {
    control[port] = rl_ports[port].standard;
    descriptor()->connect_port(i->processor, index,
                               port == RL_PORT_CONTROL  ? (void *)events
                               : port == RL_PORT_NOTIFY ? (void *)notify
                               : rl_ports[port].kind == RL_KIND_IN ||
                                   rl_ports[port].kind == RL_KIND_OUT
                                 ? (void *)&control[port]
                                 : NULL);
  }
}

/* One block, in which somebody may ask for everything and set a chart. */
static void
block_run(const Instance *const i, const bool asks)
{
  const LV2_Atom       room = {sizeof(notify) - sizeof(LV2_Atom), 0};
  LV2_Atom_Forge_Frame sequence, object;
  lv2_atom_forge_set_buffer(&forge, (uint8_t *)events, sizeof(events));
  lv2_atom_forge_sequence_head(&forge, &sequence, 0);
  for (int n = 0; asks && n < 2; ++n) {
    lv2_atom_forge_frame_time(&forge, n);
    lv2_atom_forge_object(&forge, &object, 0, n ? uris->patch_Get : uris->patch_Set);
    if (!n) {
      lv2_atom_forge_key(&forge, uris->patch_property);
      lv2_atom_forge_urid(&forge, uris->rl_chart);
      lv2_atom_forge_key(&forge, uris->patch_value);
      lv2_atom_forge_string(&forge, "| I7 |", 6);
    }
    lv2_atom_forge_pop(&forge, &object);
  }
  lv2_atom_forge_pop(&forge, &sequence);
  memcpy(notify, &room, sizeof(room));
  instance_run(i, 64);
}

/* The text that restore() is to see, NULL if none. */
static const Value *
given(const Session *const s, const int key)
{
  const Value *const v = &s->value[key];
  return v->value && v->type == types[key] ? v : NULL;
}

static size_t
length_of(const Value *const v)
{
  const char *const nul = (const char *)memchr(v->value, '\0', v->size);
  return nul ? (size_t)(nul - v->value) : v->size;
}

static bool
text_is(const Value *const v, const char *const text, const size_t length)
{
  return v->size == length + 1 && !memcmp(v->value, text, length) && !v->value[length];
}

static bool
number_whole(const Value *const v, const int32_t low, const int32_t high)
{
  int32_t n;
  DEMAND(v->size == sizeof(n));
  memcpy(&n, v->value, sizeof(n));
  return n >= low && n <= high;
}

/* What is saved is of use to any other program that reads it. */
static void
saved_check(const Session *const saved, const Paths paths)
{
  const Value *const v = saved->value;
  double             at;
  DEMAND(v[CHART].value && v[CHART].size && length_of(&v[CHART]) == v[CHART].size - 1);
  DEMAND(v[PLAN].value && v[PLAN].size && length_of(&v[PLAN]) == v[PLAN].size - 1);
  DEMAND(v[TAKE].value && v[TAKE].size && length_of(&v[TAKE]) == v[TAKE].size - 1);
  DEMAND(v[TAKE].size <= RL_PLAN_MAX + 1);
  DEMAND(rl_slice_bad_byte((RlSlice){v[TAKE].value, v[TAKE].size - 1}) < 0);
  DEMAND(v[PRACTICE].value && v[PRACTICE].size && v[PRACTICE].size <= RL_PLAN_MAX + 1);
  DEMAND(rl_slice_bad_byte((RlSlice){v[PRACTICE].value, v[PRACTICE].size - 1}) < 0);
  DEMAND(v[OSC_TO].value && length_of(&v[OSC_TO]) == v[OSC_TO].size - 1);
  DEMAND(v[OSC_TO].size <= RL_ADDRESS_SIZE);
  DEMAND(rl_slice_bad_byte((RlSlice){v[OSC_TO].value, v[OSC_TO].size - 1}) < 0);
  for (size_t i = 0; i + 1 < v[OSC_TO].size; ++i) {
    const unsigned char c = (unsigned char)v[OSC_TO].value[i];
    DEMAND(c < 0xF8 && c != 0xC0 && c != 0xC1); /* in no UTF-8 */
  }
  const size_t mapped_by = paths == PATHS || paths == PATHS_TO_FREE ? 2 : 0;
  if (v[CHART_FILE].value) {
    DEMAND(length_of(&v[CHART_FILE]) == v[CHART_FILE].size - 1);
    DEMAND(v[CHART_FILE].size > 1 + mapped_by && v[CHART_FILE].size <= RL_PATH_SIZE + mapped_by);
  }
  DEMAND(!v[CHART_RULES].value || number_whole(&v[CHART_RULES], 2, INT32_MAX));
  DEMAND(!v[BAR_ONE].value == !v[BAR_ONE_AXIS].value);
  DEMAND(!v[BAR_ONE].value == !v[BAR_ONE_START].value);
  if (v[BAR_ONE].value) {
    DEMAND(v[BAR_ONE].size == sizeof(at));
    memcpy(&at, v[BAR_ONE].value, sizeof(at));
    DEMAND(isfinite(at));
    DEMAND(number_whole(&v[BAR_ONE_AXIS], RL_AXIS_BARS, RL_AXIS_QUARTERS));
    DEMAND(number_whole(&v[BAR_ONE_START], INT32_MIN, INT32_MAX));
  }
}

/* The same text? A chart that could be read is kept without its byte order mark, and one that would
   mean something else under today's rules gets a line that says so. */
static bool
chart_is(const Value *const v, const Value *const chart)
{
  static const char rules[] = "chart-rules: 1\n";
  const size_t      line    = sizeof(rules) - 1;
  const size_t      length  = length_of(chart);
  const size_t      mark    = length >= 3 && !memcmp(chart->value, "\xEF\xBB\xBF", 3) ? 3 : 0;
  if (v->size > line && !memcmp(v->value, rules, line)) {
    const Value rest = {v->value + line, v->size - line, v->type};
    if (text_is(&rest, chart->value + mark, length - mark)) {
      return true;
    }
  }
  return text_is(v, chart->value, length) || text_is(v, chart->value + mark, length - mark);
}

/* What was given comes out again: a text that can be used, and a chart even where it can not. */
static void
kept_check(const Session *const said, const Session *const saved, const Paths paths)
{
  const Value *const chart = given(said, CHART);
  const Value *const osc   = given(said, OSC_TO);
  const Value *const path  = given(said, CHART_FILE);
  if (chart) {
    DEMAND(chart_is(&saved->value[CHART], chart));
  }
  if (given(said, PLAN)) {
    DEMAND(text_is(&saved->value[PLAN], given(said, PLAN)->value, length_of(given(said, PLAN))));
  }
  const Value *const take = given(said, TAKE);
  if (take && length_of(take) <= RL_PLAN_MAX &&
      rl_slice_bad_byte((RlSlice){take->value, length_of(take)}) < 0) {
    DEMAND(text_is(&saved->value[TAKE], take->value, length_of(take)));
  }
  if (osc && length_of(osc) < RL_ADDRESS_SIZE &&
      rl_slice_bad_byte((RlSlice){osc->value, length_of(osc)}) < 0) {
    DEMAND(text_is(&saved->value[OSC_TO], osc->value, length_of(osc)));
  }
  if (chart && path && paths == NO_PATHS && length_of(path) && length_of(path) < RL_PATH_SIZE) {
    DEMAND(text_is(&saved->value[CHART_FILE], path->value, length_of(path)));
  }
  if (chart && !path) {
    DEMAND(!saved->value[CHART_FILE].value);
  }
}

static Session
save_from(const Instance *const i, const Paths paths, const LV2_State_Status fails)
{
  Session                saved  = {.fails = fails};
  const LV2_State_Status status = state->save(i->processor, store, &saved, 0, features(paths));
  DEMAND(status == fails);
  DEMAND(saved.stored >= 2);
  return saved;
}

static void
restore_to(Instance *const i, Session *const said, const Paths paths)
{
  i->worked = true;
  restoring = true;
  DEMAND(state->restore(i->processor, retrieve, said, 0, features(paths)) == LV2_STATE_SUCCESS);
  restoring = false;
}

/* What the processor plays from once it has run is what was restored, if that could be read. */
static void
snapshot_check(const Instance *const i, const Session *const saved)
{
  const RlSnapshot *const snapshot = i->processor->snapshot;
  const RlDocument *const document = document_of(i->processor);
  DEMAND(document->unread_chart ||
         text_is(&saved->value[CHART], snapshot->form.text, strlen(snapshot->form.text)));
  DEMAND(!document->unread_chart || snapshot->problem[0]);
  DEMAND(document->unread_plan ||
         text_is(&saved->value[PLAN], snapshot->plan, strlen(snapshot->plan)));
  DEMAND(!document->unread_plan || snapshot->problem[0]);
  DEMAND(text_is(&saved->value[TAKE], snapshot->take, strlen(snapshot->take)));
  DEMAND(text_is(&saved->value[PRACTICE], snapshot->practice, strlen(snapshot->practice)));
  DEMAND(text_is(&saved->value[OSC_TO], snapshot->osc_to, strlen(snapshot->osc_to)));
  DEMAND(memchr(snapshot->problem, '\0', RL_PROBLEM_SIZE));
}

static bool
same(const Session *const a, const Session *const b)
{
  for (int i = 0; i < KEYS; ++i) {
    const Value *const x = &a->value[i];
    const Value *const y = &b->value[i];
    if (!x->value != !y->value || x->size != y->size ||
        (x->value && x->size && memcmp(x->value, y->value, x->size) != 0)) {
      return false;
    }
  }
  return true;
}

/* What a second instance saves that restores what was saved. */
static Session
twin_save(Session *const saved, const Paths paths)
{
  Instance *const twin = &instances[1];
  instance_reset(twin, 0);
  restore_to(twin, saved, paths);
  const Session again = save_from(twin, paths, LV2_STATE_SUCCESS);
  instance_reset(twin, 0);
  return again;
}

/* A second instance that restores what was saved saves the same. Where the first had no memory to
   read its chart in (`starved`), the second reads it, and a third saves what the second did. */
static void
twin_check(Session *const saved, const Paths paths, const bool starved)
{
  Session again = twin_save(saved, paths);
  if (starved) {
    Session third = twin_save(&again, paths);
    DEMAND(same(&again, &third));
    session_free(&third);
  } else {
    DEMAND(same(saved, &again));
  }
  session_free(&again);
}

/* ---- a session out of bytes ---- */

/* A text: the input's own, or a long one. */
static void
text_from(Feed *const feed, Value *const v, const unsigned how, const LV2_URID type)
{
  static char     filler[1 << 17];
  static unsigned filled;
  const uint8_t  *bytes;
  const size_t    wanted = (size_t)feed_bytes(feed, 2);
  const bool      ended  = how & 64;
  if (how & 8) {
    const char letter = how & 16 ? '/' : '|';
    if (filled != (unsigned char)letter) {
      memset(filler, letter, sizeof(filler));
      filled = (unsigned char)letter;
    }
    value_set(v, filler, how & 32 ? wanted * 2 : wanted % 5000, ended, type);
  } else {
    const size_t n = feed_some(feed, wanted % 20000, &bytes);
    value_set(v, bytes, n, ended, type);
  }
}

static void
number_from(Feed *const feed, Value *const v, const int key, const unsigned how,
            const LV2_URID type)
{
  static const double  doubles[] = {0, 12, -3.5, 1e8, 1e9, (double)NAN, HUGE_VAL, 5e-324};
  static const int32_t whole[]   = {0, 1, 2, 3, -1, 9999, INT32_MIN, INT32_MAX};
  const uint64_t       raw       = how & 8 ? feed_bytes(feed, 8) : 0;
  const void          *bytes     = how & 8          ? (const void *)&raw
                                   : key == BAR_ONE ? (const void *)&doubles[how >> 4 & 7]
                                                    : (const void *)&whole[how >> 4 & 7];
  const size_t         own       = key == BAR_ONE ? 8 : 4;
  value_set(v, bytes, how & 128 && how & 8 ? how >> 4 & 7 : own, false, type);
}

static void
value_from(Feed *const feed, Session *const s, const int key)
{
  const LV2_URID odd[] = {uris->atom_String, uris->atom_Path, uris->atom_Int, 0};
  const unsigned how   = feed_byte(feed); /* 1: there; 2, 4: of an odd type; the rest above */
  if (!(how & 1)) {
    return;
  }
  const LV2_URID type = (how & 6) == 6 ? odd[feed_byte(feed) & 3] : types[key];
  if (key < BAR_ONE || key >= PLAN) {
    text_from(feed, &s->value[key], how, type);
  } else {
    number_from(feed, &s->value[key], key, how, type);
  }
}

static Session
session_from(Feed *const feed)
{
  Session s = {0};
  for (int key = TAKE; key >= 0; --key) {
    if (key != CHART_RULES) {
      value_from(feed, &s, key);
    }
  }
  value_from(feed, &s, CHART_RULES); /* last, so that older inputs mean what they did */
  value_from(feed, &s, PRACTICE);
  return s;
}

static void
file_from(Feed *const feed)
{
  const uint8_t *bytes;
  file_length = feed_some(feed, (size_t)feed_bytes(feed, 2) % sizeof(file_text), &bytes);
  if (file_length) {
    memcpy(file_text, bytes, file_length);
  }
}

/* ---- the fuzzer's side ---- */

int
LLVMFuzzerInitialize(int *const argc, char ***const argv)
{
  static LV2_URID_Map map = {NULL, map_uri};
  (void)argc;
  (void)argv;
  line_wanted = true;
  instance_open(&instances[0], false);
  instance_open(&instances[1], false);
  state = (const LV2_State_Interface *)descriptor()->extension_data(LV2_STATE__interface);
  uris  = &instances[0].processor->uris;
  const LV2_URID all[KEYS]   = {uris->rl_chart,       uris->rl_osc_to,       uris->rl_chart_file,
                                uris->rl_bar_one,     uris->rl_bar_one_axis, uris->rl_bar_one_start,
                                uris->rl_chart_rules, uris->rl_plan,         uris->rl_take,
                                uris->rl_practice};
  const LV2_URID their[KEYS] = {
    uris->atom_String, uris->atom_String, uris->atom_Path,   uris->atom_Double, uris->atom_Int,
    uris->atom_Int,    uris->atom_Int,    uris->atom_String, uris->atom_String, uris->atom_String};
  memcpy(keys, all, sizeof(keys));
  memcpy(types, their, sizeof(types));
  lv2_atom_forge_init(&forge, &map);
  return 0;
}

/* Runs before and after a restore, in which memory may run out. */
static void
restore_some(Instance *const i, Session *const said, const unsigned how, const Paths paths,
             const int failing)
{
  for (unsigned n = how & 3; n; --n) {
    block_run(i, how & 4);
  }
  if (how & 8) {
    instance_work(i);
  }
  pool_fail_at(failing);
  restore_to(i, said, paths);
  pool_fail_at(-1);
  if (how & 16) {
    block_run(i, false);
  }
}

int
LLVMFuzzerTestOneInput(const uint8_t *const data, const size_t size)
{
  Feed            feed    = {data, size};
  Instance *const i       = &instances[0];
  const unsigned  how     = feed_byte(&feed);
  const unsigned  more    = feed_byte(&feed);
  const Paths     paths   = (Paths)(more & 3);
  const int       failing = more & 4 ? (int)(feed_byte(&feed) & 15) : -1;
  line_wanted             = (more & 0x18) == 0x18;
  instance_reset(i, 0);
  ports_connect(i);
  if (more & 32) {
    file_from(&feed);
  }
  if (failing >= 0 || how & 32) { /* whatever came of this one, the next is complete */
    Session first = session_from(&feed);
    restore_some(i, &first, how, paths, failing);
    session_free(&first);
  }
  Session said = session_from(&feed);
  restore_some(i, &said, how, paths, -1);
  Session saved = save_from(i, paths, more & 64 ? LV2_STATE_ERR_UNKNOWN : LV2_STATE_SUCCESS);
  saved_check(&saved, paths);
  kept_check(&said, &saved, paths);
  if (how & 16) {
    snapshot_check(i, &saved);
  }
  if (how & 64) {
    twin_check(&saved, paths, failing >= 0 && document_of(i->processor)->unread_chart);
  }
  if (how & 128) {
    instance_work(i);
  }
  session_free(&said);
  session_free(&saved);
  instance_reset(i, 0);
  DEMAND(pool_live() == 6);
  return 0;
}
