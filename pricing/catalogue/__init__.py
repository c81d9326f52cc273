"""The catalogue of wires, fittings, labour and prices: read from a folder of CSV files, checked and indexed."""

from __future__ import annotations

from pathlib import Path

from pricing.catalogue.compiling import load_catalogue
from pricing.catalogue.lookup import Article, Catalogue, Tables
from pricing.catalogue.selling import last_day, sold_on
from pricing.catalogue.threads import normal_thread, tensile_stress_area

DEMO_FOLDER = Path(__file__).resolve().parent.parent / "data"

__all__ = ["DEMO_FOLDER", "Article", "Catalogue", "Tables", "last_day", "load_catalogue", "normal_thread", "sold_on", "tensile_stress_area"]
