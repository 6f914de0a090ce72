"""Finds what can be done now, parts at the same step gathered into candidates; and what cannot, and why."""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from typing import NamedTuple

from kiosk.dataclass import dataclass
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.work.asked import Asked, Wanted
from kiosk.planning.work.candidate import Candidate, LikeParts
from kiosk.planning.work.chain import LEAST_FILLED
from kiosk.planning.work.found_work import FoundWork, NotNow
from kiosk.planning.work.in_reserve import InReserve
from kiosk.planning.work.options import OptionMaker
from kiosk.planning.work.outline import Outline
from kiosk.planning.work.shelf_life import ShelfLife
from kiosk.record.context import Context
from kiosk.record.out_on_bench import minutes_out
from kiosk.record.part_stops import Together, all_parts
from kiosk.record.position import steps_left
from kiosk.record.positions import Ahead, Positions
from kiosk.record.readiness import Block, StepStops, held_in_hand, lacking_in_hand, ran_out, run_blocks
from kiosk.record.soonest import AtBench
from kiosk.record.state import Work
from kiosk.record.together import go_together
from kiosk.shop.procedure import Family, Procedure, Step, StepRef

StopsOf = Callable[[Step], list[Block]]


def find_work(
    context: Context,
    minutes: int,
    quiet_in: int | None = None,
    predictor: Predictor | None = None,
    shelf_life: ShelfLife | None = None,
    *,
    from_end: bool = False,
    with_reserve: bool = False,
) -> FoundWork:
    """Everything that could be taken up now within ``minutes``, and what could not and why.

    What makes noise must end within ``quiet_in`` minutes where that is given. With ``from_end`` the last of
    like parts are taken first. ``with_reserve`` keeps back what may turn out not to be needed.
    """
    stops_of = StepStops(context).of
    asked = Asked(context)
    gathered = _gathered(context, minutes, stops_of, asked)
    predictor = predictor or Predictor(context)
    shelf_life = shelf_life or ShelfLife(context)
    maker = OptionMaker(context, minutes, stops_of, quiet_in, predictor, asked, shelf_life, from_end=from_end)
    candidates, reserve, stuck, families = _candidates(context, gathered, maker, with_reserve=with_reserve)
    return FoundWork(
        context=context,
        predictor=predictor,
        candidates=tuple(candidates.values()),
        not_now=(
            *stuck,
            *(
                NotNow(tuple(marks), procedure, step, block)
                for marks, procedure, step, block in gathered.not_now.values()
            ),
            *_left_too_long(context),
        ),
        set_up=maker.times.set_up,
        away=maker.times.away,
        free=maker.free,
        out=minutes_out(maker.out),
        minutes=minutes,
        places=tuple(candidates),
        reserve=tuple(reserve),
        families=families,
    )


class _Group(NamedTuple):
    """What parts are gathered by. A batch of several kinds that goes on together stands in the place of a
    kind."""

    kind_or_batch: str
    procedure: str
    step: str
    wanted: Wanted
    ahead: Ahead


@dataclass(frozen=True)
class _Gathered:
    """Parts by group: ready now, and ready within the slot; and those that must wait, by step and reason."""

    ready: dict[_Group, list[Together]] = field(default_factory=dict)
    later: dict[_Group, list[tuple[int, str]]] = field(default_factory=dict)
    not_now: dict[tuple[str, ...], tuple[list[str], Procedure, Step, Block]] = field(default_factory=dict)


