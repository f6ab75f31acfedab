/* SPDX-License-Identifier: ISC */
/* Reading atoms that anybody may have written (LV2 atom specification, lv2plug.in/ns/ext/atom):
   each is at every alignment and cut off at every byte, its buffer ending where it ends, so that a
   sanitizer sees a read too many. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "plugin/protocol/patch.h"

#include <stdlib.h>
#include <string.h>

static const char *names[256];
static LV2_URID    count;
static RlUris      uris;

static LV2_URID
map_uri(LV2_URID_Map_Handle handle, const char *const uri)
{
  LV2_URID i = 0;
  (void)handle;
  while (i < count && strcmp(names[i], uri) != 0) {
    ++i;
  }
  if (i == count) {
    names[count++] = uri;
  }
  return i + 1;
}

static LV2_URID_Map   map = {NULL, map_uri};
static LV2_Atom_Forge forge;

typedef union {
  LV2_Atom          atom;
  LV2_Atom_Sequence sequence;
  uint8_t           bytes[2048];
} Buffer;

/* A place to read from that is exactly `size` bytes, `off` bytes off the alignment of malloc(). */
typedef struct {
  char *memory, *at;
} Copy;

static Copy
copy_of(const void *const from, const size_t size, const size_t off)
{
  Copy copy = {malloc(size + off + 1), NULL};
  assert_non_null(copy.memory);
  copy.memory = realloc(copy.memory, size + off ? size + off : 1);
  assert_non_null(copy.memory);
  copy.at = copy.memory + off;
  memcpy(copy.at, from, size);
  return copy;
}

static RlAtom
atom_at(const char *const at)
{
  LV2_Atom head;
  memcpy(&head, at, sizeof(head));
  return (RlAtom){at + sizeof(head), head.size, head.type};
}

static void
begin(Buffer *const b)
{
  memset(b, 0, sizeof(*b));
  lv2_atom_forge_set_buffer(&forge, b->bytes, sizeof(*b));
}

/* ---- sequences ---- */

static uint32_t
sequence_make(Buffer *const b)
{
  LV2_Atom_Forge_Frame frame;
  begin(b);
  lv2_atom_forge_sequence_head(&forge, &frame, 0);
  lv2_atom_forge_frame_time(&forge, 3);
  lv2_atom_forge_string(&forge, "heron", 5);
  lv2_atom_forge_frame_time(&forge, 7);
  lv2_atom_forge_int(&forge, 42);
  lv2_atom_forge_pop(&forge, &frame);
  lv2_atom_forge_set_buffer(&forge, NULL, 0); /* nothing is written into `b` any more */
  return (uint32_t)sizeof(LV2_Atom) + b->atom.size;
}

static void
events_are_read_at_any_alignment(void **state)
{
  Buffer         b;
  const uint32_t size = sequence_make(&b);
  (void)state;
  for (size_t off = 0; off < 8; ++off) {
    const Copy copy = copy_of(&b, size, off);
    RlWalk     walk = rl_events(copy.at, &uris);
    int64_t    frame;
    RlAtom     atom;
    double     number;
    assert_true(rl_event_next(&walk, &frame, &atom));
    assert_int_equal(frame, 3);
    assert_int_equal(atom.type, uris.atom_String);
    assert_int_equal(rl_string_length(&atom), 5);
    assert_memory_equal(atom.body, "heron", 6);
    assert_true(rl_event_next(&walk, &frame, &atom));
    assert_int_equal(frame, 7);
    assert_true(rl_number(&atom, &uris, &number));
    assert_true(number == 42);
    assert_false(rl_event_next(&walk, &frame, &atom));
    free(copy.memory);
  }
}

/* The sequence says how long it is, and nothing behind that is read. */
static void
a_sequence_cut_off_anywhere_ends_there(void **state)
{
  Buffer         b;
  const uint32_t size = sequence_make(&b);
  (void)state;
  for (uint32_t cut = sizeof(LV2_Atom); cut < size; ++cut) {
    Buffer short_one    = b;
    short_one.atom.size = cut - (uint32_t)sizeof(LV2_Atom);
    const Copy copy     = copy_of(&short_one, cut, cut % 8);
    RlWalk     walk     = rl_events(copy.at, &uris);
    int        events   = 0;
    int64_t    frame;
    RlAtom     atom;
    while (rl_event_next(&walk, &frame, &atom)) {
      assert_true(atom.body >= copy.at && atom.body + atom.size <= copy.at + cut);
      ++events;
    }
    assert_true(events < 2 || cut >= size - 7); /* the last one's padding may be missing */
    free(copy.memory);
  }
  // NOLINTNEXTLINE(clang-analyzer-core.StackAddressEscape): the forge is set anew in each test
}

