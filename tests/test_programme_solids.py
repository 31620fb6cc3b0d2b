"""Solids that programmes remove, by closed form at 10,000 points each, and against a general library for solids."""

from __future__ import annotations

import math

import manifold3d
import numpy as np
import pytest
from jobs import job

from inlayfit.cuts.removed import RemovedSolid
from inlayfit.cutters import Cutter, Profile, end_mill
from inlayfit.errors import InputError
from inlayfit.joint.job import Bits, ProgrammeSource
from inlayfit.programme.pieces import WITHIN, pieces
from inlayfit.programme.reader import read_programme
from inlayfit.proof.bits_used import bit_called, bits_of_tools
from inlayfit.proof.part_cut import Frame, PartCut, frame_of, part_cut
from inlayfit.shop.placement import Placement

Array = np.ndarray
COUNT = 10_000
POINT, FLAT, BALL = Profile(angle=60), Profile(angle=30, tip_radius=0.2), Profile(angle=40, rounding=0.5)
MILL, BULL = end_mill(3.0), end_mill(6.0, 1.0)
PROFILES = {"point": POINT, "flat": FLAT, "ball": BALL, "end mill": MILL, "corner radius": BULL}
HERE = Frame(at=(0, 0), middle=(0, 0), turn=0, mirrored=False, face=0)


def cutter(profile: Profile, name: str = "bit", **more: float) -> Cutter:
    return Cutter(
        name=name, shape=profile, real=profile, diameter=50, reach=None, depth_of_cut=9, stepover=1, **more
    )


def only(profile: Profile) -> Bits:
    return Bits(pocket_v=cutter(profile), plug_v=cutter(profile), clearing=(), cut_out=None, levelling=None)


def cut(profile: Profile, *lines: str, within: float = WITHIN, frame: Frame = HERE) -> PartCut:
    text = "\n".join(["G21 G90 G17 M3 S9000 F900", *lines, "M2"])
    programme = read_programme(text, name="part.nc", unit="mm")
    return part_cut("pocket", [(ProgrammeSource("part.nc", "v"), programme)], only(profile), frame, within)


def depth_of(profile: Profile, *lines: str, points: Array, within: float = WITHIN) -> Array:
    found = cut(profile, *lines, within=within).removed().depth_at(points)
    return np.maximum(found, 0.0)


def scattered(low: tuple[float, float], high: tuple[float, float]) -> Array:
    return np.random.default_rng(5).uniform(low, high, (COUNT, 2))


def agree(found: Array, expected: Array, clear: Array | None = None) -> None:
    """Equal within a millionth, but for points within a hair of an upright side."""
    use = slice(None) if clear is None else clear
    np.testing.assert_allclose(found[use], np.maximum(expected, 0.0)[use], rtol=0, atol=1e-6)
    assert (found > 0).any() and (found == 0).any()
    if clear is not None:
        assert clear.mean() > 0.98


def off_edge(profile: Profile, distance: Array) -> Array | None:
    return None if profile.slope else np.abs(distance - profile.flank_start) > 1e-5


@pytest.mark.parametrize("profile", PROFILES.values(), ids=PROFILES)
def test_plunge(profile: Profile) -> None:
    points = scattered((-6, -6), (6, 6))
    away = np.hypot(*(points - [0.5, 0.25]).T)
    found = depth_of(profile, "G0 X0.5 Y0.25 Z2", "G1 Z-4", "G0 Z2", points=points)
    agree(found, 4 - profile.rise(away), off_edge(profile, away))


@pytest.mark.parametrize("profile", PROFILES.values(), ids=PROFILES)
def test_straight_groove(profile: Profile) -> None:
    points = scattered((-9, -7), (25, 9))
    # from (1, 2) to (13, 7): 13 long
    x, y = points[:, 0] - 1, points[:, 1] - 2
    along = np.clip((x * 12 + y * 5) / 13, 0, 13)
    away = np.hypot(x - along * 12 / 13, y - along * 5 / 13)
    found = depth_of(profile, "G0 X1 Y2 Z2", "G1 Z-3", "X13 Y7", "G0 Z2", points=points)
    agree(found, 3 - profile.rise(away), off_edge(profile, away))


