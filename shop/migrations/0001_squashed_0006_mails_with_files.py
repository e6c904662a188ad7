# All that stands in `replaces`, as a new shop's database needs it: in one go, with fields and constraints in their tables.

import base.keys
import base.migrations
import datetime
import django.contrib.postgres.fields
import django.core.validators
import django.db.models.deletion
import django.db.models.functions.datetime
import django.db.models.functions.text
import pgtrigger.compiler
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    replaces = [
        ('shop', '0001_initial'),
        ('shop', '0002_limits'),
        ('shop', '0003_mail'),
        ('shop', '0004_language'),
        ('shop', '0005_place_of_photos'),
        ('shop', '0006_mails_with_files'),
    ]

    dependencies = [
        ('pghistory', '0007_auto_20250421_0444'),
    ]

    operations = [
        migrations.CreateModel(
            name='Staff',
            fields=[
                ('password', models.CharField(max_length=128, verbose_name='password')),
                ('last_login', models.DateTimeField(blank=True, null=True, verbose_name='last login')),
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('username', models.CharField(max_length=60, unique=True, verbose_name='log-in name')),
                ('name', models.CharField(max_length=120, verbose_name='name')),
                ('role', models.CharField(choices=[('owner', 'Owner'), ('office', 'Office'), ('installer', 'Installer')], max_length=20, verbose_name='role')),
                ('email', models.EmailField(blank=True, max_length=254, verbose_name='email')),
                ('phone', models.CharField(blank=True, max_length=40, verbose_name='phone')),
                ('language', models.CharField(blank=True, choices=[('en', 'English'), ('es', 'Español')], max_length=2, verbose_name='language')),
                ('is_active', models.BooleanField(default=True, verbose_name='may log in')),
            ],
            options={
                'ordering': ('name',),
                'constraints': [models.CheckConstraint(condition=models.Q(('username', django.db.models.functions.text.Lower('username'))), name='shop_staff_username_in_small_letters'), models.CheckConstraint(condition=models.Q(('role__in', ['owner', 'office', 'installer'])), name='shop_staff_role_known'), models.CheckConstraint(condition=models.Q(('name', ''), _negated=True), name='shop_staff_has_a_name'), models.CheckConstraint(condition=models.Q(('language__in', ['', 'en', 'es'])), name='shop_staff_language_known')],
            },
        ),
        migrations.CreateModel(
            name='LimitChange',
            fields=[
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('key', models.CharField(max_length=60)),
                ('number', models.PositiveIntegerField()),
                ('value', models.DecimalField(decimal_places=6, max_digits=14, null=True)),
                ('reason', models.CharField(max_length=300, verbose_name='why')),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ('key', '-number'),
                'constraints': [models.UniqueConstraint(fields=('key', 'number'), name='shop_limit_change_numbered_once'), models.CheckConstraint(condition=models.Q(('number__gte', 1)), name='shop_limit_change_numbered_from_one'), models.CheckConstraint(condition=models.Q(('value', None), ('value__gt', 0), _connector='OR'), name='shop_limit_change_more_than_nothing'), models.CheckConstraint(condition=models.Q(('reason', ''), _negated=True), name='shop_limit_change_says_why')],
            },
        ),
        migrations.CreateModel(
            name='Mail',
            fields=[
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('key', models.CharField(max_length=120, unique=True)),
                ('to', models.EmailField(max_length=254, verbose_name='to')),
                ('subject', models.CharField(max_length=300, verbose_name='subject')),
                ('text', models.TextField(verbose_name='text')),
                ('link_key', models.UUIDField(null=True)),
                ('attachment', models.CharField(blank=True, max_length=200)),
                ('attachment_name', models.CharField(blank=True, max_length=200)),
                ('attachment_sha256', models.CharField(blank=True, max_length=64)),
                ('sent_at', models.DateTimeField(null=True, verbose_name='sent at')),
                ('attempts', models.PositiveSmallIntegerField(default=0)),
                ('next_try_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ('give_up_at', models.DateTimeField()),
                ('error', models.TextField(blank=True)),
            ],
            options={
                'ordering': ('-created_at', '-id'),
                'indexes': [models.Index(condition=models.Q(('sent_at', None)), fields=['next_try_at'], name='shop_mail_unsent'), models.Index(fields=['-created_at', '-id'], name='shop_mail_newest')],
            },
        ),
        migrations.CreateModel(
            name='ShopSettings',
            fields=[
                ('id', models.PositiveSmallIntegerField(default=1, editable=False, primary_key=True, serialize=False)),
                ('name', models.CharField(default='', max_length=120, verbose_name='name of the shop')),
                ('logo', models.FileField(blank=True, upload_to='logo/', verbose_name='logo')),
                ('phone', models.CharField(blank=True, max_length=40, verbose_name='phone')),
                ('email', models.EmailField(blank=True, max_length=254, verbose_name='email')),
                ('address', models.TextField(blank=True, verbose_name='address')),
                ('license_line', models.CharField(blank=True, max_length=120, verbose_name='license or registration, as it should print')),
                ('units', models.CharField(choices=[('in', 'feet and inches'), ('mm', 'millimeters')], default='in', max_length=2, verbose_name='units')),
                ('paper', models.CharField(choices=[('letter', 'Letter'), ('a4', 'A4')], default='letter', max_length=10, verbose_name='paper')),
                ('currency', models.CharField(default='USD', max_length=3, verbose_name='currency')),
                ('time_zone', models.CharField(default='America/New_York', max_length=60, verbose_name='time zone')),
                ('locale', models.CharField(default='en-us', max_length=12, verbose_name='language and region')),
                ('tax_percent', models.DecimalField(decimal_places=3, default=0, max_digits=6, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(50)], verbose_name='sales tax on materials, percent')),
                ('markup_percent', models.DecimalField(decimal_places=2, default=35, max_digits=6, validators=[django.core.validators.MinValueValidator(0)], verbose_name='usual markup, percent')),
                ('proposal_days', models.PositiveSmallIntegerField(default=30, verbose_name='days a proposal holds')),
                ('remind_days', models.PositiveSmallIntegerField(default=0, verbose_name='days until a proposal is brought to mind')),
                ('warranty_months', models.PositiveSmallIntegerField(default=24, verbose_name='months of warranty on workmanship')),
                ('work_starts', models.TimeField(default=datetime.time(7, 30), verbose_name='work starts')),
                ('work_ends', models.TimeField(default=datetime.time(16, 0), verbose_name='work ends')),
                ('keep_photo_place', models.BooleanField(default=False, verbose_name='keep in each photo where it was taken')),
                ('work_days', django.contrib.postgres.fields.ArrayField(base_field=models.PositiveSmallIntegerField(), blank=True, default=list, size=None, verbose_name='working days (1 is Monday)')),
                ('demo', models.BooleanField(default=False, editable=False)),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('id', 1)), name='shop_settings_one_row'), models.CheckConstraint(condition=models.Q(('units__in', ['in', 'mm'])), name='shop_settings_units_known'), models.CheckConstraint(condition=models.Q(('paper__in', ['letter', 'a4'])), name='shop_settings_paper_known'), models.CheckConstraint(condition=models.Q(('work_starts__lt', models.F('work_ends'))), name='shop_settings_day_has_length'), models.CheckConstraint(condition=models.Q(('tax_percent__gte', 0)), name='shop_settings_tax_not_negative'), models.CheckConstraint(condition=models.Q(('markup_percent__gte', 0)), name='shop_settings_markup_not_negative')],
            },
        ),
        migrations.CreateModel(
            name='ShopSettingsEvent',
            fields=[
                ('pgh_id', models.AutoField(primary_key=True, serialize=False)),
                ('pgh_created_at', models.DateTimeField(auto_now_add=True)),
                ('pgh_label', models.TextField(help_text='The event label.')),
                ('pgh_obj', models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='events', to='shop.shopsettings')),
                ('pgh_context', models.ForeignKey(db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='pghistory.context')),
                ('id', models.PositiveSmallIntegerField(default=1, editable=False, serialize=False)),
                ('name', models.CharField(default='', max_length=120, verbose_name='name of the shop')),
                ('logo', models.FileField(blank=True, upload_to='logo/', verbose_name='logo')),
                ('license_line', models.CharField(blank=True, max_length=120, verbose_name='license or registration, as it should print')),
                ('units', models.CharField(choices=[('in', 'feet and inches'), ('mm', 'millimeters')], default='in', max_length=2, verbose_name='units')),
                ('paper', models.CharField(choices=[('letter', 'Letter'), ('a4', 'A4')], default='letter', max_length=10, verbose_name='paper')),
                ('currency', models.CharField(default='USD', max_length=3, verbose_name='currency')),
                ('time_zone', models.CharField(default='America/New_York', max_length=60, verbose_name='time zone')),
                ('locale', models.CharField(default='en-us', max_length=12, verbose_name='language and region')),
                ('tax_percent', models.DecimalField(decimal_places=3, default=0, max_digits=6, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(50)], verbose_name='sales tax on materials, percent')),
                ('markup_percent', models.DecimalField(decimal_places=2, default=35, max_digits=6, validators=[django.core.validators.MinValueValidator(0)], verbose_name='usual markup, percent')),
                ('proposal_days', models.PositiveSmallIntegerField(default=30, verbose_name='days a proposal holds')),
                ('remind_days', models.PositiveSmallIntegerField(default=0, verbose_name='days until a proposal is brought to mind')),
                ('warranty_months', models.PositiveSmallIntegerField(default=24, verbose_name='months of warranty on workmanship')),
                ('work_starts', models.TimeField(default=datetime.time(7, 30), verbose_name='work starts')),
                ('work_ends', models.TimeField(default=datetime.time(16, 0), verbose_name='work ends')),
                ('keep_photo_place', models.BooleanField(default=False, verbose_name='keep in each photo where it was taken')),
                ('work_days', django.contrib.postgres.fields.ArrayField(base_field=models.PositiveSmallIntegerField(), blank=True, default=list, size=None, verbose_name='working days (1 is Monday)')),
                ('demo', models.BooleanField(default=False, editable=False)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='StaffEvent',
            fields=[
                ('pgh_id', models.AutoField(primary_key=True, serialize=False)),
                ('pgh_created_at', models.DateTimeField(auto_now_add=True)),
                ('pgh_label', models.TextField(help_text='The event label.')),
                ('pgh_obj', models.ForeignKey(db_constraint=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='events', to=settings.AUTH_USER_MODEL)),
                ('pgh_context', models.ForeignKey(db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='pghistory.context')),
                ('id', models.UUIDField(default=base.keys.uuid7, editable=False, serialize=False)),
                ('created_at', models.DateTimeField(db_default=django.db.models.functions.datetime.Now(), editable=False)),
                ('role', models.CharField(choices=[('owner', 'Owner'), ('office', 'Office'), ('installer', 'Installer')], max_length=20, verbose_name='role')),
                ('is_active', models.BooleanField(default=True, verbose_name='may log in')),
            ],
            options={
                'abstract': False,
            },
        ),
        base.migrations.AddTrigger(
            model_name='staff',
            trigger=pgtrigger.compiler.Trigger(name='insert_insert', sql=pgtrigger.compiler.UpsertTriggerSql(func='INSERT INTO "shop_staffevent" ("created_at", "id", "is_active", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "role") VALUES (NEW."created_at", NEW."id", NEW."is_active", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."role"); RETURN NULL;', hash='75babae0ce77a243487dc8b43e9e696961fc7e9b', operation='INSERT', pgid='pgtrigger_insert_insert_0af00', table='shop_staff', when='AFTER')),
        ),
        base.migrations.AddTrigger(
            model_name='staff',
            trigger=pgtrigger.compiler.Trigger(name='update_update', sql=pgtrigger.compiler.UpsertTriggerSql(condition='WHEN (OLD."created_at" IS DISTINCT FROM (NEW."created_at") OR OLD."id" IS DISTINCT FROM (NEW."id") OR OLD."is_active" IS DISTINCT FROM (NEW."is_active") OR OLD."role" IS DISTINCT FROM (NEW."role"))', func='INSERT INTO "shop_staffevent" ("created_at", "id", "is_active", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "role") VALUES (NEW."created_at", NEW."id", NEW."is_active", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."role"); RETURN NULL;', hash='97f2608a946e422f1b0261e3596d45c526899f66', operation='UPDATE', pgid='pgtrigger_update_update_6a06b', table='shop_staff', when='AFTER')),
        ),
        base.migrations.AddTrigger(
            model_name='mail',
            trigger=pgtrigger.compiler.Trigger(name='sent_stays', sql=pgtrigger.compiler.UpsertTriggerSql(condition='WHEN (OLD."sent_at" IS NOT NULL)', func="RAISE EXCEPTION 'pgtrigger: Cannot update rows from % table', TG_TABLE_NAME;", hash='fbcda44b58f476069700771c113a473692442561', operation='UPDATE', pgid='pgtrigger_sent_stays_c8fd0', table='shop_mail', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='mail',
            trigger=pgtrigger.compiler.Trigger(name='content_stays', sql=pgtrigger.compiler.UpsertTriggerSql(func='RAISE EXCEPTION \'pgtrigger: Cannot update of "key", "to", "subject", "text", "link_key", "attachment", "attachment_name", "attachment_sha256" rows from % table\', TG_TABLE_NAME;', hash='931a8196c18e982eb8a94605f3317f03376c22ef', operation='UPDATE OF "key", "to", "subject", "text", "link_key", "attachment", "attachment_name", "attachment_sha256"', pgid='pgtrigger_content_stays_a3927', table='shop_mail', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='mail',
            trigger=pgtrigger.compiler.Trigger(name='never_deleted', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot delete rows from % table', TG_TABLE_NAME;", hash='4bac759e203bff96035efd04e8620e2d9107fe4e', operation='DELETE', pgid='pgtrigger_never_deleted_a1d9f', table='shop_mail', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='shopsettings',
            trigger=pgtrigger.compiler.Trigger(name='insert_insert', sql=pgtrigger.compiler.UpsertTriggerSql(func='INSERT INTO "shop_shopsettingsevent" ("currency", "demo", "id", "keep_photo_place", "license_line", "locale", "logo", "markup_percent", "name", "paper", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "proposal_days", "remind_days", "tax_percent", "time_zone", "units", "warranty_months", "work_days", "work_ends", "work_starts") VALUES (NEW."currency", NEW."demo", NEW."id", NEW."keep_photo_place", NEW."license_line", NEW."locale", NEW."logo", NEW."markup_percent", NEW."name", NEW."paper", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."proposal_days", NEW."remind_days", NEW."tax_percent", NEW."time_zone", NEW."units", NEW."warranty_months", NEW."work_days", NEW."work_ends", NEW."work_starts"); RETURN NULL;', hash='8645b7e94356c60e622611e90c4bf87523e3c63d', operation='INSERT', pgid='pgtrigger_insert_insert_32ba0', table='shop_shopsettings', when='AFTER')),
        ),
        base.migrations.AddTrigger(
            model_name='shopsettings',
            trigger=pgtrigger.compiler.Trigger(name='update_update', sql=pgtrigger.compiler.UpsertTriggerSql(condition='WHEN (OLD."currency" IS DISTINCT FROM (NEW."currency") OR OLD."demo" IS DISTINCT FROM (NEW."demo") OR OLD."id" IS DISTINCT FROM (NEW."id") OR OLD."keep_photo_place" IS DISTINCT FROM (NEW."keep_photo_place") OR OLD."license_line" IS DISTINCT FROM (NEW."license_line") OR OLD."locale" IS DISTINCT FROM (NEW."locale") OR OLD."logo" IS DISTINCT FROM (NEW."logo") OR OLD."markup_percent" IS DISTINCT FROM (NEW."markup_percent") OR OLD."name" IS DISTINCT FROM (NEW."name") OR OLD."paper" IS DISTINCT FROM (NEW."paper") OR OLD."proposal_days" IS DISTINCT FROM (NEW."proposal_days") OR OLD."remind_days" IS DISTINCT FROM (NEW."remind_days") OR OLD."tax_percent" IS DISTINCT FROM (NEW."tax_percent") OR OLD."time_zone" IS DISTINCT FROM (NEW."time_zone") OR OLD."units" IS DISTINCT FROM (NEW."units") OR OLD."warranty_months" IS DISTINCT FROM (NEW."warranty_months") OR OLD."work_days" IS DISTINCT FROM (NEW."work_days") OR OLD."work_ends" IS DISTINCT FROM (NEW."work_ends") OR OLD."work_starts" IS DISTINCT FROM (NEW."work_starts"))', func='INSERT INTO "shop_shopsettingsevent" ("currency", "demo", "id", "keep_photo_place", "license_line", "locale", "logo", "markup_percent", "name", "paper", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "proposal_days", "remind_days", "tax_percent", "time_zone", "units", "warranty_months", "work_days", "work_ends", "work_starts") VALUES (NEW."currency", NEW."demo", NEW."id", NEW."keep_photo_place", NEW."license_line", NEW."locale", NEW."logo", NEW."markup_percent", NEW."name", NEW."paper", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."proposal_days", NEW."remind_days", NEW."tax_percent", NEW."time_zone", NEW."units", NEW."warranty_months", NEW."work_days", NEW."work_ends", NEW."work_starts"); RETURN NULL;', hash='281010390edc6e8a2a265b949655987929d3c800', operation='UPDATE', pgid='pgtrigger_update_update_a3852', table='shop_shopsettings', when='AFTER')),
        ),
        base.migrations.AddTrigger(
            model_name='limitchange',
            trigger=pgtrigger.compiler.Trigger(name='append_only', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;", hash='7fbf1110c492d7730c59cfd34d42513e1db39f67', operation='UPDATE OR DELETE', pgid='pgtrigger_append_only_d7e6b', table='shop_limitchange', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='limitchange',
            trigger=pgtrigger.compiler.Trigger(name='never_emptied', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot truncate rows from % table', TG_TABLE_NAME;", hash='60b2509f8423bde42dcef7235531d3f48c732403', level='STATEMENT', operation='TRUNCATE', pgid='pgtrigger_never_emptied_dbaf8', table='shop_limitchange', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='shopsettingsevent',
            trigger=pgtrigger.compiler.Trigger(name='append_only', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;", hash='d9d59cfb2dd3387ff2391b59ce73d710ab8c231a', operation='UPDATE OR DELETE', pgid='pgtrigger_append_only_9f4ba', table='shop_shopsettingsevent', when='BEFORE')),
        ),
        base.migrations.AddTrigger(
            model_name='staffevent',
            trigger=pgtrigger.compiler.Trigger(name='append_only', sql=pgtrigger.compiler.UpsertTriggerSql(func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;", hash='142ba7491bd2671067016dda2cc92a0021cae1f5', operation='UPDATE OR DELETE', pgid='pgtrigger_append_only_8dd6e', table='shop_staffevent', when='BEFORE')),
        ),
    ]
