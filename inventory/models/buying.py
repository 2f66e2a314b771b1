"""Who sells it at what price and size, what was ordered, and what came."""

from django.core.validators import MaxValueValidator, RegexValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from inventory.models.paint import Binder, Item
from inventory.models.pigment import Pigment
from inventory.models.tube import Unit
from studio.models import Studio, User

LONGEST_LEAD_DAYS = 730
CURRENCY = RegexValidator(r"^[A-Z]{3}$", "Write the three capital letters of ISO 4217, such as EUR.")


class Supplier(models.Model):
    """Somebody who sells to this studio."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="suppliers")
    name = models.CharField(max_length=120)
    # From order to delivery. NULL: not known.
    lead_days = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MaxValueValidator(LONGEST_LEAD_DAYS)]
    )
    lead_days_sd = models.PositiveSmallIntegerField(
        "spread of the lead time", null=True, blank=True, validators=[MaxValueValidator(LONGEST_LEAD_DAYS)]
    )
    contact = models.CharField(max_length=200, blank=True)
    notes = models.TextField(blank=True)
    removed_at = models.DateTimeField(null=True, blank=True, editable=False, help_text="NULL while it is used.")

    class Meta:
        ordering = ("name",)
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "name"],
                name="supplier_name_once",
                violation_error_message="This studio already has a supplier of this name.",
            ),
            models.CheckConstraint(condition=~Q(name=""), name="supplier_named"),
        ]

    def __str__(self) -> str:
        return self.name


class OrderDay(models.Model):
    """A day on which this house orders; many order twice a year."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="order_days")
    on = models.DateField()
    supplier = models.ForeignKey(
        Supplier, null=True, blank=True, on_delete=models.PROTECT, related_name="order_days", help_text="NULL: all."
    )
    note = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ("on", "pk")
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "on", "supplier"],
                name="order_day_once",
                violation_error_message="This order date is already set.",
            ),
            models.UniqueConstraint(
                fields=["studio", "on"],
                condition=Q(supplier=None),
                name="order_day_of_all_once",
                violation_error_message="This order date is already set.",
            ),
        ]

    def __str__(self) -> str:
        return f"order on {self.on.isoformat()}"


class OfferQuerySet(models.QuerySet["Offer"]):
    def of(self, studio: Studio) -> "OfferQuerySet":
        return self.filter(supplier__studio=studio)

    def standing(self) -> "OfferQuerySet":
        return self.filter(withdrawn_at=None, supplier__removed_at=None)


