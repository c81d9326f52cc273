"""The languages that pages and documents for people are written in; English first."""

from pricing.wording import LANGUAGES

__all__ = ["LANGUAGES"]
