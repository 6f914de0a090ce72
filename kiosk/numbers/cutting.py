"""Blanks from sheets: a plan that a shear or a router along a straightedge can follow, and a proven minimum.

The plan is two-stage: cuts across the whole sheet make strips, then each strip is cut into blanks, with a
third cut where a blank is lower than its strip. Everything is counted in whole thousandths of an inch. A kerf
is exact: the sheet and each blank grow by it and nothing is lost after that.

The lower bound uses dual feasible functions (Martello & Toth; Fekete & Schepers; Martello & Vigo 1998): no
layout of any kind can need fewer sheets, so the waste beside it is known to be honest.
"""

import math
import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal

from kiosk.numbers.result import OutOfRange, require, require_finite

Grain = Literal["along", "across", "any"]
PER_INCH = 1000
TRIES = 60  # restarts with jittered order; the same seed gives the same plan


@dataclass(frozen=True)
class Blank:
    """A blank to cut, in inches. ``grain`` says how its length lies to the grain of the sheet."""

    name: str
    length_in: float
    width_in: float
    count: int
    grain: Grain = "any"


@dataclass(frozen=True)
class Sheet:
    """A sheet, in inches; the grain runs along its length. ``trim_in`` is lost at each edge."""

    length_in: float
    width_in: float
    trim_in: float = 0.0

    @classmethod
    def rolled(cls, one_side_in: float, other_side_in: float, trim_in: float = 0.0) -> "Sheet":
        """A sheet by its two sides in any order: it is rolled along the longer one, and so is its grain."""
        return cls(max(one_side_in, other_side_in), min(one_side_in, other_side_in), trim_in)


@dataclass(frozen=True)
class Placed:
    """A blank in a strip: how far along the strip it begins, its size along and across the strip."""

    name: str
    at_in: float
    along_in: float
    across_in: float


@dataclass(frozen=True)
class Strip:
    """A strip cut right across the sheet: where it begins, how wide it is, and what is cut from it."""

    at_in: float
    height_in: float
    blanks: tuple[Placed, ...]


@dataclass(frozen=True)
class SheetPlan:
    """One sheet's strips in the order to cut them."""

    strips: tuple[Strip, ...]
    used_in: float  # from the first edge to the end of the last strip
    offcut_in2: float  # the whole piece left over after the last strip


@dataclass(frozen=True)
class CuttingPlan:
    """All sheets, with the number that no plan can do without."""

    sheet: Sheet
    kerf_in: float
    strips_run: Literal["across the sheet", "along the sheet"]
    sheets: tuple[SheetPlan, ...]
    least_sheets: int
    blank_area_in2: float

    @property
    def waste_percent(self) -> float:
        """Sheet that is no blank, as a share of the sheets begun."""
        area = len(self.sheets) * self.sheet.length_in * self.sheet.width_in
        return 100 * (1 - self.blank_area_in2 / area) if area else 0.0

    @property
    def waste_without_offcuts_percent(self) -> float:
        """The same when each last whole offcut is kept for later."""
        area = len(self.sheets) * self.sheet.length_in * self.sheet.width_in
        area -= sum(one.offcut_in2 for one in self.sheets)
        return 100 * (1 - self.blank_area_in2 / area) if area else 0.0


@dataclass
class _OpenStrip:
    height: int
    used: int = 0
    items: list[tuple[str, int, int]] = field(default_factory=list)  # name, along, across


def _thousandths(length_in: float) -> int:
    return round(length_in * PER_INCH)


def plan_cuts(blanks: Sequence[Blank], sheet: Sheet, kerf_in: float = 0.0) -> CuttingPlan:
    """Cut the blanks from as few sheets as the search finds. ``kerf_in`` is 0 for a shear, a router its bit.

    Raises OutOfRange when a blank does not fit the sheet as its grain demands; its ``argument`` is the field
    of Blank that is guilty.
    """
    require_finite({"kerf_in": kerf_in, **vars(sheet)})
    for blank in blanks:
        require_finite(vars(blank))
    require(
        0 <= kerf_in <= 1, "kerf_in", f"a kerf of {kerf_in} in is outside 0 to 1", "a router's is its bit"
    )
    kerf = _thousandths(kerf_in)
    long = _thousandths(sheet.length_in - 2 * sheet.trim_in) + kerf
    wide = _thousandths(sheet.width_in - 2 * sheet.trim_in) + kerf
    sizes = [_sizes(blank, long, wide, kerf) for blank in blanks]
    least = least_sheets(blanks, sheet, kerf_in)
    best: tuple[tuple[int, int], str, list[list[_OpenStrip]]] | None = None
    for across in (True, False):
        # Across the sheet: a strip lies along the width, and strips follow one another along the length.
        strip_length, stack = (wide, long) if across else (long, wide)
        for packed in _packings(blanks, sizes, strip_length, stack, across):
            ends = [sum(strip.height for strip in strips) for strips in packed]
            # Fewest sheets, then the largest whole offcut on the last one.
            score = (len(packed), min(ends) if ends else 0)
            if best is None or score < best[0]:
                best = (score, "across the sheet" if across else "along the sheet", packed)
        if best is not None and best[0][0] == least and best[0][1] == 0:
            break
    require(best is not None, "blanks", "there is nothing to cut", "give blanks")
    assert best is not None
    _, run, packed = best
    area = sum(blank.length_in * blank.width_in * blank.count for blank in blanks)
    return CuttingPlan(
        sheet=sheet,
        kerf_in=kerf_in,
        strips_run="across the sheet" if run == "across the sheet" else "along the sheet",
        sheets=tuple(_finished(strips, sheet, kerf, run == "across the sheet") for strips in packed),
        least_sheets=least,
        blank_area_in2=area,
    )


