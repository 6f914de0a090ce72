"""The best set of things to do in a slot, exactly.

Each candidate offers options (how many pieces, how far along); at most one is taken. A set-up family is paid
for once, its putting away included. Some options have a limit: what spoils must begin in time, what is loud
must end in time. An option may hold a wait (paint that dries): its first part is then done among the first
things, its last part at the very end, and everything else fills the wait; one such wait to a plan. The worth
of the set, less one for each family opened so that ties go to fewer changes, is the greatest that fits.

Method: a multiple-choice knapsack over whole minutes in which each option pays only for the family of its
first step. One option of all that wait is taken at most, loud options share the minutes until quiet, and what
spoils is taken in the order in which it spoils; otherwise the order is not looked at. Where the answer breaks
a rule that was not looked at, branch on it: a family that was not paid for is open (paid at once) or closed;
a candidate taken in two ways is one or the other; an option whose limit fails is kept or left out. The
relaxation only drops cost and the branches cover every answer, so the result is exact, as long as
``exact`` is true: after ``MOST_BRANCHES`` the best so far is given.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

_NEVER = -(10**15)
MOST_BRANCHES = 600


@dataclass(frozen=True)
class Option:
    """One way to take up a candidate: whole minutes without set-up, worth, and families in order of use.

    ``start_by`` and ``end_by`` are minutes from the slot's beginning. ``waits`` minutes pass between the
    first part and the ``after`` minutes of it; with nothing before (``after`` equal to ``minutes``) it is a
    clock that runs already. What must end by a time may not wait as well.
    """

    minutes: int
    worth: int
    families: tuple[str, ...]
    start_by: int | None = None
    end_by: int | None = None
    waits: int = 0
    after: int = 0

    @property
    def first(self) -> int:
        """Minutes before the wait: all of them where there is none."""
        return self.minutes - self.after

    def limit(self, slot_minutes: int) -> int | None:
        """When its first part must be over; None when that does not matter."""
        limits = []
        if self.start_by is not None:
            limits.append(self.start_by + self.first)
        if self.end_by is not None:
            limits.append(self.end_by)
        if self.waits and self.first:
            limits.append(slot_minutes - self.waits - self.after)
        return min(limits) if limits else None


@dataclass(frozen=True)
class Chosen:
    """Indices of the chosen options by candidate, with their worth and minutes, set-ups included."""

    options: dict[int, int]
    worth: int
    minutes: int
    families: tuple[str, ...]
    branches: int = 1
    exact: bool = True


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
    search.branch(_Decided())
    best = search.best
    return Chosen(
        best.options,
        best.worth,
        best.minutes,
        best.families,
        search.branches,
        search.branches < MOST_BRANCHES,
    )


def in_order(
    picked: Iterable[tuple[int, Option]], set_up: Mapping[str, int], minutes: int, free: frozenset[str]
) -> bool:
    """True when the options with limits can be done in the order of their limits, set-ups at first use.

    ``picked`` is candidate number and option. At most one may wait.
    """
    waiting = 0
    limited: list[tuple[int, int, Option]] = []
    for number, option in picked:
        if option.waits:
            waiting += 1
            if waiting > 1 or option.waits + option.after > minutes:
                return False
        limit = option.limit(minutes)
        if limit is not None:
            limited.append((limit, number, option))
    clock = 0
    out = set(free)
    for limit, _, option in sorted(limited, key=lambda entry: entry[:2]):
        for family in option.families:
            if family not in out:
                out.add(family)
                clock += set_up.get(family, 0)
        if option.start_by is not None and clock > option.start_by:
            return False
        clock += option.first
        if clock > limit:
            return False
    return True


@dataclass(frozen=True)
class _Decided:
    """What a branch has decided so far."""

    opened: frozenset[str] = frozenset()
    closed: frozenset[str] = frozenset()
    not_early: frozenset[str] = frozenset()  # families that no option with a limit or a wait may use
    banned: frozenset[tuple[int, int]] = frozenset()
    kept: Mapping[int, int] = field(default_factory=dict)


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
        self.quiet_at = max(
            (option.end_by for options in candidates for option in options if option.end_by is not None),
            default=0,
        )
        # What waits, spoils or is loud has a stage of its own, so a family of it may be paid for there.
        self.early_families = frozenset(
            name
            for options in candidates
            for option in options
            if option.waits or option.start_by is not None or option.end_by is not None
            for name in option.families
        )
        self.special = {
            (number, place)
            for number, options in enumerate(candidates)
            for place, option in enumerate(options)
            if option.waits or option.start_by is not None or option.end_by is not None
        }
        self.useful = [
            _undominated([place for place, option in enumerate(options) if self._alone(option)], options)
            for options in candidates
        ]

    def _alone(self, option: Option) -> bool:
        """True when the option fits with nothing else in the slot."""
        if option.waits and option.end_by is not None:
            return False
        total = option.minutes + sum(
            self.set_up.get(name, 0) for name in option.families if name not in self.free
        )
        return total <= self.minutes and in_order([(0, option)], self.set_up, self.minutes, self.free)

    def branch(self, decided: _Decided) -> None:
        if self.branches >= MOST_BRANCHES:
            return
        self.branches += 1
        kept = [(number, self.candidates[number][place]) for number, place in decided.kept.items()]
        opened = (decided.opened | {name for _, option in kept for name in option.families}) - self.free
        if opened & decided.closed or not in_order(kept, self.set_up, self.minutes, self.free):
            return
        left = self.minutes - sum(self.set_up.get(name, 0) for name in opened)
        left -= sum(option.minutes for _, option in kept)
        if left < 0:
            return
        early = min(
            left, self.quiet_at - sum(option.first for _, option in kept if option.end_by is not None)
        )
        bound, picks = self._relaxed(left, early, self.free | opened, decided, kept)
        bound += sum(option.worth for _, option in kept) - len(opened)
        if bound <= self.best.worth:
            return
        picks += list(decided.kept.items())
        self._split(decided, opened, picks)

    def _split(self, decided: _Decided, opened: frozenset[str], picks: list[tuple[int, int]]) -> None:
        """Keep the picks if they are a plan; branch on the first rule that they break."""
        numbers = [number for number, _ in picks]
        twice = next((number for number in numbers if numbers.count(number) > 1), None)
        if twice is not None:
            same = [pair for pair in picks if pair[0] == twice]
            if len({self._way(pair) for pair in same}) < len(same):
                self._keep_or_ban(decided, same[0])
                return
            ways: dict[str, set[tuple[int, int]]] = {}
            for place in range(len(self.candidates[twice])):
                ways.setdefault(self._way((twice, place)), set()).add((twice, place))
            for way in {self._way(pair) for pair in same}:
                others = {pair for name, pairs in ways.items() if name != way for pair in pairs}
                self.branch(self._with(decided, banned=decided.banned | others))
            rest = {self._way(pair) for pair in same}
            if set(ways) - rest:
                now = {pair for name in rest for pair in ways[name]}
                self.branch(self._with(decided, banned=decided.banned | now))
            return
        options = [(number, self.candidates[number][place]) for number, place in picks]
        fits = in_order(options, self.set_up, self.minutes, self.free)
        used = {name for _, option in options for name in option.families} - self.free
        if fits:
            self._offer(dict(picks), used)
        paid = opened | {
            self._option(pair).families[0]
            for pair in picks
            if self._pays(pair, decided) or pair[0] in decided.kept
        }
        unpaid = sorted(used - paid)
        if unpaid:
            # The dearest first: it is the one that the relaxation got wrong by most.
            family = max(unpaid, key=lambda name: self.set_up.get(name, 0))
            self.branch(self._with(decided, opened=decided.opened | {family}))
            if self._shared(family, decided):
                self.branch(self._with(decided, not_early=decided.not_early | {family}))
            else:
                self.branch(self._with(decided, closed=decided.closed | {family}))
        elif not fits:
            loose = [pair for pair in picks if pair in self.special and pair[0] not in decided.kept]
            if loose:
                self._keep_or_ban(decided, max(loose, key=lambda one: self._option(one).first))

    def _keep_or_ban(self, decided: _Decided, pair: tuple[int, int]) -> None:
        self.branch(self._with(decided, kept={**decided.kept, pair[0]: pair[1]}))
        self.branch(self._with(decided, banned=decided.banned | {pair}))

    def _option(self, pair: tuple[int, int]) -> Option:
        return self.candidates[pair[0]][pair[1]]

    def _way(self, pair: tuple[int, int]) -> str:
        """Which stage of the table an option belongs to."""
        option = self._option(pair)
        if option.waits:
            return "waits"
        if option.end_by is not None:
            return "loud"
        return "spoils" if option.start_by is not None else "any time"

    def _pays(self, pair: tuple[int, int], decided: _Decided) -> bool:
        """True when the table charged an option for its first family."""
        way = self._way(pair)
        if way in ("waits", "spoils"):
            return False
        return way == "loud" or not self._shared(self._option(pair).families[0], decided)

    @staticmethod
    def _with(decided: _Decided, **changes: object) -> _Decided:
        return _Decided(**{**decided.__dict__, **changes})

    def _shared(self, family: str, decided: _Decided) -> bool:
        """True while it is not decided whether an option of another stage pays for a family."""
        if family in decided.closed:
            return False
        return family in self.early_families and family not in decided.not_early

    def _offer(self, picked: dict[int, int], families: set[str]) -> None:
        """Keep the picked options with all their set-ups, if they fit and are better."""
        taken = [self.candidates[number][place] for number, place in picked.items()]
        total = sum(option.minutes for option in taken)
        total += sum(self.set_up.get(family, 0) for family in families)
        worth = sum(option.worth for option in taken) - len(families)
        if total <= self.minutes and worth > self.best.worth:
            self.best = Chosen(dict(picked), worth, total, tuple(sorted(families)))

    def _allowed(
        self, number: int, minutes: int, decided: _Decided, kept: Sequence[tuple[int, Option]]
    ) -> list[int]:
        """Places of a candidate's options that this branch may take."""
        options = self.candidates[number]
        places: Iterable[int] = self.useful[number]
        if any(owner == number for owner, _ in decided.banned):
            places = range(len(options))  # what a banned option outdid counts again
        found = []
        for place in places:
            option = options[place]
            if option.minutes > minutes or (decided.closed and decided.closed.intersection(option.families)):
                continue
            if (number, place) in self.special:
                if (number, place) in decided.banned or not self._alone(option):
                    continue
                if decided.not_early.intersection(option.families):
                    continue
                if kept and not in_order([*kept, (number, option)], self.set_up, self.minutes, self.free):
                    continue
            elif (number, place) in decided.banned:
                continue
            found.append(place)
        return found

    def _relaxed(
        self,
        minutes: int,
        early: int,
        free: frozenset[str],
        decided: _Decided,
        kept: Sequence[tuple[int, Option]],
    ) -> tuple[int, list[tuple[int, int]]]:
        """Best worth when each option pays for its first family only, and which options give it."""
        loud: dict[str, list[tuple[int, list[int]]]] = {}
        quiet: dict[str, list[tuple[int, list[int]]]] = {}
        spoils: list[tuple[int, tuple[int, int]]] = []
        waits: list[tuple[int, int]] = []
        for number, options in enumerate(self.candidates):
            if number in decided.kept or not options:
                continue
            allowed = self._allowed(number, minutes, decided, kept)
            if not allowed:
                continue
            first = options[0].families[0]
            ways: dict[str, list[int]] = {}
            for place in allowed:
                ways.setdefault(self._way((number, place)), []).append(place)
            waits += [(number, place) for place in ways.get("waits", ())]
            for place in ways.get("spoils", ()):
                spoils.append((options[place].limit(self.minutes) or 0, (number, place)))
            if "loud" in ways:
                loud.setdefault("" if first in free else first, []).append((number, ways["loud"]))
            if "any time" in ways:
                paid = first in free or self._shared(first, decided)
                quiet.setdefault("" if paid else first, []).append((number, ways["any time"]))
        early = max(0, early)
        # Loud things first, within their minutes; then what spoils, whose start the loud may not be
        # taken to delay; then everything else, with one thing that waits.
        table, loud_groups = self._fill([0] * (early + 1), loud)
        table += [table[-1]] * (minutes - early)
        after_loud = table
        spoil_steps: list[tuple[tuple[int, int], list[int]]] = []
        for _, pair in sorted(spoils):
            spoil_steps.append((pair, table))
            table = list(map(max, table, _in_time(table, self._option(pair), bool(loud))))
        before_wait = table
        if waits and not any(option.waits for _, option in kept):
            table = list(map(max, table, *(_shifted(table, self._option(pair)) for pair in waits)))
        table, quiet_groups = self._fill(table, quiet)
        best = table[minutes]
        picked: list[tuple[int, int]] = []
        at, value = self._trace(quiet_groups, minutes, best, picked)
        if before_wait[at] != value:
            pair = next(pair for pair in waits if _shifted(before_wait, self._option(pair))[at] == value)
            picked.append(pair)
            at, value = at - self._option(pair).minutes, value - self._option(pair).worth
        for pair, earlier in reversed(spoil_steps):
            if earlier[at] == value:
                continue
            option = self._option(pair)
            picked.append(pair)
            at, value = at - option.minutes, value - option.worth
            if not loud and option.start_by is not None:
                at = min(at, option.start_by)
        assert after_loud[at] == value
        self._trace(loud_groups, min(at, early), value, picked)
        return best, picked

    def _fill(
        self, table: list[int], groups: Mapping[str, Sequence[tuple[int, list[int]]]]
    ) -> tuple[list[int], list["_Group"]]:
        """The table after every group, each family paid once or not opened."""
        size = len(table)
        trace: list[_Group] = []
        for family, members in groups.items():
            cost = self.set_up.get(family, 0) if family else 0
            if cost >= size:
                continue
            fee = 1 if family else 0
            inside = [_NEVER] * cost + [value - fee for value in table[: size - cost]]
            steps: list[tuple[int, list[int], list[int]]] = []
            for number, allowed in members:
                options = self.candidates[number]
                shifted = []
                for place in allowed:
                    used, worth = options[place].minutes, options[place].worth
                    if used < size:
                        shifted.append([_NEVER] * used + [value + worth for value in inside[: size - used]])
                steps.append((number, allowed, inside))
                if shifted:
                    inside = list(map(max, inside, *shifted))
            trace.append(_Group(family, cost, table, inside, steps))
            table = list(map(max, table, inside)) if family else inside
        return table, trace

    def _trace(
        self, groups: Sequence["_Group"], at: int, value: int, picked: list[tuple[int, int]]
    ) -> tuple[int, int]:
        """Walk a stage back from a place in its table; gives the place and value where it began."""
        for group in reversed(groups):
            if group.family and group.before[at] == value:
                continue  # not opened
            for number, allowed, earlier in reversed(group.steps):
                if earlier[at] == value:
                    continue
                for place in allowed:
                    option = self.candidates[number][place]
                    if option.minutes <= at and earlier[at - option.minutes] + option.worth == value:
                        picked.append((number, place))
                        at -= option.minutes
                        value -= option.worth
                        break
            if group.family:
                at -= group.cost
                value += 1
        return at, value


