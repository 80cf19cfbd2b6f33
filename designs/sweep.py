"""Where should the pod's nozzle sit? One design, its nozzle moved along the back, the answer as a table.

Run it from anywhere: python designs/sweep.py
"""

import math
from pathlib import Path

from foamworks.checks import judged
from foamworks.design.load import load

DESIGN = Path(__file__).with_name("skerry-boost.toml")


def main() -> None:
    """Print the table."""
    asked = load(DESIGN)
    pod = asked.pod
    if pod is None or pod.nozzle is None:
        raise SystemExit(f"{DESIGN}: has no pod to move")
    print("nozzle x mm  downthrust deg  limited by  ballast g  least margin  greatest moment N m")
    for x in range(620, 741, 20):
        nozzle = pod.nozzle.model_copy(update={"x": x / 1000})
        case = judged(asked.model_copy(update={"pod": pod.model_copy(update={"nozzle": nozzle})}), DESIGN)
        tilt, whole = case.design.pod.downthrust if case.design.pod else math.nan, case.study
        if whole.balance is None or whole.thrust_line is None or isinstance(tilt, str):
            raise SystemExit(f"{DESIGN}: lacks what the sweep needs (masses, a pod and motors)")
        margin = min(row.static_margin or math.nan for row in whole.balance.rows)
        moment = max((row.moment for row in whole.thrust_line.rows), key=abs)
        print(
            f"{x:11d}  {math.degrees(tilt):14.1f}  {case.aircraft.limited_by or '-':>10}  "
            f"{1e3 * whole.balance.ballast:9.0f}  {100 * margin:10.1f} %  {moment:19.2f}"
        )


if __name__ == "__main__":
    main()
