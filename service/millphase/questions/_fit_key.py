"""Motor fit: key and keyways by the shaft's system, conflict with the pulley's own keyway, and the stress the key carries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from millphase.answer import HasCitation, Outcome, Sheet
from millphase.physics import keys
from millphase.quantity import Quantity, number_text
from millphase.questions._fit_bore import Bore, deviations, hub_material, row_for, row_of
from millphase.questions._fit_frames import Motor, short
from millphase.questions.base import contradiction
from millphase.rulebook.model import Row

SYSTEMS = {"din-6885": "key/metric-parallel", "asme-b17": "key/asme-parallel", "bs-46": "key/bs-46-square"}
NAMES = {"din-6885": "DIN 6885", "asme-b17": "ASME B17.1", "bs-46": "BS 46"}
# Column of each table that holds the least depth of the keyway in the hub.
HUB_DEPTHS = {"din-6885": "hub_depth", "bs-46": "hub_depth_least"}
FITS = ["free", "normal", "close"]


@dataclass(frozen=True)
class Key:
    """The key of the new shaft and its keyways."""

    system: str
    width: Quantity
    height: Quantity
    shaft_depth: Quantity
    hub_depth: Quantity
    hub_depth_most: Quantity
    row: Row
    longest: Quantity | None = None


def key_of_shaft(sheet: Sheet, motor: Motor) -> Key | None:
    """The key that belongs to the new shaft, or None for a shaft with a flat."""
    diameter = motor.sizes["shaft_diameter"]
    system = "din-6885" if motor.standard == "iec" else "asme-b17"
    row = row_for(sheet.book.table(SYSTEMS[system]), diameter)
    if motor.flat:
        rule = sheet.book.rule("key/flat-shaft")
        sheet.find(Outcome.CAUTION, rule, because=sheet.book.text("key/flat-shaft"))
        return None
    if row is None:
        message = (
            f"no key is tabulated for an inch shaft of {diameter}; measure the shaft again, or give its frame alone"
        )
        raise contradiction("/new_motor/shaft_diameter", message)
    return _metric_key(sheet, row) if system == "din-6885" else _inch_key(sheet, row, motor)


def _metric_key(sheet: Sheet, row: Row) -> Key:
    width, height = (sheet.looked_up(f"key {name}", row[name]) for name in ("width", "height"))
    shaft_depth = sheet.looked_up("keyway depth in the shaft", row["shaft_depth"])
    hub_depth = sheet.looked_up("keyway depth in the hub", row["hub_depth"])
    most = sheet.step(
        "greatest keyway depth in the hub", "t = t2 + a", unit="mm", rule=row, t2=hub_depth, a=row.q("depth_tolerance")
    )
    return Key("din-6885", width, height, shaft_depth, hub_depth, most, row)


def _inch_key(sheet: Sheet, row: Row, motor: Motor) -> Key:
    width, height = (sheet.looked_up(f"key {name}", row[name]).to("mm") for name in ("width", "height"))
    depth = sheet.step("keyway depth in shaft and hub, at its side", "t = H / 2", unit="mm", rule=row, H=height)
    plus = sheet.book.coefficients("key/asme-limits")["hub_depth_plus"]
    most = sheet.step(
        "greatest keyway depth in the hub",
        "t = t2 + a",
        unit="mm",
        rule=sheet.book.rule("key/asme-limits"),
        t2=depth,
        a=plus,
    )
    seat = motor.keyseat
    longest = sheet.looked_up("length of the shaft's keyseat", seat).to("mm") if seat is not None else None
    return Key("asme-b17", width, height, depth, depth, most, row, longest)


def report_key(sheet: Sheet, key: Key, motor: Motor, pulley: Mapping[str, Any]) -> None:
    """Values of the key and both keyways, with what to measure to prove them."""
    diameter = motor.sizes["shaft_diameter"]
    sheet.value("key_width", key.width)
    sheet.value("key_height", key.height)
    sheet.value("shaft_keyway_depth", key.shaft_depth)
    sheet.value("hub_keyway_depth", key.hub_depth)
    sheet.value("hub_keyway_depth_maximum", key.hub_depth_most)
    where = "in the hub" if key.system == "din-6885" else "in the hub at the side of the keyway"
    because = f"A shaft of {diameter} takes a key {size_text(key)}, {key.hub_depth} deep {where}, never less and at most {key.hub_depth_most}."
    sheet.find(Outcome.ACCEPT, key.row, because=because, measured=key.width, decides=False)
    if key.system == "din-6885":
        sheet.value(
            "across_shaft_and_key",
            sheet.step(
                "over shaft and key", keys.across_shaft_and_key, unit="mm", D=diameter, t1=key.shaft_depth, h=key.height
            ),
        )
        sheet.value(
            "across_bore_and_keyway",
            sheet.step(
                "from bore wall to keyway bottom", keys.across_bore_and_keyway, unit="mm", D=diameter, t2=key.hub_depth
            ),
        )
    else:
        _inch_gauges(sheet, key, diameter)
    _widths(sheet, key, pulley)


def size_text(key: Key) -> str:
    """Width by height as the trade writes it, in the unit of its standard."""
    unit = "mm" if key.system == "din-6885" else "in"
    return f"{number_text(key.width.number(unit))} × {number_text(key.height.number(unit))} {unit}"


def _inch_gauges(sheet: Sheet, key: Key, diameter: Quantity) -> None:
    limits = sheet.book.rule("key/asme-limits")
    allowance = sheet.book.coefficients("key/asme-limits")["depth_allowance"]
    chord = sheet.step("round cut off by the keyway", keys.chord_height, unit="mm", D=diameter, W=key.width)
    over = sheet.step(
        "from keyseat bottom to the far side of the shaft",
        keys.keyseat_to_far_side,
        unit="mm",
        D=diameter,
        y=chord,
        H=key.height,
    )
    sheet.value("keyseat_to_far_side", over)
    sheet.value("across_shaft_and_key", sheet.step("over shaft and key", "GA = S + H", unit="mm", S=over, H=key.height))
    bore = sheet.step(
        "from bore wall to keyway top",
        keys.bore_to_keyseat_top,
        unit="mm",
        rule=limits,
        D=diameter,
        y=chord,
        H=key.height,
        C=allowance,
    )
    sheet.value("across_bore_and_keyway", bore)


def _widths(sheet: Sheet, key: Key, pulley: Mapping[str, Any]) -> None:
    extra = pulley.get("extra_width", Quantity.of(0.0, "mm")).to("mm")
    nothing = Quantity.of(0.0, "mm")
    widest = key.width
    for side, (low, high) in _width_deviations(sheet, key, pulley).items():
        added = extra if side == "hub" else nothing
        for name, deviation in (("minimum", low), ("maximum", high)):
            what = f"{name} width of the {side} keyway"
            widest = sheet.step(what, "W = b + E + x", unit="mm", b=key.width, E=deviation, x=added)
            sheet.value(f"{side}_keyway_width_{name}", widest)
    if extra.si > 0:
        _extra_play(sheet, key, extra, widest)


def _width_deviations(sheet: Sheet, key: Key, pulley: Mapping[str, Any]) -> dict[str, tuple[Quantity, Quantity]]:
    """Lower and upper deviation of the keyway width in the shaft and, last, in the hub."""
    if key.system == "asme-b17":
        limits = sheet.book.rule("key/asme-limits")
        if "keyway_fit" in pulley:
            because = "Inch keyways have one width here, nominal to 0.002 in over; for a drive that reverses fit the key by hand."
            sheet.find(Outcome.CAUTION, limits, because=because, decides=False)
        one = (Quantity.of(0.0, "um"), sheet.book.coefficients("key/asme-limits")["width_plus"])
        return {"shaft": one, "hub": one}
    fit = pulley.get("keyway_fit", "normal")
    classes = row_of(sheet, "key/metric-fit-classes", fit=fit)
    if "keyway_fit" not in pulley:
        sheet.assume("pulley.keyway_fit", fit, classes)
    return {
        side: deviations(sheet, key.width, classes.text(side), f"{side} keyway width")[:2] for side in ("shaft", "hub")
    }


def _extra_play(sheet: Sheet, key: Key, extra: Quantity, widest: Quantity) -> None:
    play = sheet.step("play of a nominal key in the widest hub keyway", "j = W − b", unit="um", W=widest, b=key.width)
    sheet.value("key_side_play", play)
    free = row_of(sheet, "key/metric-fit-classes", fit="free")
    if key.system == "din-6885":
        _, most, _ = deviations(sheet, key.width, free.text("hub"), "freest hub keyway width")
    else:
        most = sheet.book.coefficients("key/asme-limits")["width_plus"]
    if play.si > most.si * (1 + 1e-9):
        because = f"With {extra} added, a key of {key.width} would have up to {play} of play; even a sliding fit has only {most.to('um')}. It rocks at every reversal."
        sheet.find(Outcome.CAUTION, free, because=because, measured=play, limit=most.to("um"))
        sheet.next_step(
            "Make the key over width and fit it to the hub keyway by hand, stepped down to the shaft's width."
        )
    else:
        sheet.find(
            Outcome.ACCEPT,
            free,
            because=f"Up to {play} of side play stays within the sliding fit.",
            measured=play,
            limit=most.to("um"),
        )


def cutting(sheet: Sheet, key: Key, pulley: Mapping[str, Any]) -> None:
    """How the hub keyway is cut, where one has to be."""
    if key.system == "din-6885" and pulley.get("keyway_fit") != "close":
        sheet.next_step(sheet.book.text("key/reversing-duty"))
    sheet.next_step(sheet.book.text("key/no-trial-key"))


@dataclass(frozen=True)
class Slot:
    """The keyway that a pulley has, as far as it is known, and where its width was taken from."""

    width: Quantity | None
    depth: Quantity | None
    origin: str
    rule: HasCitation
    system: str


def pulley_keyway(
    sheet: Sheet, key: Key, diameter: Quantity, bore: Bore | None, remedy: str, pulley: Mapping[str, Any]
) -> bool:  # fmt: skip
    """Compare the keyway that the pulley has with the key of the new shaft; whether one has to be cut."""
    cut_already = {"key_system", "keyway_width", "keyway_depth"} & set(pulley)
    if remedy not in ("none", "rebore") or (bore is None and not cut_already):
        return True
    bore = bore or Bore(diameter, diameter)
    slot = _slot(sheet, bore.wide, pulley)
    if "keyway_width" in pulley:
        _old_japanese(sheet, key, pulley["keyway_width"], bore.wide)
    if remedy == "rebore":
        _keyway_left(sheet, key, diameter, bore, slot)
        return True
    fits = _compare_width(sheet, key, slot) if slot.width is not None else _unknown_keyway(sheet, key, bore.wide)
    if "keyway_depth" in pulley:
        fits = _deep_enough(sheet, key, diameter, pulley["keyway_depth"].to("mm")) and fits
    elif fits and slot.system == "bs-46":
        _british_depth(sheet, key, slot)
    return not fits or pulley.get("condition") == "worn-keyway"


def _slot(sheet: Sheet, bore: Quantity, pulley: Mapping[str, Any]) -> Slot:
    """Measured sizes first; what was not measured follows from the standard that is named."""
    system = pulley.get("key_system", "")
    row = row_for(sheet.book.table(SYSTEMS[system]), bore) if system else None
    width = row.q("width").to("mm") if row is not None else None
    depth = _system_depth(row, system) if row is not None else None
    origin, rule = f"{NAMES.get(system, '')} for a bore of {bore}", row or sheet.book.rule("key/width-agreement")
    if "keyway_depth" in pulley:
        depth = pulley["keyway_depth"].to("mm")
    if "keyway_width" not in pulley:
        return Slot(width, depth, origin, rule, system)
    measured: Quantity = pulley["keyway_width"].to("mm")
    if width is not None and not _agrees(sheet, measured, width):
        because = f"The keyway measures {measured} and {origin} has {_wide(width, system)}: it is not of that standard, or worn or recut."
        sheet.find(Outcome.CAUTION, rule, because=because, measured=measured, limit=width)
        system = ""
    return Slot(measured, depth, "measured", sheet.book.rule("key/width-agreement"), system)


def _system_depth(row: Row, system: str) -> Quantity:
    if system == "asme-b17":
        return Quantity.si_value(row.q("height").si / 2, "mm")
    return row.q(HUB_DEPTHS[system]).to("mm")


def _agrees(sheet: Sheet, width: Quantity, wanted: Quantity) -> bool:
    agreement, off = sheet.book.coefficients("key/width-agreement"), width.si - wanted.si
    return -agreement["narrower"].si * (1 + 1e-9) <= off <= agreement["wider"].si * (1 + 1e-9)


def _keyway_left(sheet: Sheet, key: Key, diameter: Quantity, bore: Bore, slot: Slot) -> None:
    """What boring out leaves of the old keyway, and where the new one goes."""
    turn = "cut the new keyway a quarter turn away"
    if slot.depth is None:
        sheet.next_step(f"Look into the bored hub: where a part of the old keyway is left, {turn}.")
        if slot.width is not None:
            _compare_width(sheet, key, slot, reboring=True)
        return
    left = sheet.step("depth of the old keyway left in the new bore", keys.keyway_left, unit="mm", B=bore.wide, t=slot.depth, D=diameter)  # fmt: skip
    if left.si <= 1e-9:
        because = "Boring out takes the old keyway away; the new one can be cut anywhere."
        sheet.find(Outcome.ACCEPT, slot.rule, because=because, measured=left)
        return
    sheet.value("old_keyway_left", left)
    told = f"{short(left)} of the old keyway's depth is left in the new bore"
    if slot.width is not None and _agrees(sheet, slot.width, key.width):
        because = f"{told}, as wide as the key: cut it on to {short(key.hub_depth)}."
        sheet.find(Outcome.ACCEPT, slot.rule, because=because, measured=left)
        sheet.next_step(
            f"Cut the old keyway on to {short(key.hub_depth)} deep (at most {short(key.hub_depth_most)}) in the new bore."
        )
    else:
        sheet.find(Outcome.CAUTION, slot.rule, because=f"{told}: {turn}.", measured=left)
        sheet.next_step(f"{turn.capitalize()}, clear of what is left of the old one.")


def _unknown_keyway(sheet: Sheet, key: Key, bore: Quantity) -> bool:
    """Nothing is known of the keyway's width: it is taken to fit, with the advice to measure it."""
    if key.system == "asme-b17":
        _unknown_inch(sheet, key, bore)
    else:
        sheet.assume("pulley.key_system", "din-6885", sheet.book.rule("key/metric-parallel"))
        sheet.next_step("Measure width and depth of the pulley's keyway, and try the key, before the pulley goes on.")
    return True


