"""What the calculators' arguments mean: one name and one unit for each idea.

A name ends in its unit (``_in`` inches, ``_deg`` degrees, ``_percent``, ``_minutes``, ``_in2`` square inches,
``_ft2`` square feet, ``_f`` degrees Fahrenheit, ``_in_lb`` inch-pounds); one without is a word, a count or a
ratio. A new calculator takes its names from here before it adds one. The tests hold this table against every
signature.
"""

from collections.abc import Mapping
from types import MappingProxyType

NOMENCLATURE: Mapping[str, str] = MappingProxyType(
    {
        # Sheet and bends
        "thickness_in": "thickness of the sheet",
        "alloy": "alloy and temper of the sheet, such as 2024-T3; a rivet's alloy by its letters, such as AD",
        "inside_radius_in": "radius of a bend on its inside",
        "bend_angle_deg": "how far a bend is bent from flat: 0 is flat sheet, 90 a square flange",
        "bend_angles_deg": "the bend angles of a section in order",
        "legs_in": "the legs of a section in order, each measured outside, corner to corner",
        "neutral_factor": "where the neutral line lies, as a share of the thickness from the inside",
        "tangent_line_in": "from the sheet's edge to the line where a bend begins",
        # Curved flanges
        "flange_width_in": "width of a flange, from the outside of its bend to its edge",
        "turning_angle_deg": "how far a flange's outline turns from end to end",
        "flute_width_in": "width of a flute along the edge, the chord of its arc",
        "flute_depth_in": "depth of a flute at its middle",
        "bend_line_radius_in": "radius of the curve that a bend line follows",
        # Flanged holes
        "finished_hole_in": "clear diameter of a hole after flanging",
        "cut_out_in": "diameter of a hole before flanging",
        "flange_slant_in": "width of a hole's flange along its slope",
        "flange_angle_deg": "how far a hole's flange is bent from flat",
        "pilot_clearance_in": "how much smaller a pilot is than its hole, on the diameter",
        "centre_distance_in": "from the centre of one hole to the centre of the next",
        "centre_to_edge_in": "from the centre of a hole to the edge of the web",
        "least_web_in": "flat web that the plans want left between flanges",
        # Rivets and bolts
        "code": "a rivet's part number",
        "diameter_in": "diameter of a rivet's shank",
        "length_in": "length from end to end: of a rivet as its part number counts it, or of a row",
        "head": "shape of a rivet's manufactured head",
        "thickest_sheet_in": "thickness of the thickest sheet of a joint",
        "sheets_in": "thickness of each sheet that a rivet joins",
        "grip_in": "all sheets under a rivet's head added up",
        "end_in": "from the end of a row to the centre of its first and last rivet",
        "wanted_pitch_in": "the largest pitch that is wanted",
        "width_in": "width of a splice across the load",
        "single_lap": "whether a joint is a single lap",
        "thread": "size of a bolt's thread",
        "nut": "kind of a nut: tension or shear",
        "drag_in_lb": "friction drag of a locking nut",
        # Weight and finish
        "area_in2": "flat area of one part, holes taken out",
        "area_ft2": "area to coat, both sides of a part counted",
        "dry_film_in": "thickness of a coat when it is dry",
        "solids_percent": "solids of a mixed primer, of its volume",
        "loss_percent": "what a spray gun loses",
        "base_parts": "parts of base in a mixture, by volume",
        "hardener_parts": "parts of hardener in a mixture, by volume",
        "pot_life_minutes": "how long a mixture can be used",
        "temperature_f": "temperature of the air",
        "humidity_percent": "relative humidity of the air",
        # Counts and times
        "count": "how many: parts, rivets, or times that a thing is done",
        "each_minutes": "minutes for each time that a thing is done",
        "once_minutes": "minutes for what is done once, such as setting up",
    }
)
