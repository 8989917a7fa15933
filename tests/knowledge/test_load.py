"""Loading: single numbers, tables, laziness, what a user's own folder does, the hash."""

import math
import shutil
import subprocess
import sys

import pytest

from barkslip.domain.errors import KnowledgeError, NotFoundError
from barkslip.domain.sourced import STATUSES
from barkslip.knowledge.files import DATA
from barkslip.knowledge.load import Knowledge, load

OWN_SOURCES = '["own.notebook"]\ncitation = "My notebook, 2019-2024"\nseen = "text"\n'


@pytest.fixture
def own(tmp_path):
    """A user's own folder called "quarrow"."""
    folder = tmp_path / "quarrow"
    folder.mkdir()
    (folder / "sources.toml").write_text(OWN_SOURCES, encoding="utf-8")
    return folder


def test_numbers_that_others_lean_on():
    knowledge = load()
    for key in (
        "care.first_look_days", "care.wrap_check_days", "care.look_every_days", "care.false_take_until_days",
        "care.rub_off_every_days_first", "care.rub_off_every_days_later", "care.rub_off_weekly_until_days",
        "care.cover_unlooked_days", "care.brace_ask_cm", "care.shade_after_head_back_months",
        "healing.citrus.t_min", "healing.citrus.t_opt", "healing.citrus.t_max", "healing.citrus.d_bridge",
        "healing.citrus.d_xylem", "healing.citrus.d_unwrap", "healing.heat.sustained", "healing.heat.cuticle",
        "healing.heat.necrosis", "healing.frost.line", "hazard.d21_45", "weather.air_temp_step_1h",
    ):  # fmt: skip
        assert isinstance(knowledge.value(key).value, float), key


def test_citrus_healing_band():
    k = load()
    band = [k.value(f"healing.citrus.{x}") for x in ("t_min", "t_opt", "t_max")]
    assert [v.value for v in band] == [13, 28, 38]
    assert [(v.high - v.low) / 2 for v in band] == [1.5, 2.0, 1.5]
    assert {v.status for v in band} == {"assumption"}  # published for growth, not for callus
    lines = [k.value(f"healing.{x}").value for x in ("heat.sustained", "heat.cuticle", "heat.necrosis", "frost.line")]
    assert lines == [38, 44, 52, 0]


def test_days_to_unwrap_lie_in_the_published_span():
    # University of Florida, Citrus Propagation for Homeowners: bud wraps off after 14-21 days
    value = load().value("healing.citrus.d_unwrap")
    assert 14 <= value.value <= 21


def test_shipped_death_rate_against_schrader_2001():
    # Schrader, Zhang, Duplaga 2001: apple peel dies at 52 ± 1 °C within 10 minutes. The rate parameters are another
    # source's (FireStem2D supplement); half of the tissue must be dead in 10 minutes somewhere between 51 and 53 °C.
    k = load()
    dh = k.value("healing.heat.dose_enthalpy").value
    slope, offset = k.value("healing.heat.dose_entropy_slope").value, k.value("healing.heat.dose_entropy_offset").value
    necrosis = k.value("healing.heat.necrosis")
    kb_over_h, gas = 1.380649e-23 / 6.62607015e-34, 8.31446261815324

    def half_dead_min(temp_c):
        temp_k = temp_c + 273.15
        rate = kb_over_h * temp_k * math.exp((dh / slope - offset) / gas - dh / (gas * temp_k))
        return math.log(2) / rate / 60

    minutes = k.value("healing.heat.necrosis_minutes").value
    assert half_dead_min(necrosis.high) < minutes < half_dead_min(necrosis.low)


def test_bindings_that_do_not_rot_have_a_last_day():
    bindings = {b.key: b for b in load().bindings}
    assert {
        "budding_rubber", "stretch_film", "pvc_tape", "polythene", "electrical_tape", "raffia", "cable_tie"
    } <= bindings.keys()  # fmt: skip
    for binding in bindings.values():
        if binding.yields == "no" and binding.key != "nail":
            assert binding.release_by_days is not None, binding.key
    assert bindings["stretch_film"].release_by_days is None
    assert bindings["stretch_film"].yields == "yes"
    assert [b.key for b in bindings.values() if b.avoid] == ["cable_tie"]


