"""The design that the guards hold: which package may import which, and which modules are pure."""

from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

# A package and the packages of this project that it may import.
MAY_IMPORT = {
    "engines": {"engines"},
    "inspections": {"inspections", "engines"},
    "logbook": {"logbook", "inspections", "engines"},
}

# Arithmetic only: no Django, every line and branch tested, every public function with its units and edges in words.
PURE_MODULES = (
    "engines/charts.py",
    "engines/counters.py",
    "engines/cycles.py",
    "engines/document_counters.py",
    "engines/document_fields.py",
    "engines/documents.py",
    "engines/due.py",
    "engines/due_words.py",
    "engines/edges.py",
    "engines/errors.py",
    "engines/evidence.py",
    "engines/extremes.py",
    "engines/forecast.py",
    "engines/keying.py",
    "engines/lives.py",
    "engines/meter.py",
    "engines/numbers_typed.py",
    "engines/questions.py",
    "engines/recording_cells.py",
    "engines/recording_columns.py",
    "engines/recording_layout.py",
    "engines/recording_parquet.py",
    "engines/recording_plan.py",
    "engines/recording_source.py",
    "engines/recording_times.py",
    "engines/recordings.py",
    "engines/regimes.py",
    "engines/task_documents.py",
    "engines/tasks.py",
    "engines/stays.py",
    "engines/times.py",
    "engines/timing.py",
    "engines/trace_codec.py",
    "engines/traces.py",
    "engines/units.py",
    "inspections/ages.py",
    "inspections/chart_judging.py",
    "inspections/closing.py",
    "inspections/curve.py",
    "inspections/disagreement.py",
    "inspections/drawing/bands.py",
    "inspections/drawing/callouts.py",
    "inspections/drawing/curve_picture.py",
    "inspections/drawing/curve_sheet.py",
    "inspections/drawing/due_band.py",
    "inspections/drawing/duration_points.py",
    "inspections/drawing/facts.py",
    "inspections/drawing/labels.py",
    "inspections/drawing/placing.py",
    "inspections/drawing/run_layout.py",
    "inspections/drawing/run_picture.py",
    "inspections/drawing/run_scene.py",
    "inspections/drawing/scale.py",
    "inspections/drawing/series.py",
    "inspections/drawing/shapes.py",
    "inspections/drawing/sheet.py",
    "inspections/drawing/starts_picture.py",
    "inspections/drawing/svg.py",
    "inspections/drawing/use_picture.py",
    "inspections/drawing/words.py",
    "inspections/exceedance.py",
    "inspections/excursions.py",
    "inspections/explaining.py",
    "inspections/explaining_words.py",
    "inspections/paths.py",
    "inspections/readings.py",
    "inspections/repeats.py",
    "inspections/states.py",
    "inspections/verdict.py",
    "inspections/working.py",
    "logbook/ledger/codes.py",
    "logbook/ledger/check_package.py",
    "logbook/ledger/notes.py",
    "logbook/ledger/tree.py",
    "logbook/statements/balances.py",
    "logbook/statements/coverage.py",
    "logbook/statements/elements.py",
    "logbook/statements/required.py",
    "logbook/statements/standard.py",
    "logbook/statements/templates.py",
    "logbook/statements/words.py",
    "logbook/tables.py",
)

# What a pure module must not import.
FRAMEWORKS = frozenset({"django", "rest_framework", "django_filters", "django_htmx", "drf_spectacular"})


def sources(*folders: str) -> list[Path]:
    """Return every Python file under the folders, migrations and generated files left out."""
    found = [path for folder in folders for path in (ROOT / folder).rglob("*.py")]
    return sorted(path for path in found if not {"migrations", "__pycache__"} & set(path.parts))
