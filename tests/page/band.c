/* A band for the tests: plays a chart in real time and sends what the plugin would, the address
   table of the README, from a sender of its own that shares nothing with the server but the core's
   rules.

     band CHART PORT [harp=KEY] [delay=MS] [tempo=N]

   delay: every packet leaves up to so many milliseconds late, as on a bad network; its time tag
   stays right. Each change is written to standard output as a line of JSON with its wall-clock
   time. Lines on standard input: `stop`, `roll`, `chorus N`, `bar N` (of the present chorus), `off`
   (the last bundle, then silence), `on`, `mute` (silence without a word), `quit`. */
#define _DEFAULT_SOURCE

#include "../../core/chart.h"
#include "../../core/lamps.h"
#include "../../core/line.h"

#include <arpa/inet.h>
#include <math.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

enum { PACKET = 1400, LATE = 512, FULL_EVERY = 2 };

typedef struct {
  double  at;
  size_t  size;
  uint8_t bytes[PACKET];
} Late;

static struct {
  RlForm       form;
  RlLine       line;
  RlLineRoom   room;
  RlHarp       harp;
  RlHarpChoice choice;
  RlKey        key;
  int          socket;
  double       delay, tempo; /* felt beats a minute */
  double       from, began;  /* felt beats at the wall-clock time `began` */
  bool         rolling, on, mute;
  RlPlace      place;
  RlTurn       turn;
  double       full;
  uint64_t     tag;
  size_t       used;
  uint8_t      packet[PACKET];
  int          late;
  Late         queue[LATE];
} band;

static double
wall(void)
{
  struct timespec t;
  clock_gettime(CLOCK_REALTIME, &t);
  return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

/* ---- packets ---- */

static void
word_put(uint8_t *const at, const uint32_t w)
{
  for (int i = 0; i < 4; ++i) {
    at[i] = (uint8_t)(w >> (24 - 8 * i));
  }
}

static void
packet_send(void)
{
  if (band.used > 16 && !band.mute) {
    if (band.delay <= 0 || band.late == LATE) {
      send(band.socket, band.packet, band.used, 0);
    } else {
      Late *const l = &band.queue[band.late++];
      l->at         = wall() + band.delay * (rand() % 1000) / 1000;
      l->size       = band.used;
      memcpy(l->bytes, band.packet, band.used);
    }
  }
  band.used = 0;
}

static void
late_send(const double now)
{
  for (int i = 0; i < band.late;) {
    if (band.queue[i].at <= now) {
      send(band.socket, band.queue[i].bytes, band.queue[i].size, 0);
      band.queue[i] = band.queue[--band.late];
    } else {
      ++i;
    }
  }
}

static size_t
string_put(uint8_t *const at, const char *const s)
{
  const size_t length = strlen(s);
  memset(at + length, 0, 4 - length % 4);
  memcpy(at, s, length);
  return (length / 4 + 1) * 4;
}

typedef union {
  int32_t     i;
  float       f;
  const char *s;
} Arg;

static void
message(const char *const address, const char *const types, const Arg *const args)
{
  static uint8_t m[4 * PACKET];
  char           tags[16] = ",";
  size_t         n        = string_put(m, address);
  strcat(tags, types);
  n += string_put(m + n, tags);
  for (int i = 0; types[i]; ++i) {
    if (types[i] == 's') {
      n += string_put(m + n, args[i].s);
    } else {
      word_put(m + n, (uint32_t)args[i].i);
      n += 4;
    }
  }
  if (band.used + 4 + n > PACKET) {
    packet_send();
  }
  if (!band.used) {
    memcpy(band.packet, "#bundle", 8);
    word_put(band.packet + 8, (uint32_t)(band.tag >> 32));
    word_put(band.packet + 12, (uint32_t)band.tag);
    band.used = 16;
  }
  word_put(band.packet + band.used, (uint32_t)n);
  memcpy(band.packet + band.used + 4, m, n);
  band.used += 4 + n;
}

static void
tag_set(const double when)
{
  const double seconds = floor(when);
  band.tag = (uint64_t)(seconds + 2208988800.0) << 32 | (uint64_t)((when - seconds) * 4294967296.0);
}

/* ---- what is told ---- */

static RlHarmony
harmony(const int change)
{
  return change < 0 ? (RlHarmony){.sounding = false}
                    : rl_harmony_of(rl_form_chord(&band.form, change), band.key);
}

static void
names(const int change, char *const name, char *const degree)
{
  RlText          a = rl_text_in(name, RL_CHORD_ROOM);
  RlText          b = rl_text_in(degree, RL_CHORD_ROOM);
  const RlHarmony h = harmony(change);
  if (change >= 0) {
    rl_harmony_name(&h, &a);
    rl_harmony_degree(&h, &b);
  }
}

static double
felt_of(const RlPlace *const p)
{
  return rl_meter_felt(p->beats, p->unit) / p->beats;
}

static void
tell_transport(void)
{
  const Arg args[] = {{.i = band.rolling},
                      {.f = (float)(band.tempo / felt_of(&band.place))},
                      {.f = (float)band.place.beats},
                      {.i = band.place.unit}};
  message("/reedlamp/transport", "iffi", args);
}

static void
tell_place(void)
{
  const RlPlace *const p      = &band.place;
  const Arg            args[] = {
               {.i = p->chorus}, {.i = p->bar}, {.i = band.form.bars}, {.f = (float)(p->beat + 1)}, {.f = 1}};
  message("/reedlamp/place", "iiiff", args);
}

static void
tell_chord(void)
{
  char now[RL_CHORD_ROOM], next[RL_CHORD_ROOM], now_degree[RL_CHORD_ROOM],
    next_degree[RL_CHORD_ROOM];
  names(band.turn.now, now, now_degree);
  names(band.turn.next, next, next_degree);
  const Arg args[] = {{.s = now},
                      {.s = next},
                      {.s = now_degree},
                      {.s = next_degree},
                      {.f = (float)band.turn.beats_to_next}};
  message("/reedlamp/chord", "ssssf", args);
  const RlTarget t        = band.turn.next < 0 ? (RlTarget){0} : band.line.target[band.turn.next];
  const Arg      target[] = {{.i = t.hole},
                             {.s = t.hole ? rl_technique_name((RlTechnique)t.technique) : ""},
                             {.s = t.hole ? rl_degree_name((RlDegree)t.degree) : ""},
                             {.i = t.note},
                             {.f = (float)band.turn.beats_to_next}};
  message("/reedlamp/target", "issif", target);
}

static void
tell_harp(void)
{
  char   harp[RL_NAME_ROOM], song[RL_NAME_ROOM];
  RlText a = rl_text_in(harp, sizeof(harp));
  RlText b = rl_text_in(song, sizeof(song));
  rl_key_write(rl_key_named(band.choice.key, false), &a);
  rl_key_write(band.key, &b);
  const Arg args[] = {{.s = harp},
                      {.s = rl_tuning_name(band.choice.tuning)},
                      {.i = rl_harp_position(band.choice.key, rl_spelling_class(band.key.tonic))},
                      {.s = song}};
  message("/reedlamp/harp", "ssis", args);
}

static void
tell_lamps(const bool lit)
{
  const RlPlayer  all   = {3, 3, true};
  const RlHarmony now   = harmony(band.turn.now);
  const RlLamps   lamps = rl_lamps_light(&band.harp, all, &now, band.key);
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    const RlLamp *const l = &lamps.lamp[i / RL_TECHNIQUES][i % RL_TECHNIQUES];
    char                address[64];
    const bool          shines = lit && band.turn.now >= 0;
    const Arg           args[] = {{.f = shines ? l->worth.brightness : 0},
                                  {.s = shines ? rl_role_name(l->worth.role) : "off"},
                                  {.s = rl_degree_name(l->worth.degree)},
                                  {.i = l->note},
                                  {.i = l->worth.blue}};
    snprintf(address, sizeof(address), "/reedlamp/lamp/%d/%s", i / RL_TECHNIQUES + 1,
             rl_technique_name((RlTechnique)(i % RL_TECHNIQUES)));
    if (l->note) {
      message(address, "fssii", args);
    }
  }
}