def _gathered(context: Context, minutes: int, stops_of: StopsOf, asked: Asked) -> _Gathered:
    """Every part that is not in hand, by where it stands and whether it can go on.

    Groups stand in the order of their first part, and parts that must wait in that of the shop file.
    """
    found = _Gathered()
    together: Iterable[Together] = [one for one in all_parts(context) if not one.in_hand]
    positions = context.kept.positions  # as all parts were just looked at by
    something_asked = asked.anything
    if something_asked:
        together = [part for one in together for part in _by_what_was_asked(one, asked)]
    if mixed := _mixed_batches(context, positions, together):
        together = [part for one in together for part in _by_batch(one, mixed)]
    for one in sorted(together, key=lambda one: positions.place(one.marks[0])):
        at, first = one.at, one.marks[0]
        key = _Group(
            mixed.get(first, at.key.kind) if mixed else at.key.kind,
            at.key.procedure,
            at.key.step,
            asked.of(first) if something_asked else "",
            at.key.ahead,
        )
        of_step = stops_of(at.asks)
        stops = one.stops or of_step
        if not stops:
            found.ready.setdefault(key, []).append(one)
            continue
        wait = _wait_left(context, stops)
        stands = wait is not None and first in positions.in_runs
        if wait is not None and (wait < minutes or stands) and not of_step:
            found.later.setdefault(key, []).extend((wait, mark) for mark in one.marks)
        kind_of_stop = (at.key.procedure, at.key.step, stops[0].kind)
        # What was asked for is told by itself, with what stops that very part.
        named = [mark for mark in one.marks if asked.is_named_first(mark)] if something_asked else []
        for key_of, marks in (
            (kind_of_stop, [mark for mark in one.marks if mark not in named]),
            ((*kind_of_stop, "asked for", stops[0].names), named),
        ):
            if marks:
                found.not_now.setdefault(key_of, ([], at.procedure, at.step, stops[0]))[0].extend(marks)
    _wait_for_each_other(context, found)
    for blocked in found.not_now.values():
        blocked[0].sort(key=positions.place)
    return found


def _wait_for_each_other(context: Context, found: _Gathered) -> None:
    """A batch that goes all at once is not torn because some of it is ready a few minutes before the rest: of
    washed parts that one mixture is for, the first is dry first."""
    for key, waits in found.later.items():
        ready = found.ready.get(key)
        if ready is None or ready[0].step.batch != "together":
            continue
        parts = context.state.parts
        batches = {parts[mark].batch for wait, mark in waits if wait < LEAST_FILLED and parts[mark].batch}
        apart = []
        for one in ready:
            with_them = [mark for mark in one.marks if mark in parts and parts[mark].batch in batches]
            waits += [(0, mark) for mark in with_them]
            if len(with_them) < len(one.marks):
                others = [mark for mark in one.marks if mark not in with_them]
                apart.append(replace(one, marks=others) if with_them else one)
        if apart:
            found.ready[key] = apart
        else:
            del found.ready[key]


def _mixed_batches(context: Context, positions: Positions, together: Iterable[Together]) -> dict[str, str]:
    """The batch of each part that goes all at once with other kinds: one mixture is for all of it."""
    batches = positions.mixed_batches()
    if not batches:
        return {}
    shop, parts = context.shop, context.state.parts
    found: dict[tuple[str, StepRef], list[str]] = {}
    for one in together:
        if one.step.batch == "together":
            for mark in one.marks:
                if mark in parts and parts[mark].batch in batches:
                    found.setdefault((parts[mark].batch, one.procedure.ref(one.step)), []).append(mark)
    return {
        mark: batch
        for (batch, ref), marks in found.items()
        if len({shop.parts[mark].kind for mark in marks}) > 1 and go_together(shop, marks, ref)
        for mark in marks
    }


def _by_batch(together: Together, mixed: Mapping[str, str]) -> Iterator[Together]:
    """Like parts, those of each batch of several kinds apart."""
    if mixed.keys().isdisjoint(together.marks):
        yield together
        return
    found: dict[str, list[str]] = {}
    for mark in together.marks:
        found.setdefault(mixed.get(mark, ""), []).append(mark)
    for marks in found.values():
        yield replace(together, marks=marks)


def _by_what_was_asked(together: Together, asked: Asked) -> Iterator[Together]:
    """Like parts, apart by what was asked of them; without those that are put off for today."""
    found: dict[str, list[str]] = {}
    for mark in together.marks:
        if not asked.is_put_off(mark):
            found.setdefault(asked.of(mark), []).append(mark)
    for marks in found.values():
        yield replace(together, marks=marks)


def _wait_left(context: Context, stops: Sequence[Block]) -> int | None:
    """Whole minutes until a part can go on, when a wait is all that stops it: at least one, as it is not over
    yet."""
    if stops[0].kind != "wait" or any(stop.until is None for stop in stops):
        return None
    ends = (stop.until for stop in stops if stop.until is not None)
    return max(1, *(math.ceil((end - context.now).total_seconds() / 60) for end in ends))


