"""What a column holds, guessed from its heading and its cells; a person may always say otherwise."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from inventory.labels.folding import bare_letters

from .binders import read_binder

TITLE_COLUMN = "Title above"
# Ends the headings of an export that repeat what an earlier list had.
AS_TYPED = " (as typed)"


@dataclass(frozen=True, slots=True)
class Field:
    """One of our fields. `several` may be filled by more than one column; their cells are put together in order."""

    key: str
    label: str
    words: str
    several: bool = False

    @property
    def headings(self) -> frozenset[str]:
        return frozenset(heading_words(word) for word in (self.label, *self.words.split("|")))


def heading_words(heading: str) -> str:
    """A heading as it is compared: "Pigment(s)" is "pigment", "Maker’s  Code" is "maker code"."""
    words = bare_letters(heading).replace("(s)", " ").replace("'s", " ").replace("_", " ").replace("/", " ")
    words = re.sub(r"\([^)]*\)|\[[^\]]*\]|[^\w\s]", " ", words)
    return " ".join(_singular(word) for word in words.split())


def _singular(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


FIELDS: tuple[Field, ...] = (
    Field("name", "Name", "name|paint|paint name|colour name|color name|colour|color|title|label|farbe|farbton|"
          "farbname|farbbezeichnung|bezeichnung|nom|nom de la couleur|couleur|nombre|nombre del color|nome|colore|"
          "название|цвет|краска"),
    Field("binder", "Binder", "binder|medium|type|kind|paint type|media|binding medium|bindemittel|art|liant|"
          "technique|aglutinante|legante|tecnica|связующее"),
    Field("pigments", "Pigments", "pigment|pigment code|code of pigment|ci|c i|ci name|ci code|colour index|"
          "color index|colour index name|ci generic name|pigment index|pigment number|pigment no|pigmente|"
          "pigmentnummer|pigmentcode|pigmento|codigo de pigmento|codice pigmento|pigment 1|pigment 2|pigment 3|"
          "second pigment|pigment a|pigment b|other pigment|more pigment|composition|index|пигмент", several=True),
    Field("lightfastness", "Lightfastness", "lightfastness|light fastness|lightfast|lightfastness rating|lf|"
          "permanence|permanency|fastness|astm|blue wool|lichtechtheit|lichtbestandigkeit|resistance a la lumiere|"
          "solidite a la lumiere|tenue a la lumiere|solidez a la luz|resistencia a la luz|resistenza alla luce|"
          "светостойкость"),
    Field("opacity", "Opacity", "opacity|transparency|opaque|transparent|transparency opacity|opacity transparency|"
          "deckkraft|deckvermogen|transparenz|opazitat|opacite|transparence|opacidad|transparencia|opacita"),
    Field("strength", "Tinting strength", "strength|tinting strength|tint strength|tinting|farbkraft|farbestarke|"
          "pouvoir colorant|force colorante|poder colorante|fuerza"),
    Field("maker", "Maker", "maker|brand|manufacturer|company|make|hersteller|marke|firma|fabricant|marque|"
          "fabricante|marca|produttore|производитель"),
    Field("maker_code", "Maker's code", "maker code|code|product code|product number|product no|item number|item no|"
          "article|article number|article no|sku|number|no|nr|ref|reference|catalogue number|catalog number|"
          "artikelnummer|artikelnr|artikel nr|art nr|bestellnummer|farbnummer|code produit|numero|codigo|codice|"
          "colour number|color number|tube number code|артикул"),
    Field("series", "Series", "series|serie|price group|preisgruppe|groupe de prix|grupo|gruppo"),
    Field("form", "Sold as", "sold as|form|physical form|darreichungsform|forme|forma"),
    Field("size", "Size of one", "size|tube size|volume|ml|content|contents|container|grosse|tubengrosse|inhalt|menge|"
          "taille|contenance|volumen|tamano|contenido|formato|объем"),
    Field("sealed", "How many sealed", "sealed|new|unopened|full|sealed count|count|quantity|qty|how many|amount|"
          "in stock|stock|tubes|number of tubes|pieces|anzahl|stuck|bestand|neu|quantite|nombre de tubes|cantidad|"
          "quantita|количество|unopened tubes|sealed tubes"),
    Field("open", "How many open", "open|opened|open count|in use|started|open tubes|opened tubes|offen|angebrochen|"
          "entame|ouvert|abierto|aperto"),
    Field("left", "Left in the open one", "left|remaining|fill|filling|how full|amount left|left in the open one|"
          "rest|ubrig|fullstand|restant|reste|queda|restante"),
    Field("place", "Place", "place|location|shelf|drawer|where|stored|box|ort|standort|platz|lagerort|fach|regal|"
          "emplacement|lieu|rangement|lugar|ubicacion|luogo|место"),
    Field("owner", "Owner", "owner|belongs to|whose|besitzer|eigentumer|gehort|proprietaire|a qui|propietario|"
          "dueno|proprietario"),
    Field("notes", "Notes", "notes|note|remarks|remark|comment|comments|bemerkung|bemerkungen|notiz|notizen|"
          "anmerkung|remarque|remarques|commentaire|nota|notas|observaciones|comentario|примечание", several=True),
    Field("single_pigment", "Single pigment", "single pigment|single|mono pigment|monopigment|one pigment|"
          "einzelpigment|einpigmentig|pigment unique|monopigmentaire|un solo pigmento|monopigmento"),
    Field("price", "Price", "price|cost|paid|unit price|preis|kosten|prix|cout|precio|coste|prezzo|eur|usd|gbp|цена"),
    Field("condition", "Condition", "condition|zustand|etat|estado"),
    Field("batch", "Batch", "batch|batch number|batch no|lot|lot number|lot no|charge|chargennummer|numero de lot"),
    Field("tare", "Empty container", "empty container|tare|empty weight|weight of the empty container|leergewicht|"
          "tara|poids a vide"),
    Field("density", "Density", "density|dichte|densite|densidad|densita"),
    Field("level", "Reorder level", "reorder level|level|minimum|minimum stock|mindestbestand|meldebestand|"
          "stock minimum"),
    Field("barcodes", "Bar codes", "bar code|bar codes|barcode|ean|gtin|upc|ean code|strichcode|code barre|"
          "codigo de barras"),
    Field("what", "Paint or material", "paint or material|kind of material"),
    Field("numbers", "Tube numbers", "tube numbers"),
    Field("answers", "Answers", "answers given"),
)  # fmt: skip
FIELD_OF = {field.key: field for field in FIELDS}
_KEY_OF = {heading: field.key for field in reversed(FIELDS) for heading in field.headings}
_NEAR = 0.84
_CODE = re.compile(r"\b[pn][ .\-]{0,2}(?:br|bk|[bryovgwm])[ .\-]{0,2}\d{1,3}\b", re.IGNORECASE)
_UNIT = re.compile(r"\b(ml|g|gramm?e?s?|millilit(?:re|er)s?)\b")


def field_of_heading(heading: str) -> str:
    """Our field for a heading, also a misspelt one; "" where none is near."""
    if bare_letters(heading).strip() == "tube numbers":
        return "numbers"
    words = heading_words(heading)
    if not words:
        return ""
    if words in _KEY_OF:
        return _KEY_OF[words]
    without_unit = _UNIT.sub("", words).strip()
    if without_unit in _KEY_OF:
        return _KEY_OF[without_unit]
    if len(words) < 5:
        return ""
    near = max(_KEY_OF, key=lambda known: SequenceMatcher(None, words, known).ratio())
    return _KEY_OF[near] if SequenceMatcher(None, words, near).ratio() >= _NEAR else ""


def known_heading(heading: str) -> bool:
    """True for a heading that is one of our words exactly; misspelt ones do not help to find the line of headings."""
    return heading_words(heading) in _KEY_OF


def guess_columns(columns: Sequence[str], rows: Sequence[Sequence[str]]) -> dict[str, str]:
    """Our field by the column's place (text, as in JSON); columns that fit none are left out and kept as typed.

    The heading decides. A column without a known heading whose cells are mostly pigment codes holds pigments.
    """
    mapping: dict[str, str] = {}
    for place, heading in enumerate(columns):
        key = field_of_heading(heading) or _field_of_cells(rows, place)
        if heading.endswith(AS_TYPED):
            continue
        if heading == TITLE_COLUMN:
            key = "binder" if all(read_binder(row[place]) is not None for row in rows) else ""
        if key and (FIELD_OF[key].several or key not in mapping.values()):
            mapping[str(place)] = key
    if "name" not in mapping.values():
        free = next((place for place in range(len(columns)) if _is_free_for_names(place, mapping, rows)), None)
        if free is not None:
            mapping[str(free)] = "name"
    return dict(sorted(mapping.items(), key=lambda item: int(item[0])))


def _is_free_for_names(place: int, mapping: dict[str, str], rows: Sequence[Sequence[str]]) -> bool:
    cells = [row[place] for row in rows[:200] if place < len(row) and row[place].strip()]
    words = sum(1 for cell in cells if re.search(r"[^\W\d_]{3}", cell))
    return str(place) not in mapping and bool(cells) and words * 2 > len(cells)


def _field_of_cells(rows: Sequence[Sequence[str]], place: int) -> str:
    cells = [row[place] for row in rows[:200] if place < len(row) and row[place].strip()]
    codes = sum(1 for cell in cells if _CODE.search(cell))
    return "pigments" if cells and codes * 10 >= len(cells) * 6 else ""


def unit_of_heading(heading: str) -> str:
    """ "ml" or "g" where the heading of the sizes names its unit."""
    match = _UNIT.search(bare_letters(heading))
    return "" if match is None else "g" if match[1].startswith("g") else "ml"