static void
sizes_that_lie_are_not_believed(void **state)
{
  static const uint32_t lies[] = {14, 15, 16, 1000, INT32_MAX, UINT32_MAX - 7, UINT32_MAX};
  Buffer                b;
  const uint32_t        size = sequence_make(&b);
  (void)state;
  for (size_t i = 0; i < sizeof(lies) / sizeof(lies[0]); ++i) {
    Buffer       liar = b;
    const size_t at   = sizeof(LV2_Atom_Sequence) + sizeof(int64_t);
    memcpy(liar.bytes + at, &lies[i], sizeof(lies[i])); /* the first event's size */
    const Copy copy = copy_of(&liar, size, 4);
    RlWalk     walk = rl_events(copy.at, &uris);
    int64_t    frame;
    RlAtom     atom;
    while (rl_event_next(&walk, &frame, &atom)) {
      assert_true(atom.body + atom.size <= copy.at + size);
    }
    free(copy.memory);
  }
}

static void
what_is_no_sequence_is_empty(void **state)
{
  Buffer  b;
  int64_t frame;
  RlAtom  atom;
  (void)state;
  RlWalk walk = rl_events(NULL, &uris);
  assert_false(rl_event_next(&walk, &frame, &atom));
  sequence_make(&b);
  b.atom.type = uris.atom_Object;
  walk        = rl_events(&b, &uris);
  assert_false(rl_event_next(&walk, &frame, &atom));
  b.atom = (LV2_Atom){sizeof(LV2_Atom_Sequence_Body) - 1, uris.atom_Sequence};
  walk   = rl_events(&b, &uris);
  assert_false(rl_event_next(&walk, &frame, &atom));
}

/* ---- numbers ---- */

static void
numbers_of_any_type_are_read_and_nothing_else_is(void **state)
{
  Buffer  b;
  double  number;
  int64_t whole;
  (void)state;
  for (int type = 0; type < 6; ++type) {
    begin(&b);
    const LV2_Atom_Forge_Ref made = type == 0   ? lv2_atom_forge_int(&forge, -3)
                                    : type == 1 ? lv2_atom_forge_long(&forge, -3)
                                    : type == 2 ? lv2_atom_forge_float(&forge, -3)
                                    : type == 3 ? lv2_atom_forge_double(&forge, -3)
                                    : type == 4 ? lv2_atom_forge_bool(&forge, true)
                                                : lv2_atom_forge_string(&forge, "-3", 2);
    assert_true(made != 0);
    for (uint32_t size = 0; size <= b.atom.size; ++size) {
      const Copy   copy = copy_of(&b, sizeof(LV2_Atom) + size, 3);
      RlAtom       atom = atom_at(copy.at);
      const bool   read = type < 5 && size == b.atom.size;
      const double want = type == 4 ? 1 : -3;
      atom.size         = size;
      assert_int_equal(rl_number(&atom, &uris, &number), read);
      assert_int_equal(rl_whole(&atom, &uris, &whole), read);
      assert_true(!read || (number == want && whole == (int64_t)want));
      free(copy.memory);
    }
  }
}

static void
whole_numbers_keep_every_bit_and_round_down(void **state)
{
  static const int64_t large = INT64_C(9007199254740993); /* no double has it */
  Buffer               b;
  int64_t              whole = 0;
  (void)state;
  begin(&b);
  lv2_atom_forge_long(&forge, large);
  RlAtom atom = atom_at((const char *)b.bytes);
  assert_true(rl_whole(&atom, &uris, &whole));
  assert_true(whole == large);
  begin(&b);
  lv2_atom_forge_double(&forge, -2.5);
  atom = atom_at((const char *)b.bytes);
  assert_true(rl_whole(&atom, &uris, &whole));
  assert_int_equal(whole, -3);
  begin(&b);
  lv2_atom_forge_double(&forge, 1e300);
  atom = atom_at((const char *)b.bytes);
  assert_false(rl_whole(&atom, &uris, &whole));
}

/* ---- patch messages ---- */

