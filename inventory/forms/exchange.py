"""What somebody says about a list that comes in, and about one that goes out."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.exchange import ENCODINGS, FIELDS, LARGEST_FILE, ImportSettings
from inventory.models import Binder, ImportBatch, Unit
from inventory.queries.imports import settings_of


class UploadForm(forms.Form):
    file = forms.FileField(
        label="A file: CSV, XLSX, or a JSON list of objects",
        required=False,
        allow_empty_file=True,  # the reader of tables says what an empty file is
        help_text=f"At most {LARGEST_FILE // 1_048_576} MB. A file of an old binary kind (XLS) has to be saved anew.",
    )
    text = forms.CharField(
        label="Or paste the list as text",
        required=False,
        strip=False,
        max_length=LARGEST_FILE,
        widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false"}),
        help_text="Cells copied from a spreadsheet, or lines with commas or semicolons; the headings first.",
    )
    encoding = forms.ChoiceField(
        label="How its letters are stored",
        required=False,
        choices=[("", "Find out, and ask if it is unsure"), *list(ENCODINGS.items())[:-1]],
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        file, text = data.get("file"), (data.get("text") or "").strip()
        if not file and not text and not self.errors:
            raise ValidationError("Choose a file, or paste the list as text.")
        if file and text:
            raise ValidationError("There are a file and a pasted text: take one of them away.")
        if file and file.size > LARGEST_FILE:
            raise ValidationError(
                f"{file.name} has {file.size / 1_048_576:.1f} MB, more than the {LARGEST_FILE // 1_048_576} MB that "
                "are read at once. Split it, or take pictures and unused sheets out."
            )
        return data


class ColumnsForm(forms.Form):
    """One choice for each column, and what holds for every row that does not say otherwise."""

    binder = forms.ChoiceField(
        label="Binder", required=False, choices=[("", "Not known"), *Binder.choices[:-1]], help_text="Of a row without."
    )
    size = forms.CharField(
        label="Size of one tube", required=False, max_length=40, help_text="Of a row without a size, such as 37 ml."
    )
    unit = forms.ChoiceField(
        label="Unit of bare sizes",
        required=False,
        choices=[("", "Ask"), *Unit.choices],
        help_text="What 37 alone stands for.",
    )
    decimals = forms.ChoiceField(
        label="Decimals are written with",
        required=False,
        choices=[("", "Ask where it matters"), ("comma", "a comma: 37,5"), ("point", "a point: 37.5")],
    )
    lightfastness_scale = forms.ChoiceField(
        label="Scale of bare lightfastness marks",
        required=False,
        choices=[("", "Ask"), ("astm", "ASTM, I is best"), ("blue-wool", "Blue wool, 8 is best"), ("maker", "Maker's")],
        help_text="1 is the best mark of one scale and the worst of another.",
    )
    without_count = forms.ChoiceField(
        label="A list without counts",
        choices=[
            ("sealed", "Each row is one sealed tube"),
            ("open", "Each row is one open tube"),
            ("none", "Paints only, no tubes"),
        ],
    )
    open_left = forms.CharField(
        label="An open tube without an amount",
        max_length=20,
        help_text="The part that is taken to be left, such as 1/2; it is kept as an estimate.",
    )

    def __init__(self, batch: ImportBatch, data: Any = None) -> None:
        self.batch = batch
        super().__init__(data, initial=settings_of(batch).as_json())
        options = [("", "Keep as typed only"), *((field.key, field.label) for field in FIELDS)]
        for place, heading in enumerate(batch.columns):
            self.fields[f"column_{place}"] = forms.ChoiceField(
                label=heading, required=False, choices=options, initial=batch.mapping.get(str(place), "")
            )
        letters = batch.settings.get("letters", [])
        if letters:
            self.fields["encoding"] = forms.ChoiceField(
                label="Which words look right?",
                choices=[(code, f"{sample} ({label})") for code, label, sample in letters],
                initial=batch.encoding,
                widget=forms.RadioSelect,
                help_text="The file does not say how its letters are stored.",
            )

    @property
    def columns(self) -> list[forms.BoundField]:
        return [self[f"column_{place}"] for place in range(len(self.batch.columns))]

    @property
    def beside(self) -> list[forms.BoundField]:
        return [self[name] for name in ImportSettings().as_json()]

    @property
    def letters(self) -> forms.BoundField | None:
        return self["encoding"] if "encoding" in self.fields else None

    def mapping(self) -> dict[str, str]:
        return {
            str(place): self.cleaned_data[f"column_{place}"]
            for place in range(len(self.batch.columns))
            if self.cleaned_data[f"column_{place}"]
        }

    def settings(self) -> ImportSettings:
        return ImportSettings.of(self.cleaned_data)

    def take_errors(self, error: ValidationError) -> None:
        """Put what the service refused at its field; what is about several columns stands above."""
        for name, messages in error.message_dict.items():
            self.add_error(name if name in self.fields else None, messages)


class ExportForm(forms.Form):
    table = forms.ChoiceField(
        label="What",
        required=False,
        choices=[
            ("shelf", "The shelf; as XLSX, the measured colours and window tests are further sheets of it"),
            ("measurements", "The measured colours of paints alone"),
            ("window-tests", "The window tests alone"),
        ],
        widget=forms.RadioSelect,
        initial="shelf",
    )
    format = forms.ChoiceField(
        label="Kind of file",
        choices=[
            ("csv", "CSV: text that every program reads"),
            ("xlsx", "XLSX: a spreadsheet, codes such as 004 kept"),
        ],
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
    typed = forms.BooleanField(
        label="Add the columns of the lists that paints came from, as they were typed", required=False, initial=True
    )
    empty = forms.BooleanField(label="Also paints of which nothing is left", required=False)
