"""The verbs that a step may begin with. A shop adds its own under ``verbs:`` in shop.yaml."""

_PLAIN = """
    add align allow apply ask assemble bag bend blow bolt bore brush buck carry cement center centre
    chamfer change check choose clamp clean close coat collect compare cool copy count cover crimp cut
    deburr degrease dimple discard divide draw dress drill drive dry feed file fill find finish fit
    flange fluff flush flute fold form gather glue go grind guide hammer hang heat hem hold hook insert
    inspect iron join keep label lace lay leave lift load lock look loosen make mark mask measure mix
    move notch note nudge open paint photograph pick pin place plane polish pour prepare press prime
    pull punch push put raise rasp read record release remove repeat return rinse rivet roll rotate
    round rout route rub run sand saw say scrape screw scribe scuff seal set sew shake shape shear shim
    show shrink sight slide slit smooth solder sort spray spread square squeeze stack stamp stand start
    steam step stir stop store straighten stretch sweat sweep swing tack tag take tap test tie tighten
    torque touch trace transfer trim true try turn unclamp vacuum wait warm wash wear weigh weld wet
    wind wipe wire work wrap write
"""
_FURTHER = """
    adjust anneal attach balance batten bead bed bevel bind bleed blend bond brace braid braze broach
    buff build burn burnish butt calculate calibrate call cast caulk charge chisel clear cleat clinch
    clip coil connect countersink cross cure dilute dip disconnect dismantle dissolve dope dovetail
    dowel drag drain drop dust ease empty enlarge erase etch extend face fair fan fasten fay feather
    fell fillet filter fix flare flash flip frame fuse gauge glaze gouge grease groove ground halve
    harden hinge hoist hone immerse install insulate invert isolate jog joggle key knead knock knot
    lacquer laminate lap lash lead let level lever light line loft loop lower lubricate machine match
    melt mend mill miter mitre moisten mortise mould mount nail neutralise neutralize nick nip normalise
    normalize oil order orient pack pad pare paste pat patch peel peen pencil pickle pierce pinch plan
    plank plate plot plug plumb position pot preheat prick prise probe proof protect prove pry pump
    putty quench rabbet rack rake ream reassemble rebate recheck reeve refit reheat reinforce relieve
    repair replace reset rest retighten reverse rig rip rough rove scald scarf scratch scrub seam seat
    secure separate serve settle sharpen shave shellac shift shorten size skim skive slack slacken slice
    slip slot smear snap snip soak space spile splay splice split spot spring staple steep steer stiffen
    stitch strap strike strip strop support swab swage swap swell switch tape taper temper tension thin
    thread tilt tin toe trepan tuck twist unbolt unclip uncover undercut undo unload unlock unmask
    unmould unpack unpin unplug unroll unscrew untie upset use varnish vent verify vulcanise vulcanize
    walk watch wax wedge wheel withdraw agree break ring tell
"""
# Those that a sentence hardly begins with but to ask for an action: a note with one of them hides a step.
PLAIN_VERBS = frozenset(_PLAIN.split())
VERBS = PLAIN_VERBS.union(_FURTHER.split())
