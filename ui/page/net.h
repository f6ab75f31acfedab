/* SPDX-License-Identifier: ISC */
/* Sockets and addresses (IPv4). One thread. */
#ifndef RL_UI_PAGE_NET_H
#define RL_UI_PAGE_NET_H

#include <netinet/in.h>
#include <stdbool.h>
#include <stddef.h>

enum { RL_NET_TEXT_SIZE = 32 /**< bytes for `255.255.255.255:65535` with its NUL */ };

/** Reads `ADDRESS:PORT`, `ADDRESS` or `PORT`; what is left out stays as it is in `to`. */
bool rl_net_read(const char *text, struct sockaddr_in *to);

/** Writes `ADDRESS:PORT`. */
void rl_net_write(const struct sockaddr_in *from, char text[RL_NET_TEXT_SIZE]);

/** This machine's address on the network: the one it would send from. False if there is none. */
bool rl_net_own_address(struct in_addr *address);

/** Is it an address of this machine? */
bool rl_net_is_own(struct in_addr address);

/** Non-blocking sockets: one that listens for browsers (TCP); one that receives OSC (UDP), a member
    of the group if the address is a multicast one. -1 and errno if it cannot be had. */
int rl_net_open_tcp(const struct sockaddr_in *at);
int rl_net_open_udp(const struct sockaddr_in *at);

#endif
