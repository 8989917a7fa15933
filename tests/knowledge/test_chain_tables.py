"""Tables on chains of kinds: what fits, looks of stocks, scores, trials, diseases, tools, times, juice."""

from collections import Counter

import pytest

from barkslip.knowledge.load import load

#: Lines of each table: the sheets they were carried over from have 55 reports of fit (written out by pair) and 88
#: filled cells of the chart, 32 looks (16 more answers are ours), 250 scores, 25 trials and one recalled.
SIZES = {
    "classes": 7, "pairs": 210, "pathogens": 19, "pathogen_rates": 16, "tool_cleaning": 18, "stock_looks": 48,
    "stock_groups": 9, "stock_scores": 250, "score_steps": 5, "fruit_trials": 85, "interstock": 18, "timelines": 17,
    "chimera": 16, "granulation": 14, "standards": 32, "cfr_51_1178": 34, "brix_acid": 42, "brix_temperature": 39,
    "cold_told": 35,
}  # fmt: skip
GROUPS = (
    "trifoliate", "citrange_citrumelo", "citrandarin", "sour_orange", "rough_lemon_volkamer", "mandarin",
    "macrophylla", "sweet_orange", "own_roots",
)  # fmt: skip


@pytest.fixture(scope="module")
def knowledge():
    return load()


def test_sizes(knowledge):
    assert {name: len(knowledge.table(name)) for name in SIZES} == SIZES


def test_published_lines_have_been_seen(knowledge):
    for name in SIZES:
        for row in knowledge.table(name):
            if row.cell("status") == "published":
                assert knowledge.source(row.cell("source")).seen != "not seen", (name, row.key)


def test_lines_of_the_recalled_source_are_recalled(knowledge):
    for name in SIZES:
        for row in knowledge.table(name):
            if row.cell("source") == "chain.M":
                assert row.cell("status") in ("recalled", "assumption"), (name, row.key)


def test_names_in_lists_are_those_of_their_tables(knowledge):
    for name in SIZES:
        shape = knowledge.shapes[name]
        for row in knowledge.table(name):
            for column, tables in shape.refers.items():
                for key in row.cell_list(column):
                    assert any(key in knowledge.rows(table) for table in tables), (name, row.key, column, key)
            for column, by in shape.refers_in.items():
                assert row.cell(column) in knowledge.rows(row.cell(by)), (name, row.key, column)


# -- looks -------------------------------------------------------------------------------------------------------


def test_every_word_of_a_look_has_a_weight(knowledge):
    weights = {}
    for row in knowledge.table("stock_looks"):
        for group in GROUPS:
            word = row.cell(group)
            weights[word] = knowledge.value(f"stock_looks.class.{word.replace(' ', '_')}")
    assert {word: (v.value, v.low, v.high) for word, v in weights.items()} == {
        "usual": (0.7, 0.5, 0.9),
        "sometimes": (0.25, 0.1, 0.4),
        "rare": (0.05, 0.01, 0.1),
        "never": (0.005, 0.001, 0.02),
        "usual if infected": (0.2, 0.02, 0.6),
    }
    assert {v.status for v in weights.values()} == {"assumption"}


def test_each_question_has_answers_that_exclude_each_other(knowledge):
    answers: dict[str, list[str]] = {}
    for row in knowledge.table("stock_looks"):
        assert row.key == f"{row.cell('question')}_{row.cell('answer')}"
        answers.setdefault(row.cell("question"), []).append(row.cell("answer"))
    assert {question: sorted(several) for question, several in answers.items() if question != "place"} == {
        "leaflets": ["1", "3"],
        "wing": ["broad", "narrow", "none"],
        "thorns": ["few", "many", "none"],
        "leaf_fall": ["drops", "stays"],
        "union": ["bench", "bulge_above", "none", "smooth"],
        "scaling": ["no", "yes"],
        "pinholes": ["no", "yes"],
        "fruit": ["coarse", "ordinary", "rich", "small"],
        "size": ["small", "usual"],
        "lime": ["green", "yellow"],
        "salt": ["burnt", "well"],
        "freeze": ["as_others", "better"],
        "foot_rot": ["no", "yes"],
        "decline": ["no", "sudden"],
        "sold": ["dwarf", "meyer_cutting", "other"],
    }
    assert len(answers["place"]) == 11
    assert {row.cell("status") for row in knowledge.table("stock_looks")} == {"assumption"}


def test_leaflets_tell_trifoliate_blood(knowledge):
    # Bowman & Rouse 2006: leaves of US-812, a hybrid of trifoliate, are trifoliolate
    row = knowledge.rows("stock_looks")["leaflets_3"]
    assert [row.cell(group) for group in GROUPS] == ["usual"] * 3 + ["never"] * 6
    assert (row.cell("look_known"), row.cell("source")) == ("published", "chain.BOWMAN2006")
    assert knowledge.rows("stock_looks")["thorns_many"].cell("trifoliate") == "usual"


