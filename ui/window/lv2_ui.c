/* SPDX-License-Identifier: ISC */
/* The LV2 UI: connects the host, the controller and the window on the screen. All calls come in the
   host's window thread. */
#include "ui/window/plugin_events.h"
#include "ui/window/window.h"

#include "plugin/protocol/patch.h"
#ifdef RL_SHEET
#include "ui/paper/sheet_thread.h"
#endif

#include <lv2/atom/forge.h>
#include <lv2/options/options.h>
#include <lv2/ui/ui.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define RL_WINDOW_URI "urn:reedlamp:window"

/* The smallest window that is of use, in pixels. */
enum { LEAST_WIDTH = 320, LEAST_HEIGHT = 320 };

enum {
  TEXT_SIZE = RL_PROPERTY_MOST + 1,
  ATOM_SIZE = TEXT_SIZE + RL_PATCH_SET_BYTES,
  PATH_SIZE = 4096
};

typedef struct {
  LV2UI_Write_Function write;
  LV2UI_Controller     host;
  const LV2UI_Touch   *touch; /* NULL where not offered; so is `resize` */
  const LV2UI_Resize  *resize;
  RlFace               face;
  bool                 asked;
  double               heard_at, asked_at; /* when the plugin last said anything, was last asked */
  RlUris               uris;
  LV2_URID             event_transfer;
  LV2_Atom_Forge       forge;
  RlController        *controller;
  RlWindow            *window;
#ifdef RL_SHEET
  RlSheetThread *sheets; /* NULL: none are made */
#endif
  char text[TEXT_SIZE];
  union {
    LV2_Atom atom;
    uint8_t  bytes[ATOM_SIZE];
  } out;
} Ui;

/* The features that the host offers. */
typedef struct {
  void               *parent;
  LV2_URID_Map       *map;
  LV2UI_Touch        *touch;
  LV2UI_Resize       *resize;
  LV2_Options_Option *options;
  const char         *bundle; /* folder of the installed files */
} Offers;

