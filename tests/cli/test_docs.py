"""docs/commands.md: every command and option stands there, and every example says what is printed.

After a change of words: BARKSLIP_WRITE_DOCS=1 pytest tests/cli/test_docs.py  writes the outputs and tables anew; read
the difference before keeping it.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click
import pytest

from barkslip.app.settings import TABLE
from barkslip.cli.main import COMMANDS, barkslip

DOCS = Path(__file__).parents[2] / "docs" / "commands.md"
SHOWN_FOLDER = "~/.local/share/barkslip/demo"
COMMON = {"as_json", "units", "book", "help"}
WRITING = {"sure", "id"}
#: What differs from run to run -> how it stands in the page.
_STEADY = (
    (re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}"),
     "0190163d-8694-739b-aea5-966c26f8ad91"),
    (re.compile(r"\d{8}T\d{6}Z"), "20250630T080000Z"),
    (re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d UTC"), "2025-06-30 08:00 UTC"),
    (re.compile(r"\b\d+\.\d MB"), "18.6 MB"),
    (re.compile(r"\b[0-9a-f]{64}\.jpg"), f"{'0123456789abcdef' * 4}.jpg"),
    (re.compile(r'"made_utc": "[^"]*"'), '"made_utc": "2025-06-30T08:00:00Z"'),
)  # fmt: skip


def commands() -> dict[str, click.Command]:
    """Every command that is no group, and groups that answer by themselves, by their words."""
    out: dict[str, click.Command] = {}

    def below(name: str, command: click.Command) -> None:
        if not isinstance(command, click.Group):
            out[name] = command
            return
        if command.invoke_without_command:
            out[name] = command
        for sub, inner in command.commands.items():
            below(f"{name} {sub}", inner)

    ctx = click.Context(barkslip)
    for name in COMMANDS:
        command = barkslip.get_command(ctx, name)
        assert command is not None
        below(name, command)
    return out


def _cell(text: str) -> str:
    return text.replace("|", r"\|")


def _row(param: click.Parameter) -> str:
    assert isinstance(param, click.Option)
    names = ", ".join(f"`{_cell(o)}`" for o in (*param.opts, *param.secondary_opts))
    typed = "" if param.is_flag else param.make_metavar(click.Context(click.Command("x")))
    names = names[:-1] + f" {_cell(typed)}`" if typed else names
    default = "" if param.is_flag or not param.show_default else f" Default: {param.default}."
    return f"| {names} | {_cell(param.help or '')}{default} |"


def options_table(name: str) -> str:
    """The table of a command's own options."""
    if name == "writing":
        params = [p for p in commands()["look"].params if p.name in WRITING]
    else:
        params = [p for p in commands()[name].params if p.name not in COMMON | WRITING]
    rows = [_row(p) for p in params if isinstance(p, click.Option)]
    words = [p.make_metavar(click.Context(click.Command("x"))) for p in params if isinstance(p, click.Argument)]
    usage = "" if name == "writing" else f"`barkslip {' '.join([name, *words])}`\n\n"
    table = "\n".join(["| option | what it does |", "|---|---|", *rows]) if rows else "No options of its own."
    return f"{usage}{table}\n"


def settings_table() -> str:
    """The table of settings."""
    rows = [
        f"| `{name}` | `{variable}` | {f'`{default}`' if default else ''} | {words} |"
        for name, (variable, default, words) in TABLE.items()
    ]
    return "\n".join(["| setting | environment | default | meaning |", "|---|---|---|---|", *rows]) + "\n"


def with_tables(page: str) -> str:
    """The page with its tables as they must be."""
    page = re.sub(
        r"(<!-- options: ([a-z -]+) -->\n).*?(<!-- end -->)",
        lambda m: m[1] + options_table(m[2]) + m[3], page, flags=re.S,
    )  # fmt: skip
    return re.sub(r"(<!-- settings -->\n).*?(<!-- end -->)", lambda m: m[1] + settings_table() + m[2], page, flags=re.S)


