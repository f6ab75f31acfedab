/* SPDX-License-Identifier: ISC */
/* What is said of a take in the fields of its phrase. */
#include "core/capture/notate.h"
#include "core/harmony/harp.h"
#include "core/phrase/sure.h"

#include <math.h>
#include <string.h>

static const int few = 8; /* with fewer notes nothing is said of being late */

void
rl_notated_say(const RlNotated *const n, RlText *const text)
{
  const int hundredths = (int)lround(n->feel.swing * 100);
  rl_text_add_int(text, n->phrase.notes);
  rl_text_add(text, n->phrase.notes == 1 ? " note" : " notes");
  if (n->feel.off_beats) {
    rl_text_add(text, hundredths < 53    ? ", straight"
                      : hundredths >= 64 ? ", swung as triplets (."
                                         : ", swung (.");
    if (hundredths >= 53) {
      rl_text_add_int(text, hundredths);
      rl_text_add(text, ")");
    }
  }
  const int late = (int)lround(n->feel.behind);
  if (late && n->phrase.notes >= few) {
    rl_text_add(text, ", ");
    rl_text_add_int(text, late < 0 ? -late : late);
    rl_text_add(text, late < 0 ? " ms before the beat" : " ms behind the beat");
  }
  if (n->scoops) {
    rl_text_add(text, "; crushed notes made scoops: ");
    rl_text_add_int(text, n->scoops);
  }
  if (n->left_out) {
    rl_text_add(text, "; notes without a place, left out: ");
    rl_text_add_int(text, n->left_out);
  }
  rl_text_add(text, n->moved ? "; played before bar 1, moved onto it" : "");
}

/* `N:played 2 3' -4`: the holes that were heard, as far as there is room. A phrase keeps notes and
   no tab: on another harp, or over another chord, that is another one. */
static void
holes_write(const RlTake *const take, RlText *const fields)
{
  enum { ROOM = 12 /* of the longest hole, and the newline */ };
  bool any = false;
  for (int i = 0; i < take->notes && fields->used + ROOM < fields->size; ++i) {
    const RlTakeNote *const n = &take->note[i];
    if (n->hole) {
      rl_text_add(fields, any ? " " : "N:played ");
      rl_tab_write(n->hole, (RlTechnique)n->technique, fields);
      any = true;
    }
  }
  rl_text_add(fields, any ? "\n" : "");
}

/* How sure each note is, if the take was lifted from a record. */
static void
sure_write(const RlTake *const take, RlNotated *const notated)
{
  uint8_t sure[RL_PHRASE_NOTES_MAX];
  bool    lifted = notated->phrase.notes > 0;
  for (int i = 0; i < notated->phrase.notes; ++i) {
    const int said = take->note[notated->from[i]].sure;
    sure[i]        = (uint8_t)(said ? said - 1 : 0);
    lifted         = lifted && said;
  }
  if (lifted) {
    rl_phrase_sure_write(&notated->phrase, sure);
  }
}

void
rl_notated_fields(const RlTake *const take, RlNotated *const notated)
{
  RlText fields = rl_text_in(notated->phrase.fields, RL_PHRASE_FIELDS_SIZE);
  rl_text_add(&fields, "N:");
  rl_notated_say(notated, &fields);
  rl_text_add(&fields, "\n");
  holes_write(take, &fields);
  sure_write(take, notated);
}

double
rl_notated_swing(const char *const fields)
{
  static const char *const said[] = {", swung (.", ", swung as triplets (."};
  for (size_t i = 0; i < sizeof(said) / sizeof(said[0]); ++i) {
    const char *const at = strstr(fields, said[i]);
    const RlSlice     digits =
      at ? (RlSlice){at + strlen(said[i]), strcspn(at + strlen(said[i]), ")\n")} : rl_slice("");
    const int hundredths = rl_slice_number(digits);
    if (hundredths >= 50 && hundredths <= 80) {
      return hundredths / 100.0;
    }
  }
  return 0.5;
}
