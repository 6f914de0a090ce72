"""Warns where a step takes rivets of another diameter or length than the part kind's own."""

from collections.abc import Iterator, Mapping

from kiosk.errors import KioskError
from kiosk.numbers.rivets import RivetLength, RivetName, rivet_name
from kiosk.numbers.units import show_in
from kiosk.shop.figures import Figures
from kiosk.shop.on_route import Routes, StepOnRoute
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import NumberWanted
from kiosk.shop.reader import Document, Location
from kiosk.shop.shop import Consumable

_SAME_IN = 0.0005


def warn_of_rivets(
    kinds: Mapping[str, PartKind],
    figures: Figures,
    document: Document,
    routes: Routes,
    consumables: Mapping[str, Consumable],
) -> None:
    """Compare each rivet that a step takes with what the step works out for the kind, by its part number.

    A consumable is a rivet where its name begins with a part number, such as ``MS20470AD4-4 rivets``. What it
    is compared with is the ``rivet_length`` of the same step: its ``diameter`` and the length that it gives.
    The warning stands where the diameter, or the grip, has its home.
    """
    rivets = {key: found for key, one in consumables.items() if (found := _rivet_of(one)) is not None}
    told: set[tuple[Location, str]] = set()
    for kind in kinds.values():
        for on_route in routes.steps_of(kind):
            for name in on_route.step.consumables:
                if name not in rivets:
                    continue
                for guilty, wrong, mend in _differences(kind, figures, on_route, rivets[name]):
                    home, dimension = figures.home_of(kind, guilty)
                    here: Location = ("part_kinds", list(kinds).index(home.id))
                    under: Location = (*here, "dimensions", dimension)
                    location = under if under in document.values else here
                    if (location, name) in told:
                        continue
                    told.add((location, name))
                    document.fault(
                        location,
                        f"{dimension} {wrong}, but {on_route.procedure!r} step {on_route.step.id!r} takes "
                        f"{name} ({consumables[name].name})",
                        mend,
                        warning=True,
                    )


def _rivet_of(consumable: Consumable) -> RivetName | None:
    try:
        return rivet_name(consumable.name.split()[0])
    except KioskError:
        return None  # no rivet, or one that its name does not tell


def _differences(
    kind: PartKind, figures: Figures, on_route: StepOnRoute, rivet: RivetName
) -> Iterator[tuple[str, str, str]]:
    """The guilty dimension, what is wrong with it and how to mend it: the diameter, else the length."""
    for wanted in on_route.step.numbers:
        if not isinstance(wanted, NumberWanted) or wanted.calculator != "rivet_length":
            continue
        try:
            diameter_in = figures.number(kind, wanted.inputs["diameter"], "in")
            result = figures.step_number(kind, wanted).result
        except (KioskError, KeyError):
            continue  # named elsewhere
        if not isinstance(result, RivetLength):
            continue
        if abs(diameter_in - rivet.diameter_in) > _SAME_IN:
            yield (
                wanted.inputs["diameter"],
                f"is {show_in(diameter_in)}",
                "let a procedure of the shop's own take the right rivets, or correct the diameter",
            )
        elif abs(result.length_in - rivet.length_in) > _SAME_IN:
            yield (
                wanted.inputs["grip"],
                f"of {kind.id!r} wants rivets {show_in(result.length_in)} long",
                "let a procedure of the shop's own take the right rivets, or correct the grip",
            )
