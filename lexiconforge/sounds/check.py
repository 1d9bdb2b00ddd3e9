"""Reads the tables of a sound and names every problem in them by file, line and column.

Room: the other half of :mod:`lexiconforge.sounds`: a table is read by its columns, then checked against the others.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Collection, Iterable, Iterator
from difflib import get_close_matches
from pathlib import Path
from typing import NamedTuple

from lexiconforge.phonology.arpabet import CONSONANTS, INVENTORY, VOWELS
from lexiconforge.phonology.boundaries import ExceptionRow
from lexiconforge.phonology.matcher import (
    MARKS,
    RUN_TOGETHER,
    SIDES,
    SYMBOLS,
    Context,
    Rule,
    fitting,
)
from lexiconforge.phonology.rates import GROUPINGS, Group, Rates, RatesError
from lexiconforge.sounds import (
    OURS,
    Agreement,
    Allophone,
    ContrastKind,
    LessonStep,
    Sound,
    Style,
    StyleChange,
    Target,
    WeakForm,
    sound_names,
)

SHARED = {
    "contexts": ("context", "side", "pattern", "note"),
    "weak_forms": ("word", "phones", "where", "note", "source"),
    "word_classes": ("class", "words", "note"),
    "styles": ("style", "weak_forms", "label", "remark", "note"),
    "contrast_lines": ("first", "second", "first_line", "second_line"),
}
TABLES = {
    "sound": ("key", "value", "note"),
    "allophones": ("id", "label", "ipa", "sign", "plain", "aliases", "tapped", "written_as"),
    "environments": ("id", "label"),
    "rules": (
        *("rule", "before", "after", "allophone", "also_heard", "environment", "source", "example"),
    ),
    "exceptions": ("word", "reading", "reason", "source"),
    "lists": ("name", "title", "allophone", "environment"),
    "lessons": (
        *("title", "kind", "environment", "looks_like", "frame", "contrasts", "rule", "reason"),
    ),
    "contrasts": ("kind", "method", "allophone", "other", "detail", "note", "raised_note"),
    "contrast_pairs": ("kind", "first", "second"),
    "agreement": ("rule", "slots", "misaki", "espeak"),
    "style_changes": ("style", "allophone", "becomes", "note"),
    "heard_variants": ("variant", "allophones", "note"),
    "heard_groups": ("grouping", "group", "fits", "note"),
    "heard": (
        *("cell", "before", "next_sound", "kind", "word", "next_word", "environment", "unit"),
        *("heard", "n", "speakers", "source", "estimated", "note"),
    ),
}
"""The columns of each table, those that all sounds share and those of one."""
LESSONS = ("words", "links", "contrasts", "combined")
MAY_LACK = frozenset(
    {
        *("agreement", "contrast_lines", "contrast_pairs", "exceptions", "style_changes"),
        *("heard", "heard_groups", "heard_variants"),
    }
)
"""Tables that a sound can do without."""
SIGNS = ("bowl", "barred bowl", "dots", "stop bar", "box", "line", "double line", "strike")
METHODS = ("merger", "absorbed", "shift", "suffixes", "pairs", "ending", "boundary", "link merger")
WHERE = (
    *("between words", "after a word", "in contrasts", "in links", "always"),
    *("as an auxiliary", "before a verb", "after a subject"),
)
CLASSES = ("subject", "adverb between", "participle", "before a participle", "not a verb")
LABELS = ("heard", "rule")
MOST_EXCEPTIONS = 60
DELIMITERS = ",;\t"


class Problem(NamedTuple):
    """One thing that is wrong with a table, and what would do."""

    file: str
    line: int
    column: str
    what: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.column}: {self.what}"


class Row(NamedTuple):
    """One row of a table and the line it begins in."""

    cells: dict[str, str]
    line: int


class _Table:
    """One table of a sound: rows by column, and a place for what is wrong with it."""

    def __init__(self, shown: str, content: bytes, columns: tuple[str, ...]) -> None:
        self.shown = shown
        self.rows: list[Row] = []
        self.problems: list[Problem] = []
        self._read(content, columns)

    def say(self, line: int, column: str, what: str) -> None:
        self.problems.append(Problem(self.shown, line, column, what))

    def _read(self, content: bytes, columns: tuple[str, ...]) -> None:
        try:
            text = content.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            line = error.object[: error.start].count(b"\n") + 1
            return self.say(line, "-", "not UTF-8 text; save the table as CSV in UTF-8")
        first = text.partition("\n")[0]
        delimiter = max(DELIMITERS, key=first.count)
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
        try:
            head = [name.strip() for name in next(reader, [])]
            for name in columns:
                if name not in head:
                    self.say(1, name, f"this column is missing; the columns are {', '.join(columns)}")
            for name in dict.fromkeys(head):
                if name and head.count(name) > 1:
                    self.say(1, name, "this column stands here twice; one of them would do")
                if name not in columns:
                    what = (
                        f"no such column{_closest(name, columns)}; the columns are {', '.join(columns)}"
                    )
                    self.say(1, name or "-", what)
            if self.problems:
                return None
            line = reader.line_num + 1
            for cells in reader:
                if any(cell.strip() for cell in cells):
                    if len(cells) == len(head):
                        # A cell may have several lines in a spreadsheet; for a reader it is one.
                        found = dict(zip(head, (" ".join(cell.split()) for cell in cells), strict=True))
                        self.rows.append(Row(found, line))
                    else:
                        what = f"{len(cells)} cells, {len(head)} expected; quote a cell that holds {delimiter!r}"
                        self.say(line, "-", what)
                line = reader.line_num + 1
        except csv.Error as error:
            self.say(reader.line_num, "-", f"{error}; quotation marks must come in pairs")
        return None

    def required(self, *names: str) -> None:
        for row in self.rows:
            for name in names:
                if not row.cells[name]:
                    self.say(row.line, name, "empty; every row needs one")

    def unique(self, name: str) -> None:
        seen: dict[str, int] = {}
        for row in self.rows:
            value = row.cells[name]
            if value in seen:
                self.say(row.line, name, f"{value!r} stands in line {seen[value]} already")
            seen.setdefault(value, row.line)

    def among(
        self, name: str, known: Collection[str], what: str, *, many: bool = False, empty: bool = False
    ) -> None:
        """Every value of a column must be one of these; ``many`` takes several with ``;`` between."""
        for row in self.rows:
            for value in _split(row.cells[name]) if many else (row.cells[name],):
                if value not in known and not (empty and not value):
                    self.say(row.line, name, f"no {what} {value!r}{_closest(value, known)}")


def _split(cell: str) -> tuple[str, ...]:
    return tuple(value.strip() for value in cell.split(";") if value.strip())


def _closest(value: str, known: Collection[str]) -> str:
    near = get_close_matches(value, known, n=1, cutoff=0.5)
    if near:
        return f"; {near[0]!r} would do"
    return f"; one of {', '.join(known)} would do" if len(known) <= 12 else ""


def check_folder(folder: Path) -> list[Problem]:
    """Every problem of a user's folder of sounds, ours included where the folder lacks a table.

    Raises :class:`~lexiconforge.errors.OptionError` for a folder that is not there.
    """
    names = sound_names(folder)
    problems: list[Problem] = []
    for path in sorted(folder.rglob("*.csv")):
        inside = path.relative_to(folder)
        if len(inside.parts) > 1 and inside.parts[0] not in names:
            what = "no sound can have this name, letters alone would do; what is in it is not read"
            problems.append(Problem(inside.parts[0], 1, "-", what))
            continue
        known = SHARED if len(inside.parts) == 1 else TABLES
        if len(inside.parts) > 2 or path.stem not in known:
            what = f"no table of this name{_closest(path.stem, list(known))}"
            problems.append(Problem(inside.as_posix(), 1, "-", what))
    for name in names:
        problems += read_sound(name, folder)[1]
    return list(dict.fromkeys(problems))


def read_sound(name: str, folder: Path | None) -> tuple[Sound | None, list[Problem]]:
    """A sound from a user's folder and, where that lacks a table, from ours; or every problem there is."""
    tables: dict[str, _Table] = {}
    files: dict[str, bytes] = {}
    problems: list[Problem] = []
    wanted = [(stem, f"{stem}.csv", columns) for stem, columns in SHARED.items()]
    wanted += [(stem, f"{name}/{stem}.csv", columns) for stem, columns in TABLES.items()]
    for stem, inside, columns in wanted:
        path = next(
            (p for p in (folder and folder / inside, OURS / inside) if p and p.is_file()),
            None,
        )
        if path is None:
            if stem not in MAY_LACK:
                problems.append(Problem(inside, 1, "-", f"this table is missing; {name} needs one"))
            tables[stem] = _Table(inside, ",".join(columns).encode(), columns)
            continue
        files[inside] = path.read_bytes()
        tables[stem] = _Table(inside, files[inside], columns)
    problems += [problem for table in tables.values() for problem in table.problems]
    if problems:
        return None, problems
    for check in _CHECKS:
        check(tables)
    problems = [problem for table in tables.values() for problem in table.problems]
    if not problems:
        problems = list(_unreachable(tables))
    return (None, problems) if problems else (_made(name, tables, files), [])


