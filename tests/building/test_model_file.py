"""Bad files end in one line that names the file; zipped and oddly named ones are read."""

import zipfile

import pytest
from building_sketch import two_rooms

from ufh_core.basis.errors import ModelReadError
from ufh_core.building.model_file import open_model
from ufh_core.building.read import read_building
from ufh_core.settings.types import Settings


def text(tmp_path) -> bytes:
    sketch, _ = two_rooms()
    return sketch.save(tmp_path, "good.ifc").read_bytes()


def refused(path) -> str:
    with pytest.raises(ModelReadError) as caught:
        read_building(path, Settings())
    words = str(caught.value)
    assert "\n" not in words
    assert str(path) in words
    return words


def test_missing_and_folder(tmp_path):
    assert "no such file" in refused(tmp_path / "absent.ifc")
    assert "folder" in refused(tmp_path)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is empty"),
        (b" \n ", "is empty"),
        (b"\xff\xd8\xff\xe0\x00\x10JFIF\x00" + bytes(500), "not an IFC file"),
        (b"<?xml version='1.0'?><ifcXML/>", "XML"),
        (b"ISO-10303-21;\nHEADER;\nENDSEC;\nEND-ISO-10303-21;\n", "none named"),
        (b"ISO-10303-21;\nHEADER;\nFILE_SCHEMA (( 'ifc4' ));\nENDSEC;\nEND-ISO-10303-21;\n", "no data section"),
    ],
)
def test_not_a_model(tmp_path, data, words):
    path = tmp_path / "picture.ifc"
    path.write_bytes(data)
    assert words in refused(path)


@pytest.mark.parametrize("share", [0.3, 0.7, 0.99])
def test_truncated(tmp_path, share):
    data = text(tmp_path)
    path = tmp_path / "cut.ifc"
    path.write_bytes(data[: int(share * len(data))])
    assert "cut off" in refused(path)


@pytest.mark.parametrize("schema", [b"IFC2X2_FINAL", b"IFC1.5", b"AUTOMOTIVE_DESIGN", b"IFC4X1", b"IFC4X2"])
def test_unsupported_schema(tmp_path, schema):
    path = tmp_path / "old.ifc"
    path.write_bytes(text(tmp_path).replace(b"'IFC4'", b"'" + schema + b"'"))
    assert f"its schema ({schema.decode()}) is not supported" in refused(path)


def test_damaged_inside(tmp_path):
    path = tmp_path / "damaged.ifc"
    path.write_bytes(text(tmp_path).replace(b"IFCPROJECT(", b"IFCBUILDING("))
    refused(path)


def test_zip_holds_the_same_building(tmp_path):
    sketch, _ = two_rooms()
    plain = sketch.save(tmp_path)
    zipped = tmp_path / "model.ifczip"
    with zipfile.ZipFile(zipped, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.write(plain, "inner/model.ifc")
    one, other = (read_building(p, Settings()) for p in (plain, zipped))
    assert one.storeys == other.storeys
    assert one.file_digest != other.file_digest


@pytest.mark.parametrize("names", [[], ["a.ifc", "b.ifc"]])
def test_zip_without_one_model(tmp_path, names):
    zipped = tmp_path / "model.ifczip"
    with zipfile.ZipFile(zipped, "w") as archive:
        archive.writestr("readme.txt", "nothing")
        for name in names:
            archive.writestr(name, "x")
    assert f"{len(names)} .ifc files" in refused(zipped)


def test_damaged_zip(tmp_path):
    path = tmp_path / "model.ifczip"
    path.write_bytes(b"PK\x03\x04" + bytes(100))
    assert "zip is damaged" in refused(path)


@pytest.mark.parametrize("name", ["дом.ifc", "住宅.ifc", "maison é.ifc"])
def test_file_names_in_any_script(tmp_path, name):
    sketch, _ = two_rooms()
    source = open_model(sketch.save(tmp_path, name))
    assert source.schema == "IFC4"
    assert len(source.digest) == 64
