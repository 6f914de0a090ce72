"""The lines of a logbook on the disk while it is printed, so that a record of any length needs little memory.

A private SQLite database that is gone when it is closed. Later events change what earlier lines say of
themselves (taken back, answered anew, to do again), so all are read before the first is printed.
"""

import json
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from itertools import pairwise
from typing import Any

from kiosk.logbook.lines import Entry, Fix, Given, LotLine, OnPart, Share, SnagLine

_TABLES = """
    CREATE TABLE entry (
        number INTEGER PRIMARY KEY, event TEXT, at TEXT, by TEXT, what TEXT, text TEXT, procedure TEXT,
        step TEXT, work TEXT, word TEXT, facts TEXT, supervised_by TEXT, minutes REAL, exact INTEGER,
        doubt TEXT, taken_back INTEGER);
    CREATE INDEX entry_event ON entry (event);
    CREATE TABLE on_part (
        mark TEXT, number INTEGER, place INTEGER, word TEXT, ended INTEGER, ended_words TEXT,
        look_wanted INTEGER, looked INTEGER, PRIMARY KEY (mark, number)) WITHOUT ROWID;
    CREATE INDEX on_part_number ON on_part (number, place);
    CREATE INDEX on_part_ended ON on_part (ended) WHERE ended IS NOT NULL;
    CREATE TABLE answer (
        number INTEGER PRIMARY KEY, event TEXT, at TEXT, by TEXT, work TEXT, mark TEXT, "check" TEXT,
        asked TEXT, said TEXT, wanted TEXT, lot TEXT, passed INTEGER, doubt TEXT, taken_back INTEGER,
        replaced INTEGER, why TEXT, at_once INTEGER);
    CREATE INDEX answer_event ON answer (event);
    CREATE INDEX answer_work ON answer (work, mark, "check");
    CREATE TABLE given (
        entry INTEGER, mark TEXT, answer INTEGER, PRIMARY KEY (entry, mark, answer)) WITHOUT ROWID;
    CREATE INDEX given_answer ON given (answer);
    CREATE TABLE work (
        work TEXT PRIMARY KEY, number INTEGER, at TEXT, by TEXT, procedure TEXT, step TEXT, text TEXT)
        WITHOUT ROWID;
    CREATE TABLE snag (
        snag TEXT PRIMARY KEY, number INTEGER, event TEXT, mark TEXT, text TEXT, decided INTEGER)
        WITHOUT ROWID;
    CREATE TABLE room (number INTEGER PRIMARY KEY, at TEXT, temperature_f REAL, humidity_percent REAL);
    CREATE TABLE words (text TEXT PRIMARY KEY, procedure TEXT, words TEXT) WITHOUT ROWID;
    CREATE TABLE fix (
        number INTEGER PRIMARY KEY, event TEXT, entry INTEGER, what TEXT, said TEXT, was TEXT, value REAL,
        value_was REAL, why TEXT, taken_back INTEGER);
    CREATE INDEX fix_entry ON fix (entry);
    CREATE TABLE outsider (number INTEGER, name TEXT, role TEXT, id_number TEXT);
"""
_ENTRY = (
    "entry.number,entry.event,entry.at,entry.by,entry.what,entry.text,entry.procedure,entry.step,entry.work,"
    "entry.word,entry.facts,entry.supervised_by,entry.minutes,entry.exact,entry.doubt,entry.taken_back"
)
_GIVEN = "number,at,by,mark,asked,said,wanted,lot,passed,taken_back,replaced,doubt,why,at_once"
_STANDS = "entry.taken_back IS NULL AND on_part.ended IS NULL"


