"""What the screens draw, as text: pure functions from the written page and the log to lines of characters.

Nothing here imports Textual; every picture can be tested as a string.
"""
