"""The best set of things to do in a slot, exactly.

Each candidate offers options (how many pieces, how far along); at most one is taken. A set-up is paid for
once, its putting away included; of a family whose steps need more or less of it, what is taken pays for the
dearest (:class:`kiosk.planning.choose.option.More`). Some options have a limit: what spoils must begin in
time, what is loud must end in time. An option may hold a wait (paint that dries): its first part is then done
among the first things, its last part at the very end, and everything else fills the wait; several such waits
run side by side, with all their last parts at the end. The worth of the set, less one for each set-up opened
so that ties go to fewer changes, is the greatest that fits.

Method: a multiple-choice knapsack over whole minutes in which each option pays only for the set-ups of its
first step, those within one another. Loud options share the minutes until quiet, and what spoils is
taken in the order of its latest ends; otherwise the order is not looked at. Where the answer breaks
a rule that was not looked at, branch on it: a family that was not paid for is open (paid at once) or closed;
a candidate taken in two ways is one or the other; a family of loud things is set up before quiet hours or
nothing loud is done with it; of options that clash by their limits, none of them too many, one is kept or
left out, what waits first. The relaxation only drops cost and the branches cover every answer, so the result
is exact, as long as ``exact`` is true; after ``MOST_BRANCHES`` the best so far is given, with the bound that
no set can pass.
"""

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import field, replace
from typing import NamedTuple

from kiosk.dataclass import dataclass
from kiosk.planning.choose.option import More, Option, SetUp, can_be_all, family_of, in_order, set_up_of
from kiosk.planning.choose.rows import DEEPEST, Lanes
from kiosk.planning.choose.stages import Spoiling, Stages
from kiosk.planning.choose.table import Alternatives, ChargedOption, Rows
from kiosk.shop.procedure import Family

MOST_BRANCHES = 200
FEWEST_OF_AN_ANSWER = 20  # branches; with fewer only the bound is asked for


@dataclass(frozen=True)
class Chosen:
    """Indices of the chosen options by candidate, with their worth and minutes, set-ups included."""

    options: dict[int, int]
    worth: int
    minutes: int
    families: tuple[SetUp, ...]
    branches: int = 1
    exact: bool = True
    bound: int = 0  # no set can be worth more
    bounds: Sequence[int] = ()  # nor one in so many minutes or fewer; by minutes


def choose(
    candidates: Sequence[Sequence[Option]],
    set_up: Mapping[SetUp, int],
    minutes: int,
    free: frozenset[SetUp] = frozenset(),
    *,
    most_branches: int = MOST_BRANCHES,
    looked: "Looked | None" = None,
    order: Sequence[Family] = (),
) -> Chosen:
    """The best set of options, at most one a candidate, within whole minutes.

    ``set_up`` is the minutes to set up and put away a family; one in ``free`` is already out and costs
    nothing. All worths must be 0 or more, and the options of a candidate must begin with the same set-up.
    ``looked`` is for whoever chooses again among the same candidates, ``order`` as in :class:`Choice`.
    """
    return Choice(candidates, set_up, minutes, free, looked, order).best_of(most_branches)


@dataclass(frozen=True)
class _Decided:
    """What a branch has decided so far."""

    opened: frozenset[SetUp] = frozenset()
    closed: frozenset[SetUp] = frozenset()
    banned: frozenset[tuple[int, int]] = frozenset()
    kept: Mapping[int, int] = field(default_factory=dict)
    early: frozenset[SetUp] = frozenset()  # set up before quiet hours
    not_early: frozenset[SetUp] = frozenset()  # nothing loud is done with these


class _UsualOnes(NamedTuple):
    """The options of a candidate that has usual ones alone: the same for every branch that decides nothing
    about them."""

    options: Alternatives
    shortest: int  # minutes
    families: frozenset[SetUp]


class _Useful(NamedTuple):
    """Of a candidate's options that fit alone, those that no other outdoes."""

    options: Sequence[Option]  # the candidate's
    places: list[int]
    usual: _UsualOnes | None  # where all of them are usual


