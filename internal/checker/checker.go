// Package checker reads the record of a session, line by line, and says where
// something was done without what it needs. It is for tests only.
//
// Its worth is that it knows nothing of the rules the session itself goes by: it
// imports neither the safety package nor the session, sees only what stands on a
// record (what was asked, what was answered, what was made of it), and its tables are
// written by hand from the sources named beside them.
package checker

import (
	"fmt"
	"sort"
	"strings"
)

// Line is one event of a record with what was given for it.
type Line struct {
	Type, At, Raw string
	Verdict, Rule string // of the first line given: "taken", "refused", or a reading's class
	Params        map[string]string
	Judged        []Judged
}

// Judged is the class a group of readings came to; At names its first reading.
type Judged struct{ At, Class string }

// Rig is what has to be known of the installation to know which tests it needs.
type Rig struct {
	Upstream    bool // isolated upstream of its main switch
	Shrouded    bool // shrouded test points at the origin
	Phases      int
	Bars, Bonds []string
	SupplyCable bool
	FromRecord  bool // the sequence starts from an accepted record
	Circuits    []Circuit
}

// Circuit is one circuit of a rig.
type Circuit struct {
	ID, Shape, Section string // shape: ring, radial, lighting, fixed
	Lines              int
	Points             []string // where readings are taken
	AllPoints          int      // where the indicator is tried, switches included
	Electronics        bool
	Switches           bool
}

// Violation is one thing that must not be.
type Violation struct{ Rule, Text string }

func (v Violation) String() string { return v.Rule + ": " + v.Text }

// supply is how far the rig is live, as the record tells it.
type supply byte

const (
	found supply = iota
	off
	incoming
	on
)

// Checker is what a record has come to. It is a value: Step returns another one.
type Checker struct {
	rig  *Rig
	skip string // a rule that is left out, in tests of the checker itself

	supply                  supply
	seen                    bool
	lock, key, notice, main bool
	board                   bool   // the board is proved dead
	points                  string // the circuit whose points are proved dead
	round                   string // place of the proving round under way
	stage                   int    // 1: indicator proved, 2: every pair dead

	gate                          string // gate whose questions are being answered
	covers, loads, people, code   bool
	earth, faults, reason, origin bool
	record                        bool
	hash                          string

	open    *set // ledger items and their class
	known   *set // class of every item that was ever opened; not part of the key
	verdict *set // "reading class"
	failed  *set // readings that failed and were not decided about
	live    *set // circuits that are on
}

// New returns a checker for an empty record on a rig.
func New(r *Rig) Checker { return Checker{rig: r} }

// Without returns the checker less one of its rules.
func (c Checker) Without(rule string) Checker { c.skip = rule; return c }

// Key tells apart checkers that may judge the same line differently.
func (c Checker) Key() string {
	flags := 0
	for i, b := range []bool{c.seen, c.lock, c.key, c.notice, c.main, c.board, c.covers, c.loads, c.people, c.code,
		c.earth, c.faults, c.reason, c.origin, c.record, c.hash != ""} {
		if b {
			flags |= 1 << i
		}
	}
	return fmt.Sprintf("%d %x %s %s%d %s|%s|%s|%s|%s", c.supply, flags, c.points, c.round, c.stage, c.gate,
		c.open.String(), c.verdict.String(), c.failed.String(), c.live.String())
}

// set is a small immutable map of strings, kept sorted, with its text remembered.
type set struct {
	items map[string]string
	text  string
}

func (s *set) get(k string) string {
	if s == nil {
		return ""
	}
	return s.items[k]
}

func (s *set) with(k, v string) *set {
	if s.get(k) == v && v != "" {
		return s
	}
	n := &set{items: map[string]string{}}
	if s != nil {
		for a, b := range s.items {
			n.items[a] = b
		}
	}
	n.items[k] = v
	return n.done()
}

func (s *set) without(match func(k, v string) bool) *set {
	if s == nil {
		return nil
	}
	n := &set{items: map[string]string{}}
	for k, v := range s.items {
		if !match(k, v) {
			n.items[k] = v
		}
	}
	return n.done()
}

func (s *set) done() *set {
	keys := make([]string, 0, len(s.items))
	for k, v := range s.items {
		keys = append(keys, k+"="+v)
	}
	sort.Strings(keys)
	s.text = strings.Join(keys, ",")
	return s
}

func (s *set) String() string {
	if s == nil {
		return ""
	}
	return s.text
}

func (s *set) any(match func(k, v string) bool) (string, bool) {
	if s == nil {
		return "", false
	}
	for k, v := range s.items {
		if match(k, v) {
			return k, true
		}
	}
	return "", false
}
