"""Why a server let nobody in, by the words it was said with: before a connection stands there is no SQLSTATE.

The words of the driver's library are English wherever it comes with the driver. A server speaks its own language; what
it says in another one is repeated as it is.
"""

from __future__ import annotations

import re

__all__ = ["why_not_connected"]

#: What a driver or server says, then: code, sentence, what to do. `{where}` is the record, `{0}` what the words name.
_CAUSES = [
    (re.compile(words, re.IGNORECASE), told)
    for words, told in {
        r"password authentication failed": (
            "wrong-password",
            "The server does not take this name with this password, for {where}",
            "check both; a password is best kept in a file that PGPASSFILE names (~/.pgpass without it)",
        ),
        r"no password supplied": (
            "password-missing",
            "The server asks for a password, for {where}",
            "write it into ~/.pgpass or a file that PGPASSFILE names, mode 0600: HOST:PORT:DATABASE:NAME:PASSWORD; the "
            "first four as in the address",
        ),
        r'database "(.*)" does not exist': (
            "no-such-database",
            'The server has no database "{0}"',
            "check the address, or have it made on the server: createdb {0}",
        ),
        r'role "(.*)" does not exist': (
            "no-such-login",
            'The server knows no login "{0}"',
            "write the name into the address, postgresql://NAME@HOST/DATABASE, or have it made on the server",
        ),
        r'role "(.*)" is not permitted to log in|(?:peer|ident) authentication failed for user "(.*)"'
        r'|pg_hba\.conf rejects .*user "(.*?)"': (
            "not-let-in",
            'The server does not let "{0}" in from here',
            "ask whoever looks after the server; its file pg_hba.conf says who may come from where",
        ),
        r"no pg_hba\.conf entry .*(?:no encryption|SSL off)": (
            "connection-not-encrypted",
            "The server lets nobody in from here over a connection that is not encrypted, for {where}",
            "add ?sslmode=require to the address, or ask whoever looks after the server",
        ),
        r'no pg_hba\.conf entry .*user "(.*?)"': (
            "not-let-in",
            'The server does not let "{0}" in from here',
            "ask whoever looks after the server; its file pg_hba.conf says who may come from where",
        ),
        r"does not support SSL|SSL error|certificate|SSL SYSCALL|SSL negotiation": (
            "no-encryption",
            "No encrypted connection came about as the address asks for it, for {where}",
            "check sslmode and sslrootcert in the address, and the server's certificate",
        ),
        r"(?:failed to resolve host|could not translate host name) ['\"](.*?)['\"]": (
            "unknown-host",
            'Nothing on the network is called "{0}"',
            "check the host in the address, and whether this machine is connected",
        ),
        r"is (?:starting up|shutting down)|in recovery mode|not (?:yet )?accepting connections": (
            "server-away",
            "The server of the workshop record at {where} takes nobody in yet",
            "wait a moment, then do it again",
        ),
        r'definition of service "(.*?)" not found': (
            "unknown-service",
            'The service "{0}" is described nowhere',
            "write it into ~/.pg_service.conf, or name that file in PGSERVICEFILE",
        ),
        r'(?:invalid connection option|connection option|configuration parameter|value for parameter) "(\w+)"'
        r"|invalid (\w+) value|bad value for (\w+)|invalid (port) number|(service file)": (
            "address-option",
            "The record's address has an option that is not understood: {0}",
            "look it up: PostgreSQL's manual, Connection Strings",
        ),
    }.items()
]
#: How the library hands on what a server said in whatever language: its severity, then the sentence.
_OF_SERVER = re.compile(r"failed: \S+: {2}(?P<says>.+)")


def why_not_connected(words: str) -> tuple[str, str, str] | None:
    """Code, sentence and what to do, from what driver or server said; None if it says nothing of this.

    The sentence has `{where}` where the record is to be named. Never a value of an option: it may be a password.
    """
    for pattern, (code, says, hint) in _CAUSES:
        if found := pattern.search(words):
            named = _plain(next((each for each in found.groups() if each), ""))
            return code, says.replace("{0}", named), hint.replace("{0}", named)
    if (found := _OF_SERVER.search(words)) and "connection" in words:
        return "server-refuses", f'The server refuses {{where}}: "{_plain(found["says"])}"', "check the address"
    return None


def _plain(text: str) -> str:
    return text.replace("{", "(").replace("}", ")").strip()
