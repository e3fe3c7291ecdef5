"""The add-in for LibreOffice Calc: one .oxt file, put together with ``zipfile``, for which no office program is needed.

Calc stores an add-in's function as SERVICE.METHOD, so the services are called HYDRO and HYDRO_SI: then the name in the cell,
in .ods and in .xlsx is one and the same, and equal to the defined name that newer Excel knows.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from hydrocalc.arguments import Parameter
from hydrocalc.measures import SYSTEMS, Key, System
from hydrocalc.named import Named, catalogue

from .naming import PREFIX, allowed, call_name, unit_of
from .source import math_module

IDENTIFIER, VERSION, TITLE = "hydrocalc.calc.addin", "0.1.0", "Hydronic functions for Calc"
INTERFACE_MODULE, INTERFACE = "hydrocalcaddin", "XHydronicFunctions"
# A category of one's own is not shown by every version; this one is what it falls back to.
CATEGORY = "Add-In"
# A fixed date keeps the file the same on any day.
_DATE = (1980, 1, 1, 0, 0, 0)
_XML = '<?xml version="1.0" encoding="UTF-8"?>\n'


def addin() -> bytes:
    """The .oxt file."""
    files = {
        "mimetype": "application/vnd.openofficeorg.extension",
        "META-INF/manifest.xml": _MANIFEST,
        "description.xml": _DESCRIPTION,
        "hydrocalc.idl": _idl(),
        "hydrocalc.components": _components(),
        "CalcAddIns.xcu": _configuration(),
        "hydrocalc_addin.py": _component(),
        **{f"pythonpath/{_module(system)}.py": math_module(system) for system in SYSTEMS},
    }
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, text in files.items():
            entry = zipfile.ZipInfo(name, _DATE)
            entry.external_attr = 0o644 << 16
            entry.create_system = 3
            entry.compress_type = zipfile.ZIP_STORED if name == "mimetype" else zipfile.ZIP_DEFLATED
            archive.writestr(entry, text.encode("utf-8"))
    return out.getvalue()


def _module(system: System) -> str:
    return f"hydrocalc_{system}_functions"


def _implementation(system: System) -> str:
    return f"{IDENTIFIER}.{system}"


def _argument(index: int) -> str:
    """The internal name of an argument: an IDL name may not hold an underscore, and a person never sees it."""
    return f"argument{index + 1}"


def _idl() -> str:
    """The interface, one method a function; the plain text is taken as the type library.

    Numbers are ``double`` and texts ``string``, so that blank cells, texts and ranges are converted, refused or spread over an
    array formula by Calc itself, as for its own functions.
    """
    methods = "".join(f"    any {f.name.upper()}({', '.join(_idl_arguments(f))});\n" for f in catalogue().values())
    return (
        "#include <com/sun/star/uno/XInterface.idl>\n"
        f"module {INTERFACE_MODULE} {{\n  interface {INTERFACE} : com::sun::star::uno::XInterface {{\n{methods}  }};\n}};\n"
    )


def _idl_arguments(function: Named[Any]) -> Iterator[str]:
    for index, parameter in enumerate(function.parameters):
        yield f"[in] {'string' if isinstance(parameter.kind, Key) else 'double'} {_argument(index)}"


def _components() -> str:
    entries = "".join(
        f'    <implementation name="{_implementation(system)}"><service name="{PREFIX[system]}"/></implementation>\n' for system in SYSTEMS
    )
    return (
        f'{_XML}<components xmlns="http://openoffice.org/2010/uno-components">\n'
        f'  <component loader="com.sun.star.loader.Python" uri="hydrocalc_addin.py">\n{entries}  </component>\n</components>\n'
    )


def _configuration() -> str:
    """What the function wizard shows."""
    services = "".join(
        f'    <node oor:name="{PREFIX[system]}" oor:op="replace">\n      <node oor:name="AddInFunctions">\n'
        + "".join(_described(function, system) for function in catalogue().values())
        + "      </node>\n    </node>\n"
        for system in SYSTEMS
    )
    return (
        f'{_XML}<oor:component-data xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema"'
        ' oor:name="CalcAddIns" oor:package="org.openoffice.Office">\n'
        f'  <node oor:name="AddInInfo">\n{services}  </node>\n</oor:component-data>\n'
    )


def _described(function: Named[Any], system: System) -> str:
    name = call_name(function, system)
    unit = unit_of(function.result, system)
    about = f"{function.title}{f', in {unit}' if unit else ''}. Source: {function.source}"
    parameters = "".join(_described_argument(i, p, system) for i, p in enumerate(function.parameters))
    return (
        f'        <node oor:name={quoteattr(function.name.upper())} oor:op="replace">\n'
        f"{_text('DisplayName', name)}{_text('Description', about)}{_text('CompatibilityName', name)}"
        f'          <prop oor:name="Category"><value>{CATEGORY}</value></prop>\n'
        f'          <node oor:name="Parameters">\n{parameters}          </node>\n        </node>\n'
    )


def _described_argument(index: int, parameter: Parameter, system: System) -> str:
    unit = unit_of(parameter.kind, system)
    about = f"{parameter.description}{f', in {unit}' if unit and unit != 'text' else ''}; {allowed(parameter, system)}"
    return (
        f'            <node oor:name="{_argument(index)}" oor:op="replace">\n'
        f"{_text('DisplayName', parameter.name)}{_text('Description', about)}            </node>\n"
    )


def _text(name: str, value: str) -> str:
    return f'              <prop oor:name="{name}"><value xml:lang="en">{escape(value)}</value></prop>\n'


def _component() -> str:
    """The glue between Calc and the functions."""
    classes = "".join(
        _CLASS.format(name=_class(s), interface=INTERFACE, implementation=_implementation(s), service=PREFIX[s], methods=_methods(s))
        for s in SYSTEMS
    )
    registered = "".join(
        f"g_ImplementationHelper.addImplementation({_class(s)}, {_implementation(s)!r}, ({PREFIX[s]!r},))\n" for s in SYSTEMS
    )
    imports = "".join(f"import {_module(system)}\n" for system in SYSTEMS)
    return _COMPONENT.format(imports=imports, module=INTERFACE_MODULE, interface=INTERFACE, classes=classes, registered=registered)


def _class(system: System) -> str:
    return "".join(part.capitalize() for part in PREFIX[system].split("_"))


def _methods(system: System) -> str:
    lines = []
    for function in catalogue().values():
        names = "".join(f", {_argument(i)}" for i in range(len(function.parameters)))
        lines.append(f"    def {function.name.upper()}(self{names}):\n        return answer({_module(system)}.{function.name}{names})\n")
    return "\n".join(lines)


_COMPONENT = '''"""The named functions as functions of a cell.  Generated."""

import math
import struct

import unohelper
from com.sun.star.lang import XServiceInfo
from {module} import {interface}

{imports}

def error(code):
    """A number that Calc shows as an error: not a number, with the code in it."""
    return struct.unpack("<d", struct.pack("<Q", 0x7FF8 << 48 | code))[0]


NUMBER, VALUE, DIVISION, NOT_AVAILABLE = error(503), error(519), error(532), error(0x7FFF)


def answer(function, *arguments):
    """The value, or the error that Calc's own functions would give for such arguments."""
    try:
        value = function(*arguments)
    except ZeroDivisionError:
        return DIVISION
    except LookupError:
        return NOT_AVAILABLE
    except (ArithmeticError, ValueError):
        return NUMBER
    except (TypeError, AttributeError):
        return VALUE
    if isinstance(value, complex) or not math.isfinite(value):
        return NUMBER
    return float(value)

