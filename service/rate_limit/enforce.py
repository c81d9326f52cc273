"""Rate limiting: each request with a key takes one from its bucket, and every response reports what is left
(draft-ietf-httpapi-ratelimit-headers-10).
"""

from __future__ import annotations

import ipaddress
import logging
import math
import sqlite3
import time
from typing import cast

from flask import Flask, Response, g, request

from service.credentials.quotas import WRONG_ADDRESSES, WRONG_KEYS, Policy, policy_for, policy_named
from service.http.caller import WrongKey, caller, requirement
from service.http.current import settings
from service.http.problems import Problem, fault, respond
from service.http.unproxied import current_application, request_state
from service.rate_limit.buckets import Buckets, FileBuckets, Taken
from service.rate_limit.purse import Purse
from service.settings import Settings

BLIND_SECONDS = 5.0
log = logging.getLogger("service")


class Gate:
    """The limits of one process. If the buckets do not respond nobody is limited: a quote is worth more than a count."""

    def __init__(self, buckets: Buckets) -> None:
        self.buckets, self._purse, self._blind_until = buckets, Purse(buckets), 0.0

    def pass_one(self, owner: str, policy: Policy) -> Taken | None:
        """Take one request; None if nothing could be counted."""
        if time.monotonic() < self._blind_until:
            return None
        try:
            return self._purse.take(f"{owner}|{policy.name}", policy.interval, policy.window)
        except (OSError, sqlite3.Error) as error:
            self._blind_until = time.monotonic() + BLIND_SECONDS
            log.warning("requests cannot be counted; rate limits are suspended: %s", error)
            return None


def buckets_for(settings: Settings, database_url: str) -> Buckets:
    """Buckets in Redis if it is configured, otherwise in a file. Raises SettingsError."""
    if settings.redis_url is None:
        return FileBuckets(database_url)
    from service.rate_limit.redis_buckets import RedisBuckets

    return RedisBuckets(settings.redis_url)


def install(app: Flask) -> None:
    """Count every request that has a key, and refuse those above the limit."""

    @app.before_request
    def count() -> None:
        required, who = requirement(), caller()
        if required is None or who is None:
            return
        policy = policy_for(who.kind, required.rate, settings().rate_limits)
        taken = _gate().pass_one(who.owner, policy)
        if taken is not None:
            request_state()["limit"] = policy, taken
        if taken is not None and not taken.allowed:
            raise _too_many(policy, taken)

    @app.errorhandler(WrongKey)
    def count_wrong(problem: WrongKey) -> Response:
        """Limit only callers with wrong keys: a valid key from the same address has already been accepted."""
        policy = policy_named(WRONG_KEYS, settings().rate_limits)
        taken = _gate().pass_one(network(request.remote_addr or ""), policy)
        if taken is None or taken.allowed:
            return respond(problem)
        g.limit = policy, taken
        return respond(_too_many(policy, taken))

    @app.after_request
    def add_headers(response: Response) -> Response:
        limit = request_state().get("limit")
        if limit is not None:
            policy, taken = limit
            left = max(math.floor((policy.window - taken.ahead) / policy.interval + 1e-6), 0)
            response.headers.add("RateLimit-Policy", f'"{policy.name}";q={policy.quota};w={policy.window}')
            response.headers.add("RateLimit", f'"{policy.name}";r={left};t={math.ceil(taken.ahead)}')
        return response


def _gate() -> Gate:
    """This process's limits."""
    return cast("Gate", current_application().extensions["gate"])


def network(address: str) -> str:
    """The network an address belongs to: for IPv6 the first 64 bits, since one holder has all addresses within them."""
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return "unknown"
    if isinstance(found, ipaddress.IPv4Address):
        return str(found)
    return str(found.ipv4_mapped or ipaddress.IPv6Network((int(found), 64), strict=False).network_address)


def count_address(quote_id: str) -> None:
    """Count an e-mail address tried with a quote's reading link. Raises Problem (429) if too many have been tried."""
    policy = policy_named(WRONG_ADDRESSES, settings().rate_limits)
    taken = _gate().pass_one(f"reading:{quote_id}", policy)
    if taken is not None and not taken.allowed:
        wait = _wait(policy, taken)
        words = f"Several e-mail addresses were tried for this quote: wait {wait} s, or ask the shop for a link of your own."
        raise Problem(429, words, [fault("#/customer/email", "too_many_addresses", words)], {"Retry-After": str(wait)})


def _wait(policy: Policy, taken: Taken) -> int:
    return max(math.ceil(taken.ahead + policy.interval - policy.window), 1)


def _too_many(policy: Policy, taken: Taken) -> Problem:
    wait = _wait(policy, taken)
    words = f"The rate limit {policy.name} is {policy.quota} requests a minute: wait {wait} s, then send requests more slowly."
    return Problem(429, words, [fault("#", "too_many_requests", words)], {"Retry-After": str(wait)})
