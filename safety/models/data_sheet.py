"""What a maker says of a product: the record of the safety data sheet, and the words on the label."""

from typing import Self

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Coalesce

from inventory.models import Item
from safety.rules.statements import split_cell
from studio.models import Studio, User


class SignalWord(models.TextChoices):
    DANGER = "Danger", "Danger"
    WARNING = "Warning", "Warning"


class StatedQuerySet(models.QuerySet):
    def of(self, studio: Studio) -> Self:
        return self.filter(item__studio=studio)

    def standing(self) -> Self:
        """Without those that turned out to be a mistake."""
        return self.filter(withdrawn_at=None)


class Stated(models.Model):
    """Statements as a sheet or a label prints them; a mistake is withdrawn, never deleted."""

    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="%(class)ss")
    signal_word = models.CharField(max_length=10, choices=SignalWord.choices, blank=True)
    # Codes stay as they are printed, with what is added in brackets; ";" stands between.
    h_codes = models.TextField("hazard statements (H, EUH)", blank=True)
    p_codes = models.TextField("precautionary statements (P)", blank=True)
    pictograms = models.CharField("signs", max_length=80, blank=True)
    read_on = models.DateField("read on", help_text="The day on which somebody read it.")
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+", help_text="Who read it.")
    recorded_at = models.DateTimeField(auto_now_add=True)
    notes = models.TextField(blank=True)
    # NULL while the record stands.
    withdrawn_at = models.DateTimeField(null=True, blank=True, editable=False)
    withdrawn_by = models.ForeignKey(
        User, null=True, blank=True, editable=False, on_delete=models.PROTECT, related_name="+"
    )
    withdrawn_why = models.CharField(max_length=200, blank=True, editable=False)

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(
                condition=Q(signal_word__in=["", *SignalWord.values]), name="%(class)s_signal_word_known"
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at=None, withdrawn_by=None, withdrawn_why="")
                | (~Q(withdrawn_at=None) & ~Q(withdrawn_by=None) & ~Q(withdrawn_why="")),
                name="%(class)s_withdrawn_by_somebody",
            ),
        ]

    @property
    def h_code_list(self) -> tuple[str, ...]:
        return split_cell(self.h_codes)

    @property
    def p_code_list(self) -> tuple[str, ...]:
        return split_cell(self.p_codes)

    @property
    def signs(self) -> tuple[str, ...]:
        return split_cell(self.pictograms)


class DataSheetQuerySet(StatedQuerySet):
    def newest_first(self) -> Self:
        """By revision; a sheet that prints no date counts from the day on which it was read."""
        return self.order_by(Coalesce("revised_on", "read_on").desc(), "-read_on", "-pk")


