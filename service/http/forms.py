"""Forms as pages send them, read within limits: strangers send forms too, and a refused one is read again to show what was typed.

The framework reads such a body whole, however long it is and however slowly it arrives.
"""

from __future__ import annotations

from typing import IO, Any
from urllib.parse import parse_qsl

from flask import Request
from werkzeug.exceptions import RequestEntityTooLarge
from werkzeug.formparser import FormDataParser

from service.http.current import settings

PLAIN = "application/x-www-form-urlencoded"
MOST_FIELDS = 10_000  # far beyond what any page has; a million of them, in two megabytes, would take a second


class Forms(FormDataParser):
    """The framework's, with limits for forms without files; those with files have limits of its own."""

    def parse(self, stream: IO[bytes], mimetype: str, content_length: int | None, options: dict[str, str] | None = None) -> Any:
        """The form and its files. Raises RequestEntityTooLarge before anything is read that has not arrived yet (service/server/buffering.py),
        and for countless fields.
        """
        if mimetype != PLAIN:
            return super().parse(stream, mimetype, content_length, options)
        if content_length is None or content_length > settings().max_body_bytes:
            raise RequestEntityTooLarge
        text = stream.read().decode("utf-8", "replace")
        try:
            fields = parse_qsl(text, keep_blank_values=True, errors="replace", max_num_fields=MOST_FIELDS)
        except ValueError:
            raise RequestEntityTooLarge from None
        return stream, self.cls(fields), self.cls()


class Asked(Request):
    """A request whose forms are read so."""

    form_data_parser_class = Forms
