"""The road still ahead of a part: the critical path over routes, and over what is made from what."""

from kiosk.record.positions import Positions
from kiosk.shop.shop import Shop


class Road:
    """How much work still stands behind a part: its own steps and those of what needs it."""

    def __init__(self, shop: Shop, positions: Positions) -> None:
        self._positions = positions
        self._tail: dict[str, float] = {}
        self._users: dict[str, set[str]] = {}
        for kind in shop.kinds.values():
            for stage in kind.route:
                for needed in stage.needs:
                    self._users.setdefault(needed, set()).add(kind.id)
        for part in shop.parts.values():
            for other in part.made_from:
                self._users.setdefault(shop.parts[other].kind, set()).add(part.kind)
        self._route = {kind.id: shop.route_of(kind).minutes_each for kind in shop.kinds.values()}
        self.longest = max((self._route[kind] + self.tail(kind) for kind in self._route), default=1.0)

    def tail(self, kind_id: str) -> float:
        """Minutes of the longest chain of kinds that need this one."""
        if kind_id not in self._tail:
            self._tail[kind_id] = 0.0  # routes have no circles: the cross-check refuses them
            self._tail[kind_id] = max(
                (self._route[user] + self.tail(user) for user in self._users.get(kind_id, ())),
                default=0.0,
            )
        return self._tail[kind_id]

    def opens(self, kind_id: str) -> int:
        """How many unfinished parts wait for this kind."""
        return sum(self._positions.open_parts(user) for user in self._users.get(kind_id, ()))
