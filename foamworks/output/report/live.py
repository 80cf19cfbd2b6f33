"""The report as a live page: the report itself, and above it a strip that says what is watched or what is wrong.

The strip's script asks for `/state` and loads the page again when the revision there is another than its own; it keeps
what is open and where the 3-D view stood.
"""

from pathlib import Path

from foamworks.output.templates import templates

HERE = Path(__file__).parent
BODY = "<body>"  # stands once in a report before any word of the user's, which are written with &lt;


def live_page(report: str, *, file: str, revision: int, fault: str) -> str:
    """Put the strip on top of a report; `fault` is why the file as saved cannot be used, empty when it can."""
    from markupsafe import Markup

    strip = (
        templates(HERE, autoescape=True)
        .get_template("live.html")
        .render(
            file=file, revision=revision, fault=fault, script=Markup((HERE / "live.js").read_text(encoding="utf-8"))
        )
    )
    return report.replace(BODY, f"{BODY}\n{strip}", 1)
