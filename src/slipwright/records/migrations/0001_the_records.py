"""Every table of the records, with its constraints from the start."""

import uuid

import django.contrib.auth.models
import django.contrib.auth.validators
import django.db.models.deletion
import django.db.models.manager
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("auth", "0012_alter_user_first_name_max_length"),
    ]

    operations = [
        migrations.CreateModel(
            name="User",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("password", models.CharField(max_length=128, verbose_name="password")),
                ("last_login", models.DateTimeField(blank=True, null=True, verbose_name="last login")),
                (
                    "is_superuser",
                    models.BooleanField(
                        default=False,
                        help_text="Designates that this user has all permissions without explicitly assigning them.",
                        verbose_name="superuser status",
                    ),
                ),
                (
                    "username",
                    models.CharField(
                        error_messages={"unique": "A user with that username already exists."},
                        help_text="Required. 150 characters or fewer. Letters, digits and @/./+/-/_ only.",
                        max_length=150,
                        unique=True,
                        validators=[django.contrib.auth.validators.UnicodeUsernameValidator()],
                        verbose_name="username",
                    ),
                ),
                ("first_name", models.CharField(blank=True, max_length=150, verbose_name="first name")),
                ("last_name", models.CharField(blank=True, max_length=150, verbose_name="last name")),
                ("email", models.EmailField(blank=True, max_length=254, verbose_name="email address")),
                (
                    "is_staff",
                    models.BooleanField(
                        default=False,
                        help_text="Designates whether the user can log into this admin site.",
                        verbose_name="staff status",
                    ),
                ),
                (
                    "is_active",
                    models.BooleanField(
                        default=True,
                        help_text="Designates whether this user should be treated as active. Unselect this instead of deleting accounts.",
                        verbose_name="active",
                    ),
                ),
                (
                    "date_joined",
                    models.DateTimeField(default=django.utils.timezone.now, verbose_name="date joined"),
                ),
                (
                    "groups",
                    models.ManyToManyField(
                        blank=True,
                        help_text="The groups this user belongs to. A user will get all permissions granted to each of their groups.",
                        related_name="user_set",
                        related_query_name="user",
                        to="auth.group",
                        verbose_name="groups",
                    ),
                ),
                (
                    "user_permissions",
                    models.ManyToManyField(
                        blank=True,
                        help_text="Specific permissions for this user.",
                        related_name="user_set",
                        related_query_name="user",
                        to="auth.permission",
                        verbose_name="user permissions",
                    ),
                ),
            ],
            options={
                "verbose_name": "user",
                "verbose_name_plural": "users",
                "abstract": False,
            },
            managers=[
                ("objects", django.contrib.auth.models.UserManager()),
            ],
        ),
        migrations.CreateModel(
            name="Garden",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("garden", models.UUIDField(default=uuid.uuid4, unique=True)),
                ("name", models.CharField(max_length=200)),
                ("latitude_deg", models.DecimalField(decimal_places=6, max_digits=14)),
                (
                    "longitude_deg",
                    models.DecimalField(decimal_places=6, max_digits=14),
                ),
                ("altitude_m", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ("time_zone", models.CharField(max_length=64)),
                ("round_days", models.PositiveIntegerField(blank=True, null=True)),
                (
                    "units",
                    models.CharField(
                        blank=True, choices=[("metric", "metric"), ("us", "us")], default="", max_length=24
                    ),
                ),
                ("currency", models.CharField(blank=True, default="", max_length=200)),
                ("last_number", models.PositiveBigIntegerField(default=0, editable=False)),
                ("last_edit", models.PositiveBigIntegerField(default=0, editable=False)),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("latitude_deg__isnull", True),
                            models.Q(("latitude_deg__gte", -90), ("latitude_deg__lte", 90)),
                            _connector="OR",
                        ),
                        name="garden_latitude_deg_limit",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("longitude_deg__isnull", True),
                            models.Q(("longitude_deg__gte", -180), ("longitude_deg__lte", 180)),
                            _connector="OR",
                        ),
                        name="garden_longitude_deg_limit",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("units__in", ["", "metric", "us"])), name="garden_units_word"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Member",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("member", models.CharField(max_length=100)),
                (
                    "role",
                    models.CharField(
                        choices=[
                            ("owner", "owner"),
                            ("grower", "grower"),
                            ("volunteer", "volunteer"),
                            ("reader", "reader"),
                        ],
                        max_length=24,
                    ),
                ),
                ("shown_as", models.CharField(blank=True, default="", max_length=200)),
                (
                    "user",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="memberships",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "member"), name="member_key"),
                    models.UniqueConstraint(fields=("garden", "user"), name="member_user"),
                    models.CheckConstraint(
                        condition=models.Q(("role__in", ["owner", "grower", "volunteer", "reader"])),
                        name="member_role_word",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Taxon",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("taxon", models.CharField(max_length=100)),
                ("common_name", models.CharField(blank=True, default="", max_length=200)),
                ("sold_as", models.CharField(blank=True, default="", max_length=200)),
                (
                    "leaf_habit",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("deciduous", "deciduous"),
                            ("semi-evergreen", "semi-evergreen"),
                            ("evergreen", "evergreen"),
                        ],
                        default="",
                        max_length=24,
                    ),
                ),
                (
                    "flowers",
                    models.CharField(
                        blank=True,
                        choices=[("once", "once"), ("repeat", "repeat")],
                        default="",
                        max_length=24,
                    ),
                ),
                (
                    "rights",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("none", "none"),
                            ("unknown", "unknown"),
                            ("protected", "protected"),
                            ("licensed", "licensed"),
                        ],
                        default="",
                        max_length=24,
                    ),
                ),
                ("rights_until", models.DateField(blank=True, null=True)),
                ("licence", models.CharField(blank=True, default="", max_length=200)),
                ("licence_until", models.DateField(blank=True, null=True)),
                ("gap_before_bloom_days", models.IntegerField(blank=True, null=True)),
                ("gap_after_bloom_days", models.IntegerField(blank=True, null=True)),
                ("bloom_gap_reason", models.CharField(blank=True, default="", max_length=4000)),
                ("patience_days", models.PositiveIntegerField(blank=True, null=True)),
                ("note", models.CharField(blank=True, default="", max_length=4000)),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "taxon"), name="taxon_key"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("leaf_habit__in", ["", "deciduous", "semi-evergreen", "evergreen"])
                        ),
                        name="taxon_leaf_habit_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("flowers__in", ["", "once", "repeat"])), name="taxon_flowers_word"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("rights__in", ["", "none", "unknown", "protected", "licensed"])),
                        name="taxon_rights_word",
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Place",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("place", models.CharField(max_length=100)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("bench", "bench"),
                            ("frame", "frame"),
                            ("shelf", "shelf"),
                            ("nursery", "nursery"),
                        ],
                        max_length=24,
                    ),
                ),
                ("room_m2", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                (
                    "cover",
                    models.CharField(
                        blank=True,
                        choices=[("mist", "mist"), ("tent", "tent"), ("open", "open")],
                        default="",
                        max_length=24,
                    ),
                ),
                (
                    "medium_temp_c",
                    models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True),
                ),
                (
                    "shade_percent",
                    models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True),
                ),
                (
                    "mist_mm_per_min",
                    models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True),
                ),
                ("walk_order", models.PositiveIntegerField(blank=True, null=True)),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "place"), name="place_key"),
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["bench", "frame", "shelf", "nursery"])),
                        name="place_kind_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("cover__in", ["", "mist", "tent", "open"])),
                        name="place_cover_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("shade_percent__isnull", True),
                            models.Q(("shade_percent__gte", 0), ("shade_percent__lte", 100)),
                            _connector="OR",
                        ),
                        name="place_shade_percent_limit",
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Container",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("container", models.CharField(max_length=100)),
                ("volume_ml", models.DecimalField(decimal_places=6, max_digits=14)),
                ("cells", models.PositiveIntegerField(blank=True, null=True)),
                ("length_mm", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ("width_mm", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ("height_mm", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ("cost_item", models.CharField(blank=True, default="", max_length=200)),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "container"), name="container_key"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("volume_ml__isnull", True), ("volume_ml__gte", 0), _connector="OR"
                        ),
                        name="container_volume_ml_limit",
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Medium",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("medium", models.CharField(max_length=100)),
                ("parts", models.CharField(max_length=200)),
                ("porosity", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ("air_space", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                (
                    "container_capacity",
                    models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True),
                ),
                ("height_mm", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ("tested_on", models.DateField(blank=True, null=True)),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "medium"), name="medium_key"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("porosity__isnull", True),
                            models.Q(("porosity__gte", 0), ("porosity__lte", 1)),
                            _connector="OR",
                        ),
                        name="medium_porosity_limit",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("air_space__isnull", True),
                            models.Q(("air_space__gte", 0), ("air_space__lte", 1)),
                            _connector="OR",
                        ),
                        name="medium_air_space_limit",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("container_capacity__isnull", True),
                            models.Q(("container_capacity__gte", 0), ("container_capacity__lte", 1)),
                            _connector="OR",
                        ),
                        name="medium_container_capacity_limit",
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Want",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("want", models.CharField(max_length=100)),
                (
                    "taxon",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.taxon"
                    ),
                ),
                ("n_wanted", models.PositiveIntegerField()),
                ("ready_by", models.DateField()),
                (
                    "ready_as",
                    models.CharField(
                        choices=[
                            ("rooted", "rooted"),
                            ("potted", "potted"),
                            ("weaned", "weaned"),
                            ("established", "established"),
                            ("finished", "finished"),
                        ],
                        max_length=24,
                    ),
                ),
                ("assurance", models.DecimalField(decimal_places=6, max_digits=14)),
                ("value_each", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ("note", models.CharField(blank=True, default="", max_length=4000)),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "want"), name="want_key"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("ready_as__in", ["rooted", "potted", "weaned", "established", "finished"])
                        ),
                        name="want_ready_as_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("assurance__isnull", True),
                            models.Q(("assurance__gte", 0), ("assurance__lte", 1)),
                            _connector="OR",
                        ),
                        name="want_assurance_limit",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("n_wanted__isnull", True), ("n_wanted__gte", 1), _connector="OR"),
                        name="want_n_wanted_limit",
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Trial",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("trial", models.CharField(max_length=100)),
                ("question", models.CharField(max_length=4000)),
                ("arms", models.CharField(max_length=4000)),
                ("units_per_arm", models.PositiveIntegerField()),
                ("n_per_unit", models.PositiveIntegerField()),
                ("stop_rule", models.CharField(max_length=4000)),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [models.UniqueConstraint(fields=("garden", "trial"), name="trial_key")],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Plant",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("plant", models.CharField(max_length=100)),
                (
                    "taxon",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.taxon"
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.place",
                    ),
                ),
                ("planted_on", models.DateField(blank=True, null=True)),
                ("origin", models.CharField(blank=True, default="", max_length=4000)),
                ("from_batch", models.CharField(blank=True, default="", max_length=100)),
                ("health", models.CharField(blank=True, default="", max_length=4000)),
                ("shoots_per_season", models.PositiveIntegerField(blank=True, null=True)),
                (
                    "shoot_length_mm",
                    models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True),
                ),
                ("nodes_per_shoot", models.PositiveIntegerField(blank=True, null=True)),
                (
                    "max_share_taken",
                    models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True),
                ),
                ("note", models.CharField(blank=True, default="", max_length=4000)),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "plant"), name="plant_key"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("max_share_taken__isnull", True),
                            models.Q(("max_share_taken__gte", 0), ("max_share_taken__lte", 1)),
                            _connector="OR",
                        ),
                        name="plant_max_share_taken_limit",
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Method",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("method", models.CharField(max_length=100)),
                (
                    "wood",
                    models.CharField(
                        choices=[
                            ("softwood", "softwood"),
                            ("semi-hardwood", "semi-hardwood"),
                            ("hardwood", "hardwood"),
                        ],
                        max_length=24,
                    ),
                ),
                (
                    "cutting",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("piece", "piece"),
                            ("tip", "tip"),
                            ("heel", "heel"),
                            ("mallet", "mallet"),
                            ("single-node", "single-node"),
                        ],
                        default="",
                        max_length=24,
                    ),
                ),
                (
                    "leaves",
                    models.CharField(
                        blank=True,
                        choices=[("kept", "kept"), ("reduced", "reduced"), ("none", "none")],
                        default="",
                        max_length=24,
                    ),
                ),
                (
                    "wound",
                    models.CharField(
                        blank=True, choices=[("no", "no"), ("yes", "yes")], default="", max_length=24
                    ),
                ),
                (
                    "auxin",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("none", "none"),
                            ("iba", "iba"),
                            ("naa", "naa"),
                            ("k-iba", "k-iba"),
                            ("k-naa", "k-naa"),
                        ],
                        default="",
                        max_length=24,
                    ),
                ),
                (
                    "auxin_form",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("quick-dip", "quick-dip"),
                            ("soak", "soak"),
                            ("talc", "talc"),
                            ("gel", "gel"),
                        ],
                        default="",
                        max_length=24,
                    ),
                ),
                (
                    "auxin_mg_per_l",
                    models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True),
                ),
                (
                    "auxin_mg_per_kg",
                    models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True),
                ),
                (
                    "auxin2",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("none", "none"),
                            ("iba", "iba"),
                            ("naa", "naa"),
                            ("k-iba", "k-iba"),
                            ("k-naa", "k-naa"),
                        ],
                        default="",
                        max_length=24,
                    ),
                ),
                (
                    "auxin2_mg_per_l",
                    models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True),
                ),
                ("dip_s", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                (
                    "container",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.container",
                    ),
                ),
                ("n_per_container", models.PositiveIntegerField(blank=True, null=True)),
                (
                    "medium",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.medium",
                    ),
                ),
                (
                    "cover",
                    models.CharField(
                        blank=True,
                        choices=[("mist", "mist"), ("tent", "tent"), ("open", "open")],
                        default="",
                        max_length=24,
                    ),
                ),
                ("minutes_each", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                (
                    "setup_minutes",
                    models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True),
                ),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "method"), name="method_key"),
                    models.CheckConstraint(
                        condition=models.Q(("wood__in", ["softwood", "semi-hardwood", "hardwood"])),
                        name="method_wood_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("cutting__in", ["", "piece", "tip", "heel", "mallet", "single-node"])
                        ),
                        name="method_cutting_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("leaves__in", ["", "kept", "reduced", "none"])),
                        name="method_leaves_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("wound__in", ["", "no", "yes"])), name="method_wound_word"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("auxin__in", ["", "none", "iba", "naa", "k-iba", "k-naa"])),
                        name="method_auxin_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("auxin2__in", ["", "none", "iba", "naa", "k-iba", "k-naa"])),
                        name="method_auxin2_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("auxin_form__in", ["", "quick-dip", "soak", "talc", "gel"])),
                        name="method_auxin_form_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("cover__in", ["", "mist", "tent", "open"])),
                        name="method_cover_word",
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Hours",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("from_on", models.DateField()),
                ("to_on", models.DateField()),
                ("hours_per_week", models.DecimalField(decimal_places=6, max_digits=14)),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "from_on", "to_on"), name="hours_key"),
                    models.CheckConstraint(
                        condition=models.Q(("to_on__gte", models.F("from_on"))), name="hours_in_order"
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Cost",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("item", models.CharField(max_length=100)),
                ("unit", models.CharField(max_length=200)),
                ("cost", models.DecimalField(decimal_places=6, max_digits=14)),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "item"), name="cost_key"),
                    models.CheckConstraint(
                        condition=models.Q(("cost__isnull", True), ("cost__gte", 0), _connector="OR"),
                        name="cost_cost_limit",
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="WeatherDay",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("on", models.DateField()),
                ("tmin_c", models.DecimalField(decimal_places=6, max_digits=14)),
                ("tmax_c", models.DecimalField(decimal_places=6, max_digits=14)),
                (
                    "rh_mean_percent",
                    models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True),
                ),
                ("sunshine_h", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                (
                    "cloud_fraction",
                    models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True),
                ),
                (
                    "radiation_mj_m2",
                    models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True),
                ),
                ("rain_mm", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ("source", models.CharField(blank=True, default="", max_length=200)),
                ("made_on", models.DateField(blank=True, null=True)),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "on", "made_on"), name="weather_forecast_key"),
                    models.UniqueConstraint(
                        condition=models.Q(("made_on", None)),
                        fields=("garden", "on"),
                        name="weather_observed_key",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("tmax_c__gte", models.F("tmin_c"))), name="weather_in_order"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("rh_mean_percent__isnull", True),
                            models.Q(("rh_mean_percent__gte", 0), ("rh_mean_percent__lte", 100)),
                            _connector="OR",
                        ),
                        name="weather_rh_mean_percent_limit",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("cloud_fraction__isnull", True),
                            models.Q(("cloud_fraction__gte", 0), ("cloud_fraction__lte", 1)),
                            _connector="OR",
                        ),
                        name="weather_cloud_fraction_limit",
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Sticking",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("entry_id", models.CharField(max_length=100)),
                ("v", models.PositiveSmallIntegerField(default=1)),
                ("number", models.PositiveBigIntegerField()),
                ("received_at", models.DateTimeField()),
                ("sha256", models.CharField(max_length=64)),
                ("batch", models.CharField(max_length=100)),
                (
                    "taxon",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.taxon"
                    ),
                ),
                (
                    "plant",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.plant",
                    ),
                ),
                ("stuck_on", models.DateField()),
                ("n_stuck", models.PositiveIntegerField()),
                (
                    "wood",
                    models.CharField(
                        choices=[
                            ("softwood", "softwood"),
                            ("semi-hardwood", "semi-hardwood"),
                            ("hardwood", "hardwood"),
                        ],
                        max_length=24,
                    ),
                ),
                (
                    "method",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.method",
                    ),
                ),
                (
                    "cutting",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("piece", "piece"),
                            ("tip", "tip"),
                            ("heel", "heel"),
                            ("mallet", "mallet"),
                            ("single-node", "single-node"),
                        ],
                        default="",
                        max_length=24,
                    ),
                ),
                (
                    "shoot",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("vegetative", "vegetative"),
                            ("budded", "budded"),
                            ("flowering", "flowering"),
                            ("spent", "spent"),
                        ],
                        default="",
                        max_length=24,
                    ),
                ),
                (
                    "part",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("upper", "upper"),
                            ("middle", "middle"),
                            ("lower", "lower"),
                            ("mixed", "mixed"),
                        ],
                        default="",
                        max_length=24,
                    ),
                ),
                ("ripeness", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ("n_nodes", models.PositiveIntegerField(blank=True, null=True)),
                ("length_mm", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ("diameter_mm", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ("n_shoots", models.PositiveIntegerField(blank=True, null=True)),
                (
                    "leaves",
                    models.CharField(
                        blank=True,
                        choices=[("kept", "kept"), ("reduced", "reduced"), ("none", "none")],
                        default="",
                        max_length=24,
                    ),
                ),
                ("cut_on", models.DateField(blank=True, null=True)),
                (
                    "stored",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("no", "no"),
                            ("damp-bag", "damp-bag"),
                            ("cool", "cool"),
                            ("heeled-in", "heeled-in"),
                        ],
                        default="",
                        max_length=24,
                    ),
                ),
                (
                    "wound",
                    models.CharField(
                        blank=True, choices=[("no", "no"), ("yes", "yes")], default="", max_length=24
                    ),
                ),
                (
                    "auxin",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("none", "none"),
                            ("iba", "iba"),
                            ("naa", "naa"),
                            ("k-iba", "k-iba"),
                            ("k-naa", "k-naa"),
                        ],
                        default="",
                        max_length=24,
                    ),
                ),
                (
                    "auxin_form",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("quick-dip", "quick-dip"),
                            ("soak", "soak"),
                            ("talc", "talc"),
                            ("gel", "gel"),
                        ],
                        default="",
                        max_length=24,
                    ),
                ),
                (
                    "auxin_mg_per_l",
                    models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True),
                ),
                (
                    "auxin_mg_per_kg",
                    models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True),
                ),
                (
                    "auxin2",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("none", "none"),
                            ("iba", "iba"),
                            ("naa", "naa"),
                            ("k-iba", "k-iba"),
                            ("k-naa", "k-naa"),
                        ],
                        default="",
                        max_length=24,
                    ),
                ),
                (
                    "auxin2_mg_per_l",
                    models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True),
                ),
                ("dip_s", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                (
                    "medium",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.medium",
                    ),
                ),
                (
                    "container",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.container",
                    ),
                ),
                ("n_per_container", models.PositiveIntegerField(blank=True, null=True)),
                (
                    "place",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.place",
                    ),
                ),
                (
                    "cover",
                    models.CharField(
                        blank=True,
                        choices=[("mist", "mist"), ("tent", "tent"), ("open", "open")],
                        default="",
                        max_length=24,
                    ),
                ),
                (
                    "medium_temp_c",
                    models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True),
                ),
                ("days_from_bloom", models.IntegerField(blank=True, null=True)),
                (
                    "want",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.want",
                    ),
                ),
                ("from_batch", models.CharField(blank=True, default="", max_length=100)),
                (
                    "trial",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.trial",
                    ),
                ),
                ("arm", models.CharField(blank=True, default="", max_length=200)),
                ("block", models.CharField(blank=True, default="", max_length=200)),
                ("minutes", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                (
                    "by",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.member",
                    ),
                ),
                ("note", models.CharField(blank=True, default="", max_length=4000)),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "entry_id"), name="sticking_key"),
                    models.UniqueConstraint(fields=("garden", "number"), name="sticking_number"),
                    models.UniqueConstraint(fields=("garden", "batch"), name="sticking_batch"),
                    models.CheckConstraint(
                        condition=models.Q(("wood__in", ["softwood", "semi-hardwood", "hardwood"])),
                        name="sticking_wood_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("cutting__in", ["", "piece", "tip", "heel", "mallet", "single-node"])
                        ),
                        name="sticking_cutting_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("shoot__in", ["", "vegetative", "budded", "flowering", "spent"])),
                        name="sticking_shoot_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("part__in", ["", "upper", "middle", "lower", "mixed"])),
                        name="sticking_part_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("leaves__in", ["", "kept", "reduced", "none"])),
                        name="sticking_leaves_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("stored__in", ["", "no", "damp-bag", "cool", "heeled-in"])),
                        name="sticking_stored_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("wound__in", ["", "no", "yes"])), name="sticking_wound_word"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("auxin__in", ["", "none", "iba", "naa", "k-iba", "k-naa"])),
                        name="sticking_auxin_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("auxin2__in", ["", "none", "iba", "naa", "k-iba", "k-naa"])),
                        name="sticking_auxin2_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("auxin_form__in", ["", "quick-dip", "soak", "talc", "gel"])),
                        name="sticking_auxin_form_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("cover__in", ["", "mist", "tent", "open"])),
                        name="sticking_cover_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("n_stuck__isnull", True), ("n_stuck__gte", 1), _connector="OR"),
                        name="sticking_n_stuck_limit",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("ripeness__isnull", True),
                            models.Q(("ripeness__gte", 0), ("ripeness__lte", 1)),
                            _connector="OR",
                        ),
                        name="sticking_ripeness_limit",
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Look",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("entry_id", models.CharField(max_length=100)),
                ("v", models.PositiveSmallIntegerField(default=1)),
                ("number", models.PositiveBigIntegerField()),
                ("received_at", models.DateTimeField()),
                ("sha256", models.CharField(max_length=64)),
                ("on", models.DateField()),
                (
                    "by",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.member",
                    ),
                ),
                ("note", models.CharField(blank=True, default="", max_length=4000)),
                (
                    "batch",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.sticking"
                    ),
                ),
                ("n_rooted", models.PositiveIntegerField(blank=True, null=True)),
                ("n_lost", models.PositiveIntegerField(blank=True, null=True)),
                ("n_waiting", models.PositiveIntegerField(blank=True, null=True)),
                ("n_removed", models.PositiveIntegerField(blank=True, null=True)),
                ("n_lost_rooted", models.PositiveIntegerField(blank=True, null=True)),
                ("n_tried", models.PositiveIntegerField(blank=True, null=True)),
                ("n_tried_rooted", models.PositiveIntegerField(blank=True, null=True)),
                (
                    "cause",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("rot-from-base", "rot-from-base"),
                            ("dieback-from-top", "dieback-from-top"),
                            ("dried", "dried"),
                            ("scorched", "scorched"),
                            ("frost", "frost"),
                            ("mould", "mould"),
                            ("pest", "pest"),
                            ("disturbed", "disturbed"),
                            ("given-up", "given-up"),
                            ("unknown", "unknown"),
                        ],
                        default="",
                        max_length=24,
                    ),
                ),
                ("signs", models.CharField(blank=True, default="", max_length=200)),
                (
                    "pot_weight",
                    models.CharField(
                        blank=True,
                        choices=[("same", "same"), ("lighter", "lighter")],
                        default="",
                        max_length=24,
                    ),
                ),
                ("after", models.CharField(blank=True, default="", max_length=100)),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "entry_id"), name="look_key"),
                    models.UniqueConstraint(fields=("garden", "number"), name="look_number"),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "cause__in",
                                [
                                    "",
                                    "rot-from-base",
                                    "dieback-from-top",
                                    "dried",
                                    "scorched",
                                    "frost",
                                    "mould",
                                    "pest",
                                    "disturbed",
                                    "given-up",
                                    "unknown",
                                ],
                            )
                        ),
                        name="look_cause_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("pot_weight__in", ["", "same", "lighter"])),
                        name="look_pot_weight_word",
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Potting",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("entry_id", models.CharField(max_length=100)),
                ("v", models.PositiveSmallIntegerField(default=1)),
                ("number", models.PositiveBigIntegerField()),
                ("received_at", models.DateTimeField()),
                ("sha256", models.CharField(max_length=64)),
                ("on", models.DateField()),
                (
                    "by",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.member",
                    ),
                ),
                ("note", models.CharField(blank=True, default="", max_length=4000)),
                (
                    "batch",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.sticking"
                    ),
                ),
                ("n_potted", models.PositiveIntegerField()),
                (
                    "container",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.container",
                    ),
                ),
                (
                    "medium",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.medium",
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.place",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "entry_id"), name="potting_key"),
                    models.UniqueConstraint(fields=("garden", "number"), name="potting_number"),
                    models.CheckConstraint(
                        condition=models.Q(("n_potted__isnull", True), ("n_potted__gte", 1), _connector="OR"),
                        name="potting_n_potted_limit",
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Outcome",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("entry_id", models.CharField(max_length=100)),
                ("v", models.PositiveSmallIntegerField(default=1)),
                ("number", models.PositiveBigIntegerField()),
                ("received_at", models.DateTimeField()),
                ("sha256", models.CharField(max_length=64)),
                ("on", models.DateField()),
                (
                    "by",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.member",
                    ),
                ),
                ("note", models.CharField(blank=True, default="", max_length=4000)),
                (
                    "batch",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.sticking"
                    ),
                ),
                (
                    "ready_as",
                    models.CharField(
                        choices=[
                            ("rooted", "rooted"),
                            ("potted", "potted"),
                            ("weaned", "weaned"),
                            ("established", "established"),
                            ("finished", "finished"),
                        ],
                        max_length=24,
                    ),
                ),
                ("n_reached", models.PositiveIntegerField(blank=True, null=True)),
                ("n_lost", models.PositiveIntegerField(blank=True, null=True)),
                (
                    "fate",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("planted", "planted"),
                            ("given", "given"),
                            ("sold", "sold"),
                            ("kept-as-stock", "kept-as-stock"),
                            ("discarded", "discarded"),
                        ],
                        default="",
                        max_length=24,
                    ),
                ),
                ("to", models.CharField(blank=True, default="", max_length=200)),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "entry_id"), name="outcome_key"),
                    models.UniqueConstraint(fields=("garden", "number"), name="outcome_number"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("ready_as__in", ["rooted", "potted", "weaned", "established", "finished"])
                        ),
                        name="outcome_ready_as_word",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("fate__in", ["", "planted", "given", "sold", "kept-as-stock", "discarded"])
                        ),
                        name="outcome_fate_word",
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Act",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("entry_id", models.CharField(max_length=100)),
                ("v", models.PositiveSmallIntegerField(default=1)),
                ("number", models.PositiveBigIntegerField()),
                ("received_at", models.DateTimeField()),
                ("sha256", models.CharField(max_length=64)),
                ("on", models.DateField()),
                (
                    "by",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.member",
                    ),
                ),
                ("note", models.CharField(blank=True, default="", max_length=4000)),
                (
                    "batch",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.sticking",
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.place",
                    ),
                ),
                (
                    "plant",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.plant",
                    ),
                ),
                (
                    "act",
                    models.CharField(
                        choices=[
                            ("cut-back", "cut-back"),
                            ("deadhead", "deadhead"),
                            ("feed", "feed"),
                            ("water", "water"),
                            ("re-wet", "re-wet"),
                            ("shade", "shade"),
                            ("unshade", "unshade"),
                            ("loosen-cover", "loosen-cover"),
                            ("uncover", "uncover"),
                            ("move", "move"),
                            ("pinch", "pinch"),
                            ("pot-on", "pot-on"),
                            ("protect-from-frost", "protect-from-frost"),
                            ("spray", "spray"),
                            ("clean", "clean"),
                        ],
                        max_length=24,
                    ),
                ),
                ("amount", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ("unit", models.CharField(blank=True, default="", max_length=200)),
                (
                    "to_place",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.place",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "entry_id"), name="act_key"),
                    models.UniqueConstraint(fields=("garden", "number"), name="act_number"),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "act__in",
                                [
                                    "cut-back",
                                    "deadhead",
                                    "feed",
                                    "water",
                                    "re-wet",
                                    "shade",
                                    "unshade",
                                    "loosen-cover",
                                    "uncover",
                                    "move",
                                    "pinch",
                                    "pot-on",
                                    "protect-from-frost",
                                    "spray",
                                    "clean",
                                ],
                            )
                        ),
                        name="act_act_word",
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Stage",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("entry_id", models.CharField(max_length=100)),
                ("v", models.PositiveSmallIntegerField(default=1)),
                ("number", models.PositiveBigIntegerField()),
                ("received_at", models.DateTimeField()),
                ("sha256", models.CharField(max_length=64)),
                ("on", models.DateField()),
                (
                    "by",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.member",
                    ),
                ),
                ("note", models.CharField(blank=True, default="", max_length=4000)),
                (
                    "plant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.plant"
                    ),
                ),
                ("bbch", models.PositiveIntegerField()),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "entry_id"), name="stage_key"),
                    models.UniqueConstraint(fields=("garden", "number"), name="stage_number"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("bbch__isnull", True),
                            models.Q(("bbch__gte", 0), ("bbch__lte", 99)),
                            _connector="OR",
                        ),
                        name="stage_bbch_limit",
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Firmness",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("entry_id", models.CharField(max_length=100)),
                ("v", models.PositiveSmallIntegerField(default=1)),
                ("number", models.PositiveBigIntegerField()),
                ("received_at", models.DateTimeField()),
                ("sha256", models.CharField(max_length=64)),
                ("on", models.DateField()),
                (
                    "by",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.member",
                    ),
                ),
                ("note", models.CharField(blank=True, default="", max_length=4000)),
                (
                    "plant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.plant"
                    ),
                ),
                ("firmness_tip", models.PositiveIntegerField(blank=True, null=True)),
                ("firmness_mid", models.PositiveIntegerField(blank=True, null=True)),
                ("firmness_base", models.PositiveIntegerField(blank=True, null=True)),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "entry_id"), name="firmness_key"),
                    models.UniqueConstraint(fields=("garden", "number"), name="firmness_number"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("firmness_tip__isnull", True),
                            models.Q(("firmness_tip__gte", 1), ("firmness_tip__lte", 5)),
                            _connector="OR",
                        ),
                        name="firmness_firmness_tip_limit",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("firmness_mid__isnull", True),
                            models.Q(("firmness_mid__gte", 1), ("firmness_mid__lte", 5)),
                            _connector="OR",
                        ),
                        name="firmness_firmness_mid_limit",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("firmness_base__isnull", True),
                            models.Q(("firmness_base__gte", 1), ("firmness_base__lte", 5)),
                            _connector="OR",
                        ),
                        name="firmness_firmness_base_limit",
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Bed",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("entry_id", models.CharField(max_length=100)),
                ("v", models.PositiveSmallIntegerField(default=1)),
                ("number", models.PositiveBigIntegerField()),
                ("received_at", models.DateTimeField()),
                ("sha256", models.CharField(max_length=64)),
                ("at", models.DateTimeField()),
                ("at_offset_min", models.SmallIntegerField()),
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.place"
                    ),
                ),
                (
                    "seen",
                    models.CharField(
                        choices=[("leaves-dry", "leaves-dry"), ("medium-soggy", "medium-soggy")],
                        max_length=24,
                    ),
                ),
                (
                    "by",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.member",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "entry_id"), name="bed_key"),
                    models.UniqueConstraint(fields=("garden", "number"), name="bed_number"),
                    models.CheckConstraint(
                        condition=models.Q(("seen__in", ["leaves-dry", "medium-soggy"])), name="bed_seen_word"
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Reading",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("entry_id", models.CharField(max_length=100)),
                ("v", models.PositiveSmallIntegerField(default=1)),
                ("number", models.PositiveBigIntegerField()),
                ("received_at", models.DateTimeField()),
                ("sha256", models.CharField(max_length=64)),
                ("at", models.DateTimeField()),
                ("at_offset_min", models.SmallIntegerField()),
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.place"
                    ),
                ),
                ("air_c", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ("rh_percent", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ("medium_c", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ("light_w_m2", models.DecimalField(blank=True, decimal_places=6, max_digits=14, null=True)),
                ("source", models.CharField(blank=True, default="", max_length=200)),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "entry_id"), name="reading_key"),
                    models.UniqueConstraint(fields=("garden", "number"), name="reading_number"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("rh_percent__isnull", True),
                            models.Q(("rh_percent__gte", 0), ("rh_percent__lte", 100)),
                            _connector="OR",
                        ),
                        name="reading_rh_percent_limit",
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Note",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("entry_id", models.CharField(max_length=100)),
                ("v", models.PositiveSmallIntegerField(default=1)),
                ("number", models.PositiveBigIntegerField()),
                ("received_at", models.DateTimeField()),
                ("sha256", models.CharField(max_length=64)),
                ("at", models.DateTimeField()),
                ("at_offset_min", models.SmallIntegerField()),
                ("about", models.CharField(max_length=100)),
                ("text", models.CharField(max_length=4000)),
                (
                    "by",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.member",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "entry_id"), name="note_key"),
                    models.UniqueConstraint(fields=("garden", "number"), name="note_number"),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="Withdrawal",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.garden",
                    ),
                ),
                ("entry_id", models.CharField(max_length=100)),
                ("v", models.PositiveSmallIntegerField(default=1)),
                ("number", models.PositiveBigIntegerField()),
                ("received_at", models.DateTimeField()),
                ("sha256", models.CharField(max_length=64)),
                ("at", models.DateTimeField()),
                ("at_offset_min", models.SmallIntegerField()),
                ("withdraws", models.CharField(max_length=100)),
                ("withdraws_kind", models.CharField(max_length=24)),
                ("reason", models.CharField(max_length=4000)),
                (
                    "by",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.member",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "base_manager_name": "rows",
                "default_manager_name": "rows",
                "constraints": [
                    models.UniqueConstraint(fields=("garden", "entry_id"), name="withdrawal_key"),
                    models.UniqueConstraint(fields=("garden", "number"), name="withdrawal_number"),
                    models.UniqueConstraint(
                        fields=("garden", "withdraws_kind", "withdraws"), name="withdrawal_once"
                    ),
                ],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="BatchState",
            fields=[
                (
                    "batch",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="state",
                        serialize=False,
                        to="records.sticking",
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.garden"
                    ),
                ),
                ("n_stuck", models.PositiveIntegerField()),
                ("n_rooted", models.PositiveIntegerField(default=0)),
                ("n_lost", models.PositiveIntegerField(default=0)),
                ("n_removed", models.PositiveIntegerField(default=0)),
                ("n_lost_rooted", models.PositiveIntegerField(default=0)),
                ("n_potted", models.PositiveIntegerField(default=0)),
                ("n_waiting", models.IntegerField()),
                ("n_to_pot", models.IntegerField(default=0)),
                ("n_looks", models.PositiveIntegerField(default=0)),
                ("last_look_on", models.DateField(blank=True, null=True)),
                ("first_rooted_on", models.DateField(blank=True, null=True)),
                ("unpotted_since", models.DateField(blank=True, null=True)),
                (
                    "place",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.place",
                    ),
                ),
                ("ended_on", models.DateField(blank=True, null=True)),
                ("withdrawn", models.BooleanField(default=False)),
                ("flags", models.CharField(blank=True, default="", max_length=200)),
            ],
            options={
                "indexes": [models.Index(fields=["garden", "ended_on"], name="state_open")],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="SetAside",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.garden"
                    ),
                ),
                ("kind", models.CharField(max_length=24)),
                ("entry_id", models.CharField(max_length=100)),
                ("content", models.TextField()),
                ("sha256", models.CharField(max_length=64)),
                ("reason", models.CharField(max_length=4000)),
                ("received_at", models.DateTimeField()),
                ("settled_at", models.DateTimeField(blank=True, null=True)),
            ],
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
        migrations.CreateModel(
            name="ReferenceEdit",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "garden",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="records.garden"
                    ),
                ),
                ("number", models.PositiveBigIntegerField()),
                ("table", models.CharField(max_length=24)),
                ("key", models.CharField(max_length=200)),
                ("before", models.JSONField(null=True)),
                ("after", models.JSONField()),
                (
                    "by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.member",
                    ),
                ),
                ("at", models.DateTimeField()),
            ],
            options={
                "constraints": [models.UniqueConstraint(fields=("garden", "number"), name="edit_number")],
            },
            managers=[
                ("rows", django.db.models.manager.Manager()),
            ],
        ),
    ]
