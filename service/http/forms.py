"""Parses HTML forms within limits. Anyone can send a form, and a refused one is parsed again to show the user's entries.

Without these limits, Flask would read the whole body, however long it is and however slowly it arrives.
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


class LimitedFormParser(FormDataParser):
    """Werkzeug's parser with limits for forms without files; for forms with files it has limits of its own."""

    def parse(self, stream: IO[bytes], mimetype: str, content_length: int | None, options: dict[str, str] | None = None) -> Any:
        """The stream, the form's fields and its files. Raises RequestEntityTooLarge for too many fields, and before reading a body that
        the server has not buffered completely (service/server/buffering.py).
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


class LimitedFormRequest(Request):
    """A request whose forms are parsed within limits."""

    form_data_parser_class = LimitedFormParser
