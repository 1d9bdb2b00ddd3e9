"""A sound as a value: a folder of tables, loaded and checked as a whole.

Room: reads the tables beside this file, or a user's folder of the same shape (``README.md`` explains them), and gives a
:class:`Sound`. Imports the matcher and the ARPAbet. Which problems there can be stands in :mod:`lexiconforge.sounds.check`.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, fields
from functools import cache, cached_property
from pathlib import Path
from typing import NamedTuple

from lexiconforge.errors import OptionError, SoundError
from lexiconforge.options import plain, text
from lexiconforge.phonology.arpabet import Phones
from lexiconforge.phonology.boundaries import ExceptionRow
from lexiconforge.phonology.matcher import PAUSE, Context, Matcher, Rule
from lexiconforge.phonology.rates import Heard, Rates

DEFAULT = "t"
OURS = Path(__file__).parent
OFFERED = 5
"""Percent from which on a variant that was counted stands among those also heard."""
NOT_HEARD = "∅"
"""What a table writes for the IPA of a sound that is not heard; the IPA of a whole word leaves it out."""


class Allophone(NamedTuple):
    """One variant: ``label`` is what people read, ``plain`` a teacher's word for it, ``sign`` how it is drawn; words
    link with one that is ``tapped``; ``written_as`` is the phone the dictionary sometimes has for it."""

    id: str
    label: str
    ipa: str
    sign: str
    plain: str
    aliases: tuple[str, ...]
    tapped: bool
    written_as: str

    @property
    def symbol(self) -> str:
        """The IPA, with a sign of its own where nothing is heard."""
        return self.ipa or NOT_HEARD


class Target(NamedTuple):
    """One list of a build: its file name, what it is called, and the sound it is about (``""`` = any)."""

    name: str
    title: str
    allophone: str
    environment: str


class LessonStep(NamedTuple):
    """One lesson in teaching order. ``kind`` is what it gives: words of the ``environments``, links of them, the
    ``contrasts`` themselves, or words in which several are combined; ``looks_like`` are environments that look like its own
    and behave otherwise, the plainest first, ``frame`` the context before both; ``rule`` is one sentence for the learner,
    ``reason`` why it stands here."""

    title: str
    kind: str
    environments: tuple[str, ...]
    looks_like: tuple[str, ...] = ()
    frame: str = ""
    contrasts: tuple[str, ...] = ()
    rule: str = ""
    reason: str = ""


class ContrastKind(NamedTuple):
    """One kind of contrast; ``sounds/README.md`` lists the methods."""

    kind: str
    method: str
    allophone: str
    other: str
    detail: str
    note: str
    raised_note: str


class WeakForm(NamedTuple):
    """A word as it is said without stress, or two that run together, and ``where`` that is so: conditions with ``; ``
    between, all of which must hold."""

    phones: Phones
    where: str


class Style(NamedTuple):
    """A way of speaking: whether weak forms are used, and whether the label of a token is the one that is ``heard`` most
    or that of the ``rule``; ``remark`` stands beside the shares."""

    name: str
    weak_forms: bool
    label: str
    remark: str


class StyleChange(NamedTuple):
    """In a style an allophone of the rules is said as another: the first that the rule also hears, else the first."""

    style: str
    allophone: str
    becomes: tuple[str, ...]


class Agreement(NamedTuple):
    """On how many t's of one rule two references were asked, and the shares (0 to 1) at which each agreed."""

    slots: int
    misaki: float
    espeak: float


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Sound:
    """Everything that is about one sound. ``files`` holds the tables as they were read, by their names."""

    name: str
    phone: str
    letters: str
    partner: str
    allophones: dict[str, Allophone]
    environments: dict[str, str]
    contexts: tuple[Context, ...]
    rules: tuple[Rule, ...]
    exceptions: dict[str, ExceptionRow]
    lists: tuple[Target, ...]
    lessons: tuple[LessonStep, ...]
    contrasts: tuple[ContrastKind, ...]
    contrast_pairs: dict[str, list[tuple[str, str]]]
    weak_forms: dict[str, list[WeakForm]]
    word_classes: dict[str, frozenset[str]]
    styles: dict[str, Style]
    style_changes: tuple[StyleChange, ...]
    variants: dict[str, tuple[str, ...]]
    rates: Rates
    contrast_lines: dict[tuple[str, str], tuple[str, str]]
    agreement: dict[str, Agreement]
    files: dict[str, bytes] = field(default_factory=dict)

    def __getstate__(self) -> dict[str, object]:
        # What was worked out since stays behind: it may be growing while another thread sends the sound away.
        return {each.name: getattr(self, each.name) for each in fields(self)}

    def __repr__(self) -> str:
        return f"<Sound {self.name}: {len(self.rules)} rules, {len(self.allophones)} allophones>"

    @cached_property
    def matcher(self) -> Matcher:
        """The rules, ready to apply."""
        return Matcher(self.phone, self.contexts, self.rules)

    @cached_property
    def fingerprint(self) -> str:
        """A digest of the tables: two sounds with the same one decide alike."""
        digest = hashlib.sha256()
        for name, content in sorted(self.files.items()):
            digest.update(f"{name}\n{len(content)}\n".encode() + content)
        return digest.hexdigest()

    def symbol(self, allophone: str) -> str:
        """The IPA of an allophone, with a sign of its own where nothing is heard."""
        return self.allophones[allophone].symbol

    @cached_property
    def tapped(self) -> tuple[str, ...]:
        """Ids of the allophones that link words."""
        return tuple(allophone.id for allophone in self.allophones.values() if allophone.tapped)

    @cached_property
    def silent(self) -> str:
        """Id of the allophone that is not heard, ``""`` if there is none."""
        return next((allophone.id for allophone in self.allophones.values() if not allophone.ipa), "")

    @cached_property
    def used_allophones(self) -> list[str]:
        """Ids of the allophones that some rule gives, in the order of the table."""
        used = {rule.allophone for rule in self.rules}
        return [name for name in self.allophones if name in used]

    @cached_property
    def used_environments(self) -> list[str]:
        """Ids of the environments of the rules, in their order."""
        return list(dict.fromkeys(rule.environment for rule in self.rules))

    @cached_property
    def variant_of(self) -> dict[str, str]:
        """The label of the counts for each allophone that has one."""
        return {name: variant for variant, names in self.variants.items() for name in names}

    def heard(self, word: str, phones: Phones, index: int, rule: Rule) -> Heard:
        """How often each variant of one occurrence is heard in a word said by itself, a pause on either side."""
        before = phones[index - 1] if index else PAUSE
        if index == len(phones) - 1:
            return self.rates.final(word, before, PAUSE)
        return self.rates.inside(rule.environment, before)

    def said(self, rule: Rule, heard: Heard, style: Style) -> tuple[str, tuple[str, ...]]:
        """The allophone of an occurrence in a style, and the others that are heard, the likeliest first."""
        first = rule.allophone
        others = rule.also_heard
        if style.label == "heard" and heard:
            allophones = [self.meant(variant, rule) for variant in heard if heard[variant] >= OFFERED]
            first, *counted = allophones or [self.meant(heard.likeliest, rule)]
            others = (*counted, rule.allophone, *others)
        for change in self.style_changes:
            if (change.style, change.allophone) == (style.name, first):
                first = next((name for name in change.becomes if name in others), change.becomes[0])
                break
        return first, tuple(name for name in dict.fromkeys(others) if name != first)

    def meant(self, variant: str, rule: Rule) -> str:
        """The allophone that a label of the counts means where this rule decides."""
        names = self.variants[variant]
        return next((name for name in (rule.allophone, *rule.also_heard) if name in names), names[0])

    def allophone_id(self, value: str) -> str:
        """The allophone that was meant: its id, label or an alias, in any case, with hyphens or spaces.

        Raises :class:`~lexiconforge.errors.OptionError`, which lists the ids.

        >>> load_sound().allophone_id("Flap"), load_sound().allophone_id("glottal-stop")
        ('tap', 'glottal stop')
        """
        names = {
            plain(name): allophone.id
            for allophone in reversed(self.allophones.values())
            for name in (*allophone.aliases, allophone.label, allophone.id)
        }
        return _meant("allophone", value, names, self.used_allophones)

    def target_id(self, value: str = "") -> str:
        """The allophone that was meant, as :meth:`allophone_id`; where none is named the first tapped one, of a sound
        without taps the first that a rule gives."""
        return self.allophone_id(value) or (*self.tapped, *self.used_allophones)[0]

    def environment_id(self, value: str) -> str:
        """The environment that was meant, by id or label. Raises :class:`~lexiconforge.errors.OptionError`.

        >>> load_sound().environment_id("between-vowels")
        'between vowels'
        """
        names = {plain(label): name for name, label in self.environments.items()}
        names |= {plain(name): name for name in self.environments}
        examples = {rule.environment: rule.example for rule in reversed(self.rules)}
        listed = [f"{name} ({examples[name]})" for name in self.used_environments]
        return _meant("environment", value, names, listed)


