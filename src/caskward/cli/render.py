"""A plan or a refusal as text for a terminal: the answer first, then the work in its order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from caskward.cli.bars import SOLID, TICK, mark_under, soft_bar
from caskward.cli.layout import GAP, clean, table, wrapped
from caskward.cli.terminal import Style, Terminal
from caskward.services import AccountLine, Plan, Refusal, ShoppingLine, StageCard, words
from caskward.units import show

_INDENT = "   "
_BAR_OF_ANSWER, _BAR_OF_ACCOUNT, _LEAST_BAR = 64, 36, 12
_COLOUR_OF: dict[str, Style] = {"in": "grain", "lost": "lost", "kept": "oak", "kept/feints": "feints"}


def plan_as_text(plan: Plan, to: Terminal, brief: bool = False) -> str:
    """The whole plan; `brief` leaves out the stages, the alcohol account and the hours."""
    parts: list[Iterator[str]] = [_title(plan, to), _answer(plan, to), _shopping(plan, to)]
    if not brief:
        parts += [_stages(plan, to), _account(plan, to), _effort(plan, to)]
    parts += [_binding(plan, to), _foot(plan, to)]
    return "\n\n".join("\n".join(part) for part in parts)


_WORTH_SAYING = 0.1
"""Share of a limit used from which it is listed."""


def refusal_as_text(refusal: Refusal, to: Terminal) -> str:
    """What binds, and every solved change with its numbers."""
    lines = [to.paint(_named(refusal), "bold"), ""]
    lines += [to.paint(line, "caution") for line in wrapped("This cannot be met as it stands.", to.width)]
    lines += [*wrapped(refusal.reason, to.width), ""]
    if refusal.changes:
        lines += [to.paint("What would make it fit, each worked through to the cask", "bold")]
        for change in refusal.changes:
            lines += wrapped(words.change(change, refusal.show), to.width, " • ", _INDENT)
    else:
        lines += wrapped(
            "No change that was tried makes it fit: look to the vessel or the strength named here.", to.width
        )
    return "\n".join([*lines, "", *_drawn(refusal, to)])


def _named(of: Plan | Refusal) -> str:
    return clean(" · ".join(part for part in (of.name, of.place) if part))


def _drawn(of: Plan | Refusal, to: Terminal) -> list[str]:
    return [to.paint(line, "dim") for line in wrapped(words.drawn(of), to.width)]


# The parts of a plan, top to bottom ------------------------------------------------------------------


def _title(plan: Plan, to: Terminal) -> Iterator[str]:
    named = _named(plan)
    mark = "Every figure is invented." if plan.invented else ""
    space = to.width - len(named) - len(mark)
    if mark and space >= 2:
        yield to.paint(named, "bold") + " " * space + to.paint(mark, "caution")
        return
    yield from (to.paint(line, "bold") for line in wrapped(named, to.width))
    if mark:
        yield to.paint(mark, "caution")


def _answer(plan: Plan, to: Terminal) -> Iterator[str]:
    yield from (to.paint(line, "bold") for line in wrapped(words.answer(plan), to.width))
    yield from wrapped(words.sureness(plan), to.width)
    yield ""
    top, cells = max(plan.fill_l.high, plan.wanted_l), min(to.width - 2 * len(_INDENT), _BAR_OF_ANSWER)
    yield _INDENT + to.paint(soft_bar(plan.fill_l, top, cells), "spirit")
    wanted = f"{words.figure(plan.wanted_l, 'L', plan.show)} wanted"
    yield _INDENT + mark_under(plan.wanted_l, top, cells, wanted)
    key = f"{SOLID} 9 in 10 reach this   ▓▒░ 8 in 10 end in here   {TICK} the middle"
    yield from (to.paint(line, "dim") for line in wrapped(key, to.width, _INDENT))


def _shopping(plan: Plan, to: Terminal) -> Iterator[str]:
    yield to.paint("Shopping", "bold")
    priced = any(line.cost is not None for line in plan.shopping)
    stocked = any(line.in_stock > 0 for line in plan.shopping)
    head = ["", "to buy", *(["in store"] if stocked else []), *(["cost"] if priced else [])]
    rows = [_shopping_row(line, plan, stocked, priced) for line in plan.shopping]
    if plan.materials_cost is not None:
        whole = (
            "in all" if all(line.cost is not None for line in plan.shopping) else "in all, as far as priced"
        )
        rows.append([whole, "", *([""] if stocked else []), show.money(plan.materials_cost, plan.currency)])
    first, *others = table([head, *rows], "l" + "r" * (len(head) - 1), to.width)
    yield to.paint(first, "dim")
    yield from others


def _shopping_row(line: ShoppingLine, plan: Plan, stocked: bool, priced: bool) -> list[str]:
    row = [_capital(line.name), words.buy(line, plan.show)]
    if stocked:
        row.append(words.figure(line.in_stock, line.unit, plan.show) if line.in_stock > 0 else "")
    if priced:
        row.append("" if line.cost is None else show.money(line.cost, plan.currency))
    return row


def _stages(plan: Plan, to: Terminal) -> Iterator[str]:
    for number, stage in enumerate(plan.stages, 1):
        if number > 1:
            yield ""
        yield to.paint(f"{number:>2} {stage.title}", "bold")
        yield from _stage(stage, plan, to)


def _stage(stage: StageCard, plan: Plan, to: Terminal) -> Iterator[str]:
    figures = [words.target(target, plan.show) for target in stage.targets]
    yield from table(
        [(target.words,) for target in stage.targets],
        "l",
        to.width,
        tails=[
            to.paint(figure, "bold") if target.kind == "set" else figure
            for target, figure in zip(stage.targets, figures, strict=True)
        ],
        tail_width=max(len(figure) for figure in figures),
    )
    for note in stage.notes:
        yield from wrapped(note, to.width, _INDENT)
    for caution in stage.cautions:
        lines = wrapped(caution, to.width, f"{_INDENT}Caution  ", f"{_INDENT}         ")
        yield from (to.paint(line, "caution") for line in lines)


def _account(plan: Plan, to: Terminal) -> Iterator[str]:
    yield to.paint("Where the alcohol goes, mL of pure alcohol on average", "bold")
    groups = [
        (heading, tuple(line for line in plan.account if line.side == side))
        for side, heading in (("in", "Could come in"), ("lost", "Lost on the way"), ("kept", "Kept"))
    ]
    sums = [sum(line.millilitres for line in lines) for _, lines in groups]
    rows = [
        row
        for (heading, lines), in_all in zip(groups, sums, strict=True)
        for row in ((heading, str(in_all)), *(_account_row(line) for line in lines))
    ]
    longest = max(len(name) for name, _ in rows) + len(str(sums[0])) + len(_INDENT) + 2 * GAP
    cells = min(to.width - longest, _BAR_OF_ACCOUNT)
    tails = [tail for _, lines in groups for tail in ("", *_account_bars(lines, plan, cells, to))]
    yield from table(rows, "lr", to.width, tails=tails, tail_width=max(cells, 0))
    yield from wrapped(f"{sums[0]} mL in = {sums[1]} mL lost + {sums[2]} mL kept", to.width, _INDENT)


def _account_row(line: AccountLine) -> tuple[str, str]:
    return f"  {_capital(line.words)}", str(line.millilitres)


def _account_bars(lines: Sequence[AccountLine], plan: Plan, cells: int, to: Terminal) -> list[str]:
    """A bar for each line on one scale for the whole account; none where there is too little room."""
    if cells < _LEAST_BAR:
        return [""] * len(lines)
    top = max(line.band_lpa.high for line in plan.account)
    colours = [_COLOUR_OF.get(line.key) or _COLOUR_OF[line.side] for line in lines]
    return [to.paint(soft_bar(line.band_lpa, top, cells), c) for line, c in zip(lines, colours, strict=True)]


def _effort(plan: Plan, to: Terminal) -> Iterator[str]:
    yield to.paint("Energy, water, hours", "bold")
    yield from table(words.effort(plan), "ll", to.width)


def _binding(plan: Plan, to: Terminal) -> Iterator[str]:
    yield to.paint("What binds, the tightest first", "bold")
    for limit in plan.limits:
        if limit.share >= _WORTH_SAYING or limit.kind == "tub":
            used = f", {show.share(round(limit.share, 2))} used" if limit.unit in ("L", "kg", "times") else ""
            said = _capital(words.limit(limit, plan.show)) + ("" if limit.kind == "still minimum" else used)
            yield from wrapped(said, to.width, _INDENT, _INDENT * 2)


def _foot(plan: Plan, to: Terminal) -> Iterator[str]:
    yield from _drawn(plan, to)
    if plan.learned:
        yield from (to.paint(line, "dim") for line in wrapped(plan.learned, to.width))
    for law in plan.law:
        yield from (to.paint(line, "caution") for line in wrapped(law, to.width))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
