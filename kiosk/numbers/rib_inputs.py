"""What a rib is laid out from: the plans' dimensions, with a default where the trade has one. Inches."""

from dataclasses import dataclass
from typing import Literal

from kiosk.numbers.bends import deduction_in, setback_in
from kiosk.numbers.cut_outs import CutOut
from kiosk.numbers.result import require, require_finite

End = Literal["front", "rear"]
EndWay = Literal["none", "down", "up"]

# Seen with the flanges away from the eye: down is over the same block as the long flanges, up is against it.
ENDS: tuple[End, ...] = ("front", "rear")
END_WAYS: tuple[EndWay, ...] = ("none", "down", "up")
RIVET_SEAT_IN = 0.0625  # flat beside a rivet's head, before a flute begins; common practice, no source


@dataclass(frozen=True)
class LighteningHole:
    """A hole in the web, its middle on the rib's middle line.

    ``station`` is a share of the chord. ``cut_out_in`` is the diameter that is cut, ``rim_in`` the diameter
    that its flange reaches out to: the same for a plain hole.
    """

    station: float
    cut_out_in: float
    rim_in: float


@dataclass(frozen=True)
class RibInputs:
    """What the plans give. Stations are shares of the chord, 0 to 1; lengths in inches.

    A ``front_station`` of 0 lays the rib out round the leading edge. What is None has a default that follows
    from the rest.
    """

    chord_in: float
    front_station: float
    rear_station: float
    skin_in: float
    thickness_in: float
    bend_radius_in: float
    flange_width_in: float
    front_flange: EndWay = "none"
    rear_flange: EndWay = "none"
    front_flange_width_in: float | None = None  # as wide as the others
    rear_flange_width_in: float | None = None
    front_rivets: int = 0  # through the end flange to the spar; none drawn when the spar is the guide
    rear_rivets: int = 0
    nose_relief_in: float | None = (
        None  # flange left off each side of the nose: where flutes cannot take it up
    )
    rivet_pitch_in: float = 1.0
    rivet_end_in: float = 0.5
    rivet_diameter_in: float = 0.125
    rivet_edge_in: float | None = None  # from the flange's edge to the rivet line: half the flange
    rivet_clear_in: float | None = None  # from a rivet's centre to a flute: its head's radius and a flat seat
    flute_width_in: float | None = None  # as wide as fits between the rivets, 1/2 at most
    flute_depth_in: float | None = None  # 3/16 of its width
    cut_outs: tuple[CutOut, ...] = ()
    cut_out_radius_in: float = 0.125
    tooling_hole_in: float = 0.1875
    tooling_hole_stations: tuple[float, ...] | None = None  # three: near each end and in the middle
    lightening_holes: tuple[LighteningHole, ...] = ()

    @property
    def setback_in(self) -> float:
        """From a flange's outside to where its bend begins in the web."""
        return setback_in(self.thickness_in, self.bend_radius_in, 90)

    @property
    def rivet_line_in(self) -> float:
        """From the flange's free edge to the rivet line, formed or flat."""
        return self.flange_width_in / 2 if self.rivet_edge_in is None else self.rivet_edge_in

    @property
    def rivet_clearance_in(self) -> float:
        """From a rivet's centre to the nearest flute."""
        if self.rivet_clear_in is not None:
            return self.rivet_clear_in
        return self.rivet_diameter_in + RIVET_SEAT_IN  # a universal head is two diameters wide

    @property
    def edge_to_take_up_in(self) -> float:
        """What a flange's free edge is too long by, for each radian that its outline turns.

        From the blank's edge to the middle of the bent sheet. Derived: plain geometry.
        """
        return developed_flange_in(self) + self.thickness_in / 2

    def end_width_in(self, end: End) -> float:
        """The width of an end flange, whether or not there is one."""
        width = self.front_flange_width_in if end == "front" else self.rear_flange_width_in
        return self.flange_width_in if width is None else width

    def end_rivet_line_in(self, end: End) -> float:
        """From an end flange's free edge to its rivet line: that of the others, its middle at most.

        A narrower flange would have the others' line nearer to its bend than to its edge.
        """
        return min(self.rivet_line_in, self.end_width_in(end) / 2)

    def end_rivets(self, end: End) -> int:
        """How many rivets go through an end flange to its spar; 0 where the spar is the guide."""
        return self.front_rivets if end == "front" else self.rear_rivets

    def end_way(self, end: End) -> EndWay:
        """Which way an end flange goes, or that there is none."""
        return self.front_flange if end == "front" else self.rear_flange


