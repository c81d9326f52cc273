"""Scales for the ends that terminals, screws and links share: dimensions by their pin, and by their thread. Common practice, no source."""

from __future__ import annotations

from pricing.catalogue.plausibility.scales import Scale


def pin_ends(alike: tuple[str, ...]) -> tuple[Scale, ...]:
    """Scales for hole, tip, jaw and tongue by the pin; `alike`: the columns that neighbours share."""
    return (
        Scale("hole", "pin", 1.0, 1.06, among=alike, apart=1.06, play=0.5),
        Scale("hole", "pin", 1.0, 1.2, among=alike, apart=1.04, play=0.2),
        Scale("tip", "pin", 0.4, 1.4, among=alike, apart=1.25),
        Scale("jaw", "pin", 0.6, 2.4, among=alike, apart=1.25),
        Scale("jaw_over", "jaw", 1.15, 2.6, among=alike, apart=1.2),
        Scale("jaw_over", "pin", 0.9, 4.5, among=alike, apart=1.25),
        Scale("tongue", "pin", 0.4, 1.6, among=alike, apart=1.25),
    )


def thread_ends(alike: tuple[str, ...]) -> tuple[Scale, ...]:
    """Scales for a thread's length, tip and cotter hole by its diameter."""
    return (
        Scale("thread_length", "thread_mm", 2.5, 14, among=alike, apart=1.4),
        Scale("plain_tip", "thread_mm", 0, 0.8, apart=0),
        Scale("plain_tip", "thread_mm", 0, 40, 0, among=alike, apart=1.9, play=0.6),
        Scale("cotter_hole", "thread_mm", 0.1, 0.4, among=alike, apart=1.45),
        Scale("cotter_at", "thread_mm", 0.06, 0.8, among=alike, apart=1.45),
    )
