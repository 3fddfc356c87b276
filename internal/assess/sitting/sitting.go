package sitting

import (
	"maps"
	"slices"
	"time"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/truth"
	"wanderlead/internal/coach"
	"wanderlead/internal/journal"
	"wanderlead/internal/study"
)

// Setup is what a sitting is made of.
type Setup struct {
	truth.Content
	Setting      paper.Setting
	ExtraMinutes int // adjustment for this candidate
}

// How a sitting ended.
const (
	Complete = "complete" // worked through, nothing open
	TimeOver = "time-over"
	Stopped  = "stopped" // by the assessor, after a halt
)

// Types of event that a sitting takes besides answers and corrections; they are the
// journal's own.
const (
	answer   = journal.TypeAnswer
	correct  = journal.TypeCorrect
	stop     = journal.TypeStop
	observe  = journal.TypeObserve
	remark   = journal.TypeRemark
	paused   = journal.TypePause
	resumed  = journal.TypeResume
	decide   = journal.TypeDecide
	timeMark = journal.TypeTime
)

// What the assessor notes beside an entry.
const (
	Seen     = "seen"
	NotSeen  = "not-seen" // not observed, which is not the same as not done
	Prompted = "prompted"
)

// What the assessor decides at a halt. None of them opens a gate.
const (
	PutRight       = "put-right"        // it may be put right, and the marks stay as the rule says
	PutRightCounts = "put-right-counts" // it may be put right, and counts as a critical act
	EndHere        = "end"              // the exam ends, and it counts as a critical act
)

// stage is how far the questions round one marked reading are.
type stage uint8

const (
	stageNone stage = iota
	stageFunction
	stageLeads
	stageReading
	stageState
	stageWhy
)

// Sitting is an exam at one moment. It is never changed in place.
type Sitting struct {
	set   Setup
	tasks map[int]*paper.Task // step -> task that marks it
	co    *coach.State        // the session on a rig; alone, where the sequence is looked up
	bench *study.State        // alone only
	err   error
	begun bool // by a first event

	assessor, codeHash string
	stage              stage
	stageStep          int
	function, leads    string   // as stated for the reading that is due
	holds              []string // hold points passed
	halted             bool
	halts              int
	haltAt, haltRaw    string // the latest stop: where, and what was given
	onPause            bool
	ended              string

	running bool
	last    time.Time // of the latest event while the clock runs
	used    time.Duration
	late    bool
}

// New starts a sitting.
func New(s Setup) *Sitting {
	t := &Sitting{set: s, tasks: map[int]*paper.Task{}, stageStep: -1}
	for i := range s.Paper.Tasks {
		for _, step := range truth.Steps(s.Program, &s.Paper.Tasks[i]) {
			t.tasks[step] = &s.Paper.Tasks[i]
		}
	}
	t.co = newCoach(s, "")
	if s.Setting == paper.Alone {
		t.bench, t.err = newBench(s)
	}
	return t
}

func newCoach(s Setup, today string) *coach.State {
	return coach.New(coach.Setup{Program: s.Program, Pack: s.Pack, Held: true, Today: today})
}

// Coach is the session underneath, for laying out its questions and what is open.
func (t *Sitting) Coach() *coach.State { return t.co }

// Setup is what the sitting was made of.
func (t *Sitting) Setup() Setup { return t.set }

// Ended says how it ended, empty while it runs.
func (t *Sitting) Ended() string { return t.ended }

// Halted reports whether the candidate has been stopped and the assessor is due.
func (t *Sitting) Halted() bool { return t.halted }

// StoppedAt is where the candidate was stopped last, and what was given there.
func (t *Sitting) StoppedAt() (at, given string) { return t.haltAt, t.haltRaw }

// Paused reports whether the clock was stopped by hand.
func (t *Sitting) Paused() bool { return t.onPause }

// Allowed is the candidate's time.
func (t *Sitting) Allowed() time.Duration {
	return time.Duration(t.set.Paper.Minutes+t.set.ExtraMinutes) * time.Minute
}

// Used is how much of it has run by the latest event.
func (t *Sitting) Used() time.Duration { return t.used }

// Task is the task that marks a step, nil for none.
func (t *Sitting) Task(step int) *paper.Task { return t.tasks[step] }

// TaskSteps lists the marked steps in the order of the program.
func (t *Sitting) TaskSteps() []int { return slices.Sorted(maps.Keys(t.tasks)) }

// AtReading is the step whose readings are asked for now, and whether they are.
func (t *Sitting) AtReading() (step int, ok bool) {
	return t.stageStep, t.stage == stageReading
}

// Stated is what the candidate said about the reading that is due: the function set and
// where the leads are. Both are empty for a reading that is not marked.
func (t *Sitting) Stated() (function, leads string) { return t.function, t.leads }

// UsedAt is how much of the candidate's time has run at a moment after the latest event.
func (t *Sitting) UsedAt(now time.Time) time.Duration {
	if t.running && now.After(t.last) {
		return t.used + now.Sub(t.last)
	}
	return t.used
}

// Left is how long an answer of the candidate would still be in time at a moment after the latest event, zero or less when it
// would be late; ok is false while the clock stands, and while the assessor is asked. (Events have whole seconds.)
func (t *Sitting) Left(now time.Time) (left time.Duration, ok bool) {
	q, due := t.Question()
	if !t.running || !due || q.Who != Candidate {
		return 0, false
	}
	return t.Allowed() + time.Second - t.UsedAt(now), true
}

func (t *Sitting) clone() *Sitting {
	c := *t
	c.holds = slices.Clone(t.holds)
	return &c
}

// follow brings the questions round a marked reading up to what the session asks now.
func (t *Sitting) follow() {
	if t.bench != nil {
		if t.bench.Ended() != "" && t.stage < stageState && t.ended == "" {
			t.ended = Complete
		}
		return
	}
	if end := t.co.Ended(); end != "" && t.stage < stageState && t.ended == "" {
		t.ended = Complete
		if end != "complete" {
			t.ended = Stopped
		}
		return
	}
	if t.stage >= stageState {
		return
	}
	q, ok := t.co.Question()
	marked := ok && q.Own && t.tasks[q.Step] != nil
	switch {
	case !marked:
		// The step may come back after a proof that lapsed; what was said about it stands.
	case q.Step != t.stageStep:
		t.stageStep, t.stage = q.Step, stageFunction
		t.function, t.leads = "", ""
		st := &t.set.Program.Steps[q.Step]
		if Looked(st) || Calculated(t.set.Program.Tests[st.Test].Name) {
			t.stage = stageReading
		}
	}
}
