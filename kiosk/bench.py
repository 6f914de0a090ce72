"""The one façade that screens and commands talk to: a shop, its record, and the only way to write."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import contextmanager, nullcontext, suppress
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Concatenate, ParamSpec

from kiosk.catalogue import written_down
from kiosk.errors import KioskError
from kiosk.record.apply import copied
from kiosk.record.authority import is_adult, runs_in_room, still_in_room
from kiosk.record.batch import GoesOn, goes_on, members
from kiosk.record.belief import Doubt, age_of, jumped
from kiosk.record.context import NOBODY, Context, Kept, nobody
from kiosk.record.events import (
    AnyBody,
    ClockSet,
    Event,
    PersonCame,
    PinTried,
    Renamed,
    SittingOpened,
    SnagRaised,
    TrialBent,
    WorkPaused,
)
from kiosk.record.journal import Clocks, Progress, Record
from kiosk.record.of_part import events_of_part, marks_of_part
from kiosk.record.past_step import PastStep, past_step
from kiosk.record.position import Position, has_to_end, position
from kiosk.record.presence import Presence
from kiosk.record.readiness import in_hand_could_not_follow, lacking_in_hand, told_first, too_loud_but
from kiosk.record.recent import recent_words
from kiosk.record.rename import rename, renamed_since
from kiosk.record.rules import (
    Bodies,
    Refused,
    WrongPin,
    batches,
    clocks,
    corrections,
    parts,
    people,
    snags,
    steps,
    things,
    trials,
    why_not,
    wishes,
)
from kiosk.record.rules.door import no_longer_in_hand
from kiosk.record.rules.pin import is_guarded, seconds_to_wait
from kiosk.record.rules.snags import NOT_SAID, Accepted
from kiosk.record.since import parts_without_a_place
from kiosk.record.sittings import is_left_alone
from kiosk.record.state import ClockReading, Outsider, PinTries, State, Trial, Undoable, Wish, Work
from kiosk.record.stopped import CannotWrite, RecordBusy, RecordingStopped
from kiosk.record.troubles import disk_full, has_room
from kiosk.record.wishes import wishes_now
from kiosk.record.worked import cut_short, lost
from kiosk.shop.fitted import Fitted
from kiosk.shop.kept import open_shop
from kiosk.shop.procedure import StepRef
from kiosk.shop.shop import Person, Shop
from kiosk.shop.watch import FilesWatch
from kiosk.views.momentum import SMALL_MINUTES, MomentumWords, momentum, momentum_words
from kiosk.views.place_card import PlaceCard, place_card

if TYPE_CHECKING:  # loaded when they are asked for: a start does without them
    from kiosk.logbook.life import LifeEntry
    from kiosk.planning.forecast.past_forecasts import BackTest
    from kiosk.planning.forecast.simulation import Forecast, Stop, WhatIf
    from kiosk.planning.put_away import PutAway
    from kiosk.planning.spare import SpareAnswer
    from kiosk.record.alike import Alike
    from kiosk.record.checking import BackgroundCheck, Checked
    from kiosk.record.close_up_copy import CloseUpCopy
    from kiosk.record.half_typed import HalfTypedWords
    from kiosk.views.ahead import Ahead
    from kiosk.views.board import BoardRow, KindCount, Narrowed
    from kiosk.views.clock_question import ClockQuestion
    from kiosk.views.close_up import CloseUp
    from kiosk.views.place_question import PlaceQuestion
    from kiosk.views.step import StepView
    from kiosk.views.step_drawing import StepDrawingView
    from kiosk.views.undo_words import UndoOffer

RECORD_FILE = "record.db"
SCREENS_FOLDER = ".screens"
LOGBOOK_FOLDER = "logbook"

PRESSES_TOLD_EVERY_S = 30.0  # often enough to tell an hour without one
MOST_CHANGES_SAID = 3  # on the place card, which has other things to say
# Nothing is begun by them: nobody would close up after half-typed words, or after a note on leaving.
_OPEN_NO_SITTING: tuple[Callable[..., Bodies], ...] = (things.type_words,)

P = ParamSpec("P")


class Bench:
    """A shop and its record. Every method that changes something records it before it returns; it takes
    the id of the tap it comes from, so that a tap tried again is never recorded twice.

    Raises ShopFaults when the shop cannot be read, RecordingStopped when the record cannot be written, and
    Refused when a tap is stale or against a rule; nothing is recorded then. ``watch`` is for a screen: it is
    seen by the others, and copies the record when it closes up. ``reading`` is for what records nothing: it
    writes nothing either, and opens where nothing can be written. ``progress`` hears of a long reading.
    """

    def __init__(
        self,
        folder: Path,
        clocks: Clocks | None = None,
        *,
        watch: bool = False,
        reading: bool = False,
        progress: Progress | None = None,
    ) -> None:
        self._kept_wrong: list[str] = []  # what was kept for a quick start and was thrown away
        self._shop: Shop = open_shop(folder, self._kept_wrong.append)
        self._trials_told: tuple[Trial, ...] = ()  # those that the shop's figures know of
        self._kept = Kept()  # from one look to the next
        self._kept_apart = Kept()  # the same in another thread, while it has the lock
        self._one_apart = Lock()
        self.record = Record(folder / RECORD_FILE, clocks, reading=reading, progress=progress)
        if self.record.snapshot_wrong:
            self._kept_wrong.append(
                f"the record's snapshot was wrong ({self.record.snapshot_wrong}): its entries were read anew"
            )
        self._files = FilesWatch(self._shop, self.record.clocks.monotonic_s()) if watch else None
        self._watches = watch
        self.presence = self._present() if watch else None
        self._pressed_s: float | None = None  # when something was last pressed here; None: nothing yet
        self.just_paused: tuple[str, ...] = ()  # parts whose step the last act here paused
        self._waiting_people: tuple[str, ...] = ()  # who will be here when the sitting opens
        self._said_here: tuple[str, ...] = ()  # of them, those of whom it was said at this screen
        self._were_here: tuple[str, ...] = ()  # in the sitting that was open at the last look
        self._left_alone = 0  # the sitting that ended by itself, until that is recorded
        self._seen_left_alone = 0  # how many had when something was last pressed here
        self._check: BackgroundCheck | None = None
        self._copy: CloseUpCopy | None = None
        # Whose aeroplane it is: forecasts are for their hands, whoever has the screen.
        self.builder = next(person for person in self.shop.file.people if person.role == "builder")
        self._wrong_seen: dict[str, tuple[PinTries, float]] = {}
        self._see_wrong_pins(self.record.clocks.monotonic_s())
        self._come_in()
        self._names_to_record: Renamed | None = None  # what a full disk did not take yet
        self._follow_names()
        self._renames = self.state.renames  # the names that these files go by
        if self.presence is not None:
            with suppress(RecordBusy, CannotWrite):  # a screen opens all the same, and says so
                self._note_cut()
                self._note_lost_screens()
        self._keep_the_young()
        self._sitting = self._sitting_now
        self._clock_asked: ClockReading | None = None
        self._without_a_place: tuple[int, tuple[str, ...]] | None = None

    def _present(self) -> Presence | None:
        """This screen among the others; none where nothing can be written, which the screen then says."""
        folder = self._shop.folder / SCREENS_FOLDER
        try:
            return Presence(folder, self.record.run)
        except OSError as error:
            if self.record.cannot_write is not None:
                return None
            raise KioskError(f"{folder} cannot be written ({error.strerror})", "check the disk") from None

    def _come_in(self) -> None:
        """Before anybody said otherwise the builder is here with the screen; with a PIN nobody. Nobody too
        where the builder had gone and others were still here: a child alone is not the builder."""
        sitting = self.state.sitting
        here = sitting.people if sitting is not None else self._were_here or self._waiting_people
        self._waiting_people = self._said_here = ()
        if here and self.builder.id not in here:
            self.doer_id = NOBODY
            return
        # Who only reads does nothing that a PIN guards: things are told as they stand for the builder.
        reading = self.record.journal.reading
        self.doer_id = self.builder.id if reading else people.hands_at_first(self.state, [self.builder])
        if self.doer_id != NOBODY:
            self._waiting_people = (self.builder.id,)
        self._keep_the_young()

    def _keep_the_young(self) -> None:
        """Who was here as the last sitting was cut short and is not of age is here still: nobody saw them go.
        Of an adult it is said anew, for their presence lets others do more."""
        left = self.state.left
        if self.state.sitting is not None or left is None or left.left_alone:
            return
        people = [self.shop.people[one] for one in left.people if one in self.shop.people]
        young = tuple(one.id for one in people if not is_adult(self.context, one))
        self._waiting_people = tuple(dict.fromkeys((*self._waiting_people, *young)))
        self._said_here = tuple(dict.fromkeys((*self._said_here, *young)))

    @property
    def doer_id(self) -> str:
        """Whose hands are on the screen, by id."""
        return self._doer_id

    @doer_id.setter
    def doer_id(self, person: str) -> None:
        self._doer_id = person
        self._guarded_by = self.state.secret_of(person)

    def _follow_names(self) -> None:
        """Take the names that the files give things now into the record, where they say what they were."""

        def decide(state: State) -> list[AnyBody]:
            renamed = renamed_since(self.shop, state)
            return [renamed] if renamed is not None else []

        body = renamed_since(self.shop, self.state)
        if body is None:
            return
        try:
            self.record.transact(decide, by=self.doer_id, tap=None)
        except RecordingStopped:
            # Nothing can be written: what is shown still goes by today's names, and they are recorded before
            # the first thing that can be.
            rename(self.state, body)
            self._names_to_record = body
            self.record.is_as_recorded = False

    @property
    def _sitting_now(self) -> int:
        """The number of the open sitting; 0 while none is."""
        return self.state.sittings if self.state.sitting is not None else 0

    def _follow_sitting(self) -> None:
        """Once a sitting is closed, on whatever screen, nobody here is still who they were."""
        if self._sitting not in (0, self._sitting_now):
            self._come_in()
        self._sitting = self._sitting_now
        self._were_here = self.state.sitting.people if self.state.sitting is not None else ()

    # Nobody is there any more

    def pressed(self) -> bool:
        """Somebody pressed something at this screen. True when nobody had for so long, at any screen, that
        they begin anew: the sitting has ended by itself, and the screen is whose it is at a start. True too
        when that was so at another screen since; or when nobody had at this one, and a PIN guards it.

        Recorded at once, or where that cannot be, before the next act. It never raises.
        """
        now_s = self.record.clocks.monotonic_s()
        if self._pressed_s is not None and now_s - self._pressed_s < PRESSES_TOLD_EVERY_S:
            return False
        # A screen that was just opened, with no sitting, is at its start already.
        at_start = self._pressed_s is None and self.state.sitting is None
        alone = not at_start and self._is_left_alone(self.state)
        alone_here = self._pressed_s is not None and is_left_alone(self.state, now_s - self._pressed_s)
        elsewhere = self._pressed_s is not None and self.state.left_alone != self._seen_left_alone
        self._pressed_s = now_s
        if alone and self.state.sitting is not None:
            self._left_alone = self.state.sittings
        if alone:
            self._come_in()
            with suppress(RecordingStopped):
                self._end_what_was_left_alone()
        self._seen_left_alone = self.state.left_alone
        # Others were pressed meanwhile, so the sitting goes on; a PIN guards the hands at this one.
        taken_away = alone_here and not alone and self.rest()
        if self.presence is not None:
            self.presence.pressed(self.record.boot, now_s)
        return alone or elsewhere or taken_away

    @property
    def is_left_alone(self) -> bool:
        """True when whoever presses something now begins anew."""
        return self._is_left_alone(self.state)

    def _is_left_alone(self, state: State, *, here: bool = True) -> bool:
        """Whether nobody pressed anything for long: here, at another screen, or for the record."""
        now = self.record.reading()
        pressed = [self._pressed_s] if here and self._pressed_s is not None else []
        if self.presence is not None:
            with suppress(OSError):
                elsewhere = self.presence.last_pressed_s(now.boot)
                pressed += [] if elsewhere is None else [elsewhere]
        quiet_s = [now.monotonic_s - one for one in pressed]
        age = age_of(state.last_tap.clocks, now) if state.last_tap is not None else None
        quiet_s += [] if age is None else [age.total_seconds()]
        if not quiet_s:
            return not here  # nobody else was there at all
        return is_left_alone(state, min(quiet_s))

    def _end_what_was_left_alone(self) -> None:
        """Record that the sitting ended by itself, unless somebody went on with it at another screen."""
        number, self._left_alone = self._left_alone, 0
        if not number:
            return

        def decide(state: State) -> list[AnyBody]:
            # Others may have gone on with it since the press: those are asked, and the record.
            still = state.sitting is not None and state.sittings == number
            ended = still and self._is_left_alone(state, here=False)
            return [cut_short(state, left_alone=True)] if ended else []

        try:
            self.record.transact(decide, by=self.doer_id, tap=None)
        except RecordingStopped:
            self._left_alone = number
            raise
        self._sitting = self._sitting_now
        self._seen_left_alone = self.state.left_alone

    def rest(self) -> bool:
        """Nobody is at this screen: where a PIN guards anybody's hands, it is whose it is at a start. True
        when it was somebody's."""
        before = self.doer_id
        if self.state.secret_of(before) or is_guarded(self.context):
            self.doer_id = people.hands_at_first(self.state, self.people)
        return self.doer_id != before

    def _follow_pin(self) -> None:
        """Who was given the screen before a PIN was set on them, or another one, has to type it."""
        if self._guarded_by != self.state.secret_of(self.doer_id):
            self.doer_id = NOBODY

    def _bring_who_waits(self) -> bool:
        """Somebody young who was said here to be at the bench is in the sitting that began at another screen,
        which knew nothing of them: what is begun there asks who is in the room. An adult says so anew, for
        their presence lets others do more. True when somebody was brought in."""

        def decide(state: State) -> list[AnyBody]:
            if state.sitting is None:
                return []
            missing = [self.shop.people[one] for one in self._said_here if one in self.shop.people]
            young = (one for one in missing if one.id not in state.sitting.people)
            return [PersonCame(person=one.id) for one in young if not is_adult(self.context, one)]

        if self.state.sitting is None or not self._said_here:
            return False
        events = self.record.transact(decide, by=self.doer_id, tap=None, act=people.come.__name__)
        self._said_here = ()
        return bool(events)

    def _follow_people(self) -> None:
        """Hands of somebody who is not at the bench are nobody's: another screen began a sitting without
        them, or it was said there that they went."""
        sitting = self.state.sitting
        if sitting is not None and self.doer_id not in (NOBODY, *sitting.people):
            self.doer_id = NOBODY

    def _note_cut(self) -> None:
        """A sitting that is open was cut short when no screen is alive that could hold it; it has ended by
        itself when nobody pressed anything at those that are."""
        if self.record.state.sitting is None:
            return
        presence = self.presence
        assert presence is not None

        def decide(state: State) -> list[AnyBody]:
            if state.sitting is None:
                return []
            if not presence.others_alive():
                return [cut_short(state)]
            return [cut_short(state, left_alone=True)] if self._is_left_alone(state) else []

        self.record.transact(decide, by=self.doer_id, tap=None)

    def _note_lost_screens(self) -> bool:
        """What a screen had in hand that died while this one lives is unknown. True when there was such."""
        presence = self.presence
        if presence is None:
            return False

        def decide(state: State) -> list[AnyBody]:
            return [*lost(state, presence.is_alive)]

        return bool(decide(self.state) and self.record.transact(decide, by=self.doer_id, tap=None))

    # What is so

    @property
    def shop(self) -> Shop:
        """All that is planned; its figures know what the trial strips on record say."""
        if self.record.state.trials is not self._trials_told:
            self._trials_told = self.record.state.trials
            self._shop.figures.take_fits(partial(_fits_of, self.state.strips()))
        return self._shop

    @shop.setter
    def shop(self, shop: Shop) -> None:
        self._shop, self._trials_told = shop, ()

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
        return self.shop.people.get(self.doer_id) or nobody()

    @property
    def people(self) -> list[Person]:
        """Who is at the bench, or will be when the sitting opens."""
        sitting = self.state.sitting
        ids = sitting.people if sitting is not None else self._waiting_people
        return [self.shop.people[person] for person in ids if person in self.shop.people]

    @property
    def context(self) -> Context:
        """This moment at the bench, for a rule to decide on, a view to show or the planner to plan from."""
        clocks = self.record.reading()
        return Context(
            shop=self.shop,
            state=self.state,
            now=clocks.at,
            monotonic_s=clocks.monotonic_s,
            run=self.record.run,
            people=self.people,
            doer=self.doer,
            boot=clocks.boot,
            doubt=self.record.doubt(clocks),
            wrong_seen_s=self._see_wrong_pins(clocks.monotonic_s),
            kept=self._kept,
            lives=self._lives,
        )

    def _lives(self, run: str) -> bool:
        """Whether the screen of a run lives, where that can be told."""
        return self.presence is not None and self.presence.is_alive(run)

    def _see_wrong_pins(self, now_s: float) -> dict[str, float]:
        """When this screen first saw the newest wrong PIN of each person, by its own clock."""
        for person, tries in self.state.pins.items():
            if person not in self._wrong_seen or self._wrong_seen[person][0] != tries:
                self._wrong_seen[person] = (tries, now_s)
        return {person: seen_s for person, (_, seen_s) in self._wrong_seen.items()}

    def refresh(self) -> bool:
        """Take in what another screen wrote, or left behind when it died. True when something changed."""
        changed = self.record.refresh()
        with suppress(RecordBusy, CannotWrite):  # the next look does it
            changed = self._note_lost_screens() or changed
        self._follow_sitting()
        self._follow_pin()
        with suppress(RecordBusy, CannotWrite):  # the next look does it
            changed = self._bring_who_waits() or changed
        self._follow_people()
        self._see_wrong_pins(self.record.clocks.monotonic_s())
        if self._files is not None and self._files.look(self.record.clocks.monotonic_s()):
            return True
        return changed

    @property
    def taken_in(self) -> int:
        """How many acts of other screens came in, here or with an act of one's own."""
        return self.record.taken_in

    def changed_since(self, taken_in: int, marks: Collection[str] | None, *, by_answers: bool = True) -> bool:
        """True where another screen did something about one of the parts since so many of their acts had come
        in; with None for ``marks``, about anything. Answers and counts are left out unless ``by_answers``."""
        if marks is not None and not marks:
            return False  # of no part
        events = self.record.taken_since(taken_in)
        if not events:
            return events is None
        from kiosk.record.concerns import any_concerns  # a start, and one screen alone, do without

        others = {work.id for work in self.state.works.values() if set(work.marks).isdisjoint(marks or ())}
        snags = {snag.id: snag.mark for snag in self.state.snags.values()}
        return any_concerns(events, marks, others, snags, by_answers=by_answers)

    def what_changed(self, taken_in: int) -> str:
        """The newest act of another screen since so many of theirs had come in, in words and by whom;
        empty where nobody could take it back."""
        events = {event.id for event in self.record.taken_since(taken_in) or ()}
        newest = next((one for one in reversed(self.state.undoables) if one.event in events), None)
        return self.undo_words(newest) if newest is not None else ""

    def place_card(self) -> PlaceCard:
        """Where the work stands and what to do next; and what changed in the files meanwhile."""
        card = place_card(self.context)
        return replace(card, changes=(*self._changes_of_files(), *card.changes))

    def _files_changed(self) -> tuple[str, ...]:
        """That files are not as they were read, in words; nothing where they are."""
        if self._files is None or not self._files.changed:
            return ()
        names, verb = self._files.changed, "were" if len(self._files.changed) > 1 else "was"
        return (f"{', '.join(names[:3])} {verb} changed: close up and open again to use it",)

    def _changes_of_files(self) -> Iterator[str]:
        yield from self._files_changed()
        if self.state.sitting is None:  # on coming back; the questions themselves stay
            if self._without_a_place is None or self._without_a_place[0] != self.state.seq:
                found = parts_without_a_place(self.shop, self.state, self._kept.positions)
                self._without_a_place = (self.state.seq, tuple(one.wrong for one in found))
            yield from self._without_a_place[1][:MOST_CHANGES_SAID]
            more = len(self._without_a_place[1]) - MOST_CHANGES_SAID
            if more > 0:
                yield f"{more} more have no place in the files: kiosk check names them"

    def step_view(self, work_id: str) -> StepView:
        """The step in hand, and what changed in the files meanwhile. Raises Refused when it is gone."""
        from kiosk.views.step import step_view

        work = self.work(work_id)
        steps.require_in_shop(self.shop, work)
        with _still_in_the_procedure():
            return replace(step_view(self.context, work), changes=self._files_changed())

    def step_drawing(self, work_id: str) -> StepDrawingView | None:
        """The drawing of the step in hand, None where it asks for none. Raises Refused when it is gone."""
        from kiosk.views.step_drawing import step_drawing_view

        work = self.work(work_id)
        with _still_in_the_procedure():
            return step_drawing_view(self.context, work)

    def drawing_of_part(self, mark: str, ref: StepRef) -> StepDrawingView | None:
        """The drawing of a step for a part, as far as it is there; None where it asks for none."""
        from kiosk.views.step_drawing import drawing_of_part

        return drawing_of_part(self.context, mark, ref)

    def ahead(self, mark: str, ref: StepRef, shown: tuple[str, ...]) -> Ahead:
        """What comes after a step of a part, and where the rest of its batch stands."""
        from kiosk.views.ahead import ahead  # only a large screen shows it

        return ahead(self.context, mark, ref, shown=shown)

    def work(self, work_id: str) -> Work:
        """The work with this id. Raises Refused when it was finished or put back."""
        work = self.state.works.get(work_id)
        if work is None:
            raise no_longer_in_hand()
        return work

    def board(self, kind: str | None = None, to: Narrowed | None = None) -> list[BoardRow]:
        """A row for each part, of one kind or of all; with ``to`` those alone that are in work, wait …"""
        from kiosk.views.board import board, narrowed

        rows = board(self.context, kind)
        return rows if to is None else narrowed(self.context, rows, to)

    def kind_counts(self) -> list[KindCount]:
        """How far each kind is."""
        from kiosk.views.board import kind_counts

        return kind_counts(self.shop, self.state)

    def standing_with(self, mark: str) -> tuple[str, ...]:
        """Parts that can go through the same step with this one."""
        from kiosk.views.board import standing_with

        return standing_with(self.context, mark)

    def of_other_kinds(self, mark: str) -> tuple[str, ...]:
        """Parts of other kinds that can go through the same step all at once with this one."""
        from kiosk.views.board import of_other_kinds

        return of_other_kinds(self.context, mark)

    def position(self, mark: str) -> Position:
        """Where one part stands."""
        return position(self.shop, self.state, mark)

    def place_question(self, marks: Sequence[str]) -> PlaceQuestion | None:
        """Where parts may go on whose place cannot be told; None when no question stands on the first."""
        from kiosk.views.place_question import place_question

        return place_question(self.shop, self.state, marks)

    def spare(self, minutes: int, hands: Person | None = None) -> SpareAnswer:
        """The best use of a few minutes, for whoever has the screen or for other hands."""
        from kiosk.planning.spare import spare

        return spare(self.context if hands is None else self._at_the_bench(hands), minutes)

    def spare_apart(self, minutes: int) -> Callable[[], SpareAnswer]:
        """The same of this moment, to be worked out in another thread while taps go on."""
        from kiosk.planning.spare import spare

        # What was worked out for the last answer holds for this one too, in that thread: only one at a time
        # may look at it.
        here = replace(self.context, state=copied(self.state), kept=self._kept_apart)

        def work() -> SpareAnswer:
            with self._one_apart:
                return spare(here, minutes)

        return work

    def put_away(self) -> PutAway | None:
        """What leaving the bench takes, while a slot of whoever has the screen runs; None when none does."""
        if self.doer_id not in self.state.slots:
            return None
        from kiosk.planning.put_away import put_away

        return put_away(self.context)

    def _at_the_bench(self, person: Person) -> Context:
        """This moment as it is when somebody is here with the screen in their hands."""
        here = self.people if person in self.people else [*self.people, person]
        return replace(self.context, people=here, doer=person)

    def forecasts(self, kind: str | None = None, trials: int | None = None) -> list[tuple[str, Forecast]]:
        """Hours left and finish date of a kind or of the aeroplane, as it goes now and with each what-if."""
        return self.forecasts_apart(kind, trials)(lambda: False)

    def forecasts_apart(
        self, kind: str | None = None, trials: int | None = None
    ) -> Callable[[Stop], list[tuple[str, Forecast]]]:
        """The same of this moment, to be worked out in another thread while taps go on.

        What is given back is asked again and again whether it is to stop, and then raises Stopped.
        """
        from kiosk.planning.forecast.simulation import TRIALS, forecast_table
        from kiosk.views.forecast_text import WHAT_IFS

        here = self._apart(self.builder)
        return lambda stopped: forecast_table(
            here, WHAT_IFS, kind_id=kind, trials=trials or TRIALS, stopped=stopped
        )

    def forecast(self, kind: str | None, what_if: WhatIf) -> Forecast:
        """Hours left and finish date with one what-if."""
        from kiosk.planning.forecast.simulation import forecast

        return forecast(self._at_the_bench(self.builder), kind_id=kind, what_if=what_if)

    def back_test(self) -> BackTest:
        """How past forecasts did: of weeks, of finish dates, of hours left."""
        return self.back_test_apart()(lambda: False)

    def back_test_apart(self) -> Callable[[Stop], BackTest]:
        """The same of this moment, to be worked out in another thread: what it knew then is read at once."""
        from kiosk.planning.forecast.past_forecasts import back_test, past_moments
        from kiosk.record.past_states import states_at

        here = self._apart(self.builder)
        moments = past_moments(here.state, here.today)
        then = states_at(self.record.journal.read_on(), moments) if moments else []
        return lambda stopped: back_test(here, then, stopped)

    def _apart(self, person: Person) -> Context:
        """This moment for somebody, with a state of its own: it may be looked at while taps go on."""
        here = self._at_the_bench(person)
        return replace(here, state=copied(here.state), kept=Kept())

    def begin_check(self) -> None:
        """Check the whole record in the background; what is wrong is then in :meth:`record_trouble`."""
        from kiosk.record.checking import BackgroundCheck  # not wanted before the first frame

        if self._check is None:
            self._check = BackgroundCheck(self.record.journal.path)
            self._check.begin()

    def check_record(self) -> Checked:
        """Check the whole record now. Raises RecordingStopped when it cannot be read."""
        from kiosk.record.checking import check_record

        return check_record(self.record.journal.path)

    @property
    def kept_wrong(self) -> str:
        """What was kept for a quick start, was wrong and was thrown away, in one line; nothing is lost."""
        return "; ".join(self._kept_wrong)

    def record_trouble(self) -> str:
        """What is wrong with the record or its witness, in one line; empty when nothing is."""
        if self.record.cannot_write is not None:
            return str(self.record.cannot_write)
        if not has_room(self.record.journal.path.parent):
            return str(disk_full())
        if self._check is not None and self._check.trouble:
            return self._check.trouble
        if self._copy is not None and self._copy.trouble:
            return f"closed up, but no copy was made: {self._copy.trouble}"
        return self.record.journal.head_trouble

    def copy_trouble(self) -> str:
        """Why no copy was made at closing up, waiting until it is known; empty when one was made."""
        return self._copy.wait() if self._copy is not None else ""

    def write_logbook(self, folder: Path | None = None, trials: int | None = None) -> list[Path]:
        """Print the record to the shop's logbook folder. Raises KioskError when the disk refuses.

        A record that is damaged is printed as far as it can be read; then RecordingStopped is raised, which
        names the event.
        """
        # Rarely wanted, so its libraries are not loaded at every start.
        from kiosk.logbook.print_record import print_forecast, print_record

        into = folder or self.shop.folder / LOGBOOK_FOLDER
        written = print_record(self.shop, self.record.journal, self.now, into, self.board())
        return [*written, print_forecast(self.shop, self.forecasts(trials=trials), self.back_test(), into)]

    def momentum_words(self, card: PlaceCard) -> MomentumWords:
        """What keeps the work going, for this place card."""
        found = momentum(self.state, self.context.today)
        small = self.spare(SMALL_MINUTES) if found.long_gap else None
        return momentum_words(found, small, card, for_helper=self.doer.role == "helper")

    def close_up_view(self, *, as_recorded: bool = False) -> CloseUp:
        """What closing up now would leave behind; ``as_recorded`` in the procedure's own words."""
        from kiosk.views.close_up import close_up

        with written_down() if as_recorded else nullcontext():
            return close_up(self.context, as_recorded=as_recorded)

    def would_leave(self, person: Person) -> tuple[str, ...]:
        """What somebody who goes now would leave that may not be left so: for the builder all of it, for
        others what they have in hand themselves."""
        from kiosk.views.close_up import close_up

        return close_up(self.context, of=None if person.role == "builder" else person.id).must_not

    def runs_beside(self) -> str:
        """What another runs beside which whoever has the screen may not be; empty where nothing is so."""
        return runs_in_room(self.context)

    def stopped_by(self) -> tuple[str, ...]:
        """The names of those in the room who may not be there for a step in hand."""
        from kiosk.views.barred import stopped_by

        return stopped_by(self.context)

    def may_not(self, act: str, *args: object) -> str:
        """Why the one with the screen may not do an act, in plain words; empty when the door lets them."""
        return why_not(self.context, act, *args)

    def undo_offer(self) -> UndoOffer:
        """What the undo key offers whoever has the screen."""
        from kiosk.views.undo_words import undo_offer

        return undo_offer(self.context)

    def undo_words(self, entry: Undoable) -> str:
        """What the undo key would take back, in the words of its step."""
        from kiosk.views.undo_words import undo_words

        return undo_words(self.context, entry)

    def who_may_look(self, mark: str) -> list[Person]:
        """Who here could give the second look that a part waits for."""
        return parts.who_may_look(self.context, mark)

    def has_pin(self, person: str) -> bool:
        """True when a PIN guards this person's hands."""
        return bool(self.state.secret_of(person))

    def asks_pin_to_come(self, person: Person) -> bool:
        """True when somebody's PIN is wanted before they count as here."""
        return self.has_pin(person.id) and not people.comes_by_a_word(self.context, person)

    def asks_pin_to_take(self, person: Person) -> bool:
        """True when somebody's PIN is wanted before they get the screen."""
        return self.has_pin(person.id) and not people.takes_by_a_word(self.context, person)

    def rest_shuts_out(self) -> bool:
        """True when whoever has the screen needs somebody with a PIN to get it again once it rested."""
        return not people.takes_it_again(self.context)

    def doer_is_adult(self) -> bool:
        """True when an adult has the screen."""
        return is_adult(self.context, self.doer)

    def outsiders(self) -> list[Outsider]:
        """Designers and inspectors: those of the shop file, then those entered before, newest first."""
        listed = [Outsider(one.name, one.role, one.number) for one in self.shop.file.outside]
        return list(dict.fromkeys([*listed, *reversed(self.state.outsiders)]))

    def half_typed_words(self, where: str) -> HalfTypedWords:
        """What is half typed in the dialog with this key, here and elsewhere."""
        from kiosk.record.half_typed import half_typed_words

        return half_typed_words(self.context, where)

    def recent_words(self, where: str) -> list[str]:
        """What was last said where the same is asked for, the newest first; ``where`` is the dialog's key."""
        try:
            return recent_words(self.record.journal, where)
        except RecordingStopped:  # told at the next tap: words can be typed all the same
            return []

    def pin_wait_s(self, person: Person) -> float:
        """Seconds until this person's PIN may be tried again."""
        return seconds_to_wait(self.context, person)

    def may_set_pin(self, person: Person) -> bool:
        """Whether whoever has the screen may set this person's PIN, with the old one where there is one."""
        return people.may_set_pin(self.context, person)

    def who_says_pin(self, person: Person) -> Person | None:
        """Whose PIN is asked for before this person's is set."""
        return people.who_says(self.context, person)

    def snag_wanting(self, decision: str, reason: str, accepted: Accepted) -> snags.Wanting | None:
        """What a decision on a snag still wants; None when it can be recorded."""
        return snags.wanting(self.context, decision, reason, accepted)

    def latest_undoable(self) -> Undoable | None:
        """What the undo key would take back."""
        return parts.latest_undoable(self.state)

    # What is done: each asks its rule, inside the transaction, and records what that gives. ``tap`` is the
    # screen's id for one press: a press that comes again after a failure is recorded once.

    def _do(
        self,
        tap: str | None,
        rule: Callable[Concatenate[Context, P], Bodies],
        *args: P.args,
        **kwargs: P.kwargs,
    ) -> list[Event]:
        """Decide and record in one transaction, opening the sitting first where none is open."""
        opens = rule not in _OPEN_NO_SITTING
        act = rule.__name__
        return self._record(tap, lambda context: rule(context, *args, **kwargs), opens=opens, act=act)

    def _record(
        self, tap: str | None, rule: Callable[[Context], Bodies], *, opens: bool, act: str
    ) -> list[Event]:
        """Decide and record in one transaction. A wrong PIN is recorded, and refused all the same."""

        self._end_what_was_left_alone()
        if self._watches and self.presence is None:  # it could not be among the others until now
            with suppress(KioskError):
                self.presence = self._present()
        refused: list[WrongPin] = []

        def decide(state: State) -> list[AnyBody]:
            hands = self.doer_id
            self._follow_sitting()
            if self.doer_id != hands:
                raise Refused("the sitting was closed on another screen", "F4, choose your name, then F7")
            self._follow_pin()
            if self.doer_id != hands:
                raise Refused("a PIN was set meanwhile", "F4, choose your name, then F7")
            self._follow_people()
            if self.doer_id != hands:
                name = self.shop.people[hands].name if hands in self.shop.people else hands
                raise Refused(f"{name} is not at the bench by now", "F4, choose your name, then F7")
            if state.renames != self._renames and act != people.close_up.__name__:
                raise Refused("the files give things other names now", "close up, and open the kiosk again")
            context = self.context
            try:
                bodies = rule(context)
            except WrongPin as wrong:
                refused.append(wrong)
                return wrong.bodies
            if not bodies:
                return bodies
            names: list[AnyBody] = [self._names_to_record] if self._names_to_record is not None else []
            if state.sitting is not None or not opens:
                return [*names, *bodies]
            at_first = people.hands_at_first(state, [self.builder])
            given = "" if self.doer_id == at_first else self.doer_id
            return [*names, *people.open_sitting(context, given), *bodies]

        events = self.record.transact(decide, by=self.doer_id, tap=tap, act=act)
        if events and self._names_to_record is not None:
            self._names_to_record = None
            self.record.is_as_recorded = True
            self._renames = self.state.renames
        self._sitting = self._sitting_now
        self.just_paused = tuple(self._paused_by(events))
        if refused:
            raise refused[0]
        return events

    def _paused_by(self, events: Sequence[Event]) -> Iterator[str]:
        for body in (event.body for event in events):
            work = self.state.works.get(body.work) if isinstance(body, WorkPaused) else None
            yield from work.marks if work is not None else ()

    def start(
        self,
        marks: Sequence[str],
        procedure: str,
        step: str,
        tap: str | None = None,
        *,
        in_quiet_hours: bool = False,
    ) -> str:
        """Begin a step on parts; gives the id of the work. ``in_quiet_hours``: see :meth:`too_loud_but`."""
        self._do(tap, steps.begin, marks, StepRef(procedure, step), in_quiet_hours=in_quiet_hours)
        work = self.state.part(marks[0]).work
        if work is None:
            raise Refused("the step is not in hand", "look at the place card")
        return work

    def set_up(self, mark: str, ref: StepRef, tap: str | None = None) -> None:
        """What a part's next step is set up with is out on the bench, though the step itself still waits."""
        self._do(tap, steps.set_up, mark, ref)

    def begin_batch(
        self,
        marks: Sequence[str],
        procedure: str,
        step: str,
        tap: str | None = None,
        *,
        in_quiet_hours: bool = False,
        apart: Sequence[str] = (),
    ) -> str:
        """Begin a step on parts that walk together, on the first of them where one is taken at a time; those
        ``apart`` leave their batch with it. Gives the id of the work."""
        ref, loud = StepRef(procedure, step), in_quiet_hours
        self._do(tap, batches.begin_batch, marks, ref, in_quiet_hours=loud, apart=apart)
        work = self.state.part(marks[0]).work
        if work is None:
            raise Refused("the step is not in hand", "look at the place card")
        return work

    def join_batch(self, marks: Sequence[str], tap: str | None = None) -> None:
        """Let parts at one step walk together from now on, with all of the batch of the first."""
        self._do(tap, batches.join, marks)

    def split_batch(self, marks: Sequence[str], tap: str | None = None) -> None:
        """Let parts go their own way from now on."""
        self._do(tap, batches.split, marks)

    def batch_goes_on(self, mark: str) -> GoesOn | None:
        """What the batch of a part does next; None where it has none."""
        return goes_on(self.context, mark)

    def batch_of(self, mark: str) -> tuple[str, ...]:
        """The parts that walk together with this one, itself among them; none where it is alone."""
        return members(self.shop, self.state, mark)

    def take_up(self, work_id: str, tap: str | None = None) -> None:
        """Carry on with a step in hand: its clock runs again."""
        self._do(tap, steps.take_up, work_id)

    def too_loud_but(self, marks: Sequence[str], procedure: str, step: str) -> str:
        """The quiet hours in which a step may be begun all the same, once it is agreed; else empty."""
        found, doing = self.shop.find_step(procedure, step, marks[0])
        return too_loud_but(self.context, marks, found, doing) if found and doing else ""

    def begun_could_not_follow(
        self, marks: Sequence[str], procedure: str, step: str, *, agreed: bool = False
    ) -> str:
        """What is told first of a step that would be begun now, in time for neither it nor what follows;
        empty where nothing is so. ``agreed``: the quiet hours that hold now are told already."""
        found, doing = self.shop.find_step(procedure, step, marks[0])
        stops = told_first(self.context, marks, found, doing, agreed=agreed) if found and doing else []
        return stops[0].text if stops else ""

    def could_not_follow(self, work_id: str) -> str:
        """What could not follow a step in time that stands still, or was cut off, if it were taken up now;
        empty where nothing is so."""
        work = self.state.works.get(work_id)
        stops = in_hand_could_not_follow(self.context, work) if work and work.status != "running" else []
        return stops[0].text if stops else ""

    def lacking(self, work_id: str) -> str:
        """What a step in hand asks for and is not there, or is held by others; empty where nothing is so."""
        work = self.state.works.get(work_id)
        stops = lacking_in_hand(self.context, work) if work is not None else []
        return stops[0].text if stops else ""

    def runs_out_first(self, marks: Sequence[str], procedure: str, step: str) -> tuple[str, ...]:
        """The limits that end before what has to follow a step could, were it begun now, and what is done
        then; a line each."""
        from kiosk.views.runs_out_first import runs_out_first

        found, doing = self.shop.find_step(procedure, step, marks[0])
        if found is None or doing is None:
            return ()
        stops = told_first(self.context, marks, found, doing)
        return runs_out_first(self.context, marks, found.ref(doing), stops)

    def not_to_be_left(self, work_id: str) -> str:
        """That a step under way may not be left as it is; empty where it may."""
        from kiosk.views.in_hand import not_to_be_left

        work = self.state.works.get(work_id)
        return not_to_be_left(self.context, work) if work is not None else ""

    def worked_on(self, work_id: str) -> str:
        """How long a step in hand was worked at, where that is a minute or more; else empty."""
        from kiosk.views.in_hand import worked_on

        work = self.state.works.get(work_id)
        return worked_on(self.context, work) if work is not None else ""

    def left_for_another(self, marks: Sequence[str] = (), work_id: str = "") -> str:
        """What may not be left as it is and would be, by going on with another step, on these parts; empty
        where nothing."""
        from kiosk.views.in_hand import left_for_another

        return left_for_another(self.context, marks, work_id)

    def too_long_to_end(self, marks: Sequence[str], procedure: str, step: str) -> str:
        """That a step which may not be left half way takes longer than is left of the slot; empty where it
        fits, and where no slot runs."""
        if self.doer_id not in self.state.slots:
            return ""
        from kiosk.planning.put_away import too_long_to_end
        from kiosk.views.slot import too_long_words

        found, doing = self.shop.find_step(procedure, step, marks[0])
        if found is None or doing is None:
            return ""
        too_long = too_long_to_end(self.context, marks, found, doing)
        return too_long_words(too_long) if too_long is not None else ""

    def too_long_for_piece(self, work_id: str, mark: str = "") -> str:
        """The same of a piece of a step in hand, the one that it was turned to where none is named; empty
        where something was done on it, and where the step stands still and may not be left so."""
        work = self.state.works.get(work_id)
        piece = work.piece(mark or work.turned_to) if work is not None else None
        if work is None or piece is None or piece.touched:
            return ""
        if work.status != "running" and has_to_end(self.shop, self.state, work):
            return ""
        _, step = self.shop.find_step(work.procedure, work.step, piece.mark)
        together = step is not None and step.batch == "together"
        return self.too_long_to_end(work.marks if together else [piece.mark], work.procedure, work.step)

    def acknowledge(
        self, work_id: str, tap: str | None = None, *, shown: Sequence[str] | None = None
    ) -> None:
        """The cautions ``shown`` were read: a screen names them; without a screen it is all there are."""
        if shown is None:
            shown = [text for _, text in self.step_view(work_id).cautions]
        self._do(tap, steps.read_cautions, work_id, shown)

    def turn_to(self, work_id: str, mark: str, tap: str | None = None) -> None:
        """Take another piece of the batch in hand."""
        self._do(tap, steps.turn_to, work_id, mark)

    def count(
        self,
        work_id: str,
        mark: str,
        to: int,
        tap: str | None = None,
        *,
        in_place_of: tuple[int, str] | None = None,
    ) -> None:
        """The sub-count is now ``to``, ``in_place_of`` that which was shown then, and what was enough of it,
        if that is said."""
        self._do(tap, steps.count, work_id, mark, to, in_place_of=in_place_of)

    def alike(self, work_id: str, check: str = "") -> Alike | None:
        """The parts in hand that wait for the same answer to a check, or the same count where none is named;
        None for fewer than two."""
        from kiosk.record.alike import answered_alike, counted_alike

        work = self.work(work_id)
        steps.require_in_shop(self.shop, work)
        return answered_alike(self.context, work, check) if check else counted_alike(self.context, work)

    def count_each(self, work_id: str, seen: Alike, to: int, tap: str) -> None:
        """The sub-count is now ``to`` on each of the parts that were ``seen``, or on none where another
        screen changed something on one of them."""
        from kiosk.record.alike import counted_alike, require_as_seen

        def decide(context: Context) -> Bodies:
            require_as_seen(seen, counted_alike(context, self.work(work_id)))
            each = (steps.count(context, work_id, mark, to, press=tap) for mark in seen.marks)
            return [body for bodies in each for body in bodies]

        self._record(tap, decide, opens=True, act=steps.count.__name__)

    def answer_each(self, work_id: str, seen: Alike, check: str, text: str, tap: str) -> None:
        """A check was answered alike on each of the parts that were ``seen``, or on none, likewise."""
        from kiosk.record.alike import answered_alike, require_as_seen

        def decide(context: Context) -> Bodies:
            require_as_seen(seen, answered_alike(context, self.work(work_id), check))
            act = partial(steps.answer, context, work_id, in_place_of="", press=tap)
            return [body for mark in seen.marks for body in act(mark, check, text)]

        self._record(tap, decide, opens=True, act=steps.answer.__name__)

    def say_enough(self, work_id: str, mark: str, at: int, tap: str | None = None) -> None:
        """No more is wanted: what the procedure names is so at the count ``at``."""
        self._do(tap, steps.say_enough, work_id, mark, at)

    def type_draft(
        self,
        work_id: str,
        mark: str,
        check: str,
        text: str,
        tap: str | None = None,
        *,
        strip: int | None = None,
    ) -> None:
        """A figure is half typed, of the trial strip that was asked about then, if that is said."""
        self._do(tap, steps.type_draft, work_id, mark, check, text, strip=strip)

    def type_words(self, where: str, text: str, tap: str | None = None) -> None:
        """Words are half typed in the dialog with this key; empty when they were used or thrown away."""
        self._do(tap, things.type_words, where, text)

    def answer(
        self,
        work_id: str,
        mark: str,
        check: str,
        text: str,
        tap: str | None = None,
        *,
        in_place_of: str | None = None,
        strip: int | None = None,
    ) -> None:
        """A check was answered, ``in_place_of`` the answer that was shown then, of the trial strip that was
        asked about then, if these are said."""
        self._do(tap, steps.answer, work_id, mark, check, text, in_place_of=in_place_of, strip=strip)

    def finish(self, work_id: str, mark: str, tap: str | None = None, *, others: Sequence[str] = ()) -> None:
        """The step is done on this piece, and on others that were worked with it, or on all together."""
        self._do(tap, steps.finish, work_id, mark, others)

    def pause(self, work_id: str, tap: str | None = None) -> None:
        """Stop the step's clock."""
        self._do(tap, steps.pause, work_id)

    def put_back(
        self,
        work_id: str,
        marks: Sequence[str] = (),
        tap: str | None = None,
        *,
        still_together: bool = False,
    ) -> None:
        """Take parts out of hand as not begun; all of them where none is named. ``still_together``: they walk
        on with the batch."""
        self._do(tap, steps.put_back, work_id, marks, still_together=still_together)

    def set_aside(self, work_id: str, tap: str | None = None) -> None:
        """Take parts out of a step that is no longer in its procedure."""
        self._do(tap, steps.set_aside, work_id)

    def looked(self, work_id: str, *, as_shown: bool, tap: str | None = None) -> None:
        """A person looked at what a power cut left."""
        self._do(tap, steps.say_how_it_stands, work_id, as_shown=as_shown)

    def skip(self, mark: str, reason: str, tap: str | None = None) -> None:
        """Leave out the next step for a reason."""
        self._do(tap, parts.skip, mark, reason)

    def reopen(self, mark: str, ref: StepRef, reason: str, tap: str | None = None) -> None:
        """A recorded step turned out not to be done."""
        self._do(tap, parts.reopen, mark, ref, reason)

    def answer_place(self, mark: str, ref: StepRef, tap: str | None = None) -> None:
        """Where a part goes on, when what is recorded on it has no place in the files."""
        self._do(tap, parts.go_on_at, mark, ref)

    def missed_limit(self, mark: str) -> ClockQuestion | None:
        """The limit that ran out on a part, to be asked about; None when none did."""
        from kiosk.views.clock_question import missed_question

        return missed_question(self.context, mark)

    def unknown_clock(self, mark: str) -> ClockQuestion | None:
        """The clock on a part of which nobody knows how it stands; None when there is none."""
        from kiosk.views.clock_question import unknown_question

        return unknown_question(self.context, mark)

    def clock_to_ask(self) -> Doubt | None:
        """Why the wall clock is not believed, where this screen has not asked since it was last set."""
        now = self.record.reading()
        asked = self._clock_asked is not None and not jumped(self._clock_asked, now)
        return None if asked or self.may_not("mark_clock") else self.record.doubt(now)

    def clock_was_asked(self) -> ClockReading:
        """A person at this screen is asked about the wall clock: once, until it is set again. Gives the
        clocks that they are asked about."""
        self._clock_asked = self.record.reading()
        return self._clock_asked

    def answer_clock(
        self,
        marks: Sequence[str],
        did: str,
        *,
        in_time: bool = False,
        asked: ClockSet | None = None,
        tap: str | None = None,
    ) -> None:
        """A time limit was missed: what was done about it, or about the one that was ``asked``."""
        self._do(tap, clocks.answer_limit, marks, did, in_time=in_time, asked=asked)

    def look_at_clock(self, marks: Sequence[str], minutes: float, tap: str | None = None) -> None:
        """Nobody knew how a clock on these parts stood: so many minutes are left, as a person saw."""
        self._do(tap, clocks.look_at_clock, marks, minutes)

    def mark_clock(self, *, right: bool, shown: ClockReading | None = None, tap: str | None = None) -> None:
        """A person says whether the wall clock is right, of the clocks as they were ``shown``. It is no work
        on a part, and opens no sitting."""
        self.record.transact(
            lambda _: clocks.mark_clock(self.context, right=right, shown=shown), by=self.doer_id, tap=tap
        )

    def complete(self, mark: str, tap: str | None = None) -> None:
        """Declare a part finished."""
        self._do(tap, parts.complete, mark)

    def raise_snag(self, mark: str, text: str, tap: str | None = None, *, made: int | None = None) -> None:
        """Something is not right on a part; ``made`` says on which, of those that were made in its place."""
        self._do(tap, snags.raise_snag, mark, text, made=made)

    def begin_of_run(self, mark: str, ref: StepRef) -> StepRef:
        """The step with which a rework from this one really begins."""
        return snags.begin_of_run(self.context, mark, ref)

    def decide_snag(
        self,
        snag: str,
        decision: str,
        reason: str,
        back_to: StepRef | None = None,
        accepted: Accepted = NOT_SAID,
        tap: str | None = None,
    ) -> None:
        """Use as is, rework, or scrap and remake."""
        self._do(tap, snags.decide_snag, snag, decision, reason, back_to, accepted)

    def hold_look(
        self,
        marks: Sequence[str],
        looker: str,
        finding: str,
        tap: str | None = None,
        *,
        pin: str = "",
        name: str = "",
        number: str = "",
    ) -> None:
        """A second person looked: somebody here, or an inspector from outside by name and number."""
        self._do(tap, parts.second_look, marks, looker, finding, pin, name=name, number=number)

    def look_over(self, mark: str, ref: StepRef, *, good: bool, tap: str | None = None) -> None:
        """The builder looks over what a helper did."""
        self._do(tap, parts.look_over, mark, ref, good=good)

    def past_step(self, mark: str, ref: StepRef) -> PastStep:
        """A step that stands on a part, with its figures, as the record tells it. Raises Refused."""
        done = self.state.part(mark).passes.get(ref.procedure, {}).get(ref.step)
        if done is None or done.skipped:
            raise Refused(f"{ref.step} is not done on {mark}", "look at the part's page")
        openings = self.record.journal.of_kind(SittingOpened.kind)
        found = past_step(self._events_of(mark), mark, ref, done, openings)
        if found is None:
            raise Refused("the record does not tell of it", "look at the logbook")
        return found

    def _events_of(self, mark: str) -> list[Event]:
        return events_of_part(self.record.journal, mark, self.state.renames)

    def life(self, mark: str) -> list[LifeEntry]:
        """All that is recorded of a part, the newest first."""
        from kiosk.logbook.life import part_life

        marks = marks_of_part(self.record.journal, mark, self.state.renames)
        return part_life(self.shop, self._events_of(mark), marks)

    def correct(
        self,
        mark: str,
        ref: StepRef,
        what: corrections.Corrects,
        text: str,
        reason: str,
        check: str = "",
        tap: str | None = None,
    ) -> None:
        """A figure, the minutes or the date of a finished step was mistyped: it counts as ``text`` now."""

        def decide(context: Context) -> Bodies:
            past = self.past_step(mark, ref)
            return corrections.correct(context, past, mark, what, text, reason, check)

        self._record(tap, decide, opens=True, act=corrections.correct.__name__)

    def correction_holds(
        self, mark: str, past: PastStep, what: corrections.Corrects, text: str, check: str = ""
    ) -> bool:
        """True when a correction would hold the part by a snag. Raises KioskError where it would be refused
        whatever its reason."""
        bodies = corrections.correct(self.context, past, mark, what, text, "asked beforehand", check)
        return any(isinstance(body, SnagRaised) for body in bodies)

    def undo(self, event: str, tap: str | None = None) -> bool:
        """Take back an event. True when a step that is in hand again by it stands paused."""
        return any(isinstance(one.body, WorkPaused) for one in self._do(tap, parts.undo, event))

    def stands_paused(self) -> tuple[str, ...]:
        """The parts of the step that whoever has the screen was at last, where it stands paused; none where
        another of theirs runs."""
        own = [work for work in self.state.works.values() if work.worker == self.doer_id]
        if any(work.status == "running" for work in own):
            return ()
        paused = [work for work in own if work.status == "paused"]
        last = max(paused, key=lambda work: work.touched_at or work.started_at, default=None)
        return last.marks if last is not None else ()

    def note(self, text: str, mark: str = "", tap: str | None = None) -> None:
        """Write a note."""
        self._do(tap, things.write_note, text, mark)

    def note_conditions(
        self, temperature_f: float | None, humidity_percent: float | None, tap: str | None = None
    ) -> None:
        """Record the room as read off the instruments."""
        self._do(tap, things.read_room, temperature_f, humidity_percent)

    def begin_slot(self, minutes: int, tap: str | None = None) -> None:
        """Somebody has so many minutes from now on."""
        self._do(tap, things.begin_slot, minutes)

    def left_of_slot(self) -> int | None:
        """Whole minutes that are left to whoever has the screen; None when no slot of theirs runs."""
        if self.doer_id not in self.state.slots:
            return None
        from kiosk.planning.put_away import left_of_slot

        return left_of_slot(self.context)

    def ask_first(self, mark: str = "", part_kind: str = "", tap: str | None = None) -> None:
        """Ask for a part, or for a kind of part, first."""
        self._do(tap, wishes.ask_first, mark, part_kind)

    def ask_not_today(self, mark: str = "", part_kind: str = "", tap: str | None = None) -> None:
        """Ask for a part, or for a kind of part, not today."""
        self._do(tap, wishes.ask_not_today, mark, part_kind)

    def take_back_wish(self, wish: Wish, tap: str | None = None) -> None:
        """What was asked for no longer counts."""
        self._do(tap, wishes.take_back_wish, wish)

    def asked_for(self) -> tuple[Wish, ...]:
        """Everything that was asked for and counts now."""
        return wishes_now(self.context)

    def count_stock(self, consumable: str, left: float, tap: str | None = None) -> None:
        """Record how much of a consumable is left."""
        self._do(tap, things.count_stock, consumable, left)

    def add_trial(self, strip: TrialBent, tap: str | None = None) -> None:
        """Record a trial strip. Raises KioskError when its figures cannot be.

        A strip is no work on a part, so it opens no sitting: from the command line nobody would close it,
        and the next start would say that the power went.
        """
        self.record.transact(lambda _: trials.record_trial(self.context, strip), by=self.doer_id, tap=tap)

    def another_trial(self, work_id: str, mark: str, tap: str | None = None) -> None:
        """Record what was measured on a step as one trial; the next one follows on the same step."""
        self._do(tap, trials.another_trial, work_id, mark)

    def correct_trial(self, number: int, figure: str, text: str, why: str, tap: str | None = None) -> None:
        """A figure of a trial strip was mistyped: it counts as ``text``; the old one is struck."""
        self.record.transact(
            lambda _: trials.correct_trial(self.context, number, figure, text, why), by=self.doer_id, tap=tap
        )

    def require_trial_correction(self, number: int, figure: str, text: str) -> None:
        """Raises KioskError where a correction of a strip would be refused whatever its reason."""
        trials.correct_trial(self.context, number, figure, text, "asked beforehand")

    def retract_trial(self, number: int, why: str, tap: str | None = None) -> None:
        """A trial strip no longer counts. It stays in the record, and opens no sitting."""
        self.record.transact(
            lambda _: trials.retract_trial(self.context, number, why), by=self.doer_id, tap=tap
        )

    def clear_room(
        self,
        ref: StepRef,
        mark: str | None = None,
        named: Collection[str] | None = None,
        tap: str | None = None,
    ) -> None:
        """An adult confirms that those too young for a step are out of the room, those who were ``named``."""
        self._do(tap, people.clear_room, ref, mark, named)

    def who_must_go_out(self, ref: StepRef, mark: str | None = None) -> list[Person]:
        """Who is in the room and may not be there for a step."""
        _, step = self.shop.find_step(ref.procedure, ref.step, mark)
        return still_in_room(self.context, step) if step is not None else []

    def come(self, person: str, pin: str = "", tap: str | None = None) -> None:
        """Somebody came to the bench."""
        self._with_pin(tap, partial(people.come, person_id=person, pin=pin), people.come.__name__)
        self._say_here(person)

    def _say_here(self, person: str) -> None:
        """It was said at this screen that somebody is here, who is in the next sitting wherever it begins."""
        if self.state.sitting is None:
            self._waiting_people = tuple(dict.fromkeys((*self._waiting_people, person)))
            self._said_here = tuple(dict.fromkeys((*self._said_here, person)))

    def _with_pin(self, tap: str | None, rule: Callable[[Context], Bodies], act: str) -> None:
        """An act that may ask for a PIN. While no sitting is open only the PIN is recorded."""
        decided = []

        def decide(context: Context) -> Bodies:
            decided.append(rule(context))
            tries: Bodies = [body for body in decided[-1] if isinstance(body, PinTried)]
            return decided[-1] if context.state.sitting is not None else tries

        self._record(tap, decide, opens=False, act=act)
        if not decided:  # the press is on the disk already: it stands for no PIN, which is asked for again
            self._record(None, decide, opens=False, act=act)

    def leave(self, person: str, tap: str | None = None) -> None:
        """Somebody left the bench. Whoever then has the screen is who has it before anybody has said."""
        if self.state.sitting is not None:
            self._do(tap, people.leave, person)
        elif people.leave(self.context, person):
            self._waiting_people = tuple(one for one in self._waiting_people if one != person)
            self._said_here = tuple(one for one in self._said_here if one != person)
        if self.doer_id == person:
            self.doer_id = people.hands_at_first(self.state, self.people)

    def hand_over(self, person: str, pin: str = "", tap: str | None = None) -> None:
        """The screen now belongs to this person. Raises NotAllowed when their PIN is wanted and not right."""
        self._with_pin(tap, partial(people.hand_over, person_id=person, pin=pin), people.hand_over.__name__)
        self._say_here(person)
        self.doer_id = person

    def set_pin(self, person: str, old: str, new: str, tap: str | None = None) -> None:
        """Set a person's PIN, change it, or take it away when ``new`` is empty. Raises NotAllowed."""
        decide = partial(people.set_pin, person_id=person, old=old, new=new)
        self._record(tap, decide, opens=False, act=people.set_pin.__name__)
        if self.doer_id == person:
            self.doer_id = person  # who sets their own PIN here keeps the screen

    def close_sitting(self, note: str, tap: str | None = None) -> None:
        """Close up: every clock stops and the place is kept. A screen then copies the record. Who was here at
        this screen is so no more, also where nothing was begun and no sitting was open."""
        was_open = self.state.sitting is not None
        view = self.close_up_view(as_recorded=True)
        left = (*view.must_not, *view.too_late, *view.may)
        decided = []

        def decide(context: Context) -> Bodies:
            decided.append(people.close_up(context, note, left, view.next_step))
            return decided[-1]

        self._record(tap, decide, opens=False, act=people.close_up.__name__)
        # Asked of the record, for a tap that came twice closes nothing, and one whose answer was lost did.
        if self.state.sitting is None and (was_open or decided):
            self._come_in()
        if self.state.sitting is None and was_open and self.presence is not None:
            self._begin_copy()

    def _begin_copy(self) -> None:
        from kiosk.record.close_up_copy import CloseUpCopy

        self._copy = CloseUpCopy(self.record.journal.path, self.now)
        self._copy.begin()

    def wants_look(self) -> list[tuple[str, StepRef]]:
        """The mark and step of everything that a helper did and the builder has not looked over."""
        return [(part.mark, ref) for part in self.state.parts.values() for ref in part.wants_look]

    def close(self) -> None:
        """Let go of the record, once a copy that was begun is made."""
        if self._check is not None:
            self._check.close()
        self.copy_trouble()
        self.record.close()
        if self.presence is not None:
            self.presence.close()


def new_tap() -> str:
    """An id for one tap, made by the screen, so that a tap is never recorded twice."""
    return uuid.uuid4().hex


@contextmanager
def _still_in_the_procedure() -> Iterator[None]:
    """Have a procedure or step that is gone, a KeyError, refused in words."""
    try:
        yield
    except KeyError:
        raise Refused(
            "this step is no longer in the procedure", "the place card asks where to go on"
        ) from None


def _fits_of(strips: Sequence[TrialBent]) -> Sequence[Fitted]:
    """What strips say; asked for when a bend is worked out, so that a start does without the arithmetic."""
    from kiosk.views.trial import fits_of

    return fits_of(strips)
