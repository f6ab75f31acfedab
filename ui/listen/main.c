/* SPDX-License-Identifier: ISC */
#include "ui/listen/listen.h"

#include <math.h>
#include <stdlib.h>

RlListenEnd
rl_listen_complain(const RlListenEnd end, const char *const where, const char *const why)
{
  fprintf(stderr, "reedlamp-listen: %s%s%s\n", where ? where : "", where ? ": " : "", why);
  return end;
}

/* Key, tuning and feel, for the player. */
static void
found_say(const RlForm *const form, const RlFound *const found)
{
  char   key[RL_NAME_SIZE];
  RlText text = rl_text_in(key, sizeof(key));
  rl_key_write(rl_key_named(found->key, form->key.minor), &text);
  fprintf(stderr, "key %s (%.0f %% sure), tempo %.1f, tuning %+.0f cents", key,
          100 * found->key_sure, found->tempo, found->cents);
  if (found->swing > 0.57) {
    fprintf(stderr, ", swung: the off-beat lies at %.0f %% of the beat\n", 100 * found->swing);
  } else {
    fputs(found->swing > 0 ? ", straight\n" : "\n", stderr);
  }
}

/* Below these the result is written with a warning. */
static const double quite_sure = 0.75, place_sure = 0.88;

static const char *
beats_named(const int halves, char *const room, const size_t size)
{
  snprintf(room, size, "%g beats", halves / 2.0);
  return halves == 1 ? "half a beat" : halves == 2 ? "a beat" : room;
}

/* What may be wrong, and how to say it right. */
static void
doubts_say(const char *const sound, const RlFound *const found)
{
  char      why[256], beats[32], way_out[64] = "";
  const int halves = found->other_halves < 0 ? -found->other_halves : found->other_halves;
  if (found->trust.form < quite_sure || !found->trust.agrees) {
    rl_listen_complain(RL_LISTEN_DONE, sound,
                       "this may be wrong, little of it agrees with the chart; is it this song, "
                       "in this --key? Hear it with --as=click");
  } else if (found->trust.place < place_sure && halves > 0) {
    if (isfinite(found->other_at)) {
      snprintf(way_out, sizeof(way_out), ", and if so say --at=%.2f", found->other_at);
    }
    snprintf(why, sizeof(why), "the form may begin %s %s; hear it with --as=click%s",
             beats_named(halves, beats, sizeof(beats)),
             found->other_halves > 0 ? "later" : "earlier", way_out);
    rl_listen_complain(RL_LISTEN_DONE, sound, why);
  }
  if (found->other_tempo > 0) {
    snprintf(why, sizeof(why), "the tempo may be another one; if so say --tempo=%.0f",
             found->other_tempo);
    rl_listen_complain(RL_LISTEN_DONE, sound, why);
  }
}

static RlListenEnd
bars_find(const RlListenOptions *const options, const RlForm *const form)
{
  RlRecording recording = {0};
  RlFound     found     = {0};
  RlListenEnd end       = rl_listen_sound(options->sound, &recording);
  end = end == RL_LISTEN_DONE ? rl_listen_follow(options, form, &recording, &found) : end;
  if (end == RL_LISTEN_DONE) {
    found_say(form, &found);
    doubts_say(options->sound, &found);
    end = rl_listen_write(options, form, &recording, &found);
  }
  free(found.beat);
  free(recording.samples);
  return end;
}

int
main(const int count, char **const arguments)
{
  static RlForm   form;
  RlListenOptions options;
  RlListenEnd     end = rl_listen_options(count, arguments, &options);
  if (end == RL_LISTEN_DONE && options.said) {
    fputs(options.said, stdout);
    return fflush(stdout) == 0 ? RL_LISTEN_DONE : RL_LISTEN_OUTPUT;
  }
  if (end == RL_LISTEN_DONE && options.chart) {
    end = rl_listen_chart(options.chart, &form);
  }
  if (end == RL_LISTEN_DONE) {
    end = options.lift ? rl_listen_lift(&options, options.chart ? &form : NULL)
                       : bars_find(&options, &form);
  }
  return (int)end;
}
