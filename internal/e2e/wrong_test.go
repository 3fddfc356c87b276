package e2e

import (
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "rewrite the files that tests compare with")

// slip is something done wrongly, with what the record must say of it.
type slip struct {
	at, key, text string // at: the question that is due unless it says otherwise
	verdict       string // of the gave line
	rule          string // among the rules and notes of the turn
	next          string // question that is asked after it; "" is not looked at
}

// mistake is a set of slips made when a question comes up for the first time.
type mistake struct {
	what   string
	before string
	slips  []slip
}

// mistakes are the ones of the everyday list: each has been made on a practice rig or
// in service. The answers right after a mistake are right ones again.
var mistakes = []mistake{
	{"a yes in place of the supervisor's name", "supervisor/name", []slip{{text: "yes", verdict: "refused", rule: "name"}}},
	{"the leads were not nulled", "instrument/nulled/low-ohm-shorted", []slip{{text: "0.35", verdict: "set-up", rule: "instrument.not-null"}}},
	{"nobody looked whether the supply was on before it was switched off", "safety/supply/seen", []slip{{text: "not-looked", verdict: "refused", rule: "because.supply.not-looked"}}},
	{"the wrong thing is switched off and locked: one circuit's breaker, then the next bay's isolator", "safety/isolator/off", []slip{
		{text: "breaker", verdict: "refused", rule: "because.isolator.breaker", next: "safety/isolator/off"},
		{text: "other-1", verdict: "refused", rule: "because.isolator.other", next: "safety/isolator/off"},
	}},
	{"a yes in place of the padlock's number", "safety/lock/number", []slip{{text: "yes", verdict: "refused", rule: "lock-number"}}},
	{"the key stays in the padlock", "safety/lock/key", []slip{{text: "in-lock", verdict: "refused", rule: "because.key.in-lock"}}},
	{"a non-contact pen as proof", "safety/board/indicator", []slip{{text: "pen", verdict: "refused", rule: "because.indicator.pen", next: "safety/board/indicator"}}},
	{"a pair is missed", "safety/board/pairs", []slip{{text: "L-N 0, L-E 0", verdict: "refused", rule: "pairs.missing", next: "safety/board/pairs"}}},
	{"the indicator is not proved again", "safety/board/prove-again", []slip{
		{text: "skipped", verdict: "refused", rule: "because.prove-again.skipped", next: "safety/board/prove-again"},
		{text: "failed", verdict: "refused", rule: "because.prove-again.failed", next: "safety/board/indicator"},
	}},
	{"MΩ for Ω", "ring-1/ends", []slip{{text: "0.39 MΩ 0.39 MΩ 0.65 MΩ", verdict: "refused", rule: "unit-megohm", next: "ring-1/ends"}}},
	{"only one of eight sockets tried", "safety/ring-1/pairs", []slip{{text: "L-N 0, L-E 0, N-E 0", verdict: "refused", rule: "pairs.points", next: "safety/ring-1/pairs"}}},
	{"not applicable on R1+R2", "ring-1/crossed-line-cpc", []slip{{text: "n/a", verdict: "refused", rule: "not-applicable", next: "ring-1/crossed-line-cpc"}}},
	{"a link is left in", "ring-1/crossed-line-cpc/unlink", []slip{{text: "left-in", verdict: "refused", rule: "wrong-answer", next: "ring-1/crossed-line-cpc/unlink"}}},
	{"the ring's cpcs are left in a connector", "ring-1/ends/cpc-back", []slip{{text: "connector", verdict: "refused", rule: "wrong-answer", next: "ring-1/ends/cpc-back"}}},
	{"Ω for MΩ", "ring-1/insulation", []slip{{text: "211 Ω", verdict: "refused", rule: "unit-ohm", next: "ring-1/insulation"}}},
	{"the other neutral bar is named, then the lead is on it", "ring-1/own-bar/which", []slip{{text: "NB", verdict: "refused", rule: "wrong-answer", next: "ring-1/own-bar/which"}}},
	{"the neutral lead is on the other bar", "ring-1/own-bar", []slip{
		{text: ">99.9 0.20", verdict: "fail", rule: "own-bar-joined"},
		{at: "ring-1/own-bar/NA/decide", text: "lead", verdict: "taken", rule: "set-up.lead"},
		{at: "ring-1/own-bar/NB/decide", text: "lead", verdict: "taken", rule: "set-up.lead"},
	}},
	{"voltage found on a circuit taken to be dead", "safety/radial-1/pairs", []slip{{text: "L-N 230, L-E 230, N-E 0, points 3", verdict: "refused", rule: "voltage-found", next: "safety/isolator/off"}}},
	{"not applicable on R1+R2 of a radial", "radial-1/continuity", []slip{{text: "not applicable", verdict: "refused", rule: "not-applicable", next: "radial-1/continuity"}}},
	{"a neutral goes back into the other bar", "radial-1/continuity/back", []slip{{text: "wrong-bar", verdict: "refused", rule: "wrong-answer", next: "radial-1/continuity/back"}}},
	{"a cover is held by two screws", "origin/board-cover/on", []slip{{text: "two-screws", verdict: "refused", rule: "wrong-answer", next: "origin/board-cover/on"}}},
	{"at the gate a cover turns out to be off", "safety/incoming/covers", []slip{{text: "board-off", verdict: "refused", rule: "because.covers.board-off", next: "origin/board-cover/on"}}},
	{"external loop with the main switch on, then with the isolator's own padlock on it", "safety/main-switch/lock", []slip{
		{text: "on", verdict: "refused", rule: "main-switch-on", next: "safety/main-switch/lock"},
		{text: "4417", verdict: "refused", rule: "lock-same", next: "safety/main-switch/lock"},
	}},
	{"a code that is not the supervisor's", "safety/incoming/code", []slip{{text: "1111", verdict: "refused", rule: "code", next: "safety/incoming/code"}}},
	{"the earthing conductor is left off", "origin/earthing-back", []slip{{text: "later", verdict: "refused", rule: "wrong-answer", next: "origin/earthing-back"}}},
	{"the earthing conductor is off at the installation gate", "safety/installation/earthing", []slip{{text: "lifted", verdict: "refused", rule: "because.earthing.lifted", next: "origin/cover-off"}}},
	{"a correction after the gate; the reading still passes", "ring-1/zs/s4", []slip{{at: "ring-1/ends/r1", key: "correct", text: "0.40", verdict: "pass", rule: "ring-ends-match", next: "ring-1/zs/s4"}}},
	{"somebody walks in while circuits are live", "radial-1/zs/s3", []slip{
		{key: "do", text: "stop", verdict: "taken", rule: "stop.first", next: "stop/what"},
		{at: "stop/what", text: "someone-joined", verdict: "taken", rule: "perished.someone-joined", next: "safety/live/people"},
	}},
	{"a correction after the gate; the reading no longer passes", "lighting-1/zs-calculated/sum", []slip{
		{at: "radial-1/continuity/s3", key: "correct", text: "4.20", verdict: "fail", rule: "continuity-far-high", next: "safety/supply/seen"},
		{at: "safety/supply/seen", text: "lit", verdict: "taken", next: "safety/isolator/off"},
		{at: "safety/isolator/off", text: "isolator", verdict: "taken", next: "safety/lock/number"},
		{at: "safety/lock/number", text: "4417", verdict: "taken"},
		{at: "safety/lock/key", text: "on-me", verdict: "taken"},
		{at: "safety/notice/where", text: "at-isolator", verdict: "taken", next: "radial-1/continuity/s3/decide"},
		{at: "radial-1/continuity/s3/decide", text: "typed-wrong", verdict: "taken"},
	}},
	{"the rig is left as it is", "finish/hand-back", []slip{{text: "walked-off", verdict: "refused", rule: "wrong-answer", next: "finish/hand-back"}}},
}

