"""Reading the parsed file of rating factors: every fault said in one message."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from typing import Any

from handling_db.rigging.factors import (
    Allowance,
    AllowanceRow,
    FactorDataError,
    Factors,
    Family,
    HeatRule,
    Hitch,
    LegBand,
    LegRule,
    OtherChart,
    Step,
)


def factors_from(data: Mapping[str, Any]) -> Factors:
    """Build the factors from the parsed reference file.

    Parameters
    ----------
    data : mapping
        As the YAML reader hands it over; numbers may still be text.

    Raises
    ------
    FactorDataError
        Every fault in the file, one sentence each, in one message.
    """
    faults: list[str] = []
    rules = [_leg_rule(entry, faults) for entry in data.get("leg rules", [])]
    families = [_family(entry, faults) for entry in data.get("families", [])]
    allowances = [_allowance(entry, faults) for entry in data.get("dynamic allowances", [])]
    heat_rules = [_heat_rule(entry, faults) for entry in data.get("heat rules", [])]
    hitches = [
        Hitch(factor=_number(entry, "factor", str(entry.get("id")), faults), **_head(entry, faults))
        for entry in data.get("hitches", [])
    ]
    if faults:
        raise FactorDataError("rating factors: " + " ".join(faults))
    return Factors(tuple(rules), tuple(families), tuple(allowances), tuple(heat_rules), tuple(hitches))


def _number(
    entry: Mapping[str, Any], key: str, where: str, faults: list[str], default: float | None = None
) -> float:
    value = entry.get(key, default)
    try:
        number = float(str(value))
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        faults.append(f"{where}: {key} must be a number, not {value!r}.")
        return math.nan
    return number


def _text(entry: Mapping[str, Any], key: str, where: str, faults: list[str]) -> str:
    value = entry.get(key)
    if not isinstance(value, str) or not value.strip():
        faults.append(f"{where}: {key} is missing; every figure needs it.")
        return ""
    return value


def _head(entry: Mapping[str, Any], faults: list[str]) -> dict[str, str]:
    where = str(entry.get("id", "an entry without id"))
    head = {key: _text(entry, key, where, faults) for key in ("id", "name", "verified")}
    source, edition = _text(entry, "source", where, faults), _text(entry, "edition", where, faults)
    return {**head, "source": f"{source}, {edition}"}


def _leg_rule(entry: Mapping[str, Any], faults: list[str]) -> LegRule:
    head = _head(entry, faults)
    legs = {}
    for count, bands in dict(entry.get("legs", {})).items():
        legs[int(str(count))] = tuple(
            LegBand(
                _number(band, "to degrees from vertical", head["id"], faults),
                _number(band, "factor", head["id"], faults),
                _yes(band, "times cosine"),
                _number(band, "from degrees from vertical", head["id"], faults, 0.0),
            )
            for band in bands
        )
    return LegRule(
        legs=legs, rates_tags=_yes(entry, "rates tags"), even_only=_yes(entry, "even legs only"), **head
    )


def _yes(entry: Mapping[str, Any], key: str) -> bool:
    return str(entry.get(key, "no")).lower() in ("yes", "true")


def _family(entry: Mapping[str, Any], faults: list[str]) -> Family:
    head = _head(entry, faults)
    where = head["id"]
    sizes = {
        str(size): (_number(row, "straight kg", where, faults), _number(row, "angled kg", where, faults))
        for size, row in dict(entry.get("sizes", {})).items()
    }
    steps = _steps(entry, where, faults)
    shouldered = str(entry.get("shouldered", "does not apply")).lower()
    return Family(
        kind=_text(entry, "kind", where, faults),
        shouldered={"yes": True, "true": True, "no": False, "false": False}.get(shouldered),
        in_plane_only=_yes(entry, "in plane only"),
        steps=steps,
        sizes=sizes,
        caution=str(entry.get("caution", "")),
        other_charts=tuple(
            OtherChart(
                _text(chart, "source", where, faults),
                _text(chart, "verified", where, faults),
                _steps(chart, where, faults),
            )
            for chart in entry.get("other charts", [])
        ),
        **head,
    )


def _steps(entry: Mapping[str, Any], where: str, faults: list[str]) -> tuple[Step, ...]:
    steps = tuple(
        Step(_number(step, "to degrees", where, faults), _number(step, "factor", where, faults))
        for step in entry.get("steps", [])
    )
    if not steps or [s.to_degrees for s in steps] != sorted(s.to_degrees for s in steps):
        faults.append(f"{where}: steps must be given, smallest first.")
    if any(wide.factor > near.factor for near, wide in itertools.pairwise(steps)):
        faults.append(f"{where}: a factor that rises with the angle or the heat; read the source again.")
    return steps


def _heat_rule(entry: Mapping[str, Any], faults: list[str]) -> HeatRule:
    head = _head(entry, faults)
    start = None if entry.get("from degrees") is None else _number(entry, "from degrees", head["id"], faults)
    return HeatRule(
        unit=_text(entry, "unit", head["id"], faults),
        from_degrees=start,
        steps=_steps(entry, head["id"], faults),
        **head,
    )


def _allowance(entry: Mapping[str, Any], faults: list[str]) -> Allowance:
    head = _head(entry, faults)
    where = head["id"]
    rows = tuple(
        AllowanceRow(
            _number(row, "from", where, faults),
            None if row.get("to") is None else _number(row, "to", where, faults),
            _number(row, "constant", where, faults),
            _number(row, "root", where, faults, 0.0),
            _number(row, "reference", where, faults, 1.0),
            _number(row, "slope", where, faults, 0.0),
            _number(row, "inverse", where, faults, 0.0),
        )
        for row in entry.get("rows", [])
    )
    end = str(entry.get("row end", "below"))
    if end not in ("below", "with"):
        faults.append(f"{where}: row end must be 'below' or 'with', not {end!r}.")
    return Allowance(
        by=_text(entry, "by", where, faults),
        at_least=_number(entry, "at least", where, faults, 0.0),
        limit_in=end,
        rows=rows,
        caution=str(entry.get("caution", "")),
        **head,
    )
