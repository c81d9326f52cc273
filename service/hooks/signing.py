"""Signatures of messages: Standard Webhooks 1.0.0, section "Signature scheme", symmetric.

Signed is `{id}.{seconds since 1970}.{body}`, by HMAC-SHA256; several signatures stand in one header while a secret is replaced.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import secrets
from collections.abc import Sequence

PREFIX = "whsec_"
SECRET_BYTES = 32  # the specification takes 24 to 64


def new_secret() -> bytes:
    """A new secret, as it is signed with."""
    return secrets.token_bytes(SECRET_BYTES)


def spelled(secret: bytes) -> str:
    """A secret as it is shown to whoever is to verify with it."""
    return PREFIX + base64.b64encode(secret).decode()


def signature(secret: bytes, message_id: str, seconds: int, body: bytes) -> str:
    """One signature with its version."""
    digest = hmac.new(secret, f"{message_id}.{seconds}.".encode() + body, hashlib.sha256).digest()
    return f"v1,{base64.b64encode(digest).decode()}"


def headers(secrets_in_use: Sequence[bytes], message_id: str, seconds: int, body: bytes) -> dict[str, str]:
    """The three headers of an attempt at `seconds` since 1970; the newest secret first."""
    return {
        "webhook-id": message_id,
        "webhook-timestamp": str(seconds),
        "webhook-signature": " ".join(signature(each, message_id, seconds, body) for each in secrets_in_use),
    }
