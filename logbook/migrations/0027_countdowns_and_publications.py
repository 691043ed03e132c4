import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('engines', '0012_other_owners'),
        ('logbook', '0026_photos'),
    ]

    operations = [
        migrations.AddField(
            model_name='discrepancyline',
            name='due_on',
            field=models.DateField(blank=True, help_text='The last day for it, where a rule sets one.', null=True),
        ),
        migrations.CreateModel(
            name='Publication',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('title', models.CharField(max_length=240)),
                ('revision', models.CharField(max_length=60)),
                ('dated', models.DateField(blank=True, null=True)),
                ('at', models.DateTimeField(auto_now_add=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('operator', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='publications', to='engines.operator')),
            ],
            options={
                'ordering': ['title', 'pk'],
                'indexes': [models.Index(fields=['operator', 'title'], name='publication_by_title')],
            },
        ),
    ]
