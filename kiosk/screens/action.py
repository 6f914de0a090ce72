"""An action of a screen: what is written on its target, the key that does it, and what it does."""

from collections.abc import Callable, Iterable
from itertools import groupby
from typing import Literal

from kiosk.catalogue import said
from kiosk.dataclass import dataclass

BIG = "enter"  # the key of the big target, which the pedal presses too

Shown = Literal["always", "narrow", "wide", "roomy", "key"]

_KEY_FACES = {"enter": "Enter", "escape": "Esc", "up": "↑", "down": "↓", "left": "←", "right": "→"}


@dataclass(frozen=True)
class Action:
    """Label and deed together, so that a target never says one thing and does another."""

    label: str
    key: str  # as Textual names it; empty when only a finger does it
    deed: Callable[[], None]
    shown: Shown = "always"  # where it has a target: always, from 72 columns, 79, 110, or by its key alone
    here: bool = False  # the one of several that stands now
    repeats: bool = False  # may be pressed again at once, such as an arrow
    called: str = ""  # what tells it from the others, where its label says how it stands

    @property
    def name(self) -> str:
        """What tells it from the other actions of its screen."""
        return self.called or self.key or self.label

    @property
    def key_face(self) -> str:
        """The key as it is written on a target."""
        return _KEY_FACES.get(self.key, self.key.upper())


def with_key(actions: Iterable[Action], key: str) -> Action | None:
    """The action that a key does."""
    return next((action for action in actions if key and action.key == key), None)


def in_words(actions: Iterable[Action]) -> list[str]:
    """What keys do, for the foot of a screen; keys that do the like stand together: ``↑ ↓ Choose.``"""
    alike = groupby((one for one in actions if one.key), key=lambda one: one.label)
    found = [f"{' '.join(one.key_face for one in group)} {said(label)}" for label, group in alike if label]
    return [words if words.endswith("…") else f"{words}." for words in found]
