"""The derived lists: where each graft stands and what is due, kept so that a page needs no fold over all looks."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from datetime import date
from typing import Any

from barkslip.domain.due import Due, TreeNow
from barkslip.domain.graft import Standing, Turn
from barkslip.domain.sourced import Value
from barkslip.fieldbook.reader import Reader
from barkslip.fieldbook.writer import Writer


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date) else value


def standing_text(standing: Standing) -> str:
    """A standing as JSON."""
    return json.dumps(asdict(standing), default=_plain, separators=(",", ":"))


def standing_from(text: str) -> Standing:
    """The other way round."""
    data = json.loads(text)
    data["last_on"] = date.fromisoformat(data["last_on"]) if data["last_on"] else None
    data["turns"] = tuple(Turn(date.fromisoformat(t["on"]), t["look"], t["state"], t["word"]) for t in data["turns"])
    return Standing(**data)


def due_text(due: Due) -> str:
    """A due as JSON."""
    return json.dumps(asdict(due), default=_plain, separators=(",", ":"))


def due_from(text: str) -> Due:
    """The other way round."""
    data = json.loads(text)
    for key in ("opens", "closes", "since", "ends"):
        data[key] = date.fromisoformat(data[key]) if data[key] else None
    data["value"] = Value(**data["value"]) if data["value"] else None
    return Due(**data)


def put(writer: Writer, trees: Iterable[TreeNow]) -> None:
    """Replace the lists of some trees."""
    for now in trees:
        writer.run("DELETE FROM graft_now WHERE tree = :tree", tree=now.tree)
        writer.run("DELETE FROM due WHERE tree = :tree", tree=now.tree)
        writer.run_many(
            """INSERT OR REPLACE INTO graft_now (graft, plot, tree, lot, campaign, walk_key, word, mark, standing, open)
               VALUES (:graft, :plot, :tree, :lot, :campaign, :walk_key, :word, :mark, :standing, :open)""",
            [
                {"graft": g.graft, "plot": g.plot, "tree": g.tree, "lot": g.lot, "campaign": g.campaign,
                 "walk_key": g.walk_key, "word": g.standing.word,
                 "mark": g.standing.mark, "standing": standing_text(g.standing), "open": int(g.open)}
                for g in now.grafts
            ],
        )  # fmt: skip
        rows = [_due_row(now, None, now.walk_key, due) for due in now.due]
        rows += [_due_row(now, g.graft, g.walk_key, due) for g in now.grafts for due in g.due]
        writer.run_many(
            """INSERT INTO due (graft, tree, plot, walk_key, kind, opens, closes, ends, body)
               VALUES (:graft, :tree, :plot, :walk_key, :kind, :opens, :closes, :ends, :body)""",
            rows,
        )


def _due_row(now: TreeNow, graft: str | None, walk_key: str, due: Due) -> dict[str, Any]:
    return {
        "graft": graft,
        "tree": now.tree,
        "plot": now.plot,
        "walk_key": walk_key,
        "kind": due.kind,
        "opens": due.opens.isoformat(),
        "closes": due.closes.isoformat() if due.closes else None,
        "ends": due.ends.isoformat() if due.ends else None,
        "body": due_text(due),
    }


def standings(reader: Reader, grafts: Sequence[str]) -> dict[str, Standing]:
    """Standing of each graft, by thing id."""
    out: dict[str, Standing] = {}
    for i in range(0, len(grafts), 500):
        part = grafts[i : i + 500]
        marks = ",".join("?" * len(part))
        for thing, text in reader.connection.execute(
            f"SELECT graft, standing FROM graft_now WHERE graft IN ({marks})", list(part)
        ):
            out[thing] = standing_from(text)
    return out


def due_of(reader: Reader, *, grafts: Sequence[str] = (), trees: Sequence[str] = ()) -> dict[str, list[Due]]:
    """Everything due, now or later, of some grafts and of some trees themselves, by thing id."""
    out: dict[str, list[Due]] = {}
    for column, things, extra in (("graft", grafts, ""), ("tree", trees, "AND graft IS NULL")):
        for i in range(0, len(things), 500):
            part = list(things[i : i + 500])
            marks = ",".join("?" * len(part))
            for thing, body in reader.connection.execute(
                f"SELECT {column}, body FROM due WHERE {column} IN ({marks}) {extra} ORDER BY opens", part
            ):
                out.setdefault(thing, []).append(due_from(body))
    return out


def due_on(reader: Reader, plot: str, on: date, *, limit: int) -> list[tuple[str, str | None, Due]]:
    """What is due in a plot on a day, in walking order: (tree, graft or None, due)."""
    rows = reader.rows(
        """SELECT tree, graft, body FROM due WHERE plot = :plot AND +opens <= :on AND (ends IS NULL OR ends >= :on)
           ORDER BY walk_key, opens LIMIT :limit""",
        plot=plot,
        on=on.isoformat(),
        limit=limit,
    )
    return [(tree, graft, due_from(body)) for tree, graft, body in rows]


def tally(reader: Reader, on: date) -> dict[str, tuple[int, int, int]]:
    """Per plot: things due, overdue, and grafts that wait for a verdict."""
    due = {
        plot: (int(n), int(late or 0))
        for plot, n, late in reader.rows(
            "SELECT plot, count(*), sum(closes < :on) FROM due "
            "WHERE opens <= :on AND (ends IS NULL OR ends >= :on) GROUP BY plot",
            on=on.isoformat(),
        )
    }
    waiting = dict(reader.rows("SELECT plot, count(*) FROM graft_now WHERE word = 'waiting' GROUP BY plot"))
    return {p: (*due.get(p, (0, 0)), int(waiting.get(p, 0))) for p in set(due) | set(waiting)}


def marks_by_tree(reader: Reader, trees: Sequence[str]) -> dict[str, dict[str, int]]:
    """Grafts of each tree counted by mark."""
    out: dict[str, dict[str, int]] = {}
    for i in range(0, len(trees), 500):
        part = list(trees[i : i + 500])
        marks = ",".join("?" * len(part))
        for tree, mark, n in reader.connection.execute(
            f"SELECT tree, mark, count(*) FROM graft_now WHERE tree IN ({marks}) GROUP BY tree, mark", part
        ):
            out.setdefault(tree, {})[mark] = int(n)
    return out


def walk_stops(reader: Reader) -> int:
    """Grafts on the walk-round."""
    return int(reader.rows("SELECT count(*) FROM graft_now WHERE open")[0][0])


def walk_stop(reader: Reader, *, at: int = 0, graft: str = "") -> tuple[int, str, str, str] | None:
    """One stop of the walk-round: (place from 0, graft, graft before, graft after); None if there is none."""
    if graft:
        key = reader.rows("SELECT walk_key FROM graft_now WHERE graft = :graft", graft=graft)
        if not key:
            return None
        at = int(reader.rows("SELECT count(*) FROM graft_now WHERE open AND walk_key < :key", key=key[0][0])[0][0])
    start = max(at - 1, 0)
    rows = reader.rows("SELECT graft FROM graft_now WHERE open ORDER BY walk_key LIMIT 3 OFFSET :start", start=start)
    things = [str(r[0]) for r in rows]
    i = at - start
    if i >= len(things):
        return None
    return at, things[i], things[i - 1] if i else "", things[i + 1] if i + 1 < len(things) else ""
