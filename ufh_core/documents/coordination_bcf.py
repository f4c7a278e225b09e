"""coordination.bcf: one topic for each finding, with a view from above, the elements and a picture.

Topic ids follow from what is found and where, so that a second run keeps them; a topic of an earlier file whose
finding is gone is closed, and what others wrote stays.
Source: buildingSMART, BCF-XML 2.1 and 3.0 (markup, visinfo, version and extensions schemas).
"""

from __future__ import annotations

import uuid
import zipfile
from collections import Counter
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np

from ufh_core.basis.errors import OutputError
from ufh_core.basis.findings import Finding
from ufh_core.design_result import Design
from ufh_core.documents.issue_picture import issue_picture
from ufh_core.documents.issue_places import IssuePlace, IssueScene, issue_place, issue_scene
from ufh_core.exchange.header import written_at

VERSIONS = ("2.1", "3.0")
AUTHOR, OPEN, CLOSED = "Warmloom", "Open", "Closed"
TYPES = {"error": "Error", "warning": "Warning", "note": "Note"}
CAMERA_ABOVE_M = 2.0
TITLE_LETTERS = 100
VIEW, SNAPSHOT, MARKUP = "viewpoint.bcfv", "snapshot.png", "markup.bcf"
_NAMESPACE = uuid.uuid5(uuid.NAMESPACE_DNS, "warmloom.coordination-topic")
_FIRST_DAY = (1980, 1, 1, 0, 0, 0)

Files = dict[str, bytes]
"""Names inside the zip and their bytes."""


def write_coordination(design: Design, out: Path, version: str, earlier: Path | None = None) -> None:
    """Write the findings of a design as topics; `earlier` is the file of an earlier run, if there is one.

    Raises: as `write_topics`.
    """
    write_topics(issue_scene(design), out, version, earlier)


def write_topics(scene: IssueScene, out: Path, version: str, earlier: Path | None = None) -> None:
    """Write findings as topics; `earlier` is the file of an earlier run, if there is one.

    Raises: OutputError for a version that is not written here, or an earlier file that cannot be read.
    """
    if version not in VERSIONS:
        raise OutputError(f"--bcf {version!r}: no such version is written; choose one of {', '.join(VERSIONS)}")
    before = _read(earlier) if earlier is not None and earlier.exists() else {}
    files = _common(version)
    # of another version, ids and dates are kept and markup is not carried over
    same = before if before.get("bcf.version") == files["bcf.version"] else {}
    now = written_at().strftime("%Y-%m-%dT%H:%M:%SZ")
    for guid, finding in topic_ids(scene).items():
        _topic(files, scene, (guid, finding), version, _Earlier(before, same, guid, now))
    _others(files, same, now)
    _zip(files, out)


def topic_ids(scene: IssueScene | Design) -> dict[str, Finding]:
    """Findings by their topic's id: code and elements, so that changed figures keep it; a number for equals."""
    met: Counter[str] = Counter()
    found = {}
    for finding in scene.findings:
        key = "|".join([scene.building.project_name, finding.code, *sorted(finding.ifc_guids)])
        met[key] += 1
        found[str(uuid.uuid5(_NAMESPACE, f"{key}#{met[key]}"))] = finding
    return found


# --- the earlier file ---------------------------------------------------------------------------


class _Earlier:
    """What an earlier file says of one topic."""

    def __init__(self, before: Files, same: Files, guid: str, now: str) -> None:
        markup = before.get(f"{guid}/{MARKUP}")
        self.topic = ET.fromstring(markup).find("Topic") if markup else None
        self.created = (self.topic.findtext("CreationDate") if self.topic is not None else None) or now
        kept = ET.fromstring(same[f"{guid}/{MARKUP}"]) if f"{guid}/{MARKUP}" in same else None
        self.comments = [] if kept is None else kept.findall("Comment")
        self.in_topic = None if kept is None else kept.find("Topic/Comments")


def _read(path: Path) -> Files:
    """The earlier file."""
    try:
        with zipfile.ZipFile(path) as archive:
            files = {name: archive.read(name) for name in archive.namelist() if not name.endswith("/")}
        for name, data in files.items():
            if name.endswith(MARKUP):
                ET.fromstring(data)
    except (OSError, zipfile.BadZipFile, ET.ParseError, RuntimeError) as error:
        raise OutputError(f"{path}: the earlier topics cannot be read ({error}); move the file away") from None
    return files


def _others(files: Files, same: Files, now: str) -> None:
    """Topics of an earlier file that are not among today's: ours are closed, those of others stay."""
    today = {name.split("/")[0] for name in files}
    for name in sorted(same):
        if "/" not in name or name.split("/")[0] in today:
            continue
        files[name] = _closed(same[name], now) if name.endswith(MARKUP) else same[name]


