"""Who may do what, and the headers of every response."""
