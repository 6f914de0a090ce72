"""Checks that need more than one field: names that must exist, routes that must end."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date
from pathlib import Path

from kiosk.errors import KioskError
from kiosk.numbers.catalogue import CALCULATORS
from kiosk.numbers.trial import TRIAL_FIGURES
from kiosk.shop.faults import nearest
from kiosk.shop.finish_check import check_finishes
from kiosk.shop.hazards import HAZARDS
from kiosk.shop.measures import read_number
from kiosk.shop.parts import OF_THE_MATERIAL, PartKind
from kiosk.shop.procedure import CheckRef, MeasureCheck, NumberWanted, Procedure, Step
from kiosk.shop.reader import Document, Location
from kiosk.shop.rib_of_kind import OF_A_RIB
from kiosk.shop.shop import DAYS, ShopFile
from kiosk.shop.stock_use import same_unit

Procedures = Mapping[str, tuple[Procedure, Document]]


def check_procedure(procedure: Procedure, document: Document) -> None:
    """Note every fault that the procedure alone shows."""
    ids: dict[str, int] = {}
    for number, step in enumerate(procedure.steps):
        here: Location = ("steps", number)
        if step.id in ids:
            document.fault(
                (*here, "id"),
                f"step {step.id!r} is here twice (first as step {ids[step.id] + 1})",
                "give it another id",
            )
        ids.setdefault(step.id, number)
        _check_names(step, document, here)
    for number, step in enumerate(procedure.steps):
        _check_waits(procedure, step, number, ids, document)
        _check_trial(procedure, step, number, document)
    _check_former_names(procedure.renamed_from, (procedure.id,), document, ())
    seen: list[str] = [step.id for step in procedure.steps]
    for number, step in enumerate(procedure.steps):
        _check_former_names(step.renamed_from, seen, document, ("steps", number))
        seen += step.renamed_from
    last = len(procedure.steps) - 1
    if procedure.steps[last].stop == "go straight on":
        document.fault(
            ("steps", last, "stop"),
            "the last step goes straight on to nothing",
            "let it end: only when finished",
        )


def _check_former_names(
    former: Iterable[str], taken: Collection[str], document: Document, here: Location
) -> None:
    """A name that something has now, or had too, cannot have been another thing's."""
    seen: list[str] = []
    for place, name in enumerate(former):
        if name in taken or name in seen:
            location: Location = (*here, "renamed_from", place)
            document.fault(
                location if location in document.values else (*here, "renamed_from"),
                f"{name!r} is the name of something else here, so this cannot have been called so",
                "correct the name, or delete renamed_from:",
            )
        seen.append(name)


def _check_names(step: Step, document: Document, here: Location) -> None:
    for place, tag in enumerate(step.hazards):
        if tag not in HAZARDS:
            document.fault((*here, "hazards", place), f"unknown hazard {tag!r}", nearest(tag, HAZARDS))
    for place, wanted in enumerate(step.numbers):
        if not isinstance(wanted, NumberWanted):
            continue
        calculator = CALCULATORS.get(wanted.calculator)
        if calculator is None:
            document.fault(
                (*here, "numbers", place, "calculator"),
                f"unknown calculator {wanted.calculator!r}",
                nearest(wanted.calculator, CALCULATORS),
            )
            continue
        known = {parameter.name for parameter in calculator.parameters}
        for name in wanted.inputs:
            if name not in known:
                document.fault(
                    (*here, "numbers", place, "inputs", name),
                    f"{calculator.name} has no input {name!r}",
                    nearest(name, known),
                    key=True,
                )
        missing = [p.name for p in calculator.parameters if p.required and p.name not in wanted.inputs]
        if missing and known.issuperset(wanted.inputs):
            document.fault(
                (*here, "numbers", place),
                f"{calculator.name} needs {', '.join(missing)}",
                "add it under inputs:",
            )
    seen: set[str] = set()
    for place, check in enumerate(step.checks):
        if isinstance(check, MeasureCheck):
            _check_ends(check, document, (*here, "checks", place))
        if check.id in seen:
            document.fault(
                (*here, "checks", place, "id"), f"check {check.id!r} is here twice", "give it another id"
            )
        seen.add(check.id)


