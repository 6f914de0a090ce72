"""The place card: where the work stopped, and the one thing to do next."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Literal

from kiosk.catalogue import said, to_be_said
from kiosk.dataclass import dataclass
from kiosk.record.batch import GoesOn, goes_on, members, pieces_to_do
from kiosk.record.context import NOBODY, Context
from kiosk.record.made_before import made_otherwise
from kiosk.record.part_stops import all_parts
from kiosk.record.position import has_to_end, never_done, newest_left, position, revision_changes
from kiosk.record.readiness import (
    Block,
    BlockKind,
    StepStops,
    blocks,
    held_in_hand,
    in_hand_could_not_follow,
    in_order_of_clearing,
    lacking_in_hand,
    ran_out,
    told_first,
    too_loud_but,
)
from kiosk.record.rules import why_not
from kiosk.record.state import SHOWN_CONFIRMATIONS, Confirmation, Piece, State, Work
from kiosk.record.waits import is_near
from kiosk.shop.figures import FigureFault
from kiosk.shop.parts import marks_in_full
from kiosk.shop.procedure import Procedure, Step, StepRef
from kiosk.shop.shop import Shop
from kiosk.views.alarms import doubt_words
from kiosk.views.barred import barred
from kiosk.views.batch import BatchLines, batch_lines, batch_of_one, in_batch_words, opened_by, opened_words
from kiosk.views.clocks import RunningClock, mixes_left_lines, running_clocks, time_or_day, told_clocks
from kiosk.views.fault_line import fault_line
from kiosk.views.must_follow import left_in_runs
from kiosk.views.wording import (
    action_words,
    ago,
    count_caption,
    count_words,
    id_in_words,
    kinds_in_words,
    next_step_words,
)
from kiosk.views.wrong_pins import wrong_pin_lines

BigAction = Literal[
    "look",
    "resume",
    "begin",
    "complete",
    "question",
    "late",
    "snag",
    "look at clock",
    "second look",
    "room",
    "room air",
    "wall clock",
    "loud",
    "who",
    "choose",
]


@dataclass(frozen=True)
class LookBack:
    """A step confirmed done before the break, to be seen again on the part itself."""

    marks: tuple[str, ...]
    procedure: str
    step: str
    text: str
    when: str


@dataclass(frozen=True)
class Count:
    """How many of a step's repeats are done: 5 of 11 flutes."""

    done: int
    wanted: int
    of: str
    at_most: bool = False
    enough: str = ""  # what is so, and no more is wanted

    @property
    def words(self) -> str:
        """The count in one line."""
        return count_words(self.done, self.wanted, self.of, at_most=self.at_most, enough=self.enough)

    @property
    def caption(self) -> str:
        """What stands beside the number done."""
        return count_caption(self.done, self.wanted, self.of, at_most=self.at_most, enough=self.enough)


@dataclass(frozen=True)
class HalfTyped:
    """A figure left half typed, and what asks for it; here, or at another screen."""

    ask: str
    here: str
    elsewhere: str = ""

    @property
    def words(self) -> str:
        """The figure in one line."""
        if self.here:
            return said("{ask}: {text}▌ half typed", ask=self.ask, text=self.here)
        return said("{ask}: {text} half typed at another screen", ask=self.ask, text=self.elsewhere)


