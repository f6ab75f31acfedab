/* The door: what a request asks for, and whether it is let in. Pure; any thread. */
#ifndef RL_DOOR_H
#define RL_DOOR_H

#include <stdbool.h>
#include <stddef.h>

enum {
  RL_DOOR_KEY   = 12, /**< letters of the key */
  RL_DOOR_HOSTS = 8,
  RL_DOOR_NAME  = 128 /**< bytes of a host's name with its port */
};

/** Who is let in. */
typedef struct {
  char key[RL_DOOR_KEY + 1]; /**< empty: the address carries none */
  int  hosts;
  char host[RL_DOOR_HOSTS][RL_DOOR_NAME]; /**< `name:port` as a browser would say it */
} RlDoor;

/** What to answer. */
typedef enum {
  RL_DOOR_FILE,      /**< a file of the page */
  RL_DOOR_NEWS,      /**< what the band plays, as a stream of events */
  RL_DOOR_CHART,     /**< the chart as text */
  RL_DOOR_PLAN,      /**< the plan as text */
  RL_DOOR_SHEET,     /**< the lesson sheet of one pupil */
  RL_DOOR_TIME,      /**< our clock, to set a phone's by */
  RL_DOOR_SLASH,     /**< the page itself, asked for without the last slash */
  RL_DOOR_NOTHING,   /**< no such thing, or the wrong key: the answer is the same */
  RL_DOOR_NO_HOST,   /**< asked under a name that is not ours */
  RL_DOOR_NO_METHOD, /**< only GET and HEAD are */
  RL_DOOR_ANSWERS
} RlDoorAnswer;

/** What is said where nothing is given: from RL_DOOR_SLASH on. */
typedef struct {
  unsigned    status; /**< of HTTP */
  const char *words;
} RlDoorRefusal;

extern const RlDoorRefusal rl_door_refusals[RL_DOOR_ANSWERS];

/** Adds a name that browsers may call us by; what does not fit is left out. */
void rl_door_host(RlDoor *door, const char *name);

/** Makes a key of random letters that are easy to type. False if there is no randomness. */
bool rl_door_lock(RlDoor *door);

/** Judges a request: `path` decoded and without what follows a question mark, `hosts` the number
    of Host headers, `host` the first of them. For RL_DOOR_FILE, `file` becomes its index. */
RlDoorAnswer rl_door_judge(const RlDoor *door, const char *method, const char *path,
                           const char *host, int hosts, int *file);

#endif
