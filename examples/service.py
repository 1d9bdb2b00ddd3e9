"""A word as JSON over HTTP: ``pip install fastapi uvicorn``, then ``uvicorn service:app`` beside this file.

``GET /words/water`` gives what the library knows of it; one lexicon serves all requests and threads.
"""

from __future__ import annotations

from fastapi import FastAPI, HTTPException

from lexiconforge import load_lexicon

app = FastAPI(title="What happens to the letter t")
lexicon = load_lexicon()


@app.get("/words/{word}")
def word(word: str) -> dict[str, object]:
    found = lexicon.word(word)
    if found is None:
        raise HTTPException(404, f"not in the dictionary: {word}")
    return found.to_dict()
