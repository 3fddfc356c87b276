package study_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/faults"
	"wanderlead/internal/record"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/study"
	"wanderlead/internal/study/pilot"
	"wanderlead/safety"
)

// bystander watches a study session and knows nothing of the interlock: from what was
// answered, what was refused, what stands open before and after, and what was measured
// where, it says what was done without what it needs. What an act needs is written by
// hand: HSG85 (off, locked, proved dead at the point of work before hands go there, the
// cover off before that), EAWR 1989 regulations 13 and 14, and BS 7671 643.1 (dead tests
// pass before anything is energised).
type bystander struct {
	supply       string // "found", "off", "incoming", "on"
	seen, locked bool
	board        bool   // proved dead
	points       string // circuit whose points are proved dead
	place        string // what is being proved
	focus        string
}

// sees takes one answer with the session before and after it.
func (b *bystander) sees(before, after *study.State, ev coach.Event, fb study.Feedback) (bad []string) {
	if ev.Type != coach.Answer {
		return nil
	}
	at, raw := fb.At, ev.Raw
	need := func(ok bool, format string, args ...any) {
		if !ok {
			bad = append(bad, fmt.Sprintf(format, args...))
		}
	}
	if at == "study/isolate" && strings.HasPrefix(raw, "prove-") {
		b.place = strings.TrimPrefix(raw, "prove-")
	}
	if fb.Refused {
		return nil
	}
	r := before.Setup().Program.Rig
	b.moved(before, after, need)
	switch at {
	case "study/isolate":
		b.isolated(before, raw, r, need)
	case "study/lock":
		if raw == "own-padlock" {
			need(b.supply == "off", "locked while %s", b.supply)
			b.locked = true
		}
	case "study/prove":
		if raw == "back" {
			break
		}
		need(b.supply == "off" && b.locked, "proved with supply %s, locked %v", b.supply, b.locked)
		switch {
		case slices.ContainsFunc(fb.Notes, func(n coach.Note) bool { return n.ID == "study.voltage-found" }):
			*b = bystander{supply: "found", seen: true, focus: b.focus}
		case b.place == "board":
			b.board = true
		default:
			b.points = b.focus
		}
	case "study/circuit":
		if raw != "back" && raw != b.focus {
			b.focus, b.points = raw, ""
		}
	case "study/switch":
		b.switched(before, raw, r, need)
	}
	if fb.Shown != nil {
		for _, x := range fb.Shown.At {
			b.measured(fb.Shown.Function, x, r, need)
		}
	}
	if fb.Ended == "complete" {
		need(len(after.Ledger()) == 0, "ended complete with %v open", after.Ledger())
	}
	return bad
}

type needs func(ok bool, format string, args ...any)

// hands go on conductors of the board, or of a circuit's points.
func (b *bystander) hands(what string, need needs) {
	need(b.supply == "off" && b.locked, "%s with supply %s, locked %v", what, b.supply, b.locked)
}

func (b *bystander) at(circuit, what string, need needs) {
	b.hands(what, need)
	if circuit == "" {
		need(b.board, "%s: the board is not proved dead", what)
	} else {
		need(b.points == circuit, "%s: the points of %s are not proved dead", what, circuit)
	}
}

// moved: whatever is open now and was not, or was and is not now, somebody's hands did.
func (b *bystander) moved(before, after *study.State, need needs) {
	was, is := before.Ledger(), after.Ledger()
	r := before.Setup().Program.Rig
	for _, item := range append(slices.Clone(was), is...) {
		opened, closed := !slices.Contains(was, item), !slices.Contains(is, item)
		if !opened && !closed {
			continue
		}
		what := fmt.Sprintf("%s %s, open %v", item.Class, item.ID, opened)
		switch item.Class {
		case safety.LongLead: // the lead on the instrument; where its end goes is a measurement
		case safety.Cover:
			b.hands(what, need)
			if closed && item.ID == "board" {
				need(b.board, "%s: the board is not proved dead", what)
			} else if closed {
				need(b.points == item.ID, "%s: its points are not proved dead", what)
			}
		case safety.Removed:
			owner, _, _ := strings.Cut(item.ID, "/")
			if owner == "spd" {
				owner = ""
			}
			b.at(owner, what, need)
		case safety.TestLink:
			for _, end := range strings.Split(item.ID, " – ") {
				b.at(pointOwner(r, end), what, need)
			}
		default:
			b.at("", what, need)
		}
	}
}

