"""Words for people: the catalogue of messages and names by language and reader, and the voice that fills in values."""

from pricing.wording.catalogue import LANGUAGES, READERS, entries
from pricing.wording.voice import WordedFinding, Voice, localised, voice_for

__all__ = ["LANGUAGES", "READERS", "Said", "Voice", "entries", "localised", "voice_for"]
