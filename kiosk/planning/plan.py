"""One person's plan for a slot: the options chosen, in the order to do them, and the chance that they fit."""

from collections.abc import Callable, Container, Iterable
from functools import cached_property

from kiosk.dataclass import dataclass
from kiosk.planning.choose.exact import Chosen
from kiosk.planning.choose.option import SetUp, set_up_of
from kiosk.planning.times.chance import TRIALS, PredictedPieces, chance_of_fitting
from kiosk.planning.times.durations import Duration
from kiosk.planning.told_order import Told, in_told_order
from kiosk.planning.work.candidate import Stretch
from kiosk.planning.work.found_work import FoundWork
from kiosk.planning.work.options import CHANGE_OVER_MINUTES
from kiosk.planning.work.reaches import STEADY_CHANCE
from kiosk.record.out_on_bench import NOTHING_OUT, MinutesOut
from kiosk.shop.procedure import Family, Procedure, Step

# That the whole fits. What must come to an end is planned with a higher chance by itself (work/reaches.py)
# and done first; what is done last can be left, and loses little by running over.
WANTED_CHANCE = 0.55
# Of several parts that start a limit, as washed ones, those are too many that could not end it.
LIMIT_CHANCE = 0.75


@dataclass(frozen=True)
class Plan:
    """What one person does in the slot."""

    found: FoundWork
    chosen: Chosen
    from_end: bool = False  # the helper takes the last of like parts, the builder the first

    @classmethod
    def alone(cls, found: FoundWork, number: int, place: int, *, from_end: bool = False) -> "Plan":
        """A plan of one option and nothing else."""
        option = found.candidates[number].options[place]
        minutes = found.minutes_alone(option)
        return cls(found, Chosen({number: place}, option.worth, minutes, option.families), from_end)

    @classmethod
    def of_what_stands(cls, found: FoundWork) -> "Plan":
        """All parts that may not be left as they are, to where they may, and nothing else."""
        picked = {}
        for number in in_a_run(found):
            options = found.candidates[number].options
            picked[number] = max(range(len(options)), key=lambda at: (options[at].pieces, -options[at].steps))
        stands = [found.candidates[number].options[place] for number, place in picked.items()]
        families = tuple(dict.fromkeys(name for option in stands for name in option.families))
        minutes = sum(option.minutes for option in stands) + set_up_of(families, found.set_up, found.free)
        return cls(found, Chosen(picked, sum(option.worth for option in stands), minutes, families))

    @property
    def saves(self) -> int:
        """Parts in it that would go to waste before anybody is back."""
        return sum(
            self.found.candidates[number].options[at].saves for number, at in self.chosen.options.items()
        )

    @cached_property
    def told(self) -> Told:
        """What is done, in order, and what becomes of it."""
        picked = [(self.found.candidates[number], place) for number, place in self.chosen.options.items()]
        last_parts = sum(candidate.options[place].after for candidate, place in picked)
        found = [
            candidate.stretch(
                place, from_end=self.from_end, last_parts=last_parts - candidate.options[place].after
            )
            for candidate, place in picked
        ]
        return in_told_order(found, self.set_up_minutes_of, self.found.minutes - self.minutes)

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """What is done, in order."""
        return self.told.stretches

    def set_up_minutes_of(self, families: Iterable[SetUp], out: Iterable[SetUp]) -> int:
        """Of so many set-ups, without putting away, those that are not out."""
        up = frozenset((*self.found.free, *out))
        return set_up_of(families, self.found.set_up, up) - set_up_of(families, self.found.away, up)

    @property
    def minutes(self) -> int:
        """Of work and set-ups, as they are expected: more than there are where what may not be left does not
        fit."""
        options = (self.found.candidates[number].options[at] for number, at in self.chosen.options.items())
        return self.chosen.minutes + sum(option.past_slot for option in options)

    @property
    def set_up_minutes(self) -> int:
        """Of its minutes, those for setting up and putting away."""
        return self.minutes - sum(stretch.minutes for stretch in self.stretches)

    @property
    def idle_minutes(self) -> int:
        """Of waits that nothing else in the plan fills.

        What has a limit or a wait in it is begun first, with what it sets up before its wait; all that comes
        after waits is done at the end, in the order in which the waits end, and set up for meanwhile. Putting
        away fills no wait: it is done when the bench is left. Where something is told after what waited, all
        is done as it is told.
        """
        if self.told.idle_minutes is not None:
            return self.told.idle_minutes
        clock, out = 0, set(self.found.free)
        away = set_up_of(self.chosen.families, self.found.away, self.found.free)
        ends: list[tuple[int, int]] = []  # of each wait, and the minutes of what comes after it
        for stretch in self.stretches:
            if stretch.ready_in:
                ends.append((stretch.ready_in, stretch.last_minutes))
            elif stretch.gap_minutes or stretch.limit is not None:
                clock += set_up_of(stretch.set_ups, self.found.set_up, frozenset(out))
                clock -= set_up_of(stretch.set_ups, self.found.away, frozenset(out))
                clock += stretch.minutes - stretch.last_minutes
                out.update(stretch.set_ups)
                if stretch.gap_minutes:
                    ends.append((clock + stretch.gap_minutes, stretch.last_minutes))
        clock = self.minutes - away - sum(last for _, last in ends)
        idle = 0
        for ready, last in sorted(ends):
            idle += max(0, ready - clock)
            clock = max(clock, ready) + last
        return idle

    def leaves_in_a_run(self, others: Container[str] = ()) -> bool:
        """True where parts may not be left as they are, and some of them neither the plan nor ``others``, who
        have parts of their own, go on with."""
        return any(
            number not in self.chosen.options
            and not all(mark in others for mark in self.found.candidates[number].marks)
            for number in in_a_run(self.found)
        )

    @property
    def wanted_chance(self) -> float:
        """The chance that it has to have: more where what was asked for, and can be left at any moment, comes
        before what has to come to an end, and where something that stands and can't be left comes last: what
        fills its wait is not worth being late. Several parts that start a limit are no more than end it."""
        asked = False
        for stretch in self.stretches:
            if (asked and stretch.has_to_end) or (stretch.in_a_run and stretch.ready_in):
                return STEADY_CHANCE
            asked = asked or (stretch.wanted == "first" and not stretch.has_to_end)
        return LIMIT_CHANCE if any(stretch.starts_limit for stretch in self.stretches) else WANTED_CHANCE

    @property
    def is_made_smaller_by_parts(self) -> bool:
        """True where it wants more than usual: then it loses as little as it can to be as likely as that."""
        return self.wanted_chance > WANTED_CHANCE

    def _dearest(
        self,
        time_of: Callable[[Procedure, Step, float], Duration | None],
        minutes_out: Callable[[MinutesOut], float],
    ) -> dict[Family, Duration]:
        """What setting up, or putting away, takes of what is not out of each family: that of the step which
        wants most of it, as in the minutes of the plan."""
        found: dict[Family, Duration] = {}
        for stretch in self.stretches:
            for procedure, step in stretch.steps:
                family = procedure.family_of(step)
                out = minutes_out(self.found.out.get(family, NOTHING_OUT))
                time = time_of(procedure, step, out)
                if time is None:
                    continue
                if family not in found or time.median_minutes > found[family].median_minutes:
                    found[family] = time
        return found

    def chance(self, minutes: int, trials: int = TRIALS) -> float:
        """The chance that the whole of it fits in the minutes, with what is kept back to leave the bench.

        All that is done has to fit, and so does each wait with what comes before and after it, however quick
        the hands are that fill it. Both are late on the same evenings: the less likely one is given.
        """
        predictor = self.found.predictor
        leaving: list[PredictedPieces] = list(self.found.leaving)
        # What follows the last thing is learnt as a part of closing up.
        fixed = float(CHANGE_OVER_MINUTES * (len(self.stretches) - (1 if self.found.leaving else 0)))
        minutes += self.found.leaving_minutes
        set_ups = self._dearest(predictor.set_up, lambda out: out.set_up)
        put_aways = self._dearest(predictor.put_away, lambda out: out.put_away)
        leaving += [PredictedPieces(one, of_bench=True) for one in put_aways.values()]
        done: list[PredictedPieces] = []
        around: list[tuple[list[PredictedPieces], int]] = []  # what lies around a wait, and its minutes
        stood: list[list[PredictedPieces]] = []  # of those waits that run already
        for stretch in self.stretches:
            fixed += stretch.waiting_minutes
            work: list[PredictedPieces] = []
            for number, (procedure, step) in enumerate(stretch.steps):
                duration = predictor.piece(procedure, step, stretch.kind)
                if stretch.minutes_left:
                    fixed += stretch.minutes - CHANGE_OVER_MINUTES
                elif stretch.done and not number and step.batch == "together":
                    left = 1 - stretch.done / len(stretch.marks)
                    work.append(PredictedPieces(duration, len(stretch.marks), left))
                elif stretch.done and not number:
                    work.append(PredictedPieces(duration, 1, 1 - stretch.done))
                    work.append(PredictedPieces(duration, len(stretch.marks) - 1))
                else:
                    work.append(PredictedPieces(duration, len(stretch.marks)))
                set_up = set_ups.pop(procedure.family_of(step), None)
                if set_up is not None and stretch.gap_minutes and number >= stretch.gap_after:
                    # It is set up while it waits (set_up_ahead.py).
                    done.append(PredictedPieces(set_up, of_bench=True))
                elif set_up is not None:
                    work.append(PredictedPieces(set_up, of_bench=True))
            done += work
            if not stretch.ready_in:
                for before in stood:
                    before += work  # it comes after what waited
            if stretch.gap_minutes:
                before_it = work if self.told.idle_minutes is None else done  # all that is told before
                around.append(([*before_it], stretch.gap_minutes + stretch.waiting_minutes))
                if stretch.ready_in:
                    stood.append(around[-1][0])
        fits = chance_of_fitting([*leaving, *done], fixed, minutes, trials=trials)
        waited = (chance_of_fitting([*leaving, *work], wait, minutes, trials=trials) for work, wait in around)
        return min(fits, *waited) if around else fits


def in_a_run(found: FoundWork) -> list[int]:
    """The candidates whose parts may not be left as they are."""
    return [number for number, one in enumerate(found.candidates) if one.like.in_a_run and one.options]