def test_each_stock_is_in_one_group_or_named_as_outside(knowledge):
    held = [key for row in knowledge.table("stock_groups") for key in row.cell_list("stocks")]
    assert len(held) == len(set(held))
    outside = {"rangpur", "borneo_rangpur", "palestine_sweet_lime", "calamondin", "sulcata"}
    assert set(knowledge.rows("rootstocks")) - set(held) == outside
    assert tuple(row.key for row in knowledge.table("stock_groups")) == GROUPS
    for row in knowledge.table("stock_groups"):
        assert knowledge.value(f"stock_looks.prior.{row.key}").value == 1
        for group in row.cell_list("groups"):
            members = {s.key for s in knowledge.rootstocks if s.group == group}
            assert members <= set(row.cell_list("stocks")), group


# -- scores ------------------------------------------------------------------------------------------------------


def test_scores_are_half_steps_and_rest_on_a_rating(knowledge):
    values = {stock.key: stock.values for stock in knowledge.rootstocks}
    for row in knowledge.table("stock_scores"):
        assert row.value.value in {1, 2, 2.5, 3, 3.5, 4, 4.5, 5}, row.key
        opinions = values[row.cell("stock")][row.cell("trait")]
        assert str(len(opinions)) == row.cell("opinions"), row.key
        assert row.cell("basis") in {v.status for v in opinions}, row.key
        assert row.value.source in {v.source for v in opinions}, row.key
    assert Counter(row.cell("basis") for row in knowledge.table("stock_scores")) == {"published": 86, "recalled": 164}
    assert {row.value.status for row in knowledge.table("stock_scores")} == {"assumption"}


def test_scores_follow_the_published_ratings(knowledge):
    # Roose, Citrus Production Manual, UC ANR 3539: sour orange dies of tristeza and is good on lime, C-35 poor on lime,
    # Cleopatra susceptible to Phytophthora
    score = {key: row.value.value for key, row in knowledge.rows("stock_scores").items()}
    assert score["sour_orange.tol_ctv_decline"] <= 2 <= 4 <= score["sour_orange.tol_calcareous"]
    assert score["c35.tol_calcareous"] == 2
    assert score["cleopatra.tol_phytophthora"] == 2


# -- trials ------------------------------------------------------------------------------------------------------


def order_of(row):
    return [[name.strip() for name in part.split(",")] for part in row.cell("order").split(">")]


def test_orders_name_the_stocks_of_their_line(knowledge):
    orders = [row for row in knowledge.table("fruit_trials") if row.cell("order")]
    assert len(orders) == 13
    for row in orders:
        names = [name for part in order_of(row) for name in part]
        assert len(names) == len(set(names)), row.key
        assert [n for n in names if not n.startswith('"')] == list(row.cell_list("stocks")), row.key
        assert len(order_of(row)) > 1, row.key


def test_ratios_and_differences_are_those_of_the_values(knowledge):
    lines = knowledge.table("fruit_trials")
    assert len({row.cell("trial") for row in lines}) == 26
    checked = 0
    for row in lines:
        mark = row.cell("trial"), row.cell("variable"), row.cell("against")
        reference = [
            r for r in lines if (r.cell("trial"), r.cell("variable"), r.cell("stocks")) == mark and r.value.value
        ]
        if not (row.cell("against") and reference and row.value.value):
            continue
        if row.cell("ratio"):
            assert float(row.cell("ratio")) == pytest.approx(row.value.value / reference[0].value.value, abs=0.005)
            checked += 1
        if row.cell("difference"):
            assert float(row.cell("difference")) == pytest.approx(row.value.value - reference[0].value.value, abs=0.05)
            checked += 1
    assert checked == 10


def test_trials_against_their_abstracts(knowledge):
    rows = knowledge.rows("fruit_trials")
    # Legua et al. 2011, abstract: Carrizo 80.3, Forner-Alcaide 418 22.3 kg a tree and year
    assert (rows["T1_carrizo_yield_per_year"].value.value, rows["T1_fa418_yield_per_year"].value.value) == (80.3, 22.3)
    # Castle 2012, abstract: trees of 1.7 to 4.1 m
    height = rows["T3_trial_tree_height"].value
    assert (height.low, height.high, height.unit) == (1.7, 4.1, "m")
    # Wright & Pena 1999: Limoneira 8A did best on macrophylla, then Volkamer, rough lemon, the hybrids last
    order = order_of(rows["T14_several_growth_order"])
    assert order == [["macrophylla"], ["volkamer"], ["rough_lemon"], ["swingle", "carrizo"]]


