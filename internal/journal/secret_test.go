package journal

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
)

// The value was computed with Python's hashlib, which is OpenSSL's PBKDF2:
//
//	hashlib.pbkdf2_hmac('sha256', b'4417', b's-1', 100000).hex()
const hashed4417 = "code:pbkdf2-sha256:100000:d1e722e5e944db170204a85a3bbd7de86be73f1992f80090128f93cd93fe52f6"

func TestSecretHash(t *testing.T) {
	h, err := NewSecret("4417").Hash("s-1")
	must(t, err)
	if h.String() != hashed4417 {
		t.Errorf("hash %s, want %s", h, hashed4417)
	}
	if back, err := ParseHashed(hashed4417); err != nil || back != h {
		t.Errorf("read back as %v, %v", back, err)
	}
	for _, session := range []string{"s-2", ""} {
		if other, err := NewSecret("4417").Hash(session); err != nil || other == h {
			t.Errorf("session %q hashes the code to the same value (%v)", session, err)
		}
	}
	for _, bad := range []string{"", "4417", hashed4417[:len(hashed4417)-1], hashed4417 + "0", strings.ToUpper(hashed4417), " " + hashed4417,
		strings.Replace(hashed4417, ":d1e", ":D1E", 1), strings.Replace(hashed4417, ":100000:", ":1:", 1)} {
		if _, err := ParseHashed(bad); err == nil {
			t.Errorf("%q passes as a hashed code", bad)
		}
	}
}

// A secret prints as hidden whatever prints it.
func TestSecretDoesNotPrint(t *testing.T) {
	s := NewSecret("4417")
	encoded, err := json.Marshal(map[string]any{"code": s, "in": []Secret{s}, "at": &s})
	must(t, err)
	wrapped := struct{ Code Secret }{s}
	out := fmt.Sprint(s, &s, wrapped, []Secret{s}) + fmt.Sprintf("%s %q %v %+v %#v %x %d %T", s, s, s, wrapped, wrapped, s, s, s) + string(encoded)
	for _, raw := range []string{"4417", "34343137"} {
		if strings.Contains(out, raw) {
			t.Errorf("%q shows in %s", raw, out)
		}
	}
	if s.Empty() || !NewSecret("").Empty() {
		t.Error("Empty is wrong")
	}
}

// No raw code gets into a record at a hidden question, nor into the error.
func TestHiddenQuestionTakesHashesOnly(t *testing.T) {
	d := newMemDisk()
	j, err := create(d, "r", sampleHeader())
	must(t, err)
	const raw = "8215-secret"
	refused := []Event{
		{Time: "t", Type: TypeAnswer, At: "safety/supervisor/code", Raw: raw},
		{Time: "t", Type: TypeAnswer, At: "code", Raw: raw},
		{Time: "t", Type: TypeCorrect, At: "safety/supervisor/code", Raw: raw + "\xff"},
		{Time: "t", Type: TypeDecide, At: "doubts/guest-code", Raw: raw}, // named in the header
		{Time: "t", Type: TypeStop, At: "safety/supervisor/code", Raw: raw},
		{Time: "t", Type: TypeDecide, At: "doubts/accept", Raw: "yes", Params: map[string]string{"code": raw}},
		{Time: "t", Type: TypeAnswer, At: "safety/supervisor/code", Raw: TypeAnswer},
	}
	for _, e := range refused {
		if seq, err := j.Said(e); err == nil {
			t.Errorf("%+v stored as event %d", e, seq)
		} else if strings.Contains(err.Error(), raw) {
			t.Errorf("the error repeats the code: %v", err)
		}
	}
	taken := []Event{
		{Time: "t", Type: TypeAnswer, At: "safety/supervisor/code", Raw: hashed4417},
		{Time: "t", Type: TypeAnswer, At: "safety/supervisor/code", Raw: ""},
		{Time: "t", Type: TypeStop, At: "safety/supervisor/code", Raw: "stop"},
		{Time: "t", Type: TypeAnswer, At: "safety/supervisor/code", Raw: "not-yet"},
		{Time: "t", Type: TypeDecide, At: "doubts/accept", Raw: "yes", Params: map[string]string{"code": hashed4417}},
		{Time: "t", Type: TypeAnswer, At: "safety/lock/number", Raw: "4417"},
		{Time: "t", Type: TypeAnswer, At: "barcode", Raw: "4417"},
	}
	for _, e := range taken {
		if _, err := j.Said(e); err != nil {
			t.Errorf("%+v refused: %v", e, err)
		}
	}
	if bytes.Contains(d.files["r"].data, []byte(raw)) {
		t.Error("the record holds a code in clear")
	}
}

// What a hidden question holds survives resuming: the guard is set up again
// from the header.
func TestGuardAfterResuming(t *testing.T) {
	d := newMemDisk().after("r", sampleRecord(t, 1, false))
	j, _, err := open(d, "r")
	must(t, err)
	if _, err := j.Said(Event{Time: "t", Type: TypeAnswer, At: "guest-code", Raw: "4417"}); err == nil {
		t.Error("after resuming, a raw code was stored at a question that the header names hidden")
	}
}
