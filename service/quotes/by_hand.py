"""Only the shop may add lines, a discount, articles and work of its own kinds by hand. A publishable key, which every visitor of a page has, may not."""

from __future__ import annotations

from pricing.measurement.assembly import QuoteRequest
from service.credentials.keys import Kind
from service.http.caller import caller
from service.http.problems import Problem, fault

_WORDS = "Only the shop may add work, lines and a discount by hand: leave them out, or send the request from the shop's server with a secret key."


def by_publishable() -> bool:
    """Whether the caller of the current request has a publishable key."""
    who = caller()
    return who is not None and who.kind is Kind.PUBLISHABLE


def judge_by_hand(asked: QuoteRequest) -> None:
    """Raises Problem (422) if a request with a publishable key contains anything that only the shop may add by hand."""
    named = [
        name
        for name, said in (
            ("extra_articles", asked.extra_articles),
            ("extra_lines", asked.extra_lines),
            ("discount", asked.discount),
            ("work", asked.work),
        )
        if said
    ]
    named += [f"assemblies/{place}/work" for place, each in enumerate(asked.assemblies) if each.work]
    if named and by_publishable():
        raise Problem(422, _WORDS, [fault(f"#/{each}", "secret_key_only", _WORDS) for each in named])