class Looked:
    """What is useful of candidates' options, for all choices that are made among the same of them, with the
    same set-ups. Options are told by what they are, and kept, so that their id stays their own."""

    def __init__(self) -> None:
        self._alone: dict[tuple[int, int], tuple[Sequence[Option], list[int]]] = {}
        self._useful: dict[tuple[int, ...], _Useful] = {}

    def alone(self, options: Sequence[Option], minutes: int, fits: Callable[[Option], bool]) -> list[int]:
        """The places of a candidate's options that fit in so many minutes with nothing else."""
        key = (id(options), minutes)
        found = self._alone.get(key)
        if found is None:
            places = [place for place, option in enumerate(options) if fits(option)]
            found = self._alone[key] = (options, places)
        return found[1]

    def useful(
        self, number: int, options: Sequence[Option], alone: Sequence[int], *, limited: bool
    ) -> _Useful:
        """Of the options of a candidate, of which these fit alone; ``limited`` where the last part of any has
        to begin by a limit."""
        key = (number, id(options), limited, *alone)
        found = self._useful.get(key)
        if found is None:
            places, usual = _undominated(alone, options, limited=limited), None
            if places and all(options[place].usual for place in places):
                usual = _UsualOnes(
                    _alternatives(number, options, places),
                    min(options[place].minutes for place in places),
                    frozenset(name for place in places for name in options[place].families),
                )
            found = self._useful[key] = _Useful(options, places, usual)
        return found


