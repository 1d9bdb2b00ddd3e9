"""Options and arguments: what is meant is found, what cannot be is refused in one line, tables keep their types."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from lexiconforge.building import BuildOptions
from lexiconforge.errors import LexiconForgeError, OptionError
from lexiconforge.lexicon import Lexicon, load_lexicon
from lexiconforge.lexicon.catalog import sound_tokens, words
from lexiconforge.lists.contrasts import contrast_sets
from lexiconforge.lists.linking import LinkFilter, links
from lexiconforge.lists.wordlists import WordFilter, word_cards, word_list
from lexiconforge.tables import Table
from lexiconforge.teaching.handouts import HandoutOptions
from lexiconforge.teaching.planning import PLAN_COLUMNS, PlanOptions, plan
from lexiconforge.teaching.practising import PracticeOptions, practice_lines
from lexiconforge.text.tagger import Tagger, summarise

pytestmark = pytest.mark.usefixtures("few_only")

CORPUS = Path(__file__).parents[2] / "lexiconforge" / "data" / "corpus"
NO_PAIRS = pd.DataFrame({"first": ["at"], "second": ["all"], "count": [1]}).head(0)


@pytest.fixture(scope="module")
def lexicon(few: Lexicon) -> Lexicon:
    return few


@pytest.fixture(scope="module")
def pairs(few_pairs: pd.DataFrame) -> pd.DataFrame:
    return few_pairs


def refused(said: str, call: Callable[..., object], *arguments: Any, **named: Any) -> None:
    """The call raises what the library raises on purpose, with one line that says this."""
    with pytest.raises(OptionError) as caught:
        call(*arguments, **named)
    assert isinstance(caught.value, LexiconForgeError)
    message = str(caught.value)
    assert said in message
    assert len(message.splitlines()) == 1


def refused_by_name(
    field: str, value: object, call: Callable[..., object], *given: Any, **named: Any
) -> None:
    """The same, with a line that names the argument or shows what it was given."""
    with pytest.raises(OptionError) as caught:
        call(*given, **named)
    message = str(caught.value)
    shown = map(repr, value if isinstance(value, (list, tuple)) else [value])
    assert any(text in message for text in (field.replace("_", " ").rstrip("s"), *shown))
    assert len(message.splitlines()) == 1


# Values that do not exist


@pytest.mark.parametrize(
    ("field", "value", "listed"),
    [
        ("allophone", "tpa", "glottal stop"),
        ("environment", "nowhere", "between vowels"),
        ("part_of_speech", "werb", "verb"),
        ("levels", ("A1", "Z9"), "C2"),
        ("levels", "D1", "A1, A2"),
        ("levels", "B1-A1", "backwards"),
        ("levels", ("B1", "A1"), "backwards"),
        ("levels", "A1-", "A1-B1"),
        ("levels", "A1,A2", "here A1-A2"),
        ("levels", "a2, b1", "here A2-B1"),
        ("levels", ("A1", "A2", "B1"), "A1-B1"),
        ("levels", (), "A1-B1"),
        ("levels", ("A1", None), "None"),
        ("include", ["nams"], "names"),
        ("include", "nams", "names"),
        ("syllables", (0, 2), "1 or more"),
        ("syllables", 0, "1 or more"),
        ("syllables", (3, 2), "2-3"),
        ("syllables", (2,), "(2, 3)"),
        ("syllables", (2, 3, 4), "(2, 3)"),
        ("syllables", (None, 2), "None"),
        ("syllables", (2, None), "None"),
        ("stress", "1x", "0, 1 and 2"),
        ("limit", 0, "1 or more"),
        ("max_rank", -3, "1 or more"),
    ],
)
def test_a_value_that_does_not_exist_lists_those_that_do(
    field: str, value: object, listed: str, lexicon: Lexicon
) -> None:
    refused(listed, lambda: word_list(lexicon, WordFilter(**{field: value})))  # type: ignore[arg-type]


def test_values_of_the_other_functions_that_do_not_exist(lexicon: Lexicon) -> None:
    refused("teen-ty", contrast_sets, lexicon, NO_PAIRS, ["rhymes"])
    refused("between vowels", plan, lexicon, NO_PAIRS, PlanOptions(order=["nowhere"]))
    refused("environment", plan, lexicon, NO_PAIRS, PlanOptions(order="nowhere"))
    refused("name at least one", PlanOptions, order=[])
    refused("A1, A2", PracticeOptions, level="Z")
    refused("casual, careful", Tagger, lexicon, "formal")
    refused("casual, careful", practice_lines, lexicon, ["at"], CORPUS, PracticeOptions(style="formal"))
    refused("a4, letter", HandoutOptions, paper="a5")
    refused("words, sorting", HandoutOptions, parts=("songs",))
    refused("words, sorting", HandoutOptions, parts=())
    refused("give one of the two", BuildOptions, counts="a.parquet", frequencies="b.csv")
    refused("blend goes with counts", BuildOptions, blend=True)
    refused("there are: d, t", load_lexicon, "z")
    refused("no such folder", load_lexicon, "t", sounds="/no/such/folder")


def test_an_environment_that_has_no_name_is_none(lexicon: Lexicon) -> None:
    refused("environment", lambda: plan(lexicon, NO_PAIRS, PlanOptions(lessons=1, words=2, order=[""])))


def test_an_allophone_of_the_other_sound(d_lexicon: Lexicon) -> None:
    refused("nasal release", word_list, d_lexicon, WordFilter(allophone="aspirated stop"))


@pytest.mark.parametrize(
    ("named", "said"),
    [({"level": "Z9"}, "A1, A2"), ({"target": "tpa"}, "nasal tap"), ({"max_rank": 0}, "1 or more")],
)
def test_a_summary_by_what_does_not_exist(named: dict[str, object], said: str, lexicon: Lexicon) -> None:
    passage = Tagger(lexicon).tag_text("Gorgeous water.")
    refused(said, summarise, passage, lexicon, **named)


# Values of another type

NOT_TEXT = (None, 5, 1.5, True, ["tap"])
NOT_WHOLE = ("5", 5.0, True, [5])
NOT_WORDS = (None, 5, 1.5, True, [None], [5], b"wait")
WRONG_TYPES: list[tuple[type, str, object]] = [
    *((WordFilter, field, value) for field in ("allophone", "environment", "stress", "part_of_speech")
      for value in NOT_TEXT),
    *((WordFilter, field, value) for field in ("max_rank", "limit") for value in NOT_WHOLE),
    *((WordFilter, "syllables", value) for value in ("2", "2-3", 2.0, True, (2.0, 3), (True, 2), b"23")),
    *((WordFilter, "levels", value) for value in (5, 1.5, True, (1, 2), b"A1")),
    *((WordFilter, "include", value) for value in (None, 5, True, [None], [5])),
    *((WordFilter, "without", value) for value in NOT_WORDS),
    *((LinkFilter, field, value) for field in ("first", "second")
      for value in (None, 5, True, [None], [], ["get", "it"])),
    *((LinkFilter, "limit", value) for value in NOT_WHOLE),
    *((LinkFilter, "include", value) for value in (None, 5, [None])),
    *((PlanOptions, field, value) for field in ("lessons", "words", "review", "extras")
      for value in (*NOT_WHOLE, None)),
    *((PlanOptions, "levels", value) for value in (5, True)),
    *((PlanOptions, "include", value) for value in (None, 5)),
    *((PracticeOptions, field, value) for field in ("words", "syllables") for value in (*NOT_WHOLE, None)),
    *((PracticeOptions, "max_rank", value) for value in NOT_WHOLE),
    *((PracticeOptions, "level", value) for value in NOT_TEXT),
    *((HandoutOptions, field, value) for field in ("seed", "words", "exercise", "phrases", "dictation")
      for value in (*NOT_WHOLE, None)),
    *((HandoutOptions, "paper", value) for value in NOT_TEXT),
    *((HandoutOptions, "parts", value) for value in (None, 5, [5])),
    *((HandoutOptions, "title", value) for value in (None, 5)),
    *((BuildOptions, "size", value) for value in NOT_WHOLE),
    *((BuildOptions, "include", value) for value in (None, 5)),
    *((BuildOptions, field, 5) for field in ("counts", "frequencies", "pronunciations")),
]  # fmt: skip


@pytest.mark.parametrize(
    ("options", "field", "value"),
    WRONG_TYPES,
    ids=[f"{options.__name__}-{field}-{value!r}" for options, field, value in WRONG_TYPES],
)
def test_a_value_of_another_type(options: type, field: str, value: object) -> None:
    refused_by_name(field, value, options, **{field: value})


FLAGS = [
    (WordFilter, "one_per_family"), (HandoutOptions, "ipa"), (BuildOptions, "xlsx"), (BuildOptions, "force"),
]  # fmt: skip


@pytest.mark.parametrize(("options", "field"), FLAGS, ids=[f"{o.__name__}-{f}" for o, f in FLAGS])
def test_a_word_is_no_flag(options: type, field: str) -> None:
    # "no" would count as yes.
    refused("no", options, **{field: "no"})


@pytest.mark.parametrize("value", [None, 5, True, [None], [5]], ids=repr)
def test_kinds_of_contrast_of_another_type(value: Any, lexicon: Lexicon) -> None:
    refused_by_name("contrast", value, contrast_sets, lexicon, NO_PAIRS, value)


@pytest.mark.parametrize("value", [5, True, [5], [None]], ids=repr)
def test_an_order_of_another_type(value: Any, lexicon: Lexicon) -> None:
    refused_by_name(
        "order", value, lambda: plan(lexicon, NO_PAIRS, PlanOptions(lessons=1, words=2, order=value))
    )


@pytest.mark.parametrize("targets", [None, 5, [5], [None], [("get", None)]], ids=repr)
def test_targets_that_are_no_words(targets: Any, lexicon: Lexicon) -> None:
    refused_by_name("target", targets, practice_lines, lexicon, targets, CORPUS)


@pytest.mark.parametrize("paths", [None, 5], ids=repr)
def test_paths_that_are_no_paths(paths: Any, lexicon: Lexicon) -> None:
    refused_by_name("path", paths, practice_lines, lexicon, ["water"], paths)


@pytest.mark.parametrize("value", [5, 1.5, True, [None], [5], b"water"], ids=repr)
def test_words_of_another_type(value: Any, lexicon: Lexicon) -> None:
    refused("words", sound_tokens, lexicon, value)
    refused("words", words, lexicon, value)


@pytest.mark.parametrize("value", [None, 5, 1.5, True, ["t"], b"t"], ids=repr)
def test_what_is_no_text(value: Any, lexicon: Lexicon) -> None:
    refused("sound", load_lexicon, value)
    refused("style", Tagger, lexicon, value)
    refused("text", Tagger(lexicon).tag_text, value)


@pytest.mark.parametrize(
    "named",
    [
        {"level": 5}, {"level": None}, {"target": 5}, {"target": None},
        {"max_rank": "5"}, {"max_rank": 2.5}, {"max_rank": True},
    ],
    ids=str,
)  # fmt: skip
def test_a_summary_by_values_of_another_type(named: dict[str, object], lexicon: Lexicon) -> None:
    passage = Tagger(lexicon).tag_text("Gorgeous water.")
    for field, value in named.items():
        refused_by_name(field, value, summarise, passage, lexicon, **named)


# One word, any case, and the forms that a value may have


def test_a_string_where_words_are_meant_is_one_word(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    assert WordFilter(without="wait") == WordFilter(without=["wait"])
    for options in (WordFilter, LinkFilter, PlanOptions, BuildOptions):
        assert options(include="names") == options(include=["names"]), options
    found = word_list(lexicon, WordFilter(allophone="tap", without="wait", limit=200)).rows
    assert not {"waiting", "waited", "waiter"} & set(found["word"])
    pd.testing.assert_frame_equal(sound_tokens(lexicon, "water"), sound_tokens(lexicon, ["water"]))
    assert sound_tokens(lexicon, "water")["word"].tolist() == ["water"]
    pd.testing.assert_frame_equal(words(lexicon, "water"), words(lexicon, ["water"]))
    assert words(lexicon, "water")["word"].tolist() == ["water"]
    for kinds in ("homophones", ["homophones"], {"homophones"}):
        assert set(contrast_sets(lexicon, pairs, kinds, limit=3)["kind"]) == {"homophones"}
    lessons = plan(lexicon, NO_PAIRS, PlanOptions(lessons=2, words=3, order="between vowels"))
    assert set(lessons.loc[lessons["role"] == "new", "environment"]) == {"between vowels"}
    lines = practice_lines(lexicon, "water", CORPUS).lines
    assert lines["new"].tolist() == ["water"]


def test_a_part_of_a_handout_may_be_one_word() -> None:
    assert tuple(HandoutOptions(parts="words").parts) == ("words",)


def test_letter_case_does_not_matter(lexicon: Lexicon, pairs: pd.DataFrame) -> None:
    assert load_lexicon("T") is load_lexicon("t")
    named = WordFilter(levels="A1-B1", part_of_speech="verb", include=["names"], without=["wait"])
    loud = WordFilter(levels="a1-b1", part_of_speech="VERB", include=["NAMES"], without=["WAIT"])
    assert loud == named
    quiet = {"allophone": "glottal stop", "environment": "before syllabic n", "limit": 9}
    found = word_list(lexicon, WordFilter(**quiet)).rows  # type: ignore[arg-type]
    assert len(found) == 9
    for allophone, environment in (
        ("Glottal-Stop", "Before Syllabic N"),
        ("GLOTTAL_STOP", "before-syllabic-n"),
    ):
        same = WordFilter(allophone=allophone, environment=environment, limit=9)
        pd.testing.assert_frame_equal(word_list(lexicon, same).rows, found)
    assert LinkFilter(first="GET", second="It") == LinkFilter(first="get", second="it")
    assert PracticeOptions(level="b1") == PracticeOptions(level="B1")
    assert PlanOptions(levels="a1-b1") == PlanOptions(levels=("A1", "B1"))
    shouted = [sound_tokens(lexicon, "WATER"), words(lexicon, ["WATER"])]
    assert [table["word"].tolist() for table in shouted] == [["water"], ["water"]]
    assert set(contrast_sets(lexicon, pairs, "Teen-TY")["kind"]) == {"teen-ty"}


def test_letter_case_of_styles_papers_and_parts(lexicon: Lexicon) -> None:
    assert Tagger(lexicon, "Careful").tag_text("at all").marked == "at[ɾ] all"
    assert HandoutOptions(paper="A4") == HandoutOptions(paper="a4")
    assert HandoutOptions(parts=("Words",)) == HandoutOptions(parts=("words",))


@pytest.mark.parametrize("targets", ["Get It", ["GET it"], [("Get", "It")], [("get", "it")]], ids=repr)
def test_letter_case_of_what_lines_practise(targets: Any, lexicon: Lexicon) -> None:
    made = practice_lines(lexicon, targets, CORPUS)
    assert made.lines["new"].tolist() == ["get it"]
    assert not made.uncovered


def test_letter_case_of_a_summarys_level(lexicon: Lexicon) -> None:
    passage = Tagger(lexicon).tag_text("Gorgeous water.")
    assert summarise(passage, lexicon, level="A2").above == ["gorgeous"]
    assert summarise(passage, lexicon, level="a2").above == ["gorgeous"]
    lines = Tagger(lexicon).tag_text("Water.\nWinter.")
    assert summarise(lines, lexicon, target="Nasal-Flap").without_target == [1]


@pytest.mark.parametrize("options", [WordFilter, PlanOptions])
def test_the_forms_of_levels(options: type) -> None:
    for value in ("A1-B1", "a1-b1", "A1 - B1", ("A1", "B1"), ["a1", "b1"]):
        assert options(levels=value).levels == ("A1", "B1"), value
    for value in ("A1", "a1", ("A1", "A1"), ["a1"]):
        assert options(levels=value).levels == ("A1", "A1"), value
    assert options(levels=None).levels is None


def test_the_levels_of_a_list_are_those_asked_for(lexicon: Lexicon) -> None:
    pair = word_list(lexicon, WordFilter(allophone="tap", levels=("A1", "B1"), limit=60)).rows
    assert set(pair["level"]) == {"A1", "A2", "B1"}
    pd.testing.assert_frame_equal(
        word_list(lexicon, WordFilter(allophone="tap", levels="A1-B1", limit=60)).rows, pair
    )
    one = word_list(lexicon, WordFilter(allophone="tap", levels="a1")).rows
    assert set(one["level"]) == {"A1"}


def test_the_forms_of_syllables(lexicon: Lexicon) -> None:
    assert WordFilter(syllables=2) == WordFilter(syllables=(2, 2)) == WordFilter(syllables=[2, 2])  # type: ignore[arg-type]
    assert set(word_list(lexicon, WordFilter(syllables=2, limit=50)).rows["syllables"]) == {2}
    assert set(word_list(lexicon, WordFilter(syllables=(2, 3), limit=50)).rows["syllables"]) == {2, 3}


# Tables without rows


def made(name: str, lexicon: Lexicon, pairs: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """A table of this name without rows, and one with."""
    tagger = Tagger(lexicon)
    nothing, something = WordFilter(stress="2222222"), WordFilter(allophone="tap", limit=60)
    tables: dict[str, Callable[[], tuple[pd.DataFrame, pd.DataFrame]]] = {
        "word_list": lambda: (word_list(lexicon, nothing).rows, word_list(lexicon, something).rows),
        "left_out": lambda: (word_list(lexicon, nothing).left_out, word_list(lexicon, something).left_out),
        "word_cards": lambda: (word_cards(lexicon, nothing), word_cards(lexicon, something)),
        "links": lambda: (links(lexicon, pairs, LinkFilter(first="the")), links(lexicon, pairs)),
        "links of no pairs": lambda: (links(lexicon, NO_PAIRS), links(lexicon, pairs)),
        "contrast_sets": lambda: (
            contrast_sets(lexicon, NO_PAIRS, "across-words"), contrast_sets(lexicon, pairs, limit=3)
        ),
        "plan": lambda: (
            Table.of_rows("plan", PLAN_COLUMNS, ()).frame(),
            plan(lexicon, pairs, PlanOptions(lessons=2, words=4)),
        ),
        "sound_tokens": lambda: (sound_tokens(lexicon, "apple"), sound_tokens(lexicon, ["water", "city"])),
        "sound_tokens of no words": lambda: (sound_tokens(lexicon, []), sound_tokens(lexicon, "water")),
        "words": lambda: (words(lexicon, []), words(lexicon, "water")),
        "Passage.tokens": lambda: (tagger.tag_text("apple").tokens, tagger.tag_text("Put 13 on.").tokens),
        "Passage.tokens of no text": lambda: (tagger.tag_text("").tokens, tagger.tag_text("at").tokens),
        "practice_lines": lambda: (
            practice_lines(lexicon, ["qwerty"], CORPUS).lines,
            practice_lines(lexicon, ["water"], CORPUS).lines,
        ),
    }  # fmt: skip
    return tables[name]()


@pytest.mark.parametrize(
    "name",
    [
        "word_list", "left_out", "word_cards", "links", "links of no pairs", "contrast_sets", "plan",
        "sound_tokens", "sound_tokens of no words", "words", "Passage.tokens", "Passage.tokens of no text",
        "practice_lines",
    ],
)  # fmt: skip
def test_a_table_without_rows_has_the_types_of_one_with(
    name: str, lexicon: Lexicon, pairs: pd.DataFrame
) -> None:
    empty, full = made(name, lexicon, pairs)
    assert not len(empty)
    assert len(full)
    pd.testing.assert_series_equal(empty.dtypes, full.dtypes)
    assert any(pd.api.types.is_integer_dtype(dtype) for dtype in full.dtypes) or name == "left_out"


def test_the_types_of_a_plan_do_not_depend_on_what_is_in_it(few: Lexicon, pairs: pd.DataFrame) -> None:
    bare = plan(few, pairs, PlanOptions(lessons=1, words=3, review=0, extras=0))
    whole = plan(few, pairs, PlanOptions(lessons=2, words=12))
    assert set(bare["role"]) <= {"rule", "new", "line"}
    assert set(whole["role"]) > {"new", "review", "link"}
    pd.testing.assert_series_equal(bare.dtypes, whole.dtypes)
