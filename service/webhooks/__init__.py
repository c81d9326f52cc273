"""Webhooks: events are reported to the shop's own systems, signed as specified by Standard Webhooks, version 1.0.0."""
