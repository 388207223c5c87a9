"""How a record lies in a PostgreSQL database: the statements that make it, and what the catalog says of it then.

Schema `rackwright`: tables `event` and `head`, where triggers refuse UPDATE, DELETE, TRUNCATE and every gap; and
`mention`, which is derived from them. The comment on
the schema holds the number of the layout. Text is compared by code point (COLLATE "C"): an update of the system's
locales cannot make two act ids one (PostgreSQL manual, chapter 24.2).
"""

from __future__ import annotations

import sqlalchemy as sa

from rackwright.record import schema

__all__ = ["LAYOUT", "PARTS", "PATH", "SCHEMA", "STATEMENTS", "inside"]

SCHEMA = "rackwright"
LAYOUT = f"{SCHEMA} record, layout "  # the comment on the schema: what lies here, and its number

_REFUSE = "RAISE EXCEPTION 'the record is append-only' USING ERRCODE = 'integrity_constraint_violation';"
_BODIES = {
    "refuse": f"BEGIN {_REFUSE} END",
    "event_next": f"BEGIN IF NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM event) THEN {_REFUSE} END IF; "
    "RETURN NEW; END",
    "head_next": f"BEGIN IF NEW.size <= (SELECT coalesce(max(size), 0) FROM head) THEN {_REFUSE} END IF; "
    "RETURN NEW; END",
}
PATH = f"{SCHEMA}, pg_temp"  # named last, temporary tables shadow nothing
_TRIGGERS = {
    f"{table}_{name}": f"CREATE TRIGGER {table}_{name} BEFORE {what} ON {SCHEMA}.{table} FOR EACH {each} "
    f"EXECUTE FUNCTION {SCHEMA}.{function}()"
    for table in ("event", "head")
    for name, what, each, function in (
        ("keep", "DELETE OR UPDATE", "ROW", "refuse"),
        ("stay", "TRUNCATE", "STATEMENT", "refuse"),
        ("next", "INSERT", "ROW", f"{table}_next"),
    )
}
_TEXT = 'text COLLATE "C" NOT NULL'

#: the whole layout of the record, in order
STATEMENTS: tuple[str, ...] = (
    f"CREATE SCHEMA {SCHEMA}",
    f"COMMENT ON SCHEMA {SCHEMA} IS '{LAYOUT}{schema.VERSION}'",
    f"""CREATE TABLE {SCHEMA}.event (
  seq bigint PRIMARY KEY,
  type {_TEXT},
  v bigint NOT NULL,
  act_id {_TEXT},
  at {_TEXT},
  by {_TEXT},
  station {_TEXT},
  refs {_TEXT},
  known {_TEXT},
  corrects bigint REFERENCES {SCHEMA}.event (seq),
  body {_TEXT},
  leaf {_TEXT}
)""",
    f"""CREATE TABLE {SCHEMA}.head (
  size bigint PRIMARY KEY REFERENCES {SCHEMA}.event (seq),
  act_id {_TEXT} UNIQUE,
  root {_TEXT},
  peaks {_TEXT}
)""",
    f"""CREATE TABLE {SCHEMA}.mention (
  kind {_TEXT},
  name {_TEXT},
  seq bigint NOT NULL,
  PRIMARY KEY (kind, name, seq)
)""",
    *(f"CREATE FUNCTION {SCHEMA}.{name}() RETURNS trigger LANGUAGE plpgsql SET search_path = {PATH} AS '{text}'"
      for name, text in ((name, body.replace("'", "''")) for name, body in _BODIES.items())),
    *_TRIGGERS.values(),
)  # fmt: skip

