"""Webhooks: what happened is told to the shop's own systems, signed by the Standard Webhooks specification, version 1.0.0."""
