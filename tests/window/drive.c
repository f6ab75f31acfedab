/* SPDX-License-Identifier: ISC */
/* A host that does nothing but open the window's module inside a window of its own.
   Usage: drive MODULE WHAT
     times N         opens, idles and closes N times; under valgrind says what is lost
                     after the second time and after the last
     parent-first    destroys its window before it closes ours
     together        three at once, closed in another order
     resize          asks for another size, from both sides
     focus           has the input focus while something is typed, and never otherwise
     refused         NULL is what it should get; says so
     rest S, roll S  idles at 30 Hz for S seconds, stopped or rolling; prints the CPU time used
   Prints `done` at the end; what is wrong otherwise. */
#include "plugin/protocol/ports.h"
#include "plugin/protocol/uris.h"

#include <dlfcn.h>
#include <lv2/atom/forge.h>
#include <lv2/ui/ui.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <valgrind/memcheck.h>
/* Last: it brings macros that the headers of LV2 would trip over. */
#include "drive.h"

enum { URIDS_MAX = 256, WIDTH = 1280, HEIGHT = 720 };

static char    *urids[URIDS_MAX];
static unsigned urid_count;

static LV2_URID
urid_map(const LV2_URID_Map_Handle handle, const char *const uri)
{
  (void)handle;
  for (unsigned i = 0; i < urid_count; ++i) {
    if (!strcmp(urids[i], uri)) {
      return i + 1;
    }
  }
  if (urid_count == URIDS_MAX) {
    return 0;
  }
  urids[urid_count] = strdup(uri);
  return ++urid_count;
}

static LV2_URID_Map map = {NULL, urid_map};

static const LV2UI_Descriptor *ui;
Display                       *rl_drive_display;

void
rl_drive_fail(const char *const what)
{
  printf("%s\n", what);
  exit(EXIT_FAILURE);
}

static void
written(const LV2UI_Controller controller, const uint32_t index, const uint32_t size,
        const uint32_t protocol, const void *const buffer)
{
  Opened *const o = controller;
  (void)index, (void)size, (void)protocol, (void)buffer;
  ++o->asked;
}

static Opened *
opened(void)
{
  Opened *const o = calloc(1, sizeof(Opened));
  o->parent       = XCreateSimpleWindow(rl_drive_display, DefaultRootWindow(rl_drive_display), 0, 0,
                                        WIDTH, HEIGHT, 0, 0, 0);
  XMapWindow(rl_drive_display, o->parent);
  XSync(rl_drive_display, False);
  const LV2_Feature parent = {
    LV2_UI__parent, (void *)o->parent}; // NOLINT(performance-no-int-to-ptr): what LV2 says
  const LV2_Feature        mapping    = {LV2_URID__map, &map};
  const LV2_Feature *const features[] = {&parent, &mapping, NULL};
  LV2UI_Widget             widget     = NULL;
  o->handle = ui->instantiate(ui, RL_PLUGIN_URI, "", written, o, &widget, features);
  o->child  = (Window)widget;
  o->idle   = ui->extension_data(LV2_UI__idleInterface);
  o->resize = ui->extension_data(LV2_UI__resize);
  return o;
}

void
rl_drive_closed(Opened *const o)
{
  if (o->handle) {
    ui->cleanup(o->handle);
  }
  XDestroyWindow(rl_drive_display, o->parent);
  XSync(rl_drive_display, False);
  free(o);
}

int
rl_drive_idle(Opened *const o, const int times)
{
  int result = 0;
  for (int i = 0; i < times && !result; ++i) {
    result = o->idle->idle(o->handle);
    nanosleep(&(struct timespec){0, 2000000}, NULL);
  }
  return result;
}

/* Idles until the window has that size; false if it never has. */
static int
sized(Opened *const o, const int width, const int height)
{
  XWindowAttributes seen;
  for (int tries = 0; tries < 500; ++tries) {
    rl_drive_idle(o, 1);
    if (XGetWindowAttributes(rl_drive_display, o->child, &seen) && seen.width == width &&
        seen.height == height) {
      return 1;
    }
  }
  return 0;
}

Opened *
rl_drive_opened_surely(void)
{
  Opened *const o = opened();
  if (!o->handle) {
    rl_drive_fail("the window did not open");
  }
  if (rl_drive_idle(o, 10)) {
    rl_drive_fail("the window says it was closed");
  }
  if (!o->asked) {
    rl_drive_fail("it did not ask the plugin for anything");
  }
  return o;
}

/* ---- What the plugin would say ---- */

