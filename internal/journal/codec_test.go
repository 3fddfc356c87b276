package journal

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"hash/crc32"
	"os"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The expected file comes from testdata/make_small.py, a second implementation
// of the package comment that shares no code with this one.
func TestWritesWhatTheFormatSays(t *testing.T) {
	want, err := os.ReadFile("testdata/small.jsonl")
	must(t, err)
	d := newMemDisk()
	j, err := create(d, "r", sampleHeader())
	must(t, err)
	first, given, second := sampleLines()
	seq, err := j.Said(first)
	must(t, err)
	for _, g := range given {
		must(t, j.Gave(seq, g))
	}
	_, err = j.Said(second)
	must(t, err)
	must(t, j.CloseRecord("complete", "2025-11-25T09:30:00Z"))
	must(t, j.Close())
	if got := d.files["r"].data; !bytes.Equal(got, want) {
		t.Errorf("wrote\n%s\nwant\n%s", got, want)
	}
}

func TestReadsWhatTheFormatSays(t *testing.T) {
	data, err := os.ReadFile("testdata/small.jsonl")
	must(t, err)
	lines := readAll(t, data)
	first, given, second := sampleLines()
	header := sampleHeader()
	want := []Line{
		{Kind: KindHeader, Header: &header},
		{Kind: KindSaid, Said: &Said{Seq: 1, Event: first}},
		{Kind: KindGave, Gave: &Gave{Said: 1, Given: given[0]}},
		{Kind: KindGave, Gave: &Gave{Said: 1, Given: given[1]}},
		{Kind: KindSaid, Said: &Said{Seq: 2, Event: second}},
		{Kind: KindClosed, Closed: &Closed{Time: "2025-11-25T09:30:00Z", Lines: 6, How: "complete"}},
	}
	var offset int64
	for i, text := range bytes.SplitAfter(data, []byte("\n"))[:6] {
		want[i].Number, want[i].Offset = i+1, offset
		offset += int64(len(text))
	}
	if !reflect.DeepEqual(lines, want) {
		t.Errorf("read %+v, want %+v", lines, want)
	}
}

// The hash and the checksum are the published functions: SHA-256 of "abc" from
// FIPS 180-4's example file (NIST, SHA256.pdf, one-block message) and the check
// value of CRC-32/IEEE 802.3 over "123456789" (from memory: cbf43926).
func TestHashFunctions(t *testing.T) {
	h := hash(sha256.Sum256([]byte("abc")))
	if got, want := h.String(), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"; got != want {
		t.Errorf("SHA-256(abc) = %s, want %s", got, want)
	}
	e := &encoder{buf: []byte("123456789")}
	if got, want := string(e.finish()), `123456789,"crc":"cbf43926"}`+"\n"; got != want {
		t.Errorf("finished line = %q, want %q", got, want)
	}
}

// Every line, read as RFC 8259 says and taken apart without this package,
// chains and carries its checksum.
func TestEachLineStandsByItself(t *testing.T) {
	prev := strings.Repeat("0", 64)
	for i, text := range bytes.SplitAfter(sampleRecord(t, 20, true), []byte("\n")) {
		if len(text) == 0 {
			continue
		}
		var line map[string]any
		must(t, json.Unmarshal(text, &line))
		if line["prev"] != prev {
			t.Errorf("line %d: prev %v, want %s", i+1, line["prev"], prev)
		}
		body, _, _ := bytes.Cut(text, []byte(`,"crc"`))
		sum := crc32.NewIEEE()
		_, _ = sum.Write(body)
		if got := hex.EncodeToString(sum.Sum(nil)); line["crc"] != got {
			t.Errorf("line %d: crc %v, want %s", i+1, line["crc"], got)
		}
		whole := sha256.Sum256(text)
		prev = hex.EncodeToString(whole[:])
	}
}

