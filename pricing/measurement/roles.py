"""The roles of wires on a boat, one entry each: what the form calls it, and what the checks expect of it. To add a role, add its entry.

What a rig has and how its lengths compare is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Role:
    """What a wire does on the boat.

    `label` names it in the form, where it is translated. `length` names the range in which its length should lie as a share of the hull's
    (checks.hull.expected). `standing` rigging holds up the mast, so its size is compared with the hull as well; `shroud`s stand to port and
    starboard. `once` says whether a rig has it once per `side` or once per `mast`; a wire that `repeats` may be sent more than once, but not
    with the same readings. `longer_than` names roles that are shorter on any rig. `letter` is the prefix of a role numbered from the deck;
    `pieces` means that its number counts the pieces of a divided stay from the upper end. `running` rigging goes over sheaves. `deflection`
    is a lifeline's greatest allowed deflection in mm under 40 N at midspan (checks.lifelines).
    """

    name: str
    label: str
    length: str = ""
    standing: bool = False
    shroud: bool = False
    once: str = ""
    repeats: bool = False
    longer_than: tuple[str, ...] = ()
    letter: str = ""
    pieces: bool = False
    running: bool = False
    deflection: int | None = None


_LOWERS = ("lower_shroud", "fore_lower", "aft_lower")
_ALL = (
    Role("cap_shroud", "Cap shroud", "cap", standing=True, shroud=True, once="side", longer_than=("intermediate_shroud", *_LOWERS)),
    Role("intermediate_shroud", "Intermediate shroud", "intermediate", standing=True, shroud=True, once="side", longer_than=("lower_shroud",)),
    Role("lower_shroud", "Lower shroud", "lower", standing=True, shroud=True, repeats=True),
    Role("fore_lower", "Fore lower shroud", "lower", standing=True, shroud=True, once="side"),
    Role("aft_lower", "Aft lower shroud", "lower", standing=True, shroud=True, once="side"),
    Role("forestay", "Forestay", "stay", standing=True, once="mast", longer_than=("inner_forestay", "babystay")),
    Role("inner_forestay", "Inner forestay", "inner_stay", standing=True, once="mast"),
    Role("babystay", "Babystay", "inner_stay", standing=True, once="mast"),
    Role("backstay", "Backstay", "stay", standing=True, repeats=True, pieces=True),
    Role("backstay_leg", "Backstay leg, below the bridle", "up_to_stay", standing=True, repeats=True),
    Role("running_backstay", "Running backstay", "up_to_stay", standing=True, once="side"),
    Role("checkstay", "Checkstay", "up_to_stay", standing=True, once="side"),
    Role("lifeline_upper", "Upper lifeline", "lifeline", deflection=50),
    Role("lifeline_lower", "Lower lifeline", "lifeline", deflection=120),
    Role("gate_wire", "Lifeline gate", "lifeline", deflection=50),
    Role("halyard", "Wire halyard", running=True),
    Role("trapeze_wire", "Trapeze wire"),
    Role("pennant", "Pennant"),
    Role("bobstay", "Bobstay", "up_to_stay", standing=True, repeats=True),
    Role("jumper", "Jumper stay", "up_to_stay", standing=True, repeats=True),
    Role("diamond", "Diamond stay", "up_to_stay", standing=True, repeats=True),
    Role("topping_lift", "Topping lift", running=True),
    Role("triatic", "Triatic stay", "up_to_stay", standing=True, repeats=True),
    Role(
        "vertical", "Vertical (V1, V2 …: along the spreaders' tips)", "up_to_cap", standing=True, shroud=True, once="side", letter="V",
    ),
    Role("diagonal", "Diagonal (D1, D2 …: in to the mast)", "up_to_cap", standing=True, shroud=True, once="side", letter="D"),
)  # fmt: skip
ROLES: dict[str, Role] = {role.name: role for role in _ALL}
