"""Authentication, access control, and the headers of every response."""
