"""A terminal that goes in the middle of a drawing: the kiosk ends, and nothing waits for it."""

import io
import threading

import pytest
from textual.drivers._writer_thread import MAX_QUEUED_WRITES, WriterThread

from kiosk.screens.lost_terminal import OUTPUT_THREAD, leaving_when_the_terminal_goes


class Closed(io.StringIO):
    """A terminal that has gone."""

    def write(self, _: str) -> int:
        raise OSError(5, "Input/output error")


def test_drawing_on_a_terminal_that_has_gone_blocks_nobody_and_leaves() -> None:
    left = threading.Event()
    with leaving_when_the_terminal_goes(left.set):
        output = WriterThread(Closed())
        assert output.name == OUTPUT_THREAD
        output.start()

        def draw() -> None:
            for _ in range(3 * MAX_QUEUED_WRITES):
                output.write("x")

        drawing = threading.Thread(target=draw, daemon=True)
        drawing.start()
        drawing.join(20)
        assert not drawing.is_alive() and left.is_set()
        output.stop()  # as leaving does
        assert not output.is_alive()


def test_another_threads_fault_is_told_as_ever(monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[object] = []
    monkeypatch.setattr(threading, "excepthook", lambda what: told.append(what.exc_value))
    error = ValueError("its own")

    def fails() -> None:
        raise error

    with leaving_when_the_terminal_goes(lambda: told.append("left")):
        other = threading.Thread(target=fails)
        other.start()
        other.join()
    assert told == [error]
