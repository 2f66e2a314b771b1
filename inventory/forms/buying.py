"""What somebody types about suppliers, prices, what is wanted, and orders."""

import re
from collections.abc import Iterable
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory.forms.amounts import AmountField, WholeNumberField
from inventory.forms.tubes import KeyForm
from inventory.labels import MINOR_DIGITS, Doubt, Money, Severity, read_count, read_money
from inventory.models import Binder, Item, Offer, Pigment, Place, Supplier, Tube
from inventory.queries.buying.orders import LineNow, OrderPage
from inventory.queries.shelf import places
from inventory.services.buying import Arrived, Break
from studio.models import Studio

_SERIES = re.compile(r"\b(?:series|serie|group|groupe|gruppe|pg|preisgruppe)\b", re.IGNORECASE)
_PACK = re.compile(r"(\d{1,4}) ?[x×*] ?(?=\d)")
_LINE = re.compile(r"(?:from\s+)?(?P<packs>\d{1,6})\s*(?:packs?|tubes?|x)?\s*(?::|=|on)\s*(?P<price>.+)", re.IGNORECASE)


class DayField(forms.DateField):
    """A day, chosen from the browser's calendar or typed as 2026-03-02."""

    widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(input_formats=["%Y-%m-%d", "%d.%m.%Y", "%d/%m/%Y"], **kwargs)

    def to_python(self, value: Any) -> date | None:
        try:
            return super().to_python(value)
        except ValidationError:
            raise ValidationError(f"{self.label}: “{value}” is no day. Enter it as 2026-03-02.") from None


class DaysField(forms.CharField):
    """A number of days, 0 or more: "-1" is refused with what it says."""

    def clean(self, value: Any) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        count = read_count(text.removesuffix("days").removesuffix("day").strip())
        if count.value is None:
            raise ValidationError(f"{self.label}: “{text}” is no number of days from 0 on. Enter a number such as 12.")
        return count.value


def price_of(
    label: str, text: str, *, studio: Studio, currency: str = "", which: str = "It can be chosen under Currency."
) -> Money:
    """A price above 0 in one currency; ValidationError says what is asked or refused, and what to enter.

    `which` says what to do where a sign may mean several currencies.
    """
    if _SERIES.search(text):
        raise ValidationError(
            f"{label}: “{text}” is a price group of the maker. Enter it under Series, and the price in money here."
        )
    if re.fullmatch(r"\D{0,6}[-−]\s*[\d.,]+\D*", text.strip()):
        raise ValidationError(f"{label}: “{text}” is below 0, and no price is. Enter one above 0, such as 6.95.")
    money = read_money(text, currency=currency or studio.currency)
    asked = next((doubt for doubt in money.doubts if doubt.is_open), None)
    if asked is not None:
        raise ValidationError(f"{label}: {asked.message} {_remedy(asked, which)}")
    if currency and money.currency != currency:
        raise ValidationError(
            f"{label}: “{text}” is in {money.currency}, but {currency} is chosen. Choose {money.currency}, or enter "
            f"the price in {currency}."
        )
    if not money.minor:
        raise ValidationError(f"{label}: “{text}” is no price. Enter one above 0, such as 6.95.")
    return money


def _remedy(doubt: Doubt, which: str) -> str:
    if doubt.code == "currency" and doubt.options:
        return which
    if doubt.options:
        return f"Enter {' or '.join(option.value for option in doubt.options)}."
    return "Enter it such as 6.95 or 6,95 €."


class SupplierForm(forms.Form):
    name = forms.CharField(label="Name", max_length=120)
    lead_days = DaysField(
        label="Lead time in days",
        required=False,
        max_length=20,
        help_text="From the order to the parcel. Leave it empty where it is not known.",
    )
    lead_days_sd = DaysField(
        label="Spread of the lead time in days",
        required=False,
        max_length=20,
        help_text="How much it varies (standard deviation).",
    )
    contact = forms.CharField(
        label="Contact", max_length=200, required=False, help_text="Printed on the list that goes to them."
    )
    notes = forms.CharField(label="Notes", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3}))

    @classmethod
    def initial_of(cls, supplier: Supplier) -> dict[str, Any]:
        return {name: getattr(supplier, name) for name in cls.base_fields}


def suppliers_field(**kwargs: Any) -> forms.ModelChoiceField:
    return forms.ModelChoiceField(
        Supplier.objects.none(),
        error_messages={
            "invalid_choice": "Supplier: that one was removed meanwhile. Choose another, or bring it back."
        },
        **kwargs,
    )


def _narrow(form: forms.Form, studio: Studio, **querysets: Any) -> None:
    """Let the choices of the form be the studio's own rows."""
    known = {
        "supplier": Supplier.objects.filter(studio=studio, removed_at=None),
        "item": Item.objects.of(studio).kept().order_by("sort_name", "pk"),
        "place": places(studio),
        **querysets,
    }
    for name, field in form.fields.items():
        if isinstance(field, forms.ModelChoiceField) and name in known:
            field.queryset = known[name]


