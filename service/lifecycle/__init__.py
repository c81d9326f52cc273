"""A quote's lifecycle after issue: its statuses and steps, events, links, and the erasure of personal data. Pure: no clock, database or HTTP."""
