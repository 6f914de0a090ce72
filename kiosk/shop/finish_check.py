"""Checks on the finishes of a shop: what they are made up from, who gets which, and who gets none."""

from collections.abc import Mapping

from kiosk.shop.faults import nearest
from kiosk.shop.finish import FINISH_FIGURES, is_of_a_finish
from kiosk.shop.for_kind import named_figures
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import Procedure, Step
from kiosk.shop.reader import Document, Location
from kiosk.shop.shop import ShopFile


def check_finishes(file: ShopFile, document: Document) -> None:
    """Note a consumable or a finish that is not on the list, and a finish's word at a part kind."""
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
        for name in kind.dimensions:
            if is_of_a_finish(name):
                _note_of_a_finish(kind, name, document, (*here, "dimensions", name))


def _note_of_a_finish(kind: PartKind, name: str, document: Document, at: Location) -> None:
    """A finish's own word at a part kind: it would go before the sheet, and could loosen what is asked."""
    its = kind.its_finish
    if name not in FINISH_FIGURES:
        wrong = f"{name} is what the kiosk asks of a finish, so no part kind can say it"
        document.fault(at, wrong, "delete it", key=True)
    elif its is not None and its.entered(name) is not None:
        wrong = f"the {name} of {kind.id!r} is written twice, here and at finish {its.id!r}"
        document.fault(at, wrong, "delete one of them", key=True)
    else:
        wrong = f"{name} is a figure of a finish, so {kind.id!r} cannot give it"
        mend = f"write it under finishes: at {its.id}" if its is not None else "write it under finishes:"
        document.fault(at, wrong, mend, key=True)


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
