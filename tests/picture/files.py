"""Picture files and colour profiles built for the tests, some of them byte by byte after their standards."""

import io
import struct
import zlib

import numpy as np


def sample(height=17, width=23, channels=3, seed=0):
    return np.random.default_rng(seed).integers(0, 256, (height, width, channels), dtype=np.uint8)


def encoded(image, kind, **options):
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def tiff(values, bits, photometric, data=None):
    """Build a grey TIFF of one strip after TIFF 6.0, section 2, without Pillow."""
    height, width = values.shape
    data = values.astype(f"<u{bits // 8}").tobytes() if data is None else data
    tags = {256: width, 257: height, 258: bits, 259: 1, 262: photometric, 273: 200, 277: 1, 278: height}
    tags[279] = len(data)
    entries = b"".join(struct.pack("<HHII", tag, 3, 1, value) for tag, value in tags.items())
    return (b"II*\0\x08\0\0\0" + struct.pack("<H", len(tags)) + entries + bytes(4)).ljust(200, b"\0") + data


def fixed(*values):
    return b"".join(struct.pack(">i", round(value * 65536)) for value in values)


def icc_profile(kind, space, connection, **tags):
    """Build a colour profile after ICC.1:2001-04 from its class, colour spaces and tags."""
    tags |= {"wtpt": b"XYZ \0\0\0\0" + fixed(0.9642, 1.0, 0.8249), "cprt": b"text\0\0\0\0test\0"}
    tags["desc"] = b"desc\0\0\0\0" + struct.pack(">I", 5) + b"test\0" + bytes(78)
    table, data = b"", b""
    start = 128 + 4 + 12 * len(tags)
    for name, body in tags.items():
        body += bytes(-len(body) % 4)
        table += struct.pack(">4sII", name.encode(), start + len(data), len(body))
        data += body
    size = start + len(data)
    header = struct.pack(">I4sI4s4s4s", size, b"none", 0x02400000, kind, space, connection)
    header += bytes(12) + b"acsp" + bytes(28) + fixed(0.9642, 1.0, 0.8249)
    return header.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + data


def gamma_curve(gamma):
    return b"curv\0\0\0\0" + struct.pack(">IH", 1, round(gamma * 256))


def matrix_profile(primaries, curve):
    """Build the profile of a screen from XYZ (D50) of red, green and blue and a curve for all three."""
    tags = {f"{name}TRC": curve for name in "rgb"}
    for name, xyz in zip("rgb", primaries, strict=True):
        tags[f"{name}XYZ"] = b"XYZ \0\0\0\0" + fixed(*xyz)
    return icc_profile(b"mntr", b"RGB ", b"XYZ ", **tags)


def ink_profile(lightness_of_ink):
    """Build the profile of a press whose black is black and whose other inks are all one grey, of this L*."""
    ramp = bytes(range(256))
    grey = round(lightness_of_ink * 2.55)
    table = b"".join(bytes([0 if node % 2 else grey if node else 255, 128, 128]) for node in range(16))
    lut = (
        b"mft1\0\0\0\0" + bytes([4, 3, 2, 0]) + fixed(1, 0, 0, 0, 1, 0, 0, 0, 1) + ramp * 4 + table + ramp * 3
    )
    return icc_profile(b"prtr", b"CMYK", b"Lab ", A2B0=lut)


# sRGB primaries adapted to D50 by Bradford, as in the sRGB profile of the ICC (from memory, 4 digits).
RED, GREEN, BLUE = (0.4361, 0.2225, 0.0139), (0.3851, 0.7169, 0.0971), (0.1431, 0.0606, 0.7141)


def png(width, height, bits, colour_type, rows, *chunks):
    """Build a PNG after ISO/IEC 15948 without Pillow; a picture of one row has its filter byte added."""

    def chunk(name, data):
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    header = (b"IHDR", struct.pack(">IIBBBBB", width, height, bits, colour_type, 0, 0, 0))
    body = (b"IDAT", zlib.compress(b"\0" + rows if rows else b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunk(*part) for part in (header, *chunks, body, (b"IEND", b"")))


def png_header(width, height):
    return png(width, height, 8, 2, b"")


def psd(pixels, resources=b""):
    """Build a flattened picture as painting programs keep it, after Adobe's file format specification.

    A header, no colour table, `resources`, no layers, and the layers laid together, channel after channel.
    """
    height, width, channels = pixels.shape
    header = struct.pack(">4sH6xHIIHH", b"8BPS", 1, channels, height, width, 8, 3)
    planes = pixels.transpose(2, 0, 1).tobytes()
    return header + bytes(4) + struct.pack(">I", len(resources)) + resources + bytes(4) + bytes(2) + planes


def psd_resource(number, data):
    return struct.pack(">4sHHI", b"8BIM", number, 0, len(data)) + data + bytes(len(data) % 2)
