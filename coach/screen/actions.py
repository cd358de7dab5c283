"""The one table of what keys do; bindings, footer, help and the rebinding in Setup all read it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from textual.binding import Binding, BindingType

PLACES = ("today", "stand", "drill", "progress", "setup")
PENCIL = "pencil"  # no place of its own: it is taken up on the Stand and put down there
PLACE_NAMES = {
    "today": "Today",
    "stand": "Stand",
    "drill": "Drill",
    "progress": "Progress",
    "setup": "Setup",
    PENCIL: "Pencil",
}
_MUSIC = ("stand", "drill", "progress")


@dataclass(frozen=True, slots=True)
class Command:
    """Something a key does. `places` is where it works (empty: everywhere), `footer` where the footer shows it; `label`
    is short for the footer, `words` plain for the help. Commands of one `group` share a footer entry."""

    id: str
    keys: str
    action: str
    label: str
    words: str
    places: tuple[str, ...] = ()
    footer: tuple[str, ...] = ()
    group: str = ""


COMMANDS: tuple[Command, ...] = (
    Command(
        "play",
        "space",
        "play",
        "play",
        "play, or stop",
        ("today", "stand", "drill", "progress", PENCIL),
        ("today", "stand", "drill", "progress"),
    ),
    Command("back", "left,pageup", "step(-1)", "back", "one measure back (Drill: spot)", _MUSIC, _MUSIC, "step"),
    Command("on", "right,pagedown", "step(1)", "on", "one measure on (Drill: spot)", _MUSIC, _MUSIC, "step"),
    Command(
        "faster", "up", "notch(1)", "faster", "tempo one notch up", ("stand", "drill"), ("stand", "drill"), "tempo"
    ),
    Command(
        "slower", "down", "notch(-1)", "slower", "tempo one notch down", ("stand", "drill"), ("stand", "drill"), "tempo"
    ),
    # Stand
    Command("loop", "l", "loop", "loop", "loop the measure or the range, or stop looping", ("stand",), ("stand",)),
    Command("drill_here", "enter", "drill_here", "drill", "work on the spot here", ("stand",), ("stand",)),
    Command("range_start", "left_square_bracket", "range_start", "range from", "the range begins here", ("stand",)),
    Command("range_end", "right_square_bracket", "range_end", "range to", "the range ends here", ("stand",)),
    Command("no_range", "x", "no_range", "no range", "forget the range", ("stand",)),
    Command("spot", "s", "spot", "spot", "make a spot of the range or the measure", ("stand",), ("stand",)),
    Command("click", "m", "click", "click", "metronome click on or off", ("stand", "drill")),
    Command("others", "a", "others", "all parts", "the other parts along, or not", ("stand", "drill")),
    Command("tempo", "equals_sign,t", "tempo", "tempo", "type a tempo or a per cent", ("stand",)),
    Command("drill_tempo", "equals_sign", "tempo", "tempo", "type a tempo or a per cent", ("drill",)),
    Command("first", "home", "end_of_cut(-1)", "first", "to the first measure", ("stand", "progress", PENCIL)),
    Command("last", "end", "end_of_cut(1)", "last", "to the last measure", ("stand", "progress", PENCIL)),
    Command("go_to", "g", "go_to", "go to", "go to a measure by its number", ("stand", PENCIL)),
    Command("run", "r", "run", "run", "note a run-through: clean, or where it slipped", ("stand",)),
    Command("words", "w", "words", "in words", "the measure in words", ("stand", "drill")),
    Command("notices", "n", "notices", "notices", "what in the files was not understood", ("stand", PENCIL)),
    Command("drills", "e", "drills", "drills", "a drill of the note or the measure: choose one", ("stand", PENCIL)),
    Command("pencil", "p", "pencil", "pencil", "take up the pencil: marks at the notes", ("stand",), ("stand",)),
    Command("suggest", "P", "suggest", "suggest", "suggest ornaments, dynamics, breaths, reminders", ("stand", PENCIL)),
    Command(
        "fingerings",
        "F",
        "fingerings",
        "fingers",
        "suggest fingerings for the piece, anew",
        ("stand", PENCIL),
    ),
    Command("plain", "J", "plain", "as printed", "hear it just as printed, or as decided", ("stand", PENCIL)),
    Command("bands", "L", "bands", "level, air", "under the staff: level, air, both, nothing", ("stand", PENCIL)),
    Command(
        "open", "o", "open", "pieces", "open, add, change or remove a piece", ("stand", "today", "progress"), ("today",)
    ),
    Command("demo", "d", "demo", "demo", "put the demo piece on the stand", ("today", "stand")),
    Command(
        "minutes", "equals_sign,t", "minutes", "minutes", "how many minutes there are today", ("today",), ("today",)
    ),
    Command("work", "enter", "work", "drill", "work on the spot that is marked", ("today",), ("today",)),
    # Progress
    Command(
        "spot_before", "up", "spot(-1)", "before", "the curve of the spot before", ("progress",), ("progress",), "spot"
    ),
    Command(
        "spot_after", "down", "spot(1)", "after", "the curve of the next spot", ("progress",), ("progress",), "spot"
    ),
    Command(
        "to_stand", "enter", "to_stand", "to the Stand", "to this measure on the Stand", ("progress",), ("progress",)
    ),
    # Setup
    Command("change", "enter", "change", "change", "change the line that is marked", ("setup",), ("setup",)),
    Command("more_keys", "a", "more_keys", "add a key", "another key for the same thing", ("setup",), ("setup",)),
    Command("reset", "delete", "reset", "as it was", "back to what it was at first", ("setup",), ("setup",)),
    # Drill
    Command("clean", "c", "clean", "clean", "the rep was clean", ("drill",), ("drill",)),
    Command("slip", "s", "slip", "slip", "the rep slipped", ("drill",), ("drill",)),
    Command("slip_notes", "n", "what('notes')", "notes", "notes slipped (after a slip)", ("drill",)),
    Command("slip_rhythm", "r", "what('rhythm')", "rhythm", "the rhythm slipped", ("drill",)),
    Command("slip_fingers", "f", "what('fingers')", "fingers", "fingers slipped", ("drill",)),
    Command("slip_tone", "t", "what('tone')", "tone", "the tone slipped", ("drill",)),
    Command("slip_breath", "b", "what('breath')", "breath", "the breath slipped", ("drill",)),
    Command("slip_tuning", "u", "what('tuning')", "tuning", "the tuning slipped", ("drill",)),
    Command("slip_dynamics", "d", "what('dynamics')", "dynamics", "the dynamics slipped", ("drill",)),
    Command("undo", "backspace", "undo", "undo", "take the last rep back", ("drill",), ("drill",)),
    Command("slip_where", "i", "where", "where", "in which measure it slipped (after a slip)", ("drill",)),
    Command("rule", "p", "rule", "ladder", "another ladder: its rule, its rungs, its start", ("drill",)),
    Command("rename", "e", "rename", "rename", "give the spot another name", ("drill",)),
    Command("drop", "delete", "drop", "drop", "take the spot off the list", ("drill",)),
    # Pencil
    Command("note_back", "left", "note(-1)", "back", "one note back", (PENCIL,), (PENCIL,), "note"),
    Command("note_on", "right", "note(1)", "on", "one note on", (PENCIL,), (PENCIL,), "note"),
    Command("measure_back", "pageup", "measure(-1)", "measure back", "to the measure before", (PENCIL,)),
    Command("measure_on", "pagedown", "measure(1)", "measure on", "to the next measure", (PENCIL,)),
    Command("mark_before", "up", "choose(-1)", "mark before", "the mark before, of those at the note", (PENCIL,)),
    Command("mark_after", "down,tab", "choose(1)", "next mark", "the next mark, of those at the note", (PENCIL,)),
    Command("breath", "b", "breath", "breath", "a breath after the note; again: catch, none", (PENCIL,), (PENCIL,)),
    Command("left_finger", "l", "finger('L')", "left", "left little finger", (PENCIL,), (PENCIL,), "finger"),
    Command("right_finger", "r", "finger('R')", "right", "right little finger", (PENCIL,), (PENCIL,), "finger"),
    Command("fingering", "f", "write('fingering')", "fingering", "another fingering, typed", (PENCIL,)),
    Command("swap", "w", "write('swap')", "swap", "a silent change of fingering: L>R 2", (PENCIL,)),
    Command("reminder", "a", "reminder", "reminder", "its accidental; again: plain name, none", (PENCIL,)),
    Command("ossia", "o", "ways", "ornament", "other ways to play the ornament; else notes, typed", (PENCIL,)),
    Command("dynamic", "d", "write('dynamic')", "dynamic", "a dynamic, typed: mf, <, -3dB", (PENCIL,)),
    Command("crescendo", "less_than_sign", "stretch('<')", "crescendo", "crescendo from here: move, enter", (PENCIL,)),
    Command("diminuendo", "greater_than_sign", "stretch('>')", "dim.", "diminuendo from here: move, enter", (PENCIL,)),
    Command("alteration", "v", "write('alteration')", "other notes", "notes played in its place, typed", (PENCIL,)),
    Command("phrase", "h", "phrase", "phrase", "a phrase from here: move, h its goal, enter its end", (PENCIL,)),
    Command("pace", "t", "write('pace')", "pace", "rit., tenuto, fermata 3, typed", (PENCIL,)),
    Command("comment", "c", "write('comment')", "comment", "your own words", (PENCIL,), (PENCIL,)),
    Command("edit_mark", "enter", "edit", "edit", "edit the chosen mark, or end a stretch here", (PENCIL,)),
    Command("strike", "x,delete", "strike", "strike", "strike the chosen mark", (PENCIL,), (PENCIL,)),
    Command("keep", "k", "keep", "keep", "keep a suggested mark, restore a struck one", (PENCIL,)),
    Command("keep_all", "K", "keep_all", "keep all", "keep every suggested mark, or those of one kind", (PENCIL,)),
    Command(
        "hands",
        "s",
        "hands",
        "hands",
        "the picture of the fingering, and the change to the next note",
        (PENCIL,),
        (PENCIL,),
    ),
    Command("like", "y", "like", "also there", "the chosen mark at all like places too", (PENCIL,)),
    Command("unmark", "u,backspace", "undo", "undo", "take the last change back", (PENCIL,), (PENCIL,)),
    Command("marks", "i", "marks", "marks", "all marks of the piece; go to one", (PENCIL, "stand"), (PENCIL,)),
    Command("remark", "U,ctrl+r", "redo", "redo", "make it again", (PENCIL,)),
    Command("pencil_down", "p,escape", "down", "down", "put the pencil down, or leave a stretch", (PENCIL,)),
    # everywhere
    Command("today", "1", "place('today')", "Today", "Today: what to work on"),
    Command("stand", "2", "place('stand')", "Stand", "Stand: the music"),
    Command("drill", "3", "place('drill')", "Drill", "Drill: one spot up its ladder"),
    Command("progress", "4", "place('progress')", "Progress", "Progress: what holds"),
    Command("setup", "5", "place('setup')", "Setup", "Setup: sound, click, keys"),
    Command("help", "question_mark,f1", "help", "keys", "this list of keys", (), (*PLACES, PENCIL)),
    Command("quit", "ctrl+q", "leave", "leave", "leave; nothing is lost"),
)
BY_ID: Mapping[str, Command] = {command.id: command for command in COMMANDS}
_GROUPS = {
    "step": Binding.Group("measure", compact=True),
    "tempo": Binding.Group("tempo", compact=True),
    "spot": Binding.Group("spot", compact=True),
    "note": Binding.Group("note", compact=True),
    "finger": Binding.Group("finger", compact=True),
}
_DRILL_GROUPS = {"step": Binding.Group("spot", compact=True)}


def commands_of(place: str) -> tuple[Command, ...]:
    """What keys do at a place, the commands of the place first; with the pencil in hand, its own before those."""
    here = [command for command in COMMANDS if place in command.places]
    if place == PENCIL:
        here.sort(key=lambda command: command.places[0] != PENCIL)
    return (*here, *(command for command in COMMANDS if not command.places))


def bindings_of(place: str) -> list[BindingType]:
    """The bindings of a screen in the order of the footer, those that work everywhere among them: playing, measures and
    tempo first, then what the place is for, the list of keys last."""
    first = ("play", "back", "on", "faster", "slower", "note_back", "note_on")
    last = ("help",)

    def rank(command: Command) -> int:
        return first.index(command.id) - len(first) if command.id in first else int(command.id in last)

    return [_binding(command, place) for command in sorted(commands_of(place), key=rank)]


def _binding(command: Command, place: str) -> Binding:
    groups = {**_GROUPS, **(_DRILL_GROUPS if place == "drill" else {})}
    return Binding(
        command.keys,
        command.action if place in command.places else f"app.{command.action}",
        command.label,
        show=place in command.footer,
        tooltip=command.words,
        id=command.id,
        group=groups.get(command.group),
    )


def clashes(command: Command, keys: Iterable[str], in_force: Mapping[str, str]) -> tuple[Command, ...]:
    """The other commands that already use one of these keys where this command works; `in_force` maps ids to keys."""
    wanted = set(keys)
    return tuple(
        other
        for other in COMMANDS
        if other.id != command.id and _meet(other, command) and wanted & set(in_force[other.id].split(","))
    )


def _meet(one: Command, other: Command) -> bool:
    return not one.places or not other.places or bool(set(one.places) & set(other.places))


def keys_in_force(chosen: Mapping[str, str]) -> dict[str, str]:
    """The keys of every command: the player's own where there are any."""
    return {command.id: chosen.get(command.id) or command.keys for command in COMMANDS}


def faults(chosen: Mapping[str, str]) -> tuple[str, ...]:
    """What is wrong with the player's own keys, a sentence each: a name that is none, a key that means two things."""
    told = []
    in_force = keys_in_force(chosen)
    for name, keys in chosen.items():
        if name not in BY_ID:
            near = get_close_matches(name, BY_ID, 1, 0)
            told.append(f"[keys] in the settings: there is no {name}; did you mean {near[0]}?")
            continue
        for other in clashes(BY_ID[name], keys.split(","), in_force):
            told.append(f"The keys {keys} for “{BY_ID[name].words}” also mean “{other.words}”; change one in Setup.")
    return tuple(told)


_KEY_WORDS = {
    "left_square_bracket": "[",
    "right_square_bracket": "]",
    "question_mark": "?",
    "equals_sign": "=",
    "less_than_sign": "<",
    "greater_than_sign": ">",
    "pageup": "page up",
    "pagedown": "page down",
}


def key_words(keys: str) -> str:
    """Keys as a player would say them: "left or page up"."""
    return " or ".join(_KEY_WORDS.get(key, key.replace("_", " ")) for key in keys.split(","))
