"""The compiled inner loops: optional, for without a compiler their twins in Python give the same results."""

from setuptools import Extension, setup

STABLE = {"define_macros": [("Py_LIMITED_API", "0x030b0000")], "py_limited_api": True, "optional": True}

setup(
    ext_modules=[Extension("ufh_core.circuits._field_core", ["ufh_core/circuits/_field_core.c"], **STABLE)],
    options={"bdist_wheel": {"py_limited_api": "cp311"}},
)