{classes}

g_ImplementationHelper = unohelper.ImplementationHelper()
{registered}'''

_CLASS = """

class {name}(unohelper.Base, {interface}, XServiceInfo):
    def __init__(self, context):
        self.context = context

    def getImplementationName(self):
        return {implementation!r}

    def supportsService(self, name):
        return name in self.getSupportedServiceNames()

    def getSupportedServiceNames(self):
        return ({service!r},)

{methods}"""

_MANIFEST = f"""{_XML}<manifest:manifest xmlns:manifest="http://openoffice.org/2001/manifest">
  <manifest:file-entry manifest:full-path="hydrocalc.idl" manifest:media-type="application/vnd.sun.star.uno-typelibrary;type=RDB"/>
  <manifest:file-entry manifest:full-path="hydrocalc.components" manifest:media-type="application/vnd.sun.star.uno-components"/>
  <manifest:file-entry manifest:full-path="CalcAddIns.xcu" manifest:media-type="application/vnd.sun.star.configuration-data"/>
</manifest:manifest>
"""

_DESCRIPTION = f"""{_XML}<description xmlns="http://openoffice.org/extensions/description/2006"
  xmlns:xlink="http://www.w3.org/1999/xlink">
  <identifier value="{IDENTIFIER}"/>
  <version value="{VERSION}"/>
  <display-name><name lang="en">{TITLE}</name></display-name>
</description>
"""