class DataSheet(Stated):
    """A maker's safety data sheet for one product. A newer revision is a row of its own; the older stays."""

    product = models.CharField("product name", max_length=200, help_text="As section 1 of the sheet has it.")
    revised_on = models.DateField(
        "revised on", null=True, blank=True, help_text="The sheet's own date. Leave it empty when it prints none."
    )
    jurisdiction = models.CharField(
        max_length=60, blank=True, help_text="The country or rules that the sheet is written for, such as EU."
    )
    other_hazards = models.CharField(
        "other hazards", max_length=300, blank=True, help_text="What section 2 adds without a code."
    )
    ufi = models.CharField("UFI", max_length=40, blank=True, help_text="Unique formula identifier, as printed.")
    conformity = models.CharField(
        "conformity words", max_length=200, blank=True, help_text="Such as: conforms to ASTM D4236."
    )
    review_on = models.DateField("look again on", null=True, blank=True, help_text="NULL: no day was set.")
    # Codes that the table of statements does not hold, kept because somebody said that they are printed so.
    unknown_codes = models.TextField("codes not known here", blank=True, editable=False)
    # When somebody last made sure that this is still the newest revision. NULL: not since it was read.
    looked_on = models.DateField(null=True, blank=True, editable=False)
    looked_by = models.ForeignKey(
        User, null=True, blank=True, editable=False, on_delete=models.PROTECT, related_name="+"
    )
    says_not_classified = models.BooleanField("the sheet itself says that the product is not classified", default=False)

    objects = DataSheetQuerySet.as_manager()

    class Meta(Stated.Meta):
        ordering = ("-pk",)
        indexes = [models.Index(fields=["item"], condition=Q(withdrawn_at=None), name="datasheet_standing")]
        constraints = [
            *Stated.Meta.constraints,
            models.CheckConstraint(condition=~Q(product=""), name="datasheet_product_named"),
            models.CheckConstraint(
                condition=Q(revised_on=None) | Q(revised_on__lte=F("read_on")),
                name="datasheet_read_after_revision",
                violation_error_message="A sheet cannot be read before it was revised: check both dates.",
            ),
            models.UniqueConstraint(
                fields=["item", "product", "jurisdiction", "revised_on"],
                condition=Q(withdrawn_at=None),
                name="datasheet_revision_once",
                violation_error_message="This revision is already recorded: withdraw that record if it is wrong.",
            ),
            models.CheckConstraint(
                condition=Q(says_not_classified=False) | Q(signal_word="", pictograms=""),
                name="datasheet_not_classified_has_no_sign",
                violation_error_message="A sheet with a signal word or a sign does classify the product: "
                "take the tick away, or the sign.",
            ),
            models.CheckConstraint(
                condition=Q(looked_on=None, looked_by=None) | (~Q(looked_on=None) & ~Q(looked_by=None)),
                name="datasheet_looked_at_by_somebody",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.product}, {self.revision}"

    @property
    def revision(self) -> str:
        return f"revised {self.revised_on.isoformat()}" if self.revised_on else "revision date not printed"

    @property
    def unknown_code_list(self) -> tuple[str, ...]:
        return split_cell(self.unknown_codes)

    @property
    def gives_hazards(self) -> bool:
        return bool(self.h_codes or self.signal_word or self.pictograms or self.says_not_classified)


class PrintedSo(models.Model):
    """Somebody looked at the sheet again and says of one question: it is printed so."""

    sheet = models.ForeignKey(DataSheet, on_delete=models.PROTECT, related_name="printed_so")
    question = models.CharField(max_length=80, help_text="The key of the question.")
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("pk",)
        constraints = [models.UniqueConstraint(fields=["sheet", "question"], name="printed_so_once")]

    def __str__(self) -> str:
        return self.question


class SheetFile(models.Model):
    """The maker's sheet itself, kept privately under a name of ours."""

    sheet = models.OneToOneField(DataSheet, on_delete=models.PROTECT, related_name="file")
    stored_as = models.CharField(max_length=60, unique=True, editable=False)
    name = models.CharField("file name", max_length=160, help_text="As it was given; never a path.")
    size = models.PositiveBigIntegerField(help_text="Bytes.")
    sha256 = models.CharField(max_length=64)
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-pk",)

    def __str__(self) -> str:
        return self.name


class LabelStatement(Stated):
    """What the label of a container says, word for word."""

    text = models.TextField("the label's words", blank=True, help_text="Word for word, as printed.")
    seal = models.CharField("seals", max_length=80, blank=True, help_text="The letters of each seal, ';' between.")
    conformity = models.CharField(
        "conformity words", max_length=200, blank=True, help_text="Such as: conforms to ASTM D4236."
    )

    objects = StatedQuerySet.as_manager()

    class Meta(Stated.Meta):
        ordering = ("-pk",)
        indexes = [models.Index(fields=["item"], condition=Q(withdrawn_at=None), name="labelstatement_standing")]
        constraints = [
            *Stated.Meta.constraints,
            models.CheckConstraint(
                condition=~Q(text="", h_codes="", p_codes="", signal_word="", pictograms=""),
                name="labelstatement_says_something",
                violation_error_message="Copy at least the words, a code, a sign or the signal word of the label.",
            ),
        ]

    def __str__(self) -> str:
        return self.text[:80] or self.h_codes or self.signal_word or self.pictograms or self.p_codes
