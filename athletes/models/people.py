"""Athletes, and what is known of them on a date: level, body size, ids in other systems, groups, family."""

from __future__ import annotations

from typing import Any, Self

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from athletes.folding import folded
from athletes.models.accounts import Role, User
from athletes.models.base import Addressed, PresentManager, Withdrawable, WithdrawableQuerySet
from athletes.models.ties import reads_withdrawn, sees_everyone, tie_of


class Level(models.TextChoices):
    YOUTH = "youth", "youth"
    HIGH_SCHOOL = "high_school", "high school"
    COLLEGE = "college", "college"
    PROFESSIONAL = "professional", "professional"


class Side(models.TextChoices):
    RIGHT = "right", "right"
    LEFT = "left", "left"


class Throws(models.TextChoices):
    RIGHT = "right", "right"
    LEFT = "left", "left"
    BOTH = "both", "both"


def of_visible(user: User, path: str = "athlete") -> models.Q:
    """Rows whose athlete, by the names on the way there, is in `visible_to`.

    Of somebody who sees everyone the athlete's own columns are asked: a list of all takes longer the more there are.
    """
    if sees_everyone(user):
        return models.Q(**{f"{path}__withdrawn_at": None})
    return models.Q(**{f"{path}__in": Athlete.objects.visible_to(user)})


def of_readable(user: User, path: str = "athlete") -> models.Q:
    """Rows whose athlete is in `readable_by`."""
    seen = of_visible(user, path)
    return seen if reads_withdrawn(user) else seen & models.Q(**{f"{path}__consent_withdrawn_on": None})


class AthleteQuerySet(WithdrawableQuerySet):
    def visible_to(self, user: User) -> Self:
        """Admins and coaches: everyone; others: only those they are tied to. No tie means nobody."""
        tie = tie_of(user)
        if tie is None:
            return self.none()
        return self.filter(pk__in=Athlete.everything.filter(tie).values("pk")) if tie else self

    def readable_by(self, user: User) -> Self:
        """Of those, whose measurements the person may read: while consent is withdrawn, admins alone may."""
        seen = self.visible_to(user)
        return seen if reads_withdrawn(user) else seen.filter(consent_withdrawn_on=None)

    def with_facts(self) -> Self:
        """Loads all that `athletes.facts` asks for, in a fixed number of queries for any number of athletes."""
        from athletes.models.care import PainReport

        open_pain = models.Prefetch("pain_reports", PainReport.objects.open(), to_attr="known_open_pain")
        return self.select_related("responsible_coach").prefetch_related(
            "levels", "body_sizes", "availabilities", "consents", open_pain
        )

    def named(self, text: str) -> Self:
        """Every word of the text occurs in the name, however it is accented or written large."""
        found = self
        for word in folded(text).split():
            found = found.filter(folded_name__contains=word)
        return found


class FoldedNameField(models.TextField):
    """The name as it is looked for, written anew whenever the row is; text, since one letter may fold into several."""

    def pre_save(self, model_instance: models.Model, add: bool) -> str:
        value = folded(f"{model_instance.given_name} {model_instance.family_name}")  # type: ignore[attr-defined]
        setattr(model_instance, self.attname, value)
        return value


class Athlete(Addressed, Withdrawable):
    given_name = models.CharField(max_length=80)
    family_name = models.CharField(max_length=80)
    folded_name = FoldedNameField(default="", blank=True, editable=False)
    birth_date = models.DateField()
    throws = models.CharField(max_length=8, choices=Throws.choices, default=Throws.RIGHT)
    sex = models.CharField(
        max_length=8,
        blank=True,
        choices=[("woman", "woman or girl"), ("man", "man or boy")],
        help_text="Only used to choose body-segment proportions and the growth chart.",
    )
    playing_role = models.CharField(max_length=40, blank=True, help_text="For example starter or reliever.")
    responsible_coach = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="coached_athletes",
        limit_choices_to={"role__in": [Role.COACH, Role.ADMIN]},
    )
    account = models.OneToOneField(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="athlete",
        limit_choices_to={"role": Role.ATHLETE},
    )
    created_at = models.DateTimeField(auto_now_add=True)
    # Kept by the consent services: while it is set, what was measured is nobody’s to read but an admin’s.
    consent_withdrawn_on = models.DateField(null=True, blank=True, editable=False)
    merged_into = models.ForeignKey(
        "self", null=True, blank=True, editable=False, on_delete=models.SET_NULL, related_name="merged"
    )
    # Rises in the transaction of every service that changes a level or a body size: ranges depend on them.
    facts_revision = models.PositiveIntegerField(default=1, editable=False)

    objects = PresentManager.from_queryset(AthleteQuerySet)()
    everything = models.Manager.from_queryset(AthleteQuerySet)()

    class Meta:
        base_manager_name = "everything"
        ordering = ["family_name", "given_name", "id"]
        indexes = [models.Index(fields=["family_name", "given_name"])]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: Any, update_fields: Any = None, **options: Any) -> None:
        if update_fields is not None and {"given_name", "family_name"} & set(update_fields):
            update_fields = {*update_fields, "folded_name"}
        super().save(*args, update_fields=update_fields, **options)

    @property
    def name(self) -> str:
        return f"{self.given_name} {self.family_name}"


