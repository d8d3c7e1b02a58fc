"""Which part each picture of a folder is of: the pictures after one with a part's label are of that part.

Pictures are put in the order in which they were taken, each camera by itself: two clocks seldom agree. A camera whose
pictures show no label at all follows the labels of another only if somebody says that the two clocks agree.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta, tzinfo
from typing import TypeAlias

from inventory.documents.capture import moment_of, shown_how_often
from inventory.labels.codes import CarSideCode, PartCode, read_code
from inventory.pictures.look import Answers, Look, shown_camera

__all__ = ["CAR_SIDE_SHOWS", "LABEL_SHOWS", "Given", "Plan", "Question", "Unused", "make_plan"]

LABEL_SHOWS, CAR_SIDE_SHOWS = "other", "where it sat"
"""What the picture of a label shows, and those after a label on the car."""
#: After such a pause nobody remembers which label came last (workshop judgement).
_PAUSE = timedelta(hours=12)
#: How far a camera's clock may be ahead of ours.
_AHEAD = timedelta(minutes=5)


#: The tags of the parts that labels belong to.
_Known: TypeAlias = Mapping[PartCode | CarSideCode, str]


@dataclass(frozen=True)
class Given:
    """A picture that goes to a part: when it was taken, and what it shows."""

    look: Look
    tag: str
    at: datetime
    shows: str


@dataclass(frozen=True)
class Question:
    """Pictures that nobody but a person can give to a part; left out until answered. `answer`: the option that does.

    `camera`: whose clock is asked about.
    """

    about: str
    says: str
    names: tuple[str, ...]
    answer: str
    camera: str = ""


@dataclass(frozen=True)
class Unused:
    """A file that is left out, and why."""

    name: str
    why: str


@dataclass(frozen=True)
class Plan:
    """What is to be written, what is asked, what is left out, and what should be known."""

    given: tuple[Given, ...] = ()
    questions: tuple[Question, ...] = ()
    unused: tuple[Unused, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Timed:
    look: Look
    at: datetime


@dataclass
class _Stretch:
    """Pictures that follow each other: of one part and what they show, the first and the others; or asked about."""

    tag: str = ""
    shows: str = ""
    first_shows: str = ""
    about: str = ""
    says: str = ""
    pictures: list[_Timed] = field(default_factory=list)

    def given(self) -> Iterator[Given]:
        for place, each in enumerate(self.pictures):
            yield Given(each.look, self.tag, each.at, self.shows if place else self.first_shows)

    def question(self) -> Question:
        names = tuple(each.look.name for each in self.pictures)
        return Question(self.about, self.says, names, f"--give {names[0]}=TAG, or --leave")


def make_plan(
    looks: Sequence[Look],
    answers: Answers,
    *,
    known: _Known,
    attached: Mapping[str, Collection[str]],
    pixels: Mapping[str, str],
    zone: tzinfo,
    now: datetime,
) -> Plan:
    """Plan which pictures go to which part.

    `known`: the tags of the parts that labels belong to. `attached`: the tags that a document is attached to, by its
    digest. `pixels`: the names of pictures on record, by the digest of their pixels. `zone`: of a camera without one.
    """
    unused = [Unused(look.name, look.why_not) for look in looks if look.why_not]
    wanted, left = _once([look for look in looks if not look.why_not], answers, pixels)
    unread = [look for look in looks if look.why_not and look.taken and look.name not in answers.leave]
    timed, questions = _timed([*wanted, *unread], answers, zone, now)
    given: list[Given] = []
    runs, asked = _runs(timed, answers)
    questions += asked
    for stretch in (each for run in runs for each in _stretches(run, answers, known)):
        if stretch.tag:
            given += stretch.given()
        else:
            questions.append(stretch.question())
    there = [each for each in given if each.tag in attached.get(each.look.digest, ())]
    unused += left + [Unused(each.look.name, f"already with {each.tag}") for each in there]
    new = tuple(each for each in given if each not in there)
    return Plan(new, tuple(questions), tuple(unused), tuple(_notes(wanted, looks)))


def _once(looks: Sequence[Look], answers: Answers, pixels: Mapping[str, str]) -> tuple[list[Look], list[Unused]]:
    """Each picture once, and those that are left out because they are another again or somebody said so."""
    wanted, left = [], []
    by_digest: dict[str, str] = {}
    by_pixels: dict[str, str] = {}
    for look in looks:
        first = by_digest.setdefault(look.digest, look.name)
        alike = by_pixels.setdefault(look.pixels, look.name) if look.pixels else look.name
        if look.name in answers.leave:
            left.append(Unused(look.name, "left out, as you said"))
        elif first != look.name:
            left.append(Unused(look.name, f"the same file as {first}"))
        elif alike != look.name:
            left.append(Unused(look.name, f"the same picture as {alike}, with other metadata"))
        elif look.pixels in pixels:
            left.append(Unused(look.name, f"the same picture as {pixels[look.pixels]} on record, with other metadata"))
        else:
            wanted.append(look)
    return wanted, left


def _timed(looks: Iterable[Look], answers: Answers, zone: tzinfo, now: datetime) -> tuple[list[_Timed], list[Question]]:
    """The moment of each picture, and the questions about those whose moment is not clear."""
    timed: list[_Timed] = []
    twice: list[str] = []
    ahead: dict[str, list[str]] = defaultdict(list)
    for look in looks:
        if look.taken is None:
            continue
        shown = look.taken + (answers.clock_of(look.camera) or timedelta())
        if shown_how_often(shown, zone) == "twice" and not answers.hour:
            twice.append(look.name)
            continue
        at = moment_of(shown, zone, second_hour=answers.hour == "second")
        if at > now + _AHEAD:
            ahead[look.camera].append(look.name)
        else:
            timed.append(_Timed(look, at))
    questions = [
        Question(
            "clock",
            f"taken in the future by the clock of {shown_camera(camera)}",
            tuple(names),
            f'--clock "{shown_camera(camera)}=-1h" adds that to its times',
            shown_camera(camera),
        )
        for camera, names in ahead.items()
    ]
    if twice:
        says = "taken in the hour that the clocks show twice in autumn"
        questions.append(Question("repeated hour", says, tuple(twice), "--repeated-hour first, or second"))
    return timed, questions


def _runs(timed: Sequence[_Timed], answers: Answers) -> tuple[list[list[_Timed]], list[Question]]:
    """The pictures of each camera in order; and the cameras that show no label, whose clock nobody spoke of."""
    cameras: dict[str, list[_Timed]] = defaultdict(list)
    for each in timed:
        cameras[each.look.camera].append(each)
    labels = Counter(each.look.camera for each in timed if each.look.name in answers.give or _labels(each.look))
    if not labels:
        return [_in_order(each for each in timed if not each.look.why_not)], []
    leading = max(labels, key=lambda camera: (labels[camera], camera))
    questions = []
    for camera, every in cameras.items():
        pictures = [each for each in every if not each.look.why_not]
        if labels[camera] or not pictures:
            continue
        if any(name and name.casefold() in shown_camera(camera).casefold() for name in answers.clocks):
            cameras[leading] = [*cameras[leading], *pictures]
        else:
            names = tuple(each.look.name for each in _in_order(pictures))
            says = f"of {shown_camera(camera)}, which shows no label; its clock may differ from the other's"
            how = f'--clock "{shown_camera(camera)}=+0s" if it agrees, =+1h if it is an hour behind'
            questions.append(Question("two cameras", says, names, how, shown_camera(camera)))
    return [_in_order(cameras[camera]) for camera in labels], questions


def _stretches(run: Sequence[_Timed], answers: Answers, known: _Known) -> list[_Stretch]:
    """The pictures of one run, cut at the labels and at long pauses."""
    stretches = [_Stretch(about="no label", says="taken before the first label")]
    for place, each in enumerate(run):
        begun = _begun(each.look, answers, known)
        if begun is None and stretches[-1].tag and each.at - run[place - 1].at > _PAUSE:
            hours = int(_PAUSE.total_seconds()) // 3600
            begun = _Stretch(about="pause", says=f"taken more than {hours} hours after the last of {stretches[-1].tag}")
        if begun is not None:
            stretches.append(begun)
        if not each.look.why_not:
            stretches[-1].pictures.append(each)
    return [each for each in stretches if each.pictures]


def _begun(look: Look, answers: Answers, known: _Known) -> _Stretch | None:
    """The stretch that begins at a picture: with a label in it, with what somebody said, or because it was not read."""
    if look.why_not:
        return _Stretch(about="not read", says=f"after {look.name}, which was not read: it may show a label")
    labels = _labels(look)
    tags = dict.fromkeys(known.get(label, label.tag) for label in labels)
    if look.name in answers.give:
        tags = {answers.give[look.name]: None}
    if not tags:
        return None
    tag = next(iter(tags))
    if len(tags) > 1:
        return _Stretch(about="several labels", says=f"with or after the labels {' and '.join(tags)} in one picture")
    if look.name not in answers.give and not any(label in known for label in labels):
        return _Stretch(about="label not used", says=f"of the label {tag}, which is on no part yet")
    if any(isinstance(label, PartCode) for label in labels):
        return _Stretch(tag, answers.shows, LABEL_SHOWS)
    shows = CAR_SIDE_SHOWS if labels else answers.shows
    return _Stretch(tag, shows, shows)


def _labels(look: Look) -> list[PartCode | CarSideCode]:
    return [label for text in look.codes if (label := read_code(text)) is not None]


def _in_order(timed: Iterable[_Timed]) -> list[_Timed]:
    """By the moment; within it by name, so that IMG_9 comes before IMG_10."""
    return sorted(timed, key=lambda each: (each.at, _numbers_apart(each.look.name)))


def _numbers_apart(name: str) -> list[tuple[str, int]]:
    return [(words, int(number or 0)) for words, number in re.findall(r"(\D*)(\d{0,18})", name)]


def _notes(wanted: Sequence[Look], looks: Sequence[Look]) -> Iterator[str]:
    """What should be known before agreeing."""
    without = [look for look in wanted if not look.by_camera]
    if without:
        yield f"{_counted(len(without))} without a time of the camera: the time of the file counts"
    for look in wanted:
        for text in look.codes:
            if read_code(text) is None:
                what = (
                    "a web address, which is not opened" if re.match(r"(?i)\w+://|www\.", text) else "no label of ours"
                )
                yield f'{look.name}: the code "{text[:60]}" is {what}'
    if unread := [look for look in looks if look.why_not and look.digest and look.taken is None]:
        yield f"{_counted(len(unread))} could not be read: a label in one of them is not seen"


def _counted(count: int) -> str:
    return f"{count} picture{'' if count == 1 else 's'}"
