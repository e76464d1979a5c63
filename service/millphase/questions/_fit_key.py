"""Motor fit: key and keyways by the shaft's system, conflict with the pulley's own keyway, and the stress the key carries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from millphase.answer import HasCitation, Outcome, Sheet
from millphase.physics import keys
from millphase.quantity import Quantity, number_text
from millphase.questions._fit_bore import deviations, hub_material, row_for, row_of
from millphase.questions._fit_frames import Motor, short
from millphase.questions.base import contradiction
from millphase.rulebook.model import Row

SYSTEMS = {"din-6885": "key/metric-parallel", "asme-b17": "key/asme-parallel", "bs-46": "key/bs-46-square"}
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
    because = f"A shaft of {diameter} takes a key {size_text(key)}, {key.hub_depth} deep in the hub, never less and at most {key.hub_depth_most}."
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
    sheet.next_step(sheet.book.text("key/no-trial-key"))
    if extra.si > 0:
        _extra_play(sheet, key, extra, widest)


def _width_deviations(sheet: Sheet, key: Key, pulley: Mapping[str, Any]) -> dict[str, tuple[Quantity, Quantity]]:
    """Lower and upper deviation of the keyway width in the shaft and, last, in the hub."""
    if key.system == "asme-b17":
        one = (Quantity.of(0.0, "um"), sheet.book.coefficients("key/asme-limits")["width_plus"])
        return {"shaft": one, "hub": one}
    fit = pulley.get("keyway_fit", "normal")
    classes = row_of(sheet, "key/metric-fit-classes", fit=fit)
    if "keyway_fit" not in pulley:
        sheet.assume("pulley.keyway_fit", fit, classes)
    if fit != "close":
        sheet.next_step(sheet.book.text("key/reversing-duty"))
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


def pulley_keyway(sheet: Sheet, key: Key, bore: Quantity, remedy: str, pulley: Mapping[str, Any]) -> None:
    """Compare the keyway that the pulley has with the key of the new shaft."""
    system = pulley.get("key_system")
    if "keyway_width" in pulley:
        _compare_width(
            sheet, key, pulley["keyway_width"].to("mm"), remedy, "measured", sheet.book.rule("key/width-agreement")
        )
        _old_japanese(sheet, key, pulley["keyway_width"], bore)
    elif system is not None:
        row = row_for(sheet.book.table(SYSTEMS[system]), bore)
        if row is not None:
            origin = f"{system.upper()} for a bore of {bore}"
            same = _compare_width(sheet, key, row.q("width").to("mm"), remedy, origin, row)
            if same and system == "bs-46":
                _british_depth(sheet, key, row)
    elif key.system == "asme-b17":
        _unknown_inch(sheet, key, bore)
    else:
        sheet.assume("pulley.key_system", "din-6885", sheet.book.rule("key/metric-parallel"))
        if remedy == "none":
            sheet.next_step(
                "Measure width and depth of the pulley's keyway, and try the key, before the pulley goes on."
            )


def pulley_keyway_depth(sheet: Sheet, key: Key, diameter: Quantity, depth: Quantity) -> None:
    """Whether the pulley's present keyway is deep enough for the key, and whether it is the old shallow form."""
    stands = sheet.step(
        "height of the key above the shaft", keys.height_in_hub, unit="mm", h=key.height, t1=key.shaft_depth
    )
    told = f"The pulley's keyway is {depth} deep, the key stands {stands} into the hub"
    if depth.si > stands.si * (1 + 1e-9):
        sheet.find(Outcome.ACCEPT, key.row, because=f"{told}: it clears.", measured=depth, limit=stands)
        return
    sheet.find(Outcome.CAUTION, key.row, because=f"{told}: it binds at the top.", measured=depth, limit=stands)
    sheet.next_step(f"Deepen the hub keyway to {key.hub_depth} (at most {key.hub_depth_most}); do not thin the key.")
    row = row_for(sheet.book.table("key/shallow-hub"), diameter)
    wider = sheet.book.coefficients("key/width-agreement")["wider"]
    if key.system == "din-6885" and row is not None and abs(depth.si - row.q("hub_depth").si) <= wider.si:
        because = (
            "This depth is the shallow form of old machine tools, made for a shaft that is cut deeper than a motor's."
        )
        sheet.find(Outcome.CAUTION, row, because=because, measured=depth, limit=row.q("hub_depth"), decides=False)