def _deep_enough(sheet: Sheet, key: Key, diameter: Quantity, depth: Quantity) -> bool:
    """Whether the pulley's present keyway is deep enough for the key, and whether it is the old shallow form."""
    stands = sheet.step(
        "height of the key above the shaft", keys.height_in_hub, unit="mm", h=key.height, t1=key.shaft_depth
    )
    told = f"The pulley's keyway is {short(depth)} deep, the key stands {short(stands)} into the hub"
    if depth.si > stands.si * (1 + 1e-9):
        sheet.find(Outcome.ACCEPT, key.row, because=f"{told}: it clears.", measured=depth, limit=stands)
        return True
    sheet.find(Outcome.CAUTION, key.row, because=f"{told}: it binds at the top.", measured=depth, limit=stands)
    sheet.next_step(
        f"Deepen the hub keyway to {short(key.hub_depth)} (at most {short(key.hub_depth_most)}); do not thin the key."
    )
    row = row_for(sheet.book.table("key/shallow-hub"), diameter)
    wider = sheet.book.coefficients("key/width-agreement")["wider"]
    if key.system == "din-6885" and row is not None and abs(depth.si - row.q("hub_depth").si) <= wider.si:
        because = (
            "This depth is the shallow form of old machine tools, made for a shaft that is cut deeper than a motor's."
        )
        sheet.find(Outcome.CAUTION, row, because=because, measured=depth, limit=row.q("hub_depth"), decides=False)
    return False