@dataclass(frozen=True)
class PlaceCard:
    """What a person sees first: what there is to go on with, and what lies about it."""

    aeroplane: str
    when: str  # how the bench was left; while somebody is at it, when these parts were last touched
    note: str  # with whose it is
    left: tuple[str, ...]
    clocks: tuple[str, ...]
    look_back: tuple[LookBack, ...]
    snags: tuple[str, ...]
    to_look_over: tuple[str, ...]
    standing: str = ""  # NOT BEGUN, IN HAND, STARTED, UNKNOWN, LEFT IN ORDER, NEXT STEP …
    action: BigAction = "choose"
    marks: tuple[str, ...] = ()
    work: str | None = None
    procedure: str = ""
    step: str = ""
    title: str = ""  # the parts, and the procedure when they are in one
    number: int = 0
    of: int = 0
    do: str = ""
    count: Count | None = None
    half_typed: tuple[HalfTyped, ...] = ()
    changes: tuple[str, ...] = ()
    fetch: tuple[str, ...] = ()
    blocked: str = ""
    asks_first: bool = False  # what is blocked may be gone on with all the same, by who was told
    could_not_follow: str = ""  # in time on this step, where it is taken up or stands in a run
    begin_by: str = ""  # until when it can be begun, or is to be ended, where quiet hours come first
    runs_out_first: tuple[str, ...] = ()  # limits that end before it can begin, or what has to follow
    gone: tuple[str, ...] = ()  # in hand, and no longer in the shop's file
    doubt: str = ""  # that the wall clock is not believed
    shown: str = ""  # the piece of a batch that is in hand
    wrong_pins: tuple[str, ...] = ()  # what the builder is to be told of them
    batch: BatchLines | None = None  # what goes along, and who does not; None for a part alone
    paused: tuple[str, ...] = ()  # other steps that stand still in hand
    not_to_be_left: tuple[str, ...] = ()  # of them, those that may not be left so
    opened: str = ""  # that parts complete now opened this
    first_clock: RunningClock | None = None  # of the clocks, what needs a person first: shown large

    @property
    def action_label(self) -> str:
        """What the big action is called."""
        # Nobody is led by a large key into what is asked about first.
        asked = self.action in ("begin", "resume") and (
            self.could_not_follow or (self.blocked and self.asks_first)
        )
        return _LABELS["loud" if asked else self.action]

    @property
    def next_step(self) -> str:
        """The step in the words that closing up writes down for the next sitting."""
        return next_step_words(self.marks, self.do) if self.marks and self.do else ""


_STANDING = {
    "unknown": to_be_said("STARTED, UNKNOWN"),
    "running": to_be_said("IN HAND"),
    "paused": to_be_said("IN HAND, PAUSED"),
}
_STANDING_WITH = {
    "unknown": to_be_said("STARTED BY {name}, UNKNOWN"),
    "running": to_be_said("IN HAND WITH {name}"),
    "paused": to_be_said("IN HAND WITH {name}, PAUSED"),
}
_LABELS: dict[BigAction, str] = {
    "look": to_be_said("LOOK AT THE PART"),
    "resume": to_be_said("CARRY ON"),
    "begin": to_be_said("BEGIN THIS STEP"),
    "complete": to_be_said("COMPLETE THE PART"),
    "question": to_be_said("SAY WHERE TO GO ON"),
    "late": to_be_said("TIME RAN OUT"),
    "snag": to_be_said("LOOK AT THE SNAG"),
    "look at clock": to_be_said("LOOK AT THE PART"),
    "room air": to_be_said("READ THE ROOM"),
    "wall clock": to_be_said("THE CLOCK"),
    "second look": to_be_said("SECOND LOOK"),
    "room": to_be_said("LOOK ROUND…"),
    "loud": to_be_said("ALL THE SAME…"),
    "who": to_be_said("SAY WHO YOU ARE"),
    "choose": to_be_said("SEE WHAT FITS NOW"),
}


# What stops a step, and the action that leads to where it is cleared.
_CLEARED_BY: dict[BlockKind, BigAction] = {
    "late": "late",
    "look": "second look",
    "look at clock": "look at clock",
    "room air": "room air",
    "wall clock": "wall clock",
}


def place_card(context: Context) -> PlaceCard:
    """The place card for now."""
    card = _of_what_stands_first(context)
    return card if card.when else replace(card, when=_touched_words(context, card.marks))


def _touched_words(context: Context, marks: Sequence[str]) -> str:
    """When something was last done on these parts; empty where nothing was yet."""
    state = context.state
    works = [state.works.get(state.part(mark).work or "") for mark in marks]
    times = [work.touched_at for work in works if work is not None and work.touched_at is not None]
    times += [
        done.at for mark in marks for steps in state.part(mark).passes.values() for done in steps.values()
    ]
    # Also what does not stand any more, and what was seen to be wrong.
    times += [one.at for one in state.confirmations if not set(marks).isdisjoint(one.marks)]
    times += [one.at for one in state.snags.values() if one.mark in marks]
    now = context.now if context.doubt is None else None
    return said("Last touched {ago}.", ago=ago(max(times), now)) if times else ""


