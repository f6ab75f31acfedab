/* SPDX-License-Identifier: ISC */
#include "plugin/protocol/ports.h"

#include "plugin/protocol/uris.h"

#include <string.h>

static const char *const notes[]     = {"C", "Db", "D", "Eb", "E", "F", "F#",
                                        "G", "Ab", "A", "Bb", "B", 0};
static const char *const song_keys[] = {
  "C",        "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B", "as the chart says",
  "as heard", 0};
static const char *const hearings[]   = {"off",      "no sound",      "listening", "found", "lost",
                                         "too slow", "no such chart", "cannot",    0};
static const char *const keys_heard[] = {"not heard", "C", "Db", "D", "Eb", "E", "F",
                                         "F#",        "G", "Ab", "A", "Bb", "B", 0};
static const char *const registers[]  = {"low", "standard", "high", 0};
static const char *const tunings[]    = {
     "Richter", "raised third blow", "country", "natural minor", "harmonic minor", "solo", 0};
static const char *const shows[]      = {"targets", "chord tones", "safe and blue notes", "all", 0};
static const char *const lasts[]      = {"a chorus", "four bars", 0};
static const char *const sources[]    = {"MIDI", "the harp heard", "the track", 0};
static const char *const counts[]     = {"bar by bar", "by beats", 0};
static const char *const harps_from[] = {"nothing", "harp_in", "this track", 0};
static const char *const techniques[] = {
  "blow",         "blow, bent 1", "blow, bent 2", "blow, bent 3", "draw", "draw, bent 1",
  "draw, bent 2", "draw, bent 3", "overblow",     "overdraw",     0};
static const char *const clocks[] = {"the host's transport", "the player's taps", "the ear", 0};

#define WORD(number)         #number
#define NUMBER(macro)        WORD(macro)
#define ATOMS                "atom:bufferType atom:Sequence ; rsz:minimumSize " NUMBER(RL_ATOM_PORT_SIZE)
#define SOUNDS(group, which) "pg:group rl:" group " ; lv2:designation pg:" which

/* Ardour gives no time:Position to an audio track if the port it comes on also takes MIDI (measured
   in tests/hosts), so MIDI has a port of its own; what arrives on `control` all the same is heeded.
 */
