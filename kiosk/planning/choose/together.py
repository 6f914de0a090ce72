"""The best for all at the bench at once: a set of things for each, with what they have to share.

Each person's own choice is the exact one of :mod:`kiosk.planning.choose.exact`, in their own minutes and by
their own times. Three things tie them together. There is only so much of some things: parts, tools, tooling.
What one does may take another's minutes too, as the builder's look at what a helper did, or a second pair of
hands on a long part. And the sum of their worths is what counts, not one before the other.

Method: what ties them together is left out at first, so the sum of the single choices is never less than the
best. Where the answer breaks a tie, branch on it: of a thing that is wanted too often somebody wants less; a
candidate that takes another's minutes takes fewer, or is taken and its minutes are gone from the other's.
Between the two a price on the builder's minutes tightens the bound (Lagrange multipliers; Everett,
Generalized Lagrange multiplier method, Operations Research 11, 1963). The branches cover every answer, and
the one with the greatest bound is looked at first, so the result is exact as long as ``exact`` is true; after
``MOST_BRANCHES`` of all single choices the best so far is given, with the bound that nothing can pass. Of
three and more it is the best after a part of them, made better: what one of them does is held, and the others
are chosen anew beside it (large neighbourhood search; Shaw, CP-98, LNCS 1520, 1998).
"""

import heapq
import itertools
from collections.abc import Mapping, Sequence
from dataclasses import field, replace

from kiosk.dataclass import dataclass
from kiosk.planning.choose.exact import Chosen, Looked, choose
from kiosk.planning.choose.option import Option, SetUp, in_order

MOST_BRANCHES = 1600  # of the searches for single sets, taken together
NEAR = 0.998  # of what nothing can pass: of three people's sets worth so much no more is asked
OF_ALL_AT_ONCE = 4  # one in so many of them where there are three people and more, and for each that is held
BRANCHES = 50  # of the search for one person's set
A_MUST = 10**9  # more worth than all else together, for a candidate that a branch takes for certain
BUILDER = 0  # the place among the people whose minutes the looks are taken from


@dataclass(frozen=True)
class Use:
    """What an option takes beside the minutes of the one who does it."""

    things: Mapping[str, int] = field(default_factory=dict)  # how many of what there are only so many of
    minutes: int = 0  # of somebody else
    whose: int = BUILDER  # their place among the people


@dataclass(frozen=True)
class Hands:
    """What one person could do: options by candidate, what each uses, and their own set-ups and minutes."""

    options: Sequence[Sequence[Option]]
    uses: Sequence[Sequence[Use]]
    set_up: Mapping[SetUp, int]
    minutes: int
    free: frozenset[SetUp] = frozenset()


@dataclass(frozen=True)
class Together:
    """A set for each, in the order of the people, and what it is worth in all."""

    sets: tuple[Chosen, ...]
    worth: int
    bound: int  # nothing can be worth more
    nodes: int
    exact: bool

    def taken_from(self, people: Sequence[Hands], person: int) -> int:
        """Minutes of a person that go to what the others do."""
        return _taken_from(people, self.sets, person)


