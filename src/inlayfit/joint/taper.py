"""Where walls come to bear: closed forms of a taper joint cut by bits and settings that are a little off.

A wall was cut with the tip programmed to ``depth`` in the pocket and to ``below`` under the plug's start plane. With
declared values n and real ones a, both cuts too deep by e, and the plug standing L over its nominal seat, the
clearance of the two walls, sideways, z below the base's face is

    (r_a - r_n)p + (r_a - r_n)g + depth (T_a - T_n)p + below (T_a - T_n)g + e_p T_ap + (e_g + L) T_ag + z (T_ag - T_ap)

Lengths in mm; docs/method.md derives it.
"""

from __future__ import annotations

from inlayfit.cutters import Profile


def widened(declared: Profile, real: Profile, depth: float) -> float:
    """How much further out than declared a bit's flank runs, level with the face, tip ``depth`` mm down.

    Negative where it runs further in.
    """
    return real.flank_radius - declared.flank_radius + depth * (real.slope - declared.slope)


def wall_lift(
    pocket: tuple[Profile, Profile],
    plug: tuple[Profile, Profile],
    *,
    depth: float,
    below: float,
    joined: float,
    pocket_error: float = 0.0,
    plug_error: float = 0.0,
) -> float:
    """Lift in mm at which the walls first bear, for (declared, real) bits; above 0 the plug stands proud.

    ``joined`` is how deep the walls face each other: the start depth, or the stroke's depth where that is less.

    One bit, its tip wider than declared by 0.02 mm (r by 0.01), at 30 deg in both cuts: down by 2 (0.01) / T.

    >>> declared, worn = Profile(angle=30, tip_radius=0.05), Profile(angle=30, tip_radius=0.06)
    >>> round(wall_lift((declared, worn), (declared, worn), depth=6, below=2.5, joined=5.5), 4)
    -0.0746
    """
    real_pocket, real_plug = pocket[1].slope, plug[1].slope
    at_face = widened(*pocket, depth) + widened(*plug, below) + pocket_error * real_pocket + plug_error * real_plug
    lift_face = -at_face / real_plug
    # the lower end of the facing walls, at z = joined - L
    lift_foot = -(at_face + joined * (real_plug - real_pocket)) / real_pocket
    return max(lift_face, lift_foot)