def test_first_day_to_release_never_after_the_last():
    for b in load().bindings:
        if b.release_from_days and b.release_by_days:
            assert b.release_from_days.high <= b.release_by_days.value


def test_methods():
    methods = {m.key: m for m in load().methods}
    assert methods["t_bud"].bark_must_lift == "yes"
    assert methods["chip_bud"].bark_must_lift == "no"
    assert (methods["t_bud"].unwrap_days.low, methods["t_bud"].unwrap_days.high) == (14, 21)
    assert methods["whip_and_tongue"].take_prior.status == "recalled"
    assert methods["patch_bud"].take_prior is None
    assert load().method("Rind graft").key == "bark_graft"
    assert load().method("no such graft") is None


def test_sizes_of_the_tables():
    k = load()
    sizes = {
        "varieties": len(k.varieties), "rootstocks": len(k.rootstocks), "words": len(k.vocabulary),
        "stages": len(k.bbch), "fields": len(k.mcpd),
    }  # fmt: skip
    assert sizes == {"varieties": 83, "rootstocks": 48, "words": 54, "stages": 35, "fields": 39}


def test_conflicting_ratings_are_kept_side_by_side():
    values = load().rootstock("Carrizo").values["tol_citrus_nematode"]
    assert [(v.value, v.source) for v in values] == [
        ("susceptible or tolerant", "chain.ROOSE3539"),
        ("tolerant", "chain.WA-DPIRD"),
        ("susceptible", "chain.TX-COPY"),
    ]


def test_recalled_comes_after_published():
    rank = {status: i for i, status in enumerate(STATUSES)}
    for stock in load().rootstocks:
        for trait, values in stock.values.items():
            assert [rank[v.status] for v in values] == sorted(rank[v.status] for v in values), (stock.key, trait)


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("washington navel", "washington"),
        ("navel orange 'Washington'", "washington"),
        ("Bahia", "washington"),
        ("lane-late", "lane_late"),
        ("murcott", "murcott"),
        ("W. Murcott", "w_murcott"),
        ("Afourer", "w_murcott"),
        ("Clémentine de Nules", "de_nules"),
        ("Buddha’s Hand", "buddhas_hand"),
        ("washington apple", None),
        ("navel orange", None),
        ("", None),
    ],
)
def test_varieties_are_found_however_written(typed, key):
    variety = load().variety(typed)
    assert (variety.key if variety else None) == key


def test_rootstocks_are_found_however_written():
    k = load()
    typed = {"P. trifoliata": "trifoliate", "c35": "c35", "cleo": "cleopatra", "hiryu": "flying_dragon"}
    assert {name: k.rootstock(name).key for name in typed} == typed
    assert k.rootstock("MM106") is None


def test_regional_words():
    k = load()
    assert k.word("naartjie").key == "mandarin"
    assert k.word("patrón").label == "Rootstock"
    assert k.word("cover").said_in("uk") == "fleece"
    assert k.word("binding").said_in("us") == "grafting tape"
    wind = k.word("hot dry wind")
    assert wind.said_in("za") == "Hot dry wind"  # a local name: for finding, not for labels
    assert k.word("berg wind").key == "hot_dry_wind"
    assert k.word("rootstock").status_in("za") == "recalled"
    assert k.word("rootstock").status_in("us") == "published"
    assert k.word("chupón") is None  # a stock shoot and a water shoot: not one


def test_a_hole_says_so():
    entry = load().entry("care.brace_shoot_cm")
    assert not entry.known
    assert entry.value.note.startswith("Not known:")
    assert load().entry("care.lop_above_bud_cm").known


def test_unknown_number():
    with pytest.raises(NotFoundError) as caught:
        load().value("care.first_look_dayz")
    assert caught.value.message == (
        "No number of that name is known.\n"
        "Given: care.first_look_dayz\n"
        "Allowed: care.first_look_days, care.cover_unlooked_days, care.look_every_days\n"
        "Next: Look it up by a word of its name."
    )


