# Writes small.jsonl from the format as the package comment tells it, with
# nothing but Python's hashlib and zlib: a second, independent implementation.
#   python3 make_small.py > small.jsonl
# The journal's tests compare their own output with the file, byte for byte.
import hashlib, json, sys, zlib

ESC = set(range(0x20)) | set(range(0x7F, 0xA0)) | {0x2028, 0x2029, 0xFEFF, 0x61C, 0x200E, 0x200F}
ESC |= set(range(0x202A, 0x202F)) | set(range(0x2066, 0x206A))

def s(text):
    out = ""
    for c in text:
        out += {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t"}.get(c) or (
            "\\u%04x" % ord(c) if ord(c) in ESC else c)
    return '"' + out + '"'

def v(x):
    if isinstance(x, bool):
        return "true" if x else "false"
    if isinstance(x, int):
        return str(x)
    if isinstance(x, str):
        return s(x)
    if isinstance(x, list):
        return "[" + ",".join(map(v, x)) + "]"
    return "{" + ",".join(s(k) + ":" + v(w) for k, w in x.items()) + "}"

prev = "0" * 64
def line(kind, **keys):
    global prev
    text = v({"prev": prev, "line": kind, **keys})[:-1].encode()
    text += (',"crc":"%08x"}\n' % zlib.crc32(text)).encode()
    json.loads(text)
    prev = hashlib.sha256(text).hexdigest()
    sys.stdout.buffer.write(text)

line("header", format="wanderlead-record-1", version="0.1", created="2025-11-25T09:00:00Z", session="s-1",
     mode="practise", seed=-7, scripted=True, edition="bs7671-2018-a4",
     sequence={"name": "whole-board", "text": "stages:\n\t- \"isolation\" \\ ends\n"},
     rig={"name": "training-bay", "text": "rig: bay \u2126 \u03a9 \u00b5\n"}, pack={"name": "bs7671-2018-a4", "text": ""},
     included=[{"name": "isolation", "text": "a: 1\r\n"}], hidden=["guest-code"],
     fields={"instrument serial": "B-2", "people apprentice": "\U0001f50c first year"})
line("said", seq=1, time="2025-11-25T09:00:01Z", type="answer", at="ring-1/ends/r1", raw="0.40", shown="0.40 \u03a9",
     params={"a": "", "b": "1"})
line("gave", said=1, verdict="doubt", rule="ring.ends.differ", limit="0.05 \u03a9", edition="bs7671-2018-a4",
     params={"value": "0.40"}, feedback=[{"id": "ring-ends-differ", "params": {"r1": "0.40"}}, {"id": "repeat"}])
line("gave", said=1, at="ring-1/ends/rn", verdict="pass")
line("said", seq=2, time="2025-11-25T08:00:00Z", type="remark",
     raw="\x00\x1b[31m \x7f \u009b \u2028\u2029\ufeff \u061c\u200e\u200f\u202a\u202e\u2066\u2069 \ufffd \u200d \U0001f50c </&")
line("closed", time="2025-11-25T09:30:00Z", lines=6, how="complete")
