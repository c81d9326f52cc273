"""What papers set by Typst cost beside a browser engine that prints the same quotation's page, and what many of them take. Not a test.

    python tests/benchmarks/papers.py [rounds] [boats]

In one run: processor time of the demo quotation of 12 assemblies on paper and of its page printed by WeasyPrint (extra `bench`, with
Pango from Debian), in turns, medians and the median of the ratios; the first PDF of a new process from its start; 120 assemblies; and an
archive of so many boats over HTTP (WSGI, one process, SQLite in a file), with the most memory that the process held before and after.
"""

from __future__ import annotations

import json
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import suppress
from datetime import date
from functools import partial
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from pricing.document import read  # noqa: E402
from service.app import create_app  # noqa: E402
from service.demo import demo_names, demo_request  # noqa: E402
from service.documents.quotation.html import page  # noqa: E402
from service.documents.quotation.paper import paper  # noqa: E402
from service.engine.engine import open_engine  # noqa: E402
from service.settings import Settings  # noqa: E402
from service.storage import Quotes, migrate  # noqa: E402
from tests.batches.fleet import worked  # noqa: E402
from tests.benchmarks.boats import KEY, taken  # noqa: E402
from tests.documents.quotes import demo, fleet  # noqa: E402

FIRST = "import sys; sys.path.insert(0, {root!r}); from pricing.document import read; from service.documents.quotation.paper import paper; import json; quote = read(json.load(sys.stdin)); import time; start = time.perf_counter(); paper(quote); print(time.perf_counter() - start)"


def printed() -> Callable[[bytes], object] | None:
    """The browser engine, if it is installed."""
    with suppress(ImportError, OSError):
        from weasyprint import HTML

        return lambda html: HTML(string=html.decode()).write_pdf(pdf_tags=True)
    print("WeasyPrint or Pango is not installed: no reference")
    return None


def beside(rounds: int) -> None:
    quote, reference = read(demo(0)), printed()
    html = page(quote)
    ways: dict[str, Callable[[], object]] = {"page (HTML)": partial(page, quote), "paper (PDF)": partial(paper, quote)}
    if reference is not None:
        ways["page printed by WeasyPrint"] = partial(reference, html)
    for way in ways.values():
        way()
    took = {name: [] for name in ways}
    for _ in range(rounds):
        for name, way in ways.items():
            took[name].append(taken(way))
    print(
        f"12 assemblies, {rounds} rounds in turns, processor time; page {len(html) / 1000:.1f} kB, paper {len(paper(quote)) / 1000:.1f} kB"
    )
    for name, each in took.items():
        ratio = statistics.median(one / base for one, base in zip(each, took["paper (PDF)"], strict=True))
        print(f"{name:28s} {statistics.median(each):9.1f} ms {ratio:8.2f} x paper")


def first() -> None:
    text = json.dumps(demo(0)).encode()
    command = [sys.executable, "-c", FIRST.format(root=str(ROOT))]
    each = [float(subprocess.run(command, input=text, capture_output=True, check=True).stdout) for _ in range(5)]
    print(f"first PDF of a new process: {statistics.median(each):.2f} s (5 processes, the longest {max(each):.2f} s)")


def large() -> None:
    quote = read(fleet(120))
    print(f"120 assemblies: {taken(partial(paper, quote)) / 1000:.2f} s of processor time, {len(paper(quote)) / 1e6:.1f} MB")


def archive(boats: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        settings = Settings(today=date(2026, 11, 25), demo_key=KEY, database_url=f"sqlite:///{folder}/quotes.sqlite3")
        store = Quotes(settings.database_url)
        migrate(store.engine())
        engine = open_engine(settings)
        client = create_app(settings, engine, store).test_client()
        client.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {KEY}"
        asked = json.loads(demo_request(demo_names()[0]))
        lines = "\n".join(json.dumps({**asked, "custom_id": f"HULL-{number}"}) for number in range(boats))
        made = client.post("/v1/batches", data=lines, content_type="application/x-ndjson").headers["Location"]
        worked(client.application, store)
        start, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        size, most = 0, []
        answer = client.get(f"{made}/quotations", buffered=False)
        assert answer.status_code == 200, answer.text
        for place, piece in enumerate(answer.iter_encoded()):
            size += len(piece)
            if place % max(boats // 10, 1) == 0:
                most.append(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)
        answer.close()
        print(
            f"archive of {boats} boats of 12 assemblies: {time.perf_counter() - start:.1f} s, {size / 1e6:.1f} MB; most memory {before // 1024} MB before, then by tenths {most}"
        )
        store.close()


if __name__ == "__main__":
    beside(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
    first()
    large()
    archive(int(sys.argv[2]) if len(sys.argv) > 2 else 500)
