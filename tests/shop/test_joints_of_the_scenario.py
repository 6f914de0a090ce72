"""The joints of the example: which part is in which, and whether each row of rivets may be driven.

The limits are worked here from the published rules and not by the calculators: edge distance two diameters
and pitch three (FAA AC 43.13-1B paragraph 4-57), pitch ten at most (common practice, no source), length grip
and one and a half diameters, rounded up to a sixteenth (US Navy aviation structural mechanic manual), rows
two and a half diameters apart (the same), an oversize rivet 1/32 larger (MIL-R-47196A, by quotation).
"""

import math
from collections import Counter

import pytest

from kiosk.drawing.marks import Drawing, Line, Words
from kiosk.drawing.rib_drawing import draw_rib
from kiosk.numbers.rivets import rivet_name
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.shop.parts import Hand
from kiosk.shop.procedure import Check
from kiosk.shop.shop import Shop

JOINTS = (
    "nose-joint",
    "clip-joint",
    "main-front-joint",
    "main-rear-joint",
    "trailing-joint",
    "tail-front-joint",
    "tail-rear-joint",
)
PRACTICE_RIVETS = 2  # before each row, as its step says


@pytest.fixture(scope="module")
def shop() -> Shop:
    return load_shop(data_folder("scenarios") / "brambling")


def figure(shop: Shop, kind: str, name: str, unit: str = "in") -> float:
    return shop.figures.number(shop.kinds[kind], name, unit)


def joined(shop: Shop, kind: str) -> list[str]:
    """The marks that the joints of a kind are made from, each as often as it is in one."""
    return [mark for joint in shop.marks_of(kind) for mark in shop.parts[joint].made_from]


def test_the_joints_are_those_of_the_shop(shop: Shop) -> None:
    served = [kind.id for kind in shop.kinds.values() if "rib-to-spar" in kind.procedures]
    assert tuple(served) == JOINTS
    assert all(shop.marks_of(kind) for kind in JOINTS)


@pytest.mark.parametrize(
    ("of", "joints"),
    [
        ("nose-rib", ["nose-joint"]),
        ("trailing-rib", ["trailing-joint"]),
        ("tailplane-rib", ["tail-front-joint"]),
        ("tailplane-rib", ["tail-rear-joint"]),
        ("rib-clip", ["clip-joint"]),
        ("clip-joint", ["main-front-joint", "main-rear-joint"]),
    ],
)
def test_every_rib_and_clip_is_joined_once_at_an_end(shop: Shop, of: str, joints: list[str]) -> None:
    counted = Counter(mark for kind in joints for mark in joined(shop, kind) if shop.parts[mark].kind == of)
    assert counted == Counter(shop.marks_of(of)), "each mark of the kind once, and none left over"


def test_every_main_rib_has_a_clip_at_each_end_and_each_goes_to_its_own_spar(shop: Shop) -> None:
    clipped = Counter(mark for mark in joined(shop, "clip-joint") if shop.parts[mark].kind == "main-rib")
    assert clipped == Counter(2 * shop.marks_of("main-rib"))
    for kind, spar in (("main-front-joint", "front-spar"), ("main-rear-joint", "rear-spar")):
        ribs = [
            rib
            for clip in joined(shop, kind)
            for rib in shop.parts[clip].made_from
            if shop.parts[rib].kind == "main-rib"
        ]
        assert sorted(ribs) == sorted(shop.marks_of("main-rib")), kind
        spars = [mark for mark in joined(shop, kind) if shop.parts[mark].kind == spar]
        assert len(spars) == len(ribs)


@pytest.mark.parametrize("kind", JOINTS)
def test_what_is_joined_is_of_one_hand(shop: Shop, kind: str) -> None:
    for joint in shop.marks_of(kind):
        hands = {shop.parts[mark].hand for mark in (joint, *shop.parts[joint].made_from)} - {"none"}
        assert len(hands) <= 1, joint


