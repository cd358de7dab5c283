"""Lung equations against their published values: the handbook's facts, section 1.3, worked with pyspiro 1.0.0 from the
papers' own coefficients. pyspiro itself is not run here."""

import pytest

from coach.files.lungs import lung_tables
from coach.instruments.lungs import EQUATIONS, Body, inspired_capacity_ecsc, vital_capacity

# (sex, age, height cm): GLI 2012 and its lower limit, GLI 2022 and its, NHANES III and its, ECSC FVC and IVC
WORKED = {
    ("male", 30, 180): (5.614, 4.521, 5.260, 4.096, 5.624, 4.669, 5.248, 5.490),
    ("female", 30, 165): (3.929, 3.141, 3.684, 2.845, 3.895, 3.182, 3.639, 3.629),
    ("male", 20, 175): (5.277, 4.279, 4.815, 3.783, 5.421, 4.518, 5.220, 5.325),
    ("female", 25, 165): (3.944, 3.151, 3.684, 2.852, 3.906, 3.194, 3.769, 3.759),
    ("male", 50, 178): (5.002, 3.910, 4.670, 3.553, 5.073, 4.139, 4.613, 4.808),
    ("female", 50, 163): (3.475, 2.719, 3.252, 2.426, 3.560, 2.865, 3.031, 3.016),
    ("female", 14, 158): (3.293, 2.653, 3.089, 2.410, 3.318, 2.665, None, None),
    ("male", 14, 165): (3.888, 3.158, 3.724, 2.932, 3.945, 3.143, None, None),
}


@pytest.mark.parametrize("body", WORKED, ids=lambda body: f"{body[0]} {body[1]} years {body[2]} cm")
def test_the_worked_values(body: tuple[str, int, int]) -> None:
    who, tables = Body(*body), lung_tables()
    gli12, low12, gli22, low22, nhanes, nhanes_low, ecsc, inspired = WORKED[body]
    for equation, litres, low, within in (
        ("GLI 2012", gli12, low12, 0.005),
        ("GLI 2022", gli22, low22, 0.005),
        ("NHANES III", nhanes, nhanes_low, 0.001),
    ):
        found = vital_capacity(equation, who, tables)
        assert found.litres == pytest.approx(litres, abs=within)
        assert found.low_litres == pytest.approx(low, abs=within)
    if ecsc is None:
        with pytest.raises(ValueError, match="made for ages 18 to 70"):
            vital_capacity("ECSC 1993", who, tables)
    else:
        assert vital_capacity("ECSC 1993", who, tables).litres == pytest.approx(ecsc, abs=0.001)
        assert inspired_capacity_ecsc(who) == pytest.approx(inspired, abs=0.001)


@pytest.mark.parametrize(
    ("equation", "body", "says"),
    [
        ("GLI 2022", Body("male", 30, 20), "height of 20 cm"),
        ("GLI 2022", Body("male", 3, 100), "ages 8 to 95"),
        ("GLI 2022", Body("other", 30, 170), "made for female and male"),
        ("none", Body("male", 30, 170), "no equation 'none'"),
    ],
)
def test_what_is_no_body_is_refused_with_the_remedy(equation: str, body: Body, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        vital_capacity(equation, body, lung_tables())


def test_capacity_grows_with_height_at_every_age() -> None:
    for equation in EQUATIONS:
        for sex in ("female", "male"):
            for age in (18, 25.1, 40, 69.9):
                litres = [vital_capacity(equation, Body(sex, age, h), lung_tables()).litres for h in range(140, 205, 5)]
                assert litres == sorted(litres)
