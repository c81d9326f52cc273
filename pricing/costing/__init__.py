"""The priced bill: rates, rules, lines, shares, totals, terms."""
