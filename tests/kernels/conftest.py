"""Makes the modules beside the tests importable, and throws away compiled kernels that are out of date.

The cache of a compiled function is checked against its own file only: a change in a function that it calls goes unseen.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

KERNELS = Path(__file__).parents[2] / "src" / "barkslip" / "kernels"


def forget_outdated() -> None:
    """Remove all compiled kernels if any source is younger than any of them."""
    compiled = [*KERNELS.glob("__pycache__/*.nbi"), *KERNELS.glob("__pycache__/*.nbc")]
    newest = max(path.stat().st_mtime for path in KERNELS.glob("*.py"))
    if any(path.stat().st_mtime < newest for path in compiled):
        for path in compiled:
            path.unlink(missing_ok=True)


forget_outdated()
