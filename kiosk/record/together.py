"""Whether parts of several kinds go through a step together, as ribs and clips under one mixed primer.

What is seen and measured on one holds for all. So it has to be asked, shown and waited for alike on all.
"""

from collections.abc import Hashable, Iterator, Sequence
from contextlib import suppress

from kiosk.shop.at_hand import ORDINARY_DAY, OTHER_BLANKS_IN_HAND
from kiosk.shop.figures import FigureFault
from kiosk.shop.lots import wanted_lot_words
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import CountCheck, LotCheck, MeasureCheck, NumberWanted, Step, StepRef
from kiosk.shop.shop import Shop

BLANK_LENGTH, BLANK_WIDTH = "blank_length", "blank_width"


def go_together(shop: Shop, marks: Sequence[str], ref: StepRef) -> bool:
    """True when parts can go all at once through a step that takes its parts together."""
    first_of_kind = {shop.parts[mark].kind: mark for mark in reversed(marks)}
    if len(first_of_kind) < 2:
        return True
    _, step = shop.find_step(ref.procedure, ref.step)
    if step is None or step.drawing is not None or step.trial is not None:
        return False  # these are of one kind
    with suppress(FigureFault):  # what nobody can tell is not the same on both
        return len({tuple(_asked(shop, mark, ref)) for mark in first_of_kind.values()}) == 1
    return False


def _asked(shop: Shop, mark: str, ref: StepRef) -> Iterator[Hashable]:
    """All that a step asks of one part, shows for it and waits for. Raises FigureFault."""
    kind = shop.kind_of(mark)
    _, step = shop.find_step(ref.procedure, ref.step, mark)
    if step is None:
        return
    yield step.minutes
    yield step.hazards
    yield str(step.waits)
    yield str(step.conditions)
    yield kind.finish  # on an ordinary day two may ask for the same, and not in the room as it is
    if step.repeat is not None:
        yield shop.figures.count(kind, step.repeat)
    for check in step.checks:
        yield check.id
        if isinstance(check, CountCheck):
            yield shop.figures.count(kind, check)
        elif isinstance(check, LotCheck):
            yield wanted_lot_words(check, kind)
        elif isinstance(check, MeasureCheck):
            yield shop.figures.limits(kind, check, ORDINARY_DAY)
    yield from _shown(shop, kind, step)


def _shown(shop: Shop, kind: PartKind, step: Step) -> Iterator[Hashable]:
    for wanted in step.numbers:
        if wanted.only_if is not None and not shop.figures.has(kind, wanted.only_if):
            yield ""
        elif isinstance(wanted, NumberWanted) and OTHER_BLANKS_IN_HAND in wanted.inputs.values():
            yield blank_in2(shop, kind) > 0  # it adds the blanks of all kinds up
        else:
            yield shop.figures.step_number(kind, wanted, ORDINARY_DAY).shown


def blank_in2(shop: Shop, kind: PartKind) -> float:
    """Area of one face of a part's blank in square inches. Raises FigureFault."""
    return shop.figures.number(kind, BLANK_LENGTH, "in") * shop.figures.number(kind, BLANK_WIDTH, "in")


def other_blanks_in2(shop: Shop, kinds: Sequence[PartKind]) -> float:
    """Area in square inches of one face of the blanks of parts that are not of the first one's kind.

    ``kinds`` is that of each part in hand. Raises FigureFault.
    """
    return sum(blank_in2(shop, kind) for kind in kinds if kind.id != kinds[0].id)
