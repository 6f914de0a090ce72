"""The journal as entries that a stranger can read: who did what to which part, when, what was measured.

What is said is what the record has: the words of a procedure by their digest, each question with what was
wanted, each lot as the shop's list had it then. Where an old record has not, today's words say that they are.
"""

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any

from kiosk.logbook.index import Index
from kiosk.logbook.lines import Entry, Fix, Given, OnPart
from kiosk.logbook.words import TODAY, Names, figure, time_since, time_words
from kiosk.record import events as e
from kiosk.record.events import Event
from kiosk.record.stopped import RecordingStopped
from kiosk.shop.lots import lot_words
from kiosk.shop.shop import Shop
from kiosk.views.wording import count_words

# Recorded so that the screen finds its place again. They are no deeds on a part, and nobody's secret is told.
NOT_PRINTED = frozenset(
    {
        "batch_joined",
        "batch_split",
        "caution_acknowledged",
        "draft_typed",
        "family_set_up",
        "pin_set",
        "pin_tried",
        "screen_taken",
        "slot_begun",
        "turned_to",
        "words_typed",
        "work_paused",
        "work_resumed",
    }
)
_KEPT_AT_HAND = 32  # procedures read from their kept words and not read again
_ROOM = ("temperature_f", "humidity_percent")


def read(shop: Shop, events: Iterable[Event], *, no_ids: bool = False) -> Index:
    """Every entry of a record, in an index that the caller closes.

    ``no_ids`` is for a screen: where nobody kept the words, a step goes by those of today's file. A record
    that cannot be read to its end gives what could be read; ``Index.stopped`` names the event.
    """
    index = Index()
    reader = _Reader(shop, index, no_ids=no_ids)
    try:
        for event in events:
            reader.take(event)
            index.last = event.seq
    except RecordingStopped as stopped:
        index.stopped = str(stopped)
    except BaseException:
        index.close()
        raise
    reader.end()
    return index


def kinds_read() -> frozenset[str]:
    """The kinds of events that are printed, or read for what is printed of others."""
    return frozenset(kind.kind for kind in _TAKE)


class _Words:
    """A procedure or step as it was then, or as today's file has it, or as nobody knows any more."""

    def __init__(
        self, procedure: Mapping[str, Any] | None, step: Mapping[str, Any] | None, *, today: bool
    ) -> None:
        self.procedure = procedure or {}
        self.step = step or {}
        self.today = today

    @property
    def mark(self) -> str:
        """What stands beside words that are not the record's own."""
        return f" {TODAY}" if self.today else ""


