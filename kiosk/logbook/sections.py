"""The sections around the histories: cover, contents, parts, lots, what is open, people, what was checked."""

from collections.abc import Sequence

from kiosk import __version__
from kiosk.logbook.book import Book
from kiosk.logbook.history import signatures
from kiosk.logbook.lines import LotLine, Share
from kiosk.logbook.sheet import Sheet
from kiosk.logbook.words import TODAY, time_words
from kiosk.shop.parts import PartKind, marks_in_full
from kiosk.views.board import BoardRow

APPROVES_NOTHING = (
    "This is the builder's own record of what was done, by whom and when. It approves nothing: not a"
    " part, not a repair, not an aeroplane. The plans, the designer, local rules and the authority's"
    " inspectors decide."
)
WHAT_IT_IS = (
    "What is printed here is what was recorded when it was done: the words of each step and question, the"
    f" limits and the lots as they stood then. What an old entry does not have itself is marked {TODAY}."
    " What was corrected stays, struck through, with the number of the entry that corrected it. Names are"
    " those of today's shop file. It holds what people tapped and typed; that it is true, they answer for."
)
TIMES = (
    "Times are those of the clock in the house, with their offset from UTC. Minutes are those at work on"
    " a step, without pauses; they stand for the builder, and count as nothing."
)
WHAT_COUNTS = (
    "Counted is each step of a procedure that stands as done on a part: one step on a batch of six parts"
    " counts six; one that was taken back or is to do again counts nothing. The share is of the steps on"
    " parts of the aeroplane; tooling and jigs stand apart and are not in it. An authority counts tasks of"
    " its own checklist, not these steps and not hours: this table is no such count."
)
CHAIN_SHOWS = (
    "Each event carries a hash of itself and of the hash before it. Where the chain fits, no event in it"
    " was changed, taken out, put in or moved, unless whoever did it worked out anew every hash after it."
    " It does not show who wrote an entry, nor that it is true, nor that none is missing after the last:"
    " compare the last number and hash with those printed or written down before."
)
WORDS = ("fabricate", "assemble", "", "tooling")
WORD_HEADS = {
    "fabricate": "fabricated",
    "assemble": "assembled",
    "": "other, not said",
    "tooling": "tooling, jigs",
}


def cover(sheet: Sheet, book: Book) -> None:
    """What is built, by whom, what this record is and is not, and the lines to sign."""
    aeroplane = book.shop.file.aeroplane
    builders = [person.name for person in book.shop.file.people if person.role == "builder"]
    span = book.index.span()
    sheet.say("h1", book.title)
    if book.index.stopped:
        stopped = f"THIS RECORD COULD NOT BE READ TO ITS END. {book.index.stopped}."
        sheet.say(
            "p", f"{stopped} Printed is what stands before, to entry {book.index.last}.", class_="notice"
        )
    if not book.checked.whole and not book.index.stopped:
        sheet.say("p", f"THIS RECORD IS BROKEN. {_sentence(book.checked.trouble)}", class_="notice")
    with sheet.within("dl"):
        for term, words in (
            ("Aeroplane", f"{aeroplane.name}, from {aeroplane.plans} {TODAY}"),
            ("Builder", f"{', '.join(builders)} {TODAY}"),
            ("Printed", f"{time_words(book.made_at)}, bench kiosk {__version__}"),
            (
                "Entries",
                f"{book.index.entry_count()} lines of {book.index.last} events"
                + (f", from {time_words(span[0])} to {time_words(span[1])}" if span else ""),
            ),
            ("What this is, and is not", f"{APPROVES_NOTHING}\n{WHAT_IT_IS}\n{TIMES}"),
            ("Checked when it was printed", checked_words(book)[0]),
        ):
            sheet.say("dt", term)
            sheet.say("dd", words)
    signatures(
        sheet,
        (
            ("Builder, name:", "Inspector, name and number:"),
            ("Signature:", "Signature:"),
            ("Date:", "Date:"),
        ),
    )


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def contents(sheet: Sheet, book: Book, places: Sequence[tuple[str, str]]) -> None:
    """Where everything stands: sections, then one line a part."""
    sheet.say("h2", "Contents")
    with sheet.within("ul"):
        for words, to in places:
            with sheet.within("li"):
                sheet.link(words, to)
    _parts(sheet, book)


