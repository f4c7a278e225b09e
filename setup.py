"""The compiled inner loops: optional, for without a compiler their twins in Python give the same results."""

from setuptools import Extension, setup

STABLE = {"define_macros": [("Py_LIMITED_API", "0x030b0000")], "py_limited_api": True, "optional": True}
COMPILED = ("_field_core", "_lane_kernel")

setup(
    ext_modules=[
        Extension(f"ufh_core.circuits.{name}", [f"ufh_core/circuits/{name}.c"], **STABLE) for name in COMPILED
    ],
    options={"bdist_wheel": {"py_limited_api": "cp311"}},
)
