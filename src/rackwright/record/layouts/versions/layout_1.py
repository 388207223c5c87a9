"""Layout 1: `event` and `head`. The first; there is nothing before it."""

revision = "1"
down_revision = None
