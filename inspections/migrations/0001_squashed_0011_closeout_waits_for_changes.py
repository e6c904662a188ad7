# All that stands in `replaces`, as a new shop's database needs it: in one go, with fields and constraints in their tables.

import base.keys
import base.migrations
import base.models
import django.db.models.deletion
import django.db.models.functions.datetime
import pgtrigger.compiler
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    replaces = [
        ('inspections', '0001_initial'),
        ('inspections', '0002_limits'),
        ('inspections', '0003_phones'),
        ('inspections', '0004_voids'),
        ('inspections', '0005_ohms_and_outside_inspections'),
        ('inspections', '0006_amendments'),
        ('inspections', '0007_checklists'),
        ('inspections', '0008_read_as_a_survey'),
        ('inspections', '0009_proved_wall_by_wall'),
        ('inspections', '0010_photos_sorted'),
        ('inspections', '0011_closeout_waits_for_changes'),
    ]

    dependencies = [
        ('documents', '0001_initial'),
        ('jobs', '0003_photos_to_sort'),
        ('pghistory', '0007_auto_20250421_0444'),
        ('rooms', '0011_phone_saves'),
        ('shop', '0006_mails_with_files'),
    ]

    operations = [
        migrations.CreateModel(
            name='ChecklistVersion',
            fields=[
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('phase', models.SlugField(max_length=30)),
                ('number', models.PositiveIntegerField()),
                ('content', models.JSONField()),
                ('reason', models.CharField(max_length=300, verbose_name='why')),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ('phase', '-number'),
                'constraints': [models.UniqueConstraint(fields=('phase', 'number'), name='inspections_checklist_numbered_once'), models.CheckConstraint(condition=models.Q(('number__gte', 1)), name='inspections_checklist_numbered_from_one'), models.CheckConstraint(condition=models.Q(('reason', ''), _negated=True), name='inspections_checklist_says_why')],
            },
        ),
        migrations.CreateModel(
            name='Phase',
            fields=[
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('room', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='phases', to='rooms.room')),
                ('key', models.SlugField(max_length=30)),
                ('name', models.CharField(max_length=80)),
                ('position', models.PositiveSmallIntegerField()),
                ('specification', models.JSONField()),
                ('checklist', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='inspections.checklistversion')),
            ],
            options={
                'ordering': ('room', 'position'),
                'constraints': [models.UniqueConstraint(fields=('room', 'key'), name='inspections_phase_once_in_a_room'), models.UniqueConstraint(fields=('room', 'position'), name='inspections_phase_position_once')],
            },
        ),
        migrations.CreateModel(
            name='Check',
            fields=[
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('phase', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='checks', to='inspections.phase')),
                ('key', models.SlugField(max_length=60)),
                ('position', models.PositiveSmallIntegerField()),
                ('text', models.CharField(max_length=300)),
                ('help', models.CharField(blank=True, max_length=300)),
                ('kind', models.CharField(choices=[('tick', 'tick'), ('reading', 'reading'), ('readings', 'several readings'), ('coverage', 'coverage'), ('wait', 'wait'), ('photo', 'photo'), ('ohms', 'ohms of a heating cable'), ('inspection', 'outside inspection')], max_length=10)),
                ('unit', models.CharField(blank=True, max_length=12)),
                ('limit', models.JSONField(null=True)),
                ('surfaces', models.JSONField(default=list)),
                ('required', models.BooleanField(default=True)),
                ('source', models.CharField(max_length=300)),
                ('confidence', models.CharField(max_length=20)),
            ],
            options={
                'ordering': ('position', 'id'),
                'constraints': [models.UniqueConstraint(fields=('phase', 'key'), name='inspections_check_once_in_a_phase'), models.CheckConstraint(condition=models.Q(('kind__in', ['tick', 'reading', 'readings', 'coverage', 'wait', 'photo', 'ohms', 'inspection'])), name='inspections_check_kind_known')],
            },
        ),
        migrations.CreateModel(
            name='Closeout',
            fields=[
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('job', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='closeout', to='jobs.job')),
                ('walked_with', models.CharField(max_length=160, verbose_name='walked through with')),
                ('note', models.TextField(blank=True, verbose_name='note')),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
        ),
        migrations.CreateModel(
            name='Entry',
            fields=[
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('check_done', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='entries', to='inspections.check', verbose_name='check')),
                ('outcome', models.CharField(choices=[('holds', 'holds'), ('fails', 'fails'), ('waiting', 'waiting'), ('skipped', "couldn't check")], max_length=10)),
                ('surfaces', models.JSONField(default=list)),
                ('values', models.JSONField(default=list)),
                ('told', models.JSONField(blank=True, default=dict)),
                ('voids', models.JSONField(blank=True, default=list)),
                ('limit', models.JSONField(null=True)),
                ('limit_source', models.CharField(blank=True, max_length=400)),
                ('due_at', models.DateTimeField(null=True)),
                ('photo', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='entries', to='jobs.photo')),
                ('survey', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='entries', to='rooms.survey')),
                ('note', models.CharField(blank=True, max_length=300, verbose_name='note')),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='entries', to=settings.AUTH_USER_MODEL)),
                ('helper', models.CharField(blank=True, max_length=120, verbose_name='done by, if somebody without an account')),
                ('happened_at', models.DateTimeField(verbose_name='done at')),
                ('seen', models.CharField(blank=True, max_length=36)),
                ('late', models.BooleanField(default=False, verbose_name='arrived after sign-off')),
                ('payload_sha256', models.CharField(max_length=64)),
            ],
            options={
                'ordering': ('happened_at', 'id'),
                'indexes': [models.Index(fields=['check_done', '-happened_at'], name='inspections_entry_newest')],
                'constraints': [models.CheckConstraint(condition=models.Q(('outcome__in', ['holds', 'fails', 'waiting', 'skipped'])), name='inspections_entry_outcome_known'), models.CheckConstraint(condition=models.Q(models.Q(('outcome', 'waiting'), _negated=True), ('due_at__isnull', False), _connector='OR'), name='inspections_entry_wait_has_an_end'), models.CheckConstraint(condition=models.Q(models.Q(('outcome', 'skipped'), _negated=True), models.Q(('note', ''), _negated=True), _connector='OR'), name='inspections_entry_skipped_says_why')],
            },
        ),
        migrations.CreateModel(
            name='PunchItem',
            fields=[
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='punch_items', to='jobs.job')),
                ('room', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='punch_items', to='rooms.room')),
                ('text', models.CharField(max_length=300, verbose_name='what is to do')),
                ('place', models.CharField(blank=True, max_length=120, verbose_name='where')),
                ('surface_key', models.SlugField(blank=True, max_length=40)),
                ('x', base.models.LengthField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ('y', base.models.LengthField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ('photo', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='punch_items', to='jobs.photo')),
                ('opened_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('done_at', models.DateTimeField(blank=True, null=True)),
                ('done_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ('created_at', 'id'),
                'constraints': [models.CheckConstraint(condition=models.Q(('text', ''), _negated=True), name='inspections_punch_item_has_a_text'), models.CheckConstraint(condition=models.Q(models.Q(('done_at', None), ('done_by', None)), models.Q(('done_at__isnull', False), ('done_by__isnull', False)), _connector='OR'), name='inspections_punch_item_done_by_somebody')],
            },
        ),
        migrations.CreateModel(
            name='PunchItemEvent',
            fields=[
                ('pgh_id', models.AutoField(primary_key=True, serialize=False)),
                ('pgh_created_at', models.DateTimeField(auto_now_add=True)),
                ('pgh_label', models.TextField(help_text='The event label.')),
                ('pgh_obj', models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='events', to='inspections.punchitem')),
                ('pgh_context', models.ForeignKey(db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='pghistory.context')),
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('job', models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', related_query_name='+', to='jobs.job')),
                ('room', models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', related_query_name='+', to='rooms.room')),
                ('surface_key', models.SlugField(blank=True, db_index=False, max_length=40)),
                ('x', base.models.LengthField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ('y', base.models.LengthField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ('photo', models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', related_query_name='+', to='jobs.photo')),
                ('opened_by', models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', related_query_name='+', to=settings.AUTH_USER_MODEL)),
                ('done_at', models.DateTimeField(blank=True, null=True)),
                ('done_by', models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', related_query_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='PunchListPrint',
            fields=[
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('job', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='punch_list_prints', to='jobs.job')),
                ('document', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='documents.document')),
            ],
            options={
                'ordering': ('-created_at',),
            },
        ),
        migrations.CreateModel(
            name='SignOff',
            fields=[
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('phase', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='sign_off', to='inspections.phase')),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('happened_at', models.DateTimeField(verbose_name='signed at')),
            ],
        ),
        migrations.CreateModel(
            name='Amendment',
            fields=[
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('sign_off', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='amendments', to='inspections.signoff')),
                ('entry', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='amendments', to='inspections.entry')),
                ('text', models.CharField(max_length=500, verbose_name='what is corrected, and why')),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('happened_at', models.DateTimeField(verbose_name='amended at')),
            ],
            options={
                'ordering': ('happened_at', 'id'),
                'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('entry', None), ('sign_off__isnull', False)), models.Q(('entry__isnull', False), ('sign_off', None)), _connector='OR'), name='inspections_amendment_of_one_row'), models.CheckConstraint(condition=models.Q(('text__regex', '\\S')), name='inspections_amendment_says_something')],
            },
        ),
        migrations.CreateModel(
            name='Sorting',
            fields=[
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('photo', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='sortings', to='jobs.photo')),
                ('room', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='rooms.room')),
                ('check_shown', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='sortings', to='inspections.check')),
                ('surface', models.CharField(blank=True, max_length=200)),
                ('surface_name', models.CharField(blank=True, max_length=200)),
                ('x', base.models.LengthField(decimal_places=6, max_digits=14, null=True)),
                ('y', base.models.LengthField(decimal_places=6, max_digits=14, null=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('happened_at', models.DateTimeField(verbose_name='sorted at')),
                ('late', models.BooleanField(default=False, verbose_name='sorted after sign-off')),
            ],
            options={
                'ordering': ('happened_at', 'id'),
                'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('x', None), ('y', None)), models.Q(('x__isnull', False), ('y__isnull', False), models.Q(('surface', ''), _negated=True)), _connector='OR'), name='inspections_sorting_place_on_a_surface')],
            },
        ),
        migrations.CreateModel(
            name='Waiver',
            fields=[
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('check_waived', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='waiver', to='inspections.check')),
                ('reason', models.CharField(max_length=300, verbose_name='reason')),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('reason', ''), _negated=True), name='inspections_waiver_has_a_reason')],
            },
        ),
        base.migrations.AddTrigger(
            model_name='checklistversion',
            trigger=pgtrigger.compiler.Trigger(name='append_only', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;", hash='1a8faf13a1fc504624b889d242ed5591d2ce41e5', operation='UPDATE OR DELETE', pgid='pgtrigger_append_only_9d741', table='inspections_checklistversion', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='checklistversion',
            trigger=pgtrigger.compiler.Trigger(name='never_emptied', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot truncate rows from % table', TG_TABLE_NAME;", hash='f3befee34c703950524d166c2bd5143ef48e3431', level='STATEMENT', operation='TRUNCATE', pgid='pgtrigger_never_emptied_c9c06', table='inspections_checklistversion', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='closeout',
            trigger=pgtrigger.compiler.Trigger(name='append_only', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;", hash='619069ca5716372ea2e543ad4fb0d0464d9d1258', operation='UPDATE OR DELETE', pgid='pgtrigger_append_only_acf39', table='inspections_closeout', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='closeout',
            trigger=pgtrigger.compiler.Trigger(name='never_emptied', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot truncate rows from % table', TG_TABLE_NAME;", hash='7a2f326691e1b905a66488a10b57f4380d30c141', level='STATEMENT', operation='TRUNCATE', pgid='pgtrigger_never_emptied_fcc08', table='inspections_closeout', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='closeout',
            trigger=pgtrigger.compiler.Trigger(name='only_when_done', sql=pgtrigger.compiler.UpsertTriggerSql(declare='DECLARE held text;', func="PERFORM 1 FROM jobs_job j WHERE j.id = NEW.job_id FOR UPDATE;\n        SELECT found.* INTO held FROM (SELECT j.stage FROM jobs_job j WHERE j.id = NEW.job_id AND j.stage <> 'punch_list') found;\n        IF FOUND THEN\n            RAISE EXCEPTION 'a job is closed out from its punch list, not from: %', held USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_closeout_from_punch_list';\n        END IF;\n    PERFORM 1 FROM inspections_phase p WHERE p.room_id IN (SELECT r.id FROM rooms_room r WHERE r.job_id = NEW.job_id) ORDER BY p.id FOR UPDATE OF p;\n        SELECT found.* INTO held FROM (\n        SELECT p.name FROM inspections_phase p\n        WHERE p.room_id IN (SELECT r.id FROM rooms_room r WHERE r.job_id = NEW.job_id) AND NOT EXISTS (SELECT 1 FROM inspections_signoff s WHERE s.phase_id = p.id)\n        ORDER BY p.position LIMIT 1\n    ) found;\n        IF FOUND THEN\n            RAISE EXCEPTION 'a phase is not signed: %', held USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_closeout_phases_signed';\n        END IF;\n    \n        SELECT found.* INTO held FROM (\n        SELECT c.text\n        FROM inspections_check c\n        JOIN inspections_phase p ON p.id = c.phase_id\n        CROSS JOIN LATERAL (\n            SELECT surface -> 'key' AS key FROM jsonb_array_elements(c.surfaces) surface\n            UNION ALL SELECT NULL WHERE c.surfaces = '[]'\n        ) place\n        LEFT JOIN LATERAL (\n            SELECT e.outcome, e.due_at FROM inspections_entry e\n            WHERE e.check_done_id = c.id AND (e.surfaces = '[]' OR e.surfaces @> place.key)\n            ORDER BY e.happened_at DESC, e.id DESC LIMIT 1\n        ) newest ON true\n        WHERE p.room_id IN (SELECT r.id FROM rooms_room r WHERE r.job_id = NEW.job_id)\n          AND (c.required OR newest.outcome IN ('fails', 'waiting'))\n          AND NOT COALESCE(\n                newest.outcome = 'holds' OR (newest.outcome = 'waiting' AND newest.due_at <= now()), false)\n          AND NOT EXISTS (SELECT 1 FROM inspections_waiver w WHERE w.check_waived_id = c.id)\n        ORDER BY p.position, c.position LIMIT 1\n    ) found;\n        IF FOUND THEN\n            RAISE EXCEPTION 'entered after the sign-off, and it holds: %', held USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_closeout_phases_proved';\n        END IF;\n    \n        SELECT found.* INTO held FROM (SELECT i.text FROM inspections_punchitem i WHERE i.job_id = NEW.job_id AND i.done_at IS NULL LIMIT 1) found;\n        IF FOUND THEN\n            RAISE EXCEPTION 'a punch item is open: %', held USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_closeout_punch_list_done';\n        END IF;\n    \n        SELECT found.* INTO held FROM (\n    SELECT o.number || ', ' || o.what FROM estimating_changeorder o\n    WHERE o.job_id = NEW.job_id AND o.dropped_reason = ''\n      AND NOT EXISTS (SELECT 1 FROM estimating_changeapproval a WHERE a.change_id = o.id)\n      AND (NOT EXISTS (SELECT 1 FROM estimating_changeoffer f WHERE f.change_id = o.id)\n           OR EXISTS (SELECT 1 FROM estimating_changeoffer f WHERE f.change_id = o.id\n                      AND NOT EXISTS (SELECT 1 FROM estimating_changeend e WHERE e.offer_id = f.id)))\n    ORDER BY o.number LIMIT 1\n) found;\n        IF FOUND THEN\n            RAISE EXCEPTION 'a change order is open: %', held USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_closeout_changes_answered';\n        END IF;\n    RETURN NEW;", hash='dc933cd3e6ad30bdd6d1f5cdfdf3460c4ffe5139', operation='INSERT', pgid='pgtrigger_only_when_done_b88aa', table='inspections_closeout', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='entry',
            trigger=pgtrigger.compiler.Trigger(name='append_only', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;", hash='bd25dfb0ad976ca69b57c15dfd0427b0238ad4fd', operation='UPDATE OR DELETE', pgid='pgtrigger_append_only_0c9f7', table='inspections_entry', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='entry',
            trigger=pgtrigger.compiler.Trigger(name='never_emptied', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot truncate rows from % table', TG_TABLE_NAME;", hash='be0a985ec9ea963374b5a36604c941466ccbf8d2', level='STATEMENT', operation='TRUNCATE', pgid='pgtrigger_never_emptied_e3a05', table='inspections_entry', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='entry',
            trigger=pgtrigger.compiler.Trigger(name='knows_whether_it_is_late', sql=pgtrigger.compiler.UpsertTriggerSql(func='\n        PERFORM 1 FROM inspections_phase p JOIN inspections_check c ON c.phase_id = p.id\n            WHERE c.id = NEW.check_done_id FOR SHARE OF p;\n        NEW.late := EXISTS (\n            SELECT 1 FROM inspections_signoff s JOIN inspections_check c ON c.phase_id = s.phase_id\n            WHERE c.id = NEW.check_done_id);\n        RETURN NEW;\n    ', hash='b8ad16d242b6bdb17a4bace02a85c058af62bc63', operation='INSERT', pgid='pgtrigger_knows_whether_it_is_late_c21e0', table='inspections_entry', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='entry',
            trigger=pgtrigger.compiler.Trigger(name='names_surfaces_of_its_check', sql=pgtrigger.compiler.UpsertTriggerSql(func="\n        IF jsonb_typeof(NEW.surfaces) <> 'array' OR NOT NEW.surfaces <@ (\n            SELECT COALESCE(jsonb_agg(surface -> 'key'), '[]')\n            FROM inspections_check c, jsonb_array_elements(c.surfaces) surface\n            WHERE c.id = NEW.check_done_id\n        ) THEN\n            RAISE EXCEPTION 'the check is not about this surface: %', NEW.surfaces\n                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_entry_names_surfaces_of_its_check';\n        END IF;\n        RETURN NEW;\n    ", hash='e456d6b9334286dba4c1afb6248429c0f549310d', operation='INSERT', pgid='pgtrigger_names_surfaces_of_its_check_669d6', table='inspections_entry', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='phase',
            trigger=pgtrigger.compiler.Trigger(name='append_only', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;", hash='43dab92a5e34103fe603df9d97852a8a735535ac', operation='UPDATE OR DELETE', pgid='pgtrigger_append_only_0f243', table='inspections_phase', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='phase',
            trigger=pgtrigger.compiler.Trigger(name='never_emptied', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot truncate rows from % table', TG_TABLE_NAME;", hash='2da8ade95c8d330086c9f79a54ba1360b9579e53', level='STATEMENT', operation='TRUNCATE', pgid='pgtrigger_never_emptied_75a7c', table='inspections_phase', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='check',
            trigger=pgtrigger.compiler.Trigger(name='append_only', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;", hash='12e0a3230d29f0b4d84b134a14f0b517d2b76ff6', operation='UPDATE OR DELETE', pgid='pgtrigger_append_only_4fb58', table='inspections_check', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='check',
            trigger=pgtrigger.compiler.Trigger(name='never_emptied', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot truncate rows from % table', TG_TABLE_NAME;", hash='60b2c7fd233fd1dd5997d8a99ce3eef72ffb9f5b', level='STATEMENT', operation='TRUNCATE', pgid='pgtrigger_never_emptied_ca9d4', table='inspections_check', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='punchitem',
            trigger=pgtrigger.compiler.Trigger(name='ends_with_the_closeout', sql=pgtrigger.compiler.UpsertTriggerSql(func="\n        PERFORM 1 FROM jobs_job WHERE id = NEW.job_id FOR SHARE;\n        IF EXISTS (SELECT 1 FROM inspections_closeout c WHERE c.job_id = NEW.job_id) THEN\n            RAISE EXCEPTION 'the job is closed out: what comes now is a callback'\n                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_punch_item_before_closeout';\n        END IF;\n        RETURN NEW;\n    ", hash='e226ada193810cf137e32b39a7a02a34399b5c94', operation='INSERT OR UPDATE', pgid='pgtrigger_ends_with_the_closeout_47acc', table='inspections_punchitem', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='punchitem',
            trigger=pgtrigger.compiler.Trigger(name='item_stays', sql=pgtrigger.compiler.UpsertTriggerSql(func='RAISE EXCEPTION \'pgtrigger: Cannot update of "id", "job_id", "room_id", "text", "place", "photo_id", "opened_by_id", "created_at" or delete rows from % table\', TG_TABLE_NAME;', hash='bda829b76739de0c05db6bc3ec821b5743943277', operation='UPDATE OF "id", "job_id", "room_id", "text", "place", "photo_id", "opened_by_id", "created_at" OR DELETE', pgid='pgtrigger_item_stays_8981e', table='inspections_punchitem', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='punchitem',
            trigger=pgtrigger.compiler.Trigger(name='insert_insert', sql=pgtrigger.compiler.UpsertTriggerSql(func='INSERT INTO "inspections_punchitemevent" ("created_at", "done_at", "done_by_id", "id", "job_id", "opened_by_id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "photo_id", "room_id", "surface_key", "x", "y") VALUES (NEW."created_at", NEW."done_at", NEW."done_by_id", NEW."id", NEW."job_id", NEW."opened_by_id", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."photo_id", NEW."room_id", NEW."surface_key", NEW."x", NEW."y"); RETURN NULL;', hash='b06f7930fb38587514d0f376efa71651a72ba9b6', operation='INSERT', pgid='pgtrigger_insert_insert_7ca1c', table='inspections_punchitem', when='AFTER')),
        ),
        base.migrations.AddTrigger(
            model_name='punchitem',
            trigger=pgtrigger.compiler.Trigger(name='update_update', sql=pgtrigger.compiler.UpsertTriggerSql(condition='WHEN (OLD."created_at" IS DISTINCT FROM (NEW."created_at") OR OLD."done_at" IS DISTINCT FROM (NEW."done_at") OR OLD."done_by_id" IS DISTINCT FROM (NEW."done_by_id") OR OLD."id" IS DISTINCT FROM (NEW."id") OR OLD."job_id" IS DISTINCT FROM (NEW."job_id") OR OLD."opened_by_id" IS DISTINCT FROM (NEW."opened_by_id") OR OLD."photo_id" IS DISTINCT FROM (NEW."photo_id") OR OLD."room_id" IS DISTINCT FROM (NEW."room_id") OR OLD."surface_key" IS DISTINCT FROM (NEW."surface_key") OR OLD."x" IS DISTINCT FROM (NEW."x") OR OLD."y" IS DISTINCT FROM (NEW."y"))', func='INSERT INTO "inspections_punchitemevent" ("created_at", "done_at", "done_by_id", "id", "job_id", "opened_by_id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "photo_id", "room_id", "surface_key", "x", "y") VALUES (NEW."created_at", NEW."done_at", NEW."done_by_id", NEW."id", NEW."job_id", NEW."opened_by_id", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."photo_id", NEW."room_id", NEW."surface_key", NEW."x", NEW."y"); RETURN NULL;', hash='bba33d330c4917543dfdd4b12f1f2a4554abfad5', operation='UPDATE', pgid='pgtrigger_update_update_13880', table='inspections_punchitem', when='AFTER')),
        ),
        base.migrations.AddTrigger(
            model_name='punchitemevent',
            trigger=pgtrigger.compiler.Trigger(name='append_only', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;", hash='39aa7d2d9f990529ff0441ded5cf549970f38240', operation='UPDATE OR DELETE', pgid='pgtrigger_append_only_f78d0', table='inspections_punchitemevent', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='signoff',
            trigger=pgtrigger.compiler.Trigger(name='append_only', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;", hash='93550a5bcf34e4ed0c615e33d7aa0b089acc979e', operation='UPDATE OR DELETE', pgid='pgtrigger_append_only_e36db', table='inspections_signoff', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='signoff',
            trigger=pgtrigger.compiler.Trigger(name='never_emptied', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot truncate rows from % table', TG_TABLE_NAME;", hash='065467d9a779ba3387fbd9858cb3d15007326858', level='STATEMENT', operation='TRUNCATE', pgid='pgtrigger_never_emptied_305ac', table='inspections_signoff', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='signoff',
            trigger=pgtrigger.compiler.Trigger(name='only_when_proved', sql=pgtrigger.compiler.UpsertTriggerSql(declare='DECLARE held text;', func="PERFORM 1 FROM inspections_phase p WHERE \n    EXISTS (SELECT 1 FROM inspections_phase mine\n            WHERE mine.id = NEW.phase_id AND p.room_id = mine.room_id AND p.position <= mine.position)\n ORDER BY p.id FOR UPDATE OF p;\n        SELECT found.* INTO held FROM (\n        SELECT p.name FROM inspections_phase p\n        WHERE p.id <> NEW.phase_id AND \n    EXISTS (SELECT 1 FROM inspections_phase mine\n            WHERE mine.id = NEW.phase_id AND p.room_id = mine.room_id AND p.position <= mine.position)\n AND NOT EXISTS (SELECT 1 FROM inspections_signoff s WHERE s.phase_id = p.id)\n        ORDER BY p.position LIMIT 1\n    ) found;\n        IF FOUND THEN\n            RAISE EXCEPTION 'the phase before it is not signed: %', held USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_sign_off_in_turn';\n        END IF;\n    \n        SELECT found.* INTO held FROM (\n        SELECT c.text\n        FROM inspections_check c\n        JOIN inspections_phase p ON p.id = c.phase_id\n        CROSS JOIN LATERAL (\n            SELECT surface -> 'key' AS key FROM jsonb_array_elements(c.surfaces) surface\n            UNION ALL SELECT NULL WHERE c.surfaces = '[]'\n        ) place\n        LEFT JOIN LATERAL (\n            SELECT e.outcome, e.due_at FROM inspections_entry e\n            WHERE e.check_done_id = c.id AND (e.surfaces = '[]' OR e.surfaces @> place.key)\n            ORDER BY e.happened_at DESC, e.id DESC LIMIT 1\n        ) newest ON true\n        WHERE \n    EXISTS (SELECT 1 FROM inspections_phase mine\n            WHERE mine.id = NEW.phase_id AND p.room_id = mine.room_id AND p.position <= mine.position)\n\n          AND (c.required OR newest.outcome IN ('fails', 'waiting'))\n          AND NOT COALESCE(\n                newest.outcome = 'holds' OR (newest.outcome = 'waiting' AND newest.due_at <= now()), false)\n          AND NOT EXISTS (SELECT 1 FROM inspections_waiver w WHERE w.check_waived_id = c.id)\n        ORDER BY p.position, c.position LIMIT 1\n    ) found;\n        IF FOUND THEN\n            RAISE EXCEPTION 'held by: %', held USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_sign_off_proved';\n        END IF;\n    RETURN NEW;", hash='052117193b5e009a55f880ba294ec4c2c6f21930', operation='INSERT', pgid='pgtrigger_only_when_proved_33eff', table='inspections_signoff', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='amendment',
            trigger=pgtrigger.compiler.Trigger(name='append_only', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;", hash='eb02ebeea15f5eed3829f0f4b3e35c2ed5b6bf7e', operation='UPDATE OR DELETE', pgid='pgtrigger_append_only_66004', table='inspections_amendment', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='amendment',
            trigger=pgtrigger.compiler.Trigger(name='never_emptied', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot truncate rows from % table', TG_TABLE_NAME;", hash='b69be2896eaab5035b84a9e3062c297047a8e476', level='STATEMENT', operation='TRUNCATE', pgid='pgtrigger_never_emptied_07d89', table='inspections_amendment', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='amendment',
            trigger=pgtrigger.compiler.Trigger(name='of_what_is_signed', sql=pgtrigger.compiler.UpsertTriggerSql(func="\n        IF NEW.entry_id IS NOT NULL AND NOT EXISTS (\n            SELECT 1 FROM inspections_entry e\n            JOIN inspections_check c ON c.id = e.check_done_id\n            JOIN inspections_signoff s ON s.phase_id = c.phase_id\n            WHERE e.id = NEW.entry_id\n        ) THEN\n            RAISE EXCEPTION 'correct it on the card instead: nothing is signed yet'\n                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_amendment_of_what_is_signed';\n        END IF;\n        RETURN NEW;\n    ", hash='dbc62e89d553b79a65b84e72d29a6e9a02d52bf5', operation='INSERT', pgid='pgtrigger_of_what_is_signed_bfbfc', table='inspections_amendment', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='sorting',
            trigger=pgtrigger.compiler.Trigger(name='append_only', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;", hash='26cb18f8edb788831141f8b4022dae437643b15e', operation='UPDATE OR DELETE', pgid='pgtrigger_append_only_ff19b', table='inspections_sorting', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='sorting',
            trigger=pgtrigger.compiler.Trigger(name='never_emptied', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot truncate rows from % table', TG_TABLE_NAME;", hash='93a1e1fb5db8ed10e27381b286454bf906d1b8ca', level='STATEMENT', operation='TRUNCATE', pgid='pgtrigger_never_emptied_af842', table='inspections_sorting', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='sorting',
            trigger=pgtrigger.compiler.Trigger(name='within_its_job', sql=pgtrigger.compiler.UpsertTriggerSql(func="\n        IF NEW.room_id IS NOT NULL AND NOT EXISTS (\n            SELECT 1 FROM jobs_photo p JOIN rooms_room r ON r.job_id = p.job_id\n            WHERE p.id = NEW.photo_id AND r.id = NEW.room_id\n        ) THEN\n            RAISE EXCEPTION 'the room is of another job'\n                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_sorting_room_of_the_job';\n        END IF;\n        PERFORM 1 FROM inspections_phase p JOIN inspections_check c ON c.phase_id = p.id\n            WHERE c.id = NEW.check_shown_id AND p.room_id = NEW.room_id FOR SHARE OF p;\n        IF NEW.check_shown_id IS NOT NULL AND NOT FOUND THEN\n            RAISE EXCEPTION 'the check is of another room'\n                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_sorting_check_of_the_room';\n        END IF;\n        IF NEW.surface <> '' AND NOT EXISTS (\n            SELECT 1 FROM rooms_surface s WHERE s.room_id = NEW.room_id AND s.key = NEW.surface\n        ) THEN\n            RAISE EXCEPTION 'the room has no such surface'\n                USING ERRCODE = 'check_violation', CONSTRAINT = 'inspections_sorting_surface_of_the_room';\n        END IF;\n        NEW.late := EXISTS (\n            SELECT 1 FROM inspections_signoff s JOIN inspections_check c ON c.phase_id = s.phase_id\n            WHERE c.id = NEW.check_shown_id);\n        RETURN NEW;\n    ", hash='3f85a1a51efec6097a93ebebec011cc6a42ff9ef', operation='INSERT', pgid='pgtrigger_within_its_job_4bafa', table='inspections_sorting', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='waiver',
            trigger=pgtrigger.compiler.Trigger(name='append_only', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;", hash='7b5e42b8b1fac3a8a7a202e7ac508846207fa006', operation='UPDATE OR DELETE', pgid='pgtrigger_append_only_d63c1', table='inspections_waiver', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='waiver',
            trigger=pgtrigger.compiler.Trigger(name='never_emptied', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot truncate rows from % table', TG_TABLE_NAME;", hash='af35c184ae93a52a682bf4e693e64bebe017b2a8', level='STATEMENT', operation='TRUNCATE', pgid='pgtrigger_never_emptied_d2aff', table='inspections_waiver', when='BEFORE')),
        ),
    ]
