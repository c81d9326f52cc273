"""The gate: each request with a key takes one out of its bucket, and every reply tells what is left (draft-ietf-httpapi-ratelimit-headers-10)."""

from __future__ import annotations

import ipaddress
import logging
import math
import sqlite3
import time
from typing import cast

from flask import Flask, Response, current_app, g, request

from service.guard.entrance import WrongKey, caller, need
from service.guard.limits.buckets import Buckets, FileBuckets, Taken
from service.guard.limits.policies import WINDOW_SECONDS, WRONG_KEYS, Policy, policy_for, policy_named
from service.problems import Problem, fault, respond
from service.settings import Settings

BLIND_SECONDS = 5.0
log = logging.getLogger("service")


class Gate:
    """The limits of one process. Where the buckets do not answer nobody is limited: a quote is worth more than a count."""

    def __init__(self, buckets: Buckets) -> None:
        self.buckets, self._blind_until = buckets, 0.0

    def pass_one(self, owner: str, policy: Policy) -> Taken | None:
        """Take one request; None where nothing could be counted."""
        if time.monotonic() < self._blind_until:
            return None
        try:
            return self.buckets.take(f"{owner}|{policy.name}", policy.interval, WINDOW_SECONDS)
        except (OSError, sqlite3.Error) as error:
            self._blind_until = time.monotonic() + BLIND_SECONDS
            log.warning("requests cannot be counted, nobody is limited meanwhile: %s", error)
            return None


def buckets_for(settings: Settings, database_url: str) -> Buckets:
    """Buckets in Redis where it is set, else in a file. Raises SettingsError."""
    if settings.redis_url is None:
        return FileBuckets(database_url)
    from service.guard.limits.redis_buckets import RedisBuckets

    return RedisBuckets(settings.redis_url)


def install(app: Flask) -> None:
    """Count every request that has a key, and refuse what is too much."""

    @app.before_request
    def count() -> None:
        asked, who = need(), caller()
        if asked is None or who is None:
            return
        settings: Settings = current_app.extensions["settings"]
        policy = policy_for(who.kind, asked.rate, settings.limits)
        taken = cast("Gate", current_app.extensions["gate"]).pass_one(who.owner, policy)
        if taken is not None:
            g.limit = policy, taken
        if taken is not None and not taken.allowed:
            raise _too_many(policy, taken)

    @app.errorhandler(WrongKey)
    def count_wrong(problem: WrongKey) -> Response:
        """Only who shows wrong keys is refused: a right key from the same address was let in before."""
        settings: Settings = current_app.extensions["settings"]
        policy = policy_named(WRONG_KEYS, settings.limits)
        taken = cast("Gate", current_app.extensions["gate"]).pass_one(network(request.remote_addr or ""), policy)
        if taken is None or taken.allowed:
            return respond(problem)
        g.limit = policy, taken
        return respond(_too_many(policy, taken))

    @app.after_request
    def tell(response: Response) -> Response:
        if "limit" in g:
            policy, taken = g.limit
            left = max(math.floor((WINDOW_SECONDS - taken.ahead) / policy.interval + 1e-6), 0)
            response.headers.add("RateLimit-Policy", f'"{policy.name}";q={policy.quota};w={WINDOW_SECONDS}')
            response.headers.add("RateLimit", f'"{policy.name}";r={left};t={math.ceil(taken.ahead)}')
        return response


def network(address: str) -> str:
    """Whose address it is: of IPv6 the first 64 bits, within which one holder has all addresses."""
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return "unknown"
    if isinstance(found, ipaddress.IPv4Address):
        return str(found)
    return str(found.ipv4_mapped or ipaddress.IPv6Network((int(found), 64), strict=False).network_address)


def _too_many(policy: Policy, taken: Taken) -> Problem:
    wait = max(math.ceil(taken.ahead + policy.interval - WINDOW_SECONDS), 1)
    words = f"More than {policy.quota} requests of the kind {policy.name} in a minute: wait {wait} s and go on slower."
    return Problem(429, words, [fault("#", "too_many_requests", words)], {"Retry-After": str(wait)})
