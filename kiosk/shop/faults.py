"""A fault in a file: where, what is wrong and how to mend it."""

import difflib
from collections.abc import Iterable
from typing import Literal

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError

Severity = Literal["error", "warning"]


@dataclass(frozen=True, order=True)
class Fault:
    """One line of ``kiosk check``. Lines and columns count from 1."""

    file: str
    line: int
    column: int
    wrong: str
    mend: str
    severity: Severity = "error"

    def __str__(self) -> str:
        label = "warning: " if self.severity == "warning" else ""
        return f"{self.file}:{self.line}:{self.column}: {label}{self.wrong}; {self.mend}"


class ShopFaults(KioskError):
    """The shop cannot be used as written; carries every fault found."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = sorted(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


def nearest(word: str, known: Iterable[str]) -> str:
    """A mend that names the nearest known word, or lists what there is."""
    names = sorted(known)
    close = difflib.get_close_matches(word, names, n=1, cutoff=0.55)
    if close:
        return f"did you mean {close[0]!r}?"
    if not names:
        return "none are defined"
    shown = ", ".join(names[:12])
    return f"use one of {shown}" + (" …" if len(names) > 12 else "")
