/* SPDX-License-Identifier: ISC */
/* The phrases in the pictures: a plan, and takes as the plugin tells them. */
#ifndef RL_PLUGIN_DEMO_PHRASES_H
#define RL_PLUGIN_DEMO_PHRASES_H

/* What is on the lane in four of the pictures. */
static const char plan[] =
  "bar 1: Down the Steps\n"
  "bar 3: Coal Barge\n"
  "bar 4: Coal Barge\n"
  "bar 6: Ferry Street\n"
  "answer: 5\n"
  "\n"
  "X:1\nT:Down the Steps\nM:4/4\nL:1/8\nK:Gmix\n\"G7\"d2 cd _BG F2|G4 z4|\n"
  "\n"
  "X:2\nT:Coal Barge\nM:4/4\nL:1/8\nK:G\n\"D7\"A2 dc AF (D!slide!F)|\n"
  "\n"
  "X:3\nT:Ferry Street\nM:4/4\nL:1/8\nK:G\nEG|\"C7\"c2 cA [EGc]2 _BA|G4 z2|\n";

/* Two takes, as they come from the plugin. */
static const char takes[] = "bar 2: Take 1\n"
                            "bar 2: Take 2\n"
                            "\n"
                            "X:1\nT:Take 1\nN:9 notes, swung (.61), 12 ms behind the "
                            "beat\nM:4/4\nL:1/8\nK:G\n\"C7\"G2 c_B GE C2|\"G7\"D2 z6|\n"
                            "\n"
                            "X:1\nT:Take 2\nN:8 notes, swung (.62), 9 ms behind the "
                            "beat\nM:4/4\nL:1/8\nK:G\n\"C7\"G2 (3c_BG !slide!E2 "
                            "C2|\"G7\"DG z6|\n";

#endif
