"""Hazard tags: the caution each shows, who may do it and who may be in the room.

The ages are a cautious proposal read from US child-labour rules (29 CFR part 570) as a benchmark; a family
hobby is not employment and local rules may be stricter. A shop may raise an age, never lower it.
"""

from typing import Literal

from kiosk.dataclass import dataclass

TRAINED_ADULT_ALONE = 99  # an age that nobody has: a trained adult only, nobody else in the room


@dataclass(frozen=True)
class Hazard:
    """Ages in years; 0 is any age, supervised. ``signal`` is WARNING for injury, CAUTION for damage.

    ``people`` is how many have to be at the bench who are old enough to do it. Files name it by its ``tag``;
    whoever is at the bench reads its ``work``.
    """

    tag: str
    work: str
    caution: str
    min_age_operate: int
    min_age_present: int
    source: str
    signal: Literal["WARNING", "CAUTION"] = "WARNING"
    people: int = 1


_ROWS = (
    Hazard("EYES", "work that throws chips",
           "Side-shield glasses on everyone before the first chip flies. Chips blind.", 0, 0,
           "29 CFR 1910.133 and appendix B"),
    Hazard("EARS_RIVET", "loud riveting",
           "Riveting is loud in seconds and ruins hearing. Ear protection on; warn the room.",
           16, 0, "29 CFR 1910.95; NIOSH 98-126"),
    Hazard("VIBRATION", "work with vibrating tools",
           "Vibration harms fingers. Keep bursts short, grip lightly; stop if fingers tingle.",
           16, 0, "Scand J Work Environ Health 1986;12:338-342"),
    Hazard("EARS_LOUD", "loud work",
           "This work harms hearing in minutes. Plugs or muffs on everyone in the room first.",
           12, 0, "HSE Engineering Sheet 26; NIOSH 98-126"),
    Hazard("RIVET_GUN", "riveting with the gun",
           "The set can fly. Retainer on; trigger only on rivet or wood; short bursts.",
           18, 0, "29 CFR 1926.302(b); common practice"),
    Hazard("BUCK", "bucking rivets",
           "The bar kicks. Set it before the gun fires, fingers off its face; one word to stop.",
           16, 0, "common practice, no source"),
    Hazard("LATHE", "work at the lathe",
           "The chuck winds in sleeves, gloves and hair. Key out; never emery cloth by hand.",
           16, 16, "HSE lathe guidance; gov.uk Safety Bulletin 21"),
    Hazard("FLY_CUT", "cutting with a fly cutter",
           "The swinging arm strikes unseen. Drill press only, lowest speed, work clamped.",
           18, 16, "common practice, no source"),
    Hazard("SANDER", "work at the sander",
           "The disc drags fingers in. Small gap at the rest, down-going side, no gloves.",
           18, 16, "29 CFR 570.55"),
    Hazard("WOOD_DUST", "work in wood dust",
           "Wood and MDF dust harms lungs for life. Extract at the tool, mask on, never blow.",
           16, 16, "29 CFR 1910.1000; NIOSH; IARC group 1"),
    Hazard("ROUTER", "work with the router",
           "The cutter grabs. Clamp the sheet, feed against the cutter, tie hair and cuffs.",
           18, 16, "29 CFR 570.55 wording; 1910.133"),
    Hazard("DRILL", "drilling",
           "The bit grabs thin sheet. Clamp the work, no gloves, no fingers behind it.", 16, 0,
           "common practice, no source; Minnesota Rules 5200.0920"),
    Hazard("EDGE_SHEET", "handling fresh sheet edges",
           "Fresh edges cut. Wear gloves to carry sheet; two people for a large one.", 0, 0,
           "29 CFR 1910.138"),
    Hazard("SHEAR_POWER", "work at the power shear",
           "The blade closes without warning. Hands behind the line; one person at it.",
           18, 16, "29 CFR 570.59, 570.65; 1910.212"),
    Hazard("SHEAR_HAND", "work at the hand shear",
           "The blade closes on fingers. Hands behind the line; lock the handle after use.",
           16, 0, "29 CFR 1910.212"),
    Hazard("BRAKE_POWER", "bending at the power brake",
           "The beam crushes. Fingers off the bend line; the sheet may whip up.", 18, 16,
           "29 CFR 570.59; 1910.212"),
    Hazard("BRAKE_HAND", "bending at the hand brake",
           "The leaf pinches. Fingers off the bend line; stand clear of the rising sheet.",
           16, 0, "29 CFR 1910.212"),
    Hazard("PRESS", "work at the press",
           "Pinch point. Never reach under the ram; block it before changing tools.", 18, 18,
           "29 CFR 570.59; 1910.217"),
    Hazard("ROLLS_POWER", "work at the power rolls",
           "Rolls draw in gloves and sleeves. Feed from the edge; know the stop.", 18, 16,
           "29 CFR 570.59"),
    Hazard("ROLLS_HAND", "work at the hand rolls",
           "Rolls draw in fingers. Keep hands off the rolls while anyone cranks.", 18, 16,
           "29 CFR 570.59"),
    Hazard("GRIND", "grinding",
           "Wheels burst and spark. Face shield, guard on, no aluminium on the steel wheel.",
           18, 16, "29 CFR 1910.215; common practice"),
    Hazard("BANDSAW", "work at the band saw",
           "The blade takes fingers. Guide down to the work, push stick, no gloves.", 18, 16,
           "29 CFR 570.65"),
    Hazard("AIR_BLOW", "blowing with compressed air",
           "Air drives chips into eyes and skin. Below 30 psi, safety nozzle, never at people.",
           18, 0, "29 CFR 1910.242(b)"),
    Hazard("AL_DUST", "work in aluminium dust",
           "Fine aluminium dust burns. Catch it; no grinding sparks; no wet dust left shut in.",
           18, 16, "NFPA 484; aluminium industry brochure"),
    Hazard("SOLVENT", "work with solvent",
           "Vapour burns and harms lungs. Gloves, fresh air, flames out, rags in a closed can.",
           18, 16, "AC 43.13-1B 6-90; 29 CFR 1910.107"),
    Hazard("ETCH_ACID", "work with etching acid",
           "Acid burns eyes and skin. Goggles, apron, gloves; acid into water; rinse ready.",
           18, 16, "NAVEDTRA 14022; common practice"),
    Hazard("CR6", "work with chromate",
           "Chromate causes cancer. Use a chromate-free product; otherwise no dust, no one else here.",
           TRAINED_ADULT_ALONE, TRAINED_ADULT_ALONE, "29 CFR 1910.1026"),
    Hazard("ISO", "work with isocyanate",
           "Isocyanate sensitises for life. Air-fed breathing set, or do not spray.",
           TRAINED_ADULT_ALONE, TRAINED_ADULT_ALONE, "NIOSH; 29 CFR 1910.134"),
    Hazard("SPRAY_FIRE", "spraying",
           "Spray mist ignites. Extract; sparks, heaters and motors 20 ft away or walled off.",
           18, 18, "29 CFR 1910.107"),
    Hazard("EPOXY_SKIN", "work with epoxy",
           "Epoxy makes skin allergic. Gloves on; wash with soap, never with solvent.", 18, 16,
           "TB 43-0144"),
    Hazard("RESP", "work in a respirator",
           "Mist harms lungs. Wear the respirator the label names, sealed on shaven skin.", 18, 18,
           "29 CFR 1910.134"),
    Hazard("LIFT", "lifting long parts",
           "Long parts swing and cut. Two people, a cleared path, corners covered.", 16, 0,
           "common practice, no source", people=2),
    Hazard("ALONE", "work that needs help in earshot",
           "Help must be in earshot. Do not do this step alone in the house.", 18, 0,
           "common practice, no source"),
    Hazard("SCRATCH", "work on clad faces",
           "A scratch through the cladding lets the core corrode. Keep grit and points off it.",
           0, 0, "AC 43.13-1B 6-37", "CAUTION"),
    Hazard("GRAPHITE", "marking on aluminium",
           "Graphite corrodes aluminium. Mark with a soft felt pen, never a pencil or scriber.",
           0, 0, "AC 43.13-1B 6-91 c", "CAUTION"),
)  # fmt: skip

HAZARDS: dict[str, Hazard] = {row.tag: row for row in _ROWS}
