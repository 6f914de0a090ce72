"""A procedure: an ordered list of steps for one kind of work."""

from collections.abc import Callable, Sequence
from dataclasses import field
from functools import cached_property
from typing import Annotated, Any, Literal, NamedTuple, TypeAlias

from kiosk.dataclass import dataclass
from kiosk.shop.checked import Strict, before, fault, not_empty, shown_as, tag, told_apart
from kiosk.shop.fields import (
    COLDEST_F,
    HOTTEST_F,
    FormerNames,
    Name,
    Text,
    number_or_name,
    one_value,
    parse_minutes,
    value_or_name,
)
from kiosk.shop.written import Written, WrittenMinutes

KindOfWork = Literal["fabricate", "assemble", "tooling"]
Who = Literal["anyone", "helper with the builder", "builder"]
Stop = Literal["anywhere", "between pieces", "only when finished", "go straight on"]
Batch = Literal["no", "in turn", "together"]
Standing = Literal["builder", "adult", "inspector"]


@dataclass(frozen=True, order=True)
class StepRef:
    """One step of one procedure, by their ids. As text it is for people only, and never read back."""

    procedure: str
    step: str

    def __str__(self) -> str:
        return f"{self.procedure}/{self.step}"


@dataclass(frozen=True, order=True)
class CheckRef:
    """One check of one step within a procedure, by their ids."""

    step: str
    check: str

    def __str__(self) -> str:
        return f"{self.step}/{self.check}"


# Steps that share a set-up, by the name written on them; or the one step that has a set-up of its own.
Family: TypeAlias = str | StepRef


def _two_names(value: Any, form: str) -> tuple[str, str]:
    names = one_value(value).split("/")
    if len(names) != 2 or not all(names):
        raise fault(f"{value!r} is not two names with / between", f"write it {form}")
    return names[0], names[1]


def _step_ref(value: Any) -> Any:
    return value if isinstance(value, StepRef) else StepRef(*_two_names(value, "procedure/step"))


def _check_ref(value: Any) -> Any:
    return value if isinstance(value, CheckRef) else CheckRef(*_two_names(value, "step/check"))


_AS_WRITTEN = shown_as({"type": "string", "pattern": "^[^/]+/[^/]+$"})
WrittenStepRef = Annotated[StepRef, before(_step_ref), _AS_WRITTEN]  # procedure/step in a file
WrittenCheckRef = Annotated[CheckRef, before(_check_ref), _AS_WRITTEN]  # step/check in a file


@dataclass(frozen=True, kw_only=True)
class NumberWanted(Strict):
    """Asks for arithmetic on the step: a calculator and its inputs, each a value or a dimension's name.

    ``figure`` names one of its further figures, and ``only_if`` a dimension without which it is not shown.
    """

    calculator: Name | Text
    inputs: dict[str, Text] = field(default_factory=dict)
    figure: Text | None = None
    only_if: Name | None = None


@dataclass(frozen=True, kw_only=True)
class DimensionShown(Strict):
    """Shows a dimension of the part kind on the step, with its working where it is worked out."""

    dimension: Name
    only_if: Name | None = None


def _shown(value: Any) -> str:
    if isinstance(value, dict):
        return "DimensionShown" if "dimension" in value and "calculator" not in value else "NumberWanted"
    return type(value).__name__ if isinstance(value, DimensionShown) else "NumberWanted"


Shown = Annotated[
    Annotated[NumberWanted, tag("NumberWanted")] | Annotated[DimensionShown, tag("DimensionShown")],
    told_apart(_shown),
]


@dataclass(frozen=True, kw_only=True)
class DrawingWanted(Strict):
    """Asks for a drawing on the step: its name, and its inputs as for a calculator.

    An input that is not written is the part kind's dimension of that name.
    """

    draw: Name
    inputs: dict[str, Text] = field(default_factory=dict)


def _drawing(value: Any) -> Any:
    return {"draw": value} if isinstance(value, str) else value


WrittenDrawing = Annotated[DrawingWanted, before(_drawing, json_as=Name | DrawingWanted)]


