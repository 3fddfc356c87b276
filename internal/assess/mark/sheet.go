package mark

import "wanderlead/internal/assess/paper"

// Rule names the published rule. It changes when a mark could come out differently, and
// never with the program's version alone.
const Rule = "marking-rule-2"

// RuleText is the published rule.
const RuleText = `Marking rule ` + Rule + `

Every mark rests on entries of the record, by their numbers, and on the paper. The
first answer that was taken counts; one that stopped the candidate counts as given.

A task has up to seven parts. Each part is a list of items that are right or not:

  set-up          the instrument's function; what was asked and prepared for this test
  connection      where the leads go; what was lifted or linked for this test
  reading         each reading, within the paper's tolerance of the reference reading
  interpretation  the statement pass or fail; the reason, if the statement is right
  reinstatement   the return of what was lifted or linked for this test
  record          each reading entered at once, in a form that could be read, in time,
                  and not corrected later
  order           taken after each test of this paper that it rests on, see below

All items right: all marks of the part. At least half: half the marks, rounded down.
Otherwise none. A part without an item on this paper is marked for nobody.

Statement and reason are held against the candidate's own readings, so that one wrong
reading is not punished twice: pass where they pass, fail where a limit is broken or
the pattern cannot be a sound circuit's; where they are in doubt, either will do. For a
reason, each word that fits one of the readings that decided will do.

Order is marked from the candidate's own measurements, so only where the candidate
chooses what comes next: alone. On a rig the sequence gives the order, and no mark is
given or lost for it. What has to come first, on the same circuit or at the board:

  ring, crossed           the ends of that ring
  insulation              continuity of earthing, bonding, cpc and ring: a break hides
                          what lies behind it
  loop impedance          voltage at the origin and the external impedance
  RCD                     loop impedance

A test counts as before another when every reading of it had been measured once, as
right as it was ever measured, before the first of the measurements that the other's
readings rest on. A test measured again after those counts where it was measured again.

A corrected reading counts as corrected for the part reading, and not for the part
record. What came after the time was over, and what was being typed when it ended, is
kept, shown as late, and counts for nothing. What the assessor prompted counts as not
given. "Not observed" takes nothing away: it says that nobody looked, not that it was
not done.

A stop is outside the marks. Only the assessor decides whether it counts. A candidate
meets the paper when the share of marks reaches the paper's, and no stop counts.

What was seen and not measured, an inspection item or an observation, is marked as a
reading, against what the rig with the drawn faults shows, and has no statement of its
own. Alone there is nothing to look at, and inspection is marked for nobody.

An override by the assessor stands beside the mark by rule, with its reason. Both are
shown; the override counts.
`

// Item is one thing that was right or not, with the entries it rests on.
type Item struct {
	ID      string `json:"id"`
	Entries []int  `json:"entries"`
	Right   bool   `json:"right"`
	// Why says in one word how it came out: right, wrong, missing, late, prompted,
	// corrected, refused, unread, statement (the reason was right, and what it was for was not).
	Why       string `json:"why"`
	Given     string `json:"given"`
	Reference string `json:"reference"`
	Observed  string `json:"observed"` // seen, not-seen, prompted; empty: nothing noted
}

// PartMark is what one part of a task came to.
type PartMark struct {
	Part     paper.Part `json:"part"`
	Of       int        `json:"of"`
	ByRule   int        `json:"by_rule"`
	Mark     int        `json:"mark"` // what counts: by rule, or the override
	Items    []Item     `json:"items"`
	Seconds  int        `json:"seconds"`
	Override *Override  `json:"override,omitempty"`
}

// TaskMark is what one task came to.
type TaskMark struct {
	Task    string     `json:"task"`
	Title   string     `json:"title"`
	Of      int        `json:"of"`
	Mark    int        `json:"mark"`
	Seconds int        `json:"seconds"`
	Parts   []PartMark `json:"parts"`
}

// Halt is one stop with what the assessor decided.
type Halt struct {
	Entry    int    `json:"entry"`
	At       string `json:"at"`
	Act      string `json:"act"` // which critical act, in our own words; empty: none of the list
	Given    string `json:"given"`
	Decision string `json:"decision"`
	Reason   string `json:"reason"`
	Counts   bool   `json:"counts"`
	Decided  int    `json:"decided"` // entry of the decision
}