def _compare_width(sheet: Sheet, key: Key, width: Quantity, remedy: str, origin: str, rule: HasCitation) -> bool:
    sheet.value("pulley_keyway_width", width)
    agreement = sheet.book.coefficients("key/width-agreement")
    off = sheet.step("pulley keyway less key width", "a = W − b", unit="mm", W=width, b=key.width)
    told = f"The pulley's keyway ({origin}) is {width} wide, the shaft's key {key.width}"
    if -agreement["narrower"].si * (1 + 1e-9) <= off.si <= agreement["wider"].si * (1 + 1e-9):
        sheet.find(Outcome.ACCEPT, rule, because=f"{told}: the same size.", measured=width, limit=key.width)
        return True
    wider = off.si > 0
    outcome = Outcome.REJECT if wider and remedy == "none" else Outcome.CAUTION
    cure = "it would rock" if wider else "it has to be widened"
    sheet.find(outcome, rule, because=f"{told}: key mismatch, {cure}.", measured=width, limit=key.width)
    sheet.next_step(
        sheet.book.text("key/stepped-key")
        if wider
        else f"Widen the hub keyway to {key.width}, or cut a new one a quarter turn away."
    )
    return False


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
        because = f"At a bore of {bore} an old British pulley has a keyway of {british}, this shaft a key of {key.width}: possible key mismatch, measure the keyway."
        sheet.find(Outcome.CAUTION, rule, because=because, measured=british, limit=key.width)
        sheet.next_step("Measure the width of the pulley's keyway and give it as keyway_width.")
    else:
        because = f"British and American keys agree in width at this bore ({british})."
        sheet.find(Outcome.ACCEPT, rule, because=because, measured=british, limit=key.width, decides=False)


def _british_depth(sheet: Sheet, key: Key, row: Row) -> None:
    stands = sheet.step(
        "height of the key that stands in the hub", keys.height_in_hub, unit="mm", h=key.height, t1=key.shaft_depth
    )
    least = sheet.looked_up("least depth of the British hub keyway", row["hub_depth_least"]).to("mm")
    binds = stands.si > least.si
    because = f"The key stands {stands} into the hub; the British keyway may be only {least} deep, so the key {'binds at the top' if binds else 'clears'}."
    sheet.find(Outcome.CAUTION if binds else Outcome.ACCEPT, row, because=because, measured=least, limit=stands)
    sheet.next_step("Try the key in the hub; if it binds, ease its top, never the shaft, until it clears.")


