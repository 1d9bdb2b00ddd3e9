"""Material for a class: sequences of lessons, lines to say, handouts. Room: chooses from lists and texts; writes nothing."""
