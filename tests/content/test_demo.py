"""The demo piece as a document: schema, metre, accidentals, beams. Read by xmlschema, music21 and partitura."""

from fractions import Fraction
from importlib.util import find_spec
from pathlib import Path

import pytest
import xmlschema

from tests.content.reading import demo_path, part, raw, score

# The schema imports XLink's from the network; the score links to nothing, so empty names do.
XLINK = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/1999/xlink">
{}</xs:schema>"""
XLINK_NAMES = ("href", "type", "role", "title", "show", "actuate")


def test_is_valid_against_the_musicxml_4_0_schema(tmp_path: Path) -> None:
    spec = find_spec("musicxml")
    assert spec is not None and spec.submodule_search_locations
    folder = Path(spec.submodule_search_locations[0], "generate_classes")
    xlink = tmp_path / "xlink.xsd"
    names = "".join(f'<xs:attribute name="{name}" type="xs:string"/>' for name in XLINK_NAMES)
    xlink.write_text(XLINK.format(names), encoding="utf-8")
    local = {
        "http://www.w3.org/1999/xlink": str(xlink),
        "http://www.w3.org/XML/1998/namespace": str(folder / "xml.xsd"),
    }
    schema = xmlschema.XMLSchema(str(folder / "musicxml_4_0.xsd"), locations=local, allow="local")
    assert [str(error) for error in schema.iter_errors(str(demo_path()))] == []


def test_says_what_it_is() -> None:
    assert score().metadata.title == "Slow Étude in D flat"
    assert score().metadata.composer == "composed for this project"
    assert "this project" in score().metadata.copyright


def test_is_for_b_flat_clarinet() -> None:
    instrument = part().getInstrument()
    # General MIDI 1: program 72 counted from one, 71 from zero, is the clarinet.
    assert instrument.midiProgram == 71
    assert (instrument.transposition.diatonic.generic.directed, instrument.transposition.semitones) == (-2, -2)
    assert raw().findtext(".//transpose/diatonic") == "-1"
    # The sound id of MusicXML 4.0's sounds.xml.
    assert raw().findtext(".//instrument-sound") == "wind.reed.clarinet.bflat"


def test_has_24_to_32_measures_in_many_flats_and_not_in_common_time() -> None:
    measures = part().getElementsByClass("Measure")
    assert 24 <= len(measures) <= 32
    assert [m.number for m in measures] == list(range(1, len(measures) + 1))
    assert all(key.sharps <= -5 for key in part().recurse().getElementsByClass("KeySignature"))
    metres = [t.ratioString for t in part().recurse().getElementsByClass("TimeSignature")]
    assert metres == ["9/8", "12/8", "9/8"]


def test_is_slow() -> None:
    mark = part().recurse().getElementsByClass("MetronomeMark").first()
    assert mark.referent.fullName == "Dotted Quarter"
    assert 40 <= mark.number <= 60
    words = {element.text for element in raw().iter("words")}
    assert {"Andante sostenuto", "rit.", "a tempo", "dolce", "morendo"} <= words


def test_measures_add_up_in_music21() -> None:
    for measure in part().getElementsByClass("Measure"):
        total = sum((Fraction(n.quarterLength) for n in measure.notesAndRests), Fraction(0))
        assert total == Fraction(measure.barDuration.quarterLength), measure.number


@pytest.mark.filterwarnings("ignore:module 'sre_:DeprecationWarning")  # lark, which partitura parses words with
@pytest.mark.filterwarnings("ignore:ignoring direction type:UserWarning")  # partitura leaves the metronome mark out
@pytest.mark.filterwarnings("ignore:error parsing:UserWarning")  # partitura knows few words of expression
def test_measures_add_up_in_partitura() -> None:
    import partitura  # deferred: its imports warn, and the marks above hold only inside a test

    read = partitura.load_musicxml(str(demo_path())).parts[0]
    voice = sorted((n for n in read.notes + list(read.rests) if n.duration), key=lambda n: n.start.t)
    assert [n.start.t for n in voice[1:]] == [n.end.t for n in voice[:-1]]
    starts = {n.start.t for n in voice}
    assert all(m.start.t in starts for m in read.measures)
    widths = [Fraction(m.end.t - m.start.t, 4) for m in read.measures]
    assert widths == [Fraction(m.barDuration.quarterLength) for m in part().getElementsByClass("Measure")]


def test_prints_the_accidentals_the_rules_ask_for_and_two_courtesies() -> None:
    # The usual rule: an accidental holds for its line to the end of the measure; a tied note needs none.
    key = part().recurse().getElementsByClass("KeySignature").first()
    courtesies = []
    for measure in raw().iter("measure"):
        state: dict[tuple[str, str], float] = {}
        for note in measure.iter("note"):
            step, octave = note.findtext("pitch/step"), note.findtext("pitch/octave")
            if step is None or octave is None:
                continue
            alter = float(note.findtext("pitch/alter", "0"))
            signature = key.accidentalByStep(step)
            before = state.get((step, octave), signature.alter if signature else 0)
            tied = any(tie.get("type") == "stop" for tie in note.findall("tie"))
            printed = note.find("accidental")
            state[step, octave] = alter
            if printed is not None and (alter == before or tied):
                courtesies.append((measure.get("number"), f"{step}{octave}", printed.get("cautionary")))
            elif printed is not None:
                names = {-2.0: "flat-flat", -1.0: "flat", 0.0: "natural", 1.0: "sharp"}
                assert printed.text == names[alter], measure.get("number")
            else:
                assert alter == before or tied, (measure.get("number"), step, octave)
    assert courtesies == [("15", "C5", "yes"), ("26", "F5", "yes")]


def test_beams_stay_inside_the_beat() -> None:
    # Trade: in compound metres beams show the dotted beats.
    for measure in part().getElementsByClass("Measure"):
        begun = None
        for note in measure.notes:
            kinds = note.beams.getTypes()
            if note.duration.isGrace or not kinds:
                assert note.duration.isGrace or begun is None, measure.number
                continue
            beat = Fraction(note.offset) // Fraction(3, 2)
            assert (begun is None) == (kinds[0] == "start"), measure.number
            assert begun in (None, beat), measure.number
            begun = None if kinds[0] == "stop" else beat
        assert begun is None, measure.number


def test_nothing_is_pencilled_in() -> None:
    tags = {element.tag for element in raw().iter()}
    assert not tags & {"fingering", "technical", "breath-mark", "other-technical", "caesura"}
