"""Reads DXF files with ezdxf and prints what it finds as JSON, one entry a file. An independent reader for the tests.

Arcs of polylines are computed by ezdxf itself (ezdxf.math.bulge_to_arc). `readfile` is the strict loader: it raises on
structural errors. `audit` then lists what it would have to repair.
"""

import json
import sys

import ezdxf
from ezdxf.math import bulge_to_arc


def polyline(entity):
    points = [list(p) for p in entity.get_points("xyb")]
    arcs = []
    count = len(points) if entity.closed else len(points) - 1
    for i in range(count):
        x, y, bulge = points[i]
        end = points[(i + 1) % len(points)]
        if bulge == 0:
            arcs.append(None)
            continue
        centre, start_angle, end_angle, radius = bulge_to_arc((x, y), (end[0], end[1]), bulge)
        arcs.append({"x": centre[0], "y": centre[1], "radius": radius, "start": start_angle, "end": end_angle})
    return {"points": points, "closed": bool(entity.closed), "arcs": arcs}


def circle(entity):
    centre = entity.dxf.center
    return {"x": centre.x, "y": centre.y, "radius": entity.dxf.radius}


def report(path):
    doc = ezdxf.readfile(path)
    auditor = doc.audit()
    entities = []
    for entity in doc.modelspace():
        kind = entity.dxftype()
        shape = polyline(entity) if kind == "LWPOLYLINE" else circle(entity) if kind == "CIRCLE" else {}
        data = [tag.value for tag in entity.get_xdata("INLAYWRIGHT") if tag.code == 1000]
        entities.append({"type": kind, "layer": entity.dxf.layer, "data": data, **shape})
    record = doc.rootdict["INLAYWRIGHT_CUT_RECORD"]
    return {
        "version": doc.dxfversion,
        "units": doc.header["$INSUNITS"],
        "measurement": doc.header["$MEASUREMENT"],
        "limits": list(doc.header["$LIMMAX"])[:2],
        "extents": [list(doc.header["$EXTMIN"])[:2], list(doc.header["$EXTMAX"])[:2]],
        "layers": sorted(layer.dxf.name for layer in doc.layers),
        "errors": [error.message for error in auditor.errors],
        "fixes": [fix.message for fix in auditor.fixes],
        "entities": entities,
        "record": "".join(tag.value for tag in record.tags if tag.code == 1),
    }


print(json.dumps([report(path) for path in sys.argv[1:]]))
