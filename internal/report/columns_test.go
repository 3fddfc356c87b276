package report

import (
	"bufio"
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"wanderlead/internal/sequence"
)

func published(t testing.TB, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "published", name))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

type item struct{ section, key, unit string }

// scheduleItems reads the items of the generic schedule (BS 7671:2018 Appendix 6, model
// forms, with the items of A2:2022) from the published list.
func scheduleItems(t testing.TB) []item {
	t.Helper()
	var out []item
	section := ""
	keyed := regexp.MustCompile(`^[a-z0-9_, ]+$`)
	sc := bufio.NewScanner(strings.NewReader(published(t, "schedule_columns.md")))
	for sc.Scan() {
		line := sc.Text()
		if h, ok := strings.CutPrefix(line, "## "); ok {
			section = h
			continue
		}
		cells := strings.Split(strings.Trim(line, "| "), "|")
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		if len(cells) < 3 || !strings.HasPrefix(line, "|") || strings.HasPrefix(cells[0], "-") && len(cells[0]) > 1 {
			continue
		}
		if section != "Board header (once per board)" {
			cells = cells[1:]
		}
		if cells[0] == "key" || !keyed.MatchString(cells[0]) {
			continue
		}
		for key := range strings.SplitSeq(cells[0], ", ") {
			out = append(out, item{section, key, cells[1]})
		}
	}
	return out
}

// TestColumnsArePublished checks that every item of the published schedule has its
// column, in the same order and unit, and that each column names what it comes from.
func TestColumnsArePublished(t *testing.T) {
	var want []item
	for _, it := range scheduleItems(t) {
		if !strings.HasPrefix(it.section, "Board") {
			want = append(want, it)
		}
	}
	if len(want) < 30 {
		t.Fatalf("found %d items in the published list", len(want))
	}
	got := Columns()
	if len(got) != len(want) {
		t.Fatalf("%d columns, the published schedule has %d items", len(got), len(want))
	}
	units := map[string]string{"V d.c.": "V", "text": "", "count": "", "A-H, O": "", "BS (EN)": "", "B, C, D, gG ...": "",
		"AC, A, F, B (and S)": "", "pass/fail": "", "pass/fail/n.a.": ""}
	for i, c := range got {
		unit := want[i].unit
		if u, ok := units[unit]; ok {
			unit = u
		}
		if c.Key != want[i].key || c.Unit != unit {
			t.Errorf("column %d is %s (%s), published: %s (%s)", i+1, c.Key, c.Unit, want[i].key, unit)
		}
		if c.From == "" {
			t.Errorf("column %s does not say what it comes from", c.Key)
		}
	}
}

// TestKeysInJSON checks the keys of board and circuits against the published list, and
// the form of the whole against the command line's contract.
func TestKeysInJSON(t *testing.T) {
	m := loftMeta(t)
	js, err := Build(loft(t, sequence.Measured, "bs7671-2018-a4", &m, story...), m).JSON()
	if err != nil {
		t.Fatal(err)
	}
	var top map[string]json.RawMessage
	if err := json.Unmarshal(js, &top); err != nil {
		t.Fatal(err)
	}
	for _, k := range []string{"edition", "scripted", "board", "circuits", "ledger_open", "notice"} {
		if _, ok := top[k]; !ok {
			t.Errorf("no %q at the top", k)
		}
	}
	if len(top) != 6 {
		t.Errorf("%d keys at the top, the contract has 6", len(top))
	}
	if s := string(top["ledger_open"]); s != "[]" {
		t.Errorf("ledger_open is %s with nothing open", s)
	}
	var board map[string]json.RawMessage
	var circuits []map[string]json.RawMessage
	if json.Unmarshal(top["board"], &board) != nil || json.Unmarshal(top["circuits"], &circuits) != nil {
		t.Fatal("board or circuits have another form")
	}
	// Where our key differs from the words of the list.
	other := map[string]string{"spd_types fitted (1": "spd_types"}
	for _, it := range scheduleItems(t) {
		key := it.key
		if o, ok := other[key]; ok {
			key = o
		}
		if strings.HasPrefix(it.section, "Board") {
			if _, ok := board[key]; !ok {
				t.Errorf("the board has no %q", key)
			}
			continue
		}
		for _, c := range circuits {
			if _, ok := c[key]; !ok {
				t.Errorf("circuit %s has no %q", c["circuit_number"], key)
			}
		}
	}
	for _, key := range []string{"distribution_circuit_device", "spd_types", "spd_indicator_checked", "instruments", "tested_by"} {
		if _, ok := board[key]; !ok {
			t.Errorf("the board has no %q", key)
		}
	}
	for _, c := range circuits {
		for _, col := range Columns() {
			if col.result != nil {
				checkResult(t, string(c["circuit_number"])+" "+col.Key, c[col.Key])
			}
		}
	}
}

// checkResult holds one result against the contract.
func checkResult(t *testing.T, at string, raw json.RawMessage) {
	t.Helper()
	var r map[string]any
	if err := json.Unmarshal(raw, &r); err != nil {
		t.Errorf("%s: %v", at, err)
		return
	}
	for _, k := range []string{"state", "value", "raw", "unit", "verdict", "why"} {
		if _, ok := r[k]; !ok {
			t.Errorf("%s has no %q", at, k)
		}
	}
	_, isNumber := r["value"].(float64)
	switch state := r["state"]; state {
	case "measured", "calculated":
		if r["raw"] == "" {
			t.Errorf("%s is %s and has no text", at, state)
		}
	case "over_range":
		if isNumber || !bytes.Contains([]byte(r["raw"].(string)), []byte(">")) {
			t.Errorf("%s is over range: value %v, raw %v", at, r["value"], r["raw"])
		}
	case "not_applicable", "limitation", "not_tested":
		if isNumber || r["why"] == "" {
			t.Errorf("%s is %s: value %v, why %q", at, state, r["value"], r["why"])
		}
	default:
		t.Errorf("%s has the state %v", at, state)
	}
	switch r["verdict"] {
	case "", "pass", "doubt", "fail":
	default:
		t.Errorf("%s has the verdict %v", at, r["verdict"])
	}
}
