"""A worked number as a page to read."""

from kiosk.catalogue import said
from kiosk.numbers.result import Result
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET
from kiosk.shop.figures import StepNumber

Page = list[tuple[str, str]]


def working(result: Result) -> Page:
    """A result with its working, as a page to read."""
    page: Page = [(f"{result.title}: {result.show()}", ACCENT)]
    page += [(f"{one.name}: {one.show()}", PLAIN) for one in result.beside]
    page += [(warning, BOLD) for warning in result.warnings]
    given = ", ".join(f"{one.name} {one.show()}" for one in result.inputs)
    page += [
        (said("From: {given}", given=given), PLAIN),
        (said("How: {formula}", formula=result.formula), PLAIN),
        (said("Source: {source}", source=result.source), QUIET),
        (said("Holds for: {holds}", holds=result.holds), QUIET),
    ]
    return page


def number_page(number: StepNumber) -> Page:
    """A bench number of a step: what it is on this part, then its working where there is one."""
    if number.result is None:
        return [(f"{number.title}: {number.shown}", ACCENT)]
    page = working(number.result)
    if (number.title, number.shown) == (number.result.title, number.result.show()):
        return page  # the part has it as it is worked out, and it is said once
    return [(f"{number.title}: {number.shown}", ACCENT), (page[0][0], PLAIN), *page[1:]]
