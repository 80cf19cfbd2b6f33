"""A whole build: the files promised, read back; the same bytes anywhere; nothing half-done."""

import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from pypdf import PdfReader

from called import called
from foamworks import pipeline
from foamworks.output import writing
from foamworks.output.summary import as_dict

ROOT = Path(__file__).parents[1]
CUTS = ROOT / "designs" / "board-cuts.toml"
FULL = ROOT / "designs" / "skerry-boost.toml"


def build(design: Path, out: Path, **how: Any) -> tuple[dict[str, Any], Path]:
    built = pipeline.build(design, out, pipeline.BuildOptions(**how))
    return built.data, built.folder


@pytest.fixture(scope="module")
def cuts(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[str, Any], Path]:
    return build(CUTS, tmp_path_factory.mktemp("cuts"))


@pytest.fixture
def plate(tmp_path: Path) -> Path:
    path = tmp_path / "plate.toml"
    path.write_text(
        '[[boards]]\nname = "b"\nthickness = 5\nsheet = [99, 99]\nmass = 5\n[[cuts]]\nname = "c"\ndisc = 9\n'
    )
    return path


def test_the_summary_lists_every_file_with_its_digest(cuts: tuple[dict[str, Any], Path]) -> None:
    data, folder = cuts
    written = {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()}
    assert written == {entry["path"] for entry in data["files"]} | {"summary.json"}
    for entry in data["files"]:
        raw = (folder / entry["path"]).read_bytes()
        assert (len(raw), hashlib.sha256(raw).hexdigest()) == (entry["bytes"], entry["sha256"])
    assert json.loads((folder / "summary.json").read_text(encoding="utf-8")) == data


def test_a_design_of_cuts_gets_exactly_its_parts_and_all_are_placed(cuts: tuple[dict[str, Any], Path]) -> None:
    data, _ = cuts
    asked = {cut.name: cut.count for cut in pipeline.load(CUTS).cuts}
    assert {part["name"]: part["count"] for part in data["parts"]} == asked
    placed = [piece["name"] for sheet in data["sheets"] for piece in sheet["parts"]]
    assert {name: placed.count(name) for name in set(placed)} == asked


