"""On the wall: how long nobody pressed anything, and which presses do nothing but wake the screen.

A finger that wakes a dark screen aims at nothing, and a pedal is stepped on to see where one is. So the
waking press is nobody's: it counts no flute, starts no step and answers nothing. Neither does what still
comes of it: the rest of a scan, the second half of a double tap, the repeats of a key that is held down.
"""

from kiosk.catalogue import said
from kiosk.views.clocks import left_words

AFTER_WAKING_S = 1.0  # longer than a terminal waits before it repeats a held key (cage: 0.6 s)
STILL_COMING_S = 0.2  # between two repeats, or two characters of a slow scanner, it is still the same press
STEP_S = 3600.0  # a step whose clock runs stays in sight for the longest slot, an hour
SAID_BEFORE_S = 120.0  # before the screen is nobody's: time to put a hammer down
_NEVER = float("-inf")


class Quiet:
    """Hears of every press, with its second on the clock of the presses."""

    def __init__(self, at: float) -> None:
        self._pressed_at = at
        self._woken_at = _NEVER
        self._swallowed_at = _NEVER

    def lasted_s(self, at: float) -> float:
        """Seconds since the last press."""
        return at - self._pressed_at

    def pressed(self, at: float, *, calm: bool) -> bool:
        """Something was pressed, scanned or tapped at this second. True when it is not for the screen.

        ``calm`` says that the calm card stood there: then this press wakes it.
        """
        if calm:
            self._woken_at = at
        waking = at - self._woken_at < AFTER_WAKING_S or at - self._swallowed_at < STILL_COMING_S
        self._pressed_at = at
        if waking:
            self._swallowed_at = at
        return waking


def quiet_before_calm_s(calm_after_minutes: float, *, step_runs: bool) -> float:
    """Seconds of quiet until the calm card comes.

    While the clock of a piece runs, hands are full and eyes go to the step from two metres, for longer than
    between other presses. It stays for an hour, the longest slot: after that nobody is there.
    """
    return max(calm_after_minutes * 60, STEP_S if step_runs else 0.0)


def keeps_the_screen(name: str, left_s: float) -> str:
    """What is said before a screen rests that a PIN guards, to somebody without one; no longer than is
    left."""
    return said(
        "{name}: Esc keeps this screen yours. In {time} only somebody with a PIN can give it back.",
        name=name,
        time=left_words(left_s, up=False),
    )