class Offer(models.Model):
    """A price for a pack of one product. A new price is a row of its own, so that prices over time stay."""

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="offers")
    # NULL: not on this shelf yet; then the name, the binder and the pigment say what it is.
    item = models.ForeignKey(Item, null=True, blank=True, on_delete=models.PROTECT, related_name="offers")
    name = models.CharField(max_length=160, help_text="As the supplier lists it.")
    code = models.CharField("supplier's code", max_length=60, blank=True)
    binder = models.CharField(max_length=20, choices=Binder.choices, default=Binder.UNKNOWN)
    pigment = models.ForeignKey(
        Pigment,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="offers",
        help_text="NULL: not said.",
    )
    series = models.CharField(max_length=20, blank=True, help_text="The maker's price group; never a price.")
    nominal_milli = models.PositiveBigIntegerField("size", help_text="Of one container, in thousandths of the unit.")
    unit = models.CharField(max_length=2, choices=Unit.choices, default=Unit.ML)
    pack = models.PositiveIntegerField("containers in a pack", default=1)
    price_minor = models.PositiveBigIntegerField("price of a pack", help_text="In the currency's smallest coin.")
    currency = models.CharField(max_length=3, validators=[CURRENCY])
    price_text = models.CharField(max_length=60, blank=True, help_text="As typed.")
    valid_from = models.DateField()
    valid_until = models.DateField(null=True, blank=True, help_text="NULL: no end was stated.")
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+", help_text="NULL: has left.")
    recorded_at = models.DateTimeField(auto_now_add=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True, editable=False, help_text="NULL while it stands.")

    objects = OfferQuerySet.as_manager()

    class Meta:
        ordering = ("-valid_from", "-pk")
        indexes = [models.Index(fields=["item", "-valid_from"], name="offer_of_item")]
        constraints = [
            models.CheckConstraint(condition=~Q(name=""), name="offer_named"),
            models.CheckConstraint(
                condition=Q(price_minor__gt=0),
                name="offer_price_above_zero",
                violation_error_message="Enter a price above 0.",
            ),
            models.CheckConstraint(condition=Q(pack__gt=0), name="offer_pack_above_zero"),
            models.CheckConstraint(condition=Q(nominal_milli__gt=0), name="offer_size_above_zero"),
            models.CheckConstraint(condition=Q(unit__in=Unit.values), name="offer_unit_known"),
            models.CheckConstraint(
                condition=Q(valid_until=None) | Q(valid_until__gte=F("valid_from")),
                name="offer_ends_after_it_begins",
                violation_error_message="The offer ends before it begins: check both dates.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.supplier}"


class OfferBreak(models.Model):
    """The price of a pack when so many are bought at once."""

    offer = models.ForeignKey(Offer, on_delete=models.CASCADE, related_name="breaks")
    from_packs = models.PositiveIntegerField()
    price_minor = models.PositiveBigIntegerField()

    class Meta:
        ordering = ("from_packs",)
        constraints = [
            models.UniqueConstraint(fields=["offer", "from_packs"], name="offer_break_once"),
            models.CheckConstraint(condition=Q(from_packs__gt=1, price_minor__gt=0), name="offer_break_whole"),
        ]

    def __str__(self) -> str:
        return f"from {self.from_packs} packs"


class OrderState(models.TextChoices):
    DRAFT = "draft", "Being written"
    SENT = "sent", "Sent"
    CLOSED = "closed", "Closed"
    CANCELLED = "cancelled", "Cancelled"


class Order(models.Model):
    """What was asked of one supplier at once."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="orders")
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="orders")
    reference = models.CharField("order number", max_length=60, blank=True)
    state = models.CharField(max_length=10, choices=OrderState.choices, default=OrderState.DRAFT)
    placed_on = models.DateField(null=True, blank=True, help_text="NULL until it is sent.")
    expected_on = models.DateField(null=True, blank=True, help_text="NULL: not known.")
    note = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+", help_text="NULL: has left.")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-pk",)
        constraints = [
            models.CheckConstraint(condition=Q(state__in=OrderState.values), name="order_state_known"),
            models.CheckConstraint(condition=~Q(state="sent") | ~Q(placed_on=None), name="order_sent_on_a_day"),
        ]

    def __str__(self) -> str:
        return self.reference or f"order {self.pk} from {self.supplier}"


class OrderLine(models.Model):
    """So many packs of one product. The price is that of the day, whatever the offer says later."""

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="lines")
    item = models.ForeignKey(Item, null=True, blank=True, on_delete=models.PROTECT, related_name="order_lines")
    offer = models.ForeignKey(Offer, null=True, blank=True, on_delete=models.PROTECT, related_name="order_lines")
    name = models.CharField(max_length=160)
    code = models.CharField(max_length=60, blank=True)
    packs = models.PositiveIntegerField()
    pack = models.PositiveIntegerField(default=1)
    nominal_milli = models.PositiveBigIntegerField()
    unit = models.CharField(max_length=2, choices=Unit.choices, default=Unit.ML)
    # NULL: no price was known. Both or neither.
    price_minor = models.PositiveBigIntegerField(null=True, blank=True)
    currency = models.CharField(max_length=3, blank=True)
    back_ordered = models.BooleanField(default=False, help_text="The supplier will send the rest later.")
    closed_short = models.BooleanField(default=False, help_text="The rest is not coming.")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ("pk",)
        constraints = [
            models.CheckConstraint(condition=Q(packs__gt=0, pack__gt=0, nominal_milli__gt=0), name="order_line_whole"),
            models.CheckConstraint(
                condition=Q(price_minor=None, currency="") | (Q(price_minor__gt=0) & ~Q(currency="")),
                name="order_line_price_has_a_currency",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.packs} of {self.name}"


class Delivery(models.Model):
    """One parcel of an order that came, or goods of it that went back."""

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="deliveries")
    returned = models.BooleanField(default=False, help_text="These went back to the supplier.")
    at = models.DateTimeField(default=timezone.now)
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=60, null=True, blank=True, help_text="NULL: sent without one.")
    # It was entered by mistake; correcting entries took its containers off the shelf again.
    taken_back_at = models.DateTimeField(null=True, blank=True, editable=False, help_text="NULL: it stands.")

    class Meta:
        ordering = ("pk",)
        verbose_name_plural = "deliveries"
        constraints = [
            models.UniqueConstraint(fields=["order", "key"], condition=~Q(key=None), name="delivery_key_once")
        ]

    def __str__(self) -> str:
        return f"{'return' if self.returned else 'delivery'} of {self.order}"


class DeliveryLine(models.Model):
    """Containers of one order line, whole or in part; the tubes that were made of them are in the ledger."""

    delivery = models.ForeignKey(Delivery, on_delete=models.CASCADE, related_name="lines")
    order_line = models.ForeignKey(OrderLine, on_delete=models.PROTECT, related_name="deliveries")
    containers = models.PositiveIntegerField()

    class Meta:
        ordering = ("pk",)
        constraints = [models.CheckConstraint(condition=Q(containers__gt=0), name="delivery_line_above_zero")]

    def __str__(self) -> str:
        return f"{self.containers} of {self.order_line.name}"


class Want(models.Model):
    """A line of the list of what to buy, until it is on an order or dropped."""

    studio = models.ForeignKey(Studio, on_delete=models.PROTECT, related_name="wants")
    item = models.ForeignKey(Item, null=True, blank=True, on_delete=models.PROTECT, related_name="wants")
    words = models.CharField(max_length=160, help_text="What it is, by name and code.")
    containers = models.PositiveIntegerField()
    # NULL: any size.
    nominal_milli = models.PositiveBigIntegerField(null=True, blank=True)
    unit = models.CharField(max_length=2, choices=Unit.choices, default=Unit.ML)
    offer = models.ForeignKey(Offer, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    why = models.CharField(max_length=400, blank=True)
    by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+", help_text="NULL: has left.")
    at = models.DateTimeField(auto_now_add=True)
    order_line = models.OneToOneField(
        OrderLine, null=True, blank=True, on_delete=models.SET_NULL, related_name="want", help_text="NULL: not ordered."
    )
    dropped_at = models.DateTimeField(null=True, blank=True, help_text="NULL while it is wanted.")

    class Meta:
        ordering = ("pk",)
        constraints = [
            models.CheckConstraint(condition=Q(containers__gt=0), name="want_above_zero"),
            models.CheckConstraint(condition=~Q(words=""), name="want_named"),
        ]

    def __str__(self) -> str:
        return f"{self.containers} of {self.words}"


class Substitute(models.Model):
    """What may be bought or brought in place of an item, and what may not."""

    item = models.ForeignKey(Item, on_delete=models.CASCADE, related_name="substitutes")
    words = models.CharField(max_length=160, help_text="The other product by name and code.")
    codes = models.CharField("pigment codes", max_length=160, blank=True, help_text="In label order, '+' between.")
    accepted = models.BooleanField(help_text="False: not this one.")
    why = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+", help_text="NULL: has left.")

    class Meta:
        ordering = ("-accepted", "words")
        constraints = [
            models.UniqueConstraint(
                fields=["item", "words"],
                name="substitute_once",
                violation_error_message="This one is already listed here.",
            ),
            models.CheckConstraint(condition=~Q(words=""), name="substitute_named"),
        ]

    def __str__(self) -> str:
        return f"{'or' if self.accepted else 'not'} {self.words}"


class ServiceKind(models.TextChoices):
    CYCLE = "cycle", "No shortage in so many of 100 order rounds"
    FILL = "fill", "So many of 100 ml asked for are on the shelf"
    COST = "cost", "Running out is so many times as bad as having as much left over"


class BuyingPolicy(models.Model):
    """How this house wants to be kept in stock; without one no order-up-to level is worked out."""

    studio = models.OneToOneField(Studio, on_delete=models.CASCADE, related_name="buying_policy")
    service_kind = models.CharField(max_length=5, choices=ServiceKind.choices, default=ServiceKind.CYCLE)
    service_permille = models.PositiveSmallIntegerField(default=950)
    # NULL: it orders on its order dates alone.
    review_days = models.PositiveSmallIntegerField(null=True, blank=True, help_text="Days from one order to the next.")
    default_lead_days = models.PositiveSmallIntegerField(null=True, blank=True, help_text="NULL: not known.")
    # What one order costs beside the goods, in the smallest coin. NULL: not said.
    order_cost_minor = models.PositiveIntegerField(null=True, blank=True)
    order_cost_currency = models.CharField(max_length=3, blank=True)
    holding_percent = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="What a year on the shelf costs of the price, in per cent. NULL: not said."
    )
    set_by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    set_at = models.DateTimeField(auto_now=True)

    class Meta:
        verbose_name_plural = "buying policies"
        constraints = [
            models.CheckConstraint(
                condition=Q(service_permille__gte=500, service_permille__lte=999),
                name="buying_service_within_bounds",
                violation_error_message="Enter a service between 50 and 99.9 %.",
            ),
            models.CheckConstraint(
                condition=Q(review_days=None) | Q(review_days__gt=0), name="buying_review_above_zero"
            ),
        ]

    def __str__(self) -> str:
        return f"buying policy of {self.studio}"

    @property
    def times_as_bad(self) -> float:
        """How much worse running out is than as much left over, by the chance that the round suffices."""
        return self.service_permille / (1000 - self.service_permille)

    @property
    def service_words(self) -> str:
        share = f"{self.service_permille / 10:g} of 100"
        if self.service_kind == ServiceKind.COST:
            return f"Running out is {self.times_as_bad:.3g} times as bad as having as much left over"
        if self.service_kind == ServiceKind.FILL:
            return f"{share} ml asked for are to be on the shelf"
        return f"No shortage is to come in {share} order rounds"
