"""A step that was finished, in words: for a look over, and to correct what was mistyped."""

from collections.abc import Iterator

from kiosk.catalogue import said
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
    was = said(", was {was}", was=figure.was) if figure.was else ""
    out = "" if figure.passed else f". {said('NOT AS WANTED')}"
    asked = figure.ask if figure.ask.endswith(("?", ":")) else f"{figure.ask}:"
    return f"{asked} {figure_text(figure)}{limits}{was}{out}"


def time_taken(past: PastStep) -> str:
    """The minutes at work, and what they were before they were corrected."""
    was = (
        said(", was {minutes_text}", minutes_text=minutes_text(past.minutes_was))
        if past.minutes_was is not None
        else ""
    )
    exact = "" if past.exact or was else said(", not exact")
    return f"{minutes_text(past.minutes)}{was}{exact}"


def look_over_lines(shop: Shop, past: PastStep, step: Step | None) -> Iterator[str]:
    """What the builder looks at before saying whether it is good: words, who, and each figure."""
    yield step.do if step is not None else str(past.ref)
    known = shop.people.get(past.by)
    yield said(
        "Done by {name} on {day}: {time_taken}",
        name=known.name if known is not None else past.by,
        day=past.day,
        time_taken=time_taken(past),
    )
    if past.counted is not None and step is not None and step.repeat is not None:
        yield said("Counted: {counted} {of}", counted=past.counted, of=step.repeat.of)
    for figure in past.figures:
        yield figure_words(figure)