// pointOwner is the circuit at whose points a terminal is, empty for the board's own.
func pointOwner(r *rig.Rig, terminal string) string {
	owner, rest, _ := strings.Cut(terminal, "/")
	place, _, _ := strings.Cut(rest, "/")
	if c, ok := r.Circuit(owner); ok && slices.ContainsFunc(c.Points, func(p rig.Point) bool { return p.ID == place }) {
		return owner
	}
	return ""
}

func (b *bystander) isolated(before *study.State, raw string, r *rig.Rig, need needs) {
	switch raw {
	case "see-supply":
		b.seen = b.seen || b.supply != "off"
	case "off":
		need(b.seen, "switched off before supply was seen")
		*b = bystander{supply: "off", seen: true, focus: b.focus}
	case "on-incoming", "on-installation":
		need(b.supply == "off" && b.locked, "energised from %s, locked %v", b.supply, b.locked)
		for _, item := range before.Ledger() {
			lifted := item.Class == safety.EarthingConductor && raw == "on-incoming"
			need(lifted, "energised with %s %s open", item.Class, item.ID)
		}
		for _, c := range r.Circuits {
			need(before.Open(c.ID), "energised with %s closed", c.ID)
		}
		if raw == "on-incoming" {
			need(r.Isolation.At == rig.Upstream, "incoming gate on a rig that is isolated at its main switch")
			need(before.Open("main-switch"), "incoming gate with the main switch closed")
		}
		for _, res := range before.Sheet().State().Results() {
			if dead[res.Test] {
				need(passes(before, res.ID), "energised although %s is %q", res.ID, before.Sheet().ClassOf(res.ID))
			}
		}
		*b = bystander{supply: strings.TrimPrefix(raw, "on-"), focus: b.focus}
		if b.supply == "installation" {
			b.supply = "on"
		}
	}
}

// dead are the tests that come before supply (BS 7671 643.2, 643.3, 643.6).
var dead = map[string]bool{"earthing": true, "bonding": true, "supply-cable": true, "ends": true, "crossed-line-neutral": true, "crossed-line-cpc": true,
	"continuity": true, "long-lead": true, "switching": true, "polarity": true, "insulation": true, "own-bar": true, "neutral-bars": true}

func passes(s *study.State, id string) bool {
	switch s.Sheet().ClassOf(id) {
	case coach.Pass, coach.NotApplicable:
		return true
	}
	return false
}

func (b *bystander) switched(before *study.State, raw string, r *rig.Rig, need needs) {
	if _, is := r.Circuit(raw); b.supply == "off" || raw == "back" || is && !before.Open(raw) {
		return
	}
	if strings.Contains(raw, "/") || before.Open(raw) { // a local switch, or something that is closed
		need(b.supply == "on", "%s worked with supply %s", raw, b.supply)
	}
}

// measured: a dead range only where all is proved dead; anything else on live parts only
// with a plug-in lead on an energised circuit, or at the origin with the incoming side on.
func (b *bystander) measured(f signature.Function, at study.At, r *rig.Rig, need needs) {
	if at.A == "" {
		return // the instrument by itself
	}
	what := fmt.Sprintf("%s from %s to %s", f, at.A, at.B)
	if f == signature.LowOhm || f == signature.Insulating || b.supply == "off" {
		for _, t := range []string{at.A, at.B} {
			b.at(pointOwner(r, t), what, need)
		}
		return
	}
	origin := strings.HasPrefix(at.A, "board/incoming/")
	switch {
	case origin && b.supply == "incoming":
	case origin:
		need(b.supply == "on" && r.Isolation.Incoming == rig.ShroudedPoints, "%s with supply %s", what, b.supply)
	default:
		need(b.supply == "on", "%s with supply %s", what, b.supply)
		for _, t := range []string{at.A, at.B} {
			c, ok := r.Circuit(pointOwner(r, t))
			need(ok && !before(c, t), "%s: %s is behind a cover", what, t)
		}
	}
}