static void
tell_chart(void)
{
  enum { PART = 1200 };
  const int parts = (band.form.text_length + PART - 1) / PART;
  for (int i = 0; i < parts; ++i) {
    char      part[PART + 1];
    const int from   = i * PART;
    const int length = band.form.text_length - from < PART ? band.form.text_length - from : PART;
    memcpy(part, band.form.text + from, (size_t)length);
    part[length]     = '\0';
    const Arg args[] = {{.i = i + 1}, {.i = parts}, {.s = part}};
    message("/reedlamp/chart", "iis", args);
  }
}

static void
tell_all(const double now)
{
  tag_set(now);
  tell_transport();
  tell_place();
  tell_chord();
  tell_harp();
  tell_chart();
  tell_lamps(true);
  packet_send();
  band.full = now;
}

/* ---- playing ---- */

static void
locate(const double felt)
{
  band.place = rl_form_locate(&band.form, RL_AXIS_FELT, felt, 1e-6);
  band.turn  = rl_form_turn(&band.form, &band.place);
}

static double
felt_at(const double now)
{
  return band.rolling ? band.from + (now - band.began) * band.tempo / 60 : band.from;
}

static void
log_line(const double when)
{
  char now[RL_CHORD_ROOM], next[RL_CHORD_ROOM], now_degree[RL_CHORD_ROOM],
    next_degree[RL_CHORD_ROOM];
  names(band.turn.now, now, now_degree);
  names(band.turn.next, next, next_degree);
  printf("{\"at\":%.3f,\"chorus\":%d,\"bar\":%d,\"beat\":%.3f,\"now\":\"%s\",\"next\":\"%s\","
         "\"rolling\":%s}\n",
         when * 1000, band.place.chorus, band.place.bar, band.place.beat + 1, now, next,
         band.rolling ? "true" : "false");
  fflush(stdout);
}

