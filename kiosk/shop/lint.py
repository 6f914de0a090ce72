"""Warnings on how a procedure is written, after published checklist practice.

Each rule says where it comes from. None of them stops a procedure from being used.
"""

import re
from collections.abc import Collection, Iterator
from datetime import date
from itertools import permutations

from kiosk.shop.checked import FieldFault
from kiosk.shop.fields import parse_date
from kiosk.shop.procedure import MeasureCheck, Procedure, Step
from kiosk.shop.reader import Document, Location
from kiosk.shop.verbs import PLAIN_VERBS, VERBS

MOST_WORDS = 20  # ASD-STE100: a procedural sentence has at most 20 words
MOST_WORDS_TOLD = 25  # ASD-STE100: a descriptive sentence at most 25
MOST_STEPS_ON_END = 9  # Gawande's checklist for checklists: fewer than ten items to a pause point
LONGEST_STRETCH_MINUTES = 30.0  # a slot: longer without a safe stop loses the place
MOST_LEFT_OUT_MINUTES = 1.0  # a plan is in whole minutes
MOST_CAUTIONS = 3  # more than this dilutes each (rule of this project)

_WORD = re.compile(r"[A-Za-z0-9][\w./'-]*")
_SENTENCE_END = re.compile(r"(?<=[.!?])\s+(?=[A-Z])")
_CONDITION_FIRST = re.compile(r"^(If|When|After|Before|While|Until|Unless|Where|With|On)\b[^,]*,\s*(\w+)")
_CONDITION_LATE = re.compile(r"\b(if|when|unless|until)\b")

# Words that let the reader decide what was meant (ASD-STE100; DOE-STD-1029).
VAGUE = re.compile(
    r"\b(should|could|might|appropriate|appropriately|as required|as necessary|properly|carefully|etc)\b",
    re.IGNORECASE,
)
# Shop words that a helper's plain text has to do without.
TRADE_WORDS = re.compile(
    r"\b(springback|setback|tangent|neutral|flute|fluting|deburr|temper|alclad|joggle|mould line|"
    r"bucking|dimple|countersink|chamfer|induction)\b",
    re.IGNORECASE,
)
_EMPTY_RESULT = re.compile(r"^\s*(checked|set|done|ok|complete|verified)\W*$", re.IGNORECASE)
# "and drill the …": the word after the verb tells it from a list of nouns ("every bend and flute").
_SECOND_ACTION = re.compile(
    r"(?:\band then|\band|\bthen|[,;])\s+(\w+)\s+"
    r"(?:the|a|an|each|every|it|them|one|both|to|off|down|up|out)\b"
)


def words_in(text: str) -> int:
    """Number of words; a number and its unit count as two."""
    return len(_WORD.findall(text))


def sentences_in(text: str) -> list[str]:
    """The sentences of a text."""
    return [part for part in _SENTENCE_END.split(text.strip()) if part]


def lint_procedure(
    procedure: Procedure, document: Document, own_verbs: Collection[str] = (), today: date | None = None
) -> None:
    """Note a warning for each departure from checklist practice.

    ``own_verbs`` are those of the shop beside those that are known, and ``today`` the day on which it is
    checked: nothing can have been revised after it.
    """
    verbs = VERBS.union(own_verbs)
    for wrong, mend in _faults_of_date(procedure.revised, today):
        document.fault(("revised",), wrong, mend, warning=True)
    for number, step in enumerate(procedure.steps):
        here: Location = ("steps", number)
        for field, wrong, mend in _faults_of(step, verbs):
            location = (*here, field) if (*here, field) in document.values else here
            document.fault(location, wrong, mend, warning=True)
    _lint_stretches(procedure, document)
    _lint_put_aways(procedure, document)
    for number, step in enumerate(procedure.steps):
        earlier = procedure.steps[max(0, number - 3) : number + 1]
        if step.irreversible and not any(before.checks or before.hold_point for before in earlier):
            document.fault(
                ("steps", number, "irreversible"),
                "nothing is checked before this step, which cannot be undone",
                "add a check to one of the three steps before it",
                warning=True,
            )


def _faults_of_date(revised: str, today: date | None) -> Iterator[tuple[str, str]]:
    try:
        day = parse_date(revised)
    except FieldFault as error:
        yield error.wrong, error.mend
        return
    if today is not None and day > today:
        yield f"it was revised on a day to come, {day}", "write the day on which it was changed"