def _of_what_stands_first(context: Context) -> PlaceCard:
    """The card of what is to go on with; of a sitting that has ended, how it was left."""
    state = context.state
    card = _surroundings(context)
    work = _work_in_hand(context)
    at_once = _spoiling(context, work, near=True)
    stands = () if at_once else _must_follow(context, work)
    spoiling = at_once or stands or _spoiling(context, work)
    if spoiling:
        work = state.works.get(state.part(spoiling[0]).work or "")
    if work is not None:
        found = _barred(_card_of_work(card, context, work), context)
        return _with_paused(found, context, work)
    going = goes_on(context, spoiling[0]) if spoiling else _batch_goes_on(context)
    if going is not None and spoiling and not set(spoiling) & set(going.marks):
        going = None
    found = _card_of_next(card, context, going.marks if going else spoiling or _next_marks(context), going)
    paused = _newest(work for work in state.works.values() if not _elsewhere(context, work))
    if (
        paused is not None and found.action == "choose" and not stands
    ):  # nothing of what was last worked at can go on
        return _barred(_card_of_work(card, context, paused), context)
    return _with_paused(found, context)


def _with_paused(card: PlaceCard, context: Context, shown: Work | None = None) -> PlaceCard:
    """The card with the steps that stand still: all that may not be left so, else those that are not the one
    that is ``shown``."""
    shop, state = context.shop, context.state
    still = [work for work in state.works.values() if work.status != "running"]
    kept = [work for work in still if work.status == "paused" and has_to_end(shop, state, work)]
    return replace(
        card,
        paused=tuple(_paused_words(context, work) for work in still if work not in (*kept, shown)),
        not_to_be_left=tuple(_paused_words(context, work) for work in kept),
    )


def _card_of_next(
    card: PlaceCard, context: Context, marks: tuple[str, ...], going: GoesOn | None
) -> PlaceCard:
    """The card of parts whose next step is not begun."""
    shop, state = context.shop, context.state
    if not marks:
        return replace(card, standing=said("ALL PARTS COMPLETE"), action="choose")
    where = position(shop, state, marks[0])
    parts = f"{marks_in_full(marks)}{in_batch_words(context, marks)}  {kinds_in_words(shop, marks)}"
    card = replace(
        card,
        marks=marks,
        title=parts,
        changes=tuple(_changes(context, marks)),
        batch=batch_lines(context, going) if going is not None else batch_of_one(context, marks[0]),
        opened=opened_words(context, marks[0]),
    )
    if where.question is not None:
        return replace(
            card,
            standing=said("QUESTION"),
            do=said("Where does it go on? {question}.", question=where.question.words),
            action="question",
        )
    if where.procedure is None or where.step is None:
        return replace(
            card,
            standing=said("ALL STEPS DONE"),
            do=said("Look the part over once more before you call it complete."),
            action="choose" if why_not(context, "complete") else "complete",
        )
    stops = in_order_of_clearing(
        going.stops if going else blocks(context, marks[0], where.procedure, where.step)
    )
    action: BigAction = "begin"
    if stops:
        first = stops[0].kind
        action = _CLEARED_BY.get(first, "choose")
        if action == "late" and why_not(context, "answer_limit"):
            action = "choose"
        if first == "person" and context.doer.id == NOBODY:
            action = "who"
        if first == "room" and not why_not(context, "clear_room"):
            action = "room"
        if first == "quiet" and too_loud_but(context, marks, where.procedure, where.step):
            action = "loud"
    all_here = _of_batch_here(context, marks, where.procedure, where.step)
    ahead = _told_ahead(context, all_here, where.procedure, where.step, stops)
    return replace(
        card,
        standing=said("NEXT STEP"),
        procedure=where.procedure.id,
        step=where.step.id,
        title=f"{parts}  {where.procedure.title}",
        number=where.number,
        of=where.of,
        do=action_words(context, where.step),
        fetch=shop.tool_names(where.step) + shop.consumable_names(where.step),
        blocked=_told(stops),
        could_not_follow=_ahead(ahead),
        begin_by="" if stops or ahead else _begin_by(context, all_here, where.procedure, where.step),
        runs_out_first=_runs_out_first(context, marks, where.procedure.ref(where.step), ahead or stops),
        action=action,
    )


