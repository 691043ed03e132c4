import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

ONE_THING = models.Q(
    models.Q(("engine__isnull", True), ("component__isnull", False)),
    models.Q(("engine__isnull", False), ("component__isnull", True)),
    _connector="OR",
)


class Migration(migrations.Migration):

    dependencies = [
        ("engines", "0004_typed_reason"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Task",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("document", models.JSONField(help_text="As a task stands in a type's document.")),
                ("entered_at", models.DateTimeField(auto_now_add=True)),
                ("component", models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="tasks", to="engines.component")),
                ("engine", models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="tasks", to="engines.engine")),
                ("entered_by", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL)),
                ("operator", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="tasks", to="engines.operator")),
                ("replaces", models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="replaced_by", to="engines.task")),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [models.CheckConstraint(condition=ONE_THING, name="task_of_one_thing")],
            },
        ),
        migrations.CreateModel(
            name="TaskRecord",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=120)),
                ("outcome", models.CharField(choices=[("begun", "Begins to apply"), ("done", "Done"), ("terminated", "Done, and ended by a terminating action"), ("not_applicable", "Not applicable")], max_length=20)),
                ("on", models.DateField()),
                ("used", models.JSONField(help_text="What the counters stood at, in seconds and counts, by their names.")),
                ("is_extended", models.BooleanField(default=False)),
                ("method", models.CharField(blank=True, help_text="How it was done or complied with.", max_length=240)),
                ("reference", models.CharField(blank=True, help_text="Document, revision and section worked to.", max_length=240)),
                ("remarks", models.TextField(blank=True)),
                ("at", models.DateTimeField(auto_now_add=True)),
                ("by", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL)),
                ("component", models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="task_records", to="engines.component")),
                ("engine", models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="task_records", to="engines.engine")),
                ("task", models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="records", to="engines.task")),
            ],
            options={
                "ordering": ["pk"],
                "indexes": [
                    models.Index(fields=["engine", "name", "-on"], name="task_record_by_engine"),
                    models.Index(fields=["component", "name", "-on"], name="task_record_by_component"),
                ],
                "constraints": [models.CheckConstraint(condition=ONE_THING, name="task_record_of_one_thing")],
            },
        ),
    ]
