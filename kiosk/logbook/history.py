"""Entries as rows: the history of one part, and the list of days."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from kiosk.logbook.book import Book
from kiosk.logbook.lines import Entry, Given
from kiosk.logbook.sheet import Line, Sheet
from kiosk.logbook.words import day_words, time_words
from kiosk.shop.parts import marks_in_full

HEADS = ("no.", "when", "who", "what", "what was found, and what held", "min")
CLASSES = ("number", "when", "who", "", "found", "minutes")


def part_history(sheet: Sheet, book: Book, mark: str) -> None:
    """Everything that is recorded of one part."""
    with sheet.table(HEADS, CLASSES, over=mark, fixed=True):
        for entry in book.index.on(mark):
            entry_row(sheet, book, entry, only=mark)


def day_list(sheet: Sheet, book: Book, entries: Iterable[Entry]) -> None:
    """Entries of all parts as they were recorded, under their days."""
    with sheet.table((*HEADS[:3], "parts and what", *HEADS[4:]), CLASSES, fixed=True):
        day = ""
        for entry in entries:
            if day_words(entry.at) != day:
                day = day_words(entry.at)
                with sheet.within("tr", {"class": "day"}):
                    sheet.say("th", day, colspan=str(len(HEADS)))
            entry_row(sheet, book, entry)


def entry_row(sheet: Sheet, book: Book, entry: Entry, only: str = "") -> None:
    """One entry; on a part's page ``only`` what concerns that part."""
    with_others = ""
    if only:
        others = [mark for mark in entry.marks if mark != only]
        with_others = f"with {marks_in_full(others)}" if others else ""
        entry = replace(entry, parts=tuple(part for part in entry.parts if part.mark == only))
    lead = "" if only else (f"{marks_in_full(entry.marks)}: " if entry.marks else "")
    what = Line(f"{lead}{entry.what}: {entry.text}", struck=entry.ended, after="; ".join(corrections(entry)))
    text = [what, *([Line(with_others)] if with_others else [])]
    sheet.row(
        (
            str(entry.number),
            [Line(time_words(entry.at), after=entry.doubt)],
            [Line(text) for text in who_lines(book, entry)],
            text,
            [*given_lines(book, entry, only), *(Line(fact) for fact in entry.facts)],
            minutes_words(entry),
        ),
    )


def who_lines(book: Book, entry: Entry) -> Iterator[str]:
    """Whose deed it was, as what, and who answered for it."""
    yield f"{book.names.name(entry.by)} ({book.names.share(entry.by)})"
    if entry.supervised_by:
        yield f"supervised by {book.names.name(entry.supervised_by)}"


def corrections(entry: Entry) -> Iterator[str]:
    """What became of an entry later, in words."""
    if entry.taken_back is not None:
        yield f"taken back by entry {entry.taken_back}"
    for fix in entry.fixes:
        what = "done on" if fix.what == "day" else "took"
        yield f"{what} {fix.said}, was {fix.was}: corrected, entry {fix.number}: {fix.why}"
    ended: dict[str, list[str]] = {}
    for part in entry.parts:
        if part.ended is not None:
            ended.setdefault(part.ended_words, []).append(part.mark)
    for words, marks in ended.items():
        yield words if len(marks) == len(entry.parts) else f"{marks_in_full(marks)}: {words}"
    looked = sorted({part.looked for part in entry.parts if part.looked is not None})
    if looked:
        yield f"looked over: entry {', '.join(map(str, looked))}"
    if any(part.look_wanted and part.looked is None for part in entry.parts) and not entry.ended:
        yield "the builder has not looked it over yet"


def given_lines(book: Book, entry: Entry, only: str = "") -> list[Line]:
    """The answers of an entry: question, answer, what was wanted, who where it was another, corrections."""
    return [_given_line(book, entry, given, only) for given in entry.given]


def _given_line(book: Book, entry: Entry, given: Given, only: str) -> Line:
    where = ""
    if only and given.mark != only:
        where = f" [given on {given.mark} for all of the batch]"
    elif not only and len(entry.parts) > 1:
        where = f" [on {given.mark}]"
    text = f"{answer_words(given)}{where}"
    if given.by != entry.by:
        text += f" [answered by {book.names.name(given.by)}]"
    return Line(text, struck=not given.stands, after=correction_of(given))


def answer_words(given: Given) -> str:
    """Question, answer, and what was wanted or what the lot is."""
    wanted = f" ({given.wanted})" if given.wanted else ""
    corrected = f", corrected: {given.why}" if given.why else ""
    of_limits = "" if given.passed else " OUT OF LIMITS"
    at_once = ", said of several parts at once" if given.at_once else ""
    return f"{given.asked} {given.said}{wanted}{of_limits}{at_once}{corrected}"


def correction_of(given: Given) -> str:
    """What became of an answer later, in words; empty for one that stands."""
    if given.taken_back is not None:
        return f"taken back by entry {given.taken_back}"
    return f"answered anew, entry {given.replaced}" if given.replaced is not None else ""


def minutes_words(entry: Entry) -> str:
    """The minutes at work, and whether they were taken whole."""
    if entry.minutes is None:
        return ""
    fix = entry.fixed("minutes")
    if fix is not None:
        return f"{entry.minutes:.0f} (was {fix.was})"
    return f"{entry.minutes:.0f}{'' if entry.exact else ' (not exact)'}"


def signatures(sheet: Sheet, pairs: Sequence[tuple[str, str]]) -> None:
    """Lines to sign on."""
    with sheet.within("div", {"class": "sign"}):
        for left, right in pairs:
            sheet.say("p", left)
            sheet.say("p", right)