def _told(stops: Sequence[Block]) -> str:
    """Why it may not begin: the first reason and, beside one that time clears, what somebody could clear
    meanwhile."""
    of_things = [stop for stop in stops[1:] if stop.kind in ("tool", "stock")]
    told = [*stops[:1], *(of_things[:1] if stops and stops[0].kind in ("wait", "quiet") else [])]
    return "; ".join(stop.text for stop in told)


def _changes(context: Context, marks: Sequence[str]) -> Iterator[str]:
    """What changed since work stopped: the procedure, and figures that these parts were made by."""
    told = revision_changes(context.shop, context.state, marks[0])
    yield from told
    passed = [] if len(told) > 1 else never_done(context.shop, context.state, marks[0])
    if passed:
        yield said(
            "put in since and never done on {marks}: {steps}",
            marks=marks[0],
            steps=", ".join(str(ref) for ref in passed),
        )
    gathered: dict[str, list[str]] = {}
    for mark in marks:
        for one in made_otherwise(context.shop, context.state, mark, at_start=True):
            gathered.setdefault(one.words, []).append(mark)
    for words, of in gathered.items():
        yield f"{marks_in_full(of)}: {words}"


def _barred(card: PlaceCard, context: Context) -> PlaceCard:
    """The card of a step in hand, which may not go on with this person's hands or these people here."""
    _, step = context.shop.find_step(card.procedure, card.step, card.shown)
    work = context.state.works.get(card.work or "")
    if step is None or work is None or card.blocked:
        return card
    bar = barred(context, work, step)
    if bar.text:
        action: BigAction = "choose"
        if context.doer.id == NOBODY:
            action = "who"
        elif bar.by_the_room and not why_not(context, "clear_room"):
            action = "room"
        return replace(card, blocked=bar.text, action=action)
    if stops := ran_out(context, work, work.marks):
        clears = why_not(context, "answer_limit" if stops[0].kind == "late" else "look_at_clock")
        action = "choose" if clears else _CLEARED_BY.get(stops[0].kind, "choose")
        return replace(card, blocked=stops[0].text, action=action, marks=_late_first(context, work))
    held = held_in_hand(context.state, work, step)
    if held and card.action == "resume":
        # The step would take neither a count nor its end.
        first = tuple(sorted(work.marks, key=lambda mark: mark != held[0].names))
        action = "choose" if why_not(context, "decide_snag") else "snag"
        return replace(card, blocked=held[0].text, action=action, marks=first)
    lacking = lacking_in_hand(context, work)
    return replace(card, blocked=lacking[0].text if lacking else "", asks_first=bool(lacking))


def _late_first(context: Context, work: Work) -> tuple[str, ...]:
    """The parts in hand, that on which a limit ran out first: its page asks about it."""
    return tuple(sorted(work.marks, key=lambda mark: not ran_out(context, work, [mark])))


def _spoiling(context: Context, in_hand: Work | None, *, near: bool = False) -> tuple[str, ...]:
    """The parts on which something spoils first, where their next step can be taken up; with ``near`` those
    alone on which little time is left.

    They come before what was left paused or unknown, and before a running step once little time is left.
    """
    shop, state = context.shop, context.state
    for one in running_clocks(context):
        if not one.is_limit or one.left_s is None or one.left_s < 0:
            continue
        busy = in_hand is not None and in_hand.status == "running"
        if (busy or near) and not is_near(one.clock, one.left_s):
            continue
        # Of what a snag holds nothing is begun, and its limit is seen beside: what is free of it comes first.
        marks = [mark for mark in one.marks if mark in shop.parts and not state.open_snags(mark)]
        held = [mark for mark in marks if state.part(mark).work in state.works]
        where = position(shop, state, marks[0]) if marks and not held else None
        if held:
            return tuple(held)
        if where is None or where.procedure is None or where.step is None:
            continue
        together = goes_on(context, marks[0])
        gone_on = _gone_on_with(context, one, marks)
        behind = together is not None and marks[0] not in together.marks
        if together is not None and behind and not (gone_on or is_near(one.clock, one.left_s)):
            return together.marks  # there is time for the rest of its batch to come up with it
        stops = blocks(context, marks[0], where.procedure, where.step)
        if not stops or stops[0].kind != "wait":
            return _standing_together(shop, state, list(dict.fromkeys([*marks, *gone_on])))
    return ()


