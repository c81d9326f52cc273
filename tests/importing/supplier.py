"""The price list of an invented supplier, generated from a seed: 2,000 articles with the oddities that such lists have.

Each terminal is one of the demo tables (invented as well) under a number of its own, so that what each cell should become is known apart from
the importer. `Tally` says what was put in, and of which kind.
"""

from __future__ import annotations

import csv
import random
from dataclasses import dataclass, field
from io import StringIO

from pricing.catalogue import DEMO_FOLDER

SIZES = {
    "reach": "Wirklänge", "depth": "Bohrtiefe", "shank_before": "Schaft vor dem Walzen", "bore": "Bohrung", "shank_after": "Schaft nach dem Walzen",
    "swaged_length": "Walzlänge", "pin": "Bolzen", "hole": "Loch", "tip": "Nase", "jaw": "Maulweite", "jaw_over": "Breite außen", "tongue": "Zunge",
    "thread_length": "Gewindelänge", "plain_tip": "Gewindefreie Spitze", "ball": "Kugel", "slot": "Schlitz", "growth_u": "Längung Unsicherheit",
}  # fmt: skip
HEADER = [
    "Art.-Nr.", "Bezeichnung", "Typ", "Befestigung", "Konstruktion", "Draht", *SIZES.values(), "Gewinde", "Gangrichtung", "Bruchlast kN", "Gewicht g", "Preis EUR",
    "ab 10 Stk.", "Status",
]  # fmt: skip
FAMILIES = {"fork": "Gabel", "eye": "Auge", "tee": "T-Terminal", "stud": "Gewindeterminal", "ball": "Kugel", "toggle": "Toggle"}
ATTACHMENTS = {"swage": "gewalzt", "compression": "Schraub"}
SHANK = ("shank_before", "bore", "shank_after", "swaged_length")
DAY = "2026-03-01"


@dataclass(slots=True)
class Tally:
    """The list's articles by number: complete rows with the demo row behind each, and the others by their oddity."""

    whole: dict[str, dict[str, str]] = field(default_factory=dict)
    merged: set[str] = field(default_factory=set)
    lacking: dict[str, set[str]] = field(default_factory=dict)
    ended: set[str] = field(default_factory=set)
    double: set[str] = field(default_factory=set)
    bare: set[str] = field(default_factory=set)
    dates: set[str] = field(default_factory=set)
    prices: dict[str, str] = field(default_factory=dict)


def supplier_list(articles: int = 2000, seed: int = 24) -> tuple[bytes, Tally]:
    """The list as its supplier saves it (semicolons, Windows-1252, decimal commas, CRLF), and a tally of its content."""
    chance, tally = random.Random(seed), Tally()
    with (DEMO_FOLDER / "terminals.csv").open(encoding="utf-8", newline="") as stream:
        demo = list(csv.DictReader(stream))
    rows: list[list[str]] = [["Beispiel-Tauwerk & Beschläge GmbH (erfunden)"], ["Preisliste 2026, alle Maße wie angegeben"], [], HEADER]
    for count in range(articles):
        row = dict(demo[count % len(demo)])
        sku = f"BT-{count:05}"
        cells = _cells(row, sku, chance)
        if count % 236 == 0:
            rows.append(["", f"Serie {count // 236 + 1}"])
        _odd(count, row, sku, cells, chance, tally)
        rows.append([cells[name] for name in HEADER])
        if count % 97 == 5:
            tally.double.add(sku)
            rows.append(rows[-1])
        if count % 500 == 499:
            rows.append(HEADER)
    rows += [["Summe", "", "", f"{articles} Artikel"], ["Alle Preise zzgl. Versand. Irrtümer vorbehalten."]]
    out = StringIO(newline="")
    csv.writer(out, delimiter=";", lineterminator="\r\n").writerows(rows)
    return out.getvalue().encode("cp1252"), tally


def _odd(count: int, row: dict[str, str], sku: str, cells: dict[str, str], chance: random.Random, tally: Tally) -> None:
    """Spoils a row in its way, or leaves it whole."""
    if count % 31 == 7:
        tally.ended.add(sku)
        if count % 2:
            cells["Status"] = chance.choice(["ausgelaufen", "Auslaufartikel", "nicht mehr lieferbar"])
        else:
            cells["Bezeichnung"] += " (entfällt)"
    elif count % 131 == 9:
        tally.bare.add(sku)
        cells["Draht"] = "6"
    elif count % 401 == 11:
        tally.dates.add(sku)
        cells["Wirklänge"] = chance.choice(["08. Mrz", "3-Aug", "08.03."])
    elif count % 3 == 1:
        gone = [name for name in (SHANK if row["attachment"] == "swage" else ("growth_u",)) if row[name]]
        gone += ["tip"] if row["tip"] and count % 2 else []
        tally.lacking[sku] = set(gone)
        for name in gone:
            cells[SIZES[name]] = chance.choice(["", "-", "k.A."])
    elif count % 3 == 2 and row["pin"] and "mm" in row["pin"] and ";" not in row["wire_sizes"] and "mm" in row["wire_sizes"]:
        tally.merged.add(sku)
        tally.whole[sku] = row
        wire, pin = _comma(row["wire_sizes"]).replace(" ", ""), _comma(row["pin"]).removesuffix(" mm")
        named = {"fork": "Gabelterminal", "eye": "Augterminal", "toggle": "Toggleterminal"}[row["family"]]
        cells |= {"Typ": "", "Draht": "", "Bolzen": "", "Bezeichnung": f"{named} {wire} / {pin}er Bolzen"}
    else:
        tally.whole[sku] = row
    if sku not in tally.ended:
        tally.prices[sku] = cells["Preis EUR"].replace(".", "").replace(",", ".")


def _cells(row: dict[str, str], sku: str, chance: random.Random) -> dict[str, str]:
    price = f"{chance.randint(900, 180_000) / 100:,.2f}".replace(",", " ").replace(".", ",").replace(" ", ".")
    kn = row["break"].removesuffix(" kN")
    mass = row["mass"].split()
    return {
        "Art.-Nr.": sku, "Bezeichnung": f"{FAMILIES[row['family']]} {ATTACHMENTS[row['attachment']]}", "Typ": FAMILIES[row["family"]],
        "Befestigung": ATTACHMENTS[row["attachment"]], "Konstruktion": row["constructions"].replace(";", ", "),
        "Draht": " / ".join(_size(each, chance) for each in row["wire_sizes"].split(";")),
        **{header: _size(row[name], chance) if row[name] else "" for name, header in SIZES.items()},
        "Gewinde": row["thread"], "Gangrichtung": {"right": "RH", "left": "links", "": ""}[row["hand"]], "Bruchlast kN": _comma(kn),
        "Gewicht g": _comma(mass[0]) if mass[1] == "g" else f"{_comma(mass[0])} {mass[1]}", "Preis EUR": price, "ab 10 Stk.": "", "Status": "",
    }  # fmt: skip


def _comma(text: str) -> str:
    return text.replace(".", ",")


def _size(text: str, chance: random.Random) -> str:
    """One of the ways in which lists write a size: 3/16, 3/16", 0,1875", 5mm, 5,0 mm."""
    number, unit = text.rsplit(" ", 1)
    if unit == "mm":
        return chance.choice([f"{_comma(number)} mm", f"{_comma(number)}mm"] + ([f"{number},0 mm"] if number.isdigit() else []))
    if "/" in number:
        return chance.choice([number, f'{number}"', f"{number} in", f"{number} Zoll"])
    return chance.choice([f'{_comma(number)}"', f"{_comma(number)} in"])
