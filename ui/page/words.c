/* SPDX-License-Identifier: ISC */
#include "ui/page/words.h"

#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <sys/random.h>

enum { LIST = 512 };

/* Sorted. Three to six letters; any two differ in two letters or more, and none begins another one
   (tests/page/test_access.c). Chosen by us: known to children, said as they are written. */
static const char list[LIST][RL_WORD_SIZE] = {
  "acorn",  "actor",  "album",  "amber",  "anchor", "angle",  "anvil",  "apple",  "apron",
  "arena",  "arrow",  "artist", "aspen",  "atlas",  "attic",  "autumn", "axle",   "badge",
  "baker",  "banjo",  "barley", "barn",   "barrel", "basin",  "basket", "beach",  "beacon",
  "berry",  "bingo",  "birch",  "bison",  "blaze",  "blimp",  "bloom",  "bonnet", "bonus",
  "border", "bottle", "bounce", "bowl",   "branch", "brass",  "breeze", "brick",  "bridge",
  "brook",  "brush",  "bucket", "buggy",  "bundle", "bushel", "butter", "button", "cabin",
  "cactus", "cake",   "camel",  "camera", "canal",  "candle", "canoe",  "canyon", "cargo",
  "carpet", "carrot", "castle", "cedar",  "chalk",  "charm",  "cheese", "cherry", "chess",
  "chime",  "chisel", "choir",  "cinema", "circus", "citrus", "clay",   "clever", "cliff",
  "clock",  "cloud",  "coast",  "cobra",  "cocoa",  "coffee", "comet",  "copper", "coral",
  "cotton", "cousin", "coyote", "cradle", "crane",  "crater", "crayon", "creek",  "crisp",
  "crown",  "cruise", "crumb",  "cube",   "daisy",  "dance",  "dawn",   "deck",   "delta",
  "denim",  "desert", "diary",  "dinner", "disco",  "donkey", "dozen",  "dragon", "dream",
  "drift",  "drum",   "dune",   "dusk",   "dusty",  "eagle",  "earth",  "echo",   "elbow",
  "elm",    "empty",  "engine", "enjoy",  "event",  "exit",   "fable",  "fabric", "falcon",
  "family", "famous", "fancy",  "farmer", "feast",  "fence",  "fern",   "ferret", "fiddle",
  "fifty",  "film",   "finch",  "finger", "flag",   "flame",  "flint",  "float",  "flute",
  "fossil", "fresh",  "friday", "frog",   "frost",  "fruit",  "fudge",  "funnel", "galaxy",
  "gallon", "garden", "garlic", "gate",   "gentle", "giant",  "glass",  "globe",  "glue",
  "goat",   "golden", "goose",  "gospel", "grain",  "grape",  "gravel", "green",  "guitar",
  "gumbo",  "habit",  "hammer", "hazel",  "helmet", "herb",   "heron",  "hiking", "hinge",
  "hippo",  "hobby",  "hollow", "honey",  "hoop",   "hornet", "hotel",  "huddle", "humble",
  "icon",   "idea",   "igloo",  "index",  "indigo", "ink",    "insect", "iris",   "island",
  "ivory",  "ivy",    "jacket", "jade",   "jaguar", "jar",    "jazz",   "jelly",  "jersey",
  "jewel",  "jigsaw", "juice",  "jungle", "kayak",  "kennel", "kettle", "kite",   "kitten",
  "kiwi",   "koala",  "label",  "ladder", "lagoon", "lamp",   "laptop", "laugh",  "laurel",
  "lava",   "leaf",   "lemon",  "lentil", "level",  "lilac",  "lily",   "limbo",  "linen",
  "lion",   "lizard", "local",  "locket", "lodge",  "logic",  "lotus",  "lucky",  "lumber",
  "lunar",  "lunch",  "magic",  "magnet", "mango",  "maple",  "marble", "margin", "market",
  "mascot", "meadow", "melody", "melon",  "menu",   "meteor", "metro",  "mint",   "mirror",
  "mixer",  "model",  "moment", "month",  "mosaic", "motor",  "muffin", "museum", "music",
  "napkin", "native", "navy",   "neon",   "nephew", "nest",   "nine",   "noble",  "noodle",
  "north",  "nugget", "nutmeg", "nylon",  "oak",    "oasis",  "object", "ocean",  "octave",
  "office", "olive",  "onion",  "opal",   "open",   "opera",  "orange", "orbit",  "orchid",
  "organ",  "osprey", "otter",  "oxygen", "oyster", "paddle", "page",   "palace", "panda",
  "paper",  "parade", "parcel", "park",   "pasta",  "peanut", "pearl",  "pebble", "pedal",
  "pencil", "pepper", "piano",  "picnic", "pigeon", "pillow", "pilot",  "pirate", "pizza",
  "planet", "plaza",  "polar",  "polite", "pony",   "poppy",  "porch",  "potato", "powder",
  "prism",  "puppet", "purple", "puzzle", "quail",  "quartz", "queen",  "quick",  "quiet",
  "quill",  "rabbit", "radar",  "radio",  "radish", "raft",   "raven",  "razor",  "recipe",
  "record", "reed",   "ribbon", "rice",   "ring",   "ripple", "river",  "robin",  "robot",
  "rodeo",  "roof",   "round",  "royal",  "ruby",   "rustic", "safari", "salad",  "salmon",
  "salsa",  "sandal", "satin",  "saturn", "saucer", "sauna",  "scarf",  "school", "scout",
  "season", "senior", "seven",  "shadow", "shed",   "shelf",  "shield", "shrimp", "signal",
  "silk",   "silver", "siren",  "six",    "skill",  "smile",  "snail",  "snow",   "soccer",
  "soda",   "solid",  "soup",   "spice",  "spider", "spiral", "spoon",  "sport",  "spring",
  "spruce", "squash", "squid",  "stable", "stamp",  "statue", "stereo", "stone",  "storm",
  "strong", "studio", "sugar",  "summer", "sunday", "sunset", "supper", "surf",   "swan",
  "sweet",  "swift",  "syrup",  "tablet", "taco",   "talent", "teapot", "temple", "tennis",
  "tent",   "ticket", "tiger",  "timber", "tinsel", "tofu",   "token",  "tomato", "topaz",
  "total",  "towel",  "toy",    "trail",  "tree",   "trio",   "trophy", "trout",  "truck",
  "tulip",  "tuna",   "tundra", "turkey", "turtle", "twelve", "twig",   "ultra",  "uncle",
  "under",  "unique", "unity",  "urban",  "vacuum", "valley", "vault",  "velvet", "verse",
  "victor", "video",  "view",   "vinyl",  "violet", "violin", "visit",  "vivid",  "voyage",
  "waffle", "wagon",  "waiter", "walnut", "wave",   "wedge",  "whale",  "wheat",  "window",
  "winter", "wolf",   "wombat", "wonder", "wool",   "world",  "yacht",  "yard",   "yellow",
  "young",  "zebra",  "zero",   "zigzag", "zinc",   "zipper", "zodiac", "zone",
};

