"""Addresses that messages may and may not go to. The networks: IANA's special-purpose address registries for IPv4 and IPv6 (RFC 6890)."""

from __future__ import annotations

import pytest

from service.webhooks.addresses import allowed

INTERNET = (
    "8.8.8.8",
    "1.1.1.1",
    "93.184.215.14",
    "172.15.255.255",
    "172.32.0.0",
    "100.63.255.255",
    "100.128.0.0",
    "2606:4700::1111",
    "2a00::1",
)
OWN = ("127.0.0.1", "127.255.255.254", "::1", "10.0.0.1", "172.16.0.1", "172.31.255.255", "192.168.1.1", "fc00::1", "fdff::1")
NEVER = (
    "0.0.0.0", "0.1.2.3", "100.64.0.1", "100.127.255.255", "169.254.169.254", "192.0.0.8", "192.0.2.1", "192.88.99.1", "198.18.0.1", "198.51.100.1",  # noqa: S104  # an address to be refused
    "203.0.113.1", "224.0.0.1", "239.255.255.255", "240.0.0.1", "255.255.255.255", "168.63.129.16",
    "::", "::ffff:127.0.0.1", "::ffff:10.0.0.1", "::ffff:8.8.8.8", "::127.0.0.1", "64:ff9b::7f00:1", "64:ff9b::808:808", "64:ff9b:1::1", "100::1",
    "2001::1", "2001:db8::1", "2002:7f00:1::", "3fff::1", "5f00::1", "fe80::1", "fe80::1%eth0", "fec0::1", "ff02::1", "4000::1",
    "fd00:ec2::254%eth0", "2606:4700::1111%1", "", "localhost", "127.1", "0x7f000001", "2130706433", "127.0.0.1.",
)  # fmt: skip


@pytest.mark.parametrize("address", INTERNET)
def test_the_internet_is_allowed(address: str) -> None:
    assert allowed(address)
    assert allowed(address, private=True)


@pytest.mark.parametrize("address", OWN)
def test_ones_own_networks_are_allowed_by_the_setting_alone(address: str) -> None:
    assert not allowed(address)
    assert allowed(address, private=True)


@pytest.mark.parametrize("address", NEVER)
def test_everything_else_is_never_allowed(address: str) -> None:
    assert not allowed(address)
    assert not allowed(address, private=True)
