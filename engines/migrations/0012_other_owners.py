from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('engines', '0011_corrections_of_parts_and_meters'),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name='engine',
            name='engine_serial_once',
        ),
        migrations.AddField(
            model_name='component',
            name='away',
            field=models.JSONField(blank=True, default=list, help_text='Times with other owners; derived from the movements.'),
        ),
        migrations.AddField(
            model_name='engine',
            name='left_at',
            field=models.DateTimeField(blank=True, help_text='When it was handed over to another owner.', null=True),
        ),
        migrations.AddField(
            model_name='engine',
            name='left_to',
            field=models.CharField(blank=True, max_length=120),
        ),
        migrations.AlterField(
            model_name='partmovement',
            name='kind',
            field=models.CharField(choices=[('fitted', 'Fitted'), ('removed', 'Removed'), ('left', 'Sent to another owner'), ('returned', 'Came back from another owner')], max_length=10),
        ),
        migrations.AlterField(
            model_name='partmovement',
            name='place',
            field=models.CharField(blank=True, help_text='Where a removed part lies, who got it, or from whom it came back.', max_length=120),
        ),
        migrations.AddConstraint(
            model_name='engine',
            constraint=models.UniqueConstraint(condition=models.Q(('left_at__isnull', True)), fields=('operator', 'serial'), name='engine_serial_once'),
        ),
    ]