class Choice:
    """All sets of options; what was worked out at a first look is there at the next."""

    def __init__(
        self,
        candidates: Sequence[Sequence[Option]],
        set_up: Mapping[SetUp, int],
        minutes: int,
        free: frozenset[SetUp],
        looked: Looked | None = None,
        order: Sequence[Family] = (),
    ) -> None:
        """``order`` is that in which families are looked at, where it does not follow from the candidates: of
        several sets worth the same it tells which is taken."""
        self.most_branches = 0
        self._rank: dict[SetUp, int] = {family: place for place, family in enumerate(order)}
        self.bound = 0  # of the first branch, which leaves everything open
        self.bounds: Sequence[int] = ()  # of the same, by minutes
        self.candidates = candidates
        self.set_up = set_up
        self.minutes = minutes
        self.free = free
        self.best = Chosen({}, 0, 0, ())
        self.branches = 0
        self._begins = [_first_set_ups(options) for options in candidates]
        usual: set[SetUp] = set()
        self.quiet_at = 0
        for options, begins in zip(candidates, self._begins, strict=True):
            for option in options:
                if option.usual or option.waits:
                    usual.update(begins)
                elif option.end_by is not None:
                    self.quiet_at = max(self.quiet_at, option.end_by)
        # Each family is paid for in one stage of the table: the last where anything of it may be done at any
        # time or waits, else the loud one; elsewhere it is taken for free at first.
        self.usual_families = frozenset(usual)
        self._cost: dict[tuple[SetUp, ...], int] = {}
        self._rows = Rows(Lanes(minutes, sum(map(_most_in_table, candidates))))
        self._alternatives: dict[tuple[int, ...], Alternatives] = {}  # by candidate and places
        # What may come after a last part that has a limit: others, and putting away.
        limited = any(one.waits_already and one.start_by is not None for of in candidates for one in of)
        self._after: list[int] = []
        self._away = 0
        if limited:
            self._after = [max([0, *(one.after for one in of if one.waits)]) for of in candidates]
            away: dict[SetUp, int] = {}
            for family, takes in (one for of in candidates for option in of for one in option.away):
                away[family] = max(takes, away.get(family, 0))
            self._away = sum(away.values())
        looked = looked or Looked()
        self.alone = [looked.alone(options, minutes, self._alone) for options in candidates]
        useful = [
            looked.useful(number, options, places, limited=limited)
            for number, (options, places) in enumerate(zip(candidates, self.alone, strict=True))
        ]
        self.useful = [one.places for one in useful]
        # By what a branch keeps: which limits go with it; and with the minutes left, what there is beside it.
        self._goes: dict[tuple[tuple[int, int], ...], dict[Hashable, bool]] = {}
        self._ways_beside: dict[Hashable, dict[int, dict[str, list[int]]]] = {}
        self._usual_ones: dict[int, _UsualOnes] = {}
        for number, one in enumerate(useful):
            if one.usual is not None:
                self._usual_ones[number] = one.usual
                self._alternatives[number, *one.places] = one.usual.options

    def best_of(self, most_branches: int = MOST_BRANCHES) -> Chosen:
        """The best set that so many branches find, as :func:`choose` gives it."""
        self.best, self.branches, self.most_branches = Chosen({}, 0, 0, ()), 0, most_branches
        self.branch(_Decided())
        exact = self.branches < most_branches
        if not exact and most_branches >= FEWEST_OF_AN_ANSWER:
            self._one_after_the_other()
        bound = self.best.worth if exact else self.bound
        return replace(self.best, branches=self.branches, exact=exact, bound=bound, bounds=tuple(self.bounds))

    def _alone(self, option: Option) -> bool:
        """True when the option fits with nothing else in the slot."""
        if option.usual:  # the most of them, with few families among them
            cost = self._cost.get(option.families)
            if cost is None:
                cost = self._cost[option.families] = set_up_of(option.families, self.set_up, self.free)
            return option.minutes + cost <= self.minutes
        return can_be_all(option, self.set_up, self.minutes, self.free)

    def branch(self, decided: _Decided) -> None:
        """Look at what a branch decides, and at the branches of that."""
        if self.branches >= self.most_branches:
            return
        self.branches += 1
        kept = [(number, self.candidates[number][place]) for number, place in decided.kept.items()]
        kept_families = {name for _, option in kept for name in option.families}
        opened = (decided.opened | decided.early | kept_families) - self.free
        if opened & decided.closed or not in_order(kept, self.set_up, self.minutes, self.free):
            return
        left = self.minutes - set_up_of(opened, self.set_up, self.free)
        left -= sum(option.minutes for _, option in kept)
        left = min(left, self._before_last_parts(decided, kept, left))
        if left < 0:
            return
        early = min(left, self._early_minutes(decided, kept))
        stages = self._stages(left, self.free | opened, decided, kept)
        by_minutes, picks = stages.best(left, early, self.set_up, self._rows)
        lanes = self._rows.lanes
        bound = lanes.worth_at(by_minutes, left) + sum(option.worth for _, option in kept) - len(opened)
        if self.branches == 1:
            self.bound, self.bounds = bound, lanes.worths(by_minutes)
        if bound <= self.best.worth:
            return
        picks += list(decided.kept.items())
        self._split(decided, opened, picks)

    def _before_last_parts(self, decided: _Decided, kept: Sequence[tuple[int, Option]], left: int) -> int:
        """No more of the minutes left can be filled, since last parts that are kept have to begin by a limit;
        others come with them or after them, and putting away does."""
        limits = [one.start_by for _, one in kept if one.waits_already and one.start_by is not None]
        if not limits:
            return left
        after = sum(option.after for _, option in kept if option.waits)
        after += sum(self._after[number] for number in range(len(self._after)) if number not in decided.kept)
        return min(limits) + after + self._away - (self.minutes - left)

    def _early_minutes(self, decided: _Decided, kept: Sequence[tuple[int, Option]]) -> int:
        """Minutes until quiet hours for loud things beside what is kept.

        What is kept and has its limit by then is done by then, as the loud things are, and so is setting up
        for it: whatever comes first, their sum has to fit.
        """
        last_parts = sum(option.after for _, option in kept if option.waits)
        limits = [(option, option.limit(self.minutes, last_parts - option.after)) for _, option in kept]
        by_then = [option for option, limit in limits if limit is not None and limit <= self.quiet_at]
        families = decided.early.union(*(option.families for option in by_then))
        set_up = set_up_of(families, self.set_up, self.free)
        meanwhile = sum(option.minutes_in_wait(self.free) for option in by_then)
        return self.quiet_at - set_up + meanwhile - sum(option.first for option in by_then)

    def _split(self, decided: _Decided, opened: frozenset[SetUp], picks: list[tuple[int, int]]) -> None:
        """Keep the picks if they are a plan; branch on the first rule that they break."""
        numbers = [number for number, _ in picks]
        twice = next((number for number in numbers if numbers.count(number) > 1), None)
        if twice is not None:
            ways: dict[str, set[tuple[int, int]]] = {}
            for place in range(len(self.candidates[twice])):
                ways.setdefault(self._way((twice, place)), set()).add((twice, place))
            taken = {self._way(pair) for pair in picks if pair[0] == twice}
            for way in sorted(taken):  # in the same order at every start
                others = {pair for name, pairs in ways.items() if name != way for pair in pairs}
                self.branch(replace(decided, banned=decided.banned | others))
            if set(ways) - taken:
                now = {pair for way in taken for pair in ways[way]}
                self.branch(replace(decided, banned=decided.banned | now))
            return
        options = [(number, self.candidates[number][place]) for number, place in picks]
        fits = in_order(options, self.set_up, self.minutes, self.free)
        used = {name for _, option in options for name in option.families} - self.free
        if fits:
            self._offer(dict(picks), used)
        paid = opened | {name for pair in picks for name in self._paid_by(pair)}
        if unpaid := used - paid:
            # Who needs the dearest of a family needs the others: all are paid at once.
            within: dict[Family, set[SetUp]] = {}
            for name in unpaid:
                within.setdefault(family_of(name), set()).add(name)
            cost = {one: sum(self.set_up.get(name, 0) for name in of) for one, of in within.items()}
            family = max(sorted(within, key=str), key=lambda one: cost[one])
            dearest = max(within[family], key=_place_in_family)
            self.branch(replace(decided, opened=decided.opened | within[family]))
            self.branch(replace(decided, closed=decided.closed | {dearest}))
        elif not fits:
            clash = self._clash(options, decided)
            loose = [(number, option) for number, option in clash if number not in decided.kept]
            # What is kept has paid for its set-ups, before quiet hours too.
            late = self._unpaid_early(decided, opened, loose)
            if late:
                self.branch(replace(decided, early=decided.early | {self._dearest(late)}))
                self.branch(replace(decided, not_early=decided.not_early | {self._dearest(late)}))
            elif loose:
                # What waits is early too: once it is kept, the table leaves it its time.
                number, _ = max(loose, key=lambda one: (one[1].waits > 0, one[1].first))
                self._keep_or_ban(decided, next(pair for pair in picks if pair[0] == number))

    def _clash(self, options: Sequence[tuple[int, Option]], decided: _Decided) -> list[tuple[int, Option]]:
        """Of options that can't be done in order, some that can't and of which none is too many.

        Whatever is branched on elsewhere leaves them as they are.
        """
        clash = [one for one in options if not one[1].usual]
        if in_order(clash, self.set_up, self.minutes, self.free):
            clash = list(options)  # what is usual comes before last parts too
        for one in sorted(clash, key=lambda one: (one[0] in decided.kept, one[1].first)):
            fewer = [other for other in clash if other is not one]
            if not in_order(fewer, self.set_up, self.minutes, self.free):
                clash = fewer
        return clash

    def _unpaid_early(
        self, decided: _Decided, opened: frozenset[SetUp], options: Sequence[tuple[int, Option]]
    ) -> set[SetUp]:
        """The families of loud things for whose set-up the table left no time before quiet hours."""
        loud = [(number, option) for number, option in options if option.end_by is not None]
        paid = {name for number, _ in loud for name in self._begins[number]} - self.usual_families - opened
        used = {name for _, option in loud for name in option.families}
        return {name for name in used - paid - decided.early - self.free if self.set_up.get(name, 0)}

    def _dearest(self, families: Iterable[SetUp]) -> SetUp:
        """The one that the relaxation got wrong by most; of equals the same at every start."""
        return max(sorted(families, key=str), key=lambda name: self.set_up.get(name, 0))

    def _keep_or_ban(self, decided: _Decided, pair: tuple[int, int]) -> None:
        self.branch(replace(decided, kept={**decided.kept, pair[0]: pair[1]}))
        self.branch(replace(decided, banned=decided.banned | {pair}))

    def _option(self, pair: tuple[int, int]) -> Option:
        return self.candidates[pair[0]][pair[1]]

    def _way(self, pair: tuple[int, int]) -> str:
        """Which stage of the table an option belongs to."""
        return _stage_of(self._option(pair))

    def _paid_by(self, pair: tuple[int, int]) -> tuple[SetUp, ...]:
        """The set-ups that the table charges an option for; each is charged in one stage only."""
        way, begins = self._way(pair), self._begins[pair[0]]
        if way == "spoils":
            return ()
        return _without(begins, self.usual_families) if way == "loud" else begins

    def _charged(self, number: int, places: Sequence[int]) -> Alternatives:
        """Some options of a candidate as the table sees them: the same object for the same ones."""
        key = (number, *places)
        if key not in self._alternatives:
            self._alternatives[key] = _alternatives(number, self.candidates[number], places)
        return self._alternatives[key]

    def _offer(self, picked: dict[int, int], families: set[SetUp]) -> None:
        """Keep the picked options with all their set-ups, if they fit and are better."""
        taken = [self.candidates[number][place] for number, place in picked.items()]
        total = sum(option.minutes for option in taken) + set_up_of(families, self.set_up, self.free)
        worth = sum(option.worth for option in taken) - len(families)
        if total <= self.minutes and worth > self.best.worth:
            self.best = Chosen(dict(picked), worth, total, tuple(sorted(families, key=str)))

    def _one_after_the_other(self) -> None:
        """Take what is worth most by the minute first, then what still goes with it: a set where the branches
        ran out before they found one, or a better one than that."""
        ranked = sorted(
            (
                (number, place)
                for number, places in enumerate(self.alone)
                for place in places
                if self.candidates[number][place].worth > 0
            ),
            key=lambda pair: (-self._by_the_minute(*pair), pair),
        )
        picked: dict[int, int] = {}
        for number, place in ranked:
            if number in picked:
                continue
            taken = [(at, self.candidates[at][of]) for at, of in {**picked, number: place}.items()]
            families = {name for _, option in taken for name in option.families} - self.free
            total = sum(option.minutes for _, option in taken) + set_up_of(families, self.set_up, self.free)
            if total <= self.minutes and in_order(taken, self.set_up, self.minutes, self.free):
                picked[number] = place
                self._offer(dict(picked), families)

    def _by_the_minute(self, number: int, place: int) -> float:
        option = self.candidates[number][place]
        return option.worth / max(1, option.minutes + set_up_of(option.families, self.set_up, self.free))

    def _allowed(
        self,
        number: int,
        minutes: int,
        decided: _Decided,
        kept: Sequence[tuple[int, Option]],
        goes: dict[Hashable, bool],
    ) -> list[int]:
        """Places of a candidate's options that this branch may take; of usual ones those too that are too
        long for it, which the table never takes.

        ``goes`` remembers which limits go with what the branch keeps.
        """
        options = self.candidates[number]
        places: Iterable[int] = self.useful[number]
        if decided.not_early or (decided.banned and any(owner == number for owner, _ in decided.banned)):
            places = range(len(options))  # what a banned option outdid counts again
        alone = self.alone[number]
        earlier = sum(owner < number for owner, _ in kept)  # of equal limits the lower number is first
        found = []
        for place in places:
            option = options[place]
            if decided.closed and decided.closed.intersection(option.families):
                continue
            if (number, place) in decided.banned:
                continue
            if option.end_by is not None and not decided.not_early.isdisjoint(option.families):
                continue
            if not option.usual:
                if option.minutes > minutes or place not in alone:
                    continue
                if kept:
                    key = (option.minutes, *option[2:10], earlier)  # all that an order is looked at by
                    if key not in goes:
                        both = [*kept, (number, option)]
                        goes[key] = in_order(both, self.set_up, self.minutes, self.free)
                    if not goes[key]:
                        continue
            found.append(place)
        return found

    def _ways(
        self,
        number: int,
        minutes: int,
        decided: _Decided,
        kept: Sequence[tuple[int, Option]],
        goes: dict[Hashable, bool],
    ) -> dict[str, list[int]]:
        """The places of a candidate's options that this branch may take, by stage of the table."""
        ways: dict[str, list[int]] = {}
        for place in self._allowed(number, minutes, decided, kept, goes):
            ways.setdefault(self._way((number, place)), []).append(place)
        if minutes < self.minutes:  # what has nothing short enough is not there
            options = self.candidates[number]
            ways = {
                way: places
                for way, places in ways.items()
                if any(options[place].minutes <= minutes for place in places)
            }
        return ways

    def _stages(
        self,
        minutes: int,
        free: frozenset[SetUp],
        decided: _Decided,
        kept: Sequence[tuple[int, Option]],
    ) -> Stages:
        """Everything that this branch may take beside what it keeps, by stage of the table."""
        loud: dict[tuple[SetUp, ...], list[Alternatives]] = {}
        others: dict[tuple[SetUp, ...], list[Alternatives]] = {}
        spoiling: list[Spoiling] = []
        banned = {number for number, _ in decided.banned}
        keeps = tuple(decided.kept.items())
        goes = self._goes.setdefault(keeps, {})
        known = self._ways_beside.setdefault((keeps, minutes, decided.not_early), {})
        for number, options in enumerate(self.candidates):
            if number in decided.kept or not options:
                continue
            usual = self._usual_ones.get(number) if number not in banned else None
            if usual is not None and decided.closed.isdisjoint(usual.families):
                if usual.shortest <= minutes:
                    others.setdefault(_without(self._begins[number], free), []).append(usual.options)
                continue
            if number in banned or decided.closed:
                ways = self._ways(number, minutes, decided, kept, goes)
            else:
                found = known.get(number)
                if found is None:
                    found = known[number] = self._ways(number, minutes, decided, kept, goes)
                ways = found
            begins = _without(self._begins[number], free)
            if "spoils" in ways:
                ends = [options[place].limit(self.minutes) or 0 for place in ways["spoils"]]
                spoiling.append(Spoiling(max(ends), number, self._charged(number, ways["spoils"]).options))
            if "loud" in ways:
                paid = _without(begins, self.usual_families)
                loud.setdefault(paid, []).append(self._charged(number, ways["loud"]))
            if "any time" in ways:
                others.setdefault(begins, []).append(self._charged(number, ways["any time"]))
        if self._rank:
            loud, others = self._in_rank(loud, free), self._in_rank(others, free)
        return Stages(loud, spoiling, others)

    def _in_rank(
        self, by_set_ups: Mapping[tuple[SetUp, ...], list[Alternatives]], free: frozenset[SetUp]
    ) -> dict[tuple[SetUp, ...], list[Alternatives]]:
        """The same, in the order of the families; what needs no set-up where the first of the free is."""
        last = len(self._rank)
        of_free = min((self._rank.get(name, last) for name in free), default=last)

        def place(names: tuple[SetUp, ...]) -> int:
            return self._rank.get(family_of(names[0]), last) if names else of_free

        return {names: by_set_ups[names] for names in sorted(by_set_ups, key=place)}


