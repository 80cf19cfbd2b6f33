"""Meshes of the printed shapes: closed, outward, and as large as on paper; STL read back by an independent reader."""

import io
import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from shapely import Point, box

from foamworks.errors import GateError
from foamworks.output.prints.stl import stl
from foamworks.parts import mesh
from foamworks.parts.base import BackSection, Extrude, Revolve, Saddle
from foamworks.parts.nose import nose_cone
from foamworks.parts.rings import cap_plate, collar, ring_gauge, stop
from foamworks.parts.solidmath import measures, print_part

SADDLE = Saddle(
    60.0,
    24.0,
    16.0,
    66.0,
    0.12,
    (BackSection(0.0, 80.0, 92.0, 2.0), BackSection(25.0, 76.0, 84.0, 4.0), BackSection(60.0, 62.0, 60.0, 9.0)),
    -6.0,
)
SHAPES = {
    "nose": nose_cone(profile="von_karman", length=62.0, tube_outer=31.5, tube_inner=29.5),
    "solid nose": nose_cone(profile="cone", length=62.0, tube_outer=31.5, wall=40.0),
    "stop": stop(tube_inner=29.5, motor=24.0, length=28.0),
    "gauge": ring_gauge(tube_inner=29.5),
    "collar": collar(tube_outer=31.5),
    "plate": cap_plate(tube_outer=31.5, motor=29.0),
    "bar": Extrude(box(0, 0, 40, 20).difference(box(10, 5, 20, 15)), 3.0),
    "saddle": SADDLE,
}
every_shape = pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES.keys())


@every_shape
def test_an_stl_file_reads_back_as_a_closed_volume_of_the_papers_size(shape):
    data = stl(mesh.mesh(shape), "part")
    back = trimesh.load(io.BytesIO(data), file_type="stl")
    assert back.is_volume
    assert back.volume == pytest.approx(measures(shape).volume, rel=1e-3)
    assert back.extents == pytest.approx(measures(shape).box, abs=0.02)
    assert back.center_mass == pytest.approx(measures(shape).centroid, abs=0.05)


@every_shape
def test_our_own_edge_check_agrees_with_the_reader(shape):
    made = mesh.mesh(shape)
    assert made.closed
    assert not mesh.Mesh(made.vertices, made.triangles[1:]).closed
    assert not mesh.Mesh(made.vertices, np.concatenate([made.triangles[:1, ::-1], made.triangles[1:]])).closed


def test_the_sense_of_a_meridian_does_not_turn_the_mesh_inside_out():
    ring = ((0.0, 8.0), (0.0, 14.0), (6.0, 14.0), (6.0, 8.0))
    for meridian in (ring, ring[::-1]):
        assert mesh.mesh(Revolve(meridian)).volume == pytest.approx(math.pi * (14**2 - 8**2) * 6, rel=5e-4)


def test_a_round_mesh_is_small_by_the_area_of_its_polygon():
    # a regular n-gon in a circle has sin(2 pi/n)/(2 pi/n) of its area
    ring = Revolve(((0.0, 8.0), (0.0, 14.0), (6.0, 14.0), (6.0, 8.0)))
    turn = 2 * math.pi / mesh.SIDES
    assert mesh.mesh(ring).volume / measures(ring).volume == pytest.approx(math.sin(turn) / turn, rel=1e-9)


def test_the_header_names_the_part_and_is_80_bytes_before_the_count():
    data = stl(mesh.mesh(SHAPES["bar"]), "thrust ring für 24")
    assert data[:80].rstrip() == b"mm thrust ring f?r 24"
    assert int.from_bytes(data[80:84], "little") * 50 + 84 == len(data)
    assert not data.startswith(b"solid")  # readers take that word for a text file


def test_a_part_whose_paper_and_mesh_disagree_is_named():
    part = print_part("thrust ring", SHAPES["stop"])
    with pytest.raises(GateError, match=r"thrust ring: mesh volume .* on paper"):
        mesh.mesh_part(replace(part, volume_mm3=part.volume_mm3 * 1.01))
    with pytest.raises(GateError, match="thrust ring: mesh box"):
        mesh.mesh_part(replace(part, box_mm=(28.0, 29.25, 30.0)))


def test_a_part_in_two_pieces_still_closes_but_a_torn_one_is_refused(monkeypatch):
    part = print_part("disc", Extrude(Point(0, 0).buffer(10), 2.0))
    made = mesh.mesh(part.shape)
    monkeypatch.setattr(mesh, "mesh", lambda _: mesh.Mesh(made.vertices, made.triangles[3:]))
    with pytest.raises(GateError, match="disc: mesh: not closed"):
        mesh.mesh_part(part)
