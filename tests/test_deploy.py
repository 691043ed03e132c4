"""What is started for real is started safely, or not at all."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.harness.surroundings import surroundings
from tests.layers import ROOT

SECRET = "Qm9kZW5zdGFuZC1Qcm9wZWxsZXIta3JlaXMtZnJlaS1oYWx0ZW4tMTIz"


def manage(folder: Path, *arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run manage.py in an environment of its own."""
    clean = {**surroundings(os.environ), "EMBERMARK_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "logbook.settings"}
    return subprocess.run(
        [sys.executable, "-W", "error::DeprecationWarning:logbook", "manage.py", *arguments],
        cwd=ROOT,
        env={**clean, **environment},
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_deployment_check_finds_nothing(tmp_path: Path) -> None:
    done = manage(
        tmp_path,
        "check",
        "--deploy",
        "--fail-level",
        "WARNING",
        EMBERMARK_HTTPS="1",
        EMBERMARK_SECRET_KEY=SECRET,
        EMBERMARK_HOSTS="logbook.example",
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "System check identified no issues" in done.stdout


def test_without_https_the_deployment_check_would_say_so(tmp_path: Path) -> None:
    done = manage(tmp_path, "check", "--deploy", "--fail-level", "WARNING", EMBERMARK_SECRET_KEY=SECRET)
    assert done.returncode == 1
    assert "security.W008" in done.stderr


def test_a_site_reached_by_https_does_not_start_without_a_secret(tmp_path: Path) -> None:
    done = manage(tmp_path, "check", EMBERMARK_HTTPS="1")
    assert done.returncode == 1
    assert "EMBERMARK_SECRET_KEY is not set. A site that is reached by https needs a secret of its own" in done.stderr
    assert not (tmp_path / "secret_key").exists()


def test_elsewhere_a_secret_is_made_once_and_readable_by_its_owner_alone(tmp_path: Path) -> None:
    assert manage(tmp_path, "check").returncode == 0
    made = tmp_path / "secret_key"
    first = made.read_text()
    assert len(first) >= 50
    assert made.stat().st_mode & 0o077 == 0
    assert manage(tmp_path, "check").returncode == 0
    assert made.read_text() == first


@pytest.mark.parametrize("name", ["makemigrations"])
def test_the_tables_are_what_the_models_say(name: str, tmp_path: Path) -> None:
    done = manage(tmp_path, name, "--check", "--dry-run")
    assert done.returncode == 0, done.stdout
