"""The road still ahead of a part: the critical path over routes, and over what is made from what."""

from kiosk.record.state import State
from kiosk.shop.shop import Shop


class Road:
    """How much work still stands behind a part: its own steps and those of what needs it."""

    def __init__(self, shop: Shop, state: State) -> None:
        self.shop = shop
        self._tail: dict[str, float] = {}
        self._users: dict[str, set[str]] = {}
        self._waiting: dict[str, int] = {}
        for kind in shop.kinds.values():
            for stage in kind.route:
                for needed in stage.needs:
                    self._users.setdefault(needed, set()).add(kind.id)
        for part in shop.parts.values():
            for other in part.made_from:
                self._users.setdefault(shop.parts[other].kind, set()).add(part.kind)
        self._route = {kind.id: self._route_minutes(kind.id) for kind in shop.kinds.values()}
        self.longest = max((self._route[kind] + self.tail(kind) for kind in self._route), default=1.0)
        for part in shop.parts.values():
            stored = state.parts.get(part.mark)
            if stored is None or stored.completed_at is None:
                self._waiting[part.kind] = self._waiting.get(part.kind, 0) + 1

    def _route_minutes(self, kind_id: str) -> float:
        return sum(step.minutes.each for _, step in self.shop.route_steps(self.shop.kinds[kind_id]))

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
        return sum(self._waiting.get(user, 0) for user in self._users.get(kind_id, ()))
