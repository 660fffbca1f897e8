"""What is typed after `--set` and `--frontier`, and what stands in a file of alternatives."""

import datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bom.frontiers import frontier_axis
from bom.needs_toml import read_toml
from bom.vary_values import alternatives_of, axes_of, combinations, value_text
from solver.errors import BadInput
from tests.cli.small_shop import CABIN

MORE = """
[[charging]]
kind = "shore"
max_w = 1000
hours_per_day = 2

[[load]]
name = "Pump no. 2"
supply = "dc"
watts = 30
hours_per_day = 1
place = "room"

[[load]]
name = "no. 2"
supply = "dc"
watts = 5
hours_per_day = 1
place = "room"
"""


@pytest.fixture(scope="module")
def stated():
    """The cabin's needs as they stand, with a way in and names that hold points."""
    return read_toml("cabin.toml", (CABIN + MORE).encode())


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("energy.autonomy_days=1,2.5", [1, Decimal("2.5")]),
        ("energy.autonomy_days=1..2 step 0.5", [1, Decimal("1.5"), 2]),
        ("energy.autonomy_days=1..3", [1, 2, 3]),
        ("energy.autonomy_days=0.5, 2..3", [Decimal("0.5"), 2, 3]),
        ("rules.voltages=12,24", [[12], [24]]),
        ("rules.voltages=[12,24],48", [[12, 24], [48]]),
        ("rules.chemistries=lfp,agm", [["lfp"], ["agm"]]),
        ("rules.chemistries=[lfp,agm],lfp", [["lfp", "agm"], ["lfp"]]),
        ('rules.chemistries=["lfp", "agm"]', [["lfp", "agm"]]),
        ("rules.practice=iso,nec", ["iso", "nec"]),
        ("rules.drop_pct.load=2,5", [2, 5]),
        ('place."roof".length_mm=4.2 m,"14 ft 3 in"', ["4.2 m", "14 ft 3 in"]),
        ("order.need_by=2027-03-01", [datetime.date(2027, 3, 1)]),
        ("load.Lamps.together=true,false", [True, False]),
        ("site.months=[5,6],[1]", [[5, 6], [1]]),
    ],
)
def test_values_are_read_as_in_the_needs_file(stated, text, values):
    """Numbers stay exact, texts need no quotes, a list's single value stands for the list."""
    (axis,) = axes_of([text], stated)
    assert list(axis.values) == values
    assert [type(v) for v in axis.values] == [type(v) for v in values]


@pytest.mark.parametrize(
    ("key", "table", "row", "keys"),
    [
        ('load."Kettle".watts', "load", 2, ("watts",)),
        ("load.Kettle.watts", "load", 2, ("watts",)),
        ("load.'Kettle'.watts", "load", 2, ("watts",)),
        ("load.Pump no. 2.watts", "load", 3, ("watts",)),
        ("load.no. 2.watts", "load", 4, ("watts",)),
        ("charging.shore.hours_per_day", "charging", 0, ("hours_per_day",)),
        ('leg."roof>locker".length_m', "leg", 0, ("length_m",)),
        ("leg.roof > locker.length_m", "leg", 0, ("length_m",)),
        ("rules.drop_pct.load", "rules", None, ("drop_pct", "load")),
    ],
)
def test_a_dotted_key_finds_its_row(stated, key, table, row, keys):
    """With quotes, without those that the shell took, and where a name holds points."""
    (axis,) = axes_of([f"{key}=1"], stated)
    assert (axis.path.table, axis.path.row, axis.path.keys) == (table, row, keys)


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("energy.autonomy_day=1", 'did you mean "autonomy_days"'),
        ("enrgy.autonomy_days=1", 'did you mean "energy"'),
        ("autonomy_days=1", "did you mean energy.autonomy_days?"),
        ("watts=1", 'did you mean load."…".watts?'),
        ("quite_else=1", "tables: job, site"),
        ("energy.autonomy_days", "KEY=VALUE"),
        ("energy.autonomy_days=", "found nothing"),
        ("energy.autonomy_days=1,,2", "found nothing between two commas"),
        ("energy.autonomy_days=1,1.0", "twice"),
        ("energy.autonomy_days=3..1", "smaller end"),
        ("energy.autonomy_days=1..2 step 0.3", "does not end at 2"),
        ("energy.autonomy_days=1..2 step 0", "above 0"),
        ("energy.autonomy_days=0..1 step 0.0000001", "at most 100000"),
        ("load.Ketle.watts=1", 'did you mean "Kettle"'),
        ("load.Kettle.wats=1", 'did you mean "watts"'),
        ("rules.drop_pct.lod=1", 'did you mean "load"'),
        ("energy.autonomy_days.more=1", "nothing stands in it"),
    ],
)
def test_a_slip_is_named_with_what_is_meant(stated, text, named):
    """The option, what was found and the nearest right name stand in the message."""
    with pytest.raises(BadInput) as wrong:
        axes_of([text], stated)
    assert named in str(wrong.value)
    assert str(wrong.value).startswith("--set ")
    assert "?." not in str(wrong.value)


