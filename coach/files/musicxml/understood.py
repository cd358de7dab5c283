"""What the reader understands of MusicXML, and what it knowingly leaves aside, name by name.

UNDERSTOOD goes into the page. ASIDE says how something looks or where it came from, never what the player does; each
group has its reason. Everything else that a file holds is reported by `census`.
"""

from collections.abc import Sequence


def _table(text: str) -> dict[str, frozenset[str]]:
    """Lines of "element: attribute attribute"; several elements may share a line."""
    table: dict[str, frozenset[str]] = {}
    for line in text.strip().splitlines():
        names, _, attributes = line.partition(":")
        for name in names.split():
            table[name] = frozenset(attributes.split())
    return table


UNDERSTOOD = _table(
    """
    score-partwise score-timewise: version
    part-list notations direction-type attributes:
    part score-part score-instrument midi-instrument: id
    work work-title movement-number movement-title identification rights part-name instrument-name instrument-sound:
    creator: type
    midi-program part-name-display display-text:
    measure: number implicit
    note: print-object
    pitch step alter octave unpitched display-step display-octave duration dot chord cue voice staff type:
    rest: measure
    grace: steal-time-previous steal-time-following make-time slash
    tie: type
    time-modification actual-notes normal-notes normal-type normal-dot:
    accidental: cautionary parentheses bracket editorial
    notehead: filled parentheses
    lyric: number name
    text syllabic elision laughing humming:
    tied: type number
    slur: type number
    fermata: type
    arpeggiate: number
    non-arpeggiate: number type
    glissando slide: type number
    ornaments technical articulations dynamics:
    accidental-mark: placement
    natural artificial base-pitch touching-pitch sounding-pitch hole-type hole-closed hole-shape arrow-direction:
    arrow-style circular-arrow bend-alter pre-bend release with-bar handbell harmon-closed open:
    backup forward:
    divisions staves:
    key: number
    fifths mode key-step key-alter:
    time: number symbol
    beats beat-type senza-misura:
    clef: number
    sign line clef-octave-change:
    transpose part-transpose for-part concert-score:
    diatonic chromatic octave-change:
    direction:
    offset: sound
    words rehearsal segno coda:
    wedge: type number niente
    dashes: type number
    metronome: parentheses
    beat-unit beat-unit-dot per-minute measure-style:
    strong-accent: type
    sound: tempo segno coda dacapo dalsegno tocoda fine forward-repeat
    barline: location
    bar-style:
    repeat: direction times
    ending: number type
    """
)

# Elements whose children all go into the page under their own names, with their attributes.
OPEN_PARENTS = frozenset({"ornaments", "technical", "articulations", "dynamics"})

ASIDE: dict[str, dict[str, frozenset[str]]] = {
    "where things stand on the page": _table(
        """
        defaults scaling millimeters tenths page-layout page-height page-width page-margins left-margin right-margin:
        top-margin bottom-margin system-layout system-margins system-distance top-system-distance system-dividers:
        left-divider right-divider staff-layout staff-distance appearance line-width note-size distance glyph:
        other-appearance music-font word-font lyric-font lyric-language print measure-layout measure-distance:
        measure-numbering credit credit-type credit-words credit-image credit-symbol part-abbreviation:
        part-abbreviation-display part-group group-name group-name-display group-abbreviation:
        group-abbreviation-display group-symbol group-barline group-time accidental-text instrument-abbreviation:
        """
    ),
    "how signs are drawn": _table(
        """
        stem beam tuplet tuplet-actual tuplet-normal tuplet-number tuplet-type tuplet-dot extend end-line end-paragraph:
        cancel key-accidental key-octave part-symbol staff-details staff-type staff-lines staff-size line-detail:
        staff-tuning tuning-step tuning-alter tuning-octave multiple-rest part-clef:
        """
    ),
    "already in the pitches of the file": _table("octave-shift:"),
    "how the program that wrote the file plays it": _table(
        """
        midi-device midi-channel midi-name midi-bank midi-unpitched volume pan elevation instrument virtual-instrument:
        virtual-library virtual-name instrument-change play ipa mute semi-pitched other-play ensemble solo instruments:
        """
    ),
    "where the file comes from": _table(
        """
        encoding encoder encoding-date encoding-description software supports source relation miscellaneous:
        miscellaneous-field work-number opus group player player-name link bookmark instrument-link:
        """
    ),
}

# Attributes that are left aside wherever they stand, by the same reasons.
ASIDE_ATTRIBUTES: dict[str, frozenset[str]] = {
    "how signs are drawn": frozenset(
        "placement print-object print-dot print-lyric print-spacing print-leger spread separator "
        "additional after-barline winged system directive show-number show-type element attribute value "
        "use-dots use-symbols page line-end end-length".split()
    ),
    "how the program that wrote the file plays it": frozenset(
        "dynamics end-dynamics attack release pizzicato elevation pan".split()
    ),
}

_ASIDE_ELEMENTS = {name for group in ASIDE.values() for name in group}
_ASIDE_EVERYWHERE = {name for group in ASIDE_ATTRIBUTES.values() for name in group}

# Under these parents a name that is understood elsewhere is not.
NOT_HERE = frozenset({("barline", "wavy-line"), ("barline", "fermata")})

# Names that mean the same wherever they stand.
PLAIN = (frozenset(UNDERSTOOD) | frozenset(_ASIDE_ELEMENTS)) - {name for _, name in NOT_HERE}

# What the reader itself reports in better words while it reads.
SAID_ELSEWHERE = frozenset(
    "metronome-note metronome-relation metronome-arrows metronome-beam metronome-dot metronome-tied metronome-tuplet "
    "metronome-type interchangeable time-relation".split()
) | {"barline/fermata"}


def is_understood(parent: str, name: str) -> bool:
    """Whether an element under a parent goes into the page."""
    return (parent, name) not in NOT_HERE and (name in UNDERSTOOD or parent in OPEN_PARENTS)


def is_aside(name: str) -> bool:
    """Whether an element is knowingly left aside, with all that it holds."""
    return name in _ASIDE_ELEMENTS


def strange_attributes(parent: str, name: str, attributes: Sequence[str], drawing: frozenset[str]) -> list[str]:
    """The attributes of an understood element that are neither understood nor left aside."""
    if parent in ("ornaments", "technical"):
        return []
    if name not in UNDERSTOOD and name in _ASIDE_ELEMENTS:
        return []
    known = UNDERSTOOD.get(name, frozenset())
    return [one for one in attributes if one not in known and one not in drawing and one not in _ASIDE_EVERYWHERE]
