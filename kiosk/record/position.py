"""Where a part stands in its route: the next step, or the question that has to be answered first."""

import difflib
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Literal

from kiosk.dataclass import dataclass
from kiosk.plural import so_many
from kiosk.record.events import ClockSet
from kiosk.record.state import PartState, State, Work
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import Procedure, Step, StepRef
from kiosk.shop.route import Route, StageSteps
from kiosk.shop.shop import Shop

Asks = Literal["step gone", "wait gone", "procedure gone", "work added"]


@dataclass(frozen=True)
class Question:
    """Why a part's place cannot be told from the files as they are now: the builder says where it goes on."""

    asks: Asks
    about: str  # the id of the step or procedure that is gone, or of the procedure that was added to
    words: str  # what is so, as the end of a sentence about the part
    likely: StepRef | None = None  # the place that it most likely has; never the beginning by default


@dataclass(frozen=True)
class Position:
    """The next step of a part. Without one it is ready to be completed, completed, or a question stands."""

    mark: str
    procedure: Procedure | None = None
    step: Step | None = None
    stage: int = 0
    number: int = 0  # of the step within its procedure as it applies to this part, from 1
    of: int = 0
    question: Question | None = None
    all_done: bool = False
    completed: bool = False

    @property
    def vanished(self) -> str:
        """The id of what the question is about; empty while none stands."""
        return self.question.about if self.question is not None else ""


def position(shop: Shop, state: State, mark: str) -> Position:
    """Where the part stands. A step added before the last one done is not asked for again.

    Nothing moves silently: where what is recorded on the part has no place in the files, a question stands.
    """
    part = state.part(mark)
    if part.completed_at is not None:  # also of one that is no longer in the files
        return Position(mark, completed=True)
    return position_on(shop.route_of(shop.kind_of(mark)), part)


def position_on(route: Route, part: PartState) -> Position:
    """Where a part stands on the route of its kind: neither of the two ever changes, so the answer does not.

    :class:`kiosk.record.positions.Positions` keeps it for as long as both are the same.
    """
    if part.completed_at is not None:
        return Position(part.mark, completed=True)
    gone = procedures_gone(route.names, part)
    if gone:
        return Position(part.mark, question=_of_procedure_gone(route, part, gone[0]))
    for stage in _stages_from_place(route, part):
        if is_passed_over(route, part, stage):
            continue
        where = _in_stage(route, part, stage)
        if where is not None:
            return where
    return Position(part.mark, all_done=True, stage=len(route))


def is_passed_over(route: Route, part: PartState, stage: int) -> bool:
    """True for a repair that no rework has sent the part to."""
    return route.kind.route[stage].repair and route.names[stage] not in part.passes


def repair_of(shop: Shop, kind: PartKind, ref: StepRef) -> bool:
    """True when a step is the first of a repair on the kind's route."""
    if ref.procedure not in kind.repairs:
        return False
    return next(iter(shop.steps_for(kind, shop.procedures[ref.procedure]))).id == ref.step


def procedures_gone(route: Collection[str], part: PartState) -> tuple[str, ...]:
    """Procedures with steps done on the part that its route no longer has, and that nobody answered for."""
    return tuple(
        name
        for name, done in part.passes.items()
        if done and name not in route and name not in part.left_route
    )


def _stages_from_place(route: Route, part: PartState) -> range:
    """The stages to look at: from the one in which the builder put the part, where they did."""
    for stage, name in enumerate(route.names if part.placed else ()):
        placed = part.placed.get(name)
        if placed is not None and placed in route.stage(stage).places:
            return range(stage, len(route))
    return range(len(route))


def _in_stage(route: Route, part: PartState, stage: int) -> Position | None:
    """The part's place within one stage of its route; None when nothing is to do there any more."""
    here = route.stage(stage)
    procedure, places = here.procedure, here.places
    done = part.passes.get(procedure.id, {})
    placed = part.placed.get(procedure.id)

    def asked(question: Question) -> Position:
        return Position(part.mark, procedure, None, stage, 0, len(here.steps), question)

    wait = next((one for one in part.clocks if _waits_for_nothing(one, procedure)), None)
    index = places[placed] if placed is not None and placed in places else _after_done(places, done)
    if wait is not None:
        words = f"{procedure.title} no longer has the step {wait.step!r} that waits for: {wait.what}"
        return asked(Question("wait gone", wait.step, words, _likely(here, done, wait.step, index)))
    if placed not in places and done and (last := next(reversed(done))) not in places:
        words = f"{procedure.title} no longer has the step {last!r}, which was done last"
        # Called otherwise it stands where it stood: right after what else is done.
        after = index + 1 if _near(last, _ids(here)[index : index + 1]) else index
        return asked(Question("step gone", last, words, _ref(here, after)))
    if index == len(here.steps):
        return None
    if placed not in places and _was_passed_by(route, part, stage):
        words = (
            f"{procedure.title} comes before what is done already,"
            f" and its step {here.steps[index].id!r} is not done"
        )
        return asked(Question("work added", procedure.id, words, _where_it_stood(route, part, stage)))
    return Position(part.mark, procedure, here.steps[index], stage, index + 1, len(here.steps))