class _Reader:
    """Reads the events in order, with the words that stood in the procedures when each was done."""

    def __init__(self, shop: Shop, index: Index, *, no_ids: bool) -> None:
        self.shop = shop
        self._no_ids = no_ids
        self.index = index
        self.names = Names(shop)
        self._digests: set[str] = set()
        self._newest: dict[str, str] = {}  # by procedure: the digest of its words as last referred to
        self._kept = lru_cache(_KEPT_AT_HAND)(self._read_kept)
        self._boots: dict[str, tuple[str, bool]] = {}  # by run: its boot, and whether its clock was believed
        self._ran_back: dict[str, int] = {}  # by run: where its clock last ran back
        self._said: dict[str, bool] = {}  # by boot: what a person said of its clock
        self._last_trials: dict[tuple[str, str], str] = {}  # by work and mark: the event of the last trial
        self._counts: dict[str, dict[str, list[tuple[str, int]]]] = {}  # by work in hand and mark: as counted
        self._trials_with: dict[str, str] = {}  # by the event that finished a step: that of its last trial

    def take(self, event: Event) -> None:
        """Take one event in."""
        if event.clock_ran_back:
            self._ran_back[event.run] = event.seq
        text = getattr(event.body, "text", "")
        procedure = getattr(event.body, "procedure", "")
        if procedure and text in self._digests:
            self._newest[procedure] = text
        take = _TAKE.get(type(event.body))
        if take is not None:
            take(self, event, event.body)

    def end(self) -> None:
        """After the last event: the answers of steps that are still in hand."""
        for work in self.index.works_without_entry():
            self._loose_answers(work, "in hand", "Not finished when this was printed")

    # Words

    def _read_kept(self, digest: str) -> dict[str, Any] | None:
        words = self.index.words(digest)
        try:
            found = json.loads(words) if words is not None else None
        except ValueError:
            return None
        return found if isinstance(found, dict) and isinstance(found.get("steps"), list) else None

    def _words_of(self, procedure: str, step: str, digest: str | None = None) -> _Words:
        """The procedure and step as they were then: by digest, else as last kept before.

        Where an old record has no digest (an empty one), as today's file has them. What never has one (None)
        is then told by its ids, which no later edit changes.
        """
        for text in (digest or "", self._newest.get(procedure, "")):
            kept = self._kept(text) if text else None
            found = next((one for one in kept["steps"] if one.get("id") == step), None) if kept else None
            if found is not None:
                return _Words(kept, found, today=False)
        of_today, step_of_today = self.shop.find_step(procedure, step)
        if of_today is None or step_of_today is None or (digest is None and not self._no_ids):
            return _Words(None, None, today=False)
        plain = step_of_today.as_written()
        return _Words({"title": of_today.title, "work": of_today.work}, plain, today=True)

    def _step_words(self, procedure: str, step: str, digest: str | None = None) -> str:
        """``Make a form block: Saw the outline.``, or the ids where nobody has the words."""
        words = self._words_of(procedure, step, digest)
        if not words.step:
            return f"{procedure}/{step}" if step else procedure
        return f"{words.procedure.get('title', procedure)}: {words.step.get('do', step)}{words.mark}"

    def _doubt(self, event: Event) -> str:
        """Why the time of an event is not to be believed; empty when nothing speaks against it."""
        found = []
        if event.run in self._ran_back:
            found.append(f"the clock ran back at event {self._ran_back[event.run]}")
        boot, believed = self._boots.get(event.run, ("", True))
        if not believed and self._said.get(boot) is not True:
            wrong = self._said.get(boot) is False
            found.append("a person said that the clock was wrong" if wrong else "the clock was not believed")
        return "; ".join(found)

    def _add(
        self,
        event: Event,
        what: str,
        marks: Sequence[str],
        text: str,
        *,
        look_wanted: bool = False,
        **more: Any,
    ) -> None:
        parts = tuple(
            OnPart(mark, self._word(mark, more.get("word", "")), look_wanted=look_wanted) for mark in marks
        )
        doubt = self._doubt(event)
        self.index.add(
            Entry(event.seq, event.id, event.at, event.by, what, text, parts=parts, doubt=doubt, **more)
        )

    def _word(self, mark: str, of_procedure: str) -> str:
        """What a step on a part counts as: tooling is tooling, whichever procedure it goes through."""
        part = self.shop.parts.get(mark)
        return "tooling" if part is not None and self.shop.kinds[part.kind].tooling else of_procedure

    # One function a kind

    def _procedure_kept(self, event: Event, body: e.ProcedureKept) -> None:
        self.index.keep_words(body.text, body.procedure, body.words)
        self._digests.add(body.text)
        self._newest[body.procedure] = body.text

    def _run_started(self, event: Event, body: e.RunStarted) -> None:
        self._boots[event.run] = (body.boot, body.believed)
        if not body.believed:
            self._add(event, "clock", (), "From here on the machine's clock was not believed")

    def _clock_marked(self, event: Event, body: e.ClockMarked) -> None:
        self._said[body.boot] = body.right
        if body.right:
            self._ran_back.pop(event.run, None)
        said = "right" if body.right else "wrong"
        self._add(event, "clock", (), f"Looked at the machine's clock and said that it is {said}")

    def _sitting_opened(self, event: Event, body: e.SittingOpened) -> None:
        self._add(event, "opened up", (), f"At the bench: {self._list(body.people)}")

    def _sitting_closed(self, event: Event, body: e.SittingClosed) -> None:
        facts = [f"Left so: {text}" for text in body.left]
        if body.next_step:
            facts.append(f"Next: {body.next_step}")
        self._add(event, "closed up", (), body.note or "Closed up", facts=tuple(facts))

    def _sitting_cut(self, event: Event, body: e.SittingCut) -> None:
        why = "nobody pressed anything for long" if body.left_alone else "the power went, or the like"
        self._add(event, "cut short", (), f"The sitting before ended without closing up: {why}")

    def _screen_lost(self, event: Event, body: e.ScreenLost) -> None:
        self._add(event, "cut short", (), "A screen died beside another: what it had in hand is unknown")

    def _record_put_back(self, event: Event, body: e.RecordPutBack) -> None:
        kept = f"; what was replaced is kept in {body.kept_as}" if body.kept_as else ""
        text = f"The record's file was put in place {body.how}. Before, it had come to entry {body.had}{kept}"
        self._add(event, "record", (), text)

    def _renamed(self, event: Event, body: e.Renamed) -> None:
        self._add(event, "renamed", tuple(body.marks.values()), _renamed_words(body))
        self.index.rename(body.marks)

    def _person_came(self, event: Event, body: e.PersonCame) -> None:
        self._add(event, "came", (), f"{self.names.name(body.person)} came to the bench")

    def _person_went(self, event: Event, body: e.PersonWent) -> None:
        self._add(event, "went", (), f"{self.names.name(body.person)} left the bench")

    def _work_started(self, event: Event, body: e.WorkStarted) -> None:
        ref = (body.procedure, body.step)
        self.index.add_work(body.work, event.seq, event.at, event.by, ref, body.text)
        if body.in_spite_of:
            words = self._step_words(body.procedure, body.step, body.text).rstrip(".")
            self._add(event, "begun", body.marks, f"Begun in {body.in_spite_of}, as was agreed: {words}")

    def _answered(self, event: Event, body: e.Answered) -> None:
        work = self.index.work(body.work)
        words = self._words_of(*work[3:]) if work is not None else _Words(None, None, today=False)
        checks = words.step.get("checks", ())
        check: Mapping[str, Any] = next((one for one in checks if one.get("id") == body.check), {})
        asked = body.ask
        if not asked:
            asked = f"{check['ask']}{words.mark}" if "ask" in check else f"{body.check.replace('-', ' ')}:"
        is_lot = bool(body.lot) or check.get("kind") == "lot"
        lot = body.text if is_lot else ""
        wanted = body.lot or (f"wanted: {body.wanted}" if body.wanted else "")
        if is_lot and not body.lot:
            of_today = lot_words(self.shop, body.text)
            wanted = f"{of_today} {TODAY}" if of_today else "not on the shop's list"
        given = Given(
            number=event.seq,
            at=event.at,
            by=event.by,
            mark=body.mark,
            asked=asked,
            said=_said(body, check),
            wanted=wanted,
            lot=lot,
            passed=body.passed,
            doubt=self._doubt(event),
            at_once=bool(body.press),
        )
        self.index.add_answer(event.id, body.work, body.check, given)

    def _counted(self, event: Event, body: e.Counted) -> None:
        self._counts.setdefault(body.work, {}).setdefault(body.mark, []).append((event.id, body.count))

    def _counted_on(self, body: e.StepFinished, step: Mapping[str, Any]) -> Iterable[str]:
        """How far it was counted on each part: what the step says nothing else of."""
        counted = self._counts.get(body.work, {})
        of = (step.get("repeat") or {}).get("of", "")
        for mark in body.marks:
            if (counts := counted.pop(mark, None)) and not body.counts:
                yield f"Counted{f' on {mark}' if len(body.marks) > 1 else ''}: {counts[-1][1]} {of}".rstrip()
        if not counted:
            self._counts.pop(body.work, None)

    def _step_finished(self, event: Event, body: e.StepFinished) -> None:
        for mark in body.marks:
            if (trial := self._last_trials.pop((body.work, mark), None)) is not None:
                self._trials_with[event.id] = trial
        words = self._words_of(body.procedure, body.step, body.text)
        self._add(
            event,
            "step",
            body.marks,
            f"{self._step_words(body.procedure, body.step, body.text)} (revision {body.revision})",
            procedure=body.procedure,
            step=body.step,
            work=body.work,
            word=words.procedure.get("work") or "",
            facts=tuple(self._facts(event, body, words.step)),
            supervised_by=body.supervised_by,
            minutes=body.active_s / 60,
            exact=body.exact,
            look_wanted=body.wants_look,
        )
        self.index.give(event.seq, body.work, body.marks)

    def _facts(self, event: Event, body: e.StepFinished, step: Mapping[str, Any]) -> Iterable[str]:
        """What held while a step was done, and which clocks its end started."""
        work = self.index.work(body.work)
        if work is not None:
            at, by = work[1:3]
            other = f" by {self.names.name(by)}" if by != event.by else ""
            yield f"Begun {time_since(at, event.at)}{other}"
        yield from self._counted_on(body, step)
        for done in body.counts:
            yield count_words(done.count, done.most, done.of, at_most=True, enough=done.enough).capitalize()
        conditions = step.get("conditions") or {}
        if any(name in conditions for name in _ROOM):
            readings = self.index.room(work[0] if work is not None else event.seq)
            for at, temperature_f, humidity_percent in readings:
                yield f"Room: {_room_words(temperature_f, humidity_percent)}, read {time_words(at)}"
            if not readings:
                yield "Room: not read"
        for worked in body.figures:
            yield f"Worked out: {worked.name}, {worked.shown}"
        for used in body.used:
            yield f"Used: {figure(used.amount)} {used.unit} of {self._item(used.consumable)}"
        for clock in body.clocks:
            what = "must pass" if clock.kind == "must_pass" else f"to {clock.ends} the next step within it"
            whole = clock.minutes == round(clock.minutes)
            length = f"{figure(clock.minutes)} min" if whole else f"{clock.minutes * 60:.0f} s"
            until = time_since(clock.until, event.at, seconds=not whole)
            yield (
                f"Clock: {clock.what}, {length} ({what}), until {until}:"
                f" {self._step_words(clock.procedure, clock.step, body.text)}"
            )

    def _loose_answers(self, work: str, what: str, text: str, event: Event | None = None) -> bool:
        """An entry for answers that no finished step holds; False when there are none, and no entry."""
        loose = self.index.answered_without_entry(work)
        if not loose:
            return False
        begun = self.index.work(work)
        words = self._step_words(*begun[3:]) if begun is not None else "a step"
        marks = tuple(dict.fromkeys(mark for _, mark in loose))
        if event is not None:
            self._add(event, what, marks, f"{text}: {words}", work=work)
            number = event.seq
        else:
            number, at, by, doubt = self.index.answer_at(loose[-1][0])
            parts = tuple(OnPart(mark) for mark in marks)
            self.index.add(
                Entry(number, "", at, by, what, f"{text}: {words}", parts=parts, work=work, doubt=doubt)
            )
        self.index.give_these(number, loose)
        return True

    def _work_dropped(self, event: Event, body: e.WorkDropped) -> None:
        self._counts.pop(body.work, None)
        self._loose_answers(body.work, "put back", "Taken out of hand, not done", event)

    def _looked(self, event: Event, body: e.Looked) -> None:
        text = f"Looked at what was left in hand, {body.verdict}"
        if body.verdict == "not started":
            self._counts.pop(body.work, None)
            if self._loose_answers(body.work, "looked", text, event):
                return
        work = self.index.work(body.work)
        words = self._step_words(*work[3:]) if work is not None else "a step"
        self._add(event, "looked", (), f"{text}: {words}")

    def _step_skipped(self, event: Event, body: e.StepSkipped) -> None:
        words = self._step_words(body.procedure, body.step, body.text).rstrip(".")
        self._add(
            event,
            "skipped",
            (body.mark,),
            f"Skipped: {words}. Reason: {body.reason}",
            procedure=body.procedure,
            step=body.step,
        )

    def _step_reopened(self, event: Event, body: e.StepReopened) -> None:
        words = self._step_words(body.procedure, body.step, body.text).rstrip(".")
        self._add(event, "reopened", (body.mark,), f"To do again from: {words}. Reason: {body.reason}")
        self._back_to(event, body.mark, body.procedure, body.step)

    def _back_to(
        self, event: Event, mark: str, procedure: str, step: str, *, done_stands: bool = False
    ) -> None:
        """Everything from this step on is to do again, in this procedure and those begun after it; with
        ``done_stands`` nothing but a look at it, where it was not done yet."""
        standing = self.index.standing(mark)
        done = [row for row in standing if row[1] in ("step", "skipped")]
        last = {(row[2], row[3]): row[0] for row in done}
        begun = list(dict.fromkeys(row[2] for row in done))  # the procedures in the order they were begun
        after = begun[begun.index(procedure) + 1 :] if procedure in begun else []
        since = last.get((procedure, step))
        gone = {ref for ref, number in last.items() if ref[0] in after}
        gone |= {
            ref
            for ref, number in last.items()
            if ref[0] == procedure and since is not None and number >= since
        }
        if done_stands and procedure in begun and since is None:
            gone = set()
        kept = set(last) - gone
        ended = [
            number
            for number, what, of, one in standing
            if what == "part complete"
            or (of, one) in gone
            or (what == "second look" and (of, one) not in kept)
        ]
        self.index.end(mark, ended, event.seq, f"to do again since entry {event.seq}")

    def _place_answered(self, event: Event, body: e.PlaceAnswered) -> None:
        words = self._step_words(body.procedure, body.step)
        text = f"The procedure had changed; goes on at: {words} (revision {body.revision})"
        self._add(event, "place", (body.mark,), text)

    def _clock_answered(self, event: Event, body: e.ClockAnswered) -> None:
        words = self._step_words(body.procedure, body.step, body.text).rstrip(".")
        what = f"{body.what}, ran out {time_words(body.until)}, " if body.until is not None else ""
        back = ""
        if body.back_to_step:
            again = self._step_words(body.back_to_procedure or body.procedure, body.back_to_step, body.text)
            back = f". Sent back to: {again.rstrip('.')}"
            back_to = body.back_to_procedure or body.procedure, body.back_to_step
            self._back_to(event, body.mark, *back_to, done_stands=body.limits_go_on)
        self._add(
            event,
            "limit missed",
            (body.mark,),
            f"Time limit missed: {what}for {words}. Done: {body.did.rstrip('.') if back else body.did}{back}",
        )

    def _part_completed(self, event: Event, body: e.PartCompleted) -> None:
        open_items = f" with open: {'; '.join(body.open_items)}" if body.open_items else ""
        self._add(event, "part complete", (body.mark,), f"Declared complete by the builder{open_items}")

    def _snag_raised(self, event: Event, body: e.SnagRaised) -> None:
        words = self._step_words(body.procedure, body.step, body.words_kept).rstrip(".")
        at = f" (at {words})" if body.step else ""
        self._add(event, "snag", (body.mark,), f"Not right: {body.text}{at}")
        self.index.add_snag(body.snag, event.seq, event.id, body.mark, body.text)

    def _snag_decided(self, event: Event, body: e.SnagDecided) -> None:
        snag = self.index.snag(body.snag)
        about = f" of {snag[2]!r} (entry {snag[0]})" if snag is not None else ""
        role = f" ({body.accepted_role})" if body.accepted_role else ""
        text = f"Decided{about}: {body.decision}. Reason: {body.reason}."
        text += f" Accepted by {self.names.name(body.accepted_by)}{role}"
        if body.answer or body.answered_by:
            who = f"{self.names.name(body.answered_by)} ({body.answered_role})" if body.answered_by else ""
            text += f". Answer of {who or body.answered_role}: {body.answer}"
        if body.back_to_step:
            text += f". Work again from: {self._step_words(body.back_to_procedure, body.back_to_step)}"
        self._add(event, "decision", (snag[1],) if snag is not None else (), text)
        self.index.decide(body.snag, event.seq)
        for name, said_role in (
            (body.accepted_by, body.accepted_role),
            (body.answered_by, body.answered_role),
        ):
            if name and name not in self.shop.people:
                self.index.add_outsider(event.seq, name, said_role or "accepted a decision", "")
        if snag is not None and body.decision == "rework":
            back_to = body.back_to_procedure, body.back_to_step
            self._back_to(event, snag[1], *back_to, done_stands=body.limits_go_on)
        elif snag is not None and body.decision == "scrap and remake":
            gone = [row[0] for row in self.index.standing(snag[1])]
            self.index.end(snag[1], gone, event.seq, f"on the part that was scrapped, entry {event.seq}")

    def _hold_looked(self, event: Event, body: e.HoldLooked) -> None:
        looker = body.looker_name or self.names.name(body.looker)
        about = ", ".join(one for one in (body.standing, body.looker_number) if one)
        words = self._step_words(body.procedure, body.step, body.text).rstrip(".")
        who = f"{looker} ({about})" if about else looker
        text = f"Looked at before {words}: {who}: {body.finding}"
        if body.looker_name or body.looker != event.by:
            text = f"{text.rstrip('.')}. Typed in by {self.names.name(event.by)}"
        self._add(event, "second look", body.marks, text, procedure=body.procedure, step=body.step)
        if body.looker_name or body.looker not in self.shop.people:
            self.index.add_outsider(event.seq, looker, body.standing or "second look", body.looker_number)

    def _looked_over(self, event: Event, body: e.LookedOver) -> None:
        words = self._step_words(body.procedure, body.step, body.text)
        self._add(event, "look over", (body.mark,), f"Looked over: {words}")
        self.index.looked_over(event.seq, body.mark, body.procedure, body.step)

    def _room_cleared(self, event: Event, body: e.RoomCleared) -> None:
        self._add(event, "room cleared", (), f"Out of the room: {self._list(body.people)}")

    def _note_written(self, event: Event, body: e.NoteWritten) -> None:
        self._add(event, "note", (body.mark,) if body.mark else (), body.text)

    def _conditions_noted(self, event: Event, body: e.ConditionsNoted) -> None:
        self.index.add_room(event.seq, event.at, body.temperature_f, body.humidity_percent)
        self._add(event, "room", (), f"The room: {_room_words(body.temperature_f, body.humidity_percent)}")

    def _item(self, consumable: str) -> str:
        item = self.shop.consumables.get(consumable)
        return item.name if item is not None else consumable

    def _stock_counted(self, event: Event, body: e.StockCounted) -> None:
        item = self.shop.consumables.get(body.consumable)
        what = f" {item.unit} of {item.name} {TODAY}" if item is not None else f" of {body.consumable}"
        self._add(event, "stock", (), f"Counted: {figure(body.left)}{what}")

    def _wished(self, event: Event, body: e.Wished) -> None:
        until = "for this day" if body.day else "until it is taken back"
        marks = (body.mark,) if body.mark else ()
        self._add(event, "asked for", marks, f"Asked, {self._wish_words(body)}, {until}")

    def _wish_taken_back(self, event: Event, body: e.WishTakenBack) -> None:
        whose = "" if body.person == event.by else f", which {self.names.name(body.person)} had asked for"
        marks = (body.mark,) if body.mark else ()
        self._add(event, "asked for", marks, f"Taken back, {self._wish_words(body)}{whose}")

    def _wish_words(self, body: e.Wished | e.WishTakenBack) -> str:
        kind = self.shop.kinds.get(body.part_kind)
        of_kind = f"every {kind.name} {TODAY}" if kind is not None else f"every {body.part_kind}"
        return f"{body.wish}: {body.mark or of_kind}"

    def _trial_bent(self, event: Event, body: e.TrialBent) -> None:
        self._add(event, "trial", (body.mark,) if body.mark else (), _strip_words(body))
        if body.work and not body.again:
            self._last_trials[(body.work, body.mark)] = event.id

    def _trial_retracted(self, event: Event, body: e.TrialRetracted) -> None:
        what = self.index.take_back_strip(body.trial, event.seq)
        if body.corrected is not None:
            marks = (body.corrected.mark,) if body.corrected.mark else ()
            text = f"{_strip_words(body.corrected)}, as corrected, was trial strip {body.number}"
            self._add(event, "corrected", marks, f"{text}. Reason: {body.why}")
            return
        self._add(
            event, "trial", (), f"No longer counted: {what or f'trial strip {body.number}'}: {body.why}"
        )

    def _corrected(self, event: Event, body: e.Corrected) -> None:
        step = self._step_words(body.procedure, body.step).rstrip(".")
        if body.what == "figure":
            now = _with_unit(body.text, body.value, body.unit)
            text = f"{body.ask} {now}, was {body.was}, of: {step}. Reason: {body.reason}"
            text += "".join(f". {_strip_words(strip)}, as corrected" for strip in body.strips)
            self._add(event, "corrected", body.marks, text)
            given = Given(
                number=event.seq,
                at=event.at,
                by=event.by,
                mark=body.given_on,
                asked=body.ask,
                said=_with_unit(body.text, body.value, body.unit),
                wanted=body.lot or (f"wanted: {body.wanted}" if body.wanted else ""),
                lot=body.text if body.lot else "",
                passed=body.passed,
                doubt=self._doubt(event),
                why=body.reason,
            )
            self.index.correct_answer(event.id, body.finished, body.work, body.check, given)
        else:
            what = "done on" if body.what == "day" else "took"
            text = f"{step}: {what} {body.text}, was {body.was}. Reason: {body.reason}"
            self._add(event, "corrected", body.marks, text)
            fix = Fix(event.seq, body.what, body.text, body.was, body.reason)
            self.index.correct_entry(event.id, body.finished, fix, body.value)
        for _, trial in body.retracts:
            self.index.take_back_strip(trial, event.seq)

    def _undone(self, event: Event, body: e.Undone) -> None:
        for counted in self._counts.values():
            for mark, counts in counted.items():
                counted[mark] = [one for one in counts if one[0] != body.event]
        strip = self._trials_with.pop(body.event, None)  # the last trial goes back with its step
        events = [body.event, *([strip] if strip is not None else [])]
        what = [found for one in events if (found := self.index.take_back(one, event.seq))]
        if what:
            self._add(event, "taken back", (), f"Took back {'; and '.join(what)}")

    def _list(self, people: Sequence[str]) -> str:
        return ", ".join(self.names.name(person) for person in people)


