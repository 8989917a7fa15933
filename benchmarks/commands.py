"""Whole commands from a cold start: a look, today, building the demo, five years of weather for four plots.

    python benchmarks/commands.py

Each figure is the wall time of a process of its own: least, middle and largest of several runs.
"""

from __future__ import annotations

import compileall
import csv
import os
import statistics
import subprocess
import sys
import tempfile
import time
from datetime import datetime, timedelta
from pathlib import Path

import barkslip

BARKSLIP = str(Path(sys.executable).parent / "barkslip")


def timed(command: list[str], env: dict[str, str], runs: int) -> list[float]:
    """Seconds of each run, least first."""
    out = []
    for _ in range(runs):
        began = time.perf_counter()
        subprocess.run(command, env=env, check=True, stdout=subprocess.DEVNULL)
        out.append(time.perf_counter() - began)
    return sorted(out)


def row(name: str, found: list[float]) -> None:
    """One line of the table."""
    print(f"| {name} | {found[0]:.2f} | {statistics.median(found):.2f} | {found[-1]:.2f} |", flush=True)


def logger_file(path: Path, shift: float) -> None:
    """Five years of hourly readings as a logger writes them."""
    with path.open("w", newline="") as out:
        table = csv.writer(out)
        table.writerow(["Date-Time", "Temp (°C)", "RH (%)", "Dew Point (°C)", "Wind (m/s)"])
        at = datetime(2020, 7, 1)  # noqa: DTZ001 - a logger's own clock
        for i in range(5 * 8766):
            temp = 15 + 8 * ((i % 24) - 12) / 12 + shift
            stamp = (at + timedelta(hours=i)).strftime("%Y-%m-%d %H:%M:%S")
            table.writerow([stamp, f"{temp:.1f}", 60, f"{temp - 7:.1f}", 1.2])


def main() -> None:
    """Measure and print."""
    compileall.compile_dir(str(Path(barkslip.__file__).parent), quiet=2)
    work = Path(tempfile.mkdtemp())
    env = os.environ | {"BARKSLIP_BOOK": str(work / "demo")}
    print("| command | least s | middle s | largest s |\n|---|---|---|---|")
    row("demo, built from nothing", timed([BARKSLIP, "demo", "--fresh", "--book", str(work / "demo")], env, 3))
    row("look", timed([BARKSLIP, "look", "G14-5", "swelling"], env, 15))
    row("act", timed([BARKSLIP, "act", "rub", "--tree", "T03"], env, 10))
    row("today", timed([BARKSLIP, "today"], env, 5))
    files = [work / f"plot{i}.csv" for i in range(4)]
    for i, file in enumerate(files):
        logger_file(file, i)
    began = time.perf_counter()
    for file, plot in zip(files, ("YARD", "LOW", "WALL", "BENCH"), strict=True):
        subprocess.run(
            [BARKSLIP, "weather", "import", str(file), "--plot", plot], env=env, check=True, stdout=subprocess.DEVNULL
        )
    row("weather import, 4 plots x 5 years of hours, together", [time.perf_counter() - began])


if __name__ == "__main__":
    main()
