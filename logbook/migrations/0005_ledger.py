"""Entries become canonical text, hashed into a tree for each operator; runs that nobody has signed are listed."""


import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from logbook.ledger import tree
from logbook.ledger.canonical import EntryFacts, canonical, entry_document


def entries_seal(apps, schema_editor):
    """Put the entries that there are into the tree, in order of their numbers."""
    entries = apps.get_model("logbook", "Entry").objects.order_by("operator_id", "number")
    trees = {}
    for entry in entries.iterator(1000):
        entry.content = canonical(entry.body)
        entry.signed_at = entry.signed_at.replace(microsecond=0)
        leaf = tree.leaf_hash(entry_document(entry.content, facts_of(entry)))
        entry.leaf_hash = leaf.hex()
        entry.save(update_fields=["content", "signed_at", "leaf_hash"])
        growing = trees.setdefault(entry.operator_id, tree.GrowingTree())
        apps.get_model("logbook", "LedgerNode").objects.bulk_create(
            apps.get_model("logbook", "LedgerNode")(
                operator_id=entry.operator_id, level=level, index=index, hash=digest.hex()
            )
            for level, index, digest in growing.append(leaf)
        )


def facts_of(entry):
    """Return what a row of that time says beside its body."""
    return EntryFacts(
        id=entry.id.hex,
        number=entry.number,
        kind=entry.kind,
        operator_id=entry.operator_id,
        engine_id=entry.engine_id,
        run_id=entry.run_id.hex if entry.run_id else None,
        inspection_id=entry.inspection_id,
        completed_on=entry.completed_on.isoformat(),
        signed_by_id=entry.signed_by_id,
        signed_at=entry.signed_at.strftime("%Y-%m-%dT%H:%M:%SZ"),
    )


def row_of(operator, name):
    """Return the column that says whose a row is."""
    return models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name=name, to=operator)


class Migration(migrations.Migration):
    dependencies = [
        ("engines", "0004_typed_reason"),
        ("inspections", "0004_handover"),
        ("logbook", "0004_entry_by_signer"),
    ]

    operations = [
        migrations.CreateModel(
            name="Checkpoint",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("size", models.PositiveIntegerField()),
                ("root", models.CharField(max_length=64)),
                ("note", models.TextField(help_text="The signed note.")),
                ("made_at", models.DateTimeField(auto_now_add=True)),
                ("operator", row_of("engines.operator", "checkpoints")),
            ],
            options={"ordering": ["size", "pk"]},
        ),
        migrations.CreateModel(
            name="LedgerKey",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("public", models.CharField(help_text="Ed25519, in hexadecimal.", max_length=64)),
                ("made_at", models.DateTimeField(auto_now_add=True)),
                ("operator", row_of("engines.operator", "ledger_keys")),
            ],
            options={"ordering": ["pk"]},
        ),
        migrations.CreateModel(
            name="LedgerNode",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("level", models.PositiveSmallIntegerField()),
                ("index", models.PositiveIntegerField()),
                ("hash", models.CharField(max_length=64)),
                ("operator", row_of("engines.operator", "ledger_nodes")),
            ],
        ),
        migrations.CreateModel(
            name="Unsigned",
            fields=[
                (
                    "run",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="unsigned",
                        serialize=False,
                        to="engines.run",
                    ),
                ),
                ("since", models.DateTimeField(auto_now_add=True)),
                ("operator", row_of("engines.operator", "unsigned_runs")),
                ("engine", row_of("engines.engine", "unsigned_runs")),
                ("recorded_by", row_of(settings.AUTH_USER_MODEL, "unsigned_runs")),
            ],
            options={"ordering": ["since"]},
        ),
        migrations.AddConstraint(
            "checkpoint", models.UniqueConstraint(fields=("operator", "size"), name="checkpoint_size_once")
        ),
        migrations.AddConstraint(
            "ledgerkey", models.UniqueConstraint(fields=("operator", "public"), name="ledger_key_once")
        ),
        migrations.AddConstraint(
            "ledgernode", models.UniqueConstraint(fields=("operator", "level", "index"), name="ledger_node_once")
        ),
        migrations.AddField("entry", "content", models.TextField(help_text="The body, as canonical JSON.", default="")),
        migrations.AddField("entry", "leaf_hash", models.CharField(max_length=64, default="")),
        migrations.AddField(
            "entry",
            "component",
            models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="entries",
                to="engines.component",
            ),
        ),
        migrations.AddField(
            "entry",
            "corrects",
            models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="corrected_by",
                to="logbook.entry",
            ),
        ),
        migrations.AlterField(
            "entry",
            "signed_at",
            models.DateTimeField(help_text="By the clock of the server, to the second."),
        ),
        migrations.RunPython(entries_seal),
        migrations.RemoveField("entry", "body"),
        migrations.AlterField("entry", "content", models.TextField(help_text="The body, as canonical JSON.")),
        migrations.AlterField("entry", "leaf_hash", models.CharField(max_length=64, unique=True)),
        migrations.AlterField(
            "entry",
            "engine",
            models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="entries",
                to="engines.engine",
            ),
        ),
        migrations.AlterField(
            "entry",
            "kind",
            models.CharField(
                choices=[
                    ("run", "Run"),
                    ("inspection", "Inspection"),
                    ("work", "Maintenance"),
                    ("release", "Release to service"),
                    ("part_fitted", "Part fitted"),
                    ("part_removed", "Part removed"),
                    ("meter_change", "Hour meter changed"),
                    ("opening", "Opening balance"),
                    ("handover", "Handover"),
                ],
                max_length=20,
            ),
        ),
    ]
