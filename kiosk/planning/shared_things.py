"""What several people at the bench want of the same things: parts, tools, tooling, and how many there are."""

from collections.abc import Iterator, Mapping, Sequence

from kiosk.planning.choose.option import Option
from kiosk.planning.work.candidate import Candidate
from kiosk.planning.work.found_work import FoundWork
from kiosk.record.readiness import is_completed


class SharedThings:
    """The things that the options of several people use, under names of their own, and how many there are.

    Like parts of which each is as good as another are counted: two people may take some of them each. Any
    others are held by name. A tool or a piece of tooling is one person's for the whole slot; of what there is
    one for everybody nothing is said.
    """

    def __init__(self, work: Sequence[FoundWork]) -> None:
        """``work`` is what was found for each person."""
        context = work[0].context
        self._shop, self._state = context.shop, context.state
        self._people = len(work)
        self.there_are: dict[str, int] = {}
        self._by_steps: dict[tuple[str, tuple[str, ...], str | None, int], list[dict[str, int]]] = {}
        groups: dict[str, set[tuple[str, ...]]] = {}  # by part: those that it is offered among
        holders: dict[str, int] = {}  # by part: to how many it is offered
        for found in work:
            for candidate in found.candidates:
                group = tuple(sorted(candidate.marks)) if _any_of_them(candidate) else ()
                for mark in candidate.marks:
                    groups.setdefault(mark, set()).add(group)
                    holders[mark] = holders.get(mark, 0) + 1
        self._contested = {mark for mark, count in holders.items() if count > 1}
        self._counted = {mark: next(iter(of)) for mark, of in groups.items() if len(of) == 1 and () not in of}

    def used(self, candidate: Candidate, option: Option, *, from_end: bool = False) -> Mapping[str, int]:
        """What an option uses of all that others may want as well; ``from_end`` as in ``stretch``."""
        return {**self._tools(candidate)[option.steps - 1], **self._parts(candidate, option.pieces, from_end)}

    def _parts(self, candidate: Candidate, pieces: int, from_end: bool) -> dict[str, int]:
        first = candidate.marks[0]
        if first in self._counted and set(candidate.marks) == set(self._counted[first]):
            if first not in self._contested:
                return {}
            name = f"parts like {self._counted[first][0]}"
            self.there_are[name] = len(candidate.marks)
            return {name: pieces}
        marks = candidate.marks[-pieces:] if from_end else candidate.marks[:pieces]
        names = [f"part {mark}" for mark in marks if mark in self._contested]
        self.there_are.update(dict.fromkeys(names, 1))
        return dict.fromkeys(names, 1)

    def _tools(self, candidate: Candidate) -> list[dict[str, int]]:
        """For each place along the chain, the tools and the tooling that it takes to get there."""
        key = (candidate.like.kind, candidate.marks, candidate.like.work, len(candidate.like.chain))
        if key not in self._by_steps:
            used: dict[str, int] = {}
            self._by_steps[key] = by_steps = []
            for number in range(len(candidate.like.chain)):
                for name, there_are, wanted in self._of_step(candidate, number):
                    if there_are < wanted * self._people:
                        self.there_are[name] = max(there_are, wanted)
                        used = {**used, name: max(wanted, used.get(name, 0))}
                by_steps.append(used)
        return self._by_steps[key]

    def _of_step(self, candidate: Candidate, number: int) -> Iterator[tuple[str, int, int]]:
        """Each tool and tooling kind of a step: its name, how many there are and how many it takes."""
        procedure, step = candidate.like.chain[number]
        for name in step.tools:
            if name in self._shop.tools:
                yield f"tool {name}", self._shop.tools[name].have, 1
        for stage in self._shop.kinds[candidate.like.kind].route:
            if stage.procedure == procedure.id:
                for kind, wanted in stage.needs.items():
                    if self._shop.kinds[kind].tooling:
                        ready = [one for one in self._shop.marks_of(kind) if is_completed(self._state, one)]
                        yield f"tooling {kind}", len(ready), wanted


def _any_of_them(candidate: Candidate) -> bool:
    """True where each of the parts is as good as another: none is in hand, waits or spoils."""
    like = candidate.like
    return like.work is None and not like.runs and not any(candidate.spoils_at)
