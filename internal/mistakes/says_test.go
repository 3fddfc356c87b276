package mistakes_test

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"sort"
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/faults"
	"wanderlead/internal/judge"
	"wanderlead/internal/screen"
	"wanderlead/internal/words"
)

// Every explanation names conductors, the point where there is one, a unit where there is a value, the limit or the
// expected value where its reason carries one, and a next action on anything but a pass. What need not, and why.
var (
	noConductors = map[string]string{
		"rcd": "a device is tested and the text speaks of it; where its circuit is plugged into says the row above", "ramp": "as rcd",
		"switching": "the row above names the lamp and its positions", "inspection": "what is printed on a device", "negative-reading": "it is the null that is wrong, on whatever conductor",
		"pfc-":           "the larger of the pairs decides; of three phases it stands between no single pair",
		"insulation-low": "typed without a pair, and the text asks for it", "insulation-reduced-voltage": "a remark beside a reason that names them",
		"zs-computed": remark, "zs-only-5s-row": remark, "zs-stricter-row": remark,
	}
	noPoint = map[string]string{
		"bonding-": "one conductor, which the row above names", "earthing-conductor-": "there is only one", "earthing-": "the electrode is one; behind it no point counts",
		"insulation-": "read at the board, for the whole circuit", "rcd": "a device", "ramp": "a device", "voltage-": "the pair is named, at the incoming terminals", "pfc-": "at the origin", "ze-": "at the origin",
		"ring-": "several points together; those that stand out are named", "zs-below-sum": "the reason before it names the point", "zs-above-sum": "the reason before it names the point",
		"zs-calculated-above": "a sum, for the whole circuit", "continuity-method-2": remark, "negative-reading": "whatever point it was", "seen-": "said in the sequence's own words",
		"supply-cable-": "one cable", "zs-computed": remark, "zs-only-5s-row": remark, "zs-stricter-row": remark,
	}
	noBound = map[string]string{
		"rcd-stayed-on": "it has only to stay on", "rcd-tripped-at-half": "it has only to stay on",
		"earthing-open": "over range: there is no number to hold against the limit", "earthing-no-rating": "the limit is what is missing",
		"voltage-over-range": "it names the upper end", "insulation-reduced-voltage": remark, "pfc-nothing-to-compare": "what the device can break is what is missing",
		"insulation-equipment-pair": "it is the voltage that does not count; the limit comes with the one that does",
	}
	noUnit = map[string]string{
		"ring-ends-open": overRange, "ring-ends-all-open": overRange, "ring-crossed-open": overRange, "ring-crossed-all-open": overRange,
		"rcd-stayed-on": "the current counts, and no time is judged", "rcd-tripped-at-half": "the current counts, and no time is judged",
	}
)

const (
	remark    = "a remark beside a reason that names it"
	overRange = "what is over range has no value; the others stand in the row above"
)

// bounds are the values of a reason that say what a reading is held against.
var bounds = []string{"limit", "expected", "allowed", "high", "low", "even", "sum", "both", "breaking", "assembly", "advice", "floor"}

var (
	conductors = regexp.MustCompile(`(?i)\b(line|neutrals?|cpc|earth|conductor|r1|rn|r2|R1\+R2|R1\+Rn|Ze|Zs|electrode|earthing|bars?|LN-E)\b|\b[LN][123]?-(N|E|L[123])\b`)
	anyUnit    = regexp.MustCompile(`\d (m|k|M)?(Ω|A|V|s)\b|\d (m|k|M)?Ω`)
	// acts are the words with which something to do begins, wherever in the sentence.
	acts = regexp.MustCompile(`(?i)\b(write|let|test|set|take|repeat|use|put|null|read|see|check|look|find|tighten|count|push|short|press|compare|tell|ask|isolate|work|switch|unplug|prove|touch|stays off|name|go through|clean|tell|keep|join|measure|stop|swap)\b`)
)

// exempt reports whether a list has a reason's id, whole or by how it begins.
func exempt(list map[string]string, id string) bool {
	for k := range list {
		if id == k || strings.HasPrefix(id, k) && (strings.HasSuffix(k, "-") || k == "rcd" || k == "ramp" || k == "switching" || k == "inspection") {
			return true
		}
	}
	return false
}

