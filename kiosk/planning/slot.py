"""The best set of things to do in a slot, exactly.

Each candidate offers options (how many pieces, how far along); at most one is taken. A set-up family is paid
for once, its putting away included. The worth of the set, less one for each family opened so that ties go to
fewer changes, is the greatest that fits.

Method: a multiple-choice knapsack over whole minutes in which each option pays only for the family of its
first step; where the answer uses a family that was not paid for, branch on that family being open (paid for
at once) or closed (no option may use it). The relaxation only drops cost and the two branches cover every
answer, so the result is exact.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

_NEVER = -(10**15)


@dataclass(frozen=True)
class Option:
    """One way to take up a candidate: whole minutes without set-up, worth, and families in order of use."""

    minutes: int
    worth: int
    families: tuple[str, ...]


@dataclass(frozen=True)
class Chosen:
    """Indices of the chosen options by candidate, with their worth and minutes, set-ups included."""

    options: dict[int, int]
    worth: int
    minutes: int
    families: tuple[str, ...]
    branches: int = 1


def choose(
    candidates: Sequence[Sequence[Option]],
    set_up: Mapping[str, int],
    minutes: int,
    free: frozenset[str] = frozenset(),
) -> Chosen:
    """The best set of options, at most one a candidate, within whole minutes.

    ``set_up`` is the minutes to set up and put away a family; one in ``free`` is already out and costs
    nothing. All worths must be 0 or more, and the options of a candidate must begin with the same family.
    """
    search = _Search(candidates, set_up, minutes, free)
    search.branch(frozenset(), frozenset())
    best = search.best
    return Chosen(best.options, best.worth, best.minutes, best.families, search.branches)


class _Search:
    def __init__(
        self,
        candidates: Sequence[Sequence[Option]],
        set_up: Mapping[str, int],
        minutes: int,
        free: frozenset[str],
    ) -> None:
        self.candidates = candidates
        self.set_up = set_up
        self.minutes = minutes
        self.free = free
        self.best = Chosen({}, 0, 0, ())
        self.branches = 0

    def branch(self, opened: frozenset[str], closed: frozenset[str]) -> None:
        self.branches += 1
        paid_minutes = sum(self.set_up.get(family, 0) for family in opened)
        if paid_minutes > self.minutes:
            return
        bound, picked = self._relaxed(self.minutes - paid_minutes, self.free | opened, closed)
        bound -= len(opened)
        if bound <= self.best.worth:
            return
        self._offer(picked)
        used = {family for c, o in picked.items() for family in self.candidates[c][o].families} - self.free
        paid = {self.candidates[c][o].families[0] for c, o in picked.items()} | opened
        unpaid = sorted(used - paid)
        if unpaid:
            # The dearest first: it is the one that the relaxation got wrong by most.
            family = max(unpaid, key=lambda name: self.set_up.get(name, 0))
            self.branch(opened | {family}, closed)
            self.branch(opened, closed | {family})

    def _offer(self, picked: dict[int, int]) -> None:
        """Keep the picked options with all their set-ups, if they fit and are better."""
        taken = [self.candidates[c][o] for c, o in picked.items()]
        families = sorted({family for option in taken for family in option.families} - self.free)
        total = sum(option.minutes for option in taken)
        total += sum(self.set_up.get(family, 0) for family in families)
        worth = sum(option.worth for option in taken) - len(families)
        if total <= self.minutes and worth > self.best.worth:
            self.best = Chosen(dict(picked), worth, total, tuple(families))

    def _relaxed(
        self, minutes: int, free: frozenset[str], closed: frozenset[str]
    ) -> tuple[int, dict[int, int]]:
        """Best worth when each option pays for its first family only, and which options give it."""
        groups: dict[str, list[tuple[int, list[int]]]] = {}
        for number, options in enumerate(self.candidates):
            allowed = _undominated(options, minutes, closed)
            if allowed:
                first = options[0].families[0]
                groups.setdefault("" if first in free else first, []).append((number, allowed))
        size = minutes + 1
        table = [0] * size
        trace: list[tuple[str, list[int], list[int], list[tuple[int, list[int], list[int]]]]] = []
        for family, members in groups.items():
            cost = self.set_up.get(family, 0) if family else 0
            if cost > minutes:
                continue
            fee = 1 if family else 0
            inside = [_NEVER] * cost + [value - fee for value in table[: size - cost]]
            steps: list[tuple[int, list[int], list[int]]] = []
            for number, allowed in members:
                options = self.candidates[number]
                shifted = []
                for place in allowed:
                    used, worth = options[place].minutes, options[place].worth
                    shifted.append([_NEVER] * used + [value + worth for value in inside[: size - used]])
                steps.append((number, allowed, inside))
                inside = list(map(max, inside, *shifted))
            trace.append((family, table, inside, steps))
            table = list(map(max, table, inside)) if family else inside
        at = minutes
        value = table[at]
        best = value
        picked: dict[int, int] = {}
        for family, before, inside, steps in reversed(trace):
            if family and before[at] == value:
                continue  # not opened
            assert inside[at] == value
            for number, allowed, earlier in reversed(steps):
                if earlier[at] == value:
                    continue
                for place in allowed:
                    option = self.candidates[number][place]
                    if option.minutes <= at and earlier[at - option.minutes] + option.worth == value:
                        picked[number] = place
                        at -= option.minutes
                        value -= option.worth
                        break
            if family:
                at -= self.set_up.get(family, 0)
                value += 1
        return best, picked


def _undominated(options: Sequence[Option], minutes: int, closed: frozenset[str]) -> list[int]:
    """Places of the options that fit and are not closed, without those that a cheaper one outdoes.

    An option is outdone by one of at least its worth in no more minutes that uses none but its families.
    """
    kept: list[int] = []
    order = sorted(range(len(options)), key=lambda place: (options[place].minutes, -options[place].worth))
    best: dict[frozenset[str], int] = {}
    for place in order:
        option = options[place]
        if option.minutes > minutes or (closed and closed.intersection(option.families)):
            continue
        used = frozenset(option.families)
        if any(worth >= option.worth and fewer <= used for fewer, worth in best.items()):
            continue
        best[used] = option.worth
        kept.append(place)
    return kept
