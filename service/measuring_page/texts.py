"""The texts of the page's script besides the element's own. Where both have a name, this page's text is used."""

from __future__ import annotations

import json

from service.encoding.languages import LANGUAGES
from service.web_form.asking import N_
from service.wording import translator

TEXTS = {
    "wiresHelp": N_(
        "Record and tag every wire while the whole rig still stands; only then take off the first. What you enter is kept on this device until you send it."
    ),
    "drawingOld": N_("The drawing needs the network: it is made again when the service answers."),
    "sendLost": N_(
        "There is no connection, or it broke. Your request is kept on this device, is sent by itself where there is a network, and makes one quote only. "
        "You may close the page: open it again when you have a signal."
    ),
    "dockTag": N_("Tag and photograph it"),
    "dockTagged": N_("Tagged: take it off"),
    "dockRecordOther": N_("Tagged: record another wire first"),
    "dockOnTag": N_("What the tag says"),
    "dockWriteTag": N_("Copy this by hand onto a tag, in letters as plain as these, with ink that water does not take off."),
    "dockTieTag": N_("Tie the tag to the wire, not to its turnbuckle alone: they may part."),
    "dockPhotograph": N_(
        "Photograph it for yourself as it stands: both ends with their pins, and the turnbuckle with both screws. The pictures stay with you, nothing here takes or sends one."
    ),
    "dockNoName": N_("This wire has no name yet, and without one nobody can tell it from the others on the dock."),
    "dockOff": N_("Take it off"),
    "dockIsOff": N_("It is off"),
    "dockNotRecorded": N_("This wire is not recorded yet. Do that before anything is unscrewed: afterwards nobody can tell how it was set."),
    "dockRecordNow": N_("Record it now"),
    "dockOthersOpen": N_("Not recorded yet: {names}. When one wire is slackened the load on the others changes, so record them first."),
    "dockSupport": N_("Support the mast with other lines before any stay or shroud is removed."),
    "dockAloft": N_("Nobody goes up a mast whose rigging is being taken down. Leave work aloft to a qualified rigger, or have the mast unstepped."),
    "dockOneByOne": N_("One wire at a time, and nobody stands below it."),
    "dockKeepParts": N_("Keep its pins, toggles and turnbuckle with it. Throw nothing away before the new wire is fitted."),
    "dockFlat": N_("Lay it flat"),
    "dockIsFlat": N_("It lies flat: measure it"),
    "dockStraight": N_("Lay it on flat ground without a bend or a twist, and pull it straight by hand."),
    "dockSameWarmth": N_("Leave wire and steel tape side by side in the shade until both are equally warm."),
    "dockTape": N_("Lay the tape straight along it, from load-bearing surface to load-bearing surface, and have somebody hold its end."),
    "dockTwice": N_("Measure twice: write the first reading, lay the tape anew, read again. Two readings show a slip of the tape."),
    "dockOnce": N_("There is one reading only. Lay the tape anew and write what you read then; to go on with one reading, press Continue again."),
    "dockReady": N_("This page opens without a network on this device from now on."),
    "dockNotReady": N_("This browser cannot keep the page: leave it open while you have no network."),
    "dockDevice": N_("What is kept on this device"),
    "dockStays": N_(
        "What you write, your name and address too, is kept in this browser and nowhere else until you send it, and at most 30 days after the last change is it shown again. "
        "Whoever uses this device can read it. A browser may clear it by itself when space is short or the page is not opened for long."
    ),
    "dockStaysNot": N_("This browser keeps nothing: the page works while it is open. Do not close it before you have sent your wires, and write the numbers on paper too."),
    "dockDelete": N_("Delete everything of this page from this device"),
    "dockDeleteSure": N_("Really delete it all"),
    "dockDeleted": N_("Everything of this page is deleted from this device"),
    "dockDeletedHelp": N_("A quote that was sent already is not: ask the shop to erase it. To measure again, open the page anew where there is a network."),
}  # fmt: skip


def texts(language: str) -> dict[str, str]:
    """The texts in a language, by name."""
    say = translator(language)
    return {name: say(text) for name, text in TEXTS.items()}


def script() -> str:
    """The line of the module that adds these texts to the element's."""
    said = json.dumps({each: texts(each) for each in LANGUAGES}, ensure_ascii=False)
    return f"Object.entries({said}).forEach(([language, more]) => Object.assign(TEXTS[language], more));"
