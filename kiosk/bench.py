"""The one façade that screens and commands talk to: a shop, its record, and the only way to write."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.record import rules
from kiosk.record.events import (
    AnyBody,
    ConditionsNoted,
    Event,
    NoteWritten,
    PersonCame,
    PersonWent,
    RoomCleared,
    SittingClosed,
    SittingCut,
    StockCounted,
    TrialBent,
)
from kiosk.record.journal import Clocks, Record
from kiosk.record.position import Position, position
from kiosk.record.presence import Presence
from kiosk.record.readiness import must_leave_room
from kiosk.record.rules import Context, Refused
from kiosk.record.state import State, Undoable, Work
from kiosk.shop.kept import open_shop
from kiosk.shop.shop import Person, Shop
from kiosk.views.momentum import SMALL_MINUTES, momentum, momentum_lines
from kiosk.views.place_card import PlaceCard, place_card

if TYPE_CHECKING:  # loaded when they are asked for: a start does without them
    from kiosk.planning.forecast.past_forecasts import BackTest
    from kiosk.planning.forecast.simulation import Forecast, WhatIf
    from kiosk.planning.spare import SpareAnswer
    from kiosk.views.board import BoardRow, KindCount
    from kiosk.views.close_up import CloseUp
    from kiosk.views.step import StepView

RECORD_FILE = "record.db"
SCREENS_FOLDER = ".screens"
LOGBOOK_FOLDER = "logbook"

Decide = Callable[[Context, State], Sequence[AnyBody]]


class Bench:
    """A shop and its record. Every method that changes something records it before it returns.

    Raises ShopFaults when the shop cannot be read, RecordingStopped when the record cannot be written, and
    Refused when a tap is stale or against a rule; nothing is recorded then.
    """

    def __init__(self, folder: Path, clocks: Clocks | None = None, *, watch: bool = False) -> None:
        self.shop: Shop = open_shop(folder)
        self.record = Record(folder / RECORD_FILE, clocks)
        self.presence = Presence(folder / SCREENS_FOLDER, self.record.run) if watch else None
        # Whose aeroplane it is: forecasts are for their hands, whoever has the screen.
        self.builder = next(person for person in self.shop.file.people if person.role == "builder")
        self.doer_id = self.builder.id
        self._waiting_people: tuple[str, ...] = (self.builder.id,)
        if self.presence is not None:
            self._note_cut()

    def _note_cut(self) -> None:
        """When a sitting is open and no screen is alive that could hold it, it was cut short."""
        if self.record.state.sitting is None:
            return
        presence = self.presence
        assert presence is not None

        def decide(state: State) -> list[AnyBody]:
            cut = state.sitting is not None and not presence.others_alive()
            return [SittingCut()] if cut else []

        self.record.transact(decide, by=self.doer_id)

    # What is so

    @property
    def state(self) -> State:
        """The state folded from the record."""
        return self.record.state

    @property
    def now(self) -> datetime:
        """Wall time."""
        return self.record.clocks.now()

    @property
    def doer(self) -> Person:
        """Whose hands are on the screen."""
        return self.shop.people[self.doer_id]

    @property
    def people(self) -> list[Person]:
        """Who is at the bench, or will be when the sitting opens."""
        sitting = self.state.sitting
        ids = sitting.people if sitting is not None else self._waiting_people
        return [self.shop.people[person] for person in ids if person in self.shop.people]

    def refresh(self) -> bool:
        """Take in what another screen wrote. True when something changed."""
        return self.record.refresh()

    def place_card(self) -> PlaceCard:
        """Where the work stands and what to do next."""
        return place_card(self.shop, self.state, now=self.now, people=self.people, doer=self.doer)

    def step_view(self, work_id: str) -> StepView:
        """The step in hand. Raises Refused when it is gone."""
        from kiosk.views.step import step_view

        work = self.work(work_id)
        try:
            return step_view(
                self.shop,
                self.state,
                work,
                doer=self.doer,
                monotonic_s=self.record.clocks.monotonic_s(),
                run=self.record.run,
            )
        except KeyError:
            raise Refused(
                "this step is no longer in the procedure", "the place card asks where to go on"
            ) from None

    def work(self, work_id: str) -> Work:
        """The work with this id. Raises Refused when it was finished or put back."""
        work = self.state.works.get(work_id)
        if work is None:
            raise Refused("this step was finished or put back on another screen", "look at the place card")
        return work

    def board(self, kind: str | None = None) -> list[BoardRow]:
        """A row for each part."""
        from kiosk.views.board import board

        return board(self.shop, self.state, now=self.now, people=self.people, doer=self.doer, kind=kind)

    def kind_counts(self) -> list[KindCount]:
        """How far each kind is."""
        from kiosk.views.board import kind_counts

        return kind_counts(self.shop, self.state)

    def standing_with(self, mark: str) -> tuple[str, ...]:
        """Parts that can go through the same step with this one."""
        from kiosk.views.board import standing_with

        return standing_with(self.shop, self.state, mark)

    def position(self, mark: str) -> Position:
        """Where one part stands."""
        return position(self.shop, self.state, mark)

    def spare(self, minutes: int) -> SpareAnswer:
        """The best use of a few minutes."""
        from kiosk.planning.spare import spare

        return spare(
            self.shop,
            self.state,
            now=self.now,
            people=self.people,
            doer=self.doer,
            minutes=minutes,
        )

    def forecasts(self, kind: str | None = None, trials: int = 1000) -> list[tuple[str, Forecast]]:
        """Hours left and finish date of a kind or of the aeroplane, as it goes now and with each what-if."""
        from kiosk.planning.forecast.simulation import forecast_table
        from kiosk.views.forecast_text import WHAT_IFS

        return forecast_table(
            self.shop, self.state, WHAT_IFS, now=self.now, doer=self.builder, kind_id=kind, trials=trials
        )

    def forecast(self, kind: str | None, what_if: WhatIf) -> Forecast:
        """Hours left and finish date with one what-if."""
        from kiosk.planning.forecast.simulation import forecast

        return forecast(self.shop, self.state, now=self.now, doer=self.builder, kind_id=kind, what_if=what_if)

    def back_test(self) -> BackTest:
        """How the forecasts of past weeks did."""
        from kiosk.planning.forecast.past_forecasts import back_test

        state = self.state
        today = self.now.astimezone().date()
        return back_test(state.minutes_by_day, state.planned_by_day, today)

    def write_logbook(self, folder: Path | None = None, trials: int = 1000) -> list[Path]:
        """Print the record to the shop's logbook folder. Raises KioskError when the disk refuses."""
        # Rarely wanted, so its libraries are not loaded at every start.
        from kiosk.logbook.entries import entries
        from kiosk.logbook.page import Logbook
        from kiosk.logbook.write import write_logbook

        journal = self.record.journal
        book = Logbook(
            shop=self.shop,
            made_at=self.now,
            rows=self.board(),
            entries=entries(self.shop, journal.stream()),
            forecasts=self.forecasts(trials=trials),
            past=self.back_test(),
            unbroken=journal.first_bad_event() is None,
        )
        return write_logbook(book, folder or self.shop.folder / LOGBOOK_FOLDER)

    def momentum_lines(self) -> list[str]:
        """What keeps the work going, for the place card."""
        found = momentum(self.state, self.now)
        small = self.spare(SMALL_MINUTES) if found.long_gap else None
        return momentum_lines(found, small)

    def close_up_view(self) -> CloseUp:
        """What closing up now would leave behind."""
        from kiosk.views.close_up import close_up

        return close_up(self.shop, self.state, now=self.now)

    def latest_undoable(self) -> Undoable | None:
        """What the undo key would take back."""
        return rules.latest_undoable(self.state)

    # What is done

    def _do(self, decide: Decide, tap: str | None = None) -> list[Event]:
        """Decide and record in one transaction, opening the sitting first where none is open."""

        def on(state: State) -> list[AnyBody]:
            opening: list[AnyBody] = []
            if state.sitting is None:
                opening = rules.open_sitting(state, self._waiting_people)
            context = Context(
                shop=self.shop,
                now=self.now,
                monotonic_s=self.record.clocks.monotonic_s(),
                run=self.record.run,
                people=self.people,
                doer=self.doer,
            )
            bodies = list(decide(context, state))
            return [*opening, *bodies] if bodies else []

        return self.record.transact(on, by=self.doer_id, id=tap)

    def start(self, marks: Sequence[str], procedure: str, step: str, tap: str | None = None) -> str:
        """Begin a step on parts; gives the id of the work."""
        self._do(lambda context, state: rules.start_work(context, state, marks, procedure, step), tap)
        work = self.state.part(marks[0]).work
        if work is None:
            raise Refused("the step is not in hand", "look at the place card")
        return work

    def take_up(self, work_id: str, tap: str | None = None) -> None:
        """Carry on with a step in hand: its clock runs again."""
        self._do(lambda _, state: rules.resume(state, work_id), tap)

    def acknowledge(self, work_id: str, tap: str | None = None) -> None:
        """The cautions on the screen were read."""
        self._do(lambda context, state: rules.acknowledge(context, state, work_id), tap)

    def turn_to(self, work_id: str, mark: str) -> None:
        """Take another piece of the batch in hand."""
        self._do(lambda _, state: rules.turn_to(state, work_id, mark))

    def count(self, work_id: str, mark: str, to: int, tap: str | None = None) -> None:
        """The sub-count is now ``to``."""
        self._do(lambda context, state: rules.count(context, state, work_id, mark, to), tap)

    def type_draft(self, work_id: str, mark: str, check: str, text: str) -> None:
        """A figure is half typed."""
        self._do(lambda _, state: rules.type_draft(state, work_id, mark, check, text))

    def answer(self, work_id: str, mark: str, check: str, text: str, tap: str | None = None) -> None:
        """A check was answered."""
        self._do(lambda context, state: rules.answer(context, state, work_id, mark, check, text), tap)

    def finish(self, work_id: str, mark: str, tap: str | None = None) -> None:
        """The step is done on this piece, or on all together."""
        self._do(lambda context, state: rules.finish_step(context, state, work_id, mark), tap)

    def pause(self, work_id: str) -> None:
        """Stop the step's clock."""
        self._do(lambda _, state: rules.pause(state, work_id))

    def put_back(self, work_id: str, tap: str | None = None) -> None:
        """Take parts out of hand as not begun."""
        self._do(lambda _, state: rules.put_back(state, work_id), tap)

    def set_aside(self, work_id: str) -> None:
        """Take parts out of a step that is no longer in its procedure."""
        self._do(lambda context, state: rules.set_aside(context.shop, state, work_id))

    def looked(self, work_id: str, *, as_shown: bool, tap: str | None = None) -> None:
        """A person looked at what a power cut left."""
        self._do(lambda _, state: rules.looked(state, work_id, as_shown=as_shown), tap)

    def skip(self, mark: str, reason: str) -> None:
        """Leave out the next step for a reason."""
        self._do(lambda context, state: rules.skip_step(context, state, mark, reason))

    def reopen(self, mark: str, procedure: str, step: str, reason: str) -> None:
        """A recorded step turned out not to be done."""
        self._do(lambda _, state: rules.reopen_step(state, mark, procedure, step, reason))

    def answer_place(self, mark: str, step: str) -> None:
        """Where to go on after a step vanished from the procedure."""
        self._do(lambda context, state: rules.answer_place(context, state, mark, step))

    def answer_clock(self, mark: str) -> None:
        """A missed time limit was dealt with as the procedure says."""
        self._do(lambda context, state: rules.answer_clock(context, state, mark))

    def complete(self, mark: str, tap: str | None = None) -> None:
        """Declare a part finished."""
        self._do(lambda context, state: rules.complete_part(context, state, mark), tap)

    def raise_snag(self, mark: str, text: str, tap: str | None = None) -> None:
        """Something is not right on a part."""
        self._do(lambda context, state: rules.raise_snag(context, state, mark, text), tap)

    def decide_snag(
        self, snag: str, decision: str, reason: str, back_to: tuple[str, str] | None = None
    ) -> None:
        """Use as is, rework, or scrap and remake."""
        self._do(lambda context, state: rules.decide_snag(context, state, snag, decision, reason, back_to))

    def hold_look(self, marks: Sequence[str], looker: str, finding: str) -> None:
        """A second person looked."""
        self._do(lambda context, state: rules.hold_look(context, state, marks, looker, finding))

    def undo(self, event: str) -> None:
        """Take back an event."""
        self._do(lambda _, state: rules.undo(state, event))

    def note(self, text: str, mark: str = "") -> None:
        """Write a note."""
        if text.strip():
            self._do(lambda _, __: [NoteWritten(text=text.strip(), mark=mark)])

    def note_conditions(self, temperature_f: float | None, humidity_percent: float | None) -> None:
        """Record the room as read off the instruments."""
        self._do(
            lambda _, __: [ConditionsNoted(temperature_f=temperature_f, humidity_percent=humidity_percent)]
        )

    def count_stock(self, consumable: str, left: float) -> None:
        """Record how much of a consumable is left."""
        self._do(lambda _, __: [StockCounted(consumable=consumable, left=left)])

    def add_trial(self, strip: TrialBent) -> None:
        """Record a trial strip. Raises OutOfRange when its figures cannot be."""
        from kiosk.views.trial import trial_fit

        trial_fit([strip])
        self._do(lambda _, __: [strip])

    def set_present(self, person: str, present: bool) -> None:
        """Somebody came to the bench or went."""
        if person not in self.shop.people:
            raise Refused(f"nobody is called {person!r}", "add them to shop.yaml")
        here = [one.id for one in self.people]
        if (person in here) == present:
            return
        if not present and len(here) == 1:
            raise Refused("somebody has to be at the bench", "close up instead")
        if self.state.sitting is None:
            self._waiting_people = (*here, person) if present else tuple(one for one in here if one != person)
        else:
            body: AnyBody = PersonCame(person=person) if present else PersonWent(person=person)
            self._do(lambda _, __: [body])
        if not present and self.doer_id == person:
            self.doer_id = self.people[0].id

    def hand_over(self, person: str, pin: str = "") -> None:
        """The screen now belongs to this person. Raises Refused when their PIN is wanted and is not this."""
        wanted = self.shop.people[person].pin
        if wanted is not None and person != self.doer_id and pin != wanted:
            raise Refused(f"{self.shop.people[person].name}'s PIN is not right", "type it again")
        if person not in [one.id for one in self.people]:
            self.set_present(person, True)
        self.doer_id = person

    def look_over(self, mark: str, procedure: str, step: str, *, good: bool) -> None:
        """The builder looks over what a helper did."""
        self._do(lambda context, state: rules.look_over(context, state, mark, procedure, step, good=good))

    def wants_look(self) -> list[tuple[str, str, str]]:
        """Mark, procedure and step of everything that a helper did and the builder has not looked over."""
        return [
            (part.mark, *one.split("/", 1))  # type: ignore[misc]
            for part in self.state.parts.values()
            for one in part.wants_look
        ]

    def clear_room(self, procedure: str, step_id: str) -> None:
        """An adult confirms that those too young for a step are out of the room."""
        step = self.shop.procedures[procedure].step(step_id)
        if step is None:
            return
        out = must_leave_room(self.shop, step, self.people, self.doer, self.now)
        if self.doer.age(self.now.astimezone().date()) < 18:
            raise Refused("an adult confirms this", "ask the builder")
        self._do(lambda _, __: [RoomCleared(people=tuple(person.id for person in out))])

    def close_sitting(self, note: str) -> None:
        """Close up: every clock stops and the place is kept."""
        if self.state.sitting is None:
            return
        view = self.close_up_view()
        left = (*view.must_not, *view.may)
        body = SittingClosed(note=note.strip(), left=left, next_step=view.next_step)
        self._do(lambda _, __: [body])

    def close(self) -> None:
        """Let go of the record."""
        self.record.close()
        if self.presence is not None:
            self.presence.close()


def new_tap() -> str:
    """An id for one tap, made by the screen, so that a tap is never recorded twice."""
    return uuid.uuid4().hex
