"""Records written by hand for the tests of words and drawings; names from the invented garden Quarrow Flat."""

from __future__ import annotations

import random
from datetime import date, timedelta

import pytest

from barkslip.domain.cards import ChainPart, GraftCard, LimbCard, TreeCard, TreeStory
from barkslip.domain.garden import Plot
from barkslip.domain.graft import STATES, Graft, Look, standing
from barkslip.domain.tree import BEARINGS, Candidate, Limb, Tree
from barkslip.domain.when import on

ON = date(2024, 9, 13)
VARIETIES = (
    "'Washington' navel",
    "'Minneola' tangelo",
    "'Nules' clementine",
    "'Owari' satsuma",
    "willow-leaf mandarin",
    "?",
)


class Garden:
    """Makes records with running ids."""

    def __init__(self) -> None:
        self.count = 0
        self.plot = Plot(**self.line(), code="YARD", name="House yard")

    def line(self) -> dict[str, str]:
        """What every line of the book has."""
        self.count += 1
        name = f"id{self.count}"
        return {"id": name, "thing": name, "made_utc": "2024-09-01T06:00:00Z"}

    def tree(self, **values: object) -> Tree:
        """A tree."""
        fixed: dict[str, object] = {"code": "T02", "name": "Well", "plot": self.plot.thing} | values
        return Tree(**self.line(), **fixed)  # type: ignore[arg-type]

    def limb(self, tree: Tree, address: str, **values: object) -> Limb:
        """A limb at an address."""
        bearing, band, *path = address.split("-")
        return Limb(**self.line(), tree=tree.thing, bearing=bearing, band=band, path=path[0] if path else "", **values)  # type: ignore[arg-type]

    def look(self, state: str, day: date, **values: object) -> Look:
        """A look."""
        return Look(**self.line(), graft="g", state=state, on=on(day), **values)  # type: ignore[arg-type]

    def graft(self, tree: Tree, limb: Limb | None = None, states: tuple[str, ...] = (), **values: object) -> GraftCard:
        """A card of a graft set 100 days ago, looked at every tenth day from day 70 on."""
        variety = str(values.pop("variety", "'Washington' navel"))
        due = values.pop("due", ())
        doubt = str(values.pop("name_doubt", ""))
        set_on = on(ON - timedelta(days=100))
        graft = Graft(
            **self.line(), code=f"G04-{self.count}", tree=tree.thing, method="bark graft", set_on=set_on,
            limb=limb.thing if limb else None, **values,
        )  # type: ignore[arg-type]  # fmt: skip
        looks = [self.look(s, ON - timedelta(days=30 - 10 * i)) for i, s in enumerate(states)]
        stood = standing(looks, set_on, false_take_days=60)
        address = limb.address if limb else ""
        return GraftCard(graft, tree, self.plot, limb, variety, doubt, address, stood, due, set_on.days_to(ON))  # type: ignore[arg-type]

    def story(
        self, tree: Tree, limbs: tuple[LimbCard, ...] = (), loose: tuple[GraftCard, ...] = (), **values: object
    ) -> TreeStory:
        """A tree's page."""
        grafts = [g for card in limbs for g in card.grafts] + list(loose)
        marks: dict[str, int] = {}
        for one in grafts:
            marks[one.standing.mark] = marks.get(one.standing.mark, 0) + 1
        stands = ChainPart(
            "rootstock", "trifoliate orange", 0.45, (Candidate("trifoliate orange", 0.45), Candidate("unknown", 0.55))
        )
        fixed: dict[str, object] = {
            "card": TreeCard(tree, self.plot, len(limbs), len(grafts), marks, stands, ()), "chain": (stands,),
            "links": (), "beliefs": (), "limbs": limbs, "loose": loose, "acts": (), "events": (), "photos": (),
            "tastings": (), "past": (),
        }  # fmt: skip
        return TreeStory(**(fixed | values))  # type: ignore[arg-type]

    def random_story(self, seed: int) -> TreeStory:
        """Any tree a garden might hold: 0 to 14 limbs in any bearing, 0 to 6 grafts on each, heights or none."""
        rng = random.Random(seed)
        measured = rng.choice(["all", "some", "none"])
        tree = self.tree(
            union_mm=rng.choice([None, 250.0, 620.0]), bench_mm=rng.choice([None, 380.0]),
            height_mm=rng.choice([None, 2600.0]), spread_mm=rng.choice([None, 3100.0]),
        )  # fmt: skip
        limbs = []
        for i in range(rng.randint(0, 14)):
            bearing = rng.choice([*BEARINGS, "C"]) if rng.random() < 0.8 else "E"
            tip = rng.uniform(700, 2500) if measured == "all" or (measured == "some" and rng.random() < 0.5) else None
            limb = self.limb(
                tree, f"{bearing}-{rng.choice('LMH')}-{i}", tip_mm=tip, proved=rng.random() < 0.5,
                carries=rng.choice(["", "", "thick-skinned lemon of the old yard"]),
            )  # fmt: skip
            grafts = tuple(
                self.graft(
                    tree, limb, tuple(rng.choices(list(STATES), k=rng.randint(0, 2))), variety=rng.choice(VARIETIES)
                )
                for _ in range(rng.choice([0, 1, 1, 2, 2, 3, 6]))
            )
            limbs.append(LimbCard(limb, grafts, ()))
        loose = tuple(
            self.graft(tree, None, ("pushing",), variety=rng.choice(VARIETIES)) for _ in range(rng.choice([0, 0, 2, 9]))
        )
        return self.story(tree, tuple(limbs), loose)


@pytest.fixture
def garden() -> Garden:
    """A maker of records."""
    return Garden()
