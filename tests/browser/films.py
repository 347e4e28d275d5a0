"""Videos whose every frame shows its own number, made by the browser's encoder and wrapped here.

The wrapping is WebM: EBML (RFC 8794) with the elements of Matroska (RFC 9559), one VP8 track.
"""

import base64
import struct

from playwright.sync_api import Page

WIDTH, HEIGHT = 96, 64
BLOCK = 16  # px; a frame's number stands in 4 x 3 squares, the lowest bit first
BITS = 12
KEY_EVERY = 15

ENCODE = """async ([rate, count, width, height, block, bits, keyEvery]) => {
  const canvas = new OffscreenCanvas(width, height);
  const paint = canvas.getContext("2d");
  const chunks = [];
  const encoder = new VideoEncoder({
    output: (chunk) => {
      const bytes = new Uint8Array(chunk.byteLength);
      chunk.copyTo(bytes);
      chunks.push([chunk.type === "key", btoa(String.fromCharCode(...bytes))]);
    },
    error: (error) => { throw error; },
  });
  encoder.configure({ codec: "vp8", width, height, framerate: rate, bitrate: 400000 });
  for (let n = 0; n < count; n += 1) {
    paint.fillStyle = "black";
    paint.fillRect(0, 0, width, height);
    paint.fillStyle = "white";
    for (let bit = 0; bit < bits; bit += 1) {
      if ((n >> bit) & 1) paint.fillRect((bit % 4) * block, Math.floor(bit / 4) * block, block, block);
    }
    const frame = new VideoFrame(canvas, { timestamp: Math.round((n * 1e6) / rate) });
    encoder.encode(frame, { keyFrame: n % keyEvery === 0 });
    frame.close();
  }
  await encoder.flush();
  return chunks;
}"""

READ = """([selector, block, bits]) => {
  const video = document.querySelector(selector);
  const canvas = new OffscreenCanvas(video.videoWidth, video.videoHeight);
  const paint = canvas.getContext("2d");
  paint.drawImage(video, 0, 0);
  let n = 0;
  for (let bit = 0; bit < bits; bit += 1) {
    const x = (bit % 4) * block + block / 2;
    const y = Math.floor(bit / 4) * block + block / 2;
    if (paint.getImageData(x, y, 1, 1).data[0] > 127) n += 2 ** bit;
  }
  return n;
}"""


def make_film(page: Page, rate: int, n_frames: int) -> bytes:
    """A video of ``n_frames`` at ``rate`` a second, in a page with a secure origin."""
    numbers = [rate, n_frames, WIDTH, HEIGHT, BLOCK, BITS, KEY_EVERY]
    chunks = page.evaluate(ENCODE, numbers)
    assert len(chunks) == n_frames
    clusters = b""
    for start in range(0, n_frames, KEY_EVERY):
        at_ms = round(1000 * start / rate)
        blocks = b"".join(
            _element("a3", b"\x81" + struct.pack(">h", round(1000 * n / rate) - at_ms)
                     + (b"\x80" if is_key else b"\x00") + base64.b64decode(data))
            for n, (is_key, data) in enumerate(chunks[start : start + KEY_EVERY], start)
        )  # fmt: skip
        clusters += _element("1f43b675", _number("e7", at_ms) + blocks)
    head = _element(
        "1a45dfa3",
        _number("4286", 1) + _number("42f7", 1) + _number("42f2", 4) + _number("42f3", 8)
        + _element("4282", b"webm") + _number("4287", 2) + _number("4285", 2),
    )  # fmt: skip
    info = _element(
        "1549a966",
        _number("2ad7b1", 1_000_000)  # ms
        + _element("4489", struct.pack(">d", 1000 * n_frames / rate))
        + _element("4d80", b"tests")
        + _element("5741", b"tests"),
    )
    picture = _element("e0", _number("b0", WIDTH) + _number("ba", HEIGHT))
    track = _element(
        "ae",
        _number("d7", 1) + _number("73c5", 1) + _number("83", 1)
        + _element("86", b"V_VP8") + picture,
    )  # fmt: skip
    return head + _element("18538067", info + _element("1654ae6b", track) + clusters)


def _element(identity: str, content: bytes) -> bytes:
    return bytes.fromhex(identity) + struct.pack(">Q", len(content) | 1 << 56) + content


def _number(identity: str, value: int) -> bytes:
    return _element(identity, value.to_bytes(max(1, (value.bit_length() + 7) // 8), "big"))


def frame_shown(page: Page, selector: str) -> int:
    """The number in the frame that a video shows."""
    n: int = page.evaluate(READ, [selector, BLOCK, BITS])
    return n
