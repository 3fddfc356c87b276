// Package paper reads exam papers: what is to be done on which rig, what each part of
// it is worth, how near a reading has to be, and which faults are planted or drawn.
//
// A paper is the same for every candidate and may be shown to all. What differs, the
// draw, follows from a seed that only the sealed part holds, see package seal. Drawing
// is pure: a hash of the seed, never a stream.
package paper

import (
	"fmt"
	"slices"
	"strings"

	"wanderlead/internal/content"
)

// Part is one part of a task that is marked for itself.
type Part string

// The parts, in the order in which they are shown.
const (
	SetUp          Part = "set-up"
	Connection     Part = "connection"
	Reading        Part = "reading"
	Interpretation Part = "interpretation"
	Reinstatement  Part = "reinstatement"
	Record         Part = "record"
	// Order is whether a test came after those that it rests on. It is worth nothing unless the paper says so, and only a
	// candidate who chooses the order gets marks for it: alone.
	Order Part = "order"
)

// Parts lists them all.
var Parts = []Part{SetUp, Connection, Reading, Interpretation, Reinstatement, Record, Order}

// Setting is how a paper is sat.
type Setting string

// The settings. Observed: on the rig, the assessor alone types what the candidate says
// and shows. HoldPoints: on the rig, the candidate types, the assessor's code opens the
// hold points. Alone: on computed readings, the candidate types.
const (
	Observed   Setting = "observed"
	HoldPoints Setting = "hold-points"
	Alone      Setting = "alone"
)

// Settings lists them all.
var Settings = []Setting{Observed, HoldPoints, Alone}

// Step is the unit of a paper's time, in minutes.
const Step = 15

// Marks is what each part of a task is worth; a part that is missing is not marked.
type Marks map[Part]int

// Sum is the total of all parts.
func (m Marks) Sum() int {
	n := 0
	for _, p := range Parts {
		n += m[p]
	}
	return n
}

// Task is one test of one circuit (or of the board) that is marked.
type Task struct {
	ID, Title string
	Test      string // a test's name of package safety
	Circuit   string // empty: the board
	Marks     Marks
	At        content.Value
}

// Fault is one fault that a paper plants or may draw.
type Fault struct {
	ID      string // of the rig's list, with how to plant and clear it; or empty
	Kind    string // of the trade's list; filled from the rig for a listed fault
	Circuit string
	At      content.Value
}

// String names the fault in lists and commitments.
func (f Fault) String() string {
	if f.ID != "" {
		return f.ID
	}
	if f.Circuit == "" {
		return f.Kind
	}
	return f.Kind + " on " + f.Circuit
}

// Pool is a set of faults of one level of difficulty, some of which are drawn.
type Pool struct {
	Take, Level int
	From        []Fault
	At          content.Value
}

// Paper is one exam paper.
type Paper struct {
	ID, Title, About       string
	Rig, Sequence, Edition string
	Incoming               string
	Minutes                int
	Settings               []Setting
	Help                   []string // what a candidate may use
	Tasks                  []Task
	Fixed                  []Fault
	Pools                  []Pool
	Tolerances             Tolerances // the defaults with the paper's own rows over them
	PassPercent            int
	Text                   string // of the file, for the record
	own                    []Tolerance
	at                     content.Value
}

// Total is what the whole paper is worth.
func (p *Paper) Total() int {
	n := 0
	for _, t := range p.Tasks {
		n += t.Marks.Sum()
	}
	return n
}

// Task returns the task of that id.
func (p *Paper) Task(id string) (*Task, bool) {
	for i := range p.Tasks {
		if p.Tasks[i].ID == id {
			return &p.Tasks[i], true
		}
	}
	return nil, false
}

// Names lists the papers of a library.
func Names(lib *content.Library) ([]string, error) {
	files, err := lib.List("papers")
	if err != nil {
		return nil, err
	}
	var out []string
	for _, f := range files {
		out = append(out, strings.TrimSuffix(strings.TrimPrefix(f, "papers/"), ".yaml"))
	}
	return out, nil
}

// Load reads the paper of that name with the tolerances it stands on. The error lists
// everything that is wrong with the file, each with line and column, or says which
// papers there are.
func Load(lib *content.Library, name string) (*Paper, error) {
	file := "papers/" + name + ".yaml"
	data, err := lib.Read(file)
	if err != nil {
		if !content.NotFound(err) {
			return nil, err
		}
		names, listErr := Names(lib)
		if listErr != nil {
			return nil, listErr
		}
		return nil, fmt.Errorf("there is no paper %q\nhint: %s", name, content.DidYouMean(name, names))
	}
	p, err := parse(lib.Parse(file, data), string(data))
	if err != nil {
		return nil, err
	}
	tol, err := LoadTolerances(lib)
	if err != nil {
		return nil, err
	}
	p.Tolerances = tol.With(p.own)
	return p, nil
}

// Allows reports whether the paper may be sat in a setting.
func (p *Paper) Allows(s Setting) bool { return slices.Contains(p.Settings, s) }

// SettleFaults fills in the kinds and circuits of the faults that the paper takes from
// the rig's own list; listed gives both by id, and whether there is such a fault.
// Unknown ids are left for [Paper.Check] to complain about.
func (p *Paper) SettleFaults(listed func(id string) (kind, circuit string, ok bool)) {
	fill := func(f *Fault) {
		if f.ID == "" {
			return
		}
		if kind, circuit, ok := listed(f.ID); ok {
			f.Kind, f.Circuit = kind, circuit
		}
	}
	for i := range p.Fixed {
		fill(&p.Fixed[i])
	}
	for i := range p.Pools {
		for j := range p.Pools[i].From {
			fill(&p.Pools[i].From[j])
		}
	}
}
