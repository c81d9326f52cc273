"""A quote as a front-end shows it: readiness, lengths, prices, findings in words and totals, about a twelfth of the whole document."""

from __future__ import annotations

from typing import Any

Json = dict[str, Any]
HEAD = (
    "id", "number", "revision", "status", "current_readiness", "issued_on", "valid_until", "currency", "boat", "display_units", "language", "lead_time_days", "left_out",
    "totals",
)  # fmt: skip
ASSEMBLY = (
    "tag", "role", "side", "mast", "number", "quantity", "readiness", "measured_length", "target_length", "price",
)  # fmt: skip
FINDING = ("code", "severity", "reader", "pointer", "message", "remedy")
READY = "ready_to_cut"


def summary(document: Json) -> Json:
    """The summary of a quote's or preview's document. Members that an earlier release did not include are left out."""
    now = document.get("current_readiness", {})
    return {
        **_part(document, HEAD),
        "assemblies": [
            {
                **_part(each, ASSEMBLY),
                "cut_length": each["cut_length"] if now.get(each["tag"], each["readiness"]) == READY else None,
                "wire": None if each["wire"] is None else each["wire"]["name"],
                "findings": _findings(each),
            }
            for each in document["assemblies"]
        ],
        "findings": _findings(document),
    }


def _findings(of: Json) -> list[Json]:
    return [_part(each, FINDING) for each in of["findings"]]


def _part(of: Json, names: tuple[str, ...]) -> Json:
    return {name: of[name] for name in names if name in of}
