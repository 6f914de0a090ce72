"""The shop folder's own file, ``shop.yaml``, and the whole shop put together."""

import os
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import field, replace
from datetime import date, time
from functools import partial
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from kiosk.dataclass import dataclass
from kiosk.shop.checked import Strict, after, before, fault, letters, not_empty
from kiosk.shop.data import data_folder
from kiosk.shop.faults import nearest
from kiosk.shop.fields import (
    HIGHEST_AGE,
    MOST_AT_ONCE,
    Date,
    LengthIn,
    Mark,
    Minutes,
    Name,
    Text,
    number,
    one_value,
    whole,
)
from kiosk.shop.figures import FigureFault, Figures
from kiosk.shop.finish import Finish
from kiosk.shop.for_kind import for_kind, towards
from kiosk.shop.hazards import HAZARDS, Hazard
from kiosk.shop.meant import mark_written_out, marks_meant
from kiosk.shop.parts import Part, PartKind
from kiosk.shop.procedure import Procedure, Step, StepMinutes, StepTimes
from kiosk.shop.route import Route

SHOP_FILE = "shop.yaml"
PROCEDURES_FOLDER = "procedures"

MOST_IN_STOCK = 1_000_000.0
LONGEST_LEAD_DAYS = 3_650
USUAL_MINUTES = 10.0  # a step whose minutes cannot be worked out until a dimension is mended

