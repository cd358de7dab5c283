"""The footer: the keys of a place in the same order everywhere, the list of keys always last, at the right edge."""

from textual.app import ComposeResult
from textual.widgets import Footer
from textual.widgets._footer import FooterKey


class Keys(Footer):
    """The keys; where they do not all fit, the list of them stays in sight."""

    # Here rather than in a style sheet: the first paint does not wait for it.
    DEFAULT_CSS = """
    Keys { background: $panel; }
    Keys.-compact FooterLabel { margin: 0 1 0 0; }
    Keys FooterKey.-last { dock: right; padding: 0 0 0 1; }
    Keys FooterKey .footer-key--key { color: $accent; background: $panel; }
    """

    def __init__(self) -> None:
        super().__init__(compact=True, show_command_palette=False)

    def compose(self) -> ComposeResult:
        """Textual's own footer, its last key docked."""
        for child in super().compose():
            if isinstance(child, FooterKey) and child.action == "app.help":
                child.add_class("-last")
            yield child
