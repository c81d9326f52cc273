"""From quotes and the shelf to the bench: which pieces are cut off which spool, and what that really costs."""
