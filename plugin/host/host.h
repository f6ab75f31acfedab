/* SPDX-License-Identifier: ISC */
/* The embedded host: one plugin loaded through lilv and run block by block, as fast as it goes. For
   the demo, the tests and the benchmark. One thread, but for the worker in RL_HOST_THREADED. */
#ifndef RL_PLUGIN_HOST_HOST_H
#define RL_PLUGIN_HOST_HOST_H

#include <lv2/atom/atom.h>
#include <lv2/urid/urid.h>

#include <stdbool.h>
#include <stdint.h>

typedef struct RlHost RlHost;

/** When the plugin's worker works. */
typedef enum {
  RL_HOST_AFTER,    /**< after each run(), before the next: the same every time */
  RL_HOST_AT_ONCE,  /**< inside run(), as some hosts do offline */
  RL_HOST_THREADED, /**< in a thread of its own */
  RL_HOST_NONE      /**< the host has none */
} RlHostWorker;

/** How to load it. */
typedef struct {
  const char
    *bundles; /**< the folder that holds reedlamp.lv2, as LV2_PATH would; or one .lv2 folder */
  const char  *uri;
  double       rate;      /**< frames a second */
  uint32_t     max_block; /**< frames */
  RlHostWorker worker;
  bool         in_place;     /**< outputs share the inputs' buffers */
  uint32_t     notify_bytes; /**< capacity of atom outputs; 0: what the plugin asks for */
} RlHostChoice;

/** A transport report; fields that are not set are not sent. */
typedef struct {
  const int64_t *frame, *bar;
  const float   *speed, *bar_beat, *beats_per_bar, *beats_per_minute;
  const double  *beat;
  const int32_t *beat_unit;
} RlHostPosition;

/** Something on an atom output. `body` is the atom's; an object's begins with LV2_Atom_Object_Body.
 */
typedef void (*RlHostListener)(void *data, const char *symbol, int64_t frame, const LV2_Atom *atom);

/** Loads and instantiates; NULL on failure, the reason on stderr in one line. Not yet activated. */
RlHost *rl_host_open(const RlHostChoice *choice);
void    rl_host_close(RlHost *host);

void rl_host_activate(RlHost *host);
void rl_host_deactivate(RlHost *host);

/** Sets a control input, reads a control output; by symbol. Aborts on an unknown one. */
void  rl_host_set(RlHost *host, const char *symbol, float value);
float rl_host_get(const RlHost *host, const char *symbol);

/** The buffer of an audio port, max_block frames. */
float *rl_host_audio(RlHost *host, const char *symbol);

/** Puts a buffer of the caller's in the place of an audio or atom port's own: max_block frames, or
    `bytes` (and 8 at least) of atoms. NULL leaves the port unconnected. Not with in_place. */
void rl_host_connect(RlHost *host, const char *symbol, void *buffer, uint32_t bytes);

/** Queue something on `control` (or another atom input) for the next run(), in order of frames. */
void rl_host_send(RlHost *host, const char *symbol, int64_t frame, const LV2_Atom *atom);
void rl_host_send_position(RlHost *host, int64_t frame, const RlHostPosition *position);
void rl_host_send_midi(RlHost *host, const char *symbol, int64_t frame, const uint8_t bytes[3]);
/** patch:Set of a text property (`type` a URI, atom:String or atom:Path). */
void rl_host_send_text(RlHost *host, int64_t frame, const char *property, const char *type,
                       const char *text);
/** patch:Get of a property, or of all (NULL). */
void rl_host_send_get(RlHost *host, int64_t frame, const char *property);

/** Who hears what the plugin puts out during run(). */
void rl_host_listen(RlHost *host, RlHostListener listener, void *data);

/** Calls `around` just before (true) and just after (false) the plugin's own run(), on its thread.
 */
void rl_host_around(RlHost *host, void (*around)(void *data, bool before), void *data);

/** Runs one block of `frames` (0 to max_block). */
void rl_host_run(RlHost *host, uint32_t frames);

/** Saves the state to a Turtle string (free() it) and restores one; NULL / false on failure. */
char *rl_host_save(RlHost *host);
bool  rl_host_restore(RlHost *host, const char *turtle);
/** Loads a preset of the bundle by its URI. */
bool rl_host_preset(RlHost *host, const char *uri);

/** Waits until all other threads of this process sleep, `times` looks in a row: what works beside
   the host (the plugin's listener) has done it. Linux. */
void rl_host_rest(int times);

LV2_URID    rl_host_map(RlHost *host, const char *uri);
const char *rl_host_unmap(const RlHost *host, LV2_URID urid);

/** The raw run() with nothing of the host around it, on whatever the ports hold: for benchmarks. */
void rl_host_run_bare(RlHost *host, uint32_t frames);

#endif
