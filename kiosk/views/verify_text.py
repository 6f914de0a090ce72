"""What a check of the record proved, as text: each thing that was looked at, and what no check can show."""

from collections.abc import Sequence
from pathlib import Path

from kiosk.plural import so_many
from kiosk.record.checking import NOT_PROVED, Checked, CheckedCopy, CheckedSnapshot


def verify_lines(
    record: Path,
    checked: Checked,
    copies: Sequence[CheckedCopy],
    snapshot: CheckedSnapshot | None = None,
    then: str = "",
) -> list[str]:
    """The lines: ``[x]`` before what holds, ``[!]`` what is wrong, ``[ ]`` what is not known.

    ``snapshot`` is left out where the entries are not whole; ``then`` says what became of a wrong one.
    """
    lines = [f"{record}, {so_many(checked.events, 'entry', 'entries')}"]
    lines.append(f"{_mark(checked.bad is None)} Chain: {checked.chain_words}")
    outside = "[ ]" if checked.outside == "none" else _mark(checked.outside == "agrees")
    lines.append(f"{outside} End: {checked.outside_words}")
    if snapshot is not None:
        lines.append(_snapshot_line(snapshot, then))
    lines += _copy_lines(copies)
    lines.append(f"[ ] Not proved: {NOT_PROVED}")
    if checked.whole and checked.events:
        lines.append(f"    Head today: entry {checked.head.seq}, {checked.head.hash}")
    elif not checked.whole:
        lines.append(f"    To go on: kiosk restore {record.parent}")
    return lines


def _snapshot_line(snapshot: CheckedSnapshot, then: str) -> str:
    if snapshot.wrong:
        return f"[!] Snapshot, for a quick start: {snapshot.wrong}; {then}"
    if not snapshot.seq:
        return "[ ] Snapshot, for a quick start: none; the next start works everything out from the entries"
    return f"[x] Snapshot, for a quick start: of entry {snapshot.seq}, and just what the entries say"


def _copy_lines(copies: Sequence[CheckedCopy]) -> list[str]:
    if not copies:
        return ["[ ] Copies: none yet; closing up makes one, and so does kiosk backup"]
    wrong = [copy for copy in copies if copy.wrong]
    lines = [f"[!] Copy {copy.name}: {copy.wrong}" for copy in wrong]
    good = [copy for copy in copies if not copy.wrong]
    if good:
        newest = good[-1]
        lines.append(
            f"[x] Copies: {len(good)} whole, each a beginning of this record;"
            f" the newest, {newest.name}, goes to entry {newest.seq}"
        )
    return lines


def _mark(holds: bool) -> str:
    return "[x]" if holds else "[!]"