def _parts(sheet: Sheet, book: Book) -> None:
    rows = {row.mark: row for row in book.rows}
    completed = book.index.completed()
    stands = (
        "stands at, when printed" if rows else "stands at: not known, as the record cannot be read to its end"
    )
    sheet.say("h2", "Parts")
    sheet.say(
        "p",
        "Part, drawing and material as today's shop file has them; a part without a link has no entry yet.",
        class_="small",
    )
    heads = ("mark", "part", "drawing", "material", "entries", stands, "declared complete")
    with sheet.table(heads, ("tight", "", "tight")):
        for mark in (*book.shop.parts, *(one for one in book.marks if one not in book.shop.parts)):
            with sheet.within("tr"):
                with sheet.cell(0):
                    sheet.link(mark, book.to_part(mark))
                known = book.shop.kind_of(mark) if mark in book.shop.parts else None
                row = rows.get(mark)
                words = (
                    known.name if known else absent_words(book, mark),
                    known.drawing if known else "",
                    material_words(known) if known else "",
                    str(book.counts.get(mark, 0) or ""),
                    _stands(row) if row else "",
                    f"entry {completed[mark]}" if mark in completed else "",
                )
                for number, text in enumerate(words, 1):
                    with sheet.cell(number):
                        sheet.text(text)


def _stands(row: BoardRow) -> str:
    return f"{row.state_word} {row.where}{f' ({row.reason})' if row.reason else ''}"


def material_words(kind: PartKind) -> str:
    """Alloy and thickness, or what else it is made from."""
    material = kind.material
    thickness = f" {material.thickness:.3f} in" if material.thickness is not None else ""
    return f"{material.alloy}{thickness}" if material.alloy else material.other or ""


def absent_words(book: Book, mark: str) -> str:
    """What is said of a mark that today's shop file does not have."""
    now = book.index.mark_now(mark)
    return f"its mark is now {now}" if now != mark else "not in today’s shop file"


def part_head(sheet: Sheet, book: Book, mark: str) -> None:
    """What a part is, its lots, and what is open on it."""
    known = book.shop.kind_of(mark) if mark in book.shop.parts else None
    sheet.say("h2", f"{mark}: {known.name if known else absent_words(book, mark)}")
    if known is not None:
        part = book.shop.parts[mark]
        words = [f"drawing {known.drawing}", material_words(known)]
        words += [f"{part.hand} hand"] if part.hand != "none" else []
        words += [f"made from {marks_in_full(part.made_from)}"] if part.made_from else []
        sheet.say("p", f"{'; '.join(one for one in words if one)} {TODAY}")
    row = next((one for one in book.rows if one.mark == mark), None)
    if row is not None:
        sheet.say("p", f"When this was printed: {_stands(row)}")
    lot_table(sheet, book.index.lots(mark), "No lot is recorded on this part.", parts=False)
    still_open = open_lines(book, mark)
    if still_open:
        with sheet.within("ul"):
            for text in still_open:
                sheet.say("li", text)
    else:
        sheet.say("p", "No open snag, no skipped step, nothing to look over.")


def part_foot(sheet: Sheet) -> None:
    """The lines to sign on a part's page."""
    signatures(
        sheet,
        (("Builder, signature and date:", "Inspector, number, signature and date:"),),
    )


def lots(sheet: Sheet, book: Book) -> None:
    """Every lot, with its certificate, and the parts that it went into."""
    found = book.index.lots()
    sheet.say("h2", "Lots and certificates")
    sheet.say(
        "p", "Each in the words of the time, with every part of the batch that it went into.", class_="small"
    )
    lot_table(sheet, found, "No lot is recorded yet.")
    unused = [lot for lot in book.shop.lots.values() if lot.mark not in {line.lot for line in found}]
    if unused:
        sheet.say("p", f"On the shop's list, in no part yet: {', '.join(lot.mark for lot in unused)} {TODAY}")


def lot_table(sheet: Sheet, found: Sequence[LotLine], none: str, *, parts: bool = True) -> None:
    """Lots as a table, or the words that there is none."""
    if not found:
        sheet.say("p", none)
        return
    with sheet.table(("lot", "what it is, and its certificate", *(("parts",) if parts else ())), ("tight",)):
        for line in found:
            sheet.row((line.lot, line.words, *((", ".join(line.marks),) if parts else ())))


