"""A pretended screen, quick to start: it says what it is sent, and ends as it is told to. A program."""

import json
import os
import sys
import time


def _send(kind: bytes, carried: bytes) -> None:
    os.write(1, kind + len(carried).to_bytes(4, "big") + carried)


def _exactly(size: int) -> bytes:
    found = b""
    while len(found) < size:
        read = os.read(0, size - len(found))
        if not read:
            sys.exit(0)  # nobody is there any more
        found += read
    return found


def main() -> None:
    """Be a screen."""
    begin = sys.argv[1] if len(sys.argv) > 1 else ""
    if begin == "fault":
        print("shop.yaml:3: no such sheet\nkiosk: the shop cannot be opened", file=sys.stderr)
        sys.exit(1)
    if begin == "noise":
        os.write(1, b"what is no screen\n" * 20)
        time.sleep(600)
    os.write(1, b"__GANGLION__\n")
    _send(b"D", f"size {os.environ['COLUMNS']}x{os.environ['ROWS']};".encode())
    _send(b"M", b'{"type": "open_url", "url": "https://elsewhere.example", "new_tab": true}')
    _send(b"P", b"a file to be downloaded")
    while True:
        head = _exactly(5)
        carried = _exactly(int.from_bytes(head[1:], "big"))
        if head[:1] == b"M":
            told = json.loads(carried)
            if told["type"] == "quit" and begin != "deaf":
                sys.exit(0)
            _send(b"D", f"{told['type']} {told.get('width', '')}x{told.get('height', '')};".encode())
        elif carried == b"crash":
            print("kiosk: stopped by a fault of its own", file=sys.stderr)
            sys.exit(1)
        elif carried == b"leave":
            sys.exit(0)
        elif carried == b"hang":
            while True:
                time.sleep(600)
        elif carried == b"broken":
            os.write(1, b"D\xff\xff\xff\xff")
            time.sleep(600)
        elif carried == b"long":
            _send(b"D", b"x" * 1_000_000)
        else:
            _send(b"D", b"typed " + carried + b";")


if __name__ == "__main__":
    main()
