#!/bin/sh
# SPDX-License-Identifier: ISC
# A hall of phones (ui/page/HALL.md): three page servers in one multicast group behind nginx, so many event streams, a server
# killed and replaced, another one stopped. In a network namespace of its own; nothing outside is touched.
# Usage: hall.sh BUILD [STREAMS [SECONDS]]   1,000 streams and 20 s for each part if nothing is said. With REEDLAMP_STRICT=1 it
# fails where a figure misses its aim, else only far from there. Ends with 77 where namespaces are not allowed.
set -u
here=$(cd "$(dirname "$0")" && pwd)
if [ -z "${REEDLAMP_HALL:-}" ]; then
	[ -x "${1:-}/tests/page/hall" ] || {
		echo "usage: hall.sh BUILD [STREAMS [SECONDS]]   (BUILD with -Dtests=true)" >&2
		exit 1
	}
	command -v nginx >/dev/null || PATH=$PATH:/usr/sbin
	for program in nginx node ip unshare; do
		command -v "$program" >/dev/null || {
			echo "the hall: $program is missing (nginx, nodejs, iproute2, util-linux)"
			exit 77
		}
	done
	map=
	[ "$(id -u)" = 0 ] || map=--map-root-user
	unshare --net $map true 2>/dev/null || {
		echo 'the hall: network namespaces are not allowed here'
		exit 77
	}
	REEDLAMP_HALL=1 exec unshare --net $map sh "$0" "$@"
fi
ip link set lo up
# two ends of a cable: what is sent to the group into one comes back to all who listen there
ip link add hall type veth peer name wall || exit 77
ip address add 10.79.0.1/24 dev hall
ip link set hall up
ip link set wall up
ip route add 239.0.0.0/8 dev hall
exec node "$here/hall.mjs" "$@"
