"""Decides which IP addresses messages may be sent to: only public ones, so that an endpoint cannot be used to reach hosts behind the
firewall.

The networks are those of IANA's special-purpose registries (RFC 6890, as of 2025) and the multicast ranges; of IPv6 only global
unicast (2000::/3) is allowed at all, so no address with an embedded IPv4 address gets through: mapped (::ffff:0:0/96), NAT64
(64:ff9b::/96), 6to4, Teredo.
"""

from __future__ import annotations

from ipaddress import IPv4Address, IPv4Network, IPv6Address, IPv6Network, ip_address

Address = IPv4Address | IPv6Address
_LOOPBACK = (IPv4Network("127.0.0.0/8"), IPv6Network("::1/128"))
_PRIVATE = (IPv4Network("10.0.0.0/8"), IPv4Network("172.16.0.0/12"), IPv4Network("192.168.0.0/16"), IPv6Network("fc00::/7"))
_NEVER = tuple(
    map(
        IPv4Network,
        (
            "0.0.0.0/8",  # this network
            "100.64.0.0/10",  # carrier-grade NAT, RFC 6598
            "168.63.129.16/32",  # not special-purpose to IANA, but a cloud's internal services answer there
            "169.254.0.0/16",  # link-local; cloud metadata services, which hold secrets
            "192.0.0.0/24",
            "192.0.2.0/24",  # documentation
            "192.31.196.0/24",
            "192.52.193.0/24",
            "192.88.99.0/24",  # 6to4 relays
            "192.175.48.0/24",
            "198.18.0.0/15",  # benchmarking
            "198.51.100.0/24",
            "203.0.113.0/24",
            "224.0.0.0/4",  # multicast
            "240.0.0.0/4",  # reserved, including broadcast
        ),
    )
)
_UNICAST = IPv6Network("2000::/3")
_NEVER_6 = tuple(
    map(
        IPv6Network,
        (
            "2001::/23",  # protocol assignments, including Teredo
            "2001:db8::/32",  # documentation
            "2002::/16",  # 6to4
            "2620:4f:8000::/48",
            "3fff::/20",  # documentation
        ),
    )
)


def loopback(text: str) -> bool:
    """Whether an address is a loopback address."""
    found = _read(text)
    return found is not None and _in(found, _LOOPBACK)


def allowed(text: str, *, private: bool = False) -> bool:
    """Whether a message may be sent to an address. `private`: loopback and private networks are allowed too."""
    found = _read(text)
    if found is None:
        return False
    if _in(found, _LOOPBACK) or _in(found, _PRIVATE):
        return private
    if isinstance(found, IPv4Address):
        return not _in(found, _NEVER)
    return found in _UNICAST and not _in(found, _NEVER_6)


def _read(text: str) -> Address | None:
    """None if it is not an address, or has a scope, which is never global."""
    try:
        found = ip_address(text)
    except ValueError:
        return None
    return None if isinstance(found, IPv6Address) and found.scope_id is not None else found


def _in(address: Address, networks: tuple[IPv4Network | IPv6Network, ...]) -> bool:
    return any(address.version == each.version and address in each for each in networks)
