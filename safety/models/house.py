"""What this house decided: rules with who set them, when and on whose word. None ships as a default."""

from typing import Any, Self

from django.db import models
from django.db.models import Q

from inventory.models import Group, Room
from safety.models.withdrawn import Withdrawable
from studio.models import AppendOnlyError, Studio, User


class RuleKind(models.TextChoices):
    BAN = "ban", "Not for this group"
    WARN = "warn", "Warn this group"
    INTERVAL = "interval", "How often something is looked at"
    LIMIT = "limit", "How much may be here"
    FIELD = "field", "What a label or tag must show, or must not"
    LEVEL = "level", "Handling level"
    WORDING = "wording", "Words for the notices"


class Reach(models.TextChoices):
    """What a ban, a warning or a level goes by."""

    EVERYTHING = "everything", "Everything"
    NO_DATA = "no data", "Whatever has no maker's data"
    SEAL = "seal", "A seal printed on the label"
    NO_SEAL = "no seal", "Whatever does not carry the seal"
    CODE = "code", "A hazard statement"
    METAL = "metal", "A metal"
    PIGMENT = "pigment", "A pigment code"
    FORM = "form", "A form or a kind of material"
    LEVEL = "level", "A handling level"
    ITEM = "item", "One paint or material"


class HouseRuleQuerySet(models.QuerySet["HouseRule"]):
    def of(self, studio: Studio) -> Self:
        return self.filter(studio=studio)

    def standing(self) -> Self:
        return self.filter(ended_at=None)


class HouseRule(models.Model):
    """One rule. A changed rule is a new row that replaces the older, so that it can be told what held when."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="house_rules")
    kind = models.CharField(max_length=10, choices=RuleKind.choices)
    text = models.CharField(max_length=400, help_text="The rule in this house's own words, as it is printed.")
    # For a ban, a warning or a level: what it goes by, and the seals, codes, metals ... themselves.
    reach = models.CharField(max_length=12, choices=Reach.choices, blank=True)
    values = models.JSONField(default=list, blank=True)
    # For a ban or a warning. Empty: everybody.
    groups: "models.ManyToManyField[Group, Group]" = models.ManyToManyField(
        Group, blank=True, related_name="house_rules"
    )
    # What an interval, a limit, a field, a level or words are about.
    subject = models.CharField(max_length=60, blank=True)
    days = models.PositiveIntegerField(null=True, blank=True, help_text="For an interval.")
    amount_milli = models.PositiveBigIntegerField(null=True, blank=True, help_text="For a limit.")
    unit = models.CharField(max_length=4, blank=True)
    # For a field: True demanded, False forbidden. NULL: another kind of rule.
    demanded = models.BooleanField(null=True, blank=True)
    level = models.CharField(max_length=20, blank=True, help_text="For a level.")
    room = models.ForeignKey(
        Room, null=True, blank=True, on_delete=models.PROTECT, related_name="house_rules", help_text="NULL: everywhere."
    )
    on_whose_word = models.CharField(max_length=160, help_text="Who decided it, such as: the safety office, by letter.")
    set_on = models.DateField()
    recorded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)
    replaces = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by", help_text="NULL: none."
    )
    ended_at = models.DateTimeField(null=True, blank=True, editable=False, help_text="NULL while it holds.")
    ended_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    objects = HouseRuleQuerySet.as_manager()

    class Meta:
        ordering = ("kind", "pk")
        indexes = [models.Index(fields=["studio", "kind"], condition=Q(ended_at=None), name="house_rule_standing")]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=RuleKind.values), name="house_rule_kind_known"),
            models.CheckConstraint(condition=Q(reach__in=["", *Reach.values]), name="house_rule_reach_known"),
            models.CheckConstraint(condition=~Q(text="") & ~Q(on_whose_word=""), name="house_rule_worded_by_somebody"),
            models.CheckConstraint(
                condition=~Q(kind="interval") | (Q(days__gt=0) & ~Q(subject="")), name="house_rule_interval_whole"
            ),
            models.CheckConstraint(
                condition=~Q(kind__in=["ban", "warn"]) | ~Q(reach=""), name="house_rule_ban_reaches_something"
            ),
        ]

    def __str__(self) -> str:
        return self.text


class RulesVersion(models.Model):
    """The house's rules as people sign them: a numbered text that never changes."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="rules_versions")
    number = models.PositiveIntegerField(editable=False)
    title = models.CharField(max_length=120)
    text = models.TextField()
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-number",)
        constraints = [
            models.UniqueConstraint(fields=["studio", "number"], name="rules_version_number_once"),
            models.CheckConstraint(condition=~Q(title="") & ~Q(text=""), name="rules_version_says_something"),
        ]

    def __str__(self) -> str:
        return f"{self.title}, version {self.number}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk is not None and not self._state.adding:
            raise AppendOnlyError(f"{self} was made to be signed and does not change: make a new version.")
        super().save(*args, **kwargs)


class SignOff(Withdrawable):
    """Somebody was shown a version of the rules and signed."""

    version = models.ForeignKey(RulesVersion, on_delete=models.PROTECT, related_name="sign_offs")
    person = models.ForeignKey(User, null=True, blank=True, on_delete=models.PROTECT, related_name="sign_offs")
    name = models.CharField(max_length=120, help_text="As signed; a student need not have an account.")
    signed_on = models.DateField()
    recorded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)
    left_at = models.DateTimeField(
        null=True, blank=True, editable=False, help_text="NULL while this person still comes."
    )

    class Meta(Withdrawable.Meta):
        ordering = ("name", "-pk")
        constraints = [
            *Withdrawable.Meta.constraints,
            models.UniqueConstraint(
                fields=["version", "name"],
                condition=Q(withdrawn_at=None),
                name="sign_off_once",
                violation_error_message="This person has already signed this version.",
            ),
            models.CheckConstraint(condition=~Q(name=""), name="sign_off_named"),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.version}"
