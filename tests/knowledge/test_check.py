"""The validator: shipped files pass, each kind of fault is named with place, given, allowed and next step."""

import pytest

from barkslip.domain.errors import KnowledgeError
from barkslip.domain.sourced import STATUSES
from barkslip.domain.units import STORED
from barkslip.knowledge.check import check
from barkslip.knowledge.faults import UNITS
from barkslip.knowledge.files import DATA, number_files
from barkslip.knowledge.load import load

STATUS_WORDS = ", ".join(STATUSES)
UNIT_WORDS = ", ".join(UNITS)
HEAD = "key,trait,value,unit,low,high,source,status,note\n"
GOOD = "pvc_tape,release_by_days,45,d,30,60,own.trade,common practice,\n"


def test_shipped_files_pass():
    assert check(DATA) == []


def test_stored_units_are_all_allowed():
    assert set(STORED.values()) <= set(UNITS)


def write(folder, name, text):
    (folder / name).write_text(text, encoding="utf-8")


def message(folder) -> str:
    with pytest.raises(KnowledgeError) as caught:
        load(folder)
    return caught.value.message


NUMBER = (
    '[first_look_days]\nvalue = 5\nunit = "d"\nlow = 3\nhigh = 7\nsource = "own.trade"\nstatus = "common practice"\n'
)


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (
            'unit = "d"\n', "",
            "care.toml, line 1, first_look_days: unit: A number without a unit.\nGiven: (nothing)\n"
            f'Allowed: {UNIT_WORDS}\nNext: Add the unit; 1 for a pure number, "" for words.',
        ),
        (
            'unit = "d"', 'unit = "days"',
            "care.toml, line 1, first_look_days: unit: Unknown unit.\nGiven: days\n"
            f"Allowed: {UNIT_WORDS}\nNext: Write the unit as in this list.",
        ),
        (
            'source = "own.trade"\n', "",
            "care.toml, line 1, first_look_days: source: No source.\nGiven: (nothing)\nAllowed: a key of sources.toml\n"
            "Next: Name the source, or add it to sources.toml.",
        ),
        (
            "own.trade", "own.tarde",
            "care.toml, line 1, first_look_days: source: Unknown source.\nGiven: own.tarde\n"
            "Allowed: a key of sources.toml\n"
            "Next: Correct the key, or add the source to sources.toml in the same folder.",
        ),
        (
            'status = "common practice"\n', "",
            "care.toml, line 1, first_look_days: status: No status.\nGiven: (nothing)\n"
            f"Allowed: {STATUS_WORDS}\nNext: Say how it came to be known.",
        ),
        (
            "common practice", "certain",
            "care.toml, line 1, first_look_days: status: Unknown status.\nGiven: certain\n"
            f"Allowed: {STATUS_WORDS}\nNext: Use one of these words; when in doubt the later one.",
        ),
        (
            "low = 3", "low = 9",
            "care.toml, line 1, first_look_days: low: The range runs backwards.\nGiven: 9 to 7\n"
            "Allowed: low not above high\nNext: Swap them.",
        ),
        (
            "value = 5", "value = 8",
            "care.toml, line 1, first_look_days: value: The value lies outside its range.\nGiven: 8\n"
            "Allowed: 7 or less\nNext: Correct the value or high.",
        ),
        (
            "value = 5", "value = 2.5",
            "care.toml, line 1, first_look_days: value: The value lies outside its range.\nGiven: 2.5\n"
            "Allowed: 3 or more\nNext: Correct the value or low.",
        ),
        (
            "value = 5", 'value = "five"',
            "care.toml, line 1, first_look_days: value: Not a number.\nGiven: five\n"
            "Allowed: a number with a point, such as 7 or 0.5\n"
            "Next: Write the number, or leave the unit empty if this is a word.",
        ),
        (
            "value = 5", "value = nan",
            "care.toml, line 1, first_look_days: value: Not a number.\nGiven: nan\n"
            "Allowed: a number with a point, such as 7 or 0.5\n"
            "Next: Write the number, or leave the unit empty if this is a word.",
        ),
        (
            "value = 5\n", "value = 5\nfrom = 3\n",
            "care.toml, line 3, first_look_days: Unknown field.\nGiven: from\n"
            "Allowed: applies_to, high, label, low, note, source, status, unit, value, where\n"
            "Next: Rename or remove it.",
        ),
        (
            "value = 5\nunit = \"d\"\nlow = 3\nhigh = 7\n", 'unit = "d"\n',
            "care.toml, line 1, first_look_days: value: Neither a value nor a range.\nGiven: (nothing)\n"
            "Allowed: a value, a range, or a note that says why it is not known\nNext: Fill one of them.",
        ),
        (
            "[first_look_days]\n", "first_look_days = 5\n[other]\n",
            "care.toml, first_look_days: A number needs a heading of its own.\nGiven: 5\n"
            "Allowed: [first_look_days] and below it value, unit, source, status\n"
            "Next: Write it as a heading with fields.",
        ),
        (
            "value = 5", "value = ",
            "care.toml: cannot be read.\nGiven: Invalid value (at line 2, column 9)\n"
            'Allowed: a TOML file: [name] on a line of its own, then value = 7, unit = "d" and so on\n'
            "Next: Mend that line of {folder}/care.toml.",
        ),
    ],
)  # fmt: skip
def test_broken_number(tmp_path, old, new, expected):
    assert old in NUMBER
    write(tmp_path, "care.toml", NUMBER)
    assert check(tmp_path) == []
    write(tmp_path, "care.toml", NUMBER.replace(old, new))
    assert message(tmp_path) == expected.replace("{folder}", str(tmp_path))


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        (
            "pvc_tape,release_by_days,45,,,,own.trade,common practice,\n",
            "binding_values.csv, line 3, column unit: Not the unit of this trait.\nGiven: (nothing)\nAllowed: d\n"
            "Next: Convert the number, then change the unit. Then 1 more to mend.",
        ),
        (
            "pvc_tape,release_by_days,6,month,,,own.trade,common practice,\n",
            "binding_values.csv, line 3, column unit: Not the unit of this trait.\nGiven: month\nAllowed: d\n"
            "Next: Convert the number, then change the unit.",
        ),
        (
            "pvc_tape,release_by_day,45,d,,,own.trade,common practice,\n",
            "binding_values.csv, line 3, column trait: Unknown trait.\nGiven: release_by_day\n"
            "Allowed: release_by_days, release_from_days, yields\nNext: Use one of these, or add it to traits.csv.",
        ),
        (
            "sticky,release_by_days,45,d,,,own.trade,common practice,\n",
            "binding_values.csv, line 3, column key: No such key in bindings.\nGiven: sticky\n"
            "Allowed: budding_rubber, cable_tie, electrical_tape, nail, polythene, pvc_tape, raffia, stretch_film\n"
            "Next: Use one of these, or add it to bindings.csv.",
        ),
        (
            "pvc_tape,release_by_days,45,d,50,60,own.trade,common practice,\n",
            "binding_values.csv, line 3, column value: The value lies outside its range.\nGiven: 45\n"
            "Allowed: 50 or more\nNext: Correct the value or low.",
        ),
        (
            "pvc_tape,release_by_days,45,d,,,own.trade,,\n",
            "binding_values.csv, line 3, column status: No status.\nGiven: (nothing)\n"
            f"Allowed: {STATUS_WORDS}\nNext: Say how it came to be known.",
        ),
        (
            "pvc_tape,release_by_days,45,d,,,own.trade,common practice,one, two\n",
            'binding_values.csv, line 3: More cells than columns.\nGiven:  two\nAllowed: one cell a column\n'
            "Next: Put text with commas into double quotation marks.",
        ),
    ],
)  # fmt: skip
def test_broken_value_of_a_thing(tmp_path, line, expected):
    write(tmp_path, "binding_values.csv", HEAD + GOOD)
    assert check(tmp_path) == []
    write(tmp_path, "binding_values.csv", HEAD + GOOD + line)
    assert message(tmp_path) == expected


