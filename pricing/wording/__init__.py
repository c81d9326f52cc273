"""Words for people: the catalogue of messages and names by language and reader, and the voice that fills in values."""

from pricing.wording.catalogue import LANGUAGES, READERS, entries
from pricing.wording.voice import Voice, WordedFinding, localised, voice_for

__all__ = ["LANGUAGES", "READERS", "Voice", "WordedFinding", "entries", "localised", "voice_for"]
