"""The program's own colours: a dark and a light theme, and one of high contrast. Colour never says anything alone."""

from textual.theme import Theme

DARK = Theme(
    name="evening",
    primary="#c9a26b",
    secondary="#8fb0a9",
    accent="#e3c07f",
    foreground="#e9e4da",
    background="#17191b",
    surface="#1e2123",
    panel="#272b2e",
    success="#93c28a",
    warning="#e0b25c",
    error="#e08a78",
    dark=True,
)
LIGHT = Theme(
    name="paper",
    primary="#6d4f1f",
    secondary="#2f5f58",
    accent="#8a5a10",
    foreground="#1c1a17",
    background="#fbf8f1",
    surface="#f3eee2",
    panel="#e8e0cf",
    success="#2c6a2a",
    warning="#8a5a00",
    error="#a32a1c",
    dark=False,
)
CONTRAST = Theme(
    name="high contrast",
    primary="#ffffff",
    secondary="#ffffff",
    accent="#ffff00",
    foreground="#ffffff",
    background="#000000",
    surface="#000000",
    panel="#1a1a1a",
    success="#00ff7f",
    warning="#ffd700",
    error="#ff9f8f",
    dark=True,
)
THEMES = (DARK, LIGHT, CONTRAST)
