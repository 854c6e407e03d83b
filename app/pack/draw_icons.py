#!/usr/bin/env python3
"""Draws the icons in public/icons: the gap mark, two upright posts and a block with a gap on both sides.

Only rectangles on whole pixels of a 64 grid, so the standard library is enough. Run it from anywhere:
`python3 app/pack/draw_icons.py`; the results are committed.
"""

import pathlib
import struct
import zlib

GRID = 64
GROUND = (0x0B, 0x55, 0x63)
MARK = (0xFC, 0xFB, 0xF7)
# x, y, width, height on the grid; all within the centre circle that a masking launcher keeps.
RECTANGLES = [(14, 16, 5, 32), (45, 16, 5, 32), (24, 28, 16, 20)]


def png(size: int) -> bytes:
    """An opaque RGB picture of `size` pixels; `size` rounds the grid to whole pixels."""
    scale = size / GRID
    pixels = [[GROUND] * size for _ in range(size)]
    for left, top, width, height in RECTANGLES:
        for y in range(round(top * scale), round((top + height) * scale)):
            for x in range(round(left * scale), round((left + width) * scale)):
                pixels[y][x] = MARK
    rows = b"".join(b"\0" + b"".join(bytes(pixel) for pixel in row) for row in pixels)

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    header = struct.pack(">IIBBBBB", size, size, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(rows, 9)) + chunk(b"IEND", b"")


def svg() -> str:
    """The same picture as lines of text."""
    shapes = "".join(f'<rect x="{x}" y="{y}" width="{w}" height="{h}"/>' for x, y, w, h in RECTANGLES)
    ground, mark = ("#%02X%02X%02X" % colour for colour in (GROUND, MARK))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {GRID} {GRID}">'
        f'<rect width="{GRID}" height="{GRID}" rx="6" fill="{ground}"/><g fill="{mark}">{shapes}</g></svg>\n'
    )


def main() -> None:
    folder = pathlib.Path(__file__).resolve().parents[2] / "public" / "icons"
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "setdown.svg").write_text(svg())
    for name, size in (("setdown-192", 192), ("setdown-512", 512), ("setdown-maskable-512", 512)):
        (folder / f"{name}.png").write_bytes(png(size))


if __name__ == "__main__":
    main()
