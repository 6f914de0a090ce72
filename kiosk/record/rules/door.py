"""The one door: every act is a rule that says who may do it, and none is decided without asking.

A rule is a function of the moment (:class:`Context`) and what is asked; it gives the events to record or
raises :class:`Refused`. It runs inside the transaction, on the newest state, every time. :data:`ACTS` lists
all of them: a test walks it against every person and situation, so that a new act needs its row.
"""

import functools
from collections.abc import Callable, Sequence
from typing import Any, Concatenate, Literal, ParamSpec

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.record import events as e
from kiosk.record.authority import is_adult, may_not_do, room_to_clear
from kiosk.record.context import NOBODY, Context
from kiosk.record.state import Work
from kiosk.shop.characters import first_hidden, name_of
from kiosk.shop.procedure import Step

Bodies = list[e.AnyBody]
P = ParamSpec("P")

Who = Literal[
    "anybody",  # to say who one is
    "whoever is here",  # to stop, to hold a part, to write something down
    "an adult",
    "the builder",
    "whoever did it, or the builder",  # the first argument is the event; a snag is the builder's alone
    "whoever may do the step",  # the first argument is the work in hand: rights, hazards, ages, room
    "whoever may do it on that part",  # and the second the piece of it, whose kind may want others
    "as the rule says",  # the rule itself asks, of the step that it begins
]


class Refused(KioskError):
    """The act is not recorded; says why and what to do instead."""


class NotAllowed(Refused):
    """This person may not do it, or not with these people here."""


def no_longer_in_hand() -> Refused:
    """What to raise where a step that was in hand is gone: by whom, and at which screen, nothing tells."""
    return Refused(
        "this step is not in hand any more: finished, put back or taken back", "look at the place card"
    )


@dataclass(frozen=True)
class Act:
    """One rule: what it is called, and who may do it."""

    name: str
    who: Who
    decide: Callable[..., Bodies]


ACTS: dict[str, Act] = {}


def act(
    who: Who,
) -> Callable[[Callable[Concatenate[Context, P], Bodies]], Callable[Concatenate[Context, P], Bodies]]:
    """Make a function a rule that is decided at the door."""

    def make(
        decide: Callable[Concatenate[Context, P], Bodies],
    ) -> Callable[Concatenate[Context, P], Bodies]:
        def at_the_door(context: Context, /, *args: P.args, **kwargs: P.kwargs) -> Bodies:
            _ask(context, who, (*args, kwargs["mark"]) if len(args) == 1 and "mark" in kwargs else args)
            return _plain(decide(context, *args, **kwargs))

        functools.update_wrapper(at_the_door, decide)
        ACTS[decide.__name__] = Act(decide.__name__, who, at_the_door)
        return at_the_door

    return make


def _plain(bodies: Bodies) -> Bodies:
    """Refuse what was typed or scanned with characters that do not show. Raises Refused."""
    for body in bodies:
        if isinstance(body, e.ProcedureKept):
            continue  # JSON of a file that was looked at when it was read
        for given in vars(body).values():
            for text in given if isinstance(given, tuple) else (given,):
                hidden = first_hidden(text) if isinstance(text, str) else None
                if hidden is not None:
                    raise Refused(
                        f"the text holds a character that does not show: {name_of(text[hidden])}",
                        "type it again",
                    )
    return bodies


def _ask(context: Context, who: Who, args: tuple[Any, ...]) -> None:
    """Refuse what this person may not do now. Raises NotAllowed."""
    doer = context.doer
    if who in ("anybody", "as the rule says"):
        return
    if doer.id == NOBODY:
        raise NotAllowed("nobody has the screen yet", "F4, choose your name, then F7")
    if doer not in context.people:
        raise NotAllowed(f"{doer.name} is not at the bench", "press F4 and say who is here")
    if who == "the builder" and doer.role != "builder":
        raise NotAllowed("only the builder does this", "ask the builder")
    if who == "an adult" and not is_adult(context, doer):
        raise NotAllowed("an adult does this", "ask the builder")
    if who == "whoever did it, or the builder" and doer.role != "builder":
        done = next((one for one in context.state.undoables if one.event == args[0]), None)
        if done is not None and done.by != doer.id:
            raise NotAllowed("it was not you who did it", "ask the builder")
        if done is not None and done.snags:
            raise NotAllowed("a snag holds until the builder decides", "ask the builder")
    if who in ("whoever may do the step", "whoever may do it on that part"):
        work = context.state.works.get(args[0])
        if work is None:
            raise no_longer_in_hand()
        named = who == "whoever may do it on that part" and len(args) > 1 and args[1] in work.marks
        mark = args[1] if named else work.turned_to
        _, step = context.shop.find_step(work.procedure, work.step, mark)
        if step is None:
            if doer.role != "builder":
                raise NotAllowed("this step is no longer in its procedure", "ask the builder")
            return
        ask_for_step(context, step)
        seen = [mark for mark in work.marks if context.state.part(mark).looked.get(work.ref) == doer.id]
        if step.hold_point and seen:
            raise NotAllowed(f"{doer.name} gave the second look at {seen[0]}", "hand the screen over")


def why_not(context: Context, name: str, *args: Any) -> str:
    """Why the door would not let this person do an act, in plain words; empty where it would.

    What the rule itself then finds is not asked: this is for a screen that offers only what may be done.
    """
    try:
        _ask(context, ACTS[name].who, args)
    except NotAllowed as error:
        return error.wrong
    return ""


def require_parts(context: Context, marks: Sequence[str]) -> None:
    """Refuse marks that no part of the shop has, none at all, and one twice. Raises Refused."""
    if not marks:
        raise Refused("no part is chosen", "choose one on the board")
    for number, mark in enumerate(marks):
        if mark not in context.shop.parts:
            raise Refused(f"no part is marked {mark!r}", "choose one on the board")
        if mark in marks[:number]:
            raise Refused(f"{mark} is there twice", "choose each part once")


def why_not_at_step(context: Context, work: Work) -> str:
    """Why this person may not be at a step now, as it was in hand, in plain words; empty where they may."""
    _, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
    try:
        if step is not None:
            ask_for_step(context, step)
    except NotAllowed as error:
        return error.wrong
    return ""


def ask_for_step(context: Context, step: Step) -> None:
    """Refuse a step that this person may not do with these people here. Raises NotAllowed."""
    bar = may_not_do(context, step)
    if bar:
        raise NotAllowed(bar, "hand the screen over, or choose something else")
    to_clear = room_to_clear(context, step)
    if to_clear:
        raise NotAllowed(to_clear, "an adult says when they are")
