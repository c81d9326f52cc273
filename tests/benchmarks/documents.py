"""What each document of a quote costs beside its JSON: `python tests/benchmarks/documents.py [rounds]`. Not a test: nothing here passes or fails.

The demo boat of 12 assemblies. Each round makes every document once, one after the other, so that a busy machine slows all alike; what is
printed are medians, and the median of each round's own ratio to the JSON (read and written again by orjson, as a reply without a kept body
would be).
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import orjson

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from pricing.document import read  # noqa: E402
from service.documents.assembly_drawing import svg as assembly_svg  # noqa: E402
from service.documents.bench_sheet import html as bench_sheet_html  # noqa: E402
from service.documents.bench_sheet.known import Known  # noqa: E402
from service.documents.csv import quote as quote_csv  # noqa: E402
from service.documents.quotation import html as quotation_html  # noqa: E402
from service.documents.quotation.paper import paper  # noqa: E402
from service.documents.rig_sheet import svg as rig_sheet_svg  # noqa: E402
from service.documents.ubl import quotation as quote_ubl  # noqa: E402
from service.documents.workbook import quote as quote_xlsx  # noqa: E402
from tests.documents.quotes import demo, tables  # noqa: E402


def forms() -> dict[str, Callable[[], object]]:
    """Every document by its name; the JSON first."""
    document = demo(0)
    index = tables()[0].index
    known = Known(index.article, index.thread, kept=True)
    text, quote = orjson.dumps(document), read(document)
    return {
        "JSON": lambda: orjson.dumps(orjson.loads(text)),
        "CSV": partial(quote_csv.lines, quote),
        "UBL": partial(quote_ubl.quotation, quote),
        "drawing of one assembly": partial(assembly_svg.drawing, quote, quote.assemblies[0]),
        "rig sheet": partial(rig_sheet_svg.drawing, quote),
        "XLSX": partial(quote_xlsx.workbook, quote),
        "quotation HTML": partial(quotation_html.page, quote),
        "bench sheet HTML": partial(bench_sheet_html.page, quote, known),
        "quotation PDF": partial(paper, quote),
    }


def seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def main(rounds: int) -> None:
    made = forms()
    for work in made.values():
        work()  # templates, fonts and catalogues of messages are loaded once
    took: dict[str, list[float]] = {name: [] for name in made}
    for _ in range(rounds):
        for name, work in made.items():
            took[name].append(seconds(work))
    print(f"12 assemblies, {rounds} interleaved rounds")
    for name, times in took.items():
        ratio = statistics.median(each / base for each, base in zip(times, took["JSON"], strict=False))
        print(f"{name:24s} {1e3 * statistics.median(times):10.2f} ms {ratio:10.1f} x JSON")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 15)
