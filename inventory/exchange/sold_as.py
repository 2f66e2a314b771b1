"""As what a thing is sold, by the words that people write for it."""

from inventory.labels.folding import bare_letters

# Common practice, no source: the trade's words in the languages that lists are kept in.
_WORDS = {
    "paste": "paste tube tubes jar jars pot paste in a tube or jar",
    "liquid": "liquid fluid ink flussig liquide liquido",
    "powder": "powder dry powder pulver poudre polvo polvere порошок",
    "stick": "stick sticks pastel pastels crayon crayons pastel crayon or stick pastell kreide barra",
    "pan": "pan pans half pan half pans cake napf napfchen godet godets pan or cake pastiglia",
    "spray": "spray sprays spray can aerosol spruhdose spraydose bombe",
    "marker": "marker markers pen pens stift feutre rotulador",
}
_SINGLE = {word: form for form, words in _WORDS.items() for word in words.split() if word not in ("a", "in", "or")}


def read_form(text: str) -> str | None:
    """The form that a text names, "" for a blank and for the usual one, None where it names none or several."""
    words = bare_letters(text).replace(",", " ").split()
    if not words or words[:2] == ["as", "usual"]:
        return ""
    if words == ["dry", "powder"]:
        return "powder"
    found = {_SINGLE[word] for word in words if word in _SINGLE}
    return found.pop() if len(found) == 1 else None
