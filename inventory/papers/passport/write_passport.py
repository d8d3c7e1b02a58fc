"""Writes the passport of a part: a zipped bag with its history, documents, a page for people, perhaps a signature."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path
from typing import Literal

from sqlalchemy.orm import Session

from inventory.condition_list.load_people import load_people
from inventory.errors import Refused
from inventory.given_out.actions import next_number, written
from inventory.given_out.anchors import grouped
from inventory.given_out.load_checked import checked_state
from inventory.given_out.write_file import paper_file
from inventory.papers.passport.bag import TAG_MANIFEST, bagged
from inventory.papers.passport.history import PartHistory, canonical
from inventory.papers.passport.load_enclosed import Bundle, Pictures, documents_of_part, load_bundle, names_people
from inventory.papers.passport.load_history import Draft, load_draft
from inventory.papers.passport.page import page_of
from inventory.papers.passport.read_keys import own_key
from inventory.papers.passport.schema import schema_json
from inventory.papers.passport.signing import public_of, signed
from inventory.parts.queries import part_row
from inventory.parts.tables import Part
from inventory.people.actions import begin_act
from inventory.reference.data import reference_of
from inventory.store.begin import RECORD_THING
from inventory.store.record import Record

__all__ = ["HISTORY", "PAGE", "PASSPORT_PAPER", "SIGNATURE", "Names", "Written", "write_passport", "zipped"]

PASSPORT_PAPER = "passport"
HISTORY, PAGE, SCHEMA = "part-history.json", "part-history.html", "part-history.schema.json"
SIGNATURE = "signature-ed25519.txt"
Names = Literal["keep", "cut"]
#: The time of every file in the zip, so that the same passport is the same bytes: the earliest that a zip can say.
_TIME = (1980, 1, 1, 0, 0, 0)


@dataclass(frozen=True)
class Written:
    """A passport that was written. `signed_by`: the public key, "" if it is not signed."""

    history: PartHistory
    file: Path
    signed_by: str
    warnings: tuple[str, ...]


def write_passport(
    record: Record,
    by: str,
    tag: str,
    path: Path,
    *,
    documents: Sequence[str] = (),
    shown_to: Collection[str] = (),
    pictures: Pictures = "copies",
    names: Names | None = None,
    sign: bool = False,
    overwrite: bool = False,
    unverified: bool = False,
) -> Written:
    """Write the passport of a part, and store its number and fingerprint: all of it or nothing.

    `documents`: the originals that go too. `shown_to`: the digests of those of which somebody has said that they may
    name people. `names`: whether people's names stay in texts; without it, `Refused` with the code names-in-texts if
    there are any. The part's chain is checked first; where it does not fit it is refused, or with `unverified` written
    so marked, without number, fingerprint and signature, and the record keeps nothing of it.
    """
    secret = own_key(make=True) if sign else None
    with paper_file(path, overwrite=overwrite) as file, record.write() as session:
        row = part_row(session, tag)
        state = checked_state(record, PASSPORT_PAPER, [RECORD_THING, row.id], unverified=unverified)
        act = begin_act(session, PASSPORT_PAPER, by, RECORD_THING, row.id) if state.anchor else None
        bundle = load_bundle(session, row.id, documents, pictures)
        if names != "keep":
            bundle = _without_named(session, row, bundle, shown_to, names)
        edition = reference_of(session).edition
        number = next_number(session, PASSPORT_PAPER) if state.anchor else 0
        enclosed = bundle.enclosed, bundle.files
        draft = load_draft(session, row, number, *enclosed, edition, state, keep_names=names == "keep")
        history = _decided(draft, names)
        options = canonical({"names": names or "none found", "pictures": pictures, "signed": sign})
        day = history.written_on
        more = {"as_of": day, "known_on": day, "options": options, "edition": edition}
        if act is not None:
            written(session, act, row.id, PASSPORT_PAPER, number, history.fingerprint, anchor=state.anchor, **more)
            file.on_record = f"{PASSPORT_PAPER} {number}"
        else:
            secret = None
        files = passport_files(history, bundle.held, secret)
        file.part.write_bytes(zipped(f"part-history-{row.tag}", files))
    return Written(history, path, public_of(secret) if secret else "", tuple(bundle.warnings))


def passport_files(history: PartHistory, held: Mapping[str, bytes], secret: bytes | None) -> dict[str, bytes]:
    """The files of the bag, by name: data, tag files, and the signature if there is a secret key."""
    payload = {
        HISTORY: history.as_json().encode(),
        PAGE: page_of(history).encode(),
        SCHEMA: schema_json().encode(),
        **held,
    }
    number = f"no. {history.number}" if history.number else "without a number"
    info = {
        "Bagging-Date": history.written_on,
        "Bag-Software-Agent": f"matchmark {version('matchmark')}",
        "External-Identifier": f"{history.part['tag']}, passport {number} of record {history.record}",
        "External-Description": "part history: no release, no certificate, no permission to fit",
        "Internal-Sender-Description": history.state.mark or f"fingerprint {grouped(history.fingerprint)}",
    }
    files = bagged(payload, info)
    if secret is not None:
        lines = (f"key: {public_of(secret)}", f"signature of {TAG_MANIFEST}: {signed(secret, files[TAG_MANIFEST])}")
        files[SIGNATURE] = ("\n".join(lines) + "\n").encode()
    return files


def zipped(folder: str, files: Mapping[str, bytes]) -> bytes:
    """A zip with these files in one folder; the same files give the same bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as opened:
        for name, held in files.items():
            member = zipfile.ZipInfo(f"{folder}/{name}", _TIME)
            member.create_system, member.external_attr = 3, 0o100644 << 16
            opened.writestr(member, held)
    return out.getvalue()


def _without_named(
    session: Session, part: Part, bundle: Bundle, shown_to: Collection[str], names: Names | None
) -> Bundle:
    """The bundle without originals that name people, where names are cut. Raises `Refused` if nobody decided."""
    people = load_people(session, {}, frozenset())
    by_file = {each.facts[0]: each.view for each in documents_of_part(session, part.id)}
    for enclosed in [each for each in bundle.enclosed if each.original]:
        view = next(view for fact, view in by_file.items() if bundle.files.get(fact) == enclosed.file)
        if view.digest in shown_to:
            continue
        named = names_people(session, view, people)
        if named is None:
            bundle.warnings.append(f"the text of {view.file_name} cannot be read here: look whether it names people")
        if not named:
            continue
        if names is None:
            raise names_found({view.file_name: ["the document itself"]})
        bundle.enclosed.remove(enclosed)
        del bundle.held[enclosed.file]
        bundle.files = {fact: file for fact, file in bundle.files.items() if file != enclosed.file}
        bundle.warnings.append(f"{view.file_name} names people, so it is left out")
    return bundle


def _decided(draft: Draft, names: Names | None) -> PartHistory:
    if names == "cut":
        return draft.cut()
    if draft.found and names is None:
        raise names_found(draft.found)
    return draft.history


def names_found(found: Mapping[str, Collection[str]]) -> Refused:
    """The refusal where people's names stand in what would leave the house and nobody said what becomes of them."""
    lines = [f"{where}: {'; '.join(texts)[:200]}" for where, texts in list(found.items())[:5]]
    more = f" and {len(found) - 5} more" if len(found) > 5 else ""
    return Refused(
        "names-in-texts",
        f"People are named in what would go out: {'; '.join(lines)}{more}",
        where="--names",
        hint="--names cut puts roles in their place, --names keep leaves them",
    )