def _check_ends(check: MeasureCheck, document: Document, here: Location) -> None:
    """Both ends as typed, whether or not a part kind goes through the procedure; others need the kind."""
    typed = {name: _typed(check, name) for name in ("low", "high", "plus", "minus")}
    for name in ("plus", "minus"):
        off = typed[name]
        if off is not None and off < 0:
            document.fault(
                (*here, name),
                f"check {check.id!r} has {name} {off:g}, below nothing",
                "write how far it may be off that way, without a sign",
            )
    low, high = typed["low"], typed["high"]
    if low is not None and high is not None and low > high:
        document.fault(
            (*here, "low"),
            f"check {check.id!r} has its low end {low:g} above its high end {high:g}",
            "nothing could pass it: correct one of them",
        )
    elif low is not None and low == high:
        document.fault(
            (*here, "low"),
            f"check {check.id!r} takes {low:g} alone, which nobody measures",
            "give it the room that the plans allow",
        )


def _typed(check: MeasureCheck, name: str) -> float | None:
    """An end of a check as typed; None for one that is left out, or worked out for a kind."""
    written = getattr(check, name)
    try:
        return read_number(written, check.unit) if isinstance(written, str) else None
    except KioskError:
        return None  # named where it is worked out, or by a dimension


def _check_trial(procedure: Procedure, step: Step, number: int, document: Document) -> None:
    """A trial has all its figures, and each that is measured comes from a check in its unit."""
    if step.trial is None:
        return
    here: Location = ("steps", number, "trial", "figures")
    figures = step.trial.figures
    for name in figures:
        if name not in TRIAL_FIGURES:
            wrong = f"a trial has no figure {name!r}"
            document.fault((*here, name), wrong, nearest(name, TRIAL_FIGURES), key=True)
    missing = [name for name in TRIAL_FIGURES if name not in figures]
    if missing and set(figures) <= set(TRIAL_FIGURES):
        document.fault(
            here, f"a trial needs {', '.join(missing)}", "say which check, value or dimension it is"
        )
    earlier = {(one.id, check.id): check for one in procedure.steps[: number + 1] for check in one.checks}
    taken: dict[CheckRef, str] = {}
    for name in figures:
        told = step.trial.check_of(name, step)
        if told is None or name not in TRIAL_FIGURES:
            continue
        check = earlier.get((told.step, told.check))
        unit = TRIAL_FIGURES[name]
        if check is None:
            known = [str(CheckRef(*names)) for names in earlier]
            document.fault((*here, name), f"unknown check {str(told)!r}", nearest(str(told), known))
        elif not isinstance(check, MeasureCheck) or check.unit != unit:
            wanted = f"a figure in {unit}" if unit else "a word, which no check gives"
            document.fault(
                (*here, name),
                f"{name} is {wanted}, not check {told.check!r}",
                "name a check that measures it",
            )
        elif taken.setdefault(told, name) != name:
            document.fault(
                (*here, name),
                f"{name} is check {figures[name]!r}, which {taken[told]} is already",
                "name the check that measures it",
            )


def _check_waits(
    procedure: Procedure, step: Step, number: int, ids: Mapping[str, int], document: Document
) -> None:
    for place, wait in enumerate(step.waits):
        here: Location = ("steps", number, "waits", place)
        target = wait.step
        field = wait.names_step_by
        if target not in ids:
            document.fault((*here, field), f"unknown step {target!r}", nearest(target, ids))
        elif ids[target] <= number:
            document.fault(
                (*here, field),
                f"step {target!r} comes before this wait, so it can never be reached",
                "name a later step",
            )
        if wait.back_to is not None and wait.back_to not in ids:
            document.fault((*here, "back_to"), f"unknown step {wait.back_to!r}", nearest(wait.back_to, ids))
        elif wait.back_to is not None and ids[wait.back_to] > number:
            document.fault(
                (*here, "back_to"),
                f"step {wait.back_to!r} comes after the step that starts this clock",
                "name this step or an earlier one",
            )
        if wait.from_check is not None:
            names = {
                str(CheckRef(earlier.id, check.id))
                for earlier in procedure.steps[: number + 1]
                for check in earlier.checks
                if isinstance(check, MeasureCheck)
            }
            if str(wait.from_check) not in names:
                document.fault(
                    (*here, "from_check"),
                    f"unknown check {str(wait.from_check)!r}",
                    nearest(str(wait.from_check), names),
                )
    for place, late in enumerate(step.waits):
        for early in step.waits:
            if (
                isinstance(early.must_pass, float)
                and isinstance(late.within, float)
                and early.before == late.step
                and early.must_pass > late.within
            ):
                document.fault(
                    ("steps", number, "waits", place, "within"),
                    f"step {late.step!r} can never be reached: {early.must_pass:g} min must pass first",
                    "make within longer than must_pass",
                )