Day = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
DAYS: tuple[Day, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


_CLOCK = re.compile(r"^([01]?\d|2[0-3]):([0-5]\d)(?::00)?$")


def _clock(value: object) -> object:
    text = one_value(value)
    match = _CLOCK.match(text)
    if not match:
        raise fault(f"{text!r} is not a time of day", "write it like 21:30")
    return time(int(match[1]), int(match[2]))


Verb = Annotated[str, letters(pattern=r"^[a-z]+$", most=30)]
ClockTime = Annotated[time, before(_clock)]


@dataclass(frozen=True, kw_only=True)
class Aeroplane(Strict):
    """What is being built and from which plans."""

    name: Text
    plans: Text


@dataclass(frozen=True, kw_only=True)
class Person(Strict):
    """Somebody who works at the bench. ``born`` is needed for anyone under 18; ``not_yet`` adds bars."""

    id: Name
    name: Text
    role: Literal["builder", "helper"]
    born: Date | None = None
    not_yet: tuple[str, ...] = ()
    share: Literal["builder", "co_builder", "helper_unpaid", "paid_help", "paid_instruction", "inspector"] = (
        "builder"
    )

    @classmethod
    def take(cls, written: Any, read: Callable[[Any], Self]) -> Self:
        """A PIN in a file is read by whoever can open it."""
        if isinstance(written, dict) and "pin" in written:
            who = written.get("id", "PERSON")
            raise fault("a PIN does not stand in this file", f"take pin: out and run: kiosk pin SHOP {who}")
        return super().take(written, read)

    def age(self, on: date) -> int:
        """Whole years on a day; an adult whose birthday is not given counts as 18."""
        if self.born is None:
            return 18
        return on.year - self.born.year - ((on.month, on.day) < (self.born.month, self.born.day))


@dataclass(frozen=True, kw_only=True)
class Outside(Strict):
    """Somebody from outside who answers questions or gives second looks: offered by name on the screen."""

    name: Text
    role: Literal["designer", "inspector"]
    number: Text = ""  # of an inspector's licence or appointment


@dataclass(frozen=True, kw_only=True)
class QuietHours(Strict):
    """When nothing loud is done, house time; may run past midnight."""

    start: ClockTime
    end: ClockTime
    days: Annotated[tuple[Day, ...], not_empty()] = DAYS


@dataclass(frozen=True, kw_only=True)
class Tool(Strict):
    """A tool, whether the shop has it, and how many.

    Each step that uses it shows the caution of at least one of its ``hazards``.
    """

    id: Name
    name: Text
    have: Annotated[int, whole(0, MOST_AT_ONCE)] = 1
    hazards: tuple[Text, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Consumable(Strict):
    """Something used up: what it is called in procedures, how much is left, when to order."""

    id: Name
    name: Text
    left: Annotated[float, number(0, MOST_IN_STOCK)]
    unit: Text
    order_below: Annotated[float, number(0, MOST_IN_STOCK)] = 0
    lead_days: Annotated[int, whole(0, LONGEST_LEAD_DAYS)] = 0  # from ordering it to having it
    expires: Date | None = None


@dataclass(frozen=True, kw_only=True)
class Lot(Strict):
    """A sheet, a bag of rivets or a tin with the mark of its delivery."""

    mark: Mark
    of: Literal["sheet", "rivet", "primer", "solvent", "block", "other"]
    name: Text
    alloy: Text | None = None
    thickness: LengthIn | None = None
    length: LengthIn | None = None  # of a sheet as it was delivered: both sides of it, or neither
    width: LengthIn | None = None
    certificate: Text | None = None

    def __post_init__(self) -> None:
        for side, other in (("length", "width"), ("width", "length")):
            if getattr(self, side) is not None and getattr(self, other) is None:
                raise fault(f"lot {self.mark} has a {side} and no {other}", f"give it {other}: too")


@dataclass(frozen=True, kw_only=True)
class RaisedAge(Strict):
    """A hazard whose ages the shop raises; lowering is refused."""

    tag: str
    min_age_operate: Annotated[int, whole(0, HIGHEST_AGE)] | None = None
    min_age_present: Annotated[int, whole(0, HIGHEST_AGE)] | None = None


# The keys that a foot pedal or a big button can be set to send, as Textual names them. Letters and digits
# begin a mark or a figure, and F1 to F12, arrows, Esc and Backspace have their own work.
PEDAL_KEYS = frozenset(
    {
        *("enter", "space", "tab", "shift+tab", "insert", "delete", "home", "end", "pageup", "pagedown"),
        *(f"f{number}" for number in range(13, 25)),
    }
)


def _pedal(value: object) -> str:
    text = one_value(value).lower()
    if text not in PEDAL_KEYS:
        raise fault(f"{text!r} is no key that a pedal can be", nearest(text, PEDAL_KEYS))
    return text


LONGEST_PUT_AWAY_MINUTES = 240.0


def _short(minutes: float) -> float:
    if minutes > LONGEST_PUT_AWAY_MINUTES:
        raise fault(f"putting away takes {minutes:g} min here", "write at most 4 h")
    return minutes


LONGEST_UNTIL_CALM_MINUTES = 720.0


def _calm(minutes: float) -> float:
    if not 1 <= minutes <= LONGEST_UNTIL_CALM_MINUTES:
        raise fault(f"the screen rests after {minutes:g} min here", "write 1 min to 12 h")
    return minutes


@dataclass(frozen=True, kw_only=True)
class Screen(Strict):
    """How the wall screen is worked."""

    pedal: Annotated[str, before(_pedal)] = "pagedown"
    calm_after: Annotated[Minutes, after(_calm)] = 10.0  # minutes until a wall screen rests


@dataclass(frozen=True, kw_only=True)
class ShopFile(Strict):
    """The content of ``shop.yaml``."""

    aeroplane: Aeroplane
    people: Annotated[tuple[Person, ...], not_empty()]
    outside: tuple[Outside, ...] = ()
    quiet_hours: tuple[QuietHours, ...] = ()
    hazards: tuple[RaisedAge, ...] = ()
    tools: tuple[Tool, ...] = ()
    consumables: tuple[Consumable, ...] = ()
    lots: tuple[Lot, ...] = ()
    finishes: tuple[Finish, ...] = ()
    part_kinds: Annotated[tuple[PartKind, ...], not_empty()]
    screen: Screen = Screen()
    put_away: Annotated[Minutes, after(_short)] = 2.0
    verbs: tuple[Verb, ...] = ()  # that a step may begin with in this shop, beside those that are known

    def __post_init__(self) -> None:
        by_id = {finish.id: finish for finish in self.finishes}
        for kind in self.part_kinds:
            kind.gets(by_id.get(kind.finish or ""))


@dataclass(frozen=True)
class Shop:
    """Everything planned, by id."""

    folder: Path
    file: ShopFile
    procedures: Mapping[str, Procedure]
    kinds: Mapping[str, PartKind]
    parts: Mapping[str, Part]
    people: Mapping[str, Person]
    tools: Mapping[str, Tool]
    consumables: Mapping[str, Consumable]
    lots: Mapping[str, Lot]
    hazards: Mapping[str, Hazard]
    figures: Figures = field(repr=False, compare=False)
    # Worked out once a kind and procedure; the procedure is kept so that its id stays its own.
    _steps: dict[tuple[str, int], tuple[Procedure, tuple[Step, ...]]] = field(
        default_factory=dict, repr=False, compare=False
    )

    _marks: dict[str, tuple[str, ...]] = field(default_factory=dict, repr=False, compare=False)
    _routes: dict[str, Route] = field(init=False, default_factory=dict, repr=False, compare=False)

    def marks_of(self, kind: str) -> tuple[str, ...]:
        """The marks of a kind's parts in order."""
        if not self._marks:
            by_kind: dict[str, list[str]] = {}
            for part in self.parts.values():
                by_kind.setdefault(part.kind, []).append(part.mark)
            self._marks.update((name, tuple(marks)) for name, marks in by_kind.items())
        return self._marks.get(kind, ())

    def kind_of(self, mark: str) -> PartKind:
        """The kind of the part with this mark. Raises KeyError when there is no such part."""
        return self.kinds[self.parts[mark].kind]

    def steps_for(self, kind: PartKind, procedure: Procedure) -> tuple[Step, ...]:
        """The steps of a procedure that apply to a kind, with what of them follows from the kind worked out.

        Left out are those whose ``only_if`` dimension the kind does not have; one that it should give and
        does not is taken to be there. A wait for one that is left out is a wait for the next that is there.
        """
        key = (kind.id, id(procedure))
        if key not in self._steps:
            done = [step for step in procedure.steps if self.figures.does(kind, procedure, step)]
            has = {step.id for step in done}
            steps = (towards(procedure.steps, step, has) for step in done)
            self._steps[key] = (procedure, tuple(self._for_kind(kind, step) for step in steps))
        return self._steps[key][1]

    def _for_kind(self, kind: PartKind, step: Step) -> Step:
        found = for_kind(self.figures, kind, step, self.file.finishes)
        return found.timed_by(partial(self._minutes, kind)) if step.times_are_worked else found

    def _minutes(self, kind: PartKind, written: StepMinutes) -> StepTimes:
        """A step's times for a kind. Where they cannot be worked out, as for a rib whose chord is mistyped,
        `kiosk check` and the part say so; what else there is to do is planned all the same.
        """
        try:
            return self.figures.minutes(kind, written)
        except FigureFault:
            typed = (written.set_up, written.each, written.put_away)
            set_up, each, put_away = (
                one if isinstance(one, float) else usual
                for one, usual in zip(typed, (0.0, USUAL_MINUTES, 0.0), strict=True)
            )
            return StepTimes(set_up, each, put_away)

    def route_of(self, kind: PartKind) -> Route:
        """The stages and steps of a kind's route: the same object for as long as nothing in it changes."""
        route = self._routes.get(kind.id)
        if route is None or not route.is_of(kind, self.procedures):
            route = self._routes[kind.id] = Route(kind, self.procedures, self.steps_for)
        return route

    def route_steps(self, kind: PartKind, *, repairs: bool = False) -> Sequence[tuple[Procedure, Step]]:
        """Every step of a kind's route in order; those of ``repairs`` too, where they are asked for."""
        route = self.route_of(kind)
        return route.all_steps if repairs else route.steps

    def find_step(
        self, procedure_id: str, step_id: str, mark: str | None = None
    ) -> tuple[Procedure | None, Step | None]:
        """A procedure and its step, each None where it is there no more.

        With a part's mark the step is as it is for the part's kind: its times, waits, conditions, checks and
        hazards. Without one what follows from a kind may not be asked for.
        """
        procedure = self.procedures.get(procedure_id)
        step = procedure.step(step_id) if procedure else None
        if step is None or procedure is None or mark is None or mark not in self.parts:
            return procedure, step
        kind = self.kind_of(mark)
        applies = next((one for one in self.steps_for(kind, procedure) if one.id == step_id), None)
        return procedure, applies or self._for_kind(kind, step)

    def tool_name(self, tool_id: str) -> str:
        """What a tool is called; one that is not on the shop's list is called by its id."""
        return self.tools[tool_id].name if tool_id in self.tools else tool_id

    def tool_names(self, step: Step) -> tuple[str, ...]:
        """The names of a step's tools that are on the shop's list."""
        return tuple(self.tools[name].name for name in step.tools if name in self.tools)

    def consumable_names(self, step: Step) -> tuple[str, ...]:
        """The names of a step's consumables that are on the shop's list."""
        return tuple(self.consumables[name].name for name in step.consumables if name in self.consumables)

    def find_part(self, text: str) -> str | None:
        """The mark that was typed or scanned, whatever its case; None when no part has it."""
        wanted = text.strip().upper().replace(" ", "-")
        if wanted in self.parts:
            return wanted
        squeezed = wanted.replace("-", "")
        found = [mark for mark in self.parts if mark.replace("-", "") == squeezed]
        return found[0] if len(found) == 1 else None

    def part_written_out(self, text: str) -> str | None:
        """The part whose mark a whole text is, in whatever way it is written; None for anything else."""
        return self.find_part(text) or mark_written_out(text, self.parts)

    def parts_meant(self, text: str) -> tuple[str, ...]:
        """The marks of the parts that are meant by a mark that was typed, perhaps not to its end."""
        return marks_meant(text, self.parts)


def hazards_of(file: ShopFile) -> dict[str, Hazard]:
    """The hazard table with the shop's raised ages."""
    found = dict(HAZARDS)
    for raised in file.hazards:
        hazard = found.get(raised.tag)
        if hazard is None:
            continue  # reported by the cross-check
        found[raised.tag] = replace(
            hazard,
            min_age_operate=max(hazard.min_age_operate, raised.min_age_operate or 0),
            min_age_present=max(hazard.min_age_present, raised.min_age_present or 0),
        )
    return found


def procedure_files(folder: Path) -> list[Path]:
    """Every procedure in a folder and the folders in it, in order; a folder that cannot be read is in it too.

    What begins with a dot is an editor's or a system's own, such as ``.#rib.yaml`` or ``._rib.yaml``.
    """
    found: list[Path] = []
    if folder.exists() and not folder.is_dir():
        return [folder]

    def not_read(error: OSError) -> None:
        found.append(Path(error.filename))

    for within, folders, files in os.walk(folder, onerror=not_read if folder.exists() else None):
        found += [Path(within) / name for name in folders if _is_procedure(name)]
        folders[:] = [name for name in folders if not name.startswith(".")]
        found += [Path(within) / name for name in files if _is_procedure(name)]
    return sorted(found)


def files_of_shop(folder: Path) -> list[tuple[str, Path]]:
    """Every YAML file that a shop is read from, and whose it is: shipped, own or the shop file itself."""
    files = [("shipped", path) for path in procedure_files(data_folder(PROCEDURES_FOLDER))]
    files += [("own", path) for path in procedure_files(folder / PROCEDURES_FOLDER)]
    return [*files, ("shop", folder / SHOP_FILE)]


def _is_procedure(name: str) -> bool:
    return name.endswith((".yaml", ".yml")) and not name.startswith(".")


def put_together(folder: Path, file: ShopFile, procedures: Mapping[str, Procedure], figures: Figures) -> Shop:
    """The shop of a shop file and its procedures."""
    parts: dict[str, Part] = {}
    for kind in file.part_kinds:
        for marks in kind.marks:
            for mark in marks.expand():
                parts.setdefault(
                    mark, Part(mark=mark, kind=kind.id, hand=marks.hand, made_from=marks.made_from)
                )
    return Shop(
        folder=folder,
        file=file,
        procedures=procedures,
        kinds={kind.id: kind for kind in file.part_kinds},
        parts=parts,
        people={person.id: person for person in file.people},
        tools={tool.id: tool for tool in file.tools},
        consumables={item.id: item for item in file.consumables},
        lots={lot.mark: lot for lot in file.lots},
        hazards=hazards_of(file),
        figures=figures,
    )
