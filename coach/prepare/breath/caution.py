"""What is said wherever breaths are planned or practised."""

CAUTION = (
    "Stop and sit down when you are dizzy, rest between, and force nothing; these figures are no medical test, and a "
    "doctor or a teacher knows better."
)
