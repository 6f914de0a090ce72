"""What the parts ahead use up: what of it is past its date before they get there, and what runs out first.

Minutes of work are set against the minutes at the bench that there will be, by this builder's last weeks. A
part that needs what keeps until a date only is worth more as that date comes nearer against all the work that
waits for it, and the more the nearer the part is to it: some parts primed in time are worth more than many
that are nearly there when the primer is too old.
"""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from datetime import date, timedelta
from functools import cached_property
from typing import NamedTuple

from kiosk.dataclass import dataclass
from kiosk.record.context import Context
from kiosk.record.position import steps_left_from
from kiosk.record.state import State
from kiosk.record.stock import InStock, in_stock
from kiosk.shop.figures import FigureFault
from kiosk.shop.route import Route
from kiosk.shop.shop import Consumable, Shop
from kiosk.shop.stock_use import amount_used, same_unit

USUAL_MINUTES_A_DAY = 40.0  # where too few sittings are known; common practice, no source
FEWEST_SITTINGS = 5  # before this builder's own days count
LOOKED_BACK_DAYS = 56
LOOKED_AHEAD_DAYS = 180  # a date further off presses nothing: a new tin comes long before; common practice


@dataclass(frozen=True)
class Use:
    """One step of a kind's route that uses something up."""

    item: str
    number: int  # of the step along the route, from 0
    minutes: float  # from the route's beginning to the end of the step, by the estimates
    amount: float  # that one part takes; 0 where it is not known how much


class _Ahead(NamedTuple):
    """A use before a place of a route."""

    use: Use
    minutes: float  # from the place to the end of the use, on each part
    is_last: bool  # of the same thing: until then the parts wait for it


class _OfRoute:
    """What one route uses up, in order, and the last uses of each thing."""

    def __init__(self, shop: Shop, route: Route) -> None:
        self.route = route
        self.uses = sorted(_uses_along(shop, route), key=lambda use: use.number)
        self.last = list({use.item: use for use in self.uses}.values())
        self._ahead: dict[int, list[_Ahead]] = {}

    def ahead(self, number: int) -> Sequence[_Ahead]:
        """What it uses up from a step on, told by its number, the last first."""
        found = self._ahead.get(number)
        if found is None:
            done = self.route.minutes_to[number - 1] if number else 0.0
            found, last = [], set[str]()
            for use in reversed(self.uses):
                if use.number < number:
                    break
                found.append(_Ahead(use, use.minutes - done, use.item not in last))
                last.add(use.item)
            self._ahead[number] = found
        return found


class UsesAlong:
    """What routes use up of what has a date or takes days to come: kept until the files are others."""

    def __init__(self) -> None:
        self._shop: Shop | None = None
        self._of: dict[str, _OfRoute] = {}

    def of(self, shop: Shop, route: Route) -> _OfRoute:
        """What a route uses up."""
        if shop is not self._shop:
            self._shop, self._of = shop, {}
        kept = self._of.get(route.kind.id)
        if kept is None or kept.route is not route:
            kept = self._of[route.kind.id] = _OfRoute(shop, route)
        return kept


def _uses_along(shop: Shop, route: Route) -> Iterator[Use]:
    for item in shop.consumables.values():
        if item.expires is None and item.lead_days <= 0:
            continue
        for number in route.used_at.get(item.id, ()):
            amount = 0.0
            for uses in route.steps[number][1].uses:
                if uses.of == item.id and same_unit(uses.unit, item.unit):
                    with suppress(FigureFault):  # `kiosk check` names it
                        amount += amount_used(shop.figures, route.kind, uses)
            yield Use(item.id, number, route.minutes_to[number], amount)