def _gone_on_with(context: Context, one: RunningClock, marks: Sequence[str]) -> tuple[str, ...]:
    """All that were gone on with last, where a limit runs on some of them and that was done since it began:
    they come before the rest of their batch, which was left behind."""
    last = next(iter(_confirmed_last(context)), None)
    if last is None or set(marks).isdisjoint(last.marks):
        return ()
    if (last.procedure, last.step) == (one.clock.procedure, one.clock.set_by):
        return ()
    return tuple(mark for mark in last.marks if mark in context.shop.parts and _is_free(context, mark))


def _is_free(context: Context, mark: str) -> bool:
    """True for a part that nothing holds and that is not in hand."""
    return not context.state.open_snags(mark) and context.state.part(mark).work not in context.state.works


def _must_follow(context: Context, in_hand: Work | None) -> tuple[str, ...]:
    """The parts last worked on that may not be left without their next step, whatever holds that.

    They come before what was left running, paused or unknown: after the coat the gun is cleaned, not a tag
    wired. While mixed primer stands its own time, the card says until when, and Minutes what fills it.
    """
    runs = in_hand if in_hand is not None and in_hand.status == "running" else None
    left = left_in_runs(context)
    for one in sorted(left, key=lambda follows: follows.done_at, reverse=True):
        if runs is not None and (runs.touched_at or runs.started_at) >= one.done_at:
            return ()  # that is what is worked at now
        if context.state.open_snags(one.mark):
            continue  # the builder decides first
        done_with_it = [
            other.mark
            for other in left
            if other.done_at == one.done_at and not context.state.open_snags(other.mark)
        ]
        return _standing_together(context.shop, context.state, done_with_it)
    return ()


def _surroundings(context: Context) -> PlaceCard:
    """What the card says whatever there is to go on with."""
    shop, state = context.shop, context.state
    now = context.now if context.doubt is None else None
    left = state.left if state.sitting is None else None
    noted = state.left if left is not None or _stands_as_left(state) else None
    running = sorted(told_clocks(context), key=lambda one: one.need)
    when, who = "", _left_by(context)
    if left is not None:
        how = (
            said("The power or the screen went, last saved")
            if left.cut_short
            else said("{name} left", name=who)
            if who
            else said("You left")
        )
        how = said("Nobody closed up, and the bench was left") if left.left_alone else how
        when = f"{how} {ago(left.at, now)}."
    return PlaceCard(
        aeroplane=shop.file.aeroplane.name,
        when=when,
        note=_note_words(who, noted.note) if noted is not None and noted.note else "",
        left=left.left if left else (),
        clocks=(*mixes_left_lines(context), *(one.words for one in running)),
        first_clock=running[0] if running else None,
        doubt=doubt_words(context.doubt) if context.doubt is not None else "",
        look_back=tuple(_look_back(shop, state, now)),
        snags=tuple(f"{snag.mark}: {snag.text}" for snag in state.open_snags()),
        to_look_over=tuple(part.mark for part in state.parts.values() if part.wants_look),
        wrong_pins=tuple(wrong_pin_lines(shop, state)),
    )


def _stands_as_left(state: State) -> bool:
    """True while a step that was in hand when the bench was left still is: the note was of that."""
    left = state.left
    return left is not None and any(work.started_at <= left.at for work in state.works.values())


def _left_by(context: Context) -> str:
    """Who closed the last sitting; empty when it was the one in front of the screen."""
    left = context.state.left
    if left is None or not left.by or left.by == context.doer.id:
        return ""
    person = context.shop.people.get(left.by)
    return person.name if person is not None else left.by


def _note_words(name: str, note: str) -> str:
    return (
        said("{name}'s note: {note}", name=name, note=note) if name else said("Your note: {note}", note=note)
    )


