"""The room that knows files and people: commands, needs files, results, workbooks."""

VERSION = "0.1.0"
