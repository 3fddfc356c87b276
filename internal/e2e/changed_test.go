package e2e

import (
	"encoding/json"
	"strings"
	"testing"

	"wanderlead/internal/report"
)

// changedOnes are readings changed for a run of the program: one of each kind.
var changedOnes = []struct{ id, raw, want string }{
	{"neutral-bars/NA-NB", "0.20", "fail"},
	{"ring-1/ends/r2", "6.50", "fail"},
	{"ring-1/crossed-line-neutral/s5", ">1999", "fail"},
	{"radial-1/continuity/s3", "4.20", "fail"},
	{"lighting-1/switching/up-down", "reads", "fail"},
	{"shower-1/insulation/L-E", "0.50", "fail"},
	{"radial-2/own-bar/NA", "0.25", "fail"},
	{"ze", "2.10", "fail"},
	{"ring-2/zs/s4", "4.80", "fail"},
	{"rcd-a/rcd/one-0", "no-trip", "fail"},
	{"bonding/water", "0.30", "doubt"},
	{"cooker-1/insulation/L-N", "1.50", "doubt"},
}

// TestChangedReadingsThroughTheProgram runs the whole-board script with one reading
// changed: by default it stops at the question what the reading was; told to leave, it
// ends with the record closed, and the schedule has the reading and its verdict.
func TestChangedReadingsThroughTheProgram(t *testing.T) {
	p, moments := readings(t)
	for _, c := range changedOnes {
		t.Run(c.id, func(t *testing.T) {
			t.Parallel()
			m, i := momentOf(t, moments, c.id)
			answers := append([]answer{}, p.answers...)
			answers[m.answer].text = m.changed(i, c.raw)
			w := newWorld(t)
			r := w.run(nil, "practise", "--answers", w.write("stop.yaml", file("", "training-bay", "whole-board", "", answers)), "--journal", "stop.jsonl").must(t, 2)
			if !strings.Contains(r.err, "stop.yaml:") || !strings.Contains(r.err, "/decide is asked") {
				t.Errorf("it does not say where it stopped and what is asked: %s", r.err)
			}
			if c.want == "doubt" {
				acceptedDoubt(t, w, p, m, i, c.raw, c.id)
				return
			}
			leave := file("", "training-bay", "whole-board", "on_fail: leave\n", answers)
			w.run(nil, "practise", "--answers", w.write("leave.yaml", leave), "--journal", "leave.jsonl").must(t, 0)
			list, closed := turns(t, w.path("leave.jsonl"))
			if closed != "left" {
				t.Errorf("the record is closed %q, want left", closed)
			}
			noneLiveAfter(t, list, c.id, m.dead)
			scheduled(t, w, "leave.jsonl", c.id, c.raw, c.want)
			w.run(nil, "verify", "leave.jsonl").must(t, 0)
		})
	}
}

func momentOf(t *testing.T, moments []moment, id string) (*moment, int) {
	t.Helper()
	for k := range moments {
		for i := range moments[k].ids {
			if moments[k].ids[i] == id {
				return &moments[k], i
			}
		}
	}
	t.Fatalf("%s is never asked", id)
	return nil, 0
}

// acceptedDoubt goes on with the doubt, which the supervisor accepts at the gate.
func acceptedDoubt(t *testing.T, w *world, right *player, m *moment, i int, raw, id string) {
	t.Helper()
	p := play(t, "", "whole-board", "training-bay", "")
	p.st, p.answers = m.before, append([]answer{}, right.answers[:m.answer]...)
	p.do(answer{at: p.due().ID, key: "say", text: m.changed(i, raw)})
	p.finish()
	w.run(nil, "practise", "--answers", w.write("doubt.yaml", p.file("", "")), "--journal", "doubt.jsonl").must(t, 0)
	list, closed := turns(t, w.path("doubt.jsonl"))
	if closed != "complete" {
		t.Errorf("the record is closed %q, want complete", closed)
	}
	for _, u := range list {
		if u.At == "safety/incoming/doubts" {
			break
		}
		if u.live() {
			t.Fatalf("%s was live before the supervisor had accepted the doubt", u.At)
		}
	}
	s := scheduled(t, w, "doubt.jsonl", id, raw, "doubt")
	if len(s.Board.DoubtsAccepted) != 1 || s.Board.DoubtsAccepted[0].Reading != id || s.Board.DoubtsAccepted[0].By != cast.Supervisor {
		t.Errorf("the schedule has as accepted: %+v", s.Board.DoubtsAccepted)
	}
}

