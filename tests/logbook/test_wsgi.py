"""The door for web servers."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_a_web_server_s_process_looks_for_rings_of_objects_less_often(tmp_path: Path) -> None:
    asked = "import gc, logbook.wsgi; print(gc.get_threshold(), gc.get_freeze_count() > 10_000)"
    environment = {**os.environ, "EMBERMARK_DATA": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-c", asked],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    assert done.stdout.strip() == "(10000, 20, 20) True"
