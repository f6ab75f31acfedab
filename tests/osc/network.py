#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""The cable is pulled. Usage: network.py SEND BUNDLES

Two network namespaces of our own, a cable between them. The plugin plays in one and sends to a receiver
in the other, to one on its own machine, to a multicast group and to the broadcast address of the cable.
For ten seconds the cable is down, once at the plugin's end and once at the other: the receiver at home must not miss a beat, the audio thread must not
wait, the problem must say what is wrong; up again, all must be well within three seconds. Needs root;
says so and exits with 77 where namespaces are not allowed."""
import os
import socket
import struct
import subprocess
import sys
import threading
import time

NAMES = [f"reedlamp-{os.getpid()}-{n}" for n in "ab"]
GROUP = "239.77.1.2"
FAR, HOME, MANY, ALL = 9911, 9912, 9913, 9914
BEFORE, DOWN, AFTER = 4, 10, 8  # seconds


def ip(*words: str) -> None:
    subprocess.run(["ip", *words], check=True, capture_output=True)


def build() -> None:
    for name in NAMES:
        ip("netns", "add", name)
    ip("link", "add", "lamp", "netns", NAMES[0], "type", "veth", "peer", "name", "lamp", "netns", NAMES[1])
    for n, name in enumerate(NAMES):
        ip("-n", name, "link", "set", "lo", "up")
        ip("-n", name, "address", "add", f"10.77.0.{n + 1}/24", "broadcast", "10.77.0.255", "dev", "lamp")
        up(name)


def up(name: str) -> None:
    ip("-n", name, "link", "set", "lamp", "up")
    ip("-n", name, "route", "replace", "224.0.0.0/4", "dev", "lamp")


def remove() -> None:
    for name in NAMES:
        subprocess.run(["ip", "netns", "delete", name], check=False, capture_output=True)


def listen(name: str, port: int) -> socket.socket:
    """A socket belongs to the namespace it was made in: a thread goes there and makes it."""
    made: list[socket.socket] = []

    def make() -> None:
        with open(f"/run/netns/{name}", encoding="ascii") as space:
            if libc().setns(space.fileno(), 0) != 0:
                return
        s = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        s.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        s.bind(("", port))
        if port == MANY:
            s.setsockopt(socket.IPPROTO_IP, socket.IP_ADD_MEMBERSHIP,
                         struct.pack("4s4s", socket.inet_aton(GROUP), socket.inet_aton("10.77.0.2")))
        made.append(s)

    thread = threading.Thread(target=make)
    thread.start()
    thread.join()
    return made[0]


def libc():
    import ctypes  # pylint: disable=import-outside-toplevel
    return ctypes.CDLL(None, use_errno=True)


def hear(s: socket.socket, times: list[float], start: float) -> None:
    while True:
        packet = s.recv(2048)
        if not packet:
            return
        if b"/reedlamp/place\0" in packet:
            times.append(time.monotonic() - start)


def gap(times: list[float], begin: float, end: float) -> float:
    within = [begin] + [t for t in times if begin < t < end] + [end]
    return max(b - a for a, b in zip(within, within[1:]))


def play(send: str, bundles: str, end: int) -> list[str]:
    start = time.monotonic()
    heard: dict[int, list[float]] = {FAR: [], HOME: [], MANY: [], ALL: []}
    for port, times in heard.items():
        s = listen(NAMES[0 if port == HOME else 1], port)
        threading.Thread(target=hear, args=(s, times, start), daemon=True).start()
    targets = f"10.77.0.2:{FAR} 127.0.0.1:{HOME} {GROUP}:{MANY} 10.77.0.255:{ALL}"
    player = subprocess.Popen(["ip", "netns", "exec", NAMES[0], send, bundles, targets,
                               str(BEFORE + DOWN + AFTER), "keep"], stdout=subprocess.PIPE, text=True)
    time.sleep(BEFORE)
    ip("-n", NAMES[end], "link", "set", "lamp", "down")
    down = time.monotonic() - start
    time.sleep(DOWN)
    up(NAMES[end])
    back = time.monotonic() - start
    said, _ = player.communicate()
    print(said, end="")
    return judge(heard, down, back, player.returncode, said)


def judge(heard: dict[int, list[float]], down: float, back: float, status: int, said: str) -> list[str]:
    wrong = [] if status == 0 else [f"the player ended with {status}: the audio thread waited"]
    worst = gap(heard[HOME], 1, back + AFTER - 2)
    print(f"at home: {len(heard[HOME])} beats, the longest wait {worst:.2f} s")
    if worst > 3:  # beats are half a second apart; a sender held up by the cable would be so for ten; a busy machine is late
        wrong.append(f"the receiver at home waited {worst:.2f} s")
    for port in (FAR, MANY, ALL):
        first = min((t for t in heard[port] if t > back), default=back + 99) - back
        print(f"port {port}: {len([t for t in heard[port] if t < down])} beats before, "
              f"{len([t for t in heard[port] if down + 0.5 < t < back])} while down, back after {first:.2f} s")
        if first > 3 or not any(t < down for t in heard[port]):
            wrong.append(f"port {port} was back after {first:.2f} s")
    problems = [line for line in said.splitlines() if "problem:" in line]
    if not any(f"10.77.0.2:{FAR}: cannot be reached" in line for line in problems):
        wrong.append("the problem did not say that there is no way to the receiver")
    if not problems or problems[-1].split("problem:")[1].strip():
        wrong.append("the problem did not go away")
    return wrong


def main() -> int:
    try:
        wrong = []
        for end in range(2):
            print("down at", ("the plugin's end", "the other end")[end])
            build()
            wrong += play(*sys.argv[1:3], end)
            remove()
    except subprocess.CalledProcessError as error:
        print("network namespaces are not allowed here:", error.stderr.decode().strip() or error)
        return 77
    finally:
        remove()
    print("\n".join(wrong) or "the network came back")
    return 1 if wrong else 0


sys.exit(main())
