/* SPDX-License-Identifier: ISC */
#include "plugin/worker/slower.h"

#include <SoundTouchDLL.h>
#include <string.h>

/* Of SoundTouch.h, which is C++. Windows shorter than its own keep attacks within 30 ms of their
   place at half speed, where its own leave 60 (tests/plugin/test_slower.c); the lowest horn's
   period still fits into the seek window. */
enum { SEQUENCE_MS = 3, SEEKWINDOW_MS = 4, OVERLAP_MS = 5 };

bool
rl_slower_can(void)
{
  return true;
}

/* What has come out so far, as far as there is room. */
static size_t
receive(const HANDLE touch, float *const out, const size_t room, size_t have)
{
  unsigned int got = 1;
  while (have < room && got) {
    const size_t left = room - have;
    got = soundtouch_receiveSamples(touch, out + have, left < 4096 ? (unsigned int)left : 4096);
    have += got;
  }
  return have;
}

bool
rl_slower(const float *const sound, const size_t count, const double rate, const double speed,
          float *const out, const size_t room)
{
  enum { PART = 4096 };
  size_t       have  = 0;
  const HANDLE touch = soundtouch_createInstance();
  if (!touch) {
    return false;
  }
  soundtouch_setChannels(touch, 1);
  soundtouch_setSampleRate(touch, (unsigned int)rate);
  soundtouch_setTempo(touch, (float)speed);
  soundtouch_setSetting(touch, SEQUENCE_MS, 40);
  soundtouch_setSetting(touch, SEEKWINDOW_MS, 20);
  soundtouch_setSetting(touch, OVERLAP_MS, 8);
  for (size_t at = 0; at < count; at += PART) {
    const size_t part = count - at < PART ? count - at : PART;
    soundtouch_putSamples(touch, sound + at, (unsigned int)part);
    have = receive(touch, out, room, have);
  }
  soundtouch_flush(touch);
  have = receive(touch, out, room, have);
  memset(out + have, 0, (room - have) * sizeof(float));
  soundtouch_destroyInstance(touch);
  return true;
}
