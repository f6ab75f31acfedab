/* SPDX-License-Identifier: ISC */
/* The plugin's worker: what it asks for inside run() is done after it, at once, or in a thread. */
#include "plugin/host/inside.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static bool
queue_put(RlHostQueue *const q, const uint32_t size, const void *const data)
{
  pthread_mutex_lock(&q->lock);
  const bool fits = q->used + sizeof(size) + size <= RL_HOST_QUEUE_SIZE;
  if (fits) {
    memcpy(q->bytes + q->used, &size, sizeof(size));
    memcpy(q->bytes + q->used + sizeof(size), data, size);
    q->used += (uint32_t)sizeof(size) + size;
  }
  pthread_mutex_unlock(&q->lock);
  return fits;
}

/* The oldest entry, no longer in it; the caller frees it. NULL if there is none. */
static void *
queue_pop(RlHostQueue *const q, uint32_t *const size)
{
  void *data = NULL;
  pthread_mutex_lock(&q->lock);
  if (q->used) {
    memcpy(size, q->bytes, sizeof(*size));
    data = rl_host_must(malloc(*size ? *size : 1));
    memcpy(data, q->bytes + sizeof(*size), *size);
    q->used -= (uint32_t)sizeof(*size) + *size;
    memmove(q->bytes, q->bytes + sizeof(*size) + *size, q->used);
  }
  pthread_mutex_unlock(&q->lock);
  return data;
}

static LV2_Worker_Status
respond(const LV2_Worker_Respond_Handle handle, const uint32_t size, const void *const data)
{
  RlHost *const h = (RlHost *)handle;
  return queue_put(&h->responses, size, data) ? LV2_WORKER_SUCCESS : LV2_WORKER_ERR_NO_SPACE;
}

void
rl_host_work(RlHost *const h)
{
  uint32_t size = 0;
  for (void *data; (data = queue_pop(&h->requests, &size));) {
    h->worker->work(lilv_instance_get_handle(h->instance), respond, h, size, data);
    free(data);
  }
}

static void *
work_in_thread(void *const data)
{
  RlHost *const h = (RlHost *)data;
  while (!sem_wait(&h->wake) && !h->quit) {
    rl_host_work(h);
  }
  return NULL;
}

static LV2_Worker_Status
request(RlHost *const h, const uint32_t size, const void *const data)
{
  if (h->choice.worker == RL_HOST_AT_ONCE) {
    return h->worker->work(lilv_instance_get_handle(h->instance), respond, h, size, data);
  }
  if (!queue_put(&h->requests, size, data)) {
    return LV2_WORKER_ERR_NO_SPACE;
  }
  if (h->choice.worker == RL_HOST_THREADED) {
    sem_post(&h->wake);
  }
  return LV2_WORKER_SUCCESS;
}

/* Called by the plugin inside run(), but what it does is the host's. */
LV2_Worker_Status
rl_host_schedule(const LV2_Worker_Schedule_Handle handle, const uint32_t size,
                 const void *const data)
{
  RlHost *const h = (RlHost *)handle;
  rl_host_around_tell(h, false);
  const LV2_Worker_Status status = request(h, size, data);
  rl_host_around_tell(h, true);
  return status;
}

void
rl_host_respond(RlHost *const h)
{
  uint32_t size = 0;
  for (void *data; h->worker && (data = queue_pop(&h->responses, &size));) {
    h->worker->work_response(lilv_instance_get_handle(h->instance), size, data);
    free(data);
  }
}

void
rl_host_work_start(RlHost *const h)
{
  if (h->choice.worker == RL_HOST_THREADED) {
    pthread_create(&h->thread, NULL, work_in_thread, h);
  }
}

void
rl_host_work_stop(RlHost *const h)
{
  if (h->thread) {
    h->quit = true;
    sem_post(&h->wake);
    pthread_join(h->thread, NULL);
  }
}

/* ---- beside the host ---- */

/* The letter that /proc/TASK/stat has for what a thread does, behind its name in brackets. */
static char
task_state(const char *const task)
{
  char        path[64], text[512];
  FILE       *file;
  const char *end = NULL;
  snprintf(path, sizeof(path), "/proc/self/task/%.16s/stat", task);
  file = fopen(path, "r");
  if (file) {
    text[fread(text, 1, sizeof(text) - 1, file)] = '\0';
    fclose(file);
    end = strrchr(text, ')');
  }
  return end && end[1] ? end[2] : 'S';
}

/* Do all threads sleep but this one, which is running now? */
static bool
all_sleep(void)
{
  DIR *const tasks   = opendir("/proc/self/task");
  int        running = 0;
  for (const struct dirent *e; tasks && (e = readdir(tasks));) {
    running += e->d_name[0] != '.' && task_state(e->d_name) == 'R';
  }
  if (tasks) {
    closedir(tasks);
  }
  return running <= 1;
}

void
rl_host_rest(const int times)
{
  static const struct timespec look = {0, 12000000}; /* longer than the listener's own rest */
  for (int idle = 0; idle < times;) {
    nanosleep(&look, NULL);
    idle = all_sleep() ? idle + 1 : 0;
  }
}