@given(
    key=st.sampled_from(
        (
            "energy.autonomy_days",
            "load.Kettle.watts",
            "rules.voltages",
            "rules.drop_pct",
            "x",
            "",
        )
    ),
    rest=st.text(alphabet="=,.\"'[]{}12 abc\\\n\x00ü-", max_size=12),
)
def test_whatever_is_typed_is_read_or_refused(key, rest):
    """No slip of the pen ends in a traceback, and what is read can be put into the needs."""
    needs = read_toml("cabin.toml", (CABIN + MORE).encode())
    try:
        axes = axes_of([f"{key}={rest}"], needs)
    except BadInput:
        return
    for one in combinations(axes, ()):
        assert one.shown()
        one.stated(needs)


def test_a_table_that_is_none_is_left_for_the_reader_to_tell():
    """`energy = 3` is a fault of the file, and told as one."""
    needs = read_toml("bad.toml", b"energy = 3\nrules = { drop_pct = 3 }\n")
    axes = axes_of(["energy.autonomy_days=1", "rules.drop_pct.load=2"], needs)
    (one,) = combinations(axes, ())
    assert one.stated(needs).tables == needs.tables


def test_every_slip_is_told_at_once(stated):
    """Two wrong options and a key that stands twice are three problems."""
    with pytest.raises(BadInput) as wrong:
        axes_of(["a=1", "rules.hz=50", "rules.hz=60", "b=2"], stated)
    assert len(wrong.value.problems) == 3


def test_combinations_are_every_one_and_the_last_key_goes_fastest(stated):
    """A grid of two by three, with the value put where it belongs and nothing else changed."""
    axes = axes_of(["energy.autonomy_days=1,2", "load.Kettle.watts=700..900 step 100"], stated)
    found = combinations(axes, ())
    assert [c.shown() for c in found][:4] == [
        "autonomy_days 1, Kettle.watts 700",
        "autonomy_days 1, Kettle.watts 800",
        "autonomy_days 1, Kettle.watts 900",
        "autonomy_days 2, Kettle.watts 700",
    ]
    assert len(found) == 6
    changed = found[-1].stated(stated).tables
    assert changed["energy"]["autonomy_days"] == 2
    assert [row["watts"] for row in changed["load"]] == [20, 45, 900, 30, 5]
    assert stated.tables["load"][2]["watts"] == 900
    assert {k: v for k, v in changed.items() if k not in ("energy", "load")} == {
        k: v for k, v in stated.tables.items() if k not in ("energy", "load")
    }


def test_a_key_in_no_table_yet_is_put_there(stated):
    """`order` does not stand in the cabin's needs."""
    (axis,) = axes_of(["order.rates.USD=0.9"], stated)
    (one,) = combinations([axis], ())
    assert one.stated(stated).tables["order"] == {"rates": {"USD": Decimal("0.9")}}


def test_alternatives_have_names_and_either_way_of_writing_a_key(stated, tmp_path):
    """A dotted key is written whole in quotes, or as TOML nests it; one may change nothing."""
    file = tmp_path / "ways.toml"
    file.write_text(
        '["as it is"]\n'
        '["long and heavy"]\n"energy.autonomy_days" = 3\n"rules.chemistries" = "agm"\n'
        '["less tea"]\nload."Kettle".hours_per_day = 0.1\nenergy.autonomy_days = 2\n',
        encoding="utf-8",
    )
    found = alternatives_of(file, stated)
    assert [a.name for a in found] == ["as it is", "long and heavy", "less tea"]
    assert [[(p.keys[-1], v) for p, v in a.values] for a in found] == [
        [],
        [("autonomy_days", 3), ("chemistries", ["agm"])],
        [("hours_per_day", Decimal("0.1")), ("autonomy_days", 2)],
    ]
    axes = axes_of(["rules.voltages=12,24"], stated)
    assert len(combinations(axes, found)) == 6
    with pytest.raises(BadInput, match="states it too"):
        combinations(axes_of(["energy.autonomy_days=1,2"], stated), found)


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("autonomy = 1\n", "a table"),
        ('["x"]\n"energy.days" = 1\n', "unknown key"),
        ("", "no alternative"),
        ('["x"]\nload.Kettel.watts = 3\n', 'did you mean "Kettle"'),
        ("[x\n", "line 1"),
    ],
)
def test_a_wrong_file_of_alternatives_is_named(stated, tmp_path, text, named):
    """File, table and key stand in the message."""
    file = tmp_path / "ways.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput) as wrong:
        alternatives_of(file, stated)
    assert "ways.toml" in str(wrong.value)
    assert named in str(wrong.value)


def test_a_frontier_goes_along_needs_of_a_known_direction(stated):
    """Its step is the usual one of the unit unless another is stated."""
    axis, grows = frontier_axis("energy.autonomy_days=1..1.05", stated)
    assert [value_text(v) for v in axis.values] == ["1", "1.01", "1.02", "1.03", "1.04", "1.05"]
    assert grows
    axis, grows = frontier_axis("place.roof.length_mm=1000..1020", stated)
    assert list(axis.values) == [1000, 1010, 1020]
    assert not grows


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("leg.roof>locker.length_m=1..3", "may rise and fall"),
        ("energy.autonomy_days=1,2", "a range such as"),
        ("energy.autonomy_days=one..2", 'found "one"'),
        ("energy.autonomy_days=nan..2", 'found "nan"'),
    ],
)
def test_a_frontier_that_cannot_be_is_refused(stated, text, named):
    """What is no range, or no need that only ever takes kits away."""
    with pytest.raises(BadInput) as wrong:
        frontier_axis(text, stated)
    assert named in str(wrong.value)