// wrongScript writes the answers of somebody who makes every mistake once and then
// does it right.
func wrongScript(t testing.TB) *player {
	t.Helper()
	p := play(t, "", "whole-board", "training-bay", "")
	made := map[string]bool{}
	for n := 0; p.st.Ended() == "" && n < most; n++ {
		for _, m := range mistakes {
			if m.before != p.due().ID || made[m.before] {
				continue
			}
			made[m.before] = true
			p.comment = "mistake: " + m.what
			for _, s := range m.slips {
				a := answer{at: s.at, key: s.key, text: s.text}
				if a.at == "" {
					a.at = p.due().ID
				}
				if a.key == "" {
					a.key = "say"
				}
				p.do(a)
				if s.next != "" && p.due().ID != s.next {
					t.Errorf("%s: after %s %q %s is asked, want %s", m.what, a.at, a.text, p.due().ID, s.next)
				}
			}
			p.comment = "put right"
		}
		p.step()
	}
	for _, m := range mistakes {
		if !made[m.before] {
			t.Errorf("%s: %s was never asked", m.what, m.before)
		}
	}
	return p
}

// The script is kept as a file, because people read it.
func TestEverythingWrongScriptIsCurrent(t *testing.T) {
	p := wrongScript(t)
	golden(t, filepath.Join(root, "answers/everything-wrong.yaml"),
		p.file("Every mistake of the list once, each followed by the right answers.\nWhat is put right goes on; nothing live is reached by any of them.", ""))
}