def _compare_width(sheet: Sheet, key: Key, slot: Slot, *, reboring: bool = False) -> bool:
    """Whether the pulley's keyway is as wide as the key; in a hub that is bored anyway a wide one is no end of it."""
    width = slot.width or key.width
    sheet.value("pulley_keyway_width", width)
    off = sheet.step("pulley keyway less key width", "a = W − b", unit="mm", W=width, b=key.width)
    told = f"The pulley's keyway ({slot.origin}) is {_wide(width, slot.system)} wide, the shaft's key {_wide(key.width, key.system)}"
    if _agrees(sheet, width, key.width):
        sheet.find(Outcome.ACCEPT, slot.rule, because=f"{told}: the same size.", measured=width, limit=key.width)
        return True
    wider = off.si > 0
    outcome = Outcome.REJECT if wider and not reboring else Outcome.CAUTION
    cure = "it would rock" if wider else "it has to be widened"
    sheet.find(outcome, slot.rule, because=f"{told}: key mismatch, {cure}.", measured=width, limit=key.width)
    sheet.next_step(
        sheet.book.text("key/stepped-key")
        if wider
        else f"Widen the hub keyway to {_wide(key.width, key.system)}, or cut a new one a quarter turn away."
    )
    return False


def _wide(width: Quantity, system: str) -> str:
    """A key or keyway width, with inches beside it where its standard is in inches."""
    inches = f" ({number_text(width.number('in'), 4)} in)" if system in ("asme-b17", "bs-46") else ""
    return f"{width}{inches}"


