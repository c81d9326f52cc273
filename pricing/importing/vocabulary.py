"""The words shops use for our columns, codes and tables, in English and German (common practice in the trade, no source).

Ambiguous words are left out: the person assigns them in the mapping.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

PRICE, STATUS, KIND, PRICE_FROM, NOT_FROM = "price", "status", "kind of row", "price from ", "not sold from"

# Our column (in any table) -> headers, spelled as `plain` returns them: no capitals, diacritics, punctuation or units.
HEADERS: dict[str, tuple[str, ...]] = {
    "sku": ("sku", "article", "article no", "article number", "art no", "item", "item no", "item number", "part no", "part number", "code", "order code", "product code", "artikel", "artikelnummer", "artikel nr", "art nr", "artnr", "bestellnummer", "best nr", "bestell nr", "teilenummer", "teile nr", "nr", "no", "material nr"),
    "name": ("name", "description", "designation", "product", "product name", "article name", "text", "bezeichnung", "benennung", "beschreibung", "artikelbezeichnung", "artikeltext", "produkt", "titel"),
    "family": ("family", "type", "terminal type", "style", "head", "typ", "art", "bauform", "familie", "form", "kopf", "ausfuhrung kopf"),
    "attachment": ("attachment", "fixing", "fastening", "assembly method", "befestigung", "montage", "verbindung", "montageart", "befestigungsart"),
    "constructions": ("constructions", "construction", "wire construction", "wire type", "lay", "konstruktion", "seilkonstruktion", "drahtaufbau", "machart", "seilart", "aufbau"),
    "construction": ("construction", "wire construction", "wire type", "lay", "konstruktion", "seilkonstruktion", "drahtaufbau", "machart", "aufbau"),
    "wire_sizes": ("wire", "wire size", "wire sizes", "wire dia", "wire diameter", "for wire", "rope dia", "rope diameter", "draht", "drahtstarke", "draht durchmesser", "drahtdurchmesser", "fur draht", "seil", "seilstarke", "seildurchmesser", "fur seil", "seil durchmesser", "draht ø", "seil ø"),
    "wire_size": ("wire", "wire size", "wire diameter", "draht", "drahtstarke", "seilstarke", "seildurchmesser"),
    "reach": ("reach", "bearing to mouth", "working length", "effective length", "wirklange", "nutzlange", "auflager bis mundung", "baulange"),
    "depth": ("depth", "bore depth", "hole depth", "insertion depth", "bohrtiefe", "bohrungstiefe", "einstecktiefe", "tiefe"),
    "shank_before": ("shank before", "shank dia", "shank diameter", "shank od", "od before swaging", "schaft", "schaft ø", "schaft vor dem walzen", "schaftdurchmesser", "schaft vorher"),
    "bore": ("bore", "bore dia", "bore diameter", "bohrung", "bohrung ø", "bohrungsdurchmesser"),
    "shank_after": ("shank after", "od after swaging", "swaged dia", "swaged diameter", "schaft nach dem walzen", "schaft nachher", "walzdurchmesser", "gewalzt ø"),
    "swaged_length": ("swaged length", "swage length", "swaging length", "walzlange", "presslange"),
    "growth": ("growth", "langung", "langenzunahme", "zuwachs"),
    "growth_u": ("growth u", "growth uncertainty", "langung unsicherheit"),
    "pin": ("pin", "pin size", "pin dia", "pin diameter", "clevis pin", "bolzen", "bolzen ø", "bolzendurchmesser", "fur bolzen", "stift"),
    "hole": ("hole", "pin hole", "hole dia", "hole diameter", "eye hole", "loch", "loch ø", "lochdurchmesser", "auge ø", "bolzenloch", "bolzenbohrung"),
    "tip": ("tip", "hole to tip", "edge distance", "wall", "nase", "rand", "randabstand", "loch bis spitze", "steg"),
    "jaw": ("jaw", "jaw width", "fork width", "opening", "gap", "maulweite", "gabelweite", "offnung", "maul", "lichte weite"),
    "jaw_over": ("jaw over", "overall width", "width over cheeks", "outside width", "breite uber alles", "aussenbreite", "gabel aussen", "breite aussen"),
    "tongue": ("tongue", "eye thickness", "thickness of eye", "augendicke", "zunge", "dicke auge", "augenstarke"),
    "thread": ("thread", "thread size", "gewinde", "gewindegrosse"),
    "designation": ("thread", "designation", "gewinde", "bezeichnung"),
    "hand": ("hand", "thread hand", "handedness", "lh rh", "rh lh", "gangrichtung", "drehrichtung", "links rechts", "gewinderichtung", "l r"),
    "stud_hand": ("hand", "thread hand", "gangrichtung", "gewinderichtung"),
    "thread_length": ("thread length", "length of thread", "gewindelange"),
    "plain_tip": ("plain tip", "unthreaded tip", "gewindefreie spitze", "spitze"),
    "ball": ("ball", "ball dia", "ball diameter", "kugel", "kugel ø", "kugeldurchmesser"),
    "slot": ("slot", "slot width", "schlitz", "schlitzbreite", "pfanne"),
    "cotter_hole": ("cotter hole", "splint hole", "splintloch", "splintbohrung"),
    "cotter_at": ("cotter at", "cotter position", "splintloch abstand", "splint abstand"),
    "break": ("break", "breaking load", "break load", "breaking strength", "minimum breaking load", "mbl", "bruchlast", "mindestbruchkraft", "bruchkraft", "mindestbruchlast", "bl"),
    "mass": ("mass", "weight", "wt", "unit weight", "gewicht", "masse", "gew"),
    "source": ("source", "quelle", "herkunft"),
    "materials": ("materials", "for material", "for materials", "fur werkstoff", "fur material"),
    "material": ("material", "grade", "werkstoff", "gute", "qualitat", "stahlsorte"),
    "diameter": ("diameter", "dia", "size", "ø", "nominal size", "nominal diameter", "durchmesser", "nenndurchmesser", "starke", "grosse"),
    "plus": ("plus", "tolerance plus", "toleranz plus", "plus toleranz"),
    "minus": ("minus", "tolerance minus", "toleranz minus", "minus toleranz"),
    "metallic": ("metallic area", "metallic cross section", "metallic", "metallquerschnitt", "querschnitt"),
    "modulus": ("modulus", "e modulus", "elastic modulus", "e modul", "elastizitatsmodul"),
    "expansion": ("expansion", "thermal expansion", "warmeausdehnung", "ausdehnung"),
    "least_coil": ("least coil", "smallest coil", "min coil", "kleinster ring", "kleinster coil", "ringdurchmesser"),
    "scrap": ("scrap", "waste", "verschnitt", "abfall"),
    "coating": ("coating", "coated dia", "over coating", "ummantelt", "ø ummantelt", "mantel"),
    "body": ("body", "body type", "korper", "spannkorper", "bauart"),
    "length": ("length", "l", "lange", "lange l"),
    "locknut": ("locknut", "nut", "mutter", "kontermutter", "mutterhohe"),
    "safe_engagement": ("safe engagement", "min engagement", "einschraubtiefe", "mindesteinschraubtiefe"),
    "boss": ("boss", "nabe"),
    "runout": ("runout", "run out", "auslauf", "gewindeauslauf"),
    "end": ("end", "screw end", "ende", "anschluss"),
    "kind": ("kind", "type", "typ", "art"),
    "inner_hole": ("inner hole", "innenloch", "loch innen"),
    "bow": ("bow", "bugel"),
    "bow_inside": ("bow inside", "bugel innen"),
    "grip": ("grip", "grip length", "clamping length", "klemmlange", "griff", "nutzlange"),
    "head": ("head", "head dia", "kopf", "kopf ø", "kopfdurchmesser"),
    "cotter": ("cotter", "cotter pin", "split pin", "splint"),
    "double_shear": ("double shear", "shear load", "scherkraft", "scherlast"),
    "groove_radius": ("groove radius", "rillenradius"),
    "crown_radius": ("crown radius", "scheitelradius"),
    "crown_to_sleeve": ("crown to sleeve", "scheitel bis hulse"),
    "largest_pin": ("largest pin", "max pin", "grosster bolzen"),
    "width": ("width", "breite"),
    "pressed_length": ("pressed length", "presslange", "lange verpresst"),
    "per_eye": ("per eye", "sleeves per eye", "hulsen je auge", "stuck je auge"),
    "tail": ("tail", "uberstand"),
    "holds": ("holds", "efficiency", "haltekraft", "wirkungsgrad"),
    "thickness": ("thickness", "dicke", "starke"),
    "pitch": ("pitch", "steigung"),
    "operation": ("operation", "work", "arbeit", "arbeitsgang"),
    "time": ("time", "zeit", "arbeitszeit"),
    "unit": ("unit", "einheit", "me", "mengeneinheit", "vpe einheit"),
    "until": ("until", "sold until", "available until", "last day", "last day sold", "last day of sale", "last sale", "verkauf bis", "lieferbar bis", "verfugbar bis", "letzter tag", "letzter verkaufstag"),
    "from_day": ("from day", "valid from", "from", "gultig ab", "preis ab datum", "ab datum"),
    "from_quantity": ("from quantity", "min qty", "from qty", "ab menge", "staffel", "staffelmenge", "mindestmenge"),
    "unit_price": ("unit price", "price", "list price", "price each", "net price", "preis", "listenpreis", "einzelpreis", "ek preis", "nettopreis", "vk", "vk preis", "stuckpreis", "preis stuck"),
    "wire": ("wire", "wire sku", "draht", "draht artikel"),
    "terminal": ("terminal", "terminal sku", "endbeschlag"),
    "lacks": ("lacks", "fehlt"),
    "id": ("id", "nr"),
    "count": ("count", "qty", "quantity", "stuck", "anzahl"),
    "price": ("price", "preis"),
}  # fmt: skip
# Headers of status columns, by what "yes" means there: discontinued, or still sold
TELLS_ENDED = ("discontinued", "obsolete", "ended", "ausgelaufen", "auslaufartikel", "auslauf")
TELLS_SOLD = ("valid", "validity", "active", "gultig", "gultigkeit", "aktiv")
YES, NO = frozenset({"yes", "y", "x", "true", "1", "ja", "j", "wahr"}), frozenset({"no", "n", "false", "0", "nein", "falsch"})
OF_ANY_LIST: dict[str, tuple[str, ...]] = {
    PRICE: HEADERS["unit_price"],
    STATUS: (*TELLS_ENDED, *TELLS_SOLD, "status", "state", "lifecycle", "availability", "verfugbarkeit", "lieferbar", "lieferstatus", "hinweis", "bemerkung", "remark", "note"),
    NOT_FROM: ("not sold from", "discontinued from", "withdrawn from", "not available from", "nicht mehr lieferbar ab", "entfallt ab", "auslauf ab", "eingestellt ab"),
    KIND: ("kind of row", "group", "product group", "category", "warengruppe", "gruppe", "produktgruppe", "sparte", "kategorie", "rubrik"),
}  # fmt: skip
_FROM = re.compile(r"(?:preis|price|net)? ?(?:ab|from|>=?|from qty) ?([0-9]{1,6}) ?(?:stk|stuck|st|pcs|pieces|m|off)?")

CODES: dict[str, dict[str, tuple[str, ...]]] = {
    "family": {
        "fork": ("fork", "jaw", "clevis", "gabel", "gabelterminal", "fork terminal", "gabelkopf", "gabelstuck"),
        "eye": ("eye", "auge", "augterminal", "augenterminal", "eye terminal", "aug", "osenterminal"),
        "tee": ("tee", "t terminal", "tee terminal", "t stuck", "hammerkopf", "t"),
        "stud": ("stud", "threaded stud", "gewindeterminal", "gewindebolzen", "stud terminal", "aussengewinde", "terminal mit gewinde"),
        "ball": ("ball", "kugel", "kugelterminal", "ball terminal", "kugelkopf"),
        "toggle": ("toggle", "toggle terminal", "toggleterminal", "gelenkterminal", "toggle gabel", "toggle fork"),
    },
    "attachment": {
        "swage": ("swage", "swaged", "swageless no", "roll swage", "walz", "gewalzt", "walzterminal", "pressen", "gepresst", "rolled"),
        "compression": ("compression", "mechanical", "cone", "schraub", "schraubterminal", "konus", "klemm", "self assembly", "selbstmontage"),
    },
    "construction": {
        "1x19": ("1x19", "1 x 19", "1*19"),
        "compacted_1x19": ("compacted 1x19", "compact 1x19", "1x19 compacted", "verdichtet 1x19", "1x19 verdichtet", "kompaktlitze"),
        "7x7": ("7x7", "7 x 7", "7*7"),
        "7x19": ("7x19", "7 x 19", "7*19"),
    },
    "hand": {
        "right": ("right", "rh", "r", "right hand", "rechts", "re", "rechtsgewinde", "rg"),
        "left": ("left", "lh", "l", "left hand", "links", "li", "linksgewinde", "lg"),
    },
    "end": {"toggle": ("toggle", "gelenk"), "fork": ("fork", "jaw", "gabel"), "eye": ("eye", "auge")},
    "kind": {
        "toggle": ("toggle", "gelenk"), "shackle": ("shackle", "schakel", "schaekel"), "insulator": ("insulator", "isolator"),
        "bridle_plate": ("bridle plate", "hahnepotplatte"), "gate_hook": ("gate hook", "pelikanhaken", "pelican hook"),
        "new": ("new", "neu"), "opened": ("opened", "angebrochen"), "offcut": ("offcut", "rest"),
    },
    "body": {"open": ("open", "offen"), "tubular": ("tubular", "closed", "rohr", "geschlossen")},
    "bought": {"for_stock": ("for stock", "stock", "lager"), "for_the_job": ("for the job", "to order", "auf bestellung")},
    "unit": {"each": ("each", "ea", "pc", "pcs", "piece", "st", "stk", "stuck"), "m": ("m", "metre", "meter", "lfm", "mtr", "per m"), "hour": ("hour", "hours", "h", "hr", "std", "stunde", "stunden")},
    "group": {
        "wire": ("wire", "draht"), "fitting": ("fitting", "fittings", "beschlag", "beschlage"), "labour": ("labour", "labor", "arbeit"),
        "waste": ("waste", "verschnitt"), "freight": ("freight", "versand", "fracht"), "order": ("order", "auftrag"),
    },
    "operation": {
        "swage": ("swage", "walzen"), "compression": ("compression", "schrauben"), "press": ("press", "pressen"), "stop": ("stop",),
        "assembly": ("assembly", "montage"), "proof_pull": ("proof pull", "recken", "prufen"), "tag": ("tag", "etikett"), "strip": ("strip", "abmanteln"),
    },
}  # fmt: skip
CODES["constructions"], CODES["stud_hand"] = CODES["construction"], CODES["hand"]

TABLE_NAMES: dict[str, tuple[str, ...]] = {
    "terminals": ("terminals", "terminal", "end fittings", "endbeschlage", "endbeschlag", "walzterminals", "fittings"),
    "wires": ("wires", "wire", "wire rope", "drahte", "draht", "drahtseile", "seile"),
    "turnbuckle_bodies": ("turnbuckle bodies", "bodies", "turnbuckles", "spannkorper", "wantenspanner", "spanner"),
    "screws": ("screws", "turnbuckle screws", "spannschrauben", "schrauben"),
    "links": ("links", "toggles and shackles", "shackles", "schakel", "zwischenglieder", "toggles"),
    "pins": ("pins", "clevis pins", "bolzen"),
    "cotters": ("cotters", "cotter pins", "split pins", "splinte"),
    "thimbles": ("thimbles", "kauschen"),
    "sleeves": ("sleeves", "ferrules", "hulsen", "pressklemmen", "presshulsen"),
    "balls": ("balls", "ball stops", "kugeln", "stopkugeln"),
    "cones": ("cones", "konen", "konusse"),
    "locknuts": ("locknuts", "nuts", "kontermuttern", "muttern"),
    "backing_plates": ("backing plates", "gegenplatten"),
    "threads": ("threads", "gewinde"),
    "prices": ("prices", "price list", "preise", "preisliste"),
    "growths": ("growths", "langungen"),
    "labour": ("labour", "arbeit", "arbeitszeiten"),
    "spools": ("spools", "drums", "spulen", "trommeln"),
    "stock": ("stock", "lager", "bestand"),
    "sold_only": ("sold only", "other articles", "sonstiges", "zubehor", "handelsware"),
}  # fmt: skip

ENDED = (
    "discontinued", "obsolete", "end of life", "eol", "no longer available", "no longer supplied", "withdrawn", "phased out", "deleted", "ausgelaufen", "auslauf",
    "auslaufartikel", "auslaufend", "entfallt", "entfallen", "gestrichen", "nicht mehr lieferbar", "eingestellt", "n l", "disc", "gestr",
)  # fmt: skip
# These count only in a status column; in a name they may mean something else (a double ended stud)
_ENDED_IN_STATUS = (
    "ended",
    "expired",
    "inactive",
    "no longer valid",
    "invalid",
    "beendet",
    "abgelaufen",
    "inaktiv",
    "nicht mehr gultig",
    "ungultig",
)
BLANKS = frozenset({"-", "--", "---", "–", "—", "n/a", "na", "n.a.", "k.a.", "k. a.", "none", "null", "?", ".", "/", "x", "tbd", "entf."})
ON_REQUEST = frozenset({"on request", "poa", "price on application", "auf anfrage", "a. a.", "a.a.", "anfrage", "call", "tbc"})
FOOTERS = (
    "total", "sum", "subtotal", "grand total", "summe", "gesamt", "zwischensumme", "gesamtsumme", "seite", "page", "stand", "as of", "printed", "gedruckt", "druckdatum",
    "all prices", "alle preise", "prices excl", "preise zzgl", "errors excepted", "irrtum", "irrtumer", "end of list", "ende der liste", "ubertrag",
)  # fmt: skip

_MARKS = str.maketrans({"ä": "a", "ö": "o", "ü": "u", "é": "e", "è": "e", "å": "a", "×": "x", "Ø": "ø", "⌀": "ø", "∅": "ø"})
_NO_WORD = re.compile(r"[^a-z0-9ø]+")


@cache
def plain(text: str) -> str:
    """Text in a form for comparison: no capitals, diacritics or punctuation, so that 'Art.-Nr.' equals 'art nr'."""
    return " ".join(_NO_WORD.sub(" ", text.casefold().translate(_MARKS)).split())


def step_of(header: str) -> str | None:
    """The pseudo-column of a price from a quantity, such as 'price from 10' for the header 'ab 10 Stk.'; None for any other header."""
    match = _FROM.fullmatch(plain(header.replace(">", " ab ").replace("=", "")))
    return f"{PRICE_FROM}{int(match[1])}" if match else None


@cache
def code_of(column: str, word: str) -> str | None:
    """Our code for a shop's word in a column with a closed list; None if the word is unknown."""
    spelled = plain(word)
    return next((code for code, words in CODES.get(column, {}).items() if spelled == plain(code) or spelled in words), None)


@cache
def table_of(name: str) -> str | None:
    """The table meant by a sheet's name or a product group; None if unknown."""
    spelled = plain(name)
    return next((kind for kind, words in TABLE_NAMES.items() if spelled == plain(kind) or spelled in words), None)


def has_ended(text: str) -> str | None:
    """The word in a text that marks an article as discontinued; None if there is none."""
    padded = f" {plain(text)} "
    return next((word for word in ENDED if f" {word} " in padded and (len(word) > 4 or padded.strip() == word or word == "disc")), None)


def status_ended(text: str) -> str | None:
    """The word in a status that marks an article as discontinued; None if there is none."""
    padded = f" {plain(text)}"
    return has_ended(text) or next((word for word in _ENDED_IN_STATUS if padded.endswith(f" {word}")), None)


def ended_by(header: str, texts: Iterable[str]) -> tuple[str, ...]:
    """Of the texts in a yes-or-no status column, those that mean discontinued; the header decides whether that is yes or no."""
    ended_words = YES if plain(header) in TELLS_ENDED else NO if plain(header) in TELLS_SOLD else frozenset[str]()
    return tuple(text for text in texts if plain(text) in ended_words)
