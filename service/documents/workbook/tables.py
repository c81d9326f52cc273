"""The tables of a quote's workbook: headings, and a row of cells for each thing of the document."""

from __future__ import annotations

from collections.abc import Iterator

from service.documents.quoted import Document, address_lines, adjusted, all_findings, reasons
from service.documents.workbook.sheet import Cell, Column, Day, Number

Row = list[Cell]
SUMMARY = (Column("Quote", 26), Column("", 90))
ASSEMBLIES = (
    Column("Tag", 14), Column("Role", 18), Column("Side", 10), Column("Mast", 8), Column("Quantity", 9), Column("Readiness", 14),
    Column("Wire", 26), Column("Article", 26),
    Column("Measured, mm", 11), Column("Measured", 18), Column("Target, mm", 11), Column("Target", 18), Column("Cut, mm", 11), Column("Cut", 18),
    Column("Uncertainty ±, mm", 12), Column("Tolerance ±, mm", 11),
    Column("Upper exposed thread, mm", 13), Column("Upper exposed thread", 14),
    Column("Lower exposed thread, mm", 13), Column("Lower exposed thread", 14),
    Column("Take-up left, mm", 11), Column("Take-up left", 14), Column("Let-out left, mm", 11), Column("Let-out left", 14),
    Column("Weakest", 18), Column("Breaks at, kN", 10), Column("Price before tax", 12),
)  # fmt: skip
BILL = (Column("Article", 34), Column("Name", 60), Column("Quantity", 11), Column("Unit", 8), Column("Kept", 8))
LINES = (
    Column("Line", 6), Column("Article", 30), Column("Name", 46), Column("Note", 30), Column("Group", 9), Column("Quantity", 10), Column("Unit", 7),
    Column("Unit price", 11), Column("Amount", 12), Column("Allowances", 12), Column("Charges", 11), Column("Reasons", 26), Column("Net", 12),
    Column("Tax", 6), Column("Tax rate, %", 8),
)  # fmt: skip
TOTALS = (
    Column("Total", 60),
    Column("Amount", 14),
    Column("Currency", 9),
    Column("Tax", 6),
    Column("Tax rate, %", 8),
    Column("Taxed amount", 14),
)
FINDINGS = (Column("Tag", 14), Column("Severity", 10), Column("Code", 28), Column("Finding", 70), Column("Remedy", 70), Column("Where", 40))


def summary(document: Document) -> Iterator[Row]:
    """What the quote is, for whom, what it comes to, and what everyone who reads it must know."""
    yield from _head(document)
    totals = document["totals"]
    yield [f"Total before tax, {document['currency']}", Number(totals["tax_exclusive"])]
    yield [f"Tax, {document['currency']}", Number(totals["tax_amount"])]
    yield [f"Payable, {document['currency']}", Number(totals["payable"])]
    yield ["Not in the total, on hold", ", ".join(document["left_out"]) or "nothing"]
    yield ["Customer's note", document["note"]]
    for caution in document["cautions"]:
        yield ["Caution", caution]
    provenance = document["provenance"]
    for title, name in (
        ("Engine", "engine"),
        ("Catalogue", "catalogue_edition"),
        ("Catalogue, version", "catalogue"),
        ("Prices, version", "price_table"),
    ):
        yield [title, provenance[name]]


def _head(document: Document) -> Iterator[Row]:
    customer, boat = document["customer"], document["boat"]
    yield ["Number", document.get("number")]
    yield ["Revision", document.get("revision")]
    yield ["Status", document["status"]]
    yield ["Binding", document["binding"]]
    yield ["Issued on", Day(document["issued_on"])]
    yield ["Valid until, inclusive", Day(document["valid_until"])]
    if "erased_on" in document:
        yield ["Names and notes erased on", Day(document["erased_on"])]
    yield ["Seller", document["seller"]["name"]]
    for title, said in _seller(document["seller"]):
        if said:
            yield [title, said]
    yield ["Customer", customer["name"]]
    yield ["Customer's reference", customer["reference"]]
    yield ["Customer's e-mail", customer["email"]]
    yield ["Boat", boat["name"]]
    yield ["Length overall, mm", None if boat["length_overall"] is None else Number(boat["length_overall"]["mm"])]
    yield ["Price list", document["price_list"]]
    yield ["Delivery", document["delivery"]]
    yield ["Lead time, business days", document["lead_time_days"]]
    yield ["Assemblies", len(document["assemblies"])]