// Note is a remark or prompt as the assessor noted it.
type Note struct {
	Entry int    `json:"entry"`
	At    string `json:"at"`
	What  string `json:"what"`
	Text  string `json:"text"`
}

// Override is a mark that an assessor put in place of the one by rule.
type Override struct {
	Task   string     `json:"task"`
	Part   paper.Part `json:"part"`
	From   int        `json:"from"`
	To     int        `json:"to"`
	Reason string     `json:"reason"`
	By     string     `json:"by"`
	Time   string     `json:"time"`
}

// Result is the whole outcome of one record.
type Result struct {
	Rule        string     `json:"rule"`
	Session     string     `json:"session"`
	Candidate   string     `json:"candidate"`
	Paper       string     `json:"paper"`
	Setting     string     `json:"setting"`
	Edition     string     `json:"edition"`
	Ended       string     `json:"ended"`
	Tasks       []TaskMark `json:"tasks"`
	Halts       []Halt     `json:"halts"`
	Notes       []Note     `json:"notes"`
	Mark        int        `json:"mark"`
	Of          int        `json:"of"`
	Percent     float64    `json:"percent"`
	PassPercent int        `json:"pass_percent"`
	Meets       bool       `json:"meets"` // the paper's share of marks, and no stop counts
	UsedSeconds int        `json:"used_seconds"`
	Allowed     int        `json:"allowed_seconds"`
	Extra       int        `json:"extra_minutes"`
	Late        bool       `json:"late"`
	Assessor    string     `json:"assessor"`
	Instrument  string     `json:"instrument"`  // as prepared, else as it was said at the start of the sitting
	Calibration string     `json:"calibration"` // likewise
	Scripted    bool       `json:"scripted"`    // a rehearsal: the answers came from a file
	// NotMarked is what somebody could expect to be marked here and is not, with why.
	NotMarked []NotMarked `json:"not_marked"`
}

// NotMarked is one thing that this record cannot show.
type NotMarked struct {
	What string `json:"what"` // order, inspection
	// Why: sequence, it gives the order; bench, there is nothing to look at there; paper, it is no task of this one.
	Why string `json:"why"`
}

// sum adds up marks and the outcome.
func (r *Result) sum(passPercent int) {
	r.Mark, r.Of, r.PassPercent = 0, 0, passPercent
	for i := range r.Tasks {
		t := &r.Tasks[i]
		t.Mark, t.Of, t.Seconds = 0, 0, 0
		for _, p := range t.Parts {
			t.Mark += p.Mark
			t.Of += p.Of
			t.Seconds += p.Seconds
		}
		r.Mark += t.Mark
		r.Of += t.Of
	}
	r.Percent = 0
	if r.Of > 0 {
		r.Percent = float64(int64(1000*r.Mark/r.Of)) / 10
	}
	r.Meets = r.Of > 0 && 100*r.Mark >= passPercent*r.Of && r.Ended != ""
	for _, h := range r.Halts {
		r.Meets = r.Meets && !h.Counts
	}
}

// OverrideError is an override that does not fit the result.
type OverrideError struct{ What string }

func (e *OverrideError) Error() string { return e.What }

// Apply puts an override in place. The mark by rule stays beside it.
func (r *Result) Apply(o Override) error {
	if len([]rune(o.Reason)) < 10 {
		return &OverrideError{"an override needs a reason of ten characters or more"}
	}
	for i := range r.Tasks {
		if r.Tasks[i].Task != o.Task {
			continue
		}
		for j := range r.Tasks[i].Parts {
			p := &r.Tasks[i].Parts[j]
			if p.Part != o.Part {
				continue
			}
			if o.To < 0 || o.To > p.Of {
				return &OverrideError{"the part " + string(o.Part) + " of " + o.Task + " has no such mark"}
			}
			o.From = p.ByRule
			p.Override, p.Mark = &o, o.To
			r.sum(r.PassPercent)
			return nil
		}
	}
	return &OverrideError{"the paper has no part " + string(o.Part) + " of a task " + o.Task}
}
