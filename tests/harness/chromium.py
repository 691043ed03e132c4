"""Chromium, which the browser tests drive: found, or installed where that can be done without asking."""

import os
import shutil
import subprocess

VARIABLE = "EMBERMARK_CHROMIUM"
NAMES = ("chromium", "chromium-browser", "google-chrome")
INSTALL_S = 600
PACKAGES = ("chromium", "fonts-dejavu-core")


class ChromiumMissing(Exception):
    """No Chromium here, and none could be installed; the message says what to do."""


def chromium_find() -> str | None:
    """Return the path of the Chromium to drive, or None when this machine has none."""
    named = os.environ.get(VARIABLE)
    if named:
        return shutil.which(named)
    return next((path for path in map(shutil.which, NAMES) if path), None)


def chromium_install() -> None:
    """Install Chromium and one font from the system's own packages; needs to run as root."""
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for command in (["update", "-q"], ["install", "-y", "-q", "--no-install-recommends", *PACKAGES]):
        subprocess.run(["apt-get", *command], check=True, env=quiet, stdout=subprocess.DEVNULL, timeout=INSTALL_S)


def chromium_ensure() -> str:
    """Return the path of a Chromium, installed first if need be; raise ChromiumMissing when that cannot be done."""
    if found := chromium_find():
        return found
    if os.environ.get(VARIABLE):
        raise ChromiumMissing(f"{VARIABLE} names {os.environ[VARIABLE]!r}, which is no program on this machine.")
    wanted = f"Install Chromium (on Debian: apt-get install {' '.join(PACKAGES)}), or name one in {VARIABLE}."
    if not shutil.which("apt-get") or os.geteuid() != 0:
        raise ChromiumMissing(f"The browser tests need Chromium and none was found. {wanted}")
    print("Chromium was not found; installing it.", flush=True)
    try:
        chromium_install()
    except subprocess.SubprocessError as error:
        raise ChromiumMissing(f"Chromium could not be installed ({error}). {wanted}") from error
    if found := chromium_find():
        return found
    raise ChromiumMissing(f"Chromium was installed but is still not to be found. {wanted}")
