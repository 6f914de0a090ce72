"""Deciding a snag: one thing is asked at a time, and what was said is kept when one of them is refused.

The kiosk decides nothing and approves nothing: the builder does, on the word of the designer or an inspector
where the plans do not already say so. What is still wanting is the rule's to say (``record/rules/snags.py``).
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from kiosk.catalogue import said, to_be_said
from kiosk.record.rules.snags import DECISIONS, NOT_SAID, OUTSIDE_ROLES, Wanted, Wanting, needs_answer
from kiosk.record.state import Outsider, Snag
from kiosk.screens.choice import Choice, ChoiceScreen, Words, same, words
from kiosk.screens.kiosk import Kiosk
from kiosk.shop.procedure import StepRef
from kiosk.views.wording import capital

# None that says what is so on the part: a builder in a hurry would take it for a crack at a bend too.
REASONS = {
    "use as is": (to_be_said("The designer or an inspector says so"),),
    "rework": (to_be_said("The plans give this repair"), to_be_said("The designer or an inspector says so")),
    "scrap and remake": (to_be_said("It cannot be mended"), to_be_said("It is quicker made anew")),
}
ANSWERS = (to_be_said("It may be used as it is"), to_be_said("It may be used when repaired as they said"))
NOT_THE_KIOSK = to_be_said("The kiosk approves nothing: it writes down who decided.")


class DecidingSnag:
    """One decision as it is put together."""

    def __init__(self, kiosk: Kiosk, snag: Snag) -> None:
        self._kiosk = kiosk
        self.snag = snag
        # The steps from which it can be worked again: a repair's, the one in hand, and those recorded on it.
        self._done: Sequence[Choice[StepRef]] = ()
        self._begin()

    def _begin(self) -> None:
        self._decision = ""
        self._reason = ""
        self._back_to: StepRef | None = None
        self._accepted = NOT_SAID

    def go_on_or_anew(self, done: Sequence[Choice[StepRef]]) -> None:
        """Where something was said before, ask whether that stands: the first question is another by now, and
        the steps from which it can be worked again are these."""
        self._done = done
        if self._back_to is not None and self._back_to not in [one.value for one in done]:
            self._back_to = None
        if not self._decision:
            self.go_on()
            return

        def stands(so: bool) -> None:
            if not so:
                self._begin()
            self.go_on()

        detail = [f"{said(self._decision).capitalize()}. {said(self._reason)}".rstrip()]
        choices = [Choice(said("Go on with it"), True), Choice(said("Begin again"), False)]
        self._kiosk.ask(
            ChoiceScreen(said("Half decided before. Does it stand?"), choices, detail=detail), stands
        )

    def go_on(self) -> None:
        """Ask for what is wanting; with everything said, show it once more before it is recorded."""
        want = self._kiosk.bench.snag_wanting(self._decision, self._reason, self._accepted)
        if want is not None:
            self._ask(want)
        elif self._decision == "rework" and self._back_to is None and self._done:
            self._ask_step()
        else:
            self._show_all()

    def _ask(self, want: Wanting) -> None:
        asks: dict[Wanted, Callable[[Wanting], None]] = {
            "decision": self._ask_decision,
            "reason": self._ask_reason,
            "plans_allow": self._ask_plans,
            "answer": self._ask_answer,
            "answered_by": self._ask_who_answered,
            "answered_role": partial(self._ask_role, "answered_role"),
            "by": self._ask_who_accepts,
            "role": partial(self._ask_role, "role"),
        }
        asks[want.what](want)

    def _refused(self, want: Wanting, said: str) -> str:
        """Why what was said is asked again; empty when it is asked for the first time."""
        return f"{want.wrong}; {want.mend}" if said else ""

    def _ask_decision(self, want: Wanting) -> None:
        def decided(decision: str) -> None:
            self._decision = decision
            self.go_on()

        title = f"{self.snag.mark}: {self.snag.text}"
        detail = [
            said("You decide what becomes of it, by the plans and their designer."),
            said(NOT_THE_KIOSK),
        ]
        choices = [Choice(capital(said(one)), one) for one in DECISIONS]
        self._kiosk.ask(ChoiceScreen(title, choices, detail=detail), decided)

    def _ask_reason(self, want: Wanting) -> None:
        def answered(reason: str) -> None:
            self._reason = reason
            self.go_on()

        dialog = ChoiceScreen(
            said("Why {decision}? Your name stands under it.", decision=self._decision),
            same(REASONS[self._decision]),
            words=words(said("Or in your words:")),
            refused=self._refused(want, self._reason),
            typed=self._reason,
            kept_as=f"decision/{self.snag.id}/{self._decision}",
        )
        self._kiosk.ask(dialog, answered)

    def _ask_plans(self, want: Wanting) -> None:
        def looked(allow: bool) -> None:
            self._accepted = replace(self._accepted, plans_allow=allow)
            self.go_on()

        choices = [
            Choice(said("Yes, the plans give this repair"), True),
            Choice(said("No, or they do not say"), False),
        ]
        self._kiosk.ask(
            ChoiceScreen(said("Do the plans allow this rework? Look into them."), choices), looked
        )

    def _ask_answer(self, want: Wanting) -> None:
        def answered(answer: str) -> None:
            self._accepted = replace(self._accepted, answer=answer)
            self.go_on()

        dialog = ChoiceScreen(
            said("What did the designer or an inspector answer?"),
            same(ANSWERS),
            words=words(said("Or their words:")),
            detail=[said("Ask them first. Esc leaves the part held.")],
            refused=self._refused(want, self._accepted.answer),
            typed=self._accepted.answer,
            kept_as=f"answer/{self.snag.id}",
        )
        self._kiosk.ask(dialog, answered)

    def _ask_who_answered(self, want: Wanting) -> None:
        def named(who: Outsider) -> None:
            self._accepted = replace(self._accepted, answered_by=who.name, answered_role=who.role)
            self.go_on()

        before = self._accepted.answered_by
        dialog = ChoiceScreen(
            said("Who answered?"),
            [_choice(one) for one in self._kiosk.bench.outsiders()],
            words=Words(said("Name:"), _typed),
            refused=self._refused(want, before),
            typed=before,
        )
        self._kiosk.ask(dialog, named)

    def _ask_who_accepts(self, want: Wanting) -> None:
        def named(who: Outsider) -> None:
            self._accepted = replace(self._accepted, by=who.name, role=who.role)
            self.go_on()

        doer = self._kiosk.bench.doer
        others = list(self._kiosk.bench.outsiders())
        answered = Outsider(self._accepted.answered_by, self._accepted.answered_role)
        if answered.name and answered.name not in [one.name for one in others]:
            others.insert(0, answered)
        before = self._accepted.by
        dialog = ChoiceScreen(
            said("Who accepts it? Their name stands under it."),
            [
                Choice(said("{name}, builder", name=doer.name), Outsider(doer.id, "builder")),
                *map(_choice, others),
            ],
            words=Words(said("Or another name:"), _typed),
            refused=self._refused(want, before),
            typed=before,
        )
        self._kiosk.ask(dialog, named)

    def _ask_role(self, what: Wanted, want: Wanting) -> None:
        def answered(role: str) -> None:
            if what == "role":
                self._accepted = replace(self._accepted, role=role)
            else:
                self._accepted = replace(self._accepted, answered_role=role)
            self.go_on()

        name = self._accepted.by if what == "role" else self._accepted.answered_by
        self._kiosk.ask(ChoiceScreen(said("What is {name}?", name=name), same(OUTSIDE_ROLES)), answered)

    def _ask_step(self) -> None:
        def chosen(step: StepRef) -> None:
            self._back_to = self._kiosk.bench.begin_of_run(self.snag.mark, step)
            self.go_on()

        self._kiosk.ask(ChoiceScreen(said("Rework from which step?"), self._done), chosen)

    def _show_all(self) -> None:
        """Everything once more; only then is it recorded."""

        def chosen(record: bool) -> None:
            if record:
                self._record()
            else:
                self._begin()
                self.go_on()

        accepted = self._accepted
        who = self._kiosk.bench.doer.name if accepted.role == "builder" else accepted.by
        detail = [f"{said(self._decision).capitalize()}. {said(self._reason)}"]
        step = next((one.label for one in self._done if one.value == self._back_to), "")
        if step and self._back_to is not None:
            detail.append(said("Rework from: {step}", step=step))
        if needs_answer(self._decision, accepted):
            detail.append(f"{accepted.answered_by}, {accepted.answered_role}: {accepted.answer}")
        detail += [said("Accepted by {who}, {role}.", who=who, role=accepted.role), said(NOT_THE_KIOSK)]
        choices = [Choice(said("Record this decision"), True), Choice(said("Begin again"), False)]
        dialog = ChoiceScreen(f"{self.snag.mark}: {self.snag.text}", choices, detail=detail)
        self._kiosk.ask(dialog, chosen)

    def _record(self) -> None:
        self._kiosk.bench.decide_snag(
            self.snag.id,
            self._decision,
            self._reason,
            self._back_to,
            self._accepted,
            tap=self._kiosk.taps.id,
        )
        self._kiosk.say(said("Saved. {mark}: {decision}.", mark=self.snag.mark, decision=self._decision))


def _choice(one: Outsider) -> Choice[Outsider]:
    return Choice(f"{one.name}, {one.role}", one)


def _typed(name: str) -> Outsider:
    """A typed name; what they are is asked next."""
    return Outsider(name, "")
