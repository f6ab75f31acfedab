# SPDX-License-Identifier: ISC
"""What the plugin says by OSC, heard as a phone's server would: enough of OSC 1.0 for that. Bundles hold no bundles."""
import socket
import struct
import threading


def words(data, at):
    """The string at that place, and where the next thing stands."""
    end = data.index(b'\0', at)
    return data[at:end].decode(), (end + 4) // 4 * 4


def message(data):
    """Its address and arguments."""
    address, at = words(data, 0)
    kinds, at = words(data, at)
    values = []
    for kind in kinds[1:]:
        if kind == 's':
            value, at = words(data, at)
        else:
            value, at = struct.unpack('>' + kind, data[at:at + 4])[0], at + 4
        values.append(value)
    return address, values


class Listener:
    """All messages since it was made: (seconds by their time tags, address, arguments)."""

    def __init__(self, port=9911):
        self.heard, self.lock = [], threading.Lock()
        self.socket = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.socket.bind(('127.0.0.1', port))
        self.socket.settimeout(0.2)
        self.open = True
        self.thread = threading.Thread(target=self.listen, daemon=True)
        self.thread.start()

    def listen(self):
        while self.open:
            try:
                data = self.socket.recv(65536)
            except socket.timeout:
                continue
            whole, part = struct.unpack('>II', data[8:16])
            at = 16
            while at < len(data):
                size = struct.unpack('>I', data[at:at + 4])[0]
                with self.lock:
                    self.heard.append((whole + part / 2 ** 32, *message(data[at + 4:at + 4 + size])))
                at += 4 + size

    def all(self, address):
        """What was heard of that address, (seconds, arguments)."""
        with self.lock:
            return [(when, values) for when, name, values in self.heard if name == address]

    def last(self, address):
        heard = self.all(address)
        return heard[-1][1] if heard else None

    def forget(self):
        with self.lock:
            self.heard.clear()

    def close(self):
        self.open = False
        self.thread.join()
        self.socket.close()
