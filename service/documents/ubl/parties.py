"""Parties of UBL documents: the shop, whoever else is named, and addresses, with the terms of EN 16931 (BT- numbers)."""

from __future__ import annotations

from xml.etree.ElementTree import Element

from pricing.model import Address, Seller
from service.documents.ubl.elements import group, leaf


def shop(seller: Seller) -> Element | None:
    """The shop as a Party."""
    return group("Party", party_name(seller.name), *_told(seller))


def _told(seller: Seller) -> tuple[Element | None, ...]:
    """Address, tax number (EN 16931 BT-31), legal line (BT-33) and contact; empty for quotes issued before these were included."""
    legal = seller.legal
    return (
        None if seller.address is None else postal_address(seller.address),
        taxed(seller.tax_number),
        group("PartyLegalEntity", leaf("RegistrationName", seller.name), leaf("CompanyLegalForm", legal)) if legal else None,
        group("Contact", leaf("Telephone", seller.phone), leaf("ElectronicMail", seller.email)),
    )


def taxed(number: str | None) -> Element | None:
    """A party's tax number (EN 16931 BT-31 and BT-48). The scheme is VAT whatever the tax is called, as `tax_category` says."""
    known = leaf("CompanyID", number)
    return None if known is None else group("PartyTaxScheme", known, group("TaxScheme", leaf("ID", "VAT")))


def postal_address(at: Address, name: str = "PostalAddress") -> Element | None:
    """An address under this name."""
    return group(
        name,
        leaf("StreetName", at.street),
        leaf("CityName", at.city),
        leaf("PostalZone", at.postal_code),
        leaf("CountrySubentity", at.region),
        group("Country", leaf("IdentificationCode", at.country)),
    )


def party_name(name: str | None) -> Element | None:
    """A party by its name."""
    return group("PartyName", leaf("Name", name))
