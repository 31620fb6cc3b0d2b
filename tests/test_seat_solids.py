"""The seat against solids: plug and base carved by swept cutters with a general library for solid geometry.

Between two neighbouring places of the tip the cutter sweeps the hull of both its positions. The cones have 48 sides
about the true circle and bends are chords, so that both cuts are too wide by up to SLACK and never too narrow: the
solids touch no earlier than the seat says.
"""

import manifold3d
import numpy as np
import pytest
from joints import MIXED, joint, seat_of_cut
from seat_field import Tips
from shapely import affinity
from test_seat_height_field import arrow

SIDES = 48
SLACK = 0.005
NOTHING = 1e-5
STRENGTH = 7.0


def extruded(shape, low, high):
    rings = []
    for polygon in getattr(shape, "geoms", [shape]):
        rings += [np.array(ring.coords)[:-1] for ring in (polygon.exterior, *polygon.interiors)]
    section = manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd)
    return manifold3d.Manifold.extrude(section, high - low).translate((0, 0, low))


def swept(tips, top):
    """Everything that the cutter goes through below `top`; depths positive along z."""
    cutter, way = tips.bit.actual, np.arange(SIDES) * 2 * np.pi / SIDES
    circle = np.stack([np.cos(way), np.sin(way), 0 * way], 1) / np.cos(np.pi / SIDES)

    def position(i):
        place, depth = np.append(tips.place[i], 0.0), tips.depth[i]
        narrow, broad = cutter.tip_radius, cutter.tip_radius + (depth - top) * cutter.slope
        return [place + narrow * circle + [0, 0, depth], place + broad * circle + [0, 0, top]]

    pairs = np.flatnonzero(np.diff(tips.piece) == 0)
    hulls = [manifold3d.Manifold.hull_points(np.concatenate(position(i) + position(i + 1))) for i in pairs]
    return manifold3d.Manifold.batch_boolean(hulls, manifold3d.OpType.Add)


def solids(cut):
    """Base and plug as they lie at lift 0, z downwards from the base's face."""
    bit = cut.pocket_bit.declared
    plan = cut.outline.buffer(0.3)
    base = extruded(plan, 0.0, cut.pocket_depth + 1) - swept(Tips(cut, 1, 1e9, 1.5), -0.1)
    floor = cut.outline.buffer(-cut.pocket_depth * bit.slope, quad_segs=SIDES)
    if not floor.is_empty:
        base -= extruded(floor, -0.1, cut.pocket_depth)
    # the plug's face lies at z = start depth, and its bit came from there: deeper cuts have the lesser z
    carved = swept(Tips(cut, -1, 1e9, 1.5), -cut.start_depth - 0.1).mirror((0, 0, 1))
    return base, extruded(plan, -1.0, cut.start_depth) - carved


CASES = [
    ("arrow", arrow, {"tip": 0.05}),
    ("star, worn tip, plug deeper", lambda: affinity.scale(MIXED["star"](), 0.6, 0.6, origin=(0, 0)),
     {"tip": 0.1, "real_tip": 0.08, "plug_error": 0.05}),
]  # fmt: skip


@pytest.mark.wide
@pytest.mark.parametrize(("name", "make", "given"), CASES, ids=[c[0] for c in CASES])
def test_overlap_of_the_solids(name, make, given):
    cut = joint(make(), **given)
    force = 0.7 * cut.outline.area
    found = seat_of_cut(cut, crush_strength_mpa=STRENGTH, clamp_force_n=force)
    base, plug = solids(cut)

    def overlap(lift):
        return base ^ plug.translate((0, 0, -lift))

    assert found.lift < found.first_touch - 0.05
    assert overlap(found.first_touch).volume() < NOTHING
    assert overlap(found.first_touch - 0.1).volume() > 10 * NOTHING
    # too wide by SLACK, the solids lie that much lower on their flanks
    lower = 2 * SLACK / cut.plug_bit.actual.slope
    bearing = [STRENGTH * overlap(found.lift + dz).project().area() for dz in (0.03, -0.03 - lower)]
    assert bearing[0] < force < bearing[1]
    volumes = [overlap(found.first_touch - down).volume() for down in (0.0, 0.1)]
    here = overlap(found.lift).project().area() * STRENGTH
    print(f"| {name} | {volumes[0]:.1e} | {volumes[1]:.1e} | {force:.1f} | {here:.1f} |")