@pytest.mark.parametrize("kind", [*JOINTS, "practice-panel"])
def test_every_row_keeps_its_pitch_its_ends_and_its_edge(shop: Shop, kind: str) -> None:
    diameter = figure(shop, kind, "rivet_diameter")
    count = figure(shop, kind, "spar_rivets", "count")
    length, end = figure(shop, kind, "joint_length"), figure(shop, kind, "rivet_end")
    pitch = (length - 2 * end) / (count - 1)
    assert 3 * diameter <= pitch <= 10 * diameter, f"pitch {pitch:.3f}"
    assert end == pytest.approx(2 * (diameter + 1 / 32)), "the next larger rivet fits at the ends"
    assert 2 * diameter <= figure(shop, kind, "rivet_edge") <= 4 * diameter


@pytest.mark.parametrize(
    ("joint", "rib", "end"),
    [
        ("nose-joint", "nose-rib", "rear"),
        ("trailing-joint", "trailing-rib", "front"),
        ("tail-front-joint", "tailplane-rib", "front"),
        ("tail-rear-joint", "tailplane-rib", "rear"),
    ],
)
def test_a_row_is_the_one_that_the_rib_is_laid_out_with(shop: Shop, joint: str, rib: str, end: str) -> None:
    (flange,) = [one for one in shop.figures.rib(shop.kinds[rib]).ends if one.end == end]
    marks = [rivet.at_in for rivet in flange.rivets]
    assert len(marks) == figure(shop, joint, "spar_rivets", "count")
    assert marks[0] == pytest.approx(figure(shop, joint, "rivet_end"))
    assert flange.length_in - marks[-1] == pytest.approx(figure(shop, joint, "rivet_end"))
    assert flange.length_in == pytest.approx(figure(shop, joint, "joint_length"))


def test_one_length_of_rivet_does_for_every_row_and_there_are_enough(shop: Shop) -> None:
    item = shop.consumables["rivets-ad4"]
    rivet = rivet_name(item.name.removesuffix(" rivets"))
    wanted = 0.0
    for kind in (*JOINTS, "practice-panel"):
        grip, diameter = figure(shop, kind, "spar_grip"), figure(shop, kind, "rivet_diameter")
        assert diameter == rivet.diameter_in
        assert math.ceil((grip + 1.5 * diameter) * 16) / 16 == rivet.length_in, kind
        wanted += len(shop.marks_of(kind)) * (figure(shop, kind, "spar_rivets", "count") + PRACTICE_RIVETS)
    assert wanted <= item.left, "or the stock says what to order"
    assert item.order_below > 0


def test_main_ribs_stand_clear_of_the_spars_flanges_and_a_clip_reaches_them(shop: Shop) -> None:
    chord = figure(shop, "main-rib", "chord")
    clear = 1 / 16
    front_back, rear_back = (
        figure(shop, kind, name, "count") * chord
        for kind, name in (("nose-rib", "rear_station"), ("trailing-rib", "front_station"))
    )
    front = figure(shop, "main-rib", "front_station", "count") * chord
    rear = figure(shop, "main-rib", "rear_station", "count") * chord
    for spar, gap in (("front-spar", front - front_back), ("rear-spar", rear_back - rear)):
        assert gap == pytest.approx(figure(shop, spar, "flange_width") + clear)
        overlap = figure(shop, "rib-clip", "leg") - (gap - figure(shop, spar, "thickness"))
        edge = figure(shop, "rib-clip", "rivet_edge")
        diameter = figure(shop, "rib-clip", "rivet_diameter")
        assert overlap - edge >= 2 * (diameter + 1 / 32), "edge distance in the rib's web, for one size up"
        web = figure(shop, spar, "web_height") - 2 * figure(shop, spar, "thickness")
        inside = web - 2 * figure(shop, spar, "bend_radius")
        assert figure(shop, "rib-clip", "blank_length") <= inside, "the clip lies flat between the bends"


