"""The model on real nights: leaves against the air on cold nights of Greensboro (TMY3) and Mount Shasta (ISD-Lite).

Published: on clear nights with little wind exposed leaves are 1 to 3 °C below the air
(frost.fao-2005, p. 71 as quoted).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

from barkslip.app import night_air as airs
from barkslip.app.frost import cold_table, night_door
from barkslip.app.settings import Settings
from barkslip.domain.errors import InputError
from barkslip.domain.night import NightTree
from barkslip.engines import frost
from barkslip.knowledge.load import load
from barkslip.weather.read import read_weather
from barkslip.weather.summary import night_lows

KNOWN = load()


def folder(package: str) -> Path:
    spec = find_spec(package)
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent


def deficits(path: Path, monkeypatch: pytest.MonkeyPatch) -> np.ndarray:
    """Per cold night: mean wind [m/s], mean cloud, low of the exposed leaf minus low of the air [K]."""
    series = read_weather(path)
    monkeypatch.setattr(airs, "read_file", lambda *a, **k: series)  # read once, not for every night
    info = series.info
    place = {"lat": str(info.lat or 41.3), "lon": str(info.lon or -122.3), "utc_offset_h": str(info.utc_offset_h or -8)}
    out = []
    for night in night_lows(series):
        if night.low_c is None or night.low_c >= 0.0:
            continue
        at = night_door(None, Settings(Path("/none")), place)
        try:
            air = airs.night_air(
                None, None, date.fromisoformat(str(night.evening)), {"weather": str(path)}, at=at, knowledge=KNOWN
            )
        except InputError:
            continue  # hours are missing in this night
        air = replace(air, low_sd_k=1e-6, site_sd_k=1e-6)
        organs, low = frost.bare(
            NightTree("sweet orange", 2.0, 1.5), air, cold_table(KNOWN), KNOWN.value, members=20, seed=1
        )
        leaf = next(o for o in organs if o.organ == "leaf_exposed")
        dark = [i for i, s in enumerate(air.time_s) if air.sunset_s <= s <= air.sunrise_s]
        wind, cloud = (float(np.mean([column[i] for i in dark])) for column in (air.wind_m_s, air.cloud))
        out.append((wind, cloud, leaf.low_c.p50 - low.p50))
    return np.array(out)


@pytest.mark.slow
def test_leaves_on_cold_nights_of_greensboro(monkeypatch: pytest.MonkeyPatch) -> None:
    found = deficits(folder("pvlib") / "data" / "723170TYA.CSV", monkeypatch)
    assert len(found) > 50
    still = found[(found[:, 0] < 2.0) & (found[:, 1] < 0.3), 2]
    windy = found[found[:, 0] > 4.0, 2]
    overcast = found[found[:, 1] > 0.8, 2]
    assert len(still) >= 8
    assert -3.0 < np.median(still) < -1.0
    assert np.median(windy) > -1.0
    assert np.median(overcast) > -1.0
    assert np.median(still) < np.median(windy)


@pytest.mark.slow
def test_leaves_on_cold_nights_of_mount_shasta(monkeypatch: pytest.MonkeyPatch) -> None:
    files = sorted((folder("diyepw") / "data" / "noaa_isd_lite_files").glob("725957-*.gz"))
    assert len(files) == 3
    found = deficits(files[0], monkeypatch)
    still = found[(found[:, 0] < 2.0) & (found[:, 1] < 0.3), 2]
    assert len(found) > 60
    assert len(still) > 10
    assert -3.0 < np.median(still) < -1.0
