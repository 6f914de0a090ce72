"""A step that was finished, in words: for a look over, and to correct what was mistyped."""

from collections.abc import Iterator

from kiosk.record.past_step import PastFigure, PastStep
from kiosk.record.rules.corrections import minutes_text
from kiosk.shop.procedure import Step
from kiosk.shop.shop import Shop


def figure_text(figure: PastFigure) -> str:
    """An answer with its unit."""
    has_unit = figure.value is not None and figure.unit not in ("", "count")
    own = has_unit and figure.text.endswith(figure.unit)
    return figure.text if own or not has_unit else f"{figure.text} {figure.unit}"


def figure_words(figure: PastFigure) -> str:
    """Question, answer, what was wanted, and what it was before it was corrected."""
    wanted = figure.lot or figure.wanted
    limits = f" ({wanted})" if wanted else ""
    was = f", was {figure.was}" if figure.was else ""
    return f"{figure.ask} {figure_text(figure)}{limits}{was}{'' if figure.passed else '. NOT AS WANTED'}"


def time_taken(past: PastStep) -> str:
    """The minutes at work, and what they were before they were corrected."""
    was = f", was {minutes_text(past.minutes_was)}" if past.minutes_was is not None else ""
    exact = "" if past.exact or was else ", not exact"
    return f"{minutes_text(past.minutes)}{was}{exact}"


def look_over_lines(shop: Shop, past: PastStep, step: Step | None) -> Iterator[str]:
    """What the builder looks at before saying whether it is good: words, who, and each figure."""
    yield step.do if step is not None else str(past.ref)
    known = shop.people.get(past.by)
    yield f"Done by {known.name if known is not None else past.by} on {past.day}: {time_taken(past)}"
    if past.counted is not None and step is not None and step.repeat is not None:
        yield f"Counted: {past.counted} {step.repeat.of}"
    for figure in past.figures:
        yield figure_words(figure)
