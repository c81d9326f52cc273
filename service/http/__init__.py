"""What all resources share: problem details, responses, content negotiation, pagination, preconditions, idempotency."""