static void
every_property_is_forged_and_read_back(void **state)
{
  (void)state;
  for (int p = 0; p < RL_PROPERTIES; ++p) {
    Buffer             b;
    const RlPatchValue value = rl_patch_value((RlProperty)p, "heron", &uris);
    begin(&b);
    assert_true(rl_patch_set(&forge, &uris, &value));
    const uint32_t size = (uint32_t)sizeof(LV2_Atom) + b.atom.size;
    assert_true(size <= RL_PATCH_SET_BYTES + value.length);
    for (size_t off = 0; off < 8; ++off) {
      const Copy   copy = copy_of(&b, size, off);
      const RlAtom atom = atom_at(copy.at);
      RlWalk       walk;
      LV2_URID     otype;
      assert_true(rl_object(&atom, &uris, &walk, &otype));
      assert_int_equal(otype, uris.patch_Set);
      const RlPatch patch = rl_patch_read(walk, &uris);
      assert_true(rl_patch_ours(&patch, &uris) && patch.named);
      assert_int_equal(rl_property_of(patch.property, &uris), p);
      assert_int_equal(patch.value.type, rl_property_type((RlProperty)p, &uris));
      assert_int_equal(rl_string_length(&patch.value), 5);
      assert_memory_equal(patch.value.body, "heron", 5);
      free(copy.memory);
    }
  }
}

static void
a_patch_cut_off_anywhere_has_no_value(void **state)
{
  Buffer             b;
  const RlPatchValue value = rl_patch_value(RL_CHART, "heron", &uris);
  (void)state;
  begin(&b);
  assert_true(rl_patch_set(&forge, &uris, &value));
  for (uint32_t size = 0; size < b.atom.size; ++size) {
    const Copy copy = copy_of(&b, sizeof(LV2_Atom) + size, size % 8);
    RlAtom     atom = atom_at(copy.at);
    RlWalk     walk;
    LV2_URID   otype;
    atom.size = size;
    if (rl_object(&atom, &uris, &walk, &otype)) {
      const RlPatch patch = rl_patch_read(walk, &uris);
      assert_true(!patch.value.body || size + 7 >= b.atom.size);
    } else {
      assert_true(size < sizeof(LV2_Atom_Object_Body));
    }
    free(copy.memory);
  }
}

static void
what_does_not_fit_is_not_forged(void **state)
{
  Buffer             b;
  const RlPatchValue value = rl_patch_value(RL_CHART, "heron", &uris);
  (void)state;
  begin(&b);
  assert_true(rl_patch_set(&forge, &uris, &value));
  const uint32_t size = (uint32_t)sizeof(LV2_Atom) + b.atom.size;
  for (uint32_t room = 0; room + 8 < size; ++room) {
    lv2_atom_forge_set_buffer(&forge, b.bytes, room);
    assert_false(rl_patch_set(&forge, &uris, &value));
  }
}

/* One for another plugin, one that names its property in another type. */
static void
what_is_meant_for_others_is_seen_to_be(void **state)
{
  Buffer       b;
  RlPatchValue value = rl_patch_value(RL_CHART, "heron", &uris);
  RlWalk       walk;
  LV2_URID     otype;
  (void)state;
  value.subject = uris.own + 1000;
  begin(&b);
  assert_true(rl_patch_set(&forge, &uris, &value));
  RlAtom atom = atom_at((const char *)b.bytes);
  assert_true(rl_object(&atom, &uris, &walk, &otype));
  RlPatch patch = rl_patch_read(walk, &uris);
  assert_false(rl_patch_ours(&patch, &uris));
  begin(&b);
  assert_true(rl_patch_get(&forge, &uris, 0));
  atom = atom_at((const char *)b.bytes);
  assert_true(rl_object(&atom, &uris, &walk, &otype));
  patch = rl_patch_read(walk, &uris);
  assert_false(patch.named);
  assert_int_equal(rl_property_of(0, &uris), RL_PROPERTIES);
  assert_int_equal(rl_property_of(uris.rl_Place, &uris), RL_PROPERTIES);
}

static int
uris_map(void **state)
{
  (void)state;
  rl_uris_map(&uris, &map, RL_PLUGIN_URI);
  lv2_atom_forge_init(&forge, &map);
  return 0;
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(events_are_read_at_any_alignment),
    cmocka_unit_test(a_sequence_cut_off_anywhere_ends_there),
    cmocka_unit_test(sizes_that_lie_are_not_believed),
    cmocka_unit_test(what_is_no_sequence_is_empty),
    cmocka_unit_test(numbers_of_any_type_are_read_and_nothing_else_is),
    cmocka_unit_test(whole_numbers_keep_every_bit_and_round_down),
    cmocka_unit_test(every_property_is_forged_and_read_back),
    cmocka_unit_test(a_patch_cut_off_anywhere_has_no_value),
    cmocka_unit_test(what_does_not_fit_is_not_forged),
    cmocka_unit_test(what_is_meant_for_others_is_seen_to_be),
  };
  return cmocka_run_group_tests(tests, uris_map, NULL);
}
