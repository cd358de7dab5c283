"""The share: golden bytes, and whatever may come in a file of somebody else's.

The archives are made and read by Python's zipfile, and damaged at the places that PKWARE's application note (sections
4.3.7, local header, and 4.3.12, central header) gives for a field.
"""

import io
import json
import tracemalloc
import zipfile
import zlib
from dataclasses import replace
from fractions import Fraction
from hashlib import sha256
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.errors import StoreError
from coach.files.prep import prep_text
from coach.files.score import read_score
from coach.files.share import Cover, is_share, open_share, pack_share
from coach.music.rhythm import beat_unit
from coach.music.tempo import Tempo
from coach.prepare.mark import Breath, Comment, Fingering, Mark
from coach.prepare.over import written_over
from coach.prepare.prep import Prep
from tests.lesson.pages import PLAIN, page

SCORE = page(*PLAIN).encode()
COVER = Cover("study-ab12", "Study", "Clarinet in Bb", Tempo(Fraction(60), beat_unit("quarter")), "1", "6", "coach 9")
NAME = "lesson.coach"
MARKS = (
    Mark("m1", "1.2", Fingering("R"), "teacher"),
    Mark("m2", "2.4", Breath("catch"), "teacher", because="the phrase ends"),
    Mark("m3", "3.1", Comment("sing"), "teacher"),
)
LOCAL, CENTRAL = b"PK\3\4", b"PK\1\2"


def written_prep(folder: Path) -> str:
    path = folder / "study.musicxml"
    path.write_bytes(SCORE)
    piece = read_score(path)
    prep = Prep(title="Study", score_hash=piece.score_hash, marks=MARKS, over=written_over(piece.part))
    return prep_text(prep, piece.part)


@pytest.fixture(scope="module")
def prep(tmp_path_factory: pytest.TempPathFactory) -> str:
    return written_prep(tmp_path_factory.mktemp("score"))


@pytest.fixture(scope="module")
def packed(prep: str) -> bytes:
    return pack_share(COVER, SCORE, ".musicxml", prep)


def archive(entries: list[tuple[str, bytes]], packing: int = zipfile.ZIP_DEFLATED) -> bytes:
    """An archive with these entries, names as given and as often as given."""
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", packing) as out:
        for name, data in entries:
            out.writestr(zipfile.ZipInfo(name), data, packing)
    return whole.getvalue()


def entries(packed: bytes, **changed: bytes) -> list[tuple[str, bytes]]:
    """The entries of a share, those named by their first word changed."""
    with zipfile.ZipFile(io.BytesIO(packed)) as opened:
        return [(name, changed.get(name.split(".")[0], opened.read(name))) for name in opened.namelist()]


def told(data: bytes) -> str:
    """The one sentence with which a share is refused."""
    with pytest.raises(StoreError) as caught:
        open_share(data, NAME)
    text = str(caught.value)
    assert text.startswith(NAME) and text.endswith(".") and text.isprintable() and len(text) < 400, text
    return text


def cover_of(packed: bytes) -> dict[str, object]:
    body = json.loads(entries(packed)[0][1])
    assert isinstance(body, dict)
    return body


def with_cover(packed: bytes, **fields: object) -> bytes:
    return archive(entries(packed, share=json.dumps({**cover_of(packed), **fields}).encode()))


def patched(data: bytes, name: str, local: int, central: int, value: bytes) -> bytes:
    """An archive with a field of an entry's two headers overwritten."""
    changed = bytearray(data)
    for signature, offset, names_at in ((LOCAL, local, 30), (CENTRAL, central, 46)):
        at = -1
        while True:
            at = data.index(signature, at + 1)
            if data[at + names_at :].startswith(name.encode()):
                break
        changed[at + offset : at + offset + len(value)] = value
    return bytes(changed)


# -- what it is ----------------------------------------------------------------------------------------------------