def developed_flange_in(inputs: RibInputs, width_in: float | None = None) -> float:
    """How far the blank's edge stands outside the finished outline: flange less one bend deduction."""
    wide = inputs.flange_width_in if width_in is None else width_in
    return wide - deduction_in(inputs.thickness_in, inputs.bend_radius_in, 90)


def check_inputs(inputs: RibInputs) -> None:
    """Refuse dimensions that make no rib of any section. Raises OutOfRange naming the guilty one."""
    require_finite({name: value for name, value in vars(inputs).items() if value is not None})
    require(1 <= inputs.chord_in <= 200, "chord_in", "the chord is outside 1 to 200 in", "give it in inches")
    require(
        inputs.front_station >= 0,
        "front_station",
        f"the station {inputs.front_station:g} lies before the nose",
        "give a share of the chord, or nose",
    )
    require(
        inputs.front_station < inputs.rear_station,
        "front_station",
        f"the rib begins at {inputs.front_station:g} of the chord and ends at {inputs.rear_station:g}",
        "give shares of the chord, front first",
    )
    require(
        inputs.rear_station <= 1,
        "rear_station",
        f"the station {inputs.rear_station:g} lies behind the tail",
        "give a share of the chord, 1 at most",
    )
    for argument in ("skin_in", "bend_radius_in", "cut_out_radius_in"):
        require(getattr(inputs, argument) >= 0, argument, "the size is below nothing", "give the plans' size")
    for argument in ("thickness_in", "rivet_pitch_in", "rivet_diameter_in", "tooling_hole_in"):
        require(getattr(inputs, argument) > 0, argument, "the size is nothing", "give the plans' size")
    for argument in ("rivet_edge_in", "flute_width_in", "flute_depth_in", "nose_relief_in"):
        given = getattr(inputs, argument)
        require(given is None or given > 0, argument, "the size is nothing", "give it, or leave it out")
    require(
        inputs.rivet_clear_in is None or inputs.rivet_clear_in >= 0,
        "rivet_clear_in",
        "the size is below nothing",
        "give it, or leave it out",
    )
    widths = {"flange_width_in": inputs.flange_width_in}
    if inputs.front_flange != "none":
        widths["front_flange_width_in"] = inputs.end_width_in("front")
    if inputs.rear_flange != "none":
        widths["rear_flange_width_in"] = inputs.end_width_in("rear")
    for argument, width in widths.items():
        named = "flange_width_in" if getattr(inputs, argument) is None else argument
        require(
            width > inputs.setback_in,
            named,
            f"a flange of {width:g} in is no wider than its bend, {inputs.setback_in:.3f} in",
            "give a wider flange",
        )
    require(
        inputs.rivet_line_in < inputs.flange_width_in - inputs.setback_in,
        "flange_width_in" if inputs.rivet_edge_in is None else "rivet_edge_in",
        "the rivet line falls into the bend",
        "move the line to the edge, or make the flange wider",
    )
    for end in ENDS:
        if inputs.end_way(end) == "none" or not inputs.end_rivets(end):
            continue
        require(
            inputs.end_rivet_line_in(end) < inputs.end_width_in(end) - inputs.setback_in,
            f"{end}_flange_width_in",
            f"the {end} flange's rivet line falls into its bend",
            "make the flange wider",
        )
    for argument in ("front_rivets", "rear_rivets"):
        require(0 <= getattr(inputs, argument) <= 200, argument, "no such count of rivets", "give 0 to 200")
    require(
        inputs.front_flange == "none" or inputs.front_station > 0,
        "front_flange",
        "a rib round the leading edge has no front end to flange",
        "leave front_flange out, or give a front_station",
    )
