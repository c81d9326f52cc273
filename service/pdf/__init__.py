"""PDFs made beside the requests: in a process of their own with a time limit, a few at a time, each kept in the database."""
