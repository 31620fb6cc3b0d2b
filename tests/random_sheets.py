"""Job sheets made at random, seeded: shapes, woods, bits, gaps and shops of small makers, sound and unsound."""

from __future__ import annotations

import math
import random
from typing import Any

MM_PER_INCH = 25.4
WOODS = ("black walnut", "cherry", "white oak", "sugar maple", "red alder")


class SheetMaker:
    """Makes one sheet after the other from a seed, as plain values for YAML."""

    def __init__(self, seed: int) -> None:
        self.dice = random.Random(seed)
        self.per_unit = 1.0

    def sheet(self) -> dict[str, Any]:
        dice = self.dice
        unit = dice.choice(["mm", "in"])
        self.per_unit = 1.0 if unit == "mm" else MM_PER_INCH
        made: dict[str, Any] = {
            "title": f"trial {dice.randrange(10_000)}",
            "unit": unit,
            "outline": {"shapes": self.shapes()},
            "base": {"wood": dice.choice(WOODS), "thickness": self.size(dice.choice([8, 12, 16, 19, 25])),
                     "blank": [self.size(140), self.size(130)]},
            "plug": {"wood": dice.choice(WOODS), "thickness": self.size(dice.choice([8, 10, 13, 16])),
                     "blank": [self.size(130), self.size(130)], "cut_out": dice.choice(["yes", "no"])},
            "joint": self.joint(),
            "bits": self.bits(),
        }  # fmt: skip
        if dice.random() < 0.3:
            made["touch_off"] = "bed"
        if dice.random() < 0.3:
            made["datum"] = dice.choice(["lower left", "centre"])
        if dice.random() < 0.3:
            made["hold_downs"] = [
                {"part": dice.choice(["base", "plug"]), "rectangle": [self.size(20), self.size(20)],
                 "at": [self.size(dice.uniform(20, 60)), self.size(50)], "height": self.size(15)}
            ]  # fmt: skip
        if dice.random() < 0.5:
            made["tolerance"] = {
                "touch_off": self.size(dice.choice([0.03, 0.05, 0.1])), "angle": 0.25, "tip": self.size(0.02),
                "runout": self.size(0.01), "warp": self.size(0.1), "thickness": self.size(0.1),
                "square": "0.1 mm in 300 mm",
            }  # fmt: skip
        if dice.random() < 0.2:
            made["climate"] = {"cutting": {"moisture": "8 %"}, "use": {"temperature": "21 C", "humidity": "35 %"}}
        return made

    def size(self, mm: float) -> float:
        return round(mm / self.per_unit, 4)

    def joint(self) -> dict[str, Any]:
        dice = self.dice
        made = {"glue_gap": self.size(dice.uniform(0.15, 0.9)), "surface_gap": self.size(dice.uniform(0.8, 3))}
        if dice.random() < 0.8:
            made["pocket_depth"] = self.size(dice.uniform(2, 7))
        if dice.random() < 0.6:
            made["level_below"] = made["sanding"] = self.size(0.2)
        return made

    def bits(self) -> dict[str, Any]:
        dice = self.dice
        made: dict[str, Any] = {}
        if dice.random() < 0.25:
            angle = dice.choice([30, 60])
            made["pocket_v"], made["plug_v"] = self.v_bit(angle, "one"), self.v_bit(angle, "other")
        else:
            made["v"] = self.v_bit(dice.choice([20, 30, 45, 60, 90]), "the V")
        mills = dice.choice([(), (3,), (6,), (6, 3), (1.5,)])
        if mills:
            made["clearing"] = [
                {"name": f"{mill} mill", "diameter": self.size(mill), "depth_of_cut": self.size(mill / 2),
                 "reach": self.size(20)}
                for mill in mills
            ]  # fmt: skip
        if dice.random() < 0.4:
            made["levelling"] = {"name": "facer", "diameter": self.size(25), "depth_of_cut": self.size(1)}
        return made

    def v_bit(self, angle: float, name: str) -> dict[str, Any]:
        dice = self.dice
        made: dict[str, Any] = {
            "name": name, "angle": angle, "diameter": self.size(dice.choice([6, 12, 25])),
            "depth_of_cut": self.size(dice.choice([2, 4, 6])), "stepover": dice.choice(["2 %", "4 %", "12 %"]),
        }  # fmt: skip
        if dice.random() < 0.1:
            made["ball"] = self.size(dice.choice([0.2, 0.4]))
        else:
            tip = dice.choice([0, 0.05, 0.1, 0.2])
            made["tip"] = self.size(tip)
            if dice.random() < 0.3:
                made["measured"] = {"angle": round(angle + dice.uniform(-0.8, 0.8), 2),
                                    "tip": self.size(tip + dice.uniform(0, 0.06))}  # fmt: skip
        if dice.random() < 0.6:
            made["reach"] = self.size(dice.choice([8, 14, 20]))
        return made

    def shapes(self) -> list[dict[str, Any]]:
        dice, size = self.dice, self.size
        wide = dice.uniform(15, 70)
        kind = dice.choice(["disc", "ring", "plate", "star", "stroke", "leaf", "comb", "several", "polygon"])
        if kind == "disc":
            return [{"circle": size(wide)}]
        if kind == "ring":
            return [{"circle": size(wide)}, {"circle": size(0.45 * wide), "at": [size(0.05 * wide), 0], "hole": True}]
        if kind == "plate":
            return [{"rectangle": [size(wide), size(wide * dice.uniform(0.3, 1))], "turn": "33 deg"}]
        if kind == "star":
            return [{"star": {"points": dice.choice([4, 5, 7]), "across": size(wide), "inner": size(0.5 * wide)}}]
        if kind == "stroke":
            return [
                {"rectangle": [size(wide), size(dice.uniform(0.8, 6))]},
                {"circle": size(9), "at": [size(wide / 2), 0]},
            ]
        if kind == "leaf":
            return [{"ellipse": [size(wide), size(wide * dice.uniform(0.2, 0.7))], "turn": "25 deg"}]
        if kind == "comb":
            teeth = [
                {"rectangle": [size(dice.uniform(0.8, 4)), size(14)], "at": [size(x), size(8)]} for x in (-8, 0, 8)
            ]
            return [{"rectangle": [size(30), size(8)]}, *teeth]
        if kind == "several":
            return [{"circle": size(14), "at": [size(17 * number), 0]} for number in range(dice.choice([2, 3]))]
        count = dice.choice([5, 8, 13])
        turns = [2 * math.pi * number / count for number in range(count)]
        radii = [wide / 2 * dice.uniform(0.6, 1) for _ in turns]
        return [
            {"polygon": [[size(r * math.cos(a)), size(r * math.sin(a))] for a, r in zip(turns, radii, strict=True)]}
        ]