def _said(body: e.Answered, check: Mapping[str, Any]) -> str:
    """An answer as it was typed, with its unit; and as a number where it was typed otherwise."""
    if body.value is None or check.get("kind") != "measure":
        return body.text
    return _with_unit(body.text, body.value, check.get("unit", "in"))


def _with_unit(text: str, value: float | None, unit: str) -> str:
    if value is None or unit in ("", "count"):
        return text
    try:
        plain = float(text) == value
    except ValueError:
        plain = False
    return f"{text} {unit}" if plain else f"{text} ({figure(value)} {unit})"


def _room_words(temperature_f: float | None, humidity_percent: float | None) -> str:
    temperature = f"{figure(temperature_f)} F" if temperature_f is not None else ""
    humidity = f"{figure(humidity_percent)} % humidity" if humidity_percent is not None else ""
    return ", ".join(one for one in (temperature, humidity) if one)


def _renamed_words(body: e.Renamed) -> str:
    """What was called otherwise from here on: the entries before keep the names that they were made under."""
    pairs = [
        f"{former} is {now}" for former, now in {**body.procedures, **body.part_kinds, **body.marks}.items()
    ]
    pairs += [f"{one.former} of {one.procedure} is {one.step}" for one in body.steps]
    return f"Renamed in the shop's files: {'; '.join(pairs)}"


