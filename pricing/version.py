"""The engine's own version, raised whenever a quote's numbers may change."""

from __future__ import annotations

ENGINE = "0.6.0"