def why_not_cut(blank: Blank, sheet: Sheet, kerf_in: float = 0.0) -> OutOfRange | None:
    """Why a blank cannot be cut from a sheet as its grain demands; None when it can."""
    kerf = _thousandths(kerf_in)
    long = _thousandths(sheet.length_in - 2 * sheet.trim_in) + kerf
    wide = _thousandths(sheet.width_in - 2 * sheet.trim_in) + kerf
    try:
        _sizes(blank, long, wide, kerf)
    except OutOfRange as error:
        return error
    return None


def _sizes(blank: Blank, long: int, wide: int, kerf: int) -> list[tuple[int, int]]:
    """The allowed sizes of a blank along the sheet's length and across it, kerf included."""
    length, width = _thousandths(blank.length_in) + kerf, _thousandths(blank.width_in) + kerf
    for argument, size in (
        ("count", blank.count),
        ("length_in", blank.length_in),
        ("width_in", blank.width_in),
    ):
        require(size > 0, argument, f"{blank.name} is nothing", "size it")
    allowed = []
    if blank.grain in ("along", "any"):
        allowed.append((length, width))
    if blank.grain in ("across", "any") and length != width:
        allowed.append((width, length))
    if blank.grain == "across" and length == width:
        allowed.append((width, length))
    fitting = [size for size in allowed if size[0] <= long and size[1] <= wide]
    require(
        bool(fitting),
        "length_in",
        f"{blank.name} of {blank.length_in:g} x {blank.width_in:g} in does not fit the sheet"
        + ("" if blank.grain == "any" else f" with its length {blank.grain} the grain"),
        "use a longer sheet or splice as the plans allow",
    )
    return fitting


