"""Load a shop folder, or the shipped procedures alone, and say everything that is wrong with them."""

from collections.abc import Callable
from dataclasses import field
from datetime import date
from functools import partial
from pathlib import Path

from kiosk.dataclass import dataclass
from kiosk.shop.bend_warnings import warn_of_bars, warn_of_bends
from kiosk.shop.compare import compare_figures
from kiosk.shop.compare_steps import compare_in_steps
from kiosk.shop.cross_check import check_days, check_procedure, check_quiet_hours, check_shop
from kiosk.shop.data import data_folder
from kiosk.shop.drawing_check import check_drawing_names, check_drawings
from kiosk.shop.drawings import Drawings
from kiosk.shop.faults import Fault, ShopFaults
from kiosk.shop.figure_check import check_figures, check_names, check_units
from kiosk.shop.figures import Figures
from kiosk.shop.finish_check import warn_of_no_finish
from kiosk.shop.former_names import less_taken, under_todays_names, warn_of_former_names
from kiosk.shop.lint import lint_procedure
from kiosk.shop.lot_warnings import warn_of_lots
from kiosk.shop.on_route import Routes
from kiosk.shop.procedure import Procedure
from kiosk.shop.reader import Document, read_document, validate
from kiosk.shop.rib_warnings import warn_of_ribs
from kiosk.shop.rivet_warnings import warn_of_rivets
from kiosk.shop.row_warnings import warn_of_rows
from kiosk.shop.sheet_warnings import warn_of_sheets
from kiosk.shop.shop import PROCEDURES_FOLDER, SHOP_FILE, Shop, ShopFile, procedure_files, put_together
from kiosk.shop.trial_check import check_trials

Look = Callable[[Procedure, Document], None]


@dataclass
class Loaded:
    """A shop as far as it could be read, with its faults."""

    shop: Shop | None = None
    documents: dict[str, Document] = field(default_factory=dict)  # shop.yaml, and procedures by their ids
    faults: list[Fault] = field(default_factory=list)

    @property
    def errors(self) -> list[Fault]:
        """The faults that stop the shop from being used."""
        return [fault for fault in self.faults if fault.severity == "error"]


def _load_procedures(
    folder: Path, shown_from: Path, lint: Look | None = None
) -> tuple[dict[str, tuple[Procedure, Document]], list[Fault], set[str]]:
    """The procedures of a folder, the faults in them, and the ids of those that could not be read."""
    unread: set[str] = set()
    found: dict[str, tuple[Procedure, Document]] = {}
    faults: list[Fault] = []
    for path in procedure_files(folder):
        try:
            shown = str(path.relative_to(shown_from))
        except ValueError:
            shown = str(path)
        document = read_document(path, shown)
        procedure = validate(document, Procedure)
        if procedure is None:
            unread |= {document.id_written, path.stem}
        else:
            if procedure.id in found:
                first = found[procedure.id][1]
                document.fault(
                    ("id",), f"procedure {procedure.id!r} is also in {first.file}", "give it another id"
                )
            else:
                found[procedure.id] = (procedure, document)
            check_procedure(procedure, document)
            if lint is not None:
                lint(procedure, document)
        faults += document.faults
    return found, faults, unread


def check_shipped_procedures(drawings: Drawings | None = None) -> list[Fault]:
    """Every fault and warning in the procedures that came with the kiosk."""
    folder = data_folder(PROCEDURES_FOLDER)
    return sorted(_load_procedures(folder, folder.parent, partial(_look_at, lint_procedure, drawings))[1])


def _look_at(lint: Look, drawings: Drawings | None, procedure: Procedure, document: Document) -> None:
    """What `kiosk check` says of one procedure alone."""
    lint(procedure, document)
    if drawings is not None:
        check_drawing_names(procedure, document, drawings)


def load(
    folder: Path, *, lint: bool = False, today: date | None = None, drawings: Drawings | None = None
) -> Loaded:
    """Read a shop folder with the shipped procedures behind its own. Never raises for bad content.

    ``lint`` looks at everything, as `kiosk check` does; ``today`` is then the day that nothing done is after,
    and ``drawings`` are those that a step may ask for.
    """
    loaded = Loaded()
    path = folder / SHOP_FILE
    document = read_document(path, str(Path(folder.name) / SHOP_FILE))
    file = validate(document, ShopFile)
    own_verbs = file.verbs if file is not None else ()
    shipped_folder = data_folder(PROCEDURES_FOLDER)
    shipped, faults, _ = _load_procedures(shipped_folder, shipped_folder.parent)
    loaded.faults += faults
    own_lint = partial(lint_procedure, own_verbs=own_verbs, today=today)
    look = partial(_look_at, own_lint, drawings) if lint else None
    own, faults, unread = _load_procedures(folder / PROCEDURES_FOLDER, folder.parent, look)
    loaded.faults += faults
    shipped = {key: (less_taken(one, own), read) for key, (one, read) in shipped.items()}
    procedures = {**shipped, **own}

    if file is not None:
        named = {key: procedure for key, (procedure, _) in procedures.items()}
        if lint:
            warn_of_former_names(file, document, named)
        file = under_todays_names(file, named)
        kinds = {kind.id: kind for kind in file.part_kinds}
        figures = Figures(kinds, folder)
        routes = Routes(figures, procedures)
        check_shop(file, document, procedures, unread)
        check_figures(kinds, figures, document, routes, ribs=lint)
        check_names(kinds, procedures)
        check_trials(file, figures, document, routes, own, ribs=lint)
        if lint:
            compare_figures(kinds, figures, document, routes)
            compare_in_steps(kinds, figures, routes)
            check_units(file.part_kinds, document)
            warn_of_no_finish(file, document, procedures)
            check_quiet_hours(file, document)
            check_days(file, document, today)
            warn_of_ribs(kinds, figures, document, routes)
            if drawings is not None:
                check_drawings(kinds, figures, document, routes, drawings)
            warn_of_bends(kinds, figures, document)
            warn_of_bars(kinds, figures, document)
            warn_of_rivets(kinds, figures, document, routes, {one.id: one for one in file.consumables})
            warn_of_lots(kinds, figures, document, routes, file.lots)
            warn_of_rows(kinds, figures, document, routes)
            warn_of_sheets(kinds, figures, document, file.lots)
        loaded.documents = {SHOP_FILE: document, **{key: read for key, (_, read) in procedures.items()}}
        loaded.shop = put_together(
            folder, file, {key: value[0] for key, value in procedures.items()}, figures
        )
    loaded.faults += document.faults
    # A fault that only shows with a shop's dimensions is noted in the procedure's own document.
    known = set(loaded.faults)
    for _, procedure_document in procedures.values():
        loaded.faults += [fault for fault in procedure_document.faults if fault not in known]
    loaded.faults = sorted(set(loaded.faults))
    return loaded


def load_shop(folder: Path) -> Shop:
    """Read a shop folder to work with. Raises ShopFaults with every error found."""
    return usable(load(folder))


def usable(loaded: Loaded) -> Shop:
    """The shop that was loaded. Raises ShopFaults with every error found."""
    if loaded.errors or loaded.shop is None:
        raise ShopFaults(loaded.errors)
    return loaded.shop