/* Tells a beat that began at `when`. */
static void
beat_tell(const double when)
{
  const int was = band.turn.now;
  locate(floor(felt_at(when) + 1e-6));
  tag_set(when);
  tell_transport();
  tell_place();
  if (band.turn.now != was) {
    tell_chord();
    tell_lamps(true);
  }
  packet_send();
  log_line(when);
}

static void
jump(const double felt)
{
  const double now = wall();
  band.from        = felt;
  band.began       = now;
  locate(felt);
  tell_all(now);
  log_line(now);
}

static bool
command(const char *const line)
{
  const double now = wall();
  int          n   = 0;
  if (!strncmp(line, "stop", 4)) {
    const double felt = felt_at(now);
    band.rolling      = false;
    jump(felt);
  } else if (!strncmp(line, "roll", 4)) {
    band.rolling = true;
    jump(band.from);
  } else if (sscanf(line, "chorus %d", &n) == 1) {
    jump((n - 1) * band.form.starts[RL_AXIS_FELT][band.form.bars]);
  } else if (sscanf(line, "bar %d", &n) == 1 && n > 0) {
    jump((band.place.chorus > 0 ? band.place.chorus - 1 : 0) *
           band.form.starts[RL_AXIS_FELT][band.form.bars] +
         band.form.starts[RL_AXIS_FELT][n - 1]);
  } else if (!strncmp(line, "off", 3)) {
    tag_set(now);
    band.rolling = false;
    tell_transport();
    tell_lamps(false);
    packet_send();
    band.on = false;
  } else if (!strncmp(line, "on", 2)) {
    band.on = true;
    jump(band.from);
  } else if (!strncmp(line, "mute", 4)) {
    band.mute = !band.mute;
  }
  return strncmp(line, "quit", 4) != 0;
}

static void
play(void)
{
  static char line[256];
  double      told    = floor(felt_at(wall()));
  bool        playing = true;
  size_t      have    = 0;
  while (playing) {
    const double now = wall();
    const double next =
      band.rolling && band.on ? band.began + (told + 1 - band.from) * 60 / band.tempo : now + 0.01;
    struct pollfd in   = {STDIN_FILENO, POLLIN, 0};
    const double  wait = fmax(0, fmin(next - now, 0.005));
    poll(&in, 1, (int)(wait * 1000));
    if (in.revents) {
      const ssize_t got = read(STDIN_FILENO, line + have, sizeof(line) - 1 - have);
      if (got <= 0) {
        return;
      }
      have += (size_t)got;
      line[have] = '\0';
      for (char *end; playing && (end = strchr(line, '\n'));) {
        playing = command(line);
        have    = strlen(end + 1);
        memmove(line, end + 1, have + 1);
        told = floor(felt_at(wall()) + 1e-6);
      }
    }
    const double then = wall();
    late_send(then);
    if (band.on && band.rolling && felt_at(then) >= told + 1) {
      told += 1;
      beat_tell(band.began + (told - band.from) * 60 / band.tempo);
    } else if (band.on && then - band.full > FULL_EVERY) {
      locate(felt_at(then));
      tell_all(then);
    }
  }
}

static bool
chart_load(const char *const file)
{
  static char  text[RL_CHART_MAX + 1];
  RlChartError error;
  FILE *const  from   = fopen(file, "rb");
  const size_t length = from ? fread(text, 1, sizeof(text), from) : 0;
  if (from) {
    fclose(from);
  }
  return length && rl_chart_read((RlSlice){text, length}, &band.form, &error);
}

int
main(const int count, char **const arguments)
{
  struct sockaddr_in to = {.sin_family = AF_INET, .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
  if (count < 3 || !chart_load(arguments[1])) {
    fprintf(stderr, "usage: band CHART PORT [harp=KEY] [delay=MS] [tempo=N] [to=ADDRESS]\n");
    return 1;
  }
  to.sin_port = htons((uint16_t)atoi(arguments[2]));
  band.tempo  = band.form.tempo > 0 ? band.form.tempo : 120;
  for (int i = 3; i < count; ++i) {
    int n = 0;
    if (sscanf(arguments[i], "harp=%d", &n) == 1) {
      band.choice.key = (uint8_t)n;
    } else if (sscanf(arguments[i], "delay=%d", &n) == 1) {
      band.delay = n / 1000.0;
    } else if (sscanf(arguments[i], "tempo=%d", &n) == 1) {
      band.tempo = n;
    } else if (!strncmp(arguments[i], "to=", 3)) {
      inet_pton(AF_INET, arguments[i] + 3, &to.sin_addr);
    }
  }
  band.harp   = rl_harp_make(band.choice);
  band.key    = rl_key_named(rl_spelling_class(band.form.key.tonic), band.form.key.minor);
  band.socket = socket(AF_INET, SOCK_DGRAM, 0);
  band.on     = true;
  if (connect(band.socket, (struct sockaddr *)&to, sizeof(to))) {
    perror("band");
    return 1;
  }
  rl_line_find(&band.form, band.key, &band.harp, (RlPlayer){3, 3, true}, &band.room, &band.line);
  jump(0);
  play();
  return 0;
}
