"""A second, duller way to the seat: both cuts as a field of samples, straight from what a cutter does.

A tip that stands at c, d deep, cuts d less the cutter's rise at the distance |x - c|; the depth of a cut at x is the
greatest over all tips. The tips stand close together along the programme: at the centre of the largest disc that
touches the wall at a place (found by halving, from exact distances), (radius - declared tip) / declared slope deep,
or on the full-depth contour.
A tip's disc is a disc, not rounded to cells. Lengths in mm.

Corners that turn by less than 8 degrees are a curve's flattening: no bit is sent up into them.
"""

import numpy as np
import shapely

TURN = np.radians(8.0)
BENT = 2e-4
GROUP = 0.1


class Tips:
    """Places and depths of one bit's tip; `sign` 1 for the pocket (inside the outline), -1 for the plug (outside)."""

    def __init__(self, cut, sign, spacing, step=0.1):
        self.bit = cut.pocket_bit if sign > 0 else cut.plug_bit
        self.lines = cut.outline.boundary
        shapely.prepare(self.lines)
        self.sign, self.spacing = sign, spacing
        if sign > 0:
            passes = [(depth, 0.0) for depth in (cut.pocket_depth, *cut.pocket_passes)]
            error = cut.pocket_v_error
        else:
            error = cut.plug_v_error
            passes = [
                (below, start - cut.start_depth)
                for start, below in ((cut.start_depth, cut.depth_below_start), *cut.plug_passes)
            ]
        r, slope = self.bit.declared.flank_radius, self.bit.declared.slope
        self.largest = r + slope * max(depth for depth, _ in passes)
        pieces = self.pieces(cut.outline, step)
        place, depth, piece = [], [], []
        for limit, lower in passes:
            foot, angle, radius, number = self.along(pieces, (r, r + limit * slope))
            use = radius >= r - 1e-12
            radius = np.minimum(radius, r + limit * slope)
            place.append((foot + radius[:, None] * _unit(angle))[use])
            depth.append((radius[use] - r) / slope + lower + error)
            piece.append(number[use])
        self.place, self.depth, self.piece = np.concatenate(place), np.concatenate(depth), np.concatenate(piece)
        self.by_x = np.argsort(self.place[:, 0], kind="stable")

    def radius(self, foot, angle):
        """Largest disc that touches the wall at these feet from these directions."""
        low, high = np.zeros(len(foot)), np.full(len(foot), self.largest)
        normal = _unit(angle)

        def empty(radius):
            centre = shapely.points(foot + radius[:, None] * normal)
            return ~shapely.dwithin(self.lines, centre, radius * (1 - 1e-7) - 1e-9)

        low[empty(high)] = self.largest
        open_ = np.flatnonzero(low < high)
        foot, normal = foot[open_], normal[open_]
        a, b = low[open_], high[open_]
        for _ in range(34):
            middle = (a + b) / 2
            good = empty(middle)
            a, b = np.where(good, middle, a), np.where(good, b, middle)
        low[open_] = a
        return low

    def pieces(self, outline, step):
        """Pieces of wall (feet, directions, radii at both ends) between which the radius goes in proportion."""
        rows = []
        for polygon in outline.geoms:
            whole = shapely.orient_polygons(polygon)
            for ring in (whole.exterior, *whole.interiors):
                points = np.array(ring.coords)[:-1][:: self.sign]
                points = points[np.hypot(*(points - np.roll(points, 1, 0)).T) > 1e-9]
                edge = np.roll(points, -1, 0) - points
                length, heading = np.hypot(*edge.T), np.arctan2(edge[:, 1], edge[:, 0])
                turn = (heading - np.roll(heading, 1) + np.pi) % (2 * np.pi) - np.pi
                for i in range(len(points)):
                    at = np.linspace(0, length[i], int(np.ceil(length[i] / step)) + 1)
                    feet = points[i] + at[:, None] / length[i] * edge[i]
                    out = heading[i] + np.pi / 2
                    rows += [(*a, *b, out, out) for a, b in zip(feet, feet[1:])]
                    if turn[i] < 0:
                        way = np.linspace(out - turn[i], out, int(np.ceil(-turn[i] / 0.1)) + 1)
                        rows += [(*points[i], *points[i], a, b) for a, b in zip(way, way[1:])]
        rows = np.array(rows)
        one, two, a, b = rows[:, :2], rows[:, 2:4], rows[:, 4], rows[:, 5]
        r, q = self.radius(one, a), self.radius(two, b)
        done = []
        for _ in range(12):
            foot, angle = (one + two) / 2, (a + b) / 2
            middle = self.radius(foot, angle)
            off = (np.abs(middle - (r + q) / 2) > BENT) & (np.hypot(*(two - one).T) + abs(b - a) > 1e-3)
            halves = (
                np.r_[one, foot],
                np.r_[foot, two],
                np.r_[a, angle],
                np.r_[angle, b],
                np.r_[r, middle],
                np.r_[middle, q],
            )
            again = np.r_[off, off]
            done.append([column[~again] for column in halves])
            one, two, a, b, r, q = (column[again] for column in halves)
            if not len(one):
                break
        done.append([one, two, a, b, r, q])
        one, two, a, b, r, q = (np.concatenate(column) for column in zip(*done))
        run = np.hypot(*(two - one).T)
        flattening = (run > 0) & (np.abs(q - r) * np.tan(TURN / 2) > run)
        return [column[~flattening] for column in (one, two, a, b, r, q)]

    def along(self, pieces, bends):
        """Close places along the pieces, with those where the tip enters the wood and where it reaches full depth."""
        one, two, a, b, r, q = pieces
        with np.errstate(divide="ignore", invalid="ignore"):
            marks = [np.nan_to_num(np.clip((bend - r) / (q - r), 0, 1)) for bend in bends]
        share = np.sort(np.stack([np.zeros(len(r)), *marks, np.ones(len(r))], 1), 1)
        run = np.hypot(*(two + q[:, None] * _unit(b) - one - r[:, None] * _unit(a)).T)
        count = np.ceil(np.diff(share, axis=1) * run[:, None] / self.spacing).astype(int)
        piece, part = np.divmod(np.repeat(np.arange(count.size), (count + 1).ravel()), count.shape[1])
        first = np.repeat(np.cumsum((count + 1).ravel()) - (count + 1).ravel(), (count + 1).ravel())
        step = np.arange(len(piece)) - first
        at = share[piece, part] + step / np.maximum(count[piece, part], 1) * np.diff(share, axis=1)[piece, part]
        foot = one[piece] + at[:, None] * (two - one)[piece]
        return foot, a[piece] + at * (b - a)[piece], r[piece] + at * (q - r)[piece], piece

    def depth_at(self, points, floor):
        """Depth cut at points (n, 2); cuts that stay above `floor` are not looked for."""
        cutter = self.bit.actual
        found = np.full(len(points), -np.inf)
        reach = _half_width(cutter, max(0.0, self.depth.max(initial=0.0) - floor)) + 1e-9
        _, group = np.unique(np.floor(points / GROUP).astype(int), axis=0, return_inverse=True)
        along_x = self.place[self.by_x, 0]
        order = np.argsort(group.ravel(), kind="stable")
        for rows in np.split(order, np.flatnonzero(np.diff(group.ravel()[order])) + 1):
            some = points[rows]
            centre, half = (some.min(0) + some.max(0)) / 2, np.hypot(*(some.max(0) - some.min(0))) / 2
            near = self.by_x[slice(*np.searchsorted(along_x, centre[0] + np.array([-1, 1]) * (reach + half)))]
            near = near[np.abs(self.place[near, 1] - centre[1]) < reach + half]
            if not len(near):
                continue
            # no cutter's edge is steeper than 1 / slope: a tip lower than that at the centre is nowhere the deepest
            middle = self.depth[near] - rise(cutter, np.hypot(*(self.place[near] - centre).T))
            near = near[middle >= middle.max() - 2 * half / cutter.slope - 1e-9]
            for part in np.array_split(rows, max(1, len(near) * len(rows) // 200_000)):
                gap_x = points[part, 0, None] - self.place[near, 0]
                gap_y = points[part, 1, None] - self.place[near, 1]
                distance = np.sqrt(gap_x * gap_x + gap_y * gap_y)
                found[part] = (self.depth[near] - rise(cutter, distance)).max(1)
        return found


class Field:
    """The overlap of plug and base, m = plug's height over its start plane less the base's depth, at any points."""

    def __init__(self, cut, spacing=0.01):
        self.cut, self.spacing = cut, spacing
        self.pocket, self.plug = Tips(cut, 1, spacing), Tips(cut, -1, spacing)

    def overlap(self, points):
        cut = self.cut
        where = shapely.points(points)
        shapely.prepare(cut.outline)
        # along lines, which unlike plain distances are found with the help of the prepared outline
        away = shapely.length(shapely.shortest_line(self.pocket.lines, where))
        away *= np.where(shapely.intersects(cut.outline, where), 1, -1)
        base = np.maximum(self.pocket.depth_at(points, 0.0), 0.0)
        height = np.minimum(-self.plug.depth_at(points, -cut.start_depth), cut.start_depth)
        bit = cut.pocket_bit.declared
        own_tip = 0.0 if cut.clearing else bit.flank_radius
        floor = cut.start_depth - (cut.floor_lift if cut.clearing else cut.v_floor_lift)
        base = np.where(away >= cut.pocket_depth * bit.slope + own_tip, np.maximum(base, floor), base)
        web = away <= -cut.depth_below_start * cut.plug_bit.declared.slope
        height = np.where(web, np.minimum(height, -cut.depth_below_start - cut.plug_floor_error), height)
        return height - base

    def sampled(self, cell, seed=1):
        """m at one point by chance in each cell of the plan round the outline, and those points."""
        low = np.array(self.cut.outline.bounds[:2]) - 0.3
        high = np.array(self.cut.outline.bounds[2:]) + 0.3
        grid = np.stack(np.meshgrid(*(np.arange(a, b, cell) for a, b in zip(low, high)), indexing="ij"), -1).reshape(
            -1, 2
        )
        points = grid + np.random.default_rng(seed).random(grid.shape) * cell
        points = points[shapely.dwithin(self.cut.outline, shapely.points(points), 0.3)]
        return points, self.overlap(points)

    def first_touch(self, points, m, cell, places=60):
        """Greatest m, with tips closer by: windows round the highest samples, then smaller ones round the best of them.

        The ridge over a stroke is only some thousandths wide, so the windows' own steps are fine from the start.
        """
        fine = Field(self.cut, self.spacing / 8)
        order = np.argsort(-m)
        left, found = order[m[order] > m.max() - 4 * cell / self.pocket.bit.actual.slope], []
        while len(left) and len(found) < places:
            centre = points[left[0]]
            left = left[np.hypot(*(points[left] - centre).T) > 5 * cell]
            found.append(fine.best_in(centre, 3 * cell, 49))
        best = -np.inf
        for top, centre in sorted(found, key=lambda x: -x[0])[:10]:
            half = 0.75 * cell
            while half > 0.0002:
                top, centre = max((top, centre), fine.best_in(centre, half, 17), key=lambda x: x[0])
                half /= 2
            best = max(best, top)
        return best

    def best_in(self, centre, half, grain):
        """Greatest m in a square window and its place."""
        ticks = np.linspace(-half, half, grain)
        window = centre + np.stack(np.meshgrid(ticks, ticks), -1).reshape(-1, 2)
        m = self.overlap(window)
        return m.max(), window[m.argmax()]


def rise(cutter, distance):
    """Height of the cutting edge over the tip at these distances from the bit's axis."""
    flank = np.maximum(distance - cutter.flank_radius, 0.0) / cutter.slope
    if not cutter.rounding:
        return flank
    b = cutter.rounding
    ball = b - np.sqrt(np.maximum(b * b - distance**2, 0.0))
    return np.where(distance < b * np.cos(np.arctan(cutter.slope)), ball, flank)


def lift_with(m, cell, area):
    """Lift above which this plan area overlaps, from samples that stand for a cell each."""
    highest = np.sort(m)[::-1]
    return float(np.interp(area / cell**2, np.arange(1, len(m) + 1), highest))


def _half_width(cutter, height):
    return max(cutter.flank_radius + height * cutter.slope, cutter.rounding)


def _unit(angle):
    return np.stack([np.cos(angle), np.sin(angle)], -1)