def check_shop(
    file: ShopFile, document: Document, procedures: Procedures, unread: Collection[str] = ()
) -> None:
    """Note every fault in the shop file, and those that procedures show with this shop's dimensions.

    ``unread`` are the ids of procedures whose own faults are named already.
    """
    _check_unique(file, document)
    _check_renamed(file, document, procedures)
    kinds = {kind.id: kind for kind in file.part_kinds}
    for number, raised in enumerate(file.hazards):
        hazard = HAZARDS.get(raised.tag)
        if hazard is None:
            document.fault(
                ("hazards", number, "tag"), f"unknown hazard {raised.tag!r}", nearest(raised.tag, HAZARDS)
            )
            continue
        for name in ("min_age_operate", "min_age_present"):
            age = getattr(raised, name)
            if age is not None and age < getattr(hazard, name):
                document.fault(
                    ("hazards", number, name),
                    f"{raised.tag} {name} {age} is below the kiosk's {getattr(hazard, name)}",
                    "an age can be raised, not lowered",
                )
    for number, person in enumerate(file.people):
        for place, tag in enumerate(person.not_yet):
            if tag not in HAZARDS:
                document.fault(
                    ("people", number, "not_yet", place), f"unknown hazard {tag!r}", nearest(tag, HAZARDS)
                )
    for number, tool in enumerate(file.tools):
        for place, tag in enumerate(tool.hazards):
            if tag not in HAZARDS:
                where: Location = ("tools", number, "hazards", place)
                document.fault(where, f"unknown hazard {tag!r}", nearest(tag, HAZARDS))
    if not any(person.role == "builder" for person in file.people):
        document.fault(("people",), "nobody has the role builder", "give one person role: builder", key=True)
    check_finishes(file, document)
    for number, kind in enumerate(file.part_kinds):
        _check_kind(kind, number, kinds, document, procedures, unread)
    _check_made_from(file, document)
    _check_cycles(file, document)
    _check_tools(file, document, procedures)
    _check_tool_hazards(file, procedures)
    _check_given(file, document, procedures)


def _check_unique(file: ShopFile, document: Document) -> None:
    lists: tuple[tuple[str, Iterable[str]], ...] = (
        ("people", [person.id for person in file.people]),
        ("tools", [tool.id for tool in file.tools]),
        ("consumables", [item.id for item in file.consumables]),
        ("part_kinds", [kind.id for kind in file.part_kinds]),
        ("lots", [lot.mark for lot in file.lots]),
        ("finishes", [finish.id for finish in file.finishes]),
    )
    for name, ids in lists:
        seen: set[str] = set()
        for number, found in enumerate(ids):
            if found in seen:
                key = "mark" if name == "lots" else "id"
                document.fault((name, number, key), f"{found!r} is here twice", "give it another name")
            seen.add(found)
    marks: dict[str, str] = {}
    for number, kind in enumerate(file.part_kinds):
        for place, run in enumerate(kind.marks):
            clash = next((mark for mark in run.expand() if mark in marks), None)
            if clash:
                document.fault(
                    ("part_kinds", number, "marks", place),
                    f"mark {clash} is already a {marks[clash]!r}",
                    "one mark is one part: use another",
                )
            marks.update(dict.fromkeys(run.expand(), kind.id))


def _check_renamed(file: ShopFile, document: Document, procedures: Procedures) -> None:
    """Former names of procedures, part kinds and marks that are still names, or are claimed twice."""
    taken = [stage.procedure for kind in file.part_kinds for stage in kind.route]  # a shipped one may be left
    for procedure, source in procedures.values():
        _check_former_names(procedure.renamed_from, taken, source, ())
        taken += procedure.renamed_from
    kinds = [kind.id for kind in file.part_kinds]
    marks = [mark for kind in file.part_kinds for run in kind.marks for mark in run.expand()]
    for number, kind in enumerate(file.part_kinds):
        _check_former_names(kind.renamed_from, kinds, document, ("part_kinds", number))
        kinds += kind.renamed_from
        for place, run in enumerate(kind.marks):
            here: Location = ("part_kinds", number, "marks", place)
            for first in run.renamed_from:
                clash = next((mark for mark in run.former(first) if mark in marks), None)
                if clash is not None:
                    document.fault(
                        (*here, "renamed_from"),
                        f"{clash} is the mark of another part here, so none can have been marked so",
                        "correct it, or delete renamed_from:",
                    )
                marks += run.former(first)