def _old_japanese(sheet: Sheet, key: Key, width: Quantity, bore: Quantity) -> None:
    old = sheet.book.coefficients("key/old-jis-width")
    seven = abs(width.si - old["width"].si) <= old["measured_within"].si
    if key.system == "din-6885" and seven and old["over"].si < bore.si <= old["up_to"].si:
        because = "A 7 mm keyway at this bore is the old Japanese standard, not damage or wear."
        sheet.find(Outcome.CAUTION, old, because=because, measured=width.to("mm"), decides=False)


def _unknown_inch(sheet: Sheet, key: Key, bore: Quantity) -> None:
    row = row_for(sheet.book.table("key/bs-46-square"), bore)
    if row is None:
        return
    british = row.q("width").to("mm")
    rule = sheet.book.rule("key/system-conflict")
    if abs(british.si - key.width.si) > 1e-6:
        told = f"an old British pulley has a keyway of {_wide(british, 'bs-46')}, this shaft a key of {_wide(key.width, key.system)}"
        because = f"At a bore of {bore} {told}: possible key mismatch, measure the keyway."
        sheet.find(Outcome.CAUTION, rule, because=because, measured=british, limit=key.width)
        sheet.next_step("Measure the width of the pulley's keyway and give it as keyway_width.")
    else:
        because = f"British and American keys agree in width at this bore ({_wide(british, 'bs-46')})."
        sheet.find(Outcome.ACCEPT, rule, because=because, measured=british, limit=key.width, decides=False)


