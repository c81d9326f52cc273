"""Puts changes into a stored request, by JSON Pointer. A place that was not changed stays exactly as it was sent."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

Json = dict[str, Any]
Values = dict[str, Any]
_LENGTH = {"value", "unit"}


def leaves(value: Any, at: str = "") -> Values:
    """Every value by its place. A length written as an object is one value, and so is a list of texts."""
    if isinstance(value, dict) and value.keys() != _LENGTH:
        return {place: leaf for name, each in value.items() for place, leaf in leaves(each, f"{at}/{name}").items()} or {at: {}}
    if isinstance(value, list) and at.endswith("/links"):
        value = [_linked(each) for each in value]
    if isinstance(value, list) and value and all(isinstance(each, dict) and each.keys() != _LENGTH for each in value):
        return {place: leaf for number, each in enumerate(value) for place, leaf in leaves(each, f"{at}/{number}").items()}
    return {at: value}


def _linked(each: Any) -> Any:
    """`"toggle"` is short for `{"kind": "toggle"}`."""
    return {"kind": each} if isinstance(each, str) else each


def within(place: str, outer: str) -> bool:
    """Whether a place lies below another, or is it."""
    return place == outer or place.startswith(f"{outer}/")


def grouped(stored: Json, kept: Iterable[str], shown: Iterable[str]) -> tuple[str, ...]:
    """The kept places, each widened outward as long as nothing within it is shown; the items of a list stay apart."""
    shown = tuple(shown)
    found: dict[str, None] = {}
    for each in kept:
        steps = each.split("/")
        outward = ("/".join(steps[:many]) for many in range(2, len(steps) + 1))
        group = next(one for one in outward if one == each or not (any(within(it, one) for it in shown) or _is_listed(stored, one)))
        found[group] = None
    return tuple(found)


def _is_listed(stored: Json, place: str) -> bool:
    return isinstance(at(stored, place), list)


def at(value: Any, place: str) -> Any:
    """What is at a place; None if nothing is."""
    for step in place.split("/")[1:]:
        value = _linked(value)
        if isinstance(value, list):
            value = value[int(step)] if step.isdigit() and int(step) < len(value) else None
        else:
            value = value.get(step) if isinstance(value, dict) else None
    return value


def changed(stored: Json, before: Values, after: Values, *, parts: bool) -> Json:
    """The stored object, changed wherever two sets of answers differ. `parts`: an object that the answers no longer have, such as a turnbuckle,
    is removed with everything stored in it.
    """
    old, new = _objects(before), _objects(after)
    parts_gone = sorted(old - new) if parts else []
    outermost = [each for each in parts_gone if not any(within(each, other) for other in parts_gone if other != each)]
    answers_gone = [
        each for each in before.keys() - after.keys() if before[each] != {} and not any(within(each, other) for other in outermost)
    ]
    without(stored, [*outermost, *answers_gone])
    for each in sorted(new - old):
        if each.rpartition("/")[2].isdigit() and at(stored, each) is not None:
            _put(stored, each, {})  # another part in the place of one that the form cannot show
    for each, value in after.items():
        if value == {}:
            if at(stored, each) is None:
                _put(stored, each, {})
        elif each not in before or normalized(before[each]) != normalized(value):
            _put(stored, each, value)
    return stored


def _objects(of: Values) -> set[str]:
    """The places of objects: those above an answer, and those answered to be there. Lists do not count, but their items do."""
    found = {each for each, value in of.items() if value == {}}
    for each in of:
        steps = each.split("/")
        found |= {"/".join(steps[:many]) for many in range(1, len(steps)) if not steps[many].isdigit()}
    return found


def normalized(value: Any) -> Any:
    """A value without what a page's field does not preserve: surrounding spaces and the kind of line ending."""
    if isinstance(value, list):
        return [normalized(each) for each in value]
    return value.replace("\r\n", "\n").strip() if isinstance(value, str) else value


def without(stored: Json, places: Iterable[str]) -> Json:
    """The object without what is at these places, and without the parts and lists that this empties."""
    for place in sorted(places, key=_deep, reverse=True):
        outer, _, name = place.rpartition("/")
        holder = at(stored, outer)
        if isinstance(holder, list) and name.isdigit() and int(name) < len(holder):
            del holder[int(name)]
        elif isinstance(holder, dict) and name in holder:
            del holder[name]
        else:
            continue
        if outer.count("/") > 0 and not holder:
            without(stored, [outer])
    return stored


def _deep(place: str) -> list[tuple[bool, int, str]]:
    """Sort key that orders the items of a list by number."""
    return [(step.isdigit(), int(step) if step.isdigit() else 0, step) for step in place.split("/")]


def _put(value: Any, place: str, new: Any) -> None:
    steps = place.split("/")[1:]
    for step, following in zip(steps, [*steps[1:], ""], strict=True):
        empty: Any = new if not following else [] if following.isdigit() else {}
        if isinstance(value, list):
            number = min(int(step), len(value))
            if number == len(value):
                value.append(empty)
            value[number] = new if not following else _linked(value[number])
            value = value[number]
        elif not following:
            value[step] = new
        else:
            value = value.setdefault(step, empty)