static uint32_t
place_forge(uint8_t *const bytes, const uint32_t room, const int beat, const int rolling)
{
  const struct {
    const char *key;
    float       value;
    int         whole;
  } numbers[] = {{"lit", 1, 1},
                 {"rolling", (float)rolling, 1},
                 {"tempo", 96, 0},
                 {"part", 3, 1},
                 {"chorus", 1, 1},
                 {"bar", (float)(beat / 4 % 12 + 1), 1},
                 {"bars", 12, 1},
                 {"beat", (float)(beat % 4 + 1), 0},
                 {"beats", 4, 1},
                 {"unit", 4, 1},
                 {"sure", 1, 0},
                 {"song_key", 7, 1},
                 {"beats_to_next", (float)(4 - beat % 4), 0},
                 {"target_hole", 3, 1},
                 {"target_note", 70, 1}};
  const struct {
    const char *key, *value;
  } words[] = {{"now", beat / 4 % 2 ? "C7" : "G7"},  {"now_degree", beat / 4 % 2 ? "IV7" : "I7"},
               {"next", beat / 4 % 2 ? "G7" : "C7"}, {"next_degree", beat / 4 % 2 ? "I7" : "IV7"},
               {"target_technique", "draw1"},        {"target_degree", "b7"}};
  LV2_Atom_Forge       forge;
  LV2_Atom_Forge_Frame object;
  char                 uri[64];
  lv2_atom_forge_init(&forge, &map);
  lv2_atom_forge_set_buffer(&forge, bytes, room);
  lv2_atom_forge_object(&forge, &object, 0, urid_map(NULL, RL_URI("Place")));
  for (size_t i = 0; i < sizeof(numbers) / sizeof(numbers[0]); ++i) {
    snprintf(uri, sizeof(uri), "urn:reedlamp:%s", numbers[i].key);
    lv2_atom_forge_key(&forge, urid_map(NULL, uri));
    numbers[i].whole ? lv2_atom_forge_int(&forge, (int)numbers[i].value)
                     : lv2_atom_forge_float(&forge, numbers[i].value);
  }
  for (size_t i = 0; i < sizeof(words) / sizeof(words[0]); ++i) {
    snprintf(uri, sizeof(uri), "urn:reedlamp:%s", words[i].key);
    lv2_atom_forge_key(&forge, urid_map(NULL, uri));
    lv2_atom_forge_string(&forge, words[i].value, (uint32_t)strlen(words[i].value));
  }
  lv2_atom_forge_pop(&forge, &object);
  return ((const LV2_Atom *)(void *)bytes)->size + (uint32_t)sizeof(LV2_Atom);
}

void
rl_drive_chart_tell(const Opened *const o)
{
  static const char *const charts[] = {"title: A test\nkey: G\n[A]\n| I7 | IV7 | I7 | I7 |\n"
                                       "| IV7 | % | I7 | VI7 |\n| ii7 | V7 | I7 | ii7 V7 |\n",
                                       "title: Another\nkey: G\n[A]\n| I7 | IV7 | I7 | I7 |\n"
                                       "| IV7 | % | I7 | VI7 |\n| ii7 | V7 | I7 | ii7 V7 |\n"};
  static unsigned          told     = 0;
  const char *const        chart    = charts[told++ % 2];
  LV2_Atom                 bytes[128];
  LV2_Atom_Forge           forge;
  LV2_Atom_Forge_Frame     object;
  lv2_atom_forge_init(&forge, &map);
  lv2_atom_forge_set_buffer(&forge, (uint8_t *)bytes, sizeof(bytes));
  lv2_atom_forge_object(&forge, &object, 0, urid_map(NULL, LV2_PATCH__Set));
  lv2_atom_forge_key(&forge, urid_map(NULL, LV2_PATCH__property));
  lv2_atom_forge_urid(&forge, urid_map(NULL, RL_URI("chart")));
  lv2_atom_forge_key(&forge, urid_map(NULL, LV2_PATCH__value));
  lv2_atom_forge_string(&forge, chart, (uint32_t)strlen(chart));
  lv2_atom_forge_pop(&forge, &object);
  ui->port_event(o->handle, RL_PORT_NOTIFY, bytes[0].size + (uint32_t)sizeof(LV2_Atom),
                 urid_map(NULL, LV2_ATOM__eventTransfer), bytes);
}

static void
place_tell(const Opened *const o, const int beat, const int rolling)
{
  LV2_Atom       bytes[128];
  const uint32_t size = place_forge((uint8_t *)bytes, sizeof(bytes), beat, rolling);
  ui->port_event(o->handle, RL_PORT_NOTIFY, size, urid_map(NULL, LV2_ATOM__eventTransfer), bytes);
}

/* ---- The tests ---- */

static void
lost_say(const int time)
{
  unsigned long lost = 0, dubious = 0, reachable = 0, suppressed = 0;
  VALGRIND_DO_LEAK_CHECK;
  VALGRIND_COUNT_LEAKS(lost, dubious, reachable, suppressed);
  printf("lost after %d: %lu (maybe %lu, reachable %lu, suppressed %lu)\n", time, lost, dubious,
         reachable, suppressed);
}

/* The same every time: a font of another size that is new is no loss of another opening. */
static void
times(const int count)
{
  enum { BEATS = 8 };
  for (int i = 0; i < count; ++i) {
    if (i == 2) {
      lost_say(i);
    }
    Opened *const o = rl_drive_opened_surely();
    rl_drive_chart_tell(o);
    for (int beat = 0; beat < BEATS; ++beat) {
      place_tell(o, beat, 1);
      rl_drive_idle(o, 2);
    }
    rl_drive_closed(o);
  }
  lost_say(count);
}

