"""The tables of the search. Only on SQLite; elsewhere the records themselves are asked."""

from django.db import migrations

FIND = (
    "CREATE VIRTUAL TABLE records_find USING fts5("
    "whole, name, beside, build UNINDEXED, tokenize = \"unicode61 remove_diacritics 2 tokenchars '/.,+-'\", prefix = '2 3')"
)
WORD = "CREATE TABLE records_find_word (word text PRIMARY KEY, plain bool NOT NULL, size integer NOT NULL) WITHOUT ROWID"
BY_SIZE = "CREATE INDEX records_find_word_by_size ON records_find_word (plain, size)"


def make(apps, schema_editor):
    if schema_editor.connection.vendor == "sqlite":
        for statement in (FIND, WORD, BY_SIZE):
            schema_editor.execute(statement)


def drop(apps, schema_editor):
    if schema_editor.connection.vendor == "sqlite":
        for table in ("records_find", "records_find_word"):
            schema_editor.execute(f"DROP TABLE {table}")


class Migration(migrations.Migration):
    dependencies = [("records", "0001_initial")]

    operations = [migrations.RunPython(make, drop)]