THINGS = "key,epithet,common_name,group,rank,synonyms,source,status\n"
THING = "gate,Quarrow Gate,mandarin,mandarin,cultivar,Old Gate,own.trade,common practice\n"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            THINGS + THING + THING,
            "varieties.csv, line 3, column key: The key is there twice.\nGiven: gate\nAllowed: each key once\n"
            "Next: Change or remove this line or line 2.",
        ),
        (
            THINGS + THING + "well,Well,mandarin,mandarin,cultivar,old gate,own.trade,common practice\n",
            "varieties.csv, line 3, column synonyms: The name belongs to gate already, in line 2.\nGiven: old gate\n"
            "Allowed: each name once\nNext: Give it another name, or use the key gate.",
        ),
        (
            THINGS + "mine,washington,Navel Orange,navel_orange,cultivar,,own.trade,common practice\n",
            "varieties.csv, line 2, column epithet: The name belongs to washington already, in the shipped table.\n"
            "Given: washington Navel Orange\nAllowed: each name once\n"
            "Next: Give it another name, or use the key washington.",
        ),
        (
            THINGS + "gate,Quarrow Gate,mandarin,mandarine,cultivar,,own.trade,common practice\n",
            "varieties.csv, line 2, column group: No such key in groups.\nGiven: mandarine\n"
            "Allowed: blood_orange, calamondin, citrandarin, citrange, citrange_mandarin, citron, citrumelo, "
            "clementine, common_orange, finger_lime, grapefruit, grapefruit_hybrid ...\n"
            "Next: Use one of these, or add it to groups.csv.",
        ),
        (
            THINGS + "gate,Quarrow Gate,mandarin,mandarin,clone,,own.trade,common practice\n",
            "varieties.csv, line 2, column rank: Unknown word.\nGiven: clone\n"
            "Allowed: cultivar, landrace, species, hybrid\nNext: Use one of these words.",
        ),
        (
            THINGS + "gate,,mandarin,mandarin,cultivar,,own.trade,common practice\n",
            "varieties.csv, line 2, column epithet: The cell is empty.\nGiven: (nothing)\nAllowed: some text\n"
            "Next: Fill it.",
        ),
        (
            THINGS.replace("epithet", "epithets") + THING,
            "varieties.csv, line 1, column epithets: Unknown column.\nGiven: epithets\n"
            "Allowed: key, epithet, common_name, group, rank, trade_name, synonyms, source, status, note\n"
            "Next: Rename or remove the column. Then 1 more to mend.",
        ),
        (
            "key,epithet,common_name,group,source,status\ngate,Quarrow Gate,mandarin,mandarin,own.trade,measured\n",
            "varieties.csv, line 1, column rank: A column is missing.\n"
            "Given: key, epithet, common_name, group, source, status\n"
            "Allowed: key, epithet, common_name, group, rank, trade_name, synonyms, source, status, note\n"
            "Next: Add the column.",
        ),
    ],
)  # fmt: skip
def test_broken_table(tmp_path, text, expected):
    write(tmp_path, "varieties.csv", THINGS + THING)
    assert check(tmp_path) == []
    write(tmp_path, "varieties.csv", text)
    assert message(tmp_path) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            '["own.a"]\nwhere = "shed"\n',
            "sources.toml, line 1, own.a: A source without a citation.\nGiven: (nothing)\n"
            "Allowed: author, year, title, place\nNext: Add citation.",
        ),
        (
            '["own.a"]\ncitation = "My book"\nseen = "half"\n',
            "sources.toml, line 1, own.a: Unknown word for how much was seen.\nGiven: half\n"
            "Allowed: text, abstract or first page, quoted elsewhere, not seen\nNext: Use one of these words.",
        ),
        (
            '["own.a"]\ncitation = "My book"\nyear = 2020\n',
            "sources.toml, line 1, own.a: Unknown field of a source.\nGiven: year\nAllowed: citation, seen, where\n"
            "Next: Rename or remove it.",
        ),
        (
            '"own.a" = "My book"\n',
            "sources.toml, own.a: A source needs a heading of its own.\nGiven: My book\n"
            'Allowed: ["key"] and below it citation, where, seen\nNext: Write it as a heading with fields.',
        ),
    ],
)
def test_broken_source(tmp_path, text, expected):
    write(tmp_path, "sources.toml", text)
    assert message(tmp_path) == expected


