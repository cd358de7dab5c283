"""placeholder"""

from coach.screen.place import Place
from coach.screen.actions import bindings_of


class TodayScreen(Place):
    PLACE = "today"
    BINDINGS = bindings_of("today")

    def action_demo(self):
        from coach.screen.pieces import open_demo

        open_demo(self.coach)

    def action_play(self):
        pass

    def action_open(self):
        from coach.screen.pieces import choose_piece

        choose_piece(self.coach)