def _work_in_hand(context: Context) -> Work | None:
    """The step that runs in the hands of whoever has the screen, or was cut off in them; on coming back the
    one that may not be left as it is; else the one that was worked at last, while it is in hand; else one
    that runs or that a person has to look at. Nobody is thrown back to what stands paused, nor to what
    another person does meanwhile, at this screen or at another."""
    state = context.state
    here = [work for work in state.works.values() if not _elsewhere(context, work)]
    for status in ("running", "unknown"):
        own = _newest(work for work in here if work.status == status and work.worker == context.doer.id)
        if own is not None:
            return own
    left = newest_left(context.shop, context.state, here) if _comes_back(context) else None
    if left is not None and not _waits_for_a_snag(context, left):
        return left
    last = next((work for work in here if work.id == state.last_work), None)
    if last is not None and not _waits_for_a_snag(context, last):
        return last
    paused = _newest(work for work in here if work.status == "paused" and work.worker == context.doer.id)
    if paused is not None and last is None and _only_others_went_on(context, paused):
        return paused
    return _newest(work for work in here if work.status != "paused")


def _comes_back(context: Context) -> bool:
    """True until something is done after the bench was opened: closing up said what comes first."""
    state, sitting = context.state, context.state.sitting
    if sitting is None:
        return True
    stood = all((work.id, work.touched) in sitting.stood for work in state.works.values())
    return stood and state.last_deed is None


def _only_others_went_on(context: Context, paused: Work) -> bool:
    """True when this person has done nothing since: what a helper did meanwhile does not move their place,
    nor what they began themselves and put back as not begun."""
    since = paused.touched_at or paused.started_at
    return all(one.by != context.doer.id for one in context.state.confirmations if one.at >= since)


def _newest(works: Iterable[Work]) -> Work | None:
    return max(works, key=lambda work: work.touched_at or work.started_at, default=None)


def _elsewhere(context: Context, work: Work) -> bool:
    """True for what another person does at another screen."""
    return work.status == "running" and work.run != context.run and work.worker != context.doer.id


def _waits_for_a_snag(context: Context, work: Work) -> bool:
    """True where a snag holds all that is left of a step, and the others of the batch went on without."""
    held = all(context.state.open_snags(mark) for mark in work.marks)
    return work.status == "paused" and held and any(context.state.part(one).left_batch for one in work.marks)


def _paused_words(context: Context, work: Work) -> str:
    _, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
    do = step.do if step is not None else id_in_words(work.step)
    parts, name = marks_in_full(work.marks), _of_another(context, work)
    return said("{parts}, with {name}: {do}", parts=parts, name=name, do=do) if name else f"{parts}: {do}"


def _of_another(context: Context, work: Work) -> str:
    """Whose hands are at a step in hand, by name, where those are not whose the screen is now."""
    if work.worker == context.doer.id:
        return ""
    person = context.shop.people.get(work.worker)
    return person.name if person is not None else work.worker


def _confirmed_last(context: Context) -> list[Confirmation]:
    """The steps confirmed, newest first: what this person did in this sitting comes before others' work."""
    state = context.state
    newest = list(reversed(state.confirmations))
    if state.sitting is None:
        return newest
    opened = state.sitting.opened_at
    return sorted(newest, key=lambda one: not (one.by == context.doer.id and one.at >= opened))


def _batch_goes_on(context: Context) -> GoesOn | None:
    """What the batch that was worked at last does next; None where the last part worked at is alone."""
    shop, state = context.shop, context.state
    for done in _confirmed_last(context):
        marks = [mark for mark in done.marks if mark in shop.parts]
        open_ones = [mark for mark in marks if state.part(mark).completed_at is None]
        together = [mark for mark in marks if members(shop, state, mark)]
        if together:
            return goes_on(context, together[0])
        if open_ones:
            return None
    return None


def _next_marks(context: Context) -> tuple[str, ...]:
    """The parts to go on with: those of the last confirmed step that still stand together; where they are
    complete, what they opened."""
    shop, state = context.shop, context.state
    for done in _confirmed_last(context):
        marks = [
            one
            for mark in done.marks
            if mark in shop.parts
            for one in (members(shop, state, mark) or (mark,))
            if not position(shop, state, one).completed and state.part(one).work not in state.works
        ]
        if marks:
            return _standing_together(shop, state, list(dict.fromkeys(marks)))
        opened = opened_by(context, done.marks)
        if opened:
            return opened[:1]
    positions, step_stops = context.positions, StepStops(context)
    can_go_on = (
        one.marks[0]
        for one in all_parts(context)
        if not one.in_hand and not one.stops and not step_stops.of(one.at.asks)
    )
    first = min(can_go_on, key=positions.place, default=None)
    if first is None:
        first = next((mark for mark in shop.parts if not positions.of(mark).completed), None)
    return () if first is None else (first,)


