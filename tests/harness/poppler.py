"""The tools by which the tests look at a PDF independently of what made it: found, or installed."""

import os
import shutil
import subprocess

PROGRAM = "pdfsig"
INSTALL_S = 600
PACKAGE = "poppler-utils"


class PopplerMissing(Exception):
    """No such tools here, and none could be installed; the message says what to do."""


def poppler_ensure() -> str:
    """Return the path of the program that checks signatures, installed first if need be."""
    if found := shutil.which(PROGRAM):
        return found
    wanted = f"Install it (on Debian: apt-get install {PACKAGE})."
    if not shutil.which("apt-get") or os.geteuid() != 0:
        raise PopplerMissing(f"The tests of signed prints need {PROGRAM}, and it was not found. {wanted}")
    print(f"{PROGRAM} was not found; installing it.", flush=True)
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    try:
        for command in (["update", "-q"], ["install", "-y", "-q", "--no-install-recommends", PACKAGE]):
            subprocess.run(["apt-get", *command], check=True, env=quiet, stdout=subprocess.DEVNULL, timeout=INSTALL_S)
    except subprocess.SubprocessError as error:
        raise PopplerMissing(f"{PROGRAM} could not be installed ({error}). {wanted}") from error
    if found := shutil.which(PROGRAM):
        return found
    raise PopplerMissing(f"{PACKAGE} was installed but {PROGRAM} is still not to be found. {wanted}")
