"""What each document of a quote costs beside its JSON: `python tests/benchmarks/documents.py [rounds]`. No test: nothing here passes or fails.

The demo boat of 12 assemblies. Each round makes every document once, one after the other, so that a busy machine slows all alike; what is
printed are medians, and the median of each round's own ratio to the JSON (read and written again by orjson, as a reply without a kept body
would be). The PDF is made in this process, in the first rounds alone.
"""

from __future__ import annotations

import os
import statistics
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import orjson

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
os.environ.setdefault("SOURCE_DATE_EPOCH", "0")
from service.documents import assembly_svg, bench_sheet_html, quotation_html, quote_csv, quote_ubl, quote_xlsx, rig_sheet_svg  # noqa: E402
from service.documents.benchsheet.known import Known  # noqa: E402
from service.documents.pdf import NoPdf, pdf_of  # noqa: E402
from tests.documents.quotes import demo, tables  # noqa: E402

PDFS = 3


def forms() -> dict[str, Callable[[], object]]:
    """Every document by its name; the JSON first."""
    document = demo(0)
    index = tables()[0].index
    known = Known(index.article, index.thread, kept=True)
    text, first = orjson.dumps(document), document["assemblies"][0]
    return {
        "JSON": lambda: orjson.dumps(orjson.loads(text)),
        "CSV": partial(quote_csv.lines, document),
        "UBL": partial(quote_ubl.quotation, document),
        "drawing of one assembly": partial(assembly_svg.drawing, document, first),
        "rig sheet": partial(rig_sheet_svg.drawing, document),
        "XLSX": partial(quote_xlsx.workbook, document),
        "quotation HTML": partial(quotation_html.page, document),
        "bench sheet HTML": partial(bench_sheet_html.page, document, known),
        "quotation PDF": lambda: pdf_of(quotation_html.page(document, for_paper=True)),
    }


def seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def main(rounds: int) -> None:
    made = forms()
    for name, work in list(made.items()):
        try:
            work()  # templates, fonts and catalogues of messages are loaded once
        except NoPdf as error:
            print(error)
            del made[name]
    took: dict[str, list[float]] = {name: [] for name in made}
    for place in range(rounds):
        for name, work in made.items():
            if name != "quotation PDF" or place < PDFS:
                took[name].append(seconds(work))
    print(f"12 assemblies, {rounds} interleaved rounds, PDF {min(PDFS, rounds)}")
    for name, times in took.items():
        ratio = statistics.median(each / base for each, base in zip(times, took["JSON"], strict=False))
        print(f"{name:24s} {1e3 * statistics.median(times):10.2f} ms {ratio:10.1f} x JSON")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 15)