// noneLiveAfter: after a dead reading that fails nothing in the record is live; after
// a live one nothing is switched on any more.
func noneLiveAfter(t *testing.T, list []turn, id string, dead bool) {
	t.Helper()
	for _, u := range list {
		if dead && u.live() {
			t.Errorf("%s %q is live, and the reading %s failed before anything was energised", u.At, u.Raw, id)
		}
	}
	last := list[len(list)-1]
	if !strings.HasSuffix(last.At, "/decide") || last.Raw != "leave" {
		t.Errorf("the session ends with %s %q, want it left at the question about the reading", last.At, last.Raw)
	}
}

// scheduled reports on a record and looks for a reading in it.
func scheduled(t *testing.T, w *world, journal, id, raw, verdict string) report.Schedule {
	t.Helper()
	s := schedule(t, w.run(nil, "report", journal, "--json").must(t, 0).out)
	for _, got := range allReadings(s) {
		if got.ID == id {
			if got.Raw != raw || got.Verdict != verdict || got.Why == "" {
				t.Errorf("the schedule has %s as %q, %s (%s); want %q, %s with a reason", id, got.Raw, got.Verdict, got.Why, raw, verdict)
			}
			return s
		}
	}
	t.Errorf("the schedule does not have %s", id)
	return s
}

func schedule(t *testing.T, text string) report.Schedule {
	t.Helper()
	var s report.Schedule
	if err := json.Unmarshal([]byte(text), &s); err != nil {
		t.Fatal(err)
	}
	return s
}

func allReadings(s report.Schedule) []report.Reading {
	list := append([]report.Reading{}, s.Board.Readings...)
	for _, c := range s.Circuits {
		list = append(list, c.Readings...)
	}
	for _, d := range s.Board.RCDs {
		list = append(list, d.Readings...)
	}
	return list
}

// TestWholeBoard runs the script that people read: at least eight circuits of the
// shapes named, exit 0, a whole schedule, and not more answers than a person will
// bear.
func TestWholeBoard(t *testing.T) {
	w := newWorld(t)
	w.run(nil, "practise", "--answers", w.copy("answers/whole-board.yaml"), "--journal", "out.jsonl").must(t, 0)
	list, closed := turns(t, w.path("out.jsonl"))
	if closed != "complete" || len(list) > 350 {
		t.Errorf("closed %q after %d answers, want complete within 350", closed, len(list))
	}
	s := schedule(t, w.run(nil, "report", "out.jsonl", "--json").must(t, 0).out)
	if !s.Scripted || len(s.Circuits) < 8 || len(s.LedgerOpen) != 0 {
		t.Errorf("scripted %v, %d circuits, open: %v", s.Scripted, len(s.Circuits), s.LedgerOpen)
	}
	rings := 0
	for _, c := range s.Circuits {
		if c.RingR1.State == report.Measured {
			rings++
		}
		for name, res := range map[string]report.Result{"r1": c.RingR1, "rn": c.RingRN, "r2": c.RingR2, "R1+R2": c.R1PlusR2, "R2": c.R2,
			"test voltage": c.IRTestVoltage, "live to live": c.IRLiveLive, "live to earth": c.IRLiveEarth, "polarity": c.Polarity,
			"Zs": c.ZsMeasuredMax, "RCD time": c.RCDTime, "RCD button": c.RCDButton, "AFDD": c.AFDDButton} {
			given := res.State == report.Measured || res.State == report.OverRange || res.State == report.Calculated
			if !given && res.Why == "" || given && res.Raw == "" {
				t.Errorf("circuit %s, %s: state %q, raw %q and no word why", c.CircuitNumber, name, res.State, res.Raw)
			}
		}
	}
	if rings != 2 {
		t.Errorf("%d rings measured, want 2", rings)
	}
	for _, got := range allReadings(s) {
		if got.Verdict != "pass" && got.Why == "" {
			t.Errorf("%s: %s with no word why", got.ID, got.Verdict)
		}
	}
	if s.Board.Session.Ended != "complete" {
		t.Errorf("the schedule says that the session ended %q", s.Board.Session.Ended)
	}
	for _, u := range list {
		if u.Raw == code {
			t.Errorf("the supervisor's code stands in the record at %s", u.At)
		}
	}
}
