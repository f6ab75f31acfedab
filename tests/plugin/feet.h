/* SPDX-License-Identifier: ISC */
/* What the tests of tap, bar one and stop have in common: charts, and a foot. A beat of 24000
   frames is 120 a minute at 48 kHz. */
#ifndef FEET_H
#define FEET_H

#include "scene.h"

enum { BEAT = 24000, CC_TAP = 80, CC_BAR_ONE = 81, CC_STOP = 82 };

extern const char twelve[], crooked[], with_lead_in[];

/** On the player's clock, with a chart. */
void begin_by_taps(Scene *s, const char *chart);

/** With a chart, and the transport where it is reported; so many frames of that. */
void begin_at(Scene *s, const char *chart, const Report *where, uint32_t frames);

/** A foot goes down at a frame and up 2000 later; the blocks until then are `block` long. */
void step_at(Scene *s, const char *port, int64_t frame, int controller, uint32_t block);

/** The first Place of a bar and beat; the test fails without one. */
const Place *place_of(const Scene *s, int chorus, int bar, int beat);

#endif
