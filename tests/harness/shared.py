"""Published check files that may not be kept in the repository and lie in a folder beside it."""

from collections.abc import Mapping
from pathlib import Path

from tests.layers import ROOT

FOLDER = "EMBERMARK_SHARED"
REQUIRED = "EMBERMARK_REQUIRE_CHECKS"


class SharedMissing(Exception):
    """A check file is absent; ``required`` says whether that is a failure."""

    def __init__(self, name: str, *, required: bool) -> None:
        super().__init__(f"{name} is not kept in the repository; put it under checks/ of the folder {FOLDER} names.")
        self.required = required


def shared_file(name: str, environment: Mapping[str, str]) -> Path:
    """Return the path of a check file, named as it lies under ``checks/``; raise SharedMissing when it is absent."""
    path = Path(environment.get(FOLDER) or ROOT.parent / "shared") / "checks" / name
    if not path.is_file():
        raise SharedMissing(name, required=environment.get(REQUIRED) == "1")
    return path