def _check_sound(tables: dict[str, _Table]) -> None:
    table = tables["sound"]
    table.unique("key")
    table.among("key", ("phone", "letters", "partner"), "fact of a sound")
    facts = {row.cells["key"]: row for row in table.rows}
    known = sound_names()
    right: dict[str, tuple[Callable[[str], bool], str]] = {
        "phone": (CONSONANTS.__contains__, "is no consonant of the ARPAbet, as T is"),
        "letters": (
            lambda value: re.fullmatch("[a-z]+", value) is not None,
            "is not small letters, as t is",
        ),
        "partner": (known.__contains__, f"is no sound; one of {', '.join(known)} would do"),
    }
    for key, (holds, what) in right.items():
        if key not in facts:
            table.say(1, "key", f"no row {key}; a sound has one")
        elif not holds(facts[key].cells["value"]):
            table.say(facts[key].line, "value", f"{facts[key].cells['value']!r} {what}")


def _check_allophones(tables: dict[str, _Table]) -> None:
    table = tables["allophones"]
    table.required("id", "label", "sign", "plain")
    table.unique("id")
    table.unique("label")
    table.among("sign", SIGNS, "sign")
    table.among("tapped", ("yes", "no"), "answer")
    table.among("written_as", VOWELS | CONSONANTS, "phone", empty=True)
    environments = tables["environments"]
    environments.required("id", "label")
    environments.unique("id")


