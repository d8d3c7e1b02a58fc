"""Where a part is: rules that changed, with no table or column of their own.

Revision: 0005, after 0004. A part that left fitted to a car is on no car once it has come back; a place from a sheet
counts only if the sheet was kept up to a later day than our own move. Whoever opens a record brought up to this
revision writes the rows of such parts anew.
"""

from __future__ import annotations

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Nothing to change in the tables."""


def downgrade() -> None:
    """Nothing to change in the tables."""