def _meant(kind: str, value: object, names: dict[str, str], listed: list[str]) -> str:
    meant = text(kind, value)
    if not meant:
        return meant
    found = names.get(plain(meant))
    if found is None:
        raise OptionError(f"no {kind} {value!r}; there are: {', '.join(listed)}")
    return found


def load_sound(name: str = DEFAULT, folder: Path | str | None = None) -> Sound:
    """A sound from the shipped tables, or from a user's folder, where what it lacks is ours.

    Raises :class:`~lexiconforge.errors.OptionError` for a sound that is in neither, and
    :class:`~lexiconforge.errors.SoundError` with a line for each problem of the tables.

    >>> load_sound("t")
    <Sound t: 45 rules, 8 allophones>
    """
    name = text("sound", name).lower()
    return _ours(name) if folder is None else _read(name, Path(folder))


@cache
def _ours(name: str) -> Sound:
    return _read(name, None)


def _read(name: str, folder: Path | None) -> Sound:
    from lexiconforge.sounds.check import read_sound

    there = sound_names(folder)
    if name not in there:
        raise OptionError(f"no sound {name!r}; there are: {', '.join(there)}")
    sound, problems = read_sound(name, folder)
    if sound is None:
        raise SoundError("\n".join(map(str, problems)))
    return sound


def sound_names(folder: Path | None = None) -> list[str]:
    """The sounds that have a folder, shipped or in the user's folder.

    Raises :class:`~lexiconforge.errors.OptionError` for a folder that is not there.
    """
    if folder is not None and not folder.is_dir():
        raise OptionError(f"{folder}: no such folder of sounds")
    places = [OURS] if folder is None else [OURS, folder]
    return sorted(
        {
            path.name
            for place in places
            for path in place.iterdir()
            if path.is_dir() and path.name.isalpha() and not path.name.startswith("_")
        }
    )