@dataclass(frozen=True, kw_only=True)
class YesNoCheck(Strict):
    """A look that ends in yes or no. The question says what is to be seen."""

    kind: Literal["yes_no"] = "yes_no"
    id: Name
    ask: Text
    want: Literal["yes", "no"] = "yes"
    only_if: Name | None = None  # asked where the part kind has this dimension


@dataclass(frozen=True, kw_only=True)
class CountCheck(Strict):
    """Something counted; ``want`` is a number, the name of a dimension, or where the figure comes from."""

    kind: Literal["count"]
    id: Name
    ask: Text
    want: Written
    only_if: Name | None = None


@dataclass(frozen=True, kw_only=True)
class MeasureCheck(Strict):
    """Something measured against limits: low and high, or a nominal with what it may differ.

    Each limit is a value, the name of a dimension, or where the figure comes from. Lengths are in inches,
    angles in degrees.
    """

    kind: Literal["measure"]
    id: Name
    ask: Text
    unit: Literal["in", "deg", "min", "F", "%", "in-lb", "count"] = "in"
    low: Written | None = None
    high: Written | None = None
    nominal: Written | None = None
    plus: Written | None = None
    minus: Written | None = None
    only_if: Name | None = None

    def __post_init__(self) -> None:
        if self.nominal is not None:
            if self.low is not None or self.high is not None:
                raise fault(f"check {self.id!r} has a nominal and limits", "give nominal, plus, minus alone")
            if self.plus is None and self.minus is None:
                raise fault(f"check {self.id!r} has no tolerance", "add plus: and minus:")
        elif self.low is None and self.high is None:
            raise fault(
                f"check {self.id!r} has no limits", "add low: and high:, or nominal:, plus: and minus:"
            )


@dataclass(frozen=True, kw_only=True)
class LotCheck(Strict):
    """Which sheet, tube or tin it was taken from, so that the finished part can be traced to it."""

    kind: Literal["lot"]
    id: Name
    ask: Text
    of: Literal["sheet", "rivet", "primer", "solvent", "block", "other"]
    only_if: Name | None = None


Check = Annotated[YesNoCheck | CountCheck | MeasureCheck | LotCheck, told_apart("kind")]


def unit_of(check: Check) -> str:
    """Of the figure that a check asks for; empty where it asks for none."""
    if isinstance(check, MeasureCheck):
        return check.unit
    return "count" if isinstance(check, CountCheck) else ""


class StepTimes(NamedTuple):
    """A step's minutes for one part kind."""

    set_up: float
    each: float
    put_away: float


@dataclass(frozen=True, kw_only=True)
class StepMinutes(Strict):
    """The author's estimate in minutes: set up and put away once for a family, and each piece.

    Each is a time, or where it comes from: so many minutes for each flute.
    """

    set_up: WrittenMinutes = 0.0
    each: WrittenMinutes
    put_away: WrittenMinutes = 0.0

    @cached_property
    def typed(self) -> StepTimes | None:
        """The times where all of them are typed; None where some follow from the part kind."""
        set_up, each, put_away = self.set_up, self.each, self.put_away
        if isinstance(set_up, float) and isinstance(each, float) and isinstance(put_away, float):
            return StepTimes(set_up, each, put_away)
        return None


_YES, _NO = ("yes", "true", "on"), ("no", "false", "off")


def _in_words(value: Any) -> Any:
    text = one_value(value)
    if text.lower() in (*_YES, *_NO) or not any(one.isalpha() for one in text):
        raise fault(f"enough {text!r} says nothing", "write what is then so, such as: the web lies flat")
    return value


@dataclass(frozen=True, kw_only=True)
class Repeat(Strict):
    """Something done several times within one piece, counted on the screen: 5 of 11 flutes.

    With ``enough`` the count is the most that there can be. These words say what is then so (the web lies
    flat), and it may be said at any count, from 0 on: nothing more is wanted then.
    """

    of: Text
    times: Written
    enough: Annotated[Text, before(_in_words)] | None = None

    def so_far(self, done: int, wanted: int) -> str:
        """How far a count is, in words: ``5 of 11 flutes``, ``cut-outs: 0 of 1``."""
        return counted(done, wanted, self.of, at_most=self.enough is not None)