// before reports whether a terminal is not one of a socket-outlet.
func before(c *rig.Circuit, terminal string) bool {
	place := strings.Split(terminal, "/")[1]
	return !slices.ContainsFunc(c.Points, func(p rig.Point) bool { return p.ID == place && p.PlugIn })
}

// way is a session worked right, with the bystander at each turn.
type way struct {
	states []*study.State
	sees   []bystander
	events []coach.Event
}

func rightWay(set study.Setup) (*way, error) {
	s, err := study.New(set)
	if err != nil {
		return nil, err
	}
	p := &pilot.Pilot{S: s, Mend: true}
	p.Run(nil)
	w := &way{events: p.Events}
	b := bystander{supply: "off", seen: true, locked: true, board: true, focus: set.Program.Rig.Circuits[s.Focus()].ID}
	if set.Start == study.AsFound {
		b = bystander{supply: "found", focus: b.focus}
	}
	for _, ev := range p.Events {
		w.states, w.sees = append(w.states, s), append(w.sees, b)
		next, fb, err := s.Apply(ev)
		if err != nil {
			return nil, err
		}
		if bad := b.sees(s, next, ev, fb); len(bad) > 0 {
			return nil, fmt.Errorf("worked right: %s %q: %s", ev.At, ev.Raw, bad[0])
		}
		s = next
	}
	return w, nil
}

// The bystander complains as soon as one thing is otherwise than it was: of a session
// worked right, it would have seen each of these missing.
func TestBystanderNotices(t *testing.T) {
	set := setup(t, "training-bay", "lesson-zs")
	w, err := rightWay(set)
	if err != nil {
		t.Fatal(err)
	}
	set.Start = study.AsFound
	found, err := rightWay(set)
	if err != nil {
		t.Fatal(err)
	}
	w = &way{append(w.states, found.states...), append(w.sees, found.sees...), append(w.events, found.events...)}
	for name, change := range map[string]func(*bystander){
		"supply as found": func(b *bystander) { b.supply = "found" },
		"no lock":         func(b *bystander) { b.locked = false },
		"board not dead":  func(b *bystander) { b.board = false },
		"points not dead": func(b *bystander) { b.points = "" },
		"supply not on":   func(b *bystander) { b.supply = "off" },
		"not seen":        func(b *bystander) { b.seen = false },
	} {
		noticed := 0
		for i := range w.states {
			b := w.sees[i]
			change(&b)
			next, fb, err := w.states[i].Apply(w.events[i])
			if err != nil {
				t.Fatal(err)
			}
			if len(b.sees(w.states[i], next, w.events[i], fb)) > 0 {
				noticed++
			}
		}
		if t.Logf("%-16s noticed at %d of %d answers", name, noticed, len(w.states)); noticed == 0 {
			t.Errorf("%s: never noticed", name)
		}
	}
}

// figures of study streams.
type figures struct {
	streams, events, refused, measured, live, gates, complete, shut, noticed int
	problems                                                                 []string
}

// wander runs one stream: from a place on the right way on, as it goes on and else at
// random.
func (w *way) wander(r *rand.Rand, f *figures) {
	i := r.IntN(len(w.states))
	s, b := w.states[i], w.sees[i]
	right := [...]float64{0.2, 0.6, 0.9}[r.IntN(3)]
	var said []string
	f.streams++
	for range 1 + r.IntN(60) {
		q, ok := s.Question()
		if !ok {
			return
		}
		ev := coach.Event{Type: coach.Answer, At: q.ID, Raw: "0.42"}
		switch n := r.IntN(40); {
		case n == 0:
			ev = coach.Event{Type: [...]coach.EventType{coach.Stop, coach.Paused, coach.Resumed, coach.Remark}[r.IntN(4)]}
		case i < len(w.events) && w.events[i].At == q.ID && r.Float64() < right:
			ev = w.events[i]
			i++
		case len(q.Options) > 0:
			ev.Raw = q.Options[r.IntN(len(q.Options))].Say
			if ev.Raw == "leave" {
				continue
			}
		}
		next, fb, err := s.Apply(ev)
		f.events++
		said = append(said, string(ev.Type)+" "+ev.At+" "+ev.Raw)
		if err != nil && ev.Raw == w.events[max(i-1, 0)].Raw && ev.Type == coach.Answer {
			continue // what the way went on with is no answer here
		}
		if err != nil {
			f.problems = append(f.problems, fmt.Sprintf("%v after %s", err, strings.Join(said, "; ")))
			return
		}
		if fb.Refused {
			f.refused++
		}
		if fb.Refused && strings.HasPrefix(ev.Raw, "on-") { // taken, it would be noticed
			c, taken := b, fb
			taken.Refused = false
			f.shut++
			if len(c.sees(s, next, ev, taken)) > 0 {
				f.noticed++
			}
		}
		if bad := b.sees(s, next, ev, fb); len(bad) > 0 {
			f.problems = append(f.problems, strings.Join(bad, ", ")+" after "+strings.Join(said, "; "))
			return
		}
		if fb.Shown != nil {
			f.measured++
			if b.supply == "on" || b.supply == "incoming" {
				f.live++
			}
		}
		if strings.HasPrefix(ev.Raw, "on-") && !fb.Refused {
			f.gates++
		}
		if fb.Ended == "complete" {
			f.complete++
		}
		s = next
	}
}

