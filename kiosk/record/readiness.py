"""Whether a step can begin now on a part, and if not, why not."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from itertools import dropwhile
from typing import Literal

from kiosk.dataclass import dataclass
from kiosk.record.authority import is_adult, may_not_do, room_to_clear, too_few
from kiosk.record.context import Context
from kiosk.record.events import ClockSet
from kiosk.record.holding import FreeTool, HeldTools
from kiosk.record.position import left_in_a_run, position
from kiosk.record.quiet_hours import QuietTimes, minutes_until_quiet, quiet_at
from kiosk.record.room import is_fresh
from kiosk.record.soonest import AtBench, Comes, Soonest
from kiosk.record.state import Piece, State, Work
from kiosk.record.stock import in_stock
from kiosk.record.waits import clocks_on, ends_at, holds, run_on, seconds_left, wait_minutes
from kiosk.record.worked import seconds_worked
from kiosk.shop.finish import NOT_ENTERED
from kiosk.shop.parts import marks_in_full
from kiosk.shop.procedure import Procedure, Step, ask_the_same
from kiosk.shop.shop import Consumable, Shop
from kiosk.shop.stock_use import same_unit

# In so long a builder with a few evenings a week comes back. Common practice, no source.
LONG_LIMIT = timedelta(days=3)
_NO_AMOUNT = 1e-6  # what binary arithmetic may leave of nothing

BlockKind = Literal[
    "snag",
    "in hand",
    "wait",
    "late",
    "limit",  # one runs, and nothing of this answer comes before it
    "look at clock",  # the wall clock was changed: nobody knows how a clock on the part stands
    "needs",
    "tool",
    "stock",
    "person",
    "room",
    "look",
    "quiet",
    "room air",
    "wall clock",  # it is not believed, and this step needs the date or the time of day
]


@dataclass(frozen=True)
class Block:
    """One reason why a step cannot begin now; ``until`` where it is known when it can, and ``step`` where it
    stops another one than was asked for, which has to follow. ``names`` is the part that its text names."""

    kind: BlockKind
    text: str
    until: datetime | None = None
    step: str = ""
    names: str = ""


def in_order_of_clearing(stops: Iterable[Block]) -> list[Block]:
    """Who may go on comes first: nobody gives a look or reads the room for one who may not all the same."""
    return sorted(stops, key=lambda stop: stop.kind not in ("person", "room"))


def blocks(context: Context, mark: str, procedure: Procedure, step: Step) -> list[Block]:
    """Every reason why this step cannot begin on this part now; an empty list means that it can."""
    found = part_blocks(context, mark, procedure, step) + step_blocks(context, step)
    return found or run_blocks(context, [mark], procedure, step)


def part_blocks(context: Context, mark: str, procedure: Procedure, step: Step) -> list[Block]:
    """The reasons that lie in the part: snags, work in hand, waits, what must exist first, a look."""
    return _snags(context.state, mark) + blocks_but_snags(context, HeldTools(context), mark, procedure, step)


def blocks_but_snags(
    context: Context, tools: HeldTools, mark: str, procedure: Procedure, step: Step
) -> list[Block]:
    """The same without the snags, which are looked up once for many parts."""
    state = context.state
    part = state.part(mark)
    found: list[Block] = []
    if part.work is not None and part.work in state.works:
        other = state.works[part.work]
        _, doing = context.shop.find_step(other.procedure, other.step, mark)
        found.append(Block("in hand", f"{mark} is in hand: {doing.do if doing else other.step}", names=mark))
    for clock in clocks_on(context.shop, state, mark):
        if holds(context.shop, clock, mark, procedure, step):
            found += _clock_blocks(context, clock)
    found += _needs(context.shop, state, mark, procedure)
    found += _held(context, tools, mark, procedure, step)
    if step.hold_point:
        looker = part.looked.get(procedure.ref(step))
        if looker is None:
            found.append(Block("look", f"a second person looks at {mark} before this step"))
        elif looker == context.doer.id:
            found.append(Block("look", f"{context.doer.name} gave {mark} the second look: another does it"))
    return found


def _snags(state: State, mark: str) -> list[Block]:
    return [Block("snag", f"{mark} is held: {snag.text}", names=mark) for snag in state.open_snags(mark)]


def held_in_hand(state: State, work: Work, step: Step) -> list[Block]:
    """The snags that hold what is turned to of a step in hand; where all go through together, any of them."""
    marks = work.marks if step.batch == "together" else (work.turned_to,)
    return [stop for mark in marks for stop in _snags(state, mark)]


def lacking_in_hand(context: Context, work: Work) -> list[Block]:
    """Tools and stock that a step in hand asks for and that are not there, or that other parts hold. Of what
    was begun nothing is refused for it: the rest may want no tool any more."""
    _, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
    if step is None:
        return []
    held = HeldTools(context).none_for(work.turned_to, step)
    lacking = [stop for stop in _things(context, step) if stop.kind in ("tool", "stock")]
    return lacking if held is None else [*lacking, _held_by_others(context, held)]


def stops_in_hand(context: Context, work: Work) -> list[Block]:
    """Why a step that stands still in hand cannot be gone on with now, so that no plan holds it."""
    _, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
    if step is None or any(mark not in context.shop.parts for mark in work.marks):
        return [Block("in hand", "its step or part is no longer in the files")]
    held = held_in_hand(context.state, work, step) + ran_out(context, work, work.marks)
    return held or step_blocks(context, step) or lacking_in_hand(context, work)


def ran_out(context: Context, work: Work, marks: Iterable[str]) -> list[Block]:
    """Why a step that stands still in hand may not go on: limits that ran on and ran out, on these parts."""
    return [
        stop
        for mark in marks
        for clock in run_on(context.shop, work, mark)
        for stop in _clock_blocks(context, clock)
    ]


def in_hand_could_not_follow(
    context: Context, work: Work, at_bench: AtBench | None = None, *, by_hand: bool = False
) -> list[Block]:
    """The same of a step in hand that is taken up again, for parts that stand in the run already too: it may
    go on, and what could not follow is told first."""
    procedure, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
    if procedure is None or step is None or any(mark not in context.shop.parts for mark in work.marks):
        return []
    spent_minutes = seconds_worked(context, work) / 60
    at = context, work.marks, procedure, step, spent_minutes
    return told_first(*at, by_hand=by_hand, at_bench=at_bench)


def told_first(
    context: Context,
    marks: Sequence[str],
    procedure: Procedure,
    step: Step,
    spent_minutes: float = 0.0,
    *,
    agreed: bool = False,
    by_hand: bool = False,
    at_bench: AtBench | None = None,
) -> list[Block]:
    """What whoever begins a step, or takes it up again, is told first: that it would itself run into quiet
    hours, else what could not follow it in time. ``agreed`` are the quiet hours that hold now, and they are
    not told again. ``by_hand``: see :func:`could_not_follow`."""
    at_bench = at_bench or AtBench(context)
    found = _runs_into_quiet(at_bench, marks, procedure, step, spent_minutes)
    found = found or could_not_follow(
        context, marks, procedure, step, spent_minutes, at_bench, telling=True, by_hand=by_hand
    )
    quiet = quiet_at(context.shop, context.now) if agreed else None
    return [stop for stop in found if quiet is None or (stop.kind, stop.until) != ("quiet", quiet[1])]


def _runs_into_quiet(
    at_bench: AtBench, marks: Sequence[str], procedure: Procedure, step: Step, spent_minutes: float
) -> list[Block]:
    """That a loud step which may not be left half way is not done before quiet hours, even at the soonest; of
    any other, where it is then done too late for a limit that ends with it."""
    context = at_bench.context
    if not step.conditions.loud or context.doubt is not None:
        return []
    minutes = minutes_until_quiet(context.shop, context.now)
    if minutes is None:
        return []
    if not minutes:
        return _noise(context, step, context.now)
    versions = _from_step_on(context.shop, marks, procedure, step)[0]
    begin = context.now + timedelta(minutes=minutes)
    quiet = quiet_at(context.shop, begin)
    comes = Soonest(at_bench, procedure, marks, spent_minutes).comes_to(versions, context.now)
    if quiet is None or comes.done <= begin:
        return []
    after = comes.done + (quiet[1] - begin)
    if step.stop in ("anywhere", "between pieces") and not _ends_before(
        context, marks, procedure, step, after
    ):
        return []  # it is left when they begin, and gone on with after them
    stop = _quiet(context, *quiet)
    return [Block("quiet", f"{stop.text}: {step.id.replace('-', ' ')} would run into them", stop.until)]


def _ends_before(
    context: Context, marks: Sequence[str], procedure: Procedure, step: Step, done: datetime
) -> bool:
    """True where a limit by which the step is to be finished on one of the parts ends before that."""
    return any(
        of == step.id and to_finish and context.now <= end < done
        for of, to_finish, end in _limits_on(context, marks, procedure)
    )


def _clock_blocks(context: Context, clock: ClockSet) -> list[Block]:
    left, at = seconds_left(context, clock), ends_at(context, clock)
    if left is None or at is None:
        over = "is over" if clock.kind == "must_pass" else "ran out"
        return [Block("look at clock", f"the clock was changed: look whether {clock.what} {over}")]
    if clock.kind == "must_pass" and left > 0:
        return [Block("wait", f"{clock.what} until {_clock_text(at, late=True)}", at)]
    if clock.kind == "within" and left < 0:
        return [Block("late", f"{clock.what} ran out {_clock_text(at)}: {clock.if_missed}")]
    return []


def step_blocks(
    context: Context,
    step: Step,
    quiet_times: QuietTimes | None = None,
    people: Sequence[Block] | None = None,
) -> list[Block]:
    """The reasons that lie in the step, the people, the house and the room. Whoever asks of many steps gives
    the ``quiet_times`` of the shop, and what lies in the ``people``."""
    return [
        *_things(context, step),
        *(_people(context, step) if people is None else people),
        *_noise(context, step, context.now, quiet_times),
        *_room_air(context, step),
    ]


def _people(context: Context, step: Step) -> list[Block]:
    """That somebody may not do a step, or may not be in the room: the same for all of the same hazards."""
    found: list[Block] = []
    if bar := may_not_do(context, step):
        found.append(Block("person", bar))
    if to_clear := room_to_clear(context, step):
        found.append(Block("room", to_clear))
    return found


def _things(context: Context, step: Step) -> list[Block]:
    """Tools and stock that a step asks for and the shop has not."""
    shop, state = context.shop, context.state
    found: list[Block] = []
    for name in step.tools:
        tool = shop.tools.get(name)
        if tool is None or tool.have < 1:
            found.append(Block("tool", f"tool missing: {shop.tool_name(name)}"))
    for name in step.consumables:
        item = shop.consumables.get(name)
        if item is None:
            found.append(Block("stock", f"not on the list: {name}"))
            continue
        stock = in_stock(state, item)
        if stock.left <= 0:
            by_steps = " by what steps took: count it" if stock.used else ""
            found.append(Block("stock", f"used up: {item.name}{by_steps}"))
        elif short := _too_little(step, item, stock.left):
            found.append(Block("stock", short))
        elif item.expires is not None and item.expires < context.today:
            found.append(Block("stock", f"expired: {item.name} ({item.expires.isoformat()})"))
        elif item.expires is not None and context.doubt is not None:
            in_date = f"{item.name} is in date ({item.expires.isoformat()})"
            found.append(Block("wall clock", f"the clock is not believed: nobody knows whether {in_date}"))
    return found


def _too_little(step: Step, item: Consumable, left: float) -> str:
    """That less of a consumable is left than one part takes: half a row of rivets would be driven."""
    wanted = sum(
        uses.worked_amount or 0.0
        for uses in step.uses
        if uses.of == item.id and same_unit(uses.unit, item.unit)
    )
    if wanted <= left + _NO_AMOUNT:
        return ""
    return f"short of {item.name}: {left:g} {item.unit} left, {wanted:g} wanted: count it"


def _noise(context: Context, step: Step, at: datetime, quiet_times: QuietTimes | None = None) -> list[Block]:
    """That a step is too loud for an hour, which may be one to come."""
    if not step.conditions.loud:
        return []
    if context.doubt is not None and context.shop.file.quiet_hours:
        return [Block("wall clock", "the clock is not believed: nobody knows whether it is quiet time")]
    quiet = (quiet_times or QuietTimes(context.shop)).at(at)
    return [_quiet(context, *quiet)] if quiet is not None else []


def _quiet(context: Context, begin: datetime, end: datetime) -> Block:
    """Quiet hours that hold now, or begin later."""
    since = f"from {_clock_text(begin)} " if begin > context.now else ""
    return Block("quiet", f"quiet hours {since}until {_clock_text(end)}", end)


def run_blocks(
    context: Context,
    marks: Sequence[str],
    procedure: Procedure,
    step: Step,
    at_bench: AtBench | None = None,
) -> list[Block]:
    """Why a step must not be begun on parts although it could be: what has to follow in time could not.

    Of parts that stand in the run already nothing is refused: they go on as far as they can. Whoever asks of
    many parts gives the ``at_bench`` of the moment.
    """
    if not _is_followed(step) or any(left_in_a_run(context.shop, context.state.part(one)) for one in marks):
        return []
    return could_not_follow(context, marks, procedure, step, at_bench=at_bench)


def begins_by(context: Context, step: Step, stops: Iterable[Block]) -> datetime | None:
    """When a step that these stop can begin at the soonest, for all that is known: where it is loud, not in
    quiet hours. None where nobody knows when the first of them is over."""
    untils = [stop.until for stop in stops]
    if not untils or untils[0] is None:
        return None
    begins = max(until for until in untils if until is not None)
    quiet = quiet_at(context.shop, begins) if step.conditions.loud else None
    return quiet[1] if quiet is not None else begins


def _is_followed(step: Step) -> bool:
    """True where something has to follow a step in time."""
    return step.stop == "go straight on" or any(wait.within is not None for wait in step.waits)


def too_loud_but(context: Context, marks: Sequence[str], procedure: Procedure, step: Step) -> str:
    """The quiet hours that alone stop a step on parts that may not be left without it; empty where it is
    otherwise, or somebody young asks.

    They are the house's own word. An adult may have agreed otherwise with those who sleep, and mixed primer
    that stands till morning has ruined the gun: it is asked, and not refused.
    """
    if not is_adult(context, context.doer):
        return ""
    if not all(left_in_a_run(context.shop, context.state.part(mark)) for mark in marks):
        return ""
    found: list[Block] = []
    for mark in marks:
        _, as_its_kind_has_it = context.shop.find_step(procedure.id, step.id, mark)
        found += blocks(context, mark, procedure, as_its_kind_has_it or step)
    return found[0].text if found and all(stop.kind == "quiet" for stop in found) else ""


def could_not_follow(
    context: Context,
    marks: Sequence[str],
    procedure: Procedure,
    step: Step,
    spent_minutes: float = 0.0,
    at_bench: AtBench | None = None,
    *,
    telling: bool = False,
    by_hand: bool = False,
) -> list[Block]:
    """What stops that which has to follow a step in time, where it surely does.

    The steps of a run follow one another at once, and each limit that they start wants its own step. Tools
    and stock that are not there stop those, in a run too few people at the bench, and quiet hours in which
    they would come at the soonest (:class:`Soonest`). Whether hands are quick enough for a limit is not
    judged. ``spent_minutes`` of the step are over already. ``telling`` what is refused to nobody, it is asked
    too of the limits that run on the parts by now, and of what begins in time and comes into quiet hours.
    ``by_hand`` it is judged all the same whether the quickest of those at the bench could meet a limit.
    """
    limits = _running_limits(context, marks, procedure) if telling else []
    if not (_is_followed(step) or limits):
        return []
    ahead = _from_step_on(context.shop, marks, procedure, step)
    ids = {one.id for versions in ahead for one in versions.values()}
    at_bench = at_bench or AtBench(context)
    soonest = Soonest(at_bench, procedure, marks, spent_minutes)
    at, in_run = context.now, True
    put_off: Block | None = None  # quiet hours that something has to wait for
    over: dict[str, datetime] = {}  # when what has to pass before a step will have passed
    # Without quiet hours ahead nothing hangs on when a step comes.
    loud_ahead = any(one.conditions.loud for versions in ahead[1:] for one in versions.values())
    told = loud_ahead and bool(context.shop.file.quiet_hours)
    for number, versions in enumerate(ahead):
        one = next(iter(versions.values()))
        comes = soonest.comes_to(versions, over.get(one.id, at)) if told else Comes(at, at)
        if number:
            lacking, loud = _things(context, one), _noise(context, one, comes.begins, at_bench.quiet)
            if in_run and (few := too_few(context, one)):
                lacking.append(Block("person", few))
            if lacking or (loud and in_run):
                return [_as_what_follows([*lacking, *loud][0], one)]
            if loud and loud[0].until is not None:
                put_off = loud[0]
                late = loud[0].until - comes.begins
                comes = Comes(loud[0].until, comes.done + late)
                soonest.wait_until(comes.done)
            elif telling and (crossed := _quiet_before_done(one, comes, at_bench.quiet)):
                # It begins in time, and quiet hours come before its end: that is after them.
                put_off, late = _quiet(context, *crossed), crossed[1] - crossed[0]
                if one.has_to_end and in_run:
                    return [_as_what_follows(put_off, one)]
                begins = crossed[1] if one.has_to_end else comes.begins
                comes = Comes(begins, comes.done + late)
                soonest.wait_until(comes.done)
        for ended in [limit for limit in limits if limit[0] == one.id]:
            if (comes.done if ended[1] else comes.begins) > ended[2]:
                if put_off is not None:
                    return [_as_what_follows(put_off, one)]
                if by_hand:
                    return [_as_what_follows(Block("limit", "a limit ends first"), one)]
            limits.remove(ended)
        at = comes.done
        for wait in one.waits:
            if wait.from_check is None:
                minutes = [wait.minutes]
            else:
                pieces = [Piece(mark) for mark in marks]
                minutes = [wait_minutes(context.state, procedure.id, one, wait, piece) for piece in pieces]
            if wait.must_pass is not None:
                ends = at + timedelta(minutes=min(minutes))
                over[wait.step] = max(ends, over.get(wait.step, ends))
            elif in_run and wait.step in ids and timedelta(minutes=max(minutes)) < LONG_LIMIT:
                limits.append((wait.step, wait.finish is not None, at + timedelta(minutes=max(minutes))))
        in_run = in_run and one.stop == "go straight on"
        if not (in_run or limits):
            break
    return []


Limit = tuple[str, bool, datetime]  # of a step, whether it is to be finished, and by when


def _limits_on(context: Context, marks: Sequence[str], procedure: Procedure) -> list[Limit]:
    """The limits of a procedure that run on parts."""
    return [
        (clock.step, clock.ends == "finish", ends)
        for mark in marks
        for clock in clocks_on(context.shop, context.state, mark)
        if clock.kind == "within" and clock.procedure == procedure.id
        if (ends := ends_at(context, clock)) is not None
    ]


def _running_limits(context: Context, marks: Sequence[str], procedure: Procedure) -> list[Limit]:
    """Of these, what ends before anybody can be taken to be back."""
    found = _limits_on(context, marks, procedure)
    return [one for one in found if context.now <= one[2] < context.now + LONG_LIMIT]


def _quiet_before_done(step: Step, comes: Comes, quiet: QuietTimes) -> tuple[datetime, datetime] | None:
    """The quiet hours that begin while a loud step is done; None where it is done before any."""
    held = quiet.at(comes.done) if step.conditions.loud else None
    return held if held is not None and comes.begins < held[0] < comes.done else None


def _from_step_on(
    shop: Shop, marks: Sequence[str], procedure: Procedure, first: Step
) -> list[dict[str, Step]]:
    """The steps from one on, in order: each as it is for those kinds of the parts that have it."""
    of_kind = {
        kind.id: {step.id: step for step in shop.steps_for(kind, procedure)}
        for kind in {shop.parts[mark].kind: shop.kind_of(mark) for mark in marks}.values()
    }
    found: list[dict[str, Step]] = []
    for one in dropwhile(lambda one: one.id != first.id, procedure.steps):
        versions = {kind: steps[one.id] for kind, steps in of_kind.items() if one.id in steps}
        if versions:
            found.append(versions)
    return found


def _as_what_follows(stop: Block, step: Step) -> Block:
    """What stops a step that would have to follow."""
    text = f"{stop.text}: {step.id.replace('-', ' ')} could not follow in time"
    return Block(stop.kind, text, stop.until, step.id)


class StepStops:
    """What stops steps whatever the part, within one moment: asked once for all steps that ask for the same.

    The kinds' own versions of one step mostly differ in their minutes and figures, and not in this.
    """

    def __init__(self, context: Context) -> None:
        self._context = context
        self._quiet = QuietTimes(context.shop)
        # The step is kept with what stops it, so that its id stays its own.
        self._known: dict[int, tuple[Step, list[Block]]] = {}
        self._versions: dict[str, list[tuple[Step, list[Block]]]] = {}
        self._people: dict[tuple[str, tuple[str, ...]], list[Block]] = {}  # by who does it, and the hazards

    def of(self, step: Step) -> list[Block]:
        """What :func:`step_blocks` gives."""
        known = self._known.get(id(step))
        if known is None:
            versions = self._versions.setdefault(step.id, [])
            stops = next((found for one, found in versions if ask_the_same(one, step)), None)
            if stops is None:
                stops = self._asked(step)
                versions.append((step, stops))
            known = self._known[id(step)] = (step, stops)
        return known[1]

    def _asked(self, step: Step) -> list[Block]:
        context, who = self._context, (step.who, step.hazards)
        if who not in self._people:
            self._people[who] = _people(context, step)
        return step_blocks(context, step, self._quiet, self._people[who])


def _held(context: Context, tools: HeldTools, mark: str, procedure: Procedure, step: Step) -> list[Block]:
    """That all of a tool are held by parts that wait on it."""
    least = tools.least_free(procedure, step)
    if least is None or least.free > 0 or not least.held_by:
        least = tools.none_for(mark, step)
    return [] if least is None else [_held_by_others(context, least)]


def _held_by_others(context: Context, least: FreeTool) -> Block:
    tool = context.shop.tool_name(least.tool)
    return Block("tool", f"{tool}: held by {marks_in_full(least.held_by)} ({least.what})")


def _needs(shop: Shop, state: State, mark: str, procedure: Procedure) -> list[Block]:
    kind = shop.kind_of(mark)
    found: list[Block] = []
    stage = next((entry for entry in kind.route if entry.procedure == procedure.id), None)
    for needed, count in (stage.needs if stage else {}).items():
        ready = sum(1 for mark in shop.marks_of(needed) if is_completed(state, mark))
        if ready < count:
            name = shop.kinds[needed].name
            undeclared = [mark for mark in shop.marks_of(needed) if _only_to_declare(shop, state, mark)]
            if len(undeclared) >= count - ready:
                marks = ", ".join(undeclared[: count - ready])
                found.append(Block("needs", f"needs {name}: declare {marks} complete first"))
                continue
            word = "ready" if shop.kinds[needed].tooling else "finished"
            found.append(Block("needs", f"needs {name}: {ready} of {count} {word}"))
    missing = [other for other in shop.parts[mark].made_from if not is_completed(state, other)]
    if missing:
        found.append(Block("needs", f"needs {', '.join(missing)} finished"))
    return found


def _only_to_declare(shop: Shop, state: State, mark: str) -> bool:
    where = position(shop, state, mark)
    return where.all_done and not where.completed


def is_completed(state: State, mark: str) -> bool:
    """True when the part was declared complete."""
    part = state.parts.get(mark)
    return part is not None and part.completed_at is not None


def _room_air(context: Context, step: Step) -> list[Block]:
    found: list[Block] = []
    conditions, state = step.conditions, context.state
    if conditions.temperature_f is None and conditions.humidity_percent is None:
        return found  # as of most steps, and a plan asks of all
    fresh = is_fresh(context)
    typical = f", {NOT_ENTERED}" if conditions.is_typical else ""
    for limits, value, name, unit in (
        (conditions.temperature_f, state.temperature_f, "temperature", "F"),
        (conditions.humidity_percent, state.humidity_percent, "humidity", "%"),
    ):
        if limits is None:
            continue
        low, high = (end if isinstance(end, float) else None for end in (limits.low, limits.high))
        wanted = " to ".join(f"{end:g}" for end in (low, high) if end is not None)
        needed = f"{wanted} {unit} is needed{typical}"
        if value is None or not fresh:
            found.append(Block("room air", f"read the {name} first: {needed}"))
        elif (low is not None and value < low) or (high is not None and value > high):
            found.append(Block("room air", f"{name} is {value:g} {unit}: {needed}"))
    return found


def next_blocks(context: Context, mark: str) -> list[Block]:
    """Why the part's next step cannot begin now. Empty also when there is no next step."""
    where = position(context.shop, context.state, mark)
    if where.procedure is None or where.step is None:
        return []
    return blocks(context, mark, where.procedure, where.step)


def _clock_text(at: datetime, *, late: bool = False) -> str:
    """A time of day in whole minutes: the one before, or the one after for what must have passed by then."""
    if late and (at.second or at.microsecond):
        at = at.replace(second=0, microsecond=0) + timedelta(minutes=1)
    return at.astimezone().strftime("%a %H:%M")