def check_quiet_hours(file: ShopFile, document: Document) -> None:
    """Warn of quiet hours that can hardly be meant: a whole day, and a whole week."""
    loud = {(day, minute) for day in range(7) for minute in range(0, 24 * 60, 15)}
    for number, quiet in enumerate(file.quiet_hours):
        begins, ends = (one.hour * 60 + one.minute for one in (quiet.start, quiet.end))
        if begins == ends:
            document.fault(
                ("quiet_hours", number, "end"),
                f"quiet hours from {quiet.start:%H:%M} to {quiet.end:%H:%M} last a whole day",
                "correct one of them, if that is not meant",
                warning=True,
            )
        for day in (DAYS.index(name) for name in quiet.days):
            minutes = range(begins, ends if ends > begins else ends + 24 * 60)
            loud -= {((day + at // (24 * 60)) % 7, at % (24 * 60)) for at in minutes}
    if file.quiet_hours and not loud:
        document.fault(
            ("quiet_hours",),
            "no hour of the week is left to be loud in",
            "shorten them",
            key=True,
            warning=True,
        )


def check_days(file: ShopFile, document: Document, today: date | None) -> None:
    """Days that cannot be, seen from today: a birth to come, and what expired before it was ever used."""
    if today is None:
        return
    for number, person in enumerate(file.people):
        if person.born is not None and person.born > today:
            document.fault(
                ("people", number, "born"), f"{person.name} is born on a day to come", "correct the year"
            )
    for number, item in enumerate(file.consumables):
        if item.expires is not None and item.expires < today and item.left > 0:
            document.fault(
                ("consumables", number, "expires"),
                f"{item.name} expired on {item.expires}, and {item.left:g} {item.unit} are left",
                "correct the day, or write left: 0 and buy new",
                warning=True,
            )


def _check_kind(
    kind: PartKind,
    number: int,
    kinds: Mapping[str, PartKind],
    document: Document,
    procedures: Procedures,
    unread: Collection[str],
) -> None:
    here: Location = ("part_kinds", number)
    for name in OF_THE_MATERIAL:
        if name in kind.dimensions and getattr(kind.material, name) is not None:
            document.fault(
                (*here, "dimensions", name),
                f"the {name} of {kind.id!r} is written twice, under material and under dimensions",
                "write it under material only",
                key=True,
            )
        elif name in kind.dimensions and kind.material.other is None:
            document.fault(
                (*here, "dimensions", name),
                f"the {name} of {kind.id!r} is written under dimensions, where the lots do not look",
                f"write it under material: {{{name}: …}}",
                key=True,
            )
    seen: set[str] = set()
    for place, stage in enumerate(kind.route):
        at: Location = (*here, "route", place)
        if stage.procedure in seen:
            document.fault(
                (*at, "procedure"),
                f"procedure {stage.procedure!r} is twice in this route",
                "name each procedure once",
            )
        seen.add(stage.procedure)
        if stage.procedure not in procedures and stage.procedure not in unread:
            document.fault(
                (*at, "procedure"),
                f"unknown procedure {stage.procedure!r}",
                nearest(stage.procedure, procedures),
            )
        for needed, count in stage.needs.items():
            if needed not in kinds:
                document.fault(
                    (*at, "needs", needed), f"unknown part kind {needed!r}", nearest(needed, kinds), key=True
                )
                continue
            there = sum(len(run.expand()) for run in kinds[needed].marks)
            if not 0 < count <= there:
                document.fault(
                    (*at, "needs", needed),
                    f"{count} of {needed!r} are needed but {there} are planned",
                    "correct the count or add marks",
                )


def _check_made_from(file: ShopFile, document: Document) -> None:
    marks = {mark for kind in file.part_kinds for run in kind.marks for mark in run.expand()}
    for number, kind in enumerate(file.part_kinds):
        for place, run in enumerate(kind.marks):
            for which, mark in enumerate(run.made_from):
                if mark not in marks:
                    document.fault(
                        ("part_kinds", number, "marks", place, "made_from", which),
                        f"unknown part {mark!r}",
                        nearest(mark, marks),
                    )


def _check_cycles(file: ShopFile, document: Document) -> None:
    """A kind may not need, however far down, itself."""
    kinds = {kind.id: kind for kind in file.part_kinds}
    owner = {mark: kind.id for kind in file.part_kinds for run in kind.marks for mark in run.expand()}
    needs = {
        kind.id: {needed for stage in kind.route for needed in stage.needs if needed in kinds}
        | {owner[mark] for run in kind.marks for mark in run.made_from if mark in owner}
        for kind in file.part_kinds
    }
    reported: set[frozenset[str]] = set()
    for number, kind in enumerate(file.part_kinds):
        cycle = _cycle_from(kind.id, needs)
        if cycle and frozenset(cycle) not in reported:
            reported.add(frozenset(cycle))
            document.fault(
                ("part_kinds", number, "route"),
                f"the route goes round in a circle: {' needs '.join([*cycle, cycle[0]])}",
                "take one of the needs out",
                key=True,
            )


def _cycle_from(start: str, needs: Mapping[str, set[str]]) -> list[str] | None:
    """The way from a kind back to itself, or None. Iterative, so that a long chain is no trouble."""
    stack: list[tuple[str, list[str]]] = [(start, [start])]
    seen: set[str] = set()
    while stack:
        at, way = stack.pop()
        for needed in sorted(needs[at]):
            if needed == start:
                return way
            if needed not in seen:
                seen.add(needed)
                stack.append((needed, [*way, needed]))
    return None


def _check_uses(step: Step, number: int, source: Document, file: ShopFile, document: Document) -> None:
    """What a step takes from the stock is on its list of consumables, and counted in the same unit."""
    items = {item.id: item for item in file.consumables}
    seen: set[str] = set()
    for place, uses in enumerate(step.uses):
        at: Location = ("steps", number, "uses", place)
        if uses.of in seen:
            source.fault(
                (*at, "of"),
                f"step {step.id!r} takes {uses.of!r} twice",
                "write one amount for all that a part takes of it",
            )
        seen.add(uses.of)
        if uses.of not in step.consumables:
            source.fault(
                (*at, "of"),
                f"step {step.id!r} uses {uses.of!r}, which is not among its consumables",
                "add it under consumables: of the step",
            )
        elif uses.of in items and not same_unit(uses.unit, items[uses.of].unit):
            item = items[uses.of]
            source.fault(
                (*at, "unit"),
                f"{uses.of} is counted in {item.unit} in {document.file}, not in {uses.unit}",
                "write both in one unit; until then the step takes none of it off the stock",
                warning=True,
            )


def _check_given(file: ShopFile, document: Document, procedures: Procedures) -> None:
    """A kind gives what the procedures on its route say that it must: 0 and none are said, never left out."""
    for procedure, source in procedures.values():
        for place, name in enumerate(procedure.must_give):
            if not any(name == step.only_if for step in procedure.steps):
                source.fault(
                    ("must_give", place),
                    f"no step of {procedure.id!r} hangs on {name!r}, so no kind need give it",
                    nearest(name, {step.only_if for step in procedure.steps if step.only_if}),
                )
    for number, kind in enumerate(file.part_kinds):
        here: Location = ("part_kinds", number)
        for procedure_id in dict.fromkeys(kind.procedures):
            if procedure_id not in procedures:
                continue
            for name in procedures[procedure_id][0].must_give:
                written = kind.written(name)
                if isinstance(written, str) and written.strip().startswith("-"):
                    document.fault(
                        (*here, "dimensions", name),
                        f"{name} is {written}, and nothing is less than none",
                        "write how many there are, 0 for none",
                    )
                if written is None:
                    document.fault(
                        here,
                        f"{kind.id!r} does not say its {name!r}, which {procedure_id!r} asks of each kind",
                        f"add {name}: under its dimensions, 0 for none; until then it does those steps",
                        warning=True,
                    )


def _check_tool_hazards(file: ShopFile, procedures: Procedures) -> None:
    """A step that uses a tool shows one of the hazards that the shop says of it."""
    of_tool = {tool.id: tool.hazards for tool in file.tools if tool.hazards}
    used = {stage.procedure for kind in file.part_kinds for stage in kind.route}
    for procedure_id in sorted(used & set(procedures)):
        procedure, source = procedures[procedure_id]
        for number, step in enumerate(procedure.steps):
            for place, tool in enumerate(step.tools):
                wanted = of_tool.get(tool, ())
                if wanted and not set(wanted) & set(step.hazards):
                    source.fault(
                        ("steps", number, "tools", place),
                        f"step {step.id!r} uses {tool!r} and shows no caution of it",
                        f"add {' or '.join(wanted)} to its hazards",
                        warning=True,
                    )


def _check_tools(file: ShopFile, document: Document, procedures: Procedures) -> None:
    """Tools and consumables that a step in use names must be on the shop's lists."""
    tools = {tool.id for tool in file.tools}
    consumables = {item.id for item in file.consumables}
    used = {stage.procedure for kind in file.part_kinds for stage in kind.route}
    missing: dict[tuple[str, str], list[tuple[Document, Location]]] = {}
    for procedure_id in sorted(used & set(procedures)):
        procedure, source = procedures[procedure_id]
        kinds = [kind for kind in file.part_kinds if procedure_id in kind.procedures]
        for number, step in enumerate(procedure.steps):
            for field, names, known in (
                ("tools", step.tools, tools),
                ("consumables", step.consumables, consumables),
            ):
                for place, name in enumerate(names):
                    if name not in known:
                        at: Location = ("steps", number, field, place)
                        missing.setdefault((field, name), []).append((source, at))
            _check_uses(step, number, source, file, document)
            for within, asked in (("checks", step.checks), ("numbers", step.numbers)):
                for place, one in enumerate(asked):
                    if one.only_if in OF_A_RIB:
                        continue  # no slip of the pen; which ribs have it follows from their layout
                    if one.only_if is not None and not any(kind.written(one.only_if) for kind in kinds):
                        source.fault(
                            ("steps", number, within, place, "only_if"),
                            f"never shown: no part kind here has {one.only_if!r}",
                            "correct the name or add the dimension",
                            warning=True,
                        )
            _check_waited_for(procedure, step, number, kinds, source)
            if step.only_if in procedure.must_give:
                continue  # each kind is asked for it by itself
            if step.only_if is not None and not any(kind.written(step.only_if) for kind in kinds):
                source.fault(
                    ("steps", number, "only_if"),
                    f"step {step.id!r} is never reached: no part kind here has {step.only_if!r}",
                    "correct the name or add the dimension",
                    warning=True,
                )
    for (field, name), places in missing.items():
        others = len({(source.file, where[1]) for source, where in places}) - 1
        need = "step needs" if others == 1 else "steps need"
        also = f", and {others} more {need} it" if others else ""
        known = tools if field == "tools" else consumables
        first, stands = next((one for one in places if _is_own(one[0], document)), places[0])
        shipped = not _is_own(first, document)  # a newer kiosk asks for more: that stops a step, not the shop
        until = ". Until then the step waits for it" if shipped else ""
        first.fault(
            stands,
            f"{name!r} is not among the {field} of {document.file}{also}",
            f"{nearest(name, known)} Else add it to {field}: of {document.file}{until}",
            warning=shipped,
        )


def _check_waited_for(
    procedure: Procedure, step: Step, number: int, kinds: Sequence[PartKind], source: Document
) -> None:
    """A wait for a step that a kind leaves out is one for the next that it has: so there has to be one."""
    kinds = [kind for kind in kinds if step.only_if is None or kind.written(step.only_if)]
    for place, wait in enumerate(step.waits):
        at = procedure.index(wait.step)
        named = [one.only_if for one in procedure.steps[at:]] if at is not None else [None]
        names = [name for name in named if name is not None and name not in OF_A_RIB]
        if len(names) < len(named):
            continue  # each kind has one of them, or its layout says so
        without = [kind.id for kind in kinds if not any(kind.written(name) for name in names)]
        if without:
            source.fault(
                ("steps", number, "waits", place, wait.names_step_by),
                f"{without[0]} has no step {wait.step!r}, nor any after it, to end {wait.what!r}",
                "name a step that every part kind has, or add one at the end",
                warning=True,
            )


def _is_own(procedure: Document, shop: Document) -> bool:
    """True for a procedure in the shop's own folder."""
    return Path(procedure.file).is_relative_to(Path(shop.file).parent)
