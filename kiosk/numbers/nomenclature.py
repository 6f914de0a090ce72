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
        "springback_factor": "angle of a bend after release over the angle that was set",
        "tangent_line_in": "from the sheet's edge to the line where a bend begins",
        "between_legs_deg": "angle between the two legs of a bend: 180 is flat sheet",
        "yield_psi": "yield strength of the sheet, as its certificate gives it",
        "leg_in": "a leg overall, to the outside of the round",
        "return_in": "a leg that is turned back, overall, to the outside of the round",
        "depth_in": "how far a joggle steps, or how deep a tank is on the mean",
        # Wing sections
        "section": "a NACA wing section by its four or five digits",
        "chord_in": "the chord of a wing section",
        "station": "where along the chord, as a share of it",
        "reaches_in": "lengths one behind another along the chord, such as a spar's flange and a gap",
        "side": "whether something stands aft or forward of a station",
        # Curved flanges
        "flange_width_in": "width of a flange, from the outside of its bend to its edge",
        "turning_angle_deg": "how far a flange's outline turns from end to end",
        "flute_width_in": "width of a flute along the edge, the chord of its arc",
        "flute_depth_in": "depth of a flute at its middle",
        "bend_line_radius_in": "radius of the curve that a bend line follows",
        "large_diameter_in": "diameter of a cone's large end, at the middle of the sheet",
        "small_diameter_in": "diameter of a cone's small end, at the middle of the sheet",
        "height_in": "height between the ends of a cone",
        # Flanged holes
        "finished_hole_in": "clear diameter of a hole after flanging",
        "cut_out_in": "diameter of a hole before flanging",
        "flange_circle_in": "diameter at which a hole's flange begins",
        "flange_slant_in": "width of a hole's flange along its slope",
        "flange_angle_deg": "how far a hole's flange is bent from flat",
        "room_in": "room wanted round something",
        "pilot_clearance_in": "how much smaller a pilot is than its hole, on the diameter",
        "centre_distance_in": "from the centre of one hole to the centre of the next",
        "centre_to_edge_in": "from the centre of a hole to the edge of the web",
        "least_web_in": "flat web that the plans want left between flanges",
        # Rivets and bolts
        "code": "a rivet's part number",
        "diameter_in": "diameter of a rivet's shank, or of a hole to drill",
        "length_in": "length from end to end: of a rivet as its number counts it, a row, a blank or a tank",
        "edge_in": "from a hole's centre to the nearest edge",
        "rows": "how many rows of rivets stand side by side",
        "table": "number of the table that is read",
        "tensile_psi": "tensile strength of the sheet",
        "stack_in": "everything between a bolt's head and its washer added up",
        "bolt": "an aircraft bolt by its number: AN3 is 3/16, AN4 1/4",
        "washer_in": "thickness of the washer under a nut",
        "head": "shape of a rivet's manufactured head",
        "thickest_sheet_in": "thickness of the thickest sheet of a joint",
        "sheets_in": "thickness of each sheet that a rivet joins",
        "grip_in": "all sheets under a rivet's head added up",
        "end_in": "from the end of a row to the centre of its first and last rivet",
        "wanted_pitch_in": "the largest pitch that is wanted",
        "width_in": "width of a splice across the load, of a blank, of a plate or of a tank",
        "single_lap": "whether a joint is a single lap",
        "thread": "size of a bolt's thread",
        "nut": "kind of a nut: tension or shear",
        "drag_in_lb": "friction drag of a locking nut",
        # Sizes named by number
        "drill": "name of a drill: #30, F or 5/32",
        "tap": "thread of a tap, such as 10-32",
        "gauge": "number of a sheet gauge",
        "size": "a length as the trade writes it",
        # Weight and finish
        "area_in2": "flat area of one part, holes taken out",
        "others_in2": "area of one face of other parts' blanks",
        "area_ft2": "area to coat, both sides of a part counted",
        "dry_film_in": "thickness of a coat when it is dry",
        "solids_percent": "solids of a mixed primer, of its volume",
        "loss_percent": "what a spray gun loses",
        "rest_ml": "what strainer, cup and test panel keep of a mixture",
        "base_parts": "parts of base in a mixture, by volume",
        "hardener_parts": "parts of hardener in a mixture, by volume",
        "pot_life_minutes": "how long a mixture can be used",
        "weights_lb": "weights of the pieces",
        "arms_in": "where each piece balances, from one datum",
        "temperature_f": "temperature of the air",
        "surface_f": "temperature of a part's surface",
        "margin_f": "how far a surface has to be above the dew point",
        "least_surface_f": "the coldest surface that a product may go on",
        "humidity_percent": "relative humidity of the air",
        # Counts and times
        "count": "how many: parts, rivets, or times that a thing is done",
        "each_minutes": "minutes for each time that a thing is done",
        "foot_minutes": "minutes for each foot of a length that is worked along",
        "once_minutes": "minutes for what is done once, such as setting up",
    }
)