def _closed(markup: bytes, now: str) -> bytes:
    """The markup of a topic of ours, closed; one of others unchanged."""
    root = ET.fromstring(markup)
    topic = root.find("Topic")
    if topic is None or topic.findtext("CreationAuthor") != AUTHOR or topic.get("TopicStatus") == CLOSED:
        return markup
    topic.set("TopicStatus", CLOSED)
    author = topic.find("CreationAuthor")
    place = list(topic).index(author) + 1 if author is not None else 0
    for old in (*topic.findall("ModifiedDate"), *topic.findall("ModifiedAuthor")):
        topic.remove(old)
    for offset, (tag, text) in enumerate((("ModifiedDate", now), ("ModifiedAuthor", AUTHOR))):
        made = ET.Element(tag)
        made.text = text
        topic.insert(place + offset, made)
    return _bytes(root)


# --- one topic ----------------------------------------------------------------------------------


def _topic(files: Files, scene: IssueScene, what: tuple[str, Finding], version: str, earlier: _Earlier) -> None:
    """Markup, view and picture of a finding."""
    guid, finding = what
    place = issue_place(scene, finding)
    root = ET.Element("Markup")
    topic = ET.SubElement(root, "Topic", Guid=guid, TopicType=TYPES[str(finding.severity)], TopicStatus=OPEN)
    rows = [("Title", _title(finding)), ("CreationDate", earlier.created), ("CreationAuthor", AUTHOR)]
    rows.append(("Description", f"{finding.message} [{finding.code}]"))
    for tag, text in rows:
        ET.SubElement(topic, tag).text = text
    if earlier.in_topic is not None:
        topic.append(earlier.in_topic)
    root.extend(earlier.comments)
    if place is not None:
        view = str(uuid.uuid5(_NAMESPACE, f"{guid} view"))
        holder = root if version == "2.1" else ET.SubElement(topic, "Viewpoints")
        made = ET.SubElement(holder, "Viewpoints" if version == "2.1" else "ViewPoint", Guid=view)
        ET.SubElement(made, "Viewpoint").text, ET.SubElement(made, "Snapshot").text = VIEW, SNAPSHOT
        files[f"{guid}/{VIEW}"] = _bytes(_view(scene, finding, place, view, version))
        files[f"{guid}/{SNAPSHOT}"] = issue_picture(place, finding)
    files[f"{guid}/{MARKUP}"] = _bytes(root)


def _title(finding: Finding) -> str:
    """The message, shortened to a line."""
    text = finding.message
    return text if len(text) <= TITLE_LETTERS else text[: TITLE_LETTERS - 1].rstrip() + "…"


def _view(scene: IssueScene, finding: Finding, place: IssuePlace, guid: str, version: str) -> ET.Element:
    """A parallel view straight down on the place, plan up; world coordinates in metres."""
    root = ET.Element("VisualizationInfo", Guid=guid)
    parts = ET.SubElement(root, "Components")
    if finding.ifc_guids:
        chosen = ET.SubElement(parts, "Selection")
        for element in finding.ifc_guids:
            ET.SubElement(chosen, "Component", IfcGuid=element)
    ET.SubElement(parts, "Visibility", DefaultVisibility="true")
    camera = ET.SubElement(root, "OrthogonalCamera")
    ends = np.array([(*place.middle, 0.0), (place.middle[0], place.middle[1] + 1.0, 0.0)])
    world = scene.building.frame.to_world(ends)
    spot, up = world[0], world[1] - world[0]
    _vector(camera, "CameraViewPoint", (spot[0], spot[1], place.floor_m + CAMERA_ABOVE_M))
    _vector(camera, "CameraDirection", (0.0, 0.0, -1.0))
    _vector(camera, "CameraUpVector", (up[0], up[1], 0.0))
    ET.SubElement(camera, "ViewToWorldScale").text = f"{2 * place.half_m:.3f}"
    if version == "3.0":
        ET.SubElement(camera, "AspectRatio").text = "1.0"
    return root


def _vector(camera: ET.Element, tag: str, values: tuple[float, float, float]) -> None:
    """A point or a direction."""
    made = ET.SubElement(camera, tag)
    for axis, value in zip("XYZ", values, strict=True):
        ET.SubElement(made, axis).text = f"{value + 0.0:.6f}"


# --- the container ------------------------------------------------------------------------------


def _common(version: str) -> Files:
    """The version's mark, and in 3.0 the words that topics use."""
    mark = ET.Element("Version", VersionId=version)
    if version == "2.1":
        ET.SubElement(mark, "DetailedVersion").text = version
        return {"bcf.version": _bytes(mark)}
    words = ET.Element("Extensions")
    for group, one, values in (
        ("TopicTypes", "TopicType", TYPES.values()),
        ("TopicStatuses", "TopicStatus", (OPEN, CLOSED)),
        ("Users", "User", (AUTHOR,)),
    ):
        holder = ET.SubElement(words, group)
        for value in values:
            ET.SubElement(holder, one).text = value
    return {"bcf.version": _bytes(mark), "extensions.xml": _bytes(words)}


def _bytes(root: ET.Element) -> bytes:
    """An element as a file."""
    return bytes(ET.tostring(root, encoding="utf-8", xml_declaration=True))


def _zip(files: Files, out: Path) -> None:
    """All files in the order of their names, without clock."""
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(files):
            entry = zipfile.ZipInfo(name, _FIRST_DAY)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, files[name])
