"""`matchmark passport key`: the own key, and those of others."""

from __future__ import annotations

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing

__all__ = ["key"]

key = group("key", "Your key for signing passports, and the keys of others.", default="show")


@key.command("show")
@pass_door_for_writing
def show(door: Door) -> Answer:
    """Your public key, to be given to others by another way than a passport; made if there is none."""
    from inventory.papers.passport.read_keys import own_key
    from inventory.papers.passport.signing import fingerprint_of, public_of

    secret = own_key(make=True)
    public = public_of(secret or b"")
    lines = (f"Your public key: {public}", f"Fingerprint, to compare over the telephone: {fingerprint_of(public)}")
    return Answer({"key": public, "fingerprint": fingerprint_of(public)}, "\n".join(lines))


@key.command("trust")
@click.argument("name")
@click.argument("public", metavar="KEY")
@pass_door_for_writing
def trust_key(door: Door, name: str, public: str) -> Answer:
    """Know a key as that of somebody from now on, on this machine."""
    from inventory.papers.passport.read_keys import trust

    shown = trust(name, public)
    return Answer({"name": name, "fingerprint": shown}, f"Key {shown} is known here as that of {name}")


@key.command("list")
@pass_door
def known(door: Door) -> Answer:
    """The keys of others that are known here."""
    from inventory.papers.passport.read_keys import known_keys
    from inventory.papers.passport.signing import fingerprint_of

    every = [{"name": name, "key": each, "fingerprint": fingerprint_of(each)} for each, name in known_keys().items()]
    text = "\n".join(f"{each['name']}: {each['fingerprint']}" for each in every)
    return Answer({"keys": every}, text or "No key is known here.")
