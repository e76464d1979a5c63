"""A second, brute-force implementation of cable sizing: it reads the rule files as plain data and shares no code with the service."""

from __future__ import annotations

import math
import random
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from millphase.questions.base import ask
from millphase.rulebook import workshop

RULES = Path(__file__).parents[2] / "rules" / "workshop"
MULTIPLE = {"mcb-b": 5.0, "mcb-c": 10.0, "mcb-d": 20.0}
HOTTEST = {"pvc-70": 70.0, "xlpe-90": 90.0, "rubber-60": 60.0}


@cache
def raw(rule: str) -> Any:
    return yaml.safe_load((RULES / f"{rule}.yaml").read_text("utf-8"))


def records(rule: str) -> list[dict[str, Any]]:
    names = [column["name"] for column in raw(rule)["columns"]]
    return [dict(zip(names, row, strict=True)) for row in raw(rule)["rows"]]


def number(text: str) -> float:
    return float(text.split()[0])


def upward(rule: str, key: str, value: float) -> dict[str, Any] | None:
    fitting = [record for record in records(rule) if record[key] >= value - 1e-9]
    return min(fitting, key=lambda record: record[key]) if fitting else None


def exact(rule: str, **wanted: Any) -> dict[str, Any] | None:
    return next((r for r in records(rule) if all(r[k] == v for k, v in wanted.items())), None)


def factor_of_place(request: dict[str, Any], topic: str, method: dict[str, Any]) -> float:
    product = upward(f"{topic}/{method['ambient']}", "ambient", number(request["ambient"]))[  # type: ignore[index]
        request["insulation"].replace("-", "_")
    ]
    column = "touching" if request["installation_method"] in ("d1", "d2") else "bunched"
    product *= upward(f"{topic}/{method['grouping']}", "circuits", request["grouped_circuits"])[column]  # type: ignore[index]
    if "thermal_insulation" in request:
        table = f"{topic}/thermal-insulation"
        row = upward(table, "length", number(request["thermal_insulation"])) or records(table)[-1]
        product *= row["factor"]
    if "soil_resistivity" in request:
        product *= upward(f"{topic}/soil", "resistivity", number(request["soil_resistivity"]))[method["soil"]]  # type: ignore[index]
    return float(product)


def earth_table(request: dict[str, Any]) -> str:
    flat = request["cable"] == "flat-twin-and-earth"
    return "twin-and-earth-protective-conductor" if flat else "protective-conductor"


def drop_volts(request: dict[str, Any], topic: str, size: float, hot_milliohm: float) -> float:
    amperes, metres = number(request["design_current"]), number(request["length"])
    loaded = "three_loaded" if request["phases"] == 3 else "two_loaded"
    if topic == "cable-bs-7671":
        which = exact(f"{topic}/voltage-drop-tables", cable=request["cable"], insulation=request["insulation"])
        row = exact(f"{topic}/{which['table']}", cross_section=size)  # type: ignore[index]
        return float(row[loaded]) * amperes * metres / 1000  # type: ignore[index]
    wires = math.sqrt(3) if request["phases"] == 3 else 2.0
    return wires * amperes * metres * math.hypot(hot_milliohm, 0.08) / 1000


def hot_milliohm(request: dict[str, Any], size: float) -> float:
    kind = 5 if request["cable"] == "flexible" else 2
    cold = exact(f"cable/conductor-resistance-class-{kind}", cross_section=size)["resistance"]  # type: ignore[index]
    return float(cold) * (234.5 + HOTTEST[request["insulation"]]) / 254.5


def tripping_current(request: dict[str, Any], topic: str) -> tuple[float, float]:
    """Current that surely disconnects in time, and the time that goes with it."""
    kind, rating = request["protective_device"]["kind"], number(request["protective_device"]["rating"])
    if kind in MULTIPLE:
        return MULTIPLE[kind] * rating, 0.1
    seconds = 0.4 if rating <= 32 else 5.0
    entry = exact(f"{topic}/fuse-gg", rating=rating)["within_0_4_s" if rating <= 32 else "within_5_s"]  # type: ignore[index]
    return (0.95 * 230 / entry if topic == "cable-bs-7671" else float(entry)), seconds


def least_protective(request: dict[str, Any], by_rcd: bool, tripping: float, seconds: float) -> tuple[float, float]:
    """Adiabatic minimum by opening time, and by the breaker's limiting class."""
    k = {"pvc-70": 115, "xlpe-90": 143, "rubber-60": 141}[request["insulation"]]
    near = 230 / number(request["external_loop_impedance"])
    kind, rating = request["protective_device"]["kind"], number(request["protective_device"]["rating"])
    energy = (near if kind in MULTIPLE else tripping) ** 2 * seconds
    classes = [
        r["let_through"] for r in records("cable/breaker-let-through")
        if kind == f"mcb-{r['curve']}" and r["rating"] >= rating and r["prospective"] >= near
    ]  # fmt: skip
    until_rcd = min(near, tripping) ** 2 * 0.3 if by_rcd else 0.0
    return math.sqrt(max(energy, until_rcd)) / k, math.sqrt(max(min(classes, default=math.inf), until_rcd)) / k


