"""Running text: read from files, cut into words and pauses, read out, and tagged in its place.

Room: imports the lexicon. Tagging, practice lines and mining all come here for what a word and a sentence is.
"""
