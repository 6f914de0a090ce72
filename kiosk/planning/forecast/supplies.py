"""What the road ahead uses up and has to be ordered: it comes some days after that, and work waits for it.

What is below its mark is taken to be ordered at once, and to come in the days that the shop file says; what
comes lasts to the end. What comes within a day is bought in passing, and waited for by nobody.
"""

import math
from collections import defaultdict
from collections.abc import Sequence
from contextlib import suppress
from datetime import datetime, time

from kiosk.dataclass import dataclass
from kiosk.record.context import Context
from kiosk.record.stock import in_stock
from kiosk.shop.figures import FigureFault
from kiosk.shop.procedure import Step
from kiosk.shop.stock_use import amount_used, same_unit

DAY = 1440.0


@dataclass(frozen=True)
class Supply:
    """One consumable that takes days to come; its times are in minutes of the road."""

    name: str
    left: float
    order_below: float
    lead_minutes: float
    missing_from: float = math.inf  # used up, or past its date
    missing_until: float = -math.inf  # when the new one is here

    @property
    def is_short(self) -> bool:
        """True where it is missing now, or will be before a new one can come."""
        return self.missing_from < self.missing_until


class Supplies:
    """Those that steps use, as they stand now."""

    def __init__(self, context: Context, now_minutes: float) -> None:
        self.context, self.now = context, now_minutes
        self.found: list[Supply] = []
        self._places: dict[str, int] = {}

    def of(self, kind_id: str, step: Step) -> tuple[tuple[int, float], ...]:
        """What one part of a kind takes at a step: places among those found, and amounts; 0 where it is not
        known how much."""
        shop = self.context.shop
        amounts: dict[str, float] = dict.fromkeys(step.consumables, 0.0)
        for uses in step.uses:
            item = shop.consumables.get(uses.of)
            if item is not None and same_unit(uses.unit, item.unit):
                with suppress(FigureFault):
                    taken = amount_used(shop.figures, shop.kinds[kind_id], uses)
                    amounts[uses.of] = amounts.get(uses.of, 0.0) + taken
        return tuple(
            (self._place(name), amount)
            for name, amount in amounts.items()
            if name in shop.consumables and shop.consumables[name].lead_days > 0
        )

    def _place(self, name: str) -> int:
        if name not in self._places:
            self._places[name] = len(self.found)
            self.found.append(self._as_it_stands(name))
        return self._places[name]

    def _as_it_stands(self, name: str) -> Supply:
        item = self.context.shop.consumables[name]
        left = in_stock(self.context.state, item).left
        lead = item.lead_days * DAY
        missing_from = self.now if left <= 0 else math.inf
        if item.expires is not None:
            last = datetime.combine(item.expires, time.max).astimezone()
            past = self.now + (last - self.context.now).total_seconds() / 60
            missing_from = min(missing_from, max(self.now, past))
        if missing_from < self.now + lead:
            return Supply(item.name, math.inf, 0.0, lead, missing_from, self.now + lead)
        return Supply(item.name, left, item.order_below, lead)


class Stock:
    """What there is of each supply in one walk."""

    def __init__(self, supplies: Sequence[Supply]) -> None:
        self._supplies = supplies
        self._left = [one.left for one in supplies]
        self._comes = [math.inf] * len(supplies)
        for place, one in enumerate(supplies):
            if one.left < one.order_below:  # ordered today
                self._comes[place] = one.lead_minutes

    def come(self, now: float) -> None:
        """What was ordered and is here."""
        for place, at in enumerate(self._comes):
            if at <= now:
                self._left[place], self._comes[place] = math.inf, math.inf

    def enough_for(self, parts: int, needs: Sequence[tuple[int, float]], now: float) -> int:
        """How many of so many parts there is enough for; what there is not is ordered."""
        for place, amount in needs:
            one = self._supplies[place]
            if one.missing_from <= now < one.missing_until:
                return 0
            if amount > 0 and self._left[place] < amount * parts:
                parts = int(self._left[place] / amount + 1e-9)
                self._order(place, now)
        return parts

    def use(self, parts: int, needs: Sequence[tuple[int, float]], now: float) -> None:
        """So many parts take what they need."""
        for place, amount in needs:
            self._left[place] = max(0.0, self._left[place] - parts * amount)
            if self._left[place] < self._supplies[place].order_below:
                self._order(place, now)

    def is_waited_for(self, now: float) -> bool:
        """True while something is on its way."""
        missing = any(one.missing_from <= now < one.missing_until for one in self._supplies)
        return missing or any(at < math.inf for at in self._comes)

    def _order(self, place: int, now: float) -> None:
        if self._comes[place] == math.inf:
            self._comes[place] = now + self._supplies[place].lead_minutes


def added_up(stretch: Sequence[tuple[tuple[int, float], ...]]) -> tuple[tuple[int, float], ...]:
    """What the steps of a stretch need together."""
    found: dict[int, float] = defaultdict(float)
    for needs in stretch:
        for place, amount in needs:
            found[place] += amount
    return tuple(found.items())