// names holds a verdict as it is said against what every explanation has to name. It returns what is missing.
func names(v *judge.Verdict, reasons, next []string) (missing []string) {
	miss := func(format string, args ...any) { missing = append(missing, fmt.Sprintf(format, args...)) }
	whole := strings.Join(append(slices.Clone(reasons), next...), " ")
	if len(reasons) == 0 {
		miss("a reason")
	}
	if v.Verdict != judge.Pass && len(next) == 0 {
		miss("a next action")
	}
	for _, n := range next {
		if !acts.MatchString(n) {
			miss("something to do in %q", n)
		}
	}
	for i, r := range v.Reasons {
		text := reasons[i]
		untold := strings.HasPrefix(r.ID, "insulation-") && r.Params["pair"] == "" // typed without a pair: a session always has one
		if !untold && !exempt(noConductors, r.ID) && !conductors.MatchString(text) {
			miss("%s: conductors", r.ID)
		}
		if pair := r.Params["pair"]; pair != "" && !exempt(noConductors, r.ID) && !strings.Contains(text, pair) && !strings.HasPrefix(r.ID, "ring-ends") {
			miss("%s: the pair %s", r.ID, pair)
		}
		if point := r.Params["point"]; point != "" && !exempt(noPoint, r.ID) && !strings.Contains(text, point) {
			miss("%s: the point %s", r.ID, point)
		}
		if which := r.Params["which"]; which != "" && !strings.Contains(text, which) {
			miss("%s: %s", r.ID, which)
		}
		var held []string
		for _, b := range bounds {
			if p := r.Params[b]; p != "" {
				held = append(held, p)
			}
		}
		if len(held) > 0 && !exempt(noBound, r.ID) && !slices.ContainsFunc(held, func(p string) bool { return strings.Contains(text, p) }) {
			miss("%s: what it is held against, one of %v", r.ID, held)
		}
	}
	number := v.Value.IsNumber() || !v.Value.Given() && slices.ContainsFunc(v.Readings, func(n judge.Named) bool { return n.Reading.IsNumber() })
	if number && v.Unit.String() != "" && len(v.Reasons) > 0 && !exempt(noUnit, v.Reasons[0].ID) && !(strings.Contains(whole, v.Unit.String()) && anyUnit.MatchString(whole)) {
		miss("the unit %s", v.Unit)
	}
	return missing
}

