"""3MF files: read back with an XML parser and checked by a mesh library, the same bytes every time."""

import io
import zipfile

import numpy as np
import pytest
import trimesh
from lxml import etree

from foamworks.output.prints.threemf import threemf
from foamworks.parts.mesh import mesh
from foamworks.parts.nose import nose_cone
from foamworks.parts.rings import cap_plate
from foamworks.parts.solidmath import measures

SHAPES = {
    "nose": nose_cone(profile="lv_haack", length=62.0, tube_outer=31.5, tube_inner=29.5),
    "plate": cap_plate(tube_outer=31.5, motor=29.0),
}
every_shape = pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES.keys())
CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"


def model(data):
    return etree.fromstring(zipfile.ZipFile(io.BytesIO(data)).read("3D/3dmodel.model"))


def contents(data):
    root = model(data)
    spots = np.array([[float(v.get(k)) for k in "xyz"] for v in root.iter(f"{CORE}vertex")])
    corners = np.array([[int(t.get(k)) for k in ("v1", "v2", "v3")] for t in root.iter(f"{CORE}triangle")])
    return spots, corners


@every_shape
def test_it_reads_back_as_a_closed_volume_of_the_papers_size(shape):
    spots, corners = contents(threemf([("part", mesh(shape))]))
    back = trimesh.Trimesh(spots, corners, process=False)
    assert back.is_volume
    assert back.volume == pytest.approx(measures(shape).volume, rel=1e-3)


@every_shape
def test_no_two_vertices_stand_on_one_spot_and_every_index_exists(shape):
    spots, corners = contents(threemf([("part", mesh(shape))]))
    assert len(np.unique(spots, axis=0)) == len(spots)
    assert set(corners.ravel()) == set(range(len(spots)))


def test_the_object_carries_the_parts_name_and_is_on_the_plate():
    root = model(threemf([('plate <24> & "co" für', mesh(SHAPES["plate"]))]))
    (solid,) = root.iter(f"{CORE}object")
    (item,) = root.iter(f"{CORE}item")
    assert root.get("unit") == "millimeter"
    assert solid.get("name") == 'plate <24> & "co" für'
    assert item.get("objectid") == solid.get("id")


def test_the_archive_holds_what_the_format_asks_for_without_a_date():
    archive = zipfile.ZipFile(io.BytesIO(threemf([("plate", mesh(SHAPES["plate"]))])))
    assert archive.testzip() is None
    assert archive.namelist() == ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"]
    assert {info.date_time for info in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_the_same_mesh_gives_the_same_bytes():
    assert threemf([("nose", mesh(SHAPES["nose"]))]) == threemf([("nose", mesh(SHAPES["nose"]))])
