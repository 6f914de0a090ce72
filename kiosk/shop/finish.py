"""A finish: a paint, varnish or treatment with its own sheet's values, entered once in ``shop.yaml``.

Its figures are named by steps as the dimensions of a part kind are. Where the product's sheet was not entered
a typical published value stands, and is said to be one wherever it shows.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Annotated, Any

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.shop.checked import Strict, before, fault
from kiosk.shop.fields import (
    COLDEST_F,
    HOTTEST_F,
    LengthIn,
    Name,
    Text,
    number,
    one_value,
    parse_minutes,
)
from kiosk.shop.measures import read_number

THICKEST_FILM_IN = 0.019
MOST_PARTS = 100.0
WIDEST_MARGIN_F = 40.0
READY_TO_USE = "ready_to_use"  # yes for a finish of one part, which takes no hardener, else none
TO_READ = "_to_read"  # pot_life_to_read is yes while the product's own pot life was not entered, else none
NOT_ENTERED = "typical, not your product's sheet"


@dataclass(frozen=True)
class FinishFigure:
    """One figure of a finish: its unit as the kiosk reckons in, and what stands while it was not entered."""

    name: str
    unit: str  # of the value as text: min, in, F, %, count, or empty for words
    typical: str | None
    source: str


_ROWS = (
    FinishFigure("base_parts", "count", "1", "TO 1-1-8 6.12.6.3"),
    FinishFigure("hardener_parts", "count", "1", "TO 1-1-8 6.12.6.3"),
    FinishFigure("stand_time", "min", "30", "TO 1-1-8 6.12.6.3"),
    FinishFigure("pot_life", "min", "240", "TO 1-1-8 6.12.6.3"),
    FinishFigure("pot_life_at", "F", None, "the product's sheet alone"),
    FinishFigure("prepared_life", "min", "240", "common practice, no source"),
    FinishFigure("recoat_from", "min", "300", "TO 1-1-8 5.6.2 e"),
    FinishFigure("recoat_until", "min", "480", "TO 1-1-8 5.6.2 e"),
    FinishFigure("dry_to_handle", "min", "300", "TO 1-1-8 5.6.2 e, its time to the next coat"),
    FinishFigure("film_low", "in", "0.0006", "TO 1-1-8 Table 5-2"),
    FinishFigure("film_high", "in", "0.0009", "TO 1-1-8 Table 5-2"),
    FinishFigure("solids", "%", "40", "common practice, no source"),
    FinishFigure("gun_loss", "%", "40", "common practice, no source"),
    FinishFigure("gun_rest", "ml", "20", "common practice, no source"),
    FinishFigure("dew_margin", "F", "5", "common practice, no source"),
    FinishFigure("surface_low", "F", "60", "TO 1-1-8 5.5.4.6"),
    FinishFigure("air_low", "F", "50", "TM 55-1500-345-23"),
    FinishFigure("air_high", "F", "90", "TM 55-1500-345-23"),
    FinishFigure("humidity_low", "%", "40", "TM 55-1500-345-23"),
    FinishFigure("humidity_high", "%", "75", "TM 55-1500-345-23"),
    FinishFigure("thinner", "", None, "the product's sheet alone"),
    FinishFigure("sheet", "", None, "the product's sheet alone"),
    FinishFigure("product", "", None, "the product's sheet alone"),
)
FINISH_FIGURES: Mapping[str, FinishFigure] = MappingProxyType({row.name: row for row in _ROWS})

# What a product may contain, and the hazard that it then puts on every step where it is open.
CONTENTS: Mapping[str, str] = MappingProxyType(
    {"chromate": "CR6", "isocyanate": "ISO", "epoxy": "EPOXY_SKIN"}
)
POISON_WHEN_CURED = frozenset({"chromate"})  # in the dust of a coat that is long dry
HELD_UNTIL_KNOWN = frozenset({"epoxy"})  # its hazard stands until the sheet says that it is not in there


def _fahrenheit(value: Any) -> Any:
    try:
        degrees = read_number(one_value(value), "F")
    except KioskError as error:
        raise fault(error.wrong, error.mend) from None
    if not COLDEST_F <= degrees <= HOTTEST_F:
        raise fault(f"{str(value)!r} is not between {COLDEST_F:g} and {HOTTEST_F:g} F", "correct it")
    return degrees


def _margin(value: Any) -> Any:
    """A difference of temperatures: 3 C of it are 5.4 F."""
    text = one_value(value)
    in_celsius = text.upper().endswith("C")
    bare = text.rstrip("CFcf°").strip()
    try:
        degrees = float(bare) * (1.8 if in_celsius else 1.0)
    except ValueError:
        raise fault(f"{text!r} is no difference of temperatures", "write it like 5 or 3 C") from None
    if not 0 <= degrees <= WIDEST_MARGIN_F:
        raise fault(f"{text!r} is not between 0 and {WIDEST_MARGIN_F:g} F", "correct it")
    return degrees


def _sheet_minutes(value: Any) -> Any:
    """A data sheet prints hours, minutes and days, so each time of one says which."""
    text = one_value(value)
    if isinstance(value, str) and text.strip("0. ") and not any(one.isalpha() for one in text):
        raise fault(f"{text!r} does not say of what", f"write {text} min or {text} h, as the sheet has it")
    return parse_minutes(value)


SheetMinutes = Annotated[float, before(_sheet_minutes)]
Fahrenheit = Annotated[float, before(_fahrenheit)]
MarginF = Annotated[float, before(_margin)]
Percent = Annotated[float, number(0, 100)]
PartsByVolume = Annotated[float, number(0.01, MOST_PARTS)]


@dataclass(frozen=True, kw_only=True)
class Contents(Strict):
    """What the sheet says is in the product; left out is not known, and asked at the bench."""

    chromate: bool | None = None
    isocyanate: bool | None = None
    epoxy: bool | None = None


@dataclass(frozen=True, kw_only=True)
class Finish(Strict):
    """A finish as its own data sheet has it. What is left out is not known; a typical value then stands.

    ``sheet`` is the issue of the data sheet that was read, ``consumables`` what the finish is made up from.
    Times are minutes, temperatures degrees Fahrenheit, films inches when dry, parts by volume; ``solids``
    are those of the mixture by volume, ``gun_loss`` what this shop's gun loses and
    ``gun_rest`` the millilitres that strainer, cup and test panel keep, ``prepared_life`` how long a
    clean surface may wait for the first coat, ``dew_margin`` how far it has to be above the dew point.
    """

    id: Name
    name: Text
    sheet: Text | None = None
    consumables: tuple[Name, ...] = ()
    contains: Contents = Contents()
    base_parts: PartsByVolume | None = None
    hardener_parts: Annotated[float, number(0, MOST_PARTS)] | None = None  # 0: it is ready to use
    stand_time: SheetMinutes | None = None
    pot_life: SheetMinutes | None = None
    pot_life_at: Fahrenheit | None = None
    prepared_life: SheetMinutes | None = None
    recoat_from: SheetMinutes | None = None
    recoat_until: SheetMinutes | None = None
    dry_to_handle: SheetMinutes | None = None
    film_low: LengthIn | None = None
    film_high: LengthIn | None = None
    solids: Percent | None = None
    gun_loss: Percent | None = None
    gun_rest: Annotated[float, number(0, 1000)] | None = None
    dew_margin: MarginF | None = None
    surface_low: Fahrenheit | None = None
    air_low: Fahrenheit | None = None
    air_high: Fahrenheit | None = None
    humidity_low: Percent | None = None
    humidity_high: Percent | None = None
    thinner: Text | None = None

    def __post_init__(self) -> None:
        for low, high in (
            ("film_low", "film_high"),
            ("air_low", "air_high"),
            ("humidity_low", "humidity_high"),
            ("recoat_from", "recoat_until"),
            ("stand_time", "pot_life"),
        ):
            # Against the typical value too: that is what stands while the other end was not entered.
            if self._number(low) > self._number(high):
                raise fault(
                    f"{low} {self._said(low)} is above {high} {self._said(high)}",
                    "correct one of them, or enter both from the sheet",
                )
        for name in ("film_low", "film_high"):
            film = self._number(name)
            if not 0 < film <= THICKEST_FILM_IN:
                raise fault(f"{name} {film:g} in is no coat", f"write up to {THICKEST_FILM_IN} in")
        if self.solids == 0 or self.gun_loss == 100 or self.pot_life == 0:
            raise fault("nothing could be coated with this", "correct solids, gun_loss or pot_life")
        if (self.base_parts is None) != (self.hardener_parts is None):
            raise fault(
                "a ratio has two parts",
                "give base_parts: and hardener_parts:, the latter 0 where it is ready to use",
            )

    def _number(self, name: str) -> float:
        entered = getattr(self, name)
        return float(FINISH_FIGURES[name].typical or 0) if entered is None else float(entered)

    def _said(self, name: str) -> str:
        typical = ", typical" if getattr(self, name) is None else ""
        return f"{shown_figure(name, f'{self._number(name):g}')}{typical}"

    def entered(self, name: str) -> str | None:
        """One of the sheet's figures in its unit, as text; None when it was not entered."""
        value = self.name if name == "product" else getattr(self, name)
        return f"{value:.8g}" if isinstance(value, float) else value


