"""The driver of a wall screen that is drawn for a browser: the screen leaves when nobody can look at it.

Textual's own goes on for ever once the server that started it is gone: with the shop open, and holding what
is in hand. Here the end of what is read, or of whoever reads what is drawn, has the kiosk leave.
"""

import contextlib
import os
from collections.abc import Iterable
from typing import Any

from textual.app import App
from textual.drivers._byte_stream import ByteStream
from textual.drivers.web_driver import WebDriver
from textual.message import Message

from kiosk.screens.reading import Reading, raise_in_app


class TabletDriver(WebDriver):
    """Textual's driver for a browser, on pipes that may end at any moment."""

    def __init__(self, app: App[Any], **given: Any) -> None:
        super().__init__(app, **given)
        self._write = self._write_while_open  # type: ignore[assignment]  # Textual's is a partial of os.write

    def _write_while_open(self, data: bytes) -> int:
        written = len(data)
        try:
            while data:
                data = data[os.write(self.fileno, data) :]
        except OSError:
            self._leave()
        return written

    def run_input_thread(self) -> None:
        """Read until the other end is closed; then leave."""
        try:
            self._read()
        except Exception as error:  # raised in the app, which keeps where it happened
            self._app.call_later(raise_in_app, error)
        else:
            self._leave()
        finally:
            self._input_reader.close()

    def _read(self) -> None:
        packets, reading = ByteStream(), Reading()
        for data in self._input_reader:
            for kind, carried in packets.feed(data) if data else ():
                if kind == "D":
                    self._hand_on(reading.read(carried))
                else:
                    self._on_meta(kind, carried)
            self._hand_on(reading.quiet())

    def _hand_on(self, messages: Iterable[Message]) -> None:
        for message in messages:
            self.process_message(message)

    def on_meta(self, packet_type: str, payload: dict[str, object]) -> None:
        """Take what comes beside keys and taps."""
        if packet_type == "draw_anew":
            self._app.call_later(self._draw_anew)
        else:
            super().on_meta(packet_type, payload)

    def _draw_anew(self) -> None:
        """Put another page's terminal into the state of the first one, and draw all of the screen on it."""
        self.write("\x1b[?1049h\x1b[?25l")
        self._enable_mouse_support()
        self._enable_bracketed_paste()
        self._app.refresh()

    def _leave(self) -> None:
        if not self.exit_event.is_set():
            with contextlib.suppress(RuntimeError):  # the loop is closed: it has left already
                self._loop.call_soon_threadsafe(self._app.exit)