def _check_contexts(tables: dict[str, _Table]) -> None:
    table = tables["contexts"]
    table.required("context", "side", "pattern")
    table.among("side", SIDES, "side")
    for row in table.rows:
        for wanted in row.cells["pattern"].split():
            try:
                fitting(wanted)
            except ValueError:
                what = f"{wanted!r} is no symbol of a pattern; a phone as AH0, V, V12, C, #, +, = or - would do"
                table.say(row.line, "pattern", what)
    if table.problems:
        return
    # Whatever stands next to the sound must have a name, so that no word ends in an error.
    for side in SIDES:
        single = [row.cells["pattern"] for row in table.rows if row.cells["side"] == side]
        caught = frozenset().union(*(fitting(one) for one in single if len(one.split()) == 1))
        at_edge = {"#"} if side == "before" else set(MARKS) - {"=", "~"}
        if missing := sorted((INVENTORY | at_edge) - caught):
            what = f"nothing fits {', '.join(missing[:5])} {side} a sound; add a last row for any other"
            table.say(table.rows[-1].line if table.rows else 1, "pattern", what)


def _check_rules(tables: dict[str, _Table]) -> None:
    table = tables["rules"]
    table.required("rule", "allophone", "environment", "source", "example")
    table.unique("rule")
    contexts = tables["contexts"].rows
    for side in SIDES:
        names = {row.cells["context"]: None for row in contexts if row.cells["side"] == side}
        table.among(side, [*names, "any"], f"context {side}", many=True)
        for row in table.rows:
            if not row.cells[side]:
                table.say(row.line, side, "empty; write any where every context fits")
    allophones = [row.cells["id"] for row in tables["allophones"].rows]
    table.among("allophone", allophones, "allophone")
    table.among("also_heard", allophones, "allophone", many=True)
    table.among("environment", [row.cells["id"] for row in tables["environments"].rows], "environment")


