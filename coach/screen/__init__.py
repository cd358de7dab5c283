"""The Textual app: one folder per screen, its code and style side by side; it calls `lesson` and nothing below it."""