static void
parent_first(void)
{
  for (int late = 0; late < 2; ++late) { /* noticed by our window, or not before it is closed */
    Opened *const o = rl_drive_opened_surely();
    XDestroyWindow(rl_drive_display, o->parent);
    XSync(rl_drive_display, False);
    if (late && !rl_drive_idle(o, 100)) {
      rl_drive_fail("the window does not notice that it is gone");
    }
    ui->cleanup(o->handle);
    free(o);
  }
}

static void
together(void)
{
  enum { ALL = 3 };
  static const int order[ALL] = {1, 0, 2};
  Opened          *o[ALL];
  for (int i = 0; i < ALL; ++i) {
    o[i] = rl_drive_opened_surely();
  }
  for (int beat = 0; beat < 8; ++beat) {
    for (int i = 0; i < ALL; ++i) {
      place_tell(o[i], beat, 1);
      rl_drive_idle(o[i], 3);
    }
  }
  for (int i = 0; i < ALL; ++i) {
    rl_drive_closed(o[order[i]]);
  }
}

static void
resize(void)
{
  Opened *const o = rl_drive_opened_surely();
  o->resize->ui_resize(o->handle, 900, 600);
  if (!sized(o, 900, 600)) {
    rl_drive_fail("the window does not follow ui:resize");
  }
  XResizeWindow(rl_drive_display, o->child, 640, 400);
  XFlush(rl_drive_display);
  if (!sized(o, 640, 400)) {
    rl_drive_fail("the window cannot be resized");
  }
  rl_drive_closed(o);
}

static void
refused(void)
{
  Opened                   o          = {0};
  const LV2_Feature        mapping    = {LV2_URID__map, &map};
  const LV2_Feature *const features[] = {&mapping, NULL};
  LV2UI_Widget             widget     = NULL;
  if (ui->instantiate(ui, RL_PLUGIN_URI, "", written, &o, &widget, features)) {
    rl_drive_fail("a window opened where none can be");
  }
}

static double
seconds(const clockid_t clock)
{
  struct timespec t;
  clock_gettime(clock, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void
cost(const double length, const int rolling)
{
  Opened *const o    = rl_drive_opened_surely();
  int           beat = 0;
  rl_drive_chart_tell(o);
  place_tell(o, beat, rolling);
  rl_drive_idle(o, 100);
  const double start = seconds(CLOCK_MONOTONIC), used = seconds(CLOCK_PROCESS_CPUTIME_ID);
  double       next  = start, now;
  int          idles = 0;
  while ((now = seconds(CLOCK_MONOTONIC)) < start + length) {
    if (rolling && now > start + (beat + 1) * 60.0 / 96.0) {
      place_tell(o, ++beat, 1);
    }
    o->idle->idle(o->handle);
    ++idles;
    next += 1.0 / 30.0;
    const double left = next - seconds(CLOCK_MONOTONIC);
    if (left > 0) {
      nanosleep(&(struct timespec){(time_t)left, (long)((left - (double)(time_t)left) * 1e9)},
                NULL);
    }
  }
  printf("%.2f %% of a core at %.0f idles a second\n",
         100 * (seconds(CLOCK_PROCESS_CPUTIME_ID) - used) / (now - start), idles / (now - start));
  rl_drive_closed(o);
}

int
main(const int argc, char **const argv)
{
  if (argc < 3) {
    rl_drive_fail("usage: drive MODULE WHAT [NUMBER]");
  }
  void *const module = dlopen(argv[1], RTLD_NOW | RTLD_LOCAL);
  if (!module) {
    rl_drive_fail(dlerror());
  }
  LV2UI_DescriptorFunction find;
  *(void **)&find          = dlsym(module, "lv2ui_descriptor");
  ui                       = find(0);
  const char *const what   = argv[2];
  const int         number = argc > 3 ? atoi(argv[3]) : 1;
  if (!strcmp(what, "refused")) {
    refused();
  } else if (!(rl_drive_display = XOpenDisplay(NULL))) {
    rl_drive_fail("no display");
  } else if (!strcmp(what, "times")) {
    times(number);
  } else if (!strcmp(what, "parent-first")) {
    parent_first();
  } else if (!strcmp(what, "together")) {
    together();
  } else if (!strcmp(what, "resize")) {
    resize();
  } else if (!strcmp(what, "focus")) {
    rl_drive_focus();
  } else if (!strcmp(what, "rest") || !strcmp(what, "roll")) {
    cost(number, !strcmp(what, "roll"));
  } else {
    rl_drive_fail("no such test");
  }
  if (rl_drive_display) {
    XCloseDisplay(rl_drive_display);
  }
  dlclose(module);
  for (unsigned i = 0; i < urid_count; ++i) {
    free(urids[i]);
  }
  printf("done\n");
  return 0;
}