def test_unknown_table():
    with pytest.raises(NotFoundError) as caught:
        load().table("varietys")
    assert caught.value.message == (
        "No table of that name is known.\n"
        "Given: varietys\n"
        f"Allowed: {', '.join(load().shapes)}\n"
        "Next: Use one of these names."
    )


def test_each_value_names_a_source_that_is_there():
    k = load()
    values = [e.value for e in k.entries()]
    for table in k.shapes:
        for row in k.table(table):
            values += [v for several in row.values.values() for v in several]
            values += [row.value] if row.value else []
            assert row.value or row.cell("source") in k.sources, (table, row.key)
    assert len(values) > 1000
    assert {v.source for v in values} <= k.sources.keys()
    assert {v.status for v in values} <= set(STATUSES)


def test_published_values_have_been_seen():
    k = load()
    for entry in k.entries():
        if entry.value.status == "published":
            assert entry.source.seen != "not seen", entry.key
    for table in ("varieties", "rootstocks", "methods", "bindings"):
        for row in k.table(table):
            for trait, values in row.values.items():
                for value in values:
                    if value.status == "published":
                        assert k.sources[value.source].seen != "not seen", (row.key, trait)


# -- cost ----------------------------------------------------------------------------------------------------


def run(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    return done.stdout.strip()


def test_loading_imports_nothing_heavy():
    code = (
        "import sys\nfrom barkslip.knowledge.load import load\nk = load()\nk.value('care.first_look_days')\n"
        "k.bindings\nk.find('carrizo')\n"
        "print([m for m in ('numpy', 'pandas', 'pydantic', 'sqlalchemy', 'scipy', 'numba') if m in sys.modules])"
    )
    assert run(code) == "[]"


def test_care_and_bindings_read_their_own_files_only(monkeypatch):
    from barkslip.knowledge import files, rows
    from barkslip.knowledge import load as loading

    read = []
    read_toml, read_lines = files.read_toml, files.read_lines

    def noted(reader):
        return lambda path: read.append(path.name) or reader(path)

    for module in (files, loading):
        monkeypatch.setattr(module, "read_toml", noted(read_toml))
    monkeypatch.setattr(rows, "read_lines", noted(read_lines))
    k = load()
    assert read == []
    k.value("care.first_look_days")
    k.value("care.look_every_days")
    assert k.bindings
    assert read == ["care.toml", "tables.toml", "bindings.csv", "binding_values.csv"]
    k.entry("care.first_look_days")
    assert read[-1] == "sources.toml"


# -- a folder of one's own -----------------------------------------------------------------------------------


def test_own_number_replaces_and_both_can_be_shown(own):
    (own / "care.toml").write_text(
        '[first_look_days]\nvalue = 5\nunit = "d"\nsource = "own.notebook"\nstatus = "measured"\n', encoding="utf-8"
    )
    k = load(own)
    entry = k.entry("care.first_look_days")
    assert (entry.value.value, entry.owner, entry.source.owner) == (5, "quarrow", "quarrow")
    assert (entry.shipped.value, entry.shipped.source) == (7, "own.trade")
    other = k.entry("care.look_every_days")
    assert (other.value.value, other.owner, other.shipped) == (7, "barkslip", None)


def test_own_number_is_added(own):
    (own / "care.toml").write_text(
        '[thin_fruit_days]\nvalue = 40\nunit = "d"\nsource = "own.notebook"\nstatus = "measured"\n', encoding="utf-8"
    )
    assert load(own).entry("care.thin_fruit_days").shipped is None
    assert load(own).value("care.first_look_days").value == 7


def test_own_binding_and_own_trait(own):
    (own / "bindings.csv").write_text(
        "key,name,avoid,source,status\nold_stocking,strip of old stocking,no,own.notebook,measured\n", encoding="utf-8"
    )
    (own / "binding_values.csv").write_text(
        "key,trait,value,unit,low,high,source,status\n"
        "old_stocking,yields,yes,,,,own.notebook,measured\n"
        "stretch_film,release_by_days,120,d,100,140,own.notebook,measured\n",
        encoding="utf-8",
    )
    k = load(own)
    mine = k.binding("Strip of old stocking")
    assert (mine.yields, mine.owner, mine.release_by_days) == ("yes", "quarrow", None)
    film = k.binding("stretch_film")
    assert film.release_by_days.value == 120
    assert film.yields == "yes"
    row = k.rows("bindings")["stretch_film"]
    assert (row.owner, row.theirs, row.shipped_values) == ("barkslip", frozenset({"release_by_days"}), {})
    assert load().binding("stretch_film").release_by_days is None


def test_own_trait_keeps_the_shipped_one(own):
    (own / "binding_values.csv").write_text(
        "key,trait,value,unit,source,status\npvc_tape,release_by_days,45,d,own.notebook,measured\n", encoding="utf-8"
    )
    k = load(own)
    entries = {e.key: e for e in k.row_entries(k.rows("bindings")["pvc_tape"])}
    entry = entries["bindings.pvc_tape.release_by_days"]
    assert (entry.value.value, entry.owner, entry.shipped.value) == (45, "quarrow", 90)
    assert entries["bindings.pvc_tape.yields"].owner == "barkslip"


def test_own_row_replaces_words_and_keeps_shipped_values(own):
    (own / "varieties.csv").write_text(
        "key,epithet,common_name,group,rank,synonyms,source,status\n"
        "washington,Washington,navel orange,navel_orange,cultivar,Old Gate Tree,own.notebook,measured\n"
        "gate,Quarrow Gate,mandarin,mandarin,cultivar,,own.notebook,measured\n",
        encoding="utf-8",
    )
    k = load(own)
    assert k.variety("old gate tree").key == "washington"
    assert k.variety("washington").owner == "quarrow"
    assert k.variety("washington").value("season").source == "chain.MG-SOCAL"
    assert k.rows("varieties")["washington"].shipped.cell("synonyms") == "Bahia"
    assert k.icncp("quarrow gate") == "'Quarrow Gate' mandarin"
    assert load().variety("quarrow gate") is None


def test_own_table(own):
    (own / "tables.toml").write_text(
        '[table.tools]\nkind = "things"\nlabel = "tool"\ncolumns = ["key", "name", "source", "status"]\n'
        'needed = ["key", "name"]\nnames = ["name"]\n',
        encoding="utf-8",
    )
    (own / "tools.csv").write_text(
        "key,name,source,status\nknife,grafting knife,own.notebook,measured\n", encoding="utf-8"
    )
    k = load(own)
    assert [row.cell("name") for row in k.table("tools")] == ["grafting knife"]
    assert [(f.kind, f.owner) for f in k.find("grafting knife")] == [("tool", "quarrow")]


def test_folder_that_is_not_there(tmp_path):
    with pytest.raises(KnowledgeError) as caught:
        load(tmp_path / "nowhere")
    assert caught.value.message == (
        "The folder with your own knowledge files is not there.\n"
        f"Given: {tmp_path / 'nowhere'}\n"
        "Allowed: a folder that exists\n"
        "Next: Create it, or leave the setting empty."
    )


def test_empty_folder_changes_nothing_but_is_allowed(tmp_path):
    assert load(tmp_path).value("care.first_look_days") == load().value("care.first_look_days")


# -- hash ----------------------------------------------------------------------------------------------------


@pytest.fixture
def copy(tmp_path):
    shutil.copytree(DATA, tmp_path / "data")
    return tmp_path / "data"


def test_hash_changes_with_a_value(copy):
    before = Knowledge((copy,)).hash
    assert before == load().hash
    text = (copy / "care.toml").read_text(encoding="utf-8")
    (copy / "care.toml").write_text(text.replace("value = 7", "value = 8", 1), encoding="utf-8")
    assert Knowledge((copy,)).hash != before


def test_hash_does_not_mind_line_ends(copy):
    raw = (copy / "bindings.csv").read_bytes()
    (copy / "bindings.csv").write_bytes(raw.replace(b"\n", b"\r\n"))
    assert Knowledge((copy,)).hash == load().hash


def test_hash_changes_with_a_folder_of_ones_own(own):
    assert load(own).hash != load().hash
