"""Binders by the words that people write for them, in several languages."""

from inventory.labels.folding import bare_letters

_WORDS = {
    "oil": "oil oils ol oel ole olfarbe olfarben huile huiles oleo oleos olio масло",
    "water-mixable oil": "wassermischbar wasservermalbar",
    "alkyd": "alkyd alkyds alkydharz alkyde",
    "acrylic": "acrylic acrylics acryl acrylfarbe acrylfarben acrylique acryliques acrilico acrilicos акрил",
    "watercolour": "watercolour watercolours watercolor watercolors aquarell aquarelle aquarellfarbe aquarellfarben "
    "aquarelles acuarela acuarelas acquerello acquerelli акварель",
    "gouache": "gouache gouaches guache guazzo tempera-gouache гуашь",
    "tempera": "tempera eggtempera eitempera temperas detrempe темпера",
    "casein": "casein caseine kasein caseina",
    "encaustic": "encaustic enkaustik encaustique encaustica",
}
_BINDER_OF = {word: binder for binder, words in _WORDS.items() for word in words.split()}
_FILLING_WORDS = (
    "paint paints colour colours color colors farbe farben peinture peintures couleur couleurs pintura pinturas artist "
    "artists based base a al la de l of the egg my our studio tubes tube"
)
_FILLING = frozenset(_FILLING_WORDS.split())


def read_binder(text: str) -> str | None:
    """The binder that a text names, "" for a blank, None where it names none or several that we know."""
    words = bare_letters(text.replace("'", " ").replace("’", " ").replace("-", " ")).replace(":", " ").split()
    if not words:
        return ""
    if {"water", "oil"} <= set(words) or {"water", "oils"} <= set(words):
        return "water-mixable oil"
    rest = [word for word in words if word not in _FILLING]
    found = {_BINDER_OF.get(word) for word in rest}
    return found.pop() if len(found) == 1 else None
