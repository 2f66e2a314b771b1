"""What somebody types about lessons, their amounts, terms, and what students brought."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms.boundfield import BoundField
from django.utils import timezone

from inventory.forms.amounts import AmountField, WholeNumberField
from inventory.forms.buying import DayField
from inventory.forms.tubes import KeyForm
from inventory.models import AmountRule, Binder, Group, Lesson, LessonPaint, Palette, Place, Room, Term, Tube, Unit
from inventory.models.lesson import MOST_STUDENTS
from inventory.services.lessons import LONGEST_REPEAT, Plan
from inventory.stock.coverage_rules import MOST_COATS, read_ground, read_rule
from studio.models import Role, Studio, User

GONE = "that one was taken away meanwhile. Choose another, or leave it open."


def _choice(label: str, rows: Any, empty: str, **kwargs: Any) -> forms.ModelChoiceField:
    return forms.ModelChoiceField(
        rows,
        label=label,
        required=False,
        empty_label=empty,
        error_messages={"invalid_choice": f"{label}: {GONE}"},
        **kwargs,
    )


def _whole(form: forms.Form, name: str, least: int, most: int, remedy: str = "") -> int:
    number: int | None = form.cleaned_data[name]
    label = form.fields[name].label
    if number is None or not least <= number <= most:
        raise ValidationError(f"{label}: {number} cannot be. Enter {least} to {most}{remedy}.")
    return number


class TimeField(forms.TimeField):
    widget = forms.TimeInput(format="%H:%M", attrs={"type": "time"})

    def to_python(self, value: Any) -> Any:
        try:
            return super().to_python(value)
        except ValidationError:
            raise ValidationError(f"{self.label}: “{value}” is no time of the day. Enter it as 18:30.") from None


class LessonForm(forms.Form):
    """When, where, for whom, with what."""

    title = forms.CharField(label="What it is about", max_length=120)
    day = DayField(label="Day")
    time = TimeField(label="Begins at")
    minutes = WholeNumberField(label="Minutes", initial="120", max_length=8)
    students = WholeNumberField(label="Students", max_length=8)
    group = _choice("Group", Group.objects.none(), "Anybody", help_text="House rules are held against the group.")
    palette = _choice(
        "Palette", Palette.objects.none(), "None: choose tubes on the next page", help_text="Its paints are set out."
    )
    room = _choice("Room", Room.objects.none(), "Not said")
    place = _choice("Take tubes from", Place.objects.none(), "Anywhere")
    students_bring = forms.BooleanField(
        label="Students bring their own", required=False, help_text="Nothing is taken from stock."
    )
    teacher = _choice("Teacher", User.objects.none(), "Not said")
    course = forms.CharField(
        label="Course", max_length=120, required=False, help_text="Lessons that repeat share this word."
    )
    term = _choice("Term", Term.objects.none(), "None")
    note = forms.CharField(label="Note", max_length=300, required=False)
    held_already = forms.BooleanField(
        label="It was held already", required=False, help_text="Then its day may be over; next you record what it used."
    )

    def __init__(self, *args: Any, studio: Studio, lesson: Lesson | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        used = {"removed_at": None, "studio": studio}
        teachers = [Role.TEACHER, Role.KEEPER]
        rows: dict[str, Any] = {
            "group": Group.objects.filter(**used),
            "palette": Palette.objects.filter(**used),
            "room": Room.objects.filter(**used),
            "place": Place.objects.filter(**used),
            "term": Term.objects.filter(studio=studio),
            "teacher": User.objects.filter(memberships__studio=studio, memberships__role__in=teachers),
        }
        for name, found in rows.items():
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)  # noqa: S101  # for the type checker
            chosen = getattr(lesson, f"{name}_id", None)
            field.queryset = (
                (found | type(found)(found.model).filter(pk=chosen)) if chosen and name != "teacher" else found
            )
        if lesson is not None:
            del self.fields["held_already"]

    def clean_minutes(self) -> int:
        return _whole(self, "minutes", 5, 1440)

    def clean_students(self) -> int:
        return _whole(self, "students", 1, MOST_STUDENTS, ", or split the lesson")

    def plan(self) -> Plan:
        """As the service takes it."""
        data = {name: value for name, value in self.cleaned_data.items() if name not in ("day", "time", "held_already")}
        when = timezone.make_aware(datetime.combine(self.cleaned_data["day"], self.cleaned_data["time"]))
        return Plan(starts_at=when, **data)

    @classmethod
    def initial_of(cls, lesson: Lesson) -> dict[str, Any]:
        begins = timezone.localtime(lesson.starts_at)
        names = set(cls.base_fields) - {"day", "time", "held_already"}
        return {**{name: getattr(lesson, name) for name in names}, "day": begins.date(), "time": begins.time()}


class AmountsForm(forms.Form):
    """How much of each paint one student is given."""

    def __init__(self, *args: Any, lines: Iterable[LessonPaint], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = list(lines)
        if sum(not line.a_head_milli and line.unit == Unit.ML for line in known) > 1:
            self.fields["each"] = AmountField(
                label="The same of each that stands at 0",
                unit=Unit.ML,
                required=False,
                help_text="Such as 2 ml. What has an amount below keeps it.",
            )
        self.in_ml = {line.item_id for line in known if line.unit == Unit.ML}
        for line in known:
            field = AmountField(label=line.item.name, unit=line.unit, help_text=_basis(line))
            field.initial = f"{line.a_head_milli / 1000:g} {line.unit}"
            self.fields[f"amount_{line.item_id}"] = field

    def amounts(self) -> dict[int, int]:
        """Thousandths a head by item; one that stands at 0 takes what was given for each."""
        data = dict(self.cleaned_data)
        each = data.pop("each", None)
        found = {int(name.removeprefix("amount_")): amount.milli for name, amount in data.items()}
        if not each:
            return found
        return {item: milli or (each.milli if item in self.in_ml else 0) for item, milli in found.items()}


def _basis(line: LessonPaint) -> str:
    words = line.worked.get("words") if isinstance(line.worked, dict) else ""
    return f"{words}." if words else ("Typed." if line.a_head_milli else "Not said yet.")


class RuleForm(forms.Form):
    """Amounts by area and coats, shared among the paints."""

    ground = forms.CharField(
        label="Each student covers", max_length=60, help_text="Width and height with the unit: 16x20 in, 40 x 50 cm."
    )
    coats = WholeNumberField(label="Coats", initial="1", max_length=6)
    rule = forms.ModelChoiceField(
        AmountRule.objects.none(),
        label="By which rule",
        required=False,
        empty_label="The one typed below",
        error_messages={"invalid_choice": "By which rule: that one was removed meanwhile. Choose another."},
    )
    rule_text = forms.CharField(
        label="Or type a rule",
        max_length=60,
        required=False,
        help_text="A volume for an area and one coat: 1000 ml / 9.3 m2, 120 ml/m2. Rules in use differ by 17 times.",
    )
    source = forms.CharField(label="On whose word", max_length=200, required=False)
    keep = forms.BooleanField(label="Keep it as a rule of this house", required=False)

    def __init__(self, *args: Any, studio: Studio, lines: Iterable[LessonPaint], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rule = self.fields["rule"]
        assert isinstance(rule, forms.ModelChoiceField)  # noqa: S101  # for the type checker
        rule.queryset = AmountRule.objects.filter(studio=studio)
        own = list(rule.queryset[:2])
        rule.initial = own[0] if len(own) == 1 else None
        for line in lines:
            if line.unit == Unit.ML:
                self.fields[f"part_{line.item_id}"] = WholeNumberField(
                    label=f"Parts of {line.item.name}", initial="1", max_length=4
                )

    def clean_ground(self) -> Any:
        return _read(self, "ground", read_ground)

    def clean_coats(self) -> int:
        return _whole(self, "coats", 1, MOST_COATS)

    def clean_rule_text(self) -> int | None:
        return _read(self, "rule_text", read_rule) if self.cleaned_data["rule_text"] else None

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if "rule_text" in data and data.get("rule") is None and data["rule_text"] is None:
            self.add_error(
                "rule_text", "Or type a rule: choose one of the house, or type one such as 1000 ml / 9.3 m2."
            )
        if data.get("rule_text") is not None and not data.get("source"):
            self.add_error("source", "On whose word: say where the typed rule comes from, so that it can be checked.")
        return data

    def reckoning(self) -> dict[str, Any]:
        """As the service takes it."""
        data = self.cleaned_data
        house: AmountRule | None = data["rule"] if data["rule_text"] is None else None
        return {
            "ground": data["ground"],
            "coats": data["coats"],
            "milli_per_m2": house.milli_per_m2 if house else data["rule_text"],
            "rule": house.name if house else self.data["rule_text"].strip(),
            "source": house.source if house else data["source"],
            "parts": {
                int(name.removeprefix("part_")): part or 0 for name, part in data.items() if name.startswith("part_")
            },
        }


def _read(form: forms.Form, name: str, read: Any) -> Any:
    try:
        return read(form.cleaned_data[name])
    except ValueError as error:
        raise ValidationError(f"{form.fields[name].label}: {error}") from None


class HouseRuleForm(forms.Form):
    """A rule of area and coats that this house keeps."""

    name = forms.CharField(label="Name", max_length=80)
    rule = forms.CharField(label="Rule", max_length=60, help_text="Such as 1000 ml / 9.3 m2, 120 ml/m2, 10 m2 per l.")
    source = forms.CharField(label="On whose word", max_length=200)
    binder = forms.ChoiceField(label="Binder", choices=[("", "Any"), *Binder.choices], required=False)

    def clean_rule(self) -> Any:
        return _read(self, "rule", read_rule)


class RecordForm(KeyForm):
    """What the whole class used of each paint, and from which tube."""

    students = WholeNumberField(label="Students who came", max_length=8)

    def __init__(
        self, *args: Any, lesson: Lesson, lines: Iterable[LessonPaint], tubes: Iterable[Tube], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["students"].initial = lesson.students
        known = list(tubes)
        self.lines = list(lines)
        for line in self.lines:
            planned = line.a_head_milli * lesson.students
            used = AmountField(label=line.item.name, unit=line.unit, required=False)
            used.initial = f"{planned / 1000:g} {line.unit}"
            fitting = [tube for tube in known if tube.item_id == line.item_id and tube.unit == line.unit]
            held = f"{sum(tube.balance_milli for tube in fitting) / 1000:g} {line.unit}"
            used.help_text = f"Planned {used.initial}; {held} stand here."
            self.fields[f"used_{line.item_id}"] = used
            if len(fitting) > 1:
                self.fields[f"tube_{line.item_id}"] = forms.TypedChoiceField(
                    label=f"{line.item.name} from",
                    choices=[("", "Open first, then the oldest"), *((tube.pk, _tube_words(tube)) for tube in fitting)],
                    coerce=int,
                    empty_value=None,
                    required=False,
                )

    @property
    def amount_fields(self) -> list[BoundField]:
        """What everybody looks at: who came, what was used, a note."""
        return [self["students"], *(self[f"used_{line.item_id}"] for line in self.lines), self["note"]]

    @property
    def tube_fields(self) -> list[BoundField]:
        """From which tubes; few choose."""
        return [self[name] for name in self.fields if name.startswith("tube_")]

    @property
    def tubes_are_open(self) -> bool:
        return any(field.errors or field.value() for field in self.tube_fields)

    def clean_students(self) -> int:
        return _whole(self, "students", 1, MOST_STUDENTS)

    def used(self) -> dict[int, int]:
        return {
            line.item_id: amount.milli if (amount := self.cleaned_data.get(f"used_{line.item_id}")) else 0
            for line in self.lines
        }

    def tubes(self) -> dict[int, int]:
        chosen = {line.item_id: self.cleaned_data.get(f"tube_{line.item_id}") for line in self.lines}
        return {item: pk for item, pk in chosen.items() if pk}


def _tube_words(tube: Tube) -> str:
    where = f", {tube.place}" if tube.place else ""
    return f"No. {tube.number}, {tube.get_state_display().lower()}, {tube.balance}{where}"


class RepeatForm(forms.Form):
    weeks = WholeNumberField(
        label="Repeat it weekly, so many times", initial="1", max_length=6, help_text=f"1 to {LONGEST_REPEAT}."
    )

    def clean_weeks(self) -> int:
        return _whole(self, "weeks", 1, LONGEST_REPEAT)


class ReasonForm(forms.Form):
    reason = forms.CharField(label="Why", max_length=200, required=False)


class KeepForm(forms.Form):
    name = forms.CharField(label="Name of the palette", max_length=120)


class BroughtForm(forms.Form):
    """Labels read out, one a line."""

    who = forms.CharField(label="Whose", max_length=80, required=False, help_text="A first name is enough.")
    text = forms.CharField(
        label="Labels",
        max_length=8000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="One tube a line, with the code in small print: Ultramarine PB29.",
    )

    def lines(self) -> list[str]:
        return [line for line in self.cleaned_data["text"].splitlines() if line.strip()]


class TermForm(forms.Form):
    name = forms.CharField(label="Name", max_length=80)
    starts_on = DayField(label="First day")
    ends_on = DayField(label="Last day")

    @classmethod
    def next_after(cls, last: Term | None) -> dict[str, Any]:
        """A guess for the next term: it begins a week after the last one."""
        if last is None:
            return {}
        return {"starts_on": last.ends_on + timedelta(days=7 - last.ends_on.weekday())}


class IntoForm(forms.Form):
    into = forms.ModelChoiceField(
        Term.objects.none(),
        label="Copy into",
        empty_label="Choose a term",
        error_messages={"invalid_choice": "Copy into: that term is not there any more. Choose another."},
    )

    def __init__(self, *args: Any, term: Term, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        into = self.fields["into"]
        assert isinstance(into, forms.ModelChoiceField)  # noqa: S101  # for the type checker
        into.queryset = Term.objects.filter(studio=term.studio_id).exclude(pk=term.pk)