def _arrow(drawing: Drawing) -> tuple[float, float, float]:
    """Forward on the page, by the word FORWARD and the arrow drawn under it."""
    word = next(mark for mark in drawing.marks if isinstance(mark, Words) and mark.text == "FORWARD")
    (tail, _), (tip, _) = next(
        mark.points
        for mark in drawing.marks
        if isinstance(mark, Line) and mark.layer == "NOTES" and abs(mark.points[0][1] - word.at[1]) < 0.1
        if len(mark.points) == 2 and mark.points[0][1] == mark.points[1][1]
    )
    return (math.copysign(1.0, tip - tail), 0.0, 0.0)


@pytest.mark.parametrize(("hand", "spar", "outboard"), [("left", "FS-01", 1), ("right", "FS-02", -1)])
def test_a_nose_ribs_flange_turns_outboard_on_the_spar_of_its_wing(
    shop: Shop, hand: Hand, spar: str, outboard: int
) -> None:
    """Worked from the printed page: x right, y up, z toward the eye; the aeroplane's left is up x forward.

    Then the two rows in the spar: the nose rib's on the outboard side of the ribs' line, the clip's inboard.
    """
    forward = _arrow(draw_rib(shop.figures.rib(shop.kinds["nose-rib"]), "rib", hand))
    left_z = -forward[0]  # (0, 1, 0) x (f, 0, 0) = (0, 0, -f)
    flange_to_left = left_z * -1.0  # the flanges go away from the eye
    assert flange_to_left == outboard, "on the left wing the left is outboard"
    joints = [one for one in shop.marks_of("nose-joint") if spar in shop.parts[one].made_from]
    assert {shop.parts[shop.parts[one].made_from[0]].hand for one in joints} == {hand}
    nose = figure(shop, "nose-rib", "flange_width") - figure(shop, "nose-rib", "rear_rivet_line")
    clip = figure(shop, "rib-clip", "second_leg") - figure(shop, "rib-clip", "rivet_edge")
    nose_at, clip_at = flange_to_left * nose, -outboard * clip  # the clip's short leg turns inboard
    rows = nose_at - clip_at
    assert abs(rows) == pytest.approx(5 / 16 + 7 / 16)
    assert abs(rows) >= 2.5 * figure(shop, "rib-clip", "rivet_diameter")


def test_rows_back_to_back_on_a_spar_share_no_hole(shop: Shop) -> None:
    """A nose rib's flange turns outboard from the rib's line, the clip behind it inboard."""
    diameter = figure(shop, "rib-clip", "rivet_diameter")
    heel = figure(shop, "rib-clip", "bend_radius") + figure(shop, "rib-clip", "thickness")
    from_line = figure(shop, "rib-clip", "second_leg") - figure(shop, "rib-clip", "rivet_edge")
    assert from_line - heel >= diameter, "a universal head, two diameters wide, clears the clip's bend"
    nose = figure(shop, "nose-rib", "flange_width") - figure(shop, "nose-rib", "rear_rivet_line")
    assert nose + from_line >= 2.5 * diameter


def test_drilled_deburred_primed_and_proved_before_anything_is_driven(shop: Shop) -> None:
    """AC 43.13-1B p. 4-25: clean holes, burrs off. Then set, bar, scrap, row, every head, a look."""
    steps = [step.id for step in shop.procedures["rib-to-spar"].steps]
    order = [
        *(
            "lay-out-row",
            "draw-station",
            "clamp-up",
            "drill-pilot",
            "drill-size",
            "take-apart",
            "deburr-holes",
        ),
        # Stirred where the primer is ready to use, else mixed.
        *("stir-little", "mix-little", "touch-bare", "pin-again", "fit-set", "bar-and-word"),
        *("practice-rivet", "rivet-row", "gauge-heads", "sign-row"),
    ]
    assert steps == order
    looked = {step.id for step in shop.procedures["rib-to-spar"].steps if step.hold_point is not None}
    assert looked == {"drill-size", "sign-row"}
    for name in ("rib-to-spar", "practice-panel", "replace-rivet"):
        for step in shop.procedures[name].steps:
            if {"rivet-gun", "rivets-ad4"} <= {*step.tools, *step.consumables}:
                assert {"RIVET_GUN", "BUCK", "EARS_RIVET", "EYES"} <= set(step.hazards), step.id
                assert step.conditions.loud, step.id


