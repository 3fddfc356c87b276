package coach_test

import (
	"slices"
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// Each test is a way that the exhaustive walk, or the thought of it, found to a gate or
// to a conductor without what that needs.

func answerTo(raw string) coach.Event { return coach.Event{Type: coach.Answer, Raw: raw} }

func classOf(t *testing.T, s *coach.State, id string) coach.Class {
	t.Helper()
	for _, r := range s.Results() {
		if r.ID == id {
			return r.Class
		}
	}
	t.Fatalf("no reading %s", id)
	return coach.None
}

// A repair makes every dead test of the circuit due again. Correcting what was typed
// before the repair is not doing the test again.
func TestCorrectionDoesNotStandInForARetestAfterRepair(t *testing.T) {
	s := drive(t, training(t, "radial-1"), at("radial-1/own-bar/link"))
	s = apply(t, s, coach.Event{Type: coach.Correct, At: "radial-1/continuity/s1", Raw: ">1999"})
	s = apply(t, s, answerTo("repair"))
	const id = "radial-1/insulation/L-E"
	if c := classOf(t, s, id); c != coach.None {
		t.Fatalf("%s is %s after a repair", id, c)
	}
	next, fb, err := s.Apply(coach.Event{Type: coach.Correct, At: id, Raw: ">999"})
	if err != nil {
		t.Fatal(err)
	}
	if c := classOf(t, next, id); c != coach.None || fb.Refused != "void" {
		t.Errorf("corrected after the repair it is %s (refused %q), should wait to be measured again", c, fb.Refused)
	}
}

// Covers, people, loads and supervisor are asked at a gate about the installation as it
// is then. Work on the dead installation in between makes the answers worth nothing.
func TestGateIsAskedAfreshAfterWorkInBetween(t *testing.T) {
	s := drive(t, training(t, "radial-1"), at("safety/installation/switch-on"))
	if f := s.Facts(); !f.Covers || !f.Supervisor {
		t.Fatalf("facts before switching on: %+v", f)
	}
	s = apply(t, s, coach.Event{Type: coach.Correct, At: "radial-1/continuity/s1", Raw: ">1999"})
	s = apply(t, s, answerTo("lead"))
	for range 200 {
		q, _ := s.Question()
		if q.Own && s.Program().Steps[q.Step].Want.Kind.Touches() {
			s = right(t, s)
			break
		}
		s = right(t, s)
	}
	if f := s.Facts(); f.GateAt != safety.NoKind || f.Covers || f.People || f.Supervisor || f.Loads {
		t.Errorf("hands have been on conductors, and the gate's answers still count: %+v", f)
	}
}

// A proving round is one piece: indicator, every pair, indicator. Work in between ends it.
func TestWorkEndsAProvingRound(t *testing.T) {
	s := drive(t, training(t, "radial-1", "ring-1"), at("safety/radial-1/prove-again"))
	s = apply(t, s, coach.Event{Type: coach.Correct, At: "earthing", Raw: ">1999"})
	s = apply(t, s, answerTo("lead"))
	s = right(t, s) // the earthing conductor, or the lead to it, at the board
	if f := s.Facts(); f.Round != safety.NoRound {
		t.Errorf("a round at a circuit is still under way after work at the board: %+v", f)
	}
}

// The supervisor accepts the doubts that were shown, with a code given after that.
func TestANewDoubtIsShownToTheSupervisor(t *testing.T) {
	s := drive(t, training(t, "radial-1"), at("radial-1/insulation"))
	s = apply(t, s, answerTo(">999 >999 1.5"))
	s = apply(t, s, answerTo("go-on"))
	s = onward(t, s, at("safety/incoming/switch-on"))
	s = apply(t, s, coach.Event{Type: coach.Correct, At: "radial-1/insulation/L-N", Raw: "1.5"})
	s = apply(t, s, answerTo("go-on"))
	if q, _ := s.Question(); q.ID != "safety/incoming/doubts" {
		t.Fatalf("a doubt that nobody was shown, and %s is asked", q.ID)
	}
	s = right(t, s)
	if q, _ := s.Question(); q.Fact != safety.FactSupervisor {
		t.Errorf("after new doubts were accepted %s is asked, should be the supervisor's code", q.ID)
	}
}

// A lesson that starts from an earlier record energises nothing before the supervisor
// has accepted it.
func TestRecordIsAcceptedBeforeTheGate(t *testing.T) {
	const seq = `sequence: late
title: Late
incoming: declared
start: record
stages:
  - stage: live
    title: Live
    steps:
      - include: safe-isolation
      - each: circuit
        where: {first: plug-in}
        steps:
          - include: today-check
      - include: close-board
      - include: origin-declared
      - gate: installation
      - each: circuit
        where: {first: plug-in}
        steps:
          - include: circuit-loop
%s
`
	for name, accept := range map[string]string{"never": "", "later": "      - include: record-accepted\n"} {
		s := coach.New(written(t, seq, accept))
		for n := 0; n < 300 && s.Ended() == ""; n++ {
			if s.Facts().Supply == safety.On && !s.Facts().RecordGiven {
				t.Errorf("%s: energised on a record that nobody accepted", name)
				break
			}
			s = right(t, s)
		}
		if want := map[string]string{"never": "left", "later": "complete"}[name]; s.Ended() != want {
			t.Errorf("%s: ended %q, should be %q", name, s.Ended(), want)
		}
	}
}

// Insulation taken while continuity of the circuit had been left out is taken again once
// continuity is read: what was measured to a cpc that nobody had proved proves nothing.
func TestInsulationIsTakenAgainAfterFirstContinuity(t *testing.T) {
	s := drive(t, training(t, "radial-1"), at("radial-1/continuity"))
	s = apply(t, s, answerTo("not tested: no time left"))
	s = onward(t, s, at("gate/tests"))
	const id = "radial-1/insulation/L-E"
	if c := classOf(t, s, id); c != coach.Pass {
		t.Fatalf("%s is %s", id, c)
	}
	for _, point := range []string{"s1", "s2", "s3"} {
		s = apply(t, s, coach.Event{Type: coach.Correct, At: "radial-1/continuity/" + point, Raw: "0.26"})
	}
	if c := classOf(t, s, id); c != coach.None {
		t.Errorf("%s still counts as %s", id, c)
	}
}

// A doubt about prospective fault current, above what a device can break and within
// what the assembly is rated for, goes to the supervisor before the installation goes
// on.
func TestDoubtedFaultCurrentHoldsTheInstallationGate(t *testing.T) {
	s := drive(t, trainingAt(t, "terminals", "radial-1"), at("pfc"))
	q, _ := s.Question()
	row := strings.Fields(s.RightAnswer(cast))
	row[0] = "7.5" // devices 6 kA, assembly 16 kA on this rig
	s = apply(t, s, coach.Event{Type: coach.Answer, At: q.ID, Raw: strings.Join(row, " ")})
	if c := classOf(t, s, q.PartIDs[0]); c != coach.Doubt {
		t.Fatalf("7.5 kA is %s", c)
	}
	s = apply(t, s, answerTo("go-on"))
	s = onward(t, s, func(q coach.Question) bool {
		return q.ID == "safety/installation/doubts" || q.ID == "safety/installation/switch-on"
	})
	if q, _ := s.Question(); q.ID != "safety/installation/doubts" {
		t.Fatalf("%s is asked, and nobody was shown the doubt", q.ID)
	}
	s = right(t, s)
	s = onward(t, s, at("radial-1/circuit/on"))
	if f := s.Facts(); f.Supply != safety.On {
		t.Errorf("once accepted, the supply is %s", f.Supply)
	}
	// Once on, the gate relied on what was accepted: a reading corrected to another doubt
	// is nobody's yet.
	s = apply(t, s, coach.Event{Type: coach.Correct, At: q.PartIDs[0], Raw: "1.0"})
	s = apply(t, s, coach.Event{Type: coach.Correct, At: q.PartIDs[0], Raw: "8.5"})
	s = apply(t, s, answerTo("go-on"))
	if q, _ := s.Question(); q.Fact != safety.FactSeen && q.Fact != safety.FactOff {
		t.Errorf("%s is asked, should be isolation", q.ID)
	}
}

// Insulation that was left out and is done when the earthing conductor is off already:
// the conductor goes back first, and comes off again for the external loop.
func TestEarthingGoesBackBeforeInsulation(t *testing.T) {
	s := drive(t, training(t, "radial-1"), at("radial-1/insulation"))
	s = apply(t, s, answerTo("not tested: no time left"))
	s = onward(t, s, at("gate/tests"))
	if !earthingOff(s) {
		t.Fatal("the earthing conductor is on at the incoming gate")
	}
	s = right(t, s)
	s = onward(t, s, at("radial-1/insulation"))
	if earthingOff(s) {
		t.Error("insulation is asked for with the earthing conductor off")
	}
	s = onward(t, s, at("safety/incoming/switch-on"))
	if !earthingOff(s) {
		t.Error("the gate is come to with the earthing conductor on: the external loop needs it off")
	}
	for s.Ended() == "" {
		s = right(t, s)
	}
	if s.Ended() != "complete" {
		t.Error(s.Ended())
	}
}

func earthingOff(s *coach.State) bool {
	return slices.ContainsFunc(s.OpenItems(), func(it sequence.Item) bool { return it.Class == safety.EarthingConductor })
}

// Insulation that failed before continuity was read stays failed when continuity is
// read: it is not simply read again, nor corrected to a reading that would stand.
func TestFailedEarlyInsulationIsNotForgotten(t *testing.T) {
	s := drive(t, training(t, "radial-1"), at("radial-1/continuity"))
	s = apply(t, s, answerTo("not tested: no time left"))
	s = onward(t, s, at("radial-1/insulation"))
	s = apply(t, s, answerTo("0.02 >299 >299"))
	s = apply(t, s, coach.Event{Type: coach.Correct, At: "radial-1/continuity/s1", Raw: "0.17"})
	const id = "radial-1/insulation/L-N"
	if c := classOf(t, s, id); c != coach.Fail {
		t.Fatalf("%s is %s", id, c)
	}
	if q, _ := s.Question(); q.ID != id+"/decide" {
		t.Errorf("%s is asked, should be what the fail was", q.ID)
	}
	next, fb, err := s.Apply(coach.Event{Type: coach.Correct, At: id, Raw: ">299"})
	if err != nil {
		t.Fatal(err)
	}
	if c := classOf(t, next, id); c != coach.Fail || fb.Refused != "void" {
		t.Errorf("corrected it is %s (refused %q): it was measured before continuity", c, fb.Refused)
	}
}

// Insulation that was left out is measured in its place, after continuity.
func TestLeftOutInsulationIsNotTypedInLater(t *testing.T) {
	s := drive(t, training(t, "radial-1"), at("radial-1/insulation"))
	s = apply(t, s, answerTo("not tested: no time left"))
	_, fb, err := s.Apply(coach.Event{Type: coach.Correct, At: "radial-1/insulation/L-N", Raw: ">299"})
	if err != nil || fb.Refused != "void" {
		t.Errorf("refused %q, %v", fb.Refused, err)
	}
}

// The notice went with the supply that was switched off because of harm: it is looked
// for again before the gate.
func TestNoticeIsUpAtTheGate(t *testing.T) {
	s := drive(t, training(t, "radial-1"), at("safety/incoming/switch-on"))
	s = apply(t, s, coach.Event{Type: coach.Stop})
	s = apply(t, s, answerTo("harm"))
	s = apply(t, s, answerTo("supervisor-took-over"))
	s = onward(t, s, at("safety/incoming/switch-on"))
	if !s.Facts().Notice {
		t.Error("supply would return with no notice at the point of isolation")
	}
}

// One padlock is not in two places, whichever of the two locks is asked for.
func TestOnePadlockIsNotInTwoPlaces(t *testing.T) {
	s := drive(t, training(t, "radial-1"), at("safety/incoming/code"))
	s = apply(t, s, coach.Event{Type: coach.Answer, Raw: "hash"})
	s = onward(t, s, at("supply")) // incoming on: the point of isolation has no lock, the main switch has
	s = apply(t, s, coach.Event{Type: coach.Correct, At: "earthing", Raw: ">1999"})
	s = onward(t, s, at("safety/lock/number"))
	_, fb, err := s.Apply(answerTo(cast.MainPadlock))
	if err != nil || fb.Refused != "lock-same" {
		t.Errorf("the main switch's own padlock: refused %q, %v", fb.Refused, err)
	}
}

// Work that goes back to before a test link takes the link off first: ends read with the
// crossed link in are of two conductors in parallel, and the next link would join three.
// The link goes on again for what is read with it.
func TestALinkIsOffBeforeWorkGoesBackToWhatIsReadWithoutIt(t *testing.T) {
	for _, how := range []string{"repair", "correct"} {
		s := drive(t, training(t, "ring-1"), at("ring-1/crossed-line-cpc"))
		if how == "repair" {
			q, _ := s.Question()
			s = apply(t, s, answerTo(strings.Repeat(">9.99 ", len(q.Parts))))
			s = apply(t, s, answerTo("repair"))
		} else {
			s = apply(t, s, coach.Event{Type: coach.Correct, At: "ring-1/crossed-line-neutral/s1", Raw: ">9.99"})
			s = apply(t, s, answerTo("lead"))
		}
		asked := map[string]bool{}
		for q, ok := s.Question(); ok && q.ID != "ring-1/insulation"; q, ok = s.Question() {
			asked[q.ID] = true
			var links []string
			for _, it := range s.OpenItems() {
				if it.Class == safety.TestLink {
					links = append(links, it.ID)
				}
			}
			want := map[string]string{"ring-1/ends": "", "ring-1/crossed-line-neutral/link": "", "ring-1/crossed-line-cpc/link": "",
				"ring-1/crossed-line-neutral": "ring-1/cross-line-neutral", "ring-1/crossed-line-cpc": "ring-1/cross-line-cpc"}
			if w, ok := want[q.ID]; ok && strings.Join(links, " ") != w {
				t.Errorf("%s: %s is asked with the links %q in; want %q", how, q.ID, links, w)
			}
			s = right(t, s)
		}
		for _, id := range []string{"ring-1/crossed-line-cpc/unlink", "ring-1/crossed-line-neutral", "ring-1/crossed-line-cpc"} {
			if !asked[id] {
				t.Errorf("%s: %s was never asked", how, id)
			}
		}
	}
}

// The points of one circuit are proved at a time: a link left in on one circuit comes off before those of another are
// proved, or the two would undo each other without end.
func TestALinkOfAnotherCircuitIsOffBeforeThePointsAreProved(t *testing.T) {
	tried := 0
	for s := coach.New(training(t, "ring-2", "shower-1", "lighting-2")); s.Ended() == ""; s = right(t, s) {
		of := ""
		for _, it := range s.OpenItems() {
			if it.Class == safety.TestLink {
				of = s.Program().Rig.Circuits[it.Circuit].ID
			}
		}
		for _, r := range s.Recorded() {
			if of == "" || strings.HasPrefix(r.ID, of+"/") {
				continue
			}
			for _, wrong := range []string{">99.9", "99.9", "swapped"} {
				if next, fb, err := s.Apply(coach.Event{Type: coach.Correct, At: r.ID, Raw: wrong}); err == nil && fb.Class == coach.Fail {
					tried++
					toEnd(t, next)
				}
			}
		}
	}
	if tried < 50 {
		t.Errorf("%d readings were tried", tried)
	}
}

// Ends that were typed wrongly, and fit each other, fail every crossed reading taken after them: once the same reading
// has failed twice, all of the circuit is read again.
func TestEndsTypedWronglyAreNoDeadEnd(t *testing.T) {
	s := drive(t, training(t, "ring-1"), at("ring-1/ends"))
	s = apply(t, s, answerTo("0.10 0.10 0.16"))
	toEnd(t, s)
}

// A null that turns out to have been none stands on every reading taken with it: the check and those readings are due
// again, with the insulation readings left as they are.
func TestNullCorrectedAsksAgainForWhatWasReadWithIt(t *testing.T) {
	s := drive(t, training(t, "radial-1"), func(q coach.Question) bool { return q.Gate && strings.HasPrefix(q.ID, "safety/incoming/") })
	last := ""
	for _, r := range s.Results() {
		if strings.HasSuffix(r.ID, "/low-ohm-shorted") {
			last = r.ID // the one that continuity was read with
		}
	}
	s = apply(t, s, coach.Event{Type: coach.Correct, At: last, Raw: "0.03"})
	if c := classOf(t, s, "radial-1/continuity/s1"); c != coach.None {
		t.Errorf("continuity read with the null of %s is %s", last, c)
	}
	if c := classOf(t, s, "radial-1/insulation/L-E"); c != coach.Pass {
		t.Errorf("insulation is %s, and the null is not in it", c)
	}
	s = onward(t, s, func(q coach.Question) bool {
		return q.ID == last || q.Gate && strings.HasPrefix(q.ID, "safety/incoming/")
	})
	if q, _ := s.Question(); q.ID != last {
		t.Errorf("asked %s, want the null again", q.ID)
	}
	s = onward(t, s, func(q coach.Question) bool { return q.Gate && strings.HasPrefix(q.ID, "safety/incoming/") })
	if c := classOf(t, s, "radial-1/continuity/s1"); c != coach.Pass {
		t.Errorf("read again it is %s", c)
	}
}

// After somebody was hurt nothing goes on, whatever is typed or said to have happened since, before the supervisor says so.
func TestNothingGoesOnAfterHarmWithoutTheSupervisor(t *testing.T) {
	s := drive(t, training(t, "radial-1"), at("radial-1/continuity"))
	s = apply(t, s, coach.Event{Type: coach.Stop})
	s = apply(t, s, answerTo("harm"))
	for _, ev := range []coach.Event{answerTo(""), answerTo("y"), answerTo("isolator"), {Type: coach.Stop}, answerTo("pause"), {Type: coach.Resumed}} {
		s = apply(t, s, ev)
		if q, _ := s.Question(); q.ID != "stop/harm" && q.ID != "stop/what" {
			t.Fatalf("after %s %q: asked %s", ev.Type, ev.Raw, q.ID)
		}
	}
	s = apply(t, s, answerTo("supervisor-took-over"))
	if q, _ := s.Question(); q.ID != "safety/isolator/off" && q.ID != "safety/supply/seen" {
		t.Errorf("asked %s, want isolation", q.ID)
	}
}
