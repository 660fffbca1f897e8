"""Whatever stands in a needs file, it is read or refused in words; nothing else happens."""

import copy
from datetime import date, datetime, time
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from bom.needs_file import needs_of, read_stated
from bom.needs_keys import TABLES
from bom.stated import Stated
from solver.errors import BadNeeds
from solver.needs import Needs
from tests.bom.small_needs import EXAMPLES, STOCK

EXAMPLE_TABLES = [
    read_stated(EXAMPLES / f"{name}.toml").tables
    for name in (
        "star-gazing-hut",
        "honey-house-trailer",
        "boatyard-office",
        "seed-library-cart",
    )
]
KEYS = sorted({name for table in TABLES for name in table.names()} | {t.name for t in TABLES})

plain = st.one_of(
    st.booleans(),
    st.integers(-(10**30), 10**30),
    st.decimals(allow_nan=True, allow_infinity=True),
    st.text(max_size=12),
    st.sampled_from(["roof", "14 ft 3 in", "4 kg", "dc", "lfp", "EUR", "panel-100", "panel"]),
    st.dates(date(1, 1, 1)),
    st.datetimes(datetime(1900, 1, 1)),  # noqa: DTZ001  TOML knows times without a zone
    st.just(time(3)),
)
values = st.recursive(
    plain,
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.sampled_from(KEYS) | st.text(max_size=8), inner, max_size=4)
    ),
    max_leaves=8,
)


def spots(value, path=()):
    """Every place in nested tables and lists."""
    yield path
    if isinstance(value, dict | list):
        for key in value if isinstance(value, dict) else range(len(value)):
            yield from spots(value[key], (*path, key))


@st.composite
def spoilt_tables(draw):
    """An example with a few of its values replaced, taken out or added."""
    tables = copy.deepcopy(draw(st.sampled_from(EXAMPLE_TABLES)))
    for _ in range(draw(st.integers(1, 4))):
        path = draw(st.sampled_from([p for p in spots(tables) if p]))
        inside = tables
        for key in path[:-1]:
            inside = inside[key]
        what = draw(st.sampled_from(["replace", "take out", "add"]))
        if what == "replace":
            inside[path[-1]] = draw(values)
        elif what == "take out":
            del inside[path[-1]]
        elif isinstance(inside, dict):
            inside[draw(st.sampled_from(KEYS))] = draw(values)
        else:
            inside.append(draw(values))
    return tables


def judged(stated):
    """The needs, or what is wrong."""
    try:
        return needs_of(stated, STOCK)
    except BadNeeds as refused:
        return refused.problems


@settings(deadline=None, max_examples=300)
@given(tables=spoilt_tables(), book=st.booleans())
def test_any_tables_are_read_or_refused_in_words(tables, book):
    """No value of any kind at any key ends in another error, and each fault is one line."""
    before = copy.deepcopy(tables)
    outcome = judged(Stated(file="needs.toml", tables=tables, book=book))
    assert repr(tables) == repr(before)
    if isinstance(outcome, Needs):
        assert len(outcome.sun_hours) == 12
        return
    assert outcome
    for line in outcome:
        assert line.startswith("needs.toml")
        assert line.isprintable(), line


def test_decimals_are_what_a_file_holds():
    """The tables that are spoilt are those a file gives: exact numbers, not floats."""
    assert isinstance(EXAMPLE_TABLES[0]["site"]["latitude_deg"], Decimal)
