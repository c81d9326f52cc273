"""The engine's own version: raised whenever a quote's numbers could come out otherwise."""

from __future__ import annotations

ENGINE = "0.2.0"