def has_to_end(shop: Shop, state: State, work: Work) -> bool:
    """True for a step in hand that may not be left as it is: before it is finished, with a piece half done of
    one that is left between pieces, or where the step done before it may not be left without it."""
    _, step = shop.find_step(work.procedure, work.step, work.turned_to)
    if step is None:
        return False
    half_done = step.stop == "between pieces" and any(piece.touched for piece in work.pieces)
    return step.has_to_end or half_done or any(in_run(shop, state, mark) for mark in work.marks)


def stands_unended(shop: Shop, state: State, work: Work) -> bool:
    """True for a step that may not be left as it is and was paused since the sitting began: who had left it
    before knows that it stands so."""
    sitting = state.sitting
    if sitting is None or work.status != "paused" or (work.id, work.touched) in sitting.stood:
        return False
    return has_to_end(shop, state, work)


def in_run(shop: Shop, state: State, mark: str) -> bool:
    """True where the part may not be left without its next step, which may be in hand."""
    return left_in_a_run(shop, state.part(mark)) is not None


def newest_left(shop: Shop, state: State, works: Iterable[Work]) -> Work | None:
    """Of the steps that stand still and may not be left so, the one that was worked at last: what one comes
    back to."""
    left = [work for work in works if work.status == "paused" and has_to_end(shop, state, work)]
    return max(left, key=lambda work: work.touched_at or work.started_at, default=None)


def left_in_a_run(shop: Shop, part: PartState) -> tuple[Procedure, Step] | None:
    """The step that was done last on a part, where the part may not be left without the next one."""
    if not part.passes or part.completed_at is not None or part.mark not in shop.parts:
        return None
    name = next(reversed(part.passes))
    procedure, done = shop.procedures.get(name), part.passes[name]
    step = procedure.step(next(reversed(done))) if procedure is not None and done else None
    if procedure is None or step is None or step.stop != "go straight on":
        return None
    return procedure, step


def steps_after_done(shop: Shop, part: PartState, kind: PartKind, procedure: Procedure) -> tuple[Step, ...]:
    """The steps of a procedure that come after every one done on the part."""
    steps = shop.steps_for(kind, procedure)
    places = {step.id: place for place, step in enumerate(steps)}
    return steps[_after_done(places, part.passes.get(procedure.id, {})) :]


def _waits_for_nothing(clock: ClockSet, procedure: Procedure) -> bool:
    """True when the step that waits is no longer in its procedure."""
    return clock.procedure == procedure.id and procedure.step(clock.step) is None


def _after_done(places: Mapping[str, int], done: Iterable[str]) -> int:
    """Where the first step stands that comes after every one done."""
    return max((places[step_id] + 1 for step_id in done if step_id in places), default=0)


def _was_passed_by(route: Route, part: PartState, stage: int) -> bool:
    """True when later stages were worked at though this one is not done, and nobody went back to it."""
    if not part.passes or next(reversed(part.passes)) == route.names[stage]:
        return False
    return any(part.passes.get(name) for name in route.names[stage + 1 :])


def _where_it_stood(route: Route, part: PartState, stage: int) -> StepRef | None:
    """The part's place in what comes after the stage that was added to."""
    for later in range(stage + 1, len(route)):
        where = _in_stage(route, part, later)
        if where is not None:
            return where.procedure.ref(where.step) if where.procedure and where.step else None
    return None


def _ids(stage: StageSteps) -> list[str]:
    return [step.id for step in stage.steps]


def _likely(stage: StageSteps, done: Collection[str], gone: str, index: int) -> StepRef | None:
    """Where a step most likely stands now that was still to be done: under a like name, or next in order."""
    near = _near(gone, [one for one in _ids(stage) if one not in done])
    return _ref(stage, index if near is None else stage.places[near])


def _near(gone: str, ids: Sequence[str]) -> str | None:
    return next(iter(difflib.get_close_matches(gone, ids, 1, 0.6)), None)


def _ref(stage: StageSteps, index: int) -> StepRef | None:
    return stage.procedure.ref(stage.steps[index]) if 0 < index < len(stage.steps) else None