def _stage_of(option: Option) -> str:
    if option.waits:
        return "any time"
    if option.end_by is not None:
        return "loud"
    return "spoils" if option.start_by is not None else "any time"


def _most_in_table(options: Sequence[Option]) -> int:
    """The most that a candidate can be worth in the table, which may take it in each of its stages."""
    most: dict[str, int] = {}
    for one in options:
        stage = _stage_of(one)
        most[stage] = max(most.get(stage, 0), one.worth)
    return sum(most.values())


def _without(names: tuple[SetUp, ...], paid: frozenset[SetUp]) -> tuple[SetUp, ...]:
    """Set-ups but for those that are paid already."""
    return names if paid.isdisjoint(names) else tuple([one for one in names if one not in paid])


def _first_set_ups(options: Sequence[Option]) -> tuple[SetUp, ...]:
    """Those of the first family that all the options of a candidate begin with, as many as the table takes
    within one another: a set-up is charged in the same place whoever needs it."""
    if not options:
        return ()
    families = options[0].families
    if len(families) == 1 or not isinstance(families[1], More):
        return families[:1]
    first = family_of(families[0])
    of_first = [one for one in families if family_of(one) == first and _in_all(one, options)]
    return tuple(of_first[:DEEPEST])


def _in_all(name: SetUp, options: Sequence[Option]) -> bool:
    return all(name in option.families for option in options)


