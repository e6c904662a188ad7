# All that stands in `replaces`, as a new shop's database needs it: in one go, with fields and constraints in their tables.

import base.keys
import base.migrations
import django.contrib.postgres.constraints
import django.contrib.postgres.fields.ranges
import django.contrib.postgres.operations
import django.db.models.deletion
import django.db.models.functions.datetime
import pgtrigger.compiler
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    replaces = [
        ('jobs', '0001_initial'),
        ('jobs', '0002_small_photos'),
        ('jobs', '0003_photos_to_sort'),
    ]

    dependencies = [
        ('clients', '0001_initial'),
        ('pghistory', '0007_auto_20250421_0444'),
        ('shop', '0006_mails_with_files'),
    ]

    operations = [
        # The exclusion constraint on bookings compares a person's key with = in a GiST index.
        django.contrib.postgres.operations.BtreeGistExtension(),
        # A sequence of our own: a number that was given out never comes back, even where its job is deleted.
        migrations.RunSQL(
            sql='CREATE SEQUENCE jobs_job_number',
            reverse_sql='DROP SEQUENCE jobs_job_number',
        ),
        migrations.CreateModel(
            name='Job',
            fields=[
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('number', models.BigIntegerField(db_default=models.Func(models.Value('jobs_job_number'), function='nextval', output_field=models.BigIntegerField()), editable=False, unique=True, verbose_name='number')),
                ('title', models.CharField(max_length=160, verbose_name='what')),
                ('client', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='jobs', to='clients.client')),
                ('site', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='jobs', to='clients.site')),
                ('stage', models.CharField(choices=[('measuring', 'Measuring'), ('pricing', 'Pricing'), ('proposed', 'Proposal out'), ('working', 'Work'), ('punch_list', 'Punch list'), ('closed', 'Closed, in warranty'), ('lost', 'Not taken')], default='measuring', editable=False, max_length=20, verbose_name='stage')),
                ('stage_since', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False, verbose_name='in this stage since')),
                ('note', models.TextField(blank=True, verbose_name='note')),
            ],
            options={
                'ordering': ('-number',),
                'constraints': [models.CheckConstraint(condition=models.Q(('title', ''), _negated=True), name='jobs_job_has_a_title'), models.CheckConstraint(condition=models.Q(('stage__in', ['measuring', 'pricing', 'proposed', 'working', 'punch_list', 'closed', 'lost'])), name='jobs_job_stage_known')],
            },
        ),
        migrations.CreateModel(
            name='Booking',
            fields=[
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='bookings', to='jobs.job')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='bookings', to=settings.AUTH_USER_MODEL)),
                ('kind', models.CharField(choices=[('phase', 'Work'), ('visit', 'Visit')], default='phase', max_length=10, verbose_name='kind')),
                ('what', models.CharField(max_length=120, verbose_name='what for')),
                ('during', django.contrib.postgres.fields.ranges.DateTimeRangeField(verbose_name='from and to')),
                ('canceled_at', models.DateTimeField(blank=True, null=True)),
            ],
            options={
                'ordering': ('during', 'id'),
                'constraints': [django.contrib.postgres.constraints.ExclusionConstraint(condition=models.Q(('canceled_at', None)), expressions=[('person', '='), ('during', '&&')], name='jobs_booking_one_place_at_a_time'), models.CheckConstraint(condition=models.Q(('during__isempty', False), ('during__lower_inf', False), ('during__upper_inf', False)), name='jobs_booking_has_a_start_and_an_end'), models.CheckConstraint(condition=models.Q(('kind__in', ['phase', 'visit'])), name='jobs_booking_kind_known')],
            },
        ),
        migrations.CreateModel(
            name='CrewMember',
            fields=[
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='crew_members', to='jobs.job')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='crew_memberships', to=settings.AUTH_USER_MODEL)),
                ('left_at', models.DateTimeField(blank=True, null=True)),
            ],
            options={
                'constraints': [models.UniqueConstraint(condition=models.Q(('left_at', None)), fields=('job', 'person'), name='jobs_crew_member_once_at_a_time')],
            },
        ),
        migrations.CreateModel(
            name='CrewMemberEvent',
            fields=[
                ('pgh_id', models.AutoField(primary_key=True, serialize=False)),
                ('pgh_created_at', models.DateTimeField(auto_now_add=True)),
                ('pgh_label', models.TextField(help_text='The event label.')),
                ('pgh_obj', models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='events', to='jobs.crewmember')),
                ('pgh_context', models.ForeignKey(db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='pghistory.context')),
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('job', models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', related_query_name='+', to='jobs.job')),
                ('person', models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', related_query_name='+', to=settings.AUTH_USER_MODEL)),
                ('left_at', models.DateTimeField(blank=True, null=True)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='BookingEvent',
            fields=[
                ('pgh_id', models.AutoField(primary_key=True, serialize=False)),
                ('pgh_created_at', models.DateTimeField(auto_now_add=True)),
                ('pgh_label', models.TextField(help_text='The event label.')),
                ('pgh_obj', models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='events', to='jobs.booking')),
                ('pgh_context', models.ForeignKey(db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='pghistory.context')),
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('job', models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', related_query_name='+', to='jobs.job')),
                ('person', models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', related_query_name='+', to=settings.AUTH_USER_MODEL)),
                ('kind', models.CharField(choices=[('phase', 'Work'), ('visit', 'Visit')], default='phase', max_length=10, verbose_name='kind')),
                ('during', django.contrib.postgres.fields.ranges.DateTimeRangeField(verbose_name='from and to')),
                ('canceled_at', models.DateTimeField(blank=True, null=True)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='JobEvent',
            fields=[
                ('pgh_id', models.AutoField(primary_key=True, serialize=False)),
                ('pgh_created_at', models.DateTimeField(auto_now_add=True)),
                ('pgh_label', models.TextField(help_text='The event label.')),
                ('pgh_obj', models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='events', to='jobs.job')),
                ('pgh_context', models.ForeignKey(db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='pghistory.context')),
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('number', models.BigIntegerField(db_default=models.Func(models.Value('jobs_job_number'), function='nextval', output_field=models.BigIntegerField()), editable=False, verbose_name='number')),
                ('client', models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', related_query_name='+', to='clients.client')),
                ('site', models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', related_query_name='+', to='clients.site')),
                ('stage', models.CharField(choices=[('measuring', 'Measuring'), ('pricing', 'Pricing'), ('proposed', 'Proposal out'), ('working', 'Work'), ('punch_list', 'Punch list'), ('closed', 'Closed, in warranty'), ('lost', 'Not taken')], default='measuring', editable=False, max_length=20, verbose_name='stage')),
                ('stage_since', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False, verbose_name='in this stage since')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Photo',
            fields=[
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='photos', to='jobs.job')),
                ('file', models.FileField(max_length=200, upload_to='photos/%Y/%m/')),
                ('thumb', models.FileField(blank=True, max_length=200, upload_to='')),
                ('sha256', models.CharField(max_length=64)),
                ('upload_sha256', models.CharField(blank=True, max_length=64)),
                ('width', models.PositiveIntegerField()),
                ('height', models.PositiveIntegerField()),
                ('caption', models.CharField(blank=True, max_length=200, verbose_name='caption')),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='photos', to=settings.AUTH_USER_MODEL)),
                ('happened_at', models.DateTimeField(verbose_name='taken')),
                ('to_sort', models.BooleanField(default=False, verbose_name='to be sorted')),
            ],
            options={
                'ordering': ('happened_at', 'id'),
                'indexes': [models.Index(condition=models.Q(('to_sort', True)), fields=['job'], name='jobs_photo_to_sort')],
            },
        ),
        migrations.CreateModel(
            name='PhotoEvent',
            fields=[
                ('pgh_id', models.AutoField(primary_key=True, serialize=False)),
                ('pgh_created_at', models.DateTimeField(auto_now_add=True)),
                ('pgh_label', models.TextField(help_text='The event label.')),
                ('pgh_obj', models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='events', to='jobs.photo')),
                ('pgh_context', models.ForeignKey(db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='pghistory.context')),
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('job', models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', related_query_name='+', to='jobs.job')),
                ('file', models.FileField(max_length=200, upload_to='photos/%Y/%m/')),
                ('thumb', models.FileField(blank=True, max_length=200, upload_to='')),
                ('sha256', models.CharField(max_length=64)),
                ('upload_sha256', models.CharField(blank=True, max_length=64)),
                ('width', models.PositiveIntegerField()),
                ('height', models.PositiveIntegerField()),
                ('by', models.ForeignKey(db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', related_query_name='+', to=settings.AUTH_USER_MODEL)),
                ('happened_at', models.DateTimeField(verbose_name='taken')),
                ('to_sort', models.BooleanField(default=False, verbose_name='to be sorted')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.AddField(
            model_name='job',
            name='crew',
            field=models.ManyToManyField(related_name='jobs', through='jobs.CrewMember', to=settings.AUTH_USER_MODEL),
        ),
        base.migrations.AddTrigger(
            model_name='job',
            trigger=pgtrigger.compiler.Trigger(name='stage_moves', sql=pgtrigger.compiler.UpsertTriggerSql(condition='WHEN (OLD."stage" IS DISTINCT FROM (NEW."stage"))', func="\n                    IF (OLD.stage, NEW.stage) NOT IN (('measuring', 'pricing'), ('measuring', 'lost'), ('pricing', 'measuring'), ('pricing', 'proposed'), ('pricing', 'lost'), ('proposed', 'pricing'), ('proposed', 'working'), ('proposed', 'lost'), ('working', 'punch_list'), ('punch_list', 'working'), ('punch_list', 'closed'), ('lost', 'measuring')) THEN\n                        RAISE EXCEPTION 'job % can not move from % to %', OLD.number, OLD.stage, NEW.stage\n                            USING ERRCODE = 'check_violation', CONSTRAINT = 'jobs_job_stage_moves';\n                    END IF;\n                    NEW.stage_since := now();\n                    RETURN NEW;\n                ", hash='84bea5bb4ca78f94797164b4e7671289bc0820f9', operation='UPDATE OF "stage"', pgid='pgtrigger_stage_moves_d09cc', table='jobs_job', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='job',
            trigger=pgtrigger.compiler.Trigger(name='starts_measuring', sql=pgtrigger.compiler.UpsertTriggerSql(condition='WHEN (NOT (NEW."stage" = \'measuring\'))', func="\n                    RAISE EXCEPTION 'a job begins by measuring, not as %', NEW.stage\n                        USING ERRCODE = 'check_violation', CONSTRAINT = 'jobs_job_starts_measuring';\n                ", hash='fcee92df5df0a783cf2d65f6e81dc1009a3a613f', operation='INSERT', pgid='pgtrigger_starts_measuring_aa4b9', table='jobs_job', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='job',
            trigger=pgtrigger.compiler.Trigger(name='number_stays', sql=pgtrigger.compiler.UpsertTriggerSql(func='RAISE EXCEPTION \'pgtrigger: Cannot update of "number" rows from % table\', TG_TABLE_NAME;', hash='09663f83fb50e6b448cf88eb1bc4075c83fa1428', operation='UPDATE OF "number"', pgid='pgtrigger_number_stays_dcb68', table='jobs_job', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='job',
            trigger=pgtrigger.compiler.Trigger(name='site_of_client', sql=pgtrigger.compiler.UpsertTriggerSql(func="\n                    IF NOT EXISTS (\n                        SELECT 1 FROM clients_site WHERE id = NEW.site_id AND client_id = NEW.client_id\n                    ) THEN\n                        RAISE EXCEPTION 'the site is not one of the client''s'\n                            USING ERRCODE = 'check_violation', CONSTRAINT = 'jobs_job_site_of_client';\n                    END IF;\n                    RETURN NEW;\n                ", hash='090997f35094c3555a88d4885cae207c4c0b8e63', operation='INSERT OR UPDATE OF "client_id", "site_id"', pgid='pgtrigger_site_of_client_a1ff3', table='jobs_job', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='job',
            trigger=pgtrigger.compiler.Trigger(name='insert_insert', sql=pgtrigger.compiler.UpsertTriggerSql(func='INSERT INTO "jobs_jobevent" ("client_id", "created_at", "id", "number", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "site_id", "stage", "stage_since") VALUES (NEW."client_id", NEW."created_at", NEW."id", NEW."number", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."site_id", NEW."stage", NEW."stage_since"); RETURN NULL;', hash='ed1971974edee296e9b6eae569d1cca01b554529', operation='INSERT', pgid='pgtrigger_insert_insert_8da9d', table='jobs_job', when='AFTER')),
        ),
        base.migrations.AddTrigger(
            model_name='job',
            trigger=pgtrigger.compiler.Trigger(name='update_update', sql=pgtrigger.compiler.UpsertTriggerSql(condition='WHEN (OLD."client_id" IS DISTINCT FROM (NEW."client_id") OR OLD."created_at" IS DISTINCT FROM (NEW."created_at") OR OLD."id" IS DISTINCT FROM (NEW."id") OR OLD."number" IS DISTINCT FROM (NEW."number") OR OLD."site_id" IS DISTINCT FROM (NEW."site_id") OR OLD."stage" IS DISTINCT FROM (NEW."stage") OR OLD."stage_since" IS DISTINCT FROM (NEW."stage_since"))', func='INSERT INTO "jobs_jobevent" ("client_id", "created_at", "id", "number", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "site_id", "stage", "stage_since") VALUES (NEW."client_id", NEW."created_at", NEW."id", NEW."number", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."site_id", NEW."stage", NEW."stage_since"); RETURN NULL;', hash='c8194e8c346914ba6949870a9de4df66d14d8fd6', operation='UPDATE', pgid='pgtrigger_update_update_91845', table='jobs_job', when='AFTER')),
        ),
        base.migrations.AddTrigger(
            model_name='crewmemberevent',
            trigger=pgtrigger.compiler.Trigger(name='append_only', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;", hash='f7addc9f74c9701bd9ef71f2e776f5e0b04d94b2', operation='UPDATE OR DELETE', pgid='pgtrigger_append_only_6805c', table='jobs_crewmemberevent', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='crewmember',
            trigger=pgtrigger.compiler.Trigger(name='insert_insert', sql=pgtrigger.compiler.UpsertTriggerSql(func='INSERT INTO "jobs_crewmemberevent" ("created_at", "id", "job_id", "left_at", "person_id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id") VALUES (NEW."created_at", NEW."id", NEW."job_id", NEW."left_at", NEW."person_id", _pgh_attach_context(), NOW(), \'insert\', NEW."id"); RETURN NULL;', hash='08c5df2771cb997ccea701490e49ea0c0f26cfa4', operation='INSERT', pgid='pgtrigger_insert_insert_a1aac', table='jobs_crewmember', when='AFTER')),
        ),
        base.migrations.AddTrigger(
            model_name='crewmember',
            trigger=pgtrigger.compiler.Trigger(name='update_update', sql=pgtrigger.compiler.UpsertTriggerSql(condition='WHEN (OLD.* IS DISTINCT FROM NEW.*)', func='INSERT INTO "jobs_crewmemberevent" ("created_at", "id", "job_id", "left_at", "person_id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id") VALUES (NEW."created_at", NEW."id", NEW."job_id", NEW."left_at", NEW."person_id", _pgh_attach_context(), NOW(), \'update\', NEW."id"); RETURN NULL;', hash='1c9a82ee98a85ac5756298633cab400253b4dd5c', operation='UPDATE', pgid='pgtrigger_update_update_a7d02', table='jobs_crewmember', when='AFTER')),
        ),
        base.migrations.AddTrigger(
            model_name='bookingevent',
            trigger=pgtrigger.compiler.Trigger(name='append_only', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;", hash='498bf78804b6901befe23717c904f72e999559e2', operation='UPDATE OR DELETE', pgid='pgtrigger_append_only_0f44f', table='jobs_bookingevent', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='booking',
            trigger=pgtrigger.compiler.Trigger(name='insert_insert', sql=pgtrigger.compiler.UpsertTriggerSql(func='INSERT INTO "jobs_bookingevent" ("canceled_at", "created_at", "during", "id", "job_id", "kind", "person_id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id") VALUES (NEW."canceled_at", NEW."created_at", NEW."during", NEW."id", NEW."job_id", NEW."kind", NEW."person_id", _pgh_attach_context(), NOW(), \'insert\', NEW."id"); RETURN NULL;', hash='781c4b73577bd2159b66d7deccc6d4002d9f2730', operation='INSERT', pgid='pgtrigger_insert_insert_4e88e', table='jobs_booking', when='AFTER')),
        ),
        base.migrations.AddTrigger(
            model_name='booking',
            trigger=pgtrigger.compiler.Trigger(name='update_update', sql=pgtrigger.compiler.UpsertTriggerSql(condition='WHEN (OLD."canceled_at" IS DISTINCT FROM (NEW."canceled_at") OR OLD."created_at" IS DISTINCT FROM (NEW."created_at") OR OLD."during" IS DISTINCT FROM (NEW."during") OR OLD."id" IS DISTINCT FROM (NEW."id") OR OLD."job_id" IS DISTINCT FROM (NEW."job_id") OR OLD."kind" IS DISTINCT FROM (NEW."kind") OR OLD."person_id" IS DISTINCT FROM (NEW."person_id"))', func='INSERT INTO "jobs_bookingevent" ("canceled_at", "created_at", "during", "id", "job_id", "kind", "person_id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id") VALUES (NEW."canceled_at", NEW."created_at", NEW."during", NEW."id", NEW."job_id", NEW."kind", NEW."person_id", _pgh_attach_context(), NOW(), \'update\', NEW."id"); RETURN NULL;', hash='2b9937af0f24a167c0ccd25ace2898a9c6ecc32b', operation='UPDATE', pgid='pgtrigger_update_update_a62f7', table='jobs_booking', when='AFTER')),
        ),
        base.migrations.AddTrigger(
            model_name='jobevent',
            trigger=pgtrigger.compiler.Trigger(name='append_only', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;", hash='67019ae1f72962be241366f43cf545c44dd6801b', operation='UPDATE OR DELETE', pgid='pgtrigger_append_only_5eb02', table='jobs_jobevent', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='photo',
            trigger=pgtrigger.compiler.Trigger(name='evidence_stays', sql=pgtrigger.compiler.UpsertTriggerSql(func='RAISE EXCEPTION \'pgtrigger: Cannot update of "job_id", "file", "sha256", "upload_sha256", "width", "height", "by_id", "happened_at", "to_sort" rows from % table\', TG_TABLE_NAME;', hash='ae223a29c43ee3804856084e263ce1d08f9fd773', operation='UPDATE OF "job_id", "file", "sha256", "upload_sha256", "width", "height", "by_id", "happened_at", "to_sort"', pgid='pgtrigger_evidence_stays_d3da1', table='jobs_photo', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='photo',
            trigger=pgtrigger.compiler.Trigger(name='insert_insert', sql=pgtrigger.compiler.UpsertTriggerSql(func='INSERT INTO "jobs_photoevent" ("by_id", "created_at", "file", "happened_at", "height", "id", "job_id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "sha256", "thumb", "to_sort", "upload_sha256", "width") VALUES (NEW."by_id", NEW."created_at", NEW."file", NEW."happened_at", NEW."height", NEW."id", NEW."job_id", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."sha256", NEW."thumb", NEW."to_sort", NEW."upload_sha256", NEW."width"); RETURN NULL;', hash='c9a929462b323b70450f6985205fb81df375e5e0', operation='INSERT', pgid='pgtrigger_insert_insert_168f2', table='jobs_photo', when='AFTER')),
        ),
        base.migrations.AddTrigger(
            model_name='photo',
            trigger=pgtrigger.compiler.Trigger(name='update_update', sql=pgtrigger.compiler.UpsertTriggerSql(condition='WHEN (OLD."by_id" IS DISTINCT FROM (NEW."by_id") OR OLD."created_at" IS DISTINCT FROM (NEW."created_at") OR OLD."file" IS DISTINCT FROM (NEW."file") OR OLD."happened_at" IS DISTINCT FROM (NEW."happened_at") OR OLD."height" IS DISTINCT FROM (NEW."height") OR OLD."id" IS DISTINCT FROM (NEW."id") OR OLD."job_id" IS DISTINCT FROM (NEW."job_id") OR OLD."sha256" IS DISTINCT FROM (NEW."sha256") OR OLD."thumb" IS DISTINCT FROM (NEW."thumb") OR OLD."to_sort" IS DISTINCT FROM (NEW."to_sort") OR OLD."upload_sha256" IS DISTINCT FROM (NEW."upload_sha256") OR OLD."width" IS DISTINCT FROM (NEW."width"))', func='INSERT INTO "jobs_photoevent" ("by_id", "created_at", "file", "happened_at", "height", "id", "job_id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "sha256", "thumb", "to_sort", "upload_sha256", "width") VALUES (NEW."by_id", NEW."created_at", NEW."file", NEW."happened_at", NEW."height", NEW."id", NEW."job_id", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."sha256", NEW."thumb", NEW."to_sort", NEW."upload_sha256", NEW."width"); RETURN NULL;', hash='4a8511312bac16353b2129a0a4bd576eae824fce', operation='UPDATE', pgid='pgtrigger_update_update_43bea', table='jobs_photo', when='AFTER')),
        ),
        base.migrations.AddTrigger(
            model_name='photoevent',
            trigger=pgtrigger.compiler.Trigger(name='append_only', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;", hash='6650105609aa54843331b3f9eecbd0d15279b825', operation='UPDATE OR DELETE', pgid='pgtrigger_append_only_9aa28', table='jobs_photoevent', when='BEFORE')),
        ),
    ]
