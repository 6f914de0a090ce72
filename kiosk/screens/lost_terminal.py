"""A terminal that is closed in the middle of a drawing ends the kiosk, instead of leaving it deaf.

Textual draws through a thread with a queue of limited length. When the terminal goes, that thread dies with
an error, the queue fills, and the application waits for ever for room in it: deaf to every signal, and alive
to the other screens. So what is still to be drawn is thrown away here until the application has ended.
"""

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from queue import Queue

OUTPUT_THREAD = "textual-output"  # as Textual names it


@contextmanager
def leaving_when_the_terminal_goes(leave: Callable[[], object]) -> Iterator[None]:
    """Inside, the death of the output thread calls ``leave``, in that thread, and nothing waits for it."""
    before = threading.excepthook

    def died(what: threading.ExceptHookArgs) -> None:
        queue: Queue[str | None] | None = getattr(what.thread, "_queue", None)
        if what.thread is None or what.thread.name != OUTPUT_THREAD or queue is None:
            before(what)
            return
        leave()
        while queue.get() is not None:
            pass

    threading.excepthook = died
    try:
        yield
    finally:
        threading.excepthook = before