class Index:
    """Every line of one logbook. Close it when the logbook is written: it is a context manager."""

    def __init__(self) -> None:
        self._connection = sqlite3.connect(
            "", isolation_level=None
        )  # "": on the disk, private, without a name
        run = self._connection.execute
        run("PRAGMA journal_mode=OFF")  # nothing of it outlives the process
        run("PRAGMA synchronous=OFF")
        run("PRAGMA cache_size=-8000")  # kilobytes
        self._connection.executescript(_TABLES)
        run("BEGIN")
        self.last = 0  # the last event that was read
        self.stopped = ""  # why no more could be read, naming the event
        self._marks_now: dict[str, str] = {}  # by the marks that were

    def __enter__(self) -> "Index":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def rename(self, marks: Mapping[str, str]) -> None:
        """Parts that have another mark from now on, by the one before."""
        for former, now in self._marks_now.items():
            self._marks_now[former] = marks.get(now, now)
        self._marks_now.update(marks)

    def mark_now(self, mark: str) -> str:
        """The mark that a part has today."""
        return self._marks_now.get(mark, mark)

    def close(self) -> None:
        """Throw the lines away."""
        self._connection.close()

    def _run(self, sql: str, *values: object) -> sqlite3.Cursor:
        return self._connection.execute(sql, values)

    def _one(self, sql: str, *values: object) -> Any:
        row = self._run(sql, *values).fetchone()
        return row[0] if row else None

    # What is put in, in the order of the record

    def add(self, entry: Entry) -> None:
        """One more entry, with the parts that it is on."""
        self._run(
            f"INSERT INTO entry VALUES ({','.join('?' * 16)})",
            entry.number,
            entry.event,
            entry.at.isoformat(),
            entry.by,
            entry.what,
            entry.text,
            entry.procedure,
            entry.step,
            entry.work,
            entry.word,
            json.dumps(entry.facts) if entry.facts else "",
            entry.supervised_by,
            entry.minutes,
            entry.exact,
            entry.doubt,
            entry.taken_back,
        )
        self._connection.executemany(
            "INSERT OR IGNORE INTO on_part VALUES (?,?,?,?,NULL,'',?,NULL)",
            [
                (part.mark, entry.number, place, part.word, part.look_wanted)
                for place, part in enumerate(entry.parts)
            ],
        )

    def add_answer(self, event: str, work: str, check: str, given: Given) -> None:
        """One more answer; the one before it to the same check is answered anew by it."""
        self._run(
            f"INSERT INTO answer VALUES ({','.join('?' * 17)})",
            given.number,
            event,
            given.at.isoformat(),
            given.by,
            work,
            given.mark,
            check,
            given.asked,
            given.said,
            given.wanted,
            given.lot,
            given.passed,
            given.doubt,
            None,
            None,
            given.why,
            given.at_once,
        )
        self._replace_earlier(work, given.mark, check)

    def _replace_earlier(self, work: str, mark: str, check: str) -> None:
        """The last answer that nobody took back stands; each other was answered anew by the one after it."""
        here = [
            number
            for (number,) in self._run(
                'SELECT number FROM answer WHERE work=? AND mark=? AND "check"=? AND taken_back IS NULL'
                " ORDER BY number",
                work,
                mark,
                check,
            )
        ]
        for number, after in pairwise([*here, None]):
            self._run(
                "UPDATE answer SET replaced=? WHERE number=? AND replaced IS NOT ?", after, number, after
            )

    def give(self, entry: int, work: str, marks: Sequence[str]) -> None:
        """The answers of a step, to each of its parts: its own, and of a batch those given on another."""
        own: dict[str, list[tuple[int, str]]] = {}
        for number, mark, check in self._run(
            'SELECT number,mark,"check" FROM answer WHERE work=? ORDER BY number', work
        ):
            own.setdefault(mark, []).append((number, check))
        pairs = []
        for mark in marks:
            mine = own.get(mark, [])
            answered = {check for _, check in mine}
            pairs += [(entry, mark, number) for number, _ in mine]
            for other in marks:
                if other != mark:
                    pairs += [
                        (entry, mark, number) for number, check in own.get(other, ()) if check not in answered
                    ]
                    answered |= {check for _, check in own.get(other, ())}
        self._connection.executemany("INSERT OR IGNORE INTO given VALUES (?,?,?)", pairs)

    def correct_answer(self, event: str, finished: str, work: str, check: str, given: Given) -> None:
        """An answer was corrected: one more answer, on the parts that the one before it stands on."""
        entry = self._one("SELECT number FROM entry WHERE event=?", finished)
        before = self._one(
            'SELECT max(number) FROM answer WHERE work=? AND mark=? AND "check"=? AND taken_back IS NULL',
            work,
            given.mark,
            check,
        )
        self.add_answer(event, work, check, given)
        marks = self._run("SELECT mark FROM given WHERE entry=? AND answer=?", entry, before).fetchall()
        self.give_these(entry, [(given.number, mark) for (mark,) in marks])

    def correct_entry(self, event: str, finished: str, fix: Fix, value: float | None) -> None:
        """The minutes or the date of a step were corrected."""
        row = self._run("SELECT number,minutes FROM entry WHERE event=?", finished).fetchone()
        if row is None:
            return
        self._run(
            "INSERT INTO fix VALUES (?,?,?,?,?,?,?,?,?,NULL)",
            fix.number,
            event,
            row[0],
            fix.what,
            fix.said,
            fix.was,
            value,
            row[1],
            fix.why,
        )
        self._retime(row[0])

    def _retime(self, entry: int) -> None:
        """The minutes of a step: as corrected last, else as they were before the first correction."""
        self._run(
            "UPDATE entry SET minutes=coalesce("
            "(SELECT value FROM fix WHERE entry=?1 AND what='minutes' AND taken_back IS NULL"
            " ORDER BY number DESC LIMIT 1),"
            "(SELECT value_was FROM fix WHERE entry=?1 AND what='minutes' ORDER BY number LIMIT 1),"
            "minutes) WHERE number=?1",
            entry,
        )

    def answered_without_entry(self, work: str) -> list[tuple[int, str]]:
        """Number and part of the answers of a work that stand in no entry yet."""
        return self._run(
            "SELECT number,mark FROM answer WHERE work=?"
            " AND NOT EXISTS (SELECT 1 FROM given WHERE given.answer=answer.number) ORDER BY number",
            work,
        ).fetchall()

    def answer_at(self, number: int) -> tuple[int, datetime, str, str]:
        """Event, time, who and doubt of an answer."""
        row = self._run("SELECT number,at,by,doubt FROM answer WHERE number=?", number).fetchone()
        return row[0], datetime.fromisoformat(row[1]), row[2], row[3]

    def works_without_entry(self) -> list[str]:
        """The works with answers that stand in no entry, in their order."""
        return [
            work
            for (work,) in self._run(
                "SELECT work FROM answer WHERE NOT EXISTS"
                " (SELECT 1 FROM given WHERE given.answer=answer.number) GROUP BY work ORDER BY min(number)"
            )
        ]

    def give_these(self, entry: int, pairs: Sequence[tuple[int, str]]) -> None:
        """These answers, each to the part that it was given on."""
        self._connection.executemany(
            "INSERT OR IGNORE INTO given VALUES (?,?,?)", [(entry, mark, number) for number, mark in pairs]
        )

    def add_work(
        self, work: str, number: int, at: datetime, by: str, ref: tuple[str, str], text: str
    ) -> None:
        """A step was begun."""
        self._run(
            "INSERT OR REPLACE INTO work VALUES (?,?,?,?,?,?,?)", work, number, at.isoformat(), by, *ref, text
        )

    def work(self, work: str) -> tuple[int, datetime, str, str, str, str] | None:
        """When a step was begun: event, time, who; and its procedure, step and digest of the words."""
        row = self._run("SELECT number,at,by,procedure,step,text FROM work WHERE work=?", work).fetchone()
        return (row[0], datetime.fromisoformat(row[1]), *row[2:]) if row else None

    def keep_words(self, text: str, procedure: str, words: str) -> None:
        """The words of a procedure by their digest."""
        self._run("INSERT OR REPLACE INTO words VALUES (?,?,?)", text, procedure, words)

    def words(self, text: str) -> str | None:
        """The words with this digest."""
        found: str | None = self._one("SELECT words FROM words WHERE text=?", text)
        return found

    def add_room(
        self, number: int, at: datetime, temperature_f: float | None, humidity: float | None
    ) -> None:
        """The room as it was read."""
        self._run("INSERT INTO room VALUES (?,?,?,?)", number, at.isoformat(), temperature_f, humidity)

    def room(self, since: int) -> list[tuple[datetime, float | None, float | None]]:
        """The readings that held at an event: the last of each quantity before it; and all since."""
        rows = self._run(
            "SELECT at,temperature_f,humidity_percent FROM room WHERE number>?"
            " OR number=(SELECT max(number) FROM room WHERE number<=? AND temperature_f IS NOT NULL)"
            " OR number=(SELECT max(number) FROM room WHERE number<=? AND humidity_percent IS NOT NULL)"
            " ORDER BY number",
            since,
            since,
            since,
        )
        return [(datetime.fromisoformat(at), temperature, humidity) for at, temperature, humidity in rows]

    def add_snag(self, snag: str, number: int, event: str, mark: str, text: str) -> None:
        """A snag was raised."""
        self._run("INSERT OR REPLACE INTO snag VALUES (?,?,?,?,?,NULL)", snag, number, event, mark, text)

    def snag(self, snag: str) -> tuple[int, str, str] | None:
        """Event, part and words of a snag."""
        row: tuple[int, str, str] | None = self._run(
            "SELECT number,mark,text FROM snag WHERE snag=?", snag
        ).fetchone()
        return row

    def decide(self, snag: str, number: int) -> None:
        """A snag was decided."""
        self._run("UPDATE snag SET decided=? WHERE snag=?", number, snag)

    def add_outsider(self, number: int, name: str, role: str, id_number: str) -> None:
        """Somebody who looked, accepted or answered and is named in the record itself."""
        self._run("INSERT INTO outsider VALUES (?,?,?,?)", number, name, role, id_number)

    def looked_over(self, number: int, mark: str, procedure: str, step: str) -> None:
        """The builder looked over a step that a helper did."""
        self._run(
            "UPDATE on_part SET looked=? WHERE mark=? AND look_wanted AND looked IS NULL AND number IN"
            " (SELECT number FROM entry WHERE procedure=? AND step=? AND taken_back IS NULL)",
            number,
            mark,
            procedure,
            step,
        )

    def standing(self, mark: str) -> list[tuple[int, str, str, str]]:
        """Event, sort, procedure and step of what stands on a part: done, skipped, looked at, complete."""
        return self._run(
            "SELECT entry.number,what,procedure,step FROM on_part JOIN entry USING (number)"
            " WHERE mark=? AND what IN ('step','skipped','second look','part complete')"
            f" AND {_STANDS} ORDER BY entry.number",
            mark,
        ).fetchall()

    def end(self, mark: str, numbers: Sequence[int], by: int, words: str) -> None:
        """What these entries say of a part holds no more since an event."""
        self._connection.executemany(
            "UPDATE on_part SET ended=?,ended_words=? WHERE mark=? AND number=?",
            [(by, words, mark, number) for number in numbers],
        )

    def take_back(self, event: str, by: int) -> str:
        """An event was taken back, with all that it had done to others. Gives what it was, if it is said."""
        said = self._take_back_answer(event, by)
        row = self._run("SELECT number,what,text FROM entry WHERE event=?", event).fetchone()
        if row is None:
            return said
        number, what, text = row
        self._run("UPDATE entry SET taken_back=? WHERE number=?", by, number)
        self._run("UPDATE entry SET taken_back=NULL WHERE taken_back=?", number)  # what it took back itself
        fixed = self._one("SELECT entry FROM fix WHERE event=?", event)
        if fixed is not None:
            self._run("UPDATE fix SET taken_back=? WHERE event=?", by, event)
            self._retime(fixed)
        self._run("UPDATE on_part SET ended=NULL,ended_words='' WHERE ended=?", number)
        self._run("UPDATE on_part SET looked=NULL WHERE looked=?", number)
        self._run("UPDATE snag SET decided=NULL WHERE decided=?", number)
        self._run("DELETE FROM snag WHERE event=?", event)
        return f"entry {number}, {what}: {text}"

    def take_back_strip(self, event: str, by: int) -> str:
        """As :meth:`take_back`, of a trial; one that a correction recorded goes without the correction."""
        what = self._one("SELECT what FROM entry WHERE event=?", event)
        return self.take_back(event, by) if what == "trial" else ""

    def _take_back_answer(self, event: str, by: int) -> str:
        row = self._run(
            'SELECT number,work,mark,"check",asked,said FROM answer WHERE event=?', event
        ).fetchone()
        if row is None:
            return ""
        number, work, mark, check, asked, said = row
        self._run("UPDATE answer SET taken_back=?,replaced=NULL WHERE number=?", by, number)
        self._replace_earlier(work, mark, check)
        return f"entry {number}, answer on {mark}: {asked} {said}"

    # What is read out, to be printed

    def lines(self) -> int:
        """How many lines a page of all of it would have."""
        return int(
            self._one(
                "SELECT (SELECT count(*) FROM entry) + (SELECT count(*) FROM on_part)"
                " + (SELECT count(*) FROM given)"
            )
        )

    def entry_count(self) -> int:
        """How many entries there are."""
        return int(self._one("SELECT count(*) FROM entry"))

    def span(self) -> tuple[datetime, datetime] | None:
        """The times of the first and the last entry."""
        ends = [
            self._one(f"SELECT at FROM entry WHERE number=(SELECT {end}(number) FROM entry)")
            for end in ("min", "max")
        ]
        return (datetime.fromisoformat(ends[0]), datetime.fromisoformat(ends[1])) if ends[0] else None

    def marks(self) -> list[str]:
        """The parts that anything is recorded of."""
        return [mark for (mark,) in self._run("SELECT DISTINCT mark FROM on_part ORDER BY mark")]

    def counts(self) -> dict[str, int]:
        """How many entries each part has."""
        return dict(self._run("SELECT mark,count(*) FROM on_part GROUP BY mark").fetchall())

    def entries(self, after: int = 0, to: int | None = None) -> Iterator[Entry]:
        """The entries after a number in their order, each with its parts and answers; up to one, if so."""
        rows = self._run(
            f"SELECT {_ENTRY} FROM entry WHERE number>? AND number<=? ORDER BY number",
            after,
            self.last if to is None else to,
        )
        for row in rows:
            yield self._entry(row, None)

    def runs(self, lines: int) -> Iterator[tuple[int, int, datetime]]:
        """The entries in runs of so many: the number before the first, that of the last, the first's time."""
        before = 0
        while True:
            first, last = self._run(
                "SELECT min(number),max(number) FROM"
                " (SELECT number FROM entry WHERE number>? ORDER BY number LIMIT ?)",
                before,
                lines,
            ).fetchone()
            if first is None:
                return
            at = self._one("SELECT at FROM entry WHERE number=?", first)
            yield before, last, datetime.fromisoformat(at)
            before = last

    def on(self, mark: str) -> Iterator[Entry]:
        """The entries on a part in their order, each with the answers of this part alone."""
        rows = self._run(
            f"SELECT {_ENTRY} FROM on_part JOIN entry USING (number) WHERE mark=? ORDER BY entry.number", mark
        )
        for row in rows:
            yield self._entry(row, mark)

    def _entry(self, row: Sequence[Any], only: str | None) -> Entry:
        number = row[0]
        parts = tuple(
            OnPart(mark, word, ended, words, bool(wanted), looked)
            for mark, word, ended, words, wanted, looked in self._run(
                "SELECT mark,word,ended,ended_words,look_wanted,looked FROM on_part"
                " WHERE number=? ORDER BY place",
                number,
            )
        )
        return Entry(
            number=number,
            event=row[1],
            at=datetime.fromisoformat(row[2]),
            by=row[3],
            what=row[4],
            text=row[5],
            parts=parts,
            procedure=row[6],
            step=row[7],
            work=row[8],
            word=row[9],
            facts=tuple(json.loads(row[10])) if row[10] else (),
            supervised_by=row[11],
            minutes=row[12],
            exact=bool(row[13]),
            doubt=row[14],
            taken_back=row[15],
            given=tuple(self._given(number, only)) if row[8] else (),
            fixes=tuple(self._fixes(number)) if row[8] else (),
        )

    def _fixes(self, entry: int) -> Iterator[Fix]:
        """The corrections of an entry's minutes and date that nobody took back, in their order."""
        rows = self._run(
            "SELECT number,what,said,was,why FROM fix WHERE entry=? AND taken_back IS NULL ORDER BY number",
            entry,
        )
        return (Fix(*row) for row in rows)

    def _given(self, entry: int, only: str | None) -> Iterator[Given]:
        """The answers of an entry, each once; of one part alone where it is named."""
        chosen = "entry=?" if only is None else "entry=? AND mark=?"
        values = (entry,) if only is None else (entry, only)
        rows = self._run(
            f"SELECT {_GIVEN} FROM answer WHERE number IN (SELECT answer FROM given WHERE {chosen})"
            " ORDER BY number",
            *values,
        )
        for row in rows:
            yield _given_of(row)

    def given_by_part(self, entry: int) -> Iterator[tuple[str, Given]]:
        """The answers of an entry for each of its parts, those of a batch for each of them."""
        columns = ",".join(f"answer.{name}" for name in _GIVEN.split(","))
        rows = self._run(
            f"SELECT given.mark,{columns} FROM given JOIN answer ON answer.number=given.answer"
            " LEFT JOIN on_part ON on_part.number=given.entry AND on_part.mark=given.mark"
            " WHERE entry=? ORDER BY on_part.place,answer.number",
            entry,
        )
        for mark, *row in rows:
            yield mark, _given_of(row)

    def lots(self, mark: str | None = None) -> list[LotLine]:
        """The lots that stand named on parts, in the words of the time, with those parts; or of one part."""
        found: dict[tuple[str, str], list[str]] = {}
        only = "" if mark is None else " AND given.mark=?"
        rows = self._run(
            "SELECT DISTINCT answer.lot,answer.wanted,given.mark FROM answer"
            " JOIN given ON given.answer=answer.number JOIN entry ON entry.number=given.entry"
            " JOIN on_part ON on_part.number=entry.number AND on_part.mark=given.mark"
            " WHERE answer.lot<>'' AND answer.passed"
            " AND answer.taken_back IS NULL AND answer.replaced IS NULL"
            f" AND {_STANDS}{only} ORDER BY answer.lot,answer.wanted,given.mark",
            *(() if mark is None else (mark,)),
        )
        for lot, words, one in rows:
            found.setdefault((lot, words), []).append(one)
        return [LotLine(lot, words, tuple(marks)) for (lot, words), marks in found.items()]

    def snags(self, mark: str | None = None, *, undecided: bool = False) -> Iterator[SnagLine]:
        """Every snag that was not taken back, those without a decision first, or alone; or of one part."""
        rows = self._run(
            "SELECT snag.number,mark,snag.text,decided,coalesce(entry.text,'') FROM snag"
            " LEFT JOIN entry ON entry.number=decided"
            " WHERE (? IS NULL OR mark=?) AND (NOT ? OR decided IS NULL)"
            " ORDER BY decided IS NOT NULL,snag.number",
            mark,
            mark,
            undecided,
        )
        return (SnagLine(*row) for row in rows)

    def left_open(self, what: str, mark: str | None = None) -> list[tuple[int, str, str]]:
        """Number, part and words of what is open: ``skipped`` steps, or steps that wait for a ``look``."""
        wanted = "what='skipped'" if what == "skipped" else "what='step' AND look_wanted AND looked IS NULL"
        only = "" if mark is None else " AND mark=?"
        return self._run(
            f"SELECT entry.number,mark,text FROM on_part JOIN entry USING (number)"
            f" WHERE {wanted} AND {_STANDS}{only} ORDER BY entry.number",
            *(() if mark is None else (mark,)),
        ).fetchall()

    def doubts(self) -> list[tuple[str, int, int, int]]:
        """Each doubt about the clock: the words, how many entries, the first and the last of them."""
        return self._run(
            "SELECT doubt,count(*),min(number),max(number) FROM entry WHERE doubt<>''"
            " GROUP BY doubt ORDER BY 3"
        ).fetchall()

    def shares(self) -> list[Share]:
        """Whose hands did how many steps on parts, by the word of the work; only what stands is counted."""
        rows = self._run(
            "SELECT entry.by,on_part.word,count(*),sum(minutes/parts)/60 FROM entry"
            " JOIN on_part USING (number)"
            " JOIN (SELECT number,count(*) AS parts FROM on_part GROUP BY number) USING (number)"
            f" WHERE what='step' AND {_STANDS} GROUP BY 1,2 ORDER BY 3 DESC,1,2"
        )
        return [Share(by, word, steps, hours or 0.0) for by, word, steps, hours in rows]

    def people(self) -> list[tuple[str, int, int, int]]:
        """By whom: the id, how many entries, the first and the last of them."""
        return self._run(
            "SELECT by,count(*),min(number),max(number) FROM entry GROUP BY by ORDER BY 3"
        ).fetchall()

    def outsiders(self) -> list[tuple[str, str, str, str]]:
        """Who is named in entries themselves: name, role, number, and the entries."""
        return self._run(
            "SELECT name,role,id_number,group_concat(number, ', ') FROM"
            " (SELECT DISTINCT name,role,id_number,outsider.number FROM outsider ORDER BY outsider.number)"
            " GROUP BY name,role,id_number ORDER BY min(number)"
        ).fetchall()

    def completed(self) -> dict[str, int]:
        """The event that declared each finished part complete."""
        rows = self._run(
            "SELECT mark,max(entry.number) FROM on_part JOIN entry USING (number)"
            f" WHERE what='part complete' AND {_STANDS} GROUP BY mark"
        )
        return dict(rows.fetchall())


def _given_of(row: Sequence[Any]) -> Given:
    number, at, by, mark, asked, said, wanted, lot, passed, taken_back, replaced, doubt, why, at_once = row
    return Given(
        number=number,
        at=datetime.fromisoformat(at),
        by=by,
        mark=mark,
        asked=asked,
        said=said,
        wanted=wanted,
        lot=lot,
        passed=bool(passed),
        taken_back=taken_back,
        replaced=replaced,
        doubt=doubt,
        why=why,
        at_once=bool(at_once),
    )