def examples(page: str) -> list[str]:
    """Commands of all examples, in order."""
    return [
        line[2:]
        for block in re.findall(r"```console\n(.*?)```", page, re.S)
        for line in block.splitlines()
        if line.startswith("$ ")
    ]


def with_outputs(page: str, say: Callable[[str], str]) -> str:
    """The page with each example followed by what it prints."""

    def block(match: re.Match[str]) -> str:
        lines = [line for line in match[1].splitlines() if line.startswith("$ ")]
        return "```console\n" + "\n".join(f"{line}\n{say(line[2:])}" for line in lines) + "```"

    return re.sub(r"```console\n(.*?)```", block, page, flags=re.S)


@pytest.fixture
def garden(run: Any, demo_folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], Any]:
    """Runs an example in a demo garden that lies where the demo lies, with the files that the page names."""
    from PIL import Image

    folder = tmp_path / "data" / "barkslip" / "demo"
    shutil.copytree(demo_folder, folder)
    for name, text in re.findall(r"<!-- file: (\S+) -->\n```text\n(.*?)```", DOCS.read_text("utf-8"), re.S):
        (tmp_path / name).write_text(text, "utf-8")
    Image.new("RGB", (60, 40), "green").save(tmp_path / "union.jpg")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("BARKSLIP_BOOK", str(folder))

    def call(line: str, *more: str) -> Any:
        words = shlex.split(line)
        assert words[0] == "barkslip"
        return run(*words[1:], *more)

    return call


def _steady(text: str, tmp_path: Path) -> str:
    text = text.replace(str(tmp_path / "data" / "barkslip" / "demo"), SHOWN_FOLDER)
    for pattern, shown in _STEADY:
        text = pattern.sub(shown, text)
    return text


def test_examples_and_tables_are_as_the_commands_say(garden: Any, tmp_path: Path) -> None:
    page = DOCS.read_text("utf-8")

    def say(line: str) -> str:
        said = garden(line)
        return _steady(said.out + said.err, tmp_path)

    wanted = with_outputs(with_tables(page), say)
    if os.environ.get("BARKSLIP_WRITE_DOCS"):
        DOCS.write_text(wanted, "utf-8")
    assert page == wanted


def test_every_command_has_its_options_and_an_example() -> None:
    page = DOCS.read_text("utf-8")
    tables = set(re.findall(r"<!-- options: ([a-z -]+) -->", page)) - {"writing"}
    assert tables == set(commands())
    for name in commands():
        if name != "serve":
            assert any(f"{line} ".startswith(f"barkslip {name} ") for line in examples(page)), name


def test_every_command_named_on_the_page_exists() -> None:
    page = DOCS.read_text("utf-8")
    known = set(commands()) | {" ".join(name.split()[:n]) for name in commands() for n in (1, 2)}
    for words in re.findall(r"^#+ barkslip ([a-z -]+)$", page, re.M):
        assert words in known
    for line in examples(page):
        first = shlex.split(line)[1:]
        assert any(" ".join(first[:n]) in commands() for n in (1, 2, 3)), line


def test_keys_of_the_json_documents(garden: Any) -> None:
    page = DOCS.read_text("utf-8")
    rows = dict(re.findall(r"^\| `barkslip ([a-z -]+)` \| (`.*`) \|$", page, re.M))
    assert set(rows) == set(commands()) - {"serve"}
    keys: dict[str, set[str]] = {}
    for line in examples(page):
        said = garden(line, *([] if "--json" in line else ["--json"]))
        first = shlex.split(line)[1:]
        name = next(" ".join(first[:n]) for n in (3, 2, 1) if " ".join(first[:n]) in commands())
        if said.code == 0 and "--list" not in first:
            keys.setdefault(name, set(said.data))
    assert {name: set(re.findall(r"`(\w+)`", text)) for name, text in rows.items()} == keys
