"""Whether a step can begin now on a part, and if not, why not."""

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from typing import Literal

from kiosk.dataclass import dataclass
from kiosk.record.authority import may_not_do, room_to_clear
from kiosk.record.context import Context
from kiosk.record.events import ClockSet
from kiosk.record.holding import HeldTools
from kiosk.record.position import position
from kiosk.record.room import is_fresh
from kiosk.record.state import State, Work
from kiosk.record.stock import in_stock
from kiosk.record.waits import clocks_on, ends_at, holds, run_on, seconds_left
from kiosk.shop.finish import NOT_ENTERED
from kiosk.shop.parts import marks_in_full
from kiosk.shop.procedure import Procedure, Step, ask_the_same
from kiosk.shop.shop import DAYS, Shop

BlockKind = Literal[
    "snag",
    "in hand",
    "wait",
    "late",
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
    """One reason why a step cannot begin now; ``until`` where it is known when it can."""

    kind: BlockKind
    text: str
    until: datetime | None = None


def blocks(context: Context, mark: str, procedure: Procedure, step: Step) -> list[Block]:
    """Every reason why this step cannot begin on this part now; an empty list means that it can."""
    return part_blocks(context, mark, procedure, step) + step_blocks(context, step)


def part_blocks(context: Context, mark: str, procedure: Procedure, step: Step) -> list[Block]:
    """The reasons that lie in the part: snags, work in hand, waits, what must exist first, a look."""
    snags = [Block("snag", f"{mark} is held: {snag.text}") for snag in context.state.open_snags(mark)]
    return snags + blocks_but_snags(context, HeldTools(context), mark, procedure, step)


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
        found.append(Block("in hand", f"{mark} is in hand: {doing.do if doing else other.step}"))
    for clock in clocks_on(context.shop, state, mark):
        if holds(context.shop, clock, mark, procedure, step):
            found += _clock_blocks(context, clock)
    found += _needs(context.shop, state, mark, procedure)
    found += _held(context, tools, procedure, step)
    if step.hold_point:
        looker = part.looked.get(procedure.ref(step))
        if looker is None:
            found.append(Block("look", f"a second person looks at {mark} before this step"))
        elif looker == context.doer.id:
            found.append(Block("look", f"{context.doer.name} gave {mark} the second look: another does it"))
    return found


def ran_out(context: Context, work: Work, marks: Iterable[str]) -> list[Block]:
    """Why a step that stands still in hand may not go on: limits that ran on and ran out, on these parts."""
    return [
        stop
        for mark in marks
        for clock in run_on(context.shop, work, mark)
        for stop in _clock_blocks(context, clock)
    ]


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


def step_blocks(context: Context, step: Step) -> list[Block]:
    """The reasons that lie in the step, the people, the house and the room."""
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
        elif item.expires is not None and item.expires < context.today:
            found.append(Block("stock", f"expired: {item.name} ({item.expires.isoformat()})"))
        elif item.expires is not None and context.doubt is not None:
            in_date = f"{item.name} is in date ({item.expires.isoformat()})"
            found.append(Block("wall clock", f"the clock is not believed: nobody knows whether {in_date}"))
    bar = may_not_do(context, step)
    if bar:
        found.append(Block("person", bar))
    to_clear = room_to_clear(context, step)
    if to_clear:
        found.append(Block("room", to_clear))
    if step.conditions.loud and context.doubt is not None and shop.file.quiet_hours:
        found.append(Block("wall clock", "the clock is not believed: nobody knows whether it is quiet time"))
    elif step.conditions.loud:
        quiet = quiet_until(shop, context.now)
        if quiet is not None:
            found.append(Block("quiet", f"quiet hours until {_clock_text(quiet)}", quiet))
    found += _room_air(context, step)
    return found


class StepStops:
    """What stops steps whatever the part, within one moment: asked once for all steps that ask for the same.

    The kinds' own versions of one step mostly differ in their minutes and figures, and not in this.
    """

    def __init__(self, context: Context) -> None:
        self._context = context
        # The step is kept with what stops it, so that its id stays its own.
        self._known: dict[int, tuple[Step, list[Block]]] = {}
        self._versions: dict[str, list[tuple[Step, list[Block]]]] = {}

    def of(self, step: Step) -> list[Block]:
        """What :func:`step_blocks` gives."""
        known = self._known.get(id(step))
        if known is None:
            versions = self._versions.setdefault(step.id, [])
            stops = next((found for one, found in versions if ask_the_same(one, step)), None)
            if stops is None:
                stops = step_blocks(self._context, step)
                versions.append((step, stops))
            known = self._known[id(step)] = (step, stops)
        return known[1]


def _held(context: Context, tools: HeldTools, procedure: Procedure, step: Step) -> list[Block]:
    """That all of a tool are held by parts that wait on it."""
    least = tools.least_free(procedure, step)
    if least is None or least.free > 0 or not least.held_by:
        return []
    tool = context.shop.tool_name(least.tool)
    return [Block("tool", f"{tool}: held by {marks_in_full(least.held_by)} ({least.what})")]


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


def quiet_until(shop: Shop, now: datetime) -> datetime | None:
    """When the quiet hours that hold now end; None when it is not quiet time."""
    today = now.astimezone().date()
    for quiet in shop.file.quiet_hours:
        for day in (today, today - timedelta(days=1)):
            if DAYS[day.weekday()] not in quiet.days:
                continue
            last_day = day if quiet.end > quiet.start else day + timedelta(days=1)
            end = max(_house_times(last_day, quiet.end))
            if min(_house_times(day, quiet.start)) <= now < end:
                return end
    return None


def minutes_until_quiet(shop: Shop, now: datetime) -> float | None:
    """Minutes to the next quiet hours within a day; 0 when they hold now, None when there are none."""
    if quiet_until(shop, now) is not None:
        return 0.0
    today = now.astimezone().date()
    starts = [
        min(_house_times(day, quiet.start))
        for quiet in shop.file.quiet_hours
        for day in (today, today + timedelta(days=1))
        if DAYS[day.weekday()] in quiet.days
    ]
    ahead = [(start - now).total_seconds() / 60 for start in starts if start >= now]
    return min(ahead) if ahead else None


def _house_times(day: date, at: time) -> tuple[datetime, datetime]:
    """A time of day by the clock on the wall: the same twice, but for the night on which clocks change.

    What the clock shows twice, or skips, is read both ways; quiet hours take the longer.
    """
    wall = datetime.combine(day, at)
    return wall.astimezone(), wall.replace(fold=1).astimezone()


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
