/* SPDX-License-Identifier: ISC */
/* Connections: how many from where, and until when. */
#include "ui/page/clients.h"

#include <arpa/inet.h>
#include <math.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <unistd.h>

#include <cmocka.h>

static uint32_t
address_of(const RlClients *const clients, const char *const text)
{
  struct sockaddr_in from = {.sin_family = AF_INET};
  assert_int_equal(inet_pton(AF_INET, text, &from.sin_addr), 1);
  return rl_clients_address(clients, (const struct sockaddr *)&from);
}

static void
an_address_has_its_share_and_a_proxy_has_all(void **const state)
{
  (void)state;
  enum { MAX = 100 };
  RlClients clients;
  assert_true(rl_clients_init(&clients, MAX, inet_addr("192.0.2.9")));
  const uint32_t phone = address_of(&clients, "192.0.2.1");
  for (int i = 0; i < RL_CLIENTS_ADDRESS_MAX; ++i) {
    assert_true(rl_clients_allow(&clients, phone));
    assert_non_null(rl_clients_add(&clients, 1000 + i, phone, 0));
  }
  assert_false(rl_clients_allow(&clients, phone));
  assert_true(rl_clients_allow(&clients, address_of(&clients, "192.0.2.2")));
  assert_int_equal(address_of(&clients, "192.0.2.9"), 0);
  assert_int_equal(address_of(&clients, "127.0.0.5"), 0);
  assert_int_equal(rl_clients_address(&clients, NULL), 0);
  for (int i = RL_CLIENTS_ADDRESS_MAX; i < MAX; ++i) {
    assert_true(rl_clients_allow(&clients, 0));
    assert_non_null(rl_clients_add(&clients, 1000 + i, 0, 0));
  }
  assert_false(rl_clients_allow(&clients, 0));
  assert_null(rl_clients_add(&clients, 2000, 0, 0));
  rl_clients_remove(&clients, &clients.client[3]);
  assert_true(rl_clients_allow(&clients, phone));
  rl_clients_end(&clients);
}

static bool
is_shut(const int socket)
{
  char byte;
  return read(socket, &byte, 1) == 0;
}

static void
who_takes_too_long_is_shut(void **const state)
{
  (void)state;
  enum { ASKS, TAKES, STREAM, KINDS };
  RlClients clients;
  int       ends[KINDS][2];
  assert_true(rl_clients_init(&clients, 4 * KINDS, 0));
  for (int i = 0; i < KINDS; ++i) {
    assert_int_equal(socketpair(AF_UNIX, SOCK_STREAM | SOCK_NONBLOCK, 0, ends[i]), 0);
    assert_non_null(rl_clients_add(&clients, ends[i][0], 0, 50));
  }
  clients.client[TAKES].until  = 50 + RL_CLIENTS_ANSWER_TIMEOUT;
  clients.client[STREAM].until = (double)INFINITY;
  assert_int_equal(rl_clients_close_late(&clients, 50.1 + RL_CLIENTS_REQUEST_TIMEOUT - 0.2), 0);
  assert_int_equal(rl_clients_close_late(&clients, 50.1 + RL_CLIENTS_REQUEST_TIMEOUT), 1);
  assert_true(is_shut(ends[ASKS][1]) && !is_shut(ends[TAKES][1]));
  assert_int_equal(rl_clients_close_late(&clients, 50.2 + RL_CLIENTS_REQUEST_TIMEOUT), 0);
  assert_int_equal(rl_clients_close_late(&clients, 50.1 + RL_CLIENTS_ANSWER_TIMEOUT), 1);
  assert_true(is_shut(ends[TAKES][1]) && !is_shut(ends[STREAM][1]));
  assert_int_equal(rl_clients_close_late(&clients, 1e9), 0);
  for (int i = 0; i < KINDS; ++i) {
    close(ends[i][0]);
    close(ends[i][1]);
  }
  rl_clients_end(&clients);
}

/* Many who ask for nothing leave no place for those who want to: then they must hurry. */
static void
where_places_are_few_who_does_not_ask_is_shut_soon(void **const state)
{
  (void)state;
  enum { MAX = 8, MANY = 7 };
  RlClients clients;
  int       ends[MANY][2];
  assert_true(rl_clients_init(&clients, MAX, 0));
  for (int i = 0; i < MANY; ++i) {
    assert_int_equal(socketpair(AF_UNIX, SOCK_STREAM | SOCK_NONBLOCK, 0, ends[i]), 0);
    assert_non_null(rl_clients_add(&clients, ends[i][0], 0, 50 + i * 0.1));
  }
  clients.client[2].asked = true;
  assert_int_equal(rl_clients_close_late(&clients, 50.9), 0);
  assert_int_equal(rl_clients_close_late(&clients, 51.35), 3); /* 0, 1 and 3 */
  for (int i = 0; i < MANY; ++i) {
    assert_int_equal(is_shut(ends[i][1]), i < 4 && i != 2);
  }
  for (int i = 0; i < 2; ++i) {
    rl_clients_remove(&clients, &clients.client[i]); /* there is room again */
  }
  assert_int_equal(rl_clients_close_late(&clients, 55), 0);
  for (int i = 0; i < MANY; ++i) {
    close(ends[i][0]);
    close(ends[i][1]);
  }
  rl_clients_end(&clients);
}

static void
who_confirms_nothing_is_given_up(void **const state)
{
  (void)state;
  RlClients clients;
  unsigned  ms    = 0;
  socklen_t size  = sizeof(ms);
  const int phone = socket(AF_INET, SOCK_STREAM, 0);
  assert_true(rl_clients_init(&clients, 1, 0));
  assert_non_null(rl_clients_add(&clients, phone, 0, 0));
  assert_int_equal(getsockopt(phone, IPPROTO_TCP, TCP_USER_TIMEOUT, &ms, &size), 0);
  assert_int_equal(ms, 15000);
  close(phone);
  rl_clients_end(&clients);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(an_address_has_its_share_and_a_proxy_has_all),
    cmocka_unit_test(who_takes_too_long_is_shut),
    cmocka_unit_test(where_places_are_few_who_does_not_ask_is_shut_soon),
    cmocka_unit_test(who_confirms_nothing_is_given_up),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
