import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('logbook', '0021_task_entries'),
    ]

    operations = [
        migrations.AddField(
            model_name='packagejob',
            name='entry',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='package_jobs', to='logbook.entry'),
        ),
        migrations.AddField(
            model_name='packagejob',
            name='sha256',
            field=models.CharField(blank=True, help_text='Of the file, once it is packed.', max_length=64),
        ),
        migrations.AlterField(
            model_name='entry',
            name='kind',
            field=models.CharField(choices=[('run', 'Run'), ('exceedance', 'Run beyond a limit'), ('inspection', 'Inspection'), ('work', 'Maintenance'), ('part_fitted', 'Part fitted'), ('part_removed', 'Part removed'), ('part_limit', 'Limit of a part'), ('part_done', 'Part overhauled or inspected'), ('task', 'Task recorded'), ('meter_change', 'Hour meter changed'), ('opening', 'Opening balance'), ('calibration', 'Indication calibrated'), ('handover', 'Handover')], max_length=20),
        ),
    ]
