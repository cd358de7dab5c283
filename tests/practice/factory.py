"""Plain reps for the tests, one minute apart."""

from datetime import UTC, datetime, timedelta

from coach.practice.rep import Rep, Slip

START = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)


def rep(
    uuid: str = "r",
    outcome: str = "clean",
    *,
    per_minute: float = 60.0,
    minute: float = 0,
    days: float = 0,
    first: str = "1",
    last: str = "2",
    spot: str = "s",
    kind: str = "rep",
    complete: bool = True,
    slips: tuple[Slip, ...] = (),
    beat: str = "quarter",
    piece: str = "etude",
) -> Rep:
    """A rep `minute` minutes and `days` days after START."""
    return Rep(
        uuid=uuid,
        at=START + timedelta(minutes=minute, days=days),
        zone="UTC",
        piece=piece,
        score_hash="c0ffee",
        spot=spot if kind == "rep" else "",
        from_note=f"{first}.1",
        to_note=f"{last}.1",
        first=first,
        last=last,
        per_minute=per_minute,
        beat=beat,
        outcome=outcome,
        complete=complete,
        kind=kind,
        slips=slips,
    )
