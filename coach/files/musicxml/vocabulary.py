"""Words of MusicXML: what is drawing only, what is understood, and what dynamics and jumps are called."""

import re

from lxml import etree

# Attributes that say how something is drawn, never what is played.
DRAWING = frozenset(
    """
    default-x default-y relative-x relative-y font-family font-style font-size font-weight color halign valign justify
    enclosure letter-spacing line-height lang underline overline line-through rotation dir bezier-x bezier-y bezier-x2
    bezier-y2 bezier-offset bezier-offset2 orientation line-type line-shape line-length dash-length space-length id
    width size {http://www.w3.org/XML/1998/namespace}lang {http://www.w3.org/XML/1998/namespace}space
    """.split()
)

# Levels that stay in force, and what the momentary marks leave behind (None: the level before).
LEVELS = ("pppppp", "ppppp", "pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff", "fffff", "ffffff", "n")
AFTER: dict[str, str | None] = {
    "fp": "p",
    "sfp": "p",
    "sfpp": "pp",
    "pf": "f",
    "sfzp": "p",
    "sf": None,
    "sfz": None,
    "sffz": None,
    "fz": None,
    "rf": None,
    "rfz": None,
}

_LEVEL_WORD = re.compile(r"(?<![a-z])(p{1,6}|f{1,6}|mp|mf)(?![a-z])")


def dynamic_text(element: etree._Element) -> str:
    """The mark in a `<dynamics>` element: "pp", "sfz", or the words of another one."""
    words = []
    for child in element:
        if child.tag == "other-dynamics":
            words.append((child.text or "").strip() or child.get("smufl") or "")
        else:
            words.append(child.tag)
    short = all(word in LEVELS or word in AFTER for word in words)
    return ("" if short else " ").join(word for word in words if word)


def level_after(mark: str, before: str | None) -> str | None:
    """The level in force after a mark, given the one before it."""
    if mark in LEVELS:
        return mark
    if mark in AFTER:
        return AFTER[mark] or before
    found = _LEVEL_WORD.findall(mark)
    if found:
        return str(found[-1])
    tail = re.fullmatch(r"[sf]?f*z?(p+|f+)", mark)
    return tail.group(1) if tail else before


def level_at(mark: str, before: str | None) -> str | None:
    """The level of the note that a mark stands at: that of "fp" is f, that of "sfz" the level before."""
    if mark in ("fp", "sfp", "sfpp", "sfzp"):
        return "f"
    return "p" if mark == "pf" else level_after(mark, before)


_JUMPS = (
    (re.compile(r"\b(d\.? ?c\.?|da capo)(?![a-z])", re.I), "dacapo"),
    (re.compile(r"\b(d\.? ?s\.?|dal segno)(?![a-z])", re.I), "dalsegno"),
    (re.compile(r"^\W*to coda\b", re.I), "tocoda"),
    (re.compile(r"^\W*fine\W*$", re.I), "fine"),
    (re.compile(r"^\W*coda\W*$", re.I), "coda"),
    (re.compile(r"^\W*segno\W*$", re.I), "segno"),
)


def jump_of(words: str) -> str | None:
    """The jump that printed words ask for ("D.C. al Fine": "dacapo"), or None."""
    return next((name for pattern, name in _JUMPS if pattern.search(words)), None)


# Beginnings of the words that speak of tempo, in the languages scores are written in.
_TEMPO_WORDS = """
grave larg allarg lent adagi andant moderat allegr viva vivo prest tempo rit ritard riten rall accel string mosso animat
con.moto calando morendo smorz stretto doppio l'istesso lo.stesso rubato comodo maestoso
mouvement modéré vif lebhaft langsam mäßig mässig schnell rasch geschwind breit bewegt
""".split()
_WHOLE_WORDS = ("tempo", "rit", "vif")
_TEMPO = re.compile(
    "|".join(rf"\b{word}\b" if word in _WHOLE_WORDS else rf"\b{word}" for word in _TEMPO_WORDS)
    + r"|^\W*(very |rather )?(slow|fast|quick|lively)",  # in English only as a heading, for it explains much else
    re.I,
)
_CRESCENDO = re.compile(r"^\W*(poco a poco |molto |poco |sempre )?(cresc|crescendo)\b", re.I)
_DIMINUENDO = re.compile(r"^\W*(poco a poco |molto |poco |sempre )?(dim|dimin|diminuendo|decresc|decrescendo)\b", re.I)


def is_tempo_word(words: str) -> bool:
    """Whether printed words speak of tempo ("Andante", "rit.", "a tempo"). Trade practice, no standard."""
    return bool(_TEMPO.search(words))


def hairpin_word(words: str) -> str | None:
    """ "crescendo" or "diminuendo" for words that stand for a hairpin ("cresc.", "dim."), else None."""
    if _CRESCENDO.search(words):
        return "crescendo"
    return "diminuendo" if _DIMINUENDO.search(words) else None