// sayer is the screen that puts verdicts into words.
func sayer(t *testing.T) *screen.Screen {
	t.Helper()
	safe, err := screen.LoadTexts(library(t), screen.English)
	if err != nil {
		t.Fatal(err)
	}
	s, err := screen.New(screen.Options{Width: 80}, english(t), safe)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestVerdictsSayWhatTheyHaveTo plants every kind of fault on every circuit it makes sense on, takes all readings, and
// puts each verdict into words as a session does: its reasons and the next action together are at most three sentences
// and name conductors, point, unit, limit and what to do. Without WANDERLEAD_LONG a quarter of them on two rigs. With
// WANDERLEAD_TEXTS each text is written to that file once, for whoever wants to read them.
func TestVerdictsSayWhatTheyHaveTo(t *testing.T) {
	said := sayings{t: t, screen: sayer(t), ids: map[string]bool{}, texts: map[string]string{}}
	rigs := []string{"reference", "slip-outbuilding"}
	long := os.Getenv("WANDERLEAD_LONG") != ""
	if long {
		rigs = append(rigs, "training-bay", "rigging-store", "winch-workshop")
	}
	for _, name := range rigs {
		kit := scene{}.kit(t, library(t), "whole-board-full", name)
		for _, c := range kit.Rig.Circuits {
			alone := scene{circuits: []string{c.ID}}.kit(t, library(t), "whole-board-full", name).Rig
			for i, k := range faults.Kinds() {
				if !long && i%4 != len(c.ID)%4 {
					continue
				}
				if len(k.Shapes) > 0 && faults.Fits(kit.Rig, c.ID, k.ID) != nil || len(k.Shapes) == 0 && faults.Fits(kit.Rig, "", k.ID) != nil {
					continue
				}
				s := scene{rig: name, circuits: []string{c.ID}, faults: []string{k.ID + "?circuit=" + c.ID}, each: said.of(k.ID)}
				if faults.Fits(alone, c.ID, k.ID) != nil { // it needs a circuit beside
					s.circuits = nil
				}
				if len(k.Shapes) == 0 {
					s.faults = []string{k.ID}
				}
				s.view(t)
			}
		}
	}
	t.Logf("%d verdicts by %d reasons and next steps, the longest %d sentences with its next action", said.count, len(said.ids), said.longest)
	if said.count < 500 {
		t.Errorf("only %d verdicts", said.count)
	}
	said.write()
}

// sayings are verdicts as they are said.
type sayings struct {
	t              *testing.T
	screen         *screen.Screen
	ids            map[string]bool
	texts          map[string]string // by reasons and values that they carry
	count, longest int
}

func (s *sayings) of(kind string) func(*coach.State, coach.Judged) {
	return func(st *coach.State, j coach.Judged) {
		if j.Verdict == nil {
			return
		}
		s.count++
		reasons, next := s.screen.Said(st, j)
		whole := strings.Join(append(slices.Clone(reasons), next...), " ")
		key := string(j.Verdict.Verdict) + " " + j.Test
		for _, r := range slices.Concat(j.Verdict.Reasons, j.Verdict.Next) {
			s.ids[r.ID] = true
			key += " " + r.ID
		}
		if s.texts[key] == "" {
			s.texts[key] = j.Part + ": " + whole
		}
		said(s.t, kind+" "+j.Part, whole, 3)
		s.longest = max(s.longest, len(sentences.FindAllString(whole, -1)))
		for _, m := range names(j.Verdict, reasons, next) {
			s.t.Errorf("%s, %s: lacks %s: %s", kind, j.Part, m, whole)
		}
	}
}

func (s *sayings) write() {
	file := os.Getenv("WANDERLEAD_TEXTS")
	if file == "" {
		return
	}
	var lines []string
	for k, text := range s.texts {
		lines = append(lines, k+"\n    "+text+"\n")
	}
	sort.Strings(lines)
	if err := os.WriteFile(file, []byte(strings.Join(lines, "")), 0o644); err != nil {
		s.t.Error(err)
	}
}

// TestEveryReasonSaysWhatItHasTo does the same with every verdict of testdata/verdicts, which bring about every reason
// that the judge has but for those that need a session.
func TestEveryReasonSaysWhatItHasTo(t *testing.T) {
	cat, packs := english(t), map[string]*edition.Pack{}
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "verdicts", "*.yaml"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no vectors: %v", err)
	}
	ids, count := map[string]bool{}, 0
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		r := content.NewReader(filepath.Base(file), data)
		for _, v := range r.Root().Map("file", "vectors").List("vectors") {
			m := v.Map("vector", "note", "test", "args", "want", "reason", "limit", "no_limit", "key", "edition")
			if verdict := vectorVerdict(t, packs, m); verdict != nil {
				count++
				sayVector(t, cat, m.Name("note"), verdict, ids)
			}
		}
		if err := r.Err(); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d verdicts by %d reasons and next steps", count, len(ids))
	for id := range judge.Reasons() {
		if !ids[id] && !slices.Contains([]string{"negative-reading", "insulation-only-live-low", "insulation-only-earth-low", "zs-calculated-above"}, id) {
			t.Errorf("%s was not said", id)
		}
	}
}

func vectorVerdict(t *testing.T, packs map[string]*edition.Pack, m content.Map) *judge.Verdict {
	t.Helper()
	if m.Name("want") == "error" {
		return nil
	}
	q, err := judge.ParseArgs(m.Name("test"), strings.Fields(m.Str("args")))
	if err != nil {
		t.Fatal(err)
	}
	name := m.OptName("edition", edition.Default)
	if packs[name] == nil {
		if packs[name], err = edition.Load(library(t), name); err != nil {
			t.Fatal(err)
		}
	}
	v, err := judge.Judge(packs[name], q)
	if err != nil {
		t.Fatal(err)
	}
	return &v
}

func sayVector(t *testing.T, cat *words.Catalogue, note string, v *judge.Verdict, ids map[string]bool) {
	t.Helper()
	say := func(list []judge.Reason) (out []string) {
		for _, r := range list {
			ids[r.ID] = true
			text, err := cat.Fill(r.ID, r.Params)
			if err != nil {
				t.Errorf("%s: %v", note, err)
			}
			out = append(out, text)
		}
		return out
	}
	reasons, next := say(v.Reasons), say(v.Next)
	whole := strings.Join(append(slices.Clone(reasons), next...), " ")
	said(t, note, whole, 5) // without a session two reasons and two steps may stand together
	for i, r := range v.Reasons {
		if step := slices.IndexFunc(v.Next, func(n judge.Reason) bool { return n.ID != "" }); i == 0 && step >= 0 {
			said(t, note+", "+r.ID, reasons[0]+" "+next[step], 3)
		}
	}
	for _, m := range names(v, reasons, next) {
		t.Errorf("%s: lacks %s: %s", note, m, whole)
	}
}