def capacity_needed(request: dict[str, Any], topic: str) -> float:
    """The device's rating; BS 7671 appendix 4, 5.1.2: over 0.9 for a cable in the ground."""
    buried = request["installation_method"] in ("d1", "d2")
    return number(request["protective_device"]["rating"]) / (0.9 if buried and topic == "cable-bs-7671" else 1.0)


def reasons(request: dict[str, Any], topic: str, size: float, tabulated: float, place: float) -> list[str]:
    found = []
    if size < (0.75 if request["cable"] == "flexible" else 1.5):
        found.append("least size")
    if tabulated * place < capacity_needed(request, topic) - 1e-9:
        found.append("heat")
    hot = hot_milliohm(request, size)
    volts = 400 if request["phases"] == 3 else 230
    if drop_volts(request, topic, size, hot) / volts > 0.05 + 1e-12:
        found.append("voltage drop")
    earth = exact(f"{topic}/{earth_table(request)}", cross_section=size)["protective_conductor"]  # type: ignore[index]
    loop = (
        number(request["external_loop_impedance"])
        + (hot + hot_milliohm(request, earth)) * number(request["length"]) / 1000
    )
    tripping, seconds = tripping_current(request, topic)
    by_device = loop <= 0.95 * 230 / tripping + 1e-12
    residual = request.get("rcd")
    if not by_device and residual is None:
        found.append("loop impedance")
    plain, limited = least_protective(request, not by_device and residual is not None, tripping, seconds)
    if earth < plain - 1e-9 and earth < limited - 1e-9:
        found.append("adiabatic")
    return found


def brute_force(request: dict[str, Any]) -> tuple[float | None, list[tuple[float, list[str]]]]:
    topic = f"cable-{request['wiring_rules']}"
    method = exact(
        f"{topic}/reference-methods", cable=request["cable"], insulation=request["insulation"],
        installation_method=request["installation_method"],
    )  # fmt: skip
    loaded = "three" if request["phases"] == 3 else "two"
    assert method is not None
    place = factor_of_place(request, topic, method)
    tried = [
        (row["cross_section"], reasons(request, topic, row["cross_section"], row[method[f"{loaded}_column"]], place))
        for row in records(f"{topic}/{method[f'{loaded}_loaded']}")
        if row[method[f"{loaded}_column"]] is not None
        and exact(f"{topic}/{earth_table(request)}", cross_section=row["cross_section"])
    ]
    return next((size for size, why in tried if not why), None), tried


def random_request(seed: int) -> dict[str, Any]:
    chance = random.Random(seed)
    rules = chance.choice(["iec-60364", "bs-7671"])
    phases = chance.choice([1, 3])
    usable = [
        row for row in records(f"cable-{rules}/reference-methods")
        if row["three_column" if phases == 3 else "two_column"] is not None
    ]  # fmt: skip
    method = chance.choice(usable)
    rating = chance.choice([6, 10, 16, 20, 25, 32, 40, 50, 63])
    request = {
        "wiring_rules": rules, "phases": phases, "voltage": "400 V" if phases == 3 else "230 V",
        "design_current": f"{rating * chance.uniform(0.6, 1.0):.2f} A", "length": f"{chance.uniform(2, 90):.1f} m",
        "cable": method["cable"], "insulation": method["insulation"], "installation_method": method["installation_method"],
        "ambient": f"{chance.choice([18, 25, 30, 33, 35, 40, 45])} degC",
        "grouped_circuits": chance.choice([1, 1, 1, 2, 3, 5]),
        "protective_device": {"kind": chance.choice([*MULTIPLE, "fuse-gg"]), "rating": f"{rating} A"},
        "earthing": chance.choice(["tn-s", "tn-c-s"]), "external_loop_impedance": f"{chance.choice([0.02, 0.1, 0.2, 0.35, 0.8])} ohm",
    }  # fmt: skip
    if chance.random() < 0.25 and method["soil"] is None:
        request["thermal_insulation"] = f"{chance.choice([40, 100, 150, 700])} mm"
    if method["soil"] is not None and chance.random() < 0.5:
        request["soil_resistivity"] = f"{chance.choice([0.6, 1.0, 2.2, 2.5, 3.0])} K.m/W"
    if chance.random() < 0.4:
        request["rcd"] = {"rated_residual_current": "30 mA"}
    return request


