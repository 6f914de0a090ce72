"""A step as it is for one part kind: what of it follows from the kind's dimensions and its finish.

Waits and conditions that name a figure get its value, a check or a number that needs a dimension is left out
where the kind has none, and the hazards of what is open on the step are added. No hazard is ever taken away.
"""

from collections.abc import Container, Iterator, Sequence
from typing import Any

from kiosk.shop.figures import FigureFault, Figures, Place
from kiosk.shop.finish import FINISH_FIGURES, Finish, hazards_of_finish
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import Conditions, Step, Uses, Wait
from kiosk.shop.stock_use import amount_used

_RANGES = (("temperature_f", "F"), ("humidity_percent", "%"))  # of the room, and the unit of each


def for_kind(figures: Figures, kind: PartKind, step: Step, finishes: Sequence[Finish]) -> Step:
    """The step for a kind: itself where nothing follows from one. Raises FigureFault."""
    changed: dict[str, Any] = {}
    hazards = hazards_for(kind, step, finishes)
    if hazards != step.hazards:
        changed["hazards"] = hazards
    if any(check.only_if for check in step.checks):
        changed["checks"] = tuple(one for one in step.checks if _applies(figures, kind, one.only_if))
    if any(number.only_if for number in step.numbers):
        changed["numbers"] = tuple(one for one in step.numbers if _applies(figures, kind, one.only_if))
    if any(isinstance(wait.written, str) for wait in step.waits):
        changed["waits"] = tuple(_wait(figures, kind, wait) for wait in step.waits)
    if any(uses.worked_amount is None for uses in step.uses):
        changed["uses"] = tuple(_uses(figures, kind, uses) for uses in step.uses)
    if step.conditions.named:
        changed["conditions"] = _conditions(figures, kind, step.conditions)
    return step.model_copy(update=changed) if changed else step


def towards(steps: Sequence[Step], step: Step, has: Container[str]) -> Step:
    """The step with its waits towards steps that the kind has.

    A wait that names a step which the kind leaves out has to do with the next of ``steps`` that it has: metal
    has to be dry for what is stirred as for what another primer's mix would be. Where none is left the wait
    keeps its name: it holds all that follows the procedure.
    """
    if all(wait.step in has for wait in step.waits):
        return step
    return step.model_copy(update={"waits": tuple(_towards(steps, wait, has) for wait in step.waits)})


def _towards(steps: Sequence[Step], wait: Wait, has: Container[str]) -> Wait:
    held = next_of(steps, wait.step, has)
    return wait if held is None else wait.model_copy(update={wait.names_step_by: held})


def next_of(steps: Sequence[Step], step_id: str, has: Container[str]) -> str | None:
    """The step itself where the kind has it, else the next of a procedure's steps that it has; None where
    there is none, or the procedure does not know the step."""
    ids = [one.id for one in steps]
    if step_id not in ids:
        return None
    return next((later for later in ids[ids.index(step_id) :] if later in has), None)


def hazards_for(kind: PartKind, step: Step, finishes: Sequence[Finish]) -> tuple[str, ...]:
    """The hazards of a step and of the finishes that are open on it, each once.

    Open is the kind's own finish where the step says that it uses it, and any finish of the shop one of whose
    consumables the step uses.
    """
    tags = list(step.hazards)
    if step.uses_finish:
        tags += hazards_of_finish(kind.its_finish, cured=step.uses_finish == "cured")
    for finish in finishes:
        if not set(finish.consumables).isdisjoint(step.consumables):
            tags += hazards_of_finish(finish)
    return tuple(dict.fromkeys(tags))


def named_figures(step: Step) -> Iterator[tuple[Place, str, str]]:
    """Each figure that a wait or a condition names: where it stands in the step, its name and its unit."""
    for place, wait in enumerate(step.waits):
        if isinstance(wait.written, str):
            yield ("waits", place, "within" if wait.must_pass is None else "must_pass"), wait.written, "min"
    for field, unit in _RANGES:
        limits = getattr(step.conditions, field)
        for end in ("low", "high"):
            name = getattr(limits, end, None)
            if isinstance(name, str):
                yield ("conditions", field, end), name, unit