def counted(done: int, wanted: int, of: str, *, at_most: bool) -> str:
    """So many of so many. What is counted is named as many, so one alone is said another way round."""
    most = "at most " if at_most else ""
    return f"{of}: {done} of {most}1" if wanted == 1 else f"{done} of {most}{wanted} {of}"


@dataclass(frozen=True, kw_only=True)
class Trial(Strict):
    """What is measured on this step is one trial: a strip that is bent to learn what brake and sheet do.

    ``of`` is what is tried, in words. Each figure of the trial names where it comes from: a check of this
    step by its id, a check of an earlier step as step/check, or else a value or a dimension of the part kind.
    """

    of: Text
    figures: dict[str, Text]

    def check_of(self, figure: str, step: "Step") -> CheckRef | None:
        """The check that a figure comes from, on ``step`` or an earlier one; None where it is no check's."""
        source = self.figures[figure]
        if "/" in source and all(part.strip() for part in source.split("/")) and not source[0].isdigit():
            return CheckRef(*_two_names(source, "step/check"))
        return CheckRef(step.id, source) if any(check.id == source for check in step.checks) else None


WaitMinutes = Annotated[float | str, before(value_or_name(parse_minutes))]


@dataclass(frozen=True, kw_only=True)
class Wait(Strict):
    """A time that runs from the end of this step, written so or as the name of a figure of the part kind.

    ``must_pass`` before the step ``before`` may start; or ``within`` which the step ``begin`` must start, or
    the step ``finish`` must be finished. A part that missed it does what ``if_missed`` says and goes back to
    the step ``back_to``; where none is named, the builder says what was done and the clock runs anew.
    ``from_check`` (step/check) takes the minutes from an answer measured at this step or an earlier one, such
    as a data sheet's value; what is written here is then only the typical value.
    """

    what: Text
    must_pass: WaitMinutes | None = None
    before: Name | None = None
    within: WaitMinutes | None = None
    begin: Name | None = None
    finish: Name | None = None
    if_missed: Text | None = None
    back_to: Name | None = None
    from_check: WrittenCheckRef | None = None
    _typical: bool = field(init=False, repr=False, hash=False)

    def __post_init__(self) -> None:
        self.say_typical(False)
        if (self.must_pass is None) == (self.within is None):
            raise fault("a wait has must_pass or within, one of the two", "delete one or add one")
        if self.within == 0:
            raise fault("nothing can be done within 0 min", "write the time that there is")
        if self.within is not None and (self.begin is None) == (self.finish is None):
            raise fault(
                "within ends with the step at begin: or with that at finish:, one of the two",
                "name the step that must be begun, or finished, in time",
            )
        if self.within is not None and self.if_missed is None:
            raise fault("within needs if_missed:", "say what to do if late")
        if self.must_pass is not None and self.before is None:
            raise fault("must_pass needs before:", "name the step that has to wait")
        if self.must_pass is not None and self.back_to is not None:
            raise fault("back_to goes with within:", "delete it")

    @property
    def step(self) -> str:
        """The step that it names, whichever kind of wait it is."""
        return self.before or self.begin or self.finish or ""

    @property
    def names_step_by(self) -> str:
        """The field under which it names that step."""
        return "before" if self.before else "begin" if self.begin else "finish"

    @property
    def written(self) -> float | str:
        """What is written, whichever kind of wait it is."""
        return self.must_pass if self.must_pass is not None else (self.within or 0.0)

    @property
    def minutes(self) -> float:
        """Its minutes. Raises ValueError for a figure's name: only a step of one part kind has its value."""
        if isinstance(self.written, str):
            raise ValueError("these minutes follow from the part kind")
        return self.written

    @property
    def is_typical(self) -> bool:
        """True when its minutes are a typical published value, for want of the product's own."""
        return self._typical

    def say_typical(self, typical: bool) -> None:
        """Say whether its minutes are typical, when they are worked out for a part kind."""
        object.__setattr__(self, "_typical", typical)


class _Ends(Strict):
    """A range; either end may be open."""

    def __post_init__(self) -> None:
        low: float | str | None = getattr(self, "low", None)
        high: float | str | None = getattr(self, "high", None)
        if isinstance(low, float) and isinstance(high, float) and low > high:
            raise fault(f"low {low:g} is above high {high:g}", "correct one of them")


