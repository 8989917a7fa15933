"""What was answered about a night, kept for the morning after."""

from __future__ import annotations

from dataclasses import dataclass

from barkslip.domain.entry import Entry


@dataclass(frozen=True, kw_only=True)
class NightAnswer(Entry):
    """An answer about one night in one plot, kept to be held against what happened.

    Parameters
    ----------
    plot : str
        Thing id.
    day : str
        Day of the evening, year-month-day.
    source : str
        Where the hours came from: "typed" or "forecast".
    forecast_low_c : float or None
        Low that the forecast gave, before the plot's own difference was added.
    low_p10_c, low_p50_c, low_p90_c : float
        Low of the air at the tree as answered: one in ten below, the middle, one in ten above.
    target : float
        Chance of harm that the grower would bear, from 0 to 1.
    chance : float
        Chance of harm of the organ most at risk without any measure, from 0 to 1.
    measured_low_c : float or None
        Low that the grower read and typed the morning after.
    knowledge_hash : str
        Which numbers were used: SHA-256 over the knowledge files.
    seed : int
        Seed of the ensemble.
    """

    plot: str
    day: str
    source: str
    forecast_low_c: float | None = None
    low_p10_c: float
    low_p50_c: float
    low_p90_c: float
    target: float
    chance: float
    measured_low_c: float | None = None
    knowledge_hash: str
    seed: int