def _faults_of(step: Step, verbs: frozenset[str]) -> Iterator[tuple[str, str, str]]:
    sentences = sentences_in(step.do)
    if len(sentences) > 1:
        yield "do", f"step {step.id!r} holds {len(sentences)} sentences", "make one step of each action"
    for sentence in sentences:
        count = words_in(sentence)
        if count > MOST_WORDS:
            yield "do", f"{count} words in one sentence, over {MOST_WORDS}", "shorten it or split the step"
    first = re.match(r"^(\w+)", step.do)
    condition = _CONDITION_FIRST.match(step.do)
    opening = condition[2] if condition else (first[1] if first else "")
    if opening.lower() not in verbs:
        yield (
            "do",
            f"step {step.id!r} starts with {opening!r}, not an action",
            "start with a verb, or add it under verbs: in shop.yaml",
        )
    rest = step.do[condition.end() :] if condition else step.do[len(opening) :]
    if not condition and _CONDITION_LATE.search(rest):
        yield "do", "the condition comes after the action", "put If … or When …, first"
    second = next(
        (match[1] for match in _SECOND_ACTION.finditer(rest) if match[1].lower() in PLAIN_VERBS),
        None,
    )
    if second is not None:
        yield "do", f"a second action ({second!r}) is in this step", "make it a step of its own"
    vague = VAGUE.search(step.do)
    if vague:
        yield "do", f"{vague[0]!r} leaves it to the reader", "say what is to be seen or measured"
    if not step.checks and step.repeat is None:
        yield "checks", f"step {step.id!r} ends in nothing seen or measured", "add a check"
    for check in step.checks:
        if _EMPTY_RESULT.match(check.ask):
            yield "checks", f"check {check.id!r} says only {check.ask!r}", "ask for what is seen"
        if isinstance(check, MeasureCheck) and check.nominal is None and check.high is None:
            yield "checks", f"check {check.id!r} has no upper limit", "add high:, or give a nominal"
    if len(step.cautions) + len(step.hazards) > MOST_CAUTIONS + 1:
        yield "hazards", f"step {step.id!r} has over {MOST_CAUTIONS + 1} cautions", "split the step"
    for caution in step.cautions:
        if any(words_in(sentence) > MOST_WORDS for sentence in sentences_in(caution)):
            yield "cautions", f"a caution has a sentence over {MOST_WORDS} words", "shorten it"
    for name in ("why", "note"):
        text = getattr(step, name)
        if text and any(words_in(sentence) > MOST_WORDS_TOLD for sentence in sentences_in(text)):
            yield name, f"a sentence has over {MOST_WORDS_TOLD} words", "shorten it"
    if step.note and any(s.split()[0].lower().strip(",") in PLAIN_VERBS for s in sentences_in(step.note)):
        yield "note", "a note hides an action", "make it a step"
    if step.who != "builder":
        if step.plain is None:
            yield "plain", f"a helper may do step {step.id!r} but it has no plain words", "add plain: …"
        else:
            trade = TRADE_WORDS.search(step.plain)
            if trade:
                yield "plain", f"the plain words use {trade[0]!r}", "say it as to a visitor"
            if any(words_in(sentence) > MOST_WORDS for sentence in sentences_in(step.plain)):
                yield "plain", f"a plain sentence has over {MOST_WORDS} words", "shorten it"


def _lint_put_aways(procedure: Procedure, document: Document) -> None:
    """What one step sets up is put away by that step's minutes: a plan counts the dearest step of a family,
    setting up and putting away together, and not one step's setting up with another's putting away."""
    typed: dict[str, list[tuple[int, float, float]]] = {}
    for number, step in enumerate(procedure.steps):
        set_up, put_away = step.written_minutes.set_up, step.written_minutes.put_away
        if step.family and isinstance(set_up, float) and isinstance(put_away, float):
            typed.setdefault(step.family, []).append((number, set_up, put_away))
    for family, steps in typed.items():
        for (number, set_up, put_away), (after, also_set_up, away) in permutations(steps, 2):
            left_out = set_up + away - max(set_up + put_away, also_set_up + away)
            between = (one for one in steps if min(number, after) < one[0] < max(number, after))
            if any(one[1] >= set_up and one[2] >= away for one in between):
                continue  # whoever does both does that too
            if set_up > also_set_up and left_out > MOST_LEFT_OUT_MINUTES:
                document.fault(
                    ("steps", number, "minutes"),
                    f"{family} is set up in {set_up:g} min here and put away in {away:g} min after"
                    f" {procedure.steps[after].id!r}: a plan of both leaves out {left_out:g} min",
                    f"write put_away: {away:g} here",
                    warning=True,
                )
                break


def _lint_stretches(procedure: Procedure, document: Document) -> None:
    """Steps that run straight on are one stretch: it must be short enough to finish in a sitting."""
    start = 0
    for number, step in enumerate(procedure.steps):
        if step.stop == "go straight on" and number < len(procedure.steps) - 1:
            continue
        stretch = procedure.steps[start : number + 1]
        # Worked times follow from the part: what is typed alone may already be too long.
        minutes = sum(part.minutes.each for part in stretch if not part.times_are_worked)
        if len(stretch) > MOST_STEPS_ON_END:
            document.fault(
                ("steps", start),
                f"{len(stretch)} steps from here have no safe stop between them",
                "let one of them end",
                warning=True,
            )
        if len(stretch) > 1 and minutes > LONGEST_STRETCH_MINUTES:
            document.fault(
                ("steps", start),
                f"{minutes:g} minutes from here without a safe stop",
                "find a safe place to leave it",
                warning=True,
            )
        start = number + 1