@dataclass(frozen=True, kw_only=True)
class TemperatureLimits(_Ends):
    """A range of the room's temperature in degrees Fahrenheit, -40 to 140; either end may be open.

    An end is a value or the name of a figure of the part kind.
    """

    low: Annotated[float | str, number_or_name(COLDEST_F, HOTTEST_F)] | None = None
    high: Annotated[float | str, number_or_name(COLDEST_F, HOTTEST_F)] | None = None


@dataclass(frozen=True, kw_only=True)
class HumidityLimits(_Ends):
    """A range of the room's relative humidity in percent, 0 to 100; either end may be open.

    An end is a value or the name of a figure of the part kind.
    """

    low: Annotated[float | str, number_or_name(0, 100)] | None = None
    high: Annotated[float | str, number_or_name(0, 100)] | None = None


@dataclass(frozen=True, kw_only=True)
class Conditions(Strict):
    """What the room must be like: degrees Fahrenheit, relative humidity in percent; and if it is loud."""

    temperature_f: TemperatureLimits | None = None
    humidity_percent: HumidityLimits | None = None
    loud: bool = False
    _typical: bool = field(init=False, repr=False, hash=False)

    def __post_init__(self) -> None:
        self.say_typical(False)

    @property
    def named(self) -> bool:
        """True when an end is the name of a figure of the part kind."""
        return any(
            isinstance(end, str)
            for limits in (self.temperature_f, self.humidity_percent)
            if limits is not None
            for end in (limits.low, limits.high)
        )

    @property
    def is_typical(self) -> bool:
        """True when an end is a typical published value, for want of the product's own."""
        return self._typical

    def say_typical(self, typical: bool) -> None:
        """Say whether an end is typical, when they are worked out for a part kind."""
        object.__setattr__(self, "_typical", typical)


@dataclass(frozen=True, kw_only=True)
class HoldPoint(Strict):
    """A second person looks before the step: a builder, an adult, or an inspector from outside."""

    by: Standing = "adult"


def _hold_point(value: Any) -> Any:
    """``yes`` asks for an adult, as it did before a standing could be named."""
    word = str(value).strip().lower()
    if word in _YES:
        return HoldPoint()
    return None if word in _NO else value


WrittenHoldPoint = Annotated[
    HoldPoint | None,
    before(_hold_point, json_as=bool | HoldPoint),
]


def _uses_finish(value: Any) -> Any:
    word = one_value(value).lower()
    if word in (*_YES, *_NO, "cured"):
        return word
    raise fault(f"{word!r} does not say whether the finish is open here", "write yes, no or cured")


@dataclass(frozen=True, kw_only=True)
class Uses(Strict):
    """How much of a consumable one part takes: what is finished is taken off the stock.

    ``amount`` is a number in the consumable's own unit, the name of a dimension, or where it comes from.
    """

    of: Name
    amount: Written
    unit: Text

    @property
    def worked_amount(self) -> float | None:
        """The amount, in the unit that is written; None where it is still to be worked out for a kind."""
        try:
            return float(self.amount) if isinstance(self.amount, str) else None
        except ValueError:
            return None  # the name of a dimension