def choose_together(
    people: Sequence[Hands], there_are: Mapping[str, int], *, most_branches: int = MOST_BRANCHES
) -> Together:
    """The sets of greatest worth together.

    ``there_are`` says how many there are of each thing that :class:`Use` names; a person who uses a thing in
    several options uses it once. The first person is the builder. All worths must be 0 or more.
    """
    if len(people) <= 2:
        return _Search(people, there_are, most_branches).run()
    search = _Search(people, there_are, most_branches // OF_ALL_AT_ONCE)
    found = search.run()
    return found if found.exact else _made_better(search, found, most_branches)


def _made_better(search: "_Search", found: Together, most_branches: int) -> Together:
    """The same or better, by holding what one after the other does until nothing comes of it any more."""
    people, tried = search.people, 0
    branches, nodes = search.branches, found.nodes
    for person in itertools.cycle(range(len(people))):
        left = min(most_branches // OF_ALL_AT_ONCE, most_branches - branches)
        if tried == len(people) or left <= 0 or found.worth >= NEAR * found.bound:
            break
        others = _Search(_held(people, person, found.sets[person]), search.there_are, left)
        kept = replace(found.sets[person], options=dict.fromkeys(found.sets[person].options, 0))
        others.best = (*found.sets[:person], kept, *found.sets[person + 1 :])
        others.worth = found.worth
        better = others.run()
        branches, nodes = branches + others.branches, nodes + better.nodes
        tried = 0 if better.worth > found.worth else tried + 1
        if better.worth > found.worth:
            places = found.sets[person].options
            own = {number: places[number] for number in better.sets[person].options}
            sets = list(better.sets)
            sets[person] = replace(sets[person], options=own)
            found = replace(found, sets=tuple(sets), worth=better.worth)
    exact = search.single_exact and found.worth >= found.bound
    return replace(found, bound=max(found.bound, found.worth), nodes=nodes, exact=exact)


def _held(people: Sequence[Hands], person: int, chosen: Chosen) -> list[Hands]:
    """The same people, of whom one can do nothing but what was chosen."""
    hands = people[person]
    places = [chosen.options.get(number) for number in range(len(hands.options))]
    held = replace(
        hands,
        options=[() if at is None else (of[at],) for of, at in zip(hands.options, places, strict=True)],
        uses=[() if at is None else (of[at],) for of, at in zip(hands.uses, places, strict=True)],
    )
    return [*people[:person], held, *people[person + 1 :]]


@dataclass(frozen=True)
class _Decided:
    """What a branch has decided of one person."""

    at_most: frozenset[tuple[str, int]] = frozenset()  # of a thing
    lighter: frozenset[tuple[int, int]] = frozenset()  # a candidate takes at most so many of others' minutes
    must: frozenset[tuple[int, int]] = frozenset()  # it is taken, and takes at least so many


_Node = tuple[_Decided, ...]


class _Masks:
    """Which of a person's options a branch allows, a bit for each."""

    def __init__(self, hands: Hands) -> None:
        self.uses = hands.uses
        self._options = hands.options
        self.bits: list[list[int]] = []
        bit = 1
        for uses in hands.uses:
            self.bits.append([bit << place for place in range(len(uses))])
            bit <<= len(uses)
        self.all = bit - 1
        self._allowed: dict[_Decided, int] = {}
        self._barred: dict[tuple[str, int | str, int], int] = {}
        self._kept: dict[tuple[int, int], tuple[list[int], Sequence[Option]]] = {}

    def allowed(self, decided: _Decided) -> int:
        """Those that nothing of what is decided bars."""
        found = self._allowed.get(decided)
        if found is None:
            found = self._allowed[decided] = self.all & ~self._barred_by(decided)
        return found

    def _barred_by(self, decided: _Decided) -> int:
        barred = 0
        for name, most in decided.at_most:
            barred |= self._over("thing", name, most)
        for number, most in decided.lighter:
            barred |= self._over("lighter", number, most)
        for number, least in decided.must:
            barred |= self._over("must", number, least)
        return barred

    def kept(self, allowed: int) -> list[tuple[list[int], Sequence[Option]]]:
        """For each candidate the places of the options that are allowed, and these: the same objects for the
        same ones."""
        found = []
        for number, options in enumerate(self._options):
            key = (number, allowed & ((1 << len(options)) - 1))
            allowed >>= len(options)
            kept = self._kept.get(key)
            if kept is None:
                places = [place for place in range(len(options)) if key[1] >> place & 1]
                kept = self._kept[key] = (places, [options[place] for place in places])
            found.append(kept)
        return found

    def of(self, chosen: Chosen) -> int:
        """Those that were chosen."""
        return sum(self.bits[number][place] for number, place in chosen.options.items())

    def _over(self, how: str, name: int | str, limit: int) -> int:
        key = (how, name, limit)
        if key not in self._barred:
            self._barred[key] = sum(
                bit
                for number, uses in enumerate(self.uses)
                if how == "thing" or number == name
                for bit, use in zip(self.bits[number], uses, strict=True)
                if _breaks(use, how, name, limit)
            )
        return self._barred[key]


def _breaks(use: Use, how: str, name: int | str, limit: int) -> bool:
    if how == "thing":
        return use.things.get(str(name), 0) > limit
    return use.minutes > limit if how == "lighter" else use.minutes < limit


@dataclass(frozen=True)
class _Known:
    """The best of some of a person's options in so many minutes."""

    allowed: int
    minutes: int
    chosen: Chosen | None
    taken: int
    waits: bool

    def answers(self, allowed: int, minutes: int) -> bool:
        """True when the best of others of the options, in other minutes, is the same.

        It is where only options that were not taken, and minutes that were not used, are gone.
        """
        if allowed & ~self.allowed or minutes > self.minutes:
            return False
        if self.chosen is None:
            return True
        if minutes < self.minutes and (self.waits or self.chosen.minutes > minutes):
            return False
        return not self.taken & ~allowed


@dataclass(frozen=True)
class _Seen:
    """What is known of a branch: its bound, and the branches that it falls into."""

    bound: int
    parts: tuple[_Node, ...]


class _Search:
    def __init__(self, people: Sequence[Hands], there_are: Mapping[str, int], most_branches: int) -> None:
        self.people = people
        self.there_are = there_are
        self.branches = 0  # of all single choices so far
        self.branches_left = most_branches
        self.few = most_branches // 16
        self.nodes = 0
        self.best: tuple[Chosen, ...] = tuple(Chosen({}, 0, 0, ()) for _ in people)
        self.worth = 0
        self.single_exact = True
        self.dropped = 0  # the greatest bound of a branch that could not be taken apart
        self.masks = [_Masks(hands) for hands in people]
        self._pushed: set[tuple[tuple[int, frozenset[tuple[int, int]]], ...]] = set()
        self._known: dict[tuple[int, frozenset[int], int], list[_Known]] = {}
        self._answers: dict[tuple[int, frozenset[int], int, int, int], Chosen | None] = {}
        self._looked = [Looked() for _ in people]

    def run(self) -> Together:
        root: _Node = tuple(_Decided() for _ in self.people)
        self._one_after_the_other()
        heap: list[tuple[int, int, tuple[_Node, ...]]] = []
        self._push(heap, root)
        while heap and self.branches_left > 0 and -heap[0][0] > self.worth:
            for node in heapq.heappop(heap)[2]:
                self._push(heap, node)  # all of them: the bound is that of what is on the heap
        bound = max(self.worth, self.dropped, -heap[0][0] if heap else 0)
        exact = bound == self.worth and self.single_exact
        return Together(self.best, self.worth, bound, self.nodes, exact)

    def _push(self, heap: list[tuple[int, int, tuple[_Node, ...]]], node: _Node) -> None:
        # Branches overlap, and what was decided in another order leaves the same.
        leaves = tuple(
            (masks.allowed(decided), decided.must) for masks, decided in zip(self.masks, node, strict=True)
        )
        if leaves in self._pushed:
            return
        self._pushed.add(leaves)
        self.nodes += 1
        seen = self._look_at(node)
        if seen is not None and seen.bound > self.worth:
            heapq.heappush(heap, (-seen.bound, self.nodes, seen.parts))

    # One branch

    def _look_at(self, node: _Node) -> _Seen | None:
        """The bound of a branch and how it falls apart; None where it cannot be better than the best."""
        left = [one.minutes for one in self.people]
        for person, decided in enumerate(node):
            for number, least in decided.must:
                left[self._whose(person, number)] -= least
        if min(left) < 0:
            return None
        helpers = [self._set(one, node[one], left[one]) for one in range(1, len(node))]
        builder = self._set(BUILDER, node[BUILDER], left[BUILDER])
        if builder is None or any(one is None for one in helpers):
            return None
        theirs = [one for one in helpers if one is not None]
        bound = builder.bound + sum(one.bound for one in theirs)
        if bound <= self.worth:
            return None
        gone = self.people[BUILDER].minutes - left[BUILDER]
        most_looks = self._looks(theirs) - gone
        whole = (builder, *theirs)
        if most_looks > 0:
            return self._with_looks(node, left, whole, most_looks)
        self._offer(whole)
        return self._seen(node, bound, [whole])

    def _with_looks(
        self, node: _Node, left: Sequence[int], whole: Sequence[Chosen], most_looks: int
    ) -> _Seen | None:
        """What is known of a branch in which looks are taken that are not counted yet, at most so many.

        With more of them nothing can be better than with those of the helpers' best sets. With fewer, the
        helpers' worth is at most what it is with a price on each, the price given back for so many.
        """
        minutes = left[BUILDER]
        gone = self.people[BUILDER].minutes - minutes
        bounds = self._bounds(node[BUILDER], whole[BUILDER], minutes)
        cheapest = max(0, minutes - most_looks)
        price = -(-(bounds[minutes] - bounds[cheapest]) // max(1, minutes - cheapest))
        paying = [self._set(one, node[one], left[one], price) for one in range(1, len(node))]
        priced = [one for one in paying if one is not None]
        looks = max(0, self._looks(priced) - gone)
        most = sum(one.bound for one in whole[1:])
        most_priced = sum(one.bound for one in priced) + price * gone
        theirs = [min(most, most_priced + price * of) for of in range(most_looks + 1)]
        beside = self._set(BUILDER, node[BUILDER], minutes - looks)
        known = {0: whole[BUILDER].bound, looks: 0 if beside is None else beside.bound}
        tried: list[tuple[Chosen, ...]] = []
        if beside is not None:
            tried.append((beside, *(self._unpriced(number, one) for number, one in enumerate(priced, 1))))
            self._offer(tried[0])
        while True:
            bound, where = _greatest(known, bounds, minutes, theirs)
            if where in known or bound <= self.worth or self.branches_left <= 0:
                break
            found = self._set(BUILDER, node[BUILDER], minutes - where)
            known[where] = 0 if found is None else found.bound
        return self._seen(node, bound, [*tried, tuple(whole)])

    def _bounds(self, decided: _Decided, best: Chosen, minutes: int) -> list[int]:
        """What no set of the builder's in so many minutes or fewer can pass, by minutes."""
        certain = A_MUST * len(decided.must)
        return [min(best.bound, of - certain) for of in best.bounds[: minutes + 1]]

    def _seen(self, node: _Node, bound: int, tried: Sequence[tuple[Chosen, ...]]) -> _Seen | None:
        """The bound with the branches, by the first of the sets that breaks a tie."""
        if bound <= self.worth:
            return None
        parts: tuple[_Node, ...] = ()
        for sets in tried:
            parts = parts or self._apart(node, sets)
        if not parts:  # only where a single set is not exact
            self.dropped = max(self.dropped, bound)
        return _Seen(bound, parts) if parts else None

    def _apart(self, node: _Node, sets: Sequence[Chosen]) -> tuple[_Node, ...]:
        """The branches that a branch falls into, by the first tie that the sets break; none if none is."""
        found = self._wanted_too_often(sets)
        if found is not None:
            return self._fewer(node, *found)
        heavy = [
            (use.minutes, person, number)
            for person, one in enumerate(sets)
            for number, place in one.options.items()
            if (use := self.people[person].uses[number][place]).minutes
            and (number, use.minutes) not in node[person].must
        ]
        if not heavy:
            return ()
        minutes, person, number = max(heavy)
        decided = node[person]
        lighter = replace(decided, lighter=decided.lighter | {(number, minutes - 1)})
        must = {one for one in decided.must if one[0] != number} | {(number, minutes)}
        taken = replace(decided, must=frozenset(must))
        return _with(node, person, taken), _with(node, person, lighter)

    def _wanted_too_often(self, sets: Sequence[Chosen]) -> tuple[str, list[int], int] | None:
        """A thing of which the sets use more than there are: how many each does, and how many too many.

        Of several the one that costs most: till then the bound counts for two people what one of them can
        do, such as parts that may not be left.
        """
        things = [_things(hands, one) for hands, one in zip(self.people, sets, strict=True)]
        found: tuple[str, list[int], int] | None = None
        most = -1
        for name in dict.fromkeys(name for of in things for name in of):
            used = [of.get(name, 0) for of in things]
            too_many = sum(used) - self.there_are[name]
            if too_many > 0 and (costs := self._costs(sets, name, used)) > most:
                found, most = (name, used, too_many), costs
        return found

    def _costs(self, sets: Sequence[Chosen], name: str, used: Sequence[int]) -> int:
        """The least that what one of those does with a thing who want it is worth."""
        return min(
            sum(
                hands.options[number][place].worth
                for number, place in one.options.items()
                if name in hands.uses[number][place].things
            )
            for hands, one, of in zip(self.people, sets, used, strict=True)
            if of
        )

    def _fewer(self, node: _Node, name: str, used: Sequence[int], too_many: int) -> tuple[_Node, ...]:
        """Somebody uses less of it: with the most of each one more, together they would be too many."""
        cut = [1 if of else 0 for of in used]
        spare = too_many - 1
        while spare > 0:  # what is too many is spread, so that the branches are alike
            person = max(range(len(used)), key=lambda one: used[one] - cut[one])
            if used[person] - cut[person] <= 0:
                break
            cut[person] += 1
            spare -= 1
        return tuple(
            _with(node, person, replace(decided, at_most=decided.at_most | {(name, of - less)}))
            for person, (decided, of, less) in enumerate(zip(node, used, cut, strict=True))
            if of
        )

    # What is good enough to keep

    def _offer(self, sets: tuple[Chosen, ...]) -> None:
        """Keep the sets if they break no tie and are better."""
        worth = sum(one.worth for one in sets)
        if worth <= self.worth:
            return
        for person, one in enumerate(sets):
            hands = self.people[person]
            left = hands.minutes - _taken_from(self.people, sets, person)
            options = [(number, hands.options[number][place]) for number, place in one.options.items()]
            if one.minutes > left or not in_order(options, hands.set_up, left, hands.free):
                return
        if self._wanted_too_often(sets) is None:
            self.best, self.worth = sets, worth

    def _one_after_the_other(self) -> None:
        """Something good to begin with: each the best of what those before left, builder first and last."""
        everyone = range(len(self.people))
        for order in (everyone, (*everyone[1:], BUILDER)):
            sets: dict[int, Chosen] = {}
            for person in order:
                minutes = self.people[person].minutes - self._charged(sets, person)
                found = self._set(person, self._beside(sets), minutes)
                sets[person] = found or Chosen({}, 0, 0, ())
            looks = self._charged(sets, BUILDER)
            without = {person: one for person, one in sets.items() if person != BUILDER}
            again = self._set(BUILDER, self._beside(without), self.people[BUILDER].minutes - looks)
            if again is not None:
                self._offer(tuple(again if one == BUILDER else sets[one] for one in everyone))

    def _beside(self, sets: Mapping[int, Chosen]) -> _Decided:
        """What is left of everything that the sets use."""
        used: dict[str, int] = {}
        for person, one in sets.items():
            for name, of in _things(self.people[person], one).items():
                used[name] = used.get(name, 0) + of
        return _Decided(frozenset((name, self.there_are[name] - of) for name, of in used.items()))

    def _charged(self, sets: Mapping[int, Chosen], person: int) -> int:
        """Minutes that the sets so far take from a person."""
        return sum(_minutes_for(self.people[one], of, person) for one, of in sets.items())

    # One person's set

    def _set(self, person: int, decided: _Decided, minutes: int, price: int = 0) -> Chosen | None:
        """One person's best set under what is decided, each of another's minutes paid for with ``price``."""
        if minutes < 0:
            return None
        allowed = self.masks[person].allowed(decided)
        must = frozenset(number for number, _ in decided.must)
        key = (person, must, price, allowed, minutes)
        if key not in self._answers:
            self._answers[key] = self._answer(*key)
        return self._answers[key]

    def _answer(
        self, person: int, must: frozenset[int], price: int, allowed: int, minutes: int
    ) -> Chosen | None:
        known = self._known.setdefault((person, must, price), [])
        for earlier in known:
            if earlier.answers(allowed, minutes):
                return earlier.chosen
        chosen = self._best_set(person, allowed, must, minutes, price)
        taken = self.masks[person].of(chosen) if chosen is not None else 0
        waits = chosen is not None and any(
            self.people[person].options[number][place].waits for number, place in chosen.options.items()
        )
        known.append(_Known(allowed, minutes, chosen, taken, waits))
        return chosen

    def _best_set(
        self, person: int, allowed: int, must: frozenset[int], minutes: int, price: int
    ) -> Chosen | None:
        hands = self.people[person]
        places: list[list[int]] = []
        left: list[Sequence[Option]] = []
        for number, (kept, kept_options) in enumerate(self.masks[person].kept(allowed)):
            more = A_MUST if number in must else 0
            if more or price:
                options, uses = hands.options[number], hands.uses[number]
                kept = [at for at in kept if more or options[at].worth >= price * uses[at].minutes]
                kept_options = [
                    options[at]._replace(worth=options[at].worth + more - price * uses[at].minutes)
                    if more or uses[at].minutes
                    else options[at]
                    for at in kept
                ]
            places.append(kept)
            left.append(kept_options)
        most_branches = max(2, min(BRANCHES, self.branches_left))
        # With a price on it everything is worth something else, and seldom twice the same.
        looked = None if price else self._looked[person]
        found = choose(left, hands.set_up, minutes, hands.free, most_branches=most_branches, looked=looked)
        self.branches += found.branches
        self.branches_left -= found.branches
        if not found.exact and not price:
            self.single_exact = False
            self.branches_left = min(self.branches_left, self.few)  # the whole will not be exact either
        if not must <= found.options.keys():
            return None
        certain = A_MUST * len(must)
        chosen = {number: places[number][place] for number, place in found.options.items()}
        return replace(found, options=chosen, worth=found.worth - certain, bound=found.bound - certain)

    def _unpriced(self, person: int, priced: Chosen) -> Chosen:
        """The same set with the worth that it has without a price."""
        options = self.people[person].options
        worth = sum(options[number][place].worth for number, place in priced.options.items())
        return replace(priced, worth=worth - len(priced.families))

    def _looks(self, theirs: Sequence[Chosen]) -> int:
        """Minutes of the builder's that the helpers' sets take."""
        return sum(_minutes_for(self.people[one], of, BUILDER) for one, of in enumerate(theirs, 1))

    def _whose(self, person: int, number: int) -> int:
        return next(use.whose for use in self.people[person].uses[number] if use.minutes)


def _greatest(
    known: Mapping[int, int], bounds: Sequence[int], minutes: int, theirs: Sequence[int]
) -> tuple[int, int]:
    """The greatest that builder and helpers can be worth, and with how many minutes of looks.

    ``known`` is the builder's worth with some minutes of looks; with more of them it is never greater.
    """
    best = (0, 0)
    least = known[0]
    for looks, of_helpers in enumerate(theirs):
        if looks > minutes:
            break
        least = min(least, known.get(looks, least))
        here = known[looks] if looks in known else min(least, bounds[minutes - looks])
        best = max(best, (here + of_helpers, looks))
    return best


def _with(node: _Node, person: int, decided: _Decided) -> _Node:
    return (*node[:person], decided, *node[person + 1 :])


def _things(hands: Hands, chosen: Chosen) -> dict[str, int]:
    """What a set uses, and how many: one person uses a thing again and again, but not twice at once."""
    found: dict[str, int] = {}
    for number, place in chosen.options.items():
        for name, of in hands.uses[number][place].things.items():
            found[name] = max(of, found.get(name, 0))
    return found


def _minutes_for(hands: Hands, chosen: Chosen, person: int) -> int:
    uses = (hands.uses[number][place] for number, place in chosen.options.items())
    return sum(use.minutes for use in uses if use.whose == person)


def _taken_from(people: Sequence[Hands], sets: Sequence[Chosen], person: int) -> int:
    """Minutes of a person that go to what the others do."""
    return sum(_minutes_for(of, one, person) for of, one in zip(people, sets, strict=True))
