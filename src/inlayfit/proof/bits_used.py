"""Which of the sheet's bits runs a programme: by the user's word alone, never by a comment or a guess."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal, NamedTuple

from inlayfit.cutters import Cutter
from inlayfit.errors import InputError
from inlayfit.joint.job import Bits, ProgrammeSource

Part = Literal["pocket", "plug"]
ROLES: Final = ("v", "pocket_v", "plug_v", "clearing", "cut_out", "levelling")


class BitUsed(NamedTuple):
    """A bit of the sheet, and the role or name it was called by."""

    called: str
    cutter: Cutter


def bit_called(name: str, bits: Bits) -> BitUsed:
    """The bit of a role or of this name. Raises :class:`InputError` where two bits could be meant, or none."""
    wanted = _plain(name)
    if wanted in ROLES:
        found = _by_role(wanted, bits)
    else:
        found = [bit for bit in every_bit(bits) if _plain(bit.name) == wanted]
    if len(found) > 1:
        names = ", ".join(bit.name for bit in found)
        raise InputError(f"{name}: two bits could be meant, {names}; write the bit's {_how(wanted, bits)}")
    if not found:
        names = ", ".join((*_roles_there(bits), *(bit.name for bit in every_bit(bits))))
        raise InputError(f"found {name}, expected a bit of the sheet: {names}")
    return BitUsed(called=wanted if wanted in ROLES else found[0].name, cutter=found[0])


def every_bit(bits: Bits) -> list[Cutter]:
    """The sheet's bits, each once."""
    found: list[Cutter] = []
    for bit in (bits.pocket_v, bits.plug_v, *bits.clearing, bits.cut_out, bits.levelling):
        if bit is not None and bit not in found:
            found.append(bit)
    return found


def _plain(name: str) -> str:
    return " ".join(name.split()).casefold()


def _by_role(role: str, bits: Bits) -> list[Cutter]:
    match role:
        case "v":
            return [bits.pocket_v] if bits.one_v else [bits.pocket_v, bits.plug_v]
        case "pocket_v":
            return [bits.pocket_v]
        case "plug_v":
            return [bits.plug_v]
        case "clearing":
            return list(bits.clearing)
        case "cut_out":
            return [] if bits.cut_out is None else [bits.cut_out]
        case _:
            return [] if bits.levelling is None else [bits.levelling]


def _roles_there(bits: Bits) -> list[str]:
    return [role for role in ROLES if len(_by_role(role, bits)) == 1]


def _how(wanted: str, bits: Bits) -> str:
    return "role, pocket_v or plug_v" if wanted == "v" else "name"


def bits_of_tools(source: ProgrammeSource, starts: Mapping[int, int], bits: Bits) -> dict[int, BitUsed]:
    """The bit of each T number that cuts in a file.

    ``starts`` has the line where each number starts to cut, -1 where no T was called. Raises :class:`InputError`, its
    ``where`` within the source, where a number has no bit or could have two.
    """
    listed = ", ".join(f"T{number} (line {line})" if number >= 0 else f"no T (line {line})"
                       for number, line in sorted(starts.items()))  # fmt: skip
    if source.tools:
        found = {}
        for number, name in source.tools:
            found[number] = _called(name, bits, ("tools", str(number)))
            if number not in starts:
                raise InputError(f"found T{number}, expected a bit that cuts in {source.file}: {listed}",
                                 where=("tools", str(number)))  # fmt: skip
        for number, line in sorted(starts.items()):
            if number not in found:
                what = f"T{number}" if number >= 0 else "the bit that is there before any T"
                raise InputError(
                    f"{what} cuts in {source.file} from line {line}, expected its bit under tools", where=("tools",)
                )
        return found
    if len(starts) > 1:
        raise InputError(
            f"{source.file} cuts with {listed}: expected the bit of each, such as tools: {{1: clearing, 2: v}}",
            where=("bit",) if source.bit else (),
        )
    if source.bit is not None:
        return dict.fromkeys(starts, _called(source.bit, bits, ("bit",)))
    there = every_bit(bits)
    if len(there) > 1:
        names = ", ".join(bit.name for bit in there)
        raise InputError(f"{source.file} cuts with {listed}, expected which bit that is: {names}")
    return dict.fromkeys(starts, BitUsed(called=there[0].name, cutter=there[0]))


def _called(name: str, bits: Bits, where: tuple[str, ...]) -> BitUsed:
    try:
        return bit_called(name, bits)
    except InputError as error:
        raise InputError(error.problem, where=where) from None
