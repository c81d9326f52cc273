"""Entity tags as headers hold them (RFC 9110, 8.8.3)."""

from __future__ import annotations

import re

_TAGS = re.compile(r'(?:W/)?"([\x21\x23-\x7E\x80-\xFF]*)"')


def tags_in(written: str) -> list[str] | None:
    """The opaque parts of a list of entity tags; None if the text is not such a list."""
    return None if _TAGS.sub("", written).strip(" \t,") else _TAGS.findall(written)


def names(written: str, etag: str) -> bool:
    """Whether `If-None-Match` holds this tag, by weak comparison (RFC 9110, 13.1.2), or is `*`.

    Text that is not a list of entity tags matches nothing, so the response is the full representation, which is never wrong. `If-Match`,
    which guards a step, is refused with such text.
    """
    return written.strip() == "*" or etag in (tags_in(written) or ())
