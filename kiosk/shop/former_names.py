"""Procedures under another id than a shop's file still names them by.

A shipped procedure may get a new id and say what it was called. Shops that were written before go on: their
routes are read under today's id, and `kiosk check` says what to write.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from kiosk.shop.parts import PartKind, RouteStage
from kiosk.shop.procedure import Procedure
from kiosk.shop.shop import ShopFile

if TYPE_CHECKING:  # a start reads what is kept, and no file
    from kiosk.shop.reader import Document


def less_taken(procedure: Procedure, own: Iterable[str]) -> Procedure:
    """A shipped procedure without those former names that are ids of the shop's own: there they are taken."""
    left = tuple(name for name in procedure.renamed_from if name not in set(own))
    if left == procedure.renamed_from:
        return procedure
    return procedure.model_copy(update={"renamed_from": left})


def todays_names(procedures: Mapping[str, Procedure]) -> dict[str, str]:
    """Today's id of each former one that no procedure has now."""
    return {
        former: procedure.id
        for procedure in procedures.values()
        for former in procedure.renamed_from
        if former not in procedures
    }


def under_todays_names(file: ShopFile, procedures: Mapping[str, Procedure]) -> ShopFile:
    """The shop file with every route under the ids that its procedures have today."""
    today = todays_names(procedures)
    if not any(name in today for kind in file.part_kinds for name in kind.procedures):
        return file
    kinds = tuple(_kind_under(kind, today) for kind in file.part_kinds)
    return file.model_copy(update={"part_kinds": kinds})


def _kind_under(kind: PartKind, today: Mapping[str, str]) -> PartKind:
    route = tuple(_stage_under(stage, today) for stage in kind.route)
    return kind.model_copy(update={"route": route})


def _stage_under(stage: RouteStage, today: Mapping[str, str]) -> RouteStage:
    return stage.model_copy(update={"procedure": today.get(stage.procedure, stage.procedure)})


def warn_of_former_names(file: ShopFile, document: Document, procedures: Mapping[str, Procedure]) -> None:
    """Note each stage of a route, as it is written, that names a procedure by what it was called."""
    today = todays_names(procedures)
    for number, kind in enumerate(file.part_kinds):
        for place, stage in enumerate(kind.route):
            if stage.procedure in today:
                document.fault(
                    ("part_kinds", number, "route", place, "procedure"),
                    f"procedure {stage.procedure!r} is called {today[stage.procedure]!r} now",
                    f"write {today[stage.procedure]}",
                    warning=True,
                )
