"""The Stand's lines of text, and what is typed there."""

from contextlib import suppress
from typing import TYPE_CHECKING

from coach.errors import RequestError
from coach.lesson.drilling import span_of, spots
from coach.music.measure import Measure
from coach.music.metre import Key
from coach.prepare.breath.caution import CAUTION
from coach.screen.dialogs import Read
from coach.screen.session import Opened, Session
from coach.screen.stand.air import air_of_measure, troubles_text
from coach.screen.stand.decided import decided_words
from coach.screen.stand.marks import faults_text
from coach.screen.view.system import metre_at
from coach.screen.view.words import marked_measure_words, tempo_text

if TYPE_CHECKING:
    from coach.lesson.playing import Now

WELCOME = (
    "Nothing is on the stand yet.\n\n"
    "  d   the demo piece: a slow study for clarinet, to try everything with\n"
    "  o   add a score of your own: MusicXML, MIDI, ABC or Humdrum\n\n"
    "Then: space plays; left and right step through the measures, up and down\n"
    "change the tempo; l loops a measure, enter drills it; P suggests ornaments,\n"
    "dynamics, breaths and reminders, F fingerings; p is the pencil. ? lists every key.\n\n"
    "Keep the sound low in headphones."
)


def info_text(session: Session) -> str:
    """Which measure, its metre and key, the tempo in hand."""
    opened = session.opened
    if opened is None:
        return ""
    measures = opened.piece.part.measures
    measure = measures[session.chosen]
    metre = metre_at(opened.piece, session.chosen)
    parts = [f"measure {session.measure_name(session.chosen)} of {session.measure_name(len(measures) - 1)}"]
    if opened.cut != opened.piece.whole():
        parts += [f"cut {session.measure_name(opened.cut.first)}-{session.measure_name(opened.cut.last)}"]
    parts += [metre.name] if metre else []
    parts += [key_words(measure.key)]
    tempo = tempo_text(session.per_minute_at(session.chosen), session.tempo_at(session.chosen), session.glyphs)
    here = spots_here(session, opened)
    return "   ".join([*parts, tempo, *here])


def spots_here(session: Session, opened: Opened) -> list[str]:
    """The spots that the chosen measure belongs to: "spot: the climb"."""
    chosen = session.chosen
    names = []
    for spot in spots(session.desk, opened.set_piece.id):
        with suppress(RequestError):  # a corrected score may have lost its measures; Drill says so
            span = span_of(opened.piece, spot)
            names += [spot.name] if span.first <= chosen <= span.last and not spot.drill else []
    return [f"spot: {', '.join(names)}"] if names else []


def key_words(key: Key) -> str:
    """The key in words: "5 flats"."""
    return key.name


def status_text(session: Session, now: "Now") -> str:
    """What sounds and how: playing, looping, click, other parts, range."""
    glyphs = session.glyphs
    if not now.playing:
        state = f"{glyphs.stopped} stopped"
    elif now.counting_in:
        state = f"{glyphs.playing} count-in {now.count or ''}"
    else:
        state = f"{glyphs.playing} playing"
    parts = [f"{state:<12}"]
    parts.append(f"loop {session.span_words(session.work())}" if session.loop else "loop off")
    parts.append(f"click {'on' if session.click.on else 'off'}")
    parts += ["as printed"] if session.plain else []
    if session.opened is not None and session.opened.piece.others:
        parts.append(f"other parts {'on' if session.others else 'off'}")
    if session.range is not None:
        parts.append(f"range: {session.span_words(session.range)}")
    return "   ".join(parts)


def tempo_from(text: str, performance: float) -> float:
    """A typed tempo: "54", or "60 %" of the performance tempo. Raises RequestError."""
    number = text.strip().removesuffix("%").removesuffix("per cent").strip()
    try:
        value = float(number.replace(",", "."))
    except ValueError:
        raise RequestError(f"{text!r} is no tempo; write a number such as 54, or a per cent such as 60 %.") from None
    share = text.strip() != number
    wanted = value * performance / 100 if share else value
    if not 10 <= wanted <= 400:
        raise RequestError(f"A tempo of {wanted:g} cannot be practised; give one from 10 to 400.")
    return wanted


def words_dialog(session: Session) -> Read:
    """The chosen measure, or the range, in words."""
    opened = session.opened
    if opened is None:
        raise RequestError("Nothing is on the stand.")
    measures = opened.piece.measures(session.work())
    text = "\n\n".join(_measure_text(session, opened, measure).replace("; ", ";\n  ") for measure in measures)
    return Read(f"{opened.set_piece.title}, {session.span_words(session.work())}", text)


def _measure_text(session: Session, opened: Opened, measure: Measure) -> str:
    """A measure in words: what is printed and marked, then what is decided."""
    glyphs = session.glyphs
    printed = marked_measure_words(opened.piece.part, measure, session.marks, glyphs)
    plan = session.breaths
    air = air_of_measure(plan, opened.piece.part, measure) if plan is not None else ""
    return "\n".join(filter(None, (printed, decided_words(session.prepared, measure, glyphs), air)))


def notices_dialog(session: Session) -> Read:
    """What the reader did not understand or simplified, and what was wrong with the marks."""
    opened = session.opened
    notices = opened.piece.notices if opened else ()
    lines = [
        f"- {n.text}{f' ({n.where})' if n.where else ''}{f', {n.count} times' if n.count > 1 else ''}" for n in notices
    ]
    faults = faults_text(opened) if opened else ""
    airless = troubles_text(session)
    text = "\n".join(lines) or "Everything was understood."
    text += f"\n\nThe marks:\n{faults}" if faults else ""
    text += f"\n\nThe air. {CAUTION}\n{airless}" if airless else ""
    return Read("What in the file was not understood or simplified", text)