def _place_in_family(name: SetUp) -> int:
    return name.number if isinstance(name, More) else 0


def _alternatives(number: int, options: Sequence[Option], places: Sequence[int]) -> Alternatives:
    return Alternatives(
        tuple(
            ChargedOption((number, place), options[place].minutes, options[place].worth) for place in places
        )
    )


def _undominated(places: Sequence[int], options: Sequence[Option], *, limited: bool) -> list[int]:
    """Places of the options that no other outdoes.

    An option is outdone by one of at least its worth in no more minutes that uses none but its families and
    has no limit and no wait, or the very same limits with no longer parts. Where a last part is ``limited``,
    what is done before it is no match for what may come after it.
    """
    kept: list[int] = []
    usual: dict[frozenset[SetUp], int] = {}  # the greatest worth so far for each set of families
    special: dict[tuple[object, ...], list[Option]] = {}
    sets: dict[tuple[SetUp, ...], frozenset[SetUp]] = {}
    for place in sorted(places, key=lambda one: (options[one].minutes, -options[one].worth)):
        option = options[place]
        used = sets.setdefault(option.families, frozenset(option.families))
        apart = limited and option.waits > 0
        if not apart and any(worth >= option.worth and fewer <= used for fewer, worth in usual.items()):
            continue
        if option.usual:
            usual[used] = option.worth
        else:
            limits = (
                option.start_by,
                option.end_by,
                option.waits,
                option.waits_at_most,
                option.hold,
                option.in_wait,
            )
            alike = special.setdefault(limits, [])
            if any(
                one.worth >= option.worth
                and one.first <= option.first
                and one.after <= option.after
                and sets[one.families] <= used
                for one in alike
            ):
                continue
            alike.append(option)
        kept.append(place)
    return kept