def test_ramp_of_a_point() -> None:
    # the greatest of a + s t - |p - p(t)| / T over the way: in the middle a + s u - v sqrt(1 - s2 T2) / T
    points = scattered((-4, -5), (24, 5))
    slope, steep = POINT.slope, 0.25
    u, v = points[:, 0], np.abs(points[:, 1])
    at = u + v * steep * slope / math.sqrt(1 - (steep * slope) ** 2)
    inside = 1 + steep * u - v * math.sqrt(1 - (steep * slope) ** 2) / slope
    ends = np.maximum(1 - np.hypot(u, v) / slope, 6 - np.hypot(u - 20, v) / slope)
    expected = np.where((at > 0) & (at < 20), inside, ends)
    found = depth_of(POINT, "G0 X0 Y0 Z2", "G1 Z-1", "X20 Z-6", "G0 Z2", points=points)
    agree(found, expected)


def test_ramp_of_an_end_mill() -> None:
    # where the tip is furthest on its way down with its edge still over the point
    points = scattered((-4, -5), (24, 5))
    u, v = points[:, 0], np.abs(points[:, 1])
    reach = np.sqrt(np.maximum(MILL.tip_radius**2 - v**2, 0))
    last = np.minimum(u + reach, 20)
    came = (v < MILL.tip_radius) & (u + reach > 0) & (u - reach < 20)
    edge = np.minimum(np.abs(v - MILL.tip_radius), np.minimum(np.abs(u + reach), np.abs(u - reach - 20)))
    found = depth_of(MILL, "G0 X0 Y0 Z2", "G1 Z-1", "X20 Z-6", "G0 Z2", points=points)
    agree(found, np.where(came, 1 + 0.25 * last, 0), edge > 1e-5)


def test_helix_of_an_end_mill() -> None:
    # two and a half turns down round (0, 0) at radius 10: at a point the last passing counts
    radius, reach, pitch = 10.0, MILL.tip_radius, 2.0
    points = scattered((-13, -13), (13, 13))
    away, angle = np.hypot(*points.T), np.arctan2(points[:, 1], points[:, 0]) % (2 * np.pi)
    cosine = (away**2 + radius**2 - reach**2) / (2 * away * radius)
    half = np.arccos(np.clip(cosine, -1, 1))
    end = 5 * np.pi
    last = angle + half
    last = last + 2 * np.pi * np.floor((end - (angle - half)) / (2 * np.pi))
    last = np.where(last - 2 * half > end, last - 2 * np.pi, last)
    expected = np.where(cosine < 1, pitch * np.minimum(last, end) / (2 * np.pi), 0)
    # clear of the sides, of where the helix begins and of where it ends
    clear = (np.abs(cosine - 1) > 1e-3) & (np.hypot(points[:, 0] - 10, points[:, 1]) > reach + 1e-2)
    clear &= np.abs(np.hypot(points[:, 0] + 10, points[:, 1]) - reach) > 1e-2
    found = depth_of(
        MILL, "G0 X10 Y0 Z0", "G3 I-10 Z-2", "I-10 Z-4", "X-10 I-10 Z-5", points=points, within=1e-7
    )
    use = clear & (expected > 0)
    np.testing.assert_allclose(found[use], expected[use], rtol=0, atol=1e-6)
    assert use.sum() > 2500
    assert not found[cosine > 1.001].any()


@pytest.mark.parametrize("profile", [POINT, FLAT, BALL, MILL, BULL], ids=PROFILES)
def test_ring(profile: Profile) -> None:
    points = scattered((-16, -16), (16, 16))
    off = np.abs(np.hypot(points[:, 0] - 1, points[:, 1] + 2) - 9)
    found = depth_of(
        profile, "G0 X10 Y-2 Z2", "G1 Z-3", "G2 I-9", "G0 Z2", points=points, within=1e-8
    )  # fmt: skip
    agree(found, 3 - profile.rise(off), off_edge(profile, off))


