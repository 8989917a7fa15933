"""The README's five minutes, run as they stand."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def tour() -> list[str]:
    """Commands of the README's tour, without remarks."""
    text = (ROOT / "README.md").read_text("utf-8")
    block = re.search(r"## Five minutes.*?```sh\n(.*?)```", text, re.DOTALL)
    assert block is not None
    lines = [re.sub(r"\s+#\s.*$", "", line).strip() for line in block[1].splitlines()]
    return [line for line in lines if line]


def test_every_command_of_the_tour_works(tmp_path: Path) -> None:
    env = os.environ | {"BARKSLIP_BOOK": str(tmp_path / "garden"), "HOME": str(tmp_path), "COLUMNS": "80"}
    said = {}
    for line in tour():
        command = line.replace("barkslip", str(Path(sys.executable).parent / "barkslip"), 1)
        done = subprocess.run(command, shell=True, cwd=tmp_path, env=env, capture_output=True, text=True, timeout=60)
        assert done.returncode == 0, f"{line}\n{done.stdout}{done.stderr}"
        said[line] = done.stdout
    assert "G01-1" in next(v for k, v in said.items() if k.startswith("barkslip look"))
    assert "release" in next(v for k, v in said.items() if k == "barkslip today").lower()
    assert (tmp_path / "my-garden" / "graft.csv").exists()
