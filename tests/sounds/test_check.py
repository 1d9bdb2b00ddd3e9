"""A phonetician's mistakes in the tables of a sound: each is one line that says where, what, and what would do."""

from __future__ import annotations

import csv
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from lexiconforge import lexicon
from lexiconforge.cli import main
from lexiconforge.errors import OptionError, SoundError
from lexiconforge.lexicon.columns import Columns
from lexiconforge.lexicon.compiling import compile_lexicon
from lexiconforge.sounds import OURS, Sound, load_sound
from lexiconforge.sounds.check import MOST_EXCEPTIONS, SHARED, TABLES, check_folder
from lexiconforge.sources import frequencies, pronunciations

Edit = Callable[[str], str]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the shipped tables, to make mistakes in."""
    copy = tmp_path / "sounds"
    shutil.copytree(
        OURS, copy, ignore=lambda _, names: [n for n in names if n.endswith((".py", ".md", "__"))]
    )
    assert {path.name for path in copy.iterdir()} == {*(f"{name}.csv" for name in SHARED), "t", "d"}
    return copy


def edited(path: Path, edit: Edit) -> None:
    text = path.read_text(encoding="utf-8")
    changed = edit(text)
    assert changed != text, "the edit finds nothing to change"
    path.write_text(changed, encoding="utf-8", newline="")


def swap(old: str, new: str) -> Edit:
    def edit(text: str) -> str:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in the table"
        return text.replace(old, new)

    return edit


def rows(edit: Callable[[list[list[str]]], list[list[str]]]) -> Edit:
    """An edit of the rows, the head among them."""

    def whole(text: str) -> str:
        return "".join(
            ",".join(f'"{cell}"' if "," in cell else cell for cell in row) + "\n"
            for row in edit(list(csv.reader(text.splitlines())))
        )

    return whole


def without_column(name: str) -> Edit:
    return rows(
        lambda all_: [[c for n, c in enumerate(row) if n != all_[0].index(name)] for row in all_]
    )


def many_exceptions(text: str) -> str:
    short = MOST_EXCEPTIONS + 1 - (text.count("\n") - 1)
    return text + "".join(f"word{n},T AH1,made up,made up\n" for n in range(short))


TAP_ROW = "tap after r,r-coloured vowel,weak vowel,tap,aspirated stop,after r,common practice,party\n"

MISTAKES: list[tuple[str, str, Edit, str, str]] = [
    # What went wrong, the file, the edit, where it is told, and what is told.
    ("misspelt allophone", "t/rules.csv", swap("r-coloured vowel,weak vowel,tap,", "r-coloured vowel,weak vowel,tpa,"),
     "t/rules.csv:35: allophone", "no allophone 'tpa'; 'tap' would do"),
    ("misspelt allophone that is also heard", "t/rules.csv",
     swap("tap,glottal stop; aspirated stop,edge before", "tap,glottal stop; asprated stop,edge before"),
     "t/rules.csv:11: also_heard", "no allophone 'asprated stop'; 'aspirated stop' would do"),
    ("renamed environment", "t/environments.csv", swap("before y,before y\n", "before yod,before y\n"),
     "t/rules.csv:42: environment", "no environment 'before y'; 'before yod' would do"),
    ("environment without a label", "t/environments.csv", swap("before y,before y\n", "before y,\n"),
     "t/environments.csv:27: label", "empty; every row needs one"),
    ("unknown context", "t/rules.csv", swap(TAP_ROW, TAP_ROW.replace("r-coloured", "r-colored")),
     "t/rules.csv:35: before", "no context before 'r-colored vowel'; 'r-coloured vowel' would do"),
    ("context of the other side", "t/rules.csv", swap(TAP_ROW, TAP_ROW.replace("r-coloured vowel", "weak vowel")),
     "t/rules.csv:35: before", "no context before 'weak vowel'"),
    ("no context", "t/rules.csv", swap(TAP_ROW, TAP_ROW.replace("r-coloured vowel", "")),
     "t/rules.csv:35: before", "empty; write any where every context fits"),
    ("missing column", "t/rules.csv", without_column("source"),
     "t/rules.csv:1: source", "this column is missing; the columns are rule, before, after"),
    ("column of another name", "t/lists.csv", swap("name,title,", "name,title,remark,"),
     "t/lists.csv:1: remark", "no such column"),
    ("column given twice", "t/environments.csv", rows(lambda all_: [[*row, row[1]] for row in all_]),
     "t/environments.csv:1: label", "twice"),
    ("duplicate rule", "t/rules.csv", swap("\ntap after r,", "\nnasal tap,"),
     "t/rules.csv:36: rule", "'nasal tap' stands in line 35 already"),
    ("unreachable rule", "t/rules.csv", swap(TAP_ROW, TAP_ROW + "party t" + TAP_ROW.removeprefix("tap after r")),
     "t/rules.csv:36: rule", "never reached: rows above fit all that it fits; move it up"),
    ("no rule for a place", "t/rules.csv", swap(TAP_ROW, ""),
     "t/rules.csv:45: rule", "no rule for 'r-coloured vowel' before it and 'weak vowel' after it; a last row"),
    ("no source of a rule", "t/rules.csv", swap(TAP_ROW, TAP_ROW.replace("common practice", "")),
     "t/rules.csv:35: source", "empty; every row needs one"),
    ("bad sign", "t/allophones.csv", swap("ɾ,bowl,", "ɾ,circle,"),
     "t/allophones.csv:2: sign", "no sign 'circle'; one of bowl, barred bowl, dots, stop bar, box, line"),
    ("an answer that is neither yes nor no", "t/allophones.csv", swap("soft t,yes,", "soft t,ja,"),
     "t/allophones.csv:2: tapped", "no answer 'ja'; one of yes, no would do"),
    ("allophone written as no phone", "t/allophones.csv", swap("soft t,yes,D", "soft t,yes,DD"),
     "t/allophones.csv:2: written_as", "no phone 'DD'"),
    ("bad symbol of a pattern", "contexts.csv", swap("n,before,N,", "n,before,EN,"),
     "contexts.csv:14: pattern", "'EN' is no symbol of a pattern; a phone as AH0, V, V12, C, #, +, = or - would do"),
    ("consonant with stress", "contexts.csv", swap("n,before,N,", "n,before,N1,"),
     "contexts.csv:14: pattern", "'N1' is no symbol of a pattern"),
    ("C with stress", "contexts.csv", swap("consonant,before,C,any other", "consonant,before,C1,any other"),
     "contexts.csv:18: pattern", "'C1' is no symbol of a pattern"),
    ("nothing for the rest of the phones", "contexts.csv", swap("consonant,before,C,any", "consonant,before,B,any"),
     "contexts.csv:49: pattern", "nothing fits CH, D, DH, F, G before a sound; add a last row for any other"),
    ("exception with a phone that is none", "t/exceptions.csv", swap("P R IY1 - T ER2 M", "P R EE1 - T ER2 M"),
     "t/exceptions.csv:13: reading", "'EE1' is no phone with its stress and no mark"),
    ("exception without the sound", "t/exceptions.csv", swap("P R IY1 - T ER2 M", "P R IY1 - D ER2 M"),
     "t/exceptions.csv:13: reading", "has no T"),
    ("exception without a reason", "t/exceptions.csv", swap("pre + term", ""),
     "t/exceptions.csv:13: reason", "empty; every row needs one"),
    ("more exceptions than rules can excuse", "t/exceptions.csv", many_exceptions,
     f"t/exceptions.csv:{MOST_EXCEPTIONS + 2}: word", "61 exceptions, 60 at most; a rule would do"),
    ("quotation mark too many", "t/rules.csv", swap(",common practice,party", ',common practice,"party'),
     "t/rules.csv:46: -", "quotation marks must come in pairs"),
    ("comma in a cell", "t/rules.csv", swap(",common practice,party", ",common practice,party, dirty"),
     "t/rules.csv:35: -", "9 cells, 8 expected; quote a cell that holds ','"),
    ("place of a weak form", "weak_forms.csv", swap('T AH0,between words,"the weak', 'T AH0,anywhere,"the weak'),
     "weak_forms.csv:2: where", "no place 'anywhere'; one of between words, after a word, in contrasts"),
    ("phone of a weak form", "weak_forms.csv", swap("AE1 Z,", "AE Z,"),
     "weak_forms.csv:10: phones", "'AE' is no phone with its stress and no mark"),
    ("list that names no file", "t/lists.csv", swap("\ntap-after-r,", "\ntap/after r,"),
     "t/lists.csv:4: name", "small letters, digits and hyphens would do: it names a file"),
    ("list of nothing", "t/lists.csv", swap("Nasal tap,nasal tap,", "Nasal tap,,"),
     "t/lists.csv:7: allophone", "neither allophone nor environment; one of the two would do"),
    ("lesson given twice", "t/lessons.csv", swap("\nNasal tap after n,", "\nTap after r,"),
     "t/lessons.csv:6: title", "'Tap after r' stands in line 3 already"),
    ("frame of a lesson", "t/lessons.csv", swap("stressed vowel after,n,", "stressed vowel after,m,"),
     "t/lessons.csv:6: frame", "no context before 'm'"),
    ("kind of a lesson", "t/lessons.csv", swap("Tap after r,words,", "Tap after r,word,"),
     "t/lessons.csv:3: kind", "no kind of lesson 'word'; 'words' would do"),
    ("lesson of links without a place", "t/lessons.csv", swap("tap,links,edge before a vowel,", "tap,links,,"),
     "t/lessons.csv:5: environment", "empty; a lesson of links needs one"),
    ("contrasts of a lesson", "t/lessons.csv", swap(",teen-ty,", ",teens,"),
     "t/lessons.csv:7: contrasts", "no kind of contrast 'teens'; 'teen-ty' would do"),
    ("method of a contrast", "t/contrasts.csv", swap("homophones,merger,", "homophones,merging,"),
     "t/contrasts.csv:2: method", "no method 'merging'; 'merger' would do"),
    ("contrast without its allophone", "t/contrasts.csv", swap("homophones,merger,tap,", "homophones,merger,,"),
     "t/contrasts.csv:2: allophone", ""),
    ("contrast without the other side", "t/contrasts.csv", swap("shift,tap,stressed vowel after,", "shift,tap,,"),
     "t/contrasts.csv:3: other", ""),
    ("contrast that ends in no phone", "t/contrasts.csv", swap("glottal stop,N,", "glottal stop,EN,"),
     "t/contrasts.csv:5: detail", "EN"),
    ("pair of no kind", "t/contrast_pairs.csv", swap("teen-ty,thirteen", "teens,thirteen"),
     "t/contrast_pairs.csv:2: kind", "'teen-ty' would do"),
    ("phone of the sound", "d/sound.csv", swap("phone,D,", "phone,DD,"),
     "d/sound.csv:2: value", "'DD' is no consonant of the ARPAbet, as T is"),
    ("letters that are none", "t/sound.csv", swap("letters,t,", "letters,(,"),
     "t/sound.csv:3: value", ""),
    ("no letters", "t/sound.csv", swap("letters,t,", "letters,,"),
     "t/sound.csv:3: value", ""),
    ("partner that is no sound", "t/sound.csv", swap("partner,d,", "partner,xx,"),
     "t/sound.csv:4: value", "xx"),
    ("measured number that is none", "t/agreement.csv", swap("t run together after n,0,", "t run together after n,many,"),
     "t/agreement.csv:3: slots", "many"),
    ("measured share that is none", "t/agreement.csv", swap("t run together after n,0,,", "t run together after n,0,all,"),
     "t/agreement.csv:3: misaki", "all"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("file", "edit", "where", "what"),
    [mistake[1:] for mistake in MISTAKES],
    ids=[mistake[0] for mistake in MISTAKES],
)
def test_a_mistake_is_one_line(file: str, edit: Edit, where: str, what: str, folder: Path) -> None:
    edited(folder / file, edit)
    told = [str(problem) for problem in check_folder(folder)]
    assert len(told) == 1, told
    assert told[0].startswith(f"{where}: ")
    assert what in told[0]
    name = "d" if file.startswith("d/") else "t"
    with pytest.raises(SoundError) as raised:
        load_sound(name, folder)
    assert str(raised.value) == told[0]


def test_a_renamed_environment_is_told_wherever_it_is_meant(folder: Path) -> None:
    edited(folder / "t" / "environments.csv", swap("\nbetween vowels,", "\nintervocalic,"))
    told = [str(problem).partition(": no")[0] for problem in check_folder(folder)]
    # One rule, one list, a lesson with three that look like it, and what was counted there.
    assert told == [
        "t/rules.csv:34: environment", "t/lists.csv:3: environment", "t/lessons.csv:2: environment",
        "t/lessons.csv:8: looks_like", "t/lessons.csv:9: looks_like", "t/lessons.csv:10: looks_like",
        "t/heard.csv:310: environment",
    ]  # fmt: skip


def test_text_that_is_not_utf_8(folder: Path) -> None:
    path = folder / "t" / "allophones.csv"
    text = path.read_text(encoding="utf-8").replace("ɾ", "r").replace("ʔ", "?")
    path.write_bytes(text.encode("utf-16"))
    assert [str(p) for p in check_folder(folder)] == [
        "t/allophones.csv:1: -: not UTF-8 text; save the table as CSV in UTF-8"
    ]
    path = folder / "t" / "exceptions.csv"
    content = path.read_bytes().replace(b"Greek name keeps", "Gréek name keeps".encode("cp1252"))
    path.write_bytes(content)
    line = content[: content.index(b"Gr\xe9ek")].count(b"\n") + 1
    assert str(check_folder(folder)[-1]) == (
        f"t/exceptions.csv:{line}: -: not UTF-8 text; save the table as CSV in UTF-8"
    )


@pytest.mark.parametrize(
    ("name", "what"),
    [
        ("t/rlues.csv", "t/rlues.csv:1: -: no table of this name; 'rules' would do"),
        ("t/rules-old.csv", "t/rules-old.csv:1: -: no table of this name; 'rules' would do"),
        ("rules.csv", "rules.csv:1: -: no table of this name"),
        ("t/more/rules.csv", "t/more/rules.csv:1: -: no table of this name"),
        ("t2/rules.csv", "t2"),
    ],
)
def test_a_file_that_is_no_table(name: str, what: str, folder: Path) -> None:
    (folder / name).parent.mkdir(exist_ok=True)
    (folder / name).write_bytes((OURS / "t" / "rules.csv").read_bytes())
    told = [str(problem) for problem in check_folder(folder)]
    assert len(told) == 1, told
    assert told[0].startswith(what)


def test_the_folder_of_one_sound_in_place_of_that_of_all(folder: Path) -> None:
    told = [str(problem) for problem in check_folder(folder / "t")]
    assert {line.partition(":")[0] for line in told} == {f"{stem}.csv" for stem in TABLES}


@pytest.mark.parametrize(
    "saved",
    [
        lambda text: "\ufeff" + text,
        lambda text: text.replace("\n", "\r\n"),
        lambda text: (
            "\ufeff" + text.replace("; ", "|").replace(",", ";").replace("|", ", ").replace("\n", "\r\n")
        ),
        lambda text: text.replace(",", "\t"),
        lambda text: text + "\n,,,,,,,\n",
        lambda text: text.replace(",tap,", ", tap ,"),
    ],
    ids=["byte order mark", "line ends of Windows", "semicolons", "tabs", "empty rows", "spaces"],
)
def test_what_spreadsheets_do_is_taken(
    saved: Edit, folder: Path, request: pytest.FixtureRequest
) -> None:
    path = folder / "t" / "rules.csv"
    text = path.read_text(encoding="utf-8")
    if "semicolons" in request.node.name:
        # A spreadsheet quotes the cells that hold what parts cells.
        table = list(csv.reader(text.splitlines()))
        with path.open("w", encoding="utf-8-sig", newline="") as file:
            csv.writer(file, delimiter=";").writerows(table)
        assert b"vowel; r-coloured" in path.read_bytes()
        assert b'"vowel; r-coloured vowel; n' in path.read_bytes()
    else:
        edited(path, saved)
    assert check_folder(folder) == []
    assert load_sound("t", folder).rules == load_sound("t").rules


def few(monkeypatch: pytest.MonkeyPatch, *words: str) -> None:
    """In place of the dictionary a few words of it, so that tables can be tried in no time."""
    listed = pronunciations.load_pronunciations().lines()
    made = pronunciations.Pronunciations({word: listed[word] for word in words})
    ranks = frequencies.Frequencies({word: n for n, word in enumerate(words, start=1)}, [1], [300])
    monkeypatch.setattr(pronunciations, "load_pronunciations", lambda: made)
    monkeypatch.setattr(frequencies, "load_frequencies", lambda: ranks)
    monkeypatch.setattr(lexicon, "_loaded", {})


def with_rule(folder: Path, context: str, rule: str) -> Sound:
    """The sound t with one more context and rule, before all others."""
    edited(folder / "contexts.csv", lambda text: text.replace("note\n", f"note\n{context}\n", 1))
    edited(folder / "t" / "rules.csv", lambda text: text.replace("example\n", f"example\n{rule}\n", 1))
    # All sounds share the contexts: the rules of d must have a row for what is new too.
    edited(
        folder / "d" / "rules.csv", lambda text: f"{text}rest,any,any,stop,,between vowels,made up,bed\n"
    )
    assert check_folder(folder) == []
    return load_sound("t", folder)


def decided(sound: Sound, symbols: str) -> list[str]:
    return [sound.rules[token.rule].name for token in sound.matcher.tag(symbols.split())]


def test_a_pattern_of_four_symbols_works(folder: Path) -> None:
    sound = with_rule(
        folder,
        "-ations,after,EY1 SH AH0 N,made up",
        "t of -ations,any,-ations,affricate,,full vowel after,made up,rotation",
    )
    assert decided(sound, "R OW0 T EY1 SH AH0 N") == ["t of -ations"]
    assert decided(sound, "R OW0 T EY1 SH AH0 N Z") == ["t of -ations"]
    assert decided(sound, "R OW0 T EY1 SH AH0") == ["stressed vowel after"]
    assert decided(sound, "R OW0 T EY1 SH AH0 L") == ["stressed vowel after"]
    assert decided(load_sound("t"), "R OW0 T EY1 SH AH0 N") == ["stressed vowel after"]


def test_such_a_pattern_works_in_words_that_are_looked_up(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    with_rule(
        folder,
        "-ations,after,EY1 SH AH0 N,made up",
        "t of -ations,any,-ations,affricate,,full vowel after,made up,rotation",
    )
    few(monkeypatch, "rotation", "rotate")
    assert main(["tag", "rotation", "--sounds", str(folder), "--no-cache"]) == 0
    assert "t of -ations" in capsys.readouterr().out


def test_a_pattern_reaches_across_a_short_word(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """As far as the longest pattern needs (sounds/README.md), in running text too."""
    with_rule(
        folder,
        "a and k,after,+ AH0 + K,made up",
        "t before a cat,any,a and k,affricate,,full vowel after,made up,what a cat",
    )
    few(monkeypatch, "what", "a", "cat", "top")
    (folder / "text.txt").write_text("What a cat. What a top.\n", encoding="utf-8")
    # Casual speech shows what was counted most, careful speech what the rule says (styles.csv).
    options = ["--style", "careful", "--sounds", str(folder), "--no-cache"]
    assert main(["tag-text", str(folder / "text.txt"), *options]) == 0
    assert "What[tʃ] a cat[t̚]. What[ɾ] a t[tʰ]op." in capsys.readouterr().out


def test_a_pause_in_a_pattern_is_a_pause_and_not_the_end_of_what_is_looked_at(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    with_rule(
        folder,
        "a at the beginning,before,# AH0 +,made up",
        "t after a at the beginning,a at the beginning,any,affricate,,full vowel after,made up,a top",
    )
    few(monkeypatch, "what", "a", "cat", "top")
    (folder / "text.txt").write_text("A top. What a top.\n", encoding="utf-8")
    options = ["--sounds", str(folder), "--no-cache"]
    assert main(["tag-text", str(folder / "text.txt"), *options]) == 0
    assert "A t[tʃ]op. What[ɾ] a t[tʰ]op." in capsys.readouterr().out


def test_a_pattern_of_five_symbols_before_works(folder: Path) -> None:
    sound = with_rule(
        folder,
        "consona-,before,K AA1 N S AH0,made up",
        "t of consonat-,consona-,any,affricate,,full vowel after,made up,water",
    )
    assert decided(sound, "K AA1 N S AH0 T IY0") == ["t of consonat-"]
    assert decided(sound, "T AA1 N S AH0 T IY0")[-1] == "tap between vowels"
    assert decided(sound, "AA1 N S AH0 T IY0") == ["tap between vowels"]


def test_a_users_folder_needs_only_what_it_changes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    few(monkeypatch, "water", "atomic")
    mine = tmp_path / "mine" / "t" / "rules.csv"
    mine.parent.mkdir(parents=True)
    text = (OURS / "t" / "rules.csv").read_text(encoding="utf-8")
    changed = text.replace(
        "weak vowel,tap,aspirated stop,between", "weak vowel,glottal stop,tap,between"
    )
    assert changed != text
    mine.write_text(changed, encoding="utf-8")
    sound, ours = load_sound("t", tmp_path / "mine"), load_sound("t")
    differing = [
        (new.allophone, old.allophone)
        for new, old in zip(sound.rules, ours.rules, strict=True)
        if new != old
    ]
    assert differing == [("glottal stop", "tap")]
    assert (sound.allophones, sound.contexts, sound.exceptions) == (
        ours.allophones, ours.contexts, ours.exceptions,
    )  # fmt: skip
    assert sound.fingerprint != ours.fingerprint
    assert load_sound("d", tmp_path / "mine").fingerprint == load_sound("d").fingerprint

    def glottal(*options: str) -> bool:
        assert main(["tag", "water", "--no-cache", *options]) == 0
        return "glottal stop" in capsys.readouterr().out.splitlines()[1]

    assert glottal("--sounds", str(tmp_path / "mine"))
    assert not glottal()
    assert glottal("--sounds", str(tmp_path / "mine"))


def test_rules_check_says_what_it_found(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "--check", str(folder)]) == 0
    said = capsys.readouterr()
    assert (said.out, said.err) == ("", "no problem found\n")
    edited(folder / "t" / "rules.csv", swap("\ntap after r,", "\nnasal tap,"))
    edited(folder / "d" / "allophones.csv", swap("d,line,", "d,circle,"))
    assert main(["rules", "--check", str(folder)]) == 2
    said = capsys.readouterr()
    places = [re.match(r"[^:]+:\d+: \w+: .+", line) for line in said.out.splitlines()]
    assert len(places) == 2
    assert all(places)
    assert said.err == "2 problems\n"


def test_a_command_with_wrong_tables_says_the_same_lines(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edited(folder / "t" / "rules.csv", swap("\ntap after r,", "\nnasal tap,"))
    assert main(["tag", "water", "--sounds", str(folder)]) == 2
    assert capsys.readouterr().err == (
        "lexiconforge: t/rules.csv:36: rule: 'nasal tap' stands in line 35 already\n"
    )


def test_a_folder_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    gone = tmp_path / "gone"
    with pytest.raises(OptionError, match="no such folder"):
        check_folder(gone)
    for command in (["rules", "--check", str(gone)], ["tag", "water", "--sounds", str(gone)]):
        assert main(command) == 2
        assert str(gone) in capsys.readouterr().err


def test_a_sound_that_is_not_there(tmp_path: Path) -> None:
    for name in ("x", "../t", "", "t/../d"):
        with pytest.raises(OptionError, match="there are: d, t"):
            load_sound(name)
    (tmp_path / "th").mkdir()
    with pytest.raises(
        SoundError, match=re.escape("th/rules.csv:1: -: this table is missing; th needs one")
    ):
        load_sound("th", tmp_path)


def test_a_sound_without_a_tapped_allophone(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A sound need not have one: then nothing links."""
    few(monkeypatch, "put", "it", "on")
    edited(folder / "t" / "allophones.csv", lambda text: text.replace(",yes,", ",no,"))
    assert check_folder(folder) == []
    text = tmp_path / "text.txt"
    text.write_text("Put it on.\n", encoding="utf-8")
    assert main(["tag-text", str(text), "--sounds", str(folder), "--no-cache"]) == 0
    assert "it[ɾ]" in capsys.readouterr().out


def test_a_reason_of_two_lines_stays_with_its_word(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A spreadsheet makes such a cell with Alt and Enter; a cell of the compiled file is a line."""
    edited(folder / "t" / "exceptions.csv", swap("EY1,built from to", 'EY1,"built\nfrom to"'))
    few(monkeypatch, "today", "water", "habitat")
    made = compile_lexicon(load_sound("t", folder))
    stored = Columns.from_bytes(made.to_bytes())
    assert stored.text("note")[-1] == load_sound("t").exceptions["habitat"].reason
    assert len(stored.text("note")) == len(stored.text("phones"))