class OrderDayForm(forms.Form):
    on = DayField(label="Order date")
    supplier = suppliers_field(label="Supplier", required=False, empty_label="All suppliers")
    note = forms.CharField(label="Note", max_length=120, required=False)

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _narrow(self, studio)


class OfferForm(forms.Form):
    """A price as a supplier lists it."""

    supplier = suppliers_field(label="Supplier", empty_label="Choose a supplier")
    item = forms.ModelChoiceField(
        Item.objects.none(),
        label="Paint or material",
        required=False,
        empty_label="Not on this shelf",
        error_messages={"invalid_choice": "Paint or material: that one is not on the lists any more. Choose another."},
    )
    name = forms.CharField(
        label="Name in their list",
        max_length=160,
        required=False,
        help_text="Needed for what is not on this shelf; else as the supplier calls it.",
    )
    size = AmountField(label="Size of one container", help_text="As listed: 37 ml, 1.35 fl.oz, 40 ml e 1,35 fl.oz.")
    pack = WholeNumberField(label="Containers in a pack", initial="1", max_length=20)
    price = forms.CharField(label="Price of a pack", max_length=60, help_text="As listed: 6,95 €, $8.81, £4.50.")
    currency = forms.ChoiceField(
        label="Currency", required=False, help_text="Only where the price does not say it, or says $, ¥ or kr."
    )
    breaks = forms.CharField(
        label="Quantity discounts",
        required=False,
        max_length=400,
        help_text="One a line or with semicolons: 6: 5.90; 12: 5.50 means that from 6 packs on each costs 5.90.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    code = forms.CharField(label="Supplier's code", max_length=60, required=False)
    series = forms.CharField(
        label="Series", max_length=20, required=False, help_text="The maker's price group. It is never read as a price."
    )
    binder = forms.ChoiceField(label="Binder", choices=Binder.choices, initial=Binder.UNKNOWN, required=False)
    pigment = forms.CharField(
        label="Pigment code", max_length=20, required=False, help_text="Of what is not on this shelf, such as PR122."
    )
    valid_from = DayField(label="Valid from", required=False, help_text="Empty: today.")
    valid_until = DayField(label="Valid until", required=False, help_text="Empty: no end is stated.")
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.studio = studio
        _narrow(self, studio)
        currency = self.fields["currency"]
        assert isinstance(currency, forms.ChoiceField)  # noqa: S101  # for the type checker
        known = sorted({*MINOR_DIGITS, studio.currency})
        currency.choices = [("", f"As written, else {studio.currency}"), *((code, code) for code in known)]

    def clean_pack(self) -> int:
        pack: int = self.cleaned_data["pack"] or 0
        if not 1 <= pack <= 1000:
            raise ValidationError(f"Containers in a pack: enter 1 to 1000, not {pack}.")
        return pack

    def clean_pigment(self) -> Pigment | None:
        code = self.cleaned_data["pigment"].replace(" ", "").replace(".", "")
        if not code:
            return None
        found = Pigment.objects.filter(ci_name__iexact=code).first()
        if found is None:
            raise ValidationError(
                f"Pigment code: “{self.cleaned_data['pigment']}” is not in the reference table. Enter one such as "
                "PB29, or leave it empty."
            )
        return found

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        currency = cleaned.get("currency", "")
        self._read("price", lambda text: price_of("Price of a pack", text, studio=self.studio, currency=currency))
        if (money := cleaned.get("price")) is not None:
            self._read("breaks", lambda text: list(self._breaks(text, money.currency)))
        if not cleaned.get("item") and not cleaned.get("name") and "item" not in self.errors:
            self.add_error("name", "Name in their list: enter it, or choose a paint or material.")
        size, pack = cleaned.get("size"), cleaned.get("pack")
        if size is not None and pack == 1 and (found := _PACK.search(size.text)) and int(found[1]) > 1:
            self.add_error(
                "pack",
                f"Containers in a pack: “{size.text}” looks like {found[1]} of them. Enter {found[1]} here and the "
                "size of one above, or the size alone.",
            )
        begins, ends = cleaned.get("valid_from") or timezone.localdate(), cleaned.get("valid_until")
        if ends is not None and ends < begins:
            if cleaned.get("valid_from"):
                self.add_error(
                    "valid_until", f"Valid until: {ends} is before {begins}, when it begins. Check both days."
                )
            else:
                cleaned["valid_from"] = ends  # an old price, of which only the end is known
        return cleaned

    def _read(self, name: str, read: Any) -> None:
        if name not in self.cleaned_data:
            return
        try:
            self.cleaned_data[name] = read(self.cleaned_data[name])
        except ValidationError as error:
            self.add_error(name, error)

    def _breaks(self, text: str, currency: str) -> Iterable[Break]:
        for line in re.split(r"[;\n]", text):
            if not line.strip():
                continue
            found = _LINE.fullmatch(line.strip())
            if found is None:
                raise ValidationError(
                    f"Quantity discounts: “{line.strip()}” is not a number of packs and a price. Enter it such as "
                    "6: 5.90."
                )
            money = price_of("Quantity discounts", found["price"], studio=self.studio, currency=currency)
            assert money.minor is not None  # noqa: S101  # a price that was read has an amount
            yield Break(int(found["packs"]), money.minor)

    def notes(self) -> list[str]:
        """What was read in a way that is worth a look."""
        doubts = (*self.cleaned_data["price"].doubts, *self.cleaned_data["size"].doubts)
        found = [doubt.message for doubt in doubts if doubt.severity in (Severity.READ_AS, Severity.NOTE)]
        ends = self.cleaned_data["valid_until"]
        if ends is not None and ends < timezone.localdate():
            found.append(
                f"It is over since {ends:%-d %B %Y}: it stands among the prices over time, not among the offers."
            )
        return found

    def fields_of_offer(self) -> dict[str, Any]:
        """As the service takes them."""
        data = self.cleaned_data
        size, price = data["size"], data["price"]
        names = ("supplier", "item", "name", "pack", "code", "series", "pigment", "valid_from", "valid_until", "note")
        return {
            **{name: data[name] for name in names},
            "binder": data["binder"] or Binder.UNKNOWN,
            "nominal_milli": size.milli,
            "unit": size.unit,
            "price_minor": price.minor,
            "currency": price.currency,
            "price_text": price.text,
            "breaks": data["breaks"] or (),
        }


class OfferFilter(forms.Form):
    q = forms.CharField(label="Name, code or pigment code", max_length=100, required=False)
    supplier = suppliers_field(label="Supplier", required=False, empty_label="All suppliers")

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _narrow(self, studio, supplier=Supplier.objects.filter(studio=studio))

    def chosen(self) -> dict[str, Any]:
        self.is_valid()
        supplier = self.cleaned_data.get("supplier")
        return {"search": self.cleaned_data.get("q", ""), "supplier": supplier.pk if supplier else None}


class WantForm(forms.Form):
    """Something to be bought: of the shelf, or in words."""

    item = forms.ModelChoiceField(
        Item.objects.none(), label="Paint or material", required=False, empty_label="Something else, in words"
    )
    words = forms.CharField(label="In words", max_length=160, required=False, help_text="Name and pigment code.")
    containers = WholeNumberField(label="How many", initial="1", max_length=20)
    size = AmountField(label="Size of one", required=False, help_text="Such as 37 ml. Empty: any size.")
    why = forms.CharField(label="Why", max_length=400, required=False)

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _narrow(self, studio)

    def clean_containers(self) -> int:
        return _above_zero(self, "containers")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not cleaned.get("item") and not cleaned.get("words") and "item" not in self.errors:
            self.add_error("words", "In words: say what is to be bought, or choose a paint or material.")
        return cleaned

    def fields_of_want(self) -> dict[str, Any]:
        data = self.cleaned_data
        size = data["size"]
        return {
            "item": data["item"],
            "words": data["words"],
            "containers": data["containers"],
            "nominal_milli": size.milli if size else None,
            "unit": size.unit if size else "ml",
            "why": data["why"],
        }


def _above_zero(form: forms.Form, name: str) -> int:
    number: int = form.cleaned_data[name] or 0
    if number < 1:
        raise ValidationError(f"{form.fields[name].label}: enter a whole number from 1 on, not {number}.")
    return number


class NumberForm(forms.Form):
    """Another number of containers or packs."""

    number = WholeNumberField(label="How many", max_length=20)

    def clean_number(self) -> int:
        return _above_zero(self, "number")


class SubstituteForm(forms.Form):
    words = forms.CharField(label="The other product", max_length=160, help_text="By name, such as Phthalo Blue.")
    codes = forms.CharField(
        label="Pigment codes", max_length=160, required=False, help_text="In label order, such as PB15:3."
    )
    accepted = forms.TypedChoiceField(
        label="May it be bought instead?",
        choices=[("yes", "Yes, accepted instead"), ("no", "No, not this one")],
        coerce=lambda word: word == "yes",
        widget=forms.RadioSelect,
        initial="yes",
    )
    why = forms.CharField(label="Why", max_length=200, required=False)


class DraftForm(forms.Form):
    supplier = suppliers_field(label="Supplier", empty_label="Choose a supplier")
    reference = forms.CharField(label="Order number", max_length=60, required=False)
    note = forms.CharField(label="Note", max_length=300, required=False)

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _narrow(self, studio)


class LineForm(forms.Form):
    offer = forms.ModelChoiceField(
        Offer.objects.none(),
        label="Offer",
        empty_label="Choose an offer",
        error_messages={"invalid_choice": "Offer: that one does not stand any more. Choose another."},
    )
    packs = WholeNumberField(label="Packs", initial="1", max_length=20)

    def __init__(self, *args: Any, offers: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["offer"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101  # for the type checker
        field.queryset = offers
        field.label_from_instance = offer_words  # type: ignore[method-assign, assignment]  # documented so

    def clean_packs(self) -> int:
        return _above_zero(self, "packs")


def offer_words(offer: Any) -> str:
    from inventory.queries.prices import rows_of

    (row,) = rows_of([offer])
    return f"{offer.name}, {row.size}, {row.price}"


class SendForm(forms.Form):
    placed_on = DayField(label="Sent on", required=False, help_text="Empty: today.")
    expected_on = DayField(
        label="Expected on", required=False, help_text="Empty: by the supplier's lead time, where it is known."
    )
    reference = forms.CharField(label="Order number", max_length=60, required=False)


REST = [
    ("", "No change"),
    ("back", "The rest is back-ordered"),
    ("short", "The rest is not coming"),
]


def _likely(now: LineNow) -> str:
    """What is back-ordered comes later."""
    return "0" if now.line.back_ordered else str(now.left)


class ReceiveForm(KeyForm):
    """What came of an order, line by line."""

    place = forms.ModelChoiceField(
        Place.objects.none(),
        label="Put on",
        required=False,
        empty_label="Place not known",
        error_messages={"invalid_choice": "Put on: that place was taken away meanwhile. Choose another."},
    )
    seen = forms.IntegerField(widget=forms.HiddenInput, required=False)
    field_order = ("place", "note", "key", "seen")

    def __init__(self, *args: Any, studio: Studio, page: OrderPage, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.page = page
        self.initial.setdefault("seen", page.seen)
        _narrow(self, studio)
        items = Item.objects.of(studio).kept().order_by("sort_name", "pk")
        for now in page.now.lines:
            pk = now.line.pk
            self.fields[f"came_{pk}"] = WholeNumberField(
                label="How many came", required=False, max_length=20, initial=_likely(now)
            )
            self.fields[f"rest_{pk}"] = forms.ChoiceField(label="The rest", choices=REST, required=False)
            if now.line.item_id is None:
                self.fields[f"item_{pk}"] = forms.ModelChoiceField(
                    items, label=f"{now.line.name} is on the shelf as", required=False, empty_label="Choose it"
                )

    def lines(self) -> list[tuple[LineNow, Any, Any, Any]]:
        """Each line with its fields."""
        return [
            (
                now,
                self[f"came_{now.line.pk}"],
                self[f"rest_{now.line.pk}"],
                self[f"item_{now.line.pk}"] if f"item_{now.line.pk}" in self.fields else None,
            )
            for now in self.page.now.lines
        ]

    def arrived(self) -> dict[str, Any]:
        """As the service takes it."""
        data = self.cleaned_data
        pks = [now.line.pk for now in self.page.now.lines]
        return {
            "lines": {pk: Arrived(data[f"came_{pk}"] or 0, data.get(f"item_{pk}")) for pk in pks},
            "back_ordered": [pk for pk in pks if data[f"rest_{pk}"] == "back"],
            "closed_short": [pk for pk in pks if data[f"rest_{pk}"] == "short"],
            "place": data["place"],
            "note": data["note"],
            "seen": data["seen"],
            "key": data["key"],
        }


class ReturnForm(KeyForm):
    tubes = forms.ModelMultipleChoiceField(
        Tube.objects.none(),
        label="What goes back",
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "What goes back: choose at least one container.",
            "invalid_choice": "What goes back: one of these is not on the shelf any more. Choose again.",
        },
    )
    note = forms.CharField(label="Why", max_length=200, help_text="Such as: dried up when it came.")
    replaced = forms.BooleanField(label="Others will come for them", required=False)
    field_order = ("tubes", "note", "replaced", "key")

    def __init__(self, *args: Any, page: OrderPage, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["tubes"]
        assert isinstance(field, forms.ModelMultipleChoiceField)  # noqa: S101  # for the type checker
        field.queryset = Tube.objects.filter(pk__in=[tube.pk for tube in page.returnable]).select_related("item")

    def refuse(self, error: ValidationError) -> None:
        chosen = self["tubes"].data
        super().refuse(error)
        self.data = {**self.data, "tubes": chosen}  # every tick, not the last alone


class NeedForm(forms.Form):
    """How much is needed, asked by address."""

    need = AmountField(label="How much is needed", required=False, help_text="Such as 300 ml.")
