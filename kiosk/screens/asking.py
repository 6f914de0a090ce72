"""Asking for a part or a kind first, or not today, and taking it back: from Minutes and from a part."""

from collections.abc import Callable, Sequence
from functools import partial

from kiosk.catalogue import said, to_be_said
from kiosk.record.state import Wish
from kiosk.screens.choice import Choice, ChoiceScreen, Words
from kiosk.screens.kiosk import Kiosk
from kiosk.views.wishes import wish_words
from kiosk.views.wording import capital

ASK_KEY = "f12"  # on every screen that leads here
ASK_LABEL = to_be_said("Ask for…")

Deed = Callable[[], None]


class Asking:
    """The dialog about some parts, and those that it leads to. Nothing is chosen beforehand."""

    def __init__(self, kiosk: Kiosk, marks: Sequence[str] = ()) -> None:
        """``marks`` are the parts on the screen, of one kind."""
        self.kiosk = kiosk
        self.bench = kiosk.bench
        self.marks = tuple(marks)

    def ask(self) -> None:
        """What can be taken back, what can be asked for of these parts, and the way to others."""
        choices: list[Choice[Deed]] = [
            Choice(
                said("Take back: {wish}", wish=wish_words(self.bench.shop, one)),
                partial(self._take_back, one),
            )
            for one in self.bench.asked_for()
            if self.bench.doer.role == "builder" or one.by == self.bench.doer_id
        ]
        if len(self.marks) == 1:
            choices += self._of(mark=self.marks[0])
        if self.marks:
            choices += self._of(part_kind=self.bench.shop.kind_of(self.marks[0]).id)
        choices.append(Choice(said("Another kind of part"), self._ask_kind))
        dialog = ChoiceScreen[Deed](
            said("What comes first, or not today?"),
            choices,
            words=Words[Deed](
                said("Or type another part's mark:"), lambda text: partial(self._ask_mark, text)
            ),
        )
        self.kiosk.ask(dialog, lambda chosen: chosen())

    def _of(self, mark: str = "", part_kind: str = "") -> list[Choice[Deed]]:
        """First, and not today where that may be asked."""
        shop = self.bench.shop
        first, put_off = (Wish(self.bench.doer_id, wish, mark, part_kind) for wish in ("first", "not today"))
        found = [Choice[Deed](capital(wish_words(shop, first)), partial(self._first, first))]
        if not self.bench.may_not("ask_not_today"):
            found.append(Choice[Deed](capital(wish_words(shop, put_off)), partial(self._not_today, put_off)))
        return found

    def _ask_mark(self, text: str) -> None:
        def asked(mark: str) -> None:
            dialog = ChoiceScreen[Deed](said("{mark}: first, or not today?", mark=mark), self._of(mark=mark))
            self.kiosk.ask(dialog, lambda chosen: chosen())

        self.kiosk.part_meant(text, asked)

    def _ask_kind(self) -> None:
        counts = [one for one in self.bench.kind_counts() if one.complete < one.all]
        choices = [Choice[Deed](capital(one.name), partial(self._ask_of_kind, one.kind)) for one in counts]
        self.kiosk.ask(ChoiceScreen(said("Which kind of part?"), choices, goes=True), lambda chosen: chosen())

    def _ask_of_kind(self, kind: str) -> None:
        name = self.bench.shop.kinds[kind].name
        dialog = ChoiceScreen[Deed](
            said("Every {name}: first, or not today?", name=name), self._of(part_kind=kind)
        )
        self.kiosk.ask(dialog, lambda chosen: chosen())

    def _first(self, one: Wish) -> None:
        self.bench.ask_first(one.mark, one.part_kind, tap=self.kiosk.taps.id)
        wish = capital(wish_words(self.bench.shop, one))
        if self.bench.doer.role == "builder":
            self.kiosk.say(said("Saved. {wish}, until you take it back.", wish=wish))
        else:
            self.kiosk.say(said("Saved. {wish}, for you, today.", wish=wish))

    def _not_today(self, one: Wish) -> None:
        self.bench.ask_not_today(one.mark, one.part_kind, tap=self.kiosk.taps.id)
        self.kiosk.say(
            said("Saved. {wish}; tomorrow it is back.", wish=capital(wish_words(self.bench.shop, one)))
        )

    def _take_back(self, one: Wish) -> None:
        self.bench.take_back_wish(one, tap=self.kiosk.taps.id)
        self.kiosk.say(said("Saved. Taken back: {wish}.", wish=wish_words(self.bench.shop, one)))
