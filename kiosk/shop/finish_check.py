"""Checks on the finishes of a shop: what they are made up from, who gets which, and who gets none."""

from collections.abc import Mapping

from kiosk.shop.faults import nearest
from kiosk.shop.finish import FINISH_FIGURES
from kiosk.shop.for_kind import named_figures
from kiosk.shop.procedure import Procedure, Step
from kiosk.shop.reader import Document, Location
from kiosk.shop.shop import ShopFile


def check_finishes(file: ShopFile, document: Document) -> None:
    """Note a consumable or a finish that is not on the list, and a figure that is written twice."""
    consumables = [item.id for item in file.consumables]
    ids = [finish.id for finish in file.finishes]
    for number, finish in enumerate(file.finishes):
        for place, name in enumerate(finish.consumables):
            if name not in consumables:
                document.fault(
                    ("finishes", number, "consumables", place),
                    f"{name!r} is not among the consumables",
                    nearest(name, consumables),
                )
    for number, kind in enumerate(file.part_kinds):
        here: Location = ("part_kinds", number)
        if kind.finish is not None and kind.finish not in ids:
            document.fault((*here, "finish"), f"unknown finish {kind.finish!r}", nearest(kind.finish, ids))
        its = kind.its_finish
        for name in kind.dimensions:
            if its is not None and name in FINISH_FIGURES and its.entered(name) is not None:
                document.fault(
                    (*here, "dimensions", name),
                    f"the {name} of {kind.id!r} is written twice, here and at finish {its.id!r}",
                    "delete one of them",
                    key=True,
                )


def warn_of_no_finish(
    file: ShopFile, document: Document, procedures: Mapping[str, tuple[Procedure, Document]]
) -> None:
    """Warn of a part kind that is finished on its route and says with nothing."""
    for number, kind in enumerate(file.part_kinds):
        if kind.finish is not None:
            continue
        using = [
            name
            for name in kind.procedures
            if name in procedures and any(_needs_finish(step) for step in procedures[name][0].steps)
        ]
        if using:
            document.fault(
                ("part_kinds", number),
                f"{kind.id!r} goes through {using[0]!r} and names no finish: typical values stand",
                "add finish: and one of the finishes: of this file",
                warning=True,
            )


def _needs_finish(step: Step) -> bool:
    return bool(step.uses_finish) or any(name in FINISH_FIGURES for _, name, _ in named_figures(step))