def test_chords_of_an_arc_leave_no_more_than_they_may() -> None:
    points = scattered((-16, -16), (16, 16))
    off = np.abs(np.hypot(points[:, 0] - 1, points[:, 1] + 2) - 9)
    found = depth_of(POINT, "G0 X10 Y-2 Z2", "G1 Z-3", "G2 I-9", "G0 Z2", points=points)
    expected = np.maximum(3 - POINT.rise(off), 0)
    assert WITHIN / 4 < np.abs(found - expected).max() <= WITHIN / POINT.slope + 1e-9


def test_square_pocket() -> None:
    # walls by the V-bit round a square of 20 at 5 deep, floor by the end mill on squares 2.5 apart
    points = scattered((-16, -16), (16, 16))
    walls = ("G0 X10 Y10 Z2", "G1 Z-5", "X-10", "Y-10", "X10", "Y10", "G0 Z2")
    floor = [f"G0 X{a} Y{a} Z1\nG1 Z-5\nX-{a}\nY-{a}\nX{a}\nY{a}\nG0 Z1" for a in (8.5, 6, 3.5, 1)]
    programme = read_programme(
        "\n".join(["G21 G90 F500 T1 M6", *floor, "T2 M6", *walls, "M2"]), name="a", unit="mm"
    )
    bits = Bits(pocket_v=cutter(FLAT, "v"), plug_v=cutter(FLAT, "v"), clearing=(cutter(MILL, "mill"),), cut_out=None,
                levelling=None)  # fmt: skip
    found = part_cut("pocket", [(ProgrammeSource("a", tools=((1, "clearing"), (2, "v"))), programme)], bits, HERE)
    assert [bit.called for bit in found.bits] == ["clearing", "v"]
    off = np.abs(points)
    wide = np.max(off, axis=1)
    outside = np.hypot(*np.maximum(off - 10, 0).T)
    to_square = np.where(wide > 10, outside, 10 - wide)
    cleared = np.hypot(*np.maximum(off - 8.5, 0).T) < MILL.tip_radius
    expected = np.maximum(5 - FLAT.rise(to_square), np.where(cleared, 5.0, 0.0))
    depth = np.maximum(found.removed().depth_at(points), 0)
    np.testing.assert_allclose(depth, np.maximum(expected, 0), rtol=0, atol=1e-6)
    # each piece knows its bit, and one bit's solid alone is less
    assert found.line[found.bit == 1].min() == "\n".join(floor).count("\n") + 4
    alone = found.removed(use=found.bit == 1).depth_at(points)
    np.testing.assert_allclose(np.maximum(alone, 0), np.maximum(5 - FLAT.rise(to_square), 0), atol=1e-6)


# --- frames ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("part", ["pocket", "plug"])
@pytest.mark.parametrize("touch_off", ["face", "bed"])
def test_frame_of_a_part(part: str, touch_off: str) -> None:
    import shapely
    import shapely.affinity

    from inlayfit.shop.blanks import placed

    sheet = job({"touch_off": touch_off})
    drawn = shapely.Polygon([(3, 1), (21, 4), (8, 9)])
    at, turn = (40.0, -7.0), 25.0
    on_blank = placed(drawn, at, turn=turn, mirrored=part == "plug")
    placement = Placement(area=on_blank, blank=None, middle=(12.0, 5.0), at=at, turn=turn)
    frame = frame_of(sheet, part, placement)  # type: ignore[arg-type]
    thickness = sheet.plug.thickness if part == "plug" else sheet.base.thickness
    face = 0.0 if touch_off == "face" else thickness
    corners = np.array(on_blank.exterior.coords)
    places = np.column_stack([corners, np.full(len(corners), face - 2.5)])
    back = frame.drawn(places)
    np.testing.assert_allclose(back[:, :2], np.array(drawn.exterior.coords), atol=1e-9)
    np.testing.assert_allclose(back[:, 2], 2.5)


# --- which bit -------------------------------------------------------------------------------------------------------


def bits(*, two_v: bool = False, two_clearing: bool = False) -> Bits:
    clearing = (cutter(end_mill(6), "6 mm bit"), *((cutter(end_mill(3), "3 mm bit"),) if two_clearing else ()))
    return Bits(
        pocket_v=cutter(FLAT, "fine V"), plug_v=cutter(FLAT, "old V") if two_v else cutter(FLAT, "fine V"),
        clearing=clearing, cut_out=clearing[0], levelling=cutter(end_mill(25), "surfacing bit"),
    )  # fmt: skip


