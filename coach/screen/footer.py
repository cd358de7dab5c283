"""The footer: the keys of a place in the same order everywhere, the list of keys always last, at the right edge."""

from itertools import accumulate

from textual.app import ComposeResult
from textual.widgets import Footer
from textual.widgets._footer import FooterKey, FooterLabel


class Keys(Footer):
    """The keys; where they do not all fit, the list of them stays in sight."""

    # Here rather than in a style sheet: the first paint does not wait for it.
    DEFAULT_CSS = """
    Keys { background: $panel; }
    Keys.-compact FooterLabel { margin: 0 1 0 0; }
    Keys FooterKey.-last { dock: right; margin: 0; padding: 0 1 0 1; }
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

    def on_mount(self) -> None:
        """Show what fits at the start."""
        self.call_after_refresh(self._trim)

    async def recompose(self) -> None:
        """Other keys; how wide they are is known once they stand."""
        await super().recompose()
        self.call_after_refresh(self._trim)

    def on_resize(self) -> None:
        """Show what fits now."""
        self.call_after_refresh(self._trim)

    def _trim(self) -> None:
        """Hide keys that would be cut, with their label where they share one, and what comes after them."""
        last = next(iter(self.query(".-last")), None)
        room = self.size.width - (last.outer_size.width if last else 0)
        keys = [child for child in self.children if child is not last]
        widths = [child.outer_size.width + child.styles.margin.width for child in keys]  # hidden ones have them too
        ends = [end - child.styles.margin.right for end, child in zip(accumulate(widths), keys, strict=True)]
        fitting = next((k for k, end in enumerate(ends) if end > room), len(keys))
        if fitting < len(keys) and isinstance(keys[fitting], FooterLabel):
            fitting -= 1
        for k, child in enumerate(keys):
            child.visible = k < fitting