def _check_words(tables: dict[str, _Table]) -> None:
    phone = next((r.cells["value"] for r in tables["sound"].rows if r.cells["key"] == "phone"), "")
    exceptions = tables["exceptions"]
    exceptions.required("word", "reading", "reason", "source")
    exceptions.unique("word")
    if len(exceptions.rows) > MOST_EXCEPTIONS:
        what = f"{len(exceptions.rows)} exceptions, {MOST_EXCEPTIONS} at most; a rule would do"
        exceptions.say(exceptions.rows[-1].line, "word", what)
    for row in exceptions.rows:
        symbols = row.cells["reading"].split()
        for symbol in symbols:
            if symbol not in SYMBOLS:
                exceptions.say(
                    row.line, "reading", f"{symbol!r} is no phone with its stress and no mark"
                )
        if phone not in symbols:
            exceptions.say(row.line, "reading", f"has no {phone}, which is what the table is about")


def _check_connected(tables: dict[str, _Table]) -> None:
    weak, classes, styles = (tables[name] for name in ("weak_forms", "word_classes", "styles"))
    weak.required("word", "phones", "where", "source")
    weak.among("where", WHERE, "place", many=True)
    for row in weak.rows:
        symbols = row.cells["phones"].split()
        for symbol in symbols:
            if symbol not in SYMBOLS:
                weak.say(row.line, "phones", f"{symbol!r} is no phone with its stress and no mark")
        if len(row.cells["word"].split()) != 1 + symbols.count(RUN_TOGETHER):
            what = f"as many parts as words, with {RUN_TOGETHER} between: words that run together"
            weak.say(row.line, "phones", what)
    classes.required("class", "words")
    classes.unique("class")
    classes.among("class", CLASSES, "class of words")
    styles.required("style", "weak_forms", "label")
    styles.unique("style")
    styles.among("weak_forms", ("yes", "no"), "answer")
    styles.among("label", LABELS, "label")
    if not styles.rows:
        styles.say(1, "style", "no style; a text is spoken in one")
    allophones = [row.cells["id"] for row in tables["allophones"].rows]
    changes = tables["style_changes"]
    changes.required("style", "allophone", "becomes")
    changes.among("style", [row.cells["style"] for row in styles.rows], "style")
    changes.among("allophone", allophones, "allophone")
    changes.among("becomes", allophones, "allophone", many=True)


def _check_heard(tables: dict[str, _Table]) -> None:
    """The tables of the counts, after those that they name."""
    heard, groups, variants = (tables[name] for name in ("heard", "heard_groups", "heard_variants"))
    allophones = [row.cells["id"] for row in tables["allophones"].rows]
    variants.required("variant", "allophones")
    variants.unique("variant")
    variants.among("allophones", allophones, "allophone", many=True)
    groups.required("grouping", "group", "fits")
    groups.among("grouping", GROUPINGS, "grouping")
    for row in groups.rows:
        if row.cells["grouping"] in ("before", "next"):
            try:
                fitting(row.cells["fits"])
            except ValueError:
                what = f"{row.cells['fits']!r} is no symbol of a pattern; V, C, # or K/P would do"
                groups.say(row.line, "fits", what)
    heard.required("cell", "unit", "heard", "source")
    named = {
        grouping: {r.cells["group"]: None for r in groups.rows if r.cells["grouping"] == grouping}
        for grouping in GROUPINGS
    }
    heard.among("before", named["before"], "group before", empty=True)
    heard.among("next_sound", named["next"], "group of next sounds", empty=True)
    heard.among("kind", named["kind"] | named["ending"], "kind or ending", empty=True)
    environments = [row.cells["id"] for row in tables["environments"].rows]
    heard.among("environment", environments, "environment", empty=True)
    if any(table.problems for table in (heard, groups, variants)):
        return
    try:
        _rates("", tables)
    except RatesError as problem:
        heard.say(heard.rows[problem.row].line, problem.column, str(problem))


def _rates(letters: str, tables: dict[str, _Table]) -> Rates:
    """Raises RatesError for the first row that cannot be."""
    return Rates(
        letters,
        [row.cells["variant"] for row in tables["heard_variants"].rows],
        [
            Group(row.cells["grouping"], row.cells["group"], row.cells["fits"])
            for row in tables["heard_groups"].rows
        ],
        [row.cells for row in tables["heard"].rows],
    )