def is_of_a_finish(name: str) -> bool:
    """True for a finish's own word: one of its figures, or whether that, or what is in it, is to read."""
    about = name.removesuffix(TO_READ)
    if about != name:
        return about in FINISH_FIGURES or about in CONTENTS
    return name in FINISH_FIGURES or name == READY_TO_USE


def written_for(finish: Finish | None, name: str) -> str | None:
    """A figure of a part kind's finish, the typical one where its sheet's was not entered; None for others.

    ``pot_life_to_read`` is ``yes`` while the product's own is wanting; so is ``chromate_to_read``.
    ``ready_to_use`` is ``yes`` for a product of one part.
    """
    if not is_of_a_finish(name):
        return None
    if name == READY_TO_USE:
        return "yes" if finish is not None and finish.hardener_parts == 0 else "none"
    if name not in FINISH_FIGURES:
        return "yes" if is_to_read(finish, name.removesuffix(TO_READ)) else "none"
    entered = finish.entered(name) if finish is not None else None
    return FINISH_FIGURES[name].typical if entered is None else entered


def is_to_read(finish: Finish | None, name: str) -> bool:
    """True while what the product's own sheet says of a figure, or of what is in it, was not entered."""
    if finish is None:
        return True
    return (getattr(finish.contains, name) if name in CONTENTS else finish.entered(name)) is None


def hazards_of_finish(finish: Finish | None, *, cured: bool = False) -> tuple[str, ...]:
    """The hazards that a finish puts on every step where it is open, beside those of the step.

    ``cured``: where a dry coat of it is drilled, filed or sanded.
    """
    return tuple(
        tag
        for name, tag in CONTENTS.items()
        if not cured or name in POISON_WHEN_CURED
        if (is_to_read(finish, name) and name in HELD_UNTIL_KNOWN)
        or (finish is not None and getattr(finish.contains, name))
    )


def shown_figure(name: str, written: str) -> str:
    """A figure of a finish as a screen shows it: ``4 h``, ``0.0006 in``."""
    unit = FINISH_FIGURES[name].unit
    if name == "hardener_parts" and float(written) == 0:
        return "none, ready to use"
    if unit == "min":
        minutes = float(written)
        return f"{minutes / 60:g} h" if minutes >= 120 and minutes % 30 == 0 else f"{minutes:g} min"
    return written if unit in ("", "count") else f"{float(written):g} {unit}"