func genText() *rapid.Generator[string] {
	odd := rapid.SampledFrom([]rune{0, 1, '\n', '\r', '\t', 0x1b, '"', '\\', '/', '<', 0x7f, 0x85, 0x9b, 0x9f, 0xa0,
		0x61b, 0x61c, 0x200d, 0x200e, 0x200f, 0x2027, 0x2028, 0x202e, 0x202f, 0x2065, 0x2066, 0x2069, 0x206a, 0xfeff, 0xfffd, 0x10ffff, 'Ω'})
	return rapid.OneOf(rapid.String(), rapid.StringOf(odd), rapid.Just(""))
}

func genMap() *rapid.Generator[map[string]string] {
	return rapid.Custom(func(t *rapid.T) map[string]string {
		m := rapid.MapOfN(genText(), genText(), 0, 4).Draw(t, "map")
		if len(m) == 0 {
			return nil // an empty map is left out and read back as none
		}
		return m
	})
}

func genNonEmpty() *rapid.Generator[string] {
	return genText().Filter(func(s string) bool { return s != "" })
}

func genLine() *rapid.Generator[Line] {
	return rapid.Custom(func(t *rapid.T) Line {
		text := func(label string) string { return genText().Draw(t, label) }
		content := rapid.Custom(func(t *rapid.T) Content {
			return Content{genNonEmpty().Draw(t, "name"), genText().Draw(t, "text")}
		})
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 0:
			h := Header{Version: text("version"), Created: text("created"), Session: text("session"), Mode: text("mode"),
				Scripted: rapid.Bool().Draw(t, "scripted"), Edition: text("edition"), Sequence: content.Draw(t, "sequence"),
				Rig: content.Draw(t, "rig"), Pack: content.Draw(t, "pack"), Fields: genMap().Draw(t, "fields")}
			if rapid.Bool().Draw(t, "seeded") {
				seed := rapid.Int64().Draw(t, "seed")
				h.Seed = &seed
			}
			if n := rapid.IntRange(0, 3).Draw(t, "included"); n > 0 {
				h.Included = rapid.SliceOfN(content, n, n).Draw(t, "includes")
				h.Hidden = rapid.SliceOfN(genNonEmpty(), n, n).Draw(t, "hidden")
			}
			return Line{Kind: KindHeader, Header: &h}
		case 1:
			return Line{Kind: KindSaid, Said: &Said{Seq: rapid.Int().Draw(t, "seq"), Event: Event{Time: text("time"), Type: text("type"),
				At: text("at"), Raw: text("raw"), Shown: text("shown"), Params: genMap().Draw(t, "params")}}}
		case 2:
			g := Gave{Said: rapid.Int().Draw(t, "said"), Given: Given{At: text("at"), Verdict: text("verdict"), Rule: text("rule"),
				Limit: text("limit"), Edition: text("edition"), Params: genMap().Draw(t, "params")}}
			for range rapid.IntRange(0, 3).Draw(t, "feedback") {
				g.Feedback = append(g.Feedback, Feedback{ID: text("id"), Params: genMap().Draw(t, "params")})
			}
			return Line{Kind: KindGave, Gave: &g}
		default:
			return Line{Kind: KindClosed, Closed: &Closed{Time: text("time"), Lines: rapid.Int().Draw(t, "lines"), How: text("how")}}
		}
	})
}

// Canonical round trip: what is written is read back equal, in valid JSON,
// on one line, with no character that acts on a terminal.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line := genLine().Draw(t, "line")
		var prev hash
		copy(prev[:], rapid.SliceOfN(rapid.Byte(), len(prev), len(prev)).Draw(t, "prev"))
		data := encode(prev, line)
		if !json.Valid(data) || bytes.IndexByte(data, '\n') != len(data)-1 {
			t.Fatalf("not one line of JSON: %q", data)
		}
		for _, r := range string(data[:len(data)-1]) {
			if r < 0x20 || r >= 0x7f && r <= 0x9f || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
				t.Fatalf("%U stands raw in %q", r, data)
			}
		}
		got, gotPrev, reason, detail := decode(data)
		if reason != "" {
			t.Fatalf("%q: %s: %s", data, reason, detail)
		}
		if gotPrev != prev || !reflect.DeepEqual(got, line) {
			t.Fatalf("%q read back as %+v, want %+v", data, got, line)
		}
	})
}

