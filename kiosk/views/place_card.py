"""The place card: where the work stopped, and the one thing to do next."""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

from kiosk.record.context import Context
from kiosk.record.position import position, revision_changes
from kiosk.record.readiness import blocks
from kiosk.record.state import SHOWN_CONFIRMATIONS, State, Work
from kiosk.shop.parts import marks_in_full
from kiosk.shop.shop import Shop
from kiosk.views.wording import ago, until

BigAction = Literal["look", "resume", "begin", "complete", "question", "late", "second look", "choose"]


@dataclass(frozen=True)
class LookBack:
    """A step confirmed done before the break, to be seen again on the part itself."""

    marks: tuple[str, ...]
    procedure: str
    step: str
    text: str
    when: str


@dataclass(frozen=True)
class PlaceCard:
    """What a person sees first."""

    aeroplane: str
    standing: str  # NOT BEGUN, IN HAND, STARTED, UNKNOWN, LEFT IN ORDER, NEXT STEP …
    marks: tuple[str, ...]
    work: str | None
    procedure: str
    step: str
    title: str  # the part and the procedure
    number: int
    of: int
    do: str
    count_line: str
    draft_line: str
    when: str
    note: str
    left: tuple[str, ...]
    clocks: tuple[str, ...]
    look_back: tuple[LookBack, ...]
    changes: tuple[str, ...]
    snags: tuple[str, ...]
    to_look_over: tuple[str, ...]
    fetch: tuple[str, ...]
    blocked: str
    action: BigAction
    action_label: str


_LABELS: dict[BigAction, str] = {
    "look": "LOOK AT THE PART",
    "resume": "CARRY ON",
    "begin": "BEGIN THIS STEP",
    "complete": "COMPLETE THE PART",
    "question": "SAY WHERE TO GO ON",
    "late": "TIME RAN OUT",
    "second look": "SECOND LOOK",
    "choose": "CHOOSE A PART",
}


def place_card(context: Context) -> PlaceCard:
    """The place card for now."""
    shop, state, now = context.shop, context.state, context.now
    work = _work_in_hand(state)
    if work is not None:
        return _card_of_work(shop, state, work, now)
    marks = _next_marks(context)
    if not marks:
        return _card(shop, state, now, standing="ALL PARTS COMPLETE", action="choose")
    where = position(shop, state, marks[0])
    kind = shop.kind_of(marks[0])
    if where.vanished:
        return _card(
            shop,
            state,
            now,
            standing="QUESTION",
            marks=marks,
            title=f"{marks_in_full(marks)}  {kind.name}",
            do=f"The procedure no longer has the step {where.vanished!r} where this part stands.",
            action="question",
        )
    if where.procedure is None or where.step is None:
        return _card(
            shop,
            state,
            now,
            standing="ALL STEPS DONE",
            marks=marks,
            title=f"{marks_in_full(marks)}  {kind.name}",
            do="Look the part over once more before you call it complete.",
            action="complete",
        )
    stops = blocks(context, marks[0], where.procedure, where.step)
    action: BigAction = "begin"
    if stops:
        first = stops[0].kind
        action = "late" if first == "late" else "second look" if first == "look" else "choose"
    return _card(
        shop,
        state,
        now,
        standing="NEXT STEP",
        marks=marks,
        procedure=where.procedure.id,
        step=where.step.id,
        title=f"{marks_in_full(marks)}  {kind.name}",
        number=where.number,
        of=where.of,
        do=where.step.do,
        heading=where.procedure.title,
        blocked=stops[0].text if stops else "",
        action=action,
    )


def _work_in_hand(state: State) -> Work | None:
    if state.last_work in state.works:
        return state.works[state.last_work or ""]
    if not state.works:
        return None
    return max(state.works.values(), key=lambda work: work.touched_at or work.started_at)


def _next_marks(context: Context) -> tuple[str, ...]:
    """The parts to go on with: those of the last confirmed step that still stand together."""
    shop, state = context.shop, context.state
    for done in reversed(state.confirmations):
        marks = [
            mark for mark in done.marks if mark in shop.parts and not position(shop, state, mark).completed
        ]
        if marks:
            return _standing_together(shop, state, marks)
    for mark in shop.parts:
        where = position(shop, state, mark)
        if where.procedure is None or where.step is None:
            continue
        if not blocks(context, mark, where.procedure, where.step):
            return (mark,)
    open_parts = [mark for mark in shop.parts if not position(shop, state, mark).completed]
    return tuple(open_parts[:1])


def _standing_together(shop: Shop, state: State, marks: list[str]) -> tuple[str, ...]:
    first = position(shop, state, marks[0])
    same = [
        mark
        for mark in marks
        if (where := position(shop, state, mark)).procedure is first.procedure and where.step is first.step
    ]
    if first.step is not None and first.step.batch == "no":
        same = same[:1]
    return tuple(same)


