/* SPDX-License-Identifier: ISC */
/* The ports: one table for the C code, for both plugins and for the Turtle that describes them. */
#ifndef RL_PLUGIN_PROTOCOL_PORTS_H
#define RL_PLUGIN_PROTOCOL_PORTS_H

#include <stdbool.h>
#include <stdint.h>

/** What a port is for. The order is that of the stereo plugin's indices; new ones go to the end. */
typedef enum {
  RL_PORT_CONTROL,
  RL_PORT_NOTIFY,
  RL_PORT_IN_LEFT,
  RL_PORT_IN_RIGHT,
  RL_PORT_OUT_LEFT,
  RL_PORT_OUT_RIGHT,
  RL_PORT_HARP_IN,
  RL_PORT_MIDI_OUT,
  RL_PORT_ENABLED,
  RL_PORT_FREEWHEEL,
  RL_PORT_SONG_KEY,
  RL_PORT_HARP_KEY,
  RL_PORT_HARP_REGISTER,
  RL_PORT_TUNING,
  RL_PORT_START_BAR,
  RL_PORT_COUNT_BY,
  RL_PORT_CLOCK,
  RL_PORT_TAP,
  RL_PORT_BAR_ONE,
  RL_PORT_STOP,
  RL_PORT_BEND_DEPTH,
  RL_PORT_BLOW_BEND_DEPTH,
  RL_PORT_OVERBLOWS,
  RL_PORT_SEND_OSC,
  RL_PORT_CAPTURE,
  RL_PORT_CHORUS,
  RL_PORT_FORM_BAR,
  RL_PORT_FORM_BEAT,
  RL_PORT_POSITION,
  RL_PORT_SURE,
  RL_PORT_MIDI_IN,
  RL_PORT_HALF_TIME,
  RL_PORT_DOUBLE_TIME,
  RL_PORT_HEARING,
  RL_PORT_CENTS,
  RL_PORT_KEY_HEARD,
  RL_PORT_KEY_SURE,
  RL_PORT_SHOW,
  RL_PORT_HARP_FROM,
  RL_PORT_HEARD_HOLE,
  RL_PORT_HEARD_TECHNIQUE,
  RL_PORT_HEARD_CENTS,
  RL_PORT_HEARD_LEVEL,
  RL_PORT_KEEP_LAST,
  RL_PORT_KEEP_LAST_LENGTH,
  RL_PORT_CAPTURE_FROM,
  RL_PORT_SHOW_GROWS,
  RL_PORTS
} RlPort;

/** Ports of one kind that stand together: from one up to another. */
typedef struct {
  RlPort first, end;
} RlPortRange;

enum { RL_FIRST_INPUT = RL_PORT_ENABLED };

/** The control inputs, and the control outputs, where they stand. */
static const RlPortRange rl_inputs[]  = {{RL_PORT_ENABLED, RL_PORT_CHORUS},
                                         {RL_PORT_HALF_TIME, RL_PORT_HEARING},
                                         {RL_PORT_SHOW, RL_PORT_HEARD_HOLE},
                                         {RL_PORT_KEEP_LAST, RL_PORTS}};
static const RlPortRange rl_outputs[] = {{RL_PORT_CHORUS, RL_PORT_MIDI_IN},
                                         {RL_PORT_HEARING, RL_PORT_SHOW},
                                         {RL_PORT_HEARD_HOLE, RL_PORT_KEEP_LAST}};

enum {
  RL_INPUT_RANGES  = sizeof(rl_inputs) / sizeof(rl_inputs[0]),
  RL_OUTPUT_RANGES = sizeof(rl_outputs) / sizeof(rl_outputs[0])
};

/** Where the player's sound comes from: the port `harp_from`. */
typedef enum {
  RL_HARP_FROM_NOTHING,
  RL_HARP_FROM_SIDE, /**< `harp_in` */
  RL_HARP_FROM_TRACK
} RlHarpFrom;

#define RL_HEARD_SILENCE (-120.0F) /**< the port `heard_level`, dB full scale: nothing at all */

/** Is it a control input? */
bool rl_port_is_input(RlPort port);

/** How following by ear goes: the port `hearing`. */
typedef enum {
  RL_HEARING_OFF,     /**< the clock is another one */
  RL_HEARING_WAITS,   /**< there is no sound */
  RL_HEARING_LISTENS, /**< there is, and its place is not known yet */
  RL_HEARING_FOUND,
  RL_HEARING_LOST,
  RL_HEARING_LATE,   /**< this machine is too slow: sound was left out */
  RL_HEARING_CHART,  /**< such a form cannot be followed by ear */
  RL_HEARING_CANNOT, /**< no memory, no thread, a rate out of range, or built without */
  RL_HEARINGS
} RlHearingState;

enum { RL_KEY_NOT_HEARD = -1 /**< the port `key_heard` */ };

typedef enum {
  RL_KIND_ATOM_IN,
  RL_KIND_ATOM_OUT,
  RL_KIND_AUDIO_IN,
  RL_KIND_AUDIO_OUT,
  RL_KIND_IN,
  RL_KIND_OUT
} RlPortKind;

enum {
  RL_TOGGLED  = 1 << 0,
  RL_TRIGGER  = 1 << 1, /**< acts on the rising edge */
  RL_INTEGER  = 1 << 2,
  RL_OPTIONAL = 1 << 3, /**< may be left unconnected */
  RL_STEREO   = 1 << 4, /**< only the stereo plugin has it */
  RL_SIDE     = 1 << 5  /**< a side chain */
};

/* Bytes of an atom port that a host is asked for; also written into the Turtle. */
#define RL_ATOM_PORT_SIZE 32768

/** A port as it is described. */
typedef struct {
  const char *symbol, *name;
  RlPortKind  kind;
  float       low, high, standard;
  unsigned    flags;
  const char *const
    *points; /**< names of the values from `low` up, NULL-terminated; an enumeration */
  const char
    *more; /**< further Turtle, NULL for none; on audio ports their group, which only stereo has */
  const char *comment;
} RlPortInfo;

/** By RlPort. */
extern const RlPortInfo rl_ports[RL_PORTS];

/** The plugins of the bundle: the same with fewer and fewer ports. */
typedef enum {
  RL_FACE_STEREO, /**< all of them */
  RL_FACE_MONO,   /**< one side of the track */
  RL_FACE_PLAIN,  /**< that and control ports, for hosts that know nothing else */
  RL_FACES
} RlFace;

/** Which one has that URI; RL_FACE_STEREO if none. */
RlFace rl_face_of(const char *uri);

/** Which port an index means, RL_PORTS if none. */
RlPort rl_port_at(uint32_t index, RlFace face);

#endif
