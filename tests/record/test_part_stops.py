"""What is kept of what stops parts is what a bench that was just opened finds, whatever was recorded."""

from dataclasses import replace

from kiosk.record.context import Context, Kept
from kiosk.record.events import SittingClosed
from kiosk.record.part_stops import PartStops, Together, all_parts
from kiosk.record.position import left_in_a_run, position
from kiosk.record.positions import GroupKey
from kiosk.record.readiness import part_blocks
from kiosk.record.rules import parts, people
from kiosk.record.state import PartState, State
from kiosk.shop.shop import Shop
from tests.benchmarks.mid_build import MidBuild, at_the_bench, middles_of_build
from tests.conftest import local_time
from tests.record.moments import brambling, builder, helper, moment, step, with_steps

BEGUN = local_time(2026, 12, 1, 18)

Found = tuple[GroupKey, tuple[str, ...], bool, tuple[str, ...], bool]


def told(one: Together) -> Found:
    """All that it says."""
    return one.at.key, tuple(one.marks), one.in_hand, tuple(stop.text for stop in one.stops), one.plain


def afresh(context: Context) -> Context:
    """The same moment with nothing kept."""
    return replace(context, kept=Kept())


def differing(context: Context) -> list[Found]:
    """What is kept and not found afresh, or the other way round."""
    kept = {told(one) for one in all_parts(context)}
    return sorted(kept ^ {told(one) for one in all_parts(afresh(context))})


def test_after_each_event_what_is_kept_is_what_is_found_afresh() -> None:
    """Tooling from its beginning, batches, snags, limits, undos and closing up: by whoever has the screen."""
    build = MidBuild(brambling(), BEGUN, 25)
    stopped: set[str] = set()
    looked = 0

    def look() -> None:
        nonlocal looked
        looked += 1
        # Whoever helps looks in between, so that what hangs on the doer is asked of another each time.
        context = build.context if looked % 3 else build.context.seen_by(build.context.people[-1])
        if looked % 4 and looked > 150:  # kept is followed at each event, and held to nothing at every fourth
            stopped.update(stop.kind for one in all_parts(context) for stop in one.stops)
        else:
            assert not differing(context), build.state.seq

    build.heard.append(look)
    build.record(people.open_sitting(build.context, ""))
    for mark in ("FB-NR", "FB-MR", "FB-TP"):
        while build.do(parts.skip, mark, "made before the kiosk came"):
            pass
        build.do(parts.complete, mark)
    build.record([SittingClosed(note="", left=(), next_step="")])
    while looked < 900:
        before = build.state.seq
        build.sitting()
        assert build.state.seq > before
    assert {"snag", "needs", "wait", "look"} <= stopped, stopped


def test_each_part_is_stopped_by_what_stops_it_alone() -> None:
    """Held to the rule that decides at the bench, part by part."""
    build = next(middles_of_build(brambling(), BEGUN, 7, (0.15,)))
    at_the_bench(build, 18)
    for _ in range(12):
        build.act()
        context = build.context
        seen: set[str] = set()
        for one in all_parts(context):
            for mark in one.marks:
                where = position(context.shop, context.state, mark)
                assert (where.procedure, where.step) == (one.procedure, one.step)
                seen.add(mark)
                if not one.in_hand:
                    stops = part_blocks(context, mark, one.procedure, one.step)
                    assert [stop.kind for stop in stops] == [stop.kind for stop in one.stops], mark
                if one.plain:
                    part = context.state.part(mark)
                    assert not part.clocks
                    assert left_in_a_run(context.shop, part) is None
        assert seen == {
            mark
            for mark in context.shop.parts
            if position(context.shop, context.state, mark).step is not None
        }


def test_tooling_that_is_finished_lets_go_of_all_that_wait_for_it_and_an_undo_stops_them_again() -> None:
    shop, build = brambling(), MidBuild(brambling(), BEGUN, 3)
    waiting = "needs"
    context = build.context
    before = _stopped_by(context, waiting)
    assert before
    for mark, part in shop.parts.items():
        if shop.kinds[part.kind].tooling:
            build.state.parts[mark] = PartState(mark, completed_at=BEGUN)
    assert len(_stopped_by(build.context, waiting)) < len(before)
    assert not differing(build.context)
    build.state.parts.clear()
    assert _stopped_by(build.context, waiting) == before


def test_other_files_are_asked_anew() -> None:
    build = next(middles_of_build(brambling(), BEGUN, 5, (0.06,)))
    at_the_bench(build, 18)
    context = build.context
    assert not differing(context)
    for name, kind in context.shop.kinds.items():
        needs_nothing = [stage.model_copy(update={"needs": {}}) for stage in kind.route]
        other = kind.model_copy(update={"route": tuple(needs_nothing)})
        shop: Shop = replace(context.shop, kinds={**context.shop.kinds, name: other})
        assert not differing(replace(context, shop=shop)), name
    assert not differing(context)


def test_nothing_is_kept_of_groups_that_went_on() -> None:
    build = next(middles_of_build(brambling(), BEGUN, 5, (0.06,)))
    kept = build.kept.of(PartStops)
    for _ in range(3):
        build.sitting()
        list(all_parts(build.context))
    assert len(kept._kept) <= 2 * len(build.kept.positions.at_steps())


def _stopped_by(context: Context, kind: str) -> set[str]:
    return {
        mark for one in all_parts(context) for stop in one.stops if stop.kind == kind for mark in one.marks
    }


def test_a_part_that_is_made_from_others_of_another_kind_goes_on_once_those_are_finished() -> None:
    shop = brambling()
    block, ribs = shop.parts["FB-TP"], ("NR-01", "NR-07")
    shop = replace(shop, parts={**shop.parts, block.mark: replace(block, made_from=ribs)})
    state = State()
    context = moment(builder(), shop=shop, state=state)

    def stops() -> list[str]:
        return [stop.text for one in all_parts(context) if block.mark in one.marks for stop in one.stops]

    assert stops() == ["needs NR-01, NR-07 finished"]
    for mark, left in zip(ribs, (["needs NR-07 finished"], []), strict=True):
        state.parts[mark] = PartState(mark, completed_at=context.now)
        state.seq += 1
        assert stops() == left and not differing(context)


def test_whoever_gave_the_second_look_is_stopped_as_soon_as_the_screen_is_theirs() -> None:
    """Nothing is recorded in between that changed the part: only who has the screen."""
    shop, procedure = with_steps(brambling(), "form-block", step(id="saw", hold_point=True))
    saw, odile = procedure.ref(procedure.steps[0]), helper(id="odile", name="Odile")
    state = State(parts={"FB-NR": PartState("FB-NR", looked={saw: "odile"})})
    context = moment(builder(), odile, shop=shop, state=state)

    def stops(at: Context) -> list[str]:
        return [stop.text for one in all_parts(at) if "FB-NR" in one.marks for stop in one.stops]

    gave_it = ["Odile gave FB-NR the second look: another does it"]
    for _ in range(2):
        assert stops(context) == []
        assert stops(context.seen_by(odile)) == gave_it
