"""The instruments that there are charts for, as scores and players name them: "Bb Clarinet", "Klarinette in A"."""

import re

from coach.files.charts import charts
from coach.files.choice import names_clarinet
from coach.music.text import one_line

# A clarinet or a saxophone of another size has a chart of its own, if any.
_SIZES = frozenset("piccolo sopranino soprano alto alt tenor baritone bass basset contra contrabass contralto".split())
_ABBREVIATED = 3  # letters that a shortened name has at least


def charted(name: str) -> str:
    """The instrument with a chart that a name means, "" if there is none."""
    text = one_line(name).casefold()
    known = charts()
    exact = next((one for one in known if one.casefold() == text), "")
    if exact:
        return exact
    words = frozenset(re.findall(r"[a-z]+", text))
    for one in known:
        wanted = re.findall(r"[a-z]+", one.partition(" in ")[0].casefold())
        meant = all(any(_means(word, part) for word in words) for part in wanted)
        if (meant or (wanted == ["clarinet"] and names_clarinet(name))) and not (words & _SIZES) - set(wanted):
            return one
    return ""


def _means(word: str, part: str) -> bool:
    return word == part or (len(word) >= _ABBREVIATED and part.startswith(word))
