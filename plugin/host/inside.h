/* SPDX-License-Identifier: ISC */
/* The host from inside: its state, and what its parts offer each other. */
#ifndef RL_PLUGIN_HOST_INSIDE_H
#define RL_PLUGIN_HOST_INSIDE_H

#include "plugin/host/host.h"
#include "plugin/protocol/uris.h"

#include <lilv/lilv.h>
#include <lv2/atom/forge.h>
#include <lv2/worker/worker.h>

#include <pthread.h>
#include <semaphore.h>
#include <stdatomic.h>

enum { RL_HOST_INPUT_SIZE = 1 << 17, RL_HOST_QUEUE_SIZE = 1 << 17, RL_HOST_URIDS = 4096 };

typedef enum { RL_HOST_CONTROL, RL_HOST_AUDIO, RL_HOST_ATOM, RL_HOST_OTHER } RlHostPortKind;

/** A port of the plugin, and what it is connected to. */
typedef struct {
  char           symbol[64];
  RlHostPortKind kind;
  bool           input;
  float          value;
  void          *buffer; /**< audio or atoms */
  uint32_t       size;   /**< of an atom buffer, its head included */
  bool           lent;   /**< the buffer is somebody else's */
} RlHostPort;

/** Work waiting to be done: a size, then that many bytes, over and over. */
typedef struct {
  char            bytes[RL_HOST_QUEUE_SIZE];
  uint32_t        used;
  pthread_mutex_t lock;
} RlHostQueue;

struct RlHost {
  RlHostChoice                choice;
  LilvWorld                  *world;
  const LilvPlugin           *plugin;
  LilvInstance               *instance;
  RlHostPort                 *port;
  uint32_t                    ports;
  char                       *uri[RL_HOST_URIDS];
  uint32_t                    uri_count;
  pthread_mutex_t             uris_lock;
  LV2_URID_Map                map;
  LV2_URID_Unmap              unmap;
  LV2_Worker_Schedule         schedule;
  const LV2_Worker_Interface *worker;
  RlHostQueue                 requests, responses;
  pthread_t                   thread;
  sem_t                       wake;
  atomic_bool                 quit;
  bool                        active;
  RlUris                      uris;  /* what is spoken with the plugin */
  LV2_Atom_Forge              forge; /* knows the URIDs of atom types */
  RlHostListener              listener;
  void                       *listener_data;
  void (*around)(void *data, bool before);
  void *around_data;
};

/** Ends the program where there is no memory: whoever embeds the host is a test or the demo. */
void *rl_host_must(void *memory);

/** The port of that symbol; ends the program if there is none. */
RlHostPort *rl_host_port(const RlHost *host, const char *symbol);

/** Makes and connects all ports; frees them. */
void rl_host_ports_make(RlHost *host);
void rl_host_ports_free(RlHost *host);

/** Empties the atom inputs, or gives the outputs their capacity as their size. */
void rl_host_atoms_reset(RlHost *host, bool inputs);

/** Tells whoever asked for it (rl_host_around()) that run() begins or ends. */
void rl_host_around_tell(const RlHost *host, bool before);

/** work:schedule, as the plugin calls it inside run(). */
LV2_Worker_Status rl_host_schedule(LV2_Worker_Schedule_Handle host, uint32_t size,
                                   const void *data);

/** The worker's thread, for RL_HOST_THREADED. */
void rl_host_work_start(RlHost *host);
void rl_host_work_stop(RlHost *host);

/** All work that waits is done; all responses are given. */
void rl_host_work(RlHost *host);
void rl_host_respond(RlHost *host);

#endif