def _left_too_long(context: Context) -> Iterator[NotNow]:
    """Parts whose step was begun and left until a limit on them ran out: whoever left it, and whether it
    was put off or not."""
    for work in context.state.works.values():
        procedure, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
        if procedure is None or step is None:
            continue
        late = {mark: stops[0] for mark in work.marks if (stops := ran_out(context, work, [mark]))}
        for why in dict.fromkeys(late.values()):
            yield NotNow(tuple(mark for mark in late if late[mark] == why), procedure, step, why)


def _candidates(
    context: Context, gathered: _Gathered, maker: OptionMaker, *, with_reserve: bool
) -> tuple[dict[int, Candidate], list[InReserve], list[NotNow], tuple[Family, ...]]:
    """What is in hand, what is ready and what will be, by place; a step that somebody else has begun is
    theirs. And what is kept in reserve, what may not be left and comes to no end now, and the families that
    all of it begins with, in order, whether there is an option of it or not."""
    others = {person.id for person in context.people if person.id != context.doer.id}
    works = [
        work
        for work in context.state.works.values()
        if work.status != "unknown" and work.by not in others and not maker.asked.is_work_put_off(work)
        if not ran_out(context, work, work.marks)
    ]
    in_hand = [maker.in_hand(work) for work in works]
    found = {place: candidate for place, candidate in enumerate(in_hand) if candidate is not None}
    reserve: list[InReserve] = []
    stuck: list[NotNow] = [
        held
        for work, candidate in zip(works, in_hand, strict=True)
        if candidate is None and (held := _stuck_in_hand(context, work, maker)) is not None
    ]
    at_bench = AtBench(context)
    ready = maker.needed([maker.outline(group) for group in gathered.ready.values()])
    for place, one in enumerate(ready, len(in_hand)):
        if with_reserve and maker.may_be_kept_back(one):
            reserve.append(maker.kept_back(place, one))
        elif (candidate := maker.candidate(like := one.in_full())) is not None:
            found[place] = candidate
        elif like.in_a_run and (stops := _where_it_stops(like, maker.stops_of)) is not None:
            stuck.append(NotNow(like.marks, *stops))
        elif like.chain and (leads := run_blocks(context, like.marks, *like.chain[0], at_bench)):
            stuck.append(NotNow(like.marks, *like.chain[0], leads[0]))
    for place, waits in enumerate(gathered.later.values(), len(in_hand) + len(ready)):
        if (candidate := maker.waiting(waits)) is not None:
            found[place] = candidate
    first: list[LikeParts | Outline] = [one.like for one in in_hand if one is not None]
    first += [one for one in ready if one.chain]
    first += [one.like for place, one in found.items() if place >= len(in_hand) + len(ready)]
    families = dict.fromkeys(maker.times.family_at(one, 0) for one in first)
    return found, reserve, stuck, tuple(families)


def _stuck_in_hand(context: Context, work: Work, maker: OptionMaker) -> NotNow | None:
    """A step in hand that cannot go on, or, on a part that stands in a run, one after it: where and why."""
    if any(mark not in context.shop.parts for mark in work.marks):
        return None  # the place card asks what is so
    procedure, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
    if procedure is not None and step is not None:
        held = held_in_hand(context.state, work, step)
        if stops := held or maker.stops_of(step) or lacking_in_hand(context, work):
            marks = tuple(mark for mark in work.marks if not held or context.state.open_snags(mark))
            return NotNow(marks, procedure, step, stops[0])
    standing = [mark for mark in work.marks if maker.stands_in_run(mark)]
    if not standing:
        return None
    for procedure, step in steps_left(context.shop, context.state, standing[0]):
        if stops := maker.stops_of(step):
            return NotNow(tuple(standing), procedure, step, stops[0])
    return None


def _where_it_stops(like: LikeParts, stops_of: StopsOf) -> tuple[Procedure, Step, Block] | None:
    """The step at which parts that may not be left cannot go on, and why; None where none of them says so."""
    found = ((procedure, step, stops_of(step)) for procedure, step in like.left)
    return next(((procedure, step, stops[0]) for procedure, step, stops in found if stops), None)
