"""What the trade calls each terminal, and where it bears: a length counts from there."""

from __future__ import annotations

from service.form.asking import N_

LABELS = {
    "fork": N_("Fork"), "eye": N_("Eye"), "tee": N_("Tee, in a slot of the mast"), "stud": N_("Threaded stud"), "ball": N_("Ball, in a socket"),
    "toggle": N_("Toggle terminal"), "thimble_eye": N_("Thimble eye with pressed sleeves"), "none": N_("Nothing: leave the wire bare and long"),
}  # fmt: skip
BEARINGS = {
    "fork": N_("Bears on the wall of its pin hole farthest from the wire."),
    "eye": N_("Bears on the wall of its hole farthest from the wire."),
    "toggle": N_("Bears on the wall of its outer pin hole farthest from the wire."),
    "tee": N_("Bears on its shoulder, where it seats in the mast."),
    "stud": N_("In a turnbuckle it is measured with the turnbuckle's setting; bare, to its last thread."),
    "ball": N_("Bears on a ring of the ball, where its socket touches: not on the centre, not on the tip."),
    "thimble_eye": N_("Bears on the inside of the thimble's crown."),
    "none": N_("Say how much wire to leave beyond the place where the old wire bore."),
}