@dataclass(frozen=True)
class _Group:
    """One family's part of the table, kept to find the way back."""

    family: str
    cost: int
    before: list[int]
    inside: list[int]
    steps: list[tuple[int, list[int], list[int]]]


def _shifted(table: list[int], option: Option) -> list[int]:
    """The table with one more option taken, set-ups aside."""
    return ([_NEVER] * option.minutes + [value + option.worth for value in table])[: len(table)]


def _in_time(table: list[int], option: Option, loud: bool) -> list[int]:
    """The table with an option that spoils taken last so far, begun no later than it may be.

    Loud things stand before it in the table but may come after it: with them its start is not looked at.
    """
    if loud or option.start_by is None:
        return _shifted(table, option)
    kept = [value + option.worth for value in table[: option.start_by + 1]]
    late = [kept[-1]] * max(0, len(table) - option.minutes - len(kept))
    return ([_NEVER] * option.minutes + kept + late)[: len(table)]


def _undominated(places: Sequence[int], options: Sequence[Option]) -> list[int]:
    """Places of the options that no other outdoes.

    An option is outdone by one of at least its worth in no more minutes that uses none but its families and
    has no limit and no wait, or the very same limits with no longer parts.
    """
    kept: list[int] = []
    best: dict[tuple[object, ...], list[tuple[int, int, int, frozenset[str]]]] = {}
    for place in sorted(places, key=lambda one: (options[one].minutes, -options[one].worth)):
        option = options[place]
        used = frozenset(option.families)
        rules = (option.start_by, option.end_by, option.waits)
        rivals = best.get((None, None, 0), [])
        outdone = any(worth >= option.worth and fewer <= used for worth, _, _, fewer in rivals)
        if not outdone and rules != (None, None, 0):
            outdone = any(
                worth >= option.worth and first <= option.first and after <= option.after and fewer <= used
                for worth, first, after, fewer in best.get(rules, [])
            )
        if not outdone:
            best.setdefault(rules, []).append((option.worth, option.first, option.after, used))
            kept.append(place)
    return kept