def test_the_bytes_are_those_of_an_ordinary_zip_archive() -> None:
    """Stored, in this order, dated 1980-01-01: the earliest date there is (application note 4.4.6, MS-DOS)."""
    data = pack_share(COVER, b"<score/>", ".xml", "# a prep\n")
    assert zipfile.ZipFile(io.BytesIO(data)).testzip() is None
    body = (
        b'{\n "schema": "coach.share/1",\n "share": "study-ab12",\n "title": "Study",\n "part": "Clarinet in Bb",\n'
        b' "tempo": {\n  "per_minute": 60.0,\n  "beat": "quarter"\n },\n "measures": [\n  "1",\n  "6"\n ],\n'
        b' "score": "score.xml",\n "written_by": "coach 9"\n}\n'
    )
    heads, directory = b"", b""
    for name, content in ((b"share.json", body), (b"score.xml", b"<score/>"), (b"prep.toml", b"# a prep\n")):
        sizes = zlib.crc32(content).to_bytes(4, "little") + len(content).to_bytes(4, "little") * 2
        common = b"\0\0\0\0\0\0\x21\0" + sizes + len(name).to_bytes(2, "little") + b"\0\0"
        at = len(heads).to_bytes(4, "little")
        heads += LOCAL + b"\x14\0" + common + name + content
        directory += CENTRAL + b"\x14\3\x14\0" + common + bytes(6) + (0o100644 << 16).to_bytes(4, "little") + at + name
    end = b"\3\0\3\0" + len(directory).to_bytes(4, "little") + len(heads).to_bytes(4, "little") + b"\0\0"
    assert data == heads + directory + b"PK\5\6\0\0\0\0" + end


def test_it_comes_back_as_it_was(packed: bytes, prep: str) -> None:
    share = open_share(packed, NAME)
    assert (share.cover, share.score, share.suffix) == (COVER, SCORE, ".musicxml")
    assert share.prep.faults == () and share.prep.prep.marks == MARKS
    assert packed == pack_share(COVER, SCORE, ".musicxml", prep)


def test_packed_again_by_hand_it_is_read_all_the_same(packed: bytes) -> None:
    again = archive(entries(packed)[::-1])
    assert is_share(again) and open_share(again, NAME) == open_share(packed, NAME)


def test_it_is_told_by_its_content(packed: bytes) -> None:
    assert is_share(packed) and is_share(packed[:100])
    assert not is_share(SCORE) and not is_share(b"") and not is_share(archive([("score.xml", SCORE)]))


def test_the_suffix_of_a_score_that_no_format_has_is_left_out(prep: str) -> None:
    share = open_share(pack_share(COVER, SCORE, ".a b/c", prep), NAME)
    assert (share.score, share.suffix) == (SCORE, "")


def test_a_score_too_large_to_share(prep: str) -> None:
    with pytest.raises(StoreError, match="Study cannot be shared: its score is larger than 16 MB"):
        pack_share(COVER, bytes((16 << 20) + 1), ".mxl", prep)


# -- what may come -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name",
    ["../score.xml", "/etc/passwd", "C:\\x", "a/../../b", "notes.txt", "score.exe", "share.json/", "\x1b[2J"],
)
def test_a_name_that_no_share_has(packed: bytes, name: str) -> None:
    assert "which no share does, and is refused" in told(archive([*entries(packed), (name, b"x")]))


def test_a_name_with_a_nought_in_it(packed: bytes) -> None:
    """Python's reader ends a name there, another one may not."""
    data = archive([(name.replace("score.", "score.a_"), content) for name, content in entries(packed)[1:]])
    assert "'score.a\\x00musicxml', which no share does" in told(data.replace(b"score.a_", b"score.a\0"))


def test_names_that_are_there_twice_or_not_at_all(packed: bytes) -> None:
    whole = entries(packed)
    with pytest.warns(UserWarning, match="Duplicate name"):
        doubled = archive([*whole, whole[2]])
    assert "holds an entry twice" in told(doubled)
    assert "holds an entry twice" in told(archive([*whole, ("score.mid", b"x")]))
    for k in range(3):
        assert "is no whole share" in told(archive(whole[:k] + whole[k + 1 :]))
    assert "is no whole share" in told(archive([]))


def test_an_encrypted_entry(packed: bytes) -> None:
    """Bit 0 of the general purpose flag, application note 4.4.4."""
    assert f"{NAME}, prep.toml: it is encrypted" in told(patched(packed, "prep.toml", 6, 8, b"\1\0"))