def test_no_gain_in_sugar_is_promised(knowledge):
    lemon, others = knowledge.value("fruit.solids.lemon_type"), knowledge.value("fruit.solids.others")
    assert (lemon.low, lemon.high, lemon.status) == (-1.0, -0.3, "assumption")
    assert (others.low, others.value, others.high) == (-0.5, 0, 0.5)
    alike = [row.cell("trial") for row in knowledge.table("fruit_trials") if row.cell("variable") == "no_difference"]
    assert alike == ["T6", "T16", "T24", "T25"]


# -- diseases and tools ------------------------------------------------------------------------------------------


def test_recalled_columns_are_columns_with_words(knowledge):
    for row in knowledge.table("pathogens"):
        for column in row.cell_list("recalled"):
            assert row.cell(column), (row.key, column)
        assert "authority" in row.cell("moving"), row.key


def test_tools_carry_viroids(knowledge):
    # Barbosa et al. 2005, abstract: one slash carried five viroids; 4, 10 and 21 % of trees in the field
    rates = knowledge.rows("pathogen_rates")
    assert [rates[f"tool_{x}"].value.value for x in ("nules", "navelina", "verna")] == [4, 10, 21]
    carried = {row.key for row in knowledge.table("pathogens") if row.cell("by_tool") == "yes"}
    assert {"exocortis", "cachexia", "other_viroids", "tatter_leaf"} <= carried
    assert knowledge.rows("pathogens")["tristeza"].cell("by_tool") == "poorly"


def test_cleaning_against_roistacher_1969(knowledge):
    # Roistacher, Calavan & Blue 1969, abstract: two dips of one second prevented exocortis, six other means failed
    lines = [row for row in knowledge.table("tool_cleaning") if row.cell("source") == "chain.ROIST1969"]
    works = {row.key: row.cell("works") for row in lines}
    assert {key for key, word in works.items() if word == "yes"} == {"bleach_20", "lye_formalin"}
    assert {key for key, word in works.items() if word == "no"} == {
        "torch", "alcohol_95", "trisodium_phosphate_2", "formalin_3", "borax_10", "lysol_1", "skin_cleanser_20",
    }  # fmt: skip
    dip = knowledge.rows("tool_cleaning")["bleach_20"].value
    assert (dip.value, dip.unit) == (1, "s")


def test_every_bleach_carries_its_caution(knowledge):
    for row in knowledge.table("tool_cleaning"):
        if row.cell("works") == "yes" and ("bleach" in row.cell("name") or "hypochlorite" in row.cell("name")):
            assert "never in one vessel with acid" in row.cell("note"), row.key
    assert "give off chlorine" in knowledge.rows("tool_cleaning")["vinegar_oil"].cell("note")


# -- times, pieces between, chimeras -----------------------------------------------------------------------------


def test_times(knowledge):
    times = knowledge.rows("timelines")
    assert (times["topwork_plan"].value.low, times["topwork_plan"].value.unit) == (18, "month")
    assert times["topwork_plan"].value.status == "published"
    assert times["topwork_quality"].value.status == "recalled"
    assert knowledge.rows("interstock")["piece_mends_localized"].value.value == 17


def test_chimera_layers(knowledge):
    # Zhang et al. 2007, abstract: in Zaohong L1 is satsuma, L2 navel
    rows = knowledge.rows("chimera")
    assert "satsuma" in rows["l1_zaohong"].value.value
    assert "navel" in rows["l2_zaohong"].value.value
    assert rows["l3_parts"].value.status == "recalled"
    assert rows["union_shoots"].value.value is None
    # Bowman et al. 1991, abstract: 0.009 to 0.271 % of fruit
    assert (rows["sector_fruit"].value.low, rows["sector_fruit"].value.high) == (0.009, 0.271)


def test_cold_as_told(knowledge):
    rows = knowledge.rows("cold_told")
    # Castle, Baldwin & Grosser 2000: 78 to 100 % of navels lived on Swingle, sour orange and X-639
    lived = rows["stock_swingle_sour"]
    assert (lived.value.low, lived.value.high, lived.cell("rank")) == (78, 100, "2")
    # Falivene & Filippi 2014: -2 °C for 4 h, -4 °C for 5 h
    triggers = [(rows[key].value.value, rows[key].cell("for_hours")) for key in ("fruit_check", "fruit_hold")]
    assert triggers == [(-2, "4"), (-4, "5")]


# -- search ------------------------------------------------------------------------------------------------------


def test_a_fit_is_found_by_both_names_after_the_kinds(knowledge):
    found = knowledge.find("eureka carrizo")
    assert {f.kind for f in found} == {"fit"}
    assert found[0].name == "Eureka lemon on Carrizo citrange"
    assert [f.kind for f in knowledge.find("navelina", limit=2)] == ["variety", "fit"]
    assert [f.key for f in knowledge.find("tristeza", kinds=("disease carried in wood",))] == ["tristeza"]