static double
now(void)
{
  struct timespec t = {0, 0};
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* ---- To the plugin ---- */

static uint32_t
port_index(const Ui *const ui, const RlPort port)
{
  uint32_t index = 0;
  while (rl_port_at(index, ui->face) != port) {
    ++index;
  }
  return index;
}

static void
touch(const Ui *const ui, const uint32_t index, const bool held)
{
  if (ui->touch) {
    ui->touch->touch(ui->touch->handle, index, held);
  }
}

static void
set_port(void *const data, const RlPort port, const float value)
{
  const Ui *const ui = data;
  if (rl_ports[port].kind != RL_KIND_IN) {
    return;
  }
  const uint32_t index = port_index(ui, port);
  touch(ui, index, true);
  ui->write(ui->host, index, sizeof(value), 0, &value);
  touch(ui, index, false);
}

/* Sends the atom that was forged, unless it was too long for the buffer. */
static void
send(Ui *const ui, const bool whole)
{
  if (whole) {
    ui->write(ui->host, port_index(ui, RL_PORT_CONTROL), lv2_atom_total_size(&ui->out.atom),
              ui->event_transfer, &ui->out.atom);
  }
}

static void
set_text(void *const data, const RlProperty which, const char *const text)
{
  Ui *const          ui    = data;
  const RlPatchValue value = rl_patch_value(which, text, &ui->uris);
  if ((rl_properties[which].access & RL_WRITE) && value.length <= rl_properties[which].most) {
    lv2_atom_forge_set_buffer(&ui->forge, ui->out.bytes, sizeof(ui->out));
    send(ui, rl_patch_set(&ui->forge, &ui->uris, &value));
  }
}

/* Asks for all properties; the plugin answers with the place too. */
static void
ask_all(Ui *const ui)
{
  lv2_atom_forge_set_buffer(&ui->forge, ui->out.bytes, sizeof(ui->out));
  send(ui, rl_patch_get(&ui->forge, &ui->uris, 0));
}

/* ---- From the plugin ---- */

static void
atom_hear(Ui *const ui, const void *const atom, const uint32_t size)
{
  RlPluginMessage     m;
  const RlPluginEvent heard = rl_plugin_event_read(&ui->uris, atom, size, &m);
  ui->heard_at              = now();
  if (heard == RL_PLUGIN_EVENT_PLACE) {
    rl_controller_hear_place(ui->controller, &m.report, now());
  } else if (heard == RL_PLUGIN_EVENT_HEARING) {
    rl_controller_hear_hearing(ui->controller, &m.hearing);
  } else if (heard == RL_PLUGIN_EVENT_PLAYED) {
    rl_controller_hear_played(ui->controller, &m.played, now());
  } else if (heard == RL_PLUGIN_EVENT_HIT) {
    rl_controller_hear_hit(ui->controller, &m.hit, now());
  } else if (heard == RL_PLUGIN_EVENT_PICTURE) {
    rl_controller_hear_picture(ui->controller, &m.picture);
  } else if (heard == RL_PLUGIN_EVENT_TEXT && m.length < TEXT_SIZE) {
    memcpy(ui->text, m.text, m.length);
    ui->text[m.length] = '\0';
    rl_controller_hear_text(ui->controller, m.which, ui->text);
  }
}

static bool
port_controls(const RlPort port)
{
  return port < RL_PORTS &&
         (rl_ports[port].kind == RL_KIND_IN || rl_ports[port].kind == RL_KIND_OUT);
}

static void
port_event(const LV2UI_Handle handle, const uint32_t index, const uint32_t size,
           const uint32_t protocol, const void *const bytes)
{
  Ui *const ui    = handle;
  float     value = NAN;
  if (!ui) {
    return; /* jalv may go on reporting to a window that it has just closed */
  }
  const RlPort port = rl_port_at(index, ui->face);
  if (protocol == 0 && size == sizeof(value) && port_controls(port)) {
    memcpy(&value, bytes, sizeof(value));
    if (isfinite(value)) {
      rl_controller_hear_port(ui->controller, port, value);
    }
  } else if (protocol == ui->event_transfer && port == RL_PORT_NOTIFY) {
    atom_hear(ui, bytes, size);
  }
}

/* ---- Between window and controller ---- */

static int
callback_changed(void *const data, const int width, const int height, RlRect *const damage)
{
  const Ui *const ui = data;
  return rl_controller_changed(ui->controller, now(), width, height, damage);
}

static void
callback_draw(void *const data, cairo_t *const cr, const int width, const int height)
{
  const Ui *const ui = data;
  rl_controller_draw(ui->controller, cr, width, height);
}

static bool
callback_input(void *const data, const RlInput *const input)
{
  const Ui *const ui = data;
  return rl_controller_input(ui->controller, input, now());
}

static bool
callback_typing(void *const data)
{
  const Ui *const ui = data;
  return rl_controller_view(ui->controller)->edit.kind != RL_EDIT_NOTHING;
}

/* ---- Opening and closing ---- */

static void
offers_read(Offers *const offers, const LV2_Feature *const *const features)
{
  const struct {
    const char *uri;
    size_t      at;
  } known[] = {{LV2_UI__parent, offsetof(Offers, parent)},
               {LV2_URID__map, offsetof(Offers, map)},
               {LV2_UI__touch, offsetof(Offers, touch)},
               {LV2_UI__resize, offsetof(Offers, resize)},
               {LV2_OPTIONS__options, offsetof(Offers, options)}};
  for (int f = 0; features && features[f]; ++f) {
    for (size_t i = 0; i < sizeof(known) / sizeof(known[0]); ++i) {
      if (!strcmp(features[f]->URI, known[i].uri)) {
        memcpy((char *)offers + known[i].at, &features[f]->data, sizeof(void *));
      }
    }
  }
}

/* The host's ui:scaleFactor, limited to 1 to 3; 1 where there is none. */
static double
scale_of(const Offers *const offers, const RlUris *const uris)
{
  const LV2_URID key   = offers->map->map(offers->map->handle, LV2_UI__scaleFactor);
  double         scale = 1;
  for (const LV2_Options_Option *o = offers->options; o && o->key; ++o) {
    const RlAtom value = {o->value, o->size, o->type};
    double       factor;
    if (o->key == key && o->value && rl_number(&value, uris, &factor)) {
      scale = factor >= 1 && factor <= 3 ? factor : factor > 3 && isfinite(factor) ? 3 : 1;
    }
  }
  return scale;
}

/* Something in our bundle; NULL: there is no such path. LV2 has the bundle's path end with a slash,
   but not every host does. */
static const char *
bundle_find(char *const path, const size_t size, const char *const bundle, const char *const name)
{
  const size_t length = bundle ? strlen(bundle) : 0;
  const char  *slash  = length && bundle[length - 1] != '/' ? "/" : "";
  return length && snprintf(path, size, "%s%s%s", bundle, slash, name) < (int)size ? path : NULL;
}

/* A folder of ours (XDG Base Directory Specification): in the folder that `variable` names, else in
   `standard` in the home folder. NULL: there is none. */
static const char *
own_folder(char *const path, const size_t size, const char *const variable,
           const char *const standard, const char *const below)
{
  const char *const set    = getenv(variable);
  const char *const home   = getenv("HOME");
  int               length = 0;
  if (set && set[0] == '/') {
    length = snprintf(path, size, "%s/%s", set, below);
  } else if (home && home[0] == '/') {
    length = snprintf(path, size, "%s/%s/%s", home, standard, below);
  }
  return length > 0 && (size_t)length < size ? path : NULL;
}

static void
tries_find(const Ui *const ui)
{
  char path[PATH_SIZE];
  rl_controller_set_tries_folder(
    ui->controller, own_folder(path, sizeof(path), "XDG_DATA_HOME", ".local/share", "reedlamp"));
}

static void
phrases_find(const Ui *const ui, const char *const bundle)
{
  char path[PATH_SIZE], book[PATH_SIZE];
  rl_controller_set_phrase_files(
    ui->controller,
    own_folder(path, sizeof(path), "XDG_DATA_HOME", ".local/share", "reedlamp/phrases"),
    bundle_find(book, sizeof(book), bundle, "phrases.abc"));
}

static void
charts_find(const Ui *const ui, const char *const bundle)
{
  char own[PATH_SIZE], presets[PATH_SIZE], state[PATH_SIZE];
  rl_controller_set_chart_files(
    ui->controller,
    own_folder(own, sizeof(own), "XDG_DATA_HOME", ".local/share", "reedlamp/charts"),
    bundle_find(presets, sizeof(presets), bundle, "charts"),
    own_folder(state, sizeof(state), "XDG_STATE_HOME", ".local/state", "reedlamp"));
}

/* Without memory there is no button for sheets. */
static void
sheets_open(Ui *const ui)
{
#ifdef RL_SHEET
  ui->sheets = rl_sheet_thread_open();
  if (ui->sheets) {
    rl_controller_set_sheets(
      ui->controller,
      &(RlControllerSheets){ui->sheets, rl_sheet_thread_begin, rl_sheet_thread_ready});
  }
#else
  (void)ui;
#endif
}

/* Opens controller and window; false if either cannot be opened. */
static bool
ui_open(Ui *const ui, const Offers *const offers)
{
  const RlControllerPlugin plugin    = {ui, set_port, set_text};
  const RlWindowCallbacks  callbacks = {ui, callback_changed, callback_draw, callback_input,
                                        callback_typing};
  char                     path[PATH_SIZE];
  RlSizes                  sizes = {0, 0, LEAST_WIDTH, LEAST_HEIGHT};
  ui->controller =
    rl_controller_new(&plugin, scale_of(offers, &ui->uris),
                      own_folder(path, sizeof(path), "XDG_CONFIG_HOME", ".config", "reedlamp"));
  if (!ui->controller) {
    return false;
  }
  phrases_find(ui, offers->bundle);
  charts_find(ui, offers->bundle);
  tries_find(ui);
  sheets_open(ui);
  rl_controller_size(ui->controller, &sizes.width, &sizes.height);
  ui->window =
    rl_window_open((unsigned long)(uintptr_t)offers->parent, "Reedlamp", sizes, &callbacks);
  if (ui->window && ui->resize) {
    ui->resize->ui_resize(ui->resize->handle, sizes.width, sizes.height);
  }
  return ui->window;
}

static void
cleanup(const LV2UI_Handle handle)
{
  Ui *const ui = handle;
  if (ui) {
    rl_window_close(ui->window);
    rl_controller_free(ui->controller);
#ifdef RL_SHEET
    rl_sheet_thread_close(ui->sheets);
#endif
    free(ui);
  }
}

static LV2UI_Handle
instantiate(const LV2UI_Descriptor *const descriptor, const char *const plugin_uri,
            const char *const bundle_path, const LV2UI_Write_Function write,
            const LV2UI_Controller controller, LV2UI_Widget *const widget,
            const LV2_Feature *const *const features)
{
  Offers offers = {NULL, NULL, NULL, NULL, NULL, NULL};
  (void)descriptor;
  offers_read(&offers, features);
  offers.bundle = bundle_path;
  if (!offers.map ||
      (strcmp(plugin_uri, RL_MONO_URI) != 0 && strcmp(plugin_uri, RL_PLUGIN_URI) != 0)) {
    fprintf(stderr, "Reedlamp: no window: %s\n",
            offers.map ? "it belongs to another plugin" : "the host does not offer urid:map");
    return NULL;
  }
  Ui *const ui = calloc(1, sizeof(Ui));
  if (!ui) {
    return NULL;
  }
  ui->write  = write;
  ui->host   = controller;
  ui->touch  = offers.touch;
  ui->resize = offers.resize;
  ui->face   = rl_face_of(plugin_uri);
  rl_uris_map(&ui->uris, offers.map, plugin_uri);
  lv2_atom_forge_init(&ui->forge, offers.map);
  ui->event_transfer = offers.map->map(offers.map->handle, LV2_ATOM__eventTransfer);
  if (!ui_open(ui, &offers)) {
    cleanup(ui);
    return NULL;
  }
  const uintptr_t id = rl_window_id(ui->window); /* LV2 has the window's number in a pointer */
  memcpy(widget, &id, sizeof(id));
  return ui;
}

/* ---- What the host may call besides ---- */

/* A plugin that is run answers at once, whatever the music does. Where it has said nothing for a
   while it is asked for something short, ever more rarely while it stays silent. */
static void
pulse_feel(Ui *const ui)
{
  static const double patience = 2, often = 2, rarely = 10; /* seconds */
  const double        at     = now();
  const bool          silent = at - ui->heard_at > 2 * patience;
  if (at - ui->heard_at > patience && at - ui->asked_at > (silent ? rarely : often)) {
    lv2_atom_forge_set_buffer(&ui->forge, ui->out.bytes, sizeof(ui->out));
    send(ui, rl_patch_get(&ui->forge, &ui->uris, rl_property_urid(RL_PROBLEM, &ui->uris)));
    ui->asked_at = at;
  }
  rl_controller_hear_silence(ui->controller, silent);
}

static int
idle(const LV2UI_Handle handle)
{
  Ui *const ui = handle;
  if (!ui) {
    return 1;
  }
  if (!ui->asked) {
    ui->asked = true; /* not earlier: a host may not listen yet while it opens the window */
    ask_all(ui);
    ui->heard_at = ui->asked_at = now();
  }
  pulse_feel(ui);
  return !rl_window_idle(ui->window);
}

static int
resize(const LV2UI_Feature_Handle handle, const int width, const int height)
{
  const Ui *const ui = handle;
  if (!ui || width <= 0 || height <= 0) {
    return 1;
  }
  rl_window_resize(ui->window, width, height);
  return 0;
}

static const void *
extension_data(const char *const uri)
{
  static const LV2UI_Idle_Interface idle_interface   = {idle};
  static const LV2UI_Resize         resize_interface = {NULL, resize};
  return !strcmp(uri, LV2_UI__idleInterface) ? (const void *)&idle_interface
         : !strcmp(uri, LV2_UI__resize)      ? (const void *)&resize_interface
                                             : NULL;
}

static const LV2UI_Descriptor descriptor = {RL_WINDOW_URI, instantiate, cleanup, port_event,
                                            extension_data};

LV2_SYMBOL_EXPORT const LV2UI_Descriptor *
lv2ui_descriptor(const uint32_t index)
{
  return index ? NULL : &descriptor;
}
