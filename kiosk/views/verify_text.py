"""What a check of the record proved, as text: each thing that was looked at, and what no check can show."""

from collections.abc import Sequence
from pathlib import Path

from kiosk.plural import so_many
from kiosk.record.checking import NOT_PROVED, Checked, CheckedCopy, CheckedSnapshot
from kiosk.shop.kept import CheckedKept


def verify_lines(
    record: Path,
    checked: Checked,
    copies: Sequence[CheckedCopy],
    index_wrong: str = "",
    snapshot: CheckedSnapshot | None = None,
    then: str = "",
    kept: CheckedKept | None = None,
    kept_then: str = "",
) -> list[str]:
    """The lines: ``[x]`` before what holds, ``[!]`` what is wrong, ``[ ]`` what is not known.

    ``index_wrong`` says what is wrong where entries are looked up. ``snapshot`` is left out where the entries
    are not whole; ``then`` says what became of a wrong one, and ``kept_then`` the same of what is ``kept`` of
    the shop's files.
    """
    lines = [f"{record}, {so_many(checked.events, 'entry', 'entries')}"]
    lines.append(f"{_mark(checked.bad is None)} Chain: {checked.chain_words}")
    outside = "[ ]" if checked.outside == "none" else _mark(checked.outside == "agrees")
    lines.append(f"{outside} End: {checked.outside_words}")
    if index_wrong:
        lines.append(f"[!] Index: {index_wrong}; make it anew: kiosk restore {record.parent} --as-it-is")
    if snapshot is not None:
        lines.append(_snapshot_line(snapshot, then))
    if kept is not None and kept.wrong:
        lines.append(f"[!] Kept of the shop's files, for a quick start: {kept.wrong}; {kept_then}")
    elif kept is not None and kept.there:
        lines.append("[x] Kept of the shop's files, for a quick start: just what they say")
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
    lines += [_elsewhere_line(copy) for copy in copies if copy.elsewhere and not copy.wrong]
    good = [copy for copy in copies if not copy.wrong and not copy.elsewhere]
    if good:
        newest = good[-1]
        lines.append(
            f"[x] Copies: {len(good)} whole, each a beginning of this record;"
            f" the newest, {newest.name}, goes to entry {newest.seq}"
        )
    return lines


def _elsewhere_line(copy: CheckedCopy) -> str:
    made = f"to entry {copy.seq}, made {copy.at[:10]} {copy.at[11:13]}:{copy.at[13:]} in {copy.elsewhere}"
    if copy.is_away:
        return f"[ ] Copy elsewhere: {made}; it is not there now, so it was not looked at"
    return f"[x] Copy elsewhere: {made}: whole, and a beginning of this record"


def _mark(holds: bool) -> str:
    return "[x]" if holds else "[!]"