def _strip_words(body: e.TrialBent) -> str:
    return (
        f"Trial strip {body.alloy} {body.thickness_in:.3f} in over {body.inside_radius_in:.3f} in:"
        f" flat {body.flat_length_in:.3f} in, legs {body.leg_a_in:.3f} and {body.leg_b_in:.3f} in,"
        f" {body.angle_deg:.1f} degrees at a setting of {body.set_angle_deg:.1f}"
        + (f", bent {body.grain} the grain" if body.grain else "")
    )


_TAKE: dict[type[e.Body], Callable[[_Reader, Event, Any], None]] = {
    e.ProcedureKept: _Reader._procedure_kept,
    e.RunStarted: _Reader._run_started,
    e.ClockMarked: _Reader._clock_marked,
    e.SittingOpened: _Reader._sitting_opened,
    e.SittingClosed: _Reader._sitting_closed,
    e.SittingCut: _Reader._sitting_cut,
    e.ScreenLost: _Reader._screen_lost,
    e.RecordPutBack: _Reader._record_put_back,
    e.Renamed: _Reader._renamed,
    e.PersonCame: _Reader._person_came,
    e.PersonWent: _Reader._person_went,
    e.WorkStarted: _Reader._work_started,
    e.Answered: _Reader._answered,
    e.Counted: _Reader._counted,
    e.StepFinished: _Reader._step_finished,
    e.WorkDropped: _Reader._work_dropped,
    e.Looked: _Reader._looked,
    e.StepSkipped: _Reader._step_skipped,
    e.StepReopened: _Reader._step_reopened,
    e.PlaceAnswered: _Reader._place_answered,
    e.ClockAnswered: _Reader._clock_answered,
    e.PartCompleted: _Reader._part_completed,
    e.SnagRaised: _Reader._snag_raised,
    e.SnagDecided: _Reader._snag_decided,
    e.HoldLooked: _Reader._hold_looked,
    e.LookedOver: _Reader._looked_over,
    e.RoomCleared: _Reader._room_cleared,
    e.NoteWritten: _Reader._note_written,
    e.ConditionsNoted: _Reader._conditions_noted,
    e.StockCounted: _Reader._stock_counted,
    e.Wished: _Reader._wished,
    e.WishTakenBack: _Reader._wish_taken_back,
    e.TrialBent: _Reader._trial_bent,
    e.TrialRetracted: _Reader._trial_retracted,
    e.Corrected: _Reader._corrected,
    e.Undone: _Reader._undone,
}
