"""A second, duller way to the same answers: polygon sections of pocket and plug, level by level.

Valid where the real bit has the declared angle. Pocket at depth z: the outline eroded by the declared tip and z times
the slope, then grown by the real tip; plug at height t likewise from outside. Their overlap in plan at a lift is the
union, over the levels, of what the plug's section has outside the pocket's. Facets of the arcs are finer than
0.0005 mm.
"""

import numpy as np
import shapely

SEGMENTS = 48


class Sections:
    def __init__(self, cut, levels=140):
        assert cut.pocket_bit.declared.angle == cut.pocket_bit.actual.angle
        self.cut = cut
        self.slope = cut.pocket_bit.declared.slope
        self.depths = (np.arange(levels) + 0.0) / levels * cut.pocket_depth
        self.pockets = [self.pocket(z) for z in self.depths]
        self.known = {}

    def pocket(self, z):
        cut = self.cut
        r_n, r_a = cut.pocket_bit.declared.tip_radius, cut.pocket_bit.actual.tip_radius
        deep = z - cut.pocket_v_error
        core = cut.outline.buffer(-(r_n + max(deep, 0) * self.slope), quad_segs=SEGMENTS)
        return core.buffer(r_a + max(-deep, 0) * self.slope, quad_segs=SEGMENTS)

    def plug(self, t):
        cut = self.cut
        r_n, r_a = cut.plug_bit.declared.tip_radius, cut.plug_bit.actual.tip_radius
        up = t + cut.plug_v_error
        grown = cut.outline.buffer(r_n + max(-up, 0) * self.slope, quad_segs=SEGMENTS)
        return grown.buffer(-(r_a + max(up, 0) * self.slope), quad_segs=SEGMENTS)

    def overlap(self, lift):
        """Plan area of the overlap at a lift [mm2]."""
        key = round(lift, 6)
        if key not in self.known:
            parts = []
            for z, pocket in zip(self.depths, self.pockets):
                if z + lift > self.cut.start_depth or z + lift < -self.cut.depth_below_start:
                    continue
                parts.append(self.plug(z + lift).difference(pocket))
            self.known[key] = shapely.union_all(parts).area if parts else 0.0
        return self.known[key]

    def lift_with(self, area, low, high, within=0.004):
        """The lift at which the overlap has this plan area, by halving between two lifts."""
        while high - low > within:
            middle = (low + high) / 2
            if self.overlap(middle) > area:
                low = middle
            else:
                high = middle
        return (low + high) / 2