class LevelPeriod(models.Model):
    """The level from a date on; the row in force is the latest at or before the date asked for."""

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="levels")
    valid_from = models.DateField()
    level = models.CharField(max_length=16, choices=Level.choices)

    class Meta:
        ordering = ["athlete", "valid_from"]
        constraints = [models.UniqueConstraint(fields=["athlete", "valid_from"], name="one_level_a_day")]

    def __str__(self) -> str:
        return f"{self.get_level_display()} from {self.valid_from}"


class BodySize(models.Model):
    """Height, mass and arm span as measured on a date."""

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="body_sizes")
    date = models.DateField()
    height_cm = models.FloatField(null=True, blank=True, validators=[MinValueValidator(90), MaxValueValidator(230)])
    mass_kg = models.FloatField(null=True, blank=True, validators=[MinValueValidator(15), MaxValueValidator(200)])
    arm_span_cm = models.FloatField(null=True, blank=True, validators=[MinValueValidator(90), MaxValueValidator(250)])

    class Meta:
        ordering = ["athlete", "date"]
        constraints = [
            models.UniqueConstraint(fields=["athlete", "date"], name="one_body_size_a_day"),
            models.CheckConstraint(
                condition=models.Q(height_cm__isnull=False)
                | models.Q(mass_kg__isnull=False)
                | models.Q(arm_span_cm__isnull=False),
                name="body_size_holds_a_number",
            ),
            models.CheckConstraint(
                condition=models.Q(height_cm__isnull=True) | models.Q(height_cm__gte=90, height_cm__lte=230),
                name="height_is_in_centimetres",
            ),
            models.CheckConstraint(
                condition=models.Q(mass_kg__isnull=True) | models.Q(mass_kg__gte=15, mass_kg__lte=200),
                name="mass_is_in_kilograms",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.athlete} on {self.date}"


class ExternalId(models.Model):
    """What another system calls this athlete."""

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="external_ids")
    source = models.CharField(max_length=60, blank=True, help_text="The system that gave the id; may be empty.")
    value = models.CharField(max_length=120)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["source", "value"], name="external_id_names_one_athlete")]

    def __str__(self) -> str:
        return self.value


class TrainingGroup(Addressed):
    name = models.CharField(max_length=80, unique=True)
    athletes = models.ManyToManyField(Athlete, blank=True, related_name="groups")
    visiting_coaches = models.ManyToManyField(
        settings.AUTH_USER_MODEL,
        blank=True,
        related_name="visited_groups",
        limit_choices_to={"role": Role.VISITING_COACH},
    )

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Guardianship(models.Model):
    guardian = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        related_name="guardianships",
        limit_choices_to={"role": Role.GUARDIAN},
    )
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="guardianships")
    relation = models.CharField(max_length=40, blank=True, help_text="For example mother.")
    kept_on = models.DateField(
        null=True, blank=True, help_text="On which day the athlete, of age, said that this guardian may go on reading."
    )

    class Meta:
        constraints = [models.UniqueConstraint(fields=["guardian", "athlete"], name="guardian_of_a_child_once")]

    def __str__(self) -> str:
        return f"{self.guardian}, {self.relation or 'guardian'} of {self.athlete}"


class Referral(models.Model):
    """Lets a clinician see one athlete."""

    clinician = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        related_name="referrals",
        limit_choices_to={"role": Role.CLINICIAN},
    )
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="referrals")
    reason = models.CharField(max_length=300, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["clinician", "athlete"], name="referred_once")]

    def __str__(self) -> str:
        return f"{self.athlete} referred to {self.clinician}"


class Contact(models.Model):
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="contacts")
    name = models.CharField(max_length=120)
    relation = models.CharField(max_length=40, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)

    def __str__(self) -> str:
        return self.name
