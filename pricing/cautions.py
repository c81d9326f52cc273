"""What every document that a person sees says."""

from __future__ import annotations

CAUTIONS: tuple[str, ...] = (
    "This is an estimate from supplied measurements. The rigger verifies every length, fitting and finding before cutting.",
    "Replace like for like; have any change of wire, fitting or geometry designed by a qualified person.",
    "Support the mast with other lines before any stay or shroud is removed.",
    "Inspect pins, chainplates, mast fittings and everything that is kept as well; a new wire does not make an old fitting sound.",
    "Local codes, class rules and the fitting makers' instructions come before anything said here.",
    "Nothing here replaces a survey.",
)
