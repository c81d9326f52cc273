"""Signs messages as specified by Standard Webhooks 1.0.0, symmetrically, using the package of that name, with which receivers can
verify them.

The header holds several signatures while a secret is being rotated.
"""

from __future__ import annotations

import base64
import secrets
from collections.abc import Sequence
from datetime import UTC, datetime

from standardwebhooks import Webhook

PREFIX = "whsec_"
SECRET_BYTES = 32  # the specification allows 24 to 64


def new_secret() -> bytes:
    """A new secret, as raw bytes for signing."""
    return secrets.token_bytes(SECRET_BYTES)


def spelled(secret: bytes) -> str:
    """A secret in the text form in which receivers configure it."""
    return PREFIX + base64.b64encode(secret).decode()


def headers(secrets_in_use: Sequence[bytes], message_id: str, seconds: int, body: bytes) -> dict[str, str]:
    """The three headers of an attempt at `seconds` since 1970 with a UTF-8 body; newest secret first."""
    moment, text = datetime.fromtimestamp(seconds, UTC), body.decode()
    return {
        "webhook-id": message_id,
        "webhook-timestamp": str(seconds),
        "webhook-signature": " ".join(Webhook(each).sign(message_id, moment, text) for each in secrets_in_use),
    }
