package judge

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"wanderlead/internal/content"
)

type vector struct {
	note, test, want, reason, limit, noLimit, key, edition string
	args                                                   []string
}

// vectors reads testdata/verdicts; a note is said once in all of them.
func vectors(t testing.TB) []vector {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "verdicts", "*.yaml"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no vectors: %v", err)
	}
	notes := map[string]string{}
	var out []vector
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		reader := content.NewReader(filepath.Base(file), data)
		for _, v := range reader.Root().Map("file", "vectors").List("vectors") {
			m := v.Map("vector", "note", "test", "args", "want", "reason", "limit", "no_limit", "key", "edition")
			x := vector{note: m.Name("note"), test: m.Name("test"), args: strings.Fields(m.Str("args")), reason: m.OptName("reason", ""),
				want: m.OneOf("want", "pass", "doubt", "fail", "error"), limit: m.OptOneOf("limit", "", limitNames...),
				noLimit: m.OptOneOf("no_limit", "", limitNames...), key: m.OptName("key", ""), edition: m.OptName("edition", "")}
			if notes[x.note] != "" {
				v.Errorf("", "the note %q is already in %s", x.note, notes[x.note])
			}
			if (x.want == "error") != (x.key != "") || (x.want == "error") == (x.reason != "") {
				v.Errorf("", "an error names a key, a verdict a reason")
			}
			notes[x.note] = filepath.Base(file)
			out = append(out, x)
		}
		if err := reader.Err(); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

var limitNames = strings.Fields(`zs_table zs_measured zs_measured_rounded ra_max ir_min ir_advice rcd_max rcd_min ramp_min ramp_max
	breaking_capacity assembly voltage_min voltage_max ze_typical ze_declared electrode_advice`)

func TestVectors(t *testing.T) {
	c := catalogue(t)
	seen := map[string]bool{}
	for _, x := range vectors(t) {
		p := pack(t, x.edition)
		q, err := ParseArgs(x.test, x.args)
		var v Verdict
		if err == nil {
			v, err = Judge(p, q)
		}
		if x.want == "error" {
			list, ok := err.(ArgErrors)
			if !ok || list[0].Key != x.key || list[0].Msg == "" {
				t.Errorf("%s: %v %+v, want an error of %s", x.note, err, v.Verdict, x.key)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", x.note, err)
			continue
		}
		if string(v.Verdict) != x.want || v.Reasons[0].ID != x.reason {
			t.Errorf("%s: %s by %v, want %s by %s", x.note, v.Verdict, v.Reasons, x.want, x.reason)
		}
		names := v.limitNames()
		if x.limit != "" && !slices.Contains(names, x.limit) || x.noLimit != "" && slices.Contains(names, x.noLimit) {
			t.Errorf("%s: limits %v, want %q and not %q", x.note, names, x.limit, x.noLimit)
		}
		if len(v.Next) == 0 {
			t.Errorf("%s: says nothing to do", x.note)
		}
		for _, r := range slices.Concat(v.Reasons, v.Next) {
			seen[r.ID] = true
			if text, err := c.Fill(r.ID, r.Params); err != nil {
				t.Errorf("%s: %v in %q", x.note, err, text)
			}
		}
	}
	// Every reason has a vector, but for those that only a session can bring about.
	session := []string{"negative-reading", "insulation-only-live-low", "insulation-only-earth-low", "zs-calculated-above"}
	for id := range Reasons() {
		if !seen[id] && !slices.Contains(session, id) && !slices.Contains(remarks, id) {
			t.Errorf("no vector brings about %q", id)
		}
		if seen[id] && slices.Contains(session, id) {
			t.Errorf("%q is not for sessions alone", id)
		}
	}
}

// remarks never come first; their tests name them.
var remarks = strings.Fields("continuity-method-2 zs-computed zs-only-5s-row zs-stricter-row ring-r2-fits")

func (v Verdict) limitNames() []string {
	var out []string
	for _, l := range v.Limits {
		out = append(out, l.Name)
	}
	return out
}