def _standing_together(shop: Shop, state: State, marks: list[str]) -> tuple[str, ...]:
    first = position(shop, state, marks[0])
    same = [
        mark
        for mark in marks
        if (where := position(shop, state, mark)).procedure is first.procedure and where.step is first.step
    ]
    if first.step is not None and first.step.batch == "no":
        same = same[:1]
    return tuple(same)


def _card_of_work(card: PlaceCard, context: Context, work: Work) -> PlaceCard:
    shop, state = context.shop, context.state
    procedure, step = shop.find_step(work.procedure, work.step, work.turned_to)
    gone = [mark for mark in work.marks if mark not in shop.parts]
    if gone:
        return _card_of_gone(card, work, gone, step)
    piece = work.piece(work.turned_to) or work.pieces[0]
    kind = shop.kind_of(piece.mark)
    where = position(shop, state, piece.mark)
    card = replace(
        card,
        marks=work.marks,
        shown=piece.mark,
        work=work.id,
        batch=batch_of_one(context, piece.mark),
        changes=tuple(_changes(context, work.marks)),
    )
    if procedure is None or step is None:
        return replace(
            card,
            standing=said("QUESTION"),
            title=f"{piece.mark}  {kind.name}",
            do=said("The step {step} in hand is no longer in the procedure.", step=repr(work.step)),
            action="question",
        )
    count, blocked = None, ""
    try:
        if step.repeat is not None:
            wanted = shop.figures.count(kind, step.repeat)
            at_most = step.repeat.enough is not None
            count = Count(piece.count, wanted, step.repeat.of, at_most, piece.enough)
    except FigureFault as fault:
        blocked = fault_line(shop, fault)
    asked = {check.id: check.ask for check in step.checks}
    name = _of_another(context, work)
    standing = said(_STANDING_WITH[work.status], name=name) if name else said(_STANDING[work.status])
    others = in_batch_words(context, (piece.mark,))
    to_do = pieces_to_do(state, work)
    if not others and len(to_do) > 1 and piece.mark in to_do:
        others = " " + said("({at} of {number} left)", at=to_do.index(piece.mark) + 1, number=len(to_do))
    ahead = [] if work.status == "running" else in_hand_could_not_follow(context, work)
    return replace(
        card,
        standing=standing,
        procedure=procedure.id,
        step=step.id,
        title=f"{piece.mark}{others}  {kind.name}  {procedure.title}",
        number=where.number,
        of=where.of,
        do=action_words(context, step),
        count=count,
        half_typed=tuple(_half_typed(context, piece, asked)) if piece.drafts else (),
        fetch=shop.tool_names(step) + shop.consumable_names(step),
        blocked=blocked,
        could_not_follow=_ahead(ahead),
        begin_by="" if blocked or ahead else _in_hand_by(context, work),
        runs_out_first=_runs_out_first(context, work.marks, procedure.ref(step), ahead),
        action="choose" if blocked else "look" if work.status == "unknown" else "resume",
    )


def _half_typed(context: Context, piece: Piece, asked: Mapping[str, str]) -> Iterator[HalfTyped]:
    from kiosk.record.half_typed import half_typed_elsewhere, half_typed_here  # a start does without

    for check in piece.drafts:
        here = half_typed_here(context, piece, check)
        yield HalfTyped(asked.get(check, check), here, half_typed_elsewhere(context, piece, check))


def _runs_out_first(
    context: Context, marks: Sequence[str], ref: StepRef, stops: Sequence[Block]
) -> tuple[str, ...]:
    if not stops or stops[0].until is None:
        return ()
    from kiosk.views.runs_out_first import runs_out_first  # a start does without

    return runs_out_first(context, marks, ref, stops)


