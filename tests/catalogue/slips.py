"""How many slips of the pen in the demo's tables are noticed, by kind and by table, and which are not.

    python -m tests.catalogue.slips [MANY]

Each kind of slip is made MANY times (200), each table as likely as the others, with a fixed seed; noticed is what is a fault, a doubt about its row, or a
doubt elsewhere. Those that escape are listed.
"""

from __future__ import annotations

import sys
from collections import Counter, defaultdict

from pricing.catalogue import DEMO_FOLDER
from pricing.catalogue.compiling import checked_sheets

from .mutations import ONE_CELL, Slip, drawn, noticed

SEED = 2027


def main(many: int) -> None:
    """Print the shares, and the slips that escape."""
    sheets = checked_sheets(DEMO_FOLDER)
    made: dict[str, Counter[str]] = defaultdict(Counter)
    escaped: dict[str, Counter[str]] = defaultdict(Counter)
    escapes: list[Slip] = []
    for kind in (*ONE_CELL, "columns"):
        how = Counter[str]()
        for slip in drawn(sheets, kind, many, SEED):
            found = noticed(sheets, slip)
            how[found or "not"] += 1
            made[slip.table][kind] += 1
            if not found:
                escaped[slip.table][kind] += 1
                escapes.append(slip)
        share = 100 * (many - how["not"]) / many
        print(f"{kind:8} {share:5.1f} in 100 of {many}: {', '.join(f'{name} {count}' for name, count in how.most_common())}", flush=True)
    for table in sorted(made, key=lambda each: -sum(escaped[each].values())):
        of, lost = sum(made[table].values()), sum(escaped[table].values())
        by = ", ".join(f"{kind} {count}" for kind, count in escaped[table].most_common())
        print(f"{table:18} {100 * (of - lost) / of:5.1f} in 100 of {of}{'; not: ' + by if by else ''}")
    for slip in escapes:
        print(f"{slip.kind:8} {slip.table}:{slip.line} {slip.column} {slip.was} -> {slip.now} {' '.join(slip.also)}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
