"""Layout 2: the table `mention`, the index of what events name, filled from the events."""

from alembic import op

revision = "2"
down_revision = "1"

STATEMENTS = {
    "sqlite": (
        """CREATE TABLE mention (
  kind TEXT NOT NULL,
  name TEXT NOT NULL,
  seq INTEGER NOT NULL,
  PRIMARY KEY (kind, name, seq)
) STRICT, WITHOUT ROWID""",
        "PRAGMA user_version=2",
    ),
    "postgresql": (
        """CREATE TABLE rackwright.mention (
  kind text COLLATE "C" NOT NULL,
  name text COLLATE "C" NOT NULL,
  seq bigint NOT NULL,
  PRIMARY KEY (kind, name, seq)
)""",
        "COMMENT ON SCHEMA rackwright IS 'rackwright record, layout 2'",
        # whoever may add events may add what they name
        """DO $$ DECLARE one record; BEGIN
  FOR one IN SELECT grantee, privilege_type FROM information_schema.role_table_grants
    WHERE table_schema = 'rackwright' AND table_name = 'event' AND grantee <> grantor
      AND privilege_type IN ('SELECT', 'INSERT')
  LOOP EXECUTE 'GRANT ' || one.privilege_type || ' ON rackwright.mention TO '
    || CASE one.grantee WHEN 'PUBLIC' THEN 'PUBLIC' ELSE quote_ident(one.grantee) END; END LOOP;
END $$""",
    ),
}


def upgrade() -> None:
    from rackwright.record.mentions import cover

    connection = op.get_bind()
    for statement in STATEMENTS[connection.dialect.name]:
        connection.exec_driver_sql(statement)
    cover(connection)
