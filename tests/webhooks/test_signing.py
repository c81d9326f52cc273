"""Signatures, by the specification's reference vector and by its Python library, which is what receivers verify with."""

from __future__ import annotations

import base64
import hashlib
import hmac
import time

import pytest
from standardwebhooks import Webhook, WebhookVerificationError

from service.webhooks.signing import headers, new_secret, spelled

# the vector of the specification's reference libraries: secret, id, timestamp, payload and the signature that all of them must make
SECRET = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"
VECTOR = ("msg_p5jXN8AQM9LWM0D4loKWxJek", 1614265330, b'{"test": 2432232314}')
SIGNED = "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="


def test_the_reference_vector_comes_out() -> None:
    message_id, seconds, _ = VECTOR
    assert headers([base64.b64decode(SECRET.removeprefix("whsec_"))], *VECTOR) == {
        "webhook-id": message_id,
        "webhook-timestamp": str(seconds),
        "webhook-signature": SIGNED,
    }


def test_the_header_is_the_specifications_formula_whatever_the_body() -> None:
    """HMAC-SHA256 of `{id}.{seconds}.{body}`, written out here, so that a release of the package that signs otherwise is noticed."""
    secret, now, body = new_secret(), 1_790_000_000, '{"type":"quote.issued","data":{"number":"Q-2026-000001","words":"Größe ⅜"}}'.encode()
    digest = hmac.new(secret, b"msg_1." + str(now).encode() + b"." + body, hashlib.sha256).digest()
    assert headers([secret], "msg_1", now, body)["webhook-signature"] == f"v1,{base64.b64encode(digest).decode()}"


def test_the_library_verifies_what_is_signed_and_nothing_else() -> None:
    secret, body, now = new_secret(), b'{"type":"quote.issued","data":{"payable":"12.50"}}', int(time.time())
    sent = headers([secret], "01a21202-0dfc-7812-9843-0e6a6544d0d4", now, body)
    assert Webhook(spelled(secret)).verify(body, sent)["data"] == {"payable": "12.50"}
    for wrong in (
        (body.replace(b"12", b"13"), sent),
        (body, {**sent, "webhook-id": "another"}),
        (body, {**sent, "webhook-timestamp": str(now + 1)}),
    ):
        with pytest.raises(WebhookVerificationError):
            Webhook(spelled(secret)).verify(*wrong)


def test_while_a_secret_is_replaced_both_verify() -> None:
    new, old, now = new_secret(), new_secret(), int(time.time())
    sent = headers([new, old], "m", now, b"{}")
    assert sent["webhook-signature"].count("v1,") == 2
    for secret in (new, old):
        assert Webhook(spelled(secret)).verify(b"{}", sent) == {}


def test_a_secret_has_the_bytes_that_the_specification_takes() -> None:
    assert 24 <= len(base64.b64decode(spelled(new_secret()).removeprefix("whsec_"))) <= 64
