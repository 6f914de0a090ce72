"""Screens that work something out beside themselves, in a thread: what takes long never holds up a press.

One thing at a time is worked out: what is asked for next, or leaving the screen, stops the one before. What
comes too late, when the screen asks for something else by now, is dropped.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from textual.worker import Worker, WorkerState, get_current_worker

from kiosk.screens.base import KioskScreen

if TYPE_CHECKING:  # a start does without the forecast
    from kiosk.planning.forecast.simulation import Stop

Answer = TypeVar("Answer")
Made = TypeVar("Made")


class BesideScreen(KioskScreen, Generic[Answer]):
    """Shows an ``Answer`` once it is there, and says that it is worked out until then."""

    def __init__(self) -> None:
        super().__init__()
        self._made: tuple[object, Answer | Exception] | None = None
        self._asked: object = None
        self._worker: Worker[Any] | None = None
        self._work: Callable[[Stop], Any] | None = None  # what is still to be begun
        self._then: Callable[[Any], None] | None = None  # what is done with what it works out

    @property
    def working(self) -> bool:
        """True while something is worked out beside the screen."""
        return self._then is not None

    def worked_out(self, key: object, begin: Callable[[], Callable[[Stop], Answer]]) -> Answer | None:
        """The answer for this ``key``, worked out again when it is another; None meanwhile.

        ``begin`` looks at this moment, and gives what works the answer out in the thread.
        """
        if self._made is not None and self._made[0] == key:
            if isinstance(self._made[1], Exception):
                raise self._made[1]
            return self._made[1]
        if self._asked != key:
            self._asked = key
            self.beside(begin(), lambda made: self._is_made(key, made))
        return None

    def _is_made(self, key: object, made: Answer | Exception) -> None:
        if self._asked == key:
            self._made, self._asked = (key, made), None
            self.show()

    def beside(self, work: Callable[[Stop], Made], then: Callable[[Made | Exception], None]) -> None:
        """Work something out once the screen is painted, and nothing else any more."""
        self._then, self._work = then, work
        self.call_after_refresh(self._begin_work)

    def _begin_work(self) -> None:
        work, self._work = self._work, None
        if work is None:
            return  # begun already, after an earlier painting

        def run() -> Any:
            worker = get_current_worker()
            try:
                return work(lambda: worker.is_cancelled)
            except Exception as error:  # told where the screen is drawn, like any other
                return error

        self._worker = self.run_worker(run, name="beside", exclusive=True, thread=True)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """It is worked out; what was stopped says nothing."""
        if event.worker is self._worker and event.state is WorkerState.SUCCESS and self._work is None:
            then, self._then = self._then, None
            if then is not None:
                then(event.worker.result)