@pytest.mark.parametrize("packing", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_an_unusual_packing(packed: bytes, packing: int) -> None:
    assert "packed in an unusual way" in told(archive(entries(packed), packing))


def bomb(packed: bytes, size: int) -> bytes:
    """A share whose score is that many zero bytes."""
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as out:
        for name, data in entries(packed):
            if name == "score.musicxml":
                with out.open(name, "w", force_zip64=True) as entry:
                    for _ in range(size >> 24):
                        entry.write(bytes(1 << 24))
            else:
                out.writestr(name, data)
    return whole.getvalue()


def cheaply_told(data: bytes) -> str:
    """The sentence, and no more than a few megabytes at any time."""
    tracemalloc.start()
    try:
        before = tracemalloc.get_traced_memory()[0]
        text = told(data)
        assert tracemalloc.get_traced_memory()[1] - before < len(data) + (5 << 20)
    finally:
        tracemalloc.stop()
    return text


def test_a_bomb_is_refused_after_a_megabyte(packed: bytes) -> None:
    """10 GB in a file of 10 MB: made of one deflated block repeated, since compressing 10 GB takes a minute."""
    data = deflated_zeros(packed, 10 << 30)
    assert len(data) < 12 << 20
    with zipfile.ZipFile(io.BytesIO(data)) as archive_:
        assert archive_.getinfo("score.musicxml").file_size == 10 << 30
    assert "score.musicxml: it expands to more than it may" in cheaply_told(data)


def deflated_zeros(packed: bytes, size: int) -> bytes:
    """A share whose score is so many zero bytes (a multiple of 16 MB), by deflating 16 MB once (RFC 1951: blocks that
    a full flush ends on a byte can follow one another)."""
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    packer.compress(bytes(1 << 24))
    packer.flush(zlib.Z_FULL_FLUSH)
    block = packer.compress(bytes(1 << 24)) + packer.flush(zlib.Z_FULL_FLUSH)
    stream = block * (size >> 24) + zlib.compressobj(9, zlib.DEFLATED, -15).flush()
    stored = archive([(name, stream if name == "score.musicxml" else data) for name, data in entries(packed)], 0)
    wide = (0xFFFFFFFF).to_bytes(4, "little") if size > 0xFFFFFFFE else size.to_bytes(4, "little")
    data = patched(stored, "score.musicxml", 8, 10, (8).to_bytes(2, "little"))
    data = patched(data, "score.musicxml", 22, 24, wide)
    return with_wide_size(data, size) if size > 0xFFFFFFFE else data


def with_wide_size(data: bytes, size: int) -> bytes:
    """The size of the score in the central header's extra field of ZIP64 (application note 4.5.3)."""
    extra = b"\1\0\x08\0" + size.to_bytes(8, "little")
    at = data.index(CENTRAL, data.index(CENTRAL) + 1)
    name_end = at + 46 + len("score.musicxml")
    grown = data[:name_end] + extra + data[name_end:]
    grown = grown[: at + 30] + len(extra).to_bytes(2, "little") + grown[at + 32 :]
    end = grown.rindex(b"PK\5\6") + 12
    listed = int.from_bytes(grown[end : end + 4], "little") + len(extra)
    return grown[:end] + listed.to_bytes(4, "little") + grown[end + 4 :]


@pytest.mark.parametrize("said", [0, 100, 1 << 20])
def test_a_bomb_whose_header_lies_about_its_size(packed: bytes, said: int) -> None:
    data = patched(deflated_zeros(packed, 1 << 30), "score.musicxml", 22, 24, said.to_bytes(4, "little"))
    assert "is a damaged share (Bad CRC-32" in cheaply_told(data)


def test_a_bomb_that_looks_harmless_at_first(packed: bytes) -> None:
    """A megabyte of noise, then zeros: bounded by what a score may hold at most."""
    noise = b"".join(sha256(k.to_bytes(4, "big")).digest() for k in range(32 << 10))
    data = archive([(name, noise + bytes(64 << 20) if name.startswith("score") else d) for name, d in entries(packed)])
    assert "score.musicxml: it expands to more than it may" in told(data)


@pytest.mark.parametrize("which", ["share", "prep"])
def test_texts_have_bounds_of_their_own(packed: bytes, which: str) -> None:
    large = "".join(sha256(bytes([k % 256, k // 256])).hexdigest() for k in range(1 << 16)).encode() * 2
    assert "it expands to more than it may" in told(archive(entries(packed, **{which: large})))


def test_a_list_of_many_entries_is_not_even_read(packed: bytes) -> None:
    many = archive([*entries(packed), *((f"{k}.txt", b"") for k in range(3000))])
    assert "holds more entries than a share has" in cheaply_told(many)


@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.9, 0.99, 0.999])
def test_cut_off(packed: bytes, share: float) -> None:
    cut = packed[: int(len(packed) * share)]
    assert "breaks off or is damaged" in told(cut)


def test_no_archive(packed: bytes) -> None:
    for data in (b"", b"Dear colleague", SCORE, b"\x89PNG\r\n"):
        assert "is no share of coach (it is no zip archive)" in told(data)
    assert "is larger than 24 MB" in told(bytes((24 << 20) + 1))


def test_a_newer_share(packed: bytes) -> None:
    text = told(with_cover(packed, schema="coach.share/2"))
    assert text == f"{NAME}, share.json: it was written by a newer coach (version 2, this one reads 1); update coach."


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"schema": "other/1"}, "does not say that it is a share"),
        ({"schema": 7}, "does not say that it is a share"),
        ({"schema": "coach.share/-1"}, "does not say that it is a share"),
        ({"share": ""}, "share is empty"),
        ({"share": None}, "share is missing"),
        ({"share": "\x1b\x07"}, "id holds nothing that can be read"),
        ({"title": "\u202e"}, "title holds nothing that can be read"),
        ({"title": 7}, "title is 7"),
        ({"tempo": 60}, "tempo is 60"),
        ({"tempo": {"per_minute": 10**400, "beat": "quarter"}}, "share.json"),
        ({"tempo": {"per_minute": True, "beat": "quarter"}}, "per_minute is True"),
        ({"tempo": {"per_minute": float("nan"), "beat": "quarter"}}, "per_minute is nan"),
        ({"tempo": {"per_minute": 60, "beat": "x" * 5000}}, "share.json"),
        ({"measures": ["1"]}, "measures is"),
        ({"measures": ["\x9b", "1"]}, "first holds nothing that can be read"),
        ({"score": "../score.xml"}, "it names another score than score.musicxml"),
        ({"score": ["score.musicxml"] * 900}, "score is"),
    ],
)
def test_a_cover_that_makes_no_sense(packed: bytes, fields: dict[str, object], words: str) -> None:
    text = told(with_cover(packed, **fields))
    assert words in text and "share.json" in text and "ask for the file again" in text