def wait_minutes(figures: Figures, kind: PartKind, wait: Wait) -> float:
    """The minutes of a wait, as a kind's figure has them where it names one. Raises FigureFault."""
    if not isinstance(wait.written, str):
        return wait.written
    minutes = figures.number(kind, wait.written, "min")
    if minutes < 0 or (minutes == 0 and wait.within is not None):
        own = wait.written in kind.dimensions
        raise FigureFault(
            f"{wait.written} is {minutes:g} min, too short",
            "correct it",
            kind=kind.id if own else "",
            dimension=wait.written if own else "",
        )
    _require_time(figures, kind, wait.written)
    return minutes


def _require_time(figures: Figures, kind: PartKind, name: str) -> None:
    """Refuse a dimension without a unit as a time: a height of 7.25 is no 7 min. Raises FigureFault."""
    if name not in kind.dimensions or name in FINISH_FIGURES:
        return  # what a finish says is read in its own unit, and refused of a kind elsewhere
    typed = figures.dimension(kind, name).typed
    if typed is not None and not any(one.isalpha() for one in typed):
        home, own_name = figures.home_of(kind, name)
        raise FigureFault(
            f"{own_name} is {typed} without a unit, and a wait needs a time",
            f"write {typed} min if it is one, or name another figure at the wait",
            kind=home.id,
            dimension=own_name,
        )


def require_ends_in_order(figures: Figures, kind: PartKind, conditions: Conditions) -> None:
    """Refuse a range of which the low end is above the high one for this kind. Raises FigureFault there.

    An end that is no figure of the kind is left to who works it out.
    """
    for field, unit in _RANGES:
        limits = getattr(conditions, field)
        if limits is None or limits.low is None or limits.high is None:
            continue
        try:
            low, high = (_end(figures, kind, one, unit) for one in (limits.low, limits.high))
        except FigureFault:
            continue
        if low > high:
            raise FigureFault(
                f"low {low:g} is above high {high:g}, so the step could never be begun",
                "correct one of them",
                place=(field, "low"),
            )


def _end(figures: Figures, kind: PartKind, written: float | str, unit: str) -> float:
    return figures.number(kind, written, unit) if isinstance(written, str) else written


def _applies(figures: Figures, kind: PartKind, dimension: str | None) -> bool:
    return dimension is None or figures.has(kind, dimension)


def _wait(figures: Figures, kind: PartKind, wait: Wait) -> Wait:
    name = wait.written
    if not isinstance(name, str):
        return wait
    minutes = wait_minutes(figures, kind, wait)
    typical = kind.is_typical(name)
    field = "within" if wait.must_pass is None else "must_pass"
    # What was entered from the sheet is not asked anew at the bench, and an answer from before gives way.
    found = wait.model_copy(
        update={
            field: minutes,
            "from_check": wait.from_check if typical or not _of_finish(kind, name) else None,
        }
    )
    found.say_typical(typical)
    return found


def _of_finish(kind: PartKind, name: str) -> bool:
    return name not in kind.dimensions and kind.its_finish is not None


def _uses(figures: Figures, kind: PartKind, uses: Uses) -> Uses:
    """With the amount worked out; as it is written where that cannot be, which `kiosk check` says."""
    try:
        return uses.model_copy(update={"amount": repr(amount_used(figures, kind, uses))})
    except FigureFault:
        return uses


def _conditions(figures: Figures, kind: PartKind, conditions: Conditions) -> Conditions:
    changed: dict[str, Any] = {}
    typical = False
    for field, unit in _RANGES:
        limits = getattr(conditions, field)
        if limits is None:
            continue
        ends = {end: getattr(limits, end) for end in ("low", "high")}
        typical = typical or any(isinstance(one, str) and kind.is_typical(one) for one in ends.values())
        worked = {end: None if one is None else _end(figures, kind, one, unit) for end, one in ends.items()}
        changed[field] = limits.model_copy(update=worked)
    found = conditions.model_copy(update=changed)
    found.say_typical(typical)
    return found
