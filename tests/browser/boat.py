"""An invented boat of eight wires: what is typed, page by page, and the resulting request, both written by hand."""

STEEL = {"construction": "1x19", "material": "316"}
TOP_TEE, TOP_FORK = {"terminal": "tee", "attachment": "swage"}, {"terminal": "fork", "attachment": "swage"}


def stud(thread):
    return {"terminal": "stud", "attachment": "swage", "thread": thread, "hand": "right"}


def screws(upper, lower, tool):
    return {"upper_exposed": upper, "lower_exposed": lower, "recorded_with": tool}


CAP = {
    "wire": {**STEEL, "diameter": "3/16 in"}, "upper": TOP_TEE, "lower": stud("3/8-24 UNF"),
}  # fmt: skip
CAP_BODY = {"body": "open", "hand": "right", "lower_end": "toggle", "pin": "3/8 in", "reuse": True}
KEPT = {"body": "4 in", "runout": "1 13/64 in"}
LOW = {"wire": {**STEEL, "diameter": "5/32 in"}, "upper": {**TOP_FORK, "pin": "5/16 in"}, "lower": stud("5/16-24 UNF")}
LOW_BODY = {"body": "open", "hand": "right", "lower_end": "toggle", "pin": "5/16 in", "reuse": True}
LIFE = {
    "wire": {**STEEL, "diameter": "5/32 in"},
    "upper": {**TOP_FORK, "pin": "5/16 in"},
    "lower": {"terminal": "eye", "attachment": "compression", "pin": "5/16 in"},
}
LAID = {"support": "flat"}
HOW = {**LAID, "rig_setting": "everyday"}

REQUEST = {
    "boat": {"name": "Whimbrel", "length_overall": "27 ft 6 in"},
    "display_units": "imperial",
    "assemblies": [
        {"tag": "CAP-P", "role": "cap_shroud", "side": "port", **CAP, "turnbuckle": {**CAP_BODY, "dimensions": KEPT, "setting": screws("1 1/8 in", "1 1/16 in", "caliper")},
         "measurement": {"readings": ["29 ft 10 3/16 in", "29 ft 10 1/4 in"], "includes_turnbuckle": True, **HOW, "temperature": "64 degF"}},
        {"tag": "CAP-S", "role": "cap_shroud", "side": "starboard", **CAP, "turnbuckle": {**CAP_BODY, "dimensions": KEPT, "setting": screws("1 1/4 in", "1 1/8 in", "caliper")},
         "measurement": {"readings": ["29 ft 10 3/8 in", "29 ft 10 5/16 in"], "includes_turnbuckle": True, **HOW}},
        {"tag": "LOW-P", "role": "lower_shroud", "side": "port", **LOW, "turnbuckle": {**LOW_BODY, "old": {"stud_thread_length": "2 1/4 in"}, "setting": screws("1 in", "15/16 in", "pen_mark")},
         "measurement": {"readings": ["14 ft 6 5/8 in", "14 ft 6 5/8 in"], "includes_turnbuckle": False, **HOW}},
        {"tag": "LOW-S", "role": "lower_shroud", "side": "starboard", **LOW, "turnbuckle": {**LOW_BODY, "old": {"stud_thread_length": "2 1/4 in"}, "setting": screws("1 1/16 in", "1 in", "pen_mark")},
         "measurement": {"readings": ["14 ft 6 3/4 in", "14 ft 6 3/4 in"], "includes_turnbuckle": False, **HOW}},
        {"tag": "FORESTAY", "role": "forestay", "side": "centre", "wire": {**STEEL, "diameter": "3/16 in"},
         "upper": {**TOP_FORK, "pin": "3/8 in"}, "lower": {"terminal": "eye", "attachment": "swage", "pin": "3/8 in", "links": [{"kind": "toggle", "change": "replaced", "pin": "3/8 in", "in_reading": True}]},
         "measurement": {"readings": ["31 ft 1 1/2 in", "31 ft 1 9/16 in", "31 ft 1 1/2 in"], "upper_datum": "pin_centre", **LAID}},
        {"tag": "BACKSTAY", "role": "backstay", "side": "centre", "wire": {**STEEL, "diameter": "3/16 in"},
         "upper": {"terminal": "eye", "attachment": "swage", "pin": "3/8 in"}, "lower": stud("3/8-24 UNF"),
         "turnbuckle": {"body": "open", "hand": "right", "lower_end": "fork", "pin": "3/8 in", "reuse": False, "like_for_like": True, "setting": screws("21 mm", "19 mm", "caliper")},
         "measurement": {"readings": ["10271.1 mm", "10271.1 mm"], "includes_turnbuckle": True, **HOW}},
        {"tag": "LIFE-LOW-P", "role": "lifeline_lower", "side": "port", **LIFE, "measurement": {"readings": ["17 ft 11 5/8 in", "17 ft 11 5/8 in"], **LAID}},
        {"tag": "LIFE-LOW-S", "role": "lifeline_lower", "side": "starboard", **LIFE, "measurement": {"readings": ["17 ft 11 3/4 in", "17 ft 11 11/16 in"], **LAID}},
    ],
    "customer": {"name": "Ada Example", "email": "owner@example.org"},
    "delivery": "ship",
}  # fmt: skip
COPIES = {"CAP-S", "LOW-S", "LIFE-LOW-S"}


def answers(value, path=""):
    """The leaves of a request by the questions' paths; lists of objects count from 1."""
    found = {}
    for name, each in value.items():
        here = f"{path}{name}"
        if isinstance(each, dict):
            found |= answers(each, f"{here}.")
        elif isinstance(each, list) and isinstance(each[0], dict):
            for place, one in enumerate(each, 1):
                found |= answers(one, f"{here}.{place}.")
        else:
            found[here] = each
    return found


def answers_of(assembly):
    """What is answered for an assembly: its fields, and the short questions that give them."""
    found = {"turnbuckle": "turnbuckle" in assembly, **answers(assembly)}
    links = any("links" in assembly[end] for end in ("upper", "lower"))
    short = {
        "place": f"{assembly['role']} {assembly['side']}", "unusual": "yes" if links else "no", "turnbuckle_is": "none", "alike": "same",
        "wire_kind": f"{assembly['wire']['construction']} | {assembly['wire']['material']}", "measured_from": "bearings", "laid": "flat",
    }  # fmt: skip
    if "turnbuckle" in assembly:
        body, kept = assembly["turnbuckle"]["body"], assembly["turnbuckle"]["reuse"]
        short["turnbuckle_is"] = f"{'open' if body == 'open' else 'closed'} {'kept' if kept else 'new'}"  # a new one is alike here
        short["read_with"] = assembly["turnbuckle"]["setting"]["recorded_with"]
        short["lower.screw"] = f"{assembly['lower']['thread']} | {assembly['lower']['hand']}"
        short["turnbuckle.lower_outer"] = f"{assembly['turnbuckle']['lower_end']} | {assembly['turnbuckle']['pin']}"
        short["measured_from"] = "whole" if assembly["measurement"]["includes_turnbuckle"] else "stud"
    if {"upper_datum", "lower_datum"} & assembly["measurement"].keys():
        short["measured_from"] = "else"
    if "temperature" in assembly["measurement"]:
        short["laid"] = "else"
    return {**found, **short}
