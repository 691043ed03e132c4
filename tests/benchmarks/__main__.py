"""Print what the computation costs beside the bare work it rests on, as ratios; nothing is asserted of them."""

import os
import tempfile
from pathlib import Path

import django


def main() -> None:
    """Measure and print, one line each."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    django.setup()
    from django.db import connection

    from tests.benchmarks import judging, phone_judging, printing, reading, replaying, verifying

    for ratio in (*judging.ratios(), *phone_judging.ratios()):
        print(ratio.line(), flush=True)
    with tempfile.TemporaryDirectory(prefix="embermark-benchmarks-") as folder:
        for ratio in (*reading.ratios(Path(folder)), *printing.ratios(Path(folder))):
            print(ratio.line(), flush=True)
        name = connection.settings_dict["NAME"]
        # In a file, as the site's own is, which several processes can read.
        connection.settings_dict["TEST"]["NAME"] = str(Path(folder) / "benchmarks.sqlite3")
        connection.creation.create_test_db(verbosity=0)
        try:
            for module in (replaying, verifying):
                for ratio in module.ratios():
                    print(ratio.line(), flush=True)
        finally:
            connection.creation.destroy_test_db(name, verbosity=0)


if __name__ == "__main__":
    main()
