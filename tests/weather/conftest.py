"""Real weather files, read where the installed packages keep them; never copied."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

from barkslip.domain.weather import Series
from barkslip.weather.options import ReadOptions
from barkslip.weather.read import read_weather

PUBLISHED = Path(__file__).parents[1] / "published"
SHASTA = ReadOptions(lat=41.333, lon=-122.333, utc_offset_h=-8.0)


def packaged(package: str, *parts: str) -> Path:
    """A file of an installed package, found without importing it."""
    spec = find_spec(package)
    if spec is None or spec.origin is None:
        pytest.skip(f"{package} is not installed")
    return Path(spec.origin).parent.joinpath(*parts)


@pytest.fixture(scope="session")
def greensboro_path() -> Path:
    return packaged("pvlib", "data", "723170TYA.CSV")


@pytest.fixture(scope="session")
def miami_path() -> Path:
    return packaged("pvlib", "data", "12839.tm2")


@pytest.fixture(scope="session")
def shasta_epw_path() -> Path:
    return packaged("diyepw", "data", "tmy_epw_files", "USA_CA_Mount.Shasta.725957_TMYx.epw")


@pytest.fixture(scope="session")
def isd_path() -> Callable[[int], Path]:
    return lambda year: packaged("diyepw", "data", "noaa_isd_lite_files", f"725957-{year}.gz")


@pytest.fixture(scope="session")
def greensboro(greensboro_path: Path) -> Series:
    return read_weather(greensboro_path)


@pytest.fixture(scope="session")
def miami(miami_path: Path) -> Series:
    return read_weather(miami_path)


@pytest.fixture(scope="session")
def shasta(shasta_epw_path: Path) -> Series:
    return read_weather(shasta_epw_path)


@pytest.fixture(scope="session")
def isd(isd_path: Callable[[int], Path]) -> Callable[[int], Series]:
    return lambda year: read_weather(isd_path(year), options=SHASTA)


@pytest.fixture(scope="session")
def published() -> Callable[[str], dict[str, Any]]:
    return lambda name: tomllib.loads((PUBLISHED / name).read_text(encoding="utf-8"))