// Other spellings of the same JSON value are refused, each with its reason.
func TestOneSpellingOnly(t *testing.T) {
	said := Line{Kind: KindSaid, Said: &Said{Seq: 1, Event: Event{Time: "t", Type: "answer", Raw: "0.4/A"}}}
	good := string(encode(hash{}, said))
	tests := []struct {
		name, old, new string
		want           Reason
	}{
		{"space", `"seq":1`, `"seq": 1`, NotCanonical},
		{"carriage return", "}\n", "}\r\n", NotCanonical},
		{"leading zero", `"seq":1`, `"seq":01`, NotJSON},
		{"exponent", `"seq":1`, `"seq":1e0`, NotCanonical},
		{"float", `"seq":1`, `"seq":1.0`, NotCanonical},
		{"minus nought", `"seq":1`, `"seq":-0`, NotCanonical},
		{"huge number", `"seq":1`, `"seq":99999999999999999999`, NotCanonical},
		{"text for number", `"seq":1`, `"seq":"1"`, NotCanonical},
		{"null", `"raw":"0.4/A"`, `"raw":null`, NotCanonical},
		{"empty optional", `"type"`, `"at":"","type"`, NotCanonical},
		{"key twice", `"seq":1`, `"seq":1,"seq":1`, NotCanonical},
		{"key in capitals", `"seq"`, `"SEQ"`, NotCanonical},
		{"unknown key", `"seq":1`, `"seq":1,"more":2`, NotCanonical},
		{"keys swapped", `"time":"t","type":"answer"`, `"type":"answer","time":"t"`, NotCanonical},
		{"needless escape", `0.4/A`, `0.4\/A`, NotCanonical},
		{"escaped letter", `0.4/A`, `0.4/\u0041`, NotCanonical},
		{"lone surrogate", `0.4/A`, `0.4/\ud800`, NotCanonical},
		{"invalid UTF-8", `0.4/A`, "0.4/\xff", NotCanonical},
		{"raw control", `0.4/A`, "0.4/\x01", NotJSON},
		{"raw direction override", `0.4/A`, "0.4/\u202e", NotCanonical},
		{"other sort", `"line":"said"`, `"line":"sang"`, NotCanonical},
		{"hash in capitals", strings.Repeat("0", 64), "A" + strings.Repeat("0", 63), NotCanonical},
		{"hash too short", strings.Repeat("0", 64), strings.Repeat("0", 63), NotCanonical},
		{"changed value", `0.4/A`, `0.5/A`, WrongChecksum},
		{"changed hash", `"prev":"0`, `"prev":"1`, WrongChecksum},
		{"no checksum", `,"crc":"`, `,"cRc":"`, NotCanonical},
		{"cut off", `,"raw"`, ``, NotJSON},
		{"deep", `"raw":`, `"raw":` + strings.Repeat("[", 20000), NotJSON},
		{"array", good, "[1]\n", NotCanonical},
		{"nothing", good, "\n", NotJSON},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			bad := strings.Replace(good, tt.old, tt.new, 1)
			if bad == good {
				t.Fatalf("%q does not occur in %q", tt.old, good)
			}
			if _, _, reason, detail := decode([]byte(bad)); reason != tt.want {
				t.Errorf("%q: %q (%s), want %q", bad, reason, detail, tt.want)
			}
		})
	}
	if _, _, reason, detail := decode([]byte(good)); reason != "" {
		t.Errorf("%q: %s", good, detail)
	}
}

func TestOtherFormatIsNamed(t *testing.T) {
	data := bytes.Replace(sampleRecord(t, 0, false), []byte("record-1"), []byte("record-2"), 1)
	_, err := Read(bytes.NewReader(data))
	if err == nil || !strings.Contains(err.Error(), "wanderlead-record-2, this program reads wanderlead-record-1") {
		t.Errorf("error %v does not name the format", err)
	}
}