@dataclass(frozen=True, kw_only=True)
class Step(Strict):
    """One action on a part or a batch."""

    id: Name
    renamed_from: FormerNames = ()
    do: Text
    why: Text | None = None
    plain: Text | None = None
    note: Text | None = None
    cautions: tuple[Text, ...] = ()
    hazards: tuple[str, ...] = ()
    who: Who = "builder"
    tools: tuple[Name, ...] = ()
    consumables: tuple[Name, ...] = ()
    uses: tuple[Uses, ...] = ()
    numbers: tuple[Shown, ...] = ()
    drawing: WrittenDrawing | None = None
    checks: tuple[Check, ...] = ()
    written_minutes: StepMinutes
    family: Name | None = None
    batch: Batch = "in turn"
    repeat: Repeat | None = None
    stop: Stop = "between pieces"
    waits: tuple[Wait, ...] = ()
    conditions: Conditions = Conditions()
    only_if: Name | None = None
    irreversible: bool = False
    hold_point: WrittenHoldPoint = None
    trial: Trial | None = None
    # The part kind's finish is open on it, with the hazards of what is in it; or a dry coat of it makes dust.
    uses_finish: Annotated[bool | Literal["cured"], before(_uses_finish)] = False
    _work_out: Callable[[StepMinutes], StepTimes] | None = field(init=False, repr=False, hash=False)
    # What it gave: the shop's files make other steps where they change.
    _worked: StepTimes | None = field(init=False, repr=False, hash=False)

    def __post_init__(self) -> None:
        self._time_by(None)

    @property
    def has_to_end(self) -> bool:
        """True when it may not be left before it is finished."""
        return self.stop in ("only when finished", "go straight on")

    @property
    def times_are_worked(self) -> bool:
        """True when some of its minutes follow from the part kind."""
        return self.written_minutes.typed is None

    @property
    def minutes(self) -> StepTimes:
        """Its times in minutes.

        Raises ValueError for worked ones, which only a step of one part kind has (:meth:`Shop.steps_for`).
        """
        typed = self.written_minutes.typed
        if typed is not None:
            return typed
        if self._worked is None:
            if self._work_out is None:
                raise ValueError("these minutes follow from the part kind")
            object.__setattr__(self, "_worked", self._work_out(self.written_minutes))
            assert self._worked is not None
        return self._worked

    @property
    def is_set_up_for(self) -> bool:
        """True when something is set up for it, or put away after it."""
        written = self.written_minutes
        if written.set_up == 0.0 and written.put_away == 0.0:  # without working out the others
            return False
        return self.minutes.set_up > 0 or self.minutes.put_away > 0

    def timed_by(self, work_out: Callable[[StepMinutes], StepTimes]) -> "Step":
        """This step with its worked times found by ``work_out`` when they are first asked for."""
        step = self.model_copy()
        step._time_by(work_out)
        return step

    def _time_by(self, work_out: Callable[[StepMinutes], StepTimes] | None) -> None:
        object.__setattr__(self, "_work_out", work_out)
        object.__setattr__(self, "_worked", None)


@dataclass(frozen=True, kw_only=True)
class Procedure(Strict):
    """A YAML file: steps in order, a revision, and where the facts come from."""

    id: Name
    renamed_from: FormerNames = ()
    title: Text
    revision: Text
    revised: Text
    reason: Text
    sources: tuple[Text, ...]
    must_give: tuple[Name, ...] = ()  # dimensions that each kind on whose route it is gives, 0 for none
    work: KindOfWork | None = None  # what its steps count as for an authority; tooling is no part of it
    steps: Annotated[tuple[Step, ...], not_empty()]

    def step(self, step_id: str) -> Step | None:
        """The step with this id, or None when the procedure no longer has it."""
        return next((step for step in self.steps if step.id == step_id), None)

    def index(self, step_id: str) -> int | None:
        """Where the step stands in the order, or None."""
        return next((number for number, step in enumerate(self.steps) if step.id == step_id), None)

    def ref(self, step: Step) -> StepRef:
        """One of this procedure's steps by their ids."""
        return StepRef(self.id, step.id)

    def family_of(self, step: Step) -> Family:
        """The set-up family of a step; a step without one has a set-up of its own.

        So has one that is neither set up for nor put away: it needs nothing of what its family shares, as to
        read the sizes needs no lathe, and takes nothing out of its place.
        """
        if step.family is None or not step.is_set_up_for:
            return self.ref(step)
        return step.family


def ask_the_same(one: Step, other: Step) -> bool:
    """True where two steps ask for the same of bench, people and room: all that stops them but the parts."""
    return (
        one.tools == other.tools
        and one.consumables == other.consumables
        and one.uses == other.uses
        and one.hazards == other.hazards
        and one.who == other.who
        and (one.conditions is other.conditions or one.conditions == other.conditions)
    )


def last_of_run(steps: Sequence[Step], first: int) -> int:
    """The place of the last step that follows the one at ``first`` at once: the work can be left after it."""
    last = first
    while last + 1 < len(steps) and steps[last].stop == "go straight on":
        last += 1
    return last