def _seller(seller: Document) -> Iterator[tuple[str, str | None]]:
    yield "Seller's address", ", ".join(address_lines(seller))
    for title, name in (("telephone", "phone"), ("e-mail", "email"), ("tax number", "tax_number"), ("legal notice", "legal")):
        yield f"Seller's {title}", seller.get(name)


def assemblies(document: Document) -> Iterator[Row]:
    """Each assembly with its lengths in mm and in the quote's display units."""
    for each in document["assemblies"]:
        wire = each["wire"] or {"name": None, "sku": None}
        screws = each["turnbuckle"] or {}
        exposed = screws.get("build_setting") or {}
        lengths = [each["measured_length"], each["target_length"], each["cut_length"]]
        travel = [exposed.get("upper_exposed"), exposed.get("lower_exposed"), screws.get("take_up"), screws.get("let_out")]
        yield [
            each["tag"], each["role"], each["side"], each["mast"], each["quantity"], each["readiness"], wire["name"], wire["sku"],
            *_lengths(lengths), _mm(each["uncertainty"]), _mm(each["tolerance"]), *_lengths(travel), *_strength(each["strength"]),
            _price(each),
        ]  # fmt: skip


def _lengths(found: list[Document | None]) -> Iterator[Cell]:
    for each in found:
        yield _mm(each)
        yield None if each is None else each["text"]


def _mm(length: Document | None) -> Cell:
    return None if length is None else Number(length["mm"])


def _strength(strength: Document | None) -> Row:
    return [None, None] if strength is None else [strength["weakest"], Number(strength["kN"])]


def _price(assembly: Document) -> Cell:
    """Its share of the lines; none on hold, and in quotes issued before it was told."""
    price = assembly.get("price")
    return None if price is None else Number(price["net"])


def bill(document: Document) -> Iterator[Row]:
    """Wire and parts of all assemblies."""
    for each in document["bill_of_materials"]:
        yield [each["sku"], each["name"], Number(each["quantity"]), each["unit"], "yes" if each["kept"] else "no"]


def lines(document: Document) -> Iterator[Row]:
    """The priced lines; charges on the document stand with the totals."""
    for each in document["lines"]:
        allowances, charges = (Number(adjusted(each[name], document["currency"])) for name in ("allowances", "charges"))
        yield [
            Number(each["id"]), each["sku"], each["name"], each["note"], each["group"], Number(each["quantity"]), each["unit"],
            Number(each["unit_price"]), Number(each["amount"]), allowances, charges, reasons(each), Number(each["net"]),
            each["tax"]["category"], Number(each["tax"]["rate"]),
        ]  # fmt: skip


def totals(document: Document) -> Iterator[Row]:
    """From the sum of the lines to what is payable, with each charge and each tax on the way."""
    found, currency = document["totals"], document["currency"]
    yield ["Sum of the lines", Number(found["lines"]), currency]
    yield ["Allowances on the document", Number(found["allowances"]), currency]
    for charge in document["charges"]:
        tax = charge["tax"]
        yield [f"Charge: {charge['reason']}", Number(charge["amount"]), currency, tax["category"], Number(tax["rate"])]
    yield ["Charges on the document", Number(found["charges"]), currency]
    yield ["Total before tax", Number(found["tax_exclusive"]), currency]
    for share in found["tax"]:
        taken = [share["category"], Number(share["rate"]), Number(share["taxable"])]
        yield [f"Tax {share['category']}, {share['rate']} % of {share['taxable']}", Number(share["amount"]), currency, *taken]
    yield ["Tax", Number(found["tax_amount"]), currency]
    yield ["Total with tax", Number(found["tax_inclusive"]), currency]
    yield ["Payable", Number(found["payable"]), currency]


def findings(document: Document) -> Iterator[Row]:
    """What was assumed, is doubted or cannot be built."""
    for tag, each in all_findings(document):
        yield [tag, each["severity"], each["code"], each["message"], each["remedy"], each["pointer"]]