def _card_of_work(shop: Shop, state: State, work: Work, now: datetime) -> PlaceCard:
    procedure, step = shop.find_step(work.procedure, work.step)
    piece = work.piece(work.turned_to) or work.pieces[0]
    kind = shop.kind_of(piece.mark)
    where = position(shop, state, piece.mark)
    if procedure is None or step is None:
        return _card(
            shop,
            state,
            now,
            standing="QUESTION",
            marks=work.marks,
            work=work.id,
            title=f"{piece.mark}  {kind.name}",
            do=f"The step {work.step!r} in hand is no longer in the procedure.",
            action="question",
        )
    count_line = ""
    if step.repeat is not None:
        count_line = f"{piece.count} of {shop.figures.count(kind, step.repeat)} {step.repeat.of}"
    asked = {check.id: check.ask for check in step.checks}
    drafts = [f"{asked.get(key, key)}: {text}▌ half typed" for key, text in piece.drafts.items() if text]
    standing = {"unknown": "STARTED, UNKNOWN", "running": "IN HAND", "paused": "IN HAND, PAUSED"}[work.status]
    others = f" ({work.marks.index(piece.mark) + 1} of {len(work.marks)} left)" if len(work.marks) > 1 else ""
    return _card(
        shop,
        state,
        now,
        standing=standing,
        marks=work.marks,
        work=work.id,
        procedure=procedure.id,
        step=step.id,
        title=f"{piece.mark}{others}  {kind.name}",
        heading=procedure.title,
        number=where.number,
        of=where.of,
        do=step.do,
        count_line=count_line,
        draft_line="; ".join(drafts),
        action="look" if work.status == "unknown" else "resume",
    )


def _card(
    shop: Shop,
    state: State,
    now: datetime,
    *,
    standing: str,
    action: BigAction,
    marks: tuple[str, ...] = (),
    work: str | None = None,
    procedure: str = "",
    step: str = "",
    title: str = "",
    heading: str = "",
    number: int = 0,
    of: int = 0,
    do: str = "",
    count_line: str = "",
    draft_line: str = "",
    blocked: str = "",
) -> PlaceCard:
    _, step_now = shop.find_step(procedure, step)
    fetch: tuple[str, ...] = ()
    if step_now is not None:
        fetch = shop.tool_names(step_now) + shop.consumable_names(step_now)
    left = state.left
    when = ""
    if left is not None and state.sitting is None:
        how = "The power went or the screen was killed" if left.cut_short else "You left"
        when = f"{how} {ago(left.at, now)}."
    elif state.last_at is not None:
        when = f"Last touched {ago(state.last_at, now)}."
    return PlaceCard(
        aeroplane=shop.file.aeroplane.name,
        standing=standing,
        marks=marks,
        work=work,
        procedure=procedure,
        step=step,
        title=f"{title}  {heading}".strip() if heading else title,
        number=number,
        of=of,
        do=do,
        count_line=count_line,
        draft_line=draft_line,
        when=when,
        note=left.note if left and state.sitting is None else "",
        left=left.left if left and state.sitting is None else (),
        clocks=tuple(clock_lines(shop, state, now)),
        look_back=tuple(_look_back(shop, state, now)),
        changes=tuple(revision_changes(shop, state, marks[0])) if marks else (),
        snags=tuple(f"{snag.mark}: {snag.text}" for snag in state.open_snags()),
        to_look_over=tuple(part.mark for part in state.parts.values() if part.wants_look),
        fetch=fetch,
        blocked=blocked,
        action=action,
        action_label=_LABELS[action],
    )


def clock_lines(shop: Shop, state: State, now: datetime) -> list[str]:
    """Every clock that runs on a part, the most pressing first, like ones gathered."""
    gathered: dict[tuple[str, str, datetime, str], list[str]] = {}
    for part in state.parts.values():
        for clock in part.clocks:
            if clock.kind == "must_pass" and clock.until <= now:
                continue
            key = (clock.kind, clock.what, clock.until, clock.if_missed)
            gathered.setdefault(key, []).append(part.mark)
    lines = []
    for (kind, what, at, if_missed), marks in sorted(gathered.items(), key=lambda item: item[0][2]):
        name = marks_in_full(marks)
        if kind == "must_pass":
            lines.append(f"WAIT {until(at, now)}: {name}, {what}")
        elif at >= now:
            lines.append(f"USE WITHIN {until(at, now)}: {name}, {what}")
        else:
            lines.append(f"TOO LATE since {at.astimezone().strftime('%a %H:%M')}: {name}. {if_missed}")
    return lines


def _look_back(shop: Shop, state: State, now: datetime) -> list[LookBack]:
    """The last steps confirmed, newest last; pieces of one batch at one step are one line."""
    found: list[LookBack] = []
    for done in reversed(state.confirmations):
        _, step = shop.find_step(done.procedure, done.step)
        text = step.do if step else done.step
        newer = found[-1] if found else None
        if newer is not None and (newer.procedure, newer.step) == (done.procedure, done.step):
            found[-1] = replace(newer, marks=done.marks + newer.marks)
        elif len(found) == SHOWN_CONFIRMATIONS:
            break
        else:
            found.append(LookBack(done.marks, done.procedure, done.step, text, ago(done.at, now)))
    return found[::-1]
