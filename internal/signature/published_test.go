package signature

import (
	"bufio"
	"encoding/json"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// TestPublishedSignatures holds every cell of the published table of fault signatures against the virtual rig, read from
// the JSON that is printed: see testdata/published/fault_signatures.csv for where the numbers come from.
func TestPublishedSignatures(t *testing.T) {
	f, err := os.Open("../../testdata/published/fault_signatures.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r, of := reference(t), copper(t)
	cache, cells, faultsSeen := map[string]map[string]any{}, 0, map[string]bool{}
	for in := bufio.NewScanner(f); in.Scan(); {
		line := in.Text()
		if strings.HasPrefix(line, "#") || strings.HasPrefix(line, "fault,") {
			continue
		}
		c := strings.Split(line, ",")
		key := c[0] + " " + c[1]
		if cache[key] == nil {
			var names []string
			if c[0] != "none" {
				names = []string{c[0]}
			}
			cache[key] = asJSON(t, r.ID, func() (*Signature, error) { return Compute(r, of, c[1], names, true, 1) })
		}
		values, ok := pick(cache[key], c[2])
		if !ok || len(values) == 0 {
			t.Errorf("%s: nothing at %s", key, c[2])
		}
		for _, v := range values {
			if problem := disagrees(v, c[3], c[4]); problem != "" {
				t.Errorf("%s %s: %s", key, c[2], problem)
			}
		}
		cells++
		faultsSeen[c[0]] = true
	}
	if cells < 100 || len(faultsSeen) < 35 {
		t.Errorf("only %d cells of %d faults", cells, len(faultsSeen))
	}
}

func asJSON(t *testing.T, what string, take func() (*Signature, error)) map[string]any {
	t.Helper()
	s, err := take()
	if err != nil {
		t.Fatalf("%s: %v", what, err)
	}
	data, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	var m map[string]any
	if err := json.Unmarshal(data, &m); err != nil {
		t.Fatal(err)
	}
	return m
}

// pick finds the values at a key; nil stands for null. Points of a ring's arrays are s1, s2 …; all are the first eight.
func pick(m map[string]any, key string) ([]any, bool) {
	at := any(m)
	for _, k := range strings.Split(key, ".") {
		switch v := at.(type) {
		case map[string]any:
			if k == "max" || k == "min" {
				var all []any
				for _, x := range v {
					all = append(all, x)
				}
				return extreme(all, k), true
			}
			next, ok := v[k]
			if !ok {
				return nil, false
			}
			at = next
		case []any:
			switch {
			case k == "all":
				return v[:8], true
			case k == "max" || k == "min":
				return extreme(v, k), true
			}
			i, err := strconv.Atoi(strings.TrimPrefix(k, "s"))
			if err != nil || i > len(v) {
				return nil, false
			}
			at = v[i-1]
		}
	}
	return []any{at}, true
}

func extreme(all []any, which string) []any {
	best := all[0]
	for _, v := range all {
		x, ok := v.(float64)
		if !ok {
			return []any{nil}
		}
		if b := best.(float64); which == "max" && x > b || which == "min" && x < b {
			best = v
		}
	}
	return []any{best}
}

func disagrees(v any, want, tolerance string) string {
	x, isNumber := v.(float64)
	if want == "open" {
		if isNumber {
			return "reads " + strconv.FormatFloat(x, 'g', 6, 64) + ", published open"
		}
		return ""
	}
	if !isNumber {
		return "open, published " + want
	}
	low, high, ranged := strings.Cut(want, "..")
	a, _ := strconv.ParseFloat(low, 64)
	b, _ := strconv.ParseFloat(high, 64)
	if !ranged {
		tol, err := strconv.ParseFloat(tolerance, 64)
		if err != nil {
			return "no tolerance"
		}
		a, b = a-tol, a+tol
	}
	if x < a-1e-12 || x > b+1e-12 || math.IsNaN(x) {
		return "reads " + strconv.FormatFloat(x, 'g', 6, 64) + ", published " + want
	}
	return ""
}
