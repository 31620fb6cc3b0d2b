"""The one table of sentences: what is said for each code that the core tells of.

A name in braces stands for a value. Lengths are written in the unit asked for; a form after the colon says what else a
value is (see ``report.wording``). A sentence that begins with a mark of punctuation goes on from the one before it.
"""

from __future__ import annotations

from typing import Final

TITLES: Final[dict[str, str]] = {
    "hold-downs": "hold-downs",
    "touch-off": "touch-off",
    "plug-web": "plug back",
    "stack": "tolerances",
}
"""Names of checks for people, where the id read as words would not do."""

SENTENCES: Final[dict[str, str]] = {
    # why a check was not made
    "needs.outline": "needs an outline",
    "needs.fit": "needs the fit as cut (run without --nominal)",
    "needs.longer_cone": "not known while a V-bit's cone is too short",
    "needs.partner": "needs a drawing of the plug",
    "needs.a_blank": "needs base.blank or plug.blank",
    "needs.keys": "needs {keys:and}",
    # the cut's steps
    "step.clear": "clearing",
    "step.walls": "cutting the walls",
    "step.cut out": "cutting out",
    "step.level": "levelling",
    "step.clear_with": "clearing with {bit}",
    "step.walls_with": "cutting the walls with {bit}",
    "step.cut out_with": "cutting out with {bit}",
    "step.level_with": "levelling with {bit}",
    # glue-gap
    "glue_gap.drawn": "{gap} between the pocket's floor and the plug's face",
    "glue_gap.as_cut": "{gap} between the pocket's floor and the plug's face, once clamped",
    "glue_gap.fillet": "the ball tip leaves a fillet {fillet} high where wall and floor meet",
    "glue_gap.clearing_fillet": "the clearing bit's corners leave a fillet {fillet} high beside the wall's foot",
    "glue_gap.clear_the_corners": "a glue gap above the fillet, or a clearing bit with square corners to finish",
    "glue_gap.above_0": "a glue gap above 0, since the plug's face lands on the floor before its sides are tight",
    "glue_gap.declare_or_larger": "a glue gap of {gap}, or declare what the bit measures",
    "glue_gap.clear_the_fillet": "a glue gap as high as the fillet, or a bit with a point or a flat tip",
    "glue_gap.larger": "a larger glue gap, since touch-off errors and fuzz use it up",
    "glue_gap.larger_or_declare": "a glue gap of {gap}, or declare what the bit measures",
    "glue_gap.smaller": "a smaller glue gap, since thick glue is weak and the plug less deep",
    "glue_gap.let_down": "clear what holds the plug up; the seat check names it",
    # surface-gap
    "surface_gap.drawn": "{gap} between the base's face and the plug's own floor",
    "surface_gap.as_cut": "{gap} between the base's face and the plug's own floor, once clamped",
    "surface_gap.fillet": "the ball tip leaves a fillet {fillet} high at the foot of the plug's wall",
    "surface_gap.clearing_fillet": "the clearing bit's corners leave a fillet {fillet} high beside the plug's wall",
    "surface_gap.above_0": "a surface gap above 0, since the plug's own floor lands on the base's face",
    "surface_gap.larger": "a larger surface gap, since chips and fuzz use it up",
    # base-floor, plug-web
    "base_floor.left": "{left} of wood left under the pocket",
    "base_floor.none": "no wood left under the pocket: the cut goes {past} through the board",
    "base_floor.remedy": "a shallower pocket or a thicker base",
    "plug_web.left": "{left} of wood left behind the plug's own floor",
    "plug_web.none": "no wood left behind the plug's own floor: the cut goes {past} through the blank",
    "plug_web.remedy": "a thicker plug blank, a shallower pocket or a smaller surface gap",
    "wood_left.wanted": ", at least {least} wanted",
    "wood_left.worst": ", {worst} in the worst case of touch-off and thickness",
    # cone-reach
    "cone_reach.cone": "{bit}'s cone is {cone} high, the {part}'s walls {deep} deep",
    "cone_reach.short": ": above the cone the wall stays too thick, and the plug sits {short} too high",
    "cone_reach.remedy": "a larger V-bit, a shallower pocket or a smaller surface gap",
    # bit-reach
    "bit_reach.short": "{bit} reaches {reach} and cuts {deep} deep",
    "bit_reach.short_cutting_out": "{bit} reaches {reach} and cuts {deep} deep where it cuts the plug out",
    "bit_reach.spare": "{spare} or more to spare, least with {bit}",
    "bit_reach.longer": "a longer bit, more stick-out or a shallower cut",
    "bit_reach.saw_out": "a longer bit as bits.cut_out, or saw the plug out (plug.cut_out: no)",
    # pass-load
    "pass_load.load": "the heaviest pass takes {load}; {bit} may take {most}",
    "pass_load.remedy": "set each bit's depth_of_cut to what bit and machine can take in this wood",
    # floor-ridges
    "floor_ridges.none": "the clearing bit reaches the floors, and leaves no ridges that count",
    "floor_ridges.high": "{bit} leaves ridges {ridge} high at a stepover of {stepover}",
    "floor_ridges.over": ", {name} {gap}",
    "floor_ridges.share": ", {share:share} of the {name}",
    "floor_ridges.sits_on_them": "a smaller stepover, since the plug sits on the V-bit's ridges",
    "floor_ridges.sits_on_clearing": "a smaller stepover, since the plug sits on the clearing bit's ridges",
    "floor_ridges.finer": "a smaller stepover",
    # levelling
    "levelling.left": "{left} of inlay left after levelling and sanding, at full depth",
    "levelling.inlay_gone": "levelling {below} below the face cuts the whole inlay away",
    "levelling.sanded_away": "sanding {sanding} after levelling takes what is left of the inlay",
    "levelling.rim": "the levelling bit misses the outer {rim} of the plug's border: a rim stays standing",
    "levelling.level_less": "a smaller level_below or a deeper pocket",
    "levelling.take_less": "less levelling and sanding, or a deeper pocket",
    "levelling.cover_the_rim": "a larger levelling bit, a narrower border, or a larger board",
    "levelling.ridges": "{bit} stepping over {stepover} leaves ridges {ridge} high, more than sanding takes off",
    "levelling.finer": "a smaller stepover of the levelling bit, or one with square corners",
    "levelling.deeper": "a deeper pocket, or less levelling and sanding",
    # fine-strokes, fine-gaps
    "fine_strokes.uncut": "strokes down to {width} are not cut: the tip is {tip} wide",
    "fine_strokes.narrowest": "the narrowest stroke, {width}, is cut {deep} deep",
    "fine_strokes.shallow": "{share:share} of the outline stays under half depth",
    "fine_strokes.in_corners": ", all of it in corners",
    "fine_strokes.cut_to": "{width} wide, cut {deep} deep",
    "fine_strokes.widen": "a sharper tip, a larger design, or widen these strokes",
    "fine_strokes.deeper": "a narrower V angle or a larger design cuts deeper; a shallower pocket evens it out",
    "fine_gaps.uncut": "gaps down to {width} are not cut on the plug: the tip is {tip} wide",
    "fine_gaps.none": "no gap between strokes",
    "fine_gaps.narrowest": "the narrowest gap, {width}, is cut {deep} deep below the start",
    "fine_gaps.shallow": "{share:share} of the outline stays under half the plug's cut",
    "fine_gaps.in_corners": ", all of it in inner corners",
    "fine_gaps.cut_to": "{width} wide, cut {deep} deep below the start",
    "fine_gaps.widen": "a sharper tip, a larger design, or widen these gaps",
    "fine_gaps.deeper": "a narrower V angle or a larger design; a smaller surface gap evens it out",
    # places of an outline
    "outline.region": "region {number:d}, {across} across: {reason}",
    "narrow.uncut": "{width} wide, not cut",
    "narrow.wide": "{width} wide",
    "narrow.across_grain": "{width} wide and across the grain, which breaks",
    "narrow.along_grain": "{width} wide, along the grain",
    "narrow.vanishes": "{width} wide, vanishes",
    "narrow.sanded_away": "{width} wide, sanded away",
    "narrow.left": "{width} wide, {left} left",
    # thin-walls
    "thin_walls.between": "wood between pockets down to {width}",
    "thin_walls.ribs": "ribs of the plug down to {width}",
    "thin_walls.to_edge": "{width} of base to the board's {edge} edge",
    "thin_walls.pushes": "{thin:and}; clamped, the taper pushes sideways with up to {times:.1f} times the force",
    "thin_walls.none": "no strokes or gaps with facing walls",
    "thin_walls.thinnest": "the thinnest wood between walls is {width}",
    "thin_walls.remedy": "make it wider, make the joint shallower, or clamp gently and evenly",
    # clearing-access
    "clearing_access.no_bit": "no clearing bit: the V-bit clears both floors",
    "clearing_access.no_floor": (
        "{bit} clears none of the pocket (every stroke ends in a V) and {plug:share} of the plug's own floor; the "
        "V-bit clears the rest"
    ),
    "clearing_access.filleted": "its rounded corners leave a fillet over {share:share} of the pocket's floor",
    "clearing_access.reaches": (
        "{bit} clears {pocket:share} of the pocket's floor and {plug:share} of the plug's own floor; the V-bit "
        "clears the rest"
    ),
    "clearing_access.smaller": "a smaller clearing bit, alone or after the larger one",
    "clearing_access.name_a_bit": "name a clearing bit, or take the time",
    # survives-levelling
    "survives_levelling.left": "{left} of the narrowest stroke is left after levelling and sanding",
    "survives_levelling.wears_through": ", less than the {least} that lasts",
    "survives_levelling.all_taken": "levelling and sanding take {taken}, more than the narrowest stroke is deep",
    "survives_levelling.vanish": "strokes under {width} vanish when levelled {below} below the face",
    "survives_levelling.less_or_deeper": "level and sand less, or a deeper pocket",
    "survives_levelling.level_less": "level less, widen these strokes or make the design larger",
    "survives_levelling.less_or_wider": "level and sand less, or widen these strokes",
    # corners
    "corners.lose": "the tip rounds off up to {worst} of a corner",
    "corners.none": "no sharp corners",
    "corners.pocket": "corner, {angle:.0f} deg: {lost} of it is missing",
    "corners.plug": "inner corner, {angle:.0f} deg: {lost} of it is missing",
    "corners.remedy": "a sharper tip, or round these corners in the drawing so that none is missed",
    # seat
    "seat.open": (
        "clamped with {clamp:force} the plug {lift:stands}; the joint is open by more than {line} on {share:share} "
        "of the outline"
    ),
    "seat.open_if_strong": (
        "on hard spots, four times as strong as {strength}, {share:share} of the outline stays open by more than "
        "{line}"
    ),
    "seat.on_floor": "the plug lands on the floor before its sides are tight",
    "seat.on_fillet": "the plug lands on the fillet before its sides are tight",
    "seat.clamp_drives_down": (
        "a clamp of {clamp:force} may drive the plug to the floor: its sides carry {low:force} to {high:force}"
    ),
    "seat.end_grain": "a part shows end grain, whose strength is not in the table",
    "seat.on_its_walls": "clamped with {clamp:force} the plug {lift:stands}, tight on its sides",
    "seat.clear_the_floor": "a larger glue gap or a finer stepover, and declare what the bit measures",
    "seat.clamp_less": "less clamping pressure, or a deeper joint",
    "seat.clamp_between": "clamp with {least:force} to {most:force}, or make the joint deeper",
    "seat.clamp_at_most": "clamp with no more than {most:force}, or make the joint deeper",
    "seat.end_grain_remedy": "set crush_strength for that part, or try a small pair",
    "seat.no_clamp_closes": (
        "no clamp closes it: the sides themselves are in the way. Measure the bit and declare what it measures"
    ),
    "seat.would_close": "{force:force} would close it; better round the corners that hold it up, or use a sharper tip",
    "seat.would_close_even_then": (
        "{force:force} would close it on hard spots too; better round the corners that hold it up, or use a sharper "
        "tip"
    ),
    # joint-line
    "joint_line.widest": "the joint line is {widest} at its widest, {mean} on average",
    "joint_line.if_strong": "{widest} on hard spots of the wood",
    "joint_line.open": "open by {by}",
    "joint_line.remedy": "measure the bit and declare what it measures; clear what holds the plug up",
    # what holds the plug up
    "tip.flat": "a {width} tip",
    "tip.ball": "a ball tip of {radius} radius",
    # rounding it at the face leaves the plug's edge sharp further down, where the pocket's is round
    "corner.pocket": (
        "corner, {angle:.0f} deg: with {tip} the plug {lift:stands} here{lost:lost}; a sharper tip lowers it; "
        "rounded by {radius} the point is not missed"
    ),
    "corner.plug": (
        "inner corner, {angle:.0f} deg: with {tip} the plug {lift:stands} here{lost:lost}; round the outline by "
        "{radius}, or use a sharper tip"
    ),
    "contact.stroke_uncut": (
        "stroke {width} wide: not cut, the plug {lift:stands} here; widen it to {widen}, or a sharper tip"
    ),
    "contact.stroke_short": (
        "stroke {width} wide: the tip does not reach full depth, the plug {lift:stands} here; widen it to {widen}, "
        "or a sharper tip"
    ),
    "contact.gap_uncut": (
        "gap {width} wide: not cut, the plug {lift:stands} here; widen it to {widen}, or a sharper tip"
    ),
    "contact.gap_short": (
        "gap {width} wide: the tip does not reach full depth, the plug {lift:stands} here; widen it to {widen}, or a "
        "sharper tip"
    ),
    "contact.walls": "on its sides the plug {lift:stands}",
    "contact.rib": "on a rib of the base in a groove of the plug, the plug {lift:stands}",
    "contact.fillet": (
        "on the ball tip's fillet at the foot of the wall, the plug {lift:stands}; a larger glue gap clears it"
    ),
    "contact.clearing_fillet_pocket": (
        "on the fillet of the clearing bit's corners at the foot of the wall, the plug {lift:stands}; a larger glue "
        "gap or a square bit clears it"
    ),
    "contact.clearing_fillet_plug": (
        "on the fillet of the clearing bit's corners on the plug's own floor, the plug {lift:stands}; a larger surface "
        "gap or a square bit clears it"
    ),
    "contact.floor": "on the floor, the plug {lift:stands}; a larger glue gap clears it",
    # how much the wood bears
    "strength.given": "{wood} as given",
    "strength.unnamed": "a {part} of unknown wood",
    "strength.unknown": "{wood}, not in the table",
    "strength.published": "{wood}",
    "strength.weakest": "{wood}, the weakest that {name:quoted} may be",
    "strength.estimated": "{wood} ({status})",
    # mirror
    "mirror.as_it_is": "the plug's drawing is not mirrored: it lies on the pocket's as it is",
    "mirror.stretched": "against the pocket's, the plug's drawing is {wide} and {high}: it was stretched",
    "mirror.by_wider": "{by:fine share} wider",
    "mirror.by_narrower": "{by:fine share} narrower",
    "mirror.as_wide": "as wide",
    "mirror.by_higher": "{by:fine share} higher",
    "mirror.by_lower": "{by:fine share} lower",
    "mirror.as_high": "as high",
    "mirror.mm_for_inches": (
        "the plug's drawing is 25.4 times as large as the pocket's: millimetres were taken for inches"
    ),
    "mirror.inches_for_mm": (
        "the plug's drawing is 1/25.4 the size of the pocket's: inches were taken for millimetres"
    ),
    "mirror.larger": "the plug's drawing is {share:fine share} larger than the pocket's",
    "mirror.smaller": "the plug's drawing is {share:fine share} smaller than the pocket's",
    "mirror.times": "the plug's drawing is {times:.4g} times as large as the pocket's",
    "mirror.plug_lacks_both": (
        "the pocket's drawing has {regions:count region} and {holes:count hole} more than the plug's"
    ),
    "mirror.plug_lacks_regions": "the pocket's drawing has {regions:count region} more than the plug's",
    "mirror.plug_lacks_holes": "the pocket's drawing has {holes:count hole} more than the plug's",
    "mirror.pocket_lacks_both": (
        "the plug's drawing has {regions:count region} and {holes:count hole} more than the pocket's"
    ),
    "mirror.pocket_lacks_regions": "the plug's drawing has {regions:count region} more than the pocket's",
    "mirror.pocket_lacks_holes": "the plug's drawing has {holes:count hole} more than the pocket's",
    "mirror.differ_at_best": "mirrored and laid on each other, the drawings differ by up to {apart}",
    "mirror.differ": "mirrored, the drawings differ by up to {apart}",
    "mirror.turned": "the plug's drawing is turned by {by:.3g} degrees",
    "mirror.top_to_bottom": ("the plug's drawing is turned by 180 degrees: mirrored top to bottom, not left to right"),
    "mirror.agrees": "mirrored, the plug's drawing agrees with the pocket's within {apart}",
    "mirror.no_match": "only in one of the drawings",
    "mirror.apart": "{apart} apart as drawn",
    "mirror.mirror_it": "mirror the plug's drawing left to right",
    "mirror.scale_alike": "scale both ways alike",
    "mirror.one_size": "bring both drawings to one size",
    "mirror.add_lacking": "draw in both what one of them has",
    "mirror.anew": "make the plug's drawing anew by mirroring the pocket's",
    "mirror.turn_back": "turn it back, or turn the plug round when it goes in and mind its grain",
    # blank-margin
    "blank_margin.outline": "the outline",
    "blank_margin.base_left": "{cut} leaves {left} of the base at its {edge} edge",
    "blank_margin.plug_left": "{cut} leaves {left} of the plug's blank at its {edge} edge",
    "blank_margin.off_base": "{cut} runs {off} off the base at its {edge} edge",
    "blank_margin.off_plug": "{cut} runs {off} off the plug's blank at its {edge} edge",
    "blank_margin.base_not_given": "base.blank is not given",
    "blank_margin.plug_not_given": "plug.blank is not given",
    "blank_margin.base_remedy": "a larger blank, another place on it (outline.at) or a smaller design",
    "blank_margin.plug_remedy": (
        "a larger blank, another place on it (plug.at) or a smaller design; a narrower border or a smaller cut-out bit"
    ),
    # hold-downs
    "hold_downs.base": "hold-down {number:d} on the base",
    "hold_downs.plug": "hold-down {number:d} on the plug's blank",
    "hold_downs.level": "hold-down {number:d} at levelling",
    "hold_downs.clear_of_cutter": "{bit}",
    "hold_downs.clear_of_shank": "shank of {bit}",
    "hold_downs.clear_of_collet": "collet of {bit}",
    "hold_downs.struck_by_cutter": "{bit}",
    "hold_downs.struck_by_shank": "the shank of {bit}",
    "hold_downs.struck_by_collet": "the collet of {bit}",
    "hold_downs.clear": "{hold_down} stays clear of {step} by {by} or more ({bit})",
    "hold_downs.struck": "{hold_down} is struck in {step} by {bit}, at ({x:bare}, {y:bare}) from the datum",
    "hold_downs.struck_in_more": (
        "{hold_down} is struck in {step} by {bit}, at ({x:bare}, {y:bare}) from the datum, and in {others:and}"
    ),
    "hold_downs.under_the_cut": "they stay under all that is cut",
    "hold_downs.not_all": "not fully checked without {keys:list}",
    "hold_downs.no_collet": "the collet nut is not checked without bits.collet",
    "hold_downs.reach_of": "the reach of {bit}",
    "hold_downs.stick_out_of": "the stick_out of {bit}",
    "hold_downs.move": "move it, or hold the part down another way",
    "hold_downs.more_room": "more room, since a clamp slips and a bit runs out",
    # wood-movement
    "wood_movement.moves": (
        "from {before:.1f} % to {after:.1f} % moisture {plug} over the {width} of region {region:d}, half of it at "
        "each wall{sawn:sawn}"
    ),
    "wood_movement.remedy": (
        "woods that move alike, grain in one direction, smaller pieces, or wood at the moisture it will live at"
    ),
    "movement.shrinks": "the plug shrinks {by} than its pocket",
    "movement.swells": "the plug swells {by} than its pocket",
    "movement.more": "{by} more",
    "movement.less": "{by} less",
    "movement.sawn": " ({first} to {last} depending on how the boards are sawn)",
    "movement.on_the_board": "{plug} over {width} in the direction {direction:.0f} deg on the board{sawn:sawn}",
    "movement.name_the_wood": "{wood} or {own}",
    "movement.which": "{own}, or which wood {name:quoted} is ({names:list})",
    "movement.none": "{own} (the table has none for {name:quoted})",
    "movement.none_but_near": "{own} (the table has none for {name:quoted}), or one of {names:list}",
    # stack, touch-off, warp
    "stack.when": "all tolerances together",
    "touch_off.when": "touch-off alone",
    "warp.when": "warp alone",
    "stack.floor_first": "the plug is on the floor before its sides are tight",
    "stack.used_up": "{when} may use the glue gap up and leave the plug on the floor",
    "stack.gap_left": "with {when} most likely {gap} of glue gap is left",
    "stack.worst_on_floor": ", none in the worst case",
    "stack.worst": ", {gap} in the worst case",
    "stack.seat": "{share:pairs} of trial pairs sit tight on their sides",
    "stack.on_floor": ", {share:pairs} end on the floor",
    "stack.held_up": ", {share:pairs} are held up by corners and strokes",
    "stack.on_own_floor": ", {share:pairs} end with the plug's own floor on the base",
    "stack.larger_gap": "a larger glue gap, or smaller tolerances",
    "stack.needed_gap": "a glue gap of {gap:up} lets 19 of 20 sit tight",
    "stack.touch_off_all": "touch off every bit to plus or minus {within}",
    "stack.wider": "a {angle:g} deg bit ({share:pairs}; strokes then get the full depth from {width})",
    "stack.smaller": "smaller tolerances, the one that counts most first",
    "stack.too_few": "{count:,} trial pairs are too few to show {limit:pairs}",
    "stack.draw_more": "try more pairs: --draws {count:d}",
    "touch_off.seat": "{share:pairs} of trial pairs sit tight on their sides with touch-off errors alone",
    "touch_off.within": "touching off within {within} each time would do for 19 of 20",
    "touch_off.never": "no touch-off is good enough while the rest stays as it is",
    "touch_off.better": "touch off better, or a larger glue gap",
    "warp.seat": "{share:pairs} of trial pairs sit tight on their sides with warp alone",
    "warp.flatten": "flatten the boards, hold them flat while they are cut, or use a larger glue gap",
    # what can be off
    "source.pocket_v": "touching off the V-bit on the base",
    "source.pocket_clear": "touching off the clearing bit on the base",
    "source.plug_v": "touching off the V-bit on the plug",
    "source.plug_clear": "touching off the clearing bit on the plug",
    "source.angle": "the V-bit's angle",
    "source.pocket_angle": "the angle of the pocket's V-bit",
    "source.plug_angle": "the angle of the plug's V-bit",
    "source.tip": "the V-bit's tip",
    "source.pocket_tip": "the tip of the pocket's V-bit",
    "source.plug_tip": "the tip of the plug's V-bit",
    "source.runout": "the spindle's runout",
    "source.base_warp": "warp of the base",
    "source.plug_warp": "warp of the plug's blank",
    "source.base_thickness": "the base's thickness",
    "source.plug_thickness": "the thickness of the plug's blank",
    "source.square": "the machine out of square",
    # gluing up
    "clamp.handbook": "the handbook's pressures from the lightest to the densest woods (density not known)",
    "clamp.glue_maker": "a glue maker's pressures for specific gravity {gravity:.2f}",
    # posted programmes
    "programme.part_pocket": "base",
    "programme.part_plug": "plug",
    "programme.deeper": "too deep",
    "programme.shallower": "too shallow",
    "programme.remark": "{word}: {message}",
    "programme.not_known": "not known while the faults above stand",
    "programme.no_seat": "not known without the seat",
    "programme.seat_hidden": "what was cut is not the sheet's outline",
    "programme.seat_not_planned": "the plan was made without a seat",
    "programme.as_planned_programme_read": "every word was read",
    "programme.as_planned_programme_units": "units are stated, and the cuts have the sheet's size",
    "programme.as_planned_programme_datum": "both cuts lie where the sheet has them",
    "programme.as_planned_programme_mirror": "the base has the outline, the plug its mirror image",
    "programme.as_planned_programme_depths": "the depths are the plan's",
    "programme.as_planned_programme_bit": "the walls are those of the sheet's bits",
    "programme.as_planned_wall_gouged": "no cut reaches past the final walls",
    "programme.as_planned_uncut_rest": "nothing stands on either floor that fills half of its gap",
    "programme_units.large": "the {part}'s cut is some {times:.1f} times as large as the sheet has it: inches for mm",
    "programme_units.small": "the {part}'s cut is some {times:.3f} times as large as the sheet has it: mm for inches",
    "programme_units.state": "post it in the sheet's unit, with G20 for inches or G21 for mm at its head",
    "programme_depths.off": "the {part} goes to Z{z:bare} when {step}, the plan to Z{planned:bare}: {off} {way}",
    "programme_depths.nothing": "nothing of the {part} is cut: the lowest Z is {z:bare}, the face is at Z{face:bare}",
    "programme_depths.no_cut_out": "no programme cuts the plug out of its blank",
    "programme_depths.zero_on": "its zero is the {other}, the sheet's the {zero}: set the zero on the {zero}",
    "programme_depths.type_cut_out": "type {depth:bare} as the depth of the cut-out",
    "programme_depths.type_pocket": "type {depth:bare} as the pocket depth",
    "programme_depths.type_start": "the start depth was left at 0: type {start:bare} as the plug's start depth",
    "programme_depths.type_below": (
        "the total was typed as the depth below the start: type {below:bare} below the start (total {total:bare})"
    ),
    "programme_depths.type_plug": (
        "type {start:bare} as the plug's start depth and {below:bare} below it (total {total:bare})"
    ),
    "programme_datum.shifted": "the {part}'s cut lies {by} off its place, {x:bare} in x and {y:bare} in y",
    "programme_datum.turned": "the {part}'s cut is turned by {turn:.2f} deg",
    "programme_datum.move_zero": "set the programme's zero where the sheet has it: datum {datum}",
    "programme_mirror.not_mirrored": "the plug is not mirrored",
    "programme_mirror.base_mirrored": "the base is mirrored",
    "programme_mirror.mirror_plug": "mirror the plug's drawing left to right and post it again",
    "programme_mirror.mirror_pocket": "post the base as it is seen on the finished face, the plug alone mirrored",
    "programme_mirror.another": (
        "what is cut of the {part} is not the outline: {share:share} of places along it are on their right side"
    ),
    "programme_mirror.differs": "the {part}'s edge runs up to {by} off the sheet's outline",
    "programme_mirror.lacks": "{share:share} of the outline has no edge in the {part}'s cut",
    "programme_mirror.post_again": "look whether it was posted before the drawing was last changed, and post it again",
    "programme_bit.angle": (
        "{bit} runs as a bit of {found:.1f} deg would, it is {declared:.1f} deg: walls off by {off} at their foot"
    ),
    "programme_bit.set_angle": "set {angle:.1f} deg in the bit list and post it again",
    "programme_bit.point": "{bit} runs as if it had a true point, it has a tip {declared} wide",
    "programme_bit.tip": "{bit} runs as if its tip were {found} wide, it is {declared}",
    "programme_bit.set_tip": "set a tip of {tip:bare} in the bit list and post it again",
    "wall_gouged.pocket": "{bit} cuts {by} past the base's final wall",
    "wall_gouged.plug": "{bit} cuts {by} into the plug's final wall",
    "wall_gouged.straight": "type {offset:bare} as the clearing offset, outline to the edge of {bit}",
    "wall_gouged.v": "keep {bit} to the walls: look at its angle and tip in the bit list",
    "uncut_rest.pocket": (
        "wood stands up to {high} over the pocket's floor, on {share:share} of it; the glue gap is {gap}"
    ),
    "uncut_rest.plug": (
        "wood stands up to {high} over the plug's own floor, on {share:share} of it; the surface gap is {gap}"
    ),
    "uncut_rest.file_missing": "look whether a clearing programme was left out",
    "uncut_rest.clean_up": "clean up what the clearing bit leaves with the V-bit, or with a smaller stepover",
}