bool
rl_words_make(char words[RL_WORDS_SIZE])
{
  uint16_t random[RL_WORDS];
  size_t   used = 0;
  memset(words, 0, RL_WORDS_SIZE);
  if (getrandom(random, sizeof(random), 0) != (ssize_t)sizeof(random)) {
    return false;
  }
  for (int i = 0; i < RL_WORDS; ++i) {
    const char *const word = list[random[i] % LIST]; /* 65536 is a multiple of it */
    used += (size_t)snprintf(words + used, RL_WORDS_SIZE - used, "%s%s", i ? "-" : "", word);
  }
  return true;
}

/* The letter in lower case; 0 if it is none. */
static char
letter_of(const char c)
{
  return (char)(c >= 'a' && c <= 'z' ? c : c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : 0);
}

bool
rl_words_read(const char *const text, char words[RL_WORDS_SIZE])
{
  int    count = 0;
  size_t used  = 0;
  bool   in    = false;
  memset(words, 0, RL_WORDS_SIZE);
  for (const char *at = text; *at; ++at) {
    const char letter = letter_of(*at);
    const bool first  = letter && !in;
    const bool inside = *at == '/' && at[1]; /* the address of something else */
    in                = letter != 0;
    count += first;
    if (inside || (*at >= '0' && *at <= '9') || count > RL_WORDS ||
        used + (first && count > 1) + (letter != 0) >= RL_WORDS_SIZE) {
      return false;
    }
    if (first && count > 1) {
      words[used++] = '-';
    }
    if (letter) {
      words[used++] = letter;
    }
  }
  return count == RL_WORDS;
}

static bool
word_known(const char *const word, const size_t length)
{
  for (int i = 0; i < LIST; ++i) {
    if (strlen(list[i]) == length && !memcmp(list[i], word, length)) {
      return true;
    }
  }
  return false;
}

bool
rl_words_known(const char *const words)
{
  for (const char *at = words;; at += strcspn(at, "-") + 1) {
    const size_t length = strcspn(at, "-");
    if (!word_known(at, length)) {
      return false;
    }
    if (!at[length]) {
      return true;
    }
  }
}

const char *
rl_words_list(const int number)
{
  return number >= 0 && number < LIST ? list[number] : NULL;
}