@pytest.mark.parametrize(
    ("name", "first"),
    [("practice-panel", "drive-panel"), ("replace-rivet", "drive-new"), ("rib-to-spar", "practice-rivet")],
)
def test_the_gun_is_set_up_and_the_word_agreed_before_it_is_first_fired(
    shop: Shop, name: str, first: str
) -> None:
    """29 CFR 1926.302(b): the retainer first. The step before is the last that may be asked for it."""
    steps = shop.procedures[name].steps
    fired = [one.id for one in steps if {"rivet-gun", "rivets-ad4"} <= {*one.tools, *one.consumables}]
    ids = [one.id for one in steps]
    assert fired[0] == first
    assert ids[ids.index(first) - 2 : ids.index(first)] == ["fit-set", "bar-and-word"]
    asked = {check.id for one in ids[: ids.index(first)] for check in _checks(shop, name, one)}
    assert {"spring", "cup", "face", "age", "covered", "fire"} <= asked
    # Whoever comes back to it another evening may have another pair of hands at the bar.
    assert steps[ids.index(first) - 1].stop == "go straight on"


def _checks(shop: Shop, procedure: str, step: str) -> tuple[Check, ...]:
    found = shop.procedures[procedure].step(step)
    assert found is not None
    return found.checks


def test_the_panels_offcuts_are_pinned_again_before_they_are_riveted(shop: Shop) -> None:
    steps = [step.id for step in shop.procedures["practice-panel"].steps]
    assert steps.index("deburr-panel") < steps.index("pin-panel") < steps.index("drive-panel")


def test_the_line_is_drawn_before_a_part_is_clamped_on_it(shop: Shop) -> None:
    steps = [step.id for step in shop.procedures["rib-to-spar"].steps]
    assert steps.index("draw-station") == steps.index("clamp-up") - 1


def test_holes_have_their_drills_and_pins_by_size(shop: Shop) -> None:
    """A #30 drill for 1/8: naval manual. The pins are MIL-R-47196A Table I, as quoted."""
    kind = shop.kinds["nose-joint"]
    shown = {}
    for name in ("drill-pilot", "drill-size"):
        found = shop.procedures["rib-to-spar"].step(name)
        assert found is not None
        shown[name] = [shop.figures.step_number(kind, one).shown for one in found.numbers]
    assert shown["drill-pilot"] == ["#40 (0.0980 in)"]
    assert [one.split()[0] for one in shown["drill-size"]] == ["#30", "0.125", "0.135"]
    assert "go .125 and no-go .135" in shop.tools["hole-pins"].name
    for name in ("practice-panel", "replace-rivet", "rib-to-spar"):
        for step in shop.procedures[name].steps:
            if any("no-go pin" in check.ask for check in step.checks):
                assert "hole-pins" in step.tools, step.id


def test_a_rivet_is_drilled_out_as_the_circular_says(shop: Shop) -> None:
    """AC 43.13-1B p. 4-12: support, centre, drill to the head's base, snap it off, drive the shank out."""
    steps = [step.id for step in shop.procedures["replace-rivet"].steps]
    order = ["measure-edge", "centre-head", "drill-head", "snap-head", "drive-out", "gauge-hole", "drive-new"]
    assert [step for step in steps if step in order] == order
    assert shop.kinds["practice-panel"].procedures == ("practice-panel", "replace-rivet")
    for kind in JOINTS:
        repair, stage = shop.kinds[kind].route
        assert (repair.procedure, repair.repair) == ("replace-rivet", True), "a failed head has its way to it"
        assert stage.needs == {"practice-panel": 1}, "nobody's first rivet goes into a spar"