def _british_depth(sheet: Sheet, key: Key, slot: Slot) -> None:
    stands = sheet.step(
        "height of the key that stands in the hub", keys.height_in_hub, unit="mm", h=key.height, t1=key.shaft_depth
    )
    least = slot.depth or stands
    binds = stands.si > least.si
    because = f"The key stands {short(stands)} into the hub; the British keyway may be only {short(least)} deep, so the key {'binds at the top' if binds else 'clears'}."
    sheet.find(Outcome.CAUTION if binds else Outcome.ACCEPT, slot.rule, because=because, measured=least, limit=stands)
    sheet.next_step("Try the key in the hub; if it binds, ease its top, never the shaft, until it clears.")


def rated_torque(sheet: Sheet, request: Mapping[str, Any]) -> Quantity | None:
    """Rated torque as given or of power and speed; where both are known and disagree, the greater counts."""
    motor, given = request["new_motor"], request.get("torque")
    torque: Quantity | None = given.to("N.m") if given is not None else None
    if "power" in motor and "speed" in motor:
        plate = sheet.step("rated torque", "T = P / (2 × π × n)", unit="N.m", P=motor["power"], n=motor["speed"])
        torque = _greater(sheet, torque, plate) if torque is not None else plate
    if torque is not None:
        sheet.value("torque", torque)
    return torque


