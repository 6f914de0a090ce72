"""What finishing a part lets others begin: tooling, spars, whatever a route needs or a part is made from."""

from collections.abc import Sequence

from kiosk.record.context import Context
from kiosk.record.readiness import is_completed
from kiosk.shop.parts import Part
from kiosk.shop.shop import Shop


class WhatNeeds:
    """Which parts are made from others, and which kinds need how many of which before they go on: kept until
    the files are others."""

    def __init__(self) -> None:
        self._shop: Shop | None = None
        self.made_from: Sequence[tuple[str, Part]] = ()  # with their marks
        self.of_kinds: Sequence[tuple[str, str, int]] = ()  # a kind, what it needs, and how many

    def of(self, shop: Shop) -> "WhatNeeds":
        """As the shop's files have it; gives itself."""
        if shop is not self._shop:
            self._shop = shop
            self.made_from = [(mark, part) for mark, part in shop.parts.items() if part.made_from]
            self.of_kinds = [
                (kind_id, needed, count)
                for kind_id, kind in shop.kinds.items()
                for stage in kind.route
                for needed, count in stage.needs.items()
            ]
        return self


class Opening:
    """For each part, what waits for it, and how many minutes of work, with all that waits for those in turn.

    Kinds are looked at as a whole: of a kind that needs one more form block, every unfinished part waits.
    """

    def __init__(self, context: Context) -> None:
        shop = self.shop = context.shop
        self._positions = context.kept.positions  # followed by whoever asks for an answer
        self._made_of: dict[str, list[str]] = {}  # part: the unfinished parts that are made from it
        self._users: dict[str, set[str]] = {}  # kind: those that wait for one more, or are made from one
        self._short_of: dict[str, set[str]] = {}  # kind: those that wait for one more of it
        self._behind: dict[str, float] = {}
        needs = context.kept.of(WhatNeeds).of(shop)
        for mark, part in needs.made_from:
            if is_completed(context.state, mark):
                continue
            for other in part.made_from:
                self._made_of.setdefault(other, []).append(mark)
                self._users.setdefault(shop.parts[other].kind, set()).add(part.kind)
        for kind_id, needed, count in needs.of_kinds:
            if self._open(kind_id) and len(shop.marks_of(needed)) - self._open(needed) < count:
                self._users.setdefault(needed, set()).add(kind_id)
                self._short_of.setdefault(needed, set()).add(kind_id)

    def waiting(self, mark: str) -> int:
        """How many unfinished parts cannot go their way without this one, or without one more of its kind."""
        kind_id = self.shop.parts[mark].kind
        of_kind = sum(self._open(user) for user in self._short_of.get(kind_id, ()))
        return of_kind + len(self._made_of.get(mark, ()))

    def minutes_behind(self, mark: str) -> float:
        """Minutes of work that wait for this part, by the estimates, and for what waits for it."""
        kinds = self._short_of.get(self.shop.parts[mark].kind, set())
        minutes = sum(self._minutes_of(kind_id) + self._behind_kind(kind_id) for kind_id in kinds)
        for other in self._made_of.get(mark, ()):
            kind_id = self.shop.parts[other].kind
            if kind_id not in kinds:
                minutes += self.route_minutes(kind_id) + self._behind_kind(kind_id) / self._open(kind_id)
        return minutes

    def _behind_kind(self, kind_id: str) -> float:
        """Minutes of work that wait for all the parts of a kind."""
        if kind_id not in self._behind:
            self._behind[kind_id] = 0.0  # the cross-check of the shop refuses circles
            self._behind[kind_id] = sum(
                self._minutes_of(user) + self._behind_kind(user) for user in self._users.get(kind_id, ())
            )
        return self._behind[kind_id]

    def _minutes_of(self, kind_id: str) -> float:
        return self._open(kind_id) * self.route_minutes(kind_id)

    def _open(self, kind_id: str) -> int:
        """Unfinished parts of a kind."""
        return self._positions.open_parts(kind_id)

    def route_minutes(self, kind_id: str) -> float:
        """Minutes of a kind's whole route, one piece, by the estimates."""
        return self._positions.route(kind_id).minutes_each