def _of_batch_here(context: Context, marks: Sequence[str], procedure: Procedure, step: Step) -> Sequence[str]:
    """These parts and those of their batch that stand at the same step: begun one by one, all are to come to
    what follows in time."""
    if not context.shop.file.quiet_hours:
        return marks
    positions = context.positions
    others = (
        one
        for one in members(context.shop, context.state, marks[0])
        if one not in marks and not context.state.part(one).work
    )
    here = ((one, positions.of(one)) for one in others)
    ref = procedure.ref(step)
    return (
        *marks,
        *(
            one
            for one, at in here
            if at.procedure is not None and at.step is not None and at.procedure.ref(at.step) == ref
        ),
    )


def _told_ahead(
    context: Context, marks: Sequence[str], procedure: Procedure, step: Step, stops: Sequence[Block]
) -> list[Block]:
    """What could not follow in time where the step is begun now, or when the wait is over that alone stops
    it: what stands meanwhile is known to be lost, or not, before that."""
    if not stops:
        return told_first(context, marks, procedure, step)
    waits = [stop.until for stop in stops if stop.kind == "wait" and stop.until is not None]
    if len(waits) < len(stops) or not context.shop.file.quiet_hours:
        return []
    from kiosk.record.last_moment import at_moment  # a start by day does without

    return told_first(at_moment(context, max(waits)), marks, procedure, step)


def _begin_by(context: Context, marks: Sequence[str], procedure: Procedure, step: Step) -> str:
    if not context.shop.file.quiet_hours:
        return ""
    from kiosk.record.last_moment import begin_step_by  # a start by day does without

    by = begin_step_by(context, marks, procedure, step)
    if by is None:
        return ""
    return said(
        "BEGIN BY {time} at the very latest: then quiet hours come first.", time=time_or_day(by, context.now)
    )


def _in_hand_by(context: Context, work: Work) -> str:
    """By when a step in hand has to be ended, or one that is paused gone on with; of one that runs, too, that
    it is too late for what has to follow it."""
    if not context.shop.file.quiet_hours or work.status == "unknown":
        return ""
    from kiosk.record.last_moment import in_hand_by  # a start by day does without

    by = in_hand_by(context, work)
    if by is None:
        return _ahead(in_hand_could_not_follow(context, work)) if work.status == "running" else ""
    time = time_or_day(by, context.now)
    if work.status == "running":
        return said("END IT BY {time} at the very latest: then quiet hours come first.", time=time)
    return said("GO ON BY {time} at the very latest: then quiet hours come first.", time=time)


def _ahead(stops: Sequence[Block]) -> str:
    return said("AHEAD: {stop}", stop=stops[0].text) if stops else ""


def _card_of_gone(card: PlaceCard, work: Work, gone: list[str], step: Step | None) -> PlaceCard:
    """A part in hand is no longer in the shop's file: it is the builder's to say whether it should be."""
    names = marks_in_full(gone)
    return replace(
        card,
        standing=said("QUESTION"),
        work=work.id,
        gone=tuple(gone),
        title=f"{marks_in_full(work.marks)}  {step.do if step else ''}".rstrip(),
        do=said("{parts} are in hand and no longer in shop.yaml. What is recorded stays.", parts=names)
        if len(gone) > 1
        else said("{parts} is in hand and no longer in shop.yaml. What is recorded stays.", parts=names),
        action="question",
    )


def _look_back(shop: Shop, state: State, now: datetime | None) -> list[LookBack]:
    """The last steps confirmed, newest last; pieces of one batch at one step are one line."""
    found: list[LookBack] = []
    seen: set[tuple[str, str, str]] = set()  # what was done once more since is told once
    for done in reversed(state.confirmations):
        _, step = shop.find_step(done.procedure, done.step)
        text = step.do if step else done.step
        newer = found[-1] if found else None
        # What was reopened since is to do again: nothing is to be found true of it.
        passes = {mark: state.part(mark).passes.get(done.procedure, {}) for mark in done.marks}
        at = done.procedure, done.step
        marks = tuple(mark for mark in done.marks if done.step in passes[mark] and (mark, *at) not in seen)
        seen |= {(mark, *at) for mark in marks}
        if not marks:
            continue
        if newer is not None and (newer.procedure, newer.step) == at:
            found[-1] = replace(newer, marks=marks + newer.marks)
        elif len(found) == SHOWN_CONFIRMATIONS:
            break
        else:
            found.append(LookBack(marks, done.procedure, done.step, text, ago(done.at, now)))
    return found[::-1]