// Random moves in study sessions on every built-in rig and sequence, sound and with a
// fault, from as found and from isolated: an independent bystander finds nothing done
// without what it needs, and whatever is offered is taken. Streams are stretches of some
// 30 answers that begin somewhere on the way of somebody who works it right.
// WANDERLEAD_LONG makes 100,000 of them, WANDERLEAD_STREAMS as many as it says.
func TestStudyStreams(t *testing.T) {
	n, seeds := 150, 1
	if os.Getenv("WANDERLEAD_LONG") != "" {
		n, seeds = 100_000, 2
	}
	if v, err := strconv.Atoi(os.Getenv("WANDERLEAD_STREAMS")); err == nil {
		n = v
	}
	few := []string{"whole-board on slip-outbuilding", "lesson-zs on training-bay", "lesson-insulation on rigging-store"}
	var sets []study.Setup
	for _, name := range rigs {
		for _, seq := range whole {
			kit, err := record.Gather(library(t), seq, name, edition, "")
			if err != nil || seeds == 1 && !slices.Contains(few, seq+" on "+name) {
				continue // not a sequence for this rig
			}
			for seed := range uint64(seeds) {
				set := study.Setup{Program: kit.Program, Pack: kit.Pack, Seed: seed + 1, Start: study.Isolated}
				set.Plantings = faults.Seeded(kit.Rig, seed, int(seed), nil)
				sets = append(sets, set)
				if set.Start = study.AsFound; seeds > 1 {
					sets = append(sets, set)
				}
			}
		}
	}
	all := studyStreams(t, sets, n)
	t.Logf("%d streams on %d set-ups, %d events, %d measurements, %d of them live, %d gates passed, %d refusals, %d ended complete; "+
		"%d gates kept shut, %d of them the bystander would have kept shut too",
		all.streams, len(sets), all.events, all.measured, all.live, all.gates, all.refused, all.complete, all.shut, all.noticed)
	for i, p := range all.problems {
		if i < 5 {
			t.Error(p)
		}
	}
	if all.noticed < all.shut/2 || all.streams < n || all.live < n/50 || all.gates == 0 || all.measured < n {
		t.Error("too little was come to")
	}
}

func studyStreams(t *testing.T, sets []study.Setup, n int) figures {
	jobs := make(chan int)
	var mu sync.Mutex
	var all figures
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := range jobs {
				var f figures
				w, err := rightWay(sets[i])
				if err != nil {
					f.problems = append(f.problems, sets[i].Program.Seq.ID+" on "+sets[i].Program.Rig.ID+": "+err.Error())
				} else {
					r := rand.New(rand.NewPCG(1, uint64(i)))
					for range (n + len(sets) - 1) / len(sets) {
						w.wander(r, &f)
					}
				}
				mu.Lock()
				all.streams += f.streams
				all.events += f.events
				all.refused += f.refused
				all.measured += f.measured
				all.live += f.live
				all.gates += f.gates
				all.complete += f.complete
				all.shut += f.shut
				all.noticed += f.noticed
				all.problems = append(all.problems, f.problems...)
				mu.Unlock()
			}
		})
	}
	for i := range sets {
		jobs <- i
	}
	close(jobs)
	wg.Wait()
	return all
}