def test_bits_by_role_and_name() -> None:
    for name in ("v", "pocket_v", "plug_v", "fine V", "FINE  v"):
        assert bit_called(name, bits()).cutter.name == "fine V"
    for name in ("clearing", "6 mm bit", "cut_out"):
        assert bit_called(name, bits()).cutter.name == "6 mm bit"
    assert bit_called("levelling", bits()).cutter.name == "surfacing bit"
    assert bit_called("old V", bits(two_v=True)).cutter.name == "old V"


@pytest.mark.parametrize(
    ("name", "options", "problem"),
    [
        ("v", {"two_v": True}, "two bits could be meant, fine V, old V; write the bit's role, pocket_v or plug_v"),
        ("clearing", {"two_clearing": True}, "two bits could be meant, 6 mm bit, 3 mm bit; write the bit's name"),
        ("ball", {}, "found ball, expected a bit of the sheet: v, pocket_v, plug_v, clearing, cut_out, levelling, "),
    ],
)
def test_no_guess_where_two_bits_could_be_meant(name: str, options: dict[str, bool], problem: str) -> None:
    with pytest.raises(InputError) as caught:
        bit_called(name, bits(**options))
    assert problem in str(caught.value)


@pytest.mark.parametrize(
    ("source", "starts", "problem"),
    [
        (ProgrammeSource("a.nc"), {-1: 4}, "a.nc cuts with no T (line 4), expected which bit that is: fine V, "),
        (ProgrammeSource("a.nc"), {1: 4, 2: 90}, "a.nc cuts with T1 (line 4), T2 (line 90): expected the bit of each"),
        (ProgrammeSource("a.nc", "v"), {1: 4, 2: 90}, "bit: a.nc cuts with T1 (line 4), T2 (line 90)"),
        (ProgrammeSource("a.nc", "mill"), {1: 4}, "bit: found mill, expected a bit of the sheet"),
        (ProgrammeSource("a.nc", tools=((1, "v"),)), {1: 4, 2: 90}, "tools: T2 cuts in a.nc from line 90, expected"),
        (ProgrammeSource("a.nc", tools=((1, "v"), (3, "v"))), {1: 4}, "tools.3: found T3, expected a bit that cuts"),
        (ProgrammeSource("a.nc", tools=((1, "v"),)), {-1: 4}, "tools.1: found T1"),
        (ProgrammeSource("a.nc", tools=((1, "x"),)), {1: 4}, "tools.1: found x"),
    ],
)  # fmt: skip
def test_what_a_tool_number_cannot_mean(source: ProgrammeSource, starts: dict[int, int], problem: str) -> None:
    with pytest.raises(InputError) as caught:
        bits_of_tools(source, starts, bits())
    assert problem in str(caught.value)


def test_one_bit_needs_no_word() -> None:
    alone = Bits(pocket_v=cutter(FLAT), plug_v=cutter(FLAT), clearing=(), cut_out=None, levelling=None)
    assert bits_of_tools(ProgrammeSource("a.nc"), {-1: 4}, alone)[-1].cutter == cutter(FLAT)


def test_bits_of_several_files_and_their_lines() -> None:
    one = read_programme("G21 G90 F9\nG0 X0 Y0 Z1\nG1 Z-1\nM2", name="a.nc", unit="mm")
    two = read_programme("G21 G90 F9\nG0 X5 Y0 Z9\nT7 M6\nG0 X5 Y0 Z1\nG1 Z-2 S5\nG0 Z3\nM2", name="b.nc", unit="mm")
    sources = [(ProgrammeSource("a.nc", "v"), one), (ProgrammeSource("b.nc", tools=((7, "clearing"),)), two)]
    found = part_cut("pocket", sources, bits(), HERE)
    assert found.files == ("a.nc", "b.nc")
    assert list(zip(found.file.tolist(), found.line.tolist(), found.bit.tolist())) == [
        (0, 2, 0), (0, 3, 0), (1, 2, 1), (1, 4, 1), (1, 5, 1), (1, 6, 1),
    ]  # fmt: skip
    with pytest.raises(InputError, match="expected which bit"):
        part_cut("pocket", [(ProgrammeSource("a.nc"), one)], bits(), HERE)


