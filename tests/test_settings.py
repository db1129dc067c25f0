"""Settings: one file for the shop, one for each person; what holds and why; faults told with file and line."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import pytest
import typer
from hypothesis import example, given
from hypothesis import strategies as st
from typer.testing import CliRunner

from assistant.settings import (
    OPTIONS,
    Held,
    Layer,
    SettingsError,
    config_folder,
    flag_of,
    keep,
    load,
    person_file,
    shop_file,
    with_value,
)
from assistant.settings_flags import takes_settings

Write = Callable[[Path, str], None]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "config"


def _write(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def test_with_no_file_the_defaults_hold(folder: Path) -> None:
    held = load(environ={}, folder=folder)
    assert held.settings.ear.engine == "auto"
    assert held.settings.voice.volume == 8
    assert held.origin("voice.volume").layer is Layer.DEFAULT
    assert not folder.exists(), "reading writes nothing"


def test_nearer_to_the_person_wins_and_it_is_known_why(folder: Path) -> None:
    _write(shop_file(folder), '[voice]\nvolume = 5\nspeed = 140\n\n[ear]\nmicrophone = "shop"\nname = "jericho"\n')
    _write(person_file(folder, "Mara"), "[voice]\n# loud, please\nvolume = 9\n")
    held = load({"ear.name": "domino"}, "mara", {"BAY_EAR_MICROPHONE": "headset"}, folder)
    assert (held.settings.voice.volume, held.settings.voice.speed) == (9, 140)
    assert (held.settings.ear.microphone, held.settings.ear.name) == ("headset", "domino")
    assert held.origin("voice.volume").where.endswith("mara.toml:3")
    assert held.origin("voice.speed").where.endswith("shop.toml:3")
    assert held.origin("ear.microphone").where == "BAY_EAR_MICROPHONE"
    assert held.origin("ear.name").where == "--name"
    assert held.origin("ear.engine").layer is Layer.DEFAULT


def test_the_shop_may_say_who_works_here(folder: Path) -> None:
    _write(shop_file(folder), '[work]\nperson = "Mara"\n')
    _write(person_file(folder, "Mara"), "[voice]\nvolume = 3\n")
    _write(person_file(folder, "Tomas"), "[voice]\nvolume = 4\n")
    assert load(environ={}, folder=folder).settings.voice.volume == 3
    assert load(environ={"BAY_PERSON": "Tomas"}, folder=folder).settings.voice.volume == 4
    assert load(person="Tomas", environ={}, folder=folder).person == "Tomas"


def test_a_flag_that_is_not_given_changes_nothing(folder: Path) -> None:
    held = load({"voice.volume": None}, environ={}, folder=folder)
    assert held.origin("voice.volume").layer is Layer.DEFAULT


def test_bay_config_names_the_folder_and_bay_home_the_log(folder: Path) -> None:
    assert config_folder({"BAY_CONFIG": str(folder)}) == folder
    assert load(environ={"BAY_HOME": "/srv/bay"}, folder=folder).settings.log.home == "/srv/bay"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[voice]\nvolume = 11\n", "shop.toml:2: voice.volume cannot be 11: it should be less than or equal to 10"),
        ('[voice]\n\nvolume = "loud"\n', "shop.toml:3: voice.volume cannot be 'loud'"),
        ("[voice]\nvolme = 7\n", "shop.toml:2: there is no option voice.volme; did you mean voice.volume?"),
        ("[vioce]\nvolume = 7\n", "shop.toml:2: there is no option vioce.volume; did you mean voice.volume?"),
        ('[ear]\nattention = "shout"\n', "'open', 'name' or 'pedal'"),
        ("volume = 7\n", "shop.toml:1: volume stands outside a table. Put it under one of [ear], [voice]"),
        ("[voice]\nvolume = \n", "shop.toml:2: is not TOML"),
        ("[zzz]\nqqq = 1\n", "`bay settings` lists all options"),
    ],
)
def test_a_fault_is_told_with_file_line_and_mend(text: str, says: str, folder: Path) -> None:
    _write(shop_file(folder), text)
    with pytest.raises(SettingsError) as fault:
        load(environ={}, folder=folder)
    assert says in str(fault.value)
    assert "\n" not in str(fault.value)


def test_a_fault_in_the_environment_names_the_variable(folder: Path) -> None:
    with pytest.raises(SettingsError, match=r"BAY_VOICE_SPEED: voice\.speed cannot be 'quick'"):
        load(environ={"BAY_VOICE_SPEED": "quick"}, folder=folder)


def test_a_file_that_is_not_text_is_named(folder: Path) -> None:
    shop_file(folder).parent.mkdir(parents=True)
    shop_file(folder).write_bytes(b"\xff\xfe\x00bad")
    with pytest.raises(SettingsError, match=r"shop\.toml: cannot be read"):
        load(environ={}, folder=folder)


def test_louder_is_kept_for_the_person_and_nothing_else_is_touched(folder: Path) -> None:
    _write(person_file(folder, "Mara"), '# my settings\n[voice]\nvolume = 5 # fine\n\n[ear]\nname = "domino"\n')
    keep(folder, "Mara", "voice.volume", 6)
    keep(folder, "Mara", "voice.sounds", False)
    keep(folder, "Mara", "units.torque", "lbf·ft")
    text = person_file(folder, "Mara").read_text(encoding="utf-8")
    assert text.startswith("# my settings\n[voice]\nvolume = 6\nsounds = false\n")
    held = load(person="Mara", environ={}, folder=folder)
    assert held.settings.voice.volume == 6
    assert held.settings.voice.sounds is False
    assert held.settings.units.torque == "lbf·ft"
    assert held.settings.ear.name == "domino"
    assert load(environ={}, folder=folder).settings.voice.volume == 8, "nobody else's"


def test_a_wrong_value_is_not_kept_and_a_file_with_a_fault_is_not_overwritten(folder: Path) -> None:
    with pytest.raises(SettingsError):
        keep(folder, "Mara", "voice.volume", 99)
    assert not person_file(folder, "Mara").exists()
    _write(person_file(folder, "Mara"), "[voice\n")
    with pytest.raises(SettingsError, match=r"mara\.toml:1"):
        keep(folder, "Mara", "voice.volume", 5)
    assert person_file(folder, "Mara").read_text() == "[voice\n"


def test_people_whose_names_would_leave_the_folder_stay_in_it(folder: Path) -> None:
    assert person_file(folder, "../../etc/passwd").parent == folder / "people"
    assert person_file(folder, "Anna  Maria") == person_file(folder, "anna maria")


_VALUES = st.one_of(st.text(max_size=20), st.integers(-99, 99), st.booleans(), st.floats(0, 9, allow_nan=False))


@given(
    st.lists(st.tuples(st.sampled_from(sorted(OPTIONS)), _VALUES), max_size=12),
)
@example([("ear.attention", "\x85:"), ("ear.attention", "")])
def test_whatever_is_written_is_read_back(writes: list[tuple[str, object]]) -> None:
    text, wanted = "# first line\n", {}
    for option, value in writes:
        text = with_value(text, option, value)
        wanted[option] = value
    assert text.startswith("# first line\n")
    read = tomllib.loads(text)
    flat = {f"{table}.{key}": value for table, values in read.items() for key, value in values.items()}
    assert flat == wanted


def test_every_option_has_a_flag_a_variable_and_a_meaning() -> None:
    assert len({flag_of(name) for name in OPTIONS}) == len(OPTIONS)
    assert len({option.variable for option in OPTIONS.values()}) == len(OPTIONS)
    assert all(option.meaning for option in OPTIONS.values())


def _command(seen: list[Held]) -> typer.Typer:
    app = typer.Typer()

    @app.command()
    @takes_settings()
    def work(card: str, loud: Annotated[bool, typer.Option()] = False, *, held: Held) -> None:
        """Works."""
        seen.append(held)
        print(card, loud)

    return app


def test_every_option_is_on_the_command_line(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BAY_CONFIG", str(folder))
    seen: list[Held] = []
    app = _command(seen)
    run = CliRunner().invoke(
        app,
        ["gearbox", "--volume", "3", "--headset", "--no-sounds", "--attention", "name", "--name", "jericho", "--loud"],
    )
    assert run.exit_code == 0, run.output
    assert run.output == "gearbox True\n"
    settings = seen[0].settings
    assert (settings.voice.volume, settings.ear.headset, settings.voice.sounds) == (3, True, False)
    assert (settings.ear.attention, settings.ear.name) == ("name", "jericho")
    assert seen[0].origin("voice.volume").where == "--volume"
    help_text = CliRunner().invoke(app, ["--help"], env={"COLUMNS": "200"}).output
    missing = [name for name in OPTIONS if flag_of(name) not in help_text]
    assert missing == []