def _greater(sheet: Sheet, torque: Quantity, plate: Quantity) -> Quantity:
    limit = sheet.book.limit("key/torque-agreement")
    share = sheet.step("torque of power and speed against the torque given", "q = T / T0", unit="1", T=plate, T0=torque)
    if share.si <= limit.value.si * (1 + 1e-9):
        return torque
    because = f"Power and speed of the new motor make {short(plate)}, more than the {short(torque)} given; the greater is reckoned with."
    sheet.find(Outcome.CAUTION, limit, because=because, measured=share, limit=limit.value)
    return plate


def carry(
    sheet: Sheet, key: Key, motor: Motor, rated: Quantity | None, request: Mapping[str, Any], pulley: Mapping[str, Any]
) -> None:  # fmt: skip
    """Length of the key and, where a torque is known, the stress in key and hub at rated and at starting torque."""
    length, diameter = _length(sheet, key, motor, pulley), motor.sizes["shaft_diameter"]
    starting = _starting_torque(sheet, request, rated)
    if starting is None:
        return
    limit, hub = _shear_limit(sheet), row_of(sheet, "key/bearing-limits", material=hub_material(sheet, pulley))
    stands = sheet.step("height of the key in the hub", keys.height_in_hub, unit="mm", h=key.height, t1=key.shaft_depth)
    for when, torque, suffix in (("rated", rated, ""), ("starting", starting, "_at_start")):
        if torque is None:
            continue
        what = f"shear in the key at {when} torque"
        shear = sheet.step(what, keys.key_shear_stress, unit="MPa", T=torque, D=diameter, W=key.width, L=length)
        sheet.value(f"key_shear_stress{suffix}", shear)
        _stress(sheet, sheet.book.rule("key/shear-limit"), "Shear in the key", when, shear, limit)
        what = f"pressure on the hub keyway at {when} torque"
        pressure = sheet.step(what, keys.key_bearing_stress, unit="MPa", T=torque, D=diameter, b=stands, L=length)
        sheet.value(f"key_bearing_stress{suffix}", pressure)
        _stress(sheet, hub, "Pressure on the hub keyway", when, pressure, hub.q("pressure"))
    if rated is not None:
        sheet.value("key_force", sheet.step("force on the key", keys.key_force, unit="N", T=rated, D=diameter))
        _shaft_end(sheet, motor, rated)


def _stress(sheet: Sheet, rule: HasCitation, what: str, when: str, stress: Quantity, limit: Quantity) -> None:
    """One stress against its limit; at starting torque it may use up the design factor, but not more."""
    because = f"{what} is {short(stress)} at {when} torque, {limit} is allowed"
    yields = limit.si * sheet.book.coefficients("key/shear-limit")["design_factor"].si
    if stress.si <= limit.si * (1 + 1e-9):
        outcome = Outcome.ACCEPT
    elif when == "rated" or stress.si > yields:
        outcome = Outcome.REJECT
    else:
        outcome = Outcome.CAUTION
        because += "; it holds, but wears the key loose where the machine stalls or reverses often"
    sheet.find(outcome, rule, because=f"{because}.", measured=stress, limit=limit)


def _shear_limit(sheet: Sheet) -> Quantity:
    factors, steel = sheet.book.coefficients("key/shear-limit"), sheet.book.constant("key/steel-yield")
    sheet.assume("key_steel_yield", steel.value, steel)
    return sheet.step(
        "allowable shear in the key", "τa = s × R / N", unit="MPa", rule=factors,
        s=factors["share_of_yield"], R=steel.value, N=factors["design_factor"],
    )  # fmt: skip