@pytest.mark.parametrize(
    "cover", [b"", b"[]", b"\xff\xfe", b"{" * 60_000, b"[" * 60_000, b'{"schema": "coach.share/1"']
)
def test_a_cover_that_is_no_cover(packed: bytes, cover: bytes) -> None:
    assert f"{NAME}, share.json: this is no cover of a share" in told(archive(entries(packed, share=cover)))


def test_words_of_a_cover_are_made_fit_to_be_shown(packed: bytes) -> None:
    evil = "\x1b[2J\x9b31m\u202eStudy\n two"
    cover = open_share(with_cover(packed, title=evil, share=evil, part=evil, written_by=evil), NAME).cover
    assert {cover.title, cover.id, cover.part, cover.written_by} == {"[2J31mStudy two"}
    assert len(open_share(with_cover(packed, title="x" * 5000), NAME).cover.title) == 200


def test_a_prep_that_is_no_text(packed: bytes) -> None:
    assert f"{NAME}, prep.toml: this is no UTF-8 text" in told(archive(entries(packed, prep=b"\xff\xff")))


def test_a_prep_with_a_mistake_keeps_its_good_part(packed: bytes, prep: str) -> None:
    assert prep.count('"3.1"') == 1
    share = open_share(archive(entries(packed, prep=prep.replace('"3.1"', "7").encode())), NAME)
    assert share.prep.prep.marks == MARKS[:2]
    (fault,) = share.prep.faults
    assert "prep.toml" in str(fault)


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_any_bytes_give_one_sentence(data: st.DataObject) -> None:
    original = PACKED
    at = data.draw(st.integers(0, len(original)))
    noise = data.draw(st.binary(max_size=8))
    tail = original[at + data.draw(st.integers(0, 12)) :] if data.draw(st.booleans()) else b""
    changed = data.draw(st.sampled_from([original[:at] + noise + tail, noise, b"PK\3\4" + noise, noise + original]))
    try:
        share = open_share(changed, NAME)
    except StoreError as error:
        assert str(error).startswith(NAME) and str(error).endswith(".") and str(error).isprintable()
    else:
        assert replace(share.cover, written_by="").title.isprintable()


PACKED = pack_share(COVER, b"<score-partwise/>", ".xml", "")