def _check_teaching(tables: dict[str, _Table]) -> None:
    allophones = [row.cells["id"] for row in tables["allophones"].rows]
    environments = [row.cells["id"] for row in tables["environments"].rows]
    lists = tables["lists"]
    lists.required("name", "title")
    lists.unique("name")
    lists.among("allophone", allophones, "allophone", empty=True)
    lists.among("environment", environments, "environment", empty=True)
    for row in lists.rows:
        if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", row.cells["name"]):
            lists.say(row.line, "name", "small letters, digits and hyphens would do: it names a file")
        if not row.cells["allophone"] and not row.cells["environment"]:
            lists.say(
                row.line, "allophone", "neither allophone nor environment; one of the two would do"
            )
    contrasts = tables["contrasts"]
    contrasts.required("kind", "method")
    contrasts.unique("kind")
    contrasts.among("method", METHODS, "method")
    contrasts.among("allophone", allophones, "allophone", empty=True)
    asked: dict[str, dict[str, tuple[str, Collection[str]]]] = {
        "merger": {"allophone": ("allophone", allophones)},
        "shift": {
            "allophone": ("allophone", allophones),
            "other": ("environment", environments),
        },
        "ending": {
            "allophone": ("allophone", allophones),
            "other": ("allophone", allophones),
            "detail": ("phone", sorted(INVENTORY)),
        },
    }
    for row in contrasts.rows:
        for name, (what, known) in asked.get(row.cells["method"], {}).items():
            value = row.cells[name]
            if not value:
                contrasts.say(row.line, name, f"empty; a contrast by {row.cells['method']} needs one")
            elif value not in known and name != "allophone":
                contrasts.say(row.line, name, f"no {what} {value!r}{_closest(value, known)}")
    tables["contrast_lines"].required("first", "second", "first_line", "second_line")
    pairs = tables["contrast_pairs"]
    pairs.required("kind", "first", "second")
    by_pairs = [r.cells["kind"] for r in contrasts.rows if r.cells["method"] in ("pairs", "link merger")]
    pairs.among("kind", by_pairs, "kind of contrast with the method pairs")


def _check_lessons(tables: dict[str, _Table]) -> None:
    environments = [row.cells["id"] for row in tables["environments"].rows]
    lessons = tables["lessons"]
    lessons.required("title", "rule", "reason")
    lessons.unique("title")
    lessons.among("kind", LESSONS, "kind of lesson")
    for name in ("environment", "looks_like"):
        lessons.among(name, environments, "environment", many=True)
    kinds = [row.cells["kind"] for row in tables["contrasts"].rows]
    lessons.among("contrasts", kinds, "kind of contrast", many=True)
    for row in lessons.rows:
        needed = {"words": "environment", "links": "environment", "contrasts": "contrasts"}.get(
            row.cells["kind"]
        )
        if needed and not row.cells[needed]:
            lessons.say(row.line, needed, f"empty; a lesson of {row.cells['kind']} needs one")
    before = [r.cells["context"] for r in tables["contexts"].rows if r.cells["side"] == "before"]
    lessons.among("frame", list(dict.fromkeys(before)), "context before", empty=True)


def _check_agreement(tables: dict[str, _Table]) -> None:
    table = tables["agreement"]
    for row in table.rows:
        for name in ("slots", "misaki", "espeak"):
            # Python's own reading of numbers takes more than these.
            if not re.fullmatch(
                r"[0-9]*" if name == "slots" else r"([0-9]+(\.[0-9]*)?)?", row.cells[name][:20]
            ):
                table.say(row.line, name, f"{row.cells[name]!r} is no number")


_CHECKS: tuple[Callable[[dict[str, _Table]], None], ...] = (
    *(_check_sound, _check_allophones, _check_contexts, _check_rules, _check_words, _check_teaching),
    *(_check_lessons, _check_connected, _check_heard, _check_agreement),
)