def _length(sheet: Sheet, key: Key, motor: Motor, pulley: Mapping[str, Any]) -> Quantity:
    diameter, ends = motor.sizes["shaft_diameter"], [motor.sizes["shaft_length"]]
    if key.longest is not None:
        ends.append(key.longest)
    cap = sheet.book.limit("key/length-cap")
    length: Quantity
    if "hub_length" in pulley:
        length = min([pulley["hub_length"].to("mm"), *ends], key=lambda found: found.si)
        ratio = sheet.step("key length in shaft diameters", "q = L / D", unit="1", L=length, D=diameter)
        because = f"The key is {short(ratio)} shaft diameters long" + (
            "." if ratio.si <= cap.value.si * (1 + 1e-9) else "; beyond 1.5 the far end carries little."
        )
        sheet.compare(cap, ratio, because=because, otherwise=Outcome.CAUTION, decides=False)
        if pulley["hub_length"].si > motor.sizes["shaft_length"].si * (1 + 1e-9):
            _long_hub(sheet, motor, pulley["hub_length"].to("mm"))
    else:
        longest = sheet.step("longest useful key", "L = q × D", unit="mm", rule=cap, q=cap.value, D=diameter)
        length = _standard_length(sheet, min([longest, *ends], key=lambda found: found.si), key)
        sheet.assume("key_length", length, cap)
    sheet.value("key_length", length)
    return length


def _long_hub(sheet: Sheet, motor: Motor, hub: Quantity) -> None:
    end = motor.sizes["shaft_length"]
    because = f"The hub of {short(hub)} is longer than the shaft end of {short(end)}: it stands out beyond the shaft, and the belts pull further out."
    sheet.find(Outcome.CAUTION, sheet.book.rule("frame/belt-line"), because=because, measured=hub, limit=end)
    sheet.next_step(
        f"Face the hub back to {short(end)}, or turn a recess into it that clears the shaft's shoulder; keep the belts near the motor."
    )


def _standard_length(sheet: Sheet, longest: Quantity, key: Key) -> Quantity:
    if key.system != "din-6885":
        return longest
    row = sheet.book.table("key/preferred-lengths").row_at_or_below("length", longest)
    return longest if row is None else row.q("length")


def _starting_torque(sheet: Sheet, request: Mapping[str, Any], rated: Quantity | None) -> Quantity | None:
    if "starting_torque" in request:
        given: Quantity = request["starting_torque"]
        return given.to("N.m")
    if rated is None:
        return None
    factor = sheet.book.constant("key/starting-torque")
    what = "torque at starting or stalling"
    torque = sheet.step(what, "Ts = c × T", unit="N.m", rule=factor, c=factor.value, T=rated)
    sheet.assume("starting_torque", torque, factor)
    return torque


def _shaft_end(sheet: Sheet, motor: Motor, rated: Quantity) -> None:
    row = sheet.book.table("frame/shaft-torque").row(shaft_diameter=motor.sizes["shaft_diameter"])
    if motor.standard != "iec" or row is None:
        return
    kept = rated.si <= row.q("torque").si * (1 + 1e-9)
    because = f"{short(rated)} against {row.q('torque')} that this shaft end is chosen for."
    sheet.find(
        Outcome.ACCEPT if kept else Outcome.CAUTION,
        row,
        because=because,
        measured=rated,
        limit=row.q("torque"),
        decides=False,
    )


def set_screw(
    sheet: Sheet, diameter: Quantity, wall: Quantity | None, pulley: Mapping[str, Any], *, keyed: bool
) -> None:
    """Size and place of the set screw, and whether the hub leaves it thread enough."""
    row = row_for(sheet.book.table("hub/set-screw"), diameter)
    if row is None:
        return
    sheet.value("set_screw", f"{row.text('metric_screw')} or {row.text('inch_screw')}")
    sheet.next_step(sheet.book.text("hub/set-screw-place" if keyed else "key/flat-shaft"))
    if wall is None:
        return
    need, over = row_of(sheet, "hub/screw-thread", material=hub_material(sheet, pulley)), "key" if keyed else "flat"
    what, least = f"thread over the {over} in screw diameters", need.q("least")
    share = sheet.step(what, "q = w / d", unit="1", rule=need, w=wall, d=row.q("screw_diameter"))
    if share.si < least.si * (1 - 1e-9):
        because = (
            f"Over the {over} the set screw would have {short(wall)} of thread only and wants {short(least)} times its diameter"
            f"{': put it a quarter turn from the key, on a flat' if keyed else ''}."
        )
        sheet.find(Outcome.CAUTION, need, because=because, measured=share, limit=least, decides=False)
    else:
        because = f"The set screw has {short(wall)} of thread over the {over}."
        sheet.find(Outcome.ACCEPT, need, because=because, measured=share, limit=least, decides=False)
