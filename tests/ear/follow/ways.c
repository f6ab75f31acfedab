/* SPDX-License-Identifier: ISC */
/* ways CHART SOUND: what reedlamp-listen goes by when it says how sure it is. First the signs
   (RlTrustSign) and the nepers by which the place is ahead, then a line for every bar, also where
   it would be refused: second and number. */
#include "ui/listen/listen.h"

#include <stdlib.h>

RlListenEnd
rl_listen_complain(const RlListenEnd end, const char *const where, const char *const why)
{
  fprintf(stderr, "%s: %s\n", where ? where : "ways", why);
  return end;
}

int
main(const int count, char **const arguments)
{
  static RlForm         form;
  RlRecording           recording = {0};
  RlFound               found     = {0};
  const RlListenOptions options   = {.chart = arguments[1], .sound = arguments[2]};
  if (count != 3 || rl_listen_chart(options.chart, &form) != RL_LISTEN_DONE ||
      rl_listen_sound(options.sound, &recording) != RL_LISTEN_DONE) {
    return 1;
  }
  rl_listen_follow(&options, &form, &recording, &found);
  for (int i = 0; i < RL_TRUST_SIGNS; ++i) {
    printf("%.4f ", found.sign[i]);
  }
  printf("%.4f\n", found.ahead);
  for (int i = 0; i < found.beats; ++i) {
    if (found.beat[i].beat == 1) {
      printf("%.3f %d\n", found.beat[i].seconds, found.beat[i].bar);
    }
  }
  free(found.beat);
  free(recording.samples);
  return 0;
}
