"""Designs that differ in what is printed and glued: the small model with another tube, nose, retainer, fins, camera."""

TUBE = "tube = {{ inner = {0}, outer = {1}, length = {2} }}\nnozzle = {{ x = 690, z = {3} }}\n"
CAMERA = "body = { length = 52, width = 22, height = 30 }\nmass = 34\nat = "
PRINTER = "bed = [220, 220, 250]\n"


def pod(
    *,
    inner: float = 25,
    outer: float = 26.5,
    length: float = 120,
    z: float = 95,
    tilt: float = 6,
    nose: str = 'profile = "cone", length = 50',
    retainer: str = '"cap"',
    more: str = "",
) -> dict[str, str | None]:
    """Give the pod's table."""
    held = f"retainer = {retainer}\n" if retainer else ""
    return {"pod": TUBE.format(inner, outer, length, z) + f"downthrust = {tilt}\nnose = {{ {nose} }}\n{held}{more}"}


def motor(name: str, diameter: float, length: float) -> str:
    """Give a motor's table."""
    return (
        f'plugged = true\nname = "{name}"\ndiameter = {diameter}\nlength = {length}\nmass = 44\npropellant = 21\n'
        "impulse = 17\nburn = 1.7\npeak = 29"
    )


D, F = motor("D", 24, 70), motor("F", 29, 98)
WIDE = {"inner": 29.5, "outer": 31.5, "length": 130, "z": 100}
TWO = f"{F}\n[[motors]]\n{D}"
INCHES = {
    "pod": (
        'tube = { inner = "0.98 in", outer = "1.04 in", length = "4 3/4 in" }\n'
        'nozzle = { x = "27.2 in", z = "3.8 in" }\ndownthrust = 6\n'
        'nose = { profile = "parabola", length = "2 in" }\nretainer = "cap"'
    )
}

BROAD = {
    "airframe.fuselage": "sections = [{x=0, width=20, height=10, z=0}, {x=200, width=130, height=90, z=4},"
    " {x=500, width=120, height=80, z=6}, {x=800, width=100, height=50, z=10}]"
}

VARIED: dict[str, dict[str, str | None]] = {
    "cap": {},
    "hook": pod(retainer='"hook"', nose='profile = "ogive", length = 60'),
    "no retainer": pod(retainer="", nose='profile = "ellipse", length = 40'),
    "two motors": pod(**WIDE, nose='profile = "von_karman", length = 62') | {"[motors]": TWO},
    "two motors, hook": pod(**WIDE, retainer='"hook"', nose='profile = "lv_haack", length = 62') | {"[motors]": TWO},
    "twin pods": BROAD | pod(nose='profile = "haack", length = 55', more="count = 2\ny = 30", z=100, tilt=0),
    "blunt nose": pod(nose='profile = "ellipse", length = 14'),
    "power nose": pod(nose='profile = "power", length = 70, exponent = 0.6, wall = 0.8'),
    "thick wall": pod(nose='profile = "tangent_ogive", length = 60, wall = 3'),
    "small tube": pod(inner=18.4, outer=19.6, length=95, z=90) | {"[motors]": motor("C", 18, 70)},
    "large tube": pod(inner=39, outer=41.5, length=200, z=110, tilt=8, nose='profile = "von_karman", length = 110')
    | {"[motors]": motor("G", 38, 150)},
    "inches": INCHES,
    "camera under the wing": {"camera": CAMERA + "{ x = 330, y = 200, z = -20 }"},
    "camera on top": {"camera": CAMERA.replace("30", "20") + "{ x = 330, y = 0, z = 60 }"},
    "leaning fins": {
        "fins": 'root = { x = 682, y = 120, z = 32 }\ncant = 14\ntoe = 1\nboard = "board"\n'
        "shape = { aspect_ratio = 1.5, taper = 0.6, sweep = 25 }"
    },
    "wide nozzle": pod(nose='profile = "cone", length = 50, wall = 1.2')
    | {"printer": PRINTER + 'filament = { name = "PETG", density = 1.27, walls = 2, nozzle = 0.6, infill = 0.2 }'},
}