def _of_procedure_gone(route: Route, part: PartState, gone: str) -> Question:
    """The procedure of the route with most of the steps done in the one that is gone is the likeliest."""
    done = part.passes[gone]
    likely: StepRef | None = None
    most = 0
    for number, name in enumerate(route.names):
        stage = route.stage(number)
        alike = sum(1 for step_id in done if step_id in stage.places)
        if name not in part.passes and alike > most:
            most, likely = alike, _ref(stage, _after_done(stage.places, done))
    many = so_many(len(done), "step is", "steps are")
    words = f"its route no longer has the procedure {gone!r}, of which {many} done"
    return Question("procedure gone", gone, words, likely)


def steps_left(shop: Shop, state: State, mark: str) -> Sequence[tuple[Procedure, Step]]:
    """Every step still to do on a part, in order; empty when it is done or a question stands."""
    return steps_left_from(shop, state, position(shop, state, mark))


def steps_left_from(shop: Shop, state: State, where: Position) -> Sequence[tuple[Procedure, Step]]:
    """The same for whoever knows already where the part stands."""
    mark = where.mark
    if where.step is None:
        return ()
    route, part = shop.route_of(shop.kind_of(mark)), state.part(mark)
    if not route.repairs:
        return route.steps_from(where.stage, where.number - 1)
    left: list[tuple[Procedure, Step]] = []
    for stage in range(where.stage, len(route)):
        if is_passed_over(route, part, stage):
            continue
        here = route.stage(stage)
        # After a repair goes on what was begun before it.
        begun = _after_done(here.places, part.passes.get(here.procedure.id, {}))
        first = where.number - 1 if stage == where.stage else begun
        left += [(here.procedure, step) for step in here.steps[first:]]
    return left


def minutes_left_from(shop: Shop, state: State, where: Position) -> float:
    """Minutes still to do on a part that stands there, by the estimates."""
    if where.step is None:
        return 0.0
    route = shop.route_of(shop.kind_of(where.mark))
    if not route.repairs:
        return route.minutes_from(where.stage, where.number - 1)
    return sum(step.minutes.each for _, step in steps_left_from(shop, state, where))


def skipped_steps(state: State, mark: str) -> list[tuple[StepRef, str]]:
    """Every step skipped on a part, and the reason."""
    return [
        (StepRef(procedure, step), entry.skipped)
        for procedure, done in state.part(mark).passes.items()
        for step, entry in done.items()
        if entry.skipped
    ]


def never_done(shop: Shop, state: State, mark: str) -> list[StepRef]:
    """Each step that was never done on a part though a later one of its procedure was.

    It was put in since. What lies before the place where the builder put the part was done without the kiosk.
    """
    part, kind = state.part(mark), shop.kind_of(mark)
    found: list[StepRef] = []
    for name, done in part.passes.items():
        if name not in kind.procedures:
            continue
        procedure = shop.procedures[name]
        places = {step.id: place for place, step in enumerate(shop.steps_for(kind, procedure))}
        passed = _passed(places, part, procedure, _after_done(places, done))
        found += [StepRef(name, step_id) for step_id in passed]
    return found


def _passed(places: Mapping[str, int], part: PartState, procedure: Procedure, end: int) -> list[str]:
    """Steps before a place that were never done, from where the builder put the part, if they did."""
    first = places.get(part.placed.get(procedure.id, ""), 0)
    done = part.passes.get(procedure.id, {})
    return [step_id for step_id, place in places.items() if first <= place < end and step_id not in done]


def revision_changes(shop: Shop, state: State, mark: str) -> list[str]:
    """What changed in the procedure under way since this part's last step in it, in plain words.

    A step in hand is the one that the part stands on, though one was put in before it meanwhile.
    """
    where, part = position(shop, state, mark), state.part(mark)
    work = state.works.get(part.work or "")
    procedure = where.procedure if work is None else shop.procedures.get(work.procedure)
    if procedure is None:
        return []
    done = part.passes.get(procedure.id, {})
    if work is not None:
        before, at = work.revision, work.step
    elif done:
        before, at = done[next(reversed(done))].revision, where.step.id if where.step is not None else ""
    else:
        return []
    if before == procedure.revision:
        return []
    changes = [f"{procedure.title}: revision {before} is now {procedure.revision} ({procedure.reason})"]
    steps = shop.steps_for(shop.kind_of(mark), procedure)
    places = {step.id: place for place, step in enumerate(steps)}
    passed = _passed(places, part, procedure, places.get(at, 0))
    if passed:
        changes.append(f"added before this step and not done on {mark}: {', '.join(passed)}")
    return changes
