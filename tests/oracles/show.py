"""A regimen of the tests as lines of text, for the message of a disagreement."""

from __future__ import annotations

from datetime import date

from dermalint.regimen.model import ApplyStep, Contact, Days, Regimen, Step, WaitStep
from dermalint.spans import Place
from dermalint_grammar.nodes import BILLION
from dermalint_grammar.record import Record, fields_of


def show(regimen: Regimen) -> str:
    """Everything a regimen states, short."""
    lines = [f"starts {regimen.starts}" if regimen.starts else "no start"]
    lines += [f"product {_short(product)}" for product in regimen.products.values()]
    for phase in regimen.phases:
        lines.append(f"phase for {phase.days} days, cycle {phase.cycle}")
        for routine in phase.routines:
            when = routine.dates or routine.days
            steps = "; ".join(_step(step) for step in routine.steps)
            more = f" at {routine.at}" * (routine.at is not None) + f" only if {routine.only_if}" * bool(routine.only_if)
            lines.append(f"  {routine.slot.name} {_short(when)}{more}: {steps}")
    for name in ("person", "clock", "events", "outdoors", "history"):
        if text := _short(getattr(regimen, name)):
            lines.append(f"{name}: {text}")
    lines.append("history is known" if regimen.history is not None else "no history")
    return "\n".join(lines)


def _step(step: Step) -> str:
    return f"wait {step.minutes}" if isinstance(step, WaitStep) else _short(step)


def _short(value: object) -> str:
    """What differs from the default, without places."""
    if isinstance(value, Place) or value is None or value == () or value is False:
        return ""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return "[" + ", ".join(_short(part) for part in value) + "]"
    if isinstance(value, int) and value >= BILLION // 100:
        return str(value / BILLION)
    if not isinstance(value, Record):
        return str(value)
    if isinstance(value, Contact):
        return f"{value.kind} {value.minutes or ''}".strip()
    parts = []
    for name in fields_of(value):
        text = _short(getattr(value, name))
        if text and text not in ("left-on", "plain", "{}"):
            parts.append(text if name in ("name", "key", "products", "event") else f"{name} {text}")
    return ", ".join(parts) or ("every day" if isinstance(value, Days) else "")


__all__ = ["ApplyStep", "show"]
