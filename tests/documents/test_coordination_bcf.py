"""coordination.bcf: topics by finding, ids that stay, topics that close, what others wrote."""

from __future__ import annotations

import io
import sys
import zipfile
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from bcf import bcfxml
from PIL import Image
from xsdata.exceptions import ParserError

sys.path.append(str(Path(__file__).resolve().parents[1] / "exchange"))

import made_up_house as house
import made_up_pair as pair

from ufh_core.basis.errors import OutputError
from ufh_core.basis.findings import Finding, Severity
from ufh_core.design_result import Design
from ufh_core.documents.coordination_bcf import CAMERA_ABOVE_M, topic_ids, write_coordination
from ufh_core.documents.issue_places import issue_place, issue_scene

VERSIONS = ("2.1", "3.0")


def with_findings(*findings: Finding) -> Design:
    """The made-up design with given findings."""
    return replace(pair.made_up_design(house.PLACES["IFC4X3-m-far"]), findings=findings)


def room_of(design: Design) -> str:
    """A room's GlobalId."""
    return design.storeys[0].rooms[0].room


def finding(code: str, message: str = "one line", **more: object) -> Finding:
    return Finding(code=code, severity=Severity.WARNING, message=message, **more)  # type: ignore[arg-type]


@pytest.fixture(autouse=True)
def fixed_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")


def topics(path: Path) -> dict[str, ET.Element]:
    """Topics by id."""
    with zipfile.ZipFile(path) as archive:
        roots = [ET.fromstring(archive.read(n)) for n in archive.namelist() if n.endswith("markup.bcf")]
    found = [root.find("Topic") for root in roots]
    return {t.attrib["Guid"]: t for t in found if t is not None}


@pytest.mark.parametrize("version", VERSIONS)
def test_one_topic_with_view_and_picture_for_each_finding(version: str, tmp_path: Path) -> None:
    room = room_of(with_findings())
    at = (1.0, 2.0)
    design = with_findings(finding("a.one", ifc_guids=(room,)), finding("a.two", at=at), finding("a.two"))
    write_coordination(design, tmp_path / "c.bcf", version)
    assert len(topics(tmp_path / "c.bcf")) == 3
    ids = {f.code + str(f.at): guid for guid, f in topic_ids(design).items()}
    with zipfile.ZipFile(tmp_path / "c.bcf") as archive:
        mark = ET.fromstring(archive.read("bcf.version"))
        assert mark.attrib["VersionId"] == version and ("extensions.xml" in archive.namelist()) is (version == "3.0")
        first = ET.fromstring(archive.read(f"{ids['a.oneNone']}/viewpoint.bcfv"))
        assert [c.attrib["IfcGuid"] for c in first.findall("Components/Selection/Component")] == [room]
        second = ET.fromstring(archive.read(f"{ids[f'a.two{at}']}/viewpoint.bcfv"))
        spot = second.find("OrthogonalCamera/CameraViewPoint")
        assert spot is not None
        floor = min(r.floor_m for r in design.building.storeys[0].rooms)
        wanted = [*design.building.frame.to_world(np.array([at]))[0], floor + CAMERA_ABOVE_M]
        assert [float(spot.findtext(axis) or "nan") for axis in "XYZ"] == pytest.approx(wanted, abs=1e-5)
        picture = Image.open(io.BytesIO(archive.read(f"{ids[f'a.two{at}']}/snapshot.png"))).convert("RGB")
        cells = np.asarray(picture)
        assert ((cells[..., 0] > 150) & (cells[..., 1] < 80)).sum() > 50


@pytest.mark.parametrize("version", VERSIONS)
def test_ids_stay_when_figures_change_and_the_file_is_the_same_again(version: str, tmp_path: Path) -> None:
    old, new = with_findings(finding("a.one", "short by 19 W")), with_findings(finding("a.one", "short by 21 W"))
    write_coordination(old, tmp_path / "c.bcf", version)
    write_coordination(old, tmp_path / "d.bcf", version, tmp_path / "c.bcf")
    assert (tmp_path / "c.bcf").read_bytes() == (tmp_path / "d.bcf").read_bytes()
    write_coordination(new, tmp_path / "e.bcf", version, tmp_path / "c.bcf")
    assert set(topics(tmp_path / "e.bcf")) == set(topics(tmp_path / "c.bcf"))