def test_a_build_that_stops_half_way_leaves_the_last_one(
    tmp_path: Path, plate: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    _, folder = build(plate, out, only=frozenset({"sheets"}))
    before = {p.name: p.read_bytes() for p in folder.rglob("*") if p.is_file()}

    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(writing, "_pages", stop)
    with pytest.raises(KeyboardInterrupt):
        build(plate, out, only=frozenset({"sheets"}))
    assert {p.name: p.read_bytes() for p in folder.rglob("*") if p.is_file()} == before
    assert [p.name for p in out.iterdir()] == [folder.name]


def test_a_smaller_build_says_how_many_files_went_and_the_users_stay(tmp_path: Path, plate: Path) -> None:
    full, folder = build(plate, tmp_path / "out")
    (folder / "my-notes.txt").write_text("mine")
    said = called("build", str(plate), "--out", str(tmp_path / "out"), "--only", "sheets").stdout
    small = json.loads((folder / "summary.json").read_text(encoding="utf-8"))
    gone = {entry["path"] for entry in full["files"]} - {entry["path"] for entry in small["files"]}
    assert gone
    assert f"removed {len(gone)} files of the last build" in said
    assert not any((folder / name).exists() for name in gone)
    assert (folder / "my-notes.txt").read_text() == "mine"
    assert "my-notes.txt" not in {entry["path"] for entry in small["files"]}


def test_numbers_are_the_same_whichever_unit_they_were_given_in(tmp_path: Path) -> None:
    text = FULL.read_text(encoding="utf-8")
    inches = text.replace("chord = 214", 'chord = "21.4 cm"').replace("speed = 118", 'speed = "118 km/h"')
    inches = inches.replace("mass = 738", 'mass = "0.738 kg"').replace("impulse  = 17", 'impulse = "17 N s"')
    assert inches != text
    (tmp_path / "skerry-boost.toml").write_text(inches, encoding="utf-8")
    first, second = (as_dict(pipeline.check(path)) for path in (FULL, tmp_path / "skerry-boost.toml"))
    assert first == second


@pytest.mark.slow
def test_the_same_design_gives_the_same_bytes_in_any_process_and_folder(tmp_path: Path) -> None:
    digests = []
    for number in (1, 2):
        folder = tmp_path / f"place {number}"
        folder.mkdir()
        (folder / "skerry-boost.toml").write_bytes(FULL.read_bytes())
        subprocess.run(
            [sys.executable, "-m", "foamworks", "build", "skerry-boost.toml", "--json", "--out", "made"],
            cwd=folder, env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": str(number)}, check=True,
            capture_output=True,
        )  # fmt: skip
        made = folder / "made" / "skerry-boost"
        digests.append({p.relative_to(made).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
                        for p in made.rglob("*") if p.is_file()})  # fmt: skip
    assert digests[0] == digests[1]


@pytest.mark.slow
def test_what_the_full_build_promises_is_there_and_reads_back(tmp_path: Path) -> None:
    import cadquery
    import ezdxf
    import trimesh

    data, folder = build(FULL, tmp_path)
    prints = [part for part in data["parts"] if part["kind"] == "print"]
    steps = sorted((folder / "prints").glob("*.step"))
    assert len(steps) == len(prints)
    volumes = sorted(part["volume_mm3"] for part in prints)
    solids = [cadquery.importers.importStep(str(path)) for path in steps]
    assert all(shape.val().isValid() and len(shape.solids().vals()) == 1 for shape in solids)
    assert sorted(shape.val().Volume() for shape in solids) == pytest.approx(volumes, rel=5e-3)
    for path in (folder / "prints").glob("*.stl"):
        assert trimesh.load(path).is_volume, path.name
    for path in (folder / "sheets").glob("*.dxf"):
        audit = ezdxf.readfile(path).audit()
        assert not audit.errors
        assert not audit.fixes
    for name in ("report.html", "overview.svg", "cards.pdf", "assembly.step", "summaries/fins.md", "summaries/pod.md",
                 "summaries/sheets.md", "summaries/balance.md"):  # fmt: skip
        assert (folder / name).stat().st_size > 0


OFFCUT = """
[[boards]]
name = "board"
thickness = 5
sheet = [{ outline = [[0,0],[320,0],[320,320],[0,320]] }]
[[cuts]]
name = "plate"
rectangle = [160, 160]
count = 3
"""


def test_a_layout_that_fails_is_stamped_on_every_sheet_and_passes_nowhere(tmp_path: Path) -> None:
    path = tmp_path / "plates.toml"
    path.write_text(OFFCUT)
    data, folder = build(path, tmp_path / "out", only=frozenset({"sheets"}))
    assert {f["verdict"] for f in data["findings"] if f["check"] == "sheet-fit"} == {"fail"}
    (dxf,) = folder.glob("sheets/*.dxf")
    (svg,) = folder.glob("sheets/*.svg")
    (pdf,) = folder.glob("sheets/*.pdf")
    texts = [entity.dxf.text for entity in ezdxf.readfile(dxf).modelspace().query("TEXT")]
    assert "DOES NOT PASS" in texts
    assert "DOES NOT PASS" in svg.read_text()
    assert all("DOES NOT PASS" in page.extract_text() for page in PdfReader(pdf).pages)
    assert {path.stem for path in (dxf, svg, pdf)} == {"board-1-offcut"}


def test_the_options_for_machines_reach_the_files(tmp_path: Path) -> None:
    path = tmp_path / "plates.toml"
    path.write_text(OFFCUT.replace("count = 3", "count = 1"))
    for number, options in enumerate(({"words": True}, {"cut_only": True}, {"colours": True})):
        _, folder = build(path, tmp_path / str(number), only=frozenset({"sheets"}), **options)
        (dxf,) = folder.glob("sheets/*.dxf")
        (svg,) = folder.glob("sheets/*.svg")
        layers = [layer for layer in ezdxf.readfile(dxf).layers if layer.dxf.name in {"cut", "mark", "score", "sheet"}]
        assert len(layers) == (1 if "cut_only" in options else 4)
        assert (len({layer.dxf.color for layer in layers}) == 4) == ("colours" in options)
        assert ('height="320mm"' in svg.read_text()) == ("words" not in options)


def test_a_longer_search_says_what_it_gained(tmp_path: Path) -> None:
    path = tmp_path / "plates.toml"
    path.write_text(OFFCUT)
    built = pipeline.build(path, tmp_path / "out", pipeline.BuildOptions(only=frozenset({"sheets"}), improve=0.5))
    assert built.laid.gained == ("board: nothing gained",)  # one of three plates has room, whichever way