def carry(sheet: Sheet, key: Key, motor: Motor, request: Mapping[str, Any], pulley: Mapping[str, Any]) -> None:
    """Length of the key and, where a torque is known, the stress in key and hub at rated and at starting torque."""
    length = _length(sheet, key, motor, pulley)
    rated = _rated_torque(sheet, request)
    if rated is None:
        return
    diameter = motor.sizes["shaft_diameter"]
    sheet.value("torque", rated)
    sheet.value("key_force", sheet.step("force on the key", keys.key_force, unit="N", T=rated, D=diameter))
    stands = sheet.step("height of the key in the hub", keys.height_in_hub, unit="mm", h=key.height, t1=key.shaft_depth)
    starting = _starting_torque(sheet, request, rated)
    limit = _shear_limit(sheet)
    hub = row_of(sheet, "key/bearing-limits", material=hub_material(sheet, pulley))
    for when, torque, suffix in (("rated", rated, ""), ("starting", starting, "_at_start")):
        shear = sheet.step(
            f"shear in the key at {when} torque",
            keys.key_shear_stress,
            unit="MPa",
            T=torque,
            D=diameter,
            W=key.width,
            L=length,
        )
        bearing = sheet.step(
            f"pressure on the hub keyway at {when} torque",
            keys.key_bearing_stress,
            unit="MPa",
            T=torque,
            D=diameter,
            b=stands,
            L=length,
        )
        sheet.value(f"key_shear_stress{suffix}", shear)
        sheet.value(f"key_bearing_stress{suffix}", bearing)
        bad = Outcome.REJECT if when == "rated" else Outcome.CAUTION
        kept = shear.si <= limit.si * (1 + 1e-9)
        because = f"Shear in the key is {short(shear)} at {when} torque, {limit} is allowed."
        rule = sheet.book.rule("key/shear-limit")
        sheet.find(Outcome.ACCEPT if kept else bad, rule, because=because, measured=shear, limit=limit)
        kept = bearing.si <= hub.q("pressure").si * (1 + 1e-9)
        sheet.find(
            Outcome.ACCEPT if kept else bad,
            hub,
            because=f"Pressure on the hub keyway is {short(bearing)} at {when} torque.",
            measured=bearing,
            limit=hub.q("pressure"),
        )
    _shaft_end(sheet, motor, rated)


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
            sheet.next_step(
                f"The hub is longer than the shaft end of {motor.sizes['shaft_length']}: let it overhang towards the motor side only if it clears the end shield."
            )
    else:
        longest = sheet.step("longest useful key", "L = q × D", unit="mm", rule=cap, q=cap.value, D=diameter)
        length = _standard_length(sheet, min([longest, *ends], key=lambda found: found.si), key)
        sheet.assume("key_length", length, cap)
    sheet.value("key_length", length)
    return length


def _standard_length(sheet: Sheet, longest: Quantity, key: Key) -> Quantity:
    if key.system != "din-6885":
        return longest
    row = sheet.book.table("key/preferred-lengths").row_at_or_below("length", longest)
    return longest if row is None else row.q("length")


def _rated_torque(sheet: Sheet, request: Mapping[str, Any]) -> Quantity | None:
    motor = request["new_motor"]
    if "torque" in request:
        torque: Quantity = request["torque"]
        return torque.to("N.m")
    if "power" in motor and "speed" in motor:
        return sheet.step("rated torque", "T = P / (2 × π × n)", unit="N.m", P=motor["power"], n=motor["speed"])
    return None


def _starting_torque(sheet: Sheet, request: Mapping[str, Any], rated: Quantity) -> Quantity:
    if "starting_torque" in request:
        given: Quantity = request["starting_torque"]
        return given.to("N.m")
    factor = sheet.book.constant("key/starting-torque")
    torque = sheet.step(
        "torque at starting or stalling", "Ts = c × T", unit="N.m", rule=factor, c=factor.value, T=rated
    )
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


def set_screw(sheet: Sheet, diameter: Quantity, wall: Quantity | None, pulley: Mapping[str, Any]) -> None:
    """Size and place of the set screw, and whether the hub leaves it thread enough."""
    row = row_for(sheet.book.table("hub/set-screw"), diameter)
    if row is None:
        return
    sheet.value("set_screw", f"{row.text('metric_screw')} or {row.text('inch_screw')}")
    sheet.next_step(sheet.book.text("hub/set-screw-place"))
    if wall is None:
        return
    need = row_of(sheet, "hub/screw-thread", material=hub_material(sheet, pulley))
    share = sheet.step(
        "thread over the key in screw diameters", "q = w / d", unit="1", rule=need, w=wall, d=row.q("screw_diameter")
    )
    if share.si < need.q("least").si * (1 - 1e-9):
        because = f"Over the key the set screw would have {wall} of thread only, less than {need.q('least')} diameters: put it a quarter turn from the key, on a flat."
        sheet.find(Outcome.CAUTION, need, because=because, measured=share, limit=need.q("least"), decides=False)
    else:
        sheet.find(
            Outcome.ACCEPT,
            need,
            because=f"The set screw has {wall} of thread over the key.",
            measured=share,
            limit=need.q("least"),
            decides=False,
        )
