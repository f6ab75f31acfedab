/* SPDX-License-Identifier: ISC */
#include "ui/listen/listen.h"

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

/* Below this the result is written with a warning. */
static const double quite_sure = 0.5;

static RlListenEnd
bars_find(const RlListenOptions *const options, const RlForm *const form)
{
  RlRecording recording = {0};
  RlFound     found     = {0};
  RlListenEnd end       = rl_listen_sound(options->sound, &recording);
  end = end == RL_LISTEN_DONE ? rl_listen_follow(options, form, &recording, &found) : end;
  if (end == RL_LISTEN_DONE) {
    found_say(form, &found);
    if (found.sure < quite_sure) {
      rl_listen_complain(end, options->sound,
                         "this may be wrong, little of it agrees with the chart; is it this song, "
                         "in this --key? Hear it with --as=click");
    }
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
