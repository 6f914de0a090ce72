"""The life of one part for a screen: what its page in the logbook says, the newest first."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from kiosk.dataclass import dataclass
from kiosk.logbook.entries import read
from kiosk.logbook.history import answer_words, correction_of, corrections, minutes_words
from kiosk.logbook.lines import Entry
from kiosk.logbook.words import Names, local
from kiosk.record.events import Event
from kiosk.shop.parts import marks_in_full
from kiosk.shop.shop import Shop


@dataclass(frozen=True)
class LifeLine:
    """One line of an entry; ``struck`` where it holds no more: the words then say so too."""

    text: str
    struck: bool = False


@dataclass(frozen=True)
class LifeEntry:
    """What was recorded at one time: when and who, what, and what was found and held."""

    head: str
    what: LifeLine
    lines: tuple[LifeLine, ...] = ()


_YES_OR_NO = ("yes", "no")


def part_life(shop: Shop, events: Iterable[Event], marks: Sequence[str]) -> list[LifeEntry]:
    """The entries on a part under all its marks, out of its events; the newest first."""
    names = Names(shop)
    with read(shop, events, no_ids=True) as index:
        found = {entry.number: (entry, mark) for mark in marks for entry in index.on(mark)}
    return [_life_entry(names, *found[number]) for number in sorted(found, reverse=True)]


def _life_entry(names: Names, entry: Entry, mark: str) -> LifeEntry:
    on_part = tuple(part for part in entry.parts if part.mark == mark)
    others = [one for one in entry.marks if one != mark]
    with_others = f" With {marks_in_full(others)}." if others else ""
    head = f"{_when(entry)}  {names.name(entry.by)}  {entry.what}"
    if entry.minutes is not None:
        fix, minutes = entry.fixed("minutes"), entry.minutes
        head += f", {minutes_words(entry)} min" if fix is None else f", {minutes:.0f} min (was {fix.was})"
    only_here = replace(entry, parts=on_part)
    what = LifeLine(f"{entry.text}{with_others}", struck=only_here.ended)
    return LifeEntry(head, what, tuple(_lines(names, only_here, mark)))


def _when(entry: Entry) -> str:
    """The local time, and the day as corrected."""
    at = local(entry.at).strftime("%Y-%m-%d %H:%M")
    fix = entry.fixed("day")
    return at if fix is None else f"{fix.said} (was {at})"


def _lines(names: Names, entry: Entry, mark: str) -> Iterator[LifeLine]:
    for text in corrections(entry):
        yield LifeLine(text[:1].upper() + text[1:])
    if entry.supervised_by:
        yield LifeLine(f"Supervised by {names.name(entry.supervised_by)}")
    for given in entry.given:
        where = "" if given.mark == mark else f" [given on {given.mark} for all of the batch]"
        by = "" if given.by == entry.by else f" [{names.name(given.by)}]"
        after = f": {correction_of(given)}" if not given.stands else ""
        if given.said in _YES_OR_NO and given.passed:
            given = replace(given, wanted="")  # a yes where yes was wanted says all
        yield LifeLine(f"{answer_words(given)}{where}{by}{after}", struck=not given.stands)
    for fact in entry.facts:
        yield LifeLine(fact)
    if entry.doubt:
        yield LifeLine(f"The time: {entry.doubt}")
