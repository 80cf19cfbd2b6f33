"""Make what the README shows of the program: two pictures (with Chromium) and the answer as the terminal prints it.

`python designs/pictures/make.py [FOLDER]` writes overview.png and report.png into the folder, this one without; without
a folder it also puts the printed answer into the README. Run it after a change that moves numbers.
"""

import re
import shutil
import subprocess
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

from foamworks import pipeline
from foamworks.changes.answer import Answer, answered
from foamworks.checks.case import Case
from foamworks.output import summary, terminal
from foamworks.output.report.page import full_report

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
DESIGN = ROOT / "designs" / "skerry-boost.toml"
SIZES = {"overview": (1280, 1120), "report": (1280, 900)}  # pixels
BLOCK = re.compile(r"```text\n.*?```", re.DOTALL)


def pages(case: Case, answer: Answer) -> dict[str, str]:
    """Give the page that each picture is taken of."""
    report = full_report(case, summary.as_dict(case, answer), answer)
    style = "<style>body{margin:0}svg{width:1280px;height:1120px}</style>"
    return {"overview": f"<!DOCTYPE html>{style}{report.overview}", "report": report.page}


def picture(chromium: str, page: str, size: tuple[int, int], path: Path) -> None:
    """Take the top of a page as a PNG."""
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "page.html"
        source.write_text(page, encoding="utf-8")
        command = [chromium, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars"]
        window, shot = f"--window-size={size[0]},{size[1]}", f"--screenshot={path}"
        subprocess.run([*command, window, shot, source.as_uri()], check=True, capture_output=True, timeout=100)


def shown(readme: str, lines: list[str]) -> str:
    """Put the printed answer into the README's block of output."""
    block = "\n".join(["```text", *lines, "```"])
    return BLOCK.sub(lambda _: block, readme, count=1)


def main(folder: Path | None) -> None:
    """Make the pictures, and the README's block where no folder is named."""
    case = pipeline.check(DESIGN)
    answer = answered(case)
    if folder is None:
        readme = ROOT / "README.md"
        lines = terminal.answer_lines(replace(case, path=DESIGN.relative_to(ROOT)), answer)  # as it is typed there
        readme.write_text(shown(readme.read_text(encoding="utf-8"), lines), encoding="utf-8", newline="\n")
    chromium = shutil.which("chromium")
    if chromium is None:
        sys.exit("no chromium here: the pictures stay as they are")
    for name, page in pages(case, answer).items():
        picture(chromium, page, SIZES[name], (folder or HERE) / f"{name}.png")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else None)