def _packings(
    blanks: Sequence[Blank],
    sizes: Sequence[Sequence[tuple[int, int]]],
    strip_length: int,
    stack: int,
    across: bool,
) -> Iterator[list[list[_OpenStrip]]]:
    random_numbers = random.Random(20)
    for attempt in range(TRIES):
        jitter = 0.0 if attempt < 3 else random_numbers.uniform(0.02, 0.30)
        items: list[tuple[float, str, int, int]] = []
        for blank, allowed in zip(blanks, sizes, strict=True):
            # Along the strip and across it, for each allowed way round.
            ways = [(wide, long) if across else (long, wide) for long, wide in allowed]
            ways = [way for way in ways if way[0] <= strip_length and way[1] <= stack]
            if not ways:
                break
            for _ in range(blank.count):
                if attempt == 0:
                    way = min(ways, key=lambda one: one[1])
                elif attempt == 1:
                    way = max(ways, key=lambda one: one[1])
                elif attempt == 2:
                    way = max(ways, key=lambda one: (strip_length // one[0]) * (stack // one[1]))
                else:
                    way = random_numbers.choice(ways) if random_numbers.random() < 0.5 else ways[0]
                weight = way[1] * (1 + random_numbers.uniform(-jitter, jitter))
                items.append((weight, blank.name, way[0], way[1]))
        else:
            items.sort(key=lambda item: (-item[0], item[1], -item[2]))
            yield _stack(_strips(items, strip_length), stack)


def _strips(items: Sequence[tuple[float, str, int, int]], strip_length: int) -> list[_OpenStrip]:
    """Best fit: each item into the strip where it leaves least, counting the height it wastes."""
    strips: list[_OpenStrip] = []
    for _, name, along, across in items:
        best: _OpenStrip | None = None
        best_loss = math.inf
        for strip in strips:
            if strip.used + along <= strip_length and across <= strip.height:
                loss = (strip.height - across) * along + (strip_length - strip.used - along)
                if loss < best_loss:
                    best, best_loss = strip, loss
        if best is None:
            best = _OpenStrip(across)
            strips.append(best)
        best.items.append((name, along, across))
        best.used += along
    return strips


def _stack(strips: Sequence[_OpenStrip], stack: int) -> list[list[_OpenStrip]]:
    """Strips into sheets, best fit by height, the highest first."""
    sheets: list[tuple[int, list[_OpenStrip]]] = []
    for strip in sorted(strips, key=lambda one: -one.height):
        fitting = [n for n, (used, _) in enumerate(sheets) if used + strip.height <= stack]
        if fitting:
            place = max(fitting, key=lambda n: sheets[n][0])
            used, members = sheets[place]
            members.append(strip)
            sheets[place] = (used + strip.height, members)
        else:
            sheets.append((strip.height, [strip]))
    return [members for _, members in sheets]


def _finished(strips: Sequence[_OpenStrip], sheet: Sheet, kerf: int, across: bool) -> SheetPlan:
    done: list[Strip] = []
    at = 0
    for strip in strips:
        along_at = 0
        placed = []
        for name, along, side in strip.items:
            placed.append(
                Placed(
                    name,
                    along_at / PER_INCH + sheet.trim_in,
                    (along - kerf) / PER_INCH,
                    (side - kerf) / PER_INCH,
                )
            )
            along_at += along
        done.append(Strip(at / PER_INCH + sheet.trim_in, (strip.height - kerf) / PER_INCH, tuple(placed)))
        at += strip.height
    stack_in = (sheet.length_in if across else sheet.width_in) - 2 * sheet.trim_in
    other_in = (sheet.width_in if across else sheet.length_in) - 2 * sheet.trim_in
    left = max(0.0, stack_in - at / PER_INCH)
    return SheetPlan(tuple(done), at / PER_INCH, left * other_in)


# The lower bound


def least_sheets(blanks: Sequence[Blank], sheet: Sheet, kerf_in: float = 0.0) -> int:
    """A number of sheets that no layout can go below, whatever the cuts.

    For dual feasible functions f and g, sheets >= sum of count x least over the allowed ways of
    f(width share) x g(length share). Raises OutOfRange as :func:`plan_cuts` does.
    """
    kerf = _thousandths(kerf_in)
    long = _thousandths(sheet.length_in - 2 * sheet.trim_in) + kerf
    wide = _thousandths(sheet.width_in - 2 * sheet.trim_in) + kerf
    sized = [(blank.count, _sizes(blank, long, wide, kerf)) for blank in blanks]
    best = 0
    shares_long = {way[0] for _, ways in sized for way in ways}
    shares_wide = {way[1] for _, ways in sized for way in ways}
    along = list(_functions(long, shares_long))
    across = list(_functions(wide, shares_wide))
    for f, f_whole in along:
        table_f = {share: f(share) for share in shares_long}
        for g, g_whole in across:
            total = sum(count * min(table_f[way[0]] * g(way[1]) for way in ways) for count, ways in sized)
            best = max(best, -(-total // (f_whole * g_whole)))
    return best


def _functions(whole: int, shares: set[int]) -> Iterator[tuple[Callable[[int], int], int]]:
    """Dual feasible functions in whole numbers: f(size) of f(whole)."""
    yield (lambda size: size), whole
    for step in range(1, 12):

        def rounded(size: int, step: int = step) -> int:
            top = (step + 1) * size
            # u_k: exact multiples stay, the rest is rounded down; scaled by k (k + 1) to stay whole.
            return size * step * (step + 1) if top % whole == 0 else (top // whole) * whole * (step + 1)

        yield rounded, whole * step * (step + 1)
    for cut in sorted({min(size, whole - size) for size in shares if 0 < size < whole}):
        if 2 * cut > whole:
            continue

        def large_or_none(size: int, cut: int = cut) -> int:
            if size > whole - cut:
                return whole
            return 0 if size < cut else size

        yield large_or_none, whole


def cutting_list(plan: CuttingPlan) -> list[str]:
    """The cuts in order: on each sheet the full-width cuts first, then each strip."""
    side = "length" if plan.strips_run == "across the sheet" else "width"
    lines = []
    for number, sheet in enumerate(plan.sheets, 1):
        lines.append(f"Sheet {number}: mark along the {side} from one end, cut right across at each.")
        for place, strip in enumerate(sheet.strips, 1):
            lines.append(
                f"  Strip {place}: {strip.height_in:.3f} in wide, from {strip.at_in:.3f}"
                f" to {strip.at_in + strip.height_in:.3f}"
            )
        for place, strip in enumerate(sheet.strips, 1):
            for blank in strip.blanks:
                trim = (
                    f", trim to {blank.across_in:.3f}" if strip.height_in - blank.across_in > 0.0005 else ""
                )
                lines.append(
                    f"  From strip {place} at {blank.at_in:.3f}: {blank.name},"
                    f" {blank.along_in:.3f} long{trim}"
                )
    return lines