def _unreachable(tables: dict[str, _Table]) -> Iterator[Problem]:
    """Rules that earlier ones leave nothing to, and contexts that no rule is for."""
    table = tables["rules"]
    names = {
        side: list(
            dict.fromkeys(r.cells["context"] for r in tables["contexts"].rows if r.cells["side"] == side)
        )
        for side in SIDES
    }
    left = {(before, after) for before in names["before"] for after in names["after"]}
    for row in table.rows:
        wanted = [names[side] if row.cells[side] == "any" else _split(row.cells[side]) for side in SIDES]
        fits = {(before, after) for before in wanted[0] for after in wanted[1]}
        if not fits & left:
            yield Problem(
                table.shown,
                row.line,
                "rule",
                "never reached: rows above fit all that it fits; move it up",
            )
        left -= fits
    last = table.rows[-1].line if table.rows else 1
    for before, after in sorted(left)[:5]:
        what = f"no rule for {before!r} before it and {after!r} after it; a last row with any would do"
        yield Problem(table.shown, last, "rule", what)


def _made(name: str, tables: dict[str, _Table], files: dict[str, bytes]) -> Sound:
    def cells(stem: str) -> Iterable[dict[str, str]]:
        return (row.cells for row in tables[stem].rows)

    facts = {row["key"]: row["value"] for row in cells("sound")}
    weak_forms: dict[str, list[WeakForm]] = {}
    for row in cells("weak_forms"):
        form = WeakForm(tuple(row["phones"].split()), row["where"])
        weak_forms.setdefault(row["word"], []).append(form)
    pairs: dict[str, list[tuple[str, str]]] = {}
    for row in cells("contrast_pairs"):
        pairs.setdefault(row["kind"], []).append((row["first"], row["second"]))
    return Sound(
        name=name,
        phone=facts["phone"],
        letters=facts["letters"],
        partner=facts.get("partner", ""),
        allophones={
            row["id"]: Allophone(
                row["id"],
                row["label"],
                row["ipa"],
                row["sign"],
                row["plain"],
                _split(row["aliases"]),
                row["tapped"] == "yes",
                row["written_as"],
            )
            for row in cells("allophones")
        },
        environments={row["id"]: row["label"] for row in cells("environments")},
        contexts=tuple(
            Context(row["context"], row["side"], tuple(row["pattern"].split()), row["note"])
            for row in cells("contexts")
        ),
        rules=tuple(
            Rule(
                row["rule"],
                () if "any" in _split(row["before"]) else _split(row["before"]),
                () if "any" in _split(row["after"]) else _split(row["after"]),
                row["allophone"],
                _split(row["also_heard"]),
                row["environment"],
                row["source"],
                row["example"],
            )
            for row in cells("rules")
        ),
        exceptions={
            row["word"]: ExceptionRow(tuple(row["reading"].split()), row["reason"], row["source"])
            for row in cells("exceptions")
        },
        lists=tuple(Target(**row) for row in cells("lists")),
        lessons=tuple(
            LessonStep(
                row["title"],
                row["kind"],
                _split(row["environment"]),
                _split(row["looks_like"]),
                row["frame"],
                _split(row["contrasts"]),
                row["rule"],
                row["reason"],
            )
            for row in cells("lessons")
        ),
        contrasts=tuple(ContrastKind(**row) for row in cells("contrasts")),
        contrast_pairs=pairs,
        weak_forms=weak_forms,
        word_classes={row["class"]: frozenset(_split(row["words"])) for row in cells("word_classes")},
        styles={
            row["style"]: Style(row["style"], row["weak_forms"] == "yes", row["label"], row["remark"])
            for row in cells("styles")
        },
        style_changes=tuple(
            StyleChange(row["style"], row["allophone"], _split(row["becomes"]))
            for row in cells("style_changes")
        ),
        variants={row["variant"]: _split(row["allophones"]) for row in cells("heard_variants")},
        rates=_rates(facts["letters"], tables),
        contrast_lines={
            (row["first"], row["second"]): (row["first_line"], row["second_line"])
            for row in cells("contrast_lines")
        },
        agreement={
            row["rule"]: Agreement(
                int(row["slots"] or 0), float(row["misaki"] or "nan"), float(row["espeak"] or "nan")
            )
            for row in cells("agreement")
        },
        files=files,
    )