const RlPortInfo rl_ports[RL_PORTS] = {
  [RL_PORT_CONTROL] =
    {"control", "Control", RL_KIND_ATOM_IN, 0, 0, 0, RL_OPTIONAL, 0,
     ATOMS " ; atom:supports time:Position , patch:Message ; lv2:designation lv2:control",
     "The host's transport; properties."},
  [RL_PORT_NOTIFY]    = {"notify", "Notify", RL_KIND_ATOM_OUT, 0, 0, 0, RL_OPTIONAL, 0,
                         ATOMS " ; atom:supports patch:Message ; lv2:designation lv2:control",
                         "Where the music is, and answers about properties."},
  [RL_PORT_IN_LEFT]   = {"in_left", "In left", RL_KIND_AUDIO_IN, 0, 0, 0, 0, 0,
                         SOUNDS("track_in", "left"), "The track."},
  [RL_PORT_IN_RIGHT]  = {"in_right", "In right", RL_KIND_AUDIO_IN, 0, 0, 0, RL_STEREO, 0,
                         SOUNDS("track_in", "right"), "The track."},
  [RL_PORT_OUT_LEFT]  = {"out_left", "Out left", RL_KIND_AUDIO_OUT, 0, 0, 0, 0, 0,
                         SOUNDS("track_out", "left"), "A bit-exact copy."},
  [RL_PORT_OUT_RIGHT] = {"out_right", "Out right", RL_KIND_AUDIO_OUT, 0, 0, 0, RL_STEREO, 0,
                         SOUNDS("track_out", "right"), "A bit-exact copy."},
  [RL_PORT_HARP_IN]   = {"harp_in", "Harp microphone", RL_KIND_AUDIO_IN, 0, 0, 0,
                         RL_OPTIONAL | RL_SIDE, 0, "pg:group rl:harp_side",
                         "The player's microphone; heard with harp_from 1."},
  [RL_PORT_MIDI_OUT]  = {"midi_out", "MIDI out (phrases, or MIDI in)", RL_KIND_ATOM_OUT, 0, 0, 0,
                         RL_OPTIONAL, 0, ATOMS " ; atom:supports midi:MidiEvent",
                         "The planned phrases; without a plan what comes in on MIDI in."},
  [RL_PORT_ENABLED]   = {"enabled", "Enabled", RL_KIND_IN, 0, 1, 1, RL_TOGGLED | RL_INTEGER, 0,
                         "lv2:designation lv2:enabled", "Off: audio passes, the lamps are out."},
  [RL_PORT_FREEWHEEL] = {"freewheel", "Freewheel", RL_KIND_IN, 0, 1, 0, RL_TOGGLED | RL_INTEGER, 0,
                         "lv2:designation lv2:freeWheeling ; lv2:portProperty pprops:notOnGUI",
                         "The host runs faster than real time; nothing is sent meanwhile."},
  [RL_PORT_SONG_KEY]  = {"song_key", "Song key", RL_KIND_IN, 0, 13, 12, RL_INTEGER, song_keys, 0,
                         "The key the song sounds in. As heard: found by the ear, with that clock."},
  [RL_PORT_HARP_KEY] =
    {"harp_key", "Harp key", RL_KIND_IN, 0, 11, 0, RL_INTEGER, notes, 0,
     "The note of hole 1 blow. Harps stamped in second position: choose the key a fourth higher."},
  [RL_PORT_HARP_REGISTER] = {"harp_register", "Harp register", RL_KIND_IN, -1, 1, 0, RL_INTEGER,
                             registers, 0, "Low, standard or high harp."},
  [RL_PORT_TUNING]        = {"tuning", "Tuning", RL_KIND_IN, 0, 5, 0, RL_INTEGER, tunings, 0,
                             "How the reeds are tuned."},
  [RL_PORT_START_BAR]     = {"start_bar", "Start bar", RL_KIND_IN, -999, 9999, 1, RL_INTEGER, 0, 0,
                             "The DAW's bar (its first is 1) where the lead-in begins, or bar 1 of the "
                                 "form if there is none."},
  [RL_PORT_COUNT_BY]      = {"count_by", "Count by", RL_KIND_IN, 0, 1, 0, RL_INTEGER, counts, 0,
                             "Bar by bar: each bar of the DAW is one of the form. By beats: the form's "
                                  "own bars along the DAW's beats."},
  [RL_PORT_CLOCK]         = {"clock", "Clock", RL_KIND_IN, 0, 2, 0, RL_INTEGER, clocks, 0,
                             "What the song follows. The ear: the sound of this track."},
  [RL_PORT_TAP] = {"tap", "Tap", RL_KIND_IN, 0, 1, 0, RL_TOGGLED | RL_TRIGGER | RL_INTEGER, 0, 0,
                   "A tap of the foot; four count in. MIDI CC 80."},
  [RL_PORT_BAR_ONE] = {"bar_one", "Bar one is now", RL_KIND_IN, 0, 1, 0,
                       RL_TOGGLED | RL_TRIGGER | RL_INTEGER, 0, 0,
                       "The bar that begins now is bar 1. MIDI CC 81."},
  [RL_PORT_STOP] = {"stop", "Stop", RL_KIND_IN, 0, 1, 0, RL_TOGGLED | RL_TRIGGER | RL_INTEGER, 0, 0,
                    "Stops the player's clock. MIDI CC 82."},
  [RL_PORT_BEND_DEPTH]      = {"bend_depth", "Draw bends", RL_KIND_IN, 0, 3, 3, RL_INTEGER, 0,
                               "units:unit units:semitone12TET",
                               "How far this player bends draw notes."},
  [RL_PORT_BLOW_BEND_DEPTH] = {"blow_bend_depth", "Blow bends", RL_KIND_IN, 0, 3, 3, RL_INTEGER, 0,
                               "units:unit units:semitone12TET",
                               "How far this player bends blow notes."},
  [RL_PORT_OVERBLOWS] = {"overblows", "Overblows", RL_KIND_IN, 0, 1, 0, RL_TOGGLED | RL_INTEGER, 0,
                         0, "This player overblows and overdraws."},
  [RL_PORT_SEND_OSC]  = {"send_osc", "Send OSC", RL_KIND_IN, 0, 1, 0, RL_TOGGLED | RL_INTEGER, 0, 0,
                         "Sends where the music is, chords and lamps to phones and tablets (OSC)."},
  [RL_PORT_CAPTURE]   = {"capture", "Write down", RL_KIND_IN, 0, 1, 0,
                         RL_TOGGLED | RL_TRIGGER | RL_INTEGER, 0, 0,
                         "Writes down a phrase played by MIDI; press again to end it. MIDI CC 83."},
  [RL_PORT_CHORUS]    = {"chorus", "Chorus", RL_KIND_OUT, 0, 9999, 0, RL_INTEGER, 0, 0,
                         "0 before the form starts, then 1, 2, …"},
  [RL_PORT_FORM_BAR] = {"form_bar", "Bar of the form", RL_KIND_OUT, -9999, 512, 0, RL_INTEGER, 0, 0,
                        "-1 is the bar before bar 1; 0: no place is known, or the song is over."},
  [RL_PORT_FORM_BEAT]   = {"form_beat", "Beat of the bar", RL_KIND_OUT, 0, 33, 0, 0, 0, 0,
                           "From 1.0, at the last frame of the block."},
  [RL_PORT_POSITION]    = {"position", "Position", RL_KIND_OUT, 1, 12, 1, RL_INTEGER, 0, 0,
                           "The harp's position for this key."},
  [RL_PORT_SURE]        = {"sure", "Certainty", RL_KIND_OUT, 0, 1, 0, 0, 0, 0,
                           "Of the place: 1 told by the host, less if estimated, 0 unknown."},
  [RL_PORT_MIDI_IN]     = {"midi_in", "MIDI in (foot switches, phrases)", RL_KIND_ATOM_IN, 0, 0, 0,
                           RL_OPTIONAL, 0, ATOMS " ; atom:supports midi:MidiEvent",
                           "Notes become takes; MIDI CC 80 is tap, 81 bar one, 82 stop, 83 write down, "
                               "84 keep the last, 85 half time, 86 "
                               "double time."},
  [RL_PORT_HALF_TIME]   = {"half_time", "Half time", RL_KIND_IN, 0, 1, 0,
                           RL_TOGGLED | RL_TRIGGER | RL_INTEGER | RL_OPTIONAL, 0, 0,
                           "Following by ear: the beat is half as fast. MIDI CC 85."},
  [RL_PORT_DOUBLE_TIME] = {"double_time", "Double time", RL_KIND_IN, 0, 1, 0,
                           RL_TOGGLED | RL_TRIGGER | RL_INTEGER | RL_OPTIONAL, 0, 0,
                           "Following by ear: the beat is twice as fast. MIDI CC 86."},
  [RL_PORT_HEARING]     = {"hearing", "By ear", RL_KIND_OUT, 0, 7, 0, RL_INTEGER | RL_OPTIONAL,
                           hearings, 0, "How following by ear goes."},
  [RL_PORT_CENTS]       = {"cents", "Tuning heard", RL_KIND_OUT, -50, 50, 0, RL_OPTIONAL, 0,
                           "units:unit units:cent",
                           "How far the recording lies above A = 440 Hz; 0 until that is known."},
  [RL_PORT_KEY_HEARD]   = {"key_heard", "Key heard", RL_KIND_OUT, -1, 11, -1,
                           RL_INTEGER | RL_OPTIONAL, keys_heard, 0,
                           "With the song key as heard: the tonic."},
  [RL_PORT_KEY_SURE] = {"key_sure", "Certainty of the key", RL_KIND_OUT, 0, 1, 0, RL_OPTIONAL, 0, 0,
                        "Of the key heard."},
  [RL_PORT_SHOW]     = {"show", "Show", RL_KIND_IN, 1, 4, 4, RL_INTEGER | RL_OPTIONAL, shows, 0,
                        "Which lamps are lit: targets alone, with chord tones, with safe and blue "
                            "notes, all."},
  [RL_PORT_HARP_FROM]       = {"harp_from", "Hear the player", RL_KIND_IN, 0, 2, 0,
                               RL_INTEGER | RL_OPTIONAL, harps_from, 0,
                               "Where the player's sound comes from. This track: its own microphone."},
  [RL_PORT_HEARD_HOLE]      = {"heard_hole", "Hole heard", RL_KIND_OUT, 0, 10, 0,
                               RL_INTEGER | RL_OPTIONAL, 0, 0, "The strongest; 0: nothing sounds."},
  [RL_PORT_HEARD_TECHNIQUE] = {"heard_technique", "Technique heard", RL_KIND_OUT, 0, 9, 0,
                               RL_INTEGER | RL_OPTIONAL, techniques, 0, "How it is played."},
  [RL_PORT_HEARD_CENTS] = {"heard_cents", "Cents heard", RL_KIND_OUT, -100, 100, 0, RL_OPTIONAL, 0,
                           "units:unit units:cent", "How far off its pitch."},
  [RL_PORT_HEARD_LEVEL] = {"heard_level", "Level heard", RL_KIND_OUT, -120, 0, -120, RL_OPTIONAL, 0,
                           "units:unit units:db", "Of all that comes in, against full scale."},
  [RL_PORT_KEEP_LAST] =
    {"keep_last", "Keep the last", RL_KIND_IN, 0, 1, 0,
     RL_TOGGLED | RL_TRIGGER | RL_INTEGER | RL_OPTIONAL, 0, 0,
     "What was just played becomes a take, though nothing was armed. MIDI CC 84."},
  [RL_PORT_KEEP_LAST_LENGTH] = {"keep_last_length", "Keep how much", RL_KIND_IN, 0, 1, 0,
                                RL_INTEGER | RL_OPTIONAL, lasts, 0, "Of what was just played."},
  [RL_PORT_CAPTURE_FROM]     = {"capture_from", "Write down from", RL_KIND_IN, 0, 2, 0,
                                RL_INTEGER | RL_OPTIONAL, sources, 0,
                                "What takes are written down from."},
  [RL_PORT_SHOW_GROWS]       = {"show_grows", "Show more by itself", RL_KIND_IN, 0, 1, 0,
                                RL_TOGGLED | RL_INTEGER | RL_OPTIONAL, 0, 0,
                                "Two choruses in a row that went well show one step more."},
};

bool
rl_port_is_input(const RlPort port)
{
  return port < RL_PORTS && rl_ports[port].kind == RL_KIND_IN;
}

RlFace
rl_face_of(const char *const uri)
{
  return !strcmp(uri, RL_MONO_URI)    ? RL_FACE_MONO
         : !strcmp(uri, RL_PLAIN_URI) ? RL_FACE_PLAIN
                                      : RL_FACE_STEREO;
}

static bool
has(const RlFace face, const RlPortInfo *const port)
{
  const bool atoms = port->kind == RL_KIND_ATOM_IN || port->kind == RL_KIND_ATOM_OUT;
  return face == RL_FACE_STEREO || (!(port->flags & RL_STEREO) &&
                                    (face == RL_FACE_MONO || !(atoms || port->flags & RL_SIDE)));
}

RlPort
rl_port_at(const uint32_t index, const RlFace face)
{
  uint32_t at = 0;
  for (int port = 0; port < RL_PORTS; ++port) {
    if (has(face, &rl_ports[port]) && at++ == index) {
      return (RlPort)port;
    }
  }
  return RL_PORTS;
}