# --- volumes against a general library for solid geometry ------------------------------------------------------------

SIDES = 64


def silhouette(profile: Profile, height: float) -> Array:
    """Radius and height of the cutter up to `height`; its arc in 24 steps."""
    if profile.rounding:
        top = math.pi / 2 - math.radians(profile.angle / 2)
        steps = np.linspace(0, top, 25)
        rows = [
            (profile.tip_radius + profile.rounding * math.sin(a), profile.rounding * (1 - math.cos(a))) for a in steps
        ]
    else:
        rows = [(profile.tip_radius, 0.0)]
    return np.array([*rows, (profile.half_width_at(height) if profile.slope else rows[-1][0], height)])


def swept_volume(part: PartCut, low: float) -> float:
    """Volume below the face of the hulls between neighbouring places of the cutter."""
    way = (np.arange(SIDES) + 0.5) * 2 * np.pi / SIDES
    # as wide on the whole as a true circle
    wider = math.sqrt(2 * np.pi / SIDES / math.sin(2 * np.pi / SIDES))
    circle = np.column_stack([np.cos(way), np.sin(way)]) * wider
    hulls = []
    for start, end, bit in zip(part.start, part.end, part.bit):
        if max(start[2], end[2]) <= 0:
            continue
        shape = silhouette(part.bits[bit].cutter.real, low + 2)
        points = []
        for place in (start, end):
            for radius, height in shape:
                points.append(np.column_stack([place[:2] + radius * circle, np.full(SIDES, height - place[2])]))
        hulls.append(manifold3d.Manifold.hull_points(np.concatenate(points)))
    solid = manifold3d.Manifold.batch_boolean(hulls, manifold3d.OpType.Add)
    return float((solid ^ manifold3d.Manifold.cube((200, 200, low + 1)).translate((-100, -100, -low - 1))).volume())


def raster_volume(solid: RemovedSolid, reach: float, cells: int) -> float:
    edges = np.linspace(-reach, reach, cells + 1)
    middle = (edges[1:] + edges[:-1]) / 2
    x, y = np.meshgrid(middle, middle)
    depth = np.maximum(solid.depth_at(np.column_stack([x.ravel(), y.ravel()])), 0)
    return float(depth.sum()) * (2 * reach / cells) ** 2


def wavy(dice: np.random.Generator) -> tuple[str, ...]:
    """Ups and downs, turns and arcs within 10 mm of the zero."""
    lines = ["G0 X0 Y0 Z1"]
    for _ in range(4):
        x, y, z = dice.uniform(-8, 8), dice.uniform(-8, 8), -dice.uniform(0.2, 3)
        lines.append(f"G1 X{x:.3f} Y{y:.3f} Z{z:.3f}")
        lines.append(f"G{dice.integers(2, 4)} X{x + 1:.3f} Y{y + 1:.3f} R{dice.uniform(0.8, 2):.3f} Z{z - 0.3:.3f}")
    return (*lines, "G1 Z-4", "G0 Z1")


@pytest.mark.parametrize("number", range(10))
def test_volumes_against_a_library_for_solids(number: int) -> None:
    profile = list(PROFILES.values())[number % 5]
    part = cut(profile, *wavy(np.random.default_rng(number)), within=0.05)
    exact = swept_volume(part, 5.0)
    found = raster_volume(part.removed(), 16.0, 300)
    assert found == pytest.approx(exact, rel=0.006)
    assert exact > 10


def test_points_that_no_piece_comes_near() -> None:
    part = cut(MILL, "G0 X0 Y0 Z2", "G1 Z-1")
    assert part.removed().depth_at(np.array([[9.0, 9.0]])).tolist() == [-np.inf]
    assert cut(MILL, "G0 X0 Y0 Z2", "G1 X3 Z0").removed().paths == ()
    assert len(pieces(read_programme("G21 G90\nM2", name="a", unit="mm").moves)) == 0