def test_unknown_files(tmp_path):
    write(tmp_path, "caer.toml", NUMBER)
    names = sorted(p.name for p in number_files(DATA))
    shown = ", ".join(names[:12]) + (" ..." if len(names) > 12 else "")
    assert message(tmp_path) == (
        f"caer.toml: No file of that name is used.\nGiven: caer.toml\nAllowed: {shown}\nNext: Rename it."
    )
    (tmp_path / "caer.toml").unlink()
    write(tmp_path, "bindigns.csv", "key\n")
    problem = check(tmp_path)[0]
    assert (problem.place, problem.problem) == ("bindigns.csv", "No table of that name is used.")
    assert problem.next_step == "Rename it, or describe the new table in tables.toml."


def test_file_that_is_no_text(tmp_path):
    (tmp_path / "bindings.csv").write_bytes(b"key,name\n\xff\xfe\n")
    assert message(tmp_path) == (
        "bindings.csv: cannot be read.\nGiven: byte 9\nAllowed: UTF-8, as every plain text editor can save it\n"
        f"Next: Save {tmp_path / 'bindings.csv'} again as UTF-8."
    )


def test_all_faults_are_listed_and_counted(tmp_path):
    write(tmp_path, "binding_values.csv", HEAD + "sticky,release_by_day,45,,,,,,\n")
    assert [p.column for p in check(tmp_path)] == ["key", "trait", "unit", "source", "status"]
    assert message(tmp_path).endswith("Then 4 more to mend.")


def test_a_hole_with_a_note_is_no_fault(tmp_path):
    text = '[frost_days]\nunit = "d"\nsource = "own.trade"\nstatus = "common practice"\nnote = "Nobody says."\n'
    write(tmp_path, "care.toml", text)
    assert check(tmp_path) == []
    assert load(tmp_path).value("care.frost_days").value is None


def test_spreadsheet_mark_and_windows_line_ends_are_read(tmp_path):
    (tmp_path / "binding_values.csv").write_bytes(b"\xef\xbb\xbf" + (HEAD + GOOD).replace("\n", "\r\n").encode())
    assert check(tmp_path) == []
    assert load(tmp_path).binding("pvc_tape").release_by_days.value == 45


def test_number_without_unit_in_a_table_of_facts(tmp_path):
    head = "key,topic,crop,value,unit,low,high,applies_to,source,status,where,note\n"
    write(tmp_path, "budwood.csv", head + "mine,my wood keeps,citrus,45,,,,,own.trade,common practice,,\n")
    assert message(tmp_path) == (
        "budwood.csv, line 2, column unit: A number without a unit.\nGiven: (nothing)\n"
        f'Allowed: {UNIT_WORDS}\nNext: Add the unit; 1 for a pure number, "" for words.'
    )
    write(
        tmp_path, "budwood.csv", head + "mine,my wood keeps,citrus,until it sprouts,,,,,own.trade,common practice,,\n"
    )
    assert check(tmp_path) == []
