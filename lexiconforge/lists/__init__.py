"""Lists for a class: graded words, linking pairs, contrasts. Room: chooses from the lexicon; writes nothing."""