// The program takes the script: every mistake is stopped or corrected, named and
// recorded where it was made, nothing live happens in between, and the run still ends
// complete.
func TestEverythingWrong(t *testing.T) {
	w := newWorld(t)
	w.run(nil, "practise", "--answers", w.copy("answers/everything-wrong.yaml"), "--journal", "wrong.jsonl").must(t, 0)
	list, closed := turns(t, w.path("wrong.jsonl"))
	if closed != "complete" {
		t.Errorf("the record is closed %q, want complete", closed)
	}
	find := func(s slip, before string, from int) int {
		for i := from; i < len(list); i++ {
			u := list[i]
			here := u.At == s.at || s.at == "" && u.At == before
			typed := u.Raw == s.text || s.rule == "code" && u.Raw != "" // a code stands there only as a hash
			if here && typed || s.key == "do" && u.Type == s.text {
				return i
			}
		}
		return -1
	}
	for _, m := range mistakes {
		at := 0 // the mistakes stand in no order here, the slips of one do
		for _, s := range m.slips {
			i := find(s, m.before, at)
			if i < 0 {
				t.Errorf("%s: %s %q is not in the record", m.what, s.at, s.text)
				continue
			}
			at = i + 1
			u := list[i]
			if u.verdict() != s.verdict || s.rule != "" && !slices.Contains(strings.Fields(u.notes()), s.rule) {
				t.Errorf("%s: %s %q came to %s %s, want %s %s", m.what, u.At, u.Raw, u.verdict(), u.notes(), s.verdict, s.rule)
			}
			if s.next != "" && at < len(list) && list[at].At != s.next {
				t.Errorf("%s: after %s %q, %s was answered, want %s", m.what, u.At, u.Raw, list[at].At, s.next)
			}
			if u.live() && s.verdict != "pass" {
				t.Errorf("%s: %s %q was an act on something live", m.what, u.At, u.Raw)
			}
		}
	}
	if r := w.run(nil, "verify", "wrong.jsonl"); r.code != 0 {
		t.Errorf("the record does not verify: %s%s", r.out, r.err)
	}
	isolatedAfterCorrection(t, list)
}

// isolatedAfterCorrection looks at what followed the correction that no longer passed:
// nothing live until the installation gate was passed again.
func isolatedAfterCorrection(t *testing.T, list []turn) {
	t.Helper()
	from := slices.IndexFunc(list, func(u turn) bool { return u.Type == "correct" && u.verdict() == "fail" })
	if from < 0 {
		t.Fatal("no correction failed")
	}
	again := slices.IndexFunc(list[from:], func(u turn) bool { return u.At == "radial-1/continuity/s3" && u.verdict() == "pass" })
	gate := slices.IndexFunc(list[from:], func(u turn) bool { return u.At == "safety/installation/switch-on" })
	if again < 0 || gate < again {
		t.Fatalf("the reading was repeated %d turns after the correction, the gate passed after %d", again, gate)
	}
	for _, u := range list[from : from+gate] {
		if u.live() {
			t.Errorf("%s %q was live work between the correction and the gate", u.At, u.Raw)
		}
	}
}

func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) != got {
		t.Errorf("%s is out of date; run with -update and read the difference", path)
	}
}