@pytest.mark.parametrize("seed", range(60))
def test_same_size_and_same_reasons_as_brute_force(seed: int) -> None:
    request = random_request(seed)
    wanted, tried = brute_force(request)
    answer = ask("cable-sizing", request, workshop()).as_json()
    found = [(row["cross_section"]["value"], sorted(row["fails"])) for row in answer["values"]["candidates"]]
    assert found == [(size, sorted(why)) for size, why in tried]
    size = answer["values"].get("cross_section")
    assert (size["value"] if size else None) == wanted


def american_request(seed: int) -> dict[str, Any]:
    chance = random.Random(1000 + seed)
    phases = chance.choice([1, 3])
    request: dict[str, Any] = {
        "wiring_rules": "nfpa-70", "feeds": chance.choice(["drive", "other"]), "phases": phases,
        "voltage": "208 V" if phases == 3 else "240 V", "design_current": f"{chance.uniform(3, 95):.2f} A",
        "length": f"{chance.uniform(3, 70):.1f} m", "cable": "single-core",
        "installation_method": chance.choice(["raceway", "free-air"]), "ambient": f"{chance.choice([22, 30, 33, 40, 44])} degC",
        "insulation": chance.choice(["rubber-60", "thermoplastic-75", "thermoplastic-90", "xlpe-90"]),
        "grouped_circuits": chance.choice([1, 1, 2, 3]),
    }  # fmt: skip
    if chance.random() < 0.5:
        request["terminal_temperature"] = f"{chance.choice([60, 75, 90])} degC"
    if chance.random() < 0.5:
        request["voltage_drop_limit"] = "3 %"
    return request


def american_reasons(request: dict[str, Any], row: dict[str, Any], place: float, rating: float) -> list[str]:
    column = {"rubber-60": "rated_60", "thermoplastic-75": "rated_75"}.get(request["insulation"], "rated_90")
    needed = 1.25 * number(request["design_current"])
    own = row[column] * place
    unmarked = exact("cable-nfpa-70/terminal-temperature", gauge=row["gauge"])["temperature"]  # type: ignore[index]
    at_terminals = (
        f"rated_{int(number(request['terminal_temperature'])) if 'terminal_temperature' in request else unmarked}"
    )
    terminals = exact("cable-nfpa-70/capacity-raceway", gauge=row["gauge"])[at_terminals]  # type: ignore[index]
    # NEC 210.19(A)(1): a load that is no motor needs 125 % before the corrections, itself after them; 430 asks for both at once
    carried = number(request["design_current"]) if request["feeds"] == "other" else needed
    found = ["heat"] * (own < carried - 1e-9) + ["terminals"] * (terminals < needed - 1e-9)
    ohms = exact("cable-nfpa-70/conductor-impedance", gauge=row["gauge"])
    wires, volts = (math.sqrt(3), 208) if request["phases"] == 3 else (2.0, 240)
    per_metre = math.hypot(ohms["resistance"], ohms["reactance"]) / 1000  # type: ignore[index]
    drop = wires * number(request["design_current"]) * number(request["length"]) * per_metre
    if drop / volts > (0.03 if "voltage_drop_limit" in request else 0.10):  # else NEMA MG 1 12.44
        found.append("voltage drop")
    if request["feeds"] == "other":
        small = exact("cable-nfpa-70/small-conductors", gauge=row["gauge"])
        allowed = small["rating"] if small else standard_rating(min(own, terminals))
        found += ["overcurrent protection"] * (rating > allowed)
    return found


def standard_rating(amperes: float) -> float:
    rows = records("cable-nfpa-70/standard-ratings")
    return min(r["rating"] for r in rows if r["applies"] != "fuse" and r["rating"] >= amperes - 1e-9)


@pytest.mark.parametrize("seed", range(25))
def test_same_gauge_and_same_reasons_as_brute_force(seed: int) -> None:
    request = american_request(seed)
    column = {"rubber-60": "rated_60", "thermoplastic-75": "rated_75"}.get(request["insulation"], "rated_90")
    ambient = upward("cable-nfpa-70/ambient-air", "ambient", number(request["ambient"]))
    together = request["grouped_circuits"] * (3 if request["phases"] == 3 else 2)
    count = upward("cable-nfpa-70/conductors-together", "up_to", together)
    place = ambient[column] * count["factor"]  # type: ignore[index]
    rating = standard_rating(1.25 * number(request["design_current"]))
    name = "raceway" if request["installation_method"] == "raceway" else "free-air"
    tried = [
        (r["gauge"], american_reasons(request, r, place, rating)) for r in records(f"cable-nfpa-70/capacity-{name}")
    ]
    answer = ask("cable-sizing", request, workshop()).as_json()
    assert [(row["gauge"], row["fails"]) for row in answer["values"]["candidates"]] == tried
    assert answer["values"].get("gauge") == next((gauge for gauge, why in tried if not why), None)
