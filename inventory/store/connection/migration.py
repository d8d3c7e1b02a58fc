"""Bringing a record's schema up or down, by the revisions that ship with the program."""

from __future__ import annotations

from pathlib import Path

import alembic.command
from alembic.config import Config
from sqlalchemy import URL, Connection

__all__ = ["alembic_config", "downgrade", "upgrade"]


def alembic_config(url: URL) -> Config:
    """Alembic's settings for one record; the scripts are those of the installed package."""
    import migrations

    config = Config()
    config.set_main_option("script_location", str(Path(migrations.__file__).parent).replace("%", "%%"))
    config.attributes["url"] = url
    return config


def upgrade(url: URL, revision: str = "head", connection: Connection | None = None) -> None:
    """Bring a record up to a revision, in one transaction: that of the `connection`, where one is given."""
    config = alembic_config(url)
    config.attributes["connection"] = connection
    alembic.command.upgrade(config, revision)


def downgrade(url: URL, revision: str) -> None:
    """Bring a record down to a revision, in one transaction."""
    alembic.command.downgrade(alembic_config(url), revision)