def open_lines(book: Book, mark: str | None = None) -> list[str]:
    """What is open: undecided snags, skipped steps, helpers' steps that nobody looked over."""
    named = mark is None
    found = [
        f"{f'{snag.mark}: ' if named else ''}OPEN SNAG, entry {snag.number}: {snag.text}"
        for snag in book.index.snags(mark, undecided=True)
    ]
    for what, words in (("skipped", "SKIPPED"), ("look", "NOT LOOKED OVER")):
        found += [
            f"{f'{one}: ' if named else ''}{words}, entry {number}: {text}"
            for number, one, text in book.index.left_open(what, mark)
        ]
    return found


def open_items(sheet: Sheet, book: Book) -> None:
    """What is open on all parts, and every snag with its decision."""
    sheet.say("h2", "Open items and snags")
    still_open = open_lines(book)
    if still_open:
        with sheet.within("ul"):
            for text in still_open:
                sheet.say("li", text)
    else:
        sheet.say("p", "Nothing is open.")
    if next(book.index.snags(), None) is not None:
        with sheet.table(("entry", "part", "not right", "decision"), ("", "tight"), caption="All snags"):
            for snag in book.index.snags():
                decided = f"Entry {snag.decided}: {snag.decision}" if snag.decided is not None else "OPEN"
                sheet.row((str(snag.number), snag.mark, snag.text, decided))
    doubts = book.index.doubts()
    if doubts:
        with sheet.table(("doubt", "entries", "first", "last"), caption="Times not to be believed"):
            for words, count, first, last in doubts:
                sheet.row((words, str(count), str(first), str(last)))


def people(sheet: Sheet, book: Book) -> None:
    """Everybody who is named, and whose hands did what share of the steps."""
    sheet.say("h2", "People")
    with sheet.table(("name", "role today", "counts as", "entries", "first", "last")):
        for person, count, first, last in book.index.people():
            known = book.shop.people.get(person)
            role = known.role if known else "not in today's shop file: the id as recorded"
            sheet.row(
                (
                    book.names.name(person),
                    role,
                    book.names.share(person) if known else "",
                    str(count),
                    str(first),
                    str(last),
                )
            )
    outsiders = book.index.outsiders()
    if outsiders:
        with sheet.table(("name", "as", "number", "entries"), caption="Named in entries, not of the shop"):
            for row in outsiders:
                sheet.row(row)
    sheet.say("h3", "Whose hands did which steps")
    sheet.say("p", WHAT_COUNTS)
    _share_table(sheet, book)


def word_of(book: Book, share: Share) -> str:
    """The word of work, one of ``WORDS``."""
    return share.word if share.word in WORDS else ""


def _share_table(sheet: Sheet, book: Book) -> None:
    found: dict[str, dict[str, Share]] = {}
    for share in book.index.shares():
        found.setdefault(share.by, {})[word_of(book, share)] = share
    total = sum(share.steps for words in found.values() for word, share in words.items() if word != "tooling")
    heads = [WORD_HEADS[word] for word in WORDS]
    with sheet.table(("person", "counts as", *heads, "share of the aeroplane's steps", "hours, all")):
        for person, words in found.items():
            own = sum(share.steps for word, share in words.items() if word != "tooling")
            sheet.row(
                (
                    book.names.name(person),
                    book.names.share(person),
                    *(str(words[word].steps) if word in words else "" for word in WORDS),
                    f"{own / total:.0%}" if total else "",
                    f"{sum(share.hours for share in words.values()):.1f}",
                )
            )


def checked_words(book: Book) -> list[str]:
    """What was checked of the record, in words that claim no more."""
    checked = book.checked
    if checked.to:
        fits = f"The chain of hashes was walked and fits from event 1 to event {checked.to};"
        fits += f" its hash is {checked.head}."
    else:
        fits = "No part of the chain of hashes was found to fit." if checked.last else "The record is empty."
    if checked.trouble:
        fits += f" It fits no further: {checked.trouble}. What is printed of later entries is not proved."
    found = [fits, CHAIN_SHOWS]
    if checked.witness:
        found.insert(1, checked.witness)
    if book.index.stopped:
        found.insert(1, f"{_sentence(book.index.stopped)} Nothing after entry {book.index.last} is printed.")
    return found


def checks(sheet: Sheet, book: Book) -> None:
    """What was checked of the record itself."""
    sheet.say("h2", "What was checked of this record")
    for text in checked_words(book):
        sheet.say("p", text)
