"""The program that works without signal: light, all of one build, nobody's, and served so that a browser takes it."""

import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest
from django.contrib.staticfiles import finders
from django.contrib.staticfiles.storage import StaticFilesStorage
from django.test import Client
from PIL import Image

from logbook.models import Person
from logbook.shell import FOLDER, SHELL, shell_addresses, shell_files, shell_page, shell_version, shell_weight
from logbook.static_files import HashedFiles
from tests.logbook.screen_kit import signed_in

MOST = 300_000  # bytes, packed
OWN = [*sorted((FOLDER / "js" / "outbox").glob("*.js")), *sorted((FOLDER / "js" / "phone").glob("*.js"))]
IMPORTED = re.compile(r"""\bimport\b[^;]*?["'](\.[^"']+)["']""")


def program(client: Client) -> dict[str, Any]:
    """Return what the worker is told to keep."""
    text = client.get("/sw.js").content.decode()
    found: dict[str, Any] = json.loads(text.partition("self.PROGRAM = ")[2].partition(";\n")[0])
    return found


def test_the_whole_of_it_is_light() -> None:
    assert 20_000 < shell_weight() <= MOST


def test_the_worker_is_served_for_the_whole_site_and_looked_at_anew(client: Client, db: None) -> None:
    response = client.get("/sw.js")
    assert response["Content-Type"].startswith("text/javascript")
    assert response["Service-Worker-Allowed"] == "/"
    assert "no-cache" in response["Cache-Control"]
    assert program(client) == {"version": shell_version(), "files": shell_addresses()}


def test_every_file_of_it_is_there_and_every_script_that_one_asks_for(client: Client, db: None) -> None:
    files = set(shell_files())
    missing = {name for name in files if finders.find(name) is None}
    for name in (name for name in files if name.endswith(".js")):
        path = FOLDER.parent / name
        asked = {(path.parent / inner).resolve() for inner in IMPORTED.findall(path.read_text(encoding="utf8"))}
        missing |= {str(inner) for inner in asked if f"logbook/{inner.relative_to(FOLDER).as_posix()}" not in files}
    assert missing == set()
    assert program(client)["files"][0] == SHELL


def test_the_page_that_stands_in_is_nobodys(client: Client, mechanic: Person) -> None:
    page = signed_in(client, mechanic).get(SHELL).content.decode()
    assert page == shell_page()
    assert "csrf" not in page
    assert str(mechanic) not in page


def test_another_build_has_another_version(monkeypatch: pytest.MonkeyPatch, settings: Any) -> None:
    settings.DEBUG = True
    before = shell_version()
    monkeypatch.setattr("logbook.shell.shell_page", lambda: "another")
    assert shell_version() != before


def test_the_manifest_has_icons_of_ours(client: Client, db: None) -> None:
    response = client.get("/manifest.webmanifest")
    stated = response.json()
    assert response["Content-Type"] == "application/manifest+json"
    assert (stated["start_url"], stated["scope"], stated["display"]) == ("/engines/", "/", "standalone")
    for icon in stated["icons"]:
        with Image.open(str(finders.find(icon["src"].removeprefix("/static/")))) as image:
            assert f"{image.width}x{image.height}" == icon["sizes"]
    assert {icon["purpose"] for icon in stated["icons"]} == {"any", "maskable"}


def test_what_is_not_sent_is_shown_to_whoever_holds_the_device(client: Client, db: None) -> None:
    page = client.get("/not-sent-yet/").content.decode()
    assert "whoever signs in or out" in page


@pytest.mark.parametrize("path", OWN, ids=lambda path: path.name)
def test_a_script_of_it_does_one_thing(path: Path) -> None:
    text = path.read_text(encoding="utf8")
    assert text.startswith("// ")
    assert text.count("\nexport ") == 1
    assert not re.search(r"\b(var|eval|innerHTML|document\.write)\b", text)


def test_scripts_ask_for_each_other_by_names_that_change_with_them(tmp_path: Path) -> None:
    shutil.copytree(FOLDER / "js", tmp_path / "logbook" / "js")
    names = {f"logbook/{path.relative_to(FOLDER).as_posix()}" for path in (FOLDER / "js").rglob("*.js")}
    storage = HashedFiles(location=str(tmp_path))
    for _, _, done in storage.post_process({name: (StaticFilesStorage(str(tmp_path)), name) for name in names}):
        assert not isinstance(done, Exception), done
    text = (tmp_path / str(storage.hashed_files["logbook/js/app.js"])).read_text(encoding="utf8")
    assert all(re.search(r"\.[0-9a-f]{12}\.js$", name) for name in IMPORTED.findall(text))
