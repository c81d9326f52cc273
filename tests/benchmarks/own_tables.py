"""A list of 20,000 articles: what it costs to read it into tables, and to load such tables, beside the demo's tables and beside pandas.

    python -m tests.benchmarks.own_tables [ARTICLES]

Each step runs in a process of its own, which says its processor time and the most memory that it held. Ratios are to the load of the demo tables, and
to `pandas.read_csv` of the same file, in the same run.
"""

from __future__ import annotations

import csv
import io
import json
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from pricing.catalogue import DEMO_FOLDER
from tests.importing.supplier import DAY, supplier_list

STEP = """
import json, resource, sys, time
from pathlib import Path
{imports}
begun, before = time.process_time(), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
{work}
print(json.dumps([time.process_time() - begun, before / 1024, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024]))
"""
READ = """
from pricing.importing.lists import ImportOptions, read_list
from pricing.importing.merging import Choice, merged
"""
TAKE = """
found = read_list(Path({file!r}).read_bytes(), {name!r}, ImportOptions('terminals', constants={{'from_day': {day!r}}}))
folder = {{path.name: path.read_text(encoding='utf-8') for path in Path({folder!r}).glob('*.csv')}}
plan = merged(found.sheets, folder, Choice(sold_only=True))
assert plan.counts['terminals'].new > {least}, plan.counts
"""
SHELL = "from contextlib import redirect_stdout; from io import StringIO; from service.cli.main import main"
EXAMINE = "from pricing.catalogue import load_catalogue; from pricing.catalogue.plausibility import examine; import pandas, pint"
LOAD = "from pricing.catalogue import load_catalogue; import pandas, pint"


def step(imports: str, work: str) -> tuple[float, float, float]:
    """Seconds of processor time, MB held before, MB held at most."""
    done = subprocess.run([sys.executable, "-c", STEP.format(imports=imports, work=work)], capture_output=True, text=True, check=True)
    seconds, before, most = json.loads(done.stdout)
    return seconds, before, most


def workbook(body: bytes) -> bytes:
    """The same list as a workbook."""
    import xlsxwriter

    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"strings_to_numbers": False})
    sheet = book.add_worksheet("Liste")
    for at, row in enumerate(csv.reader(io.StringIO(body.decode("cp1252"), newline=""), delimiter=";")):
        sheet.write_row(at, 0, row)
    book.close()
    return out.getvalue()


def main(articles: int) -> None:
    """Print a line for each step."""
    with tempfile.TemporaryDirectory() as place:
        folder, raw, book = Path(place) / "tables", Path(place) / "list.csv", Path(place) / "list.xlsx"
        shutil.copytree(DEMO_FOLDER, folder, ignore=shutil.ignore_patterns("*.py", "recipes", "__pycache__"))
        body, _ = supplier_list(articles)
        raw.write_bytes(body)
        book.write_bytes(workbook(body))
        command = [
            "tables",
            "import",
            str(raw),
            "--as",
            "terminals",
            "--set",
            f"from_day={DAY}",
            "--set",
            "currency=USD",
            "--into",
            str(folder),
            "--sold-only",
            "--leave-out",
            "--yes",
        ]
        least = articles // 2
        demo = step(LOAD, f"load_catalogue(Path({str(DEMO_FOLDER)!r}))")
        pandas = step("import pandas", f"pandas.read_csv({str(raw)!r}, sep=';', encoding='cp1252', dtype=str, names=range(40))")
        took = {
            "the demo tables, loaded": demo,
            "pandas.read_csv of the list": pandas,
            "the list as CSV, read and merged": step(
                READ, TAKE.format(file=str(raw), name="list.csv", day=DAY, folder=str(folder), least=least)
            ),
            "the list as a workbook, the same": step(
                READ, TAKE.format(file=str(book), name="list.xlsx", day=DAY, folder=str(folder), least=least)
            ),
            "`tables import --into`, all of it": step(SHELL, f"with redirect_stdout(StringIO()): assert main({command!r}) == 0"),
            "tables with the list, loaded": step(LOAD, f"load_catalogue(Path({str(folder)!r}))"),
            "the same, with what is hardly meant": step(EXAMINE, f"load_catalogue(Path({str(folder)!r})); examine(Path({str(folder)!r}))"),
        }
        loaded, examined = (took[name][0] for name in list(took)[-2:])
        print(f"with what is hardly meant: {examined / loaded:.1f} x the load alone")
        print(f"{articles} articles, {len(body) / 1e6:.1f} MB as CSV, {book.stat().st_size / 1e6:.1f} MB as a workbook")
        for name, (seconds, before, most) in took.items():
            print(
                f"{name:36} {seconds:6.2f} s  {seconds / demo[0]:6.1f} x demo  {seconds / pandas[0]:7.1f} x pandas   {most:6.0f} MB (+{most - before:.0f})"
            )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
