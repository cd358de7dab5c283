"""A line of music written as words, made into MusicXML.

A note is `C5:q` (w h q e s, with dots): `(` and `)` slur, `~` ties it to the next, `'` is staccato, `,` a printed
breath, `^` a fermata, `+` a trill, `/D5` a grace before the next note, `r:h` a rest. `|` ends a measure, `||` with a
double bar, `|:` and `:|` repeat. `K1` is a key by its fifths, `mf` a dynamic; `<`, `>` and `!` begin and end hairpins,
which a dynamic ends too.
"""

import re
from fractions import Fraction

_TYPES = {name[0]: (name, Fraction(4, 2**k)) for k, name in enumerate(("whole", "half", "quarter", "eighth"))}
_TYPES["s"] = ("16th", Fraction(1, 4))
_NOTE = re.compile(r"(\(*)(r|[A-G][b#]?\d):([whqes])(\.?)([~',^+]*)(\)*)$")
_DIVISIONS = 16


def page(text: str) -> str:
    """The MusicXML of a line that begins with its metre and its tempo, as in `4/4 q=60`."""
    metre, tempo, *words = text.split()
    beats, kind = (int(word) for word in metre.split("/"))
    key = next((int(word[1:]) for word in words if word[0] == "K"), 0)
    measures = _measures([word for word in words if word[0] != "K"])
    whole_q = Fraction(4 * beats, kind)
    pickup = _length(measures[0][0]) < whole_q
    lines: list[str] = []
    tied = False
    for n, (inside, before, after) in enumerate(measures):
        assert n in (0, len(measures) - 1) or _length(inside) == whole_q, (n, inside)
        number = n if pickup else n + 1
        lines.append(f'<measure number="{number}"' + (' implicit="yes">' if pickup and not n else ">"))
        if n == 0:
            unit, per_minute = tempo.split("=")
            dot = "<beat-unit-dot/>" if unit.endswith(".") else ""
            lines.append(
                f"<attributes><divisions>{_DIVISIONS}</divisions><key><fifths>{key}</fifths></key>"
                f"<time><beats>{beats}</beats><beat-type>{kind}</beat-type></time><clef><sign>G</sign><line>2</line></clef></attributes>"
                f"<direction><direction-type><metronome><beat-unit>{_TYPES[unit[0]][0]}</beat-unit>{dot}"
                f"<per-minute>{per_minute}</per-minute></metronome></direction-type></direction>"
            )
        lines.append(before)
        for word in inside:
            xml, tied = _word(word, tied=tied)
            lines.append(xml)
        lines.append(after + "</measure>")
    return (
        '<?xml version="1.0"?><score-partwise version="4.0"><part-list><score-part id="P1">'
        '<part-name>Clarinet</part-name></score-part></part-list><part id="P1">'
        + _hairpins("".join(lines))
        + "</part></score-partwise>"
    )


def _measures(words: list[str]) -> list[tuple[list[str], str, str]]:
    found: list[tuple[list[str], str, str]] = []
    inside: list[str] = []
    before = ""
    for word in [*words, "|"]:
        if word == "|:":
            before = _barline("left", "heavy-light", '<repeat direction="forward"/>')
        elif word in ("|", "||", ":|"):
            after = {
                "|": "",
                "||": _barline("right", "light-light"),
                ":|": _barline("right", "light-heavy", '<repeat direction="backward"/>'),
            }[word]
            found.append((inside, before, after))
            inside, before = [], ""
        else:
            inside.append(word)
    return found


def _barline(side: str, style: str, repeat: str = "") -> str:
    return f'<barline location="{side}"><bar-style>{style}</bar-style>{repeat}</barline>'


def _length(words: list[str]) -> Fraction:
    notes = [_NOTE.match(word) for word in words]
    return sum((_TYPES[m[3]][1] * (Fraction(3, 2) if m[4] else 1) for m in notes if m), Fraction(0))


def _pitch(name: str) -> str:
    alter = {"b": "<alter>-1</alter>", "#": "<alter>1</alter>"}.get(name[1], "")
    return f"<pitch><step>{name[0]}</step>{alter}<octave>{name[-1]}</octave></pitch>"


def _word(word: str, *, tied: bool) -> tuple[str, bool]:
    """The XML of a word that may be tied to from before, and whether its note is tied to the next."""
    if word in ("<", ">", "!"):
        return f"@{word}@", tied
    if word.startswith("/"):
        return f'<note><grace slash="yes"/>{_pitch(word[1:])}<voice>1</voice><type>eighth</type></note>', tied
    found = _NOTE.match(word)
    if not found:
        assert word in ("pp", "p", "mp", "mf", "f", "ff"), word
        return f"@!@<direction><direction-type><dynamics><{word}/></dynamics></direction-type></direction>", tied
    opens, name, kind, dot, marks, closes = found.groups()
    length = _TYPES[kind][1] * (Fraction(3, 2) if dot else 1)
    ties = '<tie type="stop"/>' * tied + '<tie type="start"/>' * ("~" in marks)
    notations = '<tied type="stop"/>' * tied + '<tied type="start"/>' * ("~" in marks)
    notations += '<slur type="stop" number="1"/>' * len(closes) + '<slur type="start" number="1"/>' * len(opens)
    notations += "<ornaments><trill-mark/></ornaments>" * ("+" in marks)
    notations += "<articulations><staccato/></articulations>" * ("'" in marks)
    notations += "<articulations><breath-mark/></articulations>" * ("," in marks) + "<fermata/>" * ("^" in marks)
    what = "<rest/>" if name == "r" else _pitch(name)
    return (
        f"<note>{what}<duration>{int(length * _DIVISIONS)}</duration>{ties}<voice>1</voice>"
        f"<type>{_TYPES[kind][0]}</type>"
        f"{'<dot/>' * len(dot)}{f'<notations>{notations}</notations>' if notations else ''}</note>",
        "~" in marks,
    )


def _hairpins(xml: str) -> str:
    """The XML with its hairpins begun and ended; `!` where none is open says nothing."""
    pieces = re.split(r"@([<>!])@", xml)
    out, open_ = [pieces[0]], False
    for sign, rest in zip(pieces[1::2], pieces[2::2], strict=True):
        if open_:
            out.append(_wedge("stop"))
        open_ = sign != "!"
        if open_:
            out.append(_wedge("crescendo" if sign == "<" else "diminuendo"))
        out.append(rest)
    return "".join(out)


def _wedge(kind: str) -> str:
    return f'<direction><direction-type><wedge type="{kind}"/></direction-type></direction>'
