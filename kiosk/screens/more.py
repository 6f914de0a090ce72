"""What has no target at this width is one tap further away: a finger reaches all that a key does."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from kiosk.catalogue import said, to_be_said
from kiosk.screens.action import Action, with_key
from kiosk.screens.choice import Choice, ChoiceScreen
from kiosk.screens.kiosk import Kiosk
from kiosk.screens.page_text import Lines

MORE = to_be_said("More…")
READ_KEY = "tab"
READ_ALL = to_be_said("Read the whole page")


def behind_more(
    own: Sequence[Action], everywhere: Sequence[Action], has_target: Callable[[Action], bool]
) -> list[Action]:
    """The actions that have words and no target: a screen's own first.

    Moves are left out: a finger moves by targets of the screen's, or comes down on what it wants.
    """
    # A key that does something of the screen's own still leads elsewhere by finger.
    others = [one if with_key(own, one.key) is None else replace(one, key="") for one in everywhere]
    standing = {one.label for one in (*own, *others) if has_target(one)}
    found: dict[str, Action] = {}
    for one in (*own, *others):
        if one.label and not one.repeats and not has_target(one) and one.label not in standing:
            found.setdefault(one.label, one)
    return list(found.values())


def ask_more(kiosk: Kiosk, now: Callable[[], Sequence[Action]]) -> None:
    """Ask which of them; it is done as it then is, for another screen may have changed it meanwhile."""

    def chosen(label: str) -> None:
        for action in now():
            if action.label == label:
                kiosk.say("")
                action.deed()
                return

    choices = [Choice(_words(one), one.label) for one in now()]
    kiosk.ask(ChoiceScreen(said("What else?"), choices), chosen)


def _words(action: Action) -> str:
    return f"{action.label}  ({action.key_face})" if action.key else action.label


def whole_page(kiosk: Kiosk, title: str, lines: Lines) -> Action:
    """The way to the whole text of a page that has no room for it."""
    page = [
        ("\n".join(_row(row) for row in one.lines) + "\n" * (len(one.lines) > 1), one.lines[0][0][1])
        for one in lines.paragraphs
        if one.lines and any(_row(row).strip() for row in one.lines)
    ]
    return Action(READ_ALL, READ_KEY, partial(kiosk.read, title, [page]), shown="key")


def _row(row: Sequence[tuple[str, str]]) -> str:
    return "".join(run for run, _ in row)
