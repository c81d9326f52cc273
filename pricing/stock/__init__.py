"""From quotes and stock to the bench: which pieces are cut from which spool, and what that really costs."""
