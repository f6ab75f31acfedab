/* SPDX-License-Identifier: ISC */
/* Starts the plugin once and runs a block. Usage: start BUNDLES BLOCKS. For the broken bundles and
 * for measuring. */
#include "plugin/host/host.h"

#include <stdlib.h>

int
main(const int argc, char **const argv)
{
  const RlHostChoice choice = {
    argc > 1 ? argv[1] : ".", "urn:reedlamp:plugin", 48000, 256, RL_HOST_AFTER, false, 0};
  RlHost *const host = rl_host_open(&choice);
  if (!host) {
    return EXIT_FAILURE;
  }
  rl_host_activate(host);
  for (int i = argc > 2 ? atoi(argv[2]) : 1; i > 0; --i) {
    rl_host_run(host, 256);
  }
  rl_host_close(host);
  return EXIT_SUCCESS;
}