class ShelfLife:
    """What the parts ahead use up, as everything stands now."""

    def __init__(self, context: Context) -> None:
        self._context = context
        self._shop = context.shop
        self._positions = context.positions  # asked for once: it follows the state each time
        self._uses = context.kept.of(UsesAlong)
        self._dated: dict[str, list[Use]] = {}
        self._pressed: dict[str, float] = {}
        self._until: dict[str, float] = {}

    def share(self, mark: str, behind: tuple[int, float] | None = None) -> float:
        """0 to 1: how much a part is pressed by the date of something that it still needs.

        ``behind`` is how many steps of its route lie behind it, and their minutes, where that is known.
        """
        last = self._last_uses(self._shop.parts[mark].kind) if self._pressing else ()
        if not last:
            return 0.0
        number, done = behind or self._done(mark)
        return max((self._share_of(use, done) for use in last if use.number >= number), default=0.0)

    def short_of(self) -> Iterator[tuple[Consumable, InStock, float]]:
        """What there is too little of for the work of the days that a new one takes to come: with what there
        is, and what that work takes. The parts that are nearest to it are taken to be done first."""
        for item in self._shop.consumables.values():
            if item.lead_days <= 0:
                continue
            stock = in_stock(self._context.state, item)
            wanted = self._wanted_within(item, self._minutes_in(item.lead_days))
            if wanted > stock.left:
                yield item, stock, wanted

    def _share_of(self, use: Use, done_minutes: float) -> float:
        """By one use: what presses all that wait for it, and how far a part is on the way to it."""
        to_go = use.minutes - done_minutes
        if to_go > self._minutes_until(use.item):
            return 0.0  # it comes too late for this part whatever is done
        return self._pressure(use.item) * (1 - to_go / use.minutes) if use.minutes > 0 else 0.0

    def _pressure(self, item: str) -> float:
        """0 to 1: the work that waits for something, against that and the minutes until its date."""
        if item not in self._pressed:
            work = sum(parts * one.minutes for parts, one in self._ahead.get(item, ()) if one.is_last)
            there_is = self._minutes_until(item)
            # Squared: with half of the time to spare there is little to press for.
            pressed = min(1.0, work / there_is) ** 2 if there_is > 0 else 0.0
            self._pressed[item] = pressed * max(0.0, 1 - self._days_until(item) / LOOKED_AHEAD_DAYS)
        return self._pressed[item]

    def _minutes_until(self, item: str) -> float:
        """Minutes at the bench until its date, today's with them; none where it is past."""
        if item not in self._until:
            self._until[item] = self._minutes_in(self._days_until(item))
        return self._until[item]

    def _days_until(self, item: str) -> int:
        expires = self._shop.consumables[item].expires
        return max(0, (expires - self._context.today).days + 1) if expires is not None else 0

    def _minutes_in(self, days: int) -> float:
        return days * self._a_day

    @cached_property
    def _a_day(self) -> float:
        return minutes_a_day(self._context.state, self._context.today)

    def _wanted_within(self, item: Consumable, minutes: float) -> float:
        """How much of it the parts take that can get to it in so many minutes of work."""
        wanted = 0.0
        ahead = [of for of in self._ahead.get(item.id, ()) if of[1].use.amount > 0]
        for there_are, one in sorted(ahead, key=lambda of: of[1].minutes):
            parts = there_are if one.minutes <= 0 else min(there_are, int(minutes / one.minutes))
            wanted += parts * one.use.amount
            minutes -= parts * one.minutes
        return round(wanted, 6)

    @cached_property
    def _ahead(self) -> Mapping[str, Sequence[tuple[int, _Ahead]]]:
        """For each thing all its uses before all parts, with how many like parts they are of."""
        found: dict[str, list[tuple[int, _Ahead]]] = {}
        of_kind: dict[str, _OfRoute] = {}
        for at in self._positions.at_steps():
            kind = at.key.kind
            along = of_kind.get(kind)
            if along is None:
                along = of_kind[kind] = self._uses.of(self._shop, self._positions.route(kind))
            if along.uses:
                number = self._done(at.first)[0] if at.number is None else at.number
                parts = len(at.alike) + len(at.own)
                for one in along.ahead(number):
                    found.setdefault(one.use.item, []).append((parts, one))
        return found

    def _last_uses(self, kind_id: str) -> list[Use]:
        """Of what presses, the last use on a kind's route."""
        if kind_id not in self._dated:
            last = self._uses.of(self._shop, self._positions.route(kind_id)).last
            self._dated[kind_id] = [use for use in last if use.item in self._pressing]
        return self._dated[kind_id]

    @cached_property
    def _pressing(self) -> frozenset[str]:
        """What presses by a date that is still to come."""
        dated = (item.id for item in self._shop.consumables.values() if item.expires is not None)
        return frozenset(one for one in dated if self._minutes_until(one) > 0 and self._pressure(one) > 0)

    def _done(self, mark: str) -> tuple[int, float]:
        """How many steps of its route lie behind a part, and their minutes."""
        where = self._positions.of(mark)
        route = self._positions.route(self._shop.parts[mark].kind)
        if where.step is not None and not route.repairs:
            number = route.steps_before(where.stage, where.number - 1)
        else:
            left = steps_left_from(self._shop, self._context.state, where)
            number = max(0, len(route.steps) - len(left))
        return number, route.minutes_to[number - 1] if number else 0.0


def minutes_a_day(state: State, today: date) -> float:
    """Minutes at the bench a day, over the last eight weeks or since the first sitting."""
    first = today - timedelta(days=LOOKED_BACK_DAYS)
    days = {date.fromisoformat(day): seen for day, seen in state.sittings_by_day.items()}
    recent = {day: seen for day, seen in days.items() if first <= day <= today}
    sittings = [one for seen in recent.values() for one in seen if one.worked]
    if len(sittings) < FEWEST_SITTINGS:
        return USUAL_MINUTES_A_DAY
    since = min(recent) if min(days) >= first else first
    return sum(one.minutes for one in sittings) / max(1, (today - since).days)