_COLUMN = 'text COLLATE "C" not null'
#: what the catalog says of a record as it was made: name -> its definition
PARTS: dict[str, str] = {
    **{f"column {table.name}.{column.name}": _COLUMN if column.type.python_type is str else
       "bigint" if column.nullable else "bigint not null"
       for table in (schema.event, schema.head, schema.mention) for column in table.columns},
    "constraint event_pkey": "PRIMARY KEY (seq)",
    "constraint event_corrects_fkey": f"FOREIGN KEY (corrects) REFERENCES {SCHEMA}.event(seq)",
    "constraint head_pkey": "PRIMARY KEY (size)",
    "constraint head_size_fkey": f"FOREIGN KEY (size) REFERENCES {SCHEMA}.event(seq)",
    "constraint head_act_id_key": "UNIQUE (act_id)",
    "constraint mention_pkey": "PRIMARY KEY (kind, name, seq)",
    "table event": "plain", "table head": "plain", "table mention": "plain",
    "index event_pkey": "sound", "index head_pkey": "sound", "index head_act_id_key": "sound",
    "index mention_pkey": "sound",
    **{f"function {name}": f'{{"search_path={PATH}"}} {body}' for name, body in _BODIES.items()},
    **{f"trigger {name}": f"on {statement}" for name, statement in _TRIGGERS.items()},
}  # fmt: skip
_CATALOG = f"""
WITH mine AS (SELECT oid, relname, relkind, relrowsecurity, relhasrules, relpersistence FROM pg_class
              WHERE relnamespace = '{SCHEMA}'::regnamespace)
SELECT 'column ' || relname || '.' || attname, format_type(atttypid, atttypmod)
    || CASE WHEN attcollation = 0 THEN '' ELSE ' COLLATE ' || quote_ident(
         (SELECT collname FROM pg_collation WHERE oid = attcollation)) END
    || CASE WHEN attnotnull THEN ' not null' ELSE '' END
  FROM pg_attribute JOIN mine ON oid = attrelid WHERE attnum > 0 AND NOT attisdropped AND relkind <> 'i'
UNION ALL SELECT 'constraint ' || conname, pg_get_constraintdef(oid) FROM pg_constraint
  WHERE connamespace = '{SCHEMA}'::regnamespace AND contype <> 'n'
UNION ALL SELECT CASE relkind WHEN 'i' THEN 'index ' ELSE 'table ' END || relname,
    CASE WHEN relkind = 'i' THEN CASE WHEN (SELECT indisvalid AND indisready AND indisunique FROM pg_index
      WHERE indexrelid = mine.oid) THEN 'sound' ELSE 'not valid' END
    WHEN relkind = 'r' AND relpersistence = 'p' AND NOT relrowsecurity AND NOT relhasrules THEN 'plain' ELSE 'odd' END
  FROM mine
UNION ALL SELECT 'function ' || proname, coalesce(proconfig::text, '') || ' ' || prosrc FROM pg_proc
  WHERE pronamespace = '{SCHEMA}'::regnamespace
UNION ALL SELECT 'trigger ' || tgname,
    CASE tgenabled WHEN 'O' THEN 'on ' ELSE 'off ' END || pg_get_triggerdef(pg_trigger.oid)
  FROM pg_trigger JOIN mine ON mine.oid = tgrelid WHERE NOT tgisinternal
UNION ALL SELECT 'internal trigger ' || tgname, 'not on' FROM pg_trigger JOIN mine ON mine.oid = tgrelid
  WHERE tgisinternal AND tgenabled <> 'O'
"""


def inside(connection: sa.Connection) -> list[str]:
    connection.exec_driver_sql(
        "SET LOCAL search_path = pg_catalog"
    )  # so that every name comes with its schema
    there = {str(name): str(text) for name, text in connection.exec_driver_sql(_CATALOG)}
    bad = [f"the {name} is not as it was made" for name in sorted(PARTS.keys() | there.keys())
           if PARTS.get(name) != there.get(name)]  # fmt: skip
    for table, key in (("event", "seq"), ("head", "size")) if not bad else ():
        counts = []
        for by_table, by_index in (("on", "off"), ("off", "on")):  # the rows in the table, then by its index
            for scan, how in (
                ("seq", by_table),
                ("index", by_index),
                ("indexonly", by_index),
                ("bitmap", by_index),
            ):
                connection.exec_driver_sql(f"SET LOCAL enable_{scan}scan = {how}")
            asked = f"SELECT count(*), max({key}) FROM {SCHEMA}.{table} WHERE {key} > 0"
            counts.append(connection.exec_driver_sql(asked).one())
        if counts[0] != counts[1]:
            bad.append(f"PostgreSQL: the table {table} has {counts[0][0]} rows, its index {counts[1][0]}")
    return bad
