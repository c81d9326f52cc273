"""What compiling costs: the heavy libraries are loaded only when a folder is read, and thousands of rows take little time."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.yardstick import at_most

from .conftest import Loft

ROOT = Path(__file__).resolve().parents[2]


def _run(code: str) -> str:
    return subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True).stdout.strip()


def test_importing_the_catalogue_loads_neither_pandas_nor_pint() -> None:
    code = "import sys, pricing.catalogue; print([name for name in ('pandas', 'numpy', 'pint') if name in sys.modules])"
    assert _run(code) == "[]"


@pytest.mark.long
def test_looking_up_in_a_kept_catalogue_loads_neither() -> None:
    code = (
        "import sys, pickle; from pathlib import Path; from decimal import Decimal; import pricing.catalogue as c;"
        "kept = pickle.dumps(c.load_catalogue(c.DEMO_FOLDER));"
        "[sys.modules.pop(name) for name in list(sys.modules) if name.split('.')[0] in ('pandas', 'pint')];"
        "pickle.loads(kept).wire('1x19', '316', Decimal(5));"
        "print([name for name in ('pandas', 'pint') if name in sys.modules])"
    )
    assert _run(code) == "[]"


def test_five_thousand_rows_compile_in_little_time(loft: Loft) -> None:
    """A tenth of a second, some two times the yardstick."""
    table = loft.table("prices.csv")
    more = [["W-4", "m", "2026-01-01", str(quantity), "3.00", "invented for tests"] for quantity in range(100, 5100)]
    loft.write("prices.csv", table + more)
    loft.load()
    assert len(at_most(20, loft.load).prices) > 5000