@pytest.mark.parametrize("version", VERSIONS)
def test_resolved_topic_is_closed_and_opens_again(
    version: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    both, one = with_findings(finding("a.one"), finding("a.two")), with_findings(finding("a.one"))
    write_coordination(both, tmp_path / "1.bcf", version)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1800000000")
    write_coordination(one, tmp_path / "2.bcf", version, tmp_path / "1.bcf")
    states = {t.attrib["TopicStatus"] for t in topics(tmp_path / "2.bcf").values()}
    closed = [t for t in topics(tmp_path / "2.bcf").values() if t.attrib["TopicStatus"] == "Closed"]
    assert states == {"Open", "Closed"} and len(closed) == 1
    assert (closed[0].findtext("ModifiedDate") or "").startswith("2027")
    tags = [child.tag for child in closed[0]]
    assert tags.index("CreationAuthor") + 1 == tags.index("ModifiedDate") == tags.index("Description") - 2
    write_coordination(both, tmp_path / "3.bcf", version, tmp_path / "2.bcf")
    again = topics(tmp_path / "3.bcf").values()
    assert {t.attrib["TopicStatus"] for t in again} == {"Open"}
    assert {t.findtext("CreationDate") for t in again} == {"2023-11-14T22:13:20Z"}


def test_comments_and_topics_of_others_stay(tmp_path: Path) -> None:
    design = with_findings(finding("a.one"))
    write_coordination(design, tmp_path / "1.bcf", "2.1")
    guid = next(iter(topic_ids(design)))
    theirs = b'<Markup><Topic Guid="t" TopicStatus="Open"><CreationAuthor>architect</CreationAuthor></Topic></Markup>'
    with zipfile.ZipFile(tmp_path / "1.bcf") as archive, zipfile.ZipFile(tmp_path / "2.bcf", "w") as made:
        for name in archive.namelist():
            data = archive.read(name)
            if name == f"{guid}/markup.bcf":
                data = data.replace(b"</Topic>", b'</Topic><Comment Guid="k"><Comment>agreed</Comment></Comment>')
            made.writestr(name, data)
        made.writestr("t/markup.bcf", theirs)
    write_coordination(design, tmp_path / "3.bcf", "2.1", tmp_path / "2.bcf")
    with zipfile.ZipFile(tmp_path / "3.bcf") as archive:
        assert archive.read("t/markup.bcf") == theirs
        tags = [child.tag for child in ET.fromstring(archive.read(f"{guid}/markup.bcf"))]
    assert tags == ["Topic", "Comment", "Viewpoints"]


def test_bad_input_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "torn.bcf").write_bytes(b"PK no zip")
    for version, earlier in (("1.0", None), ("2.1", tmp_path / "torn.bcf")):
        with pytest.raises(OutputError) as caught:
            write_coordination(with_findings(), tmp_path / "c.bcf", version, earlier)
        assert "\n" not in str(caught.value)


@pytest.mark.parametrize("version", VERSIONS)
def test_another_library_reads_every_topic_with_its_view(version: str, tmp_path: Path) -> None:
    """By bcf-client, whose classes are made from the standard's schemas and refuse what these do not know."""
    room = room_of(with_findings())
    write_coordination(
        with_findings(finding("a.one", ifc_guids=(room,)), finding("a.two", at=(1.0, 2.0))), tmp_path / "c.bcf", version
    )
    with bcfxml.load(str(tmp_path / "c.bcf")) as read:
        assert read.version.version_id == version
        assert sorted(read.topics) == sorted(topics(tmp_path / "c.bcf")) and len(read.topics) == 2
        views = [view for topic in read.topics.values() for view in topic.viewpoints.values()]
        assert len(views) == 2 and all(len(view.snapshot) > 1000 for view in views)
        infos = [view.visualization_info for view in views]
        chosen = [info.components.selection for info in infos if info.components]
        assert [c.ifc_guid for some in chosen if some for c in some.component] == [room]
        assert all(info.orthogonal_camera.view_to_world_scale > 1 for info in infos)
        assert {topic.topic.topic_status for topic in read.topics.values()} == {"Open"}


@pytest.mark.parametrize("version", VERSIONS)
def test_the_other_library_refuses_what_the_standard_does_not_know(version: str, tmp_path: Path) -> None:
    write_coordination(with_findings(finding("a.one")), tmp_path / "c.bcf", version)
    with zipfile.ZipFile(tmp_path / "c.bcf") as old, zipfile.ZipFile(tmp_path / "odd.bcf", "w") as odd:
        for name in old.namelist():
            odd.writestr(name, old.read(name).replace(b"<Title>", b"<Heading>x</Heading><Title>"))
    with bcfxml.load(str(tmp_path / "odd.bcf")) as read, pytest.raises(ParserError):
        assert [topic.topic.title for topic in read.topics.values()]


def test_a_point_is_shown_on_the_storey_that_the_finding_names() -> None:
    """Two storeys lie over one another, so that the point alone fits both."""
    design = with_findings()
    storey, result = design.building.storeys[0], design.storeys[0]
    upper = replace(storey, ifc_guid="upper", name="Upper")
    design = replace(
        design,
        building=replace(design.building, storeys=(storey, upper)),
        storeys=(result, replace(result, storey="upper")),
    )
    for guid in (storey.ifc_guid, "upper"):
        place = issue_place(issue_scene(design), finding("a.one", at=(2.0, 2.0), storey=guid))
        assert place is not None and place.shown.storey.ifc_guid == guid and place.exact
