"""What `kitbill why` prints: needs that collide and the least change of each, or what each costs."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from decimal import Decimal
from typing import TYPE_CHECKING

from bom.measures import number_text
from bom.money import amount_text
from bom.summary import proof_text

if TYPE_CHECKING:
    from bom.why import Why
    from solver.collide import Change, Collision, Explanation
    from solver.margins import Margin, Margins, Slack

WIDTH = 80
PARTLY = "Interrupted: this is what was known by then."
OUT_OF_TIME = (
    "The time for all searches was up: this is what was known by then. "
    "--within-s gives them more, --need asks about one need alone; of one supplier "
    "(avoid_suppliers) a search is much quicker."
)


def why_text(found: Why) -> str:
    """Lines of at most 80 characters, with a newline at the end."""
    name, result = found.needs.job.name, found.result
    said = "no kit" if result.design is None else "what each need costs"
    heading = textwrap.wrap(f"{name}: {said}", WIDTH)
    lines = [*heading, "=" * max(map(len, heading)), ""]
    if found.explanation is not None:
        lines += _no_kit(found, found.explanation)
    elif found.margins is not None:
        lines += _margins(found, found.margins)
    else:
        lines += textwrap.wrap(_sentence(proof_text(result)), WIDTH)
        for reason in result.reasons:
            change = f" What helps: {reason.change}." if reason.change else ""
            lines += _texts([reason.message + change])
    if found.interrupted:
        lines += ["", *textwrap.wrap(OUT_OF_TIME if found.time_up else PARTLY, WIDTH)]
    return "\n".join(lines) + "\n"


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}."


# --- no kit ---------------------------------------------------------------------------------------


def _no_kit(found: Why, told: Explanation) -> list[str]:
    if told.nothing_helps or told.undecided:
        return textwrap.wrap(ending_of(told), WIDTH) + _texts(
            r.message for r in found.result.reasons
        )
    if not told.decided:
        return [*textwrap.wrap(among_text(told), WIDTH), *_texts(among_whats(found, told))]
    lines: list[str] = []
    for collision in told.collisions:
        lines += [*_wrapped("", heading_of(collision)), *_texts(collision.whats), ""]
        lines += ["The least change of each that alone gives an answer:"]
        lines += _texts(map(change_text, collision.changes))
        lines += _texts(f"{key}: {NOT_LOOKED_AT}" for key in not_looked_at(collision))
        lines += [""]
    text = ending_of(told)
    return lines + textwrap.wrap(text, WIDTH) if text else lines[:-1]


NOT_LOOKED_AT = "not looked at any more"


def not_looked_at(collision: Collision) -> tuple[str, ...]:
    """Needs of a collision whose least change is not known, since all was ended before."""
    return collision.keys[len(collision.changes) :]


def among_text(told: Explanation) -> str:
    """What is said where it ended before needs were found that collide and of which all must."""
    if not told.among:
        return (
            "That there is no kit is proven. Which needs collide was not found out; at first "
            "sight, as kitbill pick tells it:"
        )
    return (
        "That there is no kit is proven, and that these needs leave none between them, whatever "
        "becomes of the others. Whether some of them can be spared was not found out:"
    )


def among_whats(found: Why, told: Explanation) -> list[str]:
    """The needs that collide as far as is known; without such, the reasons of a pick."""
    if told.among:
        return [what for _, what in told.among]
    return [
        r.message + (f" What helps: {r.change}." if r.change else "")
        for r in found.result.reasons
    ]


def heading_of(collision: Collision) -> str:
    """What is said over needs that collide."""
    if len(collision.keys) == 1:
        return "No kit meets this need, even with all others set aside:"
    sure = (
        "without any one of them there is one"
        if collision.minimal
        else "whether all of them are needed for that was not decided"
    )
    return f"These needs collide: they leave no kit, whatever becomes of the others; {sure}:"


def change_text(change: Change) -> str:
    """The least change of a need in words: what is enough, and what is not."""
    if change.helps is None:
        return f"{change.key}: whether a change of it helps was not decided in the time given"
    if not change.helps:
        return f"{change.key}: no change of this alone gives an answer"
    if change.enough is None:
        return f"{change.key}: a change helps; how much was not decided in the time given"
    if change.least:
        return f"{change.text}; {_value(change)} is not enough" if change.step else change.text
    return f"{change.text} is enough; {_value(change)} is not, and between them was not decided"


def _value(change: Change) -> str:
    """The value that is not enough."""
    return change.lacking.rpartition(" -> ")[2]


def ending_of(told: Explanation) -> str:
    """What is said after all that collides; empty where a change of one need helps."""
    if told.undecided:
        return (
            "Whether there is a kit with every limit set aside was not decided in the time given; "
            "--limit-s gives each search more."
        )
    if told.nothing_helps:
        return (
            "Even with every need set aside that can be there is no kit in this catalog: no "
            "change of the needs helps, alone or together."
        )
    if any(c.helps is not False for x in told.collisions for c in x.changes) or not told.done:
        return ""
    text = "No single change helps"
    if len(told.collisions) > 1:
        text += ": of each of these sets something must change"
    if told.together:
        named = "; ".join(what for _, what in told.together)
        text += (
            f". With these set aside together there is a kit, with fewer of them none: {named}"
        )
    return text + "."


# --- a kit ----------------------------------------------------------------------------------------


def _margins(found: Why, told: Margins) -> list[str]:
    currency, total = told.before.currency, told.before.total
    assert total is not None
    lines = textwrap.wrap(f"{amount_text(total, currency)}; {proof_text(told.before)}", WIDTH)
    saves = [m for m in told.margins if m.easier and m.difference]
    costs = [m for m in told.margins if not m.easier and m.difference != Decimal(0)]
    rest = [m for m in told.margins if m not in saves and m not in costs]
    for title, some in (
        ("What easing saves", saves),
        ("What tightening costs", costs),
        ("What changes nothing", rest),
    ):
        if some:
            lines += ["", title, *_texts(margin_text(m, currency) for m in some)]
    binding = [s for s in told.slacks if not s.left]
    loose = [s for s in told.slacks if s.left]
    if binding:
        lines += ["", "Limits that bind: a step less would need another kit"]
        lines += _texts(s.what for s in binding)
    if loose:
        lines += ["", "Left over, with the kit as it stands"]
        lines += _texts(slack_text(s) for s in loose)
    if told.open:
        lines += ["", f"Changes {NOT_LOOKED_AT}"]
        lines += _texts(both_ways(told.open))
    return lines


def both_ways(changes: Iterable[str]) -> list[str]:
    """Changes of the same need in one line: `energy.autonomy_days 2 -> 1.5 or 2.5`."""
    found: dict[str, list[str]] = {}
    for change in changes:
        before, _, after = change.rpartition(" -> ")
        found.setdefault(before, []).append(after)
    return [f"{before} -> {' or '.join(after)}" for before, after in found.items()]


def margin_text(margin: Margin, currency: str) -> str:
    """A change with what it saves or costs."""
    if margin.difference is None or margin.total is None:
        none = "no kit" if margin.status == "infeasible" else "not decided in the time given"
        return f"{margin.change}: {none}"
    total = amount_text(margin.total, currency)
    sure = "" if margin.proven else ", not proven"
    if not margin.difference:
        return f"{margin.change}: {total}, the same{sure}"
    amount = amount_text(abs(margin.difference), currency)
    word = "saved" if margin.difference < 0 else "more"
    return f"{margin.change}: {amount} {word}, {total}{sure}"


def slack_text(slack: Slack) -> str:
    """How much of a limit is left over."""
    points = "point" if slack.left == 1 else "points"
    unit = points if slack.unit == "%" else slack.unit
    end = ", as far as it goes at all" if slack.most else ""
    return f"{slack.key}: {number_text(slack.left)} {unit}{end}"


def _texts(texts: Iterable[str]) -> list[str]:
    return [line for text in texts for line in _wrapped("  - ", text)]


def _wrapped(start: str, text: str) -> list[str]:
    indent = " " * len(start)
    return textwrap.wrap(text, WIDTH, initial_indent=start, subsequent_indent=indent)
