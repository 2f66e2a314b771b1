"""The columns of an export, line by line, and the kind of file."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from inventory.labels.doubts import shown
from safety.models import ExportTemplate
from safety.queries.exports import SUBJECTS

SPARE_LINES = 4
MOST_LINES = 60


class SubjectForm(forms.Form):
    subject = forms.ChoiceField(
        label="What the rows are",
        choices=[(key, one.label) for key, one in SUBJECTS.items()],
        widget=forms.RadioSelect,
        initial="holdings",
    )


class TemplateForm(forms.Form):
    """A name, a way to write a room, and a line a column: its place in the order, its field, its header."""

    name = forms.CharField(label="Name", max_length=80, help_text="Such as: For the estates office.")

    def __init__(self, subject: str, data: QueryDict | None = None, template: ExportTemplate | None = None) -> None:
        self.subject = SUBJECTS[subject]
        columns = (
            [(column["field"], column["header"]) for column in template.columns]
            if template
            else [(key, self.subject.fields[key][0]) for key in self.subject.usual]
        )
        initial: dict[str, Any] = {"name": template.name, "room_format": template.room_format} if template else {}
        for number, (key, header) in enumerate(columns, start=1):
            initial |= {f"position_{number}": number, f"field_{number}": key, f"header_{number}": header}
        super().__init__(data, initial=initial)
        if self.subject.placeholders:
            words = ", ".join(f"{{{word}}}" for word in self.subject.placeholders)
            self.fields["room_format"] = forms.CharField(
                label="How the office writes a room",
                max_length=80,
                required=False,
                help_text=f"Such as: Building 4 / {{room}}. Filled in are {words}. For the field “Room as the office "
                "writes it”.",
            )
        self.lines = range(1, min(MOST_LINES, max(len(columns) + SPARE_LINES, self._sent(data))) + 1)
        for number in self.lines:
            self._add_line(number)

    @staticmethod
    def _sent(data: QueryDict | None) -> int:
        numbers = (name.removeprefix("field_") for name in data or () if name.startswith("field_"))
        return max((int(one) for one in numbers if one.isdecimal() and len(one) < 3), default=0)

    def _add_line(self, number: int) -> None:
        self.fields[f"position_{number}"] = forms.CharField(
            label="Order",
            required=False,
            max_length=6,
            widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        )
        self.fields[f"field_{number}"] = forms.ChoiceField(
            label="Field",
            required=False,
            choices=[("", "Leave out"), *self.subject.choices()],
            error_messages={"invalid_choice": f"Line {number}: “%(value)s” is no field. Choose one of the list."},
        )
        self.fields[f"header_{number}"] = forms.CharField(label="Header", required=False, max_length=120)

    def rows(self) -> list[tuple[int, list[forms.BoundField]]]:
        """The lines to show."""
        parts = ("position", "field", "header")
        return [(number, [self[f"{part}_{number}"] for part in parts]) for number in self.lines]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = self.cleaned_data
        chosen = []
        for number in self.lines:
            key, header = data.get(f"field_{number}", ""), data.get(f"header_{number}", "")
            place = self._place(number, data.get(f"position_{number}", ""))
            if key:
                chosen.append((place, number, key, header))
        data["columns"] = [(key, header) for _, _, key, header in sorted(chosen)]
        return data

    def _place(self, number: int, typed: str) -> float:
        if not typed:
            return float(number)
        try:
            place = float(typed.replace(",", "."))
            if not 0 <= place <= 999:  # NaN too
                raise ValueError
        except ValueError:
            self.add_error(
                f"position_{number}",
                f"Line {number}: {shown(typed)} is no place in an order. Enter a number, such as 3.",
            )
            return float(number)
        return place

    def take_errors(self, error: ValidationError) -> None:
        """Show what the service refused, on its field where the form has it."""
        for name, messages in error.message_dict.items():
            self.add_error(name if name in self.fields else None, messages)


class FileForm(forms.Form):
    format = forms.ChoiceField(
        label="Kind of file",
        choices=[("csv", "CSV: text that every program reads"), ("xlsx", "XLSX: a spreadsheet")],
        widget=forms.RadioSelect,
        initial="csv",
    )
    separator = forms.ChoiceField(
        label="In CSV, cells are separated by",
        required=False,
        choices=[("comma", "a comma"), ("semicolon", "a semicolon"), ("tab", "a tab")],
        initial="comma",
        help_text="Spreadsheets set to a language with a decimal comma expect a semicolon.",
    )
    bom = forms.BooleanField(
        label="In CSV, begin with the mark that tells spreadsheets the letters are UTF-8", required=False, initial=True
    )
