"""The keys of the files, told: whole, as the typed tables have them, and as JSON Schema."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from separations.uses.key_reference.file_keys import FileKind, TableWords, tables_of
from separations.uses.key_reference.file_schema import schema_text

ROOT = Path(__file__).parents[4]
DEMO = ROOT / "demo_art"
KINDS = pytest.mark.parametrize("kind", FileKind, ids=lambda kind: kind.value)


def schema_file(kind: FileKind) -> str:
    """The schema's file beside the demo."""
    return f"{kind.value}_schema.json"


def _file(name: str) -> Any:
    """A TOML file as an editor hands it to a schema: dates as texts."""
    return json.loads(json.dumps(tomllib.loads((DEMO / name).read_text(encoding="utf-8")),
                                 default=str))


def _table(kind: FileKind, name: str) -> TableWords:
    return next(table for table in tables_of(kind) if table.name == name)


def test_there_are_no_words_without_a_key() -> None:
    told = tomllib.loads(files("separations.uses.key_reference").joinpath("key_words.toml")
                         .read_text(encoding="utf-8"))
    del told["files"]
    typed: dict[str, set[str]] = {}
    for kind in FileKind:
        for table in tables_of(kind):
            name = "stock ink" if (kind, table.name) == (FileKind.STOCK, "ink") else table.name
            typed[name] = {key.name for key in table.keys}
    assert {name: set(keys) for name, keys in told.items()} == typed


@KINDS
def test_each_key_says_what_it_takes_and_is_a_sentence(kind: FileKind) -> None:
    for table in tables_of(kind):
        for key in table.keys:
            assert key.says[0].isupper() or key.says[0].isdigit(), key.name
            assert key.says.endswith("."), key.name
            assert key.takes, key.name


def test_defaults_ranges_and_sources_are_those_of_the_tables() -> None:
    film = {key.name: key for key in _table(FileKind.JOB, "film").keys}
    assert film["resolution"].default == "1440 dpi"
    assert "between 100 and 5760 dpi" in film["resolution"].takes
    assert film["reading"].takes == '"right-reading" or "mirrored"'
    ink = {key.name: key for key in _table(FileKind.JOB, "ink").keys}
    assert [key.name for key in ink.values() if not key.default] == ["name", "angle"]
    assert _table(FileKind.JOB, "ink").is_required
    assert not _table(FileKind.JOB, "inserts").is_required
    assert {k.name: k for k in _table(FileKind.JOB, "wood").keys}["lab"].rests.startswith("invent")
    assert '"stochastic"' in ink["dot_shape"].takes


@KINDS
def test_the_shipped_schema_is_that_of_the_tables(kind: FileKind) -> None:
    """Make it anew with ``topsheet keys --of KIND --schema``."""
    assert (DEMO / schema_file(kind)).read_text(encoding="utf-8") == schema_text(kind)
    jsonschema.Draft202012Validator.check_schema(json.loads(schema_text(kind)))


@pytest.mark.parametrize(("kind", "name"), [(FileKind.JOB, "fen_lane_158.toml"),
                                            (FileKind.STOCK, "fen_lane_stock.toml")])
def test_the_demo_files_name_their_schema_and_keep_to_it(kind: FileKind, name: str) -> None:
    first = (DEMO / name).read_text(encoding="utf-8").splitlines()[0]
    assert first == f"#:schema {schema_file(kind)}"
    jsonschema.validate(_file(name), json.loads(schema_text(kind)))


def _spoilt() -> Iterator[tuple[str, dict[str, Any]]]:
    for what, key, value in (("a misspelt table", "flim", {}), ("a number for a text", "title", 4),
                             ("no such choice", "stage", "boat")):
        yield what, {**_file("fen_lane_158.toml"), key: value}
    job = _file("fen_lane_158.toml")
    yield "nothing required", {key: value for key, value in job.items() if key != "frame"}
    yield "a misspelt key of an ink", {**job, "ink": [{**job["ink"][0], "anlge": 4}]}


@pytest.mark.parametrize(("what", "job"), list(_spoilt()))
def test_the_schema_refuses(what: str, job: dict[str, Any]) -> None:
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(job, json.loads(schema_text(FileKind.JOB)))
    assert what
