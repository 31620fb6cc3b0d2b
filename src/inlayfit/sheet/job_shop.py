"""The sheet's values for the shop round the joint: hold-downs, climate, feeds, and what a wood's own figures are."""

from __future__ import annotations

from inlayfit.errors import InputError
from inlayfit.joint.job import (
    Air,
    Climate,
    Feed,
    Feeds,
    HoldDownSource,
    OwnMovement,
    Programmes,
    ProgrammeSource,
    Wood,
)
from inlayfit.sheet.assumptions import Sheet, Values
from inlayfit.shop.moisture import moisture_in


def wood_of(sheet: Sheet, part: str) -> Wood:
    """What a part is made of."""
    values, grain = sheet.part(part), sheet.part(part, "grain")
    movement = values.get("movement")
    return Wood(
        name=values.get("wood"),
        crush_strength=values.get("crush_strength"),
        face=grain.get("face", "long"),
        direction=grain.get("direction", 0.0),
        direction_given="direction" in grain,
        movement=None if movement is None else OwnMovement(**movement),
        specific_gravity=values.get("specific_gravity"),
    )


def hold_downs_of(sheet: Sheet) -> tuple[HoldDownSource, ...]:
    """Hold-downs as they stand in the sheet."""
    return tuple(
        HoldDownSource(
            part=value["part"],
            rectangle=value.get("rectangle"),
            circle=value.get("circle"),
            polygon=value.get("polygon"),
            at=value.get("at", (0.0, 0.0)),
            turn=value.get("turn", 0.0),
            height=value["height"],
        )
        for value in sheet.values.get("hold_downs", ())
    )


def climate_of(sheet: Sheet) -> Climate:
    """The two climates. What tells no moisture content is a mistake that goes to the sheet."""
    places: dict[str, Air] = {}
    for name in ("cutting", "use"):
        value = sheet.part("climate", name)
        if not value:
            continue
        moisture = value.get("moisture")
        air = Air(
            moisture=None if moisture is None else 100 * moisture,
            temperature=value.get("temperature"),
            humidity=value.get("humidity"),
        )
        if air.moisture is not None and not (air.temperature is None and air.humidity is None):
            sheet.refuse(("climate", name), "found moisture and the air's values, expected one or the other")
            continue
        try:
            moisture_in(air)
        except InputError as error:
            sheet.refuse(("climate", name), error.problem)
        else:
            places[name] = air
    return Climate(**places)


def programmes_of(sheet: Sheet) -> Programmes:
    """The posted programmes of each set-up."""
    found: dict[str, tuple[ProgrammeSource, ...]] = {}
    for part in Programmes._fields:
        value = sheet.part("programmes").get(part) or ()
        found[part] = tuple(
            ProgrammeSource(file=one["file"], bit=one.get("bit"), tools=tuple(sorted((one.get("tools") or {}).items())))
            for one in (value if isinstance(value, tuple) else (value,))
        )
    return Programmes(**found)


def feeds_of(sheet: Sheet) -> Feeds | None:
    """Feeds by role; None where the sheet gives none."""
    cutting = sheet.part("cutting")
    feeds = {role: _feed(value) for role, value in cutting.items() if value}
    return Feeds(**feeds) if feeds else None


def _feed(value: Values) -> Feed:
    return Feed(along=value["feed"], plunge=value.get("plunge"))
