from lexiconforge.cli import entry

entry()
