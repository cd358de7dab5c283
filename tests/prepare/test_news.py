"""What a teacher's update brought, in words."""

from dataclasses import replace

from coach.prepare.mark import Breath, Comment, Mark
from coach.prepare.news import news
from coach.prepare.prep import Prep

OWN = Mark("own", "1.1", Breath())
FIRST = Mark("t1", "1.2", Comment("sing"), "teacher")
SECOND = Mark("t2", "2.1", Breath(), "teacher")
THIRD = Mark("t3", "2.2", Breath("catch"), "teacher")


def said(before: tuple[Mark, ...], after: tuple[Mark, ...]) -> str:
    return news(Prep(marks=before), Prep(marks=after))


def test_the_first_time_there_is_only_a_number() -> None:
    assert said((OWN,), (OWN, FIRST)) == "1 mark of your teacher's"
    assert said((), (FIRST, SECOND)) == "2 marks of your teacher's"
    assert said((OWN,), (OWN,)) == "no marks of your teacher's"


def test_what_came_since() -> None:
    louder = replace(FIRST, content=Comment("sing out"))
    assert said((FIRST, SECOND), (louder, THIRD, OWN)) == "2 marks of your teacher's, 1 new, 1 changed, 1 taken back"
    assert said((FIRST,), (FIRST,)) == "1 mark of your teacher's, nothing new"
    assert said((FIRST,), ()) == "no marks of your teacher's, 1 taken back"


def test_what_the_player_did_with_them_is_no_news() -> None:
    struck = replace(FIRST, state="struck", at="1.3")
    assert said((struck, OWN), (FIRST,)) == "1 mark of your teacher's, nothing new"
    assert news(Prep(unplaced=(FIRST,)), Prep(marks=(FIRST,))) == "1 mark of your teacher's, nothing new"
